//! What the motor does: turns and pulses.

use super::{Kind, Told, common, figure, of_drive, speed_mm_per_s, step};
use crate::{
    plan::setups::facts::{Facts, Gap},
    web::parts::Figure,
};
use stillair_calc::{
    Calculate as _, Worked,
    drive::{DrumDrive, drum::DrumTurns},
    figure::{found, given, significant},
};

/// Turns of drum, wheel or table, whose edge runs at the speed that is driven.
fn turns(facts: &Facts<'_>, kind: Kind) -> Result<Worked<DrumTurns>, Gap> {
    Ok(DrumDrive {
        line_speed_mps: speed_mm_per_s(facts)? / 1000.0,
        drum_diameter_m: diameter_mm(facts, kind)? / 1000.0,
        line_diameter_m: 0.0,
        layers_under: 0.0,
        full_steps_per_rev: of_drive(facts, "steps_per_turn")?,
        microsteps: of_drive(facts, "microsteps")?,
        gear_ratio: of_drive(facts, "gear_ratio")?,
    }
    .work()?)
}

/// What runs at the driven speed at its edge: the drum or wheel, or the circle of the arm.
fn diameter_mm(facts: &Facts<'_>, kind: Kind) -> Result<f64, Gap> {
    if kind == Kind::Turntable {
        // The drive has to be there, so that its gap is told first.
        of_drive(facts, "gear_ratio")?;
        return Ok(2.0 * facts.get("arm_radius_mm")?);
    }
    of_drive(facts, "drum_diameter_mm")
}

pub(super) fn figures(facts: &Facts<'_>, kind: Kind) -> Vec<Figure> {
    let (name, words) = match kind {
        Kind::Pulley => (
            "Drum turns",
            "To the middle of the line as wound. Hands clear of drum and line.",
        ),
        Kind::Turntable => ("Table turns", "Keep everyone out of the arm’s circle."),
        Kind::Dolly => ("Wheel turns", "Hands clear of wheels and belts."),
    };
    vec![
        figure(facts, "drum-rpm", "", name, "rpm", |f| {
            let worked = turns(f, kind)?;
            let shown = significant(worked.drum_rpm, 3);
            Ok(Told::new(
                shown.clone(),
                format!(
                    "60 × {} ÷ (π × {}) = {shown}",
                    step(speed_mm_per_s(f)?),
                    given(diameter_mm(f, kind)?)
                ),
                words,
                worked.source,
            ))
        }),
        figure(facts, "motor-rpm", "", "Motor turns", "rpm", |f| {
            let worked = turns(f, kind)?;
            let shown = significant(worked.motor_rpm, 3);
            Ok(Told::new(
                shown.clone(),
                format!(
                    "{} × {} = {shown}",
                    step(worked.drum_rpm),
                    given(of_drive(f, "gear_ratio")?)
                ),
                "Drum or table times the gearing.",
                "",
            ))
        }),
        figure(facts, "pulses", "", "Pulses", "Hz", |f| {
            let worked = turns(f, kind)?;
            let shown = found(worked.pulse_rate_hz.round());
            Ok(Told::new(
                shown.clone(),
                format!(
                    "{} ÷ 60 × {} × {} = {shown}",
                    step(worked.motor_rpm),
                    given(of_drive(f, "steps_per_turn")?),
                    given(of_drive(f, "microsteps")?)
                ),
                "Motor turns, steps and microsteps.",
                "",
            ))
        }),
        figure(
            facts,
            "pulse-travel",
            "",
            "Each pulse moves it",
            "photosites",
            |f| {
                let worked = turns(f, kind)?;
                let per_turn = of_drive(f, "steps_per_turn")? * of_drive(f, "microsteps")?;
                let m = common::magnification_at(f, common::subject_depth_mm(f)?)?;
                let photosite_mm = common::photosite_mm(f)?;
                let photosites = worked.travel_per_pulse_um / 1000.0 * m / photosite_mm;
                let shown = significant(photosites, 2);
                let mut told = Told::new(
                    shown.clone(),
                    format!(
                        "π × {} ÷ ({} × {}) × {} ÷ {} = {shown}",
                        given(diameter_mm(f, kind)?),
                        given(per_turn),
                        given(of_drive(f, "gear_ratio")?),
                        step(m),
                        step(photosite_mm)
                    ),
                    format!(
                        "{} µm of travel, where the model is. Ripple, slack and surge have to stay under one photosite, {} mm there.",
                        significant(worked.travel_per_pulse_um, 2),
                        significant(photosite_mm / m, 2)
                    ),
                    "circumference, and the picture’s scale at the model",
                );
                if photosites > 1.0 {
                    told.over = format!(
                        "The steps are seen: {} microsteps bring them under one.",
                        found((of_drive(f, "microsteps")? * photosites).ceil())
                    );
                }
                Ok(told)
            },
        ),
    ]
}
