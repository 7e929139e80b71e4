//! What may stand in a field, with its ranges and defaults: the words a record's declaration is written in.

use super::field::Kind;

/// Kind with its defaults; built by the functions below.
#[derive(Clone, Copy, Debug)]
pub struct Blank {
    /// What may stand in it.
    pub kind: Kind,
    /// Outside this a value is kept with a note.
    pub usual: Option<(f64, f64)>,
    /// What is used while nothing is written, marked "usual, not yours".
    pub start: Option<f64>,
    /// Whether the record cannot be without it.
    pub needed: bool,
    /// Whether no two living records may share it.
    pub once: bool,
}

const fn of(kind: Kind) -> Blank {
    Blank {
        kind,
        usual: None,
        start: None,
        needed: false,
        once: false,
    }
}
/// A number with its unit and hard range.
pub const fn number(unit: &'static str, least: f64, most: f64) -> Blank {
    of(Kind::Number {
        unit,
        hard: (least, most),
    })
}
/// A whole number with its unit and hard range.
pub const fn whole(unit: &'static str, least: i64, most: i64) -> Blank {
    of(Kind::Whole {
        unit,
        hard: (least, most),
    })
}
/// Text of at most so many characters.
pub const fn text(most: usize) -> Blank {
    of(Kind::Text { most })
}
/// Text in several lines.
pub const fn long_text(most: usize) -> Blank {
    of(Kind::LongText { most })
}
/// Strokes of a pen.
pub const fn strokes(most: usize) -> Blank {
    of(Kind::Strokes { most })
}
/// One of a list.
pub const fn choice(list: &'static [(&'static str, &'static str)]) -> Blank {
    of(Kind::Choice(list))
}
/// Another thing.
pub const fn reference(entity_type: &'static str) -> Blank {
    of(Kind::Reference(entity_type))
}
/// A length in the cut.
pub const fn frames() -> Blank {
    of(Kind::Frames)
}
/// Denominator of a scale.
pub const fn scale() -> Blank {
    of(Kind::Scale)
}
/// Frames a second, exact.
pub const fn rate() -> Blank {
    of(Kind::Rate)
}
/// Time of day.
pub const fn clock() -> Blank {
    of(Kind::Clock)
}
/// A day.
pub const fn date() -> Blank {
    of(Kind::Date)
}
/// Place in a list.
pub const fn order_key() -> Blank {
    of(Kind::OrderKey)
}
/// Members that merge one by one.
pub const fn members() -> Blank {
    of(Kind::Members)
}
/// Lines only ever added.
pub const fn log() -> Blank {
    of(Kind::Log)
}

impl Blank {
    /// Outside this range a value is kept with a note.
    #[must_use]
    pub const fn usual(mut self, least: f64, most: f64) -> Self {
        self.usual = Some((least, most));
        self
    }
    /// Used while nothing is written, marked "usual, not yours".
    #[must_use]
    pub const fn start(mut self, value: f64) -> Self {
        self.start = Some(value);
        self
    }
    /// No two living records share it.
    #[must_use]
    pub const fn once(mut self) -> Self {
        self.once = true;
        self
    }
    /// The record cannot be without it.
    #[must_use]
    pub const fn needed(mut self) -> Self {
        self.needed = true;
        self
    }
}
