//! Light: what the stop and the rate ask for, what the haze on the lamp's way takes, and what the lamp must give.

use super::{Told, figure, lens, step, water};
use crate::{
    plan::setups::facts::{Facts, Gap},
    web::parts::Figure,
};
use stillair_calc::{
    Calculate as _,
    exposure::RequiredIlluminance,
    figure::{found, given, significant},
};

/// Heat where a lamp works: common practice, no source.
pub const HOT_LUX: f64 = 15_000.0;

/// T-number that close focus makes of the marked stop.
fn t_number(facts: &Facts<'_>) -> Result<f64, Gap> {
    Ok(facts.get("f_number")? / facts.get("lens_transmission")?.sqrt() * bellows(facts))
}

/// What close focus does to the stop; 1 while the focus is not known.
fn bellows(facts: &Facts<'_>) -> f64 {
    lens::optics(facts).map_or(1.0, |o| 1.0 + o.magnification / o.pupil_magnification)
}

/// Light an even exposure asks for.
///
/// # Errors
/// The first blank that is missing, or a sentence on what cannot be.
pub fn even_lx(facts: &Facts<'_>) -> Result<f64, Gap> {
    let even = RequiredIlluminance {
        t_number: t_number(facts)?,
        fps: facts.get("shoot_fps")?,
        shutter_deg: facts.get("shutter_deg")?,
        iso: facts.get("exposure_index")?,
        c_constant: facts.get("incident_constant")?,
    };
    Ok(even.work()?.illuminance_lx)
}

/// Key light on the set.
///
/// # Errors
/// The first blank that is missing, or a sentence on what cannot be.
pub fn key_lx(facts: &Facts<'_>) -> Result<f64, Gap> {
    Ok(even_lx(facts)? * facts.get("key_stops")?.exp2())
}

/// Key light before the haze on its way takes its share.
///
/// # Errors
/// The first blank that is missing, or a sentence on what cannot be.
pub fn before_haze_lx(facts: &Facts<'_>) -> Result<f64, Gap> {
    Ok(key_lx(facts)?
        * (water::extinction_per_m(facts)? * facts.get("key_through_haze_mm")? / 1000.0).exp())
}

/// The ledger.
pub fn ledger(facts: &Facts<'_>) -> Vec<Figure> {
    vec![
        figure(facts, "exposure", "", "Exposure", "s", |f| {
            let (shutter, fps) = (f.get("shutter_deg")?, f.get("shoot_fps")?);
            let bottom = found(360.0 * fps / shutter);
            Ok(Told::new(
                format!("1/{bottom}"),
                format!("360 × {} ÷ {} = {bottom}", given(fps), given(shutter)),
                "Each frame is open for that part of a second.",
                "",
            ))
        }),
        even(facts),
        figure(facts, "key", "", "Key on the floor", "lx", |f| {
            let (even, stops) = (even_lx(f)?, f.get("key_stops")?);
            let lx = key_lx(f)?;
            let shown = found(lx);
            let words = match stops {
                s if s < 0.0 => format!(
                    "{} stops under the even reading; {} fc.",
                    significant(-s, 2),
                    significant(lx / 10.763_910_417, 3)
                ),
                s if s > 0.0 => format!(
                    "{} stops over the even reading; {} fc.",
                    significant(s, 2),
                    significant(lx / 10.763_910_417, 3)
                ),
                _ => format!(
                    "As the even reading; {} fc.",
                    significant(lx / 10.763_910_417, 3)
                ),
            };
            let mut told = Told::new(
                shown.clone(),
                format!("{} × 2^({}) = {shown}", step(even), given(stops)),
                words,
                "",
            );
            if lx > HOT_LUX {
                told.over = "Heat: gels, wax, foam and resin soften or burn at this level. Keep the lamp maker's distances, burn it only for takes, never leave it.".into();
            }
            Ok(told)
        }),
        figure(facts, "before-haze", "12", "Same, before haze", "lx", |f| {
            let (key, sigma, way) = (
                key_lx(f)?,
                water::extinction_per_m(f)?,
                f.get("key_through_haze_mm")? / 1000.0,
            );
            let shown = found(before_haze_lx(f)?);
            let expression = format!(
                "{} × 2^({} × {} ÷ ln 2) = {shown}",
                step(key),
                step(sigma),
                given(way)
            );
            let words = format!(
                "The lamp’s {} mm of haze costs {} stops. The camera’s path asks for none: the veil lifts the picture.",
                found(way * 1000.0),
                significant(sigma * way / std::f64::consts::LN_2, 2)
            );
            Ok(Told::new(shown, expression, words, "Beer–Lambert law"))
        }),
        figure(facts, "lamp", "12", "Key lamp must give", "kcd", |f| {
            let (lx, metres) = (before_haze_lx(f)?, f.get("key_distance_mm")? / 1000.0);
            let shown = significant(lx * metres * metres / 1000.0, 3);
            let expression = format!("{} × {}^2 ÷ 1000 = {shown}", step(lx), given(metres));
            let words = "Straight on, and at least five lamp widths away. Focused heads do not keep to this near the lens: measure.";
            Ok(Told::new(
                shown,
                expression,
                words,
                "inverse square; IES definition 9.1.1",
            ))
        }),
    ]
}

fn even(facts: &Facts<'_>) -> Figure {
    figure(facts, "even", "", "Even reading", "lx", |f| {
        let (stop, glass, fps) = (
            f.get("f_number")?,
            f.get("lens_transmission")?,
            f.get("shoot_fps")?,
        );
        let (shutter, ei, constant) = (
            f.get("shutter_deg")?,
            f.get("exposure_index")?,
            f.get("incident_constant")?,
        );
        let close = bellows(f);
        let shown = found(even_lx(f)?);
        let expression = format!(
            "{} × ({} ÷ √{} × {})^2 × 360 × {} ÷ {} ÷ {} = {shown}",
            given(constant),
            given(stop),
            given(glass),
            step(close),
            given(fps),
            given(shutter),
            given(ei)
        );
        let words = format!(
            "Meter constant {}; T {} with the glass, and × {} for close focus.",
            given(constant),
            significant(t_number(f)?, 3),
            significant(close, 4)
        );
        Ok(Told::new(
            shown,
            expression,
            words,
            "ISO 2720:1974, dome constant from memory",
        ))
    })
}
