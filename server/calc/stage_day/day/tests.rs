use proptest::prelude::*;

use super::*;
use crate::stage_day::blocks::BlockKind;
use crate::stage_day::changeover::{Combine, Part};

const RULES: DayRules = DayRules {
    call_min: 480,
    day_minutes: 600,
    open: 20,
    close: 15,
    meal: 60,
    meal_earliest: 180,
    meal_latest: 360,
    turnaround: 660,
};

fn setup(change_min: u32, own_min: u32) -> Planned {
    Planned {
        change: Changeover::from_parts(&[(Part::Dressing, change_min)], Combine::Sum),
        own_min,
        ready: None,
        appointment: None,
    }
}

fn booked(setup: Planned, day: u32, earliest_min: u32, latest_min: u32) -> Planned {
    Planned {
        appointment: Some(Appointment {
            day,
            earliest_min,
            latest_min,
        }),
        ..setup
    }
}

fn ready(setup: Planned, day: u32, minute: u32) -> Planned {
    Planned {
        ready: Some(Ready { day, minute }),
        ..setup
    }
}

#[test]
fn an_empty_day_uses_no_minutes() {
    let walk = simulate_day(&RULES, 1, &[]).expect("nothing to break");
    assert_eq!(
        (walk.finish_min, walk.rows, walk.blocks),
        (0, vec![], vec![])
    );
}

#[test]
fn a_setup_waits_until_it_is_ready_on_the_day_and_not_on_a_later_one() {
    let day = [setup(30, 40), ready(setup(10, 40), 2, 150)];
    let waits = simulate_day(&RULES, 2, &day).expect("fits");
    assert_eq!((waits.rows[1].wait_min, waits.rows[1].start_min), (50, 150));
    let later = simulate_day(&RULES, 3, &day).expect("fits");
    assert_eq!(later.rows[1].wait_min, 0);
    let early = simulate_day(&RULES, 1, &day).expect_err("not made yet");
    let not_ready = BrokenRule::NotReady {
        row: 1,
        ready_day: 2,
    };
    assert_eq!((early.row, early.broken), (1, vec![not_ready]));
}

#[test]
fn a_booking_on_another_day_is_named() {
    let day = [booked(setup(30, 40), 2, 60, 90)];
    let refused = simulate_day(&RULES, 1, &day).expect_err("booked elsewhere");
    let elsewhere = BrokenRule::BookedOtherDay {
        row: 0,
        booked_day: 2,
    };
    assert_eq!(refused.broken, [elsewhere]);
}

#[test]
fn the_meal_goes_after_the_changeover_when_only_that_keeps_the_window() {
    // The first setup of a day takes no meal before its changeover, and without one it would run past the latest start.
    let walk = simulate_day(&RULES, 1, &[setup(180, 250)]).expect("fits");
    let meal = Meal {
        place: MealPlace::AfterChange,
        at_min: 200,
    };
    assert_eq!(walk.rows[0].meal, Some(meal));
    assert_eq!((walk.rows[0].start_min, walk.finish_min), (260, 525));
}

#[test]
fn of_equal_places_the_meal_is_taken_late_and_before_the_changeover() {
    let day = [setup(80, 100), setup(20, 60), setup(20, 60)];
    let walk = simulate_day(&RULES, 1, &day).expect("fits");
    let meals: Vec<_> = walk.rows.iter().map(|row| row.meal).collect();
    let meal = Meal {
        place: MealPlace::BeforeChange,
        at_min: 280,
    };
    assert_eq!(meals, [None, None, Some(meal)]);
}

#[test]
fn a_day_whose_closing_runs_past_the_latest_meal_takes_one() {
    // Ends at 350 without a meal, closed at 365.
    let walk = simulate_day(&RULES, 1, &[setup(180, 150)]).expect("fits with a meal");
    assert!(walk.rows[0].meal.is_some());
    // Closed at 360: no meal.
    let short = simulate_day(&RULES, 1, &[setup(180, 145)]).expect("fits");
    assert_eq!((short.rows[0].meal, short.finish_min), (None, 360));
}

#[test]
fn an_over_long_day_is_drawn_with_its_meal_and_the_rule_named() {
    let day = [setup(100, 200), setup(40, 150), setup(30, 60)];
    let refused = simulate_day(&RULES, 1, &day).expect_err("too long");
    assert_eq!(refused.row, 2);
    let walk = walk_day(&RULES, 1, &day);
    let over = BrokenRule::WrapPassed {
        row: 2,
        closed_min: 675,
        day_minutes: 600,
    };
    assert_eq!(
        (walk.finish_min, walk.broken, walk.stops_at),
        (675, vec![over], Some(2))
    );
    assert_eq!(
        walk.blocks
            .iter()
            .filter(|b| b.kind == BlockKind::Meal)
            .count(),
        1
    );
}

#[test]
fn a_meal_that_cannot_be_in_time_is_drawn_late() {
    let walk = walk_day(&RULES, 1, &[setup(360, 30)]);
    let late = BrokenRule::MealLate {
        row: 0,
        start_min: 380,
        latest_min: 360,
    };
    assert_eq!(
        (walk.broken, walk.stops_at, walk.finish_min),
        (vec![late], Some(0), 485)
    );
}

#[test]
fn the_strip_names_every_kind_of_span() {
    let day = [setup(30, 40), ready(setup(10, 300), 1, 150)];
    let walk = simulate_day(&RULES, 1, &day).expect("fits");
    let kinds: Vec<_> = walk
        .blocks
        .iter()
        .map(|b| (b.kind, b.start_min, b.minutes))
        .collect();
    let dressing = BlockKind::Changeover(Part::Dressing);
    assert_eq!(
        kinds,
        [
            (BlockKind::Open, 0, 20),
            (dressing, 20, 30),
            (BlockKind::Setup, 50, 40),
            (dressing, 90, 10),
            (BlockKind::Wait, 100, 80),
            (BlockKind::Meal, 180, 60),
            (BlockKind::Setup, 240, 300),
            (BlockKind::Close, 540, 15),
        ]
    );
}

#[test]
fn own_minutes_add_the_takes() {
    let own = OwnBlock {
        prepare_min: 5,
        trim_min: 5,
        settle_min: 10,
        takes: 4,
        take_cycle_min: 10,
    };
    assert_eq!(own.minutes(), 60);
}

#[test]
fn minutes_beyond_all_reason_do_not_break_the_walk() {
    let walk = walk_day(&RULES, 1, &[setup(30, u32::MAX), setup(u32::MAX, 10)]);
    assert_eq!(walk.stops_at, Some(0));
}

/// Least finish over every place the meal can have, by plain trial: none, or one of two places at each setup. Written
/// from the rule without tracks.
fn by_trial(rules: &DayRules, day: u32, setups: &[Planned]) -> Option<u32> {
    let places = std::iter::once(None)
        .chain((0..setups.len()).flat_map(|row| [Some((row, true)), Some((row, false))]));
    places
        .filter_map(|meal| trial(rules, day, setups, meal))
        .min()
}

fn trial(
    rules: &DayRules,
    day: u32,
    setups: &[Planned],
    meal: Option<(usize, bool)>,
) -> Option<u32> {
    let mut clock = rules.open;
    for (row, setup) in setups.iter().enumerate() {
        let change = setup.change.minutes();
        let eat = |clock: u32| {
            let start = clock.max(rules.meal_earliest);
            (start <= rules.meal_latest).then_some(start + rules.meal)
        };
        clock = match meal {
            Some((at, true)) if at == row && row == 0 => return None,
            Some((at, true)) if at == row => eat(clock)? + change,
            Some((at, false)) if at == row => eat(clock + change)?,
            _ => clock + change,
        };
        if let Some(ready) = setup.ready {
            if ready.day > day {
                return None;
            }
            clock = clock.max(if ready.day == day { ready.minute } else { 0 });
        }
        if let Some(booked) = setup.appointment {
            clock = clock.max(booked.earliest_min);
            if booked.day != day || clock > booked.latest_min {
                return None;
            }
        }
        clock += setup.own_min;
        if clock + rules.close > rules.day_minutes {
            return None;
        }
    }
    let finish = clock + rules.close;
    (meal.is_some() || finish <= rules.meal_latest).then_some(finish)
}

fn any_setup() -> impl Strategy<Value = Planned> {
    let ready = prop::option::weighted(0.2, (1..3_u32, 0..500_u32));
    let window = prop::option::weighted(0.2, (1..3_u32, 0..400_u32, 0..200_u32));
    (0..90_u32, 5..160_u32, ready, window).prop_map(|(change, own, ready, window)| Planned {
        ready: ready.map(|(day, minute)| Ready { day, minute }),
        appointment: window.map(|(day, earliest_min, length)| Appointment {
            day: day.div_ceil(2),
            earliest_min,
            latest_min: earliest_min + length,
        }),
        ..setup(change, own)
    })
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(4000))]

    #[test]
    fn tracks_find_what_plain_trial_finds(setups in prop::collection::vec(any_setup(), 1..6)) {
        let walked = simulate_day(&RULES, 1, &setups).map(|walk| walk.finish_min).ok();
        prop_assert_eq!(walked, by_trial(&RULES, 1, &setups));
    }

    #[test]
    fn a_walk_is_broken_exactly_when_it_is_refused(setups in prop::collection::vec(any_setup(), 1..7)) {
        let walk = walk_day(&RULES, 1, &setups);
        prop_assert_eq!(walk.broken.is_empty(), walk.stops_at.is_none());
        prop_assert_eq!(walk.rows.len(), setups.len());
    }

    #[test]
    fn the_strip_has_no_gap_and_no_overlap(setups in prop::collection::vec(any_setup(), 1..7)) {
        let walk = walk_day(&RULES, 1, &setups);
        let mut clock = 0;
        for block in &walk.blocks {
            prop_assert_eq!(block.start_min, clock);
            clock = block.end_min();
        }
        prop_assert_eq!(clock, walk.finish_min);
    }
}
