//! Exposure (family `exposure`): how much light the stop and rate need, what is lost on the way, what lamps give.
//!
//! Depth goes by the f-number, exposure by the T-number; where only one is known it stands for both. 15 000 lx and more
//! on a small set is hundreds of watts a square metre: resin, foam, wax and gels soften or burn. Keep the clearance the
//! maker of the lamp gives, limit burn time, leave nothing unattended.

pub mod lamps;
pub mod meter;

pub use lamps::{DiscSource, InverseSquare, LampSum, PanelSource, SpotDistance, StopDeficit};
pub use meter::{
    CardEquivalence, CardIlluminance, EvLightLevel, Nd, ReflectedEquation, RequiredIlluminance,
    Shutter, StopChanges,
};

/// Lux in a footcandle: one lumen on a square foot of 0.3048 m sides, exact.
pub(crate) const LX_PER_FC: f64 = 1.0 / (0.3048 * 0.3048);
/// Candela a square metre in a footlambert, 1/π candela a square foot.
pub(crate) const CDPM2_PER_FL: f64 = LX_PER_FC / std::f64::consts::PI;
/// Calibration of incident meters with a flat receptor, lx·s (ISO 2720:1974: 240 to 400).
pub(crate) const C_CONSTANT: f64 = 250.0;
/// Calibration of reflected meters, cd·s/m² (ISO 2720:1974: 10.6 to 13.4).
pub(crate) const K_CONSTANT: f64 = 12.5;
/// Reflectance of the grey card.
pub(crate) const CARD_REFLECTANCE: f64 = 0.18;
/// Source diameters from which a source counts as a point; common practice, lighting society definition 9.1.1.
pub(crate) const FAR_IN_SOURCE_SIZES: f64 = 5.0;
