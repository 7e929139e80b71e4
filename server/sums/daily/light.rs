//! Light needed for a stop, and flicker.

use crate::sums::{
    aims::Aim,
    ask::{Ask, Gap, Given, ask, choose},
    sum::{Came, Draws, Results, Sum},
};
use std::sync::OnceLock;
use stillair_calc::{
    Calculate, Worked,
    drawing::sum::chart::{Axis, Chart, Curve, Level, Mark, sampled},
    exposure::{CardIlluminance, RequiredIlluminance, Shutter},
    figure::fixed,
    flicker::{Beat, FlickerSafeAngles, FlickerSafeRates, ResidualModulation},
    haze_optics::Path,
};

pub static NEEDED: Sum = Sum {
    slug: "light-needed",
    title: "Light needed",
    about: "Lux on the set for a stop, a rate and a shutter, and what haze on the way adds to it.",
    aim: Aim::Light,
    words: "lux foot-candles exposure index iso ei stop shutter rate meter key t-stop",
    make_asks: needed_asks,
    kept_asks: OnceLock::new(),
    work: needed,
};

pub static FLICKER: Sum = Sum {
    slug: "flicker",
    title: "Flicker",
    about: "Which shutter angles swallow whole pulses of the mains, and what any other leaves.",
    aim: Aim::Light,
    words: "mains hertz pulse strobe banding shutter angle lamp frequency swing beat",
    make_asks: flicker_asks,
    kept_asks: OnceLock::new(),
    work: flicker,
};

fn needed_asks() -> Vec<Ask> {
    vec![
        ask::<RequiredIlluminance>("t_number")
            .label("Stop, T")
            .usually(5.6),
        ask::<RequiredIlluminance>("fps").label("Camera"),
        ask::<RequiredIlluminance>("shutter_deg").label("Shutter"),
        ask::<RequiredIlluminance>("iso").label("Film speed, EI"),
        ask::<Path>("extinction_per_m")
            .label("Haze")
            .unit("per m")
            .usually(0.4),
        ask::<Path>("distance_m")
            .label("Lamp’s way through it")
            .usually(1.5),
    ]
}

fn required(
    g: &Given,
) -> Result<
    (
        RequiredIlluminance,
        Worked<<RequiredIlluminance as Calculate>::Answer>,
    ),
    Gap,
> {
    let required = RequiredIlluminance {
        t_number: g.get("t_number")?,
        fps: g.get("fps")?,
        shutter_deg: g.get("shutter_deg")?,
        iso: g.get("iso")?,
        c_constant: INCIDENT_CONSTANT,
    };
    let worked = required.work()?;
    Ok((required, worked))
}

/// Constant of incident meters with a dome (ISO 2720: 320 to 540).
const INCIDENT_CONSTANT: f64 = 330.0;
/// Constant of reflected meters (ISO 2720: 10.6 to 13.4).
const REFLECTED_CONSTANT: f64 = 12.5;

fn needed(given: &Given) -> Results {
    let figures = vec![
        given.figure("exposure", "Each frame is open for", "ms", |g| {
            let shutter = Shutter { fps: g.get("fps")?, shutter_deg: Some(g.get("shutter_deg")?), exposure_s: None };
            let worked = shutter.work()?;
            Ok(Came::number(worked.exposure_s * 1000.0).because(&shutter, &worked))
        }),
        given.figure("lux", "Light on the set", "lx", |g| {
            let (required, worked) = required(g)?;
            Ok(Came::number(worked.illuminance_lx).because(&required, &worked).words("An incident reading at the model, dome to the camera."))
        }),
        given.figure("card", "For a spot reading of a grey card", "lx", |g| {
            let (required, worked) = required(g)?;
            let card = CardIlluminance {
                t_number: required.t_number,
                exposure_s: worked.exposure_s,
                iso: required.iso,
                k_constant: REFLECTED_CONSTANT,
                card_reflectance: 0.18,
            };
            let worked = card.work()?;
            Ok(Came::number(worked.illuminance_lx).because(&card, &worked))
        }),
        given.figure("lost", "Lost in the haze", "stops", |g| {
            let (path, worked) = path(g)?;
            Ok(Came::number(worked.stops_lost).because(&path, &worked))
        }),
        given.figure("before", "So much before the haze", "lx", |g| {
            let clear = required(g)?.1.illuminance_lx / path(g)?.1.transmittance;
            let words = "What the lamp must give at the model if the air were clear. Scattered light gives some back, so measure before adding lamps.";
            Ok(Came::number(clear).words(words))
        }),
    ];
    let hot = required(given).is_ok_and(|(_, worked)| worked.illuminance_lx > HOT_LX);
    Results {
        figures,
        cautions: if hot {
            vec![super::gels::heat()]
        } else {
            Vec::new()
        },
        ..Results::default()
    }
}

/// From here lamps this near soften gels and wax; common practice, no source.
const HOT_LX: f64 = 20_000.0;

fn path(g: &Given) -> Result<(Path, Worked<<Path as Calculate>::Answer>), Gap> {
    let path = Path {
        extinction_per_m: g.get("extinction_per_m")?,
        distance_m: g.get("distance_m")?,
    };
    let worked = path.work()?;
    Ok((path, worked))
}

const MAINS: &[(&str, &str)] = &[("50", "50 Hz"), ("60", "60 Hz")];

fn flicker_asks() -> Vec<Ask> {
    vec![
        choose("mains", "Mains", MAINS),
        ask::<FlickerSafeAngles>("fps").label("Camera").usually(50.0),
        ask::<RequiredIlluminance>("shutter_deg").label("Shutter").usually(172.8),
        ask::<ResidualModulation>("lamp_modulation_depth").label("Lamp pulses by").in_percent().usually(0.4)
            .hint("High less low over high plus low: thread 5 to 15, tube on a coil 30 to 50, bare LED to 100."),
        ask::<Beat>("base_fps").label("Cut runs at").usually(25.0),
    ]
}

fn mains_hz(g: &Given) -> Result<f64, Gap> {
    Ok(if g.word("mains")? == "60" { 60.0 } else { 50.0 })
}

fn residual(
    g: &Given,
    shutter_deg: f64,
) -> Result<
    (
        ResidualModulation,
        Worked<<ResidualModulation as Calculate>::Answer>,
    ),
    Gap,
> {
    let residual = ResidualModulation {
        lamp_modulation_hz: 2.0 * mains_hz(g)?,
        lamp_modulation_depth: g.get("lamp_modulation_depth")?,
        exposure_s: shutter_deg / (360.0 * g.get("fps")?),
    };
    let worked = residual.work()?;
    Ok((residual, worked))
}

fn angles(
    g: &Given,
) -> Result<
    (
        FlickerSafeAngles,
        Worked<<FlickerSafeAngles as Calculate>::Answer>,
    ),
    Gap,
> {
    let angles = FlickerSafeAngles {
        mains_hz: mains_hz(g)?,
        fps: g.get("fps")?,
    };
    let worked = angles.work()?;
    Ok((angles, worked))
}

fn flicker(given: &Given) -> Results {
    let figures = vec![
        given.figure("angles", "Shutter angles without flicker", "°", |g| {
            let (angles, worked) = angles(g)?;
            let shown: Vec<_> = worked
                .angles_deg
                .iter()
                .rev()
                .take(6)
                .map(|a| fixed(*a, 1))
                .collect();
            let came = if shown.is_empty() {
                Came::words_only("none")
            } else {
                Came::words_only(format!("{}°", shown.join("°, ")))
            };
            Ok(came.because(&angles, &worked))
        }),
        given.figure("swing", "Swing at your shutter", "stops", |g| {
            let (residual, worked) = residual(g, g.get("shutter_deg")?)?;
            Ok(Came::number(worked.worst_swing_stops.0).because(&residual, &worked))
        }),
        given.figure("beat", "It comes and goes on screen", "Hz", |g| {
            let beat = Beat {
                lamp_modulation_hz: 2.0 * mains_hz(g)?,
                fps: g.get("fps")?,
                base_fps: g.get("base_fps")?,
            };
            let worked = beat.work()?;
            Ok(Came::number(worked.beat_screen_hz)
                .because(&beat, &worked)
                .words("From 1 to 15 a second shows most."))
        }),
        given.figure("rates", "Rates that hold every angle", "fps", |g| {
            let mains = mains_hz(g)?;
            let rates: Result<Vec<String>, Gap> = (1..=5_u32)
                .map(|pulses| {
                    let rate = FlickerSafeRates {
                        mains_hz: mains,
                        pulses_per_frame: pulses,
                        shutter_deg: None,
                    };
                    Ok(fixed(rate.work()?.fps, 1))
                })
                .collect();
            let rates = rates?.join(", ");
            Ok(Came::words_only(rates).words(format!(
                "2 × {} ÷ 1, 2, 3 and so on: one whole pulse in each frame’s time, or two, or three.",
                fixed(mains, 0)
            )))
        }),
    ];
    Results {
        figures,
        drawing: flicker_drawing(given).ok(),
        legend: "Brightest frame against darkest, for every shutter angle at this rate. Lamps on direct current, or driven far above the mains, do not pulse like this.",
        ..Results::default()
    }
}

/// Stops from which a swing is seen; common practice, no source.
const SEEN_STOPS: f64 = 0.05;

fn flicker_drawing(g: &Given) -> Result<Draws, Gap> {
    let shutter = g.get("shutter_deg")?;
    let at = residual(g, shutter)?.1.worst_swing_stops.0;
    let points = sampled(2.0, 360.0, 360, |deg| {
        residual(g, deg).map_or(f64::NAN, |(_, w)| w.worst_swing_stops.0)
    });
    let top = points
        .iter()
        .filter(|(deg, _)| *deg > 60.0)
        .map(|(_, y)| *y)
        .fold(0.2, f64::max);
    let top = top.min(3.0).max((at * 1.15).min(3.0));
    let mut marks = vec![Mark {
        x: shutter,
        y: at.min(top),
        name: format!("{}°", fixed(shutter, 1)),
    }];
    marks.extend(angles(g)?.1.angles_deg.iter().map(|deg| Mark {
        x: *deg,
        y: 0.0,
        name: String::new(),
    }));
    let chart = Chart {
        about: "Swing from frame to frame against the shutter angle".into(),
        x: Axis::up_to("Shutter", "°", 360.0),
        y: Axis::up_to("Swing", "stops", top),
        curves: vec![Curve {
            name: String::new(),
            points,
            beside: false,
        }],
        levels: vec![Level {
            y: SEEN_STOPS,
            name: "begins to be seen".into(),
        }],
        marks,
    };
    Ok(Box::new(move |width| chart.drawn(width)))
}
