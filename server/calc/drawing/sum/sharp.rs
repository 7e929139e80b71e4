//! The sharp stretch before a lens, along the axis as it is taped: from the sensor mark.

use super::super::Class;
use super::super::dimension;
use super::super::figure;
use super::super::scene::Unit;
use super::super::shape::{Anchor, Drawing, Rect, Shape, Value, at, text, text_over};

const HEIGHT: f64 = 184.0;
const LEFT: f64 = 40.0;
const RIGHT: f64 = 26.0;
/// Level of the axis.
const AXIS: f64 = 58.0;
/// Half the height of the sharp stretch.
const HALF: f64 = 30.0;

/// What is taped and what came out, all from the sensor mark.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Stretch {
    /// The entrance pupil, ahead of the mark.
    pub pupil_mm: f64,
    /// Nearest sharp.
    pub near_mm: f64,
    /// Focus.
    pub focus_mm: f64,
    /// Farthest sharp; none when it has no end.
    pub far_mm: Option<f64>,
    /// Units of the figures.
    pub unit: Unit,
}

/// Draws it to scale, to a width in drawing units.
pub fn sharp_stretch(stretch: &Stretch, width: f64) -> Drawing {
    let s = stretch;
    let end_mm = s.far_mm.unwrap_or(s.focus_mm * 2.0).min(s.focus_mm * 6.0) * 1.06;
    let end_mm = if end_mm > 0.0 { end_mm } else { 1.0 };
    let x = |mm: f64| LEFT + mm.clamp(0.0, end_mm) / end_mm * (width - LEFT - RIGHT);
    let shown = |mm: f64| figure::length(mm, s.unit);
    let right = width - RIGHT;
    let far_x = s.far_mm.filter(|far| *far <= end_mm).map(x);
    let mut shapes = vec![
        Shape::Rect(
            Class::Sharp,
            Rect::of(
                at(x(s.near_mm), AXIS - HALF),
                at(far_x.unwrap_or(right), AXIS + HALF),
            ),
        ),
        Shape::Line(Class::Axis, at(LEFT, AXIS), at(right, AXIS)),
        Shape::Rect(
            Class::Camera,
            Rect::of(at(LEFT - 22.0, AXIS - 14.0), at(LEFT + 6.0, AXIS + 14.0)),
        ),
        Shape::Rect(
            Class::Camera,
            Rect::of(
                at(LEFT + 6.0, AXIS - 9.0),
                at(x(s.pupil_mm).max(LEFT + 16.0), AXIS + 9.0),
            ),
        ),
        Shape::Line(
            Class::SensorMark,
            at(LEFT, AXIS - 20.0),
            at(LEFT, AXIS + 20.0),
        ),
        Shape::Circle(Class::RingDot, at(x(s.pupil_mm), AXIS), 2.2),
        upright(Class::Limit, x(s.near_mm)),
        upright(Class::Focus, x(s.focus_mm)),
    ];
    shapes.extend(far_x.map(|far| upright(Class::Limit, far)));
    let middle = f64::midpoint(x(s.near_mm), far_x.unwrap_or(right));
    shapes.push(text_over(
        Class::Label,
        at(middle, AXIS - HALF - 6.0),
        Anchor::Middle,
        "sharp",
    ));
    let rows = [
        (Some(s.near_mm), "near"),
        (Some(s.focus_mm), "focus"),
        (s.far_mm, "far"),
    ];
    for (row, (mm, name)) in (0_u8..).zip(rows) {
        let y = AXIS + HALF + 24.0 + f64::from(row) * 21.0;
        let value = mm.map_or_else(|| format!("{name} ∞"), |mm| format!("{name} {}", shown(mm)));
        let end = mm.map_or(right, x);
        let mut line = dimension::level((LEFT, end), y, &value, 0.0, Value::After);
        line.open = mm.is_none_or(|mm| mm > end_mm);
        line.entry = name == "focus";
        shapes.push(Shape::Dimension(line));
    }
    shapes.push(text(
        Class::Tick,
        at(LEFT - 22.0, HEIGHT - 6.0),
        Anchor::Start,
        format!("{} from the sensor mark", figure::unit_sign(s.unit)),
    ));
    let facts = vec![
        ("near".to_owned(), shown(s.near_mm)),
        ("focus".to_owned(), shown(s.focus_mm)),
        (
            "far".to_owned(),
            s.far_mm.map_or_else(|| "infinity".to_owned(), shown),
        ),
    ];
    let about = format!(
        "The sharp stretch along the axis, in {} from the sensor mark",
        figure::unit_word(s.unit)
    );
    Drawing {
        width,
        height: HEIGHT,
        shapes,
        label: super::heard(&about, &facts),
        facts,
    }
}

fn upright(class: Class, x: f64) -> Shape {
    Shape::Line(class, at(x, AXIS - HALF), at(x, AXIS + HALF))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn stretch(far_mm: Option<f64>) -> Stretch {
        Stretch {
            pupil_mm: 60.0,
            near_mm: 800.0,
            focus_mm: 900.0,
            far_mm,
            unit: Unit::Millimetre,
        }
    }

    #[test]
    fn limits_stand_to_scale() {
        let drawing = sharp_stretch(&stretch(Some(1000.0)), 640.0);
        let places: Vec<f64> = drawing
            .shapes
            .iter()
            .filter_map(|shape| match shape {
                Shape::Line(Class::Limit, from, _) => Some(from.x - LEFT),
                _ => None,
            })
            .collect();
        assert_eq!(places.len(), 2);
        assert!((places[0] / places[1] - 0.8).abs() < 1e-9, "{places:?}");
        assert_eq!(
            drawing.label,
            "The sharp stretch along the axis, in millimetres from the sensor mark: near 800; focus 900; far 1\u{202f}000."
        );
    }

    #[test]
    fn a_far_limit_without_end_is_left_open() {
        let drawing = sharp_stretch(&stretch(None), 640.0);
        let open = drawing
            .shapes
            .iter()
            .filter(|shape| matches!(shape, Shape::Dimension(line) if line.open))
            .count();
        assert_eq!(open, 1);
        assert!(drawing.label.ends_with("far infinity."));
    }
}
