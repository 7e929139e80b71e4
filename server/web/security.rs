//! What every answer carries, and the check that a write comes from our own pages.

use super::in_time::InTime;
use crate::{app::App, error::PageError};
use axum::{
    body::Body,
    extract::{Request, State},
    http::{HeaderMap, HeaderName, HeaderValue, Method, StatusCode, header},
    middleware::Next,
    response::{IntoResponse as _, Response},
};
use std::{sync::LazyLock, time::Instant};

static POLICY: LazyLock<HeaderValue> = LazyLock::new(|| {
    let policy = format!(
        "default-src 'none'; script-src 'self'; style-src 'self' {}; img-src 'self' data: blob:; font-src 'self'; connect-src 'self'; manifest-src 'self'; worker-src 'self'; form-action 'self'; frame-ancestors 'none'; base-uri 'none'",
        super::look::first_paint_hash()
    );
    HeaderValue::from_str(&policy).expect("the policy is plain ASCII")
});

/// Puts the security headers on an answer.
pub async fn headers(request: Request, next: Next) -> Response {
    let mut response = next.run(request).await;
    guard(response.headers_mut());
    response
}

/// The headers that every answer carries.
pub fn guard(headers: &mut HeaderMap) {
    headers.insert(header::CONTENT_SECURITY_POLICY, POLICY.clone());
    headers.insert(
        header::X_CONTENT_TYPE_OPTIONS,
        HeaderValue::from_static("nosniff"),
    );
    // With `no-referrer` browsers send `Origin: null` on our own forms.
    headers.insert(
        header::REFERRER_POLICY,
        HeaderValue::from_static("same-origin"),
    );
    headers.insert(header::X_FRAME_OPTIONS, HeaderValue::from_static("DENY"));
    headers.insert(
        HeaderName::from_static("cross-origin-opener-policy"),
        HeaderValue::from_static("same-origin"),
    );
    headers.insert(
        HeaderName::from_static("cross-origin-resource-policy"),
        HeaderValue::from_static("same-origin"),
    );
    headers.insert(
        HeaderName::from_static("permissions-policy"),
        HeaderValue::from_static("camera=(), microphone=(), geolocation=(), interest-cohort=()"),
    );
    headers
        .entry(header::CACHE_CONTROL)
        .or_insert(HeaderValue::from_static("no-store"));
}

/// Ends a request whose body does not arrive in time, however steadily it trickles.
pub async fn in_time(State(app): State<App>, request: Request, next: Next) -> Response {
    let deadline = app.body_deadline;
    let started = Instant::now();
    let response = next
        .run(request.map(|body| Body::new(InTime::new(body, deadline))))
        .await;
    // Whoever read the body only says that it could not.
    if response.status() == StatusCode::BAD_REQUEST && started.elapsed() >= deadline {
        return PageError::TooSlow.into_response();
    }
    response
}

/// Refuses a write that another site's page sent. Browsers always name the origin of such a request; programs without a
/// browser send neither header and bring no cookie of somebody else's.
pub async fn own_origin(request: Request, next: Next) -> Response {
    if matches!(
        *request.method(),
        Method::GET | Method::HEAD | Method::OPTIONS
    ) || is_own(&request)
    {
        return next.run(request).await;
    }
    from_elsewhere().into_response()
}

/// What a write from another site's page is told.
pub fn from_elsewhere() -> PageError {
    PageError::NotAllowed("This was sent from another site's page; nothing was written.".into())
}

/// Whether a write comes from our own pages, or from a program that is no browser.
pub fn is_own(request: &Request) -> bool {
    let text = |name: HeaderName| {
        request
            .headers()
            .get(name)
            .map(|v| v.to_str().unwrap_or("?"))
    };
    let host = text(header::HOST).or_else(|| {
        request
            .uri()
            .authority()
            .map(axum::http::uri::Authority::as_str)
    });
    match text(header::ORIGIN) {
        Some(origin) => {
            let from = origin
                .strip_prefix("http://")
                .or_else(|| origin.strip_prefix("https://"));
            from.is_some() && from == host
        }
        None => matches!(
            text(HeaderName::from_static("sec-fetch-site")),
            None | Some("same-origin" | "none")
        ),
    }
}
