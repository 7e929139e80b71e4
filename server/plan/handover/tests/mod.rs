//! Tests of reading and writing lists: every kept file, every check, and properties for any text and any bytes.

mod against_plan;
mod cells;
mod checks;
mod files;
mod headings;
mod properties;
mod samples;
mod workbooks;

use super::{Fields, Look, Options, Refused, ShotLine, Value, read};

/// The rate the sample lists were written at.
fn at_25() -> Options {
    Options {
        base_fps: (25, 1),
        ..Options::default()
    }
}

fn look(text: &str) -> Look {
    read(text.as_bytes(), "list.csv", &at_25()).expect("this list can be cut into rows")
}

fn refused(bytes: &[u8]) -> Refused {
    read(bytes, "list.csv", &at_25()).expect_err("this file is refused")
}

fn lines(look: &Look) -> Vec<ShotLine> {
    look.rows.iter().map(ShotLine::from).collect()
}

/// Faults as `line column: problem [value]`.
fn faults(look: &Look) -> Vec<String> {
    let value = |error: &super::RowError| {
        error
            .value
            .clone()
            .map_or(String::new(), |value| format!(" [{value}]"))
    };
    look.errors
        .iter()
        .map(|error| {
            format!(
                "{} {}: {}{}",
                error.line,
                error.column,
                error.problem,
                value(error)
            )
        })
        .collect()
}

fn text<'s>(shot: &'s ShotLine, field: &str) -> &'s str {
    match shot.fields.get(field) {
        Some(Value::Text(text)) => text,
        _ => "",
    }
}

fn number(shot: &ShotLine, field: &str) -> Option<f64> {
    match shot.fields.get(field) {
        Some(Value::Number(number)) => Some(*number),
        _ => None,
    }
}

fn frames(shot: &ShotLine) -> Option<i64> {
    match shot.fields.get("length_frames") {
        Some(Value::Whole(frames)) => Some(*frames),
        _ => None,
    }
}

fn texts(pairs: &[(&'static str, &str)]) -> Fields {
    pairs
        .iter()
        .map(|(field, text)| (*field, Value::Text((*text).to_owned())))
        .collect()
}
