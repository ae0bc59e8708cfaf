//! The sheets of a map, with what stands above each.

use super::super::{Anchor, Canvas, Drawing, Face, n, part_of, stop_word};
use super::piece::{Piece, Tally};
use super::{HIGHEST, LINE, Map};
use crate::emit::words::listed;
use crate::labels::{fill, spoken};

impl Map<'_> {
    /// Puts pieces on as many sheets as they need.
    pub(super) fn sheets(&self, head: &Head, id: &str, pieces: Vec<Piece>) -> Vec<Drawing> {
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
        let of = if count > 1 { format!(" ({})", part_of(number, count)) } else { String::new() };
        if number < count {
            let tally = sheet.tally;
            sheet.append(self.arrow(lane, spoken().map.goes_on));
            sheet.tally = tally;
        }
        let from = head.draw(&mut canvas, &of);
        sheet.draw(&mut canvas, from);
        let text = if head.is_part { spoken().map.title_of_part } else { spoken().map.title };
        let mark = format!("{}{of}", head.mark);
        let section = if head.is_part { self.section.to_string() } else { mark.clone() };
        let title = fill(text, &[("section", &section), ("part", &mark), ("title", &head.title)]);
        canvas.finish(&title, &says(sheet.tally))
    }
}

/// What stands above a map.
pub(super) struct Head {
    pub(super) mark: String,
    pub(super) title: String,
    pub(super) when: Option<String>,
    pub(super) is_part: bool,
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
        canvas.path(&format!("M{LINE} 7.2V{}", n(from)), "line");
        from
    }
}

/// The map in words.
fn says(tally: Tally) -> String {
    let map = &spoken().map;
    let counts = [
        (tally.steps, map.step, map.steps),
        (tally.checks, map.check, map.checks),
        (tally.branches, map.branch, map.branches),
        (tally.repairs, map.repair, map.repairs),
        (tally.stops, map.way_out, map.ways_out),
    ];
    let some = counts.into_iter().filter(|(count, ..)| *count > 0).map(|(count, one, many)| {
        fill(if count == 1 { one } else { many }, &[("n", &count.to_string()), ("stop", &stop_word())])
    });
    let list = listed(some, spoken().word.and);
    fill(map.says, &[("stops", if list.is_empty() { map.nothing } else { &list })])
}
