//! Threads from each shot to its setup in stage order, days bracketed.

use super::super::Class;
use super::super::figure;
use super::super::shape::{Anchor, Rect, Shape, Step, at, strokes, text};
use super::{LEFT, RIGHT, Setup, Timed, heading};

/// Height of a setup's box, and how far the threads fall.
const BOX: f64 = 34.0;
const FALL: f64 = 58.0;

/// Draws threads, setups and days; gives the foot.
pub(super) fn threads(timed: &Timed, top: f64, shapes: &mut Vec<Shape>) -> f64 {
    let setups = &timed.cut.setups;
    if setups.is_empty() {
        return top;
    }
    let heads = timed.shots().map(|(index, _)| {
        let (from, to) = timed.span(index);
        let gap = ((to - from) / 6.0).min(2.0);
        (at(from + gap, top), at(to - gap, top))
    });
    shapes.push(strokes(Class::Ruler, heads));
    #[expect(clippy::cast_precision_loss, reason = "the setups of one cut")]
    let pitch = (RIGHT - LEFT) / setups.len() as f64;
    #[expect(clippy::cast_precision_loss, reason = "the setups of one cut")]
    let left = |setup: usize| LEFT + setup as f64 * pitch;
    let foot = top + FALL;
    let threads = timed.shots().filter_map(|(index, shot)| {
        let setup = shot.setup.filter(|setup| *setup < setups.len())?;
        let (from, to) = (
            at(timed.middle(index), top),
            at(left(setup) + pitch / 2.0, foot),
        );
        let bend = 0.55 * FALL;
        Some([
            Step::Move(from),
            Step::Bend(at(from.x, from.y + bend), at(to.x, to.y - bend), to),
        ])
    });
    shapes.push(Shape::Path(Class::Thread, threads.flatten().collect()));
    heading(shapes, foot + 16.0, "Setups", "in stage order");
    let gap = (pitch * 0.05).min(5.0);
    for (index, setup) in setups.iter().enumerate() {
        let area = Rect {
            x: left(index) + gap,
            y: foot,
            width: pitch - 2.0 * gap,
            height: BOX,
        };
        shapes.push(node(setup, area));
    }
    days(setups, &left, gap, foot + BOX + 8.0, shapes);
    if setups.iter().any(|setup| !setup.day.is_empty()) {
        foot + BOX + 24.0
    } else {
        foot + BOX
    }
}

fn node(setup: &Setup, area: Rect) -> Shape {
    let middle = area.x + area.width / 2.0;
    let mut shapes = vec![Shape::Rect(Class::SetupNode, area)];
    let mut line = |class: Class, words: &str, y: f64| {
        let fits = figure::fitted(words, class, area.width - 4.0);
        if !fits.is_empty() {
            shapes.push(text(class, at(middle, y), Anchor::Middle, fits));
        }
    };
    line(Class::Code, &setup.code, area.y + 14.0);
    line(Class::SetupName, &setup.name, area.y + 28.0);
    match &setup.address {
        Some(address) => Shape::Link(
            address.clone(),
            format!("{} {}", setup.code, setup.name),
            shapes,
        ),
        None => Shape::Group(Class::Item, None, shapes),
    }
}

/// One bracket under each run of setups of one day.
fn days(setups: &[Setup], left: &dyn Fn(usize) -> f64, gap: f64, y: f64, shapes: &mut Vec<Shape>) {
    let mut index = 0;
    while index < setups.len() {
        let day = &setups[index].day;
        let until = (index..setups.len())
            .take_while(|next| setups[*next].day == *day)
            .last()
            .unwrap_or(index);
        let (from, to) = (left(index) + gap, left(until + 1) - gap);
        if !day.is_empty() {
            let bracket = vec![at(from, y - 4.0), at(from, y), at(to, y), at(to, y - 4.0)];
            shapes.push(Shape::Polyline(Class::DayBracket, bracket));
            let words = figure::fitted(day, Class::Label, to - from);
            shapes.push(text(
                Class::Label,
                at(f64::midpoint(from, to), y + 13.0),
                Anchor::Middle,
                words,
            ));
        }
        index = until + 1;
    }
}
