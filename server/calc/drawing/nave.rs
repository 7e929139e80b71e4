//! The long nave of the invented production, for tests.

use super::scene::*;

/// The long nave: 24 mm lens whose pupil is 59 mm ahead of the mark, frame 1 184 mm wide 1 201 mm from the pupil.
#[expect(clippy::too_many_lines, reason = "one scene is one list")]
pub(crate) fn nave() -> Scene {
    let place = |x_mm, y_mm, z_mm| Place { x_mm, y_mm, z_mm };
    let size = |length_mm, width_mm, height_mm| Size {
        length_mm,
        width_mm,
        height_mm,
    };
    let thing = |kind, name: &str, ring, place, size| Thing {
        ring,
        ..Thing::new(kind, name, place, size)
    };
    Scene {
        camera: Camera {
            pupil_mm: 59.0,
            height_mm: 260.0,
            frame: Some(Frame {
                half_width_deg: 26.25,
                half_height_deg: 11.65,
            }),
            ..Camera::default()
        },
        focus_mm: Some(1260.0),
        limits: Some(Limits {
            near_mm: 844.0,
            far_mm: Some(2612.0),
        }),
        tent: Some(Tent {
            start_mm: 179.0,
            end_mm: 3379.0,
            width_mm: 2000.0,
            height_mm: 2200.0,
        }),
        table: Some(Table {
            near_edge_mm: 659.0,
            length_mm: 2600.0,
            width_mm: 1120.0,
        }),
        water_end_mm: Some(2809.0),
        path: Some(ModelPath {
            start: place(1019.0, -120.0, 165.0),
            heading_deg: 26.8,
            speed_mm_per_s: 224.0,
            duration_s: 2.0,
            stage_s_per_cut_s: 25.0 / 112.0,
            rail: Some(Rail {
                height_mm: 1420.0,
                run_up_mm: 250.0,
                run_out_mm: 310.0,
            }),
        }),
        things: vec![
            thing(
                Kind::Piece,
                "near arch",
                Some(7),
                place(759.0, -364.0, 0.0),
                size(10.0, 192.0, 620.0),
            ),
            thing(
                Kind::Piece,
                "near arch, right",
                None,
                place(759.0, 364.0, 0.0),
                size(10.0, 192.0, 620.0),
            ),
            thing(
                Kind::Piece,
                "chancel arch",
                Some(8),
                place(2359.0, -340.0, 0.0),
                size(10.0, 260.0, 700.0),
            ),
            thing(
                Kind::Piece,
                "pews",
                Some(6),
                place(1500.0, 265.0, 0.0),
                size(900.0, 270.0, 58.0),
            ),
            thing(
                Kind::Model,
                "vehicle",
                Some(2),
                place(1199.0, -29.0, 143.0),
                size(80.0, 50.0, 44.0),
            ),
            Thing {
                heading_deg: 247.0,
                throw: Some(Throw {
                    distance_mm: 1300.0,
                    width_mm: 380.0,
                    height_mm: 300.0,
                }),
                ring: Some(12),
                pitch_deg: -18.0,
                ..Thing::new(
                    Kind::Lamp,
                    "A  1 kW, narrow",
                    place(2119.0, 1180.0, 700.0),
                    size(200.0, 180.0, 180.0),
                )
            },
            Thing {
                heading_deg: 70.0,
                ..Thing::new(
                    Kind::Lamp,
                    "B  650 W, full blue and frost",
                    place(1039.0, -1180.0, 600.0),
                    Size::default(),
                )
            },
            Thing {
                heading_deg: 65.0,
                ..Thing::new(
                    Kind::Flag,
                    "F2",
                    place(2120.0, 750.0, 300.0),
                    size(8.0, 160.0, 300.0),
                )
            },
            Thing {
                pitch_deg: -90.0,
                throw: Some(Throw {
                    distance_mm: 1520.0,
                    width_mm: 660.0,
                    height_mm: 980.0,
                }),
                ..Thing::new(
                    Kind::Projector,
                    "ripple",
                    place(1669.0, 0.0, 1490.0),
                    size(100.0, 100.0, 60.0),
                )
            },
            thing(
                Kind::Backing,
                "east window",
                Some(11),
                place(3159.0, 0.0, 240.0),
                size(4.0, 400.0, 320.0),
            ),
        ],
        references: vec![
            Reference {
                ring: 3,
                part: Part::NearLimit,
            },
            Reference {
                ring: 4,
                part: Part::FarLimit,
            },
            Reference {
                ring: 5,
                part: Part::Camera,
            },
            Reference {
                ring: 1,
                part: Part::Path,
            },
            Reference {
                ring: 9,
                part: Part::Wires,
            },
            Reference {
                ring: 13,
                part: Part::WaterEnd,
            },
        ],
        first_rings: vec![7, 9, 11, 1],
        ..Scene::default()
    }
}
