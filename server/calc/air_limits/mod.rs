//! Air limits (family `air-limits`): what a haze level means for breathing, and when the air is fit again.
//!
//! Not medical or legal advice: limits change, local law differs, and the safety data sheet and competent people come
//! first. Fog standards assume healthy adults; keep levels as low as the shot allows. A reading outranks the model, and
//! below a limit means below the limit chosen, no more.

pub mod exposure;
pub mod limits;

pub use exposure::{
    AllowedTime, ClearTime, DecayPiece, DryIce, FillPiece, Mixture, Peak, Segment, TwaModel,
    TwaSteps,
};
pub use limits::{Limit, LimitRow};

/// Hours over which a day's exposure is averaged (29 CFR 1910.1000(d)(1)), also for shorter and longer days.
pub(crate) const WORKING_DAY_H: f64 = 8.0;
