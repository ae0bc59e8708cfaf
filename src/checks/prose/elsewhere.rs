//! FW1220: words that refer to a step that does something else.
//!
//! *The holes drilled in [fit-rail]*, where that step drills nothing and another one does. Only a past participle right before the
//! reference is looked at, and only where neither the words of the step nor its lines do that.

use super::Words;
use super::text::Text;
use crate::diagnostics::{Code, Finding};
use crate::model::{LineKind, MentionTarget, Procedure, StepId};

/// What words say that a step did; how words of the step begin that does it.
const DONE: &[(&str, &[&str])] = &[
    ("drilled", &["drill", "hole"]),
    ("crimped", &["crimp"]),
    ("soldered", &["solder"]),
    ("marked", &["mark", "scribe", "line"]),
    ("measured", &["measur", "read"]),
    ("removed", &["remov", "take", "lift", "pull", "off", "out"]),
    ("loosened", &["loos", "slack", "undo", "back"]),
    ("tightened", &["tight", "torqu"]),
    ("torqued", &["tight", "torqu"]),
    ("disconnected", &["disconnect", "unplug", "off", "pull", "lift", "isolat"]),
    ("connected", &["connect", "plug", "push", "fit", "join"]),
    ("unplugged", &["unplug", "disconnect", "pull"]),
    ("scraped", &["scrap", "bright", "clean", "sand"]),
    ("painted", &["paint", "prim", "spray"]),
];

/// Words by which a reference is led in.
const LEADS_IN: &[&str] = &["in", "at", "by", "during", "under"];

pub(super) fn check(words: &mut Words<'_>, text: &Text<'_>) {
    if !words.english {
        return;
    }
    let procedure = words.procedure;
    for at in 2..text.tokens.len() {
        let Some(mention) = text.mention(at) else { continue };
        let (MentionTarget::Step(step) | MentionTarget::Action(step, _)) = mention.target else { continue };
        let said = text.lower(at - 2);
        let Some((done, begin)) = DONE.iter().find(|(done, _)| *done == said) else { continue };
        if !LEADS_IN.contains(&text.lower(at - 1)) || does(procedure, step, done, begin) {
            continue;
        }
        let other =
            procedure.steps.ids().find(|other| Some(*other) != text.step && does(procedure, *other, done, begin));
        if let Some(other) = other {
            let (name, right) = (&procedure.steps[step].name, &procedure.steps[other].name);
            words.tell(
                Finding::new(
                    Code::FW1220,
                    format!("the words say `{done}` of `{}`, which does nothing of the kind", name.id),
                    mention.span,
                    format!("\"{}\"", name.title),
                )
                .also(right.span, format!("`{}` does", right.id))
                .because("Whoever looks there finds something else, and goes on with what seems nearest.")
                .repair(format!("Name the step that is meant, as `[{}]`, or say what this step does.", right.id)),
            );
        }
    }
}

/// Whether a step does that, by its words or its lines.
fn does(procedure: &Procedure, step: StepId, done: &str, begin: &[&str]) -> bool {
    let row = &procedure.steps[step];
    let says = |words: &str| {
        let words = words.to_lowercase();
        words.split(|c: char| !c.is_alphanumeric()).any(|word| begin.iter().any(|begin| word.starts_with(begin)))
    };
    says(&row.name.title)
        || row.lines.iter().any(|line| match &line.kind {
            LineKind::Prose(prose) => says(&prose.markdown),
            LineKind::Note(said) => says(&said.text),
            LineKind::Tighten(..) => matches!(done, "tightened" | "torqued"),
            LineKind::Loosen(..) => done == "loosened",
            LineKind::Remove(..) | LineKind::RemoveJoint(..) => matches!(done, "removed" | "loosened"),
            LineKind::Connect(..) => done == "connected",
            LineKind::Disconnect(..) => matches!(done, "disconnected" | "unplugged" | "removed"),
            LineKind::Read(_) | LineKind::Record(_) => done == "measured",
            _ => false,
        })
}
