//! What fits: a procedure over a table of vehicles, row by row.
//!
//! Rows go in, rows come out. A [`Fit`] knows the procedure and the head of the table; a [`Judge`] of it, one a thread, says
//! of each row and each choice of the options that are left open whether the vehicle fits, by what it does not, or on what
//! that depends, and by how much each limit is kept. It reads no file; whoever holds the table gives lines.
//!
//! # What is decided
//! Rules, limits, and stops of the flow whose conditions name only what is known before the job. The sums are those that the
//! proofs work out ([`Expr::value`](crate::model::Expr::value), the linear form of `space`); facts that are a range stand in
//! limits with their worse end, as everywhere. All is exact. A given that is missing or lies between two amounts, and a reading
//! that a limit names, can be anything in its range; then the answer says in which part of it the vehicle fits.
//! Where several open numbers stand in one sum, each gets two ranges: in one it fits whatever the others come to, outside the
//! other it does not; where they are multiplied with one another too, by the least and the greatest that each can be. Where an
//! open number is multiplied with itself, or others are divided by it, only its name is told. Nothing is tried out.
//!
//! Stops that wait for a reading or a result are named, and are not part of the verdict: every job has some.

mod asked;
mod cell;
mod data;
mod head;
mod judge;
mod numbers;
mod open;
mod page;
mod products;
mod records;
mod sets;
mod texts;
mod write;

use std::collections::BTreeMap;

pub use data::{By, DependsOn, FitLine, Group, Message, Within, schema};
pub use head::{Column, Head, Holds};
pub use judge::{Answer, Counts, Judge, Line, Verdict};
pub use page::{Page, PagePart};
pub use records::{Field, MOST_BYTES, Record, Records};
pub use write::{csv_head, csv_lines, json_lines, message_words, text_lines};

use crate::emit;
use crate::model::{ChoiceId, ChoiceKind, NumberId, Procedure};
use crate::quantity::Quantity;
use crate::tailor::{self, Wish};
use asked::{Asked, Known, Who};
use numbers::Numbers;

/// So many choices of options are looked at, rules apart.
const MOST_CHOICES: usize = 65_536;
/// So many lines a row may come to.
pub const MOST_LINES_A_ROW: usize = 1_024;

/// What is wrong with the procedure itself with some choice, told by whoever proves.
pub type Faults<'a> = &'a mut dyn FnMut(&[Wish]) -> Result<Vec<By>, String>;

/// A procedure, ready for the rows of a table.
#[derive(Debug)]
pub struct Fit<'p> {
    procedure: &'p Procedure,
    head: Head,
    asked: Asked<'p>,
    /// What every number can be where a row does not say.
    numbers: Numbers,
    /// Givens that are settled for all rows.
    settled: BTreeMap<NumberId, Quantity>,
    /// The options, in order of declaration.
    options: Vec<ChoiceId>,
    /// Every choice that the rules among options allow, by number of value; in the order of the values.
    choices: Vec<Choice>,
    /// Those that they forbid.
    forbidden: Vec<Choice>,
    words: Words,
}

/// A value of every option.
#[derive(Debug, Clone)]
struct Choice {
    values: Vec<usize>,
    /// What is wrong with the procedure with it.
    faults: Vec<By>,
}

/// What the procedure says for each thing asked, by its number.
#[derive(Debug)]
struct Words {
    requirements: Vec<By>,
    arms: Vec<String>,
    kit: Vec<String>,
}

impl<'p> Fit<'p> {
    /// For a table with this head. `faults` is asked for every choice where the procedure has errors; it is `None` where it
    /// has none.
    ///
    /// # Errors
    /// Why the table can't be read, or why the procedure can't be asked.
    pub fn new(
        procedure: &'p Procedure,
        head: &[String],
        wishes: &[Wish],
        faults: Option<Faults<'_>>,
    ) -> Result<Fit<'p>, String> {
        let head = Head::read(procedure, head, wishes)?;
        let (values, settled) = tailor::asked(procedure, wishes).map_err(|refusal| refusal.to_string())?;
        let too_large = || "a number of the procedure has a range too large to be held exactly".to_owned();
        let mut numbers = numbers::declared(procedure).ok_or_else(too_large)?;
        for (id, amount) in &settled {
            let base = amount.base().ok_or_else(too_large)?;
            numbers[*id].low = base;
            numbers[*id].high = base;
        }
        let options: Vec<ChoiceId> = procedure
            .choices
            .iter()
            .filter(|(_, choice)| choice.kind == ChoiceKind::Option)
            .map(|(id, _)| id)
            .collect();
        let asked = Asked::of(procedure);
        let all = every_choice(procedure, &options, &values)?;
        let allowed = |values: &Vec<usize>| {
            let is = is_chosen(&options, values);
            let among_options = asked.requirements.iter().filter(|one| matches!(one.who, Who::Rule(_)));
            let mut among_options = among_options.filter(|one| one.tree.is_of_options(procedure));
            among_options.all(|one| one.tree.known(&is, &|_| Known::Open) != Known::No)
        };
        let (allowed, forbidden): (Vec<_>, Vec<_>) = all.into_iter().partition(allowed);
        let plain = |values| Choice { values, faults: Vec::new() };
        let mut fit = Fit {
            words: words(procedure, &asked),
            procedure,
            head,
            asked,
            numbers,
            settled,
            options,
            choices: allowed.into_iter().map(plain).collect(),
            forbidden: forbidden.into_iter().map(plain).collect(),
        };
        if let Some(faults) = faults {
            fit.find_faults(faults)?;
        }
        Ok(fit)
    }

    fn find_faults(&mut self, faults: Faults<'_>) -> Result<(), String> {
        for at in 0..self.choices.len() {
            let Some(values) = self.choices.get(at).map(|choice| choice.values.clone()) else { continue };
            let wish = |(name, value): (&str, &str)| Wish { name: name.to_owned(), value: value.to_owned() };
            let wishes: Vec<Wish> = self.named(&values).map(wish).collect();
            let found = faults(&wishes)?;
            if let Some(choice) = self.choices.get_mut(at) {
                choice.faults = found;
            }
        }
        Ok(())
    }

    /// The options with the names of their values.
    fn named<'a>(&'a self, values: &'a [usize]) -> impl Iterator<Item = (&'a str, &'a str)> {
        self.options.iter().zip(values).filter_map(|(option, value)| {
            let choice = &self.procedure.choices[*option];
            Some((choice.name.id.as_str(), choice.values.get(*value)?.id.as_str()))
        })
    }

    /// The columns of the table.
    pub fn head(&self) -> &Head {
        &self.head
    }

    /// The procedure.
    pub fn procedure(&self) -> &'p Procedure {
        self.procedure
    }
}

/// Whether an option has a value; of anything else nothing is known.
fn is_chosen<'a>(options: &'a [ChoiceId], values: &'a [usize]) -> impl Fn(ChoiceId, usize) -> Known + 'a {
    move |choice, value| {
        let at = options.iter().position(|option| *option == choice);
        at.and_then(|at| values.get(at)).map_or(Known::Open, |own| Known::sure(*own == value))
    }
}

/// Every choice, the last option turning fastest.
fn every_choice(
    procedure: &Procedure,
    options: &[ChoiceId],
    settled: &BTreeMap<ChoiceId, usize>,
) -> Result<Vec<Vec<usize>>, String> {
    let mut all: Vec<Vec<usize>> = vec![Vec::new()];
    for option in options {
        let values: Vec<usize> = match settled.get(option) {
            Some(value) => vec![*value],
            None => (0..procedure.choices[*option].values.len()).collect(),
        };
        if all.len().saturating_mul(values.len()) > MOST_CHOICES {
            return Err(format!(
                "the options leave more than {MOST_CHOICES} choices open; settle some with --with NAME=VALUE"
            ));
        }
        let longer = |values: &[usize], value: usize| values.iter().copied().chain([value]).collect::<Vec<usize>>();
        all = all.iter().flat_map(|one| values.iter().map(move |value| longer(one, *value))).collect();
    }
    Ok(all)
}

/// As data has it: whoever searches for `50 kg` types an ordinary blank.
fn plain(words: &str) -> String {
    words.replace('\u{a0}', " ")
}

fn words(procedure: &Procedure, asked: &Asked<'_>) -> Words {
    let by = |requirement: &asked::Requirement| match requirement.who {
        Who::Rule(at) => {
            let says = procedure.rules.get(at).map_or_else(String::new, |rule| rule.reason.clone());
            By { what: "rule".to_owned(), name: None, says }
        }
        Who::Limit(id) => {
            let limit = &procedure.limits[id];
            let says = limit.otherwise.as_ref().map(|said| plain(&emit::said_words(procedure, said)));
            let says = says.unwrap_or_else(|| limit.name.title.clone());
            By { what: "limit".to_owned(), name: Some(limit.name.id.clone()), says }
        }
        Who::Stop(at) => {
            let says =
                asked.stops.get(at).map(|stop| plain(&emit::said_words(procedure, &stop.text))).unwrap_or_default();
            By { what: "stop".to_owned(), name: None, says }
        }
    };
    let arm = |arm: &asked::Under<asked::ArmOf<'_>>| plain(&emit::arm_words(procedure, arm.what.choose, arm.what.arm));
    Words {
        requirements: asked.requirements.iter().map(by).collect(),
        arms: asked.arms.iter().map(arm).collect(),
        kit: asked
            .kit
            .iter()
            .map(|group| procedure.kit.get(group.what).map(emit::group_words).unwrap_or_default())
            .collect(),
    }
}
