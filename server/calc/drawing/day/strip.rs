//! The day's strip: ruler, blocks, dimensions in minutes, the lines that bind it.

use std::fmt::Write;

use super::super::Class;
use super::super::figure;
use super::super::shape::{
    Anchor, Arrows, Dimension, Drawing, Rect, Shape, Value, at, strokes, text, text_over,
};
use super::{Block, Day, Strip, Work};

/// Where the strip stands.
const RULER_Y: f64 = 20.0;
const TALL_Y: f64 = 64.0;
const TALL: f64 = 58.0;
const LOW_Y: f64 = TALL_Y + 16.0;

/// Time to x.
struct Clock {
    left: f64,
    right: f64,
    first_min: f64,
    units_per_min: f64,
}

impl Clock {
    fn of(day: &Day, strip: Strip) -> Clock {
        let (left, right) = match strip {
            Strip::Wide => (96.0, 1076.0),
            Strip::Print => (4.0, 718.0),
        };
        let times = day
            .blocks
            .iter()
            .flat_map(|block| [block.start_min, block.start_min + block.minutes])
            .chain([day.call_min])
            .chain(day.out_min)
            .chain(day.meal_by_min);
        let (first, last) = times
            .filter(|minute| minute.is_finite())
            .map(|minute| minute.clamp(-1440.0, 4320.0))
            .fold((f64::MAX, f64::MIN), |(low, high), minute| {
                (low.min(minute), high.max(minute))
            });
        let (first, last) = if first <= last {
            (first, last)
        } else {
            (480.0, 1080.0)
        };
        let (first_min, last_min) = (first - 15.0, (last + 20.0).max(first + 60.0));
        Clock {
            left,
            right,
            first_min,
            units_per_min: (right - left) / (last_min - first_min),
        }
    }

    fn x(&self, minute: f64) -> f64 {
        let minute = if minute.is_finite() {
            minute
        } else {
            self.first_min
        };
        (self.left + (minute - self.first_min) * self.units_per_min).clamp(self.left, self.right)
    }
}

/// Draws the day.
pub fn stage_day(day: &Day, strip: Strip) -> Drawing {
    let clock = Clock::of(day, strip);
    let mut shapes = ruler(&clock);
    if strip == Strip::Wide {
        shapes.push(text(
            Class::RowName,
            at(0.0, TALL_Y + 28.0),
            Anchor::Start,
            "The day",
        ));
        shapes.push(text(
            Class::RowNote,
            at(0.0, TALL_Y + 43.0),
            Anchor::Start,
            "minutes",
        ));
    }
    let mut parts: Vec<&Block> = Vec::new();
    for block in &day.blocks {
        let joins = parts
            .last()
            .is_none_or(|last| (last.start_min + last.minutes - block.start_min).abs() < 0.5);
        if !(block.work.is_part() && joins) {
            shapes.extend(parts_dimension(&clock, &std::mem::take(&mut parts)));
        }
        if block.work.is_part() {
            parts.push(block);
        }
        shapes.extend(drawn(&clock, block));
    }
    shapes.extend(parts_dimension(&clock, &parts));
    shapes.extend(bounds(day, &clock));
    let width = if strip == Strip::Wide { 1080.0 } else { 720.0 };
    Drawing {
        width,
        height: TALL_Y + TALL + 8.0,
        shapes,
        label: label(day),
        facts: facts(day),
    }
}

fn ruler(clock: &Clock) -> Vec<Shape> {
    let mut shapes = Vec::new();
    let hours = figure::nice_step(60.0, 38.0 / clock.units_per_min);
    let tick = if clock.units_per_min * 15.0 >= 4.0 {
        15.0
    } else {
        60.0
    };
    let mut ticks = vec![(at(clock.left, RULER_Y), at(clock.right, RULER_Y))];
    let first = (clock.first_min / tick).ceil();
    for step in 0..600_u32 {
        let minute = (first + f64::from(step)) * tick;
        let x = clock.left + (minute - clock.first_min) * clock.units_per_min;
        if x > clock.right {
            break;
        }
        let (hour, half) = (minute.rem_euclid(60.0) < 0.5, minute.rem_euclid(30.0) < 0.5);
        let high = if hour {
            9.0
        } else if half {
            6.0
        } else {
            3.5
        };
        ticks.push((at(x, RULER_Y), at(x, RULER_Y - high)));
        if hour && minute.rem_euclid(hours) < 0.5 && x >= 13.0 && clock.right - x >= 11.0 {
            shapes.push(text(
                Class::Tick,
                at(x, RULER_Y - 11.0),
                Anchor::Middle,
                figure::clock(minute),
            ));
        }
    }
    shapes.push(strokes(Class::Ruler, ticks));
    shapes
}

fn drawn(clock: &Clock, block: &Block) -> Vec<Shape> {
    let (x, right) = (
        clock.x(block.start_min),
        clock.x(block.start_min + block.minutes.max(0.0)),
    );
    let (width, middle) = (right - x, f64::midpoint(x, right));
    let low = Rect {
        x,
        y: LOW_Y,
        width,
        height: TALL - 16.0,
    };
    let name = |words: &str, y: f64| {
        let fits = figure::fitted(words, Class::SetupName, width - 4.0);
        (!fits.is_empty()).then(|| text(Class::SetupName, at(middle, y), Anchor::Middle, fits))
    };
    let mut shapes = match (block.work, block.work.hatch()) {
        (Work::Setup, _) => setup(block, x, width),
        (Work::Meal, _) => {
            let foot = TALL_Y + TALL;
            let feet = [
                (at(x, foot - 3.0), at(right, foot - 3.0)),
                (at(x, foot), at(right, foot)),
            ];
            std::iter::once(strokes(Class::MealFoot, feet))
                .chain(name(&block.name, TALL_Y + 40.0))
                .collect()
        }
        (_, Some(hatch)) => vec![Shape::Hatched(Class::Part, low, hatch)],
        (_, None) => std::iter::once(Shape::Rect(Class::Part, low))
            .chain(name(&block.name, TALL_Y + 42.0))
            .collect(),
    };
    match block.work {
        Work::Setup => shapes.push(dimension(x, right, TALL_Y - 8.0, block.minutes, 14.0)),
        Work::Call | Work::Meal => {
            shapes.push(dimension(x, right, LOW_Y - 8.0, block.minutes, 10.0));
        }
        _ => {}
    }
    match &block.address {
        Some(address) => vec![Shape::Link(address.clone(), spoken(block), shapes)],
        None => shapes,
    }
}

fn setup(block: &Block, x: f64, width: f64) -> Vec<Shape> {
    let (middle, mut shapes) = (
        x + width / 2.0,
        vec![Shape::Rect(
            Class::SetupBox,
            Rect {
                x,
                y: TALL_Y,
                width,
                height: TALL,
            },
        )],
    );
    let class = if figure::width(&block.code, Class::BigCode) <= width - 4.0 {
        Class::BigCode
    } else {
        Class::Tick
    };
    shapes.push(text_over(
        class,
        at(middle, TALL_Y + 20.0),
        Anchor::Middle,
        block.code.clone(),
    ));
    for (line, words) in (0_u32..).zip(figure::wrapped(
        &block.name,
        Class::SetupName,
        width - 6.0,
        2,
    )) {
        let y = TALL_Y + 35.0 + f64::from(line) * 12.5;
        shapes.push(text(Class::SetupName, at(middle, y), Anchor::Middle, words));
    }
    shapes
}

/// One dimension over neighbouring parts of a changeover.
fn parts_dimension(clock: &Clock, parts: &[&Block]) -> Option<Shape> {
    let (first, last) = (parts.first()?, parts.last()?);
    let minutes = parts.iter().map(|part| part.minutes).sum();
    let (x, right) = (
        clock.x(first.start_min),
        clock.x(last.start_min + last.minutes),
    );
    Some(dimension(x, right, LOW_Y - 8.0, minutes, 10.0))
}

/// Minutes as a dimension; a stretch too short for arrows keeps its end lines, one too short for its figure drops that.
fn dimension(x: f64, right: f64, y: f64, minutes: f64, reach: f64) -> Shape {
    let (value, span) = (figure::grouped(minutes, 0), right - x);
    let room = figure::width(&value, Class::DimensionText);
    Shape::Dimension(Dimension {
        from: at(x, y),
        to: at(right, y),
        arrows: if span >= room + 16.0 {
            Arrows::Inside
        } else {
            Arrows::None
        },
        value: if span >= room - 1.0 {
            value
        } else {
            String::new()
        },
        place: Value::Middle,
        open: false,
        reach: reach - 2.0,
        entry: false,
    })
}

/// The lines of the day: call where no call block stands, meal by, out of the building.
fn bounds(day: &Day, clock: &Clock) -> Vec<Shape> {
    let mut shapes = Vec::new();
    let mut bound = |minute: f64, words: &str, anchor: Anchor| {
        let (x, foot) = (clock.x(minute), TALL_Y + TALL + 6.0);
        let aside = if anchor == Anchor::End { -4.0 } else { 4.0 };
        shapes.push(Shape::Line(Class::Bound, at(x, RULER_Y), at(x, foot)));
        shapes.push(text_over(
            Class::Label,
            at(x + aside, RULER_Y + 14.0),
            anchor,
            words,
        ));
    };
    let called = day.blocks.iter().any(|block| block.work == Work::Call);
    if !called && day.call_min.is_finite() {
        bound(day.call_min, "call", Anchor::Start);
    }
    if let Some(minute) = day.meal_by_min {
        bound(minute, "meal by", Anchor::Start);
    }
    if let Some(minute) = day.out_min {
        bound(minute, "out of the building", Anchor::End);
    }
    shapes
}

fn spoken(block: &Block) -> String {
    let called = if block.code.is_empty() {
        block.name.clone()
    } else {
        format!("{} {}", block.code, block.name)
    };
    let minutes = figure::grouped(block.minutes, 0);
    format!(
        "{called}, {}, {minutes} min",
        figure::clock(block.start_min)
    )
}

fn label(day: &Day) -> String {
    let setups = day
        .blocks
        .iter()
        .filter(|block| block.work == Work::Setup)
        .count();
    let end = day
        .blocks
        .iter()
        .map(|block| block.start_min + block.minutes)
        .fold(day.call_min, f64::max);
    let mut words = format!(
        "The day drawn to time: call {}, ",
        figure::clock(day.call_min)
    );
    let count = match setups {
        0 => "no setups yet".to_owned(),
        1 => "one setup".to_owned(),
        count => format!("{count} setups"),
    };
    words.push_str(&count);
    if !day.blocks.is_empty() {
        let _ = write!(words, ", planned to end {}", figure::clock(end));
    }
    if let Some(minute) = day.meal_by_min {
        let _ = write!(words, ", meal by {}", figure::clock(minute));
    }
    if let Some(minute) = day.out_min {
        let _ = write!(words, ", out of the building by {}", figure::clock(minute));
    }
    words + "."
}

fn facts(day: &Day) -> Vec<(String, String)> {
    day.blocks
        .iter()
        .map(|block| {
            let name = if block.code.is_empty() {
                block.work.words().to_owned()
            } else {
                format!("{} {}", block.code, block.name)
            };
            let span = (
                figure::clock(block.start_min),
                figure::clock(block.start_min + block.minutes),
            );
            (
                name,
                format!(
                    "{} to {}, {} min",
                    span.0,
                    span.1,
                    figure::grouped(block.minutes, 0)
                ),
            )
        })
        .collect()
}
