//! What was judged and what was not, as `check` tells it.

use std::collections::BTreeMap;

use crate::account::{Account, Judged};
use crate::diagnostics::render::counted;
use crate::diagnostics::visible;
use crate::source::{Sources, Span};

/// The accounts of all procedures of one run, summed up.
#[derive(Debug, Default)]
pub struct Summary {
    judged: BTreeMap<Judged, usize>,
    open: usize,
    in_words: usize,
    accepted: usize,
    /// Procedures of which nothing was proved.
    unproved: usize,
}

impl Summary {
    /// Adds the account of one procedure.
    pub fn add(&mut self, account: &Account) {
        if !account.proved {
            self.unproved += 1;
            return;
        }
        for (what, count) in &account.judged {
            *self.judged.entry(*what).or_default() += count;
        }
        self.open += account.open.len();
        self.in_words += account.in_words.len();
        self.accepted += account.accepted.len();
    }

    /// The last words of a check: what was judged, and whether something was not.
    pub fn closing(&self) -> String {
        let mut text = String::new();
        if self.unproved > 0 {
            text.push_str(
                "Not looked at yet, because of the errors above: the order of steps, parts, joints, circuits, states, limits and hazards.\n",
            );
        }
        if self.judged.is_empty() {
            return text;
        }
        let judged: Vec<String> = self.judged.iter().map(|(what, count)| what.counted(*count)).collect();
        text.push_str(&format!("Judged: {}.\n", judged.join(", ")));
        let further = [
            ("Not judged", self.open, "value"),
            ("In words only", self.in_words, "step"),
            ("Accepted", self.accepted, "finding"),
        ];
        let further: Vec<String> = further
            .iter()
            .filter(|(_, count, _)| *count > 0)
            .map(|(what, count, of)| format!("{what}: {}. ", counted(*count, of)))
            .collect();
        if !further.is_empty() {
            text.push_str(&format!("{}`--account` lists them.\n", further.concat()));
        }
        text
    }
}

/// The whole account of one file, for people.
pub fn full(name: &str, account: &Account, sources: &Sources) -> String {
    let line = |place: Span| {
        let at = sources.get(place.file).map(|file| file.position(place.start).line);
        at.map_or_else(String::new, |line| format!(", line {line}"))
    };
    let mut text = format!("\n{}\n", visible(name));
    if account.proved {
        text.push_str(&format!("  Judged: {}.\n", account.counts()));
    } else {
        text.push_str("  Nothing was proved: the errors come first.\n");
    }
    if !account.open.is_empty() {
        text.push_str("  Not judged:\n");
    }
    let mut subject = "";
    for open in &account.open {
        if open.subject != subject {
            text.push_str(&visible(&format!("    {}{}", open.subject, line(open.place))));
            text.push('\n');
            subject = &open.subject;
        }
        text.push_str(&visible(&format!("      {}: {}", open.what, open.why)));
        text.push('\n');
    }
    if !account.in_words.is_empty() {
        text.push_str("  In words only; whether what they ask comes in the right order is yours to judge:\n");
    }
    for one in &account.in_words {
        text.push_str(&visible(&format!("    {}{}", one.subject, line(one.place))));
        text.push('\n');
    }
    if !account.accepted.is_empty() {
        text.push_str("  Accepted:\n");
    }
    for one in &account.accepted {
        text.push_str(&visible(&format!("    {}{}: {}", one.code, line(one.place), one.message)));
        text.push('\n');
        text.push_str(&visible(&format!("      because: {}", one.reason)));
        text.push('\n');
    }
    text
}

/// The same for programs: one JSON object a line, under `account`.
pub fn data(name: &str, account: &Account, sources: &Sources) -> String {
    let whole = serde_json::json!({ "file": name, "account": account.data(sources) });
    format!("{whole}\n")
}
