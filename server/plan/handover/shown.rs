//! A look as the page shows it: headings with what they became, rows with what they would change, faults in one list.

use std::collections::{BTreeMap, BTreeSet};

use super::compare::State;
use super::mapping::{Column, Kind as ColumnKind};
use super::problems::RowError;
use super::records::Value;
use super::shots::{ShotRow, columns};
use super::store::{Counts, count};
use super::work::Looked;
use crate::journal::change::{Change, OpKind};
use crate::journal::field::Kind;
use crate::journal::record::Record as _;
use crate::plan::Plan;
use crate::plan::cut::shot::Shot;
use crate::web::units;

/// Most rows that are written out; beyond that only their number is told.
const MOST_ROWS: usize = 500;

/// A heading of the file.
pub struct Heading {
    /// Name of its input.
    pub name: String,
    /// As the file has it.
    pub heading: String,
    /// What stands first under it.
    pub sample: String,
    /// Name of the column it became; empty for none.
    pub field: String,
    /// Why it was left, or that a person said so.
    pub note: String,
    /// A column without a heading cannot be told from others like it.
    pub can_choose: bool,
}

/// What a heading may become.
pub struct Choice {
    /// Name of the column.
    pub field: &'static str,
    /// What a person calls it.
    pub label: &'static str,
}

/// A cell of a row.
#[derive(Default)]
pub struct Cell {
    /// Whether its column holds words rather than codes and figures.
    pub is_words: bool,
    /// What the file says.
    pub value: String,
    /// What stands in the plan, where that is something else.
    pub was: Option<String>,
    /// What is wrong with it; empty for nothing.
    pub problem: String,
}

/// A row of the file.
pub struct Row {
    /// Where it starts.
    pub line: usize,
    /// `new`, `changed`, `same` or `fault`.
    pub state: &'static str,
    /// One for each column that was taken.
    pub cells: Vec<Cell>,
}

/// A look as the page shows it.
pub struct Found {
    /// What was assumed on the way.
    pub notes: Vec<String>,
    /// Every heading.
    pub headings: Vec<Heading>,
    /// What they may become.
    pub choices: Vec<Choice>,
    /// Labels of the columns that were taken, each with whether it holds words.
    pub labels: Vec<(&'static str, bool)>,
    /// Rows, in the order of the file.
    pub rows: Vec<Row>,
    /// Rows that are not written out.
    pub more_rows: usize,
    /// Faults that belong to no row.
    pub faults: Vec<String>,
    /// How many faults there are in all.
    pub fault_count: usize,
    /// Faults that are not written out.
    pub more_faults: usize,
    /// What storing comes to.
    pub counts: Counts,
    /// Setups that would be made.
    pub new_setups: Vec<String>,
    /// Shots of the plan that the file does not name.
    pub absent: Vec<String>,
    /// Whether it may be stored.
    pub is_storable: bool,
    /// Whether storing would write anything.
    pub says_anything_new: bool,
}

/// A look as the page shows it.
pub fn found(plan: &Plan, looked: &Looked) -> Found {
    let Looked { look, comparison } = looked;
    let counts = count(plan, look, comparison);
    let taken: Vec<&Column> = look
        .mapping
        .iter()
        .filter_map(|taken| columns().iter().find(|column| column.field == taken.field))
        .collect();
    let has_reach = taken.iter().any(|column| column.stores == "reach_m");
    let cells = |row: &ShotRow, state: &State| {
        let columns = taken.iter();
        let cells = columns.map(|column| {
            let holds_reach = column.stores == "look" && !has_reach;
            cell(plan, column, row, state, holds_reach)
        });
        cells.collect()
    };
    let mut rows: Vec<Row> = look
        .rows
        .iter()
        .zip(&comparison.rows)
        .map(|(row, is)| Row {
            line: row.line,
            state: is.state.word(),
            cells: cells(row, &is.state),
        })
        .collect();
    rows.extend(faulty_rows(&look.errors, looked));
    rows.sort_by_key(|row| row.line);
    let more_rows = rows.len().saturating_sub(MOST_ROWS);
    rows.truncate(MOST_ROWS);
    let existing: BTreeSet<&str> = plan.setups.iter().map(|setup| &*setup.code).collect();
    let new_setups = look.setup_codes().into_iter();
    Found {
        notes: look.notes.clone(),
        headings: headings(looked),
        choices: columns()
            .iter()
            .map(|column| Choice {
                field: column.field,
                label: column.label,
            })
            .collect(),
        labels: taken
            .iter()
            .map(|column| (label(column), holds_words(column)))
            .collect(),
        rows,
        more_rows,
        faults: look.errors.iter().map(RowError::sentence).collect(),
        fault_count: look.error_count,
        more_faults: look.error_count - look.errors.len(),
        counts,
        new_setups: new_setups
            .filter(|code| !existing.contains(code))
            .map(str::to_owned)
            .collect(),
        absent: comparison.absent.clone(),
        is_storable: look.is_storable(),
        says_anything_new: counts.new + counts.changed > 0,
    }
}

/// Every length ends up as seconds and frames, so its column is called by that.
fn label(column: &Column) -> &'static str {
    if column.stores == "length_frames" {
        "Length, s:f"
    } else {
        column.label
    }
}

fn holds_words(column: &Column) -> bool {
    matches!(
        column.kind,
        ColumnKind::Text { .. } | ColumnKind::Choice(_) | ColumnKind::Look(_)
    )
}

fn headings(looked: &Looked) -> Vec<Heading> {
    let look = &looked.look;
    let sample = |at: usize| look.samples.get(at).cloned().unwrap_or_default();
    let taken = look.mapping.iter().map(|taken| Heading {
        name: format!("as-{}", taken.at),
        heading: taken.heading.clone(),
        sample: sample(taken.at),
        field: taken.field.to_owned(),
        note: if taken.by_hand { "said by hand" } else { "" }.to_owned(),
        can_choose: true,
    });
    let left = look.not_taken.iter().map(|left| Heading {
        name: format!("as-{}", left.at),
        heading: left.heading.clone(),
        sample: sample(left.at),
        field: String::new(),
        note: left.why.clone(),
        can_choose: !left.heading.is_empty(),
    });
    let mut headings: Vec<(usize, Heading)> = look
        .mapping
        .iter()
        .map(|taken| taken.at)
        .zip(taken)
        .chain(look.not_taken.iter().map(|left| left.at).zip(left))
        .collect();
    headings.sort_by_key(|(at, _)| *at);
    headings.into_iter().map(|(_, heading)| heading).collect()
}

/// A cell of a row without faults. A reach that stands in the look's own cell is shown there, where no other column has it.
fn cell(plan: &Plan, column: &Column, row: &ShotRow, state: &State, holds_reach: bool) -> Cell {
    let says = |stores: &str| {
        let value = match stores {
            "code" => Value::Text(row.code.clone()),
            "setups" => Value::Codes(row.setups.clone().unwrap_or_default()),
            _ => row.fields.get(stores).cloned().unwrap_or(Value::Blank),
        };
        text(plan, stores, &value)
    };
    let before = |stores: &str| match state {
        State::Changed(changes) => changes
            .iter()
            .find(|change| change.field == stores)
            .map(|change| text(plan, stores, &change.from)),
        State::New | State::Same => None,
    };
    let (mut value, mut was) = (says(column.stores), before(column.stores));
    if holds_reach {
        let (reach, reach_was) = (says("reach_m"), before("reach_m"));
        if was.is_some() || reach_was.is_some() {
            let look = was.as_ref().unwrap_or(&value);
            was = Some(with_reach(look, reach_was.as_ref().unwrap_or(&reach)));
        }
        value = with_reach(&value, &reach);
    }
    Cell {
        is_words: holds_words(column),
        value,
        was,
        problem: String::new(),
    }
}

/// A look with the reach that stood in the same cell.
fn with_reach(look: &str, reach_m: &str) -> String {
    match (look, reach_m) {
        (look, "") => look.to_owned(),
        ("", reach_m) => format!("{reach_m} m"),
        (look, reach_m) => format!("{look}, {reach_m} m"),
    }
}

/// Rows with faults: what stood in the faulty cells, and what is wrong with each.
fn faulty_rows(errors: &[RowError], looked: &Looked) -> Vec<Row> {
    let mut by_line: BTreeMap<usize, Vec<&RowError>> = BTreeMap::new();
    let heading_line = looked.look.heading_line;
    for error in errors.iter().filter(|error| error.line != heading_line) {
        by_line.entry(error.line).or_default().push(error);
    }
    let mapping = &looked.look.mapping;
    let rows = by_line.into_iter().map(|(line, errors)| Row {
        line,
        state: "fault",
        cells: mapping
            .iter()
            .map(|taken| {
                let error = errors.iter().find(|error| error.column == taken.heading);
                error.map_or_else(Cell::default, |error| Cell {
                    is_words: false,
                    value: error.value.clone().unwrap_or_default(),
                    was: None,
                    problem: error.problem.to_string(),
                })
            })
            .collect(),
    });
    rows.collect()
}

/// A value as the sheets show it.
fn text(plan: &Plan, stores: &str, value: &Value) -> String {
    let kind = Shot::KIND.index(stores).map(|i| &Shot::KIND.fields[i]);
    match value {
        Value::Blank => String::new(),
        Value::Whole(frames) if stores == "length_frames" => {
            units::seconds_frames(*frames, plan.base_fps())
        }
        Value::Number(n) if stores == "scale_denominator" => {
            format!("1:{}", crate::journal::field::plain(*n))
        }
        Value::Number(n) => crate::journal::field::plain(*n),
        Value::Whole(n) => n.to_string(),
        Value::Text(code) => match kind {
            Some(field) if matches!(field.blank.kind, Kind::Choice(_)) => {
                field.word(code).to_owned()
            }
            _ => code.clone(),
        },
        Value::YesNo(is_yes) => if *is_yes { "yes" } else { "no" }.to_owned(),
        Value::Codes(codes) => codes.join("; "),
    }
}

/// A batch in a sentence.
pub fn told<'c>(batch: impl Iterator<Item = &'c Change>) -> Option<String> {
    let (mut shots, mut setups, mut changed, mut beside) = (0, 0, BTreeSet::new(), 0);
    let mut made = BTreeSet::new();
    for change in batch {
        beside += usize::from(change.outcome.word().starts_with("kept beside"));
        match (change.kind, &*change.entity_type) {
            (OpKind::Insert, "shot") => {
                shots += 1;
                made.insert(change.entity.as_str());
            }
            (OpKind::Insert, "setup") => setups += 1,
            (_, "shot") => {
                changed.insert(change.entity.as_str());
            }
            // A pass goes to another setup, or comes, or goes: its shot is what was changed.
            (OpKind::Insert, "pass") => {
                if let Some(shot) = change.value["shot"].as_str().filter(|s| !made.contains(s)) {
                    changed.insert(shot);
                }
            }
            _ => {}
        }
    }
    let parts = [
        (shots, "shot made", "shots made"),
        (setups, "setup made", "setups made"),
        (changed.len(), "shot changed", "shots changed"),
        (
            beside,
            "value kept beside another hand’s",
            "values kept beside another hand’s",
        ),
    ];
    let said: Vec<_> = parts
        .into_iter()
        .filter(|(count, _, _)| *count > 0)
        .map(|(count, one, more)| format!("{count} {}", if count == 1 { one } else { more }))
        .collect();
    let (last, others) = said.split_last()?;
    let list = if others.is_empty() {
        last.clone()
    } else {
        format!("{} and {last}", others.join(", "))
    };
    Some(format!(
        "The list is written down: {list}. Rub out last takes all of it back."
    ))
}
