//! A form for any calculation, made from its own description, and the way back from what was typed to its inputs.

use super::ask::Typed;
use super::quantity::{self, Units};
use crate::web::parts::{Blank, Choice, Kind as Entry};
use serde_json::{Map, Value};
use stillair_calc::{Calculation, Fault, Input, Kind};

/// Rows of a list that a form has at most.
const MOST_ROWS: usize = 40;

/// How a blank is read.
#[derive(Clone, Copy, Debug, PartialEq)]
enum Reads {
    Number,
    /// Several numbers in one blank.
    Numbers,
    Words,
    YesNo,
    OneOf(&'static [&'static str]),
    /// A name, or the thing itself as JSON.
    WordsOrGroup,
    /// A group that has no blanks of its own, as JSON; words alone need no quotes.
    Group,
}

/// One blank of the form.
#[derive(Clone, Debug)]
struct Slot {
    /// Name in the address: the way to the value, as `segments.0.hours`.
    path: String,
    label: String,
    unit: &'static str,
    reads: Reads,
    optional: bool,
    start: String,
    hint: String,
}

/// The form of a calculation with what was typed in it.
pub struct Form {
    slots: Vec<Slot>,
    typed: Typed,
    faults: Vec<(String, String)>,
    /// What the calculation is given.
    pub given: Map<String, Value>,
    units: Units,
}

impl Form {
    /// Reads the address. A blank it does not name starts with its usual value.
    pub fn read(calculation: &Calculation, mut typed: Typed, units: Units) -> Self {
        let fresh = typed.is_empty();
        let mut slots = Vec::new();
        for input in calculation.inputs {
            let start = input.usual.or(input.default).map(|value| value());
            lay(
                &mut slots,
                input,
                &start.unwrap_or(Value::Null),
                &typed,
                units,
            );
        }
        for slot in &slots {
            let start = || {
                if fresh || !slot.path.contains('.') {
                    slot.start.clone()
                } else {
                    String::new()
                }
            };
            typed.entry(slot.path.clone()).or_insert_with(start);
        }
        let mut faults = Vec::new();
        let mut given = Map::new();
        for slot in &slots {
            match slot.value(&typed[&slot.path], units) {
                Ok(Some(value)) => put(&mut given, &slot.path, value),
                Ok(None) => {}
                Err(problem) => {
                    faults.push((slot.path.clone(), format!("{} {problem}.", slot.label)));
                }
            }
        }
        for value in given.values_mut() {
            close_gaps(value);
        }
        Self {
            slots,
            typed,
            faults,
            given,
            units,
        }
    }

    /// Whether every blank could be read.
    pub fn is_read(&self) -> bool {
        self.faults.is_empty()
    }

    /// Notes what the calculation refused, under the blank it is about.
    pub fn refuse(&mut self, faults: Vec<Fault>) -> Vec<String> {
        let mut homeless = Vec::new();
        for fault in faults {
            let of =
                |path: &str| path == fault.field || path.starts_with(&format!("{}.", fault.field));
            match self.slots.iter().find(|slot| of(&slot.path)) {
                Some(slot) => self.faults.push((slot.path.clone(), fault.problem)),
                None => homeless.push(fault.problem),
            }
        }
        homeless
    }

    /// The blanks, in reading order.
    pub fn blanks(&self) -> Vec<Blank> {
        self.slots.iter().map(|slot| self.blank(slot)).collect()
    }

    fn blank(&self, slot: &Slot) -> Blank {
        let fault = self.faults.iter().find(|(path, _)| *path == slot.path);
        let choices = |words: &[&str]| {
            let none = slot.optional.then(|| Choice {
                value: String::new(),
                label: "not given".into(),
            });
            let words = words.iter().map(|word| Choice {
                value: (*word).into(),
                label: spelt(word),
            });
            Entry::Choice(none.into_iter().chain(words).collect())
        };
        Blank {
            id: format!("b-{}", slot.path.replace('.', "-")),
            name: slot.path.clone(),
            label: slot.label.clone(),
            value: self.typed[&slot.path].clone(),
            unit: quantity::shown_unit(slot.unit, self.units).into(),
            kind: match slot.reads {
                Reads::Number => Entry::Number,
                Reads::Numbers | Reads::Words | Reads::WordsOrGroup => Entry::Text,
                Reads::Group => Entry::Long,
                Reads::YesNo => choices(&["true", "false"]),
                Reads::OneOf(words) => choices(words),
            },
            hint: slot.hint.clone(),
            fault: fault
                .map(|(_, problem)| problem.clone())
                .unwrap_or_default(),
            ..Blank::default()
        }
    }

    /// Every value for the address, in the units asked for.
    pub fn address(&self, units: Units) -> Vec<(String, String)> {
        self.slots
            .iter()
            .map(|slot| {
                let typed = &self.typed[&slot.path];
                let crossed = match slot.value(typed, self.units) {
                    Ok(Some(value)) if units != self.units => slot.written(&value, units),
                    _ => typed.clone(),
                };
                (slot.path.clone(), crossed)
            })
            .collect()
    }
}

impl Slot {
    /// What was typed as the calculation takes it; nothing for an empty blank.
    fn value(&self, typed: &str, units: Units) -> Result<Option<Value>, String> {
        let typed = typed.trim();
        if typed.is_empty() {
            return Ok(None);
        }
        let number = |typed: &str| quantity::read(typed, self.unit, units).map(super::ask::number);
        Ok(Some(match self.reads {
            Reads::Number => number(typed)?,
            Reads::Numbers => parted(typed)
                .map(number)
                .collect::<Result<Vec<_>, _>>()?
                .into(),
            Reads::YesNo => (typed == "true").into(),
            Reads::Group | Reads::WordsOrGroup if typed.starts_with(['{', '[', '"']) => {
                serde_json::from_str(typed).map_err(|error| {
                    let (line, letter) = (error.line(), error.column());
                    format!("cannot be read, at line {line} and letter {letter}")
                })?
            }
            _ => typed.into(),
        }))
    }

    /// A value as its blank shows it.
    fn written(&self, value: &Value, units: Units) -> String {
        let number = |value: &Value| {
            value
                .as_f64()
                .map_or_else(String::new, |n| quantity::for_blank(n, self.unit, units))
        };
        match (self.reads, value) {
            (_, Value::Null) => String::new(),
            (Reads::Number, value) => number(value),
            (Reads::Numbers, Value::Array(several)) => {
                several.iter().map(number).collect::<Vec<_>>().join("; ")
            }
            (_, Value::String(words)) => words.clone(),
            (_, other) => other.to_string(),
        }
    }
}

/// Several numbers in one blank: parted by semicolons, or by spaces, or by commas that a space follows.
fn parted(typed: &str) -> impl Iterator<Item = &str> {
    let at_spaces = !typed.contains(';');
    typed
        .split(move |c: char| c == ';' || (at_spaces && c.is_whitespace()))
        .map(|part| part.trim().trim_end_matches(','))
        .filter(|part| !part.is_empty())
}

/// Makes the blanks of one input.
fn lay(slots: &mut Vec<Slot>, input: &Input, start: &Value, typed: &Typed, units: Units) {
    let label = stillair_calc::input::label(input.name);
    let place = Place {
        path: input.name.to_owned(),
        label,
        unit: input.unit(),
        hint: input.doc.split_whitespace().collect::<Vec<_>>().join(" "),
        optional: !input.required(),
    };
    lay_kind(slots, &input.kind, place, start, typed, units);
}

#[derive(Clone)]
struct Place {
    path: String,
    label: String,
    unit: &'static str,
    hint: String,
    optional: bool,
}

fn lay_kind(
    slots: &mut Vec<Slot>,
    kind: &Kind,
    place: Place,
    start: &Value,
    typed: &Typed,
    units: Units,
) {
    let rows = |kind: &Kind, count: usize, spare: bool, slots: &mut Vec<Slot>| {
        for row in 0..count {
            let row_place = Place {
                path: format!("{}.{row}", place.path),
                label: format!("{} {}", place.label, row + 1),
                optional: place.optional || (spare && row + 1 == count),
                ..place.clone()
            };
            lay_kind(
                slots,
                kind,
                row_place,
                start.get(row).unwrap_or(&Value::Null),
                typed,
                units,
            );
        }
    };
    let reads = match kind {
        Kind::Number | Kind::NumberOrInfinity | Kind::Whole => Reads::Number,
        Kind::Text => Reads::Words,
        Kind::Truth => Reads::YesNo,
        Kind::Choice(words) => Reads::OneOf(words),
        Kind::Optional(of) => {
            let place = Place {
                optional: true,
                ..place
            };
            return lay_kind(slots, of, place, start, typed, units);
        }
        Kind::List(of) | Kind::Tuple(of, _) if matches!(**of, Kind::Number | Kind::Whole) => {
            Reads::Numbers
        }
        Kind::Tuple(of, count) => return rows(of, *count, false, slots),
        Kind::List(of) if matches!(**of, Kind::Record(_) | Kind::Tuple(..)) => {
            let count = row_count(&place.path, start, typed);
            return rows(of, count, true, slots);
        }
        Kind::Record(members) => {
            for member in *members {
                let inner = Place {
                    path: format!("{}.{}", place.path, member.name),
                    label: format!(
                        "{}: {}",
                        place.label,
                        stillair_calc::input::label(member.name).to_lowercase()
                    ),
                    unit: member.unit(),
                    hint: member.doc.split_whitespace().collect::<Vec<_>>().join(" "),
                    optional: place.optional || !member.required(),
                };
                let start = start.get(member.name).unwrap_or(&Value::Null);
                lay_kind(slots, &member.kind, inner, start, typed, units);
            }
            return;
        }
        Kind::OneOf(ways) if takes_words(ways) => Reads::WordsOrGroup,
        Kind::List(_) | Kind::OneOf(_) => Reads::Group,
    };
    let mut slot = Slot {
        path: place.path,
        label: place.label,
        unit: place.unit,
        reads,
        optional: place.optional,
        start: String::new(),
        hint: place.hint,
    };
    slot.start = slot.written(start, units);
    slots.push(slot);
}

/// Whether a name alone may stand there.
fn takes_words(ways: &[Kind]) -> bool {
    ways.iter().any(|way| match way {
        Kind::Text => true,
        Kind::OneOf(ways) => takes_words(ways),
        _ => false,
    })
}

/// Rows of a list: as many as it starts with or the address holds, and one more to write in.
fn row_count(path: &str, start: &Value, typed: &Typed) -> usize {
    let of_start = start.as_array().map_or(0, Vec::len);
    let of_typed = typed
        .iter()
        .filter(|(_, value)| !value.trim().is_empty())
        .filter_map(|(name, _)| {
            name.strip_prefix(path)?
                .strip_prefix('.')?
                .split('.')
                .next()?
                .parse::<usize>()
                .ok()
        })
        .map(|row| row + 1)
        .max();
    (of_typed.unwrap_or(if typed.is_empty() { of_start } else { 0 }) + 1).min(MOST_ROWS)
}

/// Puts a value where its path says. Numbers in a path are rows of a list.
fn put(given: &mut Map<String, Value>, path: &str, value: Value) {
    let mut steps = path.split('.');
    let Some(first) = steps.next() else { return };
    let mut at = given.entry(first).or_insert(Value::Null);
    for step in steps {
        if let Ok(row) = step.parse::<usize>() {
            if !at.is_array() {
                *at = Value::Array(Vec::new());
            }
            let Value::Array(rows) = at else { return };
            while rows.len() <= row {
                rows.push(Value::Null);
            }
            at = &mut rows[row];
        } else {
            if !at.is_object() {
                *at = Value::Object(Map::new());
            }
            let Value::Object(members) = at else { return };
            at = members.entry(step).or_insert(Value::Null);
        }
    }
    *at = value;
}

/// Rows that were left empty are no rows.
fn close_gaps(value: &mut Value) {
    match value {
        Value::Array(rows) => {
            rows.retain(|row| !row.is_null());
            rows.iter_mut().for_each(close_gaps);
        }
        Value::Object(members) => members.values_mut().for_each(close_gaps),
        _ => {}
    }
}

/// A word of the machine interface as people read it.
pub fn spelt(word: &str) -> String {
    match word {
        "true" => "yes".into(),
        "false" => "no".into(),
        _ => word.replace('_', " "),
    }
}

#[cfg(test)]
#[path = "forms_tests.rs"]
mod tests;
