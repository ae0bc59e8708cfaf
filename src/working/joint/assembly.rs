//! What a fastening is made of: which part is the bolt, which are its nuts and washers.

use crate::model::{Counted, Fastener, FastenerKind, Grade, InsertNut, Joint, Part, PartId, Procedure, Thread};
use crate::quantity::Quantity;
use crate::source::Span;

/// The parts of one fastening, by what they do.
#[derive(Clone)]
pub struct Assembly<'p> {
    /// What carries the load: a bolt, screw or stud with a machine thread, or the stud that is there already.
    pub bolt: Option<Bolt<'p>>,
    /// What is turned has no machine thread: a tapping screw, whose torque depends on the sheet and the hole.
    pub tapping: bool,
    /// Nuts, in order of the text.
    pub nuts: Vec<Piece<'p>>,
    /// Washers, in order of the text.
    pub washers: Vec<Piece<'p>>,
}

/// What carries the load.
#[derive(Clone)]
pub struct Bolt<'p> {
    /// `bolt`, `screw` or `stud`.
    pub word: &'static str,
    /// Its thread.
    pub thread: &'p Thread,
    /// Its class or grade.
    pub grade: Option<&'p Grade>,
    /// Its length, where it has one of its own. A stud's length says nothing of what stands out.
    pub length: Option<Quantity>,
    /// Its title.
    pub title: String,
    /// Where the joint names it.
    pub span: Span,
    /// Whether it is a part of the joint rather than there already.
    pub is_part: bool,
}

/// A part of the fastening with its count.
#[derive(Clone)]
pub struct Piece<'p> {
    /// How many.
    pub count: u32,
    /// The part.
    pub part: &'p Part,
    /// Its form.
    pub fastener: &'p Fastener,
    /// Where the joint names it.
    pub span: Span,
}

impl<'p> Assembly<'p> {
    /// The parts of a joint, with the first of its bolts.
    pub fn of(procedure: &'p Procedure, joint: &'p Joint) -> Assembly<'p> {
        let (found, others) = Self::with_others(procedure, joint);
        match others.is_empty() {
            true => found,
            false => found.with_its_nuts(),
        }
    }

    /// The parts of a joint once for each bolt that it lists, in order of the text; each with the nuts that go onto it.
    pub fn each(procedure: &'p Procedure, joint: &'p Joint) -> Vec<Assembly<'p>> {
        let (found, others) = Self::with_others(procedure, joint);
        if others.is_empty() {
            return vec![found];
        }
        let more = others.into_iter().map(|bolt| Assembly { bolt: Some(bolt), ..found.clone() }.with_its_nuts());
        std::iter::once(found.clone().with_its_nuts()).chain(more).collect()
    }

    /// Without the nuts of another thread, where some have the bolt's.
    fn with_its_nuts(mut self) -> Assembly<'p> {
        let Some(bolt) = &self.bolt else { return self };
        let fits = |nut: &Piece<'_>| nut.fastener.thread.as_ref().is_some_and(|thread| thread.id == bolt.thread.id);
        if self.nuts.iter().any(fits) {
            self.nuts.retain(fits);
        }
        self
    }

    fn with_others(procedure: &'p Procedure, joint: &'p Joint) -> (Assembly<'p>, Vec<Bolt<'p>>) {
        let mut others = Vec::new();
        let mut found = Assembly { bolt: None, tapping: false, nuts: Vec::new(), washers: Vec::new() };
        for entry in &joint.each {
            let part = &procedure.parts[entry.what];
            if let Some(fastener) = &part.fastener {
                others.extend(found.add(entry, part, fastener));
            }
        }
        if let (None, Some(stud)) = (&found.bolt, &joint.onto) {
            let class = stud.grade.as_ref().map(|grade| format!(", {}", class_words(grade)));
            found.bolt = Some(Bolt {
                word: "stud",
                thread: &stud.thread,
                grade: stud.grade.as_ref(),
                length: None,
                title: format!("stud {}{}, there already", stud.thread.id, class.unwrap_or_default()),
                span: stud.span,
                is_part: false,
            });
        }
        (found, others)
    }

    /// Adds a part; gives it back where it is a further bolt.
    fn add(&mut self, entry: &Counted<PartId>, part: &'p Part, fastener: &'p Fastener) -> Option<Bolt<'p>> {
        let piece = Piece { count: entry.count, part, fastener, span: entry.span };
        match fastener.kind {
            FastenerKind::Nut => self.nuts.push(piece),
            FastenerKind::Washer => self.washers.push(piece),
            FastenerKind::Bolt | FastenerKind::Screw | FastenerKind::Stud => {
                let Some(thread) = &fastener.thread else {
                    self.tapping = true;
                    return None;
                };
                let is_stud = fastener.kind == FastenerKind::Stud;
                let bolt = Bolt {
                    word: match fastener.kind {
                        FastenerKind::Screw => "screw",
                        FastenerKind::Stud => "stud",
                        _ => "bolt",
                    },
                    thread,
                    grade: fastener.grade.as_ref(),
                    length: fastener.length.filter(|_| !is_stud),
                    title: part.name.title.clone(),
                    span: entry.span,
                    is_part: true,
                };
                if self.bolt.is_some() {
                    return Some(bolt);
                }
                self.bolt = Some(bolt);
            }
        }
        None
    }

    /// The thread of the fastening: the bolt's, else that of its nut.
    pub fn thread(&self) -> Option<&'p Thread> {
        let of_nut = self.nuts.iter().find_map(|nut| nut.fastener.thread.as_ref());
        self.bolt.as_ref().map(|bolt| bolt.thread).or(of_nut)
    }

    /// The first nut that has an insert, with what a library says of it.
    pub fn insert(&self) -> Option<(&Piece<'p>, Option<&'p InsertNut>)> {
        let nut = self.nuts.iter().find(|nut| nut.fastener.has_insert())?;
        Some((nut, nut.fastener.insert.as_ref()))
    }
}

/// `class 8.8`, or `grade 5` for the grades of inch bolts, which are plain whole numbers.
pub(super) fn class_words(grade: &Grade) -> String {
    let name = grade.id.trim_start_matches("nut-class-").trim_start_matches("nut-grade-");
    let is_inch = grade.id.starts_with("nut-grade-") || name.bytes().all(|byte| byte.is_ascii_digit());
    let word = if is_inch && !grade.id.starts_with("nut-class-") { "grade" } else { "class" };
    format!("{word} {name}")
}
