//! The run: every mover of a pass on one stage clock, the screen clock under the used part.

use std::fmt::Write;

use super::Class;
use super::dimension;
use super::figure;
use super::fit::Form;
use super::glyph;
use super::shape::{
    Anchor, Drawing, Point, Rect, Shape, Step, Value, at, strokes, text, text_over,
};

/// One pass as it runs on the stage. Time 0 is the rail leaving its start mark.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Run {
    /// Seconds from the start mark to full speed.
    pub ramp_up_s: f64,
    /// Seconds of the used part, handles in it.
    pub used_s: f64,
    /// Seconds from the end of the used part to the stop.
    pub ramp_down_s: f64,
    /// Stage seconds that make one second on the screen.
    pub stage_s_per_screen_s: f64,
    /// Handle at each end, in seconds on the screen.
    pub handle_screen_s: f64,
    /// Camera rate.
    pub camera_fps: f64,
    /// What moves, in order.
    pub movers: Vec<Mover>,
}

/// Something that moves in a pass.
#[derive(Clone, Debug, PartialEq)]
pub struct Mover {
    /// What the crew calls it.
    pub name: String,
    /// How it moves.
    pub motion: Motion,
    /// Words at its start, over its used part, and at its end; each may be empty.
    pub words: [String; 3],
}

/// How a mover moves.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Motion {
    /// Ramp, steady over the used part, ramp.
    Ramped,
    /// Turning all through.
    Steady,
    /// A cue at a stage time, good to a spread either way.
    Cue {
        /// When, on the stage clock.
        at_s: f64,
        /// How far a hand may be off, either way.
        spread_s: f64,
    },
}

/// Stage time to x, and the rows.
struct Clock {
    left: f64,
    right: f64,
    first_s: f64,
    last_s: f64,
    row: f64,
    top: f64,
    full: bool,
}

impl Clock {
    fn of(run: &Run, form: Form) -> Clock {
        let whole_s = (run.ramp_up_s + run.used_s + run.ramp_down_s).max(0.1);
        let (left, row) = if form.full() {
            (112.0, 30.0)
        } else {
            (6.0, 40.0)
        };
        Clock {
            left,
            right: form.width() - 4.0,
            first_s: -0.07 * whole_s,
            last_s: 1.05 * whole_s,
            row,
            top: if form.full() { 22.0 } else { 34.0 },
            full: form.full(),
        }
    }

    fn x(&self, stage_s: f64) -> f64 {
        let share = (stage_s - self.first_s) / (self.last_s - self.first_s);
        self.left + share.clamp(0.0, 1.0) * (self.right - self.left)
    }

    fn base(&self, row: usize) -> f64 {
        #[expect(clippy::cast_precision_loss, reason = "a pass has a handful of movers")]
        let below = (row + 1) as f64;
        self.top + below * self.row - 5.0
    }
}

/// Seconds that can be drawn.
fn seconds(value: f64) -> f64 {
    if value.is_finite() {
        value.clamp(0.0, 1.0e5)
    } else {
        0.0
    }
}

impl Run {
    fn bounded(&self) -> Run {
        let ratio = self.stage_s_per_screen_s;
        Run {
            ramp_up_s: seconds(self.ramp_up_s),
            used_s: seconds(self.used_s),
            ramp_down_s: seconds(self.ramp_down_s),
            stage_s_per_screen_s: if ratio.is_finite() {
                ratio.clamp(1.0e-4, 1.0e4)
            } else {
                1.0
            },
            handle_screen_s: seconds(self.handle_screen_s),
            camera_fps: seconds(self.camera_fps),
            movers: self
                .movers
                .iter()
                .map(|mover| Mover {
                    motion: match mover.motion {
                        Motion::Cue { at_s, spread_s } => Motion::Cue {
                            at_s: if at_s.is_finite() {
                                at_s.clamp(-1.0e5, 1.0e5)
                            } else {
                                0.0
                            },
                            spread_s: seconds(spread_s),
                        },
                        steady => steady,
                    },
                    ..mover.clone()
                })
                .collect(),
        }
    }

    fn end_s(&self) -> f64 {
        self.ramp_up_s + self.used_s
    }

    /// Stage seconds of one handle, never more than half the used part.
    fn handle_s(&self) -> f64 {
        (self.handle_screen_s * self.stage_s_per_screen_s).min(self.used_s / 2.0)
    }

    /// Seconds on the screen without handles.
    fn screen_s(&self) -> f64 {
        (self.used_s - 2.0 * self.handle_s()) / self.stage_s_per_screen_s
    }

    fn cues(&self) -> impl Iterator<Item = (&str, f64, f64)> {
        self.movers.iter().filter_map(|mover| match mover.motion {
            Motion::Cue { at_s, spread_s } => Some((mover.name.as_str(), at_s, spread_s)),
            _ => None,
        })
    }
}

/// Draws the run.
pub fn run(run: &Run, form: Form) -> Drawing {
    let run = run.bounded();
    let clock = Clock::of(&run, form);
    let rows_end = clock.base(run.movers.len()) + 5.0;
    let (from, to) = (clock.x(run.ramp_up_s), clock.x(run.end_s()));
    let mut shapes = vec![Shape::Rect(
        Class::Used,
        Rect::of(at(from, clock.top), at(to, rows_end)),
    )];
    shapes.extend(stage_clock(&clock));
    for (row, mover) in run.movers.iter().enumerate() {
        shapes.extend(row_head(&clock, row, &mover.name));
        shapes.extend(mover_line(&run, &clock, row, mover));
    }
    shapes.extend(camera_row(&run, &clock));
    let y = rows_end + 17.0;
    let lengths = [
        (0.0, run.ramp_up_s, "ramp"),
        (run.ramp_up_s, run.end_s(), "used"),
        (run.end_s(), run.end_s() + run.ramp_down_s, "ramp"),
    ];
    for (start_s, end_s, words) in lengths
        .into_iter()
        .filter(|(start_s, end_s, _)| end_s > start_s)
    {
        let value = format!("{words} {}", figure::grouped(end_s - start_s, 2));
        shapes.push(Shape::Dimension(dimension::level(
            (clock.x(start_s), clock.x(end_s)),
            y,
            &value,
            -13.0,
            Value::After,
        )));
    }
    let screen_y = y + if clock.full { 30.0 } else { 42.0 };
    shapes.extend(screen_clock(&run, &clock, y, screen_y));
    Drawing {
        width: form.width(),
        height: screen_y + 24.0,
        shapes,
        label: label(&run),
        facts: facts(&run),
    }
}

fn stage_clock(clock: &Clock) -> Vec<Shape> {
    let name_y = if clock.full { clock.top - 4.0 } else { 11.0 };
    let name_x = if clock.full { 0.0 } else { clock.left };
    let mut shapes = vec![text(
        Class::Caption,
        at(name_x, name_y),
        Anchor::Start,
        "Stage clock, s",
    )];
    let units_per_s = (clock.right - clock.left) / (clock.last_s - clock.first_s);
    let step_s = figure::nice_step(0.1, 44.0 / units_per_s);
    let decimals = usize::from(step_s < 0.95);
    let mut ticks = vec![(at(clock.left, clock.top), at(clock.right, clock.top))];
    for quarter in 0..400_u32 {
        let stage_s = f64::from(quarter) * step_s / 4.0;
        if stage_s > clock.last_s {
            break;
        }
        let (x, whole) = (clock.x(stage_s), quarter % 4 == 0);
        ticks.push((
            at(x, clock.top),
            at(x, clock.top - if whole { 8.0 } else { 4.0 }),
        ));
        if whole {
            shapes.push(text(
                Class::Tick,
                at(x, clock.top - 10.0),
                Anchor::Middle,
                figure::grouped(stage_s, decimals),
            ));
        }
    }
    shapes.push(strokes(Class::Ruler, ticks));
    shapes
}

fn row_head(clock: &Clock, row: usize, name: &str) -> Vec<Shape> {
    let top = clock.base(row) + 5.0 - clock.row;
    let (place, class) = if clock.full {
        (at(0.0, top + clock.row / 2.0 + 5.0), Class::RowName)
    } else {
        (at(clock.left, top + 13.0), Class::Label)
    };
    let words = if clock.full {
        figure::fitted(name, class, clock.left - 6.0)
    } else {
        name.to_owned()
    };
    let mut shapes = vec![text(class, place, Anchor::Start, words)];
    if row > 0 {
        let left = if clock.full { 0.0 } else { clock.left };
        shapes.push(Shape::Line(
            Class::Guide,
            at(left, top),
            at(clock.right, top),
        ));
    }
    shapes
}

fn mover_line(run: &Run, clock: &Clock, row: usize, mover: &Mover) -> Vec<Shape> {
    let base = clock.base(row);
    let (from, to) = (clock.x(run.ramp_up_s), clock.x(run.end_s()));
    let [start_words, used_words, end_words] = &mover.words;
    let mut shapes = Vec::new();
    let mut write = |class: Class, place: Point, anchor: Anchor, words: &str| {
        if !words.is_empty() {
            shapes.push(text_over(class, place, anchor, words));
        }
    };
    let line = match mover.motion {
        Motion::Ramped => {
            let up = base - 16.0;
            let (start, stop) = (clock.x(0.0), clock.x(run.end_s() + run.ramp_down_s));
            if clock.full {
                write(
                    Class::Label,
                    at(start + 9.0, base - 9.0),
                    Anchor::Start,
                    start_words,
                );
                write(
                    Class::Label,
                    at(clock.right, base - 9.0),
                    Anchor::End,
                    end_words,
                );
            }
            // Where the whole does not fit, its last part does: the dial is what a hand needs.
            let room = to - from - 4.0;
            let last = used_words.rsplit(", ").next().unwrap_or_default();
            let whole = figure::width(used_words, Class::Figure) <= room;
            let used_words =
                figure::fitted(if whole { used_words } else { last }, Class::Figure, room);
            write(
                Class::Figure,
                at(f64::midpoint(from, to), base - 4.0),
                Anchor::Middle,
                &used_words,
            );
            let points = [
                at(clock.left, base),
                at(start, base),
                at(from, up),
                at(to, up),
                at(stop, base),
                at(clock.right, base),
            ];
            vec![
                Shape::Polyline(Class::Speed, points.to_vec()),
                glyph::start_mark(at(start, base)),
            ]
        }
        Motion::Steady => {
            write(
                Class::Label,
                at(from + 5.0, base - 5.0),
                Anchor::Start,
                used_words,
            );
            vec![Shape::Line(
                Class::Steady,
                at(clock.left, base - 1.0),
                at(clock.right, base - 1.0),
            )]
        }
        Motion::Cue { at_s, spread_s } => {
            let y = base - 7.0;
            let (early, cue, late) = (
                clock.x(at_s - spread_s),
                clock.x(at_s),
                clock.x(at_s + spread_s),
            );
            let room = clock.right - late - 6.0 >= figure::width(used_words, Class::Label);
            let (x, anchor) = if room {
                (late + 6.0, Anchor::Start)
            } else {
                (early - 6.0, Anchor::End)
            };
            write(Class::Label, at(x, y - 3.0), anchor, used_words);
            vec![
                Shape::Line(Class::Ruler, at(clock.x(0.0), y), at(clock.right, y)),
                Shape::Rect(
                    Class::CueSpread,
                    Rect::of(at(early, y - 6.0), at(late, y + 6.0)),
                ),
                Shape::Line(Class::CueAt, at(cue, y - 9.0), at(cue, y + 9.0)),
            ]
        }
    };
    line.into_iter().chain(shapes).collect()
}

fn camera_row(run: &Run, clock: &Clock) -> Vec<Shape> {
    let row = run.movers.len();
    let base = clock.base(row) - 2.0;
    let mut shapes = row_head(clock, row, "Camera");
    let lead_s = 0.035 * (clock.last_s - clock.first_s);
    let (from, to) = (
        clock.x(clock.first_s + lead_s),
        clock.x(clock.last_s - lead_s),
    );
    shapes.push(Shape::Line(Class::Rolling, at(from, base), at(to, base)));
    let rate = format!("{} fps", crate::figure::given(run.camera_fps));
    shapes.push(text_over(
        Class::Label,
        at(clock.x(run.ramp_up_s) + 5.0, base - 6.0),
        Anchor::Start,
        rate,
    ));
    shapes
}

fn screen_clock(run: &Run, clock: &Clock, above: f64, y: f64) -> Vec<Shape> {
    let (from, to) = (clock.x(run.ramp_up_s), clock.x(run.end_s()));
    let (cut_from_s, cut_to_s) = (run.ramp_up_s + run.handle_s(), run.end_s() - run.handle_s());
    let name = if clock.full {
        at(0.0, y + 4.0)
    } else {
        at(clock.left, y - 14.0)
    };
    let mut shapes = vec![text(Class::Caption, name, Anchor::Start, "Screen clock, s")];
    let mut drops = vec![
        (at(from, above + 3.0), at(from, y)),
        (at(to, above + 3.0), at(to, y)),
    ];
    let mut spreads = Vec::new();
    for (_, at_s, spread_s) in run
        .cues()
        .filter(|cue| (run.ramp_up_s..=run.end_s()).contains(&cue.1))
    {
        drops.push((
            at(clock.x(at_s), clock.top + clock.row),
            at(clock.x(at_s), y),
        ));
        let ends = (
            (at_s - spread_s).max(run.ramp_up_s),
            (at_s + spread_s).min(run.end_s()),
        );
        spreads.push(Shape::Line(
            Class::ScreenSpread,
            at(clock.x(ends.0), y),
            at(clock.x(ends.1), y),
        ));
    }
    shapes.push(strokes(Class::Drop, drops));
    let screen_s = run.screen_s();
    let mut ticks = vec![(at(from, y), at(to, y))];
    let units_per_s = (clock.x(cut_to_s) - clock.x(cut_from_s)) / screen_s.max(1.0e-9);
    let step_s = figure::nice_step(0.1, 20.0 / units_per_s.max(1.0e-9));
    for half in 0..400_u32 {
        let at_s = f64::from(half) * step_s / 2.0;
        if at_s > screen_s + 1.0e-6 {
            break;
        }
        let (x, whole) = (
            clock.x(cut_from_s + at_s * run.stage_s_per_screen_s),
            half % 2 == 0,
        );
        ticks.push((at(x, y), at(x, y + if whole { 7.0 } else { 4.0 })));
        if whole {
            let words = figure::grouped(at_s, usize::from(step_s < 0.95));
            shapes.push(text(Class::Tick, at(x, y + 18.0), Anchor::Middle, words));
        }
    }
    shapes.push(Shape::Path(
        Class::Ruler,
        ticks
            .into_iter()
            .flat_map(|(a, b)| [Step::Move(a), Step::Line(b)])
            .collect(),
    ));
    for (start, end) in [(from, clock.x(cut_from_s)), (clock.x(cut_to_s), to)] {
        shapes.push(Shape::Rect(
            Class::Handle,
            Rect::of(at(start, y - 4.0), at(end, y)),
        ));
    }
    shapes.extend(spreads);
    if clock.full {
        let words = screen_words(run);
        let room = clock.right - to - 8.0;
        shapes.push(text(
            Class::Label,
            at(to + 8.0, y + 4.0),
            Anchor::Start,
            figure::fitted(&words, Class::Label, room),
        ));
    }
    shapes
}

/// Where a stage time falls on the screen clock.
fn on_screen_s(run: &Run, stage_s: f64) -> f64 {
    (stage_s - run.ramp_up_s - run.handle_s()) / run.stage_s_per_screen_s
}

fn screen_words(run: &Run) -> String {
    let cue = run.cues().next().map(|(_, at_s, spread_s)| {
        let spread = figure::grouped(spread_s / run.stage_s_per_screen_s, 2);
        format!(
            "cue {} ± {spread}",
            figure::grouped(on_screen_s(run, at_s), 1)
        )
    });
    let handles = (run.handle_s() > 0.0).then(|| "black: handles".to_owned());
    cue.into_iter()
        .chain(handles)
        .collect::<Vec<_>>()
        .join("; ")
}

fn label(run: &Run) -> String {
    let s = |value: f64| figure::grouped(value, 2);
    let mut words = format!(
        "The run on one stage clock: ramp {} seconds, used {} seconds, ramp {} seconds; {} seconds on the screen",
        s(run.ramp_up_s),
        s(run.used_s),
        s(run.ramp_down_s),
        s(run.screen_s())
    );
    for (name, at_s, spread_s) in run.cues() {
        let _ = write!(
            words,
            "; {name} at {} seconds, plus or minus {}",
            s(at_s),
            s(spread_s)
        );
    }
    words + "."
}

fn facts(run: &Run) -> Vec<(String, String)> {
    let s = |value: f64| format!("{} s", figure::grouped(value, 2));
    let mut facts = vec![
        ("Ramp up".to_owned(), s(run.ramp_up_s)),
        ("Used".to_owned(), s(run.used_s)),
        ("Ramp down".to_owned(), s(run.ramp_down_s)),
        (
            "On the screen, without handles".to_owned(),
            s(run.screen_s()),
        ),
    ];
    for mover in &run.movers {
        let what = match mover.motion {
            Motion::Ramped => "ramp, steady, ramp".to_owned(),
            Motion::Steady => "all through".to_owned(),
            Motion::Cue { at_s, spread_s } => format!("cue at {} ± {}", s(at_s), s(spread_s)),
        };
        facts.push((mover.name.clone(), what));
    }
    facts
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    fn pass() -> Run {
        let mover = |name: &str, motion, used: &str| Mover {
            name: name.to_owned(),
            motion,
            words: [String::new(), used.to_owned(), String::new()],
        };
        Run {
            ramp_up_s: 2.23,
            used_s: 2.0,
            ramp_down_s: 2.23,
            stage_s_per_screen_s: 25.0 / 112.0,
            handle_screen_s: 12.0 / 25.0,
            camera_fps: 112.0,
            movers: vec![
                mover("Rail", Motion::Ramped, "224 mm/s, dial 50.2"),
                mover(
                    "Lantern thread",
                    Motion::Cue {
                        at_s: 3.01,
                        spread_s: 0.12,
                    },
                    "pull by hand",
                ),
            ],
        }
    }

    #[test]
    fn the_screen_clock_counts_the_used_part_without_handles() {
        // 2 s at 112 frames a second is 224 frames; less 24 frames of handles, at 25 a second: 8 s.
        assert!((pass().screen_s() - 8.0).abs() < 1e-9);
        // The cue: 3.01 − 2.23 s on the stage is 87.36 frames; less 12 frames of handle, 75.36 frames: 3.01 s.
        assert!((on_screen_s(&pass(), 3.01) - 3.0144).abs() < 1e-9);
        assert_eq!(screen_words(&pass()), "cue 3.0 ± 0.54; black: handles");
    }

    #[test]
    fn ramps_and_used_part_are_dimensioned_to_scale() {
        let drawing = run(&pass(), Form::Wide);
        let lengths: Vec<_> = drawing
            .shapes
            .iter()
            .filter_map(|shape| match shape {
                Shape::Dimension(d) => Some((d.value.as_str(), d.to.x - d.from.x)),
                _ => None,
            })
            .collect();
        // 6.46 s and 12 % more over 524 units.
        let units_per_s = 524.0 / (6.46 * 1.12);
        assert_eq!(lengths.len(), 3);
        assert_eq!(lengths[1].0, "used 2.00");
        assert!((lengths[1].1 - 2.0 * units_per_s).abs() < 1e-9);
        assert!((lengths[0].1 - 2.23 * units_per_s).abs() < 1e-9);
    }

    proptest! {
        #[test]
        fn no_run_breaks_the_strip(n in prop::array::uniform8(any::<f64>()), narrow in any::<bool>()) {
            let mut any_run = pass();
            (any_run.ramp_up_s, any_run.used_s, any_run.ramp_down_s) = (n[0], n[1], n[2]);
            (any_run.stage_s_per_screen_s, any_run.handle_screen_s, any_run.camera_fps) = (n[3], n[4], n[5]);
            any_run.movers[1].motion = Motion::Cue { at_s: n[6], spread_s: n[7] };
            let drawing = run(&any_run, if narrow { Form::Narrow } else { Form::Wide });
            for shape in &drawing.shapes {
                prop_assert!(shape.numbers().iter().all(|number| number.is_finite()), "{shape:?}");
            }
        }
    }
}
