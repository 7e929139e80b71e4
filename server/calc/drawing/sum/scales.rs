//! One thing at several scales, side by side on one table, to scale with one another.

use super::super::Class;
use super::super::figure;
use super::super::scene::Unit;
use super::super::shape::{Anchor, Drawing, Rect, Shape, at, text};

const EDGE: f64 = 18.0;
const GAP: f64 = 26.0;
/// Room for the words under the table's edge, and for a tall thing over it.
const FOOT: f64 = 44.0;
const MOST_TALL: f64 = 150.0;
/// A hand is drawn beside them for size: from wrist to fingertip, mm; common practice, no source.
const HAND_MM: f64 = 190.0;

/// The thing at one scale.
#[derive(Clone, Debug, PartialEq)]
pub struct At {
    /// The scale, as 1 to so many.
    pub scale_denominator: f64,
    /// Its length on the table.
    pub length_mm: f64,
    /// Its height.
    pub height_mm: f64,
}

/// Draws them, to a width in drawing units or more where their words need it.
pub fn side_by_side(things: &[At], unit: Unit, width: f64) -> Drawing {
    let total: f64 = things.iter().map(|thing| thing.length_mm).sum::<f64>() + HAND_MM;
    let tallest = things
        .iter()
        .map(|thing| thing.height_mm)
        .fold(HAND_MM * 0.5, f64::max);
    let count = u32::try_from(things.len()).unwrap_or(0);
    let room = width - 2.0 * EDGE - GAP * f64::from(count);
    let per_mm = (room / total.max(1e-9)).min(MOST_TALL / tallest.max(1e-9));
    let floor = tallest * per_mm + 14.0;
    let mut shapes = vec![Shape::Line(Class::Table, at(0.0, floor), at(width, floor))];
    let mut x = EDGE;
    let mut facts = Vec::new();
    for thing in things {
        let (long, tall) = (thing.length_mm * per_mm, thing.height_mm * per_mm);
        shapes.push(Shape::Rect(
            Class::Model,
            Rect::of(at(x, floor - tall), at(x + long, floor)),
        ));
        let name = format!("1 to {}", crate::figure::given(thing.scale_denominator));
        let size = format!(
            "{} {}",
            figure::length(thing.length_mm, unit),
            figure::unit_sign(unit)
        );
        let middle = x + long / 2.0;
        let wide =
            figure::width(&size, Class::Label).max(figure::width(&name, Class::Figure)) / 2.0;
        let middle = middle.max(wide + 2.0);
        shapes.push(text(
            Class::Figure,
            at(middle, floor + 17.0),
            Anchor::Middle,
            name.clone(),
        ));
        shapes.push(text(
            Class::Label,
            at(middle, floor + 33.0),
            Anchor::Middle,
            size.clone(),
        ));
        facts.push((name, size));
        x = (x + long).max(middle + wide) + GAP;
    }
    let hand = (HAND_MM * per_mm, HAND_MM * 0.16 * per_mm);
    shapes.push(Shape::Rect(
        Class::Piece,
        Rect::of(at(x, floor - hand.1), at(x + hand.0, floor)),
    ));
    let words = figure::width("a hand", Class::Label) / 2.0;
    shapes.push(text(
        Class::Label,
        at((x + hand.0 / 2.0).max(x + words), floor + 17.0),
        Anchor::Middle,
        "a hand",
    ));
    Drawing {
        width: width.max(x + hand.0.max(words * 2.0) + EDGE),
        height: floor + FOOT,
        shapes,
        label: super::heard("The thing on the table at each scale", &facts),
        facts,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn they_are_drawn_to_one_scale() {
        let at = |scale_denominator: f64| At {
            scale_denominator,
            length_mm: 12_000.0 / scale_denominator,
            height_mm: 4_000.0 / scale_denominator,
        };
        let drawing = side_by_side(&[at(24.0), at(48.0)], Unit::Millimetre, 900.0);
        let boxes: Vec<Rect> = drawing
            .shapes
            .iter()
            .filter_map(|shape| match shape {
                Shape::Rect(Class::Model, rect) => Some(*rect),
                _ => None,
            })
            .collect();
        assert!((boxes[0].width / boxes[1].width - 2.0).abs() < 1e-9);
        assert!((boxes[0].width / boxes[0].height - 3.0).abs() < 1e-9);
        assert!((boxes[0].bottom() - boxes[1].bottom()).abs() < 1e-9);
        assert!(!boxes[0].overlaps(&boxes[1]));
        assert!(
            drawing.label.contains("1 to 24 500 mm"),
            "{}",
            drawing.label
        );
    }
}
