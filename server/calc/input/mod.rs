//! What a calculation is given: how an input is described, read out of JSON and checked.

pub(crate) use compound::{choice, first, members, part};
pub use typed::Typed;
pub use units::{label, unit};

mod compound;
mod typed;
mod units;

use crate::fault::{Fault, FaultKind};
use crate::figure;
use serde_json::{Map, Value};

/// The numbers an input may have. Whatever the range, NaN and infinities are refused first.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Range {
    /// Every number.
    Any,
    /// More than this.
    Above(f64),
    /// This or more.
    AtLeast(f64),
    /// Both ends allowed.
    Between(f64, f64),
    /// More than the first, up to the second.
    AboveUpTo(f64, f64),
    /// From the first, less than the second.
    FromBelow(f64, f64),
    /// Neither end allowed.
    Within(f64, f64),
}

impl Range {
    /// Which rule a number breaks, and the end of the sentence that says so.
    fn breach(&self, value: f64) -> Option<(FaultKind, String)> {
        use FaultKind::{Negative, NotFinite, NotPositive, OutOfRange};
        if !value.is_finite() {
            return Some((NotFinite, "must be a number".into()));
        }
        let inside = match *self {
            Self::Any => true,
            Self::Above(low) => value > low,
            Self::AtLeast(low) => value >= low,
            Self::Between(low, high) => (low..=high).contains(&value),
            Self::AboveUpTo(low, high) => value > low && value <= high,
            Self::FromBelow(low, high) => (low..high).contains(&value),
            Self::Within(low, high) => value > low && value < high,
        };
        if inside {
            return None;
        }
        // a sign is a plainer fault than a range, and is what a half-typed number usually has
        Some(match *self {
            Self::AtLeast(0.0) => (Negative, "cannot be negative".into()),
            Self::Above(0.0) => (NotPositive, "must be more than zero".into()),
            Self::Above(low) | Self::AtLeast(low) if low > 0.0 && value <= 0.0 => {
                (NotPositive, self.rule())
            }
            _ => (OutOfRange, self.rule()),
        })
    }

    /// Why a number cannot stand here: the end of a sentence that begins with a label, or nothing when it can.
    pub fn refuses(&self, value: f64) -> Option<String> {
        self.breach(value).map(|(_, words)| words)
    }

    /// The end of a sentence that begins with a name. Only a breach is worth its making: every input of every
    /// calculation passes here.
    fn rule(&self) -> String {
        let shown = figure::given;
        match *self {
            Self::Any => "may be any number".into(),
            Self::Above(low) => format!("must be more than {}", shown(low)),
            Self::AtLeast(low) => format!("must be {} or more", shown(low)),
            Self::Between(low, high) => {
                format!("must be between {} and {}", shown(low), shown(high))
            }
            Self::AboveUpTo(low, high) => {
                let (low, high) = (shown(low), shown(high));
                format!("must be more than {low} and at most {high}")
            }
            Self::FromBelow(low, high) => {
                let (low, high) = (shown(low), shown(high));
                format!("must be at least {low} and less than {high}")
            }
            Self::Within(low, high) => {
                let (low, high) = (shown(low), shown(high));
                format!("must be between {low} and {high}, neither end allowed")
            }
        }
    }
}

/// What an input or an answer is made of.
#[derive(Clone, Copy, Debug)]
pub enum Kind {
    /// A number.
    Number,
    /// A number that may be without end: `"Infinity"` in JSON.
    NumberOrInfinity,
    /// A whole number, zero or more.
    Whole,
    /// Words.
    Text,
    /// Yes or no.
    Truth,
    /// One of these words.
    Choice(&'static [&'static str]),
    /// Several of the same.
    List(&'static Kind),
    /// Exactly so many of the same.
    Tuple(&'static Kind, usize),
    /// Named members.
    Record(&'static [Input]),
    /// Something that need not be there.
    Optional(&'static Kind),
    /// Written in one of these ways.
    OneOf(&'static [Kind]),
}

/// One input of a calculation, as the list, the forms and the schema show it.
#[derive(Clone, Copy, Debug)]
pub struct Input {
    /// Its name, with the unit at the end.
    pub name: &'static str,
    /// What it is made of.
    pub kind: Kind,
    /// The numbers it may have.
    pub range: Range,
    /// Taken when nothing is given.
    pub default: Option<fn() -> Value>,
    /// An ordinary value to start a blank with.
    pub usual: Option<fn() -> Value>,
    /// What it means on the stage.
    pub doc: &'static str,
}

impl Input {
    /// The unit at the end of the name, as people write it.
    pub fn unit(&self) -> &'static str {
        unit(self.name)
    }

    /// Whether the calculation cannot do without.
    pub fn required(&self) -> bool {
        self.default.is_none() && !matches!(self.kind, Kind::Optional(_))
    }
}
/// A number as JSON, where NaN and infinities are words.
pub(crate) fn number(value: f64) -> Value {
    serde_json::Number::from_f64(value).map_or_else(
        || {
            Value::from(if value.is_nan() {
                "NaN"
            } else if value > 0.0 {
                "Infinity"
            } else {
                "-Infinity"
            })
        },
        Value::Number,
    )
}

/// The fault of one input already in hand, if it has one.
pub(crate) fn refuse<T: Typed>(name: &str, value: &T, range: &Range) -> Option<Fault> {
    value.breach(range).map(|breach| sentence(name, breach))
}

fn sentence(name: &str, (kind, problem): (FaultKind, String)) -> Fault {
    Fault::new(name, kind, format!("{} {problem}.", label(name)))
}

/// Takes the inputs out of a JSON object one by one and keeps every fault on the way.
pub(crate) struct Reader<'a> {
    given: &'a Map<String, Value>,
    pub(crate) faults: Vec<Fault>,
}

impl<'a> Reader<'a> {
    pub(crate) fn new(given: &'a Map<String, Value>, known: &[Input]) -> Self {
        let faults = given
            .keys()
            .filter(|name| known.iter().all(|input| input.name != name.as_str()))
            .map(|name| {
                let known: Vec<_> = known.iter().map(|input| input.name).collect();
                let problem = format!("{name} is not known here; known are {}.", known.join(", "));
                Fault::new(name.as_str(), FaultKind::UnknownField, problem)
            })
            .collect();
        Self { given, faults }
    }

    pub(crate) fn take<T: Typed>(&mut self, input: &Input) -> Option<T> {
        let default = input.default.map(|value| value());
        let given = self.given.get(input.name).filter(|value| !value.is_null());
        let read = T::read(given.or(default.as_ref()));
        match read {
            Ok(value) => match refuse(input.name, &value, &input.range) {
                None => return Some(value),
                Some(fault) => self.faults.push(fault),
            },
            Err(fault) => self.faults.push(sentence(input.name, fault)),
        }
        None
    }
}
