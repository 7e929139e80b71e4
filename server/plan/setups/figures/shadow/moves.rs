//! How a shadow and its flag pass, for how long, and what its edge says at full size.

use super::{Told, common, edge, figure, lens, mm, pair, ray, ring, stands, step, time};
use crate::{
    plan::setups::facts::{Facts, Gap},
    web::parts::Figure,
};
use stillair_calc::{
    Calculate as _, Worked,
    figure::{given, significant},
    shadow::{FlagPass, pass},
};

/// How the shadow and its flag pass, and for how long.
pub(super) fn passing(facts: &Facts<'_>) -> Vec<Figure> {
    let ring = ring(facts);
    vec![
        figure(
            facts,
            "shadow-speed",
            &ring,
            "Shadow runs at",
            "mm/s",
            |f| {
                let worked = passes(f)?;
                let shown = common::taped(worked.shadow_speed_mps * 1000.0);
                Ok(Told::new(
                    shown.clone(),
                    format!(
                        "{} × 1000 ÷ {} × {} ÷ {} = {shown}",
                        given(f.get("shadow_story_mps")?),
                        given(f.get("scale_denominator")?),
                        given(f.get("shoot_fps")?),
                        given(f.base_fps())
                    ),
                    "The caster’s full-size speed over scale, times the stretch.",
                    "",
                ))
            },
        ),
        figure(facts, "flag-speed", &ring, "Flag moves at", "mm/s", |f| {
            let (worked, ray) = (passes(f)?, ray(pair(f)?)?);
            let shown = common::taped(worked.flag_speed_mps * 1000.0);
            Ok(Told::new(
                shown.clone(),
                format!(
                    "{} × {} ÷ {} = {shown}",
                    step(worked.shadow_speed_mps * 1000.0),
                    step(ray.to_flag_mm),
                    step(ray.whole_mm())
                ),
                "Nearer the lamp it moves less than its shadow.",
                worked.source,
            ))
        }),
        figure(
            facts,
            "shadow-crossing",
            &ring,
            "Shadow crosses in",
            "s",
            |f| {
                let worked = passes(f)?;
                let shown = significant(worked.crossing_screen_s, 2);
                Ok(Told::new(
                    shown.clone(),
                    format!(
                        "({} + {}) ÷ {} × {} = {shown}",
                        step(thrown_mm(f)?),
                        step(frame_mm(f)?),
                        step(worked.shadow_speed_mps * 1000.0),
                        step(time::rate_factor_k(f)?)
                    ),
                    format!(
                        "On the screen, its width and the frame’s where it falls; {} s on the stage.",
                        significant(worked.crossing_stage_s, 2)
                    ),
                    worked.source,
                ))
            },
        ),
    ]
}

/// Width of the shadow that passes: as wanted, else as thrown.
fn thrown_mm(facts: &Facts<'_>) -> Result<f64, Gap> {
    match facts.find("shadow_width_mm") {
        Some(wanted) => Ok(wanted),
        None => Ok(mm(stands(facts, pair(facts)?)?.half_level_width_m)),
    }
}

/// Width of the frame where the shadow falls; at the focus, while that is not before the lens.
fn frame_mm(facts: &Facts<'_>) -> Result<f64, Gap> {
    let foot = ray(pair(facts)?)?.foot;
    match common::depth_mm(facts, foot) {
        Ok(depth_mm) => Ok(facts.get("sensor_width_mm")? * facts.get("squeeze")?
            / common::magnification_at(facts, depth_mm)?),
        Err(Gap::Impossible(_)) => Ok(lens::frame_at_focus_mm(facts)?.0),
        Err(missing) => Err(missing),
    }
}

fn passes(facts: &Facts<'_>) -> Result<Worked<pass::Pass>, Gap> {
    let speed = facts.get("shadow_story_mps")?;
    if speed <= 0.0 {
        return Err(Gap::Impossible("The caster stands still.".into()));
    }
    let ray = ray(pair(facts)?)?;
    Ok(FlagPass {
        story_speed_mps: speed,
        scale_denominator: facts.get("scale_denominator")?,
        rate_factor_k: time::rate_factor_k(facts)?,
        lamp_height_m: ray.whole_mm() / 1000.0,
        flag_height_m: ray.to_set_mm / 1000.0,
        shadow_width_m: thrown_mm(facts)? / 1000.0,
        frame_width_m: frame_mm(facts)? / 1000.0,
    }
    .work()?)
}

pub(super) fn edge_figure(facts: &Facts<'_>) -> Figure {
    figure(
        facts,
        "edge-story",
        &ring(facts),
        "Edge at full size",
        "m",
        |f| {
            let worked = edge(f)?;
            let shown = significant(worked.story_edge_m, 2);
            Ok(Told::new(
                shown.clone(),
                format!(
                    "{} ÷ 1000 × {} = {shown}",
                    step(mm(stands(f, pair(f)?)?.edge_width_m)),
                    given(f.get("scale_denominator")?)
                ),
                format!(
                    "The sun would draw {} m from that height, 0.0093 of it: this is {} times that. Half to twice passes for daylight (common practice).",
                    significant(worked.sun_edge_m, 2),
                    significant(worked.edge_ratio, 2)
                ),
                worked.source,
            ))
        },
    )
}
