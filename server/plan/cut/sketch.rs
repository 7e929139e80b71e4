//! A board drawn on the page: pen strokes in a field a thousand units wide, kept as the path of an SVG.

use super::shot::Shot;
use crate::{
    error::PageError,
    journal::{record::Entry, value::Id},
    plan::{Plan, pictures},
    web::page::Desk,
};
use axum::{
    extract::Path,
    http::{HeaderValue, header},
    response::{IntoResponse as _, Response},
    routing::get,
};

/// Width of the field that strokes are drawn in.
pub const WIDTH: u32 = 1000;
/// Height of that field: most crews frame 2.39 wide.
pub const HEIGHT: u32 = 418;

/// Address of drawn boards.
pub fn routes() -> crate::web::routes::Routes {
    crate::web::routes::Routes::new().route("/plans/{plan}/boards/{shot}", get(show))
}

/// Address of a shot's board: its picture, else what was drawn.
pub fn board_href(plan: &Plan, shot: &Entry<Shot>) -> Option<String> {
    pictures::href(&plan.id, &shot.board_picture).or_else(|| {
        (!shot.board_sketch.is_empty()).then(|| {
            // The number of its newest stroke makes the address new, so that an older drawing is never shown for it.
            let index = crate::journal::record::AnyEntry::kind(shot).index("board_sketch");
            let version = index.map_or(0, |i| crate::journal::record::AnyEntry::version(shot, i));
            format!("{}/boards/{}?v={version}", plan.path(), shot.id)
        })
    })
}

async fn show(desk: Desk, Path((_, id)): Path<(String, String)>) -> Result<Response, PageError> {
    let shot = Id::parse(&id).and_then(|id| desk.plan.shots.get(&id));
    let shot = shot
        .filter(|shot| !shot.board_sketch.is_empty())
        .ok_or_else(|| PageError::no_such("board"))?;
    // Its field was checked when it was written: moves, lines and whole numbers alone.
    let picture = format!(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 {WIDTH} {HEIGHT}\"><rect width=\"{WIDTH}\" height=\"{HEIGHT}\" fill=\"#fafcf6\"/><path d=\"{}\" fill=\"none\" stroke=\"#17212a\" stroke-width=\"4\" stroke-linecap=\"round\" stroke-linejoin=\"round\"/></svg>",
        shot.board_sketch
    );
    let kind = HeaderValue::from_static("image/svg+xml");
    Ok(([(header::CONTENT_TYPE, kind)], picture).into_response())
}
