//! A working as text for people and as data for programs.

use std::collections::BTreeMap;

use serde::Serialize;

use super::{Standing, Working};
use crate::model::Reference;

impl Working {
    /// Every line in two rows: what it is and what it comes to; by which formula, how far it can be relied on, and the
    /// numbers of its sources, which are listed at the end. For a page of `width` columns, at least 60.
    pub fn text(&self, width: usize) -> String {
        let width = width.clamp(60, 120);
        let sources = self.numbered();
        let mut text = format!("{}\n\n", self.title);
        for line in &self.lines {
            row(&mut text, "  ", &line.what, &line.result, width);
            let numbers: Vec<String> =
                line.sources.iter().filter_map(|source| sources.get(source)).map(|at| format!("[{at}]")).collect();
            let standing = [line.standing.words().to_owned(), numbers.join(" ")].join(" ");
            row(&mut text, "    ", &line.formula, standing.trim(), width);
        }
        if sources.is_empty() {
            return text;
        }
        let mut listed: Vec<(&Reference, usize)> = sources.into_iter().collect();
        listed.sort_by_key(|(_, at)| *at);
        text.push_str("\nSources\n");
        for (source, at) in listed {
            let confirmed = if source.confirmed.is_empty() { "not said" } else { &source.confirmed };
            let words = format!("{}. Confirmed: {confirmed}.", source.publication);
            let mark = format!("  [{at}] ");
            let rows = wrapped(&words, width - 7);
            for (row, words) in rows.iter().enumerate() {
                let before = if row == 0 { format!("{mark:<7}") } else { " ".repeat(7) };
                text.push_str(&format!("{before}{words}\n"));
            }
        }
        text
    }

    /// As one JSON object. The fields keep their names and meaning; more may come.
    pub fn json(&self) -> String {
        let lines = self.lines.iter().map(|line| LineOut {
            what: &line.what,
            formula: &line.formula,
            result: &line.result,
            standing: standing_word(line.standing),
            sources: line
                .sources
                .iter()
                .map(|source| SourceOut { publication: &source.publication, confirmed: &source.confirmed })
                .collect(),
        });
        let whole = Whole { title: &self.title, lines: lines.collect() };
        // Strings and lists of them: there is nothing in it that serde could refuse.
        serde_json::to_string(&whole).unwrap_or_default()
    }

    /// The sources in order of their first use, each with its number.
    fn numbered(&self) -> BTreeMap<&Reference, usize> {
        let mut numbers = BTreeMap::new();
        for source in self.lines.iter().flat_map(|line| &line.sources) {
            let next = numbers.len() + 1;
            numbers.entry(source).or_insert(next);
        }
        numbers
    }
}

/// Two columns, each wrapped; nothing where both are empty.
fn row(text: &mut String, indent: &str, left: &str, right: &str, width: usize) {
    let middle = width * 54 / 100;
    let lefts = wrapped(left, middle - indent.len() - 2);
    let rights = wrapped(right, width - middle);
    for at in 0..lefts.len().max(rights.len()) {
        let (left, right) = (lefts.get(at).map_or("", String::as_str), rights.get(at).map_or("", String::as_str));
        let gap = middle.saturating_sub(indent.len() + left.chars().count());
        let line = format!("{indent}{left}{}{right}", " ".repeat(gap));
        text.push_str(line.trim_end());
        text.push('\n');
    }
}

/// Broken at blanks; a word that is longer than a row stands alone on its row.
fn wrapped(text: &str, width: usize) -> Vec<String> {
    let mut rows: Vec<String> = Vec::new();
    for word in text.split(' ').filter(|word| !word.is_empty()) {
        match rows.last_mut() {
            Some(row) if row.chars().count() + 1 + word.chars().count() <= width => {
                row.push(' ');
                row.push_str(word);
            }
            _ => rows.push(word.to_owned()),
        }
    }
    rows
}

fn standing_word(standing: Standing) -> &'static str {
    match standing {
        Standing::Stated => "stated",
        Standing::Published => "published",
        Standing::Practice => "practice",
        Standing::Computed => "computed",
        Standing::Open => "open",
    }
}

#[derive(Serialize)]
struct Whole<'a> {
    title: &'a str,
    lines: Vec<LineOut<'a>>,
}

#[derive(Serialize)]
struct LineOut<'a> {
    what: &'a str,
    /// Empty where the value is looked up or stated.
    formula: &'a str,
    result: &'a str,
    /// `stated`, `published`, `practice`, `computed` or `open`.
    standing: &'static str,
    sources: Vec<SourceOut<'a>>,
}

#[derive(Serialize)]
struct SourceOut<'a> {
    publication: &'a str,
    /// How far it was confirmed; empty where the library does not say.
    confirmed: &'a str,
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::working::Line;

    fn example() -> Working {
        let source = Reference { publication: "ISO 898-1".to_owned(), confirmed: "public copies".to_owned() };
        Working {
            title: "Rail (rail-joint)".to_owned(),
            lines: vec![
                Line::stated("Torque", "22 N·m"),
                Line::published("Stress area", "a × b", "36.6 mm²", vec![source.clone()]),
                Line::published("Proof stress", "", "580 MPa", vec![source]),
            ],
        }
    }

    #[test]
    fn a_source_is_listed_once_and_numbered() {
        let text = example().text(80);
        let wanted = "\
Rail (rail-joint)

  Torque                                   22 N·m
                                           stated in the procedure
  Stress area                              36.6 mm²
    a × b                                  published [1]
  Proof stress                             580 MPa
                                           published [1]

Sources
  [1]  ISO 898-1. Confirmed: public copies.
";
        assert_eq!(text, wanted);
    }

    #[test]
    fn no_row_is_wider_than_the_page() {
        let mut working = example();
        working.lines.push(Line::computed("word ".repeat(40), "formula ".repeat(40), "result ".repeat(40)));
        assert!(working.text(100).lines().all(|line| line.chars().count() <= 100));
    }

    #[test]
    fn data_says_the_same() {
        let json = example().json();
        assert!(json.starts_with("{\"title\":\"Rail (rail-joint)\",\"lines\":[{\"what\":\"Torque\",\"formula\":\"\""));
        assert!(json.contains("\"standing\":\"published\",\"sources\":[{\"publication\":\"ISO 898-1\""));
    }
}
