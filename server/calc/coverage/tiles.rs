//! How much of a real table is seen, and how many tiles cover that.

#[cfg(test)]
mod tests;

use super::polygon::Polygon;
use super::{Lens, View};
use crate::calculation::calculation;
use crate::fault::{Fault, FaultKind, Warnings};
use crate::figure::{carried, found, given};

/// A tile counts when more of it is seen than this, m²: one square millimetre.
const LEAST_SEEN_M2: f64 = 1e-6;
/// More tiles than this are not laid.
const MOST_TILES: f64 = 20_000.0;
/// More tiles than this are not tried at every place of the grid.
const MOST_TRIED: f64 = 2_000.0;
/// Places of the grid that are tried along each side of a tile.
const PLACES: u8 = 10;
/// A number of tiles that is whole but for rounding is whole.
const ROUNDING: f64 = 1e-9;

calculation! { "coverage";
    /// How much of a table with ends is in frame.
    ///
    /// The seen part of an endless table is cut to the table: from where it begins (below the camera unless told) to its
    /// end, and to its sides. A table that ends in frame is told (`table_end_clips`).
    table_seen(TableSeen {
        /// Height of the entrance pupil over the table.
        camera_height_m: f64 = Above(0.0); usual 0.6,
        /// How far the camera tilts down; negative is up.
        tilt_down_deg: f64 = Between(-90.0, 90.0); usual 30.0,
        /// Focal length of the lens.
        focal_length_mm: f64 = Above(0.0); usual 35.0,
        /// Distance of the plane of focus from the entrance pupil.
        focus_distance_from_entrance_pupil_mm: f64 = Above(0.0); usual 1200.0,
        /// Active width of the sensor.
        sensor_width_mm: f64 = Above(0.0); usual 24.89,
        /// Active height of the sensor.
        sensor_height_mm: f64 = Above(0.0); usual 14.0,
        /// End of the table, from below the entrance pupil.
        table_end_m: f64 = Above(0.0); usual 1.5,
        /// Half the width of the table.
        table_half_width_m: f64 = Above(0.0); usual 0.4,
        /// Exit pupil over entrance pupil.
        pupil_magnification: f64 = Above(0.0); default 1.0,
        /// How many times an anamorphic lens widens.
        squeeze: f64 = Above(0.0); default 1.0,
        /// Where the table begins, from below the entrance pupil.
        table_start_m: f64 = AtLeast(0.0); default 0.0,
        /// How far its middle lies beside the axis; right is positive.
        table_middle_m: f64 = Any; default 0.0,
    }) -> Seen {
        /// Area of the table seen.
        area_m2: f64,
        /// Its corners, forward and across.
        outline_m: Vec<[f64; 2]>,
    }
    because table_seen_because
    source "central projection cut to a rectangle, agreed by two million random points", Confirmed

    /// How many tiles the seen part of a table needs, and how many to cast.
    ///
    /// A tile counts when more than a square millimetre of it is seen. The grid's lines run through its origin.
    tile_count(TileCount {
        /// Height of the entrance pupil over the table.
        camera_height_m: f64 = Above(0.0); usual 0.6,
        /// How far the camera tilts down; negative is up.
        tilt_down_deg: f64 = Between(-90.0, 90.0); usual 30.0,
        /// Focal length of the lens.
        focal_length_mm: f64 = Above(0.0); usual 35.0,
        /// Distance of the plane of focus from the entrance pupil.
        focus_distance_from_entrance_pupil_mm: f64 = Above(0.0); usual 1200.0,
        /// Active width of the sensor.
        sensor_width_mm: f64 = Above(0.0); usual 24.89,
        /// Active height of the sensor.
        sensor_height_mm: f64 = Above(0.0); usual 14.0,
        /// End of the table, from below the entrance pupil.
        table_end_m: f64 = Above(0.0); usual 3.0,
        /// Half the width of the table.
        table_half_width_m: f64 = Above(0.0); usual 1.0,
        /// Length of a tile, forward.
        tile_x_m: f64 = Above(0.0); usual 0.15,
        /// Width of a tile, across.
        tile_y_m: f64 = Above(0.0); usual 0.15,
        /// A corner of the grid, forward and across.
        grid_origin_m: [f64; 2] = Any; default [0.0, 0.0],
        /// Spare tiles, as a share.
        spare_fraction: f64 = AtLeast(0.0); default 0.0; usual 0.1,
        /// Exit pupil over entrance pupil.
        pupil_magnification: f64 = Above(0.0); default 1.0,
        /// How many times an anamorphic lens widens.
        squeeze: f64 = Above(0.0); default 1.0,
        /// Where the table begins, from below the entrance pupil.
        table_start_m: f64 = AtLeast(0.0); default 0.0,
        /// How far its middle lies beside the axis; right is positive.
        table_middle_m: f64 = Any; default 0.0,
    }) -> Tiles {
        /// Tiles of which something is seen.
        tiles_covering: u32,
        /// Tiles to cast, with the spare ones.
        tiles_to_cast: u32,
    }
    because tile_count_because
    source "central projection cut to tiles, agreed by 16 million sampled points", Confirmed

    /// Where the grid of tiles lies best under the camera.
    ///
    /// A hundred places of the grid are tried, a tenth of a tile apart each way; the first with the fewest tiles is told.
    tile_grid(TileGrid {
        /// Height of the entrance pupil over the table.
        camera_height_m: f64 = Above(0.0); usual 0.6,
        /// How far the camera tilts down; negative is up.
        tilt_down_deg: f64 = Between(-90.0, 90.0); usual 30.0,
        /// Focal length of the lens.
        focal_length_mm: f64 = Above(0.0); usual 35.0,
        /// Distance of the plane of focus from the entrance pupil.
        focus_distance_from_entrance_pupil_mm: f64 = Above(0.0); usual 1200.0,
        /// Active width of the sensor.
        sensor_width_mm: f64 = Above(0.0); usual 24.89,
        /// Active height of the sensor.
        sensor_height_mm: f64 = Above(0.0); usual 14.0,
        /// End of the table, from below the entrance pupil.
        table_end_m: f64 = Above(0.0); usual 3.0,
        /// Half the width of the table.
        table_half_width_m: f64 = Above(0.0); usual 1.0,
        /// Length of a tile, forward.
        tile_x_m: f64 = Above(0.0); usual 0.15,
        /// Width of a tile, across.
        tile_y_m: f64 = Above(0.0); usual 0.15,
        /// Exit pupil over entrance pupil.
        pupil_magnification: f64 = Above(0.0); default 1.0,
        /// How many times an anamorphic lens widens.
        squeeze: f64 = Above(0.0); default 1.0,
        /// Where the table begins, from below the entrance pupil.
        table_start_m: f64 = AtLeast(0.0); default 0.0,
        /// How far its middle lies beside the axis; right is positive.
        table_middle_m: f64 = Any; default 0.0,
    }) -> Grid {
        /// Corner of the best grid, forward and across.
        grid_origin_m: [f64; 2],
        /// Tiles of which something is seen there.
        tiles_covering: u32,
        /// Tiles that this saves against a grid from below the entrance pupil.
        tiles_saved: u32,
    }
    because tile_grid_because
    source "every place of a tenth of a tile tried", Confirmed
}

/// A table by its edges: where it begins and ends, and its left and right side.
struct Table {
    along_m: [f64; 2],
    across_m: [f64; 2],
}

/// What is seen of the table, and whether its end is in frame.
fn outline(view: &View, table: &Table) -> Result<(Polygon, bool), Fault> {
    let near_m = view.near_m()?;
    let end_m = table.along_m[1];
    let clipped = view.far_m() > end_m;
    let far_m = view.far_m().min(end_m).max(near_m);
    let half = |ahead_m: f64| view.width_m(ahead_m, 0.0) / 2.0;
    let corners = [
        [near_m, -half(near_m)],
        [near_m, half(near_m)],
        [far_m, half(far_m)],
        [far_m, -half(far_m)],
    ];
    let seen = Polygon::new(corners)
        .between(0, table.along_m[0], end_m)
        .between(1, table.across_m[0], table.across_m[1]);
    Ok((seen, clipped))
}

/// The table in frame, from the inputs that all three calculations share.
macro_rules! seen {
    ($inputs:expr) => {{
        let i = $inputs;
        let lens = Lens {
            focal_length_mm: i.focal_length_mm,
            focus_distance_from_entrance_pupil_mm: i.focus_distance_from_entrance_pupil_mm,
            pupil_magnification: i.pupil_magnification,
            seen_width_mm: i.squeeze * i.sensor_width_mm,
            sensor_height_mm: i.sensor_height_mm,
        };
        let table = Table {
            along_m: [i.table_start_m, i.table_end_m],
            across_m: [-1.0, 1.0].map(|side| i.table_middle_m + side * i.table_half_width_m),
        };
        View::new(i.camera_height_m, i.tilt_down_deg, &lens).and_then(|view| outline(&view, &table))
    }};
}

fn table_seen(i: &TableSeen, warnings: &mut Warnings) -> Result<Seen, Fault> {
    let (seen, clipped) = seen!(i)?;
    warnings.add_if(clipped, "table_end_clips");
    Ok(Seen {
        area_m2: seen.area(),
        outline_m: seen.corners().to_vec(),
    })
}

fn table_seen_because(_: &TableSeen, a: &Seen) -> String {
    let forward = a.outline_m.iter().map(|corner| corner[0]);
    let (low, high) = forward.fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), x| {
        (low.min(x), high.max(x))
    });
    if high <= low {
        return "0 × 0 = 0 m²: nothing of the table is in frame".to_owned();
    }
    format!(
        "{} × {} = {} m² of the table, its depth and mean width in frame in metres",
        carried(high - low),
        carried(a.area_m2 / (high - low)),
        found(a.area_m2)
    )
}

/// The first cell of a grid that an extent meets, and how many there are.
fn cells(extent: Option<(f64, f64)>, cell_m: f64, origin_m: f64) -> (f64, f64) {
    extent.map_or((0.0, 0.0), |(low, high)| {
        let first = ((low - origin_m) / cell_m).floor();
        (first, ((high - origin_m) / cell_m).ceil() - first)
    })
}

/// Whole numbers from a first one, so many of them, each a number of its own however large.
fn counted(first: f64, count: f64) -> impl Iterator<Item = f64> {
    (0..)
        .map(f64::from)
        .take_while(move |place: &f64| *place < count)
        .map(move |place| first + place)
}

/// Tiles of a grid through an origin of which something is seen.
fn covering(seen: &Polygon, tile_m: [f64; 2], origin_m: [f64; 2], most: f64) -> Result<u32, Fault> {
    let along = |extent, axis: usize| cells(extent, tile_m[axis], origin_m[axis]);
    let (first, rows) = along(seen.extent(0), 0);
    let (_, columns) = along(seen.extent(1), 1);
    if rows * columns > most {
        let problem = format!("This takes more than {most} tiles: make them larger.");
        let fields = ["tile_x_m", "tile_y_m"];
        let finer = usize::from(tile_m[1] < tile_m[0]);
        return Err(Fault::new(fields[finer], FaultKind::OutOfRange, problem));
    }
    let mut count = 0;
    for row in counted(first, rows) {
        let from_m = origin_m[0] + row * tile_m[0];
        let strip = seen.between(0, from_m, from_m + tile_m[0]);
        let (left, across) = along(strip.extent(1), 1);
        for column in counted(left, across) {
            let side_m = origin_m[1] + column * tile_m[1];
            let tile = strip.between(1, side_m, side_m + tile_m[1]);
            count += u32::from(tile.area() > LEAST_SEEN_M2);
        }
    }
    Ok(count)
}

fn tile_count(i: &TileCount, warnings: &mut Warnings) -> Result<Tiles, Fault> {
    let (seen, clipped) = seen!(i)?;
    warnings.add_if(clipped, "table_end_clips");
    let tiles_covering = covering(&seen, [i.tile_x_m, i.tile_y_m], i.grid_origin_m, MOST_TILES)?;
    let wanted = f64::from(tiles_covering) * (1.0 + i.spare_fraction);
    if wanted > f64::from(u32::MAX) {
        let problem = "Spare fraction makes more tiles than can be counted: use less.";
        return Err(Fault::new("spare_fraction", FaultKind::OutOfRange, problem));
    }
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "whole and within the range, checked above"
    )]
    let tiles_to_cast = (wanted * (1.0 - ROUNDING)).ceil() as u32;
    Ok(Tiles {
        tiles_covering,
        tiles_to_cast,
    })
}

fn tile_count_because(i: &TileCount, a: &Tiles) -> String {
    let covering = f64::from(a.tiles_covering);
    format!(
        "{} × (1 + {}) = {}, so cast {} tiles for the {} of which something is seen",
        given(covering),
        given(i.spare_fraction),
        found(covering * (1.0 + i.spare_fraction)),
        a.tiles_to_cast,
        a.tiles_covering
    )
}

fn tile_grid(i: &TileGrid, warnings: &mut Warnings) -> Result<Grid, Fault> {
    let (seen, clipped) = seen!(i)?;
    warnings.add_if(clipped, "table_end_clips");
    let tile_m = [i.tile_x_m, i.tile_y_m];
    let plain = covering(&seen, tile_m, [0.0, 0.0], MOST_TRIED)?;
    let mut best = ([0.0, 0.0], plain);
    for forward in 0..PLACES {
        for across in 0..PLACES {
            let tenths = [f64::from(forward), f64::from(across)];
            let origin_m = [0, 1].map(|axis| tile_m[axis] * tenths[axis] / f64::from(PLACES));
            let tiles = covering(&seen, tile_m, origin_m, MOST_TRIED)?;
            if tiles < best.1 {
                best = (origin_m, tiles);
            }
        }
    }
    Ok(Grid {
        grid_origin_m: best.0,
        tiles_covering: best.1,
        tiles_saved: plain - best.1,
    })
}

fn tile_grid_because(_: &TileGrid, a: &Grid) -> String {
    let saved = f64::from(a.tiles_saved);
    format!(
        "{} − {} = {} tiles of which something is seen, with the grid moved {} m forward and {} m across",
        given(f64::from(a.tiles_covering) + saved),
        given(saved),
        found(f64::from(a.tiles_covering)),
        found(a.grid_origin_m[0]),
        found(a.grid_origin_m[1])
    )
}
