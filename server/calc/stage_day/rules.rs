//! What a stage day has to keep: its length, its meal, its rest, and the windows of its setups.

use std::fmt;

use super::{MAX_MINUTES, clock::time_of_day};

/// Settings of a stage day, minutes; those without another word count from the call.
///
/// The default follows common crew agreements only loosely: law and the agreement in force decide, so each is a setting.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct DayRules {
    /// The call, minutes after midnight.
    pub call_min: u32,
    /// Call to latest wrap.
    pub day_minutes: u32,
    /// Power on, checks, first walk.
    pub open: u32,
    /// Make the stage secure, cover, power off.
    pub close: u32,
    /// Length of the meal.
    pub meal: u32,
    /// Earliest start of the meal.
    pub meal_earliest: u32,
    /// Latest start of the meal; a day that ends by then needs none.
    pub meal_latest: u32,
    /// Least rest between wrap and the next call.
    pub turnaround: u32,
}

impl Default for DayRules {
    fn default() -> Self {
        Self {
            call_min: 480,
            day_minutes: 600,
            open: 20,
            close: 15,
            meal: 60,
            meal_earliest: 180,
            meal_latest: 360,
            turnaround: 660,
        }
    }
}

impl DayRules {
    /// What a new plan starts from: 45 minutes to open and 30 to close (common practice, no source).
    pub fn for_a_new_plan() -> Self {
        Self {
            open: 45,
            close: 30,
            ..Self::default()
        }
    }

    /// Refuses rules no day can keep.
    ///
    /// # Errors
    /// [`RulesFault`] names what is wrong.
    pub fn check(&self) -> Result<(), RulesFault> {
        let fields = [
            ("call_min", self.call_min),
            ("day_minutes", self.day_minutes),
            ("open", self.open),
            ("close", self.close),
            ("meal", self.meal),
            ("meal_earliest", self.meal_earliest),
            ("meal_latest", self.meal_latest),
            ("turnaround", self.turnaround),
        ];
        if let Some((field, _)) = fields.into_iter().find(|(_, value)| *value > MAX_MINUTES) {
            return Err(RulesFault::TooLong { field });
        }
        if self.meal_earliest > self.meal_latest {
            return Err(RulesFault::MealWindow);
        }
        if self.open + self.close > self.day_minutes {
            return Err(RulesFault::NoTimeToWork);
        }
        Ok(())
    }
}

/// Why day rules cannot be used.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum RulesFault {
    /// A figure is beyond a year.
    TooLong {
        /// Name of the field.
        field: &'static str,
    },
    /// The meal may start no later than it may start at the earliest.
    MealWindow,
    /// Opening and closing alone are longer than the day.
    NoTimeToWork,
}

impl fmt::Display for RulesFault {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::TooLong { field } => {
                write!(f, "{field} may be at most {MAX_MINUTES} minutes, a year")
            }
            Self::MealWindow => f.write_str(
                "the latest start of the meal is before its earliest start: let the meal start later, or earlier",
            ),
            Self::NoTimeToWork => f.write_str(
                "opening and closing fill the whole day: give the day more minutes, or open and close faster",
            ),
        }
    }
}

impl std::error::Error for RulesFault {}

/// The moment before which an own block may not start: a piece is not built, paint is not dry.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Ready {
    /// Stage day, counted as the caller counts days.
    pub day: u32,
    /// Minutes after that day's call.
    pub minute: u32,
}

/// A booked start: the own block starts on that day inside the window.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Appointment {
    /// Stage day, counted as the caller counts days.
    pub day: u32,
    /// Earliest start, minutes after call.
    pub earliest_min: u32,
    /// Latest start, minutes after call.
    pub latest_min: u32,
}

/// A rule that a walked day does not keep. Rows count from 0 within the day; minutes count from the call.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum BrokenRule {
    /// The setup is on a day before the one it is ready on.
    NotReady {
        /// Row of the day.
        row: usize,
        /// Day it is ready.
        ready_day: u32,
    },
    /// The setup is booked on another day.
    BookedOtherDay {
        /// Row of the day.
        row: usize,
        /// Day it is booked.
        booked_day: u32,
    },
    /// The own block starts after the booked window.
    AfterAppointment {
        /// Row of the day.
        row: usize,
        /// Start of the own block.
        start_min: u32,
        /// Latest start booked.
        latest_min: u32,
    },
    /// The setup and the closing after it do not fit before the latest wrap.
    WrapPassed {
        /// Row of the day.
        row: usize,
        /// When the day would be closed after this setup.
        closed_min: u32,
        /// The latest wrap.
        day_minutes: u32,
    },
    /// The meal starts too late.
    MealLate {
        /// Row it is taken at.
        row: usize,
        /// Its start.
        start_min: u32,
        /// Its latest start.
        latest_min: u32,
    },
}

impl BrokenRule {
    /// The row it is about.
    pub fn row(&self) -> usize {
        match self {
            Self::NotReady { row, .. }
            | Self::BookedOtherDay { row, .. }
            | Self::AfterAppointment { row, .. }
            | Self::WrapPassed { row, .. }
            | Self::MealLate { row, .. } => *row,
        }
    }

    /// The rule as a sentence, with the setup's name and times on the clock. `call_min` is minutes after midnight.
    pub fn sentence(&self, setup: &str, call_min: u32) -> String {
        let at = |minutes: u32| time_of_day(call_min.saturating_add(minutes));
        match *self {
            Self::NotReady { ready_day, .. } => {
                format!(
                    "{setup} is not ready before day {ready_day}: move it there, or have it made sooner."
                )
            }
            Self::BookedOtherDay { booked_day, .. } => {
                format!(
                    "{setup} is booked on day {booked_day}: move it there, or change the booking."
                )
            }
            Self::AfterAppointment {
                start_min,
                latest_min,
                ..
            } => format!(
                "{setup} starts at {}, its booking ends at {}: {} min too late.",
                at(start_min),
                at(latest_min),
                start_min - latest_min
            ),
            Self::WrapPassed {
                closed_min,
                day_minutes,
                ..
            } => format!(
                "After {setup} the stage is closed at {}, the latest wrap is {}: {} min over.",
                at(closed_min),
                at(day_minutes),
                closed_min - day_minutes
            ),
            Self::MealLate {
                start_min,
                latest_min,
                ..
            } => format!(
                "The meal at {setup} starts at {}, it may start at {} at the latest: {} min too late.",
                at(start_min),
                at(latest_min),
                start_min - latest_min
            ),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn rules_no_day_can_keep_are_refused() {
        assert_eq!(DayRules::for_a_new_plan().check(), Ok(()));
        let check = |change: fn(&mut DayRules)| {
            let mut rules = DayRules::default();
            change(&mut rules);
            rules.check()
        };
        assert_eq!(
            check(|r| r.meal_earliest = 400),
            Err(RulesFault::MealWindow)
        );
        assert_eq!(check(|r| r.open = 590), Err(RulesFault::NoTimeToWork));
        assert_eq!(
            check(|r| r.meal = u32::MAX),
            Err(RulesFault::TooLong { field: "meal" })
        );
    }

    #[test]
    fn a_broken_rule_speaks_in_clock_times() {
        let broken = BrokenRule::WrapPassed {
            row: 2,
            closed_min: 612,
            day_minutes: 600,
        };
        assert_eq!(
            broken.sentence("24C", 480),
            "After 24C the stage is closed at 18:12, the latest wrap is 18:00: 12 min over."
        );
        assert_eq!(broken.row(), 2);
    }
}
