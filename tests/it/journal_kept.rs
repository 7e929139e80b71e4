//! The oldest kept book must open for ever: every later migration meets it here.

use crate::{harness::op, journal_histories::quick_folder};
use serde_json::{Value, json};
use sqlx::{ConnectOptions as _, Connection as _, sqlite::SqliteConnectOptions};
use stillair::{
    journal::{
        change::{Op, Outcome},
        value::Id,
        writer::Ask,
    },
    store::{FILE, Store},
};

/// What the kept book was told: a thing of most kinds, a value kept beside, a removal, an undo.
fn told() -> Vec<(&'static str, Value)> {
    let insert = |kind: &str, id: &str, value: Value| {
        op(
            "insert",
            json!({"entity_type": kind, "entity": id, "value": value}),
        )
    };
    let set = |id: &str, field: &str, base: i64, value: Value| {
        op(
            "set",
            json!({"entity": id, "field": field, "base": base, "value": value}),
        )
    };
    vec![
        (
            "lead",
            insert(
                "plan",
                "plan-1",
                json!({"title": "The Drowned Parish", "base_fps": "25", "blur_line_px": 2.5}),
            ),
        ),
        (
            "lead",
            insert(
                "piece",
                "tower",
                json!({"name": "bell tower", "scale_denominator": 20}),
            ),
        ),
        (
            "lead",
            insert(
                "lens",
                "lens-28",
                json!({"name": "28", "focal_length_mm": 28}),
            ),
        ),
        ("lead", insert("scene", "scene-4", json!({"code": "4"}))),
        (
            "lead",
            insert(
                "shot",
                "shot-010",
                json!({"code": "010", "scene": "scene-4", "length_frames": 74}),
            ),
        ),
        ("lead", insert("shot", "shot-020", json!({"code": "020"}))),
        (
            "lead",
            insert(
                "setup",
                "setup-1",
                json!({"code": "1", "lens": "lens-28", "people": ["camera", "haze"]}),
            ),
        ),
        (
            "lead",
            insert(
                "pass",
                "pass-1",
                json!({"shot": "shot-010", "setup": "setup-1", "element": "main"}),
            ),
        ),
        (
            "lead",
            insert(
                "sighting",
                "seen-1",
                json!({"shot": "shot-010", "piece": "tower"}),
            ),
        ),
        ("lead", insert("day", "day-1", json!({"name": "Day 1"}))),
        (
            "lead",
            op(
                "append",
                json!({"entity": "setup-1", "field": "notes", "value": "the tent leaks at the back"}),
            ),
        ),
        ("lead", set("shot-010", "name", 11, json!("the nave"))),
        (
            "crew",
            set("shot-010", "name", 11, json!("the flooded nave")),
        ),
        (
            "crew",
            op(
                "take_out",
                json!({"entity": "setup-1", "field": "people", "value": "haze"}),
            ),
        ),
        (
            "lead",
            op("remove", json!({"entity": "shot-020", "seen": 14})),
        ),
        ("crew", op("undo", json!({"of_seq": 14}))),
    ]
}

#[tokio::test]
async fn the_oldest_kept_book_opens_and_says_the_same() {
    let folder = quick_folder();
    let kept = concat!(env!("CARGO_MANIFEST_DIR"), "/tests/data/book-v1.db");
    std::fs::copy(kept, folder.path().join(FILE)).expect("a copy of the kept book");
    let store = Store::open(folder.path()).await.expect("an old book opens");
    store.check().await.expect("its tables and journal agree");
    let plan = store.plan(&Id::parse("plan-1").expect("an id")).await;
    let plan = plan.expect("it reads").expect("its plan");
    assert_eq!(plan.number(), 16);
    let production = plan.production().expect("the production");
    assert_eq!(
        (&*production.title, production.blur_line_px),
        ("The Drowned Parish", Some(2.5))
    );
    let shot = plan.shot_by_code("010").expect("the shot");
    assert_eq!((&*shot.name, shot.length_frames), ("the nave", Some(74)));
    let beside: Vec<_> = plan
        .besides_of(&shot.id, "name")
        .map(|b| (b.seq, &*b.actor))
        .collect();
    assert_eq!(beside, [(13, "crew")]);
    assert!(plan.shot_by_code("020").is_none());
    let setup = plan.setup_by_code("1").expect("the setup");
    let people: Vec<_> = setup.people.keys().map(|p| &**p).collect();
    assert_eq!(people, ["camera", "haze"]);
    assert_eq!(&*setup.notes[0].text, "the tent leaks at the back");
    let edit = Op::set(shot.id.clone(), "name", 16, json!("the nave, wet"));
    let reply = store
        .write(ask("lead", edit))
        .await
        .expect("it is written")
        .remove(0);
    assert_eq!(reply.result.expect("taken"), (17, Outcome::Applied));
    store.check().await.expect("and still agree");
}

fn ask(by: &str, op: Op) -> Ask {
    Ask {
        plan: Id::parse("plan-1").expect("an id"),
        ops: vec![op],
        atomic: false,
        batch: None,
        actor: by.into(),
        client: by.into(),
    }
}

/// Made the kept book, and makes the next one when a later shape of the store is worth keeping: set `STILLAIR_KEEP` to the
/// file to write.
#[tokio::test]
#[ignore = "writes a file to be kept"]
async fn keep_a_book() {
    let to = std::env::var("STILLAIR_KEEP").expect("STILLAIR_KEEP names the file");
    let folder = quick_folder();
    let store = Store::open(folder.path()).await.expect("it opens");
    for (by, op) in told() {
        let op = Op::from_json(&op).expect("an op");
        let reply = store
            .write(ask(by, op))
            .await
            .expect("it is stored")
            .remove(0);
        reply.result.expect("taken");
    }
    store.close().await;
    let file = folder.path().join(FILE);
    let mut db = SqliteConnectOptions::new()
        .filename(&file)
        .connect()
        .await
        .expect("it opens");
    // Small pages: most tables hold next to nothing.
    for sql in [
        "pragma journal_mode = delete",
        "pragma page_size = 1024",
        "vacuum",
    ] {
        sqlx::query(sql).execute(&mut db).await.expect("packed");
    }
    db.close().await.expect("closed");
    std::fs::copy(file, to).expect("kept");
}
