//! One page about a finished job, as the data that a template prints.

use serde::Serialize;

use super::Outcome;
use super::event::{Event, Value, What};
use super::job::State;
use super::judge::Judgement;

/// What the page says.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct View {
    pub todo: u8,
}

/// The page of a judgement; `None` where the record could not be judged.
pub fn view(_judgement: &Judgement) -> Option<View> {
    None
}
