//! The standard form of a fastener: `bolt M8 x 30 mm, class 8.8, hex head`.

use super::Resolver;
use super::rows::hex_of;
use crate::diagnostics::{Code, Finding};
use crate::model::{Drive, Fastener, FastenerKind, Grade, Head, Thread};
use crate::parse::tree::{self, Name, Spec};
use crate::quantity::{Kind, Measure, Quantity, display};
use crate::source::Span;

/// The forms of a head that can be written, for repairs.
const HEADS: &str = "`hex head`, `socket head`, or a head with its drive: `pan head, cross recess PH2`, \
                     `countersunk head, hex socket 5 mm`, `pan head, hexalobular T30`, `pan head, slot 5.5 mm`";

impl Resolver<'_> {
    /// Lowers the form of a fastener.
    pub(super) fn fastener(&mut self, spec: &Spec) -> Option<Fastener> {
        let kind = match spec.kind.text.as_str() {
            "bolt" => FastenerKind::Bolt,
            "screw" => FastenerKind::Screw,
            "stud" => FastenerKind::Stud,
            "nut" => FastenerKind::Nut,
            "washer" => FastenerKind::Washer,
            other => {
                self.report(
                    Finding::new(
                        Code::FW0110,
                        format!("`{other}` is not a kind of fastener"),
                        spec.kind.span,
                        "not known",
                    )
                    .repair(
                        "Write `bolt`, `screw`, `stud`, `nut` or `washer`, or give the part a title in quotes instead.",
                    ),
                );
                return None;
            }
        };
        let (mut thread, mut tapping) = (None, None);
        match &spec.thread {
            Some(name) if kind == FastenerKind::Screw && self.is_tapping(name) => tapping = Some(self.tapping(name)?),
            Some(name) => thread = Some(self.thread(name)?),
            None => {}
        }
        let diameter = match &spec.diameter {
            Some(measure) => Some(self.single_quantity(measure, &[Kind::Length])?),
            None => None,
        };
        let length = match &spec.length {
            Some(measure) => Some(self.single_quantity(measure, &[Kind::Length])?),
            None => None,
        };
        let diameter = diameter.or(tapping.as_ref().map(|row| row.diameter));
        let mut fastener = Fastener {
            kind,
            thread,
            tapping,
            diameter,
            length,
            grade: None,
            head: None,
            washer: None,
            insert: None,
            words: Vec::new(),
        };
        for attribute in &spec.attributes {
            self.attribute(&mut fastener, attribute)?;
        }
        self.default_head(&mut fastener, spec.span)?;
        self.add_hardware(&mut fastener);
        Some(fastener)
    }

    fn attribute(&mut self, fastener: &mut Fastener, attribute: &Name) -> Option<()> {
        let text = attribute.text.as_str();
        let (first, rest) = text.split_once(' ').unwrap_or((text, ""));
        match (first, rest) {
            ("class" | "grade", grade) => {
                fastener.grade = Some(self.fastener_grade(fastener.kind, first, grade, attribute)?)
            }
            ("hex", "head") => {
                let mut sizes = bolt_sizes(fastener.thread.as_ref());
                sizes.extend(hex_of(fastener.tapping.as_ref()));
                fastener.head = Some(Head { drive: Drive::Hex, sizes, mark: None });
                fastener.words.push(text.to_owned());
            }
            ("socket", "head") => {
                let sizes = fastener.thread.as_ref().and_then(|thread| thread.hex_key).into_iter().collect();
                fastener.head = Some(Head { drive: Drive::HexSocket, sizes, mark: None });
                fastener.words.push(text.to_owned());
            }
            ("hex", flats) if flats.starts_with("head ") || flats.starts_with("socket ") => {
                let drive = if flats.starts_with("head ") { Drive::Hex } else { Drive::HexSocket };
                let size = flats.split_once(' ').map_or("", |(_, size)| size);
                let size = self.size_in(size, attribute.span)?;
                fastener.head = Some(Head { drive, sizes: vec![size], mark: None });
                fastener.words.push(text.to_owned());
            }
            ("slot", size) if !size.is_empty() => {
                let size = self.size_in(size, attribute.span)?;
                fastener.head = Some(Head { drive: Drive::Slot, sizes: vec![size], mark: None });
                fastener.words.push(text.to_owned());
            }
            ("cross", "recess") => self.usual_recess(fastener, Drive::CrossRecess, attribute)?,
            ("hexalobular", "" | "recess") => self.usual_recess(fastener, Drive::Hexalobular, attribute)?,
            ("cross", recess) if recess.starts_with("recess ") => {
                let mark = recess.trim_start_matches("recess ").to_owned();
                fastener.head = Some(Head { drive: Drive::CrossRecess, sizes: Vec::new(), mark: Some(mark) });
                fastener.words.push(text.to_owned());
            }
            ("hexalobular", mark) if !mark.is_empty() => {
                fastener.head =
                    Some(Head { drive: Drive::Hexalobular, sizes: Vec::new(), mark: Some(mark.to_owned()) });
                fastener.words.push(text.to_owned());
            }
            _ => fastener.words.push(text.to_owned()),
        }
        Some(())
    }

    fn size_in(&mut self, text: &str, at: Span) -> Option<Quantity> {
        let inner = Span { start: at.end.saturating_sub(u32::try_from(text.len()).unwrap_or(0)), ..at };
        match crate::parse::measure(text, inner) {
            Some(measure) => self.single_quantity(&measure, &[Kind::Length]),
            None => {
                self.report(
                    Finding::new(Code::FW0101, format!("`{text}` is not a size"), inner, "a length is meant here")
                        .repair("Write the size with its unit: `hex socket 5 mm`."),
                );
                None
            }
        }
    }

    fn fastener_grade(&mut self, kind: FastenerKind, word: &str, grade: &str, at: &Name) -> Option<Grade> {
        if kind == FastenerKind::Nut { self.grade(&format!("nut-{word}-{grade}"), at) } else { self.grade(grade, at) }
    }

    /// Nuts are hexagonal unless they say otherwise; bolts and screws must say their head.
    fn default_head(&mut self, fastener: &mut Fastener, span: Span) -> Option<()> {
        // A square neck holds the bolt in its hole; its round head takes no tool.
        let holds_itself = fastener.words.iter().any(|word| word == "square neck");
        if fastener.head.is_some() || holds_itself || fastener.kind == FastenerKind::Washer {
            return Some(());
        }
        match fastener.kind {
            FastenerKind::Nut | FastenerKind::Stud => {
                let sizes = nut_sizes(fastener.thread.as_ref());
                fastener.head = Some(Head { drive: Drive::Hex, sizes, mark: None });
                Some(())
            }
            _ => {
                self.report(
                    Finding::new(
                        Code::FW0114,
                        "this fastener does not say how it is turned",
                        span,
                        "its head is missing",
                    )
                    .because("Without the head, nobody can say which tool fits.")
                    .repair(format!("Add {HEADS}.")),
                );
                None
            }
        }
    }
}

fn bolt_sizes(thread: Option<&Thread>) -> Vec<Quantity> {
    thread.map(|thread| [thread.hex_bolt, thread.old_hex_bolt].into_iter().flatten().collect()).unwrap_or_default()
}

fn nut_sizes(thread: Option<&Thread>) -> Vec<Quantity> {
    thread.map(|thread| [thread.hex_nut, thread.old_hex_nut].into_iter().flatten().collect()).unwrap_or_default()
}

/// The title of a fastener that has none of its own: `Bolt M8 × 30 mm, class 8.8, hex head`.
pub(super) fn standard_title(spec: &Spec, fastener: &Fastener) -> String {
    let mut title = super::names::sentence_case(&spec.kind.text);
    if let Some(thread) = &fastener.thread {
        title.push(' ');
        title.push_str(&thread.id);
    }
    if let Some(tapping) = &fastener.tapping {
        title.push(' ');
        title.push_str(&tapping.id.replace("no-", "no. "));
    } else if let Some(diameter) = &fastener.diameter {
        title.push(' ');
        title.push_str(&own_units(diameter));
    }
    if let Some(length) = &fastener.length {
        title.push_str(" × ");
        title.push_str(&own_units(length));
    }
    for tree::Name { text, .. } in &spec.attributes {
        title.push_str(", ");
        title.push_str(text);
        let mark = fastener.head.as_ref().and_then(|head| head.mark.as_ref());
        if let Some(mark) =
            mark.filter(|_| matches!(text.as_str(), "cross recess" | "hexalobular" | "hexalobular recess"))
        {
            title.push(' ');
            title.push_str(mark);
        }
    }
    title
}

/// A size as its standard writes it, in its own unit only.
fn own_units(quantity: &Quantity) -> String {
    use crate::quantity::{System, UnitPreference};
    let first = quantity.unit.system().unwrap_or(System::Metric);
    display::measure(&Measure::Exact(*quantity), UnitPreference { first, second: None })
}
