//! The ledgers Drive, Shadow and Coverage: figures of the demo against numbers worked by hand, what is not known, what is
//! too much.

use crate::stage::{demo, find, first_pass, with};
use std::f64::consts::PI;
use stillair::{
    journal::value::Value,
    plan::{
        Plan,
        setups::{
            facts::Facts,
            figures::{drive, figures_of, shadow},
            run,
        },
    },
    web::parts::Figure,
};

/// A figure of the first pass of a setup.
pub fn figure(plan: &Plan, code: &str, id: &str) -> Figure {
    let (setup, pass) = first_pass(plan, code);
    let all = figures_of(&Facts::of(plan, setup, Some(pass)));
    all.get(id)
        .cloned()
        .unwrap_or_else(|| panic!("{code} has no {id}"))
}

pub fn assert_figures(plan: &Plan, code: &str, expected: &[(&str, &str)]) {
    for (id, value) in expected {
        assert_eq!(figure(plan, code, id).value, *value, "{id} of {code}");
    }
}

/// The plan with one blank emptied.
fn without(plan: &Plan, kind: &str, name: &str, field: &str) -> Plan {
    let entry = find(plan, kind, name);
    let index = entry.kind().index(field).expect("a declared field");
    let mut next = plan.clone();
    next.put(kind, entry.id().as_str(), index, &Value::Absent);
    next
}

#[tokio::test]
async fn the_rail_of_the_nave_as_worked_by_hand() {
    let (_book, plan) = demo().await;
    // 1 m/s ÷ 20 × 112 ÷ 25 = 224 mm/s; 200 + 24 frames at 112: 2 s, 448 mm.
    // One swing of 1 220 mm: 2π √(1.22 ÷ 9.80665) = 2.21615 s, so 224 × 2.21615 ÷ 2 = 248.2 mm of run-up, at 101.1 mm/s².
    // Drum of 40 mm: 60 × 224 ÷ 40π = 106.95 turns, three times that at the motor, 53.33 pulses a turn and second each.
    // Across the axis runs 224 sin 12° = 46.57 mm/s; the ROV stands 870 − 59.34 mm off the pupil, a little below it, where
    // the frame is 24 × 810.66 ÷ 24.3476 = 799.1 mm wide: 17.16 s, 76.9 s on the screen.
    let expected = [
        ("start-mark", "172"),
        ("dial", "50.2"),
        ("drum-rpm", "107"),
        ("motor-rpm", "321"),
        ("pulses", "17\u{202f}112"),
        ("pulse-travel", "0.063"),
        ("ramp", "2.22"),
        ("ramp-asks", "101"),
        ("run-up", "248"),
        ("ramp-swing", "0.0"),
        ("rail", "1\u{202f}004"),
        ("stop-mark", "1\u{202f}116"),
        ("strobe", "77"),
    ];
    assert_figures(&plan, "S3", &expected);
    let (setup, pass) = first_pass(&plan, "S3");
    let facts = Facts::of(&plan, setup, Some(pass));
    let close = |found: f64, expected: f64| assert!((found - expected).abs() < 0.05, "{found}");
    close(drive::ramp_s(&facts).expect("a ramp"), 2.216);
    close(drive::start_mark_mm(&facts).expect("a mark"), 171.79);
    close(drive::rail_needed_mm(&facts).expect("a length"), 1004.42);
    close(drive::stop_mm(&facts).expect("a stop"), 1116.21);
    close(drive::dial(&facts).expect("a dial"), 50.21);
    assert!(drive::arc(&facts).is_err(), "a rail is straight");
}

#[tokio::test]
async fn the_turntable_and_its_hull_shadow_as_worked_by_hand() {
    let (_book, plan) = demo().await;
    // 0.35 m/s ÷ 48 × 4.8 = 35 mm/s; (162 + 24) ÷ 120 = 1.55 s: 54.25 mm of way on an arm of 620: 5.01°.
    // One swing of 980 mm is 1.98624 s: 34.76 mm of run-up, 3.2° back. Bulge 620 (1 − cos 2.507°) = 0.593 mm, and the ROV is
    // drawn at 24 ÷ 630.4 of its size on photosites of 6.25 µm: 3.61 of them.
    let arm = [
        ("start-mark", "3.2"),
        ("dial", "26.7"),
        ("drum-rpm", "0.539"),
        ("motor-rpm", "10.8"),
        ("run-up", "34.8"),
        ("arm", "5.0"),
        ("sagitta", "3.6"),
        ("story-turn", "29.8"),
        ("strobe", "89"),
    ];
    assert_figures(&plan, "S1", &arm);
    let sagitta = figure(&plan, "S1", "sagitta");
    assert!(
        sagitta.over.contains("an arm of 2\u{202f}250 mm"),
        "{}",
        sagitta.over
    );
    // Lamp at 2 140 + 60, flag at 460 + 1.5: 1 738.5 and 461.5 mm of ray. 143 × 2 200 ÷ 1 738.5 = 181.0; 30 × 461.5 ÷ 1 738.5
    // = 7.96; at full size 0.382 m, where the sun draws 0.0093 × 40 = 0.372 m. Wanted: 8 × 2 200 ÷ 38 = 463 mm up,
    // 180 × 30 ÷ 38 = 142 wide. 8 m/s: 800 mm/s, the flag 800 × 1 738.5 ÷ 2 200 = 632.
    let shade = [
        ("shadow", "181"),
        ("shadow-edge", "7.96"),
        ("shadow-full", "173"),
        ("flag-wanted", "142"),
        ("flag-height", "463"),
        ("shadow-speed", "800"),
        ("flag-speed", "632"),
        ("shadow-crossing", "6.9"),
        ("edge-story", "0.38"),
    ];
    assert_figures(&plan, "S1", &shade);
    let (setup, pass) = first_pass(&plan, "S1");
    let facts = Facts::of(&plan, setup, Some(pass));
    let ratio = shadow::edge_ratio(&facts).expect("an edge");
    assert!((ratio - 0.38226 / 0.372).abs() < 0.001, "{ratio}");
    assert!(drive::arc(&facts).is_ok_and(|arc| (arc.sagitta_photosites - 3.61).abs() < 0.01));
}

#[tokio::test]
async fn the_dolly_of_the_dam_as_worked_by_hand() {
    let (_book, plan) = demo().await;
    // 0.5 m/s ÷ 48 × 2 = 20.83 mm/s; (106 + 24) ÷ 50 = 2.6 s, 54.17 mm; ramps of 1.2 s: 12.5 mm each.
    // 20.83 × 24.4456 × (1 ÷ 560.5 − 1 ÷ 2 040.5) ÷ 0.00625 ÷ 50 = 2.11 photosites a frame.
    let expected = [
        ("start-mark", "188"),
        ("dial", "17.8"),
        ("ramp", "1.20"),
        ("ramp-asks", "17.4"),
        ("run-up", "12.5"),
        ("rail", "139"),
        ("stop-mark", "267"),
        ("parallax", "2.11"),
        ("strobe", "70"),
    ];
    assert_figures(&plan, "S6", &expected);
}

/// The number at the end of a sum and the number shown say the same, in the digits that are shown.
#[tokio::test]
async fn sums_end_in_the_number_that_is_shown() {
    let (_book, plan) = demo().await;
    // What is cast is made up to whole tiles after the sum; the arm's own calculations tell more digits.
    let number = |text: &str| {
        text.replace('\u{202f}', "")
            .replace('−', "-")
            .parse::<f64>()
    };
    let mut checked = 0;
    for setup in plan.setups_in_order() {
        for pass in plan.passes_of_setup(&setup.id) {
            let all = figures_of(&Facts::of(&plan, setup, Some(pass)));
            let own = all
                .further
                .iter()
                .filter(|(id, _)| ["drive", "shadow", "coverage"].contains(id));
            for figure in own.flat_map(|(_, figures)| figures) {
                let Some((_, end)) = figure.expression.rsplit_once(" = ") else {
                    continue;
                };
                let (Ok(shown), Ok(end)) = (number(&figure.value), number(end)) else {
                    panic!("{}: {} and {}", figure.id, figure.value, figure.expression);
                };
                let decimals = figure
                    .value
                    .split_once('.')
                    .map_or(0, |(_, part)| part.len());
                let unit = 10_f64.powi(-i32::try_from(decimals).expect("few digits"));
                let by = if figure.id.starts_with("f-tiles") {
                    1.0
                } else {
                    unit / 2.0
                };
                assert!(
                    (shown - end).abs() <= by * 1.000_001,
                    "{} of {}: {} for {}",
                    figure.id,
                    setup.code,
                    figure.value,
                    figure.expression
                );
                checked += 1;
            }
        }
    }
    assert!(checked > 150, "only {checked} sums were checked");
}

#[tokio::test]
async fn what_a_ledger_lacks_links_to_its_blank() {
    let (_book, plan) = demo().await;
    let gap = |plan: &Plan, code: &str, id: &str| {
        let figure = figure(plan, code, id);
        assert_eq!(figure.value, "", "{id} of {code}");
        figure.missing.expect("a link").href
    };
    let setup = |code: &str| find(&plan, "setup", code).id().clone();
    let cases = [
        ("S3", "setup", "S3", "rail_tape_mm", "start-mark"),
        ("S3", "setup", "S3", "drive", "motor-rpm"),
        ("S1", "setup", "S1", "arm_radius_mm", "sagitta"),
        ("S6", "setup", "S6", "rail_tape_mm", "stop-mark"),
        ("S6", "setup", "S6", "farthest_piece_mm", "parallax"),
        ("S1", "setup", "S1", "shadow_edge_mm", "flag-height"),
        ("S1", "setup", "S1", "shadow_story_height_m", "edge-story"),
    ];
    for (code, kind, name, field, id) in cases {
        let href = gap(&without(&plan, kind, name, field), code, id);
        assert_eq!(
            href,
            format!("#b-{}-{field}", setup(code)),
            "{id} of {code}"
        );
    }
    let drive = find(&plan, "drive", "Rail drive, nave").id().clone();
    let untimed = without(&plan, "drive", "Rail drive, nave", "dial_slow");
    assert_eq!(gap(&untimed, "S3", "dial"), format!("#b-{drive}-dial_slow"));
    let lamp = find(&plan, "lamp", "Top shaft, 150 W").id().clone();
    let bare = without(&plan, "lamp", "Top shaft, 150 W", "source_diameter_mm");
    assert_eq!(
        gap(&bare, "S1", "shadow-edge"),
        format!("#b-{lamp}-source_diameter_mm")
    );
    // A drive is chosen, but not how it drives.
    let how = without(&plan, "setup", "S3", "driven");
    assert_eq!(
        gap(&how, "S3", "driven"),
        format!("#b-{}-driven", setup("S3"))
    );
}

#[expect(
    clippy::too_many_lines,
    reason = "one limit after another, each with its working"
)]
#[tokio::test]
async fn what_is_too_much_says_so_with_a_cure() {
    let (_book, plan) = demo().await;
    let over = |plan: &Plan, code: &str, id: &str| figure(plan, code, id).over;
    let cases = [
        // 1 004.4 mm on a rail of 900.
        (
            ("setup", "S3", "rail_length_mm", 900.0),
            "S3",
            "rail",
            "105 mm more than the rail",
        ),
        // It stops at 1 116.2 and keeps 60: 76.2 past 1 100, though 1 004 would fit.
        (
            ("setup", "S3", "rail_length_mm", 1100.0),
            "S3",
            "stop-mark",
            "begin the path at 343 mm",
        ),
        // The path begins 148.2 mm too early for its run-up.
        (
            ("setup", "S3", "rail_tape_mm", 100.0),
            "S3",
            "start-mark",
            "149 mm too late",
        ),
        // 224 ÷ 80 = 2.8 s, which is two swings of 2.216.
        (
            (
                "drive",
                "Rail drive, nave",
                "most_acceleration_mm_per_s2",
                80.0,
            ),
            "S3",
            "ramp-asks",
            "ramp for 2 swings",
        ),
        // 20.83 ÷ 10 = 2.083 s.
        (
            (
                "drive",
                "Dolly, table 2",
                "most_acceleration_mm_per_s2",
                10.0,
            ),
            "S6",
            "ramp-asks",
            "ramp for 2.09 s",
        ),
        (
            ("drive", "Rail drive, nave", "speed_slow_mm_per_s", 300.0),
            "S3",
            "dial",
            "time one near 220 mm/s",
        ),
        // 2 150 mm fill the frame: 125 each side beyond 1 900.
        (
            ("placement", "S6: Night cloth", "width_mm", 1900.0),
            "S6",
            "backing-9",
            "125 mm too narrow on each side",
        ),
        // 200 mm to the right, the left end lacks 2 150 ÷ 2 + 200 − 1 200.
        (
            ("placement", "S6: Night cloth", "y_mm", 300.0),
            "S6",
            "backing-9",
            "75 mm too narrow on the left",
        ),
        // The frame's top meets it at 681 mm.
        (
            ("placement", "S6: Night cloth", "height_mm", 700.0),
            "S6",
            "backing-9-high",
            "41 mm too low",
        ),
        (
            ("placement", "S6: Night cloth", "z_mm", 30.0),
            "S6",
            "backing-9-high",
            "30 mm too high",
        ),
        (
            ("setup", "S4", "table_near_mm", 400.0),
            "S4",
            "table-seen",
            "Begin it at 324 mm",
        ),
        // The font is crossed in 13 s; at ten times the speed in 1.3 s.
        (
            ("shot", "P5", "story_speed_mps", 10.0),
            "S4",
            "strobe",
            "1.9 m/s at full size",
        ),
        (
            ("drive", "Turntable, spire", "microsteps", 4.0),
            "S1",
            "pulse-travel",
            "6 microsteps",
        ),
    ];
    for ((kind, name, field, value), code, id, words) in cases {
        let said = over(&with(&plan, kind, name, field, value), code, id);
        assert!(
            said.contains(words),
            "{id} of {code} with {field} {value}: {said:?}"
        );
        assert!(
            over(&plan, code, id).is_empty(),
            "{id} of {code} as it stands"
        );
    }
    // A camera that looks up sees no table, and says how far to tilt.
    let up = figure(
        &with(&plan, "setup", "S1", "tilt_deg", -12.0),
        "S1",
        "table-seen",
    );
    assert_eq!(up.value, "none");
    assert!(
        up.because.contains("over the table’s end"),
        "{}",
        up.because
    );
}

#[tokio::test]
async fn a_ramp_in_seconds_is_judged_by_the_swing_it_leaves() {
    let (_book, plan) = demo().await;
    // Half a swing is the worst: 2 a ÷ g leaves 2 × 0.2022 ÷ 9.80665 × sin 90° = 2.36°, a = 224 ÷ 1.108.
    let bare = without(&plan, "setup", "S3", "line_drop_mm");
    let timed = with(&bare, "setup", "S3", "ramp_s", 1.108);
    assert_eq!(figure(&timed, "S3", "ramp").value, "1.11");
    assert!(
        figure(&timed, "S3", "ramp-swing").missing.is_some(),
        "how it swings is not known without its drop"
    );
    // Where nothing is written, the ramp is as short as the drive can: 224 ÷ 300.
    assert_eq!(figure(&bare, "S3", "ramp").value, "0.75");
    // What hangs beside a dolly is not carried by it: its ramp stays in seconds.
    let hung = with(&plan, "setup", "S6", "line_drop_mm", 1000.0);
    assert_eq!(figure(&hung, "S6", "ramp").value, "1.20");
}

#[tokio::test]
async fn nothing_of_it_breaks_at_odd_values() {
    let (_book, plan) = demo().await;
    let odd = [
        ("tilt_deg", 90.0),
        ("tilt_deg", -90.0),
        ("camera_height_mm", 0.0),
        ("arm_radius_mm", 10.0),
        ("path_heading_deg", 0.0),
        ("rail_spare_mm", 0.0),
        ("table_length_mm", 50.0),
        ("shadow_story_mps", 0.0),
        ("shoot_fps", 0.01),
    ];
    for setup in plan.setups_in_order() {
        for (field, value) in odd {
            let tried = with(&plan, "setup", &setup.code, field, value);
            let setup = tried.setup_by_code(&setup.code).expect("the setup");
            for pass in tried.passes_of_setup(&setup.id) {
                let facts = Facts::of(&tried, setup, Some(pass));
                for figure in figures_of(&facts).all() {
                    let said = format!("{} {}", figure.value, figure.expression);
                    let broken = said.split_whitespace().any(|w| w == "NaN" || w == "inf");
                    assert!(
                        !broken,
                        "{field} {value}: {} {}",
                        figure.id, figure.expression
                    );
                }
                let _ = run::run(&facts);
            }
        }
    }
}

#[tokio::test]
async fn a_shortened_way_is_still_a_circle() {
    let (_book, plan) = demo().await;
    // Twice the arm, half the turn: the bulge halves, since R ≈ c² ÷ 8σ.
    let long = with(&plan, "setup", "S1", "arm_radius_mm", 1240.0);
    let (setup, pass) = first_pass(&long, "S1");
    let facts = Facts::of(&long, setup, Some(pass));
    let arc = drive::arc(&facts).expect("an arm");
    let way_m = 0.05425;
    let bulge_mm = way_m * way_m / (8.0 * 1.24) * 1000.0;
    assert!((arc.sagitta_story_m - bulge_mm * 48.0 / 1000.0).abs() < 1e-5);
    let turns = drive::start_turn_deg(&facts).expect("a turn");
    assert!(
        (turns - 34.76 / 1240.0 * 180.0 / PI).abs() < 0.01,
        "{turns}"
    );
}
