//! The JSON body of a request, or a refusal in the words of problem details.

use crate::error::PageError;
use axum::{
    body::Bytes,
    extract::{FromRequest, Request, rejection::BytesRejection},
    http::{StatusCode, header},
    response::IntoResponse as _,
};
use serde_json::Value;

/// A JSON body. Its size is limited by the route's `DefaultBodyLimit`.
#[derive(Clone, Debug)]
pub struct Body(pub Value);

impl<S: Send + Sync> FromRequest<S> for Body {
    type Rejection = PageError;

    async fn from_request(request: Request, state: &S) -> Result<Self, PageError> {
        let kind = request
            .headers()
            .get(header::CONTENT_TYPE)
            .and_then(|v| v.to_str().ok())
            .unwrap_or_default();
        if !is_json(kind) {
            return Err(PageError::UnsupportedMedia(
                "This address takes JSON: send it with Content-Type: application/json.".into(),
            ));
        }
        let bytes = Bytes::from_request(request, state)
            .await
            .map_err(not_read)?;
        serde_json::from_slice(&bytes).map(Self).map_err(|error| {
            PageError::BadRequest(format!(
                "The body is no JSON: line {}, column {}.",
                error.line(),
                error.column()
            ))
        })
    }
}

fn is_json(content_type: &str) -> bool {
    let kind = content_type.split(';').next().unwrap_or_default().trim();
    let kind = kind.to_ascii_lowercase();
    kind == "application/json" || (kind.starts_with("application/") && kind.ends_with("+json"))
}

fn not_read(rejection: BytesRejection) -> PageError {
    if rejection.into_response().status() == StatusCode::PAYLOAD_TOO_LARGE {
        PageError::TooLarge("The body is larger than this address takes; send it in parts.".into())
    } else {
        PageError::BadRequest("The body broke off before it was whole; send it again.".into())
    }
}
