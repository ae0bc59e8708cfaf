//! Which name means what.
//!
//! Names stand on three levels: those of the file itself, of the project's libraries, of the standard library. A name
//! means the nearest thing of that name, seen from where it is written: a procedure's own thing *hides* the library's, and
//! what a library says of its own things stays said of them. So a library may grow without changing what a procedure
//! means. Sizes and grades (`M8`, `8.8`) have tables of their own in `standards`, because only the form of a fastener
//! asks for them.

use std::collections::{BTreeMap, BTreeSet};

use super::each::Shared;
use super::expects::Expects;
use crate::diagnostics::{Code, Confidence, Finding, suggest};
use crate::model::{
    ActionId, ChoiceId, ChoiceKind, CircuitId, EachPlace, FactId, FigureId, HazardId, JointId, LimitId, NumberId,
    NumberKind, PartId, ProtectionId, StateId, StepId, ToolId,
};
use crate::parse::tree::{self, Name};
use crate::source::{FileId, Span};

/// How near to the writer a name is declared, nearest first.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Debug)]
pub(super) enum Level {
    /// What a section of a library expects, by the section's number.
    Expected(usize),
    /// In the file that is compiled.
    Own,
    /// In a library of the project.
    Project,
    /// In the standard library.
    Standard,
}

/// Which of two things of one name: a joint may be called as a part is, since the line tells which is meant.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Debug)]
pub(super) enum Twin {
    /// The only thing of that name, or the part.
    First,
    /// The joint beside it.
    Joint,
}

/// A declared name: its text, the level that declares it, and which of two.
pub(super) type Handle<'t> = (&'t str, Level, Twin);

/// What a name was declared as.
#[derive(Clone, Copy)]
pub(super) enum Declared<'t> {
    Choice(&'t tree::Choice, ChoiceKind),
    Number(&'t tree::NumberInput, NumberKind),
    Fact(&'t tree::Measure),
    Limit(&'t tree::Limit),
    Part(&'t tree::Part),
    Terminal(&'t tree::Row),
    Tool(&'t tree::Declared<tree::ToolLine>),
    Protection(Option<&'t tree::Text>),
    Hazard(&'t tree::Declared<tree::HazardLine>),
    Action(&'t tree::Declared<tree::ActionLine>),
    Joint(&'t tree::Declared<tree::JointLine>),
    Circuit(&'t tree::Declared<tree::CircuitLine>),
    State(&'t tree::State),
    Figure(&'t tree::Figure),
    /// The places that things can be at.
    Each,
    /// One of it for each place.
    Shared(&'t Shared),
    Section,
    Step,
    /// What a section of a library expects, where nothing says which thing it is.
    Expected(Expects),
}

/// The row of the model that a name has become.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(super) enum Target {
    Choice(ChoiceId),
    Number(NumberId),
    Fact(FactId),
    Limit(LimitId),
    Part(PartId),
    Tool(ToolId),
    Protection(ProtectionId),
    Hazard(HazardId),
    Action(ActionId),
    Joint(JointId),
    Circuit(CircuitId),
    State(StateId),
    Figure(FigureId),
    Step(StepId),
}

impl Declared<'_> {
    pub fn is_joint(&self) -> bool {
        matches!(self, Declared::Joint(_) | Declared::Expected(Expects::Joint))
    }

    /// A joint, or one for each of several places.
    fn is_of_joints(&self) -> bool {
        self.is_joint() || matches!(self, Declared::Shared(shared) if shared.kind == "a joint")
    }

    pub fn is_part(&self) -> bool {
        matches!(self, Declared::Part(_) | Declared::Expected(Expects::Part))
    }

    /// The kind in plain words, with its article.
    pub fn kind(&self) -> &'static str {
        match self {
            Declared::Choice(_, ChoiceKind::Option) => "an option",
            Declared::Choice(_, ChoiceKind::Observe) => "an observation",
            Declared::Choice(_, ChoiceKind::Result) => "a result",
            Declared::Number(_, NumberKind::Given) => "a given",
            Declared::Number(_, NumberKind::Measure) => "a measure",
            Declared::Fact(..) => "a fact",
            Declared::Limit(_) => "a limit",
            Declared::Part(..) => "a part",
            Declared::Terminal(..) => "a terminal",
            Declared::Tool(..) => "a tool",
            Declared::Protection(..) => "protective equipment",
            Declared::Hazard(..) => "a hazard",
            Declared::Action(..) => "an action",
            Declared::Joint(..) => "a joint",
            Declared::Circuit(..) => "a circuit",
            Declared::State(..) => "a state",
            Declared::Figure(..) => "a figure",
            Declared::Each => "a group of places",
            Declared::Shared(shared) => shared.kind,
            Declared::Section => "a section",
            Declared::Step => "a step",
            Declared::Expected(kind) => kind.words(),
        }
    }
}

/// A name without what readers miss: hyphens and capitals.
fn reduced(name: &str) -> String {
    let mut reduced = name.replace('-', "");
    if reduced.is_ascii() {
        reduced.make_ascii_lowercase();
        return reduced;
    }
    reduced.chars().flat_map(char::to_lowercase).collect()
}

/// A declared name.
pub(super) struct Entry<'t> {
    pub declared: Declared<'t>,
    pub name: &'t Name,
    /// The whole statement.
    pub span: Span,
    /// Where it is declared.
    pub level: Level,
    /// Whether a `use` brings it; otherwise it only says what to write.
    pub named: bool,
    /// Its row, once it has one.
    pub target: Option<Target>,
    /// Whether the procedure refers to it.
    pub used: bool,
}

/// All names.
#[derive(Default)]
pub(super) struct Scope<'t> {
    /// An entry apart from its map: a map takes room for eleven, and most names mean one thing.
    entries: BTreeMap<&'t str, BTreeMap<(Level, Twin), Box<Entry<'t>>>>,
    /// The places of each group, in their order.
    places: &'t [EachPlace],
    /// The level of each file but the root.
    levels: BTreeMap<FileId, Level>,
    /// What the procedure gives to each section of a library that it brings in, by the name that the section has for it.
    given: BTreeMap<usize, BTreeMap<&'t str, Handle<'t>>>,
    /// Names of the root file in order of declaration.
    pub own: Vec<Handle<'t>>,
    /// Names of the root file by what a hasty reader sees of them, to find two that differ only in case or hyphens.
    reduced: BTreeMap<String, BTreeSet<&'t str>>,
}

impl<'t> Scope<'t> {
    /// A scope without names, for a procedure with these places.
    pub fn of_places(places: &'t [EachPlace]) -> Self {
        Scope { places, ..Scope::default() }
    }

    /// Says on which level the names of a file stand.
    pub fn place(&mut self, file: FileId, level: Level) {
        self.levels.insert(file, level);
    }

    /// The level of a file.
    pub fn level(&self, file: FileId) -> Level {
        // A section that was brought in is the procedure's.
        if file.section().is_some() {
            return Level::Own;
        }
        self.declared_on(file)
    }

    /// The level of what a file declares.
    fn declared_on(&self, file: FileId) -> Level {
        self.levels.get(&file.whole()).copied().unwrap_or(Level::Own)
    }

    /// In this section of a library, a name means that thing of the procedure.
    pub fn give(&mut self, section: usize, name: &'t str, thing: Handle<'t>) {
        self.given.entry(section).or_default().insert(name, thing);
    }

    /// In this section of a library, a name means something of this kind, and nothing says what.
    pub fn expect(&mut self, section: usize, name: &'t Name, kind: Expects) {
        let level = Level::Expected(section);
        let declared = Declared::Expected(kind);
        let entry = Entry { declared, name, span: name.span, level, named: true, target: None, used: false };
        self.entries.entry(&name.text).or_default().entry((level, Twin::First)).or_insert_with(|| Box::new(entry));
    }

    pub fn is_expected_and_used(&self, section: usize, name: &str) -> bool {
        self.entry((name, Level::Expected(section), Twin::First)).is_none_or(|entry| entry.used)
    }

    /// Adds a name; says so where it is taken, and where it hides or is hidden.
    pub fn declare(&mut self, entry: Entry<'t>) -> Option<Finding> {
        let (name, level) = (entry.name, entry.level);
        let text = name.text.as_str();
        let beside = self.beside(text, level, &entry.declared);
        if let Some(first) = self.entry((text, level, Twin::First)).filter(|_| beside.is_none()) {
            return Some(
                Finding::new(Code::FW0202, format!("`{text}` is declared twice"), name.span, "declared again here")
                    .also(first.name.span, format!("first declared here, as {}", first.declared.kind()))
                    .because("A name must mean one thing, or two readers will lay out two different things.")
                    .repair(rename(name, first.name)),
            );
        }
        // Two of the file itself; one that a library has is told only where it is used.
        let twin = if level == Level::Own { self.alike(text) } else { None };
        let finding = match twin.and_then(|twin| self.entry((twin, Level::Own, Twin::First))) {
            Some(twin) => Some(differ_little(name, twin.name)),
            None => {
                let hides_it = entry.named && level != Level::Own;
                self.entry((text, Level::Own, Twin::First)).filter(|_| hides_it).map(|own| hides(own, &entry))
            }
        };
        let levels = self.entries.entry(text).or_default();
        let twin = beside.unwrap_or(Twin::First);
        if let Some(joint) = levels.remove(&(level, twin)) {
            // The part takes its place.
            levels.insert((level, Twin::Joint), joint);
            self.own.iter_mut().filter(|own| **own == (text, level, twin)).for_each(|own| own.2 = Twin::Joint);
        }
        levels.insert((level, twin), Box::new(entry));
        if level == Level::Own {
            self.own.push((text, level, twin));
        }
        finding
    }

    /// Keeps a name of the file itself; gives another of them that a hasty reader takes for it.
    fn alike(&mut self, text: &'t str) -> Option<&'t str> {
        let alike = self.reduced.entry(reduced(text)).or_default();
        let other = alike.iter().find(|other| **other != text).copied();
        alike.insert(text);
        other
    }

    /// Where a thing stands whose name is taken: a joint stands beside a part, and a part in the place of a joint.
    fn beside(&self, text: &str, level: Level, declared: &Declared<'_>) -> Option<Twin> {
        let first = &self.entry((text, level, Twin::First))?.declared;
        let is_free = self.entry((text, level, Twin::Joint)).is_none();
        match (first.is_part(), declared.is_part()) {
            (true, false) if is_free && declared.is_of_joints() => Some(Twin::Joint),
            (false, true) if is_free && first.is_of_joints() => Some(Twin::First),
            _ => None,
        }
    }

    /// The part and the joint that a name may mean where it is written in the file `at`.
    pub fn part_or_joint(&self, text: &str, at: FileId) -> Option<(Handle<'t>, Handle<'t>)> {
        let is_given = |section: usize| self.given.get(&section).is_some_and(|given| given.contains_key(text));
        if at.section().is_some_and(is_given) {
            return None;
        }
        let is_part = |handle: &Handle<'t>| self.entry(*handle).is_some_and(|entry| entry.declared.is_part());
        let nearest = self.see(text, at)?;
        if is_part(&nearest) {
            let joint = (nearest.0, nearest.1, Twin::Joint);
            return self.entry(joint).map(|_| (nearest, joint));
        }
        // The joint of this place beside a part of everywhere.
        let is_here = self.entry(nearest).is_some_and(|entry| entry.declared.is_joint()) && nearest.0 != text;
        let part = self.see_from(text, at).filter(|part| is_here && is_part(part))?;
        Some((part, nearest))
    }

    /// FW0205 for names of the file and of a library that the file uses both: only then can one be taken for the other.
    pub fn alike_and_used(&self) -> Vec<Finding> {
        let of_library = |(_, level, twin): Handle<'t>| level > Level::Own && twin == Twin::First;
        let used = self.iter().filter(|(handle, entry)| of_library(*handle) && entry.used);
        let mut others: BTreeMap<String, Vec<&Entry<'t>>> = BTreeMap::new();
        for (_, entry) in used {
            others.entry(reduced(&entry.name.text)).or_default().push(entry);
        }
        let mut findings = Vec::new();
        for (alike, others) in &others {
            let own = self.reduced.get(alike).and_then(|own| own.first());
            let Some(own) = own.and_then(|own| self.entry((own, Level::Own, Twin::First))) else { continue };
            let other = others.iter().find(|entry| entry.name.text != own.name.text);
            findings.extend(other.map(|other| differ_little(own.name, other.name)));
        }
        findings
    }

    /// What a name means where it is written in the file `at`: what that file can see, the nearest first. Libraries see
    /// everything of their own level; other files see what a `use` brings. In a copy for a place, what is there at that place
    /// is the nearest of all.
    pub fn see(&self, text: &str, at: FileId) -> Option<Handle<'t>> {
        let nearest = self.see_from(text, at);
        let Some(place) = at.place() else { return nearest };
        let (text, level) = match nearest {
            // What a section is given has the procedure's name.
            Some((text, level, _)) => (text, Some(level)),
            None => (text, None),
        };
        self.at_place(text, level, at, place).or(nearest)
    }

    /// What is there at a place of what a name means; what is nearer hides it.
    fn at_place(&self, text: &str, nearest: Option<Level>, at: FileId, place: usize) -> Option<Handle<'t>> {
        let own = format!("{text} of {}", self.places.get(place)?.id);
        let (own, levels) = self.entries.get_key_value(own.as_str())?;
        let is_here = |entry: &Entry<'t>| {
            let file = entry.name.span.file;
            let is_seen = at.section().is_none() || file.section() == at.section() || nearest == Some(entry.level);
            file.place() == Some(place) && is_seen
        };
        let here = levels.iter().find(|((_, twin), entry)| *twin == Twin::First && is_here(entry));
        let (level, twin) = here.map(|(key, _)| *key)?;
        nearest.is_none_or(|nearest| level <= nearest).then_some((*own, level, twin))
    }

    /// The same apart from what is there at a place.
    fn see_from(&self, text: &str, at: FileId) -> Option<Handle<'t>> {
        if let Some(section) = at.section() {
            return self.see_in_section(text, at, section);
        }
        let from = self.level(at);
        let order: &[Level] = match from {
            Level::Own | Level::Expected(_) => &[Level::Own, Level::Project, Level::Standard],
            Level::Project => &[Level::Project, Level::Standard, Level::Own],
            Level::Standard => &[Level::Standard],
        };
        let (text, entries) = self.entries.get_key_value(text)?;
        let seen = |level: &&Level| {
            entries.get(&(**level, Twin::First)).is_some_and(|entry| entry.named || from == Level::Standard)
        };
        order.iter().find(seen).map(|level| (*text, *level, Twin::First))
    }

    /// The same in a section of a library: what it is given or expects, its own steps, and what the library sees. What else the
    /// procedure declares is none of its business.
    fn see_in_section(&self, text: &str, at: FileId, section: usize) -> Option<Handle<'t>> {
        if let Some(given) = self.given.get(&section).and_then(|given| given.get(text)) {
            return Some(*given);
        }
        let (text, entries) = self.entries.get_key_value(text)?;
        if entries.contains_key(&(Level::Expected(section), Twin::First)) {
            return Some((text, Level::Expected(section), Twin::First));
        }
        if entries.get(&(Level::Own, Twin::First)).is_some_and(|entry| entry.name.span.file == at) {
            return Some((text, Level::Own, Twin::First));
        }
        let order: &[Level] = match self.declared_on(at) {
            Level::Own | Level::Expected(_) => &[Level::Own, Level::Project, Level::Standard],
            Level::Project => &[Level::Project, Level::Standard],
            Level::Standard => &[Level::Standard],
        };
        // The steps of another section are not there for this one.
        let is_the_librarys = |entry: &Entry<'t>| entry.named && entry.name.span.file.section().is_none();
        let seen = |level: &&Level| entries.get(&(**level, Twin::First)).is_some_and(|entry| is_the_librarys(entry));
        order.iter().find(seen).map(|level| (*text, *level, Twin::First))
    }

    /// What the name means where it stands.
    pub fn get(&self, name: &Name) -> Option<&Entry<'t>> {
        self.entry(self.see(&name.text, name.span.file)?)
    }

    pub fn entry(&self, (text, level, twin): Handle<'_>) -> Option<&Entry<'t>> {
        self.entries.get(text)?.get(&(level, twin)).map(Box::as_ref)
    }

    fn entry_mut(&mut self, (text, level, twin): Handle<'t>) -> Option<&mut Entry<'t>> {
        self.entries.get_mut(text)?.get_mut(&(level, twin)).map(Box::as_mut)
    }

    pub fn set_target(&mut self, handle: Handle<'t>, target: Target) {
        if let Some(entry) = self.entry_mut(handle) {
            entry.target = Some(target);
        }
    }

    pub fn mark_used(&mut self, handle: Handle<'t>) {
        if let Some(entry) = self.entry_mut(handle) {
            entry.used = true;
        }
    }

    pub fn iter(&self) -> impl Iterator<Item = (Handle<'t>, &Entry<'t>)> {
        let all = self.entries.iter().flat_map(|(text, levels)| levels.iter().map(move |entry| (*text, entry)));
        all.map(|(text, ((level, twin), entry))| ((text, *level, *twin), entry.as_ref()))
    }

    /// The nearest declared name of the wanted kind.
    pub fn nearest(&self, name: &str, wanted: Wanted) -> Option<&'t str> {
        let meant = self.iter().filter(|(_, entry)| entry.named && wanted.fits(&entry.declared));
        let candidates = meant.map(|((text, ..), _)| text);
        suggest::nearest(name, candidates)
    }

    /// The names of the wanted kind that are sorts of what a name says.
    pub fn sorts(&self, name: &str, wanted: Wanted) -> Vec<&'t str> {
        let meant = self.iter().filter(|(_, entry)| entry.named && wanted.fits(&entry.declared));
        suggest::sorts(name, meant.map(|((text, ..), _)| text))
    }

    /// The nearest, with how sure it is.
    pub fn nearest_sure(&self, name: &str, wanted: Wanted) -> Option<(&'t str, Confidence)> {
        let near = self.nearest(name, wanted)?;
        let meant = self.iter().filter(|(_, entry)| entry.named && wanted.fits(&entry.declared));
        Some((near, suggest::how_sure(name, near, meant.map(|((text, ..), _)| text))))
    }
}

fn rename(again: &Name, first: &Name) -> &'static str {
    let (again, first) = (again.span.file.section(), first.span.file.section());
    if again == first {
        return "Rename one of the two.";
    }
    if again.is_some() && first.is_some() {
        return "Rename one of the two in its library: no procedure can bring in both sections as they are.";
    }
    "Rename the one that stands in the procedure; the library's name is the same wherever the section is brought in."
}

/// FW0205.
fn differ_little(own: &Name, other: &Name) -> Finding {
    let message = format!("`{}` and `{}` differ only in case or hyphens", own.text, other.text);
    Finding::new(Code::FW0205, message, own.span, "easily read as the other")
        .also(other.span, "the other name")
        .because("A technician, and a writer in a hurry, will take one for the other.")
        .repair("Give this one a name of its own.")
}

/// FW0210.
fn hides(own: &Entry<'_>, hidden: &Entry<'_>) -> Finding {
    let text = &own.name.text;
    let (here, there) = (own.declared.kind(), hidden.declared.kind());
    Finding::new(
        Code::FW0210,
        format!("`{text}` means {here} of this file here; it hides {there} of a library"),
        own.name.span,
        "this one is meant",
    )
    .also(hidden.name.span, "hidden here")
    .because(
        "What this file says of the name, it says of its own. What the library says of it stays said of the library's.",
    )
    .repair("Take this declaration out if the library's is what you want. Otherwise leave it so, or give yours another name if you want both.")
}

/// What a place in the text asks for.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(super) enum Wanted {
    Part,
    Terminal,
    Tool,
    Protection,
    Hazard,
    Action,
    Joint,
    Circuit,
    State,
    Result,
    Reading,
    Input,
    Number,
    Recordable,
    Figure,
    /// What a picture may point at.
    Called,
    Anything,
}

impl Wanted {
    pub fn fits(self, declared: &Declared<'_>) -> bool {
        if let Declared::Shared(shared) = declared {
            // What it stands for, for a name that is nearly that: which one is asked for afterwards.
            let read = matches!(shared.kind, "an observation" | "a measure");
            let reads = matches!(self, Wanted::Reading | Wanted::Recordable | Wanted::Input | Wanted::Number);
            let decides = self == Wanted::Input && shared.kind == "a result";
            let seen = self == Wanted::Called && shared.kind != "a step";
            return seen || self == Wanted::Anything || self.words() == shared.kind || (read && reads) || decides;
        }
        if let Declared::Expected(kind) = declared {
            return self.fits_kind(*kind);
        }
        match self {
            Wanted::Part => matches!(declared, Declared::Part(_) | Declared::Terminal(_)),
            Wanted::Terminal => match declared {
                Declared::Terminal(_) => true,
                Declared::Part(part) => part.spec.as_ref().is_some_and(|spec| spec.kind.text == "terminal"),
                _ => false,
            },
            Wanted::Tool => matches!(declared, Declared::Tool(_)),
            Wanted::Protection => matches!(declared, Declared::Protection(_)),
            Wanted::Hazard => matches!(declared, Declared::Hazard(_)),
            Wanted::Action => matches!(declared, Declared::Action(_)),
            Wanted::Joint => matches!(declared, Declared::Joint(_)),
            Wanted::Circuit => matches!(declared, Declared::Circuit(_)),
            Wanted::State => matches!(declared, Declared::State(_)),
            Wanted::Result => matches!(declared, Declared::Choice(_, ChoiceKind::Result)),
            Wanted::Reading => {
                matches!(declared, Declared::Choice(_, ChoiceKind::Observe) | Declared::Number(_, NumberKind::Measure))
            }
            Wanted::Input => matches!(declared, Declared::Choice(..) | Declared::Number(..)),
            Wanted::Number => matches!(declared, Declared::Number(..) | Declared::Fact(_)),
            Wanted::Recordable => matches!(declared, Declared::Choice(_, ChoiceKind::Observe) | Declared::Number(..)),
            Wanted::Figure => matches!(declared, Declared::Figure(_)),
            Wanted::Called => matches!(
                declared,
                Declared::Part(_)
                    | Declared::Terminal(_)
                    | Declared::Tool(_)
                    | Declared::Protection(_)
                    | Declared::Joint(_)
                    | Declared::Circuit(_)
                    | Declared::State(_)
                    | Declared::Choice(..)
                    | Declared::Number(..)
            ),
            Wanted::Anything => true,
        }
    }

    /// The same of what a section expects, of which only the kind is known.
    fn fits_kind(self, kind: Expects) -> bool {
        use Expects::{Fact, Given, Measure, Observe, Option, Part, Result};
        match self {
            Wanted::Part | Wanted::Terminal => kind == Part,
            Wanted::Reading => matches!(kind, Observe | Measure),
            Wanted::Input => matches!(kind, Option | Observe | Result | Given | Measure),
            Wanted::Number => matches!(kind, Given | Measure | Fact),
            Wanted::Recordable => matches!(kind, Observe | Given | Measure),
            Wanted::Anything => true,
            _ => kind.words() == self.words(),
        }
    }

    /// In plain words, with its article.
    pub fn words(self) -> &'static str {
        match self {
            Wanted::Part => "a part",
            Wanted::Terminal => "a terminal",
            Wanted::Tool => "a tool",
            Wanted::Protection => "protective equipment",
            Wanted::Hazard => "a hazard",
            Wanted::Action => "an action",
            Wanted::Joint => "a joint",
            Wanted::Circuit => "a circuit",
            Wanted::State => "a state",
            Wanted::Result => "a result",
            Wanted::Reading => "an observation or a measure",
            Wanted::Input => "an option, given, observation, measure or result",
            Wanted::Number => "a given, a measure or a fact",
            Wanted::Recordable => "a reading",
            Wanted::Figure => "a figure",
            Wanted::Called => "a thing that can be seen or read",
            Wanted::Anything => "a name",
        }
    }
}
