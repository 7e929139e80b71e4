//! The stage day's declaration, the setups on it, and who is called when.

use crate::{
    journal::value::{Id, Text},
    record,
};

record! {
    /// One day on one stage.
    Day, "day" in "day" list "days" {
        /// What it is called.
        name: Text = text(120), "Name";
        /// The date.
        date: Text = date(), "Date";
        /// Where.
        stage: Option<Id> = reference("stage"), "Stage";
        /// Place among the days.
        order_key: Text = order_key(), "Place";
        /// Call.
        call_clock_min: Option<i64> = clock().start(480.0), "Call";
        /// Out of the building.
        wrap_clock_min: Option<i64> = clock().start(1140.0), "Out by";
        /// Length of the meal, where it differs.
        meal_min: Option<f64> = number("min", 0.0, 240.0), "Meal";
        /// Who can give first aid.
        first_aid: Text = text(120), "First aider on stage";
        /// Competent person for rigs and loads.
        competent_person: Text = text(120), "Competent person";
        /// Smoke detection: what the building agreed, and who keeps watch.
        detection: Text = text(240), "Smoke detection";
        /// Anything the crew should read.
        note: Text = long_text(1000), "Note";
    }
}

record! {
    /// A setup's place on a day.
    DaySetup, "setup on a day" in "day_setup" list "day_setups" {
        /// The day.
        day: Option<Id> = reference("day").needed(), "Day";
        /// The setup.
        setup: Option<Id> = reference("setup").needed(), "Setup";
        /// Place in the order of the day.
        order_key: Text = order_key(), "Place";
    }
}

record! {
    /// When a role is called on a day.
    CrewCall, "call" in "crew_call" list "crew_calls" {
        /// The day.
        day: Option<Id> = reference("day").needed(), "Day";
        /// The role.
        role: Text = text(60).needed(), "Role";
        /// When.
        call_clock_min: Option<i64> = clock(), "Call";
        /// What they are first needed for.
        needed_for: Text = text(120), "First needed for";
        /// Place in the list.
        order_key: Text = order_key(), "Place";
    }
}
