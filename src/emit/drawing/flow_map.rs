//! The map of the work: how the steps follow each other, like the map of a railway line.
//!
//! A *lane* is a line that runs down; the *stops* on it are steps and checks. A branch leads each of its arms over a lane of its
//! own, further right, and back, unless the arm ends the job. A repair leads back up to its check. All words stand in one column
//! beside the lanes, and a row is as high as its words, so that nothing can meet. Each section has a drawing of its own,
//! or several where it would not fit on a page.

use crate::emit::words::{Words, label, number_of, sentence_case};
use crate::model::{Check, CheckElse, Choose, Cond, Node, Section, StepId, When};

use super::{Anchor, Canvas, Drawing, Face, NARROW, n, width, wrap};

/// The whole width of a page, for what is deeply nested; else two drawings stand beside each other.
const WIDE: f64 = 152.0;
/// So many lanes fit beside the words of a narrow drawing.
const MOST_NARROW: usize = 3;
/// A drawing that is higher is split; in millimetres.
const MOST_HEIGHT: f64 = 200.0;
const LEFT: f64 = 5.0;
const ROW: f64 = 5.2;

/// What stands on a lane.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Mark {
    /// A step that is always done where the lane is taken.
    Step,
    /// A step with a condition of its own.
    Optional,
    Check,
    /// Where lanes part.
    Fork,
    /// Something is decided, or a lane begins.
    Nothing,
    Stop,
    Handover,
}

/// A row: a mark on a lane, and words beside the lanes.
struct Row {
    lane: usize,
    y: f64,
    mark: Mark,
    number: Option<String>,
    lines: Vec<(Face, String)>,
}

/// The maps of all sections, in order.
pub(in super::super) fn flow_maps(words: Words<'_>) -> Vec<Drawing> {
    let sections = &words.procedure.sections;
    let last = sections.len().saturating_sub(1);
    sections.iter().enumerate().flat_map(|(at, section)| maps_of(words, section, at == last)).collect()
}

/// The maps of a section: as few as fit on pages.
fn maps_of(words: Words<'_>, section: &Section, last: bool) -> Vec<Drawing> {
    let mut parts: Vec<&[Node]> = vec![&section.body];
    let mut at = 0;
    while let Some(nodes) = parts.get(at).copied() {
        let fits = Map::of(words, nodes).y <= MOST_HEIGHT || nodes.len() < 2;
        if fits {
            at += 1;
        } else {
            let (first, second) = nodes.split_at(nodes.len() / 2);
            parts.splice(at..=at, [first, second]);
        }
    }
    let count = parts.len();
    let map = |(part, nodes): (usize, &&[Node])| {
        Map::of(words, nodes).drawing(words, section, part, count, last && part + 1 == count)
    };
    parts.iter().enumerate().map(map).collect()
}

/// How many lanes lie beside the first one at most.
fn depth(body: &[Node]) -> usize {
    let of = |node: &Node| match node {
        Node::Step(_) | Node::Set(_) | Node::Stop(_) | Node::Handover(_) => 0,
        Node::Check(check) => 1 + check.repair.as_ref().map_or(0, |repair| depth(&repair.body)),
        Node::Choose(choose) => 1 + choose.arms.iter().map(|arm| depth(&arm.body)).max().unwrap_or(0),
        Node::When(when) => 1 + depth(&when.then).max(depth(&when.otherwise)),
    };
    body.iter().map(of).max().unwrap_or(0)
}

/// A map that is being laid out.
struct Map<'a> {
    words: Words<'a>,
    width: f64,
    /// From lane to lane.
    gap: f64,
    /// Where the words begin.
    column: f64,
    rows: Vec<Row>,
    /// Lines, by their class, drawn before the marks.
    strokes: Vec<(&'static str, String)>,
    /// The height so far.
    y: f64,
    /// Where the first lane is still open below.
    open: Option<f64>,
}

impl<'a> Map<'a> {
    fn of(words: Words<'a>, body: &[Node]) -> Self {
        let deepest = depth(body);
        let width = if deepest <= MOST_NARROW { NARROW } else { WIDE };
        let gap = if deepest <= 8 { 6.0 } else { 48.0 / deepest as f64 };
        let column = LEFT + gap * deepest as f64 + 6.5;
        let mut map = Map { words, width, gap, column, rows: Vec::new(), strokes: Vec::new(), y: 8.0, open: None };
        map.open = map.body(body, 0, 3.0);
        map
    }

    fn x(&self, lane: usize) -> f64 {
        LEFT + self.gap * lane as f64
    }

    fn line(&mut self, lane: usize, from: f64, to: f64) {
        let x = self.x(lane);
        self.strokes.push(("main", format!("M{} {}V{}", n(x), n(from), n(to))));
    }

    /// A row with its words. Gives where its mark is.
    fn row(&mut self, lane: usize, mark: Mark, number: Option<&str>, texts: &[(Face, String)]) -> f64 {
        let y = self.y;
        let indent = number.map_or(0.0, |number| width(Face::Bold, number) + 1.6);
        let room = self.width - self.column - indent;
        let broken = |(face, text): &(Face, String)| {
            wrap(*face, text, room).into_iter().map(|line| (*face, line)).collect::<Vec<_>>()
        };
        let lines: Vec<(Face, String)> = texts.iter().flat_map(broken).collect();
        let below: f64 = lines.iter().skip(1).map(|(face, _)| face.leading()).sum();
        self.rows.push(Row { lane, y, mark, number: number.map(str::to_owned), lines });
        self.y += ROW + below;
        y
    }

    /// Lays out what happens on a lane. Gives where the lane is still open; `None` where the job has ended on it.
    fn body(&mut self, body: &[Node], lane: usize, from: f64) -> Option<f64> {
        let mut at = from;
        for node in body {
            at = match node {
                Node::Step(id) => self.step(*id, lane, at),
                Node::Check(check) => self.check(check, lane, at),
                Node::Set(set) => {
                    let choice = &self.words.procedure.choices[set.result];
                    let words = format!("{}: {}", choice.name.title, label(choice, set.value));
                    let y = self.row(lane, Mark::Nothing, None, &[(Face::Small, words)]);
                    self.line(lane, at, y);
                    y
                }
                Node::Choose(choose) => self.choose(choose, lane, at)?,
                Node::When(when) => self.when(when, lane, at)?,
                Node::Stop(stop) => {
                    let y = self.row(lane, Mark::Stop, None, &[(Face::Plain, self.words.said(&stop.text))]);
                    self.line(lane, at, y);
                    return None;
                }
                Node::Handover(_) => {
                    let y = self.row(lane, Mark::Handover, None, &[(Face::Bold, "Hand over".to_owned())]);
                    self.line(lane, at, y);
                    return None;
                }
            };
        }
        Some(at)
    }

    fn step(&mut self, id: StepId, lane: usize, at: f64) -> f64 {
        let step = &self.words.procedure.steps[id];
        let mark = if step.when.is_some() { Mark::Optional } else { Mark::Step };
        let y = self.titled(id, lane, mark, step.name.title.clone());
        self.line(lane, at, y);
        y
    }

    /// The row of a step or check, with its condition.
    fn titled(&mut self, id: StepId, lane: usize, mark: Mark, title: String) -> f64 {
        let step = &self.words.procedure.steps[id];
        let only = step.when.as_ref().map(|when| (Face::Small, only_with(self.words, when)));
        let texts: Vec<(Face, String)> = std::iter::once((Face::Plain, title)).chain(only).collect();
        self.row(lane, mark, Some(&step.number), &texts)
    }

    fn check(&mut self, check: &Check, lane: usize, at: f64) -> f64 {
        let step = &self.words.procedure.steps[check.step];
        let y = self.titled(check.step, lane, Mark::Check, format!("Check: {}", step.name.title));
        self.line(lane, at, y);
        let mut lead = "If it is not right: ".to_owned();
        if let Some(repair) = &check.repair {
            let times = number_of(repair.times, "time", "times");
            let begins = self.arm(lane, format!("If it is not right, at most {times}:"));
            if let Some(end) = self.body(&repair.body, lane + 1, begins) {
                // Back up to the check, right of the repair's own lane.
                let (x, out) = (self.x(lane + 1), self.gap / 2.0);
                let back = format!("M{} {}v2h{}V{}H{}", n(x), n(end), n(out), n(y), n(self.x(lane) + 2.4));
                self.strokes.push(("ink", back));
                self.strokes.push(("ink", format!("M{} {}l-1.4 1l1.4 1", n(self.x(lane) + 3.8), n(y - 1.0))));
                self.y = self.y.max(end + 2.0 + ROW);
            }
            lead = "If it is still not right: ".to_owned();
        }
        match &check.otherwise {
            CheckElse::Stop(stop) => {
                let text = format!("{lead}{}", self.words.said(&stop.text));
                let end = self.row(lane + 1, Mark::Stop, None, &[(Face::Plain, text)]);
                self.off(lane, end);
            }
            CheckElse::GoOn(text, _) => {
                let text = format!("{lead}go on. {}", self.words.said(text));
                let end = self.row(lane + 1, Mark::Nothing, None, &[(Face::Small, text)]);
                self.off(lane, end);
                let join = self.join(lane, end);
                self.line(lane, y, join);
                return join;
            }
        }
        y
    }

    /// The row that begins a lane beside another: under which condition it is taken.
    fn arm(&mut self, lane: usize, words: String) -> f64 {
        let y = self.row(lane + 1, Mark::Nothing, None, &[(Face::Small, words)]);
        self.off(lane, y);
        y
    }

    /// The bend from a lane to the next one.
    fn off(&mut self, lane: usize, y: f64) {
        let (x, to) = (self.x(lane), self.x(lane + 1));
        let bend =
            format!("M{} {}C{} {} {} {} {} {}", n(x), n(y - 4.0), n(x), n(y - 1.6), n(to), n(y - 2.6), n(to), n(y));
        self.strokes.push(("main", bend));
    }

    /// The bend back to a lane. Gives where it arrives.
    fn join(&mut self, lane: usize, from: f64) -> f64 {
        let (x, to) = (self.x(lane + 1), self.x(lane));
        let y = self.y - 1.4;
        let bend = format!(
            "M{} {}V{}C{} {} {} {} {} {}",
            n(x),
            n(from),
            n(y - 3.0),
            n(x),
            n(y - 1.0),
            n(to),
            n(y - 2.0),
            n(to),
            n(y)
        );
        self.strokes.push(("main", bend));
        self.y += 1.6;
        y
    }

    /// Arms one below the other, each on the next lane; beside them runs a thin line from which they part. Gives where those
    /// that go on are together again.
    fn arms(&mut self, lane: usize, from: f64, arms: &[(String, &[Node])], bypass: bool) -> Option<f64> {
        let mut joined = None;
        let mut last = from;
        for (words, body) in arms {
            let begins = self.arm(lane, words.clone());
            last = begins - 4.0;
            if let Some(end) = self.body(body, lane + 1, begins) {
                let join = self.join(lane, end);
                joined = Some(join);
                last = join;
            }
        }
        let open = if bypass { Some(joined.unwrap_or(self.y - 2.0)) } else { joined };
        let x = self.x(lane);
        self.strokes.push(("ink dash", format!("M{} {}V{}", n(x), n(from), n(open.unwrap_or(last)))));
        open
    }

    fn choose(&mut self, choose: &Choose, lane: usize, at: f64) -> Option<f64> {
        let subject = self.words.subject(choose.subject).to_owned();
        let y = self.row(lane, Mark::Fork, None, &[(Face::Plain, subject)]);
        self.line(lane, at, y);
        let words = self.words;
        let arms: Vec<(String, &[Node])> =
            choose.arms.iter().map(|arm| (sentence_case(&words.arm(choose, arm)), arm.body.as_slice())).collect();
        self.arms(lane, y, &arms, false)
    }

    fn when(&mut self, when: &When, lane: usize, at: f64) -> Option<f64> {
        let mut arms = vec![(format!("If: {}", self.words.cond(&when.cond)), when.then.as_slice())];
        if !when.otherwise.is_empty() {
            arms.push((format!("Otherwise: {}", self.words.opposite(&when.cond)), when.otherwise.as_slice()));
        }
        self.arms(lane, at, &arms, when.otherwise.is_empty())
    }

    fn drawing(self, words: Words<'_>, section: &Section, part: usize, parts: usize, last: bool) -> Drawing {
        let suffix = if part == 0 { String::new() } else { format!("-{}", part + 1) };
        let mut canvas = Canvas::new(format!("map-{}{suffix}", section.name.id), self.width);
        for (class, stroke) in &self.strokes {
            canvas.path(stroke, class);
        }
        if let Some(open) = self.open.filter(|_| !last) {
            let x = n(LEFT);
            canvas.path(&format!("M{x} {}V{}", n(open), n(self.y)), "main");
            canvas.path(
                &format!(
                    "M{} {}L{x} {}L{} {}",
                    n(LEFT - 1.4),
                    n(self.y - 1.4),
                    n(self.y),
                    n(LEFT + 1.4),
                    n(self.y - 1.4)
                ),
                "main",
            );
        }
        canvas.reach(self.y);
        for row in &self.rows {
            draw_row(&mut canvas, row, self.x(row.lane), self.column);
        }
        let part = if parts > 1 { format!(", part {} of {parts}", part + 1) } else { String::new() };
        let only = section.when.as_ref().map(|when| format!(". {}", only_with(words, when))).unwrap_or_default();
        let title = format!("Way through section {}, {}{part}{only}", section.number, section.name.title);
        canvas.finish(&title, &says(&self.rows))
    }
}

fn only_with(words: Words<'_>, when: &Cond) -> String {
    format!("Only with {}", words.cond(when))
}

fn draw_row(canvas: &mut Canvas, row: &Row, x: f64, column: f64) {
    let (y, at) = (row.y, (x, row.y));
    match row.mark {
        Mark::Step => canvas.circle(at, 1.3, "accent"),
        Mark::Optional => canvas.circle(at, 1.3, "paper main"),
        Mark::Check => {
            canvas.circle(at, 2.1, "paper main");
            canvas.path(&format!("M{} {}l0.8 0.9l1.4 -1.9", n(x - 1.1), n(y + 0.1)), "ink");
        }
        Mark::Fork => canvas.rect((x - 0.9, y - 0.9), (1.8, 1.8), "full"),
        Mark::Nothing => {}
        Mark::Stop => {
            canvas.rect((x - 4.4, y - 1.9), (8.8, 3.8), "full");
            canvas.text((x, y + 0.98), Anchor::Middle, Face::Reversed, "STOP");
        }
        Mark::Handover => {
            canvas.rect((x - 3.0, y - 0.9), (6.0, 1.8), "accent");
        }
    }
    let mut text = column;
    if let Some(number) = &row.number {
        canvas.text((text, y + 1.0), Anchor::Start, Face::Bold, number);
        text += width(Face::Bold, number) + 1.6;
    }
    let mut baseline = y + 1.0;
    for (at, (face, line)) in row.lines.iter().enumerate() {
        if at > 0 {
            baseline += face.leading();
        }
        canvas.text((text, baseline), Anchor::Start, *face, line);
    }
}

/// The same in words: every row in order.
fn says(rows: &[Row]) -> String {
    let row = |row: &Row| {
        let words: Vec<&str> = row.lines.iter().map(|(_, line)| line.as_str()).collect();
        let mark = if row.mark == Mark::Stop { "STOP: " } else { "" };
        let number = row.number.as_ref().map(|number| format!("{number} ")).unwrap_or_default();
        format!("{mark}{number}{}", words.join(" "))
    };
    rows.iter().map(row).collect::<Vec<_>>().join("; ") + "."
}
