//! Runs every check of `checks/planning.json` and reproduces the matrices of `checks/instances`.
//!
//! The file names a source for each row. A row whose calculation is not run here fails the test.

mod cut;
mod days;
mod instances;
mod read;
mod time;

use cut::{check_damage, check_neighbour_light, check_piece};
use days::{check_changeover, check_day, check_idle, check_lanes, check_wrap_limit};
use read::{list, number, pair, rate, text};
use serde_json::{Value, json};
use stillair_calc::continuity::lamps::{PracticalLevel, practical_level};
use stillair_calc::continuity::live_action::{CameraPlace, match_scale};
use stillair_calc::continuity::movement::{Passage, Step, apparent_speed, screen_direction};
use stillair_calc::continuity::severity_word;
use stillair_calc::order_key::between;
use stillair_calc::stage_day::preference::cut_order_inversions;
use stillair_calc::timecode::slate::{natural_sort, next_setup_letters};
use stillair_calc::timecode::{
    Counting, TimecodeFault, elapsed_seconds, frames_to_timecode, timecode_to_frames,
};
use time::{check_media, check_retime};

const CHECKS: &str = include_str!("../../checks/planning.json");

#[test]
fn every_check_gives_its_value() {
    let checks: Vec<Value> = serde_json::from_str(CHECKS).expect("the check file is JSON");
    let mut ids: Vec<&str> = checks.iter().map(|check| text(&check["id"])).collect();
    let mut wrong = Vec::new();
    for check in &checks {
        let id = text(&check["id"]);
        assert!(!text(&check["source"]).is_empty(), "{id} names no source");
        let Some(actual) = calculate(text(&check["calc"]), &check["inputs"], &check["expected"])
        else {
            wrong.push(format!("{id}: {} is not run", check["calc"]));
            continue;
        };
        let tolerance = check["rel_tol"].as_f64().unwrap_or(0.0);
        if !agrees(&actual, &check["expected"], tolerance) {
            wrong.push(format!("{id}: {actual} for {}", check["expected"]));
        }
    }
    assert!(
        wrong.is_empty(),
        "{} of {}:\n{}",
        wrong.len(),
        checks.len(),
        wrong.join("\n")
    );
    ids.sort_unstable();
    ids.dedup();
    assert_eq!(ids.len(), checks.len(), "an id stands twice");
}

/// Whether every expected field is there with its value. A number agrees within the relative tolerance.
fn agrees(actual: &Value, expected: &Value, tolerance: f64) -> bool {
    match (actual, expected) {
        (Value::Object(actual), Value::Object(expected)) => expected
            .iter()
            .all(|(key, value)| actual.get(key).is_some_and(|a| agrees(a, value, tolerance))),
        (Value::Array(actual), Value::Array(expected)) => {
            actual.len() == expected.len()
                && actual
                    .iter()
                    .zip(expected)
                    .all(|(a, e)| agrees(a, e, tolerance))
        }
        (Value::Number(actual), Value::Number(expected)) => {
            let (actual, expected) = (
                actual.as_f64().expect("finite"),
                expected.as_f64().expect("finite"),
            );
            (actual - expected).abs() <= tolerance * expected.abs()
        }
        _ => actual == expected,
    }
}

/// Runs one calculation by its name; `None` when the name is unknown. `expected` only decides which fields of a map that
/// must be empty are compared.
fn calculate(name: &str, inputs: &Value, expected: &Value) -> Option<Value> {
    let answer = match name {
        "changeover_minutes" => check_changeover(inputs, expected),
        "changeover_minutes_lanes" => check_lanes(inputs),
        "simulate_day" => check_day(inputs),
        "wrap_limit" => check_wrap_limit(inputs),
        "cut_order_inversions" => {
            let order: Vec<i64> = list(&inputs["cut_order_in_shooting_order"], |v| {
                v.as_i64().expect("whole")
            });
            let counted = cut_order_inversions(&order);
            json!({"inversions": counted.inversions, "of": counted.of})
        }
        "idle_minutes" => check_idle(inputs),
        "frames_to_timecode" => {
            let counting = if inputs["drop"] == true {
                Counting::Drop
            } else {
                Counting::NonDrop
            };
            let frame = inputs["frame"].as_i64().expect("whole");
            let label = frames_to_timecode(frame, rate(inputs), counting).expect("a label");
            json!({"timecode": label.to_string()})
        }
        "timecode_to_frames" => {
            match timecode_to_frames(text(&inputs["timecode"]), rate(inputs), None) {
                Ok(frame) => json!({"frame": frame}),
                Err(TimecodeFault::NoSuchLabel) => json!({"error": "no such label"}),
                Err(other) => json!({"error": other.to_string()}),
            }
        }
        "elapsed_seconds" => {
            json!({"seconds": elapsed_seconds(inputs["frames"].as_i64().expect("whole"), rate(inputs))})
        }
        "record_from_screen" | "screen_from_record" => check_retime(inputs),
        "media_bytes" | "media_bytes_raw" | "media_rate" => check_media(inputs),
        "next_setup_letters" => {
            json!({"next": next_setup_letters(text(&inputs["after"])).expect("letters")})
        }
        "natural_sort" => {
            let mut names: Vec<&str> = list(&inputs["values"], text);
            natural_sort(&mut names);
            json!({"sorted": names})
        }
        "piece_reuse" => check_piece(inputs),
        "neighbour_light" => check_neighbour_light(inputs),
        "screen_direction" => {
            let steps: Vec<Step> = list(&inputs["sequence"], |v| {
                Passage::parse(text(v)).expect("a passage").into()
            });
            let at: Vec<usize> = screen_direction(&steps)
                .iter()
                .map(|finding| finding.at)
                .collect();
            json!({"findings_at": at})
        }
        "practical_level" => {
            let severity = practical_level(PracticalLevel {
                levels_percent: pair(&inputs["levels"]),
                event_between: inputs["event_between"] == true,
            });
            json!({"severity": severity_word(severity)})
        }
        "damage_in_story_order" | "damage_precedence" => check_damage(inputs),
        "match_scale" => {
            let live = CameraPlace {
                height_m: number(&inputs["live"]["height_m"]),
                distance_m: number(&inputs["live"]["distance_m"]),
            };
            let model = match_scale(number(&inputs["scale"]), live);
            json!({"height_m": model.height_m, "distance_m": model.distance_m})
        }
        "apparent_speed" => {
            let compared = apparent_speed(pair(&inputs["lengths_per_second"]));
            let severity = severity_word(compared.severity);
            json!({"relative_difference": compared.relative_difference, "severity": severity})
        }
        "key_between" => {
            let key =
                between(inputs["after"].as_str(), inputs["before"].as_str()).expect("in order");
            json!({"key": key})
        }
        _ => return None,
    };
    Some(answer)
}
