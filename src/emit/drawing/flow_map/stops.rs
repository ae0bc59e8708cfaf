//! What stands on a line: steps, checks, decisions, the STOP and the handover.

use super::super::{Anchor, Face, only_when, stop_word, width};
use super::Map;
use super::piece::{Lane, Piece};
use crate::emit::words::{label, with_label};
use crate::labels::{fill, spoken};
use crate::model::{Limit, LineKind, SetResult, StepId};

/// From a line to the text of its stops.
pub(super) const TEXT: f64 = 4.6;
/// Height of the middle of a stop, and of the line of text beside it.
const MIDDLE: f64 = 2.6;
const FOOT: f64 = MIDDLE + 1.0;
/// Below the text of a stop.
const GAP: f64 = 1.9;
/// The black bar of a STOP.
const BAR: (f64, f64) = (11.4, 4.6);
/// A text is never set narrower than this.
const LEAST: f64 = 12.0;

impl Map<'_> {
    /// A step or, where it expects something, a check; then the limits that can be decided after it.
    pub(super) fn stop_of(&mut self, lane: Lane, id: StepId, expects: &[String]) -> Piece {
        let words = self.words;
        let step = &words.procedure.steps[id];
        let mut piece = Piece::new();
        let ring = if step.when.is_some() { "ink paper maybe" } else { "ink paper" };
        let x = lane.x + TEXT;
        let most = (lane.right - x).max(LEAST);
        piece.link(format!("manual.html#step-{}", step.name.id));
        piece.text((x, FOOT), Anchor::Start, Face::Bold, &step.number);
        let title = if step.is_check {
            format!("{} {}", spoken().check.check, step.name.title)
        } else {
            step.name.title.clone()
        };
        // The titles of 4.9 and 4.10 begin at the same place.
        let indent = width(Face::Bold, &step.number).max(width(Face::Bold, "0.00")) + 1.8;
        let mut y = if most - indent >= LEAST {
            piece.block((x + indent, FOOT), Face::Plain, &title, most - indent)
        } else {
            piece.block((x, FOOT + Face::Plain.leading()), Face::Plain, &title, most)
        };
        piece.end_link();
        if step.is_check {
            piece.tally.checks = 1;
            piece.circle((lane.x, MIDDLE), 2.1, ring);
            piece.tick((lane.x, MIDDLE));
        } else {
            piece.tally.steps = 1;
            piece.circle((lane.x, MIDDLE), 1.5, ring);
        }
        let mut small = Vec::new();
        small.extend(step.when.as_ref().map(|when| only_when(&words.cond(when))));
        small.extend((!expects.is_empty()).then(|| format!("{}: {}", spoken().check.pass_if, expects.join("; "))));
        small.extend(step.lines.iter().filter_map(|line| match &line.kind {
            LineKind::Set(set) => Some(self.decided(set)),
            _ => None,
        }));
        for text in small {
            y = piece.block((x, y), Face::Small, &text, most);
        }
        piece.height = y - Face::Plain.leading() + 0.6 + GAP;
        piece.down(lane, 0.0, piece.height);
        for limit in self.limits.get(&Some(id)).cloned().unwrap_or_default() {
            piece.append(self.limit(lane, &words.procedure.limits[limit]));
        }
        piece
    }

    /// A limit as a turning to a STOP.
    pub(super) fn limit(&self, lane: Lane, limit: &Limit) -> Piece {
        let words = self.words;
        let when = limit.when.as_ref().map(|when| fill(spoken().condition.when, &[("condition", &words.cond(when))]));
        let holds = words.comparison(&limit.holds, true);
        let (what, if_not) = (spoken().about.limit_line, spoken().about.if_not);
        let lead = format!("{what}. {}: {}{holds}. {if_not}:", limit.name.title, when.unwrap_or_default());
        let said = limit.otherwise.as_ref().map(|said| words.said(said)).unwrap_or_default();
        self.turning_to_stop(lane, &lead, &said)
    }

    /// A turning that ends in a STOP; the line itself goes on.
    pub(super) fn turning_to_stop(&self, lane: Lane, lead: &str, text: &str) -> Piece {
        let mut piece = Piece::new();
        let aside = Lane { x: lane.x + TEXT + 1.4, class: "arm", ..lane };
        let y = piece.block((aside.x, FOOT), Face::Small, lead, (lane.right - aside.x).max(LEAST)) + 0.2;
        let bottom = bar(&mut piece, aside, y - 1.0, text);
        piece.rail(&[(lane.x, 0.0), (lane.x, y + BAR.1 / 2.0 - 1.0), (aside.x, y + BAR.1 / 2.0 - 1.0)], aside.class);
        piece.height = bottom;
        piece.down(lane, 0.0, bottom);
        piece
    }

    /// The end of a line at a STOP.
    pub(super) fn stop(&self, lane: Lane, text: &str) -> Piece {
        let mut piece = Piece::new();
        piece.down(lane, 0.0, 1.0);
        piece.height = bar(&mut piece, Lane { x: lane.x - 1.3, ..lane }, 1.0, text);
        piece.open = false;
        piece
    }

    /// What is decided on the way.
    pub(super) fn decision(&self, lane: Lane, set: &SetResult) -> Piece {
        let mut piece = Piece::new();
        piece.rail(&[(lane.x - 1.5, MIDDLE), (lane.x + 1.5, MIDDLE)], "bold");
        let x = lane.x + TEXT;
        let y = piece.block((x, FOOT), Face::Plain, &self.decided(set), (lane.right - x).max(LEAST));
        piece.height = y - Face::Plain.leading() + 0.6 + GAP;
        piece.down(lane, 0.0, piece.height);
        piece
    }

    /// `Hole: high`
    fn decided(&self, set: &SetResult) -> String {
        let choice = &self.words.procedure.choices[set.result];
        with_label(&choice.name.title, label(choice, set.value))
    }

    /// The terminus.
    pub(super) fn handover(&self, lane: Lane) -> Piece {
        let mut piece = Piece::new();
        piece.down(lane, 0.0, MIDDLE);
        piece.circle((lane.x, MIDDLE + 0.4), 2.5, "ink paper");
        piece.circle((lane.x, MIDDLE + 0.4), 1.4, "full");
        piece.text((lane.x + TEXT, FOOT + 0.4), Anchor::Start, Face::Bold, spoken().handover.title);
        piece.height = FOOT + 2.4;
        piece.open = false;
        piece
    }

    /// One line of small text beside the line.
    pub(super) fn remark(&self, lane: Lane, text: &str) -> Piece {
        let mut piece = Piece::new();
        let x = lane.x + TEXT;
        let y = piece.block((x, FOOT - 0.6), Face::Small, text, (lane.right - x).max(LEAST));
        piece.height = y - Face::Small.leading() + 1.6;
        piece.down(lane, 0.0, piece.height);
        piece
    }
}

impl Piece {
    /// The tick in the ring of a check.
    fn tick(&mut self, at: (f64, f64)) {
        self.text((at.0, at.1 + 0.95), Anchor::Middle, Face::Bold, "✓");
    }
}

/// The black bar with STOP and its text, from a height. Gives the height below both.
fn bar(piece: &mut Piece, lane: Lane, top: f64, text: &str) -> f64 {
    piece.tally.stops = 1;
    piece.rect((lane.x, top), BAR, "full");
    let foot = top + BAR.1 / 2.0 + 1.0;
    piece.text((lane.x + BAR.0 / 2.0, foot), Anchor::Middle, Face::Reversed, &stop_word());
    let beside = lane.right - lane.x - BAR.0 - 1.6;
    let below = if beside >= 2.0 * LEAST {
        piece.block((lane.x + BAR.0 + 1.6, foot), Face::Bold, text, beside) - Face::Bold.leading()
    } else {
        let under = foot + Face::Bold.leading() + 0.8;
        piece.block((lane.x, under), Face::Bold, text, (lane.right - lane.x).max(LEAST)) - Face::Bold.leading()
    };
    (below + 0.8).max(top + BAR.1) + GAP
}
