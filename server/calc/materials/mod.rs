//! Materials (family `materials`): how much to buy and mix, what each piece weighs, what it costs.
//!
//! Densities are within a tenth and coverages within a third: weigh a test and note it. Large pours of plaster or resin
//! heat up; what a making task puts in the air is in [`crate::dust`].

pub mod bulk;
pub mod cost;
pub mod formula;
pub mod piece;
pub mod plaster;
pub mod sheet;

pub use bulk::{Granular, GranularVoids, Paint, RubberSkin, RubberVolume};
pub use cost::{Cost, CostLine};
pub use piece::{Density, FoamBlocks, FoamTurns, HollowCast, PieceMass, densities};
pub use plaster::{CombinedWater, Drying, PlasterMix};
pub use sheet::{SheetSingleOrientation, SheetTwoBand};

use crate::fault::{Fault, FaultKind};

/// Most spare that is not a slip of the keys.
pub(crate) const MOST_SPARE: f64 = 2.0;
/// Rubber of a silicone mould, kg/m³ (common practice: 1080 to 1300).
pub(crate) const RUBBER_KGPM3: f64 = 1150.0;
/// Keeps a whole number of parts whole when division leaves it a hair short.
const ROUNDING: f64 = 1e-9;
/// More parts than this along one side is a slip of the keys.
const MOST_ALONG: f64 = 10_000.0;

/// Whole parts with a cut between them along a side; refused when they are too many to be meant.
fn along(field: &str, side_m: f64, part_m: f64, kerf_m: f64) -> Result<u32, Fault> {
    let whole = ((side_m + kerf_m) / (part_m + kerf_m) + ROUNDING).floor();
    if whole > MOST_ALONG {
        let problem = "More than 10 000 would lie side by side: check the sizes typed.";
        return Err(Fault::new(field, FaultKind::OutOfRange, problem));
    }
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "whole, not negative, and at most ten thousand"
    )]
    Ok(whole.max(0.0) as u32)
}

/// Says that not one part comes out.
fn too_large(field: &str, from: &str) -> Fault {
    let problem = format!("This part is larger than the {from}: 0 parts.");
    Fault::new(field, FaultKind::OutOfRange, problem)
}
