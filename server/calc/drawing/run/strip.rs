//! The run's strip: stage clock, movers, camera, lengths.

use super::super::Class;
use super::super::dimension;
use super::super::figure;
use super::super::fit::Form;
use super::super::glyph;
use super::super::shape::{
    Anchor, Drawing, Point, Rect, Shape, Value, at, strokes, text, text_over,
};
use super::{Motion, Mover, Run, facts, label, screen};

/// Stage time to x, and the rows.
pub(super) struct Clock {
    pub(super) left: f64,
    pub(super) right: f64,
    pub(super) first_s: f64,
    pub(super) last_s: f64,
    pub(super) row: f64,
    pub(super) top: f64,
    pub(super) full: bool,
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

    pub(super) fn x(&self, stage_s: f64) -> f64 {
        let share = (stage_s - self.first_s) / (self.last_s - self.first_s);
        self.left + share.clamp(0.0, 1.0) * (self.right - self.left)
    }

    fn base(&self, row: usize) -> f64 {
        #[expect(clippy::cast_precision_loss, reason = "a pass has a handful of movers")]
        let below = (row + 1) as f64;
        self.top + below * self.row - 5.0
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
    shapes.extend(screen::screen_clock(&run, &clock, y, screen_y));
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
