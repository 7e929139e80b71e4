//! A walked day as spans to draw.

use super::changeover::Part;
use super::day::{MealPlace, Row};
use super::rules::DayRules;

/// What a span of the day is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum BlockKind {
    /// From the call: power on, checks, first walk.
    Open,
    /// One part of a changeover.
    Changeover(Part),
    /// The own block of a setup.
    Setup,
    /// The meal.
    Meal,
    /// Nothing to do: before the meal may start, or until a setup is ready or booked.
    Wait,
    /// Making the stage secure, cover, power off.
    Close,
}

/// A span of the day.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Block {
    /// What it is.
    pub kind: BlockKind,
    /// The setup it belongs to or leads to, counted from 0; `None` for opening and closing.
    pub row: Option<usize>,
    /// Start, minutes after call.
    pub start_min: u32,
    /// Length, minutes; never 0.
    pub minutes: u32,
}

impl Block {
    /// End, minutes after call.
    pub fn end_min(&self) -> u32 {
        self.start_min.saturating_add(self.minutes)
    }
}

/// The spans of a day in order. They fill it without a gap from call to close; only parts of a changeover worked in
/// lanes overlap each other.
pub(super) fn blocks(rules: &DayRules, rows: &[Row], finish_min: u32) -> Vec<Block> {
    let mut strip = Strip {
        blocks: Vec::new(),
        row: None,
    };
    if rows.is_empty() {
        return strip.blocks;
    }
    strip.put(BlockKind::Open, 0, rules.open);
    let mut clock = rules.open;
    for (index, row) in rows.iter().enumerate() {
        strip.row = Some(index);
        let meal_at = |place| row.meal.filter(|meal| meal.place == place);
        if let Some(meal) = meal_at(MealPlace::BeforeChange) {
            clock = strip.wait_and_put(BlockKind::Meal, clock, meal.at_min, rules.meal);
        }
        for (part, after_min, minutes) in row.change.schedule() {
            strip.put(
                BlockKind::Changeover(part),
                clock.saturating_add(after_min),
                minutes,
            );
        }
        clock = clock.saturating_add(row.change_min);
        if let Some(meal) = meal_at(MealPlace::AfterChange) {
            clock = strip.wait_and_put(BlockKind::Meal, clock, meal.at_min, rules.meal);
        }
        let own = row.end_min - row.start_min;
        clock = strip.wait_and_put(BlockKind::Setup, clock, row.start_min, own);
    }
    strip.row = None;
    strip.put(BlockKind::Close, clock, finish_min.saturating_sub(clock));
    strip.blocks
}

struct Strip {
    blocks: Vec<Block>,
    row: Option<usize>,
}

impl Strip {
    fn put(&mut self, kind: BlockKind, start_min: u32, minutes: u32) {
        if minutes > 0 {
            self.blocks.push(Block {
                kind,
                row: self.row,
                start_min,
                minutes,
            });
        }
    }

    /// Waits from `clock` until `start_min`, then puts the span; returns its end.
    fn wait_and_put(&mut self, kind: BlockKind, clock: u32, start_min: u32, minutes: u32) -> u32 {
        self.put(BlockKind::Wait, clock, start_min.saturating_sub(clock));
        self.put(kind, start_min, minutes);
        start_min.saturating_add(minutes)
    }
}
