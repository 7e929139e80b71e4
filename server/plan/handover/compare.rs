//! What a list would change in a plan.

use std::collections::{BTreeMap, BTreeSet};

use serde::Serialize;

use super::records::{Fields, Value};
use super::shots::{Look, ShotRow};

/// One field that the file says otherwise.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Change {
    pub field: &'static str,
    pub from: Value,
    pub to: Value,
}

/// What a row would do.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[serde(rename_all = "lowercase")]
pub enum State {
    New,
    Changed(Vec<Change>),
    Same,
}

impl State {
    /// The word for it.
    pub fn word(&self) -> &'static str {
        match self {
            Self::New => "new",
            Self::Changed(_) => "changed",
            Self::Same => "same",
        }
    }
}

/// A row of the file and what it would do.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct RowState {
    pub line: usize,
    pub code: String,
    pub state: State,
}

/// A list against a plan.
#[derive(Debug, Clone, Default, PartialEq, Serialize)]
pub struct Comparison {
    /// One for each row, in the order of the file.
    pub rows: Vec<RowState>,
    /// Shots of the plan that the file does not name. They stay: absent never means delete.
    pub absent: Vec<String>,
}

/// Matches rows to shots by code. `existing` gives each shot's fields by declared name, its setups as
/// [`Value::Codes`] under `setups`; a field that is not given counts as blank. Fields without a column in the file are
/// left alone.
pub fn compare(look: &Look, existing: &[(String, Fields)]) -> Comparison {
    let by_code: BTreeMap<&str, &Fields> = existing
        .iter()
        .map(|(code, fields)| (code.as_str(), fields))
        .collect();
    let rows = look.rows.iter().map(|row| RowState {
        line: row.line,
        code: row.code.clone(),
        state: by_code
            .get(row.code.as_str())
            .map_or(State::New, |fields| state(row, fields)),
    });
    let faulty = look.faulty_codes.iter().map(String::as_str);
    let in_file: BTreeSet<&str> = look
        .rows
        .iter()
        .map(|row| row.code.as_str())
        .chain(faulty)
        .collect();
    let codes = existing.iter().map(|(code, _)| code);
    let absent = codes
        .filter(|code| !in_file.contains(code.as_str()))
        .cloned()
        .collect();
    Comparison {
        rows: rows.collect(),
        absent,
    }
}

fn state(row: &ShotRow, existing: &Fields) -> State {
    let setups = row
        .setups
        .as_ref()
        .map(|setups| ("setups", Value::Codes(setups.clone())));
    let fields = row
        .fields
        .iter()
        .map(|(field, value)| (*field, value.clone()));
    let changes: Vec<Change> = fields
        .chain(setups)
        .filter_map(|(field, to)| {
            let from = existing.get(field).cloned().unwrap_or(Value::Blank);
            (!means_the_same(&from, &to)).then_some(Change { field, from, to })
        })
        .collect();
    if changes.is_empty() {
        State::Same
    } else {
        State::Changed(changes)
    }
}

/// Equal, but for the order of codes and the ways of saying nothing.
fn means_the_same(from: &Value, to: &Value) -> bool {
    match (from, to) {
        (Value::Codes(from), Value::Codes(to)) => {
            from.iter().collect::<BTreeSet<_>>() == to.iter().collect::<BTreeSet<_>>()
        }
        _ if is_nothing(from) && is_nothing(to) => true,
        _ => from == to,
    }
}

fn is_nothing(value: &Value) -> bool {
    match value {
        Value::Blank => true,
        Value::Text(text) => text.is_empty(),
        Value::Codes(codes) => codes.is_empty(),
        Value::Whole(_) | Value::Number(_) | Value::YesNo(_) => false,
    }
}
