//! The flow as a map of lines.
//!
//! The *line* of a section runs straight down at the left; steps and checks are *stops* on it. A branch splits it into *lanes*,
//! which join again or end at a STOP. What happens only under a condition is a *siding*: who does not need it stays on the line.
//! A repair is a *loop* that comes back above its check. Since no page can break a drawing, each section has a map of its own; a long
//! section goes on on a next map, and what is too high or too deep for its place is a *part*, with a map of its own.
//!
//! Steps, checks, conditions, stops and decisions are said as the manual says them.

mod branches;
mod piece;
mod stops;
#[cfg(test)]
mod tests;

use std::collections::BTreeMap;

use super::{Anchor, Canvas, Drawing, Face, NARROW};
use crate::emit::manual::{decided_after, span_of_steps};
use crate::emit::words::{Words, listed, number_of, sentence_case};
use crate::model::{LimitId, Node, Section, StepId};
use piece::{Lane, Piece, Tally};

/// How wide a map is where branches lie deep inside each other; else two maps fit beside each other.
const WIDE: f64 = 132.0;
/// So deep may branches lie inside each other on narrow maps.
const MOST_NARROW: usize = 2;
/// Where the line of a section runs.
const LINE: f64 = 4.0;
/// No map is higher, as far as its pieces allow.
const HIGHEST: f64 = 190.0;
/// Branches inside each other on one map; what lies deeper has a map of its own.
const MOST_DEEP: usize = 3;

/// What has a map of its own.
struct Deferred<'a> {
    title: String,
    body: &'a [Node],
}

/// The maps of a section, while they are made.
struct Map<'a> {
    words: Words<'a>,
    /// The limits that are decided after a step; before the job where there is no step.
    limits: BTreeMap<Option<StepId>, Vec<LimitId>>,
    section: u32,
    width: f64,
    /// What waits for a map of its own. Its place in the list is its number.
    deferred: Vec<Deferred<'a>>,
}

/// The maps of the whole procedure: at least one for each section, in order.
pub(in super::super) fn flow_maps(words: Words<'_>) -> Vec<Drawing> {
    let mut limits: BTreeMap<Option<StepId>, Vec<LimitId>> = BTreeMap::new();
    for (id, limit) in words.procedure.limits.iter() {
        limits.entry(decided_after(words, limit)).or_default().push(id);
    }
    let sections = &words.procedure.sections;
    let deepest = sections.iter().map(|section| depth(&section.body)).max().unwrap_or(0);
    let width = if deepest <= MOST_NARROW { NARROW } else { WIDE };
    let mut drawings = Vec::new();
    for (at, section) in sections.iter().enumerate() {
        let mut map = Map { words, limits: limits.clone(), section: section.number, width, deferred: Vec::new() };
        drawings.extend(map.section(section, at == 0, sections.get(at + 1)));
    }
    drawings
}

impl<'a> Map<'a> {
    fn section(&mut self, section: &'a Section, is_first: bool, next: Option<&Section>) -> Vec<Drawing> {
        let line = self.line();
        let mut pieces = Vec::new();
        if is_first {
            let before = self.limits.get(&None).cloned().unwrap_or_default();
            pieces.extend(before.iter().map(|limit| self.limit(line, &self.words.procedure.limits[*limit])));
        }
        pieces.extend(section.body.iter().map(|node| self.node(line, node)));
        if goes_on(&section.body) {
            let text = next.map(|next| format!("On to section {}: {}", next.number, next.name.title));
            pieces.extend(text.map(|text| self.arrow(line, &text)));
        }
        let when = section.when.as_ref().map(|when| format!("Only with {}", self.words.cond(when)));
        let head = Head { mark: section.number.to_string(), title: section.name.title.clone(), when, is_part: false };
        let mut drawings = self.sheets(&head, &format!("map-{}", section.number), pieces);
        // Maps of parts may put off parts of their own.
        let mut part = 0;
        while let Some((title, body)) = self.deferred.get(part).map(|one| (one.title.clone(), one.body)) {
            part += 1;
            let mut pieces: Vec<Piece> = body.iter().map(|node| self.node(line, node)).collect();
            if goes_on(body) {
                pieces.push(self.arrow(line, &format!("Back to the line that part {part} left")));
            }
            let head = Head { mark: part.to_string(), title: sentence_case(&title), when: None, is_part: true };
            let id = format!("map-{}-part-{part}", section.number);
            drawings.extend(self.sheets(&head, &id, pieces));
        }
        drawings
    }

    /// The line of a section or part.
    fn line(&self) -> Lane {
        Lane { x: LINE, right: self.width - 0.6, class: "line", depth: 0 }
    }

    /// The number of the part that was put off last.
    fn next_part(&self) -> String {
        self.deferred.len().to_string()
    }

    /// A body, one piece below the other.
    fn body(&mut self, lane: Lane, body: &'a [Node]) -> Piece {
        let mut whole = Piece::new();
        for node in body {
            let piece = self.node(lane, node);
            whole.append(piece);
        }
        whole
    }

    fn node(&mut self, lane: Lane, node: &'a Node) -> Piece {
        match node {
            Node::Step(id) => self.stop_of(lane, *id, &[]),
            Node::Check(check) => self.check(lane, check),
            Node::Choose(choose) => self.choose(lane, choose),
            Node::When(when) => self.when(lane, when),
            Node::Set(set) => self.decision(lane, set),
            Node::Stop(stop) => self.stop(lane, &self.words.said(&stop.text)),
            Node::Handover(_) => self.handover(lane),
        }
    }

    /// Where the line leads to, with the head of an arrow.
    fn arrow(&self, lane: Lane, text: &str) -> Piece {
        let mut piece = self.remark(lane, text);
        let y = piece.height.max(5.0);
        piece.down(lane, 0.0, y);
        piece.rail(&[(lane.x - 1.5, y - 1.8), (lane.x, y), (lane.x + 1.5, y - 1.8)], "head");
        piece.height = y;
        piece
    }

    /// Puts pieces on as many sheets as they need.
    fn sheets(&self, head: &Head, id: &str, pieces: Vec<Piece>) -> Vec<Drawing> {
        let mut sheets: Vec<Piece> = vec![Piece::new()];
        for piece in pieces {
            let full = sheets.last().is_some_and(|sheet| sheet.height > 0.0 && sheet.height + piece.height > HIGHEST);
            if full {
                sheets.push(Piece::new());
            }
            if let Some(sheet) = sheets.last_mut() {
                sheet.append(piece);
            }
        }
        let count = sheets.len();
        let all = sheets.into_iter().enumerate();
        all.map(|(at, sheet)| self.sheet(head, id, sheet, (at + 1, count))).collect()
    }

    fn sheet(&self, head: &Head, id: &str, mut sheet: Piece, (number, count): (usize, usize)) -> Drawing {
        let lane = self.line();
        let id = if number == 1 { id.to_owned() } else { format!("{id}-{number}") };
        let mut canvas = Canvas::new(id, self.width);
        let of = if count > 1 { format!(" ({number} of {count})") } else { String::new() };
        if number < count {
            let tally = sheet.tally;
            sheet.append(self.arrow(lane, "This line goes on on the next map"));
            sheet.tally = tally;
        }
        let from = head.draw(&mut canvas, &of);
        sheet.draw(&mut canvas, from);
        let title = if head.is_part {
            format!("Flow map of section {}, part {}{of}: {}", self.section, head.mark, head.title)
        } else {
            format!("Flow map of section {}{of}: {}", head.mark, head.title)
        };
        canvas.finish(&title, &says(sheet.tally))
    }
}

/// What stands above a map.
struct Head {
    mark: String,
    title: String,
    when: Option<String>,
    is_part: bool,
}

impl Head {
    /// Gives the height at which the line begins.
    fn draw(&self, canvas: &mut Canvas, of: &str) -> f64 {
        let middle = (LINE, 4.0);
        if self.is_part {
            canvas.circle(middle, 3.2, "full");
        } else {
            canvas.rect((LINE - 3.6, 0.6), (7.2, 6.8), "full");
        }
        canvas.text((middle.0, middle.1 + 1.0), Anchor::Middle, Face::Reversed, &self.mark);
        let x = LINE + 6.0;
        let title = format!("{}{of}", self.title);
        let mut y = canvas.block((x, middle.1 + 1.0), Anchor::Start, Face::Bold, &title, canvas.width() - x - 1.0);
        if let Some(when) = &self.when {
            y = canvas.block((x, y), Anchor::Start, Face::Small, when, canvas.width() - x - 1.0);
        }
        let from = (y - Face::Bold.leading() + 1.8).max(7.4);
        canvas.path(&format!("M{LINE} 7.2V{}", super::n(from)), "line");
        from
    }
}

/// How deep branches and repairs lie inside each other.
fn depth(body: &[Node]) -> usize {
    let of = |node: &Node| match node {
        Node::Step(_) | Node::Set(_) | Node::Stop(_) | Node::Handover(_) => 0,
        Node::Check(check) => check.repair.as_ref().map_or(0, |repair| 1 + depth(&repair.body)),
        Node::Choose(choose) => 1 + choose.arms.iter().map(|arm| depth(&arm.body)).max().unwrap_or(0),
        Node::When(when) => 1 + depth(&when.then).max(depth(&when.otherwise)),
    };
    body.iter().map(of).max().unwrap_or(0)
}

/// Whether work goes on after a body: not where each way through it ends at a STOP or the handover.
fn goes_on(body: &[Node]) -> bool {
    body.iter().all(|node| match node {
        Node::Stop(_) | Node::Handover(_) => false,
        Node::Choose(choose) => choose.arms.iter().any(|arm| goes_on(&arm.body)),
        Node::When(when) => goes_on(&when.then) || goes_on(&when.otherwise),
        Node::Step(_) | Node::Check(_) | Node::Set(_) => true,
    })
}

/// The map in words.
fn says(tally: Tally) -> String {
    let counts = [
        (tally.steps, "step", "steps"),
        (tally.checks, "check", "checks"),
        (tally.branches, "branch", "branches"),
        (tally.repairs, "repair", "repairs"),
        (tally.stops, "way to a STOP", "ways to a STOP"),
    ];
    let some = counts.into_iter().filter(|(count, ..)| *count > 0);
    let list = listed(some.map(|(count, one, many)| number_of(count, one, many)), "and");
    format!(
        "A line from top to bottom with {}, in the order of the work.",
        if list.is_empty() { "no stop" } else { &list }
    )
}
