//! The cut as its drawing takes it: lengths, light, water, travel, pieces and setups, from the plan.

use super::shot::{Shot, Sighting};
use crate::{
    journal::{record::Entry, value::Id},
    plan::{Plan, findings::Finding, setups::setup::Setup},
    web::problem::encode,
};
use std::collections::{BTreeMap, HashMap};
use stillair_calc::{
    continuity::{
        NEAR_WINDOW_S, Severity, ShotPair, near,
        piece::{CutDistance, Orientation, PieceReuse, piece_reuse},
    },
    drawing::cut::{Board, Clash, Cut, Light, Piece, Setup as Node, Shot as Drawn, Travel, Turn},
    figure::fixed,
};

/// Boards are drawn as wide as the picture most crews frame for; a picture of another shape is cropped to it.
const BOARD_ASPECT: f64 = 2.39;
/// How long an arrow stands for travel whose speed nobody wrote, frame widths a second.
const TRAVEL_NOT_SAID: f64 = 0.05;

/// The drawing's input.
pub fn cut(plan: &Plan, findings: &[Finding]) -> Cut {
    let shots = plan.shots_in_order();
    let order: HashMap<&Id, usize> = shots
        .iter()
        .enumerate()
        .map(|(at, shot)| (&shot.id, at))
        .collect();
    let (setups, places) = stage_order(plan);
    let makers = makers(plan);
    let drawn = shots
        .iter()
        .map(|shot| drawn(plan, shot, makers.get(&shot.id), &places));
    Cut {
        fps: plan.base_fps(),
        board_aspect: BOARD_ASPECT,
        shots: drawn.collect(),
        pieces: pieces(plan, &shots, &order),
        turns: turns(findings, &order),
        setups,
    }
}

/// The first pass of each shot, with its setup.
fn makers(plan: &Plan) -> HashMap<&Id, (&Id, &Entry<Setup>)> {
    let mut passes: Vec<_> = plan.passes.iter().collect();
    passes.sort_by(|a, b| (&a.order_key, &a.id).cmp(&(&b.order_key, &b.id)));
    let mut makers = HashMap::new();
    for pass in passes {
        let setup = pass.setup.as_ref().and_then(|id| plan.setups.get(id));
        if let (Some(shot), Some(setup)) = (&pass.shot, setup) {
            makers.entry(shot).or_insert((&pass.id, setup));
        }
    }
    makers
}

/// Setups as they come before the camera: by day, then those on no day yet in the order of their list. Gives the place
/// of each, too.
fn stage_order(plan: &Plan) -> (Vec<Node>, HashMap<&Id, usize>) {
    let mut nodes = Vec::new();
    let mut places = HashMap::new();
    let mut put = |setup: &Entry<Setup>, day: String| {
        nodes.push(Node {
            code: setup.code.to_string(),
            name: setup.name.to_string(),
            day,
            address: Some(bench(plan, setup, None)),
        });
    };
    for (number, day) in plan.days_in_order().into_iter().enumerate() {
        let called = if day.name.is_empty() {
            format!("Day {}", number + 1)
        } else {
            day.name.to_string()
        };
        for (_, setup) in plan.setups_of_day(&day.id) {
            if !places.contains_key(&setup.id) {
                places.insert(&setup.id, places.len());
                put(setup, called.clone());
            }
        }
    }
    for setup in plan.setups_in_order() {
        if !places.contains_key(&setup.id) {
            places.insert(&setup.id, places.len());
            put(setup, String::new());
        }
    }
    (nodes, places)
}

/// Address of a setup's bench.
pub fn bench(plan: &Plan, setup: &Setup, pass: Option<&Id>) -> String {
    let query = pass.map_or_else(String::new, |pass| format!("?pass={pass}"));
    format!("{}/setups/{}{query}", plan.path(), encode(&setup.code))
}

/// Address of a shot with all its blanks open.
pub fn opened(plan: &Plan, shot: &Id) -> String {
    format!("{}/cut?open={shot}#shot-{shot}", plan.path())
}

fn drawn(
    plan: &Plan,
    shot: &Entry<Shot>,
    maker: Option<&(&Id, &Entry<Setup>)>,
    places: &HashMap<&Id, usize>,
) -> Drawn {
    let in_air = matches!(&*shot.look, "air" | "night");
    let address = match maker {
        Some((pass, setup)) => bench(plan, setup, Some(pass)),
        None => opened(plan, &shot.id),
    };
    Drawn {
        code: shot.code.to_string(),
        name: shot.name.to_string(),
        frames: shot
            .length_frames
            .and_then(|frames| u32::try_from(frames).ok())
            .unwrap_or(0),
        setup: maker.and_then(|(_, setup)| places.get(&setup.id).copied()),
        light: shot.key_stops.map(|stops| Light {
            stops,
            end_stops: shot.key_end_stops,
            state: shot.light_note.to_string(),
        }),
        reach_m: shot.reach_m.filter(|_| !in_air),
        travel: travel(shot),
        board: Board {
            picture: super::sketch::board_href(plan, shot),
            address: Some(address),
        },
    }
}

fn travel(shot: &Shot) -> Travel {
    let speed = shot
        .travel_widths_per_s
        .filter(|speed| *speed > 0.0)
        .unwrap_or(TRAVEL_NOT_SAID);
    let across = |right_per_s, down_per_s| Travel::Across {
        right_per_s,
        down_per_s,
    };
    match &*shot.travel {
        "l_to_r" => across(speed, 0.0),
        "r_to_l" => across(-speed, 0.0),
        "up" => across(0.0, -speed),
        "down" => across(0.0, speed),
        "toward" => Travel::Toward,
        "away" => Travel::Away,
        "still" => Travel::Still,
        _ => Travel::Unknown,
    }
}

fn turns(findings: &[Finding], order: &HashMap<&Id, usize>) -> Vec<Turn> {
    let turn = |finding: &Finding| {
        let places: Vec<usize> = finding
            .things
            .iter()
            .filter_map(|id| order.get(id).copied())
            .collect();
        let [first, second] = places[..] else {
            return None;
        };
        (finding.rule == "direction" && first + 1 == second).then(|| Turn {
            first,
            words: "turns round".into(),
        })
    };
    findings.iter().filter_map(turn).collect()
}

fn pieces(plan: &Plan, shots: &[&Entry<Shot>], order: &HashMap<&Id, usize>) -> Vec<Piece> {
    let mut seen: BTreeMap<&Id, Vec<(usize, &Sighting)>> = BTreeMap::new();
    for sighting in plan.sightings.iter() {
        let at = sighting.shot.as_ref().and_then(|id| order.get(id));
        if let (Some(piece), Some(at)) = (&sighting.piece, at) {
            seen.entry(piece).or_default().push((*at, sighting));
        }
    }
    let mut rows: Vec<_> = seen
        .into_iter()
        .filter_map(|(piece, seen)| Some((plan.studio.pieces.get(piece)?, seen)))
        .collect();
    rows.sort_by(|a, b| (&a.0.order_key, &a.0.name).cmp(&(&b.0.order_key, &b.0.name)));
    let row = |(piece, mut seen): (&Entry<crate::plan::stores::stage::Piece>, Vec<_>)| {
        seen.sort_by_key(|(at, _)| *at);
        let known = piece.distinctiveness.unwrap_or(1);
        Piece {
            name: piece.name.to_string(),
            clashes: clashes(plan, shots, &seen, u8::try_from(known).unwrap_or(1)),
            seen: seen
                .iter()
                .map(|(at, sighting)| (*at, sighting.face.to_string()))
                .collect(),
        }
    };
    rows.into_iter().map(row).collect()
}

/// Shots that show the same face of a piece while it stands for two places, where it is plain enough to be looked at.
fn clashes(
    plan: &Plan,
    shots: &[&Entry<Shot>],
    seen: &[(usize, &Sighting)],
    distinctiveness: u8,
) -> Vec<Clash> {
    let clash = |(place, (second, b)): (usize, &(usize, &Sighting))| {
        // The nearest showing before it is the one an eye remembers.
        let (first, words) = seen[..place].iter().rev().find_map(|(first, a)| {
            let same_face = !a.face.is_empty() && a.face == b.face;
            let said = !a.place.is_empty() && !b.place.is_empty();
            if first == second || !same_face || !said {
                return None;
            }
            let gap_s = gap_s(plan, shots, *first, *second);
            let score = piece_reuse(PieceReuse {
                distinctiveness,
                visibility: visibility(a).min(visibility(b)),
                orientation: orientation(b),
                distance: distance(shots, *first, *second, gap_s),
                same_place: a.place == b.place,
            });
            score.severity.filter(|s| *s >= Severity::Look)?;
            let words = if first + 1 == *second {
                "same face on the cut".to_owned()
            } else {
                format!("same face, {} s apart", fixed(gap_s, 1))
            };
            Some((*first, words))
        })?;
        Some(Clash {
            first,
            second: *second,
            words,
        })
    };
    seen.iter().enumerate().filter_map(clash).collect()
}

fn visibility(sighting: &Sighting) -> u8 {
    match &*sighting.visibility {
        "far" => 0,
        "middle" => 1,
        _ => 2,
    }
}

fn orientation(sighting: &Sighting) -> Orientation {
    match &*sighting.orientation {
        "turned" => Orientation::Turned,
        "mirrored" => Orientation::Mirrored,
        _ => Orientation::Same,
    }
}

fn distance(shots: &[&Entry<Shot>], first: usize, second: usize, gap_s: f64) -> CutDistance {
    let same_scene = shots[first].scene.is_some() && shots[first].scene == shots[second].scene;
    if first + 1 == second {
        CutDistance::Adjacent
    } else if near(ShotPair { same_scene, gap_s }, NEAR_WINDOW_S) {
        CutDistance::Near
    } else {
        CutDistance::Far
    }
}

fn gap_s(plan: &Plan, shots: &[&Entry<Shot>], first: usize, second: usize) -> f64 {
    let frames: i64 = shots[first + 1..second]
        .iter()
        .map(|shot| shot.length_frames.unwrap_or(0))
        .sum();
    #[expect(clippy::cast_precision_loss, reason = "frames of one cut")]
    let frames = frames as f64;
    frames / plan.base_fps()
}
