//! Units of a bench sum: metric or feet and inches, lux or foot-candles, and what people type after a number.
//!
//! Sums are worked in the unit a name ends in; here a figure crosses over, once on the way in and once on the way out.

use crate::journal::field::parse_number;
use stillair_calc::figure::significant;

/// Which units a sheet is in.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Units {
    /// Millimetres, metres, lux.
    #[default]
    Metric,
    /// Inches, feet, foot-candles.
    Feet,
}

impl Units {
    /// As the address says it.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Metric => "mm",
            Self::Feet => "in",
        }
    }

    /// Reads what the address says; anything else is metric.
    pub fn from_word(word: &str) -> Self {
        if word == Self::Feet.word() {
            Self::Feet
        } else {
            Self::Metric
        }
    }

    /// The other ones.
    pub const fn other(self) -> Self {
        match self {
            Self::Metric => Self::Feet,
            Self::Feet => Self::Metric,
        }
    }

    /// What the title block calls them.
    pub const fn named(self) -> &'static str {
        match self {
            Self::Metric => "mm · m · lx",
            Self::Feet => "in · ft · fc",
        }
    }
}

/// A unit of the sums, and what stands for it on a sheet in feet and inches. International foot of 1959; the foot-candle
/// is a lumen on a square foot, the foot-lambert a candela on π square feet, the pound 0.45359237 kg.
struct Pair {
    metric: &'static str,
    feet: &'static str,
    /// How much of the metric unit one of the other is.
    factor: f64,
}

const FT: f64 = 0.3048;
const PAIRS: &[Pair] = &[
    pair("mm", "in", 25.4),
    pair("m", "ft", FT),
    pair("mm²", "in²", 25.4 * 25.4),
    pair("m²", "ft²", FT * FT),
    pair("m³", "ft³", FT * FT * FT),
    pair("m³/s", "ft³/s", FT * FT * FT),
    pair("mm/s", "in/s", 25.4),
    pair("m/s", "ft/s", FT),
    pair("m/s²", "ft/s²", FT),
    pair("1/m", "1/ft", 1.0 / FT),
    pair("per m", "per ft", 1.0 / FT),
    pair("kg", "lb", 0.453_592_37),
    pair("g", "oz", 28.349_523_125),
    pair("kg/m³", "lb/ft³", 0.453_592_37 / (FT * FT * FT)),
    pair("lx", "fc", 1.0 / (FT * FT)),
    pair("cd/m²", "fL", 1.0 / (std::f64::consts::PI * FT * FT)),
];

const fn pair(metric: &'static str, feet: &'static str, factor: f64) -> Pair {
    Pair {
        metric,
        feet,
        factor,
    }
}

/// Signs that may be typed after a number: what they measure, and how many of its first sign they are.
const TYPED: &[(&str, &str, f64)] = &[
    ("mm", "length", 1.0),
    ("cm", "length", 10.0),
    ("m", "length", 1000.0),
    ("km", "length", 1_000_000.0),
    ("µm", "length", 0.001),
    ("in", "length", 25.4),
    ("\"", "length", 25.4),
    ("″", "length", 25.4),
    ("ft", "length", 304.8),
    ("'", "length", 304.8),
    ("′", "length", 304.8),
    ("yd", "length", 914.4),
    ("mm²", "area", 1.0),
    ("m²", "area", 1e6),
    ("in²", "area", 645.16),
    ("ft²", "area", 92_903.04),
    ("m³", "volume", 1000.0),
    ("L", "volume", 1.0),
    ("l", "volume", 1.0),
    ("ml", "volume", 0.001),
    ("ft³", "volume", 28.316_846_592),
    ("mm/s", "speed", 0.001),
    ("cm/s", "speed", 0.01),
    ("m/s", "speed", 1.0),
    ("km/h", "speed", 1.0 / 3.6),
    ("in/s", "speed", 0.0254),
    ("ft/s", "speed", FT),
    ("mph", "speed", 0.447_04),
    ("kn", "speed", 1852.0 / 3600.0),
    ("m/s²", "acceleration", 1.0),
    ("ft/s²", "acceleration", FT),
    ("1/m", "extinction", 1.0),
    ("per m", "extinction", 1.0),
    ("1/ft", "extinction", 1.0 / FT),
    ("per ft", "extinction", 1.0 / FT),
    ("mg", "mass", 1e-6),
    ("g", "mass", 0.001),
    ("kg", "mass", 1.0),
    ("oz", "mass", 0.028_349_523_125),
    ("lb", "mass", 0.453_592_37),
    ("kg/m³", "density", 1.0),
    ("lb/ft³", "density", 0.453_592_37 / (FT * FT * FT)),
    ("lx", "light", 1.0),
    ("lux", "light", 1.0),
    ("fc", "light", 1.0 / (FT * FT)),
    ("cd/m²", "brightness", 1.0),
    ("fL", "brightness", 1.0 / (std::f64::consts::PI * FT * FT)),
    ("s", "time", 1.0),
    ("ms", "time", 0.001),
    ("min", "time", 60.0),
    ("h", "time", 3600.0),
    ("W", "power", 1.0),
    ("kW", "power", 1000.0),
    ("mA", "current", 0.001),
    ("A", "current", 1.0),
    ("°", "angle", 1.0),
    ("deg", "angle", 1.0),
    ("%", "share", 1.0),
    ("fps", "rate", 1.0),
    ("Hz", "frequency", 1.0),
    ("kHz", "frequency", 1000.0),
    ("rpm", "turns", 1.0),
    ("N", "force", 1.0),
    ("kN", "force", 1000.0),
    ("K", "temperature", 1.0),
    ("V", "voltage", 1.0),
];

fn partner(unit: &str) -> Option<&'static Pair> {
    PAIRS.iter().find(|pair| pair.metric == unit)
}

/// The unit a figure is shown in.
pub fn shown_unit(unit: &'static str, units: Units) -> &'static str {
    match (units, partner(unit)) {
        (Units::Feet, Some(pair)) => pair.feet,
        _ => unit,
    }
}

/// A figure in the unit it is shown in.
pub fn crossed(value: f64, unit: &str, units: Units) -> f64 {
    match (units, partner(unit)) {
        (Units::Feet, Some(pair)) => value / pair.factor,
        _ => value,
    }
}

/// A figure as a blank starts with it: at most six digits, plain enough to be typed again.
pub fn for_blank(value: f64, unit: &str, units: Units) -> String {
    let value = crossed(value, unit, units);
    if value == 0.0 {
        return "0".to_owned();
    }
    let shortest = value.to_string();
    let digits = shortest.bytes().filter(u8::is_ascii_digit).count();
    if digits <= 7 && (1e-6..1e7).contains(&value.abs()) {
        return shortest;
    }
    let text = significant(value, 6).replace('\u{202f}', "");
    if text.contains('×') {
        return format!("{value:e}");
    }
    let text = text.replace('\u{2212}', "-");
    if text.contains('.') {
        text.trim_end_matches('0').trim_end_matches('.').to_owned()
    } else {
        text
    }
}

/// Reads a number as people write it: `1 1/2`, `0,4`, `2 m`, `5' 6"`, `300 fc`. Without a sign it is in the unit shown.
/// Comes back in the sum's own unit.
///
/// # Errors
/// The end of a sentence that begins with the blank's label.
pub fn read(typed: &str, unit: &'static str, units: Units) -> Result<f64, String> {
    let typed = typed.trim();
    let shown = shown_unit(unit, units);
    if let Some(millimetres) = feet_and_inches(typed)
        && let Some(per) = measure(unit).filter(|(what, _)| *what == "length")
    {
        return Ok(millimetres / per.1);
    }
    let (number, sign) = split(typed);
    let number = mixed(number).ok_or_else(|| "must be a number".to_owned())?;
    if sign.is_empty() {
        return Ok(match (units, partner(unit)) {
            (Units::Feet, Some(pair)) => number * pair.factor,
            _ => number,
        });
    }
    if sign == unit {
        return Ok(number);
    }
    let here = measure(unit);
    match (measure(sign), here) {
        (Some((what, of_sign)), Some((asked, of_unit))) if what == asked => {
            Ok(number * of_sign / of_unit)
        }
        _ if shown.is_empty() => Err(format!("is a plain number, without “{sign}”")),
        _ => Err(format!("is in {shown}; “{sign}” does not fit")),
    }
}

fn measure(sign: &str) -> Option<(&'static str, f64)> {
    TYPED
        .iter()
        .find(|(of, _, _)| *of == sign)
        .map(|(_, what, factor)| (*what, *factor))
}

/// The number and the sign behind it.
fn split(typed: &str) -> (&str, &str) {
    // an exponent's letter belongs to the number; a mark of feet at its end does not
    if parse_number(typed).is_some() && !typed.ends_with('\'') {
        return (typed, "");
    }
    let sign_starts =
        |c: char| c.is_alphabetic() || matches!(c, '°' | '%' | '"' | '″' | '′' | '\'');
    let at = typed.find(sign_starts).unwrap_or(typed.len());
    let per = |word: &str| typed.find(word).filter(|at| *at > 0);
    let at = per("1/m").or_else(|| per("1/ft")).map_or(at, |one| {
        // "0.4 1/m": the one belongs to the sign
        if typed[..one].trim().is_empty() {
            at
        } else {
            one
        }
    });
    (typed[..at].trim(), typed[at..].trim())
}

/// `1 1/2` and `1/16` beside plain numbers.
fn mixed(text: &str) -> Option<f64> {
    if let Some((whole, part)) = text.trim().split_once(' ')
        && part.contains('/')
    {
        let whole = parse_number(whole)?;
        let part = parse_number(part)?;
        return Some(if whole < 0.0 {
            whole - part
        } else {
            whole + part
        });
    }
    parse_number(text)
}

/// `5' 6"`, `5 ft 6 1/2 in` as millimetres.
fn feet_and_inches(typed: &str) -> Option<f64> {
    let plain = typed.replace('′', "'").replace('″', "\"");
    let (feet, rest) = plain.split_once("ft").or_else(|| plain.split_once('\''))?;
    let inches = rest.trim();
    // 1'200 is a thousand and two hundred
    if inches.len() == 3 && inches.bytes().all(|b| b.is_ascii_digit()) {
        return None;
    }
    let inches = inches
        .strip_suffix('"')
        .or_else(|| inches.strip_suffix("in"))
        .unwrap_or(inches)
        .trim();
    if inches.is_empty() {
        return None;
    }
    Some(parse_number(feet)? * 304.8 + mixed(inches)? * 25.4)
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn close(a: f64, b: f64) -> bool {
        (a - b).abs() <= 1e-9 * b.abs().max(1.0)
    }

    #[test]
    fn numbers_are_read_as_people_write_them() {
        for (typed, unit, units, value) in [
            ("35", "mm", Units::Metric, 35.0),
            ("0,4", "m", Units::Metric, 0.4),
            ("2", "in", Units::Metric, 2.0),
            ("2", "mm", Units::Feet, 50.8),
            ("2 m", "mm", Units::Feet, 2000.0),
            ("1 1/2", "mm", Units::Feet, 38.1),
            ("3/8 in", "mm", Units::Metric, 9.525),
            ("5' 6\"", "m", Units::Metric, 1.6764),
            ("5 ft 6 in", "mm", Units::Metric, 1676.4),
            ("5'", "m", Units::Metric, 1.524),
            ("1'200", "mm", Units::Metric, 1200.0),
            ("12 kn", "m/s", Units::Metric, 6.173_333_333_3),
            ("0.4 1/m", "1/m", Units::Metric, 0.4),
            ("100 fc", "lx", Units::Metric, 1_076.391_041_67),
            ("90 min", "h", Units::Metric, 1.5),
            ("1e3", "lx", Units::Metric, 1000.0),
            ("24", "", Units::Feet, 24.0),
        ] {
            let read = read(typed, unit, units).unwrap_or_else(|e| panic!("{typed}: {e}"));
            assert!(close(read, value), "{typed} in {unit}: {read}");
        }
        assert_eq!(
            read("4 kg", "mm", Units::Feet),
            Err("is in in; “kg” does not fit".to_owned())
        );
        assert_eq!(
            read("many", "mm", Units::Metric),
            Err("must be a number".to_owned())
        );
        assert_eq!(
            read("", "mm", Units::Metric),
            Err("must be a number".to_owned())
        );
    }

    #[test]
    fn every_pair_measures_one_thing() {
        for pair in PAIRS {
            let (Some(metric), Some(feet)) = (measure(pair.metric), measure(pair.feet)) else {
                // volumes a second are shown, never typed with a sign
                assert_eq!(pair.metric, "m³/s");
                continue;
            };
            assert_eq!(metric.0, feet.0, "{}", pair.metric);
            assert!(close(feet.1 / metric.1, pair.factor), "{}", pair.metric);
        }
    }

    proptest! {
        #[test]
        fn a_figure_crosses_over_and_comes_back(value in 1e-3_f64..1e6, at in 0..PAIRS.len()) {
            let unit = PAIRS[at].metric;
            let typed = for_blank(value, unit, Units::Feet);
            let back = read(&typed, unit, Units::Feet).expect("a number");
            prop_assert!((back - value).abs() <= 1e-5 * value, "{typed} is {back}, was {value}");
            let typed = format!("{value} {unit}");
            let back = read(&typed, unit, Units::Feet);
            if measure(unit).is_some() {
                prop_assert!((back.expect("its own unit") - value).abs() <= 1e-9 * value);
            }
        }
    }
}
