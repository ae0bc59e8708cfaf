//! One row after the other. What rows of the same pattern have in common (which conditions hold, whatever the amounts) is
//! worked out once and kept, within bounds.

use std::collections::BTreeMap;
use std::rc::Rc;

use super::asked::{Known, Leaf, Tree, Who};
use super::cell::{self, Given};
use super::data::{By, Message};
use super::head::Holds;
use super::numbers::{self, Numbers};
use super::open::{Depends, Open, Outcome};
use super::records::Record;
use super::texts::Texts;
use super::{Choice, Fit, MOST_LINES_A_ROW, is_chosen};
use crate::model::{ChoiceId, Comparison, LimitId, NumberId};
use crate::quantity::{Exact, Kind, Quantity, Unit};
use crate::tailor;

/// So many patterns are kept; a table that has more begins anew.
const MOST_PATTERNS: usize = 4_096;

/// What is said of a vehicle.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Verdict {
    /// It fits.
    Fits,
    /// It depends.
    Depends,
    /// It does not fit.
    No,
    /// Something in the row can't be read.
    Unread,
}

/// By how much a limit is kept, in base units and told in its own.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Margin {
    /// The limit.
    pub limit: LimitId,
    /// Its unit.
    pub unit: Unit,
    /// At least, in that unit.
    pub least: Exact,
    /// At most, in that unit.
    pub most: Exact,
    /// The least in per cent of the right side.
    pub percent: Option<Exact>,
}

/// What rows of one pattern and one choice have in common.
#[derive(Debug)]
pub(super) struct Fixed {
    pub values: Vec<usize>,
    /// Broken whatever is open; by number of the requirement.
    broken: Vec<usize>,
    /// Open.
    open: Vec<usize>,
    /// The limits that apply or may, by their place.
    pub limits: Vec<usize>,
    pub faults: Vec<By>,
    /// What of its lines no amount changes.
    pub texts: Texts,
}

/// What is said of one row with one choice.
#[derive(Debug, Clone)]
pub struct Line {
    pub(super) fixed: Rc<Fixed>,
    /// What it comes to.
    pub verdict: Verdict,
    /// By which requirements it does not fit, by their numbers.
    pub(super) by: Vec<usize>,
    pub(super) depends: Rc<Vec<Depends>>,
}

/// What is said of a row.
#[derive(Debug)]
pub struct Answer {
    /// The line of the table on which it begins.
    pub line: u64,
    /// Its cells as they came, one a column.
    pub cells: Vec<String>,
    /// What can't be read in it; then there is no line.
    pub messages: Vec<Message>,
    /// By limit, in order; `None` where it can't be told in one unit.
    pub(super) margins: Vec<Option<Margin>>,
    /// The amounts that are known.
    pub(super) amounts: BTreeMap<NumberId, Quantity>,
    /// One a choice.
    pub lines: Vec<Line>,
}

/// How many of each sort.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Counts {
    /// Rows, those that can't be read among them.
    pub rows: u64,
    /// Lines that fit.
    pub fits: u64,
    /// Lines that depend.
    pub depends: u64,
    /// Lines that do not fit.
    pub no: u64,
    /// Rows that can't be read.
    pub unread: u64,
    /// Rows with at least one choice that fits.
    pub rows_that_fit: u64,
}

impl Counts {
    /// Counts a row.
    pub fn add(&mut self, answer: &Answer) {
        self.rows += 1;
        self.unread += u64::from(answer.lines.is_empty());
        for line in &answer.lines {
            match line.verdict {
                Verdict::Fits => self.fits += 1,
                Verdict::Depends => self.depends += 1,
                Verdict::No => self.no += 1,
                Verdict::Unread => {}
            }
        }
        self.rows_that_fit += u64::from(answer.lines.iter().any(|line| line.verdict == Verdict::Fits));
    }

    /// Adds others.
    pub fn join(&mut self, other: Counts) {
        self.rows += other.rows;
        self.fits += other.fits;
        self.depends += other.depends;
        self.no += other.no;
        self.unread += other.unread;
        self.rows_that_fit += other.rows_that_fit;
    }
}

/// Values of options that a row settles, and what of the leaves is known.
type Pattern = (Vec<Option<usize>>, Vec<Known>);

/// What is common to the rows of a pattern, one a choice; how many choices are left where they are too many.
type Common = Result<Rc<Vec<Rc<Fixed>>>, usize>;

/// What open requirements come to: the verdict, by which it does not fit, on what it depends.
type Came = (Verdict, Vec<usize>, Rc<Vec<Depends>>);

/// Judges rows, one after the other.
#[derive(Debug)]
pub struct Judge<'f, 'p> {
    pub(super) fit: &'f Fit<'p>,
    patterns: BTreeMap<Pattern, Common>,
}

impl<'f, 'p> Judge<'f, 'p> {
    /// For the rows of a table.
    pub fn of(fit: &'f Fit<'p>) -> Judge<'f, 'p> {
        Judge { fit, patterns: BTreeMap::new() }
    }

    /// What is said of a row.
    pub fn row(&mut self, record: Record) -> Answer {
        let columns = &self.fit.head.columns;
        let mut answer = Answer {
            line: record.line,
            cells: Vec::new(),
            messages: Vec::new(),
            margins: Vec::new(),
            amounts: self.fit.settled.clone(),
            lines: Vec::new(),
        };
        let message = |line: u64, column: usize, says: String| Message {
            line,
            column: u64::try_from(column).unwrap_or(u64::MAX),
            name: columns.get(column.saturating_sub(1)).map(|own| own.title.clone()),
            says,
        };
        let fields = match record.fields {
            Ok(fields) => fields,
            Err((column, why)) => {
                answer.messages.push(message(record.line, column, why));
                return answer;
            }
        };
        let mut numbers = self.fit.numbers.clone();
        let mut values: Vec<Option<usize>> = vec![None; self.fit.options.len()];
        if fields.len() != columns.len() {
            let (has, wanted) = (fields.len(), columns.len());
            let column = has.min(wanted) + 1;
            let says = format!("the row has {has} columns, and the head has {wanted}");
            answer.messages.push(message(record.line, column, says));
        }
        for (at, (field, column)) in fields.iter().zip(columns).enumerate() {
            if !field.is_text {
                answer.messages.push(message(field.line, at + 1, "it is not text (UTF-8)".to_owned()));
                continue;
            }
            let read = match column.holds {
                Holds::Other => Ok(()),
                Holds::Option(id) => self.option(id, &field.text, &mut values),
                Holds::Given(id, unit) => self.given(id, unit, &field.text, &mut numbers, &mut answer.amounts),
            };
            if let Err(says) = read {
                answer.messages.push(message(field.line, at + 1, says));
            }
        }
        answer.cells = fields.into_iter().map(|field| field.text).collect();
        answer.cells.resize(columns.len().max(answer.cells.len()), String::new());
        if !answer.messages.is_empty() {
            return answer;
        }
        match self.pattern(values, &numbers) {
            Ok(fixed) => {
                answer.margins =
                    self.fit.asked.limits.iter().map(|(id, _, _)| margin(self.fit, *id, &numbers)).collect();
                answer.lines = self.lines(&fixed, &numbers);
            }
            Err(many) => {
                let says = format!(
                    "it leaves {many} choices open, and {MOST_LINES_A_ROW} are the most; settle options with --with, or in columns"
                );
                answer.messages.push(message(record.line, 1, says));
            }
        }
        answer
    }

    fn option(&self, id: ChoiceId, text: &str, values: &mut [Option<usize>]) -> Result<(), String> {
        let value = cell::option(&self.fit.procedure.choices[id], text)?;
        let at = self.fit.options.iter().position(|option| *option == id);
        if let Some(slot) = at.and_then(|at| values.get_mut(at)) {
            *slot = value;
        }
        Ok(())
    }

    fn given(
        &self,
        id: NumberId,
        unit: Option<Unit>,
        text: &str,
        numbers: &mut Numbers,
        amounts: &mut BTreeMap<NumberId, Quantity>,
    ) -> Result<(), String> {
        let number = &self.fit.procedure.numbers[id];
        let given = cell::given(number, text, unit)
            .map_err(|why| format!("\"{}\": {why} (it goes from {} to {})", text.trim(), number.low, number.high))?;
        numbers[id] = given.domain(numbers[id])?;
        if let Given::Amount(amount) = given {
            amounts.insert(id, amount);
        }
        Ok(())
    }

    /// What is common to all rows with these values and these truths; how many choices are left where they are too many.
    fn pattern(&mut self, values: Vec<Option<usize>>, numbers: &Numbers) -> Common {
        let truths: Vec<Known> = self.fit.asked.leaves.iter().map(|leaf| numbers::known(leaf, numbers)).collect();
        let pattern = (values, truths);
        if let Some(known) = self.patterns.get(&pattern) {
            return known.clone();
        }
        if self.patterns.len() >= MOST_PATTERNS {
            self.patterns.clear();
        }
        let fixed = self.fixed(&pattern);
        self.patterns.insert(pattern, fixed.clone());
        fixed
    }

    fn fixed(&self, (values, truths): &Pattern) -> Common {
        let is_so =
            |choice: &&Choice| choice.values.iter().zip(values).all(|(own, wanted)| wanted.is_none_or(|w| w == *own));
        let mut choices: Vec<&Choice> = self.fit.choices.iter().filter(is_so).collect();
        if choices.is_empty() {
            // The row itself asks for what the rules forbid: then it says by which.
            choices = self.fit.forbidden.iter().filter(is_so).collect();
        }
        if choices.len() > MOST_LINES_A_ROW {
            return Err(choices.len());
        }
        Ok(Rc::new(choices.into_iter().map(|choice| Rc::new(self.one(choice, truths))).collect()))
    }

    fn one(&self, choice: &Choice, truths: &[Known]) -> Fixed {
        let asked = &self.fit.asked;
        let is = is_chosen(&self.fit.options, &choice.values);
        let known = |tree: &Tree| tree.known(&is, &|at| truths.get(at).copied().unwrap_or(Known::Open));
        let (mut broken, mut open, mut on_the_job) = (Vec::new(), Vec::new(), Vec::new());
        for (at, requirement) in asked.requirements.iter().enumerate() {
            match known(&requirement.tree) {
                Known::Yes => {}
                Known::No => broken.push(at),
                Known::Open => match requirement.who {
                    Who::Stop(_) if requirement.on_the_job => self.waits_for(&requirement.tree, &mut on_the_job),
                    // What a rule says of readings is taken for true of every job, as in the proofs.
                    Who::Rule(_) if requirement.on_the_job => {}
                    _ => open.push(at),
                },
            }
        }
        let applies = |at: &usize| asked.limits.get(*at).is_some_and(|(_, when, _)| known(when) != Known::No);
        let taken = |at: &usize| asked.arms.get(*at).is_some_and(|arm| known(&arm.tree) == Known::Yes);
        let arms: Vec<usize> = (0..asked.arms.len()).filter(taken).collect();
        let there = asked.kit.iter().enumerate().map(|(at, group)| (at, known(&group.tree)));
        let there = there.filter(|(_, known)| *known != Known::No);
        let kit: Vec<(usize, bool)> = there.map(|(at, known)| (at, known == Known::Yes)).collect();
        let named: Vec<(&str, &str)> = self.fit.named(&choice.values).collect();
        Fixed {
            texts: Texts::of(&self.fit.words, &named, &arms, &kit, &on_the_job),
            values: choice.values.clone(),
            broken,
            open,
            limits: (0..asked.limits.len()).filter(applies).collect(),
            faults: choice.faults.clone(),
        }
    }

    /// Names of the readings and results in a condition.
    fn waits_for(&self, tree: &Tree, names: &mut Vec<String>) {
        let procedure = self.fit.procedure;
        let mut add = |name: &str| {
            if !names.iter().any(|own| own == name) {
                names.push(name.to_owned());
            }
        };
        match tree {
            Tree::Const(_) => {}
            Tree::All(parts) | Tree::Any(parts) => parts.iter().for_each(|part| self.waits_for(part, names)),
            Tree::Not(inner) => self.waits_for(inner, names),
            Tree::Is(choice, _) if !self.fit.options.contains(choice) => add(&procedure.choices[*choice].name.id),
            Tree::Is(..) => {}
            Tree::Leaf(at) => {
                let numbers = self.fit.asked.leaves.get(*at).map(Leaf::numbers).unwrap_or_default();
                let read = |id: &&NumberId| procedure.numbers[**id].kind == crate::model::NumberKind::Measure;
                numbers.iter().filter(read).for_each(|id| add(&procedure.numbers[*id].name.id));
            }
        }
    }

    fn lines(&self, all: &[Rc<Fixed>], numbers: &Numbers) -> Vec<Line> {
        let nothing: Rc<Vec<Depends>> = Rc::default();
        // What is left open is mostly the same for many choices of a row.
        let mut outcomes: Vec<(&Rc<Fixed>, Came)> = Vec::new();
        let mut lines = Vec::with_capacity(all.len());
        for fixed in all {
            let known =
                outcomes.iter().find(|(other, _)| other.open == fixed.open && self.of_numbers_alone(&fixed.open));
            let (verdict, by, depends) = if !fixed.broken.is_empty() || !fixed.faults.is_empty() {
                (Verdict::No, fixed.broken.clone(), Rc::clone(&nothing))
            } else if fixed.open.is_empty() {
                (Verdict::Fits, Vec::new(), Rc::clone(&nothing))
            } else if let Some((_, came)) = known {
                came.clone()
            } else {
                let came = self.came(fixed, numbers, &nothing);
                outcomes.push((fixed, came.clone()));
                came
            };
            lines.push(Line { fixed: Rc::clone(fixed), verdict, by, depends });
        }
        lines
    }

    fn came(&self, fixed: &Fixed, numbers: &Numbers, nothing: &Rc<Vec<Depends>>) -> Came {
        let is = is_chosen(&self.fit.options, &fixed.values);
        let open = Open { procedure: self.fit.procedure, asked: &self.fit.asked, numbers, is: &is };
        match open.outcome(&fixed.open) {
            Outcome::Holds => (Verdict::Fits, Vec::new(), Rc::clone(nothing)),
            Outcome::Fails(by) => (Verdict::No, by, Rc::clone(nothing)),
            Outcome::Depends(depends) => (Verdict::Depends, Vec::new(), Rc::new(depends)),
        }
    }

    /// Whether what is open there waits for numbers and no more: limits without a condition.
    fn of_numbers_alone(&self, open: &[usize]) -> bool {
        let of_numbers = |at: &usize| {
            let Some(requirement) = self.fit.asked.requirements.get(*at) else { return false };
            let Who::Limit(id) = requirement.who else { return false };
            self.fit.procedure.limits[id].when.is_none()
        };
        open.iter().all(of_numbers)
    }
}

/// By how much a limit is kept.
fn margin(fit: &Fit<'_>, id: LimitId, numbers: &Numbers) -> Option<Margin> {
    let holds = &fit.procedure.limits[id].holds;
    let unit = unit_of(fit, holds)?;
    let (low, high) = numbers::margin(holds, numbers)?;
    // A difference: of a temperature, degrees and no point on the scale.
    let told = |base: Exact| num_traits::CheckedDiv::checked_div(&base, &unit.factor());
    let is_scale = unit.offset() != Exact::from_integer(0);
    let right = numbers::right_side(holds, numbers).filter(|right| *right != Exact::from_integer(0) && !is_scale);
    let percent = right.and_then(|right| {
        let share = num_traits::CheckedDiv::checked_div(&low, &num_traits::Signed::abs(&right))?;
        num_traits::CheckedMul::checked_mul(&share, &Exact::from_integer(100))
    });
    let (least, most) = (told(low)?, told(high)?);
    // What is too large to be rounded is not told.
    let thousand = Exact::from_integer(1_000);
    num_traits::CheckedMul::checked_mul(&least, &thousand)?;
    num_traits::CheckedMul::checked_mul(&most, &thousand)?;
    Some(Margin { limit: id, unit, least, most, percent })
}

/// The unit in which a limit's margin is told, where it can be.
pub(super) fn unit_of_limit(fit: &Fit<'_>, id: LimitId) -> Option<Unit> {
    unit_of(fit, &fit.procedure.limits[id].holds)
}

/// The unit in which a limit's margin is told: of its left side, or of its right one. A share in a product is a factor, and
/// where the sides seem to differ in kind none is told.
fn unit_of(fit: &Fit<'_>, holds: &Comparison) -> Option<Unit> {
    let (left, right) = (tailor::unit_of(fit.procedure, &holds.left), tailor::unit_of(fit.procedure, &holds.right));
    match (left, right) {
        (Some(left), Some(right)) if left.kind() == right.kind() => Some(left),
        (Some(share), Some(unit)) | (Some(unit), Some(share)) if share.kind() == Kind::Share => Some(unit),
        (Some(_), Some(_)) => None,
        (left, right) => left.or(right),
    }
}
