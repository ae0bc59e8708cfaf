//! The grammar for editors, `grammar/fitwright.tmLanguage.json`: it knows every word of the language. How it colours the demos is
//! judged by `tests/oracles/colours.cjs`, which takes the tokens that are written here.

use fitwright::parse::forms::FORMS;
use fitwright::parse::written::{Entry, Kind, written};
use serde_json::{Value, json};
use std::collections::BTreeSet;
use std::fs;
use std::path::{Path, PathBuf};

fn top() -> PathBuf {
    PathBuf::from(env!("CARGO_MANIFEST_DIR"))
}

fn grammar() -> String {
    fs::read_to_string(top().join("grammar/fitwright.tmLanguage.json")).expect("the grammar for editors")
}

/// The words in the patterns of the grammar for editors.
fn coloured(value: &Value, under: &str, words: &mut BTreeSet<String>) {
    match value {
        Value::Object(members) => members.iter().for_each(|(name, value)| coloured(value, name, words)),
        Value::Array(items) => items.iter().for_each(|item| coloured(item, under, words)),
        Value::String(pattern) if matches!(under, "match" | "begin" | "end") => {
            // `stages?` stands for both.
            let pattern = pattern.replace("\\s", " ").replace("\\w", " ").replace("\\d", " ");
            let parts = pattern.split(|c: char| !(c.is_alphanumeric() || c == '-' || c == '×'));
            words.extend(parts.filter(|word| !word.is_empty()).map(str::to_string));
        }
        _ => {}
    }
}

/// The words that the rules of a kind read, as the grammar of the compiler has them.
fn words_of(rules: &BTreeSet<String>) -> BTreeSet<String> {
    let grammar = fs::read_to_string(top().join("grammar/fitwright.pest")).expect("the grammar");
    let mut words = BTreeSet::new();
    let mut seen = 0;
    for line in grammar.split("\n").collect::<Vec<_>>().windows(2) {
        let Some((name, body)) = line[0].split_once('=') else { continue };
        if rules.contains(name.trim()) {
            seen += 1;
            let body = format!("{body} {}", if line[1].starts_with(' ') { line[1] } else { "" });
            words.extend(
                body.split('"').skip(1).step_by(2).filter(|w| !w.trim().is_empty() && *w != "\\t").map(str::to_string),
            );
        }
    }
    assert_eq!(seen, rules.len(), "not every rule was found in the grammar");
    words
}

#[test]
fn every_word_of_the_language_has_a_colour() {
    let value: Value = serde_json::from_str(&grammar()).expect("JSON");
    let mut known = BTreeSet::new();
    coloured(&value, "", &mut known);
    let rules: BTreeSet<String> = fitwright::parse::written::keyword_rules().collect();
    let mut words = words_of(&rules);
    words.extend(FORMS.iter().map(|form| form.word.to_string()));
    assert!(words.len() > 150, "{} words", words.len());
    let missing: Vec<&String> = words.iter().filter(|word| !known.contains(*word)).collect();
    assert!(missing.is_empty(), "grammar/fitwright.tmLanguage.json does not know {missing:?}");
}

#[test]
fn its_scopes_are_those_that_themes_know() {
    // The first names of scopes, after the manual of TextMate (section 12.4, Naming conventions), and `punctuation`, which the
    // grammars that come with editors have beside them.
    const FIRST: &[&str] = &[
        "comment",
        "constant",
        "entity",
        "invalid",
        "keyword",
        "markup",
        "meta",
        "storage",
        "string",
        "support",
        "variable",
        "punctuation",
        "source",
    ];
    fn scopes(value: &Value, found: &mut Vec<String>) {
        match value {
            Value::Object(members) => {
                for (name, value) in members {
                    match value {
                        Value::String(scope) if name == "contentName" || name == "name" && scope != "Fitwright" => {
                            found.push(scope.clone())
                        }
                        _ => scopes(value, found),
                    }
                }
            }
            Value::Array(items) => items.iter().for_each(|item| scopes(item, found)),
            _ => {}
        }
    }
    let mut found = Vec::new();
    scopes(&serde_json::from_str(&grammar()).expect("JSON"), &mut found);
    assert!(found.len() > 30);
    for scope in found {
        assert!(FIRST.iter().any(|first| scope.starts_with(&format!("{first}."))), "{scope}");
        assert!(scope.ends_with(".fitwright"), "{scope}");
    }
}

/// Writes the compiler's tokens of every procedure and library for the check from outside, into the build's folder of files of
/// tests: a line a token, as place, length and kind, with columns in UTF-16 units, as editors count.
#[test]
fn the_compilers_tokens_are_there_to_compare() {
    let mut files = Vec::new();
    let mut folders = vec![top().join("procedures"), top().join("shared")];
    while let Some(folder) = folders.pop() {
        for entry in fs::read_dir(folder).expect("a folder") {
            let path = entry.expect("an entry").path();
            if path.is_dir() && !path.ends_with("faulty") {
                folders.push(path);
            } else if path.extension().is_some_and(|ending| ending == "fitw") {
                files.push(path);
            }
        }
    }
    files.sort();
    let mut all = Vec::new();
    for path in files {
        let text = fs::read_to_string(&path).expect("text");
        let mut tokens = Vec::new();
        gather(&written(&text).expect("it can be read"), &mut tokens);
        tokens.sort();
        let tokens: Vec<Value> = tokens.into_iter().map(|(start, end, kind)| token(&text, start, end, kind)).collect();
        assert!(tokens.len() > 50);
        let name = path.strip_prefix(top()).expect("below").to_string_lossy().replace('\\', "/");
        all.push(json!({"file": name, "tokens": tokens}));
    }
    assert!(all.len() > 12, "{} files", all.len());
    let to = Path::new(env!("CARGO_TARGET_TMPDIR")).join("tokens.json");
    fs::write(to, Value::from(all).to_string()).expect("written");
}

fn token(text: &str, start: u32, end: u32, kind: &str) -> Value {
    let before = &text[..start as usize];
    let line = before.matches('\n').count();
    let column = before.rsplit('\n').next().unwrap_or("").encode_utf16().count();
    let length = text[start as usize..end as usize].encode_utf16().count();
    json!([line, column, length, kind])
}

fn gather(entries: &[Entry], into: &mut Vec<(u32, u32, &'static str)>) {
    for entry in entries {
        match entry {
            Entry::Comment(comment) => into.push((comment.start, comment.end, "comment")),
            Entry::Prose { start, end } => into.push((*start, *end, "prose")),
            Entry::Statement(statement) => {
                into.extend(statement.comments.iter().map(|comment| (comment.start, comment.end, "comment")));
                into.extend(statement.tokens.iter().map(|token| (token.start, token.end, word(token.kind))));
                statement.block.iter().for_each(|block| gather(&block.entries, into));
            }
        }
    }
}

fn word(kind: Kind) -> &'static str {
    match kind {
        Kind::Keyword => "keyword",
        Kind::NewName => "new name",
        Kind::Name => "name",
        Kind::Text => "text",
        Kind::Number => "number",
        Kind::Unit => "unit",
        Kind::Operator => "operator",
        Kind::Mark => "mark",
        Kind::Value => "value",
    }
}
