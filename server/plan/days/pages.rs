//! The list of stage days, and one day on the clock.

use super::{
    acts,
    walk::{Placed, Walked, unwritten, walk},
};
use crate::{
    error::PageError,
    journal::{record::Entry, value::Id},
    plan::{Plan, days::day::Day, setups::pages::shots_of},
    web::{
        fields::{self, Typed},
        page::{Desk, cell, page},
        parts::Blank,
        problem::encode,
        routes::Routes,
        sheet::{Sheet, Tab},
        svg::{hatch_key, svg},
        units,
    },
};
use axum::{
    Form,
    extract::{Path, Query},
    response::{IntoResponse as _, Redirect, Response},
    routing::{get, post},
};
use stillair_calc::drawing::{
    Hatch,
    day::{Strip, stage_day},
};

/// Addresses of stage days.
pub fn routes() -> Routes {
    Routes::new()
        .route("/plans/{plan}/days", get(list).post(acts::add_day))
        .route("/plans/{plan}/days/{day}", get(show).post(write))
        .route("/plans/{plan}/days/{day}/order", post(acts::order))
        .route("/plans/{plan}/days/{day}/setups", post(acts::put_on))
        .route("/plans/{plan}/days/{day}/calls", post(acts::add_call))
        .route("/plans/{plan}/days/{day}/strike", post(acts::strike))
}

/// One line of the list.
struct Line {
    href: String,
    number: usize,
    name: String,
    date: String,
    call: String,
    out: String,
    ends: String,
    setups: String,
    broken: usize,
    strip: String,
    paper: String,
}

#[derive(askama::Template)]
#[template(path = "days/list.html")]
struct ListPage {
    sheet: Sheet,
    lines: Vec<Line>,
    unplanned: String,
    action: String,
    new: Vec<Blank>,
    fault: String,
    writes: bool,
}

async fn list(desk: Desk) -> Result<Response, PageError> {
    show_list(&desk, &[], String::new())
}

/// The list, with what a refused new day said.
///
/// # Errors
/// A template that fails.
pub fn show_list(
    desk: &Desk,
    typed: &[(String, String)],
    fault: String,
) -> Result<Response, PageError> {
    let plan = &desk.plan;
    let lines: Vec<Line> = plan
        .days_in_order()
        .into_iter()
        .filter_map(|d| Some(line(desk, &walk(plan, &d.id)?)))
        .collect();
    let placed: Vec<Id> = plan
        .day_setups
        .iter()
        .filter_map(|p| p.setup.clone())
        .collect();
    let unplanned: Vec<String> = plan
        .setups_in_order()
        .into_iter()
        .filter(|s| !placed.contains(&s.id))
        .map(|s| format!("{} {}", s.code, s.name))
        .collect();
    let subtitle = match lines.len() {
        0 => "No stage day yet.".to_owned(),
        1 => "One stage day.".to_owned(),
        n => format!("{n} stage days."),
    };
    let refused = !fault.is_empty();
    let sheet = Sheet {
        cells: vec![cell("Days", lines.len().to_string())],
        ..desk.sheet(Tab::Day, "Stage days", subtitle)
    };
    let new = ["name", "date", "call_clock_min", "wrap_clock_min"]
        .iter()
        .map(|name| acts::new_blank(plan, name, typed))
        .collect();
    let page_of = ListPage {
        sheet,
        lines,
        unplanned: unplanned.join(", "),
        action: desk.href("/days"),
        new,
        fault,
        writes: desk.hand.role.writes(),
    };
    page(&page_of, refused)
}

fn line(desk: &Desk, walked: &Walked<'_>) -> Line {
    let day = walked.day;
    let drawn = walked.drawn(|setup| Some(desk.href(&format!("/setups/{}", encode(&setup.code)))));
    Line {
        href: desk.href(&format!("/days/{}", day.id)),
        number: walked.number,
        name: day.name.to_string(),
        date: date(day),
        call: walked.clock(0),
        out: walked.clock(walked.rules.day_minutes),
        ends: walked.ends().unwrap_or_else(|| "—".into()),
        setups: walked
            .setups
            .iter()
            .map(|p| p.setup.code.to_string())
            .collect::<Vec<_>>()
            .join(" "),
        broken: walked.walk.broken.len(),
        strip: svg(
            &stage_day(&drawn, Strip::Wide),
            &format!("day{}", walked.number),
        ),
        paper: desk.href(&format!("/paper/days/{}", day.id)),
    }
}

/// The date in words, or that it is not set.
pub fn date(day: &Day) -> String {
    if day.date.is_empty() {
        "no date yet".into()
    } else {
        units::day_in_words(&day.date)
    }
}

/// A row of the order.
struct Row {
    place: String,
    number: usize,
    code: String,
    name: String,
    href: String,
    at: String,
    own_min: u32,
    takes: String,
    shots: String,
    held: String,
    broken: Vec<String>,
    first: bool,
    last: bool,
}

/// A line of "why this order".
struct Why {
    what: String,
    quantity: String,
    body: String,
}

/// A call of the day.
struct Call {
    blanks: Vec<Blank>,
    strike: String,
}

#[derive(askama::Template)]
#[template(path = "days/day.html")]
struct DayPage {
    sheet: Sheet,
    action: String,
    order: String,
    put_on: String,
    add_call: String,
    strike: String,
    paper: String,
    moved: String,
    number: i64,
    strip: String,
    keys: Vec<(String, &'static str)>,
    broken: Vec<String>,
    rows: Vec<Row>,
    why: Vec<Why>,
    not_written: String,
    blanks: Vec<Blank>,
    calls: Vec<Call>,
    new_call: Vec<Blank>,
    minutes: Vec<Blank>,
    others: Vec<(String, String)>,
    writes: bool,
}

/// What a move that was just made tells the page.
#[derive(serde::Deserialize)]
struct Moved {
    moved: Option<String>,
    was: Option<u32>,
}

/// The day of an address: its id, or its number from 1.
///
/// # Errors
/// None of either.
pub fn find_day<'a>(plan: &'a Plan, given: &str) -> Result<&'a Entry<Day>, PageError> {
    let by_id = Id::parse(given).and_then(|id| plan.days.get(&id));
    let by_number = || {
        given
            .parse::<usize>()
            .ok()
            .and_then(|n| plan.days_in_order().get(n.checked_sub(1)?).copied())
    };
    by_id
        .or_else(by_number)
        .ok_or_else(|| PageError::no_such("stage day"))
}

async fn show(
    desk: Desk,
    Path((_, day)): Path<(String, String)>,
    Query(moved): Query<Moved>,
) -> Result<Response, PageError> {
    let id = find_day(&desk.plan, &day)?.id.clone();
    show_day(&desk, &id, &Typed::none().read_by(&desk), &moved)
}

async fn write(
    desk: Desk,
    Path((_, day)): Path<(String, String)>,
    Form(form): Form<Vec<(String, String)>>,
) -> Result<Response, PageError> {
    let id = find_day(&desk.plan, &day)?.id.clone();
    let written = fields::write(desk, &form).await?;
    if written.desk.part || !written.typed.is_empty() {
        return show_day(
            &written.desk,
            &id,
            &written.typed,
            &Moved {
                moved: None,
                was: None,
            },
        );
    }
    Ok(Redirect::to(&written.desk.href(&format!("/days/{id}"))).into_response())
}

/// Fields of the production that are minutes of a day.
const MINUTES: &[&str] = &[
    "change_build_min",
    "change_variant_min",
    "change_strike_min",
    "change_rig_min",
    "change_unrig_min",
    "change_relight_min",
    "change_gel_min",
    "change_camera_min",
    "change_lens_min",
    "haze_clear_to_light_min",
    "haze_clear_to_dense_min",
    "haze_light_to_dense_min",
    "haze_light_to_clear_min",
    "haze_dense_to_clear_min",
    "haze_dense_to_light_min",
    "day_open_min",
    "day_close_min",
    "meal_min",
    "meal_earliest_min",
    "meal_latest_min",
    "turnaround_min",
];

fn show_day(desk: &Desk, id: &Id, typed: &Typed, moved: &Moved) -> Result<Response, PageError> {
    let plan = &*desk.plan;
    let walked = walk(plan, id).ok_or_else(|| PageError::no_such("stage day"))?;
    let base = desk.href(&format!("/days/{id}"));
    let drawn = walked.drawn(|setup| Some(desk.href(&format!("/setups/{}", encode(&setup.code)))));
    let day_blanks = [
        "name",
        "date",
        "stage",
        "call_clock_min",
        "wrap_clock_min",
        "meal_min",
        "first_aid",
        "competent_person",
        "detection",
        "note",
    ];
    let call_blanks = ["role", "call_clock_min", "needed_for"];
    let page_of = DayPage {
        sheet: day_sheet(desk, &walked),
        moved: moved_note(&walked, moved),
        number: plan.number(),
        strip: svg(&stage_day(&drawn, Strip::Wide), "day"),
        keys: KEYS
            .iter()
            .map(|(hatch, words)| (hatch_key(*hatch, "day"), *words))
            .collect(),
        broken: walked.broken(None),
        rows: walked
            .setups
            .iter()
            .enumerate()
            .map(|(i, p)| row(desk, &walked, i, p))
            .collect(),
        why: why(&walked),
        not_written: not_written(&walked),
        blanks: day_blanks
            .iter()
            .map(|n| fields::blank(plan, walked.day, n, typed))
            .collect(),
        calls: plan
            .calls_of_day(id)
            .into_iter()
            .map(|call| Call {
                blanks: call_blanks
                    .iter()
                    .map(|n| fields::blank(plan, call, n, typed))
                    .collect(),
                strike: call.id.to_string(),
            })
            .collect(),
        new_call: call_blanks
            .iter()
            .map(|n| acts::new_call_blank(plan, n))
            .collect(),
        minutes: plan
            .production()
            .map(|p| {
                MINUTES
                    .iter()
                    .map(|n| fields::blank(plan, p, n, typed))
                    .collect()
            })
            .unwrap_or_default(),
        others: others(plan),
        order: format!("{base}/order"),
        put_on: format!("{base}/setups"),
        add_call: format!("{base}/calls"),
        strike: format!("{base}/strike"),
        paper: desk.href(&format!("/paper/days/{id}")),
        writes: desk.hand.role.writes(),
        action: base,
    };
    page(&page_of, !typed.is_empty())
}

const KEYS: &[(Hatch, &str)] = &[
    (Hatch::Clear, "Clear the air"),
    (Hatch::Set, "Set and dress"),
    (Hatch::Light, "Light"),
    (Hatch::Fill, "Fill with haze"),
    (Hatch::Still, "Wait"),
];

fn day_sheet(desk: &Desk, walked: &Walked<'_>) -> Sheet {
    let day = walked.day;
    let stage = day
        .stage
        .as_ref()
        .and_then(|id| desk.plan.studio.stages.get(id))
        .map(|s| format!(", {}", s.name))
        .unwrap_or_default();
    let ends = walked
        .ends()
        .map(|clock| format!(" Plan ends {clock}."))
        .unwrap_or_default();
    let subtitle = format!(
        "{}{stage}. Call {}, out {}.{ends}",
        date(day),
        walked.clock(0),
        walked.clock(walked.rules.day_minutes)
    );
    let name = if day.name.is_empty() {
        format!("Stage day {}", walked.number)
    } else {
        format!("Stage day {}: {}", walked.number, day.name)
    };
    let codes = walked
        .setups
        .iter()
        .map(|p| p.setup.code.to_string())
        .collect::<Vec<_>>()
        .join(" ");
    Sheet {
        cells: vec![cell("Setups", codes), cell("Scale of time", "to the ruler")],
        remarks: Some(crate::plan::remarks::short(&desk.plan, day.id.as_str())),
        ..desk.sheet(Tab::Day, name, subtitle)
    }
}

/// What a move did, said at the head of the page.
fn moved_note(walked: &Walked<'_>, moved: &Moved) -> String {
    let Some(code) = &moved.moved else {
        return String::new();
    };
    let now = walked.ends().unwrap_or_else(|| "nothing".into());
    let finish = match moved.was {
        Some(was) if was == walked.walk.finish_min => format!("the finish stays at {now}"),
        Some(was) => format!("finish from {} to {now}", walked.clock(was)),
        None => format!("plan ends {now}"),
    };
    let rules = walked.broken(None);
    let broken = if rules.is_empty() {
        String::new()
    } else {
        format!(" Broken: {}", rules.join(" "))
    };
    let code: String = code.chars().take(20).collect();
    format!("{code} moved: {finish}.{broken}")
}

fn row(desk: &Desk, walked: &Walked<'_>, index: usize, placed: &Placed<'_>) -> Row {
    let setup = placed.setup;
    let clock = walked
        .walk
        .rows
        .get(index)
        .map(|r| walked.clock(r.start_min))
        .unwrap_or_default();
    let held = match setup.ready_clock_min {
        Some(ready) => {
            #[expect(clippy::cast_precision_loss, reason = "minutes of a day")]
            let clock = units::minutes_clock(ready as f64);
            format!(
                "not before {clock}{}{}",
                if setup.ready_note.is_empty() {
                    ""
                } else {
                    ": "
                },
                setup.ready_note
            )
        }
        None => setup.ready_note.to_string(),
    };
    Row {
        place: placed.place.id.to_string(),
        number: index + 1,
        code: setup.code.to_string(),
        name: setup.name.to_string(),
        href: desk.href(&format!("/setups/{}", encode(&setup.code))),
        at: clock,
        own_min: placed.own_min,
        takes: setup.takes.unwrap_or(5).to_string(),
        shots: shots_of(&desk.plan, setup),
        held,
        broken: walked.broken(Some(index)),
        first: index == 0,
        last: index + 1 == walked.setups.len(),
    }
}

fn why(walked: &Walked<'_>) -> Vec<Why> {
    let mut lines = Vec::new();
    let mut before: Option<&str> = None;
    for placed in &walked.setups {
        let code = &*placed.setup.code;
        let Some(row) = &placed.why else {
            before = Some(code);
            continue;
        };
        let minutes: u32 = row.changes.iter().map(|(_, m)| m).sum();
        let what = match before {
            Some(before) => format!("{before} to {code}"),
            None => format!("{code} after the night"),
        };
        let stays = row.stays_in_words();
        let mut body = if stays.is_empty() {
            "Nothing stays.".to_owned()
        } else {
            format!("{}{}.", stays[..1].to_uppercase(), &stays[1..])
        };
        if !row.changes.is_empty() {
            let parts: Vec<_> = row
                .changes
                .iter()
                .map(|(part, m)| format!("{} {m}", words(*part)))
                .collect();
            body = format!("{body} Changes, in minutes: {}.", parts.join(", "));
        }
        if row.purge_saved_min > 0 {
            body = format!(
                "{body} The night clears the air: {} minutes of purge saved.",
                row.purge_saved_min
            );
        }
        lines.push(Why {
            what,
            quantity: format!("{minutes} min"),
            body,
        });
        before = Some(code);
    }
    lines
}

fn words(part: stillair_calc::stage_day::changeover::Part) -> &'static str {
    use stillair_calc::stage_day::changeover::Part;
    match part {
        Part::Dressing => "dressing",
        Part::Rig => "rig",
        Part::Light => "light",
        Part::Gels => "gels",
        Part::Camera => "camera",
        Part::Lens => "lens",
        Part::HazeUp => "fill",
        Part::HazeDown => "clear the air",
    }
}

/// Attributes that are not written count as a setup's own: said, since they cost minutes.
fn not_written(walked: &Walked<'_>) -> String {
    let of = |p: &Placed<'_>| {
        Some((p.setup.code.to_string(), unwritten(p.setup))).filter(|(_, list)| !list.is_empty())
    };
    let list: Vec<_> = walked
        .setups
        .iter()
        .filter_map(of)
        .map(|(code, list)| format!("{code}: {}", list.join(", ")))
        .collect();
    if list.is_empty() {
        String::new()
    } else {
        format!(
            "Not written yet, so a change is reckoned with: {}.",
            list.join("; ")
        )
    }
}

/// Setups that are on no day.
fn others(plan: &Plan) -> Vec<(String, String)> {
    let placed: Vec<&Id> = plan
        .day_setups
        .iter()
        .filter_map(|p| p.setup.as_ref())
        .collect();
    plan.setups_in_order()
        .into_iter()
        .filter(|s| !placed.contains(&&s.id))
        .map(|s| (s.id.to_string(), format!("{} {}", s.code, s.name)))
        .collect()
}
