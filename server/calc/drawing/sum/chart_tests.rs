//! What a chart draws, against places worked out by hand.

use super::*;

const WIDTH: f64 = 560.0;

fn chart() -> Chart {
    Chart {
        about: "Contrast along the table".into(),
        x: Axis::up_to("Along the table", "m", 2.0),
        y: Axis::up_to("Contrast left", "%", 100.0),
        curves: vec![Curve {
            name: String::new(),
            points: vec![(0.0, 150.0), (1.0, 50.0), (2.0, -50.0)],
            beside: false,
        }],
        levels: vec![Level {
            y: 2.0,
            name: "lost".into(),
        }],
        marks: vec![Mark {
            x: 1.0,
            y: 50.0,
            name: "50 %".into(),
        }],
    }
}

#[test]
fn the_middle_of_the_axes_is_the_middle_of_the_room() {
    let chart = chart();
    let laid = Laid {
        chart: &chart,
        width: WIDTH,
    };
    let spot = laid.place(1.0, 50.0);
    assert!((spot.x - (LEFT + (WIDTH - LEFT - RIGHT) / 2.0)).abs() < 1e-9);
    assert!((spot.y - (TOP + (HEIGHT - TOP - BOTTOM) / 2.0)).abs() < 1e-9);
}

#[test]
fn a_curve_is_cut_where_it_leaves_the_room() {
    let chart = chart();
    let laid = Laid {
        chart: &chart,
        width: WIDTH,
    };
    let runs = laid.runs(&chart.curves[0].points);
    // crosses 100 at x = 0.5 and 0 at x = 1.5
    let (first, last) = (runs[0][0], *runs[0].last().expect("points"));
    assert_eq!(runs.len(), 1);
    assert!((first.x - laid.place(0.5, 0.0).x).abs() < 1e-9);
    assert!((first.y - TOP).abs() < 1e-9);
    assert!((last.x - laid.place(1.5, 0.0).x).abs() < 1e-9);
    assert!((last.y - (HEIGHT - BOTTOM)).abs() < 1e-9);
}

#[test]
fn ticks_stand_at_round_figures() {
    for (to, count, last) in [(2.0, 5, "2.0"), (97.0, 5, "80"), (0.034, 4, "0.03")] {
        let (ticks, decimals) = Axis::up_to("", "", to).ticks();
        assert_eq!(ticks.len(), count, "{to}: {ticks:?}");
        let shown = fixed(*ticks.last().expect("ticks"), decimals);
        assert_eq!(shown, last, "{to}: {ticks:?}");
    }
}

#[test]
fn a_limits_name_makes_way_for_a_marks() {
    let mut chart = chart();
    chart.marks = vec![Mark {
        x: 1.9,
        y: 3.0,
        name: "3 %".into(),
    }];
    let names: Vec<Rect> = chart
        .drawn(WIDTH)
        .shapes
        .iter()
        .filter_map(|shape| match shape {
            Shape::Text(text) if text.halo => Some(covered(text)),
            _ => None,
        })
        .collect();
    assert_eq!(names.len(), 2);
    assert!(!names[0].overlaps(&names[1]), "{names:?}");
}

#[test]
fn it_says_what_it_shows() {
    let drawing = chart().drawn(WIDTH);
    assert!(drawing.label.contains("Contrast along the table"));
    assert!(
        drawing.label.contains("50.0 % at 1.00 m"),
        "{}",
        drawing.label
    );
}
