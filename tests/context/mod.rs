//! Snippets of the language in the least surroundings that make them a file.

/// Wraps a snippet: `file` leaves it alone, `top` gives it a first line, the others a block too.
pub fn wrap(context: &str, snippet: &str) -> String {
    let indent = |by: usize| {
        let blank = " ".repeat(by);
        snippet
            .lines()
            .map(|line| if line.is_empty() { "\n".to_string() } else { format!("{blank}{line}\n") })
            .collect::<String>()
    };
    match context {
        "file" => snippet.to_string(),
        "top" => format!("procedure p \"P\"\n{snippet}"),
        "section" => format!("procedure p \"P\"\nsection s \"S\" {{\n{}}}\n", indent(2)),
        "step" => format!("procedure p \"P\"\nsection s \"S\" {{\n  step a \"A\" {{\n{}  }}\n}}\n", indent(4)),
        "joint" => format!("procedure p \"P\"\njoint j \"J\" {{\n{}}}\n", indent(2)),
        "circuit" => format!("procedure p \"P\"\ncircuit c \"C\" {{\n{}}}\n", indent(2)),
        other => panic!("no such context: {other}"),
    }
}
