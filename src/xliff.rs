//! XLIFF 2.1 (OASIS Standard, 13 February 2018), for translators who work with it: the same texts as in a PO file, read into the
//! same [`File`].
//!
//! A text is a `unit` with one `segment`. What stands in braces in a PO file is a `ph` here, which says that it can be neither
//! copied nor deleted; its `equiv` is the brace. A translation of an older text has the `subState` `fitwright:outdated`. What the program
//! and translators say of a text are its notes. Texts that are gone stand in a `file` of their own.

use std::collections::HashMap;
use std::fmt::Write as _;

use quick_xml::escape::{escape, resolve_predefined_entity};
use quick_xml::events::{BytesStart, Event};
use quick_xml::{Reader, XmlVersion};

use crate::po::{Entry, Fault, File, MOST_TEXT, text_of};

/// The namespace of the core of XLIFF 2.
const NAMESPACE: &str = "urn:oasis:names:tc:xliff:document:2.0";
/// The translation is of an older text.
const OUTDATED: &str = "fitwright:outdated";
/// What the program says of a text.
const PROGRAM: &str = "program";
/// The text that a translation was made of.
const PREVIOUS: &str = "previous";
/// What stands before the texts.
const ABOUT: &str = "about";
/// Ends the name of the file of texts that are gone.
const GONE: &str = ".gone";
/// Elements in elements.
const DEPTH: usize = 32;

/// Whether a file is XML, and so none in PO.
pub fn is_one(bytes: &[u8]) -> bool {
    let bytes = bytes.strip_prefix(b"\xef\xbb\xbf").unwrap_or(bytes);
    bytes.iter().find(|byte| !byte.is_ascii_whitespace()) == Some(&b'<')
}

/// The texts as XLIFF, from one language to another, by their tags (RFC 5646). `id` is the name of the procedure.
pub fn write(file: &File, id: &str, (from, to): (&str, &str)) -> String {
    let mut text = format!(
        "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n<xliff xmlns=\"{NAMESPACE}\" version=\"2.1\" srcLang=\"{}\" trgLang=\"{}\">\n",
        escape(from),
        escape(to)
    );
    let (gone, here): (Vec<&Entry>, Vec<&Entry>) = file.entries.iter().partition(|entry| entry.obsolete);
    let mut number = 0;
    for (ending, entries) in [("", here), (GONE, gone)] {
        if entries.is_empty() {
            continue;
        }
        let _ = writeln!(text, "  <file id=\"{}{ending}\">", escape(id));
        if ending.is_empty() {
            let about = file.comments.iter().map(|comment| (ABOUT, comment.as_str()));
            let header = file.header.iter().map(|(name, value)| (name.as_str(), value.as_str()));
            notes(&mut text, "    ", about.chain(header).collect());
        }
        for entry in entries {
            number += 1;
            unit(&mut text, entry, number);
        }
        text.push_str("  </file>\n");
    }
    text.push_str("</xliff>\n");
    text
}

fn notes(text: &mut String, indent: &str, notes: Vec<(&str, &str)>) {
    if notes.is_empty() {
        return;
    }
    let _ = writeln!(text, "{indent}<notes>");
    for (category, note) in notes {
        let category = if category.is_empty() { String::new() } else { format!(" category=\"{}\"", escape(category)) };
        let _ = writeln!(text, "{indent}  <note{category}>{}</note>", escape(note));
    }
    let _ = writeln!(text, "{indent}</notes>");
}

fn unit(text: &mut String, entry: &Entry, number: usize) {
    let name = entry.context.as_deref().unwrap_or_default();
    let _ = writeln!(text, "    <unit id=\"t{number}\" name=\"{}\">", escape(name));
    let said = entry.notes.iter().map(|note| (PROGRAM, note.as_str()));
    let previous = entry.previous.iter().map(|previous| (PREVIOUS, previous.as_str()));
    let theirs = entry.comments.iter().map(|comment| ("", comment.as_str()));
    notes(text, "      ", said.chain(previous).chain(theirs).collect());
    let state = match (entry.text.is_empty(), entry.fuzzy) {
        (true, _) => " state=\"initial\"".to_owned(),
        (false, true) => format!(" state=\"initial\" subState=\"{OUTDATED}\""),
        (false, false) => " state=\"translated\"".to_owned(),
    };
    let _ = writeln!(text, "      <segment{state}>");
    let _ = writeln!(text, "        <source xml:space=\"preserve\">{}</source>", inline(&entry.source));
    if !entry.text.is_empty() {
        let _ = writeln!(text, "        <target xml:space=\"preserve\">{}</target>", inline(&entry.text));
    }
    text.push_str("      </segment>\n    </unit>\n");
}

/// A text with its braces as elements. The second of a name has an id of its own, because ids differ within a unit.
fn inline(text: &str) -> String {
    let mut made = String::with_capacity(text.len());
    let mut names: Vec<&str> = Vec::new();
    let mut rest = text;
    while let Some(at) = rest.find(['{', '}']) {
        let (before, from) = rest.split_at(at);
        made.push_str(&escape(before));
        let inside = from.strip_prefix('{').and_then(|from| from.split_once('}'));
        rest = match inside {
            _ if from.starts_with("{{") || from.starts_with("}}") => {
                made.push_str(from.get(..1).unwrap_or_default());
                from.get(2..).unwrap_or_default()
            }
            Some((name, after)) if !name.is_empty() => {
                let before = names.iter().filter(|known| **known == name).count();
                names.push(name);
                let id = if before == 0 { name.to_owned() } else { format!("{name}-{}", before + 1) };
                let _ = write!(
                    made,
                    "<ph id=\"{}\" canCopy=\"no\" canDelete=\"no\" equiv=\"{{{}}}\"/>",
                    escape(id),
                    escape(name)
                );
                after
            }
            // A brace that opens nothing stays what it is, and the reader of translations tells of it.
            _ => {
                made.push_str(from.get(..1).unwrap_or_default());
                from.get(1..).unwrap_or_default()
            }
        };
    }
    made.push_str(&escape(rest));
    made
}

/// Reads a file.
///
/// # Errors
/// With the line of the first fault: what is no XML or no XLIFF 2, is not UTF-8, is too large, declares a document type, or has an
/// inline element that the program did not write; a text without a name, or two of one name.
pub fn read(bytes: &[u8]) -> Result<File, Vec<Fault>> {
    let fault = |line: usize, what: &str| vec![Fault { line, what: what.to_owned() }];
    let text = text_of(bytes)?;
    let mut found = Found::default();
    let mut reader = Reader::from_str(text);
    let (mut at, mut line) = (0_usize, 1_usize);
    loop {
        let from = usize::try_from(reader.buffer_position()).unwrap_or(text.len());
        line += text.get(at..from).map_or(0, |passed| passed.matches('\n').count());
        at = from;
        let event = match reader.read_event() {
            Ok(event) => event,
            Err(error) => return Err(fault(line, &format!("this is no XML that can be read: {error}"))),
        };
        let ended = matches!(event, Event::Eof);
        found.take(event, line).map_err(|what| fault(line, &what))?;
        if ended {
            return found.end().map_err(|(line, what)| fault(line, &what));
        }
    }
}

/// What is read so far.
#[derive(Default)]
struct Found {
    file: File,
    /// The names of the open elements.
    open: Vec<String>,
    is_xliff: bool,
    gone: bool,
    /// On which line the texts of the names so far stand, apart from those that are gone.
    known: HashMap<(bool, String), usize>,
    unit: Option<Unit>,
    /// What is written into, and what stands there so far.
    part: Option<(Part, String)>,
}

#[derive(Debug, Clone, PartialEq, Eq)]
enum Part {
    Source,
    Target,
    /// A note, with its category.
    Note(String),
}

/// A text with its segments.
#[derive(Default)]
struct Unit {
    entry: Entry,
    /// Source and target of each segment.
    segments: Vec<(String, Option<String>)>,
}

impl Found {
    fn take(&mut self, event: Event<'_>, line: usize) -> Result<(), String> {
        match event {
            Event::Start(element) => {
                let name = self.start(&element, line)?;
                self.open.push(name);
                if self.open.len() > DEPTH {
                    Err(format!("elements stand in elements more than {DEPTH} deep"))
                } else {
                    Ok(())
                }
            }
            Event::Empty(element) => {
                let name = self.start(&element, line)?;
                self.close(&name)
            }
            Event::End(_) => match self.open.pop() {
                Some(name) => self.close(&name),
                None => Ok(()),
            },
            Event::Text(words) => {
                self.words(&words.xml10_content());
                Ok(())
            }
            Event::CData(words) => {
                self.words(&words.xml10_content());
                Ok(())
            }
            Event::GeneralRef(reference) => {
                let name = reference.xml10_content();
                let sign = reference.resolve_char_ref().map_err(|error| error.to_string())?.map(String::from);
                let sign = sign.or_else(|| resolve_predefined_entity(&name).map(str::to_owned));
                self.words(&sign.ok_or_else(|| format!("the entity `&{name};` is not declared"))?);
                Ok(())
            }
            Event::DocType(_) => Err("a document type is declared; XLIFF has none".to_owned()),
            Event::Eof | Event::Decl(_) | Event::Comment(_) | Event::PI(_) => Ok(()),
        }
    }

    fn words(&mut self, words: &str) {
        let Some((part, text)) = &mut self.part else { return };
        match part {
            Part::Note(_) => text.push_str(words),
            Part::Source | Part::Target => text.push_str(&words.replace('{', "{{").replace('}', "}}")),
        }
    }

    fn start(&mut self, element: &BytesStart<'_>, line: usize) -> Result<String, String> {
        let local = element.local_name();
        let name: &str = local.as_ref();
        let of = |wanted: &str| -> Result<Option<String>, String> {
            for attribute in element.attributes() {
                let attribute = attribute.map_err(|error| error.to_string())?;
                let key: &str = attribute.key.as_ref();
                if key == wanted {
                    return Ok(Some(
                        attribute
                            .normalized_value(XmlVersion::Implicit1_0)
                            .map_err(|error| error.to_string())?
                            .into_owned(),
                    ));
                }
            }
            Ok(None)
        };
        let inside = matches!(self.part, Some((Part::Source | Part::Target, _)));
        match name {
            "xliff" if self.open.is_empty() => {
                let version = of("version")?.unwrap_or_default();
                if !version.starts_with("2.") {
                    return Err(format!("this is XLIFF {version}; write XLIFF 2.0 or 2.1"));
                }
                self.is_xliff = true;
            }
            _ if self.open.is_empty() => return Err(format!("this is no XLIFF: its first element is `{name}`")),
            "ph" if inside => {
                let brace = match of("equiv")? {
                    Some(brace) => brace,
                    None => format!("{{{}}}", of("id")?.unwrap_or_default()),
                };
                if let Some((_, text)) = &mut self.part {
                    text.push_str(&brace);
                }
            }
            // What a translator's program notes of a place changes nothing of the text.
            "mrk" | "sm" | "em" if inside => {}
            _ if inside => return Err(format!("`{name}` stands in a text, and the program wrote none")),
            "file" => self.gone = of("id")?.is_some_and(|id| id.ends_with(GONE)),
            "unit" => {
                let context = of("name")?.filter(|name| !name.is_empty());
                let context = context.ok_or("this unit has no name, so that nobody can tell which text it is")?;
                let entry = Entry { context: Some(context), obsolete: self.gone, line, ..Entry::default() };
                self.unit = Some(Unit { entry, segments: Vec::new() });
            }
            "segment" | "ignorable" => {
                let outdated = of("subState")?.as_deref() == Some(OUTDATED);
                if let Some(unit) = &mut self.unit {
                    unit.entry.fuzzy |= outdated;
                    unit.segments.push((String::new(), None));
                }
            }
            "source" => self.part = Some((Part::Source, String::new())),
            "target" => self.part = Some((Part::Target, String::new())),
            "note" => self.part = Some((Part::Note(of("category")?.unwrap_or_default()), String::new())),
            _ => {}
        }
        Ok(name.to_owned())
    }

    fn close(&mut self, name: &str) -> Result<(), String> {
        match name {
            "source" | "target" | "note" => {
                let Some((part, text)) = self.part.take() else { return Ok(()) };
                if text.len() > MOST_TEXT {
                    return Err(format!("the text is longer than {MOST_TEXT} bytes"));
                }
                self.keep(part, text);
            }
            "ignorable" => {
                // What is parted off, blanks between sentences, is the same in both languages unless it says otherwise.
                if let Some((source, target @ None)) = self.unit.as_mut().and_then(|unit| unit.segments.last_mut()) {
                    *target = Some(source.clone());
                }
            }
            "unit" => {
                let Some(Unit { mut entry, segments }) = self.unit.take() else { return Ok(()) };
                entry.source = segments.iter().map(|(source, _)| source.as_str()).collect();
                // Half a translation is none.
                let whole: Option<String> = segments.into_iter().map(|(_, target)| target).collect();
                entry.text = whole.filter(|text| !text.trim().is_empty()).unwrap_or_default();
                let name = entry.context.clone().unwrap_or_default();
                if let Some(first) =
                    self.known.insert((entry.obsolete, name.clone()), entry.line).filter(|_| !entry.obsolete)
                {
                    return Err(format!("`{name}` stands here for the second time; first on line {first}"));
                }
                self.file.entries.push(entry);
            }
            _ => {}
        }
        Ok(())
    }

    fn keep(&mut self, part: Part, text: String) {
        let Some(unit) = &mut self.unit else {
            match part {
                Part::Note(category) if category == ABOUT => self.file.comments.push(text),
                Part::Note(category) if !category.is_empty() => self.file.header.push((category, text)),
                _ => {}
            }
            return;
        };
        let segment = unit.segments.last_mut();
        match part {
            Part::Source => drop(segment.map(|(source, _)| *source = text)),
            Part::Target => drop(segment.map(|(_, target)| *target = Some(text))),
            Part::Note(category) if category == PROGRAM => unit.entry.notes.push(text),
            Part::Note(category) if category == PREVIOUS => unit.entry.previous = Some(text),
            Part::Note(_) => unit.entry.comments.push(text),
        }
    }

    fn end(self) -> Result<File, (usize, String)> {
        match self.open.last() {
            Some(name) => Err((1, format!("the file ends within `{name}`"))),
            None if !self.is_xliff => Err((1, "this is no XLIFF: there is no element in it".to_owned())),
            None => Ok(self.file),
        }
    }
}
