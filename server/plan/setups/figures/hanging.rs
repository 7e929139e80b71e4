//! Hanging: what each line carries, its margin, how the model swings and when it is still, and whether the line is seen.

use super::{
    Told, common, figure,
    further::{BlankOf, Further, of, of_setup},
    step, time,
};
use crate::{
    journal::value::Text,
    plan::setups::facts::{Facts, Gap},
    web::parts::Figure,
};
use stillair_calc::{
    Calculate as _, Worked,
    figure::{fixed, found, given, significant},
    suspension::{
        FilamentVisibility, Knot, KnotEfficiency, LineMargin, LogDecrement, Pendulum, SettleTime,
        Stretch, SwingGiveaway, filament::Visibility, strength::Margin,
    },
};

/// Standard gravity.
const GRAVITY_MPS2: f64 = 9.80665;
/// Wavelength for diffraction.
const WAVELENGTH_NM: f64 = 550.0;
/// Lines of four that are taken to carry everything: their lengths are never equal to a fraction of a millimetre.
const CARRYING_OF_FOUR: f64 = 2.0;

/// The ledger.
pub const LEDGER: Further = Further {
    id: "hanging",
    title: "Hanging",
    closed: "nothing hangs here",
    needed: hangs,
    openers: &["filament", "line_drop_mm"],
    blanks,
    figures: ledger,
};

/// Whether anything hangs in this pass.
pub fn hangs(facts: &Facts<'_>) -> bool {
    facts.setup.filament.is_some() || facts.pass.is_some_and(|p| &*p.moves == "hangs")
}

fn blanks<'a>(facts: &Facts<'a>) -> Vec<BlankOf<'a>> {
    let piece = facts.hung().and_then(|t| t.piece);
    [
        of_setup(
            facts,
            &[
                "filament",
                "line_count",
                "line_drop_mm",
                "line_spread_mm",
                "line_top_spread_mm",
                "hung_mass_g",
                "dynamic_factor",
                "line_contrast",
                "swing_first_mm",
                "swing_last_mm",
                "swing_count",
                "still_for",
                "story_line_m",
            ],
        ),
        of(piece, &["mass_g"]),
        of(
            facts.filament,
            &["diameter_mm", "breaking_n", "modulus_gpa", "knot"],
        ),
    ]
    .concat()
}

/// What hangs, in grams.
///
/// # Errors
/// What is not written.
pub fn mass_g(facts: &Facts<'_>) -> Result<f64, Gap> {
    if facts.setup.hung_mass_g.is_some() {
        return facts.get("hung_mass_g");
    }
    match facts.hung().and_then(|t| t.piece) {
        Some(piece) => facts.number_of(piece, "mass_g"),
        None => facts.get("hung_mass_g"),
    }
}

/// Lean of the lines from upright.
fn lean_deg(facts: &Facts<'_>) -> Result<f64, Gap> {
    let below = facts.get("line_spread_mm")?;
    let above = facts.find("line_top_spread_mm").unwrap_or(below);
    Ok(((above - below) / 2.0)
        .atan2(facts.get("line_drop_mm")?)
        .abs()
        .to_degrees())
}

/// Lines that are taken to carry the weight.
fn carrying(facts: &Facts<'_>) -> Result<f64, Gap> {
    let count = facts.get("line_count")?;
    Ok(if count > 3.0 { CARRYING_OF_FOUR } else { count })
}

/// Pull on one line.
///
/// # Errors
/// What is not written.
pub fn tension_n(facts: &Facts<'_>) -> Result<f64, Gap> {
    let count = carrying(facts)?;
    let lean = if count > 1.0 { lean_deg(facts)? } else { 0.0 };
    Ok(mass_g(facts)? / 1000.0 * GRAVITY_MPS2 / (count * lean.to_radians().cos()))
}

/// How many times stronger the line is than the worst pull, as the margin's own calculation says.
///
/// # Errors
/// What is not written.
pub fn margin(facts: &Facts<'_>) -> Result<Worked<Margin>, Gap> {
    let line = facts.filament.ok_or_else(|| facts.choose("filament"))?;
    Ok(LineMargin {
        static_tension_n: tension_n(facts)?,
        breaking_load_n: facts.number_of(line, "breaking_n")?,
        knot_efficiency: KnotEfficiency {
            knot: knot(&line.knot),
        }
        .work()?
        .efficiency,
        dynamic_factor: facts.get("dynamic_factor")?,
    }
    .work()?)
}

fn knot(code: &Text) -> Knot {
    Knot::ALL
        .iter()
        .copied()
        .find(|k| k.as_str() == &**code)
        .unwrap_or(Knot::Unknown)
}

/// There and back, on the stage.
///
/// # Errors
/// What is not written.
pub fn period_s(facts: &Facts<'_>) -> Result<f64, Gap> {
    Ok(pendulum(facts, 1.0)?.work()?.period_s)
}

fn pendulum(facts: &Facts<'_>, rate_factor_k: f64) -> Result<Pendulum, Gap> {
    Ok(Pendulum {
        length_m: facts.get("line_drop_mm")? / 1000.0,
        gravity_mps2: GRAVITY_MPS2,
        amplitude_deg: 0.0,
        rate_factor_k,
    })
}

/// Swing that counts as over: one photosite, or one photosite a frame where drifting will do.
///
/// # Errors
/// What is not written.
fn still_mm(facts: &Facts<'_>) -> Result<f64, Gap> {
    let depth_mm = common::depth_mm(facts, common::hung(facts)?.place())?;
    let photosite_mm = common::photosite_mm(facts)? / common::magnification_at(facts, depth_mm)?;
    if &*facts.setup.still_for == "drifting" {
        let turns_per_frame = std::f64::consts::TAU / period_s(facts)? / facts.get("shoot_fps")?;
        return Ok(photosite_mm / turns_per_frame);
    }
    Ok(photosite_mm)
}

/// How long the swing takes to die away, by the swings that were counted.
///
/// # Errors
/// What is not written.
pub fn settle_s(facts: &Facts<'_>) -> Result<f64, Gap> {
    Ok(settling(facts)?.work()?.settle_time_s)
}

fn settling(facts: &Facts<'_>) -> Result<SettleTime, Gap> {
    let counted = LogDecrement {
        amplitude_start: facts.get("swing_first_mm")?,
        amplitude_end: facts.get("swing_last_mm")?,
        cycles: facts.get("swing_count")?,
    };
    Ok(SettleTime {
        period_s: period_s(facts)?,
        log_decrement: counted.work()?.log_decrement,
        amplitude_start_mm: counted.amplitude_start,
        amplitude_target_mm: still_mm(facts)?,
    })
}

/// How the camera draws the line, where the model hangs.
///
/// # Errors
/// What is not written.
pub fn seen(facts: &Facts<'_>) -> Result<Worked<Visibility>, Gap> {
    let line = facts.filament.ok_or_else(|| facts.choose("filament"))?;
    let o = super::lens::optics(facts)?;
    let depth_mm = common::depth_mm(facts, common::hung(facts)?.place())?;
    // A line smears only by what of the model's way lies across the picture.
    let across = facts
        .find("path_heading_deg")
        .unwrap_or(90.0)
        .to_radians()
        .sin()
        .abs();
    let smear_mm = time::model_speed_mps(facts).map_or(0.0, |mps| mps * 1000.0)
        * common::exposure_s(facts)?
        * common::magnification_at(facts, depth_mm)?
        * across;
    Ok(FilamentVisibility {
        filament_diameter_mm: facts.number_of(line, "diameter_mm")?,
        focal_length_mm: o.focal_length_mm,
        f_number: o.f_number,
        focus_distance_from_entrance_pupil_mm: o.focus_from_pupil_mm,
        filament_distance_mm: depth_mm,
        pupil_magnification: o.pupil_magnification,
        photosite_mm: common::photosite_mm(facts)?,
        wavelength_nm: WAVELENGTH_NM,
        bare_contrast: facts.get("line_contrast")?,
        haze_transmittance: common::transmittance(facts, depth_mm)?,
        motion_blur_mm: smear_mm,
    }
    .work()?)
}

fn ledger(facts: &Facts<'_>) -> Vec<Figure> {
    let ring = facts.hung().map(|t| t.ring.to_string()).unwrap_or_default();
    let ring = &*ring;
    vec![
        figure(facts, "line-lean", "", "Lines lean", "°", |f| {
            if f.get("line_count")? < 2.0 {
                return Ok(Told::new("0", "", "One line hangs upright.", ""));
            }
            let (drop, below) = (f.get("line_drop_mm")?, f.get("line_spread_mm")?);
            let above = f.find("line_top_spread_mm").unwrap_or(below);
            let lean = lean_deg(f)?;
            let tangent = significant(lean.to_radians().tan(), 3);
            Ok(Told::new(
                fixed(lean, 1),
                format!(
                    "({} − {}) ÷ 2 ÷ {} = {tangent}",
                    given(above.max(below)),
                    given(above.min(below)),
                    given(drop)
                ),
                "Tangent of the lean from upright. Past 60° a line pulls more than the model weighs.",
                "",
            ))
        }),
        figure(facts, "line-pull", ring, "Each line carries", "N", |f| {
            let (mass, count) = (mass_g(f)?, carrying(f)?);
            let lean = if count > 1.0 { lean_deg(f)? } else { 0.0 };
            let shown = significant(tension_n(f)?, 3);
            let words = if f.get("line_count")? > 3.0 {
                "Of four lines two may carry everything: their lengths are never equal enough."
            } else {
                "Weight over the lines that carry it, hanging still."
            };
            Ok(Told::new(
                shown.clone(),
                format!(
                    "{} ÷ 1000 × {GRAVITY_MPS2} ÷ ({} × cos({}°)) = {shown}",
                    given(mass),
                    given(count),
                    step(lean)
                ),
                words,
                "balance of forces",
            ))
        }),
        margin_figure(facts),
        figure(facts, "line-stretch", "", "Stretches", "mm", |f| {
            let line = f.filament.ok_or_else(|| f.choose("filament"))?;
            let worked = Stretch {
                tension_n: tension_n(f)?,
                length_m: f.get("line_drop_mm")? / 1000.0,
                diameter_mm: f.number_of(line, "diameter_mm")?,
                modulus_gpa: f.number_of(line, "modulus_gpa")?,
            }
            .work()?;
            Ok(Told::by(
                found(worked.stretch_mm),
                &worked,
                "Hang it an hour before you trim it: plastic lines creep.",
            ))
        }),
        figure(facts, "swing", ring, "Swings, there and back", "s", |f| {
            let worked = pendulum(f, 1.0)?.work()?;
            Ok(Told::by(
                found(worked.period_s),
                &worked,
                "On the stage clock, whatever it weighs.",
            ))
        }),
        figure(facts, "swing-screen", "", "On the screen", "s", |f| {
            let (k, drop) = (time::rate_factor_k(f)?, f.get("line_drop_mm")? / 1000.0);
            let worked = SwingGiveaway {
                line_length_m: drop,
                scale_denominator: f.get("scale_denominator")?,
                rate_factor_k: k,
            }
            .work()?;
            let shown = fixed(worked.screen_period_s, 1);
            let words = format!(
                "Times the stretch. It reads as a line of {} m; something that hangs on nothing must not swing at all.",
                significant(worked.suggested_story_line_m, 2)
            );
            let expression = format!("{} × {} = {shown}", step(period_s(f)?), step(k));
            Ok(Told::new(shown, expression, words, worked.source))
        }),
        figure(facts, "settle", ring, "Still after", "s", |f| {
            let worked = settling(f)?.work()?;
            let words = if &*f.setup.still_for == "drifting" {
                "Counted swings carried on until it drifts less than a photosite a frame."
            } else {
                "Counted swings carried on until the swing is under one photosite. A thread to a fixed point out of frame, or a vane in a pot of water, shortens it."
            };
            Ok(Told::by(
                significant(worked.settle_time_s, 2),
                &worked,
                words,
            ))
        }),
        visibility(facts),
    ]
}

fn margin_figure(facts: &Facts<'_>) -> Figure {
    figure(facts, "line-margin", "", "Line margin", "×", |f| {
        let worked = margin(f)?;
        let low = worked.margin < 5.0;
        let mut told = Told::by(
            significant(worked.margin, 2),
            &worked,
            "Knot and shock taken off. Nothing hangs over people; a qualified rigger decides.",
        );
        if low {
            told.over = "Under five: plan to lose the model, and let nobody be below.".into();
        }
        Ok(told)
    })
}

fn visibility(facts: &Facts<'_>) -> Figure {
    figure(
        facts,
        "line-seen",
        "",
        "The line darkens its ground by",
        "%",
        |f| {
            let worked = seen(f)?;
            let shown = significant(worked.dip_contrast * 100.0, 2);
            let words = format!(
                "{} photosites wide, defocused over {}. Under 1 % is not seen (from memory); over 3 % is (common practice).",
                significant(worked.width_photosites, 2),
                significant(worked.defocus_photosites, 2)
            );
            Ok(Told::by(shown, &worked, words))
        },
    )
}
