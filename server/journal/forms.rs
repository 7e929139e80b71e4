//! An entry in its other forms: as the machine interface shows it, as its row keeps its versions, and as a new one comes in.

use super::{
    field::{Field, Kind, Refusal},
    record::{AnyEntry, RecordKind},
    value::Value,
};

/// The versions of an entry's fields as its row keeps them: only fields that were ever set.
pub fn versions_json(entry: &dyn AnyEntry) -> String {
    let fields = entry.kind().fields.iter().enumerate();
    let set = fields
        .filter(|(i, _)| entry.version(*i) != 0)
        .map(|(i, f)| (f.name.to_owned(), entry.version(i).into()));
    serde_json::Value::Object(set.collect()).to_string()
}

/// An entry as the machine interface shows it.
pub fn entry_json(entry: &dyn AnyEntry) -> serde_json::Value {
    let mut object = serde_json::Map::new();
    let mut versions = serde_json::Map::new();
    object.insert("id".into(), entry.id().as_str().into());
    for (i, field) in entry.kind().fields.iter().enumerate() {
        object.insert(field.name.into(), entry.get(i).to_json());
        if entry.version(i) != 0 {
            versions.insert(field.name.into(), entry.version(i).into());
        }
    }
    object.insert("versions".into(), versions.into());
    object.into()
}

/// Checks the fields of a new record, naming every wrong one.
///
/// # Errors
/// All [`Refusal`]s: unknown names, wrong values, needed ones that are missing.
pub fn check_new(
    kind: &'static RecordKind,
    fields: &serde_json::Map<String, serde_json::Value>,
) -> Result<Vec<(usize, Value)>, Vec<Refusal>> {
    let mut values = Vec::new();
    let mut refusals = Vec::new();
    for (name, json) in fields {
        let Some(index) = kind.index(name) else {
            refusals.push(Refusal {
                field: name.clone(),
                kind: "unknown_field",
                problem: format!("A {} has no “{name}”.", kind.word),
            });
            continue;
        };
        match kind.fields[index].check(json) {
            Ok(Value::Absent) => {}
            Ok(value) => values.push((index, value)),
            Err(refusal) => refusals.push(refusal),
        }
    }
    for (index, field) in kind.fields.iter().enumerate() {
        let refused = refusals.iter().any(|r| r.field == field.name);
        if field.blank.needed && !refused && !values.iter().any(|(i, _)| *i == index) {
            refusals.push(Refusal {
                field: field.name.into(),
                kind: "missing",
                problem: format!("{} is needed.", field.label),
            });
        }
    }
    if refusals.is_empty() {
        Ok(values)
    } else {
        Err(refusals)
    }
}

/// Whether a field's column is text that is never null.
pub fn is_text(field: &Field) -> bool {
    !matches!(
        field.blank.kind,
        Kind::Number { .. }
            | Kind::Whole { .. }
            | Kind::Frames
            | Kind::Scale
            | Kind::Clock
            | Kind::Reference(_)
    )
}
