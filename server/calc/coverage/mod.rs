//! Coverage (family `coverage`): which piece of the table the camera sees, and how large backing and pieces must be.
//!
//! The camera is a point at its entrance pupil over a level table; x runs forward from the point below it, y across. A
//! rolled camera or a sloping table is outside these sums: cast the four corner rays on the real plane instead.

pub mod ground;
pub mod polygon;
pub mod tiles;

pub use ground::{BackingSize, GroundQuad, PieceHeight};
pub use tiles::{TableSeen, TileCount, TileGrid};

use crate::fault::{Fault, FaultKind};
use crate::focus::magnification;

/// A camera by what its frame spans.
#[derive(Clone, Copy, Debug)]
struct View {
    height_m: f64,
    tilt_rad: f64,
    /// Half the frame's height over the image distance.
    half_rise: f64,
    /// The frame's width over the image distance.
    spread: f64,
}

/// The lens and sensor of a camera, as they are given.
struct Lens {
    focal_length_mm: f64,
    focus_distance_from_entrance_pupil_mm: f64,
    pupil_magnification: f64,
    seen_width_mm: f64,
    sensor_height_mm: f64,
}

impl View {
    fn new(height_m: f64, tilt_down_deg: f64, lens: &Lens) -> Result<Self, Fault> {
        let m = magnification(
            lens.focal_length_mm,
            lens.pupil_magnification,
            lens.focus_distance_from_entrance_pupil_mm,
            "focus_distance_from_entrance_pupil_mm",
        )?;
        let image_distance_mm = lens.focal_length_mm * (1.0 + m / lens.pupil_magnification);
        Ok(Self {
            height_m,
            tilt_rad: tilt_down_deg.to_radians(),
            half_rise: lens.sensor_height_mm / (2.0 * image_distance_mm),
            spread: lens.seen_width_mm / image_distance_mm,
        })
    }

    /// Half the vertical angle of view.
    fn half_angle_rad(&self) -> f64 {
        self.half_rise.atan()
    }

    /// How far the lowest ray points below the horizon.
    fn lowest_rad(&self) -> f64 {
        self.tilt_rad + self.half_angle_rad()
    }

    /// How far the highest ray points below the horizon; at or above it when not positive.
    fn highest_rad(&self) -> f64 {
        self.tilt_rad - self.half_angle_rad()
    }

    /// Nearest edge of the table that is seen.
    fn near_m(&self) -> Result<f64, Fault> {
        let below = self.lowest_rad();
        if below <= 0.0 {
            let problem =
                "The frame sees no table: its lower edge is above the horizon. Tilt down.";
            return Err(Fault::new(
                "tilt_down_deg",
                FaultKind::NoRealGeometry,
                problem,
            ));
        }
        Ok(self.height_m * below.cos() / below.sin())
    }

    /// Farthest edge of the table that is seen, without end when the horizon is.
    fn far_m(&self) -> f64 {
        let below = self.highest_rad();
        if below > 0.0 {
            self.height_m * below.cos() / below.sin()
        } else {
            f64::INFINITY
        }
    }

    /// Width seen at a point straight ahead, so far away and so high over the table.
    fn width_m(&self, ahead_m: f64, up_m: f64) -> f64 {
        let depth_m = ahead_m * self.tilt_rad.cos() + (self.height_m - up_m) * self.tilt_rad.sin();
        self.spread * depth_m
    }
}
