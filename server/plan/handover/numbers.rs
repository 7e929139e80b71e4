//! Numbers as people write them: decimal comma, thousands marks, a unit behind.

use super::problems::Problem;

/// Which character marks the decimals, where a single mark before three digits could be either.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum DecimalMark {
    #[default]
    Point,
    Comma,
}

/// Splits `0,35 m/s` into the number and its unit, both trimmed.
pub fn split_unit(text: &str) -> (&str, &str) {
    let text = text.trim();
    let ends = |at: char| at.is_ascii_digit() || matches!(at, '.' | ',');
    match text.rfind(ends) {
        Some(at) => (text[..=at].trim_end(), text[at + 1..].trim()),
        None => (text, ""),
    }
}

/// What a cell shows about the decimal mark: nothing, unless its marks can be read in one way only.
pub fn decimal_mark_shown(text: &str) -> Option<DecimalMark> {
    let (number, _) = split_unit(text);
    let mut marks = number
        .char_indices()
        .filter(|(_, at)| matches!(at, '.' | ','));
    let (at, mark) = marks.next()?;
    let this = |mark| {
        if mark == ',' {
            DecimalMark::Comma
        } else {
            DecimalMark::Point
        }
    };
    match marks.next_back() {
        Some((_, last)) => (last != mark).then(|| this(last)),
        None => (!could_be_thousands(number, at)).then(|| this(mark)),
    }
}

/// `1,000` could be a thousand; `0,350`, `6,48` and `1000,000` could not.
fn could_be_thousands(number: &str, mark_at: usize) -> bool {
    let before = number[..mark_at].trim_start_matches(['+', '-']);
    let after = &number[mark_at + 1..];
    (1..=3).contains(&before.len()) && !before.starts_with('0') && after.len() == 3
}

/// Reads a finite number.
///
/// # Errors
/// Anything else in the text, a unit too.
pub fn number(text: &str, mark: DecimalMark) -> Result<f64, Problem> {
    plain(text, mark, false)
        .and_then(|text| text.parse().ok())
        .filter(|value: &f64| value.is_finite())
        .ok_or(Problem::NotANumber)
}

/// Reads a whole number; a mark before three digits is taken for a thousands mark. `1e9` and `90.0` are whole.
///
/// # Errors
/// Anything else in the text, a fraction too.
pub fn whole(text: &str, mark: DecimalMark) -> Result<i64, Problem> {
    let text = plain(text, mark, true).ok_or(Problem::NotAWholeNumber)?;
    if let Ok(value) = text.parse::<i64>() {
        return Ok(value);
    }
    let value = text.parse::<f64>().map_err(|_| Problem::NotAWholeNumber)?;
    if value.is_finite() && value.fract().abs() > 0.0 {
        return Err(Problem::NotAWholeNumber);
    }
    // Nothing in a list comes near this; the field's own limit refuses it with the right words.
    #[expect(
        clippy::cast_possible_truncation,
        reason = "`as` stops at the ends of i64, which every field refuses"
    )]
    Ok(value as i64)
}

/// The number with a point for decimals and nothing between its digits; none if it is not a number.
pub fn plain(text: &str, mark: DecimalMark, whole: bool) -> Option<String> {
    let text = text.trim().replace('\u{2212}', "-");
    let (mantissa, exponent) = match text.split_once(['e', 'E']) {
        Some((mantissa, exponent)) => (mantissa, exponent.parse::<i16>().ok()?),
        None => (text.as_str(), 0),
    };
    let (sign, digits) = match mantissa.strip_prefix(['+', '-']) {
        Some(digits) => (if mantissa.starts_with('-') { "-" } else { "" }, digits),
        None => ("", mantissa),
    };
    let decimal_at = decimal_position(digits, mark, whole)?;
    let (units, decimals) = match decimal_at {
        Some(at) => (&digits[..at], &digits[at + 1..]),
        None => (digits, ""),
    };
    if !decimals.bytes().all(|byte| byte.is_ascii_digit()) {
        return None;
    }
    let units = joined_groups(units)?;
    if units.is_empty() && decimals.is_empty() {
        return None;
    }
    let units = if units.is_empty() {
        "0".to_owned()
    } else {
        units
    };
    let decimals = if decimals.is_empty() {
        String::new()
    } else {
        format!(".{decimals}")
    };
    let exponent = if exponent == 0 {
        String::new()
    } else {
        format!("e{exponent}")
    };
    Some(format!("{sign}{units}{decimals}{exponent}"))
}

/// Where the decimal mark stands, if there is one; none at all if the marks make no number.
#[expect(
    clippy::option_option,
    reason = "the outer one says whether this can be a number"
)]
fn decimal_position(digits: &str, mark: DecimalMark, whole: bool) -> Option<Option<usize>> {
    let marks: Vec<(usize, char)> = digits
        .char_indices()
        .filter(|(_, at)| matches!(at, '.' | ','))
        .collect();
    match marks[..] {
        [] => Some(None),
        [(at, character)] => {
            let is_decimal = if !could_be_thousands(digits, at) {
                true
            } else if whole {
                character == '.' && mark == DecimalMark::Point
            } else {
                (character == ',') == (mark == DecimalMark::Comma)
            };
            Some(is_decimal.then_some(at))
        }
        [.., (at, last)] => {
            let before_last = &marks[..marks.len() - 1];
            if before_last.iter().all(|(_, character)| *character == last) {
                return Some(None); // 1.000.000
            }
            let one_kind = before_last.iter().all(|(_, character)| *character != last);
            one_kind.then_some(Some(at)) // 1.000,5
        }
    }
}

/// The digits of the part before the decimals, with thousands marks taken out where they stand right.
fn joined_groups(units: &str) -> Option<String> {
    let is_group_mark = |at: char| {
        matches!(
            at,
            '.' | ',' | ' ' | '\'' | '\u{2019}' | '\u{a0}' | '\u{202f}' | '\u{2009}'
        )
    };
    if !units.contains(is_group_mark) {
        return units
            .bytes()
            .all(|byte| byte.is_ascii_digit())
            .then(|| units.to_owned());
    }
    let mut groups = units.split(is_group_mark);
    let first = groups.next()?;
    let digits = |group: &str| group.bytes().all(|byte| byte.is_ascii_digit());
    if !(1..=3).contains(&first.len()) || !digits(first) {
        return None;
    }
    let mut joined = first.to_owned();
    for group in groups {
        if group.len() != 3 || !digits(group) {
            return None;
        }
        joined.push_str(group);
    }
    Some(joined)
}
