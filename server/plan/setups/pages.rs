//! The bench of one setup.

pub use super::words::{pass_name, sharp, shots_of};
use super::{
    acts, cautions,
    facts::Facts,
    figures::{Figures, figures, figures_of},
    giveaway::giveaways,
    ledgers::{Ledger, ledgers},
    list,
    scene::scene,
    setup::{ELEMENT, MOVES, Pass, Setup},
    words::{in_words, word},
};
use crate::{
    error::PageError,
    journal::{record::Entry, value::Id},
    plan::{Plan, cut::shot::Shot, two_hands},
    web::{
        fields::{self, Typed},
        page::{Desk, cell, page},
        parts::{Caution, Tell, TwoHands},
        problem::encode,
        routes::Routes,
        sheet::{Sheet, Tab},
        svg::svg,
    },
};
use axum::{
    Form,
    extract::{Path, Query},
    response::{IntoResponse as _, Redirect, Response},
    routing::{get, post},
};
use stillair_calc::drawing::setup::{Form as DrawingForm, plan_and_elevation};

/// Addresses of setups.
pub fn routes() -> Routes {
    Routes::new()
        .route(
            "/plans/{plan}/setups",
            get(list::list).post(acts::add_setup),
        )
        .route("/plans/{plan}/setups/{code}", get(bench).post(write_bench))
        .route("/plans/{plan}/setups/{code}/passes", post(acts::add_pass))
        .route("/plans/{plan}/setups/{code}/strike", post(acts::strike))
}

/// Address of a setup's bench, with a pass chosen or not.
pub(super) fn href(desk: &Desk, setup: &Entry<Setup>, pass: Option<&Id>) -> String {
    let query = pass.map_or_else(String::new, |id| format!("?pass={id}"));
    desk.href(&format!("/setups/{}{query}", encode(&setup.code)))
}

/// A pass in the row at the head of the bench.
struct PassTab {
    href: String,
    name: String,
    set: String,
    moves: String,
    here: bool,
}

/// A big figure.
struct Big {
    name: &'static str,
    value: String,
    unit: &'static str,
}

#[derive(askama::Template)]
#[template(path = "setups/bench.html")]
struct BenchPage {
    sheet: Sheet,
    action: String,
    passes: Vec<PassTab>,
    big: Vec<Big>,
    wide: String,
    narrow: String,
    legend_pupil: String,
    tells: Vec<Tell>,
    left: Vec<Ledger>,
    right: Vec<Ledger>,
    further: Vec<Ledger>,
    cautions: Vec<Caution>,
    paper: String,
    pass_form: String,
    pass_strike: String,
    shots: Vec<(String, String)>,
    elements: &'static [(&'static str, &'static str)],
    number: i64,
    strike: String,
    writes: bool,
    two_hands: Vec<TwoHands>,
}

/// Query of the bench.
#[derive(serde::Deserialize)]
struct Chosen {
    pass: Option<String>,
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

fn find_pass<'a>(
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
    Query(chosen): Query<Chosen>,
) -> Result<Response, PageError> {
    show_bench(&desk, &code, chosen.pass.as_deref(), &Typed::none()).await
}

async fn write_bench(
    desk: Desk,
    Path((_, code)): Path<(String, String)>,
    Query(chosen): Query<Chosen>,
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
    if desk.part || !written.typed.is_empty() {
        return show_bench(&desk, &code, chosen.pass.as_deref(), &written.typed).await;
    }
    let query = chosen
        .pass
        .map_or_else(String::new, |p| format!("?pass={}", encode(&p)));
    Ok(Redirect::to(&desk.href(&format!("/setups/{}{query}", encode(&code)))).into_response())
}

async fn show_bench(
    desk: &Desk,
    code: &str,
    chosen: Option<&str>,
    typed: &Typed,
) -> Result<Response, PageError> {
    let plan = &*desk.plan;
    let setup = find_setup(plan, code)?;
    let pass = find_pass(plan, setup, chosen);
    let two_hands = disputes(desk, setup, pass).await?;
    let facts = Facts::of(plan, setup, pass);
    let worked = figures_of(&facts);
    let tells: Vec<Tell> = giveaways(&facts).into_iter().map(|g| g.tell).collect();
    let rings = tells.iter().filter_map(|t| t.ring.parse().ok()).collect();
    let scene = scene(&facts, rings);
    let (left, right, further) = ledgers(&facts, &worked, typed);
    let shots = shots_of(plan, setup);
    let action = href(desk, setup, pass.map(|p| &p.id));
    let base = desk.href(&format!("/setups/{}", encode(&setup.code)));
    let page_of = BenchPage {
        sheet: bench_sheet(desk, setup, &shots),
        passes: pass_tabs(desk, setup, pass),
        big: big(&facts, &worked),
        wide: svg(&plan_and_elevation(&scene, DrawingForm::Wide), "wide"),
        narrow: svg(&plan_and_elevation(&scene, DrawingForm::Narrow), "narrow"),
        legend_pupil: worked.phrase("pupil"),
        tells,
        left,
        right,
        further,
        cautions: cautions::of_setup(&facts),
        paper: desk.href(&format!("/paper/setups/{}", encode(&setup.code))),
        pass_form: format!("{base}/passes"),
        pass_strike: pass.map(|p| p.id.to_string()).unwrap_or_default(),
        shots: plan
            .shots_in_order()
            .into_iter()
            .map(|s| (s.id.to_string(), format!("{} {}", s.code, s.name)))
            .collect(),
        elements: ELEMENT,
        number: plan.number(),
        strike: format!("{base}/strike"),
        writes: desk.hand.role.writes(),
        two_hands,
        action,
    };
    page(&page_of, !typed.is_empty())
}

/// Blanks of this bench that two hands wrote, each with what its values come to.
async fn disputes(
    desk: &Desk,
    setup: &Entry<Setup>,
    pass: Option<&Entry<Pass>>,
) -> Result<Vec<TwoHands>, PageError> {
    let shot = pass.and_then(|p| p.shot.clone());
    let production = desk.plan.production().map(|p| p.id.clone());
    let own = [
        Some(setup.id.clone()),
        pass.map(|p| p.id.clone()),
        shot,
        production,
    ];
    let things: Vec<Id> = own.into_iter().flatten().collect();
    let (setup, pass) = (setup.id.clone(), pass.map(|p| p.id.clone()));
    two_hands::notes(desk, &things, |plan| {
        let Some(setup) = plan.setups.get(&setup) else {
            return String::new();
        };
        let worked = figures(
            plan,
            setup,
            pass.as_ref().and_then(|id| plan.passes.get(id)),
        );
        format!(
            "sharp {}, softens to {}, key {}, run {}.",
            sharp(&worked),
            worked.phrase("softens"),
            worked.phrase("key"),
            worked.phrase("run")
        )
    })
    .await
}

fn bench_sheet(desk: &Desk, setup: &Entry<Setup>, shots: &str) -> Sheet {
    let plan = &desk.plan;
    let named = |shot: &Entry<Shot>| match &*shot.name {
        "" => shot.code.to_string(),
        name => format!("{} “{name}”", shot.code),
    };
    let serves: Vec<_> = plan
        .shots_of_setup(&setup.id)
        .into_iter()
        .map(named)
        .collect();
    let serves = if serves.is_empty() {
        "Serves no shot yet.".to_owned()
    } else {
        format!("Serves {}.", in_words(&serves))
    };
    let place = if setup.place.is_empty() {
        String::new()
    } else {
        format!(" {}.", setup.place.trim_end_matches('.'))
    };
    let scale = setup.scale_denominator.map_or_else(String::new, |s| {
        format!(" 1:{}.", crate::journal::field::plain(s))
    });
    let sheet = desk.sheet(
        Tab::Setups,
        format!("{} {}", setup.code, setup.name),
        format!("{serves}{place}{scale}"),
    );
    let shots = if shots.is_empty() {
        "no shot yet"
    } else {
        shots
    };
    Sheet {
        cells: vec![cell("Serves", shots), cell("Scale of drawing", "see bar")],
        ..sheet
    }
}

fn pass_tabs(desk: &Desk, setup: &Entry<Setup>, chosen: Option<&Entry<Pass>>) -> Vec<PassTab> {
    let plan = &desk.plan;
    let tab = |pass: &Entry<Pass>| {
        let facts = Facts::of(plan, setup, Some(pass));
        let worked = super::figures::time::ledger(&facts);
        let run = worked
            .iter()
            .find(|f| f.id == "f-run")
            .filter(|f| !f.value.is_empty())
            .map(|f| format!(", {} s", f.value))
            .unwrap_or_default();
        let fps = facts.find("shoot_fps").map_or_else(
            || "no rate yet".into(),
            |n| format!("{} fps", crate::journal::field::plain(n)),
        );
        let stop = facts.find("f_number").map_or_else(String::new, |n| {
            format!(", f/{}", crate::journal::field::plain(n))
        });
        PassTab {
            href: href(desk, setup, Some(&pass.id)),
            name: pass_name(plan, pass),
            set: format!("{fps}{stop}{run}"),
            moves: if pass.note.is_empty() {
                word(MOVES, &pass.moves).to_owned()
            } else {
                pass.note.to_string()
            },
            here: chosen.is_some_and(|c| c.id == pass.id),
        }
    };
    plan.passes_of_setup(&setup.id)
        .into_iter()
        .map(tab)
        .collect()
}

fn big(facts: &Facts<'_>, worked: &Figures) -> Vec<Big> {
    let plain = |name: &str| {
        facts
            .find(name)
            .map_or_else(|| "—".into(), stillair_calc::figure::given)
    };
    let value = |id: &str| {
        worked
            .get(id)
            .filter(|f| !f.value.is_empty())
            .map_or_else(|| "—".into(), |f| f.value.clone())
    };
    let sharp = match (value("near"), value("far")) {
        (near, far) if far == "to infinity" => format!("{near} to ∞"),
        (near, far) => format!("{near} to {far}"),
    };
    vec![
        Big {
            name: "camera",
            value: plain("shoot_fps"),
            unit: "fps",
        },
        Big {
            name: "stop",
            value: format!("f/{}", plain("f_number")),
            unit: "",
        },
        Big {
            name: "focus, mark",
            value: plain("focus_from_mark_mm"),
            unit: "mm",
        },
        Big {
            name: "sharp",
            value: sharp,
            unit: "mm",
        },
        Big {
            name: "rig speed",
            value: value("rig-speed"),
            unit: "mm/s",
        },
        Big {
            name: "used",
            value: value("run"),
            unit: "s",
        },
        Big {
            name: "key",
            value: value("key"),
            unit: "lx",
        },
        Big {
            name: "haze",
            value: value("haze"),
            unit: "per m",
        },
    ]
}
