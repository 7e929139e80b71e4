//! A bench sum: what it asks, and the figures, cautions and drawing that come of it.

use super::aims::Aim;
use super::ask::{Ask, Gap, Given};
use super::quantity::{self, Units};
use crate::web::parts::{Caution, Figure};
use std::sync::{Arc, OnceLock};
use stillair_calc::drawing::Drawing;
use stillair_calc::figure::{fixed, found, significant};
use stillair_calc::{Calculate, Worked};

/// One of the sums that crews do daily, made of several calculations that belong together.
pub struct Sum {
    /// In the address.
    pub slug: &'static str,
    /// Its heading.
    pub title: &'static str,
    /// What it tells, in one line.
    pub about: &'static str,
    /// What one is trying to do.
    pub aim: Aim,
    /// Other words that people look for it by.
    pub words: &'static str,
    /// Makes the blanks; see [`Self::asks`].
    pub make_asks: fn() -> Vec<Ask>,
    /// Kept after the first call.
    pub kept_asks: OnceLock<Arc<[Ask]>>,
    /// Works it out.
    pub work: fn(&Given) -> Results,
}

impl Sum {
    /// Its blanks, in reading order.
    pub fn asks(&self) -> Arc<[Ask]> {
        self.kept_asks
            .get_or_init(|| (self.make_asks)().into())
            .clone()
    }
}

/// Draws a picture to a width in drawing units: one for a laptop, a narrower one for a phone.
pub type Draws = Box<dyn Fn(f64) -> Drawing>;

/// What came of a sum.
#[derive(Default)]
pub struct Results {
    /// The figures, in reading order.
    pub figures: Vec<Figure>,
    /// Usual cautions, where work can hurt someone.
    pub cautions: Vec<Caution>,
    /// A picture, where people would rather look than read.
    pub drawing: Option<Draws>,
    /// What to know about the picture.
    pub legend: &'static str,
}

/// A figure that came out.
pub struct Came {
    value: Value,
    because: String,
    words: String,
    source: String,
    over: String,
}

enum Value {
    Number(f64),
    Words(String),
}

impl Came {
    /// A number, in the unit the figure is declared with.
    pub fn number(value: f64) -> Self {
        Self::of(Value::Number(value))
    }

    /// A figure that is words: "none", "any angle".
    pub fn words_only(value: impl Into<String>) -> Self {
        Self::of(Value::Words(value.into()))
    }

    fn of(value: Value) -> Self {
        Self {
            value,
            because: String::new(),
            words: String::new(),
            source: String::new(),
            over: String::new(),
        }
    }

    /// The sum written out, with where it comes from and the doubts that go with it.
    #[must_use]
    pub fn because<C: Calculate>(mut self, _: &C, worked: &Worked<C::Answer>) -> Self {
        worked
            .because
            .trim_end_matches('.')
            .clone_into(&mut self.because);
        self.source = format!("{}; {}", worked.source, C::CALCULATION.mark.as_str());
        let doubts = worked
            .warnings
            .iter()
            .map(|kind| stillair_calc::doubt::words(kind));
        self.words = doubts.collect::<Vec<_>>().join(" ");
        self
    }

    /// What the figure means on the stage.
    #[must_use]
    pub fn words(mut self, words: impl AsRef<str>) -> Self {
        self.words = if self.words.is_empty() {
            words.as_ref().to_owned()
        } else {
            format!("{} {}", words.as_ref(), self.words)
        };
        self
    }

    /// Beyond a limit: said in bold.
    #[must_use]
    pub fn over(mut self, over: impl Into<String>) -> Self {
        // said in bold, a doubt need not be said again
        self.words.clear();
        self.over = over.into();
        self
    }
}

impl Given {
    /// One figure, in a metric unit; it is shown in the sheet's own.
    pub fn figure(
        &self,
        id: &str,
        name: &str,
        unit: &'static str,
        work: impl FnOnce(&Self) -> Result<Came, Gap>,
    ) -> Figure {
        let mut figure = Figure {
            id: format!("f-{id}"),
            name: name.into(),
            ..Figure::default()
        };
        match work(self) {
            Ok(came) => {
                figure.expression = came.because;
                figure.because = came.words;
                figure.source = came.source;
                figure.over = came.over;
                match came.value {
                    Value::Number(value) => {
                        figure.value = earned(value, unit, self.units);
                        quantity::shown_unit(unit, self.units).clone_into(&mut figure.unit);
                        if unit == "lx" && value.is_finite() {
                            let other = in_both(value, unit, self.units);
                            figure.because = format!("{other} {}", figure.because).trim().into();
                        }
                    }
                    Value::Words(words) => figure.value = words,
                }
            }
            Err(Gap::Missing(missing)) => figure.missing = Some(missing),
            Err(Gap::Impossible(sentence)) => figure.because = sentence,
        }
        figure
    }
}

/// Lux and foot-candles beside one another, whichever of them the figure is in.
fn in_both(value: f64, unit: &'static str, units: Units) -> String {
    let other = units.other();
    format!(
        "That is {} {}.",
        earned(value, unit, other),
        quantity::shown_unit(unit, other)
    )
}

/// The figure with as many digits as it earns: whole millimetres above a hundred, three digits elsewhere.
pub fn earned(value: f64, unit: &'static str, units: Units) -> String {
    let value = quantity::crossed(value, unit, units);
    let size = value.abs();
    if !value.is_finite() || value == 0.0 {
        return found(value);
    }
    match quantity::shown_unit(unit, units) {
        "fps" | "%" | "°" if (1.0..1000.0).contains(&size) => fixed(value, 1),
        "mm" | "min" | "lx" | "fc" if size >= 100.0 => fixed(value, 0),
        "in" | "mm" if size >= 10.0 => fixed(value, 1),
        _ if size >= 1000.0 => found(value.round()),
        _ => significant(value, 3),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn figures_have_the_digits_they_earn() {
        for (value, unit, units, shown) in [
            (844.4, "mm", Units::Metric, "844"),
            (84.44, "mm", Units::Metric, "84.4"),
            (1.234_56, "m/s", Units::Metric, "1.23"),
            (3104.64, "lx", Units::Metric, "3\u{202f}105"),
            (3104.64, "lx", Units::Feet, "288"),
            (1260.0, "mm", Units::Feet, "49.6"),
            (117.5755, "fps", Units::Metric, "117.6"),
            (f64::INFINITY, "mm", Units::Metric, "∞"),
            (0.0, "mm", Units::Metric, "0"),
        ] {
            assert_eq!(earned(value, unit, units), shown, "{value} {unit}");
        }
    }
}
