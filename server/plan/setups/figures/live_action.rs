//! Live action match: where the model camera goes to see as the live-action camera saw.

use super::{
    Told, figure,
    further::{BlankOf, Further, of},
    lens, step,
};
use crate::{
    plan::setups::facts::{Facts, Gap},
    web::parts::Figure,
};
use stillair_calc::{
    Calculate as _, Worked,
    figure::{fixed, found, given, significant},
    lens::{MatchPlate, MatchPlateCamera, ModelCamera, ModelLens},
};

/// The shot's blanks.
const PLATE: &[&str] = &[
    "plate_sensor_width_mm",
    "plate_sensor_height_mm",
    "plate_focal_length_mm",
    "plate_squeeze",
    "plate_height_m",
    "plate_distance_m",
    "plate_tilt_deg",
];

/// The ledger.
pub const LEDGER: Further = Further {
    id: "live-action",
    title: "Live action match",
    closed: "its shot matches no live action",
    needed: |facts| {
        facts.shot.is_some_and(|s| {
            s.plate_focal_length_mm.is_some()
                || s.plate_height_m.is_some()
                || s.plate_distance_m.is_some()
        })
    },
    openers: &[],
    blanks: |facts| -> Vec<BlankOf<'_>> { of(facts.shot, PLATE) },
    figures: ledger,
};

fn lens_wanted(facts: &Facts<'_>) -> Result<Worked<ModelLens>, Gap> {
    Ok(MatchPlate {
        plate_sensor_width_mm: facts.get("plate_sensor_width_mm")?,
        plate_focal_length_mm: facts.get("plate_focal_length_mm")?,
        plate_focus_distance_mm: facts.get("plate_distance_m")? * 1000.0,
        scale_denominator: facts.get("scale_denominator")?,
        model_sensor_width_mm: facts.get("sensor_width_mm")?,
        model_pupil_magnification: facts.get("pupil_magnification")?,
        plate_pupil_magnification: 1.0,
        plate_squeeze: facts.get("plate_squeeze")?,
        model_squeeze: facts.get("squeeze")?,
    }
    .work()?)
}

fn camera_wanted(facts: &Facts<'_>) -> Result<Worked<ModelCamera>, Gap> {
    Ok(MatchPlateCamera {
        plate_camera_height_m: facts.get("plate_height_m")?,
        plate_distance_m: facts.get("plate_distance_m")?,
        plate_tilt_deg: facts.get("plate_tilt_deg")?,
        scale_denominator: facts.get("scale_denominator")?,
    }
    .work()?)
}

/// How much longer or shorter the bench's lens is than the one wanted.
fn against(has: Option<f64>, wanted: f64, unit: &str) -> String {
    match has {
        Some(has) if (has / wanted - 1.0).abs() < 0.005 => {
            format!("The bench has {} {unit}: it fits.", given(has))
        }
        Some(has) => format!(
            "The bench has {} {unit}: {} % {}.",
            given(has),
            significant((has / wanted - 1.0).abs() * 100.0, 2),
            if has > wanted { "more" } else { "less" }
        ),
        None => String::new(),
    }
}

fn ledger(facts: &Facts<'_>) -> Vec<Figure> {
    let mut all = vec![
        figure(
            facts,
            "match-lens",
            "5",
            "Lens that sees the same",
            "mm",
            |f| {
                let worked = lens_wanted(f)?;
                let words = against(
                    f.find("focal_length_mm"),
                    worked.model_focal_length_mm,
                    "mm",
                );
                Ok(Told::by(
                    fixed(worked.model_focal_length_mm, 1),
                    &worked,
                    words,
                ))
            },
        ),
        figure(
            facts,
            "match-distance",
            "5",
            "Pupil to subject",
            "mm",
            |f| {
                let worked = camera_wanted(f)?;
                let mm = worked.model_distance_m * 1000.0;
                let shown = found(mm.round());
                let from_mark = lens::optics(f).map(|o| {
                    format!(
                        "{} mm from the mark, with this lens. ",
                        found((mm + o.pupil_from_mark_mm).round())
                    )
                });
                let words = format!(
                    "{}Perspective is set by the pupil’s place alone.",
                    from_mark.unwrap_or_default()
                );
                let sum = format!(
                    "{} × 1000 ÷ {} = {shown}",
                    given(f.get("plate_distance_m")?),
                    given(f.get("scale_denominator")?)
                );
                Ok(Told::new(shown, sum, words, worked.source))
            },
        ),
    ];
    all.extend(stands(facts));
    all.push(frame(facts));
    all
}

/// How high the pupil stands, and how far it is tilted.
fn stands(facts: &Facts<'_>) -> Vec<Figure> {
    vec![
        figure(
            facts,
            "match-height",
            "5",
            "Pupil above the ground",
            "mm",
            |f| {
                let worked = camera_wanted(f)?;
                let mm = worked.model_camera_height_m * 1000.0;
                let shown = significant(mm, 3);
                let drop = lens::optics(f).map_or(0.0, |o| {
                    o.pupil_from_mark_mm * worked.model_tilt_deg.to_radians().sin()
                });
                let words = format!(
                    "The mark stands {} mm up at that tilt. {}",
                    significant(mm + drop, 3),
                    against(f.find("camera_height_mm"), mm + drop, "mm")
                );
                let sum = format!(
                    "{} × 1000 ÷ {} = {shown}",
                    given(f.get("plate_height_m")?),
                    given(f.get("scale_denominator")?)
                );
                Ok(Told::new(shown, sum, words, worked.source))
            },
        ),
        figure(facts, "match-tilt", "5", "Tilt down", "°", |f| {
            let worked = camera_wanted(f)?;
            let now = f.find("tilt_deg").unwrap_or(0.0);
            let words = if (now - worked.model_tilt_deg).abs() < 0.05 {
                "Angles do not scale; the bench has it.".into()
            } else {
                format!("Angles do not scale; the bench has {}°.", given(now))
            };
            Ok(Told::new(
                given(worked.model_tilt_deg),
                "",
                words,
                worked.source,
            ))
        }),
    ]
}

/// What the live-action frame takes in at the subject.
fn frame(facts: &Facts<'_>) -> Figure {
    figure(
        facts,
        "match-frame",
        "",
        "Frame at the subject, full size",
        "m",
        |f| {
            let (sensor, squeeze, distance, focal) = (
                f.get("plate_sensor_width_mm")?,
                f.get("plate_squeeze")?,
                f.get("plate_distance_m")?,
                f.get("plate_focal_length_mm")?,
            );
            // The live-action lens is far off: its pupil ratio is taken as one.
            let shown = significant(
                sensor * squeeze * (distance * 1000.0 / focal - 1.0) / 1000.0,
                3,
            );
            let sum = format!(
                "{} × {} × ({} × 1000 ÷ {} − 1) ÷ 1000 = {shown}",
                given(sensor),
                given(squeeze),
                given(distance),
                given(focal)
            );
            let model = lens::frame_at_focus_mm(f)
                .map(|(w, _)| w / 1000.0 * f.find("scale_denominator").unwrap_or(1.0));
            let words = model.map_or_else(
                |_| String::new(),
                |m| format!("The bench’s frame at focus stands for {} m.", step(m)),
            );
            Ok(Told::new(shown, sum, words, "thin lens"))
        },
    )
}
