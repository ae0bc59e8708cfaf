//! The table of units.

use super::Exact;

/// What sort of thing is measured.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Kind {
    Length,
    Mass,
    Force,
    Torque,
    Energy,
    Pressure,
    Area,
    Volume,
    Voltage,
    Current,
    Resistance,
    Power,
    Charge,
    Time,
    Temperature,
    TemperatureDifference,
    Angle,
    Speed,
    Share,
    WireGauge,
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

/// A unit: an index into the table.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub struct Unit(pub(super) u16);
impl Unit {
    pub fn factor(self) -> Exact {
        Exact::from_integer(1)
    }
}
