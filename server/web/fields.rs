//! Blanks: how a field of a record becomes an input, and how what was typed becomes writes.

use super::{
    page::Desk,
    parts::{Blank, Choice, Kind as Input},
    units,
};
use crate::{
    error::PageError,
    journal::{
        change::{Op, Outcome},
        decide::Refused,
        field::{Field, Kind},
        record::{AnyEntry, RecordKind},
        value::Value,
        writer::Ask,
    },
    plan::{Plan, Scope as _},
};
use std::{
    collections::{HashMap, HashSet},
    sync::Arc,
};

/// What was typed and refused: by "entity.field", the text and the sentence under the blank.
#[derive(Clone, Debug, Default)]
pub struct Typed {
    refused: HashMap<String, (String, String)>,
    /// Names of the blanks whose value is in pencil.
    pub pencilled: HashSet<String>,
    /// The hand only reads: blanks take nothing.
    pub reads_only: bool,
}

impl Typed {
    /// Nothing refused.
    pub fn none() -> Self {
        Self::default()
    }
    /// The same for a hand that may not write here.
    #[must_use]
    pub fn read_by(mut self, desk: &Desk) -> Self {
        self.reads_only = !desk.hand.role.writes();
        self
    }
    /// Whether everything typed was taken.
    pub fn is_empty(&self) -> bool {
        self.refused.is_empty()
    }
    /// Notes a refused value.
    pub fn refuse(&mut self, key: String, typed: String, problem: String) {
        self.refused.insert(key, (typed, problem));
    }
    /// What was typed into a blank and refused, with the sentence under it.
    pub fn get(&self, key: &str) -> Option<&(String, String)> {
        self.refused.get(key)
    }
}

/// The value as its blank shows it.
pub fn shown(plan: &Plan, field: &Field, value: &Value) -> String {
    match (field.blank.kind, value) {
        (Kind::Frames, Value::Whole(frames)) => units::seconds_frames(*frames, plan.base_fps()),
        _ => field.show(value),
    }
}

/// The value in words: what a choice or another thing is called, where its blank keeps a code.
pub fn shown_in_words(plan: &Plan, field: &Field, value: &Value) -> String {
    let code = value.as_text().unwrap_or_default();
    match field.blank.kind {
        Kind::Choice(list) => {
            let word = list.iter().find(|(c, _)| *c == code);
            word.map_or_else(String::new, |(_, word)| (*word).to_owned())
        }
        Kind::Reference(_) => plan
            .anything(code)
            .map_or_else(String::new, |entry| called(plan, entry)),
        _ => shown(plan, field, value),
    }
}

/// Name of a blank in a form, from its record and field as a script sends them.
pub fn key_of(entity: &str, field: &str) -> String {
    if field.contains('.') {
        field.to_owned()
    } else {
        format!("{entity}.{field}")
    }
}

/// A record, the place of a field in it, and a value for it.
pub type Read<'p> = (&'p dyn AnyEntry, usize, Value);

/// Reads what a form says for one blank ("entity.field"); nothing when no such field is declared.
///
/// # Errors
/// Why it cannot be written, in a sentence for under the blank.
pub fn read_one<'p>(plan: &'p Plan, key: &str, text: &str) -> Result<Option<Read<'p>>, String> {
    let Some((entity, name)) = key.split_once('.') else {
        return Ok(None);
    };
    let entry = plan.anything(entity).ok_or(STRUCK)?;
    let Some(index) = entry.kind().index(name) else {
        return Ok(None);
    };
    let value = parse(plan, &entry.kind().fields[index], text);
    value
        .map(|value| Some((entry, index, value)))
        .map_err(|refusal| refusal.problem)
}

/// Said under a blank whose record is gone.
const STRUCK: &str = "This was struck out meanwhile.";

/// Reads what was typed, with what a field alone does not know: the rate of the cut.
fn parse(plan: &Plan, field: &Field, typed: &str) -> Result<Value, crate::journal::field::Refusal> {
    if matches!(field.blank.kind, Kind::Frames) && !typed.trim().is_empty() {
        let text = units::parse_length(typed, plan.base_fps())
            .map_or_else(|| typed.to_owned(), |f| f.to_string());
        return field.parse(&text);
    }
    field.parse(typed)
}

/// A field of a record as a blank.
pub fn blank(plan: &Plan, entry: &dyn AnyEntry, name: &str, typed: &Typed) -> Blank {
    blank_with(plan, entry, name, typed, None)
}

/// A field of a record that is not made yet, named as the field itself.
pub fn new_blank(plan: &Plan, kind: &RecordKind, field: &Field) -> Blank {
    Blank {
        id: format!("new-{}-{}", kind.entity_type, field.name),
        name: field.name.into(),
        label: field.label.into(),
        unit: field.unit().into(),
        usual: field
            .blank
            .start
            .map(|n| start_text(field, n))
            .unwrap_or_default(),
        kind: input(plan, field, &Value::Absent),
        base: plan.number(),
        ..Blank::default()
    }
}

/// The same, with what stands in while nothing is written (a lens in stores, the shot behind a pass).
///
/// # Panics
/// When a page names a field that is not declared, which is ours to mend.
pub fn blank_with(
    plan: &Plan,
    entry: &dyn AnyEntry,
    name: &str,
    typed: &Typed,
    usual: Option<String>,
) -> Blank {
    let index = entry
        .kind()
        .index(name)
        .expect("pages name declared fields");
    let field = &entry.kind().fields[index];
    let value = entry.get(index);
    let key = format!("{}.{name}", entry.id());
    let pencilled = typed.pencilled.contains(&key);
    let (text, fault) = match typed.get(&key) {
        Some((text, problem)) => (text.clone(), problem.clone()),
        None => (shown(plan, field, &value), String::new()),
    };
    let usual = usual
        .or_else(|| field.blank.start.map(|n| start_text(field, n)))
        .unwrap_or_default();
    Blank {
        id: format!("b-{}-{name}", entry.id()),
        name: key,
        label: field.label.into(),
        value: text,
        unit: if matches!(field.blank.kind, Kind::Frames) {
            "s:f".into()
        } else {
            field.unit().into()
        },
        usual,
        kind: input(plan, field, &value),
        entity: entry.id().to_string(),
        base: plan.number(),
        hint: String::new(),
        fault,
        unusual: field.unusual(&value).unwrap_or_default(),
        hand: String::new(),
        disputed: plan.besides_of(entry.id(), name).next().is_some(),
        read_only: typed.reads_only,
        pencilled,
    }
}

fn start_text(field: &Field, n: f64) -> String {
    #[expect(
        clippy::cast_possible_truncation,
        reason = "declared starting values are small"
    )]
    let value = if matches!(field.blank.kind, Kind::Clock) {
        Value::Whole(n as i64)
    } else {
        Value::Number(n)
    };
    field.show(&value)
}

fn input(plan: &Plan, field: &Field, value: &Value) -> Input {
    let none = || Choice {
        value: String::new(),
        label: "not said".into(),
    };
    match field.blank.kind {
        Kind::Choice(list) => {
            let options = list.iter().map(|(code, word)| Choice {
                value: (*code).into(),
                label: (*word).into(),
            });
            Input::Choice(if field.blank.needed {
                options.collect()
            } else {
                std::iter::once(none()).chain(options).collect()
            })
        }
        Kind::Reference(entity_type) => {
            let list = plan
                .list(entity_type)
                .or_else(|| plan.studio.list(entity_type));
            let mut options = vec![none()];
            for entry in list
                .into_iter()
                .flat_map(|l| l.entries().collect::<Vec<_>>())
            {
                let is_chosen = value.as_text() == Some(entry.id().as_str());
                if entry.removed_seq() == 0 || is_chosen {
                    let struck = if entry.removed_seq() == 0 {
                        ""
                    } else {
                        "removed: "
                    };
                    options.push(Choice {
                        value: entry.id().to_string(),
                        label: format!("{struck}{}", called(plan, entry)),
                    });
                }
            }
            Input::Choice(options)
        }
        Kind::LongText { .. } | Kind::Strokes { .. } => Input::Long,
        Kind::Text { .. } | Kind::Members | Kind::OrderKey | Kind::Log => Input::Text,
        Kind::Date => Input::Date,
        _ => Input::Number,
    }
}

/// What a thing is called in a list: a camera mode with its camera in front.
pub fn called(plan: &Plan, entry: &dyn AnyEntry) -> String {
    let own = crate::journal::decide::called(entry);
    let camera = entry
        .kind()
        .index("camera")
        .map(|i| entry.get(i))
        .and_then(|v| v.as_text().map(str::to_owned));
    match camera.and_then(|id| plan.studio.find(&id).map(crate::journal::decide::called)) {
        Some(camera) => format!("{camera}, {own}"),
        None => own,
    }
}

/// What came of a form.
pub struct Written {
    /// The desk after the write.
    pub desk: Desk,
    /// What was refused.
    pub typed: Typed,
    /// Blanks that another hand had written meanwhile: both values are kept.
    pub beside: usize,
}

/// Writes a page's form: one blank as a script sends it (`entity`, `field`, `value`), or all blanks of a page without
/// scripts ("entity.field"), of which only those that were altered are written.
///
/// # Errors
/// Not allowed, or the store's. Refused values are no error: they come back in [`Written::typed`].
pub async fn write(desk: Desk, form: &[(String, String)]) -> Result<Written, PageError> {
    desk.hand.may_write()?;
    let get = |name: &str| {
        form.iter()
            .find(|(n, _)| n == name)
            .map(|(_, v)| v.as_str())
    };
    let number = desk.plan.number();
    let base = get("base")
        .and_then(|b| b.parse().ok())
        .unwrap_or(number)
        .min(number);
    let single = get("field").zip(get("value"));
    let pairs: Vec<(String, String)> = match single {
        Some((field, value)) => {
            let key = key_of(get("entity").unwrap_or_default(), field);
            vec![(key, value.to_owned())]
        }
        None => form
            .iter()
            .filter(|(n, _)| n.contains('.') && !n.contains(':'))
            .cloned()
            .collect(),
    };
    let mut typed = Typed::none();
    let mut ops = Vec::new();
    for (key, text) in pairs {
        match read_one(&desk.plan, &key, &text) {
            Ok(None) => {}
            Err(problem) => typed.refuse(key.clone(), text, problem),
            Ok(Some((entry, index, value))) => {
                if single.is_none() && untouched(&desk, entry, index, base, &value).await? {
                    continue;
                }
                let name = entry.kind().fields[index].name;
                let mut op = Op::set(entry.id().clone(), name, base, value.to_json());
                if single.is_some() {
                    name_op(&mut op, &get);
                }
                ops.push((key.clone(), text, op));
            }
        }
    }
    let batch = (ops.len() > 1).then(|| Arc::<str>::from(uuid::Uuid::now_v7().to_string()));
    let ask = Ask {
        plan: desk.plan.id.clone(),
        ops: ops.iter().map(|(_, _, op)| op.clone()).collect(),
        atomic: false,
        batch,
        actor: desk.hand.id.as_str().into(),
        client: desk.hand.client.clone(),
    };
    let replies = if ask.ops.is_empty() {
        Vec::new()
    } else {
        desk.app.store.write(ask).await?
    };
    let mut beside = 0;
    for ((key, text, _), reply) in ops.into_iter().zip(replies) {
        match reply.result {
            Ok((_, Outcome::KeptBeside | Outcome::KeptBesideRemoval)) => beside += 1,
            Ok(_) => {}
            Err(refused) => typed.refuse(key, text, sentence(&refused)),
        }
    }
    Ok(Written {
        desk: desk.again().await?,
        typed,
        beside,
    })
}

/// What a script says of a write that it may have kept for a while: its name, the write of the same hand that it follows, and
/// that hand's clock.
fn name_op<'f>(op: &mut Op, get: &impl Fn(&str) -> Option<&'f str>) {
    let word = |name| get(name).map(|text| text.chars().take(100).collect::<String>().into());
    if let Some(op_id) = word("op_id") {
        op.op_id = op_id;
    }
    op.after = word("after");
    op.at_client_ms = get("at_client_ms").and_then(|ms| ms.parse().ok());
}

/// A refusal as a sentence for under the blank.
pub fn sentence(refused: &Refused) -> String {
    match refused {
        Refused::Invalid(list) => list.first().map_or_else(
            || "Not stored, since something else in it was refused.".into(),
            |r| r.problem.clone(),
        ),
        Refused::SameKeyOtherContent => {
            "This was sent twice with different contents; load the page again.".into()
        }
        Refused::StillReferenced(by) => format!("Still in use by {}.", by.join(", ")),
    }
}

/// Whether a blank of a whole-page form still says what the page showed: then another hand's newer value is not this
/// person's to overwrite.
async fn untouched(
    desk: &Desk,
    entry: &dyn AnyEntry,
    index: usize,
    base: i64,
    value: &Value,
) -> Result<bool, PageError> {
    let current = entry.get(index);
    if current.to_json() == value.to_json() {
        return Ok(true);
    }
    if entry.version(index) <= base {
        return Ok(false);
    }
    let (entity, field) = (entry.id().as_str(), entry.kind().fields[index].name);
    let before = sqlx::query_scalar!(
        "select before from change where entity = ? and field = ? and seq > ? and outcome = 'applied' order by seq limit 1",
        entity,
        field,
        base
    )
    .fetch_optional(desk.app.store.readers())
    .await?;
    let then = before
        .flatten()
        .and_then(|text| serde_json::from_str::<serde_json::Value>(&text).ok())
        .unwrap_or_default();
    Ok(then == value.to_json())
}
