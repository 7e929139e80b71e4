//! Coverage: the table that is seen, tiles to cast, backings, and how tall a piece may be.

use super::{
    Told, figure,
    further::{BlankOf, Further, of_setup},
    lens, step,
};
use crate::{
    plan::setups::{
        facts::{Facts, Gap},
        standing::Standing,
    },
    web::parts::Figure,
};
use stillair_calc::{
    Calculate as _, Worked,
    coverage::{BackingSize, GroundQuad, PieceHeight, TileCount, TileGrid, ground::Backing},
    figure::{found, given, significant},
};

/// Part of a backing's width and height that is built beyond what is seen; common practice, no source.
const MARGIN: f64 = 0.1;

/// The ledger.
pub const LEDGER: Further = Further {
    id: "coverage",
    title: "Coverage",
    closed: "no tile field or backing stands here",
    needed: |facts| {
        facts
            .things
            .iter()
            .any(|t| t.is("tiles") || t.is("backing"))
    },
    openers: &["tile_spare_percent"],
    blanks: |facts| -> Vec<BlankOf<'_>> { of_setup(facts, &["tile_spare_percent"]) },
    figures: ledger,
};

/// What every coverage calculation takes of the camera: pupil height over the table (m), tilt, lens, sensor.
struct Seen {
    height_m: f64,
    tilt_deg: f64,
    optics: lens::Optics,
    sensor_mm: (f64, f64),
    squeeze: f64,
}

fn seen(facts: &Facts<'_>, floor_mm: f64) -> Result<Seen, Gap> {
    let optics = lens::optics(facts)?;
    let tilt_deg = facts.get("tilt_deg")?;
    // Tilted down, the pupil stands lower than the mark.
    let drop_mm = optics.pupil_from_mark_mm * tilt_deg.to_radians().sin();
    Ok(Seen {
        height_m: (facts.get("camera_height_mm")? - drop_mm - floor_mm) / 1000.0,
        tilt_deg,
        optics,
        sensor_mm: (
            facts.get("sensor_width_mm")?,
            facts.get("sensor_height_mm")?,
        ),
        squeeze: facts.get("squeeze")?,
    })
}

/// How far the pupil stands ahead of the mark over the floor.
fn pupil_over_floor_mm(s: &Seen) -> f64 {
    s.optics.pupil_from_mark_mm * s.tilt_deg.to_radians().cos()
}

fn ground(facts: &Facts<'_>) -> Result<Worked<stillair_calc::coverage::ground::Ground>, Gap> {
    let s = seen(facts, 0.0)?;
    Ok(GroundQuad {
        camera_height_m: s.height_m,
        tilt_down_deg: s.tilt_deg,
        focal_length_mm: s.optics.focal_length_mm,
        focus_distance_from_entrance_pupil_mm: s.optics.focus_from_pupil_mm,
        sensor_width_mm: s.sensor_mm.0,
        sensor_height_mm: s.sensor_mm.1,
        pupil_magnification: s.optics.pupil_magnification,
        squeeze: s.squeeze,
    }
    .work()?)
}

/// Tiles that are seen of a field and how the grid may be shifted to save some.
fn tiles(facts: &Facts<'_>, field: &Standing<'_>) -> Result<(TileCount, u32), Gap> {
    let s = seen(facts, field.place().z_mm)?;
    let tile = field.piece.ok_or_else(|| Gap::Missing {
        blank: format!("row-{}", field.entry.id),
        label: "From stores",
    })?;
    let end_mm = field.place().x_mm + field.size().length_mm / 2.0 - pupil_over_floor_mm(&s);
    let grid = TileGrid {
        camera_height_m: s.height_m,
        tilt_down_deg: s.tilt_deg,
        focal_length_mm: s.optics.focal_length_mm,
        focus_distance_from_entrance_pupil_mm: s.optics.focus_from_pupil_mm,
        sensor_width_mm: s.sensor_mm.0,
        sensor_height_mm: s.sensor_mm.1,
        table_end_m: end_mm / 1000.0,
        table_half_width_m: field.size().width_mm / 2000.0,
        tile_x_m: facts.number_of(tile, "length_mm")? / 1000.0,
        tile_y_m: facts.number_of(tile, "width_mm")? / 1000.0,
        pupil_magnification: s.optics.pupil_magnification,
        squeeze: s.squeeze,
    };
    let best = grid.work()?;
    let count = TileCount {
        camera_height_m: grid.camera_height_m,
        tilt_down_deg: grid.tilt_down_deg,
        focal_length_mm: grid.focal_length_mm,
        focus_distance_from_entrance_pupil_mm: grid.focus_distance_from_entrance_pupil_mm,
        sensor_width_mm: grid.sensor_width_mm,
        sensor_height_mm: grid.sensor_height_mm,
        table_end_m: grid.table_end_m,
        table_half_width_m: grid.table_half_width_m,
        tile_x_m: grid.tile_x_m,
        tile_y_m: grid.tile_y_m,
        grid_origin_m: best.grid_origin_m,
        spare_fraction: facts.get("tile_spare_percent")? / 100.0,
        pupil_magnification: grid.pupil_magnification,
        squeeze: grid.squeeze,
    };
    Ok((count, best.tiles_saved))
}

/// What a backing has to be, where it stands.
fn backing(facts: &Facts<'_>, cloth: &Standing<'_>) -> Result<Worked<Backing>, Gap> {
    let s = seen(facts, 0.0)?;
    Ok(BackingSize {
        camera_height_m: s.height_m,
        tilt_down_deg: s.tilt_deg,
        focal_length_mm: s.optics.focal_length_mm,
        focus_distance_from_entrance_pupil_mm: s.optics.focus_from_pupil_mm,
        sensor_width_mm: s.sensor_mm.0,
        sensor_height_mm: s.sensor_mm.1,
        backing_distance_m: (cloth.place().x_mm - pupil_over_floor_mm(&s)) / 1000.0,
        pupil_magnification: s.optics.pupil_magnification,
        squeeze: s.squeeze,
        margin_fraction: MARGIN,
    }
    .work()?)
}

/// The first backing that does not fill the frame: its number, what it is called, and by how much it is too narrow and too
/// low, in millimetres (zero where it is not).
///
/// # Errors
/// What is not written.
pub fn backing_short(facts: &Facts<'_>) -> Result<Option<(u32, String, f64, f64)>, Gap> {
    for cloth in facts.things_of("backing") {
        let needs = backing(facts, cloth)?;
        let wide_mm = needs.width_at_bottom_m.max(needs.width_at_top_m) * 1000.0;
        let (size, offset) = (cloth.size(), cloth.place().y_mm.abs());
        let narrow_mm = wide_mm + 2.0 * offset - size.width_mm;
        let low_mm = needs.top_height_m * 1000.0 - (cloth.place().z_mm + size.height_mm);
        if narrow_mm > 0.0 || low_mm > 0.0 {
            return Ok(Some((
                cloth.ring,
                cloth.called().to_owned(),
                narrow_mm.max(0.0),
                low_mm.max(0.0),
            )));
        }
    }
    Ok(None)
}

fn ledger(facts: &Facts<'_>) -> Vec<Figure> {
    let mut all = vec![figure(
        facts,
        "table-seen",
        "5",
        "Table seen from",
        "mm",
        |f| {
            let worked = ground(f)?;
            let ahead = pupil_over_floor_mm(&seen(f, 0.0)?);
            let from_mark = |m: f64| found((m * 1000.0 + ahead).round());
            let to = if worked.far_edge_m.0.is_finite() {
                format!("to {} mm", from_mark(worked.far_edge_m.0))
            } else {
                "out to the horizon".to_owned()
            };
            let words = format!(
                "From the mark, {to}; {} mm wide where it begins. The sum is from under the pupil, in metres.",
                found((worked.near_width_m * 1000.0).round())
            );
            Ok(Told::by(from_mark(worked.near_edge_m), &worked, words))
        },
    )];
    for field in facts.things_of("tiles") {
        all.push(tiles_figure(facts, field));
    }
    for cloth in facts.things_of("backing") {
        all.push(backing_figure(facts, cloth));
    }
    all.extend(heights(facts));
    all
}

fn tiles_figure(facts: &Facts<'_>, field: &Standing<'_>) -> Figure {
    let ring = field.ring.to_string();
    let name = format!("{}: tiles to cast", field.called());
    figure(facts, &format!("tiles-{ring}"), &ring, &name, "", |f| {
        let (count, saved) = tiles(f, field)?;
        let worked = count.work()?;
        let shown = worked.tiles_to_cast.to_string();
        let words = format!(
            "{} are seen at all, spare rounded up to whole tiles.{}",
            worked.tiles_covering,
            if saved > 0 {
                format!(" The grid is laid so that {saved} fewer are cut by the frame’s edge.")
            } else {
                String::new()
            }
        );
        let sum = format!(
            "{} × (1 + {} ÷ 100) = {}",
            worked.tiles_covering,
            given(count.spare_fraction * 100.0),
            step(f64::from(worked.tiles_covering) * (1.0 + count.spare_fraction))
        );
        Ok(Told::new(shown, sum, words, worked.source))
    })
}

fn backing_figure(facts: &Facts<'_>, cloth: &Standing<'_>) -> Figure {
    let ring = cloth.ring.to_string();
    let name = format!("{}: build", cloth.called());
    figure(
        facts,
        &format!("backing-{ring}"),
        &ring,
        &name,
        "mm wide",
        |f| {
            let worked = backing(f, cloth)?;
            let mm = |m: f64| found((m * 1000.0).round());
            let words = format!(
                "A tenth to spare (common practice, no source); {} mm high, from {} to {} over the table.",
                mm(worked.build_height_m),
                mm(worked.bottom_height_m),
                mm(worked.top_height_m)
            );
            let wide_mm = worked.width_at_bottom_m.max(worked.width_at_top_m) * 1000.0;
            let short = wide_mm + 2.0 * cloth.place().y_mm.abs() - cloth.size().width_mm;
            let mut told = Told::by(mm(worked.build_width_m), &worked, words);
            if short > 0.0 {
                told.over = format!("It is {} mm too narrow for the frame.", found(short.ceil()));
            }
            Ok(told)
        },
    )
}

/// How tall pieces may be at the nearest and the farthest of them.
fn heights(facts: &Facts<'_>) -> Vec<Figure> {
    let ends = [
        (
            "tall-near",
            "Tallest at the nearest piece",
            "nearest_piece_mm",
        ),
        (
            "tall-far",
            "Tallest at the farthest piece",
            "farthest_piece_mm",
        ),
    ];
    ends.into_iter()
        .map(|(id, name, field)| {
            figure(facts, id, "", name, "mm", |f| {
                let s = seen(f, 0.0)?;
                let worked = PieceHeight {
                    camera_height_m: s.height_m,
                    tilt_down_deg: s.tilt_deg,
                    focal_length_mm: s.optics.focal_length_mm,
                    focus_distance_from_entrance_pupil_mm: s.optics.focus_from_pupil_mm,
                    sensor_height_mm: s.sensor_mm.1,
                    piece_distance_m: (f.get(field)? - pupil_over_floor_mm(&s)) / 1000.0,
                    pupil_magnification: s.optics.pupil_magnification,
                }
                .work()?;
                let most = worked.leaves_frame_above_m.0;
                let shown = if most.is_finite() {
                    found((most * 1000.0).round())
                } else {
                    "any".into()
                };
                let words = format!(
                    "Taller leaves the frame; over {} mm it breaks the horizon, at any distance.",
                    significant(worked.breaks_horizon_above_m * 1000.0, 3)
                );
                Ok(Told::by(shown, &worked, words))
            })
        })
        .collect()
}
