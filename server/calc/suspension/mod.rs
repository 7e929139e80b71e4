//! Suspension (family `suspension`): what lines carry, how much they spare, how a hung model stretches them, swings and
//! settles, and whether the lines are seen.
//!
//! Nothing hangs over people. Overhead rigging is the work of a qualified rigger under local rules; these figures are
//! for planning only. Every overhead load has a second line and rated hardware and is inspected before every day's
//! work. Thin filament cuts skin and eyes and whips when it breaks: wear eye protection, and throw away monofilament
//! after knotting, shock, heat or sunlight.

pub mod filament;
pub mod hung;
pub mod lines;
pub mod plate;
pub mod settle;
pub mod strength;
pub mod swing;
pub mod yaw;

pub use filament::FilamentVisibility;
pub use hung::{Heave, Trim};
pub use lines::{BeamTwoVerticalLines, LineAngleFactor, ThreeLinesToPoint, TwoLines};
pub use plate::{PlateFourLines, PlateThreeLines};
pub use settle::{LogDecrement, QuadraticDecay, SettleTime};
pub use strength::{Knot, KnotEfficiency, LineMargin, ShockFactor, Stretch};
pub use swing::{Pendulum, PendulumSmallAngleError, PendulumTension, ResidualSwing, SwingGiveaway};
pub use yaw::{BifilarYaw, MultifilarYaw};

use crate::fault::{Fault, FaultKind};
use crate::figure::carried;
use crate::scale_time::GRAVITY_MPS2;

/// What hangs, in newtons.
fn weight_n(mass_kg: f64) -> f64 {
    mass_kg * GRAVITY_MPS2
}

/// Lines, rays or planes that do not meet.
fn no_geometry(field: &str, problem: impl Into<String>) -> Fault {
    Fault::new(field, FaultKind::NoRealGeometry, problem)
}

/// A line that would have to push, counted from one.
fn slack(field: &str, line: usize) -> Fault {
    let problem = format!("Line {line} goes slack: the model tips.");
    Fault::new(field, FaultKind::LineSlack, problem)
}

/// The first of some tensions that is less than none, beyond rounding.
fn first_slack(tensions_n: &[f64], weight_n: f64) -> Option<usize> {
    tensions_n
        .iter()
        .position(|tension_n| *tension_n < -1e-12 * weight_n)
}

/// A tension without the rounding below none; what is no number stays none and is refused.
fn no_push(tension_n: f64) -> f64 {
    if tension_n < 0.0 { 0.0 } else { tension_n }
}

/// A number that may be negative, as one factor of a *because*.
fn factor(value: f64) -> String {
    if value < 0.0 {
        format!("({})", carried(value))
    } else {
        carried(value)
    }
}

/// Arithmetic-geometric mean of two positive numbers.
fn mean_of_means(mut arithmetic: f64, mut geometric: f64) -> f64 {
    // each round doubles the digits that agree
    while (arithmetic - geometric).abs() > 1e-15 * arithmetic {
        let next = f64::midpoint(arithmetic, geometric);
        if next >= arithmetic {
            break;
        }
        geometric = (arithmetic * geometric).sqrt();
        arithmetic = next;
    }
    arithmetic
}
