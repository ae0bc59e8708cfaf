//! The end of the manual: what the check looked at, what it could not judge, and what the writer accepted.

use serde::Serialize;

use crate::account::{Account, Judged};
use crate::labels::{fill, spoken};

/// What is printed of an account.
#[derive(Serialize)]
pub(super) struct AccountView {
    judged: String,
    /// What was not judged, each thing once with all that is open of it.
    open: Vec<OpenView>,
    accepted: Vec<String>,
}

#[derive(Serialize)]
struct OpenView {
    subject: String,
    values: Vec<String>,
}

pub(super) fn account(account: &Account) -> AccountView {
    let labels = &spoken().account;
    let mut open: Vec<OpenView> = Vec::new();
    // What a person sees of a tight joint stands in the table of torques already.
    for one in account.open.iter().filter(|one| !one.by_eye) {
        let value = fill(labels.value, &[("what", &one.what), ("why", &one.why.replace('`', ""))]);
        // The name in the source, in brackets at the end of a working's title, is for the writer.
        let subject = one.subject.rsplit_once(" (").map_or(one.subject.as_str(), |(title, _)| title);
        match open.iter_mut().find(|of| of.subject == subject) {
            Some(of) => of.values.push(value),
            None => open.push(OpenView { subject: subject.to_owned(), values: vec![value] }),
        }
    }
    if !account.in_words.is_empty() {
        let subject = Judged::Steps.counted(account.in_words.len());
        open.push(OpenView { subject, values: vec![labels.in_words.to_owned()] });
    }
    // A note is worth knowing for the writer alone; paper has what changes the work.
    let on_paper = account.accepted.iter().filter(|one| !one.is_note());
    let accepted = on_paper.map(|one| {
        let values =
            [("finding", one.message.replace('`', "")), ("code", one.code.to_string()), ("reason", one.reason.clone())];
        let values: Vec<(&str, &str)> = values.iter().map(|(name, value)| (*name, value.as_str())).collect();
        fill(labels.because, &values)
    });
    AccountView { judged: fill(labels.judged, &[("counts", &account.counts())]), open, accepted: accepted.collect() }
}
