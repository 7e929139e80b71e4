//! Taking a change back: a new change that writes what stood there before, unless somebody wrote since.

use super::{
    apply::removes,
    change::{Change, Op, OpKind, Outcome},
    decide::{Draft, Refused, Sight, draft, invalid, member, set, thing},
    standing::alive,
};
use crate::plan::Plan;
use serde_json::{Value as Json, json};

/// Decides the undo of one change.
pub(super) fn undo(plan: &Plan, op: &Op, sight: &Sight<'_>) -> Result<Vec<Draft>, Refused> {
    let of_seq = op
        .of_seq
        .ok_or_else(|| invalid("of_seq", "missing", "Say which change to take back."))?;
    let change = sight
        .undone
        .iter()
        .find(|c| c.seq == of_seq && (c.plan.is_none() || c.plan.as_ref() == Some(&plan.id)))
        .ok_or_else(|| {
            invalid(
                "of_seq",
                "refers_to_nothing",
                "There is no such change in this plan.",
            )
        })?;
    if *change.actor != *sight.actor {
        return Err(invalid(
            "of_seq",
            "not_allowed",
            "That change is another hand's; write the value you want instead.",
        ));
    }
    one(plan, op, change, sight).map(|draft| vec![draft])
}

fn nothing() -> Refused {
    invalid("of_seq", "out_of_range", "That change altered nothing.")
}

fn one(plan: &Plan, op: &Op, change: &Change, sight: &Sight<'_>) -> Result<Draft, Refused> {
    let known = |version: i64| {
        version <= change.seq
            || version > sight.since
            || (op.whole_batch && sight.undone.iter().any(|c| c.seq == version))
    };
    match (change.kind, change.outcome) {
        (_, Outcome::SameValue) => Err(nothing()),
        // Its value stands beside: taking it back leaves the value that stands.
        (_, Outcome::KeptBeside | Outcome::KeptBesideRemoval) => withdraw(plan, op, change),
        (OpKind::Append, _) => Err(invalid(
            "of_seq",
            "out_of_range",
            "A note stays; write another under it.",
        )),
        (OpKind::Resolve, _) if change.value.get("value").is_none() => put_beside(plan, op, change),
        (OpKind::Add, _) => {
            let was_there = change
                .before
                .as_array()
                .is_some_and(|b| b.contains(&change.value));
            if was_there {
                Err(nothing())
            } else {
                toggle(plan, op, change, true, &known)
            }
        }
        (OpKind::TakeOut, _) => toggle(plan, op, change, false, &known),
        (OpKind::Undo, _) if change.before.is_boolean() => {
            toggle(plan, op, change, change.before == Json::Bool(false), &known)
        }
        (OpKind::Insert, _) => alive(plan, &back(op, change), true, sight, &known),
        _ => match removes(change) {
            Some(was_removed) => alive(plan, &back(op, change), !was_removed, sight, &known),
            None => value_before(plan, op, change, &known),
        },
    }
}

/// The undo, turned to the change's own thing and field.
fn back(op: &Op, change: &Change) -> Op {
    Op {
        entity: Some(change.entity.clone()),
        field: change.field.clone(),
        base: Some(change.seq),
        ..op.clone()
    }
}

/// The base of an undo: its change's number, or the field's own where the undo knows what stands there.
fn base(
    plan: &Plan,
    op: &Op,
    change: &Change,
    known: &dyn Fn(i64) -> bool,
) -> Result<i64, Refused> {
    let (entry, _) = thing(plan, &back(op, change))?;
    let index = change.field.as_deref().and_then(|f| entry.kind().index(f));
    let version = index.map_or(0, |i| entry.version(i));
    Ok(if known(version) {
        version.max(change.seq)
    } else {
        change.seq
    })
}

fn value_before(
    plan: &Plan,
    op: &Op,
    change: &Change,
    known: &dyn Fn(i64) -> bool,
) -> Result<Draft, Refused> {
    let asked = Op {
        value: change.before.clone(),
        base: Some(base(plan, op, change, known)?),
        ..back(op, change)
    };
    set(plan, &asked)
}

/// Takes a member out again, or puts it back.
fn toggle(
    plan: &Plan,
    op: &Op,
    change: &Change,
    was_added: bool,
    known: &dyn Fn(i64) -> bool,
) -> Result<Draft, Refused> {
    let asked = Op {
        kind: if was_added {
            OpKind::TakeOut
        } else {
            OpKind::Add
        },
        value: change.value.clone(),
        base: Some(base(plan, op, change, known)?),
        ..back(op, change)
    };
    // An undo names its base, so the newest number is not looked at.
    let drafted = member(plan, &asked, change.seq)?;
    // Somebody put it back already: then nothing is left to take back, and the undo of this undo must not take it out.
    let is_there = drafted
        .before
        .as_array()
        .is_some_and(|b| b.contains(&drafted.value));
    let outcome = if !was_added && is_there && drafted.outcome == Outcome::Applied {
        Outcome::SameValue
    } else {
        drafted.outcome
    };
    Ok(Draft {
        kind: OpKind::Undo,
        before: Json::Bool(was_added),
        outcome,
        ..drafted
    })
}

/// Takes back a value that was kept beside: the field itself is left alone.
fn withdraw(plan: &Plan, op: &Op, change: &Change) -> Result<Draft, Refused> {
    let is_open = |b: &&std::sync::Arc<crate::plan::Beside>| b.seq == change.seq;
    let mut besides = plan.besides.iter().chain(plan.studio.besides.iter());
    if besides.find(is_open).is_none() {
        return Err(invalid(
            "of_seq",
            "out_of_range",
            "That value has been settled already.",
        ));
    }
    let asked = back(op, change);
    let (entry, shared) = thing(plan, &asked)?;
    let field = field_name(entry, change);
    let settled =
        json!({"settles": [change.seq], "was": change.value, "outcome": change.outcome.word()});
    Ok(Draft {
        kind: OpKind::Resolve,
        ..draft(entry, shared, &asked, field, settled, Outcome::Applied)
    })
}

/// Takes such a taking-back back: the value stands beside again.
fn put_beside(plan: &Plan, op: &Op, change: &Change) -> Result<Draft, Refused> {
    let outcome = change.value["outcome"]
        .as_str()
        .and_then(Outcome::from_word)
        .ok_or_else(nothing)?;
    let asked = back(op, change);
    let (entry, shared) = thing(plan, &asked)?;
    let field = field_name(entry, change);
    let value = change.value["was"].clone();
    Ok(draft(entry, shared, &asked, field, value, outcome))
}

fn field_name(entry: &dyn super::record::AnyEntry, change: &Change) -> Option<&'static str> {
    let index = change.field.as_deref().and_then(|f| entry.kind().index(f));
    index.map(|i| entry.kind().fields[i].name)
}
