//! FW0317 and FW1258 to FW1261: what titles and words say of a statement that decides: a limit that asks the wrong side to be smaller, a
//! check that is passed by the bad answer, branches under each other's value, a value under another's words, ties metres apart.
//!
//! Told where the words leave no doubt. Which words are good or bad is ours, from memory; one that is missing makes a rule silent.

use super::Words;
use super::amounts;
use super::text::{Sort, Text, TokenKind};
use crate::diagnostics::{Code, Finding};
use crate::model::{
    ArithmeticOp, ArmPattern, ChoiceId, ChoiceKind, ChooseSubject, CompareOp, Cond, CondKind, Expr, Limit,
    MentionTarget, Naming, Node, Procedure, StepId, walk,
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
    for branches in branches(procedure) {
        crosswise(procedure, texts, &branches).into_iter().for_each(|found| words.tell(found));
    }
    let others: Vec<Finding> = texts.iter().flat_map(|text| labelled(procedure, text)).collect();
    others.into_iter().for_each(|found| words.tell(found));
    let far: Vec<Span> = texts.iter().flat_map(|text| far_apart(procedure, text)).collect();
    far.into_iter().for_each(|place| words.tell(spaced(place)));
}

/// The words of a name and its title, in small letters.
fn words_of(name: &Naming) -> Vec<String> {
    let all = [name.id.as_str(), name.title.as_str()].join(" ").to_lowercase();
    all.split(|c: char| !c.is_alphanumeric()).filter(|word| !word.is_empty()).map(str::to_owned).collect()
}

fn has(words: &[String], list: &[&str]) -> bool {
    words.iter().any(|word| list.contains(&word.as_str()))
}

/// What a side of a comparison is made of: each with the words of its name; `None` where it subtracts or divides.
fn terms(procedure: &Procedure, side: &Expr, found: &mut Vec<(Vec<String>, bool)>) -> Option<()> {
    match side {
        Expr::Fact(fact, ..) => found.push((words_of(&procedure.facts[*fact].name), false)),
        Expr::Number(number, _) => {
            let row = &procedure.numbers[*number];
            found.push((words_of(&row.name), matches!(row.low.kind(), Kind::Mass | Kind::Force)));
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
    let title = row.name.title.to_lowercase();
    let asked: Vec<String> = title.split(|c: char| !c.is_alphanumeric()).map(str::to_owned).collect();
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

/// Steps under one value of a choice each.
struct Branches {
    choice: ChoiceId,
    under: Vec<(usize, Vec<StepId>)>,
}

/// Branches on a choice, and steps of a section under one value each.
fn branches(procedure: &Procedure) -> Vec<Branches> {
    let steps = |body: &[Node]| walk(body).filter_map(Node::step).collect::<Vec<StepId>>();
    let is = |cond: &Cond| match cond.kind {
        CondKind::Is(choice, value) => Some((choice, value)),
        _ => None,
    };
    let mut found = Vec::new();
    for section in &procedure.sections {
        let mut alone: Vec<(ChoiceId, usize, StepId)> = Vec::new();
        for node in walk(&section.body) {
            match node {
                Node::When(when) => {
                    let Some((choice, value)) = is(&when.cond) else { continue };
                    // Of two values the other one is meant.
                    let other = 1 - value.min(1);
                    let two = procedure.choices[choice].values.len() == 2;
                    let under = vec![(value, steps(&when.then)), (other, steps(&when.otherwise))];
                    found.extend(two.then_some(Branches { choice, under }));
                }
                Node::Choose(choose) => {
                    let ChooseSubject::Choice(choice) = choose.subject else { continue };
                    let of = choose.arms.iter().filter_map(|arm| match &arm.pattern {
                        ArmPattern::Values(values) if values.len() == 1 => Some((*values.first()?, steps(&arm.body))),
                        _ => None,
                    });
                    found.push(Branches { choice, under: of.collect() });
                }
                node => {
                    let when = node.step().and_then(|step| Some((step, procedure.steps[step].when.as_ref()?)));
                    alone.extend(when.and_then(|(step, when)| is(when).map(|(choice, value)| (choice, value, step))));
                }
            }
        }
        for choice in procedure.choices.ids() {
            let of =
                |value: usize| alone.iter().filter(|one| (one.0, one.1) == (choice, value)).map(|one| one.2).collect();
            let values = 0..procedure.choices[choice].values.len();
            let under: Vec<(usize, Vec<StepId>)> = values.map(|value| (value, of(value))).collect();
            found.push(Branches { choice, under });
        }
    }
    found
}

/// FW1260: of two branches each speaks of the other's value, and neither of its own.
fn crosswise(procedure: &Procedure, texts: &[Text<'_>], branches: &Branches) -> Option<Finding> {
    const SMALL: &[&str] =
        &["yes", "no", "none", "the", "a", "an", "and", "of", "to", "with", "without", "in", "on", "for"];
    let row = &procedure.choices[branches.choice];
    let words = |value: usize| -> Vec<String> {
        let value = row.values.get(value);
        let all =
            value.map(|value| [value.id.as_str(), value.label.as_str()].join(" ").to_lowercase()).unwrap_or_default();
        let of = all.split(|c: char| !c.is_alphanumeric()).filter(|word| !word.is_empty() && !SMALL.contains(word));
        of.map(str::to_owned).collect()
    };
    let says = |steps: &[StepId], own: &[String], other: &[String]| {
        let is_one = |word: &str| own.iter().any(|one| one == word) && !other.iter().any(|one| one == word);
        let in_title = |step: &StepId| {
            let title = procedure.steps[*step].name.title.to_lowercase();
            title.split(|c: char| !c.is_alphanumeric()).any(is_one)
        };
        let own_texts = texts.iter().filter(|text| text.step.is_some_and(|step| steps.contains(&step)));
        steps.iter().any(in_title)
            || own_texts.into_iter().any(|text| (0..text.tokens.len()).any(|at| is_one(text.lower(at))))
    };
    for (n, (value, steps)) in branches.under.iter().enumerate() {
        for (other, others) in branches.under.iter().skip(n + 1) {
            let (own, foreign) = (words(*value), words(*other));
            let crossed = says(steps, &foreign, &own)
                && says(others, &own, &foreign)
                && !says(steps, &own, &foreign)
                && !says(others, &foreign, &own);
            let (Some(first), Some(second)) = (steps.first(), others.first()) else { continue };
            if crossed {
                let label = |value: usize| row.values.get(value).map_or("", |value| value.id.as_str());
                let name = &row.name.id;
                return Some(
                    Finding::new(
                        Code::FW1260,
                        format!("two branches on `{name}` speak of each other's value, and not of their own"),
                        procedure.steps[*first].name.span,
                        format!("done where {name} is {}", label(*value)),
                    )
                    .also(procedure.steps[*second].name.span, format!("done where {name} is {}", label(*other)))
                    .because("The conditions may be exchanged: each fitting gets the work of the other.")
                    .repair("Exchange the conditions or the steps. Where the other side is meant, name both: `With the lamp on the left, lead the cable down on the right.`"),
                );
            }
        }
    }
    None
}

/// FW1261: `Gap at the front: [voltage]`, where another reading is called a gap.
fn labelled(procedure: &Procedure, text: &Text<'_>) -> Vec<Finding> {
    const SMALL: &[&str] =
        &["the", "a", "an", "of", "at", "in", "on", "to", "and", "is", "by", "with", "after", "before"];
    let content = |name: &Naming| -> Vec<String> {
        words_of(name).into_iter().filter(|word| word.len() > 2 && !SMALL.contains(&word.as_str())).collect()
    };
    let mut found = Vec::new();
    for at in 1..text.tokens.len().saturating_sub(1) {
        let Some(mention) = text.mention(at + 1).filter(|_| text.is_sign(at, ":")) else { continue };
        let MentionTarget::Number(number) = mention.target else { continue };
        let start = (0..at).rev().find(|at| text.kind(*at) == Some(TokenKind::Sign)).map_or(0, |sign| sign + 1);
        let said: Vec<&str> = (start..at).map(|at| text.lower(at)).filter(|word| word.len() > 2).collect();
        let names = |name: &Naming| content(name).iter().any(|word| said.contains(&word.as_str()));
        let own = &procedure.numbers[number].name;
        let other = procedure.numbers.iter().find(|(id, row)| *id != number && names(&row.name));
        if let Some((_, other)) = other.filter(|_| !names(own)) {
            found.push(
                Finding::new(
                    Code::FW1261,
                    format!("the words before `{}` name another value, `{}`", own.id, other.name.id),
                    mention.span,
                    format!("this is \"{}\"", own.title),
                )
                .also(other.name.span, "its title has the words")
                .because("Whoever reads the page takes one number for the other.")
                .repair(format!("Mention `[{}]` here, or say what `{}` is.", other.name.id, own.id)),
            );
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
