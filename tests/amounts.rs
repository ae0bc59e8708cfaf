//! Parts by length, volume and mass, ranges of counts, numbers that nobody knows, parts made of others. The sums are worked by
//! hand beside each; the inch is 25.4 mm exactly (NIST SP 811).

use fitwright::compile::{self, Compiled};
use fitwright::diagnostics::{Code, Finding};
use fitwright::tailor::Wish;
use fitwright::world::Memory;
use serde_json::Value;

const HEAD: &str =
    "procedure small \"Small\"\nrevision A 2026-11-02\nunits metric\noption arm \"Arm\" { strut  powered }\n";

fn compiled(kit: &str, steps: &str) -> Compiled {
    let parts: String = ["loom", "locker", "shim", "clip", "rail", "half"]
        .iter()
        .filter(|name| kit.contains(**name) || steps.contains(**name))
        .map(|name| format!("part {name} \"The {name}\"\n"))
        .collect();
    let text = format!(
        "{HEAD}{parts}kit {{ {kit} }}\nsection work \"Work\" {{\n{steps}\nstep end \"End\" when arm is powered {{ note \"Look it over.\" }}\nhandover {{ sign installer }}\n}}\n"
    );
    compile::check("small.fitw", &Memory::default().with("small.fitw", text))
}

fn of(compiled: &Compiled, code: Code) -> Option<&Finding> {
    compiled.findings().iter().find(|finding| finding.code == code)
}

fn outcome(finding: &Finding) -> &str {
    finding.case.as_ref().and_then(|case| case.outcome.as_deref()).unwrap_or_default()
}

/// Nothing is said of parts.
fn silent(compiled: &Compiled) {
    let told: Vec<_> = compiled.findings().iter().map(|finding| (finding.code, &finding.message)).collect();
    assert!(told.iter().all(|(code, _)| !code.text().starts_with("FW06")) && !compiled.has_errors(), "{told:?}");
}

#[test]
fn amounts_add_up_exactly_in_whatever_units() {
    // 2 × 254 mm + 27.5 in = 508 mm + 698.5 mm = 1206.5 mm.
    let steps = "step one \"One\" { take 254 mm loom  \n take 254 mm loom }\nstep two \"Two\" { take 27.5 in loom }";
    silent(&compiled("box { 1.2065 m loom }", steps));
    let short = compiled("box { 1.2064 m loom }", steps);
    let finding = of(&short, Code::FW0603).expect("a tenth of a millimetre is missing");
    assert_eq!(finding.message, "`loom` is short by 0.0001 m in the worst configuration");
    assert_eq!(outcome(finding), "1.2065 m `loom` taken, 1.2064 m supplied");
}

#[test]
fn the_worst_configuration_is_told_and_what_is_left_is_not() {
    let steps = "step one \"One\" { take 12 mL locker }\nstep two \"Two\" when arm is powered { take 9 ml locker }";
    let short = compiled("shop { 20 ml locker }", steps);
    let finding = of(&short, Code::FW0603).expect("21 ml of 20 ml");
    assert!(finding.message.starts_with("`locker` is short by 1 "), "{}", finding.message);
    let inputs = &finding.case.as_ref().expect("a case").inputs;
    assert!(format!("{inputs:?}").contains("powered"), "{inputs:?}");
    silent(&compiled("shop { 12 ml locker }  bag B when arm is powered { 30 ml locker }", steps));
}

#[test]
fn the_least_is_supplied_and_the_most_is_taken() {
    silent(&compiled("bag A { 4 shim }", "step one \"One\" { take 2 to 4 shim }"));
    silent(&compiled("bag A { 4 to 6 shim }", "step one \"One\" { take 2 to 4 shim }"));
    let short = compiled("bag A { 3 shim }", "step one \"One\" { take 2 to 4 shim }");
    assert_eq!(outcome(of(&short, Code::FW0603).expect("short")), "4 `shim` taken, 3 supplied");
    let short = compiled("bag A { 3 to 9 shim }", "step one \"One\" { take 4 shim }");
    assert_eq!(outcome(of(&short, Code::FW0603).expect("short")), "4 `shim` taken, 3 supplied");
    // What no number of the range needs is left over all the same.
    let left = compiled("bag A { 6 shim }", "step one \"One\" { take 2 to 4 shim }");
    assert!(of(&left, Code::FW0610).expect("two are left").message.starts_with("at least 2 "));
}

/// Each number that the job may turn out to need is tried: the kit is short where it lacks one of them, and holds too many where
/// even the most of them leaves some.
#[test]
fn from_none_to_some_every_number_must_be_there() {
    for supplied in 1..=5_u32 {
        for (least, most) in [(0, 1), (0, 3), (1, 3), (2, 4)] {
            let steps = format!("step one \"One\" {{ take {least} to {most} shim }}");
            let made = compiled(&format!("bag A {{ {supplied} shim }}"), &steps);
            let short = (least..=most).any(|needed| needed > supplied);
            let over = (least..=most).all(|needed| needed < supplied);
            assert_eq!(of(&made, Code::FW0603).is_some(), short, "{least} to {most} of {supplied}");
            assert_eq!(of(&made, Code::FW0610).is_some(), over, "{least} to {most} of {supplied}");
        }
    }
    // Of none to three, none can come off again for certain.
    let off = "step one \"One\" { take 0 to 3 shim }\nstep two \"Two\" { remove 1 shim by hand\n discard 1 shim }";
    assert!(of(&compiled("bag A { 3 shim }", off), Code::FW0609).is_some());
    let list = outputs(&compiled("bag A { 3 shim }", "step one \"One\" { take 0 to 3 shim }"), "checklist.json");
    assert!(list.contains("Take 0 to 3 × The shim (bag A)."), "{list}");
    assert!(of(&compiled("bag A { 4 shim }", "step one \"One\" { take 0 shim }"), Code::FW0309).is_some());
}

/// How many a range became is written down where the line asks for it: on paper, on the tablet, in the record.
#[test]
fn how_many_a_range_became_is_asked_for() {
    let step = |taken: &str| format!("step one \"One\" {{ take {taken} }}");
    let asked = compiled("bag A { 3 shim, 4 rail }", &step("0 to 3 shim recorded, 4 rail"));
    silent(&asked);
    let list: serde_json::Value = serde_json::from_str(&outputs(&asked, "checklist.json")).expect("JSON");
    let lines = list.pointer("/flow/0/body/0/lines").expect("lines");
    assert_eq!(lines[0]["id"], "one.take.shim+rail");
    assert_eq!(
        lines[1],
        serde_json::json!({"id": "one.record.shim", "does": {"kind": "record-text",
            "what": "The shim: how many were taken", "number": {"parts": ["shim"], "least": 0, "most": 3}}})
    );
    assert!(lines.get(2).is_none());
    let manual = outputs(&asked, "manual.html");
    assert!(manual.contains("The shim: how many were taken"), "no room for it");
    assert!(manual.contains("(0 to 3)"), "no range beside it");
    // Of parts that stand for one another it is one number, of whichever was there.
    let either = compiled("bag A { 4 clip or shim }", &step("2 to 4 clip or shim recorded"));
    silent(&either);
    let list: serde_json::Value = serde_json::from_str(&outputs(&either, "checklist.json")).expect("JSON");
    let number = list.pointer("/flow/0/body/0/lines/1/does/number").expect("a number");
    assert_eq!(*number, serde_json::json!({"parts": ["clip", "shim"], "least": 2, "most": 4}));
    // Where the number is said already, or is none, there is nothing to ask.
    for (kit, taken) in
        [("3 shim", "3 shim recorded"), ("1.2 m loom", "600 mm loom recorded"), ("3 shim recorded", "3 shim")]
    {
        let text = compiled(&format!("bag A {{ {kit} }}"), &step(taken));
        assert!(of(&text, Code::FW0110).is_some(), "{kit}, {taken}");
    }
}

#[test]
fn no_more_than_the_least_of_a_range_can_come_off_again() {
    let steps = |count| {
        format!(
            "step one \"One\" {{ take 2 to 4 shim }}\nstep two \"Two\" {{ remove {count} shim by hand\n discard {count} shim }}"
        )
    };
    silent(&compiled("bag A { 4 shim }", &steps(2)));
    assert!(of(&compiled("bag A { 4 shim }", &steps(3)), Code::FW0609).is_some());
}

#[test]
fn of_an_unknown_number_nothing_is_judged_where_the_bag_is_there() {
    let steps = "step one \"One\" { take 400 clip }";
    let known = compiled("bag A { unknown clip \"It is filled by weight.\" }", steps);
    silent(&known);
    let open: Vec<String> = known.account().open.iter().map(|one| format!("{}: {}", one.subject, one.why)).collect();
    assert_eq!(open, ["The clip (clip): unknown: It is filled by weight"]);
    // The bag that only some fittings get says nothing of the others.
    let short =
        compiled("bag A when arm is powered { unknown clip \"It is filled by weight.\" }  bag B { 9 clip }", steps);
    let finding = of(&short, Code::FW0603).expect("391 are missing with the strut");
    assert_eq!(outcome(finding), "400 `clip` taken, 9 supplied");
}

#[test]
fn what_is_made_is_there_from_then_on() {
    let make = "step make \"Make\" { make 2 half from 1 rail by hand }";
    silent(&compiled("box { 1 rail }", &format!("{make}\nstep fit \"Fit\" {{ take 2 half }}")));
    // Made and supplied add up: 2 + 1.
    silent(&compiled("box { 1 rail, 1 half }", &format!("{make}\nstep fit \"Fit\" {{ take 3 half }}")));
    silent(&compiled(
        "box { 1 rail, 1 half }",
        &format!("step fit \"Fit\" {{ take 1 half }}\n{make}\nstep then \"Then\" {{ take 2 half }}"),
    ));
    let early = compiled(
        "box { 1 rail, 1 half }",
        &format!("step fit \"Fit\" {{ take 2 half }}\n{make}\nstep then \"Then\" {{ take 1 half }}"),
    );
    let finding = of(&early, Code::FW0603).expect("one too early");
    assert_eq!(finding.message, "`half` is short by 1: it is taken before it is made");
    assert_eq!(outcome(finding), "2 `half` taken, 1 supplied so far");
    // On one path it is never made.
    let some =
        "step make \"Make\" when arm is powered { make 2 half from 1 rail by hand }\nstep fit \"Fit\" { take 2 half }";
    let finding_on_one = compiled("box when arm is powered { 1 rail }", some);
    assert_eq!(outcome(of(&finding_on_one, Code::FW0603).expect("not made")), "2 `half` taken, 0 supplied");
    // What is used up is gone, and what is made for nothing is told.
    let twice = compiled("box { 1 rail }", &format!("{make}\nstep fit \"Fit\" {{ take 2 half, 1 rail }}"));
    assert!(of(&twice, Code::FW0603).expect("a rail").message.starts_with("`rail` is short by 1 "));
    assert!(
        of(&compiled("box { 1 rail }", make), Code::FW0602).expect("for nothing").message.contains("`half` is made")
    );
    assert!(
        of(&compiled("box { 1 rail }", &format!("{make}\nstep fit \"Fit\" {{ take 1 half }}")), Code::FW0610).is_some()
    );
}

/// A part made of others in a loop: each round uses up and makes anew.
#[test]
fn a_repair_that_makes_a_part_counts_every_round() {
    let steps = "observe fits \"Does it fit?\" { yes  no }";
    let text = |rails: u32| {
        format!(
            "{HEAD}part rail \"Rail\"\npart half \"Half\"\n{steps}\nkit {{ box {{ {rails} rail }} }}\nsection work \"Work\" {{\n\
             check fit \"Fit\" {{ note \"Look at it.\"\n read fits\n expect fits is yes\n repair at most 2 times {{\n\
             step again \"Again\" {{ make 1 half from 1 rail by hand\n take 1 half }}\n }}\n else stop \"Call the maker.\"\n }}\n\
             step end \"End\" when arm is powered {{ note \"Look it over.\" }}\nhandover {{ sign installer }}\n}}\n"
        )
    };
    let check = |rails| compile::check("small.fitw", &Memory::default().with("small.fitw", text(rails)));
    assert!(of(&check(2), Code::FW0603).is_none());
    assert_eq!(outcome(of(&check(1), Code::FW0603).expect("the second round")), "2 `rail` taken, 1 supplied");
}

#[test]
fn amounts_that_cannot_be_are_refused_and_nothing_breaks() {
    let codes = |kit: &str, steps: &str| -> Vec<&'static str> {
        compiled(kit, steps).findings().iter().map(|finding| finding.code.text()).collect()
    };
    let take = |what: &str| format!("step one \"One\" {{ take {what} }}");
    assert!(codes("box { 1.2 m loom }", &take("20 ml loom")).contains(&"FW0302"));
    assert!(codes("box { 1.2 m loom }", &take("2 loom")).contains(&"FW0302"));
    assert!(codes("box { 1.2 m loom }", &take("loom")).contains(&"FW0302"));
    assert!(codes("box { 3 loom }", &take("1 m loom")).contains(&"FW0302"));
    assert!(codes("box { 1.2 m loom }", &take("5 V loom")).contains(&"FW0302"));
    assert!(codes("box { 1.2 m loom }", &take("5 furlong loom")).contains(&"FW0301"));
    assert!(codes("box { 1.2 m loom }", &take("-1 m loom")).contains(&"FW0309"));
    assert!(codes("bag A { 4 to 4 shim }", &take("4 shim")).contains(&"FW0305"));
    assert!(codes("bag A { 0 to 4 shim }", &take("4 shim")).contains(&"FW0309"));
    assert!(
        codes("bag A { 4 shim }", "step one \"One\" { take 4 shim\n remove unknown shim \"Nobody knows.\" by hand }")
            .contains(&"FW0110")
    );
    assert!(
        codes("bag A { 2 rail }", "step one \"One\" { make 1 to 2 half from 1 rail by hand\n take 1 half }")
            .contains(&"FW0110")
    );
    assert!(
        codes("bag A { 4 shim }", "step one \"One\" { take 4 shim\n remove 1 m shim by hand }").contains(&"FW0110")
    );
    // Numbers that no sum can hold are told, and end in no verdict that is wrong.
    let fine = "0.00000000000000000000000000001 m loom, 0.00000000000000000000000000003 in loom";
    assert!(!codes("box { 1000000 km loom }", &take(fine)).contains(&"FW0601"));
    codes("box { 4000000000 km loom }", &take("4000000000 km loom, 1 um loom"));
}

fn outputs(compiled: &Compiled, name: &str) -> String {
    let outputs = compile::build(compiled).expect("no errors").expect("outputs");
    let file = outputs.file(name).expect("the file");
    String::from_utf8(file.to_vec()).expect("text").replace('\u{a0}', " ")
}

const KIT: &str = "box { 1.2 m loom, 1 rail }  bag A { 2 to 4 shim, unknown clip \"It is filled by weight.\" }  bag A { 250 mm loom }";
const STEPS: &str = "step one \"One\" { take 600 mm loom, 1 to 2 shim\n take 5 clip }\n\
    step two \"Two\" when arm is powered { make 2 half from 1 rail, 300 mm loom by hand\n take 2 half }\n\
    step three \"Three\" when arm is strut { take 1 rail }";

#[test]
fn each_output_says_how_much() {
    let compiled = compiled(KIT, STEPS);
    silent(&compiled);
    let manual = outputs(&compiled, "manual.html");
    for words in [
        "<b>600 mm </b>The loom",
        "1 to 2 × ",
        "2 to 4",
        "number unknown",
        "<b>2 × </b>The half from ",
        "It is filled by weight",
    ] {
        assert!(manual.contains(words) || manual.replace("strong>", "b>").contains(words), "{words}\n{manual}");
    }
    let packing = outputs(&compiled, "packing-list.csv");
    assert!(packing.starts_with("\u{feff}pack,name,title,count,amount,detail,"), "{packing}");
    for row in [
        "Box,loom,The loom,,1.2 m,",
        "Bag A,shim,The shim,,2 to 4,",
        "Bag A,clip,The clip,,number unknown,It is filled by weight.,",
        "Box,rail,The rail,1,,",
    ] {
        assert!(packing.contains(row), "{row}\n{packing}");
    }
    assert!(outputs(&compiled, "pick-list.csv").contains("part,Box,loom,The loom,,1.2 m,"));
    assert!(outputs(&compiled, "pick-list.html").contains(">1.2 m<"));
}

/// Who reads an older version of the checklist shows the words of the text.
#[test]
fn the_checklist_says_it_as_a_text_and_as_data() {
    let list: Value = serde_json::from_str(&outputs(&compiled(KIT, STEPS), "checklist.json")).expect("JSON");
    let steps = list.to_string();
    assert!(steps.contains("Take 600 mm The loom (the box or bag A); 1 to 2 × The shim (bag A)."), "{steps}");
    assert!(
        steps.contains("Make 2 × The half from 1 × The rail (the box); 300 mm The loom (the box or bag A)."),
        "{steps}"
    );
    assert!(steps.contains("\"amount\":{\"unit\":\"mm\",\"value\":\"600\"}"), "{steps}");
    assert!(
        steps.contains(
            "\"count\":1,\"from\":\"bag A\",\"kit\":[\"bag-A\"],\"much\":\"1 to 2\",\"part\":\"shim\",\"up_to\":2"
        ),
        "{steps}"
    );
}

#[test]
fn a_fitting_keeps_what_it_takes_and_makes() {
    let compiled = compiled(KIT, STEPS);
    let wish = |value: &str| [Wish { name: "arm".to_owned(), value: value.to_owned() }];
    let built = |value| {
        compile::build_tailored(&compiled, &wish(value)).expect("no errors").unwrap_or_else(|_| panic!("a fitting"))
    };
    let file = |value, name: &str| {
        let outputs = built(value).outputs.expect("outputs");
        String::from_utf8(outputs.file(name).expect("the file").to_vec()).expect("text")
    };
    let powered = file("powered", "checklist.json");
    assert!(powered.contains("The half") && powered.contains("300"), "{powered}");
    let strut = file("strut", "checklist.json");
    assert!(!strut.contains("The half") && strut.contains("600"), "{strut}");
}

#[test]
fn each_of_parts_that_stand_for_one_another_must_be_enough_by_itself() {
    let take = "step one \"One\" { take 4 clip or shim }\nstep two \"Two\" when arm is powered { take 2 clip or shim }";
    silent(&compiled("bag A { 4 clip or shim }  bag B when arm is powered { 2 clip or shim }", take));
    // Both are there, and what is not taken of the other is no fault.
    silent(&compiled("bag A { 4 clip, 4 shim }  bag B when arm is powered { 2 clip, 2 shim }", take));
    silent(&compiled("bag A { 4 clip, unknown shim \"By weight.\" }  bag B when arm is powered { 2 clip }", take));
    let short = compiled(
        "bag A { 6 clip or shim }  bag B when arm is strut { 9 shim }",
        "step one \"One\" { take 7 clip or shim }",
    );
    let finding = of(&short, Code::FW0603).expect("six of seven");
    assert_eq!(finding.message, "`clip` is short by 1 in the worst configuration");
    assert_eq!(outcome(finding), "7 `clip` taken, 6 supplied");
    assert!(finding.reason.as_deref().is_some_and(|reason| reason.contains("and `shim` as well")), "{finding:?}");
    // Both together would do, and either alone does not: nobody said that they may be mixed.
    let short = compiled("bag A { 3 clip, 3 shim }", "step one \"One\" { take 4 clip or shim }");
    assert_eq!(short.findings().iter().filter(|finding| finding.code == Code::FW0603).count(), 2);
    let lacking = compiled("bag A { 4 clip }", "step one \"One\" { take 4 clip or shim }");
    assert_eq!(of(&lacking, Code::FW0601).expect("no shim").message, "nothing supplies `shim`");
}

#[test]
fn a_line_that_names_one_alone_finds_none_where_the_kit_has_the_other() {
    let steps = "step one \"One\" { take 4 clip or shim }\nstep two \"Two\" when arm is powered { take 2 clip }";
    let short = compiled("bag A { 6 clip or shim }", steps);
    let finding = of(&short, Code::FW0603).expect("the bag may hold shims");
    assert_eq!(outcome(finding), "2 `clip` taken, 0 supplied");
    assert_eq!(finding.message, "`clip` is short by 2 in the worst configuration");
    assert!(finding.reason.as_deref().is_some_and(|reason| reason.contains("has `shim` in its place")), "{finding:?}");
    silent(&compiled("bag A { 4 clip or shim }  bag B when arm is powered { 2 clip }", steps));
    // What is never taken is told however the kit puts it.
    assert!(of(&compiled("bag A { 4 clip or shim }", "step one \"One\" { take 4 clip }"), Code::FW0602).is_some());
    let left = compiled("bag A { 6 clip or shim }", "step one \"One\" { take 4 clip or shim }");
    assert!(of(&left, Code::FW0610).expect("two are left").message.starts_with("at least 2 "));
    // None is sure to be there to come off again.
    let off = "step one \"One\" { take 4 clip or shim }\nstep two \"Two\" { remove 2 clip by hand\n discard 2 clip }";
    assert!(of(&compiled("bag A { 4 clip or shim }", off), Code::FW0609).is_some());
}

#[test]
fn parts_that_stand_for_one_another_are_said_alike_everywhere() {
    let compiled = compiled(
        "bag A { 4 clip or shim, 250 mm loom or locker }",
        "step one \"One\" { take 4 clip or shim, 250 mm loom or locker }",
    );
    silent(&compiled);
    let file = |name: &str| outputs(&compiled, name);
    let checklist: Value = serde_json::from_str(&file("checklist.json")).expect("JSON");
    let kit = &checklist["kit"][0]["entries"];
    assert_eq!(
        (&kit[0]["part"], &kit[0]["or"], &kit[0]["count"]),
        (&"clip".into(), &serde_json::json!(["shim"]), &4.into())
    );
    assert_eq!(kit.as_array().expect("entries").len(), 2);
    let text = checklist.to_string().replace('\u{a0}', " ");
    assert!(text.contains("Take 4 × The clip or The shim (bag A); 250 mm The loom or The locker (bag A)."), "{text}");
    for name in ["manual.html", "pick-list.html", "packing-list.html", "pick-list.csv", "packing-list.csv"] {
        assert!(file(name).contains("The clip or The shim"), "{name}");
    }
    assert!(file("packing-list.csv").contains("clip or shim,The clip or The shim,4,"), "{}", file("packing-list.csv"));
}

/// A row of shims on rails, before the kit or on the vehicle.
fn row(more: &str, kit: &str, steps: &str) -> Compiled {
    let row = format!(
        "joint row \"Row of shims\" {{\n  each shim, 2 rail\n  count unknown \"The drawing shows a row of them.\"\n  tight \"flat on the wall\"\n{more}}}"
    );
    compiled(&format!("{kit} }}\n{row}\noption lid \"Lid\" {{ flat  domed"), steps)
}

#[test]
fn of_a_joint_that_nobody_counted_no_output_makes_up_a_number() {
    let placed = row(
        "",
        "bag A { 20 shim, 20 rail }",
        "step one \"One\" { place row\n snug row by hand\n tighten row by hand }",
    );
    silent(&placed);
    let open: Vec<String> =
        placed.account().open.iter().map(|one| format!("{}: {}: {}", one.subject, one.what, one.why)).collect();
    assert!(
        open.contains(&"Row of shims (row): Number of fastenings: unknown: The drawing shows a row of them".to_owned()),
        "{open:?}"
    );
    let manual = outputs(&placed, "manual.html").replace("strong>", "b>");
    for words in [
        "<b>as many as there are: </b>the shim; 2 × the rail (bag A)",
        "All fastenings of <b>Row of shims</b>",
        ">number unknown<",
    ] {
        assert!(manual.contains(words), "{words}\n{manual}");
    }
    let list: Value = serde_json::from_str(&outputs(&placed, "checklist.json")).expect("JSON");
    let joint = &list["joints"][0];
    assert_eq!((&joint["count"], &joint["uncounted"]), (&1.into(), &"The drawing shows a row of them.".into()));
    // On the vehicle already, its parts are listed without a number too.
    let there = row("  on vehicle\n", "bag A { 1 half }", "step one \"One\" { take 1 half }");
    silent(&there);
    let manual = outputs(&there, "manual.html").replace("strong>", "b>");
    assert!(manual.contains("<b>as many as there are:</b> The shim"), "{manual}");
}

#[test]
fn what_a_line_takes_that_nobody_counted_is_said_as_such() {
    let known = compiled("bag A { 9 clip }", "step one \"One\" { take unknown clip \"The sheet says: with clips.\" }");
    silent(&known);
    let open: Vec<String> = known.account().open.iter().map(|one| format!("{}: {}", one.subject, one.why)).collect();
    assert_eq!(open, ["The clip (clip): unknown: The sheet says: with clips"]);
    let manual = outputs(&known, "manual.html").replace("strong>", "b>");
    assert!(manual.contains("<b>as many as there are: </b>The clip (bag A)"), "{manual}");
    let list = outputs(&known, "checklist.json");
    assert!(list.contains("Take as many as there are: The clip (bag A)."), "{list}");
}
