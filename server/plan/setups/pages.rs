//! The list of setups, and the bench of one.

use super::{
    cautions,
    facts::Facts,
    figures::{Figures, figures},
    giveaway::giveaways,
    scene::scene,
    setup::{ELEMENT, Pass, Setup},
};
use crate::{
    error::PageError,
    journal::{change::Op, record::Entry, value::Id, writer::Ask},
    plan::{Plan, two_hands},
    web::{
        fields::{self, Typed},
        page::{Desk, cell, page},
        parts::{Blank, Caution, Figure, Severity, Tell, TwoHands},
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
use serde_json::json;
use std::{collections::HashMap, sync::Arc};
use stillair_calc::{
    drawing::setup::{Form as DrawingForm, plan_and_elevation},
    order_key,
};

/// Addresses of setups.
pub fn routes() -> Routes {
    Routes::new()
        .route("/plans/{plan}/setups", get(list).post(add_setup))
        .route("/plans/{plan}/setups/{code}", get(bench).post(write_bench))
        .route("/plans/{plan}/setups/{code}/passes", post(add_pass))
        .route("/plans/{plan}/setups/{code}/strike", post(strike))
}

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

async fn list(desk: Desk) -> Result<Response, PageError> {
    show_list(&desk, [String::new(), String::new(), String::new()])
}

fn show_list(desk: &Desk, [code, name, fault]: [String; 3]) -> Result<Response, PageError> {
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

fn line(desk: &Desk, setup: &Entry<Setup>) -> Line {
    let plan = &desk.plan;
    let pass = plan.passes_of_setup(&setup.id).into_iter().next();
    let facts = Facts::of(plan, setup, pass);
    let worked = figures(plan, setup, pass);
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
        days: days
            .map(|(i, _)| (i + 1).to_string())
            .collect::<Vec<_>>()
            .join(", "),
    }
}

fn with_unit(value: Option<f64>, unit: &str) -> String {
    value.map_or_else(
        || "—".into(),
        |v| format!("{} {unit}", crate::journal::field::plain(v)),
    )
}

/// "844 to 2 612 mm", or a long dash.
pub fn sharp(worked: &Figures) -> String {
    match (worked.get("near"), worked.get("far")) {
        (Some(near), Some(far)) if !near.value.is_empty() && far.value == "to infinity" => {
            format!("{} mm to infinity", near.value)
        }
        (Some(near), Some(far)) if !near.value.is_empty() && !far.value.is_empty() => {
            format!("{} to {} mm", near.value, far.value)
        }
        _ => "—".into(),
    }
}

/// Codes of the shots a setup serves, in cut order.
pub fn shots_of(plan: &Plan, setup: &Entry<Setup>) -> String {
    let served = plan.shots_in_order().into_iter().filter(|shot| {
        plan.passes_of_shot(&shot.id)
            .iter()
            .any(|p| p.setup.as_ref() == Some(&setup.id))
    });
    served
        .map(|s| s.code.to_string())
        .collect::<Vec<_>>()
        .join(", ")
}

fn href(desk: &Desk, setup: &Entry<Setup>, pass: Option<&Id>) -> String {
    let query = pass.map_or_else(String::new, |id| format!("?pass={id}"));
    desk.href(&format!("/setups/{}{query}", encode(&setup.code)))
}

async fn add_setup(
    desk: Desk,
    Form(form): Form<HashMap<String, String>>,
) -> Result<Response, PageError> {
    desk.hand.may_write()?;
    let text = |name: &str| form.get(name).cloned().unwrap_or_default();
    let key = key_after(desk.plan.setups_in_order().last().map(|s| &*s.order_key));
    let op = Op::insert(
        "setup",
        Id::new(),
        json!({"code": text("code").trim(), "name": text("name"), "order_key": key}),
    );
    match write(&desk, vec![op]).await {
        Ok(()) => Ok(
            Redirect::to(&desk.href(&format!("/setups/{}", encode(text("code").trim()))))
                .into_response(),
        ),
        Err(PageError::Invalid(sentence, _)) => {
            show_list(&desk, [text("code"), text("name"), sentence])
        }
        Err(error) => Err(error),
    }
}

/// A place after the last one of a list; a list whose rows have no places yet begins with the first.
fn key_after(last: Option<&str>) -> String {
    order_key::between(last.filter(|k| !k.is_empty()), None)
        .unwrap_or_else(|_| order_key::spread(1).remove(0))
}

async fn write(desk: &Desk, ops: Vec<Op>) -> Result<(), PageError> {
    let batch = (ops.len() > 1).then(|| Arc::from(Id::new().as_str()));
    let ask = Ask {
        plan: desk.plan.id.clone(),
        ops,
        atomic: true,
        batch,
        actor: desk.hand.id.as_str().into(),
        client: desk.hand.client.clone(),
    };
    for reply in desk.app.store.write(ask).await? {
        reply.result.map_err(crate::api::refused_error)?;
    }
    Ok(())
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

/// Blanks and results that belong together.
struct Ledger {
    id: &'static str,
    title: &'static str,
    note: &'static str,
    blanks: Vec<Blank>,
    results: Vec<Figure>,
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
    cautions: Vec<Caution>,
    paper: String,
    pass_form: String,
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

fn find_setup<'a>(plan: &'a Plan, code: &str) -> Result<&'a Entry<Setup>, PageError> {
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
    let worked = figures(plan, setup, pass);
    let tells: Vec<Tell> = giveaways(&facts).into_iter().map(|g| g.tell).collect();
    let rings = tells.iter().filter_map(|t| t.ring.parse().ok()).collect();
    let scene = scene(&facts, rings);
    let (left, right) = ledgers(&facts, &worked, typed);
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
        cautions: cautions::of_setup(&facts),
        paper: desk.href(&format!("/paper/setups/{}", encode(&setup.code))),
        pass_form: format!("{base}/passes"),
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
    let serves: Vec<_> = plan
        .shots_in_order()
        .into_iter()
        .filter(|shot| {
            plan.passes_of_shot(&shot.id)
                .iter()
                .any(|p| p.setup.as_ref() == Some(&setup.id))
        })
        .map(|s| {
            if s.name.is_empty() {
                s.code.to_string()
            } else {
                format!("{} “{}”", s.code, s.name)
            }
        })
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

/// "P4, P8 and P9".
fn in_words(list: &[String]) -> String {
    match list {
        [] => String::new(),
        [one] => one.clone(),
        [most @ .., last] => format!("{} and {last}", most.join(", ")),
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
                word(super::setup::MOVES, &pass.moves).to_owned()
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

/// "P4 main".
pub fn pass_name(plan: &Plan, pass: &Pass) -> String {
    let shot = pass
        .shot
        .as_ref()
        .and_then(|id| plan.shots.get(id))
        .map_or_else(|| "struck shot".to_owned(), |s| s.code.to_string());
    format!("{shot} {}", word(ELEMENT, &pass.element))
}

fn word(list: &[(&'static str, &'static str)], code: &str) -> &'static str {
    list.iter().find(|(c, _)| *c == code).map_or("", |(_, w)| w)
}

fn big(facts: &Facts<'_>, worked: &Figures) -> Vec<Big> {
    let plain = |name: &str| {
        facts
            .find(name)
            .map_or_else(|| "—".into(), |n| stillair_calc::figure::given(n))
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

fn ledgers(facts: &Facts<'_>, worked: &Figures, typed: &Typed) -> (Vec<Ledger>, Vec<Ledger>) {
    let plan = facts.plan;
    let own = |name: &str| {
        fields::blank_with(
            plan,
            facts.setup,
            name,
            typed,
            facts.stand_in(facts.setup, name),
        )
    };
    let all = |names: &[&str]| names.iter().map(|n| own(n)).collect::<Vec<_>>();
    let mut time = all(&["scale_denominator", "shoot_fps"]);
    if let Some(shot) = facts.shot {
        time.push(fields::blank(plan, shot, "story_speed_mps", typed));
        time.push(fields::blank(plan, shot, "length_frames", typed));
    }
    if let Some(production) = plan.production() {
        time.push(fields::blank(plan, production, "base_fps", typed));
        time.push(fields::blank(plan, production, "handle_frames", typed));
    }
    if let Some(pass) = facts.pass {
        time.push(fields::blank(plan, pass, "moves", typed));
        time.push(fields::blank(plan, pass, "note", typed));
    }
    let mut lens = all(&[
        "camera_mode",
        "lens",
        "focal_length_mm",
        "f_number",
        "focus_from_mark_mm",
        "shutter_deg",
        "pupil_magnification",
        "principal_plane_separation_mm",
        "squeeze",
        "nearest_piece_mm",
        "farthest_piece_mm",
    ]);
    if let Some(production) = plan.production() {
        lens.push(fields::blank(plan, production, "blur_line_px", typed));
        lens.push(fields::blank(plan, production, "delivered_width_px", typed));
    }
    let mut light = all(&[
        "exposure_index",
        "lens_transmission",
        "key_stops",
        "key_through_haze_mm",
        "key_distance_mm",
    ]);
    if let Some(production) = plan.production() {
        light.push(fields::blank(plan, production, "incident_constant", typed));
    }
    let mut water = all(&[
        "reach_m",
        "contrast_far_end",
        "far_end_mm",
        "haze_class",
        "haze_liquid",
        "droplet_um",
        "air",
        "air_drift_mm_per_s",
    ]);
    if let Some(production) = plan.production() {
        water.push(fields::blank(plan, production, "air_peak_mgpm3", typed));
        water.push(fields::blank(plan, production, "air_average_mgpm3", typed));
    }
    let stand = all(&[
        "code",
        "name",
        "place",
        "camera_height_mm",
        "tilt_deg",
        "roll_deg",
        "table_near_mm",
        "table_length_mm",
        "table_width_mm",
        "tent_near_mm",
        "tent_length_mm",
        "tent_width_mm",
        "tent_height_mm",
        "path_start_mm",
        "path_side_mm",
        "path_height_mm",
        "path_heading_deg",
    ]);
    let day = all(&[
        "dressing",
        "rig",
        "camera_position",
        "light_plot",
        "gel_set",
        "prepare_min",
        "trim_min",
        "settle_min",
        "takes",
        "take_cycle_min",
        "people",
        "ready_clock_min",
        "ready_note",
        "bring",
    ]);
    let note = "set · comes out";
    let left = vec![
        Ledger {
            id: "water",
            title: "Water",
            note,
            blanks: water,
            results: worked.water.clone(),
        },
        Ledger {
            id: "stand",
            title: "Where it stands",
            note: "from the mark, as taped",
            blanks: stand,
            results: Vec::new(),
        },
        Ledger {
            id: "day",
            title: "On the day",
            note: "for the order and the call sheet",
            blanks: day,
            results: Vec::new(),
        },
    ];
    let right = vec![
        Ledger {
            id: "time",
            title: "Time and travel",
            note,
            blanks: time,
            results: worked.time.clone(),
        },
        Ledger {
            id: "lens",
            title: "Lens and sharpness",
            note,
            blanks: lens,
            results: worked.lens.clone(),
        },
        Ledger {
            id: "light",
            title: "Light",
            note,
            blanks: light,
            results: worked.light.clone(),
        },
    ];
    (left, right)
}

async fn add_pass(
    desk: Desk,
    Path((_, code)): Path<(String, String)>,
    Form(form): Form<HashMap<String, String>>,
) -> Result<Response, PageError> {
    desk.hand.may_write()?;
    let setup = find_setup(&desk.plan, &code)?;
    let text = |name: &str| form.get(name).cloned().unwrap_or_default();
    let id = Id::new();
    let fields = json!({
        "shot": text("shot"), "setup": setup.id.as_str(), "element": text("element"),
        "order_key": key_after(desk.plan.passes_of_setup(&setup.id).last().map(|p| &*p.order_key)),
    });
    write(&desk, vec![Op::insert("pass", id.clone(), fields)]).await?;
    Ok(Redirect::to(&href(&desk, setup, Some(&id))).into_response())
}

async fn strike(
    desk: Desk,
    Path((_, code)): Path<(String, String)>,
) -> Result<Response, PageError> {
    desk.hand.may_write()?;
    let setup = find_setup(&desk.plan, &code)?;
    write(
        &desk,
        vec![Op::remove(setup.id.clone(), desk.plan.number())],
    )
    .await?;
    Ok(Redirect::to(&desk.href("/setups")).into_response())
}
