//! What is sharp around one plane of focus.

use super::{AIRY_FACTOR, MM_PER_NM, WAVELENGTH_NM, magnification, pupil_ahead_of_sensor_mm};
use crate::calculation::{OrInfinity, calculation};
use crate::fault::{Fault, FaultKind, Warnings};
use crate::figure::{carried, found, given};

calculation! { "focus";
    /// Nearest and farthest distance that is sharp, from the entrance pupil.
    ///
    /// With δ = N c/(f m) the limits are u/(1 + δ) and u/(1 − δ), exact for every pupil magnification; the far one is
    /// without end from δ = 1 on (`beyond_hyperfocal`). When diffraction alone spreads a point wider than the permitted
    /// blur, the geometric limits are still given (`diffraction_limited`). Paraxial, round pupil.
    depth_of_field(DepthOfField {
        /// Focal length of the lens.
        focal_length_mm: f64 = Above(0.0); usual 35.0,
        /// Marked f-number.
        f_number: f64 = Above(0.0); usual 16.0,
        /// Widest blur on the sensor that passes for sharp.
        permitted_blur_mm: f64 = Above(0.0); usual 0.011,
        /// Distance of the plane of focus from the entrance pupil.
        focus_distance_from_entrance_pupil_mm: f64 = Above(0.0); usual 1000.0,
        /// Exit pupil over entrance pupil: above 1 for wide lenses, below for long ones.
        pupil_magnification: f64 = Above(0.0); default 1.0,
        /// Distance between the principal planes; may be negative.
        principal_plane_separation_mm: f64 = Any; default 0.0,
        /// Wavelength for diffraction.
        wavelength_nm: f64 = Above(0.0); default WAVELENGTH_NM,
    }) -> Depth {
        /// Image size over object size.
        magnification: f64,
        /// The f-number that light and diffraction see.
        effective_f_number: f64,
        /// Nearest sharp distance from the entrance pupil.
        near_from_entrance_pupil_mm: f64,
        /// Farthest sharp distance from the entrance pupil.
        far_from_entrance_pupil_mm: OrInfinity,
        /// Distance of the entrance pupil ahead of the sensor mark: add it to read the limits from the mark.
        entrance_pupil_to_sensor_mm: f64,
        /// First dark ring of a point's image.
        airy_diameter_mm: f64,
    }
    because "{focus_distance_from_entrance_pupil_mm} ÷ (1 + {f_number} × {permitted_blur_mm} × ({focus_distance_from_entrance_pupil_mm} − {focal_length_mm} ÷ {pupil_magnification}) ÷ {focal_length_mm}^2) = {near_from_entrance_pupil_mm} mm to the near limit. The far limit lies at {far_from_entrance_pupil_mm} mm, both from the entrance pupil."
    source "Depth of Field in Depth (equations from memory), agreed by a ray trace through a two-element lens", Confirmed

    /// Magnification and distance from the entrance pupil, for a focus taped from the sensor mark.
    ///
    /// The smaller root of m + 1/m = (D − HH)/f − 2, so m is at most 1. Refuses less than 4f + HH.
    magnification_from_mark(MagnificationFromMark {
        /// Focal length of the lens.
        focal_length_mm: f64 = Above(0.0); usual 35.0,
        /// Distance of the plane of focus from the sensor mark.
        focus_distance_from_sensor_mm: f64 = Above(0.0); usual 1100.0,
        /// Distance between the principal planes; may be negative.
        principal_plane_separation_mm: f64 = Any; default 0.0,
        /// Exit pupil over entrance pupil.
        pupil_magnification: f64 = Above(0.0); default 1.0,
    }) -> FocusFromMark {
        /// Image size over object size.
        magnification: f64,
        /// Distance of the plane of focus from the entrance pupil.
        focus_distance_from_entrance_pupil_mm: f64,
    }
    because magnification_from_mark_because
    source "thin-lens relations with separated principal planes, agreed by a ray trace", Confirmed

    /// The focus distance whose sharp range just reaches infinity.
    hyperfocal(Hyperfocal {
        /// Focal length of the lens.
        focal_length_mm: f64 = Above(0.0); usual 35.0,
        /// Marked f-number.
        f_number: f64 = Above(0.0); usual 16.0,
        /// Widest blur on the sensor that passes for sharp.
        permitted_blur_mm: f64 = Above(0.0); usual 0.011,
        /// Exit pupil over entrance pupil.
        pupil_magnification: f64 = Above(0.0); default 1.0,
    }) -> HyperfocalFound {
        /// The common short form, f²/(N c).
        hyperfocal_simple_mm: f64,
        /// Nearest sharp distance when focused there.
        near_limit_at_hyperfocal_mm: f64,
        /// The exact form from the entrance pupil, f²/(N c) + f/P.
        hyperfocal_from_entrance_pupil_mm: f64,
    }
    because "{focal_length_mm}^2 ÷ ({f_number} × {permitted_blur_mm}) = {hyperfocal_simple_mm} mm. Half of that is the near limit."
    source "army training text SS0507; an early photography handbook", Confirmed

    /// Depth of field of two focal lengths that frame the same: nearly the same.
    ///
    /// 2 N c (1 + m/P)/m² ÷ (1 − δ²) with δ = N c/(f m); only δ knows the focal length.
    depth_same_magnification(DepthSameMagnification {
        /// Image size over object size.
        magnification: f64 = Above(0.0); usual 0.1,
        /// Marked f-number.
        f_number: f64 = Above(0.0); usual 16.0,
        /// Widest blur on the sensor that passes for sharp.
        permitted_blur_mm: f64 = Above(0.0); usual 0.011,
        /// One focal length.
        focal_length_a_mm: f64 = Above(0.0); usual 100.0,
        /// The other focal length.
        focal_length_b_mm: f64 = Above(0.0); usual 35.0,
        /// Exit pupil over entrance pupil.
        pupil_magnification: f64 = Above(0.0); default 1.0,
    }) -> TwoDepths {
        /// Depth with the first lens.
        depth_a_mm: OrInfinity,
        /// Depth with the second lens.
        depth_b_mm: OrInfinity,
    }
    because depth_same_magnification_because
    source "Depth of Field in Depth (equations from memory), agreed by a ray trace", Confirmed
}

fn depth_of_field(i: &DepthOfField, warnings: &mut Warnings) -> Result<Depth, Fault> {
    let (f, p, u) = (
        i.focal_length_mm,
        i.pupil_magnification,
        i.focus_distance_from_entrance_pupil_mm,
    );
    let m = magnification(f, p, u, "focus_distance_from_entrance_pupil_mm")?;
    let spread = i.f_number * i.permitted_blur_mm / (f * m);
    let effective_f_number = i.f_number * (1.0 + m / p);
    let airy_diameter_mm = AIRY_FACTOR * i.wavelength_nm * MM_PER_NM * effective_f_number;
    warnings.add_if(spread >= 1.0, "beyond_hyperfocal");
    warnings.add_if(
        airy_diameter_mm > i.permitted_blur_mm,
        "diffraction_limited",
    );
    Ok(Depth {
        magnification: m,
        effective_f_number,
        near_from_entrance_pupil_mm: u / (1.0 + spread),
        far_from_entrance_pupil_mm: OrInfinity(if spread < 1.0 {
            u / (1.0 - spread)
        } else {
            f64::INFINITY
        }),
        entrance_pupil_to_sensor_mm: pupil_ahead_of_sensor_mm(
            f,
            m,
            p,
            i.principal_plane_separation_mm,
        ),
        airy_diameter_mm,
    })
}

/// Object to sensor in focal lengths, less the two that are always there: m + 1/m.
fn taped_in_focal_lengths(i: &MagnificationFromMark) -> f64 {
    (i.focus_distance_from_sensor_mm - i.principal_plane_separation_mm) / i.focal_length_mm - 2.0
}

fn magnification_from_mark(
    i: &MagnificationFromMark,
    _: &mut Warnings,
) -> Result<FocusFromMark, Fault> {
    let nearest_mm = 4.0 * i.focal_length_mm + i.principal_plane_separation_mm;
    if i.focus_distance_from_sensor_mm < nearest_mm {
        let shown = found(nearest_mm);
        let problem = format!(
            "This lens cannot focus that close: nearest is {shown} mm from the sensor mark."
        );
        return Err(Fault::new(
            "focus_distance_from_sensor_mm",
            FaultKind::TooClose,
            problem,
        ));
    }
    let q = taped_in_focal_lengths(i);
    let magnification = 2.0 / (q + (q * q - 4.0).max(0.0).sqrt());
    Ok(FocusFromMark {
        magnification,
        focus_distance_from_entrance_pupil_mm: i.focal_length_mm
            * (1.0 / magnification + 1.0 / i.pupil_magnification),
    })
}

fn magnification_from_mark_because(i: &MagnificationFromMark, a: &FocusFromMark) -> String {
    // put back into the taped distance, which stays steady where the root does not
    format!(
        "{} × (2 + {m} + 1 ÷ {m}) + {} = {} mm, the distance taped, at a magnification of {}. From the entrance pupil it is {} mm.",
        given(i.focal_length_mm),
        given(i.principal_plane_separation_mm),
        found(i.focus_distance_from_sensor_mm),
        found(a.magnification),
        found(a.focus_distance_from_entrance_pupil_mm),
        m = carried(a.magnification),
    )
}

fn hyperfocal(i: &Hyperfocal, _: &mut Warnings) -> HyperfocalFound {
    let hyperfocal_simple_mm = i.focal_length_mm.powi(2) / (i.f_number * i.permitted_blur_mm);
    HyperfocalFound {
        hyperfocal_simple_mm,
        near_limit_at_hyperfocal_mm: hyperfocal_simple_mm / 2.0,
        hyperfocal_from_entrance_pupil_mm: hyperfocal_simple_mm
            + i.focal_length_mm / i.pupil_magnification,
    }
}

fn depth_same_magnification(i: &DepthSameMagnification, warnings: &mut Warnings) -> TwoDepths {
    let (m, blur) = (i.magnification, i.f_number * i.permitted_blur_mm);
    let mut depth_mm = |focal_length_mm: f64| {
        let spread = blur / (focal_length_mm * m);
        warnings.add_if(spread >= 1.0, "beyond_hyperfocal");
        let flat_mm = 2.0 * blur * (1.0 + m / i.pupil_magnification) / m.powi(2);
        OrInfinity(if spread < 1.0 {
            flat_mm / (1.0 - spread.powi(2))
        } else {
            f64::INFINITY
        })
    };
    TwoDepths {
        depth_a_mm: depth_mm(i.focal_length_a_mm),
        depth_b_mm: depth_mm(i.focal_length_b_mm),
    }
}

fn depth_same_magnification_because(i: &DepthSameMagnification, a: &TwoDepths) -> String {
    let (n, c, m) = (
        given(i.f_number),
        given(i.permitted_blur_mm),
        given(i.magnification),
    );
    let f = given(i.focal_length_a_mm);
    if a.depth_a_mm.0.is_infinite() {
        let spread =
            found(i.f_number * i.permitted_blur_mm / (i.focal_length_a_mm * i.magnification));
        return format!(
            "{n} × {c} ÷ ({f} × {m}) = {spread}. One or more, so the far limit is without end."
        );
    }
    format!(
        "2 × {n} × {c} × (1 + {m} ÷ {}) ÷ {m}^2 ÷ (1 − ({n} × {c} ÷ ({f} × {m}))^2) = {} mm. The other lens gives {} mm.",
        given(i.pupil_magnification),
        found(a.depth_a_mm.0),
        found(a.depth_b_mm.0)
    )
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::Calculate;
    use proptest::prelude::*;

    fn depth(focal_length_mm: f64, f_number: f64, distance_mm: f64) -> DepthOfField {
        DepthOfField {
            focal_length_mm,
            f_number,
            permitted_blur_mm: 0.02,
            focus_distance_from_entrance_pupil_mm: distance_mm,
            pupil_magnification: 1.0,
            principal_plane_separation_mm: 0.0,
            wavelength_nm: WAVELENGTH_NM,
        }
    }

    #[test]
    fn life_size_doubles_the_f_number() {
        let depth = depth(100.0, 64.0, 200.0).work().expect("in range");
        assert!((depth.effective_f_number - 128.0).abs() < 1e-9);
        assert_eq!(depth.warnings, ["diffraction_limited"]);
    }

    #[test]
    fn beyond_the_hyperfocal_distance_the_far_limit_has_no_end() {
        let depth = depth(35.0, 16.0, 5000.0).work().expect("in range");
        assert!(depth.far_from_entrance_pupil_mm.0.is_infinite());
        assert!(depth.warnings.contains(&"beyond_hyperfocal"));
    }

    #[test]
    fn a_focus_inside_the_lens_is_refused() {
        let faults = depth(50.0, 8.0, 50.0).work().expect_err("refused");
        assert_eq!(faults[0].kind, FaultKind::TooClose);
        assert_eq!(faults[0].field, "focus_distance_from_entrance_pupil_mm");
    }

    #[test]
    fn a_mark_nearer_than_four_focal_lengths_is_refused() {
        let taped = |distance_mm| MagnificationFromMark {
            focal_length_mm: 50.0,
            focus_distance_from_sensor_mm: distance_mm,
            principal_plane_separation_mm: 0.0,
            pupil_magnification: 1.0,
        };
        assert_eq!(
            taped(199.0).work().expect_err("refused")[0].kind,
            FaultKind::TooClose
        );
        assert!((taped(200.0).work().expect("life size").magnification - 1.0).abs() < 1e-9);
    }

    #[test]
    fn an_endless_depth_says_why() {
        let endless = DepthSameMagnification {
            magnification: 0.01,
            f_number: 22.0,
            permitted_blur_mm: 0.03,
            focal_length_a_mm: 35.0,
            focal_length_b_mm: 50.0,
            pupil_magnification: 1.0,
        };
        let endless = endless.work().expect("in range");
        assert!(endless.depth_a_mm.0.is_infinite());
        assert_eq!(endless.warnings, ["beyond_hyperfocal"]);
        assert!(
            crate::because::evaluate(&endless.because)
                .expect("an expression")
                .units_apart()
                <= 1.0
        );
    }

    proptest! {
        #[test]
        fn the_plane_of_focus_lies_between_the_limits(f in 18.0..135.0, n in 2.0..32.0, u in 300.0..9000.0) {
            let depth = depth(f, n, u).work().expect("in range");
            prop_assert!(depth.near_from_entrance_pupil_mm < u && depth.far_from_entrance_pupil_mm.0 > u);
        }

        #[test]
        fn the_mark_and_the_pupil_agree(f in 18.0..135.0, u in 400.0..9000.0, p in 0.6..1.9, hh in -10.0..40.0) {
            let mut from_pupil = depth(f, 8.0, u);
            from_pupil.pupil_magnification = p;
            from_pupil.principal_plane_separation_mm = hh;
            let there = from_pupil.work().expect("in range");
            prop_assume!(there.magnification < 0.99);
            let back = MagnificationFromMark {
                focal_length_mm: f,
                focus_distance_from_sensor_mm: u + there.entrance_pupil_to_sensor_mm,
                principal_plane_separation_mm: hh,
                pupil_magnification: p,
            }.work().expect("in range");
            prop_assert!((back.focus_distance_from_entrance_pupil_mm - u).abs() < 1e-6 * u);
        }
    }
}
