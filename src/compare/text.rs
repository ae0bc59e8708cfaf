//! A comparison as text for people.

use super::{Change, Comparison, Edition, Follows, Said, Topic, What};
use crate::uses::StepUsing;

/// At most so many lines of what follows for one joint or circuit; `explain` has them all.
const MOST_FOLLOWING: usize = 4;

impl Comparison {
    /// For a terminal: topic by topic, each change with its steps, as it was and as it is.
    pub fn text(&self) -> String {
        let mut text = format!("{}\n{} → {}\n", self.new.title, edition(&self.old), edition(&self.new));
        if self.old.title != self.new.title {
            text.push_str(&format!("(was: {})\n", self.old.title));
        }
        text.push_str(&format!("\n{}\n", self.in_short()));
        for topic in Topic::ALL {
            let changes: Vec<&Change> = self.changes.iter().filter(|change| change.topic == topic).collect();
            if changes.is_empty() {
                continue;
            }
            let mark = if topic.is_of_safety() { "  (look at it for safety)" } else { "" };
            text.push_str(&format!("\n{}{mark}\n", topic.words()));
            let mut heading = None;
            for change in changes {
                let own = change.heading();
                if own != heading {
                    text.push_str(own.as_deref().unwrap_or_default());
                    heading = own;
                }
                text.push_str(&change.text());
            }
        }
        text.push_str(&self.following());
        text
    }

    /// In one sentence: how many changes, how many to look at.
    pub fn in_short(&self) -> String {
        let count = self.changes.len();
        if count == 0 {
            return "Nothing changed but comments and blanks.".to_owned();
        }
        if self.is_of_words() {
            return format!(
                "Only wording, names or units changed, in {}; whether the words mean the same, only a reader knows.",
                counted(count, "place")
            );
        }
        let safety = self.of_safety().count();
        let look = match safety {
            0 => "none of them is about safety".to_owned(),
            all if all == count => "look at each of them for safety".to_owned(),
            some => format!("look at {some} of them for safety"),
        };
        format!("{}; {look}.", counted(count, "change"))
    }

    fn following(&self) -> String {
        let Some(follows) = &self.follows else {
            return "\nWhat follows is not told: one of the two has errors. Check it first.\n".to_owned();
        };
        if follows.is_empty() {
            return String::new();
        }
        let mut text = String::from("\nWhat follows\n");
        for group in follows.chunk_by(|one, next| one.of == next.of) {
            let Some(first) = group.first() else { continue };
            text.push_str(&format!("  {}\n", first.of));
            let most = if group.len() > MOST_FOLLOWING + 1 { MOST_FOLLOWING } else { group.len() };
            group.iter().take(most).for_each(|one| text.push_str(&format!("    {}\n", one.words())));
            if group.len() > most {
                text.push_str(&format!(
                    "    and {} lines more of its calculation; `fitwright explain` has them\n",
                    group.len() - most
                ));
            }
        }
        text
    }
}

impl Follows {
    /// `Stress: 60 % → 72 %`
    pub fn words(&self) -> String {
        let of = |words: &str| if words.is_empty() { self.what.clone() } else { format!("{}: {words}", self.what) };
        match (&self.old, &self.new) {
            (Some(old), Some(new)) => format!("{}: {old} → {new}", self.what),
            (None, Some(new)) => format!("new: {}", of(new)),
            (Some(old), None) => format!("no more: {}", of(old)),
            (None, None) => self.what.clone(),
        }
    }
}

impl Change {
    /// What it belongs to and touches, which neighbours may share; nothing of a whole declaration or section.
    fn heading(&self) -> Option<String> {
        Some(format!("  {}{}\n", cut(self.subject.last()?), touched(&self.steps, self.fittings.as_deref())))
    }

    fn text(&self) -> String {
        let place = self.new.as_ref().or(self.old.as_ref());
        let place = place.map_or_else(String::new, |said| format!("  [{}:{}]", said.file, said.line));
        let said = |one: &Option<Said>| one.as_ref().map(|said| cut(&said.text));
        let touched = match self.subject.is_empty() {
            true => touched(&self.steps, self.fittings.as_deref()),
            false => String::new(),
        };
        let indent = if self.subject.is_empty() { "  " } else { "    " };
        let (old, new) = (said(&self.old), said(&self.new));
        match (self.what, old, new) {
            (What::Moved, _, Some(new)) => format!("{indent}{new}{touched}: stands in another place{place}\n"),
            (_, Some(old), Some(new)) => format!("{indent}- {old}\n{indent}+ {new}{touched}{place}\n"),
            (_, Some(old), None) => format!("{indent}- {old}{touched}{place}\n"),
            (_, None, Some(new)) => format!("{indent}+ {new}{touched}{place}\n"),
            (_, None, None) => String::new(),
        }
    }
}

/// `, steps 2.1, 2.3, only: Arm: powered arm`
fn touched(steps: &[StepUsing], fittings: Option<&str>) -> String {
    const MOST: usize = 6;
    let mut numbers: Vec<&str> = steps.iter().map(|step| step.number.as_str()).collect();
    let more = numbers.len().saturating_sub(MOST);
    numbers.truncate(MOST);
    let words = match numbers.len() {
        0 => String::new(),
        1 => format!(", step {}", numbers.join("")),
        _ => format!(", steps {}", numbers.join(", ")),
    };
    let more = if more > 0 { format!(" and {more} more") } else { String::new() };
    let fittings = fittings.map_or_else(String::new, |words| format!(", only: {words}"));
    format!("{words}{more}{fittings}")
}

/// `revision C, 2026-11-02`
fn edition(edition: &Edition) -> String {
    match (&edition.revision, &edition.date) {
        (Some(mark), Some(date)) => format!("revision {mark}, {date}"),
        _ => format!("{} (without a revision)", edition.file),
    }
}

fn counted(count: usize, one: &str) -> String {
    if count == 1 { format!("1 {one}") } else { format!("{count} {one}s") }
}

/// A long line shortened at its end.
fn cut(text: &str) -> String {
    const MOST: usize = 110;
    match text.char_indices().nth(MOST) {
        Some((at, _)) => format!("{} …", text.get(..at).unwrap_or(text).trim_end()),
        None => text.to_owned(),
    }
}
