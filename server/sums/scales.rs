//! The sheet on which a scale is chosen: candidates side by side, with everything that hangs on the scale.

use super::ask::{Ask, Gap, Given, ask};
use super::daily::lens::unit;
use super::quantity;
use super::sum::earned;
use std::sync::{Arc, LazyLock};
use stillair_calc::{
    Calculate as _,
    drawing::{
        Drawing,
        sum::scales::{At, side_by_side},
    },
    exposure::RequiredIlluminance,
    figure::{found, significant},
    focus::Airy,
    giveaway::Detail,
    haze_optics::{Droplets, HazeDemand, StageExtinction},
    materials::PieceMass,
    scale_time::{ApparentGravity, Fall, GRAVITY_MPS2, ShotConversion},
    story_stop::StoryStop,
    suspension::LineMargin,
};

/// Its address.
pub const HREF: &str = "/sums/scales";
/// Its heading.
pub const TITLE: &str = "Choose the scale";
/// What it tells.
pub const ABOUT: &str = "Candidate scales side by side: size on the table, rate, stop, light, haze, weight, smallest detail, line.";

/// Blanks for candidates, with what a fresh page holds.
const CANDIDATES: [(&str, &str, f64); 5] = [
    ("scale_1", "Scales, 1 to", 12.0),
    ("scale_2", "and 1 to", 24.0),
    ("scale_3", "and 1 to", 48.0),
    ("scale_4", "and 1 to", 72.0),
    ("scale_5", "and 1 to", 0.0),
];
/// Pull over the weight at rest when a line is let go, and times stronger that a line should be: as in the line sum.
const DYNAMIC: f64 = 2.0;
const MARGIN: f64 = 10.0;
const KNOT: f64 = 0.4;
/// Lamps and gels suffer from here; common practice, no source.
const HOT_LX: f64 = 20_000.0;
/// Gravity this much too strong still passes; common practice, no source.
const PASSES_FOR_TRUE: f64 = 1.1;
/// Stops beyond this are on no lens; common practice, no source.
const SMALLEST_STOP: f64 = 32.0;
/// Two people or a trolley, as in the weight sum, kg.
const TWO_PEOPLE_KG: f64 = 25.0;

/// The blanks of the sheet.
pub fn asks() -> Arc<[Ask]> {
    static ASKS: LazyLock<Arc<[Ask]>> = LazyLock::new(|| {
        let mut asks: Vec<Ask> = CANDIDATES
            .iter()
            .map(|(name, label, usual)| {
                let blank = ask::<StageExtinction>("scale_denominator")
                    .called(name)
                    .label(label);
                if *usual > 0.0 {
                    blank.usually(*usual).or_may_be_empty()
                } else {
                    blank.or_empty("")
                }
            })
            .collect();
        asks.extend([
            ask::<StageExtinction>("story_visibility_m")
                .called("length_m")
                .label("The thing is long, full size")
                .usually(24.0),
            ask::<StageExtinction>("story_visibility_m")
                .called("height_m")
                .label("and high")
                .usually(11.0),
            ask::<PieceMass>("volume_m3")
                .label("and has a volume of")
                .usually(900.0),
            ask::<PieceMass>("density_kgpm3")
                .label("Built at")
                .usually(90.0)
                .hint("Foam and skins 60 to 150, plaster 1 100."),
            ask::<ShotConversion>("story_speed_mps")
                .label("It moves at")
                .usually(1.5),
            ask::<ShotConversion>("base_fps")
                .label("Cut runs at")
                .usually(25.0),
            ask::<ApparentGravity>("shoot_fps")
                .called("camera_max_fps")
                .label("Camera runs up to")
                .usually(120.0),
            ask::<StoryStop>("story_f_number")
                .label("To look like f/")
                .hint("The stop of the full-size shot it pretends to be, on the same lens.")
                .usually(4.0),
            ask::<RequiredIlluminance>("iso").label("Film speed, EI"),
            ask::<RequiredIlluminance>("shutter_deg").label("Shutter"),
            ask::<StageExtinction>("story_visibility_m")
                .label("Water reaches, full size")
                .usually(30.0),
            ask::<HazeDemand>("peak_limit_mgpm3").label("Peak limit chosen"),
            ask::<Detail>("finest_detail_mm").label("Finest detail you model"),
        ]);
        asks.into()
    });
    ASKS.clone()
}

/// How many blanks are for candidates.
pub const CANDIDATE_BLANKS: usize = CANDIDATES.len();

/// One fact at every candidate.
pub struct Row {
    pub name: String,
    pub unit: String,
    /// The rule in words, under the name.
    pub rule: &'static str,
    pub cells: Vec<Cell>,
}

/// One fact at one scale.
#[derive(Default)]
pub struct Cell {
    pub value: String,
    /// The sum with its numbers, or why there is none.
    pub because: String,
    /// What is beyond reach or limit; empty when nothing is.
    pub over: String,
}

/// The scales that were typed.
pub fn candidates(given: &Given) -> Vec<f64> {
    CANDIDATES
        .iter()
        .filter_map(|(name, _, _)| given.find(name).ok().flatten())
        .collect()
}

/// One fact: what it is called, and how it comes of a scale.
struct Fact {
    name: &'static str,
    unit: &'static str,
    rule: &'static str,
    work: fn(&Given, f64) -> Result<Cell, Gap>,
}

const FACTS: &[Fact] = &[
    Fact {
        name: "Long on the table",
        unit: "mm",
        rule: "length ÷ scale",
        work: |g, scale| Ok(plain(g, g.get("length_m")? * 1000.0 / scale, "mm")),
    },
    Fact {
        name: "High",
        unit: "mm",
        rule: "height ÷ scale",
        work: |g, scale| Ok(plain(g, g.get("height_m")? * 1000.0 / scale, "mm")),
    },
    Fact {
        name: "Weighs",
        unit: "kg",
        rule: "volume ÷ scale³ × density",
        work: weight,
    },
    Fact {
        name: "Rate true to gravity",
        unit: "fps",
        rule: "√scale × the cut’s rate",
        work: rate,
    },
    Fact {
        name: "Runs on the stage at",
        unit: "mm/s",
        rule: "speed ÷ scale × time stretched",
        work: speed,
    },
    Fact {
        name: "Stop needed, f/",
        unit: "",
        rule: "scale × the stop to look like",
        work: stop,
    },
    Fact {
        name: "Light at that stop",
        unit: "lx",
        rule: "330 × stop² ÷ (time open × EI)",
        work: light,
    },
    Fact {
        name: "Haze",
        unit: "per m",
        rule: "3.912 × scale ÷ reach",
        work: haze,
    },
    Fact {
        name: "In the air, fine droplets",
        unit: "mg/m³",
        rule: "haze ÷ 5.562 m²/g",
        work: air,
    },
    Fact {
        name: "Finest detail stands for",
        unit: "mm",
        rule: "detail × scale",
        work: |g, scale| Ok(plain(g, g.get("finest_detail_mm")? * scale, "mm")),
    },
    Fact {
        name: "Each of two lines must break at",
        unit: "N",
        rule: "half the weight, let go, ten in hand, unknown knot",
        work: line,
    },
];

/// Every fact at every candidate.
pub fn rows(given: &Given) -> Vec<Row> {
    let scales = candidates(given);
    FACTS
        .iter()
        .map(|fact| Row {
            name: fact.name.into(),
            unit: quantity::shown_unit(fact.unit, given.units).into(),
            rule: fact.rule,
            cells: scales
                .iter()
                .map(|scale| {
                    (fact.work)(given, *scale).unwrap_or_else(|gap| Cell {
                        because: match gap {
                            Gap::Missing(missing) => {
                                format!("{} is not written yet.", missing.label)
                            }
                            Gap::Impossible(sentence) => sentence,
                        },
                        ..Cell::default()
                    })
                })
                .collect(),
        })
        .collect()
}

/// The thing at every candidate, side by side.
pub fn drawing(given: &Given) -> Option<Drawing> {
    let (length_m, height_m) = (given.get("length_m").ok()?, given.get("height_m").ok()?);
    let things: Vec<At> = candidates(given)
        .into_iter()
        .map(|scale| At {
            scale_denominator: scale,
            length_mm: length_m * 1000.0 / scale,
            height_mm: height_m * 1000.0 / scale,
        })
        .collect();
    (!things.is_empty()).then(|| side_by_side(&things, unit(given.units)))
}

fn plain(given: &Given, value: f64, unit: &'static str) -> Cell {
    Cell {
        value: earned(value, unit, given.units),
        ..Cell::default()
    }
}

fn cell(given: &Given, value: f64, unit: &'static str, because: &str) -> Cell {
    Cell {
        because: because.trim_end_matches('.').to_owned(),
        ..plain(given, value, unit)
    }
}

fn mass_kg(g: &Given, scale: f64) -> Result<(f64, String), Gap> {
    let piece = PieceMass {
        material: None,
        volume_m3: g.get("volume_m3")? / scale.powi(3),
        density_kgpm3: Some(g.get("density_kgpm3")?),
    };
    let worked = piece.work()?;
    Ok((worked.mass_kg, worked.because.clone()))
}

fn weight(g: &Given, scale: f64) -> Result<Cell, Gap> {
    let (kg, because) = mass_kg(g, scale)?;
    let mut cell = cell(g, kg, "kg", &because);
    if kg > TWO_PEOPLE_KG {
        cell.over = "two people or a trolley".into();
    }
    Ok(cell)
}

/// The rate true to gravity, and the one that the camera reaches.
fn rates(g: &Given, scale: f64) -> Result<(f64, f64, String), Gap> {
    let fall = Fall {
        base_fps: Some(g.get("base_fps")?),
        base_fps_num: None,
        base_fps_den: None,
        scale_denominator: scale,
    };
    let worked = fall.work()?;
    let reached = worked.shoot_fps.min(g.get("camera_max_fps")?);
    Ok((worked.shoot_fps, reached, worked.because.clone()))
}

fn rate(g: &Given, scale: f64) -> Result<Cell, Gap> {
    let (wanted, reached, because) = rates(g, scale)?;
    let mut cell = cell(g, wanted, "fps", &because);
    if reached < wanted {
        let gravity = ApparentGravity {
            base_fps: g.get("base_fps")?,
            scale_denominator: scale,
            shoot_fps: reached,
        }
        .work()?;
        if gravity.gravity_ratio > PASSES_FOR_TRUE {
            cell.over = format!(
                "over the camera: at {} fps things fall {} times too fast",
                found(reached),
                significant(gravity.gravity_ratio, 2)
            );
        } else {
            cell.because = format!("{}. The camera’s {} passes", cell.because, found(reached));
        }
    }
    Ok(cell)
}

fn speed(g: &Given, scale: f64) -> Result<Cell, Gap> {
    let shot = ShotConversion {
        base_fps: g.get("base_fps")?,
        scale_denominator: scale,
        shoot_fps: rates(g, scale)?.1,
        story_speed_mps: g.get("story_speed_mps")?,
        screen_duration_s: 1.0,
    };
    let worked = shot.work()?;
    let because = worked.because.split(". ").next().unwrap_or_default();
    Ok(cell(g, worked.model_speed_mps * 1000.0, "mm/s", because))
}

fn stop_needed(g: &Given, scale: f64) -> Result<(f64, String), Gap> {
    // on the same lens the focal lengths cancel
    let stop = StoryStop {
        model_focal_length_mm: 35.0,
        model_f_number: 16.0,
        scale_denominator: scale,
        story_focal_length_mm: 35.0,
        story_f_number: g.get("story_f_number")?,
    };
    let needed = stop.work()?.model_f_number_needed;
    Ok((
        needed,
        format!(
            "{} × {} = {}",
            found(scale),
            found(stop.story_f_number),
            found(needed)
        ),
    ))
}

fn stop(g: &Given, scale: f64) -> Result<Cell, Gap> {
    let (needed, because) = stop_needed(g, scale)?;
    let mut cell = cell(g, needed, "", &because);
    if needed > SMALLEST_STOP {
        let airy = Airy {
            wavelength_nm: 550.0,
            effective_f_number: needed,
        }
        .work()?;
        cell.over = format!(
            "on no lens, and diffraction would blur {} µm: shallower, or stacked",
            significant(airy.airy_diameter_um, 2)
        );
    }
    Ok(cell)
}

fn light(g: &Given, scale: f64) -> Result<Cell, Gap> {
    let required = RequiredIlluminance {
        t_number: stop_needed(g, scale)?.0.min(SMALLEST_STOP),
        fps: rates(g, scale)?.1,
        shutter_deg: g.get("shutter_deg")?,
        iso: g.get("iso")?,
        c_constant: 330.0,
    };
    let worked = required.work()?;
    let mut cell = cell(g, worked.illuminance_lx, "lx", &worked.because);
    if worked.illuminance_lx > HOT_LX {
        cell.over = "hot: gels, wax and foam suffer".into();
    }
    Ok(cell)
}

fn haze(g: &Given, scale: f64) -> Result<Cell, Gap> {
    let stage = StageExtinction {
        story_visibility_m: g.get("story_visibility_m")?,
        scale_denominator: scale,
        contrast_threshold: 0.02,
    };
    let worked = stage.work()?;
    Ok(cell(g, worked.extinction_per_m, "per m", &worked.because))
}

fn air(g: &Given, scale: f64) -> Result<Cell, Gap> {
    let demand = HazeDemand {
        story_visibility_m: g.get("story_visibility_m")?,
        scale_denominator: scale,
        contrast_threshold: 0.02,
        mass_extinction_m2pg: None,
        droplets: Droplets::Fine,
        peak_limit_mgpm3: g.get("peak_limit_mgpm3")?,
    };
    let worked = demand.work()?;
    let mut cell = cell(g, worked.concentration_mgpm3, "mg/m³", &worked.because);
    if worked.times_peak_limit > 1.0 {
        cell.over = format!(
            "{} times the peak limit: nobody in it",
            significant(worked.times_peak_limit, 2)
        );
    }
    Ok(cell)
}

fn line(g: &Given, scale: f64) -> Result<Cell, Gap> {
    let (kg, _) = mass_kg(g, scale)?;
    let at_rest = kg * GRAVITY_MPS2 / 2.0;
    let needed = at_rest * DYNAMIC * MARGIN / KNOT;
    // the line sum itself is the judge
    let margin = LineMargin {
        static_tension_n: at_rest,
        breaking_load_n: needed,
        knot_efficiency: KNOT,
        dynamic_factor: DYNAMIC,
    }
    .work()?;
    Ok(cell(g, needed, "N", &margin.because))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::sums::{ask::Typed, quantity::Units};

    fn given(pairs: &[(&str, &str)]) -> Given {
        let typed: Typed = pairs
            .iter()
            .map(|(k, v)| ((*k).to_owned(), (*v).to_owned()))
            .collect();
        Given::read(asks(), typed, Units::Metric)
    }

    #[test]
    fn a_fresh_sheet_is_full() {
        let given = given(&[]);
        assert_eq!(candidates(&given), [12.0, 24.0, 48.0, 72.0]);
        for row in rows(&given) {
            for cell in row.cells {
                assert!(!cell.value.is_empty(), "{}: {}", row.name, cell.because);
            }
        }
    }

    #[test]
    fn the_scale_laws_hold_between_the_columns() {
        let given = given(&[
            ("scale_1", "20"),
            ("scale_2", "40"),
            ("scale_3", ""),
            ("scale_4", ""),
            ("camera_max_fps", "1000"),
        ]);
        let number = |row: &Row, at: usize| -> f64 {
            row.cells[at]
                .value
                .replace('\u{202f}', "")
                .parse()
                .expect("a number")
        };
        for (name, ratio) in [
            ("Long on the table", 0.5),
            ("Weighs", 0.125),
            ("Rate true to gravity", std::f64::consts::SQRT_2),
            ("Runs on the stage at", std::f64::consts::FRAC_1_SQRT_2),
            ("Stop needed, f/", 2.0),
            ("Haze", 2.0),
            ("In the air, fine droplets", 2.0),
            ("Finest detail stands for", 2.0),
            ("Each of two lines must break at", 0.125),
        ] {
            let rows = rows(&given);
            let row = rows.iter().find(|row| row.name == name).expect("the row");
            let found = number(row, 1) / number(row, 0);
            assert!((found / ratio - 1.0).abs() < 0.01, "{name}: {found}");
        }
    }
}
