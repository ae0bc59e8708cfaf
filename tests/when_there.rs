//! States that are there and givens that are asked for under a condition only: what needs, changes, looks at or tells them elsewhere
//! is told, what stands under their condition is not, and nothing is proved by a state that is not there.

use fitwright::compile;
use fitwright::diagnostics::Code;
use fitwright::tailor::{Refusal, Wish, tailor};
use fitwright::world::Memory;
use serde_json::Value;

const HEAD: &str = "procedure locker \"Locker\"\noption heater \"Heater\" { none \"None\"  gas \"Gas heater\" }\n";

fn compiled(declared: &str, body: &str) -> compile::Compiled {
    let text = format!("{HEAD}{declared}section work \"Work\" {{\n{body}\n  handover {{ sign installer }}\n}}\n");
    compile::check("locker.fitw", &Memory::default().with("locker.fitw", text.as_str()))
}

fn codes(declared: &str, body: &str) -> Vec<Code> {
    compiled(declared, body).findings().iter().map(|finding| finding.code).collect()
}

const VALVE: &str =
    "state valve \"Gas valve\" when heater is gas { open \"open\"  shut \"shut\"  starts open  ends open }\n";
const SHUT: &str =
    "step shut \"Shut\" when heater is gas {\n  > Shut the valve.\n  make valve shut\n  need valve shut\n}\n";
const OPEN: &str = "step open \"Open\" when heater is gas {\n  > Open the valve.\n  make valve open\n}\n";
const DRILL: &str = "step drill \"Drill\" {\n  > Look at the floor.\n}\n";

#[test]
fn a_state_is_looked_after_where_it_is() {
    assert_eq!(codes(VALVE, &format!("{SHUT}{DRILL}{OPEN}")), []);
    // Left wrong where it is there: told as ever.
    assert_eq!(codes(VALVE, &format!("{SHUT}{DRILL}")), [Code::FW0802]);
    assert_eq!(
        codes(VALVE, &format!("{SHUT}{DRILL}when heater is gas {{ stop \"Call the maker.\" }}\n")),
        [Code::FW0803]
    );
    // Needed where it is there, and not made.
    let needs = "step weld \"Weld\" when heater is gas {\n  need valve shut\n  > Look at the frame.\n}\n";
    assert_eq!(codes(VALVE, needs), [Code::FW0801]);
    assert_eq!(codes(VALVE, &format!("{SHUT}{needs}{OPEN}")), []);
}

#[test]
fn a_state_is_told_once_where_it_is_not() {
    for line in ["need valve open", "make valve open", "note \"The [valve] is open.\""] {
        let step = format!("step look \"Look\" {{\n  > Look at it.\n  {line}\n}}\n");
        let found = codes(VALVE, &format!("{SHUT}{OPEN}{step}"));
        assert_eq!(found, [Code::FW0420], "{line}");
    }
    // What an action asks for is asked for where it is done.
    let action = format!("{VALVE}action weld \"Weld\" {{ need valve shut }}\n");
    let step = "step join \"Join\" {\n  do weld\n}\n";
    assert_eq!(codes(&action, &format!("{SHUT}{step}{OPEN}")), [Code::FW0420]);
    // The case names what it takes to come there.
    let compiled = compiled(VALVE, &format!("{SHUT}step look \"Look\" {{\n  > Look.\n  need valve shut\n}}\n{OPEN}"));
    let found = &compiled.findings()[0];
    assert!(format!("{found:?}").contains("None"), "{found:?}");
}

/// Common practice, and every workshop's rule: what isolates must be there. A switch that this fitting has not got cuts nothing off.
#[test]
fn a_state_that_is_not_there_isolates_nothing() {
    let circuit = |when: &str| {
        format!(
            "use std/wiring\nstate valve \"Isolating switch\" when heater is gas {{ on \"on\"  off \"off\"  starts off }}\ncircuit feed \"Feed\"{when} {{ source 12 V  load 10 A  run 3 m  wire 8 AWG copper  insulation 105 degC  ambient 50 degC  fuse 15 A at 100 mm  isolated by valve off }}\n"
        )
    };
    let work = |when: &str| {
        format!(
            "step source \"Source\"{when} {{\n  connect feed at source\n}}\nstep load \"Load\"{when} {{\n  connect feed at load\n}}\n"
        )
    };
    let everywhere = codes(&circuit(""), &work(""));
    assert!(everywhere.contains(&Code::FW0901), "{everywhere:?}");
    let there = codes(&circuit(" when heater is gas"), &work(" when heater is gas"));
    assert!(!there.contains(&Code::FW0901), "{there:?}");
}

const LOAD: &str = "given load \"Load on the roof\" when heater is gas { range 10 kg to 60 kg }\n";

#[test]
fn a_given_decides_where_it_is_asked() {
    let limit =
        |when: &str| format!("{LOAD}limit roof \"Roof\"{when} {{ load <= 50 kg  else stop \"Do not fit it.\" }}\n");
    assert_eq!(codes(&limit(" when heater is gas"), DRILL), []);
    assert_eq!(codes(&limit(""), DRILL), [Code::FW1004]);
    let rule = |when: &str| format!("{LOAD}require load <= 50 kg{when} \"It bears no more.\"\n");
    let told = "step told \"Told\" when heater is gas {\n  note \"It bears [load].\"\n}\n";
    assert_eq!(codes(&rule(" when heater is gas"), told), []);
    assert_eq!(codes(&rule(""), told), [Code::FW0406]);
    // A part of a rule that settles it before the number is looked at.
    let either = format!("{LOAD}require heater is none or load <= 50 kg \"It bears no more.\"\n");
    assert_eq!(codes(&either, told), []);
}

#[test]
fn a_given_is_told_where_it_is_not_asked() {
    let everywhere = "step told \"Told\" {\n  note \"It bears [load].\"\n}\n";
    assert_eq!(codes(LOAD, everywhere), [Code::FW0406]);
    let flow = "when load is over 50 kg {\n  step bar \"Bar\" {\n    > Fit the bar.\n  }\n}\n";
    assert_eq!(codes(LOAD, flow), [Code::FW0406]);
    let chosen = "choose load {\n  at most 50 kg { step light \"Light\" { > Light. } }\n  over 50 kg { step heavy \"Heavy\" { > Heavy. } }\n}\n";
    let chosen = chosen.replace("{ > Light. }", "{\n> Light.\n}").replace("{ > Heavy. }", "{\n> Heavy.\n}");
    assert_eq!(codes(LOAD, &chosen), [Code::FW0406]);
    assert_eq!(codes(LOAD, &format!("when heater is gas {{\n{chosen}}}\n")), []);
    let recorded = "step write \"Write\" {\n  > Look.\n  record load\n}\n";
    assert_eq!(codes(LOAD, recorded), [Code::FW0406]);
}

#[test]
fn a_given_is_there_by_options_alone() {
    let by_number = "given rating \"Rating\" { range 10 kg to 60 kg }\ngiven load \"Load\" when rating is over 20 kg { range 10 kg to 60 kg }\n";
    assert!(codes(by_number, DRILL).contains(&Code::FW0207));
    let itself = "given load \"Load\" when load is over 20 kg { range 10 kg to 60 kg }\n";
    assert!(!codes(itself, DRILL).is_empty());
    let read = "observe dry \"Is it dry?\" { yes  no }\ngiven load \"Load\" when dry is yes { range 10 kg to 60 kg }\n";
    assert!(codes(read, DRILL).contains(&Code::FW0207));
    // Never, or always: told as of every condition.
    let always = "given load \"Load\" when heater is none or heater is gas { range 10 kg to 60 kg }\n";
    let told = "step told \"Told\" {\n  note \"It bears [load].\"\n}\n";
    assert_eq!(codes(always, told), [Code::FW0410]);
}

fn wish(text: &str) -> Wish {
    Wish::parse(text).expect("a wish")
}

#[test]
fn a_fitting_has_what_it_is_asked_for_and_nothing_else() {
    let body =
        format!("{SHUT}{DRILL}{OPEN}step told \"Told\" when heater is gas {{\n  note \"It bears [load].\"\n}}\n");
    let compiled = compiled(&format!("{VALVE}{LOAD}"), &body);
    assert_eq!(compiled.findings().len(), 0, "{:?}", compiled.findings());
    let full = compiled.procedure().expect("it has no errors");
    let none = tailor(full, &[wish("heater=none")]).expect("it can be had");
    assert!(none.states.rows().is_empty() && none.numbers.rows().is_empty() && none.choices.rows().is_empty());
    let gas = tailor(full, &[wish("heater=gas")]).expect("it can be had");
    assert!(gas.states.rows()[0].when.is_none() && gas.numbers.rows()[0].when.is_none());
    let both = tailor(full, &[wish("heater=gas"), wish("load=20 kg")]).expect("it can be had");
    assert!(both.numbers.rows().is_empty());
    let refused = tailor(full, &[wish("heater=none"), wish("load=20 kg")]).expect_err("there is no such given");
    assert!(matches!(refused, Refusal::NotThere { .. }), "{refused:?}");
    assert_eq!(refused.words(compiled.sources()), "load is asked only when heater is gas, which is not chosen");
    // Before the option is chosen, both are open.
    let load = tailor(full, &[wish("load=20 kg")]).expect("it can be had");
    assert_eq!(load.states.rows().len(), 1);
}

#[test]
fn the_checklist_says_where_they_are() {
    let body =
        format!("{SHUT}{DRILL}{OPEN}step told \"Told\" when heater is gas {{\n  note \"It bears [load].\"\n}}\n");
    let compiled = compiled(&format!("{VALVE}{LOAD}"), &body);
    let outputs = compile::build(&compiled).expect("no errors").expect("outputs");
    let text = |name: &str| String::from_utf8(outputs.file(name).expect("the file").to_vec()).expect("text");
    let checklist: Value = serde_json::from_str(&text("checklist.json")).expect("JSON");
    let is_gas = serde_json::json!({"op": "is", "input": "heater", "value": "gas"});
    assert_eq!(checklist["states"][0]["when"], is_gas);
    let given =
        checklist["inputs"].as_array().expect("a list").iter().find(|one| one["id"] == "load").expect("the given");
    assert_eq!(given["when"], is_gas);
    let manual = text("manual.html").replace('\u{a0}', " ");
    assert!(manual.contains("only when"), "the manual says where the number is asked");
}

/// Who hands over a vehicle without the valve must not look for one; where a stop is for the others alone, nothing need be said.
#[test]
fn where_the_vehicle_leaves_it_is_said_which_have_it() {
    let stop = "when heater is gas {\n  stop \"Call the maker.\"\n}\n";
    let manual = |body: &str| {
        let compiled = compiled(VALVE, body);
        let outputs = compile::build(&compiled).expect("no errors").expect("outputs");
        String::from_utf8(outputs.file("manual.html").expect("the manual").to_vec())
            .expect("text")
            .replace('\u{a0}', " ")
    };
    let handed_over = manual(&format!("{SHUT}{DRILL}{OPEN}"));
    assert_eq!(handed_over.matches("Gas valve: open; only when Heater: gas heater").count(), 1);
    let stopped = manual(&format!("{SHUT}{stop}"));
    assert!(stopped.contains("Gas valve: open") && !stopped.contains("Gas valve: open; only when"), "{stopped}");
}

#[test]
fn each_place_has_its_state_where_the_condition_holds() {
    let declared = "each side \"Side\" { left \"left\"  right \"right\" }\nstate latch \"Latch\" for each side when heater is gas { open \"open\"  shut \"shut\"  starts open  ends open }\n";
    let body = |when: &str| {
        format!(
            "for each side {{\n  step shut \"Shut\"{when} {{\n    > Shut the latch.\n    make latch shut\n  }}\n  step open \"Open\"{when} {{\n    > Open it.\n    need latch shut\n    make latch open\n  }}\n}}\n"
        )
    };
    assert_eq!(codes(declared, &body(" when heater is gas")), []);
    assert!(codes(declared, &body("")).iter().all(|code| *code == Code::FW0420));
    assert!(!codes(declared, &body("")).is_empty());
}

#[test]
fn damaged_conditions_are_told() {
    for declared in [
        "state valve \"Gas valve\" when { open \"open\"  shut \"shut\"  starts open }\n",
        "state valve \"Gas valve\" when heater { open \"open\"  shut \"shut\"  starts open }\n",
        "state valve \"Gas valve\" when heater is oil { open \"open\"  shut \"shut\"  starts open }\n",
        "state valve \"Gas valve\" when valve is open { open \"open\"  shut \"shut\"  starts open }\n",
        "state valve when heater is gas \"Gas valve\" { open \"open\"  shut \"shut\"  starts open }\n",
        "given load \"Load\" when { range 10 kg to 60 kg }\n",
        "given load \"Load\" when heater is gas when heater is gas { range 10 kg to 60 kg }\n",
        "given load \"Load\" when heater is oil { range 10 kg to 60 kg }\n",
        "given load \"Load\" else { range 10 kg to 60 kg }\n",
        "measure load \"Load\" when heater is gas { range 10 kg to 60 kg  reads 1 kg }\n",
    ] {
        let compiled = compiled(declared, DRILL);
        assert!(compiled.findings().iter().any(|finding| finding.code != Code::FW0407), "{declared}");
        assert!(compiled.procedure().is_none() || !compiled.findings().is_empty(), "{declared}");
    }
}
