//! Hand-worked places on the ribbon, long cuts, and broken figures.

use proptest::prelude::*;

use super::super::Hatch;
use super::super::shape::Rect;
use super::*;

fn shot(index: u32, frames: u32) -> Shot {
    Shot {
        code: format!("P{index}"),
        name: "Nave".to_owned(),
        frames,
        setup: Some(0),
        light: Some(Light {
            stops: -f64::from(index % 4),
            end_stops: None,
            state: "lantern".to_owned(),
        }),
        reach_m: Some(30.0 + f64::from(index % 3) * 10.0),
        travel: Travel::Across {
            right_per_s: 0.1,
            down_per_s: 0.0,
        },
        board: Board::default(),
    }
}

fn cut(shots: Vec<Shot>) -> Cut {
    Cut {
        fps: 25.0,
        board_aspect: 2.39,
        shots,
        pieces: vec![Piece {
            name: "Arch bay A".to_owned(),
            seen: vec![(0, "1".to_owned()), (1, "1".to_owned())],
            clashes: vec![Clash {
                first: 0,
                second: 1,
                words: "same face".to_owned(),
            }],
        }],
        turns: vec![Turn {
            first: 0,
            words: "turns round".to_owned(),
        }],
        setups: vec![Setup {
            code: "S1".to_owned(),
            name: "Nave".to_owned(),
            day: "Day 1".to_owned(),
            address: None,
        }],
    }
}

fn boxes(drawing: &Drawing) -> Vec<Rect> {
    drawing
        .shapes
        .iter()
        .filter_map(|shape| match shape {
            Shape::Rect(Class::ShotBox, area) => Some(*area),
            _ => None,
        })
        .collect()
}

fn codes(drawing: &Drawing) -> Vec<(f64, f64)> {
    // The extent of every code on or over the ribbon.
    let top = boxes(drawing)[0].y;
    drawing
        .shapes
        .iter()
        .filter_map(|shape| match shape {
            Shape::Text(text) if text.words.starts_with('P') && (text.at.y - top).abs() < 16.0 => {
                let area = figure::covered(text);
                Some((area.x, area.right()))
            }
            _ => None,
        })
        .collect()
}

#[test]
fn shots_stand_on_the_ribbon_to_time() {
    // 100 and 300 frames over 978 units: 244.5 and 733.5.
    let found = boxes(&cut_sheet(&cut(vec![shot(1, 100), shot(2, 300)])));
    assert!((found[0].x - 100.0).abs() < 1e-9 && (found[0].width - 244.5).abs() < 1e-9);
    assert!((found[1].x - 344.5).abs() < 1e-9 && (found[1].width - 733.5).abs() < 1e-9);
}

#[test]
fn lengths_read_as_seconds_and_frames() {
    let timed_cut = cut(vec![shot(1, 162)]);
    assert_eq!(Timed::of(&timed_cut).length(162.0), "6:12");
}

#[test]
fn an_empty_cut_is_a_blank_ribbon_of_sixty_seconds() {
    let drawing = cut_sheet(&Cut {
        pieces: vec![],
        turns: vec![],
        setups: vec![],
        ..cut(vec![])
    });
    assert_eq!(boxes(&drawing).len(), 1);
    let labels = drawing.shapes.iter().filter_map(|shape| match shape {
        Shape::Text(text) if text.class == Class::Tick => Some(text.words.as_str()),
        _ => None,
    });
    assert!(labels.collect::<Vec<_>>().contains(&"50 s"));
}

#[test]
fn thicker_water_is_stippled_closer_and_lower() {
    let drawing = cut_sheet(&cut(vec![shot(0, 100), shot(1, 100), shot(2, 100)]));
    let murk: Vec<_> = drawing
        .shapes
        .iter()
        .filter_map(|shape| match shape {
            Shape::Hatched(Class::Murk, area, Hatch::Murk(step)) => Some((*step, area.height)),
            _ => None,
        })
        .collect();
    assert_eq!(murk.len(), 3);
    assert!(
        murk.windows(2)
            .all(|pair| pair[0].0 < pair[1].0 && pair[0].1 < pair[1].1)
    );
}

#[test]
fn codes_thin_out_and_boards_stay_apart_in_a_long_cut() {
    for count in [14, 60, 400] {
        let drawing = cut_sheet(&cut((0..count)
            .map(|index| shot(index, 50 + index % 40))
            .collect()));
        assert_eq!(boxes(&drawing).len(), count as usize);
        let written = codes(&drawing);
        assert!(!written.is_empty());
        assert!(
            written.windows(2).all(|pair| pair[0].1 <= pair[1].0),
            "{count} codes run together"
        );
        let boards: Vec<Rect> = drawing
            .shapes
            .iter()
            .filter_map(|shape| match shape {
                Shape::Group(Class::Item, _, inner) => match inner.first() {
                    Some(Shape::Rect(Class::Board, area)) => Some(*area),
                    _ => None,
                },
                _ => None,
            })
            .collect();
        assert!(boards.len() > 10);
        for (index, board) in boards.iter().enumerate() {
            assert!(board.width >= 60.0 && board.x >= -1e-9 && board.right() <= WIDTH + 1e-9);
            assert!(
                boards[index + 1..]
                    .iter()
                    .all(|other| !board.overlaps(other))
            );
        }
    }
}

#[test]
fn threads_lead_only_to_setups_that_exist() {
    let mut lost = cut(vec![shot(1, 100), shot(2, 100)]);
    lost.shots[1].setup = Some(9);
    lost.pieces[0].seen.push((7, String::new()));
    lost.pieces[0].clashes.push(Clash {
        first: 0,
        second: 9,
        words: String::new(),
    });
    let drawing = cut_sheet(&lost);
    let bends = drawing.shapes.iter().find_map(|shape| match shape {
        Shape::Path(Class::Thread, steps) => Some(steps.len()),
        _ => None,
    });
    assert_eq!(bends, Some(2));
}

#[test]
fn an_absurd_reach_does_not_break_the_ruler() {
    let mut murky = shot(1, 100);
    murky.reach_m = Some(1.79e308);
    let drawing = cut_sheet(&cut(vec![murky]));
    assert!(
        drawing
            .shapes
            .iter()
            .all(|shape| shape.numbers().iter().all(|number| number.is_finite()))
    );
}

proptest! {
    #[test]
    fn no_cut_breaks_the_sheet(
        fps in any::<f64>(),
        aspect in any::<f64>(),
        rows in prop::collection::vec((0..5000_u32, any::<f64>(), any::<f64>(), any::<f64>(), 0..5_u8), 0..40),
    ) {
        let shots = rows
            .into_iter()
            .map(|(frames, stops, reach_m, speed, travel)| Shot {
                light: Some(Light { stops, end_stops: Some(speed), state: "state".to_owned() }),
                reach_m: Some(reach_m),
                travel: match travel {
                    0 => Travel::Still,
                    1 => Travel::Away,
                    2 => Travel::Toward,
                    _ => Travel::Across { right_per_s: speed, down_per_s: stops },
                },
                ..shot(1, frames)
            })
            .collect();
        let drawing = cut_sheet(&Cut { fps, board_aspect: aspect, ..cut(shots) });
        prop_assert!(drawing.height.is_finite());
        for shape in &drawing.shapes {
            prop_assert!(shape.numbers().iter().all(|number| number.is_finite()), "{shape:?}");
        }
    }
}
