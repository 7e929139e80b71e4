//! Table seen, and tiles to cast.

use super::lens::unit;
use crate::sums::{
    aims::Aim,
    ask::{Ask, Gap, Given, ask},
    sum::{Came, Draws, Results, Sum},
};
use std::sync::OnceLock;
use stillair_calc::{
    Calculate, Worked,
    coverage::{BackingSize, GroundQuad, PieceHeight, TableSeen, TileCount},
    drawing::sum::seen::{Table, table_seen},
    figure::found,
};

pub static TILES: Sum = Sum {
    slug: "tiles-seen",
    title: "Table seen and tiles",
    about: "What the frame sees of the table, how many tiles to cast, and where a backing or a tall piece breaks it.",
    aim: Aim::Cover,
    words: "coverage ground frame floor paving roof tiles cast spare backing horizon height table sensor",
    make_asks: asks,
    kept_asks: OnceLock::new(),
    work,
};

fn asks() -> Vec<Ask> {
    vec![
        ask::<TileCount>("camera_height_m")
            .label("Pupil over the table")
            .shown_in("mm"),
        ask::<TileCount>("tilt_down_deg").label("Tilted down"),
        ask::<TileCount>("focal_length_mm").label("Lens"),
        ask::<TileCount>("focus_distance_from_entrance_pupil_mm").label("Focus, from the pupil"),
        ask::<TileCount>("sensor_width_mm").label("Sensor, wide"),
        ask::<TileCount>("sensor_height_mm").label("Sensor, high"),
        ask::<TileCount>("table_end_m").label("Table reaches to"),
        ask::<TileCount>("table_half_width_m").label("Half its width"),
        ask::<TileCount>("tile_x_m")
            .label("Tile, forward")
            .shown_in("mm"),
        ask::<TileCount>("tile_y_m")
            .label("Tile, across")
            .shown_in("mm"),
        ask::<TileCount>("spare_fraction")
            .label("Spare")
            .in_percent(),
        ask::<BackingSize>("backing_distance_m").label("Backing at"),
        ask::<PieceHeight>("piece_distance_m").label("Tall piece at"),
    ]
}

fn count(g: &Given) -> Result<(TileCount, Worked<<TileCount as Calculate>::Answer>), Gap> {
    let count = TileCount {
        camera_height_m: g.get("camera_height_m")?,
        tilt_down_deg: g.get("tilt_down_deg")?,
        focal_length_mm: g.get("focal_length_mm")?,
        focus_distance_from_entrance_pupil_mm: g.get("focus_distance_from_entrance_pupil_mm")?,
        sensor_width_mm: g.get("sensor_width_mm")?,
        sensor_height_mm: g.get("sensor_height_mm")?,
        table_end_m: g.get("table_end_m")?,
        table_half_width_m: g.get("table_half_width_m")?,
        tile_x_m: g.get("tile_x_m")?,
        tile_y_m: g.get("tile_y_m")?,
        grid_origin_m: [0.0, 0.0],
        spare_fraction: g.get("spare_fraction")?,
        pupil_magnification: 1.0,
        squeeze: 1.0,
        table_start_m: 0.0,
        table_middle_m: 0.0,
    };
    let worked = count.work()?;
    Ok((count, worked))
}

fn seen(g: &Given) -> Result<(TableSeen, Worked<<TableSeen as Calculate>::Answer>), Gap> {
    let seen = TableSeen {
        camera_height_m: g.get("camera_height_m")?,
        tilt_down_deg: g.get("tilt_down_deg")?,
        focal_length_mm: g.get("focal_length_mm")?,
        focus_distance_from_entrance_pupil_mm: g.get("focus_distance_from_entrance_pupil_mm")?,
        sensor_width_mm: g.get("sensor_width_mm")?,
        sensor_height_mm: g.get("sensor_height_mm")?,
        table_end_m: g.get("table_end_m")?,
        table_half_width_m: g.get("table_half_width_m")?,
        pupil_magnification: 1.0,
        squeeze: 1.0,
        table_start_m: 0.0,
        table_middle_m: 0.0,
    };
    let worked = seen.work()?;
    Ok((seen, worked))
}

fn work(given: &Given) -> Results {
    let figures = vec![
        given.figure("near", "Table seen from", "mm", |g| {
            let quad = GroundQuad {
                camera_height_m: g.get("camera_height_m")?,
                tilt_down_deg: g.get("tilt_down_deg")?,
                focal_length_mm: g.get("focal_length_mm")?,
                focus_distance_from_entrance_pupil_mm: g
                    .get("focus_distance_from_entrance_pupil_mm")?,
                sensor_width_mm: g.get("sensor_width_mm")?,
                sensor_height_mm: g.get("sensor_height_mm")?,
                pupil_magnification: 1.0,
                squeeze: 1.0,
            };
            let worked = quad.work()?;
            Ok(Came::number(worked.near_edge_m * 1000.0)
                .because(&quad, &worked)
                .words("Level, from below the pupil."))
        }),
        given.figure("area", "Table in frame", "m²", |g| {
            let (seen, worked) = seen(g)?;
            Ok(Came::number(worked.area_m2).because(&seen, &worked))
        }),
        given.figure("tiles", "Tiles in sight", "", |g| {
            let (count, worked) = count(g)?;
            Ok(Came::words_only(found(f64::from(worked.tiles_covering))).because(&count, &worked))
        }),
        given.figure("cast", "Cast, with the spare", "", |g| {
            Ok(Came::words_only(found(f64::from(
                count(g)?.1.tiles_to_cast,
            ))))
        }),
        given.figure("backing", "Backing to build, wide", "m", |g| {
            let (backing, worked) = backing(g)?;
            Ok(Came::number(worked.build_width_m).because(&backing, &worked))
        }),
        given.figure("backing-high", "and high", "m", |g| {
            Ok(Came::number(backing(g)?.1.build_height_m))
        }),
        given.figure("horizon", "Piece breaks the horizon over", "mm", |g| {
            let (piece, worked) = piece(g)?;
            Ok(Came::number(worked.breaks_horizon_above_m * 1000.0).because(&piece, &worked))
        }),
        given.figure("leaves", "and leaves the frame over", "mm", |g| {
            Ok(Came::number(piece(g)?.1.leaves_frame_above_m.0 * 1000.0))
        }),
    ];
    Results {
        figures,
        drawing: drawing(given).ok(),
        legend: "From above, to scale: the table, its tiles, and what the frame sees of it.",
        ..Results::default()
    }
}

fn backing(g: &Given) -> Result<(BackingSize, Worked<<BackingSize as Calculate>::Answer>), Gap> {
    let backing = BackingSize {
        camera_height_m: g.get("camera_height_m")?,
        tilt_down_deg: g.get("tilt_down_deg")?,
        focal_length_mm: g.get("focal_length_mm")?,
        focus_distance_from_entrance_pupil_mm: g.get("focus_distance_from_entrance_pupil_mm")?,
        sensor_width_mm: g.get("sensor_width_mm")?,
        sensor_height_mm: g.get("sensor_height_mm")?,
        backing_distance_m: g.get("backing_distance_m")?,
        pupil_magnification: 1.0,
        squeeze: 1.0,
        margin_fraction: 0.1,
    };
    let worked = backing.work()?;
    Ok((backing, worked))
}

fn piece(g: &Given) -> Result<(PieceHeight, Worked<<PieceHeight as Calculate>::Answer>), Gap> {
    let piece = PieceHeight {
        camera_height_m: g.get("camera_height_m")?,
        tilt_down_deg: g.get("tilt_down_deg")?,
        focal_length_mm: g.get("focal_length_mm")?,
        focus_distance_from_entrance_pupil_mm: g.get("focus_distance_from_entrance_pupil_mm")?,
        sensor_height_mm: g.get("sensor_height_mm")?,
        piece_distance_m: g.get("piece_distance_m")?,
        pupil_magnification: 1.0,
    };
    let worked = piece.work()?;
    Ok((piece, worked))
}

fn drawing(g: &Given) -> Result<Draws, Gap> {
    let table = Table {
        end_m: g.get("table_end_m")?,
        half_width_m: g.get("table_half_width_m")?,
        outline_m: seen(g)?.1.outline_m.clone(),
        tile_m: Some([g.get("tile_x_m")?, g.get("tile_y_m")?]),
        unit: unit(g.units),
    };
    Ok(Box::new(move |width| table_seen(&table, width)))
}
