//! What is answered: the answers in force, and an answer as it is written down.

use serde::{Deserialize, Serialize};

use super::numbers::AmountText;
use crate::quantity::Exact;

/// The answers in force, by the place of their input.
#[derive(Debug, Clone, Default)]
pub struct Known(Vec<Option<Answer>>);

/// An answer, understood.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Answer {
    Choice(String),
    Number(AmountText, Exact),
}

impl Known {
    /// No answer to any of so many inputs.
    pub fn nothing(inputs: usize) -> Known {
        Known(vec![None; inputs])
    }

    pub fn choice(&self, input: usize) -> Option<&String> {
        match self.0.get(input)?.as_ref()? {
            Answer::Choice(choice) => Some(choice),
            Answer::Number(..) => None,
        }
    }

    pub fn number(&self, input: usize) -> Option<Exact> {
        match self.0.get(input)?.as_ref()? {
            Answer::Number(_, base) => Some(*base),
            Answer::Choice(_) => None,
        }
    }

    pub fn is_answered(&self, input: usize) -> bool {
        self.0.get(input).is_some_and(Option::is_some)
    }

    pub fn answer(&mut self, input: usize, answer: Answer) {
        if let Some(place) = self.0.get_mut(input) {
            *place = Some(answer);
        }
    }

    /// Each answered input with its answer.
    pub fn iter(&self) -> impl Iterator<Item = (usize, &Answer)> {
        self.0.iter().enumerate().filter_map(|(at, answer)| Some((at, answer.as_ref()?)))
    }
}

/// An answer as it is written down.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Answered {
    /// Id of a value.
    Choice(String),
    /// A number.
    Amount(AmountText),
}
