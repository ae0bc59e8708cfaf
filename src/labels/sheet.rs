//! The words of sheets made for paper, and of the record's summary.

use serde::Serialize;

labels! {
    /// What stands on more than one of the sheets.
    #[serde(rename_all = "camelCase")]
    Sheet {
        for_this_fitting: "For this fitting",
        as_needed: "as needed",
        wear: "Protective equipment",
        parts: "Parts",
    }

    /// What stands on the summary of a record.
    #[serde(rename_all = "camelCase")]
    Record {
        complete: "The record is complete.",
        faulty: "The record is not in order.",
    }
}
