//! What is spoken of: events, inputs, and whatever has a value at each place.

use crate::model::{ChoiceId, Id, NumberId, Reading, StateId};

/// An event, by its place in the order of the text.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub struct EventId(pub(super) u32);

/// Its number is its place in [`Space::events`](super::Space::events).
impl Id for EventId {
    fn from_index(index: usize) -> Self {
        EventId(u32::try_from(index).unwrap_or(u32::MAX))
    }

    fn index(self) -> usize {
        self.0 as usize
    }
}

/// An option, observation or result; or a given or measure.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Input {
    /// One of several values.
    Choice(ChoiceId),
    /// A number.
    Number(NumberId),
}

impl Input {
    pub(super) fn subject(self) -> Subject {
        match self {
            Input::Choice(id) => Subject::Choice(id),
            Input::Number(id) => Subject::Number(id),
        }
    }
}

impl From<Reading> for Input {
    fn from(reading: Reading) -> Input {
        match reading {
            Reading::Choice(id) => Input::Choice(id),
            Reading::Number(id) => Input::Number(id),
        }
    }
}

/// Something that has a value at each place.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub(super) enum Subject {
    /// An option, observation or result.
    Choice(ChoiceId),
    /// A given or measure.
    Number(NumberId),
    /// A state.
    State(StateId),
}

/// A block of the unrolled procedure; 0 is the whole.
pub(super) type BlockId = u32;
