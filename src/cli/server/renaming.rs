//! Where a thing is named in all files of the folders that are open, and its other name.

use std::collections::BTreeMap;
use std::path::{Path, PathBuf};
use std::sync::Arc;

use lsp_types::{Location, Position, TextEdit, Uri};

use super::texts::{self, Open, Project, Text};
use super::{Server, Standing};
use crate::desk::{Desk, Thing};
use crate::diagnostics::{Finding, Severity};
use crate::source::Span;

/// At most so many files are looked through.
const MOST_FILES: usize = 4096;
/// Folders nested deeper are not looked into.
const DEEPEST: usize = 16;

/// A thing, as another text can find it: the file that declares it, and the place there.
pub struct Wanted {
    file: Option<PathBuf>,
    at: std::ops::Range<usize>,
    name: String,
    /// Whether a library declares it: what a procedure declares, no other file names.
    of_library: bool,
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
    let (_, thing) = desk.thing_at(offset)?;
    let at = thing.at();
    let file = if at.file.number() == 0 {
        standing.text.path.clone()
    } else {
        let name = &desk.sources().get(at.file)?.name;
        Project::of(&standing.text, root.as_deref(), &open).0.file(name)
    };
    let text = desk.sources().get(at.file).map_or("", |file| &file.text);
    let of_library = text.lines().any(|line| line.split_whitespace().next() == Some("library"));
    Some(Wanted { file, at: at.range(), name: thing.name().to_owned(), of_library })
}

/// Every place that names a thing: in the text itself, and in all files that could use it.
pub fn places(server: &mut Server, wanted: &Wanted, uri: &Uri) -> Vec<NamedPlace> {
    let mut found: BTreeMap<(String, u32, u32), NamedPlace> = BTreeMap::new();
    let mut note = |uri: Uri, text: &str, span: Span, declares: bool, server: &Server| {
        let location = Location { uri, range: server.lines(text).range(span.range()) };
        let key = (location.uri.as_str().to_owned(), span.start, span.end);
        found.entry(key).or_insert(NamedPlace { location, declares });
    };
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
                note(uri, &file.text, span, span == thing.at(), server);
            }
        }
    }
    found.into_values().collect()
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
    let thing = |standing: &Standing, encoding| {
        let offset = super::Lines::of(&standing.text.text, encoding).offset(position);
        let (_, thing) = standing.desk.as_ref()?.thing_at(offset)?;
        Some((may_be_renamed(thing), thing.name().to_owned()))
    };
    let encoding = server.client.encoding;
    let found = server.standing(uri).and_then(|standing| thing(standing, encoding));
    let Some((may, old)) = found else { return Err("there is no name here".to_owned()) };
    may?;
    let is_word = |c: char| c.is_ascii_alphanumeric() || c == '-';
    if name.is_empty() || name.len() > 100 || !name.chars().all(is_word) {
        return Err(format!("`{name}` is no name: letters, digits and hyphens"));
    }
    let wanted = wanted(server, uri, position).ok_or("there is no name here")?;
    let mut changes = Changes::new();
    if old == name {
        return Ok(changes);
    }
    let places = places(server, &wanted, uri);
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
