//! The machine interface of handing over: `POST …/import`, `GET …/export/{kind}`.

use axum::{
    Json,
    extract::{DefaultBodyLimit, Path, Query, Request, State},
    http::{HeaderValue, StatusCode, Uri, header},
    response::{IntoResponse as _, Response},
    routing::{get, post},
};
use serde_json::{Map, Value, json};

use super::compare::State as RowIs;
use super::csv::Audience;
use super::problems::Refused;
use super::sent::{MOST_BYTES, Said, Sent};
use super::shots::ShotRow;
use super::work::{self, List, Looked};
use super::{give, remember};
use crate::access::Hand;
use crate::api::plans::plan_json;
use crate::app::App;
use crate::error::PageError;
use crate::plan::{Plan, history::moment};
use crate::web::problem::{details_body, details_response};
use crate::web::routes::Routes;

/// Addresses for programs.
pub fn routes() -> Routes {
    Routes::new()
        .route(
            "/api/plans/{plan}/import",
            post(import).layer(DefaultBodyLimit::max(MOST_BYTES)),
        )
        .route("/api/plans/{plan}/export/{kind}", get(export))
}

async fn import(
    State(app): State<App>,
    hand: Hand,
    Path(id): Path<String>,
    Query(query): Query<Said>,
    uri: Uri,
    request: Request,
) -> Result<Response, PageError> {
    hand.may_write()?;
    let plan = moment::find(&app, &id).await?;
    moment::may_write(&plan)?;
    let sent = Sent::read(request, query).await?;
    let mut list = List {
        bytes: sent.bytes,
        file_name: sent.file_name,
        overrides: remember::headings(&app, &plan.id).await?,
        encoding: sent.encoding,
    };
    list.overrides.extend(sent.overrides);
    let looked = match work::look(&plan, &list).await? {
        Ok(looked) => looked,
        Err(refused) => return Ok(refusal(&refused, uri.path())),
    };
    let mut body = answer(&plan, &looked);
    if looked.look.error_count > 0 || !(sent.looks || looked.look.is_storable()) {
        return Ok(faulty(&looked, body, uri.path()));
    }
    if !sent.looks {
        let stored = work::store(&app, &hand, &plan, &looked).await?;
        remember::keep(&app, &plan.id, &looked.look).await?;
        body["stored"] = json!(stored.counts);
        body["stored"]["beside"] = stored.beside.into();
        if let Some((_, last)) = stored.numbers {
            body["seq"] = last.into();
        }
    }
    Ok(Json(body).into_response())
}

/// What a list says and what it would change.
fn answer(plan: &Plan, looked: &Looked) -> Value {
    let Looked { look, comparison } = looked;
    let rows = look.rows.iter().zip(&comparison.rows).map(|(row, is)| {
        let mut json = json!({"line": row.line, "state": is.state.word(), "fields": fields(row)});
        if let RowIs::Changed(changes) = &is.state {
            json["changes"] = json!(changes);
        }
        json
    });
    json!({
        "seq": plan.number(),
        "rows": rows.collect::<Vec<_>>(),
        "absent": comparison.absent,
        "mapping": look.mapping,
        "not_taken": look.not_taken,
        "notes": look.notes,
        "errors": look.errors,
    })
}

fn fields(row: &ShotRow) -> Map<String, Value> {
    let mut fields: Map<String, Value> = row
        .fields
        .iter()
        .map(|(field, value)| ((*field).to_owned(), json!(value)))
        .collect();
    fields.insert("code".into(), row.code.as_str().into());
    if let Some(setups) = &row.setups {
        fields.insert("setups".into(), json!(setups));
    }
    fields
}

/// A list with faults: problem details, with everything that a look says beside them.
fn faulty(looked: &Looked, mut body: Value, path: &str) -> Response {
    let detail = match looked.look.error_count {
        0 => "There is nothing below the headings, so nothing was stored.".to_owned(),
        1 => "One cell of the list is wrong, so nothing was stored.".to_owned(),
        count => format!("{count} cells of the list are wrong, so nothing was stored."),
    };
    let problem = details_body(&PageError::Invalid(detail, Vec::new()), path);
    if let (Some(body), Value::Object(problem)) = (body.as_object_mut(), problem) {
        body.extend(problem);
        body.insert("error_count".into(), looked.look.error_count.into());
    }
    details_response(StatusCode::UNPROCESSABLE_ENTITY, &body)
}

/// A file that cannot be cut into rows.
fn refusal(refused: &Refused, path: &str) -> Response {
    let error = match refused {
        Refused::TooLarge { .. } => PageError::TooLarge(refused.to_string()),
        _ => PageError::Invalid(refused.to_string(), Vec::new()),
    };
    let mut body = details_body(&error, path);
    body["errors"] = json!([{"line": refused.line(), "problem": refused.to_string()}]);
    if let Refused::NotUtf8 {
        byte_offset,
        as_windows_1252,
        ..
    } = refused
    {
        body["byte_offset"] = (*byte_offset).into();
        body["offer"] = json!({"encoding": "windows-1252", "line": as_windows_1252});
    }
    details_response(error.status(), &body)
}

/// Query of an export.
#[derive(serde::Deserialize)]
struct For {
    /// `spreadsheets` puts a mark before cells that a spreadsheet would run.
    r#for: Option<String>,
}

const CSV: &str = "text/csv; charset=utf-8; header=present";

async fn export(
    State(app): State<App>,
    _hand: Hand,
    Path((id, kind)): Path<(String, String)>,
    Query(query): Query<For>,
) -> Result<Response, PageError> {
    let plan = moment::find(&app, &id).await?;
    let audience = match query.r#for.as_deref() {
        None | Some("") => Audience::Programs,
        Some("spreadsheets") => Audience::Spreadsheets,
        Some(_) => {
            return Err(PageError::BadRequest(
                "for is spreadsheets, or left out.".into(),
            ));
        }
    };
    let (content_type, body) = match kind.as_str() {
        "shots.csv" => (CSV, give::shots(&plan, audience)),
        "setups.csv" => (CSV, give::setups(&plan, audience)),
        "plan.json" => ("application/json", plan_json(&plan).to_string()),
        _ => {
            return Err(PageError::NotFound(
                "There is no such list. There are shots.csv, setups.csv and plan.json.".into(),
            ));
        }
    };
    let mut response = ([(header::CONTENT_TYPE, content_type)], body).into_response();
    let name = give::file_name(&plan, &kind);
    let disposition = HeaderValue::from_str(&format!("attachment; filename=\"{name}\""));
    let own = response.headers_mut();
    own.extend(disposition.ok().map(|v| (header::CONTENT_DISPOSITION, v)));
    own.insert(
        header::CACHE_CONTROL,
        HeaderValue::from_static("private, no-cache"),
    );
    Ok(response)
}
