//! `GET /api/openapi.json`: every address of the program as an `OpenAPI` 3.1 document, made from the calculations' own
//! descriptions and from the list of addresses in `addresses`.

mod addresses;
mod parts;

use crate::{access::gate, web::routes::Routes};
use addresses::{ADDRESSES, Address, Gives, Takes};
use axum::{
    http::{HeaderMap, HeaderValue, Method, StatusCode, header},
    response::{IntoResponse as _, Response},
    routing::get,
};
use parts::{html, json_body, problems, responses, schemas};
use serde_json::{Map, Value, json};
use sha2::{Digest as _, Sha256};
use std::{fmt::Write as _, sync::LazyLock};
use stillair_calc::{Calculation, catalogue, schema};

/// Its address.
pub const HREF: &str = "/api/openapi.json";

/// Addresses of this part.
pub fn routes() -> Routes {
    Routes::new().route(HREF, get(show))
}

/// The document as text and its tag; it is the same for as long as the program runs.
static TEXT: LazyLock<(String, HeaderValue)> = LazyLock::new(|| {
    let text = document().to_string();
    let hash = Sha256::digest(text.as_bytes());
    let tag = hash
        .iter()
        .take(8)
        .fold(String::from("W/\""), |mut tag, byte| {
            let _ = write!(tag, "{byte:02x}");
            tag
        });
    let tag = HeaderValue::try_from(tag + "\"").expect("hexadecimal digits");
    (text, tag)
});

async fn show(headers: HeaderMap) -> Response {
    let (text, tag) = &*TEXT;
    let known = headers.get(header::IF_NONE_MATCH) == Some(tag);
    let mut response = if known {
        StatusCode::NOT_MODIFIED.into_response()
    } else {
        ([(header::CONTENT_TYPE, "application/json")], text.as_str()).into_response()
    };
    let own = response.headers_mut();
    own.insert(header::ETAG, tag.clone());
    own.insert(header::CACHE_CONTROL, HeaderValue::from_static("no-cache"));
    response
}

/// The whole document.
pub fn document() -> Value {
    let mut paths: Map<String, Value> = Map::new();
    for address in ADDRESSES {
        let item = paths
            .entry(address.path.replace("{*", "{"))
            .or_insert_with(|| parameters_of(address.path));
        item[address.method] = operation(address);
    }
    for calculation in catalogue() {
        let path = format!("/api/calc/{}/{}", calculation.family, calculation.name);
        paths.insert(path, json!({"post": of_calculation(calculation)}));
    }
    json!({
        "openapi": "3.1.1",
        "info": {
            "title": "stillair",
            "version": env!("CARGO_PKG_VERSION"),
            "summary": "A shared effects-prep workbook for crews who shoot effects in miniature",
            "description": "Calculations need no sign-in and keep nothing. Everything of a plan needs the session cookie that signing in on the pages sets; a write must come from our own pages or from a program without a browser. Errors are problem details (RFC 9457) and name every wrong field at once. Figures are help for people who know the work: they certify nothing, and local codes and competent people decide.",
            "license": {"name": "MIT OR Apache-2.0", "identifier": "MIT OR Apache-2.0"},
        },
        "servers": [{"url": "/"}],
        "tags": tags(),
        "paths": paths,
        "components": {
            "schemas": schemas(),
            "responses": responses(),
            "securitySchemes": {
                "session": {"type": "apiKey", "in": "cookie", "name": "stillair", "description": "Set by signing in."},
            },
        },
    })
}

fn tags() -> Value {
    let mut families: Vec<&str> = Vec::new();
    for calculation in catalogue() {
        if !families.contains(&calculation.family) {
            families.push(calculation.family);
        }
    }
    let families = families
        .into_iter()
        .map(|family| json!({"name": family, "description": format!("Calculations of the family {family}.")}));
    let others = [
        ("program", "The program itself."),
        ("plans", "Plans, read and written by programs."),
        ("pages", "Pages for people; they answer HTML."),
    ];
    let others =
        others.map(|(name, description)| json!({"name": name, "description": description}));
    others.into_iter().chain(families).collect()
}

/// A path item that holds only the places of the path.
fn parameters_of(path: &str) -> Value {
    let places: Vec<Value> = path
        .split('/')
        .filter_map(|part| part.strip_prefix('{')?.strip_suffix('}'))
        .map(|name| json!({"name": name.trim_start_matches('*'), "in": "path", "required": true, "schema": {"type": "string"}}))
        .collect();
    if places.is_empty() {
        json!({})
    } else {
        json!({"parameters": places})
    }
}

/// Who may send it, as the gate says.
fn security(method: &str, path: &str) -> Value {
    let method = Method::from_bytes(method.to_uppercase().as_bytes()).unwrap_or(Method::GET);
    match gate::who(&method, path) {
        gate::Who::Anyone => json!([]),
        _ => json!([{"session": []}]),
    }
}

/// Statuses that the gate adds.
fn turned_away(method: &str, path: &str) -> &'static [u16] {
    let method = Method::from_bytes(method.to_uppercase().as_bytes()).unwrap_or(Method::GET);
    match (gate::who(&method, path), method == Method::GET) {
        (gate::Who::Anyone, true) => &[],
        (gate::Who::Anyone, false) => &[403],
        (gate::Who::SignedIn, true) => &[401],
        _ => &[401, 403],
    }
}

fn operation(address: &Address) -> Value {
    let mut responses = Map::new();
    let (method, path) = (address.method, address.path);
    match address.gives {
        Gives::Page => {
            responses.insert("200".into(), html("The page."));
        }
        Gives::Onward => {
            responses.insert(
                "303".into(),
                json!({"description": "Done; the page to go on with is at Location."}),
            );
        }
        Gives::Json(status, schema, words) => {
            let schema = json!({"$ref": format!("#/components/schemas/{schema}")});
            responses.insert(
                status.to_string(),
                json!({"description": words, "content": {"application/json": {"schema": schema}}}),
            );
        }
        Gives::Nothing(words) => {
            responses.insert("204".into(), json!({"description": words}));
        }
        Gives::File(kinds, words) => {
            let content: Map<String, Value> = kinds
                .iter()
                .map(|kind| ((*kind).to_owned(), json!({})))
                .collect();
            responses.insert(
                "200".into(),
                json!({"description": words, "content": content}),
            );
        }
    }
    if !path.starts_with("/api/") && method == "get" && !turned_away(method, path).is_empty() {
        responses.insert(
            "303".into(),
            json!({"description": "Sign in first; the door is at Location."}),
        );
    }
    let takes: &[u16] = match address.takes {
        Takes::Nothing => &[],
        Takes::Json(_) | Takes::Form => &[400, 408, 413, 415, 422],
    };
    let places: &[u16] = if path.contains('{') { &[404] } else { &[] };
    let others = takes
        .iter()
        .chain(places)
        .chain(turned_away(method, path))
        .chain(address.also)
        .copied();
    for (status, response) in problems(others) {
        responses.entry(status).or_insert(response);
    }
    let mut operation = json!({
        "tags": [address.tag],
        "summary": address.summary,
        "operationId": address.id(),
        "security": security(method, path),
        "responses": responses,
    });
    match address.takes {
        Takes::Nothing => {}
        Takes::Json(schema) => {
            operation["requestBody"] =
                json_body(&json!({"$ref": format!("#/components/schemas/{schema}")}));
        }
        Takes::Form => {
            operation["requestBody"] = json!({"content": {"application/x-www-form-urlencoded": {"schema": {"type": "object"}}, "multipart/form-data": {"schema": {"type": "object"}}}});
        }
    }
    if !address.query.is_empty() {
        operation["parameters"] = address
            .query
            .iter()
            .map(|(name, words)| json!({"name": name, "in": "query", "description": words, "schema": {"type": "string"}}))
            .collect();
    }
    operation
}

fn of_calculation(calculation: &Calculation) -> Value {
    let about: Vec<String> = calculation
        .about
        .split("\n\n")
        .map(|paragraph| paragraph.split_whitespace().collect::<Vec<_>>().join(" "))
        .collect();
    let description = format!(
        "{}\n\nSource: {} ({}).",
        about.join("\n\n"),
        calculation.source,
        calculation.mark.as_str()
    );
    let mut responses = Map::new();
    responses.insert(
        "200".into(),
        json!({"description": "Worked out.", "content": {"application/json": {"schema": {
            "type": "object",
            "properties": {
                "result": schema::outputs(calculation),
                "warnings": {"type": "array", "items": {"type": "string"}, "description": "Doubts that go with the answer."},
                "because": {"type": "string", "description": "The sum in words, with these numbers in it."},
                "source": {"type": "string", "description": "Where the formula comes from."},
                "mark": {"type": "string", "enum": ["confirmed", "from memory", "common practice, no source"]},
            },
            "required": ["result", "warnings", "because", "source", "mark"],
        }}}}),
    );
    responses.extend(problems([400, 403, 408, 413, 415, 422].into_iter()));
    json!({
        "tags": [calculation.family],
        "summary": calculation.summary,
        "description": description,
        "operationId": format!("{}_{}", calculation.family, calculation.name).replace('-', "_"),
        "security": [],
        "requestBody": json_body(&schema::inputs(calculation)),
        "responses": responses,
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::app::App;
    use std::collections::BTreeSet;

    #[test]
    fn every_address_of_the_router_is_in_the_document() {
        let routed: BTreeSet<_> = App::routes()
            .paths()
            .iter()
            .filter(|path| **path != "/api/calc/{family}/{calculation}")
            .copied()
            .collect();
        let told: BTreeSet<_> = ADDRESSES.iter().map(|address| address.path).collect();
        assert_eq!(
            told, routed,
            "server/api/openapi/addresses.rs has every address and no other"
        );
    }

    #[test]
    fn every_operation_has_a_name_of_its_own() {
        let document = document();
        let paths = document["paths"].as_object().expect("paths");
        let mut names = BTreeSet::new();
        for (path, item) in paths {
            for (method, operation) in item.as_object().expect("a path item") {
                if method != "parameters" {
                    let name = operation["operationId"].as_str().expect("a name");
                    assert!(names.insert(name.to_owned()), "{method} {path}: {name}");
                }
            }
        }
        assert!(names.len() > catalogue().len() + 40);
    }
}
