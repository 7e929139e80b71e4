//! Lens and sharpness: the blur we accept, what is sharp from the mark, and what the stop costs.

use super::{Told, figure, step};
use crate::{
    plan::setups::facts::{Facts, Gap},
    web::parts::Figure,
};
use stillair_calc::{
    Calculate as _,
    figure::{fixed, found, given, significant},
    focus::{BestStop, DepthOfField, MagnificationFromMark},
};

/// Wavelength for diffraction, µm: green, where the eye and most sensors see best.
const WAVELENGTH_UM: f64 = 0.55;
/// The disc that softens as much as a blur of the same size: 1.75 λN. The first dark ring (2.44 λN) warns a stop too early.
const EQUAL_CONTRAST: f64 = 1.75;

/// What lens and focus come to.
#[derive(Clone, Copy, Debug)]
pub struct Optics {
    /// Focal length.
    pub focal_length_mm: f64,
    /// Marked f-number.
    pub f_number: f64,
    /// Exit pupil over entrance pupil.
    pub pupil_magnification: f64,
    /// Principal gap.
    pub principal_plane_separation_mm: f64,
    /// Largest blur accepted on the sensor.
    pub blur_line_mm: f64,
    /// Image over object size at the focus.
    pub magnification: f64,
    /// Focus from the entrance pupil.
    pub focus_from_pupil_mm: f64,
    /// Entrance pupil ahead of the mark.
    pub pupil_from_mark_mm: f64,
    /// Near limit from the mark.
    pub near_mm: f64,
    /// Far limit from the mark; none when sharp to infinity.
    pub far_mm: Option<f64>,
}

impl Optics {
    /// Blur on the sensor of something at a distance from the mark.
    pub fn blur_mm(&self, from_mark_mm: f64) -> Option<f64> {
        let x = from_mark_mm - self.pupil_from_mark_mm;
        (x > 0.0).then(|| {
            self.focal_length_mm / self.f_number
                * self.magnification
                * (x - self.focus_from_pupil_mm).abs()
                / x
        })
    }

    /// Distance over which the frame opens by its own width: the focal length, corrected for close focus.
    pub fn projection_distance_mm(&self) -> f64 {
        self.focal_length_mm * (1.0 + self.magnification / self.pupil_magnification)
    }

    /// The share the stop, the line and the lens take of the focus distance: N c ÷ (f m).
    fn blur_share(&self) -> f64 {
        self.f_number * self.blur_line_mm / (self.focal_length_mm * self.magnification)
    }
}

/// Largest blur accepted, on the sensor.
///
/// # Errors
/// The first blank that is missing, or a sentence on what cannot be.
pub fn blur_line_mm(facts: &Facts<'_>) -> Result<f64, Gap> {
    Ok(facts.get("blur_line_px")? * facts.get("sensor_width_mm")?
        / facts.get("delivered_width_px")?)
}

/// Magnification and focus from the pupil; these need no stop.
fn focused(facts: &Facts<'_>) -> Result<(f64, f64), Gap> {
    facts.once(&facts.focused, work_focus)
}

fn work_focus(facts: &Facts<'_>) -> Result<(f64, f64), Gap> {
    let from_mark = MagnificationFromMark {
        focal_length_mm: facts.get("focal_length_mm")?,
        focus_distance_from_sensor_mm: facts.get("focus_from_mark_mm")?,
        principal_plane_separation_mm: facts.get("principal_plane_separation_mm")?,
        pupil_magnification: facts.get("pupil_magnification")?,
    }
    .work()?;
    Ok((
        from_mark.magnification,
        from_mark.focus_distance_from_entrance_pupil_mm,
    ))
}

/// Works lens and focus out.
///
/// # Errors
/// The first blank that is missing, or a sentence on what cannot be.
pub fn optics(facts: &Facts<'_>) -> Result<Optics, Gap> {
    facts.once(&facts.optics, work_optics)
}

fn work_optics(facts: &Facts<'_>) -> Result<Optics, Gap> {
    let (magnification, focus_from_pupil_mm) = focused(facts)?;
    let blur_line_mm = blur_line_mm(facts)?;
    let depth = DepthOfField {
        focal_length_mm: facts.get("focal_length_mm")?,
        f_number: facts.get("f_number")?,
        permitted_blur_mm: blur_line_mm,
        focus_distance_from_entrance_pupil_mm: focus_from_pupil_mm,
        pupil_magnification: facts.get("pupil_magnification")?,
        principal_plane_separation_mm: facts.get("principal_plane_separation_mm")?,
        wavelength_nm: WAVELENGTH_UM * 1000.0,
    };
    let worked = depth.work()?;
    let pupil = worked.entrance_pupil_to_sensor_mm;
    let far = worked.far_from_entrance_pupil_mm.0;
    Ok(Optics {
        focal_length_mm: depth.focal_length_mm,
        f_number: depth.f_number,
        pupil_magnification: depth.pupil_magnification,
        principal_plane_separation_mm: depth.principal_plane_separation_mm,
        blur_line_mm,
        magnification,
        focus_from_pupil_mm,
        pupil_from_mark_mm: pupil,
        near_mm: worked.near_from_entrance_pupil_mm + pupil,
        far_mm: far.is_finite().then_some(far + pupil),
    })
}

/// Width and height the frame takes in at the focus.
///
/// # Errors
/// The first blank that is missing, or a sentence on what cannot be.
pub fn frame_at_focus_mm(facts: &Facts<'_>) -> Result<(f64, f64), Gap> {
    let (m, _) = focused(facts)?;
    Ok((
        facts.get("sensor_width_mm")? * facts.get("squeeze")? / m,
        facts.get("sensor_height_mm")? / m,
    ))
}

/// The disc that diffraction spreads a point to, as a blur of equal contrast.
///
/// # Errors
/// The first blank that is missing, or a sentence on what cannot be.
pub fn softening_um(facts: &Facts<'_>) -> Result<f64, Gap> {
    let (m, _) = focused(facts)?;
    Ok(EQUAL_CONTRAST
        * WAVELENGTH_UM
        * facts.get("f_number")?
        * (1.0 + m / facts.get("pupil_magnification")?))
}

/// The ledger.
pub fn ledger(facts: &Facts<'_>) -> Vec<Figure> {
    let mut ledger = vec![
        figure(facts, "blur-line", "", "Blur line", "µm", |f| {
            let (px, sensor, delivered) = (
                f.get("blur_line_px")?,
                f.get("sensor_width_mm")?,
                f.get("delivered_width_px")?,
            );
            let shown = significant(blur_line_mm(f)? * 1000.0, 3);
            Ok(Told::new(
                shown.clone(),
                format!(
                    "{} × {} ÷ {} × 1000 = {shown}",
                    given(px),
                    given(sensor),
                    given(delivered)
                ),
                "So many pixels of the delivered picture, laid on the sensor: the cut is shown no finer.",
                "common practice, no source",
            ))
        }),
        near(facts),
        far(facts),
        softening(facts),
        figure(facts, "frame", "", "Frame at focus", "mm", |f| {
            let (m, _) = focused(f)?;
            let (width, height) = frame_at_focus_mm(f)?;
            let (sensor, squeeze) = (f.get("sensor_width_mm")?, f.get("squeeze")?);
            let shown = found(width.round());
            let words = format!(
                "Sensor width over picture size; {} mm high.",
                found(height.round())
            );
            Ok(Told::new(
                shown.clone(),
                format!(
                    "{} × {} ÷ {} = {shown}",
                    given(sensor),
                    given(squeeze),
                    step(m)
                ),
                words,
                "",
            ))
        }),
        figure(facts, "view", "", "Angle of view", "°", |f| {
            let (m, _) = focused(f)?;
            let (sensor, squeeze, focal, pupil) = (
                f.get("sensor_width_mm")?,
                f.get("squeeze")?,
                f.get("focal_length_mm")?,
                f.get("pupil_magnification")?,
            );
            let tangent = sensor * squeeze / (2.0 * focal * (1.0 + m / pupil));
            let shown = fixed(2.0 * tangent.atan().to_degrees(), 1);
            let half = fixed(tangent, 4);
            let expression = format!(
                "{} × {} ÷ (2 × {} × (1 + {} ÷ {})) = {half}",
                given(squeeze),
                given(sensor),
                given(focal),
                step(m),
                given(pupil)
            );
            Ok(Told::new(
                shown,
                expression,
                "Tangent of half the view, from the pupil; close focus narrows it.",
                "",
            ))
        }),
        figure(facts, "pupil", "", "Pupil ahead of mark", "mm", |f| {
            let (m, _) = focused(f)?;
            let (focal, pupil, gap) = (
                f.get("focal_length_mm")?,
                f.get("pupil_magnification")?,
                f.get("principal_plane_separation_mm")?,
            );
            let shown = significant(focal * (2.0 + m - 1.0 / pupil) + gap, 4);
            let expression = format!(
                "{} × (2 + {} − 1 ÷ {}) + {} = {shown}",
                given(focal),
                step(m),
                given(pupil),
                given(gap)
            );
            Ok(Told::new(
                shown,
                expression,
                "The frame opens from there; turn the camera about it and nothing shifts.",
                "",
            ))
        }),
        story(facts),
    ];
    if facts.find("nearest_piece_mm").is_some() && facts.find("farthest_piece_mm").is_some() {
        ledger.push(best(facts));
    }
    ledger
}

fn near(facts: &Facts<'_>) -> Figure {
    figure(facts, "near", "3", "Near limit, from mark", "mm", |f| {
        let o = optics(f)?;
        let shown = found(o.near_mm.round());
        let expression = format!(
            "{} ÷ (1 + {}) + {} = {shown}",
            step(o.focus_from_pupil_mm),
            step(o.blur_share()),
            step(o.pupil_from_mark_mm)
        );
        let words = format!(
            "Focus {} from the pupil, and the pupil is {} ahead of the mark. Blur share {} is the stop times the line over lens times picture size.",
            found(o.focus_from_pupil_mm.round()),
            found(o.pupil_from_mark_mm.round()),
            significant(o.blur_share(), 3)
        );
        Ok(Told::new(
            shown,
            expression,
            words,
            "entrance-pupil form, ray traced",
        ))
    })
}

fn far(facts: &Facts<'_>) -> Figure {
    figure(facts, "far", "4", "Far limit, from mark", "mm", |f| {
        let o = optics(f)?;
        let Some(far) = o.far_mm else {
            let words = format!(
                "Sharp to infinity: the blur share {} is not under one.",
                significant(o.blur_share(), 3)
            );
            return Ok(Told::new("to infinity", "", words, ""));
        };
        let shown = found(far.round());
        let expression = format!(
            "{} ÷ (1 − {}) + {} = {shown}",
            step(o.focus_from_pupil_mm),
            step(o.blur_share()),
            step(o.pupil_from_mark_mm)
        );
        let words = match f.find("scale_denominator") {
            Some(scale) => {
                let full = |mm: f64| significant((mm - o.pupil_from_mark_mm) * scale / 1000.0, 3);
                format!(
                    "Full size {} to {} m from the lens.",
                    full(o.near_mm),
                    full(far)
                )
            }
            None => String::new(),
        };
        Ok(Told::new(shown, expression, words, ""))
    })
}

fn softening(facts: &Facts<'_>) -> Figure {
    figure(facts, "softens", "5", "Stop softens to", "µm", |f| {
        let (m, _) = focused(f)?;
        let (stop, pupil) = (f.get("f_number")?, f.get("pupil_magnification")?);
        let um = softening_um(f)?;
        let line_um = blur_line_mm(f)? * 1000.0;
        let shown = significant(um, 3);
        let expression = format!(
            "{EQUAL_CONTRAST} × {WAVELENGTH_UM} × {} × (1 + {} ÷ {}) = {shown}",
            given(stop),
            step(m),
            given(pupil)
        );
        let words = format!(
            "Keep under {} µm. The disc of equal contrast, not the first dark ring, which warns a stop too early.",
            significant(line_um, 3)
        );
        let mut told = Told::new(shown, expression, words, "");
        if um > line_um {
            told.over = format!(
                "Over the blur line: open to f/{}.",
                significant(stop * line_um / um, 2)
            );
        }
        Ok(told)
    })
}

/// The stop a full-size lens of the same view would need to look as shallow.
fn story(facts: &Facts<'_>) -> Figure {
    figure(facts, "story-stop", "", "Reads full size as", "f/", |f| {
        let (stop, scale) = (f.get("f_number")?, f.get("scale_denominator")?);
        let shown = significant(stop / scale, 2);
        Ok(Told::new(
            shown.clone(),
            format!("{} ÷ {} = {shown}", given(stop), given(scale)),
            "Same lens at full size: the pupil grows with the scale.",
            "similarity of blur cones",
        ))
    })
}

fn best(facts: &Facts<'_>) -> Figure {
    figure(
        facts,
        "best-stop",
        "",
        "Best stop for the pieces",
        "f/",
        |f| {
            let (m, u) = focused(f)?;
            let (focal, pupil, gap) = (
                f.get("focal_length_mm")?,
                f.get("pupil_magnification")?,
                f.get("principal_plane_separation_mm")?,
            );
            let ahead = focal * (2.0 + m - 1.0 / pupil) + gap;
            let _ = u;
            let (near, far) = (
                f.get("nearest_piece_mm")? - ahead,
                f.get("farthest_piece_mm")? - ahead,
            );
            let best = BestStop {
                focal_length_mm: focal,
                near_from_entrance_pupil_mm: near,
                far_from_entrance_pupil_mm: far,
                pupil_magnification: pupil,
                wavelength_nm: WAVELENGTH_UM * 1000.0,
            }
            .work()?;
            let focus = found((best.focus_from_entrance_pupil_mm + ahead).round());
            let words = format!(
                "Focus at {focus} mm from the mark; the ends then blur {} µm, and no single exposure does better.",
                significant(best.total_blur_um, 3)
            );
            Ok(Told::new(
                significant(best.best_f_number, 2),
                "",
                words,
                best.source,
            ))
        },
    )
}
