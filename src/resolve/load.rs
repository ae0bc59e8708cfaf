//! Reads a procedure or library and all libraries that it uses, each once.
//!
//! `use std/NAME` answers from the library that is built into the binary; every other `use` names a file of the
//! project, by its path from the project's root without the ending `.fitw`.

use std::collections::BTreeMap;

use super::builtin;
use super::scope::Level;
use crate::diagnostics::{Code, Finding, Mend, suggest};
use crate::parse::{self, tree};
use crate::source::{FileId, SourceText, Sources, Span};
use crate::world::{ReadFault, World};

/// The most files that one compilation may read.
pub const MOST_FILES: usize = 256;

/// The file ending of the language.
pub const ENDING: &str = ".fitw";

/// A file that was read.
pub(super) struct LoadedFile {
    /// Its tree.
    pub tree: tree::File,
    /// Whether the file that was asked for is this one.
    pub is_root: bool,
    /// Whether some `use` leads to it; the hazards of the standard library are read without one.
    pub named: bool,
    /// Its number among the files that were read.
    pub id: FileId,
    /// How `use` names it.
    pub key: String,
    /// How near to the writer it stands.
    pub level: Level,
}

/// All files of a compilation: the root first, then libraries in the order in which they are first used.
pub(super) struct Loaded {
    pub files: Vec<LoadedFile>,
    pub findings: Vec<Finding>,
    /// Whether the root could be read at all.
    pub root_read: bool,
}

/// Reads the root and everything it uses.
pub(super) fn load(root: &str, world: &dyn World, sources: &mut Sources) -> Loaded {
    let mut loader =
        Loader { world, sources, done: BTreeMap::new(), way: Vec::new(), files: Vec::new(), findings: Vec::new() };
    let root_read = match loader.bytes(root) {
        Ok(bytes) => {
            loader.file(root, &bytes, true, true);
            true
        }
        Err(ReadFault::TooLarge) => {
            let id = loader.sources.add(root, "");
            loader.findings.push(parse::too_large(id));
            true
        }
        Err(fault) => {
            let message = format!("`{root}` can't be read: {fault}");
            loader.findings.push(
                Finding::without_place(Code::FW0206, message).repair("Check the path and the file's permissions."),
            );
            false
        }
    };
    if root_read && !loader.done.contains_key(builtin::HAZARDS) {
        // What connecting a live circuit can do holds whether or not the writer asked for the list of hazards.
        let _ = loader.library(builtin::HAZARDS, false);
    }
    Loaded { files: loader.files, findings: loader.findings, root_read }
}

struct Loader<'w> {
    world: &'w dyn World,
    sources: &'w mut Sources,
    /// Libraries already read, by the name in `use`.
    done: BTreeMap<String, FileId>,
    /// The libraries on the way from the root, for circles.
    way: Vec<String>,
    files: Vec<LoadedFile>,
    findings: Vec<Finding>,
}

impl Loader<'_> {
    fn bytes(&self, path: &str) -> Result<Vec<u8>, ReadFault> {
        match path.strip_suffix(ENDING).and_then(builtin::library) {
            Some(text) => Ok(text.as_bytes().to_vec()),
            None => self.world.read(path),
        }
    }

    /// Reads a library: one that is built in, as what is known to be without fault.
    fn library(&mut self, key: &str, named: bool) -> Result<(), ReadFault> {
        let next = self.next_id();
        let known = builtin::library(key).and_then(|text| Some((text, parse::known_library(next, text)?)));
        match known {
            Some((text, tree)) => {
                self.sources.add(with_ending(key), SourceText::BuiltIn(text));
                self.keep(key, next, tree, false, named);
            }
            None => {
                let bytes = self.bytes(&with_ending(key))?;
                self.file(key, &bytes, false, named);
            }
        }
        Ok(())
    }

    /// The number of the file that is read next.
    fn next_id(&self) -> FileId {
        FileId::new(u32::try_from(self.sources.iter().count()).unwrap_or(u32::MAX))
    }

    /// Decodes, parses and keeps a file.
    fn file(&mut self, key: &str, bytes: &[u8], is_root: bool, named: bool) {
        let name = if is_root { key.to_owned() } else { with_ending(key) };
        let id = self.next_id();
        let text = match parse::decode(id, bytes) {
            Ok(text) => text,
            Err(finding) => {
                self.sources.add(name, String::from_utf8_lossy(bytes).into_owned());
                self.findings.push(*finding);
                return;
            }
        };
        let id = self.sources.add(name, text.as_str());
        let (tree, findings) = parse::parse(id, &text);
        self.findings.extend(findings);
        self.keep(key, id, tree, is_root, named);
    }

    /// Keeps the tree of a file, then follows its `use` lines.
    fn keep(&mut self, key: &str, id: FileId, tree: tree::File, is_root: bool, named: bool) {
        let key = key_of(key).to_owned();
        self.done.insert(key.clone(), id);
        let uses: Vec<tree::Name> = tree
            .items
            .iter()
            .filter_map(|item| match &item.node {
                tree::Decl::Use(name) => Some(name.clone()),
                // A procedure that brings in a section uses its library.
                tree::Decl::Section(section) if is_root => section.brought.as_ref().map(|from| from.library.clone()),
                _ => None,
            })
            .collect();
        let level = match key.starts_with("std/") {
            _ if is_root => Level::Own,
            true => Level::Standard,
            false => Level::Project,
        };
        self.files.push(LoadedFile { tree, is_root, named, id, key: key.clone(), level });
        self.way.push(key);
        for name in uses {
            self.follow(&name, named);
        }
        self.way.pop();
    }

    fn follow(&mut self, name: &tree::Name, named: bool) {
        let key = key_of(&name.text).to_owned();
        if let Some(at) = self.way.iter().position(|step| *step == key) {
            let mut circle: Vec<&str> = self.way.iter().skip(at).map(String::as_str).collect();
            circle.push(&key);
            let message = format!("these libraries use each other in a circle: {}", circle.join(" → "));
            self.findings.push(
                Finding::new(Code::FW0204, message, name.span, "this closes the circle")
                    .because("What one library says could then depend on itself.")
                    .repair("Move what both need into a third library, and let each use that one."),
            );
            return;
        }
        if self.done.contains_key(&key) {
            return;
        }
        if let Some(finding) = unsafe_path(&key, name.span) {
            self.findings.push(finding);
            return;
        }
        if self.files.len() >= MOST_FILES {
            let message = format!("more than {MOST_FILES} libraries are used");
            self.findings.push(
                Finding::new(Code::FW0108, message, name.span, "this one is no longer read")
                    .repair("Join small libraries into larger ones."),
            );
            self.done.insert(key, FileId::new(u32::MAX));
            return;
        }
        let at = self.files.len();
        match self.library(&key, named) {
            Ok(()) => {
                let head = self.files.get(at).and_then(|file| file.tree.head.as_ref());
                if head.is_some_and(|head| head.kind == tree::HeadKind::Procedure) {
                    let message = format!("`{}` is a procedure; only a library can be used", name.text);
                    self.findings.push(
                        Finding::new(Code::FW0206, message, name.span, "not a library")
                            .repair("Move what both procedures need into a file that begins with `library NAME`."),
                    );
                }
            }
            Err(fault) => {
                // Told once, however often the library is used.
                self.done.insert(key.clone(), FileId::new(u32::MAX));
                self.findings.push(not_found(name, &key, fault));
            }
        }
    }
}

/// A library's name without the ending of its file.
pub(super) fn key_of(name: &str) -> &str {
    name.strip_suffix(ENDING).unwrap_or(name)
}

fn not_found(name: &tree::Name, key: &str, fault: ReadFault) -> Finding {
    let label = fault.to_string();
    let finding = Finding::new(Code::FW0206, format!("the library `{}` can't be used", name.text), name.span, label);
    let nearest = crate::diagnostics::suggest::nearest(key, builtin::names());
    match (nearest, key.starts_with("std/")) {
        (Some(near), _) => {
            let sure = suggest::how_sure(key, near, builtin::names());
            finding.repair(format!("Write `use {near}`.")).mend(Mend::write(sure, name.span, near))
        }
        (None, true) => {
            let all: Vec<String> = builtin::names().map(|name| format!("`{name}`")).collect();
            finding.repair(format!("The standard library has {}.", all.join(", ")))
        }
        (None, false) => finding.repair(format!(
            "Write the path from the project's folder, without the ending: `use {key}` reads `{}`.",
            with_ending(key)
        )),
    }
}

/// Whether Windows keeps a name for a device, with any ending: no file or folder can have it there ("Naming Files, Paths, and
/// Namespaces" of its documentation).
pub(super) fn is_device(name: &str) -> bool {
    let stem = name.split('.').next().unwrap_or_default().to_ascii_lowercase();
    let numbered =
        |device: &str| stem.strip_prefix(device).is_some_and(|number| matches!(number.as_bytes(), [b'1'..=b'9']));
    matches!(stem.as_str(), "con" | "prn" | "aux" | "nul") || numbered("com") || numbered("lpt")
}

/// A finding where a path leaves the project, or could on some machine.
pub(super) fn unsafe_path(path: &str, span: Span) -> Option<Finding> {
    let odd_part = |part: &str| {
        is_device(part)
            || part.is_empty()
            || part == "."
            || part == ".."
            || part.ends_with(['.', ' '])
            || part.starts_with(' ')
    };
    let odd = path.contains(['\\', ':', '%', '\0', '~', '*', '?', '"', '<', '>', '|'])
        || path.chars().any(char::is_control)
        || path.split('/').any(odd_part);
    odd.then(|| {
        Finding::new(Code::FW1303, "this path can leave the project", span, "not a plain path inside the project")
            .because(
                "A procedure must build the same on every machine, and must never show files that are not its own.",
            )
            .repair(
                "Write a path inside the project, with `/` between folders, without `..`, and without names that Windows keeps for \
                 devices, such as `con` or `aux`.",
            )
    })
}

fn with_ending(key: &str) -> String {
    if key.ends_with(ENDING) { key.to_owned() } else { format!("{key}{ENDING}") }
}
