//! Direction of travel: a subject that went one way comes back the other way with no reason in sight. The rule is the
//! 180° rule (common practice, no source); the pure part is [`screen_direction`].

use super::{Finding, Lever, PRACTICE, sequence::Sequence, shown};
use crate::plan::cut::shot::Shot;
use std::collections::BTreeMap;
use stillair_calc::{
    continuity::movement::{DirectionFinding, Passage, Step, screen_direction},
    figure::fixed,
};

pub(super) fn findings(sequence: &Sequence<'_>) -> Vec<Finding> {
    let mut lines: BTreeMap<_, Vec<usize>> = BTreeMap::new();
    for shot in 0..sequence.shots.len() {
        lines.entry(sequence.line(shot)).or_default().push(shot);
    }
    let follow = |line: &Vec<usize>| {
        let steps: Vec<Step> = (0..line.len()).map(|at| step(sequence, line, at)).collect();
        screen_direction(&steps)
            .into_iter()
            .map(|found| finding(sequence, line, found))
            .collect::<Vec<_>>()
    };
    let mut found: Vec<_> = lines.values().flat_map(follow).collect();
    found.sort_by(|a, b| b.weight.total_cmp(&a.weight));
    found
}

fn step(sequence: &Sequence<'_>, line: &[usize], at: usize) -> Step {
    let shot = line[at];
    let before = at.checked_sub(1).map(|before| line[before]);
    // One move seen in two shots that meet: both come out of one setup.
    let continues_move = before.is_some_and(|before| {
        let made_in = sequence.setup(shot).map(|s| &s.id);
        before + 1 == shot && made_in.is_some() && made_in == sequence.setup(before).map(|s| &s.id)
    });
    Step {
        passage: passage(sequence.shots[shot]),
        continues_move,
    }
}

/// What a shot does to the direction. A turn seen in it, or a move across the line, is a reason in sight both for what
/// comes before and for what comes after.
fn passage(shot: &Shot) -> Passage {
    match (&*shot.turn, &*shot.travel) {
        ("turns", _) => Passage::TurnsOnScreen,
        ("crosses", _) => Passage::CrossesTheLine,
        (_, "l_to_r") => Passage::LeftToRight,
        (_, "r_to_l") => Passage::RightToLeft,
        (_, "toward") => Passage::Toward,
        (_, "away") => Passage::Away,
        _ => Passage::None,
    }
}

fn finding(sequence: &Sequence<'_>, line: &[usize], found: DirectionFinding) -> Finding {
    let (first, second) = (line[found.since], line[found.at]);
    let (a, b) = (sequence.code(first), sequence.code(second));
    let between = between(sequence, first, second);
    let gap_s = sequence.gap_s(first, second);
    let head = if between.is_empty() {
        format!("{a} to {b} turns round on the cut.")
    } else {
        format!("{a} to {b} turns round, with {between} between.")
    };
    let bridge = if between.is_empty() {
        "with nothing between"
    } else {
        "and nothing between shows it turn"
    };
    let cure = format!(
        "The subject goes {}, then {}, {bridge}. Turn {b} about, or put a shot of it turning, head on or from behind before {b}. If {a} and {b} follow different subjects, give them a line each {PRACTICE}.",
        goes(sequence.shots[first]),
        goes(sequence.shots[second]),
    );
    Finding {
        rule: "direction",
        things: vec![
            sequence.shots[first].id.clone(),
            sequence.shots[second].id.clone(),
        ],
        severity: shown(found.severity),
        // The nearer, the plainer; a straight cut before everything else.
        weight: 1.0 / (1.0 + gap_s),
        head,
        quantity: if between.is_empty() {
            "0 f".into()
        } else {
            format!("{} s", fixed(gap_s, 1))
        },
        cure,
        lever: Lever {
            shot: sequence.shots[second].id.clone(),
            blank: sequence.blank(second, "travel"),
        },
    }
}

/// "left to right at 0.09 frame widths a second".
fn goes(shot: &Shot) -> String {
    let way = if &*shot.travel == "l_to_r" {
        "left to right"
    } else {
        "right to left"
    };
    match shot.travel_widths_per_s {
        Some(speed) if speed > 0.0 => {
            format!("{way} at {} frame widths a second", fixed(speed, 2))
        }
        _ => way.to_owned(),
    }
}

/// "P6 and P7", or how many where they are more than three.
fn between(sequence: &Sequence<'_>, first: usize, second: usize) -> String {
    let codes: Vec<_> = (first + 1..second).map(|at| sequence.code(at)).collect();
    match codes.as_slice() {
        [] => String::new(),
        [one] => (*one).to_owned(),
        [one, two] => format!("{one} and {two}"),
        [one, two, three] => format!("{one}, {two} and {three}"),
        many => format!("{} shots", many.len()),
    }
}
