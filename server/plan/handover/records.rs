//! A table checked against declared columns: typed fields, and every fault in one answer.

use std::collections::{BTreeMap, HashMap};

use serde::Serialize;

use super::csv::Separator;
use super::length::{BaseRate, Reading, Remark};
use super::mapping::{self, Column, Kind, Mapping, Overrides};
use super::numbers::{DecimalMark, decimal_mark_shown};
use super::problems::{Errors, Problem, RowError};
use super::table::Table;
use super::{length, numbers, values};

/// One value, as it goes to a record.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[serde(untagged)]
pub enum Value {
    Blank,
    Text(String),
    Whole(i64),
    Number(f64),
    YesNo(bool),
    Codes(Vec<String>),
}

/// Values by field. A field that the file has no column for is absent; an empty cell is [`Value::Blank`].
pub type Fields = BTreeMap<&'static str, Value>;

/// One row without faults, and the line it starts on.
#[derive(Debug, Clone, PartialEq)]
pub struct CheckedRow {
    pub line: usize,
    pub fields: Fields,
}

/// A table after checking. Nothing may be stored while `errors` holds anything.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Checked {
    pub rows: Vec<CheckedRow>,
    pub mapping: Mapping,
    pub notes: Vec<String>,
    pub errors: Errors,
    /// Codes of the rows that have faults.
    pub faulty_codes: Vec<String>,
}

/// Checks every row of a table.
pub fn check(table: &Table, columns: &[Column], overrides: &Overrides, rate: BaseRate) -> Checked {
    let mut mapping = mapping::Names::new(columns, overrides).map(&table.headings);
    mapping
        .not_taken
        .retain(|left| !left.heading.is_empty() || column_holds_anything(table, left.at));
    let mut errors = Errors::default();
    for (heading, choice) in mapping::unknown_choices(overrides, columns) {
        errors.push(RowError::new(
            table.heading_line,
            heading,
            Problem::UnknownColumn,
            choice,
        ));
    }
    for column in columns.iter().filter(|column| column.required) {
        if !mapping
            .taken
            .iter()
            .any(|taken| columns[taken.column].stores == column.stores)
        {
            errors.push(RowError::new(
                table.heading_line,
                column.label,
                Problem::Missing,
                "",
            ));
        }
    }
    let mark = decimal_mark(table, columns, &mapping);
    let look = LookColumn::of(table, columns, &mapping, mark);
    let mut checker = Checker {
        table,
        columns,
        mapping: &mapping,
        mark,
        rate,
        look,
        seen: HashMap::new(),
        remarks: BTreeMap::new(),
    };
    let mut rows = Vec::new();
    let mut faulty_codes = Vec::new();
    for row in &table.rows {
        let before = errors.count;
        let fields = checker.row(row.line, &row.cells, &mut errors);
        if errors.count == before {
            rows.push(CheckedRow {
                line: row.line,
                fields,
            });
        } else if let Some(Value::Text(code)) = checker.code_of(&fields) {
            faulty_codes.push(code.clone());
        }
    }
    let mut notes = table.notes.clone();
    notes.extend(
        checker
            .remarks
            .iter()
            .map(|((at, remark), lines)| note(&table.heading(*at), *remark, lines)),
    );
    Checked {
        rows,
        mapping,
        notes,
        errors,
        faulty_codes,
    }
}

fn column_holds_anything(table: &Table, at: usize) -> bool {
    table.rows.iter().any(|row| {
        row.cells
            .get(at)
            .is_some_and(|cell| !cell.trim().is_empty())
    })
}

/// The decimal mark of the file: the first cell that can be read in one way only decides, else its separator.
fn decimal_mark(table: &Table, columns: &[Column], mapping: &Mapping) -> DecimalMark {
    let is_number = |kind| {
        matches!(
            kind,
            Kind::Length(_) | Kind::Scale | Kind::Number { .. } | Kind::Whole { .. }
        )
    };
    let taken: Vec<usize> = mapping
        .taken
        .iter()
        .filter(|taken| is_number(columns[taken.column].kind))
        .map(|taken| taken.at)
        .collect();
    let cells = table
        .rows
        .iter()
        .flat_map(|row| taken.iter().filter_map(|at| row.cells.get(*at)));
    cells
        .into_iter()
        .find_map(|cell| decimal_mark_shown(cell))
        .unwrap_or(match table.separator {
            Some(Separator::Semicolon) => DecimalMark::Comma,
            _ => DecimalMark::Point,
        })
}

fn note(heading: &str, remark: Remark, lines: &[usize]) -> String {
    let count = lines.len();
    match remark {
        Remark::Rounded if count == 1 => format!(
            "{heading}: the length on line {} was rounded to a whole frame.",
            lines[0]
        ),
        Remark::Rounded => format!(
            "{heading}: {count} lengths were rounded to whole frames, the first on line {}.",
            lines[0]
        ),
        Remark::TakenAsFrames => {
            format!("{heading}: plain numbers were taken as frames, as the heading names no unit.")
        }
        Remark::TakenAsNonDrop => {
            format!(
                "{heading}: labels were counted as non-drop; write a semicolon before the frames where drop-frame is meant."
            )
        }
        Remark::LinesJoined => format!(
            "{heading}: the lines of the text on line {} were joined; one line is kept there.",
            lines[0]
        ),
        Remark::FormulaAsText => format!(
            "{heading}: what looks like a formula on line {} is kept as plain text.",
            lines[0]
        ),
    }
}

fn chosen(text: &str, field: &str, choices: mapping::Choices) -> Result<Value, Problem> {
    values::choice(text, field, choices).map(|code| Value::Text(code.to_owned()))
}

#[expect(
    clippy::cast_precision_loss,
    reason = "declared ranges lie far below 2^53"
)]
fn whole_within(cell: &str, mark: DecimalMark, least: i64, most: i64) -> Result<i64, Problem> {
    let value = numbers::whole(cell, mark)?;
    values::within(value as f64, (least as f64, most as f64))?;
    Ok(value)
}

fn reach_shown(value: &Value) -> String {
    match value {
        Value::Number(reach_m) => format!("{reach_m}"),
        _ => String::new(),
    }
}

/// The column of looks, whose cells may hold a reach too.
struct LookColumn {
    at: usize,
    /// Whether any of them does. Where none does and no other column has it, the file says nothing about reaches.
    gives_reach: bool,
    reach_heading: String,
    /// What a reach can be, in metres.
    range_m: (f64, f64),
}

impl LookColumn {
    fn of(table: &Table, columns: &[Column], mapping: &Mapping, mark: DecimalMark) -> Option<Self> {
        let at = mapping
            .taken
            .iter()
            .find(|taken| matches!(columns[taken.column].kind, Kind::Look(_)))?
            .at;
        let cells = table.rows.iter().filter_map(|row| row.cells.get(at));
        let gives_reach = cells
            .into_iter()
            .any(|cell| values::look(cell, mark).1.is_some());
        let reach = mapping.taken.iter().find(|taken| taken.field == "reach_m");
        let range_m = columns.iter().find_map(|column| match column.kind {
            Kind::Number { least, most, .. } if column.stores == "reach_m" => Some((least, most)),
            _ => None,
        });
        Some(Self {
            at,
            gives_reach,
            reach_heading: reach.map(|taken| taken.heading.clone()).unwrap_or_default(),
            range_m: range_m.unwrap_or((0.0, f64::MAX)),
        })
    }
}

struct Checker<'c> {
    table: &'c Table,
    columns: &'c [Column],
    mapping: &'c Mapping,
    mark: DecimalMark,
    rate: BaseRate,
    look: Option<LookColumn>,
    /// Where each code stood first.
    seen: HashMap<String, usize>,
    /// Lines by column and remark.
    remarks: BTreeMap<(usize, Remark), Vec<usize>>,
}

impl Checker<'_> {
    fn code_of<'f>(&self, fields: &'f Fields) -> Option<&'f Value> {
        self.columns
            .iter()
            .find(|column| matches!(column.kind, Kind::Code { .. }))
            .and_then(|column| fields.get(column.field))
    }

    fn row(&mut self, line: usize, cells: &[String], errors: &mut Errors) -> Fields {
        let mut fields = Fields::new();
        let (table, columns, mapping) = (self.table, self.columns, self.mapping);
        for taken in &mapping.taken {
            let column = &columns[taken.column];
            let cell = cells.get(taken.at).map_or("", |cell| cell.trim());
            let fault = |problem| RowError::new(line, table.heading(taken.at), problem, cell);
            if cell.is_empty() {
                if column.required {
                    errors.push(fault(Problem::Missing));
                }
                fields.insert(column.stores, Value::Blank);
                continue;
            }
            match self.value(column, taken.at, line, cell) {
                Ok(Value::Text(code)) if matches!(column.kind, Kind::Code { .. }) => {
                    if let Some(first_line) = self.seen.get(&code) {
                        errors.push(RowError {
                            first_line: Some(*first_line),
                            ..fault(Problem::UsedTwice)
                        });
                    } else {
                        self.seen.insert(code.clone(), line);
                    }
                    fields.insert(column.field, Value::Text(code));
                }
                Ok(value) => {
                    fields.insert(column.stores, value);
                }
                Err(problem) => errors.push(fault(problem)),
            }
        }
        for (at, cell) in cells.iter().enumerate().skip(table.headings.len()) {
            if !cell.trim().is_empty() {
                errors.push(RowError::new(
                    line,
                    table.heading(at),
                    Problem::UnknownColumn,
                    cell.trim(),
                ));
            }
        }
        self.take_reach(line, cells, &mut fields, errors);
        fields
    }

    /// The reach that stands in the look's own cell, beside what the reach's own column says.
    fn take_reach(&self, line: usize, cells: &[String], fields: &mut Fields, errors: &mut Errors) {
        let Some(look) = &self.look else { return };
        let cell = cells.get(look.at).map_or("", String::as_str);
        let reach = match values::look(cell, self.mark)
            .1
            .map(|reach_m| values::within(reach_m, look.range_m))
        {
            Some(Err(problem)) => {
                errors.push(RowError::new(
                    line,
                    self.table.heading(look.at),
                    problem,
                    cell.trim(),
                ));
                return;
            }
            Some(Ok(reach_m)) => Some(Value::Number(reach_m)),
            None => None,
        };
        match (fields.get("reach_m"), reach) {
            (Some(Value::Blank) | None, Some(reach)) => {
                fields.insert("reach_m", reach);
            }
            (None, None) if look.gives_reach => {
                fields.insert("reach_m", Value::Blank);
            }
            (Some(given), Some(reach)) if *given != reach => {
                let said = Problem::SaidOtherwise(self.table.heading(look.at));
                errors.push(RowError::new(
                    line,
                    look.reach_heading.clone(),
                    said,
                    &reach_shown(given),
                ));
            }
            _ => {}
        }
    }

    fn value(
        &mut self,
        column: &Column,
        at: usize,
        line: usize,
        cell: &str,
    ) -> Result<Value, Problem> {
        let mark = self.mark;
        match column.kind {
            Kind::Code { most } => values::one_line(cell, most).map(Value::Text),
            Kind::Text { most, lines } => {
                if cell.starts_with('=') {
                    self.remark(at, line, Remark::FormulaAsText);
                }
                if lines {
                    return values::in_lines(cell, most).map(Value::Text);
                }
                if cell.contains(['\n', '\r']) {
                    self.remark(at, line, Remark::LinesJoined);
                }
                values::one_line(cell, most).map(Value::Text)
            }
            Kind::Length(unit) => {
                let reading = Reading {
                    unit,
                    rate: self.rate,
                    mark,
                };
                let (frames, remark) = length::frames(cell, reading)?;
                if let Some(remark) = remark {
                    self.remark(at, line, remark);
                }
                Ok(Value::Whole(frames))
            }
            Kind::Scale => values::scale_denominator(cell, mark).map(Value::Number),
            Kind::Number { unit, least, most } => {
                values::quantity(cell, mark, unit, (least, most)).map(Value::Number)
            }
            Kind::Whole { least, most } => whole_within(cell, mark, least, most).map(Value::Whole),
            Kind::Choice(choices) => chosen(cell, column.field, choices),
            Kind::Look(choices) => chosen(&values::look(cell, mark).0, column.field, choices),
            Kind::Codes { most } => values::codes(cell, most).map(Value::Codes),
            Kind::YesNo => values::yes_no(cell).map(Value::YesNo),
        }
    }

    fn remark(&mut self, at: usize, line: usize, remark: Remark) {
        self.remarks.entry((at, remark)).or_default().push(line);
    }
}
