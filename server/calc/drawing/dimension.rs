//! Dimensions drawn out: line, arrows, extension lines, value above the line.

use super::Class;
use super::figure;
use super::shape::{Anchor, Arrows, Dimension, Point, Shape, Text, Value, at, strokes};

/// Length and half breadth of an arrowhead.
const ARROW: (f64, f64) = (7.0, 2.4);
/// Room a value needs beside its own letters for both arrows to stand inside the line.
const ARROW_ROOM: f64 = 18.0;

const fn arrows(tight: bool) -> Arrows {
    if tight {
        Arrows::Outside
    } else {
        Arrows::Inside
    }
}

/// A level dimension. Turns its arrows outward when the value and arrows do not fit, and moves the value to `spill` when not
/// even the value does.
pub(crate) fn level(x: (f64, f64), y: f64, value: &str, reach: f64, spill: Value) -> Dimension {
    let (span, words) = (
        (x.1 - x.0).abs(),
        figure::width(value, Class::DimensionText),
    );
    Dimension {
        from: at(x.0, y),
        to: at(x.1, y),
        value: value.to_owned(),
        place: if span >= words { Value::Middle } else { spill },
        arrows: arrows(span < words.min(24.0) + ARROW_ROOM),
        open: false,
        reach,
        entry: false,
    }
}

/// An upright dimension; the value reads from below to above, left of the line.
pub(crate) fn upright(x: f64, y: (f64, f64), value: &str) -> Dimension {
    let (from, to) = (at(x, y.0.min(y.1)), at(x, y.0.max(y.1)));
    let (span, words) = (to.y - from.y, figure::width(value, Class::DimensionText));
    Dimension {
        from,
        to,
        value: value.to_owned(),
        place: if span >= words {
            Value::Middle
        } else {
            Value::Before
        },
        arrows: arrows(span < 2.0 * ARROW.0 + 4.0),
        open: false,
        reach: 0.0,
        entry: false,
    }
}

/// Where the value is written.
pub(crate) fn value_text(dimension: &Dimension) -> Text {
    let (from, to) = (dimension.from, dimension.to);
    let upward = is_upright(dimension);
    let outside = if dimension.arrows == Arrows::Outside {
        ARROW.0 + 4.0
    } else {
        4.0
    };
    let (place, anchor) = match (upward, dimension.place) {
        (false, Value::Middle | Value::Quarter) => (
            at(f64::midpoint(from.x, to.x), from.y - 4.0),
            Anchor::Middle,
        ),
        (false, Value::Before) => (at(from.x - outside, from.y + 4.0), Anchor::End),
        (false, Value::Below) => (
            at(f64::midpoint(from.x, to.x), from.y + 14.0),
            Anchor::Middle,
        ),
        (false, Value::After) => (at(to.x + outside, from.y + 4.0), Anchor::Start),
        (true, Value::Middle) => (
            at(from.x - 4.0, f64::midpoint(from.y, to.y)),
            Anchor::Middle,
        ),
        (true, Value::Quarter) => (
            at(from.x - 4.0, from.y + 0.75 * (to.y - from.y)),
            Anchor::Middle,
        ),
        (true, Value::Before) => (at(from.x + 4.0, from.y - outside), Anchor::Start),
        (true, Value::After | Value::Below) => (at(from.x + 4.0, to.y + outside), Anchor::End),
    };
    Text {
        class: Class::DimensionText,
        at: place,
        anchor,
        words: dimension.value.clone(),
        halo: true,
        upward,
    }
}

/// Every dimension is level unless its ends stand straight above each other.
#[expect(
    clippy::float_cmp,
    reason = "both ends of an upright dimension are given the same x"
)]
fn is_upright(dimension: &Dimension) -> bool {
    dimension.from.x == dimension.to.x && dimension.from.y != dimension.to.y
}

/// An arrowhead with its tip at `tip`, pointing along the unit vector.
pub(crate) fn arrow(class: Class, tip: Point, along: (f64, f64), size: (f64, f64)) -> Shape {
    let back = at(tip.x - along.0 * size.0, tip.y - along.1 * size.0);
    let side = (-along.1 * size.1, along.0 * size.1);
    Shape::Polygon(
        class,
        vec![
            tip,
            at(back.x + side.0, back.y + side.1),
            at(back.x - side.0, back.y - side.1),
        ],
    )
}

/// The dimension as primitive shapes.
pub(crate) fn drawn(dimension: &Dimension) -> Shape {
    let (from, to) = (dimension.from, dimension.to);
    let along = if is_upright(dimension) {
        (0.0, 1.0)
    } else {
        ((to.x - from.x).signum(), 0.0)
    };
    let turned = if dimension.arrows == Arrows::Outside {
        -1.0
    } else {
        1.0
    };
    let mut shapes = Vec::new();
    if dimension.reach != 0.0 {
        // The extension lines overshoot the dimension line by four units, as drawing practice has it.
        let over = -4.0 * dimension.reach.signum();
        shapes.push(strokes(
            Class::DimensionEnd,
            [from, to]
                .into_iter()
                .take(if dimension.open { 1 } else { 2 })
                .map(|end| (at(end.x, end.y + over), at(end.x, end.y + dimension.reach))),
        ));
    }
    let tail = if dimension.arrows == Arrows::Outside {
        ARROW.0 + 6.0
    } else {
        0.0
    };
    let stretched = (
        at(from.x - along.0 * tail, from.y - along.1 * tail),
        at(to.x + along.0 * tail, to.y + along.1 * tail),
    );
    shapes.push(Shape::Line(
        Class::DimensionStroke,
        stretched.0,
        stretched.1,
    ));
    if dimension.arrows != Arrows::None {
        let point = (along.0 * turned, along.1 * turned);
        shapes.push(arrow(
            Class::DimensionArrow,
            from,
            (-point.0, -point.1),
            ARROW,
        ));
        shapes.push(arrow(Class::DimensionArrow, to, point, ARROW));
    }
    if !dimension.value.is_empty() {
        shapes.push(Shape::Text(value_text(dimension)));
    }
    Shape::Group(
        Class::DimensionLine,
        dimension.entry.then_some(Class::DimensionEntry),
        shapes,
    )
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn arrows_turn_outward_when_tight_and_the_value_steps_aside() {
        let roomy = level((0.0, 200.0), 50.0, "844", -14.0, Value::Before);
        assert!(roomy.arrows == Arrows::Inside && roomy.place == Value::Middle);
        let tight = level((0.0, 12.0), 50.0, "844", -14.0, Value::Before);
        assert!(tight.arrows == Arrows::Outside && tight.place == Value::Before);
        let Shape::Group(_, _, shapes) = drawn(&tight) else {
            panic!("a dimension is a group")
        };
        let Some(Shape::Polygon(_, head)) = shapes.iter().find(|s| matches!(s, Shape::Polygon(..)))
        else {
            panic!("it has an arrow")
        };
        // The first arrow's tip is on the measured end and its back lies outside the line.
        assert_eq!(head[0], at(0.0, 50.0));
        assert!(head[1].x < 0.0 && head[2].x < 0.0);
    }

    #[test]
    fn the_value_stands_above_the_line() {
        let value = value_text(&level((10.0, 210.0), 50.0, "844", -14.0, Value::Before));
        assert_eq!((value.at, value.anchor), (at(110.0, 46.0), Anchor::Middle));
    }
}
