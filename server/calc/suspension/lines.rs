//! Tensions of lines that meet at the load, or hang down to a beam.

use super::{factor, first_slack, no_geometry, no_push, slack, weight_n};
use crate::calculation::calculation;
use crate::fault::{Fault, FaultKind, Warnings};
use crate::figure::{carried, found, given};

/// Flatter than this nobody slings.
const FLATTEST_DEG: f64 = 30.0;
/// Tension over load share at that angle: 1/sin 30°.
const LARGEST_FACTOR: f64 = 2.0;
/// Determinant of three directions below which they lie in one plane.
const IN_ONE_PLANE: f64 = 1e-12;

calculation! { "suspension";
    /// How many times more a slanting line carries than one straight down.
    ///
    /// 1 ÷ sin of the angle from the horizontal, or length ÷ height of the line: give one of both. Flatter than 30° is
    /// refused: small changes then multiply the load. Planning only; nothing hangs over people, and overhead rigging is
    /// a qualified rigger's work under local rules.
    line_angle_factor(LineAngleFactor {
        /// Angle of the line from the horizontal.
        angle_from_horizontal_deg: Option<f64> = Between(FLATTEST_DEG, 90.0); usual 60.0,
        /// Length of the line.
        line_length_m: Option<f64> = Above(0.0),
        /// Height of its anchor over the load.
        line_height_m: Option<f64> = Above(0.0),
    }) -> AngleFactor {
        /// Tension over the share of the load.
        tension_factor: f64,
    }
    because line_angle_factor_because
    source "published sling tension tables; ASME B30.9 through secondary sources", Confirmed

    /// Tension of two lines that meet at the load, on opposite sides of it.
    ///
    /// T₁ = W sin θ₂ ÷ sin(θ₁ + θ₂), angles from the vertical. Level lines carry nothing and are refused, and so are two
    /// that both hang straight down, where only their lengths settle the shares. Planning only; nothing hangs over
    /// people, and overhead rigging is a qualified rigger's work under local rules.
    two_lines(TwoLines {
        /// What hangs.
        mass_kg: f64 = Above(0.0); usual 2.0,
        /// Angle of the first line from the vertical.
        angle1_from_vertical_deg: f64 = AtLeast(0.0); usual 20.0,
        /// Angle of the second line from the vertical, to the other side.
        angle2_from_vertical_deg: f64 = AtLeast(0.0); usual 45.0,
    }) -> TwoTensions {
        /// Tension of the first line.
        tension1_n: f64,
        /// Tension of the second line.
        tension2_n: f64,
    }
    because "{mass_kg} × 9.80665 × sin({angle2_from_vertical_deg}°) ÷ sin({angle1_from_vertical_deg}° + {angle2_from_vertical_deg}°) = {tension1_n} N in the first line, {tension2_n} N in the second"
    source "balance of two forces and a weight, agreed by a numerical solution", Confirmed

    /// Tension of two vertical lines on a beam or hull, from where the weight sits between them.
    ///
    /// The nearer line carries more. Planning only; nothing hangs over people, and overhead rigging is a qualified
    /// rigger's work under local rules.
    beam_two_vertical_lines(BeamTwoVerticalLines {
        /// What hangs.
        mass_kg: f64 = Above(0.0); usual 4.0,
        /// Distance of the first line from the centre of mass.
        distance1_m: f64 = Above(0.0); usual 0.15,
        /// Distance of the second line from the centre of mass, to the other side.
        distance2_m: f64 = Above(0.0); usual 0.35,
    }) -> BeamTensions {
        /// Tension of the first line.
        tension1_n: f64,
        /// Tension of the second line.
        tension2_n: f64,
    }
    because "{mass_kg} × 9.80665 × {distance2_m} ÷ ({distance1_m} + {distance2_m}) = {tension1_n} N in the first line, {tension2_n} N in the second"
    source "balance of moments", Confirmed

    /// Tension of three lines that run from one point of the model to three anchors.
    ///
    /// The three forces balance the weight. Anchors all on one side leave a line slack, which is refused; three lines in
    /// one plane cannot hold sideways. Planning only; nothing hangs over people, and overhead rigging is a qualified
    /// rigger's work under local rules.
    three_lines_to_point(ThreeLinesToPoint {
        /// What hangs.
        mass_kg: f64 = Above(0.0); usual 1.8,
        /// From the model to each anchor: along, across and up.
        line_vectors_m: [[f64; 3]; 3] = Any; usual [[0.5, 0.0, 1.2], [-0.3, 0.4, 1.2], [-0.2, -0.5, 1.0]],
    }) -> ThreeTensions {
        /// Tension of each line.
        tensions_n: [f64; 3],
    }
    because three_lines_to_point_because
    source "balance of three forces and a weight, solved by determinants", Confirmed
}

fn line_angle_factor(i: &LineAngleFactor, _: &mut Warnings) -> Result<AngleFactor, Vec<Fault>> {
    let by_angle = i
        .angle_from_horizontal_deg
        .map(|angle_deg| 1.0 / angle_deg.to_radians().sin());
    let by_length = match (i.line_length_m, i.line_height_m) {
        (Some(length_m), Some(height_m)) => Some(by_length(length_m, height_m)?),
        (None, None) => None,
        (length, _) => {
            let absent = if length.is_none() {
                "line_length_m"
            } else {
                "line_height_m"
            };
            let problem = "The length of the line and its height belong together: give both.";
            return Err(Fault::new(absent, FaultKind::Missing, problem).into());
        }
    };
    match (by_angle, by_length) {
        (Some(angle), Some(length)) if (angle - length).abs() > 1e-3 * angle => {
            let problem = "The angle disagrees with length and height: give one of both.";
            let fields = [
                "angle_from_horizontal_deg",
                "line_length_m",
                "line_height_m",
            ];
            Err(fields
                .map(|field| Fault::new(field, FaultKind::OutOfRange, problem))
                .to_vec())
        }
        (Some(tension_factor), _) | (None, Some(tension_factor)) => {
            Ok(AngleFactor { tension_factor })
        }
        (None, None) => {
            let problem = "The angle, or the length and height of the line, is needed.";
            let fields = [
                "angle_from_horizontal_deg",
                "line_length_m",
                "line_height_m",
            ];
            Err(fields
                .map(|field| Fault::new(field, FaultKind::Missing, problem))
                .to_vec())
        }
    }
}

/// Length over height of a line that is no flatter than anyone slings.
fn by_length(length_m: f64, height_m: f64) -> Result<f64, Vec<Fault>> {
    if height_m > length_m {
        let problem = "The line cannot exist: it is shorter than its height.";
        return Err(["line_height_m", "line_length_m"]
            .map(|field| no_geometry(field, problem))
            .to_vec());
    }
    let factor = length_m / height_m;
    if factor > LARGEST_FACTOR * (1.0 + 1e-12) {
        let problem = "The line is flatter than 30° from the horizontal: hang it higher.";
        return Err(["line_height_m", "line_length_m"]
            .map(|field| Fault::new(field, FaultKind::OutOfRange, problem))
            .to_vec());
    }
    Ok(factor)
}

fn line_angle_factor_because(i: &LineAngleFactor, a: &AngleFactor) -> String {
    let factor = found(a.tension_factor);
    let meaning = "times its share of the load, in each line";
    match (
        i.angle_from_horizontal_deg,
        i.line_length_m,
        i.line_height_m,
    ) {
        (None, Some(length_m), Some(height_m)) => {
            format!(
                "{} ÷ {} = {factor} {meaning}",
                given(length_m),
                given(height_m)
            )
        }
        (angle_deg, ..) => format!(
            "1 ÷ sin({}°) = {factor} {meaning}",
            given(angle_deg.unwrap_or_default())
        ),
    }
}

fn two_lines(i: &TwoLines, _: &mut Warnings) -> Result<TwoTensions, Vec<Fault>> {
    let fields = ["angle1_from_vertical_deg", "angle2_from_vertical_deg"];
    let angles = [i.angle1_from_vertical_deg, i.angle2_from_vertical_deg];
    let level: Vec<Fault> = fields
        .iter()
        .zip(angles)
        .filter(|(_, angle_deg)| *angle_deg >= 90.0)
        .map(|(field, _)| no_geometry(field, "The line cannot hold: it must rise from the load."))
        .collect();
    if !level.is_empty() {
        return Err(level);
    }
    let [sin1, sin2] = angles.map(|angle_deg| angle_deg.to_radians().sin());
    let sin_between = (angles[0] + angles[1]).to_radians().sin();
    if sin_between <= 0.0 {
        let problem =
            "Both lines hang straight down: how they share the load is for their lengths to say.";
        return Err(fields.map(|field| no_geometry(field, problem)).to_vec());
    }
    let weight = weight_n(i.mass_kg);
    Ok(TwoTensions {
        tension1_n: weight * sin2 / sin_between,
        tension2_n: weight * sin1 / sin_between,
    })
}

fn beam_two_vertical_lines(i: &BeamTwoVerticalLines, _: &mut Warnings) -> BeamTensions {
    let weight = weight_n(i.mass_kg);
    let span_m = i.distance1_m + i.distance2_m;
    BeamTensions {
        tension1_n: weight * i.distance2_m / span_m,
        tension2_n: weight * i.distance1_m / span_m,
    }
}

/// Part of a × b that points up.
fn upward(a: [f64; 3], b: [f64; 3]) -> f64 {
    a[0] * b[1] - a[1] * b[0]
}

fn length(a: [f64; 3]) -> f64 {
    a[0].hypot(a[1]).hypot(a[2])
}

/// For each line the upward part of the other two's product; their sum with the heights is the determinant.
fn minors([a, b, c]: [[f64; 3]; 3]) -> ([f64; 3], f64) {
    let minors = [upward(b, c), upward(c, a), upward(a, b)];
    let determinant = a[2] * minors[0] + b[2] * minors[1] + c[2] * minors[2];
    (minors, determinant)
}

fn three_lines_to_point(i: &ThreeLinesToPoint, _: &mut Warnings) -> Result<ThreeTensions, Fault> {
    let lengths = i.line_vectors_m.map(length);
    let (minors, determinant) = minors(i.line_vectors_m);
    let volume: f64 = lengths.iter().product();
    if determinant.abs() <= IN_ONE_PLANE * volume {
        let problem = "The lines cannot hold: they lie in one plane, or one has no length.";
        return Err(no_geometry("line_vectors_m", problem));
    }
    let weight = weight_n(i.mass_kg);
    let [first, second, third] = minors.map(|minor| weight * minor / determinant);
    let tensions_n = [first * lengths[0], second * lengths[1], third * lengths[2]];
    if let Some(place) = first_slack(&tensions_n, weight) {
        return Err(slack("line_vectors_m", place + 1));
    }
    Ok(ThreeTensions {
        tensions_n: tensions_n.map(no_push),
    })
}

fn three_lines_to_point_because(i: &ThreeLinesToPoint, a: &ThreeTensions) -> String {
    let (minors, determinant) = minors(i.line_vectors_m);
    let [first, second, third] = a.tensions_n.map(found);
    format!(
        "{} × 9.80665 × {} × {} ÷ {} = {first} N in the first line, from its length and what the other two leave to it. The second carries {second} N and the third {third} N.",
        given(i.mass_kg),
        carried(length(i.line_vectors_m[0])),
        factor(minors[0]),
        factor(determinant)
    )
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::Calculate;
    use proptest::prelude::*;

    fn pair(angle1_deg: f64, angle2_deg: f64) -> Result<TwoTensions, Vec<Fault>> {
        TwoLines {
            mass_kg: 2.0,
            angle1_from_vertical_deg: angle1_deg,
            angle2_from_vertical_deg: angle2_deg,
        }
        .work()
        .map(|worked| worked.answer)
    }

    fn slung(
        angle: Option<f64>,
        length: Option<f64>,
        height: Option<f64>,
    ) -> Result<f64, Vec<Fault>> {
        LineAngleFactor {
            angle_from_horizontal_deg: angle,
            line_length_m: length,
            line_height_m: height,
        }
        .work()
        .map(|worked| worked.tension_factor)
    }

    #[test]
    fn lines_that_cannot_hold_are_refused_by_name() {
        let named = |one, other| {
            let faults = pair(one, other).expect_err("refused");
            faults
                .into_iter()
                .map(|fault| fault.field)
                .collect::<Vec<_>>()
        };
        assert_eq!(named(20.0, 90.0), ["angle2_from_vertical_deg"]);
        assert_eq!(named(120.0, 90.0).len(), 2);
        assert_eq!(named(0.0, 0.0).len(), 2);
    }

    #[test]
    fn a_flat_line_is_refused_however_it_is_given() {
        let kinds = |refused: Result<f64, Vec<Fault>>| refused.expect_err("refused")[0].kind;
        assert_eq!(kinds(slung(Some(29.9), None, None)), FaultKind::OutOfRange);
        assert_eq!(
            kinds(slung(None, Some(2.1), Some(1.0))),
            FaultKind::OutOfRange
        );
        assert_eq!(
            kinds(slung(None, Some(1.0), Some(1.1))),
            FaultKind::NoRealGeometry
        );
        assert_eq!(kinds(slung(None, Some(1.0), None)), FaultKind::Missing);
        assert_eq!(kinds(slung(None, None, None)), FaultKind::Missing);
        assert_eq!(
            kinds(slung(Some(60.0), Some(1.5), Some(1.0))),
            FaultKind::OutOfRange
        );
        assert!(slung(Some(30.0), Some(2.0), Some(1.0)).is_ok());
    }

    #[test]
    fn three_lines_in_one_plane_hold_nothing() {
        let flat = ThreeLinesToPoint {
            mass_kg: 1.0,
            line_vectors_m: [[0.5, 0.0, 1.0], [-0.5, 0.0, 1.0], [0.1, 0.0, 1.0]],
        };
        assert_eq!(
            flat.work().expect_err("refused")[0].kind,
            FaultKind::NoRealGeometry
        );
    }

    proptest! {
        #[test]
        fn two_lines_carry_the_weight_and_pull_level(one in 0.1..89.0_f64, other in 0.1..89.0_f64) {
            let tensions = pair(one, other).expect("in range");
            let (one, other) = (one.to_radians(), other.to_radians());
            let up = tensions.tension1_n * one.cos() + tensions.tension2_n * other.cos();
            let sideways = tensions.tension1_n * one.sin() - tensions.tension2_n * other.sin();
            prop_assert!((up - weight_n(2.0)).abs() < 1e-6 && sideways.abs() < 1e-6);
        }

        #[test]
        fn three_lines_carry_the_weight(spread in 0.1..1.0, turn in 0.0..6.0_f64, heights in proptest::array::uniform3(0.5..2.0)) {
            let anchor = |at: f64, height: f64| [spread * (turn + at).cos(), spread * (turn + at).sin(), height];
            let line_vectors_m = [anchor(0.0, heights[0]), anchor(2.0, heights[1]), anchor(4.0, heights[2])];
            let tensions = ThreeLinesToPoint { mass_kg: 1.5, line_vectors_m }.work().expect("around the model").tensions_n;
            for (axis, wanted) in [0.0, 0.0, weight_n(1.5)].into_iter().enumerate() {
                let sum: f64 = line_vectors_m.iter().zip(tensions).map(|(line, t)| t * line[axis] / length(*line)).sum();
                prop_assert!((sum - wanted).abs() < 1e-9);
            }
        }
    }
}
