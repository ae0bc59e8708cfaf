//! Drawings made from the model: inline SVG for the manual.
//!
//! A *canvas* is measured in millimetres of paper, from its upper left corner. A drawing has a title and a description, so
//! that it says the same to those who hear the page. Its colours are classes of `site/styles/drawing.css`: on paper, on a
//! dark screen and in grey it is the same drawing, and nothing in it is told by colour alone.
//!
//! Coordinates come from additions, multiplications and square roots only, which give the same on every machine; a sine
//! would not.

mod bench;
mod canvas;
mod circuit;
mod dimension;
mod drives;
mod fasteners;
mod flow_map;
mod joint;
mod letters;
mod margins;
mod scale;
mod spread;
mod times;

pub(super) use bench::bench;
pub(super) use canvas::{Anchor, Canvas, Drawing, Face, NARROW, n, width, wrap};
pub(super) use circuit::circuit;
pub(super) use flow_map::flow_maps;
pub(super) use joint::{joint, joint_beside};
pub(super) use margins::strip;
pub(crate) use margins::{MarginStrip, margin_bar};
pub(super) use scale::{letter, scale};
pub(super) use spread::{Bar, Mark, Share, Spread, shares, spread};
pub(super) use times::{Time, times};

use crate::labels::{fill, spoken};

/// Under which condition something is there or done.
fn only_when(condition: &str) -> String {
    format!("{} {condition}", spoken().row.need)
}

/// `1 of 3`
fn part_of(n: usize, all: usize) -> String {
    fill(spoken().count.part_of, &[("n", &n.to_string()), ("all", &all.to_string())])
}

/// The word at which a job ends, as it stands on a bar.
fn stop_word() -> String {
    spoken().check.stop.to_uppercase()
}

/// A value in floating point, for a place on paper.
fn float(exact: crate::quantity::Exact) -> f64 {
    *exact.numer() as f64 / *exact.denom() as f64
}

#[cfg(test)]
mod tests {
    //! What the tests of drawings share.

    use crate::model::Procedure;
    use crate::source::Sources;
    use crate::world::Memory;

    /// The demo procedures.
    pub(super) const DEMOS: [&str; 4] = [
        include_str!("../../../procedures/kestrel-rack.fitw"),
        include_str!("../../../procedures/wren-battery.fitw"),
        include_str!("../../../procedures/finch-vise.fitw"),
        include_str!("../../../procedures/heron-box.fitw"),
    ];

    /// A text as a procedure.
    pub(super) fn resolved(text: &str) -> Procedure {
        let mut sources = Sources::default();
        let world = Memory::default().with("trial.fitw", text.as_bytes());
        crate::resolve::resolve("trial.fitw", &world, &mut sources).procedure.expect("a procedure")
    }
}
