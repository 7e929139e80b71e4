//! The haze sheet of a stage day: curves, look against lungs, ways out, top-ups, the air people breathe, readings.

use super::{
    day::{HazeDay, haze_day},
    figures::{self, TopUpLine},
    readings::{ReadLine, read, readings},
    rulers,
    ways::{self, Way},
};
use crate::{
    error::PageError,
    journal::{record::Entry, value::Id, writer::now_ms},
    plan::setups::{cautions, facts::Facts, figures::water, setup::Setup},
    web::{
        fields::{self, Typed},
        page::{Desk, cell, page},
        parts::{Blank, Caution, Figure},
        problem::encode,
        routes::Routes,
        sheet::{Sheet, Tab},
        svg::svg,
        units,
    },
};
use axum::{
    Form,
    extract::{Path, Query},
    response::{IntoResponse as _, Redirect, Response},
    routing::{get, post},
};
use serde::Deserialize;
use stillair_calc::{
    drawing::{
        haze::{haze_day as draw_day, lungs as draw_lungs},
        setup::Form as DrawingForm,
    },
    figure::significant,
};

/// Blanks of a setup that move its haze.
const LOOK: &[&str] = &[
    "reach_m",
    "contrast_far_end",
    "far_end_mm",
    "haze_liquid",
    "droplet_um",
    "air",
];
/// Blanks of the stage's air.
const AIR: &[&str] = &[
    "volume_m3",
    "extract_per_h",
    "room_changes_per_h",
    "tent_leak_per_h",
    "tent_settling_per_h",
    "tent_purge_per_h",
    "haze_airborne_gpmin",
    "haze_yield",
    "haze_band_percent",
    "mixing_factor",
    "fluid_held_l",
];
/// Blanks of the limits.
const LIMITS: &[&str] = &[
    "air_peak_mgpm3",
    "air_average_mgpm3",
    "air_authority",
    "air_date",
    "air_mark",
];

/// Addresses of the haze.
pub fn routes() -> Routes {
    Routes::new()
        .route("/plans/{plan}/haze", get(first))
        .route("/plans/{plan}/haze/{day}", get(show).post(write))
        .route("/plans/{plan}/haze/{day}/stage", get(super::stage::show))
        .route("/plans/{plan}/haze/{day}/readings", post(read))
}

/// What the address asks for.
#[derive(Clone, Debug, Default, Deserialize)]
pub struct Asked {
    /// Code of the setup.
    #[serde(default)]
    pub setup: String,
}

struct Chosen {
    code: String,
    name: String,
    href: String,
    here: bool,
}

/// Rulers for a wide and a narrow sheet, with the figures and blanks of their setup.
struct Look {
    code: String,
    wide: String,
    narrow: String,
    figures: Vec<Figure>,
    blanks: Vec<Blank>,
    ways: Vec<Way>,
    lamp: Option<String>,
}

#[derive(askama::Template)]
#[template(path = "haze/day.html")]
struct HazePage {
    sheet: Sheet,
    action: String,
    number: i64,
    days: Vec<Chosen>,
    drawing: String,
    unknown: Vec<(String, String)>,
    not_reached: Vec<String>,
    caution: Caution,
    setups: Vec<Chosen>,
    look: Option<Look>,
    top_ups: Vec<TopUpLine>,
    thinning: String,
    breathed: Vec<Figure>,
    air: Vec<Blank>,
    limits: Vec<Blank>,
    stage: String,
    readings: Vec<ReadLine>,
    read_action: String,
    codes: Vec<(String, String)>,
    clock: String,
    fault: String,
    typed: Vec<(String, String)>,
    writes: bool,
}

impl HazePage {
    /// What was typed into the form of a reading, when it was refused.
    fn typed(&self, name: &str) -> &str {
        let found = self.typed.iter().find(|(n, _)| n == name);
        found.map_or("", |(_, value)| value)
    }
}

/// The first day that wants haze, or the first there is.
async fn first(desk: Desk) -> Result<Response, PageError> {
    let days = desk.plan.days_in_order();
    let hazy = days
        .iter()
        .find(|d| haze_day(&desk.plan, &d.id).is_some_and(|h| !h.wants.is_empty()));
    let day = hazy.or(days.first());
    let to = day.map_or_else(|| "/days".to_owned(), |d| format!("/haze/{}", d.id));
    Ok(Redirect::to(&desk.href(&to)).into_response())
}

async fn show(
    desk: Desk,
    Path((_, day)): Path<(String, String)>,
    Query(asked): Query<Asked>,
) -> Result<Response, PageError> {
    let typed = Typed::none().read_by(&desk);
    render(&desk, &day, &asked, &typed, &[], "")
}

async fn write(
    desk: Desk,
    Path((_, day)): Path<(String, String)>,
    Query(asked): Query<Asked>,
    Form(form): Form<Vec<(String, String)>>,
) -> Result<Response, PageError> {
    let written = fields::write(desk, &form).await?;
    if written.desk.part || !written.typed.is_empty() {
        return render(&written.desk, &day, &asked, &written.typed, &[], "");
    }
    let desk = written.desk;
    Ok(Redirect::to(&own(&desk, &day, &asked)).into_response())
}

pub(super) fn own(desk: &Desk, day: &str, asked: &Asked) -> String {
    let query = if asked.setup.is_empty() {
        String::new()
    } else {
        format!("?setup={}", encode(&asked.setup))
    };
    desk.href(&format!("/haze/{day}{query}"))
}

pub(super) fn render(
    desk: &Desk,
    id: &str,
    asked: &Asked,
    typed: &Typed,
    read: &[(String, String)],
    fault: &str,
) -> Result<Response, PageError> {
    let plan = &*desk.plan;
    let no_such = || PageError::no_such("stage day");
    let day_id = Id::parse(id).ok_or_else(no_such)?;
    let day = haze_day(plan, &day_id).ok_or_else(no_such)?;
    let chosen = chosen(&day, &asked.setup);
    let page_of = HazePage {
        sheet: sheet(desk, &day, id, asked),
        action: own(desk, id, asked),
        number: plan.number(),
        days: days(desk, &day_id),
        drawing: svg(
            &draw_day(&rulers::drawn_day(plan, &day, |code| {
                desk.href(&format!("/haze/{id}?setup={}", encode(code)))
            })),
            "haze-day",
        ),
        unknown: day
            .unknown
            .iter()
            .map(|s| {
                let to = desk.href(&format!("/setups/{}", encode(&s.code)));
                (format!("{} {}", s.code, s.name), to)
            })
            .collect(),
        not_reached: day
            .course
            .not_reached
            .iter()
            .filter_map(|n| Some(day.wants.get(*n)?.setup.code.to_string()))
            .collect(),
        caution: caution(plan, &day),
        setups: setups(desk, &day, id, chosen),
        look: chosen.and_then(|setup| look(desk, &day, setup, typed)),
        top_ups: figures::top_ups(&day),
        thinning: figures::thinning(&day),
        breathed: figures::breathed(plan, &day),
        air: day.stage.map_or_else(Vec::new, |stage| {
            let blank = |name: &&str| fields::blank(plan, stage, name, typed);
            AIR.iter().map(blank).collect()
        }),
        limits: plan.production().map_or_else(Vec::new, |production| {
            let blank = |name: &&str| fields::blank(plan, production, name, typed);
            LIMITS.iter().map(blank).collect()
        }),
        stage: chosen.map_or_else(String::new, |s| {
            desk.href(&format!("/haze/{id}/stage?setup={}", encode(&s.code)))
        }),
        readings: readings(desk, &day),
        read_action: desk.href(&format!("/haze/{id}/readings")),
        codes: day
            .wants
            .iter()
            .map(|w| {
                (
                    w.setup.id.to_string(),
                    format!("{} {}", w.setup.code, w.setup.name),
                )
            })
            .collect(),
        clock: units::clock(now_ms()),
        fault: fault.to_owned(),
        typed: read.to_vec(),
        writes: desk.hand.role.writes(),
    };
    page(&page_of, !typed.is_empty() || !fault.is_empty())
}

fn sheet(desk: &Desk, day: &HazeDay<'_>, id: &str, asked: &Asked) -> Sheet {
    let room = day.stage.and_then(|s| s.volume_m3).map_or_else(
        || "room volume not written yet".to_owned(),
        |m3| format!("room {} m³", significant(m3, 3)),
    );
    let codes: Vec<_> = day.wants.iter().map(|w| w.setup.code.to_string()).collect();
    let base = desk.sheet(
        Tab::Haze,
        format!("Haze over stage day {}", day.walked.number),
        format!("{}, {room}. Nobody is inside a shut tent while it is filled; it is drawn out of doors before it is opened.", day.walked.day.name),
    );
    Sheet {
        cells: vec![
            cell("Setups", codes.join(" ")),
            cell("Scale of time", "to the ruler"),
        ],
        path: own(desk, id, asked),
        ..base
    }
}

fn days(desk: &Desk, here: &Id) -> Vec<Chosen> {
    let days = desk.plan.days_in_order().into_iter().enumerate();
    days.map(|(n, day)| Chosen {
        code: format!("Day {}", n + 1),
        name: day.name.to_string(),
        href: desk.href(&format!("/haze/{}", day.id)),
        here: day.id == *here,
    })
    .collect()
}

fn chosen<'a>(day: &HazeDay<'a>, code: &str) -> Option<&'a Entry<Setup>> {
    let named = day.wants.iter().find(|w| *w.setup.code == *code);
    let thickest = day
        .wants
        .iter()
        .max_by(|a, b| a.held.wanted_mgpm3.total_cmp(&b.held.wanted_mgpm3));
    named.or(thickest).map(|w| w.setup)
}

fn setups(desk: &Desk, day: &HazeDay<'_>, id: &str, here: Option<&Entry<Setup>>) -> Vec<Chosen> {
    day.wants
        .iter()
        .map(|w| Chosen {
            code: w.setup.code.to_string(),
            name: w.setup.name.to_string(),
            href: desk.href(&format!("/haze/{id}?setup={}", encode(&w.setup.code))),
            here: here.is_some_and(|h| h.id == w.setup.id),
        })
        .collect()
}

fn look(desk: &Desk, day: &HazeDay<'_>, setup: &Entry<Setup>, typed: &Typed) -> Option<Look> {
    let plan = &*desk.plan;
    let pass = plan.passes_of_setup(&setup.id).into_iter().next();
    let facts = Facts::of(plan, setup, pass);
    let lungs = rulers::rulers(&facts, day)?;
    Some(Look {
        code: setup.code.to_string(),
        wide: svg(&draw_lungs(&lungs, DrawingForm::Wide), "lungs-w"),
        narrow: svg(&draw_lungs(&lungs, DrawingForm::Narrow), "lungs-n"),
        figures: water::ledger(&facts),
        blanks: LOOK
            .iter()
            .map(|name| {
                let usual = facts.stand_in(setup, name);
                fields::blank_with(plan, setup, name, typed, usual)
            })
            .collect(),
        ways: ways::ways(&facts, day, &lungs),
        lamp: ways::move_the_lamp(&facts),
    })
}

/// The caution of the day: that of its thickest setup, or of haze as such.
fn caution(plan: &crate::plan::Plan, day: &HazeDay<'_>) -> Caution {
    let thickest = chosen(day, "");
    let own = thickest.and_then(|setup| {
        let pass = plan.passes_of_setup(&setup.id).into_iter().next();
        let facts = Facts::of(plan, setup, pass);
        let all = cautions::of_setup(&facts);
        all.into_iter().find(|c| c.head == "Haze")
    });
    let mut caution = own.unwrap_or_default();
    if let Some(setup) = thickest {
        caution.head = format!("Haze, thickest in {}", setup.code);
    } else {
        caution.head = "Haze".into();
        caution.body = "No setup of this day wants haze.".into();
    }
    caution.body.push_str(" These are sums, not measurements: a reading outranks them. Anyone with asthma may sit out without saying why. Log who is inside at each fill. Local rules, the safety data sheet and competent people come first.");
    caution
}
