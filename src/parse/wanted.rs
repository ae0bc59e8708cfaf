//! What a form wanted at the place where it broke, in a writer's words.

use super::blocks::Statement;
use super::forms::Form;
use super::grammar::Rule;
use crate::diagnostics::{Code, Finding};
use crate::source::{FileId, Span};

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
    /// Where `found` stands; the end of the statement where there is none.
    at: Span,
    /// What would have fitted.
    expected: &'t [Rule],
}

impl Break<'_> {
    fn expects(&self, rule: Rule) -> bool {
        self.expected.contains(&rule)
    }

    /// Whether the statement could have ended here.
    fn complete(&self) -> bool {
        self.expects(Rule::EOI)
    }
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
    let broken = Break {
        before,
        rest,
        found,
        last: last_piece(before),
        at: Span::new(file, place, place + found.len()),
        expected,
    };
    let shape = format!("The form is `{}`, for example `{}`.", form.shape, form.example);
    special(&broken, form, &shape).unwrap_or_else(|| general(&broken, form, &shape))
}

/// Faults that are common enough to have words of their own.
fn special(broken: &Break<'_>, form: &Form, shape: &str) -> Option<Finding> {
    let make = |message: String, label: &str, repair: String| {
        Some(Finding::new(Code::FW0101, message, broken.at, label).repair(repair))
    };
    let Break { before, rest, found, last, .. } = *broken;
    match found {
        ";" => {
            return make(
                "a statement ends with its line and needs no semicolon".into(),
                "not needed",
                "Delete it.".into(),
            );
        }
        ":" => return make("no colon stands here".into(), "not part of the form", shape.into()),
        "," if rest.trim() == "," => {
            return make(
                "nothing follows the comma at the end of this line".into(),
                "the list goes on, or it ends",
                "Delete the comma, or write the next entry after it.".into(),
            );
        }
        "==" | "!=" | "&&" | "||" | "!" => {
            let word = match found {
                "==" => "is",
                "&&" => "and",
                "||" => "or",
                _ => "is not",
            };
            return make(
                format!("conditions are written in words, and `{found}` is `{word}`"),
                "not a word of a condition",
                format!("Write `{word}`."),
            );
        }
        _ => {}
    }
    if before.ends_with('=') && rest.starts_with('=') {
        return make(
            "conditions are written in words, and `==` is `is`".into(),
            "one sign too many",
            "Write `is` between a name and its value, and `=` between quantities.".into(),
        );
    }
    if broken.expects(Rule::w_to)
        && rest.starts_with(['-', '–'])
        && rest[1..].trim_start().starts_with(|c: char| c.is_ascii_digit())
    {
        return make(
            "a range is written with `to`".into(),
            "a hyphen instead of `to`",
            format!("Write `{before} to {}`.", rest[1..].trim_start()),
        );
    }
    if let Some(right) = other_words(found).filter(|_| broken.expects(Rule::w_at) || broken.expects(Rule::w_least)) {
        return make(format!("`{found}` is not a word for quantities"), "said otherwise", format!("Write `{right}`."));
    }
    if matches!(found, "and" | "&") && broken.expects(Rule::comma) && !broken.expects(Rule::w_is) {
        let next = rest[found.len()..].trim_start();
        return make(
            "the entries of a list are separated by commas".into(),
            "a comma belongs here",
            format!("Write `{before}, {next}`."),
        );
    }
    if last.starts_with('"') && rest.contains('"') && broken.complete() && is_word(found) {
        return make(
            "the text in quotes ends before this word".into(),
            "outside the quotes",
            "A quote mark inside a text is written `\\\"`.".into(),
        );
    }
    if broken.expects(Rule::text) && is_word(found) && !broken.complete() && !rest.contains('"') {
        return make(
            format!("`{}` needs a text in quotes", form.word),
            "the quotes are missing",
            format!("Write `{before} \"{rest}\"`."),
        );
    }
    if broken.expects(Rule::close) && found.is_empty() {
        return make("a bracket is opened here and not closed".into(), "`)` is missing", format!("Write `{before})`."));
    }
    None
}

/// Words that people use for what the language says otherwise.
fn other_words(found: &str) -> Option<&'static str> {
    Some(match found {
        "min" | "minimum" | "least" => "at least 25 mm",
        "max" | "maximum" | "most" | "up" => "at most 25 mm",
        "more" | "above" | "greater" | ">" => "over 25 mm",
        "less" | "under" | "smaller" | "<" => "below 25 mm",
        "between" | "from" => "20 mm to 45 mm",
        "about" | "approximately" | "approx" | "ca" | "~" => "22 N.m +- 2 N.m",
        _ => return None,
    })
}

/// The usual case: something is missing, or something is too much.
fn general(broken: &Break<'_>, form: &Form, shape: &str) -> Finding {
    let Break { before, rest, found, last, at, .. } = *broken;
    let word = form.word;
    let subject =
        if word.starts_with(|c: char| c.is_ascii_uppercase()) { word.to_string() } else { format!("`{word}`") };
    if found.is_empty() {
        let want = want(broken.expected);
        let message = if last == word {
            format!("{subject} needs {want}")
        } else {
            format!("{subject} needs {want} after `{last}`")
        };
        return Finding::new(Code::FW0101, message, at, format!("{want} is missing here")).repair(shape);
    }
    if broken.expects(Rule::comma) && (is_word(found) || starts_number(found)) {
        let message = format!("a comma is missing between `{last}` and `{found}`");
        let fixed = format!("Write `{before}, {rest}`. {shape}");
        return Finding::new(Code::FW0101, message, at, "the next entry begins here").repair(fixed);
    }
    if broken.complete() {
        let message = format!("{subject} is complete before `{}`", short(found));
        return Finding::new(Code::FW0101, message, at, "too much for this line").repair(shape);
    }
    let keyword = only_keyword(broken.expected);
    let want = want(broken.expected);
    let message = format!("{subject} needs {want} before `{}`", short(found));
    let label = format!("{want} is missing before this");
    let repair = match keyword {
        Some(keyword) => format!("Write `{before} {keyword} {rest}`."),
        None => shape.to_string(),
    };
    Finding::new(Code::FW0101, message, at, label).repair(repair)
}

/// The word that alone would have fitted.
fn only_keyword(expected: &[Rule]) -> Option<&'static str> {
    let mut words = expected.iter().filter(|rule| !optional(**rule));
    match (words.next(), words.next()) {
        (Some(rule), None) => keyword(*rule),
        _ => None,
    }
}

/// Rules that may stand at many places and that a message names only where nothing else fits.
fn optional(rule: Rule) -> bool {
    matches!(
        rule,
        Rule::EOI
            | Rule::comma
            | Rule::unit
            | Rule::plus_minus
            | Rule::w_to
            | Rule::w_or
            | Rule::w_and
            | Rule::plus_or_minus
            | Rule::times_or_divided
            | Rule::w_when
    )
}

/// What would have fitted, in words: at most three things.
fn want(expected: &[Rule]) -> String {
    let has = |rule: Rule| expected.contains(&rule);
    if has(Rule::number) && has(Rule::w_below) {
        return "a quantity, such as `22 N.m`".into();
    }
    if has(Rule::w_not) && has(Rule::open) || has(Rule::cond) || has(Rule::input_name) && has(Rule::open) {
        return if has(Rule::w_not) { "a condition".into() } else { "a quantity or a name of one".into() };
    }
    if has(Rule::tool_name) {
        return "a tool".into();
    }
    if has(Rule::part_name) {
        return "a part".into();
    }
    let mut words: Vec<String> = Vec::new();
    for strict in [true, false] {
        for rule in expected.iter().filter(|rule| optional(**rule) != strict) {
            let word = phrase(*rule);
            if !words.contains(&word) {
                words.push(word);
            }
        }
        if !words.is_empty() {
            break;
        }
    }
    words.truncate(3);
    match words.pop() {
        None => "something else".into(),
        Some(only) if words.is_empty() => only,
        Some(last) => format!("{} or {last}", words.join(", ")),
    }
}

/// One rule in a writer's words.
fn phrase(rule: Rule) -> String {
    let words = match rule {
        Rule::text => "a text in quotes",
        Rule::new_name => "a name",
        Rule::joint_name => "the name of a joint",
        Rule::state_name => "the name of a state",
        Rule::value_name => "a value",
        Rule::result_name => "the name of a result",
        Rule::input_name => "the name of a reading or choice",
        Rule::hazard_name => "the name of a hazard",
        Rule::protection_name => "the name of protective equipment",
        Rule::circuit_name => "the name of a circuit",
        Rule::point_name => "the name of a point",
        Rule::action_name => "the name of an action",
        Rule::reference_name => "the name of a reference",
        Rule::recorded_name => "the name of a joint or reading",
        Rule::drive_name => "a drive, such as `hex`",
        Rule::condition_word => "the thread's condition, such as `plated`",
        Rule::line_word => "a step line, such as `connect`",
        Rule::unit_system => "`metric` or `inch`",
        Rule::signer => "who signs",
        Rule::signal => "a signal word, such as `warning`",
        Rule::spec_kind => "a kind of fastener, such as `bolt`",
        Rule::terminal_name => "its size",
        Rule::thread | Rule::stud => "a thread, such as `M8`",
        Rule::mark => "a mark, such as `A`",
        Rule::date => "a day, such as `2026-11-02`",
        Rule::path => "the name of a library, such as `std/fasteners`",
        Rule::code => "a code, such as `FW0502`",
        Rule::row_name => "the name of the row",
        Rule::attribute_word => "a word",
        Rule::number | Rule::amount => "a number",
        Rule::measure => "a quantity, such as `22 N.m`",
        Rule::how_many => "how many people",
        Rule::unit => "a unit",
        Rule::comma => "a comma",
        Rule::equals => "`=`",
        Rule::compare => "`<=`, `<`, `>=`, `>` or `=`",
        Rule::plus_minus => "`+-`",
        Rule::open => "`(`",
        Rule::close => "`)`",
        Rule::plus_or_minus => "`+`",
        Rule::times_or_divided => "`*`",
        Rule::EOI => "the end of the line",
        _ => {
            return keyword(rule).map_or_else(|| "something else".into(), |word| format!("`{word}`"));
        }
    };
    words.to_string()
}

/// The word of a word's rule.
fn keyword(rule: Rule) -> Option<&'static str> {
    Some(match rule {
        Rule::w_with => "with",
        Rule::w_at => "at",
        Rule::w_least => "least",
        Rule::w_most => "most",
        Rule::w_by => "by",
        Rule::w_is => "is",
        Rule::w_times => "times",
        Rule::w_people => "people",
        Rule::w_stop => "stop",
        Rule::w_go => "go",
        Rule::w_on => "on",
        Rule::w_use => "use",
        Rule::w_vehicle => "vehicle",
        Rule::w_to => "to",
        Rule::w_or => "or",
        Rule::w_and => "and",
        Rule::w_when => "when",
        Rule::w_x => "x",
        Rule::w_torque => "torque",
        Rule::w_photo => "photo",
        Rule::w_confirmed => "confirmed",
        Rule::w_not => "not",
        Rule::w_hold => "hold",
        Rule::w_optional => "optional",
        Rule::equals => "=",
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

/// The first word, number, text or sign of a text.
fn first_piece(text: &str) -> &str {
    let Some(first) = text.chars().next() else { return "" };
    if first == '"' {
        let end = text[1..].find('"').map_or(text.len(), |at| at + 2);
        return &text[..end];
    }
    for sign in ["==", "!=", "&&", "||", "<=", ">=", "+-"] {
        if text.starts_with(sign) {
            return &text[..sign.len()];
        }
    }
    let inside = |c: char| c.is_alphanumeric() || matches!(c, '-' | '_' | '.' | '/');
    if !inside(first) {
        return &text[..first.len_utf8()];
    }
    let end = text.find(|c: char| !inside(c)).unwrap_or(text.len());
    &text[..end]
}

/// The last word, number, text or sign of a text.
fn last_piece(text: &str) -> &str {
    let text = text.trim_end();
    let Some(last) = text.chars().next_back() else { return "" };
    if last == '"'
        && let Some(open) = text[..text.len() - 1].rfind('"')
    {
        return &text[open..];
    }
    let inside = |c: char| c.is_alphanumeric() || matches!(c, '-' | '_' | '.' | '/');
    if !inside(last) {
        return &text[text.len() - last.len_utf8()..];
    }
    let start =
        text.rfind(|c: char| !inside(c)).map_or(0, |at| at + text[at..].chars().next().map_or(1, char::len_utf8));
    &text[start..]
}
