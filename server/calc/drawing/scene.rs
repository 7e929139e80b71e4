//! What stands on the stage for one setup, in stage millimetres.
//!
//! Everything is measured from the sensor mark as taped: `x` along the camera's heading over the floor, `y` to the camera's
//! right, `z` up from the table top. Parts not known yet are absent and the drawing does without them.

/// Unit the lengths are written in. The geometry stays in millimetres.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Unit {
    /// Whole millimetres.
    #[default]
    Millimetre,
    /// Inches to a tenth.
    Inch,
}

/// One setup as it stands.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Scene {
    /// The camera.
    pub camera: Camera,
    /// Focus distance from the mark along the axis.
    pub focus_mm: Option<f64>,
    /// Sharp limits from the mark along the axis.
    pub limits: Option<Limits>,
    /// The smoke tent, centred on the axis.
    pub tent: Option<Tent>,
    /// The table, centred on the axis; its top is `z` = 0.
    pub table: Option<Table>,
    /// Where the water ends to the eye (reach at stage scale), from the mark.
    pub water_end_mm: Option<f64>,
    /// The model's path in this pass.
    pub path: Option<ModelPath>,
    /// Everything else that stands or hangs there.
    pub things: Vec<Thing>,
    /// Lines that hold what hangs.
    pub lines: Vec<Line>,
    /// The arm of a turntable, with the arc that the pass uses.
    pub turn: Option<Turn>,
    /// The camera's track: from the mark to where the pass ends.
    pub track_end: Option<Place>,
    /// What the lens view needs beyond the frame.
    pub lens: Option<Lens>,
    /// Extinction of the haze between lens and set.
    pub extinction_per_m: f64,
    /// Number rings on parts of the drawing that are not things.
    pub references: Vec<Reference>,
    /// Numbers to keep when only some rings fit, most wanted first (the findings, worst first).
    pub first_rings: Vec<u32>,
    /// Unit lengths are written in.
    pub unit: Unit,
}

/// The camera on its mark.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Camera {
    /// Entrance pupil ahead of the sensor mark (behind it when negative), along the axis.
    pub pupil_mm: f64,
    /// Sensor mark above the table top.
    pub height_mm: f64,
    /// Tilt, positive looking up.
    pub tilt_deg: f64,
    /// Roll about the axis.
    pub roll_deg: f64,
    /// What the frame takes in, when lens and mode are known.
    pub frame: Option<Frame>,
}

/// Half angles of the frame at the entrance pupil.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Frame {
    /// From the axis to the left or right edge.
    pub half_width_deg: f64,
    /// From the axis to the top or bottom edge.
    pub half_height_deg: f64,
}

/// How the lens draws: its picture size and its blur.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Lens {
    /// Active width of the sensor.
    pub sensor_width_mm: f64,
    /// Active height of the sensor.
    pub sensor_height_mm: f64,
    /// Squeeze: how many times more the frame takes in across.
    pub squeeze: f64,
    /// Photosites across the active width.
    pub photosites_across: f64,
    /// Distance over which the frame opens by its own size: the focal length, corrected for close focus.
    pub projection_mm: f64,
    /// Diameter of the entrance pupil: focal length over f-number.
    pub pupil_diameter_mm: f64,
    /// Image over object size at the focus.
    pub magnification: f64,
    /// Focus from the entrance pupil.
    pub focus_from_pupil_mm: f64,
    /// Largest blur accepted on the sensor.
    pub blur_line_mm: f64,
}

impl Lens {
    /// Blur on the sensor of something this far from the pupil, measured along the axis.
    pub fn blur_mm(&self, from_pupil_mm: f64) -> f64 {
        self.pupil_diameter_mm
            * self.magnification
            * (from_pupil_mm - self.focus_from_pupil_mm).abs()
            / from_pupil_mm
    }
}

/// A line from where it is made fast down to what it holds.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Line {
    /// Where it is made fast.
    pub top: Place,
    /// Its attachment point.
    pub foot: Place,
}

/// The arm of a turntable.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Turn {
    /// Its axis.
    pub centre: Place,
    /// From the axis to what it carries.
    pub radius_mm: f64,
    /// Where the used arc begins, as a heading from the axis.
    pub from_deg: f64,
    /// How far it turns over the used part; positive turns toward the camera's right of what heads away from it.
    pub sweep_deg: f64,
}

/// Sharp limits from the mark.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Limits {
    /// Nearest distance still sharp.
    pub near_mm: f64,
    /// Farthest distance still sharp; absent when sharp to infinity.
    pub far_mm: Option<f64>,
}

/// A smoke tent.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Tent {
    /// Wall nearer the camera.
    pub start_mm: f64,
    /// Wall farther away.
    pub end_mm: f64,
    /// Across the axis.
    pub width_mm: f64,
    /// Above the table top.
    pub height_mm: f64,
}

/// A table.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Table {
    /// Its edge toward the camera.
    pub near_edge_mm: f64,
    /// Along the axis.
    pub length_mm: f64,
    /// Across the axis.
    pub width_mm: f64,
}

/// A place on the stage.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Place {
    /// From the mark, away from the camera.
    pub x_mm: f64,
    /// To the camera's right.
    pub y_mm: f64,
    /// Above the table top.
    pub z_mm: f64,
}

/// A straight, level path of the model.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ModelPath {
    /// Where the used part begins.
    pub start: Place,
    /// 0 goes straight away from the camera, 90 to its right.
    pub heading_deg: f64,
    /// Speed of the rig on the stage.
    pub speed_mm_per_s: f64,
    /// How long the used part runs on the stage.
    pub duration_s: f64,
    /// Stage seconds that make one second of the cut: the spacing of the ticks.
    pub stage_s_per_cut_s: f64,
    /// The rail it hangs from, if any.
    pub rail: Option<Rail>,
}

/// A rail over the path.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Rail {
    /// Above the table top.
    pub height_mm: f64,
    /// From the start mark to the start of the used part.
    pub run_up_mm: f64,
    /// From the end of the used part to the stop.
    pub run_out_mm: f64,
}

/// What a thing is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Kind {
    /// A model that moves or is looked at.
    Model,
    /// A set piece.
    Piece,
    /// A lamp head.
    Lamp,
    /// A flag or cutter.
    Flag,
    /// A projector.
    Projector,
    /// A backing.
    Backing,
    /// A net or gauze.
    Net,
    /// A field of cast tiles.
    Tiles,
}

/// Length along the heading, width across it, height up.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Size {
    /// Along the heading.
    pub length_mm: f64,
    /// Across the heading.
    pub width_mm: f64,
    /// Up.
    pub height_mm: f64,
}

/// Where a lamp or projector throws.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Throw {
    /// Distance to the lit patch.
    pub distance_mm: f64,
    /// Width of the patch, level and across the throw.
    pub width_mm: f64,
    /// Height of the patch, square to its width and the throw.
    pub height_mm: f64,
}

/// A thing that stands or hangs in the setup.
#[derive(Clone, Debug, PartialEq)]
pub struct Thing {
    /// Its id, for a page that ties shapes to blanks; empty for none.
    pub id: String,
    /// What it is.
    pub kind: Kind,
    /// What the crew calls it.
    pub name: String,
    /// Its number, the same on every part of the sheet.
    pub ring: Option<u32>,
    /// Middle of its footprint; `z` is its underside.
    pub place: Place,
    /// 0 faces away from the camera, 90 to its right.
    pub heading_deg: f64,
    /// Positive faces up, −90 straight down.
    pub pitch_deg: f64,
    /// How large it is.
    pub size: Size,
    /// What it lights or projects on.
    pub throw: Option<Throw>,
    /// Diameter of a lamp's source: with it a flag's shadow has an edge.
    pub source_mm: f64,
    /// For a flag, the id of the lamp it stands before; empty shades nothing.
    pub shades: String,
    /// For a field of tiles, one tile along the heading and across it.
    pub tile_mm: Option<(f64, f64)>,
}

impl Thing {
    /// A thing that faces away from the camera and throws nothing.
    pub fn new(kind: Kind, name: &str, place: Place, size: Size) -> Thing {
        Thing {
            id: String::new(),
            kind,
            name: name.to_owned(),
            ring: None,
            place,
            heading_deg: 0.0,
            pitch_deg: 0.0,
            size,
            throw: None,
            source_mm: 0.0,
            shades: String::new(),
            tile_mm: None,
        }
    }
}

/// A part of the drawing that is no thing and may carry a ring.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Part {
    /// Lens and camera.
    Camera,
    /// The near limit.
    NearLimit,
    /// The far limit.
    FarLimit,
    /// The focus plane.
    Focus,
    /// The water's end.
    WaterEnd,
    /// The model's path.
    Path,
    /// The wires from rail to model.
    Wires,
}

/// A number ring on a part of the drawing.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Reference {
    /// The number, the same on every part of the sheet.
    pub ring: u32,
    /// The part it names.
    pub part: Part,
}

impl Thing {
    /// Corners of its footprint.
    pub(crate) fn footprint(&self) -> [Place; 4] {
        let (sin, cos) = self.heading_deg.to_radians().sin_cos();
        let (long, wide) = (self.size.length_mm / 2.0, self.size.width_mm / 2.0);
        [(-long, -wide), (long, -wide), (long, wide), (-long, wide)].map(|(along, across)| Place {
            x_mm: self.place.x_mm + along * cos - across * sin,
            y_mm: self.place.y_mm + along * sin + across * cos,
            z_mm: self.place.z_mm,
        })
    }

    /// Middle of its body.
    pub(crate) fn middle(&self) -> Place {
        Place {
            z_mm: self.place.z_mm + self.size.height_mm / 2.0,
            ..self.place
        }
    }

    /// Corners of the patch it throws on.
    pub(crate) fn patch(&self) -> Option<[Place; 4]> {
        let throw = self.throw?;
        let (sin_h, cos_h) = self.heading_deg.to_radians().sin_cos();
        let (sin_p, cos_p) = self.pitch_deg.to_radians().sin_cos();
        let from = self.middle();
        let (half_width, half_height) = (throw.width_mm / 2.0, throw.height_mm / 2.0);
        Some(
            [(-1.0, -1.0), (1.0, -1.0), (1.0, 1.0), (-1.0, 1.0)].map(|(side, up)| {
                let (across, rise) = (side * half_width, up * half_height);
                // Along the throw, then up the patch (square to the throw), then across it.
                let forward = throw.distance_mm * cos_p - rise * sin_p;
                Place {
                    x_mm: from.x_mm + forward * cos_h - across * sin_h,
                    y_mm: from.y_mm + forward * sin_h + across * cos_h,
                    z_mm: from.z_mm + throw.distance_mm * sin_p + rise * cos_p,
                }
            }),
        )
    }
}

impl ModelPath {
    /// The place this far along the path from its start; negative is before it.
    pub fn along(&self, distance_mm: f64) -> Place {
        let (sin, cos) = self.heading_deg.to_radians().sin_cos();
        Place {
            x_mm: self.start.x_mm + distance_mm * cos,
            y_mm: self.start.y_mm + distance_mm * sin,
            z_mm: self.start.z_mm,
        }
    }

    /// Length of the used part, never longer than can be drawn.
    pub fn length_mm(&self) -> f64 {
        super::bounds::span(self.speed_mm_per_s * self.duration_s)
    }

    /// Distances of the ticks along the used part, one for each second of the cut, the start included.
    pub fn ticks_mm(&self) -> Vec<f64> {
        /// More ticks than this run into one line.
        const MOST: u32 = 120;
        let (step_mm, length_mm) = (
            self.speed_mm_per_s * self.stage_s_per_cut_s,
            self.length_mm(),
        );
        if step_mm <= 0.0 || step_mm.is_nan() || length_mm / step_mm > f64::from(MOST) {
            return Vec::new();
        }
        (0..=MOST)
            .map(|second| f64::from(second) * step_mm)
            .take_while(|mm| *mm <= length_mm + 0.5)
            .collect()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn close(actual: f64, expected: f64) {
        assert!(
            (actual - expected).abs() < 1e-9,
            "{actual} is not {expected}"
        );
    }

    #[test]
    fn ticks_stand_one_second_of_the_cut_apart() {
        // 224 mm/s for 2 s is 448 mm; 25 of 112 frames make a second of the cut, so a tick every 50 mm: 0 to 400.
        let path = ModelPath {
            start: Place::default(),
            heading_deg: 90.0,
            speed_mm_per_s: 224.0,
            duration_s: 2.0,
            stage_s_per_cut_s: 25.0 / 112.0,
            rail: None,
        };
        let ticks = path.ticks_mm();
        assert_eq!(ticks.len(), 9);
        close(ticks[8], 400.0);
        close(path.along(448.0).y_mm, 448.0);
        close(path.along(448.0).x_mm, 0.0);
    }

    #[test]
    fn a_patch_straight_below_a_projector_is_its_footprint() {
        let mut projector = Thing::new(
            Kind::Projector,
            "ripple",
            Place {
                x_mm: 1600.0,
                y_mm: 0.0,
                z_mm: 1500.0,
            },
            Size::default(),
        );
        projector.pitch_deg = -90.0;
        projector.throw = Some(Throw {
            distance_mm: 1500.0,
            width_mm: 660.0,
            height_mm: 980.0,
        });
        let patch = projector.patch().expect("it throws");
        for corner in patch {
            close(corner.z_mm, 0.0);
            close((corner.x_mm - 1600.0).abs(), 490.0);
            close(corner.y_mm.abs(), 330.0);
        }
    }
}
