//! The sums that crews do daily.

mod air;
mod build;
mod cover;
pub mod gels;
pub mod hang;
pub mod lens;
mod light;
mod run;
mod shadow;

use super::sum::Sum;

/// Every one, in the order of the page.
pub static SUMS: [&Sum; 15] = [
    &run::RUN,
    &lens::SHARP,
    &lens::BEST_STOP,
    &light::NEEDED,
    &light::FLICKER,
    &gels::STACK,
    &air::HAZE,
    &air::FILL,
    &air::CARDS,
    &hang::LOAD,
    &hang::SETTLE,
    &shadow::FLAG,
    &cover::TILES,
    &build::PLASTER,
    &build::SCALE_WEIGHT,
];

/// One by its name in the address.
pub fn find(slug: &str) -> Option<&'static Sum> {
    SUMS.iter().copied().find(|sum| sum.slug == slug)
}
