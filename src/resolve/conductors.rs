//! The conductors of a circuit, the connectors at its points, and the colours that a file agrees on.

use super::Resolver;
use crate::diagnostics::{Code, Finding, suggest};
use crate::model::{
    Circuit, Colour, ColourRule, Coloured, Conductor, Connector, Gender, PointId, UnknownValue, WireEnd,
};
use crate::parse::tree::{self, CircuitLine, Name, Plug};
use crate::quantity::{Kind, Quantity};
use crate::source::Span;

/// More pins than this has no connector.
const MOST_PINS: u32 = 1_000;

impl<'t> Resolver<'t> {
    /// `colours red positive, black negative`
    pub(super) fn colours(&mut self, pairs: &[(Name, Name)]) {
        for (colour, carries) in pairs {
            let Some(made) = self.coloured(colour) else { continue };
            let rules = &self.procedure.colours;
            let same = |rule: &&ColourRule| rule.colour == made && rule.carries == carries.text;
            if let Some(first) = rules.iter().find(same).map(|rule| rule.span) {
                self.twice("this colour with what it carries", colour.span, Some(first));
                continue;
            }
            self.procedure.colours.push(ColourRule { colour: made, carries: carries.text.clone(), span: colour.span });
        }
    }

    fn twice(&mut self, what: &str, at: Span, first: Option<Span>) {
        let finding = Finding::new(Code::FW0113, format!("{what} is said twice"), at, "said again here");
        let finding = match first {
            Some(first) => finding.also(first, "said first here"),
            None => finding,
        };
        self.report(
            finding.because("Nobody could tell which of the two is meant.").repair("Keep the one that is right."),
        );
    }

    fn coloured(&mut self, written: &Name) -> Option<Coloured> {
        let (base, stripe) = match written.text.split_once('/') {
            Some((base, stripe)) => (base, Some(stripe)),
            None => (written.text.as_str(), None),
        };
        let base = self.colour(base, written.span)?;
        let stripe = match stripe {
            Some(word) => Some(self.colour(word, written.span)?),
            None => None,
        };
        Some(Coloured { base, stripe })
    }

    fn colour(&mut self, word: &str, at: Span) -> Option<Colour> {
        if let Some((_, colour, _)) = Colour::ALL.iter().find(|(known, ..)| *known == word) {
            return Some(*colour);
        }
        let words = Colour::ALL.iter().map(|(known, ..)| *known);
        let finding = Finding::new(Code::FW0208, format!("`{word}` is not a colour of a conductor"), at, "not known")
            .because("The wire list prints the letter code of IEC 60757 for each colour.");
        let all: Vec<String> = words.clone().map(|word| format!("`{word}`")).collect();
        let (last, others) = all.split_last()?;
        let finding = match suggest::nearest(word, words) {
            Some(near) => finding.repair(format!("Write `{near}`.")),
            None => finding.repair(format!(
                "Write {} or {last}; a conductor of two colours has its base first: `red/white`.",
                others.join(", ")
            )),
        };
        self.report(finding);
        None
    }

    /// What a plug says of itself. The point that it mates with is looked up when all points are known.
    pub(super) fn connector(&mut self, plug: &Plug) -> Connector {
        if let Some(again) = plug.twice {
            self.twice("something of this connector", again, None);
        }
        let gender = plug.gender.as_ref().map(|word| if word.text == "male" { Gender::Male } else { Gender::Female });
        Connector { pins: plug.pins.as_ref().and_then(|pins| self.pin(pins)), gender, mates: None }
    }

    /// A number of pins, or the number of one.
    fn pin(&mut self, written: &tree::Number) -> Option<u32> {
        let count = self.count(Some(written))?;
        if count > MOST_PINS {
            let message = format!("no connector has {count} pins");
            self.report(
                Finding::new(Code::FW0309, message, written.span, "too many").repair("Write its number of pins."),
            );
            return None;
        }
        Some(count)
    }

    /// What needs all points of a circuit: mates, and conductors.
    pub(super) fn wired(&mut self, row: &mut Circuit, lines: &[tree::Item<CircuitLine>]) {
        for item in lines {
            match &item.node {
                CircuitLine::Point { name, plug: Some(Plug { mates: Some(mate), .. }), .. } => {
                    let here = row.points.iter().find(|(_, point)| point.span == name.span).map(|(id, _)| id);
                    let other = self.point_of(row, mate);
                    if let (Some(here), Some(other)) = (here, other) {
                        row.points[here].connector.mates = Some((other, mate.span));
                    }
                }
                CircuitLine::Conductor(written) => {
                    let why = written.unknown.as_ref();
                    let unknown = why.and_then(|why| self.unknown_value(UnknownValue::COLOUR, why, item.span));
                    row.unknown.extend(unknown);
                    let made = self.conductor(row, written, item.span);
                    row.conductors.extend(made);
                }
                _ => {}
            }
        }
    }

    fn conductor(&mut self, row: &Circuit, written: &tree::Conductor, span: Span) -> Option<Conductor> {
        let colour = match &written.colour {
            Some(colour) => Some(self.coloured(colour)?),
            None => None,
        };
        let mut length: Option<(Quantity, Span)> = None;
        let mut size: Option<(Quantity, Span)> = None;
        for measure in &written.measures {
            let kinds = [Kind::Length, Kind::WireGauge, Kind::Area];
            let Some(quantity) = self.single_quantity(measure, &kinds) else { continue };
            let (what, place) =
                if quantity.kind() == Kind::Length { ("the length", &mut length) } else { ("the size", &mut size) };
            match place {
                Some((_, first)) => {
                    let first = *first;
                    self.twice(&format!("{what} of this conductor"), measure.span, Some(first));
                }
                None => *place = Some((quantity, measure.span)),
            }
        }
        if let [first, again, ..] = written.labels.as_slice() {
            self.twice("the label of this conductor", again.span, Some(first.span));
        }
        let mut ends = written.ends.iter().map(|end| self.wire_end(row, end)).collect::<Vec<_>>().into_iter();
        let (from, to) = (ends.next()??, ends.next()??);
        let size_row = size.and_then(|(size, at)| self.wire_size(&size, &row.metal, at));
        Some(Conductor {
            colour,
            carries: written.carries.as_ref().map(|word| word.text.clone()),
            title: written.title.as_ref().map(|title| title.value.clone()),
            from,
            to,
            length: length.map(|(length, _)| length),
            size: size.map(|(size, _)| size),
            size_row,
            label: written.labels.first().map(|label| label.value.clone()),
            size_span: size.map(|(_, at)| at),
            span,
        })
    }

    fn wire_end(&mut self, row: &Circuit, end: &tree::WireEnd) -> Option<WireEnd> {
        let point = self.point_of(row, &end.point)?;
        let pin = match &end.pin {
            Some(pin) => Some(self.pin(pin)?),
            None => None,
        };
        Some(WireEnd { point, pin, span: end.point.span })
    }

    /// A point of a circuit that is being read.
    pub(super) fn point_of(&mut self, row: &Circuit, name: &Name) -> Option<PointId> {
        if let Some((id, point)) = row.points.iter().find(|(_, point)| point.id == name.text) {
            self.note_use(name.span, point.span);
            return Some(id);
        }
        if self.is_excused(&name.text, || None) {
            return None;
        }
        let all: Vec<String> = row.points.rows().iter().map(|point| format!("`{}`", point.id)).collect();
        self.report(
            Finding::new(
                Code::FW0208,
                format!("the circuit `{}` has no point `{}`", row.name.id, name.text),
                name.span,
                "not one of its points",
            )
            .also(row.name.span, format!("its points are {}", all.join(", ")))
            .repair("Write one of its points, or list this one in the circuit."),
        );
        None
    }
}
