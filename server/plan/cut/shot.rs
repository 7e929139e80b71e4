//! The shot's declaration, its scene, and which pieces are seen in it.

use crate::{
    journal::value::{Id, Text},
    record,
};

/// Which way the subject crosses the picture.
pub const TRAVEL: &[(&str, &str)] = &[
    ("l_to_r", "L to R"),
    ("r_to_l", "R to L"),
    ("toward", "toward"),
    ("away", "away"),
    ("up", "up"),
    ("down", "down"),
    ("still", "still"),
];
/// What lets the direction change without a jolt.
pub const TURN: &[(&str, &str)] = &[
    ("turns", "turns on screen"),
    ("crosses", "crosses the line"),
];
/// What the picture pretends to be shot through.
pub const LOOK: &[(&str, &str)] = &[
    ("air", "clear air"),
    ("night", "night air"),
    ("mist", "mist"),
    ("smoke", "smoke"),
    ("reservoir", "reservoir"),
    ("coastal", "coastal water"),
    ("ocean", "open ocean"),
];
/// Side of the line the camera stands on.
pub const SIDE: &[(&str, &str)] = &[("a", "side A"), ("b", "side B"), ("on", "on the line")];
/// How a piece is seen.
pub const SEEN: &[(&str, &str)] = &[
    ("near", "near and sharp"),
    ("middle", "middle"),
    ("far", "far or soft"),
];
/// How a piece is turned against its first use.
pub const TURNED: &[(&str, &str)] = &[
    ("same", "same way"),
    ("turned", "turned"),
    ("mirrored", "mirrored"),
];

record! {
    /// A stretch of the story in one place and time.
    Scene, "scene" in "scene" list "scenes" {
        /// Number in the script.
        code: Text = text(20).needed(), "Scene";
        /// What it is called.
        name: Text = text(120), "Name";
        /// Place in the cut.
        order_key: Text = order_key(), "Place";
    }
}

record! {
    /// One shot of the cut: what the audience sees between two cuts.
    Shot, "shot" in "shot" list "shots" {
        /// Code on the board, used once.
        code: Text = text(20).needed().once(), "Shot", also ["shot code", "id", "no", "number"];
        /// What it is called.
        name: Text = text(120), "Name", also ["title"];
        /// Place in the cut.
        order_key: Text = order_key(), "Place";
        /// The scene it belongs to.
        scene: Option<Id> = reference("scene"), "Scene";
        /// Length in the cut.
        length_frames: Option<i64> = frames(), "Length", also ["frames", "length", "duration", "len"];
        /// What happens.
        action: Text = long_text(2000), "Action", also ["description", "what happens"];
        /// Picture of the board.
        board_picture: Text = text(64), "Board";
        /// Order in the story, where it differs from the cut.
        story_order: Option<i64> = whole("", 0, 100_000), "Story order", also ["story"];
        /// How many times smaller the model is.
        scale_denominator: Option<f64> = scale().usual(4.0, 96.0), "Scale", also ["scale", "model scale"];
        /// Speed of the moving subject at full size.
        story_speed_mps: Option<f64> = number("m/s", 0.0, 400.0).usual(0.0, 60.0), "Full-size speed", also ["speed", "story speed", "story speed ms"];
        /// Length of the moving subject at full size.
        story_length_m: Option<f64> = number("m", 0.001, 5000.0), "Subject length", also ["story length", "story size"];
        /// Which way it crosses the picture.
        travel: Text = choice(TRAVEL), "Travel", also ["direction", "screen direction"];
        /// Frame widths it crosses in a second of the cut.
        travel_widths_per_s: Option<f64> = number("widths/s", 0.0, 20.0).usual(0.0, 0.5), "Crosses";
        /// What on screen lets the direction change.
        turn: Text = choice(TURN), "Turn";
        /// Line of action it keeps to.
        axis: Text = text(20), "Line";
        /// Side of that line.
        camera_side: Text = choice(SIDE), "Camera side";
        /// Where in the story.
        place: Text = text(80), "Place in story", also ["location", "set"];
        /// What the picture pretends to be shot through.
        look: Text = choice(LOOK), "Seen through", also ["look", "water", "air"];
        /// Distance at which contrast falls to 2 %, full size.
        reach_m: Option<f64> = number("m", 0.05, 100_000.0).usual(2.0, 400.0), "Reach", also ["visibility", "reach"];
        /// Depth under the surface, full size.
        depth_m: Option<f64> = number("m", 0.0, 11_000.0), "Depth", also ["depth"];
        /// Key light against an even exposure.
        key_stops: Option<f64> = number("stops", -12.0, 6.0).usual(-5.0, 1.0), "Key against even", also ["key", "light"];
        /// Key at the end of the shot, where it changes.
        key_end_stops: Option<f64> = number("stops", -12.0, 6.0), "Key at the end";
        /// What the light is.
        light_note: Text = text(60), "Light is";
        /// Active width of the sensor that shot the live action.
        plate_sensor_width_mm: Option<f64> = number("mm", 0.5, 200.0), "Live action: sensor width";
        /// Its active height.
        plate_sensor_height_mm: Option<f64> = number("mm", 0.5, 200.0), "Live action: sensor height";
        /// Its lens.
        plate_focal_length_mm: Option<f64> = number("mm", 1.0, 2000.0), "Live action: lens";
        /// Squeeze of its lens.
        plate_squeeze: Option<f64> = number("×", 0.5, 4.0).start(1.0), "Live action: squeeze";
        /// Height of its lens above the ground.
        plate_height_m: Option<f64> = number("m", 0.0, 1000.0), "Live action: lens height";
        /// From its lens to the subject.
        plate_distance_m: Option<f64> = number("m", 0.05, 10_000.0), "Live action: to subject";
        /// Its tilt, down is positive.
        plate_tilt_deg: Option<f64> = number("°", -90.0, 90.0), "Live action: tilt down";
        /// The board as it was drawn here: pen strokes in a field 1000 wide, as an SVG path of moves and lines.
        board_sketch: Text = strokes(60_000), "Board, drawn";
    }
}

record! {
    /// A piece seen in a shot, and which face it shows.
    Sighting, "sighting" in "sighting" list "sightings" {
        /// The shot.
        shot: Option<Id> = reference("shot").needed(), "Shot";
        /// The piece, in stores.
        piece: Option<Id> = reference("piece").needed(), "Piece";
        /// Face shown.
        face: Text = text(20), "Face";
        /// How it is seen.
        visibility: Text = choice(SEEN), "Seen";
        /// How it is turned.
        orientation: Text = choice(TURNED), "Turned";
        /// Where in the story it pretends to stand.
        place: Text = text(80), "Stands for";
    }
}
