//! Flicker (family `flicker`): mains, dimmed and projected light that pulses, and the exposures that do not show it.
//!
//! Light that flashes between about 3 and 30 times a second (from memory) can set off a seizure: tell everyone on the
//! stage before a test with strobing light, and follow the instructions of lamp and ballast.

pub mod mains;
pub mod projected;
pub mod swing;

pub use mains::{FlickerSafeAngles, FlickerSafeRates, ScaleLimitForMains};
pub use projected::{ColourWheel, ProjectedElement};
pub use swing::{Beat, PwmWorstSwing, ResidualModulation};

use crate::fault::{Fault, FaultKind};

/// A whole turn of the shutter.
const FULL_TURN_DEG: f64 = 360.0;
/// How far an angle may lie over the full turn and still be one.
const FULL_TURN_SLACK_DEG: f64 = 1e-9;
/// More angles than this are no choice.
const MOST_ANGLES: f64 = 1000.0;
/// Swings below this many stops do not show; common practice, no source.
const INVISIBLE_STOPS: f64 = 0.02;
/// Swings above this many stops are plain to everyone; common practice, no source.
const OBVIOUS_STOPS: f64 = 0.1;

/// Every shutter angle up to the full turn that is a whole multiple of one.
///
/// # Errors
/// `out_of_range` on `field` when there are more than anyone could choose from.
fn whole_multiples(one_deg: f64, field: &str) -> Result<Vec<f64>, Fault> {
    if !one_deg.is_finite() {
        let problem = "One pulse takes a shutter angle without end: check the rates typed.";
        return Err(Fault::new(field, FaultKind::NotFinite, problem));
    }
    let count = ((FULL_TURN_DEG + FULL_TURN_SLACK_DEG) / one_deg).floor();
    if count > MOST_ANGLES {
        let problem = "At so slow a rate every shutter angle holds very many pulses: any will do.";
        return Err(Fault::new(field, FaultKind::OutOfRange, problem));
    }
    let mut angles = Vec::new();
    let mut pulses = 1.0;
    while pulses <= count {
        angles.push(pulses * one_deg);
        pulses += 1.0;
    }
    Ok(angles)
}

/// How a swing from frame to frame is seen. Haze-filled frames are large flat fields, the strictest case.
const fn grade(swing_stops: f64) -> &'static str {
    if swing_stops < INVISIBLE_STOPS {
        "invisible"
    } else if swing_stops <= OBVIOUS_STOPS {
        "visible on flat haze"
    } else {
        "obvious"
    }
}
