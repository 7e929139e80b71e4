//! Reading and writing separated values, RFC 4180.
//!
//! Reading also takes LF or a lone CR as line end, and `;` or tab as separator. It keeps the physical line on which
//! each record starts, because that is the line a person sees in an editor. A quote inside an unquoted field is a
//! plain character (crews write inches so); an unclosed quote and text after a closing quote are refused.

use super::problems::{Refused, shortened};
use super::text::line_breaks;
use super::{MAX_CELL_BYTES, MAX_CELLS, MAX_COLUMNS, MAX_ROWS};

/// One record and the physical line on which it starts, from 1.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Record {
    pub line: usize,
    pub cells: Vec<String>,
}

/// What stands between the fields.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Separator {
    Comma,
    Semicolon,
    Tab,
}

impl Separator {
    const ALL: [Self; 3] = [Self::Comma, Self::Semicolon, Self::Tab];

    fn byte(self) -> u8 {
        match self {
            Self::Comma => b',',
            Self::Semicolon => b';',
            Self::Tab => b'\t',
        }
    }

    /// Its name in a sentence.
    pub fn name(self) -> &'static str {
        match self {
            Self::Comma => "comma",
            Self::Semicolon => "semicolon",
            Self::Tab => "tab",
        }
    }

    /// The separator that stands most often on the first line, outside quotes; a comma where none does.
    pub fn of(text: &str) -> Self {
        let mut counts = [0_usize; 3];
        let mut quoted = false;
        for byte in text.bytes() {
            match byte {
                b'"' => quoted = !quoted,
                b'\n' | b'\r' if !quoted => break,
                _ if quoted => {}
                _ => {
                    if let Some(at) = Self::ALL
                        .iter()
                        .position(|separator| separator.byte() == byte)
                    {
                        counts[at] += 1;
                    }
                }
            }
        }
        let mut best = 0;
        for at in 1..counts.len() {
            if counts[at] > counts[best] {
                best = at;
            }
        }
        Self::ALL[best]
    }
}

/// Cuts text into records.
///
/// # Errors
/// An unclosed quote, text after a closing quote, and anything past the size limits.
pub fn parse(text: &str, separator: Separator) -> Result<Vec<Record>, Refused> {
    let mut reader = Reader {
        text,
        at: 0,
        line: 1,
        separator: separator.byte(),
    };
    let mut records: Vec<Record> = Vec::new();
    let mut cells = 0;
    while reader.at < text.len() {
        if records.len() == MAX_ROWS {
            return Err(Refused::TooManyRows);
        }
        let record = reader.record()?;
        cells += record.cells.len();
        if cells > MAX_CELLS {
            return Err(Refused::TooManyCells);
        }
        records.push(record);
    }
    Ok(records)
}

struct Reader<'t> {
    text: &'t str,
    at: usize,
    line: usize,
    separator: u8,
}

impl Reader<'_> {
    fn record(&mut self) -> Result<Record, Refused> {
        let line = self.line;
        let mut cells = Vec::new();
        loop {
            if cells.len() == MAX_COLUMNS {
                return Err(Refused::TooManyColumns { line });
            }
            let cell = if self.peek() == Some(b'"') {
                self.quoted()?
            } else {
                self.bare()
            };
            if cell.len() > MAX_CELL_BYTES {
                return Err(Refused::CellTooLong { line });
            }
            cells.push(cell);
            if self.peek() == Some(self.separator) {
                self.at += 1;
            } else {
                self.line_end();
                return Ok(Record { line, cells });
            }
        }
    }

    fn peek(&self) -> Option<u8> {
        self.text.as_bytes().get(self.at).copied()
    }

    fn rest(&self) -> &[u8] {
        &self.text.as_bytes()[self.at..]
    }

    fn ends_cell(&self, byte: u8) -> bool {
        byte == self.separator || byte == b'\r' || byte == b'\n'
    }

    fn bare(&mut self) -> String {
        let length = self
            .rest()
            .iter()
            .position(|byte| self.ends_cell(*byte))
            .unwrap_or(self.rest().len());
        let cell = self.text[self.at..self.at + length].to_owned();
        self.at += length;
        cell
    }

    fn quoted(&mut self) -> Result<String, Refused> {
        let opened = self.line;
        let mut cell = String::new();
        self.at += 1;
        loop {
            let Some(length) = self.rest().iter().position(|byte| *byte == b'"') else {
                return Err(Refused::UnclosedQuote { line: opened });
            };
            let piece = &self.text[self.at..self.at + length];
            self.line += line_breaks(piece.as_bytes());
            cell.push_str(piece);
            self.at += length + 1;
            if self.peek() != Some(b'"') {
                break;
            }
            cell.push('"');
            self.at += 1;
        }
        // Spaces here are nobody's text; anything else would be lost, so it is refused.
        while self.peek() == Some(b' ') {
            self.at += 1;
        }
        match self.peek() {
            Some(byte) if !self.ends_cell(byte) => Err(Refused::TextAfterQuote {
                line: self.line,
                found: shortened(&self.bare()),
            }),
            _ => Ok(cell),
        }
    }

    fn line_end(&mut self) {
        match self.rest() {
            [b'\r', b'\n', ..] => self.at += 2,
            [b'\r' | b'\n', ..] => self.at += 1,
            _ => return,
        }
        self.line += 1;
    }
}

/// Who the written file is for.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Audience {
    /// Cells as they are.
    #[default]
    Programs,
    /// Text that a spreadsheet would run as a formula gets an apostrophe in front; reading takes it off again.
    Spreadsheets,
}

/// Writes rows by RFC 4180: CRLF after every row, a field quoted only if it holds a comma, a quote, CR or LF, and the
/// same number of fields in every row (short rows are filled up with empty fields).
pub fn write<R: AsRef<[String]>>(rows: &[R], audience: Audience) -> String {
    let width = rows.iter().map(|row| row.as_ref().len()).max().unwrap_or(0);
    let mut text = String::new();
    for row in rows {
        for at in 0..width {
            if at > 0 {
                text.push(',');
            }
            write_cell(
                row.as_ref().get(at).map_or("", String::as_str),
                audience,
                &mut text,
            );
        }
        text.push_str("\r\n");
    }
    text
}

fn write_cell(cell: &str, audience: Audience, text: &mut String) {
    let guard = if needs_guard(cell, audience) { "'" } else { "" };
    if cell.contains([',', '"', '\r', '\n']) {
        text.push('"');
        text.push_str(guard);
        text.push_str(&cell.replace('"', "\"\""));
        text.push('"');
    } else {
        text.push_str(guard);
        text.push_str(cell);
    }
}

/// Text that already looks guarded is guarded once more for everyone, or reading it back would lose its apostrophe.
fn needs_guard(cell: &str, audience: Audience) -> bool {
    let bare = cell.trim_start_matches('\'');
    let runs = bare.starts_with(['=', '+', '-', '@', '\t', '\r']);
    let guarded = bare.len() < cell.len();
    runs && (guarded || (audience == Audience::Spreadsheets && !is_number(cell)))
}

fn is_number(cell: &str) -> bool {
    let digits = cell.strip_prefix(['+', '-']).unwrap_or(cell);
    digits.starts_with(|first: char| first.is_ascii_digit())
        && digits
            .bytes()
            .all(|byte| byte.is_ascii_digit() || byte == b'.')
        && digits.bytes().filter(|byte| *byte == b'.').count() <= 1
}

/// A cell without the apostrophe that [`write`] may have put in front.
pub fn unguarded(cell: &str) -> &str {
    match cell.strip_prefix('\'') {
        Some(rest)
            if rest
                .trim_start_matches('\'')
                .starts_with(['=', '+', '-', '@', '\t', '\r']) =>
        {
            rest
        }
        _ => cell,
    }
}
