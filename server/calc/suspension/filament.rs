//! Whether the lines that hold a model are seen.

use crate::calculation::calculation;
use crate::fault::{Fault, Warnings};
use crate::figure::{carried, found};
use crate::focus::{MM_PER_NM, WAVELENGTH_NM, magnification};
use std::f64::consts::PI;

/// Dips below this share are not seen; from memory.
const INVISIBLE: f64 = 0.01;
/// Dips above this share are seen; common practice, no source.
const VISIBLE: f64 = 0.03;

calculation! { "suspension";
    /// How dark a line is drawn by the camera, as a share of its background.
    ///
    /// Widths on the sensor, combined as squares: the line itself against defocus, diffraction, photosite and motion.
    /// Agrees with a full convolution within 5 % for lines thinner than a photosite, 12 % for lines of 2.6. Less than 1 %
    /// is not seen (from memory), more than 3 % is (common practice). Matt the line, keep the key off it, spend defocus
    /// on it. Thin filament cuts skin and eyes: wear eye protection near it.
    filament_visibility(FilamentVisibility {
        /// Thickness of the line.
        filament_diameter_mm: f64 = Above(0.0); usual 0.1,
        /// Focal length of the lens.
        focal_length_mm: f64 = Above(0.0); usual 50.0,
        /// Marked f-number.
        f_number: f64 = Above(0.0); usual 16.0,
        /// Distance of the plane of focus from the entrance pupil.
        focus_distance_from_entrance_pupil_mm: f64 = Above(0.0); usual 1500.0,
        /// Distance of the line from the entrance pupil.
        filament_distance_mm: f64 = Above(0.0); usual 1600.0,
        /// Exit pupil over entrance pupil.
        pupil_magnification: f64 = Above(0.0); default 1.0,
        /// Pitch of the photosites.
        photosite_mm: f64 = Above(0.0); usual 0.0055,
        /// Wavelength for diffraction.
        wavelength_nm: f64 = Above(0.0); default WAVELENGTH_NM,
        /// Contrast of the bare line against what is behind it.
        bare_contrast: f64 = Between(0.0, 1.0); default 1.0,
        /// Share of light that the haze between line and camera lets through.
        haze_transmittance: f64 = AboveUpTo(0.0, 1.0); default 1.0,
        /// How far the line moves across the sensor during the exposure.
        motion_blur_mm: f64 = AtLeast(0.0); default 0.0,
    }) -> Visibility {
        /// Width of the line on the sensor, in photosites.
        width_photosites: f64,
        /// Defocus on the sensor, in photosites.
        defocus_photosites: f64,
        /// How dark the line is drawn.
        dip_contrast: f64,
        /// How that is seen; common practice, no source.
        grade: &'static str,
    }
    because filament_visibility_because
    source "widths combined as squares, derived and agreed by a convolution of line, defocus, diffraction and photosite; threshold from memory", Confirmed
}

/// Widths on the sensor: the line, its defocus, and all blurs together.
#[expect(clippy::struct_field_names, reason = "numbers carry their unit")]
struct Widths {
    line_mm: f64,
    defocus_mm: f64,
    blur_mm: f64,
}

fn widths(i: &FilamentVisibility) -> Result<Widths, Fault> {
    let focus_mm = i.focus_distance_from_entrance_pupil_mm;
    let m = magnification(
        i.focal_length_mm,
        i.pupil_magnification,
        focus_mm,
        "focus_distance_from_entrance_pupil_mm",
    )?;
    let away_mm = (i.filament_distance_mm - focus_mm).abs();
    let defocus_mm = i.focal_length_mm / i.f_number * m * away_mm / i.filament_distance_mm;
    let effective_f_number = i.f_number * (1.0 + m / i.pupil_magnification);
    let diffraction_mm = 3.0 * PI / 8.0 * i.wavelength_nm * MM_PER_NM * effective_f_number;
    let blur_mm = (PI / 4.0 * defocus_mm)
        .hypot(diffraction_mm)
        .hypot(i.photosite_mm)
        .hypot(i.motion_blur_mm);
    Ok(Widths {
        line_mm: i.filament_diameter_mm * m * focus_mm / i.filament_distance_mm,
        defocus_mm,
        blur_mm,
    })
}

/// Contrast of the line before any blur.
fn through_haze(i: &FilamentVisibility) -> f64 {
    i.bare_contrast * i.haze_transmittance
}

fn filament_visibility(i: &FilamentVisibility, _: &mut Warnings) -> Result<Visibility, Fault> {
    let widths = widths(i)?;
    let dip_contrast = through_haze(i) * widths.line_mm / widths.line_mm.hypot(widths.blur_mm);
    let grade = if dip_contrast < INVISIBLE {
        "invisible"
    } else if dip_contrast <= VISIBLE {
        "watch"
    } else {
        "visible"
    };
    Ok(Visibility {
        width_photosites: widths.line_mm / i.photosite_mm,
        defocus_photosites: widths.defocus_mm / i.photosite_mm,
        dip_contrast,
        grade,
    })
}

fn filament_visibility_because(i: &FilamentVisibility, a: &Visibility) -> String {
    let blur_mm = widths(i).map_or(f64::NAN, |widths| widths.blur_mm);
    let line = carried(a.width_photosites);
    format!(
        "{} × {line} ÷ √({line}^2 + {}^2) = {} of the background is how dark the line is drawn, from its width and all the blur, both in photosites: {}.",
        carried(through_haze(i)),
        carried(blur_mm / i.photosite_mm),
        found(a.dip_contrast),
        a.grade
    )
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{Calculate, FaultKind};
    use proptest::prelude::*;

    fn line(filament_distance_mm: f64, haze_transmittance: f64) -> FilamentVisibility {
        FilamentVisibility {
            filament_diameter_mm: 0.1,
            focal_length_mm: 50.0,
            f_number: 16.0,
            focus_distance_from_entrance_pupil_mm: 1500.0,
            filament_distance_mm,
            pupil_magnification: 1.0,
            photosite_mm: 0.0055,
            wavelength_nm: WAVELENGTH_NM,
            bare_contrast: 1.0,
            haze_transmittance,
            motion_blur_mm: 0.0,
        }
    }

    #[test]
    fn a_lens_that_cannot_focus_is_refused() {
        let mut near = line(1500.0, 1.0);
        near.focus_distance_from_entrance_pupil_mm = 50.0;
        assert_eq!(
            near.work().expect_err("refused")[0].kind,
            FaultKind::TooClose
        );
    }

    #[test]
    fn haze_hides_the_line_in_proportion() {
        let clear = line(1500.0, 1.0).work().expect("in range");
        let hazy = line(1500.0, 0.03).work().expect("in range");
        assert_eq!((clear.grade, hazy.grade), ("visible", "invisible"));
        assert!((hazy.dip_contrast / clear.dip_contrast - 0.03).abs() < 1e-12);
    }

    proptest! {
        #[test]
        fn out_of_focus_hides_it(away in 1.0..1000.0) {
            let there = |distance| line(distance, 1.0).work().expect("in range").dip_contrast;
            prop_assert!(there(1500.0 + away) < there(1500.0));
        }
    }
}
