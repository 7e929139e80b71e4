//! Advances a plan (or the studio) by one committed change: the fold of the journal.

use super::{
    change::{Change, OpKind, Outcome},
    field::Field,
    record::RecordKind,
    value::{Id, LogEntry, Members, Value},
};
use crate::plan::{Beside, LastChange, Plan, Scope, Studio};
use serde_json::Value as Json;
use std::sync::Arc;

/// Advances a plan by a change of its own.
pub fn to_plan(plan: &mut Plan, change: &Change) {
    advance(plan, change);
    plan.seq = change.seq;
    plan.last = LastChange {
        actor: change.actor.clone(),
        at_ms: change.at_server_ms,
    };
}

/// Advances the studio by a change that no plan owns.
pub fn to_studio(studio: &mut Studio, change: &Change) {
    advance(studio, change);
    studio.seq = change.seq;
    studio.last = LastChange {
        actor: change.actor.clone(),
        at_ms: change.at_server_ms,
    };
}

fn advance(scope: &mut dyn Scope, change: &Change) {
    match change.outcome {
        Outcome::SameValue => {}
        Outcome::KeptBeside | Outcome::KeptBesideRemoval => {
            let beside = Beside {
                seq: change.seq,
                entity: change.entity.clone(),
                field: change.field.clone().unwrap_or_default(),
                value: change.value.clone(),
                actor: change.actor.clone(),
                at_ms: change.at_server_ms,
            };
            Arc::make_mut(scope.besides_mut()).push(Arc::new(beside));
        }
        Outcome::Applied => advance_applied(scope, change),
    }
}

fn advance_applied(scope: &mut dyn Scope, change: &Change) {
    settle(scope, change);
    let Some(list) = scope.list_mut(&change.entity_type) else {
        return;
    };
    let id = change.entity.as_str();
    if change.kind == OpKind::Insert {
        let values: Vec<_> = first_values(list.kind(), &change.value)
            .into_iter()
            .map(|(i, v)| (i, stamped(v, change.seq)))
            .collect();
        list.insert(change.entity.clone(), &values, change.seq);
        return;
    }
    if let Some(removed) = removes(change) {
        list.set_removed(id, if removed { change.seq } else { 0 });
        return;
    }
    if only_settles(change) {
        return;
    }
    let Some(index) = change.field.as_deref().and_then(|f| list.kind().index(f)) else {
        return;
    };
    let Some(current) = list.find(id).map(|e| e.get(index)) else {
        return;
    };
    let value = new_value(&list.kind().fields[index], change, current);
    list.put(id, index, &value, change.seq);
}

/// Takes away what a change settles: the values a resolve names, or a removal kept beside that is now carried out.
fn settle(scope: &mut dyn Scope, change: &Change) {
    let settled = settled_by(change);
    let carried_out = removes(change).is_some();
    let gone = |b: &Arc<Beside>| {
        settled.contains(&b.seq) || (carried_out && b.entity == change.entity && b.field.is_empty())
    };
    let besides = scope.besides_mut();
    if besides.iter().any(gone) {
        Arc::make_mut(besides).retain(|b| !gone(b));
    }
}

/// The fields of an insert. They were checked when it was decided; what an older journal says that today's declaration
/// would refuse is left out, the rest is read.
fn first_values(kind: &RecordKind, fields: &Json) -> Vec<(usize, Value)> {
    let fields = fields.as_object().into_iter().flatten();
    fields
        .filter_map(|(name, json)| {
            let index = kind.index(name)?;
            Some((index, kind.fields[index].check(json).ok()?))
        })
        .filter(|(_, value)| *value != Value::Absent)
        .collect()
}

/// Whether a resolve leaves the field itself alone.
pub fn only_settles(change: &Change) -> bool {
    change.kind == OpKind::Resolve && change.value.get("value").is_none()
}

/// Whether a change strikes its thing out (`true`), puts it back (`false`), or neither.
pub fn removes(change: &Change) -> Option<bool> {
    match change.kind {
        OpKind::Remove => Some(true),
        OpKind::Restore => Some(false),
        OpKind::Undo if change.field.is_none() => change.value["removed"].as_bool(),
        _ => None,
    }
}

/// Numbers of the kept-beside values that a resolve settles.
pub fn settled_by(change: &Change) -> Vec<i64> {
    if change.kind != OpKind::Resolve {
        return Vec::new();
    }
    change.value["settles"]
        .as_array()
        .map(|list| list.iter().filter_map(Json::as_i64).collect())
        .unwrap_or_default()
}

/// What the field holds after an applied change.
pub fn new_value(field: &Field, change: &Change, current: Value) -> Value {
    let json = if change.kind == OpKind::Resolve {
        &change.value["value"]
    } else {
        &change.value
    };
    match (change.kind, current) {
        (OpKind::Add | OpKind::TakeOut, Value::Members(members)) => {
            Value::Members(with_member(&members, change))
        }
        (OpKind::Undo, Value::Members(members)) if json.is_string() => {
            Value::Members(with_member(&members, change))
        }
        (OpKind::Append, Value::Log(log)) => {
            let mut log = (*log).clone();
            let text = json.as_str().unwrap_or_default().into();
            log.push(LogEntry {
                seq: change.seq,
                actor: change.actor.clone(),
                text,
            });
            Value::Log(Arc::new(log))
        }
        _ => stamped(field.check(json).unwrap_or(Value::Absent), change.seq),
    }
}

/// A set written whole: every member counts as added now.
fn stamped(value: Value, seq: i64) -> Value {
    match value {
        Value::Members(members) => {
            Value::Members(Arc::new(members.keys().map(|m| (m.clone(), seq)).collect()))
        }
        other => other,
    }
}

fn with_member(members: &Members, change: &Change) -> Members {
    let mut members = (**members).clone();
    let member: Arc<str> = change.value.as_str().unwrap_or_default().into();
    // An undo of an add takes out, of a take-out adds: `before` says which it was.
    let adds = match change.kind {
        OpKind::Undo => change.before.as_bool() == Some(false),
        kind => kind == OpKind::Add,
    };
    if adds {
        members.insert(member, change.seq);
    } else {
        members.remove(&member);
    }
    Arc::new(members)
}

/// The plans and the studio that a whole journal folds to.
pub fn fold(
    epoch: &Arc<str>,
    changes: &[Change],
) -> (Arc<Studio>, std::collections::BTreeMap<Id, Plan>) {
    let mut studio = Studio::empty();
    let mut plans = std::collections::BTreeMap::new();
    for change in changes {
        match &change.plan {
            None => to_studio(&mut studio, change),
            Some(id) => {
                let plan = plans.entry(id.clone()).or_insert_with(|| {
                    Plan::empty(id.clone(), epoch.clone(), Arc::new(Studio::empty()))
                });
                to_plan(plan, change);
            }
        }
    }
    let studio = Arc::new(studio);
    for plan in plans.values_mut() {
        plan.studio = studio.clone();
    }
    (studio, plans)
}
