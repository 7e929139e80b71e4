//! JSON schemas of what goes into and comes out of a calculation, for an `OpenAPI` 3.1 document.

use crate::calculation::Calculation;
use crate::input::{Input, Kind, Range};
use serde_json::{Map, Value, json};

/// Schema of the object that a calculation takes.
pub fn inputs(calculation: &Calculation) -> Value {
    record(calculation.inputs)
}

/// Schema of the object that a calculation answers with, under `result`.
pub fn outputs(calculation: &Calculation) -> Value {
    let properties: Map<String, Value> = calculation
        .outputs
        .iter()
        .map(|output| {
            (
                output.name.to_owned(),
                described(kind(&output.kind), output.doc, output.unit()),
            )
        })
        .collect();
    let required: Vec<_> = calculation
        .outputs
        .iter()
        .map(|output| output.name)
        .collect();
    json!({"type": "object", "properties": properties, "required": required})
}

fn record(inputs: &[Input]) -> Value {
    let properties: Map<String, Value> = inputs
        .iter()
        .map(|input| (input.name.to_owned(), one(input)))
        .collect();
    let required: Vec<_> = inputs
        .iter()
        .filter(|input| input.required())
        .map(|input| input.name)
        .collect();
    json!({"type": "object", "properties": properties, "required": required, "additionalProperties": false})
}

fn one(input: &Input) -> Value {
    let mut schema = described(kind(&input.kind), input.doc, input.unit());
    bound(&mut schema, &input.range);
    if let Some(members) = schema.as_object_mut() {
        if let Some(default) = input.default {
            members.insert("default".to_owned(), default());
        }
        if let Some(usual) = input.usual {
            members.insert("examples".to_owned(), json!([usual()]));
        }
    }
    schema
}

fn described(mut schema: Value, doc: &str, unit: &str) -> Value {
    let doc: Vec<_> = doc.split_whitespace().collect();
    let mut words = doc.join(" ");
    if !unit.is_empty() {
        words = format!("{words} Unit: {unit}.");
    }
    if let Some(members) = schema.as_object_mut() {
        members.insert("description".to_owned(), Value::from(words));
    }
    schema
}

fn kind(of: &Kind) -> Value {
    match of {
        Kind::Number => json!({"type": "number"}),
        Kind::NumberOrInfinity => {
            json!({"anyOf": [{"type": "number"}, {"type": "string", "enum": ["Infinity", "-Infinity"]}]})
        }
        Kind::Whole => json!({"type": "integer", "minimum": 0}),
        Kind::Text => json!({"type": "string"}),
        Kind::Truth => json!({"type": "boolean"}),
        Kind::Choice(words) => json!({"type": "string", "enum": words}),
        Kind::List(item) => json!({"type": "array", "items": kind(item)}),
        Kind::Tuple(item, count) => {
            json!({"type": "array", "items": kind(item), "minItems": count, "maxItems": count})
        }
        Kind::Record(members) => record(members),
        Kind::Optional(inner) => json!({"anyOf": [kind(inner), {"type": "null"}]}),
        Kind::OneOf(ways) => {
            let ways: Vec<Value> = ways.iter().map(kind).collect();
            json!({"anyOf": ways})
        }
    }
}

/// Writes a range where the numbers are: in the schema itself, or in that of its items or of what it may be.
fn bound(schema: &mut Value, range: &Range) {
    let limits = match *range {
        Range::Any => return,
        Range::Above(low) => json!({"exclusiveMinimum": low}),
        Range::AtLeast(low) => json!({"minimum": low}),
        Range::Between(low, high) => json!({"minimum": low, "maximum": high}),
        Range::AboveUpTo(low, high) => json!({"exclusiveMinimum": low, "maximum": high}),
        Range::FromBelow(low, high) => json!({"minimum": low, "exclusiveMaximum": high}),
        Range::Within(low, high) => json!({"exclusiveMinimum": low, "exclusiveMaximum": high}),
    };
    limit(schema, &limits);
}

fn limit(schema: &mut Value, limits: &Value) {
    let numeric = matches!(
        schema.get("type").and_then(Value::as_str),
        Some("number" | "integer")
    );
    if numeric && let (Some(members), Some(limits)) = (schema.as_object_mut(), limits.as_object()) {
        members.extend(limits.clone());
        return;
    }
    if let Some(items) = schema.get_mut("items") {
        limit(items, limits);
    }
    for choice in schema
        .get_mut("anyOf")
        .and_then(Value::as_array_mut)
        .into_iter()
        .flatten()
    {
        limit(choice, limits);
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn ranges_stand_where_the_numbers_are() {
        let mut list = kind(&Kind::List(&Kind::Number));
        bound(&mut list, &Range::Above(0.0));
        assert_eq!(
            list,
            json!({"type": "array", "items": {"type": "number", "exclusiveMinimum": 0.0}})
        );
        let mut optional = kind(&Kind::Optional(&Kind::Number));
        bound(&mut optional, &Range::Between(0.0, 1.0));
        assert_eq!(
            optional["anyOf"][0],
            json!({"type": "number", "minimum": 0.0, "maximum": 1.0})
        );
    }

    #[test]
    fn an_endless_result_may_be_a_word() {
        let depth = crate::find("focus", "depth-of-field").expect("a calculation");
        let far = &outputs(depth)["properties"]["far_from_entrance_pupil_mm"];
        assert_eq!(far["anyOf"][1]["enum"][0], "Infinity");
        let needed = &inputs(depth)["required"];
        assert!(
            needed
                .as_array()
                .expect("a list")
                .contains(&json!("f_number"))
        );
        assert!(
            !needed
                .as_array()
                .expect("a list")
                .contains(&json!("pupil_magnification"))
        );
    }
}
