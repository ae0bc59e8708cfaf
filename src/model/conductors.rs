//! The conductors of a circuit: their colours, their ends, and what is stated of each; the colours that a file agrees on.

use super::{Circuit, PointId, Procedure, WireSize};
use crate::quantity::Quantity;
use crate::source::Span;

/// A colour of insulation that IEC 60757 has a letter code for.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
#[allow(missing_docs, reason = "each is the colour of that name")]
pub enum Colour {
    Black,
    Brown,
    Red,
    Orange,
    Yellow,
    Green,
    Blue,
    Violet,
    Grey,
    White,
    Pink,
    Gold,
    Turquoise,
    Silver,
    /// Green and yellow together, the colours of protective earth.
    GreenYellow,
}

impl Colour {
    /// Every colour with its word and its letter code: IEC 60757, from memory.
    pub const ALL: [(&'static str, Colour, &'static str); 15] = [
        ("black", Colour::Black, "BK"),
        ("brown", Colour::Brown, "BN"),
        ("red", Colour::Red, "RD"),
        ("orange", Colour::Orange, "OG"),
        ("yellow", Colour::Yellow, "YE"),
        ("green", Colour::Green, "GN"),
        ("blue", Colour::Blue, "BU"),
        ("violet", Colour::Violet, "VT"),
        ("grey", Colour::Grey, "GY"),
        ("white", Colour::White, "WH"),
        ("pink", Colour::Pink, "PK"),
        ("gold", Colour::Gold, "GD"),
        ("turquoise", Colour::Turquoise, "TQ"),
        ("silver", Colour::Silver, "SR"),
        ("green-yellow", Colour::GreenYellow, "GNYE"),
    ];

    fn row(self) -> Option<(&'static str, &'static str)> {
        Self::ALL.iter().find(|(_, colour, _)| *colour == self).map(|(word, _, code)| (*word, *code))
    }
}

/// The colour of a conductor: its base, and the stripe of one that has two.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Coloured {
    /// The base.
    pub base: Colour,
    /// The stripe.
    pub stripe: Option<Colour>,
}

impl Coloured {
    fn parts(self) -> impl Iterator<Item = (&'static str, &'static str)> {
        [Some(self.base), self.stripe].into_iter().flatten().filter_map(Colour::row)
    }

    /// As the source writes it: `red`, `red/white`.
    pub fn word(self) -> String {
        self.parts().map(|(word, _)| word).collect::<Vec<_>>().join("/")
    }

    /// The letter code: `RD`, `RDWH`.
    pub fn code(self) -> String {
        self.parts().map(|(_, code)| code).collect()
    }
}

/// What a file says of colours: a conductor that carries this has this colour.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ColourRule {
    /// The colour.
    pub colour: Coloured,
    /// What a conductor of it carries: `positive`.
    pub carries: String,
    /// Where it is said.
    pub span: Span,
}

/// A conductor of a circuit.
#[derive(Debug, Clone, PartialEq)]
pub struct Conductor {
    /// Its colour; `None` where nobody says.
    pub colour: Option<Coloured>,
    /// What it carries, in one word of the writer's: `positive`.
    pub carries: Option<String>,
    /// The words.
    pub title: Option<String>,
    /// The end that is named first.
    pub from: WireEnd,
    /// The other end.
    pub to: WireEnd,
    /// Its own length; see [`Circuit::length_of`].
    pub length: Option<Quantity>,
    /// Its own gauge or area; see [`Circuit::size_of`].
    pub size: Option<Quantity>,
    /// What a library says of its own size.
    pub size_row: Option<WireSize>,
    /// What is marked on it.
    pub label: Option<String>,
    /// Where its size stands.
    pub size_span: Option<Span>,
    /// The line.
    pub span: Span,
}

impl Conductor {
    /// Its colour as messages call it; `None` where nobody says.
    pub fn colour_word(&self) -> Option<String> {
        self.colour.map(Coloured::word)
    }

    /// Its two ends.
    pub fn ends(&self) -> [&WireEnd; 2] {
        [&self.from, &self.to]
    }

    /// Whether it ends at a point.
    pub fn reaches(&self, point: PointId) -> bool {
        self.ends().iter().any(|end| end.point == point)
    }
}

/// An end of a conductor.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct WireEnd {
    /// The point.
    pub point: PointId,
    /// The pin of a connector, from 1.
    pub pin: Option<u32>,
    /// Where.
    pub span: Span,
}

/// What is stated of a connector at a point.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Connector {
    /// How many pins it has.
    pub pins: Option<u32>,
    /// What its contacts are.
    pub gender: Option<Gender>,
    /// The point whose connector goes into it, pin 1 to pin 1; and where that is said.
    pub mates: Option<(PointId, Span)>,
}

/// What the contacts of a connector are.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Gender {
    /// Pins.
    Male,
    /// Sockets.
    Female,
}

impl Procedure {
    /// What a conductor carries: as it says, or else as the file says of its colour, where the file says one thing of it.
    pub fn carried_by<'a>(&'a self, conductor: &'a Conductor) -> Option<&'a str> {
        let mut of_colour = self.colours.iter().filter(|rule| Some(rule.colour) == conductor.colour);
        let only = of_colour.next().filter(|_| of_colour.next().is_none());
        conductor.carries.as_deref().or(only.map(|rule| rule.carries.as_str()))
    }
}

impl Circuit {
    /// The gauge or area of a conductor: its own, or else the one of the circuit's wire.
    pub fn size_of<'a>(&'a self, conductor: &'a Conductor) -> Option<&'a Quantity> {
        conductor.size.as_ref().or(self.wire.as_ref())
    }

    /// The length of a conductor: its own. In a circuit of two points every conductor goes the whole way, and has the
    /// length of the run where none of its own is stated.
    pub fn length_of<'a>(&'a self, conductor: &'a Conductor) -> Option<&'a Quantity> {
        let whole = conductor.from.point != conductor.to.point && self.points.len() == 2;
        conductor.length.as_ref().or(self.run.as_ref().filter(|_| whole))
    }

    /// How many ends of conductors are at a point: each has a terminal of its own. One where no conductors are listed.
    pub fn ends_at(&self, point: PointId) -> u32 {
        let ends = self.conductors.iter().flat_map(Conductor::ends).filter(|end| end.point == point).count();
        u32::try_from(ends).unwrap_or(u32::MAX).max(1)
    }

    /// Whether the circuit's own wire ends at a point. It does not where all conductors that end there have sizes of their own.
    pub fn own_wire_ends_at(&self, point: PointId) -> bool {
        let mut there = self.conductors.iter().filter(|conductor| conductor.reaches(point)).peekable();
        there.peek().is_none() || there.any(|conductor| conductor.size.is_none())
    }
}
