//! Pure calculations for effects in miniature: no input or output, no clock, no database.
//!
//! Every calculation is described once with [`calculation!`](calculation) and appears in the [`catalogue`], from which
//! the machine interface, its schema and the bench sums are made. In Rust a calculation is its struct of inputs:
//! `scale_time::Fall { … }.work()`.

#![warn(missing_docs)]

pub mod because;
pub mod calculation;
pub mod doubt;
pub mod drawing;
pub mod fault;
pub mod figure;
pub mod input;
pub mod notices;
pub mod schema;
mod told;

pub mod air_limits;
pub mod colour;
pub mod coverage;
pub mod drive;
pub mod dust;
pub mod exposure;
pub mod flicker;
pub mod focus;
pub mod gel;
pub mod giveaway;
pub mod haze_day;
pub mod haze_fill;
pub mod haze_optics;
pub mod lamp_light;
pub mod lens;
pub mod materials;
pub mod power;
pub mod practicals;
pub mod projection;
pub mod scale_time;
pub mod shadow;
pub mod story_stop;
pub mod suspension;
pub mod table;
pub mod water;

pub mod continuity;
pub mod order_key;
pub mod stage_day;
pub mod timecode;

pub use calculation::{Calculate, Calculation, Mark, OrInfinity, Output, Reply, Worked};
pub use fault::{Fault, FaultKind, Warnings};
pub use input::{Input, Kind, Range};

use std::{collections::HashMap, sync::LazyLock};

/// The tables of every family.
const TABLES: &[&[Calculation]] = &[
    scale_time::motion::CALCULATIONS,
    scale_time::flow::CALCULATIONS,
    lens::CALCULATIONS,
    focus::depth::CALCULATIONS,
    focus::stop::CALCULATIONS,
    focus::tilt::CALCULATIONS,
    story_stop::CALCULATIONS,
    flicker::mains::CALCULATIONS,
    flicker::swing::CALCULATIONS,
    flicker::projected::CALCULATIONS,
    suspension::lines::CALCULATIONS,
    suspension::plate::CALCULATIONS,
    suspension::strength::CALCULATIONS,
    suspension::swing::CALCULATIONS,
    suspension::yaw::CALCULATIONS,
    suspension::settle::CALCULATIONS,
    suspension::filament::CALCULATIONS,
    suspension::hung::CALCULATIONS,
    drive::drum::CALCULATIONS,
    drive::travel::CALCULATIONS,
    drive::screen::CALCULATIONS,
    shadow::widths::CALCULATIONS,
    shadow::pass::CALCULATIONS,
    coverage::ground::CALCULATIONS,
    coverage::tiles::CALCULATIONS,
    projection::projector::CALCULATIONS,
    projection::waves::CALCULATIONS,
    projection::caustics::CALCULATIONS,
    practicals::led::CALCULATIONS,
    practicals::cell::CALCULATIONS,
    practicals::fibre::CALCULATIONS,
    practicals::balance::CALCULATIONS,
    giveaway::motion::CALCULATIONS,
    giveaway::look::CALCULATIONS,
    giveaway::forced::CALCULATIONS,
    exposure::meter::CALCULATIONS,
    exposure::lamps::CALCULATIONS,
    haze_optics::demand::CALCULATIONS,
    haze_optics::depth::CALCULATIONS,
    haze_optics::particles::CALCULATIONS,
    haze_optics::glow::CALCULATIONS,
    haze_optics::lamp_angle::CALCULATIONS,
    haze_fill::fill::CALCULATIONS,
    haze_fill::supply::CALCULATIONS,
    haze_fill::reading::CALCULATIONS,
    haze_fill::droplets::CALCULATIONS,
    haze_fill::air::CALCULATIONS,
    air_limits::day::CALCULATIONS,
    air_limits::exposure::CALCULATIONS,
    air_limits::limits::CALCULATIONS,
    gel::shift::CALCULATIONS,
    gel::loss::CALCULATIONS,
    colour::light::CALCULATIONS,
    colour::daylight::CALCULATIONS,
    colour::temperature::CALCULATIONS,
    colour::screen::CALCULATIONS,
    colour::difference::CALCULATIONS,
    colour::swatch::CALCULATIONS,
    colour::stock::CALCULATIONS,
    water::light::CALCULATIONS,
    water::shimmer::CALCULATIONS,
    water::sight::CALCULATIONS,
    water::veil::CALCULATIONS,
    dust::CALCULATIONS,
    materials::plaster::CALCULATIONS,
    materials::bulk::CALCULATIONS,
    materials::piece::CALCULATIONS,
    materials::sheet::CALCULATIONS,
    materials::cost::CALCULATIONS,
    lamp_light::beam::CALCULATIONS,
    lamp_light::loss::CALCULATIONS,
    lamp_light::power::CALCULATIONS,
    power::load::CALCULATIONS,
    power::cable::CALCULATIONS,
    power::heat::CALCULATIONS,
];

/// Every calculation, family by family.
pub fn catalogue() -> &'static [Calculation] {
    static ALL: LazyLock<Vec<Calculation>> = LazyLock::new(|| TABLES.concat());
    &ALL
}

/// A calculation by its family and name, both with hyphens.
pub fn find(family: &str, name: &str) -> Option<&'static Calculation> {
    static BY_NAME: LazyLock<HashMap<(&str, &str), &Calculation>> = LazyLock::new(|| {
        let named = catalogue().iter().map(|c| ((c.family, c.name), c));
        named.collect()
    });
    BY_NAME.get(&(family, name)).copied()
}

#[cfg(test)]
mod checks;
