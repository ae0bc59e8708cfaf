//! What a form wanted at the place where it broke.
//!
//! The grammar says up to where a statement fits and what would have fitted there (`phrases` puts it into words). Common
//! slips are known by themselves; the rest is told as something missing, or something too much.

mod habits;

use super::blocks::Statement;
use super::forms::{Block, Form};
use super::phrases::{keyword, optional, want, wants_quantity};
use crate::diagnostics::{Change, Code, Confidence, Finding, Mend, suggest};
use crate::source::{FileId, Span};
use fitwright_grammar::Rule;

/// The place at which a statement breaks.
struct Break<'t> {
    /// The statement up to it, blanks at the end not counted.
    before: &'t str,
    /// The statement from it.
    rest: &'t str,
    /// The first word, number, text or sign of the rest.
    found: &'t str,
    /// The last word, number, text or sign before.
    last: &'t str,
    /// What would have fitted.
    expected: &'t [Rule],
    /// The form that the first word promises.
    form: &'t Form,
}

/// Explains a statement whose first word is right.
pub(super) fn explain(
    file: FileId,
    text: &str,
    statement: &Statement,
    form: &Form,
    at: usize,
    expected: &[Rule],
) -> Finding {
    let (start, end) = (statement.start as usize, statement.end as usize);
    let at = at.clamp(start, end);
    let before = text.get(start..at).unwrap_or("").trim_end();
    let whole_rest = text.get(at..end).unwrap_or("");
    let rest = whole_rest.trim_start();
    let found = first_piece(rest);
    let from = at + (whole_rest.len() - rest.len());
    let place = if found.is_empty() { start + before.len() } else { from };
    let at = Span::new(file, place, place + found.len());
    // That a value may be `unknown`, and that people may stand without a time, is the last thing to be told of a slip.
    let last = |rule: &Rule| matches!(rule, Rule::w_unknown | Rule::people_alone);
    let known: Vec<Rule> = expected.iter().copied().filter(|rule| !last(rule)).collect();
    let expected = if known.is_empty() { expected } else { &known };
    let broken = Break { before, rest, found, last: last_piece(before), expected, form };
    let (message, label, repair) = broken
        .sign()
        .or_else(|| broken.habit())
        .or_else(|| broken.own_line())
        .or_else(|| broken.condition())
        .or_else(|| broken.quantity())
        .or_else(|| broken.list())
        .or_else(|| broken.section())
        .or_else(|| broken.text())
        .or_else(|| broken.fastener())
        .unwrap_or_else(|| broken.general());
    Finding::new(Code::FW0101, message, at, label).repair(repair).mend(broken.mend(at))
}

/// Message, label, repair.
type Told = (String, String, String);

fn told(message: impl Into<String>, label: impl Into<String>, repair: impl Into<String>) -> Told {
    (message.into(), label.into(), repair.into())
}

impl Break<'_> {
    /// The slips that a machine mends: signs of other languages, and a comma or one word that is missing.
    fn mend(&self, at: Span) -> Option<Mend> {
        let put_in = |text: String| Mend::look(format!("Put in `{}`", text.trim()), Change::Write(at.before(), text));
        let word = match self.found {
            ";" => return Some(Mend::safe("Delete it", Change::Write(at, String::new()))),
            "==" => "is",
            "!=" => "is not",
            "&&" => "and",
            "||" => "or",
            "" if self.expects(Rule::close) => ")",
            _ => "",
        };
        if !word.is_empty() && !wants_quantity(self.expected) {
            return Some(Mend::write(if at.start == at.end { Confidence::Look } else { Confidence::Safe }, at, word));
        }
        if self.expects(Rule::comma) && (is_word(self.found) || starts_number(self.found)) && self.own_line().is_none()
        {
            let listed = matches!(self.found, "and" | "&");
            return (!listed && !self.before.ends_with(',')).then(|| {
                // The comma follows the entry, and the blank is there already.
                let before = Span { start: at.start - gap(self), end: at.start - gap(self), ..at };
                Mend::look("Put in the comma", Change::Write(before, ",".to_string()))
            });
        }
        let keyword = self.keyword().and_then(keyword).filter(|_| is_word(self.found) || starts_number(self.found))?;
        Some(put_in(format!("{keyword} ")))
    }

    fn expects(&self, rule: Rule) -> bool {
        self.expected.contains(&rule)
    }

    /// Whether the statement could have ended here.
    fn complete(&self) -> bool {
        self.expects(Rule::EOI)
    }

    fn shape(&self) -> String {
        format!("The form is `{}`, for example `{}`.", self.form.shape, self.form.example)
    }

    /// The statement's word, or what stands for a line that begins with a name.
    fn subject(&self) -> String {
        if self.form.word.contains(' ') { self.form.word.to_string() } else { format!("`{}`", self.form.word) }
    }

    /// The rest up to the next line of a one-line block.
    fn rest_of_line(&self) -> &str {
        self.rest.split("  ").next().unwrap_or(self.rest)
    }

    /// Signs that statements don't have.
    fn sign(&self) -> Option<Told> {
        match self.found {
            ";" => Some(told("a statement ends with its line and needs no semicolon", "not needed", "Delete it.")),
            ":" => Some(told("no colon stands here", "not part of the form", self.shape())),
            _ if self.before.ends_with(',') && self.found.is_empty() || self.rest.trim() == "," => Some(told(
                "nothing follows the comma at the end of this line",
                "the list goes on, or it ends",
                "Delete the comma, or write the next entry after it.",
            )),
            "=" if self.form.word == "set" || self.form.word == "make" => Some(told(
                format!("`{}` needs no sign between the name and its value", self.form.word),
                "not needed",
                format!("Write `{} {}`.", self.before, self.rest.trim_start_matches('=').trim_start()),
            )),
            _ => None,
        }
    }

    /// Conditions in the manner of programs.
    fn condition(&self) -> Option<Told> {
        if self.before.ends_with('=') && self.rest.starts_with('=') {
            return Some(told(
                "conditions are written in words, and `==` is `is`",
                "one sign too many",
                "Write `is` between a name and its value, and `=` between quantities.",
            ));
        }
        if let ("(", "min" | "max" | "least" | "greatest" | "minimum" | "maximum") = (self.found, self.last) {
            let words = if self.last.starts_with("m") && !self.last.starts_with("ma") || self.last == "least" {
                "least of"
            } else {
                "greatest of"
            };
            return Some(told(
                format!("`{}` of several is written `{words} (A, B)`", self.last),
                "not written like this",
                format!("Write `{words} {}`.", self.rest_of_line().trim_end()),
            ));
        }
        let word = match self.found {
            "==" => "is",
            "!=" | "!" => "is not",
            "&&" => "and",
            "||" => "or",
            ")" if self.complete() => {
                return Some(told(
                    "this bracket was never opened",
                    "closes nothing",
                    "Delete it, or write `(` where it begins.",
                ));
            }
            "" if self.expects(Rule::close) => {
                let repair = format!("Write `{})`.", self.before);
                return Some(told("a bracket is opened here and not closed", "`)` is missing", repair));
            }
            _ => return None,
        };
        Some(told(
            format!("conditions are written in words, and `{}` is `{word}`", self.found),
            "not a word of a condition",
            format!("Write `{word}`."),
        ))
    }

    /// Quantities said in other words.
    fn quantity(&self) -> Option<Told> {
        if self.expects(Rule::w_to)
            && let Some(upper) = self.rest_of_line().strip_prefix(['-', '…']).map(str::trim_start)
            && starts_number(upper)
        {
            let repair = format!("Write `{} to {upper}`.", self.before);
            return Some(told("a range is written with `to`", "a hyphen instead of `to`", repair));
        }
        let (said, right) = if matches!(self.found, "than" | "to") {
            (format!("{} {}", self.last, self.found), other_words(self.last)?)
        } else if wants_quantity(self.expected) {
            (self.found.to_string(), other_words(self.found)?)
        } else {
            return None;
        };
        let shown =
            self.rest_of_line().split_whitespace().filter(|word| word.starts_with(|c: char| c.is_ascii_digit()));
        let number = shown.into_iter().next();
        let repair = match (number, self.rest_of_line().split_once(number.unwrap_or("\0"))) {
            (Some(number), Some((_, unit))) => {
                format!("Write `{}`.", right.replace("25 mm", &format!("{number}{}", unit.trim_end())))
            }
            _ => format!("Write a number in digits, with its unit. {}", self.shape()),
        };
        Some(told(format!("`{said}` is not how a quantity is written"), "said otherwise here", repair))
    }

    /// The words after a section's name and title, misspelt.
    fn section(&self) -> Option<Told> {
        if self.form.rule != Rule::section || !self.expects(Rule::w_from) {
            return None;
        }
        let word = suggest::nearest(self.found, ["from", "expects", "when"])?;
        let rest = self.rest.strip_prefix(self.found).unwrap_or("").trim();
        Some(told(
            format!("`{}` is no word of a section", self.found),
            "not known here",
            format!("Write `{} {word} {rest}`.", self.before),
        ))
    }

    /// Lists: what separates their entries, and counts.
    fn list(&self) -> Option<Told> {
        if !self.expects(Rule::comma) {
            return None;
        }
        let comma_fits = |next: &str| format!("Write `{}, {next}`.", self.before);
        if matches!(self.found, "and" | "&") && !self.expects(Rule::w_is) {
            let next = self.rest.strip_prefix(self.found).unwrap_or("").trim_start();
            return Some(told(
                "the entries of a list are separated by commas",
                "a comma belongs here",
                comma_fits(next),
            ));
        }
        let counts = self.form.shape.contains("COUNT");
        if counts && starts_number(self.found) && self.rest.trim() == self.found && is_word(self.last) {
            let start = self.before.strip_suffix(self.last).unwrap_or("").trim_end();
            let repair = format!("Write `{}`.", format!("{start} {} {}", self.found, self.last).trim_start());
            return Some(told("a count stands before its part", "stands after its part", repair));
        }
        if starts_number(self.found) && self.expects(Rule::w_x) {
            let repair = format!("Write `{} x {}`.", self.before, self.rest);
            return Some(told("the length of a fastener stands after `x`", "`x` is missing before this", repair));
        }
        if is_word(self.found) || starts_number(self.found) {
            let message = format!("a comma is missing between `{}` and `{}`", self.last, self.found);
            let of_names = matches!(
                self.form.word,
                "use" | "wear" | "take" | "tighten" | "loosen" | "snug" | "remove" | "each" | "bag"
            );
            let may_be_one = of_names && is_word(self.found) && is_word(self.last) && !self.last.contains('-');
            let repair = if may_be_one {
                let one = format!("{}-{}", self.last, self.found);
                let two = format!("{}, {}", self.before, self.rest);
                format!("If this is one name, it has no blank: `{one}`. If there are two: `{two}`.")
            } else {
                comma_fits(self.rest)
            };
            return Some(told(message, "the next entry begins here", repair));
        }
        None
    }

    /// A second statement behind the first.
    fn own_line(&self) -> Option<Told> {
        let next = super::forms::find(self.form.home, self.found)?;
        let ends = self.complete() || self.expects(Rule::comma);
        (ends && self.rest.len() > self.found.len() && next.shape.contains(' ')).then(|| {
            told(
                format!("`{}` begins a line of its own", self.found),
                "on the same line as the one before",
                format!("Write `{}` on the next line.", self.rest.lines().next().unwrap_or_default().trim_end()),
            )
        })
    }

    /// Texts without quotes, and quotes within texts.
    fn text(&self) -> Option<Told> {
        // `figure rail.svg`: the name of a figure would fit up to the point.
        if self.form.word == "figure" && self.rest.starts_with(['.', '/']) {
            let file = format!("{}{}", self.last, self.rest_of_line());
            return Some(told(
                "`figure` needs the name of its file in quotes",
                "the quotes are missing",
                format!("Write `figure \"{}\" \"What it shows\"`.", file.split_whitespace().next().unwrap_or_default()),
            ));
        }
        if !is_word(self.found) {
            return None;
        }
        if self.form.rule == Rule::sure {
            return Some(told(
                "`expect` in a step takes what a person sees, in quotes; a condition belongs into a check",
                "the quotes are missing",
                "Make this step a `check NAME \"Title\" { … }`, or write what is seen: `expect \"The doors stand open\"`.",
            ));
        }
        if self.last.starts_with('"') && self.rest.contains('"') && self.complete() {
            return Some(told(
                "the text in quotes ends before this word",
                "outside the quotes",
                "A quote mark inside a text is written `\\\"`.",
            ));
        }
        if !self.expects(Rule::text) || self.rest.contains('"') || self.expects(Rule::spec_kind) {
            return None;
        }
        let repair = format!("Write `{} \"{}\"`.", self.before, self.rest);
        let message = if self.complete() {
            format!("a title stands in quotes, and `{}` does not", short(self.found))
        } else {
            format!("{} needs a text in quotes", self.subject())
        };
        Some(told(message, "the quotes are missing", repair))
    }

    /// A kind of fastener that there is not.
    fn fastener(&self) -> Option<Told> {
        const KINDS: [&str; 6] = ["bolt", "screw", "stud", "nut", "washer", "terminal"];
        if !self.expects(Rule::spec_kind) || !is_word(self.found) {
            return None;
        }
        let repair = match suggest::nearest(self.found, KINDS) {
            Some(near) => format!("Write `{near}`."),
            None => {
                "Write a title in quotes, or one of `bolt`, `screw`, `stud`, `nut`, `washer` and `terminal`.".into()
            }
        };
        Some(told(format!("`{}` is not a kind of fastener", short(self.found)), "not a kind of fastener", repair))
    }

    /// The usual case: something is missing, or something is too much.
    fn general(&self) -> Told {
        let subject = self.subject();
        if let Some(keyword) = self.keyword() {
            return self.missing_keyword(keyword);
        }
        let want = want(self.expected);
        if self.found.is_empty() {
            let after = if self.last == self.form.word { String::new() } else { format!(" after `{}`", self.last) };
            return told(format!("{subject} needs {want}{after}"), format!("{want} is missing here"), self.shape());
        }
        let found = short(self.found);
        if self.complete() {
            let message = format!("the line is complete before `{found}`");
            return told(message, "too much for this line", self.shape());
        }
        told(format!("{subject} needs {want} before `{found}`"), format!("{want} is missing before this"), self.shape())
    }

    /// The word that alone is missing here, or that a word too much was most likely meant to follow.
    fn keyword(&self) -> Option<Rule> {
        let mut words = self.expected.iter().copied().filter(|rule| !optional(*rule) && *rule != Rule::text);
        let first = words.next()?;
        let alone = words.next().is_none();
        let points = matches!(self.form.word, "connect" | "disconnect") && self.expects(Rule::w_at);
        if points && is_word(self.found) {
            return Some(Rule::w_at);
        }
        (alone && keyword(first).is_some() && (!self.complete() || is_word(self.found))).then_some(first)
    }

    fn missing_keyword(&self, rule: Rule) -> Told {
        let subject = self.subject();
        let word = keyword(rule).unwrap_or_default();
        let (word, follows) = match (rule, self.form.word) {
            (Rule::w_at, "repair") => ("at most", "a number of times"),
            (Rule::w_at, "connect" | "disconnect") => (word, "its points"),
            (Rule::w_at, _) => (word, "a quantity"),
            (Rule::w_of, "at") => (word, "the circuit"),
            (Rule::w_with, "remove" | "connect" | "disconnect" | "snug" | "tighten" | "loosen") => (word, "its tools"),
            (Rule::w_by, _) => (word, "a state and its value"),
            (Rule::equals, "section") => (word, "the name of a thing of this file"),
            (Rule::equals, _) => (word, "the quantity"),
            _ => (word, ""),
        };
        if self.found.is_empty() {
            let and = if follows.is_empty() { String::new() } else { format!(" and {follows}") };
            let after = if self.last == self.form.word { String::new() } else { format!(" after `{}`", self.last) };
            return told(
                format!("{subject} needs `{word}`{and}{after}"),
                format!("`{word}` is missing here"),
                self.shape(),
            );
        }
        let before = if follows.is_empty() { format!("`{}`", short(self.found)) } else { follows.to_string() };
        let mut fixed = format!("{} {word} {}", self.before, self.rest_of_line());
        if self.form.home == Block::Check && self.form.word == "repair" {
            fixed.push_str(" { … }");
        }
        told(
            format!("{subject} needs `{word}` before {before}"),
            format!("`{word}` is missing before this"),
            format!("Write `{fixed}`."),
        )
    }
}

/// How many blanks stand before the place at which a statement breaks.
fn gap(broken: &Break<'_>) -> u32 {
    u32::from(!broken.before.is_empty() && !broken.found.is_empty())
}

/// Words that people use for what the language says otherwise, as a quantity of 25 mm.
fn other_words(found: &str) -> Option<&'static str> {
    Some(match found {
        "min" | "minimum" | "least" | ">=" => "at least 25 mm",
        "max" | "maximum" | "most" | "up" | "<=" => "at most 25 mm",
        "more" | "above" | "greater" | "larger" | ">" => "over 25 mm",
        "less" | "under" | "smaller" | "<" => "below 25 mm",
        "between" | "from" => "20 mm to 45 mm",
        _ => return None,
    })
}

fn is_word(piece: &str) -> bool {
    piece.starts_with(|c: char| c.is_alphabetic())
}

fn starts_number(piece: &str) -> bool {
    piece.starts_with(|c: char| c.is_ascii_digit())
}

/// A long piece cut for a message.
fn short(piece: &str) -> String {
    if piece.chars().count() <= 40 {
        return piece.to_string();
    }
    piece.chars().take(37).chain("…".chars()).collect()
}

/// Signs of two or three characters.
const PAIRS: [&str; 8] = ["+/-", "==", "!=", "&&", "||", "<=", ">=", "+-"];

fn in_a_word(c: char) -> bool {
    c.is_alphanumeric() || matches!(c, '-' | '_' | '.' | '/')
}

/// The first word, number, text or sign of a text.
fn first_piece(text: &str) -> &str {
    let Some(first) = text.chars().next() else { return "" };
    let pair = PAIRS.iter().find(|pair| text.starts_with(**pair)).map(|pair| pair.len());
    let end = match first {
        '"' => text.get(1..).and_then(|rest| rest.find('"')).map(|at| at + 2),
        _ if pair.is_some() => pair,
        c if in_a_word(c) => text.find(|c: char| !in_a_word(c)),
        c => Some(c.len_utf8()),
    };
    text.get(..end.unwrap_or(text.len())).unwrap_or(text)
}

/// The last word, number, text or sign of a text.
fn last_piece(text: &str) -> &str {
    let text = text.trim_end();
    let Some(last) = text.chars().next_back() else { return "" };
    let start = match last {
        '"' => text.strip_suffix('"').and_then(|rest| rest.rfind('"')),
        _ if PAIRS.iter().any(|pair| text.ends_with(pair)) => {
            PAIRS.iter().find(|pair| text.ends_with(**pair)).map(|pair| text.len() - pair.len())
        }
        c if in_a_word(c) => text.char_indices().rev().find(|(_, c)| !in_a_word(*c)).map(|(at, c)| at + c.len_utf8()),
        c => Some(text.len() - c.len_utf8()),
    };
    text.get(start.unwrap_or(0)..).unwrap_or(text)
}
