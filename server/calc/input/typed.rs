//! The types that an input may have, and how each is read, checked and shown.

use super::{Kind, Range, number};
use crate::fault::FaultKind;
use crate::figure;
use serde_json::Value;

/// A type that an input may have.
pub trait Typed: Sized {
    /// What it is made of.
    const KIND: Kind;
    /// Reads it, or says what is wrong: the end of a sentence that begins with the input's label.
    ///
    /// # Errors
    /// The kind of the fault and the end of the sentence.
    fn read(given: Option<&Value>) -> Result<Self, (FaultKind, String)>;
    /// Which rule of the range it breaks.
    fn breach(&self, _range: &Range) -> Option<(FaultKind, String)> {
        None
    }
    /// As JSON.
    fn write(&self) -> Value;
    /// As people read it.
    fn shown(&self) -> String;
}

pub(super) fn missing<T>() -> Result<T, (FaultKind, String)> {
    Err((FaultKind::Missing, "is needed".into()))
}

pub(super) fn wrong<T>(needed: &str) -> Result<T, (FaultKind, String)> {
    Err((FaultKind::WrongType, format!("must be {needed}")))
}

impl Typed for f64 {
    const KIND: Kind = Kind::Number;
    fn read(given: Option<&Value>) -> Result<Self, (FaultKind, String)> {
        match given {
            None | Some(Value::Null) => missing(),
            Some(Value::Number(number)) => number.as_f64().map_or_else(|| wrong("a number"), Ok),
            Some(Value::String(word)) => match word.as_str() {
                "NaN" => Ok(Self::NAN),
                "Infinity" => Ok(Self::INFINITY),
                "-Infinity" => Ok(Self::NEG_INFINITY),
                _ => wrong("a number"),
            },
            Some(_) => wrong("a number"),
        }
    }
    fn breach(&self, range: &Range) -> Option<(FaultKind, String)> {
        range.breach(*self)
    }
    fn write(&self) -> Value {
        number(*self)
    }
    fn shown(&self) -> String {
        figure::given(*self)
    }
}

impl Typed for bool {
    const KIND: Kind = Kind::Truth;
    fn read(given: Option<&Value>) -> Result<Self, (FaultKind, String)> {
        match given {
            None | Some(Value::Null) => missing(),
            Some(Value::Bool(truth)) => Ok(*truth),
            Some(_) => wrong("true or false"),
        }
    }
    fn write(&self) -> Value {
        Value::Bool(*self)
    }
    fn shown(&self) -> String {
        if *self { "yes" } else { "no" }.to_owned()
    }
}

impl Typed for u32 {
    const KIND: Kind = Kind::Whole;
    fn read(given: Option<&Value>) -> Result<Self, (FaultKind, String)> {
        let value = f64::read(given)?;
        if !value.is_finite() {
            return Err((FaultKind::NotFinite, "must be a number".into()));
        }
        if value < 0.0 {
            return Err((FaultKind::Negative, "cannot be negative".into()));
        }
        if value > f64::from(Self::MAX) {
            return Err((FaultKind::OutOfRange, "is too large".into()));
        }
        if value.fract() != 0.0 {
            return wrong("a whole number");
        }
        #[expect(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "whole and within the range, checked above"
        )]
        Ok(value as Self)
    }
    fn breach(&self, range: &Range) -> Option<(FaultKind, String)> {
        range.breach(f64::from(*self))
    }
    fn write(&self) -> Value {
        Value::from(*self)
    }
    fn shown(&self) -> String {
        figure::given(f64::from(*self))
    }
}

impl Typed for String {
    const KIND: Kind = Kind::Text;
    fn read(given: Option<&Value>) -> Result<Self, (FaultKind, String)> {
        match given {
            None | Some(Value::Null) => missing(),
            Some(Value::String(text)) if text.trim().is_empty() => missing(),
            Some(Value::String(text)) => Ok(text.clone()),
            Some(_) => wrong("words"),
        }
    }
    fn write(&self) -> Value {
        Value::from(self.as_str())
    }
    fn shown(&self) -> String {
        self.clone()
    }
}

impl<T: Typed> Typed for Option<T> {
    const KIND: Kind = Kind::Optional(&T::KIND);
    fn read(given: Option<&Value>) -> Result<Self, (FaultKind, String)> {
        match given {
            None | Some(Value::Null) => Ok(None),
            there => T::read(there).map(Some),
        }
    }
    fn breach(&self, range: &Range) -> Option<(FaultKind, String)> {
        self.as_ref().and_then(|value| value.breach(range))
    }
    fn write(&self) -> Value {
        self.as_ref().map_or(Value::Null, Typed::write)
    }
    fn shown(&self) -> String {
        self.as_ref()
            .map_or_else(|| "not given".into(), Typed::shown)
    }
}

/// Says which one of a list is meant, counting as people do.
fn at_place(place: usize, (kind, problem): (FaultKind, String)) -> (FaultKind, String) {
    (
        kind,
        format!("{problem} (number {} in the list)", place + 1),
    )
}

fn read_list<T: Typed>(given: Option<&Value>) -> Result<Vec<T>, (FaultKind, String)> {
    match given {
        None | Some(Value::Null) => missing(),
        Some(Value::Array(items)) => items
            .iter()
            .enumerate()
            .map(|(place, item)| T::read(Some(item)).map_err(|fault| at_place(place, fault)))
            .collect(),
        Some(_) => wrong("a list"),
    }
}

fn list_breach<T: Typed>(items: &[T], range: &Range) -> Option<(FaultKind, String)> {
    items
        .iter()
        .enumerate()
        .find_map(|(place, item)| item.breach(range).map(|fault| at_place(place, fault)))
}

impl<T: Typed> Typed for Vec<T> {
    const KIND: Kind = Kind::List(&T::KIND);
    fn read(given: Option<&Value>) -> Result<Self, (FaultKind, String)> {
        read_list(given)
    }
    fn breach(&self, range: &Range) -> Option<(FaultKind, String)> {
        list_breach(self, range)
    }
    fn write(&self) -> Value {
        self.iter().map(Typed::write).collect()
    }
    fn shown(&self) -> String {
        self.iter().map(Typed::shown).collect::<Vec<_>>().join(", ")
    }
}

impl<T: Typed, const N: usize> Typed for [T; N] {
    const KIND: Kind = Kind::Tuple(&T::KIND, N);
    fn read(given: Option<&Value>) -> Result<Self, (FaultKind, String)> {
        read_list(given)?
            .try_into()
            .or_else(|_| wrong(&format!("a list of exactly {N}")))
    }
    fn breach(&self, range: &Range) -> Option<(FaultKind, String)> {
        list_breach(self, range)
    }
    fn write(&self) -> Value {
        self.iter().map(Typed::write).collect()
    }
    fn shown(&self) -> String {
        self.iter().map(Typed::shown).collect::<Vec<_>>().join(", ")
    }
}
