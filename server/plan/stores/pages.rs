//! What the studio owns, as ledgers: each thing's blanks, and a line to add another.

use crate::{
    error::PageError,
    journal::{
        change::Op,
        record::{AnyEntry, RecordKind},
        value::Id,
    },
    plan::{Scope as _, Studio},
    web::{
        fields::{self, Typed},
        page::{Desk, cell, page},
        parts::Blank,
        routes::Routes,
        sheet::{Sheet, Tab},
    },
};
use axum::{
    Form,
    extract::Path,
    response::{IntoResponse as _, Redirect, Response},
    routing::{get, post},
};
use serde_json::{Map, Value as Json};

/// Addresses of stores.
pub fn routes() -> Routes {
    Routes::new()
        .route("/plans/{plan}/stores", get(show).post(write))
        .route("/plans/{plan}/stores/{kind}", post(add))
        .route("/plans/{plan}/stores/{kind}/{id}/strike", post(strike))
}

/// One thing with its blanks.
struct Thing {
    id: String,
    name: String,
    blanks: Vec<Blank>,
    strike: String,
}

/// All things of a kind.
struct Shelf {
    kind: &'static str,
    title: &'static str,
    note: &'static str,
    empty: &'static str,
    things: Vec<Thing>,
    add: String,
    new: Vec<Blank>,
    fault: String,
}

#[derive(askama::Template)]
#[template(path = "stores/page.html")]
struct StoresPage {
    sheet: Sheet,
    action: String,
    number: i64,
    shelves: Vec<Shelf>,
    writes: bool,
}

/// The shelves in the order a crew fills them: kind, title, note, what an empty one says.
const SHELVES: &[(&str, &str, &str, &str)] = &[
    (
        "camera",
        "Cameras",
        "",
        "No camera yet. Write its name, then its modes below.",
    ),
    (
        "camera_mode",
        "Camera modes",
        "the mode sets the frame: high rates often crop",
        "No mode yet. A setup needs one before its frame and its blur line are known.",
    ),
    (
        "lens",
        "Lenses",
        "pupil ratio and principal gap are usual values until you measure them",
        "No lens yet. A setup can also name its focal length by itself.",
    ),
    (
        "stage",
        "Stages",
        "emergency lines stand on every call sheet",
        "No stage yet.",
    ),
    ("piece", "Models and pieces", "", "No piece yet."),
    (
        "lamp",
        "Lamps",
        "source and swing decide shadows and flicker",
        "No lamp yet. Shadows and flicker need one.",
    ),
    (
        "circuit",
        "Circuits",
        "a licensed electrician connects; the sheet Stage power sums",
        "No circuit yet. Stage power needs one before it can say what is drawn.",
    ),
    (
        "projector",
        "Projectors",
        "",
        "No projector yet. Ripples and plates on the set need one.",
    ),
    (
        "drive",
        "Drives",
        "two timed runs turn a speed into a dial",
        "No drive yet. The run says what to dial once there is one.",
    ),
    (
        "filament",
        "Lines",
        "stiffness and breaking load as measured, or as the packet says",
        "No line yet. What hangs needs one before its margin is known.",
    ),
];

async fn show(desk: Desk) -> Result<Response, PageError> {
    stores(&desk, &Typed::none().read_by(&desk), None)
}

async fn write(desk: Desk, Form(form): Form<Vec<(String, String)>>) -> Result<Response, PageError> {
    let written = fields::write(desk, &form).await?;
    if written.desk.part || !written.typed.is_empty() {
        return stores(&written.desk, &written.typed, None);
    }
    Ok(Redirect::to(&written.desk.href("/stores")).into_response())
}

/// A form that was refused: the kind, what was typed, the sentence.
type Refused<'a> = (&'a str, &'a [(String, String)], String);

fn stores(
    desk: &Desk,
    typed: &Typed,
    refused: Option<&Refused<'_>>,
) -> Result<Response, PageError> {
    let is_refused = !typed.is_empty() || refused.is_some();
    let shelves = SHELVES.iter().map(|(kind, title, note, empty)| {
        let list = desk.plan.studio.list(kind);
        let living = list
            .iter()
            .flat_map(|l| l.entries())
            .filter(|e| e.removed_seq() == 0);
        let things = living.map(|entry| thing(desk, entry, typed)).collect();
        let own = refused.filter(|(k, ..)| k == kind);
        Shelf {
            kind,
            title,
            note,
            empty,
            things,
            add: desk.href(&format!("/stores/{kind}")),
            new: new_blanks(desk, kind, own.map_or(&[][..], |(_, typed, _)| typed)),
            fault: own
                .map(|(.., sentence)| sentence.clone())
                .unwrap_or_default(),
        }
    });
    let sheet = desk.sheet(
        Tab::Stores,
        "Stores",
        "What the studio owns. Every production of this book shares it.",
    );
    let stores = StoresPage {
        sheet: Sheet {
            cells: vec![cell("Shared by", "all productions")],
            ..sheet
        },
        action: desk.href("/stores"),
        number: desk.plan.number(),
        shelves: shelves.collect(),
        writes: desk.hand.role.writes(),
    };
    page(&stores, is_refused)
}

fn thing(desk: &Desk, entry: &dyn AnyEntry, typed: &Typed) -> Thing {
    let kind = entry.kind();
    let shown = kind.fields.iter().filter(|f| f.name != "order_key");
    Thing {
        id: entry.id().to_string(),
        name: fields::called(&desk.plan, entry),
        blanks: shown
            .map(|f| fields::blank(&desk.plan, entry, f.name, typed))
            .collect(),
        strike: desk.href(&format!(
            "/stores/{}/{}/strike",
            kind.entity_type,
            entry.id()
        )),
    }
}

/// The kind of a shelf, by its entity type.
fn kind_of(name: &str) -> Option<&'static RecordKind> {
    Studio::KINDS
        .iter()
        .copied()
        .find(|k| k.entity_type == name)
}

/// Blanks of a thing that is not there yet: only what it cannot be without, and its size.
fn new_blanks(desk: &Desk, kind: &str, typed: &[(String, String)]) -> Vec<Blank> {
    let Some(kind) = kind_of(kind) else {
        return Vec::new();
    };
    let shown = kind.fields.iter().filter(|f| f.blank.needed);
    let blank = |field| {
        let mut blank = fields::new_blank(&desk.plan, kind, field);
        if let Some((_, text)) = typed.iter().find(|(n, _)| *n == blank.name) {
            blank.value.clone_from(text);
        }
        blank
    };
    shown.map(blank).collect()
}

async fn add(
    desk: Desk,
    Path((_, kind)): Path<(String, String)>,
    Form(form): Form<Vec<(String, String)>>,
) -> Result<Response, PageError> {
    desk.hand.may_write()?;
    let known = kind_of(&kind).ok_or_else(|| PageError::no_such("shelf"))?;
    let mut values = Map::new();
    for (name, text) in &form {
        let Some(index) = known.index(name) else {
            continue;
        };
        match known.fields[index].parse(text) {
            Ok(value) => drop(values.insert(name.clone(), value.to_json())),
            Err(refusal) => {
                return stores(
                    &desk,
                    &Typed::none(),
                    Some(&(&kind, &form, refusal.problem)),
                );
            }
        }
    }
    let op = Op::insert(known.entity_type, Id::new(), Json::Object(values));
    match desk.write(vec![op]).await {
        Ok(_) => Ok(Redirect::to(&format!("{}#{kind}", desk.href("/stores"))).into_response()),
        Err(PageError::Invalid(sentence, _)) => {
            stores(&desk, &Typed::none(), Some(&(&kind, &form, sentence)))
        }
        Err(error) => Err(error),
    }
}

async fn strike(
    desk: Desk,
    Path((_, kind, id)): Path<(String, String, String)>,
) -> Result<Response, PageError> {
    desk.hand.may_write()?;
    let id = Id::parse(&id).ok_or_else(|| PageError::no_such("thing"))?;
    let op = Op {
        detach: false,
        ..Op::remove(id, desk.plan.number())
    };
    desk.write(vec![op]).await?;
    Ok(Redirect::to(&format!("{}#{kind}", desk.href("/stores"))).into_response())
}
