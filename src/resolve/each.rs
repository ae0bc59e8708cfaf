//! What is said once for several places is made once for each: `joint foot for each corner` becomes a joint a corner, a
//! `for each` block its statements a corner. Whatever is proved, printed or recorded afterwards deals with ordinary things.
//!
//! A copy is the same text, read for a place: its spans say so ([`FileId::at_place`](crate::source::FileId)). That is how a
//! plain name inside a copy means this place's thing, and how a finding knows the place that it speaks of.

use std::collections::{BTreeMap, BTreeSet};

use crate::diagnostics::{Code, Finding, suggest};
use crate::model::EachPlace;
use crate::parse::tree::{self, Body, Choice, Decl, Flow, Item, Name, Record, Spans, StepLine};
use crate::source::{FileId, Span};

/// The most places of one group.
pub(super) const MOST_PLACES: usize = 100;
/// The most statements, names and numbers that all copies together may come to.
const MOST_COPIED: usize = 200_000;
/// The place of a block whose places a section of a library expects: in the library nobody knows them.
const NOT_KNOWN: usize = usize::MAX;

/// A file whose statements are made for each place.
pub(super) struct Text<'f> {
    pub id: FileId,
    pub tree: &'f mut tree::File,
    pub is_root: bool,
}

/// What a section of a library expects: its kind, and what the procedure calls it. `None` where the library is looked at by
/// itself.
pub(super) type Lent = BTreeMap<String, (String, Option<String>)>;

/// What is known before places are looked at.
#[derive(Default)]
pub(super) struct Around {
    /// What each section of a library expects, by its number.
    pub lent: Vec<Lent>,
    /// What the root declares: it hides what its libraries have for each place.
    pub own: BTreeSet<String>,
}

/// The places of a block.
enum Places {
    Known(usize),
    /// A section of a library expects them.
    Expected,
    Unknown,
}

/// A name that stands for one thing a place.
pub(super) struct Shared {
    pub name: Name,
    /// `a joint`
    pub kind: &'static str,
    /// By its number in [`Expansion::groups`].
    pub group: usize,
    pub span: Span,
}

/// A group of places.
pub(super) struct Group {
    pub name: Name,
    /// Numbers of its places in [`Expansion::places`].
    pub places: std::ops::Range<usize>,
    pub span: Span,
    pub used: bool,
}

/// What a file says of places.
#[derive(Default)]
pub(super) struct Expansion {
    pub places: Vec<EachPlace>,
    pub groups: Vec<Group>,
    pub shared: Vec<Shared>,
    /// `accept` lines before a `for each` block: what they hold is the whole block.
    pub accepts: Vec<(Vec<tree::Accept>, Span)>,
    pub findings: Vec<Finding>,
    /// How much was copied so far.
    copied: usize,
    /// Names of what was left out: nothing is said of their being unknown.
    left_out: Vec<Name>,
    around: Around,
    root: Option<FileId>,
    /// Groups that sections of a library expect and use, with the section's number.
    pub expected_and_used: BTreeSet<(usize, String)>,
    /// Where a group is named, and where it is declared.
    pub named: Vec<(Span, Span)>,
}

impl Expansion {
    /// The group and its places, as `front-left`, `front-right`.
    pub fn place_names(&self, group: usize) -> impl Iterator<Item = &str> {
        let places = self.groups.get(group).map_or(0..0, |group| group.places.clone());
        self.places.get(places).unwrap_or_default().iter().map(|place| place.id.as_str())
    }

    pub fn group_name(&self, group: usize) -> &str {
        self.groups.get(group).map_or("", |group| &group.name.text)
    }

    /// What stands for all places under this name, where it is written in the file `at`.
    pub fn shared(&self, name: &str, at: FileId) -> Option<&Shared> {
        let (name, at) = self.as_declared(name, at)?;
        let called = self.shared.iter().filter(|shared| shared.name.text == name);
        let seen = called.filter_map(|shared| Some((self.distance(shared.name.span.file, name, at)?, shared)));
        seen.min_by_key(|(far, _)| *far).map(|(_, shared)| shared)
    }

    /// The group of this name, where it is written in the file `at`.
    pub fn group_named(&self, name: &str, at: FileId) -> Option<usize> {
        let (name, at) = self.as_declared(name, at)?;
        let called = self.groups.iter().enumerate().filter(|(_, group)| group.name.text == name);
        let seen = called.filter_map(|(number, group)| Some((self.distance(group.name.span.file, name, at)?, number)));
        seen.min().map(|(_, number)| number)
    }

    /// A name as its declaration has it, and the file from which it is seen. `None` where a section of a library expects it and
    /// nobody says what it is.
    fn as_declared<'n>(&'n self, name: &'n str, at: FileId) -> Option<(&'n str, FileId)> {
        match self.lent(name, at) {
            Some((_, own)) => Some((own.as_deref()?, self.root?)),
            None => Some((name, at)),
        }
    }

    fn lent(&self, name: &str, at: FileId) -> Option<&(String, Option<String>)> {
        self.around.lent.get(at.section()?)?.get(name)
    }

    /// How far what a file declares is from a place in the text; `None` where it is not seen from there.
    fn distance(&self, declared: FileId, name: &str, at: FileId) -> Option<u8> {
        let is_own = |file: FileId| self.root.is_some_and(|root| root.number() == file.number());
        let is_same = declared.number() == at.number();
        match (declared.section(), at.section()) {
            (Some(there), Some(here)) => (there == here).then_some(0),
            // The procedure names steps of the sections that it brings in.
            (Some(_), None) => is_own(at).then_some(1),
            (None, Some(_)) if is_same => Some(1),
            (None, None) if is_same => Some(0),
            (None, Some(_)) => (!is_own(declared)).then_some(2),
            (None, None) => (!(is_own(declared) || is_own(at) && self.around.own.contains(name))).then_some(2),
        }
    }

    fn group(&mut self, name: &Name) -> Places {
        if let Some(at) = self.group_named(&name.text, name.span.file) {
            if let Some(group) = self.groups.get_mut(at) {
                group.used = true;
                self.named.push((name.span, group.name.span));
            }
            return Places::Known(at);
        }
        let section = name.span.file.section();
        match (section, self.lent(&name.text, name.span.file)) {
            (Some(section), Some((kind, None))) if kind == "each" => {
                self.expected_and_used.insert((section, name.text.clone()));
                return Places::Expected;
            }
            // What is given for it is told of where it is given.
            (Some(_), Some((kind, Some(_)))) if kind == "each" => return Places::Unknown,
            _ => {}
        }
        let finding = Finding::new(
            Code::FW0201,
            format!("nothing declares `{}`", name.text),
            name.span,
            "the name of an `each` is meant here",
        );
        let seen = self
            .groups
            .iter()
            .filter(|group| self.distance(group.name.span.file, &group.name.text, name.span.file).is_some());
        let known = seen.map(|group| group.name.text.as_str());
        self.findings.push(match suggest::nearest(&name.text, known) {
            Some(near) => finding.repair(format!("Write `for each {near}`, or declare `{}`.", name.text)),
            None if section.is_some() => finding.repair(format!(
                "Let the section expect it, `expects each {0}`; then each procedure says which places there are. Or declare \
                 them in the library: `each {0} \"Title\" {{ front-left \"front left\" … }}`.",
                name.text
            )),
            None => finding.repair(format!(
                "Declare its places at the top of the file: `each {} \"Title\" {{ front-left \"front left\" … }}`.",
                name.text
            )),
        });
        Places::Unknown
    }

    /// Copies something for each place of a group, the first place first.
    fn copies<T: Clone + Spans>(&mut self, one: &T, group: usize, at: Span) -> Vec<(usize, T)> {
        let places = self.groups.get(group).map_or(0..0, |group| group.places.clone());
        let mut size = 0_usize;
        one.clone().spans(&mut |_| size += 1);
        let before = self.copied;
        self.copied = self.copied.saturating_add(size.saturating_mul(places.len()));
        if self.copied > MOST_COPIED {
            if before <= MOST_COPIED {
                self.findings.push(too_much(at));
            }
            return Vec::new();
        }
        places.map(|place| (place, at_place(one, place))).collect()
    }
}

/// The same statement, read for a place.
fn at_place<T: Clone + Spans>(one: &T, place: usize) -> T {
    let mut copy = one.clone();
    copy.spans(&mut |span| span.file = span.file.at_place(place));
    copy
}

fn too_much(at: Span) -> Finding {
    Finding::new(Code::FW0108, "the copies for all places come to more than can be looked through", at, "too much here")
        .repair("Say it for fewer places, or with fewer lines.")
}

/// Makes copies of all that is said for several places, in a procedure and the sections that it brings in, and in libraries.
pub(super) fn expand(mut texts: Vec<Text<'_>>, around: Around) -> Expansion {
    let root = texts.iter().find(|text| text.is_root).map(|text| text.id);
    let mut made = Expansion { around, root, ..Expansion::default() };
    for item in texts.iter().flat_map(|text| &text.tree.items) {
        if let Decl::Each(choice) = &item.node {
            made.declare(choice, item.span);
        }
    }
    // First what is declared, so that the flow knows what stands for all places.
    for text in &mut texts {
        // Libraries are long, and few have places.
        if !text.tree.items.iter().any(|item| for_each(&item.node).is_some()) {
            continue;
        }
        let items = std::mem::take(&mut text.tree.items);
        text.tree.items = items.into_iter().flat_map(|item| made.declaration(item)).collect();
    }
    for text in texts.iter_mut().filter(|text| text.is_root) {
        for item in &mut text.tree.items {
            if let Decl::Section(section) = &mut item.node {
                let body = std::mem::take(&mut section.body);
                section.body = match &section.for_each {
                    Some(group) => made.block(group, body, None, item.span),
                    None => made.body(body, None),
                };
            }
        }
        text.tree.unread.append(&mut made.left_out);
    }
    made
}

/// The kind of a declaration, and its `for each`.
fn for_each(decl: &Decl) -> Option<(&'static str, &Name)> {
    match decl {
        Decl::Observe(choice) => Some(("an observation", choice.for_each.as_ref()?)),
        Decl::Result(choice) => Some(("a result", choice.for_each.as_ref()?)),
        Decl::Measure(number) => Some(("a measure", number.for_each.as_ref()?)),
        Decl::Joint(joint) => Some(("a joint", joint.for_each.as_ref()?)),
        Decl::Circuit(circuit) => Some(("a circuit", circuit.for_each.as_ref()?)),
        Decl::State(state) => Some(("a state", state.for_each.as_ref()?)),
        _ => None,
    }
}

/// The name of a declaration that may stand for all places.
fn name_of(decl: &mut Decl) -> Option<&mut Name> {
    match decl {
        Decl::Observe(choice) | Decl::Result(choice) => Some(&mut choice.name),
        Decl::Measure(number) => Some(&mut number.name),
        Decl::Joint(joint) => Some(&mut joint.name),
        Decl::Circuit(circuit) => Some(&mut circuit.name),
        Decl::State(state) => Some(&mut state.name),
        _ => None,
    }
}

/// Visits the places of such a declaration.
impl Spans for Decl {
    fn spans(&mut self, visit: &mut dyn FnMut(&mut Span)) {
        match self {
            Decl::Observe(choice) | Decl::Result(choice) => choice.spans(visit),
            Decl::Measure(number) => number.spans(visit),
            Decl::Joint(joint) => joint.spans(visit),
            Decl::Circuit(circuit) => circuit.spans(visit),
            Decl::State(state) => state.spans(visit),
            _ => {}
        }
    }
}

impl Expansion {
    fn declare(&mut self, choice: &Choice, span: Span) {
        let name = &choice.name;
        let is_same = |group: &&Group| group.name.text == name.text && group.name.span.file == name.span.file;
        if self.groups.iter().any(|group| is_same(&group)) {
            // Told where the names are collected.
            self.groups.push(Group { name: name.clone(), places: 0..0, span, used: true });
            return;
        }
        let mut values: Vec<&tree::Value> = Vec::new();
        for value in &choice.values {
            match values.iter().find(|first| first.name.text == value.name.text) {
                Some(first) => self.findings.push(
                    Finding::new(
                        Code::FW0202,
                        format!("the place `{}` is listed twice", value.name.text),
                        value.name.span,
                        "listed again",
                    )
                    .also(first.name.span, "first listed here")
                    .repair("Remove one of the two."),
                ),
                None => values.push(value),
            }
        }
        if values.len() > MOST_PLACES {
            let message = format!("`{}` has {} places", name.text, values.len());
            self.findings.push(
                Finding::new(Code::FW0108, message, name.span, format!("at most {MOST_PLACES}"))
                    .repair("Say it for fewer places."),
            );
            values.truncate(MOST_PLACES);
        }
        if values.len() < 2 {
            let have = if values.is_empty() { "no place" } else { "only one place" };
            self.findings.push(
                Finding::new(
                    Code::FW0114,
                    format!("`{}` has {have}", name.text),
                    name.span,
                    "at least two places are needed",
                )
                .repair("List the places in braces: `{ front-left \"front left\"  front-right \"front right\" }`."),
            );
        }
        let first = self.places.len();
        let title = choice.title.as_ref().map(|title| title.value.trim().to_owned()).filter(|title| !title.is_empty());
        let title = title.unwrap_or_else(|| name.text.replace('-', " "));
        for value in values {
            let label = value.label.as_ref().map(|label| label.value.trim().to_owned());
            self.places.push(EachPlace {
                group: name.text.clone(),
                group_title: title.clone(),
                id: value.name.text.clone(),
                label: label.filter(|label| !label.is_empty()).unwrap_or_else(|| value.name.text.replace('-', " ")),
            });
        }
        self.groups.push(Group { name: name.clone(), places: first..self.places.len(), span, used: false });
    }

    /// A declaration, or its copies.
    fn declaration(&mut self, mut item: Item<Decl>) -> Vec<Item<Decl>> {
        let Some((kind, group)) = for_each(&item.node).map(|(kind, name)| (kind, name.clone())) else {
            return vec![item];
        };
        let Some(name) = name_of(&mut item.node).map(|name| name.clone()) else { return vec![item] };
        let Places::Known(group) = self.group(&group) else {
            self.left_out.push(name);
            return Vec::new();
        };
        self.share(&name, kind, group, item.span);
        let copies = self.copies(&item, group, name.span);
        if copies.is_empty() {
            self.left_out.push(name);
        }
        copies
            .into_iter()
            .map(|(place, mut copy)| {
                if let Some(name) = name_of(&mut copy.node) {
                    self.name_at(name, place);
                }
                copy
            })
            .collect()
    }

    fn share(&mut self, name: &Name, kind: &'static str, group: usize, span: Span) {
        self.shared.push(Shared { name: name.clone(), kind, group, span });
    }

    /// `foot` becomes `foot of front-left`.
    fn name_at(&self, name: &mut Name, place: usize) {
        if let Some(place) = self.places.get(place) {
            name.text = format!("{} of {}", name.text, place.id);
        }
    }

    /// A body with its `for each` blocks written out, and lines that mean all places. `at` is the place that it is written
    /// for already.
    fn body(&mut self, body: Body, at: Option<usize>) -> Body {
        let mut made = Vec::with_capacity(body.len());
        for mut item in body {
            match item.node {
                Flow::ForEach { group, body } => {
                    self.accepts.push((item.accepts, item.span));
                    made.extend(self.block(&group, body, at, item.span));
                    continue;
                }
                Flow::Step(ref mut step) => step.lines = self.lines(std::mem::take(&mut step.lines), at),
                Flow::Check(ref mut check) => {
                    check.lines = self.lines(std::mem::take(&mut check.lines), at);
                    if let Some(repair) = &mut check.repair {
                        repair.body = self.body(std::mem::take(&mut repair.body), at);
                    }
                }
                Flow::Choose { ref mut arms, .. } => {
                    for arm in arms {
                        arm.body = self.body(std::mem::take(&mut arm.body), at);
                    }
                }
                Flow::When { ref mut then, ref mut otherwise, .. } => {
                    *then = self.body(std::mem::take(then), at);
                    *otherwise = otherwise.take().map(|body| self.body(body, at));
                }
                Flow::Set { ref result, .. } => {
                    if let Some(group) = self.means_all(result, at) {
                        made.extend(self.copies(&item, group, item.span).into_iter().map(|(_, copy)| copy));
                        continue;
                    }
                }
                Flow::Stop(_) | Flow::Handover(_) => {}
            }
            made.push(item);
        }
        made
    }

    /// The statements of a block for each place: all of the first place, then all of the next.
    fn block(&mut self, group: &Name, mut body: Body, at: Option<usize>, span: Span) -> Body {
        if at.is_some() {
            self.findings.push(
                Finding::new(Code::FW0110, "a `for each` block stands in another", group.span, "inside another here")
                    .because("Which of the two places a name means could be read in two ways.")
                    .repair("Write the inner block for its places one after the other, or declare one `each` with all of them."),
            );
            return Vec::new();
        }
        let group = match self.group(group) {
            Places::Known(group) => group,
            Places::Expected => return self.body(body, Some(NOT_KNOWN)),
            Places::Unknown => {
                self.share_steps(&mut body, None, span);
                return Vec::new();
            }
        };
        self.share_steps(&mut body, Some(group), span);
        let mut made = Vec::new();
        for (place, mut copy) in self.copies(&body, group, span) {
            self.name_steps(&mut copy, place);
            made.extend(self.body(copy, Some(place)));
        }
        made
    }

    fn share_steps(&mut self, body: &mut Body, group: Option<usize>, span: Span) {
        let mut names = Vec::new();
        each_name(body, &mut |name| names.push(name.clone()));
        for name in names {
            match group {
                Some(group) => self.share(&name, "a step", group, span),
                None => self.left_out.push(name),
            }
        }
    }

    fn name_steps(&self, body: &mut Body, place: usize) {
        each_name(body, &mut |name| self.name_at(name, place));
    }

    /// The group, where a name means one thing for each place of it and stands outside of its blocks.
    fn means_all(&self, name: &Name, at: Option<usize>) -> Option<usize> {
        let shared = self.shared(&name.text, name.span.file)?.group;
        let here = at.and_then(|place| self.groups.iter().position(|group| group.places.contains(&place)));
        (here != Some(shared)).then_some(shared)
    }

    /// Lines outside of a block that name what each place has: one line for each place.
    fn lines(&mut self, lines: Vec<Item<StepLine>>, at: Option<usize>) -> Vec<Item<StepLine>> {
        // A line inside a block of another group would need two places at once.
        if at.is_some() {
            return lines;
        }
        let mut made = Vec::with_capacity(lines.len());
        for mut item in lines {
            if let StepLine::Read(names) = &mut item.node {
                *names = self.all_of(std::mem::take(names));
            }
            match named(&item.node).and_then(|name| self.means_all(name, at)) {
                Some(group) => made.extend(self.copies(&item, group, item.span).into_iter().map(|(_, copy)| copy)),
                None => made.push(item),
            }
        }
        made
    }

    fn all_of(&mut self, names: Vec<Name>) -> Vec<Name> {
        let mut made = Vec::new();
        for name in names {
            match self.means_all(&name, None) {
                Some(group) => made.extend(self.copies(&name, group, name.span).into_iter().map(|(_, copy)| copy)),
                None => made.push(name),
            }
        }
        made
    }
}

/// The name of a line that may stand for a line a place.
fn named(line: &StepLine) -> Option<&Name> {
    match line {
        StepLine::Snug { joint, .. } | StepLine::Tighten { joint, .. } | StepLine::Loosen { joint, .. } => Some(joint),
        StepLine::Place(names) => match names.as_slice() {
            [only] => Some(only),
            _ => None,
        },
        StepLine::Remove { what, .. } | StepLine::Refit(what) => match what.as_slice() {
            [only] if only.is_bare() => Some(&only.name),
            _ => None,
        },
        StepLine::Connect { circuit, .. } | StepLine::Disconnect { circuit, .. } => Some(circuit),
        StepLine::Need { state, .. } | StepLine::Make { state, .. } => Some(state),
        StepLine::Set { result, .. } => Some(result),
        StepLine::Record(Record::Torque(name) | Record::Reading(name)) => Some(name),
        _ => None,
    }
}

/// Visits the names of the steps and checks of a body.
fn each_name(body: &mut Body, visit: &mut dyn FnMut(&mut Name)) {
    for item in body {
        match &mut item.node {
            Flow::Step(step) => visit(&mut step.name),
            Flow::Check(check) => {
                visit(&mut check.name);
                if let Some(repair) = &mut check.repair {
                    each_name(&mut repair.body, visit);
                }
            }
            Flow::Choose { arms, .. } => arms.iter_mut().for_each(|arm| each_name(&mut arm.body, visit)),
            Flow::When { then, otherwise, .. } => {
                each_name(then, visit);
                otherwise.iter_mut().for_each(|body| each_name(body, visit));
            }
            Flow::ForEach { body, .. } => each_name(body, visit),
            Flow::Set { .. } | Flow::Stop(_) | Flow::Handover(_) => {}
        }
    }
}
