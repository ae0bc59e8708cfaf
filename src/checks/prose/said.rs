//! The sentences of steps with their verb and what they name, looked at once for all rules that ask the same.

use std::cell::OnceCell;
use std::ops::Range;

use super::classes::{FORBIDS, NOT_NOW};
use super::sentences::opening_verb;
use super::text::{Sort, Text};
use super::things::{self, Thing};
use super::tools;
use crate::model::{Procedure, StepId};
use crate::source::Span;

pub(super) struct Said<'t, 'p> {
    procedure: &'p Procedure,
    pub step: StepId,
    pub place: Span,
    pub text: &'t Text<'p>,
    pub sentence: Range<usize>,
    /// In small letters.
    pub verb: &'t str,
    /// Whether it is to be done now, and at no condition.
    pub is_now: bool,
    verb_at: usize,
    words: Vec<&'t str>,
    /// Words of the titles of what it mentions.
    titles: OnceCell<Vec<String>>,
    things: OnceCell<Vec<Thing>>,
}

impl Said<'_, '_> {
    /// Whether it has a word of a list, itself or in the title of a thing that it mentions.
    pub fn says(&self, list: &[&str]) -> bool {
        self.words.iter().any(|word| list.contains(word))
            || self.titles().iter().any(|word| list.contains(&word.as_str()))
    }

    fn titles(&self) -> &[String] {
        self.titles.get_or_init(|| {
            let targets = self.sentence.clone().filter_map(|at| self.text.mention(at)).map(|mention| &mention.target);
            let titles = targets.filter_map(|target| things::title(self.procedure, target));
            titles.flat_map(things::of_title).collect()
        })
    }

    /// Whether its verb is one of a list.
    pub fn does(&self, verbs: &[&str]) -> bool {
        verbs.contains(&self.verb)
    }

    /// Whether its step lays out a tool whose title has one of these words.
    pub fn lays_out(&self, names: &[&str]) -> bool {
        let has = |tool| {
            let title = self.procedure.tools[tool].name.title.to_lowercase();
            names.iter().any(|name| title.contains(name))
        };
        self.procedure.steps[self.step].lines.iter().flat_map(tools::of_line).any(has)
    }

    /// Whether it names a thing by a mention.
    pub fn mentions(&self) -> bool {
        self.sentence.clone().any(|at| self.text.mention(at).is_some())
    }

    /// What it names after its verb.
    pub fn things(&self) -> &[Thing] {
        self.things.get_or_init(|| things::after(self.procedure, self.text, self.verb_at, self.sentence.end))
    }

    /// What the verb acts on at once.
    pub fn object(&self) -> Option<&Thing> {
        self.things().first().filter(|thing| thing.by == self.verb)
    }

    /// The things to which one of these words leads over.
    pub fn by(&self, list: &[&str]) -> Vec<Thing> {
        self.things().iter().filter(|thing| list.contains(&thing.by.as_str())).cloned().collect()
    }

    /// Whether one of the words leads over to a thing that ends in one of the others.
    pub fn leads(&self, by: &[&str], to: &[&str]) -> bool {
        self.things().iter().any(|thing| by.contains(&thing.by.as_str()) && thing.is_a(to))
    }
}

pub(super) fn all<'t, 'p>(procedure: &'p Procedure, texts: &'t [Text<'p>]) -> Vec<Said<'t, 'p>> {
    let mut found = Vec::new();
    for text in texts.iter().filter(|text| text.sort == Sort::Instruction) {
        for sentence in text.sentences() {
            let (Some(step), Some(place)) = (text.step, text.place(sentence)) else { continue };
            let verb_at = opening_verb(text, sentence.start, sentence.end).unwrap_or(sentence.start);
            let words: Vec<&str> = sentence.clone().map(|at| text.lower(at)).collect();
            let later = |word: &&str| FORBIDS.contains(word) || NOT_NOW.contains(word);
            let is_now = !words.iter().any(later);
            let (verb, things, titles) = (text.lower(verb_at), OnceCell::new(), OnceCell::new());
            let sentence = sentence.clone();
            found.push(Said { procedure, step, place, text, sentence, verb, is_now, verb_at, words, titles, things });
        }
    }
    found
}
