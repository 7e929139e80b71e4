//! Two hands on one blank: the earlier value is used, the other is kept beside it, and a note says what each would do
//! until somebody settles it.

use super::{Plan, Scope as _, history};
use crate::{
    error::PageError,
    journal::{
        change::{Op, OpKind},
        field::Field,
        record::AnyEntry,
        value::{Id, Value},
    },
    web::{
        fields::shown,
        look::own_path,
        page::{Desk, page},
        parts::{Hand, TwoHands},
        routes::Routes,
        sheet::{Sheet, Tab},
        units,
    },
};
use axum::{
    Form,
    response::{IntoResponse as _, Redirect, Response},
    routing::{get, post},
};
use std::collections::HashMap;

/// Address of settling.
pub fn routes() -> Routes {
    Routes::new()
        .route("/plans/{plan}/settle", post(settle))
        .route("/plans/{plan}/undecided", get(show))
}

/// Every blank of the plan and of what it shares that two hands wrote.
#[derive(askama::Template)]
#[template(path = "undecided.html")]
struct Undecided {
    sheet: Sheet,
    /// Each under the thing it is about: name, address, notes.
    things: Vec<(String, String, Vec<TwoHands>)>,
}

/// Where they are, and how many; for the title block.
pub fn short(plan: &Plan) -> Option<(String, usize)> {
    let count = plan.besides.len() + plan.studio.besides.len();
    (count > 0).then(|| (format!("{}/undecided", plan.path()), count))
}

async fn show(desk: Desk) -> Result<Response, PageError> {
    let plan = &*desk.plan;
    let all = plan.besides.iter().chain(plan.studio.besides.iter());
    let mut ids: Vec<Id> = Vec::new();
    for beside in all {
        if !ids.contains(&beside.entity) {
            ids.push(beside.entity.clone());
        }
    }
    let mut things = Vec::new();
    for id in ids {
        let notes = notes(&desk, std::slice::from_ref(&id), |_| String::new()).await?;
        if let Some(thing) = plan.anything(id.as_str()).filter(|_| !notes.is_empty()) {
            let (called, href) = (history::called(plan, thing), history::href(plan, thing));
            things.push((called, href, notes));
        }
    }
    let mut sheet = desk.sheet(
        Tab::Cut,
        "Two hands",
        "Blanks that two people wrote at once. Sums use the value that was there first until one of you settles it.",
    );
    sheet.current = None;
    page(&Undecided { sheet, things }, false)
}

/// Notes for the blanks of some things that two hands wrote. `consequence` says in a line what a plan comes to.
///
/// # Errors
/// The store's, when it is asked who wrote the value that stands.
pub async fn notes(
    desk: &Desk,
    things: &[Id],
    consequence: impl Fn(&Plan) -> String,
) -> Result<Vec<TwoHands>, PageError> {
    let plan = &desk.plan;
    let mut notes = Vec::new();
    for beside in plan.besides.iter().chain(plan.studio.besides.iter()) {
        let entry = plan
            .anything(beside.entity.as_str())
            .filter(|e| things.contains(e.id()));
        let Some((entry, index)) = entry.and_then(|e| Some((e, e.kind().index(&beside.field)?)))
        else {
            continue;
        };
        let field = &entry.kind().fields[index];
        let Ok(other) = field.check(&beside.value) else {
            continue;
        };
        let (who, at_ms) = written_by(desk, entry.version(index)).await?;
        let written = Hand {
            choice: "keep".into(),
            value: phrase(plan, field, &entry.get(index)),
            who,
            at: units::clock(at_ms),
            consequence: consequence(plan),
        };
        let beside_hand = Hand {
            choice: beside.seq.to_string(),
            value: phrase(plan, field, &other),
            who: desk.app.name_of(&beside.actor, &desk.hand),
            at: units::clock(beside.at_ms),
            consequence: consequence(&tried(plan, entry, index, &other)),
        };
        notes.push(TwoHands {
            id: format!("two-{}", beside.seq),
            about: format!("the {}", field.label.trim_end_matches(STOP).to_lowercase()),
            action: desk.href("/settle"),
            written,
            beside: beside_hand,
            fields: vec![
                ("entity".into(), entry.id().to_string()),
                ("field".into(), field.name.into()),
                ("base".into(), plan.number().to_string()),
                ("back".into(), desk.path.clone()),
            ],
        });
    }
    Ok(notes)
}

/// End of the label of a stop, which is said before the number and not after it.
const STOP: &str = ", f/";

/// A value with its unit, as it is said aloud.
fn phrase(plan: &Plan, field: &Field, value: &Value) -> String {
    match shown(plan, field, value) {
        text if text.is_empty() => "nothing".to_owned(),
        text if field.label.ends_with(STOP) => format!("f/{text}"),
        text if field.unit().is_empty() => text,
        text => format!("{text} {}", field.unit()),
    }
}

/// The plan with another value in one blank, for saying what it would do.
fn tried(plan: &Plan, entry: &dyn AnyEntry, index: usize, value: &Value) -> Plan {
    let mut plan = plan.clone();
    let (kind, id, version) = (
        entry.kind().entity_type,
        entry.id().clone(),
        entry.version(index),
    );
    if let Some(list) = plan.list_mut(kind) {
        list.put(id.as_str(), index, value, version);
    }
    plan
}

async fn written_by(desk: &Desk, seq: i64) -> Result<(String, i64), PageError> {
    let row = sqlx::query!("select actor, at_server_ms from change where seq = ?", seq)
        .fetch_optional(desk.app.store.readers())
        .await?;
    Ok(row.map_or_else(
        || ("the book".to_owned(), 0),
        |r| (desk.app.name_of(&r.actor, &desk.hand), r.at_server_ms),
    ))
}

/// Settles a blank: the value that stands, or the one beside it.
async fn settle(
    desk: Desk,
    Form(form): Form<HashMap<String, String>>,
) -> Result<Response, PageError> {
    desk.hand.may_write()?;
    let text = |name: &str| form.get(name).map(String::as_str).unwrap_or_default();
    let entry = desk
        .plan
        .anything(text("entity"))
        .ok_or_else(|| PageError::no_such("thing"))?;
    let index = entry
        .kind()
        .index(text("field"))
        .ok_or_else(|| PageError::no_such("blank"))?;
    let third = text("choice") == "third";
    let value = match text("choice").parse::<i64>() {
        Err(_) if third => {
            let key = format!("{}.{}", entry.id(), text("field"));
            match crate::web::fields::read_one(&desk.plan, &key, text("third")) {
                Ok(Some((_, _, value))) => value.to_json(),
                Ok(None) => return Err(PageError::no_such("blank")),
                Err(problem) => return Err(PageError::Invalid(problem, Vec::new())),
            }
        }
        Err(_) => entry.get(index).to_json(),
        Ok(seq) => {
            let mut open = desk.plan.besides_of(entry.id(), text("field"));
            let beside = open.find(|b| b.seq == seq);
            beside.map(|b| b.value.clone()).ok_or_else(|| {
                PageError::NotFound("That value was settled meanwhile; load the page again.".into())
            })?
        }
    };
    let seen = desk
        .plan
        .besides_of(entry.id(), text("field"))
        .map(|b| b.seq)
        .collect();
    let base = text("base").parse().unwrap_or_else(|_| desk.plan.number());
    let op = Op {
        kind: OpKind::Resolve,
        settles: Some(seen),
        ..Op::set(entry.id().clone(), text("field"), base, value)
    };
    desk.write(vec![op]).await?;
    Ok(Redirect::to(own_path(text("back"))).into_response())
}
