//! In and out: the page where a shot list is brought in, looked at and stored, and where lists are taken out.

use axum::{
    Form,
    extract::{DefaultBodyLimit, Path, Query, Request},
    response::{IntoResponse as _, Redirect, Response},
    routing::{get, post},
};

use super::held;
use super::remember;
use super::sent::{MOST_BYTES, Said, Sent};
use super::shown::{Found, found};
use super::text::Encoding;
use super::work::{self, List, Looked};
use crate::error::PageError;
use crate::plan::handover::problems::Refused;
use crate::web::page::{Desk, page};
use crate::web::routes::Routes;
use crate::web::sheet::{Sheet, Tab};

/// Addresses of the page.
pub fn routes() -> Routes {
    Routes::new()
        .route(
            "/plans/{plan}/import",
            get(show).merge(post(bring).layer(DefaultBodyLimit::max(MOST_BYTES))),
        )
        .route("/plans/{plan}/import/{list}", get(look_at).post(act))
}

/// A list that can be taken out.
struct Out {
    name: &'static str,
    what: &'static str,
    links: Vec<(String, &'static str)>,
}

/// What is said of a file that could not be cut into rows.
struct Unread {
    name: String,
    sentence: String,
    /// Where to ask for it as Windows-1252, and the line as that has it.
    offer: Option<(String, String)>,
}

#[derive(askama::Template)]
#[template(path = "handover/door.html")]
struct DoorPage {
    sheet: Sheet,
    action: String,
    unread: Option<Unread>,
    outs: Vec<Out>,
    writes: bool,
}

#[derive(askama::Template)]
#[template(path = "handover/look.html")]
struct LookPage {
    sheet: Sheet,
    /// Where the form of the look posts.
    action: String,
    /// Where another file is brought.
    again: String,
    number: i64,
    fault: String,
    found: Found,
}

async fn show(desk: Desk) -> Result<Response, PageError> {
    door(&desk, None)
}

fn door(desk: &Desk, unread: Option<Unread>) -> Result<Response, PageError> {
    let href = |kind: &str| format!("/api{}", desk.href(&format!("/export/{kind}")));
    let list = |kind: &str| {
        let plain = href(kind);
        let marked = format!("{plain}?for=spreadsheets");
        vec![(plain, "CSV"), (marked, "CSV for spreadsheets")]
    };
    let outs = vec![
        Out {
            name: "Shots",
            what: "The cut in order, each shot with its setups. Comes back in as it went out.",
            links: list("shots.csv"),
        },
        Out {
            name: "Setups",
            what: "Every blank of every setup, with the shots it serves.",
            links: list("setups.csv"),
        },
        Out {
            name: "Whole plan",
            what: "Everything in it, for other programs.",
            links: vec![(href("plan.json"), "JSON")],
        },
    ];
    let refused = unread.is_some();
    let template = DoorPage {
        sheet: desk.sheet(
            Tab::Cut,
            "In and out",
            "Shot lists in, lists for others out.",
        ),
        action: desk.href("/import"),
        unread,
        outs,
        writes: desk.hand.role.writes(),
    };
    page(&template, refused)
}

/// Takes a file and sends the browser to its look, so that loading again and going back ask nothing.
async fn bring(
    desk: Desk,
    Query(query): Query<Said>,
    request: Request,
) -> Result<Response, PageError> {
    desk.hand.may_write()?;
    let sent = Sent::read(request, query).await?;
    let mut overrides = remember::headings(&desk.app, &desk.plan.id).await?;
    overrides.extend(sent.overrides);
    let list = List {
        bytes: sent.bytes,
        file_name: sent.file_name,
        overrides,
        encoding: sent.encoding,
    };
    let read = work::look(&desk.plan, &list).await?;
    let keep = |list| {
        let lists = &desk.app.lists;
        held::sweep_later(lists);
        let token = lists.keep(desk.hand.id.clone(), list, desk.plan.clone());
        desk.href(&format!("/import/{token}"))
    };
    match read {
        Ok(_) => Ok(Redirect::to(&keep(list)).into_response()),
        Err(refused) => {
            let offer = match &refused {
                Refused::NotUtf8 {
                    as_windows_1252, ..
                } => Some((keep(list.clone()), as_windows_1252.clone())),
                _ => None,
            };
            unreadable(&desk, &list, &refused, offer)
        }
    }
}

fn unreadable(
    desk: &Desk,
    list: &List,
    refused: &Refused,
    offer: Option<(String, String)>,
) -> Result<Response, PageError> {
    let unread = Unread {
        name: list.file_name.clone(),
        sentence: match refused {
            Refused::NotUtf8 { line, .. } => format!(
                "The letters on line {line} are not written as UTF-8, so it is not known which ones they are."
            ),
            other => other.to_string(),
        },
        offer,
    };
    door(desk, Some(unread))
}

/// A list that waits, by its name in the address.
fn waiting(desk: &Desk, token: &str) -> Result<held::Waiting, PageError> {
    let found = desk.app.lists.find(token, &desk.hand.id, &desk.plan.id);
    found.ok_or_else(|| {
        PageError::NotFound(
            "This list is no longer held: it was stored or put away, or half an hour has passed. Choose the file again under In and out."
                .into(),
        )
    })
}

async fn look_at(
    desk: Desk,
    Path((_, token)): Path<(String, String)>,
) -> Result<Response, PageError> {
    let list = waiting(&desk, &token)?.list;
    look(&desk, &token, list, String::new()).await
}

/// Looks at a held list as the plan is now, and notes that plan as the one it will be stored on.
async fn look(desk: &Desk, token: &str, list: List, fault: String) -> Result<Response, PageError> {
    let looked = match work::look(&desk.plan, &list).await? {
        Ok(looked) => looked,
        Err(refused) => return unreadable(desk, &list, &refused, None),
    };
    let name = if list.file_name.is_empty() {
        "the list".to_owned()
    } else {
        list.file_name.clone()
    };
    desk.app.lists.looked(token, list, desk.plan.clone());
    let refused = !fault.is_empty();
    let template = LookPage {
        sheet: desk.sheet(
            Tab::Cut,
            format!("A look at {name}"),
            "Nothing is stored yet.",
        ),
        action: desk.href(&format!("/import/{token}")),
        again: desk.href("/import"),
        number: desk.plan.number(),
        fault,
        found: found(&desk.plan, &looked),
    };
    page(&template, refused)
}

/// What a button of the look asks: look again, store, put away.
async fn act(
    desk: Desk,
    Path((_, token)): Path<(String, String)>,
    Form(form): Form<Vec<(String, String)>>,
) -> Result<Response, PageError> {
    desk.hand.may_write()?;
    let held::Waiting { mut list, seen, .. } = waiting(&desk, &token)?;
    let said = |name: &str| {
        form.iter()
            .find(|(n, _)| n == name)
            .map(|(_, value)| value.as_str())
    };
    if said("do") == Some("put-away") {
        desk.app.lists.forget(&token);
        return Ok(Redirect::to(&desk.href("/import")).into_response());
    }
    if said("encoding") == Some("windows-1252") {
        list.encoding = Some(Encoding::Windows1252);
    }
    let looked = match work::look(&seen, &list).await? {
        Ok(looked) => looked,
        Err(refused) => return unreadable(&desk, &list, &refused, None),
    };
    let corrected = correct(&mut list, &looked, &form);
    let here = desk.href(&format!("/import/{token}"));
    let is_as_seen = said("number") == Some(seen.number().to_string().as_str());
    if said("do") != Some("store") || corrected || !is_as_seen {
        desk.app.lists.looked(&token, list, seen);
        return Ok(Redirect::to(&here).into_response());
    }
    if !looked.look.is_storable() {
        let fault = "Nothing was stored: mend what is wrong below first.".to_owned();
        return look(&desk, &token, list, fault).await;
    }
    match work::store(&desk.app, &desk.hand, &seen, &looked).await {
        Ok(stored) => {
            remember::keep(&desk.app, &desk.plan.id, &looked.look).await?;
            desk.app.lists.forget(&token);
            let numbers = stored.numbers.map_or_else(
                || "none".to_owned(),
                |(first, last)| format!("{first}-{last}"),
            );
            Ok(Redirect::to(&desk.href(&format!("/cut?imported={numbers}"))).into_response())
        }
        Err(PageError::Invalid(sentence, _) | PageError::NotFound(sentence)) => {
            let fault = format!(
                "Nothing was stored: the plan has moved on since this look. {sentence} This is how the list stands against it now."
            );
            look(&desk.again().await?, &token, list, fault).await
        }
        Err(error) => Err(error),
    }
}

/// Takes over what was chosen for the headings. Whether anything was chosen otherwise than it stood.
fn correct(list: &mut List, looked: &Looked, form: &[(String, String)]) -> bool {
    let mut corrected = false;
    let taken = looked.look.mapping.iter();
    let taken = taken.map(|t| (t.at, &t.heading, t.field));
    let left = looked.look.not_taken.iter().map(|l| (l.at, &l.heading, ""));
    for (at, heading, stands_for) in taken.chain(left) {
        let name = format!("as-{at}");
        let chosen = form.iter().find(|(n, _)| *n == name);
        if let Some((_, chosen)) = chosen.filter(|(_, chosen)| chosen != stands_for) {
            let field = (!chosen.is_empty()).then(|| chosen.clone());
            list.overrides
                .insert(super::mapping::matched_form(heading), field);
            corrected = true;
        }
    }
    corrected
}

/// What a page says after a list was stored: counted from the journal's own numbers in its address.
pub fn told(desk: &Desk) -> Option<String> {
    let (_, query) = desk.path.split_once('?')?;
    let numbers = query
        .split('&')
        .find_map(|part| part.strip_prefix("imported="))?;
    if numbers == "none" {
        return Some("The list says nothing new: the plan is as it was.".into());
    }
    let (first, last) = numbers.split_once('-')?;
    let (first, last): (i64, i64) = (first.parse().ok()?, last.parse().ok()?);
    let changes = desk.app.store.recent_after(first.checked_sub(1)?)?;
    let batch = changes.first().filter(|c| c.seq == first)?.batch.clone()?;
    let of_batch = changes.iter().filter(|c| {
        c.seq <= last && c.plan.as_ref() == Some(&desk.plan.id) && c.batch.as_ref() == Some(&batch)
    });
    super::shown::told(of_batch.map(|change| &**change))
}
