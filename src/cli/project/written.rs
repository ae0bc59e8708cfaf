//! A project file as it is written. Whatever is wrong is said at its place, with what to write instead, and all of it at once.

use std::fs;
use std::path::{Component, Path, PathBuf};

use toml::Spanned;
use toml::de::{DeTable, DeValue};

use crate::cli::publish::real_path;
use crate::cli::{CannotRun, Deny, files, words};
use crate::diagnostics::suggest;
use crate::source::Sources;

const PROCEDURES: &str = "procedures";
const LIBRARIES: &str = "libraries";
const DENY: &str = "deny";
const OUT: &str = "out";
/// Every key, with what it looks like.
const KEYS: [(&str, &str); 4] = [
    (PROCEDURES, "procedures = [\"procedures\"]"),
    (LIBRARIES, "libraries = [\"lib\"]"),
    (DENY, "deny = [\"warnings\"]"),
    (OUT, "out = \"out\""),
];
/// What can be denied.
const WARNINGS: &str = "warnings";
/// So many faults are told.
const MOST_FAULTS: usize = 20;

/// What a project file says. Paths are relative to its folder, exist and lie in it.
#[derive(Debug, Default)]
pub struct Written {
    pub procedures: Vec<PathBuf>,
    pub libraries: Vec<PathBuf>,
    pub deny: Option<Deny>,
    pub out: Option<PathBuf>,
}

/// A value, or what is wrong, each with line and column in front.
type Read = Result<Written, Vec<String>>;

/// Reads the bytes of a project file that stands in a folder.
///
/// # Errors
/// Where the folder itself can't be looked at.
pub fn read(bytes: &[u8], folder: &Path) -> Result<Read, CannotRun> {
    let root = fs::canonicalize(folder).map_err(|error| CannotRun::reading(folder, &error))?;
    let text = match std::str::from_utf8(bytes) {
        Ok(text) => text.strip_prefix('\u{feff}').unwrap_or(text),
        Err(error) => {
            let before = String::from_utf8_lossy(bytes.get(..error.valid_up_to()).unwrap_or_default()).into_owned();
            let mut reader = Reader { text: &before, root, faults: Vec::new() };
            reader.fault(before.len(), "this is not UTF-8 text; save the file as UTF-8".to_owned());
            return Ok(Err(reader.told()));
        }
    };
    let mut reader = Reader { text, root, faults: Vec::new() };
    let (table, errors) = DeTable::parse_recoverable(text);
    for error in errors {
        let message = error.message().lines().collect::<Vec<_>>().join(", ");
        let at = error.span().map_or(0, |span| span.start);
        reader.fault(at, format!("this is no TOML: {message}; a line looks like `{}`", KEYS[0].1));
    }
    if !reader.faults.is_empty() {
        return Ok(Err(reader.told()));
    }
    let written = reader.table(table.get_ref());
    Ok(if reader.faults.is_empty() { Ok(written) } else { Err(reader.told()) })
}

struct Reader<'t> {
    text: &'t str,
    /// The folder, with all links followed.
    root: PathBuf,
    /// What is wrong, by the byte where.
    faults: Vec<(usize, String)>,
}

impl Reader<'_> {
    fn fault(&mut self, at: usize, what: String) {
        self.faults.push((at, what));
    }

    /// The faults in order of the text, each as `line:column: what`.
    fn told(mut self) -> Vec<String> {
        self.faults.sort();
        let mut sources = Sources::default();
        let id = sources.add(super::NAME, self.text);
        let place = |at: usize| match sources.get(id) {
            Some(file) => {
                let position = file.position(u32::try_from(at).unwrap_or(u32::MAX));
                format!("{}:{}", position.line, position.column)
            }
            None => "1:1".to_owned(),
        };
        let mut told: Vec<String> =
            self.faults.iter().take(MOST_FAULTS).map(|(at, what)| format!("{}: {what}", place(*at))).collect();
        if let Some((at, _)) = self.faults.get(MOST_FAULTS) {
            told.push(format!("{}: {} more like these", place(*at), self.faults.len() - MOST_FAULTS));
        }
        told
    }

    fn table(&mut self, table: &DeTable<'_>) -> Written {
        let mut written = Written::default();
        let mut lists_procedures = false;
        for (key, value) in table {
            match key.get_ref().as_ref() {
                PROCEDURES => {
                    lists_procedures = true;
                    written.procedures = self.paths(PROCEDURES, value);
                    if value.get_ref().as_array().is_some_and(|list| list.is_empty()) {
                        let at = value.span().start;
                        self.fault(at, format!("a project has procedures; write `{}`", form(PROCEDURES)));
                    }
                }
                LIBRARIES => written.libraries = self.paths(LIBRARIES, value),
                DENY => written.deny = self.denied(value),
                OUT => written.out = self.out(value),
                other => self.unknown(key.span().start, other),
            }
        }
        if !lists_procedures {
            self.fault(0, format!("it does not say where the procedures are; write `{}`", form(PROCEDURES)));
        }
        written
    }

    fn unknown(&mut self, at: usize, key: &str) {
        let names = KEYS.iter().map(|(name, _)| *name);
        let what = match suggest::nearest(key, names.clone()) {
            Some(near) => format!("`{key}` is no key of a project file; did you mean `{near}`?"),
            None => {
                let all: Vec<String> = names.map(|name| format!("`{name}`")).collect();
                format!("`{key}` is no key of a project file; it has {}", all.join(", "))
            }
        };
        self.fault(at, what);
    }

    /// The texts of a list.
    fn texts<'v>(&mut self, key: &str, value: &'v Spanned<DeValue<'_>>) -> Vec<(usize, &'v str)> {
        let at = value.span().start;
        let Some(list) = value.get_ref().as_array() else {
            self.fault(at, format!("`{key}` is a list of texts; write `{}`", form(key)));
            return Vec::new();
        };
        let mut texts = Vec::new();
        for one in list {
            match one.get_ref().as_str() {
                Some(text) => texts.push((one.span().start, text)),
                None => {
                    let sort = one.get_ref().type_str();
                    self.fault(
                        one.span().start,
                        format!("`{key}` is a list of texts, and this is {}; write `{}`", a(sort), form(key)),
                    );
                }
            }
        }
        texts
    }

    /// Files and folders that are there.
    fn paths(&mut self, key: &str, value: &Spanned<DeValue<'_>>) -> Vec<PathBuf> {
        let mut paths = Vec::new();
        let mut known = Vec::new();
        for (at, text) in self.texts(key, value) {
            match self.path(text).and_then(|path| Ok((self.existing(text, &path)?, path))) {
                Ok((real, path)) => {
                    if known.contains(&real) {
                        self.fault(at, format!("`{text}` is listed twice; take one of them out"));
                    }
                    known.push(real);
                    paths.push(path);
                }
                Err(what) => self.fault(at, what),
            }
        }
        paths
    }

    /// A path that stays in the folder, as far as its words say.
    fn path(&self, text: &str) -> Result<PathBuf, String> {
        if text.is_empty() {
            return Err("this names nothing; `.` is the folder of this file".to_owned());
        }
        if text.contains('\\') {
            return Err(format!("`{text}` has a backslash; write the path with forward slashes, as on every system"));
        }
        if text.contains('\0') {
            return Err("no path has a NUL in it".to_owned());
        }
        let mut path = PathBuf::new();
        for part in Path::new(text).components() {
            match part {
                Component::Normal(part) => path.push(part),
                Component::CurDir => {}
                Component::ParentDir | Component::RootDir | Component::Prefix(_) => {
                    return Err(format!(
                        "`{text}` leads out of the project; write a path in the folder of this file, such as `{}`, or move this \
                         file up",
                        PROCEDURES
                    ));
                }
            }
        }
        Ok(if path.as_os_str().is_empty() { PathBuf::from(".") } else { path })
    }

    /// The file or folder itself, with links followed.
    fn existing(&self, text: &str, path: &Path) -> Result<PathBuf, String> {
        let real = fs::canonicalize(self.root.join(path)).map_err(|error| match error.kind() {
            std::io::ErrorKind::NotFound => {
                let near = self.near(path).map_or_else(String::new, |near| format!(" did you mean `{near}`?"));
                format!("there is no `{text}` in the folder of this file;{near} write a path from there")
            }
            _ => format!("`{text}` cannot be read: {}; write the path of a folder or file", words(&error)),
        })?;
        if !real.starts_with(&self.root) {
            return Err(format!(
                "`{text}` leads out of the project by a link; write a path in the folder of this file"
            ));
        }
        if !real.is_dir() && path.extension().is_none_or(|ending| ending != files::ENDING) {
            return Err(format!("`{text}` is no .{} file and no folder; write one of these", files::ENDING));
        }
        if real.is_dir() && !files::holds_sources(&self.root.join(path)) {
            return Err(format!(
                "there is no .{} file in the folder `{text}`; write the folder that they stand in, each \
                 folder by itself",
                files::ENDING
            ));
        }
        Ok(real)
    }

    /// A name like the one that is missing, in its folder.
    fn near(&self, path: &Path) -> Option<String> {
        let wanted = path.file_name()?.to_str()?;
        let folder = path.parent().unwrap_or(Path::new(""));
        let names: Vec<String> = fs::read_dir(self.root.join(folder))
            .ok()?
            .take(1000)
            .filter_map(|entry| entry.ok()?.file_name().into_string().ok())
            .collect();
        let near = suggest::nearest(wanted, names.iter().map(String::as_str))?;
        Some(folder.join(near).to_str()?.replace('\\', "/"))
    }

    fn denied(&mut self, value: &Spanned<DeValue<'_>>) -> Option<Deny> {
        let mut denied = None;
        for (at, text) in self.texts(DENY, value) {
            if text == WARNINGS {
                denied = Some(Deny::Warnings);
            } else {
                self.fault(at, format!("`{text}` cannot be denied; write `{}`, or leave the line out", form(DENY)));
            }
        }
        denied
    }

    /// A folder to write to, which need not be there.
    fn out(&mut self, value: &Spanned<DeValue<'_>>) -> Option<PathBuf> {
        let at = value.span().start;
        let Some(text) = value.get_ref().as_str() else {
            let sort = value.get_ref().type_str();
            self.fault(at, format!("`{OUT}` is a text, and this is {}; write `{}`", a(sort), form(OUT)));
            return None;
        };
        let path = match self.path(text) {
            Ok(path) => path,
            Err(what) => {
                let hint = if what.contains("leads out") { "; --out can name any folder" } else { "" };
                self.fault(at, what + hint);
                return None;
            }
        };
        match real_path(&self.root.join(&path)) {
            Ok(real) if real == self.root => {
                self.fault(at, format!("`{text}` holds this file; write a folder in it, such as `{}`", form(OUT)));
            }
            Ok(real) if !real.starts_with(&self.root) => {
                self.fault(
                    at,
                    format!("`{text}` leads out of the project by a link; write another folder, or name it with --out"),
                );
            }
            Ok(_) => return Some(path),
            Err(CannotRun(why)) => self.fault(at, format!("{why}; write another folder, such as `{}`", form(OUT))),
        }
        None
    }
}

/// How a line with a key looks.
fn form(key: &str) -> &'static str {
    KEYS.iter().find(|(name, _)| *name == key).map_or("", |(_, form)| form)
}

/// A sort of value with its article.
fn a(sort: &str) -> String {
    let article = if sort.starts_with(['a', 'e', 'i', 'o', 'u']) { "an" } else { "a" };
    format!("{article} {sort}")
}
