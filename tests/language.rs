//! The examples of `grammar/language.md`: what it calls accepted compiles, what it calls refused is refused as it says.
//!
//! A fence says what its example is: ```` ```fitw accept in=step ```` or ```` ```fitw refuse FW0101 in=top ````. `in` names the
//! surroundings (`tests/context`); without it the example is a whole file. `as=lib/wiring` makes it a library of that name for
//! the examples that follow.

use fitwright::compile;
use fitwright::diagnostics::render::{Style, human};
use fitwright::diagnostics::{Code, Severity};
use fitwright::parse::forms::FORMS;
use fitwright::world::Memory;
use std::collections::BTreeSet;

use crate::context;

const PAGE: &str = include_str!("../grammar/language.md");

/// One example of the page.
struct Example {
    /// Line of its fence, from 1.
    line: usize,
    /// The words after `fitw`.
    words: Vec<&'static str>,
    text: String,
}

impl Example {
    fn surroundings(&self) -> &'static str {
        self.words.iter().find_map(|word| word.strip_prefix("in=")).unwrap_or("file")
    }

    /// The name under which the later examples use it.
    fn library(&self) -> Option<String> {
        self.words.iter().find_map(|word| word.strip_prefix("as=")).map(|name| format!("{name}.fitw"))
    }

    /// The code with which it is refused; `None` where it is accepted.
    fn refused(&self) -> Option<Code> {
        match self.words.first() {
            Some(&"accept") => None,
            Some(&"refuse") => {
                let code = self.words.get(1).and_then(|code| Code::parse(code));
                Some(code.unwrap_or_else(|| panic!("line {}: which code refuses it?", self.line)))
            }
            _ => panic!("line {}: `accept` or `refuse`?", self.line),
        }
    }
}

fn examples() -> Vec<Example> {
    let mut found = Vec::new();
    let mut lines = PAGE.lines().enumerate();
    while let Some((at, line)) = lines.next() {
        if let Some(words) = line.strip_prefix("```fitw") {
            let body = lines.by_ref().map(|(_, line)| line).take_while(|line| *line != "```");
            let text = body.map(|line| format!("{line}\n")).collect();
            found.push(Example { line: at + 1, words: words.split_whitespace().collect(), text });
        } else if line.starts_with("```") {
            // Not of the language.
            lines.by_ref().map(|(_, line)| line).take_while(|line| *line != "```").for_each(drop);
        }
    }
    found
}

#[test]
fn each_example_is_what_the_page_says() {
    let mut wrong = String::new();
    let mut libraries: Vec<(String, String)> = Vec::new();
    for example in examples() {
        let text = context::whole(example.surroundings(), &example.text);
        let drawing = "<svg xmlns=\"http://www.w3.org/2000/svg\"><path d=\"M0 0h9\"/></svg>";
        let world = Memory::default()
            .with("example.fitw", text)
            .with("lib/ours.fitw", "library ours \"Ours\"\n")
            .with("rail.svg", drawing);
        let world = libraries.iter().fold(world, |world, (name, text)| world.with(name.as_str(), text.as_str()));
        let compiled = compile::check("example.fitw", &world);
        let expected = example.refused();
        let grave: Vec<_> = compiled
            .findings()
            .iter()
            .filter(|finding| finding.severity() == Severity::Error || Some(finding.code) == expected)
            .collect();
        let codes: Vec<Code> = grave.iter().map(|finding| finding.code).collect();
        if codes != Vec::from_iter(expected) {
            let told = human(compiled.findings(), compiled.sources(), Style::default());
            wrong.push_str(&format!("\n--- line {}: {}\n{told}\n", example.line, example.words.join(" ")));
        }
        libraries.extend(example.library().map(|name| (name, example.text.clone())));
    }
    assert!(wrong.is_empty(), "{wrong}");
}

#[test]
fn each_statement_has_an_example_that_is_accepted() {
    let accepted: String =
        examples().iter().filter(|example| example.refused().is_none()).map(|e| format!("\n{}", e.text)).collect();
    let words: BTreeSet<&str> = accepted
        .split(['\n', '{', '}'])
        .flat_map(|line| line.split("  "))
        .filter_map(|line| line.split_whitespace().next())
        .collect();
    let missing: Vec<&str> = FORMS.iter().map(|form| form.word).filter(|word| !words.contains(word)).collect();
    assert!(missing.is_empty(), "no accepted example shows {missing:?}");
}

#[test]
fn both_kinds_are_many() {
    let (accepted, refused): (Vec<_>, Vec<_>) = examples().into_iter().partition(|example| example.refused().is_none());
    println!("{} accepted and {} refused examples", accepted.len(), refused.len());
    assert!(accepted.len() >= 20 && refused.len() >= 60);
}
