//! What the journal promises beyond single outcomes: batches, undo, retries, failed writes, memory.

use crate::{harness::op, journal_histories::quick_folder};
use serde_json::{Value, json};
use sqlx::{ConnectOptions as _, Connection as _, sqlite::SqliteConnectOptions};
use std::{sync::Arc, time::Duration};
use stillair::{
    journal::{
        apply,
        change::{Op, Outcome},
        decide::Refused,
        value::Id,
        writer::{Ask, Reply},
    },
    plan::Plan,
    store::{Options, Store, StoreError},
};
use tempfile::TempDir;

/// A store with one plan.
struct Bench {
    store: Store,
    plan: Id,
    folder: TempDir,
}

impl Bench {
    async fn new() -> Self {
        Self::with(Options::default()).await
    }

    async fn with(options: Options) -> Self {
        let folder = quick_folder();
        let store = Store::open_with(folder.path(), options)
            .await
            .expect("it opens");
        let plan = Id::parse("plan-1").expect("an id");
        let bench = Self {
            store,
            plan,
            folder,
        };
        let title = json!({"title": "The Drowned Parish", "base_fps": "25"});
        bench
            .one(
                "A",
                op(
                    "insert",
                    json!({"entity_type": "plan", "entity": "plan-1", "value": title}),
                ),
            )
            .await
            .expect("the plan is made");
        bench
    }

    fn ask(&self, by: &str, ops: &[Value]) -> Ask {
        let read = |op: &Value| Op::from_json(op).unwrap_or_else(|e| panic!("{op}: {e:?}"));
        Ask {
            plan: self.plan.clone(),
            ops: ops.iter().map(read).collect(),
            atomic: ops.len() > 1,
            batch: (ops.len() > 1).then(|| ops[0]["op_id"].as_str().expect("an id").into()),
            actor: by.into(),
            client: by.into(),
        }
    }

    async fn many(&self, by: &str, ops: &[Value]) -> Vec<Reply> {
        self.store
            .write(self.ask(by, ops))
            .await
            .expect("it is stored")
    }

    async fn one(&self, by: &str, op: Value) -> Result<(i64, Outcome), Refused> {
        self.many(by, &[op]).await.remove(0).result
    }

    async fn now(&self) -> Arc<Plan> {
        let plan = self.store.plan(&self.plan).await;
        plan.expect("it reads").expect("a plan")
    }

    /// Everything a plan says, without numbers.
    async fn says(&self) -> Value {
        let mut plan = stillair::api::plans::plan_json(&*self.now().await);
        for list in plan.as_object_mut().expect("an object").values_mut() {
            for entry in list.as_array_mut().into_iter().flatten() {
                entry.as_object_mut().expect("an entry").remove("versions");
            }
        }
        plan["seq"] = Value::Null;
        plan
    }
}

#[expect(clippy::needless_pass_by_value, reason = "as `json!` gives it")]
fn insert(kind: &str, id: &str, value: Value) -> Value {
    op(
        "insert",
        json!({"entity_type": kind, "entity": id, "value": value}),
    )
}

#[expect(clippy::needless_pass_by_value, reason = "as `json!` gives it")]
fn set(id: &str, field: &str, base: i64, value: Value) -> Value {
    op(
        "set",
        json!({"entity": id, "field": field, "base": base, "value": value}),
    )
}

#[tokio::test]
async fn a_batch_is_taken_back_whole_and_comes_back_whole() {
    let bench = Bench::new().await;
    bench
        .one(
            "A",
            insert("shot", "s1", json!({"code": "010", "name": "nave"})),
        )
        .await
        .expect("made");
    bench
        .one(
            "A",
            insert("setup", "u1", json!({"code": "1", "people": ["rig"]})),
        )
        .await
        .expect("made");
    let before = bench.says().await;
    let batch = [
        insert("scene", "c1", json!({"code": "4"})),
        set("s1", "scene", 3, json!("c1")),
        set("s1", "name", 3, json!("bell")),
        set("s1", "name", 3, json!("weir")),
        insert("piece", "p1", json!({"name": "tower"})),
        insert("sighting", "x1", json!({"shot": "s1", "piece": "p1"})),
        set("x1", "face", 3, json!("north")),
        op(
            "add",
            json!({"entity": "u1", "field": "people", "value": "haze"}),
        ),
        op(
            "take_out",
            json!({"entity": "u1", "field": "people", "value": "rig"}),
        ),
    ];
    // The second write of one name knows the first by its place in the queue.
    let mut batch = batch;
    let first = batch[2]["op_id"].clone();
    batch[3]["after"] = first;
    batch[6]["after"] = batch[5]["op_id"].clone();
    let replies = bench.many("A", &batch).await;
    assert!(
        replies
            .iter()
            .all(|r| matches!(r.result, Ok((_, Outcome::Applied)))),
        "{replies:?}"
    );
    let after = bench.says().await;
    let of_seq = replies[0].result.as_ref().expect("applied").0;
    let undo = |of_seq: i64| op("undo", json!({"of_seq": of_seq, "batch": true}));
    let (undone, outcome) = bench.one("A", undo(of_seq)).await.expect("taken back");
    assert_eq!(outcome, Outcome::Applied);
    assert_eq!(bench.says().await, before);
    bench.one("A", undo(undone)).await.expect("done again");
    assert_eq!(bench.says().await, after);
    bench.store.check().await.expect("tables and journal agree");
}

#[tokio::test]
async fn striking_out_with_all_that_hangs_on_it_is_one_undo() {
    let bench = Bench::new().await;
    for made in [
        insert("piece", "p1", json!({"name": "tower"})),
        insert("lens", "l1", json!({"name": "28", "focal_length_mm": 28})),
        insert("shot", "s1", json!({"code": "010"})),
        insert("setup", "u1", json!({"code": "1", "lens": "l1"})),
        insert("sighting", "x1", json!({"shot": "s1", "piece": "p1"})),
        insert(
            "pass",
            "y1",
            json!({"shot": "s1", "setup": "u1", "element": "main"}),
        ),
    ] {
        bench.one("A", made).await.expect("made");
    }
    let before = bench.says().await;
    for (thing, gone) in [("s1", 3), ("l1", 1), ("u1", 2)] {
        let newest = bench.now().await.number();
        let remove = op(
            "remove",
            json!({"entity": thing, "seen": newest, "detach": true}),
        );
        let (seq, _) = bench.one("A", remove).await.expect("struck out");
        let living = |plan: &Plan| {
            plan.shots.len()
                + plan.setups.len()
                + plan.sightings.len()
                + plan.passes.len()
                + plan.studio.lenses.len()
        };
        assert_eq!(living(&*bench.now().await), 5 - gone, "{thing}");
        bench
            .one("A", op("undo", json!({"of_seq": seq, "batch": true})))
            .await
            .expect("back");
        assert_eq!(bench.says().await, before, "{thing}");
    }
    bench.store.check().await.expect("tables and journal agree");
}

#[tokio::test]
async fn a_batch_that_others_built_on_is_not_taken_back_in_part() {
    let bench = Bench::new().await;
    let made = bench
        .many(
            "A",
            &[
                insert("scene", "c1", json!({"code": "4"})),
                insert("shot", "s1", json!({"code": "010"})),
            ],
        )
        .await;
    bench
        .one("B", set("s1", "scene", 3, json!("c1")))
        .await
        .expect("set");
    let before = bench.now().await;
    let undo = op(
        "undo",
        json!({"of_seq": made[0].result.as_ref().expect("made").0, "batch": true}),
    );
    let refused = bench.one("A", undo).await;
    assert_eq!(refused, Err(Refused::StillReferenced(vec!["010".into()])));
    assert_eq!(bench.now().await, before);
    let others = bench.one("B", op("undo", json!({"of_seq": 2}))).await;
    assert!(matches!(others, Err(Refused::Invalid(ref list)) if list[0].kind == "not_allowed"));
}

#[tokio::test]
async fn an_edit_queued_behind_one_that_was_kept_beside_overwrites_nobody() {
    let bench = Bench::new().await;
    bench
        .one(
            "A",
            insert("shot", "s1", json!({"code": "010", "name": "nave"})),
        )
        .await
        .expect("made");
    bench
        .one("A", set("s1", "name", 2, json!("bell")))
        .await
        .expect("set");
    let mut first = set("s1", "name", 2, json!("weir"));
    let mut second = set("s1", "name", 2, json!("lock"));
    first["op_id"] = json!("first");
    second["after"] = json!("first");
    assert_eq!(
        bench.one("B", first).await.expect("kept").1,
        Outcome::KeptBeside
    );
    assert_eq!(
        bench.one("B", second).await.expect("kept").1,
        Outcome::KeptBeside
    );
    assert_eq!(
        &*bench
            .now()
            .await
            .shot_by_code("010")
            .expect("it stands")
            .name,
        "bell"
    );
}

#[tokio::test]
async fn a_code_given_away_meanwhile_keeps_its_old_bearer_out() {
    let bench = Bench::new().await;
    bench
        .one("A", insert("shot", "s1", json!({"code": "010"})))
        .await
        .expect("made");
    bench
        .one("A", op("remove", json!({"entity": "s1", "seen": 2})))
        .await
        .expect("struck out");
    bench
        .one("A", insert("shot", "s2", json!({"code": "010"})))
        .await
        .expect("made");
    for back in [
        op("restore", json!({"entity": "s1"})),
        op("undo", json!({"of_seq": 3})),
    ] {
        let refused = bench.one("A", back).await;
        assert!(
            matches!(refused, Err(Refused::Invalid(ref list)) if list[0].kind == "used_twice"),
            "{refused:?}"
        );
    }
}

#[tokio::test]
async fn an_id_of_another_plan_is_not_given_again() {
    let bench = Bench::new().await;
    bench
        .one("A", insert("shot", "s1", json!({"code": "010"})))
        .await
        .expect("made");
    let other = Ask {
        plan: Id::parse("plan-2").expect("an id"),
        atomic: false,
        ..bench.ask(
            "A",
            &[
                insert(
                    "plan",
                    "plan-2",
                    json!({"title": "Second unit", "base_fps": "25"}),
                ),
                insert("shot", "s1", json!({"code": "010"})),
                insert("setup", "s1", json!({"code": "1"})),
                insert("shot", "s2", json!({"code": "010"})),
            ],
        )
    };
    let replies = bench.store.write(other).await.expect("it is stored");
    let taken: Vec<_> = replies.iter().map(|r| r.result.is_ok()).collect();
    assert_eq!(taken, [true, false, false, true]);
    let nowhere = Ask {
        plan: Id::parse("plan-3").expect("an id"),
        ..bench.ask("A", &[insert("shot", "s9", json!({"code": "010"}))])
    };
    let reply = bench.store.write(nowhere).await.expect("decided").remove(0);
    assert!(reply.result.is_err(), "there is no such plan");
    bench.store.check().await.expect("tables and journal agree");
}

/// A trigger stands in for a disk that refuses one row: the others of its group are stored, nothing of it is seen.
#[tokio::test]
async fn a_failed_write_costs_only_itself() {
    let bench = Bench::new().await;
    bench
        .one("A", insert("shot", "s1", json!({"code": "010"})))
        .await
        .expect("made");
    let file = bench.folder.path().join("stillair.db");
    let mut db = SqliteConnectOptions::new()
        .filename(file)
        .connect()
        .await
        .expect("a second reader");
    sqlx::query("create trigger refuse before update on shot when new.name = 'refused' begin select raise(abort, 'no room'); end")
        .execute(&mut db)
        .await
        .expect("a trigger");
    let before = bench.now().await;
    let write = |by: &'static str, op: Value| bench.store.write(bench.ask(by, &[op]));
    let (a, b, c) = tokio::join!(
        write("A", set("s1", "length_frames", 2, json!(40))),
        write("B", set("s1", "name", 2, json!("refused"))),
        write("C", insert("shot", "s2", json!({"code": "020"}))),
    );
    assert!(a.is_ok() && c.is_ok());
    assert!(
        matches!(b, Err(StoreError::Database(ref why)) if why.contains("no room")),
        "{b:?}"
    );
    let batch = [
        insert("shot", "s3", json!({"code": "030"})),
        set("s1", "name", 2, json!("refused")),
    ];
    assert!(bench.store.write(bench.ask("B", &batch)).await.is_err());
    let plan = bench.now().await;
    assert_eq!(plan.shots.len(), 2);
    assert_eq!(&*plan.shot_by_code("010").expect("it stands").name, "");
    assert_eq!(
        plan.number(),
        before.number() + 2,
        "a write that failed has no number"
    );
    bench.store.check().await.expect("tables and journal agree");
    sqlx::query("drop trigger refuse")
        .execute(&mut db)
        .await
        .expect("dropped");
    db.close().await.expect("closed");
    assert_eq!(
        bench
            .one("B", set("s1", "name", 2, json!("refused")))
            .await
            .expect("stored now")
            .1,
        Outcome::Applied
    );
    let aside = bench.store.aside(Box::new(|db| {
        Box::pin(async move {
            sqlx::query("insert into meta (name, value) values ('epoch', 'twice')")
                .execute(db)
                .await
                .map(drop)
        })
    }));
    assert!(aside.await.is_err());
    bench
        .one("A", set("s1", "name", 9, json!("after it")))
        .await
        .expect_err("a base from the future");
    bench
        .one("A", set("s1", "length_frames", 5, json!(41)))
        .await
        .expect("the writer goes on");
}

#[tokio::test]
async fn a_retry_in_the_same_group_is_one_write() {
    let bench = Bench::new().await;
    let made = insert("shot", "s1", json!({"code": "010"}));
    let ask = || {
        bench
            .store
            .write(bench.ask("A", std::slice::from_ref(&made)))
    };
    let (first, again) = tokio::join!(ask(), ask());
    let seq = |replies: Result<Vec<Reply>, StoreError>| {
        replies
            .expect("stored")
            .remove(0)
            .result
            .expect("applied")
            .0
    };
    assert_eq!(seq(first), seq(again));
    assert_eq!(bench.now().await.number(), 2);
}

#[tokio::test]
async fn a_reader_never_sees_half_a_commit() {
    let bench = Bench::new().await;
    let store = bench.store.clone();
    let id = bench.plan.clone();
    let reader = tokio::spawn(async move {
        let mut newest = store.newest();
        let mut seen = 0;
        while seen < 120 {
            newest.changed().await.expect("it goes on");
            let plan = store.plan(&id).await.expect("it reads").expect("a plan");
            assert_eq!(plan.shots.len(), plan.studio.pieces.len());
            seen = plan.shots.len();
        }
    });
    for n in 0..120 {
        let both = [
            insert("shot", &format!("s{n}"), json!({"code": format!("{n}")})),
            insert("piece", &format!("p{n}"), json!({"name": "tile"})),
        ];
        bench.many("A", &both).await;
    }
    reader.await.expect("the reader saw all");
}

/// I8 and I14: the plan at a number and the changes after it make the plan as it stands.
#[tokio::test]
async fn a_plan_and_what_came_after_it_make_the_present_one() {
    let bench = Bench::new().await;
    bench
        .one("A", insert("shot", "s0", json!({"code": "0"})))
        .await
        .expect("made");
    let then = bench.now().await;
    for n in 1..40 {
        bench
            .one(
                "A",
                insert("shot", &format!("s{n}"), json!({"code": format!("{n}")})),
            )
            .await
            .expect("made");
        bench
            .one("B", set("s0", "name", 2, json!(format!("{n}"))))
            .await
            .expect("taken");
        bench
            .one(
                "A",
                insert("piece", &format!("p{n}"), json!({"name": "tile"})),
            )
            .await
            .expect("made");
    }
    let mut plan = Plan::clone(&then);
    let later = bench
        .store
        .recent_after(then.number())
        .expect("all in memory");
    assert!(later.windows(2).all(|w| w[0].seq < w[1].seq), "in order");
    for change in later {
        match change.plan {
            Some(_) => apply::to_plan(&mut plan, &change),
            None => apply::to_studio(Arc::make_mut(&mut plan.studio), &change),
        }
    }
    assert_eq!(plan, *bench.now().await);
}

#[tokio::test]
async fn a_plan_nobody_asks_for_leaves_memory_unless_followed() {
    let idle = Duration::from_millis(20);
    let bench = Bench::with(Options {
        idle,
        ..Options::default()
    })
    .await;
    bench
        .one("A", insert("shot", "s1", json!({"code": "010"})))
        .await
        .expect("made");
    let gone = |plan: &Arc<Plan>| Arc::strong_count(plan) == 1;
    let followed = bench.store.watch(&bench.plan);
    let held = bench.now().await;
    tokio::time::sleep(idle * 5).await;
    assert!(!gone(&held), "followed: it stays");
    drop(followed);
    while !gone(&held) {
        tokio::time::sleep(idle).await;
    }
    assert_eq!(bench.now().await, held, "and comes back the same");
}

#[tokio::test]
async fn what_refers_to_a_removed_thing_is_kept_and_marked() {
    let bench = Bench::new().await;
    bench
        .one("A", insert("scene", "c1", json!({"code": "4"})))
        .await
        .expect("made");
    bench
        .one("A", op("remove", json!({"entity": "c1", "seen": 2})))
        .await
        .expect("struck out");
    bench
        .one(
            "B",
            insert("shot", "s1", json!({"code": "010", "scene": "c1"})),
        )
        .await
        .expect("accepted");
    let plan = bench.now().await;
    assert_ne!(plan.anything("c1").expect("a tombstone").removed_seq(), 0);
    let never = bench
        .one(
            "B",
            insert("shot", "s2", json!({"code": "020", "scene": "c9"})),
        )
        .await;
    assert!(
        matches!(never, Err(Refused::Invalid(ref list)) if list[0].kind == "refers_to_nothing")
    );
}

#[tokio::test]
async fn an_overtaken_removal_is_marked_until_somebody_settles_it() {
    let bench = Bench::new().await;
    bench
        .one("A", insert("shot", "s1", json!({"code": "010"})))
        .await
        .expect("made");
    bench
        .one("B", set("s1", "name", 2, json!("bell")))
        .await
        .expect("set");
    let remove = |seen: i64| op("remove", json!({"entity": "s1", "seen": seen}));
    let id = Id::parse("s1").expect("an id");
    let open = async || bench.now().await.besides_of(&id, "").count();
    bench.one("A", remove(2)).await.expect("kept");
    assert_eq!(open().await, 1);
    bench
        .one("B", op("resolve", json!({"entity": "s1"})))
        .await
        .expect("it stays");
    assert_eq!(open().await, 0);
    bench.one("A", remove(2)).await.expect("kept");
    let newest = bench.now().await.number();
    bench
        .one("A", remove(newest))
        .await
        .expect("struck out knowingly");
    assert_eq!(open().await, 0);
    bench.store.check().await.expect("tables and journal agree");
}

#[tokio::test]
async fn what_another_plan_uses_is_not_struck_out_under_it() {
    let bench = Bench::new().await;
    let lens = insert("lens", "l1", json!({"name": "28", "focal_length_mm": 28}));
    let (made, _) = bench.one("A", lens).await.expect("made");
    let title = json!({"title": "Second unit", "base_fps": "25"});
    let ops = [
        insert("plan", "plan-2", title),
        insert("setup", "u9", json!({"code": "9", "lens": "l1"})),
    ];
    let ask = Ask {
        plan: Id::parse("plan-2").expect("an id"),
        ..bench.ask("B", &ops)
    };
    let replies = bench.store.write(ask).await.expect("it is stored");
    assert!(replies.iter().all(|r| r.result.is_ok()), "{replies:?}");
    let in_use = Err(Refused::StillReferenced(vec!["9 in Second unit".into()]));
    let remove = op("remove", json!({"entity": "l1", "seen": 4, "detach": true}));
    assert_eq!(bench.one("A", remove).await, in_use);
    let undo = op("undo", json!({"of_seq": made}));
    assert_eq!(bench.one("A", undo).await, in_use);
}
