//! Lengths to scale, hatches, and days with broken figures.

use proptest::prelude::*;

use super::super::Class;
use super::super::shape::{Drawing, Hatch, Shape};
use super::*;

fn block(work: Work, code: &str, start_min: f64, minutes: f64) -> Block {
    Block {
        work,
        code: code.to_owned(),
        name: "Bell chamber".to_owned(),
        start_min,
        minutes,
        address: None,
    }
}

/// Call 8:10, out 17:46: with fifteen minutes before and twenty after that is 611 minutes over 980 units.
fn day() -> Day {
    Day {
        call_min: 490.0,
        blocks: vec![
            block(Work::Light, "", 490.0, 30.0),
            block(Work::Fill, "", 520.0, 15.0),
            block(Work::Setup, "S5", 535.0, 45.0),
            block(Work::Meal, "", 580.0, 45.0),
            block(Work::Clear, "", 625.0, 15.0),
        ],
        meal_by_min: Some(840.0),
        out_min: Some(1066.0),
    }
}

fn dimensions(drawing: &Drawing) -> Vec<(String, f64)> {
    drawing
        .shapes
        .iter()
        .filter_map(|shape| match shape {
            Shape::Dimension(d) => Some((d.value.clone(), d.to.x - d.from.x)),
            _ => None,
        })
        .collect()
}

#[test]
fn neighbouring_parts_share_one_dimension_and_lengths_are_to_scale() {
    let drawing = stage_day(&day(), Strip::Wide);
    let units_per_min = 980.0 / 611.0;
    let found = dimensions(&drawing);
    let values: Vec<_> = found.iter().map(|(value, _)| value.as_str()).collect();
    assert_eq!(values, ["45", "45", "45", "15"]);
    for (value, length) in found {
        let minutes: f64 = value.parse().expect("minutes");
        assert!((length - minutes * units_per_min).abs() < 1e-9, "{value}");
    }
}

#[test]
fn setups_stand_tall_and_parts_low_and_hatched() {
    let drawing = stage_day(&day(), Strip::Wide);
    let tall = drawing.shapes.iter().find_map(|shape| match shape {
        Shape::Rect(Class::SetupBox, area) => Some(*area),
        _ => None,
    });
    let hatches: Vec<_> = drawing
        .shapes
        .iter()
        .filter_map(|shape| match shape {
            Shape::Hatched(_, area, hatch) => Some((*hatch, area.height)),
            _ => None,
        })
        .collect();
    let kinds: Vec<_> = hatches.iter().map(|(hatch, _)| *hatch).collect();
    assert_eq!(kinds, [Hatch::Light, Hatch::Fill, Hatch::Clear]);
    assert!(tall.is_some_and(|tall| hatches.iter().all(|(_, high)| *high < tall.height)));
}

#[test]
fn an_empty_day_is_a_ruler() {
    let drawing = stage_day(
        &Day {
            call_min: 480.0,
            ..Day::default()
        },
        Strip::Print,
    );
    assert!(drawing.label.contains("call 08:00, no setups yet"));
    assert!(
        drawing
            .shapes
            .iter()
            .any(|shape| matches!(shape, Shape::Path(Class::Ruler, _)))
    );
}

proptest! {
    #[test]
    fn no_day_breaks_the_strip(
        call_min in any::<f64>(),
        rows in prop::collection::vec((0..9_usize, any::<f64>(), -10.0..900.0_f64), 0..20),
        out_min in prop::option::of(any::<f64>()),
    ) {
        let works = [Work::Call, Work::Setup, Work::Clear, Work::Set, Work::Light, Work::Fill, Work::Still, Work::Meal, Work::Strike];
        let blocks = rows.into_iter().map(|(work, start, minutes)| block(works[work], "S1", start, minutes)).collect();
        let drawing = stage_day(&Day { call_min, blocks, meal_by_min: None, out_min }, Strip::Wide);
        for shape in &drawing.shapes {
            prop_assert!(shape.numbers().iter().all(|number| number.is_finite()), "{shape:?}");
        }
    }
}
