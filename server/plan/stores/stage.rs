//! Stages, cameras and their modes, lenses, pieces: what every plan of the studio shares.

use crate::{
    journal::value::{Id, Text},
    record,
};

/// What a piece is.
pub const PIECE: &[(&str, &str)] = &[
    ("model", "model"),
    ("set_piece", "set piece"),
    ("tile", "cast tile"),
];

record! {
    /// A stage.
    Stage, "stage" in "stage" list "stages" {
        /// What it is called.
        name: Text = text(120).needed(), "Stage";
        /// Air in the room.
        volume_m3: Option<f64> = number("m³", 1.0, 1_000_000.0), "Room volume";
        /// Air changes an hour with the extract running.
        extract_per_h: Option<f64> = number("per h", 0.0, 200.0), "Extract, air changes";
        /// Share of a tent's air that leaks into the room, each hour. Read it: two readings with the machine off.
        tent_leak_per_h: Option<f64> = number("per h", 0.0, 100.0).usual(0.0, 10.0).start(0.3), "Tent leaks";
        /// Share that settles and dries in the tent, each hour.
        tent_settling_per_h: Option<f64> = number("per h", 0.0, 100.0).usual(0.0, 5.0).start(0.3), "Settles and dries";
        /// Air changes of a tent while it is drawn out of doors.
        tent_purge_per_h: Option<f64> = number("per h", 0.1, 500.0).start(20.0), "Tent drawn out";
        /// Air changes of the room while a setup is shot and the extract stands still.
        room_changes_per_h: Option<f64> = number("per h", 0.0, 200.0).start(1.0), "Room, extract off";
        /// Liquid that the haze machine keeps in the air, each minute it runs.
        haze_airborne_gpmin: Option<f64> = number("g/min", 0.01, 500.0).start(3.0), "Machine keeps in the air";
        /// Share of the fluid that stays in the air; the rest is water and falls out. Common practice, no source.
        haze_yield: Option<f64> = number("", 0.01, 1.0).start(0.2), "Of the fluid stays";
        /// How far the haze may stand above and below what is wanted.
        haze_band_percent: Option<f64> = number("%", 1.0, 50.0).start(8.0), "Held within";
        /// How badly the air mixes while it clears, 1 perfect to 10. Common practice, no source.
        mixing_factor: Option<f64> = number("", 1.0, 10.0).start(3.0), "Poor mixing";
        /// Fluid in the machine, as its maker names it.
        haze_fluid: Text = text(120), "Fluid";
        /// What a litre of it weighs.
        fluid_density_kgpl: Option<f64> = number("kg/l", 0.5, 2.0).start(1.04), "A litre weighs";
        /// Fluid in stores.
        fluid_held_l: Option<f64> = number("l", 0.0, 10_000.0), "Fluid in stores";
        /// Who to ring.
        emergency: Text = text(120), "Emergency";
        /// Nearest emergency department.
        hospital: Text = text(160), "Nearest emergency department";
        /// Where to meet.
        meeting_point: Text = text(120), "Meet at";
        /// How to get in.
        address: Text = text(240), "Address";
    }
}

record! {
    /// A camera body.
    Camera, "camera" in "camera" list "cameras" {
        /// What the crew calls it.
        name: Text = text(120).needed(), "Camera";
        /// Where it lives.
        lives_at: Text = text(120), "Lives at";
    }
}

record! {
    /// What a camera records at: high rates often use less of the sensor, so the mode sets the frame.
    CameraMode, "camera mode" in "camera_mode" list "camera_modes" {
        /// The camera.
        camera: Option<Id> = reference("camera").needed(), "Camera";
        /// What the crew calls it.
        name: Text = text(120).needed(), "Mode";
        /// Active width of the sensor.
        sensor_width_mm: Option<f64> = number("mm", 0.5, 200.0).needed(), "Active width";
        /// Active height of the sensor.
        sensor_height_mm: Option<f64> = number("mm", 0.5, 200.0).needed(), "Active height";
        /// Photosites across the active width.
        photosites_across: Option<i64> = whole("", 16, 100_000), "Photosites across";
        /// Highest rate.
        highest_fps: Option<f64> = number("fps", 1.0, 100_000.0), "Highest rate";
        /// Smallest step of the rate.
        rate_step_fps: Option<f64> = number("fps", 0.0001, 100.0).start(1.0), "Rate step";
    }
}

record! {
    /// A lens.
    Lens, "lens" in "lens" list "lenses" {
        /// What the crew calls it.
        name: Text = text(120).needed(), "Lens";
        /// Focal length.
        focal_length_mm: Option<f64> = number("mm", 1.0, 2000.0).needed(), "Focal length";
        /// Widest stop.
        widest_f_number: Option<f64> = number("", 0.5, 64.0), "Widest stop, f/";
        /// Smallest stop.
        smallest_f_number: Option<f64> = number("", 0.7, 256.0), "Smallest stop, f/";
        /// Share of the light the glass lets through.
        transmission: Option<f64> = number("", 0.05, 1.0), "Glass passes";
        /// Nearest focus from the sensor mark.
        nearest_focus_mm: Option<f64> = number("mm", 1.0, 100_000.0), "Nearest focus";
        /// Exit pupil over entrance pupil, as measured.
        pupil_magnification: Option<f64> = number("", 0.05, 20.0), "Pupil ratio";
        /// Separation of the principal planes, as measured.
        principal_plane_separation_mm: Option<f64> = number("mm", -500.0, 500.0), "Principal gap";
        /// Where it lives.
        lives_at: Text = text(120), "Lives at";
    }
}

record! {
    /// A model, set piece or cast tile.
    Piece, "piece" in "piece" list "pieces" {
        /// What the crew calls it.
        name: Text = text(120).needed(), "Piece";
        /// What it is.
        kind: Text = choice(PIECE), "Kind";
        /// How many times smaller it is.
        scale_denominator: Option<f64> = scale(), "Scale";
        /// Length.
        length_mm: Option<f64> = number("mm", 0.1, 100_000.0), "Length";
        /// Width.
        width_mm: Option<f64> = number("mm", 0.1, 100_000.0), "Width";
        /// Height.
        height_mm: Option<f64> = number("mm", 0.1, 100_000.0), "Height";
        /// 0 a plain tile … 3 known from every side.
        distinctiveness: Option<i64> = whole("", 0, 3).start(1.0), "How distinctive";
        /// What it weighs.
        mass_g: Option<f64> = number("g", 0.1, 500_000.0), "Weighs";
        /// Smallest detail that is modelled.
        finest_detail_mm: Option<f64> = number("mm", 0.01, 1000.0), "Finest detail";
        /// LEDs in one string.
        led_count: Option<i64> = whole("", 0, 200), "LEDs in a string";
        /// Forward voltage of one.
        led_forward_v: Option<f64> = number("V", 0.5, 20.0), "Each drops";
        /// Current of the string.
        led_current_ma: Option<f64> = number("mA", 0.1, 20_000.0), "Current";
        /// Supply.
        supply_v: Option<f64> = number("V", 0.5, 60.0), "Supply";
        /// Capacity of its cells.
        cell_capacity_mah: Option<f64> = number("mAh", 1.0, 1_000_000.0), "Cells";
        /// What the light inside throws ahead.
        practical_cd: Option<f64> = number("cd", 0.000_001, 10_000.0), "Its light";
        /// What the light leaves by.
        emitter_mm: Option<f64> = number("mm", 0.01, 500.0), "Light leaves by";
        /// How wide a real one would be.
        real_emitter_mm: Option<f64> = number("mm", 0.1, 5000.0), "A real one is";
        /// Light into a fibre.
        fibre_flux_lm: Option<f64> = number("lm", 0.001, 10_000.0), "Light into the fibre";
        /// Core of the fibre.
        fibre_core_mm: Option<f64> = number("mm", 0.05, 30.0), "Fibre core";
        /// Length of the fibre.
        fibre_length_m: Option<f64> = number("m", 0.001, 200.0), "Fibre length";
        /// Order in lists.
        order_key: Text = order_key(), "Place";
        /// Where it lives.
        lives_at: Text = text(120), "Lives at";
    }
}
