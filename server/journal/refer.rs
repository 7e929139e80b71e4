//! Things that name other things: a reference needs its thing, a code is used once, and whoever is struck out is first let
//! go of.

use super::{
    decide::{Refused, invalid},
    field::{Field, Kind},
    record::{AnyEntry, RecordKind},
    value::{Id, Value},
};
use crate::plan::{Plan, Scope as _};

/// Refuses a reference to what never was. One to what was struck out is kept and shown as "removed: …".
pub(super) fn check_reference(plan: &Plan, field: &Field, value: &Value) -> Result<(), Refused> {
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
pub(super) fn check_used_once(
    plan: &Plan,
    kind: &RecordKind,
    own: Option<&Id>,
    field: &Field,
    value: &Value,
) -> Result<(), Refused> {
    let (true, Value::Text(text)) = (field.blank.once, value) else {
        return Ok(());
    };
    let list = plan
        .list(kind.entity_type)
        .or_else(|| plan.studio.list(kind.entity_type));
    let (Some(list), Some(index)) = (list, kind.index(field.name)) else {
        return Ok(());
    };
    let taken = list.entries().any(|e| {
        e.removed_seq() == 0 && Some(e.id()) != own && e.get(index).as_text() == Some(text)
    });
    if taken {
        return Err(invalid(
            field.name,
            "used_twice",
            format!("Another {} is already called {text}.", kind.word),
        ));
    }
    Ok(())
}

/// The same for everything a thing says, before it comes back to life.
pub(super) fn check_all_used_once(plan: &Plan, entry: &dyn AnyEntry) -> Result<(), Refused> {
    for (index, field) in entry.kind().fields.iter().enumerate() {
        if field.blank.once {
            check_used_once(
                plan,
                entry.kind(),
                Some(entry.id()),
                field,
                &entry.get(index),
            )?;
        }
    }
    Ok(())
}

/// A living thing that refers to another.
pub(super) struct Referrer<'a> {
    /// It.
    pub entry: &'a dyn AnyEntry,
    /// The field that does.
    pub index: usize,
    /// Whether the studio's plans share it.
    pub shared: bool,
}

/// Living things that refer to `id`.
pub(super) fn referrers<'a>(plan: &'a Plan, entity_type: &str, id: &Id) -> Vec<Referrer<'a>> {
    let own = plan.lists().into_iter().map(|l| (l, false));
    let studio = plan.studio.lists().into_iter().map(|l| (l, true));
    let mut found = Vec::new();
    for (list, shared) in own.chain(studio) {
        for (index, field) in list.kind().fields.iter().enumerate() {
            if matches!(field.blank.kind, Kind::Reference(to) if to == entity_type) {
                let refer = list.entries().filter(|e| {
                    e.removed_seq() == 0 && e.get(index).as_text() == Some(id.as_str())
                });
                found.extend(refer.map(|entry| Referrer {
                    entry,
                    index,
                    shared,
                }));
            }
        }
    }
    found
}

/// Refuses while others refer to a thing, naming each once.
pub(super) fn still_referenced(
    refer: &[Referrer<'_>],
    elsewhere: &[String],
) -> Result<(), Refused> {
    let own = refer.iter().map(|r| called(r.entry));
    let mut names: Vec<String> = own.chain(elsewhere.iter().cloned()).collect();
    names.dedup();
    if names.is_empty() {
        Ok(())
    } else {
        Err(Refused::StillReferenced(names))
    }
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
