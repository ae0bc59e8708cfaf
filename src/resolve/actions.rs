//! Which lines of prose are actions of a step, and which go on from the line before.
//!
//! A line of running text at the margin is an action. Text that was wrapped at the margin, as texts were before lines meant
//! anything, is not torn: where a line begins in small letters, or the one before ends no sentence, it goes on, and the writer is
//! told. Nobody with a tool in hand gets half a sentence as a thing to do.

use std::ops::Range;

use crate::diagnostics::{Change, Code, Finding, Mend};
use crate::parse::tree::Text;
use crate::prose::{self, Running};

/// A line indented by so many blanks more than the margin goes on from the one before.
const INDENTED: usize = 2;

/// Lines that belong together.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Part {
    /// By their places in the run.
    pub lines: Range<usize>,
    /// Whether it is an action: text that begins with a list, a quotation or the like is none.
    pub is_action: bool,
}

/// Why a line at the margin is taken to go on.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Doubt {
    /// It begins in small letters, or with a sign.
    Beginning,
    /// The line before ends no sentence.
    Ending,
    /// It stands within emphasis or a link.
    Marked,
}

/// The parts of a run of prose lines of a step, in order, and what its writer is to be told.
pub(super) fn parts(step: &str, lines: &[Text]) -> (Vec<Part>, Vec<Finding>) {
    let texts: Vec<&str> = lines.iter().map(|line| line.value.as_str()).collect();
    let filled = texts.iter().filter(|text| !text.trim().is_empty());
    let margin = filled.map(|text| indent(text)).min().unwrap_or(0);
    let running = prose::running(&texts.join("\n"));
    let mut parts: Vec<Part> = Vec::new();
    let mut findings = Vec::new();
    let mut told = None;
    for (at, text) in texts.iter().enumerate() {
        let running = running.get(at).copied().flatten();
        let indented = indent(text) >= margin + INDENTED;
        let before = at.checked_sub(1).and_then(|before| texts.get(before)).copied().unwrap_or_default();
        let has_action = parts.last().is_some_and(|part| part.is_action);
        let doubt = match running {
            Some(Running::Begins) if !indented || !has_action => None,
            Some(Running::Follows | Running::InBlock) if !indented => doubt(before, text),
            Some(Running::Marked) if !indented => Some(Doubt::Marked),
            _ => {
                goes_on(&mut parts, at);
                continue;
            }
        };
        match doubt {
            None => parts.push(Part { lines: at..at + 1, is_action: true }),
            Some(doubt) => {
                goes_on(&mut parts, at);
                // One message for the lines of a sentence that was wrapped.
                if told != at.checked_sub(1) || told.is_none() {
                    findings.extend(lines.get(at).map(|line| finding(step, doubt, running, line)));
                }
                told = Some(at);
            }
        }
    }
    (parts, findings)
}

fn goes_on(parts: &mut Vec<Part>, at: usize) {
    match parts.last_mut() {
        Some(part) => part.lines.end = at + 1,
        None => parts.push(Part { lines: at..at + 1, is_action: false }),
    }
}

fn indent(text: &str) -> usize {
    text.chars().take_while(|c| c.is_whitespace()).map(|c| if c == '\t' { 4 } else { 1 }).sum()
}

fn doubt(before: &str, text: &str) -> Option<Doubt> {
    if !begins_a_sentence(text) {
        Some(Doubt::Beginning)
    } else if !ends_a_sentence(before) {
        Some(Doubt::Ending)
    } else {
        None
    }
}

/// Whether a line could be the beginning of a sentence: a mention or number could, small letters or a dash could not.
fn begins_a_sentence(text: &str) -> bool {
    let text = text.trim_start_matches(|c: char| c.is_whitespace() || "*_\"'“”„‘«»(¿¡\\".contains(c));
    text.starts_with(|c: char| (c.is_alphanumeric() && !c.is_lowercase()) || "[<`".contains(c))
}

/// Whether a line ends a sentence, with what may close after it. The signs are those of Latin, Greek, Cyrillic, Arabic,
/// Indian and East Asian writing.
fn ends_a_sentence(text: &str) -> bool {
    let text = text.trim_end_matches(|c: char| c.is_whitespace() || "*_\"'“”‘’«»)]`」』】）".contains(c));
    text.ends_with(|c: char| ".!?…。！？．؟۔।॥".contains(c))
}

fn finding(step: &str, doubt: Doubt, running: Option<Running>, line: &Text) -> Finding {
    let message = match doubt {
        Doubt::Beginning => "this line does not begin like a sentence, and is read as going on from the one before it",
        Doubt::Ending => "the line before ends no sentence, and this one is read as going on from it",
        Doubt::Marked => {
            "this line stands within a link or an emphasis, and is read as going on from the one before it"
        }
    };
    let goes_on = format!("Where it goes on, indent it: `>   {}`.", line.value.trim());
    let own = match (doubt, running) {
        (_, Some(Running::InBlock)) => "Where it is an action of its own, write a line with `>` alone before it.",
        (Doubt::Marked, _) => {
            "Where it is an action of its own, close the marks on the line before, and open them again."
        }
        _ => {
            "Where it is an action of its own, end the line before with a full stop and begin this one with a capital letter."
        }
    };
    Finding::new(Code::FW0117, format!("in `{step}`, {message}"), line.span, "goes on from the line before")
        .because("Each line at the margin is an action with a letter and a box. Half a sentence is none.")
        .repair(format!("{goes_on} {own}"))
        .mend(Mend::look("Indent it: it goes on", Change::Write(line.span.before(), "  ".to_owned())))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::source::{FileId, Span};

    /// The parts of a text, each with its lines, `-` before what is no action; and how many messages there are.
    fn told(text: &str) -> (Vec<String>, usize) {
        let at = Span::new(FileId::new(0), 0, 0);
        let lines: Vec<Text> = text.split('\n').map(|line| Text { value: line.to_owned(), span: at }).collect();
        let (parts, findings) = parts("step", &lines);
        let shown = |part: &Part| {
            let lines: Vec<&str> = lines[part.lines.clone()].iter().map(|line| line.value.trim()).collect();
            format!("{}{}", if part.is_action { "" } else { "-" }, lines.join("|"))
        };
        (parts.iter().map(shown).collect(), findings.len())
    }

    fn parted(text: &str) -> Vec<String> {
        let (parts, findings) = told(text);
        assert_eq!(findings, 0, "{text}");
        parts
    }

    #[test]
    fn a_line_at_the_margin_is_an_action() {
        assert_eq!(parted("Set it.\nTurn it."), ["Set it.", "Turn it."]);
        assert_eq!(parted("Set it.\n Turn it."), ["Set it.", "Turn it."]);
        assert_eq!(parted("Set it.\n\nTurn it."), ["Set it.|", "Turn it."]);
        assert_eq!(
            parted("Set it (now).\n*Turn* it!\n[nut] on.\n4 turns."),
            ["Set it (now).", "*Turn* it!", "[nut] on.", "4 turns."]
        );
        assert_eq!(parted("   Set it.\n   Turn it."), ["Set it.", "Turn it."]);
        assert_eq!(parted("それを置く。\n回す。"), ["それを置く。", "回す。"]);
    }

    #[test]
    fn an_indented_line_goes_on() {
        assert_eq!(parted("Set it\n  and turn it.\nLook."), ["Set it|and turn it.", "Look."]);
        assert_eq!(parted("Set it.\n  Mind the edge.\nLook."), ["Set it.|Mind the edge.", "Look."]);
        assert_eq!(parted("Set it.\n\n  A second paragraph.\nLook."), ["Set it.||A second paragraph.", "Look."]);
        assert_eq!(parted("Set it\\\nTurn it."), ["Set it\\|Turn it."]);
    }

    #[test]
    fn lists_and_other_blocks_stay_with_the_action_before() {
        assert_eq!(
            parted("Look at:\n- the rail\n- the beam\n\nTurn it."),
            ["Look at:|- the rail|- the beam|", "Turn it."]
        );
        assert_eq!(
            parted("Look at:\n\n1. the rail\n   and its end\n2. the beam"),
            ["Look at:||1. the rail|and its end|2. the beam"]
        );
        assert_eq!(parted("- the rail\n- the beam"), ["-- the rail|- the beam"]);
        assert_eq!(parted("- the rail\n\nTurn it."), ["-- the rail|", "Turn it."]);
        assert_eq!(parted("Type:\n```\nSet it.\nTurn it.\n```\nLook."), ["Type:|```|Set it.|Turn it.|```", "Look."]);
        assert_eq!(parted("- Set it.\nTurn it."), ["-- Set it.", "Turn it."]);
    }

    #[test]
    fn half_a_sentence_is_no_action() {
        for (text, parts) in [
            ("Set the bracket on\nthe rail.", &["Set the bracket on|the rail."][..]),
            ("Setzen Sie den\nTräger auf.", &["Setzen Sie den|Träger auf."]),
            ("Set it.\nand turn it.", &["Set it.|and turn it."]),
            ("Set it,\nturn it\nand look.\nGo.", &["Set it,|turn it|and look.", "Go."]),
            ("*Set it.\nTurn it.*\nGo.", &["*Set it.|Turn it.*", "Go."]),
            ("- Set it\nTurn it.", &["-- Set it|Turn it."]),
            ("Set it:\n– Turn it.", &["Set it:|– Turn it."]),
        ] {
            assert_eq!(told(text), (parts.iter().map(|part| (*part).to_owned()).collect(), 1), "{text}");
        }
    }

    #[test]
    fn nothing_is_lost() {
        for text in
            ["", "\n\n", "  \nSet it.", "> quoted\nmore", "# Head\nSet it.", "a\n---\nB.", "<b>\nx", "~~~\nSet it."]
        {
            let lines: Vec<&str> = text.split('\n').map(str::trim).collect();
            let parts: Vec<String> = told(text).0;
            let kept = parts.iter().map(|part| part.strip_prefix('-').unwrap_or(part)).collect::<Vec<_>>().join("|");
            assert_eq!(kept, lines.join("|"), "{text}");
        }
    }
}
