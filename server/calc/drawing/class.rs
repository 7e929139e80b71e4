//! Every class a drawing may carry: its name in the style sheet and what it stands for.
//!
//! All names begin with `d-`, so a page's own classes never meet them. The style sheet styles exactly [`Class::ALL`].

/// Declares the classes once: variant, name in the style sheet, what it is and how the paper look draws it.
macro_rules! classes {
    ($($variant:ident $name:literal $meaning:literal)*) => {
        /// What a shape stands for. The style sheet of each look decides how it is drawn.
        #[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
        pub enum Class { $(#[doc = $meaning] $variant),* }

        impl Class {
            /// Every class, in the order of the table.
            pub const ALL: &'static [Class] = &[$(Class::$variant),*];

            /// The name in the style sheet.
            pub const fn name(self) -> &'static str {
                match self { $(Class::$variant => $name),* }
            }

            /// What it stands for and how the paper look draws it.
            pub const fn meaning(self) -> &'static str {
                match self { $(Class::$variant => $meaning),* }
            }
        }
    };
}

classes! {
    // Lettering. Sizes are in drawing units; `figure.rs` measures with the same sizes.
    Caption "d-caption" "name of a view, 13 ink"
    RowName "d-row-name" "name of a row or track, 14 ink"
    RowNote "d-row-note" "second line under a row name, narrow 12 graphite"
    Label "d-label" "words beside a thing, narrow 12.5 graphite"
    Figure "d-figure" "a figure in the drawing, 12 ink"
    Tick "d-tick" "figure at a ruler or guide line, 11 graphite"
    Code "d-code" "code of a shot, board or setup, 12 ink, slashed zero"
    BigCode "d-big-code" "code of a setup on the day, 15 ink, slashed zero"
    ClashNote "d-clash-note" "words on a clash, narrow 12 lead"
    Halo "d-halo" "added to lettering that lines cross: stroke of the sheet, 3, painted first"

    // Lines any drawing uses.
    Grid "d-grid" "light squares, grid .7"
    Guide "d-guide" "level line behind a track, hair .6"
    Ruler "d-ruler" "ruler line and its ticks, ink .6"
    ScaleBar "d-scale-bar" "the 500 mm bar, ink 1"
    Drop "d-drop" "projecting line between views, dotted 1 3, graphite .6"
    DimensionLine "d-dim" "group of one dimension"
    DimensionEntry "d-dim-entry" "added to a dimension that shows what someone wrote: everything in entry ink"
    DimensionStroke "d-dim-line" "dimension line, ink .7"
    DimensionArrow "d-dim-arrow" "arrowhead, filled ink"
    DimensionEnd "d-dim-end" "extension line, ink .5"
    DimensionText "d-dim-text" "its value, 12 ink with halo"
    Ring "d-ring" "group of one number ring"
    RingLeader "d-ring-leader" "leader, ink .7"
    RingDot "d-ring-dot" "dot on the thing, filled ink"
    RingCircle "d-ring-circle" "circle, filled sheet, ink 1"
    RingNumber "d-ring-number" "number, 11 ink"

    // Plan and elevation.
    Sharp "d-sharp" "sharp zone, filled sharp, no line; hatched on paper by its bounds alone"
    FrameEdge "d-frame-edge" "edge of the frame from the pupil, ink .9"
    Axis "d-axis" "camera axis, chain 16 3 2 3, ink .7"
    Limit "d-limit" "sharp limit, ink 2.2"
    Focus "d-focus" "focus plane, dashed 5 3, entry 1.6"
    Tent "d-tent" "tent wall, long dash 7 3, graphite 1"
    Table "d-table" "table outline, ink 1.3"
    TableCut "d-table-cut" "table cut through in elevation, filled hair, ink 1.3"
    Camera "d-camera" "camera and lens, filled sheet, ink 1.2"
    SensorMark "d-sensor-mark" "the sensor mark, ink 1.6"
    Water "d-water" "where the water ends, wavy, graphite 1.1"
    Model "d-model" "a model, filled sheet, ink 1.2"
    Piece "d-piece" "a set piece, filled sheet, ink 1"
    PieceSide "d-piece-side" "a set piece in elevation, ink .8, not filled"
    Wall "d-wall" "a piece thinner than its line, ink 4.5"
    Lamp "d-lamp" "lamp head, filled sheet, ink 1.2"
    Beam "d-beam" "a lamp's throw, dashed 8 3, graphite .7, filled lit at .45"
    Flag "d-flag" "flag, ink 3.5"
    Projector "d-projector" "projector, filled sheet, ink 1.2"
    Throw "d-throw" "a projector's throw, dotted 2 3, graphite .8"
    Backing "d-backing" "backing, ink 2"
    Net "d-net" "net, dashed 2 2, ink 1.2"
    Tiles "d-tiles" "edge of a field of cast tiles, and the tiles the frame sees, ink .7"
    Umbra "d-umbra" "where a flag hides the whole lamp, filled graphite at .35"
    Penumbra "d-penumbra" "where it hides some of it, filled graphite at .15"
    Attachment "d-attachment" "attachment point of a line, filled ink"
    Arm "d-arm" "arm and axis of a turntable, chain 4 2 1 2, ink .8"
    Track "d-track" "track of a dolly, ink 1.2"
    Needed "d-needed" "how far a backing has to reach, graphite .9"
    Path "d-path" "the model's path and its ticks, entry 1.5"
    PathArrow "d-path-arrow" "arrowhead of the path, filled entry"
    RailLine "d-rail-line" "line of the rail in plan, chain 4 2 1 2, ink .7"
    Rail "d-rail" "the rail in elevation, ink 2.4"
    StartMark "d-start-mark" "start mark, filled ink"
    Wire "d-wire" "hanging wire, ink .5"

    // A single sum.
    Curve "d-curve" "a curve over its axes, ink 1.8"
    CurveBeside "d-curve-beside" "a second curve, dashed 6 3, ink 1.2"
    Level "d-level" "a limit across a chart, dashed 4 3, lead 1.2"
    Mark "d-mark" "where the numbers typed stand, filled entry"

    // The lens view.
    Veil "d-veil" "haze that fills the frame, filled veil"
    Tone0 "d-tone-0" "a face that the haze has all but taken, filled veil"
    Tone1 "d-tone-1" "one eighth of the object's own tone left"
    Tone2 "d-tone-2" "two eighths left"
    Tone3 "d-tone-3" "three eighths left"
    Tone4 "d-tone-4" "half left"
    Tone5 "d-tone-5" "five eighths left"
    Tone6 "d-tone-6" "six eighths left"
    Tone7 "d-tone-7" "seven eighths left"
    Tone8 "d-tone-8" "the object's own tone, filled obj"
    Edge "d-edge" "edge of a solid, hair .5; in blackout its outline is all that is seen"
    FloorLine "d-floor-line" "line on the table every 100 mm, hair .5"
    Horizon "d-horizon" "where level lines vanish, dashed 6 4, graphite .7"
    SafeFrame "d-safe-frame" "corners of the nine tenths kept clear of the edge, ink .8"
    LensFrame "d-lens-frame" "edge of the frame, ink 1.5"
    Hit "d-hit" "where a thing can be taken hold of; not seen"

    Item "d-item" "group of shapes that belong together; no look of its own"

    // The run.
    Used "d-used" "the used part of the run, filled sharp"
    Speed "d-speed" "speed of the rail and level of a mover, ink 1.8"
    Steady "d-steady" "a mover that turns all through, ink 1.3"
    Rolling "d-rolling" "camera rolling, ink 4"
    CueSpread "d-cue-spread" "spread of a hand cue, filled field, ink 1"
    CueAt "d-cue-at" "the cue itself, ink 2.2"
    Handle "d-handle" "handles on the screen clock, filled ink"
    ScreenSpread "d-screen-spread" "the cue's spread on the screen clock, ink 5"

    // The stage day.
    SetupBox "d-setup-box" "a setup to time, filled field, ink 2"
    SetupName "d-setup-name" "its name, narrow 12.5 graphite, centred"
    Part "d-part" "a part of a changeover, ink .8, filled by its hatch"
    HatchLine "d-hatch-line" "line of a hatch, hatch 1"
    HatchDot "d-hatch-dot" "dot of a hatch, filled hatch"
    MealFoot "d-meal-foot" "double foot of the meal, ink 1.3"
    Bound "d-bound" "meal-by and out-of-the-building lines, ink 2.2"

    // The cut.
    Board "d-board" "frame of a board, field fill, ink 1.1"
    BoardPicture "d-board-picture" "the board's picture; hidden in blackout"
    BoardRule "d-board-rule" "ruling of a board not drawn yet, hair .6"
    Leader "d-leader" "from a board to its shot, graphite .6"
    ShotBox "d-shot-box" "a shot on the ribbon, filled field, ink 1.2"
    ShotLength "d-shot-length" "its length, 11 graphite"
    Step "d-step" "stepped line of light or top of the water, ink 1.8"
    MurkDot "d-murk-dot" "dot of the water's stipple, filled graphite"
    Murk "d-murk" "the water, filled by its stipple, no line"
    Travel "d-travel" "travel on screen, ink 1.6"
    TravelHead "d-travel-head" "its arrowhead or dot, filled ink"
    TravelRing "d-travel-ring" "ring of travel toward or away, ink 1.2, no fill"
    Seen "d-seen" "a piece where it is seen, ink 4"
    FaceBox "d-face-box" "box round a face number, filled sheet, ink 1"
    Face "d-face" "face number, 11 ink"
    Clash "d-clash" "arc of a clash, lead 1.5"
    Thread "d-thread" "from a shot to its setup, graphite 1"
    SetupNode "d-setup-node" "a setup in stage order, filled sheet, ink 1.2"
    DayBracket "d-day-bracket" "bracket of a day, ink .6"
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_name_is_its_own_and_prefixed() {
        let mut names: Vec<_> = Class::ALL.iter().map(|class| class.name()).collect();
        assert!(names.iter().all(|name| name.starts_with("d-")));
        names.sort_unstable();
        names.dedup();
        assert_eq!(names.len(), Class::ALL.len());
    }
}
