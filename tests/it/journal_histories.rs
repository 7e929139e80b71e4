//! Random histories through the real writer, held against the plain model after every step; and against the tables, the
//! folded journal and a reopened store at the end. A failure prints its seed and the ops that led to it.

use crate::journal_model::{FIELDS, Model, What, is_shared, shown, what};
use serde_json::{Value, json};
use std::{collections::BTreeMap, pin::Pin, sync::Arc, task::Poll};
use stillair::{
    journal::{
        change::Op,
        record::entry_json,
        value::{Id, Value as Held},
        writer::{Ask, Reply},
    },
    plan::Plan,
    store::{Store, StoreError},
};

/// A small generator (`SplitMix64`), so that a seed is a history.
pub struct Dice(u64);

impl Dice {
    pub fn new(seed: u64) -> Self {
        Self(seed)
    }
    fn next(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        z ^ (z >> 31)
    }
    pub fn below(&mut self, n: usize) -> usize {
        usize::try_from(self.next() % n.max(1) as u64).expect("small")
    }
    pub fn one_in(&mut self, n: usize) -> bool {
        self.below(n) == 0
    }
    pub fn pick<'a, T>(&mut self, list: &'a [T]) -> &'a T {
        &list[self.below(list.len())]
    }
    fn unit(&mut self) -> f64 {
        #[expect(clippy::cast_precision_loss, reason = "53 random bits")]
        let n = (self.next() >> 11) as f64;
        n * 2.0_f64.powi(-53)
    }
}

/// One hand: what it last saw, and ops whose answer it never got.
struct Hand {
    name: String,
    seen: i64,
    unanswered: Vec<Value>,
    last_op: Option<(String, String, String)>,
}

/// A history being made.
struct History {
    dice: Dice,
    hands: Vec<Hand>,
    model: Model,
    made: usize,
}

impl History {
    fn new(seed: u64) -> Self {
        let mut dice = Dice(seed);
        let hands = (0..2 + dice.below(4))
            .map(|n| Hand {
                name: format!("hand-{n}"),
                seen: 0,
                unanswered: Vec::new(),
                last_op: None,
            })
            .collect();
        Self {
            dice,
            hands,
            model: Model::default(),
            made: 0,
        }
    }

    fn value(&mut self, what: What) -> Value {
        let dice = &mut self.dice;
        match what {
            What::Code | What::CodeOnce => json!(format!("{:03}", dice.below(12))),
            What::Words if dice.one_in(4) => Value::Null,
            What::Words => json!(*dice.pick(&["nave", "bell", "weir", "north face"])),
            What::Place => json!(*dice.pick(&["V", "k", "AV", "0V", "zzV"])),
            What::Frames if dice.one_in(8) => json!(*dice.pick(&[0, -3])),
            What::Frames => json!(1 + dice.below(4)),
            What::Number if dice.one_in(8) => Value::Null,
            What::Number => json!(1.0 + dice.unit() * 100.0),
            What::Names(to, _) => {
                let model = &self.model;
                let ids: Vec<_> = model.things.iter().filter(|(_, t)| t.kind == to).collect();
                if ids.is_empty() || dice.one_in(10) {
                    json!(*dice.pick(&["nobody", "none"]))
                } else {
                    json!(dice.pick(&ids).0)
                }
            }
            What::Set => json!([["rig", "haze"], ["camera", "rig"]][dice.below(2)]),
            What::Log => json!("no such write"),
        }
    }

    fn insert(&mut self) -> Value {
        let (kind, fields) = *self.dice.pick(FIELDS);
        let mut value = json!({});
        for (field, what) in fields {
            if *what != What::Log && !self.dice.one_in(4) {
                value[field] = self.value(*what);
            }
        }
        let old = self.model.things.keys().next().cloned();
        self.made += 1;
        let entity = match old.filter(|_| self.dice.one_in(20)) {
            Some(old) => old,
            None => format!("{kind}-{}", self.made),
        };
        json!({"kind": "insert", "entity_type": kind, "entity": entity, "value": value})
    }

    /// An op as some hand would send it: on what it saw a while ago, or just now.
    fn op(&mut self, hand: usize) -> Value {
        let newest = self.model.newest;
        if self.dice.one_in(3) {
            self.hands[hand].seen = newest;
        }
        let mut base = self.hands[hand].seen;
        if self.dice.one_in(40) {
            base = newest + 3;
        }
        let ids: Vec<_> = self.model.things.keys().cloned().collect();
        let mut op = if ids.len() < 4 || self.dice.one_in(9) {
            self.insert()
        } else {
            let entity = self.dice.pick(&ids).clone();
            self.edit(hand, &entity, base)
        };
        op["op_id"] = json!(format!("{}-{}", self.hands[hand].name, self.dice.next()));
        // Its own queued edits of one field chain.
        let place = (op["entity"].to_string(), op["field"].to_string());
        if let Some((id, entity, field)) = &self.hands[hand].last_op
            && (entity, field) == (&place.0, &place.1)
        {
            op["after"] = json!(id);
        }
        let id = op["op_id"].as_str().unwrap_or_default().to_owned();
        self.hands[hand].last_op = op["field"].is_string().then_some((id, place.0, place.1));
        op
    }

    fn edit(&mut self, hand: usize, entity: &str, base: i64) -> Value {
        let kind = self.model.things[entity].kind.clone();
        let (_, fields) = FIELDS.iter().find(|(k, _)| *k == kind).expect("declared");
        let set = fields.iter().find(|(_, w)| *w == What::Set);
        // Sets have the most rules for the fewest fields.
        let (field, what) = match set {
            Some(set) if !self.dice.one_in(3) => *set,
            _ => *self.dice.pick(fields),
        };
        let mut op = json!({"entity": entity, "base": base});
        match self.dice.below(20) {
            0 | 1 => {
                op["kind"] = json!("remove");
                op["detach"] = json!(self.dice.one_in(2));
            }
            18 => op["kind"] = json!("restore"),
            2..=4 => {
                let own = self.model.newest_of(&self.hands[hand].name);
                let any = 1 + self
                    .dice
                    .below(usize::try_from(self.model.newest).unwrap_or(1));
                let of_seq = if own.is_empty() || self.dice.one_in(4) {
                    any
                } else {
                    usize::try_from(*self.dice.pick(&own)).unwrap_or(any)
                };
                op = json!({"kind": "undo", "of_seq": of_seq});
            }
            5 => op["kind"] = json!("resolve"),
            6 | 7 => {
                op["kind"] = json!("resolve");
                let open = self.model.besides.iter().filter(|b| b.entity == entity);
                let open: Vec<_> = open.map(|b| (b.seq, b.field.clone())).collect();
                let (seq, at) = open.first().cloned().unwrap_or((1, field.to_owned()));
                if !at.is_empty() {
                    op["field"] = json!(at);
                    op["value"] =
                        self.value(super::journal_model::what(&kind, &at).unwrap_or(what));
                }
                if self.dice.one_in(2) {
                    op["settles"] = json!([seq]);
                }
            }
            8 => {
                op["kind"] = json!("move");
                op["value"] = self.value(What::Place);
            }
            _ => {
                op["field"] = json!(field);
                op["kind"] = json!("set");
                op["value"] = self.value(what);
                if what == What::Set && !self.dice.one_in(5) {
                    op["kind"] = json!(*self.dice.pick(&["add", "take_out"]));
                    op["value"] = json!(*self.dice.pick(&["rig", "haze", "camera"]));
                } else if what == What::Log {
                    op["kind"] = json!("append");
                    op["value"] = json!("held its breath");
                }
            }
        }
        op
    }

    /// What one hand sends at once: new ops, or ops it never got an answer for, sometimes altered.
    fn asks(&mut self) -> Vec<(String, Vec<Value>, bool)> {
        let count = 1 + self.dice.below(4);
        (0..count)
            .map(|_| {
                let hand = self.dice.below(self.hands.len());
                let again = !self.hands[hand].unanswered.is_empty() && self.dice.one_in(3);
                let ops = if again {
                    let mut op = self.hands[hand].unanswered.remove(0);
                    if self.dice.one_in(6) {
                        op["value"] = json!("something else");
                    }
                    vec![op]
                } else {
                    let many = if self.dice.one_in(4) { 3 } else { 1 };
                    (0..many).map(|_| self.op(hand)).collect()
                };
                if self.dice.one_in(5) {
                    self.hands[hand].unanswered.extend(ops.iter().cloned());
                }
                (self.hands[hand].name.clone(), ops, self.dice.one_in(4))
            })
            .collect()
    }
}

/// What the model says of an ask; an atomic one with a refusal changes nothing.
fn expected(
    model: &mut Model,
    by: &str,
    ops: &[Value],
    atomic: bool,
) -> Vec<Option<(i64, String)>> {
    let before = model.clone();
    let replies: Vec<_> = ops.iter().map(|op| model.take(by, op)).collect();
    if atomic && replies.iter().any(Option::is_none) {
        *model = before;
        return vec![None; ops.len()];
    }
    let told = |r: Option<(i64, &str)>| r.map(|(seq, outcome)| (seq, outcome.to_owned()));
    replies.into_iter().map(told).collect()
}

type Written<'a> = Pin<Box<dyn Future<Output = Result<Vec<Reply>, StoreError>> + 'a>>;

/// Sends all asks before waiting for any answer, in order, so that they share commits.
async fn write_together(store: &Store, asks: Vec<Ask>) -> Vec<Vec<Reply>> {
    let mut writes: Vec<(Written<'_>, Option<Vec<Reply>>)> = asks
        .into_iter()
        .map(|ask| (Box::pin(store.write(ask)) as Written<'_>, None))
        .collect();
    std::future::poll_fn(|cx| {
        for (write, done) in writes.iter_mut().filter(|(_, done)| done.is_none()) {
            if let Poll::Ready(replies) = write.as_mut().poll(cx) {
                *done = Some(replies.expect("the store writes"));
            }
        }
        if writes.iter().all(|(_, done)| done.is_some()) {
            Poll::Ready(())
        } else {
            Poll::Pending
        }
    })
    .await;
    writes.into_iter().filter_map(|(_, done)| done).collect()
}

/// Everything the model holds, as the plan says it.
fn compare(plan: &Plan, model: &Model) {
    for (id, thing) in &model.things {
        let entry = plan.anything(id).unwrap_or_else(|| panic!("{id} is gone"));
        assert_eq!(entry.removed_seq(), thing.removed, "{id}: removed");
        let json = entry_json(entry);
        for (name, (value, version)) in &thing.fields {
            assert_eq!(json[name], shown(value), "{id}.{name}");
            assert_eq!(json["versions"][name], *version, "{id}.{name}: version");
            if what(&thing.kind, name) == Some(What::Set) {
                let index = entry.kind().index(name).expect("declared");
                let Held::Members(members) = entry.get(index) else {
                    panic!("{id}.{name} is no set")
                };
                let tags: Value = members
                    .iter()
                    .map(|(m, seq)| (m.to_string(), json!(seq)))
                    .collect::<serde_json::Map<_, _>>()
                    .into();
                assert_eq!(tags, *value, "{id}.{name}: who added what");
            }
        }
        let unset = json["versions"].as_object().map_or(0, serde_json::Map::len);
        assert_eq!(unset, thing.fields.len(), "{id}: fields ever written");
    }
    let living = |shared: bool| {
        let things = model.things.values();
        things.filter(|t| is_shared(&t.kind) == shared).count()
    };
    assert_eq!(
        plan.shots.with_removed().count()
            + plan.setups.with_removed().count()
            + plan.scenes.with_removed().count()
            + plan.sightings.with_removed().count(),
        living(false)
    );
    assert_eq!(plan.studio.pieces.with_removed().count(), living(true));
    let mut besides: Vec<_> = plan
        .besides
        .iter()
        .chain(plan.studio.besides.iter())
        .collect();
    besides.sort_by_key(|b| b.seq);
    let besides: Vec<_> = besides
        .iter()
        .map(|b| (b.seq, b.entity.as_str(), &*b.field, &b.value))
        .collect();
    let kept: Vec<_> = model
        .besides
        .iter()
        .map(|b| (b.seq, b.entity.as_str(), b.field.as_str(), &b.value))
        .collect();
    assert_eq!(besides, kept, "values kept beside");
}

/// Memory where nothing is flushed, if the system has some: what is tested here is not the disk.
pub fn quick_folder() -> tempfile::TempDir {
    tempfile::tempdir_in("/dev/shm")
        .or_else(|_| tempfile::tempdir())
        .expect("a temporary folder")
}

async fn new_plan(store: &Store) -> Id {
    let id = Id::parse("plan-1").expect("an id");
    let fields = json!({"title": "The Drowned Parish", "base_fps": "25"});
    let ask = Ask {
        plan: id.clone(),
        ops: vec![Op::insert("plan", id.clone(), fields)],
        atomic: true,
        batch: None,
        actor: "maker".into(),
        client: "maker".into(),
    };
    store.write(ask).await.expect("the plan is made");
    id
}

/// How often each kind of op came to each outcome, so that no rule goes untried.
type Tally = BTreeMap<(String, String), usize>;

async fn history(seed: u64, ops: usize, tally: &mut Tally) {
    let folder = quick_folder();
    let mut store = Store::open(folder.path()).await.expect("it opens");
    let id = new_plan(&store).await;
    let mut history = History::new(seed);
    history.model.newest = 1;
    let mut done = 0;
    while done < ops {
        let asks = history.asks();
        let real = asks
            .iter()
            .map(|(by, ops, atomic)| Ask {
                plan: id.clone(),
                ops: ops
                    .iter()
                    .map(|op| Op::from_json(op).unwrap_or_else(|e| panic!("{op}: {e:?}")))
                    .collect(),
                atomic: *atomic,
                batch: (ops.len() > 1).then(|| format!("batch-{done}").into()),
                actor: by.as_str().into(),
                client: by.as_str().into(),
            })
            .collect();
        let replies = write_together(&store, real).await;
        for ((by, ops, atomic), replies) in asks.iter().zip(replies) {
            let expected = expected(&mut history.model, by, ops, *atomic);
            let told: Vec<_> = replies
                .iter()
                .map(|r| {
                    r.result
                        .as_ref()
                        .ok()
                        .map(|(s, o)| (*s, o.word().to_owned()))
                })
                .collect();
            let why: Vec<_> = replies
                .iter()
                .filter_map(|r| r.result.as_ref().err())
                .collect();
            assert_eq!(told, expected, "{by} {atomic} {ops:#?} {why:?}");
            done += ops.len();
            for (op, reply) in ops.iter().zip(&expected) {
                let outcome = reply.as_ref().map_or("refused", |(_, outcome)| outcome);
                let kind = op["kind"].as_str().unwrap_or_default();
                *tally.entry((kind.into(), outcome.into())).or_default() += 1;
            }
        }
        let plan = store.plan(&id).await.expect("it reads").expect("a plan");
        compare(&plan, &history.model);
        if history.dice.one_in(60) {
            store = reopened(store, folder.path(), &plan).await;
        }
    }
    let plan = store.plan(&id).await.expect("it reads").expect("a plan");
    store.check().await.expect("tables and journal agree");
    reopened(store, folder.path(), &plan).await.close().await;
}

/// Closes and opens again: the plan must be the one that stood in memory.
async fn reopened(store: Store, folder: &std::path::Path, plan: &Arc<Plan>) -> Store {
    store.close().await;
    drop(store);
    let store = Store::open(folder).await.expect("it opens again");
    let again = store.plan(&plan.id).await.expect("it reads");
    let again = again.expect("the plan is there");
    assert_eq!(again.studio, plan.studio, "the rebuilt studio");
    assert_eq!(again, *plan, "the rebuilt plan");
    store
}

fn histories(seeds: std::ops::Range<u64>) {
    let runtime = tokio::runtime::Builder::new_current_thread()
        .enable_all()
        .build()
        .expect("a runtime");
    let mut tally = Tally::new();
    for seed in seeds {
        let run = || runtime.block_on(history(seed, 200, &mut tally));
        if let Err(cause) = std::panic::catch_unwind(std::panic::AssertUnwindSafe(run)) {
            eprintln!("the history with seed {seed} failed");
            std::panic::resume_unwind(cause);
        }
    }
    for (kind, outcomes) in EXPECTED {
        for outcome in *outcomes {
            let met = tally.get(&((*kind).into(), (*outcome).into()));
            assert!(
                met.is_some_and(|n| *n > 10),
                "{kind} was hardly ever {outcome}: {tally:?}"
            );
        }
    }
}

/// What has to happen often enough to have been tried.
const EXPECTED: &[(&str, &[&str])] = &[
    ("insert", &["applied", "refused"]),
    (
        "set",
        &[
            "applied",
            "same value",
            "kept beside",
            "kept beside the removal",
            "refused",
        ],
    ),
    (
        "move",
        &[
            "applied",
            "same value",
            "kept beside",
            "kept beside the removal",
        ],
    ),
    (
        "remove",
        &["applied", "same value", "kept beside", "refused"],
    ),
    ("restore", &["applied", "same value", "refused"]),
    (
        "resolve",
        &[
            "applied",
            "same value",
            "kept beside",
            "kept beside the removal",
        ],
    ),
    ("add", &["applied", "same value", "kept beside the removal"]),
    ("take_out", &["applied", "same value", "kept beside"]),
    ("append", &["applied", "kept beside the removal"]),
    ("undo", &["applied", "same value", "kept beside", "refused"]),
];

#[test]
fn the_journal_does_what_the_model_says() {
    histories(0..100);
}

#[test]
fn the_journal_does_what_the_model_says_in_other_histories() {
    histories(100..200);
}

#[test]
#[ignore = "ten thousand histories: run by night with --ignored"]
fn the_journal_does_what_the_model_says_all_night() {
    histories(200..10_200);
}
