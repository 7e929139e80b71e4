//! A window says where its hand is: at the table, in a blank, or gone. A hint, never a lock.

use super::hub::Present;
use crate::web::page::Desk;
use axum::{Form, http::StatusCode};
use serde::Deserialize;
use std::time::Instant;

/// Longest word taken of a window, a thing or a field.
const LONGEST: usize = 64;

/// What a window says, every ten seconds and when the caret moves to another blank.
#[derive(Deserialize)]
pub struct Here {
    window: String,
    #[serde(default)]
    entity: String,
    #[serde(default)]
    field: String,
    #[serde(default)]
    gone: Option<String>,
}

/// Takes the note and tells everybody at the table.
pub async fn here(desk: Desk, Form(here): Form<Here>) -> StatusCode {
    let word = |text: &str| text.chars().take(LONGEST).collect::<String>().into();
    // A hand is only shown in a blank that is there.
    let blank = desk
        .plan
        .anything(&here.entity)
        .filter(|thing| thing.kind().index(&here.field).is_some());
    let (entity, field) = if blank.is_some() {
        (word(&here.entity), word(&here.field))
    } else {
        ("".into(), "".into())
    };
    let present = Present {
        window: word(&here.window),
        person: desk.hand.id.clone(),
        who: desk.hand.shown().into(),
        entity,
        field,
    };
    desk.app
        .live
        .note(&desk.plan.id, present, here.gone.is_some(), Instant::now());
    StatusCode::NO_CONTENT
}
