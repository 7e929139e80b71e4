//! Drive: what turns, how long it takes to be at speed without swinging, where it starts, and what to dial.

use super::{
    Told, common, figure,
    further::{BlankOf, Further, of, of_setup},
    hanging, lens, step, time,
};
use crate::{
    plan::setups::facts::{Facts, Gap},
    web::parts::Figure,
};
use stillair_calc::{
    Calculate as _, Worked,
    drive::{DrumDrive, ParallaxRate, StrobeCheck, TurntableArm, drum::DrumTurns},
    figure::{fixed, found, given, significant},
    giveaway::{ArcDeviation, motion::ArcSeen},
    suspension::ResidualSwing,
};

/// The ledger.
pub const LEDGER: Further = Further {
    id: "drive",
    title: "Drive",
    closed: "nothing is driven",
    needed,
    openers: &["driven", "drive"],
    blanks,
    figures: ledger,
};

fn needed(facts: &Facts<'_>) -> bool {
    facts.setup.drive.is_some() || !matches!(&*facts.setup.driven, "" | "none")
}

/// Whether it is driven in this way.
fn is(facts: &Facts<'_>, driven: &str) -> bool {
    &*facts.setup.driven == driven
}

fn blanks<'a>(facts: &Facts<'a>) -> Vec<BlankOf<'a>> {
    let mut own = vec!["driven", "drive"];
    if is(facts, "turntable") {
        own.push("arm_radius_mm");
    }
    own.extend([
        "ramp_swings",
        "ramp_s",
        "rail_length_mm",
        "rail_tape_mm",
        "rail_spare_mm",
        "rail_height_mm",
    ]);
    let drive = [
        "drum_diameter_mm",
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
    [of_setup(facts, &own), of(facts.drive, &drive)].concat()
}

/// Speed that is driven: the model's, or the camera's on a dolly.
fn speed_mm_per_s(facts: &Facts<'_>) -> Result<f64, Gap> {
    Ok(time::model_speed_mps(facts)? * 1000.0)
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
    if hanging::hangs(facts) && facts.setup.line_drop_mm.is_some() {
        return Ok(facts.get("ramp_swings")? * hanging::period_s(facts)?);
    }
    match facts.setup.ramp_s {
        Some(_) => facts.get("ramp_s"),
        None => Ok(speed_mm_per_s(facts)? / of_drive(facts, "most_acceleration_mm_per_s2")?),
    }
}

/// Rail from the start mark to where it is at speed.
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

/// The drive's own setting for this speed, between two timed runs.
///
/// # Errors
/// What is not written; two runs at one speed.
pub fn dial(facts: &Facts<'_>) -> Result<f64, Gap> {
    let (slow, fast) = (of_drive(facts, "dial_slow")?, of_drive(facts, "dial_fast")?);
    let (v_slow, v_fast) = (
        of_drive(facts, "speed_slow_mm_per_s")?,
        of_drive(facts, "speed_fast_mm_per_s")?,
    );
    if v_fast <= v_slow {
        return Err(Gap::Impossible(
            "The fast run was timed no faster than the slow one: time both again.".into(),
        ));
    }
    Ok(slow + (speed_mm_per_s(facts)? - v_slow) * (fast - slow) / (v_fast - v_slow))
}

/// Rail needed: ramp, used part, ramp, and what is kept clear.
///
/// # Errors
/// What is not written.
pub fn rail_needed_mm(facts: &Facts<'_>) -> Result<f64, Gap> {
    let used_mm = speed_mm_per_s(facts)? * time::run_s(facts)?;
    Ok(2.0 * run_up_mm(facts)? + used_mm + facts.get("rail_spare_mm")?)
}

/// How the way of a turntable bulges against a straight one.
///
/// # Errors
/// What is not written, or no turntable.
pub fn arc(facts: &Facts<'_>) -> Result<Worked<ArcSeen>, Gap> {
    if !is(facts, "turntable") {
        return Err(facts.choose("driven"));
    }
    let depth_mm = common::depth_mm(facts, common::hung(facts)?.place())?;
    Ok(ArcDeviation {
        arm_radius_m: facts.get("arm_radius_mm")? / 1000.0,
        tangential_speed_mps: time::model_speed_mps(facts)?,
        used_stage_seconds: time::run_s(facts)?,
        magnification: common::magnification_at(facts, depth_mm)?,
        photosite_mm: common::photosite_mm(facts)?,
        scale_denominator: facts.get("scale_denominator")?,
    }
    .work()?)
}

/// What the motor does.
fn turns(facts: &Facts<'_>) -> Result<Worked<DrumTurns>, Gap> {
    Ok(DrumDrive {
        line_speed_mps: time::model_speed_mps(facts)?,
        drum_diameter_m: of_drive(facts, "drum_diameter_mm")? / 1000.0,
        line_diameter_m: 0.0,
        layers_under: 0.0,
        full_steps_per_rev: of_drive(facts, "steps_per_turn")?,
        microsteps: of_drive(facts, "microsteps")?,
        gear_ratio: of_drive(facts, "gear_ratio")?,
    }
    .work()?)
}

fn ledger(facts: &Facts<'_>) -> Vec<Figure> {
    // A turntable has no rail; its dial stands here once it was timed.
    let round = is(facts, "turntable");
    let timed = facts.drive.is_some_and(|d| d.dial_slow.is_some());
    let mut all = Vec::new();
    if !round {
        all.push(start(facts));
    }
    if !round || timed {
        all.push(dialled(facts));
    }
    all.extend(motor(facts));
    all.extend(ramp(facts));
    if !round {
        all.push(rail(facts));
    }
    if round {
        all.extend(turntable(facts));
    }
    if is(facts, "dolly") {
        all.push(parallax(facts));
    }
    all.push(figure(
        facts,
        "strobe",
        "2",
        "Crosses the frame in",
        "s",
        |f| {
            let (width, _) = lens::frame_at_focus_mm(f)?;
            let worked = StrobeCheck {
                model_speed_mps: time::model_speed_mps(f)?,
                frame_width_m: width / 1000.0,
                shoot_fps: f.get("shoot_fps")?,
                base_fps: f.base_fps(),
                shutter_deg: f.get("shutter_deg")?,
            }
            .work()?;
            Ok(Told::by(
                significant(worked.crossing_screen_seconds, 2),
                &worked,
                "On the screen; under 7 s edges begin to stutter.",
            ))
        },
    ));
    all
}

fn start(facts: &Facts<'_>) -> Figure {
    figure(facts, "start-mark", "2", "Start mark", "mm", |f| {
        let (tape, speed, ramp) = (f.get("rail_tape_mm")?, speed_mm_per_s(f)?, ramp_s(f)?);
        let shown = found(start_mark_mm(f)?.round());
        let words = if hanging::hangs(f) {
            "On the rail’s tape: where the path begins, less the run-up. The ramp lasts whole swings, so the model arrives still."
        } else {
            "On the rail’s tape: where the path begins, less the run-up."
        };
        let mut told = Told::new(
            shown.clone(),
            format!(
                "{} − {} × {} ÷ 2 = {shown}",
                given(tape),
                step(speed),
                step(ramp)
            ),
            words,
            "",
        );
        if start_mark_mm(f)? < 0.0 {
            told.over = format!(
                "The rail begins too late by {} mm: ramp shorter, or move the path along.",
                found(-start_mark_mm(f)?.floor())
            );
        }
        Ok(told)
    })
}

fn dialled(facts: &Facts<'_>) -> Figure {
    figure(facts, "dial", "2", "Dial", "", |f| {
        let (slow, fast) = (of_drive(f, "dial_slow")?, of_drive(f, "dial_fast")?);
        let (v_slow, v_fast) = (
            of_drive(f, "speed_slow_mm_per_s")?,
            of_drive(f, "speed_fast_mm_per_s")?,
        );
        let (speed, shown) = (speed_mm_per_s(f)?, fixed(dial(f)?, 1));
        let timed = f.drive.map(|d| d.timed_by.to_string()).unwrap_or_default();
        let mut told = Told::new(
            shown.clone(),
            format!(
                "{} + ({} − {}) × ({} − {}) ÷ ({} − {}) = {shown}",
                given(slow),
                step(speed),
                given(v_slow),
                given(fast),
                given(slow),
                given(v_fast),
                given(v_slow)
            ),
            format!(
                "Between two timed runs: dial {} gave {} mm/s, {} gave {}{}.",
                given(slow),
                given(v_slow),
                given(fast),
                given(v_fast),
                if timed.is_empty() {
                    String::new()
                } else {
                    format!(" ({timed})")
                }
            ),
            "",
        );
        if !(v_slow * 0.8..=v_fast * 1.2).contains(&speed) {
            told.over = "Well outside both timed runs: time one nearer this speed.".into();
        }
        Ok(told)
    })
}

fn motor(facts: &Facts<'_>) -> Vec<Figure> {
    vec![
        figure(facts, "drum-rpm", "", "Drum turns", "rpm", |f| {
            let worked = turns(f)?;
            Ok(Told::by(
                found(worked.drum_rpm),
                &worked,
                format!("Motor {} rpm, geared.", significant(worked.motor_rpm, 3)),
            ))
        }),
        figure(facts, "pulses", "", "Pulses", "Hz", |f| {
            let worked = turns(f)?;
            let (rpm, steps, micro) = (
                worked.motor_rpm,
                of_drive(f, "steps_per_turn")?,
                of_drive(f, "microsteps")?,
            );
            let shown = found(worked.pulse_rate_hz.round());
            let depth_mm = common::subject_depth_mm(f)?;
            let photosites = worked.travel_per_pulse_um / 1000.0
                * common::magnification_at(f, depth_mm)?
                / common::photosite_mm(f)?;
            let words = format!(
                "Each pulse travels {} µm, {} of a photosite; ripple has to stay below one.",
                significant(worked.travel_per_pulse_um, 2),
                significant(photosites, 2)
            );
            Ok(Told::new(
                shown.clone(),
                format!(
                    "{} ÷ 60 × {} × {} = {shown}",
                    step(rpm),
                    given(steps),
                    given(micro)
                ),
                words,
                "circumference of the drum",
            ))
        }),
    ]
}

fn ramp(facts: &Facts<'_>) -> Vec<Figure> {
    vec![
        figure(facts, "ramp", "2", "Ramp", "s", |f| {
            let (ramp, speed) = (ramp_s(f)?, speed_mm_per_s(f)?);
            let shown = fixed(ramp, 2);
            let asks = speed / ramp;
            let words = format!(
                "Asks {} mm/s² over {} mm of rail.",
                significant(asks, 3),
                found(run_up_mm(f)?.round())
            );
            let mut told = if hanging::hangs(f) && f.setup.line_drop_mm.is_some() {
                let sum = format!(
                    "{} × {} = {shown}",
                    given(f.get("ramp_swings")?),
                    step(hanging::period_s(f)?)
                );
                Told::new(
                    shown,
                    sum,
                    format!("Whole swings, so that it arrives without one. {words}"),
                    "pendulum under a moving pivot",
                )
            } else {
                Told::new(shown, "", words, "")
            };
            if let Ok(most) = of_drive(f, "most_acceleration_mm_per_s2")
                && asks > most
            {
                told.over = format!(
                    "More than the drive’s {} mm/s²: ramp for {} s.",
                    given(most),
                    significant(speed / most, 2)
                );
            }
            Ok(told)
        }),
        figure(facts, "ramp-swing", "", "Swing it leaves", "°", |f| {
            if !hanging::hangs(f) {
                return Ok(Told::new("0", "", "Nothing hangs.", ""));
            }
            let worked = ResidualSwing {
                pendulum_period_s: hanging::period_s(f)?,
                ramp_time_s: ramp_s(f)?,
                acceleration_mps2: time::model_speed_mps(f)? / ramp_s(f)?,
            }
            .work()?;
            Ok(Told::by(
                fixed(worked.residual_swing_deg, 1),
                &worked,
                "By the ramp’s own timing alone; a jerk adds its own.",
            ))
        }),
    ]
}

fn rail(facts: &Facts<'_>) -> Figure {
    figure(facts, "rail", "2", "Rail needed", "mm", |f| {
        let (up, used, spare) = (
            run_up_mm(f)?,
            speed_mm_per_s(f)? * time::run_s(f)?,
            f.get("rail_spare_mm")?,
        );
        let needed = rail_needed_mm(f)?;
        let shown = found(needed.round());
        let mut told = Told::new(
            shown.clone(),
            format!(
                "2 × {} + {} + {} = {shown}",
                step(up),
                step(used),
                given(spare)
            ),
            "Up to speed, used, down again, and what is kept clear before the stop.",
            "",
        );
        if let Some(has) = f.find("rail_length_mm")
            && needed > has
        {
            told.over = format!(
                "{} mm more than the rail there is.",
                found((needed - has).ceil())
            );
        }
        Ok(told)
    })
}

fn turntable(facts: &Facts<'_>) -> Vec<Figure> {
    vec![
        figure(facts, "arm", "2", "Heading turns by", "°", |f| {
            let worked = TurntableArm {
                arm_radius_m: f.get("arm_radius_mm")? / 1000.0,
                tangential_speed_mps: time::model_speed_mps(f)?,
                used_stage_seconds: time::run_s(f)?,
            }
            .work()?;
            Ok(Told::by(
                found(worked.heading_change_deg),
                &worked,
                format!(
                    "Over the used part, at {} turns a minute.",
                    significant(worked.arm_rpm, 2)
                ),
            ))
        }),
        figure(
            facts,
            "sagitta",
            "2",
            "Its way bulges by",
            "photosites",
            |f| {
                let worked = arc(f)?;
                let words = format!(
                    "{} m at full size, on a turn of {} m. Under one photosite reads as straight.",
                    significant(worked.sagitta_story_m, 2),
                    significant(worked.turn_radius_story_m, 3)
                );
                Ok(Told::by(
                    significant(worked.sagitta_photosites, 2),
                    &worked,
                    words,
                ))
            },
        ),
    ]
}

fn parallax(facts: &Facts<'_>) -> Figure {
    figure(
        facts,
        "parallax",
        "",
        "Near slides past far by",
        "photosites a frame",
        |f| {
            let o = lens::optics(f)?;
            let worked = ParallaxRate {
                dolly_speed_mps: time::model_speed_mps(f)?,
                focal_length_mm: o.focal_length_mm,
                focus_distance_from_entrance_pupil_mm: o.focus_from_pupil_mm,
                near_plane_mm: f.get("nearest_piece_mm")? - o.pupil_from_mark_mm,
                far_plane_mm: f.get("farthest_piece_mm")? - o.pupil_from_mark_mm,
                photosite_mm: common::photosite_mm(f)?,
                fps: f.get("shoot_fps")?,
                pupil_magnification: o.pupil_magnification,
            }
            .work()?;
            Ok(Told::by(
                significant(worked.parallax_photosites_per_frame, 3),
                &worked,
                "Between the nearest and the farthest piece.",
            ))
        },
    )
}
