//! Things on the table as a table of blanks, the chosen one's other blanks, and what is done to things besides writing.

use super::{
    acts::key_after, bench::Asked, facts::Facts, pages::find_setup, placement::KIND,
    standing::Standing,
};
use crate::{
    error::PageError,
    journal::{change::Op, record::AnyEntry, value::Id},
    plan::Plan,
    web::{
        fields::{self, Typed},
        page::Desk,
        parts::Blank,
        problem::encode,
    },
};
use axum::{
    Form,
    extract::{Path, Query},
    response::{IntoResponse as _, Redirect, Response},
};
use serde_json::{Map, Value as Json, json};

/// One line of the table.
pub struct Row {
    /// Its number.
    pub ring: u32,
    /// Its id; empty for the camera.
    pub id: String,
    /// What the crew calls it.
    pub called: String,
    /// What it is.
    pub kind: &'static str,
    /// Address that chooses it; empty for the camera.
    pub href: String,
    /// Whether it is chosen.
    pub here: bool,
    /// Blanks of its place; none where a thing has no such blank.
    pub cells: Vec<Option<Blank>>,
}

/// The chosen thing.
pub struct Chosen {
    /// Its id.
    pub id: String,
    /// Its number.
    pub ring: u32,
    /// What the crew calls it.
    pub called: String,
    /// Its blanks besides its place.
    pub blanks: Vec<Blank>,
}

/// What can be put on the table: what the form sends, and what it is called, under a heading.
pub struct Shelf {
    /// Heading.
    pub title: &'static str,
    /// Its lines.
    pub lines: Vec<(String, String)>,
}

/// The whole part.
pub struct Things {
    /// Camera first, then things in the order of their rings.
    pub rows: Vec<Row>,
    /// The thing chosen.
    pub chosen: Option<Chosen>,
    /// What can be put on the table.
    pub shelves: Vec<Shelf>,
    /// Where acts are posted.
    pub acts: String,
}

/// Columns of the table: heading and field of a placement.
pub const COLUMNS: [(&str, &str); 5] = [
    ("from mark, mm", "x_mm"),
    ("right, mm", "y_mm"),
    ("up, mm", "z_mm"),
    ("heads, °", "heading_deg"),
    ("tips up, °", "tilt_deg"),
];

/// Makes the part of one setup.
pub fn things(desk: &Desk, facts: &Facts<'_>, asked: &Asked, code: &str, typed: &Typed) -> Things {
    let plan = &*desk.plan;
    let chosen = asked.thing.as_deref();
    let row = |t: &Standing<'_>| {
        let here = chosen == Some(t.entry.id.as_str());
        let to = Asked {
            thing: Some(t.entry.id.to_string()),
            ..asked.clone()
        };
        Row {
            ring: t.ring,
            id: t.entry.id.to_string(),
            called: t.called().to_owned(),
            kind: t.kind_word(),
            href: format!("{}#thing", to.href(desk, code)),
            here,
            cells: COLUMNS
                .iter()
                .map(|(_, field)| Some(fields::blank(plan, t.entry, field, typed)))
                .collect(),
        }
    };
    let rows = std::iter::once(camera(plan, facts, typed))
        .chain(facts.things.iter().map(row))
        .collect();
    let chosen = facts
        .things
        .iter()
        .find(|t| chosen == Some(t.entry.id.as_str()))
        .map(|t| Chosen {
            id: t.entry.id.to_string(),
            ring: t.ring,
            called: t.called().to_owned(),
            blanks: blanks_of(t)
                .into_iter()
                .map(|name| {
                    let stored = stored_size(t, name);
                    fields::blank_with(plan, t.entry, name, typed, stored)
                })
                .collect(),
        });
    Things {
        rows,
        chosen,
        shelves: shelves(plan),
        acts: desk.href(&format!("/setups/{}/things{}", encode(code), asked.query())),
    }
}

/// The camera's line: it stands on the mark, so only its height and tilt are blanks.
fn camera(plan: &Plan, facts: &Facts<'_>, typed: &Typed) -> Row {
    let blank = |name| Some(fields::blank(plan, facts.setup, name, typed));
    Row {
        ring: 5,
        id: String::new(),
        called: "Camera".into(),
        kind: "on the mark",
        href: String::new(),
        here: false,
        cells: vec![
            None,
            None,
            blank("camera_height_mm"),
            None,
            blank("tilt_deg"),
        ],
    }
}

/// Blanks of a thing besides its place, as its kind needs them.
fn blanks_of(t: &Standing<'_>) -> Vec<&'static str> {
    let own: &[&str] = match &*t.entry.kind {
        "lamp" => &["lamp", "beam_deg", "throw_mm", "dim_percent", "circuit"],
        "projector" => &["projector", "throw_mm"],
        "flag" => &["shades", "length_mm", "width_mm", "height_mm"],
        "backing" | "net" => &["width_mm", "height_mm"],
        "tiles" => &["piece", "length_mm", "width_mm"],
        _ => &[
            "piece",
            "face",
            "length_mm",
            "width_mm",
            "height_mm",
            "scale_denominator",
        ],
    };
    let ends: &[&str] = if matches!(&*t.entry.kind, "backing" | "net" | "tiles") {
        &[]
    } else {
        &["motion", "cue_screen_s"]
    };
    [&["name", "kind"], own, ends].concat()
}

/// What stores say of its size, which stands in while the placement says nothing.
fn stored_size(t: &Standing<'_>, name: &str) -> Option<String> {
    let number = match name {
        "length_mm" => t.size().length_mm,
        "width_mm" => t.size().width_mm,
        "height_mm" => t.size().height_mm,
        "scale_denominator" => t.piece?.scale_denominator?,
        "beam_deg" => t.lamp?.beam_deg?,
        _ => return None,
    };
    Some(crate::journal::field::plain(number))
}

fn shelves(plan: &Plan) -> Vec<Shelf> {
    let studio = &plan.studio;
    let pieces = studio.pieces.iter().map(|p| {
        let kind = match &*p.kind {
            "model" => "model",
            "tile" => "tiles",
            _ => "piece",
        };
        (format!("{kind} {}", p.id), p.name.to_string())
    });
    let plain = [
        ("piece", "Set piece, not in stores"),
        ("flag", "Flag"),
        ("backing", "Backing"),
        ("net", "Net"),
        ("lamp", "Lamp, not in stores"),
    ];
    let own = |(kind, word): (&str, &str)| (format!("{kind} "), word.to_owned());
    let lamps = studio
        .lamps
        .iter()
        .map(|l| (format!("lamp {}", l.id), l.name.to_string()));
    let projectors = studio
        .projectors
        .iter()
        .map(|p| (format!("projector {}", p.id), p.name.to_string()));
    let all = [
        ("Models and pieces", pieces.collect()),
        ("Lamps", lamps.collect()),
        ("Projectors", projectors.collect()),
        (
            "Made for the setup",
            plain.into_iter().map(own).collect::<Vec<_>>(),
        ),
    ];
    all.into_iter()
        .map(|(title, lines)| Shelf { title, lines })
        .filter(|shelf| !shelf.lines.is_empty())
        .collect()
}

/// Puts a thing on the table, another like one, or strikes one out.
pub(super) async fn act(
    desk: Desk,
    Path((_, code)): Path<(String, String)>,
    Query(mut asked): Query<Asked>,
    Form(form): Form<Vec<(String, String)>>,
) -> Result<Response, PageError> {
    desk.hand.may_write()?;
    let get = |name: &str| {
        form.iter()
            .find(|(n, _)| n == name)
            .map(|(_, v)| v.as_str())
    };
    let setup = find_setup(&desk.plan, &code)?;
    let facts = Facts::of(&desk.plan, setup, None);
    let key = key_after(facts.things.last().map(|t| &*t.entry.order_key));
    if let Some(id) = get("strike") {
        let id = Id::parse(id).ok_or_else(|| PageError::no_such("thing"))?;
        desk.write(vec![Op::remove(id, desk.plan.number())]).await?;
        asked.thing = None;
        return Ok(Redirect::to(&format!("{}#things", asked.href(&desk, &code))).into_response());
    }
    let mut fields = match get("another") {
        Some(id) => another(&facts, id)?,
        None => placed(&facts, get("what").unwrap_or_default())?,
    };
    fields.insert("setup".into(), setup.id.as_str().into());
    fields.insert("order_key".into(), key.into());
    let id = Id::new();
    desk.write(vec![Op::insert("placement", id.clone(), fields.into())])
        .await?;
    asked.thing = Some(id.to_string());
    Ok(Redirect::to(&format!("{}#thing", asked.href(&desk, &code))).into_response())
}

/// How far beside the first another one like it is put.
const BESIDE_MM: f64 = 100.0;

/// The fields of another thing like this one, a hand's breadth to its right.
fn another(facts: &Facts<'_>, id: &str) -> Result<Map<String, Json>, PageError> {
    let like = facts
        .things
        .iter()
        .find(|t| t.entry.id.as_str() == id)
        .ok_or_else(|| PageError::no_such("thing"))?
        .entry;
    let fields = like.kind().fields.iter().enumerate();
    let mut copied: Map<_, _> = fields
        .map(|(index, field)| (field.name.to_owned(), AnyEntry::get(like, index).to_json()))
        .filter(|(_, value)| !value.is_null())
        .collect();
    copied.insert("y_mm".into(), json!(like.y_mm.unwrap_or(0.0) + BESIDE_MM));
    Ok(copied)
}

/// The fields of a new thing: where such a thing usually stands, to be taped afterwards.
fn placed(facts: &Facts<'_>, what: &str) -> Result<Map<String, Json>, PageError> {
    let (kind, stored) = what.split_once(' ').unwrap_or((what, ""));
    if !KIND.iter().any(|(code, _)| *code == kind) {
        return Err(PageError::Invalid(
            "Choose what to put on the table first.".into(),
            Vec::new(),
        ));
    }
    let focus_mm = facts.find("focus_from_mark_mm").unwrap_or(1000.0);
    let to_grid = |mm: f64| (mm / GRID_MM).round() * GRID_MM;
    let (x_mm, y_mm, z_mm, heading_deg, tilt_deg) = match kind {
        "lamp" => (focus_mm, -700.0, 600.0, 90.0, -35.0),
        "projector" => (focus_mm, 0.0, 1400.0, 0.0, -90.0),
        "flag" => (focus_mm, -400.0, 400.0, 90.0, 0.0),
        "backing" | "net" => (focus_mm * 1.6, 0.0, 0.0, 0.0, 0.0),
        _ => (focus_mm, 0.0, 0.0, 0.0, 0.0),
    };
    let mut fields = json!({
        "kind": kind, "x_mm": to_grid(x_mm), "y_mm": y_mm, "z_mm": z_mm,
        "heading_deg": heading_deg, "tilt_deg": tilt_deg,
    });
    let reference = match kind {
        "lamp" => "lamp",
        "projector" => "projector",
        _ => "piece",
    };
    if !stored.is_empty() {
        fields[reference] = stored.into();
    }
    if matches!(kind, "lamp" | "projector") {
        fields["throw_mm"] = json!(1200.0);
    }
    match fields {
        Json::Object(fields) => Ok(fields),
        _ => Ok(Map::new()),
    }
}

/// The grid that things are put on.
pub const GRID_MM: f64 = 10.0;
