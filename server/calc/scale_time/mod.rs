//! Scale time (family `scale-time`): frame rates, speeds and gravity of a model, and what of air and water does not scale.

pub mod flow;
pub mod motion;

pub use flow::{FlamePuffing, ModelNumbers, RippleSpeedError, SettlingScaling, SlowestRipple};
pub use motion::{
    ApparentGravity, ConvertAcceleration, ConvertAngularRate, Fall, ModelSpeed, NearestRate,
    PlateHeight, ShotConversion,
};

/// Standard gravity, m/s² (third general conference on weights and measures, 1901).
pub const GRAVITY_MPS2: f64 = 9.806_65;

/// The rates that are written short and mean a fraction over 1001.
const OVER_1001: &[f64] = &[24_000.0, 30_000.0, 48_000.0, 60_000.0, 120_000.0];

/// How far a typed rate may lie from a fraction over 1001 and still mean it, frames a second.
const TYPED_RATE_SLACK_FPS: f64 = 0.001;

/// The rate that a typed one means: 23.976 is 24000/1001, 29.97 is 30000/1001, 59.94 is 60000/1001.
pub fn exact_rate(typed_fps: f64) -> f64 {
    OVER_1001
        .iter()
        .map(|numerator| numerator / 1001.0)
        .find(|rate| (rate - typed_fps).abs() <= TYPED_RATE_SLACK_FPS)
        .unwrap_or(typed_fps)
}

/// Says so when the "model" is larger than what it stands for.
pub(crate) fn note_scale(scale_denominator: f64, warnings: &mut crate::Warnings) {
    warnings.add_if(scale_denominator < 1.0, "oversize_model");
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn short_rates_mean_fractions() {
        for (typed, exact) in [
            (23.976, 24_000.0 / 1001.0),
            (29.97, 30_000.0 / 1001.0),
            (59.94, 60_000.0 / 1001.0),
        ] {
            assert!((exact_rate(typed) - exact).abs() < 1e-12);
        }
        for typed in [24.0, 25.0, 30.0, 23.9, 117.576] {
            assert!((exact_rate(typed) - typed).abs() < f64::EPSILON);
        }
    }
}
