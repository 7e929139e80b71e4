//! Stage days: which setups, in which order, and how the minutes fall.

mod acts;
pub mod day;
pub mod pages;
pub mod walk;
