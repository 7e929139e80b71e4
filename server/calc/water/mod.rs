//! Water look (family `water`): what depth does to light, how far one sees, how contrast goes.
//!
//! A look guide: water types are averages of the top ten metres, and real water changes from day to day. Only open ocean
//! goes blue; every coastal type goes green, then yellow-brown. Shooting water dry takes drowning out of it and puts people
//! in haze: see [`crate::air_limits`].

pub mod kinds;
pub mod light;
pub mod optics;
pub mod shimmer;
pub mod sight;
pub mod veil;

pub use kinds::{IopSource, KdSource, WaterType};
pub use light::{CompressedFalloff, FalloffBetween, Kd, LightAtDepth, downwelling};
pub use shimmer::Shimmer;
pub use sight::{
    AttenuationFromVisibility, AttenuationSum, SecchiKd, SecchiSum, Visibility, WaterContrast,
    WaterPath,
};
pub use veil::{ApparentColour, VeilColour};

/// Wavelength at which water is told in one number, nm.
pub(crate) const GREEN_NM: f64 = 532.0;
/// Beam attenuations in the distance at which a dark body is lost (Davies-Colley 1988; Zaneveld and Pegau 2003). It holds the
/// diver's eye; air has 3.912.
pub(crate) const DARK_BODY: f64 = 4.8;
/// Deeper than this the types say nothing, m.
pub(crate) const DEEP_M: f64 = 60.0;
