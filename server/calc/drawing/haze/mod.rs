//! Haze drawn: a stage day's tent and room on one clock, and the rulers of look against lungs.

mod day;
mod lungs;
#[cfg(test)]
mod tests;

pub use day::{Day, Limit, TopUp, Zone, haze_day};
pub use lungs::{Lungs, lungs};
