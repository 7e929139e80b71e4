//! What is already taken on a drawing, so that words and rings keep clear of each other.

use super::Class;
use super::figure;
use super::geometry;
use super::shape::{Anchor, Point, Rect, Shape, Text};

/// Areas and strokes already drawn inside a window.
#[derive(Clone, Debug)]
pub(crate) struct Room {
    /// Nothing is placed outside.
    pub(crate) window: Rect,
    /// Words and symbols: never covered.
    pub(crate) taken: Vec<Rect>,
    /// Heavy strokes: covered only when nothing better is left.
    pub(crate) strokes: Vec<(Point, Point)>,
}

impl Room {
    /// An empty room.
    pub(crate) fn new(window: Rect) -> Room {
        Room {
            window,
            taken: Vec::new(),
            strokes: Vec::new(),
        }
    }

    /// Whether an area is inside and free of words and symbols.
    pub(crate) fn is_free(&self, area: &Rect) -> bool {
        self.window.holds(area) && !self.taken.iter().any(|taken| taken.overlaps(area))
    }

    /// How many heavy strokes run through an area.
    pub(crate) fn strokes_through(&self, area: &Rect) -> usize {
        self.strokes
            .iter()
            .filter(|stroke| geometry::clip_line(stroke.0, stroke.1, area).is_some())
            .count()
    }

    /// Writes words at the first place that is free, counting strokes underneath; nothing when no place is.
    pub(crate) fn write(
        &mut self,
        class: Class,
        words: &str,
        places: &[(Point, Anchor)],
    ) -> Option<Shape> {
        let texts = places.iter().map(|&(at, anchor)| Text {
            class,
            at,
            anchor,
            words: words.to_owned(),
            halo: true,
            upward: false,
        });
        let best = texts
            .map(|text| (figure::covered(&text).grown(1.0), text))
            .filter(|(area, _)| self.is_free(area))
            .min_by_key(|(area, _)| self.strokes_through(area))?;
        self.taken.push(best.0);
        Some(Shape::Text(best.1))
    }
}

#[cfg(test)]
mod tests {
    use super::super::shape::at;
    use super::*;

    #[test]
    fn words_step_aside_and_are_left_out_when_there_is_no_place() {
        let mut room = Room::new(Rect {
            x: 0.0,
            y: 0.0,
            width: 100.0,
            height: 34.0,
        });
        let places = [
            (at(2.0, 12.0), Anchor::Start),
            (at(2.0, 30.0), Anchor::Start),
        ];
        let lines: Vec<_> = (0..3)
            .map(|_| room.write(Class::Label, "flag", &places))
            .collect();
        let heights: Vec<_> = lines
            .iter()
            .map(|line| {
                line.as_ref().map(|shape| match shape {
                    Shape::Text(text) => text.at.y,
                    _ => f64::NAN,
                })
            })
            .collect();
        assert_eq!(heights, [Some(12.0), Some(30.0), None]);
    }
}
