//! What gives a miniature away (family `giveaway`): ratios of the planned shot to the full-size event it pretends to be.
//!
//! The physical part is exact; the edges between *good*, *watch* and *visible* are common practice, no source.

pub mod forced;
pub mod look;
pub mod motion;

pub use forced::ForcedPerspective;
pub use look::{BlurDistance, Depth, Detail, Drop};
pub use motion::{ArcDeviation, Gravity, HazeDrift, MotionBlur, SwingPeriod};

/// Millimetres in a metre.
const MM_PER_M: f64 = 1e3;
/// How far past an edge a measure may lie and still be on it: no more than rounding.
const ROUNDING: f64 = 1e-9;

/// A ratio that should be one: good within the first span around it, to be watched within the second.
fn grade_ratio(ratio: f64, good: (f64, f64), watch: (f64, f64)) -> &'static str {
    let within = |(low, high): (f64, f64)| {
        ratio >= low * (1.0 - ROUNDING) && ratio <= high * (1.0 + ROUNDING)
    };
    if within(good) {
        "good"
    } else if within(watch) {
        "watch"
    } else {
        "visible"
    }
}

/// An amount that should be small: good up to the first edge, to be watched up to the second.
fn grade_amount(amount: f64, good: f64, watch: f64) -> &'static str {
    let within = |edge: f64| amount <= edge * (1.0 + ROUNDING);
    if within(good) {
        "good"
    } else if within(watch) {
        "watch"
    } else {
        "visible"
    }
}
