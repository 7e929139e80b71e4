//! The pencil: values that somebody tries. Drawings, figures and findings show them to that hand alone; nothing is written
//! until they are inked in, all as one batch.

use super::{figures::Figures, giveaway::Giveaway};
use crate::{
    plan::Plan,
    web::fields::{self, Typed},
};
use std::collections::BTreeSet;

/// What a carried value's name begins with in a form.
pub const CARRIED: &str = "pencil:";
/// More values than anyone tries at once.
const MOST: usize = 500;

/// Values tried on a plan, each by its blank's name ("entity.field") with the text as it was typed.
#[derive(Clone, Debug, Default)]
pub struct Pencil {
    /// In the order they were tried.
    pub values: Vec<(String, String)>,
}

impl Pencil {
    /// Nothing tried.
    pub fn none() -> Self {
        Self::default()
    }

    /// What a form tries: the values it carries, and the blanks it sends, the last word of each counting. Values that say
    /// what the plan says already are dropped; what cannot be is left out with its sentence.
    pub fn read(plan: &Plan, form: &[(String, String)]) -> (Self, Typed) {
        let get = |name: &str| {
            form.iter()
                .find(|(n, _)| n == name)
                .map(|(_, v)| v.as_str())
        };
        let mut pairs: Vec<(String, String)> = Vec::new();
        let mut note = |key: &str, text: &str| {
            pairs.retain(|(k, _)| k != key);
            pairs.push((key.to_owned(), text.to_owned()));
        };
        for (name, text) in form {
            if let Some(key) = name.strip_prefix(CARRIED) {
                note(key, text);
            }
        }
        for (name, text) in form {
            if name.contains('.') && !name.starts_with(CARRIED) {
                note(name, text);
            }
        }
        if let (Some(field), Some(value)) = (get("field"), get("value")) {
            note(
                &fields::key_of(get("entity").unwrap_or_default(), field),
                value,
            );
        }
        pairs.truncate(MOST);
        let mut typed = Typed::none();
        pairs.retain(|(key, text)| match fields::read_one(plan, key, text) {
            Ok(None) => false,
            Ok(Some((entry, index, value))) => entry.get(index).to_json() != value.to_json(),
            Err(problem) => {
                typed.refuse(key.clone(), text.clone(), problem);
                false
            }
        });
        (Self { values: pairs }, typed)
    }

    /// Whether nothing is tried.
    pub fn is_empty(&self) -> bool {
        self.values.is_empty()
    }

    /// The plan as it would stand.
    #[must_use]
    pub fn applied(&self, plan: &Plan) -> Plan {
        let mut tried = plan.clone();
        for (key, text) in &self.values {
            if let Ok(Some((entry, index, value))) = fields::read_one(plan, key, text) {
                let (kind, id) = (entry.kind().entity_type, entry.id().as_str());
                tried.put(kind, id, index, &value);
            }
        }
        tried
    }
}

/// A figure that the pencil moves.
#[derive(Clone, Debug, PartialEq)]
pub struct Moved {
    /// Its name.
    pub name: String,
    /// As it stands written.
    pub now: String,
    /// As the pencil makes it.
    pub pencilled: String,
}

/// A value being tried, as its line says it.
#[derive(Clone, Debug, PartialEq)]
pub struct Tried {
    /// Name of the blank, for the form.
    pub key: String,
    /// Text, for the form.
    pub text: String,
    /// Whose blank: empty for the setup's own.
    pub whose: String,
    /// Its label.
    pub label: String,
    /// What stands written.
    pub now: String,
    /// What is tried.
    pub pencilled: String,
}

/// The lines of the pencil: what is tried, with what stands written.
pub fn tried(plan: &Plan, pencil: &Pencil, own: &str) -> Vec<Tried> {
    let line = |(key, text): &(String, String)| {
        let (entry, index, value) = fields::read_one(plan, key, text).ok()??;
        let field = &entry.kind().fields[index];
        let shown = |value| {
            let text = fields::shown_in_words(plan, field, value);
            match (text.is_empty(), field.unit()) {
                (true, _) => "nothing".to_owned(),
                (false, "") => text,
                (false, unit) => format!("{text} {unit}"),
            }
        };
        Some(Tried {
            key: key.clone(),
            text: text.clone(),
            whose: if entry.id().as_str() == own {
                String::new()
            } else {
                fields::called(plan, entry)
            },
            label: field.label.to_owned(),
            now: shown(&entry.get(index)),
            pencilled: shown(&value),
        })
    };
    pencil.values.iter().filter_map(line).collect()
}

/// Every figure that differs between two states, in the order of the sheet.
pub fn moved(now: &Figures, pencilled: &Figures) -> Vec<Moved> {
    let phrase = |figures: &Figures, id: &str| figures.phrase(id.trim_start_matches("f-"));
    let mut seen = BTreeSet::new();
    let all = pencilled.all().chain(now.all());
    all.filter(|f| seen.insert(f.id.clone()))
        .filter_map(|figure| {
            let line = Moved {
                name: figure.name.clone(),
                now: phrase(now, &figure.id),
                pencilled: phrase(pencilled, &figure.id),
            };
            (line.now != line.pencilled).then_some(line)
        })
        .collect()
}

/// What the pencil does to the findings, one line each: gone, new, or with another quantity.
pub fn findings_moved(now: &[Giveaway], pencilled: &[Giveaway]) -> Vec<Moved> {
    let said = |g: &Giveaway| match &*g.tell.quantity {
        "" => g.severity.word().to_owned(),
        quantity => format!("{}, {quantity}", g.severity.word()),
    };
    let find = |list: &[Giveaway], id: &str| list.iter().find(|g| g.tell.id == id).map(said);
    let mut seen = BTreeSet::new();
    now.iter()
        .chain(pencilled)
        .filter(|g| seen.insert(g.tell.id.clone()))
        .filter_map(|g| {
            let line = Moved {
                name: g.tell.head.clone(),
                now: find(now, &g.tell.id).unwrap_or_else(|| "—".into()),
                pencilled: find(pencilled, &g.tell.id).unwrap_or_else(|| "gone".into()),
            };
            (line.now != line.pencilled).then_some(line)
        })
        .collect()
}
