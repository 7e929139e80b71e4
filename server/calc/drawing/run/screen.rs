//! The screen clock under the used part of the run.

use super::super::Class;
use super::super::figure;
use super::super::shape::{Anchor, Rect, Shape, Step, at, strokes, text};
use super::Run;
use super::strip::Clock;

pub(super) fn screen_clock(run: &Run, clock: &Clock, above: f64, y: f64) -> Vec<Shape> {
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
pub(super) fn on_screen_s(run: &Run, stage_s: f64) -> f64 {
    (stage_s - run.ramp_up_s - run.handle_s()) / run.stage_s_per_screen_s
}

pub(super) fn screen_words(run: &Run) -> String {
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
