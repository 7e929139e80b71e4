//! Inputs of any calculation, made up from its own description: ordinary, at the ends of its ranges, and beyond them.

use serde_json::{Map, Value, json};
use stillair_calc::{Calculation, Input, Kind, Range};

/// Random numbers that need no crate: Marsaglia's xorshift with 64 bits.
pub struct Dice(u64);

impl Dice {
    pub fn new(seed: u64) -> Self {
        Self(seed ^ 0x9e37_79b9_7f4a_7c15)
    }

    pub fn roll(&mut self) -> u64 {
        self.0 ^= self.0 << 13;
        self.0 ^= self.0 >> 7;
        self.0 ^= self.0 << 17;
        self.0
    }

    pub fn below(&mut self, end: usize) -> usize {
        let end = u64::try_from(end.max(1)).unwrap_or(1);
        usize::try_from(self.roll() % end).unwrap_or(0)
    }

    /// From 0 to 1.
    pub fn share(&mut self) -> f64 {
        f64::from(u32::try_from(self.roll() >> 32).unwrap_or(0)) / f64::from(u32::MAX)
    }

    pub fn one_in(&mut self, many: usize) -> bool {
        self.below(many) == 0
    }
}

/// Numbers that have broken programs before.
const HARD: [f64; 14] = [
    0.0,
    -0.0,
    1.0,
    -1.0,
    1e-300,
    5e-324,
    1e300,
    -1e300,
    f64::MAX,
    f64::MIN_POSITIVE,
    f64::EPSILON,
    0.1,
    1e16,
    -273.15,
];

/// A number, mostly inside the range, sometimes at its ends or beyond.
fn number(dice: &mut Dice, range: &Range, usual: Option<f64>) -> Value {
    if dice.one_in(12) {
        return match dice.below(5) {
            0 => json!("NaN"),
            1 => json!("Infinity"),
            2 => json!("-Infinity"),
            3 => Value::Null,
            _ => json!("12"),
        };
    }
    if dice.one_in(6) {
        return json!(HARD[dice.below(HARD.len())]);
    }
    let around = |dice: &mut Dice| {
        let size = usual.filter(|usual| *usual != 0.0).unwrap_or(1.0);
        size * 10_f64.powf(dice.share() * 4.0 - 2.0)
    };
    let between = |dice: &mut Dice, low: f64, high: f64| match dice.below(8) {
        0 => low,
        1 => high,
        _ => low + dice.share() * (high - low),
    };
    json!(match *range {
        Range::Any if dice.one_in(3) => -around(dice),
        Range::Any | Range::Above(_) | Range::AtLeast(_) if !dice.one_in(10) => around(dice),
        Range::Any => 0.0,
        Range::Above(low) | Range::AtLeast(low) => low,
        Range::Between(low, high)
        | Range::AboveUpTo(low, high)
        | Range::FromBelow(low, high)
        | Range::Within(low, high) => between(dice, low, high),
    })
}

fn of_kind(dice: &mut Dice, kind: &Kind, range: &Range, usual: &Value) -> Value {
    if dice.one_in(60) {
        return [
            json!({}),
            json!([]),
            json!("?"),
            json!(true),
            json!(-3),
            json!([[[]]]),
        ][dice.below(6)]
        .clone();
    }
    match kind {
        Kind::Number | Kind::NumberOrInfinity => number(dice, range, usual.as_f64()),
        Kind::Whole => json!(dice.below(9)),
        Kind::Truth => json!(dice.one_in(2)),
        Kind::Choice(words) => json!(words[dice.below(words.len())]),
        Kind::Text => {
            if dice.one_in(3) {
                json!("no such thing")
            } else {
                usual.clone()
            }
        }
        Kind::Optional(of) => {
            if dice.one_in(3) {
                Value::Null
            } else {
                of_kind(dice, of, range, usual)
            }
        }
        Kind::List(of) => {
            let count = dice.below(5);
            (0..count)
                .map(|at| {
                    of_kind(
                        dice,
                        of,
                        range,
                        usual.get(at).or(usual.get(0)).unwrap_or(&Value::Null),
                    )
                })
                .collect()
        }
        Kind::Tuple(of, count) => (0..*count)
            .map(|at| of_kind(dice, of, range, usual.get(at).unwrap_or(&Value::Null)))
            .collect(),
        Kind::Record(members) => record(dice, members, usual),
        Kind::OneOf(ways) => {
            if dice.one_in(2) {
                usual.clone()
            } else {
                let way = &ways[dice.below(ways.len())];
                of_kind(dice, way, range, usual)
            }
        }
    }
}

fn record(dice: &mut Dice, members: &[Input], usual: &Value) -> Value {
    let mut made = Map::new();
    for member in members {
        if dice.one_in(25) {
            continue;
        }
        let start = member.usual.or(member.default).map(|value| value());
        let start = usual
            .get(member.name)
            .cloned()
            .or(start)
            .unwrap_or(Value::Null);
        let value = of_kind(dice, &member.kind, &member.range, &start);
        made.insert(member.name.to_owned(), value);
    }
    Value::Object(made)
}

/// Inputs of a calculation.
pub fn inputs(dice: &mut Dice, calculation: &Calculation) -> Map<String, Value> {
    let Value::Object(mut made) = record(dice, calculation.inputs, &Value::Null) else {
        unreachable!("a record is an object");
    };
    if dice.one_in(40) {
        made.insert("unheard_of".to_owned(), json!(1));
    }
    made
}

/// The inputs it starts with.
pub fn usual(calculation: &Calculation) -> Map<String, Value> {
    let inputs = calculation.inputs.iter();
    inputs
        .filter_map(|input| Some((input.name.to_owned(), input.usual.or(input.default)?())))
        .collect()
}
