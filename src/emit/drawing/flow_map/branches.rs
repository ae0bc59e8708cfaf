//! Where a line splits: branches side by side or one below the other, sidings, and the loop of a repair.

use super::super::{Anchor, Face};
use super::piece::{Lane, Piece};
use super::stops::TEXT;
use super::{Deferred, MOST_DEEP, Map};
use crate::emit::phrase::flow::{still_fails, times};
use crate::labels::{fill, sentence_case, spoken};
use crate::model::{Check, CheckElse, Choose, Node, When};

/// Arms stand side by side where each has so much room.
const COLUMN: f64 = 36.0;
/// A branch that is higher than this one below the other is drawn with its arms on maps of their own.
const HIGHEST: f64 = 150.0;
/// An arm that is higher than this is drawn on a map of its own.
const HIGH_ARM: f64 = 105.0;
/// From a line to one that branches off it.
const ASIDE: f64 = 6.0;

/// A way through a branch.
struct Way<'a> {
    label: String,
    /// What a map of its own says where it is.
    title: String,
    body: &'a [Node],
}

/// A condition as the head of what is done where it holds.
fn if_so(condition: &str) -> String {
    format!("{} {condition}", spoken().flow.when)
}

impl<'a> Map<'a> {
    pub(super) fn choose(&mut self, lane: Lane, choose: &'a Choose) -> Piece {
        let words = self.words;
        let ways: Vec<Way<'a>> = choose
            .arms
            .iter()
            .map(|arm| Way {
                label: sentence_case(&words.arm(choose, arm)),
                title: if_so(&words.arm_with_subject(choose, arm)),
                body: &arm.body,
            })
            .collect();
        self.split(lane, words.subject(choose.subject), &ways)
    }

    pub(super) fn when(&mut self, lane: Lane, when: &'a When) -> Piece {
        let (holds, fails) = (self.words.cond(&when.cond), self.words.opposite(&when.cond));
        let then = Way { label: if_so(&holds), title: if_so(&holds), body: &when.then };
        if when.otherwise.is_empty() {
            return self.siding(lane, &then);
        }
        let label = format!("{} {fails}", spoken().flow.otherwise);
        self.split(lane, "", &[then, Way { label, title: if_so(&fails), body: &when.otherwise }])
    }

    /// Between several ways: side by side where there is room.
    fn split(&mut self, lane: Lane, subject: &str, ways: &[Way<'a>]) -> Piece {
        let mut piece = Piece::new();
        piece.tally.branches = 1;
        piece.circle((lane.x, 2.6), 0.9, "full");
        let x = lane.x + TEXT;
        let mut y = 1.6;
        if !subject.is_empty() {
            y = piece.block((x, 3.6), Face::Bold, subject, (lane.right - x).max(12.0)) - Face::Bold.leading();
        }
        piece.height = y + 2.8;
        piece.down(lane, 0.0, piece.height);
        let room = (lane.right - lane.x) / ways.len().max(1) as f64;
        if ways.len() > 1 && room >= COLUMN {
            self.side_by_side(lane, room, ways, &mut piece);
        } else {
            self.one_below_the_other(lane, ways, &mut piece);
        }
        piece
    }

    fn side_by_side(&mut self, lane: Lane, room: f64, ways: &[Way<'a>], piece: &mut Piece) {
        let top = piece.height;
        let mut lanes = Vec::new();
        for (at, way) in ways.iter().enumerate() {
            let x = lane.x + at as f64 * room;
            let right = if at + 1 == ways.len() { lane.right } else { x + room - 3.6 };
            let own = Lane { x, right, class: "arm", depth: lane.depth + 1 };
            lanes.push((own, self.way(own, way, HIGH_ARM)));
        }
        let begins = top + 4.0;
        let ends = begins + lanes.iter().map(|(_, own)| own.height).fold(0.0, f64::max);
        let joins = ends + 4.0;
        piece.open = false;
        for (own, way) in lanes {
            piece.rail(&[(lane.x, top), (own.x, top), (own.x, begins)], own.class);
            if way.open {
                piece.rail(&[(own.x, begins + way.height), (own.x, joins), (lane.x, joins)], own.class);
                piece.open = true;
            }
            piece.place(way, begins);
        }
        piece.height = if piece.open { joins + 1.0 } else { ends };
        if piece.open {
            piece.down(lane, joins, piece.height);
        }
    }

    /// The arms leave a line at the left and are gathered by one at the right edge.
    fn one_below_the_other(&mut self, lane: Lane, ways: &[Way<'a>], piece: &mut Piece) {
        let aside = ASIDE.min((lane.right - lane.x) / 10.0).max(2.4);
        let own = Lane { x: lane.x + aside, right: lane.right - 3.4, class: "arm", depth: lane.depth + 1 };
        let begun = self.deferred.len();
        let mut pieces: Vec<Piece> = ways.iter().map(|way| self.way(own, way, HIGH_ARM)).collect();
        if pieces.iter().map(|way| way.height + 3.0).sum::<f64>() > HIGHEST {
            self.deferred.truncate(begun);
            pieces = ways.iter().map(|way| self.way(own, way, 24.0)).collect();
        }
        let edge = lane.right - 0.8;
        let mut y = piece.height;
        let (mut last, mut first_end) = (y, None);
        piece.open = false;
        for way in pieces {
            last = y + 1.6;
            piece.rail(&[(lane.x, last - 1.6), (lane.x, last), (own.x, last), (own.x, last + 2.4)], own.class);
            let below = last + 2.4 + way.height;
            if way.open {
                piece.rail(&[(own.x, below), (own.x, below + 2.4), (edge, below + 2.4)], own.class);
                first_end = first_end.or(Some(below + 2.4));
            }
            y = below + if way.open { 3.2 } else { 0.0 };
            piece.place(way, last + 2.4);
        }
        piece.rail(&[(lane.x, piece.height.min(last)), (lane.x, last)], own.class);
        piece.rail(&[(lane.x, 2.6), (lane.x, last - 1.6)], own.class);
        piece.height = y;
        if let Some(first) = first_end {
            piece.open = true;
            piece.rail(&[(edge, first), (edge, y + 1.8), (lane.x, y + 1.8), (lane.x, y + 4.0)], own.class);
            piece.height = y + 4.0;
        }
    }

    /// One way beside the line: who need not go it stays on the line.
    fn siding(&mut self, lane: Lane, way: &Way<'a>) -> Piece {
        let mut piece = Piece::new();
        piece.tally.branches = 1;
        let aside = ASIDE.min((lane.right - lane.x) / 10.0).max(2.4);
        let own = Lane { x: lane.x + aside, class: "arm", depth: lane.depth + 1, ..lane };
        let body = self.way(own, way, HIGH_ARM);
        let begins = 3.6;
        let ends = begins + body.height;
        piece.rail(&[(lane.x, 0.0), (lane.x, 1.8), (own.x, 1.8), (own.x, begins)], own.class);
        let open = body.open;
        piece.place(body, begins);
        piece.height = ends;
        if open {
            piece.rail(&[(own.x, ends), (own.x, ends + 2.0), (lane.x, ends + 2.0), (lane.x, ends + 4.0)], own.class);
            piece.height = ends + 4.2;
        }
        piece.down(lane, 0.0, piece.height);
        piece
    }

    /// The label of a way and what is done on it; what is too high or too deep gets a map of its own.
    fn way(&mut self, lane: Lane, way: &Way<'a>, highest: f64) -> Piece {
        let mut piece = Piece::new();
        piece.tally.arms = 1;
        let x = lane.x + 2.4;
        let y = piece.block((x, 2.6), Face::Bold, &way.label, (lane.right - x).max(12.0)) - Face::Bold.leading();
        piece.height = y + 1.6;
        // Every way begins with a mark of its own, by which a test can count them.
        let class = if lane.class == "loop" { "loop way" } else { "arm way" };
        piece.rail(&[(lane.x, 0.0), (lane.x, piece.height)], class);
        if way.body.is_empty() {
            piece.append(self.remark(lane, &format!("{}.", spoken().check.go_on)));
            return piece;
        }
        let body = self.body_or_map(lane, &way.title, way.body, highest);
        piece.append(body);
        piece
    }

    fn body_or_map(&mut self, lane: Lane, title: &str, body: &'a [Node], highest: f64) -> Piece {
        let plain = body.iter().all(|node| matches!(node, Node::Set(_) | Node::Stop(_)));
        if plain {
            return self.body(lane, body);
        }
        if lane.depth <= MOST_DEEP {
            let begun = self.deferred.len();
            let piece = self.body(lane, body);
            if piece.height <= highest {
                return piece;
            }
            self.deferred.truncate(begun);
        }
        self.deferred.push(Deferred { title: title.to_owned(), body });
        self.elsewhere(lane, body)
    }

    /// A check, the loop of its repair, and what happens where it never comes right.
    pub(super) fn check(&mut self, lane: Lane, check: &'a Check) -> Piece {
        let words = self.words;
        let expects: Vec<String> = check.expects.iter().map(|cond| words.cond(cond)).collect();
        let name = fill(spoken().flow.check, &[("number", &words.procedure.steps[check.step].number)]);
        let mut piece = Piece::new();
        if let Some(repair) = &check.repair {
            let inner = Lane { right: lane.right - 3.4, ..lane };
            piece.height = 4.0;
            piece.down(lane, 0.0, 4.0);
            let stop = self.stop_of(inner, check.step, &expects);
            piece.append(stop);
            let then = fill(spoken().map.repair_then, &[("times", &times(repair.times)), ("check", &name)]);
            let label = format!("{} {then}", spoken().check.if_fails);
            let title = fill(spoken().map.repair_of, &[("check", &name)]);
            self.repair(lane, &Way { label, title, body: &repair.body }, &mut piece);
        } else {
            let stop = self.stop_of(lane, check.step, &expects);
            piece.append(stop);
        }
        let lead = still_fails(&name, check.repair.as_ref());
        match &check.otherwise {
            CheckElse::Stop(stop) => piece.append(self.turning_to_stop(lane, &lead, &words.said(&stop.text))),
            CheckElse::GoOn(said, _) => piece.append(self.go_on(lane, &lead, &words.said(said))),
        };
        piece
    }

    /// The loop leaves below the check, runs down through the repair, and comes back above the check.
    fn repair(&mut self, lane: Lane, way: &Way<'a>, piece: &mut Piece) {
        let aside = ASIDE.min((lane.right - lane.x) / 10.0).max(2.4);
        let own = Lane { x: lane.x + aside, right: lane.right - 3.4, class: "loop", depth: lane.depth + 1 };
        let mut body = self.way(own, way, HIGH_ARM);
        body.tally.arms = 0;
        body.tally.repairs = 1;
        let begins = piece.height + 3.2;
        let ends = begins + body.height;
        let (edge, back) = (lane.right - 0.8, 2.2);
        piece
            .rail(&[(lane.x, begins - 3.2), (lane.x, begins - 1.6), (own.x, begins - 1.6), (own.x, begins)], own.class);
        if body.open {
            piece.rail(
                &[(own.x, ends), (own.x, ends + 2.4), (edge, ends + 2.4), (edge, back), (lane.x + 1.2, back)],
                own.class,
            );
            piece.rail(&[(lane.x + 3.0, back - 1.1), (lane.x + 1.0, back), (lane.x + 3.0, back + 1.1)], "head");
        }
        let from = piece.height;
        piece.place(body, begins);
        piece.height = ends + 3.4;
        piece.down(lane, from, piece.height);
    }

    /// A turning that comes back to the line, with what the technician is told on it.
    fn go_on(&self, lane: Lane, lead: &str, text: &str) -> Piece {
        let mut piece = Piece::new();
        let aside = lane.x + 2.8;
        let x = lane.x + TEXT;
        let most = (lane.right - x).max(12.0);
        let y = piece.block((x, 3.6), Face::Small, lead, most) + 0.4;
        let y =
            piece.block((x, y), Face::Bold, &format!("{}: {text}", spoken().check.go_on), most) - Face::Bold.leading();
        piece.rail(&[(lane.x, 0.0), (lane.x, 1.0), (aside, 1.0), (aside, y), (lane.x, y), (lane.x, y + 1.4)], "arm");
        piece.height = y + 2.8;
        piece.down(lane, 0.0, piece.height);
        piece
    }

    /// Stands for a body that has a map of its own.
    fn elsewhere(&mut self, lane: Lane, body: &[Node]) -> Piece {
        let mark = self.next_part();
        let mut piece = Piece::new();
        piece.circle((lane.x, 2.8), 2.1, "full");
        piece.text((lane.x, 3.75), Anchor::Middle, Face::Reversed, &mark);
        let x = lane.x + TEXT;
        piece.link(format!("#map-{}-part-{mark}", self.section));
        let steps = super::span_of_steps(self.words.procedure, body);
        let steps = steps.map_or_else(String::new, |steps| format!(": {steps}"));
        let text = fill(spoken().map.of_part, &[("part", &mark)]) + &steps;
        let y = piece.block((x, 3.6), Face::Plain, &text, (lane.right - x).max(12.0));
        piece.end_link();
        piece.height = y - Face::Plain.leading() + 2.4;
        piece.open = super::goes_on(body);
        piece.down(lane, 0.0, if piece.open { piece.height } else { 2.8 });
        piece
    }
}
