//! The way as the camera sees it: an arm's turn, what slides past what, and whether it strobes.

use super::{Kind, Told, common, figure, kind, speed_mm_per_s, step, time, used_mm};
use crate::{
    plan::setups::{
        facts::{Facts, Gap},
        figures::lens,
    },
    web::parts::Figure,
};
use stillair_calc::{
    Calculate as _, Worked,
    drive::{ParallaxRate, StrobeCheck, TurntableArm},
    figure::{found, given, significant},
    giveaway::{ArcDeviation, motion::ArcSeen},
};

/// Seconds on the screen that a crossing should take at 24 frames a second; widely published, common practice.
const SMOOTH_S: f64 = 7.0;
/// Frames a second for which that is said.
const SMOOTH_FPS: f64 = 24.0;
/// Of a speed, what lies across the picture counts as nothing under this share.
const HARDLY: f64 = 1e-6;

/// How the way of a turntable bulges against a straight one.
///
/// # Errors
/// What is not written, or no turntable.
pub fn arc(facts: &Facts<'_>) -> Result<Worked<ArcSeen>, Gap> {
    if kind(facts) != Some(Kind::Turntable) {
        return Err(facts.choose("driven"));
    }
    let depth_mm = common::subject_depth_mm(facts)?;
    Ok(ArcDeviation {
        arm_radius_m: facts.get("arm_radius_mm")? / 1000.0,
        tangential_speed_mps: speed_mm_per_s(facts)? / 1000.0,
        used_stage_seconds: time::run_s(facts)?,
        magnification: common::magnification_at(facts, depth_mm)?,
        photosite_mm: common::photosite_mm(facts)?,
        scale_denominator: facts.get("scale_denominator")?,
    }
    .work()?)
}

/// Heading in the middle of the used part: a turntable turns to the left of its path.
fn heading_deg(facts: &Facts<'_>) -> Result<f64, Gap> {
    let heading = facts.get("path_heading_deg")?;
    if kind(facts) == Some(Kind::Turntable) {
        let turned = (used_mm(facts)? / facts.get("arm_radius_mm")?).to_degrees();
        return Ok(heading - turned / 2.0);
    }
    Ok(heading)
}

/// What of the speed lies across the picture, and how far off the axis it runs, in degrees.
fn across_mm_per_s(facts: &Facts<'_>) -> Result<(f64, f64), Gap> {
    let share = heading_deg(facts)?.to_radians().sin().abs();
    if share < HARDLY {
        return Err(Gap::Impossible(
            "It runs along the axis: nothing crosses the frame.".into(),
        ));
    }
    Ok((
        speed_mm_per_s(facts)? * share,
        share.min(1.0).asin().to_degrees(),
    ))
}

pub(super) fn turntable(facts: &Facts<'_>) -> Vec<Figure> {
    vec![
        figure(facts, "arm", "2", "Heading turns by", "°", |f| {
            let worked = TurntableArm {
                arm_radius_m: f.get("arm_radius_mm")? / 1000.0,
                tangential_speed_mps: speed_mm_per_s(f)? / 1000.0,
                used_stage_seconds: time::run_s(f)?,
            }
            .work()?;
            Ok(Told::by(
                significant(worked.heading_change_deg, 2),
                &worked,
                "Over the used part.",
            ))
        }),
        figure(
            facts,
            "sagitta",
            "2",
            "Its way bulges by",
            "photosites",
            |f| {
                let worked = arc(f)?;
                let mut told = Told::by(
                    significant(worked.sagitta_photosites, 2),
                    &worked,
                    format!(
                        "{} m at full size. Under one photosite reads as straight.",
                        significant(worked.sagitta_story_m, 2)
                    ),
                );
                if worked.sagitta_photosites > 1.0 {
                    told.over = format!(
                        "It is seen to turn. On an arm of {} mm it would read as straight.",
                        found(
                            (f.get("arm_radius_mm")? * worked.sagitta_photosites / 10.0).ceil()
                                * 10.0
                        )
                    );
                }
                Ok(told)
            },
        ),
        figure(
            facts,
            "story-turn",
            "2",
            "Turns at full size on",
            "m",
            |f| {
                let (scale, arm) = (f.get("scale_denominator")?, f.get("arm_radius_mm")?);
                let shown = significant(scale * arm / 1000.0, 3);
                Ok(Told::new(
                    shown.clone(),
                    format!("{} × {} ÷ 1000 = {shown}", given(scale), given(arm)),
                    "The arm times the scale: the circle that the story’s craft would be turning on.",
                    "geometry of the circle",
                ))
            },
        ),
    ]
}

/// How far the nearest piece slides past the farthest in each frame of a dolly's move.
pub(super) fn parallax(facts: &Facts<'_>) -> Figure {
    figure(
        facts,
        "parallax",
        "",
        "Near slides past far by",
        "photosites a frame",
        |f| {
            let o = lens::optics(f)?;
            let (across, off_axis) = across_mm_per_s(f)?;
            let worked = ParallaxRate {
                dolly_speed_mps: across / 1000.0,
                focal_length_mm: o.focal_length_mm,
                focus_distance_from_entrance_pupil_mm: o.focus_from_pupil_mm,
                near_plane_mm: f.get("nearest_piece_mm")? - o.pupil_from_mark_mm,
                far_plane_mm: f.get("farthest_piece_mm")? - o.pupil_from_mark_mm,
                photosite_mm: common::photosite_mm(f)?,
                fps: f.get("shoot_fps")?,
                pupil_magnification: o.pupil_magnification,
            };
            let found = worked.work()?;
            let shown = significant(found.parallax_photosites_per_frame, 3);
            Ok(Told::new(
                shown.clone(),
                format!(
                    "{} × sin({}°) × {} × (1 ÷ {} − 1 ÷ {}) ÷ {} ÷ {} = {shown}",
                    step(speed_mm_per_s(f)?),
                    step(off_axis),
                    step(o.projection_distance_mm()),
                    step(worked.near_plane_mm),
                    step(worked.far_plane_mm),
                    step(worked.photosite_mm),
                    given(worked.fps)
                ),
                "The nearest piece against the farthest. Speed over distance alone: the full-size shot has the same.",
                found.source,
            ))
        },
    )
}

/// How long it takes across the frame, on the screen.
pub(super) fn crossing(facts: &Facts<'_>) -> Figure {
    figure(facts, "strobe", "2", "Crosses the frame in", "s", |f| {
        let depth_mm = common::subject_depth_mm(f)?;
        let width_mm =
            f.get("sensor_width_mm")? * f.get("squeeze")? / common::magnification_at(f, depth_mm)?;
        let (across, off_axis) = across_mm_per_s(f)?;
        let (shoot, base) = (f.get("shoot_fps")?, f.base_fps());
        let shutter = f.get("shutter_deg")?;
        let worked = StrobeCheck {
            model_speed_mps: across / 1000.0,
            frame_width_m: width_mm / 1000.0,
            shoot_fps: shoot,
            base_fps: base,
            shutter_deg: shutter,
        }
        .work()?;
        let screen_s = worked.crossing_screen_seconds;
        let shown = significant(screen_s, 2);
        let smooth_s = SMOOTH_S * SMOOTH_FPS / base;
        let words = format!(
            "On the screen, {} mm of frame {} mm off the pupil. From {} s on edges hold together; a shutter under 180° costs a grade, haze forgives.",
            found(width_mm.round()),
            found(depth_mm.round()),
            significant(smooth_s, 2)
        );
        let mut told = Told::new(
            shown.clone(),
            format!(
                "{} ÷ ({} × sin({}°)) × {} ÷ {} = {shown}",
                step(width_mm),
                step(speed_mm_per_s(f)?),
                step(off_axis),
                given(shoot),
                given(base)
            ),
            words,
            "seven-second rule, widely published; common practice, no source",
        );
        if worked.grade == "visible" {
            told.over = format!(
                "Its edges stutter: {} m/s at full size takes long enough.",
                significant(f.get("story_speed_mps")? * screen_s / smooth_s, 2)
            );
        }
        Ok(told)
    })
}
