//! Drive: what turns, how long it takes to be at speed without swinging, where it starts, and what to dial.

mod motor;
mod ramp;
mod track;
mod way;

pub use way::arc;

use super::{
    Told, common, figure,
    further::{BlankOf, Further, of, of_setup},
    hanging, step, time,
};
use crate::{
    plan::setups::facts::{Facts, Gap},
    web::parts::Figure,
};

/// The ledger.
pub const LEDGER: Further = Further {
    id: "drive",
    title: "Drive",
    closed: "nothing is driven",
    needed: |facts| facts.setup.drive.is_some() || !matches!(&*facts.setup.driven, "" | "none"),
    openers: &["driven", "drive"],
    blanks,
    figures: ledger,
};

/// How a setup is driven.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Kind {
    /// A line over pulleys draws the model along a rail.
    Pulley,
    /// An arm carries the model round.
    Turntable,
    /// The camera runs on a track.
    Dolly,
}

/// How it is driven, if it is.
pub fn kind(facts: &Facts<'_>) -> Option<Kind> {
    match &*facts.setup.driven {
        "pulley" => Some(Kind::Pulley),
        "turntable" => Some(Kind::Turntable),
        "dolly" => Some(Kind::Dolly),
        _ => None,
    }
}

/// How it is driven in this pass: as the setup says, unless the shot stands still.
pub fn driven(facts: &Facts<'_>) -> Option<Kind> {
    kind(facts).filter(|_| !stands_still(facts))
}

/// Whether nothing travels in this pass: a full-size speed of 0, or none in a shot that stands still.
fn stands_still(facts: &Facts<'_>) -> bool {
    match facts.find("story_speed_mps") {
        Some(speed) => speed <= 0.0,
        None => facts.shot.is_some_and(|s| &*s.travel == "still"),
    }
}

/// Whether the ramp has to last whole swings: something hangs from what is driven, and its lines are known.
fn ramp_in_swings(facts: &Facts<'_>) -> bool {
    carried_hangs(facts) && facts.setup.line_drop_mm.is_some()
}

/// Whether what is driven carries something that hangs. A dolly carries the camera.
fn carried_hangs(facts: &Facts<'_>) -> bool {
    kind(facts) != Some(Kind::Dolly) && hanging::hangs(facts)
}

fn blanks<'a>(facts: &Facts<'a>) -> Vec<BlankOf<'a>> {
    let kind = kind(facts);
    let mut own = vec!["driven", "drive"];
    if kind == Some(Kind::Turntable) {
        own.push("arm_radius_mm");
    }
    if carried_hangs(facts) {
        own.push("ramp_swings");
    }
    if !ramp_in_swings(facts) {
        own.push("ramp_s");
    }
    if kind != Some(Kind::Turntable) {
        own.extend(["rail_length_mm", "rail_tape_mm", "rail_spare_mm"]);
    }
    if kind == Some(Kind::Pulley) {
        own.push("rail_height_mm");
    }
    // A turntable's gearing goes to its table, so it has no drum.
    let drum: &[&str] = if kind == Some(Kind::Turntable) {
        &[]
    } else {
        &["drum_diameter_mm"]
    };
    let motor = [
        "steps_per_turn",
        "microsteps",
        "gear_ratio",
        "most_acceleration_mm_per_s2",
        "dial_slow",
        "speed_slow_mm_per_s",
        "dial_fast",
        "speed_fast_mm_per_s",
        "timed_by",
    ];
    [
        of_setup(facts, &own),
        of(facts.drive, drum),
        of(facts.drive, &motor),
    ]
    .concat()
}

/// Speed that is driven: the model's, or the camera's own on a dolly, by the full-size speed of the shot.
///
/// # Errors
/// What is not written; nothing travels.
pub fn speed_mm_per_s(facts: &Facts<'_>) -> Result<f64, Gap> {
    let speed = time::model_speed_mps(facts)? * 1000.0;
    if speed > 0.0 {
        Ok(speed)
    } else {
        Err(Gap::Impossible(
            "Nothing travels: the full-size speed of this pass is 0.".into(),
        ))
    }
}

/// A number of the drive in stores.
fn of_drive(facts: &Facts<'_>, name: &str) -> Result<f64, Gap> {
    let drive = facts.drive.ok_or_else(|| facts.choose("drive"))?;
    facts.number_of(drive, name)
}

/// Seconds from the start mark to full speed: whole swings of what hangs, else as written, else as fast as the drive may.
///
/// # Errors
/// What is not written.
pub fn ramp_s(facts: &Facts<'_>) -> Result<f64, Gap> {
    if ramp_in_swings(facts) {
        return Ok(facts.get("ramp_swings")? * hanging::period_s(facts)?);
    }
    if facts.setup.ramp_s.is_some() || facts.drive.is_none() {
        return facts.get("ramp_s");
    }
    Ok(speed_mm_per_s(facts)? / of_drive(facts, "most_acceleration_mm_per_s2")?)
}

/// Way from the start mark to where it is at speed, along the rail or round the arm.
///
/// # Errors
/// What is not written.
pub fn run_up_mm(facts: &Facts<'_>) -> Result<f64, Gap> {
    Ok(speed_mm_per_s(facts)? * ramp_s(facts)? / 2.0)
}

/// Where on the rail's tape the ramp begins.
///
/// # Errors
/// What is not written.
pub fn start_mark_mm(facts: &Facts<'_>) -> Result<f64, Gap> {
    Ok(facts.get("rail_tape_mm")? - run_up_mm(facts)?)
}

/// Where on the rail's tape it stands still again.
///
/// # Errors
/// What is not written.
pub fn stop_mm(facts: &Facts<'_>) -> Result<f64, Gap> {
    Ok(facts.get("rail_tape_mm")? + used_mm(facts)? + run_up_mm(facts)?)
}

/// How far an arm is turned back from where the path begins.
///
/// # Errors
/// What is not written.
pub fn start_turn_deg(facts: &Facts<'_>) -> Result<f64, Gap> {
    Ok((run_up_mm(facts)? / facts.get("arm_radius_mm")?).to_degrees())
}

/// Way at speed while the camera uses it.
fn used_mm(facts: &Facts<'_>) -> Result<f64, Gap> {
    Ok(speed_mm_per_s(facts)? * time::run_s(facts)?)
}

/// Rail needed: ramp, used part, ramp, and what is kept clear.
///
/// # Errors
/// What is not written.
pub fn rail_needed_mm(facts: &Facts<'_>) -> Result<f64, Gap> {
    Ok(2.0 * run_up_mm(facts)? + used_mm(facts)? + facts.get("rail_spare_mm")?)
}

/// The two timed runs of a drive: dial and speed of each.
struct Timed {
    dial: (f64, f64),
    speed: (f64, f64),
}

fn timed(facts: &Facts<'_>) -> Result<Timed, Gap> {
    let timed = Timed {
        dial: (of_drive(facts, "dial_slow")?, of_drive(facts, "dial_fast")?),
        speed: (
            of_drive(facts, "speed_slow_mm_per_s")?,
            of_drive(facts, "speed_fast_mm_per_s")?,
        ),
    };
    if timed.speed.1 > timed.speed.0 {
        Ok(timed)
    } else {
        Err(Gap::Impossible(
            "The fast run was timed no faster than the slow one: time both again.".into(),
        ))
    }
}

/// The drive's own setting for this speed, between two timed runs.
///
/// # Errors
/// What is not written; two runs at one speed.
pub fn dial(facts: &Facts<'_>) -> Result<f64, Gap> {
    let (speed, t) = (speed_mm_per_s(facts)?, timed(facts)?);
    Ok(t.dial.0 + (speed - t.speed.0) * (t.dial.1 - t.dial.0) / (t.speed.1 - t.speed.0))
}

fn ledger(facts: &Facts<'_>) -> Vec<Figure> {
    let Some(kind) = kind(facts) else {
        return vec![figure(facts, "driven", "", "Driven by", "", |f| {
            Err(f.choose("driven"))
        })];
    };
    if stands_still(facts) {
        return vec![figure(facts, "driven", "2", "Driven at", "mm/s", |_| {
            Ok(Told::new(
                "0",
                "",
                "The shot stands still: nothing is driven in this pass.",
                "",
            ))
        })];
    }
    let mut all = vec![track::start(facts, kind), track::dialled(facts)];
    all.extend(motor::figures(facts, kind));
    all.extend(ramp::figures(facts));
    match kind {
        Kind::Turntable => all.extend(way::turntable(facts)),
        Kind::Pulley => all.extend(track::rail(facts)),
        Kind::Dolly => {
            all.extend(track::rail(facts));
            all.push(way::parallax(facts));
        }
    }
    all.push(way::crossing(facts));
    all
}
