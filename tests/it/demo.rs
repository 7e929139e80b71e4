//! The demo: entered by the ordinary ways, with nothing refused, and with something on every page.

use crate::harness::Book;
use serde_json::Value;

async fn filled() -> (Book, Value) {
    let book = Book::new().await;
    stillair::demo::fill(&book.app.store)
        .await
        .expect("nothing in the demo is refused");
    let plans = book.get("/api/plans").await.json();
    let id = plans["plans"][0]["id"].as_str().expect("a plan").to_owned();
    let plan = book.get(&format!("/api/plans/{id}")).await.json();
    (book, plan)
}

fn list<'a>(plan: &'a Value, name: &str) -> &'a Vec<Value> {
    plan[name].as_array().expect("a list")
}

fn by<'a>(plan: &'a Value, name: &str, field: &str, value: &str) -> &'a Value {
    let found = list(plan, name)
        .iter()
        .find(|record| record[field] == value);
    found.unwrap_or_else(|| panic!("no {value} in {name}"))
}

#[tokio::test]
async fn the_demo_fills_with_nothing_refused_and_tables_and_journal_agree() {
    let (book, plan) = filled().await;
    assert_eq!(plan["title"], "The Drowned Parish");
    let counts = [
        "shots",
        "setups",
        "passes",
        "days",
        "day_setups",
        "sightings",
    ]
    .map(|name| list(&plan, name).len());
    assert_eq!(counts, [14, 8, 17, 2, 7, 22]);
    let frames: i64 = list(&plan, "shots")
        .iter()
        .map(|shot| {
            shot["length_frames"]
                .as_i64()
                .expect("every shot has a length")
        })
        .sum();
    assert_eq!(frames, 1679, "67 s and 4 frames of screen");
    let words = book.app.store.check().await.expect("they agree");
    assert!(words.ends_with("tables and journal agree."), "{words}");
}

#[tokio::test]
async fn the_nave_has_the_numbers_of_its_bench() {
    let (_book, plan) = filled().await;
    let nave = by(&plan, "setups", "code", "S3");
    for (field, value) in [
        ("f_number", 11.0),
        ("shoot_fps", 112.0),
        ("focus_from_mark_mm", 1260.0),
        ("pupil_magnification", 1.4),
        ("principal_plane_separation_mm", 28.0),
        ("exposure_index", 1600.0),
        ("key_stops", -1.5),
        ("reach_m", 55.0),
        ("key_through_haze_mm", 800.0),
        ("key_distance_mm", 2200.0),
        ("tent_length_mm", 3200.0),
    ] {
        assert_eq!(nave[field].as_f64(), Some(value), "{field}");
    }
    let lens = by(
        &plan,
        "lenses",
        "id",
        nave["lens"].as_str().expect("a lens"),
    );
    assert_eq!(lens["focal_length_mm"].as_f64(), Some(24.0));
    let mode = nave["camera_mode"].as_str().expect("a mode");
    let mode = by(&plan, "camera_modes", "id", mode);
    assert_eq!(mode["sensor_width_mm"].as_f64(), Some(24.0));
    let passes: Vec<_> = list(&plan, "passes")
        .iter()
        .filter(|pass| pass["setup"] == nave["id"])
        .map(|pass| pass["element"].as_str().expect("an element"))
        .collect();
    assert_eq!(passes, ["main", "practicals", "clean", "main"]);
}

#[tokio::test]
async fn two_hands_are_on_the_stop_of_the_nave_and_some_safety_lines_are_not_written_yet() {
    let (_book, plan) = filled().await;
    let nave = by(&plan, "setups", "code", "S3");
    let beside = &plan["besides"][0];
    assert_eq!(
        (
            &beside["entity"],
            &beside["field"],
            beside["value"].as_f64()
        ),
        (&nave["id"], &"f_number".into(), Some(16.0))
    );
    let stage = by(&plan, "stages", "name", "Stage 1");
    assert!(
        stage["emergency"].is_null() && stage["hospital"].is_null(),
        "{stage}"
    );
    assert_eq!(stage["meeting_point"], "gate by the scene dock");
}

#[tokio::test]
async fn the_days_are_in_their_order_and_one_setup_is_left_unplanned() {
    let (_book, plan) = filled().await;
    let code = |id: &Value| {
        by(&plan, "setups", "id", id.as_str().expect("an id"))["code"]
            .as_str()
            .expect("a code")
            .to_owned()
    };
    let planned: Vec<_> = list(&plan, "day_setups")
        .iter()
        .map(|place| code(&place["setup"]))
        .collect();
    assert_eq!(planned, ["S6", "S7", "S5", "S4", "S3", "S2", "S1"]);
}
