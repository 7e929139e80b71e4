//! How thick the haze is, what is left to see, and what is in the air.

use crate::sums::{
    aims::Aim,
    ask::{Ask, Gap, Given, ask},
    sum::{Came, Draws, Results, Sum},
};
use std::sync::OnceLock;
use stillair_calc::{
    Calculate, Worked,
    air_limits::AllowedTime,
    drawing::sum::chart::{Axis, Chart, Curve, Level, Mark, sampled},
    figure::significant,
    haze_optics::{Droplets, HazeDemand, Path, StageExtinction},
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
        contrast_threshold: super::THRESHOLD,
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
        contrast_threshold: super::THRESHOLD,
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
        cautions: vec![super::caution(
            demand(given, Droplets::Fine).map(|(_, w)| w.concentration_mgpm3),
            peak(given),
        )],
        drawing: haze_drawing(given).ok(),
        legend: "Share of a thing’s contrast that is left, by its distance from the lens.",
    }
}

fn haze_drawing(g: &Given) -> Result<Draws, Gap> {
    let sigma = extinction(g)?.1.extinction_per_m;
    let end = g.get("distance_m")?;
    let to = (end * 1.15)
        .max(-super::THRESHOLD.ln() / sigma * 1.05)
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
    Ok(Box::new(move |width| chart.drawn(width)))
}
