//! Time and travel: the rate that keeps falls and swings in size, and how fast and how long the rig runs.

use super::{Told, figure, step};
use crate::{
    plan::setups::facts::{Facts, Gap},
    web::parts::Figure,
};
use stillair_calc::{
    Calculate as _,
    figure::{fixed, found, given, significant},
    scale_time::{ApparentGravity, Fall, ModelSpeed},
};

/// Shooting rate over base rate.
///
/// # Errors
/// The first blank that is missing, or a sentence on what cannot be.
pub fn rate_factor_k(facts: &Facts<'_>) -> Result<f64, Gap> {
    Ok(facts.get("shoot_fps")? / facts.base_fps())
}

/// Speed of the rig on the stage.
///
/// # Errors
/// The first blank that is missing, or a sentence on what cannot be.
pub fn model_speed_mps(facts: &Facts<'_>) -> Result<f64, Gap> {
    let speed = ModelSpeed {
        story_speed_mps: facts.get("story_speed_mps")?,
        scale_denominator: facts.get("scale_denominator")?,
        rate_factor_k: rate_factor_k(facts)?,
    };
    Ok(speed.work()?.model_speed_mps)
}

/// Frames recorded: the length in the cut and a handle at each end.
///
/// # Errors
/// The first blank that is missing, or a sentence on what cannot be.
pub fn frames_recorded(facts: &Facts<'_>) -> Result<f64, Gap> {
    Ok(facts.get("length_frames")? + 2.0 * facts.get("handle_frames")?)
}

/// Seconds on the stage clock that the camera uses.
///
/// # Errors
/// The first blank that is missing, or a sentence on what cannot be.
pub fn run_s(facts: &Facts<'_>) -> Result<f64, Gap> {
    Ok(frames_recorded(facts)? / facts.get("shoot_fps")?)
}

/// What the fall suggests: apparent gravity over real.
///
/// # Errors
/// The first blank that is missing, or a sentence on what cannot be.
pub fn gravity_ratio(facts: &Facts<'_>) -> Result<f64, Gap> {
    let gravity = ApparentGravity {
        base_fps: facts.base_fps(),
        scale_denominator: facts.get("scale_denominator")?,
        shoot_fps: facts.get("shoot_fps")?,
    };
    Ok(gravity.work()?.gravity_ratio)
}

/// The ledger.
pub fn ledger(facts: &Facts<'_>) -> Vec<Figure> {
    [rates(facts), run(facts)].concat()
}

/// The rate that keeps falls and swings in size, and what the chosen one makes of them.
fn rates(facts: &Facts<'_>) -> Vec<Figure> {
    vec![
        figure(facts, "true-rate", "1", "True rate", "fps", |f| {
            let (scale, base) = (f.get("scale_denominator")?, f.base_fps());
            let worked = Fall {
                base_fps: Some(base),
                base_fps_num: None,
                base_fps_den: None,
                scale_denominator: scale,
            }
            .work()?;
            let shown = significant(worked.shoot_fps, 4);
            Ok(Told::new(
                shown.clone(),
                format!("√{} × {} = {shown}", given(scale), given(base)),
                "Root of scale times screen rate: falls and swings keep their size.",
                "Froude similarity",
            ))
        }),
        figure(facts, "stretch", "", "Time stretched", "×", |f| {
            let (shoot, base) = (f.get("shoot_fps")?, f.base_fps());
            let shown = significant(rate_factor_k(f)?, 3);
            let words = format!("One second on the stage is {shown} s on the screen.");
            Ok(Told::new(
                shown.clone(),
                format!("{} ÷ {} = {shown}", given(shoot), given(base)),
                words,
                "",
            ))
        }),
        figure(facts, "gravity", "", "Weight on screen", "×", |f| {
            let (scale, k) = (f.get("scale_denominator")?, rate_factor_k(f)?);
            let shown = significant(gravity_ratio(f)?, 3);
            Ok(Told::new(
                shown.clone(),
                format!("{} ÷ {}^2 = {shown}", given(scale), step(k)),
                "1 is the weight of the full-size thing; above it everything falls too hard and looks small.",
                "Froude similarity",
            ))
        }),
    ]
}

/// What the rig does, and for how long.
fn run(facts: &Facts<'_>) -> Vec<Figure> {
    vec![
        figure(facts, "rig-speed", "2", "Rig speed", "mm/s", |f| {
            let (speed, scale) = (f.get("story_speed_mps")?, f.get("scale_denominator")?);
            let (shoot, base) = (f.get("shoot_fps")?, f.base_fps());
            let shown = found(model_speed_mps(f)? * 1000.0);
            Ok(Told::new(
                shown.clone(),
                format!(
                    "{} × 1000 ÷ {} × {} ÷ {} = {shown}",
                    given(speed),
                    given(scale),
                    given(shoot),
                    given(base)
                ),
                "Full-size speed over scale, times the stretch.",
                "visual-effects handbook (2010), appendix A",
            ))
        }),
        figure(facts, "run", "2", "Run, real time", "s", |f| {
            let (length, handle, shoot) = (
                f.get("length_frames")?,
                f.get("handle_frames")?,
                f.get("shoot_fps")?,
            );
            let shown = fixed(run_s(f)?, 2);
            let words = format!(
                "{} frames recorded, handles in them.",
                found(frames_recorded(f)?)
            );
            Ok(Told::new(
                shown.clone(),
                format!(
                    "({} + 2 × {}) ÷ {} = {shown}",
                    given(length),
                    given(handle),
                    given(shoot)
                ),
                words,
                "",
            ))
        }),
        figure(facts, "path", "2", "Path used", "mm", |f| {
            let (speed_mm, run) = (model_speed_mps(f)? * 1000.0, run_s(f)?);
            let shown = found((speed_mm * run).round());
            let expression = format!("{} × {} = {shown}", step(speed_mm), step(run));
            Ok(Told::new(
                shown,
                expression,
                "Rig speed times the run, without run-up.",
                "",
            ))
        }),
        figure(facts, "screen-time", "", "On the screen", "s", |f| {
            let (length, base) = (f.get("length_frames")?, f.base_fps());
            let shown = fixed(length / base, 2);
            Ok(Told::new(
                shown.clone(),
                format!("{} ÷ {} = {shown}", given(length), given(base)),
                "Length in the cut.",
                "",
            ))
        }),
    ]
}
