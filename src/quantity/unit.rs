//! Units by name.

use std::borrow::Cow;
use std::collections::HashMap;
use std::sync::LazyLock;

use super::Exact;
pub use super::kind::{Dimension, Kind, System};
use super::table::{ROWS, Row};

/// A unit: an index into the table.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub struct Unit(pub(super) u16);

impl Unit {
    /// Some unit, for places where a lookup that can't fail would need one.
    pub(super) const FIRST: Unit = Unit(0);

    /// The unit that a writer spelled, by any spelling of the trade: `N.m`, `Nm`, `N·m`, `ft-lb`, `"`, `mm²`,
    /// `per in`.
    ///
    /// Between the parts of a compound a dot, a raised dot, a star, a hyphen or blanks mean the same. Capitals
    /// matter (`mOhm` and `MOhm`). `lb` is a mass and `lbf` a force; `ft-lb` can only be a torque.
    pub fn lookup(spelling: &str) -> Option<Unit> {
        // What is folded already, as in the table, is found as it is.
        if let Some(unit) = BY_SPELLING.get(spelling) {
            return Some(*unit);
        }
        let wanted = fold(spelling);
        if wanted.is_empty() {
            return None;
        }
        BY_SPELLING.get(wanted.as_str()).copied()
    }

    /// Every unit, in the order of the table.
    pub fn all() -> impl Iterator<Item = Unit> {
        (0..ROWS.len()).filter_map(|index| u16::try_from(index).ok()).map(Unit)
    }

    /// The spelling of every unit as the formatter writes it, for "did you mean".
    pub fn known() -> impl Iterator<Item = &'static str> {
        ROWS.iter().map(|row| row.spelling)
    }

    /// The other spellings that are read for this unit, folded as [`Unit::lookup`] folds.
    pub fn aliases(self) -> &'static [&'static str] {
        self.row().aliases
    }

    /// How the source spells it: `N.m`, `degC`, `in2`.
    pub fn spelling(self) -> &'static str {
        self.row().spelling
    }

    /// How a document prints it: `N·m`, `°C`, `in²`.
    pub fn symbol(self) -> &'static str {
        self.row().symbol
    }

    /// Its code in the Unified Code for Units of Measure: `N.m`, `Cel`, `[in_i]2`. UCUM reads `N.m` as a product
    /// and does not know torque from energy; [`Unit::kind`] does. A wire gauge has only an annotation.
    pub fn ucum(self) -> &'static str {
        self.row().ucum
    }

    /// What it measures.
    pub fn kind(self) -> Kind {
        self.row().kind
    }

    /// Which system uses it; `None` where both do (V, A, min, %).
    pub fn system(self) -> Option<System> {
        self.row().system
    }

    /// Base units in one of this unit, exact. Source: NIST SP 811, appendix B.8.
    pub fn factor(self) -> Exact {
        self.row().factor
    }

    /// In base units, where this unit's scale has its zero: 273.15 for `degC`, 0 for all that isn't a temperature.
    /// `base = value × factor + offset`.
    pub fn offset(self) -> Exact {
        self.row().offset
    }

    fn row(self) -> &'static Row {
        // Only `lookup` and `all` make units, so that the index is always one of the table's.
        ROWS.get(usize::from(self.0)).unwrap_or(&ROWS[0])
    }
}

impl Kind {
    /// A unit that a message can show for this kind: `N.m` for a torque.
    pub fn example_unit(self) -> Unit {
        // The table has a unit for every kind's example; a test holds it to that.
        Unit::lookup(self.example()).unwrap_or(Unit::FIRST)
    }
}

/// Every spelling of every unit, folded; of two units that are spelled alike, the first of the table is meant.
static BY_SPELLING: LazyLock<HashMap<Cow<'static, str>, Unit>> = LazyLock::new(|| {
    let mut known = HashMap::new();
    for unit in Unit::all() {
        let aliases = unit.aliases().iter().map(|alias| Cow::Borrowed(*alias));
        for spelling in [Cow::Owned(fold(unit.row().spelling))].into_iter().chain(aliases) {
            known.entry(spelling).or_insert(unit);
        }
    }
    known
});

/// One form for the many ways to write the same: signs that look alike become one, and a dot stands between the
/// parts of a compound.
fn fold(spelling: &str) -> String {
    let mut folded = String::with_capacity(spelling.len());
    for c in spelling.trim().chars() {
        let c = match c {
            '·' | '⋅' | '•' | '*' | '×' | '-' | '\u{2011}' | '.' => '.',
            c if c.is_whitespace() => '.',
            '²' => '2',
            '³' => '3',
            '\u{2126}' => 'Ω',
            'º' => '°',
            'µ' => 'μ',
            '″' | '”' | '“' => '"',
            '′' | '’' => '\'',
            c => c,
        };
        // `ft.-lb.` is `ft.lb`: dots never double, and none ends the word.
        if c != '.' || (!folded.is_empty() && !folded.ends_with('.')) {
            folded.push(c);
        }
    }
    if folded.ends_with('.') {
        folded.pop();
    }
    folded
}
