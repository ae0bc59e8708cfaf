//! Blocks of a document, sorted into what a procedure is made of.

use super::run_in;
use super::table;
use super::words::{self, sentences, title_of};
use crate::prose::outline::{Block, Kind, Picture};

/// What a document comes to.
#[derive(Debug, Default)]
pub struct Draft {
    pub title: String,
    /// Lines of the fields before the text: `author: Workshop`.
    pub fields: Vec<String>,
    /// Lines of Markdown that belong to no section; an empty one parts paragraphs.
    pub about: Vec<String>,
    pub tools: List,
    pub parts: List,
    pub sections: Vec<Section>,
}

/// What is listed below a heading such as *Tools*.
#[derive(Debug, Default)]
pub struct List {
    /// The headings, and those of the columns of tables.
    pub titles: Vec<String>,
    pub items: Vec<table::Item>,
}

/// A section.
#[derive(Debug, Default)]
pub struct Section {
    pub title: String,
    pub level: usize,
    pub steps: Vec<Step>,
}

/// A step.
#[derive(Debug, Default)]
pub struct Step {
    pub title: String,
    pub messages: Vec<Message>,
    /// Lines of Markdown.
    pub prose: Vec<String>,
    /// Pictures that stand by themselves, each a file beside the text.
    pub figures: Vec<Picture>,
    pub notes: Vec<String>,
}

/// A safety message.
#[derive(Debug)]
pub struct Message {
    pub signal: &'static str,
    pub words: String,
}

/// Where the words go that come next.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Place {
    About,
    Tools,
    Parts,
    /// Below a heading of warnings: each sentence of its own is one.
    Warnings(&'static str),
    Section,
}

/// Sorts the blocks of a document.
pub fn of(title: &str, blocks: &[Block]) -> Draft {
    let own = match blocks.first() {
        Some(first)
            if matches!(first.kind, Kind::Heading(1)) || first.kind == Kind::Paragraph && is_capitals(&first.plain) =>
        {
            Some(first.plain.clone())
        }
        _ => None,
    };
    let rest = blocks.get(usize::from(own.is_some())..).unwrap_or(&[]);
    let mut sorter = Sorter {
        draft: Draft { title: own.unwrap_or_else(|| title.to_string()), ..Draft::default() },
        place: Place::About,
        waiting: Step::default(),
        signal: None,
        level: 0,
        columns: Vec::new(),
        after_table: None,
        has_sections: rest.iter().any(|block| heading(block).is_some() && list_said_by(&block.plain).is_none()),
    };
    for block in rest {
        sorter.block(block);
    }
    sorter.settle(true);
    sorter.draft
}

/// The level of a heading: one of CommonMark, or a short line of capitals alone.
fn heading(block: &Block) -> Option<usize> {
    match block.kind {
        Kind::Heading(level) => Some(level),
        Kind::Paragraph if is_capitals(&block.plain) => Some(2),
        _ => None,
    }
}

/// Whether a line is a heading as people type it: short, and in capitals.
pub fn is_capitals(line: &str) -> bool {
    let letters = line.chars().filter(|c| c.is_alphabetic());
    let few = line.len() <= 80 && line.split(' ').count() <= 8 && !line.ends_with(['.', ',', ';', '!', '?']);
    few && letters.clone().count() > 3
        && letters.clone().all(char::is_uppercase)
        && words::signal(line).is_none()
        && words::note(line).is_none()
}

/// Whether a heading says that tools or parts are listed below it, and nothing else.
fn list_of(title: &str) -> Option<Place> {
    const TOOLS: &[&str] = &["tool", "tools", "equipment", "instruments"];
    const PARTS: &[&str] = &[
        "part",
        "parts",
        "material",
        "materials",
        "hardware",
        "components",
        "contents",
        "kit",
        "fasteners",
        "consumables",
    ];
    const FILLER: &[&str] = &[
        "necessary",
        "bill",
        "recommended",
        "mandatory",
        "optional",
        "additional",
        "required",
        "needed",
        "list",
        "lists",
        "and",
        "the",
        "of",
        "you",
        "need",
        "will",
        "for",
        "this",
        "job",
        "included",
        "supplied",
        "special",
        "in",
        "box",
        "what",
        "is",
        "are",
    ];
    let lower = title.to_lowercase();
    let all: Vec<&str> = lower.split(|c: char| !c.is_alphabetic()).filter(|word| !word.is_empty()).collect();
    let has = |set: &[&str]| all.iter().any(|word| set.contains(word));
    let known = all.iter().all(|word| TOOLS.contains(word) || PARTS.contains(word) || FILLER.contains(word));
    match (known, has(TOOLS), has(PARTS)) {
        // Of both, nobody can say which is which.
        (true, true, false) => Some(Place::Tools),
        (true, false, true) => Some(Place::Parts),
        _ => None,
    }
}

/// Whether a heading parts a list of tools or parts: *Optional*; below that of the list also *Electrical*.
fn is_of_a_list(title: &str, below: bool) -> bool {
    const HOW_NEEDED: &[&str] = &["mandatory", "optional", "required", "recommended", "additional"];
    const WORDS: &[&str] = &[
        "main",
        "mechanical",
        "electrical",
        "electronic",
        "electronics",
        "hardware",
        "fasteners",
        "printed",
        "special",
        "other",
        "misc",
        "miscellaneous",
        "general",
        "consumables",
        "and",
    ];
    let lower = title.to_lowercase();
    let mut all = lower.split(|c: char| !c.is_alphabetic()).filter(|word| !word.is_empty());
    all.all(|word| HOW_NEEDED.contains(&word) || below && WORDS.contains(&word))
}

/// Of which list a table is, by a head of its columns.
fn list_in_a_table(heads: &str) -> Option<Place> {
    table::cells(heads).find_map(list_of)
}

/// Whether a picture is a file beside the text, of a sort that a procedure can show.
fn is_beside(picture: &Picture) -> bool {
    let address = picture.address.strip_prefix("./").unwrap_or(&picture.address);
    let is_plain = address.chars().all(|c| c.is_alphanumeric() || matches!(c, '/' | '.' | '-' | '_' | ' '));
    let stays = !address.split('/').any(|part| part.is_empty() || part.starts_with('.'));
    let sort = address.rsplit_once('.').map(|(_, sort)| sort.to_ascii_lowercase());
    is_plain && stays && sort.is_some_and(|sort| matches!(sort.as_str(), "svg" | "png" | "jpg" | "jpeg"))
}

/// What pictures show, in words; of one of which nothing is said, its file.
fn told(pictures: &[Picture]) -> String {
    let words = |picture: &Picture| match title_of(&picture.words) {
        title if title.is_empty() => picture.address.clone(),
        _ => picture.words.clone(),
    };
    pictures.iter().map(words).collect::<Vec<_>>().join(" ")
}

/// The same of other words: those of a heading, or before the colon of a list that runs in a sentence. What one *needs* and has not in the box are tools.
fn list_said_by(head: &str) -> Option<Place> {
    const TOOLS: &[&str] = &["you need", "you will need", "needed", "what you need", "have ready"];
    const PARTS: &[&str] =
        &["in the box", "the box contains", "the kit contains", "in the kit", "supplied", "included"];
    let lower = head.trim().to_lowercase();
    let is = |set: &[&str]| set.contains(&lower.as_str());
    list_of(head).or(is(TOOLS).then_some(Place::Tools)).or(is(PARTS).then_some(Place::Parts))
}

struct Sorter {
    draft: Draft,
    place: Place,
    /// What stands before the first step, or belongs to the next one: messages, pictures, lines that are kept as they are written.
    waiting: Step,
    /// A signal word that stood alone: the next paragraph is its message.
    signal: Option<&'static str>,
    /// The level of the heading of the list that is read.
    level: usize,
    /// What the columns of the table are that is read.
    columns: Vec<table::Column>,
    /// Where the words go on after a table of tools or parts that stands among them.
    after_table: Option<Place>,
    has_sections: bool,
}

impl Sorter {
    fn block(&mut self, read: &Block) {
        if !matches!(read.kind, Kind::Columns | Kind::Row)
            && let Some(place) = self.after_table.take()
        {
            self.place = place;
        }
        if read.kind == Kind::Columns {
            self.columns = table::columns(&read.plain);
            self.begin_table(&read.plain);
        }
        let block = &in_line(read);
        if let Some(level) = heading(block) {
            return self.heading(level, &block.plain);
        }
        if let Some(signal) = self.signal.take() {
            return self.message(signal, &block.plain);
        }
        let signal = words::signal(&block.plain).or_else(|| words::signal_in_bold(&block.plain, &block.marked));
        if let Some((signal, words)) = signal {
            if words.is_empty() {
                self.signal = Some(signal);
                return;
            }
            return self.message(signal, words);
        }
        if self.place != Place::Section && self.listed_in_a_sentence(block) {
            return;
        }
        if let Place::Warnings(signal) = self.place {
            return self.message(signal, &block.plain);
        }
        match (self.place, block.kind) {
            (Place::Tools | Place::Parts, Kind::Entry(_)) => {
                let item = table::Item { words: block.plain.clone(), ..table::Item::default() };
                self.list().items.push(item);
            }
            (Place::Tools | Place::Parts, Kind::Columns) => {
                // A table of parts may stand below the tools.
                self.place = list_in_a_table(&read.plain).unwrap_or(self.place);
                self.list().titles.push(block.plain.clone());
            }
            (Place::Tools | Place::Parts, Kind::Row) => {
                let item = table::item(&self.columns, &read.plain);
                self.list().items.push(item);
            }
            // Without headings, what is listed is the work.
            (Place::About, Kind::Entry(_)) if !self.has_sections => {
                self.begin_own_section();
                self.in_section(block);
            }
            (Place::Section, _) => self.in_section(block),
            (_, kind) => self.in_about(kind, &block.marked),
        }
    }

    /// A table that counts things by their name lists them, wherever it stands. A heading with nothing else below it is that of the list.
    fn begin_table(&mut self, heads: &str) {
        if !matches!(self.place, Place::About | Place::Section) || !table::lists(&self.columns) {
            return;
        }
        self.after_table = Some(self.place);
        self.place = list_in_a_table(heads).unwrap_or(Place::Parts);
        let waits = self.something_waits();
        if let Some(section) = self.draft.sections.pop_if(|section| section.steps.is_empty() && !waits) {
            self.list().titles.push(section.title);
            self.after_table = Some(if self.draft.sections.is_empty() { Place::About } else { Place::Section });
        }
    }

    /// Takes in a sentence that lists tools or parts. The sentence stays over them, as it is.
    fn listed_in_a_sentence(&mut self, block: &Block) -> bool {
        let list = run_in::list(&block.plain).filter(|_| block.kind == Kind::Paragraph);
        let Some((place, items)) = list.and_then(|(head, items)| Some((list_said_by(head)?, items))) else {
            return false;
        };
        let list = if place == Place::Tools { &mut self.draft.tools } else { &mut self.draft.parts };
        list.titles.push(block.plain.clone());
        list.items.extend(items.iter().map(|item| table::Item { words: (*item).to_owned(), ..table::Item::default() }));
        true
    }

    /// What is listed at this place.
    fn list(&mut self) -> &mut List {
        if self.place == Place::Tools { &mut self.draft.tools } else { &mut self.draft.parts }
    }

    fn begin_own_section(&mut self) {
        let title = self.draft.title.clone();
        self.draft.sections.push(Section { title, level: 1, ..Section::default() });
        self.place = Place::Section;
    }

    fn heading(&mut self, level: usize, title: &str) {
        self.settle(false);
        if let Some(place) = list_said_by(title) {
            self.place = place;
            self.level = level;
            self.list().titles.push(title.to_string());
            return;
        }
        // A list may be parted by headings of its own.
        if matches!(self.place, Place::Tools | Place::Parts) && is_of_a_list(title, level > self.level) {
            self.list().titles.push(title.to_string());
            return;
        }
        if let Some(signal) = words::signal_of_heading(title) {
            self.place = Place::Warnings(signal);
            self.in_about(Kind::Paragraph, title);
            return;
        }
        self.place = Place::Section;
        // A heading with nothing but smaller headings below it goes with the first of them.
        if let Some(last) = self.draft.sections.last_mut().filter(|last| last.steps.is_empty() && last.level < level) {
            last.title = format!("{}: {title}", last.title);
            last.level = level;
            return;
        }
        self.draft.sections.push(Section { title: title.to_string(), level, ..Section::default() });
    }

    fn in_about(&mut self, kind: Kind, marked: &str) {
        let about = &mut self.draft.about;
        match kind {
            Kind::Entry(depth) => about.push(entry(depth, marked)),
            Kind::Columns | Kind::Row => about.extend([String::new(), safe_head(marked)]),
            _ => {
                if !about.is_empty() {
                    about.push(String::new());
                }
                about.push(safe_head(marked));
            }
        }
    }

    fn in_section(&mut self, block: &Block) {
        if !block.pictures.is_empty() && block.pictures.iter().all(is_beside) {
            return self.pictures(block);
        }
        if let Some(note) = words::note(&block.plain) {
            return self.note(note);
        }
        match block.kind {
            Kind::Entry(depth) if depth > 1 && self.step().is_some() => {
                let line = entry(depth - 1, &block.marked);
                if let Some(step) = self.step() {
                    // A list is parted from the sentence before it.
                    if step
                        .prose
                        .last()
                        .is_some_and(|before| !before.is_empty() && !before.trim_start().starts_with("- "))
                    {
                        step.prose.push(String::new());
                    }
                    step.prose.push(line);
                }
            }
            Kind::More(_) if self.step().is_some() => self.more(&block.marked),
            Kind::Verbatim if self.step().is_some() => self.more(&block.marked),
            // A drawing of signs, or what is to be typed, is no action.
            Kind::Verbatim => self.waiting.prose.extend([safe_head(&block.marked), String::new()]),
            Kind::Columns | Kind::Row if self.step().is_some() => self.more(&block.marked),
            Kind::Columns | Kind::Row => self.new_step(&block.plain, &block.marked),
            _ => self.new_step(&block.plain, &block.marked),
        }
    }

    fn step(&mut self) -> Option<&mut Step> {
        self.draft.sections.last_mut()?.steps.last_mut()
    }

    fn new_step(&mut self, plain: &str, marked: &str) {
        if self.draft.sections.is_empty() {
            self.begin_own_section();
        }
        let step = Step { title: title_of(plain), ..std::mem::take(&mut self.waiting) };
        if let Some(section) = self.draft.sections.last_mut() {
            section.steps.push(step);
        }
        self.more(marked);
    }

    /// Pictures that stand by themselves: the step in hand shows them, or the next one. One that is an entry of its own is all that its step says.
    fn pictures(&mut self, block: &Block) {
        if matches!(block.kind, Kind::Entry(1)) {
            self.new_step(&told(&block.pictures), "");
        }
        let step = match self.draft.sections.last_mut().and_then(|section| section.steps.last_mut()) {
            Some(step) => step,
            None => &mut self.waiting,
        };
        step.figures.extend(block.pictures.iter().cloned());
    }

    /// Lines of the step in hand, a sentence a line.
    fn more(&mut self, marked: &str) {
        let Some(step) = self.step() else { return };
        for sentence in sentences(marked) {
            // A line that ends no sentence would go on in the next.
            if step.prose.last().is_some_and(|before| !before.is_empty() && !before.ends_with(['.', '!', '?'])) {
                step.prose.push(String::new());
            }
            step.prose.push(safe_head(sentence));
        }
    }

    fn note(&mut self, words: &str) {
        match self.step() {
            Some(step) => step.notes.push(words.to_string()),
            None => {
                self.new_step(words, "");
                if let Some(step) = self.step() {
                    step.notes.push(words.to_string());
                }
            }
        }
    }

    /// A message is for the step that comes next, be it in a section further down.
    fn message(&mut self, signal: &'static str, words: &str) {
        self.waiting.messages.push(Message { signal, words: words.to_string() });
    }

    /// Whether something was read that a step still to come takes along.
    fn something_waits(&self) -> bool {
        let Step { messages, prose, figures, .. } = &self.waiting;
        !(messages.is_empty() && prose.is_empty() && figures.is_empty())
    }

    /// At the end of a section, or of all: what waits for a step gets one.
    fn settle(&mut self, last: bool) {
        if let Some(signal) = self.signal.take() {
            self.message(signal, "");
        }
        if !self.something_waits() || self.place != Place::Section && !last {
            return;
        }
        if self.draft.sections.is_empty() {
            self.begin_own_section();
        }
        // What waits behind the last step belongs to it.
        match self.draft.sections.last_mut().and_then(|section| section.steps.last_mut()) {
            Some(step) => {
                let waiting = std::mem::take(&mut self.waiting);
                step.messages.extend(waiting.messages);
                step.prose.extend(waiting.prose);
                step.figures.extend(waiting.figures);
                step.notes.extend(waiting.notes);
            }
            None => {
                let title = self.draft.sections.last().map_or_else(String::new, |section| section.title.clone());
                self.new_step(&title, "");
            }
        }
    }
}

/// The block with the cells of a row one after the other.
fn in_line(block: &Block) -> Block {
    match block.kind {
        Kind::Columns | Kind::Row => Block {
            plain: table::in_line(&block.plain),
            marked: table::in_line(&block.marked),
            kind: block.kind,
            pictures: Vec::new(),
        },
        _ => block.clone(),
    }
}

/// An entry of a list within a step, so many lists deep.
fn entry(depth: usize, marked: &str) -> String {
    format!("{}- {}", "  ".repeat(depth.clamp(1, 6) - 1), safe_head(marked))
}

/// A line that CommonMark reads as words, whatever it begins with.
fn safe_head(line: &str) -> String {
    let digits = line.bytes().take_while(u8::is_ascii_digit).count();
    if line.starts_with(['-', '+', '=']) {
        return format!("\\{line}");
    }
    match (line.get(..digits), line.get(digits..)) {
        (Some(number), Some(rest)) if digits > 0 && rest.starts_with(['.', ')']) => format!("{number}\\{rest}"),
        _ => line.to_string(),
    }
}
