//! Haze over a stage day: what stands in the tent, and what the people in the room breathe, on one clock.
//!
//! Two well-mixed boxes. The tent gains what the machine puts into its air and loses by leak, by settling and drying, and by
//! being drawn out of doors; the room gains what the tent leaks and loses by its own air changes. Between two acts of the
//! crew every rate stands still, so each piece of the day has a closed form ([`piece`]) and nothing is stepped: the level at
//! any minute, and the dose up to it, are exact for the model. That it *is* a model is the largest error: real fills are
//! patchy for five to fifteen minutes, and leaks change with doors and heat. A reading outranks it.
//!
//! Source: mass balance of a well-mixed box (B5); eight-hour average by 29 CFR 1910.1000(d)(1).

mod breathed;
mod course;
mod piece;
#[cfg(test)]
mod tests;

pub use breathed::{Breathed, breathed};
pub use course::{Course, TopUp, course};
pub use piece::{Act, Piece, Rates, State};

/// The tent's air and the room's, as the crew knows them.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Air {
    /// Volume of the room.
    pub room_m3: f64,
    /// Share of the tent's air that leaks into the room, each hour.
    pub leak_per_h: f64,
    /// Share that settles and dries in the tent, each hour.
    pub settling_per_h: f64,
    /// Air changes of the tent an hour while it is drawn out of doors.
    pub purge_per_h: f64,
    /// Air changes of the room an hour while a setup is shot.
    pub room_shooting_per_h: f64,
    /// Air changes of the room an hour between setups.
    pub room_between_per_h: f64,
    /// Liquid that the machine keeps in the air, each minute it runs.
    pub airborne_gpmin: f64,
    /// How far above and below what is wanted the level may stand, as a share of it.
    pub band: f64,
    /// A tent drawn down to this level is called clear.
    pub clear_mgpm3: f64,
}

/// A setup that wants haze for a while.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Held {
    /// From when, in minutes of the day.
    pub start_min: f64,
    /// Until when.
    pub end_min: f64,
    /// Level wanted.
    pub wanted_mgpm3: f64,
    /// Air in its tent; none when it is shot with the haze in the room.
    pub tent_m3: Option<f64>,
}

/// Milligrams in a gram, minutes in an hour: of a rate in g a minute, mg an hour.
const MGPH_PER_GPMIN: f64 = 60_000.0;
