//! A thing standing in a setup, and how it moves. The camera is no placement: everything is taped from its mark.

use crate::{
    journal::value::{Id, Text},
    record,
};

/// What a thing on the table is.
pub const KIND: &[(&str, &str)] = &[
    ("model", "model"),
    ("piece", "set piece"),
    ("lamp", "lamp"),
    ("flag", "flag"),
    ("projector", "projector"),
    ("backing", "backing"),
    ("net", "net"),
    ("tiles", "tile field"),
];
/// How it moves in the run.
pub const MOTION: &[(&str, &str)] = &[
    ("still", "stands still"),
    ("path", "takes the path"),
    ("steady", "turns all through"),
    ("hand", "moved by hand on a cue"),
    ("board", "cued by the board"),
];

record! {
    /// A thing standing in a setup: where it is taped, how it is turned, and how large it is where that differs from stores.
    Placement, "thing on the table" in "placement" list "placements" {
        /// The setup it stands in.
        setup: Option<Id> = reference("setup").needed(), "Setup";
        /// What it is.
        kind: Text = choice(KIND).needed(), "What";
        /// What the crew calls it here.
        name: Text = text(60), "Called";
        /// Place among the setup's things; their number rings follow it.
        order_key: Text = order_key(), "Place";
        /// The model, set piece or tile in stores.
        piece: Option<Id> = reference("piece"), "From stores";
        /// The lamp in stores.
        lamp: Option<Id> = reference("lamp"), "Lamp in stores";
        /// The circuit it hangs on.
        circuit: Option<Id> = reference("circuit"), "On circuit";
        /// The projector in stores.
        projector: Option<Id> = reference("projector"), "Projector in stores";
        /// Along the floor from the sensor mark, away from the camera.
        x_mm: Option<f64> = number("mm", -20_000.0, 50_000.0).start(1000.0), "From mark";
        /// Beside the axis; the camera's right is positive.
        y_mm: Option<f64> = number("mm", -20_000.0, 20_000.0).start(0.0), "To the right";
        /// Its underside above the table top.
        z_mm: Option<f64> = number("mm", -2000.0, 20_000.0).start(0.0), "Above table";
        /// Where it faces; 0 is away from the camera, 90 to its right.
        heading_deg: Option<f64> = number("°", -360.0, 360.0).start(0.0), "Heading";
        /// How it is tipped; up is positive, −90 looks straight down.
        tilt_deg: Option<f64> = number("°", -90.0, 90.0).start(0.0), "Tipped up";
        /// Length along the heading, where it differs from stores.
        length_mm: Option<f64> = number("mm", 0.1, 50_000.0), "Length";
        /// Width across the heading, where it differs from stores.
        width_mm: Option<f64> = number("mm", 0.1, 50_000.0), "Width";
        /// Height, where it differs from stores.
        height_mm: Option<f64> = number("mm", 0.1, 20_000.0), "Height";
        /// Its own scale, where it differs from the setup's: forced perspective.
        scale_denominator: Option<f64> = scale().usual(1.0, 500.0), "Built at, 1 to";
        /// Face shown to the camera.
        face: Text = text(20), "Face shown";
        /// The lamp a flag stands before.
        shades: Option<Id> = reference("placement"), "Stands before lamp";
        /// Full angle of a lamp's beam as it is set, spot or flood.
        beam_deg: Option<f64> = number("°", 1.0, 170.0).usual(5.0, 90.0), "Beam";
        /// How far a lamp or projector throws.
        throw_mm: Option<f64> = number("mm", 10.0, 50_000.0), "Throws";
        /// Share of its light it burns at.
        dim_percent: Option<f64> = number("%", 0.0, 100.0).start(100.0), "Dimmed to";
        /// How it moves in the run.
        motion: Text = choice(MOTION), "In the run";
        /// When its cue comes, on the screen clock of the cut.
        cue_screen_s: Option<f64> = number("s", 0.0, 600.0), "Cue, on screen";
    }
}
