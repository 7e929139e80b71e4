//! Plans for programs: the list, a new one, the whole of one, and changes to it.

use super::{body::Body, refused_error};
use crate::{
    access::Hand,
    app::App,
    error::PageError,
    journal::{
        change::{Op, Outcome},
        decide::Refused,
        field::Refusal,
        record::{AnyList, entry_json},
        value::Id,
        writer::{Ask, Reply},
    },
    plan::{Plan, Scope as _, history::moment},
    web::{problem, routes::Routes},
};
use axum::{
    Json,
    extract::{DefaultBodyLimit, Path, State},
    http::{HeaderMap, HeaderValue, StatusCode, Uri, header},
    response::{IntoResponse as _, Response},
    routing::{get, post},
};
use serde_json::{Map, Value, json};

/// Most ops in one request.
const MOST_OPS: usize = 2000;
/// Largest body of a request with ops.
const MOST_BYTES: usize = 4 << 20;

/// Addresses of plans.
pub fn routes() -> Routes {
    Routes::new()
        .route("/api/plans", get(list).post(make))
        .route("/api/plans/{plan}", get(whole))
        .route(
            "/api/plans/{plan}/changes",
            post(change).layer(DefaultBodyLimit::max(MOST_BYTES)),
        )
}

async fn list(State(app): State<App>, hand: Hand) -> Result<Json<Value>, PageError> {
    let plans = app.store.plans().await?.into_iter();
    let plans = plans.filter(|p| hand.may_see(p.id.as_str()).is_ok());
    let plans: Vec<_> = plans
        .map(|p| json!({"id": p.id.as_str(), "title": p.title, "seq": p.seq}))
        .collect();
    Ok(Json(json!({"plans": plans})))
}

/// Makes a production from its fields; `title` and `base_fps` are needed, the others may come with them.
async fn make(
    State(app): State<App>,
    hand: Hand,
    Body(fields): Body,
) -> Result<Response, PageError> {
    hand.may_write()?;
    let id = Id::new();
    let ask = Ask {
        plan: id.clone(),
        ops: vec![Op::insert("plan", id.clone(), fields)],
        atomic: true,
        batch: None,
        actor: hand.id.as_str().into(),
        client: hand.client.clone(),
    };
    let reply = app.store.write(ask).await?.pop();
    let (seq, _) = reply
        .ok_or_else(|| PageError::Internal("a write without a reply".into()))?
        .result
        .map_err(refused_error)?;
    let body = json!({"id": id.as_str(), "epoch": &**app.store.epoch(), "seq": seq});
    let at = [(header::LOCATION, format!("/api/plans/{id}"))];
    Ok((StatusCode::CREATED, at, Json(body)).into_response())
}

/// The whole plan. Its tag is the journal number and the epoch; a body that will be compressed has a tag of its own.
async fn whole(
    State(app): State<App>,
    _hand: Hand,
    Path(id): Path<String>,
    headers: HeaderMap,
) -> Result<Response, PageError> {
    let plan = moment::find(&app, &id).await?;
    let tag = format!("\"{}-{}{}\"", plan.epoch, plan.number(), coding(&headers));
    let mut response = if matches(&headers, &tag) {
        StatusCode::NOT_MODIFIED.into_response()
    } else {
        Json(plan_json(&plan)).into_response()
    };
    let own = response.headers_mut();
    if let Ok(tag) = HeaderValue::from_str(&tag) {
        own.insert(header::ETAG, tag);
    }
    own.insert(
        header::CACHE_CONTROL,
        HeaderValue::from_static("private, no-cache"),
    );
    own.append(header::VARY, HeaderValue::from_static("accept-encoding"));
    own.append(header::VARY, HeaderValue::from_static("cookie"));
    Ok(response)
}

/// What the compression on the way out may do to the body, as the end of its tag: equal tags mean equal bytes.
fn coding(headers: &HeaderMap) -> String {
    let accepts = headers
        .get_all(header::ACCEPT_ENCODING)
        .iter()
        .filter_map(|v| v.to_str().ok());
    let mut codings: Vec<_> = accepts
        .flat_map(|v| v.split(','))
        .map(|c| c.trim().to_ascii_lowercase())
        .filter(|c| c.starts_with("br") || c.starts_with("gzip") || c.starts_with('*'))
        .map(|c| {
            c.chars()
                .filter(char::is_ascii_alphanumeric)
                .collect::<String>()
        })
        .collect();
    codings.sort();
    codings.iter().fold(String::new(), |tag, c| tag + "-" + c)
}

/// Whether the reader has this already (`If-None-Match` compares weakly, RFC 9110 section 13.1.2).
fn matches(headers: &HeaderMap, tag: &str) -> bool {
    headers
        .get_all(header::IF_NONE_MATCH)
        .iter()
        .filter_map(|v| v.to_str().ok())
        .flat_map(|v| v.split(','))
        .map(str::trim)
        .any(|known| known == "*" || known.trim_start_matches("W/") == tag)
}

/// A plan as programs read it: one list for each kind of record, those of the studio included.
pub fn plan_json(plan: &Plan) -> Value {
    let mut object = Map::new();
    let title = plan.production().map_or("", |p| &p.title);
    object.insert("id".into(), plan.id.as_str().into());
    object.insert("title".into(), title.into());
    object.insert("epoch".into(), (&*plan.epoch).into());
    object.insert("seq".into(), plan.number().into());
    for list in plan.lists().into_iter().chain(plan.studio.lists()) {
        object.insert(list.kind().list.into(), list_json(list));
    }
    let besides = plan.besides.iter().chain(plan.studio.besides.iter());
    let besides: Vec<_> = besides
        .map(|b| {
            json!({
                "seq": b.seq,
                "entity": b.entity.as_str(),
                "field": (!b.field.is_empty()).then_some(&*b.field),
                "value": b.value,
                "actor": &*b.actor,
                "at_ms": b.at_ms,
            })
        })
        .collect();
    object.insert("besides".into(), besides.into());
    object.into()
}

/// The living ones in the order of their list.
fn list_json(list: &dyn AnyList) -> Value {
    let key = list.kind().index("order_key");
    let mut entries: Vec<_> = list.entries().filter(|e| e.removed_seq() == 0).collect();
    if let Some(key) = key {
        entries.sort_by_cached_key(|e| {
            let place = e.get(key).as_text().unwrap_or_default().to_owned();
            (place, e.id().clone())
        });
    }
    entries.into_iter().map(entry_json).collect()
}

/// What came of an op, under the id it came with.
type Told = (Value, Result<(i64, Outcome), Refused>);

/// Ops as they came: read, or with what is wrong in them.
struct Asked {
    ops: Vec<Result<Op, (Value, Vec<Refusal>)>>,
    atomic: bool,
}

/// A list of ops, `{"ops": […], "atomic": true}`, or one op alone.
fn read(body: Value) -> Result<Asked, PageError> {
    let wrong = |field: &str, kind: &'static str, problem: &str| {
        let refusal = Refusal {
            field: field.into(),
            kind,
            problem: problem.into(),
        };
        PageError::Invalid(problem.into(), vec![refusal])
    };
    let (list, atomic) = match body {
        Value::Array(list) => (list, false),
        Value::Object(mut object) if object.contains_key("ops") => {
            let unknown = object.keys().find(|n| !["ops", "atomic"].contains(&&***n));
            if let Some(name) = unknown {
                return Err(wrong(name, "unknown_field", "A batch has ops and atomic."));
            }
            let atomic = match object.remove("atomic") {
                None | Some(Value::Null) => false,
                Some(Value::Bool(atomic)) => atomic,
                Some(_) => {
                    return Err(wrong("atomic", "wrong_type", "atomic is true or false."));
                }
            };
            match object.remove("ops") {
                Some(Value::Array(list)) => (list, atomic),
                _ => return Err(wrong("ops", "wrong_type", "ops is a list.")),
            }
        }
        op @ Value::Object(_) => (vec![op], false),
        _ => {
            return Err(wrong(
                "",
                "wrong_type",
                "Send a list of ops, or an object with ops.",
            ));
        }
    };
    if list.len() > MOST_OPS {
        return Err(PageError::TooLarge(format!(
            "At most {MOST_OPS} ops in one request; these are {}. Send them in parts.",
            list.len()
        )));
    }
    let ops = list
        .into_iter()
        .map(|json| Op::from_json(&json).map_err(|faults| (json["op_id"].clone(), faults)))
        .collect();
    Ok(Asked { ops, atomic })
}

async fn change(
    State(app): State<App>,
    hand: Hand,
    Path(id): Path<String>,
    uri: Uri,
    Body(body): Body,
) -> Result<Response, PageError> {
    hand.may_write()?;
    let plan = moment::find(&app, &id).await?;
    moment::may_write(&plan)?;
    let Asked { ops, atomic } = read(body)?;
    // An atomic batch with an op that cannot be read is refused before the writer sees it.
    let unread = atomic && ops.iter().any(Result::is_err);
    let readable: Vec<Op> = ops
        .iter()
        .filter_map(|op| op.as_ref().ok())
        .cloned()
        .collect();
    let mut replies = if readable.is_empty() || unread {
        Vec::new()
    } else {
        let batch = (readable.len() > 1).then(|| Id::new().as_str().into());
        let ask = Ask {
            plan: plan.id.clone(),
            ops: readable,
            atomic,
            batch,
            actor: hand.id.as_str().into(),
            client: hand.client.clone(),
        };
        app.store.write(ask).await?
    }
    .into_iter();
    let single = ops.len() == 1;
    let results: Vec<Told> = ops
        .into_iter()
        .map(|op| match op {
            Err((op_id, faults)) => (op_id, Err(Refused::Invalid(faults))),
            Ok(op) => match replies.next() {
                Some(Reply { op_id, result }) => ((&*op_id).into(), result),
                None => ((&*op.op_id).into(), Err(Refused::Invalid(Vec::new()))),
            },
        })
        .collect();
    let refused = results.iter().filter_map(|(_, r)| r.as_ref().err());
    match refused.max_by_key(|r| weight(r)) {
        Some(worst) if single || atomic => Ok(refusal(worst.clone(), &results, uri.path())),
        _ => Ok(
            Json(json!({"results": results.iter().map(result_json).collect::<Vec<_>>()}))
                .into_response(),
        ),
    }
}

/// Which refusal of an atomic batch gives the answer its status: not one that was refused only because of another.
fn weight(refused: &Refused) -> u8 {
    match refused {
        Refused::Invalid(list) if list.is_empty() => 0,
        Refused::Invalid(_) => 3,
        Refused::SameKeyOtherContent => 2,
        Refused::StillReferenced(_) => 1,
    }
}

/// Refused as a whole: problem details, with what came of each op beside them.
fn refusal(worst: Refused, results: &[Told], path: &str) -> Response {
    let error = refused_error(worst);
    let mut body = problem::details_body(&error, path);
    body["results"] = results.iter().map(result_json).collect();
    problem::details_response(error.status(), &body)
}

fn result_json((op_id, result): &Told) -> Value {
    match result {
        Ok((seq, outcome)) => json!({"op_id": op_id, "seq": seq, "outcome": outcome.word()}),
        Err(refused) => {
            let (errors, referrers) = match refused {
                Refused::Invalid(list) if list.is_empty() => {
                    let problem = "Another op of the batch was refused, so nothing was stored.";
                    (vec![error("", "batch_refused", problem)], None)
                }
                Refused::Invalid(list) => {
                    let errors = list.iter().map(|r| error(&r.field, r.kind, &r.problem));
                    (errors.collect(), None)
                }
                Refused::SameKeyOtherContent => {
                    let problem = PageError::SameKeyOtherContent.to_string();
                    (
                        vec![error("op_id", "same_key_other_content", &problem)],
                        None,
                    )
                }
                Refused::StillReferenced(by) => {
                    let problem = PageError::StillReferenced(by.clone()).to_string();
                    let errors = vec![error("entity", "still_referenced", &problem)];
                    (errors, Some(by))
                }
            };
            let mut body = json!({"op_id": op_id, "outcome": "refused", "errors": errors});
            if let Some(by) = referrers {
                body["referrers"] = json!(by);
            }
            body
        }
    }
}

fn error(field: &str, kind: &str, problem: &str) -> Value {
    json!({"field": field, "kind": kind, "problem": problem})
}
