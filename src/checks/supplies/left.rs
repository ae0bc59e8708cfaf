//! FW06, what is left over at the handover.

use super::{Account, other_count, same_sum, weighted};
use crate::checks::proof::{Proof, Proved, Steps, not_decided};
use crate::diagnostics::{Code, Finding};
use crate::model::PartId;
use crate::source::Span;
use crate::space::{Answer, EventId, Extreme, Formula, Weighted};

/// FW0604: what can be left over at the handover.
pub(super) fn left_over(
    proof: &mut Proof<'_>,
    part: PartId,
    account: &Account,
    handover: Formula,
    at: Option<EventId>,
) {
    let Some(at) = at else { return };
    // Of what a joint takes that nobody counted, nobody knows how much is left.
    let uncounted = proof.space.both(handover, account.uncounted);
    let handover = proof.space.both(handover, !account.uncounted);
    let counts: Vec<Weighted> = weighted(&account.supplied, 1).chain(weighted(&account.spoken_for, -1)).collect();
    if proof.space.bound(&counts, handover).is_none_or(|bound| bound <= 0) {
        return;
    }
    let name = proof.procedure.parts[part].name.clone();
    let mut entries = proof.procedure.kit.iter().flat_map(|group| &group.entries);
    let made = account.makes.first().map_or(name.span, |made| made.span);
    let span = entries.find(|entry| entry.what == part).map_or(made, |entry| entry.span);
    let is_least = !account.unlimited.is_empty();
    let note = |most: i64| {
        let message = match is_least {
            true => format!("{most} `{}` or more can be left over", name.id),
            false => format!("up to {most} `{}` can be left over", name.id),
        };
        Finding::new(Code::FW0604, message, span, "supplied here")
            .because("A technician who is left with a part asks what was forgotten.")
            .repair("Supply it only in the configuration that needs it, or accept the note with the reason why there are spares.")
    };
    match proof.space.most(&counts, handover) {
        Extreme::Exact { value, model } if value > 0 => {
            let counted = matches!(proof.space.ask(uncounted), Answer::Impossible);
            if let Some(least) = counted.then(|| least_left(proof, account, handover)).flatten() {
                let one_way = account.makes.is_empty() && !is_least;
                let fewer = one_way.then(|| other_count(proof.procedure, part, -least)).flatten();
                proof.findings.push(always_left(&name.id, least, span).mend(fewer));
                return;
            }
            let model = proof.space.most_with_few_repairs(&counts, handover, model);
            let left = proof.space.at_least_as_in(&counts, &model);
            let fault = proof.space.both(left, handover);
            let truths = proof.space.truths(&model);
            let in_run = |terms: &[(Formula, i64)]| -> i64 {
                terms.iter().filter(|(formula, _)| truths.holds(*formula)).map(|(_, count)| *count).sum()
            };
            let (taken, supplied) = (in_run(&account.taken), in_run(&account.supplied));
            let same = same_sum(proof, &account.taken, taken).zip(same_sum(proof, &account.supplied, supplied));
            let shown = proof.space.at_least(&counts, value).zip(same);
            let shown = shown.map(|(left, (taken, supplied))| proof.space.all([left, taken, supplied, handover]));
            let shown = shown.unwrap_or(fault);
            // What is left over does not come from one step: the inputs say it all.
            let outcome = Some((format!("{supplied} `{}` supplied, {taken} taken", name.id), Steps::Untold));
            proof.prove(Proved { finding: note(value), fault, at, later: Vec::new(), shown, model, outcome });
        }
        Extreme::Undecided { at_most, .. } if at_most > 0 => {
            proof.findings.push(not_decided(Code::FW0604, &note(at_most)));
        }
        _ => {}
    }
}

/// How many are left at every handover, where that is at least one.
fn least_left(proof: &mut Proof<'_>, account: &Account, handover: Formula) -> Option<i64> {
    let counts: Vec<Weighted> = weighted(&account.spoken_for, 1).chain(weighted(&account.supplied, -1)).collect();
    match proof.space.most(&counts, handover) {
        Extreme::Exact { value, .. } if value < 0 => Some(-value),
        _ => None,
    }
}

/// FW0610
fn always_left(name: &str, least: i64, span: Span) -> Finding {
    let message =
        format!("at least {least} `{name}` {} left over in every fitting", if least == 1 { "is" } else { "are" });
    Finding::new(Code::FW0610, message, span, "supplied here")
        .because("A technician who is left with a part asks what was forgotten; left over every time, either the count or a step is wrong.")
        .repair("Supply as many as the work takes, or write the line that takes the rest. Accept it where these are spares.")
}
