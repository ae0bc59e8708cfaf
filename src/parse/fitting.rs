//! What would fit at a place of a text that is still being written: for completion.
//!
//! The layout before the place tells the block and the statement; the grammar, asked to go on behind the words that stand
//! there, tells what it would take. So a new form of the language is known here without a line.

use super::blocks::first_word;
use super::forms::{self, Block, Form};
use super::limits;
use super::phrases::keyword;
use super::scan::{self, EventKind, Stands};
use crate::source::FileId;
use fitwright_grammar::{Grammar, Rule};
use pest::Parser;
use std::borrow::Cow;

/// A place in a text, and what would fit there.
#[derive(Debug, Clone)]
pub struct Place<'t> {
    /// The block that it stands in.
    pub block: Block,
    /// The words of the statement whose block that is; empty outside all blocks.
    pub owner: &'t str,
    /// The words of its own statement up to the word that is being typed.
    pub before: &'t str,
    /// The first byte of the word that is being typed; the place itself where none is.
    pub from: usize,
    /// What would fit.
    pub fits: Vec<Fits>,
}

/// Something that would fit.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Fits {
    /// A word of the language.
    Word(Cow<'static, str>),
    /// A whole statement.
    Statement(&'static Form),
    /// The name of something.
    Name(NameOf),
    /// A word of a closed list.
    Listed(Listed),
    /// A text in quotes.
    Text,
    /// A unit, behind a number.
    Unit,
    /// A number or a quantity.
    Quantity,
}

/// The closed lists of which the grammar knows only that their words are words; what is in them, the resolver says.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
#[allow(missing_docs, reason = "the words say it")]
pub enum Listed {
    /// What a fastener is besides its size: `hex head`, `nylon insert`.
    FastenerWord,
    ThreadCondition,
    TappedMetal,
    /// The order in which a joint is tightened, or loosened.
    Order,
    Drive,
    WireMetal,
    Colour,
    UnitSystem,
    /// The lines of steps that can bring a hazard.
    StepLine,
}

/// Of what a name is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
#[allow(missing_docs, reason = "each is the declaration of the same name")]
pub enum NameOf {
    Part,
    Tool,
    Joint,
    Circuit,
    /// A circuit of another procedure, by which it does what this one leaves.
    LaterCircuit,
    /// A point of a circuit.
    Point,
    State,
    /// A value of a state, option, observation or result.
    Value,
    Result,
    /// What a condition may ask: an option, given, measure, observation or result.
    Input,
    Hazard,
    Protection,
    Action,
    Figure,
    /// A group of places.
    Each,
    /// What may be written down: a joint or a reading.
    Recorded,
    Terminal,
    Reference,
    Thread,
    Grade,
    Wire,
    /// What `[…]` may name.
    Mentioned,
    /// What a section of a library may be given.
    Given,
    /// A library.
    Library,
    /// A code of a finding.
    Code,
}

/// Looks at a place: an offset in bytes, moved to the next beginning of a character. `None` in a comment, and in a text or
/// prose line outside brackets.
pub fn at(text: &str, offset: usize) -> Option<Place<'_>> {
    let mut offset = offset.min(text.len());
    while !text.is_char_boundary(offset) {
        offset += 1;
    }
    let before = text.get(..offset)?;
    let line = before.rfind('\n').map_or(0, |at| at + 1);
    let stands = scan::stands(before.get(line..)?);
    if let Stands::Prose | Stands::Text = stands {
        return mention(before, line);
    }
    let Stands::Statement(from) = stands else { return None };
    let from = begins(before, line, from);
    let (block, owner) = around(text, before.get(..from)?);
    let statement = before.get(from..)?.trim_start();
    let typed = statement.len() - statement.trim_end_matches(is_of_a_word).len();
    let words = statement.get(..statement.len() - typed)?;
    Some(Place { block, owner, before: words, from: offset - typed, fits: fits(block, words) })
}

/// Where the statement at the end of a text begins: it goes on behind a line that ends with a comma.
fn begins(before: &str, line: usize, from: usize) -> usize {
    let (mut line, mut from) = (line, from);
    for _ in 0..MOST_LINES {
        let above = before.get(..line).unwrap_or_default().trim_end();
        if from > 0 && !before.get(line..line + from).unwrap_or_default().trim().is_empty() || !above.ends_with(',') {
            break;
        }
        let start = above.rfind('\n').map_or(0, |at| at + 1);
        let Stands::Statement(at) = scan::stands(above.get(start..).unwrap_or_default()) else { break };
        (line, from) = (start, at);
    }
    line + from
}

/// A statement is followed over so many lines.
const MOST_LINES: usize = 64;

fn is_of_a_word(c: char) -> bool {
    c.is_alphanumeric() || matches!(c, '-' | '_' | '/' | '.')
}

/// A name in square brackets that is not closed before the place.
fn mention(before: &str, line: usize) -> Option<Place<'_>> {
    let open = before.get(line..)?.rfind('[').map(|at| line + at)?;
    let typed = before.get(open + 1..)?;
    let escaped = before.get(..open)?.ends_with('\\');
    if typed.contains(']') || escaped || !typed.chars().all(|c| is_of_a_word(c) || c == ' ') {
        return None;
    }
    let fits = vec![Fits::Name(NameOf::Mentioned)];
    Some(Place { block: Block::Unknown, owner: "", before: "", from: open + 1, fits })
}

/// The block at the end of a text, and the words before its brace.
fn around<'t>(text: &'t str, before: &str) -> (Block, &'t str) {
    let events = scan::scan(FileId::new(0), before).events;
    let mut open: Vec<(Block, &'t str)> = Vec::new();
    let mut head = None;
    for event in &events {
        let holds = open.last().map_or(Block::File, |(block, _)| *block);
        match event.kind {
            EventKind::Words => head = Some(event),
            EventKind::Prose => head = None,
            EventKind::Open => {
                let words = head.take();
                let block = words.map_or(Block::Unknown, |words| forms::body_of(holds, first_word(text, words)));
                open.push((
                    block,
                    words.and_then(|words| text.get(words.start as usize..words.end as usize)).unwrap_or(""),
                ));
            }
            EventKind::Close => {
                head = None;
                open.pop();
            }
        }
    }
    open.last().copied().unwrap_or((Block::File, ""))
}

/// What would fit behind the words of a statement.
fn fits(block: Block, words: &str) -> Vec<Fits> {
    let Some(rule) = block.rule() else { return Vec::new() };
    let mut found: Vec<Fits> = Vec::new();
    let mut add = |fits: Fits| {
        if !found.contains(&fits) {
            found.push(fits);
        }
    };
    if words.trim().is_empty() {
        forms::of(block).for_each(|form| add(Fits::Statement(form)));
    }
    // No statement takes a brace, so the grammar says what it would have taken instead.
    let asked = format!("{words}}}");
    let rules = expected(rule, &asked, words.len());
    let is_complete = rules.contains(&Rule::EOI);
    for rule in rules {
        alternatives(rule).iter().for_each(|word| add(Fits::Word(Cow::Borrowed(word))));
        let Some(word) = word_of(rule) else {
            fitting(rule).into_iter().for_each(&mut add);
            continue;
        };
        match forms::of(block).find(|form| is_complete && form.word == word) {
            Some(form) => add(Fits::Statement(form)),
            // `male` or `female`: the words that messages show with `or` between them.
            None => word.split("` or `").for_each(|word| add(Fits::Word(word.to_owned().into()))),
        }
    }
    if words.ends_with([' ', '\t']) && matches!(last_word(words), "class" | "grade") {
        add(Fits::Name(NameOf::Grade));
    }
    // `hex head` is one word of the language, begun behind a comma.
    if let Some((start, begun)) = words.rsplit_once(',')
        && words.ends_with([' ', '\t'])
        && !begun.trim().is_empty()
        && expected(rule, &format!("{start},}}"), start.len() + 1).contains(&Rule::spec_words)
    {
        add(Fits::Listed(Listed::FastenerWord));
    }
    // An amount is one of a part, which the grammar sees by the name behind it: `1.2 m` of what?
    if let Some(counted) = with_a_count(words)
        && expected(rule, &format!("{counted}}}"), counted.len()).into_iter().filter_map(fitting).any(|one| one == PART)
    {
        add(PART);
    }
    found
}

const PART: Fits = Fits::Name(NameOf::Part);

fn last_word(words: &str) -> &str {
    words.split_whitespace().next_back().unwrap_or_default()
}

/// The words with a count in the place of an amount at their end: `take 1 ` for `take 1.2 m `.
fn with_a_count(words: &str) -> Option<String> {
    let start = words.strip_suffix([' ', '\t'])?.trim_end().rsplit_once(char::is_whitespace)?.0.trim_end();
    let number = last_word(start);
    let is_number = number.starts_with(|c: char| c.is_ascii_digit());
    is_number.then(|| format!("{}1 ", start.strip_suffix(number).unwrap_or_default()))
}

/// The word that a rule begins with: as messages have it, or as the rule is called.
fn word_of(rule: Rule) -> Option<Cow<'static, str>> {
    let called = || format!("{rule:?}").strip_prefix("w_").map(|word| Cow::Owned(word.replace('_', "-")));
    keyword(rule).map(Cow::Borrowed).or_else(called)
}

/// The rules that would have gone on at this byte.
fn expected(rule: Rule, asked: &str, at: usize) -> Vec<Rule> {
    if limits::bracket_too_deep(asked).is_some() {
        return Vec::new();
    }
    let Err(error) = Grammar::parse(rule, asked) else { return Vec::new() };
    let place = match error.location {
        pest::error::InputLocation::Pos(at) | pest::error::InputLocation::Span((at, _)) => at,
    };
    match error.variant {
        // What breaks before is a fault, and nothing fits behind it.
        pest::error::ErrorVariant::ParsingError { positives, .. }
            if place >= asked.get(..at).map_or(at, |words| words.trim_end().len()) =>
        {
            positives
        }
        _ => Vec::new(),
    }
}

/// The words of a rule that is a choice among some.
fn alternatives(rule: Rule) -> &'static [&'static str] {
    match rule {
        Rule::spec | Rule::spec_kind => &["bolt", "nut", "screw", "stud", "terminal", "washer"],
        Rule::signal => &["caution", "danger", "notice", "warning"],
        Rule::group_kind => &["bag", "box", "shop"],
        Rule::grade_kind | Rule::stud_grade => &["class", "grade"],
        Rule::expected | Rule::expected_kind => &[
            "action",
            "circuit",
            "each",
            "fact",
            "given",
            "hazard",
            "joint",
            "measure",
            "observe",
            "option",
            "part",
            "protection",
            "result",
            "state",
            "tool",
        ],
        Rule::plus_minus | Rule::tolerance => &["+-"],
        Rule::measure | Rule::arm_measure => &["at least", "at most", "over", "below"],
        Rule::operand | Rule::product | Rule::sum => &["least of", "greatest of"],
        Rule::tool_use => &["hold"],
        _ => &[],
    }
}

fn fitting(rule: Rule) -> Option<Fits> {
    let name = |of| Some(Fits::Name(of));
    let listed = |list| Some(Fits::Listed(list));
    match rule {
        Rule::spec_words => listed(Listed::FastenerWord),
        Rule::condition_word => listed(Listed::ThreadCondition),
        Rule::tapped_metal => listed(Listed::TappedMetal),
        Rule::pattern_word => listed(Listed::Order),
        Rule::drive_name => listed(Listed::Drive),
        Rule::metal => listed(Listed::WireMetal),
        Rule::colour | Rule::coloured => listed(Listed::Colour),
        Rule::unit_system => listed(Listed::UnitSystem),
        Rule::line_word => listed(Listed::StepLine),
        Rule::text | Rule::record_text => Some(Fits::Text),
        Rule::unit => Some(Fits::Unit),
        Rule::number | Rule::measure | Rule::amount | Rule::plain | Rule::arm_measure => Some(Fits::Quantity),
        Rule::part_name | Rule::counted | Rule::much_of | Rule::parts_made | Rule::make_parts | Rule::in_list => {
            name(NameOf::Part)
        }
        Rule::given_name => name(NameOf::Given),
        Rule::called_name | Rule::accepted_name => name(NameOf::Mentioned),
        Rule::tool_name | Rule::tool_use => name(NameOf::Tool),
        Rule::joint_name => name(NameOf::Joint),
        Rule::circuit_name => name(NameOf::Circuit),
        Rule::later_circuit => name(NameOf::LaterCircuit),
        Rule::point_name | Rule::wire_end => name(NameOf::Point),
        Rule::state_name => name(NameOf::State),
        Rule::value_name | Rule::arm_values | Rule::in_choose => name(NameOf::Value),
        Rule::result_name => name(NameOf::Result),
        Rule::input_name
        | Rule::operand
        | Rule::relation
        | Rule::comparison
        | Rule::sum
        | Rule::product
        | Rule::inverse
        | Rule::in_limit
        | Rule::all
        | Rule::any
        | Rule::cond => name(NameOf::Input),
        Rule::hazard_name => name(NameOf::Hazard),
        Rule::protection_name => name(NameOf::Protection),
        Rule::action_name => name(NameOf::Action),
        Rule::figure_name => name(NameOf::Figure),
        Rule::each_name => name(NameOf::Each),
        Rule::recorded_name | Rule::record_name => name(NameOf::Recorded),
        Rule::terminal_name => name(NameOf::Terminal),
        Rule::reference_name => name(NameOf::Reference),
        Rule::thread | Rule::stud => name(NameOf::Thread),
        Rule::grade_name => name(NameOf::Grade),
        Rule::path => name(NameOf::Library),
        Rule::code => name(NameOf::Code),
        _ => None,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// What fits where `|` stands.
    fn at_bar(text: &str) -> Vec<Fits> {
        let offset = text.find('|').expect("a bar");
        at(&text.replace('|', ""), offset).map(|place| place.fits).unwrap_or_default()
    }

    #[test]
    fn names_of_the_right_kind_fit_behind_a_word() {
        let step = |line: &str| {
            at_bar(&format!("procedure a \"A\"\nsection s \"S\" {{\n  step b \"B\" {{\n    {line}\n  }}\n}}\n"))
        };
        assert!(step("tighten |").contains(&Fits::Name(NameOf::Joint)));
        assert!(step("tighten foot with |").contains(&Fits::Name(NameOf::Tool)));
        assert!(step("tighten foot with spanner-10, hold with sp|").contains(&Fits::Name(NameOf::Tool)));
        assert!(step("need engine |").contains(&Fits::Name(NameOf::Value)));
        assert!(step("connect feed at |").contains(&Fits::Name(NameOf::Point)));
        assert!(step("tighten foot |").contains(&Fits::Word("with".into())));
        assert!(step("wear |").contains(&Fits::Name(NameOf::Protection)));
        assert!(step("wait 30 |").contains(&Fits::Unit));
        assert!(step("> Turn the [fo|").contains(&Fits::Name(NameOf::Mentioned)));
        assert_eq!(step("> Turn the fo|"), []);
        assert_eq!(step("# take |"), []);
        assert_eq!(step("note \"take |\""), []);
    }

    #[test]
    fn statements_fit_where_a_line_begins_or_a_block_goes_on() {
        let word = |fits: &[Fits], word: &str| {
            fits.iter().any(|fit| matches!(fit, Fits::Statement(form) if form.word == word))
        };
        let top = at_bar("procedure a \"A\"\n|");
        assert!(word(&top, "joint") && word(&top, "section") && !word(&top, "tighten"));
        let joint = at_bar("procedure a \"A\"\njoint j \"J\" { count 2  |");
        assert!(word(&joint, "torque") && word(&joint, "each"), "{joint:?}");
        assert!(at_bar("procedure a \"A\"\njoint j { torque 22 |").contains(&Fits::Unit));
        assert!(at_bar("procedure a \"A\"\njoint j { each b, 2 |").contains(&Fits::Name(NameOf::Part)));
        assert!(at_bar("kit { bag A { 8 |").contains(&Fits::Name(NameOf::Part)));
        let arms = "procedure a \"A\"\nsection s {\n  choose arm {\n    |";
        assert!(at_bar(arms).contains(&Fits::Name(NameOf::Value)));
        assert_eq!(
            at(&arms.replace('|', ""), arms.len() - 1).map(|place| place.owner.to_owned()).as_deref(),
            Some("choose arm")
        );
        assert!(at_bar("use std/|").contains(&Fits::Name(NameOf::Library)));
        assert!(at_bar("require side is |").contains(&Fits::Name(NameOf::Value)));
    }

    /// What is proposed of a choice among words is what the grammar takes there, and all of it.
    #[test]
    fn the_words_of_a_choice_are_those_of_the_grammar() {
        let grammar = include_str!("../../grammar/fitwright.pest");
        for rule in [Rule::spec_kind, Rule::signal, Rule::group_kind, Rule::grade_kind, Rule::expected_kind] {
            let start = grammar.find(&format!("\n{rule:?} ")).expect("the rule");
            let body = grammar[start..].split('}').next().unwrap_or_default();
            let mut words: Vec<&str> = body.split('"').skip(1).step_by(2).collect();
            words.sort_unstable();
            assert_eq!(alternatives(rule), words, "{rule:?}");
        }
    }

    #[test]
    fn no_place_of_any_text_ends_the_program() {
        for text in ["", "\u{feff}", "Ø", "{{{{", "}}}", "\"", "> [", "step { µ \u{1} }", "kit { bag A { 8 "] {
            for offset in 0..=text.len() + 2 {
                let _ = at(text, offset);
            }
        }
    }
}
