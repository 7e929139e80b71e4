//! Where it starts and stops, how much rail that takes, and what to dial.

use super::{
    Kind, Told, dial, figure, of_drive, rail_needed_mm, ramp_in_swings, ramp_s, run_up_mm,
    speed_mm_per_s, start_mark_mm, start_turn_deg, step, stop_mm, timed, used_mm,
};
use crate::{
    plan::setups::facts::{Facts, Gap},
    web::parts::Figure,
};
use stillair_calc::figure::{fixed, found, given, significant};

/// Runs timed this much slower or faster than needed still say what to dial; common practice, no source.
const NEAR_TIMED: std::ops::RangeInclusive<f64> = 0.8..=1.2;

/// Where the ramp begins: on the rail's tape, or as a turn of the arm.
pub(super) fn start(facts: &Facts<'_>, kind: Kind) -> Figure {
    if kind == Kind::Turntable {
        return figure(
            facts,
            "start-mark",
            "2",
            "Start mark, turn back",
            "°",
            start_turn,
        );
    }
    figure(facts, "start-mark", "2", "Start mark", "mm", start_on_tape)
}

/// Why the ramp is as long as it is.
fn why(facts: &Facts<'_>) -> &'static str {
    if ramp_in_swings(facts) {
        " The ramp lasts whole swings, so the model arrives still."
    } else {
        ""
    }
}

fn start_on_tape(f: &Facts<'_>) -> Result<Told, Gap> {
    let mark = start_mark_mm(f)?;
    let shown = found(mark.round());
    let mut told = Told::new(
        shown.clone(),
        format!(
            "{} − {} × {} ÷ 2 = {shown}",
            given(f.get("rail_tape_mm")?),
            step(speed_mm_per_s(f)?),
            step(ramp_s(f)?)
        ),
        format!(
            "On the rail’s tape: where the path begins, less the run-up.{}",
            why(f)
        ),
        "kinematics",
    );
    if mark < 0.0 {
        told.over = format!(
            "The rail begins {} mm too late: ramp shorter, or begin the path that much later on it.",
            found(-mark.floor())
        );
    }
    Ok(told)
}

fn start_turn(f: &Facts<'_>) -> Result<Told, Gap> {
    let shown = fixed(start_turn_deg(f)?, 1);
    Ok(Told::new(
        shown.clone(),
        format!(
            "{} × {} ÷ 2 ÷ {} × 180 ÷ π = {shown}",
            step(speed_mm_per_s(f)?),
            step(ramp_s(f)?),
            given(f.get("arm_radius_mm")?)
        ),
        format!("From where the path begins, against its turn.{}", why(f)),
        "kinematics",
    ))
}

pub(super) fn dialled(facts: &Facts<'_>) -> Figure {
    figure(facts, "dial", "2", "Dial", "", |f| {
        let (t, speed) = (timed(f)?, speed_mm_per_s(f)?);
        let shown = fixed(dial(f)?, 1);
        let (slow, fast) = (given(t.speed.0), given(t.speed.1));
        let (dial_slow, dial_fast) = (given(t.dial.0), given(t.dial.1));
        let by = match f.drive.map(|d| d.timed_by.to_string()) {
            Some(by) if !by.is_empty() => format!(" ({by})"),
            _ => String::new(),
        };
        let mut told = Told::new(
            shown.clone(),
            format!(
                "{dial_slow} + ({} − {slow}) × ({dial_fast} − {dial_slow}) ÷ ({fast} − {slow}) = {shown}",
                step(speed)
            ),
            format!(
                "Between two timed runs: dial {dial_slow} gave {slow} mm/s, {dial_fast} gave {fast}{by}."
            ),
            "",
        );
        let outside =
            speed < t.speed.0 * NEAR_TIMED.start() || speed > t.speed.1 * NEAR_TIMED.end();
        if outside {
            told.over = format!(
                "Well outside both timed runs: time one near {} mm/s.",
                significant(speed, 2)
            );
        }
        Ok(told)
    })
}

/// What the way takes of a rail or a track, and where it ends.
pub(super) fn rail(facts: &Facts<'_>) -> Vec<Figure> {
    vec![
        figure(facts, "rail", "2", "Rail needed", "mm", |f| {
            let needed = rail_needed_mm(f)?;
            let shown = found(needed.round());
            let mut told = Told::new(
                shown.clone(),
                format!(
                    "2 × {} + {} + {} = {shown}",
                    step(run_up_mm(f)?),
                    step(used_mm(f)?),
                    given(f.get("rail_spare_mm")?)
                ),
                "Up to speed, used, down again, and what is kept clear before the stop. Limit switches at both ends.",
                "kinematics",
            );
            if let Some(has) = f.find("rail_length_mm")
                && needed > has
            {
                told.over = format!(
                    "{} mm more than the rail there is.{}",
                    found((needed - has).ceil()),
                    shorter(f, needed - has)
                );
            }
            Ok(told)
        }),
        figure(facts, "stop-mark", "2", "Stops at", "mm", |f| {
            let stop = stop_mm(f)?;
            let shown = found(stop.round());
            let mut told = Told::new(
                shown.clone(),
                format!(
                    "{} + {} + {} = {shown}",
                    given(f.get("rail_tape_mm")?),
                    step(used_mm(f)?),
                    step(run_up_mm(f)?)
                ),
                "On the rail’s tape: where the path begins, the used part, and the run-down.",
                "kinematics",
            );
            let needed = rail_needed_mm(f)?;
            if let Some(has) = f.find("rail_length_mm")
                && needed <= has
                && stop + f.get("rail_spare_mm")? > has
            {
                let past = (stop + f.get("rail_spare_mm")? - has).ceil();
                told.over = format!(
                    "With its spare that is {} mm past the end of the rail: begin the path at {} mm on the tape.",
                    found(past),
                    found((f.get("rail_tape_mm")? - past).floor())
                );
            }
            Ok(told)
        }),
    ]
}

/// What ramp would make the way fit, where one can that the drive can do.
fn shorter(f: &Facts<'_>, over_mm: f64) -> String {
    let (Ok(speed), Ok(ramp)) = (speed_mm_per_s(f), ramp_s(f)) else {
        return String::new();
    };
    let fits_s = ramp - over_mm / speed;
    let can_s = of_drive(f, "most_acceleration_mm_per_s2").map_or(0.0, |most| speed / most);
    if fits_s > can_s && !ramp_in_swings(f) {
        format!(
            " A ramp of {} s fits.",
            fixed((fits_s * 100.0).floor() / 100.0, 2)
        )
    } else {
        " Use less of the run, or find more rail.".into()
    }
}
