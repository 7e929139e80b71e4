//! Speed across a straight cut: the subject itself, and the weight that camera rate and scale give it. Limits are common
//! practice without a source; the pure parts are [`apparent_speed`] and [`scale_speed`].

use super::{Finding, Lever, PRACTICE, sequence::Sequence, shown};
use stillair_calc::{
    continuity::movement::{APPARENT_SPEED_LIMITS, SCALE_SPEED_LIMIT, apparent_speed, scale_speed},
    figure::{fixed, significant},
};

pub(super) fn findings(sequence: &Sequence<'_>) -> Vec<Finding> {
    let apparent = sequence
        .neighbours()
        .filter_map(|(a, b)| apparent(sequence, a, b));
    let weight = sequence
        .neighbours()
        .filter_map(|(a, b)| weight(sequence, a, b));
    apparent.chain(weight).collect()
}

/// Full-size speed of what moves in a shot; a shot that holds still has none to compare.
fn moving(sequence: &Sequence<'_>, shot: usize) -> Option<f64> {
    let shot = sequence.shots[shot];
    shot.story_speed_mps
        .filter(|speed| *speed > 0.0 && &*shot.travel != "still")
}

fn apparent(sequence: &Sequence<'_>, first: usize, second: usize) -> Option<Finding> {
    let speeds_mps = [moving(sequence, first)?, moving(sequence, second)?];
    let lengths_m = [first, second].map(|at| sequence.shots[at].story_length_m);
    // Model lengths a second, where both lengths are known; one subject keeps its length, so else the speeds themselves.
    let (speeds, unit) = match lengths_m {
        [Some(a), Some(b)] => ([speeds_mps[0] / a, speeds_mps[1] / b], "lengths a second"),
        _ => (speeds_mps, "m/s"),
    };
    let compared = apparent_speed(speeds);
    let (severity, apart) = (compared.severity?, compared.relative_difference?);
    let (a, b) = (sequence.code(first), sequence.code(second));
    let quicker = if speeds[0] > speeds[1] { a } else { b };
    let slower = speeds[0].min(speeds[1]);
    let cure = format!(
        "{} {unit} in {a}, {} in {b}: {} faster on a straight cut. Bring {quicker} to {} {unit}, or cut away between them. Over {} is seen, over {} is plain {PRACTICE}.",
        two_digits(speeds[0]),
        two_digits(speeds[1]),
        per_cent(apart),
        two_digits(slower * (1.0 + APPARENT_SPEED_LIMITS[0])),
        per_cent(APPARENT_SPEED_LIMITS[0]),
        per_cent(APPARENT_SPEED_LIMITS[1]),
    );
    let at = if quicker == a { first } else { second };
    Some(Finding {
        rule: "speed",
        things: vec![
            sequence.shots[first].id.clone(),
            sequence.shots[second].id.clone(),
        ],
        severity: shown(severity),
        weight: 1.0 - 1.0 / (1.0 + apart),
        head: format!("{a} to {b} changes speed on the cut."),
        quantity: format!("{} ×", significant(1.0 + apart, 2)),
        cure,
        lever: Lever {
            shot: sequence.shots[at].id.clone(),
            blank: sequence.blank(at, "story_speed_mps"),
        },
    })
}

/// Camera rate of a shot's setup, and the rate that gives the model its weight: the cut's rate times √scale.
fn rates_fps(sequence: &Sequence<'_>, shot: usize) -> Option<(f64, f64)> {
    let setup = sequence.setup(shot)?;
    let scale = setup
        .scale_denominator
        .or(sequence.shots[shot].scale_denominator)?;
    Some((setup.shoot_fps?, sequence.plan.base_fps() * scale.sqrt()))
}

fn weight(sequence: &Sequence<'_>, first: usize, second: usize) -> Option<Finding> {
    let rates = [rates_fps(sequence, first)?, rates_fps(sequence, second)?];
    let ratios = rates.map(|(shot_fps, true_fps)| shot_fps / true_fps);
    let compared = scale_speed(ratios);
    let (severity, apart) = (compared.severity?, compared.relative_difference?);
    let (a, b) = (sequence.code(first), sequence.code(second));
    let made_in = sequence.setup(second)?;
    let cure = format!(
        "The camera runs at {} of the true rate in {a}, at {} in {b}: {} apart, where over {} is seen {PRACTICE}. Run {} at {} fps to match.",
        fixed(ratios[0], 2),
        fixed(ratios[1], 2),
        per_cent(apart),
        per_cent(SCALE_SPEED_LIMIT),
        made_in.code,
        significant(ratios[0] * rates[1].1, 3),
    );
    Some(Finding {
        rule: "weight",
        things: vec![
            sequence.shots[first].id.clone(),
            sequence.shots[second].id.clone(),
        ],
        severity: shown(severity),
        weight: 1.0 - 1.0 / (1.0 + apart),
        head: format!("{a} to {b} changes weight on the cut."),
        quantity: per_cent(apart),
        cure,
        lever: Lever {
            shot: sequence.shots[second].id.clone(),
            blank: sequence.blank(second, "scale_denominator"),
        },
    })
}

fn two_digits(speed: f64) -> String {
    significant(speed, 2)
}

fn per_cent(part: f64) -> String {
    format!("{} %", fixed(part * 100.0, 0))
}
