//! What comes of a write: decided from the plan as it stands, before any SQL.

use super::{
    change::{Change, Op, OpKind, Outcome},
    field::{Field, Kind, Refusal},
    record::{AnyEntry, check_new},
    value::{Id, Value},
};
use crate::plan::{Plan, Scope as _, Studio};
use serde_json::{Value as Json, json};
use std::sync::Arc;

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

fn invalid(field: &str, kind: &'static str, problem: impl Into<String>) -> Refused {
    Refused::Invalid(vec![Refusal {
        field: field.into(),
        kind,
        problem: problem.into(),
    }])
}

/// Decides one op. `newest` is the newest number of the journal, `actor` whoever asks; `earlier` finds an earlier change
/// (for an undo). The last draft is the op's own; drafts before it are what it brings along.
///
/// # Errors
/// [`Refused`], and then nothing may be stored.
pub fn decide(
    plan: &Plan,
    newest: i64,
    op: &Op,
    actor: &str,
    earlier: &dyn Fn(i64) -> Option<Arc<Change>>,
) -> Result<Vec<Draft>, Refused> {
    if let Some(base) = op.base
        && !(0..=newest).contains(&base)
    {
        return Err(invalid(
            "base",
            "out_of_range",
            format!("base is newer than this store knows ({newest}): load the page again."),
        ));
    }
    match op.kind {
        OpKind::Insert => insert(plan, op).map(|d| vec![d]),
        OpKind::Undo => undo(plan, op, actor, earlier),
        OpKind::Remove => remove(plan, op, newest),
        OpKind::Restore => restore(plan, op).map(|d| vec![d]),
        OpKind::Set | OpKind::Move | OpKind::Resolve => {
            set(plan, op, op.kind, None).map(|d| vec![d])
        }
        OpKind::Add | OpKind::TakeOut => member(plan, op, newest).map(|d| vec![d]),
        OpKind::Append => append(plan, op).map(|d| vec![d]),
    }
}

/// The thing an op speaks of.
fn thing<'a>(plan: &'a Plan, op: &Op) -> Result<(&'a dyn AnyEntry, bool), Refused> {
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
    let name = op
        .field
        .as_deref()
        .ok_or_else(|| invalid("field", "missing", "Say which field."))?;
    let index = entry.kind().index(name).ok_or_else(|| {
        invalid(
            name,
            "unknown_field",
            format!("A {} has no “{name}”.", entry.kind().word),
        )
    })?;
    Ok((index, &entry.kind().fields[index]))
}

fn draft(
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

fn set(plan: &Plan, op: &Op, kind: OpKind, of_seq: Option<i64>) -> Result<Draft, Refused> {
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
    check_used_once(plan, entry.kind(), Some(entry.id()), field, &value)?;
    let outcome = if entry.removed_seq() != 0 {
        Outcome::KeptBesideRemoval
    } else if entry.version(index) <= base {
        Outcome::Applied
    } else if equal(&value, &entry.get(index)) {
        Outcome::SameValue
    } else {
        Outcome::KeptBeside
    };
    let value = if kind == OpKind::Resolve && outcome == Outcome::Applied {
        let open = plan.besides_of(entry.id(), field.name).map(|b| b.seq);
        let settles: Vec<i64> = match &op.settles {
            Some(seen) => open.filter(|seq| seen.contains(seq)).collect(),
            None => open.collect(),
        };
        json!({"value": value.to_json(), "settles": settles})
    } else {
        value.to_json()
    };
    Ok(Draft {
        kind,
        of_seq,
        ..draft(entry, shared, op, Some(field.name), value, outcome)
    })
}

fn check_reference(plan: &Plan, field: &Field, value: &Value) -> Result<(), Refused> {
    let (Kind::Reference(entity_type), Value::Text(id)) = (field.blank.kind, value) else {
        return Ok(());
    };
    let list = plan
        .list(entity_type)
        .or_else(|| plan.studio.list(entity_type));
    if list.and_then(|l| l.find(id)).is_some() {
        return Ok(());
    }
    Err(invalid(
        field.name,
        "refers_to_nothing",
        format!("{} refers to nothing here.", field.label),
    ))
}

/// Codes that people say aloud are used once among the living.
fn check_used_once(
    plan: &Plan,
    kind: &super::record::RecordKind,
    own: Option<&Id>,
    field: &Field,
    value: &Value,
) -> Result<(), Refused> {
    let (true, Value::Text(text)) = (field.blank.once, value) else {
        return Ok(());
    };
    let Some(list) = plan
        .list(kind.entity_type)
        .or_else(|| plan.studio.list(kind.entity_type))
    else {
        return Ok(());
    };
    let Some(index) = kind.index(field.name) else {
        return Ok(());
    };
    let taken = list.entries().any(|e| {
        e.removed_seq() == 0 && Some(e.id()) != own && e.get(index).as_text() == Some(text)
    });
    if taken {
        Err(invalid(
            field.name,
            "used_twice",
            format!("Another {} is already called {text}.", kind.word),
        ))
    } else {
        Ok(())
    }
}

fn insert(plan: &Plan, op: &Op) -> Result<Draft, Refused> {
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
    if plan.find(id.as_str()).is_some() || plan.studio.find(id.as_str()).is_some() {
        return Err(invalid(
            "entity",
            "used_twice",
            "That id is already in use.",
        ));
    }
    if name == "plan" && (id != plan.id || !plan.productions.is_empty()) {
        return Err(invalid("entity", "used_twice", "A plan is one production."));
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

/// Living things that refer to `id`, with the field that does.
fn referrers<'a>(
    plan: &'a Plan,
    entity_type: &str,
    id: &Id,
) -> Vec<(&'a dyn AnyEntry, usize, bool)> {
    let mut found = Vec::new();
    let studio: &Studio = &plan.studio;
    for (list, shared) in plan
        .lists()
        .into_iter()
        .map(|l| (l, false))
        .chain(studio.lists().into_iter().map(|l| (l, true)))
    {
        for (index, field) in list.kind().fields.iter().enumerate() {
            if matches!(field.blank.kind, Kind::Reference(to) if to == entity_type) {
                let refer = list.entries().filter(|e| {
                    e.removed_seq() == 0 && e.get(index).as_text() == Some(id.as_str())
                });
                found.extend(refer.map(|e| (e, index, shared)));
            }
        }
    }
    found
}

/// What a person calls a thing: its code, name or title.
pub fn called(entry: &dyn AnyEntry) -> String {
    let named = ["code", "name", "title", "role"]
        .iter()
        .filter_map(|f| entry.kind().index(f));
    named
        .map(|i| entry.get(i))
        .find_map(|v| v.as_text().map(str::to_owned))
        .unwrap_or_else(|| entry.kind().word.to_owned())
}

fn remove(plan: &Plan, op: &Op, newest: i64) -> Result<Vec<Draft>, Refused> {
    let (entry, shared) = thing(plan, op)?;
    if entry.kind().entity_type == "plan" {
        return Err(invalid(
            "entity",
            "out_of_range",
            "A production is not struck out from inside.",
        ));
    }
    if entry.removed_seq() != 0 {
        return Ok(vec![draft(
            entry,
            shared,
            op,
            None,
            Json::Null,
            Outcome::SameValue,
        )]);
    }
    if entry.newest_version() > op.base.unwrap_or(newest) {
        return Ok(vec![draft(
            entry,
            shared,
            op,
            None,
            Json::Null,
            Outcome::KeptBeside,
        )]);
    }
    let mut drafts = Vec::new();
    strike(plan, entry, shared, op, &mut drafts)?;
    Ok(drafts)
}

/// Strikes a thing out; with `detach`, what can be without it lets go of it, and what cannot goes with it.
fn strike(
    plan: &Plan,
    entry: &dyn AnyEntry,
    shared: bool,
    op: &Op,
    drafts: &mut Vec<Draft>,
) -> Result<(), Refused> {
    let refer = referrers(plan, entry.kind().entity_type, entry.id());
    if !refer.is_empty() && !op.detach {
        return Err(Refused::StillReferenced(
            refer.iter().map(|(e, _, _)| called(*e)).collect(),
        ));
    }
    for (other, index, other_shared) in refer {
        if drafts
            .iter()
            .any(|d| d.entity == *other.id() && d.kind == OpKind::Remove)
        {
            continue;
        }
        let field = &other.kind().fields[index];
        if field.blank.needed {
            strike(plan, other, other_shared, op, drafts)?;
        } else {
            let let_go = draft(
                other,
                other_shared,
                op,
                Some(field.name),
                Json::Null,
                Outcome::Applied,
            );
            drafts.push(Draft {
                kind: OpKind::Set,
                ..let_go
            });
        }
    }
    drafts.push(draft(entry, shared, op, None, Json::Null, Outcome::Applied));
    Ok(())
}

fn restore(plan: &Plan, op: &Op) -> Result<Draft, Refused> {
    let (entry, shared) = thing(plan, op)?;
    let outcome = if entry.removed_seq() == 0 {
        Outcome::SameValue
    } else {
        Outcome::Applied
    };
    Ok(draft(entry, shared, op, None, Json::Null, outcome))
}

fn member(plan: &Plan, op: &Op, newest: i64) -> Result<Draft, Refused> {
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
    let outcome = match (op.kind, members.get(&member)) {
        _ if entry.removed_seq() != 0 => Outcome::KeptBesideRemoval,
        (OpKind::Add, Some(_)) | (OpKind::TakeOut, None) => Outcome::SameValue,
        // Added again after this hand last looked: the add wins.
        (OpKind::TakeOut, Some(added)) if *added > op.base.unwrap_or(newest) => Outcome::KeptBeside,
        _ => Outcome::Applied,
    };
    Ok(draft(
        entry,
        shared,
        op,
        Some(field.name),
        Json::String(member.to_string()),
        outcome,
    ))
}

fn append(plan: &Plan, op: &Op) -> Result<Draft, Refused> {
    let (entry, shared) = thing(plan, op)?;
    let (_, field) = field_of(entry, op)?;
    let text = op.value.as_str().map(str::trim).unwrap_or_default();
    if !matches!(field.blank.kind, Kind::Log) {
        return Err(invalid(
            field.name,
            "wrong_type",
            format!("{} is not a log.", field.label),
        ));
    }
    if text.is_empty() || text.chars().count() > 2000 {
        return Err(invalid(
            field.name,
            "out_of_range",
            format!("{}: a line has 1 to 2000 characters.", field.label),
        ));
    }
    let outcome = if entry.removed_seq() == 0 {
        Outcome::Applied
    } else {
        Outcome::KeptBesideRemoval
    };
    Ok(Draft {
        before: Json::Null,
        ..draft(
            entry,
            shared,
            op,
            Some(field.name),
            Json::String(text.into()),
            outcome,
        )
    })
}

fn undo(
    plan: &Plan,
    op: &Op,
    actor: &str,
    earlier: &dyn Fn(i64) -> Option<Arc<Change>>,
) -> Result<Vec<Draft>, Refused> {
    let of_seq = op
        .of_seq
        .ok_or_else(|| invalid("of_seq", "missing", "Say which change to take back."))?;
    let change = earlier(of_seq).filter(|c| c.plan.is_none() || c.plan.as_ref() == Some(&plan.id));
    let change = change.ok_or_else(|| {
        invalid(
            "of_seq",
            "refers_to_nothing",
            "There is no such change in this plan.",
        )
    })?;
    if *change.actor != *actor {
        return Err(invalid(
            "of_seq",
            "not_allowed",
            "That change is another hand's; write the value you want instead.",
        ));
    }
    let back = |value: Json| Op {
        entity: Some(change.entity.clone()),
        field: change.field.clone(),
        base: Some(of_seq),
        value,
        ..op.clone()
    };
    match (change.kind, change.outcome) {
        (_, Outcome::SameValue) => Err(invalid(
            "of_seq",
            "out_of_range",
            "That change altered nothing.",
        )),
        // Its value stands beside: taking it back settles it with the value that stands.
        (_, Outcome::KeptBeside | Outcome::KeptBesideRemoval) => withdraw(plan, op, &change),
        (OpKind::Append, _) => Err(invalid(
            "of_seq",
            "out_of_range",
            "A note stays; write another under it.",
        )),
        (OpKind::Add | OpKind::TakeOut, _) => toggle(
            plan,
            &back(change.value.clone()),
            change.kind == OpKind::Add,
        ),
        (OpKind::Undo, _) if change.before.is_boolean() => toggle(
            plan,
            &back(change.value.clone()),
            change.before == Json::Bool(false),
        ),
        _ => match super::apply::removes(&change)
            .or((change.kind == OpKind::Insert).then_some(false))
        {
            Some(was_removed) => alive(plan, &back(Json::Null), !was_removed),
            None => set(
                plan,
                &back(change.before.clone()),
                OpKind::Undo,
                Some(of_seq),
            )
            .map(|d| vec![d]),
        },
    }
}

/// Takes a member out again, or puts it back.
fn toggle(plan: &Plan, op: &Op, was_added: bool) -> Result<Vec<Draft>, Refused> {
    let kind = if was_added {
        OpKind::TakeOut
    } else {
        OpKind::Add
    };
    let drafted = member(plan, &Op { kind, ..op.clone() }, op.base.unwrap_or(0))?;
    Ok(vec![Draft {
        kind: OpKind::Undo,
        before: Json::Bool(was_added),
        ..drafted
    }])
}

/// Strikes out what a making made, or puts back what a removal struck out.
fn alive(plan: &Plan, op: &Op, remove: bool) -> Result<Vec<Draft>, Refused> {
    let (entry, shared) = thing(plan, op)?;
    if remove && entry.removed_seq() == 0 {
        let refer = referrers(plan, entry.kind().entity_type, entry.id());
        if !refer.is_empty() {
            return Err(Refused::StillReferenced(
                refer.iter().map(|(e, _, _)| called(*e)).collect(),
            ));
        }
    }
    let outcome =
        if remove && entry.newest_version() > op.base.unwrap_or(0) && entry.removed_seq() == 0 {
            Outcome::KeptBeside
        } else if remove == (entry.removed_seq() != 0) {
            Outcome::SameValue
        } else {
            Outcome::Applied
        };
    Ok(vec![draft(
        entry,
        shared,
        op,
        None,
        json!({"removed": remove}),
        outcome,
    )])
}

/// Takes back a value that was kept beside.
fn withdraw(plan: &Plan, op: &Op, change: &Change) -> Result<Vec<Draft>, Refused> {
    let asked = Op {
        entity: Some(change.entity.clone()),
        field: change.field.clone(),
        ..op.clone()
    };
    let (entry, shared) = thing(plan, &asked)?;
    let head = change
        .field
        .as_deref()
        .and_then(|f| entry.kind().index(f))
        .map_or(Json::Null, |i| entry.get(i).to_json());
    let field = change
        .field
        .as_deref()
        .and_then(|f| entry.kind().index(f))
        .map(|i| entry.kind().fields[i].name);
    let settled = json!({"value": head, "settles": [change.seq]});
    Ok(vec![Draft {
        kind: OpKind::Resolve,
        ..draft(entry, shared, &asked, field, settled, Outcome::Applied)
    }])
}
