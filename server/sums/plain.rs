//! What a plain page shows of a calculation's answer.

use super::forms::spelt;
use super::quantity::{self, Units};
use super::sum::earned;
use crate::web::parts::Figure;
use serde_json::Value;
use stillair_calc::{Calculation, Kind, Output, Reply};

/// The figures of an answer, the sum under the first of them.
pub fn figures(calculation: &Calculation, reply: &Reply, units: Units) -> Vec<Figure> {
    let mut figures: Vec<Figure> = calculation
        .outputs
        .iter()
        .map(|output| one(output, &reply.result[output.name], units))
        .collect();
    if let Some(first) = figures.first_mut() {
        reply
            .because
            .trim_end_matches('.')
            .clone_into(&mut first.expression);
    }
    if let Some(last) = figures.last_mut() {
        last.source = format!("{}; {}", reply.source, calculation.mark.as_str());
    }
    figures
}

fn one(output: &Output, value: &Value, units: Units) -> Figure {
    let shown = shown(&output.kind, value, output.unit(), units);
    let mut because = output.doc.split_whitespace().collect::<Vec<_>>().join(" ");
    if output.unit() == "lx"
        && let Some(lux) = value.as_f64()
    {
        let other = units.other();
        because = format!(
            "{because} That is {} {}.",
            earned(lux, "lx", other),
            quantity::shown_unit("lx", other)
        );
    }
    Figure {
        id: format!("f-{}", output.name),
        name: stillair_calc::input::label(output.name),
        unit: if value.is_null() || value.is_boolean() {
            String::new()
        } else {
            quantity::shown_unit(output.unit(), units).to_owned()
        },
        value: shown,
        because,
        ..Figure::default()
    }
}

fn shown(kind: &Kind, value: &Value, unit: &'static str, units: Units) -> String {
    match value {
        Value::Null => "none".into(),
        Value::Bool(true) => "yes".into(),
        Value::Bool(false) => "no".into(),
        Value::Number(_) if matches!(kind, Kind::Whole | Kind::Optional(Kind::Whole)) => {
            stillair_calc::figure::found(value.as_f64().unwrap_or(f64::NAN))
        }
        Value::Number(number) => earned(number.as_f64().unwrap_or(f64::NAN), unit, units),
        Value::String(words) if words == "Infinity" => "∞".into(),
        Value::String(words) if words == "-Infinity" => "−∞".into(),
        Value::String(words) if words.is_empty() => "none".into(),
        Value::String(words) => spelt(words),
        Value::Array(several) => {
            let inner = match kind {
                Kind::List(of) | Kind::Tuple(of, _) => of,
                other => other,
            };
            let parts: Vec<_> = several
                .iter()
                .map(|value| shown(inner, value, unit, units))
                .collect();
            let apart = if several
                .iter()
                .any(|value| value.is_array() || value.is_object())
            {
                "; "
            } else {
                ", "
            };
            if parts.is_empty() {
                "none".into()
            } else {
                parts.join(apart)
            }
        }
        Value::Object(members) => {
            let members: Vec<_> = members
                .iter()
                .filter(|(_, value)| !value.is_null() && **value != Value::Bool(false))
                .map(|(name, value)| {
                    let unit = stillair_calc::input::unit(name);
                    let figure = shown(&Kind::Number, value, unit, units);
                    let label = stillair_calc::input::label(name).to_lowercase();
                    format!("{label} {figure} {}", quantity::shown_unit(unit, units))
                        .trim()
                        .to_owned()
                })
                .collect();
            members.join(", ")
        }
    }
}
