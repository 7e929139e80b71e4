//! Who may open which address. Every request passes here after its address is known and before its handler runs, so a new
//! address is never open by having been forgotten.

use super::Hand;
use crate::{app::App, error::PageError, plan::history::moment};
use axum::{
    extract::{FromRequestParts as _, MatchedPath, RawPathParams, Request, State},
    http::Method,
    middleware::Next,
    response::{IntoResponse as _, Response},
};

/// Who may come through.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Who {
    /// Everybody, signed in or not.
    Anyone,
    /// Every signed-in person.
    SignedIn,
    /// Whoever writes in plans: lead and crew.
    Writers,
    /// Whoever says who may come in.
    Leads,
    /// Whoever may let a finding pass: those who write, and supervisors.
    LetPass,
}

/// Addresses that are not as [`who`] says by itself; a `*` at the end takes in whatever follows.
const ELSE: &[(&str, Who)] = &[
    ("/health", Who::Anyone),
    ("/api/calc", Who::Anyone),
    ("/api/calc/*", Who::Anyone),
    ("/api/openapi.json", Who::Anyone),
    ("/problems/*", Who::Anyone),
    ("/static/*", Who::Anyone),
    ("/keeper.js", Who::Anyone),
    ("/look", Who::Anyone),
    ("/notices", Who::Anyone),
    ("/sums", Who::Anyone),
    ("/sums/*", Who::Anyone),
    ("/join/{token}", Who::Anyone),
    ("/sign-in", Who::Anyone),
    ("/sign-out", Who::Anyone),
    ("/crew", Who::Leads),
    ("/crew/*", Who::Leads),
    ("/me", Who::SignedIn),
    ("/me/elsewhere", Who::SignedIn),
    ("/plans/{plan}/here", Who::SignedIn),
    ("/plans/{plan}/remarks", Who::LetPass),
    ("/plans/{plan}/remarks/{remark}", Who::LetPass),
    ("/plans/{plan}/setups/{code}/let-pass", Who::LetPass),
];

/// Who may send this to an address, as it is written in the routes: reading is for every signed-in person, anything else
/// for those who write, unless [`ELSE`] says otherwise.
pub fn who(method: &Method, path: &str) -> Who {
    let said = ELSE.iter().find(|(of, _)| match of.strip_suffix('*') {
        Some(start) => path.starts_with(start),
        None => path == *of,
    });
    let is_reading = matches!(*method, Method::GET | Method::HEAD);
    match said {
        // What is read is for everybody inside, whoever may say something to it.
        Some((_, Who::LetPass)) | None if is_reading => Who::SignedIn,
        Some((_, who)) => *who,
        None => Who::Writers,
    }
}

/// Lets a request through, or answers why not.
pub async fn keep(State(app): State<App>, request: Request, next: Next) -> Response {
    // An address that does not exist has nothing to keep; the fallback says so.
    let Some(path) = request.extensions().get::<MatchedPath>() else {
        return next.run(request).await;
    };
    let who = who(request.method(), path.as_str());
    if who == Who::Anyone {
        return next.run(request).await;
    }
    let (mut parts, body) = request.into_parts();
    match admit(&app, &mut parts, who).await {
        Ok(hand) => {
            parts.extensions.insert(hand);
            next.run(Request::from_parts(parts, body)).await
        }
        Err(error) => error.into_response(),
    }
}

async fn admit(
    app: &App,
    parts: &mut axum::http::request::Parts,
    who: Who,
) -> Result<Hand, PageError> {
    let hand = Hand::from_request_parts(parts, app).await?;
    // A guest's link opens one plan, wherever a plan stands in an address.
    if hand.plan.is_some()
        && let Ok(places) = RawPathParams::from_request_parts(parts, app).await
    {
        for (_, plan) in places.iter().filter(|(name, _)| *name == "plan") {
            hand.may_see(moment::id_of(plan))?;
        }
    }
    match who {
        Who::Leads => hand.may_lead()?,
        Who::Writers => hand.may_write()?,
        Who::LetPass => hand.may_let_pass()?,
        Who::Anyone | Who::SignedIn => {}
    }
    Ok(hand)
}
