//! Formulas of the trade: bolted joints and wire.
//!
//! Pure functions. Each formula takes and gives floating point in the unit that a name ends with (`diameter_mm`,
//! `torque_nm`); these are physical estimates, and exactness ends where friction begins. Functions over [`Quantity`]
//! stand before them and bring any unit of the right kind into that form. Nothing here knows a procedure: which
//! thread, grade or wire is meant comes from the standard library's rows, which carry their own sources.
//!
//! Terms: the *stress area* of a thread is the area that carries its load; *proof stress* is what a bolt bears
//! without lasting stretch; *preload* is the force with which a tightened bolt clamps; the *nut factor* K ties torque
//! to preload; *ampacity* is the current that a wire carries for good without harm to its insulation.
//!
//! A function whose inputs make no sense (no diameter, an ambient hotter than the insulation bears) returns `None`.

pub mod engagement;
pub mod fasteners;
mod friction;
pub mod lever;
pub mod wire;

use crate::quantity::{Exact, Kind, Quantity};

/// Where a formula or a value comes from.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Source {
    /// The publication.
    pub publication: &'static str,
    /// How far it was confirmed, in words.
    pub confirmed: &'static str,
}

/// Zero degrees Celsius in kelvin, the base unit of temperatures.
const ZERO_CELSIUS: f64 = 273.15;

/// A number that physics can work with: neither infinite nor undefined, and above zero.
fn positive(value: f64) -> Option<f64> {
    (value.is_finite() && value > 0.0).then_some(value)
}

/// An exact number as floating point. The nearest one but for the last digit, which no formula here can see.
pub(crate) fn float(exact: Exact) -> f64 {
    *exact.numer() as f64 / *exact.denom() as f64
}

/// The value in the base unit of its kind; `None` where it measures something else.
pub(crate) fn base(quantity: &Quantity, kind: Kind) -> Option<f64> {
    (quantity.kind() == kind).then_some(())?;
    quantity.base().map(float)
}

/// A length in millimetres.
fn millimetres(quantity: &Quantity) -> Option<f64> {
    base(quantity, Kind::Length).map(|metres| metres * 1000.0)
}

/// A temperature in degrees Celsius.
pub(crate) fn celsius(quantity: &Quantity) -> Option<f64> {
    base(quantity, Kind::Temperature).map(|kelvin| kelvin - ZERO_CELSIUS)
}
