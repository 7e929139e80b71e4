//! What the frame sees of a table, from above, with its tiles.

use super::super::Class;
use super::super::figure;
use super::super::scene::Unit;
use super::super::shape::{Anchor, Drawing, Point, Rect, Shape, at, strokes, text, text_over};

const MOST_HEIGHT: f64 = 330.0;
const EDGE: f64 = 30.0;
/// More lines of the grid than this would be a grey field.
const MOST_LINES: f64 = 120.0;

/// A table under a camera, in metres forward and across from below the entrance pupil.
#[derive(Clone, Debug, PartialEq)]
pub struct Table {
    /// Its far end.
    pub end_m: f64,
    /// Half its width.
    pub half_width_m: f64,
    /// Corners of what is seen of it, forward and across.
    pub outline_m: Vec<[f64; 2]>,
    /// Sides of a tile, forward and across, if it has any.
    pub tile_m: Option<[f64; 2]>,
    /// Units of the figures.
    pub unit: Unit,
}

/// Draws it to scale and to a width in drawing units, the camera at the left.
pub fn table_seen(table: &Table, width: f64) -> Drawing {
    let along = table.end_m.max(1e-6);
    let across = (2.0 * table.half_width_m).max(1e-6);
    let scale = ((width - 2.0 * EDGE - 26.0) / along).min((MOST_HEIGHT - 2.0 * EDGE) / across);
    let height = across * scale + 2.0 * EDGE + 14.0;
    let middle = EDGE + across * scale / 2.0;
    let left = EDGE + 26.0;
    let place = |m: &[f64; 2]| at(left + m[0] * scale, middle - m[1] * scale);
    let corner = place(&[0.0, table.half_width_m]);
    let far = place(&[table.end_m, -table.half_width_m]);
    let board = Rect::of(corner, far);
    let mut shapes = vec![Shape::Polygon(
        Class::Sharp,
        table.outline_m.iter().map(place).collect(),
    )];
    shapes.extend(table.tile_m.and_then(|tile| grid(table, tile, &place)));
    shapes.push(Shape::Rect(Class::Table, board));
    if table.outline_m.len() > 2 {
        let mut ring: Vec<Point> = table.outline_m.iter().map(place).collect();
        ring.push(ring[0]);
        shapes.push(Shape::Polyline(Class::FrameEdge, ring));
    }
    let foot = place(&[0.0, 0.0]);
    shapes.push(Shape::Line(
        Class::Axis,
        foot,
        at(board.right() + 8.0, middle),
    ));
    shapes.push(Shape::Rect(
        Class::Camera,
        Rect::of(
            at(foot.x - 30.0, middle - 10.0),
            at(foot.x - 8.0, middle + 10.0),
        ),
    ));
    shapes.push(Shape::Rect(
        Class::Camera,
        Rect::of(at(foot.x - 8.0, middle - 6.0), at(foot.x, middle + 6.0)),
    ));
    let shown = |m: f64| {
        format!(
            "{} {}",
            figure::length(m * 1e3, table.unit),
            figure::unit_sign(table.unit)
        )
    };
    shapes.push(text(
        Class::Figure,
        at(f64::midpoint(board.x, board.right()), board.bottom() + 18.0),
        Anchor::Middle,
        shown(table.end_m),
    ));
    shapes.push(text_over(
        Class::Label,
        at(board.right() - 4.0, board.y - 6.0),
        Anchor::End,
        format!("{} wide", shown(2.0 * table.half_width_m)),
    ));
    let facts = vec![
        (
            "table".to_owned(),
            format!(
                "{} by {}",
                shown(table.end_m),
                shown(2.0 * table.half_width_m)
            ),
        ),
        (
            "corners of what is seen".to_owned(),
            table.outline_m.len().to_string(),
        ),
    ];
    Drawing {
        width,
        height,
        shapes,
        label: super::heard("What the frame sees of the table, from above", &facts),
        facts,
    }
}

/// Lines between the tiles that are seen, clipped to the table.
fn grid(table: &Table, tile: [f64; 2], place: &impl Fn(&[f64; 2]) -> Point) -> Option<Shape> {
    let drawable = tile.iter().all(|side| *side > 0.0)
        && table.end_m / tile[0] <= MOST_LINES
        && 2.0 * table.half_width_m / tile[1] <= MOST_LINES;
    if !drawable {
        return None;
    }
    let half = table.half_width_m;
    let mut lines = Vec::new();
    let mut forward = 0.0;
    while forward <= table.end_m {
        lines.push((place(&[forward, -half]), place(&[forward, half])));
        forward += tile[0];
    }
    let mut sideways = -(half / tile[1]).floor() * tile[1];
    while sideways <= half {
        lines.push((place(&[0.0, sideways]), place(&[table.end_m, sideways])));
        sideways += tile[1];
    }
    Some(strokes(Class::Guide, lines))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_seen_part_lies_on_the_table_to_scale() {
        let table = Table {
            end_m: 2.0,
            half_width_m: 0.5,
            outline_m: vec![[0.5, -0.1], [0.5, 0.1], [1.5, 0.4], [1.5, -0.4]],
            tile_m: Some([0.5, 0.5]),
            unit: Unit::Millimetre,
        };
        let drawing = table_seen(&table, 560.0);
        let board = drawing.shapes.iter().find_map(|shape| match shape {
            Shape::Rect(Class::Table, rect) => Some(*rect),
            _ => None,
        });
        let board = board.expect("a table");
        let Some(Shape::Polygon(Class::Sharp, seen)) = drawing.shapes.first() else {
            panic!("what is seen comes first");
        };
        assert!((board.width / board.height - 2.0).abs() < 1e-9);
        assert!(((seen[0].x - board.x) / board.width - 0.25).abs() < 1e-9);
        assert!(((seen[2].y - board.y) / board.height - 0.1).abs() < 1e-9);
        assert!(drawing.label.contains("2\u{202f}000 mm by 1\u{202f}000 mm"));
    }

    #[test]
    fn tiles_too_small_to_draw_are_left_out() {
        let table = Table {
            end_m: 2.0,
            half_width_m: 0.5,
            outline_m: Vec::new(),
            tile_m: Some([0.001, 0.001]),
            unit: Unit::Inch,
        };
        let drawing = table_seen(&table, 560.0);
        assert!(
            !drawing
                .shapes
                .iter()
                .any(|s| matches!(s, Shape::Path(Class::Guide, _)))
        );
    }
}
