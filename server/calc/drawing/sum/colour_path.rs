//! A colour's way through a stack of gels, on the even diagram (CIE 1976 u′, v′), beside the line of glowing bodies.

use super::super::Class;
use super::super::figure::{self, covered, nice_step};
use super::super::shape::{Anchor, Drawing, Point, Rect, Shape, Text, at, text};
use crate::figure::fixed;

const HEIGHT: f64 = 330.0;
const LEFT: f64 = 56.0;
const RIGHT: f64 = 20.0;
const TOP: f64 = 26.0;
const BOTTOM: f64 = 42.0;
/// The least span that is shown: a few steps that the eye just tells apart.
const LEAST_SPAN: f64 = 0.06;

/// A stop on the way.
#[derive(Clone, Debug, PartialEq)]
pub struct Stop {
    /// u′ and v′.
    pub uv: (f64, f64),
    /// What is said of it.
    pub name: String,
}

/// Draws the way over the line of glowing bodies, whose points carry what stands beside them, to a width in drawing
/// units.
pub fn colour_path(stops: &[Stop], locus: &[Stop], width: f64) -> Drawing {
    let diagram = Diagram::about(stops, width);
    let mut shapes = Vec::new();
    diagram.axes(&mut shapes);
    diagram.line_of(&mut shapes, locus);
    let way: Vec<Point> = stops.iter().map(|stop| diagram.place(stop.uv)).collect();
    if way.len() > 1 {
        shapes.push(Shape::Polyline(Class::Path, way.clone()));
    }
    let mut taken: Vec<Rect> = Vec::new();
    for (stop, spot) in stops.iter().zip(&way) {
        shapes.push(Shape::Circle(Class::Mark, *spot, 4.0));
        let at_left = spot.x + 10.0 + figure::width(&stop.name, Class::Figure) > width - RIGHT;
        let (x, anchor) = if at_left {
            (spot.x - 9.0, Anchor::End)
        } else {
            (spot.x + 9.0, Anchor::Start)
        };
        let name = name(Class::Figure, at(x, spot.y + 13.0), anchor, &stop.name);
        taken.push(covered(&name));
        shapes.push(Shape::Text(name));
    }
    for stop in locus.iter().filter(|stop| !stop.name.is_empty()) {
        let spot = diagram.place(stop.uv);
        let beside = at(spot.x - 7.0, spot.y - 5.0);
        let name = name(Class::Tick, beside, Anchor::End, &stop.name);
        if diagram.holds(&spot) && !taken.iter().any(|taken| taken.overlaps(&covered(&name))) {
            shapes.push(Shape::Circle(Class::RingDot, spot, 1.8));
            shapes.push(Shape::Text(name));
        }
    }
    let told = |stop: &Stop| format!("at u′ {}, v′ {}", fixed(stop.uv.0, 4), fixed(stop.uv.1, 4));
    let facts: Vec<_> = stops
        .iter()
        .map(|stop| (stop.name.clone(), told(stop)))
        .collect();
    Drawing {
        width,
        height: HEIGHT,
        shapes,
        label: super::heard(
            "The colour's way through the gels, on the even diagram",
            &facts,
        ),
        facts,
    }
}

fn name(class: Class, place: Point, anchor: Anchor, words: &str) -> Text {
    Text {
        class,
        at: place,
        anchor,
        words: words.to_owned(),
        halo: true,
        upward: false,
    }
}

/// The part of the even diagram that is shown: its middle, and one scale for both ways, or it would not be even.
struct Diagram {
    u: f64,
    v: f64,
    units: f64,
    width: f64,
}

/// Room inside the axes of a width.
const fn room(width: f64) -> (f64, f64) {
    (width - LEFT - RIGHT, HEIGHT - TOP - BOTTOM)
}

impl Diagram {
    /// Room inside the axes.
    fn room(&self) -> (f64, f64) {
        room(self.width)
    }

    /// Whether a place is inside the axes.
    fn holds(&self, place: &Point) -> bool {
        (LEFT..=self.width - RIGHT).contains(&place.x) && (TOP..=HEIGHT - BOTTOM).contains(&place.y)
    }

    fn about(stops: &[Stop], width: f64) -> Self {
        let room = room(width);
        let spread = |of: fn(&Stop) -> f64| {
            let low = stops.iter().map(of).fold(f64::INFINITY, f64::min);
            let high = stops.iter().map(of).fold(f64::NEG_INFINITY, f64::max);
            (f64::midpoint(low, high), high - low)
        };
        let ((u, wide), (v, high)) = (spread(|stop| stop.uv.0), spread(|stop| stop.uv.1));
        let units = (room.0 / (wide * 1.5).max(LEAST_SPAN))
            .min(room.1 / (high * 1.6).max(LEAST_SPAN * 0.6));
        Self { u, v, units, width }
    }

    fn place(&self, uv: (f64, f64)) -> Point {
        at(
            LEFT + self.room().0 / 2.0 + (uv.0 - self.u) * self.units,
            TOP + self.room().1 / 2.0 - (uv.1 - self.v) * self.units,
        )
    }

    /// The line of glowing bodies, where it is inside.
    fn line_of(&self, shapes: &mut Vec<Shape>, locus: &[Stop]) {
        let mut run: Vec<Point> = Vec::new();
        let mut end = |run: &mut Vec<Point>| {
            let run = std::mem::take(run);
            if run.len() > 1 {
                shapes.push(Shape::Polyline(Class::CurveBeside, run));
            }
        };
        for stop in locus {
            let spot = self.place(stop.uv);
            if self.holds(&spot) {
                run.push(spot);
            } else {
                end(&mut run);
            }
        }
        end(&mut run);
    }

    fn axes(&self, shapes: &mut Vec<Shape>) {
        let (floor, right) = (HEIGHT - BOTTOM, self.width - RIGHT);
        for tick in ticks(self.u, self.room().0 / self.units) {
            let x = self.place((tick, self.v)).x;
            shapes.push(Shape::Line(Class::Guide, at(x, TOP), at(x, floor)));
            let figure = fixed(tick, 3);
            shapes.push(text(
                Class::Tick,
                at(x, floor + 16.0),
                Anchor::Middle,
                figure,
            ));
        }
        for tick in ticks(self.v, self.room().1 / self.units) {
            let y = self.place((self.u, tick)).y;
            shapes.push(Shape::Line(Class::Guide, at(LEFT, y), at(right, y)));
            let figure = fixed(tick, 3);
            shapes.push(text(
                Class::Tick,
                at(LEFT - 6.0, y + 4.0),
                Anchor::End,
                figure,
            ));
        }
        shapes.push(Shape::Line(Class::Ruler, at(LEFT, floor), at(right, floor)));
        shapes.push(Shape::Line(Class::Ruler, at(LEFT, TOP), at(LEFT, floor)));
        let corner = at(LEFT - 6.0, TOP - 12.0);
        shapes.push(text(Class::Label, corner, Anchor::Start, "v′"));
        shapes.push(text(
            Class::Label,
            at(right, HEIGHT - 7.0),
            Anchor::End,
            "u′",
        ));
    }
}

/// Round figures inside a span.
fn ticks(middle: f64, span: f64) -> impl Iterator<Item = f64> {
    let step = nice_step(0.001, span / 6.0);
    let first = ((middle - span / 2.0) / step).ceil();
    (0_u8..12)
        .map(move |at| (first + f64::from(at)) * step)
        .take_while(move |tick| *tick <= middle + span / 2.0)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn stop(u: f64, v: f64, name: &str) -> Stop {
        Stop {
            uv: (u, v),
            name: name.into(),
        }
    }

    #[test]
    fn both_ways_have_one_scale() {
        let drawing = colour_path(
            &[stop(0.20, 0.47, "lamp"), stop(0.23, 0.50, "behind one")],
            &[],
            560.0,
        );
        let spots: Vec<_> = drawing
            .shapes
            .iter()
            .filter_map(|shape| match shape {
                Shape::Circle(Class::Mark, spot, _) => Some(*spot),
                _ => None,
            })
            .collect();
        let across = spots[1].x - spots[0].x;
        assert!(across > 0.0);
        assert!((across - (spots[0].y - spots[1].y)).abs() < 1e-6);
        assert!(drawing.label.contains("lamp at u′ 0.2000, v′ 0.4700"));
    }

    #[test]
    fn one_stop_alone_is_drawn_in_the_middle() {
        let drawing = colour_path(&[stop(0.2, 0.47, "lamp")], &[], 560.0);
        assert!(
            drawing
                .shapes
                .iter()
                .flat_map(Shape::numbers)
                .all(f64::is_finite)
        );
    }
}
