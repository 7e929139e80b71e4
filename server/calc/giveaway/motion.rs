//! What moves wrongly: falling, blur, haze, arms and swings.

use super::{MM_PER_M, grade_amount, grade_ratio};
use crate::calculation::calculation;
use crate::drive::travel::sagitta_m;
use crate::fault::Warnings;
use crate::figure::{carried, found, given};
use crate::scale_time::{GRAVITY_MPS2, note_scale};
use std::f64::consts::TAU;

calculation! { "giveaway";
    /// How wrong things fall, and the size that this suggests.
    ///
    /// Apparent over true gravity, S/k². Good from 0.8 to 1.25, watch from 0.5 to 2 (common practice).
    gravity(Gravity {
        /// How many times smaller the model is.
        scale_denominator: f64 = Above(0.0); usual 24.0,
        /// Shooting rate over base rate.
        rate_factor_k: f64 = Above(0.0); usual 4.0,
    }) -> GravitySeen {
        /// Apparent over true gravity.
        gravity_ratio: f64,
        /// Size that the fall suggests, over the size it pretends.
        size_reads_as_fraction: f64,
        /// How that is seen; common practice, no source.
        grade: &'static str,
    }
    because "{scale_denominator} ÷ {rate_factor_k}^2 = {gravity_ratio} of true gravity, so it reads as {size_reads_as_fraction} of its size: {grade}"
    source "similarity of falls; viewers and falls: Perception and Psychophysics 58(7), 1996", Confirmed

    /// Blur of a moving model over that of the full-size shot.
    ///
    /// Ratio of the shutter angles × how many times too fast the model runs. Good from 0.7 to 1.4, watch from 0.35 to 2.8
    /// (common practice).
    motion_blur(MotionBlur {
        /// Shutter angle.
        shutter_deg: f64 = AboveUpTo(0.0, 360.0); usual 90.0,
        /// Shutter angle of the shot it pretends to be.
        story_shutter_deg: f64 = AboveUpTo(0.0, 360.0); default 180.0,
        /// Speed of the model over the right speed.
        speed_error_factor: f64 = Above(0.0); default 1.0,
    }) -> BlurSeen {
        /// One blur over the other.
        blur_ratio: f64,
        /// How that is seen; common practice, no source.
        grade: &'static str,
    }
    because "{shutter_deg} ÷ {story_shutter_deg} × {speed_error_factor} = {blur_ratio} of the blur: {grade}"
    source "kinematics and similarity", Confirmed

    /// Speed in the story of haze that drifts on the stage.
    ///
    /// v S/k. Up to 0.3 m/s reads as a gentle current, up to 1 m/s is watched, more reads as wind or smoke (common
    /// practice).
    haze_drift(HazeDrift {
        /// Drift on the stage.
        stage_drift_mps: f64 = AtLeast(0.0); usual 0.05,
        /// How many times smaller the model is.
        scale_denominator: f64 = Above(0.0); usual 24.0,
        /// Shooting rate over base rate.
        rate_factor_k: f64 = Above(0.0); usual 4.899,
    }) -> DriftSeen {
        /// Drift in the story.
        story_drift_mps: f64,
        /// How that is seen; common practice, no source.
        grade: &'static str,
    }
    because "{stage_drift_mps} × {scale_denominator} ÷ {rate_factor_k} = {story_drift_mps} m/s in the story: {grade}"
    source "similarity of speeds", Confirmed

    /// How far the way of a model on an arm is from straight, as the camera sees it.
    ///
    /// Less than one photosite is straight, up to five is watched (common practice), unless a turn is wanted: then the
    /// turn's radius in the story counts.
    arc_deviation(ArcDeviation {
        /// Length of the arm, axis to model.
        arm_radius_m: f64 = Above(0.0); usual 1.2,
        /// Speed of the model.
        tangential_speed_mps: f64 = Above(0.0); usual 0.4,
        /// Stage seconds that are used.
        used_stage_seconds: f64 = Above(0.0); usual 1.633,
        /// Image size over object size.
        magnification: f64 = Above(0.0); usual 0.03,
        /// Pitch of the photosites.
        photosite_mm: f64 = Above(0.0); usual 0.0055,
        /// How many times smaller the model is.
        scale_denominator: f64 = Above(0.0); usual 24.0,
    }) -> ArcSeen {
        /// Bulge of the way on the sensor.
        sagitta_photosites: f64,
        /// Bulge of the way in the story.
        sagitta_story_m: f64,
        /// Radius of the turn in the story.
        turn_radius_story_m: f64,
        /// How that is seen; common practice, no source.
        grade: &'static str,
    }
    because arc_deviation_because
    source "geometry of the circle", Confirmed

    /// How slowly a hung model swings on screen, and the line that this suggests.
    ///
    /// k²L. Against the line that the story has: good from 0.8 to 1.25, watch from 0.5 to 2 (common practice). A craft
    /// that hangs on nothing must not swing at all: every swing of it is seen.
    swing_period(SwingPeriod {
        /// Pivot to centre of mass.
        line_length_m: f64 = Above(0.0); usual 2.0,
        /// Shooting rate over base rate.
        rate_factor_k: f64 = Above(0.0); usual 4.899,
        /// Line that the story has, if it has one.
        story_line_m: Option<f64> = Above(0.0),
    }) -> SwingSeen {
        /// There and back, on screen.
        screen_period_s: f64,
        /// Line that this suggests.
        suggested_line_m: f64,
        /// How that is seen; common practice, no source.
        grade: &'static str,
    }
    because "{rate_factor_k}^2 × {line_length_m} = {suggested_line_m} m of line is what the swing suggests, with {screen_period_s} s there and back: {grade}"
    source "similarity of pendulum motion", Confirmed
}

fn gravity(i: &Gravity, warnings: &mut Warnings) -> GravitySeen {
    note_scale(i.scale_denominator, warnings);
    let gravity_ratio = i.scale_denominator / i.rate_factor_k.powi(2);
    let grade = grade_ratio(gravity_ratio, (0.8, 1.25), (0.5, 2.0));
    warnings.add_if(grade != "good", "gravity_off");
    GravitySeen {
        gravity_ratio,
        size_reads_as_fraction: 1.0 / gravity_ratio,
        grade,
    }
}

fn motion_blur(i: &MotionBlur, _: &mut Warnings) -> BlurSeen {
    let blur_ratio = i.shutter_deg / i.story_shutter_deg * i.speed_error_factor;
    BlurSeen {
        blur_ratio,
        grade: grade_ratio(blur_ratio, (0.7, 1.4), (0.35, 2.8)),
    }
}

fn haze_drift(i: &HazeDrift, warnings: &mut Warnings) -> DriftSeen {
    note_scale(i.scale_denominator, warnings);
    let story_drift_mps = i.stage_drift_mps * i.scale_denominator / i.rate_factor_k;
    DriftSeen {
        story_drift_mps,
        grade: grade_amount(story_drift_mps, 0.3, 1.0),
    }
}

/// How far the arm turns.
fn turn_rad(i: &ArcDeviation) -> f64 {
    i.tangential_speed_mps * i.used_stage_seconds / i.arm_radius_m
}

fn arc_deviation(i: &ArcDeviation, warnings: &mut Warnings) -> ArcSeen {
    note_scale(i.scale_denominator, warnings);
    let bulge_m = sagitta_m(i.arm_radius_m, turn_rad(i));
    let sagitta_photosites = bulge_m * MM_PER_M * i.magnification / i.photosite_mm;
    let grade = if sagitta_photosites < 1.0 {
        "good"
    } else {
        grade_amount(sagitta_photosites, 0.0, 5.0)
    };
    ArcSeen {
        sagitta_photosites,
        sagitta_story_m: bulge_m * i.scale_denominator,
        turn_radius_story_m: i.arm_radius_m * i.scale_denominator,
        grade,
    }
}

fn arc_deviation_because(i: &ArcDeviation, a: &ArcSeen) -> String {
    format!(
        "2000 × {} × sin({}°)^2 × {} ÷ {} = {} photosites of bulge, by a quarter of the turn: {}. In the story it is {} m, on a turn of {} m radius.",
        given(i.arm_radius_m),
        // whole half turns leave the square of the sine as it is
        carried((turn_rad(i) / 4.0).to_degrees() % 180.0),
        given(i.magnification),
        given(i.photosite_mm),
        found(a.sagitta_photosites),
        a.grade,
        found(a.sagitta_story_m),
        found(a.turn_radius_story_m)
    )
}

fn swing_period(i: &SwingPeriod, _: &mut Warnings) -> SwingSeen {
    let suggested_line_m = i.rate_factor_k.powi(2) * i.line_length_m;
    SwingSeen {
        screen_period_s: i.rate_factor_k * TAU * (i.line_length_m / GRAVITY_MPS2).sqrt(),
        suggested_line_m,
        grade: i.story_line_m.map_or("visible", |line_m| {
            grade_ratio(suggested_line_m / line_m, (0.8, 1.25), (0.5, 2.0))
        }),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::Calculate;

    #[test]
    fn falls_are_graded_and_told() {
        for (k, grade) in [
            (4.899, "good"),
            (4.0, "watch"),
            (2.0, "visible"),
            (10.0, "visible"),
        ] {
            let fall = Gravity {
                scale_denominator: 24.0,
                rate_factor_k: k,
            };
            let fall = fall.work().expect("in range");
            assert_eq!(fall.grade, grade, "{k}");
            assert_eq!(fall.warnings.is_empty(), grade == "good");
        }
    }

    #[test]
    fn drift_blur_and_arcs_have_their_edges() {
        let drift = |stage_drift_mps| {
            HazeDrift {
                stage_drift_mps,
                scale_denominator: 10.0,
                rate_factor_k: 1.0,
            }
            .work()
            .expect("in range")
            .grade
        };
        assert_eq!(
            [drift(0.03), drift(0.1), drift(0.101)],
            ["good", "watch", "visible"]
        );
        let blur = |shutter_deg| {
            MotionBlur {
                shutter_deg,
                story_shutter_deg: 180.0,
                speed_error_factor: 1.0,
            }
            .work()
            .expect("in range")
            .grade
        };
        assert_eq!(
            [blur(172.8), blur(90.0), blur(45.0)],
            ["good", "watch", "visible"]
        );
        let arc = |arm_radius_m: f64| {
            ArcDeviation {
                arm_radius_m,
                tangential_speed_mps: 0.1,
                used_stage_seconds: 1.0,
                magnification: 0.01,
                photosite_mm: 0.005,
                scale_denominator: 24.0,
            }
            .work()
            .expect("in range")
            .grade
        };
        assert_eq!([arc(3.0), arc(1.0), arc(0.4)], ["good", "watch", "visible"]);
    }

    #[test]
    fn what_hangs_on_nothing_must_not_swing() {
        let swing = |story_line_m| {
            SwingPeriod {
                line_length_m: 2.0,
                rate_factor_k: 4.0,
                story_line_m,
            }
            .work()
            .expect("in range")
            .grade
        };
        assert_eq!(
            [
                swing(Some(30.0)),
                swing(Some(60.0)),
                swing(Some(100.0)),
                swing(None)
            ],
            ["good", "watch", "visible", "visible"]
        );
    }
}
