//! The haze on a phone on the stage, always in blackout: what was wanted, what was read, how long the machine runs now, and
//! the next reading.

use super::{
    day::{HazeDay, Wants, haze_day, newest_of},
    pages::Asked,
    readings::{ReadLine, read_line},
};
use crate::{
    error::PageError,
    journal::{record::Entry, value::Id, writer::now_ms},
    plan::haze::reading::Reading,
    web::{
        look::Look,
        page::{Desk, page},
        sheet::{Sheet, Tab},
        units,
    },
};
use axum::{
    extract::{Path, Query},
    response::Response,
};
use stillair_calc::figure::{given, significant};

/// A reading older than this says little about now.
const STALE_MIN: i64 = 45;

/// What to do about the smoke now.
struct Smoke {
    /// "8" seconds; empty when nothing is to be done or nothing was read.
    run_s: String,
    /// Minutes until the next top-up, by the thinning.
    next_min: String,
    wanted: String,
    /// What was read, and its age in words.
    read: String,
    /// What stands now, reckoned from the reading.
    now: String,
    sentence: String,
}

#[derive(askama::Template)]
#[template(path = "haze/stage.html")]
struct StagePage {
    sheet: Sheet,
    code: String,
    name: String,
    clock: String,
    setup: String,
    smoke: Smoke,
    others: Vec<(String, String, bool)>,
    read_action: String,
    back: String,
    limit: String,
    readings: Vec<ReadLine>,
    writes: bool,
}

/// The page.
pub async fn show(
    mut desk: Desk,
    Path((_, id)): Path<(String, String)>,
    Query(asked): Query<Asked>,
) -> Result<Response, PageError> {
    desk.look = Look::Blackout;
    let plan = desk.plan.clone();
    let no_such = || PageError::no_such("stage day");
    let day_id = Id::parse(&id).ok_or_else(no_such)?;
    let day = haze_day(&plan, &day_id).ok_or_else(no_such)?;
    let wanted = day
        .wants
        .iter()
        .find(|w| *w.setup.code == *asked.setup)
        .or_else(|| day.wants.first());
    let wanted = wanted.ok_or_else(|| {
        PageError::NotFound("No setup of this day wants haze; write its reach first.".into())
    })?;
    let (peak, average) = super::rulers::limits(&plan);
    let here = |code: &str| {
        desk.href(&format!(
            "/haze/{id}/stage?setup={}",
            crate::web::problem::encode(code)
        ))
    };
    let newest = newest_of(&plan, &wanted.setup.id);
    let mut own: Vec<&Entry<Reading>> = plan
        .readings
        .iter()
        .filter(|r| r.setup.as_ref() == Some(&wanted.setup.id))
        .collect();
    own.sort_by_key(|r| std::cmp::Reverse(r.created_seq));
    let mut sheet = desk.sheet(
        Tab::Haze,
        format!("Smoke, {}", wanted.setup.code),
        String::new(),
    );
    sheet.path = here(&wanted.setup.code);
    let page_of = StagePage {
        code: wanted.setup.code.to_string(),
        name: wanted.setup.name.to_string(),
        clock: units::clock(now_ms()),
        setup: wanted.setup.id.to_string(),
        smoke: smoke(&day, wanted, newest, clock_min()),
        others: day
            .wants
            .iter()
            .map(|w| {
                (
                    w.setup.code.to_string(),
                    here(&w.setup.code),
                    w.setup.id == wanted.setup.id,
                )
            })
            .collect(),
        read_action: desk.href(&format!("/haze/{id}/readings")),
        back: sheet.path.clone(),
        limit: format!(
            "{} mg/m³ in this tent. Limits {peak} at any moment, {average} over eight hours: {}.",
            significant(wanted.held.wanted_mgpm3, 3),
            super::rulers::authority(&plan)
        ),
        readings: own
            .into_iter()
            .take(5)
            .map(|r| read_line(&desk, r))
            .collect(),
        writes: desk.hand.role.writes(),
        sheet,
    };
    page(&page_of, false)
}

/// Minutes after midnight on the stage's clock.
fn clock_min() -> i64 {
    let clock = units::clock(now_ms());
    let parts = clock.split_once(':');
    let minutes =
        parts.and_then(|(h, m)| Some(h.parse::<i64>().ok()? * 60 + m.parse::<i64>().ok()?));
    minutes.unwrap_or(0)
}

fn smoke(
    day: &HazeDay<'_>,
    wanted: &Wants<'_>,
    newest: Option<(&Entry<Reading>, f64)>,
    now_min: i64,
) -> Smoke {
    let sigma = wanted.extinction_per_m;
    let mut smoke = Smoke {
        run_s: String::new(),
        next_min: String::new(),
        wanted: significant(sigma, 3),
        read: "nothing yet".into(),
        now: String::new(),
        sentence: "Read it before the first take: two cards, clear and in haze.".into(),
    };
    let Some((read, was)) = newest else {
        return smoke;
    };
    let age = read
        .at_clock_min
        .map(|at| now_min - at)
        .filter(|age| (0..STALE_MIN).contains(age));
    smoke.read = format!("{}, {}", significant(was, 3), age_words(read, age));
    let Some(age) = age else {
        smoke.sentence = "That is too old to reckon from: read again.".into();
        return smoke;
    };
    #[expect(clippy::cast_precision_loss, reason = "minutes of a day")]
    let hours = age as f64 / 60.0;
    let loss = day.leak.total_per_h;
    let now = was * (-loss * hours).exp();
    smoke.now = significant(now, 3);
    let (low, high) = (sigma * (1.0 - day.air.band), sigma * (1.0 + day.air.band));
    if now > high {
        let wait = (now / high).ln() / loss.max(1e-9) * 60.0;
        smoke.sentence = format!(
            "Thicker than wanted: wait {} min, or draw some out.",
            given(wait.ceil())
        );
    } else if now < low {
        let mg = (high - now) / wanted.hides_m2pg * 1000.0;
        let grams = mg * wanted.held.tent_m3.unwrap_or(day.air.room_m3) / 1000.0;
        let run_s = grams / day.air.airborne_gpmin * 60.0;
        smoke.run_s = given(run_s.ceil());
        smoke.sentence = "Then wait until it hangs even, and read again.".into();
    } else {
        let until = (now / low).ln() / loss.max(1e-9) * 60.0;
        smoke.next_min = given(until.floor().max(0.0));
        smoke.sentence = "Within its band.".into();
    }
    smoke
}

fn age_words(read: &Reading, age: Option<i64>) -> String {
    match age {
        Some(0) => "just now".to_owned(),
        Some(1) => "a minute ago".to_owned(),
        Some(minutes) => format!("{minutes} min ago"),
        None => format!("{} by {}", read.said_at, read.said_by),
    }
}
