//! The sheet on which a scale is chosen: candidates side by side, with everything that hangs on the scale.

mod facts;

use super::ask::{Ask, Gap, Given, ask};
use super::daily::lens::unit;
use super::quantity;
use facts::FACTS;
use std::sync::{Arc, LazyLock};
use stillair_calc::{
    drawing::{
        Drawing,
        sum::scales::{At, side_by_side},
    },
    exposure::RequiredIlluminance,
    giveaway::Detail,
    haze_optics::{HazeDemand, StageExtinction},
    materials::PieceMass,
    scale_time::{ApparentGravity, ShotConversion},
    story_stop::StoryStop,
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
/// How many blanks are for candidates.
pub const CANDIDATE_BLANKS: usize = CANDIDATES.len();

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
pub fn drawing(given: &Given, width: f64) -> Option<Drawing> {
    let (length_m, height_m) = (given.get("length_m").ok()?, given.get("height_m").ok()?);
    let things: Vec<At> = candidates(given)
        .into_iter()
        .map(|scale| At {
            scale_denominator: scale,
            length_mm: length_m * 1000.0 / scale,
            height_mm: height_m * 1000.0 / scale,
        })
        .collect();
    (!things.is_empty()).then(|| side_by_side(&things, unit(given.units), width))
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
