//! A few-cornered area on the table and its pieces.

/// Most corners: four of the frame, and one more for each of eight cuts.
const MOST_CORNERS: usize = 12;

/// A convex area by its corners, in order.
#[derive(Clone, Copy, Debug)]
pub struct Polygon {
    corners: [[f64; 2]; MOST_CORNERS],
    count: usize,
}

impl Polygon {
    /// The area between four corners.
    pub fn new(corners: [[f64; 2]; 4]) -> Self {
        let mut polygon = Self::nothing();
        for corner in corners {
            polygon.push(corner);
        }
        polygon
    }

    const fn nothing() -> Self {
        Self {
            corners: [[0.0; 2]; MOST_CORNERS],
            count: 0,
        }
    }

    fn push(&mut self, corner: [f64; 2]) {
        // a convex area gains at most one corner by each straight cut, so there is always room
        if let Some(place) = self.corners.get_mut(self.count) {
            *place = corner;
            self.count += 1;
        }
    }

    /// Its corners.
    pub fn corners(&self) -> &[[f64; 2]] {
        &self.corners[..self.count]
    }

    /// The part with the coordinate of an axis (0 forward, 1 across) at least, or at most, a value.
    fn cut(&self, axis: usize, value: f64, keep_above: bool) -> Self {
        let mut kept = Self::nothing();
        let side = |corner: [f64; 2]| {
            let over = corner[axis] - value;
            if keep_above { over } else { -over }
        };
        let corners = self.corners();
        for (place, &corner) in corners.iter().enumerate() {
            let next = corners[(place + 1) % corners.len()];
            let (here, there) = (side(corner), side(next));
            if here >= 0.0 {
                kept.push(corner);
            }
            if (here > 0.0 && there < 0.0) || (here < 0.0 && there > 0.0) {
                let share = here / (here - there);
                let mut met = [
                    corner[0] + share * (next[0] - corner[0]),
                    corner[1] + share * (next[1] - corner[1]),
                ];
                met[axis] = value;
                kept.push(met);
            }
        }
        kept
    }

    /// The part between two values of an axis (0 forward, 1 across).
    #[must_use]
    pub fn between(&self, axis: usize, from: f64, to: f64) -> Self {
        self.cut(axis, from, true).cut(axis, to, false)
    }

    /// Smallest and largest coordinate of an axis; nothing of an empty area.
    pub fn extent(&self, axis: usize) -> Option<(f64, f64)> {
        let values = self.corners().iter().map(|corner| corner[axis]);
        values.fold(None, |extent, value| match extent {
            None => Some((value, value)),
            Some((low, high)) => Some((value.min(low), value.max(high))),
        })
    }

    /// Its area.
    pub fn area(&self) -> f64 {
        let corners = self.corners();
        let doubled: f64 = corners
            .iter()
            .enumerate()
            .map(|(place, corner)| {
                let next = corners[(place + 1) % corners.len()];
                corner[0] * next[1] - next[0] * corner[1]
            })
            .sum();
        doubled.abs() / 2.0
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn a_square_is_cut_to_its_quarter_and_to_nothing() {
        let square = Polygon::new([[0.0, 0.0], [2.0, 0.0], [2.0, 2.0], [0.0, 2.0]]);
        let quarter = square.between(0, 1.0, 5.0).between(1, -1.0, 1.0);
        assert!((quarter.area() - 1.0).abs() < 1e-12);
        assert_eq!(quarter.extent(0), Some((1.0, 2.0)));
        let nothing = square.between(0, 3.0, 4.0);
        assert!(nothing.area() == 0.0 && nothing.extent(1).is_none());
    }

    proptest! {
        #[test]
        fn the_pieces_make_the_whole(near in 0.1..1.0, depth in 0.1..3.0, narrow in 0.1..1.0_f64, more in 0.0..2.0_f64, at in 0.0..1.0, across in -1.0..1.0) {
            let (far, wide) = (near + depth, narrow + more);
            let whole = Polygon::new([[near, -narrow], [near, narrow], [far, wide], [far, -wide]]);
            let (x, y) = (near + at * depth, across * wide);
            let pieces: f64 = [(-1e3, x), (x, 1e3)].into_iter().flat_map(|(from, to)| {
                let strip = whole.between(0, from, to);
                [strip.between(1, -1e3, y).area(), strip.between(1, y, 1e3).area()]
            }).sum();
            prop_assert!((pieces - whole.area()).abs() < 1e-9);
        }
    }
}
