//! A change as a line that a person reads.

use crate::{
    journal::{
        change::{Change, OpKind, Outcome},
        field::{Field, Kind},
        record::AnyEntry,
    },
    plan::{Plan, Scope as _},
    web::{fields, problem::encode},
};
use serde_json::Value as Json;

/// Longest value shown whole, in characters.
const LONGEST: usize = 60;

/// What a change did, in pieces for the page.
#[derive(Debug, Default, PartialEq, Eq)]
pub struct Said {
    /// What the thing is called.
    pub thing: String,
    /// Where it stands; empty when it stands nowhere.
    pub href: String,
    /// What was done, or the blank that was written.
    pub what: String,
    /// What stood there, when a blank was written.
    pub before: Option<String>,
    /// What was written into it.
    pub after: Option<String>,
    /// What came of it, when that is not what was asked; and whose undo it is.
    pub note: String,
}

/// The value that a change wrote into its field.
pub fn written(change: &Change) -> &Json {
    match change.kind {
        OpKind::Resolve => &change.value["value"],
        _ => &change.value,
    }
}

/// The line of a change, in the words of the plan as it stands.
pub fn said(plan: &Plan, change: &Change) -> Said {
    let entry = plan.anything(change.entity.as_str());
    let mut said = Said {
        thing: entry.map_or_else(
            || kind_words(&change.entity_type),
            |entry| called(plan, entry),
        ),
        href: entry.map(|entry| href(plan, entry)).unwrap_or_default(),
        note: note(change),
        ..Said::default()
    };
    let field = change.field.as_deref().and_then(|name| {
        let kind = entry?.kind();
        Some(&kind.fields[kind.index(name)?])
    });
    let text = |json: &Json| json.as_str().map(shortened).unwrap_or_default();
    match (change.kind, field) {
        (OpKind::Insert, _) => "made".clone_into(&mut said.what),
        (OpKind::Remove, _) => "struck out".clone_into(&mut said.what),
        (OpKind::Restore, _) => "put back".clone_into(&mut said.what),
        (OpKind::Undo, None) if change.value["removed"] == true => {
            "gone again".clone_into(&mut said.what);
        }
        (OpKind::Undo, None) => "stands again".clone_into(&mut said.what),
        (OpKind::Add, Some(field)) => {
            said.what = format!("{}: {} added", field.label, text(&change.value));
        }
        (OpKind::TakeOut, Some(field)) => {
            said.what = format!("{}: {} taken out", field.label, text(&change.value));
        }
        (OpKind::Append, Some(field)) => {
            said.what = format!("{}: “{}”", field.label, text(&change.value));
        }
        (_, Some(field)) if field.name == "order_key" => "moved".clone_into(&mut said.what),
        (_, Some(field)) if matches!(field.blank.kind, Kind::Strokes { .. }) => {
            "drawn on".clone_into(&mut said.what);
        }
        (OpKind::Resolve, Some(field)) if change.value.get("value").is_none() => {
            said.what = format!("{}: settled as it stands", field.label);
        }
        (_, Some(field)) => {
            field.label.clone_into(&mut said.what);
            said.before = Some(value(plan, field, &change.before));
            said.after = Some(value(plan, field, written(change)));
        }
        (_, None) => change.kind.word().clone_into(&mut said.what),
    }
    said
}

fn note(change: &Change) -> String {
    let outcome = match change.outcome {
        Outcome::Applied => "",
        Outcome::SameValue => "said so already",
        Outcome::KeptBeside => "kept beside",
        Outcome::KeptBesideRemoval => "kept with what was struck out",
    };
    match (change.of_seq, change.kind) {
        (Some(seq), OpKind::Undo) if outcome.is_empty() => format!("rubs out {seq}"),
        (Some(seq), OpKind::Undo) => format!("rubs out {seq}, {outcome}"),
        (_, OpKind::Resolve) => "settles two hands".to_owned(),
        _ => outcome.to_owned(),
    }
}

/// A value as its blank shows it; a dash for nothing.
fn value(plan: &Plan, field: &Field, json: &Json) -> String {
    let Ok(value) = field.check(json) else {
        return shortened(&json.to_string());
    };
    match fields::shown_in_words(plan, field, &value) {
        text if text.is_empty() => "—".to_owned(),
        text if field.unit().is_empty() => shortened(&text),
        text => format!("{text} {}", field.unit()),
    }
}

fn shortened(text: &str) -> String {
    if text.chars().count() <= LONGEST {
        return text.to_owned();
    }
    text.chars().take(LONGEST).chain(['…']).collect()
}

/// What a thing is called where it stands alone: with what it belongs to in front.
pub fn called(plan: &Plan, entry: &dyn AnyEntry) -> String {
    let own = fields::called(plan, entry);
    let owner = ["setup", "shot", "day"].into_iter().find_map(|name| {
        let index = entry.kind().index(name)?;
        let id = entry.get(index).as_text()?.to_owned();
        plan.find(&id)
    });
    match owner {
        Some(owner) if own.is_empty() => {
            format!(
                "{}, {}",
                fields::called(plan, owner),
                kind_words(entry.kind().entity_type)
            )
        }
        Some(owner) => format!("{}, {own}", fields::called(plan, owner)),
        None if own.is_empty() => kind_words(entry.kind().entity_type),
        None => own,
    }
}

fn kind_words(entity_type: &str) -> String {
    match entity_type {
        "plan" => "production".to_owned(),
        "day_setup" => "place on the day".to_owned(),
        other => other.replace('_', " "),
    }
}

/// The sheet on which a thing stands.
pub fn href(plan: &Plan, entry: &dyn AnyEntry) -> String {
    let field = |name: &str| {
        let index = entry.kind().index(name)?;
        entry.get(index).as_text().map(str::to_owned)
    };
    let base = plan.path();
    match entry.kind().entity_type {
        "setup" => format!(
            "{base}/setups/{}",
            encode(&field("code").unwrap_or_default())
        ),
        "shot" => format!("{base}/cut?open={}#shot-{}", entry.id(), entry.id()),
        "scene" | "sighting" | "plan" => format!("{base}/cut"),
        "day" => format!("{base}/days/{}", entry.id()),
        "day_setup" | "crew_call" => field("day").map_or_else(
            || format!("{base}/days"),
            |day| format!("{base}/days/{day}"),
        ),
        _ if plan.studio.find(entry.id().as_str()).is_some() => format!("{base}/stores"),
        _ => field("setup")
            .and_then(|id| plan.find(&id))
            .map(|setup| href(plan, setup))
            .unwrap_or_default(),
    }
}
