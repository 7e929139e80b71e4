//! Stage days: which setups, in which order, and how the minutes fall.

pub mod day;
pub mod walk;
