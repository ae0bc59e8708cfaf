//! Mentions of what is settled or left out: they stand in the text as words.

use std::collections::BTreeSet;

use super::settled::Settled;
use super::visitor::Ids;
use crate::labels::{fill, sentence_case, spoken};
use crate::model::{FigureId, Mention, MentionTarget, Procedure, Prose, Said, StepId};
use crate::prose;
use crate::quantity::display;

/// Writes the words that mentions stand for.
pub(super) struct Words<'a> {
    /// The full procedure.
    pub full: &'a Procedure,
    pub settled: &'a Settled,
    /// The steps that are left.
    pub steps: &'a BTreeSet<StepId>,
    /// The figures that these show.
    pub figures: &'a BTreeSet<FigureId>,
}

impl Words<'_> {
    /// The words for a mention, as they stand within a sentence; `None` where it can stay one. What is settled is its
    /// value.
    fn plain(&self, mention: &Mention) -> Option<String> {
        match mention.target {
            MentionTarget::Choice(id) => {
                let value = self.full.choices[id].values.get(*self.settled.choices.get(&id)?)?;
                Some(self.full.in_sentence(&value.label))
            }
            MentionTarget::Number(id) => Some(display::quantity(self.settled.numbers.get(&id)?, self.full.units)),
            MentionTarget::Figure(id, _) if !self.figures.contains(&id) => {
                let number = self.full.figures[id].number.unwrap_or_default().to_string();
                Some(fill(spoken().flow.figure_left_out, &[("number", &number)]))
            }
            MentionTarget::Step(id) if !self.steps.contains(&id) => {
                Some(fill(spoken().flow.step_left_out, &[("number", &self.full.steps[id].number)]))
            }
            MentionTarget::Action(id, letter) if !self.steps.contains(&id) => {
                let number = format!("{}\u{a0}{letter}", self.full.steps[id].number);
                Some(fill(spoken().flow.step_left_out, &[("number", &number)]))
            }
            _ => None,
        }
    }
}

impl Ids for Words<'_> {
    /// Prose is CommonMark.
    fn prose(&mut self, prose: &mut Prose) {
        let (found, _) = prose::mentions(&prose.markdown);
        for one in found.iter().rev() {
            let mention = prose.mentions.iter().find(|mention| mention.text == one.text);
            if let Some(words) = mention.and_then(|mention| self.plain(mention)) {
                let words = placed(words, prose.markdown.get(..one.range.start).unwrap_or_default());
                prose.markdown.replace_range(one.range.clone(), &escaped(&words));
            }
        }
        prose.mentions.retain(|mention| self.plain(mention).is_none());
    }

    /// A quoted text is plain.
    fn said(&mut self, said: &mut Said) {
        for mention in &said.mentions {
            if let Some(words) = self.plain(mention) {
                let sought = format!("[{}]", mention.text);
                let mut text = String::new();
                let mut rest = said.text.as_str();
                while let Some((before, after)) = rest.split_once(&sought) {
                    text.push_str(before);
                    let words = placed(words.clone(), &text);
                    text.push_str(&words.replace('[', "\\[").replace(']', "\\]"));
                    rest = after;
                }
                text.push_str(rest);
                said.text = text;
            }
        }
        said.mentions.retain(|mention| self.plain(mention).is_none());
    }
}

/// The words with a capital where a sentence begins with them, by what stands before.
fn placed(words: String, before: &str) -> String {
    let before = before.trim_end_matches([' ', '*', '_', '"', '(']);
    if !before.is_empty() && !before.ends_with(['.', '!', '?', '\n', '-', '>']) {
        return words;
    }
    sentence_case(&words)
}

/// Text that CommonMark shows as it is: any of its marks may be escaped (CommonMark 0.31, 2.4).
fn escaped(text: &str) -> String {
    let mut safe = String::with_capacity(text.len());
    for c in text.chars() {
        if c.is_ascii_punctuation() {
            safe.push('\\');
        }
        safe.push(c);
    }
    safe
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn words_stay_words() {
        let text = "a *b* [c] <d> 1. e \\ & # f";
        let html = prose::to_html(&escaped(text), &mut |_| Some("mention".to_owned()));
        assert_eq!(html.trim(), "<p>a *b* [c] &lt;d&gt; 1. e \\ &amp; # f</p>");
    }
}
