//! The words of what was judged and what was not.

use serde::Serialize;

labels! {
    /// What was judged, on the manual and in the terminal.
    #[serde(rename_all = "camelCase")]
    Account {
        title: "What was checked:",
        judged: "for every fitting and every reading, {counts}.",
        not_judged: "Not judged:",
        accepted: "Found, and accepted by the writer:",
        value: "{what}: {why}",
        because: "{finding} ({code}): {reason}",
        one_fitting: "{n} fitting",
        fittings: "{n} fittings",
        one_reading: "{n} reading",
        readings: "{n} readings",
        one_step: "{n} step",
        steps: "{n} steps",
        one_part: "{n} part",
        parts: "{n} parts",
        one_tool: "{n} tool",
        tools: "{n} tools",
        one_joint: "{n} joint",
        joints: "{n} joints",
        one_circuit: "{n} circuit",
        circuits: "{n} circuits",
        one_limit: "{n} limit",
        limits: "{n} limits",
        one_state: "{n} state",
        states: "{n} states",
        one_message: "{n} safety message",
        messages: "{n} safety messages",
    }
}
