//! One stage day on the clock.
//!
//! The day is carried on two tracks: *fasting*, the meal not yet taken, and *fed*. Inside a track the earlier end is never
//! worse, so one pass over the setups is exact. The own block of a setup is never split by the meal.
//!
//! A day that breaks a rule is walked all the same, so that it can be drawn and the rule named: a broken rule never bends
//! the times, and of two ways through the day the one with the better meal comes first, then the one that breaks fewer
//! rules, then the one that ends sooner. Where nothing is broken this is the strict rule.

use super::blocks::{Block, blocks};
use super::changeover::{Changeover, ChangeoverTable, StageState};
use super::rules::{Appointment, BrokenRule, DayRules, Ready};

/// One setup as the clock sees it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Visit {
    /// Minutes of the changeover to it.
    pub change_min: u32,
    /// Minutes of its own block, which belong to it whatever came before.
    pub own_min: u32,
    /// When it can be shot at the earliest.
    pub ready: Option<Ready>,
    /// Its booked start.
    pub appointment: Option<Appointment>,
}

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

/// How far a track has come. Ordered: better meal, fewer broken rules, earlier end.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Mark {
    /// Minutes the meal started too late; 0 while it has not been taken.
    pub meal_late_min: u32,
    /// Rules of setups broken so far.
    pub broken: u32,
    /// End of the last own block, minutes after call.
    pub end_min: u32,
}

impl Mark {
    /// Whether nothing is broken on the way here.
    pub fn keeps_rules(&self) -> bool {
        self.meal_late_min == 0 && self.broken == 0
    }
}

/// Where a meal lies at a setup.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum MealPlace {
    /// Between the setup before and the changeover.
    BeforeChange,
    /// Between the changeover and the own block.
    AfterChange,
}

/// A meal taken at a setup.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Meal {
    /// Where it lies.
    pub place: MealPlace,
    /// Its start, minutes after call.
    pub at_min: u32,
}

/// One step along a track: how a setup is reached and when its own block runs.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Step {
    /// Whether the meal was already behind when the step began.
    pub was_fed: bool,
    /// The meal, if it is taken at this setup.
    pub meal: Option<Meal>,
    /// Everything but waiting for ready and appointment is done, minutes after call.
    pub free_min: u32,
    /// Start of the own block, minutes after call.
    pub start_min: u32,
    /// Where the track is after it.
    pub mark: Mark,
}

/// The two tracks of a day, for search: step setup by setup, ask whether and when the day may end.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Tracks {
    /// The meal is still to come.
    pub fasting: Option<Mark>,
    /// The meal is behind.
    pub fed: Option<Mark>,
    first: bool,
}

/// The best step into each track.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Steps {
    fasting: Option<Step>,
    fed: Option<Step>,
}

impl Tracks {
    /// The day after opening, before its first setup.
    pub fn at_opening(rules: &DayRules) -> Self {
        let opened = Mark {
            meal_late_min: 0,
            broken: 0,
            end_min: rules.open,
        };
        Self {
            fasting: Some(opened),
            fed: None,
            first: true,
        }
    }

    /// Walks one setup further, broken rules counted. For a strict day follow with [`Tracks::strict`].
    pub fn step(&self, rules: &DayRules, day: u32, visit: &Visit) -> (Self, Steps) {
        let change = visit.change_min;
        let without_meal = |was_fed| {
            move |from: Mark| {
                let free_min = from.end_min.saturating_add(change);
                arrive(rules, day, visit, from, (was_fed, None, free_min))
            }
        };
        let with_meal = |place| {
            move |from: Mark| {
                let (before, after) = match place {
                    MealPlace::BeforeChange => (0, change),
                    MealPlace::AfterChange => (change, 0),
                };
                let at_min = from.end_min.saturating_add(before).max(rules.meal_earliest);
                let free_min = at_min.saturating_add(rules.meal).saturating_add(after);
                let meal = Some(Meal { place, at_min });
                arrive(rules, day, visit, from, (false, meal, free_min))
            }
        };
        let fasting = self.fasting.map(without_meal(false));
        let before = self
            .fasting
            .filter(|_| !self.first)
            .map(with_meal(MealPlace::BeforeChange));
        let after = self.fasting.map(with_meal(MealPlace::AfterChange));
        let already = self.fed.map(without_meal(true));
        // The first of equals wins: the later boundary, and before the changeover rather than after.
        let fed = [before, after, already]
            .into_iter()
            .flatten()
            .min_by_key(|step| step.mark);
        let tracks = Self {
            fasting: fasting.map(|step| step.mark),
            fed: fed.map(|step| step.mark),
            first: false,
        };
        (tracks, Steps { fasting, fed })
    }

    /// Drops the tracks on which a rule is broken, and the fasting one once a meal can no longer start in time.
    /// `None` when no track is left: the setup just walked does not fit here.
    pub fn strict(mut self, rules: &DayRules) -> Option<Self> {
        self.fasting = self
            .fasting
            .filter(|mark| mark.keeps_rules() && mark.end_min <= rules.meal_latest);
        self.fed = self.fed.filter(Mark::keeps_rules);
        (self.fasting.is_some() || self.fed.is_some()).then_some(self)
    }

    /// When the stage is closed if the day ends here, minutes after call; `None` when it may not end here, because it is
    /// too long to go without a meal. On a lenient walk the day may be broken all the same.
    pub fn finish_min(&self, rules: &DayRules) -> Option<u32> {
        self.finish(rules).map(|(_, finish_min)| finish_min)
    }

    /// Whether the better end is on the fed track, and when the stage is closed.
    fn finish(&self, rules: &DayRules) -> Option<(bool, u32)> {
        let closed = |mark: Mark| mark.end_min.saturating_add(rules.close);
        let fed = self.fed.map(|mark| (mark, true));
        let fasting = self
            .fasting
            .filter(|mark| closed(*mark) <= rules.meal_latest)
            .map(|mark| (mark, false));
        [fed, fasting]
            .into_iter()
            .flatten()
            .min_by_key(|(mark, _)| *mark)
            .map(|(mark, is_fed)| (is_fed, closed(mark)))
    }
}

/// Ends a step: waits for ready and appointment, runs the own block, counts what is broken.
fn arrive(
    rules: &DayRules,
    day: u32,
    visit: &Visit,
    from: Mark,
    (was_fed, meal, free_min): (bool, Option<Meal>, u32),
) -> Step {
    let ready = visit.ready.filter(|ready| ready.day == day);
    let booked = visit.appointment.filter(|booked| booked.day == day);
    let start_min = free_min
        .max(ready.map_or(0, |ready| ready.minute))
        .max(booked.map_or(0, |booked| booked.earliest_min));
    let late = meal.map_or(0, |meal| meal.at_min.saturating_sub(rules.meal_latest));
    let end_min = start_min.saturating_add(visit.own_min);
    let broken = broken_by_setup(rules, day, visit, 0, start_min);
    let count = broken.iter().flatten().fold(0, |count, _| count + 1);
    Step {
        was_fed,
        meal,
        free_min,
        start_min,
        mark: Mark {
            meal_late_min: from.meal_late_min.max(late),
            broken: from.broken + count,
            end_min,
        },
    }
}

/// The rules a setup breaks when its own block starts at `start_min`.
fn broken_by_setup(
    rules: &DayRules,
    day: u32,
    visit: &Visit,
    row: usize,
    start_min: u32,
) -> [Option<BrokenRule>; 3] {
    let not_ready = visit
        .ready
        .filter(|ready| ready.day > day)
        .map(|ready| BrokenRule::NotReady {
            row,
            ready_day: ready.day,
        });
    let booked = visit.appointment.and_then(|booked| {
        if booked.day != day {
            return Some(BrokenRule::BookedOtherDay {
                row,
                booked_day: booked.day,
            });
        }
        (start_min > booked.latest_min).then_some(BrokenRule::AfterAppointment {
            row,
            start_min,
            latest_min: booked.latest_min,
        })
    });
    let closed_min = start_min
        .saturating_add(visit.own_min)
        .saturating_add(rules.close);
    let wrap = (closed_min > rules.day_minutes).then_some(BrokenRule::WrapPassed {
        row,
        closed_min,
        day_minutes: rules.day_minutes,
    });
    [not_ready, booked, wrap]
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
