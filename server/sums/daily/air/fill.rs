//! Filling the tent, holding the level, clearing the air.

use crate::sums::{
    aims::Aim,
    ask::{Ask, Gap, Given, ask},
    sum::{Came, Draws, Results, Sum},
};
use std::sync::OnceLock;
use stillair_calc::{
    Calculate, Worked,
    air_limits::ClearTime,
    drawing::sum::chart::{Axis, Chart, Curve, Level, Mark, sampled},
    figure::{found, significant},
    haze_fill::{Decay, FillLevel, FluidUse, HoldRate, Steady, TimeToTarget},
};

pub static FILL: Sum = Sum {
    slug: "fill-and-clear",
    title: "Fill the tent, hold it, clear it",
    about: "How long the machine runs, what holds the level, how much fluid that takes, and when the air is clear again.",
    aim: Aim::Haze,
    words: "fog machine output minutes fluid litres leak air changes decay half-life purge clear fill hold top up",
    make_asks: fill_asks,
    kept_asks: OnceLock::new(),
    work: fill,
};

fn fill_asks() -> Vec<Ask> {
    vec![
        ask::<FillLevel>("airborne_rate_gpmin").label("Machine puts into the air"),
        ask::<FillLevel>("volume_m3")
            .label("Room or tent")
            .usually(60.0),
        ask::<FillLevel>("total_loss_per_h")
            .label("Lost each hour")
            .unit("times")
            .hint("Air changes, settling and what vanishes; measure it below with two readings."),
        ask::<TimeToTarget>("target_mgpm3").label("Level wanted"),
        ask::<HoldRate>("concentration_mgpm3")
            .called("hold_hours")
            .label("Held for")
            .unit("h")
            .usually(2.0),
        ask::<FluidUse>("airborne_yield")
            .label("Of the fluid, stays in the air")
            .in_percent(),
        ask::<ClearTime>("target_mgpm3")
            .called("clear_mgpm3")
            .label("Clear means")
            .usually(2.0),
        ask::<ClearTime>("air_changes_per_h").label("Air changes with the doors open"),
        ask::<ClearTime>("mixing_factor")
            .label("How badly it mixes")
            .hint("1 perfectly, 3 usual, 10 in corners."),
    ]
}

fn time_to(g: &Given) -> Result<(TimeToTarget, Worked<<TimeToTarget as Calculate>::Answer>), Gap> {
    let time = TimeToTarget {
        airborne_rate_gpmin: g.get("airborne_rate_gpmin")?,
        volume_m3: g.get("volume_m3")?,
        total_loss_per_h: g.get("total_loss_per_h")?,
        concentration_start_mgpm3: 0.0,
        target_mgpm3: g.get("target_mgpm3")?,
    };
    let worked = time.work()?;
    Ok((time, worked))
}

fn hold(g: &Given) -> Result<(HoldRate, Worked<<HoldRate as Calculate>::Answer>), Gap> {
    let hold = HoldRate {
        concentration_mgpm3: g.get("target_mgpm3")?,
        total_loss_per_h: g.get("total_loss_per_h")?,
        volume_m3: g.get("volume_m3")?,
    };
    let worked = hold.work()?;
    Ok((hold, worked))
}

fn clear(g: &Given) -> Result<(ClearTime, Worked<<ClearTime as Calculate>::Answer>), Gap> {
    let clear = ClearTime {
        concentration_start_mgpm3: g.get("target_mgpm3")?,
        target_mgpm3: g.get("clear_mgpm3")?,
        air_changes_per_h: g.get("air_changes_per_h")?,
        mixing_factor: g.get("mixing_factor")?,
    };
    let worked = clear.work()?;
    Ok((clear, worked))
}

fn fill(given: &Given) -> Results {
    let figures = vec![
        given.figure("time", "Run the machine for", "min", |g| {
            let (time, worked) = time_to(g)?;
            Ok(Came::number(worked.time_min).because(&time, &worked))
        }),
        given.figure("ends", "Left running it would end at", "mg/m³", |g| {
            let steady = Steady {
                airborne_rate_gpmin: g.get("airborne_rate_gpmin")?,
                volume_m3: g.get("volume_m3")?,
                total_loss_per_h: g.get("total_loss_per_h")?,
            };
            let worked = steady.work()?;
            Ok(Came::number(worked.concentration_steady_mgpm3).because(&steady, &worked))
        }),
        given.figure("hold", "Output that holds it", "g/min", |g| {
            let (hold, worked) = hold(g)?;
            Ok(Came::number(worked.airborne_rate_gpmin).because(&hold, &worked))
        }),
        given.figure("fluid", "Fluid for the fill and the hold", "g", |g| {
            let filled = g.get("airborne_rate_gpmin")? * time_to(g)?.1.time_min;
            let held = hold(g)?.1.airborne_rate_gpmin * 60.0 * g.get("hold_hours")?;
            let fluid = (filled + held) / g.get("airborne_yield")?;
            Ok(Came::number(fluid).words(format!(
                "{} g in the air for the fill and {} g to hold it.",
                significant(filled, 3),
                significant(held, 3)
            )))
        }),
        given.figure("clear", "Clear again after", "min", |g| {
            let (clear, worked) = clear(g)?;
            Ok(Came::number(worked.time_min)
                .because(&clear, &worked)
                .words("Read it before anyone works in there again."))
        }),
    ];
    Results {
        figures,
        cautions: vec![super::caution(given.get("target_mgpm3"), Ok(PEAK_MGPM3))],
        drawing: fill_drawing(given).ok(),
        legend: "Level in the air over the minutes: fill, hold, clear.",
    }
}

/// Peak limit of glycol fog that the notes take when none is chosen, mg/m³ (`reference/data/exposure_limits.csv`).
const PEAK_MGPM3: f64 = 40.0;

fn fill_drawing(g: &Given) -> Result<Draws, Gap> {
    let target = g.get("target_mgpm3")?;
    let (fill_min, hold_min, clear_min) = (
        time_to(g)?.1.time_min,
        g.get("hold_hours")? * 60.0,
        clear(g)?.1.time_min,
    );
    let (rate, volume, loss) = (
        g.get("airborne_rate_gpmin")?,
        g.get("volume_m3")?,
        g.get("total_loss_per_h")?,
    );
    let level = |minutes: f64| {
        FillLevel {
            airborne_rate_gpmin: rate,
            volume_m3: volume,
            total_loss_per_h: loss,
            concentration_start_mgpm3: 0.0,
            time_min: minutes,
        }
        .work()
        .map_or(f64::NAN, |w| w.concentration_mgpm3)
    };
    let vented = g.get("air_changes_per_h")? / g.get("mixing_factor")?;
    let falling = |minutes: f64| {
        Decay {
            concentration_start_mgpm3: target,
            total_loss_per_h: vented,
            time_min: minutes,
        }
        .work()
        .map_or(f64::NAN, |w| w.concentration_mgpm3)
    };
    let held_until = fill_min + hold_min;
    let mut points = sampled(0.0, fill_min, 40, level);
    points.push((held_until, target));
    points.extend(
        sampled(0.0, clear_min * 1.15, 60, falling)
            .into_iter()
            .map(|(x, y)| (x + held_until, y)),
    );
    let chart = Chart {
        about: "Level of haze over time".into(),
        x: Axis::up_to(
            "From the start of the fill",
            "min",
            held_until + clear_min * 1.15,
        ),
        y: Axis::up_to("In the air", "mg/m³", target * 1.2),
        curves: vec![Curve {
            name: String::new(),
            points,
            beside: false,
        }],
        levels: vec![
            Level {
                y: g.get("clear_mgpm3")?,
                name: "clear".into(),
            },
            Level {
                y: PEAK_MGPM3,
                name: "peak limit 40".into(),
            },
        ],
        marks: vec![
            Mark {
                x: fill_min,
                y: target,
                name: format!("{} min", found(fill_min.round())),
            },
            Mark {
                x: held_until + clear_min,
                y: g.get("clear_mgpm3")?,
                name: format!("clear, {} min later", found(clear_min.round())),
            },
        ],
    };
    Ok(Box::new(move |width| chart.drawn(width)))
}
