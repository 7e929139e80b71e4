//! The history of a plan: filters, values put back, and the plan as it stood.

use crate::harness::{Answer, Book, op};
use axum::{
    body::Body,
    http::{Request, StatusCode},
};
use serde_json::{Value, json};
use stillair::{access::Role, journal::value::Id};

async fn write(book: &Book, plan: &str, ops: Value) -> i64 {
    let answer = book
        .post_json(&format!("/api/plans/{plan}/changes"), &ops)
        .await;
    assert_eq!(answer.status, StatusCode::OK, "{}", answer.text);
    let results = answer.json()["results"].clone();
    results.as_array().and_then(|r| r.last()).expect("a result")["seq"]
        .as_i64()
        .expect("it is taken")
}

fn insert(kind: &str, id: &str, value: Value) -> Value {
    op(
        "insert",
        json!({"entity_type": kind, "entity": id, "value": value}),
    )
}

fn set(id: &str, field: &str, base: i64, value: Value) -> Value {
    op(
        "set",
        json!({"entity": id, "field": field, "base": base, "value": value}),
    )
}

/// A plan with a shot and a setup whose stop was written three times.
struct Told {
    book: Book,
    plan: String,
    setup: String,
    stops: Vec<i64>,
}

async fn told() -> Told {
    let book = Book::new().await;
    let plan = book.plan().await;
    let (shot, setup) = (Id::new().to_string(), Id::new().to_string());
    let mut base = write(
        &book,
        &plan,
        json!([
            insert(
                "shot",
                &shot,
                json!({"code": "010", "name": "nave", "length_frames": 48})
            ),
            insert("setup", &setup, json!({"code": "S3", "name": "Nave"})),
        ]),
    )
    .await;
    let mut stops = Vec::new();
    for stop in [8, 11, 16] {
        base = write(&book, &plan, set(&setup, "f_number", base, json!(stop))).await;
        stops.push(base);
    }
    Told {
        book,
        plan,
        setup,
        stops,
    }
}

impl Told {
    async fn page(&self, query: &str) -> Answer {
        let path = format!("/plans/{}/history{query}", self.plan);
        self.book.get(&path).await
    }

    async fn stop(&self) -> Value {
        let whole = self
            .book
            .get(&format!("/api/plans/{}", self.plan))
            .await
            .json();
        whole["setups"][0]["f_number"].clone()
    }

    async fn put_back(&self, seq: i64, act: &str) -> Answer {
        let path = format!("/plans/{}/history/{seq}", self.plan);
        self.book
            .post_form(&path, &[("do", act), ("query", "")])
            .await
    }
}

#[tokio::test]
async fn every_change_stands_in_words_and_any_value_can_be_put_back() {
    let told = told().await;
    let page = told.page("").await.text;
    for words in [
        "8 → 11",
        "11 → 16",
        "S3 Nave",
        "made",
        "Put back 11",
        "Put back 8",
    ] {
        assert!(page.contains(words), "{words}: {page}");
    }
    let done = told.put_back(told.stops[0], "value").await;
    assert_eq!(done.status, StatusCode::SEE_OTHER, "{}", done.text);
    assert_eq!(told.stop().await, 8.0);
    // What stood before is put back as well, and it is a change that can be rubbed out.
    told.put_back(told.stops[2], "before").await;
    assert_eq!(told.stop().await, 11.0);
    told.book
        .post_form(&format!("/plans/{}/undo", told.plan), &[("back", "/")])
        .await;
    assert_eq!(told.stop().await, 8.0);
    assert!(told.page("").await.text.contains("rubs out"));
    assert_eq!(
        told.put_back(9999, "value").await.status,
        StatusCode::NOT_FOUND
    );
    assert_eq!(
        told.put_back(told.stops[0], "else").await.status,
        StatusCode::NOT_FOUND
    );
}

#[tokio::test]
async fn what_was_struck_out_comes_back_from_there() {
    let told = told().await;
    let seq = write(
        &told.book,
        &told.plan,
        op(
            "remove",
            json!({"entity": told.setup, "base": told.stops[2]}),
        ),
    )
    .await;
    assert!(told.page("").await.text.contains("Put it back"));
    told.put_back(seq, "restore").await;
    assert_eq!(told.stop().await, 16.0);
}

#[tokio::test]
async fn the_history_is_filtered_by_hand_thing_and_day() {
    let told = told().await;
    let crew = told.book.cookie_of(Role::Crew).await;
    let request = Request::post(format!("/api/plans/{}/changes", told.plan))
        .header("content-type", "application/json");
    let edit = set(&told.setup, "reach_m", told.stops[2], json!(40));
    let answer = told.book.send_as(&crew, request, edit.to_string()).await;
    assert_eq!(answer.status, StatusCode::OK);
    let me = told
        .book
        .send_as(
            &crew,
            Request::get(format!("/plans/{}/cut", told.plan)),
            Body::empty(),
        )
        .await
        .text;
    let id = me
        .split("data-me=\"")
        .nth(1)
        .and_then(|t| t.split('"').next())
        .expect("an id");
    let count = |page: &str| page.matches("<li id=\"change-").count();
    let by = told.page(&format!("?who={id}")).await.text;
    assert_eq!(count(&by), 1);
    assert!(by.contains("40"));
    let all = count(&told.page("").await.text);
    let of_setup = told.page(&format!("?thing={}", told.setup)).await.text;
    assert_eq!(count(&of_setup), 5, "made, three stops, a reach");
    assert!(all > 5);
    let today = stillair::web::units::iso_day(stillair::journal::writer::now_ms());
    assert_eq!(count(&told.page(&format!("?day={today}")).await.text), all);
    assert_eq!(count(&told.page("?day=2001-01-01").await.text), 0);
    assert_eq!(
        told.page("?day=yesterday").await.status,
        StatusCode::BAD_REQUEST
    );
    assert_eq!(
        count(&told.page(&format!("?before={}", told.stops[0])).await.text),
        all - 4
    );
}

#[tokio::test]
async fn a_moment_is_read_on_every_sheet_and_written_on_none() {
    let told = told().await;
    let at = format!("{}@{}", told.plan, told.stops[0]);
    let whole = told.book.get(&format!("/api/plans/{at}")).await.json();
    assert_eq!(whole["setups"][0]["f_number"], 8.0);
    assert_eq!(whole["seq"], told.stops[0]);
    let export = told
        .book
        .get(&format!("/api/plans/{at}/export/setups.csv"))
        .await;
    assert!(
        export.text.contains('8') && !export.text.contains("16"),
        "{}",
        export.text
    );
    for sheet in [
        "cut",
        "setups",
        "setups/S3",
        "stores",
        "days",
        "paper",
        "paper/setups/S3",
        "history",
    ] {
        let page = told.book.get(&format!("/plans/{at}/{sheet}")).await;
        assert_eq!(page.status, StatusCode::OK, "{sheet}: {}", page.text);
        assert!(page.text.contains("as it stood at change"), "{sheet}");
        // Every way on stays in the moment, but the one that leaves it; nothing is offered that writes.
        let own = format!("/plans/{}/", told.plan);
        let leaving = page.text.matches(&format!("href=\"{own}")).count();
        assert_eq!(leaving, 1, "{sheet}");
        assert!(!page.text.contains("data-stream"), "{sheet} stands still");
        assert!(!page.text.contains("data-undo"), "{sheet}");
    }
    let bench = told.book.get(&format!("/plans/{at}/setups/S3")).await.text;
    assert!(bench.contains("value=\"8\"") && !bench.contains("value=\"16\""));
    assert!(bench.contains("readonly") && !bench.contains("Work it out"));
    for (path, body) in [
        (
            format!("/plans/{at}/setups/S3"),
            "entity=x&field=f_number&value=2",
        ),
        (format!("/plans/{at}/undo"), "back=/"),
    ] {
        let request =
            Request::post(path).header("content-type", "application/x-www-form-urlencoded");
        let refused = told.book.send(request, body.to_owned()).await;
        assert_eq!(refused.status, StatusCode::FORBIDDEN, "{}", refused.text);
    }
    let ops = set(&told.setup, "f_number", told.stops[0], json!(2));
    let refused = told
        .book
        .post_json(&format!("/api/plans/{at}/changes"), &ops)
        .await;
    assert_eq!(refused.status, StatusCode::FORBIDDEN);
    assert_eq!(told.stop().await, 16.0);
    for nowhere in [
        format!("{}@99999", told.plan),
        format!("{}@0", told.plan),
        format!("{}@x", told.plan),
    ] {
        let page = told.book.get(&format!("/plans/{nowhere}/cut")).await;
        assert_eq!(page.status, StatusCode::NOT_FOUND, "{nowhere}");
    }
}

/// I8: the state at a number, and what came after it, make the present one.
#[tokio::test]
async fn every_moment_of_the_demo_is_a_plan() {
    let book = Book::new().await;
    stillair::demo::fill(&book.app.store)
        .await
        .expect("the demo");
    let plan = book.app.store.plans().await.expect("plans").remove(0).id;
    let now = book
        .app
        .store
        .plan(&plan)
        .await
        .expect("a plan")
        .expect("there");
    let at = book
        .app
        .store
        .plan_at(&plan, now.number())
        .await
        .expect("a plan")
        .expect("there");
    let mut same = (*at).clone();
    same.moment = None;
    assert_eq!(
        same, *now,
        "the journal read to its end is the plan as it stands"
    );
}
