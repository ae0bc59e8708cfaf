//! What is said of a statement that cannot be read.
//!
//! The first word decides: a word that is at home in the block is explained by the place at which its form breaks; a
//! word of another block is told where it belongs; a misspelt word is corrected; a sentence is told about `>`.

use super::{Failed, Reader, fault};
use crate::diagnostics::{Change, Code, Confidence, Finding, Mend, suggest};
use crate::parse::blocks::{Statement, word_at};
use crate::parse::forms::{self, Block, Form};
use crate::parse::limits;
use crate::parse::tree::Accept;
use crate::parse::wanted;
use crate::source::Span;
use fitwright_grammar::Rule;

/// FW0108: brackets in brackets.
fn too_deep(at: Span) -> Finding {
    let message = format!("the brackets here are nested more than {} deep", limits::BRACKETS);
    Finding::new(Code::FW0108, message, at, "one bracket too deep")
        .because("No condition that people can follow needs so many levels.")
        .repair("Take out brackets that hold one thing alone, or say it in several statements.")
}

/// Explains why a statement could not be read.
pub(super) fn explain(reader: &Reader<'_>, block: Block, statement: &Statement, failed: &Failed) -> Finding {
    let head = reader.slice(statement.start, statement.end);
    let word = word_at(head);
    let whole = reader.span(statement.start, statement.end);
    let first_letter = head.chars().next().map_or(0, char::len_utf8) as u32;
    let first = reader.span(statement.start, statement.start + super::len(word).max(first_letter));
    if head.is_empty() {
        return no_words(reader, statement);
    }
    if let Some(at) = limits::bracket_too_deep(head) {
        let at = statement.start + u32::try_from(at).unwrap_or(0);
        return too_deep(reader.span(at, at + 1));
    }
    if let Some(form) = forms::find(block, word) {
        if is_sentence(head) && !head.contains(|c: char| c.is_ascii_digit()) {
            return sentence(block, head, whole);
        }
        let before = reader.text.get(statement.start as usize..failed.at).unwrap_or_default();
        let form = last_form(block, before).unwrap_or(form);
        return wanted::explain(reader.file, reader.text, statement, form, failed.at, &failed.expected);
    }
    if let Some(sign) = odd_first_sign(head) {
        return sign_at_start(block, sign, reader.span(statement.start, statement.start + sign.len_utf8() as u32));
    }
    if is_sentence(head) {
        return sentence(block, head, whole);
    }
    if block == Block::Kit && head.starts_with(|c: char| c.is_ascii_digit()) {
        return part_without_group(head, whole);
    }
    let home = forms::homes(word).find(|form| form.home == Block::Step).or_else(|| forms::homes(word).next());
    if let Some(home) = home
        && !block.begins_with_names()
    {
        return elsewhere(block, word, home, first);
    }
    match block {
        Block::Values | Block::State | Block::List | Block::Figure | Block::Choose | Block::Limit => {
            named_line(reader, block, statement, failed)
        }
        _ => unknown(block, word, first),
    }
}

/// The form of the last of several statements on one line, which two blanks part: `drives 1/2 in  torque 5 N.m`.
fn last_form(block: Block, before: &str) -> Option<&'static Form> {
    let ends = before.rmatch_indices("  ").map(|(at, blanks)| at + blanks.len());
    ends.filter_map(|at| before.get(at..)).find_map(|rest| forms::find(block, word_at(rest.trim_start())))
}

/// A word that begins no statement here.
fn unknown(block: Block, word: &str, at: Span) -> Finding {
    let message = if word.is_empty() {
        format!("no line {} begins like this", block.place())
    } else {
        format!("no line {} begins with `{word}`", block.place())
    };
    if let Some(repair) = said_otherwise(word) {
        return fault(Code::FW0101, message, at, "not a word of the language", repair.to_string());
    }
    fault(Code::FW0101, message, at, "not a word that can stand here", format!("Here may stand {}.", choices(block)))
}

/// What the language has for words that people bring along from elsewhere.
fn said_otherwise(word: &str) -> Option<&'static str> {
    Some(match word {
        "if" | "unless" => "Write `when CONDITION { … }`.",
        "elif" | "elseif" | "elsif" => "Write `else when CONDITION { … }`.",
        "switch" | "case" | "select" => "Write `choose READING { … }` with an arm for each range or value.",
        "repeat" | "loop" | "while" | "until" | "for" => {
            "Nothing is repeated without end: write a `check` with `repair at most N times { … }`."
        }
        "go" | "goto" | "jump" | "skip" | "return" => {
            "There are no jumps: put the steps that may be left out into `when CONDITION { … }`."
        }
        "import" | "include" => "Write `use LIBRARY`, such as `use std/fasteners`.",
        "let" | "var" | "const" | "define" => "Write `fact NAME = QUANTITY`.",
        "screw" | "bolt" | "nut" => "Write `part NAME bolt M8 x 30 mm, class 8.8`.",
        "attention" | "important" | "beware" => {
            "Write a safety message, `warning HAZARD { … }`, or `note \"…\"` where nobody can be hurt."
        }
        "fasten" | "bolt-down" => {
            "Write `place JOINT` to set the parts, and `tighten JOINT with TOOL, …` to tighten them."
        }
        "fit" | "install" | "mount" | "attach" | "assemble" => {
            "Write `place JOINT` in a step for what is bolted. What is done otherwise stands in words: `> Push the plug into the hole.`"
        }
        "photo" | "picture" => "Write `record photo \"What it shows\"` in the step where the technician takes it.",
        "get" | "fetch" | "grab" => "Write `take 1 PART` in a step for a part, `use TOOL` for a tool.",
        "undo" | "unscrew" => "Write `loosen JOINT with TOOL, …`, or `remove JOINT with TOOL, …` to take it off.",
        "pause" => "Write `wait 10 min \"until …\"`, or `wait \"until …\"` where no time is known.",
        _ => return None,
    })
}

/// A part that stands in the kit and in no group of it.
fn part_without_group(head: &str, at: Span) -> Finding {
    fault(
        Code::FW0101,
        "a part stands in a bag or box of the kit, not in the kit itself".to_string(),
        at,
        "in no bag and no box",
        format!("Write `box {{ {head} }}`, or `bag A {{ {head} }}` where the bag is marked."),
    )
    .mend(Mend::write(Confidence::Look, at, format!("box {{ {head} }}")))
}

/// The words that may begin a statement in a block, for a sentence.
fn choices(block: Block) -> String {
    let mut words: Vec<String> = Vec::new();
    for form in forms::of(block).filter(|form| form.word != "accept") {
        let word = format!("`{}`", form.word);
        if !words.contains(&word) {
            words.push(word);
        }
    }
    if block.has_prose() {
        words.push("prose after `>`".to_string());
    }
    match words.pop() {
        None => "nothing".to_string(),
        Some(only) if words.is_empty() => only,
        Some(last) => format!("{} or {last}", words.join(", ")),
    }
}

/// A misspelt word, and what it was meant to be.
pub(super) fn misspelt(block: Block, word: &str, meant: &Form, at: Span) -> Finding {
    let message = if word.eq_ignore_ascii_case(meant.word) {
        format!("`{word}` is written `{}`, in small letters", meant.word)
    } else {
        format!("no line {} begins with `{word}`", block.place())
    };
    let sure = suggest::how_sure(word, meant.word, forms::of(block).map(|form| form.word));
    fault(Code::FW0101, message, at, "not a word of the language", format!("Write `{}`.", meant.word))
        .mend(Mend::write(sure, at, meant.word))
}

/// A statement that is at home in another block.
fn elsewhere(block: Block, word: &str, home: &Form, at: Span) -> Finding {
    let homes = home_places(word);
    let message = format!("`{word}` stands {homes}, not {}", block.place());
    let repair = match (home.home, block) {
        (Block::Flow, Block::File) => "Move it into a `section NAME \"Title\" { … }`.".to_string(),
        (Block::Flow, Block::Step | Block::Check) => "Close this step before it.".to_string(),
        (Block::Step, Block::Flow | Block::File) => "Move it into a `step NAME \"Title\" { … }`.".to_string(),
        (Block::File, _) => "Move it out of all blocks, to the beginning of the file.".to_string(),
        (Block::Check, _) => "Move it into a `check NAME \"Title\" { … }`, or make this step a check.".to_string(),
        _ => format!("Move it {}.", homes.replace("in a", "into a").replace("in the", "into the")),
    };
    fault(Code::FW0110, message, at, "has no meaning here", repair)
}

/// The places where a word is at home: `in a tool or in a joint`.
fn home_places(word: &str) -> String {
    let mut places: Vec<&str> = Vec::new();
    for form in forms::homes(word) {
        if !places.contains(&form.home.place()) {
            places.push(form.home.place());
        }
    }
    places.join(" or ")
}

/// Braces without words before them.
fn no_words(reader: &Reader<'_>, statement: &Statement) -> Finding {
    let at = reader.span(statement.start, statement.start + 1);
    fault(
        Code::FW0101,
        "these braces belong to no statement".to_string(),
        at,
        "nothing before the brace says what the block is",
        "Write the statement before the brace, or delete the brace and the one that closes it.".to_string(),
    )
}

/// Whether some words are a sentence for the reader rather than a statement.
pub(super) fn is_sentence(head: &str) -> bool {
    let words = head.split_whitespace().count();
    let capital = head.chars().next().is_some_and(char::is_uppercase);
    let stop = head.ends_with(['.', '!', '?']) || head.ends_with(['.', '!', '?', ',', ':']) && capital;
    let signs = head.contains(['{', '"', '=']);
    !signs && words >= 3 && (stop || capital && words >= 5)
}

/// Whether a misspelt word is worth correcting: a sentence is not a misspelt statement.
pub(super) fn looks_like_a_statement(head: &str) -> bool {
    !is_sentence(head)
}

fn sentence(block: Block, head: &str, at: Span) -> Finding {
    let beginning: String = head.split_whitespace().take(4).collect::<Vec<_>>().join(" ");
    let repair = if block.has_prose() {
        format!("Begin the line with `>`: `> {beginning} …`.")
    } else if matches!(block, Block::Flow | Block::File) {
        format!("Put it into a step, and begin the line with `>`: `> {beginning} …`.")
    } else {
        format!("Put it into the step where people should read it, after `>`. Here may stand {}.", choices(block))
    };
    let mark = block.has_prose().then(|| Mend::look("Mark it as prose", Change::Write(at.before(), "> ".to_string())));
    fault(Code::FW0101, "this is a sentence, and not marked as one".to_string(), at, "prose without its `>`", repair)
        .mend(mark)
}

/// A sign that no statement begins with.
fn odd_first_sign(head: &str) -> Option<char> {
    head.chars().next().filter(|c| matches!(c, '>' | '-' | '*' | '/' | ';' | ':' | '[' | '(' | '|' | '@' | '+'))
}

fn sign_at_start(block: Block, sign: char, at: Span) -> Finding {
    let (message, repair) = match sign {
        '>' => (
            "a prose line begins its line, and this one stands after something else".to_string(),
            "Put it on a line of its own.".to_string(),
        ),
        '/' => ("a comment begins with `#`".to_string(), "Write `#` instead.".to_string()),
        ';' => ("a statement ends with its line and needs no semicolon".to_string(), "Delete it.".to_string()),
        '-' | '*' | '+' if block.has_prose() => (
            format!("no statement begins with `{sign}`"),
            format!("For a list in the text, write `> {sign} …`. Here may stand {}.", choices(block)),
        ),
        _ => (format!("no statement begins with `{sign}`"), format!("Here may stand {}.", choices(block))),
    };
    let mend = match sign {
        '/' => Some(Mend::look("Write `#`", Change::Word(at, "/".to_string(), "#".to_string()))),
        ';' => Some(Mend::safe("Delete it", Change::Write(at, String::new()))),
        '-' | '*' | '+' if block.has_prose() => {
            Some(Mend::look("Mark it as prose", Change::Write(at.before(), "> ".into())))
        }
        _ => None,
    };
    fault(Code::FW0101, message, at, "not the beginning of a statement", repair).mend(mend)
}

/// A line that begins with a name of the writer's.
fn named_line(reader: &Reader<'_>, block: Block, statement: &Statement, failed: &Failed) -> Finding {
    let (what, shape, example) = match block {
        Block::Values => ("a value", "VALUE \"Label\"", "strut \"Gas-strut arm\""),
        Block::State => ("a line of a state", "VALUE \"Label\"", "off \"off the post\""),
        Block::List => ("a list of parts", "COUNT PART, COUNT PART", "8 bracket-bolt, 16 bracket-washer"),
        Block::Figure => ("a callout", "NUMBER NAME at SHARE, SHARE", "1 rail-bracket at 31 %, 40 %"),
        Block::Limit => ("a limit", "SUM <= SUM", "rack-mass + ladder-mass <= roof-rating"),
        _ => ("an arm", "RANGE { … }", "20 mm to 45 mm { … }"),
    };
    let form = Form { home: block, word: what, rule: Rule::EOI, body: forms::Body::None, shape, example };
    wanted::explain(reader.file, reader.text, statement, &form, failed.at, &failed.expected)
}

/// A block after a statement that has none.
pub(super) fn block_too_many(word: &str, at: Span) -> Finding {
    let message = if word.is_empty() || !word.starts_with(|c: char| c.is_ascii_lowercase()) {
        "a line like this one has no block in braces".to_string()
    } else {
        format!("`{word}` has no block in braces here")
    };
    fault(
        Code::FW0101,
        message,
        at,
        "this block belongs to nothing",
        "Delete the braces, and put what stands in them on lines of its own.".to_string(),
    )
}

/// A statement without the block that it must have.
pub(super) fn block_too_few(block: Block, word: &str, head: &str, at: Span) -> Finding {
    let head = head.trim_end();
    if block == Block::Choose {
        return fault(
            Code::FW0101,
            format!("the arm `{head}` does not say what happens"),
            at,
            "its block in braces is missing here",
            format!("Write `{head} {{ … }}` with the steps in the braces, or `{head} {{ }}` where nothing is done."),
        );
    }
    let shape = forms::find(block, word).map_or("NAME { … }", |form| form.shape);
    fault(
        Code::FW0101,
        format!("`{word}` needs its block in braces"),
        at,
        "`{` is missing here",
        format!("Write `{shape}`."),
    )
}

/// Prose where none may stand.
pub(super) fn prose_out_of_place(block: Block, at: Span) -> Finding {
    let repair = match block {
        Block::Flow | Block::Choose => "Move it into a step.",
        Block::File => "Move it into `about { … }`, or into the step where people should read it.",
        _ => "Move it into the step where people should read it, or make it a comment with `#`.",
    };
    fault(
        Code::FW0110,
        format!("prose stands in steps, checks, `about` and the handover, not {}", block.place()),
        at,
        "nobody would read this here",
        repair.to_string(),
    )
    .mend(Mend::look("Make it a comment", Change::Word(at, ">".to_string(), "#".to_string())))
}

/// `accept` at the end of a block.
pub(super) fn accept_before_nothing(accept: &Accept) -> Finding {
    fault(
        Code::FW0116,
        "an `accept` stands right before the statement that it covers, and nothing follows this one".to_string(),
        accept.span,
        "accepts nothing",
        "Move it to the line before the statement, or delete it.".to_string(),
    )
    .mend(Mend { confidence: Confidence::Safe, ..Mend::drop(accept.span) })
}

/// `accept` before a line that cannot have one.
pub(super) fn accept_out_of_place(accept: &Accept, before: &str) -> Finding {
    fault(
        Code::FW0115,
        format!("nothing can be accepted for `{before}`"),
        accept.span,
        "does not belong before this line",
        "Move it to the line before the statement that the warning names.".to_string(),
    )
}

/// `else` without a `when`.
pub(super) fn else_alone(at: Span) -> Finding {
    fault(
        Code::FW0110,
        "this `else` has no `when` right before it".to_string(),
        Span { end: at.start + 4, ..at },
        "belongs to nothing",
        "Put it directly after the `}` of its `when CONDITION { … }`.".to_string(),
    )
}

/// `when …`, `else` or `for each …` with nothing in its braces.
pub(super) fn empty_block(word: &str, at: Span) -> Finding {
    fault(
        Code::FW0114,
        format!("nothing stands in this `{word}`"),
        at,
        "nothing is done here",
        "Write what is done, such as a `step` or a `stop \"…\"`, or take it out.".to_string(),
    )
    .mend([Mend { confidence: Confidence::Blanks, ..Mend::inside(at, "stop \"…\"") }, Mend::drop(at)])
}

/// A chain of `else when` that is too long.
pub(super) fn too_many_elses(at: Span) -> Finding {
    fault(
        Code::FW0108,
        format!("more than {} branches follow each other here", limits::DEPTH),
        Span { end: at.start + 4, ..at },
        "one branch too many",
        "Use `choose`, or split the work into sections.".to_string(),
    )
}
