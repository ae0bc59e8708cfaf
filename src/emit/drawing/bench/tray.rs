//! A tray: its things in rows, as many drawings as they need.

use super::super::canvas::{Anchor, Canvas, Drawing, Face, width, wrap_in};
use super::super::dimension::Bar;
use super::super::{only_when, part_of};
use super::shape::Shape;
use crate::labels::{fill, spoken};

/// Widths of a tray: two of the narrow ones stand side by side on a page.
const NARROW: f64 = 71.5;
const WIDE: f64 = 150.0;
/// From the edge of a tray to what lies in it.
const EDGE: f64 = 4.0;
/// Between two things, and between two rows.
const GAP: f64 = 5.0;
/// A thing has at least this width, for its name.
const LEAST: f64 = 29.2;
/// A narrow tray grows no higher than this before it becomes a wide one.
const NARROW_HEIGHT: f64 = 130.0;
/// No drawing is higher.
const MOST_HEIGHT: f64 = 190.0;
/// Nothing that is higher is drawn.
const MOST_THING: f64 = 110.0;
/// A name or a remark has at most so many lines; the lists have all of it.
const MOST_LINES: usize = 7;
/// Room inside a card.
const INSIDE: f64 = 1.8;

/// A group of things.
pub(super) struct Tray {
    pub(super) title: String,
    pub(super) when: Option<String>,
    /// What else there is to say below it.
    pub(super) note: Option<String>,
    pub(super) things: Vec<Thing>,
}

/// Something that lies there.
pub(super) struct Thing {
    pub(super) shape: Option<Shape>,
    /// How many, before the name: `8 ×`.
    pub(super) count: Option<String>,
    pub(super) name: String,
    /// What must be known of it: its range, when it is needed.
    pub(super) remarks: Vec<String>,
}

/// Things side by side.
struct Row<'t> {
    cells: Vec<Cell<'t>>,
    /// Height of the drawn things; nought for cards.
    shapes: f64,
    /// Height of the words.
    words: f64,
}

/// A thing with its place in a row.
struct Cell<'t> {
    thing: &'t Thing,
    x: f64,
    width: f64,
}

impl Thing {
    fn shape_in(&self, room: f64) -> Option<&Shape> {
        self.shape.as_ref().filter(|shape| shape.least().0 <= room && shape.least().1 <= MOST_THING)
    }

    fn count_words(&self) -> String {
        self.count.clone().unwrap_or_default()
    }

    /// How far the name stands from the count's left.
    fn indent(&self) -> f64 {
        let count = self.count_words();
        if count.is_empty() { 0.0 } else { width(Face::Bold, &count) + 1.4 }
    }

    fn words_height(&self, room: f64) -> f64 {
        let room = room - self.indent();
        let names = lines(Face::Plain, &self.name, room).len() as f64 * Face::Plain.leading();
        let remarks: usize = self.remarks.iter().map(|remark| lines(Face::Small, remark, room).len()).sum();
        names + remarks as f64 * Face::Small.leading()
    }

    /// Count, name and remarks, from the top of their first line.
    fn write(&self, canvas: &mut Canvas, (x, top): (f64, f64), room: f64) {
        let (inset, room) = (x + self.indent(), room - self.indent());
        let mut y = top + Face::Plain.size();
        if self.count.is_some() {
            canvas.text((x, y), Anchor::Start, Face::Bold, &self.count_words());
        }
        for line in lines(Face::Plain, &self.name, room) {
            canvas.text((inset, y), Anchor::Start, Face::Plain, &line);
            y += Face::Plain.leading();
        }
        for line in self.remarks.iter().flat_map(|remark| lines(Face::Small, remark, room)) {
            canvas.text((inset, y), Anchor::Start, Face::Small, &line);
            y += Face::Small.leading();
        }
    }
}

/// The lines of a text, at most so many as the lists can make up for.
fn lines(face: Face, text: &str, room: f64) -> Vec<String> {
    wrap_in(face, text, room, MOST_LINES)
}

impl Tray {
    /// Its drawings; `number` tells the trays of a page apart.
    pub(super) fn drawings(&self, number: usize, bar: &Bar) -> Vec<Drawing> {
        let narrow = self.rows(NARROW - 2.0 * EDGE);
        let high: f64 = narrow.iter().map(Row::height).sum();
        let fits = |thing: &Thing| thing.shape.as_ref().is_none_or(|shape| shape.least().0 <= NARROW - 2.0 * EDGE);
        if high <= NARROW_HEIGHT && self.things.iter().all(fits) {
            return self.sheets(&narrow, number, NARROW, bar);
        }
        self.sheets(&self.rows(WIDE - 2.0 * EDGE), number, WIDE, bar)
    }

    /// What is drawn first, then the cards.
    fn rows(&self, room: f64) -> Vec<Row<'_>> {
        let columns = ((room + GAP) / (LEAST + GAP)).floor().clamp(1.0, 3.0);
        let card = (room - GAP * (columns - 1.0)) / columns;
        let (drawn, cards): (Vec<&Thing>, Vec<&Thing>) =
            self.things.iter().partition(|thing| thing.shape_in(room).is_some());
        let drawn = drawn.into_iter().map(|thing| (thing, thing.shape_in(room).map_or(0.0, |shape| shape.width(room))));
        let mut rows = rows_of(drawn.map(|(thing, width)| (thing, width.max(LEAST))), room);
        // Under the last of a row there is room for its name up to the edge.
        for last in rows.iter_mut().filter_map(|row| row.cells.last_mut()) {
            last.width = room - last.x;
        }
        rows.extend(rows_of(cards.into_iter().map(|thing| (thing, card)), room));
        rows.iter_mut().for_each(|row| row.measure(room));
        rows
    }

    /// As many drawings as the rows need, so that a page holds each.
    fn sheets(&self, rows: &[Row<'_>], number: usize, wide: f64, bar: &Bar) -> Vec<Drawing> {
        let mut sheets: Vec<Vec<&Row<'_>>> = Vec::new();
        let mut free = 0.0;
        for row in rows {
            match sheets.last_mut() {
                Some(sheet) if row.height() <= free => sheet.push(row),
                _ => {
                    sheets.push(vec![row]);
                    // Title, condition and ruler take the rest.
                    free = MOST_HEIGHT - 36.0;
                }
            }
            free -= row.height();
        }
        let last = sheets.len();
        let sheet = |(at, rows): (usize, &Vec<&Row<'_>>)| {
            let id = if at == 0 { format!("tray-{number}") } else { format!("tray-{number}-{}", at + 1) };
            let title =
                if last == 1 { self.title.clone() } else { format!("{}, {}", self.title, part_of(at + 1, last)) };
            self.sheet(rows, id, &title, wide, bar)
        };
        sheets.iter().enumerate().map(sheet).collect()
    }

    fn sheet(&self, rows: &[&Row<'_>], id: String, title: &str, wide: f64, bar: &Bar) -> Drawing {
        let mut canvas = Canvas::new(id, wide);
        let room = wide - 2.0 * EDGE;
        let mut y = EDGE + 2.6;
        for line in lines(Face::Bold, title, room) {
            canvas.text((EDGE, y), Anchor::Start, Face::Bold, &line);
            y += Face::Bold.leading();
        }
        if let Some(when) = &self.when {
            for line in lines(Face::Plain, &only_when(when), room) {
                canvas.text((EDGE, y), Anchor::Start, Face::Plain, &line);
                y += Face::Plain.leading();
            }
        }
        for row in rows {
            row.draw(&mut canvas, y, room);
            y += row.height();
        }
        let is_true = |cell: &Cell<'_>| cell.thing.shape_in(room).is_some_and(Shape::is_true_size);
        let at_size = rows.iter().flat_map(|row| &row.cells).any(is_true);
        if at_size {
            let words = fill(spoken().bench.true_size, &[("length", bar.words)]);
            canvas.text((EDGE, y + 2.0), Anchor::Start, Face::Small, &words);
            bar.draw(&mut canvas, (EDGE, y + 5.4), 1.0, false);
            y += 6.4;
        }
        frame(&mut canvas, wide, y + EDGE - 1.0);
        let mut drawing = canvas.finish(&fill(spoken().bench.title, &[("tray", title)]), &self.says(rows, at_size));
        let notes: Vec<String> = [Some(format!("{title}.")), self.note.clone()].into_iter().flatten().collect();
        drawing.caption = notes.join(" ");
        drawing
    }

    fn says(&self, rows: &[&Row<'_>], at_size: bool) -> String {
        let things = rows.iter().flat_map(|row| &row.cells).map(|cell| {
            let count = cell.thing.count_words();
            [count, cell.thing.name.clone()]
                .iter()
                .filter(|words| !words.is_empty())
                .cloned()
                .collect::<Vec<_>>()
                .join(" ")
        });
        let when = self.when.as_ref().map(|when| format!("{}.", only_when(when)));
        let things = format!("{}.", things.collect::<Vec<_>>().join("; "));
        let size = at_size.then(|| spoken().bench.says_size.to_owned());
        when.into_iter().chain([things]).chain(size).collect::<Vec<_>>().join(" ")
    }
}

/// Things with their widths, side by side as far as there is room.
fn rows_of<'t>(things: impl Iterator<Item = (&'t Thing, f64)>, room: f64) -> Vec<Row<'t>> {
    let mut rows: Vec<Row<'t>> = Vec::new();
    let mut x = 0.0;
    for (thing, width) in things {
        match rows.last_mut() {
            Some(row) if x + width <= room + 0.01 => row.cells.push(Cell { thing, x, width }),
            _ => {
                x = 0.0;
                rows.push(Row { cells: vec![Cell { thing, x, width }], shapes: 0.0, words: 0.0 });
            }
        }
        x += width + GAP;
    }
    rows
}

impl Row<'_> {
    /// Notes how high its shapes and its words are.
    fn measure(&mut self, room: f64) {
        for cell in &self.cells {
            let shape = cell.thing.shape_in(room);
            let (shapes, inside) = shape.map_or((0.0, 2.0 * INSIDE), |shape| (shape.least().1 + 1.6, 0.0));
            self.shapes = self.shapes.max(shapes);
            self.words = self.words.max(cell.thing.words_height(cell.width - inside) + inside);
        }
    }

    /// With the room above it.
    fn height(&self) -> f64 {
        self.shapes + self.words + if self.shapes > 0.0 { 5.0 } else { 2.6 }
    }

    fn draw(&self, canvas: &mut Canvas, top: f64, room: f64) {
        let middle = top + self.shapes / 2.0;
        for cell in &self.cells {
            let x = EDGE + cell.x;
            match cell.thing.shape_in(room) {
                Some(shape) => {
                    shape.draw(canvas, (x, middle), room);
                    cell.thing.write(canvas, (x, top + self.shapes + 0.8), cell.width);
                }
                None => {
                    canvas.rect((x, top), (cell.width, self.words), "thin");
                    cell.thing.write(canvas, (x + INSIDE, top + INSIDE - 0.4), cell.width - 2.0 * INSIDE);
                }
            }
        }
        canvas.reach(top + self.height());
    }
}

/// The rim of a tray.
fn frame(canvas: &mut Canvas, wide: f64, high: f64) {
    use super::super::canvas::n;
    for (inset, round, class) in [(0.3, 3.0, "part"), (1.3, 2.0, "hair")] {
        let (right, bottom) = (wide - inset, high - inset);
        let (x, y) = (inset, inset);
        let d = format!(
            "M{} {}H{}Q{r} {t} {r} {}V{}Q{r} {b} {} {b}H{}Q{l} {b} {l} {}V{}Q{l} {t} {} {t}Z",
            n(x + round),
            n(y),
            n(right - round),
            n(y + round),
            n(bottom - round),
            n(right - round),
            n(x + round),
            n(bottom - round),
            n(y + round),
            n(x + round),
            r = n(right),
            t = n(y),
            b = n(bottom),
            l = n(x),
        );
        canvas.path(&d, class);
    }
    canvas.reach(high);
}
