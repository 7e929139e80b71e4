//! The stream of a plan's changes: where it begins, what it tells, when it ends (`planning.md` C7.5, C7.9).

use crate::{
    harness::{Book, op},
    live_reader::{Served, follow, follow_with},
};
use axum::{
    body::Body,
    http::{Request, StatusCode},
};
use serde_json::{Value, json};
use std::time::Duration;
use stillair::{access::Role, journal::value::Id};

const STALLED: Duration = Duration::from_secs(30);

/// A book with a plan, and its number as a stream names it.
async fn table() -> (Book, String, String) {
    let book = Book::new().await;
    let plan = book.plan().await;
    let at = at(&book, &plan).await;
    (book, plan, at)
}

async fn at(book: &Book, plan: &str) -> String {
    let whole = book.get(&format!("/api/plans/{plan}")).await.json();
    format!(
        "{}:{}",
        whole["epoch"].as_str().expect("an epoch"),
        whole["seq"]
    )
}

async fn write(book: &Book, plan: &str, ops: Value) -> i64 {
    let path = format!("/api/plans/{plan}/changes");
    let answer = book.post_json(&path, &ops).await;
    assert_eq!(answer.status, StatusCode::OK, "{}", answer.text);
    let results = answer.json()["results"].clone();
    let last = results.as_array().and_then(|r| r.last()).expect("a result");
    last["seq"].as_i64().expect("it was taken")
}

fn shot(code: &str) -> (String, Value) {
    let id = Id::new().to_string();
    let fields = json!({"code": code, "name": "the nave", "length_frames": 48});
    let made = op(
        "insert",
        json!({"entity_type": "shot", "entity": id, "value": fields}),
    );
    (id, made)
}

#[tokio::test]
async fn a_page_is_told_what_came_after_it() {
    let (book, plan, at) = table().await;
    let lead = book.cookie_of(Role::Crew).await;
    // Written between the page and its stream.
    let (id, made) = shot("010");
    let first = write(&book, &plan, made).await;
    let mut reader = follow(&book, &lead, &plan, &at).await;
    let retry = reader.any().await.expect("a beginning");
    assert_eq!((&*retry.retry, &*retry.id), ("2000", ""));
    let told = reader.next().await.expect("the change");
    let epoch = at.split(':').next().expect("an epoch");
    assert_eq!(told.id, format!("{epoch}:{first}"));
    assert_eq!(told.name, "change");
    for (name, value) in [
        ("seq", json!(first)),
        ("kind", json!("insert")),
        ("entity_type", json!("shot")),
        ("entity", json!(id)),
        ("field", Value::Null),
        ("outcome", json!("applied")),
    ] {
        assert_eq!(told.data[name], value, "{name}");
    }
    assert!(told.data["actor"].is_string());
    // Written while it listens; a value that is long stays behind.
    let long = "a".repeat(2000);
    for (field, value, travels) in [("name", "the crypt", true), ("action", &*long, false)] {
        let set = op(
            "set",
            json!({"entity": id, "field": field, "base": first, "value": value}),
        );
        let seq = write(&book, &plan, set).await;
        let told = reader.next().await.expect("it comes");
        assert_eq!(
            (&told.data["seq"], &told.data["field"]),
            (&json!(seq), &json!(field))
        );
        assert_eq!(told.data.get("value").is_some(), travels, "{field}");
    }
}

#[tokio::test]
async fn a_refused_write_is_not_told_and_one_kept_beside_is() {
    let (book, plan, _) = table().await;
    let (id, made) = shot("010");
    let first = write(&book, &plan, made).await;
    let at = at(&book, &plan).await;
    let mut reader = follow(&book, &book.cookie_of(Role::Crew).await, &plan, &at).await;
    let set = |base: i64, name: &str| {
        op(
            "set",
            json!({"entity": id, "field": "name", "base": base, "value": name}),
        )
    };
    let refused = book
        .post_json(
            &format!("/api/plans/{plan}/changes"),
            &set(first + 90, "later than now"),
        )
        .await;
    assert_eq!(refused.status, StatusCode::UNPROCESSABLE_ENTITY);
    write(&book, &plan, set(first, "the crypt")).await;
    write(&book, &plan, set(first, "the tower")).await;
    let outcomes = [reader.next().await, reader.next().await]
        .map(|told| told.expect("told").data["outcome"].clone());
    assert_eq!(outcomes, ["applied", "kept beside"]);
}

#[tokio::test]
async fn who_comes_from_another_book_or_from_nowhere_loads_the_plan_again() {
    let (book, plan, at) = table().await;
    let crew = book.cookie_of(Role::Crew).await;
    let (epoch, newest) = at.split_once(':').expect("a place");
    for (strange, ahead) in [
        (String::new(), false),
        ("another:3".to_owned(), false),
        (format!("{epoch}:nine"), false),
        (format!("{epoch}:999"), true),
    ] {
        let mut reader = follow(&book, &crew, &plan, &strange).await;
        let told = reader.next().await.expect("a word");
        assert_eq!(told.name, "reload", "{strange}");
        assert_eq!(told.id, at, "{strange}");
        assert_eq!(
            told.data,
            json!({"seq": newest.parse::<i64>().expect("a number"), "epoch": epoch, "ahead": ahead}),
            "{strange}"
        );
    }
    // A browser that comes back says so in a header, which is newer than the page's own address.
    let seq = write(&book, &plan, shot("010").1).await;
    let mut reader = follow_with(&book, &crew, &plan, &at, &format!("{epoch}:{seq}")).await;
    let next = write(&book, &plan, shot("020").1).await;
    assert_eq!(reader.seqs_to(next).await, [next]);
}

#[tokio::test]
async fn what_the_studio_shares_is_told_at_every_table_and_other_plans_at_none() {
    let (book, plan, at) = table().await;
    let mut reader = follow(&book, &book.cookie_of(Role::Crew).await, &plan, &at).await;
    let other = book.plan().await;
    write(&book, &other, shot("X10").1).await;
    let lamp = op(
        "insert",
        json!({"entity_type": "lamp", "entity": Id::new().to_string(), "value": {"name": "fresnel"}}),
    );
    let shared = write(&book, &other, lamp).await;
    let told = reader.next().await.expect("the lamp");
    assert_eq!(
        (&told.data["seq"], &told.data["entity_type"]),
        (&json!(shared), &json!("lamp"))
    );
}

#[tokio::test]
async fn what_is_no_longer_in_memory_comes_from_the_journal() {
    let (book, plan, at) = table().await;
    let mut last = 0;
    for part in 0..3 {
        let ops: Vec<_> = (0..1500).map(|n| shot(&format!("{part}-{n}")).1).collect();
        last = write(&book, &plan, json!(ops)).await;
    }
    let start: i64 = at
        .rsplit(':')
        .next()
        .and_then(|n| n.parse().ok())
        .expect("a number");
    assert!(
        book.app.store.recent_after(start).is_none(),
        "it is no longer in memory"
    );
    let mut reader = follow(&book, &book.cookie_of(Role::Crew).await, &plan, &at).await;
    assert_eq!(
        reader.seqs_to(last).await,
        (start + 1..=last).collect::<Vec<_>>()
    );
}

#[tokio::test]
async fn whoever_is_signed_out_hears_no_more() {
    let (book, plan, at) = table().await;
    let crew = book.cookie_of(Role::Crew).await;
    let mut reader = follow(&book, &crew, &plan, &at).await;
    let other = follow(&book, &book.cookie_of(Role::Crew).await, &plan, &at).await;
    assert!(reader.any().await.is_some());
    book.send_as(&crew, Request::post("/sign-out"), Body::empty())
        .await;
    while let Some(event) = reader.any().await {
        assert_eq!(event.name, "presence", "nothing else is told");
    }
    let seq = write(&book, &plan, shot("010").1).await;
    let mut other = other;
    assert_eq!(other.seqs_to(seq).await, [seq], "the others go on");
}

#[tokio::test]
async fn the_table_knows_who_is_in_which_blank() {
    let (book, plan, at) = table().await;
    let (id, made) = shot("010");
    write(&book, &plan, made).await;
    let crew = book.cookie_of(Role::Crew).await;
    let mut reader = follow(&book, &crew, &plan, &at).await;
    let here = async |body: String| {
        let request = Request::post(format!("/plans/{plan}/here"))
            .header("content-type", "application/x-www-form-urlencoded");
        let answer = book.send_as(&crew, request, body).await;
        assert_eq!(answer.status, StatusCode::NO_CONTENT, "{}", answer.text);
    };
    let mut seen = async |field: &str, count: usize| {
        loop {
            let event = reader.any().await.expect("it goes on");
            let hands = event.data.as_array().cloned().unwrap_or_default();
            if event.name == "presence" && hands.len() == count {
                assert_eq!(event.id, "", "presence does not move the reader's number");
                if count == 0 || hands[0]["field"] == field {
                    return hands;
                }
            }
        }
    };
    here(format!("window=w1&entity={id}&field=name")).await;
    let hands = seen("name", 1).await;
    assert_eq!(hands[0]["window"], "w1");
    assert_eq!(hands[0]["who"], "crew");
    assert_eq!(hands[0]["entity"], json!(id));
    // A blank that is not there is no place to be.
    here("window=w1&entity=nothing&field=name".to_owned()).await;
    seen("", 1).await;
    here("window=w1&gone=1".to_owned()).await;
    seen("", 0).await;
}

#[tokio::test]
async fn the_program_stops_though_streams_are_open() {
    let served = Served::new(STALLED).await;
    let plan = served.book.plan().await;
    let crew = served.book.cookie_of(Role::Crew).await;
    let path = format!("/api/plans/{plan}/stream");
    let answer = served.send(&crew, "GET", &path, String::new()).await;
    let mut reader = crate::live_reader::Reader::new(answer.into_body());
    assert!(reader.any().await.is_some());
    let ended = tokio::spawn(async move { while reader.block().await.is_some() {} });
    let took = served.stop().await;
    ended.await.expect("the stream ends");
    assert!(
        took < Duration::from_secs(3),
        "it does not wait for its farewell to run out"
    );
}
