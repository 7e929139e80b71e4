//! Quantities that several ledgers rest on: photosite, exposure, and where what hangs or travels is.

use super::{lens, water};
use crate::plan::setups::{
    facts::{Facts, Gap},
    standing::Standing,
};
use stillair_calc::{
    drawing::scene::Place,
    figure::{found, significant},
};

/// A length as it is taped: whole millimetres from a hundred on, three digits below.
pub fn taped(mm: f64) -> String {
    if mm.abs() >= 100.0 {
        found(mm.round())
    } else {
        significant(mm, 3)
    }
}

/// Width of a photosite.
///
/// # Errors
/// What is not written.
pub fn photosite_mm(facts: &Facts<'_>) -> Result<f64, Gap> {
    Ok(facts.get("sensor_width_mm")? / facts.get("photosites_across")?)
}

/// How long each frame is open.
///
/// # Errors
/// What is not written.
pub fn exposure_s(facts: &Facts<'_>) -> Result<f64, Gap> {
    Ok(facts.get("shutter_deg")? / 360.0 / facts.get("shoot_fps")?)
}

/// How far a place lies from the entrance pupil, along the axis.
///
/// # Errors
/// What is not written, or a place that is not before the lens.
pub fn depth_mm(facts: &Facts<'_>, place: Place) -> Result<f64, Gap> {
    let o = lens::optics(facts)?;
    let (sin, cos) = facts.get("tilt_deg")?.to_radians().sin_cos();
    let down_mm = facts.get("camera_height_mm")? - place.z_mm;
    let depth_mm = place.x_mm * cos + down_mm * sin - o.pupil_from_mark_mm;
    if depth_mm > 0.0 {
        Ok(depth_mm)
    } else {
        Err(Gap::Impossible("It does not stand before the lens.".into()))
    }
}

/// Image over object size this far from the pupil.
///
/// # Errors
/// What is not written.
pub fn magnification_at(facts: &Facts<'_>, depth_mm: f64) -> Result<f64, Gap> {
    let o = lens::optics(facts)?;
    Ok(o.magnification * o.focus_from_pupil_mm / depth_mm)
}

/// Share of light that the haze lets through on this way.
///
/// # Errors
/// What is not written.
pub fn transmittance(facts: &Facts<'_>, way_mm: f64) -> Result<f64, Gap> {
    Ok((-water::extinction_per_m(facts)? * way_mm / 1000.0).exp())
}

/// How far what is looked at lies from the pupil: what hangs or travels, else the focus.
///
/// # Errors
/// What is not written.
pub fn subject_depth_mm(facts: &Facts<'_>) -> Result<f64, Gap> {
    match facts.hung() {
        Some(hung) => depth_mm(facts, hung.place()),
        None => Ok(lens::optics(facts)?.focus_from_pupil_mm),
    }
}

/// What hangs or travels, or the gap that its absence makes.
///
/// # Errors
/// A sentence, while nothing stands on the table that could.
pub fn hung<'f, 'a>(facts: &'f Facts<'a>) -> Result<&'f Standing<'a>, Gap> {
    facts.hung().ok_or_else(|| {
        Gap::Impossible("Put the model on the table first: “Things on the table”, below.".into())
    })
}
