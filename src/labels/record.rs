//! The words of a job's record: on the job page, printed from it, and on the summary that is signed.

use serde::Serialize;

labels! {
    /// What the page's record and the signed summary both say.
    #[serde(rename_all = "camelCase")]
    Report {
        title: "Record of the job",
        vehicle: "Vehicle or order",
        made_for: "Made for",
        work_begun: "Begun",
        ended: "Ended",
        done_by: "Done by",
        answers_before: "Answers before the job",
        limits_held: "Limits",
        must_hold: "Must hold",
        outcome: "Result",
        what: "What",
        value: "Value",
        read_with: "Read with",
        left_out: "Left out: {reason}",
        remarks: "Remarks",
        remark: "Remark",
        due: "Due after the job",
        signatures: "Signatures",
        head: "Head of the record",
        checklist: "Digest of the checklist",
    }

    /// What stands on the signed summary alone.
    #[serde(rename_all = "camelCase")]
    Record {
        page: "Record: {title} – {job}",
        complete: "The record is complete.",
        faulty: "The record is not in order.",
        steps_done: "Steps done",
        readings: "Readings and torques",
        entries: "Entries and photographs",
        recorded: "Recorded",
        signed_as: "As",
        signed_name: "Name",
        signed_at: "At",
        signature: "Signature of {name} as {role}",
        head_of: "{head}, {n} lines",
        other_head: "A record whose head is another one is not the record of this page.",
        made_from: "What this page was made from",
        at_line: "Line {n}: {text}",
        corrected: "Line {n} was corrected: {reason}",
        withdrawn: "Line {n} was withdrawn: {reason}",
        photo: "Photograph {file}",
        step_first: "{step} first",
        step_after: "{step} after repair {n}",
        step_again: "{step} time {n}",
        torque_again: "{torque}; done again: {remedy}",
        clicked_all: "{torques}, wrench set and clicked",
        set_through: "{torques} (at the fastening; on the wrench {set})",
        clicked_some: "{torques}, wrench set and clicked at {n} of {all}",
        clock_backwards: "this line is dated before the one above it",
        photo_left_out: "a photograph was left out: {text}",
        torque_remedied: "a torque outside its tolerance was written down: {text}",
        one_signs_twice: "one person signs twice: {text}",
        went_on: "a check failed and the job went on: {text}",
        carried_on: "the job was carried on under this revision: {text}",
    }
}
