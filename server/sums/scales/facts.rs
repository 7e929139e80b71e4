//! What hangs on the scale: each fact by its calculation, with what is beyond reach or limit.

use super::Cell;
use crate::sums::{
    ask::{Gap, Given},
    sum::earned,
};
use stillair_calc::{
    Calculate as _,
    exposure::RequiredIlluminance,
    figure::{found, significant},
    focus::Airy,
    haze_optics::{Droplets, HazeDemand, StageExtinction},
    materials::PieceMass,
    scale_time::{ApparentGravity, Fall, GRAVITY_MPS2, ShotConversion},
    story_stop::StoryStop,
    suspension::LineMargin,
};

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

/// One fact: what it is called, and how it comes of a scale.
pub struct Fact {
    pub name: &'static str,
    pub unit: &'static str,
    pub rule: &'static str,
    pub work: fn(&Given, f64) -> Result<Cell, Gap>,
}

pub const FACTS: &[Fact] = &[
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
