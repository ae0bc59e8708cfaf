//! What an `accept` line accepts: a finding of its code in its statement, of what it names, at the value that it holds.

use std::collections::BTreeSet;

use crate::diagnostics::{Change, Code, Finding, Mend, Severity};
use crate::model::{Accept, SharedSection};
use crate::source::Span;

/// What the acceptances of a text come to.
pub(super) struct Applied {
    /// Of each finding, the number of the acceptance that takes it out.
    pub taken: Vec<Option<usize>>,
    /// Acceptances that can't be so; this is said at once.
    pub refused: Vec<Finding>,
    /// Those that accept nothing; this is said once there are no errors.
    pub idle: Vec<Finding>,
    /// Where those stand that took something out.
    pub met: BTreeSet<Span>,
}

/// Judges the acceptances, one after the other: what one takes out is not there for the next.
pub(super) fn apply(findings: &[&Finding], accepts: &[Accept], shared: &[SharedSection]) -> Applied {
    let mut applied =
        Applied { taken: vec![None; findings.len()], refused: Vec::new(), idle: Vec::new(), met: BTreeSet::new() };
    for (number, accept) in accepts.iter().enumerate() {
        // In a section of a library it may be another procedure that raises what is accepted.
        let says_idle = accept.span.file.section().is_none();
        let code = match acceptable(accept) {
            Ok(code) => code,
            Err(finding) => {
                applied.refused.push(*finding);
                continue;
            }
        };
        let left = findings.iter().zip(&applied.taken).enumerate();
        let left = left.filter(|(_, (finding, taken))| finding.code == code && taken.is_none());
        let of_code: Vec<(usize, &Finding)> = left.map(|(at, (finding, _))| (at, *finding)).collect();
        let meant: Vec<(usize, &Finding)> =
            of_code.iter().filter(|(_, finding)| covers(accept, finding, shared)).copied().collect();
        let above = of_code
            .iter()
            .filter_map(|(_, finding)| finding.span())
            .filter(|raised| raised.file == accept.span.file && raised.end <= accept.span.start);
        let above = above.max_by_key(|raised| raised.end);
        let all: Vec<&Finding> = meant.iter().map(|(_, finding)| *finding).collect();
        match answer(accept, &all, above) {
            Answer::Accepts => {
                applied.met.insert(accept.span.whole());
                applied.idle.extend(unmet(accept, &all).filter(|_| says_idle));
                for (at, _) in meant.iter().filter(|(_, finding)| names(accept, finding)) {
                    applied.taken.get_mut(*at).into_iter().for_each(|slot| *slot = Some(number));
                }
            }
            Answer::Refused(finding) => applied.refused.push(finding),
            Answer::Idle(finding) => applied.idle.extend(says_idle.then_some(finding)),
        }
    }
    applied
}

/// Whether a finding lies in what an acceptance covers; that of a library's section lies in the line that brings it in too.
fn covers(accept: &Accept, finding: &Finding, shared: &[SharedSection]) -> bool {
    let Some(span) = finding.span() else { return false };
    let line = span.file.section().and_then(|section| shared.get(section)).map(|section| section.line);
    accept.covers.contains(span) || line.is_some_and(|line| accept.covers.contains(line))
}

/// What becomes of an acceptance.
enum Answer {
    /// It takes out what it names.
    Accepts,
    /// It can't be so; this is said at once.
    Refused(Finding),
    /// It accepts nothing; this is said once there are no errors.
    Idle(Finding),
}

/// Judges an acceptance by the findings of its code in its statement, and by the last one above it that no line accepts.
fn answer(accept: &Accept, meant: &[&Finding], above: Option<Span>) -> Answer {
    if meant.is_empty() {
        return Answer::Idle(above.map_or_else(|| accepts_nothing(accept), |raised| stands_too_low(accept, raised)));
    }
    if accept.subjects.is_empty() && (accept.is_wide || subjects(meant).len() > 1) {
        return Answer::Refused(names_nothing(accept, meant));
    }
    if meant.iter().any(|finding| names(accept, finding)) {
        return Answer::Accepts;
    }
    match meant.iter().find(|finding| is_subject(accept, finding)) {
        None => Answer::Idle(accepts_nothing(accept)),
        Some(other) if accept.at.is_none() => Answer::Refused(holds_nothing(accept, other)),
        Some(other) if other.holds.is_none() => Answer::Refused(rests_on_no_value(accept)),
        Some(other) => Answer::Idle(lapsed(accept, other.holds.as_deref().unwrap_or_default())),
    }
}

/// Whether an acceptance names what a finding speaks of, at its value.
fn names(accept: &Accept, finding: &Finding) -> bool {
    is_subject(accept, finding) && finding.holds == accept.at
}

fn is_subject(accept: &Accept, finding: &Finding) -> bool {
    let subject = finding.subject().unwrap_or_default();
    accept.subjects.is_empty() || accept.subjects.iter().any(|named| named == subject)
}

/// What findings speak of. A line that names none of it may accept one thing: with a second, nobody knows which was meant.
fn subjects<'f>(meant: &[&'f Finding]) -> Vec<&'f str> {
    let mut named: Vec<&str> = meant.iter().filter_map(|finding| finding.subject()).collect();
    named.sort_unstable();
    named.dedup();
    named
}

fn names_nothing(accept: &Accept, meant: &[&Finding]) -> Finding {
    let named = subjects(meant);
    let message = format!("{} is accepted for all that stands here", accept.code);
    Finding::new(Code::FW0115, message, accept.span, "of what?")
        .because("What is added here later would be accepted with it, unseen.")
        .repair(format!("Name what it is accepted of: `accept {} for {} \"…\"`.", accept.code, named.join(", ")))
        .mend(says_more(accept, &format!("for {}", named.join(", "))))
}

fn holds_nothing(accept: &Accept, finding: &Finding) -> Finding {
    let value = finding.holds.as_deref().unwrap_or_default();
    let message = format!("{} is accepted here whatever the value", accept.code);
    Finding::new(Code::FW0115, message, accept.span, format!("it is {value} now"))
        .because("Whoever changes the value later would have accepted that too, unseen.")
        .repair(format!("Write the value that is accepted: `accept {} at {value} \"…\"`.", accept.code))
        .mend(accept.subjects.is_empty().then(|| says_more(accept, &format!("at {value}"))))
}

fn rests_on_no_value(accept: &Accept) -> Finding {
    let at = accept.at.as_deref().unwrap_or_default();
    let message = format!("{} rests on no value that could be accepted", accept.code);
    Finding::new(Code::FW0115, message, accept.span, format!("at {at}?"))
        .because("It would be accepted whatever that value becomes.")
        .repair(format!("Leave the value out: `accept {} \"…\"`.", accept.code))
}

/// What an acceptance names and no finding speaks of: as idle as one that accepts nothing.
fn unmet(accept: &Accept, meant: &[&Finding]) -> Option<Finding> {
    let is_met = |named: &&String| meant.iter().any(|finding| finding.subject() == Some(named.as_str()));
    let named = accept.subjects.iter().find(|named| !is_met(named))?;
    let message = format!("{} is accepted here for `{named}` too, of which it is not raised", accept.code);
    Some(
        Finding::new(Code::FW0116, message, accept.span, "accepts nothing of it")
            .because("Left in place, it would silence the finding on the day when it is raised again.")
            .repair(format!("Take `{named}` out of this line."))
            .mend([format!("{named}, "), format!(", {named}")].map(|entry| {
                Mend::safe(format!("Take `{named}` out"), Change::Word(accept.span, entry, String::new()))
            })),
    )
}

fn lapsed(accept: &Accept, now: &str) -> Finding {
    let was = accept.at.as_deref().unwrap_or_default();
    let message = format!("{} was accepted at {was}, and it is {now} now", accept.code);
    Finding::new(Code::FW0116, message, accept.span, "has lapsed")
        .because("The reason was given for another value.")
        .repair(format!("Look whether the reason still stands; then write `at {now}`, or take this line out."))
        .mend([
            Mend::look(
                format!("Write `at {now}`"),
                Change::Word(accept.span, format!("at {was}"), format!("at {now}")),
            ),
            Mend::look("Take it out", Change::Drop(accept.span)),
        ])
}

fn accepts_nothing(accept: &Accept) -> Finding {
    let message = format!("{} is accepted here, but the next statement does not raise it", accept.code);
    Finding::new(Code::FW0116, message, accept.span, "accepts nothing")
        .because("Left in place, this line would silence the finding on the day when it is raised again.")
        .repair("Take this line out.")
        .mend(Mend::safe("Take it out", Change::Drop(accept.span)))
}

/// It was written below what it is to accept, as a remark would be.
fn stands_too_low(accept: &Accept, raised: Span) -> Finding {
    let message = format!("{} is accepted here, but the next statement does not raise it", accept.code);
    Finding::new(Code::FW0116, message, accept.span, "accepts nothing")
        .also(raised, "it is raised here, above")
        .because("An `accept` is for the statement that follows it.")
        .repair("If it is for the place above, move this line to right above that statement; otherwise take it out.")
        .mend(Mend::look("Take it out", Change::Drop(accept.span)))
}

/// The code of the line, with what it lacks after it.
fn says_more(accept: &Accept, what: &str) -> Mend {
    Mend::look(
        format!("Write `{what}`"),
        Change::Word(accept.span, accept.code.clone(), format!("{} {what}", accept.code)),
    )
}

/// The code that an `accept` line accepts, or why it cannot.
fn acceptable(accept: &Accept) -> Result<Code, Box<Finding>> {
    let refuse = |finding: Finding| Err(Box::new(finding));
    let Some(code) = Code::parse(&accept.code) else {
        let message = format!("{} is not the code of a finding", accept.code);
        return refuse(
            Finding::new(Code::FW0115, message, accept.span, "no such code")
                .because("A line that accepts nothing looks like a decision that somebody made.")
                .repair("Write the code as the finding shows it, for example FW0502."),
        );
    };
    if code.severity() == Severity::Error {
        let message = format!("{code} is an error, and an error cannot be accepted");
        return refuse(
            Finding::new(Code::FW0115, message, accept.span, "only warnings and notes can be accepted")
                .because("An error means that somebody who follows the procedure to the letter goes wrong.")
                .repair("Correct what the error points to, and take this line out.")
                .mend(Mend::safe("Take it out", Change::Drop(accept.span))),
        );
    }
    // A blank that was to be filled in gives no reason.
    if accept.reason.trim().trim_matches(['…', '.']).is_empty() {
        let message = format!("{code} is accepted without a reason");
        return refuse(
            Finding::new(Code::FW0115, message, accept.span, "say why")
                .because("Whoever changes the procedure next must know why this is right here.")
                .repair(format!("Write the reason after the code: accept {code} \"why it is right here\"")),
        );
    }
    Ok(code)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::diagnostics::Confidence;
    use crate::source::FileId;

    /// Below what it is for it was meant as a remark; taken out unasked, its reason would be lost.
    #[test]
    fn what_stands_too_low_is_shown_where_it_belongs_and_not_taken_out_unasked() {
        let span = |start, end| Span::new(FileId::new(0), start, end);
        let accept = Accept {
            code: "FW0502".to_owned(),
            reason: "kept for the workshop".to_owned(),
            subjects: Vec::new(),
            at: None,
            is_wide: false,
            covers: span(20, 60),
            span: span(10, 19),
        };
        let idle = |above| match answer(&accept, &[], above) {
            Answer::Idle(finding) => (finding.labels.len(), finding.mends.first().map(|mend| mend.confidence)),
            _ => (0, None),
        };
        assert_eq!(idle(Some(span(0, 9))), (2, Some(Confidence::Look)));
        assert_eq!(idle(None), (1, Some(Confidence::Safe)));
    }
}
