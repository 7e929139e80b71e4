//! Rates, speeds and gravity between the story, the stage and the screen.

use super::{GRAVITY_MPS2, exact_rate, note_scale};
use crate::calculation::calculation;
use crate::fault::{Fault, FaultKind, Warnings};
use crate::figure::{found, given};

/// Gravity ratios that still pass for right; common practice, no source.
const GRAVITY_RATIO_GOOD: std::ops::RangeInclusive<f64> = 0.8..=1.25;

calculation! { "scale-time";
    /// Frame rate that gives a scale model's motion the weight of the full-size event.
    ///
    /// Time under gravity shrinks with the square root of length, so the camera runs faster by √scale. Holds while
    /// gravity drives the motion; a driven move sets its own time base. The base rate is given as a number or exactly,
    /// as numerator and denominator.
    gravity_true_rate(Fall {
        /// Frames a second on screen; 23.976 and its kin mean 24000/1001.
        base_fps: Option<f64> = Above(0.0); usual 24.0,
        /// Numerator of the exact base rate.
        base_fps_num: Option<f64> = Above(0.0),
        /// Denominator of the exact base rate.
        base_fps_den: Option<f64> = Above(0.0),
        /// How many times smaller the model is.
        scale_denominator: f64 = Above(0.0); usual 24.0,
    }) -> Rate {
        /// Frames a second in camera.
        shoot_fps: f64,
        /// Times faster than the screen.
        rate_factor_k: f64,
    }
    because gravity_true_rate_because
    source "Froude similarity; trade form √scale × base rate: visual-effects handbook (2010), appendix A", Confirmed

    /// Speed of a driven model for a speed in the story.
    ///
    /// Lengths shrink by the scale, and the camera runs k times faster than the screen, so the model runs at v k/S.
    model_speed(ModelSpeed {
        /// Speed in the story.
        story_speed_mps: f64 = Any; usual 5.0,
        /// How many times smaller the model is.
        scale_denominator: f64 = Above(0.0); usual 24.0,
        /// Shooting rate over base rate.
        rate_factor_k: f64 = Above(0.0); usual 4.9,
    }) -> ModelSpeedFound {
        /// Speed of the model on the stage.
        model_speed_mps: f64,
    }
    because "{story_speed_mps} × {rate_factor_k} ÷ {scale_denominator} = {model_speed_mps} m/s on the stage"
    source "visual-effects handbook (2010), appendix A", Confirmed

    /// Full-size camera height that a model camera height stands for.
    plate_height(PlateHeight {
        /// Height of the entrance pupil over the model's ground.
        model_camera_height_m: f64 = AtLeast(0.0); usual 0.075,
        /// How many times smaller the model is.
        scale_denominator: f64 = Above(0.0); usual 24.0,
    }) -> PlateHeightFound {
        /// Height of the full-size camera.
        plate_camera_height_m: f64,
    }
    because "{model_camera_height_m} × {scale_denominator} = {plate_camera_height_m} m"
    source "similarity of lengths", Confirmed

    /// Gravity as it reads on screen at a chosen rate, and the size the fall suggests.
    ///
    /// The apparent gravity is g S/k². Its ratio to true gravity is G = S/k²: above one things fall too fast and read
    /// small. Warns outside 0.8 to 1.25 (common practice).
    apparent_gravity(ApparentGravity {
        /// Frames a second on screen.
        base_fps: f64 = Above(0.0); usual 24.0,
        /// How many times smaller the model is.
        scale_denominator: f64 = Above(0.0); usual 24.0,
        /// Frames a second in camera.
        shoot_fps: f64 = Above(0.0); usual 120.0,
    }) -> ApparentGravityFound {
        /// Times faster than the screen.
        rate_factor_k: f64,
        /// Gravity as seen on screen, in story lengths.
        apparent_gravity_mps2: f64,
        /// Apparent over true gravity.
        gravity_ratio: f64,
        /// Size that the fall suggests, over the size intended.
        apparent_size_ratio: f64,
    }
    because "9.80665 × {scale_denominator} ÷ ({shoot_fps} ÷ {base_fps})^2 = {apparent_gravity_mps2} m/s² as it reads on screen"
    source "Froude similarity", Confirmed

    /// One shot's speed, time, travel and frames, from the story to the stage.
    ///
    /// Travel on the stage is v t/S and does not depend on the rate; the take is k times shorter than the screen time.
    shot_conversion(ShotConversion {
        /// Frames a second on screen.
        base_fps: f64 = Above(0.0); usual 24.0,
        /// How many times smaller the model is.
        scale_denominator: f64 = Above(0.0); usual 24.0,
        /// Frames a second in camera.
        shoot_fps: f64 = Above(0.0); usual 120.0,
        /// Speed in the story.
        story_speed_mps: f64 = Any; usual 5.0,
        /// Length of the shot on screen.
        screen_duration_s: f64 = AtLeast(0.0); usual 8.0,
    }) -> ShotOnStage {
        /// Speed of the model on the stage.
        model_speed_mps: f64,
        /// Length of the take on the stage.
        stage_duration_s: f64,
        /// Way of the model during the shot.
        model_travel_m: f64,
        /// Frames of the shot.
        frames: f64,
    }
    because "{story_speed_mps} × {shoot_fps} ÷ {base_fps} ÷ {scale_denominator} = {model_speed_mps} m/s on the stage. The take lasts {stage_duration_s} s and the model travels {model_travel_m} m."
    source "visual-effects handbook (2010), appendix A; lengths by scale, times by rate", Confirmed

    /// Acceleration of a driven model for an acceleration in the story: a k²/S.
    convert_acceleration(ConvertAcceleration {
        /// How many times smaller the model is.
        scale_denominator: f64 = Above(0.0); usual 24.0,
        /// Shooting rate over base rate.
        rate_factor_k: f64 = Above(0.0); usual 4.9,
        /// Acceleration in the story.
        story_acceleration_mps2: f64 = Any; usual 0.4,
    }) -> ModelAcceleration {
        /// Acceleration of the model on the stage.
        model_acceleration_mps2: f64,
    }
    because "{story_acceleration_mps2} × {rate_factor_k}^2 ÷ {scale_denominator} = {model_acceleration_mps2} m/s² on the stage"
    source "dimensional analysis", Confirmed

    /// Turning rate of a model for a turning rate in the story: angles stay, time is k times shorter.
    convert_angular_rate(ConvertAngularRate {
        /// Shooting rate over base rate.
        rate_factor_k: f64 = Above(0.0); usual 4.9,
        /// Turning rate in the story.
        story_angular_rate_deg_per_s: f64 = Any; usual 6.0,
    }) -> ModelAngularRate {
        /// Turning rate of the model on the stage.
        model_angular_rate_deg_per_s: f64,
    }
    because "{story_angular_rate_deg_per_s} × {rate_factor_k} = {model_angular_rate_deg_per_s} degrees a second on the stage"
    source "dimensional analysis", Confirmed

    /// The gravity-true rate as the camera can be set, and the gravity that remains.
    ///
    /// The rate is rounded to the camera's step and held at its highest; the ratio is for the rate that can be set.
    nearest_rate(NearestRate {
        /// Frames a second on screen.
        base_fps: f64 = Above(0.0); usual 24.0,
        /// How many times smaller the model is.
        scale_denominator: f64 = Above(0.0); usual 24.0,
        /// Step between the rates that the camera offers.
        camera_rate_step_fps: f64 = Above(0.0); default 1.0,
        /// Highest rate of the camera in this mode.
        camera_max_fps: f64 = Above(0.0); usual 120.0,
    }) -> SettableRate {
        /// Frames a second to set.
        shoot_fps: f64,
        /// Apparent over true gravity at that rate.
        gravity_ratio: f64,
        /// Times faster than the screen.
        rate_factor_k: f64,
    }
    because nearest_rate_because
    source "Froude similarity", Confirmed
}

/// The base rate, exact when it was given as a fraction.
fn base_rate(i: &Fall) -> Result<f64, Fault> {
    let missing = |field: &str, problem: &str| Err(Fault::new(field, FaultKind::Missing, problem));
    match (i.base_fps, i.base_fps_num, i.base_fps_den) {
        (_, Some(numerator), Some(denominator)) => Ok(numerator / denominator),
        (_, Some(_), None) => missing(
            "base_fps_den",
            "The denominator of the base rate is needed too.",
        ),
        (_, None, Some(_)) => missing(
            "base_fps_num",
            "The numerator of the base rate is needed too.",
        ),
        (Some(typed), None, None) => Ok(exact_rate(typed)),
        (None, None, None) => missing("base_fps", "Base rate is needed."),
    }
}

fn gravity_true_rate(i: &Fall, warnings: &mut Warnings) -> Result<Rate, Fault> {
    note_scale(i.scale_denominator, warnings);
    let rate_factor_k = i.scale_denominator.sqrt();
    Ok(Rate {
        shoot_fps: base_rate(i)? * rate_factor_k,
        rate_factor_k,
    })
}

fn gravity_true_rate_because(i: &Fall, a: &Rate) -> String {
    let base = match (i.base_fps_num, i.base_fps_den) {
        (Some(numerator), Some(denominator)) => {
            format!("{} ÷ {}", given(numerator), given(denominator))
        }
        _ => given(a.shoot_fps / a.rate_factor_k),
    };
    let (scale, rate) = (given(i.scale_denominator), found(a.shoot_fps));
    format!("{base} × √{scale} = {rate} frames a second")
}

fn model_speed(i: &ModelSpeed, warnings: &mut Warnings) -> ModelSpeedFound {
    note_scale(i.scale_denominator, warnings);
    ModelSpeedFound {
        model_speed_mps: i.story_speed_mps * i.rate_factor_k / i.scale_denominator,
    }
}

fn plate_height(i: &PlateHeight, warnings: &mut Warnings) -> PlateHeightFound {
    note_scale(i.scale_denominator, warnings);
    PlateHeightFound {
        plate_camera_height_m: i.model_camera_height_m * i.scale_denominator,
    }
}

/// Apparent over true gravity, S/k², with the doubt when it shows.
fn gravity_ratio(scale_denominator: f64, rate_factor_k: f64, warnings: &mut Warnings) -> f64 {
    let ratio = scale_denominator / rate_factor_k.powi(2);
    warnings.add_if(!GRAVITY_RATIO_GOOD.contains(&ratio), "gravity_off");
    ratio
}

fn apparent_gravity(i: &ApparentGravity, warnings: &mut Warnings) -> ApparentGravityFound {
    note_scale(i.scale_denominator, warnings);
    let rate_factor_k = exact_rate(i.shoot_fps) / exact_rate(i.base_fps);
    let gravity_ratio = gravity_ratio(i.scale_denominator, rate_factor_k, warnings);
    ApparentGravityFound {
        rate_factor_k,
        apparent_gravity_mps2: GRAVITY_MPS2 * gravity_ratio,
        gravity_ratio,
        apparent_size_ratio: 1.0 / gravity_ratio,
    }
}

fn shot_conversion(i: &ShotConversion, warnings: &mut Warnings) -> ShotOnStage {
    note_scale(i.scale_denominator, warnings);
    let base_fps = exact_rate(i.base_fps);
    let k = exact_rate(i.shoot_fps) / base_fps;
    gravity_ratio(i.scale_denominator, k, warnings);
    ShotOnStage {
        model_speed_mps: i.story_speed_mps * k / i.scale_denominator,
        stage_duration_s: i.screen_duration_s / k,
        model_travel_m: i.story_speed_mps * i.screen_duration_s / i.scale_denominator,
        frames: i.screen_duration_s * base_fps,
    }
}

fn convert_acceleration(i: &ConvertAcceleration, warnings: &mut Warnings) -> ModelAcceleration {
    note_scale(i.scale_denominator, warnings);
    ModelAcceleration {
        model_acceleration_mps2: i.story_acceleration_mps2 * i.rate_factor_k.powi(2)
            / i.scale_denominator,
    }
}

fn convert_angular_rate(i: &ConvertAngularRate, _: &mut Warnings) -> ModelAngularRate {
    ModelAngularRate {
        model_angular_rate_deg_per_s: i.story_angular_rate_deg_per_s * i.rate_factor_k,
    }
}

fn nearest_rate(i: &NearestRate, warnings: &mut Warnings) -> SettableRate {
    note_scale(i.scale_denominator, warnings);
    let base_fps = exact_rate(i.base_fps);
    let steps = (base_fps * i.scale_denominator.sqrt() / i.camera_rate_step_fps)
        .round()
        .max(1.0);
    let shoot_fps = (steps * i.camera_rate_step_fps).min(i.camera_max_fps);
    let rate_factor_k = shoot_fps / base_fps;
    SettableRate {
        shoot_fps,
        gravity_ratio: gravity_ratio(i.scale_denominator, rate_factor_k, warnings),
        rate_factor_k,
    }
}

fn nearest_rate_because(i: &NearestRate, a: &SettableRate) -> String {
    let base_fps = exact_rate(i.base_fps);
    let wanted = found(base_fps * i.scale_denominator.sqrt());
    format!(
        "{} × √{} = {wanted} frames a second. The camera can be set to {}, and things fall {} times as heavily.",
        given(base_fps),
        given(i.scale_denominator),
        given(a.shoot_fps),
        found(a.gravity_ratio)
    )
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::Calculate;
    use proptest::prelude::*;

    fn fall(base_fps: f64, scale_denominator: f64) -> Fall {
        Fall {
            base_fps: Some(base_fps),
            base_fps_num: None,
            base_fps_den: None,
            scale_denominator,
        }
    }

    #[test]
    fn a_quarter_scale_runs_at_double_rate() {
        let rate = fall(24.0, 4.0).work().expect("in range");
        assert!((rate.shoot_fps - 48.0).abs() < 1e-12);
        assert_eq!(rate.because, "24 × √4 = 48 frames a second");
        assert!(rate.warnings.is_empty());
    }

    #[test]
    fn a_model_larger_than_life_is_noted() {
        assert_eq!(
            fall(24.0, 0.5).work().expect("in range").warnings,
            ["oversize_model"]
        );
    }

    #[test]
    fn every_bad_input_is_named_at_once() {
        let faults = fall(-1.0, f64::NAN).work().expect_err("refused");
        let named: Vec<_> = faults
            .iter()
            .map(|fault| (fault.field.as_str(), fault.kind.as_str()))
            .collect();
        assert_eq!(
            named,
            [
                ("base_fps", "not_positive"),
                ("scale_denominator", "not_finite")
            ]
        );
    }

    #[test]
    fn half_a_fraction_is_no_rate() {
        let half = Fall {
            base_fps: None,
            base_fps_num: Some(24_000.0),
            base_fps_den: None,
            scale_denominator: 24.0,
        };
        assert_eq!(half.work().expect_err("refused")[0].field, "base_fps_den");
    }

    #[test]
    fn a_camera_at_its_limit_says_gravity_is_off() {
        let rate = NearestRate {
            base_fps: 24.0,
            scale_denominator: 48.0,
            camera_rate_step_fps: 1.0,
            camera_max_fps: 120.0,
        };
        let rate = rate.work().expect("in range");
        assert!((rate.shoot_fps - 120.0).abs() < 1e-12);
        assert_eq!(rate.warnings, ["gravity_off"]);
    }

    proptest! {
        #[test]
        fn at_the_true_rate_gravity_is_true(base_fps in 10.0..60.0, scale_denominator in 1.0..200.0) {
            let shoot_fps = fall(base_fps, scale_denominator).work().expect("in range").shoot_fps;
            let seen = ApparentGravity { base_fps, scale_denominator, shoot_fps }.work().expect("in range");
            prop_assert!((seen.gravity_ratio - 1.0).abs() < 1e-4);
        }

        #[test]
        fn travel_is_speed_times_time(speed in 0.0..30.0, scale in 1.0..100.0, shoot_fps in 24.0..300.0) {
            let shot = ShotConversion {
                base_fps: 25.0, scale_denominator: scale, shoot_fps, story_speed_mps: speed, screen_duration_s: 4.0,
            }.work().expect("in range");
            prop_assert!((shot.model_travel_m - shot.model_speed_mps * shot.stage_duration_s).abs() < 1e-9);
        }
    }
}
