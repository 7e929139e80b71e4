//! The edges of the table in frame, the backing behind it, and how tall a piece may be.

use super::{Lens, View};
use crate::calculation::{OrInfinity, calculation};
use crate::fault::{Fault, FaultKind, Warnings};
use crate::figure::{carried, found, given};
use std::f64::consts::FRAC_PI_2;

calculation! { "coverage";
    /// The piece of an endless table that is in frame.
    ///
    /// Edges at h/tan(τ ± β) with β half the vertical angle of view. With the horizon in frame (`horizon_in_frame`) the
    /// table has no far edge: it needs an end or a backing. Steeper than straight down the near edge lies behind the
    /// camera's foot. A frame wholly above the horizon sees no table and is refused.
    ground_quad(GroundQuad {
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
        /// Exit pupil over entrance pupil.
        pupil_magnification: f64 = Above(0.0); default 1.0,
        /// How many times an anamorphic lens widens.
        squeeze: f64 = Above(0.0); default 1.0,
    }) -> Ground {
        /// Nearest edge, from below the entrance pupil.
        near_edge_m: f64,
        /// Farthest edge.
        far_edge_m: OrInfinity,
        /// Width seen at the near edge.
        near_width_m: f64,
        /// Width seen at the far edge.
        far_width_m: OrInfinity,
        /// Area of table seen.
        area_m2: OrInfinity,
        /// Whether the horizon is in frame.
        horizon_in_frame: bool,
        /// Where it lies, as a share of the frame's height from the top.
        horizon_from_top_fraction: Option<f64>,
    }
    because ground_quad_because
    source "central projection on a level table, agreed by cast corner rays", Confirmed

    /// How large an upright backing must be at its distance.
    ///
    /// Bottom h − X tan(τ + β), top h + X tan(β − τ). Below the table's level nothing of it is needed. The size to build
    /// has a margin on every side for reframing and the glow of haze, a tenth by common practice. Tall backings are
    /// braced and weighted by people who know how.
    backing_size(BackingSize {
        /// Height of the entrance pupil over the table.
        camera_height_m: f64 = Above(0.0); usual 0.25,
        /// How far the camera tilts down; negative is up.
        tilt_down_deg: f64 = Between(-90.0, 90.0); usual 5.0,
        /// Focal length of the lens.
        focal_length_mm: f64 = Above(0.0); usual 28.0,
        /// Distance of the plane of focus from the entrance pupil.
        focus_distance_from_entrance_pupil_mm: f64 = Above(0.0); usual 900.0,
        /// Active width of the sensor.
        sensor_width_mm: f64 = Above(0.0); usual 24.89,
        /// Active height of the sensor.
        sensor_height_mm: f64 = Above(0.0); usual 14.0,
        /// Distance of the backing from the entrance pupil, level.
        backing_distance_m: f64 = Above(0.0); usual 3.0,
        /// Exit pupil over entrance pupil.
        pupil_magnification: f64 = Above(0.0); default 1.0,
        /// How many times an anamorphic lens widens.
        squeeze: f64 = Above(0.0); default 1.0,
        /// Margin on each side, as a share of the size.
        margin_fraction: f64 = AtLeast(0.0); default 0.1,
    }) -> Backing {
        /// Lowest height seen, over the table.
        bottom_height_m: f64,
        /// Highest height seen, over the table.
        top_height_m: f64,
        /// Width seen at the lowest.
        width_at_bottom_m: f64,
        /// Width seen at the highest.
        width_at_top_m: f64,
        /// Width to build, with the margin.
        build_width_m: f64,
        /// Height to build above the table, with the margin.
        build_height_m: f64,
    }
    because backing_size_because
    source "central projection on an upright plane, agreed by cast corner rays; margin: common practice", Confirmed

    /// How tall a piece may be before it breaks the horizon, and before it leaves the frame.
    ///
    /// The horizon stands at the camera's height at every distance: match it on the backing.
    piece_height(PieceHeight {
        /// Height of the entrance pupil over the table.
        camera_height_m: f64 = Above(0.0); usual 0.25,
        /// How far the camera tilts down; negative is up.
        tilt_down_deg: f64 = Between(-90.0, 90.0); usual 5.0,
        /// Focal length of the lens.
        focal_length_mm: f64 = Above(0.0); usual 28.0,
        /// Distance of the plane of focus from the entrance pupil.
        focus_distance_from_entrance_pupil_mm: f64 = Above(0.0); usual 900.0,
        /// Active height of the sensor.
        sensor_height_mm: f64 = Above(0.0); usual 14.0,
        /// Distance of the piece from the entrance pupil, level.
        piece_distance_m: f64 = Above(0.0); usual 1.6,
        /// Exit pupil over entrance pupil.
        pupil_magnification: f64 = Above(0.0); default 1.0,
    }) -> PieceLimits {
        /// Taller than this it stands over the horizon.
        breaks_horizon_above_m: f64,
        /// Taller than this its top is out of frame.
        leaves_frame_above_m: OrInfinity,
    }
    because piece_height_because
    source "central projection, agreed by cast corner rays", Confirmed
}

fn ground_view(i: &GroundQuad) -> Result<View, Fault> {
    let lens = Lens {
        focal_length_mm: i.focal_length_mm,
        focus_distance_from_entrance_pupil_mm: i.focus_distance_from_entrance_pupil_mm,
        pupil_magnification: i.pupil_magnification,
        seen_width_mm: i.squeeze * i.sensor_width_mm,
        sensor_height_mm: i.sensor_height_mm,
    };
    View::new(i.camera_height_m, i.tilt_down_deg, &lens)
}

fn ground_quad(i: &GroundQuad, warnings: &mut Warnings) -> Result<Ground, Fault> {
    let view = ground_view(i)?;
    let near_edge_m = view.near_m()?;
    let far_edge_m = view.far_m();
    let horizon_in_frame = far_edge_m.is_infinite();
    warnings.add_if(horizon_in_frame, "horizon_in_frame");
    let near_width_m = view.width_m(near_edge_m, 0.0);
    let (far_width_m, area_m2) = if horizon_in_frame {
        (f64::INFINITY, f64::INFINITY)
    } else {
        let far_width_m = view.width_m(far_edge_m, 0.0);
        let mean_m = f64::midpoint(near_width_m, far_width_m);
        (far_width_m, mean_m * (far_edge_m - near_edge_m))
    };
    let from_top = 0.5 - view.tilt_rad.tan() / (2.0 * view.half_rise);
    Ok(Ground {
        near_edge_m,
        far_edge_m: OrInfinity(far_edge_m),
        near_width_m,
        far_width_m: OrInfinity(far_width_m),
        area_m2: OrInfinity(area_m2),
        horizon_in_frame,
        horizon_from_top_fraction: horizon_in_frame.then_some(from_top),
    })
}

fn ground_quad_because(i: &GroundQuad, a: &Ground) -> String {
    let lowest_rad = ground_view(i).map_or(f64::NAN, |view| view.lowest_rad());
    let ending = if a.horizon_in_frame {
        "The horizon is in frame, so the table has no far edge".to_owned()
    } else {
        format!(
            "The far edge lies at {} m, and {} m² are seen",
            found(a.far_edge_m.0),
            found(a.area_m2.0)
        )
    };
    format!(
        "{} ÷ tan({}°) = {} m to the near edge, by the lowest ray. {ending}.",
        given(i.camera_height_m),
        carried(lowest_rad.to_degrees()),
        found(a.near_edge_m)
    )
}

fn backing_view(i: &BackingSize) -> Result<View, Fault> {
    let lens = Lens {
        focal_length_mm: i.focal_length_mm,
        focus_distance_from_entrance_pupil_mm: i.focus_distance_from_entrance_pupil_mm,
        pupil_magnification: i.pupil_magnification,
        seen_width_mm: i.squeeze * i.sensor_width_mm,
        sensor_height_mm: i.sensor_height_mm,
    };
    View::new(i.camera_height_m, i.tilt_down_deg, &lens)
}

fn backing_size(i: &BackingSize, _: &mut Warnings) -> Result<Backing, Fault> {
    let view = backing_view(i)?;
    let (lowest_rad, highest_rad) = (view.lowest_rad(), view.highest_rad());
    if lowest_rad >= FRAC_PI_2 || highest_rad <= -FRAC_PI_2 {
        let problem = "The backing cannot fill the frame: an edge of it never meets an upright plane. Tilt less.";
        return Err(Fault::new(
            "tilt_down_deg",
            FaultKind::NoRealGeometry,
            problem,
        ));
    }
    let at = i.backing_distance_m;
    let bottom_height_m = i.camera_height_m - at * lowest_rad.tan();
    let top_height_m = i.camera_height_m - at * highest_rad.tan();
    let width_at_bottom_m = view.width_m(at, bottom_height_m);
    let width_at_top_m = view.width_m(at, top_height_m);
    let with_margin = 1.0 + 2.0 * i.margin_fraction;
    Ok(Backing {
        bottom_height_m,
        top_height_m,
        width_at_bottom_m,
        width_at_top_m,
        build_width_m: width_at_bottom_m.max(width_at_top_m) * with_margin,
        build_height_m: (top_height_m - bottom_height_m.max(0.0)).max(0.0) * with_margin,
    })
}

fn backing_size_because(i: &BackingSize, a: &Backing) -> String {
    let highest_rad = backing_view(i).map_or(f64::NAN, |view| view.highest_rad());
    format!(
        "{} + {} × tan({}°) = {} m over the table at the top, down to {} m at the bottom. With the margin build it {} m wide and {} m high.",
        given(i.camera_height_m),
        given(i.backing_distance_m),
        carried(-highest_rad.to_degrees()),
        found(a.top_height_m),
        found(a.bottom_height_m),
        found(a.build_width_m),
        found(a.build_height_m)
    )
}

/// How far the frame's top points above the horizon.
fn top_rad(i: &PieceHeight) -> Result<f64, Fault> {
    let lens = Lens {
        focal_length_mm: i.focal_length_mm,
        focus_distance_from_entrance_pupil_mm: i.focus_distance_from_entrance_pupil_mm,
        pupil_magnification: i.pupil_magnification,
        seen_width_mm: 0.0,
        sensor_height_mm: i.sensor_height_mm,
    };
    Ok(-View::new(i.camera_height_m, i.tilt_down_deg, &lens)?.highest_rad())
}

fn piece_height(i: &PieceHeight, _: &mut Warnings) -> Result<PieceLimits, Fault> {
    let top_rad = top_rad(i)?;
    let rise_m = if top_rad < FRAC_PI_2 {
        i.piece_distance_m * top_rad.tan()
    } else {
        f64::INFINITY
    };
    Ok(PieceLimits {
        breaks_horizon_above_m: i.camera_height_m,
        leaves_frame_above_m: OrInfinity(i.camera_height_m + rise_m),
    })
}

fn piece_height_because(i: &PieceHeight, a: &PieceLimits) -> String {
    let height = given(i.camera_height_m);
    if a.leaves_frame_above_m.0.is_infinite() {
        return format!(
            "1 × {height} = {} m is where a piece breaks the horizon. Its top never leaves this frame.",
            found(a.breaks_horizon_above_m)
        );
    }
    format!(
        "{height} + {} × tan({}°) = {} m is where a piece leaves the frame. It breaks the horizon from the camera's height on.",
        given(i.piece_distance_m),
        carried(top_rad(i).unwrap_or(f64::NAN).to_degrees()),
        found(a.leaves_frame_above_m.0)
    )
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::Calculate;
    use proptest::prelude::*;

    fn ground(tilt_down_deg: f64) -> Result<crate::Worked<Ground>, Vec<Fault>> {
        GroundQuad {
            camera_height_m: 0.5,
            tilt_down_deg,
            focal_length_mm: 35.0,
            focus_distance_from_entrance_pupil_mm: 1200.0,
            sensor_width_mm: 24.89,
            sensor_height_mm: 14.0,
            pupil_magnification: 1.0,
            squeeze: 1.0,
        }
        .work()
    }

    fn backing(tilt_down_deg: f64) -> Result<crate::Worked<Backing>, Vec<Fault>> {
        BackingSize {
            camera_height_m: 0.5,
            tilt_down_deg,
            focal_length_mm: 35.0,
            focus_distance_from_entrance_pupil_mm: 1200.0,
            sensor_width_mm: 24.89,
            sensor_height_mm: 14.0,
            backing_distance_m: 3.0,
            pupil_magnification: 1.0,
            squeeze: 1.0,
            margin_fraction: 0.0,
        }
        .work()
    }

    #[test]
    fn straight_down_sees_as_far_ahead_as_behind() {
        let down = ground(90.0).expect("in range");
        assert!((down.near_edge_m + down.far_edge_m.0).abs() < 1e-12);
        assert!(!down.horizon_in_frame && down.warnings.is_empty());
    }

    #[test]
    fn a_camera_that_looks_up_or_down_has_no_backing() {
        for tilt in [85.0, -85.0] {
            assert_eq!(
                backing(tilt).expect_err("refused")[0].kind,
                FaultKind::NoRealGeometry
            );
        }
    }

    #[test]
    fn nothing_leaves_a_frame_that_looks_straight_up() {
        let up = PieceHeight {
            camera_height_m: 0.25,
            tilt_down_deg: -85.0,
            focal_length_mm: 28.0,
            focus_distance_from_entrance_pupil_mm: 900.0,
            sensor_height_mm: 14.0,
            piece_distance_m: 1.6,
            pupil_magnification: 1.0,
        };
        assert!(
            up.work()
                .expect("in range")
                .leaves_frame_above_m
                .0
                .is_infinite()
        );
    }

    proptest! {
        #[test]
        fn the_backing_joins_the_table_where_its_bottom_is_level(tilt in 12.0..70.0) {
            // at the far edge of the table the highest ray meets it
            let seen = ground(tilt).expect("in range");
            prop_assume!(seen.far_edge_m.0.is_finite());
            let view = ground_view(&GroundQuad {
                camera_height_m: 0.5, tilt_down_deg: tilt, focal_length_mm: 35.0, focus_distance_from_entrance_pupil_mm: 1200.0,
                sensor_width_mm: 24.89, sensor_height_mm: 14.0, pupil_magnification: 1.0, squeeze: 1.0,
            }).expect("in range");
            prop_assert!((0.5 - seen.far_edge_m.0 * view.highest_rad().tan()).abs() < 1e-9);
            // the frame's width over its depth is the same in every row
            let depth = |ahead: f64| view.width_m(ahead, 0.0) / view.spread;
            prop_assert!((seen.near_width_m / depth(seen.near_edge_m) - view.spread).abs() < 1e-9);
        }
    }
}
