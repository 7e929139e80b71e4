//! Addresses of setups, and what each request does.

pub use super::words::{pass_name, sharp, shots_of};
use super::{
    acts,
    bench::{Asked, show_bench, show_held},
    facts::Facts,
    giveaway::{Lever, giveaways},
    let_pass, list,
    pencil::Pencil,
    setup::{Pass, Setup},
    things,
};
use crate::{
    error::PageError,
    journal::{record::Entry, value::Id},
    plan::Plan,
    web::{
        fields::{self, Typed},
        page::Desk,
        problem::encode,
        routes::Routes,
    },
};
use axum::{
    Form,
    extract::{Path, Query},
    response::{IntoResponse as _, Redirect, Response},
    routing::{get, post},
};

/// Addresses of setups.
pub fn routes() -> Routes {
    Routes::new()
        .route(
            "/plans/{plan}/setups",
            get(list::list).post(acts::add_setup),
        )
        .route("/plans/{plan}/setups/{code}", get(bench).post(write_bench))
        .route("/plans/{plan}/setups/{code}/pencil", post(pencil))
        .route("/plans/{plan}/setups/{code}/passes", post(acts::add_pass))
        .route("/plans/{plan}/setups/{code}/let-pass", post(let_pass::act))
        .route("/plans/{plan}/setups/{code}/things", post(things::act))
        .route("/plans/{plan}/setups/{code}/strike", post(acts::strike))
}

/// Address of a setup's bench, with a pass chosen or not.
pub(super) fn href(desk: &Desk, setup: &Entry<Setup>, pass: Option<&Id>) -> String {
    let query = pass.map_or_else(String::new, |id| format!("?pass={id}"));
    desk.href(&format!("/setups/{}{query}", encode(&setup.code)))
}

/// The setup of an address.
pub(super) fn find_setup<'a>(plan: &'a Plan, code: &str) -> Result<&'a Entry<Setup>, PageError> {
    plan.setup_by_code(code).ok_or_else(|| {
        let struck = plan.setups.with_removed().find(|s| &*s.code == code);
        struck.map_or_else(
            || PageError::no_such("setup"),
            |s| {
                PageError::NotFound(format!(
                    "{} was struck out. Undo on the list of setups puts it back.",
                    s.code
                ))
            },
        )
    })
}

/// The pass that was asked for, else the setup's first.
pub(super) fn find_pass<'a>(
    plan: &'a Plan,
    setup: &Entry<Setup>,
    chosen: Option<&str>,
) -> Option<&'a Entry<Pass>> {
    let passes = plan.passes_of_setup(&setup.id);
    let wanted = chosen.and_then(|id| passes.iter().find(|p| p.id.as_str() == id).copied());
    wanted.or_else(|| passes.into_iter().next())
}

async fn bench(
    desk: Desk,
    Path((_, code)): Path<(String, String)>,
    Query(asked): Query<Asked>,
) -> Result<Response, PageError> {
    show_bench(&desk, &code, &asked, &Typed::none(), &Pencil::none()).await
}

async fn write_bench(
    desk: Desk,
    Path((_, code)): Path<(String, String)>,
    Query(asked): Query<Asked>,
    Form(form): Form<Vec<(String, String)>>,
) -> Result<Response, PageError> {
    let setup = find_setup(&desk.plan, &code)?.id.clone();
    let written = fields::write(desk, &form).await?;
    let desk = written.desk;
    // The code itself may have been the blank that changed.
    let code = desk
        .plan
        .setups
        .get(&setup)
        .map_or(code, |s| s.code.to_string());
    // What is in pencil stays in pencil while something else is written.
    let (pencil, _) = Pencil::read(&desk.plan, &carried(&form));
    if desk.part || !written.typed.is_empty() {
        return show_bench(&desk, &code, &asked, &written.typed, &pencil).await;
    }
    Ok(Redirect::to(&asked.href(&desk, &code)).into_response())
}

/// The values in pencil that a form carries along.
fn carried(form: &[(String, String)]) -> Vec<(String, String)> {
    form.iter()
        .filter(|(name, _)| name.starts_with(super::pencil::CARRIED))
        .cloned()
        .collect()
}

/// Tries values, or inks in what was tried.
async fn pencil(
    desk: Desk,
    Path((_, code)): Path<(String, String)>,
    Query(asked): Query<Asked>,
    Form(form): Form<Vec<(String, String)>>,
) -> Result<Response, PageError> {
    find_setup(&desk.plan, &code)?;
    let cure = form.iter().find(|(name, _)| name == "cure");
    let form = match cure {
        Some((_, cure)) => [form.clone(), cured(&desk, &code, &asked, &form, cure)].concat(),
        None => form,
    };
    let (pencil, typed) = Pencil::read(&desk.plan, &form);
    let held = form.iter().find(|(name, _)| name == "held");
    if let (Some((_, drawing)), true) = (held, typed.is_empty()) {
        return show_held(&desk, &code, &asked, &pencil, drawing == "narrow");
    }
    if !form.iter().any(|(name, _)| name == "ink") {
        return show_bench(&desk, &code, &asked, &typed, &pencil).await;
    }
    let base = form.iter().filter(|(name, _)| name == "base").cloned();
    let batch: Vec<_> = base.chain(pencil.values.iter().cloned()).collect();
    let written = fields::write(desk, &batch).await?;
    if written.desk.part || !written.typed.is_empty() {
        return show_bench(
            &written.desk,
            &code,
            &asked,
            &written.typed,
            &Pencil::none(),
        )
        .await;
    }
    Ok(Redirect::to(&asked.href(&written.desk, &code)).into_response())
}

/// The blanks that a cure pencils in: the findings are worked out again, on what is in pencil already, and the one pressed
/// says which.
fn cured(desk: &Desk, code: &str, asked: &Asked, form: &[(String, String)], cure: &str) -> Lever {
    let (pencil, _) = Pencil::read(&desk.plan, form);
    let plan = pencil.applied(&desk.plan);
    let Some(setup) = plan.setup_by_code(code) else {
        return Lever::new();
    };
    let facts = Facts::of(&plan, setup, find_pass(&plan, setup, asked.pass.as_deref()));
    let pressed = cure.rsplit_once(':').and_then(|(rule, at)| {
        let mut found = giveaways(&facts).into_iter();
        let one = found.find(|g| g.rule == rule)?;
        one.levers.into_iter().nth(at.parse().ok()?)
    });
    pressed.unwrap_or_default()
}
