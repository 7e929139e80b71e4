//! What one number of the demo moves on its bench: figures, findings and shapes.

use crate::harness::Book;
use std::{
    collections::{BTreeMap, BTreeSet},
    fmt::Write as _,
    sync::Arc,
};
use stillair::{
    journal::record::{AnyEntry, Entry},
    journal::value::Value,
    plan::{
        Plan, Scope as _,
        setups::{
            facts::Facts,
            figures::figures_of,
            giveaway::giveaways,
            run,
            scene::scene,
            setup::{Pass, Setup},
        },
    },
};
use stillair_calc::drawing::{
    Shape, lens_view::lens_view, run::run as draw_run, setup::Form, setup::plan_and_elevation,
};

pub async fn demo() -> (Book, Arc<Plan>) {
    let book = Book::new().await;
    stillair::demo::fill(&book.app.store)
        .await
        .expect("nothing is refused");
    let plans = book.get("/api/plans").await.json();
    let id = plans["plans"][0]["id"].as_str().expect("a plan").to_owned();
    let id = stillair::journal::value::Id::parse(&id).expect("an id");
    let plan = book
        .app
        .store
        .plan(&id)
        .await
        .expect("a store")
        .expect("a plan");
    (book, plan)
}

pub fn first_pass<'a>(plan: &'a Plan, code: &str) -> (&'a Entry<Setup>, &'a Entry<Pass>) {
    let setup = plan.setup_by_code(code).expect("a setup of the demo");
    (setup, plan.passes_of_setup(&setup.id)[0])
}

/// What a bench shows: every figure and finding by its id, every drawing by its kinds of shape. Rings and lettering are left
/// out: they step aside for one another.
fn shown(plan: &Plan, code: &str) -> BTreeMap<String, String> {
    let (setup, pass) = first_pass(plan, code);
    let facts = Facts::of(plan, setup, Some(pass));
    let mut all = BTreeMap::new();
    for figure in figures_of(&facts).all() {
        all.insert(
            figure.id.clone(),
            format!("{} {}", figure.value, figure.unit),
        );
    }
    for found in giveaways(&facts) {
        all.insert(found.tell.id.clone(), found.tell.quantity.clone());
    }
    let scene = scene(&facts, Vec::new());
    let lens = lens_view(&scene, Form::Wide);
    let sheet = plan_and_elevation(&scene, Form::Wide);
    let mut note = |view: &str, shapes: &[&Shape]| {
        for shape in shapes {
            let class = match shape {
                Shape::Line(c, ..)
                | Shape::Polyline(c, ..)
                | Shape::Polygon(c, ..)
                | Shape::Circle(c, ..)
                | Shape::Rect(c, ..)
                | Shape::Path(c, ..) => c.name(),
                Shape::Soft(..) => "soft",
                _ => continue,
            };
            let line = all
                .entry(format!("{view} {}", class.trim_start_matches("d-")))
                .or_default();
            let _ = write!(line, "{:?}", shape.numbers());
        }
    };
    note("lens", &lens.flat());
    for shape in &sheet.shapes {
        if let Shape::View(view, inner) = shape {
            let inner = stillair_calc::drawing::Drawing {
                shapes: inner.clone(),
                ..sheet.clone()
            };
            note(view.name, &inner.flat());
        }
    }
    if let Some(run) = run::run(&facts) {
        note("run", &draw_run(&run, Form::Wide).flat());
    }
    all
}

/// A name of a record of the demo to its entry: "S3", "ROV 1:20", "S3: Lamp A".
pub fn find<'a>(plan: &'a Plan, kind: &str, name: &str) -> &'a dyn AnyEntry {
    if kind == "placement" {
        let (code, called) = name.split_once(": ").expect("setup: thing");
        let setup = plan.setup_by_code(code).expect("a setup");
        return plan
            .placements_of_setup(&setup.id)
            .into_iter()
            .find(|p| &*p.name == called)
            .expect("a thing");
    }
    let list = plan
        .list(kind)
        .or_else(|| plan.studio.list(kind))
        .expect("a kind");
    list.entries()
        .find(|entry| {
            let text = |field: &str| entry.kind().index(field).map(|i| entry.get(i));
            [text("code"), text("name"), text("title")]
                .into_iter()
                .flatten()
                .any(|v| v.as_text() == Some(name))
        })
        .unwrap_or_else(|| panic!("no {kind} {name}"))
}

pub fn with(plan: &Plan, kind: &str, name: &str, field: &str, value: f64) -> Plan {
    let entry = find(plan, kind, name);
    let index = entry.kind().index(field).expect("a declared field");
    let value = match entry.get(index) {
        #[expect(clippy::cast_possible_truncation, reason = "small whole numbers")]
        Value::Whole(_) => Value::Whole(value as i64),
        _ => Value::Number(value),
    };
    let mut next = plan.clone();
    next.put(kind, entry.id().as_str(), index, &value);
    next
}

fn moved(
    plan: &Plan,
    code: &str,
    kind: &str,
    name: &str,
    field: &str,
    value: f64,
) -> BTreeSet<String> {
    let (before, after) = (
        shown(plan, code),
        shown(&with(plan, kind, name, field, value), code),
    );
    let keys: BTreeSet<_> = before.keys().chain(after.keys()).cloned().collect();
    keys.into_iter()
        .filter(|key| before.get(key) != after.get(key))
        .collect()
}

/// What one number moves, and nothing else. Each line was reasoned from the formulas: what reads the number, and what is
/// drawn from that; a figure that its digits keep still (the angle of view, as the focus moves) is not on it.
#[tokio::test]
async fn one_number_moves_what_rests_on_it_and_nothing_else() {
    let (_book, plan) = demo().await;
    for ((code, kind, name, field, value), expected) in MOVES {
        let moved = moved(&plan, code, kind, name, field, *value);
        let expected: BTreeSet<String> = expected
            .split_whitespace()
            .map(|key| key.replace('/', " "))
            .collect();
        assert_eq!(moved, expected, "{field} of {name} on {code}");
    }
    assert!(MOVES.len() >= 20);
}

/// An input by setup, kind, name, field and new value; and the figures, findings and shapes that it moves.
type Move = (
    (&'static str, &'static str, &'static str, &'static str, f64),
    &'static str,
);

const MOVES: &[Move] = &[
    (
        ("S3", "setup", "S3", "f_number", 10.0),
        "elevation/limit elevation/sharp f-balance-6 f-before-haze f-depth-held f-even f-far f-key f-lamp \
         f-line-seen f-near f-softens f-story-stop plan/limit plan/sharp tell-depth tell-line tell-near-blur",
    ),
    (
        ("S3", "setup", "S3", "shoot_fps", 100.0),
        "elevation/rail elevation/start-mark f-balance-6 f-before-haze f-dial f-drum-rpm f-even f-exposure f-gravity \
         f-key f-lamp f-motor-rpm f-playback f-pulses f-rail f-ramp-asks f-rig-speed f-run f-run-up f-settle \
         f-start-mark f-stop-mark f-stretch f-swing-screen plan/rail-line plan/start-mark run/drop run/handle \
         run/ruler run/speed run/used tell-gravity",
    ),
    (
        ("S3", "setup", "S3", "shutter_deg", 170.0),
        "f-before-haze f-even f-exposure f-key f-lamp",
    ),
    (
        ("S3", "setup", "S3", "exposure_index", 1250.0),
        "f-balance-6 f-before-haze f-even f-key f-lamp",
    ),
    (
        ("S3", "setup", "S3", "focus_from_mark_mm", 1300.0),
        "elevation/camera elevation/focus elevation/frame-edge elevation/limit elevation/needed elevation/sharp \
         elevation/water f-backing-20 f-backing-20-high f-balance-6 f-before-haze f-depth-held f-even f-far f-frame \
         f-key f-line-seen f-near f-pupil f-settle lens/edge lens/floor-line lens/horizon lens/net lens/path \
         lens/soft lens/tone-0 lens/tone-1 lens/tone-2 lens/tone-3 lens/wire plan/camera plan/focus plan/frame-edge \
         plan/limit plan/needed plan/sharp plan/water tell-line",
    ),
    (
        ("S3", "setup", "S3", "reach_m", 60.0),
        "elevation/water f-before-haze f-haze f-lamp f-line-seen f-mass f-meter f-water-end lens/tone-0 \
         lens/tone-1 lens/tone-2 plan/water tell-line",
    ),
    (
        ("S3", "setup", "S3", "camera_height_mm", 265.0),
        "elevation/axis elevation/camera elevation/focus elevation/frame-edge elevation/limit elevation/needed \
         elevation/sensor-mark elevation/sharp f-backing-20-high f-horizon f-table-area f-table-seen f-table-tilt \
         f-tall-far f-tall-near lens/edge lens/floor-line lens/net lens/path lens/soft lens/tone-0 lens/tone-1 \
         lens/tone-2 lens/tone-3 lens/wire",
    ),
    (
        ("S3", "setup", "S3", "key_stops", -2.0),
        "f-balance-6 f-before-haze f-key f-lamp",
    ),
    (
        ("S3", "setup", "S3", "line_drop_mm", 1100.0),
        "elevation/rail elevation/start-mark elevation/wire f-line-stretch f-rail f-ramp f-ramp-asks f-run-up \
         f-start-mark f-stop-mark f-swing f-swing-screen plan/rail-line plan/start-mark run/drop run/handle run/ruler \
         run/speed run/used",
    ),
    (
        ("S3", "setup", "S3", "air_drift_mm_per_s", 80.0),
        "tell-drift tell-texture",
    ),
    (
        ("S3", "shot", "P4", "story_speed_mps", 1.1),
        "elevation/path elevation/path-arrow elevation/rail elevation/start-mark f-dial f-drum-rpm f-line-seen \
         f-motor-rpm f-path f-pulses f-rail f-ramp-asks f-rig-speed f-run-up f-start-mark f-stop-mark f-strobe \
         lens/path plan/path plan/path-arrow plan/rail-line plan/start-mark tell-line",
    ),
    (
        ("S3", "shot", "P4", "length_frames", 220.0),
        "elevation/path elevation/path-arrow elevation/rail f-path f-rail f-run f-screen-time f-stop-mark lens/path \
         plan/path plan/path-arrow plan/rail-line run/drop run/handle run/ruler run/speed run/used",
    ),
    (
        (
            "S3",
            "filament",
            "Tungsten, 0.08 mm, blackened",
            "diameter_mm",
            0.09,
        ),
        "f-line-seen f-line-stretch tell-line",
    ),
    (
        ("S3", "drive", "Rail drive, nave", "dial_fast", 72.0),
        "f-dial",
    ),
    (
        ("S3", "projector", "Ripple projector", "flux_lm", 3000.0),
        "f-throw-lux",
    ),
    (
        ("S3", "piece", "ROV 1:20", "mass_g", 70.0),
        "f-line-margin f-line-pull f-line-stretch",
    ),
    (
        ("S3", "placement", "S3: East window", "y_mm", 40.0),
        "lens/edge lens/soft lens/tone-0 plan/hit plan/piece",
    ),
    (
        ("S3", "placement", "S3: Flag F2", "x_mm", 1940.0),
        "elevation/hit elevation/piece-side lens/edge lens/soft lens/tone-0 lens/tone-1 plan/flag plan/hit \
         plan/penumbra plan/umbra",
    ),
    (
        (
            "S3",
            "lamp",
            "Lamp A, 1 kW narrow",
            "source_diameter_mm",
            120.0,
        ),
        "f-shadow-edge f-shadow-full plan/penumbra plan/umbra",
    ),
    (
        (
            "S6",
            "lamp",
            "Lamp C, 2 kW on the mains",
            "flicker_depth",
            0.2,
        ),
        "f-flicker-8",
    ),
    (
        ("S4", "piece", "Flagstone", "width_mm", 50.0),
        "f-tiles-9 plan/tiles",
    ),
    (
        ("S1", "setup", "S1", "arm_radius_mm", 800.0),
        "f-arm f-drum-rpm f-motor-rpm f-pulse-travel f-pulses f-sagitta f-start-mark f-story-turn f-strobe plan/arm \
         plan/path tell-arc",
    ),
];
