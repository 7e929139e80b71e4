//! Pieces: a bar where each is seen, its face in a box, arcs that join clashes.

use super::super::Class;
use super::super::figure;
use super::super::shape::{Anchor, Rect, Shape, Step, at, text, text_over};
use super::{Clash, LEFT, Piece, RIGHT, Timed, WIDTH, heading};

/// Height of a row, and what a clash adds above it.
const ROW: f64 = 16.0;
const ARC: f64 = 9.0;

/// Draws every piece on a row of its own; gives the foot of the last.
pub(super) fn pieces(timed: &Timed, top: f64, shapes: &mut Vec<Shape>) -> f64 {
    if timed.cut.pieces.is_empty() {
        return top - 8.0;
    }
    heading(shapes, top + 10.0, "Pieces", "");
    let mut y = top + 12.0;
    for piece in &timed.cut.pieces {
        y += ROW + if piece.clashes.is_empty() { 0.0 } else { ARC };
        row(timed, piece, y, shapes);
    }
    y + 8.0
}

fn row(timed: &Timed, piece: &Piece, y: f64, shapes: &mut Vec<Shape>) {
    let name = figure::fitted(&piece.name, Class::RowNote, LEFT - 8.0);
    shapes.push(text(Class::RowNote, at(0.0, y + 4.0), Anchor::Start, name));
    shapes.push(Shape::Line(Class::Guide, at(LEFT, y), at(RIGHT, y)));
    let seen = || {
        piece
            .seen
            .iter()
            .filter(|(shot, _)| *shot < timed.cut.shots.len())
    };
    let bars = seen().flat_map(|(shot, _)| {
        let (from, to) = timed.span(*shot);
        // Each shot keeps a bar of its own, parted by a gap where there is room for one.
        let gap = ((to - from) / 6.0).min(1.0);
        [Step::Move(at(from + gap, y)), Step::Line(at(to - gap, y))]
    });
    shapes.push(Shape::Path(Class::Seen, bars.collect()));
    for clash in &piece.clashes {
        arc(timed, clash, y, shapes);
    }
    for (shot, face) in seen().filter(|(_, face)| !face.is_empty()) {
        let (from, to) = timed.span(*shot);
        let width = figure::width(face, Class::Face) + 7.0;
        if width <= to - from + 4.0 {
            let x = f64::midpoint(from, to);
            let area = Rect {
                x: x - width / 2.0,
                y: y - 6.5,
                width,
                height: 13.0,
            };
            shapes.push(Shape::Rect(Class::FaceBox, area));
            shapes.push(text(
                Class::Face,
                at(x, y + 4.0),
                Anchor::Middle,
                face.clone(),
            ));
        }
    }
}

/// An arc from one shot to the other; the words stand in its top, or beside it where it is short.
fn arc(timed: &Timed, clash: &Clash, y: f64, shapes: &mut Vec<Shape>) {
    let count = timed.cut.shots.len();
    if clash.first >= count || clash.second >= count {
        return;
    }
    let (from, to) = (timed.middle(clash.first), timed.middle(clash.second));
    let (from, to) = (from.min(to), from.max(to));
    let (foot, peak) = (y - 7.0, y - 7.0 - ARC);
    let long = figure::width(&clash.words, Class::ClashNote);
    let turn = ((to - from) / 2.0).min(22.0);
    if to - from > long + 2.0 * turn + 12.0 {
        let middle = f64::midpoint(from, to);
        let (before, after) = (middle - long / 2.0 - 6.0, middle + long / 2.0 + 6.0);
        let path = vec![
            Step::Move(at(from, foot)),
            Step::Curve(at(from, peak), at(from + turn, peak)),
            Step::Line(at(before, peak)),
            Step::Move(at(after, peak)),
            Step::Line(at(to - turn, peak)),
            Step::Curve(at(to, peak), at(to, foot)),
        ];
        shapes.push(Shape::Path(Class::Clash, path));
        shapes.push(text_over(
            Class::ClashNote,
            at(middle, peak + 4.0),
            Anchor::Middle,
            clash.words.clone(),
        ));
        return;
    }
    let path = vec![
        Step::Move(at(from, foot)),
        Step::Bend(at(from, peak), at(from, peak), at(from + turn, peak)),
        Step::Line(at(to - turn, peak)),
        Step::Bend(at(to, peak), at(to, peak), at(to, foot)),
    ];
    shapes.push(Shape::Path(Class::Clash, path));
    let (place, anchor) = if to + 10.0 + long < WIDTH {
        (at(to + 8.0, peak + 5.0), Anchor::Start)
    } else {
        (at(from - 8.0, peak + 5.0), Anchor::End)
    };
    shapes.push(text_over(
        Class::ClashNote,
        place,
        anchor,
        clash.words.clone(),
    ));
}
