//! One field of a record: what it is called, what may stand in it, and the one place where a wrong value is refused.

pub use super::blank::{
    Blank, choice, clock, date, frames, log, long_text, members, number, order_key, rate,
    reference, scale, strokes, text, whole,
};
pub use super::typed::{parse_number, parse_rate, plain, write_rate};
use super::value::{Id, Members, Text, Value};
use serde_json::Value as Json;

/// What may stand in a field.
#[derive(Clone, Copy, Debug)]
pub enum Kind {
    /// A number with its unit; outside `hard` it is refused, outside `usual` it is kept with a note.
    Number {
        unit: &'static str,
        hard: (f64, f64),
    },
    /// A whole number.
    Whole {
        unit: &'static str,
        hard: (i64, i64),
    },
    /// A length in the cut, kept as whole frames, written as frames, seconds:frames or timecode.
    Frames,
    /// Denominator of a scale, written 1:20.
    Scale,
    /// Frames a second, kept exactly: "25", "24000/1001".
    Rate,
    /// Minutes after midnight, written 08:00.
    Clock,
    /// A day, kept and written as 2027-03-26.
    Date,
    /// Text of at most so many characters.
    Text { most: usize },
    /// Text in several lines.
    LongText { most: usize },
    /// Strokes of a pen, as an SVG path of moves, lines and whole numbers.
    Strokes { most: usize },
    /// One of a list: code kept, word shown.
    Choice(&'static [(&'static str, &'static str)]),
    /// Another thing, by its entity type.
    Reference(&'static str),
    /// Place in a list.
    OrderKey,
    /// Several members that merge one by one.
    Members,
    /// Lines that are only ever added.
    Log,
}

/// A field as declared.
#[derive(Clone, Copy, Debug)]
pub struct Field {
    /// Name in code, column, JSON and CSV.
    pub name: &'static str,
    /// What the blank is called on a sheet.
    pub label: &'static str,
    /// Other headings a spreadsheet may use for it.
    pub also: &'static [&'static str],
    /// What it means, in a sentence.
    pub help: &'static str,
    /// What may stand in it.
    pub blank: Blank,
}

/// Why a value was refused, in the words of the machine interface and of the person at the blank.
#[derive(Clone, Debug, PartialEq)]
pub struct Refusal {
    /// The field.
    pub field: String,
    /// Kind of fault: `missing`, `not_finite`, `not_positive`, `negative`, `out_of_range`, `wrong_type`, `not_one_of`, `unknown_field` …
    pub kind: &'static str,
    /// A sentence the person can act on.
    pub problem: String,
}

const MOST_SCALE: f64 = 10_000.0;
const MOST_FRAMES: i64 = 24 * 3600 * 60;

impl Field {
    /// Unit shown beside the blank.
    pub fn unit(&self) -> &'static str {
        match self.blank.kind {
            Kind::Number { unit, .. } | Kind::Whole { unit, .. } => unit,
            Kind::Frames => "frames",
            Kind::Rate => "fps",
            _ => "",
        }
    }

    pub(super) fn refuse(&self, kind: &'static str, problem: String) -> Refusal {
        Refusal {
            field: self.name.into(),
            kind,
            problem,
        }
    }

    fn within(&self, n: f64, least: f64, most: f64) -> Result<(), Refusal> {
        let unit = match self.unit() {
            "" => String::new(),
            unit => format!(" {unit}"),
        };
        if !n.is_finite() {
            return Err(self.refuse("not_finite", format!("{} must be a number.", self.label)));
        }
        if n >= least && n <= most {
            return Ok(());
        }
        let (kind, problem) = if n <= 0.0 && least > 0.0 {
            (
                "not_positive",
                format!("{} must be more than zero.", self.label),
            )
        } else if n < 0.0 && least >= 0.0 {
            ("negative", format!("{} cannot be negative.", self.label))
        } else {
            (
                "out_of_range",
                format!(
                    "{} must be between {} and {}{unit}.",
                    self.label,
                    plain(least),
                    plain(most)
                ),
            )
        };
        Err(self.refuse(kind, problem))
    }

    /// Checks a value from the machine interface.
    ///
    /// # Errors
    /// A [`Refusal`] naming the field; nothing is stored then.
    pub fn check(&self, json: &Json) -> Result<Value, Refusal> {
        if json.is_null() {
            return self.absent();
        }
        match self.blank.kind {
            Kind::Number { .. } | Kind::Scale | Kind::Whole { .. } | Kind::Clock | Kind::Frames => {
                match json {
                    Json::Number(n) => self.check_number(n.as_f64().unwrap_or(f64::NAN)),
                    Json::String(text)
                        if matches!(text.as_str(), "NaN" | "Infinity" | "-Infinity") =>
                    {
                        Err(self.refuse("not_finite", format!("{} must be a number.", self.label)))
                    }
                    _ => {
                        Err(self.refuse("wrong_type", format!("{} must be a number.", self.label)))
                    }
                }
            }
            Kind::Rate => match json {
                Json::String(text) => self.parse(text),
                Json::Number(n) => self.parse(&n.to_string()),
                _ => Err(self.refuse(
                    "wrong_type",
                    format!("{} must be a rate such as 25 or 24000/1001.", self.label),
                )),
            },
            Kind::Members => self.check_members(json),
            Kind::Log => Err(self.refuse(
                "wrong_type",
                format!("{} is only ever added to.", self.label),
            )),
            _ => match json {
                Json::String(text) => self.check_text(text),
                _ => Err(self.refuse("wrong_type", format!("{} must be text.", self.label))),
            },
        }
    }

    pub(super) fn absent(&self) -> Result<Value, Refusal> {
        if self.blank.needed {
            return Err(self.refuse("missing", format!("{} is needed.", self.label)));
        }
        Ok(Value::Absent)
    }

    pub(super) fn check_number(&self, n: f64) -> Result<Value, Refusal> {
        #[expect(clippy::cast_precision_loss, reason = "ranges lie far below 2^53")]
        let (least, most, is_whole) = match self.blank.kind {
            Kind::Number {
                hard: (least, most),
                ..
            } => (least, most, false),
            Kind::Whole {
                hard: (least, most),
                ..
            } => (least as f64, most as f64, true),
            Kind::Scale => (f64::MIN_POSITIVE, MOST_SCALE, false),
            Kind::Frames => (1.0, MOST_FRAMES as f64, true),
            Kind::Clock => (0.0, 2879.0, true),
            _ => return Err(self.refuse("wrong_type", format!("{} is not a number.", self.label))),
        };
        self.within(n, least, most)?;
        if !is_whole {
            return Ok(Value::Number(n));
        }
        if n.fract() != 0.0 {
            return Err(self.refuse(
                "wrong_type",
                format!("{} must be a whole number.", self.label),
            ));
        }
        #[expect(
            clippy::cast_possible_truncation,
            reason = "checked to be whole and in range"
        )]
        Ok(Value::Whole(n as i64))
    }

    fn check_members(&self, json: &Json) -> Result<Value, Refusal> {
        let wrong = || {
            self.refuse(
                "wrong_type",
                format!("{} must be a list of words.", self.label),
            )
        };
        let list = json.as_array().ok_or_else(wrong)?;
        let mut members = std::collections::BTreeMap::new();
        for member in list {
            members.insert(self.check_member(member.as_str().ok_or_else(wrong)?)?, 0);
        }
        Ok(Value::Members(Members::new(members)))
    }

    /// Checks one member of a set.
    ///
    /// # Errors
    /// Empty or too long.
    pub fn check_member(&self, text: &str) -> Result<Text, Refusal> {
        let text = text.trim();
        if text.is_empty() || text.chars().count() > 60 {
            return Err(self.refuse(
                "out_of_range",
                format!("{}: each entry has 1 to 60 characters.", self.label),
            ));
        }
        Ok(text.into())
    }

    pub(super) fn check_text(&self, text: &str) -> Result<Value, Refusal> {
        match self.blank.kind {
            Kind::Text { most } | Kind::LongText { most } => {
                let one_line = matches!(self.blank.kind, Kind::Text { .. });
                let bad = |c: char| c.is_control() && c != '\t' && (one_line || c != '\n');
                let text = text.replace("\r\n", "\n");
                let text = text.trim();
                if text.is_empty() {
                    return self.absent();
                }
                if text.chars().count() > most {
                    return Err(self.refuse(
                        "out_of_range",
                        format!("{} has at most {most} characters.", self.label),
                    ));
                }
                if text.contains(bad) {
                    return Err(self.refuse(
                        "wrong_type",
                        format!("{} is one line of plain text.", self.label),
                    ));
                }
                Ok(Value::Text(text.into()))
            }
            Kind::Strokes { most } => {
                let text = text.trim();
                if text.is_empty() {
                    return self.absent();
                }
                if text.len() > most {
                    let problem =
                        format!("{} has no room for more strokes; rub some out.", self.label);
                    return Err(self.refuse("out_of_range", problem));
                }
                let pen = |c: char| matches!(c, 'M' | 'L' | ' ') || c.is_ascii_digit();
                if !text.starts_with('M') || !text.chars().all(pen) {
                    let problem = format!("{} is a path of M, L and whole numbers.", self.label);
                    return Err(self.refuse("wrong_type", problem));
                }
                Ok(Value::Text(text.into()))
            }
            Kind::Choice(list) => list
                .iter()
                .find(|(code, _)| *code == text)
                .map(|(code, _)| Value::Text((*code).into()))
                .ok_or_else(|| {
                    let words: Vec<_> = list.iter().map(|(_, word)| *word).collect();
                    self.refuse(
                        "not_one_of",
                        format!("{} is one of: {}.", self.label, words.join(", ")),
                    )
                }),
            Kind::Reference(_) => Id::parse(text)
                .map(|id| Value::Text(id.as_str().into()))
                .ok_or_else(|| {
                    self.refuse(
                        "wrong_type",
                        format!("{} must name a thing by its id.", self.label),
                    )
                }),
            Kind::OrderKey => {
                let good = !text.is_empty()
                    && text.len() <= 64
                    && text.bytes().all(|b| b.is_ascii_alphanumeric())
                    && !text.ends_with('0');
                if good {
                    Ok(Value::Text(text.into()))
                } else {
                    Err(self.refuse(
                        "wrong_type",
                        format!("{} is a place key of digits and letters.", self.label),
                    ))
                }
            }
            Kind::Date => text
                .parse::<jiff::civil::Date>()
                .map(|day| Value::Text(day.to_string().into()))
                .map_err(|_| {
                    self.refuse(
                        "wrong_type",
                        format!("{} is a day such as 2027-03-26.", self.label),
                    )
                }),
            _ => Err(self.refuse("wrong_type", format!("{} is not text.", self.label))),
        }
    }
}
