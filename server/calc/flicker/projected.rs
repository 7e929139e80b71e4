//! Pictures and light from a projector, seen by a camera.

use super::swing::lit_cycles;
use super::{FULL_TURN_DEG, FULL_TURN_SLACK_DEG, whole_multiples};
use crate::calculation::{OrInfinity, calculation};
use crate::fault::{Fault, Warnings};
use crate::figure::{carried, found, given};
use crate::scale_time::exact_rate;

/// How near to whole a number of frames must be to repeat evenly.
const EVEN: f64 = 1e-6;

calculation! { "flicker";
    /// How fast a clip must play on the set to look right on screen, and how often its pictures change.
    ///
    /// It plays k times faster. Frames that are no whole number of the projector's pictures, or the other way round,
    /// hold some pictures longer than others (`cadence_uneven`); when the projector is the faster, several pictures
    /// melt into one frame.
    projected_element(ProjectedElement {
        /// Frames a second in camera.
        shoot_fps: f64 = Above(0.0); usual 120.0,
        /// Frames a second on screen.
        base_fps: f64 = Above(0.0); usual 24.0,
        /// Pictures a second of the projector.
        projector_hz: f64 = Above(0.0); usual 60.0,
        /// Length of the clip on screen.
        clip_screen_seconds: f64 = Above(0.0); usual 10.0,
    }) -> Playback {
        /// Times faster than on screen.
        playback_speed: f64,
        /// How long it plays on the stage.
        stage_seconds: f64,
        /// Frames in camera to each picture of the projector.
        camera_frames_per_projector_frame: f64,
        /// Pictures of the clip that are seen in a second on screen.
        fresh_images_per_screen_second: f64,
    }
    because projected_element_because
    source "ratio of rates, agreed by a simulation of the frames", Confirmed

    /// Shutter angles that hold whole turns of a projector's colour wheel, and the colour swing of any other.
    ///
    /// A projector with one chip shows its colours one after another. An exposure t at f turns a second holds f t
    /// turns; only whole turns hold every colour in full, whatever the wheel's place when the shutter opens. Of a colour
    /// that fills the share d of the turn, the rest x = f t − ⌊f t⌋ holds at most min(x, d) and at least
    /// max(0, x + d − 1), on top of ⌊f t⌋ d: the swing is the ratio of both sums. A frame shorter than one turn has no
    /// such angle (`no_safe_shutter`), and an angle given that is none of them swings. A wheel with its colours twice
    /// around counts as two turns. Brightness within a colour is switched as well: test before relying on it.
    colour_wheel(ColourWheel {
        /// Frames a second in camera.
        fps: f64 = Above(0.0); usual 48.0,
        /// Pictures a second of the projector.
        projector_hz: f64 = Above(0.0); usual 60.0,
        /// Turns of the colours in each picture.
        turns_per_picture: f64 = Above(0.0); usual 4.0,
        /// Share of the turn of the colour that has least of it.
        colour_share: f64 = AboveUpTo(0.0, 1.0); default 1.0 / 3.0,
        /// Shutter angle to try.
        shutter_deg: f64 = AboveUpTo(0.0, 360.0); default 180.0,
    }) -> WholeTurns {
        /// Shutter angle of each whole number of turns.
        angles_deg: Vec<f64>,
        /// Turns that the shutter angle tried holds.
        turns_held: f64,
        /// Swing of the colour at the angle tried.
        colour_swing_stops: OrInfinity,
    }
    because colour_wheel_because
    source "derived here: time of one colour within an exposure, agreed by a sum over every start of the wheel", Confirmed
}

fn is_whole(number: f64) -> bool {
    (number - number.round()).abs() < EVEN * number
}

fn projected_element(i: &ProjectedElement, warnings: &mut Warnings) -> Playback {
    let (shoot_fps, projector_hz) = (exact_rate(i.shoot_fps), exact_rate(i.projector_hz));
    let playback_speed = shoot_fps / exact_rate(i.base_fps);
    let frames = shoot_fps / projector_hz;
    warnings.add_if(
        !is_whole(frames) && !is_whole(1.0 / frames),
        "cadence_uneven",
    );
    Playback {
        playback_speed,
        stage_seconds: i.clip_screen_seconds / playback_speed,
        camera_frames_per_projector_frame: frames,
        fresh_images_per_screen_second: projector_hz.min(shoot_fps) / playback_speed,
    }
}

fn projected_element_because(i: &ProjectedElement, a: &Playback) -> String {
    format!(
        "{} ÷ {} = {} times faster than on screen. The clip plays for {} s on the stage, and {} different pictures are seen in each second on screen.",
        carried(exact_rate(i.shoot_fps)),
        carried(exact_rate(i.base_fps)),
        found(a.playback_speed),
        found(a.stage_seconds),
        found(a.fresh_images_per_screen_second)
    )
}

/// Turns of the wheel in a second.
fn wheel_hz(i: &ColourWheel) -> f64 {
    exact_rate(i.projector_hz) * i.turns_per_picture
}

fn colour_wheel(i: &ColourWheel, warnings: &mut Warnings) -> Result<WholeTurns, Fault> {
    let one_deg = FULL_TURN_DEG * exact_rate(i.fps) / wheel_hz(i);
    warnings.add_if(
        one_deg > FULL_TURN_DEG + FULL_TURN_SLACK_DEG,
        "no_safe_shutter",
    );
    let angles_deg = whole_multiples(one_deg, "fps")?;
    let turns_held = i.shutter_deg / one_deg;
    let (most, least) = lit_cycles(i.colour_share, turns_held);
    Ok(WholeTurns {
        angles_deg,
        turns_held,
        colour_swing_stops: OrInfinity((most / least).log2()),
    })
}

fn colour_wheel_because(i: &ColourWheel, a: &WholeTurns) -> String {
    let angles = match a.angles_deg.first() {
        None => "Not even one whole turn fits into a frame".to_owned(),
        Some(one) => format!(
            "Whole turns begin at {}° and come every {}°",
            found(*one),
            found(*one)
        ),
    };
    format!(
        "{} × {} × {} ÷ (360 × {}) = {} turns of the colours at this angle. {angles}; the colour swings by {} stops.",
        given(i.shutter_deg),
        carried(exact_rate(i.projector_hz)),
        given(i.turns_per_picture),
        carried(exact_rate(i.fps)),
        found(a.turns_held),
        found(a.colour_swing_stops.0)
    )
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::Calculate;
    use proptest::prelude::*;

    fn element(shoot_fps: f64, projector_hz: f64) -> crate::Worked<Playback> {
        ProjectedElement {
            shoot_fps,
            base_fps: 24.0,
            projector_hz,
            clip_screen_seconds: 10.0,
        }
        .work()
        .expect("in range")
    }

    fn wheel(fps: f64, shutter_deg: f64) -> crate::Worked<WholeTurns> {
        ColourWheel {
            fps,
            projector_hz: 60.0,
            turns_per_picture: 4.0,
            colour_share: 1.0 / 3.0,
            shutter_deg,
        }
        .work()
        .expect("in range")
    }

    #[test]
    fn uneven_holds_are_told_and_even_ones_are_not() {
        assert_eq!(element(96.0, 60.0).warnings, ["cadence_uneven"]);
        for (fps, hz) in [(120.0, 60.0), (60.0, 120.0), (119.88, 59.94)] {
            assert!(element(fps, hz).warnings.is_empty(), "{fps} {hz}");
        }
    }

    #[test]
    fn a_fast_camera_has_no_whole_turn() {
        let fast = wheel(250.0, 180.0);
        assert_eq!(fast.warnings, ["no_safe_shutter"]);
        assert!(fast.angles_deg.is_empty());
        assert!(fast.colour_swing_stops.0.is_infinite());
    }

    proptest! {
        #[test]
        fn whole_turns_do_not_swing_and_broken_ones_do(fps in 20.0..120.0, part in 0.1..0.9) {
            let angles = wheel(fps, 180.0).answer.angles_deg;
            for angle in angles.iter().filter(|angle| **angle <= 360.0) {
                prop_assert!(wheel(fps, *angle).colour_swing_stops.0 < 1e-6);
            }
            prop_assert!(wheel(fps, angles[0] * part).colour_swing_stops.0 > 0.01);
        }
    }
}
