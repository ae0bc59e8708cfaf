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

    /// The schematic of a circuit.
    #[serde(rename_all = "camelCase")]
    Schematic {
        title: "Schematic: {circuit}",
        load_cranked: "Load while the engine is cranked",
        left: "Left at the load: {volts}",
        one_way: "{run} one way",
        drop_and_back: "Voltage drop there and back: {drop}",
        drop_and_chassis: "Voltage drop in wire and chassis: {drop}",
        drop_of_wire: "Voltage drop in the wire alone: {drop}",
        thinnest: "With the thinnest wire sold as this size: {drop}",
        allowed: "Allowed: {drop}",
        by_practice: "Nothing stated; practice allows a feeder {drop}",
        to_scale: "The wire from the source to the load, to scale",
        numbers: "the numbers are the order in which they are connected",
        says: "A loop: {way}.",
        says_points: "Below it its {n} points from the source, numbered in the order of connection.",
    }

    /// A fastening in section.
    #[serde(rename_all = "camelCase")]
    Fastening {
        title: "{joint}, in section",
        caption: "In section, {scale}.",
        nut_and_washers: "Nut and washers at their thickest.",
        nut_alone: "Nut at its highest.",
        washers_alone: "Washers at their thickest.",
        says: "Seen from the side at a scale of {scale}, in this order: {pieces}.",
        clamped: "the parts that are clamped",
        clamped_grip: "the parts that are clamped, together {grip}",
        shared_out: "The washers are shared out as is usual; the steps say where each goes.",
        stud_there: "{stud}, there already",
        stud_open: "Where the stud ends is not stated.",
        length_of_bolt: "Length of the bolt",
        length_of_screw: "Length of the screw",
        protrusion: "Thread protrusion",
        too_short: "Too short by",
        engaged: "Thread engaged",
        left_below: "Thread left below",
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
