//! Things as simple solids: the faces of a box that turn toward the pupil, each with its corners on the stage.

use super::super::scene::{Kind, Place, Thing};
use super::eye::{Vector, dot, minus, on, vector};

/// One face of a solid.
#[derive(Clone, Debug)]
pub(super) struct Face {
    /// Its corners, in order round it.
    pub(super) corners: Vec<Vector>,
    /// Share of the object's own tone: faces turned away from the light above are darker.
    pub(super) shade: f64,
}

/// Tone of a face that looks up, to the camera, and to either side; a picture convention, so that solids read as solid.
const SHADES: (f64, f64, f64) = (0.55, 0.85, 1.0);

/// A thing's own directions: along its heading, across it to the right, and up.
fn directions(thing: &Thing) -> [Vector; 3] {
    let (sin_h, cos_h) = thing.heading_deg.to_radians().sin_cos();
    let (sin_p, cos_p) = thing.pitch_deg.to_radians().sin_cos();
    [
        [cos_p * cos_h, cos_p * sin_h, sin_p],
        [-sin_h, cos_h, 0.0],
        [-sin_p * cos_h, -sin_p * sin_h, cos_p],
    ]
}

/// The eight corners of the box round a thing: low and high along its heading, across it, up; the last varies fastest.
pub(super) fn corners(thing: &Thing) -> [Vector; 8] {
    let [along, across, up] = directions(thing);
    let middle = vector(thing.middle());
    let size = thing.size;
    let mut all = [middle; 8];
    for (index, corner) in all.iter_mut().enumerate() {
        let side = |bit: usize| if index & bit == 0 { -0.5 } else { 0.5 };
        *corner = on(*corner, side(4) * size.length_mm, along);
        *corner = on(*corner, side(2) * size.width_mm, across);
        *corner = on(*corner, side(1) * size.height_mm, up);
    }
    all
}

/// The corners as places on the stage.
pub(super) fn corner_places(thing: &Thing) -> [Place; 8] {
    corners(thing).map(|[x_mm, y_mm, z_mm]| Place { x_mm, y_mm, z_mm })
}

/// The faces of a thing that turn toward the pupil. A field of tiles has only its top.
pub(super) fn faces(thing: &Thing, pupil: Vector) -> Vec<Face> {
    let c = corners(thing);
    let sides: [([usize; 4], f64); 6] = [
        ([0, 1, 3, 2], SHADES.1),
        ([4, 6, 7, 5], SHADES.1),
        ([0, 4, 5, 1], SHADES.2),
        ([2, 3, 7, 6], SHADES.2),
        ([0, 2, 6, 4], SHADES.2),
        ([1, 5, 7, 3], SHADES.0),
    ];
    let middle = vector(thing.middle());
    let only_top = thing.kind == Kind::Tiles;
    sides
        .into_iter()
        .enumerate()
        .filter(|(index, _)| !only_top || *index == 5)
        .map(|(_, (corners, shade))| Face {
            corners: corners.map(|index| c[index]).to_vec(),
            shade,
        })
        .filter(|face| {
            // A face is seen from the side its outward way points to.
            let centre = face
                .corners
                .iter()
                .fold([0.0; 3], |sum, corner| on(sum, 0.25, *corner));
            let outward = minus(centre, middle);
            only_top || dot(outward, outward) == 0.0 || dot(outward, minus(pupil, centre)) > 0.0
        })
        .collect()
}
