//! The shot list: which columns it may have, and a file looked at without storing anything.

use std::collections::BTreeSet;

use super::length::{BaseRate, Unit};
use super::mapping::{Column, Kind, NotTaken, Overrides, Taken};
use super::problems::{Refused, RowError};
use super::records::{self, Fields, Value};
use super::table::{self, Expected};
use super::text::Encoding;

const fn column(
    field: &'static str,
    label: &'static str,
    kind: Kind,
    also: &'static [&'static str],
) -> Column {
    Column {
        field,
        label,
        also,
        kind,
        required: false,
    }
}

/// Columns of a shot list. Lengths have three, one for each thing a heading may say; all fill `length_frames`.
pub const COLUMNS: &[Column] = &[
    Column {
        required: true,
        ..column(
            "code",
            "Shot",
            Kind::Code,
            &[
                "shot code",
                "shot no",
                "shot number",
                "shot id",
                "id",
                "no",
                "nr",
            ],
        )
    },
    column(
        "name",
        "Name",
        Kind::Text {
            most_characters: 200,
        },
        &["title", "shot name", "shot title"],
    ),
    column(
        "length_frames",
        "Length (frames)",
        Kind::Length(Unit::Frames),
        &[
            "frames",
            "frame count",
            "length f",
            "duration frames",
            "duration f",
            "no of frames",
            "screen frames",
        ],
    ),
    column(
        "length_s",
        "Length (s)",
        Kind::Length(Unit::Seconds),
        &[
            "seconds",
            "secs",
            "length seconds",
            "length in seconds",
            "length sec",
            "duration s",
            "duration seconds",
            "duration sec",
            "screen seconds",
            "screen time s",
            "time s",
        ],
    ),
    column(
        "length",
        "Length",
        Kind::Length(Unit::Unsaid),
        &[
            "duration",
            "timecode length",
            "length timecode",
            "duration timecode",
            "screen time",
            "running time",
        ],
    ),
    column(
        "scale_denominator",
        "Scale",
        Kind::Scale,
        &["model scale", "scale 1"],
    ),
    column(
        "story_speed_mps",
        "Story speed (m/s)",
        Kind::SpeedMps,
        &[
            "speed",
            "story speed",
            "speed ms",
            "speed mps",
            "speed m s",
            "speed in ms",
        ],
    ),
    column(
        "travel",
        "Travel",
        Kind::Travel,
        &[
            "direction",
            "travel on screen",
            "screen direction",
            "direction of travel",
        ],
    ),
    column(
        "action",
        "Action",
        Kind::Text {
            most_characters: 4000,
        },
        &["description", "what happens", "shot description"],
    ),
    column(
        "setups",
        "Setups",
        Kind::Codes,
        &["setup", "set up", "set ups", "setup code", "setup codes"],
    ),
    column(
        "look",
        "Look",
        Kind::Look,
        &[
            "water",
            "air",
            "water look",
            "air look",
            "water or air",
            "medium",
        ],
    ),
    column(
        "reach_m",
        "Reach (m)",
        Kind::DistanceM,
        &["reach", "visibility", "visibility m", "seen as far as m"],
    ),
    column(
        "story_order",
        "Story order",
        Kind::Whole,
        &["order in the story", "story position", "story no"],
    ),
];

/// What the sender chose, and what the plan says.
#[derive(Debug, Clone, PartialEq)]
pub struct Options {
    /// The plan's base rate as numerator and denominator: `(25, 1)`, `(24_000, 1001)`.
    pub base_fps: (u32, u32),
    /// Corrected headings, remembered from last time or just typed.
    pub overrides: Overrides,
    /// None: found out from the file.
    pub encoding: Option<Encoding>,
}

impl Default for Options {
    fn default() -> Self {
        Self {
            base_fps: (24, 1),
            overrides: Overrides::new(),
            encoding: None,
        }
    }
}

/// One shot of the list.
#[derive(Debug, Clone, PartialEq)]
pub struct ShotRow {
    /// Physical line on which it starts.
    pub line: usize,
    pub code: String,
    /// All but code and setups, by declared name. A field without a column in the file is absent.
    pub fields: Fields,
    /// Codes of the setups it is shot in. None where the file has no such column.
    pub setups: Option<Vec<String>>,
}

/// A shot list that was looked at. Nothing may be stored while it has errors.
#[derive(Debug, Clone, PartialEq)]
pub struct Look {
    /// The rows without faults, in the order of the file.
    pub rows: Vec<ShotRow>,
    /// Which heading went where.
    pub mapping: Vec<Taken>,
    pub not_taken: Vec<NotTaken>,
    /// Separator, encoding, sheet and everything else that was assumed, in sentences.
    pub notes: Vec<String>,
    /// At most [`super::problems::MOST_LISTED`]; how many there are says `error_count`.
    pub errors: Vec<RowError>,
    pub error_count: usize,
    /// Codes that stand in rows with faults: they are in the file all the same.
    pub faulty_codes: Vec<String>,
}

impl Look {
    /// Whether the list may be stored as it is.
    pub fn is_storable(&self) -> bool {
        self.error_count == 0 && !self.rows.is_empty()
    }

    /// Every setup that the list names, once, in the order they first stand.
    pub fn setup_codes(&self) -> Vec<&str> {
        let mut seen = BTreeSet::new();
        let named = self.rows.iter().flat_map(|row| row.setups.iter().flatten());
        named
            .map(String::as_str)
            .filter(|code| seen.insert(*code))
            .collect()
    }
}

/// Looks at a shot list: which heading is which, every row as values, every fault. Stores nothing.
///
/// `file_name` is what the sender calls it.
///
/// # Errors
/// Only where the file cannot be cut into rows under headings; faults in rows are part of the answer.
pub fn read(bytes: &[u8], file_name: &str, options: &Options) -> Result<Look, Refused> {
    let expected = Expected {
        columns: COLUMNS,
        overrides: &options.overrides,
    };
    let table = table::read(bytes, file_name, options.encoding, expected)?;
    let (numerator, denominator) = options.base_fps;
    let rate = BaseRate {
        numerator,
        denominator,
    };
    let checked = records::check(&table, COLUMNS, &options.overrides, rate);
    let mut notes = checked.notes;
    if checked.rows.is_empty() && checked.errors.count == 0 {
        notes.push("There is nothing below the headings.".to_owned());
    }
    Ok(Look {
        rows: checked.rows.into_iter().filter_map(shot).collect(),
        mapping: checked.mapping.taken,
        not_taken: checked.mapping.not_taken,
        notes,
        errors: checked.errors.listed,
        error_count: checked.errors.count,
        faulty_codes: checked.faulty_codes,
    })
}

/// A row as a shot; none if no column gave it a code, which is a fault of the whole list and told there.
fn shot(row: records::CheckedRow) -> Option<ShotRow> {
    let mut fields = row.fields;
    let Some(Value::Text(code)) = fields.remove("code") else {
        return None;
    };
    let setups = match fields.remove("setups") {
        Some(Value::Codes(codes)) => Some(codes),
        Some(_) => Some(Vec::new()),
        None => None,
    };
    Some(ShotRow {
        line: row.line,
        code,
        fields,
        setups,
    })
}
