//! Hand-worked places, limiting cases, and properties of plan and elevation.

use proptest::prelude::*;

use super::super::nave::nave;
use super::super::scene::*;
use super::super::shape::{Point, Step};
use super::*;

fn lines(drawing: &Drawing, class: Class) -> Vec<(Point, Point)> {
    drawing
        .flat()
        .into_iter()
        .filter_map(|shape| match shape {
            Shape::Line(of, from, to) if *of == class => Some((*from, *to)),
            _ => None,
        })
        .collect()
}

fn dimension<'a>(drawing: &'a Drawing, value: &str) -> &'a Dimension {
    drawing
        .flat()
        .into_iter()
        .find_map(|shape| match shape {
            Shape::Dimension(dimension) if dimension.value.contains(value) => Some(dimension),
            _ => None,
        })
        .expect("the dimension is drawn")
}

fn rings(drawing: &Drawing) -> Vec<&super::super::shape::Ring> {
    drawing
        .flat()
        .into_iter()
        .filter_map(|shape| match shape {
            Shape::Ring(ring) => Some(ring),
            _ => None,
        })
        .collect()
}

/// A scene whose scale is easy: 592 units over 2 960 mm is a fifth of a unit to the millimetre; the mark is 20 units in.
fn easy() -> Scene {
    Scene {
        camera: Camera {
            pupil_mm: 60.0,
            height_mm: 260.0,
            frame: Some(Frame {
                half_width_deg: 0.4_f64.atan().to_degrees(),
                half_height_deg: 0.2_f64.atan().to_degrees(),
            }),
            ..Camera::default()
        },
        focus_mm: Some(1260.0),
        limits: Some(Limits {
            near_mm: 860.0,
            far_mm: Some(2060.0),
        }),
        table: Some(Table {
            near_edge_mm: 660.0,
            length_mm: 2200.0,
            width_mm: 1100.0,
        }),
        ..Scene::default()
    }
}

#[test]
fn limits_stand_where_they_are_taped() {
    let drawing = plan_and_elevation(&easy(), Form::Wide);
    let limits = lines(&drawing, Class::Limit);
    assert_eq!(limits.len(), 4, "near and far in plan and in elevation");
    // Near: 860 mm from the mark, mark at 40 + 100/5 = 60 units: x = 60 + 172. Half width 0.4 × 800 mm = 64 units.
    let (top, bottom) = limits[0];
    assert!((top.x - 232.0).abs() < 1e-9 && (bottom.x - 232.0).abs() < 1e-9);
    assert!((bottom.y - top.y - 128.0).abs() < 1e-9);
    // Far: 2 060 mm: x = 60 + 412, half width 0.4 × 2 000 mm = 160 units, cut at the window.
    assert!((limits[1].0.x - 472.0).abs() < 1e-9);
    // Elevation, near: 260 mm high, half height 0.2 × 800 = 160 mm, so 420 down to 100 mm: 64 units.
    let (top, bottom) = limits[2];
    assert!((top.x - 232.0).abs() < 1e-9 && (bottom.y - top.y - 64.0).abs() < 1e-9);
    // Elevation, far: half height 400 mm, so from 660 mm to the table top: 132 units.
    let (top, bottom) = limits[3];
    assert!((bottom.y - top.y - 132.0).abs() < 1e-9);
}

#[test]
fn dimensions_measure_from_the_mark() {
    let drawing = plan_and_elevation(&easy(), Form::Wide);
    let near = dimension(&drawing, "860");
    assert!((near.from.x - 60.0).abs() < 1e-9 && (near.to.x - 232.0).abs() < 1e-9);
    let focus = dimension(&drawing, "focus 1\u{202f}260");
    assert!(focus.entry && (focus.to.x - 312.0).abs() < 1e-9);
    // Frame width at focus: 2 × 0.4 × 1 200 mm.
    let across = dimension(&drawing, "960");
    assert!((across.to.y - across.from.y - 192.0).abs() < 1e-9);
}

#[test]
fn frame_edges_start_at_the_pupil() {
    let drawing = plan_and_elevation(&easy(), Form::Wide);
    let edges: Vec<_> = drawing
        .flat()
        .into_iter()
        .filter_map(|shape| match shape {
            Shape::Path(Class::FrameEdge, steps) => Some(steps),
            _ => None,
        })
        .collect();
    assert_eq!(edges.len(), 2);
    for steps in edges {
        for step in steps {
            if let Step::Move(from) = step {
                assert!((from.x - 72.0).abs() < 1e-9, "60 + 60/5");
            }
        }
    }
}

#[test]
fn a_far_limit_at_infinity_runs_off_the_drawing() {
    let mut scene = easy();
    scene.limits = Some(Limits {
        near_mm: 860.0,
        far_mm: None,
    });
    let drawing = plan_and_elevation(&scene, Form::Wide);
    assert_eq!(
        lines(&drawing, Class::Limit).len(),
        2,
        "only the near limit is a line"
    );
    let sharp = dimension(&drawing, "sharp to infinity");
    assert!(sharp.open && (sharp.to.x - 632.0).abs() < 1e-9);
    assert!(drawing.label.contains("sharp from 860 to infinity"));
    let zone = drawing.flat().into_iter().find_map(|shape| match shape {
        Shape::Polygon(Class::Sharp, points) => Some(points),
        _ => None,
    });
    let right = zone
        .expect("the zone is drawn")
        .iter()
        .map(|p| p.x)
        .fold(0.0, f64::max);
    assert!((right - 632.0).abs() < 1e-6, "filled to the edge");
}

#[test]
fn camera_and_table_alone_make_a_drawing() {
    let scene = Scene {
        table: easy().table,
        camera: Camera {
            height_mm: 260.0,
            ..Camera::default()
        },
        ..Scene::default()
    };
    for form in [Form::Wide, Form::Narrow, Form::Paper] {
        let drawing = plan_and_elevation(&scene, form);
        assert!(lines(&drawing, Class::Limit).is_empty());
        assert!(
            drawing
                .flat()
                .into_iter()
                .any(|shape| matches!(shape, Shape::Rect(Class::Table, _)))
        );
        assert!(
            drawing
                .flat()
                .into_iter()
                .any(|shape| matches!(shape, Shape::Path(Class::Grid, _)))
        );
        assert!(
            drawing
                .flat()
                .into_iter()
                .any(|shape| matches!(shape, Shape::Path(Class::ScaleBar, _)))
        );
    }
    assert!(plan_and_elevation(&Scene::default(), Form::Wide).height > 100.0);
}

#[test]
fn the_nave_shows_all_its_rings_wide_and_the_worst_first_narrow() {
    let wide = plan_and_elevation(&nave(), Form::Wide);
    let mut numbers: Vec<_> = rings(&wide).iter().map(|ring| ring.number).collect();
    numbers.sort_unstable();
    assert_eq!(numbers, [1, 2, 3, 4, 5, 6, 7, 8, 9, 11, 12, 13]);
    let narrow = plan_and_elevation(&nave(), Form::Narrow);
    let numbers: Vec<_> = rings(&narrow).iter().map(|ring| ring.number).collect();
    assert_eq!(numbers.len(), 6);
    assert!([7, 9, 11, 1].iter().all(|number| numbers.contains(number)));
}

#[test]
fn one_ring_for_one_number() {
    let mut scene = nave();
    scene.things.push(Thing {
        ring: Some(7),
        ..Thing::new(Kind::Piece, "again", Place::default(), Size::default())
    });
    let drawing = plan_and_elevation(&scene, Form::Wide);
    assert_eq!(
        rings(&drawing)
            .iter()
            .filter(|ring| ring.number == 7)
            .count(),
        1
    );
}

#[test]
fn the_same_scene_gives_the_same_drawing() {
    assert_eq!(
        plan_and_elevation(&nave(), Form::Wide),
        plan_and_elevation(&nave(), Form::Wide)
    );
}

prop_compose! {
    fn any_mm()(wild in any::<f64>(), tame in -500.0..5000.0_f64, pick in 0..4) -> f64 {
        if pick == 0 && wild.is_finite() { wild } else { tame }
    }
}

prop_compose! {
    fn any_thing()(kind in 0..7_usize, ring in prop::option::of(1..60_u32), n in prop::array::uniform8(any_mm()), angle in any_mm(), thrown in any::<bool>()) -> Thing {
        let kinds = [Kind::Model, Kind::Piece, Kind::Lamp, Kind::Flag, Kind::Projector, Kind::Backing, Kind::Net];
        Thing {
            ring,
            heading_deg: angle,
            pitch_deg: n[7],
            throw: thrown.then_some(Throw { distance_mm: n[6], width_mm: n[5], height_mm: n[4] }),
            ..Thing::new(
                kinds[kind],
                "thing",
                Place { x_mm: n[0], y_mm: n[1] - 2000.0, z_mm: n[2] },
                Size { length_mm: n[3], width_mm: n[4], height_mm: n[5] },
            )
        }
    }
}

prop_compose! {
    fn any_scene()(
        n in prop::array::uniform24(any_mm()),
        present in prop::array::uniform8(any::<bool>()),
        things in prop::collection::vec(any_thing(), 0..14),
        refs in prop::collection::vec((1..60_u32, 0..7_usize), 0..8),
    ) -> Scene {
        let parts = [Part::Camera, Part::NearLimit, Part::FarLimit, Part::Focus, Part::WaterEnd, Part::Path, Part::Wires];
        Scene {
            camera: Camera {
                pupil_mm: n[0] / 10.0, height_mm: n[1], tilt_deg: n[2] / 40.0, roll_deg: n[3],
                frame: present[0].then_some(Frame { half_width_deg: n[4] / 50.0, half_height_deg: n[5] / 50.0 }),
            },
            focus_mm: present[1].then_some(n[6]),
            limits: present[2].then_some(Limits { near_mm: n[7], far_mm: present[3].then_some(n[8]) }),
            tent: present[4].then_some(Tent { start_mm: n[9], end_mm: n[10], width_mm: n[11], height_mm: n[12] }),
            table: present[5].then_some(Table { near_edge_mm: n[13], length_mm: n[14], width_mm: n[15] }),
            water_end_mm: present[6].then_some(n[16]),
            path: present[7].then_some(ModelPath {
                start: Place { x_mm: n[17], y_mm: n[18], z_mm: n[19] },
                heading_deg: n[20], speed_mm_per_s: n[21], duration_s: n[22] / 500.0, stage_s_per_cut_s: n[23] / 500.0,
                rail: present[0].then_some(Rail { height_mm: n[1], run_up_mm: n[2], run_out_mm: n[3] }),
            }),
            things,
            references: refs.into_iter().map(|(ring, part)| Reference { ring, part: parts[part] }).collect(),
            ..Scene::default()
        }
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(200))]
    #[test]
    fn no_scene_breaks_a_drawing(scene in any_scene(), narrow in any::<bool>()) {
        let drawing = plan_and_elevation(&scene, if narrow { Form::Narrow } else { Form::Wide });
        prop_assert!(drawing.height.is_finite() && drawing.height > 0.0);
        for shape in &drawing.shapes {
            for number in shape.numbers() {
                prop_assert!(number.is_finite(), "{shape:?}");
            }
        }
        let rings = rings(&drawing);
        for (index, a) in rings.iter().enumerate() {
            for b in &rings[index + 1..] {
                let apart = (a.centre.x - b.centre.x).hypot(a.centre.y - b.centre.y);
                prop_assert!(apart >= 2.0 * super::super::shape::Ring::RADIUS, "{} and {}", a.number, b.number);
            }
        }
    }
}
