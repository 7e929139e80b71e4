//! Hand-worked places in the frame, limiting cases, and what must hold for any scene.

use super::super::nave::nave;
use super::super::scene::{Camera, Kind, Lens, Size};
use super::*;
use proptest::prelude::*;

/// Pupil 60 ahead of a mark 260 up; 24 × 12 mm, 2 400 photosites of 0.01 mm; a frame as wide as it is far.
fn plain(tilt_deg: f64, roll_deg: f64) -> Scene {
    Scene {
        camera: Camera {
            pupil_mm: 60.0,
            height_mm: 260.0,
            tilt_deg,
            roll_deg,
            frame: None,
        },
        lens: Some(Lens {
            sensor_width_mm: 24.0,
            sensor_height_mm: 12.0,
            squeeze: 1.0,
            photosites_across: 2400.0,
            projection_mm: 24.0,
            pupil_diameter_mm: 2.0,
            magnification: 0.02,
            focus_from_pupil_mm: 1200.0,
            blur_line_mm: 0.02,
        }),
        ..Scene::default()
    }
}

fn place(x_mm: f64, y_mm: f64, z_mm: f64) -> Place {
    Place { x_mm, y_mm, z_mm }
}

fn close(actual: Option<(f64, f64)>, expected: (f64, f64)) {
    let (x, y) = actual.expect("it is before the pupil");
    assert!(
        (x - expected.0).abs() < 1e-6 && (y - expected.1).abs() < 1e-6,
        "({x}, {y}) is not {expected:?}"
    );
}

#[test]
fn what_is_on_the_axis_falls_in_the_middle_and_the_half_frame_on_its_edge() {
    let eye = Eye::of(&plain(0.0, 0.0)).expect("its lens is known");
    close(eye.photosite(place(1060.0, 0.0, 260.0)), (1200.0, 600.0));
    // 1 000 mm deep the frame is 1 000 wide and 500 high: 500 to the right is its right edge, 250 up its top.
    close(eye.photosite(place(1060.0, 500.0, 510.0)), (2400.0, 0.0));
    assert_eq!(
        eye.photosite(place(50.0, 0.0, 260.0)),
        None,
        "behind the pupil"
    );
}

#[test]
fn the_horizon_stands_where_the_reference_says() {
    // Row from the top: ½ − f tan τ ÷ h, τ tilt down: 10° down is 10° less up. 0.5 − 24 × tan 10° ÷ 12.
    let eye = Eye::of(&plain(-10.0, 0.0)).expect("its lens is known");
    let share = 0.5 - 24.0 * 10.0_f64.to_radians().tan() / 12.0;
    let [from, to] = eye.horizon().expect("it is in the frame");
    assert!((from.1 / 1200.0 - share).abs() < 1e-9 && (to.1 / 1200.0 - share).abs() < 1e-9);
    assert!(
        Eye::of(&plain(-30.0, 0.0))
            .expect("a lens")
            .horizon()
            .is_none()
    );
}

#[test]
fn a_quarter_roll_turns_right_into_up() {
    // Rolled clockwise as the camera sees: the picture turns the other way, so what is to the right comes to the top.
    let eye = Eye::of(&plain(0.0, 90.0)).expect("its lens is known");
    close(eye.photosite(place(1060.0, 200.0, 260.0)), (1200.0, 120.0));
}

#[test]
fn a_squeezed_frame_takes_in_twice_as_much_across() {
    let mut scene = plain(0.0, 0.0);
    scene.lens = scene.lens.map(|lens| Lens {
        squeeze: 2.0,
        ..lens
    });
    let eye = Eye::of(&scene).expect("its lens is known");
    close(eye.photosite(place(1060.0, 500.0, 260.0)), (1800.0, 600.0));
}

#[test]
fn a_box_shows_the_faces_that_turn_to_the_pupil() {
    let size = Size {
        length_mm: 100.0,
        width_mm: 100.0,
        height_mm: 100.0,
    };
    let ahead = Thing::new(Kind::Piece, "box", place(1000.0, 0.0, 210.0), size);
    let pupil = [60.0, 0.0, 260.0];
    assert_eq!(
        solid::faces(&ahead, pupil).len(),
        1,
        "square-on, at eye height"
    );
    let below = Thing::new(Kind::Piece, "box", place(1000.0, 300.0, 0.0), size);
    assert_eq!(solid::faces(&below, pupil).len(), 3, "front, left and top");
}

#[test]
fn haze_and_blur_draw_what_the_numbers_say() {
    let mut scene = plain(0.0, 0.0);
    let size = Size {
        length_mm: 10.0,
        width_mm: 100.0,
        height_mm: 100.0,
    };
    scene.things = vec![Thing::new(
        Kind::Piece,
        "near",
        place(500.0, 0.0, 210.0),
        size,
    )];
    let soft = |scene: &Scene| {
        let drawing = lens_view(scene, Form::Wide);
        drawing.flat().into_iter().find_map(|shape| match shape {
            Shape::Soft(sixteenths, _) => Some(*sixteenths),
            _ => None,
        })
    };
    // 440 deep, focus 1 200: blur 2 × 0.02 × 760 ÷ 440 = 0.0691 mm, of 24 mm over 638 units 1.84; a quarter is 0.46: 7 sixteenths, in steps of two 8.
    assert_eq!(soft(&scene), Some(8));
    scene.things[0].place.x_mm = 1260.0;
    assert_eq!(soft(&scene), None, "in focus");
    let tone = |scene: &Scene| {
        let drawing = lens_view(scene, Form::Wide);
        drawing.flat().into_iter().find_map(|shape| match shape {
            Shape::Polygon(class, _) if class.name().starts_with("d-tone") => Some(*class),
            _ => None,
        })
    };
    assert_eq!(
        tone(&scene),
        Some(Class::Tone7),
        "0.85 of its own tone, in eighths"
    );
    // A way of about 1.2 m at 2 per m leaves e^−2.4 = 0.09 of it.
    scene.extinction_per_m = 2.0;
    assert_eq!(tone(&scene), Some(Class::Tone1));
}

#[test]
fn the_nave_is_drawn_with_its_rings() {
    let mut scene = nave();
    scene.lens = plain(0.0, 0.0).lens;
    let drawing = lens_view(&scene, Form::Wide);
    let rings = drawing
        .shapes
        .iter()
        .filter(|s| matches!(s, Shape::Ring(_)));
    assert!(rings.count() >= 3);
    let narrow = lens_view(&scene, Form::Narrow);
    assert!(
        narrow
            .shapes
            .iter()
            .filter(|s| matches!(s, Shape::Ring(_)))
            .count()
            <= 6
    );
}

#[test]
fn a_scene_without_a_lens_says_what_it_waits_for() {
    let drawing = lens_view(&Scene::default(), Form::Wide);
    assert!(drawing.label.contains("the frame opens"));
}

proptest! {
    #[test]
    fn any_scene_has_a_picture_inside_its_sheet(
        camera in (-1.0e4..1.0e4_f64, -1.0e4..1.0e4_f64, -120.0..120.0_f64, -400.0..400.0_f64),
        thing in (-3.0e3..3.0e3_f64, -3.0e3..3.0e3_f64, -1.0e3..1.0e3_f64, -400.0..400.0_f64, -90.0..90.0_f64),
        size in (0.0..4.0e3_f64, 0.0..4.0e3_f64, 0.0..4.0e3_f64),
        extinction_per_m in -1.0..1.0e9_f64,
    ) {
        let mut scene = nave();
        scene.lens = plain(0.0, 0.0).lens;
        scene.camera = Camera { pupil_mm: camera.0, height_mm: camera.1, tilt_deg: camera.2, roll_deg: camera.3, frame: None };
        scene.extinction_per_m = extinction_per_m;
        let size = Size { length_mm: size.0, width_mm: size.1, height_mm: size.2 };
        scene.things.push(Thing { heading_deg: thing.3, pitch_deg: thing.4, ..Thing::new(Kind::Piece, "it", place(thing.0, thing.1, thing.2), size) });
        let drawing = lens_view(&scene, Form::Wide);
        for number in drawing.shapes.iter().flat_map(Shape::numbers) {
            prop_assert!(number.is_finite() && number.abs() < 1.0e4, "{number}");
        }
    }
}
