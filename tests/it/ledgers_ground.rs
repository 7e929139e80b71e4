//! Shadows under oblique lamps, tiles and cloths: figures of the demo against numbers worked by hand.

use crate::{
    ledgers_drive::{assert_figures, figure},
    stage::{demo, first_pass, with},
};
use stillair::plan::setups::{facts::Facts, figures::coverage};

#[tokio::test]
async fn an_oblique_lamp_is_measured_along_its_ray() {
    let (_book, plan) = demo().await;
    // S3, F2 before lamp A: from (2150, 700, 680) through (1960, 480, 480) it falls 200 in 352.8 mm, 55.5° off upright, so
    // to the table it has 352.8 × 480 ÷ 200 = 846.8 more. 160 × 1 199.7 ÷ 352.8 = 544; 90 × 846.8 ÷ 352.8 = 216.
    let expected = [
        ("shadow", "544"),
        ("shadow-edge", "216"),
        ("shadow-full", "328"),
    ];
    assert_figures(&plan, "S3", &expected);
    let aslant = figure(&plan, "S3", "shadow").because;
    assert!(
        aslant.contains("55° aslant") && aslant.contains("1.8 times"),
        "{aslant}"
    );
    // A flag of 50 mm leaves no full shadow: 50 × 1 199.7 ÷ 352.8 = 170 against a soft edge of 216.
    let thin = with(&plan, "placement", "S3: Flag F2", "width_mm", 50.0);
    let gone = figure(&thin, "S3", "shadow-full");
    // Fully dark again under 50 ÷ 90 of the way up: 1 199.7 × 0.5669 × 50 ÷ 90 = 378 mm over the set.
    assert_eq!(gone.value, "0");
    assert!(
        gone.over.contains("No full shadow is left") && gone.over.contains("under 378 mm"),
        "{}",
        gone.over
    );
}

#[tokio::test]
async fn tiles_and_cloths_as_worked_by_hand() {
    let (_book, plan) = demo().await;
    // S4: pupil 59.56 ahead, down 6°: 90 − 6.23 = 83.77 mm up. Half the picture is high by atan(5.021 ÷ 24.4997) = 11.58°.
    // 59.23 + 83.77 ÷ tan 17.58° = 324 mm. Cloth 2 580.77 mm off: 24 × (2 580.77 cos 6° + 83.77 sin 6°) ÷ 24.4997 = 2 523,
    // a tenth more at each side 3 027; from the table up to 83.77 + 2 580.77 tan 5.58° = 336, with a fifth 403.
    let expected = [
        ("table-seen", "324"),
        ("table-seen-to", "2\u{202f}700"),
        ("horizon", "84"),
        ("backing-10", "3\u{202f}027"),
        ("backing-10-high", "403"),
        ("tall-near", "141"),
    ];
    assert_figures(&plan, "S4", &expected);
    // What is seen of the field, in strips of a millimetre from where the frame begins to the field's end at 1 700 mm, its
    // half width 450: the tiles cover it, and no more than a row of tiles hangs over each edge.
    let (mut area, mut last_half) = (0.0, 0.0);
    for x in 324..1700_u32 {
        let ahead = f64::from(x) + 0.5 - 59.23;
        let (sin, cos) = 6.0_f64.to_radians().sin_cos();
        let half = (24.0 * (ahead * cos + 83.77 * sin) / 24.4997 / 2.0_f64).min(450.0);
        area += 2.0 * half;
        last_half = half;
    }
    let over = 2.0 * 60.0 * (1700.0 - 324.0) + 2.0 * 45.0 * 2.0 * last_half;
    let (setup, pass) = first_pass(&plan, "S4");
    let facts = Facts::of(&plan, setup, Some(pass));
    let (ring, tiles) = coverage::tiles_seen(&facts).expect("a field").remove(0);
    let seen = f64::from(tiles.tiles_covering);
    assert_eq!(ring, 9);
    assert!(
        (area / 2700.0..(area + over) / 2700.0).contains(&seen),
        "{seen} tiles for {area} mm²"
    );
    // A tenth to spare, whole tiles.
    assert!((f64::from(tiles.tiles_to_cast) - (seen * 1.1).ceil()).abs() < 0.5);
}
