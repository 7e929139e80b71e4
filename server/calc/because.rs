//! Reads a *because* back and does its sum, so that tests can say whether the numbers shown give the number shown.
//!
//! A *because* begins with one expression `… = number`. The left side is made of numbers, `+ − × ÷ √ ^`, brackets,
//! `ln log₂ sin cos tan` (of degrees), π and e; words and units around them are passed over. Sentences may follow.

use crate::figure::{MINUS, THIN_SPACE};

/// Both sides of the expression, and how much the last digit on the right is worth.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Check {
    /// The left side, worked out as written.
    pub left: f64,
    /// The number shown on the right.
    pub right: f64,
    /// One unit in the last place shown.
    pub right_unit_in_last_place: f64,
}

impl Check {
    /// How far apart both sides are, in units of the last place shown.
    pub fn units_apart(&self) -> f64 {
        (self.left - self.right).abs() / self.right_unit_in_last_place
    }
}

/// Works the expression of a *because* out.
///
/// # Errors
/// What cannot be read, in words.
pub fn evaluate(text: &str) -> Result<Check, String> {
    let (at, _) = text
        .match_indices('=')
        .find(|(at, _)| number_after(&text[at + 1..]).is_some())
        .ok_or_else(|| format!("no number stands after an equals sign: {text}"))?;
    let (right, right_unit_in_last_place) =
        number_after(&text[at + 1..]).ok_or("no number on the right")?;
    let left = expression_before(&text[..at]);
    let tokens = tokens(left)?;
    let mut reader = Reader {
        tokens: &tokens,
        at: 0,
    };
    let value = reader.sum()?;
    if reader.at < tokens.len() {
        return Err(format!(
            "`{left}` goes on after its end: {:?}",
            &tokens[reader.at..]
        ));
    }
    if !value.is_finite() {
        return Err(format!("`{left}` has no value"));
    }
    Ok(Check {
        left: value,
        right,
        right_unit_in_last_place,
    })
}

/// What stands before the equals sign since the last end of a sentence.
fn expression_before(text: &str) -> &str {
    [". ", ": ", "; ", "= ", "\n"]
        .iter()
        .filter_map(|end| text.rfind(end).map(|at| at + end.len()))
        .max()
        .map_or(text, |at| &text[at..])
}

#[derive(Clone, Copy, Debug, PartialEq)]
enum Token {
    Number(f64),
    Sign(char),
    Word(Function),
}

#[derive(Clone, Copy, Debug, PartialEq)]
enum Function {
    Ln,
    Log2,
    Sin,
    Cos,
    Tan,
}

fn is_space(letter: char) -> bool {
    letter.is_whitespace() || letter == '\u{202f}' || letter == '\u{a0}'
}

fn is_thin(letter: char) -> bool {
    letter == THIN_SPACE || letter == '\u{2009}' || letter == '\u{a0}'
}

/// An unsigned decimal at the start of the letters: its value, its decimals, its length in letters.
fn decimal(letters: &[char]) -> Option<(f64, usize, usize)> {
    let mut digits = String::new();
    let mut decimals = None;
    let mut at = 0;
    while let Some(&letter) = letters.get(at) {
        let next_is_digit = letters.get(at + 1).is_some_and(char::is_ascii_digit);
        if letter.is_ascii_digit() {
            digits.push(letter);
            decimals = decimals.map(|count| count + 1);
        } else if letter == '.' && next_is_digit && decimals.is_none() {
            digits.push('.');
            decimals = Some(0);
        } else if !(is_thin(letter) && next_is_digit && decimals.is_none() && at > 0) {
            break;
        }
        at += 1;
    }
    let value = digits.parse().ok()?;
    Some((value, decimals.unwrap_or(0), at))
}

/// The number after an equals sign, with the worth of its last place.
fn number_after(text: &str) -> Option<(f64, f64)> {
    let letters: Vec<char> = text.trim_start().chars().collect();
    let negative = matches!(letters.first(), Some(&MINUS | &'-'));
    let rest = &letters[usize::from(negative)..];
    let (value, decimals, length) = decimal(rest)?;
    let power = power_of_ten(&rest[length..]).unwrap_or(0);
    let decimals = i32::try_from(decimals).ok()?;
    let signed = if negative { -value } else { value };
    Some((signed * 10_f64.powi(power), 10_f64.powi(power - decimals)))
}

/// `× 10^n` behind a number.
fn power_of_ten(letters: &[char]) -> Option<i32> {
    let text: String = letters
        .iter()
        .filter(|letter| !is_space(**letter))
        .collect();
    let power: Vec<char> = text.strip_prefix("×10^")?.chars().collect();
    let negative = matches!(power.first(), Some(&MINUS | &'-'));
    let digits: String = power[usize::from(negative)..]
        .iter()
        .take_while(|letter| letter.is_ascii_digit())
        .collect();
    let value: i32 = digits.parse().ok()?;
    Some(if negative { -value } else { value })
}

fn tokens(text: &str) -> Result<Vec<Token>, String> {
    let letters: Vec<char> = text.chars().collect();
    let mut out = Vec::new();
    let mut at = 0;
    while let Some(&letter) = letters.get(at) {
        at += match letter {
            _ if letter.is_ascii_digit() => {
                let (value, _, length) = decimal(&letters[at..])
                    .ok_or_else(|| format!("a number cannot be read in `{text}`"))?;
                out.push(Token::Number(value));
                length
            }
            '²' | '³' => {
                out.push(Token::Sign('^'));
                out.push(Token::Number(if letter == '²' { 2.0 } else { 3.0 }));
                1
            }
            '+' | '×' | '÷' | '√' | '^' | '(' | ')' => {
                out.push(Token::Sign(letter));
                1
            }
            '*' | '·' => {
                out.push(Token::Sign('×'));
                1
            }
            '/' => {
                out.push(Token::Sign('÷'));
                1
            }
            MINUS | '-' => {
                out.push(Token::Sign(MINUS));
                1
            }
            'π' => {
                out.push(Token::Number(std::f64::consts::PI));
                1
            }
            _ if letter.is_alphabetic() || letter == 'µ' || letter == '°' || letter == '%' => {
                word(&letters[at..], &mut out)
            }
            _ if is_space(letter) || letter == ',' => 1,
            _ => return Err(format!("`{letter}` has no place in `{text}`")),
        };
    }
    Ok(out)
}

/// Takes a function, e as a base, or passes over a word or unit; answers how many letters it was.
fn word(letters: &[char], out: &mut Vec<Token>) -> usize {
    let text: String = letters.iter().take(5).collect();
    let functions = [
        ("log₂", Function::Log2),
        ("log2", Function::Log2),
        ("ln", Function::Ln),
        ("sin", Function::Sin),
        ("cos", Function::Cos),
        ("tan", Function::Tan),
    ];
    for (name, function) in functions {
        if let Some(rest) = text.strip_prefix(name)
            && !rest.starts_with(char::is_alphabetic)
        {
            out.push(Token::Word(function));
            return name.chars().count();
        }
    }
    if text.starts_with("e^") {
        out.push(Token::Number(std::f64::consts::E));
        return 1;
    }
    // a unit may hold signs of its own: mg/m³, lx·s, frames-a-second
    letters
        .iter()
        .enumerate()
        .take_while(|&(place, letter)| {
            let joins = matches!(letter, '/' | '·' | '-' | '\'' | '’')
                && letters
                    .get(place + 1)
                    .is_some_and(|next| next.is_alphabetic());
            place == 0
                || letter.is_alphabetic()
                || joins
                || matches!(letter, '²' | '³' | 'µ' | '₂' | '°')
        })
        .count()
}

struct Reader<'a> {
    tokens: &'a [Token],
    at: usize,
}

impl Reader<'_> {
    fn takes(&mut self, sign: char) -> bool {
        let there = self.tokens.get(self.at) == Some(&Token::Sign(sign));
        self.at += usize::from(there);
        there
    }

    fn sum(&mut self) -> Result<f64, String> {
        let mut value = self.product()?;
        loop {
            if self.takes('+') {
                value += self.product()?;
            } else if self.takes(MINUS) {
                value -= self.product()?;
            } else {
                return Ok(value);
            }
        }
    }

    fn product(&mut self) -> Result<f64, String> {
        let mut value = self.signed()?;
        loop {
            if self.takes('×') {
                value *= self.signed()?;
            } else if self.takes('÷') {
                value /= self.signed()?;
            } else {
                return Ok(value);
            }
        }
    }

    fn signed(&mut self) -> Result<f64, String> {
        if self.takes(MINUS) {
            return Ok(-self.signed()?);
        }
        self.power()
    }

    fn power(&mut self) -> Result<f64, String> {
        let base = self.atom()?;
        if self.takes('^') {
            return Ok(base.powf(self.signed()?));
        }
        Ok(base)
    }

    fn atom(&mut self) -> Result<f64, String> {
        let Some(&token) = self.tokens.get(self.at) else {
            return Err("the expression ends too early".to_owned());
        };
        self.at += 1;
        match token {
            Token::Number(value) => Ok(value),
            Token::Sign('√') => Ok(self.atom()?.sqrt()),
            Token::Word(function) => {
                let of = self.atom()?;
                Ok(match function {
                    Function::Ln => of.ln(),
                    Function::Log2 => of.log2(),
                    Function::Sin => of.to_radians().sin(),
                    Function::Cos => of.to_radians().cos(),
                    Function::Tan => of.to_radians().tan(),
                })
            }
            Token::Sign('(') => {
                let value = self.sum()?;
                if self.takes(')') {
                    Ok(value)
                } else {
                    Err("a bracket does not close".to_owned())
                }
            }
            Token::Sign(sign) => Err(format!("`{sign}` stands where a number is needed")),
        }
    }
}

#[cfg(test)]
#[expect(clippy::float_cmp, reason = "sums of small whole numbers are exact")]
mod tests {
    use super::*;

    fn sides(text: &str) -> (f64, f64, f64) {
        let check = evaluate(text).expect("an expression");
        (check.left, check.right, check.right_unit_in_last_place)
    }

    #[test]
    fn sums_are_done_as_written() {
        assert_eq!(sides("2 + 3 × 4 = 14"), (14.0, 14.0, 1.0));
        assert_eq!(sides("(2 + 3) × 4 = 20.0"), (20.0, 20.0, 0.1));
        assert_eq!(sides("√16 × 2 ^ 3 = 32"), (32.0, 32.0, 1.0));
        assert_eq!(sides("−2 × −3 − 1 = 5"), (5.0, 5.0, 1.0));
        assert_eq!(sides("2 ^ 3 ^ 2 = 512"), (512.0, 512.0, 1.0));
        assert_eq!(sides("log₂(8) = 3").0, 3.0);
        assert_eq!(sides("50 × 3 ÷ 5² = 6").0, 6.0);
        assert_eq!(
            sides("2 × (1.5 × 10^3) = 3.0 × 10^3"),
            (3000.0, 3000.0, 100.0)
        );
        assert!((sides("e^−(0.5 × 2) = 0.3679").0 - (-1.0_f64).exp()).abs() < 1e-12);
        assert!((sides("10 × sin(30°) = 5").0 - 5.0).abs() < 1e-12);
        assert!((sides("π × 2 = 6.283").0 - std::f64::consts::TAU).abs() < 1e-12);
    }

    #[test]
    fn words_units_and_thin_spaces_are_passed_over() {
        assert_eq!(
            sides("24 fps × √24 = 117.6 frames a second, of 24 on screen").2,
            0.1
        );
        assert!((sides("24 fps × √24 = 117.6 fps").0 - 117.575_507_653).abs() < 1e-6);
        assert_eq!(
            sides("1\u{2009}800 mm + 2 mg/m³ = 1\u{2009}802 mm").0,
            1802.0
        );
        assert_eq!(sides("The model moves slower: 6 m/s ÷ 2 = −3").0, 3.0);
        assert_eq!(
            sides("One thing first. Then 6 ÷ 2 = 3. Nothing else.").0,
            3.0
        );
        assert_eq!(sides("speed = distance over time, 6 ÷ 2 = 3").1, 3.0);
    }

    #[test]
    fn what_is_no_expression_says_so() {
        for text in [
            "no sum here",
            "2 + = 3",
            "(2 + 3 = 5",
            "2 3 = 5",
            "1 ÷ 0 = 0",
            "2 ? 3 = 5",
            "",
        ] {
            assert!(evaluate(text).is_err(), "{text}");
        }
    }
}
