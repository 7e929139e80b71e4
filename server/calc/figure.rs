//! Numbers written for people: as many digits as they carry, a thin space between thousands, a true minus.

/// Stands between groups of three digits.
pub const THIN_SPACE: char = '\u{202f}';
/// The minus of a number, as long as the plus.
pub const MINUS: char = '\u{2212}';

/// Digits of an input in a *because*: enough that the shown numbers give the shown answer.
const DIGITS_GIVEN: usize = 7;
/// Digits of an answer in a *because*.
const DIGITS_FOUND: usize = 4;

/// A number to so many significant digits: `significant(18_812.16, 3)` is `18 800`.
pub fn significant(value: f64, digits: usize) -> String {
    let Some(rounded) = Rounded::to(value, digits) else {
        return endless(value);
    };
    rounded.written(digits)
}

/// A number with so many decimals: `fixed(-4.25, 1)` is `−4.3`, rounded half away from zero.
pub fn fixed(value: f64, decimals: usize) -> String {
    if !value.is_finite() {
        return endless(value);
    }
    let power = 10_f64.powi(i32::try_from(decimals).unwrap_or(i32::MAX));
    let scaled = value * power;
    let half_away = if scaled.is_finite() {
        scaled.round() / power
    } else {
        value
    };
    signed(half_away, &format!("{:.decimals$}", half_away.abs()))
}

/// A number as it was typed, to at most seven significant digits, for the left side of a *because*.
pub fn given(value: f64) -> String {
    if let Some(short) = short(value) {
        return short;
    }
    let Some(rounded) = Rounded::to(value, DIGITS_GIVEN) else {
        return endless(value);
    };
    let digits = DIGITS_GIVEN.max(usize::try_from(rounded.exponent + 1).unwrap_or(0));
    let text = if digits == DIGITS_GIVEN && rounded.exponent >= -7 {
        rounded.written(digits)
    } else if (-7..15).contains(&rounded.exponent) {
        significant(value, digits)
    } else {
        // bracketed, since it stands inside a larger expression
        format!("({})", significant(value, DIGITS_GIVEN))
    };
    without_idle_zeros(&text)
}

/// Most numbers are typed with few digits: then the shortest text that reads back as the number is the one to show.
fn short(value: f64) -> Option<String> {
    if value == 0.0 || !(1e-6..1e7).contains(&value.abs()) {
        return None;
    }
    let text = value.abs().to_string();
    let digits = text.trim_start_matches(['0', '.']);
    let count = digits.bytes().filter(u8::is_ascii_digit).count();
    (count <= DIGITS_GIVEN).then(|| signed(value, &text))
}

/// An answer to four significant digits, and all the digits before its point, for the right side of a *because*.
pub fn found(value: f64) -> String {
    // what is left of a difference of equal numbers
    let value = if value.abs() < 1e-14 { 0.0 } else { value };
    let Some(rounded) = Rounded::to(value, DIGITS_FOUND) else {
        return endless(value);
    };
    let before_point = usize::try_from(rounded.exponent + 1).unwrap_or(0);
    if before_point > 6 {
        return rounded.scientific();
    }
    let text = if before_point <= DIGITS_FOUND {
        rounded.written(DIGITS_FOUND)
    } else {
        significant(value, before_point)
    };
    let shown: f64 = plain(&text).parse().unwrap_or(f64::NAN);
    if (shown - value).abs() <= 1e-9 * value.abs() {
        without_idle_zeros(&text)
    } else {
        text
    }
}

/// A number between two steps of a *because*, kept to ten digits so that the steps still agree.
pub fn carried(value: f64) -> String {
    if value == 0.0 || !value.is_finite() || !(1e-7..1e15).contains(&value.abs()) {
        return given(value);
    }
    without_idle_zeros(&significant(value, 10))
}

/// The digits of a number and where its point stands.
struct Rounded {
    value: f64,
    mantissa: String,
    exponent: i32,
}

impl Rounded {
    fn to(value: f64, digits: usize) -> Option<Self> {
        if !value.is_finite() {
            return None;
        }
        let text = format!("{:.*e}", digits.max(1) - 1, value.abs());
        let (mantissa, exponent) = text.split_once('e')?;
        Some(Self {
            value,
            mantissa: mantissa.to_owned(),
            exponent: exponent.parse().ok()?,
        })
    }

    fn written(&self, digits: usize) -> String {
        if !(-7..15).contains(&self.exponent) {
            return self.scientific();
        }
        let last = i32::try_from(digits).unwrap_or(i32::MAX) - 1 - self.exponent;
        let text = if let Ok(decimals) = usize::try_from(last) {
            self.with_decimals(decimals)
        } else {
            let mut whole: String = self.mantissa.chars().filter(char::is_ascii_digit).collect();
            whole.extend(std::iter::repeat_n(
                '0',
                usize::try_from(-last).unwrap_or(0),
            ));
            whole
        };
        signed(self.value, &text)
    }

    /// The digits with the point where the exponent puts it.
    fn with_decimals(&self, decimals: usize) -> String {
        let digits = self.mantissa.bytes().filter(u8::is_ascii_digit);
        let digits: Vec<u8> = digits.collect();
        let mut text = String::with_capacity(decimals + 18);
        let before = usize::try_from(self.exponent + 1).unwrap_or(0);
        if before == 0 {
            text.push('0');
        }
        text.extend(
            digits[..before.min(digits.len())]
                .iter()
                .map(|d| char::from(*d)),
        );
        if decimals > 0 {
            text.push('.');
            let zeros = usize::try_from(-self.exponent - 1).unwrap_or(0);
            text.extend(std::iter::repeat_n('0', zeros.min(decimals)));
            text.extend(
                digits[before.min(digits.len())..]
                    .iter()
                    .map(|d| char::from(*d)),
            );
        }
        text
    }

    fn scientific(&self) -> String {
        let minus = if self.exponent < 0 { "\u{2212}" } else { "" };
        let power = self.exponent.unsigned_abs();
        format!("{} × 10^{minus}{power}", signed(self.value, &self.mantissa))
    }
}

/// Puts the sign before and thin spaces into an unsigned decimal.
fn signed(value: f64, unsigned: &str) -> String {
    let (whole, fraction) = unsigned.split_once('.').unwrap_or((unsigned, ""));
    let mut out = String::with_capacity(unsigned.len() + 8);
    if value < 0.0 && unsigned.bytes().any(|b| (b'1'..=b'9').contains(&b)) {
        out.push(MINUS);
    }
    for (place, digit) in whole.chars().enumerate() {
        if place > 0 && (whole.len() - place).is_multiple_of(3) {
            out.push(THIN_SPACE);
        }
        out.push(digit);
    }
    if !fraction.is_empty() {
        out.push('.');
        out.push_str(fraction);
    }
    out
}

fn without_idle_zeros(text: &str) -> String {
    let (body, bracket) = text
        .strip_suffix(')')
        .map_or((text, ""), |body| (body, ")"));
    if !body.contains('.') {
        return text.to_owned();
    }
    let (number, power) = body.find(" × ").map_or((body, ""), |at| body.split_at(at));
    let number = if number.contains('.') {
        number.trim_end_matches('0').trim_end_matches('.')
    } else {
        number
    };
    format!("{number}{power}{bracket}")
}

/// The text as a programming language reads it.
fn plain(text: &str) -> String {
    text.replace(THIN_SPACE, "").replace(MINUS, "-")
}

fn endless(value: f64) -> String {
    if value.is_nan() {
        "not a number".to_owned()
    } else if value < 0.0 {
        "\u{2212}∞".to_owned()
    } else {
        "∞".to_owned()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn digits_follow_the_number() {
        assert_eq!(significant(18_812.16, 3), "18\u{202f}800");
        assert_eq!(significant(0.055_55, 2), "0.056");
        assert_eq!(significant(9.999_6, 4), "10.00");
        assert_eq!(significant(-4.0, 2), "\u{2212}4.0");
        assert_eq!(significant(0.0, 3), "0.00");
        assert_eq!(significant(3.4e-16, 2), "3.4 × 10^\u{2212}16");
        assert_eq!(fixed(1107.69, 1), "1\u{202f}107.7");
        assert_eq!(fixed(-4.25, 1), "\u{2212}4.3");
        assert_eq!(fixed(-0.01, 1), "0.0");
        assert_eq!(fixed(f64::INFINITY, 1), "∞");
        assert_eq!(given(24.0), "24");
        assert_eq!(given(45.454_545_454_545), "45.45455");
        assert_eq!(given(3.4e-16), "(3.4 × 10^\u{2212}16)");
        assert_eq!(given(0.000_001_004), "0.000001004");
        assert_eq!(found(117.575_5), "117.6");
        assert_eq!(found(48.0), "48");
        assert_eq!(found(47.999_6), "48.00");
        assert_eq!(found(18_812.16), "18\u{202f}812");
        assert_eq!(found(5_976_095.6), "5.976 × 10^6");
        assert_eq!(found(0.000_034_8), "0.0000348");
    }

    proptest! {
        #[test]
        fn a_written_number_reads_back(value in -1e14_f64..1e14) {
            let shown: f64 = plain(&significant(value, 6)).parse().expect("a plain number");
            prop_assert!((shown - value).abs() <= 5.1e-6 * value.abs());
            let shown: f64 = plain(&fixed(value, 2)).parse().expect("a plain number");
            prop_assert!((shown - value).abs() <= 0.0051 + 1e-9 * value.abs());
        }
    }
}
