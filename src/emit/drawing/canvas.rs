//! The sheet that a drawing is made on.

use std::fmt::Write as _;

use serde::Serialize;

use super::letters;
use crate::emit::text::html;

/// Size of the ordinary type, in millimetres.
pub(in super::super) const TYPE: f64 = 2.8;
/// Size of the small type.
pub(in super::super) const SMALL: f64 = 2.65;
/// From line to line, in sizes of the type.
const LEADING: f64 = 1.25;

/// A finished drawing.
#[derive(Debug, Clone, Serialize)]
pub(in super::super) struct Drawing {
    /// The `svg` element.
    pub(in super::super) svg: String,
    /// What it shows, for the line below it.
    pub(in super::super) caption: String,
    /// Whether two of them fit beside each other on paper.
    pub(in super::super) narrow: bool,
}

/// The widest of which two fit, in millimetres.
pub(in super::super) const NARROW: f64 = 78.0;

/// Where a text stands from its point.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(in super::super) enum Anchor {
    /// It begins there.
    Start,
    /// Its middle is there.
    Middle,
    /// It ends there.
    End,
}

/// How text is set.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(in super::super) enum Face {
    /// Ordinary.
    Plain,
    /// Bold.
    Bold,
    /// Small and quiet.
    Small,
    /// Bold, on something dark.
    Reversed,
}

impl Face {
    fn class(self) -> &'static str {
        match self {
            Face::Plain => "t",
            Face::Bold => "t b",
            Face::Small => "t s",
            Face::Reversed => "t b on",
        }
    }

    fn is_bold(self) -> bool {
        matches!(self, Face::Bold | Face::Reversed)
    }

    /// Its size in millimetres.
    pub(in super::super) fn size(self) -> f64 {
        if self == Face::Small { SMALL } else { TYPE }
    }

    /// From one line to the next, in millimetres.
    pub(in super::super) fn leading(self) -> f64 {
        self.size() * LEADING
    }
}

/// A drawing that is being made. `y` goes downwards; a text stands on its `y`.
pub(in super::super) struct Canvas {
    id: String,
    width: f64,
    height: f64,
    body: String,
    hatched: bool,
    linked: bool,
}

impl Canvas {
    /// An empty one. `id` must be the only one of its name on the page; it may hold letters, digits and hyphens.
    pub(in super::super) fn new(id: impl Into<String>, width: f64) -> Self {
        Canvas { id: id.into(), width, height: 0.0, body: String::new(), hatched: false, linked: false }
    }

    /// How wide it is.
    pub(in super::super) fn width(&self) -> f64 {
        self.width
    }

    /// Makes it at least so high.
    pub(in super::super) fn reach(&mut self, y: f64) {
        self.height = self.height.max(y);
    }

    /// A straight line.
    pub(in super::super) fn line(&mut self, from: (f64, f64), to: (f64, f64), class: &str) {
        self.path(&format!("M{} {}L{} {}", n(from.0), n(from.1), n(to.0), n(to.1)), class);
        self.reach(from.1.max(to.1));
    }

    /// A shape by the text of its `d`; build its numbers with [`n`].
    pub(in super::super) fn path(&mut self, d: &str, class: &str) {
        let _ = write!(self.body, "<path class=\"{class}\" d=\"{d}\"/>");
    }

    /// A rectangle: its corner, its width and height.
    pub(in super::super) fn rect(&mut self, at: (f64, f64), size: (f64, f64), class: &str) {
        let (x, y, w, h) = (n(at.0), n(at.1), n(size.0), n(size.1));
        let _ = write!(self.body, "<rect class=\"{class}\" x=\"{x}\" y=\"{y}\" width=\"{w}\" height=\"{h}\"/>");
        self.reach(at.1 + size.1);
    }

    /// A rectangle filled with slanting lines: what is cut, or what is not allowed.
    pub(in super::super) fn hatch(&mut self, at: (f64, f64), size: (f64, f64), class: &str) {
        self.hatched = true;
        let (x, y, w, h) = (n(at.0), n(at.1), n(size.0), n(size.1));
        let _ = write!(
            self.body,
            "<rect class=\"{class}\" style=\"fill:url(#{}-hatch)\" x=\"{x}\" y=\"{y}\" width=\"{w}\" height=\"{h}\"/>",
            self.id
        );
        self.reach(at.1 + size.1);
    }

    /// A circle.
    pub(in super::super) fn circle(&mut self, at: (f64, f64), radius: f64, class: &str) {
        let _ =
            write!(self.body, "<circle class=\"{class}\" cx=\"{}\" cy=\"{}\" r=\"{}\"/>", n(at.0), n(at.1), n(radius));
        self.reach(at.1 + radius);
    }

    /// One line of text.
    pub(in super::super) fn text(&mut self, at: (f64, f64), anchor: Anchor, face: Face, text: &str) {
        let anchor = match anchor {
            Anchor::Start => "",
            Anchor::Middle => " text-anchor=\"middle\"",
            Anchor::End => " text-anchor=\"end\"",
        };
        let (x, y) = (n(at.0), n(at.1));
        // Letters of a face that nobody knows here are held to the place that was kept for them.
        let held = if letters::known(text) {
            String::new()
        } else {
            format!(" textLength=\"{}\" lengthAdjust=\"spacingAndGlyphs\"", n(width(face, text)))
        };
        let class = face.class();
        let _ = write!(self.body, "<text class=\"{class}\" x=\"{x}\" y=\"{y}\"{anchor}{held}>{}</text>", html(text));
        self.reach(at.1 + face.size() * 0.3);
    }

    /// Text in as many lines as it needs to be at most `most` wide. Gives the `y` on which a next line would stand.
    pub(in super::super) fn block(&mut self, at: (f64, f64), anchor: Anchor, face: Face, text: &str, most: f64) -> f64 {
        let mut y = at.1;
        for line in wrap(face, text, most) {
            self.text((at.0, y), anchor, face, &line);
            y += face.leading();
        }
        y
    }

    /// What follows leads to an address, until [`Canvas::end_link`].
    pub(in super::super) fn link(&mut self, address: &str) {
        self.linked = true;
        let _ = write!(self.body, "<a href=\"{}\">", html(address));
    }

    /// The end of what [`Canvas::link`] began.
    pub(in super::super) fn end_link(&mut self) {
        self.body.push_str("</a>");
    }

    /// The `svg` element. `title` names it, `description` says in words what it shows.
    pub(in super::super) fn finish(self, title: &str, description: &str) -> Drawing {
        let Canvas { id, width, height, body, hatched, linked } = self;
        // What is one picture to those who hear it may hold nothing to press.
        let role = if linked { "group" } else { "img" };
        let mut svg = format!(
            "<svg class=\"drawing\" id=\"{id}\" role=\"{role}\" aria-labelledby=\"{id}-title\" aria-describedby=\"{id}-says\" \
             viewBox=\"0 0 {w} {h}\" style=\"--wide:{w}\"><title id=\"{id}-title\">{}</title><desc id=\"{id}-says\">{}</desc>",
            html(title),
            html(description),
            w = n(width),
            h = n(height + 0.4),
        );
        if hatched {
            let _ = write!(
                svg,
                "<pattern id=\"{id}-hatch\" width=\"1.6\" height=\"1.6\" patternUnits=\"userSpaceOnUse\">\
                 <path class=\"hatching\" d=\"M-.4 .4L.4 -.4M0 1.6L1.6 0M1.2 2L2 1.2\"/></pattern>"
            );
        }
        svg.push_str(&body);
        svg.push_str("</svg>");
        Drawing { svg, caption: title.to_owned(), narrow: width <= NARROW }
    }
}

/// The lines of a text that is to be at most `most` wide.
pub(in super::super) fn wrap(face: Face, text: &str, most: f64) -> Vec<String> {
    letters::wrapped(text, face.size(), face.is_bold(), most)
}

/// The same, but at most so many lines; the last of them ends in a mark where text was left out.
pub(in super::super) fn wrap_in(face: Face, text: &str, most: f64, most_lines: usize) -> Vec<String> {
    let mut lines = wrap(face, text, most);
    if lines.len() > most_lines {
        lines.truncate(most_lines);
        if let Some(last) = lines.last_mut() {
            while width(face, &format!("{last} …")) > most && last.pop().is_some() {}
            last.push_str(" …");
        }
    }
    lines
}

/// How wide a text becomes, in millimetres.
pub(in super::super) fn width(face: Face, text: &str) -> f64 {
    letters::width(text, face.size(), face.is_bold())
}

/// A coordinate as SVG writes it: hundredths of a millimetre, without zeros that say nothing.
pub(in super::super) fn n(value: f64) -> String {
    let text = format!("{value:.2}");
    let text = text.trim_end_matches('0').trim_end_matches('.');
    if matches!(text, "-0" | "") { "0".to_owned() } else { text.to_owned() }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn text_cannot_leave_its_element() {
        let mut canvas = Canvas::new("a", 100.0);
        canvas.text((1.0, 2.0), Anchor::Start, Face::Plain, "</text><script>&\"");
        let drawing = canvas.finish("<b>", "\"><x");
        assert!(!drawing.svg.contains("<script") && !drawing.svg.contains("<b>") && !drawing.svg.contains("<x"));
    }

    #[test]
    fn coordinates_are_short() {
        assert_eq!([n(1.0), n(-0.001), n(2.505), n(10.0), n(0.5)], ["1", "0", "2.5", "10", "0.5"]);
    }
}
