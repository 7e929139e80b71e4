//! Rub out last: takes back a hand's own newest change, as a new change, never another hand's.

use crate::{
    error::PageError,
    journal::{
        change::{Change, Op, Outcome},
        value::Value,
    },
    web::{fields, look::own_path, page::Desk},
};
use axum::{
    Form,
    response::{IntoResponse as _, Redirect, Response},
    routing::post,
};
use std::collections::HashMap;

/// Address of rubbing out, one for all sheets.
pub fn routes() -> crate::web::routes::Routes {
    crate::web::routes::Routes::new().route("/plans/{plan}/undo", post(rub_out))
}

/// Takes back the newest change and returns to the sheet it was asked from, which then says what was taken back.
async fn rub_out(
    desk: Desk,
    Form(form): Form<HashMap<String, String>>,
) -> Result<Response, PageError> {
    desk.hand.may_write()?;
    let newest = newest_own(&desk).await?.ok_or_else(|| {
        PageError::Invalid(
            "Nothing of yours is left to rub out in this plan.".into(),
            Vec::new(),
        )
    })?;
    let seq = desk.write(vec![Op::undo(newest)]).await?;
    let back = form.get("back").map(String::as_str).unwrap_or_default();
    let back = own_path(back);
    let back = if back == "/" {
        desk.href("/cut")
    } else {
        back.to_owned()
    };
    Ok(Redirect::to(&with_query(&back, "rubbed", &seq.to_string())).into_response())
}

/// A path with one more member in its query, in place of an older one of that name.
pub fn with_query(path: &str, name: &str, value: &str) -> String {
    let (path, query) = path.split_once('?').unwrap_or((path, ""));
    let kept = query
        .split('&')
        .filter(|part| !part.is_empty() && part.split('=').next() != Some(name));
    let mut parts: Vec<String> = kept.map(str::to_owned).collect();
    parts.push(format!("{name}={value}"));
    format!("{path}?{}", parts.join("&"))
}

/// Number of this hand's newest change that still stands. Undoing is no change of its own here, and neither is the making
/// of the plan or a note, which stay.
async fn newest_own(desk: &Desk) -> Result<Option<i64>, PageError> {
    let (plan, actor) = (desk.plan.id.as_str(), desk.hand.id.as_str());
    let seq = sqlx::query_scalar!(
        "select c.seq as \"seq!\" from change c
         where (c.plan = ?1 or c.plan is null) and c.actor = ?2 and c.of_seq is null
           and c.kind not in ('undo', 'append') and c.outcome <> 'same value'
           and not (c.kind = 'insert' and c.entity_type = 'plan')
           and not exists (select 1 from change u where u.of_seq = c.seq)
         order by c.seq desc limit 1",
        plan,
        actor
    )
    .fetch_optional(desk.app.store.readers())
    .await?;
    Ok(seq)
}

/// What the page says after a change was rubbed out: read from the path it was sent back to.
pub fn told(desk: &Desk) -> Option<String> {
    let (_, query) = desk.path.split_once('?')?;
    let seq: i64 = query
        .split('&')
        .find_map(|part| part.strip_prefix("rubbed="))?
        .parse()
        .ok()?;
    let recent = desk.app.store.recent_after(seq.checked_sub(1)?)?;
    let change = recent.first().filter(|c| c.seq == seq)?;
    let ours = change.plan.as_ref().is_none_or(|p| *p == desk.plan.id);
    (ours && change.of_seq.is_some()).then(|| sentence(desk, change))
}

fn sentence(desk: &Desk, change: &Change) -> String {
    let entry = desk.plan.anything(change.entity.as_str());
    let called = entry.map_or_else(
        || "It".to_owned(),
        |entry| fields::called(&desk.plan, entry),
    );
    if change.outcome != Outcome::Applied {
        return format!(
            "Another hand has written to {called} since. What stood before is kept beside it, until somebody settles it."
        );
    }
    let field = change.field.as_deref().and_then(|name| {
        entry
            .map(super::super::journal::record::AnyEntry::kind)
            .and_then(|k| k.index(name))
    });
    let also = if change.batch.is_some() {
        ", with all that was written with it"
    } else {
        ""
    };
    match (field, entry) {
        (Some(index), Some(entry)) => {
            let field = &entry.kind().fields[index];
            let value = match entry.get(index) {
                Value::Absent => "blank".to_owned(),
                value => fields::shown(&desk.plan, field, &value),
            };
            // A place in a list is a key that nobody reads.
            if field.name == "order_key" {
                return format!("Rubbed out: {called} is back in its place{also}.");
            }
            format!(
                "Rubbed out: {called}, {} is {value} again{also}.",
                field.label
            )
        }
        _ if change.value["removed"] == true => {
            format!("Rubbed out: {called} is gone again{also}.")
        }
        _ => format!("Rubbed out: {called} stands again{also}."),
    }
}

#[cfg(test)]
mod tests {
    use super::with_query;

    #[test]
    fn a_query_gets_one_member_of_a_name() {
        assert_eq!(with_query("/a", "rubbed", "3"), "/a?rubbed=3");
        assert_eq!(
            with_query("/a?open=x&rubbed=2", "rubbed", "3"),
            "/a?open=x&rubbed=3"
        );
    }
}
