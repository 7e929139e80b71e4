//! Time: the camera's rate, falls and swings, motion blur, stutter, drops.

use super::{Found, PRACTICE};
use crate::{
    plan::setups::{
        facts::{Facts, Gap},
        figures::{lens, step, time},
    },
    web::parts::Severity,
};
use stillair_calc::{
    Calculate as _,
    figure::{fixed, found, given, significant},
    giveaway::Drop,
};

/// Shutter angle the story is taken to be shot with; common practice.
const STORY_SHUTTER_DEG: f64 = 180.0;

/// A rate that the camera's mode does not reach.
pub(super) fn rate(facts: &Facts<'_>) -> Result<Vec<Found>, Gap> {
    let (fps, highest) = (facts.get("shoot_fps")?, facts.get("highest_fps")?);
    if fps <= highest {
        return Ok(Vec::new());
    }
    let body = format!(
        "This mode runs to {} fps and {} is asked. Choose a mode that crops, or run at {}.",
        found(highest),
        found(fps),
        found(highest)
    );
    let one = Found {
        rule: "rate",
        severity: Severity::Shows,
        weight: 50.0,
        ring: "1".into(),
        head: "The camera does not run that fast.".into(),
        quantity: format!("{} fps", found(fps)),
        body,
        lever: "camera_mode",
        ..Found::default()
    };
    Ok(vec![one.cure(
        facts,
        format!("{} fps", found(highest)),
        "shoot_fps",
        given(highest),
    )])
}

/// G1: only where something hangs, falls or floats.
pub(super) fn gravity(facts: &Facts<'_>) -> Result<Vec<Found>, Gap> {
    let moves = facts.pass.map(|p| p.moves.clone()).unwrap_or_default();
    if !matches!(&*moves, "hangs" | "falls" | "floats") {
        return Ok(Vec::new());
    }
    let ratio = time::gravity_ratio(facts)?;
    let severity = if !(0.5..=2.0).contains(&ratio) {
        Severity::Shows
    } else if !(0.8..=1.25).contains(&ratio) {
        Severity::MayShow
    } else if (ratio - 1.0).abs() < 0.01 {
        return Ok(Vec::new());
    } else {
        Severity::Slight
    };
    let (scale, k) = (facts.get("scale_denominator")?, time::rate_factor_k(facts)?);
    let true_rate = scale.sqrt() * facts.base_fps();
    let quick = ratio > 1.0;
    let body = format!(
        "What {moves} reads {} times the size meant, {}. {} fps is true for this scale. {PRACTICE}",
        significant(1.0 / ratio, 3),
        if quick {
            "quick: it reads smaller"
        } else {
            "slow: it reads larger"
        },
        fixed(true_rate, 1)
    );
    let percent = (ratio - 1.0) * 100.0;
    let slight = matches!(severity, Severity::Slight);
    let one = Found {
        rule: "gravity",
        severity,
        weight: ratio.max(1.0 / ratio),
        ring: "1".into(),
        head: if quick {
            "Falls and swings are quick.".into()
        } else {
            "Falls and swings are slow.".into()
        },
        quantity: format!(
            "{}{} %",
            if percent > 0.0 { "+" } else { "" },
            significant(percent, 2)
        ),
        sum: format!(
            "{} ÷ {}^2 = {}",
            given(scale),
            step(k),
            significant(ratio, 3)
        ),
        body: if slight { String::new() } else { body },
        lever: "shoot_fps",
        ..Found::default()
    };
    let step = facts.find("rate_step_fps").unwrap_or(1.0);
    let settable =
        ((true_rate / step).round() * step).min(facts.find("highest_fps").unwrap_or(f64::MAX));
    if (settable - facts.get("shoot_fps")?).abs() < step / 2.0 {
        return Ok(vec![one]);
    }
    Ok(vec![one.cure(
        facts,
        format!("{} fps", found(settable)),
        "shoot_fps",
        given(settable),
    )])
}

/// G3: motion blur against the story's shutter. Scale and rate cancel.
pub(super) fn blur(facts: &Facts<'_>) -> Result<Vec<Found>, Gap> {
    let shutter = facts.get("shutter_deg")?;
    let ratio = shutter / STORY_SHUTTER_DEG;
    let severity = if !(0.35..=2.8).contains(&ratio) {
        Severity::Shows
    } else if !(0.7..=1.4).contains(&ratio) {
        Severity::MayShow
    } else {
        return Ok(Vec::new());
    };
    let body = format!(
        "{}° smears {} times as far as {}°, at any scale and rate. Open or close the shutter towards 126° to 252°. {PRACTICE}",
        found(shutter),
        significant(ratio, 2),
        found(STORY_SHUTTER_DEG)
    );
    let one = Found {
        rule: "motion-blur",
        severity,
        weight: ratio.max(1.0 / ratio),
        head: if ratio < 1.0 {
            "Movement is too crisp.".into()
        } else {
            "Movement is too smeared.".into()
        },
        quantity: format!("{} ×", significant(ratio, 2)),
        sum: format!(
            "{} ÷ {} = {}",
            given(shutter),
            given(STORY_SHUTTER_DEG),
            significant(ratio, 2)
        ),
        body,
        lever: "shutter_deg",
        ..Found::default()
    };
    let nearest = shutter.clamp(0.7 * STORY_SHUTTER_DEG, 1.4 * STORY_SHUTTER_DEG);
    Ok(vec![one.cure(
        facts,
        format!("{}°", found(nearest)),
        "shutter_deg",
        given(nearest),
    )])
}

/// Seconds that a crossing takes from which edges no longer stutter, and under which they do; widely published.
const CALM_S: f64 = 7.0;
const STUTTER_S: f64 = 4.0;

/// G10: how long the subject takes to cross the frame.
pub(super) fn strobe(facts: &Facts<'_>) -> Result<Vec<Found>, Gap> {
    let travel = facts.shot.map(|s| s.travel.clone()).unwrap_or_default();
    if !matches!(&*travel, "l_to_r" | "r_to_l" | "up" | "down") {
        return Ok(Vec::new());
    }
    let (speed, scale) = (
        facts.get("story_speed_mps")?,
        facts.get("scale_denominator")?,
    );
    let (width, height) = lens::frame_at_focus_mm(facts)?;
    let frame = if matches!(&*travel, "up" | "down") {
        height
    } else {
        width
    };
    let across = frame / 1000.0 * scale;
    if speed <= 0.0 {
        return Ok(Vec::new());
    }
    let seconds = across / speed;
    let Some(severity) = super::graded(-seconds, -CALM_S, -STUTTER_S) else {
        return Ok(Vec::new());
    };
    let shown = significant(seconds, 2);
    let calm = across / CALM_S;
    let body = format!(
        "It crosses {} m of frame in {shown} s of screen time; under 7 s edges begin to stutter. {} m/s holds 7 s, or let it pass farther off. {PRACTICE}",
        significant(across, 2),
        significant(calm, 2)
    );
    let one = Found {
        rule: "strobe",
        severity,
        weight: CALM_S / seconds,
        ring: "2".into(),
        head: "It crosses the frame fast enough to stutter.".into(),
        quantity: format!("{shown} s"),
        sum: format!(
            "{} ÷ 1000 × {} ÷ {} = {shown}",
            step(frame),
            given(scale),
            given(speed)
        ),
        body,
        lever: "shoot_fps",
        ..Found::default()
    };
    let slower = (calm * 100.0).floor() / 100.0;
    let Some(pass) = facts.pass else {
        return Ok(vec![one]);
    };
    let blank = format!("{}.story_speed_mps", pass.id);
    Ok(vec![one.cure_at(
        format!("{} m/s", found(slower)),
        blank,
        given(slower),
    )])
}

/// G8: drops, splashes and bubbles have one size in the world.
pub(super) fn drops(facts: &Facts<'_>) -> Result<Vec<Found>, Gap> {
    if facts.setup.drop_mm.is_none() {
        return Ok(Vec::new());
    }
    let worked = Drop {
        drop_diameter_mm: facts.get("drop_mm")?,
        scale_denominator: facts.get("scale_denominator")?,
    }
    .work()?;
    let ratio = worked.ratio_to_largest_raindrop;
    let Some(severity) = super::graded(ratio, 1.0, 5.0) else {
        return Ok(Vec::new());
    };
    let most = worked.answer.drop_story_mm / ratio / facts.get("scale_denominator")?;
    let one = Found {
        rule: "drops",
        severity,
        weight: ratio,
        head: "Its drops are too large.".into(),
        quantity: format!("{} ×", significant(ratio, 2)),
        sum: format!(
            "{} × {} ÷ 6 = {}",
            given(facts.get("drop_mm")?),
            given(facts.get("scale_denominator")?),
            significant(ratio, 2)
        ),
        body: format!(
            "They read as {} mm; no raindrop is larger than about 6 mm (from memory). {} mm on the stage would do: break them with detergent, use powder or spun glass, or shoot larger. {PRACTICE}",
            significant(worked.drop_story_mm, 2),
            significant(most, 2)
        ),
        lever: "drop_mm",
        ..Found::default()
    };
    Ok(vec![one.cure(
        facts,
        format!("drops of {} mm", significant(most, 2)),
        "drop_mm",
        given(most),
    )])
}
