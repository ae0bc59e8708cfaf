//! Moments, digests and findings as people read them, and signs that no page may hold.

use super::View;
use crate::diagnostics::{Finding, Severity};
use crate::labels::{fill, spoken};
use crate::source::Sources;

impl View {
    /// Text of a record comes from anywhere: what no page may hold, or what turns the text around it, is shown as a sign.
    pub(super) fn clean(&mut self) {
        let rows = [&mut self.fitting, &mut self.answers, &mut self.limits, &mut self.measured];
        for row in rows.into_iter().chain([&mut self.entries, &mut self.signatures]).flatten() {
            let cells = [&mut row.step, &mut row.what, &mut row.value, &mut row.accepted, &mut row.instrument];
            cells.into_iter().for_each(cleaned);
        }
        self.drawn.iter_mut().flat_map(|one| [&mut one.role, &mut one.name]).for_each(cleaned);
        [&mut self.workers, &mut self.faults, &mut self.remarks, &mut self.due].into_iter().flatten().for_each(cleaned);
        [&mut self.title, &mut self.job, &mut self.id].into_iter().for_each(cleaned);
        self.revision.iter_mut().chain(&mut self.outcome_text).for_each(cleaned);
    }
}

fn cleaned(text: &mut String) {
    let turns = |c: char| matches!(c, '\u{202a}'..='\u{202e}' | '\u{2066}'..='\u{2069}' | '\u{2028}' | '\u{2029}');
    *text = text.chars().map(|c| if c.is_control() || turns(c) { '\u{fffd}' } else { c }).collect();
}

/// A moment as people read it: `2026-11-25 09:30 +01:00`.
pub(super) fn clock(at: &str) -> String {
    let offset = at.find(['Z', '+']).or_else(|| at.rfind('-').filter(|place| *place > 10)).unwrap_or(at.len());
    let (day, time) = (at.get(..10).unwrap_or(at), at.get(11..16).unwrap_or_default());
    let offset = match at.get(offset..) {
        Some("Z") => "UTC",
        offset => offset.unwrap_or_default(),
    };
    format!("{day} {time} {offset}").trim_end().to_owned()
}

/// What findings say, each with its line: on paper no excerpt stands beside it.
pub(super) fn messages(findings: &[Finding], sources: &Sources, errors: bool) -> Vec<String> {
    let wanted = |finding: &&Finding| (finding.severity() == Severity::Error) == errors;
    let said = |finding: &Finding| {
        let file = finding.span().and_then(|span| Some((sources.get(span.file)?, span)));
        match file.map(|(file, span)| (file.position(span.start), span)) {
            Some((place, span)) if span.start < span.end => {
                fill(spoken().record.at_line, &[("n", &place.line.to_string()), ("text", &finding.message)])
            }
            _ => sentence(&finding.message),
        }
    };
    findings.iter().filter(wanted).map(said).map(|text| sentence(&text)).collect()
}

pub(super) fn sentence(text: &str) -> String {
    let mut letters = text.chars();
    let mut sentence: String = letters.next().map_or(String::new(), |first| first.to_uppercase().collect());
    sentence.push_str(letters.as_str());
    if !sentence.ends_with(['.', '!', '?']) {
        sentence.push('.');
    }
    sentence
}

/// A digest as people compare it: four digits at a time.
pub(super) fn in_groups(digest: &str) -> Vec<String> {
    let digits: Vec<char> = digest.chars().collect();
    digits.chunks(4).map(|group| group.iter().collect()).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn moments_are_read_by_people_and_signs_stay_signs() {
        assert_eq!(clock("2026-11-25T09:30:05.5+01:00"), "2026-11-25 09:30 +01:00");
        assert_eq!(clock("2026-11-25T09:30:05-05:00"), "2026-11-25 09:30 -05:00");
        assert_eq!(clock("2026-11-25T09:30:05Z"), "2026-11-25 09:30 UTC");
        let mut text = "a\u{1}b\u{202e}c".to_owned();
        cleaned(&mut text);
        assert_eq!(text, "a\u{fffd}b\u{fffd}c");
    }

    #[test]
    fn digests_are_compared_by_four_digits() {
        assert_eq!(in_groups("0123456789"), ["0123", "4567", "89"]);
    }
}
