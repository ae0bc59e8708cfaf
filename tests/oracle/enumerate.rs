//! Brute force: every walk of a small procedure, one after the other.
//!
//! Options and givens are decided first, readings when the walk asks for them, so that a repair branches only where it is
//! done. The *script* of a walk is the list of its decisions; the next script counts up the last decision that can.

use fitwright::model::{ChoiceId, NumberId, Procedure, Reading};
use fitwright::quantity::Exact;

use super::grid::{Grid, NotLinear};
use super::interpreter::{World, walk};
use super::knowledge::{Known, base};
use super::trace::Walk;

/// What was decided.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Decision {
    /// The input; nothing for a guess.
    pub input: Option<Reading>,
    /// Which of its values, from 0.
    pub way: usize,
    /// How many there are.
    pub ways: usize,
}

/// Why a procedure was not enumerated.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum TooHard {
    /// More walks than asked for.
    Many,
    /// It multiplies inputs with each other.
    NotLinear,
}

impl From<NotLinear> for TooHard {
    fn from(_: NotLinear) -> Self {
        TooHard::NotLinear
    }
}

/// Calls `see` with every walk and its script, refused ones included. Gives their number.
pub fn every_walk(
    procedure: &Procedure,
    most: usize,
    see: &mut dyn FnMut(&Walk, &[Decision]),
) -> Result<usize, TooHard> {
    let grid = Grid::new(procedure)?;
    let mut script = Script { grid, decisions: Vec::new(), at: 0 };
    for count in 1..=most {
        script.at = 0;
        let walked = walk(procedure, &mut script);
        see(&walked, &script.decisions);
        if !script.next() {
            return Ok(count);
        }
    }
    Err(TooHard::Many)
}

struct Script {
    grid: Grid,
    decisions: Vec<Decision>,
    at: usize,
}

impl Script {
    fn decide(&mut self, input: Option<Reading>, ways: usize) -> usize {
        let at = self.at;
        self.at += 1;
        if let Some(decision) = self.decisions.get(at) {
            debug_assert_eq!(
                (decision.input, decision.ways),
                (input, ways),
                "a walk depends on nothing but its script"
            );
            return decision.way;
        }
        self.decisions.push(Decision { input, way: 0, ways });
        0
    }

    /// Counts up; false where every script was tried.
    fn next(&mut self) -> bool {
        while let Some(last) = self.decisions.last_mut() {
            last.way += 1;
            if last.way < last.ways {
                return true;
            }
            self.decisions.pop();
        }
        false
    }
}

impl World for Script {
    fn choice(&mut self, procedure: &Procedure, _known: &Known, choice: ChoiceId, _occasion: u32) -> usize {
        self.decide(Some(Reading::Choice(choice)), procedure.choices[choice].values.len())
    }

    fn number(&mut self, procedure: &Procedure, known: &Known, number: NumberId, _occasion: u32) -> Exact {
        let values = self.grid.values(procedure, number, known);
        let way = self.decide(Some(Reading::Number(number)), values.len().max(1));
        // A range so narrow that no reading falls into it is refused long before; its low end stands in.
        values.get(way).copied().unwrap_or_else(|| base(&procedure.numbers[number].low))
    }

    fn guess(&mut self, ways: usize) -> usize {
        self.decide(None, ways)
    }
}
