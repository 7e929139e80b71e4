//! The JSON body of a request, or a refusal in the words of problem details.

use crate::error::PageError;
use axum::{
    body::Bytes,
    extract::{FromRequest, Request},
    http::{HeaderMap, StatusCode, header},
    response::IntoResponse as _,
};
use serde_json::Value;

/// A JSON body. Its size is limited by the route's `DefaultBodyLimit`.
#[derive(Clone, Debug)]
pub struct Body(pub Value);

impl<S: Send + Sync> FromRequest<S> for Body {
    type Rejection = PageError;

    async fn from_request(request: Request, state: &S) -> Result<Self, PageError> {
        needs_json(request.headers())?;
        let bytes = Bytes::from_request(request, state)
            .await
            .map_err(|rejection| not_read(rejection.into_response().status()))?;
        parsed(&bytes).map(Self)
    }
}

/// Bytes as JSON.
///
/// # Errors
/// Where they stop being any.
pub fn parsed(bytes: &[u8]) -> Result<Value, PageError> {
    serde_json::from_slice(bytes).map_err(|error| {
        PageError::BadRequest(format!(
            "The body is no JSON: line {}, column {}.",
            error.line(),
            error.column()
        ))
    })
}

/// What is said of content that is no JSON.
///
/// # Errors
/// For anything but JSON.
pub fn needs_json(headers: &HeaderMap) -> Result<(), PageError> {
    let kind = headers
        .get(header::CONTENT_TYPE)
        .and_then(|v| v.to_str().ok())
        .unwrap_or_default();
    if is_json(kind) {
        return Ok(());
    }
    Err(PageError::UnsupportedMedia(
        "This address takes JSON: send it with Content-Type: application/json.".into(),
    ))
}

fn is_json(content_type: &str) -> bool {
    if content_type == "application/json" {
        return true;
    }
    let kind = content_type.split(';').next().unwrap_or_default().trim();
    let kind = kind.to_ascii_lowercase();
    kind == "application/json" || (kind.starts_with("application/") && kind.ends_with("+json"))
}

/// Why a body could not be read, by the status that the library gives it.
pub fn not_read(status: StatusCode) -> PageError {
    if status == StatusCode::PAYLOAD_TOO_LARGE {
        PageError::TooLarge("The body is larger than this address takes; send it in parts.".into())
    } else {
        PageError::BadRequest("The body broke off before it was whole; send it again.".into())
    }
}
