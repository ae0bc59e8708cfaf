//! Formulas of the trade: bolted joints and wire.
//!
//! Pure functions. Values go in and come out as floating point in the unit that a name ends with (`diameter_mm`,
//! `torque_nm`); these are physical estimates, and exactness ends where friction begins. Nothing here knows a
//! procedure: which thread, grade or wire is meant comes from the standard library's rows, which carry their own
//! sources.
//!
//! Terms: the *stress area* of a thread is the area that carries its load; *proof stress* is what a bolt bears
//! without lasting stretch; *preload* is the force with which a tightened bolt clamps; the *nut factor* K ties torque
//! to preload; *ampacity* is the current that a wire carries for good without harm to its insulation.
//!
//! A function whose inputs make no sense (no diameter, an ambient hotter than the insulation bears) returns `None`.

pub mod fasteners;
pub mod wire;

/// A number that physics can work with: neither infinite nor undefined, and above zero.
fn positive(value: f64) -> Option<f64> {
    (value.is_finite() && value > 0.0).then_some(value)
}
