//! A stage day drawn to time: setups tall, changeovers low and hatched by kind of work, every length dimensioned in minutes.

mod strip;
#[cfg(test)]
mod tests;

use super::shape::Hatch;

pub use strip::stage_day;

/// One stretch of the day.
#[derive(Clone, Debug, PartialEq)]
pub struct Block {
    /// What the crew does.
    pub work: Work,
    /// Code of a setup; empty otherwise.
    pub code: String,
    /// What it is called.
    pub name: String,
    /// Start, in minutes from midnight of the day.
    pub start_min: f64,
    /// How long it takes.
    pub minutes: f64,
    /// Where a click leads, if anywhere.
    pub address: Option<String>,
}

/// Kinds of work on a stage day.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Work {
    /// Call and talk-through.
    Call,
    /// A setup is shot.
    Setup,
    /// Clear the air.
    Clear,
    /// Set and dress.
    Set,
    /// Light.
    Light,
    /// Fill with haze.
    Fill,
    /// Let it go still.
    Still,
    /// Meal.
    Meal,
    /// Strike.
    Strike,
}

impl Work {
    pub(super) const fn hatch(self) -> Option<Hatch> {
        match self {
            Work::Clear => Some(Hatch::Clear),
            Work::Set => Some(Hatch::Set),
            Work::Light => Some(Hatch::Light),
            Work::Fill => Some(Hatch::Fill),
            Work::Still => Some(Hatch::Still),
            Work::Call | Work::Setup | Work::Meal | Work::Strike => None,
        }
    }

    /// Whether it is a part of a changeover, dimensioned together with its neighbours.
    pub(super) const fn is_part(self) -> bool {
        self.hatch().is_some() || matches!(self, Work::Strike)
    }

    /// The kind in words.
    pub const fn words(self) -> &'static str {
        match self {
            Work::Call => "Call",
            Work::Setup => "Setup",
            Work::Clear => "Clear the air",
            Work::Set => "Set and dress",
            Work::Light => "Light",
            Work::Fill => "Fill with haze",
            Work::Still => "Let it go still",
            Work::Meal => "Meal",
            Work::Strike => "Strike",
        }
    }
}

/// A stage day.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Day {
    /// Call, in minutes from midnight.
    pub call_min: f64,
    /// What is done, in order.
    pub blocks: Vec<Block>,
    /// The meal must begin by then.
    pub meal_by_min: Option<f64>,
    /// Everybody is out of the building by then.
    pub out_min: Option<f64>,
}

/// The form of the strip.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Strip {
    /// 1 080 units with row names at the left; scrolls sideways in its own box on a phone.
    Wide,
    /// 720 units for a printed sheet 190 mm wide, no row names.
    Print,
}
