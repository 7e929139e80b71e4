//! What was read of the air on the day: it replaces what was assumed, with who and when.

use crate::{
    journal::value::{Id, Text},
    record,
};
use stillair_calc::{
    Calculate as _, haze_fill::ExtinctionFromMeter, haze_optics::ExtinctionFromCards,
};

/// How it was read.
pub const KIND: &[(&str, &str)] = &[
    ("cards", "two cards, clear and in haze"),
    ("meter", "meter across a path"),
    ("leak", "two readings, machine off"),
    ("room", "instrument in the room"),
];

record! {
    /// A reading of the haze or of the room's air.
    Reading, "reading" in "reading" list "readings" {
        /// The stage day.
        day: Option<Id> = reference("day"), "Day";
        /// The setup in whose haze it was taken.
        setup: Option<Id> = reference("setup"), "Setup";
        /// How it was read.
        kind: Text = choice(KIND).needed(), "Read by";
        /// When, on the stage's clock.
        at_clock_min: Option<i64> = clock(), "At";
        /// White card in clear air.
        white_clear: Option<f64> = number("", 0.0, 1_000_000.0), "White, clear";
        /// Black card in clear air.
        black_clear: Option<f64> = number("", 0.0, 1_000_000.0), "Black, clear";
        /// White card in haze.
        white_haze: Option<f64> = number("", 0.0, 1_000_000.0), "White, haze";
        /// Black card in haze.
        black_haze: Option<f64> = number("", 0.0, 1_000_000.0), "Black, haze";
        /// Cards to camera.
        distance_m: Option<f64> = number("m", 0.01, 200.0), "Cards to camera";
        /// Meter in clear air.
        clear_lx: Option<f64> = number("lx", 0.001, 1_000_000.0), "Meter, clear";
        /// Meter in haze.
        haze_lx: Option<f64> = number("lx", 0.001, 1_000_000.0), "Meter, haze";
        /// Lamp to meter.
        path_m: Option<f64> = number("m", 0.01, 200.0), "Lamp to meter";
        /// First of two, machine off.
        first_per_m: Option<f64> = number("per m", 0.001, 100.0), "First reading";
        /// Second of two.
        second_per_m: Option<f64> = number("per m", 0.001, 100.0), "Second reading";
        /// Minutes from one to the other.
        minutes_between: Option<f64> = number("min", 0.1, 600.0), "Minutes between";
        /// An instrument's figure where people breathe.
        room_mgpm3: Option<f64> = number("mg/m³", 0.0, 100_000.0), "In the room";
        /// Who read it.
        said_by: Text = text(60), "By";
        /// When it was written down.
        said_at: Text = text(40), "Written";
    }
}

/// The haze that a reading shows; none for one that shows something else or cannot be.
pub fn extinction_per_m(read: &Reading) -> Option<f64> {
    match &*read.kind {
        "cards" => {
            let cards = ExtinctionFromCards {
                white_clear: read.white_clear?,
                black_clear: read.black_clear?,
                white_haze: read.white_haze?,
                black_haze: read.black_haze?,
                distance_m: read.distance_m?,
            };
            cards.work().ok().map(|found| found.extinction_per_m)
        }
        "meter" => {
            let meter = ExtinctionFromMeter {
                clear_reading_lx: read.clear_lx?,
                haze_reading_lx: read.haze_lx?,
                path_m: read.path_m?,
            };
            meter.work().ok().map(|found| found.extinction_per_m)
        }
        "leak" => read.second_per_m,
        _ => None,
    }
}
