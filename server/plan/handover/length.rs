//! Lengths in the cut, however they are written, as whole frames at the base rate.
//!
//! Frames (`162`), seconds (`6,48`, `6.48 s`), seconds and frames (`6:12`), and labels (`0:06:12`, `00:00:06:12`;
//! drop-frame `00:00:06;12` at 30000/1001 and 60000/1001). A label stands for the number of frames counted from zero.

use stillair_calc::timecode::{FrameRate, timecode_to_frames};

use super::numbers::{self, DecimalMark};
use super::problems::{Limit, Problem};

/// What the heading says its bare numbers are.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Unit {
    Frames,
    Seconds,
    Unsaid,
}

/// The base rate as an exact fraction, frames a second: 25/1, 24000/1001.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct BaseRate {
    pub numerator: i64,
    pub denominator: i64,
}

impl BaseRate {
    /// Frames that a second of label counts: 30 at 30000/1001.
    fn nominal(self) -> i64 {
        (self.numerator + self.denominator - 1) / self.denominator.max(1)
    }

    /// Frames in 24 hours of screen; no shot is longer.
    fn day(self) -> i64 {
        self.numerator.saturating_mul(24 * 3600) / self.denominator.max(1)
    }

    /// The rate among those that have drop-frame, if it is one.
    fn with_drop_frame(self) -> Option<FrameRate> {
        FrameRate::ALL.into_iter().find(|rate| {
            let (numerator, denominator) = rate.fraction();
            let same = (i64::from(numerator), i64::from(denominator))
                == (self.numerator, self.denominator);
            same && rate.dropped_labels().is_some()
        })
    }
}

/// Something about a reading that the sender should be told, once for a column.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Remark {
    /// Seconds that were not a whole number of frames.
    Rounded,
    /// A bare whole number under a heading without a unit.
    TakenAsFrames,
    /// A label with `:` at a rate that has drop-frame too.
    TakenAsNonDrop,
    /// Several lines of text where one line is kept.
    LinesJoined,
    /// Text that a spreadsheet would run.
    FormulaAsText,
}

/// How one column of lengths is read.
#[derive(Debug, Clone, Copy)]
pub struct Reading {
    pub unit: Unit,
    pub rate: BaseRate,
    pub mark: DecimalMark,
}

/// Reads one length.
///
/// # Errors
/// Anything that is no length, is not above zero, or passes 24 hours of screen.
pub fn frames(text: &str, reading: Reading) -> Result<(i64, Option<Remark>), Problem> {
    let text = text.trim();
    let (count, remark) = if text.contains([':', ';']) {
        label(text, reading.rate)?
    } else {
        let (number, unit) = numbers::split_unit(text);
        let unit = match unit.to_lowercase().trim_end_matches('.') {
            "" => reading.unit,
            "f" | "fr" | "frame" | "frames" => Unit::Frames,
            "s" | "sec" | "secs" | "second" | "seconds" | "\"" | "\u{2033}" => Unit::Seconds,
            _ if reading.unit == Unit::Frames => return Err(Problem::NotAWholeNumber),
            _ => return Err(Problem::NotALength),
        };
        match unit {
            Unit::Frames => (numbers::whole(number, reading.mark)?, None),
            Unit::Seconds => seconds(number, reading)?,
            Unit::Unsaid => (unsaid(number, reading)?, Some(Remark::TakenAsFrames)),
        }
    };
    if count <= 0 {
        return Err(Problem::NotAboveZero);
    }
    if count > reading.rate.day() {
        return Err(Problem::TooLong(Limit::ScreenDay));
    }
    Ok((count, remark))
}

fn unsaid(number: &str, reading: Reading) -> Result<i64, Problem> {
    numbers::whole(number, reading.mark).map_err(|_| match numbers::number(number, reading.mark) {
        Ok(_) => Problem::UnitUnsaid,
        Err(_) => Problem::NotALength,
    })
}

/// `seconds × rate`, rounded half away from zero, in whole numbers: 0.58 s at 25 is 14.5 frames, not 14.4999….
fn seconds(number: &str, reading: Reading) -> Result<(i64, Option<Remark>), Problem> {
    let plain = numbers::plain(number, reading.mark, false).ok_or(Problem::NotALength)?;
    let value: f64 = plain.parse().map_err(|_| Problem::NotALength)?;
    if value < 0.0 {
        return Err(Problem::NotAboveZero);
    }
    if value > 25.0 * 3600.0 {
        return Ok((i64::MAX, None)); // past the limit either way; keeps the sum below small
    }
    let (units, decimals) = plain.split_once('.').unwrap_or((&plain, ""));
    if plain.contains('e') || decimals.len() > 12 {
        return Err(Problem::NotALength);
    }
    let ten_to = 10_i128.pow(u32::try_from(decimals.len()).map_err(|_| Problem::NotALength)?);
    let digits: i128 = format!("{units}{decimals}")
        .parse()
        .map_err(|_| Problem::NotALength)?;
    let over = digits * i128::from(reading.rate.numerator);
    let under = ten_to * i128::from(reading.rate.denominator.max(1));
    let count = i64::try_from((2 * over + under) / (2 * under)).map_err(|_| Problem::NotALength)?;
    Ok((count, (over % under != 0).then_some(Remark::Rounded)))
}

/// `S:FF`, `M:SS:FF` or `HH:MM:SS:FF`; a `;` before the frames means drop-frame.
fn label(text: &str, rate: BaseRate) -> Result<(i64, Option<Remark>), Problem> {
    let (rest, frames) = text.rsplit_once([':', ';']).ok_or(Problem::NotALength)?;
    let is_drop = text[rest.len()..].starts_with(';');
    let part = |part: &str| -> Result<i64, Problem> {
        let digits = part.trim();
        let is_number =
            (1..=6).contains(&digits.len()) && digits.bytes().all(|byte| byte.is_ascii_digit());
        if is_number {
            digits.parse().map_err(|_| Problem::NotALength)
        } else {
            Err(Problem::NotALength)
        }
    };
    let f = part(frames)?;
    let parts: Vec<i64> = rest.split(':').map(part).collect::<Result<_, _>>()?;
    let (h, m, s) = match parts[..] {
        [s] => (0, s / 60, s % 60),
        [m, s] => (m / 60, m % 60, s),
        [h, m, s] => (h, m, s),
        _ => return Err(Problem::NotALength),
    };
    let n = rate.nominal();
    if f >= n || s > 59 || m > 59 {
        return Err(Problem::NoSuchLabel);
    }
    match (is_drop, rate.with_drop_frame()) {
        (false, drop_frame) => {
            let count = (3600 * h + 60 * m + s) * n + f;
            Ok((count, drop_frame.map(|_| Remark::TakenAsNonDrop)))
        }
        (true, Some(rate)) => {
            let label = format!("{h:02}:{m:02}:{s:02};{f:02}");
            let count = timecode_to_frames(&label, rate, None).map_err(|_| Problem::NoSuchLabel)?;
            Ok((count, None))
        }
        (true, None) => Err(Problem::NoSuchLabel),
    }
}
