//! Light at the model (family `lamp-light`): from what is known of a lamp to lux on the set, with every loss.
//!
//! Hot heads burn, and intense or laser sources harm eyes: keep the maker's distance and local rules. Beams shaped by lenses
//! do not follow the point source near the lamp: measure there.

pub mod beam;
pub mod loss;
pub mod power;

pub use beam::{
    Cosine, DoubleDistance, FootcandleToLux, FrameFar, FrameNear, FullSphere, GaussianBeam,
    PointSource, UniformCone,
};
pub use loss::{ExposureTimeArea, GelHeat, LightSum, WithLosses};
pub use power::{FluxFromWatts, LuminousEfficacy};
