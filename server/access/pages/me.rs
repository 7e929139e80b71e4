//! What a person says about themselves: name, craft, passphrase.

use super::{sheet, sign_in};
use crate::{
    access::{Hand, caller::Caller, passphrase, people, session, tries},
    app::App,
    error::PageError,
    journal::writer::now_ms,
    web::{
        look::Look,
        page::page,
        sheet::{Person, Sheet},
    },
};
use axum::{
    Form,
    extract::{Query, State},
    http::HeaderMap,
    response::{IntoResponse as _, Redirect, Response},
};
use serde::Deserialize;

#[derive(askama::Template)]
#[template(path = "access/me.html")]
struct Me {
    sheet: Sheet,
    role: &'static str,
    typed: Typed,
    faults: Faults,
    crafts: &'static [&'static str],
    shortest: usize,
    has_passphrase: bool,
    /// The old passphrase is asked for before a new one is taken.
    asks_current: bool,
    elsewhere: i64,
    written: bool,
}

/// What the form sends.
#[derive(Default, Deserialize)]
pub struct Typed {
    name: String,
    craft: String,
    #[serde(default)]
    current: String,
    #[serde(default)]
    passphrase: String,
    #[serde(default)]
    again: String,
}

/// What is wrong with each blank; empty for nothing.
#[derive(Default)]
struct Faults {
    name: String,
    craft: String,
    current: String,
    passphrase: String,
    again: String,
}

impl Faults {
    fn is_none(&self) -> bool {
        [
            &self.name,
            &self.craft,
            &self.current,
            &self.passphrase,
            &self.again,
        ]
        .iter()
        .all(|fault| fault.is_empty())
    }
}

/// What the address may say.
#[derive(Default, Deserialize)]
pub struct Asked {
    #[serde(default)]
    written: bool,
}

/// Who asks, from where.
struct Asking {
    app: App,
    hand: Hand,
    look: Look,
    token: String,
}

impl Asking {
    fn new(app: App, hand: Hand, look: Look, headers: &HeaderMap) -> Self {
        let token = session::token(headers).unwrap_or_default().to_owned();
        Self {
            app,
            hand,
            look,
            token,
        }
    }

    fn asks_current(&self) -> bool {
        self.hand.has_passphrase && !self.app.doors.by_link.is_recent(&self.token)
    }

    async fn page(
        &self,
        typed: Typed,
        faults: Faults,
        written: bool,
    ) -> Result<Response, PageError> {
        let mut sheet = sheet(
            "Who you are",
            "What the crew calls you, and how you come in.",
            self.look,
            "/me",
        );
        sheet.person = Some(Person {
            id: self.hand.id.to_string(),
            name: self.hand.name.to_string(),
            role: self.hand.shown().to_owned(),
        });
        let refused = !faults.is_none();
        let me = Me {
            sheet,
            role: self.hand.role.word(),
            typed,
            faults,
            crafts: people::CRAFTS,
            shortest: passphrase::SHORTEST,
            has_passphrase: self.hand.has_passphrase,
            asks_current: self.asks_current(),
            elsewhere: session::elsewhere(&self.app.store, &self.hand.id, &self.token).await?,
            written,
        };
        page(&me, refused)
    }
}

/// The page.
pub async fn show(
    State(app): State<App>,
    hand: Hand,
    look: Look,
    Query(asked): Query<Asked>,
    headers: HeaderMap,
) -> Result<Response, PageError> {
    let typed = Typed {
        name: hand.name.to_string(),
        craft: hand.craft.to_string(),
        ..Typed::default()
    };
    let asking = Asking::new(app, hand, look, &headers);
    asking.page(typed, Faults::default(), asked.written).await
}

/// Writes all of it, or says what is wrong and writes nothing.
pub async fn write(
    State(app): State<App>,
    hand: Hand,
    look: Look,
    headers: HeaderMap,
    caller: Caller,
    Form(mut typed): Form<Typed>,
) -> Result<Response, PageError> {
    let asking = Asking::new(app, hand, look, &headers);
    typed.name = people::tidy(&typed.name);
    typed.craft = people::tidy(&typed.craft);
    let changes_passphrase = !(typed.passphrase.is_empty() && typed.again.is_empty());
    let mut faults = faults(&typed, changes_passphrase);
    if changes_passphrase && asking.asks_current() && faults.is_none() {
        faults.current = current_fault(&asking, &caller, &typed.current).await?;
    }
    if !faults.is_none() {
        return asking.page(without_secrets(typed), faults, false).await;
    }
    let app = &asking.app;
    let passphrase_hash = if changes_passphrase {
        Some(app.doors.bench.hash(typed.passphrase.clone()).await?)
    } else {
        None
    };
    let choice = people::Choice {
        id: asking.hand.id.clone(),
        name: typed.name.clone(),
        craft: typed.craft.clone(),
        passphrase_hash,
        own_session: session::token_hash(&asking.token),
    };
    if !people::choose(&app.store, choice).await? {
        faults.name = "Somebody signs in with that name already; choose another.".into();
        return asking.page(without_secrets(typed), faults, false).await;
    }
    app.sign_out(|hand| hand.id == asking.hand.id);
    people::learn_names(app).await?;
    if changes_passphrase {
        app.doors.by_link.clear(&asking.token);
    }
    Ok(Redirect::to("/me?written=true").into_response())
}

fn faults(typed: &Typed, changes_passphrase: bool) -> Faults {
    let mut faults = Faults {
        name: people::name_fault(&typed.name).unwrap_or_default(),
        ..Faults::default()
    };
    if typed.craft.chars().count() > people::LONGEST_CRAFT {
        faults.craft = format!("A craft has at most {} characters.", people::LONGEST_CRAFT);
    }
    if changes_passphrase {
        faults.passphrase = passphrase::fault(&typed.passphrase).unwrap_or_default();
        if typed.passphrase != typed.again {
            faults.again = "The two are not the same; type the passphrase once more.".into();
        }
    }
    faults
}

/// Guessing here is slowed down as at the door.
async fn current_fault(
    asking: &Asking,
    caller: &Caller,
    current: &str,
) -> Result<String, PageError> {
    let subject = tries::Subject {
        name_key: people::name_key(&asking.hand.name),
        address: caller.address.clone(),
    };
    let store = &asking.app.store;
    if let Err(seconds) = tries::begin(store, subject.clone(), now_ms()).await? {
        return Ok(sign_in::wait_words(seconds));
    }
    let right = sign_in::check(&asking.app, &subject.name_key, current.to_owned()).await?;
    if right.as_ref() != Some(&asking.hand.id) {
        return Ok("This is not your passphrase as it stands. Forgotten: ask the lead for a link, open it, and choose a new one.".into());
    }
    tries::forgive(store, subject).await?;
    Ok(String::new())
}

/// A passphrase is never sent back.
fn without_secrets(typed: Typed) -> Typed {
    Typed {
        name: typed.name,
        craft: typed.craft,
        ..Typed::default()
    }
}

/// Signs the person out on every other browser.
pub async fn end_elsewhere(
    State(app): State<App>,
    hand: Hand,
    headers: HeaderMap,
) -> Result<Response, PageError> {
    let token = session::token(&headers).unwrap_or_default();
    session::end_elsewhere(&app, &hand.id, token).await?;
    Ok(Redirect::to("/me").into_response())
}
