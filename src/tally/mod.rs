//! Many records of one procedure, counted together: what hundreds of jobs say to whoever wrote it.
//!
//! [`Lists`] are the checklists that records may name; each record is judged by the one that its digest names, as `record` judges
//! it ([`Lists::judge`], on as many threads as there are), and what it says is added to a [`Tally`]. Counts are exact, and the
//! same in whatever order records come. [`Tally::lines`] gives the figures, which the page, the CSV and the JSON lines show.
//!
//! Limits are compared with exact numbers; means, standard deviations and capability figures are floating point.

mod capability;
mod counts;
mod csv;
mod figures;
mod lines;
mod lists;
mod look;
mod made_up;
mod sums;

pub use capability::{ENOUGH, SMALLEST_SAMPLE};
pub use counts::{BINS, MOST_VALUES};
pub use csv::csv;
pub use lines::{
    Arm, Counted, Edge, FORMAT_NAME, FORMAT_VERSION, Head, LeftOut, Line, Look, MadeUp, Person, Reading, Refused,
    Revision, Side, Step, Stop, Topic, Torque, Wrench,
};
pub use lists::{Lists, ListsFault, One};
pub use sums::{LONGEST, MOST_LISTED, MOST_WRENCHES, Tally};

use crate::schema::{self, For};

/// The JSON Schema (2020-12) of one line of a tally, for writers or for readers.
pub fn schema(whom: For) -> String {
    schema::text::<Line>(
        if whom == For::Writers { "urn:fitwright:tally:1" } else { "urn:fitwright:tally:1:reader" },
        whom,
    )
}
