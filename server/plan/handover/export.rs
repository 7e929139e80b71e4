//! Writing shot lists and setup lists. What is written here, [`super::shots::read`] reads back to the same values.

use super::csv::{self, Audience};
use super::records::{Fields, Value};
use super::shots::ShotRow;
use super::values::travel_word;

/// A shot as it is written. Blank is `None` or empty.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct ShotLine {
    pub code: String,
    pub name: String,
    pub length_frames: Option<i64>,
    pub scale_denominator: Option<f64>,
    pub story_speed_mps: Option<f64>,
    /// The stored word: `l_to_r`, `r_to_l`, `toward`, `away`, `up`, `down`, `still`.
    pub travel: String,
    pub action: String,
    pub setups: Vec<String>,
    pub look: String,
    pub reach_m: Option<f64>,
    pub story_order: Option<i64>,
}

const SHOT_HEADINGS: [&str; 11] = [
    "code",
    "name",
    "frames",
    "scale",
    "story speed m/s",
    "travel",
    "action",
    "setups",
    "look",
    "reach m",
    "story order",
];

/// The shot list as CSV (RFC 4180, UTF-8).
pub fn write_shots(shots: &[ShotLine], audience: Audience) -> String {
    let rows = shots.iter().map(|shot| {
        [
            shot.code.clone(),
            shot.name.clone(),
            shown(shot.length_frames),
            shot.scale_denominator
                .map(|scale| format!("1:{scale}"))
                .unwrap_or_default(),
            shown(shot.story_speed_mps),
            travel_word(&shot.travel).to_owned(),
            shot.action.clone(),
            shot.setups.join("; "),
            shot.look.clone(),
            shown(shot.reach_m),
            shown(shot.story_order),
        ]
    });
    written(SHOT_HEADINGS, rows, audience)
}

/// A setup as it is written. Blank is `None` or empty.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct SetupLine {
    pub code: String,
    pub name: String,
    /// Codes of the shots made in it.
    pub shots: Vec<String>,
    pub camera: String,
    pub lens: String,
    pub focal_length_mm: Option<f64>,
    pub shoot_fps: Option<f64>,
    pub shutter_deg: Option<f64>,
    pub stop: Option<f64>,
    pub exposure_index: Option<f64>,
    pub focus_distance_m: Option<f64>,
    pub haze: String,
    pub own_minutes: Option<f64>,
    pub note: String,
}

const SETUP_HEADINGS: [&str; 14] = [
    "code",
    "name",
    "shots",
    "camera",
    "lens",
    "focal length mm",
    "shoot fps",
    "shutter deg",
    "stop",
    "EI",
    "focus distance m",
    "haze",
    "own minutes",
    "note",
];

/// The setup list as CSV (RFC 4180, UTF-8).
pub fn write_setups(setups: &[SetupLine], audience: Audience) -> String {
    let rows = setups.iter().map(|setup| {
        [
            setup.code.clone(),
            setup.name.clone(),
            setup.shots.join("; "),
            setup.camera.clone(),
            setup.lens.clone(),
            shown(setup.focal_length_mm),
            shown(setup.shoot_fps),
            shown(setup.shutter_deg),
            shown(setup.stop),
            shown(setup.exposure_index),
            shown(setup.focus_distance_m),
            setup.haze.clone(),
            shown(setup.own_minutes),
            setup.note.clone(),
        ]
    });
    written(SETUP_HEADINGS, rows, audience)
}

fn written<const N: usize>(
    headings: [&str; N],
    rows: impl Iterator<Item = [String; N]>,
    audience: Audience,
) -> String {
    let mut table = vec![headings.map(str::to_owned)];
    table.extend(rows);
    csv::write(&table, audience)
}

/// Numbers with a point and no thousands mark; nothing for nothing.
fn shown(value: Option<impl ToString>) -> String {
    value.map(|value| value.to_string()).unwrap_or_default()
}

impl From<&ShotRow> for ShotLine {
    fn from(row: &ShotRow) -> Self {
        let text = |field| match row.fields.get(field) {
            Some(Value::Text(text)) => text.clone(),
            _ => String::new(),
        };
        let number = |field| match row.fields.get(field) {
            Some(Value::Number(number)) => Some(*number),
            _ => None,
        };
        let whole = |field| match row.fields.get(field) {
            Some(Value::Whole(whole)) => Some(*whole),
            _ => None,
        };
        Self {
            code: row.code.clone(),
            name: text("name"),
            length_frames: whole("length_frames"),
            scale_denominator: number("scale_denominator"),
            story_speed_mps: number("story_speed_mps"),
            travel: text("travel"),
            action: text("action"),
            setups: row.setups.clone().unwrap_or_default(),
            look: text("look"),
            reach_m: number("reach_m"),
            story_order: whole("story_order"),
        }
    }
}

impl ShotLine {
    /// Its fields by declared name, as [`super::compare()`] takes them.
    pub fn fields(&self) -> Fields {
        let text = |text: &String| {
            if text.is_empty() {
                Value::Blank
            } else {
                Value::Text(text.clone())
            }
        };
        let number = |number: Option<f64>| number.map_or(Value::Blank, Value::Number);
        let whole = |whole: Option<i64>| whole.map_or(Value::Blank, Value::Whole);
        Fields::from([
            ("name", text(&self.name)),
            ("length_frames", whole(self.length_frames)),
            ("scale_denominator", number(self.scale_denominator)),
            ("story_speed_mps", number(self.story_speed_mps)),
            ("travel", text(&self.travel)),
            ("action", text(&self.action)),
            ("setups", Value::Codes(self.setups.clone())),
            ("look", text(&self.look)),
            ("reach_m", number(self.reach_m)),
            ("story_order", whole(self.story_order)),
        ])
    }
}
