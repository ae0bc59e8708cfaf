//! A document in CommonMark as a flat list of blocks: headings, paragraphs, entries of lists. All its words are in it.

use super::is_safe;
use pulldown_cmark::{CodeBlockKind, Event, LinkType, Options, Parser, Tag, TagEnd};
use std::collections::BTreeSet;

/// One block.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Block {
    /// What it is.
    pub kind: Kind,
    /// Its words without marks.
    pub plain: String,
    /// Its words as CommonMark on one line, with whatever `mark` made of them.
    pub marked: String,
    /// The pictures of a block that has nothing else; its words are theirs all the same.
    pub pictures: Vec<Picture>,
}

/// A picture.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Picture {
    /// Where it is.
    pub address: String,
    /// What is said of it: its description and its title.
    pub words: String,
}

/// What a block is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Kind {
    /// A heading of a level, 1 to 6.
    Heading(usize),
    /// A paragraph outside lists.
    Paragraph,
    /// The first paragraph of an entry, in how many lists, from 1.
    Entry(usize),
    /// A further paragraph of an entry.
    More(usize),
    /// A line of a program or of anything else that is kept as it is written.
    Verbatim,
    /// The heads of a table's columns, with [`BETWEEN_CELLS`] between.
    Columns,
    /// A row of a table, its cells likewise.
    Row,
}

/// What stands between the cells of a table: the separator of units of ISO/IEC 646, which no text that is read here has.
pub const BETWEEN_CELLS: char = '\u{1f}';

/// Reads a document. `mark` gives a run of plain words as CommonMark.
pub fn outline(document: &str, mark: &mut dyn FnMut(&str) -> String) -> Vec<Block> {
    let mut reader = Reader {
        mark,
        blocks: Vec::new(),
        run: String::new(),
        now: None,
        lists: 0,
        fresh: false,
        ends: Vec::new(),
        open: Vec::new(),
        others: false,
        used: BTreeSet::new(),
    };
    let parser = Parser::new_ext(document, Options::ENABLE_TABLES | Options::ENABLE_TASKLISTS);
    // Definitions that nothing names are words of the document too.
    let definitions = parser.reference_definitions().iter();
    let mut definitions: Vec<_> = definitions.map(|(id, one)| (one.span.clone(), id.to_string())).collect();
    definitions.sort_by_key(|(span, _)| span.start);
    for event in parser {
        reader.event(event);
    }
    reader.finish();
    reader.lists = 0;
    for (span, id) in definitions {
        if !reader.used.contains(&id) {
            reader.add(document.get(span).unwrap_or(""));
            reader.finish();
        }
    }
    reader.blocks
}

struct Reader<'m> {
    mark: &'m mut dyn FnMut(&str) -> String,
    blocks: Vec<Block>,
    /// Plain words that were not marked yet; CommonMark gives them in pieces.
    run: String,
    now: Option<Block>,
    lists: usize,
    /// Whether the entry in hand has no words yet.
    fresh: bool,
    /// Where the links and pictures lead that are open.
    ends: Vec<String>,
    /// The pictures that are open: a description may hold another one.
    open: Vec<Open>,
    /// Whether the block in hand has words that are no picture's.
    others: bool,
    /// The definitions that links and pictures name.
    used: BTreeSet<String>,
}

/// A picture whose description is being read.
struct Open {
    address: String,
    title: String,
    /// The words of the block before it, in bytes.
    from: usize,
}

impl Reader<'_> {
    fn event(&mut self, event: Event<'_>) {
        match event {
            Event::Start(tag) => self.start(tag),
            Event::End(tag) => self.end(tag),
            Event::Text(text) if self.is_verbatim() => {
                for line in text.lines().filter(|line| !line.trim().is_empty()) {
                    self.add(line.trim());
                    self.finish();
                    self.now = Some(block(Kind::Verbatim));
                }
            }
            Event::Text(text)
            | Event::Html(text)
            | Event::InlineHtml(text)
            | Event::InlineMath(text)
            | Event::DisplayMath(text) => {
                self.add(&text);
            }
            Event::Code(text) => self.code(&text),
            Event::SoftBreak | Event::HardBreak => self.add(" "),
            Event::Rule | Event::FootnoteReference(_) | Event::TaskListMarker(_) => self.finish(),
        }
    }

    fn start(&mut self, tag: Tag<'_>) {
        match tag {
            Tag::Heading { level, .. } => self.begin(Kind::Heading(level as usize)),
            Tag::CodeBlock(kind) => {
                self.begin(Kind::Verbatim);
                if let CodeBlockKind::Fenced(words) = kind {
                    self.add(&words);
                    self.begin(Kind::Verbatim);
                }
            }
            Tag::List(_) => {
                self.finish();
                self.lists += 1;
            }
            Tag::Item => {
                self.finish();
                self.fresh = true;
            }
            Tag::TableHead => self.begin(Kind::Columns),
            Tag::TableRow => self.begin(Kind::Row),
            Tag::Paragraph | Tag::HtmlBlock | Tag::BlockQuote(_) => self.finish(),
            Tag::Emphasis => self.sign("*"),
            Tag::Strong => self.sign("**"),
            Tag::Link { link_type: LinkType::Autolink | LinkType::Email, .. } => self.ends.push(String::new()),
            Tag::Link { link_type, dest_url, title, id } => {
                self.used.insert(id.to_string());
                if title.is_empty() && is_safe(link_type, &dest_url) && is_plain(&dest_url) {
                    self.sign("[");
                    self.ends.push(format!("]({dest_url})"));
                } else {
                    self.ends.push(aside(&dest_url, &title));
                }
            }
            Tag::Image { dest_url, title, id, .. } => {
                self.used.insert(id.to_string());
                self.ends.push(aside(&dest_url, &title));
                self.settle();
                let from = self.hand().plain.len();
                self.open.push(Open { address: dest_url.to_string(), title: title.to_string(), from });
            }
            _ => {}
        }
    }

    fn end(&mut self, tag: TagEnd) {
        match tag {
            TagEnd::List(_) => {
                self.finish();
                self.lists = self.lists.saturating_sub(1);
            }
            TagEnd::Item
            | TagEnd::Heading(_)
            | TagEnd::Paragraph
            | TagEnd::CodeBlock
            | TagEnd::HtmlBlock
            | TagEnd::BlockQuote(_) => {
                self.finish();
            }
            TagEnd::TableCell => {
                self.settle();
                let hand = self.hand();
                hand.plain.push(BETWEEN_CELLS);
                hand.marked.push(BETWEEN_CELLS);
            }
            TagEnd::TableHead | TagEnd::TableRow => self.finish(),
            TagEnd::Emphasis => self.sign("*"),
            TagEnd::Strong => self.sign("**"),
            TagEnd::Image => {
                self.settle();
                if let Some(end) = self.ends.pop() {
                    self.add(&end);
                    self.settle();
                }
                if let Some(Open { address, title, from }) = self.open.pop() {
                    let now = self.hand();
                    let told = now.plain.get(from..).unwrap_or("");
                    let told = told.strip_suffix(&aside(&address, &title)).unwrap_or(told);
                    let words = one_line(&format!("{told} {title}"));
                    now.pictures.push(Picture { address, words });
                }
            }
            TagEnd::Link => match self.ends.pop() {
                Some(end) if end.starts_with(']') => {
                    self.sign(&end);
                    let words = end.trim_start_matches("](").trim_end_matches(')').to_string();
                    self.others = true;
                    if let Some(now) = &mut self.now {
                        now.plain.push_str(&format!(" ({words})"));
                    }
                }
                Some(end) => self.add(&end),
                None => {}
            },
            _ => {}
        }
    }

    fn is_verbatim(&self) -> bool {
        self.now.as_ref().is_some_and(|block| block.kind == Kind::Verbatim)
    }

    fn begin(&mut self, kind: Kind) {
        self.finish();
        self.now = Some(block(kind));
    }

    /// The block in hand; words that stand in none begin one.
    fn hand(&mut self) -> &mut Block {
        let kind = match (self.lists, self.fresh) {
            (0, _) => Kind::Paragraph,
            (depth, true) => Kind::Entry(depth),
            (depth, false) => Kind::More(depth),
        };
        if self.now.is_none() {
            self.fresh = false;
        }
        self.now.get_or_insert_with(|| block(kind))
    }

    fn add(&mut self, words: &str) {
        self.run.push_str(words);
        self.hand();
        self.others |= self.open.is_empty() && !words.trim().is_empty();
    }

    /// A sign of CommonMark, which is no word.
    fn sign(&mut self, sign: &str) {
        self.settle();
        self.hand().marked.push_str(sign);
    }

    fn code(&mut self, words: &str) {
        if words.contains('`') {
            self.add(words);
            return;
        }
        self.settle();
        let hand = self.hand();
        hand.plain.push_str(words);
        hand.marked.push_str(&format!("`{words}`"));
        self.others |= self.open.is_empty();
    }

    /// Marks the plain words that wait.
    fn settle(&mut self) {
        if !self.run.is_empty() {
            let run = std::mem::take(&mut self.run);
            let marked = (self.mark)(&run);
            let hand = self.hand();
            hand.plain.push_str(&run);
            hand.marked.push_str(&marked);
        }
    }

    fn finish(&mut self) {
        self.settle();
        let others = std::mem::take(&mut self.others);
        if let Some(mut block) = self.now.take() {
            block.plain = one_line(&block.plain);
            block.marked = one_line(&block.marked);
            if others {
                block.pictures.clear();
            }
            if !block.plain.chars().all(|c| c == BETWEEN_CELLS || c == ' ') {
                self.blocks.push(block);
            }
        }
    }
}

fn block(kind: Kind) -> Block {
    Block { kind, plain: String::new(), marked: String::new(), pictures: Vec::new() }
}

/// Where a link leads, and its title, as words.
fn aside(address: &str, title: &str) -> String {
    if title.is_empty() { format!(" ({address})") } else { format!(" ({address} {title})") }
}

fn one_line(words: &str) -> String {
    words.split_whitespace().collect::<Vec<_>>().join(" ")
}

/// Whether an address can stand between round brackets as it is.
fn is_plain(address: &str) -> bool {
    address
        .bytes()
        .all(|b| b.is_ascii_graphic() && !matches!(b, b'(' | b')' | b'<' | b'>' | b'\\' | b'"' | b'[' | b']'))
}
