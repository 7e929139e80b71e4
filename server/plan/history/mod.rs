//! The history of a plan: every change in words, by person, thing and day; an earlier value put back; and the plan as it
//! stood at any of them.
//!
//! A moment has an address of its own, `/plans/{plan}@{number}/…`: every sheet and every export below it is the plan as it
//! stood then, and nothing can be written there.

pub mod moment;
mod pages;
mod queries;
mod words;

pub use pages::{belonging, routes, things};
pub use words::{called, href};
