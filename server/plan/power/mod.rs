//! Stage power: what the lamps of each setup draw on which circuit, against what it may carry for hours.
//!
//! Plate values, at full: a dimmer saves nothing that may be reckoned with. Harmonics and inrush are not modelled. The sums
//! help whoever is licensed to connect; they decide nothing.

mod loads;
mod pages;
mod sums;

pub use pages::routes;
