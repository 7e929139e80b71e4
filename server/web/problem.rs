//! Renders a failed request: a page with a way onward, or problem details (RFC 9457) for programs.

use super::look::Look;
use crate::error::PageError;
use axum::{
    extract::Request,
    http::{HeaderMap, HeaderValue, StatusCode, header},
    middleware::Next,
    response::{Html, IntoResponse as _, Redirect, Response},
};
use serde_json::json;
use std::{any::Any, sync::Arc};

/// Turns the error in an answer's extensions into what the request wants to read.
pub async fn render(request: Request, next: Next) -> Response {
    let path = request
        .uri()
        .path_and_query()
        .map_or("/", |p| p.as_str())
        .to_owned();
    let wants_json = wants_json(&path, request.headers());
    let look = Look::from_headers(request.headers());
    let part = request.headers().contains_key("x-stillair-part");
    let get = request.method() == axum::http::Method::GET;
    let response = next.run(request).await;
    let error = match response.extensions().get::<Arc<PageError>>() {
        Some(error) => error.clone(),
        None => match refused_outside(&response) {
            Some(error) => Arc::new(error),
            None => return response,
        },
    };
    if error.status().is_server_error() {
        tracing::error!(error = ?error, path, "a request failed");
    }
    let mut answer = if wants_json {
        details_response(error.status(), &details_body(&error, &path))
    } else if matches!(*error, PageError::SignIn) && get && !part {
        Redirect::to(&format!("/sign-in?to={}", encode(&path))).into_response()
    } else {
        page(&error, look, &path)
    };
    if let Some(allowed) = response.headers().get(header::ALLOW) {
        answer.headers_mut().insert(header::ALLOW, allowed.clone());
    }
    if let PageError::SlowDown(_, seconds) = *error {
        answer
            .headers_mut()
            .insert(header::RETRY_AFTER, HeaderValue::from(seconds));
    }
    answer
}

/// Percent-encodes a path for use inside a query.
pub fn encode(path: &str) -> String {
    use std::fmt::Write as _;
    path.bytes().fold(String::new(), |mut text, byte| {
        if byte.is_ascii_alphanumeric() || b"-_.~/".contains(&byte) {
            text.push(byte as char);
        } else {
            let _ = write!(text, "%{byte:02X}");
        }
        text
    })
}

fn wants_json(path: &str, headers: &HeaderMap) -> bool {
    let accepts = headers
        .get(header::ACCEPT)
        .and_then(|v| v.to_str().ok())
        .unwrap_or("");
    path.starts_with("/api/")
        || path == "/api"
        || path == "/health"
        || (accepts.contains("json") && !accepts.contains("html"))
}

/// An error as the members of problem details.
pub fn details_body(error: &PageError, path: &str) -> serde_json::Value {
    let (name, title) = error.problem_type();
    let kind = if name == "about:blank" {
        name.to_owned()
    } else {
        format!("/problems/{name}")
    };
    let mut body = json!({"type": kind, "title": title, "status": error.status().as_u16(), "detail": error.to_string(), "instance": path});
    if !error.refusals().is_empty() {
        let errors = error
            .refusals()
            .iter()
            .map(|r| json!({"field": r.field, "kind": r.kind, "problem": r.problem}));
        body["errors"] = errors.collect();
    }
    if let PageError::StillReferenced(by) = error {
        body["referrers"] = json!(by);
    }
    body
}

/// Problem details as an answer.
pub fn details_response(status: StatusCode, body: &serde_json::Value) -> Response {
    let mut response = (status, body.to_string()).into_response();
    response.headers_mut().insert(
        header::CONTENT_TYPE,
        HeaderValue::from_static("application/problem+json"),
    );
    response
}

fn page(error: &PageError, look: Look, path: &str) -> Response {
    let page = super::page::ErrorPage::new(error, look, path);
    match askama::Template::render(&page) {
        Ok(html) => (error.status(), Html(html)).into_response(),
        Err(_) => (error.status(), error.to_string()).into_response(),
    }
}

/// What a library refused on our behalf (a body too large, a form without its fields), which it says in plain text meant for
/// programmers.
fn refused_outside(response: &Response) -> Option<PageError> {
    let is_plain = response
        .headers()
        .get(header::CONTENT_TYPE)
        .is_some_and(|kind| kind.as_bytes().starts_with(b"text/plain"));
    if !is_plain {
        return None;
    }
    Some(match response.status() {
        StatusCode::PAYLOAD_TOO_LARGE => PageError::TooLarge(
            "That is more than this address takes at once, so nothing was stored. Send less, or a smaller file."
                .into(),
        ),
        StatusCode::UNSUPPORTED_MEDIA_TYPE => PageError::UnsupportedMedia(
            "That kind of content is not understood here, so nothing was stored.".into(),
        ),
        StatusCode::BAD_REQUEST | StatusCode::UNPROCESSABLE_ENTITY => PageError::BadRequest(
            "What was sent does not fit this address, so nothing was stored. Open the page again and try from there."
                .into(),
        ),
        _ => return None,
    })
}

/// A panic is our fault, never the person's: said so, and the cause goes to the log.
#[expect(
    clippy::needless_pass_by_value,
    reason = "the shape the layer asks for"
)]
pub fn panicked(cause: Box<dyn Any + Send + 'static>) -> axum::http::Response<axum::body::Body> {
    let words = cause
        .downcast_ref::<String>()
        .map(String::as_str)
        .or_else(|| cause.downcast_ref::<&str>().copied());
    tracing::error!(cause = words.unwrap_or("?"), "a request panicked");
    PageError::Internal("a request panicked".into()).into_response()
}
