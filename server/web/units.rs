//! How numbers, times and lengths are written for people.

use jiff::{Timestamp, tz::TimeZone};

/// A moment as the stage's clock shows it: 14:32.
pub fn clock(at_ms: i64) -> String {
    at(at_ms, "%H:%M")
}

/// A moment with its day: 11 March 16:40.
pub fn day_and_clock(at_ms: i64) -> String {
    at(at_ms, "%-d %B %H:%M")
}

fn at(at_ms: i64, form: &str) -> String {
    Timestamp::from_millisecond(at_ms).map_or_else(
        |_| "—".into(),
        |t| {
            t.to_zoned_datetime(TimeZone::system())
                .strftime(form)
                .to_string()
        },
    )
}

/// Minutes after midnight as a clock: 08:00. Past midnight it goes on from 00:00.
pub fn minutes_clock(minutes: f64) -> String {
    #[expect(clippy::cast_possible_truncation, reason = "minutes of a day")]
    let whole = minutes.round() as i64;
    format!(
        "{:02}:{:02}",
        whole.div_euclid(60).rem_euclid(24),
        whole.rem_euclid(60)
    )
}

/// The day of a time on the server's clock, as it is kept: 2027-03-12.
pub fn iso_day(at_ms: i64) -> String {
    at(at_ms, "%Y-%m-%d")
}

/// A day in words: Thursday 12 March.
pub fn day_in_words(date: &str) -> String {
    date.parse::<jiff::civil::Date>()
        .map_or_else(|_| date.to_owned(), |d| d.strftime("%A %-d %B").to_string())
}

/// Frames of the cut as seconds and frames: 6:12.
pub fn seconds_frames(frames: i64, fps: f64) -> String {
    let nominal = nominal(fps);
    format!("{}:{:02}", frames / nominal, frames % nominal)
}

/// The whole number of frames a second that labels count.
pub fn nominal(fps: f64) -> i64 {
    #[expect(clippy::cast_possible_truncation, reason = "rates are small")]
    let n = fps.round() as i64;
    n.max(1)
}

/// Reads a length in the cut: "162" frames, "6:12" seconds and frames, "00:00:06:12" timecode, "6.48 s" seconds.
pub fn parse_length(typed: &str, fps: f64) -> Option<i64> {
    let typed = typed.trim();
    if let Some(seconds) = typed
        .strip_suffix('s')
        .or_else(|| typed.strip_suffix("sec"))
    {
        let seconds = crate::journal::field::parse_number(seconds)?;
        #[expect(
            clippy::cast_possible_truncation,
            reason = "checked against the field's range afterwards"
        )]
        return Some((seconds * fps).round() as i64);
    }
    let parts: Vec<&str> = typed.split([':', ';']).collect();
    if parts.len() == 1 {
        return parts[0].replace(['\u{2009}', ' '], "").parse().ok();
    }
    let numbers: Option<Vec<i64>> = parts
        .iter()
        .map(|p| p.trim().parse().ok().filter(|n: &i64| *n >= 0))
        .collect();
    let nominal = nominal(fps);
    let frames = match *numbers?.as_slice() {
        [s, f] => s.checked_mul(nominal)?.checked_add(f)?,
        [m, s, f] => (m.checked_mul(60)?.checked_add(s)?)
            .checked_mul(nominal)?
            .checked_add(f)?,
        [h, m, s, f] => (h
            .checked_mul(3600)?
            .checked_add(m.checked_mul(60)?)?
            .checked_add(s)?)
        .checked_mul(nominal)?
        .checked_add(f)?,
        _ => return None,
    };
    let last: i64 = parts.last()?.trim().parse().ok()?;
    (last < nominal).then_some(frames)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn lengths_are_read_as_crews_write_them() {
        for (typed, frames) in [
            ("162", 162),
            ("6:12", 162),
            ("00:00:06:12", 162),
            ("6.48 s", 162),
            ("6,48s", 162),
            ("1:00:00", 1500),
        ] {
            assert_eq!(parse_length(typed, 25.0), Some(frames), "{typed}");
        }
        for wrong in ["ninety", "6:25", "-3:00", "1:2:3:4:5", ""] {
            assert_eq!(parse_length(wrong, 25.0), None, "{wrong}");
        }
    }

    #[test]
    fn clocks_go_on_past_midnight() {
        assert_eq!(minutes_clock(480.0), "08:00");
        assert_eq!(minutes_clock(1445.0), "00:05");
    }
}
