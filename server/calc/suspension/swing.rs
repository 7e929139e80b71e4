//! How a hung model swings, what that says on screen, and how a drive leaves it swinging.

use super::{mean_of_means, weight_n};
use crate::calculation::calculation;
use crate::fault::{Fault, FaultKind, Warnings};
use crate::figure::{carried, found, given};
use crate::scale_time::{GRAVITY_MPS2, note_scale};
use std::f64::consts::{PI, TAU};

/// Swings wider than this take 1 % longer than small ones.
const SMALL_SWING_DEG: f64 = 22.9;

calculation! { "suspension";
    /// Period of a hung model, on the stage and on screen.
    ///
    /// 2π√(L/g) over the arithmetic-geometric mean of 1 and cos(θ₀/2), exact for any amplitude short of upside down. The
    /// length runs from the pivot to the centre of mass. On screen every period is k times longer.
    pendulum(Pendulum {
        /// Pivot to centre of mass.
        length_m: f64 = Above(0.0); usual 2.4,
        /// Gravity.
        gravity_mps2: f64 = Above(0.0); default GRAVITY_MPS2,
        /// Largest angle from the vertical.
        amplitude_deg: f64 = FromBelow(0.0, 180.0); default 0.0; usual 5.0,
        /// Shooting rate over base rate.
        rate_factor_k: f64 = Above(0.0); default 1.0; usual 4.899,
    }) -> Period {
        /// There and back, on the stage.
        period_s: f64,
        /// There and back, on screen.
        screen_period_s: f64,
    }
    because pendulum_because
    source "complete elliptic integral; university computational physics table, agreed by an integrated swing", Confirmed

    /// How far the short formula falls below the true period: its share of the true one.
    pendulum_small_angle_error(PendulumSmallAngleError {
        /// Largest angle from the vertical, in radians.
        amplitude_rad: f64 = FromBelow(0.0, PI); usual 0.4,
    }) -> SmallAngleError {
        /// Share that is missing.
        fraction: f64,
    }
    because pendulum_small_angle_error_because
    source "complete elliptic integral; university computational physics table", Confirmed

    /// Which story line the swing of a model suggests to the eye.
    ///
    /// A line filmed k times faster seems k² times longer; at k = √S that is S times, as it should be. A craft under
    /// water that hangs on nothing must not swing at all: kill the swing or cut it.
    swing_giveaway(SwingGiveaway {
        /// Pivot to centre of mass.
        line_length_m: f64 = Above(0.0); usual 2.0,
        /// How many times smaller the model is.
        scale_denominator: f64 = Above(0.0); usual 24.0,
        /// Shooting rate over base rate.
        rate_factor_k: f64 = Above(0.0); usual 3.0,
    }) -> SwingSeen {
        /// Line that the swing suggests.
        suggested_story_line_m: f64,
        /// Line that the model's own stands for.
        gravity_true_story_line_m: f64,
        /// There and back, on screen.
        screen_period_s: f64,
    }
    because "{rate_factor_k}^2 × {line_length_m} = {suggested_story_line_m} m of story line is what the swing suggests, with {screen_period_s} s there and back. The line stands for {gravity_true_story_line_m} m."
    source "similarity of pendulum motion", Confirmed

    /// Highest tension of one line while its load swings, at the lowest point.
    ///
    /// W(3 − 2 cos θ₀). From more than 90° the line would first go slack and then snatch, which is refused. Planning
    /// only; nothing swings over people, and overhead rigging is a qualified rigger's work under local rules.
    pendulum_tension(PendulumTension {
        /// What hangs.
        mass_kg: f64 = Above(0.0); usual 1.5,
        /// Largest angle from the vertical.
        amplitude_deg: f64 = FromBelow(0.0, 180.0); usual 25.0,
    }) -> PeakTension {
        /// Highest tension.
        peak_tension_n: f64,
    }
    because "{mass_kg} × 9.80665 × (3 − 2 × cos({amplitude_deg}°)) = {peak_tension_n} N at the lowest point"
    source "balance of energy", Confirmed

    /// How far a model still swings when its drive has come up to speed.
    ///
    /// A steady acceleration for the time τ leaves (2a/g)|sin(πτ/T)|: nothing when τ is a whole number of periods T.
    /// For small swings (`small_angle` where they may be wider than 22.9°). Keep clear of a model under way.
    residual_swing(ResidualSwing {
        /// There and back of the hung model.
        pendulum_period_s: f64 = Above(0.0); usual 2.84,
        /// How long it speeds up.
        ramp_time_s: f64 = Above(0.0); usual 4.0,
        /// Acceleration meanwhile.
        acceleration_mps2: f64 = AtLeast(0.0); usual 0.3,
    }) -> SwingLeft {
        /// Largest angle from the vertical afterwards.
        residual_swing_deg: f64,
    }
    because residual_swing_because
    source "pendulum under a moving pivot, small swings, agreed by an integrated motion", Confirmed
}

/// Mean of means that lengthens the period of a wide swing.
fn widening(amplitude_rad: f64) -> f64 {
    mean_of_means(1.0, (amplitude_rad / 2.0).cos())
}

fn pendulum(i: &Pendulum, _: &mut Warnings) -> Period {
    let small_s = TAU * (i.length_m / i.gravity_mps2).sqrt();
    let period_s = small_s / widening(i.amplitude_deg.to_radians());
    Period {
        period_s,
        screen_period_s: i.rate_factor_k * period_s,
    }
}

fn pendulum_because(i: &Pendulum, a: &Period) -> String {
    format!(
        "2 × π × √({} ÷ {}) ÷ {} = {} s there and back, where the last number is the mean of means of 1 and cos({}° ÷ 2). On screen that takes {} s.",
        given(i.length_m),
        given(i.gravity_mps2),
        carried(widening(i.amplitude_deg.to_radians())),
        found(a.period_s),
        given(i.amplitude_deg),
        found(a.screen_period_s)
    )
}

fn pendulum_small_angle_error(i: &PendulumSmallAngleError, _: &mut Warnings) -> SmallAngleError {
    SmallAngleError {
        fraction: 1.0 - widening(i.amplitude_rad),
    }
}

fn pendulum_small_angle_error_because(i: &PendulumSmallAngleError, a: &SmallAngleError) -> String {
    // the mean itself is shown, since its distance from 1 would have lost the digits
    let mean = widening(i.amplitude_rad);
    format!(
        "1 ÷ {} = {} times longer than the short formula says, the mean of means of 1 and the cosine of half the angle. The short one misses {} of the true period.",
        carried(mean),
        found(1.0 / mean),
        found(a.fraction)
    )
}

fn swing_giveaway(i: &SwingGiveaway, warnings: &mut Warnings) -> SwingSeen {
    note_scale(i.scale_denominator, warnings);
    SwingSeen {
        suggested_story_line_m: i.rate_factor_k.powi(2) * i.line_length_m,
        gravity_true_story_line_m: i.scale_denominator * i.line_length_m,
        screen_period_s: i.rate_factor_k * TAU * (i.line_length_m / GRAVITY_MPS2).sqrt(),
    }
}

fn pendulum_tension(i: &PendulumTension, _: &mut Warnings) -> Result<PeakTension, Fault> {
    if i.amplitude_deg > 90.0 {
        let problem = "Line 1 goes slack: from more than 90° the load falls before it swings.";
        return Err(Fault::new("amplitude_deg", FaultKind::LineSlack, problem));
    }
    Ok(PeakTension {
        peak_tension_n: weight_n(i.mass_kg) * (3.0 - 2.0 * i.amplitude_deg.to_radians().cos()),
    })
}

/// How far the ramp is from a whole number of periods, in periods.
fn broken_period(i: &ResidualSwing) -> f64 {
    let periods = i.ramp_time_s / i.pendulum_period_s;
    (periods - periods.round()).abs()
}

fn residual_swing(i: &ResidualSwing, warnings: &mut Warnings) -> SwingLeft {
    let widest_deg = (2.0 * i.acceleration_mps2 / GRAVITY_MPS2).to_degrees();
    warnings.add_if(widest_deg > SMALL_SWING_DEG, "small_angle");
    SwingLeft {
        residual_swing_deg: widest_deg * (PI * broken_period(i)).sin(),
    }
}

fn residual_swing_because(i: &ResidualSwing, a: &SwingLeft) -> String {
    format!(
        "2 × {} ÷ 9.80665 × sin(180° × {}) × 180 ÷ π = {}° to either side, since the ramp misses a whole number of periods by that share of one",
        given(i.acceleration_mps2),
        carried(broken_period(i)),
        found(a.residual_swing_deg)
    )
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::Calculate;
    use proptest::prelude::*;

    fn period_s(length_m: f64, amplitude_deg: f64) -> f64 {
        Pendulum {
            length_m,
            gravity_mps2: GRAVITY_MPS2,
            amplitude_deg,
            rate_factor_k: 1.0,
        }
        .work()
        .expect("in range")
        .period_s
    }

    fn left(ramp_time_s: f64, acceleration_mps2: f64) -> crate::Worked<SwingLeft> {
        ResidualSwing {
            pendulum_period_s: 2.84,
            ramp_time_s,
            acceleration_mps2,
        }
        .work()
        .expect("in range")
    }

    #[test]
    fn a_line_does_not_hold_from_above() {
        let tension = |amplitude_deg| {
            PendulumTension {
                mass_kg: 1.0,
                amplitude_deg,
            }
            .work()
        };
        assert_eq!(
            tension(91.0).expect_err("refused")[0].kind,
            FaultKind::LineSlack
        );
        assert_eq!(
            tension(180.0).expect_err("refused")[0].kind,
            FaultKind::OutOfRange
        );
        assert!(
            (tension(90.0).expect("in range").peak_tension_n - 3.0 * GRAVITY_MPS2).abs() < 1e-9
        );
    }

    #[test]
    fn a_hard_start_is_told() {
        assert_eq!(left(1.0, 3.0).warnings, ["small_angle"]);
        assert!(left(1.0, 0.3).warnings.is_empty());
    }

    proptest! {
        #[test]
        fn wider_swings_take_longer(length in 0.1..10.0, narrow in 0.0..170.0_f64, more in 0.5..9.0) {
            prop_assert!(period_s(length, narrow + more) > period_s(length, narrow));
        }

        #[test]
        fn whole_periods_leave_nothing(count in 1_u8..20) {
            prop_assert!(left(2.84 * f64::from(count), 0.3).residual_swing_deg < 1e-9);
        }
    }
}
