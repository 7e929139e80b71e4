//! The air: how thick the haze stands over a stage day, what the people in the room breathe of it, what was read, and what a
//! look costs the lungs.

pub mod day;
pub mod figures;
mod pages;
pub mod reading;
mod readings;
pub mod rulers;
mod stage;
mod ways;

pub use pages::routes;
