//! Every check value of every family, and every *because* evaluated.
//!
//! Rows stand in `checks/{family}.json`, each with its source. Numbers agree within `rel_tol` of the expected number, or
//! within `abs_tol`; an expected error with a kind must be that kind on that field, a sentence or `true` means only that
//! the inputs must be refused.

use crate::{Calculation, Kind, because, catalogue, find, input};
use proptest::prelude::*;
use serde_json::{Map, Value};
use std::collections::BTreeSet;
use std::path::Path;

/// Labels in the rows' inputs that are no inputs.
const LABELS: &[&str] = &["name", "target_name", "grid"];
/// How close an expected zero must be met.
const ZERO_SLACK: f64 = 1e-9;
/// How far a *because* may miss its number, in units of the last place shown: half for rounding it, the rest for rounding
/// the numbers it is made of.
const BECAUSE_SLACK: f64 = 0.6;

fn rows() -> Vec<(String, Value)> {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("checks");
    let mut out = Vec::new();
    for entry in std::fs::read_dir(folder).expect("the folder of checks") {
        let path = entry.expect("an entry").path();
        // Planning has calculations of another shape: `tests/planning.rs` runs its rows and its instances.
        if path.is_dir() || path.ends_with("planning.json") {
            continue;
        }
        let family = path
            .file_stem()
            .expect("a name")
            .to_string_lossy()
            .into_owned();
        let text = std::fs::read_to_string(&path).expect("a readable file");
        let rows: Vec<Value> =
            serde_json::from_str(&text).unwrap_or_else(|e| panic!("{family}: {e}"));
        out.extend(rows.into_iter().map(|row| (family.clone(), row)));
    }
    out
}

fn calculation_of(row: &Value) -> Option<&'static Calculation> {
    let (family, name) = row["calc"].as_str()?.split_once('/')?;
    find(family, name)
}

fn inputs_of(row: &Value) -> Map<String, Value> {
    let inputs = row["inputs"].as_object().expect("inputs");
    inputs
        .iter()
        .filter(|(name, _)| !LABELS.contains(&name.as_str()))
        .map(|(name, value)| (name.clone(), value.clone()))
        .collect()
}

/// What is wrong with an answer to one row, if anything.
fn verdict(calculation: &Calculation, row: &Value) -> Result<(), String> {
    let answer = (calculation.run)(&inputs_of(row));
    let expected = row["expected"].as_object().ok_or("no expected values")?;
    if let Some(error) = expected.get("error") {
        let faults = answer.err().ok_or("was not refused")?;
        let (Some(kind), Some(field)) = (
            error.as_str(),
            expected.get("field").and_then(Value::as_str),
        ) else {
            return Ok(());
        };
        let met = faults
            .iter()
            .any(|fault| fault.kind.as_str() == kind && fault.field == field);
        return if met {
            Ok(())
        } else {
            Err(format!("refused as {faults:?}"))
        };
    }
    let reply = answer.map_err(|faults| format!("refused: {faults:?}"))?;
    for (name, wanted) in expected {
        if name == "warning" {
            let met = reply
                .warnings
                .iter()
                .any(|warning| Some(*warning) == wanted.as_str());
            if !met {
                return Err(format!("warnings are {:?}", reply.warnings));
            }
            continue;
        }
        let got = &reply.result[name.as_str()];
        if !agrees(got, wanted, row, name) {
            return Err(format!("{name} is {got}, expected {wanted}"));
        }
    }
    Ok(())
}

fn agrees(got: &Value, wanted: &Value, row: &Value, name: &str) -> bool {
    match (got, wanted) {
        (Value::Number(got), Value::Number(wanted)) => {
            let (got, wanted) = (
                got.as_f64().unwrap_or(f64::NAN),
                wanted.as_f64().unwrap_or(f64::NAN),
            );
            (got - wanted).abs() <= slack(row, name, wanted)
        }
        (Value::Array(got), Value::Array(wanted)) => {
            got.len() == wanted.len()
                && got
                    .iter()
                    .zip(wanted)
                    .all(|(got, wanted)| agrees(got, wanted, row, name))
        }
        (Value::Object(got), Value::Object(wanted)) => wanted.iter().all(|(member, wanted)| {
            got.get(member)
                .is_some_and(|got| agrees(got, wanted, row, name))
        }),
        _ => got == wanted,
    }
}

fn slack(row: &Value, name: &str, wanted: f64) -> f64 {
    let tolerance = |key: &str| match &row[key] {
        Value::Object(by_field) => by_field.get(name).and_then(Value::as_f64),
        value => value.as_f64(),
    };
    let relative = tolerance("rel_tol").map(|share| {
        if wanted == 0.0 {
            ZERO_SLACK
        } else {
            share * wanted.abs()
        }
    });
    let exact = if wanted == 0.0 { ZERO_SLACK } else { 0.0 };
    tolerance("abs_tol")
        .unwrap_or(0.0)
        .max(relative.unwrap_or(exact))
}

#[test]
fn every_check_value_is_met() {
    let mut wrong = Vec::new();
    for (family, row) in rows() {
        let named = format!("{} {}", row["id"], row["calc"]);
        match calculation_of(&row) {
            None => wrong.push(format!("{named}: no such calculation")),
            Some(calculation) if calculation.family != family => {
                wrong.push(format!("{named}: stands in {family}.json"));
            }
            Some(calculation) => {
                if let Err(problem) = verdict(calculation, &row) {
                    wrong.push(format!("{named}: {problem}"));
                }
            }
        }
    }
    assert!(
        wrong.is_empty(),
        "{} rows:\n{}",
        wrong.len(),
        wrong.join("\n")
    );
}

#[test]
fn the_comparing_rules_can_fail() {
    let calculation = find("scale-time", "gravity-true-rate").expect("a calculation");
    for (inputs, expected) in [
        (
            r#"{"base_fps": 24, "scale_denominator": 4}"#,
            r#"{"shoot_fps": 48.1}"#,
        ),
        (
            r#"{"base_fps": 24, "scale_denominator": 4}"#,
            r#"{"unheard_of": 48}"#,
        ),
        (
            r#"{"base_fps": 24, "scale_denominator": 4}"#,
            r#"{"error": true}"#,
        ),
        (
            r#"{"base_fps": 24, "scale_denominator": 4}"#,
            r#"{"warning": "oversize_model"}"#,
        ),
        (
            r#"{"base_fps": 24, "scale_denominator": 0}"#,
            r#"{"shoot_fps": 0}"#,
        ),
        (
            r#"{"base_fps": 24, "scale_denominator": 0}"#,
            r#"{"error": "negative", "field": "scale_denominator"}"#,
        ),
        (
            r#"{"base_fps": 24, "scale_denominator": 0}"#,
            r#"{"error": "not_positive", "field": "base_fps"}"#,
        ),
    ] {
        let row = format!(r#"{{"inputs": {inputs}, "expected": {expected}, "rel_tol": 0.001}}"#);
        let row: Value = serde_json::from_str(&row).expect("a row");
        assert!(verdict(calculation, &row).is_err(), "{expected} passed");
    }
}

#[test]
fn every_calculation_has_check_values_and_a_source() {
    let checked: BTreeSet<String> = rows()
        .iter()
        .filter_map(|(_, row)| row["calc"].as_str().map(str::to_owned))
        .collect();
    let mut seen = BTreeSet::new();
    for calculation in catalogue() {
        let named = format!("{}/{}", calculation.family, calculation.name);
        assert!(checked.contains(&named), "{named} has no check value");
        assert!(
            !calculation.source.is_empty() && !calculation.summary.is_empty(),
            "{named} says too little"
        );
        assert!(seen.insert(named.clone()), "{named} stands twice");
    }
}

fn usual(calculation: &Calculation) -> Map<String, Value> {
    calculation
        .inputs
        .iter()
        .filter_map(|input| Some((input.name.to_owned(), input.usual.or(input.default)?())))
        .collect()
}

/// Says when the numbers shown do not give the number shown.
fn because_fault(reply: &crate::Reply) -> Option<String> {
    match because::evaluate(&reply.because) {
        Err(problem) => Some(format!("{problem} in `{}`", reply.because)),
        Ok(check) if check.units_apart() > BECAUSE_SLACK => {
            Some(format!("{} gives {}", reply.because, check.left))
        }
        Ok(_) => None,
    }
}

#[test]
fn every_because_of_a_check_value_adds_up() {
    let wrong: Vec<_> = rows()
        .iter()
        .filter_map(|(_, row)| {
            let reply = (calculation_of(row)?.run)(&inputs_of(row)).ok()?;
            Some(format!("{}: {}", row["calc"], because_fault(&reply)?))
        })
        .collect();
    assert!(
        wrong.is_empty(),
        "{} rows:\n{}",
        wrong.len(),
        wrong.join("\n")
    );
}

#[test]
fn usual_values_work_and_their_because_adds_up() {
    for calculation in catalogue() {
        let named = format!("{}/{}", calculation.family, calculation.name);
        let reply = (calculation.run)(&usual(calculation))
            .unwrap_or_else(|faults| panic!("{named}: {faults:?}"));
        assert_eq!(because_fault(&reply), None, "{named}");
        let names: BTreeSet<_> = reply
            .result
            .as_object()
            .expect("an object")
            .keys()
            .cloned()
            .collect();
        assert_eq!(
            names,
            calculation
                .outputs
                .iter()
                .map(|output| output.name.to_owned())
                .collect(),
            "{named}"
        );
    }
}

/// The usual value moved by a factor for each number in it, to as many digits as people type.
fn moved(value: &Value, factors: &mut impl Iterator<Item = f64>) -> Value {
    match value {
        Value::Number(number) => {
            let moved = number.as_f64().unwrap_or(0.0) * factors.next().unwrap_or(1.0);
            let typed: f64 = format!("{moved:.3e}").parse().unwrap_or(moved);
            input::number(typed)
        }
        Value::Array(items) => items.iter().map(|item| moved(item, factors)).collect(),
        Value::Object(members) => Value::Object(
            members
                .iter()
                .map(|(name, item)| (name.clone(), moved(item, factors)))
                .collect(),
        ),
        other => other.clone(),
    }
}

fn is_whole(kind: &Kind) -> bool {
    match kind {
        Kind::Whole => true,
        Kind::Optional(inner) | Kind::List(inner) | Kind::Tuple(inner, _) => is_whole(inner),
        _ => false,
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(200))]

    #[test]
    fn every_because_adds_up_anywhere(factors in proptest::collection::vec(-0.7..0.7_f64, 24)) {
        for calculation in catalogue() {
            let mut factors = factors.iter().map(|power| 10_f64.powf(*power)).cycle();
            let inputs: Map<String, Value> = calculation.inputs.iter().filter_map(|input| {
                let value = input.usual.or(input.default)?();
                let value = if is_whole(&input.kind) { value } else { moved(&value, &mut factors) };
                Some((input.name.to_owned(), value))
            }).collect();
            if let Ok(reply) = (calculation.run)(&inputs) {
                let fault = because_fault(&reply);
                prop_assert!(fault.is_none(), "{}/{}: {}", calculation.family, calculation.name, fault.unwrap_or_default());
            }
        }
    }
}

#[test]
fn unknown_missing_and_mistyped_inputs_are_all_named() {
    let given = serde_json::json!({"scale_denominator": "x", "base_fps": "NaN", "fsp": 1});
    let run = find("scale-time", "apparent-gravity")
        .expect("a calculation")
        .run;
    let faults = run(given.as_object().expect("an object")).expect_err("refused");
    let mut named: Vec<_> = faults
        .iter()
        .map(|fault| (fault.field.as_str(), fault.kind.as_str()))
        .collect();
    named.sort_unstable();
    assert_eq!(
        named,
        [
            ("base_fps", "not_finite"),
            ("fsp", "unknown_field"),
            ("scale_denominator", "wrong_type"),
            ("shoot_fps", "missing"),
        ]
    );
}

#[test]
fn units_are_read_off_the_names() {
    for (name, unit) in [
        ("focal_length_mm", "mm"),
        ("rate_factor_k", ""),
        ("temperature_k", "K"),
        ("density", ""),
        ("extinction_per_m", "1/m"),
        ("floor_load_kpa", "kPa"),
        ("btu_per_h", "BTU/h"),
        ("lab_a", ""),
        ("stock_n", ""),
    ] {
        assert_eq!(input::unit(name), unit, "{name}");
    }
    assert_eq!(input::label("focal_length_mm"), "Focal length");
}
