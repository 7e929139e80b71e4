//! How much of a real table is seen, and how many tiles cover that.

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
    /// The seen part of an endless table is cut to the table: from below the camera to its end, and to its sides. A table
    /// that ends in frame is told (`table_end_clips`).
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
        /// Half the width of the table, the camera over its middle.
        table_half_width_m: f64 = Above(0.0); usual 0.4,
        /// Exit pupil over entrance pupil.
        pupil_magnification: f64 = Above(0.0); default 1.0,
        /// How many times an anamorphic lens widens.
        squeeze: f64 = Above(0.0); default 1.0,
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
        /// Half the width of the table, the camera over its middle.
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
        /// Half the width of the table, the camera over its middle.
        table_half_width_m: f64 = Above(0.0); usual 1.0,
        /// Length of a tile, forward.
        tile_x_m: f64 = Above(0.0); usual 0.15,
        /// Width of a tile, across.
        tile_y_m: f64 = Above(0.0); usual 0.15,
        /// Exit pupil over entrance pupil.
        pupil_magnification: f64 = Above(0.0); default 1.0,
        /// How many times an anamorphic lens widens.
        squeeze: f64 = Above(0.0); default 1.0,
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

/// What is seen of the table, and whether its end is in frame.
fn outline(view: &View, end_m: f64, half_width_m: f64) -> Result<(Polygon, bool), Fault> {
    let near_m = view.near_m()?;
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
        .between(0, 0.0, end_m)
        .between(1, -half_width_m, half_width_m);
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
        View::new(i.camera_height_m, i.tilt_down_deg, &lens)
            .and_then(|view| outline(&view, i.table_end_m, i.table_half_width_m))
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

#[cfg(test)]
mod tests {
    use super::*;
    use crate::Calculate;
    use proptest::prelude::*;

    fn tiled(tile_m: f64, table_end_m: f64, spare_fraction: f64) -> TileCount {
        TileCount {
            camera_height_m: 0.6,
            tilt_down_deg: 30.0,
            focal_length_mm: 35.0,
            focus_distance_from_entrance_pupil_mm: 1200.0,
            sensor_width_mm: 24.89,
            sensor_height_mm: 14.0,
            table_end_m,
            table_half_width_m: 1.0,
            tile_x_m: tile_m,
            tile_y_m: tile_m,
            grid_origin_m: [0.0, 0.0],
            spare_fraction,
            pupil_magnification: 1.0,
            squeeze: 1.0,
        }
    }

    fn tiles(
        tile_m: f64,
        table_end_m: f64,
        spare_fraction: f64,
    ) -> Result<crate::Worked<Tiles>, Vec<Fault>> {
        tiled(tile_m, table_end_m, spare_fraction).work()
    }

    #[test]
    fn dust_is_no_tile_and_spares_do_not_round_up_for_nothing() {
        assert_eq!(
            tiles(1e-4, 3.0, 0.0).expect_err("refused")[0].kind,
            FaultKind::OutOfRange
        );
        let tenth = tiles(0.15, 3.0, 0.1).expect("in range");
        assert_eq!((tenth.tiles_covering, tenth.tiles_to_cast), (60, 66));
    }

    #[test]
    fn a_grid_from_far_away_still_ends() {
        let mut far = tiled(0.15, 3.0, 0.0);
        for origin_m in [3e15, -3e15, 1e300] {
            far.grid_origin_m = [origin_m, origin_m];
            assert!(far.work().is_ok_and(|tiles| tiles.tiles_covering <= 200));
        }
    }

    #[test]
    fn a_table_that_ends_before_the_frame_is_not_seen() {
        let none = tiles(0.15, 0.1, 0.1).expect("in range");
        assert_eq!((none.tiles_covering, none.tiles_to_cast), (0, 0));
        assert_eq!(none.warnings, ["table_end_clips"]);
    }

    proptest! {
        #[test]
        fn the_best_grid_is_no_worse_and_counts_what_it_says(tile in 0.08..0.5) {
            let grid = TileGrid {
                camera_height_m: 0.6, tilt_down_deg: 30.0, focal_length_mm: 35.0, focus_distance_from_entrance_pupil_mm: 1200.0,
                sensor_width_mm: 24.89, sensor_height_mm: 14.0, table_end_m: 3.0, table_half_width_m: 1.0,
                tile_x_m: tile, tile_y_m: tile, pupil_magnification: 1.0, squeeze: 1.0,
            }.work().expect("in range");
            let plain = tiles(tile, 3.0, 0.0).expect("in range").tiles_covering;
            prop_assert_eq!(grid.tiles_covering + grid.tiles_saved, plain);
        }
    }
}
