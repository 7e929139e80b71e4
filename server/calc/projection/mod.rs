//! Projection and water light (family `projection`): size, brightness and grain of what a projector throws on a set, and
//! the waves and webs of light that it plays.
//!
//! Lamp and above all laser projectors injure eyes near the lens: mind the class on the label, keep eyes and people out
//! of the throw, and follow the local rules for lasers.

pub mod caustics;
pub mod projector;
pub mod waves;

pub use caustics::{CausticCell, CausticDepth};
pub use projector::{ObliqueProjection, PixelInStory, ProjectorImage};
pub use waves::{PatternAtScale, WaterWave, WaveFromLength, WaveSpeedFromLength};
