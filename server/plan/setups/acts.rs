//! What is done to setups besides writing blanks: a setup or a pass added, a setup struck out.

use super::{
    list::show_list,
    pages::{find_setup, href},
};
use crate::{
    error::PageError,
    journal::{change::Op, value::Id},
    web::{page::Desk, problem::encode},
};
use axum::{
    Form,
    extract::Path,
    response::{IntoResponse as _, Redirect, Response},
};
use serde_json::json;
use std::collections::HashMap;
use stillair_calc::order_key;

pub(super) async fn add_setup(
    desk: Desk,
    Form(form): Form<HashMap<String, String>>,
) -> Result<Response, PageError> {
    desk.hand.may_write()?;
    let text = |name: &str| form.get(name).cloned().unwrap_or_default();
    let key = key_after(desk.plan.setups_in_order().last().map(|s| &*s.order_key));
    let op = Op::insert(
        "setup",
        Id::new(),
        json!({"code": text("code").trim(), "name": text("name"), "order_key": key}),
    );
    match desk.write(vec![op]).await {
        Ok(_) => Ok(
            Redirect::to(&desk.href(&format!("/setups/{}", encode(text("code").trim()))))
                .into_response(),
        ),
        Err(PageError::Invalid(sentence, _)) => {
            show_list(&desk, [text("code"), text("name"), sentence])
        }
        Err(error) => Err(error),
    }
}

/// A place after the last one of a list; a list whose rows have no places yet begins with the first.
pub(super) fn key_after(last: Option<&str>) -> String {
    order_key::between(last.filter(|k| !k.is_empty()), None)
        .unwrap_or_else(|_| order_key::spread(1).remove(0))
}

pub(super) async fn add_pass(
    desk: Desk,
    Path((_, code)): Path<(String, String)>,
    Form(form): Form<HashMap<String, String>>,
) -> Result<Response, PageError> {
    desk.hand.may_write()?;
    let setup = find_setup(&desk.plan, &code)?;
    let text = |name: &str| form.get(name).cloned().unwrap_or_default();
    if let Some(pass) = form.get("strike") {
        let pass = Id::parse(pass).ok_or_else(|| PageError::no_such("pass"))?;
        desk.write(vec![Op::remove(pass, desk.plan.number())])
            .await?;
        return Ok(Redirect::to(&href(&desk, setup, None)).into_response());
    }
    let id = Id::new();
    let fields = json!({
        "shot": text("shot"), "setup": setup.id.as_str(), "element": text("element"),
        "order_key": key_after(desk.plan.passes_of_setup(&setup.id).last().map(|p| &*p.order_key)),
    });
    desk.write(vec![Op::insert("pass", id.clone(), fields)])
        .await?;
    Ok(Redirect::to(&href(&desk, setup, Some(&id))).into_response())
}

pub(super) async fn strike(
    desk: Desk,
    Path((_, code)): Path<(String, String)>,
) -> Result<Response, PageError> {
    desk.hand.may_write()?;
    let setup = find_setup(&desk.plan, &code)?;
    desk.write(vec![Op::remove(setup.id.clone(), desk.plan.number())])
        .await?;
    Ok(Redirect::to(&desk.href("/setups")).into_response())
}
