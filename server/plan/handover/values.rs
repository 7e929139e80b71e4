//! What crews write in the other cells: scales, speeds, ways of travelling, looks, yes and no, lists of codes.

use super::mapping::Choices;
use super::numbers::{self, DecimalMark};
use super::problems::{Limit, Problem};

/// A choice's code and other words for it.
type WordsFor = (&'static str, &'static [&'static str]);

/// Words for a choice beside its code and its declared word, by field.
const OTHER_WORDS: &[(&str, &[WordsFor])] = &[
    (
        "travel",
        &[
            (
                "l_to_r",
                &[
                    "left to right",
                    "l r",
                    "lr",
                    "ltr",
                    "to the right",
                    "screen left to right",
                ],
            ),
            (
                "r_to_l",
                &[
                    "right to left",
                    "r l",
                    "rl",
                    "rtl",
                    "to the left",
                    "screen right to left",
                ],
            ),
            (
                "toward",
                &[
                    "towards",
                    "toward camera",
                    "towards camera",
                    "to camera",
                    "at camera",
                    "head on",
                ],
            ),
            ("away", &["away from camera", "from camera", "receding"]),
            ("up", &["upward", "upwards", "rising"]),
            ("down", &["downward", "downwards", "sinking", "falling"]),
            (
                "still",
                &[
                    "none",
                    "static",
                    "no travel",
                    "not moving",
                    "at rest",
                    "hold",
                ],
            ),
        ],
    ),
    (
        "look",
        &[
            ("air", &["clear", "day air"]),
            ("mist", &["fog"]),
            ("reservoir", &["lake", "fresh water"]),
            ("coastal", &["coast"]),
            ("ocean", &["ocean water", "open sea"]),
        ],
    ),
];
/// Scales beyond this are a slip of the pen.
const LARGEST_DENOMINATOR: f64 = 10_000.0;

/// Denominator of a scale: `1:20`, `1/20`, `1 : 20` and `20` are all 20.
///
/// Nothing but 1 may stand in front: a spreadsheet turns a typed `1:87` into the time 2:27, and that must not become a
/// scale of 13.5.
///
/// # Errors
/// Anything that is no scale, and a scale of nothing.
pub fn scale_denominator(text: &str, mark: DecimalMark) -> Result<f64, Problem> {
    let part = |text: &str| match numbers::whole(text, mark) {
        #[expect(
            clippy::cast_precision_loss,
            reason = "anything that large is refused below"
        )]
        Ok(whole) => Ok(whole as f64),
        Err(_) => numbers::number(text, mark).map_err(|_| Problem::NotAScale),
    };
    let (numerator, denominator) = match text.split_once([':', '/', '\u{2236}', '\u{2044}']) {
        Some((numerator, denominator)) => (part(numerator)?, part(denominator)?),
        None => (1.0, part(text)?),
    };
    if denominator <= 0.0 {
        return Err(Problem::NotAboveZero);
    }
    let is_scale = (numerator - 1.0).abs() < f64::EPSILON && denominator <= LARGEST_DENOMINATOR;
    if is_scale {
        Ok(denominator)
    } else {
        Err(Problem::NotAScale)
    }
}

/// A number in the unit that is kept. The cell may name that unit, or one it is easily turned into.
///
/// # Errors
/// Anything that is no number, names a foreign unit, or lies outside the range.
pub fn quantity(
    text: &str,
    mark: DecimalMark,
    kept: &str,
    range: (f64, f64),
) -> Result<f64, Problem> {
    let (number, unit) = numbers::split_unit(text);
    let unit = unit.to_lowercase().replace(' ', "");
    let per_unit = match (kept, unit.as_str()) {
        (_, "") | ("m/s", "m/s" | "mps") | ("m", "metre" | "metres") => 1.0,
        ("m/s", "cm/s") | ("m", "cm") => 100.0,
        ("m/s", "mm/s") | ("m", "mm") => 1000.0,
        ("m/s", "km/h" | "kmh" | "kph") => 3.6,
        (kept, unit) if kept.to_lowercase().replace(' ', "") == unit => 1.0,
        _ => return Err(Problem::NotANumber),
    };
    within(numbers::number(number, mark)? / per_unit, range)
}

/// The value, if it lies in the range, ends included.
///
/// # Errors
/// Which side it lies on.
pub fn within(value: f64, (least, most): (f64, f64)) -> Result<f64, Problem> {
    if (least..=most).contains(&value) {
        Ok(value)
    } else if value < 0.0 && least >= 0.0 {
        Err(Problem::BelowZero)
    } else {
        Err(Problem::NotBetween(least, most))
    }
}

/// The code of a choice, from its code, its word, or another word for it.
///
/// # Errors
/// The words it must be one of.
pub fn choice(text: &str, field: &str, choices: Choices) -> Result<&'static str, Problem> {
    let said = spoken(text);
    let declared = choices
        .iter()
        .find(|(code, word)| spoken(code) == said || spoken(word) == said);
    if let Some((code, _)) = declared {
        return Ok(code);
    }
    let others = OTHER_WORDS
        .iter()
        .find(|(of, _)| *of == field)
        .map_or(&[][..], |(_, others)| others);
    let other = others
        .iter()
        .find(|(_, words)| words.contains(&said.as_str()))
        .map(|(code, _)| *code);
    other
        .filter(|code| choices.iter().any(|(declared, _)| declared == code))
        .ok_or_else(|| Problem::NotOneOf(choices.iter().map(|(_, word)| *word).collect()))
}

/// Lower case, arrows and dashes as spaces, spaces single.
fn spoken(text: &str) -> String {
    let lower = text.to_lowercase();
    let words: Vec<&str> = lower
        .split(|at: char| {
            at.is_whitespace()
                || matches!(
                    at,
                    '-' | '_' | '>' | '/' | '.' | '(' | ')' | '\u{2192}' | '\u{2013}'
                )
        })
        .filter(|word| !word.is_empty())
        .collect();
    words.join(" ")
}

/// `reservoir, 30 m` is the look *reservoir* and a reach of 30 m; `night air` has no reach.
///
/// The reach is a number of metres at the end, set off by a comma, a semicolon, a bracket or a space.
pub fn look(text: &str, mark: DecimalMark) -> (String, Option<f64>) {
    let text = text.trim();
    let whole = || (text.to_owned(), None);
    let inner = text.strip_suffix(')').unwrap_or(text).trim_end();
    let Some(before_unit) = ["metres", "metre", "m"]
        .iter()
        .find_map(|unit| inner.strip_suffix(unit))
    else {
        return whole();
    };
    let before_unit = before_unit.trim_end();
    let number_start = before_unit
        .trim_end_matches(|at: char| at.is_ascii_digit() || matches!(at, '.' | ','))
        .len();
    let number = before_unit[number_start..].trim_start_matches(',');
    let name = before_unit[..before_unit.len() - number.len()].trim_end();
    let set_off = name.len() + number.len() < before_unit.len() || name.ends_with([',', ';', '(']);
    let name = name.trim_end_matches([',', ';', '(', ' ']);
    match numbers::number(number, mark) {
        Ok(reach_m) if set_off && !name.is_empty() => (name.to_owned(), Some(reach_m)),
        _ => whole(),
    }
}

/// Yes or no, as a tick, a cross in a box, or a word.
///
/// # Errors
/// Any other word.
pub fn yes_no(text: &str) -> Result<bool, Problem> {
    match text.trim().to_lowercase().as_str() {
        "yes" | "y" | "true" | "1" | "x" | "\u{2713}" | "\u{2714}" => Ok(true),
        "no" | "n" | "false" | "0" => Ok(false),
        _ => Err(Problem::NotOneOf(vec!["yes", "no"])),
    }
}

/// A list of codes, each once, in the order they stand.
///
/// # Errors
/// A code that is too long.
pub fn codes(text: &str, most: usize) -> Result<Vec<String>, Problem> {
    let mut codes: Vec<String> = Vec::new();
    let pieces = text.split([';', ',', '+', '&', '\n', '\r']);
    for code in pieces.map(str::trim).filter(|code| !code.is_empty()) {
        let code = one_line(code, most)?;
        if !codes.contains(&code) {
            codes.push(code);
        }
    }
    Ok(codes)
}

/// Text in one line: line breaks and other control characters become single spaces.
///
/// # Errors
/// Text that is too long.
pub fn one_line(text: &str, most: usize) -> Result<String, Problem> {
    let mut line = String::with_capacity(text.len());
    let mut gap = false;
    for at in text.chars() {
        if at.is_control() && at != '\t' {
            gap = true;
        } else {
            if gap && !line.ends_with(' ') && at != ' ' {
                line.push(' ');
            }
            gap = false;
            line.push(at);
        }
    }
    no_longer(line.trim(), most)
}

/// Text in lines that end in LF; other control characters become spaces.
///
/// # Errors
/// Text that is too long.
pub fn in_lines(text: &str, most: usize) -> Result<String, Problem> {
    let text = text.replace("\r\n", "\n").replace('\r', "\n");
    let plain = |at: char| !at.is_control() || matches!(at, '\n' | '\t');
    let text: String = text
        .chars()
        .map(|at| if plain(at) { at } else { ' ' })
        .collect();
    no_longer(text.trim(), most)
}

fn no_longer(text: &str, most: usize) -> Result<String, Problem> {
    if text.chars().nth(most).is_some() {
        return Err(Problem::TooLong(Limit::Characters(most)));
    }
    Ok(text.to_owned())
}
