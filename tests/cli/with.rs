//! `--with`: one fitting out of many.

use super::{Scratch, top};

fn kestrel() -> String {
    top().join("procedures/kestrel-rack.fitw").to_string_lossy().into_owned()
}

#[test]
fn fittings_stand_side_by_side() {
    let scratch = Scratch::new();
    let kestrel = kestrel();
    scratch.run(&["build", &kestrel]).expect(0);
    scratch.run(&["build", "--with", "arm=powered", &kestrel]).expect(0);
    let ran = scratch.run(&["build", "--with", "roof-rating=\"150 kg\"", "--with", "arm=strut", &kestrel]).expect(0);
    assert!(ran.out.contains("Open out/kestrel-rack--arm-strut--roof-rating-150-kg/manual.html"), "{}", ran.out);
    let files = scratch.files("out");
    for folder in ["kestrel-rack", "kestrel-rack--arm-powered", "kestrel-rack--arm-strut--roof-rating-150-kg"] {
        for file in ["manual.html", "pick-list.html", "packing-list.html", "packing-list.csv", "checklist.json"] {
            assert!(files.contains_key(&format!("out/{folder}/{file}")), "{folder}/{file}");
        }
    }
    let text = |path: &str| String::from_utf8(files[path].clone()).expect("UTF-8");
    let manual = text("out/kestrel-rack--arm-strut--roof-rating-150-kg/manual.html");
    assert!(manual.contains("Gas-strut arm") && !manual.contains("Arm feed"));
    assert!(text("out/kestrel-rack/manual.html").contains("Arm feed"), "the full one is as it was");
}

/// What a build no longer makes goes, as every other output does; what it did not make stays.
#[test]
fn the_annex_is_written_on_demand_and_goes_with_the_next_build_without_it() {
    let scratch = Scratch::new();
    let kestrel = kestrel();
    let ran = scratch.run(&["build", "--annex", &kestrel]).expect(0);
    assert!(ran.out.contains("annex.html"), "{}", ran.out);
    let files = scratch.files("out");
    let text = |name: &str| String::from_utf8(files[&format!("out/kestrel-rack/{name}")].clone()).expect("UTF-8");
    let (annex, manual) = (text("annex.html"), text("manual.html"));
    for only in ["Way of the work", "On the bench", "id=\"index\"", "Clamps with"] {
        assert!(annex.contains(only) && !manual.contains(only), "{only}");
    }
    let record: serde_json::Value = serde_json::from_str(&text("build.json")).expect("JSON");
    assert!(record["outputs"].as_array().expect("outputs").iter().any(|output| output["name"] == "annex.html"));
    scratch.run(&["build", "--with", "arm=powered", "--annex", &kestrel]).expect(0);
    scratch.run(&["build", &kestrel]).expect(0);
    let files = scratch.files("out");
    assert!(!files.contains_key("out/kestrel-rack/annex.html"), "the old annex is gone");
    assert!(files.contains_key("out/kestrel-rack/manual.html"));
    assert!(files.contains_key("out/kestrel-rack--arm-powered/annex.html"), "another fitting keeps its own");
}

#[test]
fn among_several_procedures_those_that_know_the_name_are_built() {
    let scratch = Scratch::new();
    let ran = scratch.run(&["build", "--with", "arm=powered", "--with", "roof-rating=150 kg"]).expect(0);
    assert!(ran.err.contains("finch-vise has no option and no given called arm, and is left out."), "{}", ran.err);
    assert!(
        scratch.files("out").keys().all(|name| name.starts_with("out/kestrel-rack--arm-powered--roof-rating-150-kg/"))
    );
    let ran = scratch.run(&["build", "--with", "colour=red"]).expect(2);
    assert!(ran.err.contains("none of these procedures has an option or given called colour"), "{}", ran.err);
}

/// Each refusal says what is wrong and what to write; nothing is written.
#[test]
fn what_cannot_be_is_refused_in_words() {
    let scratch = Scratch::new();
    let kestrel = kestrel();
    let refused: &[(&[&str], &[&str])] = &[
        (
            &["arm=powered", "side=road"],
            &[
                "arm=powered and side=road can't be had together",
                "made for the kerb side only",
                "require side is kerb when arm is powered",
            ],
        ),
        (
            &["roof-rating=60 kg", "ladder-mass=45 kg"],
            &["this limit is broken", "83 kg <= 60 kg", "Do not fit the rack to this van."],
        ),
        (&["arm=powered", "ladder-mass=50 kg"], &["50 kg <= 45 kg", "Fit the gas-strut arm"]),
        (&["arm=pwered"], &["no value called pwered", "Did you mean arm=powered?", "strut, powered"]),
        (&["arm=Gas-Strut Arm"], &["Did you mean arm=strut?"]),
        (&["arn=powered"], &["Did you mean arm?", "arm, side, roof-rating, ladder-mass"]),
        (&["arm=strut", "arm=powered"], &["arm can't be both strut and powered"]),
        (&["arm"], &["has no value", "NAME=VALUE"]),
        (&["=powered"], &["has no value", "NAME=VALUE"]),
        (&["roof-rating=150"], &["it has no unit", "\"150 kg\""]),
        (&["roof-rating=150 mm"], &["that is a length, and a mass is meant", "50 kg to 300 kg"]),
        (&["roof-rating=150 kgg"], &["kgg is not a unit"]),
        (&["roof-rating=400 kg"], &["outside what the procedure is made for", "50 kg to 300 kg"]),
        (&["roof-rating=-150 kg"], &["is not a number that is read in one way only"]),
        (&["roof-rating=99,5 kg"], &["write 99.5"]),
        (&["rail-width=40 mm"], &["read on the job"]),
        (&["doors-open=yes"], &["read on the job"]),
        (&["pad=thick"], &["decided by the procedure"]),
        (&["rack-mass=38 kg"], &["38 kg in every job"]),
    ];
    for (wishes, said) in refused {
        let mut arguments = vec!["build"];
        wishes.iter().for_each(|wish| arguments.extend(["--with", wish]));
        arguments.push(&kestrel);
        let ran = scratch.run(&arguments).expect(2);
        for words in *said {
            assert!(ran.err.contains(words), "{wishes:?}: {}", ran.err);
        }
    }
    assert!(scratch.files("out").is_empty());
}

/// The bolt is short with one arm only; whoever has the other one on the bench is told so.
#[test]
fn a_check_can_look_at_one_fitting() {
    let scratch = Scratch::new().with(
        "rack.fitw",
        "procedure rack \"Rack\"\noption arm \"Arm\" { short \"Short arm\"  long \"Long arm\" }\n\
         part hook \"Hook\"\nkit { box { 1 hook } }\n\
         section work \"Work\" {\n step one \"One\" { take 1 hook }\n\
         step two \"Two\" when arm is long { take 1 hook }\n handover { sign installer }\n}\n",
    );
    scratch.run(&["check", "rack.fitw"]).expect(1);
    let ran = scratch.run(&["check", "--with", "arm=long", "rack.fitw"]).expect(1);
    assert!(ran.out.contains("FW0603"), "{}", ran.out);
    let ran = scratch.run(&["check", "--with", "arm=short", "--deny", "warnings", "rack.fitw"]).expect(0);
    assert!(ran.out.contains("no findings") && ran.out.contains("Checked only with arm=short"), "{}", ran.out);
    // Nothing is built while another fitting has errors: the folder would look as good as any.
    scratch.run(&["build", "--with", "arm=short", "rack.fitw"]).expect(1);
    assert!(scratch.files("out").is_empty());
}

/// However much is chosen, the name stays short, and two fittings never share one.
#[test]
fn long_choices_make_short_names_that_differ() {
    let mut text = String::from("procedure panel \"Panel\"\n");
    for n in 0..12 {
        text.push_str(&format!("option position-number-{n} \"Position {n}\" {{ left \"Left\"  right \"Right\" }}\n"));
    }
    text.push_str("section work \"Work\" {\n");
    for n in 0..12 {
        text.push_str(&format!(" step at-{n} \"At {n}\" when position-number-{n} is left {{ note \"Left.\" }}\n"));
    }
    text.push_str(" handover { sign installer }\n}\n");
    let scratch = Scratch::new().with("panel.fitw", &text);
    let build = |last: &str| {
        let wishes: Vec<String> =
            (0..12).map(|n| format!("position-number-{n}={}", if n < 11 { "left" } else { last })).collect();
        let mut arguments = vec!["build"];
        wishes.iter().for_each(|wish| arguments.extend(["--with", wish]));
        arguments.push("panel.fitw");
        scratch.run(&arguments).expect(0);
    };
    build("left");
    build("right");
    let folders: std::collections::BTreeSet<String> =
        scratch.files("out").keys().filter_map(|name| name.split('/').nth(1).map(str::to_owned)).collect();
    assert_eq!(folders.len(), 2, "{folders:?}");
    assert!(folders.iter().all(|name| name.len() <= 100 && name.starts_with("panel--position-number-0-left--")));
}
