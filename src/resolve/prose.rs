//! Prose: its mentions become names and quantities.

use super::Resolver;
use super::actions;
use super::expects::Expects;
use super::scope::{Declared, Handle, Target};
use crate::diagnostics::{Change, Code, Confidence, Finding, Mend};
use crate::model::{FigureId, Letter, Mention, MentionTarget, Prose, Said, StepId};
use crate::parse::{self, limits, tree};
use crate::prose;
use crate::quantity::Kind;
use crate::source::Span;

impl Resolver<'_> {
    /// Lowers a run of prose lines that are one text.
    pub(super) fn prose(&mut self, written: &tree::Prose) -> Prose {
        self.prose_of(&written.lines, written.span)
    }

    /// Lowers a run of prose lines of a step: its actions, each with its place. The letters come later.
    pub(super) fn actions(&mut self, step: StepId, written: &tree::Prose) -> Vec<(Prose, Span, bool)> {
        let (parts, findings) = actions::parts(&self.procedure.steps[step].name.id, &written.lines);
        self.findings.extend(findings);
        let mut lowered = Vec::new();
        for part in parts {
            let mut lines = written.lines.get(part.lines).unwrap_or_default();
            while let Some((last, before)) = lines.split_last()
                && last.value.trim().is_empty()
            {
                lines = before;
            }
            let Some((first, last)) = lines.first().zip(lines.last()) else { continue };
            let span = first.span.to(last.span);
            lowered.push((self.prose_of(lines, span), span, part.is_action));
        }
        lowered
    }

    /// `expect "…"` of a step.
    pub(super) fn sure(&mut self, text: &tree::Text) -> Prose {
        Prose { sure: true, ..self.prose_of(std::slice::from_ref(text), text.span) }
    }

    fn prose_of(&mut self, written: &[tree::Text], span: Span) -> Prose {
        let lines: Vec<&str> = written.iter().map(|line| line.value.as_str()).collect();
        let markdown = lines.join("\n");
        let (found, faults) = prose::mentions(&markdown);
        for fault in faults.iter().take(limits::FINDINGS) {
            let at = place(written, fault.range.start, fault.range.end).unwrap_or(span);
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
            let at = place(written, mention.range.start, mention.range.end).unwrap_or(span);
            let target = self.mention(&mention.text, at);
            mentions.extend(target.map(|target| Mention { text: mention.text, target, span: at }));
        }
        Prose { markdown, letter: None, sure: false, mentions, lines: written.iter().map(|line| line.span).collect() }
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
        let (sort, name) = match text.split_once(' ') {
            Some((sort @ ("part" | "joint"), name)) => (Some(sort), name),
            _ => (None, text),
        };
        let handle = match (sort, self.scope.part_or_joint(name, at.file)) {
            (Some("joint"), Some((_, joint))) => Some(joint),
            (Some(_), Some((part, _))) => Some(part),
            (None, Some(both)) => {
                let repair = format!("Write `[part {text}]` or `[joint {text}]`.");
                self.part_or_joint(text, both, at, &repair);
                return None;
            }
            (Some(sort), None) => {
                let is_meant = |handle: &Handle<'_>| {
                    let declared = self.scope.entry(*handle).map(|entry| entry.declared);
                    declared.is_some_and(|one| if sort == "part" { one.is_part() } else { one.is_joint() })
                };
                self.scope.see(name, at.file).filter(is_meant)
            }
            (None, None) => self.scope.see(text, at.file),
        };
        if let Some((handle, entry)) = handle.and_then(|handle| Some((handle, self.scope.entry(handle)?))) {
            if let Declared::Shared(shared) = entry.declared {
                let finding = self.which_place(shared, at);
                self.report(finding);
                return None;
            }
            if matches!(
                entry.declared,
                Declared::Each
                    | Declared::Hazard(_)
                    | Declared::Action(_)
                    | Declared::Limit(_)
                    | Declared::Section
                    | Declared::Expected(Expects::Hazard | Expects::Action)
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
            let means = entry.name.span;
            self.note_use(at, means);
            self.scope.mark_used(handle);
            return self.intern(handle).and_then(target_of);
        }
        if let Some((name, letter)) = text.split_once('.')
            && let Some(handle) = self.scope.see(name, at.file)
        {
            return self.action_mentioned(handle, name, letter, at);
        }
        if let Some(measure) = parse::measure(text, inner) {
            return self.measure(&measure, &Kind::ALL).map(MentionTarget::Quantity);
        }
        let finding = if text.chars().next().is_some_and(|first| first.is_ascii_digit()) {
            Finding::new(Code::FW0112, format!("`[{text}]` is not a quantity that can be read"), at, "not understood")
                .repair("Write a number with its unit: `[22 N.m]`, `[at least 150 mm]`.")
                .mend(Mend::look("Take the brackets away", Change::Write(at, text.to_owned())))
        } else {
            if let Some(finding) = self.no_such_place(text, at) {
                self.report(finding);
                return None;
            }
            let near = self.near(text, super::scope::Wanted::Anything);
            if self.is_excused(text, || near) {
                return None;
            }
            let finding = Finding::new(Code::FW0201, format!("nothing declares `{text}`"), at, "mentioned here")
                .because("A mention prints the thing's title, so that list and text always say the same.");
            match near {
                _ if at.file.section().is_some() => {
                    let name = tree::Name { text: text.to_owned(), span: at };
                    finding.repair(self.how_to_expect(&name, super::scope::Wanted::Anything))
                }
                Some(near) => finding.repair(format!("Write `[{near}]`, or declare `{text}`.")).mend(Mend::write(
                    Confidence::Look,
                    at,
                    format!("[{near}]"),
                )),
                None => finding
                    .repair("Declare it, or write it without brackets. For a literal bracket write `\\[`.")
                    .mend(Mend::look("Take the brackets away", Change::Write(at, text.to_owned()))),
            }
        };
        self.report(finding);
        None
    }
}

impl<'t> Resolver<'t> {
    /// `[place-brackets.b]`: the action `b` of a step. Whether the step has it is asked when all steps are known.
    fn action_mentioned(&mut self, handle: Handle<'t>, name: &str, letter: &str, at: Span) -> Option<MentionTarget> {
        self.scope.mark_used(handle);
        if let Some(means) = self.scope.entry(handle).map(|entry| entry.name.span) {
            self.note_use(at, means);
        }
        let target = self.intern(handle)?;
        if let Target::Figure(figure) = target {
            return self.item_mentioned(figure, name, letter, at);
        }
        let fault = match (target, Letter::read(letter)) {
            (Target::Step(step), Some(letter)) => {
                self.letters_asked.push((step, letter, at));
                return Some(MentionTarget::Action(step, letter));
            }
            (Target::Step(_), None) => {
                Finding::new(Code::FW0201, format!("`{letter}` is no letter of an action"), at, "not a letter")
                    .repair(format!("Write the letter as the sheets print it, in small letters: `[{name}.a]`."))
            }
            _ => Finding::new(
                Code::FW0207,
                format!("`{name}` is no step, and has no actions"),
                at,
                "only a step has letters",
            )
            .repair(format!("Write `[{name}]`.")),
        };
        self.report(fault);
        None
    }

    /// `[layout.2]`: what a figure points at with that number.
    fn item_mentioned(&mut self, id: FigureId, name: &str, item: &str, at: Span) -> Option<MentionTarget> {
        let figure = &self.procedure.figures[id];
        let numbers = || figure.callouts.iter().map(|callout| callout.number);
        if let Some(number) = item.parse().ok().filter(|number| numbers().any(|there| there == *number)) {
            return Some(MentionTarget::Figure(id, Some(number)));
        }
        let mut listed: Vec<String> = numbers().map(|number| format!("`[{name}.{number}]`")).collect();
        listed.dedup();
        let finding =
            Finding::new(Code::FW0201, format!("`{name}` points at nothing with {item}"), at, "not on the picture")
                .because("The reader looks for that number on the picture.");
        let finding = match listed.is_empty() {
            true => finding.repair(format!("Write `[{name}]`, or a callout in its braces: `1 PART at 31 %, 40 %`.")),
            false => finding.repair(format!("Write one that it has: {}.", listed.join(", "))),
        };
        let declared = figure.span;
        self.report(finding.also(declared, "the figure"));
        None
    }

    /// What mentions ask for must be there: an action of that letter in the step.
    pub(super) fn letters_held(&mut self) {
        for (step, letter, at) in std::mem::take(&mut self.letters_asked) {
            let step = &self.procedure.steps[step];
            let letters = || step.lines.iter().filter_map(|line| line.letter());
            if letters().any(|there| there == letter) {
                continue;
            }
            let name = &step.name.id;
            let (label, repair) = match (letters().next(), letters().next_back()) {
                (Some(first), Some(last)) => (
                    format!("it has {first} to {last}"),
                    format!("Write a letter from `[{name}.{first}]` to `[{name}.{last}]`."),
                ),
                _ => (
                    "it has one action at most, and no letters".to_owned(),
                    format!("Write `[{name}]`, or put each action of that step on a `>` line of its own."),
                ),
            };
            let finding = Finding::new(Code::FW0201, format!("step `{name}` has no action {letter}"), at, label)
                .also(step.name.span, "the step")
                .because("The reader looks for that letter on the sheet.")
                .repair(repair);
            self.report(finding);
        }
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
        Target::Figure(id) => MentionTarget::Figure(id, None),
        Target::Step(id) => MentionTarget::Step(id),
        Target::Limit(_) | Target::Hazard(_) | Target::Action(_) => return None,
    })
}

/// The place in the source of a byte range of the joined lines.
fn place(written: &[tree::Text], start: usize, end: usize) -> Option<Span> {
    let mut before = 0;
    for line in written {
        let length = line.value.len();
        if start <= before + length {
            let from = line.span.start as usize + (start - before);
            let to = from + end.saturating_sub(start).min(length.saturating_sub(start - before).max(1));
            return Some(Span::new(line.span.file, from, to));
        }
        before += length + 1;
    }
    None
}
