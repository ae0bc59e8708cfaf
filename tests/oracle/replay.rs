//! Replays the case that a finding prints.
//!
//! A case names only the inputs that matter. All others are filled in by *completions*: each starts every input at another
//! of its values and goes on from there, so that the completions differ as much as they can, and the same case is always
//! completed alike. Values that the rules refuse are passed over. The fault must show in every completion: one in which
//! it does not shows that the case left out an input that matters.

use std::collections::BTreeMap;

use fitwright::diagnostics::{Case, Code};
use fitwright::model::{ChoiceId, NumberId, Procedure, Reading};
use fitwright::quantity::{Exact, Unit, number};
use fitwright::source::Span;

use super::grid::Grid;
use super::interpreter::{World, walk};
use super::knowledge::{Known, base};
use super::trace::{Ending, Walk};

/// How many completions are tried.
const COMPLETIONS: usize = 6;
/// How many scripts are tried for each until the rules allow one.
const TRIES: usize = 4_000;

/// What replaying a case showed.
#[derive(Debug, Clone, PartialEq)]
pub enum Replay {
    /// The case names an input or value that the procedure does not have.
    Unreadable(String),
    /// No completion is allowed by the rules.
    Refused,
    /// The completed walks, all allowed.
    Walked(Vec<Walk>),
}

/// A value that a case names.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Value {
    /// By number.
    Choice(usize),
    /// In base units.
    Number(Exact),
}

/// Completes a case in several ways, and walks each.
pub fn replay(procedure: &Procedure, case: &Case) -> Replay {
    let named = match read_case(procedure, case) {
        Ok(named) => named,
        Err(what) => return Replay::Unreadable(what),
    };
    let grid = Grid::new(procedure).ok();
    let mut walks: Vec<Walk> = Vec::new();
    for turn in 0..COMPLETIONS {
        let mut script = Completion {
            named: &named,
            grid: grid.as_ref(),
            turn,
            decisions: Vec::new(),
            at: 0,
            asked: BTreeMap::new(),
        };
        for _ in 0..TRIES {
            script.at = 0;
            script.asked.clear();
            let walked = walk(procedure, &mut script);
            if !matches!(walked.ending, Ending::Refused { .. }) {
                if !walks.contains(&walked) {
                    walks.push(walked);
                }
                break;
            }
            if !script.next() {
                break;
            }
        }
    }
    if walks.is_empty() { Replay::Refused } else { Replay::Walked(walks) }
}

/// Whether a walk shows a fault of one of these codes at one of these places.
pub fn shows(walk: &Walk, codes: &[Code], places: &[Span]) -> bool {
    walk.faults.iter().any(|fault| {
        let there = |span: &Span| places.iter().any(|place| touches(*place, *span));
        codes.contains(&fault.code) && (there(&fault.at) || fault.also.iter().any(there))
    })
}

/// Whether one place lies in the other.
pub fn touches(one: Span, other: Span) -> bool {
    one.contains(other) || other.contains(one)
}

/// Whether the walk passes the steps of a case, in their order. It may pass others between them: a case tells those that
/// follow from what it names.
pub fn passes(procedure: &Procedure, walk: &Walk, case: &Case) -> bool {
    let mut passed = walk.steps.iter().map(|step| procedure.steps[*step].name.id.as_str());
    case.steps.iter().all(|step| passed.any(|name| name == step.name))
}

/// Whether there is a completion of the case that shows the fault, passes its steps, and is asked every named input.
///
/// **Decision.** A case names only the inputs that matter; the others may still lead over other steps. The steps that it
/// prints are those of every such job (`shortest` holds that), and one must exist.
pub fn some_walk_passes(procedure: &Procedure, case: &Case, codes: &[Code], places: &[Span]) -> bool {
    let Ok(named) = read_case(procedure, case) else { return false };
    let Ok(grid) = Grid::new(procedure) else { return true };
    let mut script =
        Completion { named: &named, grid: Some(&grid), turn: 0, decisions: Vec::new(), at: 0, asked: BTreeMap::new() };
    for _ in 0..4 * TRIES {
        script.at = 0;
        script.asked.clear();
        let walked = walk(procedure, &mut script);
        let allowed = !matches!(walked.ending, Ending::Refused { .. });
        let all_asked = named.keys().all(|key| script.asked.contains_key(key));
        if allowed && all_asked && passes(procedure, &walked, case) && shows(&walked, codes, places) {
            return true;
        }
        if !script.next() {
            return false;
        }
    }
    // Not found in reasonable time: nothing is shown either way.
    true
}

/// What a case names.
pub type Named = BTreeMap<(Reading, u32), Value>;

/// Walks every completion of what is named that the rules allow, until `see` says that it has seen enough. Gives whether
/// all of them were walked; `None` where they are too many.
pub fn every_completion(procedure: &Procedure, named: &Named, see: &mut dyn FnMut(&Walk) -> bool) -> Option<bool> {
    let grid = Grid::new(procedure).ok()?;
    let mut script =
        Completion { named, grid: Some(&grid), turn: 0, decisions: Vec::new(), at: 0, asked: BTreeMap::new() };
    for _ in 0..4 * TRIES {
        script.at = 0;
        script.asked.clear();
        let walked = walk(procedure, &mut script);
        if !matches!(walked.ending, Ending::Refused { .. }) && see(&walked) {
            return Some(false);
        }
        if !script.next() {
            return Some(true);
        }
    }
    None
}

/// The values that a case names, or why it can't be read.
pub fn read_case(procedure: &Procedure, case: &Case) -> Result<Named, String> {
    let mut named = Named::new();
    for input in &case.inputs {
        let choice = procedure.choices.iter().find(|(_, row)| row.name.id == input.name);
        let measured = procedure.numbers.iter().find(|(_, row)| row.name.id == input.name);
        let (reading, value) = match (choice, measured) {
            (Some((choice, row)), _) => {
                let value = row.values.iter().position(|value| value.id == input.value);
                (Reading::Choice(choice), value.map(Value::Choice))
            }
            (_, Some((number, _))) => (Reading::Number(number), read_quantity(&input.value).map(Value::Number)),
            (None, None) => return Err(format!("no input is named `{}`", input.name)),
        };
        let value = value.ok_or_else(|| format!("`{}` has no value `{}`", input.name, input.value))?;
        named.insert((reading, input.occasion), value);
    }
    Ok(named)
}

/// `46 mm`, `3 1/2 in`: the number, then its unit.
fn read_quantity(text: &str) -> Option<Exact> {
    let text = text.trim();
    let at = text.find(|letter: char| letter.is_alphabetic() || letter == '%' || letter == '"')?;
    let (value, _) = number::parse(text[..at].trim()).ok()?;
    let unit = Unit::lookup(text[at..].trim())?;
    Some(value * unit.factor())
}

struct Completion<'c> {
    named: &'c Named,
    grid: Option<&'c Grid>,
    /// By how much the order of values is turned.
    turn: usize,
    /// Which value, of how many, for each input that the case does not name.
    decisions: Vec<(usize, usize)>,
    at: usize,
    asked: BTreeMap<(Reading, u32), ()>,
}

impl Completion<'_> {
    /// A value of an input that is not named.
    fn decide(&mut self, ways: usize) -> usize {
        let at = self.at;
        self.at += 1;
        if at >= self.decisions.len() {
            self.decisions.push((0, ways));
        }
        let (way, ways) = self.decisions[at];
        // Each input starts elsewhere, so that completions do not move in step.
        (way + self.turn * (at + 1) + at * (self.turn / 2)) % ways.max(1)
    }

    fn next(&mut self) -> bool {
        while let Some(last) = self.decisions.last_mut() {
            last.0 += 1;
            if last.0 < last.1 {
                return true;
            }
            self.decisions.pop();
        }
        false
    }

    fn named(&mut self, input: Reading, occasion: u32) -> Option<Value> {
        let value = self.named.get(&(input, occasion)).copied();
        if value.is_some() {
            self.asked.insert((input, occasion), ());
        }
        value
    }
}

impl World for Completion<'_> {
    fn choice(&mut self, procedure: &Procedure, _known: &Known, choice: ChoiceId, occasion: u32) -> usize {
        match self.named(Reading::Choice(choice), occasion) {
            Some(Value::Choice(value)) => value,
            _ => self.decide(procedure.choices[choice].values.len()),
        }
    }

    fn number(&mut self, procedure: &Procedure, known: &Known, number: NumberId, occasion: u32) -> Exact {
        if let Some(Value::Number(value)) = self.named(Reading::Number(number), occasion) {
            return value;
        }
        let row = &procedure.numbers[number];
        let values = match self.grid {
            Some(grid) => grid.values(procedure, number, known),
            None => vec![base(&row.low), base(&row.high)],
        };
        let way = self.decide(values.len());
        values.get(way).copied().unwrap_or_else(|| base(&row.low))
    }

    fn guess(&mut self, ways: usize) -> usize {
        self.decide(ways)
    }
}
