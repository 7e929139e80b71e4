//! Stops against diffraction, and focus slices when no stop is enough.

use super::{AIRY_FACTOR, MM_PER_NM, UM_PER_MM, WAVELENGTH_NM, magnification};
use crate::calculation::{OrInfinity, calculation};
use crate::fault::{Fault, FaultKind, Warnings};
use crate::figure::{carried, found, given};

/// More focus slices than this are a mistyped blur.
const MOST_SLICES: usize = 2000;

calculation! { "focus";
    /// The f-number that light and diffraction see close up, and what it costs.
    ///
    /// N(1 + m/P); the loss is 2 log₂(1 + m/P) stops.
    effective_f_number(EffectiveFNumber {
        /// Focal length of the lens; not part of the sum, kept with its setting.
        focal_length_mm: Option<f64> = Above(0.0); usual 50.0,
        /// Marked f-number.
        f_number: f64 = Above(0.0); usual 22.0,
        /// Image size over object size.
        magnification: f64 = AtLeast(0.0); usual 0.1,
        /// Exit pupil over entrance pupil.
        pupil_magnification: f64 = Above(0.0); default 1.0,
        /// Wavelength for diffraction.
        wavelength_nm: f64 = Above(0.0); default WAVELENGTH_NM,
    }) -> EffectiveFNumberFound {
        /// The f-number that light and diffraction see.
        effective_f_number: f64,
        /// Light lost against the marked f-number.
        exposure_loss_stops: f64,
        /// First dark ring of a point's image.
        airy_diameter_um: f64,
    }
    because "{f_number} × (1 + {magnification} ÷ {pupil_magnification}) = {effective_f_number}, which costs {exposure_loss_stops} stops"
    source "Depth of Field in Depth (equations from memory), agreed by a ray trace", Confirmed

    /// Width of the image of a point, to its first dark ring.
    airy(Airy {
        /// Wavelength of the light.
        wavelength_nm: f64 = Above(0.0); default WAVELENGTH_NM,
        /// The f-number that diffraction sees.
        effective_f_number: f64 = Above(0.0); usual 22.0,
    }) -> AiryFound {
        /// First dark ring of a point's image.
        airy_diameter_um: f64,
    }
    because "2.44 × {wavelength_nm} ÷ 1000 × {effective_f_number} = {airy_diameter_um} µm"
    source "Modern Optical Engineering, diffraction of a round aperture", Confirmed

    /// The one stop and focus that hold a whole range best, defocus and diffraction together.
    ///
    /// Focus at the harmonic mean of both ends; there √(A/B) is the stop and √(2AB) the blur at the ends, where A/N is
    /// the defocus and B N the diffraction. Within 1.5 % of the fully free optimum. When the blur is more than the shot
    /// allows, no single exposure holds the range: stack, tilt, narrow the set or frame wider.
    best_stop(BestStop {
        /// Focal length of the lens.
        focal_length_mm: f64 = Above(0.0); usual 35.0,
        /// Nearest thing that must be sharp, from the entrance pupil.
        near_from_entrance_pupil_mm: f64 = Above(0.0); usual 800.0,
        /// Farthest thing that must be sharp, from the entrance pupil.
        far_from_entrance_pupil_mm: f64 = Above(0.0); usual 1800.0,
        /// Exit pupil over entrance pupil.
        pupil_magnification: f64 = Above(0.0); default 1.0,
        /// Wavelength for diffraction.
        wavelength_nm: f64 = Above(0.0); default WAVELENGTH_NM,
    }) -> BestStopFound {
        /// Where to focus, from the entrance pupil.
        focus_from_entrance_pupil_mm: f64,
        /// Marked f-number to set.
        best_f_number: f64,
        /// Blur on the sensor at both ends of the range.
        total_blur_um: f64,
    }
    because best_stop_because
    source "balance of defocus and diffraction added as root sum of squares, agreed by a free search", Confirmed

    /// Focus distances of a locked-off stack that together hold a range.
    ///
    /// Each slice begins where the last one ends. One beyond the hyperfocal distance is focused at infinity and ends
    /// the stack. Lock off camera, model and haze.
    focus_slices(FocusSlices {
        /// Focal length of the lens.
        focal_length_mm: f64 = Above(0.0); usual 35.0,
        /// Marked f-number.
        f_number: f64 = Above(0.0); usual 16.0,
        /// Widest defocus blur on the sensor that passes for sharp.
        permitted_defocus_blur_mm: f64 = Above(0.0); usual 0.015,
        /// Nearest thing that must be sharp, from the entrance pupil.
        near_from_entrance_pupil_mm: f64 = Above(0.0); usual 500.0,
        /// Farthest thing that must be sharp, from the entrance pupil.
        far_from_entrance_pupil_mm: f64 = Above(0.0); usual 2000.0,
        /// Exit pupil over entrance pupil.
        pupil_magnification: f64 = Above(0.0); default 1.0,
        /// Share of each slice that the next one covers again.
        overlap_fraction: f64 = FromBelow(0.0, 1.0); default 0.0,
    }) -> Slices {
        /// How many exposures.
        slices: u32,
        /// Where to focus each, from the entrance pupil, near to far.
        focus_distances_mm: Vec<OrInfinity>,
    }
    because focus_slices_because
    source "depth limits chained end to end (Depth of Field in Depth)", Confirmed
}

fn effective_f_number(i: &EffectiveFNumber, _: &mut Warnings) -> EffectiveFNumberFound {
    let spread = 1.0 + i.magnification / i.pupil_magnification;
    let effective_f_number = i.f_number * spread;
    EffectiveFNumberFound {
        effective_f_number,
        exposure_loss_stops: 2.0 * spread.log2(),
        airy_diameter_um: airy_um(i.wavelength_nm, effective_f_number),
    }
}

fn airy_um(wavelength_nm: f64, effective_f_number: f64) -> f64 {
    AIRY_FACTOR * wavelength_nm * MM_PER_NM * UM_PER_MM * effective_f_number
}

fn airy(i: &Airy, _: &mut Warnings) -> AiryFound {
    AiryFound {
        airy_diameter_um: airy_um(i.wavelength_nm, i.effective_f_number),
    }
}

/// Defocus blur times f-number, and diffraction blur over f-number, both in mm, for the best focus of a range.
fn best_stop_parts(i: &BestStop) -> Result<(f64, f64, f64), Vec<Fault>> {
    let (near, far) = (i.near_from_entrance_pupil_mm, i.far_from_entrance_pupil_mm);
    if near >= far {
        return Err(Fault::reversed(
            "near_from_entrance_pupil_mm",
            "far_from_entrance_pupil_mm",
        ));
    }
    magnification(
        i.focal_length_mm,
        i.pupil_magnification,
        near,
        "near_from_entrance_pupil_mm",
    )?;
    let focus_mm = 2.0 * near * far / (near + far);
    let m = magnification(
        i.focal_length_mm,
        i.pupil_magnification,
        focus_mm,
        "near_from_entrance_pupil_mm",
    )?;
    let defocus = i.focal_length_mm * m * (far - near) / (far + near);
    let diffraction = AIRY_FACTOR * i.wavelength_nm * MM_PER_NM * (1.0 + m / i.pupil_magnification);
    Ok((focus_mm, defocus, diffraction))
}

fn best_stop(i: &BestStop, _: &mut Warnings) -> Result<BestStopFound, Vec<Fault>> {
    let (focus_from_entrance_pupil_mm, defocus, diffraction) = best_stop_parts(i)?;
    Ok(BestStopFound {
        focus_from_entrance_pupil_mm,
        best_f_number: (defocus / diffraction).sqrt(),
        total_blur_um: (2.0 * defocus * diffraction).sqrt() * UM_PER_MM,
    })
}

fn best_stop_because(i: &BestStop, a: &BestStopFound) -> String {
    let (_, defocus, diffraction) = best_stop_parts(i).unwrap_or_default();
    format!(
        "√({} ÷ {}) = {}, the stop where defocus and diffraction are equal at both ends, focused at {} mm. The blur there is {} µm.",
        carried(defocus),
        carried(diffraction),
        found(a.best_f_number),
        found(a.focus_from_entrance_pupil_mm),
        found(a.total_blur_um)
    )
}

/// Blur per stop in object space, N c'/f², per mm.
fn slice_rate_per_mm(i: &FocusSlices) -> f64 {
    i.f_number * i.permitted_defocus_blur_mm * (1.0 - i.overlap_fraction)
        / i.focal_length_mm.powi(2)
}

fn focus_slices(i: &FocusSlices, _: &mut Warnings) -> Result<Slices, Vec<Fault>> {
    let (near, far) = (i.near_from_entrance_pupil_mm, i.far_from_entrance_pupil_mm);
    if near >= far {
        return Err(Fault::reversed(
            "near_from_entrance_pupil_mm",
            "far_from_entrance_pupil_mm",
        ));
    }
    magnification(
        i.focal_length_mm,
        i.pupil_magnification,
        near,
        "near_from_entrance_pupil_mm",
    )?;
    let rate = slice_rate_per_mm(i);
    let pupil_mm = i.focal_length_mm / i.pupil_magnification;
    // an end missed by rounding alone needs no slice of its own
    let end = far * (1.0 - 1e-12);
    let mut from = near;
    let mut distances = Vec::new();
    while from < end {
        if distances.len() == MOST_SLICES {
            let problem = format!(
                "This needs more than {MOST_SLICES} slices: permit more blur or shorten the range."
            );
            return Err(
                Fault::new("permitted_defocus_blur_mm", FaultKind::OutOfRange, problem).into(),
            );
        }
        if rate * from >= 1.0 {
            distances.push(OrInfinity(f64::INFINITY));
            break;
        }
        let focus = from * (1.0 - rate * pupil_mm) / (1.0 - rate * from);
        distances.push(OrInfinity(focus));
        let left = 1.0 - rate * (focus - pupil_mm);
        if left <= 0.0 {
            break;
        }
        from = focus / left;
    }
    Ok(Slices {
        slices: u32::try_from(distances.len()).unwrap_or(u32::MAX),
        focus_distances_mm: distances,
    })
}

fn focus_slices_because(i: &FocusSlices, a: &Slices) -> String {
    let rate = carried(slice_rate_per_mm(i));
    let near = given(i.near_from_entrance_pupil_mm);
    let slices = match a.slices {
        1 => "One slice holds the range.".to_owned(),
        many => format!("Each slice begins where the one before ends, {many} in all."),
    };
    match a.focus_distances_mm.first() {
        Some(first) if first.0.is_finite() => format!(
            "{near} × (1 − {rate} × {} ÷ {}) ÷ (1 − {rate} × {near}) = {} mm, the first focus. {slices}",
            given(i.focal_length_mm),
            given(i.pupil_magnification),
            found(first.0)
        ),
        _ => format!(
            "{rate} × {near} = {}. One or more, so a focus at infinity holds it all.",
            found(slice_rate_per_mm(i) * i.near_from_entrance_pupil_mm)
        ),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::Calculate;
    use proptest::prelude::*;

    fn range(near_mm: f64, far_mm: f64) -> BestStop {
        BestStop {
            focal_length_mm: 35.0,
            near_from_entrance_pupil_mm: near_mm,
            far_from_entrance_pupil_mm: far_mm,
            pupil_magnification: 1.0,
            wavelength_nm: WAVELENGTH_NM,
        }
    }

    fn slices(near_mm: f64, far_mm: f64, blur_mm: f64) -> FocusSlices {
        FocusSlices {
            focal_length_mm: 50.0,
            f_number: 16.0,
            permitted_defocus_blur_mm: blur_mm,
            near_from_entrance_pupil_mm: near_mm,
            far_from_entrance_pupil_mm: far_mm,
            pupil_magnification: 1.0,
            overlap_fraction: 0.0,
        }
    }

    #[test]
    fn ends_the_wrong_way_round_are_refused_by_both_names() {
        for faults in [
            range(900.0, 600.0).work().expect_err("refused"),
            slices(900.0, 900.0, 0.02).work().expect_err("refused"),
        ] {
            let named: Vec<_> = faults
                .iter()
                .map(|fault| (fault.field.as_str(), fault.kind))
                .collect();
            assert_eq!(
                named,
                [
                    ("near_from_entrance_pupil_mm", FaultKind::RangeReversed),
                    ("far_from_entrance_pupil_mm", FaultKind::RangeReversed),
                ]
            );
        }
    }

    #[test]
    fn a_near_end_inside_the_lens_is_refused() {
        assert_eq!(
            range(30.0, 600.0).work().expect_err("refused")[0].kind,
            FaultKind::TooClose
        );
        assert_eq!(
            slices(40.0, 600.0, 0.02).work().expect_err("refused")[0].kind,
            FaultKind::TooClose
        );
    }

    #[test]
    fn a_far_range_ends_with_infinity_and_no_blur_never_ends() {
        let far = slices(9000.0, 90_000.0, 0.02).work().expect("in range");
        assert_eq!(far.slices, 1);
        assert!(far.focus_distances_mm[0].0.is_infinite());
        assert!(
            crate::because::evaluate(&far.because)
                .expect("an expression")
                .units_apart()
                <= 1.0
        );
        let never = slices(500.0, 2000.0, 1e-9).work().expect_err("refused");
        assert_eq!(
            (never[0].field.as_str(), never[0].kind),
            ("permitted_defocus_blur_mm", FaultKind::OutOfRange)
        );
    }

    proptest! {
        #[test]
        fn no_other_stop_blurs_less(near in 300.0..900.0, more in 1.1..4.0_f64, other in 0.5..2.0_f64) {
            let range = range(near, near * more);
            let best = range.work().expect("in range");
            let (_, defocus, diffraction) = best_stop_parts(&range).expect("in range");
            let blur_mm = |n: f64| (defocus / n).hypot(diffraction * n);
            prop_assert!(blur_mm(best.best_f_number) <= blur_mm(best.best_f_number * other) + 1e-12);
            prop_assert!((blur_mm(best.best_f_number) * UM_PER_MM - best.total_blur_um).abs() < 1e-6);
        }

        #[test]
        fn slices_go_outward_and_more_blur_needs_fewer(near in 300.0..900.0, more in 1.1..4.0_f64) {
            let fine = slices(near, near * more, 0.01).work().expect("in range");
            prop_assert!(fine.focus_distances_mm.is_sorted());
            prop_assert!(slices(near, near * more, 0.03).work().expect("in range").slices <= fine.slices);
        }
    }
}
