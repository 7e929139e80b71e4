//! The bench of one setup, put together: heads, drawings, findings, things on the table, ledgers, and the pencil over all.

use super::{
    cautions,
    facts::Facts,
    figures::{figures, figures_of},
    giveaway::giveaways,
    heads::{Big, PassTab, bench_sheet, big, pass_tabs},
    ledgers::{Ledger, ledgers, once},
    pages::{find_pass, find_setup},
    pencil::{self, Moved, Pencil, Tried},
    run,
    scene::scene,
    setup::{ELEMENT, Pass, Setup},
    things::{self, Things},
    words::{sharp, shots_of},
};
use crate::{
    error::PageError,
    journal::{record::Entry, value::Id},
    plan::{pictures, two_hands},
    web::{
        fields::{self, Typed},
        page::{Desk, page},
        parts::{Blank, Caution, Tell, TwoHands},
        problem::encode,
        sheet::Sheet,
        svg::svg,
    },
};
use axum::response::Response;
use std::sync::Arc;
use stillair_calc::drawing::{
    lens_view::lens_view,
    run::run as draw_run,
    scene::Scene,
    setup::{Form as DrawingForm, plan_and_elevation},
};

/// Query of the bench.
#[derive(Clone, Debug, Default, serde::Deserialize)]
pub struct Asked {
    /// The pass chosen.
    pub pass: Option<String>,
    /// The thing chosen.
    pub thing: Option<String>,
}

impl Asked {
    /// The bench's address with these choices.
    pub fn href(&self, desk: &Desk, code: &str) -> String {
        desk.href(&format!("/setups/{}{}", encode(code), self.query()))
    }

    /// The choices as a query.
    pub(super) fn query(&self) -> String {
        let chosen = [("pass", &self.pass), ("thing", &self.thing)];
        let pairs: Vec<_> = chosen
            .into_iter()
            .filter_map(|(name, value)| Some(format!("{name}={}", encode(value.as_deref()?))))
            .collect();
        if pairs.is_empty() {
            String::new()
        } else {
            format!("?{}", pairs.join("&"))
        }
    }
}

/// What the pencil shows.
struct InPencil {
    action: String,
    tried: Vec<Tried>,
    moved: Vec<Moved>,
    findings: Vec<Moved>,
    rub_out: String,
}

/// The run of the chosen pass.
struct RunPart {
    wide: String,
    narrow: String,
    /// What a hand's spread comes to on the screen: the sum, and words after it.
    hand: Option<(String, String)>,
}

fn run_part(facts: &Facts<'_>) -> Option<RunPart> {
    let run = run::run(facts)?;
    Some(RunPart {
        wide: svg(&draw_run(&run, DrawingForm::Wide), "run-wide"),
        narrow: svg(&draw_run(&run, DrawingForm::Narrow), "run-narrow"),
        hand: run::hand_on_screen(facts),
    })
}

/// The board of the chosen pass's shot, beside the lens view.
struct BoardPart {
    called: String,
    picture: Option<String>,
    field: Blank,
    strokes: String,
    /// Where a picture is pinned up.
    cut: String,
}

fn board(desk: &Desk, facts: &Facts<'_>, typed: &Typed) -> Option<BoardPart> {
    let shot = facts.shot?;
    Some(BoardPart {
        called: format!("{} {}", shot.code, shot.name).trim().to_owned(),
        picture: pictures::href(&desk.plan.id, &shot.board_picture),
        field: fields::blank(&desk.plan, shot, "board_sketch", typed),
        strokes: shot.board_sketch.to_string(),
        cut: desk.href(&format!("/cut?open={}", shot.id)),
    })
}

#[derive(askama::Template)]
#[template(path = "setups/bench.html")]
struct BenchPage {
    sheet: Sheet,
    action: String,
    passes: Vec<PassTab>,
    big: Vec<Big>,
    wide: Drawings,
    narrow: Drawings,
    legend_pupil: String,
    tells: Vec<Tell>,
    left: Vec<Ledger>,
    right: Vec<Ledger>,
    further: Vec<Ledger>,
    things: Things,
    board: Option<BoardPart>,
    run: Option<RunPart>,
    cautions: Vec<Caution>,
    paper: String,
    history: String,
    pass_form: String,
    pass_strike: String,
    shots: Vec<(String, String)>,
    elements: &'static [(&'static str, &'static str)],
    number: i64,
    strike: String,
    writes: bool,
    lets_pass: bool,
    let_pass: String,
    two_hands: Vec<TwoHands>,
    pencil: InPencil,
}

/// The page, with what was refused under its blanks and what is tried over everything.
///
/// # Errors
/// No such setup; the store's.
pub(super) async fn show_bench(
    desk: &Desk,
    code: &str,
    asked: &Asked,
    typed: &Typed,
    pencil: &Pencil,
) -> Result<Response, PageError> {
    let written = find_setup(&desk.plan, code)?;
    let pass = find_pass(&desk.plan, written, asked.pass.as_deref());
    let two_hands = disputes(desk, written, pass).await?;
    let in_pencil = in_pencil(desk, code, asked, pencil);
    // From here on the plan is the one that is tried.
    let mut tried_on = desk.clone();
    if !pencil.is_empty() {
        tried_on.plan = Arc::new(pencil.applied(&desk.plan));
    }
    let desk = &tried_on;
    let mut typed = typed.clone().read_by(desk);
    typed.pencilled = pencil.values.iter().map(|(key, _)| key.clone()).collect();
    let plan = &*desk.plan;
    let setup = plan.setups.get(&written.id).unwrap_or(written);
    let pass = pass.and_then(|p| plan.passes.get(&p.id));
    let facts = Facts::of(plan, setup, pass);
    let worked = figures_of(&facts);
    let tells: Vec<Tell> = giveaways(&facts).into_iter().map(|g| g.tell).collect();
    let scene = scene(&facts, rings(&tells));
    let (mut left, mut right, mut further) = ledgers(&facts, &worked, &typed);
    let things = things::things(desk, &facts, asked, code, &typed);
    let on_the_table = things.chosen.iter().flat_map(|t| &t.blanks);
    once(
        [&mut left, &mut right, &mut further],
        on_the_table.map(|blank| blank.id.clone()),
    );
    let base = desk.href(&format!("/setups/{}", encode(code)));
    let mut sheet = bench_sheet(desk, setup, &shots_of(plan, setup));
    sheet.path = asked.href(desk, code);
    sheet.in_pencil = pencil.values.len();
    let page_of = BenchPage {
        sheet,
        passes: pass_tabs(desk, setup, pass),
        big: big(&facts, &worked),
        wide: drawings(&scene, DrawingForm::Wide),
        narrow: drawings(&scene, DrawingForm::Narrow),
        legend_pupil: worked.phrase("pupil"),
        tells,
        left,
        right,
        further,
        things,
        board: board(desk, &facts, &typed),
        run: run_part(&facts),
        cautions: cautions::of_setup(&facts),
        paper: desk.href(&format!("/paper/setups/{}", encode(code))),
        history: desk.href(&format!("/history?thing={}", setup.id)),
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
        lets_pass: desk.hand.role.lets_pass(),
        let_pass: format!("{base}/let-pass{}", asked.query()),
        two_hands,
        action: asked.href(desk, code),
        pencil: in_pencil,
    };
    page(&page_of, !typed.is_empty())
}

/// What moves while a thing is held.
#[derive(askama::Template)]
#[template(path = "setups/held.html")]
struct HeldPage {
    big: Vec<Big>,
    drawings: Vec<(&'static str, String)>,
    tells: Vec<Tell>,
    writes: bool,
    lets_pass: bool,
    let_pass: String,
    ledgers: Vec<Ledger>,
}

/// The parts of the page that move while a thing is held, and nothing else: a hand is waiting for them. The drawing is
/// the one in sight, by its form.
///
/// # Errors
/// No such setup.
pub(super) fn show_held(
    desk: &Desk,
    code: &str,
    asked: &Asked,
    pencil: &Pencil,
    narrow: bool,
) -> Result<Response, PageError> {
    let plan = pencil.applied(&desk.plan);
    let setup = find_setup(&plan, code)?;
    let facts = Facts::of(&plan, setup, find_pass(&plan, setup, asked.pass.as_deref()));
    let worked = figures_of(&facts);
    let tells: Vec<Tell> = giveaways(&facts).into_iter().map(|g| g.tell).collect();
    let scene = scene(&facts, rings(&tells));
    let base = desk.href(&format!("/setups/{}", encode(code)));
    let (left, right, further) = ledgers(&facts, &worked, &Typed::none());
    let held = HeldPage {
        big: big(&facts, &worked),
        drawings: if narrow {
            let drawn = drawings(&scene, DrawingForm::Narrow);
            vec![("lens-narrow", drawn.lens), ("drawing-narrow", drawn.plan)]
        } else {
            let drawn = drawings(&scene, DrawingForm::Wide);
            vec![("lens-wide", drawn.lens), ("drawing-wide", drawn.plan)]
        },
        tells,
        writes: desk.hand.role.writes(),
        lets_pass: desk.hand.role.lets_pass(),
        let_pass: format!("{base}/let-pass{}", asked.query()),
        ledgers: left.into_iter().chain(right).chain(further).collect(),
    };
    page(&held, false)
}

/// The drawings of one form.
struct Drawings {
    /// What the frame sees.
    lens: String,
    /// Plan above elevation.
    plan: String,
}

fn drawings(scene: &Scene, form: DrawingForm) -> Drawings {
    let (lens, plan) = match form {
        DrawingForm::Narrow => ("lens-n", "narrow"),
        _ => ("lens-w", "wide"),
    };
    Drawings {
        lens: svg(&lens_view(scene, form), lens),
        plan: svg(&plan_and_elevation(scene, form), plan),
    }
}

/// Rings of the findings, worst first: a small drawing keeps those.
fn rings(tells: &[Tell]) -> Vec<u32> {
    tells.iter().filter_map(|t| t.ring.parse().ok()).collect()
}

/// What the pencil tries, and what that moves.
fn in_pencil(desk: &Desk, code: &str, asked: &Asked, pencil: &Pencil) -> InPencil {
    let mut shown = InPencil {
        action: desk.href(&format!("/setups/{}/pencil{}", encode(code), asked.query())),
        tried: Vec::new(),
        moved: Vec::new(),
        findings: Vec::new(),
        rub_out: asked.href(desk, code),
    };
    let Some(setup) = desk.plan.setup_by_code(code).filter(|_| !pencil.is_empty()) else {
        return shown;
    };
    let pass = find_pass(&desk.plan, setup, asked.pass.as_deref());
    let applied = pencil.applied(&desk.plan);
    let now = Facts::of(&desk.plan, setup, pass);
    let then = Facts::of(
        &applied,
        applied.setups.get(&setup.id).unwrap_or(setup),
        pass.and_then(|p| applied.passes.get(&p.id)),
    );
    shown.tried = pencil::tried(&desk.plan, pencil, setup.id.as_str());
    shown.moved = pencil::moved(&figures_of(&now), &figures_of(&then));
    shown.findings = pencil::findings_moved(&giveaways(&now), &giveaways(&then));
    shown
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
    // What stands in it, and what it takes from stores.
    let standing = desk.plan.placements_of_setup(&setup.id);
    let standing = standing.into_iter().map(|p| p.id.clone());
    let shelf = [
        &setup.lens,
        &setup.camera_mode,
        &setup.filament,
        &setup.drive,
    ];
    let shelf = shelf.into_iter().filter_map(Clone::clone);
    let things: Vec<Id> = own
        .into_iter()
        .flatten()
        .chain(standing)
        .chain(shelf)
        .collect();
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
