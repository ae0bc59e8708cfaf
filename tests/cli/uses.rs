//! `uses`: who uses a thing, in words and for machines.

use super::Scratch;

const LIBRARY: &str = "library looks \"Looks\"\nsection look \"Look\" expects part lamp {\n  step look-at \"Look at it\" {\n    > Look at the [lamp].\n  }\n}\n";

fn project() -> Scratch {
    let procedure = |name: &str, own: &str| {
        format!(
            "procedure {name} \"The {name}\"\npart {own} \"Lamp\"\nvehicle {{ 1 {own} }}\nsection look from lib/looks.look with lamp = {own}\nsection end \"End\" {{\n  handover {{ sign installer }}\n}}\n"
        )
    };
    Scratch::new()
        .with("jobs/lib/looks.fitw", LIBRARY)
        .with("jobs/front.fitw", &procedure("front", "head-lamp"))
        .with("jobs/rear.fitw", &procedure("rear", "tail-lamp"))
}

#[test]
fn it_says_which_procedures_use_a_thing_and_in_which_steps() {
    let ran = project().run(&["uses", "lib/looks.look", "jobs"]);
    assert_eq!(ran.code, Some(0), "{}", ran.err);
    assert_eq!(
        ran.out,
        "section `lib/looks.look`, jobs/lib/looks.fitw:2\n  jobs/front.fitw  The front\n    1.1    Look at it  jobs/lib/looks.fitw:3\n  \
         jobs/rear.fitw  The rear\n    1.1    Look at it  jobs/lib/looks.fitw:3\n\n2 procedures, 2 steps.\n"
    );
    let ran = project().run(&["uses", "tail-lamp", "jobs/rear.fitw", "jobs/front.fitw"]);
    assert!(ran.out.starts_with("part `tail-lamp`, jobs/rear.fitw:2\n"), "{}", ran.out);
    assert!(ran.out.ends_with("1 procedure, 1 step.\n"), "{}", ran.out);
}

#[test]
fn machines_get_a_line_for_each_use() {
    let ran = project().run(&["uses", "head-lamp", "--format", "json", "jobs"]);
    let lines: Vec<serde_json::Value> = ran.out.lines().map(|line| serde_json::from_str(line).expect("JSON")).collect();
    assert_eq!(lines.len(), 2, "{}", ran.out);
    assert_eq!(lines[0]["step"]["number"], "1.1");
    assert_eq!((&lines[0]["file"], &lines[0]["line"]), (&"jobs/lib/looks.fitw".into(), &4.into()));
    assert_eq!((&lines[0]["procedure"], &lines[0]["kind"]), (&"jobs/front.fitw".into(), &"part".into()));
    assert_eq!((&lines[1]["step"], &lines[1]["statement"]), (&serde_json::Value::Null, &"vehicle".into()));
}

#[test]
fn a_name_that_nothing_has_is_told_with_the_nearest() {
    let ran = project().run(&["uses", "lib/looks.lok", "jobs"]);
    assert_eq!(ran.code, Some(2));
    assert!(ran.err.contains("did you mean `lib/looks.look`?"), "{}", ran.err);
    let ran = project().with("jobs/front.fitw", "procedure front \"Front\"\nstep\n").run(&["uses", "look", "jobs"]);
    assert!(ran.err.contains("jobs/front.fitw has errors"), "{}", ran.err);
}
