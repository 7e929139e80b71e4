//! One field of a record: what it is called, what may stand in it, and the one place where a wrong value is refused.

use super::value::{Id, Members, Text, Value};
use serde_json::Value as Json;
use std::sync::Arc;

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

    fn refuse(&self, kind: &'static str, problem: String) -> Refusal {
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

    fn absent(&self) -> Result<Value, Refusal> {
        if self.blank.needed {
            return Err(self.refuse("missing", format!("{} is needed.", self.label)));
        }
        Ok(Value::Absent)
    }

    fn check_number(&self, n: f64) -> Result<Value, Refusal> {
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

    fn check_text(&self, text: &str) -> Result<Value, Refusal> {
        match self.blank.kind {
            Kind::Text { most } | Kind::LongText { most } => {
                let one_line = matches!(self.blank.kind, Kind::Text { .. });
                let bad = |c: char| c.is_control() && !(c == '\n' && !one_line) && c != '\t';
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

    /// Reads what a person typed into the blank.
    ///
    /// # Errors
    /// A [`Refusal`] with the sentence for under the blank.
    pub fn parse(&self, typed: &str) -> Result<Value, Refusal> {
        let typed = typed.trim();
        if typed.is_empty() {
            return self.absent();
        }
        match self.blank.kind {
            Kind::Number { .. } | Kind::Whole { .. } => match parse_number(typed) {
                Some(n) => self.check_number(n),
                None => Err(self.refuse(
                    "wrong_type",
                    format!(
                        "{} must be a number; “{}” is not.",
                        self.label,
                        short(typed)
                    ),
                )),
            },
            Kind::Scale => {
                let bottom = typed
                    .trim_start_matches(['1', ' '])
                    .strip_prefix([':', '/'])
                    .unwrap_or(typed);
                match parse_number(bottom) {
                    Some(n) => self.check_number(n),
                    None => Err(self.refuse(
                        "wrong_type",
                        format!("{} is written 1:20, 1/20 or 20.", self.label),
                    )),
                }
            }
            Kind::Frames => match parse_number(typed) {
                Some(n) => self.check_number(n),
                None => Err(self.refuse(
                    "wrong_type",
                    format!("{} is a number of frames, or seconds:frames.", self.label),
                )),
            },
            Kind::Rate => parse_rate(typed)
                .map(|(num, den)| Value::Text(write_rate(num, den).into()))
                .ok_or_else(|| {
                    self.refuse(
                        "out_of_range",
                        format!(
                            "{} is a rate from 1 to 1000, such as 25, 23.976 or 24000/1001.",
                            self.label
                        ),
                    )
                }),
            Kind::Clock => match parse_clock(typed) {
                Some(minutes) => Ok(Value::Whole(minutes)),
                None => Err(self.refuse(
                    "wrong_type",
                    format!("{} is a time such as 08:00.", self.label),
                )),
            },
            Kind::Members => {
                let members: Result<std::collections::BTreeMap<_, _>, _> = typed
                    .split([';', ','])
                    .filter(|m| !m.trim().is_empty())
                    .map(|m| self.check_member(m).map(|m| (m, 0)))
                    .collect();
                Ok(Value::Members(Arc::new(members?)))
            }
            Kind::Choice(list) => {
                let by_word = list
                    .iter()
                    .find(|(_, word)| word.eq_ignore_ascii_case(typed))
                    .map_or(typed, |(code, _)| code);
                self.check_text(by_word)
            }
            _ => self.check_text(typed),
        }
    }

    /// The value as the blank shows it.
    pub fn show(&self, value: &Value) -> String {
        match (self.blank.kind, value) {
            (_, Value::Absent) => String::new(),
            (Kind::Clock, Value::Whole(minutes)) => format!(
                "{:02}:{:02}",
                minutes.div_euclid(60) % 24,
                minutes.rem_euclid(60)
            ),
            (_, Value::Whole(n)) => n.to_string(),
            (_, Value::Number(n)) => plain(*n),
            (_, Value::Text(text)) => text.to_string(),
            (_, Value::Members(members)) => {
                members.keys().map(|m| &**m).collect::<Vec<_>>().join("; ")
            }
            (_, Value::Log(log)) => log.iter().map(|e| &*e.text).collect::<Vec<_>>().join("\n"),
        }
    }

    /// A note for a value that is kept though it is unusual.
    pub fn unusual(&self, value: &Value) -> Option<String> {
        let (least, most) = self.blank.usual?;
        let n = value.as_number()?;
        let unit = self.unit();
        (n < least || n > most).then(|| {
            format!(
                "Usually {} to {}{}{unit}: check.",
                plain(least),
                plain(most),
                if unit.is_empty() { "" } else { " " }
            )
        })
    }

    /// The word a choice shows for its code.
    pub fn word(&self, code: &str) -> &'static str {
        match self.blank.kind {
            Kind::Choice(list) => list
                .iter()
                .find(|(c, _)| *c == code)
                .map_or("", |(_, word)| word),
            _ => "",
        }
    }
}

fn short(text: &str) -> String {
    text.chars().take(24).collect()
}

/// A number without a needless tail: 11, 2.8, 0.35.
pub fn plain(n: f64) -> String {
    let text = format!("{n}");
    if text.contains('e') || text.len() > 12 {
        return format!("{n:.6}")
            .trim_end_matches('0')
            .trim_end_matches('.')
            .replace('-', "−");
    }
    text.replace('-', "−")
}

/// Reads a number as people type it: decimal comma, thin spaces, true minus, "1/24".
pub fn parse_number(typed: &str) -> Option<f64> {
    let clean: String = typed
        .chars()
        .filter(|c| !matches!(c, ' ' | '\u{2009}' | '\u{202f}' | '\u{a0}' | '\''))
        .map(|c| match c {
            '−' | '–' => '-',
            ',' => '.',
            c => c,
        })
        .collect();
    if let Some((top, bottom)) = clean.split_once('/') {
        let (top, bottom): (f64, f64) = (top.parse().ok()?, bottom.parse().ok()?);
        return (bottom != 0.0).then(|| top / bottom);
    }
    let good = clean
        .bytes()
        .all(|b| b.is_ascii_digit() || matches!(b, b'.' | b'-' | b'+' | b'e' | b'E'));
    if good { clean.parse().ok() } else { None }
}

/// Reads a frame rate exactly; 23.976, 29.97 and 59.94 mean the 1001 rates.
pub fn parse_rate(typed: &str) -> Option<(i64, i64)> {
    if let Some((num, den)) = typed.split_once('/') {
        let (num, den): (i64, i64) = (num.trim().parse().ok()?, den.trim().parse().ok()?);
        let good = den > 0
            && num > 0
            && num >= den
            && num <= den.saturating_mul(1000)
            && num < 1_000_000_000;
        return good.then(|| reduce(num, den));
    }
    let n = parse_number(typed)?;
    if !(1.0..=1000.0).contains(&n) {
        return None;
    }
    for whole in [24_i64, 30, 48, 60, 120] {
        #[expect(clippy::cast_precision_loss, reason = "small whole numbers")]
        if (n - whole as f64 * 1000.0 / 1001.0).abs() < 0.001 {
            return Some((whole * 1000, 1001));
        }
    }
    #[expect(clippy::cast_possible_truncation, reason = "at most a million")]
    Some(reduce((n * 1000.0).round() as i64, 1000))
}

fn reduce(num: i64, den: i64) -> (i64, i64) {
    let (mut a, mut b) = (num, den);
    while b != 0 {
        (a, b) = (b, a % b);
    }
    (num / a, den / a)
}

/// Writes a rate in its one form.
pub fn write_rate(num: i64, den: i64) -> String {
    if den == 1 {
        num.to_string()
    } else {
        format!("{num}/{den}")
    }
}

fn parse_clock(typed: &str) -> Option<i64> {
    let (hours, minutes) = typed.split_once([':', '.'])?;
    let (hours, minutes): (i64, i64) = (hours.trim().parse().ok()?, minutes.trim().parse().ok()?);
    ((0..48).contains(&hours) && (0..60).contains(&minutes)).then_some(hours * 60 + minutes)
}
