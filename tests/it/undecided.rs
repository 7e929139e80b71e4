//! Two hands, wherever the blank is: listed, counted in the title block, settled by either value or a third.

use crate::harness::{Book, op};
use axum::http::StatusCode;
use serde_json::{Value, json};
use stillair::journal::value::Id;

async fn write(book: &Book, plan: &str, ops: Value) -> Value {
    let answer = book
        .post_json(&format!("/api/plans/{plan}/changes"), &ops)
        .await;
    assert_eq!(answer.status, StatusCode::OK, "{}", answer.text);
    answer.json()["results"].clone()
}

#[tokio::test]
async fn every_blank_that_two_hands_wrote_is_listed_and_settled() {
    let book = Book::new().await;
    let plan = book.plan().await;
    let (setup, thing, lamp, day) = (Id::new(), Id::new(), Id::new(), Id::new());
    let insert = |kind: &str, id: &Id, value: Value| {
        op(
            "insert",
            json!({"entity_type": kind, "entity": id.as_str(), "value": value}),
        )
    };
    let made = write(
        &book,
        &plan,
        json!([
            insert("setup", &setup, json!({"code": "S3", "name": "Nave"})),
            insert(
                "placement",
                &thing,
                json!({"setup": setup.as_str(), "kind": "lamp", "name": "key"})
            ),
            insert("lamp", &lamp, json!({"name": "fresnel"})),
            insert("day", &day, json!({"name": "Church"})),
        ]),
    )
    .await;
    let base = made[3]["seq"].as_i64().expect("a number");
    // A thing on the table, something in stores and a day: each written twice from the same base.
    let blanks = [
        (&thing, "x_mm", 100, 200),
        (&lamp, "power_w", 300, 650),
        (&day, "meal_min", 30, 45),
    ];
    for (id, field, one, other) in blanks {
        for (value, outcome) in [(one, "applied"), (other, "kept beside")] {
            let set = op(
                "set",
                json!({"entity": id.as_str(), "field": field, "base": base, "value": value}),
            );
            let results = write(&book, &plan, set).await;
            assert_eq!(results[0]["outcome"], outcome, "{field}");
        }
    }
    let page = |path: &str| format!("/plans/{plan}{path}");
    let list = book.get(&page("/undecided")).await.text;
    for words in [
        "3 to settle",
        "S3, key",
        "fresnel",
        "Church",
        "Keep 100 mm",
        "Take 650 W",
        "Take 45 min",
    ] {
        assert!(list.contains(words), "{words}: {list}");
    }
    let bench = book.get(&page("/setups/S3")).await.text;
    assert!(bench.contains("Take 200 mm"), "the bench has its own");
    assert!(
        book.get(&page("/cut")).await.text.contains("3 to settle"),
        "every sheet counts them"
    );
    let settle = async |id: &Id, field: &str, choice: &str, third: &str| {
        let number = book.get(&format!("/api/plans/{plan}")).await.json()["seq"].to_string();
        let fields = [
            ("entity", id.as_str()),
            ("field", field),
            ("base", &number),
            ("choice", choice),
            ("third", third),
            ("back", "/"),
        ];
        book.post_form(&page("/settle"), &fields).await.status
    };
    let whole = book.get(&format!("/api/plans/{plan}")).await.json();
    let beside = |id: &Id| {
        let all = whole["besides"].as_array().expect("a list").iter();
        let own = all
            .into_iter()
            .find(|b| b["entity"] == id.as_str())
            .expect("beside");
        own["seq"].to_string()
    };
    assert_eq!(
        settle(&thing, "x_mm", "keep", "").await,
        StatusCode::SEE_OTHER
    );
    assert_eq!(
        settle(&lamp, "power_w", &beside(&lamp), "").await,
        StatusCode::SEE_OTHER
    );
    let refused = settle(&day, "meal_min", "third", "a while").await;
    assert_eq!(
        refused,
        StatusCode::UNPROCESSABLE_ENTITY,
        "a third value is checked like any other"
    );
    assert_eq!(
        settle(&day, "meal_min", "third", "40").await,
        StatusCode::SEE_OTHER
    );
    let whole = book.get(&format!("/api/plans/{plan}")).await.json();
    assert_eq!(whole["placements"][0]["x_mm"], 100.0);
    assert_eq!(whole["lamps"][0]["power_w"], 650.0);
    assert_eq!(whole["days"][0]["meal_min"], 40.0);
    assert_eq!(whole["besides"], json!([]));
    assert!(
        book.get(&page("/undecided"))
            .await
            .text
            .contains("Nobody is in anybody")
    );
}
