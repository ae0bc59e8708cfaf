//! The words of the manual and its annex.

use serde::Serialize;

labels! {
    /// What stands before the steps, beside what the job page says too.
    #[serde(rename_all = "camelCase")]
    Front {
        kind: "Fitting procedure",
        contents: "Contents",
        contents_folded: "Contents, folded",
        fitted_to: "Fitted to",
        job: "Job",
        before: "Before you start",
        which_fitting: "Which fitting is it?",
        write_before: "Write down before you start",
        known_after: "Known after step {number}.",
        goes_only_with: "{this} goes only with {that}.",
        fits_only: "It fits only {what}.",
        comes_to: "what it comes to",
        repairs_add: "Repairs can add up to {time}.",
        step_untimed: "Step {number} states no time and is not counted.",
        steps_untimed: "Steps {numbers} state no time and are not counted.",
        many_untimed: "{n} steps state no time and are not counted.",
        several_in_step: "More than one only in step {number}.",
        several_in_steps: "More than one only in steps {numbers}.",
        several_in_many: "More than one in {n} steps.",
    }

    /// What leads through the steps.
    #[serde(rename_all = "camelCase")]
    Flow {
        section: "section {number}",
        step: "step {number}",
        steps: "steps {first} to {last}",
        step_left_out: "step {number} (left out here)",
        figure: "figure {number}",
        figure_item: "figure {number}, item {item}",
        figure_left_out: "figure {number} (left out here)",
        check: "check {number}",
        table: "table {numbers}",
        tables: "tables {numbers}",
        table_of: "Table {n}. {title}",
        reading: "Reading",
        what_follows: "What follows",
        of_step: "Step {number}",
        of_steps: "Steps {first} to {last}",
        do_step: "Do step {number}.",
        do_steps: "Do steps {first} to {last}.",
        for_each: "For each",
        places: "{group}: {places}",
        told_at_each: "at each {places}",
        one_then_next: "– all of it at one, then at the next.",
        each_time: "each {time}",
        at_each: "{title}, each of {places}",
        when: "If:",
        otherwise: "Otherwise:",
        see_licences: "{rule}: see {heading} on the first page.",
        do_repair: "do the steps below, then do {check} again. At most {times}:",
        fails: "If {check} fails:",
        fails_after_repair: "If {check} still fails after {n} repair:",
        fails_after_repairs: "If {check} still fails after {n} repairs:",
        name_and_date: "Name, signature, date",
    }

    /// What differs from an older edition.
    #[serde(rename_all = "camelCase")]
    Since {
        heading: "Changed since revision {mark} of {date}",
        heading_without: "Changed since the edition before",
        lead: "A bar in the margin marks what differs. Whoever knows the older edition reads this first.",
        new_step: "new",
        was: "{now}; was {before}",
        is_new: "{what} (new)",
        no_more: "{what}: no longer",
        gone: "Steps no longer done",
        nothing: "Nothing that is printed here.",
    }

    /// What those hear who can't see where to write.
    #[serde(rename_all = "camelCase")]
    Blank {
        tick: "box to tick",
        write: "line to write on",
        fill_in: "{what}, to fill in",
        sign: "{what}, to sign",
        signature: "signature of {who}",
        step_done: "step {number} done",
        step_done_at: "step {number} done, {place}",
        step_done_repair: "step {number} done, repair {n}",
        repair: "repair {n}",
    }

    /// What stands on the annex alone.
    #[serde(rename_all = "camelCase")]
    Annex {
        kind: "Annex",
        title: "Annex to the fitting procedure",
        lead: "For whoever judges the work. The technician works by the manual, {manual}, of the same revision and digest; numbers of steps lead there.",
        way: "Way of the work",
        bench: "On the bench",
        index: "Index",
        index_lead: "Every tool and part, with the steps that use it.",
    }
}
