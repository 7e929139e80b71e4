//! The sheet of remarks, writing and settling them, and what the title block says of them.

use super::remark::Remark;
use crate::{
    error::PageError,
    journal::{
        change::Op,
        record::Entry,
        value::{Id, Value},
        writer::now_ms,
    },
    plan::{Plan, history},
    web::{
        page::{Desk, page},
        problem::encode,
        routes::Routes,
        sheet::{Remarked, Sheet, Tab},
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
use serde_json::json;

/// Longest piece of a remark in the title block, in characters.
const IN_THE_BLOCK: usize = 42;

/// Addresses of remarks.
pub fn routes() -> Routes {
    Routes::new()
        .route("/plans/{plan}/remarks", get(show).post(say))
        .route("/plans/{plan}/remarks/{remark}", post(settle))
}

fn is_open(remark: &Entry<Remark>) -> bool {
    &*remark.standing != "settled"
}

/// Open remarks on a thing and what hangs on it, or on everything; the newest first.
fn open_on<'p>(plan: &'p Plan, thing: &str) -> Vec<&'p Entry<Remark>> {
    if plan.remarks.is_empty() {
        return Vec::new();
    }
    let things = history::belonging(plan, thing);
    let mut open: Vec<_> = plan
        .remarks
        .iter()
        .filter(|r| is_open(r) && (thing.is_empty() || things.iter().any(|t| **t == *r.about)))
        .collect();
    open.sort_by_key(|r| std::cmp::Reverse(r.created_seq));
    open
}

/// What the title block says: how many are open on this sheet's thing, and the newest.
pub fn short(plan: &Plan, thing: &str) -> Remarked {
    let open = open_on(plan, thing);
    let query = if thing.is_empty() {
        String::new()
    } else {
        format!("?thing={}", encode(thing))
    };
    Remarked {
        href: format!("{}/remarks{query}", plan.path()),
        open: open.len(),
        newest: open
            .first()
            .map(|r| shortened(&r.words))
            .unwrap_or_default(),
    }
}

fn shortened(words: &str) -> String {
    if words.chars().count() <= IN_THE_BLOCK {
        return words.to_owned();
    }
    words.chars().take(IN_THE_BLOCK).chain(['…']).collect()
}

struct Line {
    id: String,
    thing: String,
    href: String,
    words: String,
    by: String,
    settled_by: String,
    is_open: bool,
}

#[derive(askama::Template)]
#[template(path = "remarks.html")]
struct RemarksPage {
    sheet: Sheet,
    lines: Vec<Line>,
    settled: Vec<Line>,
    things: Vec<(String, String)>,
    thing: String,
    action: String,
    words: String,
    fault: String,
    says: bool,
}

/// What the address asks for.
#[derive(Default, Deserialize)]
pub struct Asked {
    #[serde(default)]
    thing: String,
}

fn render(desk: &Desk, thing: &str, words: &str, fault: &str) -> Result<Response, PageError> {
    let plan = &*desk.plan;
    let things = history::belonging(plan, thing);
    let mut all: Vec<_> = plan
        .remarks
        .iter()
        .filter(|r| thing.is_empty() || things.iter().any(|t| **t == *r.about))
        .collect();
    all.sort_by_key(|r| std::cmp::Reverse(r.created_seq));
    let (open, settled): (Vec<_>, Vec<_>) = all.into_iter().partition(|r| is_open(r));
    let line = |r: &Entry<Remark>| {
        let about = plan.anything(&r.about);
        Line {
            id: r.id.to_string(),
            thing: about.map_or_else(|| "The plan".to_owned(), |a| history::called(plan, a)),
            href: about.map(|a| history::href(plan, a)).unwrap_or_default(),
            words: r.words.to_string(),
            by: format!("{}, {}", r.said_by, r.said_at),
            settled_by: r.settled_by.to_string(),
            is_open: is_open(r),
        }
    };
    let called = plan
        .anything(thing)
        .map(|a| history::called(plan, a))
        .unwrap_or_default();
    let mut sheet = desk.sheet(
        Tab::Cut,
        "Remarks",
        if called.is_empty() {
            "Short words on anything in the plan, open until somebody settles them.".to_owned()
        } else {
            format!("On {called} and what hangs on it.")
        },
    );
    sheet.current = None;
    let page_of = RemarksPage {
        lines: open.into_iter().map(line).collect(),
        settled: settled.into_iter().map(line).collect(),
        things: history::things(plan, thing, called),
        thing: thing.to_owned(),
        action: desk.href("/remarks"),
        words: words.to_owned(),
        fault: fault.to_owned(),
        says: desk.hand.role.lets_pass() && plan.moment.is_none(),
        sheet,
    };
    page(&page_of, !fault.is_empty())
}

async fn show(desk: Desk, Query(asked): Query<Asked>) -> Result<Response, PageError> {
    render(&desk, &asked.thing, "", "")
}

/// What the form of a new remark sends.
#[derive(Deserialize)]
struct New {
    #[serde(default)]
    thing: String,
    #[serde(default)]
    words: String,
}

async fn say(desk: Desk, Form(new): Form<New>) -> Result<Response, PageError> {
    desk.hand.may_let_pass()?;
    let words = new.words.trim();
    if words.is_empty() {
        return render(&desk, &new.thing, "", "Write a few words first.");
    }
    if !new.thing.is_empty() && desk.plan.anything(&new.thing).is_none() {
        return Err(PageError::no_such("thing"));
    }
    let fields = json!({
        "about": new.thing, "words": words, "standing": "open", "said_by": desk.hand.shown(),
        "said_at": units::day_and_clock(now_ms()),
    });
    match desk
        .write(vec![Op::insert("remark", Id::new(), fields)])
        .await
    {
        Ok(_) => Ok(onward(&desk, &new.thing)),
        Err(PageError::Invalid(sentence, _)) => render(&desk, &new.thing, &new.words, &sentence),
        Err(error) => Err(error),
    }
}

/// What the button beside a remark sends.
#[derive(Deserialize)]
struct Settle {
    #[serde(rename = "do")]
    act: String,
    #[serde(default)]
    thing: String,
}

async fn settle(
    desk: Desk,
    Path((_, remark)): Path<(String, String)>,
    Form(form): Form<Settle>,
) -> Result<Response, PageError> {
    desk.hand.may_let_pass()?;
    let remark = Id::parse(&remark)
        .filter(|id| desk.plan.remarks.get(id).is_some())
        .ok_or_else(|| PageError::no_such("remark"))?;
    let (standing, by) = match &*form.act {
        "settle" => ("settled", desk.hand.shown()),
        _ => ("open", ""),
    };
    let number = desk.plan.number();
    let by = if by.is_empty() {
        Value::Absent.to_json()
    } else {
        by.into()
    };
    desk.write(vec![
        Op::set(remark.clone(), "standing", number, standing.into()),
        Op::set(remark, "settled_by", number, by),
    ])
    .await?;
    Ok(onward(&desk, &form.thing))
}

fn onward(desk: &Desk, thing: &str) -> Response {
    let query = if thing.is_empty() {
        String::new()
    } else {
        format!("?thing={}", encode(thing))
    };
    Redirect::to(&desk.href(&format!("/remarks{query}"))).into_response()
}
