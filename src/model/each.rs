//! Places of an `each`: what stands once in the source and is there for every place of a group.

use super::{Naming, Procedure, StepId};

/// One place of a group. Which things are at it, their [`Naming`] says.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct EachPlace {
    /// The name of the group in the source: `corner`.
    pub group: String,
    /// Its title: `Corner`.
    pub group_title: String,
    /// The name of the place in the source: `front-left`.
    pub id: String,
    /// How it is printed: `front left`.
    pub label: String,
}

/// What a thing is a copy of, and where.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct AtEach {
    /// The name that stands in the source: `foot`.
    pub of: String,
    /// The title as written: `Foot`.
    pub title: String,
    /// The place, by its number in [`Procedure::each_places`].
    pub place: usize,
}

impl EachPlace {
    /// A title with the place: `Foot, front left`; after a question or sentence in brackets.
    pub fn titled(&self, title: &str) -> String {
        if title.ends_with(['?', '.', '!']) {
            format!("{title} ({})", self.label)
        } else {
            format!("{title}, {}", self.label)
        }
    }
}

impl Procedure {
    /// The numbers of steps, each once: the copies of a step for several places have one.
    pub fn numbers_of(&self, steps: &[StepId]) -> Vec<String> {
        let mut numbers: Vec<String> = Vec::new();
        for number in steps.iter().map(|step| &self.steps[*step].number) {
            if !numbers.contains(number) {
                numbers.push(number.clone());
            }
        }
        numbers
    }

    /// The names of all things that are there for a place.
    pub fn copies(&self) -> impl Iterator<Item = (&Naming, &AtEach)> {
        let choices = self.choices.rows().iter().map(|row| &row.name);
        let numbers = self.numbers.rows().iter().map(|row| &row.name);
        let joints = self.joints.rows().iter().map(|row| &row.name);
        let circuits = self.circuits.rows().iter().map(|row| &row.name);
        let states = self.states.rows().iter().map(|row| &row.name);
        let steps = self.steps.rows().iter().map(|row| &row.name);
        let all = choices.chain(numbers).chain(joints).chain(circuits).chain(states).chain(steps);
        all.filter_map(|name| Some((name, name.at.as_ref()?)))
    }
}
