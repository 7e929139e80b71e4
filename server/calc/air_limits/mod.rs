//! Air limits (family `air-limits`): what a haze level means for breathing, and when the air is fit again.
//!
//! Not medical or legal advice: limits change, local law differs, and the safety data sheet and competent people come
//! first. Fog standards assume healthy adults; keep levels as low as the shot allows. A reading outranks the model, and
//! below a limit means below the limit chosen, no more.

pub mod day;
pub mod exposure;
pub mod limits;

pub use day::{DecayPiece, FillPiece, Segment, TwaModel, TwaSteps};
pub use exposure::{AllowedTime, ClearTime, DryIce, Mixture, Peak};
pub use limits::{Limit, LimitRow};

/// Hours over which a day's exposure is averaged (29 CFR 1910.1000(d)(1)), also for shorter and longer days.
pub(crate) const WORKING_DAY_H: f64 = 8.0;

use crate::fault::{Fault, FaultKind};

/// Refuses an empty list.
fn needs_one(field: &str, length: usize) -> Result<(), Fault> {
    if length == 0 {
        let problem = format!("{} needs at least one value.", crate::input::label(field));
        return Err(Fault::new(field, FaultKind::Missing, problem));
    }
    Ok(())
}
