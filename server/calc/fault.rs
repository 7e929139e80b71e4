//! What a calculation refuses, and the doubts it tells with an answer.

use std::fmt;

/// Why an input was refused. The names are those of the machine interface.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum FaultKind {
    /// Not a number, or without end.
    NotFinite,
    /// Zero or less where more than zero is needed.
    NotPositive,
    /// Less than zero where zero is allowed.
    Negative,
    /// Outside the range that is stated.
    OutOfRange,
    /// Two ends of a range the wrong way round.
    RangeReversed,
    /// Focus nearer than the lens can image.
    TooClose,
    /// Lines, rays or planes that do not meet.
    NoRealGeometry,
    /// A line that would have to push.
    LineSlack,
    /// Lights that need more than the supply gives.
    SupplyTooLow,
    /// Needed and not given.
    Missing,
    /// Given and not known here.
    UnknownField,
    /// Words where a number is needed, or the like.
    WrongType,
    /// None of the words that may stand here.
    NotOneOf,
}

impl FaultKind {
    /// The name in answers to programs.
    pub const fn as_str(self) -> &'static str {
        match self {
            Self::NotFinite => "not_finite",
            Self::NotPositive => "not_positive",
            Self::Negative => "negative",
            Self::OutOfRange => "out_of_range",
            Self::RangeReversed => "range_reversed",
            Self::TooClose => "too_close",
            Self::NoRealGeometry => "no_real_geometry",
            Self::LineSlack => "line_slack",
            Self::SupplyTooLow => "supply_too_low",
            Self::Missing => "missing",
            Self::UnknownField => "unknown_field",
            Self::WrongType => "wrong_type",
            Self::NotOneOf => "not_one_of",
        }
    }
}

/// One refused input: which, why, and a sentence to act on.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Fault {
    /// Name of the input, as in the machine interface.
    pub field: String,
    /// Why it was refused.
    pub kind: FaultKind,
    /// A sentence for the person who typed it.
    pub problem: String,
}

impl Fault {
    /// A fault of one input.
    pub fn new(field: impl Into<String>, kind: FaultKind, problem: impl Into<String>) -> Self {
        Self {
            field: field.into(),
            kind,
            problem: problem.into(),
        }
    }

    /// The near end of a range does not lie before the far end: both blanks are named, since either may be the wrong one.
    pub fn reversed(near: &str, far: &str) -> Vec<Self> {
        let problem = format!(
            "{} must be smaller than {}.",
            crate::input::label(near),
            crate::input::label(far).to_lowercase()
        );
        [near, far]
            .map(|field| Self::new(field, FaultKind::RangeReversed, problem.clone()))
            .to_vec()
    }
}

impl fmt::Display for Fault {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.problem)
    }
}

impl std::error::Error for Fault {}

impl From<Fault> for Vec<Fault> {
    fn from(fault: Fault) -> Self {
        vec![fault]
    }
}

/// The doubts that go with an answer, each kind once, in the order they came up.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Warnings(Vec<&'static str>);

impl Warnings {
    /// Adds a doubt.
    pub fn add(&mut self, kind: &'static str) {
        if !self.0.contains(&kind) {
            self.0.push(kind);
        }
    }

    /// Adds a doubt when it holds.
    pub fn add_if(&mut self, holds: bool, kind: &'static str) {
        if holds {
            self.add(kind);
        }
    }

    /// The kinds, for the answer.
    pub fn into_kinds(self) -> Vec<&'static str> {
        self.0
    }
}
