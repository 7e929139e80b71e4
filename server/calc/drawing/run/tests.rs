//! The two clocks against each other, lengths to scale, and runs with broken figures.

use proptest::prelude::*;

use super::super::fit::Form;
use super::super::shape::Shape;
use super::screen::{on_screen_s, screen_words};
use super::*;

fn pass() -> Run {
    let mover = |name: &str, motion, used: &str| Mover {
        name: name.to_owned(),
        motion,
        words: [String::new(), used.to_owned(), String::new()],
    };
    Run {
        ramp_up_s: 2.23,
        used_s: 2.0,
        ramp_down_s: 2.23,
        stage_s_per_screen_s: 25.0 / 112.0,
        handle_screen_s: 12.0 / 25.0,
        camera_fps: 112.0,
        movers: vec![
            mover("Rail", Motion::Ramped, "224 mm/s, dial 50.2"),
            mover(
                "Lantern thread",
                Motion::Cue {
                    at_s: 3.01,
                    spread_s: 0.12,
                },
                "pull by hand",
            ),
        ],
    }
}

#[test]
fn the_screen_clock_counts_the_used_part_without_handles() {
    // 2 s at 112 frames a second is 224 frames; less 24 frames of handles, at 25 a second: 8 s.
    assert!((pass().screen_s() - 8.0).abs() < 1e-9);
    // The cue: 3.01 − 2.23 s on the stage is 87.36 frames; less 12 frames of handle, 75.36 frames: 3.01 s.
    assert!((on_screen_s(&pass(), 3.01) - 3.0144).abs() < 1e-9);
    assert_eq!(screen_words(&pass()), "cue 3.0 ± 0.54; black: handles");
}

#[test]
fn ramps_and_used_part_are_dimensioned_to_scale() {
    let drawing = run(&pass(), Form::Wide);
    let lengths: Vec<_> = drawing
        .shapes
        .iter()
        .filter_map(|shape| match shape {
            Shape::Dimension(d) => Some((d.value.as_str(), d.to.x - d.from.x)),
            _ => None,
        })
        .collect();
    // 6.46 s and 12 % more over 524 units.
    let units_per_s = 524.0 / (6.46 * 1.12);
    assert_eq!(lengths.len(), 3);
    assert_eq!(lengths[1].0, "used 2.00");
    assert!((lengths[1].1 - 2.0 * units_per_s).abs() < 1e-9);
    assert!((lengths[0].1 - 2.23 * units_per_s).abs() < 1e-9);
}

proptest! {
    #[test]
    fn no_run_breaks_the_strip(n in prop::array::uniform8(any::<f64>()), narrow in any::<bool>()) {
        let mut any_run = pass();
        (any_run.ramp_up_s, any_run.used_s, any_run.ramp_down_s) = (n[0], n[1], n[2]);
        (any_run.stage_s_per_screen_s, any_run.handle_screen_s, any_run.camera_fps) = (n[3], n[4], n[5]);
        any_run.movers[1].motion = Motion::Cue { at_s: n[6], spread_s: n[7] };
        let drawing = run(&any_run, if narrow { Form::Narrow } else { Form::Wide });
        for shape in &drawing.shapes {
            prop_assert!(shape.numbers().iter().all(|number| number.is_finite()), "{shape:?}");
        }
    }
}
