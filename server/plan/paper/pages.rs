//! What can be printed, and the two sheets of paper.

use super::{call, setup};
use crate::{
    error::PageError,
    plan::days::pages::{date, find_day},
    web::{
        page::{Desk, page},
        problem::encode,
        routes::Routes,
        sheet::{Sheet, Tab},
    },
};
use axum::{
    extract::{Path, Query},
    response::Response,
    routing::get,
};

/// Addresses of paper.
pub fn routes() -> Routes {
    Routes::new()
        .route("/plans/{plan}/paper", get(index))
        .route("/plans/{plan}/paper/days/{day}", get(call_sheet))
        .route("/plans/{plan}/paper/setups/{code}", get(setup_sheet))
}

/// Size of the paper, kept in the address.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, serde::Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum Size {
    /// 210 × 297 mm.
    #[default]
    A4,
    /// 8½ × 11 in.
    Letter,
}

impl Size {
    /// Class of the sheet.
    pub fn class(self) -> &'static str {
        match self {
            Self::A4 => "paper",
            Self::Letter => "paper letter",
        }
    }

    fn query(self) -> &'static str {
        match self {
            Self::A4 => "",
            Self::Letter => "?size=letter",
        }
    }

    /// The other size: its name and the address of the same sheet on it.
    pub fn other(self, path: &str) -> (&'static str, String) {
        let path = path.split('?').next().unwrap_or(path);
        match self {
            Self::A4 => ("Letter", format!("{path}?size=letter")),
            Self::Letter => ("A4", path.to_owned()),
        }
    }
}

/// What the address asks for.
#[derive(Debug, Default, serde::Deserialize)]
pub struct Asked {
    #[serde(default)]
    size: Size,
}

/// Something to print.
struct Item {
    href: String,
    name: String,
    note: String,
}

#[derive(askama::Template)]
#[template(path = "paper/index.html")]
struct Index {
    sheet: Sheet,
    size: &'static str,
    other: (&'static str, String),
    days: Vec<Item>,
    setups: Vec<Item>,
}

async fn index(desk: Desk, Query(asked): Query<Asked>) -> Result<Response, PageError> {
    let plan = &desk.plan;
    let query = asked.size.query();
    let days = plan
        .days_in_order()
        .into_iter()
        .enumerate()
        .map(|(i, day)| Item {
            href: desk.href(&format!("/paper/days/{}{query}", day.id)),
            name: format!(
                "Stage day {}{}{}",
                i + 1,
                if day.name.is_empty() { "" } else { ": " },
                day.name
            ),
            note: date(day),
        });
    let setups = plan.setups_in_order().into_iter().map(|setup| Item {
        href: desk.href(&format!("/paper/setups/{}{query}", encode(&setup.code))),
        name: format!("{} {}", setup.code, setup.name),
        note: crate::plan::setups::pages::shots_of(plan, setup),
    });
    let sheet = desk.sheet(
        Tab::Paper,
        "Paper",
        "Call sheets and setup sheets, one page each, printed by the browser.",
    );
    let size = match asked.size {
        Size::A4 => "A4",
        Size::Letter => "Letter",
    };
    page(
        &Index {
            sheet,
            size,
            other: asked.size.other(&desk.path),
            days: days.collect(),
            setups: setups.collect(),
        },
        false,
    )
}

async fn call_sheet(
    desk: Desk,
    Path((_, day)): Path<(String, String)>,
    Query(asked): Query<Asked>,
) -> Result<Response, PageError> {
    let id = find_day(&desk.plan, &day)?.id.clone();
    page(&call::sheet(&desk, &id, asked.size)?, false)
}

async fn setup_sheet(
    desk: Desk,
    Path((_, code)): Path<(String, String)>,
    Query(asked): Query<Asked>,
) -> Result<Response, PageError> {
    let setup = desk
        .plan
        .setup_by_code(&code)
        .ok_or_else(|| PageError::no_such("setup"))?;
    page(&setup::sheet(&desk, setup, asked.size), false)
}
