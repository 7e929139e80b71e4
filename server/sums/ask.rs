//! What a bench sum asks: its blanks, each declared by an input of a calculation, and what was typed into them.

use super::quantity::{self, Units};
use crate::web::parts::{Blank, Choice, Kind as Entry, Missing};
use serde_json::Value;
use std::{collections::HashMap, sync::Arc};
use stillair_calc::{Calculate, Fault, Kind, Range};

/// What is typed into the address, by blank.
pub type Typed = HashMap<String, String>;

/// One blank of a sum. Its range is that of the calculation's input it stands for, so it is refused by the same rule.
#[derive(Clone, Debug)]
pub struct Ask {
    /// Its name in the address and in the sum.
    pub name: &'static str,
    label: String,
    unit: &'static str,
    /// How much of the input's unit one of the unit shown is.
    per_shown: f64,
    usual: Option<f64>,
    choices: &'static [(&'static str, &'static str)],
    range: Range,
    hint: &'static str,
    may_be_empty: bool,
}

/// A blank for an input of a calculation.
///
/// # Panics
/// When the calculation has no such input, which is ours to mend: every sum's page is opened by a test.
pub fn ask<T: Calculate>(name: &'static str) -> Ask {
    let input = T::CALCULATION
        .inputs
        .iter()
        .find(|input| input.name == name)
        .unwrap_or_else(|| panic!("{} has no input {name}", T::CALCULATION.name));
    let usual = input
        .usual
        .or(input.default)
        .and_then(|value| value().as_f64());
    Ask {
        name,
        label: stillair_calc::input::label(name),
        unit: input.unit(),
        per_shown: 1.0,
        usual,
        choices: &[],
        range: input.range,
        hint: "",
        may_be_empty: matches!(input.kind, Kind::Optional(_)),
    }
}

/// A list to choose from: what the address says, and what a person reads.
pub fn choose(
    name: &'static str,
    label: &str,
    choices: &'static [(&'static str, &'static str)],
) -> Ask {
    Ask {
        name,
        label: label.into(),
        unit: "",
        per_shown: 1.0,
        usual: None,
        choices,
        range: Range::Any,
        hint: "",
        may_be_empty: false,
    }
}

impl Ask {
    /// Under another name, where two calculations call different things alike.
    #[must_use]
    pub fn called(mut self, name: &'static str) -> Self {
        self.name = name;
        self
    }

    /// What a crew calls it.
    #[must_use]
    pub fn label(mut self, label: &str) -> Self {
        self.label = label.into();
        self
    }

    /// Typed in another unit of the same thing: a drum's diameter in millimetres.
    #[must_use]
    pub fn shown_in(mut self, unit: &'static str) -> Self {
        self.per_shown =
            quantity::read(&format!("1 {unit}"), self.unit, Units::Metric).unwrap_or(1.0);
        self.unit = unit;
        self
    }

    /// A share of one, typed in hundredths.
    #[must_use]
    pub fn in_percent(mut self) -> Self {
        self.per_shown = 0.01;
        self.unit = "%";
        self
    }

    /// With words of its own where a unit would stand.
    #[must_use]
    pub fn unit(mut self, unit: &'static str) -> Self {
        self.unit = unit;
        self
    }

    /// What a fresh page starts with, in the input's own unit.
    #[must_use]
    pub fn usually(mut self, value: f64) -> Self {
        self.usual = Some(value);
        self
    }

    /// May be left empty, and then says this.
    #[must_use]
    pub fn or_empty(mut self, hint: &'static str) -> Self {
        self.may_be_empty = true;
        self.usual = None;
        self.hint = hint;
        self
    }

    /// May be left empty, and starts with its usual value all the same.
    #[must_use]
    pub fn or_may_be_empty(mut self) -> Self {
        self.may_be_empty = true;
        self
    }

    /// Help under the blank.
    #[must_use]
    pub fn hint(mut self, hint: &'static str) -> Self {
        self.hint = hint;
        self
    }

    /// Id of the element.
    pub fn id(&self) -> String {
        format!("b-{}", self.name)
    }

    fn fresh(&self, units: Units) -> String {
        if let Some((word, _)) = self.choices.first() {
            return (*word).to_owned();
        }
        self.usual.map_or_else(String::new, |usual| {
            quantity::for_blank(usual / self.per_shown, self.unit, units)
        })
    }

    fn read(&self, typed: &str, units: Units) -> Slot {
        if !self.choices.is_empty() {
            let known = self.choices.iter().find(|(word, _)| *word == typed);
            return known.map_or_else(
                || Slot::Bad("is one of the list".into()),
                |(word, _)| Slot::Word(word),
            );
        }
        if typed.trim().is_empty() {
            return Slot::Empty;
        }
        match quantity::read(typed, self.unit, units) {
            Ok(shown) => {
                let value = shown * self.per_shown;
                self.range
                    .refuses(value)
                    .map_or(Slot::Number(value), Slot::Bad)
            }
            Err(problem) => Slot::Bad(problem),
        }
    }
}

#[derive(Clone, Debug)]
enum Slot {
    Number(f64),
    Word(&'static str),
    Empty,
    Bad(String),
}

/// Why a figure did not come out.
#[derive(Clone, Debug)]
pub enum Gap {
    /// A blank is empty, or what stands in it was refused.
    Missing(Missing),
    /// The numbers cannot stand together.
    Impossible(String),
}

impl From<Vec<Fault>> for Gap {
    fn from(faults: Vec<Fault>) -> Self {
        let sentences: Vec<_> = faults.into_iter().map(|fault| fault.problem).collect();
        Self::Impossible(sentences.join(" "))
    }
}

/// What a sum is given.
#[derive(Clone, Debug)]
pub struct Given {
    asks: Arc<[Ask]>,
    typed: Typed,
    slots: HashMap<&'static str, Slot>,
    /// Units of the sheet.
    pub units: Units,
}

impl Given {
    /// Reads what the address holds. A blank the address does not name starts with its usual value.
    pub fn read(asks: Arc<[Ask]>, mut typed: Typed, units: Units) -> Self {
        for ask in asks.iter() {
            typed
                .entry(ask.name.to_owned())
                .or_insert_with(|| ask.fresh(units));
        }
        let slots = asks
            .iter()
            .map(|ask| (ask.name, ask.read(&typed[ask.name], units)))
            .collect();
        Self {
            asks,
            typed,
            slots,
            units,
        }
    }

    fn ask(&self, name: &str) -> &Ask {
        self.asks
            .iter()
            .find(|ask| ask.name == name)
            .unwrap_or_else(|| panic!("the sum asks for no {name}"))
    }

    /// The number in a blank.
    ///
    /// # Errors
    /// The blank, when nothing that can stand there is in it.
    pub fn get(&self, name: &str) -> Result<f64, Gap> {
        match self.slots.get(name) {
            Some(Slot::Number(value)) => Ok(*value),
            _ => Err(self.missing(name)),
        }
    }

    /// The number in a blank that may be left empty.
    ///
    /// # Errors
    /// The blank, when what stands in it was refused.
    pub fn find(&self, name: &str) -> Result<Option<f64>, Gap> {
        match self.slots.get(name) {
            Some(Slot::Number(value)) => Ok(Some(*value)),
            Some(Slot::Empty) => Ok(None),
            _ => Err(self.missing(name)),
        }
    }

    /// The word chosen from a list.
    ///
    /// # Errors
    /// The list, when the address names none of it.
    pub fn word(&self, name: &str) -> Result<&'static str, Gap> {
        match self.slots.get(name) {
            Some(Slot::Word(word)) => Ok(word),
            _ => Err(self.missing(name)),
        }
    }

    fn missing(&self, name: &str) -> Gap {
        let ask = self.ask(name);
        Gap::Missing(Missing {
            href: format!("#{}", ask.id()),
            label: ask.label.clone(),
        })
    }

    /// Whether anything typed was refused.
    pub fn is_refused(&self) -> bool {
        self.slots.values().any(|slot| matches!(slot, Slot::Bad(_)))
    }

    /// The blanks as a page shows them.
    pub fn blanks(&self) -> Vec<Blank> {
        self.asks.iter().map(|ask| self.blank(ask)).collect()
    }

    fn blank(&self, ask: &Ask) -> Blank {
        let unit = quantity::shown_unit(ask.unit, self.units);
        let fault = match &self.slots[ask.name] {
            Slot::Bad(problem) => format!("{} {problem}.", ask.label),
            Slot::Empty if !ask.may_be_empty => format!("{} is needed.", ask.label),
            _ => String::new(),
        };
        let kind = if ask.choices.is_empty() {
            Entry::Number
        } else {
            Entry::Choice(
                ask.choices
                    .iter()
                    .map(|(word, label)| Choice {
                        value: (*word).into(),
                        label: (*label).into(),
                    })
                    .collect(),
            )
        };
        Blank {
            id: ask.id(),
            name: ask.name.into(),
            label: ask.label.clone(),
            value: self.typed[ask.name].clone(),
            unit: unit.into(),
            hint: ask.hint.into(),
            kind,
            fault,
            ..Blank::default()
        }
    }

    /// Every value for the address, in the units asked for.
    pub fn address(&self, units: Units) -> Vec<(String, String)> {
        self.asks
            .iter()
            .map(|ask| {
                let typed = &self.typed[ask.name];
                let value = match self.slots[ask.name] {
                    Slot::Number(value) if units != self.units => {
                        quantity::for_blank(value / ask.per_shown, ask.unit, units)
                    }
                    _ => typed.clone(),
                };
                (ask.name.to_owned(), value)
            })
            .collect()
    }
}

/// A JSON number, for inputs that are put together.
pub fn number(value: f64) -> Value {
    serde_json::Number::from_f64(value).map_or(Value::Null, Value::Number)
}
