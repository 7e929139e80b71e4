//! The sheet of the cut: its drawing, what does not cut together, and the table that is also the form.

use super::{
    acts::{self, Done, Sent},
    figures,
    table::{self, Row},
};
use crate::{
    error::PageError,
    journal::value::Id,
    plan::{Plan, findings, pictures, two_hands, undo::with_query},
    web::{
        fields::{self, Typed},
        page::{Desk, cell, page},
        parts::{Tell, TwoHands},
        sheet::{Sheet, Tab},
        svg::svg,
    },
};
use axum::{
    Form,
    extract::{DefaultBodyLimit, Multipart, Path, Query},
    response::{IntoResponse as _, Redirect, Response},
    routing::{get, post},
};
use stillair_calc::{drawing::cut::cut_sheet, figure::fixed};

/// Room for the form around a picture.
const AROUND_PICTURE: usize = 64 << 10;

/// How many findings are always in view.
const WORST: usize = 8;

/// Addresses of the cut.
pub fn routes() -> crate::web::routes::Routes {
    let most = DefaultBodyLimit::max(pictures::MOST_BYTES + AROUND_PICTURE);
    crate::web::routes::Routes::new()
        .route("/plans/{plan}/cut", get(show).post(write))
        .route(
            "/plans/{plan}/cut/shots/{shot}/picture",
            post(take_picture).layer(most),
        )
}

/// What the address asks for.
#[derive(Clone, Debug, Default, serde::Deserialize)]
struct Asked {
    /// The shot whose row is open.
    open: Option<String>,
    /// The shot just struck out.
    struck: Option<String>,
    /// The shot that a new one is to come after.
    after: Option<String>,
}

/// The form of a new shot, as it was typed or as it starts.
struct NewShot {
    code: String,
    name: String,
    length: String,
    after: String,
    code_fault: String,
    length_fault: String,
}

/// A shot that was struck out.
struct Struck {
    id: String,
    called: String,
}

#[derive(askama::Template)]
#[template(path = "cut/sheet.html")]
struct CutPage {
    sheet: Sheet,
    action: String,
    drawing: String,
    tells: Vec<Tell>,
    /// What is found beyond the worst.
    more_tells: Vec<Tell>,
    rows: Vec<Row>,
    setup_codes: Vec<(String, String)>,
    new: NewShot,
    places: Vec<(String, String)>,
    just_struck: Option<Struck>,
    struck: Vec<Struck>,
    two_hands: Vec<TwoHands>,
    fault: String,
    beside: usize,
    number: i64,
    writes: bool,
}

async fn show(desk: Desk, Query(asked): Query<Asked>) -> Result<Response, PageError> {
    render(&desk, &asked, &Sent(&[]), &Typed::none(), 0).await
}

/// Writes blanks, then does what the pressed button says. Nothing is done while a blank was refused: it would happen
/// beside what the person meant to write.
async fn write(
    desk: Desk,
    Query(asked): Query<Asked>,
    Form(form): Form<Vec<(String, String)>>,
) -> Result<Response, PageError> {
    let sent = Sent(&form);
    let written = fields::write(desk, &form).await?;
    let mut typed = written.typed;
    let desk = acts::tie_written(written.desk, &sent, &mut typed).await?;
    if !typed.is_empty() {
        return render(&desk, &asked, &sent, &typed, written.beside).await;
    }
    let done = acts::act(&desk, &sent, &mut typed).await?;
    let desk = desk.again().await?;
    if !typed.is_empty() {
        return render(&desk, &asked, &sent, &typed, written.beside).await;
    }
    let asked = Asked {
        struck: match &done {
            Done::Struck(shot) => Some(shot.to_string()),
            _ => None,
        },
        after: None,
        open: asked.open,
    };
    if desk.part {
        return render(&desk, &asked, &Sent(&[]), &typed, written.beside).await;
    }
    Ok(Redirect::to(&back(&desk.plan, &asked, &done, &sent)).into_response())
}

/// Where a person without scripts finds the place again.
fn back(plan: &Plan, asked: &Asked, done: &Done, sent: &Sent<'_>) -> String {
    let mut path = format!("{}/cut", plan.path());
    let open = asked.open.as_deref().and_then(Id::parse);
    if let Some(open) = &open {
        path = with_query(&path, "open", open.as_str());
    }
    if let Some(struck) = asked.struck.as_deref().and_then(Id::parse) {
        return with_query(&path, "struck", struck.as_str());
    }
    let moved = sent.text("do").split_once(':').map(|(_, id)| id);
    let row = moved
        .and_then(Id::parse)
        .filter(|id| plan.shots.get(id).is_some())
        .or(open);
    match (done, row) {
        (Done::Added, _) => format!("{path}#add"),
        (_, Some(row)) => format!("{path}#shot-{row}"),
        _ => format!("{path}#shots"),
    }
}

async fn take_picture(
    mut desk: Desk,
    Path((_, shot)): Path<(String, String)>,
    form: Result<Multipart, axum::extract::multipart::MultipartRejection>,
) -> Result<Response, PageError> {
    desk.hand.may_write()?;
    let shot = Id::parse(&shot)
        .and_then(|id| desk.plan.shots.get(&id))
        .ok_or_else(|| PageError::no_such("shot"))?
        .id
        .clone();
    let mut form = form.map_err(|_| {
        PageError::UnsupportedMedia("A picture is sent as a file in a form (multipart).".into())
    })?;
    // What comes back is the cut with this row open, whatever became of the file.
    let asked = Asked {
        open: Some(shot.to_string()),
        ..Asked::default()
    };
    desk.path = format!("{}/cut?open={shot}", desk.plan.path());
    let taken = match pictures::chosen(&mut form).await {
        Ok(file) => pictures::keep(&desk, file).await?,
        Err(fault) => Err(fault),
    };
    let key = format!("{shot}.board_picture");
    let mut typed = Typed::none();
    match taken {
        Ok(picture) => {
            let pair = [(key, picture.to_string())];
            let written = fields::write(desk, &pair).await?;
            (desk, typed) = (written.desk, written.typed);
        }
        Err(fault) => typed.refuse(key, String::new(), fault.to_string()),
    }
    if desk.part || !typed.is_empty() {
        return render(&desk, &asked, &Sent(&[]), &typed, 0).await;
    }
    Ok(Redirect::to(&figures::opened(&desk.plan, &shot)).into_response())
}

async fn render(
    desk: &Desk,
    asked: &Asked,
    sent: &Sent<'_>,
    typed: &Typed,
    beside: usize,
) -> Result<Response, PageError> {
    let plan = &*desk.plan;
    let open = asked.open.as_deref().and_then(Id::parse);
    let found = findings::of_cut(plan);
    let mut tells: Vec<Tell> = found.iter().map(|finding| finding.tell("")).collect();
    let more_tells = tells.split_off(tells.len().min(WORST));
    let drawing = svg(&cut_sheet(&figures::cut(plan, &found)), "cut");
    let own_page = open.as_ref().map_or_else(
        || desk.href("/cut"),
        |open| desk.href(&format!("/cut?open={open}")),
    );
    let page_of = CutPage {
        sheet: sheet(desk, &own_page),
        action: own_page,
        drawing,
        tells,
        more_tells,
        rows: table::rows(plan, open.as_ref(), typed, desk.hand.role.writes()),
        setup_codes: plan
            .setups_in_order()
            .into_iter()
            .map(|s| (s.code.to_string(), s.name.to_string()))
            .collect(),
        new: new_shot(plan, asked, sent, typed),
        places: plan
            .shots_in_order()
            .into_iter()
            .map(|s| (s.id.to_string(), format!("{} {}", s.code, s.name)))
            .collect(),
        just_struck: asked.struck.as_deref().and_then(|id| struck(plan, id)),
        struck: plan
            .shots
            .with_removed()
            .filter_map(|shot| struck(plan, shot.id.as_str()))
            .collect(),
        two_hands: disputes(desk).await?,
        fault: typed.get("do").map(|t| t.1.clone()).unwrap_or_default(),
        beside,
        number: plan.number(),
        writes: desk.hand.role.writes(),
    };
    page(&page_of, !typed.is_empty())
}

fn struck(plan: &Plan, id: &str) -> Option<Struck> {
    let shot = plan.shots.any(id).filter(|shot| shot.removed_seq != 0)?;
    Some(Struck {
        id: shot.id.to_string(),
        called: if shot.name.is_empty() {
            shot.code.to_string()
        } else {
            format!("{}, {}", shot.code, shot.name)
        },
    })
}

fn new_shot(plan: &Plan, asked: &Asked, sent: &Sent<'_>, typed: &Typed) -> NewShot {
    let fault = |key: &str| typed.get(key).map(|t| t.1.clone()).unwrap_or_default();
    let was_sent = sent.text("do") == "add";
    let after = if was_sent {
        sent.text("new-after").to_owned()
    } else {
        asked.after.clone().unwrap_or_default()
    };
    NewShot {
        code: if was_sent {
            sent.text("new-code").to_owned()
        } else {
            table::next_code(plan)
        },
        name: sent.text("new-name").to_owned(),
        length: sent.text("new-length").to_owned(),
        after,
        code_fault: fault("new.code"),
        length_fault: fault("new.length"),
    }
}

fn sheet(desk: &Desk, own_page: &str) -> Sheet {
    let plan = &*desk.plan;
    let count = plan.shots.len();
    let shots = counted(count, "shot", "shots");
    let unsaid = plan
        .shots
        .iter()
        .filter(|s| s.length_frames.is_none())
        .count();
    let unsaid = match unsaid {
        0 => String::new(),
        1 => " One shot has no length yet.".to_owned(),
        many => format!(" {many} shots have no length yet."),
    };
    let length = if count == 0 {
        "no shot yet".to_owned()
    } else {
        format!("{shots}, {} s", fixed(total_s(plan), 1))
    };
    let subtitle = format!(
        "{}{length} at {} fps, starts {}.{unsaid}",
        scenes(plan),
        crate::journal::field::plain((plan.base_fps() * 1000.0).round() / 1000.0),
        table::begins(plan, 0),
    );
    let mut sheet = desk.sheet(Tab::Cut, "The cut", subtitle);
    sheet.cells = vec![cell("Covers", shots), cell("Scale of time", "to the ruler")];
    // A page that answers a form is found again at its own address.
    own_page.clone_into(&mut sheet.path);
    sheet
}

fn counted(count: usize, one: &str, many: &str) -> String {
    format!("{count} {}", if count == 1 { one } else { many })
}

/// "Scene 41: ", for as many as are named briefly.
fn scenes(plan: &Plan) -> String {
    let mut scenes: Vec<_> = plan.scenes.iter().collect();
    scenes.sort_by(|a, b| (&a.order_key, &a.id).cmp(&(&b.order_key, &b.id)));
    let said = |scene: &&crate::journal::record::Entry<super::shot::Scene>| {
        if scene.name.is_empty() {
            scene.code.to_string()
        } else {
            format!("{} {}", scene.code, scene.name)
        }
    };
    match scenes.as_slice() {
        [] => String::new(),
        [one] => format!("Scene {}: ", said(one)),
        [most @ .., last] if most.len() < 4 => {
            let most: Vec<_> = most.iter().map(said).collect();
            format!("Scenes {} and {}: ", most.join(", "), said(last))
        }
        many => format!("{} scenes: ", many.len()),
    }
}

fn total_s(plan: &Plan) -> f64 {
    let frames: i64 = plan
        .shots
        .iter()
        .map(|s| s.length_frames.unwrap_or(0))
        .sum();
    #[expect(clippy::cast_precision_loss, reason = "frames of one cut")]
    let frames = frames as f64;
    frames / plan.base_fps()
}

/// Blanks of the cut that two hands wrote, each with what its values come to.
async fn disputes(desk: &Desk) -> Result<Vec<TwoHands>, PageError> {
    if desk.plan.besides.is_empty() && desk.plan.studio.besides.is_empty() {
        return Ok(Vec::new());
    }
    let shots = desk.plan.shots.iter().map(|s| s.id.clone());
    let sightings = desk.plan.sightings.iter().map(|s| s.id.clone());
    let things: Vec<Id> = shots.chain(sightings).collect();
    two_hands::notes(desk, &things, |plan| {
        let found = findings::of_cut(plan).len();
        format!(
            "The cut runs {} s, {} not cut together.",
            fixed(total_s(plan), 1),
            if found == 1 {
                "one pair does".to_owned()
            } else {
                format!("{found} pairs do")
            }
        )
    })
    .await
}
