//! What stands on the stage for one pass, for the drawings: distances from the sensor mark.

use super::{
    facts::Facts,
    figures::{drive, hanging, lens, time, water},
    standing::Standing,
};
use stillair_calc::drawing::scene::{
    Camera, Frame, Kind, Lens, Limits, Line, ModelPath, Part, Place, Rail, Reference, Scene, Table,
    Tent, Thing, Throw, Turn,
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
        things: facts.things.iter().map(|t| thing(facts, t)).collect(),
        lines: lines(facts),
        turn: turn(facts),
        track_end: track_end(facts),
        lens: lens_of(facts),
        extinction_per_m: water::extinction_per_m(facts).unwrap_or(0.0),
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
        rail: rail(facts),
    })
}

/// The rail over the path, when something hangs from one.
fn rail(facts: &Facts<'_>) -> Option<Rail> {
    let height_mm = facts.setup.rail_height_mm?;
    let ramp_mm = drive::run_up_mm(facts).unwrap_or(0.0);
    Some(Rail {
        height_mm,
        run_up_mm: ramp_mm,
        run_out_mm: ramp_mm,
    })
}

/// What the lens view needs, when lens, mode and stop are known.
fn lens_of(facts: &Facts<'_>) -> Option<Lens> {
    let o = lens::optics(facts).ok()?;
    Some(Lens {
        sensor_width_mm: facts.find("sensor_width_mm")?,
        sensor_height_mm: facts.find("sensor_height_mm")?,
        squeeze: facts.find("squeeze").unwrap_or(1.0),
        photosites_across: facts.find("photosites_across")?,
        projection_mm: o.projection_distance_mm(),
        pupil_diameter_mm: o.focal_length_mm / o.f_number,
        magnification: o.magnification,
        focus_from_pupil_mm: o.focus_from_pupil_mm,
        blur_line_mm: o.blur_line_mm,
    })
}

/// A placement as the drawings see it.
fn thing(facts: &Facts<'_>, standing: &Standing<'_>) -> Thing {
    let entry = standing.entry;
    let kind = match &*entry.kind {
        "model" => Kind::Model,
        "lamp" => Kind::Lamp,
        "flag" => Kind::Flag,
        "projector" => Kind::Projector,
        "backing" => Kind::Backing,
        "net" => Kind::Net,
        "tiles" => Kind::Tiles,
        _ => Kind::Piece,
    };
    let tile = standing.piece.filter(|_| kind == Kind::Tiles);
    Thing {
        id: entry.id.to_string(),
        ring: Some(standing.ring),
        heading_deg: entry.heading_deg.unwrap_or(0.0),
        pitch_deg: entry.tilt_deg.unwrap_or(0.0),
        throw: throw(facts, standing),
        source_mm: standing
            .lamp
            .and_then(|l| l.source_diameter_mm)
            .unwrap_or(0.0),
        shades: entry
            .shades
            .as_ref()
            .map(ToString::to_string)
            .unwrap_or_default(),
        tile_mm: tile.and_then(|t| Some((t.length_mm?, t.width_mm?))),
        ..Thing::new(kind, standing.called(), standing.place(), standing.size())
    }
}

/// The patch a lamp lights or a projector throws.
fn throw(facts: &Facts<'_>, standing: &Standing<'_>) -> Option<Throw> {
    let distance_mm = standing.entry.throw_mm?;
    if let Some(projector) = standing.projector {
        let width_mm = distance_mm / projector.throw_ratio?;
        return Some(Throw {
            distance_mm,
            width_mm,
            height_mm: width_mm / facts.number_of(projector, "aspect").ok()?,
        });
    }
    let beam_deg = standing
        .entry
        .beam_deg
        .or_else(|| standing.lamp.and_then(|l| l.beam_deg))?;
    let width_mm = 2.0 * distance_mm * (beam_deg / 2.0).to_radians().tan();
    Some(Throw {
        distance_mm,
        width_mm,
        height_mm: width_mm,
    })
}

/// Lines from where they are made fast down to what hangs: apart along the path, or across it where nothing travels.
fn lines(facts: &Facts<'_>) -> Vec<Line> {
    let Some(hung) = facts.hung().filter(|_| hanging::hangs(facts)) else {
        return Vec::new();
    };
    let Some(drop_mm) = facts.setup.line_drop_mm else {
        return Vec::new();
    };
    let below_mm = facts.setup.line_spread_mm.unwrap_or(0.0);
    let above_mm = facts.setup.line_top_spread_mm.unwrap_or(below_mm);
    let foot = Place {
        z_mm: hung.place().z_mm + hung.size().height_mm,
        ..hung.place()
    };
    let (sin, cos) = hung.entry.heading_deg.unwrap_or(0.0).to_radians().sin_cos();
    // Corners of the pattern, as shares of half the spread along and across the heading.
    let pattern: &[(f64, f64)] = match facts.find("line_count").unwrap_or(1.0) {
        n if n < 1.5 => &[(0.0, 0.0)],
        n if n < 2.5 => &[(-1.0, 0.0), (1.0, 0.0)],
        n if n < 3.5 => &[(1.0, 0.0), (-1.0, -1.0), (-1.0, 1.0)],
        _ => &[(-1.0, -1.0), (1.0, -1.0), (1.0, 1.0), (-1.0, 1.0)],
    };
    let spot = |(along, across): (f64, f64), spread_mm: f64, up_mm: f64| {
        let (along, across) = (along * spread_mm / 2.0, across * spread_mm / 2.0);
        Place {
            x_mm: foot.x_mm + along * cos - across * sin,
            y_mm: foot.y_mm + along * sin + across * cos,
            z_mm: foot.z_mm + up_mm,
        }
    };
    pattern
        .iter()
        .map(|corner| Line {
            top: spot(*corner, above_mm, drop_mm),
            foot: spot(*corner, below_mm, 0.0),
        })
        .collect()
}

/// The arm of a turntable: its axis stands to the left of the path's start, one arm away.
fn turn(facts: &Facts<'_>) -> Option<Turn> {
    if &*facts.setup.driven != "turntable" {
        return None;
    }
    let (radius_mm, path) = (facts.setup.arm_radius_mm?, path(facts)?);
    let heading = path.heading_deg.to_radians();
    let sweep_rad = path.length_mm() / radius_mm;
    Some(Turn {
        centre: Place {
            x_mm: path.start.x_mm + radius_mm * heading.sin(),
            y_mm: path.start.y_mm - radius_mm * heading.cos(),
            z_mm: path.start.z_mm,
        },
        radius_mm,
        from_deg: path.heading_deg + 90.0,
        sweep_deg: -sweep_rad.to_degrees(),
    })
}

/// Where a dolly takes the camera: along the path's heading from the mark.
fn track_end(facts: &Facts<'_>) -> Option<Place> {
    if &*facts.setup.driven != "dolly" {
        return None;
    }
    let length_mm = time::model_speed_mps(facts).ok()? * 1000.0 * time::run_s(facts).ok()?;
    let (sin, cos) = facts.find("path_heading_deg")?.to_radians().sin_cos();
    Some(Place {
        x_mm: length_mm * cos,
        y_mm: length_mm * sin,
        z_mm: 0.0,
    })
}
