//! Boards in two rows, leaders, the ribbon, and the ruler in seconds.

use super::super::Class;
use super::super::figure;
use super::super::shape::{Anchor, Point, Rect, Shape, Step, at, strokes, text, text_over};
use super::{Board, Shot, Timed, WIDTH, heading};

/// Widest and narrowest board.
const BOARD: (f64, f64) = (132.0, 64.0);
/// Between two boards of a row; the other row's leaders pass there.
const BETWEEN: f64 = 14.0;
/// Space kept for a board's line at the drawing's edge.
const EDGE: f64 = 1.0;
/// Height of the ribbon.
const HIGH: f64 = 34.0;

/// Boards and their leaders; gives the top of the ribbon.
pub(super) fn boards(timed: &Timed, shapes: &mut Vec<Shape>) -> f64 {
    let count = timed.cut.shots.len();
    if count == 0 {
        return 14.0;
    }
    let (every, width, pitch) = spacing(count);
    let aspect = if timed.cut.board_aspect.is_finite() {
        timed.cut.board_aspect.clamp(0.5, 4.0)
    } else {
        2.39
    };
    let height = width / aspect;
    let tops = [14.0, 14.0 + height + 19.0];
    let shown: Vec<_> = timed.shots().step_by(every).collect();
    let lowest = if shown.len() > 1 { tops[1] } else { tops[0] } + height;
    let (bend, ribbon) = (lowest + 8.0, lowest + 42.0);
    let mut x = if shown.len() > 1 {
        EDGE
    } else {
        timed.middle(0) - width / 2.0
    };
    for (place, (index, shot)) in shown.into_iter().enumerate() {
        let top = tops[place % 2];
        let area = Rect {
            x,
            y: top,
            width,
            height,
        };
        let middle = x + width / 2.0;
        let foot = timed.middle(index);
        let path = [
            at(middle, top + height),
            at(middle, bend),
            at(foot, ribbon - 12.0),
            at(foot, ribbon),
        ];
        shapes.push(Shape::Polyline(Class::Leader, path.to_vec()));
        shapes.push(board(shot, area));
        x += pitch;
    }
    ribbon
}

/// How many shots share one board, how wide a board is, and how far apart two neighbours start.
fn spacing(count: usize) -> (usize, f64, f64) {
    let most = 1 + number(((WIDTH - BOARD.1) / f64::midpoint(BOARD.1, BETWEEN)).floor());
    let every = count.div_ceil(most);
    let shown = count.div_ceil(every);
    #[expect(clippy::cast_precision_loss, reason = "the boards of one drawing")]
    let gaps = shown.saturating_sub(1).max(1) as f64;
    // Two neighbours of one row stand two pitches apart: 2 × pitch = width + between; all pitches fill the drawing.
    let across = WIDTH - 2.0 * EDGE;
    let width = ((2.0 * across / gaps - BETWEEN) / (1.0 + 2.0 / gaps)).min(BOARD.0);
    (every, width, (across - width) / gaps)
}

#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "a small count"
)]
fn number(value: f64) -> usize {
    value.max(0.0) as usize
}

fn board(shot: &Shot, area: Rect) -> Shape {
    let Board { picture, address } = &shot.board;
    let mut shapes = vec![Shape::Rect(Class::Board, area)];
    match picture {
        Some(picture) => shapes.push(Shape::Picture(Class::BoardPicture, area, picture.clone())),
        None => shapes.push(ruling(area)),
    }
    let code = figure::fitted(&shot.code, Class::Code, area.width);
    shapes.push(text(
        Class::Code,
        at(area.x, area.y - 3.0),
        Anchor::Start,
        code,
    ));
    match address {
        Some(address) => Shape::Link(
            address.clone(),
            format!("{} {}", shot.code, shot.name),
            shapes,
        ),
        None => Shape::Group(Class::Item, None, shapes),
    }
}

/// A board not drawn yet is ruled like a page to draw on.
fn ruling(area: Rect) -> Shape {
    let lines = [0.25, 0.5, 0.75].map(|share| {
        let y = area.y + share * area.height;
        (at(area.x + 6.0, y), at(area.right() - 6.0, y))
    });
    strokes(Class::BoardRule, lines)
}

/// The ribbon and the ruler under it; gives the foot of the ruler.
pub(super) fn ribbon(timed: &Timed, top: f64, shapes: &mut Vec<Shape>) -> f64 {
    heading(shapes, top + 14.0, "The cut", "seconds:frames");
    let mut written = f64::MIN;
    if timed.cut.shots.is_empty() {
        let (from, to) = (timed.x(0.0), timed.x(timed.total_frames));
        shapes.push(Shape::Rect(
            Class::ShotBox,
            Rect::of(at(from, top), at(to, top + HIGH)),
        ));
    }
    for (index, shot) in timed.shots() {
        let (from, to) = timed.span(index);
        let mut parts = vec![Shape::Rect(
            Class::ShotBox,
            Rect::of(at(from, top), at(to, top + HIGH)),
        )];
        let (middle, room) = (f64::midpoint(from, to), to - from - 2.0);
        let long = figure::width(&shot.code, Class::Code);
        if long <= room {
            parts.push(text(
                Class::Code,
                at(middle, top + 15.0),
                Anchor::Middle,
                shot.code.clone(),
            ));
            written = to;
        } else if middle - long / 2.0 > written + 6.0 {
            // Too narrow for its code: it stands over the ribbon, as many as do not run together.
            parts.push(text_over(
                Class::Tick,
                at(middle, top - 3.0),
                Anchor::Middle,
                shot.code.clone(),
            ));
            written = middle + long / 2.0;
        }
        let length = timed.length(f64::from(shot.frames));
        if figure::width(&length, Class::ShotLength) <= room {
            parts.push(text(
                Class::ShotLength,
                at(middle, top + 28.0),
                Anchor::Middle,
                length,
            ));
        }
        match &shot.board.address {
            Some(address) => shapes.push(Shape::Link(
                address.clone(),
                format!("{} {}", shot.code, shot.name),
                parts,
            )),
            None => shapes.append(&mut parts),
        }
    }
    ruler(timed, top + HIGH, shapes);
    top + HIGH + 16.0
}

fn ruler(timed: &Timed, y: f64, shapes: &mut Vec<Shape>) {
    let units_per_s = timed.x(timed.fps) - timed.x(0.0);
    let total_s = timed.total_frames / timed.fps;
    let major_s = figure::nice_step(1.0, 60.0 / units_per_s);
    let minor_s = figure::nice_step(1.0, 4.0 / units_per_s).min(major_s);
    let per = (major_s / minor_s).round();
    let mut ticks: Vec<(Point, Point)> = Vec::new();
    for step in 0..1000_u32 {
        let second = f64::from(step) * minor_s;
        if second > total_s + 1e-9 {
            break;
        }
        let x = timed.x(second * timed.fps);
        let whole = f64::from(step).rem_euclid(per) < 0.5;
        let half = (f64::from(step) * 2.0).rem_euclid(per) < 0.5;
        ticks.push((
            at(x, y),
            at(
                x,
                y + if whole {
                    9.0
                } else if half {
                    6.0
                } else {
                    3.5
                },
            ),
        ));
        let words = format!("{} s", figure::grouped(second, 0));
        if whole && x + figure::width(&words, Class::Tick) < WIDTH {
            shapes.push(text(
                Class::Tick,
                at(x + 3.0, y + 14.0),
                Anchor::Start,
                words,
            ));
        }
    }
    shapes.push(Shape::Path(
        Class::Ruler,
        ticks
            .into_iter()
            .flat_map(|(a, b)| [Step::Move(a), Step::Line(b)])
            .collect(),
    ));
}
