//! Lens and plate match (family `lens`): what the frame sees, and which lens repeats a full-size plate on the model.
//!
//! The camera is a point at its entrance pupil; perspective is fixed by where that stands, never by the lens.

use crate::calculation::{OrInfinity, calculation};
use crate::fault::{Fault, FaultKind, Warnings};
use crate::figure::{carried, found, given};
use crate::focus::{magnification, pupil_ahead_of_sensor_mm};
use crate::scale_time::note_scale;

calculation! { "lens";
    /// Horizontal angle of view, and the width seen in the plane of focus.
    ///
    /// tan(θ/2) = q w/(2 f (1 + m/P)): a lens focused close sees less. The focal length of an anamorphic lens is the
    /// vertical one, and the squeeze widens.
    angle_of_view(AngleOfView {
        /// Active width of the sensor.
        sensor_width_mm: f64 = Above(0.0); usual 24.89,
        /// Focal length of the lens.
        focal_length_mm: f64 = Above(0.0); usual 35.0,
        /// Image size over object size; zero at infinity.
        magnification: f64 = AtLeast(0.0); default 0.0; usual 0.04,
        /// Exit pupil over entrance pupil.
        pupil_magnification: f64 = Above(0.0); default 1.0,
        /// How many times an anamorphic lens widens.
        squeeze: f64 = Above(0.0); default 1.0,
    }) -> View {
        /// Angle from side to side.
        horizontal_deg: f64,
        /// Width seen in the plane of focus.
        frame_width_at_focus_mm: OrInfinity,
    }
    because angle_of_view_because
    source "public lens FAQ (1995); pupil magnification: Applied Photographic Optics, agreed by a ray trace", Confirmed

    /// Width and height of the frame at a distance.
    frame_at_distance(FrameAtDistance {
        /// Active width of the sensor.
        sensor_width_mm: f64 = Above(0.0); usual 24.89,
        /// Active height of the sensor.
        sensor_height_mm: f64 = Above(0.0); usual 14.0,
        /// Focal length of the lens; the vertical one of an anamorphic lens.
        focal_length_mm: f64 = Above(0.0); usual 35.0,
        /// Distance of the plane of focus from the entrance pupil.
        focus_distance_from_entrance_pupil_mm: f64 = Above(0.0); usual 1000.0,
        /// Distance asked about, from the entrance pupil.
        distance_mm: f64 = Above(0.0); usual 2000.0,
        /// Exit pupil over entrance pupil.
        pupil_magnification: f64 = Above(0.0); default 1.0,
        /// How many times an anamorphic lens widens.
        squeeze: f64 = Above(0.0); default 1.0,
    }) -> Frame {
        /// Width seen there.
        frame_width_mm: f64,
        /// Height seen there.
        frame_height_mm: f64,
    }
    because "{squeeze} × {sensor_width_mm} × {distance_mm} ÷ ({focal_length_mm} × (1 + {focal_length_mm} ÷ ({focus_distance_from_entrance_pupil_mm} − {focal_length_mm} ÷ {pupil_magnification}) ÷ {pupil_magnification})) = {frame_width_mm} mm wide, and {frame_height_mm} mm high"
    source "central projection through the entrance pupil, agreed by a ray trace", Confirmed

    /// Focal length and distance on the model that repeat the view of a full-size plate.
    ///
    /// Distance and frame width shrink by the scale; f₂ = d₂/(1/m₂ + 1/P₂) then holds for any sensor and includes the
    /// breathing of both lenses. The short form f₁ w₂/w₁ comes out 5 to 10 % too long close up.
    match_plate(MatchPlate {
        /// Active width of the plate camera's sensor.
        plate_sensor_width_mm: f64 = Above(0.0); usual 24.89,
        /// Focal length of the plate.
        plate_focal_length_mm: f64 = Above(0.0); usual 35.0,
        /// Focus distance of the plate from its entrance pupil.
        plate_focus_distance_mm: f64 = Above(0.0); usual 12_000.0,
        /// How many times smaller the model is.
        scale_denominator: f64 = Above(0.0); usual 24.0,
        /// Active width of the model camera's sensor.
        model_sensor_width_mm: f64 = Above(0.0); usual 24.89,
        /// Exit pupil over entrance pupil of the model's lens.
        model_pupil_magnification: f64 = Above(0.0); default 1.0,
        /// Exit pupil over entrance pupil of the plate's lens.
        plate_pupil_magnification: f64 = Above(0.0); default 1.0,
        /// How many times the plate's lens widens.
        plate_squeeze: f64 = Above(0.0); default 1.0,
        /// How many times the model's lens widens.
        model_squeeze: f64 = Above(0.0); default 1.0,
    }) -> ModelLens {
        /// Focus distance on the model from the entrance pupil.
        model_distance_mm: f64,
        /// Image size over object size on the model.
        model_magnification: f64,
        /// Focal length to use.
        model_focal_length_mm: f64,
    }
    because match_plate_because
    source "central projection through the entrance pupil, agreed by a search for equal angles", Confirmed

    /// Height, distance and tilt of the model camera for those of the plate: lengths shrink, angles stay.
    match_plate_camera(MatchPlateCamera {
        /// Height of the plate's entrance pupil.
        plate_camera_height_m: f64 = AtLeast(0.0); usual 1.8,
        /// Distance of the plate's entrance pupil.
        plate_distance_m: f64 = AtLeast(0.0); usual 36.0,
        /// Tilt of the plate camera, up positive.
        plate_tilt_deg: f64 = Between(-90.0, 90.0); usual -4.0,
        /// How many times smaller the model is.
        scale_denominator: f64 = Above(0.0); usual 24.0,
    }) -> ModelCamera {
        /// Height of the model camera's entrance pupil.
        model_camera_height_m: f64,
        /// Distance of the model camera's entrance pupil.
        model_distance_m: f64,
        /// Tilt of the model camera.
        model_tilt_deg: f64,
    }
    because "{plate_camera_height_m} ÷ {scale_denominator} = {model_camera_height_m} m high. The distance is {model_distance_m} m, and the tilt stays {model_tilt_deg}°."
    source "similarity of lengths", Confirmed

    /// How far the entrance pupil lies ahead of the sensor mark: the point to turn about for a pan without parallax.
    entrance_pupil_offset(EntrancePupilOffset {
        /// Focal length of the lens.
        focal_length_mm: f64 = Above(0.0); usual 35.0,
        /// Image size over object size.
        magnification: f64 = AtLeast(0.0); default 0.0; usual 0.04,
        /// Exit pupil over entrance pupil.
        pupil_magnification: f64 = Above(0.0); default 1.0; usual 1.4,
        /// Distance between the principal planes; may be negative.
        principal_plane_separation_mm: f64 = Any; default 0.0; usual 12.0,
    }) -> PupilOffset {
        /// Entrance pupil ahead of the sensor.
        entrance_pupil_ahead_of_sensor_mm: f64,
    }
    because "{focal_length_mm} × (2 + {magnification} − 1 ÷ {pupil_magnification}) + {principal_plane_separation_mm} = {entrance_pupil_ahead_of_sensor_mm} mm ahead of the sensor"
    source "paraxial optics, agreed by a ray trace through a two-element lens with a real stop", Confirmed

    /// Focal length and back focus of one thick lens in air, for a lens editor or a test.
    ///
    /// Radii are positive when the centre lies behind the surface. Flat glass, or an index of 1, has no focus.
    thick_lens_reference(ThickLensReference {
        /// Refractive index of the glass.
        index: f64 = Above(0.0); usual 1.517,
        /// Radius of the front surface.
        radius1_mm: f64 = Any; usual 77.265,
        /// Radius of the back surface.
        radius2_mm: f64 = Any; usual -77.265,
        /// Thickness on the axis.
        thickness_mm: f64 = AtLeast(0.0); usual 5.102,
    }) -> ThickLens {
        /// Focal length; negative for a lens that spreads.
        focal_length_mm: f64,
        /// From the back surface to the focus.
        back_focus_mm: f64,
    }
    because "1 ÷ (({index} − 1) × (1 ÷ {radius1_mm} − 1 ÷ {radius2_mm} + ({index} − 1) × {thickness_mm} ÷ ({index} × {radius1_mm} × {radius2_mm}))) = {focal_length_mm} mm"
    source "lens-maker's equation, university optics course notes", Confirmed
}

fn angle_of_view(i: &AngleOfView, _: &mut Warnings) -> View {
    let projection_mm = i.focal_length_mm * (1.0 + i.magnification / i.pupil_magnification);
    let width_mm = i.squeeze * i.sensor_width_mm;
    View {
        horizontal_deg: 2.0 * (width_mm / (2.0 * projection_mm)).atan().to_degrees(),
        frame_width_at_focus_mm: OrInfinity(width_mm / i.magnification),
    }
}

fn angle_of_view_because(i: &AngleOfView, a: &View) -> String {
    format!(
        "2 × {} × (1 + {} ÷ {}) × tan({}° ÷ 2) = {} mm, the width of the sensor{}: so the view is {}° wide",
        given(i.focal_length_mm),
        given(i.magnification),
        given(i.pupil_magnification),
        carried(a.horizontal_deg),
        found(i.squeeze * i.sensor_width_mm),
        if (i.squeeze - 1.0).abs() > f64::EPSILON {
            " as the lens widens it"
        } else {
            ""
        },
        found(a.horizontal_deg)
    )
}

fn frame_at_distance(i: &FrameAtDistance, _: &mut Warnings) -> Result<Frame, Fault> {
    let m = magnification(
        i.focal_length_mm,
        i.pupil_magnification,
        i.focus_distance_from_entrance_pupil_mm,
        "focus_distance_from_entrance_pupil_mm",
    )?;
    let projection_mm = i.focal_length_mm * (1.0 + m / i.pupil_magnification);
    Ok(Frame {
        frame_width_mm: i.squeeze * i.sensor_width_mm * i.distance_mm / projection_mm,
        frame_height_mm: i.sensor_height_mm * i.distance_mm / projection_mm,
    })
}

fn match_plate(i: &MatchPlate, warnings: &mut Warnings) -> Result<ModelLens, Fault> {
    note_scale(i.scale_denominator, warnings);
    let plate_magnification = magnification(
        i.plate_focal_length_mm,
        i.plate_pupil_magnification,
        i.plate_focus_distance_mm,
        "plate_focus_distance_mm",
    )?;
    let model_width_mm =
        i.plate_squeeze * i.plate_sensor_width_mm / plate_magnification / i.scale_denominator;
    let model_distance_mm = i.plate_focus_distance_mm / i.scale_denominator;
    let model_magnification = i.model_squeeze * i.model_sensor_width_mm / model_width_mm;
    Ok(ModelLens {
        model_distance_mm,
        model_magnification,
        model_focal_length_mm: model_distance_mm
            / (1.0 / model_magnification + 1.0 / i.model_pupil_magnification),
    })
}

fn match_plate_because(i: &MatchPlate, a: &ModelLens) -> String {
    format!(
        "{} ÷ {} ÷ (1 ÷ {} + 1 ÷ {}) = {} mm, focused at {} mm from the entrance pupil",
        given(i.plate_focus_distance_mm),
        given(i.scale_denominator),
        carried(a.model_magnification),
        given(i.model_pupil_magnification),
        found(a.model_focal_length_mm),
        found(a.model_distance_mm)
    )
}

fn match_plate_camera(i: &MatchPlateCamera, warnings: &mut Warnings) -> ModelCamera {
    note_scale(i.scale_denominator, warnings);
    ModelCamera {
        model_camera_height_m: i.plate_camera_height_m / i.scale_denominator,
        model_distance_m: i.plate_distance_m / i.scale_denominator,
        model_tilt_deg: i.plate_tilt_deg,
    }
}

fn entrance_pupil_offset(i: &EntrancePupilOffset, _: &mut Warnings) -> PupilOffset {
    PupilOffset {
        entrance_pupil_ahead_of_sensor_mm: pupil_ahead_of_sensor_mm(
            i.focal_length_mm,
            i.magnification,
            i.pupil_magnification,
            i.principal_plane_separation_mm,
        ),
    }
}

fn thick_lens_reference(i: &ThickLensReference, _: &mut Warnings) -> Result<ThickLens, Vec<Fault>> {
    let flat: Vec<Fault> = [("radius1_mm", i.radius1_mm), ("radius2_mm", i.radius2_mm)]
        .into_iter()
        .filter(|(_, radius)| *radius == 0.0)
        .map(|(field, _)| {
            Fault::new(
                field,
                FaultKind::OutOfRange,
                "The radius of a surface cannot be zero.",
            )
        })
        .collect();
    if !flat.is_empty() {
        return Err(flat);
    }
    let (n, r1, r2, d) = (i.index, i.radius1_mm, i.radius2_mm, i.thickness_mm);
    let power = (n - 1.0) * (1.0 / r1 - 1.0 / r2 + (n - 1.0) * d / (n * r1 * r2));
    if power == 0.0 {
        let field = if (n - 1.0).abs() < f64::EPSILON {
            "index"
        } else {
            "radius2_mm"
        };
        let problem = "The focus cannot exist: this glass does not bend light together or apart.";
        return Err(Fault::new(field, FaultKind::NoRealGeometry, problem).into());
    }
    Ok(ThickLens {
        focal_length_mm: 1.0 / power,
        back_focus_mm: (1.0 - (n - 1.0) * d / (n * r1)) / power,
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::Calculate;
    use proptest::prelude::*;

    fn plate(scale_denominator: f64) -> MatchPlate {
        MatchPlate {
            plate_sensor_width_mm: 24.89,
            plate_focal_length_mm: 35.0,
            plate_focus_distance_mm: 12_000.0,
            scale_denominator,
            model_sensor_width_mm: 24.89,
            model_pupil_magnification: 1.0,
            plate_pupil_magnification: 1.0,
            plate_squeeze: 1.0,
            model_squeeze: 1.0,
        }
    }

    #[test]
    fn at_full_size_the_plate_lens_matches_itself() {
        let lens = plate(1.0).work().expect("in range");
        assert!((lens.model_focal_length_mm - 35.0).abs() < 1e-9);
    }

    #[test]
    fn a_wide_frame_has_no_width_at_infinity() {
        let view = AngleOfView {
            sensor_width_mm: 36.0,
            focal_length_mm: 50.0,
            magnification: 0.0,
            pupil_magnification: 1.0,
            squeeze: 1.0,
        };
        let view = view.work().expect("in range");
        assert!((view.horizontal_deg - 39.597_752_709).abs() < 1e-6);
        assert!(view.frame_width_at_focus_mm.0.is_infinite());
    }

    #[test]
    fn glass_without_power_has_no_focus() {
        let lens = |index, radius1_mm, radius2_mm, thickness_mm| ThickLensReference {
            index,
            radius1_mm,
            radius2_mm,
            thickness_mm,
        };
        assert_eq!(
            lens(1.0, 50.0, -50.0, 5.0).work().expect_err("refused")[0].field,
            "index"
        );
        assert_eq!(
            lens(1.5, 50.0, 50.0, 0.0).work().expect_err("refused")[0].kind,
            FaultKind::NoRealGeometry
        );
        assert_eq!(
            lens(1.5, 0.0, 0.0, 1.0).work().expect_err("refused").len(),
            2
        );
    }

    #[test]
    fn a_plate_focused_inside_its_lens_is_refused() {
        let mut near = plate(24.0);
        near.plate_focus_distance_mm = 35.0;
        let faults = near.work().expect_err("refused");
        assert_eq!(
            (faults[0].field.as_str(), faults[0].kind),
            ("plate_focus_distance_mm", FaultKind::TooClose)
        );
    }

    proptest! {
        #[test]
        fn the_matched_lens_sees_the_plate_frame(scale in 1.0..100.0, width in 8.0..40.0, pupil in 0.6..1.9) {
            let mut to_match = plate(scale);
            to_match.model_sensor_width_mm = width;
            to_match.model_pupil_magnification = pupil;
            let lens = to_match.work().expect("in range");
            let frame = |sensor_width_mm, focal_length_mm, focus_mm, pupil_magnification| FrameAtDistance {
                sensor_width_mm, sensor_height_mm: 10.0, focal_length_mm,
                focus_distance_from_entrance_pupil_mm: focus_mm, distance_mm: focus_mm, pupil_magnification, squeeze: 1.0,
            }.work().expect("in range").frame_width_mm;
            let full = frame(24.89, 35.0, 12_000.0, 1.0);
            let model = frame(width, lens.model_focal_length_mm, lens.model_distance_mm, pupil);
            prop_assert!((full / scale - model).abs() < 1e-9 * model);
        }
    }
}
