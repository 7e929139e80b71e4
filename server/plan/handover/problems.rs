//! What can be wrong with a list: the whole file ([`Refused`]) or a cell of it ([`RowError`]).

use std::fmt;

use serde::{Serialize, Serializer};

use super::{MAX_CELL_BYTES, MAX_CELLS, MAX_COLUMNS, MAX_FILE_BYTES, MAX_ROWS};

/// Most faults listed in one answer; beyond that only their number is told.
pub const MOST_LISTED: usize = 200;
/// Longest piece of a cell that is quoted back in a fault, in characters.
const LONGEST_QUOTED: usize = 80;

/// Why a file cannot be cut into rows at all. Each reads as a sentence the sender can act on.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum Refused {
    #[error("The file is empty.")]
    Empty,
    #[error("The file holds {bytes} bytes; the most that is read is {MAX_FILE_BYTES}.")]
    TooLarge { bytes: usize },
    #[error(
        "The list has more than {MAX_ROWS} rows. Split it, or delete what stands below the list."
    )]
    TooManyRows,
    #[error("Line {line} has more than {MAX_COLUMNS} columns.")]
    TooManyColumns { line: usize },
    #[error(
        "The list has more than {MAX_CELLS} cells. Send only the columns and rows that hold the list."
    )]
    TooManyCells,
    #[error("A cell on line {line} holds more than {MAX_CELL_BYTES} bytes. Is a quote missing?")]
    CellTooLong { line: usize },
    #[error(
        "The file is not UTF-8: the byte at offset {byte_offset}, on line {line}, is {byte:#04X}. \
         Read as Windows-1252 that line says: {as_windows_1252}"
    )]
    NotUtf8 {
        byte_offset: usize,
        line: usize,
        byte: u8,
        as_windows_1252: String,
    },
    #[error(
        "The file begins as UTF-16 but breaks off or is damaged on line {line}. Save it again as UTF-8."
    )]
    BadUtf16 { line: usize },
    #[error(
        "The file holds a zero byte on line {line}, so it is not a plain list: it may be UTF-16 without its mark. \
         Save it again as CSV in UTF-8."
    )]
    ZeroByte { line: usize },
    #[error("The quote that opens on line {line} is never closed.")]
    UnclosedQuote { line: usize },
    #[error("On line {line} text stands after a closing quote: {found}")]
    TextAfterQuote { line: usize, found: String },
    #[error("This is {what}. Save the list as .xlsx or .csv and send that.")]
    OtherFormat { what: &'static str },
    #[error("The workbook cannot be read: {why}. Open it, save it again as .xlsx, and send that.")]
    DamagedWorkbook { why: String },
    #[error(
        "The workbook unpacks to more than {limit} bytes, far more than any list. It is not opened."
    )]
    Unpacks { limit: u64 },
    #[error(
        "No row of headings was found ({looked_in}). A list needs one, with at least the shot's code over its column."
    )]
    NoHeadings { looked_in: String },
}

impl Refused {
    /// The physical line the sentence speaks of, where it speaks of one.
    pub fn line(&self) -> Option<usize> {
        match self {
            Self::TooManyColumns { line }
            | Self::CellTooLong { line }
            | Self::NotUtf8 { line, .. }
            | Self::BadUtf16 { line }
            | Self::ZeroByte { line }
            | Self::UnclosedQuote { line }
            | Self::TextAfterQuote { line, .. } => Some(*line),
            _ => None,
        }
    }
}

/// What is wrong with a cell, in the few words that are part of the interface.
#[derive(Debug, Clone, PartialEq)]
pub enum Problem {
    Missing,
    NotANumber,
    NotAWholeNumber,
    /// A fraction under a heading that does not say whether it means frames or seconds.
    UnitUnsaid,
    NotAboveZero,
    BelowZero,
    NotAScale,
    NotALength,
    /// The label does not exist at this rate: a frame number too high, or one that drop-frame skips.
    NoSuchLabel,
    NotOneOf(Vec<&'static str>),
    /// Outside what the field can hold, ends included.
    NotBetween(f64, f64),
    UsedTwice,
    UnknownColumn,
    /// Longer than the limit.
    TooLong(Limit),
    RefersToNothing,
    /// Another column of the same row says something else.
    SaidOtherwise(String),
}

/// What was too long for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Limit {
    /// At most so many characters.
    Characters(usize),
    /// 24 hours of screen.
    ScreenDay,
}

impl fmt::Display for Limit {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Characters(most) => write!(out, "It has room for {most} characters."),
            Self::ScreenDay => out.write_str("It would last more than 24 hours of screen."),
        }
    }
}

impl fmt::Display for Problem {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Missing => out.write_str("missing"),
            Self::NotANumber => out.write_str("not a number"),
            Self::NotAWholeNumber => out.write_str("not a whole number"),
            Self::UnitUnsaid => out.write_str("not a whole number of frames"),
            Self::NotAboveZero => out.write_str("not above zero"),
            Self::BelowZero => out.write_str("below zero"),
            Self::NotAScale => out.write_str("not a scale"),
            Self::NotALength => out.write_str("not a length"),
            Self::NoSuchLabel => out.write_str("not a label at this frame rate"),
            Self::NotOneOf(words) => write!(out, "not one of {}", words.join(", ")),
            Self::NotBetween(least, most) => write!(out, "not between {least} and {most}"),
            Self::UsedTwice => out.write_str("used twice"),
            Self::UnknownColumn => out.write_str("unknown column"),
            Self::TooLong(_) => out.write_str("too long"),
            Self::RefersToNothing => out.write_str("refers to nothing"),
            Self::SaidOtherwise(column) => write!(out, "said otherwise under {column}"),
        }
    }
}

impl Problem {
    /// What to do about it, where the words alone do not tell.
    fn advice(&self) -> Option<String> {
        let advice = match self {
            Self::UnitUnsaid => "If these are seconds, say so in the heading: Length (s).",
            Self::NotAScale => "Write it as 1:24, 1/24 or 24.",
            Self::NotALength => {
                "Write frames, seconds, seconds:frames or hours:minutes:seconds:frames."
            }
            Self::TooLong(limit) => return Some(limit.to_string()),
            _ => return None,
        };
        Some(advice.to_owned())
    }
}

impl Serialize for Problem {
    fn serialize<S: Serializer>(&self, to: S) -> Result<S::Ok, S::Error> {
        to.collect_str(self)
    }
}

/// One fault in one cell.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct RowError {
    /// Physical line on which the record starts; the first line of the file is 1.
    pub line: usize,
    /// The heading as the file has it, or the field's label where the file has no such column.
    pub column: String,
    pub problem: Problem,
    /// What stood in the cell, cut short where it is long.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub value: Option<String>,
    /// Where a value that may stand only once stood first.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub first_line: Option<usize>,
}

impl RowError {
    pub fn new(line: usize, column: impl Into<String>, problem: Problem, value: &str) -> Self {
        let value = (!value.is_empty()).then(|| shortened(value));
        Self {
            line,
            column: column.into(),
            problem,
            value,
            first_line: None,
        }
    }

    /// The fault as a sentence: `Line 7, frames: "ninety" is not a whole number.`
    pub fn sentence(&self) -> String {
        let Self {
            line,
            column,
            problem,
            ..
        } = self;
        let mut sentence = match (&self.value, self.first_line) {
            (Some(value), Some(first)) => {
                format!(
                    "Line {line}, {column}: \u{201c}{value}\u{201d} is {problem}, first on line {first}."
                )
            }
            (Some(value), None) => {
                format!("Line {line}, {column}: \u{201c}{value}\u{201d} is {problem}.")
            }
            (None, _) => format!("Line {line}, {column}: {problem}."),
        };
        if let Some(advice) = problem.advice() {
            sentence.push(' ');
            sentence.push_str(&advice);
        }
        sentence
    }
}

/// A cell cut to what fits a sentence.
pub fn shortened(text: &str) -> String {
    match text.char_indices().nth(LONGEST_QUOTED) {
        Some((at, _)) => format!("{}\u{2026}", &text[..at]),
        None => text.to_owned(),
    }
}

/// Faults as they are found: all are counted, the first [`MOST_LISTED`] kept.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Errors {
    pub listed: Vec<RowError>,
    pub count: usize,
}

impl Errors {
    pub fn push(&mut self, error: RowError) {
        self.count += 1;
        if self.listed.len() < MOST_LISTED {
            self.listed.push(error);
        }
    }
}
