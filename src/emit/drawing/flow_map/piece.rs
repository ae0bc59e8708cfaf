//! A *piece* of a map: the marks of a stretch of line, from its own top, so that it can be measured before it is placed.

use super::super::{Anchor, Canvas, Face, n, wrap};

/// A point in millimetres.
pub(super) type At = (f64, f64);

/// How round a bend of a line is.
const BEND: f64 = 2.2;

/// The line that a stretch belongs to.
#[derive(Debug, Clone, Copy)]
pub(super) struct Lane {
    /// Where it runs down.
    pub(super) x: f64,
    /// Where its texts must end.
    pub(super) right: f64,
    /// How it is drawn.
    pub(super) class: &'static str,
    /// How many branches it lies in.
    pub(super) depth: usize,
}

/// What a piece or a map holds, for its description.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub(super) struct Tally {
    pub(super) steps: u32,
    pub(super) checks: u32,
    pub(super) branches: u32,
    pub(super) arms: u32,
    pub(super) repairs: u32,
    pub(super) stops: u32,
}

impl Tally {
    fn add(&mut self, other: Tally) {
        self.steps += other.steps;
        self.checks += other.checks;
        self.branches += other.branches;
        self.arms += other.arms;
        self.repairs += other.repairs;
        self.stops += other.stops;
    }
}

enum Mark {
    Rail(Vec<At>, &'static str),
    Circle(At, f64, &'static str),
    Rect(At, At, &'static str),
    Text(At, Anchor, Face, String),
    Link(String),
    EndLink,
}

/// A stretch of line. The line comes in at its top and, where it is open, leaves at its bottom.
pub(super) struct Piece {
    marks: Vec<Mark>,
    pub(super) height: f64,
    pub(super) open: bool,
    pub(super) tally: Tally,
}

impl Piece {
    pub(super) fn new() -> Self {
        Piece { marks: Vec::new(), height: 0.0, open: true, tally: Tally::default() }
    }

    /// Puts another below it. Gives the `y` at which that one begins.
    pub(super) fn append(&mut self, other: Piece) -> f64 {
        let from = self.height;
        let open = other.open;
        self.place(other, from);
        self.open = open;
        from
    }

    /// Puts another on it, from a `y` of its own. Whether the line goes on stays as it is.
    pub(super) fn place(&mut self, other: Piece, y: f64) {
        self.marks.extend(other.marks.into_iter().map(|mark| moved(mark, y)));
        self.height = self.height.max(y + other.height);
        self.tally.add(other.tally);
    }

    /// A line through points, its corners rounded. All its parts are level or upright.
    pub(super) fn rail(&mut self, points: &[At], class: &'static str) {
        self.marks.push(Mark::Rail(points.to_vec(), class));
    }

    /// The line straight down, between two heights.
    pub(super) fn down(&mut self, lane: Lane, from: f64, to: f64) {
        self.rail(&[(lane.x, from), (lane.x, to)], lane.class);
    }

    pub(super) fn circle(&mut self, at: At, radius: f64, class: &'static str) {
        self.marks.push(Mark::Circle(at, radius, class));
    }

    pub(super) fn rect(&mut self, at: At, size: At, class: &'static str) {
        self.marks.push(Mark::Rect(at, size, class));
    }

    pub(super) fn text(&mut self, at: At, anchor: Anchor, face: Face, text: &str) {
        self.marks.push(Mark::Text(at, anchor, face, text.to_owned()));
    }

    /// Text in lines of at most a width. Gives the `y` of a next line.
    pub(super) fn block(&mut self, at: At, face: Face, text: &str, most: f64) -> f64 {
        let mut y = at.1;
        for line in wrap(face, text, most) {
            self.text((at.0, y), Anchor::Start, face, &line);
            y += face.leading();
        }
        y
    }

    /// What follows leads to a place of the page.
    pub(super) fn link(&mut self, anchor: String) {
        self.marks.push(Mark::Link(anchor));
    }

    pub(super) fn end_link(&mut self) {
        self.marks.push(Mark::EndLink);
    }

    /// Draws it from a height of the sheet downwards. Lines first: signs stand on them.
    pub(super) fn draw(&self, canvas: &mut Canvas, y: f64) {
        for mark in &self.marks {
            if let Mark::Rail(points, class) = mark {
                let points: Vec<At> = points.iter().map(|at| (at.0, at.1 + y)).collect();
                canvas.path(&bent(&points), class);
            }
        }
        for mark in &self.marks {
            match mark {
                Mark::Rail(..) => {}
                Mark::Circle(at, radius, class) => canvas.circle((at.0, at.1 + y), *radius, class),
                Mark::Rect(at, size, class) => canvas.rect((at.0, at.1 + y), *size, class),
                Mark::Text(at, anchor, face, text) => canvas.text((at.0, at.1 + y), *anchor, *face, text),
                Mark::Link(anchor) => canvas.link(anchor),
                Mark::EndLink => canvas.end_link(),
            }
        }
        canvas.reach(y + self.height);
    }
}

fn moved(mark: Mark, y: f64) -> Mark {
    let lower = |at: At| (at.0, at.1 + y);
    match mark {
        Mark::Rail(points, class) => Mark::Rail(points.into_iter().map(lower).collect(), class),
        Mark::Circle(at, radius, class) => Mark::Circle(lower(at), radius, class),
        Mark::Rect(at, size, class) => Mark::Rect(lower(at), size, class),
        Mark::Text(at, anchor, face, text) => Mark::Text(lower(at), anchor, face, text),
        Mark::Link(_) | Mark::EndLink => mark,
    }
}

/// The path of a line whose corners are rounded, as far as its parts are long enough.
fn bent(points: &[At]) -> String {
    let mut path = String::new();
    for (at, here) in points.iter().enumerate() {
        let before = at.checked_sub(1).and_then(|at| points.get(at));
        match (before, points.get(at + 1)) {
            (None, _) => path.push_str(&format!("M{} {}", n(here.0), n(here.1))),
            (Some(_), None) => path.push_str(&format!("L{} {}", n(here.0), n(here.1))),
            (Some(before), Some(after)) => {
                let (from, to) = (towards(*here, *before), towards(*here, *after));
                path.push_str(&format!(
                    "L{} {}Q{} {} {} {}",
                    n(from.0),
                    n(from.1),
                    n(here.0),
                    n(here.1),
                    n(to.0),
                    n(to.1)
                ));
            }
        }
    }
    path
}

/// A bend's length, or half the way, from a corner towards the next.
fn towards(here: At, next: At) -> At {
    let step = |from: f64, to: f64| from + ((to - from) / 2.0).clamp(-BEND, BEND);
    (step(here.0, next.0), step(here.1, next.1))
}
