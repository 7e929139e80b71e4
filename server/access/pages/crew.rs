//! Who may write: the people of the book, what each may do, and the links by which others join. A lead's page.

use super::sheet;
use crate::{
    access::{Hand, Role, caller::Caller, links, people, session},
    app::App,
    error::PageError,
    journal::{value::Id, writer::now_ms},
    store::Listed as PlanListed,
    web::{
        look::Look,
        page::page,
        sheet::{Person, Sheet},
        units,
    },
};
use axum::{
    Form,
    extract::{Path, Query, State},
    http::{HeaderMap, header},
    response::{IntoResponse as _, Redirect, Response},
};
use qrcode::{Color, EcLevel, QrCode};
use serde::Deserialize;
use std::fmt::Write as _;

/// Most browsers that one link lets in, and longest it works.
const MOST_USES: i64 = 50;
const MOST_DAYS: i64 = 60;

/// Somebody as the page shows them.
struct Line {
    id: String,
    name: String,
    role: String,
    craft: String,
    /// Title of the one plan that a guest reads.
    plan: String,
    seen: String,
    browsers: i64,
    has_passphrase: bool,
    has_left: bool,
    is_you: bool,
}

/// A link as the page shows it.
struct LinkLine {
    id: String,
    words: String,
    opened: String,
    until: String,
}

/// A link that was just made: it is shown this once.
struct Made {
    href: String,
    /// The code's path, in modules.
    code: String,
    /// Its width with the quiet zone, in modules.
    width: usize,
    words: String,
}

#[derive(askama::Template)]
#[template(path = "access/crew.html")]
struct Crew {
    sheet: Sheet,
    people: Vec<Line>,
    links: Vec<LinkLine>,
    plans: Vec<PlanListed>,
    roles: [Role; 4],
    made: Option<Made>,
    fault: String,
    done: String,
    most_uses: i64,
    most_days: i64,
}

/// What was just done, in the address.
#[derive(Default, Deserialize)]
pub struct Asked {
    #[serde(default)]
    done: String,
}

/// What was done, as the page says it.
fn done_words(word: &str) -> &'static str {
    match word {
        "role" => "The role was changed; it holds from their next press.",
        "out" => "Signed out on every browser.",
        "left" => "Taken off the list and signed out everywhere. What they wrote stays.",
        "back" => "On the list again. Make them a link, or let them sign in with their passphrase.",
        "withdrawn" => "The link is withdrawn. Those it let in stay.",
        _ => "",
    }
}

async fn render(
    app: &App,
    hand: &Hand,
    look: Look,
    made: Option<Made>,
    fault: String,
    done: &str,
) -> Result<Response, PageError> {
    let plans = app.store.plans().await?;
    let title = |id: &Option<String>| {
        let id = id.as_deref()?;
        let plan = plans.iter().find(|p| p.id.as_str() == id);
        Some(plan.map_or("a plan that is gone", |p| &p.title).to_owned())
    };
    let people = people::all(&app.store).await?.into_iter().map(|p| Line {
        plan: title(&p.plan).unwrap_or_default(),
        is_you: p.id == hand.id.as_str(),
        seen: p.seen_at_ms.map(units::day_and_clock).unwrap_or_default(),
        has_left: p.left_at_ms.is_some(),
        id: p.id,
        name: p.name,
        role: p.role,
        craft: p.craft,
        browsers: p.browsers,
        has_passphrase: p.has_passphrase,
    });
    let links = links::open_ones(&app.store)
        .await?
        .into_iter()
        .map(|l| LinkLine {
            words: match (&l.person, title(&l.plan)) {
                (Some(name), _) => format!("{name} again"),
                (None, Some(plan)) => format!("a {} of {plan}", l.role),
                (None, None) => format!("a new {}", l.role),
            },
            opened: format!("{} of {}", l.uses_made, l.uses_made + l.uses_left),
            until: units::day_and_clock(l.expires_at_ms),
            id: l.id,
        });
    let mut sheet = sheet(
        "Who may write",
        "The people of this book, and the links by which others join.",
        look,
        "/crew",
    );
    sheet.person = Some(Person {
        id: hand.id.to_string(),
        name: hand.name.to_string(),
        role: hand.shown().to_owned(),
    });
    let refused = !fault.is_empty();
    let crew = Crew {
        sheet,
        people: people.collect(),
        links: links.collect(),
        plans: plans.clone(),
        roles: [Role::Crew, Role::Supervisor, Role::Guest, Role::Lead],
        made,
        fault,
        done: done_words(done).to_owned(),
        most_uses: MOST_USES,
        most_days: MOST_DAYS,
    };
    page(&crew, refused)
}

/// The page.
pub async fn show(
    State(app): State<App>,
    hand: Hand,
    look: Look,
    Query(asked): Query<Asked>,
) -> Result<Response, PageError> {
    render(&app, &hand, look, None, String::new(), &asked.done).await
}

/// What the form of a link sends.
#[derive(Deserialize)]
pub struct NewLink {
    #[serde(default)]
    role: String,
    #[serde(default)]
    person: String,
    #[serde(default)]
    plan: String,
    #[serde(default)]
    uses: String,
    #[serde(default)]
    days: String,
}

/// Makes a link and shows it, with its code. Nobody can read it again: the book keeps its hash.
pub async fn make_link(
    State(app): State<App>,
    hand: Hand,
    look: Look,
    headers: HeaderMap,
    caller: Caller,
    Form(new): Form<NewLink>,
) -> Result<Response, PageError> {
    let wanted = match wanted(&app, &hand, &new).await? {
        Ok(wanted) => wanted,
        Err(fault) => return render(&app, &hand, look, None, fault, "").await,
    };
    let words = format!(
        "{} on {}, until {}",
        if wanted.person.is_some() {
            "signs in".to_owned()
        } else {
            format!("lets in a {}", wanted.role.word())
        },
        if wanted.uses == 1 {
            "one browser".to_owned()
        } else {
            format!("{} browsers", wanted.uses)
        },
        units::day_and_clock(now_ms() + wanted.days * 24 * 3600 * 1000)
    );
    let token = links::make(&app.store, wanted).await?;
    let host = headers.get(header::HOST).and_then(|h| h.to_str().ok());
    let scheme = if caller.is_secure { "https" } else { "http" };
    let href = format!("{scheme}://{}/join/{token}", host.unwrap_or("localhost"));
    let (code, width) = code(&href)?;
    let made = Made {
        href,
        code,
        width,
        words,
    };
    render(&app, &hand, look, Some(made), String::new(), "").await
}

async fn wanted(
    app: &App,
    hand: &Hand,
    new: &NewLink,
) -> Result<Result<links::Wanted, String>, PageError> {
    let whole = |text: &str, usual: i64, most: i64| match text.trim() {
        "" => Some(usual),
        text => text.parse().ok().filter(|n| (1..=most).contains(n)),
    };
    let Some(uses) = whole(&new.uses, 1, MOST_USES) else {
        return Ok(Err(format!("A link lets in 1 to {MOST_USES} browsers.")));
    };
    let Some(days) = whole(&new.days, 7, MOST_DAYS) else {
        return Ok(Err(format!("A link works 1 to {MOST_DAYS} days.")));
    };
    if let Some(id) = Id::parse(&new.person) {
        let all = people::all(&app.store).await?;
        let person = all
            .iter()
            .find(|p| p.id == new.person && p.left_at_ms.is_none())
            .ok_or_else(|| PageError::no_such("person"))?;
        return Ok(Ok(links::Wanted {
            role: Role::from_word(&person.role).unwrap_or(Role::Guest),
            person: Some(id),
            plan: None,
            uses,
            days,
            by: hand.id.clone(),
        }));
    }
    let Some(role) = Role::from_word(&new.role) else {
        return Ok(Err("Choose what the newcomer may do.".into()));
    };
    let plan = if role == Role::Guest {
        let plans = app.store.plans().await?;
        match plans.into_iter().find(|p| p.id.as_str() == new.plan) {
            Some(plan) => Some(plan.id),
            None => return Ok(Err("A guest reads one plan: choose which.".into())),
        }
    } else {
        None
    };
    Ok(Ok(links::Wanted {
        role,
        person: None,
        plan,
        uses,
        days,
        by: hand.id.clone(),
    }))
}

/// Modules left light around a code, as its standard asks (ISO/IEC 18004, from memory).
const QUIET: usize = 4;

/// A code as a path of unit squares, and its width.
fn code(text: &str) -> Result<(String, usize), PageError> {
    let code = QrCode::with_error_correction_level(text, EcLevel::M)
        .map_err(|e| PageError::Internal(format!("no code for a link: {e}")))?;
    let width = code.width();
    let mut path = String::new();
    for (at, color) in code.to_colors().into_iter().enumerate() {
        if color == Color::Dark {
            let (x, y) = (at % width + QUIET, at / width + QUIET);
            let _ = write!(path, "M{x} {y}h1v1h-1z");
        }
    }
    Ok((path, width + 2 * QUIET))
}

/// Withdraws a link.
pub async fn withdraw(
    State(app): State<App>,
    Path(link): Path<String>,
) -> Result<Redirect, PageError> {
    links::withdraw(&app.store, link).await?;
    Ok(Redirect::to("/crew?done=withdrawn"))
}

/// What the form beside a person sends.
#[derive(Deserialize)]
pub struct Change {
    #[serde(default)]
    role: String,
    #[serde(rename = "do", default)]
    act: String,
}

/// Changes a role, signs somebody out, takes them off the list or puts them back.
pub async fn write(
    State(app): State<App>,
    hand: Hand,
    look: Look,
    Path(person): Path<String>,
    Form(change): Form<Change>,
) -> Result<Response, PageError> {
    let known = people::all(&app.store).await?;
    let person = known
        .into_iter()
        .find(|p| p.id == person)
        .and_then(|p| Id::parse(&p.id))
        .ok_or_else(|| PageError::no_such("person"))?;
    let done = match &*change.act {
        "out" => {
            session::end_everywhere(&app, &person).await?;
            "out"
        }
        "leave" => {
            if !people::set(&app.store, person.clone(), None, true).await? {
                return render(&app, &hand, look, None, LAST_LEAD.into(), "").await;
            }
            "left"
        }
        "back" => {
            people::set(&app.store, person.clone(), None, false).await?;
            "back"
        }
        _ => {
            let Some(role) = Role::from_word(&change.role) else {
                let fault = "Choose what they may do.".into();
                return render(&app, &hand, look, None, fault, "").await;
            };
            if !people::set(&app.store, person.clone(), Some(role), false).await? {
                return render(&app, &hand, look, None, LAST_LEAD.into(), "").await;
            }
            "role"
        }
    };
    app.sign_out(|hand| hand.id == person);
    people::learn_names(&app).await?;
    Ok(Redirect::to(&format!("/crew?done={done}")).into_response())
}

const LAST_LEAD: &str =
    "The last lead stays lead: make somebody else lead first. Nothing was changed.";

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn another_programs_eye_reads_the_code() {
        const SCALE: usize = 4;
        let text = "http://stage.test:8460/join/0123456789abcdef0123456789abcdef";
        let (path, width) = code(text).expect("it fits");
        let mut dark = vec![false; width * width];
        for square in path.split('M').skip(1) {
            let place = square.split('h').next().expect("a place");
            let (x, y) = place.split_once(' ').expect("x and y");
            let number = |n: &str| n.parse::<usize>().expect("a number");
            dark[number(y) * width + number(x)] = true;
        }
        let mut image =
            rqrr::PreparedImage::prepare_from_greyscale(width * SCALE, width * SCALE, |x, y| {
                if dark[y / SCALE * width + x / SCALE] {
                    0
                } else {
                    255
                }
            });
        let grids = image.detect_grids();
        let read: Vec<_> = grids.iter().filter_map(|g| g.decode().ok()).collect();
        assert_eq!(read.len(), 1);
        assert_eq!(read[0].1, text);
    }
}
