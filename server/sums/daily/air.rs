//! Haze: how thick, what is left to see, what is in the air; filling and clearing; reading it off two cards.

use crate::{
    sums::{
        aims::Aim,
        ask::{Ask, Gap, Given, ask},
        sum::{Came, Results, Sum},
    },
    web::parts::Caution,
};
use std::sync::OnceLock;
use stillair_calc::{
    Calculate, Worked,
    air_limits::{AllowedTime, ClearTime},
    drawing::{
        Drawing,
        sum::chart::{Axis, Chart, Curve, Level, Mark, sampled},
    },
    figure::{found, significant},
    haze_fill::{
        Decay, ExtinctionFromStops, FillLevel, FluidUse, HoldRate, LossRateFromTwoReadings, Steady,
        TimeToTarget,
    },
    haze_optics::{Droplets, ExtinctionFromCards, HazeDemand, Path, StageExtinction},
};

pub static HAZE: Sum = Sum {
    slug: "haze",
    title: "Haze: how thick, and what is in the air",
    about: "From how far the water or fog is to reach: haze, contrast along the table, liquid in the air and its share of the limit.",
    aim: Aim::Haze,
    words: "fog smoke extinction visibility reach contrast glycol mg concentration limit peak thickness density meter",
    make_asks: haze_asks,
    kept_asks: OnceLock::new(),
    work: haze,
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

pub static CARDS: Sum = Sum {
    slug: "two-cards",
    title: "Two-card reading",
    about: "Haze from a white and a black card side by side, read in clear air and again through it.",
    aim: Aim::Haze,
    words: "white black card meter reading extinction spot measure haze stops loss",
    make_asks: card_asks,
    kept_asks: OnceLock::new(),
    work: cards,
};

/// Contrast that still shows: Koschmieder's 2 %.
const THRESHOLD: f64 = 0.02;

fn haze_asks() -> Vec<Ask> {
    vec![
        ask::<StageExtinction>("story_visibility_m")
            .label("Water reaches, full size")
            .usually(30.0),
        ask::<StageExtinction>("scale_denominator")
            .label("Scale, 1 to")
            .usually(48.0),
        ask::<Path>("distance_m")
            .label("To the far end of the table")
            .usually(0.5),
        ask::<AllowedTime>("peak_limit_mgpm3")
            .label("Peak limit chosen")
            .usually(40.0),
        ask::<AllowedTime>("twa_limit_mgpm3").label("Eight-hour limit chosen"),
    ]
}

fn extinction(
    g: &Given,
) -> Result<
    (
        StageExtinction,
        Worked<<StageExtinction as Calculate>::Answer>,
    ),
    Gap,
> {
    let stage = StageExtinction {
        story_visibility_m: g.get("story_visibility_m")?,
        scale_denominator: g.get("scale_denominator")?,
        contrast_threshold: THRESHOLD,
    };
    let worked = stage.work()?;
    Ok((stage, worked))
}

fn peak(g: &Given) -> Result<f64, Gap> {
    match g.find("peak_limit_mgpm3")? {
        Some(peak) => Ok(peak),
        None => g.get("peak_limit_mgpm3"),
    }
}

fn demand(
    g: &Given,
    droplets: Droplets,
) -> Result<(HazeDemand, Worked<<HazeDemand as Calculate>::Answer>), Gap> {
    let demand = HazeDemand {
        story_visibility_m: g.get("story_visibility_m")?,
        scale_denominator: g.get("scale_denominator")?,
        contrast_threshold: THRESHOLD,
        mass_extinction_m2pg: None,
        droplets,
        peak_limit_mgpm3: peak(g)?,
    };
    let worked = demand.work()?;
    Ok((demand, worked))
}

fn haze(given: &Given) -> Results {
    let at =
        |g: &Given, distance_m: f64| -> Result<(Path, Worked<<Path as Calculate>::Answer>), Gap> {
            let path = Path {
                extinction_per_m: extinction(g)?.1.extinction_per_m,
                distance_m,
            };
            let worked = path.work()?;
            Ok((path, worked))
        };
    let mut figures = vec![
        given.figure("haze", "Haze", "per m", |g| {
            let (stage, worked) = extinction(g)?;
            Ok(Came::number(worked.extinction_per_m)
                .because(&stage, &worked)
                .words("2 % of the contrast is left at the reach."))
        }),
        given.figure("far", "Contrast left at the far end", "%", |g| {
            let (path, worked) = at(g, g.get("distance_m")?)?;
            Ok(Came::number(worked.contrast_fraction * 100.0).because(&path, &worked))
        }),
        given.figure("meter", "A meter over 250 mm reads", "%", |g| {
            let (path, worked) = at(g, 0.25)?;
            Ok(Came::number(worked.transmittance * 100.0)
                .because(&path, &worked)
                .words("Of what it reads in clear air."))
        }),
    ];
    for (id, name, droplets) in [
        (
            "fine",
            "In the air, fine droplets of 0.7 µm",
            Droplets::Fine,
        ),
        ("coarse", "In the air, droplets of 2 µm", Droplets::Coarse),
    ] {
        figures.push(given.figure(id, name, "mg/m³", |g| {
            let (demand, worked) = demand(g, droplets)?;
            let came = Came::number(worked.concentration_mgpm3).because(&demand, &worked);
            let times = significant(worked.times_peak_limit, 2);
            Ok(if worked.times_peak_limit > 1.0 {
                came.over(format!("{times} times the peak limit: shut tent only, nobody in it without a protection programme run by a competent person."))
            } else {
                came.words(format!("{} % of the peak limit.", significant(worked.times_peak_limit * 100.0, 2)))
            })
        }));
    }
    figures.push(
        given.figure("stay", "A person may stay in the fine haze", "min", |g| {
            let allowed = AllowedTime {
                concentration_mgpm3: demand(g, Droplets::Fine)?.1.concentration_mgpm3,
                twa_limit_mgpm3: g.get("twa_limit_mgpm3")?,
                peak_limit_mgpm3: Some(peak(g)?),
            };
            let worked = allowed.work()?;
            let minutes = worked.minutes_without_protection.0.min(480.0);
            let came = if minutes == 0.0 {
                Came::words_only("not at all")
            } else {
                Came::number(minutes)
            };
            Ok(came
                .because(&allowed, &worked)
                .words("Unprotected, if nothing else is breathed that day."))
        }),
    );
    Results {
        figures,
        cautions: vec![caution(
            demand(given, Droplets::Fine).map(|(_, w)| w.concentration_mgpm3),
            peak(given),
        )],
        drawing: haze_drawing(given).ok(),
        legend: "Share of a thing’s contrast that is left, by its distance from the lens.",
    }
}

fn haze_drawing(g: &Given) -> Result<Drawing, Gap> {
    let sigma = extinction(g)?.1.extinction_per_m;
    let end = g.get("distance_m")?;
    let to = (end * 1.15)
        .max(-THRESHOLD.ln() / sigma * 1.05)
        .min(end * 6.0)
        .max(1e-6);
    let left = |m: f64| (-sigma * m).exp() * 100.0;
    let chart = Chart {
        about: "Contrast left along the table".into(),
        x: Axis::up_to("From the lens", "m", to),
        y: Axis::up_to("Contrast left", "%", 100.0),
        curves: vec![Curve {
            name: String::new(),
            points: sampled(0.0, to, 60, left),
            beside: false,
        }],
        levels: vec![Level {
            y: 2.0,
            name: "lost to the eye".into(),
        }],
        marks: vec![Mark {
            x: end,
            y: left(end),
            name: format!("{} %", significant(left(end), 2)),
        }],
    };
    Ok(chart.drawn())
}

/// The usual caution beside a level of haze.
pub fn caution(level_mgpm3: Result<f64, Gap>, peak_mgpm3: Result<f64, Gap>) -> Caution {
    let common = "Tell everyone before a fill; read the safety data sheet; keep exits and steps in sight; wipe slippery floors; isolating smoke detection needs the building’s written permission and a named fire watch.";
    let body = match (level_mgpm3, &peak_mgpm3) {
        (Ok(mg), Ok(peak)) if mg > *peak => format!(
            "This is {} mg/m³, {} times the peak limit: nobody in the haze without a protection programme run by a competent person. Clear the tent before anyone enters and trust a reading over this figure. {common}",
            found(mg.round()),
            significant(mg / peak, 2)
        ),
        (Ok(mg), Ok(_)) => format!(
            "This is {} mg/m³, below the peak limit chosen. Keep it as low as the shot allows: people nearest the machine have been irritated even under the limits. {common}",
            significant(mg, 2)
        ),
        _ => format!(
            "How much liquid hangs in the air is not known yet: read it before anyone stays in it. {common}"
        ),
    };
    Caution {
        head: "Haze in the air".into(),
        body,
        limit: peak_mgpm3.map_or_else(|_| String::new(), |peak| format!("{} mg/m³ peak", found(peak))),
        authority: "as typed above: the published figures are under “A published limit of what is in the air”".into(),
        ..Caution::default()
    }
}

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
        cautions: vec![caution(given.get("target_mgpm3"), Ok(PEAK_MGPM3))],
        drawing: fill_drawing(given).ok(),
        legend: "Level in the air over the minutes: fill, hold, clear.",
    }
}

/// Peak limit of glycol fog that the notes take when none is chosen, mg/m³ (`reference/data/exposure_limits.csv`).
const PEAK_MGPM3: f64 = 40.0;

fn fill_drawing(g: &Given) -> Result<Drawing, Gap> {
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
    Ok(chart.drawn())
}

fn card_asks() -> Vec<Ask> {
    vec![
        ask::<ExtinctionFromCards>("white_clear")
            .label("White, clear air")
            .hint("Any one scale, lamps unchanged."),
        ask::<ExtinctionFromCards>("black_clear").label("Black, clear air"),
        ask::<ExtinctionFromCards>("white_haze").label("White, in haze"),
        ask::<ExtinctionFromCards>("black_haze").label("Black, in haze"),
        ask::<ExtinctionFromCards>("distance_m")
            .label("From lens to cards")
            .usually(1.0),
        ask::<StageExtinction>("scale_denominator")
            .label("Scale, 1 to")
            .usually(48.0),
        ask::<LossRateFromTwoReadings>("extinction_second_per_m")
            .label("Read again, haze")
            .or_empty("A second reading of haze, machine off, tells what the room loses."),
        ask::<LossRateFromTwoReadings>("minutes_between").label("Minutes later"),
    ]
}

fn read(
    g: &Given,
) -> Result<
    (
        ExtinctionFromCards,
        Worked<<ExtinctionFromCards as Calculate>::Answer>,
    ),
    Gap,
> {
    let cards = ExtinctionFromCards {
        white_clear: g.get("white_clear")?,
        black_clear: g.get("black_clear")?,
        white_haze: g.get("white_haze")?,
        black_haze: g.get("black_haze")?,
        distance_m: g.get("distance_m")?,
    };
    let worked = cards.work()?;
    Ok((cards, worked))
}

fn cards(given: &Given) -> Results {
    let mut figures = vec![
        given.figure("haze", "Haze", "per m", |g| {
            let (cards, worked) = read(g)?;
            Ok(Came::number(worked.extinction_per_m)
                .because(&cards, &worked)
                .words(
                    "The cards’ difference shrinks; the veil falls on both alike and drops out.",
                ))
        }),
        given.figure("left", "Contrast left at the cards", "%", |g| {
            let (cards, _) = read(g)?;
            Ok(Came::number(
                (cards.white_haze - cards.black_haze) / (cards.white_clear - cards.black_clear)
                    * 100.0,
            ))
        }),
        given.figure("reach", "Reach in the story", "m", |g| {
            let sigma = read(g)?.1.extinction_per_m;
            if sigma <= 0.0 {
                return Ok(Came::words_only("no end"));
            }
            let reach = -THRESHOLD.ln() / sigma * g.get("scale_denominator")?;
            Ok(Came::number(reach).words("There 2 % of the contrast is left."))
        }),
        given.figure("tenth", "A tenth of a stop misread makes", "per m", |g| {
            let stops = ExtinctionFromStops {
                stop_drop: 0.1,
                path_m: g.get("distance_m")?,
            };
            let worked = stops.work()?;
            Ok(
                Came::number(worked.extinction_uncertainty_for_tenth_stop_per_m)
                    .because(&stops, &worked)
                    .words("A longer way reads better."),
            )
        }),
    ];
    if given
        .find("extinction_second_per_m")
        .is_ok_and(|second| second.is_some())
    {
        figures.push(
            given.figure("loss", "The room loses", "times an hour", |g| {
                let loss = LossRateFromTwoReadings {
                    extinction_first_per_m: read(g)?.1.extinction_per_m,
                    extinction_second_per_m: g.get("extinction_second_per_m")?,
                    minutes_between: g.get("minutes_between")?,
                };
                let worked = loss.work()?;
                Ok(Came::number(worked.total_loss_per_h).because(&loss, &worked))
            }),
        );
    }
    Results {
        figures,
        ..Results::default()
    }
}
