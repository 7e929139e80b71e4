//! The figures beside the day's curves: what people breathe, when the tent may be opened again, and the fluid of the day.

use super::day::HazeDay;
use crate::{
    journal::record::{is_written, number_or_usual},
    plan::{Plan, production::AirLimits, setups::figures::step},
    web::{
        parts::{Figure, Missing},
        units,
    },
};
use stillair_calc::{
    Calculate as _,
    air_limits::ClearTime,
    figure::{found, given, significant},
    haze_day::Breathed,
};

/// What the people in the room breathe.
pub fn breathed(plan: &Plan, day: &HazeDay<'_>) -> Vec<Figure> {
    let limits = AirLimits::of(plan.production());
    let (peak, average) = (limits.peak_mgpm3, limits.average_mgpm3);
    let mut list = match &day.breathed {
        Some(breathed) => in_the_room(day, breathed, &limits),
        None => vec![no_room(day)],
    };
    list.extend(thickest(day, peak));
    list.extend(back_in(day, average));
    list.push(fluid(day));
    list
}

/// Said in place of the room's figures while its volume is not written.
fn no_room(day: &HazeDay<'_>) -> Figure {
    Figure {
        id: "f-air-average".into(),
        name: "Average over eight hours".into(),
        unit: "mg/m³".into(),
        missing: day.stage.map(|stage| Missing {
            href: format!("#b-{}-volume_m3", stage.id),
            label: "Room volume".into(),
        }),
        because: "No stage is written yet: its room dilutes what leaks out of the tent.".into(),
        ..Figure::default()
    }
}

fn in_the_room(day: &HazeDay<'_>, b: &Breathed, limits: &AirLimits) -> Vec<Figure> {
    let (peak, average) = (limits.peak_mgpm3, limits.average_mgpm3);
    let whose = limits.whose();
    let over = |value: f64, limit: f64, which: &str| {
        if value > limit {
            format!(
                "{} times the {which} limit chosen: nobody in the room without a protection programme run by a competent person.",
                significant(value / limit, 2)
            )
        } else {
            String::new()
        }
    };
    let assumed = day.leak.read.is_none();
    vec![
        Figure {
            id: "f-air-average".into(),
            name: "Average over eight hours".into(),
            value: significant(b.average_8h_mgpm3, 2),
            unit: "mg/m³".into(),
            expression: format!(
                "{} ÷ 8 = {}",
                step(b.dose_mg_h_pm3),
                significant(b.average_8h_mgpm3, 2)
            ),
            because: format!(
                "Level times hours over the day, over eight. Limit {}: {whose}.",
                given(average)
            ),
            source: "29 CFR 1910.1000(d)(1)".into(),
            rests_on_usual: assumed,
            over: over(b.average_8h_mgpm3, average, "eight-hour"),
            ..Figure::default()
        },
        Figure {
            id: "f-air-quarter".into(),
            name: "Worst quarter of an hour".into(),
            value: significant(b.worst_quarter_mgpm3, 2),
            unit: "mg/m³".into(),
            because: format!(
                "Ends {}. Limit {} at any moment, same source.",
                units::minutes_clock(b.worst_quarter_ends_min),
                given(peak)
            ),
            source: "moving average of the two-box model".into(),
            rests_on_usual: assumed,
            over: over(b.worst_quarter_mgpm3, peak, "peak"),
            ..Figure::default()
        },
    ]
}

fn thickest(day: &HazeDay<'_>, peak: f64) -> Option<Figure> {
    let most = day
        .wants
        .iter()
        .max_by(|a, b| a.held.wanted_mgpm3.total_cmp(&b.held.wanted_mgpm3))?;
    let mg = most.held.wanted_mgpm3;
    let shown = found(if mg >= 100.0 { mg.round() } else { mg });
    Some(Figure {
        id: "f-air-tent".into(),
        name: format!("In the tent, {}", most.setup.code),
        expression: format!(
            "{} ÷ {} × 1000 = {shown}",
            step(most.extinction_per_m),
            step(most.hides_m2pg)
        ),
        value: shown,
        unit: "mg/m³".into(),
        because: "Haze over what a gram of such droplets hides; the droplets of a machine are never known better than to a factor of two to four.".into(),
        source: "Mie table, geometric spread 1.8".into(),
        over: if mg > peak {
            format!("{} times the peak limit: treat the tent as a closed vessel.", significant(mg / peak, 2))
        } else {
            String::new()
        },
        ..Figure::default()
    })
}

/// When the tent of the last setup may be opened, by its level and the poor mixing.
fn back_in(day: &HazeDay<'_>, average: f64) -> Option<Figure> {
    let last = day.wants.last()?;
    let mg = last.held.wanted_mgpm3;
    if mg <= average {
        return None;
    }
    let (changes, mixing) = (
        day.air.purge_per_h,
        number_or_usual(day.stage, "mixing_factor"),
    );
    let clear = ClearTime {
        concentration_start_mgpm3: mg,
        target_mgpm3: average,
        air_changes_per_h: changes,
        mixing_factor: mixing,
    };
    let minutes = clear.work().ok()?.time_min;
    let at = last.held.end_min + minutes;
    Some(Figure {
        id: "f-air-back".into(),
        name: format!("Back into the tent of {}", last.setup.code),
        value: units::minutes_clock(at),
        expression: format!(
            "ln({} ÷ {}) ÷ ({} ÷ {}) × 60 = {}",
            step(mg),
            given(average),
            given(changes),
            given(mixing),
            significant(minutes, 3)
        ),
        because: "min after its last take, or when a reading says so: a reading outranks the sum."
            .into(),
        source: "industrial ventilation practice".into(),
        rests_on_usual: !is_written(day.stage, "tent_purge_per_h"),
        ..Figure::default()
    })
}

fn fluid(day: &HazeDay<'_>) -> Figure {
    let litres = day.fluid_l();
    let held = day.stage.and_then(|s| s.fluid_held_l);
    let name = day
        .stage
        .map(|s| s.haze_fluid.to_string())
        .filter(|f| !f.is_empty());
    Figure {
        id: "f-air-fluid".into(),
        name: "Fluid of the day".into(),
        value: significant(litres, 2),
        unit: "l".into(),
        expression: format!(
            "{} ÷ {} ÷ {} ÷ 1000 = {}",
            step(day.course.airborne_g),
            given(number_or_usual(day.stage, "haze_yield")),
            given(number_or_usual(day.stage, "fluid_density_kgpl")),
            significant(litres, 2)
        ),
        because: format!(
            "Grams in the air, over the share that stays there and what a litre weighs. {}",
            match held {
                Some(held) => format!(
                    "In stores: {} l{}.",
                    given(held),
                    name.map(|n| format!(" of {n}")).unwrap_or_default()
                ),
                None => "What is in stores is not written.".into(),
            }
        ),
        source: "mass balance; yield common practice, no source".into(),
        rests_on_usual: !is_written(day.stage, "haze_yield"),
        over: match held {
            Some(held) if held < litres => format!("{} l short.", significant(litres - held, 2)),
            _ => String::new(),
        },
        ..Figure::default()
    }
}

/// A top-up as the table has it.
pub struct TopUpLine {
    pub number: usize,
    pub at: String,
    pub code: String,
    pub fluid_g: String,
    pub run_s: String,
    /// What a meter reads over a quarter of a metre at the lower edge, per cent of clear.
    pub meter: String,
}

/// Way of the meter in the table.
const METER_M: f64 = 0.25;

/// The day's top-ups.
pub fn top_ups(day: &HazeDay<'_>) -> Vec<TopUpLine> {
    let share = number_or_usual(day.stage, "haze_yield");
    day.course
        .top_ups
        .iter()
        .enumerate()
        .filter_map(|(n, t)| {
            let want = day.wants.get(t.of)?;
            let low = want.extinction_per_m * (1.0 - day.air.band);
            Some(TopUpLine {
                number: n + 1,
                at: units::minutes_clock(t.at_min),
                code: want.setup.code.to_string(),
                fluid_g: significant(t.airborne_g / share, 2),
                run_s: given(t.run_s.round().max(1.0)),
                meter: significant((-low * METER_M).exp() * 100.0, 2),
            })
        })
        .collect()
}

/// What the day's thinning rests on, in a sentence.
pub fn thinning(day: &HazeDay<'_>) -> String {
    let total = day.leak.total_per_h;
    let band = day.air.band;
    let minutes = ((1.0 + band) / (1.0 - band)).ln() / total * 60.0;
    let read = match day.leak.read {
        Some(read) => format!("two readings by {}, {}", read.said_by, read.said_at),
        None => "assumed until it is read: two readings with the machine off".to_owned(),
    };
    format!(
        "The haze thins by {} of itself an hour (leak {}, settling and drying {}; {read}). From {} % over to {} % under: ln({} ÷ {}) ÷ {} × 60 = {} min. The machine keeps {} g a minute in the air. The room changes its air {} times an hour while a setup is shot, {} between.",
        significant(total, 2),
        significant(day.air.leak_per_h, 2),
        significant(day.air.settling_per_h, 2),
        given(band * 100.0),
        given(band * 100.0),
        given(1.0 + band),
        given(1.0 - band),
        step(total),
        significant(minutes, 2),
        given(day.air.airborne_gpmin),
        given(day.air.room_shooting_per_h),
        given(day.air.room_between_per_h)
    )
}

/// The day's haze in a line for the call sheet: top-ups by setup, when the last tent may be opened, what is breathed and
/// whose limit that stands against. Empty for a day without haze.
pub fn on_paper(plan: &Plan, day: &HazeDay<'_>) -> String {
    if day.wants.is_empty() {
        return String::new();
    }
    let mut by_setup: Vec<(String, Vec<String>)> = Vec::new();
    for line in top_ups(day) {
        match by_setup.last_mut().filter(|(code, _)| *code == line.code) {
            Some((_, times)) => times.push(line.at),
            None => by_setup.push((line.code, vec![line.at])),
        }
    }
    let top_ups: Vec<_> = by_setup
        .into_iter()
        .map(|(code, times)| format!("{code} {}", times.join(" ")))
        .collect();
    let top_ups = if top_ups.is_empty() {
        "no top-ups".to_owned()
    } else {
        format!("top-ups {}", top_ups.join("; "))
    };
    let AirLimits {
        peak_mgpm3: peak,
        average_mgpm3: average,
        ..
    } = AirLimits::of(plan.production());
    let leak = if day.leak.read.is_some() {
        "leak as read"
    } else {
        "leak assumed: read it"
    };
    let back = back_in(day, average).map_or_else(String::new, |f| {
        format!(" {} {}, and only on a reading.", f.name, f.value)
    });
    let room = day.breathed.as_ref().map_or_else(
        || "Room: its volume is not written.".to_owned(),
        |b| {
            format!(
                "Room: worst 15 min {} of {} mg/m³, day’s average {} of {}.",
                significant(b.worst_quarter_mgpm3, 2),
                given(peak),
                significant(b.average_8h_mgpm3, 2),
                given(average)
            )
        },
    );
    // Whose limits they are stands in the haze's caution on the same sheet.
    format!("{top_ups} ({leak}). {room}{back}")
}
