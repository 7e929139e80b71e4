//! The run: every mover of a pass on one stage clock, the screen clock under the used part.

mod screen;
mod strip;
#[cfg(test)]
mod tests;

use std::fmt::Write;

use super::figure;

pub use strip::run;

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

/// Seconds that can be drawn.
fn seconds(value: f64) -> f64 {
    if value.is_finite() {
        value.clamp(0.0, 1.0e5)
    } else {
        0.0
    }
}

impl Run {
    pub(super) fn bounded(&self) -> Run {
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

    pub(super) fn end_s(&self) -> f64 {
        self.ramp_up_s + self.used_s
    }

    /// Stage seconds of one handle, never more than half the used part.
    pub(super) fn handle_s(&self) -> f64 {
        (self.handle_screen_s * self.stage_s_per_screen_s).min(self.used_s / 2.0)
    }

    /// Seconds on the screen without handles.
    pub(super) fn screen_s(&self) -> f64 {
        (self.used_s - 2.0 * self.handle_s()) / self.stage_s_per_screen_s
    }

    pub(super) fn cues(&self) -> impl Iterator<Item = (&str, f64, f64)> {
        self.movers.iter().filter_map(|mover| match mover.motion {
            Motion::Cue { at_s, spread_s } => Some((mover.name.as_str(), at_s, spread_s)),
            _ => None,
        })
    }
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
