//! The camera's projection: which place of the stage falls on which photosite.
//!
//! The eye stands at the entrance pupil, ahead of the sensor mark along the tilted axis; what is seen from there does not
//! depend on anything behind it. At depth Z along the axis the frame is q·w·Z/f wide and h·Z/f high, where f is the
//! distance over which the lens opens by its own size, w and h the active sensor and q the squeeze.

use super::super::scene::{Camera, Place, Scene};

/// A direction or an offset on the stage: ahead, to the right, up.
pub(super) type Vector = [f64; 3];

/// A place as an offset from the mark's foot on the table top.
pub(super) fn vector(place: Place) -> Vector {
    [place.x_mm, place.y_mm, place.z_mm]
}

pub(super) fn dot(a: Vector, b: Vector) -> f64 {
    a[0] * b[0] + a[1] * b[1] + a[2] * b[2]
}

pub(super) fn minus(a: Vector, b: Vector) -> Vector {
    [a[0] - b[0], a[1] - b[1], a[2] - b[2]]
}

/// `base` and so many of `step` on from it.
pub(super) fn on(base: Vector, share: f64, step: Vector) -> Vector {
    [0, 1, 2].map(|axis| base[axis] + share * step[axis])
}

/// A place as the camera has it, from the pupil.
#[derive(Clone, Copy, Debug, PartialEq)]
#[expect(clippy::struct_field_names, reason = "numbers carry their unit")]
pub(super) struct Seen {
    /// To the right of the frame.
    pub(super) right_mm: f64,
    /// Toward the top of the frame.
    pub(super) up_mm: f64,
    /// Along the axis.
    pub(super) depth_mm: f64,
}

/// A camera with its lens, as what it sees needs them.
#[derive(Clone, Copy, Debug)]
pub struct Eye {
    pupil: Vector,
    axis: Vector,
    right: Vector,
    up: Vector,
    /// Photosites across and down.
    sites: (f64, f64),
    /// Photosites from the middle for a place as far off the axis as it is deep, across and down.
    spread: (f64, f64),
}

impl Eye {
    /// The eye of a scene; none while its lens is not known.
    pub fn of(scene: &Scene) -> Option<Eye> {
        let (camera, lens) = (scene.camera.bounded(), scene.lens?.bounded()?);
        let [axis, right, up] = directions(&camera);
        let mark = [0.0, 0.0, camera.height_mm];
        let pitch_mm = lens.sensor_width_mm / lens.photosites_across;
        Some(Eye {
            pupil: on(mark, camera.pupil_mm, axis),
            axis,
            right,
            up,
            sites: (lens.photosites_across, lens.sensor_height_mm / pitch_mm),
            spread: (
                lens.projection_mm / (lens.squeeze * pitch_mm),
                lens.projection_mm / pitch_mm,
            ),
        })
    }

    /// The entrance pupil.
    pub fn pupil(&self) -> Place {
        let [x_mm, y_mm, z_mm] = self.pupil;
        Place { x_mm, y_mm, z_mm }
    }

    /// Photosites across and down the active area.
    pub fn photosites(&self) -> (f64, f64) {
        self.sites
    }

    /// Where a place falls on the active area, in photosites from its left and its top edge as the picture is looked at;
    /// nothing for a place that is not in front of the pupil.
    pub fn photosite(&self, place: Place) -> Option<(f64, f64)> {
        let seen = self.seen(place);
        let (across, down) = self.site(seen);
        (seen.depth_mm > 0.0 && across.is_finite() && down.is_finite()).then_some((across, down))
    }

    /// How deep a place lies from the pupil, measured along the axis; negative behind it.
    pub fn depth_mm(&self, place: Place) -> f64 {
        self.seen(place).depth_mm
    }

    /// How far light goes from a place to the pupil.
    pub fn distance_mm(&self, place: Place) -> f64 {
        let [x, y, z] = minus(vector(place), self.pupil);
        x.hypot(y).hypot(z)
    }

    /// Ends of the horizon in the frame, left and right of an upright camera, in photosites: where level lines vanish. None when it is out of
    /// frame.
    pub fn horizon(&self) -> Option<[(f64, f64); 2]> {
        let (wide, high) = self.sites;
        // A level direction a + s·right + t·up has no rise. Its slopes s, t off the axis make a straight line; this is the
        // point of that line nearest the middle and the way along it.
        let (rise, rise_right, rise_up) = (self.axis[2], self.right[2], self.up[2]);
        let length = rise_right.hypot(rise_up);
        let (s, t) = (
            -rise * rise_right / (length * length),
            -rise * rise_up / (length * length),
        );
        let (along_s, along_t) = (rise_up / length, -rise_right / length);
        let point = |share: f64| {
            (
                wide / 2.0 + self.spread.0 * (s + share * along_s),
                high / 2.0 - self.spread.1 * (t + share * along_t),
            )
        };
        let (middle, ahead) = (point(0.0), point(1.0));
        let (mut from, mut to) = (f64::NEG_INFINITY, f64::INFINITY);
        for (start, step, edge) in [
            (middle.0, ahead.0 - middle.0, wide),
            (middle.1, ahead.1 - middle.1, high),
        ] {
            if step.abs() < 1e-12 {
                if !(0.0..=edge).contains(&start) {
                    return None;
                }
                continue;
            }
            let (one, other) = (-start / step, (edge - start) / step);
            from = from.max(one.min(other));
            to = to.min(one.max(other));
        }
        (from < to && from.is_finite() && to.is_finite()).then(|| [point(from), point(to)])
    }

    /// A place as the camera has it.
    pub(super) fn seen(&self, place: Place) -> Seen {
        let offset = minus(vector(place), self.pupil);
        Seen {
            right_mm: dot(offset, self.right),
            up_mm: dot(offset, self.up),
            depth_mm: dot(offset, self.axis),
        }
    }

    /// The photosite of what lies in front of the pupil.
    pub(super) fn site(&self, seen: Seen) -> (f64, f64) {
        (
            self.sites.0 / 2.0 + self.spread.0 * seen.right_mm / seen.depth_mm,
            self.sites.1 / 2.0 - self.spread.1 * seen.up_mm / seen.depth_mm,
        )
    }

    /// The pupil as an offset from the mark's foot.
    pub(super) fn stands(&self) -> Vector {
        self.pupil
    }

    /// The axis as a direction.
    pub(super) fn looks(&self) -> Vector {
        self.axis
    }
}

/// The camera's axis, right and up: tilted about its right, then rolled about its axis.
fn directions(camera: &Camera) -> [Vector; 3] {
    let (sin_tilt, cos_tilt) = camera.tilt_deg.to_radians().sin_cos();
    let (sin_roll, cos_roll) = camera.roll_deg.to_radians().sin_cos();
    [
        [cos_tilt, 0.0, sin_tilt],
        [sin_roll * sin_tilt, cos_roll, -sin_roll * cos_tilt],
        [-cos_roll * sin_tilt, sin_roll, cos_roll * cos_tilt],
    ]
}
