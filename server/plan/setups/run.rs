//! Every mover of a pass on one stage clock: what is driven, what is moved by hand or by the board, what turns all through.

use super::{
    facts::{Facts, Gap},
    figures::{drive, step, time},
    standing::Standing,
};
use stillair_calc::{
    drawing::run::{Motion, Mover, Run},
    figure::{fixed, found, given},
};

/// How far a hand is off, either way; common practice, no source.
pub const HAND_S: f64 = 0.25;
/// How far a board is off.
const BOARD_S: f64 = 0.02;

/// The run of a pass; none while nothing is driven and nothing is cued.
pub fn run(facts: &Facts<'_>) -> Option<Run> {
    let driven = !matches!(&*facts.setup.driven, "" | "none");
    let cued: Vec<Mover> = facts
        .things
        .iter()
        .filter_map(|t| mover(facts, t))
        .collect();
    if !driven && cued.is_empty() {
        return None;
    }
    let k = time::rate_factor_k(facts).ok()?;
    let ramp_s = if driven {
        drive::ramp_s(facts).unwrap_or(0.0)
    } else {
        0.0
    };
    let mut movers = Vec::new();
    if driven {
        movers.push(rail(facts));
    }
    movers.extend(cued);
    Some(Run {
        ramp_up_s: ramp_s,
        used_s: time::run_s(facts).ok()?,
        ramp_down_s: ramp_s,
        stage_s_per_screen_s: 1.0 / k,
        handle_screen_s: facts.get("handle_frames").ok()? / facts.base_fps(),
        camera_fps: facts.get("shoot_fps").ok()?,
        movers,
    })
}

/// What is driven: where it starts, how fast it runs and what to dial, where it stops.
fn rail(facts: &Facts<'_>) -> Mover {
    let name = match &*facts.setup.driven {
        "turntable" => "Turntable",
        "dolly" => "Dolly",
        _ => "Rail",
    };
    let from = drive::start_mark_mm(facts).map_or_else(
        |_| String::new(),
        |mm| format!("from {}", found(mm.round())),
    );
    let speed = time::model_speed_mps(facts).map_or_else(
        |_| String::new(),
        |mps| format!("{} mm/s", found((mps * 1000.0).round())),
    );
    let dial = drive::dial(facts).map_or_else(
        |_| String::new(),
        |dial| format!(", dial {}", fixed(dial, 1)),
    );
    let stop = stop_mm(facts).map_or_else(
        |_| String::new(),
        |mm| format!("stop; rail {}", found(mm.round())),
    );
    Mover {
        name: name.into(),
        motion: Motion::Ramped,
        words: [from, format!("{speed}{dial}"), stop],
    }
}

/// Where on the rail's tape it stands still again.
fn stop_mm(facts: &Facts<'_>) -> Result<f64, Gap> {
    Ok(
        drive::start_mark_mm(facts)? + drive::rail_needed_mm(facts)?
            - facts.get("rail_spare_mm")?,
    )
}

/// A thing that moves by a cue or all through. What takes the path is carried by what is driven.
fn mover(facts: &Facts<'_>, t: &Standing<'_>) -> Option<Mover> {
    let (spread_s, by) = match &*t.entry.motion {
        "steady" => {
            return Some(Mover {
                name: t.called().to_owned(),
                motion: Motion::Steady,
                words: [String::new(), "turning all through".into(), String::new()],
            });
        }
        "hand" => (HAND_S, "by hand"),
        "board" => (BOARD_S, "by the board"),
        _ => return None,
    };
    let at_s = cue_s(facts, t)?;
    Some(Mover {
        name: t.called().to_owned(),
        motion: Motion::Cue { at_s, spread_s },
        words: [
            String::new(),
            format!("{by} {} ± {spread_s}", fixed(at_s, 2)),
            String::new(),
        ],
    })
}

/// When a cue comes on the stage clock: after the ramp and the first handle, as far in as the screen says.
fn cue_s(facts: &Facts<'_>, t: &Standing<'_>) -> Option<f64> {
    let k = time::rate_factor_k(facts).ok()?;
    let driven = !matches!(&*facts.setup.driven, "" | "none");
    let ramp_s = if driven {
        drive::ramp_s(facts).unwrap_or(0.0)
    } else {
        0.0
    };
    let handle_s = facts.get("handle_frames").ok()? / facts.base_fps() / k;
    Some(ramp_s + handle_s + t.entry.cue_screen_s? / k)
}

/// What a hand's spread comes to on the screen: a sum and words; empty while nothing is cued by hand.
pub fn hand_on_screen(facts: &Facts<'_>) -> Option<(String, String)> {
    facts.things.iter().find(|t| &*t.entry.motion == "hand")?;
    let k = time::rate_factor_k(facts).ok()?;
    let screen_s = HAND_S * k;
    let shown = fixed(screen_s, 2);
    let frames = (screen_s * facts.base_fps()).round();
    Some((
        format!("{} × {} = {shown}", given(HAND_S), step(k)),
        format!("s, {} frames, on the screen.", found(frames)),
    ))
}
