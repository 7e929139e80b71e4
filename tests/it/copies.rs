//! Files cut off anywhere, a book put back from a copy, and clocks that are wrong (`planning.md` C7.11 nos. 4, 7 and 8).

use crate::{
    harness::{Book, op},
    journal_histories::{Dice, quick_folder},
    live_reader::follow,
};
use axum::http::StatusCode;
use serde_json::{Value, json};
use std::path::Path;
use stillair::{
    access::{Role, people, session},
    journal::{
        change::{Change, Op},
        load,
        value::Id,
        writer::{Ask, now_ms},
    },
    store::{self, FILE, Store},
};

async fn ask(store: &Store, ops: Vec<Op>) {
    let ask = Ask {
        plan: Id::parse("plan-1").expect("an id"),
        ops,
        atomic: true,
        batch: None,
        actor: "maker".into(),
        client: "maker".into(),
    };
    for reply in store.write(ask).await.expect("it is stored") {
        reply.result.expect("it is taken");
    }
}

async fn journal(store: &Store) -> Vec<Change> {
    let mut db = store.readers().acquire().await.expect("a reader");
    load::changes_after(&mut db, 0, i64::MAX)
        .await
        .expect("the journal")
}

/// A book whose log was cut: it opens at a committed prefix, with tables and journal in agreement.
async fn opens_at_a_prefix(folder: &Path, whole: &[Change], cut: u64) -> usize {
    let store = Store::open(folder)
        .await
        .unwrap_or_else(|e| panic!("cut at {cut}: {e}"));
    store
        .check()
        .await
        .unwrap_or_else(|e| panic!("cut at {cut}: {e}"));
    let found = journal(&store).await;
    assert_eq!(found, whole[..found.len()], "cut at {cut}");
    store.close().await;
    found.len()
}

#[tokio::test]
async fn a_log_cut_off_anywhere_opens_at_a_commit() {
    let (home, seed) = (quick_folder(), 20_261_125);
    let mut dice = Dice::new(seed);
    let original = home.path().join("book");
    let store = Store::open(&original).await.expect("it opens");
    let plan = Id::parse("plan-1").expect("an id");
    let title = json!({"title": "The Drowned Parish", "base_fps": "25"});
    ask(&store, vec![Op::insert("plan", plan, title)]).await;
    let mut lengths = std::collections::BTreeSet::new();
    for part in 0..6 {
        for n in 0..12 {
            let fields = json!({"code": format!("{part}-{n}"), "name": "the water rises ".repeat(1 + dice.below(7))});
            ask(&store, vec![Op::insert("shot", Id::new(), fields)]).await;
        }
        let whole = journal(&store).await;
        let wal = std::fs::read(original.join(format!("{FILE}-wal"))).expect("a log");
        for copy in 0..6 {
            let folder = home.path().join(format!("copy-{part}-{copy}"));
            std::fs::create_dir(&folder).expect("a folder");
            std::fs::copy(original.join(FILE), folder.join(FILE)).expect("a copy");
            let cut = dice.below(wal.len() + 1);
            std::fs::write(folder.join(format!("{FILE}-wal")), &wal[..cut]).expect("a log");
            lengths.insert(opens_at_a_prefix(&folder, &whole, cut as u64).await);
        }
    }
    assert!(
        lengths.len() > 10,
        "seed {seed}: cut at many places: {lengths:?}"
    );
    store.close().await;
}

/// A form of one blank, as a browser sends and keeps it.
fn blank(setup: &str, op_id: &str, base: i64, value: &str) -> String {
    format!("entity={setup}&field=f_number&value={value}&base={base}&op_id={op_id}")
}

#[tokio::test]
async fn a_book_put_back_from_a_copy_gets_what_it_had_lost_once() {
    let home = quick_folder();
    let (first, file, second) = (
        home.path().join("a"),
        home.path().join("copy"),
        home.path().join("b"),
    );
    let store = Store::open(&first).await.expect("it opens");
    let person = people::add(&store, Role::Lead).await.expect("a person");
    let token = session::open(&store, &person, "").await.expect("a session");
    let cookie = format!("stillair={token}");
    let plan = Id::parse("plan-1").expect("an id");
    let setup = Id::parse("setup-1").expect("an id");
    let title = json!({"title": "The Drowned Parish", "base_fps": "25"});
    ask(&store, vec![Op::insert("plan", plan, title)]).await;
    ask(
        &store,
        vec![Op::insert("setup", setup, json!({"code": "S3"}))],
    )
    .await;
    let book = Book::of(store, &cookie);
    let send = async |book: &Book, body: &str| {
        let answer = book.post_raw("/plans/plan-1/setups/S3", body).await;
        assert!(
            matches!(answer.status, StatusCode::OK | StatusCode::SEE_OTHER),
            "{}",
            answer.text
        );
    };
    // Three edits of one hand; the copy is made after the first.
    let kept = [
        blank("setup-1", "op-1", 2, "8"),
        blank("setup-1", "op-2", 3, "11"),
        blank("setup-1", "op-3", 4, "16"),
    ];
    send(&book, &kept[0]).await;
    store::backup(&first, &file).await.expect("a copy");
    send(&book, &kept[1]).await;
    send(&book, &kept[2]).await;
    let before = journal(&book.app.store).await;
    let old_place = format!("{}:{}", book.app.store.epoch(), before.len());
    store::restore(&second, &file)
        .await
        .expect("it is put back");
    let again = Book::of(Store::open(&second).await.expect("it opens"), &cookie);
    // Whoever followed the old book is told to load again, and offers what it kept, all of it.
    let mut reader = follow(&again, &cookie, "plan-1", &old_place).await;
    let told = reader.next().await.expect("a word");
    assert_eq!((&*told.name, &told.data["seq"]), ("reload", &json!(3)));
    for body in &kept {
        send(&again, body).await;
    }
    for body in &kept {
        send(&again, body).await; // and once more: harmless
    }
    let after = journal(&again.app.store).await;
    let of = |changes: &[Change]| -> Vec<(String, Value)> {
        changes
            .iter()
            .map(|c| (c.op_id.to_string(), c.value.clone()))
            .collect()
    };
    assert_eq!(
        of(&after),
        of(&before),
        "nothing is missing and nothing is doubled"
    );
    let whole = again.get("/api/plans/plan-1").await.json();
    assert_eq!(whole["setups"][0]["f_number"], 16.0);
    assert_eq!(whole["besides"], json!([]), "a hand is not in its own way");
}

#[tokio::test]
async fn clocks_of_browsers_order_nothing() {
    let book = Book::new().await;
    let plan = book.plan().await;
    let shot = Id::new().to_string();
    let path = format!("/api/plans/{plan}/changes");
    let made = op(
        "insert",
        json!({"entity_type": "shot", "entity": shot, "value": {"code": "010"}}),
    );
    let mut base = book.post_json(&path, &made).await.json()["results"][0]["seq"]
        .as_i64()
        .expect("a number");
    let day = 24 * 3600 * 1000;
    let mut seqs = Vec::new();
    for (n, wrong) in [0, -day, day, -day, 0].into_iter().enumerate() {
        let set = op(
            "set",
            json!({"entity": shot, "field": "name", "base": base, "value": format!("{n}"), "at_client_ms": now_ms() + wrong}),
        );
        let result = book.post_json(&path, &set).await.json()["results"][0].clone();
        assert_eq!(result["outcome"], "applied");
        base = result["seq"].as_i64().expect("a number");
        seqs.push(base);
    }
    assert!(seqs.is_sorted());
    let whole = book.get(&format!("/api/plans/{plan}")).await.json();
    assert_eq!(
        whole["shots"][0]["name"], "4",
        "the last to come is the last"
    );
    let told = journal(&book.app.store).await;
    let clocks: Vec<i64> = told.iter().filter_map(|c| c.at_client_ms).collect();
    assert!(!clocks.is_sorted(), "what they said is kept");
    assert!(told.iter().map(|c| c.at_server_ms).is_sorted());
}
