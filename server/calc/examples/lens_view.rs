//! Where the lens view draws things: reads scenes as JSON lines, writes for each the photosites of every corner of its boxes
//! and of the horizon's ends. For `tests/peers`, which projects the same scenes by other means.

use serde_json::{Value, json};
use std::io::{BufRead as _, Write as _};
use stillair_calc::{
    Calculate as _,
    drawing::{
        lens_view::{Eye, corner_photosites},
        scene::{Camera, Kind, Lens, Place, Scene, Size, Thing},
    },
    focus::DepthOfField,
};

fn main() -> Result<(), Box<dyn std::error::Error>> {
    let mut out = std::io::stdout().lock();
    for line in std::io::stdin().lock().lines() {
        let given: Value = serde_json::from_str(&line?)?;
        writeln!(out, "{}", drawn(&given).unwrap_or(Value::Null))?;
    }
    Ok(())
}

/// A number of a scene by its name.
fn number(of: &Value, name: &str) -> Option<f64> {
    of.get(name)?.as_f64()
}

fn drawn(given: &Value) -> Option<Value> {
    let n = |name: &str| number(given, name);
    // The lens as the bench has it: from focal length, pupil ratio and focus, by the depth calculation.
    let depth = DepthOfField {
        focal_length_mm: n("focal_length_mm")?,
        f_number: n("f_number")?,
        permitted_blur_mm: 0.02,
        focus_distance_from_entrance_pupil_mm: n("focus_from_pupil_mm")?,
        pupil_magnification: n("pupil_magnification")?,
        principal_plane_separation_mm: n("principal_plane_separation_mm")?,
        wavelength_nm: 550.0,
    };
    let worked = depth.work().ok()?;
    let scene = Scene {
        camera: Camera {
            pupil_mm: worked.entrance_pupil_to_sensor_mm,
            height_mm: n("height_mm")?,
            tilt_deg: n("tilt_deg")?,
            roll_deg: n("roll_deg")?,
            frame: None,
        },
        lens: Some(Lens {
            sensor_width_mm: n("sensor_width_mm")?,
            sensor_height_mm: n("sensor_height_mm")?,
            squeeze: n("squeeze")?,
            photosites_across: n("photosites_across")?,
            projection_mm: depth.focal_length_mm
                * (1.0 + worked.magnification / depth.pupil_magnification),
            pupil_diameter_mm: depth.focal_length_mm / depth.f_number,
            magnification: worked.magnification,
            focus_from_pupil_mm: depth.focus_distance_from_entrance_pupil_mm,
            blur_line_mm: 0.02,
        }),
        things: given
            .get("things")?
            .as_array()?
            .iter()
            .filter_map(thing)
            .collect(),
        ..Scene::default()
    };
    let eye = Eye::of(&scene)?;
    let corners: Vec<_> = scene
        .things
        .iter()
        .map(|t| corner_photosites(&eye, t))
        .collect();
    Some(json!({ "corners": corners, "horizon": eye.horizon() }))
}

fn thing(given: &Value) -> Option<Thing> {
    let n = |name: &str| number(given, name);
    let place = Place {
        x_mm: n("x_mm")?,
        y_mm: n("y_mm")?,
        z_mm: n("z_mm")?,
    };
    let size = Size {
        length_mm: n("length_mm")?,
        width_mm: n("width_mm")?,
        height_mm: n("height_mm")?,
    };
    Some(Thing {
        heading_deg: n("heading_deg")?,
        pitch_deg: n("pitch_deg")?,
        ..Thing::new(Kind::Piece, "box", place, size)
    })
}
