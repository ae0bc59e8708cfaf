//! `fit` as its users meet it.

use super::Scratch;

const RACK: &str = include_str!("../../procedures/kestrel-rack.fitw");
const VANS: &str = include_str!("../../procedures/kestrel-vans.csv");

fn bay() -> Scratch {
    let figure = include_str!("../../procedures/figures/kestrel-rail.svg");
    Scratch::new().with("rack.fitw", RACK).with("figures/kestrel-rail.svg", figure).with("vans.csv", VANS)
}

#[test]
fn a_table_is_answered_in_words_and_what_cannot_be_read_is_told_with_its_place() {
    let ran = bay().run(&["fit", "rack.fitw", "vans.csv"]);
    assert_eq!(ran.code, Some(1), "two rows can't be read: {}", ran.err);
    assert!(
        ran.err.starts_with("vans.csv: line 12, column 4, roof-rating [kg]: \"2000\": that is outside"),
        "{}",
        ran.err
    );
    assert!(ran.err.contains("vans.csv: line 13, column 6, arm: \"winch\" is none of its values"), "{}", ran.err);
    assert!(
        ran.out.starts_with(
            "line 2  Corvane Osprey L2 2024\n  fits          arm=strut side=kerb  roof-load 81 kg (54 %)\n"
        ),
        "{}",
        ran.out
    );
    assert!(ran.out.contains("roof-rating: fits at 62 to 300 kg\n"), "{}", ran.out);
    assert!(
        ran.out.ends_with(
            "\n12 rows, 23 lines: 18 fit, 3 depend, 2 do not, 2 rows unread. 8 rows with a choice that fits.\n"
        ),
        "{}",
        ran.out
    );
    let whole: String = VANS.lines().filter(|line| !line.starts_with("Tarn")).map(|line| format!("{line}\n")).collect();
    let ran = bay().with("whole.csv", &whole).run(&["fit", "rack.fitw", "whole.csv"]);
    assert_eq!((ran.code, ran.err.as_str()), (Some(0), ""), "whatever does not fit");
}

/// Rows in, rows out, in their order: however many threads, and however the table is parted.
#[test]
fn threads_and_parts_change_no_byte() {
    let (head, rows) = VANS.split_once('\n').expect("a head");
    let many: String = std::iter::repeat_n(rows, 60).collect();
    let bay = bay().with("many.csv", &format!("{head}\n{many}"));
    for format in ["csv", "json", "human"] {
        let one = bay.run(&["fit", "rack.fitw", "many.csv", "--format", format, "--jobs", "1"]);
        let four = bay.run(&["fit", "rack.fitw", "many.csv", "--format", format, "--jobs", "4"]);
        assert_eq!((one.out.len() > 10_000, &one.out), (true, &four.out), "{format}");
        assert_eq!(one.err, four.err, "{format}");
    }
    let whole = bay.run(&["fit", "rack.fitw", "vans.csv", "--format", "csv"]).out;
    let part = bay.with("part.csv", rows).run(&["fit", "rack.fitw", "part.csv", "--format", "csv", "--head", head]);
    let without_line =
        |csv: &str| csv.replace(",fits,", ",").split("\r\n").map(|row| row.split(',').count()).collect::<Vec<_>>();
    assert_eq!(
        without_line(&part.out),
        without_line(whole.split_once("\r\n").expect("a head").1),
        "the same without a head"
    );
}

#[test]
fn the_folder_that_is_named_is_the_one_that_a_build_makes() {
    let bay = bay();
    let ran = bay.run(&["fit", "rack.fitw", "vans.csv", "--format", "json"]);
    let first: serde_json::Value = serde_json::from_str(ran.out.lines().nth(2).expect("a line")).expect("JSON");
    let mut arguments = vec!["build".to_owned(), "rack.fitw".to_owned()];
    for with in first["build"]["with"].as_array().expect("a list") {
        arguments.extend(["--with".to_owned(), with.as_str().expect("text").to_owned()]);
    }
    let built = bay.run(&arguments.iter().map(String::as_str).collect::<Vec<_>>());
    assert_eq!(built.code, Some(0), "{}", built.err);
    let folder = format!("out/{}", first["build"]["folder"].as_str().expect("text"));
    assert!(
        bay.files(&folder).contains_key(&format!("{folder}/manual.html"))
            || bay.0.join(&folder).join("manual.html").is_file()
    );
}

#[test]
fn the_page_has_counts_groups_and_one_script_that_its_policy_names() {
    let bay = bay();
    let ran = bay.run(&["fit", "rack.fitw", "vans.csv", "--page", "vans.html"]);
    assert_eq!(ran.code, Some(1));
    let page = std::fs::read_to_string(bay.0.join("vans.html")).expect("written");
    for wanted in [
        "What fits",
        "<h2 id=\"group-1\">Corvane",
        "<h2 id=\"group-3\">Tarn &amp; Vale",
        "script-src 'sha256-",
        "margin-1",
    ] {
        assert!(page.contains(wanted), "{wanted}");
    }
    assert_eq!(page.matches("<script").count(), 1);
    let ran = bay.run(&["fit", "rack.fitw", "vans.csv", "--page", "years.html", "--by", "year"]);
    assert_eq!(ran.code, Some(1));
    assert!(std::fs::read_to_string(bay.0.join("years.html")).expect("written").contains("<h2 id=\"group-1\">2024"));
    let ran = bay.run(&["fit", "rack.fitw", "vans.csv", "--page", "years.html", "--by", "colour"]);
    assert_eq!((ran.code, ran.err.contains("no column `colour`")), (Some(2), true));
    let ran = bay.run(&["fit", "rack.fitw", "vans.csv", "--page", "vans.csv"]);
    assert_eq!(ran.code, Some(2), "the table is not written over: {}", ran.err);
}

#[test]
fn an_error_with_some_choice_counts_as_not_fitting_there() {
    // Nuts of the powered arm's feed get a torque that the wrench does not reach, on that fitting alone.
    let faulty = RACK.replace("torque 10 N.m +- 1 N.m", "torque 100 N.m +- 1 N.m");
    assert_ne!(faulty, RACK);
    let bay = bay().with("rack.fitw", &faulty);
    let ran = bay.run(&["fit", "rack.fitw", "vans.csv", "--format", "json"]);
    assert_eq!(ran.code, Some(1), "{}", ran.err);
    assert!(ran.err.contains("rack.fitw has errors"), "{}", ran.err);
    for line in ran.out.lines().map(|line| serde_json::from_str::<serde_json::Value>(line).expect("JSON")) {
        let by_finding = line["by"].as_array().expect("a list").iter().any(|by| by["what"] == "finding");
        assert_eq!(by_finding, line["choice"]["arm"] == "powered", "{line}");
        assert!(!by_finding || line["verdict"] == "no");
    }
}

#[test]
fn what_it_cannot_run_with_is_said() {
    let bay = bay().with("empty.csv", "").with("broken.fitw", "procedure broken \"Broken\"\nstep\n");
    std::fs::write(bay.0.join("latin.csv"), b"maker,Tr\xe4ger\nA,1\n").expect("written");
    for (arguments, why) in [
        (vec!["fit", "rack.fitw", "gone.csv"], "gone.csv cannot be read"),
        (vec!["fit", "rack.fitw", "empty.csv"], "empty.csv is empty"),
        (vec!["fit", "rack.fitw", "latin.csv"], "line 1, column 2: it is not text (UTF-8)"),
        (vec!["fit", "broken.fitw", "vans.csv"], "run `fitwright check broken.fitw`"),
        (vec!["fit", "rack.fitw", "vans.csv", "--with", "arm=strut"], "which --with settles"),
        (vec!["fit", "rack.fitw", "vans.csv", "--with", "rail-width=40 mm"], "read on the job"),
        (vec!["fit", "rack.fitw", "vans.csv", "--head", "a\nb"], "in one line"),
    ] {
        let ran = bay.run(&arguments);
        assert_eq!(ran.code, Some(2), "{arguments:?}: {}", ran.err);
        assert!(ran.err.contains(why), "{arguments:?}: {}", ran.err);
    }
}
