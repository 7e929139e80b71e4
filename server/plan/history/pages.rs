//! The history as a page, and putting an earlier value back.

use super::{
    queries::{self, Wanted},
    words::{self, Said},
};
use crate::{
    error::PageError,
    journal::{
        change::{Change, Op, OpKind},
        field::Kind,
        load,
        record::AnyEntry,
        value::Id,
    },
    plan::{Plan, Scope as _},
    web::{
        page::{Desk, page},
        problem::encode,
        routes::Routes,
        sheet::{Sheet, Tab},
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

/// Changes on one page.
const A_PAGE: i64 = 200;
/// So many of a batch are shown before the rest is folded away.
const UNFOLDED: usize = 3;

/// Addresses of the history.
pub fn routes() -> Routes {
    Routes::new()
        .route("/plans/{plan}/history", get(show))
        .route("/plans/{plan}/history/{seq}", post(put_back))
}

/// What the address asks for.
#[derive(Clone, Debug, Default, Deserialize)]
pub struct Asked {
    #[serde(default)]
    who: String,
    #[serde(default)]
    thing: String,
    #[serde(default)]
    day: String,
    #[serde(default)]
    batch: String,
    before: Option<String>,
    done: Option<String>,
}

/// One change.
struct Line {
    seq: i64,
    clock: String,
    who: String,
    said: Said,
    /// The plan as it stood right after it.
    moment: String,
    /// What its button does and says; empty for none.
    act: &'static str,
    act_says: String,
}

/// Changes that were written together, or one alone.
struct Group {
    lines: Vec<Line>,
    folded: Vec<Line>,
}

struct Day {
    words: String,
    groups: Vec<Group>,
}

#[derive(askama::Template)]
#[template(path = "history.html")]
struct HistoryPage {
    sheet: Sheet,
    asked: Asked,
    days: Vec<Day>,
    writers: Vec<(String, String)>,
    things: Vec<(String, String)>,
    older: String,
    base: String,
    query: String,
    writes: bool,
}

/// The page.
pub async fn show(desk: Desk, Query(asked): Query<Asked>) -> Result<Response, PageError> {
    let plan = &*desk.plan;
    let wanted = wanted(plan, &asked)?;
    let changes = queries::changes(&desk.app.store, &plan.id, &wanted, A_PAGE).await?;
    let writers = queries::writers(&desk.app.store, &plan.id).await?;
    let full = i64::try_from(changes.len()).is_ok_and(|n| n == A_PAGE);
    let last = changes.last().map(|c| c.seq);
    let called = plan
        .anything(&asked.thing)
        .map(|thing| crate::web::fields::called(plan, thing))
        .unwrap_or_default();
    let mut sheet = desk.sheet(
        Tab::Cut,
        "History",
        if called.is_empty() {
            "Every change of this plan, the newest first. Nothing is ever taken out.".to_owned()
        } else {
            format!("Every change of {called} and what hangs on it, the newest first.")
        },
    );
    sheet.current = None;
    if asked.done.is_some() && sheet.notice.is_empty() {
        "Put back. It is a change like any other: rub it out, or find it here."
            .clone_into(&mut sheet.notice);
    }
    let base = desk.href("/history");
    let page_of = HistoryPage {
        writers: writers
            .into_iter()
            .map(|actor| {
                let name = desk.app.name_of(&actor, &desk.hand);
                (actor, name)
            })
            .collect(),
        things: things(plan, &asked.thing, called),
        older: last
            .filter(|_| full)
            .map(|seq| format!("{base}{}", query(&asked, Some(seq))))
            .unwrap_or_default(),
        query: query(&asked, None),
        days: days(&desk, changes),
        writes: desk.hand.role.writes() && plan.moment.is_none(),
        base,
        asked,
        sheet,
    };
    page(&page_of, false)
}

fn query(asked: &Asked, before: Option<i64>) -> String {
    let before = before.map(|n| n.to_string()).or(asked.before.clone());
    let pairs = [
        ("who", asked.who.clone()),
        ("thing", asked.thing.clone()),
        ("day", asked.day.clone()),
        ("batch", asked.batch.clone()),
        ("before", before.unwrap_or_default()),
    ];
    let pairs: Vec<_> = pairs
        .into_iter()
        .filter(|(_, value)| !value.is_empty())
        .map(|(name, value)| format!("{name}={}", encode(&value)))
        .collect();
    if pairs.is_empty() {
        String::new()
    } else {
        format!("?{}", pairs.join("&"))
    }
}

fn wanted(plan: &Plan, asked: &Asked) -> Result<Wanted, PageError> {
    let day = if asked.day.is_empty() {
        None
    } else {
        let fault = || PageError::BadRequest("A day is written as 2027-03-11.".into());
        let day: jiff::civil::Date = asked.day.parse().map_err(|_| fault())?;
        let start = |day: jiff::civil::Date| {
            let midnight = day.to_datetime(jiff::civil::Time::midnight());
            let at = jiff::tz::TimeZone::system().to_timestamp(midnight);
            at.map(jiff::Timestamp::as_millisecond)
        };
        let next = day.tomorrow().map_err(|_| fault())?;
        Some((
            start(day).map_err(|_| fault())?,
            start(next).map_err(|_| fault())?,
        ))
    };
    let before = asked.before.as_deref().and_then(|n| n.parse().ok());
    Ok(Wanted {
        who: asked.who.clone(),
        things: belonging(plan, &asked.thing),
        from_ms: day.map(|(from, _)| from),
        to_ms: day.map(|(_, to)| to),
        batch: asked.batch.clone(),
        // A moment has no change after it.
        before: before.or(plan.moment.map(|seq| seq + 1)),
    })
}

/// A thing with everything that refers to it: a setup's passes and what stands in it, a shot's passes and sightings.
pub fn belonging(plan: &Plan, thing: &str) -> Vec<String> {
    if thing.is_empty() {
        return Vec::new();
    }
    let refers = |entry: &&dyn AnyEntry| {
        (0..entry.kind().fields.len()).any(|at| {
            matches!(entry.kind().fields[at].blank.kind, Kind::Reference(_))
                && entry.get(at).as_text() == Some(thing)
        })
    };
    let lists = plan.lists();
    let hanging = lists
        .iter()
        .flat_map(|list| list.entries())
        .filter(refers)
        .map(|entry| entry.id().to_string());
    std::iter::once(thing.to_owned()).chain(hanging).collect()
}

/// What can be chosen: setups and shots, and whatever is chosen.
pub fn things(plan: &Plan, chosen: &str, called: String) -> Vec<(String, String)> {
    let setups = plan
        .setups_in_order()
        .into_iter()
        .map(|s| (s.id.to_string(), format!("{} {}", s.code, s.name)));
    let shots = plan
        .shots_in_order()
        .into_iter()
        .map(|s| (s.id.to_string(), format!("{} {}", s.code, s.name)));
    let mut all: Vec<_> = setups.chain(shots).collect();
    if !called.is_empty() && all.iter().all(|(id, _)| id != chosen) {
        all.insert(0, (chosen.to_owned(), called));
    }
    all
}

fn days(desk: &Desk, changes: Vec<Change>) -> Vec<Day> {
    let mut days: Vec<Day> = Vec::new();
    let mut batch = None;
    for change in changes {
        let words = units::day_in_words(&units::iso_day(change.at_server_ms));
        if days.last().is_none_or(|day| day.words != words) {
            days.push(Day {
                words,
                groups: Vec::new(),
            });
            batch = None;
        }
        let Some(day) = days.last_mut() else {
            continue;
        };
        let line = line(desk, &change);
        let goes_with = change.batch.is_some() && change.batch == batch;
        batch = change.batch;
        match day.groups.last_mut().filter(|_| goes_with) {
            Some(group) if group.lines.len() < UNFOLDED => group.lines.push(line),
            Some(group) => group.folded.push(line),
            None => day.groups.push(Group {
                lines: vec![line],
                folded: Vec::new(),
            }),
        }
    }
    days
}

fn line(desk: &Desk, change: &Change) -> Line {
    let plan = &*desk.plan;
    let said = words::said(plan, change);
    let (act, act_says) = act(plan, change, &said);
    Line {
        seq: change.seq,
        clock: units::clock(change.at_server_ms),
        who: desk.app.name_of(&change.actor, &desk.hand),
        moment: format!("/plans/{}@{}/cut", plan.id, change.seq),
        said,
        act,
        act_says,
    }
}

/// What can be put back from a change: the value it wrote, or, while that stands, the one before; a thing it struck out.
fn act(plan: &Plan, change: &Change, said: &Said) -> (&'static str, String) {
    let Some(entry) = plan.anything(change.entity.as_str()) else {
        return ("", String::new());
    };
    if change.kind == OpKind::Remove && entry.removed_seq() > 0 {
        return ("restore", "Put it back".into());
    }
    let index = change.field.as_deref().and_then(|f| entry.kind().index(f));
    let (Some(index), Some(before), Some(after)) = (index, &said.before, &said.after) else {
        return ("", String::new());
    };
    if entry.removed_seq() > 0 {
        return ("", String::new());
    }
    let now = entry.get(index).to_json();
    if now != *words::written(change) {
        ("value", format!("Put back {after}"))
    } else if now != change.before {
        ("before", format!("Put back {before}"))
    } else {
        ("", String::new())
    }
}

/// What the button of a change sends.
#[derive(Deserialize)]
pub struct PutBack {
    #[serde(rename = "do")]
    act: String,
    #[serde(default)]
    query: String,
}

/// Puts back what a change wrote, or what stood before it, as a change of this hand.
pub async fn put_back(
    desk: Desk,
    Path((_, seq)): Path<(String, String)>,
    Form(form): Form<PutBack>,
) -> Result<Response, PageError> {
    desk.hand.may_write()?;
    let no_such = || PageError::no_such("change");
    let seq: i64 = seq.parse().map_err(|_| no_such())?;
    let mut db = desk
        .app
        .store
        .readers()
        .acquire()
        .await
        .map_err(crate::store::StoreError::from)?;
    let change = load::change(&mut db, seq)
        .await
        .map_err(crate::store::StoreError::from)?
        .filter(|c| c.plan.as_ref().is_none_or(|p| *p == desk.plan.id))
        .ok_or_else(no_such)?;
    drop(db);
    let op = op(&desk.plan, &change, &form.act).ok_or_else(no_such)?;
    let done = desk.write(vec![op]).await?;
    let query = form.query.trim_start_matches('?');
    let query = if query.is_empty() {
        format!("?done={done}")
    } else {
        format!("?{query}&done={done}")
    };
    Ok(Redirect::to(&desk.href(&format!("/history{query}"))).into_response())
}

fn op(plan: &Plan, change: &Change, act: &str) -> Option<Op> {
    let number = plan.number();
    let entity: Id = change.entity.clone();
    if act == "restore" {
        return Some(Op::restore(entity, number));
    }
    let field = change.field.as_deref()?;
    let value = match act {
        "value" => words::written(change),
        "before" => &change.before,
        _ => return None,
    };
    Some(Op::set(entity, field, number, value.clone()))
}
