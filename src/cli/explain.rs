//! `explain`: the page of a finding, as text.

use super::terminal::Stream;
use super::{CannotRun, Verdict};
use crate::diagnostics::render::Style;
use crate::diagnostics::{Code, Family};

pub fn run(code: Option<&str>) -> Result<Verdict, CannotRun> {
    let mut output = Stream::output();
    let style = output.style();
    match code {
        None => output.say(&list(style)),
        Some(text) => {
            let code = Code::parse(text).ok_or_else(|| {
                CannotRun(format!("there is no finding with the code {text}; `fitwright explain` lists all"))
            })?;
            output.say(&page(code.page(), style));
        }
    }
    output.finish()?;
    Ok(Verdict::Clean)
}

fn list(style: Style) -> String {
    let mut text = String::new();
    for family in Family::ALL {
        text.push_str(if text.is_empty() { "" } else { "\n" });
        text.push_str(&strong(family.title(), style));
        text.push('\n');
        for code in family.codes() {
            text.push_str(&format!("  {code}  {:<8} {}\n", code.severity().word(), code.title()));
        }
    }
    text
}

fn strong(text: &str, style: Style) -> String {
    if style.color { format!("\x1b[1m{text}\x1b[0m") } else { text.to_owned() }
}

/// A page of ours as terminal text. The pages use headings, paragraphs, lists and fenced examples, nothing else.
fn page(markdown: &str, style: Style) -> String {
    let mut text = String::new();
    let mut paragraph = String::new();
    let mut fenced = false;
    for line in markdown.lines() {
        let starts_anew = line.trim().is_empty() || line.starts_with(['#', '-', '`', '|']) && !line.starts_with("`F");
        if !fenced && starts_anew {
            text.push_str(&filled(&std::mem::take(&mut paragraph), style));
        }
        if line.starts_with("```") {
            fenced = !fenced;
        } else if fenced {
            text.push_str(&format!("    {line}\n"));
        } else if line.starts_with('#') {
            text.push_str(&strong(line.trim_start_matches('#').trim(), style));
            text.push('\n');
        } else if line.trim().is_empty() {
            text.push('\n');
        } else {
            paragraph.push_str(if paragraph.is_empty() { "" } else { " " });
            paragraph.push_str(line.trim());
        }
    }
    text.push_str(&filled(&paragraph, style));
    text
}

/// A paragraph or list item, wrapped.
fn filled(paragraph: &str, style: Style) -> String {
    if paragraph.is_empty() {
        return String::new();
    }
    let indent = if paragraph.starts_with("- ") { 2 } else { 0 };
    crate::diagnostics::render::wrap(&paragraph.replace("**", ""), style.width.min(90), 0, indent) + "\n"
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_page_is_wrapped_and_its_examples_are_not() {
        let markdown =
            "# FW0000 A title\n\nOne\nline **only**.\n\n- first\n- second\n\n```fitw bad\nstep  a {\n}\n```\nEnd.\n";
        let text = page(markdown, Style::default());
        assert_eq!(text, "FW0000 A title\n\nOne line only.\n\n- first\n- second\n\n    step  a {\n    }\nEnd.\n");
    }
}
