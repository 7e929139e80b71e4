//! Inputs made of more than a number: words to choose from, and groups of named members.

use super::typed::{missing, wrong};
use crate::fault::{Fault, FaultKind};
use serde_json::{Map, Value};

/// Words of which one may stand in an input, each with its meaning.
macro_rules! choice {
    ($(#[doc = $about:literal])+ $name:ident { $($(#[doc = $doc:literal])+ $item:ident = $word:literal),+ $(,)? }) => {
        $(#[doc = $about])+
        #[derive(Clone, Copy, Debug, PartialEq, Eq)]
        pub enum $name { $($(#[doc = $doc])+ $item,)+ }

        impl $name {
            /// Every one, in the order of the table.
            pub const ALL: &'static [Self] = &[$(Self::$item),+];

            /// The word in the machine interface.
            pub const fn as_str(self) -> &'static str {
                match self { $(Self::$item => $word,)+ }
            }
        }

        impl $crate::input::Typed for $name {
            const KIND: $crate::input::Kind = $crate::input::Kind::Choice(&[$($word),+]);
            fn read(given: Option<&serde_json::Value>) -> Result<Self, ($crate::fault::FaultKind, String)> {
                let word = <String as $crate::input::Typed>::read(given)?;
                Self::ALL.iter().copied().find(|item| item.as_str() == word).ok_or_else(|| (
                    $crate::fault::FaultKind::NotOneOf,
                    format!("must be one of {}", [$($word),+].join(", ")),
                ))
            }
            fn write(&self) -> serde_json::Value {
                serde_json::Value::from(self.as_str())
            }
            fn shown(&self) -> String {
                self.as_str().replace('_', " ")
            }
        }
    };
}
pub(crate) use choice;

/// A group of named members inside an input: one piece of a day, one line of a bill.
macro_rules! part {
    ($(#[doc = $about:literal])+ $name:ident { $(
        $(#[doc = $doc:literal])+ $field:ident: $ty:ty = $range:expr $(; default $default:expr)?
    ),+ $(,)? }) => {
        $(#[doc = $about])+
        #[derive(Clone, Debug, PartialEq)]
        pub struct $name { $($(#[doc = $doc])+ pub $field: $ty,)+ }

        impl $name {
            const MEMBERS: &'static [$crate::input::Input] = {
                #[allow(unused_imports, clippy::enum_glob_use, reason = "the ranges read as plain words in the table")]
                use $crate::input::Range::*;
                &[$($crate::input::Input {
                    name: stringify!($field),
                    kind: <$ty as $crate::input::Typed>::KIND,
                    range: $range,
                    default: $crate::calculation::calculation!(@value $ty $(, $default)?),
                    usual: None,
                    doc: concat!($($doc, "\n"),+).trim_ascii(),
                }),+]
            };
        }

        impl $crate::input::Typed for $name {
            const KIND: $crate::input::Kind = $crate::input::Kind::Record(Self::MEMBERS);
            fn read(given: Option<&serde_json::Value>) -> Result<Self, ($crate::fault::FaultKind, String)> {
                let members = $crate::input::members(given)?;
                let mut reader = $crate::input::Reader::new(members, Self::MEMBERS);
                let mut inputs = Self::MEMBERS.iter();
                $(let $field = inputs.next().and_then(|input| reader.take::<$ty>(input));)+
                match ($($field,)+) {
                    ($(Some($field),)+) if reader.faults.is_empty() => Ok(Self { $($field),+ }),
                    _ => Err($crate::input::first(&reader.faults)),
                }
            }
            fn breach(&self, _: &$crate::input::Range) -> Option<($crate::fault::FaultKind, String)> {
                let mut inputs = Self::MEMBERS.iter();
                let faults: Vec<$crate::fault::Fault> = [
                    $(inputs.next().and_then(|input| $crate::input::refuse(input.name, &self.$field, &input.range))),+
                ].into_iter().flatten().collect();
                (!faults.is_empty()).then(|| $crate::input::first(&faults))
            }
            fn write(&self) -> serde_json::Value {
                let mut members = serde_json::Map::new();
                $(members.insert(stringify!($field).to_owned(), $crate::input::Typed::write(&self.$field));)+
                serde_json::Value::Object(members)
            }
            fn shown(&self) -> String {
                [$($crate::input::Typed::shown(&self.$field)),+].join(" ")
            }
        }
    };
}
pub(crate) use part;

pub(crate) fn members(given: Option<&Value>) -> Result<&Map<String, Value>, (FaultKind, String)> {
    match given {
        None | Some(Value::Null) => missing(),
        Some(Value::Object(members)) => Ok(members),
        Some(_) => wrong("a group of named members"),
    }
}

/// A part's faults as one, since the part is one input: the first one's kind, all the sentences.
pub(crate) fn first(faults: &[Fault]) -> (FaultKind, String) {
    let kind = faults
        .first()
        .map_or(FaultKind::Missing, |fault| fault.kind);
    let problems: Vec<_> = faults
        .iter()
        .map(|fault| fault.problem.trim_end_matches('.').to_lowercase())
        .collect();
    (kind, format!("is not right: {}", problems.join("; ")))
}
