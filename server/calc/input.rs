//! What a calculation is given: how an input is described, read out of JSON and checked.

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
        let shown = |end: f64| figure::given(end);
        let (inside, words) = match *self {
            Self::Any => (true, String::new()),
            Self::Above(low) => (value > low, format!("must be more than {}", shown(low))),
            Self::AtLeast(low) => (value >= low, format!("must be {} or more", shown(low))),
            Self::Between(low, high) => (
                (low..=high).contains(&value),
                format!("must be between {} and {}", shown(low), shown(high)),
            ),
            Self::AboveUpTo(low, high) => (
                value > low && value <= high,
                format!(
                    "must be more than {} and at most {}",
                    shown(low),
                    shown(high)
                ),
            ),
            Self::FromBelow(low, high) => (
                (low..high).contains(&value),
                format!(
                    "must be at least {} and less than {}",
                    shown(low),
                    shown(high)
                ),
            ),
            Self::Within(low, high) => (
                value > low && value < high,
                format!(
                    "must be between {} and {}, neither end allowed",
                    shown(low),
                    shown(high)
                ),
            ),
        };
        if inside {
            return None;
        }
        // a sign is a plainer fault than a range, and is what a half-typed number usually has
        Some(match *self {
            Self::AtLeast(0.0) => (Negative, "cannot be negative".into()),
            Self::Above(0.0) => (NotPositive, "must be more than zero".into()),
            Self::Above(low) | Self::AtLeast(low) if low > 0.0 && value <= 0.0 => {
                (NotPositive, words)
            }
            _ => (OutOfRange, words),
        })
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

fn missing<T>() -> Result<T, (FaultKind, String)> {
    Err((FaultKind::Missing, "is needed".into()))
}

fn wrong<T>(needed: &str) -> Result<T, (FaultKind, String)> {
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

/// Endings of names and the units they stand for, longer endings first.
const UNITS: &[(&str, &str)] = &[
    ("_deg_per_s", "°/s"),
    ("_db_per_m", "dB/m"),
    ("_mg_h_pm3", "mg·h/m³"),
    ("_per_sr", "1/sr"),
    ("_per_m3", "1/m³"),
    ("_per_m", "1/m"),
    ("_per_h", "1/h"),
    ("_per_s", "1/s"),
    ("_mgpm3", "mg/m³"),
    ("_kgpm3", "kg/m³"),
    ("_kgpl", "kg/L"),
    ("_gpmin", "g/min"),
    ("_gpmol", "g/mol"),
    ("_lpmol", "L/mol"),
    ("_wpm2k", "W/m²K"),
    ("_wpm2", "W/m²"),
    ("_m2pg", "m²/g"),
    ("_m2pl", "m²/L"),
    ("_m3ps", "m³/s"),
    ("_m2ps", "m²/s"),
    ("_kgm2", "kg·m²"),
    ("_npm", "N/m"),
    ("_mps2", "m/s²"),
    ("_mps", "m/s"),
    ("_cdpm2", "cd/m²"),
    ("_lx_s", "lx·s"),
    ("_mired", "mired"),
    ("_stops", "stops"),
    ("_percent", "%"),
    ("_hours", "h"),
    ("_minutes", "min"),
    ("_seconds", "s"),
    ("_mm2", "mm²"),
    ("_mah", "mAh"),
    ("_kva", "kVA"),
    ("_deg", "°"),
    ("_fps", "fps"),
    ("_rpm", "rpm"),
    ("_ppm", "ppm"),
    ("_ohm", "Ω"),
    ("_gpa", "GPa"),
    ("_min", "min"),
    ("_mm", "mm"),
    ("_um", "µm"),
    ("_nm", "nm"),
    ("_m3", "m³"),
    ("_m2", "m²"),
    ("_lx", "lx"),
    ("_lm", "lm"),
    ("_cd", "cd"),
    ("_fc", "fc"),
    ("_fl", "fL"),
    ("_ft", "ft"),
    ("_hz", "Hz"),
    ("_kg", "kg"),
    ("_ma", "mA"),
    ("_kw", "kW"),
    ("_pa", "Pa"),
    ("_sr", "sr"),
    ("_m", "m"),
    ("_k", "K"),
    ("_c", "°C"),
    ("_s", "s"),
    ("_h", "h"),
    ("_n", "N"),
    ("_g", "g"),
    ("_l", "L"),
    ("_a", "A"),
    ("_v", "V"),
    ("_w", "W"),
];

/// Names whose ending looks like a unit and is none: k is the rate factor's own letter.
const WITHOUT_UNIT: &[&str] = &["rate_factor_k"];

fn split_unit(name: &str) -> (&str, &'static str) {
    if WITHOUT_UNIT.contains(&name) {
        return (name, "");
    }
    UNITS
        .iter()
        .find_map(|&(ending, unit)| name.strip_suffix(ending).map(|stem| (stem, unit)))
        .unwrap_or((name, ""))
}

/// The unit at the end of a name, as people write it: `distance_m` has `m`, `density` has none.
pub fn unit(name: &str) -> &'static str {
    split_unit(name).1
}

/// The name in words, without its unit: `focal_length_mm` is `Focal length`.
pub fn label(name: &str) -> String {
    let words = split_unit(name).0.replace('_', " ");
    let mut letters = words.chars();
    letters.next().map_or_else(String::new, |first| {
        first.to_uppercase().chain(letters).collect()
    })
}

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
                    _ => Err($crate::input::first(reader.faults)),
                }
            }
            fn breach(&self, _: &$crate::input::Range) -> Option<($crate::fault::FaultKind, String)> {
                let mut inputs = Self::MEMBERS.iter();
                let faults: Vec<$crate::fault::Fault> = [
                    $(inputs.next().and_then(|input| $crate::input::refuse(input.name, &self.$field, &input.range))),+
                ].into_iter().flatten().collect();
                (!faults.is_empty()).then(|| $crate::input::first(faults))
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
pub(crate) fn first(faults: Vec<Fault>) -> (FaultKind, String) {
    let kind = faults
        .first()
        .map_or(FaultKind::Missing, |fault| fault.kind);
    let problems: Vec<_> = faults
        .iter()
        .map(|fault| fault.problem.trim_end_matches('.').to_lowercase())
        .collect();
    (kind, format!("is not right: {}", problems.join("; ")))
}
