//! The calculations, open to anyone: nothing is kept, and no plan is needed.

use super::body::Body;
use crate::{error::PageError, journal::field::Refusal, web::routes::Routes};
use axum::{
    extract::Path,
    http::header,
    response::{IntoResponse as _, Response},
    routing::{get, post},
};
use serde_json::{Map, Value, json};
use std::sync::LazyLock;
use stillair_calc::{Calculation, Fault, catalogue, find, schema};

/// Addresses of the calculations.
pub fn routes() -> Routes {
    Routes::new()
        .route("/api/calc", get(list))
        .route("/api/calc/{family}/{calculation}", post(work))
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

/// One calculation.
async fn work(
    Path((family, name)): Path<(String, String)>,
    Body(body): Body,
) -> Result<Response, PageError> {
    let calculation = find(&family, &name).ok_or_else(|| {
        PageError::NotFound(format!(
            "There is no calculation {family}/{name}; GET /api/calc lists them."
        ))
    })?;
    let Value::Object(given) = body else {
        let refusal = Refusal {
            field: String::new(),
            kind: "wrong_type",
            problem: "The body is an object with the inputs by name.".into(),
        };
        return Err(PageError::Invalid(refusal.problem.clone(), vec![refusal]));
    };
    let worked = if LONG.contains(&calculation.name) {
        tokio::task::spawn_blocking(move || run(calculation, &given))
            .await
            .map_err(|error| PageError::Internal(error.to_string()))?
    } else {
        run(calculation, &given)
    };
    let answer = worked.map_err(|faults| {
        let refusals: Vec<_> = faults.into_iter().map(refusal).collect();
        let sentence = refusals
            .iter()
            .map(|r| r.problem.as_str())
            .collect::<Vec<_>>()
            .join(" ");
        PageError::Invalid(sentence, refusals)
    })?;
    Ok(([(header::CONTENT_TYPE, "application/json")], answer).into_response())
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
