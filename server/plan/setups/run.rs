//! Every mover of a pass on one stage clock: what is driven, what is moved by hand or by the board, what turns all through.

use super::{
    facts::Facts,
    figures::{
        drive::{self, Kind},
        step, time,
    },
    standing::Standing,
};
use stillair_calc::{
    drawing::run::{Motion, Mover, Run},
    figure::{fixed, found, given},
};

/// How far a hand is off, either way; common practice, no source.
pub const HAND_S: f64 = 0.25;
/// How far a board is off: about a frame of its own clock; common practice, no source.
const BOARD_S: f64 = 0.02;

/// The run of a pass; none while nothing is driven and nothing is cued.
pub fn run(facts: &Facts<'_>) -> Option<Run> {
    let driven = drive::driven(facts);
    let cued: Vec<Mover> = facts
        .things
        .iter()
        .filter_map(|t| mover(facts, t))
        .collect();
    if driven.is_none() && cued.is_empty() {
        return None;
    }
    let first: Vec<Mover> = match driven {
        Some(kind) => vec![driven_mover(facts, kind)],
        None => facts
            .things
            .iter()
            .filter_map(|t| by_path(facts, t))
            .collect(),
    };
    Some(Run {
        ramp_up_s: ramp_s(facts),
        used_s: time::run_s(facts).ok()?,
        ramp_down_s: ramp_s(facts),
        stage_s_per_screen_s: 1.0 / time::rate_factor_k(facts).ok()?,
        handle_screen_s: facts.get("handle_frames").ok()? / facts.base_fps(),
        camera_fps: facts.get("shoot_fps").ok()?,
        movers: first.into_iter().chain(cued).collect(),
    })
}

/// The ramp before the used part: none where nothing is driven.
fn ramp_s(facts: &Facts<'_>) -> f64 {
    match drive::driven(facts) {
        Some(_) => drive::ramp_s(facts).unwrap_or(0.0),
        None => 0.0,
    }
}

/// What is driven: where it starts, how fast it runs and what to dial, where it stops.
fn driven_mover(facts: &Facts<'_>, kind: Kind) -> Mover {
    let tape = |mm: f64| found(mm.round());
    let (name, from, to) = match kind {
        Kind::Turntable => (
            "Turntable",
            drive::start_turn_deg(facts).map(|deg| format!("back {}°", fixed(deg, 1))),
            Ok(String::new()),
        ),
        Kind::Pulley | Kind::Dolly => (
            if kind == Kind::Dolly { "Dolly" } else { "Rail" },
            drive::start_mark_mm(facts).map(|mm| format!("from {}", tape(mm))),
            drive::stop_mm(facts).map(|mm| format!("stops at {}", tape(mm))),
        ),
    };
    let speed = drive::speed_mm_per_s(facts).map(|mm| format!("{} mm/s", found(mm.round())));
    let dial = drive::dial(facts).map(|dial| format!("dial {}", fixed(dial, 1)));
    let used: Vec<_> = speed.into_iter().chain(dial).collect();
    Mover {
        name: name.into(),
        motion: Motion::Ramped,
        words: [
            from.unwrap_or_default(),
            used.join(", "),
            to.unwrap_or_default(),
        ],
    }
}

/// What takes the path while nothing is said to drive it.
fn by_path(facts: &Facts<'_>, t: &Standing<'_>) -> Option<Mover> {
    let speed = drive::speed_mm_per_s(facts)
        .ok()
        .filter(|_| &*t.entry.motion == "path")?;
    Some(Mover {
        name: t.called().to_owned(),
        motion: Motion::Steady,
        words: [
            String::new(),
            format!("{} mm/s, driven by nothing yet", found(speed.round())),
            String::new(),
        ],
    })
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
    // A cue that comes after the cut is seen by nobody; the words say so.
    let late = match facts.find("length_frames") {
        Some(frames) if t.entry.cue_screen_s? * facts.base_fps() > frames => ", after the cut",
        _ => "",
    };
    Some(Mover {
        name: t.called().to_owned(),
        motion: Motion::Cue { at_s, spread_s },
        words: [
            String::new(),
            format!("{by} {} ± {}{late}", fixed(at_s, 2), given(spread_s)),
            String::new(),
        ],
    })
}

/// When a cue comes on the stage clock: after the ramp and the first handle, as far in as the screen says.
fn cue_s(facts: &Facts<'_>, t: &Standing<'_>) -> Option<f64> {
    let k = time::rate_factor_k(facts).ok()?;
    let handle_s = facts.get("handle_frames").ok()? / facts.base_fps() / k;
    Some(ramp_s(facts) + handle_s + t.entry.cue_screen_s? / k)
}

/// What a hand's spread comes to on the screen: a sum and words; none while nothing is cued by hand.
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
