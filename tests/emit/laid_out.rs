//! What is laid out, for which fittings: the pick-list, the manual, the checklist and FW0512 tell of one list of tools.
//!
//! The list of the full procedure is held to those of its fittings: what of it applies to a fitting is what the procedure
//! that was tailored for this fitting lists, and FW0512 is raised for the full procedure where it is for one of the fittings.

use std::collections::BTreeMap;

use fitwright::compile::{self, Compiled};
use fitwright::diagnostics::{Code, Finding};
use fitwright::emit::Outputs;
use fitwright::tailor::Wish;
use fitwright::world::Memory;
use serde_json::Value;

use super::truth::{read, table};
use super::{file, small};

/// A socket that a powered arm needs, and a nut that a socket or a spanner turns whatever the arm.
const ONE_SERVES: &str = "step a \"A\" when arm is powered {\n use socket-13\n}\n\
    step b \"B\" {\n use socket-13 or spanner-13\n}";

const ARM: &str = "option arm \"Arm\" { strut \"Strut\"  powered \"Powered\" }";

fn checked(declarations: &str, steps: &str) -> Compiled {
    let text = small(declarations, steps);
    compile::check("small.fitw", &Memory::default().with("small.fitw", &*text))
}

fn built(compiled: &Compiled) -> Outputs {
    let messages = || compiled.findings().iter().map(|finding| &finding.message).collect::<Vec<_>>();
    compile::build(compiled).unwrap_or_else(|| panic!("{:?}", messages())).expect("outputs")
}

fn note(findings: &[Finding]) -> Option<&Finding> {
    findings.iter().find(|finding| finding.code == Code::FW0512)
}

/// Whether a condition of the checklist holds for a fitting; only what these procedures write is read.
fn holds(condition: &Value, fitting: &BTreeMap<&str, &str>) -> bool {
    let parts = || condition["of"].as_array().expect("parts").iter();
    match condition["op"].as_str().expect("an operator") {
        "is" => {
            let input = condition["input"].as_str().expect("an input");
            fitting[input] == condition["value"].as_str().expect("a value")
        }
        "not" => !holds(&condition["of"], fitting),
        "all" => parts().all(|part| holds(part, fitting)),
        "any" => parts().any(|part| holds(part, fitting)),
        other => panic!("{other}"),
    }
}

/// The rows of the checklist that apply to a fitting: the alternatives and how many.
fn rows(outputs: &Outputs, fitting: &BTreeMap<&str, &str>) -> Vec<(String, u64)> {
    let checklist: Value = serde_json::from_str(file(outputs, "checklist.json")).expect("JSON");
    let all = checklist["lay_out"].as_array().expect("rows").clone();
    let applies = all.iter().filter(|row| row.get("needed_if").is_none_or(|condition| holds(condition, fitting)));
    let names = |row: &Value| {
        let names: Vec<&str> = row["any_of"].as_array().expect("names").iter().filter_map(Value::as_str).collect();
        names.join(" or ")
    };
    applies.map(|row| (names(row), row["count"].as_u64().expect("a count"))).collect()
}

#[test]
fn where_one_socket_serves_no_second_tool_is_laid_out() {
    let compiled = checked(ARM, ONE_SERVES);
    assert!(note(compiled.findings()).is_none(), "each fitting has one tool, and no list can be shorter");
    let outputs = built(&compiled);
    let listed: Vec<(String, String)> = table(&outputs, "pick-list.csv")
        .into_iter()
        .filter(|row| row["kind"] == "tool")
        .map(|row| (row["name"].clone(), row["when"].clone()))
        .collect();
    let row = |name: &str, when: &str| (name.to_owned(), when.to_owned());
    assert_eq!(listed, [row("socket-13", "Arm: powered"), row("socket-13 or spanner-13", "Arm: strut")]);
    let manual = read(&outputs, "manual.html");
    assert!(manual.contains("Arm: strut"), "{manual}");
    let of = |arm| rows(&outputs, &BTreeMap::from([("arm", arm)]));
    assert_eq!(of("powered"), [("socket-13".to_owned(), 1)]);
    assert_eq!(of("strut"), [("socket-13 or spanner-13".to_owned(), 1)]);
}

#[test]
fn a_list_that_could_be_shorter_for_one_fitting_only_is_noted_with_the_fitting() {
    let pliers = "step c \"C\" {\n use spanner-13 or combination-pliers\n}";
    let compiled = checked(ARM, &format!("{ONE_SERVES}\n{pliers}"));
    let note = note(compiled.findings()).expect("for a strut one spanner serves B and C");
    assert!(note.message.contains("`spanner-13` serves all these lines"), "{}", note.message);
    let case = note.case.as_ref().expect("it is so for a strut only");
    let inputs: Vec<(&str, &str)> = case.inputs.iter().map(|one| (one.name.as_str(), one.value.as_str())).collect();
    assert_eq!(inputs, [("arm", "strut")]);
}

#[test]
fn alternatives_that_no_fitting_needs_both_of_are_not_noted() {
    let steps = "step a \"A\" when arm is powered {\n use socket-13 or spanner-13\n}\n\
        step b \"B\" when arm is strut {\n use spanner-13 or combination-pliers\n}";
    let compiled = checked(ARM, steps);
    assert!(note(compiled.findings()).is_none(), "whatever the arm, one tool is laid out");
}

/// Every fitting of the options `arm` and `side`.
fn fittings() -> impl Iterator<Item = BTreeMap<&'static str, &'static str>> {
    let of = |arm| ["kerb", "road"].map(|side| BTreeMap::from([("arm", arm), ("side", side)]));
    ["strut", "powered", "none"].into_iter().flat_map(of)
}

#[test]
fn the_full_list_is_that_of_each_fitting() {
    const CASES: usize = 16;
    let two = "option arm \"Arm\" { strut \"Strut\"  powered \"Powered\"  none \"None\" }\n\
        option side \"Side\" { kerb \"Kerb\"  road \"Road\" }";
    let conditions = ["", "when arm is powered", "when side is kerb", "when not (arm is none) and side is road"];
    let uses = [
        "socket-13",
        "socket-13 or spanner-13",
        "spanner-13 or combination-pliers",
        "socket-13, socket-13 or spanner-13",
        "combination-pliers, spanner-13 or combination-pliers",
    ];
    // Procedures of three steps, from a fixed sequence of numbers.
    let mut seed = 11_u64;
    let mut next = |below: usize| {
        seed = seed.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        (seed >> 33) as usize % below
    };
    let (mut noted, mut parted) = (0, 0);
    for _ in 0..CASES {
        let step = |at: usize, condition: usize, tools: usize| {
            format!("step s{at} \"S{at}\" {} {{\n use {}\n}}", conditions[condition], uses[tools])
        };
        let steps: Vec<String> = (0..3).map(|at| step(at, next(conditions.len()), next(uses.len()))).collect();
        let steps = steps.join("\n");
        // Both options count, whatever the steps ask for.
        let steps = format!("{steps}\nstep last \"Last\" when arm is none and side is kerb {{\n > Look.\n}}");
        let compiled = checked(two, &steps);
        let outputs = built(&compiled);
        let mut shorter = false;
        for fitting in fittings() {
            let wish = |(name, value): (&&str, &&str)| Wish { name: (*name).to_owned(), value: (*value).to_owned() };
            let wishes: Vec<Wish> = fitting.iter().map(wish).collect();
            let of_it = compile::build_tailored(&compiled, &wishes).expect("clean").expect("allowed").outputs;
            let mut of_this = checked(two, &steps);
            of_this.narrow(&wishes).expect("allowed");
            shorter |= note(of_this.findings()).is_some();
            let own = rows(&of_it.expect("outputs"), &BTreeMap::new());
            assert_eq!(rows(&outputs, &fitting), own, "{fitting:?}\n{steps}");
        }
        assert_eq!(note(compiled.findings()).is_some(), shorter, "{steps}");
        noted += usize::from(shorter);
        parted += usize::from(file(&outputs, "pick-list.csv").contains("Arm: not powered"));
    }
    assert!(noted > 0 && noted < CASES && parted > 0, "{noted} noted, {parted} with a row for all arms but one");
}
