//! What to do before more fluid, and the five ways out above the limit, each with its numbers.

use super::{day::HazeDay, rulers::FINE_UM};
use crate::{
    journal::record::number_or_usual,
    plan::setups::{
        facts::Facts,
        figures::{step, water},
    },
};
use stillair_calc::{
    Calculate as _,
    air_limits::ClearTime,
    drawing::haze::Lungs,
    figure::{given, significant},
    haze_optics::{BackVsFrontMie, PhaseColumn},
};

/// One way out.
pub struct Way {
    /// What to do.
    pub head: &'static str,
    /// Its numbers.
    pub body: String,
    /// The sum.
    pub sum: String,
}

/// Where a lamp behind the haze would stand, degrees off the line to the lens.
const BEHIND_DEG: f64 = 25.0;
/// Share that one sheer black net lets through. Common practice, no source: measure yours.
const NET_PASSES: f64 = 0.6;

/// The five ways out; empty while the fine haze stays under the peak.
pub fn ways(facts: &Facts<'_>, day: &HazeDay<'_>, lungs: &Lungs) -> Vec<Way> {
    let fine = lungs.extinction_per_m / lungs.fine_m2pg * 1000.0;
    if fine <= lungs.peak_mgpm3 {
        return Vec::new();
    }
    let (peak, average) = (lungs.peak_mgpm3, lungs.average_mgpm3);
    let left = |mg: f64| (-mg * lungs.fine_m2pg / 1000.0 * lungs.far_m).exp() * 100.0;
    let under_peak = peak * lungs.fine_m2pg / 1000.0;
    let mut ways = vec![Way {
        head: "Ask for contrast at the far end.",
        body: format!(
            "{} % left at {} m is the most that {} µm haze gives under the peak, {} % under the average.",
            significant(left(peak), 2),
            significant(lungs.far_m, 2),
            given(FINE_UM),
            significant(left(average), 2)
        ),
        sum: format!(
            "100 ÷ 2^({} × {} ÷ ln 2) = {}",
            step(under_peak),
            step(lungs.far_m),
            significant(left(peak), 2)
        ),
    }];
    ways.push(shut(facts, day, average));
    let per_net = -NET_PASSES.ln();
    let nets = (lungs.extinction_per_m * lungs.far_m / per_net)
        .round()
        .max(1.0);
    ways.push(Way {
        head: "Hang nets.",
        body: format!(
            "{} black nets that pass {} % each, one every {} mm, hide as much with clean air. What a net passes is common practice, no source: measure yours.",
            given(nets),
            given(NET_PASSES * 100.0),
            significant(lungs.far_m / nets * 1000.0, 2)
        ),
        sum: format!(
            "{} × {} ÷ −ln({NET_PASSES}) = {}",
            step(lungs.extinction_per_m),
            step(lungs.far_m),
            significant(lungs.extinction_per_m * lungs.far_m / per_net, 3)
        ),
    });
    ways.push(Way {
        head: "Shoot the haze as its own pass.",
        body: "The model clean, with people about; the haze alone after it, the tent shut.".into(),
        sum: String::new(),
    });
    let reach = lungs.threshold * lungs.scale_denominator / under_peak;
    ways.push(Way {
        head: "Shorten the story.",
        body: format!(
            "Under the peak the story sees {} m. End the set nearer, against black: then no haze has to hide what is behind.",
            significant(reach, 2)
        ),
        sum: format!(
            "−ln(0.02) × {} ÷ {} = {}",
            given(lungs.scale_denominator),
            step(under_peak),
            significant(reach, 3)
        ),
    });
    ways
}

fn shut(facts: &Facts<'_>, day: &HazeDay<'_>, average: f64) -> Way {
    let changes = day.air.purge_per_h;
    let mixing = number_or_usual(day.stage, "mixing_factor");
    let level = water::concentration_mgpm3(facts).unwrap_or(0.0);
    let clear = ClearTime {
        concentration_start_mgpm3: level.max(1e-9),
        target_mgpm3: average,
        air_changes_per_h: changes,
        mixing_factor: mixing,
    };
    let minutes = clear.work().ok().map_or(0.0, |found| found.time_min);
    Way {
        head: "Shut the tent, nobody in it.",
        body: format!(
            "Camera and lamps outside. Draw it out of doors {} min before it opens, and then only on a reading. {} air changes an hour, poor mixing {} (common practice, no source).",
            given(minutes.ceil()),
            given(changes),
            given(mixing)
        ),
        sum: format!(
            "ln({} ÷ {}) ÷ ({} ÷ {}) × 60 = {}",
            step(level),
            given(average),
            given(changes),
            given(mixing),
            significant(minutes, 3)
        ),
    }
}

/// A lamp's haze against the same lamp behind it.
pub struct Turned {
    /// The lamp's number and name.
    pub lamp: String,
    /// Degrees off the line to the lens: 0 shines into it.
    pub angle_deg: f64,
    /// Stops that the same haze would be brighter from behind.
    pub stops: f64,
}

/// Each lamp of the setup, the one with most to gain first.
pub fn turned(facts: &Facts<'_>) -> Vec<Turned> {
    let (Some(subject), Some(height)) = (
        facts.find("focus_from_mark_mm"),
        facts.find("camera_height_mm"),
    ) else {
        return Vec::new();
    };
    let mut all: Vec<_> = facts
        .things_of("lamp")
        .filter_map(|thing| {
            let place = thing.place();
            // The way of the light to where the camera looks, and from there to the camera, which stands at the mark.
            let light = [subject - place.x_mm, -place.y_mm, height - place.z_mm];
            let long = light.iter().map(|c| c * c).sum::<f64>().sqrt();
            let cos = if long > 0.0 {
                -light[0] / long
            } else {
                return None;
            };
            let angle_deg = cos.clamp(-1.0, 1.0).acos().to_degrees();
            let pair = BackVsFrontMie {
                column: PhaseColumn::Glycol07,
                back_light_angle_deg: BEHIND_DEG,
                front_light_angle_deg: angle_deg,
            };
            Some(Turned {
                lamp: format!("{} ({})", thing.called(), thing.ring),
                angle_deg,
                stops: pair.work().ok()?.stops,
            })
        })
        .collect();
    all.sort_by(|a, b| b.stops.total_cmp(&a.stops));
    all
}

/// What moving the lamp would do, said before more fluid is.
pub fn move_the_lamp(facts: &Facts<'_>) -> Option<String> {
    let best = turned(facts).into_iter().next()?;
    if best.stops < 0.5 {
        return Some(format!(
            "{} stands {}° off the line to the lens already: the haze is as bright as a lamp makes it.",
            best.lamp,
            significant(best.angle_deg.round(), 3)
        ));
    }
    Some(format!(
        "{} is {}° off the line to the lens. From behind, at {}°, the same haze is {} stops brighter (Mie’s theory, 0.7 µm): a shaft as strong then needs about one part in {} of the haze. It does nothing for how far the water hides.",
        best.lamp,
        significant(best.angle_deg.round(), 3),
        given(BEHIND_DEG),
        significant(best.stops, 2),
        significant(2_f64.powf(best.stops), 2)
    ))
}
