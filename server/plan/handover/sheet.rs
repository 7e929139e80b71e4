//! Reading a workbook (.xlsx): one sheet's rows as text, in the form that separated values have.
//!
//! Cells are streamed and never laid out as the grid the file claims to have, and the parts of the file are unpacked
//! once with a count before anything else touches them, so a small file cannot ask for a large memory.

use std::collections::BTreeMap;
use std::io::{Cursor, Read};
use std::panic::{AssertUnwindSafe, catch_unwind};

use calamine::{DataRef, ExcelDateTime, Reader, Xlsx};

use super::csv::Record;
use super::problems::Refused;
use super::{MAX_CELL_BYTES, MAX_CELLS, MAX_COLUMNS, MAX_ROWS};

/// Most that all parts of a workbook may unpack to. A list of ten thousand shots takes about ten million bytes.
const MAX_UNPACKED_BYTES: u64 = 32 * 1024 * 1024;
/// Most text in the cells of one sheet. A text that many cells share is counted each time.
const MAX_TEXT_BYTES: usize = 16 * 1024 * 1024;
/// Most sheets that are looked at for headings.
const MOST_SHEETS: usize = 20;
/// Most merged ranges that are filled in.
const MOST_MERGED: usize = 5_000;

/// The sheet that was taken.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Sheet {
    pub name: String,
    /// Rows that hold anything; `line` is the row's number in the spreadsheet.
    pub rows: Vec<Record>,
    /// Place of the heading row in `rows`.
    pub heading: usize,
    /// Sheets that were not taken.
    pub others: Vec<String>,
    /// Cells filled from the merged range they belong to.
    pub filled: usize,
}

/// Reads the sheet called Shots, or else the first in which `heading` finds a heading row; failing that, the first in
/// which `any_heading` does, so that a person can say what its headings mean.
///
/// # Errors
/// A damaged workbook, one past the size limits, or one without any row of headings.
pub fn read(
    bytes: &[u8],
    heading: &dyn Fn(&[Record]) -> Option<usize>,
    any_heading: &dyn Fn(&[Record]) -> Option<usize>,
) -> Result<Sheet, Refused> {
    check_unpacked(bytes)?;
    // The workbook library takes some damaged files for impossible and panics; to the sender that is a damaged file.
    catch_unwind(AssertUnwindSafe(|| choose(bytes, heading, any_heading)))
        .unwrap_or_else(|_| Err(damaged("its parts contradict each other")))
}

#[expect(
    clippy::needless_pass_by_value,
    reason = "it stands where errors are mapped"
)]
fn damaged(why: impl ToString) -> Refused {
    Refused::DamagedWorkbook {
        why: why.to_string(),
    }
}

fn choose(
    bytes: &[u8],
    heading: &dyn Fn(&[Record]) -> Option<usize>,
    any_heading: &dyn Fn(&[Record]) -> Option<usize>,
) -> Result<Sheet, Refused> {
    let mut workbook = Xlsx::new(Cursor::new(bytes)).map_err(damaged)?;
    let mut names = workbook.sheet_names();
    names.sort_by_key(|name| match name.trim().to_lowercase().as_str() {
        "shots" => 0,
        lower if lower.contains("shot") => 1,
        _ => 2,
    });
    let mut unlikely = None;
    let mut first_fault = None;
    for name in names.iter().take(MOST_SHEETS) {
        let rows = match rows(&mut workbook, name) {
            Ok(rows) => rows,
            Err(refused) => {
                first_fault.get_or_insert(refused);
                continue;
            }
        };
        if let Some(heading) = heading(&rows) {
            return Ok(taken(&mut workbook, name, rows, heading, &names));
        }
        if unlikely.is_none() {
            unlikely = any_heading(&rows).map(|heading| (name, rows, heading));
        }
    }
    match (unlikely, first_fault) {
        (Some((name, rows, heading)), _) => Ok(taken(&mut workbook, name, rows, heading, &names)),
        (None, Some(refused)) => Err(refused),
        (None, None) => Err(Refused::NoHeadings {
            looked_in: format!("looked in the sheets {}", listed(&names)),
        }),
    }
}

fn listed(names: &[String]) -> String {
    let shown: Vec<&str> = names.iter().take(MOST_SHEETS).map(String::as_str).collect();
    super::problems::shortened(&shown.join(", "))
}

fn taken(
    workbook: &mut Xlsx<Cursor<&[u8]>>,
    name: &str,
    mut rows: Vec<Record>,
    heading: usize,
    names: &[String],
) -> Sheet {
    let filled = fill_merged(workbook, name, &mut rows, heading);
    let others = names
        .iter()
        .filter(|other| *other != name)
        .cloned()
        .collect();
    Sheet {
        name: name.to_owned(),
        rows,
        heading,
        others,
        filled,
    }
}

/// Unpacks every part once, counting, before the workbook library does it without a limit.
fn check_unpacked(bytes: &[u8]) -> Result<(), Refused> {
    let mut archive = zip::ZipArchive::new(Cursor::new(bytes)).map_err(damaged)?;
    let mut left = MAX_UNPACKED_BYTES;
    for at in 0..archive.len() {
        let entry = archive.by_index(at).map_err(damaged)?;
        let has_strings = entry.name().to_lowercase().ends_with("sharedstrings.xml");
        let mut unpacked = Vec::new();
        let read = entry
            .take(left + 1)
            .read_to_end(&mut unpacked)
            .map_err(damaged)?;
        left = left.checked_sub(read as u64).ok_or(Refused::Unpacks {
            limit: MAX_UNPACKED_BYTES,
        })?;
        if has_strings {
            check_string_count(&unpacked)?;
        }
    }
    Ok(())
}

/// The workbook library reserves room for as many texts as the file says it has. No text takes under five bytes.
fn check_string_count(part: &[u8]) -> Result<(), Refused> {
    const NAME: &[u8] = b"uniqueCount";
    let most = part.len() / 5 + 1000;
    let mut rest = part;
    while let Some(at) = rest.windows(NAME.len()).position(|window| window == NAME) {
        rest = &rest[at + NAME.len()..];
        let digits: String = rest
            .iter()
            .skip_while(|byte| matches!(byte, b'=' | b'"' | b'\'' | b' ' | b'\t' | b'\r' | b'\n'))
            .take_while(|byte| byte.is_ascii_digit())
            .map(|byte| char::from(*byte))
            .collect();
        if !digits.is_empty() && digits.parse::<usize>().map_or(true, |count| count > most) {
            return Err(damaged("it claims to hold more texts than it does"));
        }
    }
    Ok(())
}

/// The rows of a sheet that hold anything, top to bottom.
fn rows(workbook: &mut Xlsx<Cursor<&[u8]>>, name: &str) -> Result<Vec<Record>, Refused> {
    let mut cells = workbook.worksheet_cells_reader(name).map_err(damaged)?;
    let mut by_row: BTreeMap<u32, Vec<String>> = BTreeMap::new();
    let mut width_sum = 0;
    let mut text_bytes = 0;
    while let Some(cell) = cells.next_cell().map_err(damaged)? {
        let (row, column) = cell.get_position();
        let line = row as usize + 1;
        let text = shown(cell.get_value());
        if text.trim().is_empty() {
            continue;
        }
        let column = column as usize;
        if column >= MAX_COLUMNS {
            return Err(Refused::TooManyColumns { line });
        }
        if text.len() > MAX_CELL_BYTES {
            return Err(Refused::CellTooLong { line });
        }
        let is_new = !by_row.contains_key(&row);
        if is_new && by_row.len() == MAX_ROWS {
            return Err(Refused::TooManyRows);
        }
        let cells = by_row.entry(row).or_default();
        width_sum += (column + 1).saturating_sub(cells.len());
        text_bytes += text.len();
        if width_sum > MAX_CELLS || text_bytes > MAX_TEXT_BYTES {
            return Err(Refused::TooManyCells);
        }
        if cells.len() <= column {
            cells.resize(column + 1, String::new());
        }
        cells[column] = text;
    }
    Ok(by_row
        .into_iter()
        .map(|(row, cells)| Record {
            line: row as usize + 1,
            cells,
        })
        .collect())
}

/// A value as a person would have typed it into a text file.
fn shown(value: &DataRef<'_>) -> String {
    match value {
        DataRef::Int(value) => value.to_string(),
        DataRef::Float(value) => value.to_string(),
        DataRef::String(text) | DataRef::DateTimeIso(text) | DataRef::DurationIso(text) => {
            text.clone()
        }
        DataRef::SharedString(text) => (*text).to_owned(),
        DataRef::Bool(value) => value.to_string(),
        DataRef::DateTime(value) => time_shown(value),
        DataRef::Error(error) => error.to_string(),
        DataRef::Empty => String::new(),
    }
}

/// Dates by ISO 8601. A time of day is what a spreadsheet makes of `1:48` or `6:12`, so it is given back like that.
fn time_shown(value: &ExcelDateTime) -> String {
    const LAST_DAY: f64 = 2_958_466.0; // the day after 9999-12-31
    let days = value.as_f64();
    if !(0.0..LAST_DAY).contains(&days) {
        return days.to_string();
    }
    if value.is_duration() || days < 1.0 {
        #[expect(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "bounded just above"
        )]
        let seconds = (days * 86_400.0).round() as u64;
        let (hours, minutes, seconds) = (seconds / 3600, seconds / 60 % 60, seconds % 60);
        return if seconds == 0 {
            format!("{hours}:{minutes:02}")
        } else {
            format!("{hours}:{minutes:02}:{seconds:02}")
        };
    }
    let (year, month, day, hour, minute, ..) = value.to_ymd_hms_milli();
    let date = format!("{year:04}-{month:02}-{day:02}");
    if days.fract() > 0.0 {
        format!("{date} {hour:02}:{minute:02}")
    } else {
        date
    }
}

/// A range merged down several rows of the list means its value for each of them.
fn fill_merged(
    workbook: &mut Xlsx<Cursor<&[u8]>>,
    name: &str,
    rows: &mut [Record],
    heading: usize,
) -> usize {
    let Ok(merged) = workbook.merge_cells_by_sheet_name(name) else {
        return 0;
    };
    let heading_line = rows[heading].line;
    let mut filled = 0;
    for range in merged.iter().take(MOST_MERGED) {
        let (first, last, column) = (
            range.start.0 as usize + 1,
            range.end.0 as usize + 1,
            range.start.1 as usize,
        );
        if first <= heading_line || last <= first {
            continue;
        }
        let below = rows.partition_point(|row| row.line <= first);
        let Some(text) = below
            .checked_sub(1)
            .and_then(|at| rows[at].cells.get(column))
            .cloned()
        else {
            continue;
        };
        if below == 0 || rows[below - 1].line != first || text.is_empty() {
            continue;
        }
        for row in rows[below..].iter_mut().take_while(|row| row.line <= last) {
            if row.cells.get(column).is_some_and(|cell| !cell.is_empty()) || filled == MAX_ROWS {
                continue;
            }
            if row.cells.len() <= column {
                row.cells.resize(column + 1, String::new());
            }
            row.cells[column].clone_from(&text);
            filled += 1;
        }
    }
    filled
}
