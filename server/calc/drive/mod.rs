//! Drives (family `drive`): drums, run-ups and arms that move a model or a camera, and whether the move reads as full
//! size on screen.
//!
//! Drums and belts pinch and entangle; a taut line and a counterweight store energy. Guards, limit switches at both
//! ends, an emergency stop within reach, and hands clear before a drive is switched on.

pub mod drum;
pub mod screen;
pub mod travel;

pub use drum::{DrumDrive, DrumTorque, GearRatio};
pub use screen::{MotionBlur, ParallaxRate, StrobeCheck, StrobeLimit};
pub use travel::{Ramp, RunUp, SwingLean, TrackLength, TurntableArm};

/// Seconds in a minute.
const S_PER_MIN: f64 = 60.0;
