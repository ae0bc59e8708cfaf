//! Snippets of the language in the least surroundings that make them a file.

/// A small procedure that declares what snippets refer to; `@@` stands where steps go.
const WORLD: &str = include_str!("world.fitw");

/// Wraps a snippet for a test that only reads: `file` leaves it alone, `top` gives it a first line, the others a block.
pub fn wrap(context: &str, snippet: &str) -> String {
    match context {
        "file" => snippet.to_string(),
        "top" => format!("procedure p \"P\"\n{snippet}"),
        "section" => format!("procedure p \"P\"\nsection s \"S\" {{\n{}}}\n", indent(snippet, 2)),
        "step" => format!("procedure p \"P\"\nsection s \"S\" {{\n  step a \"A\" {{\n{}  }}\n}}\n", indent(snippet, 4)),
        "joint" => format!("procedure p \"P\"\njoint j \"J\" {{\n{}}}\n", indent(snippet, 2)),
        "circuit" => format!("procedure p \"P\"\ncircuit c \"C\" {{\n{}}}\n", indent(snippet, 2)),
        other => panic!("no such surroundings: {other}"),
    }
}

/// Makes a snippet a whole procedure that is in order apart from it: `file` leaves it alone; `top` gives it a first line,
/// the standard libraries, and a section where it has none; `section` and `step` put it into the small procedure.
pub fn whole(context: &str, snippet: &str) -> String {
    const USES: &str = "use std/fasteners\nuse std/hand-tools\nuse std/hazards\nuse std/protection\nuse std/wiring\n";
    const WORK: &str = "section rest \"Rest\" {\n  step look \"Look\" {\n    > Look at the work.\n  }\n  handover {\n    sign installer\n  }\n}\n";
    match context {
        "file" => snippet.to_string(),
        "top" => {
            let work = if snippet.contains("section ") { "" } else { WORK };
            format!("procedure example \"Example\"\n{USES}{snippet}{work}")
        }
        "section" => WORLD.replace("@@\n", &indent(snippet, 2)),
        "step" => {
            let step = format!("step shown \"Shown\" {{\n{}}}\n", indent(snippet, 2));
            WORLD.replace("@@\n", &indent(&step, 2))
        }
        other => panic!("no such surroundings: {other}"),
    }
}

fn indent(text: &str, by: usize) -> String {
    let blank = " ".repeat(by);
    text.lines().map(|line| if line.is_empty() { "\n".to_string() } else { format!("{blank}{line}\n") }).collect()
}
