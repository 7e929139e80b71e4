//! Filling and holding haze (family `haze-fill`): when to start the machine, how often to top up, how fast it leaks.
//!
//! One well-mixed box: what leaks, falls out and evaporates is a loss in shares an hour. Settling does not clear haze;
//! leaks and evaporation do. Log who is inside at each fill.

pub mod air;
pub mod droplets;
pub mod fill;
pub mod reading;
pub mod supply;

pub use air::{Plume, Quieting, Richardson, StoryDrift};
pub use droplets::{Coagulation, Settling, SlipDavies, StirredDeposition, VapourCapacity};
pub use fill::{Decay, FillLevel, HalfLife, Steady, TimeToTarget};
pub use reading::{ExtinctionFromMeter, ExtinctionFromStops, LossRateFromTwoReadings};
pub use supply::{DayFluid, FluidUse, HoldRate, TopUp};

/// Milligrams an hour in a gram a minute.
pub(crate) const MGPH_PER_GPMIN: f64 = 60_000.0;
/// Minutes in an hour.
pub(crate) const MIN_PER_H: f64 = 60.0;
/// Milligrams in a gram.
pub(crate) const MG_PER_G: f64 = 1000.0;
/// Gravity to the digits of these formulas, m/s².
pub(crate) const GRAVITY_MPS2: f64 = 9.81;
/// A loss this small is none: the formulas divide by it.
pub(crate) const NO_LOSS_PER_H: f64 = 1e-9;
/// Losses above this are not a shut room; common practice, no source.
const LEAKY_PER_H: f64 = 10.0;

/// Doubts a loss that no shut room has.
pub(crate) fn note_loss(total_loss_per_h: f64, warnings: &mut crate::Warnings) {
    warnings.add_if(total_loss_per_h > LEAKY_PER_H, "loss_high");
}
