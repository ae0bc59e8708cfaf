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
mod scale;

pub(super) use bench::bench;
pub(super) use canvas::{Anchor, Canvas, Drawing, Face, NARROW, n, width, wrap};
pub(super) use circuit::circuit;
pub(super) use flow_map::flow_maps;
pub(super) use joint::joint;
pub(super) use scale::{letter, scale};
