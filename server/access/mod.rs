//! Who may come in: people, sign-in, join links, sessions. None of it is journalled.

mod aside;
pub mod caller;
pub mod gate;
pub mod links;
mod pages;
pub mod passphrase;
pub mod people;
pub mod session;
pub mod tries;

use crate::{app::App, error::PageError, journal::value::Id};
use axum::{extract::FromRequestParts, http::request::Parts};
use std::{
    collections::HashMap,
    sync::{Arc, RwLock},
};

/// The addresses of this part.
pub fn routes() -> crate::web::routes::Routes {
    pages::routes()
}

/// What a person may do.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Role {
    /// Everything, invites, restore.
    Lead,
    /// Write.
    Crew,
    /// Read, let pass, sign.
    Supervisor,
    /// Read and print.
    Guest,
}

impl Role {
    /// As stored and shown.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Lead => "lead",
            Self::Crew => "crew",
            Self::Supervisor => "supervisor",
            Self::Guest => "guest",
        }
    }
    /// What that means, in a few words.
    pub const fn may(self) -> &'static str {
        match self {
            Self::Lead => "everything, and who comes in",
            Self::Crew => "read and write",
            Self::Supervisor => "read, let findings pass, sign",
            Self::Guest => "read and print one plan",
        }
    }
    /// From that word.
    pub fn from_word(word: &str) -> Option<Self> {
        [Self::Lead, Self::Crew, Self::Supervisor, Self::Guest]
            .into_iter()
            .find(|r| r.word() == word)
    }
    /// Whether it may write in a plan.
    pub const fn writes(self) -> bool {
        matches!(self, Self::Lead | Self::Crew)
    }
    /// Whether it says who may come in.
    pub const fn leads(self) -> bool {
        matches!(self, Self::Lead)
    }
    /// Whether it may let a finding pass.
    pub const fn lets_pass(self) -> bool {
        matches!(self, Self::Lead | Self::Crew | Self::Supervisor)
    }
}

/// Whoever sent a request: the signed-in person and the browser they use.
#[derive(Clone, Debug)]
pub struct Hand {
    /// Person id.
    pub id: Id,
    /// Name to sign in with.
    pub name: Arc<str>,
    /// What they may do.
    pub role: Role,
    /// Camera, light/haze, rig/model, art … or empty.
    pub craft: Arc<str>,
    /// The one plan that a guest by a link reads; none for everybody else.
    pub plan: Option<Id>,
    /// Whether a passphrase was chosen; without one only a link lets them in again.
    pub has_passphrase: bool,
    /// Names this browser in the journal.
    pub client: Arc<str>,
}

impl Hand {
    /// What the sheet calls this hand: its craft, else its role.
    pub fn shown(&self) -> &str {
        if self.craft.is_empty() {
            self.role.word()
        } else {
            &self.craft
        }
    }
    /// Lets those through who may let a finding pass.
    ///
    /// # Errors
    /// Everybody else is told so.
    pub fn may_let_pass(&self) -> Result<(), PageError> {
        if self.role.lets_pass() {
            Ok(())
        } else {
            Err(PageError::NotAllowed(format!(
                "A {} reads and prints; a supervisor or the crew lets a finding pass.",
                self.role.word()
            )))
        }
    }

    /// Refuses whoever does not lead.
    ///
    /// # Errors
    /// [`PageError::NotAllowed`].
    pub fn may_lead(&self) -> Result<(), PageError> {
        if self.role.leads() {
            Ok(())
        } else {
            Err(PageError::NotAllowed(
                "A lead says who may come in; ask yours.".into(),
            ))
        }
    }

    /// Refuses a plan that a guest's link does not open. It is not said to be there.
    ///
    /// # Errors
    /// [`PageError::NotFound`].
    pub fn may_see(&self, plan: &str) -> Result<(), PageError> {
        match &self.plan {
            Some(own) if own.as_str() != plan => Err(PageError::no_such("plan")),
            _ => Ok(()),
        }
    }

    /// Refuses whoever may not write.
    ///
    /// # Errors
    /// [`PageError::NotAllowed`].
    pub fn may_write(&self) -> Result<(), PageError> {
        if self.role.writes() {
            Ok(())
        } else {
            Err(PageError::NotAllowed(format!(
                "A {} reads and prints; ask the lead to let you write.",
                self.role.word()
            )))
        }
    }
}

/// What the doors keep in memory.
#[derive(Debug, Default)]
pub struct Doors {
    /// Signed-in browsers.
    known: session::Known,
    /// Where passphrases are worked out.
    bench: passphrase::Bench,
    /// Browsers that came by a link lately: they may choose a passphrase without knowing the old one.
    by_link: pages::ByLink,
    /// What journal actors are called.
    names: RwLock<HashMap<String, Arc<str>>>,
}

impl App {
    /// Whoever is gone or changed is asked for in the store again, also by the streams that are open. Called after the store
    /// has been written.
    pub(crate) fn sign_out(&self, which: impl Fn(&Hand) -> bool) {
        self.doors.known.forget(which);
        self.live.look_again();
    }
}

impl FromRequestParts<App> for Hand {
    type Rejection = PageError;

    async fn from_request_parts(parts: &mut Parts, app: &App) -> Result<Self, PageError> {
        // The gate has looked already.
        if let Some(hand) = parts.extensions.get::<Self>() {
            return Ok(hand.clone());
        }
        let token = session::token(&parts.headers).ok_or(PageError::SignIn)?;
        session::find(app, token).await?.ok_or(PageError::SignIn)
    }
}
