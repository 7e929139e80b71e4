//! Figures and words as a drawing writes them, and how much room they take.

use crate::figure::{THIN_SPACE, fixed};

use super::shape::{Anchor, Point, Rect, Text};
use super::{Class, scene::Unit};

/// A millimetre is 1/25.4 inch (the international inch of 1959).
const MM_PER_INCH: f64 = 25.4;

/// A number with `decimals` places, thin spaces between thousands, a true minus.
pub(crate) fn grouped(value: f64, decimals: usize) -> String {
    fixed(value, decimals)
}

/// A length on the stage in the unit asked for: whole millimetres, or inches to a tenth.
pub(crate) fn length(mm: f64, unit: Unit) -> String {
    match unit {
        Unit::Millimetre => grouped(mm, 0),
        Unit::Inch => grouped(mm / MM_PER_INCH, 1),
    }
}

/// The unit in words, for labels that are heard.
pub(crate) const fn unit_word(unit: Unit) -> &'static str {
    match unit {
        Unit::Millimetre => "millimetres",
        Unit::Inch => "inches",
    }
}

/// The unit in short, for the ledger.
pub(crate) const fn unit_sign(unit: Unit) -> &'static str {
    match unit {
        Unit::Millimetre => "mm",
        Unit::Inch => "in",
    }
}

/// Size in drawing units of a lettering class; the style sheet must keep these.
pub(crate) const fn size(class: Class) -> f64 {
    match class {
        Class::BigCode => 15.0,
        Class::RowName => 14.0,
        Class::Caption => 13.0,
        Class::Label | Class::SetupName => 12.5,
        Class::Tick | Class::RingNumber | Class::ShotLength | Class::Face => 11.0,
        _ => 12.0,
    }
}

/// Whether a class uses the narrow cut of the lettering.
const fn narrow(class: Class) -> bool {
    matches!(
        class,
        Class::Label | Class::RowNote | Class::SetupName | Class::ClashNote
    )
}

/// Width of a letter as a share of its size, from the advances of the project's own lettering, rounded up.
fn advance(letter: char) -> f64 {
    match letter {
        THIN_SPACE => 0.12,
        'i' | 'j' | 'l' | '.' | ',' | ':' | ' ' | '’' | '\'' | 'I' | '(' | ')' => 0.29,
        'f' | 'r' | 't' => 0.41,
        'c' | 'k' | 's' | 'v' | 'x' | 'y' | 'z' | 'J' => 0.5,
        'm' | 'M' | 'w' | 'W' => 0.78,
        'A'..='Z' => 0.64,
        _ => 0.57,
    }
}

/// Width in drawing units that words take in a class.
pub(crate) fn width(words: &str, class: Class) -> f64 {
    let cut = if narrow(class) { 0.83 } else { 1.0 };
    words.chars().map(advance).sum::<f64>() * size(class) * cut
}

/// The words shortened to fit a width, with an ellipsis, or nothing when not even two letters fit.
pub(crate) fn fitted(words: &str, class: Class, room: f64) -> String {
    if width(words, class) <= room {
        return words.to_owned();
    }
    let mut kept: String = words.to_owned();
    while kept.pop().is_some() {
        let short = format!("{}…", kept.trim_end());
        if kept.trim_end().chars().count() >= 2 && width(&short, class) <= room {
            return short;
        }
    }
    String::new()
}

/// The words broken into at most `most` lines of a width, at spaces; a word too long is shortened.
pub(crate) fn wrapped(words: &str, class: Class, room: f64, most: usize) -> Vec<String> {
    let mut lines: Vec<String> = Vec::new();
    for word in words.split_whitespace() {
        let joined = lines.last().map(|line| format!("{line} {word}"));
        match joined.filter(|line| width(line, class) <= room || lines.len() == most) {
            Some(longer) => {
                lines.pop();
                lines.push(longer);
            }
            None => lines.push(word.to_owned()),
        }
    }
    lines
        .iter()
        .map(|line| fitted(line, class, room))
        .filter(|line| !line.is_empty())
        .collect()
}

/// A time of day in minutes from midnight as 09:05, past midnight starting again.
pub(crate) fn clock(minutes: f64) -> String {
    let whole = minutes.round().rem_euclid(24.0 * 60.0);
    format!("{:02.0}:{:02.0}", (whole / 60.0).floor(), whole % 60.0)
}

/// The smallest of 1, 2, 5, 10, 20, 50 … times `unit` that is no less than `least`.
pub(crate) fn nice_step(unit: f64, least: f64) -> f64 {
    let mut step = unit;
    for grow in [2.0, 2.5, 2.0].into_iter().cycle().take(60) {
        if step >= least {
            break;
        }
        step *= grow;
    }
    step
}

/// The area lettering covers.
pub(crate) fn covered(text: &Text) -> Rect {
    let (long, high) = (width(&text.words, text.class), size(text.class));
    let before = match text.anchor {
        Anchor::Start => 0.0,
        Anchor::Middle => long / 2.0,
        Anchor::End => long,
    };
    let Point { x, y } = text.at;
    if text.upward {
        Rect {
            x: x - high * 0.8,
            y: y + before - long,
            width: high,
            height: long,
        }
    } else {
        Rect {
            x: x - before,
            y: y - high * 0.8,
            width: long,
            height: high,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn thousands_stand_apart_and_minus_is_a_minus() {
        assert_eq!(grouped(1_234_567.0, 0), "1\u{202f}234\u{202f}567");
        assert_eq!(grouped(844.4, 0), "844");
        assert_eq!(grouped(-1260.25, 1), "−1\u{202f}260.3");
        assert_eq!(grouped(-0.001, 1), "0.0");
    }

    #[test]
    fn inches_are_written_to_a_tenth() {
        assert_eq!(length(1260.0, Unit::Inch), "49.6");
    }

    #[test]
    fn words_are_shortened_to_their_room() {
        assert_eq!(fitted("Nave", Class::Label, 100.0), "Nave");
        let short = fitted("Churchyard and spire", Class::Label, 60.0);
        assert!(short.ends_with('…') && width(&short, Class::Label) <= 60.0);
        assert_eq!(fitted("Nave", Class::Label, 5.0), "");
        assert_eq!(
            wrapped("Bell chamber", Class::SetupName, 50.0, 2),
            ["Bell", "chamber"]
        );
        assert_eq!(clock(24.0 * 60.0 + 65.0), "01:05");
    }
}
