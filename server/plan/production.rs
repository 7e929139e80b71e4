//! The production itself: what holds for the whole plan, and how its crew counts minutes.

use crate::{
    journal::{
        record::{Entry, number_or_usual},
        value::Text,
    },
    record,
};

/// Mains frequencies.
pub const MAINS: &[(&str, &str)] = &[("50", "50 Hz"), ("60", "60 Hz")];

record! {
    /// One production: a title, its rates, the limits chosen for its air, and the minutes its changeovers take.
    Production, "plan" in "plan" list "plans" {
        /// Working title.
        title: Text = text(120).needed(), "Title", also ["production", "name"];
        /// Frames a second in the cut.
        base_fps: Text = rate().needed(), "Cut runs at", also ["base rate"];
        /// Mains frequency where the stage stands.
        mains_hz: Text = choice(MAINS), "Mains";
        /// Scale most models are built to.
        usual_scale_denominator: Option<f64> = scale(), "Usual scale";
        /// Largest blur accepted, counted in pixels of the delivered picture. Practice, not a textbook circle.
        blur_line_px: Option<f64> = number("px", 0.1, 20.0).usual(1.0, 4.0).start(2.0), "Blur line, pixels";
        /// Width of the delivered picture.
        delivered_width_px: Option<f64> = number("px", 100.0, 40000.0).usual(1280.0, 8192.0).start(2048.0), "Delivered width";
        /// Handles at each end of a take, counted in frames of the cut. Common practice, no source.
        handle_frames: Option<i64> = whole("f", 0, 1000).start(12.0), "Handles, each end";
        /// Incident-light constant of the meter in use: 250 for a flat receptor, about 330 for a dome.
        incident_constant: Option<f64> = number("", 100.0, 600.0).usual(240.0, 540.0).start(330.0), "Meter constant";
        /// Stop of the lens the story pretends to be shot with.
        story_f_number: Option<f64> = number("", 0.7, 64.0).start(4.0), "Story stop, f/";
        /// Agent whose limits are kept.
        air_agent: Text = text(60), "Haze liquid";
        /// Highest level allowed at any moment while someone is in the air.
        air_peak_mgpm3: Option<f64> = number("mg/m³", 0.01, 1000.0).start(40.0), "Peak limit";
        /// Highest average over eight hours.
        air_average_mgpm3: Option<f64> = number("mg/m³", 0.01, 1000.0).start(10.0), "Eight-hour limit";
        /// Whose limits they are.
        air_authority: Text = text(120), "Limits from";
        /// When the limits were read.
        air_date: Text = date(), "Limits read on";
        /// How sure the limit is: confirmed, secondary, from memory.
        air_mark: Text = text(60), "Mark of the limit";
        /// Another dressing family is built.
        change_build_min: Option<f64> = number("min", 0.0, 2880.0).start(60.0), "Build a set";
        /// Another variant of the same family.
        change_variant_min: Option<f64> = number("min", 0.0, 2880.0).start(20.0), "Change a variant";
        /// The family before is struck.
        change_strike_min: Option<f64> = number("min", 0.0, 2880.0).start(15.0), "Strike a set";
        /// A rig goes up.
        change_rig_min: Option<f64> = number("min", 0.0, 2880.0).start(35.0), "Rig";
        /// A rig comes down.
        change_unrig_min: Option<f64> = number("min", 0.0, 2880.0).start(10.0), "Unrig";
        /// Another light plot.
        change_relight_min: Option<f64> = number("min", 0.0, 2880.0).start(45.0), "Relight";
        /// Other gels in the same plot.
        change_gel_min: Option<f64> = number("min", 0.0, 2880.0).start(8.0), "Change gels";
        /// Another camera position.
        change_camera_min: Option<f64> = number("min", 0.0, 2880.0).start(12.0), "Move camera";
        /// Another lens.
        change_lens_min: Option<f64> = number("min", 0.0, 2880.0).start(10.0), "Change lens";
        /// Clear air to light haze.
        haze_clear_to_light_min: Option<f64> = number("min", 0.0, 2880.0).start(8.0), "Fill, clear to light";
        /// Clear air to dense haze.
        haze_clear_to_dense_min: Option<f64> = number("min", 0.0, 2880.0).start(15.0), "Fill, clear to dense";
        /// Light haze to dense.
        haze_light_to_dense_min: Option<f64> = number("min", 0.0, 2880.0).start(10.0), "Fill, light to dense";
        /// Light haze cleared.
        haze_light_to_clear_min: Option<f64> = number("min", 0.0, 2880.0).start(20.0), "Purge, light to clear";
        /// Dense haze cleared.
        haze_dense_to_clear_min: Option<f64> = number("min", 0.0, 2880.0).start(35.0), "Purge, dense to clear";
        /// Dense haze thinned.
        haze_dense_to_light_min: Option<f64> = number("min", 0.0, 2880.0).start(25.0), "Thin, dense to light";
        /// Power on, checks, first walk.
        day_open_min: Option<f64> = number("min", 0.0, 600.0).start(45.0), "Open the stage";
        /// Make ready to leave, cover, power off.
        day_close_min: Option<f64> = number("min", 0.0, 600.0).start(30.0), "Close the stage";
        /// How long the meal takes.
        meal_min: Option<f64> = number("min", 0.0, 240.0).start(60.0), "Meal";
        /// Minutes after call before which nobody is hungry.
        meal_earliest_min: Option<f64> = number("min", 0.0, 1440.0).start(180.0), "Meal not before";
        /// Minutes after call at which the meal must have begun. The agreement and the law in force decide.
        meal_latest_min: Option<f64> = number("min", 0.0, 1440.0).start(360.0), "Meal begun by";
        /// Rest between wrap and next call. The agreement and the law in force decide.
        turnaround_min: Option<f64> = number("min", 0.0, 1440.0).start(660.0), "Rest between days";
    }
}

/// What people may breathe of the haze by the plan's choice, and whose word that is.
pub struct AirLimits {
    /// At any moment.
    pub peak_mgpm3: f64,
    /// Over eight hours.
    pub average_mgpm3: f64,
    /// Who set them.
    pub authority: String,
    /// When they were read there; empty while nobody wrote it.
    pub date: String,
    /// What the limits are worth.
    pub mark: String,
}

impl AirLimits {
    /// Those of a production, the usual ones where it has none.
    pub fn of(production: Option<&Entry<Production>>) -> Self {
        let text = |of: fn(&Production) -> &str, none: &str| {
            let said = production.map(|p| of(p)).filter(|t| !t.is_empty());
            said.unwrap_or(none).to_owned()
        };
        Self {
            peak_mgpm3: number_or_usual(production, "air_peak_mgpm3"),
            average_mgpm3: number_or_usual(production, "air_average_mgpm3"),
            authority: text(|p| &p.air_authority, "ANSI E1.5, glycol fog"),
            date: text(|p| &p.air_date, ""),
            mark: text(
                |p| &p.air_mark,
                "peak confirmed, average secondary; local codes may be stricter",
            ),
        }
    }

    /// Authority, date and mark in a line.
    pub fn whose(&self) -> String {
        let date = match &*self.date {
            "" => "no date written",
            date => date,
        };
        format!("{}, {date}; {}", self.authority, self.mark)
    }
}
