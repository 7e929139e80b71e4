//! A list as rows under headings, whatever file it came in.

use super::csv::{self, Record, Separator};
use super::mapping::{Column, Names, Overrides};
use super::problems::Refused;
use super::text::{self, Encoding};
use super::{MAX_FILE_BYTES, sheet};

/// How far down a heading row is looked for, in rows that hold anything.
const HEADING_WITHIN: usize = 40;

/// A list under its headings.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Table {
    /// The headings as the file has them, trimmed; may be empty where a column has none.
    pub headings: Vec<String>,
    /// Physical line of the headings, from 1.
    pub heading_line: usize,
    /// The rows below that hold anything. A row may be shorter than the headings, or longer.
    pub rows: Vec<Record>,
    /// None for a workbook.
    pub separator: Option<Separator>,
    /// None for a workbook.
    pub encoding: Option<Encoding>,
    /// The sheet that was taken, for a workbook.
    pub sheet: Option<String>,
    /// What was assumed on the way, in sentences.
    pub notes: Vec<String>,
}

impl Table {
    /// A heading as it is spoken of: a column without one is called by its place.
    pub fn heading(&self, at: usize) -> String {
        match self.headings.get(at) {
            Some(heading) if !heading.is_empty() => heading.clone(),
            _ => format!("column {}", at + 1),
        }
    }
}

/// What is expected in the file, which tells its heading row from titles above it.
#[derive(Debug, Clone, Copy)]
pub struct Expected<'e> {
    pub columns: &'e [Column],
    pub overrides: &'e Overrides,
}

/// Reads a file. What it is shows in its first bytes; its name only helps to word a refusal.
///
/// # Errors
/// Whatever keeps the file from being cut into rows under headings.
pub fn read(
    bytes: &[u8],
    file_name: &str,
    asked_for: Option<Encoding>,
    expected: Expected<'_>,
) -> Result<Table, Refused> {
    if bytes.is_empty() {
        return Err(Refused::Empty);
    }
    if bytes.len() > MAX_FILE_BYTES {
        return Err(Refused::TooLarge { bytes: bytes.len() });
    }
    let ending = file_name
        .rsplit_once('.')
        .map_or(String::new(), |(_, ending)| ending.to_lowercase());
    match bytes {
        [b'P', b'K', 3 | 5, 4 | 6, ..] if ending == "ods" => Err(Refused::OtherFormat {
            what: "an OpenDocument sheet",
        }),
        [b'P', b'K', 3 | 5, 4 | 6, ..] => workbook(bytes, expected),
        [0xD0, 0xCF, 0x11, 0xE0, ..] => Err(Refused::OtherFormat {
            what: "an older workbook, or one locked with a password",
        }),
        [b'%', b'P', b'D', b'F', ..] => Err(Refused::OtherFormat { what: "a PDF" }),
        [0x89, b'P', b'N', b'G', ..] | [0xFF, 0xD8, 0xFF, ..] => {
            Err(Refused::OtherFormat { what: "a picture" })
        }
        _ => separated(bytes, asked_for, expected),
    }
}

fn separated(
    bytes: &[u8],
    asked_for: Option<Encoding>,
    expected: Expected<'_>,
) -> Result<Table, Refused> {
    let (text, encoding) = text::decode(bytes, asked_for)?;
    let separator = Separator::of(&text);
    let records = csv::parse(&text, separator)?;
    let heading = heading_row(&records, expected)
        .or_else(|| records.iter().position(|record| !is_blank(&record.cells)))
        .ok_or(Refused::Empty)?;
    let mut table = under(records, heading);
    table.separator = Some(separator);
    table.encoding = Some(encoding);
    table.notes.insert(
        0,
        format!(
            "Read as {} separated by {}s.",
            encoding.name().to_uppercase(),
            separator.name()
        ),
    );
    Ok(table)
}

fn workbook(bytes: &[u8], expected: Expected<'_>) -> Result<Table, Refused> {
    let sheet = sheet::read(bytes, &|rows| heading_row(rows, expected), &|rows| {
        rows.iter()
            .position(|row| row.cells.iter().filter(|cell| !cell.is_empty()).count() > 1)
    })?;
    let mut notes = vec![format!("Read the sheet {}.", sheet.name)];
    if !sheet.others.is_empty() {
        notes.push(format!("Not read: the sheets {}.", sheet.others.join(", ")));
    }
    if sheet.filled > 0 {
        notes.push(format!(
            "{} cells were filled from the merged cells they belong to.",
            sheet.filled
        ));
    }
    let mut table = under(sheet.rows, sheet.heading);
    table.sheet = Some(sheet.name);
    notes.append(&mut table.notes);
    table.notes = notes;
    Ok(table)
}

/// The row that names the most fields, if one names at least two.
fn heading_row(rows: &[Record], expected: Expected<'_>) -> Option<usize> {
    let names = Names::new(expected.columns, expected.overrides);
    let mut best = None;
    let mut most = 1;
    let lines = rows
        .iter()
        .enumerate()
        .filter(|(_, row)| !is_blank(&row.cells))
        .take(HEADING_WITHIN);
    for (at, row) in lines {
        let named = names.fields_named(&row.cells);
        if named > most {
            (best, most) = (Some(at), named);
        }
    }
    best
}

fn is_blank(cells: &[String]) -> bool {
    cells.iter().all(|cell| cell.trim().is_empty())
}

/// The rows below a heading row; blank ones and the guards of formula-looking cells are taken out.
fn under(mut records: Vec<Record>, heading: usize) -> Table {
    let mut below = records.split_off(heading + 1);
    let heading_row = records.swap_remove(heading);
    let above = records
        .iter()
        .filter(|record| !is_blank(&record.cells))
        .count();
    let found = below.len();
    below.retain(|record| !is_blank(&record.cells));
    let mut notes = Vec::new();
    if above > 0 {
        notes.push(format!(
            "The headings stand on line {}; what is above them was passed over.",
            heading_row.line
        ));
    }
    if below.len() < found {
        let blank = found - below.len();
        notes.push(format!(
            "{blank} blank {} passed over.",
            if blank == 1 { "row was" } else { "rows were" }
        ));
    }
    for cell in below.iter_mut().flat_map(|record| &mut record.cells) {
        if csv::unguarded(cell).len() < cell.len() {
            cell.remove(0);
        }
    }
    let headings = heading_row
        .cells
        .iter()
        .map(|cell| csv::unguarded(cell.trim()).to_owned())
        .collect();
    Table {
        headings,
        heading_line: heading_row.line,
        rows: below,
        notes,
        ..Table::default()
    }
}
