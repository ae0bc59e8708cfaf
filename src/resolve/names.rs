//! Collecting names, looking them up, and titles.

use std::collections::BTreeSet;

use super::each::Shared;
use super::load::LoadedFile;
use super::scope::{Declared, Entry, Handle, Level, Target, Twin, Wanted};
use super::{Resolver, builtin};
use crate::diagnostics::{Change, Code, Confidence, Finding, MOST_OFFERED, Mend, suggest};
use crate::model::{AtEach, ChoiceKind, Language, Naming, NumberKind, Revision};
use crate::parse::limits;
use crate::parse::tree::{self, Decl, Flow, Name, Text};
use crate::quantity::{System, UnitPreference};
use crate::source::{FileId, Span};

/// Words that would make a sentence of the language ambiguous as names.
pub const RESERVED: &[&str] = &[
    "and",
    "or",
    "not",
    "unknown",
    "is",
    "when",
    "else",
    "otherwise",
    "at",
    "least",
    "most",
    "over",
    "below",
    "to",
    "with",
    "hold",
    "of",
];

impl<'t> Resolver<'t> {
    /// Collects the names of all files; the root's come first, so that a clash points at the library's.
    pub(super) fn collect(&mut self, files: &'t [LoadedFile]) {
        for file in files {
            self.scope.place(file.id, file.level);
            for item in &file.tree.items {
                self.collect_item(item, file);
            }
            self.collect_places(file);
        }
    }

    /// The names of groups of places, and of what each place has.
    fn collect_places(&mut self, file: &LoadedFile) {
        for group in self.expansion.groups.iter().filter(|group| group.name.span.file == file.id) {
            self.declare(&group.name, Declared::Each, group.span, file);
            if group.used {
                self.scope.mark_used((&group.name.text, file.level, Twin::First));
            }
        }
        // The steps of a section that is brought in are the procedure's.
        let is_here = |at: FileId| if at.section().is_some() { file.is_root } else { at == file.id };
        for shared in self.expansion.shared.iter().filter(|shared| is_here(shared.name.span.file)) {
            self.declare(&shared.name, Declared::Shared(shared), shared.span, file);
        }
    }

    fn collect_item(&mut self, item: &'t tree::Item<Decl>, file: &LoadedFile) {
        // A section of a library has the name that the procedure gives it; figures with names stand in procedures.
        let is_theirs = matches!(item.node, Decl::Section(_) | Decl::Figure(_)) && !file.is_root;
        if let Some((name, declared)) = declared_by(&item.node).filter(|_| !is_theirs) {
            self.declare(name, declared, item.span, file);
        }
        match &item.node {
            Decl::Section(section) if file.is_root => self.collect_steps(&section.body, file),
            Decl::Reference { .. }
            | Decl::Thread(_)
            | Decl::Grade(_)
            | Decl::Wire(_)
            | Decl::Washer(_)
            | Decl::InsertNut(_)
            | Decl::Screw(_)
            | Decl::Fuse(_)
            | Decl::Breaker(_) => {
                let found = self.standards.collect(&item.node, file.level);
                self.findings.extend(found);
            }
            _ => {}
        }
    }

    fn collect_steps(&mut self, body: &'t [tree::Item<Flow>], file: &LoadedFile) {
        for item in body {
            match &item.node {
                Flow::Step(step) => self.declare(&step.name, Declared::Step, item.span, file),
                Flow::Check(check) => {
                    self.declare(&check.name, Declared::Step, item.span, file);
                    if let Some(repair) = &check.repair {
                        self.collect_steps(&repair.body, file);
                    }
                }
                Flow::Choose { arms, .. } => arms.iter().for_each(|arm| self.collect_steps(&arm.body, file)),
                Flow::When { then, otherwise, .. } => {
                    self.collect_steps(then, file);
                    self.collect_steps(otherwise.as_deref().unwrap_or_default(), file);
                }
                Flow::ForEach { .. } | Flow::Set { .. } | Flow::Stop(_) | Flow::Handover(_) => {}
            }
        }
    }

    fn declare(&mut self, name: &'t Name, declared: Declared<'t>, span: Span, file: &LoadedFile) {
        self.refuse_word(name);
        let entry = Entry { declared, name, span, level: file.level, named: file.named, target: None, used: false };
        if let Some(finding) = self.scope.declare(entry) {
            self.report(finding);
        }
    }

    /// A word of the language is no name, of a thing or of a value.
    pub(super) fn refuse_word(&mut self, name: &Name) {
        if RESERVED.contains(&name.text.as_str()) {
            let message = format!("`{}` is a word of the language and can't be a name", name.text);
            self.report(
                Finding::new(Code::FW0209, message, name.span, "a word of the language")
                    .because("Lines with such a name could be read in two ways.")
                    .repair(format!("Add a word that says more, for example `{}-rail` or `first-{0}`.", name.text))
                    .mend(Mend::write(Confidence::Look, name.span, format!("first-{}", name.text))),
            );
        }
    }

    /// `revision`, `units`, `language`: said once for the whole file.
    pub(super) fn single(&mut self, decl: &Decl, span: Span) {
        match decl {
            Decl::Revision { mark, date } => {
                if !is_date(&date.text) {
                    let message = format!("`{}` is not a date", date.text);
                    self.report(
                        Finding::new(Code::FW0309, message, date.span, "not a date of the calendar")
                            .repair("Write year-month-day: `revision C 2026-11-02`."),
                    );
                }
                self.procedure.revision = Some(Revision { mark: mark.text.clone(), date: date.text.clone(), span });
            }
            Decl::Units(names) => self.units(names),
            Decl::Colours(pairs) => self.colours(pairs),
            Decl::Language(text) => self.language(text),
            _ => {}
        }
    }

    fn language(&mut self, text: &Text) {
        let tag = text.value.trim();
        if is_language_tag(tag) {
            self.procedure.language = Some(Language { tag: tag.to_owned(), span: text.span });
            return;
        }
        // That there is nothing was told where it was read.
        if tag.is_empty() {
            return;
        }
        self.report(
            Finding::new(Code::FW0208, format!("`{tag}` is not a language tag"), text.span, "not known")
                .because("Screen readers speak a manual, and browsers hyphenate it, by this tag (BCP 47, RFC 5646).")
                .repair("Write the tag of the language of the texts: `language \"en\"`, `language \"de\"`, `language \"pt-BR\"`."),
        );
    }

    fn units(&mut self, names: &[Name]) {
        let mut systems = Vec::new();
        for name in names {
            match name.text.as_str() {
                "metric" => systems.push(System::Metric),
                "inch" => systems.push(System::Inch),
                other => {
                    let message = format!("`{other}` is not a unit system");
                    self.report(
                        Finding::new(Code::FW0208, message, name.span, "not known").repair(
                            "Write `metric` or `inch`: the first is printed in the text, the second in brackets.",
                        ),
                    );
                }
            }
        }
        if let Some(first) = systems.first() {
            let second = systems.get(1).copied().filter(|second| second != first);
            self.procedure.units = UnitPreference { first: *first, second };
        }
    }

    /// The name and title of a thing. Without a title, the name's words make one.
    pub(super) fn naming(&self, name: &Name, title: Option<&Text>, from_library: bool) -> Naming {
        let title = title.map(|title| title.value.trim().to_owned()).filter(|title| !title.is_empty());
        let place = name.span.file.place().and_then(|at| Some((at, self.expansion.places.get(at)?)));
        let of = place.and_then(|(_, place)| name.text.strip_suffix(&format!(" of {}", place.id)));
        let title = title.unwrap_or_else(|| sentence_case(of.unwrap_or(&name.text)));
        let at = place.zip(of).map(|((place, _), of)| AtEach { of: of.to_owned(), title: title.clone(), place });
        Naming {
            id: self.id_of(name).replace(" of ", "."),
            title: at.as_ref().and(place).map_or(title.clone(), |(_, place)| place.titled(&title)),
            span: name.span,
            from_library,
            at,
        }
    }

    /// Looks a name up and gives its row; says so where there is none of the wanted kind.
    pub(super) fn find(&mut self, name: &Name, wanted: Wanted) -> Option<Target> {
        let handle = match (wanted, self.scope.part_or_joint(&name.text, name.span.file)) {
            (Wanted::Joint, Some((_, joint))) => Some(joint),
            (Wanted::Called | Wanted::Anything, Some((part, joint))) => {
                self.part_or_joint(&name.text, (part, joint), name.span, "");
                return None;
            }
            (_, Some((part, _))) => Some(part),
            _ => self.scope.see(&name.text, name.span.file),
        };
        let Some((handle, entry)) = handle.and_then(|handle| Some((handle, self.scope.entry(handle)?))) else {
            if let Some(finding) = self.no_such_place(&name.text, name.span) {
                self.report(finding);
            } else if !self.is_excused(&name.text, || self.scope.nearest(&name.text, wanted)) {
                let finding = self.unknown(name, wanted);
                self.report(finding);
            }
            return None;
        };
        if let Declared::Shared(shared) = entry.declared {
            let finding = self.which_place(shared, name.span);
            self.report(finding);
            return None;
        }
        if !wanted.fits(&entry.declared) {
            let finding = wrong_kind(name, wanted, entry);
            self.report(finding);
            return None;
        }
        let is_expected = matches!(entry.declared, Declared::Expected(_));
        let means = entry.name.span;
        self.note_use(name.span, means);
        if self.counting_uses && self.scope.level(name.span.file) == Level::Own {
            self.scope.mark_used(handle);
        }
        if is_expected {
            // Which thing it is, a procedure says.
            return None;
        }
        self.intern(handle)
    }

    /// FW0213: a part and a joint have this name, and nothing tells which is meant.
    pub(super) fn part_or_joint(&mut self, text: &str, both: (Handle<'t>, Handle<'t>), at: Span, repair: &str) {
        let mut finding = Finding::new(
            Code::FW0213,
            format!("`{text}` can mean the part or the joint here"),
            at,
            "which of the two?",
        );
        for (handle, what) in [(both.0, "the part"), (both.1, "the joint")] {
            let known = self.scope.entry(handle).map(|entry| entry.name.span);
            finding = known.into_iter().fold(finding, |finding, known| finding.also(known, what));
        }
        self.report(
            finding
                .because("A line such as `take` or `tighten` tells which is meant; this one would be read in two ways.")
                .repair(match repair {
                    "" => "Give one of the two a name of its own.".to_owned(),
                    repair => format!("{repair} Or give one of the two a name of its own."),
                }),
        );
    }

    /// FW0211 where one thing is meant and each place has one.
    pub(super) fn which_place(&self, shared: &Shared, at: Span) -> Finding {
        let (name, group) = (&shared.name.text, self.expansion.group_name(shared.group));
        let first = self.expansion.place_names(shared.group).next().unwrap_or_default();
        Finding::new(
            Code::FW0211,
            format!("there is a `{name}` for each {group}; this does not say which"),
            at,
            "which one?",
        )
        .also(shared.name.span, format!("{} for each {group}", shared.kind))
        .because("A line that names a joint, circuit, state or reading alone may mean all of them; here, one is meant.")
        .repair(format!("Write `{name} of {first}`, or write it inside a `for each {group}` block."))
        .mend(self.expansion.place_names(shared.group).take(MOST_OFFERED).map(|place| {
            let text = format!("{name} of {place}");
            Mend::look(format!("Write `{text}`"), Change::Word(at, name.clone(), text))
        }))
    }

    /// FW0211 where `of` names no place of the thing.
    pub(super) fn no_such_place(&self, text: &str, at: Span) -> Option<Finding> {
        let (name, place) = text.split_once(" of ")?;
        let Some(shared) = self.expansion.shared(name, at.file) else {
            let own = self.scope.see(name, at.file).and_then(|handle| self.scope.entry(handle))?;
            let finding = Finding::new(
                Code::FW0211,
                format!("`{name}` is not there for each of several places"),
                at,
                "no places",
            );
            return Some(
                finding
                    .also(own.name.span, "declared here")
                    .repair(format!("Write `{name}`, or declare it with `for each` and a group of places.")),
            );
        };
        let group = self.expansion.group_name(shared.group);
        let all: Vec<String> = self.expansion.place_names(shared.group).map(|place| format!("`{place}`")).collect();
        let near = suggest::nearest(place, self.expansion.place_names(shared.group));
        let finding =
            Finding::new(Code::FW0211, format!("no {group} is called `{place}`"), at, "not one of its places")
                .also(shared.name.span, format!("{} for each {group}: {}", shared.kind, all.join(", ")));
        Some(match near {
            Some(near) => finding
                .repair(format!("Write `{name} of {near}`."))
                .mend(Mend::look(format!("Write `{near}`"), Change::Word(at, place.to_owned(), near.to_owned()))),
            None => finding.repair(format!("Write one of its places after `of`: {}.", all.join(", "))),
        })
    }

    /// The nearest declared name of the wanted kind. Beyond the findings that are shown nobody reads it, and in a list of
    /// thousands it takes long to find.
    pub(super) fn near(&self, text: &str, wanted: Wanted) -> Option<&'t str> {
        if self.findings.len() < limits::FINDINGS { self.scope.nearest(text, wanted) } else { None }
    }

    /// FW0201 or FW0501.
    pub(super) fn unknown(&self, name: &Name, wanted: Wanted) -> Finding {
        let text = &name.text;
        let code = if wanted == Wanted::Tool { Code::FW0501 } else { Code::FW0201 };
        let message = if wanted == Wanted::Tool {
            format!("no list names the tool `{text}`")
        } else {
            format!("nothing declares `{text}`")
        };
        let finding = Finding::new(code, message, name.span, format!("{} is meant here", wanted.words()));
        let finding = if wanted == Wanted::Tool {
            finding.because("A tool that no list names is not laid out, and is missed under the vehicle.")
        } else {
            finding
        };
        if wanted == Wanted::Tool && text == "unknown" {
            return finding.repair(
                "Declare a tool whose title says what it must fit, as far as anybody knows, and name it: `tool gland-tool \"Tool that fits the gland\"`.",
            );
        }
        let home = if self.findings.len() < limits::FINDINGS { standard_home(text, wanted) } else { None };
        if let Some(library) = home {
            let line = format!("use {library}");
            return finding
                .repair(format!("It is in the standard library: add `{line}` at the top of the file."))
                .mend(Mend::look(format!("Add `{line}`"), Change::Declare(name.span.file, line)));
        }
        if name.span.file.section().is_some() {
            return finding.repair(self.how_to_expect(name, wanted));
        }
        match self.near(text, wanted).and_then(|_| self.scope.nearest_sure(text, wanted)) {
            Some((near, sure)) => finding
                .repair(format!("Write `{near}`, or declare `{text}`."))
                .mend(Mend::write(sure, name.span, near))
                .mend(declaration(name, wanted)),
            None => finding.repair(self.which_or_declare(text, wanted)).mend(declaration(name, wanted)),
        }
    }

    /// What to write for a name that nothing is near to: one of its sorts, or a declaration.
    fn which_or_declare(&self, text: &str, wanted: Wanted) -> String {
        let is_read = self.findings.len() < limits::FINDINGS;
        let sorts = if is_read { self.scope.sorts(text, wanted) } else { Vec::new() };
        let named: Vec<String> = sorts.iter().map(|sort| format!("`{sort}`")).collect();
        match named.len() {
            0 => how_to_declare(text, wanted),
            1 => format!("Write {}, or declare `{text}`.", named.concat()),
            _ => format!("Write which of them is meant: {}. Or declare `{text}`.", named.join(", ")),
        }
    }

    /// Gives the row of a declared name, making it where a library's thing is named for the first time.
    pub(super) fn intern(&mut self, handle: Handle<'t>) -> Option<Target> {
        let entry = self.scope.entry(handle)?;
        if entry.target.is_some() {
            return entry.target;
        }
        let (declared, library, span) = (entry.declared, entry.level != Level::Own, entry.span);
        let written = entry.name;
        if self.lowering.contains(&handle) {
            self.report(means_itself(written));
            return None;
        }
        self.lowering.push(handle);
        let target = self.lower(written, declared, library, span);
        self.lowering.pop();
        let target = target?;
        self.scope.set_target(handle, target);
        Some(target)
    }

    /// The id of a library's thing: its name, or one that no writer can write where the file's own thing has that name.
    pub(super) fn id_of(&self, name: &Name) -> String {
        let level = self.scope.level(name.span.file);
        let nearer = [Level::Own, Level::Project].into_iter().filter(|nearer| *nearer < level);
        let hidden = nearer.into_iter().any(|nearer| self.scope.entry((&name.text, nearer, Twin::First)).is_some());
        let of = if level == Level::Standard { "std" } else { "lib" };
        if hidden { format!("{of}.{}", name.text) } else { name.text.clone() }
    }
}

/// A condition under which something is there that asks for the thing itself.
fn means_itself(name: &Name) -> Finding {
    Finding::new(
        Code::FW0207,
        format!("whether there is `{}` would follow from itself", name.text),
        name.span,
        "its condition speaks of it",
    )
    .because("Nobody could tell whether it is there.")
    .repair("Write a condition on options.")
}

fn wrong_kind(name: &Name, wanted: Wanted, entry: &Entry<'_>) -> Finding {
    let is = entry.declared.kind();
    let message = format!("`{}` is {is}; {} is meant here", name.text, wanted.words());
    let told = if matches!(entry.declared, Declared::Expected(_)) { "expected here" } else { "declared here" };
    let finding = Finding::new(Code::FW0207, message, name.span, format!("this is {is}")).also(entry.name.span, told);
    match (wanted, &entry.declared) {
        (Wanted::Reading, Declared::Choice(_, ChoiceKind::Option) | Declared::Number(_, NumberKind::Given)) => finding
            .because("Options and givens are known before the job; nobody reads them under the vehicle.")
            .repair("Remove the line, or declare an `observe` or a `measure` for what is read on the job."),
        (Wanted::Input | Wanted::Number, Declared::State(_)) => finding
            .because(
                "What a state is at this point follows from the steps before; a condition on it would hide an order.",
            )
            .repair("Use `need` in the step, or put a condition on the option or reading that decides the state."),
        (Wanted::Part, Declared::Tool(_)) => finding
            .because("A tool goes back to its place after the job; a part stays on the vehicle.")
            .repair(format!("Write `use {}`, or name it after `with`.", name.text))
            .mend(Mend::look(
                format!("Write `use {}`", name.text),
                Change::Line(name.span, format!("use {}", name.text)),
            )),
        (Wanted::Tool, Declared::Part(_)) => finding
            .because("A part stays on the vehicle; a tool goes back to its place after the job.")
            .repair(format!("Write `take {}` in the step that fits it.", name.text))
            .mend(Mend::look(
                format!("Write `take 1 {}`", name.text),
                Change::Line(name.span, format!("take 1 {}", name.text)),
            )),
        (Wanted::Recordable, _) if name.text == "torque" => finding.repair(how_to_declare(&name.text, wanted)),
        _ => finding.repair(format!("Name {} here. {}", wanted.words(), how_to_declare("NAME", wanted))),
    }
}

/// The standard library that declares a name, for a repair.
fn standard_home(text: &str, wanted: Wanted) -> Option<&'static str> {
    let word = match wanted {
        Wanted::Tool => "tool",
        Wanted::Hazard => "hazard",
        Wanted::Protection => "protection",
        Wanted::Terminal => "terminal",
        Wanted::Part => "part",
        Wanted::Action => "action",
        _ => return None,
    };
    builtin::names().find(|library| {
        builtin::library(library).is_some_and(|source| {
            source.lines().any(|line| {
                let mut words = line.split_whitespace();
                words.next() == Some(word) && words.next() == Some(text)
            })
        })
    })
}

/// What a thing with a title alone is declared by.
fn declaration(name: &Name, wanted: Wanted) -> Option<Mend> {
    let word = match wanted {
        Wanted::Part => "part",
        Wanted::Tool => "tool",
        Wanted::Protection => "protection",
        _ => return None,
    };
    let is_name = name.text.bytes().all(|b| b.is_ascii_lowercase() || b.is_ascii_digit() || b == b'-');
    is_name.then(|| {
        let line = format!("{word} {} \"…\"", name.text);
        Mend::blanks(format!("Declare `{}`", name.text), Change::Declare(name.span.file, line))
    })
}

fn how_to_declare(text: &str, wanted: Wanted) -> String {
    let form = match wanted {
        Wanted::Part if text == "x" => return "A count has no `x`: write `2 PART`.".to_owned(),
        Wanted::Part => format!("part {text} \"Title\""),
        Wanted::Terminal => format!("terminal {text} \"Title\" wire 16 AWG to 14 AWG, stud M6"),
        Wanted::Tool => format!("tool {text} \"Title\""),
        Wanted::Protection => format!("protection {text} \"Title\""),
        Wanted::Hazard => format!("hazard {text} \"Title\" {{ signal warning }}"),
        Wanted::Action => format!("action {text} \"Title\" {{ need STATE VALUE }}"),
        Wanted::Joint => format!("joint {text} \"Title\" {{ each BOLT, NUT  count 2  torque 22 N.m +- 2 N.m }}"),
        Wanted::Circuit => {
            format!("circuit {text} \"Title\" {{ source 12 V  load 18 A  run 6.5 m  wire 4 mm2 copper }}")
        }
        Wanted::State => format!("state {text} \"Title\" {{ on \"on\"  off \"off\"  starts on  ends on }}"),
        Wanted::Result => format!("result {text} \"Title\" {{ ONE \"Title\"  OTHER \"Title\" }}"),
        Wanted::Recordable if text == "photo" => {
            return "Say what it shows: `record photo \"What it shows\"`.".to_owned();
        }
        Wanted::Recordable if text == "torque" => {
            return "Write the joint before it: `record JOINT torque`.".to_owned();
        }
        Wanted::Reading | Wanted::Recordable => {
            return format!(
                "Declare it with `observe {text} \"Question?\" {{ yes  no }}` or `measure {text} \"Title\" {{ range 0 mm to 500 mm }}`."
            );
        }
        Wanted::Number => format!("fact {text} = 38 kg"),
        Wanted::Input => format!("option {text} \"Title\" {{ yes \"Yes\"  no \"No\" }}"),
        Wanted::Figure => format!("figure {text} \"FILE\" \"What it shows\""),
        Wanted::Called | Wanted::Anything => return "Declare it, or correct the spelling.".to_owned(),
    };
    format!("Declare it at the top of the file: `{form}`.")
}

/// The names that the file itself declares.
pub(super) fn of_root(files: &[LoadedFile]) -> BTreeSet<String> {
    let items = files.iter().filter(|file| file.is_root).flat_map(|file| &file.tree.items);
    items.filter_map(|item| declared_by(&item.node)).map(|(name, _)| name.text.clone()).collect()
}

/// The name that a statement declares, and as what.
pub(super) fn declared_by(decl: &Decl) -> Option<(&Name, Declared<'_>)> {
    Some(match decl {
        Decl::Option(choice) => (&choice.name, Declared::Choice(choice, ChoiceKind::Option)),
        Decl::Observe(choice) => (&choice.name, Declared::Choice(choice, ChoiceKind::Observe)),
        Decl::Result(choice) => (&choice.name, Declared::Choice(choice, ChoiceKind::Result)),
        Decl::Given(number) => (&number.name, Declared::Number(number, NumberKind::Given)),
        Decl::Measure(number) => (&number.name, Declared::Number(number, NumberKind::Measure)),
        Decl::Fact { name, value } => (name, Declared::Fact(value)),
        Decl::Limit(limit) => (&limit.name, Declared::Limit(limit)),
        Decl::Part(part) => (&part.name, Declared::Part(part)),
        Decl::Terminal(row) => (&row.name, Declared::Terminal(row)),
        Decl::Tool(tool) => (&tool.name, Declared::Tool(tool)),
        Decl::Protection { name, title } => (name, Declared::Protection(title.as_ref())),
        Decl::Hazard(hazard) => (&hazard.name, Declared::Hazard(hazard)),
        Decl::Action(action) => (&action.name, Declared::Action(action)),
        Decl::Joint(joint) => (&joint.name, Declared::Joint(joint)),
        Decl::Circuit(circuit) => (&circuit.name, Declared::Circuit(circuit)),
        Decl::State(state) => (&state.name, Declared::State(state)),
        Decl::Figure(figure) => (&figure.name, Declared::Figure(figure)),
        Decl::Section(section) => (&section.name, Declared::Section),
        _ => return None,
    })
}

/// `rail-bracket` as `Rail bracket`.
pub(super) fn sentence_case(name: &str) -> String {
    let words = name.replace('-', " ");
    let mut letters = words.chars();
    letters.next().map(|first| first.to_uppercase().chain(letters).collect()).unwrap_or_default()
}

/// Whether a text has the form of a language tag of RFC 5646, section 2.1: a language of two or three letters, then parts of
/// one to eight letters or digits. Whether the parts are registered is not looked up.
fn is_language_tag(tag: &str) -> bool {
    let mut parts = tag.split('-');
    let primary = parts.next().unwrap_or_default();
    let letters = primary.chars().all(|c| c.is_ascii_alphabetic());
    letters
        && (2..=3).contains(&primary.len())
        && parts.all(|part| (1..=8).contains(&part.len()) && part.chars().all(|c| c.is_ascii_alphanumeric()))
}

/// Whether a text is a date of the calendar in the form year-month-day (ISO 8601).
fn is_date(text: &str) -> bool {
    let parts: Vec<&str> = text.split('-').collect();
    let [year, month, day] = parts.as_slice() else { return false };
    if [year.len(), month.len(), day.len()] != [4, 2, 2] || !text.bytes().all(|b| b == b'-' || b.is_ascii_digit()) {
        return false;
    }
    let (Ok(year), Ok(month), Ok(day)) = (year.parse::<u32>(), month.parse::<u32>(), day.parse::<u32>()) else {
        return false;
    };
    let leap = year % 4 == 0 && (year % 100 != 0 || year % 400 == 0);
    let last = match month {
        2 => 28 + u32::from(leap),
        4 | 6 | 9 | 11 => 30,
        1..=12 => 31,
        _ => return false,
    };
    (1..=last).contains(&day)
}

/// The nearest of some values, for a repair.
pub(super) fn nearest_value<'a>(name: &str, values: impl Iterator<Item = &'a str>) -> Option<&'a str> {
    suggest::nearest(name, values)
}
