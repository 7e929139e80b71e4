//! The reference rows of shared editing (`tests/checks/planning-journal.json`, each with its source) through the real
//! writer and the functions it stands on.

use crate::harness::{Book, op};
use axum::http::StatusCode;
use serde_json::{Value, json};
use stillair::{
    journal::{
        change::Op,
        replay::{Replay, replay_after},
        value::Id,
        writer::{Ask, Reply},
    },
    store::Store,
};

fn rows(calc: &str) -> Vec<Value> {
    let all: Vec<Value> = serde_json::from_str(include_str!("../checks/planning-journal.json"))
        .expect("the rows are JSON");
    assert!(
        all.iter().all(|r| r["source"].is_string()),
        "each row has a source"
    );
    let rows: Vec<_> = all.into_iter().filter(|r| r["calc"] == calc).collect();
    assert!(!rows.is_empty(), "no rows for {calc}");
    rows
}

async fn write(store: &Store, by: &str, op: Value) -> Reply {
    let ask = Ask {
        plan: Id::parse("plan-1").expect("an id"),
        ops: vec![Op::from_json(&op).unwrap_or_else(|e| panic!("{op}: {e:?}"))],
        atomic: false,
        batch: None,
        actor: by.into(),
        client: by.into(),
    };
    store.write(ask).await.expect("it is stored").remove(0)
}

/// A store with a plan and one shot, nothing but its code written. Returns the newest number, which is a row's zero.
async fn with_a_shot(store: &Store) -> i64 {
    let plan = op(
        "insert",
        json!({"entity_type": "plan", "entity": "plan-1", "value": {"title": "The Drowned Parish", "base_fps": "25"}}),
    );
    let shot = op(
        "insert",
        json!({"entity_type": "shot", "entity": "shot-1", "value": {"code": "010"}}),
    );
    write(store, "maker", plan).await;
    write(store, "maker", shot).await.result.expect("made").0
}

/// The rows' field as ours: a text and a number.
fn field(name: &str) -> &str {
    match name {
        "title" => "name",
        "minutes" => "length_frames",
        other => other,
    }
}

#[test]
fn keys_lie_between() {
    for row in rows("key_between") {
        let at = |name: &str| row["inputs"][name].as_str();
        let key = stillair_calc::order_key::between(at("after"), at("before"));
        assert_eq!(
            key.ok().as_deref(),
            row["expected"]["key"].as_str(),
            "{}",
            row["id"]
        );
    }
}

#[tokio::test]
async fn outcomes_are_the_rows() {
    for row in rows("journal") {
        let folder = crate::journal_histories::quick_folder();
        let store = Store::open(folder.path()).await.expect("it opens");
        let zero = with_a_shot(&store).await;
        for (asked, expected) in row["inputs"]["ops"]
            .as_array()
            .expect("ops")
            .iter()
            .zip(row["expected"]["replies"].as_array().expect("replies"))
        {
            let text = |name: &str| asked[name].as_str().expect("text");
            let kind = if asked["resolve"] == true {
                "resolve"
            } else {
                "set"
            };
            let base = asked["base"].as_i64().expect("a base") + zero;
            let reply = write(
                &store,
                text("by"),
                json!({"op_id": asked["op"], "kind": kind, "entity": "shot-1", "field": field(text("field")), "base": base, "value": asked["value"]}),
            )
            .await;
            let (seq, outcome) = reply.result.expect("not refused");
            assert_eq!(
                json!({"seq": seq - zero, "outcome": outcome.word()}),
                *expected,
                "{}",
                row["id"]
            );
        }
        let id = Id::parse("plan-1").expect("an id");
        let plan = store.plan(&id).await.expect("it reads").expect("a plan");
        assert_eq!(
            plan.number() - zero,
            row["expected"]["max_seq"],
            "{}",
            row["id"]
        );
        for (name, state) in row["expected"]["state"].as_object().expect("a state") {
            let name = field(name);
            let shot = plan.anything("shot-1").expect("it stands");
            let index = shot.kind().index(name).expect("declared");
            let besides: Vec<_> = plan
                .besides_of(shot.id(), name)
                .map(|b| json!({"seq": b.seq - zero, "value": b.value, "by": &*b.actor}))
                .collect();
            let held = json!({"value": shot.get(index).to_json(), "version": shot.version(index) - zero, "beside": besides});
            assert_eq!(held, *state, "{} {name}", row["id"]);
        }
        store.check().await.expect("tables and journal agree");
    }
}

#[tokio::test]
async fn the_same_id_with_other_content_is_refused() {
    for row in rows("journal_retry") {
        let book = Book::new().await;
        let plan = book.plan().await;
        let at = format!("/api/plans/{plan}/changes");
        book.post_json(
            &at,
            &op(
                "insert",
                json!({"entity_type": "shot", "entity": "shot-1", "value": {"code": "010"}}),
            ),
        )
        .await;
        let newest = *book.app.store.newest().borrow();
        let mut last = StatusCode::OK;
        for which in ["first", "again"] {
            let asked = &row["inputs"][which];
            let body = json!({"op_id": asked["op"], "kind": "set", "entity": "shot-1", "field": field(asked["field"].as_str().expect("text")), "base": newest, "value": asked["value"]});
            last = book.post_json(&at, &body).await.status;
        }
        assert_eq!(json!(last.as_u16()), row["expected"]["status"]);
        let more = *book.app.store.newest().borrow() - newest;
        assert_eq!(json!(more), row["expected"]["journal_rows"]);
    }
}

/// The rows say in words what is done; each has its steps here, under its id.
#[tokio::test]
async fn removals_are_the_rows() {
    for row in rows("journal_remove") {
        let id = row["id"].as_str().expect("an id");
        let expected = &row["expected"];
        let folder = crate::journal_histories::quick_folder();
        let store = Store::open(folder.path()).await.expect("it opens");
        let seen = with_a_shot(&store).await;
        let edit = |base: i64| {
            op(
                "set",
                json!({"entity": "shot-1", "field": "length_frames", "base": base, "value": 48}),
            )
        };
        let remove = |seen: i64| op("remove", json!({"entity": "shot-1", "seen": seen}));
        match id {
            "C7-DEL-01" => {
                write(&store, "B", edit(seen)).await;
                let reply = write(&store, "A", remove(seen)).await;
                assert_eq!(reply.result.expect("kept").1.word(), expected["outcome"]);
            }
            "C7-DEL-02" => {
                write(&store, "A", remove(seen)).await;
                let reply = write(&store, "B", edit(seen)).await;
                assert_eq!(reply.result.expect("kept").1.word(), expected["outcome"]);
            }
            "C7-DEL-03" => {
                still_in_use(expected).await;
                continue;
            }
            other => panic!("no steps for {other}"),
        }
        let plan = store.plan(&Id::parse("plan-1").expect("an id")).await;
        let plan = plan.expect("it reads").expect("a plan");
        let removed = plan.anything("shot-1").expect("it stands").removed_seq() != 0;
        let stands = if removed { "removed" } else { "live" };
        assert_eq!(stands, expected["entity"], "{id}");
    }
}

async fn still_in_use(expected: &Value) {
    let book = Book::new().await;
    let plan = book.plan().await;
    let at = format!("/api/plans/{plan}/changes");
    let ops = json!([
        op(
            "insert",
            json!({"entity_type": "lens", "entity": "R2", "value": {"name": "28", "focal_length_mm": 28}})
        ),
        op(
            "insert",
            json!({"entity_type": "setup", "entity": "setup-5", "value": {"code": "S5", "lens": "R2"}})
        ),
    ]);
    book.post_json(&at, &ops).await;
    let newest = *book.app.store.newest().borrow();
    let answer = book
        .post_json(
            &at,
            &op(
                "remove",
                json!({"entity": "R2", "seen": newest, "detach": false}),
            ),
        )
        .await;
    assert_eq!(json!(answer.status.as_u16()), expected["status"]);
    let body = answer.json();
    let kind = body["type"].as_str().expect("a type");
    assert_eq!(kind.rsplit('/').next(), expected["type"].as_str());
    assert_eq!(body["referrers"], expected["referrers"]);
}

#[tokio::test]
async fn members_merge() {
    for row in rows("merge_members") {
        let folder = crate::journal_histories::quick_folder();
        let store = Store::open(folder.path()).await.expect("it opens");
        with_a_shot(&store).await;
        let start = &row["inputs"]["start"];
        let made = op(
            "insert",
            json!({"entity_type": "setup", "entity": "setup-1", "value": {"code": "1", "people": start}}),
        );
        let (base, _) = write(&store, "maker", made).await.result.expect("made");
        for asked in row["inputs"]["ops"].as_array().expect("ops") {
            let add = op(
                "add",
                json!({"entity": "setup-1", "field": "people", "base": base, "value": asked["add"]}),
            );
            let by = asked["by"].as_str().expect("text");
            assert_eq!(
                write(&store, by, add).await.result.expect("taken").1.word(),
                "applied"
            );
        }
        let plan = store.plan(&Id::parse("plan-1").expect("an id")).await;
        let plan = plan.expect("it reads").expect("a plan");
        let setup = plan.anything("setup-1").expect("it stands");
        let people = setup.get(setup.kind().index("people").expect("declared"));
        assert_eq!(people.to_json(), row["expected"]["members"]);
    }
}

#[test]
fn a_reader_who_comes_back_gets_the_tail_or_a_snapshot() {
    for row in rows("replay_after") {
        let input = &row["inputs"];
        let whole = |name: &str| input[name].as_i64().expect("a number");
        let newest = whole("journal_max");
        let replay = replay_after(
            input["last_event_id"].as_str(),
            input["epoch"].as_str().expect("an epoch"),
            whole("floor"),
            newest,
        );
        let told = match replay {
            Replay::Tail { after } => {
                json!({"mode": "tail", "send": (after + 1..=newest).collect::<Vec<_>>()})
            }
            Replay::Snapshot { at, .. } => json!({"mode": "snapshot", "at": at}),
        };
        assert_eq!(told, row["expected"], "{}", row["id"]);
    }
}

#[test]
fn the_edges_of_replay() {
    let after = |id: Option<&str>| replay_after(id, "e1", 10, 57);
    assert_eq!(after(Some("e1:57")), Replay::Tail { after: 57 });
    assert_eq!(after(Some("e1:9")), Replay::Tail { after: 9 });
    let snapshot = |ahead| Replay::Snapshot { at: 57, ahead };
    assert_eq!(after(Some("e1:8")), snapshot(false));
    assert_eq!(after(Some("e1:58")), snapshot(true));
    for strange in [
        None,
        Some(""),
        Some("e1"),
        Some("e1:"),
        Some("57"),
        Some("e2:60"),
    ] {
        assert_eq!(after(strange), snapshot(false), "{strange:?}");
    }
}
