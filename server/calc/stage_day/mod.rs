//! The stage day: what a changeover costs, how one day runs, and why an order is as it is.
//!
//! All times are whole minutes. A time inside a day counts from the call; a time on the clock counts from midnight.
//! The rules are decisions of this program where no source is named; minutes are common practice, no source, and every
//! one of them is a setting of the plan. Law and the agreement in force decide about meals, rest and turnaround.

pub mod blocks;
pub mod changeover;
pub mod clock;
pub mod day;
pub mod detours;
pub mod parts;
pub mod preference;
pub mod rules;
pub mod state;
pub mod tracks;
pub mod why;

/// Longest span any single setting or setup may have: one year. Keeps every sum of a plan far from overflow.
pub const MAX_MINUTES: u32 = 525_600;
