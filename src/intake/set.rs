//! A draft as the source of a procedure. What the text does not say stands as a comment where it is to be written.

use super::Counts;
use super::draft::{Draft, List, Message, Section, Step};
use super::library::{self, Proposal};
use super::names::Names;
use super::words::{message_parts, quantities, quoted, title_of};
use crate::parse;
use crate::quantity::{Kind, System, Unit};
use crate::source::{FileId, Span};

/// For so many tools and parts the library is asked.
const MOST_PROPOSED: usize = 1000;

/// The source, before it is set in its form, and what is in it.
pub fn set(name: &str, day: &str, draft: &Draft) -> (String, Counts) {
    let mut setter = Setter {
        out: String::new(),
        names: Names::default(),
        hazards: String::new(),
        counts: Counts::default(),
        uses_hazards: false,
        has_proposed: false,
    };
    setter.head(name, day, draft);
    let head = std::mem::take(&mut setter.out);
    setter.about(draft);
    setter.things(draft);
    let before = std::mem::take(&mut setter.out);
    for section in &draft.sections {
        setter.section(section);
    }
    setter.ending();
    let steps = std::mem::take(&mut setter.out);
    setter.libraries();
    let Setter { out: libraries, hazards, counts, .. } = setter;
    (format!("{head}{libraries}{before}{hazards}{steps}"), counts)
}

struct Setter {
    out: String,
    names: Names,
    /// Hazards that the library has under no title which the messages say.
    hazards: String,
    counts: Counts,
    /// Whether a message is one of the library's.
    uses_hazards: bool,
    /// Whether the library has something for a thing of the text.
    has_proposed: bool,
}

/// A remark with what a table says besides.
fn with_aside(remark: &str, aside: &str) -> String {
    match (remark.is_empty(), aside.is_empty()) {
        (_, true) => remark.to_owned(),
        (true, false) => format!("   # {aside}"),
        (false, false) => format!("{remark}; {aside}"),
    }
}

impl Setter {
    fn line(&mut self, line: &str) {
        self.out.push_str(line);
        self.out.push('\n');
    }

    fn head(&mut self, name: &str, day: &str, draft: &Draft) {
        self.line(&format!("procedure {name} {}", quoted(&draft.title, false)));
        self.line("");
        self.line("# Taken in from a text. Every word of it is here; what it does not say, the check asks for:");
        self.line(&format!("#   fitwright check {name}.fitw"));
        self.line("");
        for field in &draft.fields {
            self.line(format!("# {field}").trim_end());
        }
        if !draft.fields.is_empty() {
            self.line("");
        }
        self.line(&format!("revision A {day}                   # the day of this draft"));
        let inch = is_inch(draft);
        self.line(if inch { "units inch, metric" } else { "units metric, inch" });
        self.line("");
    }

    /// What the draft takes from a library has its line; the others wait for what the writer fills in (FW0214).
    fn libraries(&mut self) {
        if self.uses_hazards {
            self.line("use std/hazards");
        }
        let waiting = ["std/fasteners", "std/hand-tools", "std/protection", "std/hazards"];
        let named = if self.uses_hazards { waiting.len() - 1 } else { waiting.len() };
        self.line("# Each of these has its line `use …` once a thing of it is named:");
        self.line(&format!("#   {}", waiting.get(..named).unwrap_or_default().join(", ")));
        self.line("");
    }

    fn about(&mut self, draft: &Draft) {
        self.line("about {");
        for line in &draft.about {
            self.line(format!("> {line}").trim_end());
        }
        self.line("# Who can do it (skill), what it fits (fits), which law goes before it (licence).");
        self.line("}");
        self.line("");
    }

    /// Tools and parts.
    fn things(&mut self, draft: &Draft) {
        self.titles(&draft.tools);
        for item in &draft.tools.items {
            // Without a column for it, `3 jaw puller` may be the name of one.
            let (count, title) = if item.is_counted { counted(&item.words) } else { (None, item.words.as_str()) };
            let (name, remark) = self.proposed(title, "tool", &["tool", "protection"]);
            let aside = [count.map(|count| format!("{count} of it")), Some(item.aside.clone())];
            let aside = aside.into_iter().flatten().filter(|words| !words.is_empty()).collect::<Vec<_>>().join(", ");
            self.line(&format!("tool {name} {}{}", quoted(title, false), with_aside(&remark, &aside)));
        }
        if !draft.tools.items.is_empty() {
            self.line("# Which step uses which tool (use), the text does not say by itself.");
            if self.has_proposed {
                self.line("# What the library has brings its sizes and hazards: name it in the step, and take the line of it here out.");
            }
            self.line("");
        }
        self.titles(&draft.parts);
        let mut kit = Vec::new();
        for item in &draft.parts.items {
            let (count, title) = counted(&item.words);
            let (name, remark) = self.proposed(title, "part", &["part"]);
            self.line(&format!("part {name} {}{}", quoted(title, false), with_aside(&remark, &item.aside)));
            kit.push(match (count, &item.much) {
                (Some(count), _) => format!("{count} {name}"),
                (None, Some(much)) if comes_by(much) => format!("{much} {name}"),
                (None, Some(much)) => {
                    format!(
                        "unknown {name} {}",
                        quoted(&format!("The text says: {}.", much.trim_end_matches('.')), false)
                    )
                }
                (None, None) => format!("unknown {name} \"The text does not say how many.\""),
            });
        }
        if !kit.is_empty() {
            self.line("# Bolts, nuts and washers: write their form, such as `part NAME bolt M8 x 30 mm, class 8.8, hex head`.");
            self.line("");
            self.line("kit {");
            self.line("bag A {");
            for one in &kit {
                self.line(one);
            }
            self.line("}");
            self.line("}");
            self.line("");
        }
    }

    /// A name for a thing, and what the library has for it, as a comment.
    fn proposed(&mut self, title: &str, sort: &str, statements: &[&str]) -> (String, String) {
        self.counts.things += 1;
        // A list that is longer is no list of tools, and each entry is held against the whole library.
        if self.counts.things > MOST_PROPOSED {
            return (self.names.of(title, sort), String::new());
        }
        let Proposal { things, others } = library::things(title, statements);
        let mut remark = String::new();
        let mut last = "";
        for (library, name) in &things {
            match *library == last {
                true => remark.push_str(&format!(", `{name}`")),
                false if last.is_empty() => remark.push_str(&format!("   # {library} has `{name}`")),
                false => remark.push_str(&format!("; {library} has `{name}`")),
            }
            last = library;
        }
        if others > 0 {
            remark.push_str(&format!(" and {others} more"));
        }
        self.has_proposed |= !things.is_empty();
        // A name of the library would hide what it has.
        let named = if things.is_empty() { title.to_owned() } else { format!("our {title}") };
        (self.names.of(&named, sort), remark)
    }

    fn titles(&mut self, list: &List) {
        for title in &list.titles {
            self.line(&format!("# {title}"));
        }
    }

    fn section(&mut self, section: &Section) {
        self.counts.sections += 1;
        let name = self.names.of(&section.title, "section");
        self.line(&format!("section {name} {} {{", quoted(&section.title, false)));
        if section.steps.is_empty() {
            self.line("# The text has nothing below this heading.");
        }
        for step in &section.steps {
            self.line("");
            self.step(step);
        }
        self.line("}");
        self.line("");
    }

    fn step(&mut self, step: &Step) {
        self.counts.steps += 1;
        let name = self.names.of(&step.title, "step");
        self.line(&format!("step {name} {} {{", quoted(&step.title, false)));
        for message in &step.messages {
            self.message(message);
        }
        for line in &step.prose {
            self.line(format!("> {line}").trim_end());
        }
        for figure in &step.figures {
            let shows = if figure.words.is_empty() { &step.title } else { &figure.words };
            self.line(&format!("figure {} {}", quoted(&figure.address, false), quoted(shows, false)));
        }
        for note in &step.notes {
            self.line(&format!("note {}", quoted(note, true)));
        }
        self.line("}");
    }

    fn message(&mut self, message: &Message) {
        self.counts.messages += 1;
        let hazard = match library::hazard(&message.words) {
            Some(hazard) => {
                self.uses_hazards = true;
                hazard.to_string()
            }
            None => {
                let title = match title_of(&message.words) {
                    title if title.is_empty() => "Hazard of the text".to_string(),
                    title => title,
                };
                let name = self.names.of(&title, "hazard");
                self.hazards.push_str(
                    "# Give this hazard a name of its own, or put one of std/hazards in its place.
",
                );
                let title = quoted(&title, false);
                self.hazards.push_str(&format!(
                    "hazard {name} {title} {{ signal {} }}

",
                    message.signal
                ));
                name
            }
        };
        self.line(&format!("{} {hazard} {{", message.signal));
        let parts = message_parts(&message.words);
        for (word, part) in ["hazard", "consequence", "avoid"].into_iter().zip(parts) {
            if part.is_empty() {
                let what = match word {
                    "hazard" => "The text names no hazard by itself; fill in what can hurt",
                    "consequence" => "The text names no harm by itself; fill in what it can do",
                    _ => "The text does not say by itself how it is avoided; fill it in",
                };
                self.line(&format!("# {what}: {word} \"…\""));
            } else {
                self.line(&format!("{word} {}", quoted(&part.join(" "), true)));
            }
        }
        self.line("}");
    }

    fn ending(&mut self) {
        let name = self.names.of("Hand over", "section");
        self.counts.sections += 1;
        self.line("# Who signs, and what the customer is shown and keeps, is yours to say.");
        self.line(&format!("section {name} \"Hand over\" {{"));
        self.line("handover {");
        self.line("sign installer");
        self.line("}");
        self.line("}");
    }
}

/// Whether an amount is one that a kit holds: a length, a volume or a mass.
fn comes_by(much: &str) -> bool {
    let span = Span::new(FileId::new(0), 0, much.len());
    let whole = much.split_whitespace().count() <= 2
        && quantities(much).first().is_some_and(|(start, end, _)| *start == 0 && *end == much.len());
    let kind =
        parse::measure(much, span).and_then(|_| Unit::lookup(much.trim_start_matches(|c: char| !c.is_alphabetic())));
    whole && kind.is_some_and(|unit| matches!(unit.kind(), Kind::Length | Kind::Volume | Kind::Mass))
}

/// How many of a thing an entry says at its head, and what the thing is: `4 × M8 bolt`, `2x washer`, `2 nuts`.
fn counted(item: &str) -> (Option<u32>, &str) {
    let digits = item.bytes().take_while(u8::is_ascii_digit).count();
    let none = (None, item);
    let (Some(number), Some(rest)) = (item.get(..digits), item.get(digits..)) else { return none };
    let Some(count) = number.parse().ok().filter(|count| (1..=10_000).contains(count)) else { return none };
    // `10 mm washer` is a size.
    if quantities(item).first().is_some_and(|(start, ..)| *start == 0) {
        return none;
    }
    let thing = rest.trim_start();
    let thing = ["×", "x ", "X "].iter().find_map(|sign| thing.strip_prefix(sign)).unwrap_or(thing).trim_start();
    if thing.len() == rest.len() || !thing.starts_with(char::is_alphanumeric) { none } else { (Some(count), thing) }
}

/// Whether most quantities of a text are in inches and pounds.
fn is_inch(draft: &Draft) -> bool {
    let steps = draft.sections.iter().flat_map(|section| &section.steps);
    let lines = steps.flat_map(|step| step.prose.iter().chain(&step.notes)).chain(&draft.about);
    // Mentions stand in brackets there.
    let systems = lines.flat_map(|line| quantities(&line.replace(['[', ']'], " "))).map(|(.., system)| system);
    let (inch, metric): (Vec<_>, Vec<_>) = systems.partition(|system| *system == System::Inch);
    inch.len() > metric.len()
}
