//! The words of drawings, beside those that sheets and pages say too.

use serde::Serialize;

labels! {
    /// The map of the flow.
    #[serde(rename_all = "camelCase")]
    Map {
        title: "Flow map of section {section}: {title}",
        title_of_part: "Flow map of section {section}, part {part}: {title}",
        says: "A line from top to bottom with {stops}, in the order of the work.",
        nothing: "no stop",
        step: "{n} step",
        steps: "{n} steps",
        check: "{n} check",
        checks: "{n} checks",
        branch: "{n} branch",
        branches: "{n} branches",
        repair: "{n} repair",
        repairs: "{n} repairs",
        way_out: "{n} way to a {stop}",
        ways_out: "{n} ways to a {stop}",
        on_to: "On to section {number}: {title}",
        goes_on: "This line goes on on the next map",
        back_to: "Back to the line that part {part} left",
        of_part: "Map of part {part}",
        repair_of: "Repair of {check}",
        repair_then: "repair, at most {times}, then {check} again",
    }

    /// The scale on which a reading falls.
    #[serde(rename_all = "camelCase")]
    Scale {
        title: "Scale of table {number}: {reading}",
        says: "A bar to scale for readings of {range}. {arms}.",
        ends: "{arm}, a stop",
        hatched: "The hatched part is not to be expected here.",
    }

    /// What is laid out before the work.
    #[serde(rename_all = "camelCase")]
    Bench {
        title: "{tray}, on the bench",
        turning: "Tools that turn, by the size that they fit",
        measuring: "Torque wrenches, by their range",
        others: "Other tools",
        bars: "All bars on one scale, from nought to {highest}.",
        true_size: "At true size where this bar is {length} long",
        says_size: "Fastenings and sizes of tools at true size, recesses and threads by proportion.",
    }
}
