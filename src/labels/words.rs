//! Words that sentences everywhere are put together with, and conditions in words.

use serde::Serialize;

labels! {
    /// Words of many places, the job page among them.
    #[serde(rename_all = "camelCase")]
    Word {
        or: "or",
        and: "and",
        done: "Done",
        answer: "Answer",
        nth: "no. {n}",
        in_step: "in step {numbers}",
        in_steps: "in steps {numbers}",
        revision: "revision {mark}",
    }

    /// How often, how many.
    #[serde(rename_all = "camelCase")]
    Count {
        once: "once",
        times: "{n} times",
        part_of: "{n} of {all}",
        person: "{n} person",
        people: "{n} people",
    }

    /// Amounts and their bounds, of conditions too.
    #[serde(rename_all = "camelCase")]
    Measure {
        at_least: "at least {value}",
        at_most: "at most {value}",
        over: "over {value}",
        below: "below {value}",
        range: "{low} to {high}",
        turns: "turns",
    }

    /// Conditions and limits.
    #[serde(rename_all = "camelCase")]
    Condition {
        not: "not {words}",
        both: "{low} and {high}",
        not_both: "not both {low} and {high}",
        any: "any",
        none: "none",
        other_reading: "any other reading",
        always: "in every case",
        never: "in no case",
        repaired: "check {number} is repaired",
        other_cases: "{n} other cases",
        at_worst: "{what}, {value} at worst",
        least: "the least of ({parts})",
        greatest: "the greatest of ({parts})",
        when: "when {condition}: ",
    }

    /// The word on a panel (ANSI Z535.6).
    #[serde(rename_all = "camelCase")]
    Signal {
        notice: "NOTICE",
        caution: "CAUTION",
        warning: "WARNING",
        danger: "DANGER",
    }
}
