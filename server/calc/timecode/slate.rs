//! Slate and take names (common practice, no source).
//!
//! A take is `scene`, setup letters, `-`, take number: `42C-3`. The true key is the setup's id with the take number; the
//! slate's text may be edited, so nothing is looked up by it.

use std::cmp::Ordering;
use std::fmt;

/// Letters of setups: I and O are left out, because they are read as 1 and 0.
const LETTERS: &[u8; 24] = b"ABCDEFGHJKLMNPQRSTUVWXYZ";

/// What the first setup of a scene is called.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum FirstSetup {
    /// Scene alone: `42-1`.
    NoLetter,
    /// Scene and A: `42A-1`.
    #[default]
    A,
}

impl FirstSetup {
    /// Letters of the first setup of a scene.
    pub fn letters(self) -> &'static str {
        match self {
            Self::NoLetter => "",
            Self::A => "A",
        }
    }
}

/// A setup name that is no run of setup letters.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct NotSetupLetters {
    /// What was given.
    pub given: String,
}

impl fmt::Display for NotSetupLetters {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(
            f,
            "“{}” is no setup letter: use A to Z without I and O, then AA, AB and on",
            self.given
        )
    }
}

impl std::error::Error for NotSetupLetters {}

/// The setup letters after these: nothing → A, H → J, N → P, Z → AA, ZZ → AAA. Small letters are read as capitals.
///
/// # Errors
/// [`NotSetupLetters`] when the text holds anything but setup letters.
pub fn next_setup_letters(after: &str) -> Result<String, NotSetupLetters> {
    let digit = |byte: u8| LETTERS.iter().position(|l| *l == byte.to_ascii_uppercase());
    let mut digits: Vec<usize> =
        after
            .bytes()
            .map(digit)
            .collect::<Option<_>>()
            .ok_or_else(|| NotSetupLetters {
                given: after.into(),
            })?;
    let mut place = digits.len();
    loop {
        if place == 0 {
            digits.insert(0, 0);
            break;
        }
        place -= 1;
        if digits[place] + 1 < LETTERS.len() {
            digits[place] += 1;
            break;
        }
        digits[place] = 0;
    }
    Ok(digits.into_iter().map(|d| char::from(LETTERS[d])).collect())
}

/// Whether a setup is shot the first time.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Shooting {
    /// The first time.
    #[default]
    First,
    /// Again, on another day or after a change: a suffix `R`, never the old name.
    Again,
}

/// The slate's text: `42C-3`, shot again `42CR-3`.
pub fn slate(scene: &str, setup_letters: &str, shooting: Shooting, take: u32) -> String {
    let suffix = match shooting {
        Shooting::First => "",
        Shooting::Again => "R",
    };
    format!("{scene}{setup_letters}{suffix}-{take}")
}

/// Order of slates as people read them: digit runs as numbers, letter runs shorter first and then by alphabet (Z before
/// AA, capitals and small letters alike), anything else only parts the runs. Names that read alike go by their bytes.
pub fn natural_cmp(a: &str, b: &str) -> Ordering {
    Runs(a).cmp(Runs(b)).then_with(|| a.cmp(b))
}

/// Sorts names with [`natural_cmp`].
pub fn natural_sort<S: AsRef<str>>(names: &mut [S]) {
    names.sort_by(|a, b| natural_cmp(a.as_ref(), b.as_ref()));
}

/// A stretch of digits or of letters. Numbers come before letters.
#[derive(PartialEq, Eq, PartialOrd, Ord)]
enum Run {
    /// Count of digits without leading zeros, then the digits: ordered as numbers of any length.
    Number(usize, String),
    /// Count of letters, then the letters as capitals.
    Letters(usize, String),
}

/// The runs of a text, left to right.
struct Runs<'a>(&'a str);

impl Iterator for Runs<'_> {
    type Item = Run;

    fn next(&mut self) -> Option<Run> {
        let text = self.0.trim_start_matches(|c: char| !c.is_alphanumeric());
        let is_number = text.chars().next()?.is_ascii_digit();
        let same = |c: char| c.is_alphanumeric() && c.is_ascii_digit() == is_number;
        let end = text.find(|c| !same(c)).unwrap_or(text.len());
        let (run, rest) = text.split_at(end);
        self.0 = rest;
        Some(if is_number {
            let digits = run.trim_start_matches('0');
            Run::Number(digits.len(), digits.into())
        } else {
            Run::Letters(run.chars().count(), run.to_uppercase())
        })
    }
}

/// A name for files: each character other than `A–Z a–z 0–9 - _` becomes `_`; nothing at all becomes `_`. Two names may
/// come out alike, so a file is never found by it alone.
pub fn file_safe(name: &str) -> String {
    let plain: String = name
        .chars()
        .map(|c| match c {
            'A'..='Z' | 'a'..='z' | '0'..='9' | '-' | '_' => c,
            _ => '_',
        })
        .collect();
    match plain.strip_prefix('-') {
        // A leading hyphen would be read as an option by command lines.
        Some(rest) => format!("_{rest}"),
        None if plain.is_empty() => "_".into(),
        None => plain,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn letters_rise_without_i_and_o_and_in_natural_order() {
        let mut letters = String::new();
        for _ in 0..700 {
            let next = next_setup_letters(&letters).expect("our own letters");
            assert!(!next.contains(['I', 'O']), "{next}");
            assert_eq!(
                natural_cmp(&letters, &next),
                Ordering::Less,
                "{letters} {next}"
            );
            letters = next;
        }
        // 24 single letters, 576 pairs, then 100 of three.
        assert_eq!(letters, "AED");
        assert_eq!(next_setup_letters("h").as_deref(), Ok("J"));
        assert!(next_setup_letters("O").is_err() && next_setup_letters("4").is_err());
    }

    #[test]
    fn numbers_longer_than_any_type_still_sort() {
        let (small, large) = ("9".repeat(40), format!("1{}", "0".repeat(40)));
        assert_eq!(natural_cmp(&small, &large), Ordering::Less);
        assert_eq!(natural_cmp("007", "7"), Ordering::Less);
        assert_eq!(natural_cmp("12B-1", "12b-2"), Ordering::Less);
    }

    #[test]
    fn a_setup_shot_again_has_a_name_of_its_own() {
        assert_eq!(slate("42", "C", Shooting::First, 3), "42C-3");
        assert_eq!(slate("42", "C", Shooting::Again, 1), "42CR-1");
        assert_eq!(
            slate("42", FirstSetup::NoLetter.letters(), Shooting::First, 1),
            "42-1"
        );
    }

    #[test]
    fn a_file_name_holds_only_plain_characters() {
        assert_eq!(file_safe("42C-3 täke/…"), "42C-3_t_ke__");
        assert_eq!(file_safe(""), "_");
        assert_eq!(file_safe("-rf"), "_rf");
    }
}
