//! The values of inputs and results that a text or a record carries to somebody.

use crate::model::{Check, CheckElse, HandoverLine, Mention, MentionTarget, Procedure, Record};
use crate::source::Span;
use crate::space::{Effect, Event, Input, StopCause};

/// What an event tells, each value with its place, and whether it is written down rather than told.
pub(super) fn carried(procedure: &Procedure, event: &Event<'_>) -> Vec<(Input, Span, bool)> {
    if let Effect::Record(Record::Reading(reading)) = event.effect {
        return vec![(Input::from(*reading), event.place.span, true)];
    }
    let value = |mention: &Mention| match mention.target {
        MentionTarget::Choice(id) => Some((Input::Choice(id), mention.span, false)),
        MentionTarget::Number(id) => Some((Input::Number(id), mention.span, false)),
        _ => None,
    };
    mentions(procedure, event).into_iter().filter_map(value).collect()
}

/// What the texts of an event speak of.
pub(super) fn mentions<'p>(procedure: &'p Procedure, event: &Event<'p>) -> Vec<&'p Mention> {
    let texts: Vec<&[Mention]> = match &event.effect {
        Effect::Prose(prose) => vec![&prose.mentions],
        Effect::Note(said) => vec![&said.mentions],
        Effect::Message(message) => message.texts().map(|text| text.mentions.as_slice()).to_vec(),
        Effect::Stop(StopCause::Statement(stop) | StopCause::Check(_, stop)) => vec![&stop.text.mentions],
        Effect::Stop(StopCause::Limit(limit)) => {
            procedure.limits[*limit].otherwise.iter().map(|text| text.mentions.as_slice()).collect()
        }
        Effect::GoOn(Check { otherwise: CheckElse::GoOn(said, _), .. }) => vec![&said.mentions],
        Effect::Handover(handover) => handover.lines.iter().map(in_handover).collect(),
        _ => Vec::new(),
    };
    texts.into_iter().flatten().collect()
}

fn in_handover(line: &HandoverLine) -> &[Mention] {
    match line {
        HandoverLine::Prose(prose) => &prose.mentions,
        HandoverLine::Show(said)
        | HandoverLine::Keep(said)
        | HandoverLine::Dispose(said)
        | HandoverLine::Note(said) => &said.mentions,
        HandoverLine::Sign(_) => &[],
    }
}
