//! Tiles: how many of a field are seen, and how many to cast.

use super::{Seen, Told, figure, given, step};
use crate::{
    plan::setups::{
        facts::{Facts, Gap},
        standing::Standing,
    },
    web::parts::Figure,
};
use std::{
    collections::HashMap,
    sync::{LazyLock, Mutex, PoisonError},
};
use stillair_calc::{
    Calculate as _, Worked,
    coverage::{TileCount, TileGrid, tiles::Tiles},
};

/// A field's tiles: the count with the grid laid where it needs fewest, and how many that saves.
struct Laid {
    count: Worked<Tiles>,
    saved: u32,
    spare_percent: f64,
}

/// Tiles of each field, by its number ring, with the spare ones.
///
/// # Errors
/// What is not written.
pub fn tiles_seen(facts: &Facts<'_>) -> Result<Vec<(u32, Worked<Tiles>)>, Gap> {
    facts
        .things_of("tiles")
        .map(|field| Ok((field.ring, laid(facts, field)?.count)))
        .collect()
}

/// How far a field reaches along the axis and across it: turned a quarter, its length lies across.
fn reaches_mm(field: &Standing<'_>) -> (f64, f64) {
    let size = field.size();
    let heading = field.entry.heading_deg.unwrap_or(0.0).to_radians();
    if heading.sin().abs() > heading.cos().abs() {
        (size.width_mm, size.length_mm)
    } else {
        (size.length_mm, size.width_mm)
    }
}

fn laid(facts: &Facts<'_>, field: &Standing<'_>) -> Result<Laid, Gap> {
    let place = field.place();
    let s = Seen::of(facts, place.z_mm + field.size().height_mm)?;
    let tile = field.piece.ok_or_else(|| Gap::Missing {
        blank: format!("row-{}", field.entry.id),
        label: "From stores",
    })?;
    let (along, across) = reaches_mm(field);
    let (tile_x_mm, tile_y_mm) = (
        facts.number_of(tile, "length_mm")?,
        facts.number_of(tile, "width_mm")?,
    );
    let from_pupil_mm = place.x_mm - s.ahead_mm;
    let spare_percent = facts.get("tile_spare_percent")?;
    let grid = TileGrid {
        camera_height_m: s.height_mm / 1000.0,
        tilt_down_deg: s.tilt_deg,
        focal_length_mm: s.optics.focal_length_mm,
        focus_distance_from_entrance_pupil_mm: s.optics.focus_from_pupil_mm,
        sensor_width_mm: s.sensor_mm.0,
        sensor_height_mm: s.sensor_mm.1,
        table_end_m: (from_pupil_mm + along / 2.0) / 1000.0,
        table_half_width_m: across / 2000.0,
        tile_x_m: tile_x_mm / 1000.0,
        tile_y_m: tile_y_mm / 1000.0,
        pupil_magnification: s.optics.pupil_magnification,
        squeeze: s.squeeze,
        table_start_m: ((from_pupil_mm - along / 2.0) / 1000.0).max(0.0),
        table_middle_m: place.y_mm / 1000.0,
    };
    let (origin_m, saved) = best_grid(&grid)?;
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
        grid_origin_m: origin_m,
        spare_fraction: spare_percent / 100.0,
        pupil_magnification: grid.pupil_magnification,
        squeeze: grid.squeeze,
        table_start_m: grid.table_start_m,
        table_middle_m: grid.table_middle_m,
    };
    Ok(Laid {
        count: count.work()?,
        saved,
        spare_percent,
    })
}

/// How many searched grids are kept.
const MOST_KEPT: usize = 64;

/// Grids searched already, by their numbers.
type KeptGrids = HashMap<[u64; 14], ([f64; 2], u32)>;

/// The grid's best origin and the tiles that saves. A hundred grids are laid for it, so what was searched once is kept.
fn best_grid(grid: &TileGrid) -> Result<([f64; 2], u32), Gap> {
    static KEPT: LazyLock<Mutex<KeptGrids>> = LazyLock::new(Mutex::default);
    let key = [
        grid.camera_height_m,
        grid.tilt_down_deg,
        grid.focal_length_mm,
        grid.focus_distance_from_entrance_pupil_mm,
        grid.sensor_width_mm,
        grid.sensor_height_mm,
        grid.table_end_m,
        grid.table_half_width_m,
        grid.tile_x_m,
        grid.tile_y_m,
        grid.pupil_magnification,
        grid.squeeze,
        grid.table_start_m,
        grid.table_middle_m,
    ]
    .map(f64::to_bits);
    let kept = || KEPT.lock().unwrap_or_else(PoisonError::into_inner);
    if let Some(found) = kept().get(&key) {
        return Ok(*found);
    }
    let worked = grid.work()?;
    let found = (worked.grid_origin_m, worked.tiles_saved);
    let mut all = kept();
    if all.len() >= MOST_KEPT {
        all.clear();
    }
    all.insert(key, found);
    Ok(found)
}

/// The figure of one field.
pub(super) fn of_field(facts: &Facts<'_>, field: &Standing<'_>) -> Vec<Figure> {
    let ring = field.ring.to_string();
    let name = format!("{}: tiles to cast", field.called());
    vec![figure(
        facts,
        &format!("tiles-{ring}"),
        &ring,
        &name,
        "",
        |f| {
            let Laid {
                count,
                saved,
                spare_percent,
            } = laid(f, field)?;
            let seen = f64::from(count.tiles_covering);
            let (shown, sum) = (
                count.tiles_to_cast.to_string(),
                format!(
                    "{} × (1 + {} ÷ 100) = {}",
                    given(seen),
                    given(spare_percent),
                    step(seen * (1.0 + spare_percent / 100.0))
                ),
            );
            let saves = match saved {
                0 => String::new(),
                1 => " Joints laid where they save one tile.".into(),
                n => format!(" Joints laid where they save {n} tiles."),
            };
            let words = format!(
                "{} are in frame in whole or part; with the spare ones, made up to whole tiles.{saves}",
                given(seen)
            );
            Ok(Told::new(shown, sum, words, count.source))
        },
    )]
}
