//! Mentions of what is settled or left out: they stand in the text as words.

use std::collections::BTreeSet;

use super::settled::Settled;
use super::visit::Ids;
use crate::model::{Mention, MentionTarget, Procedure, Prose, Said, StepId};
use crate::prose;
use crate::quantity::display;

/// Writes the words that mentions stand for.
pub(super) struct Words<'a> {
    /// The full procedure.
    pub full: &'a Procedure,
    pub settled: &'a Settled,
    /// The steps that are left.
    pub steps: &'a BTreeSet<StepId>,
}

impl Words<'_> {
    /// The words for a mention; `None` where it can stay one.
    fn plain(&self, mention: &Mention) -> Option<String> {
        match mention.target {
            MentionTarget::Choice(id) if self.settled.choices.contains_key(&id) => {
                Some(self.full.choices[id].name.title.clone())
            }
            MentionTarget::Number(id) => {
                let amount = display::quantity(self.settled.numbers.get(&id)?, self.full.units);
                Some(format!("{} ({amount})", self.full.numbers[id].name.title))
            }
            MentionTarget::Step(id) if !self.steps.contains(&id) => {
                Some(format!("step {} (left out here)", self.full.steps[id].number))
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
                prose.markdown.replace_range(one.range.clone(), &escaped(&words));
            }
        }
        prose.mentions.retain(|mention| self.plain(mention).is_none());
    }

    /// A quoted text is plain.
    fn said(&mut self, said: &mut Said) {
        for mention in &said.mentions {
            if let Some(words) = self.plain(mention) {
                let words = words.replace('[', "\\[").replace(']', "\\]");
                said.text = said.text.replace(&format!("[{}]", mention.text), &words);
            }
        }
        said.mentions.retain(|mention| self.plain(mention).is_none());
    }
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
