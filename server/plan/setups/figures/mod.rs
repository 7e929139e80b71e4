//! The numbers of a pass: each with its unit, its because, its source, and whether it rests on a usual value.
//!
//! One ledger a file. Formulas are in `stillair_calc`; here a pass's facts are put into them and the sum is written out.

pub mod lens;
pub mod light;
pub mod time;
pub mod water;

use super::{
    facts::{Facts, Gap},
    setup::{Pass, Setup},
};
use crate::{
    journal::record::Entry,
    plan::Plan,
    web::parts::{Figure, Missing},
};

/// A figure that came out.
pub struct Told {
    /// As shown, without its unit.
    pub shown: String,
    /// The sum with these numbers in it.
    pub expression: String,
    /// Why, in words.
    pub words: String,
    /// Where the formula comes from, with its mark.
    pub source: String,
    /// Beyond a limit: said in bold.
    pub over: String,
}

impl Told {
    /// A figure with its sum and the words behind it.
    pub fn new(
        shown: impl Into<String>,
        expression: impl Into<String>,
        words: impl Into<String>,
        source: impl Into<String>,
    ) -> Self {
        Self {
            shown: shown.into(),
            expression: expression.into(),
            words: words.into(),
            source: source.into(),
            over: String::new(),
        }
    }
}

/// A number between two steps of a sum, to six digits: enough for a result of four, and short enough to read.
pub fn step(value: f64) -> String {
    if value == 0.0 || !value.is_finite() || !(1e-4..1e9).contains(&value.abs()) {
        return stillair_calc::figure::given(value);
    }
    let text = stillair_calc::figure::significant(value, 6);
    if text.contains('.') {
        text.trim_end_matches('0').trim_end_matches('.').to_owned()
    } else {
        text
    }
}

/// Works one figure out and notes what it rests on.
///
/// # Errors
/// The first blank that is missing, or a sentence on what cannot be.
pub fn figure(
    facts: &Facts<'_>,
    id: &str,
    ring: &str,
    name: &str,
    unit: &str,
    work: impl FnOnce(&Facts<'_>) -> Result<Told, Gap>,
) -> Figure {
    facts.begin();
    let mut figure = Figure {
        id: format!("f-{id}"),
        ring: ring.into(),
        name: name.into(),
        unit: unit.into(),
        ..Figure::default()
    };
    match work(facts) {
        Ok(told) => {
            figure.value = told.shown;
            figure.expression = told.expression;
            figure.because = told.words;
            figure.source = told.source;
            figure.over = told.over;
            figure.rests_on_usual = facts.rests_on_usual();
            figure.disputed = facts.is_disputed();
        }
        Err(Gap::Missing { blank, label }) => {
            figure.missing = Some(Missing {
                href: format!("#{blank}"),
                label: label.into(),
            });
        }
        Err(Gap::Impossible(sentence)) => figure.because = sentence,
    }
    figure
}

/// All ledgers of a pass.
#[derive(Clone, Debug, Default)]
pub struct Figures {
    /// Time and travel.
    pub time: Vec<Figure>,
    /// Lens and sharpness.
    pub lens: Vec<Figure>,
    /// Light.
    pub light: Vec<Figure>,
    /// Water.
    pub water: Vec<Figure>,
}

impl Figures {
    /// A figure by its id.
    pub fn get(&self, id: &str) -> Option<&Figure> {
        let id = format!("f-{id}");
        self.all().find(|f| f.id == id)
    }

    /// Every figure.
    pub fn all(&self) -> impl Iterator<Item = &Figure> {
        [&self.time, &self.lens, &self.light, &self.water]
            .into_iter()
            .flatten()
    }

    /// Value and unit of a figure as one phrase; a long dash while not enough is known.
    pub fn phrase(&self, id: &str) -> String {
        match self.get(id) {
            Some(f) if !f.value.is_empty() && f.unit.is_empty() => f.value.clone(),
            Some(f) if !f.value.is_empty() => format!("{} {}", f.value, f.unit),
            _ => "—".into(),
        }
    }
}

/// Works all figures of a pass out.
pub fn figures(plan: &Plan, setup: &Entry<Setup>, pass: Option<&Entry<Pass>>) -> Figures {
    figures_of(&Facts::of(plan, setup, pass))
}

/// The same, from facts that are already gathered.
pub fn figures_of(facts: &Facts<'_>) -> Figures {
    Figures {
        time: time::ledger(facts),
        lens: lens::ledger(facts),
        light: light::ledger(facts),
        water: water::ledger(facts),
    }
}
