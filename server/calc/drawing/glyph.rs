//! Symbols: camera, lamp, projector, water's end, arrowheads. To scale where a size is known, never too small to see.

use super::Class;
use super::fit::Fit;
use super::scene::{Kind, Thing};
use super::shape::{Point, Rect, Shape, Step, at, strokes};

/// Points given along and across a heading, turned and set at a place. A positive angle turns clockwise on the page.
fn turned(place: Point, angle_rad: f64, points: &[(f64, f64)]) -> Vec<Point> {
    let (sin, cos) = angle_rad.sin_cos();
    points
        .iter()
        .map(|&(along, across)| {
            at(
                place.x + along * cos - across * sin,
                place.y + along * sin + across * cos,
            )
        })
        .collect()
}

/// The camera about its sensor mark: body, lens up to the pupil, and the mark across it.
pub(crate) fn camera(mark: Point, pupil_mm: f64, angle_rad: f64, fit: &Fit) -> Vec<Shape> {
    // Drawn to scale as a body of 120 by 124 mm, but never less than 14 units long.
    let unit = fit.scale.max(14.0 / 120.0);
    let lens = (pupil_mm * fit.scale).max(48.0 * unit);
    let body = [(-95.0, -62.0), (25.0, -62.0), (25.0, 62.0), (-95.0, 62.0)]
        .map(|(x, y)| (x * unit, y * unit));
    let (from, breadth) = (25.0 * unit, 38.0 * unit);
    let barrel = [
        (from, -breadth),
        (lens, -breadth),
        (lens, breadth),
        (from, breadth),
    ];
    let mark_line = turned(mark, angle_rad, &[(0.0, -92.0 * unit), (0.0, 92.0 * unit)]);
    vec![
        Shape::Polygon(Class::Camera, turned(mark, angle_rad, &body)),
        Shape::Polygon(Class::Camera, turned(mark, angle_rad, &barrel)),
        Shape::Line(Class::SensorMark, mark_line[0], mark_line[1]),
    ]
}

/// The area the camera's symbol covers, whatever its tilt.
pub(crate) fn camera_area(mark: Point, fit: &Fit) -> Rect {
    let unit = fit.scale.max(14.0 / 120.0);
    Rect::about(mark, 96.0 * unit)
}

/// A lamp head or projector as a symbol of fixed size, facing along the angle.
pub(crate) fn head(kind: Kind, place: Point, angle_rad: f64) -> Vec<Shape> {
    if kind == Kind::Projector {
        let body = [(-8.0, -6.0), (4.0, -6.0), (4.0, 6.0), (-8.0, 6.0)];
        let lens = [(4.0, -3.0), (8.0, -3.0), (8.0, 3.0), (4.0, 3.0)];
        return vec![
            Shape::Polygon(Class::Projector, turned(place, angle_rad, &body)),
            Shape::Polygon(Class::Projector, turned(place, angle_rad, &lens)),
        ];
    }
    let body = [(-9.0, -6.0), (4.0, -6.0), (4.0, 6.0), (-9.0, 6.0)];
    let doors = [(4.0, -6.0), (9.0, -8.5), (9.0, 8.5), (4.0, 6.0)];
    vec![
        Shape::Polygon(Class::Lamp, turned(place, angle_rad, &body)),
        Shape::Polygon(Class::Lamp, turned(place, angle_rad, &doors)),
    ]
}

/// An arrowhead with its tip at a place, along an angle.
pub(crate) fn arrowhead(class: Class, tip: Point, angle_rad: f64) -> Shape {
    Shape::Polygon(
        class,
        turned(tip, angle_rad, &[(0.0, 0.0), (-8.0, -3.2), (-8.0, 3.2)]),
    )
}

/// A start mark: a filled square on its corner.
pub(crate) fn start_mark(place: Point) -> Shape {
    Shape::Polygon(
        Class::StartMark,
        turned(
            place,
            0.0,
            &[(0.0, -5.0), (5.0, 0.0), (0.0, 5.0), (-5.0, 0.0)],
        ),
    )
}

/// A wavy upright line.
pub(crate) fn wavy(x: f64, top: f64, bottom: f64) -> Shape {
    const HALF_WAVE: f64 = 6.0;
    const SWING: f64 = 4.0;
    let mut steps = vec![Step::Move(at(x, top))];
    let (mut y, mut side) = (top, 1.0);
    while y + HALF_WAVE <= bottom {
        steps.push(Step::Curve(
            at(x + side * SWING, y + HALF_WAVE / 2.0),
            at(x, y + HALF_WAVE),
        ));
        y += HALF_WAVE;
        side = -side;
    }
    Shape::Path(Class::Water, steps)
}

/// The line class a thing is drawn with when it is seen as an area, and when it is thinner than its line.
pub(crate) const fn classes(kind: Kind) -> (Class, Class) {
    match kind {
        Kind::Model => (Class::Model, Class::Model),
        Kind::Piece => (Class::Piece, Class::Wall),
        Kind::Lamp => (Class::Lamp, Class::Lamp),
        Kind::Projector => (Class::Projector, Class::Projector),
        Kind::Flag => (Class::Flag, Class::Flag),
        Kind::Backing => (Class::Backing, Class::Backing),
        Kind::Net => (Class::Net, Class::Net),
        Kind::Tiles => (Class::Tiles, Class::Tiles),
    }
}

/// Whether a thing is drawn as a symbol and not by its outline.
pub(crate) const fn is_head(thing: &Thing) -> bool {
    matches!(thing.kind, Kind::Lamp | Kind::Projector)
}

/// Whether a thing gets its name written beside it.
pub(crate) const fn is_named(thing: &Thing) -> bool {
    !matches!(thing.kind, Kind::Model | Kind::Piece)
}

/// Light squares through an origin, clipped to a window.
pub(crate) fn squares(fit: &Fit, window: &Rect, origin: Point) -> Shape {
    let side = fit.square_mm() * fit.scale;
    let lines = |from: f64, to: f64, through: f64| {
        let first = through + ((from - through) / side).ceil() * side;
        (0..2000_u32)
            .map(move |step| first + f64::from(step) * side)
            .take_while(move |place| *place <= to)
    };
    let upright = lines(window.x, window.right(), origin.x)
        .map(|x| (at(x, window.y), at(x, window.bottom())));
    let level = lines(window.y, window.bottom(), origin.y)
        .map(|y| (at(window.x, y), at(window.right(), y)));
    strokes(Class::Grid, upright.chain(level))
}
