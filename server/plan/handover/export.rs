//! Writing shot lists and setup lists. What is written here, [`super::shots::read`] reads back to the same values.
//!
//! Headings are the declared names of the fields, so a list that comes back needs no guessing. Scales are written as
//! their denominator alone: a spreadsheet would make a time of day of `1:48`.

use super::csv::{self, Audience};
use super::records::{Fields, Value};
use super::shots::{self, ShotRow};
use crate::journal::field::{self, Field};
use crate::journal::record::{AnyEntry, Record};
use crate::journal::value;
use crate::plan::cut::shot::Shot;
use crate::plan::setups::setup::Setup;

/// A shot as it is written.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct ShotLine {
    pub code: String,
    /// Codes of the setups it is shot in.
    pub setups: Vec<String>,
    /// Other fields by declared name; what is not there is written blank.
    pub fields: Fields,
}

/// A setup as it is written.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct SetupLine {
    pub code: String,
    /// Codes of the shots made in it.
    pub shots: Vec<String>,
    /// Other fields by declared name. Where a field refers to something, the caller puts that thing's name.
    pub fields: Fields,
}

impl From<&ShotRow> for ShotLine {
    fn from(row: &ShotRow) -> Self {
        Self {
            code: row.code.clone(),
            setups: row.setups.clone().unwrap_or_default(),
            fields: row.fields.clone(),
        }
    }
}

/// The fields of a record by declared name, as [`super::compare()`] and the writers here take them. Logs are left out.
pub fn fields_of(entry: &dyn AnyEntry) -> Fields {
    let fields = entry.kind().fields.iter().enumerate();
    let value = |at| match entry.get(at) {
        value::Value::Absent => Some(Value::Blank),
        value::Value::Number(number) => Some(Value::Number(number)),
        value::Value::Whole(whole) => Some(Value::Whole(whole)),
        value::Value::Text(text) if text.is_empty() => Some(Value::Blank),
        value::Value::Text(text) => Some(Value::Text(text.to_string())),
        value::Value::Members(members) => Some(Value::Codes(
            members.keys().map(ToString::to_string).collect(),
        )),
        value::Value::Log(_) => None,
    };
    fields
        .filter_map(|(at, field)| Some((field.name, value(at)?)))
        .collect()
}

/// The shot list as CSV (RFC 4180, UTF-8): every field that a list can hold, and the setups.
pub fn write_shots(list: &[ShotLine], audience: Audience) -> String {
    let is_written = |field: &&Field| {
        shots::columns()
            .iter()
            .any(|column| column.stores == field.name)
    };
    let fields: Vec<&Field> = Shot::KIND.fields.iter().filter(is_written).collect();
    let rows = list
        .iter()
        .map(|shot| (shot.code.as_str(), &shot.fields, &shot.setups));
    written(&fields, "setups", rows, audience)
}

/// The setup list as CSV (RFC 4180, UTF-8): every field but its place in order and its log, and the shots.
pub fn write_setups(list: &[SetupLine], audience: Audience) -> String {
    let is_written =
        |field: &&Field| !matches!(field.blank.kind, field::Kind::OrderKey | field::Kind::Log);
    let fields: Vec<&Field> = Setup::KIND.fields.iter().filter(is_written).collect();
    let rows = list
        .iter()
        .map(|setup| (setup.code.as_str(), &setup.fields, &setup.shots));
    written(&fields, "shots", rows, audience)
}

fn written<'l>(
    fields: &[&Field],
    links: &str,
    rows: impl Iterator<Item = (&'l str, &'l Fields, &'l Vec<String>)>,
    audience: Audience,
) -> String {
    let headings = fields.iter().map(|field| field.name).chain([links]);
    let mut table: Vec<Vec<String>> = vec![headings.map(str::to_owned).collect()];
    for (code, values, linked) in rows {
        let cell = |field: &&Field| match values.get(field.name) {
            _ if field.name == "code" => code.to_owned(),
            Some(value) => shown(value, field.blank.kind),
            None => String::new(),
        };
        table.push(fields.iter().map(cell).chain([linked.join("; ")]).collect());
    }
    csv::write(&table, audience)
}

/// A value as it is written: numbers with a point and no thousands mark, times as HH:MM, choices as their words.
fn shown(value: &Value, kind: field::Kind) -> String {
    match (value, kind) {
        (Value::Blank, _) => String::new(),
        (Value::Text(code), field::Kind::Choice(choices)) => {
            let word = choices
                .iter()
                .find(|(declared, _)| declared == code)
                .map(|(_, word)| *word);
            word.unwrap_or(code).to_owned()
        }
        (Value::Text(text), _) => text.clone(),
        (Value::Whole(minutes), field::Kind::Clock) => {
            format!("{:02}:{:02}", minutes / 60, minutes % 60)
        }
        (Value::Whole(whole), _) => whole.to_string(),
        (Value::Number(number), _) => number.to_string(),
        (Value::YesNo(is_yes), _) => if *is_yes { "yes" } else { "no" }.to_owned(),
        (Value::Codes(codes), _) => codes.join("; "),
    }
}
