//! Tensions of vertical lines that hold a level plate or hull at three or four points.

use super::{first_slack, no_geometry, no_push, slack, weight_n};
use crate::calculation::calculation;
use crate::fault::{Fault, Warnings};
use crate::figure::{carried, found, given};

/// Twice the area of a triangle over the square of its longest side, below which its corners lie on one line.
const ON_ONE_LINE: f64 = 1e-9;

calculation! { "suspension";
    /// Tension of three vertical lines on a level plate, from where its weight sits among them.
    ///
    /// Each line carries as the triangle of the other two and the centre of mass is to the whole. A centre of mass outside
    /// the triangle leaves a line slack and is refused, and so are three points on one line. Planning only; nothing
    /// hangs over people, and overhead rigging is a qualified rigger's work under local rules.
    plate_three_lines(PlateThreeLines {
        /// What hangs.
        mass_kg: f64 = Above(0.0); usual 2.5,
        /// Where each line holds, along and across.
        line_points_m: [[f64; 2]; 3] = Any; usual [[-0.2, -0.1], [0.2, -0.1], [0.0, 0.25]],
        /// Where the weight sits, along and across.
        centre_of_mass_m: [f64; 2] = Any; usual [0.05, 0.03],
    }) -> PlateTensions {
        /// Tension of each line.
        tensions_n: [f64; 3],
    }
    because plate_three_lines_because
    source "balance of force and moments, agreed by a numerical solution", Confirmed

    /// Tension of four equal vertical lines at the corners of a rectangle, under a stiff plate.
    ///
    /// (W ÷ 4)(1 ± x/a ± y/b) when every line is exactly as long as the others. A fraction of a millimetre unloads a
    /// diagonal, so the strength is checked as if two diagonal lines carry everything; the most that one line can then
    /// carry is (W ÷ 2)(1 + the smaller of |x|/a and |y|/b). Planning only; nothing hangs over people, and overhead
    /// rigging is a qualified rigger's work under local rules.
    plate_four_lines(PlateFourLines {
        /// What hangs.
        mass_kg: f64 = Above(0.0); usual 6.0,
        /// Half the distance of the lines along.
        half_span_x_m: f64 = Above(0.0); usual 0.3,
        /// Half the distance of the lines across.
        half_span_y_m: f64 = Above(0.0); usual 0.2,
        /// How far the weight sits along from the middle.
        offset_x_m: f64 = Any; default 0.0; usual 0.06,
        /// How far the weight sits across from the middle.
        offset_y_m: f64 = Any; default 0.0; usual 0.02,
    }) -> FourTensions {
        /// Tension of the lines at (−, −), (+, −), (+, +) and (−, +).
        tensions_n: [f64; 4],
        /// Load of each line when a diagonal pair carries everything in halves.
        worst_case_pair_n: f64,
        /// Most that a single line can come to carry while the other diagonal slackens.
        worst_case_line_n: f64,
    }
    because plate_four_lines_because
    source "stiff plate on equal springs, agreed by a least-squares solution; worst line derived here from the balance with one line slack", Confirmed
}

/// Twice the area of a triangle, positive when its corners run anticlockwise.
fn doubled_area(a: [f64; 2], b: [f64; 2], c: [f64; 2]) -> f64 {
    (b[0] - a[0]) * (c[1] - a[1]) - (c[0] - a[0]) * (b[1] - a[1])
}

/// Doubled areas that the centre of mass makes with the other two points, and of the whole triangle.
fn areas(i: &PlateThreeLines) -> ([f64; 3], f64) {
    let [a, b, c] = i.line_points_m;
    let centre = i.centre_of_mass_m;
    let parts = [
        doubled_area(centre, b, c),
        doubled_area(centre, c, a),
        doubled_area(centre, a, b),
    ];
    (parts, doubled_area(a, b, c))
}

fn plate_three_lines(i: &PlateThreeLines, _: &mut Warnings) -> Result<PlateTensions, Fault> {
    let [a, b, c] = i.line_points_m;
    let longest = [(a, b), (b, c), (c, a)]
        .map(|(from, to)| (to[0] - from[0]).hypot(to[1] - from[1]))
        .into_iter()
        .fold(0.0, f64::max);
    let (parts, whole) = areas(i);
    if whole.abs() <= ON_ONE_LINE * longest * longest {
        let problem = "The plate cannot hang level: its three lines stand on one line.";
        return Err(no_geometry("line_points_m", problem));
    }
    let weight = weight_n(i.mass_kg);
    let tensions_n = parts.map(|part| weight * part / whole);
    if let Some(place) = first_slack(&tensions_n, weight) {
        return Err(slack("centre_of_mass_m", place + 1));
    }
    Ok(PlateTensions {
        tensions_n: tensions_n.map(no_push),
    })
}

fn plate_three_lines_because(i: &PlateThreeLines, a: &PlateTensions) -> String {
    let (parts, whole) = areas(i);
    let [first, second, third] = a.tensions_n.map(found);
    format!(
        "{} × 9.80665 × {} ÷ {} = {first} N in the first line, as the triangle of the other two lines and the weight is to the whole, both in m². The second carries {second} N and the third {third} N.",
        given(i.mass_kg),
        carried(parts[0].abs() / 2.0),
        carried(whole.abs() / 2.0)
    )
}

/// Offsets of the weight in half spans.
fn off_centre(i: &PlateFourLines) -> (f64, f64) {
    (
        i.offset_x_m / i.half_span_x_m,
        i.offset_y_m / i.half_span_y_m,
    )
}

fn plate_four_lines(i: &PlateFourLines, _: &mut Warnings) -> Result<FourTensions, Vec<Fault>> {
    let (x, y) = off_centre(i);
    let weight = weight_n(i.mass_kg);
    let tensions_n = [(-1.0, -1.0), (1.0, -1.0), (1.0, 1.0), (-1.0, 1.0)]
        .map(|(along, across)| weight / 4.0 * (1.0 + along * x + across * y));
    if let Some(place) = first_slack(&tensions_n, weight) {
        let fields = ["offset_x_m", "offset_y_m"].into_iter().zip([x, y]);
        return Err(fields
            .filter(|(_, offset)| *offset != 0.0)
            .map(|(field, _)| slack(field, place + 1))
            .collect());
    }
    Ok(FourTensions {
        tensions_n: tensions_n.map(no_push),
        worst_case_pair_n: weight / 2.0,
        worst_case_line_n: weight / 2.0 * (1.0 + x.abs().min(y.abs())),
    })
}

fn plate_four_lines_because(i: &PlateFourLines, a: &FourTensions) -> String {
    let (x, y) = off_centre(i);
    let most = a.tensions_n.into_iter().fold(0.0, f64::max);
    format!(
        "{} × 9.80665 ÷ 4 × (1 + {} + {}) = {} N in the line that carries most, when all are equal. Check the strength for {} N, which one line can come to carry when the other diagonal slackens.",
        given(i.mass_kg),
        carried(x.abs()),
        carried(y.abs()),
        found(most),
        found(a.worst_case_line_n)
    )
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{Calculate, FaultKind};
    use proptest::prelude::*;

    fn four(offset_x_m: f64, offset_y_m: f64) -> Result<FourTensions, Vec<Fault>> {
        PlateFourLines {
            mass_kg: 6.0,
            half_span_x_m: 0.3,
            half_span_y_m: 0.2,
            offset_x_m,
            offset_y_m,
        }
        .work()
        .map(|worked| worked.answer)
    }

    #[test]
    fn a_weight_far_out_slackens_a_line() {
        let faults = four(0.31, 0.0).expect_err("refused");
        assert_eq!(faults.len(), 1);
        assert_eq!(
            (faults[0].field.as_str(), faults[0].kind),
            ("offset_x_m", FaultKind::LineSlack)
        );
        assert_eq!(four(0.2, 0.1).expect_err("refused").len(), 2);
        assert!(four(0.3, 0.0).is_ok());
    }

    #[test]
    fn lengths_past_all_numbers_are_refused_and_not_called_nothing() {
        let endless = PlateThreeLines {
            mass_kg: 1.0,
            line_points_m: [[0.0, 0.0], [1.0, 0.0], [0.0, 1.0]],
            centre_of_mass_m: [1e300, 1e300],
        };
        assert_eq!(
            endless.work().expect_err("refused")[0].kind,
            FaultKind::NotFinite
        );
    }

    #[test]
    fn a_weight_on_a_side_needs_no_third_line() {
        let edge = PlateThreeLines {
            mass_kg: 1.0,
            line_points_m: [[0.0, 0.0], [1.0, 0.0], [0.0, 1.0]],
            centre_of_mass_m: [0.5, 0.0],
        };
        let tensions = edge.work().expect("on the edge").tensions_n;
        assert!(tensions[2].abs() < 1e-12 && (tensions[0] - tensions[1]).abs() < 1e-12);
    }

    proptest! {
        #[test]
        fn three_lines_carry_weight_and_moment(share in 0.0..1.0_f64, rest in 0.0..1.0_f64) {
            let points = [[-0.2, -0.1], [0.3, -0.1], [0.0, 0.25]];
            let shares = [share, (1.0 - share) * rest, (1.0 - share) * (1.0 - rest)];
            let centre = [0, 1].map(|axis| points.iter().zip(shares).map(|(point, share)| point[axis] * share).sum());
            let plate = PlateThreeLines { mass_kg: 2.5, line_points_m: points, centre_of_mass_m: centre };
            for (tension, share) in plate.work().expect("within").tensions_n.into_iter().zip(shares) {
                prop_assert!((tension - weight_n(2.5) * share).abs() < 1e-9);
            }
        }

        #[test]
        fn the_worst_line_is_the_most_that_balance_allows(x in -0.3..0.3, y in -0.2..0.2_f64) {
            if let Ok(found) = four(x, y) {
                // the one load that balance leaves free: diagonals against each other
                let t = found.tensions_n;
                let worst = [t[0] + t[1].min(t[3]), t[1] + t[0].min(t[2]), t[2] + t[1].min(t[3]), t[3] + t[0].min(t[2])]
                    .into_iter().fold(0.0, f64::max);
                prop_assert!((worst - found.worst_case_line_n).abs() < 1e-9);
                prop_assert!(t.into_iter().all(|tension| tension <= found.worst_case_line_n + 1e-9));
            }
        }
    }
}
