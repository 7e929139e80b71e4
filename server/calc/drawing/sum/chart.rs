//! Curves over two axes, with the levels that matter and the spot where the numbers typed stand.

use super::super::Class;
use super::super::figure::{self, covered, nice_step};
use super::super::shape::{Anchor, Drawing, Point, Rect, Shape, Text, at, text};
use crate::figure::{fixed, significant};
use std::ops::Deref;

/// Narrower than this there is no room between the figures.
const LEAST_WIDTH: f64 = 240.0;
const HEIGHT: f64 = 250.0;
/// Room for the figures at the left, for names of curves at the right.
const LEFT: f64 = 56.0;
const TOP: f64 = 26.0;
const BOTTOM: f64 = 42.0;
const RIGHT: f64 = 18.0;
/// Ticks an axis has at most.
const MOST_TICKS: f64 = 6.0;

/// What an axis measures, and between which ends.
#[derive(Clone, Debug, PartialEq)]
pub struct Axis {
    /// What it measures.
    pub name: String,
    /// Its unit; empty for none.
    pub unit: String,
    /// Where it starts.
    pub from: f64,
    /// Where it ends; more than where it starts.
    pub to: f64,
}

impl Axis {
    /// An axis from zero to an end.
    pub fn up_to(name: &str, unit: &str, to: f64) -> Self {
        Self {
            name: name.into(),
            unit: unit.into(),
            from: 0.0,
            to: if to > 0.0 && to.is_finite() { to } else { 1.0 },
        }
    }

    fn caption(&self) -> String {
        if self.unit.is_empty() {
            self.name.clone()
        } else {
            format!("{}, {}", self.name, self.unit)
        }
    }

    /// Places of the ticks, and how many decimals their figures need.
    fn ticks(&self) -> (Vec<f64>, usize) {
        let span = self.to - self.from;
        let power = 10_f64.powf((span / MOST_TICKS).log10().floor());
        let step = nice_step(power, span / MOST_TICKS);
        let first = (self.from / step - 1e-9).ceil() * step;
        let mut ticks = Vec::new();
        let mut place = first;
        while place <= self.to + step * 1e-6 && ticks.len() < 20 {
            ticks.push(place);
            place += step;
        }
        // 2.5 needs one decimal more than its power of ten
        let mut decimals = 0;
        while decimals < 9 && !is_whole(step * 10_f64.powi(decimals)) {
            decimals += 1;
        }
        (ticks, usize::try_from(decimals).unwrap_or(0))
    }
}

fn is_whole(value: f64) -> bool {
    (value - value.round()).abs() < 1e-6 * value.abs().max(1e-3)
}

/// One curve. Only its part inside the axes is drawn.
#[derive(Clone, Debug, PartialEq)]
pub struct Curve {
    /// What it is; empty when there is only one.
    pub name: String,
    /// Along x and y, x rising.
    pub points: Vec<(f64, f64)>,
    /// Drawn dashed, beside the one that matters.
    pub beside: bool,
}

/// A level line across the chart: a limit.
#[derive(Clone, Debug, PartialEq)]
pub struct Level {
    /// Where it lies.
    pub y: f64,
    /// What it is.
    pub name: String,
}

/// Where the numbers typed stand.
#[derive(Clone, Debug, PartialEq)]
pub struct Mark {
    /// Along the bottom.
    pub x: f64,
    /// Up the side.
    pub y: f64,
    /// What stands beside it.
    pub name: String,
}

/// A chart.
#[derive(Clone, Debug, PartialEq)]
pub struct Chart {
    /// What it shows, for people who hear the page.
    pub about: String,
    /// Along the bottom.
    pub x: Axis,
    /// Up the side.
    pub y: Axis,
    /// The curves.
    pub curves: Vec<Curve>,
    /// Limits.
    pub levels: Vec<Level>,
    /// Spots on the curves.
    pub marks: Vec<Mark>,
}

/// A function as a curve of so many straight pieces.
pub fn sampled(from: f64, to: f64, pieces: u32, of: impl Fn(f64) -> f64) -> Vec<(f64, f64)> {
    let step = (to - from) / f64::from(pieces.max(1));
    (0..=pieces)
        .map(|at| from + f64::from(at) * step)
        .map(|x| (x, of(x)))
        .filter(|(x, y)| x.is_finite() && !y.is_nan())
        .collect()
}

impl Chart {
    /// The drawing, to a width in drawing units.
    pub fn drawn(&self, width: f64) -> Drawing {
        let width = width.max(LEAST_WIDTH);
        Laid { chart: self, width }.drawn()
    }
}

/// A chart with the width it is drawn to.
struct Laid<'a> {
    chart: &'a Chart,
    width: f64,
}

impl Deref for Laid<'_> {
    type Target = Chart;
    fn deref(&self) -> &Chart {
        self.chart
    }
}

impl Laid<'_> {
    fn place(&self, x: f64, y: f64) -> Point {
        let across = (x - self.x.from) / (self.x.to - self.x.from);
        let up = (y - self.y.from) / (self.y.to - self.y.from);
        let up = up.clamp(-0.5, 1.5);
        at(
            LEFT + across * (self.width - LEFT - RIGHT),
            HEIGHT - BOTTOM - up * (HEIGHT - TOP - BOTTOM),
        )
    }

    fn holds(&self, x: f64, y: f64) -> bool {
        (self.x.from..=self.x.to).contains(&x) && (self.y.from..=self.y.to).contains(&y)
    }

    fn drawn(&self) -> Drawing {
        let mut shapes = Vec::new();
        self.axes(&mut shapes);
        let levels = || {
            self.levels
                .iter()
                .filter(|level| self.y.from < level.y && level.y <= self.y.to)
        };
        let marks = || self.marks.iter().filter(|mark| self.holds(mark.x, mark.y));
        for level in levels() {
            let y = self.place(self.x.from, level.y).y;
            shapes.push(Shape::Line(
                Class::Level,
                at(LEFT, y),
                at(self.width - RIGHT, y),
            ));
        }
        // names come last and make way for one another: a mark's, a curve's, a limit's
        let mut names = Names::default();
        for mark in marks() {
            names.put(&self.names_of_mark(mark));
        }
        for curve in &self.curves {
            let end = self.curve(&mut shapes, curve);
            if let Some(end) = end.filter(|_| !curve.name.is_empty()) {
                names.put(&names_of_curve(curve, end, self.width));
            }
        }
        for level in levels() {
            names.put(&self.names_of_level(level));
        }
        for mark in marks() {
            let spot = self.place(mark.x, mark.y);
            shapes.push(Shape::Line(Class::Drop, spot, at(spot.x, HEIGHT - BOTTOM)));
            shapes.push(Shape::Circle(Class::Mark, spot, 4.0));
        }
        shapes.extend(names.placed.into_iter().map(Shape::Text));
        let facts: Vec<_> = self
            .marks
            .iter()
            .map(|mark| (mark.name.clone(), self.told(mark)))
            .collect();
        Drawing {
            width: self.width,
            height: HEIGHT,
            shapes,
            label: super::heard(&self.about, &facts),
            facts,
        }
    }

    fn told(&self, mark: &Mark) -> String {
        let written = |axis: &Axis, value: f64| format!("{} {}", significant(value, 3), axis.unit);
        format!(
            "{} at {}",
            written(&self.y, mark.y).trim(),
            written(&self.x, mark.x).trim()
        )
    }

    fn axes(&self, shapes: &mut Vec<Shape>) {
        let (left, right) = (LEFT, self.width - RIGHT);
        let floor = HEIGHT - BOTTOM;
        let (ticks, decimals) = self.y.ticks();
        for tick in ticks {
            let y = self.place(self.x.from, tick).y;
            shapes.push(Shape::Line(Class::Guide, at(left, y), at(right, y)));
            shapes.push(text(
                Class::Tick,
                at(left - 6.0, y + 4.0),
                Anchor::End,
                fixed(tick, decimals),
            ));
        }
        let (ticks, decimals) = self.x.ticks();
        for tick in ticks {
            let x = self.place(tick, self.y.from).x;
            shapes.push(Shape::Line(Class::Ruler, at(x, floor), at(x, floor + 4.0)));
            shapes.push(text(
                Class::Tick,
                at(x, floor + 16.0),
                Anchor::Middle,
                fixed(tick, decimals),
            ));
        }
        shapes.push(Shape::Line(Class::Ruler, at(left, floor), at(right, floor)));
        shapes.push(Shape::Line(Class::Ruler, at(left, TOP), at(left, floor)));
        shapes.push(text(
            Class::Label,
            at(left - 6.0, TOP - 12.0),
            Anchor::Start,
            self.y.caption(),
        ));
        shapes.push(text(
            Class::Label,
            at(right, HEIGHT - 7.0),
            Anchor::End,
            self.x.caption(),
        ));
    }

    fn names_of_level(&self, level: &Level) -> Vec<Text> {
        let y = self.place(self.x.from, level.y).y;
        let right = self.width - RIGHT - 2.0;
        let places = [
            (at(right, y - 4.0), Anchor::End),
            (at(right, y - 20.0), Anchor::End),
            (at(LEFT + 6.0, y - 4.0), Anchor::Start),
            (at(f64::midpoint(LEFT, right), y - 4.0), Anchor::Middle),
        ];
        places
            .map(|(place, anchor)| name(Class::ClashNote, place, anchor, &level.name))
            .into()
    }

    /// Draws the part inside the axes and says where it ends.
    fn curve(&self, shapes: &mut Vec<Shape>, curve: &Curve) -> Option<Point> {
        let class = if curve.beside {
            Class::CurveBeside
        } else {
            Class::Curve
        };
        let mut end = None;
        for run in self.runs(&curve.points) {
            end = run.last().copied();
            shapes.push(Shape::Polyline(class, run));
        }
        end
    }

    /// The curve cut at the floor and the ceiling of the chart.
    fn runs(&self, points: &[(f64, f64)]) -> Vec<Vec<Point>> {
        let mut runs: Vec<Vec<Point>> = vec![Vec::new()];
        for pair in points.windows(2) {
            match self.clipped(pair[0], pair[1]) {
                Some((from, to)) => {
                    let run = runs.last_mut().expect("there is always one");
                    let (from, to) = (self.place(from.0, from.1), self.place(to.0, to.1));
                    if run.last() != Some(&from) {
                        if run.is_empty() {
                            run.push(from);
                        } else {
                            runs.push(vec![from]);
                        }
                    }
                    runs.last_mut().expect("just made").push(to);
                }
                None if runs.last().is_some_and(|run| !run.is_empty()) => runs.push(Vec::new()),
                None => {}
            }
        }
        runs.retain(|run| run.len() > 1);
        runs
    }

    /// The part of a straight piece between floor and ceiling.
    fn clipped(&self, a: (f64, f64), b: (f64, f64)) -> Option<((f64, f64), (f64, f64))> {
        let (low, high) = (self.y.from, self.y.to);
        // what runs off without end is cut like what runs off far
        let far = high + 1e3 * (high - low);
        let (a, b) = ((a.0, a.1.min(far)), (b.0, b.1.min(far)));
        let (mut from, mut to) = (0.0_f64, 1.0_f64);
        let rise = b.1 - a.1;
        for (edge, sign) in [(low, 1.0), (high, -1.0)] {
            let gap = sign * (a.1 - edge);
            let slope = sign * rise;
            if slope == 0.0 {
                if gap < 0.0 {
                    return None;
                }
            } else {
                let cross = -gap / slope;
                if slope > 0.0 {
                    from = from.max(cross);
                } else {
                    to = to.min(cross);
                }
            }
        }
        let along = |t: f64| (a.0 + t * (b.0 - a.0), a.1 + t * rise);
        (from < to).then(|| (along(from), along(to)))
    }

    /// Beside the mark on the side with room, or over it.
    fn names_of_mark(&self, mark: &Mark) -> Vec<Text> {
        if mark.name.is_empty() {
            return Vec::new();
        }
        let spot = self.place(mark.x, mark.y);
        let room = figure::width(&mark.name, Class::Figure);
        let over = |by: f64| (spot.y - by).max(TOP + 9.0);
        if spot.x + 8.0 + room > self.width - RIGHT {
            // a curve that falls toward its mark comes from upper left
            vec![
                name(
                    Class::Figure,
                    at(self.width - RIGHT, over(22.0)),
                    Anchor::End,
                    &mark.name,
                ),
                name(
                    Class::Figure,
                    at(spot.x - 8.0, over(7.0)),
                    Anchor::End,
                    &mark.name,
                ),
            ]
        } else {
            vec![name(
                Class::Figure,
                at(spot.x + 8.0, over(7.0)),
                Anchor::Start,
                &mark.name,
            )]
        }
    }
}

/// Over the end of a curve, or under it.
fn names_of_curve(curve: &Curve, end: Point, width: f64) -> Vec<Text> {
    let room = figure::width(&curve.name, Class::Label);
    let x = end.x.min(width - RIGHT - 2.0).max(LEFT + room + 4.0);
    [end.y - 6.0, end.y + 15.0, end.y - 20.0]
        .map(|y| y.clamp(TOP + 8.0, HEIGHT - BOTTOM - 4.0))
        .map(|y| name(Class::Label, at(x, y), Anchor::End, &curve.name))
        .into()
}

fn name(class: Class, place: Point, anchor: Anchor, words: &str) -> Text {
    Text {
        class,
        at: place,
        anchor,
        words: words.to_owned(),
        halo: true,
        upward: false,
    }
}

/// Names that are placed already.
#[derive(Default)]
struct Names {
    placed: Vec<Text>,
}

impl Names {
    /// Puts a name at the first of its places that is free, or at the first.
    fn put(&mut self, places: &[Text]) {
        let taken: Vec<Rect> = self.placed.iter().map(covered).collect();
        let free = |place: &&Text| !taken.iter().any(|taken| taken.overlaps(&covered(place)));
        self.placed
            .extend(places.iter().find(free).or(places.first()).cloned());
    }
}

#[cfg(test)]
#[path = "chart_tests.rs"]
mod tests;
