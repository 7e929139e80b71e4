//! Plans for programs: list, new, whole, changes, and every way to get it wrong.

use crate::harness::{Answer, Book, op};
use axum::{
    body::Body,
    http::{Request, StatusCode, header},
};
use serde_json::{Value, json};

/// A book with one plan made over the interface, its epoch and its number.
async fn made() -> (Book, String, Value) {
    let book = Book::new().await;
    let body = json!({"title": "The Drowned Parish", "base_fps": "25"});
    let answer = book.post_json("/api/plans", &body).await;
    assert_eq!(answer.status, StatusCode::CREATED, "{}", answer.text);
    let json = answer.json();
    let id = json["id"].as_str().expect("an id").to_owned();
    assert_eq!(
        answer.headers[header::LOCATION],
        format!("/api/plans/{id}").as_str()
    );
    (book, id, json)
}

/// A problem: its status, its content type, and that it says its own status.
fn problem(answer: &Answer, status: u16) -> Value {
    assert_eq!(answer.status.as_u16(), status, "{}", answer.text);
    assert_eq!(
        answer.headers[header::CONTENT_TYPE],
        "application/problem+json"
    );
    let json = answer.json();
    assert_eq!(json["status"], status);
    for member in ["type", "title", "detail", "instance"] {
        assert!(json[member].is_string(), "{member}: {json}");
    }
    json
}

fn shot(code: &str) -> Value {
    op(
        "insert",
        json!({"entity_type": "shot", "entity": format!("shot-{code}"), "value": {"code": code}}),
    )
}

async fn change(book: &Book, plan: &str, body: &Value) -> Answer {
    book.post_json(&format!("/api/plans/{plan}/changes"), body)
        .await
}

#[tokio::test]
async fn a_new_plan_is_listed_and_read_whole() {
    let (book, id, made) = made().await;
    assert_eq!(made["seq"], 1);
    let list = book.get("/api/plans").await.json();
    assert_eq!(
        list,
        json!({"plans": [{"id": id, "title": "The Drowned Parish", "seq": 1}]})
    );
    let written = change(&book, &id, &json!([shot("010"), shot("020")])).await;
    assert_eq!(written.status, StatusCode::OK, "{}", written.text);
    let plan = book.get(&format!("/api/plans/{id}")).await.json();
    assert_eq!(plan["id"], id.as_str());
    assert_eq!(plan["title"], "The Drowned Parish");
    assert_eq!(plan["epoch"], made["epoch"]);
    assert_eq!(plan["seq"], 3);
    assert_eq!(plan["plans"][0]["base_fps"], "25");
    assert_eq!(plan["shots"][0]["code"], "010");
    assert_eq!(plan["shots"][0]["length_frames"], Value::Null);
    assert_eq!(plan["shots"][0]["versions"], json!({"code": 2}));
    for list in [
        "scenes",
        "sightings",
        "setups",
        "passes",
        "days",
        "stages",
        "cameras",
        "lenses",
        "pieces",
        "besides",
    ] {
        assert_eq!(plan[list], json!([]), "{list}");
    }
}

#[tokio::test]
async fn the_tag_follows_the_number() {
    let (book, id, _) = made().await;
    let path = format!("/api/plans/{id}");
    let tag = book.get(&path).await.headers[header::ETAG].clone();
    let again = |tag: header::HeaderValue| {
        book.send(
            Request::get(&path).header(header::IF_NONE_MATCH, tag),
            Body::empty(),
        )
    };
    let same = again(tag.clone()).await;
    assert_eq!(same.status, StatusCode::NOT_MODIFIED);
    assert_eq!(
        (same.text.as_str(), &same.headers[header::ETAG]),
        ("", &tag)
    );
    change(&book, &id, &shot("010")).await;
    let newer = again(tag.clone()).await;
    assert_eq!(newer.status, StatusCode::OK);
    assert_ne!(newer.headers[header::ETAG], tag);
    let packed = book
        .send(
            Request::get(&path).header(header::ACCEPT_ENCODING, "gzip"),
            Body::empty(),
        )
        .await;
    assert_ne!(
        packed.headers[header::ETAG],
        newer.headers[header::ETAG],
        "other bytes, other tag"
    );
}

#[tokio::test]
async fn what_the_studio_shares_moves_the_number_of_every_plan() {
    let (book, id, _) = made().await;
    let other = book
        .post_json(
            "/api/plans",
            &json!({"title": "Second unit", "base_fps": 24}),
        )
        .await
        .json();
    let other = other["id"].as_str().expect("an id");
    let lens = op(
        "insert",
        json!({"entity_type": "lens", "entity": "lens-1", "value": {"name": "28", "focal_length_mm": 28}}),
    );
    assert_eq!(
        change(&book, &id, &lens).await.json()["results"][0]["seq"],
        3
    );
    let seen = book.get(&format!("/api/plans/{other}")).await.json();
    assert_eq!(
        (&seen["seq"], &seen["lenses"][0]["name"]),
        (&json!(3), &json!("28"))
    );
}

#[tokio::test]
async fn a_batch_answers_each_op_and_a_single_op_its_status() {
    let (book, id, _) = made().await;
    let unknown = op(
        "set",
        json!({"entity": "nobody", "field": "name", "base": 1, "value": "x"}),
    );
    let mixed = change(&book, &id, &json!([shot("010"), unknown, {"kind": "set"}])).await;
    assert_eq!(mixed.status, StatusCode::OK);
    let results = &mixed.json()["results"];
    assert_eq!(results[0]["outcome"], "applied");
    assert_eq!(results[1]["outcome"], "refused");
    assert_eq!(results[1]["errors"][0]["kind"], "refers_to_nothing");
    assert!(results[1].get("seq").is_none());
    assert_eq!(results[2]["errors"][0]["field"], "op_id");

    let twice = problem(&change(&book, &id, &shot("010")).await, 422);
    assert_eq!(twice["errors"][0]["kind"], "used_twice");
    let bad = op(
        "set",
        json!({"entity": "shot-010", "field": "length_frames", "base": 2, "value": -4}),
    );
    let bad = problem(&change(&book, &id, &bad).await, 422);
    assert_eq!(
        (&bad["errors"][0]["field"], &bad["errors"][0]["kind"]),
        (&json!("length_frames"), &json!("not_positive"))
    );
    let strange = problem(
        &change(
            &book,
            &id,
            &op("set", json!({"entity": "shot-010", "colour": 1})),
        )
        .await,
        422,
    );
    assert_eq!(
        (
            &strange["errors"][0]["field"],
            &strange["errors"][0]["kind"]
        ),
        (&json!("colour"), &json!("unknown_field"))
    );
}

#[tokio::test]
async fn an_atomic_batch_is_stored_whole_or_not_at_all() {
    let (book, id, _) = made().await;
    let first = shot("010");
    let bad = json!({"ops": [first, shot("020"), shot("010")], "atomic": true});
    let refused = problem(&change(&book, &id, &bad).await, 422);
    let outcomes: Vec<_> = refused["results"]
        .as_array()
        .expect("results")
        .iter()
        .map(|r| r["outcome"].clone())
        .collect();
    assert_eq!(outcomes, ["refused", "refused", "refused"]);
    let plan = book.get(&format!("/api/plans/{id}")).await.json();
    assert_eq!((&plan["shots"], &plan["seq"]), (&json!([]), &json!(1)));

    let good = json!({"ops": [first, shot("020")], "atomic": true});
    let stored = change(&book, &id, &good).await;
    assert_eq!(stored.status, StatusCode::OK, "{}", stored.text);
    let again = change(&book, &id, &good).await;
    assert_eq!(stored.json(), again.json(), "a retry answers the same");
    let unread = json!({"ops": [shot("030"), 7], "atomic": true});
    problem(&change(&book, &id, &unread).await, 422);
    let plan = book.get(&format!("/api/plans/{id}")).await.json();
    assert_eq!(plan["shots"].as_array().map(Vec::len), Some(2));
    assert!(book.app.store.check().await.is_ok());
}

#[tokio::test]
async fn what_is_still_in_use_is_named() {
    let (book, id, _) = made().await;
    let ops = json!([
        op(
            "insert",
            json!({"entity_type": "lens", "entity": "lens-1", "value": {"name": "28", "focal_length_mm": 28}})
        ),
        op(
            "insert",
            json!({"entity_type": "setup", "entity": "setup-5", "value": {"code": "S5", "lens": "lens-1"}})
        ),
    ]);
    change(&book, &id, &ops).await;
    let remove = |detach: bool| {
        op(
            "remove",
            json!({"entity": "lens-1", "seen": 3, "detach": detach}),
        )
    };
    let refused = problem(&change(&book, &id, &remove(false)).await, 409);
    assert_eq!(refused["referrers"], json!(["S5"]));
    assert!(
        refused["type"]
            .as_str()
            .is_some_and(|t| t.ends_with("still-referenced"))
    );
    let in_list = change(&book, &id, &json!([remove(false), shot("010")])).await;
    assert_eq!(in_list.status, StatusCode::OK);
    assert_eq!(in_list.json()["results"][0]["referrers"], json!(["S5"]));
    assert_eq!(
        change(&book, &id, &remove(true)).await.json()["results"][0]["outcome"],
        "applied"
    );
    let plan = book.get(&format!("/api/plans/{id}")).await.json();
    assert_eq!(
        (&plan["lenses"], &plan["setups"][0]["lens"]),
        (&json!([]), &Value::Null)
    );
}

#[tokio::test]
async fn every_failure_is_problem_details() {
    let (book, id, _) = made().await;
    let changes = format!("/api/plans/{id}/changes");
    let send = |kind: &'static str, body: String| {
        book.send(
            Request::post(&changes).header(header::CONTENT_TYPE, kind),
            body,
        )
    };
    let broken = problem(&send("application/json", "[{\"op_id\":".into()).await, 400);
    assert!(
        broken["detail"]
            .as_str()
            .is_some_and(|d| d.contains("line 1"))
    );
    problem(&send("text/plain", "[]".into()).await, 415);
    problem(&send("application/json", "7".into()).await, 422);
    problem(
        &send("application/json", "{\"ops\":[],\"colour\":1}".into()).await,
        422,
    );
    problem(
        &send("application/json", " ".repeat((4 << 20) + 1)).await,
        413,
    );
    let many = json!(vec![json!({}); 2001]).to_string();
    let many = problem(&send("application/json", many).await, 413);
    assert!(many["detail"].as_str().is_some_and(|d| d.contains("2000")));
    problem(&book.get(&changes).await, 405);
    problem(&book.get("/api/plans/none").await, 404);
    problem(&book.get("/api/plans/no%20id").await, 404);
    problem(&change(&book, "none", &json!([])).await, 404);
    let untitled = problem(
        &book
            .post_json("/api/plans", &json!({"base_fps": "0", "colour": 1}))
            .await,
        422,
    );
    let fields: Vec<_> = untitled["errors"]
        .as_array()
        .expect("errors")
        .iter()
        .map(|e| e["field"].clone())
        .collect();
    for field in ["title", "base_fps", "colour"] {
        assert!(fields.contains(&json!(field)), "{field}: {untitled}");
    }
    assert_eq!(
        book.get("/api/plans").await.json()["plans"]
            .as_array()
            .map(Vec::len),
        Some(1)
    );
}

#[tokio::test]
async fn an_empty_list_is_no_mistake() {
    let (book, id, _) = made().await;
    let answer = change(&book, &id, &json!([])).await;
    assert_eq!(
        (answer.status, answer.json()),
        (StatusCode::OK, json!({"results": []}))
    );
}
