//! The demo plan, entered as a crew would enter it: the shot list through the import, everything else as ordinary changes.

use crate::{
    api::refused_error,
    error::PageError,
    journal::{
        change::{Op, OpKind},
        field::Kind,
        record::{AnyEntry, AnyList, RecordKind},
        value::Id,
        writer::Ask,
    },
    plan::{
        Plan, Scope as _, Studio,
        handover::{self, Options, store},
    },
    store::Store,
};
use serde_json::{Map, Value as Json};
use std::{collections::BTreeMap, sync::Arc};
use stillair_calc::order_key;

const SHOTS: &[u8] = include_bytes!("../demo-seed/shots.csv");
/// Who writes what, in the order it is written.
const PAGES: &[(&str, &str)] = &[
    ("art", include_str!("../demo-seed/stores.json")),
    ("lead", include_str!("../demo-seed/setups.json")),
    ("art", include_str!("../demo-seed/sightings.json")),
    ("lead", include_str!("../demo-seed/days.json")),
];
const PRODUCTION: &str = include_str!("../demo-seed/production.json");

/// Fills an empty store with the demo.
///
/// # Errors
/// Anything refused, which a test keeps from happening.
pub async fn fill(store: &Store) -> Result<(), PageError> {
    let plan = Id::new();
    let mut title = records(PRODUCTION)?;
    let (_, fields) = title.pop().ok_or_else(|| unreadable("no production"))?;
    let insert = Op::insert("plan", plan.clone(), fields.into());
    write(store, &plan, "lead", vec![insert]).await?;
    import(store, &plan).await?;
    let before = open(store, &plan).await?.number();
    for (who, page) in PAGES {
        let ops = Page::new(&*open(store, &plan).await?).ops(records(page)?)?;
        write(store, &plan, who, ops).await?;
    }
    another_hand(store, &plan, before).await?;
    readings(store, &plan).await?;
    remarks(store, &plan).await
}

/// The shot list, looked at and stored.
async fn import(store: &Store, plan: &Id) -> Result<(), PageError> {
    let now = open(store, plan).await?;
    let options = Options {
        base_fps: now.base_rate(),
        ..Options::default()
    };
    let look = handover::read(SHOTS, "shots.csv", &options)
        .map_err(|refused| unreadable(&refused.to_string()))?;
    if let Some(fault) = look.errors.first() {
        return Err(unreadable(&fault.sentence()));
    }
    let ops = store::ops(&now, &look, &store::against(&now, &look));
    write(store, plan, "lead", ops).await
}

/// Camera wrote the stop of S3 while looking at the plan as it was before the setups were filled in.
async fn another_hand(store: &Store, plan: &Id, before: i64) -> Result<(), PageError> {
    let now = open(store, plan).await?;
    let Some(setup) = now.setup_by_code("S3") else {
        return Err(unreadable("no setup S3"));
    };
    let set = Op::set(setup.id.clone(), "f_number", before, 16.into());
    write(store, plan, "camera", vec![set]).await
}

/// What was read of the air: a leak that replaces the assumed one, and the haze of S3 by two cards.
async fn readings(store: &Store, plan: &Id) -> Result<(), PageError> {
    let now = open(store, plan).await?;
    let days = now.days_in_order();
    let day = days
        .last()
        .ok_or_else(|| unreadable("no day"))?
        .id
        .to_string();
    let setup = now.setup_by_code("S3").map(|s| s.id.to_string());
    let said = ["light/haze", "2 March 11:20", "12 March 12:31"];
    let read = [
        serde_json::json!({
            "kind": "leak", "first_per_m": 1.42, "second_per_m": 1.05, "minutes_between": 30,
            "at_clock_min": 680, "said_by": said[0], "said_at": said[1],
        }),
        serde_json::json!({
            "kind": "cards", "day": day, "setup": setup, "white_clear": 92, "black_clear": 3.4,
            "white_haze": 34.4, "black_haze": 11.2, "distance_m": 1, "at_clock_min": 751,
            "said_by": said[0], "said_at": said[2],
        }),
    ];
    for fields in read {
        write(
            store,
            plan,
            said[0],
            vec![Op::insert("reading", Id::new(), fields)],
        )
        .await?;
    }
    Ok(())
}

/// What two hands remarked; one of it is settled.
async fn remarks(store: &Store, plan: &Id) -> Result<(), PageError> {
    let now = open(store, plan).await?;
    let id = |code: &str| {
        let setup = now.setup_by_code(code).map(|s| s.id.to_string());
        setup.ok_or_else(|| unreadable(&format!("no setup {code}")))
    };
    let said = [
        (
            "S5",
            "art",
            "The spire shows a seam to lamp B: turn the good face before the take.",
            "open",
            "",
        ),
        (
            "S3",
            "rig/model",
            "Second line is re-tied with a longer tail; count its swings again.",
            "open",
            "",
        ),
        (
            "S6",
            "light/haze",
            "Is the lamp string dimmed with the key, or by itself?",
            "settled",
            "lead",
        ),
    ];
    for (code, who, words, standing, settled_by) in said {
        let fields = serde_json::json!({
            "about": id(code)?, "words": words, "standing": standing, "said_by": who,
            "said_at": "10 March 17:20", "settled_by": settled_by,
        });
        write(
            store,
            plan,
            who,
            vec![Op::insert("remark", Id::new(), fields)],
        )
        .await?;
    }
    Ok(())
}

async fn open(store: &Store, plan: &Id) -> Result<Arc<Plan>, PageError> {
    let plan = store.plan(plan).await?;
    plan.ok_or_else(|| PageError::no_such("plan"))
}

async fn write(store: &Store, plan: &Id, who: &str, ops: Vec<Op>) -> Result<(), PageError> {
    let ask = Ask {
        plan: plan.clone(),
        batch: (ops.len() > 1).then(|| Id::new().as_str().into()),
        ops,
        atomic: true,
        actor: who.into(),
        client: "demo".into(),
    };
    for reply in store.write(ask).await? {
        reply.result.map_err(refused_error)?;
    }
    Ok(())
}

fn unreadable(why: &str) -> PageError {
    PageError::Internal(format!("demo-seed: {why}"))
}

type Fields = Map<String, Json>;

/// Records of a file, each with its entity type, in the order they can be made: what is referred to comes first.
fn records(text: &str) -> Result<Vec<(&'static RecordKind, Fields)>, PageError> {
    let mut lists: BTreeMap<String, Vec<Fields>> =
        serde_json::from_str(text).map_err(|error| unreadable(&error.to_string()))?;
    let kinds = [Studio::KINDS, Plan::KINDS].concat();
    let records = kinds.into_iter().flat_map(|kind| {
        let list = lists.remove(kind.entity_type).unwrap_or_default();
        list.into_iter().map(move |fields| (kind, fields))
    });
    let records = records.collect();
    match lists.pop_first() {
        Some((unknown, _)) => Err(unreadable(&format!(
            "no kind of record is called {unknown}"
        ))),
        None => Ok(records),
    }
}

/// Ops for one file, on a plan as it stands.
struct Page<'p> {
    plan: &'p Plan,
    /// Things by kind and by what the files call them: those of the plan, and those of this file as they come.
    called: BTreeMap<(&'static str, String), Id>,
    ops: Vec<Op>,
}

impl<'p> Page<'p> {
    fn new(plan: &'p Plan) -> Self {
        let mut page = Self {
            plan,
            called: BTreeMap::new(),
            ops: Vec::new(),
        };
        let lists: Vec<&dyn AnyList> = plan
            .studio
            .lists()
            .into_iter()
            .chain(plan.lists())
            .collect();
        for entry in lists.iter().flat_map(|list| list.entries()) {
            if let Some(name) = page.name_of_entry(entry) {
                let kind = entry.kind().entity_type;
                page.called.insert((kind, name), entry.id().clone());
            }
        }
        page
    }

    fn ops(mut self, records: Vec<(&'static RecordKind, Fields)>) -> Result<Vec<Op>, PageError> {
        let mut count = BTreeMap::new();
        for (kind, _) in &records {
            *count.entry(kind.entity_type).or_insert(0) += 1;
        }
        let mut places: BTreeMap<_, _> = count
            .into_iter()
            .map(|(kind, count)| (kind, order_key::spread(count).into_iter()))
            .collect();
        for (kind, mut fields) in records {
            let place = places.get_mut(kind.entity_type).and_then(Iterator::next);
            if let (Some(place), Some(_)) = (place, kind.index("order_key")) {
                fields.insert("order_key".into(), place.into());
            }
            self.record(kind, fields)?;
        }
        Ok(self.ops)
    }

    fn record(&mut self, kind: &'static RecordKind, mut fields: Fields) -> Result<(), PageError> {
        let name = name_in_file(kind, &fields);
        let logs: Vec<_> = kind
            .fields
            .iter()
            .filter(|field| matches!(field.blank.kind, Kind::Log))
            .filter_map(|field| Some((field.name, fields.remove(field.name)?)))
            .collect();
        for field in kind.fields {
            if let (Kind::Reference(to), Some(value)) =
                (field.blank.kind, fields.get_mut(field.name))
            {
                let called = value.as_str().unwrap_or_default().to_owned();
                let id = self.called.get(&(to, called.clone()));
                let id = id.ok_or_else(|| unreadable(&format!("no {to} is called {called}")))?;
                *value = id.as_str().into();
            }
        }
        let key = name.map(|name| (kind.entity_type, name));
        let there = key.as_ref().and_then(|key| self.called.get(key)).cloned();
        let id = there.clone().unwrap_or_else(Id::new);
        if there.is_some() {
            self.change(&id, fields);
        } else {
            let insert = Op::insert(kind.entity_type, id.clone(), fields.into());
            self.ops.push(insert);
        }
        for (field, lines) in logs {
            for line in lines.as_array().into_iter().flatten() {
                self.ops.push(Op {
                    kind: OpKind::Append,
                    ..Op::set(id.clone(), field, self.plan.number(), line.clone())
                });
            }
        }
        self.called.extend(key.map(|key| (key, id)));
        Ok(())
    }

    /// What the record says otherwise.
    fn change(&mut self, id: &Id, fields: Fields) {
        let base = self.plan.number();
        let Some(entry) = self.plan.anything(id.as_str()) else {
            return;
        };
        let says_otherwise = |name: &str, value: &Json| {
            let index = entry.kind().index(name);
            index.is_none_or(|index| entry.get(index).to_json() != *value)
        };
        let sets = fields
            .into_iter()
            .filter(|(name, value)| says_otherwise(name, value))
            .map(|(name, value)| Op::set(id.clone(), &name, base, value));
        self.ops.extend(sets);
    }

    /// What the files call a thing of the plan.
    fn name_of_entry(&self, entry: &dyn AnyEntry) -> Option<String> {
        let kind = entry.kind();
        let mut fields = Fields::new();
        for (index, field) in kind.fields.iter().enumerate() {
            let value = entry.get(index);
            let Some(text) = value.as_text() else {
                continue;
            };
            let text = match field.blank.kind {
                Kind::Reference(_) => self
                    .plan
                    .anything(text)
                    .and_then(|to| self.name_of_entry(to))
                    .unwrap_or_default(),
                _ => text.to_owned(),
            };
            fields.insert(field.name.into(), text.into());
        }
        name_in_file(kind, &fields)
    }
}

/// What a file calls a record: its code or name, a mode with its camera in front, a pass by shot, setup and element.
fn name_in_file(kind: &RecordKind, fields: &Fields) -> Option<String> {
    let text = |name: &str| fields.get(name).and_then(Json::as_str);
    match kind.entity_type {
        "camera_mode" => Some(format!("{}: {}", text("camera")?, text("name")?)),
        "placement" => Some(format!("{}: {}", text("setup")?, text("name")?)),
        "let_pass" => Some(format!("{}: {}", text("setup")?, text("rule")?)),
        "pass" => Some(format!(
            "{} in {}, {}",
            text("shot")?,
            text("setup")?,
            text("element")?
        )),
        _ => text("code").or_else(|| text("name")).map(str::to_owned),
    }
}
