//! No calculation panics, and none answers with what is no number, whatever it is given.

use super::given::{Dice, inputs};
use serde_json::Value;
use stillair_calc::{Calculation, Kind, catalogue};

/// Rounds of a long run: `STILLAIR_ROUNDS=4000 cargo test -p stillair-calc --release --test properties` tries a million inputs.
fn rounds() -> u64 {
    std::env::var("STILLAIR_ROUNDS")
        .ok()
        .and_then(|rounds| rounds.parse().ok())
        .unwrap_or(60)
}

/// Mie sums and searches of large inputs take a while each.
fn is_slow(calculation: &Calculation) -> bool {
    [
        "mie",
        "mass-extinction",
        "mass-extinction-one-size",
        "search",
        "tile-grid",
    ]
    .contains(&calculation.name)
}

/// Whether every number of an answer is one, and without end only where that is told.
fn sound(kind: &Kind, value: &Value) -> bool {
    match (kind, value) {
        (Kind::NumberOrInfinity, Value::String(word)) => word == "Infinity" || word == "-Infinity",
        (Kind::Number | Kind::Whole | Kind::NumberOrInfinity, Value::Number(number)) => {
            number.as_f64().is_some_and(f64::is_finite)
        }
        (Kind::Text, Value::String(_))
        | (Kind::Truth, Value::Bool(_))
        | (Kind::Optional(_), Value::Null) => true,
        (Kind::Choice(words), Value::String(word)) => words.contains(&word.as_str()),
        (Kind::Optional(of), value) => sound(of, value),
        (Kind::List(of), Value::Array(items)) => items.iter().all(|item| sound(of, item)),
        (Kind::Tuple(of, count), Value::Array(items)) => {
            items.len() == *count && items.iter().all(|item| sound(of, item))
        }
        (Kind::Record(members), Value::Object(given)) => given.iter().all(|(name, value)| {
            let member = members.iter().find(|member| member.name == name);
            member.is_some_and(|member| value.is_null() || sound(&member.kind, value))
        }),
        (Kind::OneOf(ways), value) => ways.iter().any(|way| sound(way, value)),
        _ => false,
    }
}

#[test]
fn no_input_brings_a_panic_or_what_is_no_number() {
    let mut tried = 0_u64;
    let mut answered = 0_u64;
    for (place, calculation) in (0_u64..).zip(catalogue()) {
        let mut dice = Dice::new(place + 1);
        let rounds = if is_slow(calculation) {
            rounds().min(60)
        } else {
            rounds()
        };
        let name = format!("{}/{}", calculation.family, calculation.name);
        for _ in 0..rounds {
            let given = inputs(&mut dice, calculation);
            tried += 1;
            match (calculation.run)(&given) {
                Ok(reply) => {
                    answered += 1;
                    for output in calculation.outputs {
                        let value = &reply.result[output.name];
                        assert!(
                            sound(&output.kind, value),
                            "{name}: {} is {value} for {given:?}",
                            output.name
                        );
                    }
                    assert!(
                        !reply.because.is_empty() && !reply.because.contains("NaN"),
                        "{name}: {}",
                        reply.because
                    );
                }
                Err(faults) => {
                    assert!(
                        !faults.is_empty(),
                        "{name} refuses without a reason: {given:?}"
                    );
                    for fault in faults {
                        assert!(fault.problem.ends_with('.'), "{name}: {}", fault.problem);
                    }
                }
            }
        }
    }
    assert!(tried > 15_000, "{tried} inputs were tried");
    assert!(
        answered * 10 > tried,
        "{answered} of {tried} were worked out"
    );
}
