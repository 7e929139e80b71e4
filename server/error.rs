//! What a person or a program sees when a request fails: one enum, rendered at one place.

use crate::{journal::field::Refusal, store::StoreError};
use axum::{
    http::StatusCode,
    response::{IntoResponse, Response},
};
use std::sync::Arc;

/// Why a request failed.
#[derive(Debug, thiserror::Error)]
pub enum PageError {
    /// Nothing stands there.
    #[error("{0}")]
    NotFound(String),
    /// Nobody is signed in on this browser.
    #[error("Sign in first: this page belongs to a crew.")]
    SignIn,
    /// Signed in, but not for this.
    #[error("{0}")]
    NotAllowed(String),
    /// Something that was sent is wrong.
    #[error("{0}")]
    Invalid(String, Vec<Refusal>),
    /// The same op id came with another body.
    #[error("That operation id was used before for something else; make a new id.")]
    SameKeyOtherContent,
    /// Others still refer to it.
    #[error("Still in use by {}.", .0.join(", "))]
    StillReferenced(Vec<String>),
    /// Too much at once.
    #[error("{0}")]
    TooLarge(String),
    /// The kind of content is not understood.
    #[error("{0}")]
    UnsupportedMedia(String),
    /// The request is not understood.
    #[error("{0}")]
    BadRequest(String),
    /// The address is there, the method is not.
    #[error("This address does not take that method.")]
    MethodNotAllowed,
    /// What was sent did not arrive in time.
    #[error("What was sent took too long to arrive, so nothing was stored. Send it again.")]
    TooSlow,
    /// Too many tries.
    #[error("{0}")]
    SlowDown(String, u64),
    /// The store.
    #[error(transparent)]
    Store(#[from] StoreError),
    /// Our own fault.
    #[error(
        "Something went wrong in the program. Nothing was stored; what was typed is still in your browser."
    )]
    Internal(String),
}

impl PageError {
    /// Nothing of that name.
    pub fn no_such(what: &str) -> Self {
        Self::NotFound(format!(
            "There is no {what} here. It may have been struck out, or the address is mistyped."
        ))
    }

    /// The status it answers with.
    pub fn status(&self) -> StatusCode {
        match self {
            Self::NotFound(_) => StatusCode::NOT_FOUND,
            Self::SignIn => StatusCode::UNAUTHORIZED,
            Self::NotAllowed(_) => StatusCode::FORBIDDEN,
            Self::Invalid(..) | Self::SameKeyOtherContent => StatusCode::UNPROCESSABLE_ENTITY,
            Self::StillReferenced(_) => StatusCode::CONFLICT,
            Self::TooLarge(_) => StatusCode::PAYLOAD_TOO_LARGE,
            Self::UnsupportedMedia(_) => StatusCode::UNSUPPORTED_MEDIA_TYPE,
            Self::BadRequest(_) => StatusCode::BAD_REQUEST,
            Self::MethodNotAllowed => StatusCode::METHOD_NOT_ALLOWED,
            Self::TooSlow => StatusCode::REQUEST_TIMEOUT,
            Self::SlowDown(..) => StatusCode::TOO_MANY_REQUESTS,
            Self::Store(StoreError::Closed) => StatusCode::SERVICE_UNAVAILABLE,
            Self::Store(_) | Self::Internal(_) => StatusCode::INTERNAL_SERVER_ERROR,
        }
    }

    /// Name and title of the problem type (RFC 9457).
    pub fn problem_type(&self) -> (&'static str, &'static str) {
        match self {
            Self::Invalid(..) => ("validation", "Something in the request is wrong"),
            Self::SameKeyOtherContent => {
                ("same-key-other-content", "Same operation id, other content")
            }
            Self::StillReferenced(_) => ("still-referenced", "Still in use"),
            Self::TooLarge(_) => ("too-large", "Too large"),
            Self::NotAllowed(_) | Self::SignIn => ("not-allowed", "Not allowed"),
            _ => (
                "about:blank",
                self.status().canonical_reason().unwrap_or("Problem"),
            ),
        }
    }

    /// The single faults, field by field.
    pub fn refusals(&self) -> &[Refusal] {
        match self {
            Self::Invalid(_, refusals) => refusals,
            _ => &[],
        }
    }
}

impl From<askama::Error> for PageError {
    fn from(error: askama::Error) -> Self {
        Self::Internal(error.to_string())
    }
}

impl From<sqlx::Error> for PageError {
    fn from(error: sqlx::Error) -> Self {
        Self::Store(error.into())
    }
}

/// The error travels in the response's extensions; `web::problem` renders it as a page or as problem details, once it is
/// known which of the two the request wants.
impl IntoResponse for PageError {
    fn into_response(self) -> Response {
        let mut response = self.status().into_response();
        response.extensions_mut().insert(Arc::new(self));
        response
    }
}
