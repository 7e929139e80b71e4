//! Which heading stands for which field.

use std::collections::{BTreeMap, BTreeSet, HashMap};

use serde::Serialize;

use super::length::Unit;

/// A column that a list may have; made from a record's declaration.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Column {
    /// Name of the column in an override.
    pub field: &'static str,
    /// The field it fills. Several columns may fill one field in different ways; one heading of a file does.
    pub stores: &'static str,
    /// What a person calls it.
    pub label: &'static str,
    /// Other headings it goes by, in any case and punctuation.
    pub also: &'static [&'static str],
    /// Yet more of them, that only lists from elsewhere use.
    pub more: &'static [&'static str],
    pub kind: Kind,
    /// Whether every row needs a value.
    pub required: bool,
}

/// A declared list of choices: code kept, word shown.
pub type Choices = &'static [(&'static str, &'static str)];

/// How the cells of a column are read.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Kind {
    /// Names the row; may stand only once.
    Code {
        most: usize,
    },
    /// Text of at most so many characters, in one line or in several.
    Text {
        most: usize,
        lines: bool,
    },
    /// Whole frames in the cut, whatever they were written as.
    Length(Unit),
    Scale,
    /// A number in the unit that is kept; the cell may name another.
    Number {
        unit: &'static str,
        least: f64,
        most: f64,
    },
    Whole {
        least: i64,
        most: i64,
    },
    Choice(Choices),
    /// A choice that may have a reach behind it, which fills `reach_m`.
    Look(Choices),
    /// A list of codes of other records.
    Codes {
        most: usize,
    },
    YesNo,
}

/// A heading that was taken.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Taken {
    /// Place in the row, from 0.
    pub at: usize,
    pub heading: String,
    pub field: &'static str,
    /// Its column's place in the declaration.
    #[serde(skip)]
    pub column: usize,
    /// Whether a person said so.
    pub by_hand: bool,
}

/// A heading that was left.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct NotTaken {
    pub at: usize,
    pub heading: String,
    pub why: String,
    /// Whether a person said so.
    pub by_hand: bool,
}

/// Which heading went where.
#[derive(Debug, Clone, Default, PartialEq, Eq, Serialize)]
pub struct Mapping {
    pub taken: Vec<Taken>,
    pub not_taken: Vec<NotTaken>,
}

/// Why a heading was left that a person said to leave.
const LEFT_OUT: &str = "left out by hand";

/// What a person corrected: heading → column name, or none to leave the heading out. Headings are matched as everywhere,
/// so a remembered correction holds for the next file; those that a file does not have are passed over.
pub type Overrides = BTreeMap<String, Option<String>>;

/// A heading as it is compared: trimmed, lower case, punctuation dropped, `_` and `-` as spaces.
pub fn matched_form(heading: &str) -> String {
    let mut form = String::with_capacity(heading.len());
    for at in heading.chars() {
        if at.is_alphanumeric() {
            form.extend(at.to_lowercase());
        } else if (at.is_whitespace() || matches!(at, '_' | '-'))
            && !form.is_empty()
            && !form.ends_with(' ')
        {
            form.push(' ');
        }
    }
    form.truncate(form.trim_end().len());
    form
}

/// How well a heading names a column: by its own name, or by one of the others.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
enum Rank {
    ByHand,
    OwnName,
    OtherName,
}

/// Every heading that means something, in its matched form. Made once for a file: rows in search of the headings are many.
pub struct Names<'c> {
    columns: &'c [Column],
    /// None: left out by hand.
    by_form: HashMap<String, Option<(Rank, usize)>>,
}

impl<'c> Names<'c> {
    pub fn new(columns: &'c [Column], overrides: &Overrides) -> Self {
        let mut by_form = HashMap::new();
        for (at, column) in columns.iter().enumerate() {
            for name in [column.field, column.label] {
                by_form
                    .entry(matched_form(name))
                    .or_insert(Some((Rank::OwnName, at)));
            }
        }
        for (at, column) in columns.iter().enumerate() {
            for name in column.also.iter().chain(column.more) {
                by_form
                    .entry(matched_form(name))
                    .or_insert(Some((Rank::OtherName, at)));
            }
        }
        for (heading, choice) in overrides {
            let form = matched_form(heading);
            let Some(field) = choice else {
                by_form.insert(form, None);
                continue;
            };
            match columns.iter().position(|column| column.field == field) {
                Some(at) => by_form.insert(form, Some((Rank::ByHand, at))),
                None => by_form.remove(&form),
            };
        }
        Self { columns, by_form }
    }

    /// How many different fields the cells of a row would name, if they were headings.
    pub fn fields_named(&self, cells: &[String]) -> usize {
        let known = cells
            .iter()
            .filter_map(|cell| self.by_form.get(&matched_form(cell)).copied().flatten());
        known
            .map(|(_, column)| self.columns[column].stores)
            .collect::<BTreeSet<_>>()
            .len()
    }

    /// Matches headings to columns. A field is filled by one heading: what a person said first, then a heading that is
    /// the field's own name, then the leftmost.
    pub fn map(&self, headings: &[String]) -> Mapping {
        let mut ranked: Vec<(Rank, usize, usize)> = Vec::new();
        let mut not_taken = Vec::new();
        let mut leave = |at: usize, why: String| {
            let heading = headings[at].clone();
            not_taken.push(NotTaken {
                at,
                heading,
                by_hand: why == LEFT_OUT,
                why,
            });
        };
        for (at, heading) in headings.iter().enumerate() {
            let form = matched_form(heading);
            match self.by_form.get(&form) {
                _ if form.is_empty() => leave(at, "has no heading".to_owned()),
                Some(Some((rank, column))) => ranked.push((*rank, at, *column)),
                Some(None) => leave(at, LEFT_OUT.to_owned()),
                None => leave(at, "not known here".to_owned()),
            }
        }
        ranked.sort_unstable();
        let mut taken: Vec<Taken> = Vec::new();
        for (rank, at, column) in ranked {
            let Column { field, stores, .. } = self.columns[column];
            match taken
                .iter()
                .find(|taken| self.columns[taken.column].stores == stores)
            {
                Some(first) => leave(at, format!("{} already says this", first.heading)),
                None => taken.push(Taken {
                    at,
                    heading: headings[at].clone(),
                    field,
                    column,
                    by_hand: rank == Rank::ByHand,
                }),
            }
        }
        taken.sort_by_key(|taken| taken.at);
        not_taken.sort_by_key(|left| left.at);
        Mapping { taken, not_taken }
    }
}

/// Choices in the overrides that name no column.
pub fn unknown_choices<'o>(
    overrides: &'o Overrides,
    columns: &[Column],
) -> Vec<(&'o str, &'o str)> {
    overrides
        .iter()
        .filter_map(|(heading, field)| Some((heading.as_str(), field.as_deref()?)))
        .filter(|(_, field)| columns.iter().all(|column| column.field != *field))
        .collect()
}
