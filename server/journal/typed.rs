//! What people type into a blank, and how a value is shown there: numbers with commas and thin spaces, scales, rates, clocks.

use super::{
    field::{Field, Kind, Refusal},
    value::Value,
};
use std::sync::Arc;

impl Field {
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

/// Reads a time of day: "08:00", "8.30", "0830".
fn parse_clock(typed: &str) -> Option<i64> {
    let (hours, minutes) = match typed.split_once([':', '.']) {
        Some(parts) => parts,
        None if matches!(typed.len(), 3 | 4) && typed.is_ascii() => typed.split_at(typed.len() - 2),
        None => return None,
    };
    let (hours, minutes): (i64, i64) = (hours.trim().parse().ok()?, minutes.trim().parse().ok()?);
    ((0..48).contains(&hours) && (0..60).contains(&minutes)).then_some(hours * 60 + minutes)
}
