//! What a plan's page is made from, and the page of a failed request.

use super::{
    look::Look,
    sheet::{BOOK_LIST, Cell, Change, Follows, Moment, Person, Sheet, Tab, TabLink},
    units,
};
use crate::{
    access::{Hand, Role},
    app::App,
    error::PageError,
    journal::{change::Op, value::Id, writer::Ask},
    plan::{Plan, history::moment},
};
use axum::{
    extract::{FromRequestParts, RawPathParams},
    http::{Method, StatusCode, request::Parts},
    response::{Html, IntoResponse as _, Response},
};
use std::sync::Arc;

/// The sheets that have a page, in the order of work.
pub const TABS: &[TabLink] = &[
    TabLink {
        tab: Tab::Cut,
        path: "/cut",
    },
    TabLink {
        tab: Tab::Setups,
        path: "/setups",
    },
    TabLink {
        tab: Tab::Haze,
        path: "/haze",
    },
    TabLink {
        tab: Tab::Day,
        path: "/days",
    },
    TabLink {
        tab: Tab::Stores,
        path: "/stores",
    },
    TabLink {
        tab: Tab::Paper,
        path: "/paper",
    },
    TabLink {
        tab: Tab::Sums,
        path: "",
    },
];

/// A plan with whoever opened it: what every page of a plan starts from.
#[derive(Clone)]
pub struct Desk {
    /// The program.
    pub app: App,
    /// The plan, as it stood when the request came.
    pub plan: Arc<Plan>,
    /// Who asks.
    pub hand: Hand,
    /// Lights or blackout.
    pub look: Look,
    /// Path and query of the request.
    pub path: String,
    /// Whether a script asks for parts of the page, to put in place.
    pub part: bool,
}

impl FromRequestParts<App> for Desk {
    type Rejection = PageError;

    async fn from_request_parts(parts: &mut Parts, app: &App) -> Result<Self, PageError> {
        let hand = Hand::from_request_parts(parts, app).await?;
        let params = RawPathParams::from_request_parts(parts, app)
            .await
            .map_err(|_| PageError::no_such("plan"))?;
        let named = params.iter().find(|(name, _)| *name == "plan");
        let (_, named) = named.ok_or_else(|| PageError::no_such("plan"))?;
        let plan = moment::find(app, named).await?;
        if !matches!(parts.method, Method::GET | Method::HEAD) {
            moment::may_write(&plan)?;
        }
        let path = parts
            .uri
            .path_and_query()
            .map_or("/", |p| p.as_str())
            .to_owned();
        let part = parts.headers.contains_key("x-stillair-part");
        let mut hand = hand;
        if plan.moment.is_some() {
            // Whoever it is, here they read. The sheet still calls them what they are.
            hand.craft = hand.shown().into();
            hand.role = Role::Guest;
        }
        Ok(Self {
            app: app.clone(),
            plan,
            hand,
            look: Look::from_headers(&parts.headers),
            path,
            part,
        })
    }
}

impl Desk {
    /// Address of something in this plan.
    pub fn href(&self, rest: &str) -> String {
        format!("{}{rest}", self.plan.path())
    }

    /// The frame of a page.
    pub fn sheet(&self, tab: Tab, name: impl Into<String>, subtitle: impl Into<String>) -> Sheet {
        let newest = self.plan.newest();
        Sheet {
            production: self
                .plan
                .production()
                .map(|p| p.title.to_string())
                .unwrap_or_default(),
            name: name.into(),
            subtitle: subtitle.into(),
            cells: Vec::new(),
            plan_href: Some(self.href("")),
            tabs: TABS,
            current: Some(tab),
            change: Some(Change {
                seq: self.plan.number(),
                who: self.app.name_of(&newest.actor, &self.hand),
                at: units::clock(newest.at_ms),
            }),
            person: Some(Person {
                id: self.hand.id.to_string(),
                name: self.hand.name.to_string(),
                role: self.hand.shown().to_owned(),
            }),
            look: self.look,
            // What once stood does not move.
            follows: self.plan.moment.is_none().then(|| Follows {
                plan: self.href(""),
                stream: format!("/api/plans/{}/stream", self.plan.id),
                here: self.href("/here"),
                epoch: self.plan.epoch.to_string(),
            }),
            units: "mm · lx · fps".into(),
            units_switch: None,
            printed: units::day_and_clock(crate::journal::writer::now_ms()),
            notice: crate::plan::undo::told(self)
                .or_else(|| crate::plan::handover::pages::told(self))
                .unwrap_or_default(),
            writes: self.hand.role.writes() && self.plan.moment.is_none(),
            moment: self.plan.moment.map(|seq| Moment {
                seq,
                at: units::day_and_clock(newest.at_ms),
                who: self.app.name_of(&newest.actor, &self.hand),
                now: self.now_of(&self.path),
            }),
            undecided: crate::plan::two_hands::short(&self.plan),
            remarks: Some(crate::plan::remarks::short(&self.plan, "")),
            in_pencil: 0,
            path: self.path.clone(),
        }
    }

    /// The same sheet in the plan as it stands.
    fn now_of(&self, path: &str) -> String {
        let rest = path.strip_prefix(&self.plan.path()).unwrap_or("/cut");
        format!("/plans/{}{rest}", self.plan.id)
    }

    /// Writes all of it or nothing, as one change for whoever takes it back. The number of the last change.
    ///
    /// # Errors
    /// What was refused, in words; the store's.
    pub async fn write(&self, ops: Vec<Op>) -> Result<i64, PageError> {
        let batch = (ops.len() > 1).then(|| Arc::from(Id::new().as_str()));
        let ask = Ask {
            plan: self.plan.id.clone(),
            ops,
            atomic: true,
            batch,
            actor: self.hand.id.as_str().into(),
            client: self.hand.client.clone(),
        };
        let mut last = self.plan.number();
        for reply in self.app.store.write(ask).await? {
            last = reply.result.map_err(crate::api::refused_error)?.0;
        }
        Ok(last)
    }

    /// The same desk after a write.
    ///
    /// # Errors
    /// The store's.
    pub async fn again(mut self) -> Result<Self, PageError> {
        self.plan = self
            .app
            .store
            .plan(&self.plan.id)
            .await?
            .ok_or_else(|| PageError::no_such("plan"))?;
        Ok(self)
    }
}

/// A title-block cell.
pub fn cell(label: &str, value: impl Into<String>) -> Cell {
    Cell {
        label: label.into(),
        value: value.into(),
    }
}

/// Renders a page; 422 when something typed was refused.
///
/// # Errors
/// A template that fails, which is ours.
pub fn page(template: &impl askama::Template, refused: bool) -> Result<Response, PageError> {
    let html = template.render()?;
    let status = if refused {
        StatusCode::UNPROCESSABLE_ENTITY
    } else {
        StatusCode::OK
    };
    Ok((status, Html(html)).into_response())
}

/// The page of a failed request.
#[derive(askama::Template)]
#[template(path = "error.html")]
pub struct ErrorPage {
    sheet: Sheet,
    heading: &'static str,
    sentence: String,
    onward: Vec<(String, &'static str)>,
}

impl ErrorPage {
    /// For an error met on a path.
    pub fn new(error: &PageError, look: Look, path: &str) -> Self {
        let heading = match error.status() {
            StatusCode::NOT_FOUND => "Nothing here",
            StatusCode::UNAUTHORIZED | StatusCode::FORBIDDEN => "Not for this hand",
            StatusCode::TOO_MANY_REQUESTS => "Wait a little",
            status if status.is_server_error() => "Something went wrong",
            _ => "Not written down",
        };
        let mut onward = vec![(BOOK_LIST.to_owned(), "The book list")];
        let plan = path
            .strip_prefix("/plans/")
            .and_then(|rest| rest.split(['/', '?']).next());
        if let Some(plan) = plan.filter(|p| Id::parse(p).is_some()) {
            onward.insert(0, (format!("/plans/{plan}/cut"), "The cut of this plan"));
        }
        if matches!(error, PageError::SignIn) {
            onward.insert(0, ("/sign-in".to_owned(), "Sign in"));
        }
        let sheet = Sheet {
            name: heading.into(),
            look,
            tabs: TABS,
            path: String::new(),
            ..Sheet::default()
        };
        Self {
            sheet,
            heading,
            sentence: error.to_string(),
            onward,
        }
    }
}
