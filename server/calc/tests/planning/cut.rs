//! Checks of continuity.

use serde_json::{Value, json};
use stillair_calc::continuity::lamps::{NeighbourLight, neighbour_light, worst};
use stillair_calc::continuity::piece::{CutDistance, Orientation, PieceReuse, piece_reuse};
use stillair_calc::continuity::severity_word;
use stillair_calc::continuity::story::{Copies, damage_in_story_order, damage_precedence};
use stillair_calc::stage_day::changeover::Haze;

use crate::read::{number, text, whole};

pub fn check_piece(inputs: &Value) -> Value {
    let small = |key: &str| u8::try_from(whole(&inputs[key])).expect("a small number");
    let score = piece_reuse(PieceReuse {
        distinctiveness: small("distinctiveness"),
        visibility: small("visibility"),
        orientation: match text(&inputs["orientation"]) {
            "same" => Orientation::Same,
            "turned" => Orientation::Turned,
            "mirrored" => Orientation::Mirrored,
            other => panic!("unknown orientation {other}"),
        },
        distance: match inputs["shots_apart"].as_u64() {
            Some(1) => CutDistance::Adjacent,
            Some(_) => CutDistance::Near,
            None => CutDistance::Far,
        },
        same_place: inputs["same_place"] == true,
    });
    json!({"score": score.score, "severity": severity_word(score.severity)})
}

pub fn check_neighbour_light(inputs: &Value) -> Value {
    let haze = |at: usize| Haze::parse(text(&inputs["haze"][at])).expect("a class of haze");
    let parts = neighbour_light(&NeighbourLight {
        same_place: inputs["same_place"] == true,
        planned_change: false,
        haze: [haze(0), haze(1)],
        mired_difference: number(&inputs["mired_difference"]),
        key_azimuth_deg: None,
        gels_differ: false,
    });
    json!({"severity": severity_word(worst(&parts))})
}

pub fn check_damage(inputs: &Value) -> Value {
    if let Some(story) = inputs["story"].as_array() {
        assert_eq!(
            inputs["repair_events"],
            json!([]),
            "write the reading of repairs when a check has one"
        );
        let states: Vec<u32> = story.iter().map(|shot| whole(&shot[1])).collect();
        let named = |(a, b): (usize, usize)| json!([story[a][0], story[b][0]]);
        let found: Vec<Value> = damage_in_story_order(&states, &[])
            .into_iter()
            .map(named)
            .collect();
        return json!({"findings": found});
    }
    let states = inputs["states"].as_object().expect("states");
    let (names, levels): (Vec<&String>, Vec<u32>) = states
        .iter()
        .map(|(name, state)| (name, whole(state)))
        .unzip();
    let copies = if inputs["one_copy"] == true {
        Copies::One
    } else {
        Copies::More
    };
    let arcs: Vec<Value> = damage_precedence(&levels, copies)
        .into_iter()
        .map(|(a, b)| json!([names[a], names[b]]))
        .collect();
    json!({"arcs": arcs})
}
