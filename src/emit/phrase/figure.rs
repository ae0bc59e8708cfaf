//! What pictures point at, and how they are called.

use crate::emit::words::Words;
use crate::labels::{fill, spoken};
use crate::model::{Called, Callout, Figure};

/// `Figure 3`
pub(in crate::emit) fn numbered(figure: &Figure) -> String {
    fill(spoken().tell.figure, &[("number", &figure.number.unwrap_or_default().to_string())])
}

/// Where a place on a picture stands, in percent of a side: `31`, `40.5`.
pub(in crate::emit) fn percent(place: u32) -> String {
    let (whole, rest) = (place / 100, place % 100);
    match rest {
        0 => whole.to_string(),
        _ if rest % 10 == 0 => format!("{whole}.{}", rest / 10),
        _ => format!("{whole}.{rest:02}"),
    }
}

impl Words<'_> {
    /// The title of what a callout points at; of one thing at each of several places, the title of all of them.
    pub(in crate::emit) fn called(&self, callout: &Callout) -> String {
        let Some(of) = callout.of.first() else { return String::new() };
        match self.procedure.naming(*of).at.as_ref().filter(|_| callout.of.len() > 1) {
            Some(at) => at.title.clone(),
            None => match of {
                Called::Part(id) => self.part(*id),
                Called::Tool(id) => self.tool(*id),
                other => self.procedure.naming(*other).title.clone(),
            },
        }
    }
}
