//! Readings of the air: listed, written down, refused in words when they cannot be, struck out.

use super::{
    day::{self, HazeDay},
    pages::{Asked, own, render},
    reading::{self, KIND, Reading},
};
use crate::{
    error::PageError,
    journal::{
        change::Op,
        record::{Entry, Record as _},
        value::Id,
        writer::now_ms,
    },
    web::{fields::Typed, look::own_path, page::Desk, units},
};
use axum::{
    Form,
    extract::Path,
    response::{IntoResponse as _, Redirect, Response},
};
use serde_json::{Map, Value, json};
use stillair_calc::{
    Calculate as _,
    figure::significant,
    haze_fill::{ExtinctionFromMeter, LossRateFromTwoReadings},
    haze_optics::ExtinctionFromCards,
};

/// A reading as a line.
pub(super) struct ReadLine {
    pub kind: &'static str,
    pub of: String,
    pub shows: String,
    pub who: String,
    pub id: String,
}

/// Readings of a day, and the leaks of the plan, the newest first.
pub(super) fn readings(desk: &Desk, day: &HazeDay<'_>) -> Vec<ReadLine> {
    let mut all: Vec<_> = desk
        .plan
        .readings
        .iter()
        .filter(|r| r.day.as_ref() == Some(&day.walked.day.id) || &*r.kind == "leak")
        .collect();
    all.sort_by_key(|r| std::cmp::Reverse(r.created_seq));
    all.into_iter().map(|r| read_line(desk, r)).collect()
}

pub(super) fn read_line(desk: &Desk, read: &Entry<Reading>) -> ReadLine {
    let kind = KIND.iter().find(|(code, _)| *code == &*read.kind);
    let shows = match &*read.kind {
        "leak" => day::lost_per_h(read).map(|l| format!("{} of itself an hour", significant(l, 2))),
        "room" => read
            .room_mgpm3
            .map(|mg| format!("{} mg/m³", significant(mg, 3))),
        _ => reading::extinction_per_m(read).map(|s| format!("{} per m", significant(s, 3))),
    };
    let setup = read.setup.as_ref().and_then(|id| desk.plan.setups.get(id));
    ReadLine {
        kind: kind.map_or("", |(_, words)| *words),
        of: setup.map(|s| s.code.to_string()).unwrap_or_default(),
        shows: shows.unwrap_or_else(|| "does not come out".into()),
        who: format!("{}, {}", read.said_by, read.said_at),
        id: read.id.to_string(),
    }
}

/// Writes a reading down, or takes one back.
pub(super) async fn read(
    desk: Desk,
    Path((_, day)): Path<(String, String)>,
    Form(form): Form<Vec<(String, String)>>,
) -> Result<Response, PageError> {
    desk.hand.may_write()?;
    let text = |name: &str| {
        let found = form.iter().find(|(n, _)| n == name);
        found.map_or("", |(_, v)| v.trim())
    };
    let asked = Asked::default();
    let back = if text("back").is_empty() {
        own(&desk, &day, &asked)
    } else {
        own_path(text("back")).to_owned()
    };
    if let Some(id) = Id::parse(text("strike")).filter(|id| desk.plan.readings.get(id).is_some()) {
        let op = Op::remove(id, desk.plan.number());
        desk.write(vec![op]).await?;
        return Ok(Redirect::to(&back).into_response());
    }
    match fields_of(&desk, &day, &form) {
        Ok(fields) => {
            let op = Op::insert("reading", Id::new(), fields);
            match desk.write(vec![op]).await {
                Ok(_) => Ok(Redirect::to(&format!("{back}#readings")).into_response()),
                Err(PageError::Invalid(sentence, _)) => {
                    render(&desk, &day, &asked, &Typed::none(), &form, &sentence)
                }
                Err(error) => Err(error),
            }
        }
        Err(sentence) => render(&desk, &day, &asked, &Typed::none(), &form, &sentence),
    }
}

/// The fields of a reading as its form has them; a sentence on what is missing or cannot be.
fn fields_of(desk: &Desk, day: &str, form: &[(String, String)]) -> Result<Value, String> {
    let kind = Reading::KIND;
    let mut fields = Map::new();
    for (name, text) in form {
        let Some(index) = kind.index(name) else {
            continue;
        };
        let value = kind.fields[index]
            .parse(text.trim())
            .map_err(|r| r.problem)?;
        fields.insert(name.clone(), value.to_json());
    }
    let needs: &[&str] = match fields.get("kind").and_then(Value::as_str) {
        Some("cards") => &[
            "white_clear",
            "black_clear",
            "white_haze",
            "black_haze",
            "distance_m",
        ],
        Some("meter") => &["clear_lx", "haze_lx", "path_m"],
        Some("leak") => &["first_per_m", "second_per_m", "minutes_between"],
        Some("room") => &["room_mgpm3"],
        _ => return Err("Choose how it was read.".into()),
    };
    let missing: Vec<&str> = needs
        .iter()
        .filter(|name| fields.get(**name).is_none_or(Value::is_null))
        .filter_map(|name| Some(kind.fields[kind.index(name)?].label))
        .collect();
    if !missing.is_empty() {
        return Err(format!("Still to write: {}.", missing.join(", ")));
    }
    fields.insert("day".into(), json!(day));
    fields.insert("said_by".into(), json!(desk.hand.shown()));
    fields.insert("said_at".into(), json!(units::day_and_clock(now_ms())));
    comes_out(&fields)?;
    Ok(fields.into())
}

/// A reading that cannot be is refused before it is written: the calculation says why.
fn comes_out(fields: &Map<String, Value>) -> Result<(), String> {
    let n = |name: &str| fields.get(name).and_then(Value::as_f64).unwrap_or(0.0);
    let said = match fields.get("kind").and_then(Value::as_str) {
        Some("cards") => ExtinctionFromCards {
            white_clear: n("white_clear"),
            black_clear: n("black_clear"),
            white_haze: n("white_haze"),
            black_haze: n("black_haze"),
            distance_m: n("distance_m"),
        }
        .work()
        .map(|_| ()),
        Some("meter") => ExtinctionFromMeter {
            clear_reading_lx: n("clear_lx"),
            haze_reading_lx: n("haze_lx"),
            path_m: n("path_m"),
        }
        .work()
        .map(|_| ()),
        Some("leak") => LossRateFromTwoReadings {
            extinction_first_per_m: n("first_per_m"),
            extinction_second_per_m: n("second_per_m"),
            minutes_between: n("minutes_between"),
        }
        .work()
        .map(|_| ()),
        _ => Ok(()),
    };
    said.map_err(|faults| {
        let first = faults.first().map(|f| f.problem.clone());
        first.unwrap_or_else(|| "These numbers cannot stand together.".into())
    })
}
