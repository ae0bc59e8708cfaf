//! Our words on the outputs, each once: manual, drawings, lists, job page, record, amounts. Words of a procedure never pass
//! through here.
//!
//! A label has one text wherever it stands, so that whoever knows the sheet knows the page. [`ENGLISH`] is the catalogue that
//! all others follow; [`spoken`] is that of the language in which something is worded now. Templates know the catalogue as
//! `labels`, the job page gets its part of it as data. `{n}` in a text is a place that [`fill`] or the page fills.

/// Declares groups of labels with their English text. A group is a struct of texts, and its `ENGLISH`.
macro_rules! labels {
    ($($(#[$about:meta])* $group:ident { $($label:ident: $text:literal,)* })*) => {$(
        #[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
        $(#[$about])*
        #[allow(missing_docs, reason = "the text says what each is")]
        pub struct $group { $(pub $label: &'static str,)* }

        impl $group {
            /// In plain workshop English.
            pub const ENGLISH: $group = $group { $($label: $text,)* };

            pub(crate) fn each(&mut self, see: &mut dyn FnMut(&'static str, &mut &'static str)) {
                $(see(stringify!($label).trim_start_matches("r#"), &mut self.$label);)*
            }
        }
    )*};
}

mod account;
mod drawing;
mod fill;
mod fit;
mod language;
mod lists;
mod manual;
mod page;
mod record;
mod sheet;
mod tally;
mod things;
mod words;

use serde::Serialize;

pub use account::{Account, Unjudged};
pub use drawing::{Bench, Fastening, Map, Scale, Schematic};
pub use fill::{Piece, fill, pieces, sentence_case};
pub use fit::Fit;
pub use language::{FOR_THE_MAKER, Language, english, language, language_of, pseudo, speaking, spoken, tags, term};
pub use lists::{List, Packing, Pick};
pub use manual::{Annex, Blank, Flow, Front, Since};
pub use page::Page;
pub use record::{Record, Report};
pub use sheet::Sheet;
pub use tally::{Tallied, Tally};
pub use things::{Circuit, Fastener, Joint, Kit, Metal, Tool, Wires};
pub use words::{Condition, Count, Measure, Signal, Term, Word};

labels! {
    /// What a line of a step does; stands in its margin. The names are those of the language and of the checklist.
    #[serde(rename_all = "camelCase")]
    Row {
        r#use: "Tools",
        wear: "Wear",
        take: "Take",
        remove: "Remove",
        refit: "Refit",
        discard: "Discard",
        place: "Fit",
        snug: "Run on",
        tighten: "Tighten",
        loosen: "Loosen",
        connect: "Connect",
        disconnect: "Disconnect",
        need: "Only when",
        make: "Set",
        make_parts: "Make",
        keep_parts: "Keep for the owner",
        reuse: "Use again",
        r#do: "Do",
        set: "Decided",
        read: "Read",
        write_down: "Write down",
        photo: "Photograph",
        wait: "Wait",
    }

    /// What a line of a step says besides its label.
    #[serde(rename_all = "camelCase")]
    Tell {
        figure: "Figure {number}",
        finger_tight: "finger-tight",
        as_many: "as many as there are",
        in_order: "in this order:",
        until: "until you see this:",
        see_that: "See that this is so:",
        no_torque: "No torque is stated: {why}",
        tight_without: "it is tight. {untold}",
        with_tools: "With: {tools}.",
        by_hand: "By hand, without a tool.",
        hold: "Hold the other side with: {tools}.",
        wire: "Wire: {shown} {metal}.",
        without: "can be done without",
        read_with: "with: {tools}",
        read_to: "to {reads}",
        stay_in: "Leave the parts in place.",
        keep_parts: "Keep the parts.",
        came_off: "with the parts that came off",
        then: "then",
        take_parts: "Take {parts}.",
        make_parts: "Make {made} from {parts}.",
        made_from: "from",
        put_aside: "Keep {parts} for the owner.",
        use_again: "Use again what came off: {parts}.",
        wait: "Wait {time}.",
        wait_until: "Wait {time}, {until}.",
        thread: "thread {thread}",
        each: "each",
        makers_number: "Maker's number {number}",
    }

    /// A check, what follows where it fails, and a stop.
    #[serde(rename_all = "camelCase")]
    Check {
        check: "Check:",
        pass_if: "Pass if",
        if_fails: "If it fails:",
        again: "Now do {check} again.",
        go_on: "Go on",
        stop: "Stop",
        first: "First",
        repair: "Repair {n}",
        repair_of: "Repair {n} of {all}",
        after_the_repair: "After the repair",
        after_repair: "After repair {n}",
        by_whom: "Checker",
        another_than: "Another person, who did none of steps {first} to {last}",
        another_than_one: "Another person, who did not do step {number}",
        checked_by: "Who checks",
        not_another: "{name} did step {number}. Somebody else must check it: type another name.",
    }

    /// The handover, and the state in which the vehicle leaves.
    #[serde(rename_all = "camelCase")]
    Handover {
        title: "Hand over",
        show: "Show",
        keep: "Keep",
        dispose: "Dispose of",
        give: "Give the owner",
        kept_in: "{parts}, kept in step {step}",
        later: "Left for later",
        feed_later: "{circuit} is not fed yet: {who}",
        connect_later: "{circuit}, {point} is not connected yet: {who}",
        again: "Tighten again",
        again_to: "to {torque}, after {when}",
        again_until: "until {seen}, after {when}",
        again_after: "after {when}",
        of_running: "{time} of running",
        sooner: "{when}, whichever comes first",
        note: "Note",
        leave_with: "Leave the vehicle with",
        sign_as: "Signs: {role}",
    }

    /// For whom and for what a procedure is.
    #[serde(rename_all = "camelCase")]
    About {
        fits: "Fits",
        qualified: "Qualified person",
        who_may: "Who may do it",
        licence: "Codes and licences",
        time: "Time",
        people: "People",
        rules: "What goes together",
        limits: "Do not fit it unless all of this holds",
        limit_line: "Limit",
        if_not: "If not",
        met: "Decided for this fitting",
        holds: "it holds",
        holds_ever: "It holds wherever the rules and the other limits do.",
        follows: "follows from the others",
        on_vehicle: "Already on the vehicle",
        local_codes: "Where local codes, the instructions of the vehicle's or machine's maker or licensed practice ask for more than this procedure, they decide.",
        who_decides: "Local codes and licensed practice decide who may do this step",
        not_here: "Left out, because it does not apply: {parts}. All others keep the numbers that they have in the full procedure.",
    }

    /// What became of a check or a limit.
    #[serde(rename_all = "camelCase")]
    Verdict {
        passed: "passed",
        not_passed: "failed",
        undecided: "not decided",
    }

    /// How a job ended, by the names of the record.
    #[serde(rename_all = "kebab-case")]
    Outcomes {
        handed_over: "Handed over",
        stopped: "Stopped",
        broken_off: "Broken off",
        open: "Not finished",
    }

    /// What an event of a record is, by the names of the record.
    #[serde(rename_all = "kebab-case")]
    Events {
        answer: "answer",
        reading: "reading",
        torque: "torque",
        text: "text",
        acknowledge: "message read",
        done: "step done",
        begin: "step begun",
        photo: "photograph",
        leave_out: "photograph left out",
        sign: "signature",
    }

    /// Why a typed number is not taken.
    #[serde(rename_all = "camelCase")]
    Typed {
        typed_nothing: "Type a number.",
        typed_no_number: "This is not a number. Type digits with one decimal sign, as in 24{sign}5.",
        typed_unit: "Type the number alone. The unit stands beside it.",
        typed_two_signs: "This has more than one point or comma. Type one decimal sign, as in 24{sign}5, and nothing for thousands.",
        typed_thousands: "This could mean {decimal} or {whole}. Type one of these two.",
        out_of_range: "{value} is not between {low} and {high}. Look at the unit, and read again. If it is right, do not go on: ask whoever is in charge.",
        not_multiple: "This is read in steps of {reads}. Type {below} or {above}.",
        between: "{value} lies between {below} and {above}, and these lead different ways. Read it in {unit}.",
        too_long: "Type fewer digits.",
    }
}

/// Declares the catalogue of groups: first those that the job page gets too, then those of paper alone.
macro_rules! catalogue {
    (job { $($both:ident: $of_both:ident,)* } paper { $($paper:ident: $of_paper:ident,)* }) => {
        /// All labels of one language.
        #[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
        #[allow(missing_docs, reason = "each group says what it is")]
        pub struct Labels { $(pub $both: $of_both,)* $(pub $paper: $of_paper,)* }

        /// The labels in English.
        pub static ENGLISH: Labels =
            Labels { $($both: $of_both::ENGLISH,)* $($paper: $of_paper::ENGLISH,)* };

        /// The groups that the job page needs.
        #[derive(Debug, Clone, Copy, Serialize)]
        #[allow(missing_docs, reason = "as in `Labels`")]
        pub struct JobLabels { $(pub $both: $of_both,)* }

        impl Labels {
            /// What the job page gets.
            pub fn for_job(&self) -> JobLabels {
                JobLabels { $($both: self.$both,)* }
            }

            /// Every label with the names of its group and its own, in the order of the catalogue.
            pub fn each(&mut self, see: &mut dyn FnMut(&'static str, &'static str, &mut &'static str)) {
                $(self.$both.each(&mut |label, text| see(stringify!($both), label, text));)*
                $(self.$paper.each(&mut |label, text| see(stringify!($paper), label, text));)*
            }
        }
    };
}

catalogue! {
    job {
        row: Row,
        tell: Tell,
        check: Check,
        handover: Handover,
        about: About,
        verdict: Verdict,
        outcomes: Outcomes,
        events: Events,
        typed: Typed,
        page: Page,
        report: Report,
        word: Word,
    }
    paper {
        account: Account,
        unjudged: Unjudged,
        sheet: Sheet,
        record: Record,
        measure: Measure,
        condition: Condition,
        count: Count,
        signal: Signal,
        kit: Kit,
        fastener: Fastener,
        tool: Tool,
        joint: Joint,
        metal: Metal,
        circuit: Circuit,
        wires: Wires,
        front: Front,
        flow: Flow,
        since: Since,
        blank: Blank,
        annex: Annex,
        map: Map,
        scale: Scale,
        schematic: Schematic,
        fastening: Fastening,
        bench: Bench,
        list: List,
        pick: Pick,
        packing: Packing,
        tally: Tally,
        tallied: Tallied,
        term: Term,
        fit: Fit,
    }
}
