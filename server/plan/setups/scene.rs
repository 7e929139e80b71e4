//! What stands on the stage for one pass, for the drawings: distances from the sensor mark.

use super::{
    facts::Facts,
    figures::{lens, time, water},
};
use stillair_calc::drawing::scene::{
    Camera, Frame, Limits, ModelPath, Part, Place, Reference, Scene, Table, Tent,
};

/// Numbers of the rings, the same on drawing, ledger and findings.
const RINGS: &[(u32, Part)] = &[
    (3, Part::NearLimit),
    (4, Part::FarLimit),
    (5, Part::Camera),
    (13, Part::WaterEnd),
    (2, Part::Path),
];

/// The scene of a pass, with whatever is known of it.
pub fn scene(facts: &Facts<'_>, first_rings: Vec<u32>) -> Scene {
    let optics = lens::optics(facts).ok();
    let camera = Camera {
        pupil_mm: optics.map_or(0.0, |o| o.pupil_from_mark_mm),
        height_mm: facts.find("camera_height_mm").unwrap_or(0.0),
        // The blank says tilt down; the drawing counts up.
        tilt_deg: -facts.find("tilt_deg").unwrap_or(0.0),
        roll_deg: facts.find("roll_deg").unwrap_or(0.0),
        frame: frame(facts),
    };
    Scene {
        camera,
        focus_mm: facts.find("focus_from_mark_mm"),
        limits: optics.map(|o| Limits {
            near_mm: o.near_mm,
            far_mm: o.far_mm,
        }),
        tent: tent(facts),
        table: table(facts),
        water_end_mm: water::water_end_mm(facts).ok(),
        path: path(facts),
        references: RINGS
            .iter()
            .map(|(ring, part)| Reference {
                ring: *ring,
                part: *part,
            })
            .collect(),
        first_rings,
        ..Scene::default()
    }
}

fn frame(facts: &Facts<'_>) -> Option<Frame> {
    let projection_mm = lens::optics(facts)
        .map(|o| o.projection_distance_mm())
        .ok()
        .or_else(|| facts.find("focal_length_mm"))?;
    let half = |size_mm: f64| (size_mm / 2.0 / projection_mm).atan().to_degrees();
    Some(Frame {
        half_width_deg: half(facts.find("sensor_width_mm")? * facts.find("squeeze").unwrap_or(1.0)),
        half_height_deg: half(facts.find("sensor_height_mm")?),
    })
}

fn tent(facts: &Facts<'_>) -> Option<Tent> {
    let start_mm = facts.find("tent_near_mm")?;
    Some(Tent {
        start_mm,
        end_mm: start_mm + facts.find("tent_length_mm")?,
        width_mm: facts.find("tent_width_mm")?,
        height_mm: facts.find("tent_height_mm")?,
    })
}

fn table(facts: &Facts<'_>) -> Option<Table> {
    Some(Table {
        near_edge_mm: facts.find("table_near_mm")?,
        length_mm: facts.find("table_length_mm")?,
        width_mm: facts.find("table_width_mm")?,
    })
}

fn path(facts: &Facts<'_>) -> Option<ModelPath> {
    let shot = facts.shot?;
    if matches!(shot.travel.as_ref(), "" | "still") {
        return None;
    }
    let start_mm = facts.find("path_start_mm")?;
    Some(ModelPath {
        start: Place {
            x_mm: start_mm,
            y_mm: facts.find("path_side_mm")?,
            z_mm: facts.find("path_height_mm")?,
        },
        heading_deg: facts.find("path_heading_deg")?,
        speed_mm_per_s: time::model_speed_mps(facts).ok()? * 1000.0,
        duration_s: time::run_s(facts).ok()?,
        stage_s_per_cut_s: 1.0 / time::rate_factor_k(facts).ok()?,
        rail: None,
    })
}
