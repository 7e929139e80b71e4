//! The book list: the studio's productions, and a new one.

use crate::{
    access::Hand,
    app::App,
    error::PageError,
    journal::{change::Op, field::parse_rate, value::Id, writer::Ask},
    web::{
        look::Look,
        page::{TABS, page},
        sheet::{Person, Sheet},
        units,
    },
};
use axum::{
    Form,
    extract::State,
    response::{IntoResponse as _, Redirect, Response},
};
use serde::Deserialize;

/// One line of the list.
struct Line {
    href: String,
    /// Where its shot list is brought in, while it has no shot.
    import: Option<String>,
    title: String,
    changed: String,
    number: i64,
}

#[derive(askama::Template)]
#[template(path = "book.html")]
struct Book {
    sheet: Sheet,
    lines: Vec<Line>,
    title: String,
    base_fps: String,
    fault: String,
    writes: bool,
    leads: bool,
    /// Came by a link and has no way in but that.
    has_passphrase: bool,
}

async fn book(
    app: &App,
    hand: &Hand,
    look: Look,
    typed: (String, String, String),
) -> Result<Response, PageError> {
    let plans = app.store.plans().await?.into_iter();
    let plans = plans.filter(|p| hand.may_see(p.id.as_str()).is_ok());
    let lines = plans.map(|p| Line {
        href: format!("/plans/{}/cut", p.id),
        import: (!p.has_shots && hand.role.writes()).then(|| format!("/plans/{}/import", p.id)),
        title: p.title,
        changed: units::day_and_clock(p.at_ms),
        number: p.seq,
    });
    let sheet = Sheet {
        name: "Book list".into(),
        subtitle: "Every production of this studio.".into(),
        tabs: TABS,
        person: Some(Person {
            id: hand.id.to_string(),
            name: hand.name.to_string(),
            role: hand.shown().to_owned(),
        }),
        look,
        path: "/".into(),
        ..Sheet::default()
    };
    let (title, base_fps, fault) = typed;
    let refused = !fault.is_empty();
    page(
        &Book {
            sheet,
            lines: lines.collect(),
            title,
            base_fps,
            fault,
            writes: hand.role.writes(),
            leads: hand.role.leads(),
            has_passphrase: hand.has_passphrase,
        },
        refused,
    )
}

/// The list.
///
/// # Errors
/// The store's.
pub async fn show(State(app): State<App>, hand: Hand, look: Look) -> Result<Response, PageError> {
    book(
        &app,
        &hand,
        look,
        (String::new(), "25".into(), String::new()),
    )
    .await
}

/// What the form of a new production sends.
#[derive(Deserialize)]
pub struct New {
    title: String,
    base_fps: String,
}

/// Makes a production and opens its cut.
///
/// # Errors
/// The store's.
pub async fn make(
    State(app): State<App>,
    hand: Hand,
    look: Look,
    Form(new): Form<New>,
) -> Result<Response, PageError> {
    hand.may_write()?;
    match add(&app, &hand, &new.title, &new.base_fps).await {
        Ok(id) => Ok(Redirect::to(&format!("/plans/{id}/cut")).into_response()),
        Err(PageError::Invalid(sentence, _)) => {
            book(&app, &hand, look, (new.title, new.base_fps, sentence)).await
        }
        Err(error) => Err(error),
    }
}

/// Makes a production.
///
/// # Errors
/// A title or rate that is refused; the store's.
pub async fn add(app: &App, hand: &Hand, title: &str, base_fps: &str) -> Result<Id, PageError> {
    let id = Id::new();
    let rate = parse_rate(base_fps).map_or_else(
        || base_fps.to_owned(),
        |(n, d)| crate::journal::field::write_rate(n, d),
    );
    let op = Op::insert(
        "plan",
        id.clone(),
        serde_json::json!({"title": title, "base_fps": rate}),
    );
    let ask = Ask {
        plan: id.clone(),
        ops: vec![op],
        atomic: true,
        batch: None,
        actor: hand.id.as_str().into(),
        client: hand.client.clone(),
    };
    let reply = app.store.write(ask).await?.remove(0);
    match reply.result {
        Ok(_) => Ok(id),
        Err(refused) => Err(crate::api::refused_error(refused)),
    }
}
