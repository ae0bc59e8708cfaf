//! FW0317, FW1258, FW1259 and FW1261: what titles and words say of a statement that decides: a limit that asks the wrong side to be
//! smaller, a check that is passed by the bad answer, ties metres apart, a value under another's words.
//!
//! Told where the words leave no doubt. Which words are good or bad is ours, from memory; one that is missing makes a rule silent.

use std::collections::BTreeMap;

use super::Words;
use super::amounts;
use super::classes::words_of;
use super::text::{Sort, Text, TokenKind};
use crate::diagnostics::{Code, Finding};
use crate::model::{
    ArithmeticOp, ChoiceKind, CompareOp, Cond, CondKind, Expr, Limit, MentionTarget, Naming, Node, NumberId, Procedure,
    walk,
};
use crate::quantity::{Exact, Kind};
use crate::source::Span;

pub(super) fn check(words: &mut Words<'_>, texts: &[Text<'_>]) {
    if !words.english || !words.procedure.complete {
        return;
    }
    let procedure = words.procedure;
    procedure
        .limits
        .rows()
        .iter()
        .filter_map(|limit| turned_round(procedure, limit))
        .for_each(|found| words.tell(found));
    let nodes = || procedure.sections.iter().flat_map(|section| walk(&section.body));
    for node in nodes() {
        if let Node::Check(check) = node {
            check.expects.iter().filter_map(|cond| wants_the_bad(procedure, cond)).for_each(|found| words.tell(found));
        }
    }
    labelled(procedure, texts).into_iter().for_each(|found| words.tell(found));
    let far: Vec<Span> = texts.iter().flat_map(|text| far_apart(procedure, text)).collect();
    far.into_iter().for_each(|place| words.tell(spaced(place)));
}

/// The words of a name and its title, in small letters.
fn words_to(name: &Naming) -> Vec<String> {
    [&name.id, &name.title].into_iter().flat_map(|text| words_of(text)).collect()
}

fn has(words: &[String], list: &[&str]) -> bool {
    words.iter().any(|word| list.contains(&word.as_str()))
}

/// What a side of a comparison is made of: each with the words of its name; `None` where it subtracts or divides.
fn terms(procedure: &Procedure, side: &Expr, found: &mut Vec<(Vec<String>, bool)>) -> Option<()> {
    match side {
        Expr::Fact(fact, ..) => found.push((words_to(&procedure.facts[*fact].name), false)),
        Expr::Number(number, _) => {
            let row = &procedure.numbers[*number];
            found.push((words_to(&row.name), matches!(row.low.kind(), Kind::Mass | Kind::Force)));
        }
        Expr::Amount(..) => {}
        Expr::Binary(ArithmeticOp::Add | ArithmeticOp::Multiply, left, right) => {
            terms(procedure, left, found)?;
            terms(procedure, right, found)?;
        }
        Expr::Binary(..) => return None,
        Expr::Extreme(_, of) => {
            for one in of {
                terms(procedure, one, found)?;
            }
        }
    }
    Some(())
}

/// FW0317: what something bears is asked to be no more than what it is loaded with.
fn turned_round(procedure: &Procedure, limit: &Limit) -> Option<Finding> {
    const BEARS: &[&str] = &["rating", "permitted", "permits", "allowed", "bears", "capacity", "permissible"];
    const LEAST: &[&str] = &["least", "minimum", "min", "lowest", "must"];
    let holds = &limit.holds;
    let (small, large) = match holds.op {
        CompareOp::AtMost | CompareOp::Below => (&holds.left, &holds.right),
        CompareOp::AtLeast | CompareOp::Over => (&holds.right, &holds.left),
        CompareOp::Equal => return None,
    };
    let (mut bears, mut load) = (Vec::new(), Vec::new());
    terms(procedure, small, &mut bears)?;
    terms(procedure, large, &mut load)?;
    let is_rated = |words: &[String]| has(words, BEARS) && !has(words, LEAST);
    let is_so = !bears.is_empty()
        && !load.is_empty()
        && bears.iter().all(|(words, is_load)| *is_load && is_rated(words))
        && !load.iter().any(|(words, _)| has(words, BEARS));
    is_so.then(|| {
        Finding::new(
            Code::FW0317,
            format!("`{}` asks what something bears to be no more than its load", limit.name.id),
            holds.span,
            "the smaller side is the rating",
        )
        .because("The sides or the sign are the wrong way round: every vehicle that is overloaded passes, and those that bear it are turned away.")
        .repair("Write the load first, then `<=`, then what bears it: `rack-mass + load <= roof-rating`.")
    })
}

/// FW1258: `expect leaks is yes`
fn wants_the_bad(procedure: &Procedure, cond: &Cond) -> Option<Finding> {
    const GOOD: &[&str] = &[
        "dry",
        "tight",
        "firm",
        "firmly",
        "clean",
        "straight",
        "level",
        "flush",
        "sound",
        "secure",
        "secured",
        "intact",
        "undamaged",
        "sealed",
    ];
    const BAD: &[&str] =
        &["leak", "leaks", "leaking", "cracked", "cracks", "crack", "damaged", "damage", "bent", "broken"];
    const OTHERWISE: &[&str] = &["not", "no", "free", "without", "any", "old", "too", "or", "other"];
    let CondKind::Is(choice, value) = cond.kind else { return None };
    let row = &procedure.choices[choice];
    let answer = row.values.get(value)?.id.as_str();
    let asked = words_of(&row.name.title);
    let asks = matches!(asked.first().map(String::as_str), Some("is" | "are" | "does" | "do"));
    let stays = has(&asked, &["stay", "stays"]) && has(&asked, &["put", "still", "shut"]);
    let good = (stays || has(&asked, GOOD)) && !has(&asked, BAD) && !has(&asked, OTHERWISE);
    let bad = has(&asked, BAD) && !has(&asked, GOOD) && !has(&asked, &["not", "no", "free", "without", "old"]);
    let is_so = row.kind == ChoiceKind::Observe && asks && ((good && answer == "no") || (bad && answer == "yes"));
    is_so.then(|| {
        Finding::new(
            Code::FW1258,
            format!("the check is passed where the answer to \"{}\" is {answer}", row.name.title),
            cond.span,
            "the bad answer is expected",
        )
        .also(row.name.span, "the question")
        .because("What is wrong is handed over, and what is right is stopped or repaired.")
        .repair(format!("Expect the other answer, or ask the question so that `{answer}` is right."))
    })
}

/// FW1261: `Gap at the front: [voltage]`, where another reading is called a gap.
fn labelled(procedure: &Procedure, texts: &[Text<'_>]) -> Vec<Finding> {
    const SMALL: &[&str] =
        &["the", "a", "an", "of", "at", "in", "on", "to", "and", "is", "by", "with", "after", "before"];
    let mut called = BTreeMap::<String, Vec<NumberId>>::new();
    for (id, row) in procedure.numbers.iter() {
        for word in words_to(&row.name).into_iter().filter(|word| word.len() > 2 && !SMALL.contains(&word.as_str())) {
            called.entry(word).or_default().push(id);
        }
    }
    let mut found = Vec::new();
    for text in texts {
        for at in 1..text.tokens.len().saturating_sub(1) {
            let Some(mention) = text.mention(at + 1).filter(|_| text.is_sign(at, ":")) else { continue };
            let MentionTarget::Number(number) = mention.target else { continue };
            let start = (0..at).rev().find(|at| text.kind(*at) == Some(TokenKind::Sign)).map_or(0, |sign| sign + 1);
            let named: Vec<&Vec<NumberId>> = (start..at).filter_map(|at| called.get(text.lower(at))).collect();
            if named.iter().any(|ids| ids.contains(&number)) {
                continue;
            }
            if let Some(other) = named.iter().filter_map(|ids| ids.first()).min() {
                let (own, other) = (&procedure.numbers[number].name, &procedure.numbers[*other].name);
                found.push(
                    Finding::new(
                        Code::FW1261,
                        format!("the words before `{}` name another value, `{}`", own.id, other.id),
                        mention.span,
                        format!("this is \"{}\"", own.title),
                    )
                    .also(other.span, "its title has the words")
                    .because("Whoever reads the page takes one number for the other.")
                    .repair(format!("Mention `[{}]` here, or say what `{}` is.", other.id, own.id)),
                );
            }
        }
    }
    found
}

/// FW1259: ties or clips more than a metre apart.
fn far_apart(procedure: &Procedure, text: &Text<'_>) -> Vec<Span> {
    const TIES: &[&str] = &["tie", "clip", "fasten", "fix", "secure", "strap", "press", "set", "fit"];
    if text.sort != Sort::Instruction {
        return Vec::new();
    }
    let mut found = Vec::new();
    for sentence in text.sentences() {
        let says = |list: &[&str]| sentence.clone().any(|at| list.contains(&text.lower(at)));
        if !says(TIES) || !says(&["cable", "cables", "harness", "hose", "pipe", "loom", "line", "wire", "wires"]) {
            continue;
        }
        let every = sentence.clone().find(|at| text.lower(*at) == "every").map(|at| at + 1);
        let mention = every.and_then(|at| text.mention(at));
        let low = mention.and_then(|mention| {
            let measure = amounts::mentioned(procedure, &mention.target)?;
            Some(measure.low().unwrap_or(*measure.stated()))
        });
        let is_far = low.is_some_and(|low| {
            low.kind() == Kind::Length && low.base().is_some_and(|metres| metres > Exact::from_integer(1))
        });
        found.extend(mention.filter(|_| is_far).map(|mention| mention.span));
    }
    found
}

fn spaced(place: Span) -> Finding {
    Finding::new(Code::FW1259, "ties or clips are more than a metre apart", place, "one only every so often")
        .because("What hangs free that far swings, chafes and gets caught. Common practice on vehicles is one every 150 to 300 mm.")
        .repair("Write the distance and its unit anew; in the wrong unit, a usual distance becomes ten times as long.")
}
