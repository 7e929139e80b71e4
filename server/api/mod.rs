//! The machine interface under `/api`.

pub mod body;
pub mod calc;
pub mod openapi;
pub mod plans;

use crate::web::routes::Routes;
use axum::{Json, routing::get};
use serde_json::{Value, json};

/// Addresses of the machine interface.
pub fn routes() -> Routes {
    Routes::new()
        .route("/health", get(health))
        .merge(calc::routes())
        .merge(openapi::routes())
        .merge(plans::routes())
}

/// The store is open and writable.
pub async fn health() -> Json<Value> {
    Json(json!({"status": "ok"}))
}

/// What the machine interface and pages say of a refused write.
pub fn refused_error(refused: crate::journal::decide::Refused) -> crate::error::PageError {
    use crate::{error::PageError, journal::decide::Refused};
    match refused {
        Refused::Invalid(list) => {
            let sentence = list.first().map_or_else(
                || "Another part of it was refused, so nothing was stored.".to_owned(),
                |r| r.problem.clone(),
            );
            PageError::Invalid(sentence, list)
        }
        Refused::SameKeyOtherContent => PageError::SameKeyOtherContent,
        Refused::StillReferenced(by) => PageError::StillReferenced(by),
    }
}
