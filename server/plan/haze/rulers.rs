//! The drawings of the sheet: the day's curves, and the rulers of look against lungs.

use super::day::HazeDay;
use crate::plan::{
    Plan,
    production::AirLimits,
    setups::{facts::Facts, figures::water},
};
use std::sync::LazyLock;
use stillair_calc::{
    Calculate as _,
    drawing::haze::{Day as DrawnDay, Limit, Lungs, TopUp, Zone},
    figure::given,
    haze_day::Course,
    haze_optics::{Liquid, MassExtinction},
};

/// Most points of a curve's piece, and minutes from one to the next: a top-up of a few seconds is a straight line.
const MOST_POINTS: f64 = 8.0;
const A_POINT_MIN: f64 = 4.0;
/// Droplets that are called fine and coarse, in micrometres.
pub const FINE_UM: f64 = 0.7;
pub const COARSE_UM: f64 = 2.0;
/// Contrast that still shows: Koschmieder's 2 %.
const THRESHOLD: f64 = 0.02;

/// What a gram of propylene glycol hides in droplets of a size.
pub fn hides_m2pg(diameter_um: f64) -> f64 {
    static FINE: LazyLock<f64> = LazyLock::new(|| worked(FINE_UM));
    static COARSE: LazyLock<f64> = LazyLock::new(|| worked(COARSE_UM));
    if (diameter_um - FINE_UM).abs() < 1e-9 {
        *FINE
    } else {
        *COARSE
    }
}

fn worked(mass_median_diameter_um: f64) -> f64 {
    let sum = MassExtinction {
        liquid: Liquid::PropyleneGlycol,
        mass_median_diameter_um,
        geometric_sd: 1.8,
        wavelength_nm: 550.0,
    };
    sum.work().map_or(5.56, |found| found.mass_extinction_m2pg)
}

/// The day as it is drawn.
pub fn drawn_day(plan: &Plan, day: &HazeDay<'_>, address: impl Fn(&str) -> String) -> DrawnDay {
    let limits = AirLimits::of(plan.production());
    let (peak, average) = (limits.peak_mgpm3, limits.average_mgpm3);
    let zones = day.wants.iter().map(|w| Zone {
        code: w.setup.code.to_string(),
        start_min: w.held.start_min,
        end_min: w.held.end_min,
        wanted_per_m: w.extinction_per_m,
        band_per_m: (
            w.extinction_per_m * (1.0 - day.air.band),
            w.extinction_per_m * (1.0 + day.air.band),
        ),
        address: Some(address(&w.setup.code)),
    });
    let pieces = &day.course.pieces;
    let mut tent: Vec<Vec<(f64, f64)>> = Vec::new();
    let mut last_of = None;
    for piece in pieces {
        // Before the first setup no tent is filled.
        let Some(hides) = piece
            .of
            .and_then(|n| day.wants.get(n))
            .map(|w| w.hides_m2pg)
        else {
            continue;
        };
        let points = sampled(piece.start_min, piece.end_min)
            .map(|m| (m, piece.at(m).tent_mgpm3 * hides / 1000.0));
        // Another setup's droplets hide otherwise: the curve begins anew there.
        if piece.of == last_of && !tent.is_empty() {
            tent.last_mut()
                .into_iter()
                .for_each(|run| run.extend(points.clone()));
        } else {
            tent.push(points.collect());
        }
        last_of = piece.of;
    }
    let mut dose_h = Vec::new();
    let mut room = Vec::new();
    for piece in pieces.iter().filter(|_| day.breathed.is_some()) {
        for minute in sampled(piece.start_min, piece.end_min) {
            let state = piece.at(minute);
            room.push((minute, state.room_mgpm3));
            dose_h.push((minute, state.dose_mg_h_pm3 / 8.0));
        }
    }
    DrawnDay {
        from_min: pieces.first().map_or(480.0, |p| p.start_min),
        to_min: pieces.last().map_or(1080.0, |p| p.end_min),
        zones: zones.collect(),
        tent,
        room,
        average: dose_h,
        limits: vec![
            Limit {
                mgpm3: peak,
                words: format!("{}: peak. {}", given(peak), limits.authority),
            },
            Limit {
                mgpm3: average,
                words: format!("{}: average over eight hours, same source", given(average)),
            },
        ],
        top_ups: numbered(&day.course),
        worst: day
            .breathed
            .as_ref()
            .filter(|b| b.worst_quarter_mgpm3 > 0.0)
            .map(|b| (b.worst_quarter_ends_min, b.worst_quarter_mgpm3)),
    }
}

fn sampled(from: f64, to: f64) -> impl Iterator<Item = f64> + Clone {
    let steps = ((to - from) / A_POINT_MIN).ceil().clamp(1.0, MOST_POINTS);
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "one to eight"
    )]
    let count = steps as u32;
    (0..=count).map(move |n| from + (to - from) * f64::from(n) / steps)
}

fn numbered(course: &Course) -> Vec<TopUp> {
    let numbers = 1_u32..;
    numbers
        .zip(&course.top_ups)
        .map(|(number, t)| TopUp {
            number,
            at_min: t.at_min,
        })
        .collect()
}

/// The rulers for one setup of the day; none while its haze is not known.
pub fn rulers(facts: &Facts<'_>, day: &HazeDay<'_>) -> Option<Lungs> {
    let sigma = water::extinction_per_m(facts).ok().filter(|s| *s > 0.0)?;
    let limits = AirLimits::of(facts.plan.production());
    let far_m = water::way_to_far_end_m(facts)
        .ok()
        .or_else(|| facts.setup.tent_length_mm.map(|mm| mm / 1000.0))?;
    let others = day.wants.iter().filter(|w| w.setup.id != facts.setup.id);
    Some(Lungs {
        extinction_per_m: sigma,
        far_m,
        scale_denominator: facts.find("scale_denominator")?,
        threshold: -THRESHOLD.ln(),
        fine_m2pg: hides_m2pg(FINE_UM),
        coarse_m2pg: hides_m2pg(COARSE_UM),
        diameters_um: (FINE_UM, COARSE_UM),
        peak_mgpm3: limits.peak_mgpm3,
        average_mgpm3: limits.average_mgpm3,
        others: others
            .map(|w| (w.setup.code.to_string(), w.extinction_per_m))
            .collect(),
    })
}
