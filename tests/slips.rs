//! A writer's first slips, one at a time in the vise of `procedures`: each is told what to write. Which slips they are is from what
//! writers of plain documents typed here; no source outside.

use fitwright::compile;
use fitwright::diagnostics::Code;
use fitwright::world::Memory;

const VISE: &str = include_str!("../procedures/finch-vise.fitw");

/// Code and repair of each finding, where a text stands in the place of another.
fn findings(old: &str, new: &str) -> Vec<(Code, String)> {
    assert!(VISE.contains(old), "the demo has no `{old}`");
    let compiled = compile::check("vise.fitw", &Memory::default().with("vise.fitw", VISE.replacen(old, new, 1)));
    compiled.findings().iter().map(|finding| (finding.code, finding.repair.clone().unwrap_or_default())).collect()
}

#[test]
fn each_slip_is_told_what_to_write() {
    let slips = [
        ("wear  safety-glasses, safety-shoes", "wear  glasses", "Write `safety-glasses`, or declare `glasses`."),
        (
            "wear  safety-glasses, safety-shoes",
            "wear  gloves",
            "Write which of them is meant: `chemical-gloves`, `cut-gloves`, `heat-gloves`, `insulating-gloves`, `work-gloves`.",
        ),
        ("wear  safety-glasses, safety-shoes", "wear  safety glasses", "it has no blank: `safety-glasses`"),
        ("take  1 vise", "take  1x vise", "A count has no `x`: write `2 PART`."),
        ("take  1 vise", "take  1x vise", "Write `1 vise`."),
        ("record  vise-joint torque", "record  torque vise-joint", "Write `record vise-joint torque`."),
        ("record  vise-joint torque", "record  torque", "Write the joint before it: `record JOINT torque`."),
        ("count   4", "count   four", "Write `count 4`."),
        ("45 lbf.ft +- 5 lbf.ft", "40-50 lbf.ft", "For a range, write `40 to 50`."),
        ("bolt 1/2-13 x 2 in, grade 5, hex head", "bolt M8x70 8.8", "write `M8 x 70 mm`"),
        ("place vise-joint", "fit vise-joint", "Write `place JOINT` in a step"),
    ];
    for (old, new, repair) in slips {
        let told = findings(old, new);
        assert!(told.iter().any(|(_, said)| said.contains(repair)), "`{new}`: {told:?}");
    }
}

/// The step whose head is broken alone uses the joint.
#[test]
fn what_a_broken_statement_names_is_not_called_unused() {
    let told = findings("step bolt-down \"Bolt the vise down\"", "step 4 \"Bolt the vise down\"");
    let codes: Vec<Code> = told.iter().map(|(code, _)| *code).collect();
    assert!(codes.contains(&Code::FW0101), "{codes:?}");
    assert!(!codes.iter().any(|code| matches!(code, Code::FW0203 | Code::FW0214 | Code::FW0502)), "{codes:?}");
}
