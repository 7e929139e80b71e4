//! The document of the machine interface, against the router and against itself.

use crate::{harness::Book, security::ways};
use axum::{
    body::Body,
    http::{Request, StatusCode, header},
};
use serde_json::Value;
use std::{collections::BTreeSet, fmt::Write as _};

async fn document(book: &Book) -> Value {
    let answer = book
        .send_as("", Request::get("/api/openapi.json"), Body::empty())
        .await;
    assert_eq!(answer.status, StatusCode::OK);
    answer.json()
}

/// Methods of a path item.
fn operations(item: &Value) -> impl Iterator<Item = (&String, &Value)> {
    let members = item.as_object().expect("a path item").iter();
    members.filter(|(name, _)| *name != "parameters")
}

#[tokio::test]
async fn every_method_of_every_address_is_told() {
    let book = Book::new().await;
    let plan = book.plan().await;
    let document = document(&book).await;
    let routed: BTreeSet<(String, String)> = ways(&book, &plan)
        .await
        .into_iter()
        .filter(|way| way.method != "HEAD" && way.path != "/api/calc/{family}/{calculation}")
        .map(|way| {
            (
                way.path.replace("{*", "{"),
                way.method.as_str().to_lowercase(),
            )
        })
        .collect();
    let mut told = BTreeSet::new();
    for (path, item) in document["paths"].as_object().expect("paths") {
        for (method, _) in operations(item) {
            if !path.starts_with("/api/calc/") {
                told.insert((path.clone(), method.clone()));
            }
        }
    }
    assert_eq!(told, routed);
    for calculation in stillair_calc::catalogue() {
        let path = format!("/api/calc/{}/{}", calculation.family, calculation.name);
        assert!(document["paths"][&path]["post"].is_object(), "{path}");
    }
}

#[tokio::test]
async fn the_document_is_kept_by_its_readers() {
    let book = Book::new().await;
    let first = book.get("/api/openapi.json").await;
    let tag = first.headers[header::ETAG]
        .to_str()
        .expect("a tag")
        .to_owned();
    let again = book
        .send(
            Request::get("/api/openapi.json").header(header::IF_NONE_MATCH, tag),
            Body::empty(),
        )
        .await;
    assert_eq!(
        (again.status, again.text.as_str()),
        (StatusCode::NOT_MODIFIED, "")
    );
}

#[tokio::test]
async fn every_reference_leads_somewhere() {
    let document = document(&Book::new().await).await;
    let mut found = 0;
    let mut stack = vec![&document];
    while let Some(value) = stack.pop() {
        match value {
            Value::Object(members) => {
                if let Some(to) = members.get("$ref").and_then(Value::as_str) {
                    let there = to.strip_prefix('#').and_then(|to| document.pointer(to));
                    assert!(there.is_some(), "{to}");
                    found += 1;
                }
                stack.extend(members.values());
            }
            Value::Array(items) => stack.extend(items),
            _ => {}
        }
    }
    assert!(found > 1000, "{found} references");
}

/// Reviewed as a whole when it changes: one line an operation, and one calculation in full.
#[tokio::test]
async fn the_document_as_a_list() {
    let document = document(&Book::new().await).await;
    let mut list = String::new();
    for (path, item) in document["paths"].as_object().expect("paths") {
        for (method, operation) in operations(item) {
            let statuses: Vec<_> = operation["responses"]
                .as_object()
                .expect("responses")
                .keys()
                .cloned()
                .collect();
            let schema = &operation["requestBody"]["content"]["application/json"]["schema"];
            let takes: Vec<_> = schema["properties"]
                .as_object()
                .into_iter()
                .flatten()
                .map(|(name, _)| name.as_str())
                .collect();
            let takes = if takes.is_empty() {
                schema["$ref"].as_str().unwrap_or("").to_owned()
            } else {
                takes.join(" ")
            };
            writeln!(list, "{method} {path} [{}] {takes}", statuses.join(" ")).expect("text");
        }
    }
    insta::assert_snapshot!("operations", list);
    let one = &document["paths"]["/api/calc/suspension/pendulum"];
    insta::assert_snapshot!("pendulum", serde_json::to_string_pretty(one).expect("JSON"));
}
