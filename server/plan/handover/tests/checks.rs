//! The checks kept in tests/checks/planning-csv.json: RFC 4180 and our own rules of reading.

use serde_json::{Value, json};

use super::super::csv::{Audience, Separator, parse, write};
use super::super::length::BaseRate;
use super::super::mapping::{Column, Kind, Overrides};
use super::super::records;
use super::super::table::{self, Expected};

const CHECKS: &str = include_str!("../../../../tests/checks/planning-csv.json");

fn strings(value: &Value) -> Vec<String> {
    let items = value.as_array().into_iter().flatten();
    items
        .map(|item| item.as_str().expect("a list of texts").to_owned())
        .collect()
}

fn rows(value: &Value) -> Vec<Vec<String>> {
    value
        .as_array()
        .expect("rows")
        .iter()
        .map(strings)
        .collect()
}

/// The columns a check declares. Names live as long as the program, as declared ones do.
fn columns(inputs: &Value) -> Vec<Column> {
    let (required, unique) = (strings(&inputs["required"]), strings(&inputs["unique"]));
    let text = inputs["text"].as_str().expect("text");
    let names = text
        .split("\r\n")
        .next()
        .expect("a heading line")
        .split(',');
    let column = |name: &str| {
        let kind = match inputs["types"][name].as_str() {
            Some("whole number") => Kind::Whole {
                least: 0,
                most: 1_000_000,
            },
            Some(other) => panic!("no kind for {other}"),
            None if unique.iter().any(|unique| unique == name) => Kind::Code { most: 20 },
            None => Kind::Text {
                most: 200,
                lines: true,
            },
        };
        let field: &'static str = Box::leak(name.to_owned().into_boxed_str());
        Column {
            field,
            stores: field,
            label: field,
            also: &[],
            more: &[],
            kind,
            required: required.iter().any(|required| required == name),
        }
    };
    names.map(column).collect()
}

fn checked(inputs: &Value) -> Value {
    let (columns, overrides) = (columns(inputs), Overrides::new());
    let text = inputs["text"].as_str().expect("text");
    let expected = Expected {
        columns: &columns,
        overrides: &overrides,
    };
    let table =
        table::read(text.as_bytes(), "check.csv", None, expected).expect("it can be cut into rows");
    let checked = records::check(
        &table,
        &columns,
        &overrides,
        BaseRate {
            numerator: 24,
            denominator: 1,
        },
    );
    let stored = if checked.errors.count == 0 {
        checked.rows.len()
    } else {
        0
    };
    json!({"errors": checked.errors.listed, "accepted": checked.rows.len(), "committed": stored})
}

#[test]
fn every_kept_check_holds() {
    let checks: Vec<Value> = serde_json::from_str(CHECKS).expect("kept checks are JSON");
    assert_eq!(checks.len(), 4);
    for check in &checks {
        let inputs = &check["inputs"];
        let actual = match check["calc"].as_str().expect("calc") {
            "csv_write" => json!({"text": write(&rows(&inputs["rows"]), Audience::Programs)}),
            "csv_read" => {
                let records = parse(inputs["text"].as_str().expect("text"), Separator::Comma)
                    .expect("well formed");
                json!({"rows": records.into_iter().map(|record| record.cells).collect::<Vec<_>>()})
            }
            "csv_errors" => checked(inputs),
            other => panic!("no such check: {other}"),
        };
        for (name, expected) in check["expected"].as_object().expect("expected") {
            assert_eq!(actual[name], *expected, "{} {name}", check["id"]);
        }
    }
}
