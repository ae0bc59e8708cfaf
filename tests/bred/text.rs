//! A procedure's text as statements, found by the library's own parser, and their words, so that edits hold when the text
//! around them changes.

use std::ops::Range;

use fitwright::parse::parse;
use fitwright::parse::tree::{Body, Check, Decl, File, Flow, Item, Step};
use fitwright::source::{FileId, Span};

/// A statement as it stands in the text.
#[derive(Debug, Clone)]
pub struct Statement {
    /// What it stands in: `file`, `about`, `kit`, `joint`, `step`, `flow` …
    pub home: &'static str,
    /// The word that it begins with; `>` for prose, nothing for an arm of a `choose`.
    pub word: String,
    /// All of it, its block and the acceptances before it included.
    pub at: Range<usize>,
    /// Without acceptances.
    pub own: Range<usize>,
    /// Statements of one list have one number.
    pub list: usize,
    /// The names of the declaration, section or step around it, with blanks between.
    pub place: String,
}

/// A word of a statement.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Word {
    /// As it stands there; a text with its quotes, a line of prose with its mark.
    pub text: String,
    /// Where.
    pub at: Range<usize>,
}

/// A text with its statements, in order.
pub struct Text {
    /// A demo's name.
    pub name: String,
    /// All of it.
    pub text: String,
    /// By where they begin; a block's statements follow the statement that holds them.
    pub statements: Vec<Statement>,
    /// What the parser made of it.
    pub tree: File,
}

impl Text {
    /// Reads a procedure that is in order.
    pub fn read(name: &str, text: &str) -> Text {
        let (tree, findings) = parse(FileId::new(0), text);
        assert!(findings.is_empty(), "{name} is in order");
        let mut walk = Walk { text, statements: Vec::new(), lists: 0 };
        walk.file(&tree);
        let mut statements = walk.statements;
        statements.sort_by_key(|statement| (statement.own.start, std::cmp::Reverse(statement.own.end)));
        Text { name: name.to_owned(), text: text.to_owned(), statements, tree }
    }

    /// The words of a statement; those of its block too where it is one that is read whole, such as a `given`.
    pub fn words(&self, statement: &Statement) -> Vec<Word> {
        words(&self.text, statement.own.clone())
    }

    /// The words before a statement's block.
    pub fn head(&self, statement: &Statement) -> Vec<Word> {
        let mut words = self.words(statement);
        if let Some(brace) = words.iter().position(|word| word.text == "{") {
            words.truncate(brace);
        }
        words
    }

    /// The words of a line with what it lists in braces, as a group of the kit does; of another block, its head.
    pub fn head_or_list(&self, statement: &Statement) -> Vec<Word> {
        if statement.home == "kit" { self.words(statement) } else { self.head(statement) }
    }

    /// A statement with the line that it stands on, where it has one for itself.
    pub fn lines(&self, at: &Range<usize>) -> Range<usize> {
        let begin = self.text[..at.start].rfind('\n').map_or(0, |end| end + 1);
        let rest = &self.text[at.end..];
        let end = at.end + rest.find('\n').map_or(rest.len(), |end| end + 1);
        let before = self.text[begin..at.start].trim().is_empty();
        let after = self.text[at.end..end].trim();
        if before && (after.is_empty() || after.starts_with('#')) { begin..end } else { at.clone() }
    }

    /// A statement in one line, its block left out, for a person.
    pub fn said(&self, statement: &Statement) -> String {
        let head: Vec<String> = self.head(statement).into_iter().map(|word| word.text).collect();
        let said = head.join(" ").replace(" ,", ",");
        if said.is_empty() { statement.word.clone() } else { said }
    }

    /// The statements that follow each other in a list, list by list.
    pub fn lists(&self) -> Vec<Vec<&Statement>> {
        let count = self.statements.iter().map(|statement| statement.list + 1).max().unwrap_or(0);
        let mut lists = vec![Vec::new(); count];
        for statement in &self.statements {
            lists[statement.list].push(statement);
        }
        lists
    }
}

/// The words in a part of a text. Comments are none.
pub fn words(text: &str, within: Range<usize>) -> Vec<Word> {
    const ALONE: &str = "{},()";
    let mut found = Vec::new();
    let mut at = within.start;
    while at < within.end {
        let rest = &text[at..within.end];
        let Some(first) = rest.chars().next() else { break };
        let line = rest.find('\n').unwrap_or(rest.len());
        let begins_line = text[..at].rsplit('\n').next().unwrap_or_default().trim().is_empty();
        let length = match first {
            '#' => {
                at += line;
                continue;
            }
            '>' if begins_line => line,
            '"' => rest
                .char_indices()
                .skip(1)
                .find(|(at, c)| *c == '"' && !rest[..*at].ends_with('\\'))
                .map_or(line, |(at, _)| at + 1),
            _ if first.is_whitespace() => {
                at += first.len_utf8();
                continue;
            }
            _ if ALONE.contains(first) => 1,
            _ => rest.find(|c: char| c.is_whitespace() || c == '"' || ALONE.contains(c)).unwrap_or(rest.len()),
        };
        found.push(Word { text: rest[..length].trim_end().to_owned(), at: at..at + length });
        at += length;
    }
    found
}

struct Walk<'t> {
    text: &'t str,
    statements: Vec<Statement>,
    lists: usize,
}

impl Walk<'_> {
    fn list(&mut self) -> usize {
        self.lists += 1;
        self.lists - 1
    }

    fn put(&mut self, home: &'static str, place: &str, list: usize, all: Span, own: Span) {
        let own = own.range();
        let first = words(self.text, own.clone()).into_iter().next();
        let mut word = first.map(|word| word.text).unwrap_or_default();
        if word.starts_with('>') {
            word = ">".to_owned();
        }
        self.statements.push(Statement { home, word, at: all.range(), own, list, place: place.to_owned() });
    }

    fn item<T>(&mut self, home: &'static str, place: &str, list: usize, item: &Item<T>) {
        let all = item.accepts.first().map_or(item.span, |accept| accept.span.to(item.span));
        self.put(home, place, list, all, item.span);
    }

    fn items<T>(&mut self, home: &'static str, place: &str, items: &[Item<T>]) {
        let list = self.list();
        items.iter().for_each(|item| self.item(home, place, list, item));
    }

    fn file(&mut self, tree: &File) {
        let list = self.list();
        for item in &tree.items {
            self.item("file", "", list, item);
            match &item.node {
                Decl::About(lines) => self.items("about", "about", lines),
                Decl::Part(part) => self.items("part", &part.name.text, &part.lines),
                Decl::Kit(groups) => self.items("kit", "kit", groups),
                Decl::Tool(tool) => self.items("tool", &tool.name.text, &tool.lines),
                Decl::Hazard(hazard) => self.items("hazard", &hazard.name.text, &hazard.lines),
                Decl::Action(action) => self.items("action", &action.name.text, &action.lines),
                Decl::Joint(joint) => self.items("joint", &joint.name.text, &joint.lines),
                Decl::Circuit(circuit) => self.items("circuit", &circuit.name.text, &circuit.lines),
                Decl::Section(section) => self.body(&section.name.text, &section.body),
                _ => {}
            }
        }
    }

    fn body(&mut self, place: &str, body: &Body) {
        let list = self.list();
        for item in body {
            self.item("flow", place, list, item);
            match &item.node {
                Flow::Step(step) => self.step(place, step),
                Flow::Check(check) => self.check(place, check),
                Flow::Choose { subject, arms } => {
                    let place = format!("{place} {}", subject.text);
                    let list = self.list();
                    for arm in arms {
                        self.put("choose", &place, list, arm.span, arm.span);
                        self.body(&place, &arm.body);
                    }
                }
                Flow::When { then, otherwise, .. } => {
                    self.body(place, then);
                    otherwise.iter().for_each(|body| self.body(place, body));
                }
                Flow::Handover(lines) => self.items("handover", "handover", lines),
                _ => {}
            }
        }
    }

    fn step(&mut self, place: &str, step: &Step) {
        self.items("step", &format!("{place} {}", step.name.text), &step.lines);
    }

    fn check(&mut self, place: &str, check: &Check) {
        let place = format!("{place} {}", check.name.text);
        let list = self.list();
        check.lines.iter().for_each(|item| self.item("step", &place, list, item));
        check.expects.iter().for_each(|item| self.put_expect(&place, list, item));
        if let Some(repair) = &check.repair {
            self.put("check", &place, list, repair.span, repair.span);
            self.body(&place, &repair.body);
        }
        if let Some(by) = check.another_person {
            let list = self.list();
            self.put("check", &place, list, by, by);
        }
        if let Some(replace) = &check.replace {
            let list = self.list();
            self.item("check", &place, list, replace);
            self.items("step", &place, &replace.node.lines);
        }
        if let Some(otherwise) = &check.otherwise {
            self.put("check", &place, list, otherwise.span, otherwise.span);
        }
    }

    /// The parser gives an expectation the place of its whole line, or of its condition.
    fn put_expect<T>(&mut self, place: &str, list: usize, item: &Item<T>) {
        let begin = self.text[..item.span.range().start].rfind('\n').map_or(0, |end| end + 1);
        let line = &self.text[begin..item.span.range().end];
        let start = begin + line.find("expect").unwrap_or(item.span.range().start - begin);
        let whole = Span::new(item.span.file, start, item.span.range().end);
        self.put("check", place, list, whole, whole);
    }
}
