//! The shadow of a flag before a lamp, on the table: its umbra, where nothing of the source is seen, and its penumbra.

use super::geometry::hull;
use super::scene::{Place, Scene, Thing};
use super::shape::{Point, at};

/// Points round a lamp's source that the shadow is drawn from.
const ROUND: u32 = 12;

/// Umbra and penumbra on the table top as polygons in stage millimetres, `x` and `y`; the umbra is empty when the source is
/// too large for one.
#[derive(Clone, Debug, PartialEq)]
pub struct Shade {
    /// Where the whole source is hidden.
    pub umbra: Vec<Point>,
    /// Where any of it is.
    pub penumbra: Vec<Point>,
}

/// The shadow that a flag throws on the table, if its lamp stands above it and it above the table.
pub fn shade(scene: &Scene, flag: &Thing) -> Option<Shade> {
    let lamp = scene
        .things
        .iter()
        .find(|t| !t.id.is_empty() && t.id == flag.shades)?;
    let from = lamp.middle();
    let corners = super::lens_view::box_corners(flag);
    let lowest = corners.iter().map(|c| c.z_mm).fold(f64::MAX, f64::min);
    let highest = corners.iter().map(|c| c.z_mm).fold(f64::MIN, f64::max);
    if lowest < 0.0 || highest + lamp.source_mm / 2.0 >= from.z_mm {
        return None;
    }
    let thrown: Vec<Vec<Point>> = source(from, flag.middle(), lamp.source_mm)
        .into_iter()
        .map(|point| hull(&corners.map(|corner| on_table(point, corner))))
        .collect();
    let all: Vec<Point> = thrown.iter().flatten().copied().collect();
    let umbra = thrown
        .iter()
        .skip(1)
        .fold(thrown.first().cloned().unwrap_or_default(), |left, next| {
            inside_both(&left, next)
        });
    Some(Shade {
        umbra,
        penumbra: hull(&all),
    })
}

/// Points of the source: its edge, square to the way to the flag; the middle alone when it has no size.
fn source(from: Place, to: Place, diameter_mm: f64) -> Vec<Place> {
    if diameter_mm <= 0.0 {
        return vec![from];
    }
    let way = [
        to.x_mm - from.x_mm,
        to.y_mm - from.y_mm,
        to.z_mm - from.z_mm,
    ];
    let length = way.iter().map(|mm| mm * mm).sum::<f64>().sqrt();
    if length <= 0.0 {
        return vec![from];
    }
    let [x, y, z] = way.map(|mm| mm / length);
    // Level and across the way; straight down, any level direction is across it.
    let flat = x.hypot(y);
    let across = if flat > 1e-9 {
        [-y / flat, x / flat, 0.0]
    } else {
        [0.0, 1.0, 0.0]
    };
    let other = [
        y * across[2] - z * across[1],
        z * across[0] - x * across[2],
        x * across[1] - y * across[0],
    ];
    (0..ROUND)
        .map(|step| {
            let (sin, cos) = (std::f64::consts::TAU * f64::from(step) / f64::from(ROUND)).sin_cos();
            let off = |axis: usize| diameter_mm / 2.0 * (cos * across[axis] + sin * other[axis]);
            Place {
                x_mm: from.x_mm + off(0),
                y_mm: from.y_mm + off(1),
                z_mm: from.z_mm + off(2),
            }
        })
        .collect()
}

/// Where the ray from a point of the source through a corner meets the table.
fn on_table(from: Place, corner: Place) -> Point {
    let share = from.z_mm / (from.z_mm - corner.z_mm);
    at(
        from.x_mm + share * (corner.x_mm - from.x_mm),
        from.y_mm + share * (corner.y_mm - from.y_mm),
    )
}

/// What two convex figures share, by cutting one at every side of the other.
fn inside_both(one: &[Point], other: &[Point]) -> Vec<Point> {
    let middle = other
        .iter()
        .fold(at(0.0, 0.0), |sum, p| at(sum.x + p.x, sum.y + p.y));
    #[expect(clippy::cast_precision_loss, reason = "a flag has few corners")]
    let count = other.len().max(1) as f64;
    let middle = at(middle.x / count, middle.y / count);
    let mut kept = one.to_vec();
    for (index, &a) in other.iter().enumerate() {
        let b = other[(index + 1) % other.len()];
        let side = |p: &Point| (b.x - a.x) * (p.y - a.y) - (b.y - a.y) * (p.x - a.x);
        let inward = side(&middle).signum();
        let source = std::mem::take(&mut kept);
        for (at_index, &end) in source.iter().enumerate() {
            let start = source[(at_index + source.len() - 1) % source.len()];
            let (from, to) = (side(&start) * inward, side(&end) * inward);
            if (from < 0.0) != (to < 0.0) {
                let share = from / (from - to);
                kept.push(at(
                    start.x + share * (end.x - start.x),
                    start.y + share * (end.y - start.y),
                ));
            }
            if to >= 0.0 {
                kept.push(end);
            }
        }
    }
    if kept.len() < 3 { Vec::new() } else { kept }
}

#[cfg(test)]
mod tests {
    use super::super::scene::{Kind, Size};
    use super::*;

    fn lit(source_mm: f64, flag_mm: f64) -> (Scene, Thing) {
        // A lamp 3 000 over the table, a flag 500 over it, both level and upright over x = 1 000.
        let place = |z_mm| Place {
            x_mm: 1000.0,
            y_mm: 0.0,
            z_mm,
        };
        let size = Size {
            length_mm: 200.0,
            width_mm: flag_mm,
            height_mm: 0.0,
        };
        let lamp = Thing {
            id: "lamp".into(),
            source_mm,
            ..Thing::new(Kind::Lamp, "A", place(3000.0), Size::default())
        };
        let flag = Thing {
            shades: "lamp".into(),
            ..Thing::new(Kind::Flag, "F", place(500.0), size)
        };
        let scene = Scene {
            things: vec![lamp, flag.clone()],
            ..Scene::default()
        };
        (scene, flag)
    }

    fn wide(points: &[Point]) -> f64 {
        let ys = points.iter().map(|p| p.y);
        ys.clone().fold(f64::MIN, f64::max) - ys.fold(f64::MAX, f64::min)
    }

    #[test]
    fn umbra_and_penumbra_are_as_wide_as_similar_triangles_say() {
        // Half-level 300 × 3 000 ÷ 2 500 = 360; edge 50 × 500 ÷ 2 500 = 10: 350 and 370 (dossier A9).
        let (scene, flag) = lit(50.0, 300.0);
        let shade = shade(&scene, &flag).expect("a shadow falls");
        assert!(
            (wide(&shade.umbra) - 350.0).abs() < 1e-6,
            "{}",
            wide(&shade.umbra)
        );
        assert!((wide(&shade.penumbra) - 370.0).abs() < 1e-6);
    }

    #[test]
    fn a_source_too_large_leaves_no_umbra() {
        // Umbra gone when flag ≤ source × flag height ÷ lamp height: 600 × 500 ÷ 3 000 = 100.
        let (scene, flag) = lit(600.0, 90.0);
        let shade = shade(&scene, &flag).expect("some light is kept off");
        assert!(shade.umbra.is_empty());
        assert!(wide(&shade.penumbra) > 100.0);
    }

    #[test]
    fn a_flag_above_its_lamp_throws_nothing_down() {
        let (scene, mut flag) = lit(50.0, 300.0);
        flag.place.z_mm = 3200.0;
        assert_eq!(shade(&scene, &flag), None);
        flag.shades = "no lamp".into();
        assert_eq!(shade(&scene, &flag), None);
    }
}
