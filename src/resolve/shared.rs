//! Sections that stand once in a library, for a family of procedures.
//!
//! A procedure that brings one in gets the same text, read for this section: its spans say so
//! ([`FileId::for_section`](crate::source::FileId)). That is how a name in it means the library's thing, or what the
//! procedure gives it, and how a finding knows where it was brought in. Afterwards it is a section like any other. A library
//! that is checked by itself reads its sections so too, with nothing given.

use super::Resolver;
use super::each::{Lent, Shared};
use super::expects::Expects;
use super::index::NamedAt;
use super::load::LoadedFile;
use super::scope::{Declared, Level, Twin, Wanted};
use crate::diagnostics::{Change, Code, Confidence, Finding, Mend, Severity, suggest};
use crate::model::SharedSection;
use crate::parse::tree::{self, Brought, Cond, Decl, Expected, HeadKind, Item, Name, Spans};
use crate::source::{FileId, Span};

/// A section of a library, as the file that is compiled has it.
pub(super) struct Bringing {
    /// What the library's section leaves open.
    expected: Vec<Expected>,
    /// How the procedure brings it in; `None` where the library itself is compiled.
    brought: Option<Brought>,
    /// Its name in the library.
    declared: Span,
    /// `for each corner` of the section, or of the line that brings it in.
    for_each: Option<Name>,
    /// The library's text, read for it.
    file: FileId,
    pub shared: SharedSection,
}

/// All sections that stand in libraries, by their number.
#[derive(Default)]
pub(super) struct SharedSections {
    pub all: Vec<Bringing>,
    /// `accept` lines before sections of libraries, each with the whole section.
    pub accepts: Vec<(Vec<tree::Accept>, Span)>,
    pub findings: Vec<Finding>,
    /// Whether one could not be brought in: it may have steps that something else names.
    pub lacks_one: bool,
}

/// Brings in what the root says, or makes the sections of a root library ready to be looked at.
pub(super) fn bring_in(files: &mut [LoadedFile]) -> SharedSections {
    let mut made = SharedSections::default();
    let Some(root) = files.iter().position(|file| file.is_root) else { return made };
    let Some(kind) = files[root].tree.head.as_ref().map(|head| head.kind) else { return made };
    let mut items = std::mem::take(&mut files[root].tree.items);
    for item in &mut items {
        match kind {
            HeadKind::Procedure => made.of_procedure(item, files),
            HeadKind::Library => made.of_library(item),
        }
    }
    files[root].tree.items = items;
    made
}

impl SharedSections {
    /// What each section expects, by its number.
    pub(super) fn lent(&self) -> Vec<Lent> {
        let lent = |section: &Bringing| -> Lent {
            let own = |name: &Name| {
                let given = &section.brought.as_ref()?.given;
                let own = given.iter().find(|(theirs, _)| theirs.text == name.text).map_or(name, |(_, own)| own);
                Some(own.text.clone())
            };
            let all = section.expected.iter();
            all.map(|one| (one.name.text.clone(), (one.kind.text.clone(), own(&one.name)))).collect()
        };
        self.all.iter().map(lent).collect()
    }

    fn of_procedure(&mut self, item: &mut Item<Decl>, files: &[LoadedFile]) {
        let Decl::Section(own) = &mut item.node else { return };
        if let Some(expected) = own.expects.first() {
            self.findings.push(
                Finding::new(
                    Code::FW0110,
                    "a section of a procedure expects nothing",
                    expected.kind.span.to(expected.name.span),
                    "only a library's section expects",
                )
                .because("In its own procedure a section sees all that the procedure declares.")
                .repair("Remove what stands after `expects`, or move the section into a library."),
            );
        }
        let Some(brought) = own.brought.clone() else { return };
        let Some((library, theirs)) = self.find(&brought, files) else {
            self.lacks_one = true;
            return;
        };
        let Decl::Section(section) = &theirs.node else { return };
        let declared = section.name.span;
        if let Some(first) = self.all.iter().find(|first| first.declared == declared) {
            self.findings.push(twice(&brought, &first.shared));
            self.lacks_one = true;
            return;
        }
        let number = self.all.len();
        let file = library.id.for_section(number);
        own.title = own.title.take().or_else(|| copied(&section.title, file));
        own.when = both(own.when.take(), copied(&section.when, file));
        own.body = copied(&section.body, file);
        let theirs_for_each = copied(&section.for_each, file);
        match (&own.for_each, theirs_for_each) {
            (Some(group), Some(theirs)) => self.findings.push(for_each_twice(group, &theirs)),
            (None, theirs) => own.for_each = theirs,
            _ => {}
        }
        self.accepts.push((copied(&theirs.accepts, file), Span { file, ..theirs.span }));
        let shared = SharedSection {
            id: own.name.text.clone(),
            library: brought.library.text.clone(),
            section: section.name.text.clone(),
            line: brought.section.as_ref().map_or(brought.span, |section| brought.library.span.to(section.span)),
        };
        let (expected, for_each) = (section.expects.clone(), own.for_each.clone());
        self.all.push(Bringing { expected, brought: Some(brought), declared, for_each, file, shared });
    }

    /// The section that a procedure asks for, in its library.
    fn find<'f>(&mut self, brought: &Brought, files: &'f [LoadedFile]) -> Option<(&'f LoadedFile, &'f Item<Decl>)> {
        let wanted = brought.section.as_ref()?;
        let key = super::load::key_of(&brought.library.text);
        // One that is missing was told where it was looked for.
        let library = files.iter().find(|file| !file.is_root && file.key == key)?;
        let mut known = Vec::new();
        for item in &library.tree.items {
            if let Decl::Section(section) = &item.node {
                if section.name.text == wanted.text {
                    return section.brought.is_none().then_some((library, item));
                }
                known.push(section.name.text.as_str());
            }
        }
        if library.tree.unread.iter().any(|name| name.text == wanted.text) {
            return None;
        }
        let finding = Finding::new(
            Code::FW0201,
            format!("the library `{}` has no section `{}`", brought.library.text, wanted.text),
            wanted.span,
            "the name of one of its sections is meant here",
        );
        let listed: Vec<String> = known.iter().map(|name| format!("`{name}`")).collect();
        self.findings.push(match suggest::nearest(&wanted.text, known.iter().copied()) {
            Some(near) => finding.repair(format!("Write `from {key}.{near}`.")),
            None if key.starts_with("std/") => finding.repair("The standard library has no sections."),
            None if listed.is_empty() => {
                finding.repair(format!("It has no sections; write `section {} \"Title\" {{ … }}` in it.", wanted.text))
            }
            None => finding.repair(format!("It has {}.", listed.join(", "))),
        });
        None
    }

    fn of_library(&mut self, item: &mut Item<Decl>) {
        let Decl::Section(section) = &mut item.node else { return };
        if let Some(brought) = &section.brought {
            self.findings.push(
                Finding::new(
                    Code::FW0110,
                    "a section of a library can't be brought in from another",
                    brought.span,
                    "belongs into a procedure",
                )
                .because("What is done stands in one place, where whoever reads it can find it.")
                .repair("Let the procedure bring in both sections, or write the steps here."),
            );
            return;
        }
        let file = section.name.span.file.for_section(self.all.len());
        section.when = copied(&section.when, file);
        section.body = copied(&section.body, file);
        section.for_each = copied(&section.for_each, file);
        item.accepts = copied(&item.accepts, file);
        let shared = SharedSection {
            id: section.name.text.clone(),
            library: String::new(),
            section: section.name.text.clone(),
            line: section.name.span,
        };
        let declared = section.name.span;
        let (expected, for_each) = (section.expects.clone(), section.for_each.clone());
        self.all.push(Bringing { expected, brought: None, declared, for_each, file, shared });
    }
}

/// FW0110: the library's section is done for each place, and the line that brings it in says so once more.
fn for_each_twice(own: &Name, theirs: &Name) -> Finding {
    let message = "the section is done for each of several places already";
    Finding::new(Code::FW0110, message, own.span, "said again here")
        .also(theirs.span, "said here")
        .because("Which of the two places a name means could be read in two ways.")
        .repair("Remove `for each` from one of the two.")
}

/// FW0202: one section of a library, brought in again.
fn twice(brought: &Brought, first: &SharedSection) -> Finding {
    Finding::new(Code::FW0202, format!("`{}` is brought in twice", first.path()), brought.span, "brought in again")
        .also(first.line, format!("first brought in here, as section `{}`", first.id))
        .because("Its steps would have their names twice, and who reads of one could take it for the other.")
        .repair("Bring it in once; what is done twice is a section of its own, or a `for each` block of the procedure.")
}

/// The same text, read for a section.
fn copied<T: Clone + Spans>(one: &T, file: FileId) -> T {
    let mut copy = one.clone();
    copy.spans(&mut |span| span.file = file);
    copy
}

/// The condition of the procedure and that of the library.
fn both(own: Option<Cond>, theirs: Option<Cond>) -> Option<Cond> {
    match (own, theirs) {
        (Some(own), Some(theirs)) => Some(Cond::All(vec![own, theirs])),
        (own, theirs) => own.or(theirs),
    }
}

/// What to look for where it is given.
fn wanted(kind: Expects) -> Wanted {
    match kind {
        Expects::Part => Wanted::Part,
        Expects::Tool => Wanted::Tool,
        Expects::Protection => Wanted::Protection,
        Expects::Hazard => Wanted::Hazard,
        Expects::Action => Wanted::Action,
        Expects::Joint => Wanted::Joint,
        Expects::Circuit => Wanted::Circuit,
        Expects::State => Wanted::State,
        Expects::Observe | Expects::Measure => Wanted::Reading,
        Expects::Option | Expects::Given => Wanted::Input,
        Expects::Result => Wanted::Result,
        Expects::Fact => Wanted::Number,
        Expects::Each => Wanted::Anything,
    }
}

/// Whether something is of the kind that is expected.
fn is(kind: Expects, declared: &Declared<'_>) -> bool {
    declared.kind() == kind.words() || (kind == Expects::Part && matches!(declared, Declared::Terminal(_)))
}

impl<'t> Resolver<'t> {
    /// Says what the names mean that sections of libraries expect, once all names are known.
    pub(super) fn give(&mut self, sections: &'t [Bringing]) {
        for (number, section) in sections.iter().enumerate() {
            self.note_use(section.shared.line, section.declared);
            self.expected_once(&section.expected);
            for expected in &section.expected {
                let Some(kind) = Expects::of(&expected.kind.text) else { continue };
                match &section.brought {
                    Some(brought) => self.give_one(number, section, brought, expected, kind),
                    None => self.expect(number, expected, kind),
                }
            }
            if let Some(brought) = &section.brought {
                self.given_in_vain(section, brought);
            }
        }
    }

    fn expected_once(&mut self, expected: &[Expected]) {
        for (at, one) in expected.iter().enumerate() {
            if let Some(first) = expected.iter().take(at).find(|first| first.name.text == one.name.text) {
                self.report(
                    Finding::new(
                        Code::FW0202,
                        format!("`{}` is expected twice", one.name.text),
                        one.name.span,
                        "expected again",
                    )
                    .also(first.name.span, "first expected here")
                    .repair("Remove one of the two."),
                );
            }
        }
    }

    /// In the library itself: what is expected is known by its kind only.
    fn expect(&mut self, number: usize, expected: &'t Expected, kind: Expects) {
        let name = &expected.name;
        let own = self.scope.entry((&name.text, Level::Own, Twin::First));
        if let Some(own) = own.filter(|own| !matches!(own.declared, Declared::Section)) {
            let finding = Finding::new(
                Code::FW0202,
                format!("`{}` is declared in this library, and expected by a section of it", name.text),
                name.span,
                "expected here",
            )
            .also(own.name.span, format!("declared here, as {}", own.declared.kind()))
            .because("A name must mean one thing, or two readers will lay out two different things.")
            .repair("Don't expect what the library has, or rename one of the two.");
            self.report(finding);
        }
        self.scope.expect(number, name, kind);
    }

    fn give_one(
        &mut self,
        number: usize,
        section: &Bringing,
        brought: &'t Brought,
        expected: &'t Expected,
        kind: Expects,
    ) {
        let name = &expected.name;
        let given = brought.given.iter().find(|(theirs, _)| theirs.text == name.text).map(|(_, own)| own);
        let (text, at) = given.map_or((&name.text, brought.span), |own| (&own.text, own.span));
        let handle = match (kind, self.scope.part_or_joint(text, brought.span.file)) {
            (Expects::Joint, Some((_, joint))) => Some(joint),
            _ => self.scope.see(text, brought.span.file),
        };
        let entry = handle.and_then(|handle| self.scope.entry(handle));
        let many = entry.filter(|entry| is(kind, &entry.declared)).and_then(|entry| match entry.declared {
            Declared::Shared(shared) => self.other_places(section, expected, shared, at),
            _ => one_for_all(section, expected, (text, at), entry.name.span),
        });
        let finding = match (entry, given) {
            (Some(_), _) if many.is_some() => many,
            (Some(entry), _) if is(kind, &entry.declared) => {
                let means = entry.name.span;
                self.in_passing.extend(given.map(|own| NamedAt { at: own.span, means }));
                handle.into_iter().for_each(|handle| self.scope.give(number, &name.text, handle));
                return;
            }
            (Some(entry), _) => {
                Some(other_kind(section, name, kind, (text, at), (entry.declared.kind(), entry.name.span)))
            }
            (None, Some(own)) => match self.no_such_place(text, at) {
                Some(finding) => Some(finding),
                None if self.is_excused(text, || self.scope.nearest(text, wanted(kind))) => None,
                None => Some(self.unknown(own, wanted(kind)).also(name.span, "expected here")),
            },
            (None, None) if self.is_excused(text, || None) => None,
            (None, None) => Some(self.not_given(section, name, kind, at)),
        };
        finding.into_iter().for_each(|finding| self.report(finding));
        // Nothing more is said of it.
        self.scope.expect(number, name, kind);
    }

    /// What is there for each place is given, and the section wants one, or has other places.
    fn other_places(&self, section: &Bringing, expected: &Expected, shared: &Shared, at: Span) -> Option<Finding> {
        let theirs = expected.for_each.as_ref().map(|group| (&group.text, section.file));
        let theirs = theirs.or(section.for_each.as_ref().map(|group| (&group.text, group.span.file)));
        match theirs.and_then(|(group, at)| self.expansion.group_named(group, at)) {
            Some(group) if group == shared.group => None,
            Some(group) if expected.for_each.is_some() => {
                let (own, wanted) = (self.expansion.group_name(shared.group), self.expansion.group_name(group));
                let message = format!(
                    "`{}` expects a {} for each {wanted}; `{}` is there for each {own}",
                    section.shared.path(),
                    expected.kind.text,
                    shared.name.text
                );
                Some(
                    Finding::new(Code::FW0207, message, at, format!("for each {own}"))
                        .also(expected.name.span, "expected here")
                        .also(shared.name.span, "declared here")
                        .repair(format!("Give it what is declared `for each {wanted}`.")),
                )
            }
            _ => Some(self.which_place(shared, at)),
        }
    }

    /// FW0212: nothing is given for what a section expects.
    fn not_given(&self, section: &Bringing, name: &Name, kind: Expects, at: Span) -> Finding {
        let (text, shared) = (&name.text, &section.shared);
        let finding = Finding::new(
            Code::FW0212,
            format!("`{}` expects {} `{text}`, and nothing here is called so", shared.path(), kind.words()),
            at,
            format!("`{text}` is not given"),
        )
        .also(name.span, "expected here")
        .because("The section works with it; which one it is only this procedure can say.");
        match self.likely(text, kind) {
            Some(near) => {
                let last = section.brought.as_ref().and_then(|brought| brought.given.last());
                let (after, line) = match last {
                    Some((_, own)) => (own.span, format!(", {text} = {near}")),
                    None => (at, format!(" with {text} = {near}")),
                };
                let end = Span { start: after.end, ..after };
                finding
                    .repair(format!("Write `with {text} = {near}`, if that is meant."))
                    .mend(Mend::look(format!("Give it `{near}`"), Change::Write(end, line)))
            }
            None => finding.repair(format!(
                "Write `with {text} = NAME` after `from {}`, with the name of {} of this file, or declare `{text}`.",
                shared.path(),
                kind.words()
            )),
        }
    }

    /// Which thing of the procedure is most likely meant: one of a like name, or the only one of its kind.
    fn likely(&self, text: &str, kind: Expects) -> Option<&'t str> {
        let of_kind = || {
            let own =
                self.scope.iter().filter(|((_, level, _), entry)| *level == Level::Own && is(kind, &entry.declared));
            own.map(|((name, ..), _)| name)
        };
        let names = || of_kind().filter(|name| name.split('-').any(|word| text.split('-').any(|other| other == word)));
        let only = |mut all: Box<dyn Iterator<Item = &'t str> + '_>| all.next().filter(|_| all.next().is_none());
        suggest::nearest(text, of_kind()).or_else(|| only(Box::new(names()))).or_else(|| only(Box::new(of_kind())))
    }

    /// FW0212: something is given that the section doesn't expect.
    fn given_in_vain(&mut self, section: &Bringing, brought: &Brought) {
        for (at, (theirs, own)) in brought.given.iter().enumerate() {
            let text = &theirs.text;
            if brought.given.iter().take(at).any(|(first, _)| first.text == *text) {
                self.report(
                    Finding::new(Code::FW0113, format!("`{text}` is given twice"), theirs.span, "given again")
                        .repair("Remove one of the two."),
                );
            }
            if section.expected.iter().any(|expected| expected.name.text == *text) {
                continue;
            }
            let finding = Finding::new(
                Code::FW0212,
                format!("`{}` doesn't expect `{text}`", section.shared.path()),
                theirs.span,
                "not expected",
            )
            .because(format!("Nothing in the section is called so; `{}` would be given in vain.", own.text));
            let known = section.expected.iter().map(|expected| expected.name.text.as_str());
            let listed: Vec<String> = known.clone().map(|name| format!("`{name}`")).collect();
            let finding = match suggest::nearest(text, known) {
                Some(near) => finding.repair(format!("Write `{near} = {}`.", own.text)).mend(Mend::write(
                    Confidence::Look,
                    theirs.span,
                    near,
                )),
                None if listed.is_empty() => finding.repair("Remove it: the section expects nothing."),
                None => finding.repair(format!("Remove it; the section expects {}.", listed.join(", "))),
            };
            self.report(finding);
        }
    }

    /// For a name in a section of a library that means nothing there: the section sees what its library has and what it
    /// expects.
    pub(super) fn how_to_expect(&self, name: &Name, wanted: Wanted) -> String {
        let kind = match wanted {
            // Their numbers, and what they point at, are the procedure's own.
            Wanted::Figure => return "Show the picture by its file: `figure \"FILE\" \"What it shows\"`.".to_owned(),
            Wanted::Terminal => "part",
            Wanted::Protection => "protection",
            Wanted::Reading | Wanted::Recordable => "measure",
            Wanted::Number => "given",
            Wanted::Input => "option",
            Wanted::Anything => "KIND",
            other => other.words().split_once(' ').map_or("KIND", |(_, kind)| kind),
        };
        let known = self.scope.iter().filter(|(_, entry)| entry.named && wanted.fits(&entry.declared));
        let seen = known.map(|((text, ..), _)| text).filter(|text| self.scope.see(text, name.span.file).is_some());
        let (near, declare) = match suggest::nearest(&name.text, seen) {
            Some(near) => (format!("Write `{near}`. Or: "), "declare"),
            None => (String::new(), "Declare"),
        };
        format!(
            "{near}{declare} it in the library, or let the section expect it, `expects {kind} {}`; then each procedure says \
             which one it is.",
            name.text
        )
    }

    /// FW0203 in a library: what a section expects and never names.
    pub(super) fn expected_in_vain(&mut self, sections: &[Bringing]) {
        if self.findings.iter().any(|finding| finding.severity() == Severity::Error) {
            return;
        }
        for (number, section) in sections.iter().enumerate() {
            for expected in &section.expected {
                let name = &expected.name;
                let is_group = self.expansion.expected_and_used.contains(&(number, name.text.clone()));
                if is_group || self.scope.is_expected_and_used(number, &name.text) {
                    continue;
                }
                let kind = &expected.kind.text;
                self.report(
                    Finding::new(
                        Code::FW0203,
                        format!("the {kind} `{}` is expected and never used", name.text),
                        name.span,
                        "never used",
                    )
                    .because("Every procedure would have to give it, and nothing would come of it.")
                    .repair(format!("Use it in the section, or remove `{kind} {}`.", name.text)),
                );
            }
        }
    }
}

/// FW0207: one thing is given where a section expects one for each place.
fn one_for_all(section: &Bringing, expected: &Expected, (given, at): (&str, Span), declared: Span) -> Option<Finding> {
    let group = &expected.for_each.as_ref()?.text;
    let kind = &expected.kind.text;
    Some(
        Finding::new(
            Code::FW0207,
            format!(
                "`{}` expects a {kind} `{}` for each {group}; `{given}` is one alone",
                section.shared.path(),
                expected.name.text
            ),
            at,
            "one alone",
        )
        .also(expected.name.span, "expected here")
        .also(declared, "declared here")
        .repair(format!(
            "Declare it for each of the places that `{group}` is: `{kind} {given} \"Title\" for each PLACES`."
        )),
    )
}

/// FW0207: what is given is something else.
fn other_kind(
    section: &Bringing,
    name: &Name,
    kind: Expects,
    (given, at): (&str, Span),
    (is, declared): (&str, Span),
) -> Finding {
    let path = section.shared.path();
    Finding::new(
        Code::FW0207,
        format!("`{given}` is {is}; `{path}` expects {} for `{}`", kind.words(), name.text),
        at,
        format!("this is {is}"),
    )
    .also(declared, "declared here")
    .also(name.span, "expected here")
    .repair(format!("Write `{} = NAME` after `with`, with the name of {} of this file.", name.text, kind.words()))
}
