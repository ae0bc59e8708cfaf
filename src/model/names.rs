//! What a thing is called in a sentence, and whether two things can be told apart by what is known of them.

use std::collections::BTreeSet;

use super::{Called, HandoverLine, LineKind, Naming, Node, Part, Procedure, Tool};

impl Procedure {
    /// Name and title of what a callout points at.
    pub fn naming(&self, of: Called) -> &Naming {
        match of {
            Called::Part(id) => &self.parts[id].name,
            Called::Tool(id) => &self.tools[id].name,
            Called::Protection(id) => &self.protections[id].name,
            Called::Choice(id) => &self.choices[id].name,
            Called::Number(id) => &self.numbers[id].name,
            Called::Joint(id) => &self.joints[id].name,
            Called::Circuit(id) => &self.circuits[id].name,
            Called::State(id) => &self.states[id].name,
        }
    }

    /// A label as it stands within a sentence: `Kerb side` becomes `kerb side`. The first letter stays where its word
    /// has other capitals or digits (`LED bar`, `M8 bolt`), and where the procedure's own text writes the word with a
    /// capital in the middle of a sentence: then it is a name.
    pub fn in_sentence(&self, label: &str) -> String {
        let word: String = label.chars().take_while(|c| c.is_alphanumeric() || *c == '-').collect();
        let mut letters = label.chars();
        let Some(first) = letters.next() else { return String::new() };
        let second = word.chars().nth(1).is_some_and(char::is_lowercase);
        let plain = second && word.chars().skip(1).all(|c| c.is_lowercase() || c == '-');
        let nouns_are_capital = self.language.as_ref().is_some_and(|language| is_german(&language.tag));
        if !first.is_uppercase() || !plain || nouns_are_capital || self.names.contains(&word) {
            return label.to_owned();
        }
        first.to_lowercase().chain(letters).collect()
    }

    /// The words that the procedure's text writes with a capital in the middle of a sentence.
    pub fn names_in_text(&self) -> BTreeSet<String> {
        let mut names = BTreeSet::new();
        note(&self.name.title, &mut names);
        self.about.prose.iter().for_each(|prose| note(&prose.markdown, &mut names));
        for choice in self.choices.rows() {
            note(&choice.name.title, &mut names);
            choice.values.iter().for_each(|value| note(&value.label, &mut names));
        }
        for step in self.steps.rows() {
            note(&step.name.title, &mut names);
            for line in &step.lines {
                match &line.kind {
                    LineKind::Prose(prose) => note(&prose.markdown, &mut names),
                    LineKind::Note(said) => note(&said.text, &mut names),
                    LineKind::Wait(wait) => note(&wait.until.text, &mut names),
                    LineKind::Message(message) => {
                        let parts = [&message.nature, &message.consequence, &message.avoid];
                        parts.into_iter().for_each(|said| note(&said.text, &mut names));
                    }
                    _ => {}
                }
            }
        }
        for node in self.sections.iter().flat_map(|section| &section.body) {
            let Node::Handover(handover) = node else { continue };
            for line in &handover.lines {
                if let HandoverLine::Prose(prose) = line {
                    note(&prose.markdown, &mut names);
                }
            }
        }
        names
    }
}

/// Whether a language writes all nouns with a capital.
fn is_german(tag: &str) -> bool {
    tag.split('-').next().is_some_and(|primary| ["de", "lb"].iter().any(|known| primary.eq_ignore_ascii_case(known)))
}

/// Words with a capital after a word and a blank, so that no sentence begins with them.
fn note(text: &str, names: &mut BTreeSet<String>) {
    let mut before = "";
    for piece in text.split(' ') {
        let within = before.chars().last().is_some_and(|c| c.is_alphanumeric() || c == ',');
        let word: String = piece.chars().take_while(|c| c.is_alphanumeric() || *c == '-').collect();
        if within && word.chars().next().is_some_and(char::is_uppercase) {
            names.insert(word);
        }
        before = piece;
    }
}

/// A title as the ear has it: without capitals, blanks and stops, in which nobody sees a difference.
pub fn spoken(title: &str) -> String {
    let words = title.split(|c: char| !c.is_alphanumeric() && !matches!(c, '.' | '/' | '-' | '+' | '±' | '°' | '%'));
    let words: Vec<String> =
        words.map(|word| word.trim_matches('.').to_lowercase()).filter(|word| !word.is_empty()).collect();
    words.join(" ")
}

impl Tool {
    /// Whether nothing that a list says tells the two apart.
    pub fn looks_like(&self, other: &Tool) -> bool {
        self.name.title == other.name.title
            && self.turns == other.turns
            && self.drives == other.drives
            && self.driven_by == other.driven_by
            && self.torque == other.torque
            && self.measures == other.measures
            && self.reads == other.reads
    }
}

impl Part {
    /// Whether nothing that a list says tells the two apart.
    pub fn looks_like(&self, other: &Part) -> bool {
        self.name.title == other.name.title
            && self.fastener == other.fastener
            && self.terminal == other.terminal
            && self.mass == other.mass
            && self.number == other.number
            && self.single_use == other.single_use
            && self.consumable == other.consumable
    }

    /// Whether the two are one article: the same standard form or the same number of the maker, and nothing tells
    /// them apart.
    pub fn same_article(&self, other: &Part) -> bool {
        let known = self.fastener.is_some() || self.terminal.is_some() || self.number.is_some() || self.consumable;
        known && self.looks_like(other)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_label_begins_small_within_a_sentence_unless_it_is_a_name() {
        let mut procedure = Procedure::empty();
        procedure.names.insert("Kestrel".to_owned());
        let cases = [
            ("Kerb side", "kerb side"),
            ("LED bar", "LED bar"),
            ("M8 bolt", "M8 bolt"),
            ("Kestrel rack", "Kestrel rack"),
            ("T-slot", "T-slot"),
            ("12 V", "12 V"),
            ("low", "low"),
            ("", ""),
        ];
        for (label, wanted) in cases {
            assert_eq!(procedure.in_sentence(label), wanted);
        }
        let mut names = BTreeSet::new();
        note("The Heron works. Turn it, Finch or not; see the LED.", &mut names);
        assert_eq!(names.into_iter().collect::<Vec<_>>(), ["Finch", "Heron", "LED"]);
    }
}
