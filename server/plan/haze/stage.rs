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
    plan::{haze::reading::Reading, production::AirLimits, setups::figures::step},
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
    /// The sum of the answer, and what it rests on; empty without one.
    sum: String,
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
    let limits = AirLimits::of(plan.production());
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
            "{} mg/m³ in this tent. Limits {} at any moment, {} over eight hours: {}.",
            significant(wanted.held.wanted_mgpm3, 3),
            given(limits.peak_mgpm3),
            given(limits.average_mgpm3),
            limits.whose()
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
        sum: String::new(),
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
        smoke.sum = thins(now, high, loss, wait);
        smoke.sentence = format!(
            "Thicker than wanted: wait {} min, or draw some out.",
            given(wait.ceil())
        );
    } else if now < low {
        let mg = (high - now) / wanted.hides_m2pg * 1000.0;
        let into_m3 = wanted.held.tent_m3.unwrap_or(day.air.room_m3);
        let grams = mg * into_m3 / 1000.0;
        let run_s = grams / day.air.airborne_gpmin * 60.0;
        smoke.run_s = given(run_s.ceil());
        smoke.sum = format!(
            "({} − {}) ÷ {} × {} ÷ {} × 60 = {} s: to the upper edge of the band, over what a gram hides (Mie table), times the air, over the grams a minute the machine keeps up.",
            step(high),
            step(now),
            step(wanted.hides_m2pg),
            step(into_m3),
            given(day.air.airborne_gpmin),
            significant(run_s, 3)
        );
        smoke.sentence = "Then wait until it hangs even, and read again.".into();
    } else {
        let until = (now / low).ln() / loss.max(1e-9) * 60.0;
        smoke.sum = thins(now, low, loss, until);
        smoke.next_min = given(until.floor().max(0.0));
        smoke.sentence = "Within its band.".into();
    }
    smoke
}

/// The sum of the thinning from one haze to another.
fn thins(from_per_m: f64, to_per_m: f64, loss_per_h: f64, minutes: f64) -> String {
    format!(
        "ln({} ÷ {}) ÷ {} × 60 = {} min: it thins by {} of itself an hour (well-mixed tent).",
        step(from_per_m),
        step(to_per_m),
        step(loss_per_h),
        significant(minutes, 3),
        step(loss_per_h)
    )
}

fn age_words(read: &Reading, age: Option<i64>) -> String {
    match age {
        Some(0) => "just now".to_owned(),
        Some(1) => "a minute ago".to_owned(),
        Some(minutes) => format!("{minutes} min ago"),
        None => format!("{} by {}", read.said_at, read.said_by),
    }
}
