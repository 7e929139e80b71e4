//! Gels by arithmetic (family `gel`): what colour a lamp reads through a stack, and what the stack costs in light.
//!
//! Mired shifts add and transmittances multiply. Both are estimates for lamps near the white of a glowing body with
//! smooth spectra; for the rest there is the sum over the spectrum (family `colour`). Sheets sold under one name differ
//! by tens of mired and several tenths of a stop, so a stock list holds the crew's own figure for each roll. Gels fade
//! and melt: meter the head that is rigged.

pub mod loss;
pub mod shift;

pub use loss::{
    DuvStack, NdFilter, NdRuleOfThumb, StackTransmittance, TransmittanceToStops,
    nominal_green_density,
};
pub use shift::{ApplyShift, Gel, MiredOf, NominalGel, ShiftFromPair, ShiftStack, Strength};

/// Kelvin times mired.
pub(crate) const MIRED_KELVIN: f64 = 1e6;
/// Above this colour temperature mired arithmetic, which is Wien's approximation, runs away.
pub(crate) const VERY_BLUE_K: f64 = 10_000.0;
