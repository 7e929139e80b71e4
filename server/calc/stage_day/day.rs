//! One stage day on the clock.
//!
//! The day is carried on two [tracks](super::tracks), so one pass over the setups is exact. The own block of a setup is
//! never split by the meal.
//!
//! A day that breaks a rule is walked all the same, so that it can be drawn and the rule named: a broken rule never bends
//! the times, and of two ways through the day the one with the better meal comes first, then the one that breaks fewer
//! rules, then the one that ends sooner. Where nothing is broken this is the strict rule.

use super::blocks::{Block, blocks};
use super::changeover::{Changeover, ChangeoverTable, StageState};
use super::rules::{Appointment, BrokenRule, DayRules, Ready};
pub use super::tracks::{Mark, Meal, MealPlace, Tracks, Visit};
use super::tracks::{Step, Steps, broken_by_setup};

/// A setup placed in a day, with the work it takes to get there.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Planned {
    /// The changeover from what stood before.
    pub change: Changeover,
    /// Minutes of its own block.
    pub own_min: u32,
    /// When it can be shot at the earliest.
    pub ready: Option<Ready>,
    /// Its booked start.
    pub appointment: Option<Appointment>,
}

impl Planned {
    fn visit(&self) -> Visit {
        Visit {
            change_min: self.change.minutes(),
            own_min: self.own_min,
            ready: self.ready,
            appointment: self.appointment,
        }
    }
}

/// The five figures of an own block. Whole minutes but for the count of takes.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct OwnBlock {
    /// Final touch and rehearsal, done every time.
    pub prepare_min: u32,
    /// Line-up, done every time.
    pub trim_min: u32,
    /// Waiting for air and pieces to come to rest.
    pub settle_min: u32,
    /// Takes planned.
    pub takes: u32,
    /// Minutes from one take to the next.
    pub take_cycle_min: u32,
}

impl OwnBlock {
    /// `prepare + trim + settle + takes × take cycle`, minutes. Figures beyond the range of the type stop at its end.
    pub fn minutes(self) -> u32 {
        self.takes
            .saturating_mul(self.take_cycle_min)
            .saturating_add(self.prepare_min)
            .saturating_add(self.trim_min)
            .saturating_add(self.settle_min)
    }
}

/// What the day starts from.
#[derive(Clone, Copy, Debug)]
pub enum Morning<'a> {
    /// The first day of the job: empty stage, clear air.
    EmptyStage,
    /// A later day: what stood the evening before, with the air as the night leaves it.
    AfterNight(&'a StageState),
    /// The middle of a day: what stands now, air included.
    AsItStands(&'a StageState),
}

/// The changeovers of a day's setups in order.
pub fn changeovers(
    table: &ChangeoverTable,
    morning: Morning<'_>,
    setups: &[&StageState],
) -> Vec<Changeover> {
    let Some(first) = setups.first() else {
        return Vec::new();
    };
    let first_change = match morning {
        Morning::EmptyStage => table.initial(first),
        Morning::AfterNight(before) => table.overnight(before, first),
        Morning::AsItStands(before) => table.between(before, first),
    };
    let later = setups
        .windows(2)
        .map(|pair| table.between(pair[0], pair[1]));
    std::iter::once(first_change).chain(later).collect()
}

/// One setup on the clock. Minutes after call.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Row {
    /// The changeover, with its parts.
    pub change: Changeover,
    /// Start of the changeover.
    pub change_start_min: u32,
    /// Minutes of the changeover.
    pub change_min: u32,
    /// Minutes waited for ready or appointment once all else is done.
    pub wait_min: u32,
    /// Start of the own block.
    pub start_min: u32,
    /// End of the own block.
    pub end_min: u32,
    /// The meal, if it is taken at this setup.
    pub meal: Option<Meal>,
}

/// A day walked from call to close.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct DayWalk {
    /// The setups in order.
    pub rows: Vec<Row>,
    /// When the stage is closed, minutes after call: the minutes the day uses. 0 for an empty day.
    pub finish_min: u32,
    /// Rules the day does not keep, in row order; empty for a day that can be shot.
    pub broken: Vec<BrokenRule>,
    /// The setup at which no way through the day keeps every rule any more.
    pub stops_at: Option<usize>,
    /// The day as spans to draw, in order of start.
    pub blocks: Vec<Block>,
}

/// Why a day cannot be shot as it stands.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Refused {
    /// The setup at which no way through the day keeps every rule any more, counted from 0.
    pub row: usize,
    /// Rules broken on the best way through.
    pub broken: Vec<BrokenRule>,
}

impl std::fmt::Display for Refused {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(
            f,
            "the day cannot be shot in this order: it stops at setup {} of the day",
            self.row + 1
        )
    }
}

impl std::error::Error for Refused {}

/// Walks a day strictly.
///
/// `day` is the number of the stage day, counted as [`Ready`] and [`Appointment`] count.
///
/// # Errors
/// [`Refused`] names the setup at which no allowed way is left, with the broken rules of the best way through.
pub fn simulate_day(rules: &DayRules, day: u32, setups: &[Planned]) -> Result<DayWalk, Refused> {
    let walk = walk_day(rules, day, setups);
    match walk.stops_at {
        None => Ok(walk),
        Some(row) => Err(Refused {
            row,
            broken: walk.broken,
        }),
    }
}

/// Walks a day whatever it breaks, so that it can be drawn with the broken rules named.
pub fn walk_day(rules: &DayRules, day: u32, setups: &[Planned]) -> DayWalk {
    let mut tracks = Tracks::at_opening(rules);
    let mut steps = Vec::with_capacity(setups.len());
    let mut strict = Some(tracks);
    let mut stops_at = None;
    for (row, setup) in setups.iter().enumerate() {
        let visit = setup.visit();
        strict = strict.and_then(|strict| strict.step(rules, day, &visit).0.strict(rules));
        if strict.is_none() {
            stops_at = stops_at.or(Some(row));
        }
        let (next, step) = tracks.step(rules, day, &visit);
        tracks = next;
        steps.push(step);
    }
    let ends = strict.and_then(|strict| strict.finish_min(rules));
    if ends.is_none() {
        stops_at = stops_at.or(setups.len().checked_sub(1));
    }
    let (is_fed, finish_min) = match tracks.finish(rules) {
        Some(finish) if !setups.is_empty() => finish,
        _ => (false, 0),
    };
    let path = retrace(&steps, is_fed);
    let rows = rows(rules, setups, &path);
    DayWalk {
        broken: broken(rules, day, setups, &path),
        blocks: blocks(rules, &rows, finish_min),
        rows,
        finish_min,
        stops_at,
    }
}

/// The steps taken, first to last, from the track the day ends on.
fn retrace(steps: &[Steps], ends_fed: bool) -> Vec<Step> {
    let mut is_fed = ends_fed;
    let mut path: Vec<Step> = steps
        .iter()
        .rev()
        .filter_map(|step| {
            let taken = if is_fed { step.fed } else { step.fasting }?;
            is_fed = taken.was_fed;
            Some(taken)
        })
        .collect();
    path.reverse();
    path
}

fn rows(rules: &DayRules, setups: &[Planned], path: &[Step]) -> Vec<Row> {
    let mut before_min = rules.open;
    setups
        .iter()
        .zip(path)
        .map(|(setup, step)| {
            let change_start_min = match step.meal {
                Some(Meal {
                    place: MealPlace::BeforeChange,
                    at_min,
                }) => at_min.saturating_add(rules.meal),
                _ => before_min,
            };
            before_min = step.mark.end_min;
            Row {
                change: setup.change,
                change_start_min,
                change_min: setup.change.minutes(),
                wait_min: step.start_min - step.free_min,
                start_min: step.start_min,
                end_min: step.mark.end_min,
                meal: step.meal,
            }
        })
        .collect()
}

fn broken(rules: &DayRules, day: u32, setups: &[Planned], path: &[Step]) -> Vec<BrokenRule> {
    let late_meal = |row: usize, step: &Step| {
        let meal = step.meal.filter(|meal| meal.at_min > rules.meal_latest)?;
        Some(BrokenRule::MealLate {
            row,
            start_min: meal.at_min,
            latest_min: rules.meal_latest,
        })
    };
    setups
        .iter()
        .zip(path)
        .enumerate()
        .flat_map(|(row, (setup, step))| {
            let of_setup = broken_by_setup(rules, day, &setup.visit(), row, step.start_min);
            std::iter::once(late_meal(row, step)).chain(of_setup)
        })
        .flatten()
        .collect()
}

#[cfg(test)]
mod tests;
