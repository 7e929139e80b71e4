//! Water: how thick the haze must be, where it ends to the eye, and what that means for whoever breathes it.

use super::{Told, figure, lens, step};
use crate::{
    plan::setups::facts::{Facts, Gap},
    web::parts::Figure,
};
use std::{
    collections::HashMap,
    sync::{LazyLock, Mutex, PoisonError},
};
use stillair_calc::{
    Calculate as _,
    air_limits::AllowedTime,
    figure::{found, given, significant},
    haze_optics::{ExtinctionForContrast, Liquid, MassExtinction, StageExtinction},
};

/// How many sorts of droplet are kept worked out.
const MOST_KEPT: usize = 256;
/// Contrast that still shows: Koschmieder's 2 %.
const THRESHOLD: f64 = 0.02;

/// Whether the far end's contrast is asked instead of the reach.
pub fn asks_contrast(facts: &Facts<'_>) -> bool {
    facts.setup.contrast_far_end.is_some() && facts.setup.far_end_mm.is_some()
}

/// Way of the picture through haze: from the tent's wall, or from the pupil when there is no tent, to the far end.
///
/// # Errors
/// What is not written, or cannot be.
pub fn way_to_far_end_m(facts: &Facts<'_>) -> Result<f64, Gap> {
    let from = match facts.setup.tent_near_mm {
        Some(tent) => tent,
        None => lens::optics(facts).map_or(0.0, |o| o.pupil_from_mark_mm),
    };
    let way = (facts.get("far_end_mm")? - from) / 1000.0;
    if way > 0.0 {
        Ok(way)
    } else {
        Err(Gap::Impossible(
            "The far end lies before the haze begins: move it beyond the tent’s wall.".into(),
        ))
    }
}

/// Haze of the setup.
///
/// # Errors
/// What is not written, or cannot be.
pub fn extinction_per_m(facts: &Facts<'_>) -> Result<f64, Gap> {
    facts.once(&facts.extinction, work_extinction)
}

fn work_extinction(facts: &Facts<'_>) -> Result<f64, Gap> {
    if facts.setup.haze_class.as_ref() == "clear"
        && facts.setup.reach_m.is_none()
        && !asks_contrast(facts)
    {
        return Ok(0.0);
    }
    if asks_contrast(facts) {
        let asked = ExtinctionForContrast {
            distance_m: way_to_far_end_m(facts)?,
            wanted_contrast_fraction: facts.get("contrast_far_end")?,
        };
        return Ok(asked.work()?.extinction_per_m);
    }
    let stage = StageExtinction {
        story_visibility_m: facts.get("reach_m")?,
        scale_denominator: facts.get("scale_denominator")?,
        contrast_threshold: THRESHOLD,
    };
    Ok(stage.work()?.extinction_per_m)
}

/// Where the water ends to the eye, from the mark.
///
/// # Errors
/// The first blank that is missing, or a sentence on what cannot be.
pub fn water_end_mm(facts: &Facts<'_>) -> Result<f64, Gap> {
    let sigma = extinction_per_m(facts)?;
    if sigma <= 0.0 {
        return Err(Gap::Impossible("Clear air: nothing ends the view.".into()));
    }
    let from = lens::optics(facts).map_or(0.0, |o| o.pupil_from_mark_mm);
    Ok(-THRESHOLD.ln() / sigma * 1000.0 + from)
}

/// What a gram of such droplets hides. A Mie sum over eight hundred sizes, so what was worked out once is kept.
///
/// # Errors
/// What is not written.
pub fn mass_extinction_m2pg(facts: &Facts<'_>) -> Result<f64, Gap> {
    static KEPT: LazyLock<Mutex<HashMap<(String, u64), f64>>> = LazyLock::new(Mutex::default);
    let droplet_um = facts.get("droplet_um")?;
    let name = if facts.setup.haze_liquid.is_empty() {
        "propylene_glycol"
    } else {
        &*facts.setup.haze_liquid
    };
    let key = (name.to_owned(), droplet_um.to_bits());
    if let Some(kept) = KEPT
        .lock()
        .unwrap_or_else(PoisonError::into_inner)
        .get(&key)
    {
        return Ok(*kept);
    }
    let liquid = Liquid::ALL
        .iter()
        .copied()
        .find(|l| l.as_str() == name)
        .unwrap_or(Liquid::PropyleneGlycol);
    let sum = MassExtinction {
        liquid,
        mass_median_diameter_um: droplet_um,
        geometric_sd: 1.8,
        wavelength_nm: 550.0,
    }
    .work()?;
    let mut kept = KEPT.lock().unwrap_or_else(PoisonError::into_inner);
    if kept.len() >= MOST_KEPT {
        kept.clear();
    }
    kept.insert(key, sum.mass_extinction_m2pg);
    Ok(sum.mass_extinction_m2pg)
}

/// Liquid in the tent's air.
///
/// # Errors
/// What is not written.
pub fn concentration_mgpm3(facts: &Facts<'_>) -> Result<f64, Gap> {
    Ok(extinction_per_m(facts)? / mass_extinction_m2pg(facts)? * 1000.0)
}

/// The ledger.
pub fn ledger(facts: &Facts<'_>) -> Vec<Figure> {
    vec![
        haze(facts),
        figure(
            facts,
            "water-end",
            "13",
            "Water ends, from mark",
            "mm",
            |f| {
                let sigma = extinction_per_m(f)?;
                let end = water_end_mm(f)?;
                let from = lens::optics(f).map_or(0.0, |o| o.pupil_from_mark_mm);
                let shown = found(end.round());
                let expression = format!(
                    "−ln({THRESHOLD}) ÷ {} × 1000 + {} = {shown}",
                    step(sigma),
                    step(from)
                );
                Ok(Told::new(
                    shown,
                    expression,
                    "There 2 % of the contrast is left; from the pupil, as taped from the mark.",
                    "",
                ))
            },
        ),
        figure(facts, "far-contrast", "", "Left at the far end", "%", |f| {
            let (sigma, way) = (extinction_per_m(f)?, way_to_far_end_m(f)?);
            let shown = significant((-sigma * way).exp() * 100.0, 2);
            let expression = format!("100 ÷ 2^({} × {} ÷ ln 2) = {shown}", step(sigma), step(way));
            Ok(Told::new(
                shown,
                expression,
                "Contrast along the table falls by the same share every step.",
                "Beer–Lambert law",
            ))
        }),
        figure(facts, "meter", "", "Meter over one metre", "%", |f| {
            let sigma = extinction_per_m(f)?;
            let shown = significant((-sigma).exp() * 100.0, 3);
            Ok(Told::new(
                shown.clone(),
                format!("100 ÷ 2^({} ÷ ln 2) = {shown}", step(sigma)),
                "A spot reading on a small lamp, haze against clear, over 1 m.",
                "Beer–Lambert law",
            ))
        }),
        mass(facts),
        stay(facts),
    ]
}

fn haze(facts: &Facts<'_>) -> Figure {
    figure(facts, "haze", "13", "Haze", "per m", |f| {
        let sigma = extinction_per_m(f)?;
        let shown = significant(sigma, 3);
        if sigma == 0.0 {
            return Ok(Told::new("0", "", "Clear air.", ""));
        }
        if asks_contrast(f) {
            let (way, contrast) = (way_to_far_end_m(f)?, f.get("contrast_far_end")?);
            let expression = format!("−ln({}) ÷ {} = {shown}", given(contrast), step(way));
            return Ok(Told::new(
                shown,
                expression,
                "From the contrast wanted at the far end.",
                "Beer–Lambert law",
            ));
        }
        let (reach, scale) = (f.get("reach_m")?, f.get("scale_denominator")?);
        let expression = format!(
            "−ln({THRESHOLD}) × {} ÷ {} = {shown}",
            given(scale),
            given(reach)
        );
        let words = format!(
            "2 % of the contrast is left at the reach. Optical density {} per m.",
            significant(sigma / std::f64::consts::LN_10, 2)
        );
        Ok(Told::new(shown, expression, words, "Koschmieder 1924"))
    })
}

fn mass(facts: &Facts<'_>) -> Figure {
    figure(facts, "mass", "13", "In the tent air", "mg/m³", |f| {
        let (sigma, hides) = (extinction_per_m(f)?, mass_extinction_m2pg(f)?);
        let mg = concentration_mgpm3(f)?;
        let shown = found(if mg >= 100.0 { mg.round() } else { mg });
        let expression = format!("{} ÷ {} × 1000 = {shown}", step(sigma), step(hides));
        let mut told = Told::new(
            shown,
            expression,
            "Haze over what a gram of such droplets hides, m²/g.",
            "Mie table, geometric spread 1.8",
        );
        let peak = f.get("air_peak_mgpm3")?;
        if mg > peak {
            told.over = format!(
                "{} times the peak limit chosen: nobody in it without a protection programme run by a competent person.",
                significant(mg / peak, 2)
            );
        }
        Ok(told)
    })
}

fn stay(facts: &Facts<'_>) -> Figure {
    figure(facts, "stay", "", "A person may stay", "min", |f| {
        let (mg, peak, average) = (
            concentration_mgpm3(f)?,
            f.get("air_peak_mgpm3")?,
            f.get("air_average_mgpm3")?,
        );
        if mg <= 0.0 {
            return Ok(Told::new("all day", "", "Clear air.", ""));
        }
        if mg > peak {
            let expression = format!(
                "{} ÷ {} = {}",
                step(mg),
                given(peak),
                significant(mg / peak, 3)
            );
            return Ok(Told::new(
                "none",
                expression,
                "times the peak limit: no minute is allowed.",
                "",
            ));
        }
        let allowed = AllowedTime {
            concentration_mgpm3: mg,
            twa_limit_mgpm3: average,
            peak_limit_mgpm3: Some(peak),
        }
        .work()?;
        let minutes = allowed.minutes_without_protection.0.min(480.0);
        let shown = found(minutes.round());
        let expression = format!(
            "480 × {} ÷ {} = {}",
            given(average),
            step(mg),
            found((480.0 * average / mg).round())
        );
        Ok(Told::new(
            shown,
            expression,
            "By the eight-hour average alone, if nothing else is breathed that day; at most the eight hours.",
            "29 CFR 1910.1000(d)(1)",
        ))
    })
}
