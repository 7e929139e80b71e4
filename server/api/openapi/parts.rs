//! Schemas and answers that many addresses share.

use serde_json::{Map, Value, json};

/// Statuses whose answers stand once, among the components.
const SHARED: [(u16, &str); 11] = [
    (400, "The request is not understood."),
    (401, "Nobody is signed in."),
    (403, "Not for this hand, or sent from another site's page."),
    (404, "Nothing stands there."),
    (408, "What was sent took too long to arrive."),
    (409, "Others still refer to it."),
    (410, "It was used already."),
    (413, "More than this address takes at once."),
    (415, "The kind of content is not understood."),
    (
        422,
        "Something that was sent is wrong; every wrong field is named.",
    ),
    (429, "Too many tries; wait a little."),
];

/// The answers that stand among the components: problem details, which pages show as a page.
pub fn responses() -> Map<String, Value> {
    let details = json!({
        "application/problem+json": {"schema": {"$ref": "#/components/schemas/Problem"}},
        "text/html": {"schema": {"type": "string"}},
    });
    SHARED
        .iter()
        .map(|(status, words)| {
            (
                format!("Status{status}"),
                json!({"description": words, "content": details}),
            )
        })
        .collect()
}

/// Answers by status.
pub fn problems(statuses: impl Iterator<Item = u16>) -> Map<String, Value> {
    statuses
        .map(|status| {
            let answer = match status {
                200 => html("The page, with what was typed and what is wrong with it."),
                304 => json!({"description": "The reader has it already."}),
                _ => json!({"$ref": format!("#/components/responses/Status{status}")}),
            };
            (status.to_string(), answer)
        })
        .collect()
}

/// An answer that is a page.
pub fn html(words: &str) -> Value {
    json!({"description": words, "content": {"text/html": {"schema": {"type": "string"}}}})
}

/// A body in JSON.
pub fn json_body(schema: &Value) -> Value {
    json!({"required": true, "content": {"application/json": {"schema": schema}}})
}

/// The schemas that have a name.
pub fn schemas() -> Value {
    let fields =
        json!({"type": "object", "description": "Fields by name, as the record declares them."});
    json!({
        "Problem": {
            "type": "object",
            "description": "Problem details (RFC 9457).",
            "properties": {
                "type": {"type": "string"},
                "title": {"type": "string"},
                "status": {"type": "integer"},
                "detail": {"type": "string", "description": "A sentence a person can act on."},
                "instance": {"type": "string"},
                "errors": {"type": "array", "description": "Every wrong field.", "items": {
                    "type": "object",
                    "properties": {
                        "field": {"type": "string"},
                        "kind": {"type": "string"},
                        "problem": {"type": "string"},
                    },
                    "required": ["problem"],
                }},
                "referrers": {"type": "array", "items": {"type": "string"}},
            },
            "required": ["type", "title", "status", "detail", "instance"],
        },
        "Health": {"type": "object", "properties": {"status": {"const": "ok"}}, "required": ["status"]},
        "Calculations": {
            "type": "object",
            "properties": {"calculations": {"type": "array", "items": {
                "type": "object",
                "properties": {
                    "family": {"type": "string"},
                    "calculation": {"type": "string"},
                    "address": {"type": "string"},
                    "summary": {"type": "string"},
                    "about": {"type": "string"},
                    "inputs": {"type": "array", "items": {"type": "object"}},
                    "outputs": {"type": "array", "items": {"type": "object"}},
                    "source": {"type": "string"},
                    "mark": {"type": "string"},
                },
                "required": ["family", "calculation", "address", "summary", "about", "inputs", "outputs", "source", "mark"],
            }}},
            "required": ["calculations"],
        },
        "Document": {"type": "object", "properties": {"openapi": {"type": "string"}}, "required": ["openapi"]},
        "Fields": fields,
        "Plans": {
            "type": "object",
            "properties": {"plans": {"type": "array", "items": {
                "type": "object",
                "properties": {"id": {"type": "string"}, "title": {"type": "string"}, "seq": {"type": "integer"}},
                "required": ["id", "title", "seq"],
            }}},
            "required": ["plans"],
        },
        "PlanMade": {
            "type": "object",
            "properties": {"id": {"type": "string"}, "epoch": {"type": "string"}, "seq": {"type": "integer"}},
            "required": ["id", "epoch", "seq"],
        },
        "Plan": {
            "type": "object",
            "description": "Every record by its list, with the journal number and the epoch.",
            "properties": {"seq": {"type": "integer"}},
            "required": ["seq"],
        },
        "Op": {
            "type": "object",
            "description": "One write: a field set on the base its writer saw, or a record made or struck out.",
            "properties": {"op_id": {"type": "string", "description": "Makes the write safe to send twice."}},
            "required": ["op_id"],
        },
        "Changes": {"anyOf": [
            {"$ref": "#/components/schemas/Op"},
            {"type": "array", "items": {"$ref": "#/components/schemas/Op"}},
            {
                "type": "object",
                "properties": {
                    "ops": {"type": "array", "items": {"$ref": "#/components/schemas/Op"}},
                    "atomic": {"type": ["boolean", "null"], "description": "All of them or none."},
                },
                "required": ["ops"],
                "additionalProperties": false,
            },
        ]},
        "Results": {
            "type": "object",
            "properties": {"results": {"type": "array", "items": {"type": "object"}}},
            "required": ["results"],
        },
        "Look": {"type": "object", "description": "Rows with their state, the mapping, notes and errors; what was stored."},
    })
}
