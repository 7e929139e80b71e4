//! The types that an answer may have, and how each is written and shown.

use crate::fault::{Fault, FaultKind};
use crate::figure;
use crate::input::Kind;
use serde_json::Value;

/// A number that may be without end, such as a far limit: `"Infinity"` in JSON.
#[derive(Clone, Copy, Debug, PartialEq, PartialOrd)]
pub struct OrInfinity(pub f64);

/// A type that an answer may have.
pub trait Told {
    /// What it is made of.
    const KIND: Kind;
    /// As JSON.
    fn tell(&self) -> Value;
    /// As people read it.
    fn shown(&self) -> String;
    /// Whether every number in it is one.
    fn sound(&self) -> bool {
        true
    }
}

impl Told for f64 {
    const KIND: Kind = Kind::Number;
    fn tell(&self) -> Value {
        crate::input::number(*self)
    }
    fn shown(&self) -> String {
        figure::found(*self)
    }
    fn sound(&self) -> bool {
        self.is_finite()
    }
}

impl Told for OrInfinity {
    const KIND: Kind = Kind::NumberOrInfinity;
    fn tell(&self) -> Value {
        crate::input::number(self.0)
    }
    fn shown(&self) -> String {
        figure::found(self.0)
    }
    fn sound(&self) -> bool {
        !self.0.is_nan()
    }
}

impl Told for u32 {
    const KIND: Kind = Kind::Whole;
    fn tell(&self) -> Value {
        Value::from(*self)
    }
    fn shown(&self) -> String {
        figure::found(f64::from(*self))
    }
}

impl Told for bool {
    const KIND: Kind = Kind::Truth;
    fn tell(&self) -> Value {
        Value::Bool(*self)
    }
    fn shown(&self) -> String {
        if *self { "yes" } else { "no" }.to_owned()
    }
}

impl Told for String {
    const KIND: Kind = Kind::Text;
    fn tell(&self) -> Value {
        Value::from(self.as_str())
    }
    fn shown(&self) -> String {
        self.clone()
    }
}

impl Told for &'static str {
    const KIND: Kind = Kind::Text;
    fn tell(&self) -> Value {
        Value::from(*self)
    }
    fn shown(&self) -> String {
        (*self).to_owned()
    }
}

impl<T: Told> Told for Option<T> {
    const KIND: Kind = Kind::Optional(&T::KIND);
    fn tell(&self) -> Value {
        self.as_ref().map_or(Value::Null, Told::tell)
    }
    fn shown(&self) -> String {
        self.as_ref().map_or_else(|| "none".to_owned(), Told::shown)
    }
    fn sound(&self) -> bool {
        self.as_ref().is_none_or(Told::sound)
    }
}

impl<T: Told> Told for Vec<T> {
    const KIND: Kind = Kind::List(&T::KIND);
    fn tell(&self) -> Value {
        self.iter().map(Told::tell).collect()
    }
    fn shown(&self) -> String {
        self.iter().map(Told::shown).collect::<Vec<_>>().join(", ")
    }
    fn sound(&self) -> bool {
        self.iter().all(Told::sound)
    }
}

impl<T: Told, const N: usize> Told for [T; N] {
    const KIND: Kind = Kind::Tuple(&T::KIND, N);
    fn tell(&self) -> Value {
        self.iter().map(Told::tell).collect()
    }
    fn shown(&self) -> String {
        self.iter().map(Told::shown).collect::<Vec<_>>().join(", ")
    }
    fn sound(&self) -> bool {
        self.iter().all(Told::sound)
    }
}

/// A number of the answer that came out as none: the inputs were each in range, and together too large or too small.
pub(crate) fn unsound<T: Told>(name: &str, value: &T) -> Option<Fault> {
    (!value.sound()).then(|| {
        let label = crate::input::label(name);
        let problem = format!("{label} comes out too large to be a number: check the sizes typed.");
        Fault::new(name, FaultKind::NotFinite, problem)
    })
}
