//! Prose: its mentions become names and quantities.

use super::Resolver;
use super::scope::{Declared, Target};
use crate::diagnostics::{Code, Finding};
use crate::model::{Mention, MentionTarget, Prose, Said};
use crate::parse::{self, tree};
use crate::prose;
use crate::quantity::Kind;
use crate::source::Span;

impl Resolver<'_> {
    /// Lowers a run of prose lines.
    pub(super) fn prose(&mut self, written: &tree::Prose) -> Option<Prose> {
        let lines: Vec<&str> = written.lines.iter().map(|line| line.value.as_str()).collect();
        let markdown = lines.join("\n");
        let (found, faults) = prose::mentions(&markdown);
        for fault in &faults {
            let at = place(written, fault.range.start, fault.range.end);
            self.report(
                Finding::new(Code::FW0112, fault.message(), at, "not a mention")
                    .because(
                        "Square brackets in prose name a declared thing or a quantity; nothing else may hide in them.",
                    )
                    .repair(fault.repair()),
            );
        }
        let mut mentions = Vec::new();
        for mention in found {
            let at = place(written, mention.range.start, mention.range.end);
            let target = self.mention(&mention.text, at);
            mentions.extend(target.map(|target| Mention { text: mention.text, target, span: at }));
        }
        Some(Prose { markdown, mentions, lines: written.lines.iter().map(|line| line.span).collect() })
    }

    /// The mentions of a quoted text. The places are those of its own characters, after the opening quote.
    fn quoted_mentions(&mut self, text: &tree::Text) -> Vec<Mention> {
        let (found, _) = prose::mentions(&text.value);
        let mut mentions = Vec::new();
        for mention in found {
            let from = text.span.start as usize + 1;
            let at = Span::new(text.span.file, from + mention.range.start, from + mention.range.end);
            let target = self.mention(&mention.text, at);
            mentions.extend(target.map(|target| Mention { text: mention.text, target, span: at }));
        }
        mentions
    }

    /// A quoted text that somebody reads.
    pub(super) fn said(&mut self, text: &tree::Text) -> Said {
        let said = text.value.trim();
        let (from, to) = (text.span.start as usize + 1, (text.span.end as usize).saturating_sub(1));
        // Blanks around it are cut off; escapes make the file's bytes others than the text's.
        let plain = to.saturating_sub(from) == text.value.len();
        let from = from + if plain { text.value.len() - text.value.trim_start().len() } else { 0 };
        let to = if plain { from + said.len() } else { to };
        let place = Some(Span::new(text.span.file, from, to));
        Said { text: said.to_owned(), mentions: self.quoted_mentions(text), place }
    }

    fn mention(&mut self, text: &str, at: Span) -> Option<MentionTarget> {
        let inner = Span { start: at.start.saturating_add(1), end: at.end.saturating_sub(1).max(at.start), ..at };
        let handle = self.scope.see(text, at.file);
        if let Some((handle, entry)) = handle.and_then(|handle| Some((handle, self.scope.entry(handle)?))) {
            if let Declared::Shared(shared) = entry.declared {
                let finding = self.which_place(shared, at);
                self.report(finding);
                return None;
            }
            if matches!(
                entry.declared,
                Declared::Each | Declared::Hazard(_) | Declared::Action(_) | Declared::Limit(_) | Declared::Section
            ) {
                let kind = entry.declared.kind();
                self.report(
                    Finding::new(
                        Code::FW0207,
                        format!("`{text}` is {kind}; prose can't mention it"),
                        at,
                        format!("this is {kind}"),
                    )
                    .repair("Say it in words, without brackets."),
                );
                return None;
            }
            self.scope.mark_used(handle);
            return self.intern(handle).and_then(target_of);
        }
        if let Some(measure) = parse::measure(text, inner) {
            return self.measure(&measure, &Kind::ALL).map(MentionTarget::Quantity);
        }
        let finding = if text.chars().next().is_some_and(|first| first.is_ascii_digit()) {
            Finding::new(Code::FW0112, format!("`[{text}]` is not a quantity that can be read"), at, "not understood")
                .repair("Write a number with its unit: `[22 N.m]`, `[at least 150 mm]`.")
        } else {
            if let Some(finding) = self.no_such_place(text, at) {
                self.report(finding);
                return None;
            }
            let near = self.scope.nearest(text, super::scope::Wanted::Anything);
            if self.is_excused(text, near) {
                return None;
            }
            let finding = Finding::new(Code::FW0201, format!("nothing declares `{text}`"), at, "mentioned here")
                .because("A mention prints the thing's title, so that list and text always say the same.");
            match near {
                Some(near) => finding.repair(format!("Write `[{near}]`, or declare `{text}`.")),
                None => finding.repair("Declare it, or write it without brackets. For a literal bracket write `\\[`."),
            }
        };
        self.report(finding);
        None
    }
}

fn target_of(target: Target) -> Option<MentionTarget> {
    Some(match target {
        Target::Choice(id) => MentionTarget::Choice(id),
        Target::Number(id) => MentionTarget::Number(id),
        Target::Fact(id) => MentionTarget::Fact(id),
        Target::Part(id) => MentionTarget::Part(id),
        Target::Tool(id) => MentionTarget::Tool(id),
        Target::Protection(id) => MentionTarget::Protection(id),
        Target::Joint(id) => MentionTarget::Joint(id),
        Target::Circuit(id) => MentionTarget::Circuit(id),
        Target::State(id) => MentionTarget::State(id),
        Target::Step(id) => MentionTarget::Step(id),
        Target::Limit(_) | Target::Hazard(_) | Target::Action(_) => return None,
    })
}

/// The place in the source of a byte range of the joined lines.
fn place(written: &tree::Prose, start: usize, end: usize) -> Span {
    let mut before = 0;
    for line in &written.lines {
        let length = line.value.len();
        if start <= before + length {
            let from = line.span.start as usize + (start - before);
            let to = from + end.saturating_sub(start).min(length.saturating_sub(start - before).max(1));
            return Span::new(line.span.file, from, to);
        }
        before += length + 1;
    }
    written.span
}
