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
        /// Order in lists.
        order_key: Text = order_key(), "Place";
        /// Where it lives.
        lives_at: Text = text(120), "Lives at";
    }
}
