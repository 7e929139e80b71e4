//! The calculations over HTTP: every check value of every family, refusals, the list.

use crate::harness::Book;
use axum::http::StatusCode;
use serde_json::{Value, json};

/// Labels that the check files carry among the inputs.
const LABELS: &[&str] = &["name", "target_name", "grid"];

#[tokio::test]
async fn every_check_value_holds_over_http() {
    let book = Book::new().await;
    let folder = concat!(env!("CARGO_MANIFEST_DIR"), "/server/calc/checks");
    let mut checked = 0;
    for file in std::fs::read_dir(folder).expect("the checks folder") {
        let path = file.expect("an entry").path();
        let is_family = path.extension().is_some_and(|e| e == "json")
            && path.file_stem().is_some_and(|s| s != "planning");
        if !is_family {
            continue;
        }
        let rows: Vec<Value> = serde_json::from_str(&std::fs::read_to_string(&path).expect("text"))
            .expect("a list of checks");
        for row in rows {
            let mut inputs = row["inputs"].clone();
            if let Some(members) = inputs.as_object_mut() {
                members.retain(|name, _| !LABELS.contains(&name.as_str()));
            }
            let calc = row["calc"].as_str().expect("a calculation");
            let answer = book.post_json(&format!("/api/calc/{calc}"), &inputs).await;
            hold(&row, &answer);
            checked += 1;
        }
    }
    assert!(checked > 200, "only {checked} checks were found");
}

fn hold(row: &Value, answer: &crate::harness::Answer) {
    let (id, expected) = (&row["id"], &row["expected"]);
    if !expected["error"].is_null() {
        assert_eq!(
            answer.status,
            StatusCode::UNPROCESSABLE_ENTITY,
            "{id}: {}",
            answer.text
        );
        let errors = answer.json()["errors"].clone();
        if let (Some(field), Some(kind)) = (expected["field"].as_str(), expected["error"].as_str())
        {
            let named = errors.as_array().is_some_and(|list| {
                list.iter()
                    .any(|e| e["field"] == field && e["kind"] == kind)
            });
            assert!(named, "{id}: expected {kind} on {field}, got {errors}");
        }
        return;
    }
    assert_eq!(answer.status, StatusCode::OK, "{id}: {}", answer.text);
    let json = answer.json();
    for (name, wanted) in expected.as_object().expect("expected values") {
        if name == "warning" {
            assert!(
                json["warnings"]
                    .as_array()
                    .is_some_and(|w| w.contains(wanted)),
                "{id}: {json}"
            );
            continue;
        }
        assert!(
            close(row, name, &json["result"][name], wanted),
            "{id} {name}: got {}, expected {wanted}",
            json["result"][name]
        );
    }
}

/// As the reference compares: relative, absolute, or exact; words exactly.
fn close(row: &Value, name: &str, got: &Value, wanted: &Value) -> bool {
    match (got, wanted) {
        (Value::Array(got), Value::Array(wanted)) => {
            got.len() == wanted.len() && got.iter().zip(wanted).all(|(g, w)| close(row, name, g, w))
        }
        (Value::Number(_), Value::Number(_)) => {
            let (got, wanted) = (
                got.as_f64().unwrap_or(f64::NAN),
                wanted.as_f64().unwrap_or(f64::NAN),
            );
            let tolerance = |key: &str| row[key].as_f64().or_else(|| row[key][name].as_f64());
            let allowed = match (tolerance("abs_tol"), tolerance("rel_tol")) {
                (Some(absolute), _) => absolute,
                (None, Some(relative)) if wanted == 0.0 => relative.max(1e-9),
                (None, Some(relative)) => relative * wanted.abs(),
                (None, None) => 0.0,
            };
            (got - wanted).abs() <= allowed.max(1e-12 * wanted.abs())
        }
        _ => got == wanted,
    }
}

#[tokio::test]
async fn every_bad_field_is_named_at_once() {
    let book = Book::new().await;
    let body = json!({"focal_length_mm": "NaN", "f_number": -1, "permitted_blur_mm": "fine", "aperture": 2});
    let answer = book
        .post_json("/api/calc/focus/depth-of-field", &body)
        .await;
    assert_eq!(answer.status, StatusCode::UNPROCESSABLE_ENTITY);
    let errors = answer.json()["errors"].clone();
    let kinds: Vec<_> = [
        "focal_length_mm",
        "f_number",
        "permitted_blur_mm",
        "aperture",
        "focus_distance_from_entrance_pupil_mm",
    ]
    .iter()
    .map(|field| {
        errors
            .as_array()
            .and_then(|l| l.iter().find(|e| e["field"] == *field))
            .map_or("", |e| e["kind"].as_str().unwrap_or(""))
            .to_owned()
    })
    .collect();
    assert_eq!(
        kinds,
        [
            "not_finite",
            "not_positive",
            "wrong_type",
            "unknown_field",
            "missing"
        ],
        "{errors}"
    );
}

#[tokio::test]
async fn the_list_names_every_calculation_and_an_unknown_one_is_not_found() {
    let book = Book::new().await;
    let list = book.get("/api/calc").await.json();
    let count = list["calculations"].as_array().map_or(0, Vec::len);
    assert_eq!(count, stillair_calc::catalogue().len());
    let unknown = book.post_json("/api/calc/focus/guess", &json!({})).await;
    assert_eq!(unknown.status, StatusCode::NOT_FOUND);
    assert_eq!(unknown.headers["content-type"], "application/problem+json");
}
