//! The words of what fits: lines, table and page.

use serde::Serialize;

labels! {
    /// What is said of a vehicle.
    #[serde(rename_all = "camelCase")]
    Fit {
        kind: "What fits",
        fits: "fits",
        no: "does not fit",
        depends: "depends",
        unread: "unread",
        at: "{on}: fits at {ranges}",
        may: "{on}: may fit at {ranges}",
        at_and_may: "{on}: fits at {ranges}, may fit at {others}",
        seen: "{on}: seen on the job",
        rule: "rule: {says}",
        limit: "{name}: {says}",
        stop: "stop: {says}",
        finding: "fault of the procedure ({name}): {says}",
        margin: "{limit} {amount}",
        margin_share: "{limit} {amount} ({share} %)",
        unsure: "{group}, perhaps",
        message: "line {line}, column {column}: {says}",
        message_named: "line {line}, column {column}, {name}: {says}",
        row_at: "line {line}",
        lead: "Each row of the table, with each choice that is left open. What it says holds for the numbers as the table states them.",
        rows: "Rows",
        rows_that_fit: "Rows with a choice that fits",
        lines_that: "Lines: {verdict}",
        margins: "How far limits are kept",
        margins_say: "Lines by their least margin, in per cent of the right side of the limit. Hatched: the limit is broken. What is beyond an end stands in the last bar.",
        strip: "{name}: {title}",
        share: "{n} %",
        filter: "Show rows with",
        shown: "{n} lines shown",
        no_group: "Without one",
        of_group: "{n} of {all} lines fit",
        verdict: "Verdict",
        choice: "Choice",
        why: "Margins and reasons",
        left_off: "{n} more rows are not listed here; they are counted and drawn above, and stand in the answer as CSV or JSON.",
    }
}
