//! What is left open where a row does not decide everything: on which numbers and observations it depends, and in which
//! ranges the vehicle fits.

use super::asked::{Asked, Known, Leaf, Tree};
use super::numbers::{self, Numbers};
use super::products;
use super::sets::Set;
use crate::model::{ChoiceId, IdMap, NumberId, Procedure};

/// How often several comparisons narrow one another. What they would say beyond that is left open.
const ROUNDS: usize = 4;

/// Something that is not known yet.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Input {
    Number(NumberId),
    Choice(ChoiceId),
}

/// On what it depends.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Depends {
    pub on: Input,
    /// Values with which it fits whatever the other open ones come to, as far as those can fit. Of an observation, none.
    pub fits: Set,
    /// With values outside of these it does not fit, whatever the others come to.
    pub may: Set,
}

/// What open requirements come to.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Outcome {
    /// They hold with every value.
    Holds,
    /// These, by their place among those asked for, leave no value.
    Fails(Vec<usize>),
    Depends(Vec<Depends>),
}

/// What is left of a requirement.
enum Left {
    Known(bool),
    /// One number decides it.
    One(NumberId, Set),
    /// Several things do; where it is one comparison alone, by its leaf.
    Many(Vec<Input>, Option<usize>),
}

/// Works out requirements that are open, for one choice and the numbers of one row.
pub struct Open<'a> {
    pub procedure: &'a Procedure,
    pub asked: &'a Asked<'a>,
    pub numbers: &'a Numbers,
    /// Whether a choice has a value.
    pub is: &'a dyn Fn(ChoiceId, usize) -> Known,
}

impl Open<'_> {
    pub fn outcome(&self, requirements: &[usize]) -> Outcome {
        let start: IdMap<NumberId, Set> = self.procedure.numbers.map(|id, _| self.numbers[id].set());
        let mut sets = start.clone();
        let mut about: Vec<(usize, NumberId)> = Vec::new();
        let mut many: Vec<(usize, Vec<Input>, Option<usize>)> = Vec::new();
        for at in requirements {
            let Some(requirement) = self.asked.requirements.get(*at) else { continue };
            match self.left(&requirement.tree) {
                Left::Known(true) => {}
                Left::Known(false) => return Outcome::Fails(vec![*at]),
                Left::One(number, set) => {
                    about.push((*at, number));
                    sets[number] = sets[number].and(&set).on_grid(self.numbers[number].grid);
                    if sets[number].is_empty() {
                        return Outcome::Fails(of_number(&about, number));
                    }
                }
                Left::Many(inputs, leaf) => many.push((*at, inputs, leaf)),
            }
        }
        for _ in 0..ROUNDS {
            let before = sets.clone();
            for (at, inputs, leaf) in &many {
                for number in numbers_of(inputs) {
                    let Some(tied) = self.tied(*leaf, number, &sets) else { continue };
                    sets[number] = sets[number].and(&tied.may).on_grid(self.numbers[number].grid);
                    if sets[number].is_empty() {
                        let mut all = of_number(&about, number);
                        all.push(*at);
                        return Outcome::Fails(all);
                    }
                }
            }
            if before == sets {
                break;
            }
        }
        let mut depends: Vec<Depends> = Vec::new();
        for id in self.procedure.numbers.ids() {
            let mut fits = sets[id].clone();
            let mut named = fits != start[id];
            for (_, inputs, leaf) in many.iter().filter(|(_, inputs, _)| inputs.contains(&Input::Number(id))) {
                named = true;
                let sure = self.tied(*leaf, id, &sets).map_or_else(Set::none, |tied| tied.sure);
                // What also waits for something that is not a number holds with no number alone.
                let sure = if numbers_of(inputs).count() == inputs.len() { sure } else { Set::none() };
                fits = fits.and(&sure).on_grid(self.numbers[id].grid);
            }
            if named {
                depends.push(Depends { on: Input::Number(id), fits, may: sets[id].clone() });
            }
        }
        let choices = many.iter().flat_map(|(_, inputs, _)| inputs).filter(|input| matches!(input, Input::Choice(_)));
        for on in choices {
            if !depends.iter().any(|one| one.on == *on) {
                depends.push(Depends { on: *on, fits: Set::none(), may: Set::none() });
            }
        }
        if depends.is_empty() { Outcome::Holds } else { Outcome::Depends(depends) }
    }

    fn tied(&self, leaf: Option<usize>, number: NumberId, sets: &IdMap<NumberId, Set>) -> Option<numbers::Tied> {
        match self.asked.leaves.get(leaf?)? {
            Leaf::Compares(comparison) => {
                numbers::tied(comparison, number, sets).or_else(|| products::tied(comparison, number, sets))
            }
            Leaf::In(..) => None,
        }
    }

    fn left(&self, tree: &Tree) -> Left {
        match tree {
            Tree::Const(holds) => Left::Known(*holds),
            Tree::Is(choice, value) => match (self.is)(*choice, *value) {
                Known::Yes => Left::Known(true),
                Known::No => Left::Known(false),
                Known::Open => Left::Many(vec![Input::Choice(*choice)], None),
            },
            Tree::Leaf(at) => self.leaf(*at),
            Tree::Not(inner) => match self.left(inner) {
                Left::Known(holds) => Left::Known(!holds),
                Left::One(number, set) => self.one(number, set.not()),
                Left::Many(inputs, _) => Left::Many(inputs, None),
            },
            Tree::All(parts) => self.joined(parts, true),
            Tree::Any(parts) => self.joined(parts, false),
        }
    }

    /// All of several, or at least one.
    fn joined(&self, parts: &[Tree], all: bool) -> Left {
        let mut open: Vec<Left> = Vec::new();
        for part in parts {
            match self.left(part) {
                Left::Known(holds) if holds != all => return Left::Known(holds),
                Left::Known(_) => {}
                Left::One(number, set) => {
                    let same = open.iter_mut().find_map(|other| match other {
                        Left::One(own, set) if *own == number => Some(set),
                        _ => None,
                    });
                    match same {
                        Some(own) => *own = if all { own.and(&set) } else { own.or(&set) },
                        None => open.push(Left::One(number, set)),
                    }
                }
                many @ Left::Many(..) => open.push(many),
            }
        }
        // Together they may say more than each.
        let mut left: Vec<Left> = Vec::new();
        for one in open {
            match one {
                Left::One(number, set) => match self.one(number, set) {
                    Left::Known(holds) if holds != all => return Left::Known(holds),
                    Left::Known(_) => {}
                    one => left.push(one),
                },
                many => left.push(many),
            }
        }
        match (left.pop(), left.is_empty()) {
            (None, _) => Left::Known(all),
            (Some(only), true) => only,
            (Some(last), false) => {
                let mut inputs: Vec<Input> = Vec::new();
                for one in left.into_iter().chain([last]) {
                    let of = match one {
                        Left::Known(_) => Vec::new(),
                        Left::One(number, _) => vec![Input::Number(number)],
                        Left::Many(inputs, _) => inputs,
                    };
                    of.into_iter().for_each(|input| add(&mut inputs, input));
                }
                Left::Many(inputs, None)
            }
        }
    }

    fn leaf(&self, at: usize) -> Left {
        let Some(leaf) = self.asked.leaves.get(at) else { return Left::Known(false) };
        match numbers::known(leaf, self.numbers) {
            Known::Yes => return Left::Known(true),
            Known::No => return Left::Known(false),
            Known::Open => {}
        }
        let open: Vec<NumberId> =
            leaf.numbers().into_iter().filter(|number| self.numbers[*number].point().is_none()).collect();
        let set = match (leaf, open.as_slice()) {
            (Leaf::In(_, interval), _) => Some(Set::interval(interval)),
            (Leaf::Compares(comparison), [only]) => numbers::values_of(comparison, *only, self.numbers),
            _ => None,
        };
        match (set, open.first()) {
            (Some(set), Some(number)) => self.one(*number, set),
            _ => Left::Many(open.into_iter().map(Input::Number).collect(), Some(at)),
        }
    }

    fn one(&self, number: NumberId, set: Set) -> Left {
        match numbers::settled(&set, &self.numbers[number]) {
            Known::Yes => Left::Known(true),
            Known::No => Left::Known(false),
            Known::Open => Left::One(number, set),
        }
    }
}

fn numbers_of(inputs: &[Input]) -> impl Iterator<Item = NumberId> {
    inputs.iter().filter_map(|input| match input {
        Input::Number(number) => Some(*number),
        Input::Choice(_) => None,
    })
}

fn of_number(about: &[(usize, NumberId)], number: NumberId) -> Vec<usize> {
    about.iter().filter(|(_, own)| *own == number).map(|(at, _)| *at).collect()
}

fn add(inputs: &mut Vec<Input>, input: Input) {
    if !inputs.contains(&input) {
        inputs.push(input);
    }
}
