//! The calculations, open to anyone: nothing is kept, and no plan is needed.

use super::body::{needs_json, not_read, parsed};
use crate::{
    app::{App, MOST_BYTES},
    error::PageError,
    journal::field::Refusal,
    web::{
        in_time::InTime,
        problem::{details_body, details_response},
        routes::Routes,
        security::{from_elsewhere, guard, is_own},
    },
};
use axum::{
    body::{Body, HttpBody as _},
    extract::{Request, State},
    http::{StatusCode, Uri, header, uri::PathAndQuery},
    response::{IntoResponse as _, Response},
    routing::{get, post},
};
use serde_json::{Map, Value, json};
use std::{
    future::poll_fn,
    panic::{AssertUnwindSafe, catch_unwind},
    pin::Pin,
    sync::LazyLock,
    time::Instant,
};
use stillair_calc::{Calculation, Fault, catalogue, find, schema};

/// Where the calculations stand.
const UNDER: &str = "/api/calc/";

/// Addresses of the calculations.
pub fn routes() -> Routes {
    Routes::new().route("/api/calc", get(list)).bare(
        "/api/calc/{family}/{calculation}",
        post(work).fallback(only_post),
    )
}

/// Every calculation with its inputs and outputs. It is the same for as long as the program runs.
async fn list() -> Response {
    static TEXT: LazyLock<String> = LazyLock::new(|| {
        let calculations: Vec<Value> = catalogue().iter().map(described).collect();
        json!({"calculations": calculations}).to_string()
    });
    ([(header::CONTENT_TYPE, "application/json")], TEXT.as_str()).into_response()
}

fn described(calculation: &Calculation) -> Value {
    let of = schema::inputs(calculation);
    let inputs = calculation.inputs.iter().map(|input| {
        json!({
            "name": input.name,
            "unit": input.unit(),
            "doc": input.doc,
            "required": input.required(),
            "default": input.default.map(|value| value()),
            "usual": input.usual.map(|value| value()),
            "schema": of["properties"][input.name],
        })
    });
    let outputs = calculation
        .outputs
        .iter()
        .map(|output| json!({"name": output.name, "unit": output.unit(), "doc": output.doc}));
    json!({
        "family": calculation.family,
        "calculation": calculation.name,
        "address": format!("/api/calc/{}/{}", calculation.family, calculation.name),
        "summary": calculation.summary,
        "about": calculation.about,
        "inputs": inputs.collect::<Vec<_>>(),
        "outputs": outputs.collect::<Vec<_>>(),
        "source": calculation.source,
        "mark": calculation.mark.as_str(),
    })
}

/// Searches and sums that can take a millisecond and more: they would hold other requests up. Handing one to another
/// thread costs ten times what the others take.
const LONG: &[&str] = &[
    "search",
    "mie",
    "mass-extinction",
    "mass-extinction-one-size",
    "tile-grid",
];

/// One calculation, or why not, with everything that the shared layers would do for it.
async fn work(State(app): State<App>, request: Request) -> Response {
    let path = request.uri().clone();
    let mut response = match answer(&app, request).await {
        Ok(answer) => ([(header::CONTENT_TYPE, "application/json")], answer).into_response(),
        Err(error) => refused(&error, &path),
    };
    guard(response.headers_mut());
    response
}

/// Problem details of a refusal.
fn refused(error: &PageError, path: &Uri) -> Response {
    if error.status().is_server_error() {
        tracing::error!(error = ?error, path = %path, "a calculation failed");
    }
    let path = path.path_and_query().map_or("/", PathAndQuery::as_str);
    details_response(error.status(), &details_body(error, path))
}

/// Any other method.
async fn only_post(uri: Uri) -> Response {
    let mut response = refused(&PageError::MethodNotAllowed, &uri);
    guard(response.headers_mut());
    response
}

async fn answer(app: &App, request: Request) -> Result<String, PageError> {
    if !is_own(&request) {
        return Err(from_elsewhere());
    }
    let calculation = named(request.uri().path())?;
    needs_json(request.headers())?;
    let given = inputs(app, request.into_body()).await?;
    let run = move || run(calculation, &given);
    let worked = if LONG.contains(&calculation.name) {
        tokio::task::spawn_blocking(run)
            .await
            .map_err(|error| PageError::Internal(error.to_string()))?
    } else {
        // no panic reaches a person, and the next request is answered all the same
        catch_unwind(AssertUnwindSafe(run))
            .map_err(|_| PageError::Internal("a calculation panicked".into()))?
    };
    worked.map_err(|faults| {
        let refusals: Vec<_> = faults.into_iter().map(refusal).collect();
        let sentence = refusals
            .iter()
            .map(|r| r.problem.as_str())
            .collect::<Vec<_>>()
            .join(" ");
        PageError::Invalid(sentence, refusals)
    })
}

/// The calculation that a path names.
fn named(path: &str) -> Result<&'static Calculation, PageError> {
    let (family, name) = path
        .strip_prefix(UNDER)
        .and_then(|rest| rest.split_once('/'))
        .unwrap_or_default();
    find(family, name).ok_or_else(|| {
        PageError::NotFound(format!(
            "There is no calculation {family}/{name}; GET /api/calc lists them."
        ))
    })
}

/// Reads the body, which has to be there in time, as inputs by name.
async fn inputs(app: &App, body: Body) -> Result<Map<String, Value>, PageError> {
    let patience = app.body_deadline;
    let started = Instant::now();
    let mut body = InTime::new(body, patience);
    let mut bytes = Vec::new();
    while let Some(frame) = poll_fn(|context| Pin::new(&mut body).poll_frame(context)).await {
        let frame = frame.map_err(|_| {
            if started.elapsed() >= patience {
                PageError::TooSlow
            } else {
                not_read(StatusCode::BAD_REQUEST)
            }
        })?;
        if let Some(data) = frame.data_ref() {
            if bytes.len() + data.len() > MOST_BYTES {
                return Err(not_read(StatusCode::PAYLOAD_TOO_LARGE));
            }
            bytes.extend_from_slice(data);
        }
    }
    if let Value::Object(given) = parsed(&bytes)? {
        return Ok(given);
    }
    let refusal = Refusal {
        field: String::new(),
        kind: "wrong_type",
        problem: "The body is an object with the inputs by name.".into(),
    };
    Err(PageError::Invalid(refusal.problem.clone(), vec![refusal]))
}

/// The answer as text, written straight: it is made for every request and read by nobody here.
fn run(calculation: &Calculation, given: &Map<String, Value>) -> Result<String, Vec<Fault>> {
    let reply = (calculation.run)(given)?;
    let text = |words: &str| Value::from(words).to_string();
    let mut answer = String::with_capacity(1024);
    answer.push_str("{\"result\":");
    answer.push_str(&reply.result.to_string());
    answer.push_str(",\"warnings\":[");
    for (place, kind) in reply.warnings.iter().enumerate() {
        answer.push_str(if place == 0 { "\"" } else { ",\"" });
        answer.push_str(kind);
        answer.push('"');
    }
    answer.push_str("],\"because\":");
    answer.push_str(&Value::from(reply.because).to_string());
    answer.push_str(",\"source\":");
    answer.push_str(&text(reply.source));
    answer.push_str(",\"mark\":");
    answer.push_str(&text(calculation.mark.as_str()));
    answer.push('}');
    Ok(answer)
}

fn refusal(fault: Fault) -> Refusal {
    Refusal {
        field: fault.field,
        kind: fault.kind.as_str(),
        problem: fault.problem,
    }
}
