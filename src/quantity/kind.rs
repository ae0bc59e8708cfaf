//! What sort of thing a quantity measures.
//!
//! A *dimension* says from which of length, mass, time, current and temperature a quantity is made, and in which
//! powers. A *kind* is finer: torque and energy share a dimension, and so do a temperature and a temperature rise.
//! Arithmetic works on dimensions; a comparison, and a place that wants a torque, work on kinds.

/// What sort of thing is measured.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Kind {
    /// Base unit: metre.
    Length,
    /// Base unit: kilogram.
    Mass,
    /// Base unit: newton.
    Force,
    /// Base unit: newton metre.
    Torque,
    /// Base unit: joule.
    Energy,
    /// Also stress. Base unit: pascal.
    Pressure,
    /// Base unit: square metre.
    Area,
    /// Base unit: cubic metre.
    Volume,
    /// Base unit: volt.
    Voltage,
    /// Base unit: ampere.
    Current,
    /// Base unit: ohm.
    Resistance,
    /// Base unit: watt.
    Power,
    /// Base unit: coulomb (ampere second).
    Charge,
    /// Base unit: second.
    Time,
    /// A point on a temperature scale. Base unit: kelvin.
    Temperature,
    /// By how much a temperature rises or falls. Base unit: kelvin.
    TemperatureDifference,
    /// Base unit: degree, because a radian is not a rational number of degrees.
    Angle,
    /// Base unit: metre per second.
    Speed,
    /// A part of a whole. Base unit: one (the whole).
    Share,
    /// American wire gauge: a label, which falls as the wire grows. Base: the number itself, with `1/0` as 0,
    /// `2/0` as -1 and so on (ASTM B258).
    WireGauge,
    /// How many in a length, as of threads. Base unit: one per metre.
    PerLength,
}

/// Which family of units a workshop uses.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum System {
    /// SI and the units used with it.
    Metric,
    /// Inch and pound units.
    Inch,
}

/// Exponents of length, mass, time, current, temperature.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub struct Dimension(pub [i8; 5]);

/// All that is known about a kind: one row of [`Kind::facts`].
struct Facts {
    name: &'static str,
    dimension: [i8; 5],
    example: &'static str,
    base_ucum: &'static str,
}

impl Kind {
    /// Every kind, in the order of declaration.
    pub const ALL: [Kind; 21] = [
        Kind::Length,
        Kind::Mass,
        Kind::Force,
        Kind::Torque,
        Kind::Energy,
        Kind::Pressure,
        Kind::Area,
        Kind::Volume,
        Kind::Voltage,
        Kind::Current,
        Kind::Resistance,
        Kind::Power,
        Kind::Charge,
        Kind::Time,
        Kind::Temperature,
        Kind::TemperatureDifference,
        Kind::Angle,
        Kind::Speed,
        Kind::Share,
        Kind::WireGauge,
        Kind::PerLength,
    ];

    /// Plain words with their article: `a torque`, `an area`.
    pub fn name(self) -> &'static str {
        self.facts().name
    }

    /// What it is made of.
    pub fn dimension(self) -> Dimension {
        Dimension(self.facts().dimension)
    }

    /// UCUM code of the base unit in which [`super::Quantity::base`] counts.
    pub fn base_ucum(self) -> &'static str {
        self.facts().base_ucum
    }

    /// Whether amounts of this kind may be added, multiplied and divided. A wire gauge is a label, and a temperature
    /// is a point on a scale: 20 °C and 20 °C do not make 40 °C.
    pub fn has_arithmetic(self) -> bool {
        !matches!(self, Kind::WireGauge | Kind::Temperature)
    }

    /// Whether an amount of this kind can be stated as below zero: points on a scale, and turns to the other side.
    pub fn can_be_below_zero(self) -> bool {
        matches!(self, Kind::Temperature | Kind::TemperatureDifference | Kind::Angle)
    }

    /// Spelling of the unit that a message shows for this kind.
    pub(super) fn example(self) -> &'static str {
        self.facts().example
    }

    fn facts(self) -> Facts {
        let (name, dimension, example, base_ucum) = match self {
            Kind::Length => ("a length", [1, 0, 0, 0, 0], "mm", "m"),
            Kind::Mass => ("a mass", [0, 1, 0, 0, 0], "kg", "kg"),
            Kind::Force => ("a force", [1, 1, -2, 0, 0], "N", "N"),
            Kind::Torque => ("a torque", [2, 1, -2, 0, 0], "N.m", "N.m"),
            Kind::Energy => ("an energy", [2, 1, -2, 0, 0], "J", "J"),
            Kind::Pressure => ("a pressure", [-1, 1, -2, 0, 0], "kPa", "Pa"),
            Kind::Area => ("an area", [2, 0, 0, 0, 0], "mm2", "m2"),
            Kind::Volume => ("a volume", [3, 0, 0, 0, 0], "L", "m3"),
            Kind::Voltage => ("a voltage", [2, 1, -3, -1, 0], "V", "V"),
            Kind::Current => ("a current", [0, 0, 0, 1, 0], "A", "A"),
            Kind::Resistance => ("an electrical resistance", [2, 1, -3, -2, 0], "Ohm", "Ohm"),
            Kind::Power => ("a power", [2, 1, -3, 0, 0], "W", "W"),
            Kind::Charge => ("an electrical charge", [0, 0, 1, 1, 0], "A.h", "C"),
            Kind::Time => ("a time", [0, 0, 1, 0, 0], "min", "s"),
            Kind::Temperature => ("a temperature", [0, 0, 0, 0, 1], "degC", "K"),
            Kind::TemperatureDifference => ("a temperature rise", [0, 0, 0, 0, 1], "K", "K"),
            Kind::Angle => ("an angle", [0, 0, 0, 0, 0], "deg", "deg"),
            Kind::Speed => ("a speed", [1, 0, -1, 0, 0], "km/h", "m/s"),
            Kind::Share => ("a share", [0, 0, 0, 0, 0], "%", "1"),
            Kind::WireGauge => ("a wire gauge", [0, 0, 0, 0, 0], "AWG", "{AWG}"),
            Kind::PerLength => ("a number per length", [-1, 0, 0, 0, 0], "per in", "/m"),
        };
        Facts { name, dimension, example, base_ucum }
    }
}

impl Dimension {
    /// A bare number.
    pub const NUMBER: Dimension = Dimension([0; 5]);

    /// Whether this is a bare number.
    pub fn is_number(self) -> bool {
        self == Self::NUMBER
    }

    /// The dimension of a product; `None` if an exponent leaves what can be kept (127).
    pub fn times(self, other: Dimension) -> Option<Dimension> {
        self.combine(other, i8::checked_add)
    }

    /// The dimension of a quotient; `None` if an exponent leaves what can be kept (127).
    pub fn over(self, other: Dimension) -> Option<Dimension> {
        self.combine(other, i8::checked_sub)
    }

    /// The kinds with this dimension, in the order of [`Kind::ALL`].
    pub fn kinds(self) -> impl Iterator<Item = Kind> {
        Kind::ALL.into_iter().filter(move |kind| kind.dimension() == self)
    }

    /// The kind with this dimension, where there is just one: none for torque and energy.
    pub fn kind(self) -> Option<Kind> {
        let mut kinds = self.kinds();
        kinds.next().filter(|_| kinds.next().is_none())
    }

    /// Words for a message: `a force`, `a torque or an energy`, `a bare number`, or base units such as `kg·m/s`.
    pub fn words(self) -> String {
        if self.is_number() {
            return "a bare number".to_owned();
        }
        let names: Vec<_> = self.kinds().map(Kind::name).collect();
        if names.is_empty() { self.base_units() } else { names.join(" or ") }
    }

    /// The dimension in base units: `kg·m/s²`.
    fn base_units(self) -> String {
        let Dimension([length, mass, time, current, temperature]) = self;
        let all = [("kg", mass), ("m", length), ("s", time), ("A", current), ("K", temperature)];
        let side = |above: bool| -> Vec<String> {
            let power = |(symbol, exponent): (&str, i8)| match exponent.unsigned_abs() {
                1 => symbol.to_owned(),
                2 => format!("{symbol}²"),
                3 => format!("{symbol}³"),
                more => format!("{symbol}^{more}"),
            };
            all.iter().copied().filter(|(_, e)| *e != 0 && (*e > 0) == above).map(power).collect()
        };
        let above = match side(true) {
            parts if parts.is_empty() => "1".to_owned(),
            parts => parts.join("·"),
        };
        match side(false) {
            below if below.is_empty() => above,
            below if below.len() == 1 => format!("{above}/{}", below.concat()),
            below => format!("{above}/({})", below.join("·")),
        }
    }

    fn combine(self, other: Dimension, with: fn(i8, i8) -> Option<i8>) -> Option<Dimension> {
        let mut result = self.0;
        for (mine, theirs) in result.iter_mut().zip(other.0) {
            *mine = with(*mine, theirs)?;
        }
        Some(Dimension(result))
    }
}
