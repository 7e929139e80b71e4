//! The haze: its limit, how it drifts, whether its wisps curl like smoke, and what stands past the water's end.

use super::{Found, PRACTICE};
use crate::{
    plan::setups::{
        facts::{Facts, Gap},
        figures::{common, step, time, water},
    },
    web::parts::Severity,
};
use stillair_calc::{
    Calculate as _,
    figure::{found, given, significant},
    giveaway::HazeDrift,
};

/// Story speed under which drifting haze reads as a gentle current, and over which as wind.
const CURRENT_MPS: f64 = 0.3;
const WIND_MPS: f64 = 1.0;
/// Kinematic viscosity of air at 20 °C.
const AIR_M2PS: f64 = 1.516e-5;
/// Below the first, ribbons; above the second, believable billows. Common practice, after numbers for pipes and jets.
const RIBBONS: f64 = 500.0;
const BILLOWS: f64 = 4000.0;
/// Contrast that still shows: Koschmieder's 2 %.
const THRESHOLD: f64 = 0.02;

/// Haze above the chosen peak with people in it: no look is worth that.
pub(super) fn limit(facts: &Facts<'_>) -> Result<Vec<Found>, Gap> {
    let (mg, peak) = (
        water::concentration_mgpm3(facts)?,
        facts.get("air_peak_mgpm3")?,
    );
    if mg <= peak || facts.setup.air.as_ref() != "people" {
        return Ok(Vec::new());
    }
    let ratio = significant(mg / peak, 2);
    let body = format!(
        "{} mg/m³ against a peak limit of {} mg/m³. Shut the tent with nobody inside and clear it before anyone enters, or ask for contrast at the far end instead.",
        found(mg.round()),
        found(peak)
    );
    let one = Found {
        rule: "air",
        severity: Severity::Shows,
        weight: 100.0 + mg / peak,
        ring: "13".into(),
        head: "Nobody may stand in this haze.".into(),
        quantity: format!("{ratio} ×"),
        sum: format!("{} ÷ {} = {ratio}", significant(mg, 5), given(peak)),
        body,
        lever: "air",
        ..Found::default()
    };
    Ok(vec![one.cure(
        facts,
        "tent shut, nobody inside",
        "air",
        "shut".into(),
    )])
}

/// G4: what the stage's own air plays as.
pub(super) fn drift(facts: &Facts<'_>) -> Result<Vec<Found>, Gap> {
    if water::extinction_per_m(facts)? <= 0.0 {
        return Ok(Vec::new());
    }
    let (drift, scale, k) = (
        facts.get("air_drift_mm_per_s")?,
        facts.get("scale_denominator")?,
        time::rate_factor_k(facts)?,
    );
    let worked = HazeDrift {
        stage_drift_mps: drift / 1000.0,
        scale_denominator: scale,
        rate_factor_k: k,
    }
    .work()?;
    let story = worked.story_drift_mps;
    let Some(severity) = super::graded(story, CURRENT_MPS, WIND_MPS) else {
        return Ok(Vec::new());
    };
    let quiet = CURRENT_MPS * k / scale * 1000.0;
    let shown = significant(story, 2);
    let body = format!(
        "{} mm/s on the stage plays as {shown} m/s: {}. Wait for {} mm/s, or run faster. {PRACTICE}",
        found(drift),
        if story > WIND_MPS {
            "wind or smoke, not water"
        } else {
            "a current"
        },
        significant(quiet, 2)
    );
    let one = Found {
        rule: "drift",
        severity,
        weight: story / CURRENT_MPS,
        head: "The haze drifts.".into(),
        quantity: format!("{shown} m/s"),
        sum: format!(
            "{} ÷ 1000 × {} ÷ {} = {shown}",
            given(drift),
            given(scale),
            step(k)
        ),
        body,
        lever: "air_drift_mm_per_s",
        ..Found::default()
    };
    let quiet = quiet.floor();
    Ok(vec![one.cure(
        facts,
        format!("{} mm/s", found(quiet)),
        "air_drift_mm_per_s",
        given(quiet),
    )])
}

/// G4b: slow thin wisps curl in ribbons, as from incense. Only where the drift itself is seen.
pub(super) fn texture(facts: &Facts<'_>) -> Result<Vec<Found>, Gap> {
    if water::extinction_per_m(facts)? <= 0.0 {
        return Ok(Vec::new());
    }
    let (drift, wisp) = (facts.get("air_drift_mm_per_s")?, facts.get("wisp_mm")?);
    let story = drift / 1000.0 * facts.get("scale_denominator")? / time::rate_factor_k(facts)?;
    let reynolds = drift / 1000.0 * wisp / 1000.0 / AIR_M2PS;
    if story <= CURRENT_MPS || reynolds >= BILLOWS {
        return Ok(Vec::new());
    }
    let severity = if reynolds < RIBBONS {
        Severity::MayShow
    } else {
        Severity::Slight
    };
    let shown = significant(reynolds, 2);
    Ok(vec![Found {
        rule: "texture",
        severity,
        weight: (BILLOWS / reynolds.max(1.0)).log10(),
        head: if reynolds < RIBBONS {
            "Its wisps curl in ribbons.".into()
        } else {
            "Its wisps are half ribbons, half billows.".into()
        },
        quantity: format!("Re {shown}"),
        sum: format!(
            "{} × {} ÷ 1000000 ÷ 0.00001516 = {shown}",
            given(drift),
            given(wisp)
        ),
        body: format!(
            "Under {} reads as incense, over {} as weather. Let it fill evenly and stand, or work larger. {PRACTICE}",
            found(RIBBONS),
            found(BILLOWS)
        ),
        lever: "wisp_mm",
        ..Found::default()
    }])
}

/// What stands past the end of the water is not seen, whatever it cost to make.
pub(super) fn past_the_end(facts: &Facts<'_>) -> Result<Vec<Found>, Gap> {
    let sigma = water::extinction_per_m(facts)?;
    let pieces = facts
        .things
        .iter()
        .filter(|t| t.is("piece") || t.is("model"));
    let left = pieces.filter_map(|t| {
        let depth_mm = common::depth_mm(facts, t.place()).ok()?;
        let left = (-sigma * depth_mm / 1000.0).exp();
        (left < THRESHOLD).then_some((t, depth_mm, left))
    });
    let Some((t, depth_mm, left)) = left.max_by(|a, b| a.2.total_cmp(&b.2)) else {
        return Ok(Vec::new());
    };
    let shown = significant(left * 100.0, 2);
    Ok(vec![Found {
        rule: "past-the-end",
        severity: Severity::Slight,
        weight: THRESHOLD / left,
        ring: t.ring.to_string(),
        head: format!("{} is past the end of the water.", t.called()),
        quantity: format!("{shown} %"),
        sum: format!(
            "100 ÷ 2^({} × {} ÷ 1000 ÷ ln 2) = {shown}",
            step(sigma),
            step(depth_mm)
        ),
        body: "So much of its contrast reaches the lens. Leave it unpainted, or bring it nearer."
            .into(),
        lever: "reach_m",
        ..Found::default()
    }])
}
