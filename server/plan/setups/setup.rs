//! The setup's declaration, and that of its passes.

use crate::{
    journal::value::{Id, Log, Members, Text},
    record,
};

/// How thick the haze is, for ordering.
pub const HAZE: &[(&str, &str)] = &[("clear", "clear"), ("light", "light"), ("dense", "dense")];
/// Whether anyone breathes it.
pub const AIR: &[(&str, &str)] = &[
    ("shut", "tent shut, nobody inside"),
    ("people", "people in the air"),
];
/// What the haze is made of.
pub const LIQUID: &[(&str, &str)] = &[
    ("propylene_glycol", "propylene glycol"),
    ("triethylene_glycol", "triethylene glycol"),
    ("glycerin", "glycerin"),
    ("white_mineral_oil", "white mineral oil"),
    ("water", "water"),
];
/// What a pass is for.
pub const ELEMENT: &[(&str, &str)] = &[
    ("main", "main"),
    ("practicals", "practicals alone"),
    ("haze", "haze alone"),
    ("clean", "clean plate"),
    ("slice", "focus slice"),
    ("card", "grey card"),
];
/// What drives what moves.
pub const DRIVEN: &[(&str, &str)] = &[
    ("none", "nothing is driven"),
    ("pulley", "pulley and line"),
    ("turntable", "turntable"),
    ("dolly", "camera dolly"),
];
/// How still it has to be before the camera rolls.
pub const STILL: &[(&str, &str)] = &[
    ("still", "still: one photosite"),
    ("drifting", "drifting: slow enough for the shot"),
];
/// What moves freely.
pub const MOVES: &[(&str, &str)] = &[
    ("nothing", "nothing moves freely"),
    ("hangs", "hangs"),
    ("falls", "falls"),
    ("floats", "floats"),
];

record! {
    /// One state of stage, rig, camera, light and air in which takes are made.
    Setup, "setup" in "setup" list "setups" {
        /// Code, used once.
        code: Text = text(20).needed().once(), "Setup", also ["setups", "set-up"];
        /// What it is called.
        name: Text = text(120), "Name", also ["title"];
        /// Place in the list of setups.
        order_key: Text = order_key(), "Place";
        /// Where it stands: table, tent.
        place: Text = text(120), "Stands on";
        /// How many times smaller the model is.
        scale_denominator: Option<f64> = scale().usual(4.0, 96.0), "Scale, 1 to", also ["scale"];
        /// Camera and its mode.
        camera_mode: Option<Id> = reference("camera_mode"), "Camera";
        /// Lens in stores.
        lens: Option<Id> = reference("lens"), "Lens in stores";
        /// Focal length.
        focal_length_mm: Option<f64> = number("mm", 1.0, 2000.0).usual(8.0, 200.0), "Lens", also ["focal length", "lens mm"];
        /// Marked f-number.
        f_number: Option<f64> = number("", 0.5, 256.0).usual(1.4, 45.0), "Stop, f/", also ["stop", "f", "aperture"];
        /// Share of the light the glass lets through.
        lens_transmission: Option<f64> = number("", 0.05, 1.0).usual(0.6, 1.0).start(0.9), "Glass passes";
        /// Frames a second in camera.
        shoot_fps: Option<f64> = number("fps", 0.01, 100_000.0).usual(1.0, 1000.0), "Camera runs at", also ["fps", "rate"];
        /// Shutter angle.
        shutter_deg: Option<f64> = number("°", 0.1, 360.0).usual(45.0, 360.0).start(180.0), "Shutter";
        /// Exposure index.
        exposure_index: Option<f64> = number("", 1.0, 1_000_000.0).usual(50.0, 12_800.0), "Film speed, EI", also ["ei", "iso"];
        /// Focus, as taped from the sensor mark.
        focus_from_mark_mm: Option<f64> = number("mm", 1.0, 1_000_000.0).usual(100.0, 20_000.0), "Focus, from mark";
        /// Tilt, down is positive.
        tilt_deg: Option<f64> = number("°", -90.0, 90.0).start(0.0), "Tilt down";
        /// Roll, clockwise as the camera sees.
        roll_deg: Option<f64> = number("°", -180.0, 180.0).start(0.0), "Roll";
        /// Height of the lens axis above the table.
        camera_height_mm: Option<f64> = number("mm", 0.0, 20_000.0).start(260.0), "Lens height";
        /// Squeeze of the lens.
        squeeze: Option<f64> = number("×", 0.5, 4.0).start(1.0), "Squeeze";
        /// Exit pupil over entrance pupil.
        pupil_magnification: Option<f64> = number("", 0.05, 20.0).usual(0.3, 3.0).start(1.0), "Pupil ratio";
        /// Separation of the principal planes.
        principal_plane_separation_mm: Option<f64> = number("mm", -500.0, 500.0).start(0.0), "Principal gap";
        /// Nearest piece that must be sharp, from the mark.
        nearest_piece_mm: Option<f64> = number("mm", 1.0, 1_000_000.0), "Nearest piece, from mark";
        /// Farthest piece that must be sharp, from the mark.
        farthest_piece_mm: Option<f64> = number("mm", 1.0, 1_000_000.0), "Farthest piece, from mark";
        /// Haze class, for ordering.
        haze_class: Text = choice(HAZE), "Haze", also ["haze"];
        /// Distance at which contrast falls to 2 %, full size.
        reach_m: Option<f64> = number("m", 0.05, 100_000.0).usual(2.0, 400.0), "Water reaches, full size", also ["reach", "visibility"];
        /// Contrast wanted at the far end of the table; asked instead of the reach.
        contrast_far_end: Option<f64> = number("", 0.001, 0.999).usual(0.05, 0.9), "Contrast at the far end";
        /// Where the far end is, from the mark.
        far_end_mm: Option<f64> = number("mm", 1.0, 100_000.0), "Far end, from mark";
        /// Haze liquid.
        haze_liquid: Text = choice(LIQUID), "Haze liquid";
        /// Droplet size, mass median.
        droplet_um: Option<f64> = number("µm", 0.2, 5.0).start(0.7), "Droplets";
        /// Who breathes it.
        air: Text = choice(AIR), "In the air";
        /// Tent: where it begins, from the mark.
        tent_near_mm: Option<f64> = number("mm", -5000.0, 50_000.0), "Tent begins, from mark";
        /// Tent length.
        tent_length_mm: Option<f64> = number("mm", 100.0, 50_000.0), "Tent length";
        /// Tent width.
        tent_width_mm: Option<f64> = number("mm", 100.0, 50_000.0), "Tent width";
        /// Tent height.
        tent_height_mm: Option<f64> = number("mm", 100.0, 20_000.0), "Tent height";
        /// Table: where it begins, from the mark.
        table_near_mm: Option<f64> = number("mm", -5000.0, 50_000.0).start(400.0), "Table begins, from mark";
        /// Table length.
        table_length_mm: Option<f64> = number("mm", 50.0, 50_000.0).start(2400.0), "Table length";
        /// Table width.
        table_width_mm: Option<f64> = number("mm", 50.0, 50_000.0).start(1200.0), "Table width";
        /// Speed of the air in front of the lens, timed with a wisp of haze.
        air_drift_mm_per_s: Option<f64> = number("mm/s", 0.0, 10_000.0).usual(0.0, 200.0), "Air drifts";
        /// Key light against an even exposure.
        key_stops: Option<f64> = number("stops", -12.0, 6.0).usual(-5.0, 1.0), "Key against even", also ["key"];
        /// Way of the key light through the haze.
        key_through_haze_mm: Option<f64> = number("mm", 0.0, 50_000.0), "Beam through water";
        /// Key lamp to the set.
        key_distance_mm: Option<f64> = number("mm", 10.0, 100_000.0), "Key lamp to set";
        /// Dressing, as family.variant.
        dressing: Text = text(40), "Dressing";
        /// Rig, or empty for none.
        rig: Text = text(60), "Rig";
        /// Camera position.
        camera_position: Text = text(60), "Camera position";
        /// Light plot.
        light_plot: Text = text(60), "Light plot";
        /// Gels in that plot.
        gel_set: Text = text(60), "Gels";
        /// Final touch before line-up.
        prepare_min: Option<f64> = number("min", 0.0, 1440.0).start(15.0), "Prepare";
        /// Line-up and rehearsal.
        trim_min: Option<f64> = number("min", 0.0, 1440.0).start(10.0), "Trim";
        /// Until it hangs still and the air is quiet.
        settle_min: Option<f64> = number("min", 0.0, 1440.0).start(5.0), "Settle";
        /// Takes planned.
        takes: Option<i64> = whole("", 0, 200).start(5.0), "Takes";
        /// Minutes a take costs, reset and wait included.
        take_cycle_min: Option<f64> = number("min", 0.0, 1440.0).start(6.0), "A take costs";
        /// Who has to be there.
        people: Members = members(), "People";
        /// Not before this time of its day.
        ready_clock_min: Option<i64> = clock(), "Not before";
        /// Why.
        ready_note: Text = text(160), "Held by";
        /// What to bring, for the call sheet.
        bring: Text = text(240), "Bring";
        /// Where the path begins, on the rail's tape.
        path_start_mm: Option<f64> = number("mm", -10_000.0, 50_000.0), "Path begins, from mark";
        /// How far the path lies from the axis, right is positive.
        path_side_mm: Option<f64> = number("mm", -10_000.0, 10_000.0).start(0.0), "Path beside the axis";
        /// Height of the path above the table.
        path_height_mm: Option<f64> = number("mm", 0.0, 10_000.0).start(200.0), "Path above the table";
        /// Heading of the path; 0 is away from camera, 90 to its right.
        path_heading_deg: Option<f64> = number("°", -360.0, 360.0).start(90.0), "Path heads";
        /// Line that it hangs on.
        filament: Option<Id> = reference("filament"), "Line in stores";
        /// How many lines hold it.
        line_count: Option<i64> = whole("", 1, 4).start(2.0), "Lines";
        /// From where they are made fast down to the attachment points.
        line_drop_mm: Option<f64> = number("mm", 10.0, 20_000.0).usual(200.0, 4000.0), "Drop";
        /// Between the outer attachment points on the model.
        line_spread_mm: Option<f64> = number("mm", 0.0, 5000.0), "Attached, apart";
        /// Between the outer points where they are made fast.
        line_top_spread_mm: Option<f64> = number("mm", 0.0, 10_000.0), "Made fast, apart";
        /// What hangs, where it is no model of this setup's stores.
        hung_mass_g: Option<f64> = number("g", 0.1, 500_000.0), "Hangs";
        /// Shock on the line: 1 hangs still, 2 is let go at once.
        dynamic_factor: Option<f64> = number("×", 1.0, 100.0).usual(1.0, 5.0).start(2.0), "Shock allowed for";
        /// Contrast of the bare line to what is behind it.
        line_contrast: Option<f64> = number("", 0.01, 1.0).start(0.5), "Line against ground";
        /// First counted swing.
        swing_first_mm: Option<f64> = number("mm", 0.01, 5000.0), "Swing counted from";
        /// Last counted swing.
        swing_last_mm: Option<f64> = number("mm", 0.01, 5000.0), "to";
        /// Swings between the two.
        swing_count: Option<i64> = whole("", 1, 1000), "in so many swings";
        /// How still it has to be.
        still_for: Text = choice(STILL), "Must be";
        /// What drives it.
        driven: Text = choice(DRIVEN), "Driven by";
        /// The drive in stores.
        drive: Option<Id> = reference("drive"), "Drive in stores";
        /// From a turntable's axis to what it carries.
        arm_radius_mm: Option<f64> = number("mm", 10.0, 20_000.0), "Arm";
        /// Ramp as whole swings of what hangs.
        ramp_swings: Option<i64> = whole("", 1, 20).start(1.0), "Ramp, in swings";
        /// Ramp where nothing hangs.
        ramp_s: Option<f64> = number("s", 0.05, 600.0), "Ramp";
        /// Rail that there is.
        rail_length_mm: Option<f64> = number("mm", 10.0, 100_000.0), "Rail there is";
        /// Where the path begins on the rail's own tape.
        rail_tape_mm: Option<f64> = number("mm", 0.0, 100_000.0), "Path begins, rail tape";
        /// Rail kept clear before the stop.
        rail_spare_mm: Option<f64> = number("mm", 0.0, 10_000.0).start(60.0), "Spare before the stop";
        /// Height of the rail above the table.
        rail_height_mm: Option<f64> = number("mm", 0.0, 20_000.0), "Rail above the table";
        /// Width of the shadow wanted on the set.
        shadow_width_mm: Option<f64> = number("mm", 0.1, 20_000.0), "Shadow wanted, wide";
        /// Soft edge wanted on each side.
        shadow_edge_mm: Option<f64> = number("mm", 0.01, 5000.0), "Soft edge wanted";
        /// Full-size speed of what casts it.
        shadow_story_mps: Option<f64> = number("m/s", 0.0, 400.0), "Caster’s full-size speed";
        /// Full-size height of what casts it above the ground.
        shadow_story_height_m: Option<f64> = number("m", 0.01, 20_000.0), "Caster’s full-size height";
        /// Tiles cast beyond those that are seen.
        tile_spare_percent: Option<f64> = number("%", 0.0, 300.0).start(10.0), "Tiles to spare";
        /// Length of the full-size wave that a projection pretends.
        wave_length_m: Option<f64> = number("m", 0.01, 2000.0).usual(0.2, 100.0), "Wave, full size";
        /// Steepness of it.
        wave_slope: Option<f64> = number("", 0.001, 1.0).usual(0.02, 0.3).start(0.1), "Wave’s slope";
        /// Water over the floor at full size.
        wave_depth_m: Option<f64> = number("m", 0.01, 11_000.0), "Water over the floor";
        /// What of a blur the slices leave for overlap.
        slice_overlap: Option<f64> = number("", 0.0, 0.9).start(0.2), "Slices overlap";
        /// Width of the wisps seen in the haze.
        wisp_mm: Option<f64> = number("mm", 0.1, 5000.0).usual(5.0, 500.0).start(30.0), "Wisps are wide";
        /// Line or chain that hangs in the story; nothing where nothing hangs there.
        story_line_m: Option<f64> = number("m", 0.01, 5000.0), "Hangs in the story from";
        /// Drops, splashes or bubbles, as they are on the stage.
        drop_mm: Option<f64> = number("mm", 0.01, 500.0), "Drops and bubbles";
        /// Notes that only grow.
        notes: Log = log(), "Notes";
    }
}

record! {
    /// What is shot in a setup for one shot: the main element, or practicals, haze, plate, slice or card alone.
    Pass, "pass" in "pass" list "passes" {
        /// The shot.
        shot: Option<Id> = reference("shot").needed(), "Shot";
        /// The setup.
        setup: Option<Id> = reference("setup").needed(), "Setup";
        /// What it is for.
        element: Text = choice(ELEMENT).needed(), "Pass";
        /// Place among the setup's passes.
        order_key: Text = order_key(), "Place";
        /// What moves freely in it.
        moves: Text = choice(MOVES), "Moves freely";
        /// Full-size speed, where it differs from the shot's.
        story_speed_mps: Option<f64> = number("m/s", 0.0, 400.0).usual(0.0, 60.0), "Full-size speed";
        /// Length in the cut, where it differs.
        length_frames: Option<i64> = frames(), "Length in cut";
        /// Reach, where it differs.
        reach_m: Option<f64> = number("m", 0.05, 100_000.0).usual(2.0, 400.0), "Reach";
        /// Camera rate, where it differs.
        shoot_fps: Option<f64> = number("fps", 0.01, 100_000.0).usual(1.0, 1000.0), "Camera runs at";
        /// Stop, where it differs.
        f_number: Option<f64> = number("", 0.5, 256.0).usual(1.4, 45.0), "Stop, f/";
        /// Handles at each end, where they differ.
        handle_frames: Option<i64> = whole("f", 0, 1000), "Handles, each end";
        /// What is out or off for this pass.
        note: Text = text(120), "Note";
    }
}
