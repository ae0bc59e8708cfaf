//! Every example of the language reference is accepted or refused as it says.
//!
//! A block without `in=` is a whole file: accepted means that the compiler says nothing but notes. A block with `in=` is put
//! into a small procedure; accepted means that it is read and resolved without an error, refused that its code is raised.

use fitwright::diagnostics::{Finding, Severity, render};
use fitwright::source::Sources;
use fitwright::world::Memory;
use fitwright::{checks, resolve};

const REFERENCE: &str = include_str!("../grammar/language.md");
const AROUND: &str = include_str!("language/around.fitw");

struct Example {
    line: usize,
    accepted: bool,
    code: Option<String>,
    place: Option<String>,
    text: String,
}

fn examples() -> Vec<Example> {
    let mut found = Vec::new();
    let mut lines = REFERENCE.lines().enumerate();
    while let Some((at, line)) = lines.next() {
        let Some(info) = line.strip_prefix("```fitw") else { continue };
        let words: Vec<&str> = info.split_whitespace().collect();
        let text: Vec<&str> = lines.by_ref().map(|(_, line)| line).take_while(|line| *line != "```").collect();
        found.push(Example {
            line: at + 1,
            accepted: words.contains(&"accept"),
            code: words.iter().find(|word| word.starts_with("FW")).map(|code| (*code).to_owned()),
            place: words.iter().find_map(|word| word.strip_prefix("in=")).map(str::to_owned),
            text: text.join("\n"),
        });
    }
    found
}

/// The whole file of an example: the procedure around it has a line `#<place>` where the example goes.
fn whole(example: &Example) -> String {
    let Some(place) = &example.place else { return example.text.clone() };
    let mark = format!("#<{place}>");
    assert!(AROUND.contains(&mark), "no place {place}");
    AROUND.replace(&mark, &example.text)
}

fn compile(text: &str, checked: bool) -> (Vec<Finding>, Sources) {
    let world = Memory::default().with("example.fitw", text);
    let mut sources = Sources::default();
    let resolved = resolve::resolve("example.fitw", &world, &mut sources);
    let mut findings = resolved.findings;
    if let (true, Some(procedure)) = (checked, &resolved.procedure) {
        findings.extend(checks::check(procedure));
    }
    let accepts = if checked { resolved.accepts } else { Vec::new() };
    let settled = fitwright::compile::settle(findings, &accepts);
    (settled.findings, sources)
}

#[test]
fn every_example_is_accepted_or_refused_as_it_says() {
    let examples = examples();
    assert!(examples.len() > 60, "only {} examples", examples.len());
    let mut wrong = Vec::new();
    for example in &examples {
        let text = whole(example);
        let is_whole = example.place.is_none();
        let (findings, sources) = compile(&text, !example.accepted || is_whole);
        let errors = findings.iter().filter(|finding| match (is_whole, finding.severity()) {
            (_, Severity::Error) => true,
            (true, Severity::Warning) => true,
            _ => false,
        });
        let raised: Vec<&str> = findings.iter().map(|finding| finding.code.text()).collect();
        let right = match &example.code {
            None => example.accepted && errors.count() == 0,
            Some(code) => !example.accepted && raised.contains(&code.as_str()),
        };
        if !right {
            let style = render::Style { color: false, width: 100, unicode: true };
            let errors: Vec<Finding> =
                findings.iter().filter(|finding| finding.severity() == Severity::Error).cloned().collect();
            let said = render::human(&errors, &sources, style);
            wrong
                .push(format!("line {}: {:?} raised {raised:?}\n{}\n{said}", example.line, example.code, example.text));
        }
    }
    assert!(wrong.is_empty(), "{} of {} examples\n{}", wrong.len(), examples.len(), wrong.join("\n\n"));
}
