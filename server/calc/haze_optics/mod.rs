//! Haze optics (family `haze-optics`): how thick haze must be, what it takes from contrast and light, how it glows.
//!
//! Full scaled visibility of 10 to 30 m asks for many times the peak limit of the air: it cannot be shot with
//! unprotected people in it. Ask instead how much contrast should be left at the far end of the table. Optical matching
//! never overrides an exposure limit.

pub mod demand;
pub mod depth;
pub mod glow;
pub mod lamp_angle;
mod mie;
pub mod particles;

pub use demand::{Droplets, HazeDemand, LimitToOptics};
pub use depth::{
    ExtinctionForContrast, ExtinctionFromCards, MassConcentration, Path, ScrimEquivalent,
    StageExtinction, VisibilityConstant, VisibleStageDepth,
};
pub use glow::{
    BackVsFront, BackVsFrontMie, BeamLuminance, HenyeyGreenstein, HenyeyGreensteinIntegral,
    PhaseColumn, TransportDepth,
};
pub use lamp_angle::LampAngle;
pub use particles::{Liquid, MassExtinction, MassExtinctionOneSize, Mie};

/// Contrast at which a dark object is lost (Koschmieder 1924); 0.05 is the meteorologists' (WMO-No. 8).
pub(crate) const CONTRAST_THRESHOLD: f64 = 0.02;
/// Milligrams in a gram.
pub(crate) const MG_PER_G: f64 = 1000.0;
/// Optical depth from which hardly anything comes through straight.
pub(crate) const THICK: f64 = 3.0;

/// Optical depth at which things of this contrast are lost.
fn visibility_depth(contrast_threshold: f64) -> f64 {
    -contrast_threshold.ln()
}
