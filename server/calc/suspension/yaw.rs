//! How a model on several lines turns to and fro about the vertical.

use super::{no_geometry, weight_n};
use crate::calculation::calculation;
use crate::fault::{Fault, Warnings};
use crate::figure::{carried, found, given};
use std::f64::consts::{FRAC_PI_2, TAU};

/// First number of steps of the sum over a quarter turn.
const FEWEST_STEPS: u32 = 16;
/// Most steps, reached only near half a turn to each side.
const MOST_STEPS: u32 = 1 << 16;
/// The sum has settled when doubling its steps moves it by less than this share.
const SETTLED: f64 = 1e-11;

calculation! { "suspension";
    /// Period of a model that turns on two lines.
    ///
    /// For small turns 2π√(I h/(m g a b)), with h = √(L² − (a − b)²) down to the model. A wide turn lifts it: then the
    /// energy of turning and lifting is followed through the quarter turn. Lines too short for the spread, or for the
    /// turn, are refused.
    bifilar_yaw(BifilarYaw {
        /// What hangs.
        mass_kg: f64 = Above(0.0); usual 2.0,
        /// Moment of inertia about the vertical through its centre.
        yaw_inertia_kgm2: f64 = Above(0.0); usual 0.05,
        /// Length of each line.
        line_length_m: f64 = Above(0.0); usual 1.8,
        /// Half the distance of the lines at the top.
        top_half_spacing_m: f64 = Above(0.0); usual 0.15,
        /// Half the distance of the lines at the model.
        bottom_half_spacing_m: f64 = Above(0.0); usual 0.15,
        /// Largest turn to one side.
        amplitude_deg: f64 = FromBelow(0.0, 180.0); default 0.0; usual 5.0,
    }) -> YawPeriod {
        /// To and fro, on the stage.
        period_s: f64,
        /// The same for a small turn.
        small_turn_period_s: f64,
    }
    because bifilar_yaw_because
    source "university laboratory manual; wide turns: energy integral, as in AIAA 2007-6822, agreed by an integrated motion", Confirmed

    /// Period of a model that turns on any number of equal vertical lines that share its weight.
    ///
    /// 2π√(I L/(m g r²)), with r² the mean square distance of the lines from the axis through the centre of mass. Small
    /// turns.
    multifilar_yaw(MultifilarYaw {
        /// What hangs.
        mass_kg: f64 = Above(0.0); usual 3.0,
        /// Moment of inertia about the vertical through its centre.
        yaw_inertia_kgm2: f64 = Above(0.0); usual 0.08,
        /// Length of each line.
        line_length_m: f64 = Above(0.0); usual 2.0,
        /// Mean of the squared distances of the lines from the axis.
        mean_square_radius_m2: f64 = Above(0.0); usual 0.0625,
    }) -> MultifilarPeriod {
        /// To and fro, on the stage.
        period_s: f64,
    }
    because "2 × π × √({yaw_inertia_kgm2} × {line_length_m} ÷ ({mass_kg} × 9.80665 × {mean_square_radius_m2})) = {period_s} s to and fro"
    source "potential of equal vertical lines, derived and agreed by a numerical turn", Confirmed
}

/// Square of how far the model hangs below the anchors, when turned.
fn squared_depth_m2(i: &BifilarYaw, turn_rad: f64) -> f64 {
    let (a, b) = (i.top_half_spacing_m, i.bottom_half_spacing_m);
    // L² − a² − b² + 2ab cos θ, kept from cancelling
    let rise = 4.0 * a * b * (turn_rad / 2.0).sin().powi(2);
    (i.line_length_m - (a - b).abs()) * (i.line_length_m + (a - b).abs()) - rise
}

/// Period over the small one's 2π, by the midpoint sum over a quarter turn with so many steps.
///
/// With sin(θ/2) = sin(θ₀/2) sin φ the integrand has no end that runs away.
fn quarter_sum(i: &BifilarYaw, steps: u32) -> f64 {
    let (a, b) = (i.top_half_spacing_m, i.bottom_half_spacing_m);
    let half_rad = i.amplitude_deg.to_radians() / 2.0;
    let highest_m = squared_depth_m2(i, 2.0 * half_rad).sqrt();
    let step = FRAC_PI_2 / f64::from(steps);
    let sum: f64 = (0..steps)
        .map(|place| {
            let turn = 2.0 * (half_rad.sin() * ((f64::from(place) + 0.5) * step).sin()).asin();
            let depth_m = squared_depth_m2(i, turn).sqrt();
            let lift_m = a * b * turn.sin() / depth_m;
            let inertia = i.yaw_inertia_kgm2 + i.mass_kg * lift_m.powi(2);
            (inertia * (depth_m + highest_m) / 2.0).sqrt() / (turn / 2.0).cos()
        })
        .sum();
    4.0 * step * sum / (weight_n(i.mass_kg) * a * b).sqrt()
}

fn bifilar_yaw(i: &BifilarYaw, _: &mut Warnings) -> Result<YawPeriod, Fault> {
    let depth_m2 = squared_depth_m2(i, 0.0);
    if depth_m2 <= 0.0 || i.line_length_m <= (i.top_half_spacing_m - i.bottom_half_spacing_m).abs()
    {
        let problem =
            "The lines cannot hang: they are no longer than the two half spacings differ.";
        return Err(no_geometry("line_length_m", problem));
    }
    if squared_depth_m2(i, i.amplitude_deg.to_radians()) <= 0.0 {
        let problem = "The model cannot turn so far: its lines are too short to let it.";
        return Err(no_geometry("amplitude_deg", problem));
    }
    let torque = weight_n(i.mass_kg) * i.top_half_spacing_m * i.bottom_half_spacing_m;
    let small_turn_period_s = TAU * (i.yaw_inertia_kgm2 * depth_m2.sqrt() / torque).sqrt();
    let mut steps = FEWEST_STEPS;
    let mut period_s = quarter_sum(i, steps);
    while steps < MOST_STEPS {
        steps *= 2;
        let finer_s = quarter_sum(i, steps);
        let moved = (finer_s - period_s).abs();
        period_s = finer_s;
        if moved <= SETTLED * finer_s {
            break;
        }
    }
    Ok(YawPeriod {
        period_s,
        small_turn_period_s,
    })
}

fn bifilar_yaw_because(i: &BifilarYaw, a: &YawPeriod) -> String {
    format!(
        "2 × π × √({} × {} ÷ ({} × 9.80665 × {} × {})) = {} s to and fro for a small turn, hanging by the second number in metres. At {}° it takes {} s.",
        given(i.yaw_inertia_kgm2),
        carried(squared_depth_m2(i, 0.0).sqrt()),
        given(i.mass_kg),
        given(i.top_half_spacing_m),
        given(i.bottom_half_spacing_m),
        found(a.small_turn_period_s),
        given(i.amplitude_deg),
        found(a.period_s)
    )
}

fn multifilar_yaw(i: &MultifilarYaw, _: &mut Warnings) -> MultifilarPeriod {
    let stiffness = weight_n(i.mass_kg) * i.mean_square_radius_m2 / i.line_length_m;
    MultifilarPeriod {
        period_s: TAU * (i.yaw_inertia_kgm2 / stiffness).sqrt(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{Calculate, FaultKind};
    use proptest::prelude::*;

    fn two(line_length_m: f64, half_spacing_m: f64, amplitude_deg: f64) -> BifilarYaw {
        BifilarYaw {
            mass_kg: 2.0,
            yaw_inertia_kgm2: 0.05,
            line_length_m,
            top_half_spacing_m: half_spacing_m,
            bottom_half_spacing_m: half_spacing_m,
            amplitude_deg,
        }
    }

    #[test]
    fn short_lines_stop_the_turn() {
        let faults = two(0.2, 0.15, 120.0).work().expect_err("refused");
        assert_eq!(
            (faults[0].field.as_str(), faults[0].kind),
            ("amplitude_deg", FaultKind::NoRealGeometry)
        );
        assert!(two(0.2, 0.15, 60.0).work().is_ok());
    }

    #[test]
    fn nearly_half_a_turn_still_settles() {
        let wide = two(1.8, 0.15, 179.9).work().expect("in range");
        assert!(wide.period_s > 4.0 * wide.small_turn_period_s);
    }

    proptest! {
        #[test]
        fn a_small_turn_has_the_short_formula(length in 0.5..3.0, spacing in 0.05..0.2) {
            let small = two(length, spacing, 0.01).work().expect("in range");
            prop_assert!((small.period_s / small.small_turn_period_s - 1.0).abs() < 1e-6);
            let many = MultifilarYaw {
                mass_kg: 2.0, yaw_inertia_kgm2: 0.05, line_length_m: length, mean_square_radius_m2: spacing * spacing,
            }.work().expect("in range");
            prop_assert!((many.period_s / small.small_turn_period_s - 1.0).abs() < 1e-9);
        }
    }
}
