//! How a calculation is described, once, and everything that follows from the description.
//!
//! [`calculation!`] turns one table into the structs of inputs and answers, the checks, the reader for JSON, the words
//! of the *because*, and the row in the [`catalogue`](crate::catalogue). The formula stands below the table as a plain
//! function; when it runs, every number has passed its range.

pub(crate) use crate::told::unsound;
pub use crate::told::{OrInfinity, Told};

use crate::fault::Fault;
use crate::input::{Input, Kind};
use serde_json::{Map, Value};
use std::ops::Deref;

/// How well a formula's source is known.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Mark {
    /// Seen in a published source, or derived and agreed by an independent method.
    Confirmed,
    /// Known, and not looked up again.
    FromMemory,
    /// Nobody published it; crews work by it.
    CommonPractice,
}

impl Mark {
    /// The words that stay with a figure all the way to paper.
    pub const fn as_str(self) -> &'static str {
        match self {
            Self::Confirmed => "confirmed",
            Self::FromMemory => "from memory",
            Self::CommonPractice => "common practice, no source",
        }
    }
}

/// One number of an answer, as the list and the schema show it.
#[derive(Clone, Copy, Debug)]
pub struct Output {
    /// Its name, with the unit at the end.
    pub name: &'static str,
    /// What it is made of.
    pub kind: Kind,
    /// What it means on the stage.
    pub doc: &'static str,
}

impl Output {
    /// The unit at the end of the name, as people write it.
    pub fn unit(&self) -> &'static str {
        crate::input::unit(self.name)
    }
}

/// A calculation as a program sees it: JSON in, JSON out, and all there is to know about it.
#[derive(Clone, Copy, Debug)]
pub struct Calculation {
    /// Its family, with hyphens: `scale-time`.
    pub family: &'static str,
    /// Its name, with hyphens: `gravity-true-rate`.
    pub name: &'static str,
    /// What it is on the stage, in one line.
    pub summary: &'static str,
    /// The idea of the formula, its range and its errors.
    pub about: &'static str,
    /// What it is given.
    pub inputs: &'static [Input],
    /// What it answers.
    pub outputs: &'static [Output],
    /// Where the formula comes from.
    pub source: &'static str,
    /// How well that is known.
    pub mark: Mark,
    /// Does it.
    pub run: Run,
}

/// A calculation as a function of a JSON object; it names every bad member at once.
pub type Run = fn(&Map<String, Value>) -> Result<Reply, Vec<Fault>>;

/// A number of a *because*, written only if the words name it.
pub(crate) struct Figure<F>(pub(crate) F);

impl<F: Fn() -> String> std::fmt::Display for Figure<F> {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str(&(self.0)())
    }
}

/// An answer as JSON.
#[derive(Clone, Debug, PartialEq)]
pub struct Reply {
    /// The numbers by name.
    pub result: Value,
    /// Doubts that go with them.
    pub warnings: Vec<&'static str>,
    /// The sum in words, with these numbers in it.
    pub because: String,
    /// Where the formula comes from.
    pub source: &'static str,
}

/// An answer with its doubts and reasons; reads as the answer itself.
#[derive(Clone, Debug, PartialEq)]
pub struct Worked<T> {
    /// The numbers.
    pub answer: T,
    /// Doubts that go with them.
    pub warnings: Vec<&'static str>,
    /// The sum in words, with these numbers in it.
    pub because: String,
    /// Where the formula comes from.
    pub source: &'static str,
    /// How well that is known.
    pub source_mark: Mark,
}

impl<T> Deref for Worked<T> {
    type Target = T;
    fn deref(&self) -> &T {
        &self.answer
    }
}

/// Inputs that can be worked out.
pub trait Calculate: Sized {
    /// What comes out.
    type Answer;
    /// All there is to know about the calculation.
    const CALCULATION: Calculation;

    /// Checks every input by its range and works the answer out.
    ///
    /// # Errors
    /// Every input outside its range at once; else what cannot stand together.
    fn work(&self) -> Result<Worked<Self::Answer>, Vec<Fault>>;
}

/// What a formula may return: the answer, or the answer unless something cannot stand together.
pub(crate) trait Outcome<A> {
    fn outcome(self) -> Result<A, Vec<Fault>>;
}

impl<A> Outcome<A> for A {
    fn outcome(self) -> Result<A, Vec<Fault>> {
        Ok(self)
    }
}

impl<A, E: Into<Vec<Fault>>> Outcome<A> for Result<A, E> {
    fn outcome(self) -> Result<A, Vec<Fault>> {
        self.map_err(Into::into)
    }
}

/// A name with hyphens for its underscores, made while compiling.
pub(crate) const fn hyphened<const N: usize>(name: &str) -> [u8; N] {
    let name = name.as_bytes();
    let mut out = [0; N];
    let mut at = 0;
    while at < N {
        out[at] = if name[at] == b'_' { b'-' } else { name[at] };
        at += 1;
    }
    out
}

/// The first line of a description.
pub(crate) const fn first_line(about: &str) -> &str {
    let bytes = about.as_bytes();
    let mut at = 0;
    while at < bytes.len() && bytes[at] != b'\n' {
        at += 1;
    }
    about.split_at(at).0.trim_ascii()
}

/// Describes the calculations of one table. One entry is one calculation and the only place it is written down:
///
/// ```text
/// calculation! { "family";
///     /// What it is on the stage, in one line.
///     ///
///     /// The idea of the formula, its range, its errors.
///     formula_name (Inputs {
///         /// Meaning.
///         distance_m: f64 = Above(0.0); usual 2.0,          // or `default 1.0`: taken when not given
///     }) -> Answer { /// Meaning.
///         optical_depth: f64 }
///     because "{extinction_per_m} × {distance_m} = {optical_depth}"   // or the name of a function (&Inputs, &Answer) -> String
///     source "title, edition, section", Confirmed                     // or FromMemory, CommonPractice
/// }
/// ```
macro_rules! calculation {
    (@value $ty:ty) => { None };
    (@value $ty:ty, $value:expr) => {
        Some(|| <$ty as $crate::input::Typed>::write(&<$ty>::from($value)))
    };
    (@because $words:literal, $inputs:ident, $answer:ident, [$($field:ident)+], [$($result:ident)+]) => {{
        $(let $field = $crate::calculation::Figure(|| $crate::input::Typed::shown(&$inputs.$field));)+
        let _ = ($(&$field,)+);
        $(let $result = $crate::calculation::Figure(|| $crate::calculation::Told::shown(&$answer.$result));)+
        let _ = ($(&$result,)+);
        format!($words)
    }};
    (@because $words:ident, $inputs:ident, $answer:ident, [$($field:ident)+], [$($result:ident)+]) => {
        $words($inputs, &$answer)
    };
    ($family:literal; $(
        $(#[doc = $about:literal])+
        $name:ident($inputs:ident { $(
            $(#[doc = $in_doc:literal])+
            $field:ident: $ty:ty = $range:expr $(; default $default:expr)? $(; usual $usual:expr)?
        ),+ $(,)? }) -> $answer:ident { $(
            $(#[doc = $out_doc:literal])+
            $result:ident: $out_ty:ty
        ),+ $(,)? }
        because $because:tt
        source $source:literal, $mark:ident
    )+) => {
        $(
        $(#[doc = $about])+
        #[derive(Clone, Debug, PartialEq)]
        pub struct $inputs { $($(#[doc = $in_doc])+ pub $field: $ty,)+ }

        #[doc = concat!("What [`", stringify!($inputs), "`] works out to.")]
        #[derive(Clone, Debug, PartialEq)]
        pub struct $answer { $($(#[doc = $out_doc])+ pub $result: $out_ty,)+ }

        impl $inputs {
            const INPUTS: &'static [$crate::input::Input] = {
                #[allow(unused_imports, clippy::enum_glob_use, reason = "the ranges read as plain words in the table")]
                use $crate::input::Range::*;
                &[$($crate::input::Input {
                    name: stringify!($field),
                    kind: <$ty as $crate::input::Typed>::KIND,
                    range: $range,
                    default: $crate::calculation::calculation!(@value $ty $(, $default)?),
                    usual: $crate::calculation::calculation!(@value $ty $(, $usual)?),
                    doc: concat!($($in_doc, "\n"),+).trim_ascii(),
                }),+]
            };

            fn run(given: &serde_json::Map<String, serde_json::Value>)
                -> Result<$crate::calculation::Reply, Vec<$crate::fault::Fault>>
            {
                let mut reader = $crate::input::Reader::new(given, Self::INPUTS);
                let mut inputs = Self::INPUTS.iter();
                $(let $field = inputs.next().and_then(|input| reader.take::<$ty>(input));)+
                let inputs = match ($($field,)+) {
                    ($(Some($field),)+) if reader.faults.is_empty() => Self { $($field),+ },
                    _ => return Err(reader.faults),
                };
                let worked = $crate::calculation::Calculate::work(&inputs)?;
                let mut result = serde_json::Map::new();
                $(result.insert(
                    stringify!($result).to_owned(),
                    $crate::calculation::Told::tell(&worked.answer.$result),
                );)+
                Ok($crate::calculation::Reply {
                    result: serde_json::Value::Object(result),
                    warnings: worked.warnings,
                    because: worked.because,
                    source: worked.source,
                })
            }
        }

        impl $crate::calculation::Calculate for $inputs {
            type Answer = $answer;

            const CALCULATION: $crate::calculation::Calculation = {
                const NAME: [u8; stringify!($name).len()] = $crate::calculation::hyphened(stringify!($name));
                const ABOUT: &str = concat!($($about, "\n"),+).trim_ascii();
                $crate::calculation::Calculation {
                    family: $family,
                    name: match str::from_utf8(&NAME) { Ok(name) => name, Err(_) => stringify!($name) },
                    summary: $crate::calculation::first_line(ABOUT),
                    about: ABOUT,
                    inputs: Self::INPUTS,
                    outputs: &[$($crate::calculation::Output {
                        name: stringify!($result),
                        kind: <$out_ty as $crate::calculation::Told>::KIND,
                        doc: concat!($($out_doc, "\n"),+).trim_ascii(),
                    }),+],
                    source: $source,
                    mark: $crate::calculation::Mark::$mark,
                    run: Self::run,
                }
            };

            fn work(&self) -> Result<$crate::calculation::Worked<$answer>, Vec<$crate::fault::Fault>> {
                let mut inputs = Self::INPUTS.iter();
                let faults: Vec<$crate::fault::Fault> = [
                    $(inputs.next().and_then(|input| $crate::input::refuse(input.name, &self.$field, &input.range))),+
                ].into_iter().flatten().collect();
                if !faults.is_empty() {
                    return Err(faults);
                }
                let mut warnings = $crate::fault::Warnings::default();
                let answer: $answer =
                    $crate::calculation::Outcome::<$answer>::outcome($name(self, &mut warnings))?;
                let faults: Vec<$crate::fault::Fault> = [
                    $($crate::calculation::unsound(stringify!($result), &answer.$result)),+
                ].into_iter().flatten().collect();
                if !faults.is_empty() {
                    return Err(faults);
                }
                let inputs = self;
                let because = $crate::calculation::calculation!(
                    @because $because, inputs, answer, [$($field)+], [$($result)+]
                );
                Ok($crate::calculation::Worked { answer, warnings: warnings.into_kinds(), because, source: $source, source_mark: $crate::calculation::Mark::$mark })
            }
        }
        )+

        /// The calculations of this table.
        pub(crate) const CALCULATIONS: &[$crate::calculation::Calculation] =
            &[$(<$inputs as $crate::calculation::Calculate>::CALCULATION),+];
    };
}
pub(crate) use calculation;
