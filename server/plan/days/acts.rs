//! What is done to stage days besides writing blanks: a day added, a setup put on, moved or taken off, a call added.

use super::{
    pages::{find_day, show_list},
    walk::walk,
};
use crate::{
    error::PageError,
    journal::{
        change::Op,
        record::{Record as _, RecordKind},
        value::Id,
    },
    plan::{
        Plan,
        days::day::{CrewCall, Day},
    },
    web::{fields, page::Desk, parts::Blank, problem::encode},
};
use axum::{
    Form,
    extract::Path,
    response::{IntoResponse as _, Redirect, Response},
};
use serde_json::{Map, Value as Json, json};
use std::collections::HashMap;
use stillair_calc::order_key;

type Fields = Vec<(String, String)>;

fn key_after(last: Option<&str>) -> String {
    order_key::between(last.filter(|k| !k.is_empty()), None)
        .unwrap_or_else(|_| order_key::spread(1).remove(0))
}

/// A blank of the form for a new day.
pub fn new_blank(plan: &Plan, name: &str, typed: &[(String, String)]) -> Blank {
    new_of(plan, Day::KIND, name, typed)
}

/// A blank of the form for a new call.
pub fn new_call_blank(plan: &Plan, name: &str) -> Blank {
    new_of(plan, CrewCall::KIND, name, &[])
}

fn new_of(plan: &Plan, kind: &'static RecordKind, name: &str, typed: &[(String, String)]) -> Blank {
    let index = kind.index(name).expect("pages name declared fields");
    let mut blank = fields::new_blank(plan, kind, &kind.fields[index]);
    if let Some((_, text)) = typed.iter().find(|(n, _)| n == name) {
        blank.value.clone_from(text);
    }
    blank
}

/// What was typed for a new record, checked by its declaration.
fn parsed(kind: &'static RecordKind, form: &Fields) -> Result<Map<String, Json>, String> {
    let mut values = Map::new();
    for (name, text) in form {
        let Some(index) = kind.index(name) else {
            continue;
        };
        let value = kind.fields[index].parse(text).map_err(|r| r.problem)?;
        values.insert(name.clone(), value.to_json());
    }
    Ok(values)
}

/// Adds a day after the last.
///
/// # Errors
/// The store's; what was refused comes back on the list.
pub async fn add_day(desk: Desk, Form(form): Form<Fields>) -> Result<Response, PageError> {
    desk.hand.may_write()?;
    let mut values = match parsed(Day::KIND, &form) {
        Ok(values) => values,
        Err(sentence) => return show_list(&desk, &form, sentence),
    };
    let key = key_after(desk.plan.days_in_order().last().map(|d| &*d.order_key));
    values.insert("order_key".into(), key.into());
    let id = Id::new();
    match desk
        .write(vec![Op::insert("day", id.clone(), values.into())])
        .await
    {
        Ok(_) => Ok(Redirect::to(&desk.href(&format!("/days/{id}"))).into_response()),
        Err(PageError::Invalid(sentence, _)) => show_list(&desk, &form, sentence),
        Err(error) => Err(error),
    }
}

/// Puts a setup at the end of a day.
///
/// # Errors
/// Refused, or the store's.
pub async fn put_on(
    desk: Desk,
    Path((_, day)): Path<(String, String)>,
    Form(form): Form<HashMap<String, String>>,
) -> Result<Response, PageError> {
    desk.hand.may_write()?;
    let day = find_day(&desk.plan, &day)?;
    let key = key_after(
        desk.plan
            .setups_of_day(&day.id)
            .last()
            .map(|(place, _)| &*place.order_key),
    );
    let setup = form.get("setup").cloned().unwrap_or_default();
    let fields = json!({"day": day.id.as_str(), "setup": setup, "order_key": key});
    desk.write(vec![Op::insert("day_setup", Id::new(), fields)])
        .await?;
    Ok(Redirect::to(&desk.href(&format!("/days/{}", day.id))).into_response())
}

/// Moves a setup one place, or takes it off the day. The page then says what that does to the finish.
///
/// # Errors
/// A place that is gone; the store's.
pub async fn order(
    desk: Desk,
    Path((_, day)): Path<(String, String)>,
    Form(form): Form<HashMap<String, String>>,
) -> Result<Response, PageError> {
    desk.hand.may_write()?;
    let id = find_day(&desk.plan, &day)?.id.clone();
    let was = walk(&desk.plan, &id).map_or(0, |w| w.walk.finish_min);
    let text = |name: &str| form.get(name).map(String::as_str).unwrap_or_default();
    let rows = desk.plan.setups_of_day(&id);
    let at = rows
        .iter()
        .position(|(place, _)| place.id.as_str() == text("place"))
        .ok_or_else(|| PageError::no_such("setup on this day"))?;
    let (place, setup) = rows[at];
    let number = desk.plan.number();
    let to = match text("move") {
        "up" => at.checked_sub(1),
        "down" => Some(at + 1).filter(|to| *to < rows.len()),
        "off" => {
            desk.write(vec![Op::remove(place.id.clone(), number)])
                .await?;
            None
        }
        _ => return Err(PageError::BadRequest("A move is up, down or off.".into())),
    };
    let code = setup.code.to_string();
    if let Some(to) = to {
        let ops = move_ops(
            &rows
                .iter()
                .map(|(p, _)| (p.id.clone(), p.order_key.to_string()))
                .collect::<Vec<_>>(),
            at,
            to,
            number,
        );
        desk.write(ops).await?;
    }
    Ok(
        Redirect::to(&desk.href(&format!("/days/{id}?moved={}&was={was}", encode(&code))))
            .into_response(),
    )
}

/// The writes that give the row at `from` the place `to`: one key, or fresh keys for all when there is no room between.
fn move_ops(rows: &[(Id, String)], from: usize, to: usize, number: i64) -> Vec<Op> {
    let mut order: Vec<&(Id, String)> = rows.iter().collect();
    let moved = order.remove(from);
    order.insert(to, moved);
    let key = |i: Option<usize>| i.and_then(|i| order.get(i)).map(|(_, key)| key.as_str());
    let between = order_key::between(key(to.checked_sub(1)), key(Some(to + 1)));
    match between {
        Ok(key) if !order_key::needs_fresh_keys(&key) => {
            vec![Op::set(moved.0.clone(), "order_key", number, key.into())]
        }
        _ => order
            .iter()
            .zip(order_key::spread(order.len()))
            .map(|((id, _), key)| Op::set(id.clone(), "order_key", number, key.into()))
            .collect(),
    }
}

/// Adds a call, or strikes one (`strike` names it).
///
/// # Errors
/// Refused, or the store's.
pub async fn add_call(
    desk: Desk,
    Path((_, day)): Path<(String, String)>,
    Form(form): Form<Fields>,
) -> Result<Response, PageError> {
    desk.hand.may_write()?;
    let day = find_day(&desk.plan, &day)?;
    let back = desk.href(&format!("/days/{}", day.id));
    if let Some((_, id)) = form.iter().find(|(name, _)| name == "strike") {
        let id = Id::parse(id).ok_or_else(|| PageError::no_such("call"))?;
        desk.write(vec![Op::remove(id, desk.plan.number())]).await?;
        return Ok(Redirect::to(&back).into_response());
    }
    let mut values = parsed(CrewCall::KIND, &form)
        .map_err(|sentence| PageError::Invalid(sentence, Vec::new()))?;
    let key = key_after(
        desk.plan
            .calls_of_day(&day.id)
            .last()
            .map(|c| &*c.order_key),
    );
    values.insert("order_key".into(), key.into());
    values.insert("day".into(), day.id.as_str().into());
    desk.write(vec![Op::insert("crew_call", Id::new(), values.into())])
        .await?;
    Ok(Redirect::to(&back).into_response())
}

/// Strikes a day with its order and its calls.
///
/// # Errors
/// The store's.
pub async fn strike(
    desk: Desk,
    Path((_, day)): Path<(String, String)>,
) -> Result<Response, PageError> {
    desk.hand.may_write()?;
    let day = find_day(&desk.plan, &day)?;
    desk.write(vec![Op::remove(day.id.clone(), desk.plan.number())])
        .await?;
    Ok(Redirect::to(&desk.href("/days")).into_response())
}
