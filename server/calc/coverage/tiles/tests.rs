//! Tiles at the edges: dust, far grids, tables that begin late or lie beside the axis.

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
        table_start_m: 0.0,
        table_middle_m: 0.0,
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

#[test]
fn tiles_are_counted_only_where_they_lie() {
    let part = |start_m: f64, end_m: f64| TileCount {
        table_start_m: start_m,
        ..tiled(0.15, end_m, 0.0)
    };
    let count = |i: TileCount| i.work().expect("in range").tiles_covering;
    // Parted at a line of the grid, two parts make the whole.
    assert_eq!(
        count(part(0.0, 0.9)) + count(part(0.9, 3.0)),
        count(part(0.0, 3.0))
    );
    assert_eq!(count(part(2.9, 1.0)), 0, "it ends before it begins");
    // A field beside the frame is not seen, and one shifted by half its width ends at the axis.
    let beside = |middle_m: f64| TileCount {
        table_middle_m: middle_m,
        ..tiled(0.15, 3.0, 0.0)
    };
    assert_eq!(count(beside(9.0)), 0);
    assert_eq!(count(beside(1.0)), count(beside(-1.0)));
    assert_eq!(2 * count(beside(1.0)), count(beside(0.0)));
}

proptest! {
    #[test]
    fn the_best_grid_is_no_worse_and_counts_what_it_says(tile in 0.08..0.5) {
        let grid = TileGrid {
            camera_height_m: 0.6, tilt_down_deg: 30.0, focal_length_mm: 35.0, focus_distance_from_entrance_pupil_mm: 1200.0,
            sensor_width_mm: 24.89, sensor_height_mm: 14.0, table_end_m: 3.0, table_half_width_m: 1.0,
            tile_x_m: tile, tile_y_m: tile, pupil_magnification: 1.0, squeeze: 1.0, table_start_m: 0.0, table_middle_m: 0.0,
        }.work().expect("in range");
        let plain = tiles(tile, 3.0, 0.0).expect("in range").tiles_covering;
        prop_assert_eq!(grid.tiles_covering + grid.tiles_saved, plain);
    }
}
