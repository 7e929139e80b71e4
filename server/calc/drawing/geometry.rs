//! Cutting lines and figures to a window, hulls, and whether two strokes cross.

use super::shape::{Point, Rect, Shape, Step, at};

/// The part of a line inside a rectangle, if any (Liang and Barsky's way of clipping).
pub(crate) fn clip_line(from: Point, to: Point, window: &Rect) -> Option<(Point, Point)> {
    let (dx, dy) = (to.x - from.x, to.y - from.y);
    let (mut enter, mut leave) = (0.0_f64, 1.0_f64);
    let edges = [
        (-dx, from.x - window.x),
        (dx, window.right() - from.x),
        (-dy, from.y - window.y),
        (dy, window.bottom() - from.y),
    ];
    for (towards, room) in edges {
        if towards == 0.0 {
            if room < 0.0 {
                return None;
            }
        } else if towards < 0.0 {
            enter = enter.max(room / towards);
        } else {
            leave = leave.min(room / towards);
        }
    }
    (enter <= leave).then(|| {
        (
            at(from.x + enter * dx, from.y + enter * dy),
            at(from.x + leave * dx, from.y + leave * dy),
        )
    })
}

/// A convex figure cut to a rectangle (Sutherland and Hodgman's way); empty when nothing is left.
pub(crate) fn clip_polygon(points: &[Point], window: &Rect) -> Vec<Point> {
    let sides: [&dyn Fn(&Point) -> f64; 4] = [
        &|p| p.x - window.x,
        &|p| window.right() - p.x,
        &|p| p.y - window.y,
        &|p| window.bottom() - p.y,
    ];
    let mut kept = points.to_vec();
    for inside in sides {
        let source = std::mem::take(&mut kept);
        for (index, &end) in source.iter().enumerate() {
            let start = source[(index + source.len() - 1) % source.len()];
            let (a, b) = (inside(&start), inside(&end));
            if (a < 0.0) != (b < 0.0) {
                let share = a / (a - b);
                kept.push(at(
                    start.x + share * (end.x - start.x),
                    start.y + share * (end.y - start.y),
                ));
            }
            if b >= 0.0 {
                kept.push(end);
            }
        }
    }
    if kept.len() < 3 { Vec::new() } else { kept }
}

/// Twice the signed area of the triangle a, b, c.
fn turn(a: Point, b: Point, c: Point) -> f64 {
    (b.x - a.x) * (c.y - a.y) - (b.y - a.y) * (c.x - a.x)
}

/// The convex figure round some points (Andrew's monotone chain).
pub(crate) fn hull(points: &[Point]) -> Vec<Point> {
    let mut sorted = points.to_vec();
    sorted.sort_by(|a, b| a.x.total_cmp(&b.x).then(a.y.total_cmp(&b.y)));
    sorted.dedup();
    if sorted.len() < 3 {
        return sorted;
    }
    let half = |walk: &mut dyn Iterator<Item = &Point>| {
        let mut chain: Vec<Point> = Vec::new();
        for &next in walk {
            while chain.len() >= 2
                && turn(chain[chain.len() - 2], chain[chain.len() - 1], next) <= 0.0
            {
                chain.pop();
            }
            chain.push(next);
        }
        chain.pop();
        chain
    };
    let mut round = half(&mut sorted.iter());
    round.extend(half(&mut sorted.iter().rev()));
    round
}

/// Whether two strokes cross at a point inside both.
pub(crate) fn cross(a: (Point, Point), b: (Point, Point)) -> bool {
    let apart = |line: (Point, Point), p: Point, q: Point| {
        turn(line.0, line.1, p) * turn(line.0, line.1, q) < 0.0
    };
    apart(a, b.0, b.1) && apart(b, a.0, a.1)
}

/// Square of the distance from a point to a stroke: rings ask for it by the hundred thousand, and a root costs more than
/// all the rest.
pub(crate) fn distance_squared(p: Point, stroke: (Point, Point)) -> f64 {
    let (dx, dy) = (stroke.1.x - stroke.0.x, stroke.1.y - stroke.0.y);
    let length_squared = dx * dx + dy * dy;
    let share = if length_squared > 0.0 {
        (((p.x - stroke.0.x) * dx + (p.y - stroke.0.y) * dy) / length_squared).clamp(0.0, 1.0)
    } else {
        0.0
    };
    let (x, y) = (p.x - stroke.0.x - share * dx, p.y - stroke.0.y - share * dy);
    x * x + y * y
}

/// Every number in a shape of primitives.
pub(crate) fn numbers(shape: &Shape) -> Vec<f64> {
    let of_points = |points: &[Point]| points.iter().flat_map(|p| [p.x, p.y]).collect::<Vec<_>>();
    let of_rect = |rect: &Rect| vec![rect.x, rect.y, rect.width, rect.height];
    match shape {
        Shape::Line(_, from, to) => of_points(&[*from, *to]),
        Shape::Polyline(_, points) | Shape::Polygon(_, points) => of_points(points),
        Shape::Circle(_, centre, radius) => vec![centre.x, centre.y, *radius],
        Shape::Rect(_, rect) | Shape::Hatched(_, rect, _) | Shape::Picture(_, rect, _) => {
            of_rect(rect)
        }
        Shape::Path(_, steps) => steps.iter().flat_map(step_numbers).collect(),
        Shape::Text(text) => of_points(&[text.at]),
        Shape::Link(_, _, inner)
        | Shape::View(_, inner)
        | Shape::Soft(_, inner)
        | Shape::Thing(_, _, inner)
        | Shape::Group(_, _, inner) => inner.iter().flat_map(Shape::numbers).collect(),
        Shape::Ring(ring) => of_points(&[ring.centre, ring.dot]),
        Shape::Dimension(dimension) => of_points(&[dimension.from, dimension.to]),
    }
}

fn step_numbers(step: &Step) -> Vec<f64> {
    match step {
        Step::Move(p) | Step::Line(p) => vec![p.x, p.y],
        Step::Curve(h, p) => vec![h.x, h.y, p.x, p.y],
        Step::Bend(g, h, p) => vec![g.x, g.y, h.x, h.y, p.x, p.y],
        Step::Arc(radius, _, p) => vec![*radius, p.x, p.y],
        Step::Close => Vec::new(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const WINDOW: Rect = Rect {
        x: 0.0,
        y: 0.0,
        width: 10.0,
        height: 10.0,
    };

    #[test]
    fn a_line_is_cut_at_the_window() {
        assert_eq!(
            clip_line(at(-5.0, 5.0), at(15.0, 5.0), &WINDOW),
            Some((at(0.0, 5.0), at(10.0, 5.0)))
        );
        assert_eq!(clip_line(at(-5.0, -1.0), at(15.0, -1.0), &WINDOW), None);
        assert_eq!(
            clip_line(at(2.0, 2.0), at(3.0, 3.0), &WINDOW),
            Some((at(2.0, 2.0), at(3.0, 3.0)))
        );
    }

    #[test]
    fn a_figure_is_cut_at_the_window() {
        let cut = clip_polygon(
            &[at(-5.0, 2.0), at(5.0, 2.0), at(5.0, 4.0), at(-5.0, 4.0)],
            &WINDOW,
        );
        assert_eq!(cut.len(), 4);
        assert!(cut.iter().all(|p| (0.0..=5.0).contains(&p.x)));
        assert!(clip_polygon(&[at(20.0, 2.0), at(25.0, 2.0), at(25.0, 4.0)], &WINDOW).is_empty());
    }

    #[test]
    fn a_hull_leaves_inner_points_out() {
        let round = hull(&[
            at(0.0, 0.0),
            at(4.0, 0.0),
            at(2.0, 1.0),
            at(4.0, 4.0),
            at(0.0, 4.0),
        ]);
        assert_eq!(round.len(), 4);
        assert!(!round.contains(&at(2.0, 1.0)));
    }

    #[test]
    fn strokes_that_share_only_an_end_do_not_cross() {
        let stroke = (at(0.0, 0.0), at(4.0, 4.0));
        assert!(cross(stroke, (at(0.0, 4.0), at(4.0, 0.0))));
        assert!(!cross(stroke, (at(4.0, 4.0), at(8.0, 0.0))));
    }
}
