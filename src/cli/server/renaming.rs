//! Where a thing is named in all files of the folders that are open, and its other name.

use std::collections::BTreeMap;
use std::path::{Path, PathBuf};
use std::sync::Arc;

use lsp_types::{Location, Position, TextEdit, Uri};

use super::super::files::ENDING;
use super::Server;
use super::texts::{self, Open, Project, Text};
use crate::desk::{Desk, LeftBeside, Thing};
use crate::diagnostics::{Finding, Severity};
use crate::source::Span;

/// At most so many files are looked through.
const MOST_FILES: usize = 4096;
/// Folders nested deeper are not looked into.
const DEEPEST: usize = 16;

/// A thing, as another text can find it: the file that declares it, and the place there.
#[derive(Clone, PartialEq, Eq)]
pub struct Wanted {
    file: Option<PathBuf>,
    at: std::ops::Range<usize>,
    /// Its name.
    pub name: String,
    /// Whether a library declares it: what a procedure declares, no other file names but by what it leaves to it.
    of_library: bool,
    /// Why it may have no other name.
    stays: Option<String>,
}

/// What is to be written, file by file; in a file in order of the text.
pub type Changes = Vec<(Uri, Vec<TextEdit>)>;

/// A place that names a thing.
pub struct NamedPlace {
    /// The place.
    pub location: Location,
    /// Whether it is the declaration.
    pub declares: bool,
}

/// What the name at a place of a text means.
pub fn wanted(server: &mut Server, uri: &Uri, position: Position) -> Option<Wanted> {
    let (root, open, encoding) = (server.client.root.clone(), server.open.clone(), server.client.encoding);
    let standing = server.standing(uri)?;
    let offset = super::Lines::of(&standing.text.text, encoding).offset(position);
    let desk = standing.desk.as_ref()?;
    let (project, _) = Project::of(&standing.text, root.as_deref(), &open);
    if let Some((_, thing)) = desk.thing_at(offset) {
        return Some(known(desk, &project, &standing.text, thing));
    }
    let left = desk.left_at(offset)?.1.clone();
    beside(server, &project, &left)
}

/// Where the name of a circuit of another procedure stands in a text, and that name.
pub fn left_at(desk: &Desk, offset: usize) -> Option<(Span, &str)> {
    desk.left_at(offset).map(|(span, left)| (span, &*left.circuit))
}

/// A thing that a text knows.
fn known(desk: &Desk, project: &Project, text: &Text, thing: Thing<'_>) -> Wanted {
    let at = thing.at();
    let declaring = desk.sources().get(at.file);
    let file =
        if at.file.number() == 0 { text.path.clone() } else { declaring.and_then(|file| project.file(&file.name)) };
    let lines = declaring.map_or("", |file| &file.text);
    let of_library = lines.lines().any(|line| line.split_whitespace().next() == Some("library"));
    Wanted { file, at: at.range(), name: thing.name().to_owned(), of_library, stays: may_be_renamed(thing).err() }
}

/// The circuit or point of another procedure to which a text leaves something.
fn beside(server: &Server, project: &Project, left: &LeftBeside) -> Option<Wanted> {
    let there = text_at(server, project.file(&format!("{}.{ENDING}", left.procedure))?)?;
    let (project, path) = Project::of(&there, server.client.root.as_deref(), &server.open);
    let (desk, _) = Desk::open(&path, &project);
    let thing = desk.circuit(&left.circuit, left.point.as_deref())?;
    Some(known(&desk, &project, &there, thing))
}

/// A file of the folders as it stands in the editor, or on the disk.
fn text_at(server: &Server, path: PathBuf) -> Option<Text> {
    let text = match server.open.get(&path) {
        Some(text) => text.clone(),
        None => std::fs::read_to_string(&path).ok()?.into(),
    };
    Some(Text { uri: server.uri_of(&path)?, version: 0, text, path: Some(path) })
}

/// What a text leaves to other procedures under a name.
struct Tie {
    /// The line that says the name, where one does.
    said: Option<Location>,
    /// What has the name here, where no line says that of the other.
    ours: Option<Wanted>,
    theirs: Wanted,
}

/// Where texts leave something of this name to other procedures.
fn ties(server: &Server, wanted: &Wanted) -> Vec<Tie> {
    let mut ties = Vec::new();
    let leaves = |text: &str| text.contains(&wanted.name) && (text.contains("leaves") || text.contains("later"));
    for (path, _) in every_text(server, wanted.file.as_deref()).into_iter().filter(|(_, text)| leaves(text)) {
        let Some(text) = text_at(server, path) else { continue };
        let (project, path) = Project::of(&text, server.client.root.as_deref(), &server.open);
        let (desk, _) = Desk::open(&path, &project);
        let named = |left: &&LeftBeside| left.circuit == wanted.name || left.point.as_ref() == Some(&wanted.name);
        for left in desk.left().iter().filter(named) {
            // The circuit and the point that are left are two things, each tied to its like.
            let circuit = LeftBeside { point: None, ..left.clone() };
            for left in [Some(&circuit), left.point.as_ref().map(|_| left)].into_iter().flatten() {
                let Some(theirs) = beside(server, &project, left) else { continue };
                let is_circuit = left.point.is_none();
                let said = left.said.filter(|_| is_circuit);
                let location = said.and_then(|said| {
                    let file = desk.sources().get(said.file)?;
                    let uri = match said.file.number() {
                        0 => text.uri.clone(),
                        _ => server.uri_of(&project.file(&file.name)?)?,
                    };
                    Some(Location { uri, range: server.lines(&file.text).range(said.whole().range()) })
                });
                let ours = desk.circuit(&left.of, left.point.as_deref()).filter(|_| said.is_none());
                let ours = ours.map(|thing| known(&desk, &project, &text, thing));
                ties.push(Tie { said: location, ours, theirs });
            }
        }
    }
    ties
}

/// Every place that names a thing: in the text itself, in all files that could use it, and where one procedure leaves to another
/// what has one name in both.
pub fn places(server: &mut Server, wanted: Wanted, uri: &Uri) -> Vec<NamedPlace> {
    let ties = ties(server, &wanted);
    let mut all = vec![wanted];
    let mut found: BTreeMap<(String, At), NamedPlace> = BTreeMap::new();
    let mut at = 0;
    while let Some(one) = all.get(at) {
        for place in places_of(server, one, uri) {
            found.entry(key(&place.location)).or_insert(place);
        }
        let mut more = Vec::new();
        for tie in &ties {
            if tie.theirs == *one {
                if let Some(said) = &tie.said {
                    let place = NamedPlace { location: said.clone(), declares: false };
                    found.entry(key(said)).or_insert(place);
                }
                more.extend(tie.ours.clone());
            } else if tie.ours.as_ref() == Some(one) {
                more.push(tie.theirs.clone());
            }
        }
        for other in more {
            if !all.contains(&other) {
                all.push(other);
            }
        }
        at += 1;
    }
    found.into_values().collect()
}

/// A file, and a place in it, in the order of the text.
type At = (u32, u32);

fn key(location: &Location) -> (String, At) {
    (location.uri.as_str().to_owned(), (location.range.start.line, location.range.start.character))
}

/// Every place that names this very thing.
fn places_of(server: &Server, wanted: &Wanted, uri: &Uri) -> Vec<NamedPlace> {
    let mut found = Vec::new();
    for text in texts_that_may_name(server, wanted, uri) {
        let (project, path) = Project::of(&text, server.client.root.as_deref(), &server.open);
        let (desk, _) = Desk::open(&path, &project);
        let Some(thing) = the_same(&desk, &project, &text, wanted) else { continue };
        for span in desk.places_of(thing) {
            let Some(file) = desk.sources().get(span.file) else { continue };
            let uri = if span.file.number() == 0 {
                Some(text.uri.clone())
            } else {
                project.file(&file.name).filter(|path| path.is_file()).and_then(|path| server.uri_of(&path))
            };
            if let Some(uri) = uri {
                let location = Location { uri, range: server.lines(&file.text).range(span.range()) };
                found.push(NamedPlace { location, declares: span == thing.at() });
            }
        }
    }
    found
}

/// The same thing, as another text knows it.
fn the_same<'d>(desk: &'d Desk, project: &Project, text: &Text, wanted: &Wanted) -> Option<Thing<'d>> {
    let is_its_file = |(id, file): &(crate::source::FileId, &crate::source::SourceFile)| match &wanted.file {
        None => id.number() == 0,
        Some(path) if id.number() == 0 => text.path.as_ref() == Some(path),
        Some(path) => project.file(&file.name).as_ref() == Some(path),
    };
    let (id, _) = desk.sources().iter().find(is_its_file)?;
    desk.declared_at(Span::new(id, wanted.at.start, wanted.at.end))
}

/// The texts in which a thing may be named: its own, and for what a file of the project declares, all others.
fn texts_that_may_name(server: &Server, wanted: &Wanted, uri: &Uri) -> Vec<Text> {
    let own = server.texts.get(uri.as_str()).map(|standing| standing.text.clone());
    let is_own = |text: &Text| wanted.of_library || text.path == wanted.file;
    let own = own.filter(is_own).or_else(|| text_at(server, wanted.file.clone()?));
    let Some(file) = wanted.file.as_ref().filter(|_| wanted.of_library) else { return own.into_iter().collect() };
    let mut texts: Vec<Text> = own.into_iter().collect();
    for (path, text) in every_text(server, Some(file)) {
        let Some(uri) = server.uri_of(&path) else { continue };
        if text.contains(&wanted.name) && texts.iter().all(|known| known.path.as_ref() != Some(&path)) {
            texts.push(Text { uri, version: 0, text, path: Some(path) });
        }
    }
    texts
}

/// Every source file of the folders that are open, as it stands in the editor where it is open there.
pub fn every_text(server: &Server, near: Option<&Path>) -> Vec<(PathBuf, Arc<str>)> {
    let mut files: Vec<PathBuf> = Vec::new();
    let mut folders: Vec<(PathBuf, usize)> = server.folders(near).into_iter().map(|folder| (folder, 0)).collect();
    while let Some((folder, depth)) = folders.pop() {
        let Ok(entries) = std::fs::read_dir(&folder) else { continue };
        for path in entries.flatten().map(|entry| entry.path()) {
            let hidden = path.file_name().and_then(|name| name.to_str()).is_none_or(|name| name.starts_with('.'));
            // A link to a folder could lead round in a circle.
            if path.is_dir() && !path.is_symlink() && !hidden && depth < DEEPEST {
                folders.push((path, depth + 1));
            } else if path.extension().is_some_and(|ending| ending == "fitw") && files.len() < MOST_FILES {
                files.push(texts::followed(&path));
            }
        }
    }
    files.extend(server.open.keys().cloned());
    files.sort();
    files.dedup();
    let text = |path: PathBuf| {
        let text = match server.open.get(&path) {
            Some(text) => text.clone(),
            None => std::fs::read_to_string(&path).ok()?.into(),
        };
        Some((path, text))
    };
    files.into_iter().filter_map(text).collect()
}

/// Whether a thing may have another name at all.
pub fn may_be_renamed(thing: Thing<'_>) -> Result<(), String> {
    match &thing.declared.library {
        Some(library) if library.starts_with("std/") => {
            Err(format!("`{}` is a name of the standard library, and stays as it is", thing.name()))
        }
        _ => Ok(()),
    }
}

/// Gives a thing another name, in all files that name it. It is refused where that would bring an error that was not there.
pub fn rename(server: &mut Server, uri: &Uri, position: Position, name: &str) -> Result<Changes, String> {
    let wanted = wanted(server, uri, position).ok_or("there is no name here")?;
    if let Some(why) = &wanted.stays {
        return Err(why.clone());
    }
    let is_word = |c: char| c.is_ascii_alphanumeric() || c == '-';
    if name.is_empty() || name.len() > 100 || !name.chars().all(is_word) {
        return Err(format!("`{name}` is no name: letters, digits and hyphens"));
    }
    let mut changes = Changes::new();
    if wanted.name == name {
        return Ok(changes);
    }
    let places = places(server, wanted, uri);
    for place in places {
        let edit = TextEdit { range: place.location.range, new_text: name.to_owned() };
        match changes.iter_mut().find(|(uri, _)| *uri == place.location.uri) {
            Some((_, edits)) => edits.push(edit),
            None => changes.push((place.location.uri, vec![edit])),
        }
    }
    clash(server, &changes, uri).map_or(Ok(changes), Err)
}

/// The error that the changes would bring, in the words of its finding.
fn clash(server: &Server, changes: &Changes, uri: &Uri) -> Option<String> {
    let mut after = Open::clone(&server.open);
    let mut texts: Vec<(Text, Text)> = Vec::new();
    for (changed, edits) in changes {
        let path = texts::path_of(changed);
        let old = match server.texts.get(changed.as_str()) {
            Some(standing) => standing.text.text.clone(),
            None => std::fs::read_to_string(path.as_ref()?).ok()?.into(),
        };
        let mut new = old.to_string();
        let lines = server.lines(&old);
        for edit in edits.iter().rev() {
            let (start, end) = (lines.offset(edit.range.start), lines.offset(edit.range.end));
            new.replace_range(start..end, &edit.new_text);
        }
        let of = |text: Arc<str>| Text { uri: changed.clone(), version: 0, text, path: path.clone() };
        let new: Arc<str> = new.into();
        if let Some(path) = &path {
            Arc::make_mut(&mut after).insert(path.clone(), new.clone());
        }
        texts.push((of(old), of(new)));
    }
    let errors = |text: &Text, open: &Open| -> Vec<Finding> {
        let (project, path) = Project::of(text, server.client.root.as_deref(), open);
        let found = crate::compile::read(&path, &project).findings();
        found.into_iter().filter(|finding| finding.severity() != Severity::Note).collect()
    };
    for (old, new) in &texts {
        let before = errors(old, &server.open);
        let found = errors(new, &after);
        let is_new = |finding: &&Finding| {
            let alike = |one: &&Finding| one.code == finding.code;
            found.iter().filter(alike).count() > before.iter().filter(alike).count()
        };
        if let Some(finding) = found.iter().find(is_new) {
            let elsewhere = if new.uri == *uri { String::new() } else { format!(" ({})", new.uri.as_str()) };
            return Some(format!("{} {}{elsewhere}", finding.code, finding.message));
        }
    }
    None
}
