//! The words of sheets made for paper.

use serde::Serialize;

labels! {
    /// What stands on more than one of the sheets.
    #[serde(rename_all = "camelCase")]
    Sheet {
        for_this_fitting: "For this fitting",
        as_needed: "as needed",
        wear: "Protective equipment",
        parts: "Parts",
        date: "Date",
        checked_by: "Checked by",
        released_by: "Released by",
        revision_mark: "Revision {mark}",
        no_revision: "no revision stated",
        page_of: "Page {n} of {all}",
        of_procedure: "{title} ({id})",
        of_date: "revision {mark} of {date}",
        source: "source {digest}",
        source_digest: "Source digest {digest}.",
        made_by: "Made by Fitwright {version}.",
        this_document: "This document",
        document: "Document",
        revision: "Revision",
        not_stated: "not stated",
        belong_together: "Only the sheets with this mark, date and digest belong together.",
        full_digest: "The digest of the source in full: {digest}.",
        brackets: "Values in brackets are converted and rounded so that they stay inside the stated tolerance.",
        no_script: "This page needs JavaScript, which is switched off here. Use the printed manual and its boxes to tick.",
    }
}
