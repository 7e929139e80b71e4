//! What crews write in the other cells: scales, speeds, ways of travelling, looks, yes and no, lists of codes.

use super::numbers::{self, DecimalMark};
use super::problems::Problem;

/// The words of each way of travelling across the screen, and the one that is stored.
const TRAVEL: [(&str, &[&str]); 7] = [
    (
        "l_to_r",
        &[
            "l to r",
            "left to right",
            "l r",
            "lr",
            "ltr",
            "to the right",
            "right",
            "screen left to right",
        ],
    ),
    (
        "r_to_l",
        &[
            "r to l",
            "right to left",
            "r l",
            "rl",
            "rtl",
            "to the left",
            "left",
            "screen right to left",
        ],
    ),
    (
        "toward",
        &[
            "toward",
            "towards",
            "toward camera",
            "towards camera",
            "to camera",
            "at camera",
            "head on",
        ],
    ),
    (
        "away",
        &["away", "away from camera", "from camera", "receding"],
    ),
    ("up", &["up", "upward", "upwards", "rising"]),
    (
        "down",
        &["down", "downward", "downwards", "sinking", "falling"],
    ),
    (
        "still",
        &[
            "still",
            "none",
            "static",
            "no travel",
            "not moving",
            "at rest",
            "hold",
        ],
    ),
];
/// What a refused way of travelling is told to be one of.
const TRAVEL_WORDS: [&str; 7] = ["L to R", "R to L", "toward", "away", "up", "down", "still"];
/// Scales beyond this are a slip of the pen.
const LARGEST_DENOMINATOR: f64 = 1_000_000.0;
/// Longest name of a look, in characters.
pub const LONGEST_LOOK: usize = 200;
/// Longest code, in characters.
pub const LONGEST_CODE: usize = 40;

/// Denominator of a scale: `1:20`, `1/20`, `1 : 20` and `20` are all 20.
///
/// Nothing but 1 may stand in front: a spreadsheet turns a typed `1:87` into the time 2:27, and that must not become a
/// scale of 13.5.
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

/// A speed in metres a second; the cell may name its unit.
pub fn speed_mps(text: &str, mark: DecimalMark) -> Result<f64, Problem> {
    let (number, unit) = numbers::split_unit(text);
    let per_unit = match unit.to_lowercase().replace(' ', "").as_str() {
        "" | "m/s" | "mps" => 1.0,
        "cm/s" => 100.0,
        "mm/s" => 1000.0,
        "km/h" | "kmh" | "kph" => 3.6,
        _ => return Err(Problem::NotANumber),
    };
    not_below_zero(numbers::number(number, mark)? / per_unit)
}

/// A distance in metres; the cell may name its unit.
pub fn distance_m(text: &str, mark: DecimalMark) -> Result<f64, Problem> {
    let (number, unit) = numbers::split_unit(text);
    let per_unit = match unit.to_lowercase().as_str() {
        "" | "m" | "metre" | "metres" => 1.0,
        "cm" => 100.0,
        "mm" => 1000.0,
        _ => return Err(Problem::NotANumber),
    };
    not_below_zero(numbers::number(number, mark)? / per_unit)
}

fn not_below_zero(value: f64) -> Result<f64, Problem> {
    if value < 0.0 {
        Err(Problem::BelowZero)
    } else {
        Ok(value)
    }
}

/// The stored word for a way of travelling.
pub fn travel(text: &str) -> Result<&'static str, Problem> {
    let words = spoken(text);
    TRAVEL
        .iter()
        .find(|(code, also)| also.contains(&words.as_str()) || code.replace('_', " ") == words)
        .map(|(code, _)| *code)
        .ok_or(Problem::NotOneOf(&TRAVEL_WORDS))
}

/// How a stored way of travelling is written out.
pub fn travel_word(code: &str) -> &str {
    TRAVEL
        .iter()
        .zip(TRAVEL_WORDS)
        .find(|((stored, _), _)| *stored == code)
        .map_or(code, |(_, word)| word)
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
pub fn yes_no(text: &str) -> Result<bool, Problem> {
    match text.trim().to_lowercase().as_str() {
        "yes" | "y" | "true" | "1" | "x" | "\u{2713}" | "\u{2714}" => Ok(true),
        "no" | "n" | "false" | "0" => Ok(false),
        _ => Err(Problem::NotOneOf(&["yes", "no"])),
    }
}

/// A list of codes, each once, in the order they stand.
pub fn codes(text: &str) -> Result<Vec<String>, Problem> {
    let mut codes: Vec<String> = Vec::new();
    for code in text
        .split([';', ',', '+', '&', '\n', '\r'])
        .map(str::trim)
        .filter(|code| !code.is_empty())
    {
        let code = self::code(code)?;
        if !codes.contains(&code) {
            codes.push(code);
        }
    }
    Ok(codes)
}

/// One code: what a shot or setup is called on the slate.
pub fn code(text: &str) -> Result<String, Problem> {
    words(text, LONGEST_CODE).map_err(|_| Problem::TooLong("A code has at most 40 characters."))
}

/// Text of at most so many characters.
pub fn words(text: &str, most: usize) -> Result<String, Problem> {
    let text = text.trim();
    if text.chars().nth(most).is_some() {
        return Err(Problem::TooLong("Shorten it, or keep the rest in a note."));
    }
    Ok(text.to_owned())
}
