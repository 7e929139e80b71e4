//! The shot list: which columns it may have, and a file looked at without storing anything.

use std::collections::BTreeSet;
use std::sync::LazyLock;

use super::length::{BaseRate, Unit};
use super::mapping::{Column, Kind, NotTaken, Overrides, Taken};
use super::problems::{Refused, RowError, shortened};
use super::records::{self, Fields, Value};
use super::table::{self, Expected};
use super::text::Encoding;
use crate::journal::field::{self, Field};
use crate::journal::record::Record;
use crate::plan::cut::shot::Shot;

/// Headings that lists from elsewhere use, beside those declared with the field.
const MORE: &[(&str, &[&str])] = &[
    (
        "code",
        &["shot no", "shot number", "shot id", "shot code", "nr"],
    ),
    ("name", &["shot name", "shot title"]),
    ("action", &["shot description"]),
    ("scale_denominator", &["scale 1"]),
    (
        "story_speed_mps",
        &[
            "speed ms",
            "speed mps",
            "speed m s",
            "speed in ms",
            "story speed m s",
        ],
    ),
    ("travel", &["travel on screen", "direction of travel"]),
    (
        "look",
        &["water look", "air look", "water or air", "medium"],
    ),
    ("reach_m", &["reach m", "visibility m"]),
];

/// Columns that are not a shot's own fields, or fill one in several ways: a heading says frames, seconds, or neither.
const OWN: [Column; 4] = [
    Column {
        field: "length_frames",
        stores: "length_frames",
        label: "Length (frames)",
        also: &[
            "frames",
            "frame count",
            "length f",
            "no of frames",
            "screen frames",
        ],
        more: &[
            "duration frames",
            "duration f",
            "duration in frames",
            "length in frames",
            "len f",
        ],
        kind: Kind::Length(Unit::Frames),
        required: false,
    },
    Column {
        field: "length_s",
        stores: "length_frames",
        label: "Length (s)",
        also: &[
            "seconds",
            "secs",
            "length seconds",
            "length in seconds",
            "length sec",
            "len s",
            "screen seconds",
        ],
        more: &[
            "duration s",
            "duration seconds",
            "duration in seconds",
            "duration sec",
            "screen time s",
            "time s",
        ],
        kind: Kind::Length(Unit::Seconds),
        required: false,
    },
    Column {
        field: "length",
        stores: "length_frames",
        label: "Length",
        also: &[
            "duration",
            "len",
            "timecode length",
            "length timecode",
            "duration timecode",
        ],
        more: &["screen time", "running time"],
        kind: Kind::Length(Unit::Unsaid),
        required: false,
    },
    Column {
        field: "setups",
        stores: "setups",
        label: "Setups",
        also: &["setup", "set up", "set ups", "setup code", "setup codes"],
        more: &[],
        kind: Kind::Codes { most: 20 },
        required: false,
    },
];

/// Columns of a shot list: the shot's declared fields that a list can hold, its length in each way of writing, its
/// setups.
pub fn columns() -> &'static [Column] {
    static COLUMNS: LazyLock<Vec<Column>> = LazyLock::new(|| {
        Shot::KIND
            .fields
            .iter()
            .filter_map(declared)
            .chain(OWN)
            .collect()
    });
    &COLUMNS
}

/// A declared field as a column. None for what no list of text can hold: pictures, places in order, other records.
fn declared(field: &Field) -> Option<Column> {
    let kind = match field.blank.kind {
        _ if field.name == "board_picture" => return None,
        field::Kind::Text { most } if field.blank.once => Kind::Code { most },
        field::Kind::Text { most } => Kind::Text { most, lines: false },
        field::Kind::LongText { most } => Kind::Text { most, lines: true },
        field::Kind::Scale => Kind::Scale,
        field::Kind::Number {
            unit,
            hard: (least, most),
        } => Kind::Number { unit, least, most },
        field::Kind::Whole {
            hard: (least, most),
            ..
        } => Kind::Whole { least, most },
        field::Kind::Choice(choices) if field.name == "look" => Kind::Look(choices),
        field::Kind::Choice(choices) => Kind::Choice(choices),
        _ => return None,
    };
    let more = MORE
        .iter()
        .find(|(name, _)| *name == field.name)
        .map_or(&[][..], |(_, more)| more);
    Some(Column {
        field: field.name,
        stores: field.name,
        label: field.label,
        also: field.also,
        more,
        kind,
        required: field.blank.needed,
    })
}

/// What the sender chose, and what the plan says.
#[derive(Debug, Clone, PartialEq)]
pub struct Options {
    /// The plan's base rate as numerator and denominator, as `Plan::base_rate` gives it: `(25, 1)`, `(24_000, 1001)`.
    pub base_fps: (i64, i64),
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
    /// Physical line of the headings, from 1.
    pub heading_line: usize,
    /// What stands first under each heading, cut short.
    pub samples: Vec<String>,
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
        columns: columns(),
        overrides: &options.overrides,
    };
    let table = table::read(bytes, file_name, options.encoding, expected)?;
    let (numerator, denominator) = options.base_fps;
    let rate = BaseRate {
        numerator,
        denominator,
    };
    let checked = records::check(&table, columns(), &options.overrides, rate);
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
        heading_line: table.heading_line,
        samples: samples(&table),
    })
}

fn samples(table: &table::Table) -> Vec<String> {
    let first = |at: usize| {
        let mut cells = table.rows.iter().filter_map(|row| row.cells.get(at));
        let cell = cells.find(|cell| !cell.trim().is_empty());
        cell.map_or_else(String::new, |cell| shortened(cell.trim()))
    };
    (0..table.headings.len()).map(first).collect()
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
