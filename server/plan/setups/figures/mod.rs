//! The numbers of a pass: each with its unit, its because, its source, and whether it rests on a usual value.
//!
//! One ledger a file. Formulas are in `stillair_calc`; here a pass's facts are put into them and the sum is written out.

pub mod common;
pub mod coverage;
pub mod drive;
pub mod flicker;
pub mod forced;
pub mod further;
pub mod hanging;
pub mod lens;
pub mod light;
pub mod live_action;
pub mod practicals;
pub mod projection;
pub mod shadow;
pub mod slices;
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
use stillair_calc::{Mark, Worked};

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

    /// A figure that one calculation gives: its own sum, then the words, then its source with its mark.
    pub fn by<A>(shown: impl Into<String>, worked: &Worked<A>, words: impl Into<String>) -> Self {
        let source = match worked.source_mark {
            Mark::Confirmed => worked.source.to_owned(),
            mark => format!("{}; {}", worked.source, mark.as_str()),
        };
        Self::new(shown, sum_of(&worked.because), words, source)
    }
}

/// The sum at the head of a calculation's because, up to its number and unit; what it says after that is said here in words.
fn sum_of(because: &str) -> String {
    let Some(equals) = because.find(" = ") else {
        return String::new();
    };
    let after = &because[equals + 3..];
    let number = after
        .find(|c: char| {
            !(c.is_ascii_digit()
                || matches!(c, '.' | '−' | '\u{202f}' | '×' | '^' | '⁰'..='⁹' | '⁻'))
        })
        .unwrap_or(after.len());
    format!(
        "{}{}",
        &because[..equals + 3],
        after[..number].trim_end_matches('.')
    )
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
    /// Ledgers that are open only where the setup needs them, by their id.
    pub further: Vec<(&'static str, Vec<Figure>)>,
}

impl Figures {
    /// A figure by its id.
    pub fn get(&self, id: &str) -> Option<&Figure> {
        let id = format!("f-{id}");
        self.all().find(|f| f.id == id)
    }

    /// Every figure.
    pub fn all(&self) -> impl Iterator<Item = &Figure> {
        let always = [&self.time, &self.lens, &self.light, &self.water];
        let further = self.further.iter().map(|(_, figures)| figures);
        always.into_iter().chain(further).flatten()
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
        further: further::ALL
            .iter()
            .filter(|ledger| (ledger.needed)(facts))
            .map(|ledger| (ledger.id, (ledger.figures)(facts)))
            .collect(),
    }
}
