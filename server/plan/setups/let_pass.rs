//! A finding let pass by a named person, with a reason; and taken back.

use super::{
    bench::Asked,
    facts::Facts,
    giveaway::giveaways,
    pages::{find_pass, find_setup},
};
use crate::{
    error::PageError,
    journal::{change::Op, value::Id, writer::now_ms},
    web::page::Desk,
};
use axum::{
    Form,
    extract::{Path, Query},
    response::{IntoResponse as _, Redirect, Response},
};
use serde_json::json;

/// What the form sends.
#[derive(serde::Deserialize)]
pub(super) struct Sent {
    rule: Option<String>,
    reason: Option<String>,
    back: Option<String>,
}

/// Lets a finding pass at the values it has now, or takes that back.
pub(super) async fn act(
    desk: Desk,
    Path((_, code)): Path<(String, String)>,
    Query(asked): Query<Asked>,
    Form(sent): Form<Sent>,
) -> Result<Response, PageError> {
    desk.hand.may_let_pass()?;
    let setup = find_setup(&desk.plan, &code)?;
    let pass = find_pass(&desk.plan, setup, asked.pass.as_deref());
    if let Some(id) = sent.back.as_deref() {
        let id = Id::parse(id).filter(|id| desk.plan.let_pass.get(id).is_some());
        let id = id.ok_or_else(|| PageError::no_such("finding let pass"))?;
        desk.write(vec![Op::remove(id, desk.plan.number())]).await?;
    } else {
        let rule = sent.rule.unwrap_or_default();
        let facts = Facts::of(&desk.plan, setup, pass);
        let found = giveaways(&facts).into_iter().find(|g| g.rule == rule);
        let found = found.ok_or_else(|| {
            PageError::Invalid(
                "That is no finding any more; load the page again.".into(),
                Vec::new(),
            )
        })?;
        let reason = sent.reason.unwrap_or_default().trim().to_owned();
        if reason.is_empty() {
            let sentence = "Say why it may pass: the reason stands beside it for everybody.";
            return Err(PageError::Invalid(sentence.into(), Vec::new()));
        }
        let today = crate::web::units::iso_day(now_ms());
        let fields = json!({
            "setup": setup.id.as_str(), "pass": pass.map(|p| p.id.as_str()), "rule": rule,
            "accepted": found.tell.quantity, "reason": reason,
            "let_by": desk.hand.shown(), "let_on": today,
        });
        desk.write(vec![Op::insert("let_pass", Id::new(), fields)])
            .await?;
    }
    Ok(Redirect::to(&format!("{}#gives-it-away", asked.href(&desk, &code))).into_response())
}
