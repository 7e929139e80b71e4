//! A stage day's haze from the plan: its setups, the tent of each, the stage's air, and what was read of it.

use super::reading::{self, Reading};
use crate::{
    journal::{
        record::{Entry, number_or_usual},
        value::Id,
    },
    plan::{
        Plan,
        days::walk::{Walked, walk},
        setups::{facts::Facts, figures::water, setup::Setup},
        stores::stage::Stage,
    },
};
use stillair_calc::{
    Calculate as _,
    haze_day::{Air, Breathed, Course, Held, breathed, course},
    haze_fill::LossRateFromTwoReadings,
};

/// A setup of the day that wants haze.
pub struct Wants<'a> {
    /// The setup.
    pub setup: &'a Entry<Setup>,
    /// Haze wanted.
    pub extinction_per_m: f64,
    /// What a gram of its droplets hides.
    pub hides_m2pg: f64,
    /// When, and in which tent.
    pub held: Held,
}

/// The leak as it is reckoned with.
pub struct Leak<'a> {
    /// All that is lost, each hour.
    pub total_per_h: f64,
    /// The part that the room gains.
    pub leak_per_h: f64,
    /// The reading it rests on; none while it is assumed.
    pub read: Option<&'a Entry<Reading>>,
}

/// A stage day's haze.
pub struct HazeDay<'a> {
    /// The day on the clock.
    pub walked: Walked<'a>,
    /// The stage, if one is chosen.
    pub stage: Option<&'a Entry<Stage>>,
    /// Its air.
    pub air: Air,
    /// What the tent loses.
    pub leak: Leak<'a>,
    /// Setups that want haze, in order.
    pub wants: Vec<Wants<'a>>,
    /// Setups whose haze is not known, with the blank that is missing or what cannot be.
    pub unknown: Vec<&'a Entry<Setup>>,
    /// Tent and room over the day.
    pub course: Course,
    /// What is breathed in the room; none while its volume is not written.
    pub breathed: Option<Breathed>,
}

/// The newest reading of the tent's leak in the plan.
fn newest_leak(plan: &Plan) -> Option<(&Entry<Reading>, f64)> {
    let mut all: Vec<_> = plan
        .readings
        .iter()
        .filter(|r| &*r.kind == "leak")
        .collect();
    all.sort_by_key(|r| std::cmp::Reverse(r.created_seq));
    all.into_iter()
        .find_map(|read| Some((read, lost_per_h(read)?)))
}

/// All that the tent lost between two readings, each hour.
pub fn lost_per_h(read: &Reading) -> Option<f64> {
    let two = LossRateFromTwoReadings {
        extinction_first_per_m: read.first_per_m?,
        extinction_second_per_m: read.second_per_m?,
        minutes_between: read.minutes_between?,
    };
    two.work().ok().map(|found| found.total_loss_per_h)
}

/// The newest reading of a setup's haze.
pub fn newest_of<'a>(plan: &'a Plan, setup: &Id) -> Option<(&'a Entry<Reading>, f64)> {
    let mut all: Vec<_> = plan
        .readings
        .iter()
        .filter(|r| r.setup.as_ref() == Some(setup))
        .collect();
    all.sort_by_key(|r| std::cmp::Reverse(r.created_seq));
    all.into_iter()
        .find_map(|read| Some((read, reading::extinction_per_m(read)?)))
}

fn leak<'a>(plan: &'a Plan, stage: Option<&Entry<Stage>>) -> Leak<'a> {
    let (leak, settling) = (
        number_or_usual(stage, "tent_leak_per_h"),
        number_or_usual(stage, "tent_settling_per_h"),
    );
    match newest_leak(plan) {
        // What was read is everything; what settles and dries of it is not known apart, so it is taken as before.
        Some((read, total)) => Leak {
            total_per_h: total,
            leak_per_h: (total - settling).max(0.0),
            read: Some(read),
        },
        None => Leak {
            total_per_h: leak + settling,
            leak_per_h: leak,
            read: None,
        },
    }
}

/// Air of the setup's tent, in cubic metres; none when it has no tent.
pub fn tent_m3(setup: &Setup) -> Option<f64> {
    Some(setup.tent_length_mm? * setup.tent_width_mm? * setup.tent_height_mm? / 1e9)
}

/// Stands for a room whose volume is not written: the tent's course does not rest on it, and the room's is not shown.
const NO_ROOM_M3: f64 = 1.0;

/// Where the air of a day is, in minutes from call to out, with room for the last purge.
const AFTER_MIN: f64 = 30.0;

/// The haze of a day of the plan; none if there is no such day.
pub fn haze_day<'a>(plan: &'a Plan, id: &Id) -> Option<HazeDay<'a>> {
    let walked = walk(plan, id)?;
    let stage = walked
        .day
        .stage
        .as_ref()
        .and_then(|id| plan.studio.stages.get(id))
        .or_else(|| plan.studio.stages.iter().next());
    let leak = leak(plan, stage);
    let room_m3 = stage.and_then(|s| s.volume_m3);
    let of = |field| number_or_usual(stage, field);
    let air = Air {
        room_m3: room_m3.unwrap_or(NO_ROOM_M3),
        leak_per_h: leak.leak_per_h,
        settling_per_h: (leak.total_per_h - leak.leak_per_h).max(0.0),
        purge_per_h: of("tent_purge_per_h"),
        room_shooting_per_h: of("room_changes_per_h"),
        room_between_per_h: stage
            .and_then(|s| s.extract_per_h)
            .unwrap_or_else(|| of("room_changes_per_h")),
        airborne_gpmin: of("haze_airborne_gpmin"),
        band: of("haze_band_percent") / 100.0,
        clear_mgpm3: number_or_usual(plan.production(), "air_average_mgpm3"),
    };
    let call = f64::from(walked.rules.call_min);
    let (mut wants, mut unknown) = (Vec::new(), Vec::new());
    for (placed, row) in walked.setups.iter().zip(&walked.walk.rows) {
        let setup = placed.setup;
        let pass = plan.passes_of_setup(&setup.id).into_iter().next();
        let facts = Facts::of(plan, setup, pass);
        let found = water::extinction_per_m(&facts)
            .and_then(|sigma| Ok((sigma, water::mass_extinction_m2pg(&facts)?)));
        let Ok((sigma, hides)) = found else {
            unknown.push(setup);
            continue;
        };
        if sigma <= 0.0 {
            continue;
        }
        // Without a tent the haze hangs in the room, and how much that is nobody has written.
        if tent_m3(setup).is_none() && room_m3.is_none() {
            unknown.push(setup);
            continue;
        }
        wants.push(Wants {
            setup,
            extinction_per_m: sigma,
            hides_m2pg: hides,
            held: Held {
                start_min: call + f64::from(row.start_min),
                end_min: call + f64::from(row.end_min),
                wanted_mgpm3: sigma / hides * 1000.0,
                tent_m3: tent_m3(setup),
            },
        });
    }
    let held: Vec<Held> = wants.iter().map(|w| w.held).collect();
    let to = call + f64::from(walked.walk.finish_min.max(60)) + AFTER_MIN;
    let course = course(&air, &held, call, to);
    let breathed = room_m3.map(|_| breathed(&course));
    Some(HazeDay {
        walked,
        stage,
        air,
        leak,
        wants,
        unknown,
        course,
        breathed,
    })
}

impl HazeDay<'_> {
    /// Fluid of the day in kilograms, the share that does not stay in the air included.
    pub fn fluid_kg(&self) -> f64 {
        self.course.airborne_g / number_or_usual(self.stage, "haze_yield") / 1000.0
    }

    /// The same in litres.
    pub fn fluid_l(&self) -> f64 {
        self.fluid_kg() / number_or_usual(self.stage, "fluid_density_kgpl")
    }
}
