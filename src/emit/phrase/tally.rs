//! What many records say, in sentences: for the page and the terminal.

use crate::labels::{fill, spoken};
use crate::tally::{Look, Side, Topic};

/// Something to look at first, as a sentence. `several` names the revision too.
pub fn looked_at(look: &Look, several: bool) -> String {
    let labels = &spoken().tally;
    let words = look.words.as_deref();
    let label = match look.topic {
        Topic::CrowdedEdge if look.side == Some(Side::Lower) => labels.crowded_lower,
        Topic::CrowdedEdge => labels.crowded_upper,
        Topic::ArmNeverTaken => labels.never_taken,
        Topic::LowCapability if words.is_some() => labels.low_of_wrench,
        Topic::LowCapability => labels.low_capability,
        Topic::Repairs => labels.repairs,
        Topic::Corrections => labels.corrections,
        Topic::OverTime => labels.over_time,
        Topic::MadeUp => labels.made_up,
    };
    let figure = match (look.topic, look.figure) {
        (Topic::LowCapability, Some(figure)) => decimals(figure, 2),
        (_, Some(seconds)) => duration(seconds),
        (_, None) => String::new(),
    };
    let text = fill(
        label,
        &[
            ("title", &look.title),
            ("step", look.step.as_deref().unwrap_or_default()),
            ("id", &look.id),
            ("words", words.unwrap_or(labels.rest)),
            ("count", &look.count.to_string()),
            ("of", &look.of.to_string()),
            ("figure", &figure),
        ],
    );
    if several { fill(labels.in_revision, &[("mark", &look.revision), ("text", &text)]) } else { text }
}

/// A number with so many decimals; one too large or too small for that by its power of ten.
pub(in crate::emit) fn decimals(number: f64, places: usize) -> String {
    if number != 0.0 && !(1e-6..1e9).contains(&number.abs()) {
        return format!("{number:.2e}");
    }
    let text = format!("{number:.places$}");
    text.replace('-', "\u{2212}")
}

/// Seconds as people read them: `40 s`, `12 min`, `1 h 05 min`.
pub(in crate::emit) fn duration(seconds: f64) -> String {
    let whole = seconds.round().clamp(0.0, 1e15) as u64;
    match (whole / 3600, whole / 60 % 60, whole % 60) {
        (0, 0, seconds) => format!("{seconds}\u{a0}s"),
        (0, minutes, 0) => format!("{minutes}\u{a0}min"),
        (0, minutes, seconds) if minutes < 10 => format!("{minutes}\u{a0}min\u{a0}{seconds:02}\u{a0}s"),
        (0, minutes, _) => format!("{minutes}\u{a0}min"),
        (hours, minutes, _) => format!("{hours}\u{a0}h\u{a0}{minutes:02}\u{a0}min"),
    }
}
