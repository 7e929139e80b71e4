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

/// A thing on the table, something in stores and a day, each with a blank written twice from the same base.
struct Told {
    book: Book,
    plan: String,
    thing: Id,
    lamp: Id,
    day: Id,
}

async fn told() -> Told {
    let book = Book::new().await;
    let plan = book.plan().await;
    let (setup, thing, lamp, day) = (Id::new(), Id::new(), Id::new(), Id::new());
    let insert = |kind: &str, id: &Id, value: Value| {
        op(
            "insert",
            json!({"entity_type": kind, "entity": id.as_str(), "value": value}),
        )
    };
    let standing = json!({"setup": setup.as_str(), "kind": "lamp", "name": "key"});
    let made = json!([
        insert("setup", &setup, json!({"code": "S3", "name": "Nave"})),
        insert("placement", &thing, standing),
        insert("lamp", &lamp, json!({"name": "fresnel"})),
        insert("day", &day, json!({"name": "Church"})),
    ]);
    let made = write(&book, &plan, made).await;
    let base = made[3]["seq"].as_i64().expect("a number");
    let blanks = [
        (&thing, "x_mm", 100, 200),
        (&lamp, "power_w", 300, 650),
        (&day, "meal_min", 30, 45),
    ];
    for (id, field, one, other) in blanks {
        for (value, outcome) in [(one, "applied"), (other, "kept beside")] {
            let set = json!({"entity": id.as_str(), "field": field, "base": base, "value": value});
            let results = write(&book, &plan, op("set", set)).await;
            assert_eq!(results[0]["outcome"], outcome, "{field}");
        }
    }
    Told {
        book,
        plan,
        thing,
        lamp,
        day,
    }
}

impl Told {
    async fn sheet(&self, path: &str) -> String {
        let path = format!("/plans/{}{path}", self.plan);
        self.book.get(&path).await.text
    }

    async fn whole(&self) -> Value {
        let path = format!("/api/plans/{}", self.plan);
        self.book.get(&path).await.json()
    }

    async fn settle(&self, id: &Id, field: &str, choice: &str, third: &str) -> StatusCode {
        let number = self.whole().await["seq"].to_string();
        let fields = [
            ("entity", id.as_str()),
            ("field", field),
            ("base", &number),
            ("choice", choice),
            ("third", third),
            ("back", "/"),
        ];
        let path = format!("/plans/{}/settle", self.plan);
        self.book.post_form(&path, &fields).await.status
    }
}

#[tokio::test]
async fn every_blank_that_two_hands_wrote_is_listed() {
    let told = told().await;
    let list = told.sheet("/undecided").await;
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
    let bench = told.sheet("/setups/S3").await;
    assert!(bench.contains("Take 200 mm"), "the bench has its own");
    let list = told.sheet("/setups").await;
    assert!(list.contains("Undecided: 1."), "the list of setups says so");
    let cut = told.sheet("/cut").await;
    assert!(cut.contains("3 to settle"), "every sheet counts them");
}

#[tokio::test]
async fn either_value_or_a_third_settles_it_wherever_it_is() {
    let told = told().await;
    let whole = told.whole().await;
    let all = whole["besides"].as_array().expect("a list");
    let beside = all.iter().find(|b| b["entity"] == told.lamp.as_str());
    let beside = beside.expect("beside")["seq"].to_string();
    let done = StatusCode::SEE_OTHER;
    assert_eq!(told.settle(&told.thing, "x_mm", "keep", "").await, done);
    assert_eq!(told.settle(&told.lamp, "power_w", &beside, "").await, done);
    let refused = told.settle(&told.day, "meal_min", "third", "a while").await;
    assert_eq!(
        refused,
        StatusCode::UNPROCESSABLE_ENTITY,
        "a third value is checked like any other"
    );
    assert_eq!(
        told.settle(&told.day, "meal_min", "third", "40").await,
        done
    );
    let whole = told.whole().await;
    assert_eq!(whole["placements"][0]["x_mm"], 100.0);
    assert_eq!(whole["lamps"][0]["power_w"], 650.0);
    assert_eq!(whole["days"][0]["meal_min"], 40.0);
    assert_eq!(whole["besides"], json!([]));
    let list = told.sheet("/undecided").await;
    assert!(list.contains("Nobody is in anybody"));
}

/// C7.11 no. 6: fifty writes kept by a phone, the same blanks written elsewhere meanwhile.
#[tokio::test]
async fn fifty_kept_writes_lose_nothing_when_they_come() {
    const KEPT: usize = 50;
    let book = Book::new().await;
    let plan = book.plan().await;
    let shots: Vec<String> = (0..KEPT).map(|_| Id::new().to_string()).collect();
    let made: Vec<_> = shots
        .iter()
        .enumerate()
        .map(|(n, id)| {
            let fields = json!({"code": format!("{n:03}"), "name": "as it was"});
            op(
                "insert",
                json!({"entity_type": "shot", "entity": id, "value": fields}),
            )
        })
        .collect();
    let base = write(&book, &plan, json!(made)).await[KEPT - 1]["seq"].clone();
    // While the phone is away, every other of its blanks is written by somebody else.
    for (n, id) in shots.iter().enumerate().step_by(2) {
        let set =
            json!({"entity": id, "field": "name", "base": base, "value": format!("ours {n}")});
        write(&book, &plan, op("set", set)).await;
    }
    // It comes back and sends what it kept, in order, as its pages do; some of it twice, since an answer was lost.
    let send = async |n: usize| {
        let body = format!(
            "entity={}&field=name&value=theirs+{n}&base={base}&op_id=kept-{n}",
            shots[n]
        );
        let answer = book.post_raw(&format!("/plans/{plan}/cut"), &body).await;
        assert!(
            !answer.status.is_client_error() && !answer.status.is_server_error(),
            "{}",
            answer.status
        );
    };
    for n in 0..KEPT {
        send(n).await;
        if n % 7 == 0 {
            send(n).await;
        }
    }
    let whole = book.get(&format!("/api/plans/{plan}")).await.json();
    let all = whole["shots"].as_array().expect("shots");
    let besides = whole["besides"].as_array().expect("a list");
    assert_eq!(besides.len(), KEPT / 2, "one a blank that both wrote");
    let page = book.get(&format!("/plans/{plan}/undecided")).await.text;
    for (n, id) in shots.iter().enumerate() {
        let shot = all
            .iter()
            .find(|s| s["id"] == json!(id))
            .expect("it is there");
        let (ours, theirs) = (format!("ours {n}"), format!("theirs {n}"));
        if n % 2 == 0 {
            assert_eq!(shot["name"], ours, "the earlier value stands");
            let beside = besides
                .iter()
                .find(|b| b["entity"] == json!(id))
                .expect("beside");
            assert_eq!(beside["value"], theirs);
            assert!(
                page.contains(&format!("Keep {ours}<"))
                    && page.contains(&format!("Take {theirs}<")),
                "{n}"
            );
        } else {
            assert_eq!(shot["name"], theirs);
        }
    }
}
