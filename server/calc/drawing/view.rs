//! The frame as plan and elevation see it.

use super::scene::Camera;

/// The frame as it opens from the pupil, tilt and roll worked in.
#[derive(Clone, Copy, Debug)]
pub(crate) struct View {
    pupil_mm: f64,
    height_mm: f64,
    sin_tilt: f64,
    cos_tilt: f64,
    /// Half width over distance from the pupil.
    slope_across: f64,
    /// Half height over distance from the pupil.
    slope_up: f64,
}

impl View {
    /// The view of a camera; without a frame it has an axis but no edges.
    pub(crate) fn of(camera: &Camera) -> View {
        let (sin_tilt, cos_tilt) = camera.tilt_deg.to_radians().sin_cos();
        let (across, up) = camera.frame.map_or((0.0, 0.0), |frame| {
            (
                frame.half_width_deg.to_radians().tan(),
                frame.half_height_deg.to_radians().tan(),
            )
        });
        // A rolled frame is drawn by how far its corners reach across and up.
        let (sin_roll, cos_roll) = camera.roll_deg.to_radians().sin_cos();
        View {
            pupil_mm: camera.pupil_mm,
            height_mm: camera.height_mm,
            sin_tilt,
            cos_tilt,
            slope_across: across * cos_roll.abs() + up * sin_roll.abs(),
            slope_up: up * cos_roll.abs() + across * sin_roll.abs(),
        }
    }

    /// Half width of the frame this far from the mark; nothing before the pupil.
    pub(crate) fn half_width_mm(&self, distance_mm: f64) -> f64 {
        (distance_mm - self.pupil_mm).max(0.0) * self.slope_across
    }

    /// Half height of the frame this far from the mark; nothing before the pupil.
    pub(crate) fn half_height_mm(&self, distance_mm: f64) -> f64 {
        (distance_mm - self.pupil_mm).max(0.0) * self.slope_up
    }

    /// Where the axis is over the floor this far from the mark.
    pub(crate) fn floor_x_mm(&self, distance_mm: f64) -> f64 {
        distance_mm * self.cos_tilt
    }

    /// `x` and `z` of the frame this far from the mark; `side` is 1 at its top edge, 0 on the axis, −1 at its bottom edge.
    pub(crate) fn upright_mm(&self, distance_mm: f64, side: f64) -> (f64, f64) {
        let off = side * self.half_height_mm(distance_mm);
        (
            distance_mm * self.cos_tilt - off * self.sin_tilt,
            self.height_mm + distance_mm * self.sin_tilt + off * self.cos_tilt,
        )
    }

    /// Where the pupil is, from the mark along the axis.
    pub(crate) fn pupil_mm(&self) -> f64 {
        self.pupil_mm
    }

    /// Sine and cosine of the tilt.
    pub(crate) fn tilt(&self) -> (f64, f64) {
        (self.sin_tilt, self.cos_tilt)
    }
}

#[cfg(test)]
mod tests {
    use super::super::scene::Frame;
    use super::*;

    fn close(actual: f64, expected: f64) {
        assert!(
            (actual - expected).abs() < 1e-9,
            "{actual} is not {expected}"
        );
    }

    fn camera(tilt_deg: f64, roll_deg: f64) -> Camera {
        // tan 45° is 1 across; tan half height is 0.5.
        Camera {
            pupil_mm: 60.0,
            height_mm: 260.0,
            tilt_deg,
            roll_deg,
            frame: Some(Frame {
                half_width_deg: 45.0,
                half_height_deg: 0.5_f64.atan().to_degrees(),
            }),
        }
    }

    #[test]
    fn the_frame_opens_from_the_pupil_and_not_from_the_mark() {
        let view = View::of(&camera(0.0, 0.0));
        close(view.half_width_mm(1060.0), 1000.0);
        close(view.half_height_mm(1060.0), 500.0);
        close(view.half_width_mm(60.0), 0.0);
        close(view.half_width_mm(20.0), 0.0);
        assert_eq!(view.upright_mm(1060.0, 1.0), (1060.0, 760.0));
    }

    #[test]
    fn tilt_turns_the_frame_about_the_mark() {
        // 30° up: at 1 000 mm the axis is at 866.0 and 260 + 500; the top edge leans back by 470 × sin 30°.
        let view = View::of(&camera(30.0, 0.0));
        let (x_mm, z_mm) = view.upright_mm(1000.0, 0.0);
        close(x_mm, 1000.0 * 30.0_f64.to_radians().cos());
        close(z_mm, 760.0);
        let (top_x_mm, top_z_mm) = view.upright_mm(1000.0, 1.0);
        close(top_x_mm, x_mm - 235.0);
        close(top_z_mm, 760.0 + 470.0 * 30.0_f64.to_radians().cos());
    }

    #[test]
    fn a_quarter_roll_swaps_width_and_height() {
        let view = View::of(&camera(0.0, 90.0));
        close(view.half_width_mm(1060.0), 500.0);
        close(view.half_height_mm(1060.0), 1000.0);
    }
}
