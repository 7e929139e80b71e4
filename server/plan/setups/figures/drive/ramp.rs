//! The ramp: how long, how hard, how much way, and what swing it leaves.

use super::{
    Told, carried_hangs, common, figure, hanging, of_drive, ramp_in_swings, ramp_s, run_up_mm,
    speed_mm_per_s, step,
};
use crate::{
    plan::setups::facts::{Facts, Gap},
    web::parts::Figure,
};
use stillair_calc::{
    Calculate as _,
    figure::{fixed, found, given, significant},
    suspension::ResidualSwing,
};

pub(super) fn figures(facts: &Facts<'_>) -> Vec<Figure> {
    let mut all = vec![
        figure(facts, "ramp", "2", "Ramp, each end", "s", ramp),
        figure(facts, "ramp-asks", "", "Ramp asks for", "mm/s²", asks),
        figure(facts, "run-up", "2", "Run-up, and run-down", "mm", run_up),
    ];
    if carried_hangs(facts) {
        let ring = facts.hung().map(|t| t.ring.to_string()).unwrap_or_default();
        all.push(figure(
            facts,
            "ramp-swing",
            &ring,
            "Swing it leaves",
            "°",
            swing,
        ));
    }
    all
}

fn ramp(f: &Facts<'_>) -> Result<Told, Gap> {
    let shown = fixed(ramp_s(f)?, 2);
    if ramp_in_swings(f) {
        let sum = format!(
            "{} × {} = {shown}",
            given(f.get("ramp_swings")?),
            step(hanging::period_s(f)?)
        );
        let words = "Whole swings of what hangs, at a steady pull, so that it arrives without one.";
        return Ok(Told::new(
            shown,
            sum,
            words,
            "pendulum under a moving pivot",
        ));
    }
    if f.setup.ramp_s.is_some() || f.drive.is_none() {
        return Ok(Told::new(shown, "", "As it is written.", ""));
    }
    let sum = format!(
        "{} ÷ {} = {shown}",
        step(speed_mm_per_s(f)?),
        given(of_drive(f, "most_acceleration_mm_per_s2")?)
    );
    Ok(Told::new(
        shown,
        sum,
        "As short as the drive’s most acceleration allows, since no ramp is written.",
        "kinematics",
    ))
}

fn asks(f: &Facts<'_>) -> Result<Told, Gap> {
    let (speed, ramp) = (speed_mm_per_s(f)?, ramp_s(f)?);
    let asks = speed / ramp;
    let shown = significant(asks, 3);
    let most = of_drive(f, "most_acceleration_mm_per_s2")?;
    let mut told = Told::new(
        shown.clone(),
        format!("{} ÷ {} = {shown}", step(speed), step(ramp)),
        format!(
            "A steady pull; the drive does {} mm/s² at most.",
            given(most)
        ),
        "kinematics",
    );
    // The shortest ramp asks for just what the drive does.
    if asks > most * (1.0 + 1e-9) {
        let shortest = speed / most;
        told.over = if ramp_in_swings(f) {
            let swings = (shortest / hanging::period_s(f)?).ceil();
            format!(
                "More than the drive does: ramp for {} swings.",
                found(swings)
            )
        } else {
            format!(
                "More than the drive does: ramp for {} s.",
                fixed((shortest * 100.0).ceil() / 100.0, 2)
            )
        };
    }
    Ok(told)
}

fn run_up(f: &Facts<'_>) -> Result<Told, Gap> {
    let shown = common::taped(run_up_mm(f)?);
    Ok(Told::new(
        shown.clone(),
        format!(
            "{} × {} ÷ 2 = {shown}",
            step(speed_mm_per_s(f)?),
            step(ramp_s(f)?)
        ),
        "The mean speed of a ramp is half.",
        "kinematics",
    ))
}

fn swing(f: &Facts<'_>) -> Result<Told, Gap> {
    let worked = ResidualSwing {
        pendulum_period_s: hanging::period_s(f)?,
        ramp_time_s: ramp_s(f)?,
        acceleration_mps2: speed_mm_per_s(f)? / 1000.0 / ramp_s(f)?,
    }
    .work()?;
    let deg = worked.residual_swing_deg;
    let mut told = Told::by(
        fixed(deg, 1),
        &worked,
        "By the ramp’s own timing alone; a jerk or a slack line adds its own.",
    );
    let swing_mm = f.get("line_drop_mm")? * deg.to_radians().sin();
    let depth_mm = common::depth_mm(f, common::hung(f)?.place())?;
    let photosites = swing_mm * common::magnification_at(f, depth_mm)? / common::photosite_mm(f)?;
    if photosites > 1.0 {
        told.over = format!(
            "{} mm at the model, {} photosites: ramp for whole swings of {} s.",
            significant(swing_mm, 2),
            significant(photosites, 2),
            fixed(hanging::period_s(f)?, 2)
        );
    }
    Ok(told)
}
