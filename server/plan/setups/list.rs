//! The list of setups.

use super::{
    facts::Facts,
    figures::figures_of,
    giveaway::giveaways,
    pages::href,
    setup::Setup,
    words::{sharp, shots_of, with_unit},
};
use crate::{
    error::PageError,
    journal::record::Entry,
    plan::{Plan, history},
    web::{
        page::{Desk, cell, page},
        parts::{Severity, Tell},
        sheet::{Sheet, Tab},
    },
};
use axum::response::Response;

/// One line of the list.
struct Line {
    href: String,
    code: String,
    name: String,
    shots: String,
    scale: String,
    lens: String,
    fps: String,
    stop: String,
    sharp: String,
    key: String,
    haze: String,
    worst: Option<Tell>,
    /// Blanks that two hands wrote.
    undecided: usize,
    days: String,
}

#[derive(askama::Template)]
#[template(path = "setups/list.html")]
struct ListPage {
    sheet: Sheet,
    lines: Vec<Line>,
    action: String,
    code: String,
    name: String,
    fault: String,
    writes: bool,
}

pub(super) async fn list(desk: Desk) -> Result<Response, PageError> {
    show_list(&desk, [String::new(), String::new(), String::new()])
}

pub(super) fn show_list(
    desk: &Desk,
    [code, name, fault]: [String; 3],
) -> Result<Response, PageError> {
    let lines: Vec<_> = desk
        .plan
        .setups_in_order()
        .into_iter()
        .map(|s| line(desk, s))
        .collect();
    let subtitle = format!("{} setups, in the order they were written.", lines.len());
    let sheet = Sheet {
        cells: vec![cell("Setups", lines.len().to_string())],
        ..desk.sheet(Tab::Setups, "Setups", subtitle)
    };
    let refused = !fault.is_empty();
    let action = desk.href("/setups");
    page(
        &ListPage {
            sheet,
            lines,
            action,
            code,
            name,
            fault,
            writes: desk.hand.role.writes(),
        },
        refused,
    )
}

/// Blanks of a setup and of what belongs to it that two hands wrote and nobody has settled.
fn undecided(plan: &Plan, setup: &Entry<Setup>) -> usize {
    if plan.besides.is_empty() {
        return 0;
    }
    let own = history::belonging(plan, setup.id.as_str());
    let besides = plan.besides.iter();
    besides
        .filter(|b| own.iter().any(|id| id == b.entity.as_str()))
        .count()
}

fn line(desk: &Desk, setup: &Entry<Setup>) -> Line {
    let plan = &desk.plan;
    let pass = plan.passes_of_setup(&setup.id).into_iter().next();
    let facts = Facts::of(plan, setup, pass);
    let worked = figures_of(&facts);
    let days = plan
        .days_in_order()
        .into_iter()
        .enumerate()
        .filter(|(_, day)| {
            plan.setups_of_day(&day.id)
                .iter()
                .any(|(_, s)| s.id == setup.id)
        });
    Line {
        href: href(desk, setup, None),
        code: setup.code.to_string(),
        name: setup.name.to_string(),
        shots: shots_of(plan, setup),
        scale: facts.find("scale_denominator").map_or_else(
            || "—".into(),
            |s| format!("1:{}", crate::journal::field::plain(s)),
        ),
        lens: with_unit(facts.find("focal_length_mm"), "mm"),
        fps: with_unit(facts.find("shoot_fps"), "fps"),
        stop: facts.find("f_number").map_or_else(
            || "—".into(),
            |n| format!("f/{}", crate::journal::field::plain(n)),
        ),
        sharp: sharp(&worked),
        key: worked.phrase("key"),
        haze: worked.phrase("haze"),
        worst: giveaways(&facts)
            .into_iter()
            .next()
            .filter(|g| g.severity != Severity::Slight)
            .map(|g| g.tell),
        undecided: undecided(plan, setup),
        days: days
            .map(|(i, _)| (i + 1).to_string())
            .collect::<Vec<_>>()
            .join(", "),
    }
}
