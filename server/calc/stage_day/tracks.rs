//! The two tracks a day is carried on, setup by setup: for the walk of one day and for a search over many.
//!
//! *Fasting* means the meal is not yet taken, *fed* that it is. Inside a track the earlier end is never worse, so one pass
//! over the setups is exact.

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
    /// Into the fasting track.
    pub fasting: Option<Step>,
    /// Into the fed track.
    pub fed: Option<Step>,
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
    pub(super) fn finish(&self, rules: &DayRules) -> Option<(bool, u32)> {
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
pub(super) fn broken_by_setup(
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
