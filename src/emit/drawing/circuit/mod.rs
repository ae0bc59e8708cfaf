//! The schematic of a circuit: its loop with the numbers of its working, its wire to scale, its points in order.
//!
//! The model does not say between which points the breaker or fuse sits, nor how far the points are from each other. So the
//! *loop* shows what the current flows through and no points, the *wire* is a line to scale with the breaker or fuse at its
//! stated distance, and the points are a list of their own. What nobody stated is not drawn. Every computed number is one of
//! `working::circuit`.

mod words;

use super::{Anchor, Canvas, Drawing, Face, float, n, width, wrap};
use crate::emit::phrase::circuit::{isolated_words, later_words, point_detail};
use crate::emit::words::Words;
use crate::labels::{fill, spoken};
use crate::model::{Circuit, CircuitProtection, LeftTo, Protector, Return};
use crate::quantity::Quantity;
use crate::working::circuit::CircuitWorking;
use words::protection_words;

const WIDTH: f64 = 150.0;
/// The source, and the left side of the loop.
const LEFT: f64 = 12.0;
/// The load, and its right side.
const RIGHT: f64 = 106.0;
/// Where the texts inside the loop begin and end.
const INSIDE: (f64, f64) = (30.0, RIGHT - 8.0);
/// Where the breaker or fuse stands in the loop.
const GUARD: f64 = 32.0;
/// Where the words of the wire begin, and how wide they may be.
const WIRE: (f64, f64) = (56.0, WIDTH - 56.0);
/// The wire to scale.
const SCALE: (f64, f64) = (8.0, WIDTH - 8.0);

/// The schematic of a circuit; `None` where too little is stated of it to draw a loop.
pub(in super::super) fn circuit(words: Words<'_>, circuit: &Circuit, made: &CircuitWorking) -> Option<Drawing> {
    let stated = [&circuit.source, &circuit.load, &circuit.run, &circuit.wire];
    if stated.iter().filter(|one| one.is_some()).count() < 2 {
        return None;
    }
    let canvas = Canvas::new(format!("circuit-{}", circuit.name.id), WIDTH);
    let mut sheet = Sheet { canvas, words, circuit, made };
    let below = sheet.the_loop();
    let below = sheet.wire_to_scale(below);
    let below = sheet.points(below);
    let below = sheet.fed_later(below);
    sheet.dead_while(below);
    let says = sheet.says();
    Some(sheet.canvas.finish(&fill(spoken().schematic.title, &[("circuit", &circuit.name.title)]), &says))
}

struct Sheet<'a> {
    canvas: Canvas,
    words: Words<'a>,
    circuit: &'a Circuit,
    made: &'a CircuitWorking,
}

impl Sheet<'_> {
    /// Gives the `y` below it.
    fn the_loop(&mut self) -> f64 {
        let guard = self.circuit.protection.as_ref().map(|protection| protection_words(self.words, protection));
        let guard = guard.map_or_else(Vec::new, |words| wrap(Face::Bold, &words, 36.0));
        let wire = wrap(Face::Plain, &self.wire_words().join(", "), WIRE.1);
        let inside = self.inside();
        let lines = guard.len().max(wire.len()) as f64;
        let top = 1.0 + lines * Face::Plain.leading() + 2.2;
        let bottom = top + (8.5 + inside.iter().map(|(face, _)| face.leading()).sum::<f64>()).max(23.0);
        self.bottom_up(GUARD - 8.0, top - 2.6, Face::Bold, &guard);
        self.bottom_up(WIRE.0, top - 2.6, Face::Plain, &wire);
        self.upper_wire(top);
        self.source(top, bottom);
        self.load(top, bottom);
        let mut y = top + 7.6;
        for (face, text) in &inside {
            self.canvas.text((INSIDE.0, y), Anchor::Start, *face, text);
            y += face.leading();
        }
        self.way_back(bottom)
    }

    fn bottom_up(&mut self, x: f64, y: f64, face: Face, lines: &[String]) {
        for (above, line) in lines.iter().rev().enumerate() {
            self.canvas.text((x, y - above as f64 * face.leading()), Anchor::Start, face, line);
        }
    }

    /// From the source through the breaker or fuse to the load, with the current's arrow.
    fn upper_wire(&mut self, y: f64) {
        let c = &mut self.canvas;
        match &self.circuit.protection {
            None => c.line((LEFT, y), (RIGHT, y), "wired"),
            // It stands before the source that is drawn here.
            Some(guard) if guard.sort == Protector::Upstream => c.line((LEFT, y), (RIGHT, y), "wired"),
            Some(guard) if guard.sort == Protector::Fuse => {
                c.rect((GUARD - 5.0, y - 1.7), (10.0, 3.4), "ink paper");
                c.line((LEFT, y), (RIGHT, y), "wired");
            }
            Some(_) => {
                // The contact of a circuit breaker: open, as contacts are drawn, with a cross at its fixed side.
                c.line((LEFT, y), (GUARD - 4.5, y), "wired");
                c.line((GUARD + 4.0, y), (RIGHT, y), "wired");
                c.line((GUARD + 4.0, y), (GUARD - 3.4, y - 2.4), "wired");
                c.path(&cross((GUARD - 4.5, y), 1.1), "ink");
            }
        }
        if self.circuit.load.is_some() {
            c.path(&format!("M{} {}l-3.2 -1.3v2.6z", n(RIGHT - 4.0), n(y)), "full");
        }
    }

    fn source(&mut self, top: f64, bottom: f64) {
        let middle = (top + bottom) / 2.0;
        let c = &mut self.canvas;
        c.line((LEFT, top), (LEFT, middle - 1.0), "wired");
        c.line((LEFT, middle + 1.0), (LEFT, bottom), "wired");
        c.line((LEFT - 4.6, middle - 1.0), (LEFT + 4.6, middle - 1.0), "ink");
        c.line((LEFT - 2.3, middle + 1.0), (LEFT + 2.3, middle + 1.0), "bold");
        c.path(&plus((LEFT - 4.2, middle - 3.6), 1.0), "ink");
        let mut lines = vec![(Face::Bold, spoken().circuit.source.to_owned())];
        lines.extend(self.circuit.source.iter().map(|source| (Face::Plain, self.words.quantity(source))));
        self.beside(LEFT + 6.2, middle, INSIDE.0 - LEFT - 7.0, &lines);
    }

    fn load(&mut self, top: f64, bottom: f64) {
        let middle = (top + bottom) / 2.0;
        let c = &mut self.canvas;
        c.line((RIGHT, top), (RIGHT, middle - 5.0), "wired");
        c.line((RIGHT, middle + 5.0), (RIGHT, bottom), "wired");
        c.rect((RIGHT - 1.9, middle - 5.0), (3.8, 10.0), "ink paper");
        let mut lines = vec![(Face::Bold, self.load_name().to_owned())];
        lines.extend(self.circuit.load.iter().map(|load| (Face::Plain, self.words.quantity(load))));
        lines.extend(self.left_at_load().map(|left| (Face::Plain, left)));
        self.beside(RIGHT + 4.2, middle, WIDTH - RIGHT - 4.6, &lines);
    }

    /// Texts to the right of a sign, about its middle.
    fn beside(&mut self, x: f64, middle: f64, most: f64, texts: &[(Face, String)]) {
        let lines: Vec<(Face, String)> = texts
            .iter()
            .flat_map(|(face, text)| wrap(*face, text, most).into_iter().map(|line| (*face, line)))
            .collect();
        let mut y = middle - lines.len() as f64 * Face::Plain.leading() / 2.0 + 2.6;
        for (face, line) in lines {
            self.canvas.text((x, y), Anchor::Start, face, &line);
            y += face.leading();
        }
    }

    /// The way back: a wire, or the chassis. Gives the `y` below it.
    fn way_back(&mut self, y: f64) -> f64 {
        match &self.circuit.returns {
            Return::Wire => self.canvas.line((LEFT, y), (RIGHT, y), "wired"),
            Return::Chassis(_) => {
                chassis(&mut self.canvas, (LEFT, y));
                chassis(&mut self.canvas, (RIGHT, y));
            }
        }
        let (text, most) = (self.way_back_words(), RIGHT - INSIDE.0 - 4.0);
        self.canvas.block((INSIDE.0, y + 4.2), Anchor::Start, Face::Plain, &text, most) + 2.0
    }

    /// The wire as a line with the breaker or fuse at its distance, where both are stated. Gives the `y` below it.
    fn wire_to_scale(&mut self, y: f64) -> f64 {
        let (Some(run), Some(guard)) = (&self.circuit.run, &self.circuit.protection) else { return y };
        let Some(at) = &guard.at else { return y };
        let (Some(whole), Some(part)) = (base_of(run), base_of(at)) else { return y };
        if whole <= 0.0 || part < 0.0 || part > whole {
            return y;
        }
        let x = SCALE.0 + part / whole * (SCALE.1 - SCALE.0);
        self.heading(y, spoken().schematic.to_scale);
        let line = self.above_guard(y + 7.0, x, guard, at) + 2.8;
        let c = &mut self.canvas;
        c.line((SCALE.0, line), (SCALE.1, line), "wired");
        for end in [SCALE.0, SCALE.1] {
            c.line((end, line - 1.4), (end, line + 1.4), "ink");
        }
        if guard.sort == Protector::Fuse {
            c.rect((x - 0.7, line - 1.7), (1.4, 3.4), "ink paper");
        } else {
            c.path(&cross((x, line), 1.3), "ink");
        }
        c.text((SCALE.0, line + 4.6), Anchor::Start, Face::Small, spoken().circuit.source);
        let end = format!("{}, {}", spoken().circuit.load, self.words.quantity(run));
        self.canvas.text((SCALE.1, line + 4.6), Anchor::End, Face::Small, &end);
        line + 7.2
    }

    /// What the breaker or fuse on the wire to scale is, and where. Gives the `y` of its last line.
    fn above_guard(&mut self, y: f64, x: f64, guard: &CircuitProtection, at: &Quantity) -> f64 {
        let rating = protection_words(self.words, guard);
        let text = fill(spoken().circuit.protected_at, &[("rating", &rating), ("distance", &self.words.quantity(at))]);
        let (anchor, from, most) =
            if x < WIDTH / 2.0 { (Anchor::Start, x - 0.7, WIDTH - x) } else { (Anchor::End, x + 0.7, x) };
        self.canvas.block((from, y), anchor, Face::Bold, &text, most - 1.0) - Face::Bold.leading()
    }

    /// The points from the source, each with its number in the order of connection. Gives the `y` below them.
    fn points(&mut self, y: f64) -> f64 {
        let heading = format!("{}; {}", spoken().circuit.points, spoken().schematic.numbers);
        self.heading(y, &heading);
        let numbers = self.words.procedure.numbers_of_points(self.circuit);
        let x = SCALE.0 + 2.4;
        let mut y = y + 8.2;
        let mut last = None;
        for (id, point) in self.circuit.points.iter() {
            let number = numbers[id].to_string();
            if let Some(last) = last {
                self.canvas.line(
                    (x, last + 2.0),
                    (x, y - 3.0),
                    if point.left.is_some() { "wired dash" } else { "wired" },
                );
            }
            // What this job does not connect is dashed.
            self.canvas.circle((x, y - 1.0), 2.0, if point.left.is_some() { "ink paper dash" } else { "ink paper" });
            let face = if width(Face::Bold, &number) > 3.4 { Face::Small } else { Face::Bold };
            self.canvas.text((x, y), Anchor::Middle, face, &number);
            last = Some(y - 1.0);
            let next = self.canvas.block((x + 4.6, y), Anchor::Start, Face::Plain, &point.title, WIDTH - x - 5.0);
            let later = point.left.as_ref().map(|left| said_later(spoken().circuit.connected_later, left));
            let detail = Some(point_detail(self.words, self.circuit, point)).filter(|detail| !detail.is_empty());
            let detail = detail.into_iter().chain(later).collect::<Vec<_>>().join("; ");
            y = if detail.is_empty() {
                next
            } else {
                let one_line = wrap(Face::Plain, &point.title, WIDTH - x - 5.0).len() == 1;
                let end = x + 4.6 + width(Face::Plain, &point.title) + 3.0;
                if one_line && end + width(Face::Small, &detail) < WIDTH - 1.0 {
                    self.canvas.text((end, y), Anchor::Start, Face::Small, &detail);
                    next
                } else {
                    let most = WIDTH - x - 5.0;
                    self.canvas.block((x + 4.6, next), Anchor::Start, Face::Small, &detail, most)
                }
            } + 1.2;
        }
        y + 0.6
    }

    /// By whom it is fed later. Gives the `y` below it.
    fn fed_later(&mut self, y: f64) -> f64 {
        let Some(left) = &self.circuit.fed_later else { return y };
        let text = said_later(spoken().circuit.fed_later, left);
        self.canvas.block((SCALE.0, y + 2.2), Anchor::Start, Face::Bold, &text, WIDTH - 2.0 * SCALE.0) + 1.2
    }

    fn dead_while(&mut self, y: f64) {
        let Some(states) = isolated_words(self.words, self.circuit) else { return };
        let text = format!("{}: {states}", spoken().circuit.isolated);
        let lines = wrap(Face::Bold, &text, WIDTH - 2.0 * SCALE.0 - 4.0);
        let high = lines.len() as f64 * Face::Bold.leading() + 2.6;
        self.canvas.rect((SCALE.0, y - 1.4), (WIDTH - 2.0 * SCALE.0, high), "ink");
        let mut line_y = y + 2.2;
        for line in lines {
            self.canvas.text((SCALE.0 + 2.0, line_y), Anchor::Start, Face::Bold, &line);
            line_y += Face::Bold.leading();
        }
    }

    fn heading(&mut self, y: f64, text: &str) {
        self.canvas.line((0.2, y), (WIDTH - 0.2, y), "thin");
        self.canvas.text((0.2, y + 3.6), Anchor::Start, Face::Small, text);
    }
}

/// `Connected later: in Heron box on the trailer`
fn said_later(lead: &str, left: &LeftTo) -> String {
    format!("{lead}: {}", later_words(left))
}

fn base_of(quantity: &Quantity) -> Option<f64> {
    quantity.base().map(float)
}

fn cross(at: (f64, f64), half: f64) -> String {
    let (x, y, two) = (n(at.0 - half), n(at.1 - half), n(half * 2.0));
    format!("M{x} {y}l{two} {two}m-{two} 0l{two} -{two}")
}

fn plus(at: (f64, f64), half: f64) -> String {
    let two = n(half * 2.0);
    format!("M{} {}h{two}M{} {}v{two}", n(at.0 - half), n(at.1), n(at.0), n(at.1 - half))
}

/// The sign of a connection to the chassis: a bar with three slanting strokes below it.
fn chassis(canvas: &mut Canvas, at: (f64, f64)) {
    let (x, y) = at;
    canvas.line((x - 3.0, y), (x + 3.0, y), "bold");
    for stroke in [-3.0, 0.0, 3.0] {
        canvas.line((x + stroke, y), (x + stroke - 1.4, y + 2.2), "ink");
    }
}

// The numbers in a schematic are those of the working, and what nobody stated is not in it.
#[cfg(test)]
mod tests {
    use super::*;
    use crate::emit::drawing::tests::{DEMOS, resolved};
    use crate::emit::words::own_unit;
    use crate::model::Procedure;
    use crate::working::circuit::{amperes, share, volts, working};

    fn one(units: &str, lines: &str) -> Procedure {
        resolved(&format!(
            "procedure by-hand \"By hand\"\nunits {units}\nuse std/wiring\ncircuit feed \"Feed\" {{\n{lines}\n}}\n\
         section work \"Work\" {{\n handover {{ sign installer }}\n}}\n"
        ))
    }

    fn drawn(procedure: &Procedure, row: &Circuit) -> Option<Drawing> {
        circuit(Words::new(procedure), row, &working(procedure, row))
    }

    /// The texts of a drawing without what breaks them into lines.
    fn texts(drawing: &Drawing) -> String {
        let texts = drawing.svg.split("<text ").skip(1);
        let inner = texts.filter_map(|text| text.split_once('>')?.1.split_once("</text>")).map(|(text, _)| text);
        inner.flat_map(str::split_whitespace).collect()
    }

    fn squeezed(text: &str) -> String {
        crate::emit::text::html(text).split_whitespace().collect()
    }

    /// Whether each number stands there if the working has it, and each stated value if it is stated.
    fn compare(procedure: &Procedure) -> usize {
        let words = Words::new(procedure);
        let mut seen = 0;
        for row in procedure.circuits.rows() {
            let drawing = drawn(procedure, row).expect("a schematic");
            let (texts, made) = (texts(&drawing), working(procedure, row));
            let mut wanted: Vec<String> = row.points.iter().map(|(_, point)| point.title.clone()).collect();
            wanted.extend([&row.source, &row.load, &row.run].into_iter().flatten().map(|q| words.quantity(q)));
            wanted.extend(row.wire.iter().map(|wire| format!("{} {}", own_unit(wire), row.metal)));
            wanted.extend(made.ampacity_a.map(amperes));
            wanted.extend(made.drop.iter().map(|drop| format!("{}, {}", volts(drop.volts), share(drop.share))));
            wanted.extend(row.drop.iter().map(|drop| words.measure(drop)));
            wanted.extend(row.protection.iter().map(|guard| words.quantity(&guard.rating)));
            wanted.extend(row.isolated_by.iter().map(|need| words.state(need.state, need.value)));
            for text in &wanted {
                assert!(texts.contains(&squeezed(text)), "{text} is missing in {texts}");
            }
            // What is left at the load and what is lost make the source.
            if let (Some(left), Some(drop)) = (texts.split_once("Leftattheload:"), made.drop) {
                let left: f64 = left.1.split('V').next().and_then(|text| text.parse().ok()).expect("volts");
                let source = row.source.as_ref().and_then(base_of).expect("a source");
                assert!((left + drop.volts - source).abs() < 0.06, "{left} + {} is not {source}", drop.volts);
            }
            seen += wanted.len();
        }
        seen
    }

    #[test]
    fn the_demos_circuits_are_drawn_with_the_numbers_of_their_workings() {
        let mut seen = 0;
        for demo in DEMOS {
            seen += compare(&resolved(demo));
        }
        assert!(seen > 40, "only {seen} values");
    }

    /// Two of the circuits that are worked by hand in `tests/circuits_by_hand.rs`, with the hand's numbers.
    #[test]
    fn circuits_worked_by_hand_show_the_hands_numbers() {
        let first = one(
            "metric, inch",
            "source 12 V\nload 18 A\nrun 6.5 m\nwire 8 AWG copper\ninsulation 105 degC\nambient 40 degC\nbreaker 30 A at 150 mm\n\
         drop at most 5 %\npoint post \"Post\"\npoint motor \"Motor\"",
        );
        compare(&first);
        let drawing = drawn(&first, &first.circuits.rows()[0]).expect("a schematic");
        for number in ["74.4A", "0.527V,4.39%", "0.588V,4.9%", "atmost5%", "Leftattheload:11.5V", "Breaker,30A"] {
            assert!(texts(&drawing).contains(number), "{number}: {}", texts(&drawing));
        }
        let second = one(
            "metric",
            "source 24 V\nload 25 A\nrun 12 m\nwire 6 mm2 copper\ninsulation 90 degC\nambient 50 degC\nbundle of 4\nfuse 35 A at 100 mm",
        );
        compare(&second);
        let drawing = drawn(&second, &second.circuits.rows()[0]).expect("a schematic");
        for number in
            ["27.1A", "2.48V,10.3%", "practiceallowsafeeder3%", "100mmalongthewirefromthesource", "Leftattheload:21.5V"]
        {
            assert!(texts(&drawing).contains(number), "{number}: {}", texts(&drawing));
        }
    }

    #[test]
    fn what_stands_at_the_fuse_is_drawn_whole() {
        for at in ["100 mm", "5.9 m", "6.1 m", "11.9 m"] {
            let lines = format!("source 24 V\nload 25 A\nrun 12 m\nwire 6 mm2 copper\nfuse 35 A at {at}");
            let made = one("metric, inch", &lines);
            let row = &made.circuits.rows()[0];
            let drawing = drawn(&made, row).expect("a schematic");
            let at = row.protection.as_ref().and_then(|guard| guard.at.as_ref()).expect("a distance");
            let text = format!("Fuse, 35 A, {} along the wire from the source", Words::new(&made).quantity(at));
            assert!(texts(&drawing).contains(&squeezed(&text)), "{text} is missing in {}", texts(&drawing));
        }
    }

    #[test]
    fn what_is_not_stated_is_not_drawn() {
        let none = one("metric", "source 12 V");
        assert!(drawn(&none, &none.circuits.rows()[0]).is_none());
        let little = one("metric", "source 12 V\nwire 8 AWG copper\nfuse 30 A");
        let drawing = drawn(&little, &little.circuits.rows()[0]).expect("a schematic");
        let says = texts(&drawing);
        assert!(
            !says.contains("Voltagedrop")
                && !says.contains("Left")
                && !says.contains("toscale")
                && !says.contains("Isolated"),
            "{says}"
        );
        // Without the resistance of the chassis nobody knows what is left at the load.
        let chassis = "source 12 V\nload 18 A\nrun 6.5 m\nwire 8 AWG copper\ninsulation 105 degC\nambient 40 degC\nchassis return";
        let open = one("metric", chassis);
        let drawing = drawn(&open, &open.circuits.rows()[0]).expect("a schematic");
        let says = texts(&drawing);
        assert!(says.contains("Voltagedropinthewirealone") && !says.contains("Leftattheload"), "{says}");
    }
}
