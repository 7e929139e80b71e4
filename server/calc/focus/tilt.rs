//! Tilting the lens so that the plane of focus lies along the set.

use crate::calculation::calculation;
use crate::fault::{Fault, FaultKind, Warnings};
use crate::figure::{carried, fixed, found, given};

calculation! { "focus";
    /// Where the plane of focus turns when the lens is tilted: f/sin τ below the lens.
    ///
    /// Thin lens, pupil ratio near 1. No tilt has no hinge: then it is ordinary depth of field.
    tilt_hinge(TiltHinge {
        /// Focal length of the lens.
        focal_length_mm: f64 = Above(0.0); usual 45.0,
        /// Tilt of the lens against the sensor.
        tilt_deg: f64 = Within(-90.0, 90.0); usual 6.0,
    }) -> Hinge {
        /// Distance of the hinge line below the lens centre.
        hinge_distance_mm: f64,
    }
    because "{focal_length_mm} ÷ sin({tilt_deg}°) = {hinge_distance_mm} mm below the lens"
    source "View Camera Focus and Depth of Field, parts I and II (1996)", Confirmed

    /// Height of the tilted plane of focus at a distance, and of the wedge that is sharp around it.
    ///
    /// Heights from the lens centre, parallel to the sensor, up positive. The plane is −J + z(cos τ − f/A)/sin τ, the
    /// wedge z J N c/(f A) each side.
    tilt_plane_and_wedge(TiltPlaneAndWedge {
        /// Focal length of the lens.
        focal_length_mm: f64 = Above(0.0); usual 90.0,
        /// Tilt of the lens against the sensor.
        tilt_deg: f64 = Within(-90.0, 90.0); usual 8.0,
        /// Lens to sensor, along the sensor's normal.
        lens_to_sensor_mm: f64 = Above(0.0); usual 91.0,
        /// Marked f-number.
        f_number: f64 = Above(0.0); usual 22.0,
        /// Widest blur on the sensor that passes for sharp.
        permitted_blur_mm: f64 = Above(0.0); usual 0.02,
        /// Distance from the lens, along the sensor's normal.
        distance_along_axis_mm: f64 = Above(0.0); usual 1500.0,
    }) -> Wedge {
        /// Distance of the hinge line below the lens centre.
        hinge_distance_mm: f64,
        /// Height of the plane of focus there.
        plane_height_mm: f64,
        /// Highest sharp point there.
        upper_limit_mm: f64,
        /// Lowest sharp point there.
        lower_limit_mm: f64,
    }
    because tilt_plane_and_wedge_because
    source "View Camera Focus and Depth of Field, parts I and II (1996)", Confirmed

    /// Tilt that lays the plane of focus on a flat table, with the sensor upright.
    ///
    /// sin τ = f/h, so the lens must be higher above the table than its focal length.
    tilt_for_table(TiltForTable {
        /// Focal length of the lens.
        focal_length_mm: f64 = Above(0.0); usual 45.0,
        /// Height of the lens above the table.
        lens_height_above_table_mm: f64 = Above(0.0); usual 400.0,
    }) -> TableTilt {
        /// Tilt of the lens, down.
        tilt_deg: f64,
        /// Lens to sensor for focus at infinity along the table.
        lens_to_sensor_mm: f64,
    }
    because tilt_for_table_because
    source "View Camera Focus and Depth of Field, parts I and II (1996)", Confirmed
}

/// Distance of the hinge below the lens; refuses a lens that is not tilted.
fn hinge_mm(focal_length_mm: f64, tilt_deg: f64) -> Result<f64, Fault> {
    if tilt_deg == 0.0 {
        let problem = "Without tilt there is no hinge: use ordinary depth of field.";
        return Err(Fault::new("tilt_deg", FaultKind::OutOfRange, problem));
    }
    Ok(focal_length_mm / tilt_deg.to_radians().sin())
}

fn tilt_hinge(i: &TiltHinge, _: &mut Warnings) -> Result<Hinge, Fault> {
    Ok(Hinge {
        hinge_distance_mm: hinge_mm(i.focal_length_mm, i.tilt_deg)?,
    })
}

fn tilt_plane_and_wedge(i: &TiltPlaneAndWedge, _: &mut Warnings) -> Result<Wedge, Fault> {
    let (f, z, a) = (
        i.focal_length_mm,
        i.distance_along_axis_mm,
        i.lens_to_sensor_mm,
    );
    let hinge_distance_mm = hinge_mm(f, i.tilt_deg)?;
    let (sin, cos) = i.tilt_deg.to_radians().sin_cos();
    let plane_height_mm = -hinge_distance_mm + z * (cos - f / a) / sin;
    let half_mm = z * hinge_distance_mm.abs() * i.f_number * i.permitted_blur_mm / (f * a);
    Ok(Wedge {
        hinge_distance_mm,
        plane_height_mm,
        upper_limit_mm: plane_height_mm + half_mm,
        lower_limit_mm: plane_height_mm - half_mm,
    })
}

fn tilt_plane_and_wedge_because(i: &TiltPlaneAndWedge, a: &Wedge) -> String {
    let tilt = carried(i.tilt_deg);
    let f = carried(i.focal_length_mm);
    format!(
        "{} × (cos({tilt}°) − {f} ÷ {}) ÷ sin({tilt}°) − {f} ÷ sin({tilt}°) = {} mm, the height of the plane. Sharp from {} mm to {} mm.",
        carried(i.distance_along_axis_mm),
        carried(i.lens_to_sensor_mm),
        // the height is a difference: its tenths are what a tape can read
        fixed(a.plane_height_mm, 1),
        fixed(a.lower_limit_mm, 1),
        fixed(a.upper_limit_mm, 1)
    )
}

fn tilt_for_table(i: &TiltForTable, _: &mut Warnings) -> Result<TableTilt, Vec<Fault>> {
    let sine = i.focal_length_mm / i.lens_height_above_table_mm;
    if sine >= 1.0 {
        let problem = "The lens must stand higher above the table than its focal length.";
        return Err(["focal_length_mm", "lens_height_above_table_mm"]
            .map(|field| Fault::new(field, FaultKind::OutOfRange, problem))
            .to_vec());
    }
    let tilt_rad = sine.asin();
    Ok(TableTilt {
        tilt_deg: tilt_rad.to_degrees(),
        lens_to_sensor_mm: i.focal_length_mm / tilt_rad.cos(),
    })
}

fn tilt_for_table_because(i: &TiltForTable, a: &TableTilt) -> String {
    format!(
        "{} × sin({}°) = {} mm, the focal length: so the lens tilts by {}°",
        given(i.lens_height_above_table_mm),
        carried(a.tilt_deg),
        found(i.focal_length_mm),
        found(a.tilt_deg)
    )
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::Calculate;
    use proptest::prelude::*;

    #[test]
    fn no_tilt_has_no_hinge() {
        for tilt_deg in [0.0, 90.0, -90.0] {
            let faults = TiltHinge {
                focal_length_mm: 50.0,
                tilt_deg,
            }
            .work()
            .expect_err("refused");
            assert_eq!(
                (faults[0].field.as_str(), faults[0].kind),
                ("tilt_deg", FaultKind::OutOfRange)
            );
        }
    }

    #[test]
    fn a_lens_below_its_focal_length_cannot_lay_focus_on_the_table() {
        let faults = TiltForTable {
            focal_length_mm: 50.0,
            lens_height_above_table_mm: 50.0,
        }
        .work()
        .expect_err("refused");
        assert!(
            faults
                .iter()
                .all(|fault| fault.kind == FaultKind::OutOfRange)
        );
    }

    proptest! {
        #[test]
        fn the_table_tilt_puts_the_plane_on_the_table(f in 20.0..100.0, h in 150.0..900.0, z in 300.0..4000.0) {
            let tilt = TiltForTable { focal_length_mm: f, lens_height_above_table_mm: h }.work().expect("in range");
            let wedge = TiltPlaneAndWedge {
                focal_length_mm: f, tilt_deg: tilt.tilt_deg, lens_to_sensor_mm: tilt.lens_to_sensor_mm,
                f_number: 8.0, permitted_blur_mm: 0.02, distance_along_axis_mm: z,
            }.work().expect("in range");
            prop_assert!((wedge.plane_height_mm + h).abs() < 1e-6 * h);
            prop_assert!(wedge.lower_limit_mm < wedge.upper_limit_mm);
        }
    }
}
