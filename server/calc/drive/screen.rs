//! Whether a move reads as full size: parallax, blur and strobing.

use crate::calculation::calculation;
use crate::fault::{Fault, Warnings};
use crate::figure::{carried, found, given};
use crate::focus::magnification;
use crate::scale_time::{exact_rate, note_scale};

/// Millimetres in a metre.
const MM_PER_M: f64 = 1e3;
/// Frames on screen that an object should take across: seven seconds at 24; common practice.
const SMOOTH_FRAMES: f64 = 168.0;
/// Frames on screen below which it strobes plainly: four seconds at 24; common practice, no source.
const STROBING_FRAMES: f64 = 96.0;
/// Shutter angle for which the rule is made.
const RULE_SHUTTER_DEG: f64 = 180.0;
/// A whole turn of the shutter.
const FULL_TURN_DEG: f64 = 360.0;

calculation! { "drive";
    /// How far two planes shift on the sensor in each frame of a sideways move, and against each other.
    ///
    /// v f(1 + m/P)/(z p rate). It depends on speed over distance alone, so it equals the full-size shot when the speed
    /// is scaled by k/S.
    parallax_rate(ParallaxRate {
        /// Speed of the camera, sideways.
        dolly_speed_mps: f64 = Above(0.0); usual 0.102,
        /// Focal length of the lens.
        focal_length_mm: f64 = Above(0.0); usual 35.0,
        /// Distance of the plane of focus from the entrance pupil.
        focus_distance_from_entrance_pupil_mm: f64 = Above(0.0); usual 1200.0,
        /// Distance of the near plane from the entrance pupil.
        near_plane_mm: f64 = Above(0.0); usual 900.0,
        /// Distance of the far plane from the entrance pupil.
        far_plane_mm: f64 = Above(0.0); usual 2400.0,
        /// Pitch of the photosites.
        photosite_mm: f64 = Above(0.0); usual 0.0055,
        /// Frames a second in camera.
        fps: f64 = Above(0.0); usual 117.576,
        /// Exit pupil over entrance pupil.
        pupil_magnification: f64 = Above(0.0); default 1.0,
    }) -> Parallax {
        /// Shift of the near plane.
        near_shift_photosites_per_frame: f64,
        /// Shift of the far plane.
        far_shift_photosites_per_frame: f64,
        /// Shift of one against the other.
        parallax_photosites_per_frame: f64,
    }
    because parallax_rate_because
    source "central projection, agreed by projected points over 100 frames", Confirmed

    /// Blur of a moving model in one frame, against that of the full-size shot.
    ///
    /// Speed scaled by k/S and the same angle of view leave only the ratio of the shutter angles: scale and rate cancel.
    motion_blur(MotionBlur {
        /// Speed in the story, across the frame.
        story_speed_mps: f64 = Above(0.0); usual 5.0,
        /// How many times smaller the model is.
        scale_denominator: f64 = Above(0.0); usual 24.0,
        /// Frames a second on screen.
        base_fps: f64 = Above(0.0); usual 24.0,
        /// Frames a second in camera.
        shoot_fps: f64 = Above(0.0); usual 117.576,
        /// Shutter angle.
        shutter_deg: f64 = AboveUpTo(0.0, 360.0); default 180.0; usual 90.0,
        /// Focal length of the lens.
        focal_length_mm: f64 = Above(0.0); usual 35.0,
        /// Distance of the plane of focus from the entrance pupil.
        focus_distance_from_entrance_pupil_mm: f64 = Above(0.0); usual 1500.0,
        /// Exit pupil over entrance pupil.
        pupil_magnification: f64 = Above(0.0); default 1.0,
        /// Pitch of the photosites.
        photosite_mm: f64 = Above(0.0); usual 0.0055,
        /// Shutter angle of the shot it pretends to be.
        story_shutter_deg: f64 = AboveUpTo(0.0, 360.0); default 180.0,
    }) -> Blur {
        /// Blur on the model.
        blur_photosites: f64,
        /// Blur of the full-size shot.
        story_blur_photosites: f64,
        /// One over the other.
        blur_ratio: f64,
        /// Blur over the step from frame to frame.
        blur_to_step_ratio: f64,
    }
    because motion_blur_because
    source "kinematics and similarity, agreed by both exposures worked out apart", Confirmed

    /// How fast an object may cross the frame without strobing.
    ///
    /// Seven seconds at 24 frames a second and 180°, 168 frames. A rule for quality, not physics: bright, hard displays
    /// want it slower, and haze forgives.
    strobe_limit(StrobeLimit {
        /// Frames a second on screen.
        base_fps: f64 = Above(0.0); usual 24.0,
        /// Seconds on screen to cross the frame.
        crossing_screen_seconds: f64 = Above(0.0); default 7.0,
    }) -> StrobeLimitFound {
        /// Frames to cross in.
        limit_crossing_frames: f64,
        /// Step from frame to frame, as a share of the frame.
        max_step_fraction_of_frame_per_frame: f64,
    }
    because strobe_limit_because
    source "seven-second rule, widely published", CommonPractice

    /// Whether a model that crosses the frame strobes.
    ///
    /// At least 168 frames on screen (7 s at 24) is ok, 96 to 168 watch, less visible; a shutter of less than 180° is one
    /// grade worse. Haze softens edges and forgives.
    strobe_check(StrobeCheck {
        /// Speed of the model, across the frame.
        model_speed_mps: f64 = Above(0.0); usual 0.4,
        /// Width of the frame at the model.
        frame_width_m: f64 = Above(0.0); usual 0.8,
        /// Frames a second in camera.
        shoot_fps: f64 = Above(0.0); usual 117.576,
        /// Frames a second on screen.
        base_fps: f64 = Above(0.0); usual 24.0,
        /// Shutter angle.
        shutter_deg: f64 = AboveUpTo(0.0, 360.0); default 180.0,
    }) -> Strobing {
        /// Seconds on screen to cross the frame.
        crossing_screen_seconds: f64,
        /// How that is seen.
        grade: &'static str,
    }
    because strobe_check_because
    source "seven-second rule, widely published", CommonPractice
}

/// Image distance over object distance in the plane of focus, for a lens by its entrance pupil.
fn image_distance_mm(i: &ParallaxRate) -> Result<f64, Fault> {
    let m = magnification(
        i.focal_length_mm,
        i.pupil_magnification,
        i.focus_distance_from_entrance_pupil_mm,
        "focus_distance_from_entrance_pupil_mm",
    )?;
    Ok(i.focal_length_mm * (1.0 + m / i.pupil_magnification))
}

fn parallax_rate(i: &ParallaxRate, _: &mut Warnings) -> Result<Parallax, Vec<Fault>> {
    if i.near_plane_mm >= i.far_plane_mm {
        return Err(Fault::reversed("near_plane_mm", "far_plane_mm"));
    }
    let step_mm = i.dolly_speed_mps * MM_PER_M / exact_rate(i.fps);
    let shift = step_mm * image_distance_mm(i)? / i.photosite_mm;
    Ok(Parallax {
        near_shift_photosites_per_frame: shift / i.near_plane_mm,
        far_shift_photosites_per_frame: shift / i.far_plane_mm,
        parallax_photosites_per_frame: shift * (i.far_plane_mm - i.near_plane_mm)
            / (i.near_plane_mm * i.far_plane_mm),
    })
}

fn parallax_rate_because(i: &ParallaxRate, a: &Parallax) -> String {
    format!(
        "1000 × {} × {} ÷ ({} × {} × {}) = {} photosites a frame for the near plane, from the image distance in mm. The far plane shifts by {}, so they part by {}.",
        given(i.dolly_speed_mps),
        carried(image_distance_mm(i).unwrap_or(f64::NAN)),
        given(i.near_plane_mm),
        given(i.photosite_mm),
        carried(exact_rate(i.fps)),
        found(a.near_shift_photosites_per_frame),
        found(a.far_shift_photosites_per_frame),
        found(a.parallax_photosites_per_frame)
    )
}

fn motion_blur(i: &MotionBlur, warnings: &mut Warnings) -> Result<Blur, Fault> {
    note_scale(i.scale_denominator, warnings);
    let m = magnification(
        i.focal_length_mm,
        i.pupil_magnification,
        i.focus_distance_from_entrance_pupil_mm,
        "focus_distance_from_entrance_pupil_mm",
    )?;
    // what one screen second of the story moves on the sensor, the same for model and full size
    let screen_second = i.story_speed_mps / i.scale_denominator * MM_PER_M * m / i.photosite_mm;
    let each_frame = screen_second / exact_rate(i.base_fps);
    Ok(Blur {
        blur_photosites: each_frame * i.shutter_deg / FULL_TURN_DEG,
        story_blur_photosites: each_frame * i.story_shutter_deg / FULL_TURN_DEG,
        blur_ratio: i.shutter_deg / i.story_shutter_deg,
        blur_to_step_ratio: i.shutter_deg / FULL_TURN_DEG,
    })
}

fn motion_blur_because(i: &MotionBlur, a: &Blur) -> String {
    format!(
        "{} ÷ {} = {} times the blur of the full-size shot, at any scale and rate. That is {} photosites against {}.",
        given(i.shutter_deg),
        given(i.story_shutter_deg),
        found(a.blur_ratio),
        found(a.blur_photosites),
        found(a.story_blur_photosites)
    )
}

fn strobe_limit(i: &StrobeLimit, _: &mut Warnings) -> StrobeLimitFound {
    let limit_crossing_frames = exact_rate(i.base_fps) * i.crossing_screen_seconds;
    StrobeLimitFound {
        limit_crossing_frames,
        max_step_fraction_of_frame_per_frame: 1.0 / limit_crossing_frames,
    }
}

fn strobe_limit_because(i: &StrobeLimit, a: &StrobeLimitFound) -> String {
    format!(
        "{} × {} = {} frames to cross in, a step of {} of the frame each",
        carried(exact_rate(i.base_fps)),
        given(i.crossing_screen_seconds),
        found(a.limit_crossing_frames),
        found(a.max_step_fraction_of_frame_per_frame)
    )
}

/// Grades of strobing, best first.
const STROBE_GRADES: [&str; 3] = ["ok", "watch", "visible"];

fn strobe_check(i: &StrobeCheck, _: &mut Warnings) -> Strobing {
    let base_fps = exact_rate(i.base_fps);
    let crossing_screen_seconds =
        i.frame_width_m / i.model_speed_mps * exact_rate(i.shoot_fps) / base_fps;
    // a crossing of just seven seconds is on the good side of rounding
    let frames = crossing_screen_seconds * base_fps * (1.0 + 1e-12);
    let by_speed = usize::from(frames < SMOOTH_FRAMES) + usize::from(frames < STROBING_FRAMES);
    let by_shutter = usize::from(i.shutter_deg < RULE_SHUTTER_DEG);
    Strobing {
        crossing_screen_seconds,
        grade: STROBE_GRADES[(by_speed + by_shutter).min(2)],
    }
}

fn strobe_check_because(i: &StrobeCheck, a: &Strobing) -> String {
    format!(
        "{} ÷ {} × {} ÷ {} = {} s on screen to cross the frame: {}",
        given(i.frame_width_m),
        given(i.model_speed_mps),
        carried(exact_rate(i.shoot_fps)),
        carried(exact_rate(i.base_fps)),
        found(a.crossing_screen_seconds),
        a.grade
    )
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{Calculate, FaultKind};

    fn grade(model_speed_mps: f64, shutter_deg: f64) -> &'static str {
        StrobeCheck {
            model_speed_mps,
            frame_width_m: 0.7,
            shoot_fps: 24.0,
            base_fps: 24.0,
            shutter_deg,
        }
        .work()
        .expect("in range")
        .grade
    }

    #[test]
    fn seven_and_four_seconds_part_the_grades_and_a_short_shutter_costs_one() {
        for (speed, shutter, wanted) in [
            (0.1, 180.0, "ok"),
            (0.1, 172.8, "watch"),
            (0.11, 180.0, "watch"),
            (0.175, 180.0, "watch"),
            (0.18, 180.0, "visible"),
            (0.18, 90.0, "visible"),
        ] {
            assert_eq!(grade(speed, shutter), wanted, "{speed} {shutter}");
        }
    }

    #[test]
    fn planes_the_wrong_way_round_are_refused() {
        let reversed = ParallaxRate {
            dolly_speed_mps: 0.1,
            focal_length_mm: 35.0,
            focus_distance_from_entrance_pupil_mm: 1200.0,
            near_plane_mm: 900.0,
            far_plane_mm: 900.0,
            photosite_mm: 0.0055,
            fps: 24.0,
            pupil_magnification: 1.0,
        };
        let faults = reversed.work().expect_err("refused");
        assert_eq!(
            (faults[0].kind, faults.len()),
            (FaultKind::RangeReversed, 2)
        );
    }

    #[test]
    fn a_full_turn_blurs_every_step_whole() {
        let blur = MotionBlur {
            story_speed_mps: 5.0,
            scale_denominator: 24.0,
            base_fps: 24.0,
            shoot_fps: 117.576,
            shutter_deg: 360.0,
            focal_length_mm: 35.0,
            focus_distance_from_entrance_pupil_mm: 1500.0,
            pupil_magnification: 1.0,
            photosite_mm: 0.0055,
            story_shutter_deg: 180.0,
        };
        let blur = blur.work().expect("in range");
        assert!(
            (blur.blur_to_step_ratio - 1.0).abs() < 1e-12 && (blur.blur_ratio - 2.0).abs() < 1e-12
        );
    }
}
