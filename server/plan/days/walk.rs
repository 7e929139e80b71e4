//! A stage day of the plan on the clock: what stands for each setup, and the day walked with it.

use crate::{
    journal::{record::Entry, value::Id},
    plan::{
        Plan,
        days::day::{Day, DaySetup},
        setups::setup::Setup,
    },
};
use stillair_calc::{
    drawing::day::{Block as DrawnBlock, Day as DrawnDay, Work},
    stage_day::{
        blocks::BlockKind,
        changeover::{ChangeoverTable, Dressing, Haze, Part, StageState},
        day::{DayWalk, Morning, OwnBlock, Planned, changeovers, walk_day},
        rules::{DayRules, Ready},
        why::{Follows, WhyRow, why_row},
    },
};

/// A setup in its place on a day.
pub struct Placed<'a> {
    /// Its place record.
    pub place: &'a Entry<DaySetup>,
    /// The setup.
    pub setup: &'a Entry<Setup>,
    /// What stands for it.
    pub state: StageState,
    /// What stays from the setup before it, and what changes.
    pub why: Option<WhyRow>,
    /// Minutes of its own block.
    pub own_min: u32,
}

/// A day with its setups walked.
pub struct Walked<'a> {
    /// The day.
    pub day: &'a Entry<Day>,
    /// Its number among the days, from 1.
    pub number: usize,
    /// Its setups in order.
    pub setups: Vec<Placed<'a>>,
    /// The clock.
    pub walk: DayWalk,
    /// The rules it was walked by.
    pub rules: DayRules,
}

#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "declared minutes lie between 0 and 2880"
)]
fn minutes(written: Option<f64>, usual: f64) -> u32 {
    written.unwrap_or(usual).round().max(0.0) as u32
}

/// Usual minutes of a production's field, from its declaration.
fn production_min(plan: &Plan, field: &str) -> u32 {
    use crate::journal::record::Record as _;
    let kind = crate::plan::production::Production::KIND;
    let Some(index) = kind.index(field) else {
        return 0;
    };
    let written = plan.production().and_then(|p| p.get(index).as_number());
    minutes(written, kind.fields[index].blank.start.unwrap_or(0.0))
}

/// The plan's changeover table.
pub fn table(plan: &Plan) -> ChangeoverTable {
    let of = |field| production_min(plan, field);
    ChangeoverTable {
        dressing_strike: of("change_strike_min"),
        dressing_build: of("change_build_min"),
        dressing_variant: of("change_variant_min"),
        unrig: of("change_unrig_min"),
        rig: of("change_rig_min"),
        relight: of("change_relight_min"),
        gel: of("change_gel_min"),
        camera: of("change_camera_min"),
        lens: of("change_lens_min"),
        haze: [
            [
                0,
                of("haze_clear_to_light_min"),
                of("haze_clear_to_dense_min"),
            ],
            [
                of("haze_light_to_clear_min"),
                0,
                of("haze_light_to_dense_min"),
            ],
            [
                of("haze_dense_to_clear_min"),
                of("haze_dense_to_light_min"),
                0,
            ],
        ],
        ..ChangeoverTable::for_a_new_plan()
    }
}

/// Call of a day, minutes after midnight.
pub fn call_min(day: &Day) -> u32 {
    u32::try_from(day.call_clock_min.unwrap_or(480)).unwrap_or(480)
}

/// Out of the building, minutes after midnight.
pub fn out_min(day: &Day) -> u32 {
    let out = u32::try_from(day.wrap_clock_min.unwrap_or(1140)).unwrap_or(1140);
    let call = call_min(day);
    // A wrap before the call is on the next morning.
    if out <= call { out + 1440 } else { out }
}

/// The rules of a day.
pub fn rules(plan: &Plan, day: &Day) -> DayRules {
    let of = |field| production_min(plan, field);
    DayRules {
        call_min: call_min(day),
        day_minutes: out_min(day) - call_min(day),
        open: of("day_open_min"),
        close: of("day_close_min"),
        meal: day
            .meal_min
            .map_or_else(|| of("meal_min"), |m| minutes(Some(m), 60.0)),
        meal_earliest: of("meal_earliest_min"),
        meal_latest: of("meal_latest_min").max(of("meal_earliest_min")),
        turnaround: of("turnaround_min"),
    }
}

/// What stands on the stage for a setup. What is not written counts as the setup's own, so that a change is reckoned with.
pub fn state(setup: &Entry<Setup>) -> StageState {
    let own = |text: &str| {
        Some(if text.is_empty() {
            format!("{} own", setup.code)
        } else {
            text.to_owned()
        })
    };
    let lens = setup.lens.as_ref().map_or_else(
        || {
            setup
                .focal_length_mm
                .map_or_else(|| format!("{} own", setup.code), |mm| format!("{mm} mm"))
        },
        ToString::to_string,
    );
    StageState {
        dressing: own(&setup.dressing).map(|text| Dressing::parse(&text)),
        rig: (!matches!(setup.rig.trim(), "" | "none")).then(|| setup.rig.to_string()),
        light: own(&setup.light_plot),
        gels: own(&setup.gel_set),
        camera: own(&setup.camera_position),
        lens: Some(lens),
        haze: Haze::parse(&setup.haze_class).unwrap_or_default(),
    }
}

/// Which attributes of a setup are not written, in words.
pub fn unwritten(setup: &Setup) -> Vec<&'static str> {
    let fields = [
        ("dressing", &setup.dressing),
        ("light plot", &setup.light_plot),
        ("gels", &setup.gel_set),
        ("camera position", &setup.camera_position),
        ("haze", &setup.haze_class),
    ];
    fields
        .into_iter()
        .filter(|(_, text)| text.is_empty())
        .map(|(word, _)| word)
        .collect()
}

/// Minutes of a setup's own block.
pub fn own_min(setup: &Setup) -> u32 {
    OwnBlock {
        prepare_min: minutes(setup.prepare_min, 15.0),
        trim_min: minutes(setup.trim_min, 10.0),
        settle_min: minutes(setup.settle_min, 5.0),
        takes: u32::try_from(setup.takes.unwrap_or(5)).unwrap_or(0),
        take_cycle_min: minutes(setup.take_cycle_min, 6.0),
    }
    .minutes()
}

/// A day of the plan, walked.
pub fn walk<'a>(plan: &'a Plan, id: &Id) -> Option<Walked<'a>> {
    let days = plan.days_in_order();
    let place = days.iter().position(|d| d.id == *id)?;
    let day = days[place];
    let rules = rules(plan, day);
    let table = table(plan);
    let evening = days[..place]
        .iter()
        .rev()
        .find_map(|d| plan.setups_of_day(&d.id).last().map(|(_, s)| state(s)));
    let on_day = plan.setups_of_day(&day.id);
    let states: Vec<StageState> = on_day.iter().map(|(_, setup)| state(setup)).collect();
    let morning = evening
        .as_ref()
        .map_or(Morning::EmptyStage, Morning::AfterNight);
    let changes = changeovers(&table, morning, &states.iter().collect::<Vec<_>>());
    let number = u32::try_from(place + 1).unwrap_or(u32::MAX);
    let planned: Vec<Planned> = on_day
        .iter()
        .zip(&changes)
        .map(|((_, setup), change)| Planned {
            change: *change,
            own_min: own_min(setup),
            ready: ready(setup, day, number),
            appointment: None,
        })
        .collect();
    let walk = walk_day(&rules, number, &planned);
    let mut before = evening.map(|state| (state, Follows::OverNight));
    let setups = on_day
        .into_iter()
        .zip(states)
        .map(|((place, setup), state)| {
            let why = before
                .as_ref()
                .map(|(from, follows)| why_row(&table, from, &state, *follows));
            before = Some((state.clone(), Follows::SameDay));
            Placed {
                place,
                setup,
                own_min: own_min(setup),
                state,
                why,
            }
        });
    Some(Walked {
        day,
        number: place + 1,
        setups: setups.collect(),
        walk,
        rules,
    })
}

fn ready(setup: &Setup, day: &Day, number: u32) -> Option<Ready> {
    let clock = u32::try_from(setup.ready_clock_min?).ok()?;
    Some(Ready {
        day: number,
        minute: clock.saturating_sub(call_min(day)),
    })
}

impl Walked<'_> {
    /// A moment of the day as a clock.
    pub fn clock(&self, after_call_min: u32) -> String {
        crate::web::units::minutes_clock(f64::from(self.rules.call_min + after_call_min))
    }

    /// When the plan ends; none while no setup is on the day.
    pub fn ends(&self) -> Option<String> {
        (!self.setups.is_empty()).then(|| self.clock(self.walk.finish_min))
    }

    /// The meal as a stretch of the clock.
    pub fn meal(&self) -> Option<(String, String)> {
        let meal = self
            .walk
            .blocks
            .iter()
            .find(|b| b.kind == BlockKind::Meal)?;
        Some((self.clock(meal.start_min), self.clock(meal.end_min())))
    }

    /// Sentences for what the day breaks: all, or those of one row.
    pub fn broken(&self, row: Option<usize>) -> Vec<String> {
        let rules = self
            .walk
            .broken
            .iter()
            .filter(|rule| row.is_none_or(|row| rule.row() == row));
        let called = |row: usize| self.setups.get(row).map_or("", |p| &*p.setup.code);
        rules
            .map(|rule| rule.sentence(called(rule.row()), self.rules.call_min))
            .collect()
    }

    /// The day for drawing.
    pub fn drawn(&self, address: impl Fn(&Setup) -> Option<String>) -> DrawnDay {
        let call = f64::from(self.rules.call_min);
        let blocks = self.walk.blocks.iter().map(|block| {
            let placed = block.row.and_then(|row| self.setups.get(row));
            let setup = placed
                .filter(|_| block.kind == BlockKind::Setup)
                .map(|p| p.setup);
            DrawnBlock {
                work: work(block.kind),
                code: setup.map(|s| s.code.to_string()).unwrap_or_default(),
                name: setup.map(|s| s.name.to_string()).unwrap_or_default(),
                start_min: call + f64::from(block.start_min),
                minutes: f64::from(block.minutes),
                address: setup.and_then(|s| address(s)),
            }
        });
        DrawnDay {
            call_min: call,
            blocks: blocks.collect(),
            meal_by_min: Some(call + f64::from(self.rules.meal_latest)),
            out_min: Some(call + f64::from(self.rules.day_minutes)),
        }
    }
}

fn work(kind: BlockKind) -> Work {
    match kind {
        BlockKind::Open => Work::Call,
        BlockKind::Setup => Work::Setup,
        BlockKind::Meal => Work::Meal,
        BlockKind::Wait => Work::Still,
        BlockKind::Close => Work::Strike,
        BlockKind::Changeover(Part::HazeDown) => Work::Clear,
        BlockKind::Changeover(Part::HazeUp) => Work::Fill,
        BlockKind::Changeover(Part::Light | Part::Gels) => Work::Light,
        BlockKind::Changeover(_) => Work::Set,
    }
}
