//! A stage day's haze: in the tent by ratio, and under it on the same clock what the people in the room breathe.

use super::super::Class;
use super::super::figure;
use super::super::shape::{
    Anchor, Drawing, Point, Rect, Ring, Shape, at, strokes, text, text_over,
};
use crate::figure::{given, significant};

/// A setup that wants haze.
#[derive(Clone, Debug, PartialEq)]
pub struct Zone {
    /// Its code.
    pub code: String,
    /// From when, in minutes of the day.
    pub start_min: f64,
    /// Until when.
    pub end_min: f64,
    /// Extinction wanted.
    pub wanted_per_m: f64,
    /// Lower and upper edge of its band.
    pub band_per_m: (f64, f64),
    /// Where a click leads.
    pub address: Option<String>,
}

/// A limit of the room's air.
#[derive(Clone, Debug, PartialEq)]
pub struct Limit {
    /// Its level.
    pub mgpm3: f64,
    /// What it is and whose.
    pub words: String,
}

/// A top-up under its number.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct TopUp {
    /// Its number, from 1.
    pub number: u32,
    /// When.
    pub at_min: f64,
}

/// A day's haze as it is drawn.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Day {
    /// First and last minute.
    pub from_min: f64,
    /// Last minute.
    pub to_min: f64,
    /// Setups in order.
    pub zones: Vec<Zone>,
    /// Extinction in the tent: minute and per metre, each run without a jump.
    pub tent: Vec<Vec<(f64, f64)>>,
    /// Level in the room: minute and mg/m³.
    pub room: Vec<(f64, f64)>,
    /// Its eight-hour average so far.
    pub average: Vec<(f64, f64)>,
    /// Limits chosen.
    pub limits: Vec<Limit>,
    /// Top-ups in order.
    pub top_ups: Vec<TopUp>,
    /// Worst quarter of an hour: when it ends, and its level.
    pub worst: Option<(f64, f64)>,
}

const WIDTH: f64 = 1080.0;
const LEFT: f64 = 104.0;
const RIGHT: f64 = 1066.0;
const RULER_Y: f64 = 18.0;
const CODES_Y: f64 = 38.0;
const TENT: (f64, f64) = (62.0, 216.0);
const RINGS_Y: f64 = 236.0;
const ROOM: (f64, f64) = (282.0, 430.0);
const HEIGHT: f64 = 438.0;
/// Nothing thinner is drawn: the tent is clear.
const THINNEST_PER_M: f64 = 0.1;

struct Scale {
    from_min: f64,
    per_min: f64,
    log_low: f64,
    per_log: f64,
    per_mg: f64,
}

impl Scale {
    fn of(day: &Day) -> Self {
        let span = (day.to_min - day.from_min).max(60.0);
        let thickest = day
            .zones
            .iter()
            .map(|z| z.band_per_m.1)
            .chain(day.tent.iter().flatten().map(|(_, sigma)| *sigma))
            .fold(THINNEST_PER_M * 10.0, f64::max);
        let thinnest = day
            .zones
            .iter()
            .map(|z| z.band_per_m.0 / 4.0)
            .fold(THINNEST_PER_M * 10.0, f64::min)
            .max(THINNEST_PER_M / 10.0);
        let highest = day
            .limits
            .iter()
            .map(|l| l.mgpm3)
            .chain(day.room.iter().map(|(_, mg)| *mg))
            .fold(1.0, f64::max);
        let (low, high) = (thinnest.ln(), (thickest * 1.25).ln());
        Self {
            from_min: day.from_min,
            per_min: (RIGHT - LEFT) / span,
            log_low: low,
            per_log: (TENT.1 - TENT.0) / (high - low).max(0.1),
            per_mg: (ROOM.1 - ROOM.0) / (highest * 1.12),
        }
    }

    fn x(&self, minute: f64) -> f64 {
        (LEFT + (minute - self.from_min) * self.per_min).clamp(LEFT, RIGHT)
    }

    fn tent_y(&self, sigma: f64) -> f64 {
        let up = (sigma.max(1e-9).ln() - self.log_low) * self.per_log;
        (TENT.1 - up).clamp(TENT.0, TENT.1)
    }

    fn room_y(&self, mg: f64) -> f64 {
        (ROOM.1 - mg * self.per_mg).clamp(ROOM.0, ROOM.1)
    }
}

/// Draws the day.
pub fn haze_day(day: &Day) -> Drawing {
    let scale = Scale::of(day);
    let mut shapes = zones(day, &scale);
    shapes.extend(ruler(day, &scale));
    shapes.extend(axes(&scale));
    for run in &day.tent {
        let points = run.iter().map(|(m, s)| at(scale.x(*m), scale.tent_y(*s)));
        shapes.push(Shape::Polyline(Class::Curve, points.collect()));
    }
    shapes.extend(wanted(day, &scale));
    shapes.extend(rings(day, &scale));
    shapes.extend(limits(day, &scale));
    let line = |points: &[(f64, f64)]| -> Vec<Point> {
        points
            .iter()
            .map(|(m, mg)| at(scale.x(*m), scale.room_y(*mg)))
            .collect()
    };
    if !day.room.is_empty() {
        shapes.push(Shape::Polyline(Class::Curve, line(&day.room)));
        shapes.push(Shape::Polyline(Class::CurveBeside, line(&day.average)));
    }
    shapes.extend(words(day, &scale));
    Drawing {
        width: WIDTH,
        height: HEIGHT,
        shapes,
        label: label(day),
        facts: facts(day),
    }
}

fn zones(day: &Day, scale: &Scale) -> Vec<Shape> {
    let zone = |zone: &Zone| {
        let (x, right) = (scale.x(zone.start_min), scale.x(zone.end_min));
        let area = Rect {
            x,
            y: CODES_Y + 6.0,
            width: right - x,
            height: ROOM.1 - CODES_Y - 6.0,
        };
        let middle = f64::midpoint(x, right);
        let mut shapes = vec![Shape::Rect(Class::Sharp, area)];
        let code = figure::fitted(&zone.code, Class::BigCode, right - x + 30.0);
        shapes.push(text(
            Class::BigCode,
            at(middle, CODES_Y),
            Anchor::Middle,
            code,
        ));
        for edge in [zone.band_per_m.0, zone.band_per_m.1] {
            let y = scale.tent_y(edge);
            shapes.push(Shape::Line(Class::Drop, at(x, y), at(right, y)));
        }
        match &zone.address {
            Some(address) => Shape::Link(
                address.clone(),
                format!(
                    "{}, haze {} per m",
                    zone.code,
                    significant(zone.wanted_per_m, 3)
                ),
                shapes,
            ),
            None => Shape::Group(Class::DimensionLine, None, shapes),
        }
    };
    day.zones.iter().map(zone).collect()
}

/// What is wanted, over the lines that it stands on.
fn wanted(day: &Day, scale: &Scale) -> Vec<Shape> {
    let words = |zone: &Zone| {
        let x = scale.x(f64::midpoint(zone.start_min, zone.end_min));
        text_over(
            Class::Figure,
            at(x, scale.tent_y(zone.band_per_m.1) - 6.0),
            Anchor::Middle,
            significant(zone.wanted_per_m, 3),
        )
    };
    day.zones.iter().map(words).collect()
}

fn ruler(day: &Day, scale: &Scale) -> Vec<Shape> {
    let step = figure::nice_step(60.0, 40.0 / scale.per_min);
    let mut shapes = Vec::new();
    let mut ticks = vec![(at(LEFT, RULER_Y), at(RIGHT, RULER_Y))];
    let first = (day.from_min / 30.0).ceil();
    for half in 0..200_u32 {
        let minute = (first + f64::from(half)) * 30.0;
        if minute > day.to_min {
            break;
        }
        let x = scale.x(minute);
        let is_hour = minute.rem_euclid(60.0) < 0.5;
        ticks.push((
            at(x, RULER_Y),
            at(x, RULER_Y - if is_hour { 7.0 } else { 4.0 }),
        ));
        if is_hour && minute.rem_euclid(step) < 0.5 {
            shapes.push(text(
                Class::Tick,
                at(x, RULER_Y - 9.0),
                Anchor::Middle,
                figure::clock(minute),
            ));
        }
    }
    shapes.push(strokes(Class::Ruler, ticks));
    shapes
}

/// Guide lines of both panels with their figures, and what each panel is.
fn axes(scale: &Scale) -> Vec<Shape> {
    let name = |y: f64, words: [&str; 3]| {
        let [head, one, two] = words;
        [
            text(Class::RowName, at(0.0, y), Anchor::Start, head),
            text(Class::RowNote, at(0.0, y + 15.0), Anchor::Start, one),
            text(Class::RowNote, at(0.0, y + 29.0), Anchor::Start, two),
        ]
    };
    let mut shapes: Vec<Shape> =
        name(TENT.0 + 20.0, ["In the tent", "haze, per m", "(by ratio)"]).into();
    shapes.extend(name(
        ROOM.0 + 20.0,
        ["In the room", "mg/m³ where", "people breathe"],
    ));
    let guide = |y: f64, words: String| {
        [
            Shape::Line(Class::Guide, at(LEFT, y), at(RIGHT, y)),
            text(Class::Tick, at(LEFT - 6.0, y + 4.0), Anchor::End, words),
        ]
    };
    for decade in -2..3 {
        for step in [1.0, 2.0, 5.0] {
            let sigma = step * 10_f64.powi(decade);
            let y = scale.tent_y(sigma);
            if y > TENT.0 && y < TENT.1 {
                shapes.extend(guide(y, given(sigma)));
            }
        }
    }
    let most = (ROOM.1 - ROOM.0) / scale.per_mg;
    let step = [1.0, 2.0, 5.0, 10.0, 20.0, 50.0, 100.0, 200.0, 500.0, 1000.0]
        .into_iter()
        .find(|step| most / step <= 6.0)
        .unwrap_or(2000.0);
    for n in 0..7_u32 {
        let mg = f64::from(n) * step;
        if mg <= most {
            shapes.extend(guide(scale.room_y(mg), given(mg)));
        }
    }
    shapes
}

fn rings(day: &Day, scale: &Scale) -> Vec<Shape> {
    let mut last = f64::NEG_INFINITY;
    let mut shapes = Vec::new();
    for top_up in &day.top_ups {
        let x = scale.x(top_up.at_min);
        // A ring that has no room keeps its line; the table has its number.
        shapes.push(Shape::Line(
            Class::RingLeader,
            at(x, TENT.1),
            at(x, RINGS_Y - Ring::RADIUS),
        ));
        if x - last < 2.0 * Ring::RADIUS + 1.0 {
            continue;
        }
        last = x;
        shapes.push(Shape::Circle(
            Class::RingCircle,
            at(x, RINGS_Y),
            Ring::RADIUS,
        ));
        shapes.push(text(
            Class::RingNumber,
            at(x, RINGS_Y + 4.0),
            Anchor::Middle,
            top_up.number.to_string(),
        ));
    }
    shapes
}

fn limits(day: &Day, scale: &Scale) -> Vec<Shape> {
    let limit = |limit: &Limit| {
        let y = scale.room_y(limit.mgpm3);
        [
            Shape::Line(Class::Level, at(LEFT, y), at(RIGHT, y)),
            text_over(
                Class::ClashNote,
                at(LEFT + 4.0, y - 5.0),
                Anchor::Start,
                limit.words.clone(),
            ),
        ]
    };
    day.limits.iter().flat_map(limit).collect()
}

/// Words at the ends of the room's curves.
fn words(day: &Day, scale: &Scale) -> Vec<Shape> {
    let mut shapes = Vec::new();
    if let Some((minute, mg)) = day.worst {
        let (x, y) = (scale.x(minute), scale.room_y(mg));
        let anchor = if x > RIGHT - 120.0 {
            Anchor::End
        } else {
            Anchor::Start
        };
        let words = format!("worst 15 min {}", significant(mg, 2));
        shapes.push(text_over(Class::Label, at(x, y - 7.0), anchor, words));
    }
    if let Some((minute, mg)) = day.average.last() {
        let words = format!("average {}", significant(*mg, 2));
        let y = scale.room_y(*mg) - 6.0;
        shapes.push(text_over(
            Class::Label,
            at(scale.x(*minute), y),
            Anchor::End,
            words,
        ));
    }
    shapes
}

fn label(day: &Day) -> String {
    let zones: Vec<_> = day
        .zones
        .iter()
        .map(|z| format!("{} {} per m", z.code, significant(z.wanted_per_m, 3)))
        .collect();
    if zones.is_empty() {
        return "Haze of the day: no setup of it wants any.".to_owned();
    }
    let worst = day.worst.map_or_else(String::new, |(minute, mg)| {
        format!(
            " In the room the worst quarter of an hour is {} mg/m³, ending {}.",
            significant(mg, 2),
            figure::clock(minute)
        )
    });
    format!(
        "Haze of the day: {}; {} top-ups.{worst}",
        zones.join(", "),
        day.top_ups.len()
    )
}

fn facts(day: &Day) -> Vec<(String, String)> {
    day.zones
        .iter()
        .map(|z| {
            let held = format!(
                "{} to {}, {} per m",
                figure::clock(z.start_min),
                figure::clock(z.end_min),
                significant(z.wanted_per_m, 3)
            );
            (z.code.clone(), held)
        })
        .collect()
}
