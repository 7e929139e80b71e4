//! What the frame sees: things as simple solids in true perspective from the entrance pupil, toned by what the haze leaves
//! of them, softened by their blur on the sensor.

mod eye;
mod picture;
mod solid;

pub use eye::Eye;

use super::Class;
use super::figure;
use super::fit::Form;
use super::ring::{self, Request};
use super::room::Room;
use super::scene::{Place, Scene, Thing};
use super::shape::{Anchor, Drawing, Point, Rect, Shape, at, strokes, text};
use picture::Picture;

/// Share of the frame's width and height that is kept clear of its edge; common practice, no source.
const KEPT_CLEAR: f64 = 0.9;
/// Height over width of the frame while the lens is not known.
const USUAL_ASPECT: f64 = 2.39;
/// More rings than this hide the picture.
const MOST_RINGS: usize = 16;
/// Most a frame is drawn high, as a share of its width.
const TALLEST: f64 = 0.8;

/// Corners of a thing's box on the active area, in photosites from its top left; nothing for a corner behind the pupil.
pub fn corner_photosites(eye: &Eye, thing: &Thing) -> [Option<(f64, f64)>; 8] {
    solid::corner_places(thing).map(|place| eye.photosite(place))
}

/// Corners of the box round a thing, on the stage.
pub(crate) fn box_corners(thing: &Thing) -> [Place; 8] {
    solid::corner_places(thing)
}

/// Draws the view.
pub fn lens_view(scene: &Scene, form: Form) -> Drawing {
    let scene = scene.bounded();
    match Eye::of(&scene) {
        Some(eye) => seen(&scene, &eye, form),
        None => not_open(form),
    }
}

/// The frame and the words while its lens is not known.
fn not_open(form: Form) -> Drawing {
    let frame = Rect {
        x: 1.0,
        y: 1.0,
        width: form.width() - 2.0,
        height: (form.width() - 2.0) / USUAL_ASPECT,
    };
    let words = "Write camera, lens, stop and focus, and the frame opens.";
    Drawing {
        width: form.width(),
        height: frame.bottom() + 1.0,
        shapes: vec![
            Shape::Rect(Class::LensFrame, frame),
            text(
                Class::Label,
                at(frame.x + frame.width / 2.0, frame.y + frame.height / 2.0),
                Anchor::Middle,
                words,
            ),
        ],
        label: format!("Lens view. {words}"),
        facts: Vec::new(),
    }
}

fn seen(scene: &Scene, eye: &Eye, form: Form) -> Drawing {
    let (across, down) = eye.photosites();
    let squeeze = scene.lens.map_or(1.0, |lens| lens.squeeze);
    let width = form.width() - 2.0;
    let height = (width * down / (across * squeeze)).min(width * TALLEST);
    // A frame higher than the sheet has room for is drawn narrower, never out of shape.
    let width = height * across * squeeze / down;
    let frame = Rect {
        x: (form.width() - width) / 2.0,
        y: 1.0,
        width,
        height,
    };
    let picture = Picture::new(scene, eye, frame);
    let mut shapes = vec![Shape::Rect(Class::Veil, frame)];
    shapes.extend(picture.solids());
    shapes.extend(picture.horizon());
    shapes.push(corners(&frame));
    shapes.push(Shape::Rect(Class::LensFrame, frame));
    shapes.extend(rings(scene, &picture, &frame, form));
    Drawing {
        width: form.width(),
        height: frame.bottom() + 1.0,
        shapes,
        label: label(scene, &picture),
        facts: facts(scene, eye),
    }
}

/// Corners of what is kept clear of the edge.
fn corners(frame: &Rect) -> Shape {
    let inset = (1.0 - KEPT_CLEAR) / 2.0;
    let (dx, dy) = (frame.width * inset, frame.height * inset);
    let kept = Rect {
        x: frame.x + dx,
        y: frame.y + dy,
        width: frame.width - 2.0 * dx,
        height: frame.height - 2.0 * dy,
    };
    let arm = frame.height * 0.05;
    let ends = [
        (kept.x, kept.y, 1.0, 1.0),
        (kept.right(), kept.y, -1.0, 1.0),
        (kept.right(), kept.bottom(), -1.0, -1.0),
        (kept.x, kept.bottom(), 1.0, -1.0),
    ];
    strokes(
        Class::SafeFrame,
        ends.into_iter().flat_map(|(x, y, right, down)| {
            [
                (at(x, y), at(x + right * arm, y)),
                (at(x, y), at(x, y + down * arm)),
            ]
        }),
    )
}

/// Number rings on what is in the picture, those of the findings first where only some fit.
fn rings(scene: &Scene, picture: &Picture, frame: &Rect, form: Form) -> Vec<Shape> {
    let rank = |number: u32| {
        let first = scene.first_rings.iter().position(|first| *first == number);
        first.unwrap_or(usize::MAX)
    };
    let mut requests: Vec<Request> = scene
        .things
        .iter()
        .filter_map(|thing| {
            let dots = dots(picture, thing, frame);
            Some(Request {
                number: thing.ring?,
                dots,
            })
        })
        .filter(|request| !request.dots.is_empty())
        .collect();
    requests.sort_by_key(|request| (rank(request.number), request.number));
    requests.truncate(form.rings().min(MOST_RINGS));
    let room = Room::new(frame.grown(-2.0));
    ring::place(&requests, &room)
        .into_iter()
        .map(Shape::Ring)
        .collect()
}

/// Where the dot of a thing may stand: its middle, then toward its corners, as far as they are in the picture.
fn dots(picture: &Picture, thing: &Thing, frame: &Rect) -> Vec<Point> {
    let middle = thing.middle();
    let toward = |corner: Place| Place {
        x_mm: middle.x_mm + 0.6 * (corner.x_mm - middle.x_mm),
        y_mm: middle.y_mm + 0.6 * (corner.y_mm - middle.y_mm),
        z_mm: middle.z_mm + 0.6 * (corner.z_mm - middle.z_mm),
    };
    let corners = solid::corner_places(thing).map(toward);
    std::iter::once(middle)
        .chain(corners)
        .filter_map(|place| picture.point(place))
        .filter(|dot| frame.grown(-3.0).holds(&Rect::about(*dot, 0.0)))
        .collect()
}

fn label(scene: &Scene, picture: &Picture) -> String {
    let length = |mm: f64| figure::length(mm, scene.unit);
    let named: Vec<_> = scene
        .things
        .iter()
        .filter(|thing| {
            picture
                .point(thing.middle())
                .is_some_and(|p| picture.holds(p))
        })
        .map(|thing| thing.name.as_str())
        .collect();
    let inside = if named.is_empty() {
        "nothing that stands on the table".to_owned()
    } else {
        named.join(", ")
    };
    format!(
        "Lens view from the entrance pupil, {} above the table. In the frame: {inside}.",
        length(picture.pupil_mm())
    )
}

/// Each thing in the frame with where its middle falls, in hundredths of the frame from its left and top.
fn facts(scene: &Scene, eye: &Eye) -> Vec<(String, String)> {
    let (across, down) = eye.photosites();
    scene
        .things
        .iter()
        .filter_map(|thing| {
            let (x, y) = eye.photosite(thing.middle())?;
            let share = |value: f64, whole: f64| figure::grouped(100.0 * value / whole, 0);
            Some((
                thing.name.clone(),
                format!(
                    "{} % from the left, {} % down",
                    share(x, across),
                    share(y, down)
                ),
            ))
        })
        .collect()
}

#[cfg(test)]
mod tests;
