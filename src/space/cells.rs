//! Numbers cut into cells: ranges of readings between which the procedure makes no difference.
//!
//! A *domain* is what can be read: the multiples of the smallest reading within a range, or every number in it. A
//! *cut* lies between two neighbouring numbers. A *cell* is what lies between two cuts; the procedure treats all
//! numbers of a cell alike wherever it compares the number with a constant. All values are exact, in base units.

use std::sync::OnceLock;

use num_integer::Integer;
use num_traits::{CheckedAdd, CheckedDiv, CheckedMul, CheckedSub, Signed, Zero};

use crate::model::{Interval, NumberInput};
use crate::quantity::{Exact, Quantity, Unit};

/// The numbers that can be read: the whole multiples of a step from a zero.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Grid {
    /// The smallest step of a reading; above zero.
    pub step: Exact,
    /// Where the unit of the reading has its zero (that of degrees Celsius is not that of kelvin).
    pub zero: Exact,
}

impl Grid {
    fn steps(&self, value: Exact) -> Option<Exact> {
        value.checked_sub(&self.zero)?.checked_div(&self.step)
    }

    fn reading(&self, steps: Exact) -> Option<Exact> {
        steps.checked_mul(&self.step)?.checked_add(&self.zero)
    }

    /// Whether a number can be read.
    pub fn has(&self, value: Exact) -> bool {
        self.steps(value).is_some_and(|steps| steps.is_integer())
    }

    /// The last reading that is not above a number.
    pub fn at_or_below(&self, value: Exact) -> Option<Exact> {
        self.reading(self.steps(value)?.floor())
    }

    /// The first reading that is not below a number.
    pub fn at_or_above(&self, value: Exact) -> Option<Exact> {
        self.reading(self.steps(value)?.ceil())
    }
}

/// What can be read.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Domain {
    /// Lowest.
    pub low: Exact,
    /// Highest.
    pub high: Exact,
    /// The readings, where not every number can be read; `low` and `high` are then readings.
    pub grid: Option<Grid>,
    /// The unit in which a person reads it.
    pub unit: Unit,
}

impl Domain {
    /// The domain of a number. `None` where the range is empty or too large to be held exactly. A range without any
    /// multiple of the smallest reading is taken as if every number could be read: its declaration is at fault, and
    /// no path shall vanish because of it.
    pub fn of(number: &NumberInput) -> Option<Domain> {
        let (low, high) = (number.low.base()?, number.high.base()?);
        if low > high {
            return None;
        }
        let unit = number.low.unit;
        let zero = unit.offset();
        if let Some(step) = number.reads.as_ref().and_then(Quantity::step_base).filter(Signed::is_positive) {
            let grid = Grid { step, zero };
            let (first, last) = (grid.at_or_above(low)?, grid.at_or_below(high)?);
            if first <= last {
                return Some(Domain { low: first, high: last, grid: Some(grid), unit });
            }
        }
        Some(Domain { low, high, grid: None, unit })
    }

    /// The cut in its one form: on a grid, every cut lies right before a reading.
    fn settled(&self, cut: Cut) -> Cut {
        let Some(grid) = self.grid else { return cut };
        let after =
            if cut.after && grid.has(cut.at) { cut.at.checked_add(&grid.step) } else { grid.at_or_above(cut.at) };
        after.map_or(cut, |at| Cut { at, after: false })
    }
}

/// A place between two numbers: right before or right after `at`.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(super) struct Cut {
    /// Where.
    pub at: Exact,
    /// Right after it rather than right before.
    pub after: bool,
}

/// Readings between which the procedure makes no difference, in base units.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Cell {
    /// Lower end.
    pub low: Exact,
    /// Whether the lower end itself belongs to it.
    pub low_included: bool,
    /// Upper end.
    pub high: Exact,
    /// Whether the upper end itself belongs to it.
    pub high_included: bool,
}

impl Cell {
    /// Whether a number lies in it.
    pub fn contains(&self, value: Exact) -> bool {
        (value > self.low || (self.low_included && value == self.low))
            && (value < self.high || (self.high_included && value == self.high))
    }
}

/// The cells of one number, ascending; never empty.
#[derive(Debug, Clone)]
pub(super) struct Cells {
    /// What can be read.
    pub domain: Domain,
    /// The inner cuts, ascending: cell `n` begins at cut `n - 1`.
    cuts: Vec<Cut>,
    /// The cells.
    pub cells: Vec<Cell>,
    /// A number of each cell that a person would take, once somebody asks.
    usual: Vec<OnceLock<Exact>>,
}

impl Cells {
    /// Cuts a domain.
    pub fn new(domain: Domain, cuts: impl IntoIterator<Item = Cut>) -> Cells {
        let start = Cut { at: domain.low, after: false };
        let end = Cut { at: domain.high, after: true };
        let mut cuts: Vec<Cut> = cuts.into_iter().map(|cut| domain.settled(cut)).collect();
        cuts.retain(|cut| *cut > start && *cut < end);
        cuts.sort_unstable();
        cuts.dedup();
        let mut cells = Vec::with_capacity(cuts.len() + 1);
        let mut from = start;
        for to in cuts.iter().copied().chain([end]) {
            cells.push(match (domain.grid, to == end) {
                // On a grid a cell ends with the reading before the cut.
                (Some(grid), false) => {
                    Cell { low: from.at, low_included: true, high: to.at - grid.step, high_included: true }
                }
                _ => Cell { low: from.at, low_included: !from.after, high: to.at, high_included: to.after },
            });
            from = to;
        }
        let usual = vec![OnceLock::new(); cells.len()];
        Cells { domain, cuts, cells, usual }
    }

    /// The number of the first cell after a cut, or how many cells there are. `None` where the cut lies inside a cell.
    pub fn begins_at(&self, cut: Cut) -> Option<usize> {
        let cut = self.domain.settled(cut);
        if cut <= (Cut { at: self.domain.low, after: false }) {
            return Some(0);
        }
        if cut >= (Cut { at: self.domain.high, after: true })
            || (self.domain.grid.is_some() && cut.at > self.domain.high)
        {
            return Some(self.cells.len());
        }
        self.cuts.binary_search(&cut).ok().map(|at| at + 1)
    }

    /// The cells `first..end` that an interval covers. `None` where it cuts through one.
    pub fn covered(&self, interval: &Interval) -> Option<(usize, usize)> {
        let (low, high) = ends(interval);
        let first = low.map_or(Some(0), |cut| self.begins_at(cut))?;
        let end = high.map_or(Some(self.cells.len()), |cut| self.begins_at(cut))?;
        Some((first, end.max(first)))
    }

    /// The cell in which a number lies; `None` where it is none that can be read.
    pub fn at(&self, number: Exact) -> Option<usize> {
        let can_be_read = self.domain.grid.is_none_or(|grid| grid.has(number));
        self.cells.iter().position(|cell| cell.contains(number)).filter(|_| can_be_read)
    }

    /// A number of the cell that a person would take: the roundest in the unit of the range, near the middle.
    pub fn usual(&self, cell: usize) -> Exact {
        let Some((usual, cell)) = self.usual.get(cell).zip(self.cells.get(cell)) else { return self.domain.low };
        *usual.get_or_init(|| round_within(cell, self.domain.grid, self.domain.unit))
    }
}

/// The cuts at the ends of an interval.
pub(super) fn ends(interval: &Interval) -> (Option<Cut>, Option<Cut>) {
    let low = interval.low.as_ref().map(|end| Cut { at: end.base, after: !end.included });
    let high = interval.high.as_ref().map(|end| Cut { at: end.base, after: end.included });
    (low, high)
}

/// The coarsest multiple of the unit that is tried, and one by the finest.
const COARSEST: i128 = 1_000_000_000;

/// The roundest number of a cell that can be read: a multiple of 50, 20, 10, 5, … of the unit; of several, one near
/// the middle. None of the cell has fewer digits. A point cell gives its point.
pub(super) fn round_within(cell: &Cell, grid: Option<Grid>, unit: Unit) -> Exact {
    if cell.low == cell.high {
        return cell.low;
    }
    let two = Exact::from_integer(2);
    let middle = cell.low / two + cell.high / two;
    // Between two readings there is none.
    if grid.and_then(|grid| grid.at_or_above(cell.low)).is_some_and(|first| first > cell.high) {
        return middle;
    }
    let fits = |value: &Exact| cell.contains(*value) && grid.is_none_or(|grid| grid.has(*value));
    let most = farthest(cell, unit).unwrap_or(i128::MAX);
    for size in sizes(most) {
        if let Some(value) = multiple_near(middle, size, grid, unit, fits) {
            return value;
        }
    }
    let Some(grid) = grid else { return middle };
    let below = grid.at_or_below(middle).filter(fits);
    below.or_else(|| grid.at_or_above(cell.low).filter(fits)).unwrap_or(middle)
}

/// The sizes whose multiples are tried, from the coarsest down: 5, 2 and 1 of each power of ten. A whole number of units beyond
/// `most`, what the cell holds, has no multiple in it.
fn sizes(most: i128) -> impl Iterator<Item = Exact> {
    let powers =
        || std::iter::successors(Some(1_i128), |power| Some(power * 10)).take_while(|power| *power <= COARSEST);
    let mut whole: Vec<i128> = powers().flat_map(|power| [1, 2, 5].map(|times| times * power)).collect();
    whole.reverse();
    let whole = whole.into_iter().filter(move |size| *size <= most).map(Exact::from_integer);
    // 1/2, 1/5 and 1/10 are 5, 2 and 1 tenths in their lowest terms.
    let parts = powers().take_while(|power| *power < COARSEST / 10);
    let parts = parts.flat_map(|power| [2, 5, 10].map(|times| Exact::new_raw(1, times * power)));
    whole.chain(parts)
}

/// How many whole units the numbers of a cell are away from nought at most. `None` where that is too large.
fn farthest(cell: &Cell, unit: Unit) -> Option<i128> {
    let units = |end: Exact| Some(end.checked_sub(&unit.offset())?.checked_div(&unit.factor())?.abs().to_integer());
    Some(units(cell.low)?.max(units(cell.high)?))
}

/// A multiple of `size` units near a number that fits; zero is nothing that a person would choose to take.
fn multiple_near(
    middle: Exact,
    size: Exact,
    grid: Option<Grid>,
    unit: Unit,
    fits: impl Fn(&Exact) -> bool,
) -> Option<Exact> {
    let zero = unit.offset();
    let size = size.checked_mul(&unit.factor())?;
    let size = match grid {
        Some(grid) => common_multiple(size, grid.step)?,
        None => size,
    };
    let near = middle.checked_sub(&zero)?.checked_div(&size)?.round();
    let around = [0, -1, 1].map(|off| near + Exact::from_integer(off));
    let nonzero = around.into_iter().filter(|times| !times.is_zero());
    nonzero.filter_map(|times| times.checked_mul(&size)?.checked_add(&zero)).find(fits)
}

/// The least number above zero of which both are a divisor; both above zero. `None` where it is too large.
pub(super) fn common_multiple(a: Exact, b: Exact) -> Option<Exact> {
    let (x, y) = (a.numer().checked_mul(b.denom())?, b.numer().checked_mul(a.denom())?);
    let shared = x.gcd(&y);
    let top = x.checked_div(shared)?.checked_mul(y)?;
    let bottom = a.denom().checked_mul(b.denom())?;
    (bottom != 0).then(|| Exact::new(top, bottom))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::model::End;
    use crate::quantity::Written;
    use proptest::prelude::*;

    fn unit(spelling: &str) -> Unit {
        Unit::lookup(spelling).expect("in the table")
    }

    fn end(base: Exact, included: bool) -> End {
        End { base, included, written: Quantity::new(base, unit("m"), Written::Decimals(0)) }
    }

    /// An interval with ends at quarters, so that some lie between the readings.
    fn interval() -> impl Strategy<Value = Interval> {
        let one = prop::option::of((-2i128..26, any::<bool>()));
        (one.clone(), one).prop_map(|(low, high)| {
            let at = |end_at: Option<(i128, bool)>| end_at.map(|(n, included)| end(Exact::new(n, 4), included));
            Interval { low: at(low), high: at(high) }
        })
    }

    proptest! {
        #![proptest_config(ProptestConfig { failure_persistence: None, ..ProptestConfig::default() })]

        /// The oracle is [`Interval::contains`]: a number lies in the covered cells where it lies in the interval.
        #[test]
        fn cells_tell_every_number_apart_that_an_interval_does(
            intervals in prop::collection::vec(interval(), 0..5), on_grid in any::<bool>()
        ) {
            let (low, high) = (Exact::from_integer(0), Exact::from_integer(6));
            let grid = on_grid.then(|| Grid { step: Exact::from_integer(1), zero: low });
            let cuts = intervals.iter().flat_map(|interval| {
                let (low, high) = ends(interval);
                low.into_iter().chain(high)
            });
            let cells = Cells::new(Domain { low, high, grid, unit: unit("m") }, cuts);
            for n in 0..=48 {
                let value = Exact::new(n, 8);
                if grid.is_some_and(|grid| !grid.has(value)) {
                    continue;
                }
                let home: Vec<usize> = (0..cells.cells.len()).filter(|at| cells.cells[*at].contains(value)).collect();
                prop_assert_eq!(home.len(), 1, "{} lies in one cell", value);
                for interval in &intervals {
                    let (first, end) = cells.covered(interval).expect("cut there");
                    prop_assert_eq!((first..end).contains(&home[0]), interval.contains(value), "{} {:?}", value, interval);
                }
            }
            for (at, cell) in cells.cells.iter().enumerate() {
                let usual = cells.usual(at);
                prop_assert!(cell.contains(usual) && grid.is_none_or(|grid| grid.has(usual)), "{} in {:?}", usual, cell);
            }
        }
    }

    #[test]
    fn a_person_would_take_a_round_reading() {
        let mm = |n: i128| Exact::new(n, 1000);
        let usual = |low: i128, high: i128| {
            let grid = Grid { step: mm(1), zero: Exact::zero() };
            let cell = Cell { low: mm(low), low_included: true, high: mm(high), high_included: true };
            round_within(&cell, Some(grid), unit("mm")) * Exact::from_integer(1000)
        };
        assert_eq!(usual(46, 70), Exact::from_integer(50));
        assert_eq!(usual(20, 45), Exact::from_integer(40));
        assert_eq!(usual(51, 53), Exact::from_integer(52));
        assert_eq!(usual(0, 0), Exact::zero());
    }

    #[test]
    fn degrees_are_read_on_their_own_grid() {
        let celsius = unit("degC");
        let at = |n: i64| Quantity::new(Exact::from_integer(n.into()), celsius, Written::Decimals(0));
        let number = NumberInput {
            when: None,
            name: crate::model::Procedure::empty().name,
            kind: crate::model::NumberKind::Measure,
            low: at(-10),
            high: at(40),
            range_span: crate::source::Span::new(crate::source::FileId::new(0), 0, 0),
            reads: Some(at(5)),
            with: None,
        };
        let domain = Domain::of(&number).expect("a range");
        assert_eq!((Some(domain.low), Some(domain.high)), (at(-10).base(), at(40).base()));
        assert!(domain.grid.is_some_and(|grid| grid.has(at(15).base().expect("small"))));
    }
}
