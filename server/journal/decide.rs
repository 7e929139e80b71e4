//! What comes of a write: decided from the plan as it stands, before any SQL.

use super::{
    change::{Change, Op, OpKind, Outcome},
    field::{Field, Kind, Refusal},
    record::{AnyEntry, check_new},
    refer::{check_reference, check_used_once},
    standing, undo,
    value::{Id, Value},
};
use crate::plan::{Plan, Scope as _};
use serde_json::{Value as Json, json};
use std::{
    collections::{HashMap, HashSet},
    sync::Arc,
};

pub use super::refer::called;

/// A change without its number, or the reason why there is none.
#[derive(Clone, Debug)]
pub struct Draft {
    /// Whether the studio's plans share the thing.
    pub shared: bool,
    /// What it does.
    pub kind: OpKind,
    /// Kind of thing.
    pub entity_type: &'static str,
    /// The thing.
    pub entity: Id,
    /// The field.
    pub field: Option<&'static str>,
    /// Value written.
    pub value: Json,
    /// What stood there before.
    pub before: Json,
    /// What came of it.
    pub outcome: Outcome,
    /// Undo: the change taken back.
    pub of_seq: Option<i64>,
}

/// Why nothing was stored.
#[derive(Clone, Debug, PartialEq)]
pub enum Refused {
    /// Something in it is wrong.
    Invalid(Vec<Refusal>),
    /// The same op id came with another body.
    SameKeyOtherContent,
    /// Others still refer to the thing: what they are called.
    StillReferenced(Vec<String>),
}

/// What deciding needs beside the plan and the op.
#[derive(Clone, Copy, Debug)]
pub struct Sight<'a> {
    /// Newest number of the journal.
    pub newest: i64,
    /// Whoever asks.
    pub actor: &'a str,
    /// The change an undo names; for a batch, all of it.
    pub undone: &'a [Arc<Change>],
    /// Newest number before an undo of a batch began: whatever is later is the undo's own.
    pub since: i64,
    /// What other plans have to do with it.
    pub others: &'a Others,
}

/// What an ask has to do with the studio's other plans, which are not in sight.
#[derive(Clone, Debug, Default)]
pub struct Others {
    /// Ids that their things have.
    pub taken: HashSet<Id>,
    /// Who of them refers to what the studio shares: by the shared thing, what they are called.
    pub referrers: HashMap<Id, Vec<String>>,
}

/// One fault as a refusal.
pub(super) fn invalid(field: &str, kind: &'static str, problem: impl Into<String>) -> Refused {
    Refused::Invalid(vec![Refusal {
        field: field.into(),
        kind,
        problem: problem.into(),
    }])
}

/// Decides one op. The last draft is the op's own; drafts before it are what it brings along.
///
/// # Errors
/// [`Refused`], and then nothing may be stored.
pub fn decide(plan: &Plan, op: &Op, sight: &Sight<'_>) -> Result<Vec<Draft>, Refused> {
    if let Some(base) = op.base
        && !(0..=sight.newest).contains(&base)
    {
        return Err(invalid(
            "base",
            "out_of_range",
            format!(
                "base is newer than this store knows ({}): load the page again.",
                sight.newest
            ),
        ));
    }
    match op.kind {
        OpKind::Insert => insert(plan, op, &sight.others.taken).map(|d| vec![d]),
        OpKind::Undo => undo::undo(plan, op, sight),
        OpKind::Remove => standing::remove(plan, op, sight),
        OpKind::Restore => standing::restore(plan, op).map(|d| vec![d]),
        OpKind::Resolve if op.field.is_none() => standing::settle(plan, op).map(|d| vec![d]),
        OpKind::Set | OpKind::Move | OpKind::Resolve => set(plan, op).map(|d| vec![d]),
        OpKind::Add | OpKind::TakeOut => member(plan, op, sight.newest).map(|d| vec![d]),
        OpKind::Append => append(plan, op).map(|d| vec![d]),
    }
}

/// The thing an op speaks of, and whether the studio's plans share it.
pub(super) fn thing<'a>(plan: &'a Plan, op: &Op) -> Result<(&'a dyn AnyEntry, bool), Refused> {
    let id = op
        .entity
        .as_ref()
        .ok_or_else(|| invalid("entity", "missing", "Say which thing."))?;
    let found = plan
        .find(id.as_str())
        .map(|e| (e, false))
        .or_else(|| plan.studio.find(id.as_str()).map(|e| (e, true)));
    let (entry, shared) = found.ok_or_else(|| {
        invalid(
            "entity",
            "refers_to_nothing",
            "There is no such thing in this plan.",
        )
    })?;
    match &op.entity_type {
        Some(name) if **name != *entry.kind().entity_type => Err(invalid(
            "entity_type",
            "not_one_of",
            format!("That thing is a {}, not a {name}.", entry.kind().word),
        )),
        _ => Ok((entry, shared)),
    }
}

fn field_of(entry: &dyn AnyEntry, op: &Op) -> Result<(usize, &'static Field), Refused> {
    // A move is a set of the one key a list is ordered by, and needs not name it.
    let name = match (op.field.as_deref(), op.kind) {
        (Some(name), _) => name,
        (None, OpKind::Move) => "order_key",
        (None, _) => return Err(invalid("field", "missing", "Say which field.")),
    };
    let index = entry.kind().index(name).ok_or_else(|| {
        invalid(
            name,
            "unknown_field",
            format!("A {} has no “{name}”.", entry.kind().word),
        )
    })?;
    let field = &entry.kind().fields[index];
    if op.kind == OpKind::Move && !matches!(field.blank.kind, Kind::OrderKey) {
        return Err(invalid(
            name,
            "wrong_type",
            format!("{} is no place in a list.", field.label),
        ));
    }
    Ok((index, field))
}

/// A change of a thing as it stands.
pub(super) fn draft(
    entry: &dyn AnyEntry,
    shared: bool,
    op: &Op,
    field: Option<&'static str>,
    value: Json,
    outcome: Outcome,
) -> Draft {
    let before = field
        .and_then(|f| entry.kind().index(f))
        .map_or(Json::Null, |i| entry.get(i).to_json());
    Draft {
        shared,
        kind: op.kind,
        entity_type: entry.kind().entity_type,
        entity: entry.id().clone(),
        field,
        value,
        before,
        outcome,
        of_seq: op.of_seq,
    }
}

/// Equal as a person would say: sets by their members.
fn equal(a: &Value, b: &Value) -> bool {
    match (a, b) {
        (Value::Members(a), Value::Members(b)) => a.keys().eq(b.keys()),
        _ => a == b,
    }
}

/// A write of a whole field: `set`, `move`, `resolve`, and the undo of one.
pub(super) fn set(plan: &Plan, op: &Op) -> Result<Draft, Refused> {
    let (entry, shared) = thing(plan, op)?;
    let (index, field) = field_of(entry, op)?;
    let base = op.base.ok_or_else(|| {
        invalid(
            "base",
            "missing",
            "Say which number the page showed (base).",
        )
    })?;
    let value = field
        .check(&op.value)
        .map_err(|r| Refused::Invalid(vec![r]))?;
    check_reference(plan, field, &value)?;
    let outcome = if entry.removed_seq() != 0 {
        Outcome::KeptBesideRemoval
    } else if entry.version(index) <= base {
        check_used_once(plan, entry.kind(), Some(entry.id()), field, &value)?;
        Outcome::Applied
    } else if equal(&value, &entry.get(index)) {
        Outcome::SameValue
    } else {
        Outcome::KeptBeside
    };
    let value = if op.kind == OpKind::Resolve && outcome == Outcome::Applied {
        let settles = open_besides(plan, op, entry.id(), field.name);
        json!({"value": value.to_json(), "settles": settles})
    } else {
        value.to_json()
    };
    Ok(draft(entry, shared, op, Some(field.name), value, outcome))
}

/// Numbers of the values kept beside that a resolve settles: those it saw, or all.
pub(super) fn open_besides(plan: &Plan, op: &Op, entity: &Id, field: &str) -> Vec<i64> {
    let open = plan.besides_of(entity, field).map(|b| b.seq);
    match &op.settles {
        Some(seen) => open.filter(|seq| seen.contains(seq)).collect(),
        None => open.collect(),
    }
}

fn insert(plan: &Plan, op: &Op, taken: &HashSet<Id>) -> Result<Draft, Refused> {
    let name = op
        .entity_type
        .as_deref()
        .ok_or_else(|| invalid("entity_type", "missing", "Say what kind of thing it is."))?;
    let list = plan
        .list(name)
        .map(|l| (l, false))
        .or_else(|| plan.studio.list(name).map(|l| (l, true)));
    let (list, shared) = list.ok_or_else(|| {
        invalid(
            "entity_type",
            "not_one_of",
            format!("There are no things called “{name}”."),
        )
    })?;
    let id = op
        .entity
        .clone()
        .ok_or_else(|| invalid("entity", "missing", "Give the new thing an id."))?;
    let Json::Object(fields) = &op.value else {
        return Err(invalid(
            "value",
            "wrong_type",
            "value holds the fields of the new thing.",
        ));
    };
    if plan.anything(id.as_str()).is_some() || taken.contains(&id) {
        return Err(invalid(
            "entity",
            "used_twice",
            "That id is already in use.",
        ));
    }
    let is_production = name == "plan";
    if is_production && (id != plan.id || plan.productions.with_removed().next().is_some()) {
        return Err(invalid("entity", "used_twice", "A plan is one production."));
    }
    if !is_production && plan.productions.with_removed().next().is_none() {
        return Err(invalid(
            "entity",
            "refers_to_nothing",
            "There is no such plan.",
        ));
    }
    let values = check_new(list.kind(), fields).map_err(Refused::Invalid)?;
    for (index, value) in &values {
        check_reference(plan, &list.kind().fields[*index], value)?;
        check_used_once(plan, list.kind(), None, &list.kind().fields[*index], value)?;
    }
    let value = values
        .iter()
        .map(|(i, v)| (list.kind().fields[*i].name.to_owned(), v.to_json()))
        .collect::<serde_json::Map<_, _>>();
    Ok(Draft {
        shared,
        kind: OpKind::Insert,
        entity_type: list.kind().entity_type,
        entity: id,
        field: None,
        value: value.into(),
        before: Json::Null,
        outcome: Outcome::Applied,
        of_seq: None,
    })
}

/// A member put into a set or taken out: merges, and an add wins over a take-out that did not know it.
pub(super) fn member(plan: &Plan, op: &Op, newest: i64) -> Result<Draft, Refused> {
    let (entry, shared) = thing(plan, op)?;
    let (index, field) = field_of(entry, op)?;
    let Value::Members(members) = entry.get(index) else {
        return Err(invalid(
            field.name,
            "wrong_type",
            format!("{} is not a list of members.", field.label),
        ));
    };
    let text = op
        .value
        .as_str()
        .ok_or_else(|| invalid("value", "wrong_type", "value is the member's name."))?;
    let member = field
        .check_member(text)
        .map_err(|r| Refused::Invalid(vec![r]))?;
    let base = op.base.unwrap_or(newest);
    let outcome = match (op.kind, members.get(&member)) {
        _ if entry.removed_seq() != 0 => Outcome::KeptBesideRemoval,
        // Two hands that add the same member both want it: the later add counts, so that an older take-out loses to it.
        (OpKind::Add, Some(added)) if *added > base => Outcome::Applied,
        (OpKind::Add, Some(_)) | (OpKind::TakeOut, None) => Outcome::SameValue,
        // Added again after this hand last looked: the add wins.
        (OpKind::TakeOut, Some(added)) if *added > base => Outcome::KeptBeside,
        _ => Outcome::Applied,
    };
    let member = Json::String(member.to_string());
    Ok(draft(entry, shared, op, Some(field.name), member, outcome))
}

fn append(plan: &Plan, op: &Op) -> Result<Draft, Refused> {
    let (entry, shared) = thing(plan, op)?;
    let (_, field) = field_of(entry, op)?;
    if !matches!(field.blank.kind, Kind::Log) {
        return Err(invalid(
            field.name,
            "wrong_type",
            format!("{} is not a log.", field.label),
        ));
    }
    let text = op.value.as_str().map(str::trim).unwrap_or_default();
    let control = |c: char| c.is_control() && c != '\n' && c != '\t';
    if text.is_empty() || text.chars().count() > 2000 || text.contains(control) {
        return Err(invalid(
            field.name,
            "out_of_range",
            format!(
                "{}: a line has 1 to 2000 characters of plain text.",
                field.label
            ),
        ));
    }
    let outcome = if entry.removed_seq() == 0 {
        Outcome::Applied
    } else {
        Outcome::KeptBesideRemoval
    };
    let line = Json::String(text.into());
    Ok(Draft {
        before: Json::Null,
        ..draft(entry, shared, op, Some(field.name), line, outcome)
    })
}
