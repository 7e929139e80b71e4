//! The setup sheet for the wall: the numbers asked aloud, the drawing, what was found, and what to mind.

use super::pages::Size;
use crate::{
    journal::{field::plain, record::Entry},
    plan::setups::{
        cautions,
        facts::Facts,
        figures::{Figures, figures},
        giveaway::giveaways,
        pages::{pass_name, shots_of},
        run,
        scene::scene,
        setup::Setup,
    },
    web::{
        page::Desk,
        parts::{Caution, Tell},
        sheet::{Sheet, Tab},
        svg::svg,
    },
};
use stillair_calc::drawing::{
    run::run as draw_run,
    setup::{Form, plan_and_elevation},
};

/// A figure with its name.
pub struct Number {
    name: String,
    value: String,
    unit: String,
}

/// One pass in a line.
pub struct PassLine {
    name: String,
    fps: String,
    stop: String,
    run: String,
    speed: String,
    note: String,
}

/// Findings that are told with their cure: the worst, so that the sheet stays one page.
const TOLD: usize = 1;
/// Findings that are named at all; the bench has the rest.
const NAMED: usize = 4;

/// The sheet.
#[derive(askama::Template)]
#[template(path = "paper/setup.html")]
pub struct SetupSheet {
    sheet: Sheet,
    class: &'static str,
    other: (&'static str, String),
    title: String,
    serves: String,
    big: Vec<Number>,
    drawing: String,
    run: String,
    numbers: Vec<Number>,
    passes: Vec<PassLine>,
    tells: Vec<Tell>,
    /// How many findings are told with their cure; the others by name and quantity.
    told: usize,
    /// How many are on the bench alone.
    more: usize,
    cautions: Vec<Caution>,
    bring: String,
    undecided: usize,
}

/// Makes the sheet of a setup, worked for its first pass.
pub fn sheet(desk: &Desk, setup: &Entry<Setup>, size: Size) -> SetupSheet {
    let plan = &*desk.plan;
    let passes = plan.passes_of_setup(&setup.id);
    let pass = passes.first().copied();
    let facts = Facts::of(plan, setup, pass);
    let worked = figures(plan, setup, pass);
    let mut tells: Vec<Tell> = giveaways(&facts).into_iter().map(|g| g.tell).collect();
    let more = tells.len().saturating_sub(NAMED);
    let rings = tells.iter().filter_map(|t| t.ring.parse().ok()).collect();
    let place = if setup.place.is_empty() {
        String::new()
    } else {
        format!(" {}.", setup.place.trim_end_matches('.'))
    };
    let shots = shots_of(plan, setup);
    let serves = if shots.is_empty() {
        "Serves no shot yet.".to_owned()
    } else {
        format!("Serves {shots}.")
    };
    SetupSheet {
        sheet: desk.sheet(
            Tab::Paper,
            format!("Setup sheet, {}", setup.code),
            String::new(),
        ),
        class: size.class(),
        other: size.other(&desk.path),
        title: format!("{} {}", setup.code, setup.name),
        serves: format!("{serves}{place}"),
        big: big(&facts, &worked),
        drawing: svg(
            &plan_and_elevation(&scene(&facts, rings), Form::Paper),
            "wall",
        ),
        run: run::run(&facts).map_or_else(String::new, |run| {
            svg(&draw_run(&run, Form::Paper), "wall-run")
        }),
        numbers: numbers(&facts, &worked),
        passes: passes
            .into_iter()
            .map(|pass| {
                pass_line(
                    &Facts::of(plan, setup, Some(pass)),
                    pass_name(plan, pass),
                    &pass.note,
                )
            })
            .collect(),
        tells: {
            tells.truncate(NAMED);
            tells
        },
        told: TOLD,
        more,
        cautions: cautions::on_paper(&facts),
        bring: setup.bring.to_string(),
        undecided: plan.besides.iter().filter(|b| b.entity == setup.id).count(),
    }
}

fn or_dash(value: Option<f64>) -> String {
    value.map_or_else(|| "—".into(), plain)
}

fn of(worked: &Figures, id: &str, name: &str) -> Number {
    let figure = worked.get(id);
    Number {
        name: name.into(),
        value: figure
            .map(|f| f.value.clone())
            .filter(|v| !v.is_empty())
            .unwrap_or_else(|| "—".into()),
        unit: figure.map(|f| f.unit.clone()).unwrap_or_default(),
    }
}

fn big(facts: &Facts<'_>, worked: &Figures) -> Vec<Number> {
    let typed = |name: &str, field: &'static str, unit: &str, before: &str| Number {
        name: name.into(),
        value: format!("{before}{}", or_dash(facts.find(field))),
        unit: unit.into(),
    };
    let (near, far) = (of(worked, "near", ""), of(worked, "far", ""));
    let sharp = if far.value == "to infinity" {
        format!("{} to ∞", near.value)
    } else {
        format!("{} to {}", near.value, far.value)
    };
    let driven = ["dial", "start-mark"]
        .into_iter()
        .filter(|id| worked.get(id).is_some_and(|f| !f.value.is_empty()))
        .map(|id| of(worked, id, if id == "dial" { "dial" } else { "start mark" }));
    let mut all = vec![
        of(worked, "rig-speed", "rig speed"),
        typed("camera", "shoot_fps", "fps", ""),
        typed("stop", "f_number", "", "f/"),
        typed("focus, from mark", "focus_from_mark_mm", "mm", ""),
        Number {
            name: "sharp, from mark".into(),
            value: sharp,
            unit: "mm".into(),
        },
    ];
    all.splice(1..1, driven);
    all
}

fn numbers(facts: &Facts<'_>, worked: &Figures) -> Vec<Number> {
    let typed = |name: &str, field: &'static str, unit: &str| Number {
        name: name.into(),
        value: or_dash(facts.find(field)),
        unit: unit.into(),
    };
    vec![
        Number {
            value: format!("1:{}", or_dash(facts.find("scale_denominator"))),
            ..typed("Scale", "scale_denominator", "")
        },
        typed("Lens", "focal_length_mm", "mm"),
        typed("Shutter", "shutter_deg", "°"),
        typed("Film speed, EI", "exposure_index", ""),
        typed("Lens height", "camera_height_mm", "mm"),
        typed("Tilt down", "tilt_deg", "°"),
        of(worked, "frame", "Frame at focus"),
        of(worked, "run", "Run, real time"),
        of(worked, "key", "Key on the floor"),
        of(worked, "before-haze", "Same, before haze"),
        of(worked, "haze", "Haze"),
        of(worked, "water-end", "Water ends, from mark"),
        of(worked, "mass", "In the tent air"),
    ]
}

fn pass_line(facts: &Facts<'_>, name: String, note: &str) -> PassLine {
    let worked = crate::plan::setups::figures::time::ledger(facts);
    let phrase = |id: &str| {
        let figure = worked
            .iter()
            .find(|f| f.id == format!("f-{id}") && !f.value.is_empty());
        figure.map_or_else(|| "—".into(), |f| format!("{} {}", f.value, f.unit))
    };
    PassLine {
        name,
        fps: or_dash(facts.find("shoot_fps")),
        stop: format!("f/{}", or_dash(facts.find("f_number"))),
        run: phrase("run"),
        speed: phrase("rig-speed"),
        note: note.to_owned(),
    }
}
