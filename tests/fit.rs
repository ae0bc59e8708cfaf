//! What fits of a table: verdicts and ranges worked by hand beside each, the same as tailoring says, and forms of output.
//! `tests/oracles/fit_pint.py` works whole tables out again.

use fitwright::compile::{self, Compiled};
use fitwright::fit::{Fit, FitLine, Judge, Records, csv_head, csv_lines, json_lines, text_lines};
use fitwright::tailor::{Wish, tailor};
use fitwright::world::Memory;

const HEAD: &str = "procedure small \"Small\"\nrevision A 2026-11-02\nunits metric\n";
const END: &str = "section end \"End\" { handover { sign installer } }\n";

fn compiled(text: &str) -> Compiled {
    let text = format!("{HEAD}{text}{END}");
    compile::check("small.fitw", &Memory::default().with("small.fitw", text))
}

fn cells(line: &str) -> Vec<String> {
    let mut records = Records::default();
    let mut found = records.line(line.as_bytes());
    let fields = found.pop().expect("one record").fields.expect("whole");
    fields.into_iter().map(|field| field.text).collect()
}

/// The lines of an answer, and what is printed of it as CSV.
fn asked(compiled: &Compiled, wishes: &[&str], table: &str) -> (Vec<FitLine>, String) {
    let procedure = compiled.procedure().expect("resolved");
    assert!(procedure.complete, "{:?}", compiled.findings());
    let wishes: Vec<Wish> = wishes.iter().map(|wish| Wish::parse(wish).expect("a wish")).collect();
    let (head, rows) = table.split_once('\n').expect("a head");
    let fit = Fit::new(procedure, &cells(head), &wishes, None).expect("a head that can be used");
    let mut judge = Judge::of(&fit);
    let mut records = Records::default();
    let mut found = records.line(head.as_bytes());
    found.clear();
    found.extend(rows.split_inclusive('\n').flat_map(|line| records.line(line.as_bytes())).collect::<Vec<_>>());
    found.extend(records.end());
    let (mut json, mut csv, mut text) = (String::new(), csv_head(&judge), String::new());
    for record in found {
        let answer = judge.row(record);
        json_lines(&judge, &answer, &mut json);
        csv_lines(&judge, &answer, &mut csv);
        text_lines(&judge, &answer, &mut text);
    }
    assert!(!text.is_empty());
    let lines: Vec<FitLine> = json
        .lines()
        .map(|line| {
            let read: FitLine = serde_json::from_str(line).expect("a line of the format");
            // Every member, and no other; numbers of either form are equal.
            let (again, own): (serde_json::Value, serde_json::Value) =
                (serde_json::to_value(&read).expect("data"), serde_json::from_str(line).expect("JSON"));
            let names =
                |value: &serde_json::Value| value.as_object().map(|all| all.keys().cloned().collect::<Vec<_>>());
            assert_eq!(names(&again), names(&own));
            read
        })
        .collect();
    (lines, csv)
}

fn verdicts(compiled: &Compiled, table: &str) -> Vec<String> {
    asked(compiled, &[], table).0.into_iter().map(|line| line.verdict).collect()
}

/// `load: fits 48..300, may 48..300`; `(` for an end that does not belong to it.
fn depends(line: &FitLine) -> Vec<String> {
    let ranges = |ranges: &[fitwright::fit::Within]| {
        let one = |range: &fitwright::fit::Within| {
            let low = range.at_least.clone().or(range.over.as_ref().map(|end| format!("({end}"))).unwrap_or_default();
            let high = range.at_most.clone().or(range.below.as_ref().map(|end| format!("{end})"))).unwrap_or_default();
            format!("{low}..{high}")
        };
        ranges.iter().map(one).collect::<Vec<_>>().join(" ")
    };
    line.depends.iter().map(|one| format!("{}: fits {}, may {}", one.on, ranges(&one.fits), ranges(&one.may))).collect()
}

const LOADS: &str = "given load \"Load\" { range 10 kg to 100 kg }\ngiven rail \"Rail\" { range 20 kg to 200 kg }\n\
    limit carried \"The rail carries it\" { load + 8 kg <= rail else stop \"Leave it.\" }\n";

#[test]
fn a_limit_is_kept_up_to_its_very_edge() {
    let table = "load [kg],rail [kg]\n40,48\n40.001,48\n40,47.999\n";
    let (lines, _) = asked(&compiled(LOADS), &[], table);
    let said: Vec<(&str, &str)> =
        lines.iter().map(|one| (one.verdict.as_str(), one.margins[0].exact.as_str())).collect();
    assert_eq!(said, [("fits", "0"), ("no", "-0.001"), ("no", "-0.001")]);
    assert_eq!((lines[1].margins[0].percent, lines[1].by[0].name.as_deref()), (Some(-0.1), Some("carried")));
    let strict = LOADS.replace("<= rail", "< rail");
    assert_eq!(verdicts(&compiled(&strict), table), ["no", "no", "no"]);
}

#[test]
fn what_is_missing_makes_it_depend_with_the_range_in_which_it_fits() {
    let (lines, _) = asked(&compiled(LOADS), &[], "load [kg],rail [kg]\n,48\n40,\n,\n2,\n");
    assert_eq!(depends(&lines[0]), ["load: fits 10..40, may 10..40"]);
    assert_eq!(depends(&lines[1]), ["rail: fits 48..200, may 48..200"]);
    // With both open: a load of 12 kg goes with the weakest rail, a rail of 108 kg with the heaviest load.
    assert_eq!(depends(&lines[2]), ["load: fits 10..12, may 10..100", "rail: fits 108..200, may 20..200"]);
    assert_eq!(lines[3].verdict, "unread");
}

#[test]
fn readings_in_a_limit_are_told_on_their_scale() {
    let text = "measure gap \"Gap\" {\n range 0 mm to 50 mm\n reads 2 mm\n with steel-rule\n}\nuse std/hand-tools\ngiven pad \"Pad\" { range 0 mm to 20 mm }\n\
        limit clear \"It stays clear\" { gap - pad > 5 mm else stop \"Leave it.\" }\n\
        section look \"Look\" { step see \"See\" {\n > Measure it.\n read gap } }\n";
    let (lines, _) = asked(&compiled(text), &[], "pad [mm]\n7\n7.5\n20\n0\n");
    // gap over 12 mm, over 12.5 mm, over 25 mm, over 5 mm, in steps of 2 mm.
    let wanted = [
        "gap: fits 14..50, may 14..50",
        "gap: fits 14..50, may 14..50",
        "gap: fits 26..50, may 26..50",
        "gap: fits 6..50, may 6..50",
    ];
    assert_eq!(lines.iter().flat_map(depends).collect::<Vec<_>>(), wanted);
}

#[test]
fn the_least_of_several_and_products_are_solved_exactly() {
    let text = "given a \"A\" { range 1 kg to 100 kg }\ngiven b \"B\" { range 1 kg to 100 kg }\n\
        limit weakest \"The weakest holds\" { greatest of (a * 2, b + 30 kg) <= 90 kg else stop \"Leave it.\" }\n\
        limit not-alike \"Between\" { least of (a, 50 kg) >= b / 3 else stop \"Leave it.\" }\n";
    let (lines, _) = asked(&compiled(text), &[], "a [kg],b [kg]\n,30\n45,\n,60\n,61\n");
    // a <= 45 and a >= 10; b <= 60 (and b <= 135); a <= 45 and a >= 20; b + 30 is too much.
    assert_eq!(depends(&lines[0]), ["a: fits 10..45, may 10..45"]);
    assert_eq!(depends(&lines[1]), ["b: fits 1..60, may 1..60"]);
    assert_eq!(depends(&lines[2]), ["a: fits 20..45, may 20..45"]);
    assert_eq!((lines[3].verdict.as_str(), lines[3].by.len()), ("no", 1));
}

#[test]
fn open_numbers_that_are_multiplied_with_one_another_have_their_ranges() {
    let text = "given load \"Load\" { range 10 kg to 100 kg }\ngiven arm \"Arm\" { range 200 mm to 900 mm }\n\
        limit tilt \"It does not tilt\" { load * arm <= 40 kg * 500 mm else stop \"Leave it.\" }\n";
    let (lines, _) = asked(&compiled(text), &[], "load [kg],arm [mm]\n,\n,400\n25,\n");
    // 20 kg·m: with the longest arm 22.2 kg, with the shortest 100 kg; with the heaviest load 200 mm, with the lightest 2000 mm.
    assert_eq!(depends(&lines[0]), ["load: fits 10..200/9, may 10..100", "arm: fits 200..200, may 200..900"]);
    assert_eq!(depends(&lines[1]), ["load: fits 10..50, may 10..50"]);
    assert_eq!(depends(&lines[2]), ["arm: fits 200..800, may 200..800"]);
    // What is divided by an open number is solved; an open number under the line is named.
    let text = "given load \"Load\" { range 10 kg to 100 kg }\ngiven arm \"Arm\" { range 200 mm to 900 mm }\n\
        limit share \"Each bears\" { load / arm <= 100 kg / 1 m else stop \"Leave it.\" }\n";
    let (lines, _) = asked(&compiled(text), &[], "load [kg],arm [mm]\n,\n");
    assert_eq!(depends(&lines[0]), ["load: fits 10..20, may 10..90", "arm: fits , may 200..900"]);
}

/// All combinations of whole millimetres are the oracle, on both sides of zero.
#[test]
fn ranges_of_products_are_never_too_generous_and_never_too_narrow() {
    const SUMS: [&str; 6] = [
        "a * b + c * 2 deg",
        "a * b - c * 3 deg",
        "(a + 2 deg) * b - c * c0",
        "b * (a - c)",
        "a * (greatest of (b, c)) - 4 deg * b",
        "(b - c) * a - 5 deg * (a + b)",
    ];
    let value = |sum: usize, a: i64, b: i64, c: i64| match sum {
        0 => a * b + c * 2,
        1 => a * b - c * 3,
        2 => (a + 2) * b - c,
        3 => b * (a - c),
        4 => a * b.max(c) - 4 * b,
        _ => (b - c) * a - 5 * (a + b),
    };
    let ends = [(-4, 3), (0, 5), (2, 6), (-6, -1)];
    let (mut open, mut told) = (0, 0);
    for case in 0..(SUMS.len() * 64 * 5) {
        let (sum, rest) = (case % SUMS.len(), case / SUMS.len());
        let range = |place: usize| ends[rest / 4_usize.pow(place as u32) % 4];
        let ranges = [range(0), range(1), range(2)];
        let (op, least) = [("<=", 3), ("<", -2), (">=", 4), (">", 0), ("=", 6)][rest / 64];
        let given = |name: &str, (low, high): (i64, i64)| {
            format!("given {name} \"Given {name}\" {{ range {low} deg to {high} deg }}\n")
        };
        let text = format!(
            "{}{}{}limit one \"One\" {{ {} {op} {least} deg * 1 deg else stop \"Leave it.\" }}\n",
            given("a", ranges[0]),
            given("b", ranges[1]),
            given("c", ranges[2]),
            SUMS[sum].replace("c0", "1 deg"),
        );
        let compiled = compiled(&text);
        let (lines, _) = asked(&compiled, &[], "a [deg],b [deg],c [deg]\n,,\n");
        let line = &lines[0];
        let all = |(low, high): (i64, i64)| low..=high;
        let holds = |values: &[i64; 3]| {
            let value = value(sum, values[0], values[1], values[2]);
            match op {
                "<=" => value <= least,
                "<" => value < least,
                ">=" => value >= least,
                ">" => value > least,
                _ => value == least,
            }
        };
        let mut points: Vec<[i64; 3]> = Vec::new();
        for a in all(ranges[0]) {
            for b in all(ranges[1]) {
                points.extend(all(ranges[2]).map(|c| [a, b, c]));
            }
        }
        let (good, bad): (Vec<[i64; 3]>, Vec<[i64; 3]>) = points.into_iter().partition(holds);
        match line.verdict.as_str() {
            "fits" => assert!(bad.is_empty(), "{text}"),
            "no" => assert!(good.is_empty(), "{text}"),
            _ => open += 1,
        }
        for on in &line.depends {
            let place = ["Given a", "Given b", "Given c"].iter().position(|name| on.on == *name || on.on == name[6..]);
            let place = place.unwrap_or_else(|| panic!("{}", on.on));
            let may = |place: usize, value: i64| {
                let id = ["a", "b", "c"][place];
                let of = line.depends.iter().find(|one| one.on == id || one.on.ends_with(id));
                of.is_none_or(|of| within(&of.may, value))
            };
            for point in &good {
                assert!(within(&on.may, point[place]), "{text}{point:?} {on:?}");
            }
            for point in bad.iter().filter(|point| (0..3).all(|other| may(other, point[other]))) {
                assert!(!within(&on.fits, point[place]), "{text}{point:?} {on:?}");
            }
            told += usize::from(!on.fits.is_empty());
        }
    }
    assert!(open > 500 && told > 100, "{open} {told}");
}

/// Whether a whole number is in one of the ranges.
fn within(ranges: &[fitwright::fit::Within], value: i64) -> bool {
    let number = |text: &str| {
        let (above, below) = text.split_once('/').unwrap_or((text, "1"));
        above.parse::<f64>().expect("a number") / below.parse::<f64>().expect("a number")
    };
    let value = value as f64;
    ranges.iter().any(|range| {
        range.at_least.as_deref().is_none_or(|end| value >= number(end))
            && range.over.as_deref().is_none_or(|end| value > number(end))
            && range.at_most.as_deref().is_none_or(|end| value <= number(end))
            && range.below.as_deref().is_none_or(|end| value < number(end))
    })
}

#[test]
fn limits_that_leave_nothing_together_are_told_together() {
    let text = "given a \"A\" { range 0 kg to 100 kg }\n\
        limit low \"Low\" { a <= 40 kg else stop \"Too heavy.\" }\n\
        limit high \"High\" { a >= 30 kg else stop \"Too light.\" }\n";
    let (lines, _) = asked(&compiled(text), &[], "a [kg],name\n,x\n");
    assert_eq!(depends(&lines[0]), ["a: fits 30..40, may 30..40"]);
    let text = text.replace("a >= 30 kg", "a >= 41 kg");
    let (lines, _) = asked(&compiled(&text), &[], "a [kg],name\n,x\n");
    let by: Vec<Option<&str>> = lines[0].by.iter().map(|one| one.name.as_deref()).collect();
    assert_eq!((lines[0].verdict.as_str(), by), ("no", vec![Some("low"), Some("high")]));
}

const BRANCHES: &str = "option arm \"Arm\" { strut \"Strut\"  powered \"Powered\" }\n\
    option side \"Side\" { kerb  road }\n\
    given load \"Load\" { range 10 kg to 100 kg }\n\
    observe dry \"Is it dry?\" { yes no }\n\
    require side is kerb when arm is powered \"Made for the kerb side.\"\n\
    require side is road when load is over 90 kg \"Heavy loads go to the road side.\"\n\
    part clip \"Clip\"\n\
    kit { bag A { 1 clip }  bag heavy when load is over 50 kg { 1 clip } }\n\
    section work \"Work\" {\n\
      step look \"Look\" {\n > Look at it.\n read dry\n take 1 clip }\n\
      choose load {\n\
        below 20 kg { stop \"Too light for the springs.\" }\n\
        20 kg to 50 kg { step light \"Light\" {\n > Set the light spring.\n } }\n\
        over 50 kg { step heavy \"Heavy\" {\n > Set the heavy spring.\n take 1 clip } }\n\
      }\n\
      when arm is powered and dry is no { stop \"Wait for a dry day.\" }\n\
    }\n";

#[test]
fn rules_stops_arms_and_kit_of_each_choice_are_told() {
    let (lines, csv) = asked(&compiled(BRANCHES), &[], "load [kg]\n30\n19\n60\n95\n");
    let told = |at: usize| {
        let line = &lines[at];
        let choice: Vec<&str> = ["arm", "side"].iter().map(|name| line.choice[*name].as_str()).collect();
        (
            line.line,
            choice.join(" "),
            line.verdict.clone(),
            line.by.iter().map(|one| one.what.clone()).collect::<Vec<_>>(),
        )
    };
    let none: Vec<String> = Vec::new();
    assert_eq!(told(0), (2, "strut kerb".into(), "fits".into(), none.clone()));
    assert_eq!(told(2), (2, "powered kerb".into(), "fits".into(), none.clone()));
    assert_eq!(told(3), (3, "strut kerb".into(), "no".into(), vec!["stop".to_owned()]));
    assert_eq!(lines[3].by[0].says, "Too light for the springs.");
    // Over 90 kg the rules leave the strut on the road side.
    assert_eq!(told(9), (5, "strut kerb".into(), "no".into(), vec!["rule".to_owned()]));
    assert_eq!(told(10), (5, "strut road".into(), "fits".into(), none.clone()));
    assert_eq!(told(11), (5, "powered kerb".into(), "no".into(), vec!["rule".to_owned()]));
    let kit = |at: usize| lines[at].kit.iter().map(|one| (one.group.as_str(), one.sure)).collect::<Vec<_>>();
    assert_eq!((kit(0), kit(6)), (vec![("Bag A", true)], vec![("Bag A", true), ("Bag heavy", true)]));
    assert_eq!(lines[0].arms, ["Load: 20 to 50 kg"]);
    assert_eq!((lines[0].on_the_job.len(), &lines[2].on_the_job), (0, &vec!["dry".to_owned()]));
    let rows: Vec<&str> = csv.split("\r\n").collect();
    assert_eq!(
        rows[1],
        "30,2,fits,strut,kerb,,,Load: 20 to 50 kg,Bag A,,small--arm-strut--side-kerb--load-30-kg,\"arm=strut; side=kerb; load=30 kg\","
    );
}

#[test]
fn what_is_open_in_branches_and_rules_narrows_the_range() {
    let (lines, _) = asked(&compiled(BRANCHES), &[], "load,arm\n,strut\n,powered\n,\n");
    // On the kerb side 20 to 90 kg, on the road side from 20 kg on.
    assert_eq!(depends(&lines[0]), ["load: fits 20..90, may 20..90"]);
    assert_eq!(depends(&lines[1]), ["load: fits 20..100, may 20..100"]);
    assert_eq!((lines[2].choice["side"].as_str(), lines.len()), ("kerb", 6));
    assert!(!lines[0].kit[1].sure);
}

#[test]
fn a_row_that_asks_for_what_rules_forbid_is_told_by_which() {
    let (lines, _) = asked(&compiled(BRANCHES), &[], "load [kg],arm,side\n30,powered,road\n");
    assert_eq!((lines.len(), lines[0].by[0].says.as_str()), (1, "Made for the kerb side."));
    let (lines, _) = asked(&compiled(BRANCHES), &["arm=powered", "load=30 kg"], "side,name\nroad,x\nkerb,y\n");
    assert_eq!(lines.iter().map(|one| one.verdict.as_str()).collect::<Vec<_>>(), ["no", "fits"]);
}

/// Whatever is exact in a row, tailoring refuses it where the row does not fit, and makes a build of that name where it does.
#[test]
fn a_row_fits_where_a_build_for_it_can_be_made() {
    let text = include_str!("../procedures/kestrel-rack.fitw");
    let figure = include_str!("../procedures/figures/kestrel-rail.svg");
    let world = Memory::default().with("kestrel-rack.fitw", text).with("figures/kestrel-rail.svg", figure);
    let kestrel = compile::check("kestrel-rack.fitw", &world);
    let mut table = "roof-rating [kg],ladder-mass\n".to_owned();
    for (roof, ladder) in [
        ("69", "31 kg"),
        ("68.99", "31 kg"),
        ("120", "45 kg"),
        ("120", "45.01 kg"),
        ("300", "60 kg"),
        ("50", "12 kg"),
        ("150 lb", "66 lb"),
    ] {
        table.push_str(&format!("{roof},{ladder}\n"));
    }
    let (lines, _) = asked(&kestrel, &[], &table);
    let procedure = kestrel.procedure().expect("resolved");
    let mut made = 0;
    for line in &lines {
        let mut wishes: Vec<Wish> =
            line.choice.iter().map(|(name, value)| Wish { name: name.clone(), value: value.clone() }).collect();
        let roof = &line.row["roof-rating [kg]"];
        let roof = if roof.ends_with("lb") { roof.clone() } else { format!("{roof} kg") };
        wishes.push(Wish { name: "roof-rating".into(), value: roof });
        wishes.push(Wish { name: "ladder-mass".into(), value: line.row["ladder-mass"].clone() });
        let tailored = tailor(procedure, &wishes);
        assert_eq!(tailored.is_ok(), line.verdict == "fits", "{line:?}");
        made += usize::from(tailored.is_ok());
    }
    assert!(made > 5 && made < lines.len(), "{made} of {}", lines.len());
}

#[test]
fn a_head_that_cannot_be_used_is_refused_and_a_near_one_is_told() {
    let small = compiled(LOADS);
    let procedure = small.procedure().expect("resolved");
    let head = |line: &str, wishes: &[Wish]| {
        Fit::new(procedure, &cells(line), wishes, None).map(|fit| fit.head().remarks.clone())
    };
    for (line, why) in [
        ("load [kilo]", "not a unit"),
        ("load [mm]", "a unit of a length"),
        ("load,load [kg]", "a second time"),
        ("load;rail", "semicolons"),
        ("fit_line,load", "those of the answer"),
    ] {
        let said = head(line, &[]).expect_err(line);
        assert!(said.contains(why), "{line}: {said}");
    }
    let settled = [Wish::parse("load=30 kg").expect("a wish")];
    assert!(head("load", &settled).expect_err("settled").contains("--with settles"));
    assert!(head("Rail,x", &[]).expect("it comes through")[0].contains("did you mean `rail`"));
    assert!(head("x,x,", &[]).expect("columns may be alike").is_empty());
}

#[test]
fn too_many_choices_are_said_and_not_gone_through() {
    let options: String = (0..11).map(|n| format!("option o{n} \"O{n}\" {{ a b }}\n")).collect();
    let many = compiled(&format!("{options}{LOADS}"));
    let (lines, _) = asked(&many, &[], "load [kg],rail [kg]\n40,48\n");
    assert!(lines[0].messages[0].says.contains("2048 choices open"), "{:?}", lines[0]);
    let (lines, _) = asked(&many, &["o0=a"], "load [kg],rail [kg]\n40,48\n");
    assert_eq!(lines.len(), 1024);
    let options: String = (0..17).map(|n| format!("option o{n} \"O{n}\" {{ a b }}\n")).collect();
    let many = compiled(&format!("{options}{LOADS}"));
    let procedure = many.procedure().expect("resolved");
    let said = Fit::new(procedure, &cells("load"), &[], None).expect_err("131072");
    assert!(said.contains("settle some with --with"), "{said}");
}
