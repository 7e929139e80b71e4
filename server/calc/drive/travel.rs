//! Run-ups, tracks and turning arms.

use super::S_PER_MIN;
use crate::calculation::calculation;
use crate::fault::Warnings;
use crate::figure::{carried, found, given};
use crate::input::choice;
use crate::scale_time::GRAVITY_MPS2;
use std::f64::consts::{PI, TAU};

choice! {
    /// How a drive comes up to speed.
    Ramp {
        /// One steady acceleration.
        Constant = "constant",
        /// Speed that rises as a squared sine, so that the pull swells and fades as a sine, without a jerk.
        SineSquared = "sine_squared",
    }
}

impl Ramp {
    /// Time over speed ÷ highest acceleration.
    const fn time_factor(self) -> f64 {
        match self {
            Self::Constant => 1.0,
            Self::SineSquared => PI / 2.0,
        }
    }

    /// The same as people read it.
    const fn time_factor_words(self) -> &'static str {
        match self {
            Self::Constant => "",
            Self::SineSquared => "π ÷ 2 × ",
        }
    }
}

calculation! { "drive";
    /// Time and way that a drive needs to come up to speed.
    ///
    /// Steady: v/a and v²/(2a). Speed that rises as a squared sine, without a jerk: π/2 times longer, of which the mean speed is again half. A ramp of a whole
    /// number of the hung model's periods leaves it without swing.
    run_up(RunUp {
        /// Speed to reach.
        speed_mps: f64 = Above(0.0); usual 0.4,
        /// Highest acceleration.
        acceleration_limit_mps2: f64 = Above(0.0); usual 0.5,
        /// How it comes up to speed.
        ramp: Ramp = Any; default Ramp::Constant,
    }) -> RunUpFound {
        /// Time until it is at speed.
        ramp_time_s: f64,
        /// Way until it is at speed.
        ramp_distance_m: f64,
    }
    because run_up_because
    source "kinematics, agreed by a numerical sum", Confirmed

    /// Length of track for a move: run-up, the part that is used, run-down and overrun.
    ///
    /// Limit switches belong at both ends of it, with an emergency stop within reach.
    track_length(TrackLength {
        /// Speed of the move.
        speed_mps: f64 = Above(0.0); usual 0.4,
        /// Highest acceleration.
        acceleration_limit_mps2: f64 = Above(0.0); usual 0.5,
        /// Stage seconds at speed.
        used_stage_seconds: f64 = AtLeast(0.0); usual 1.633,
        /// How it comes up to speed and down again.
        ramp: Ramp = Any; default Ramp::Constant,
        /// Length beyond both ends together, in case it does not stop.
        overrun_m: f64 = AtLeast(0.0); default 0.0,
    }) -> Track {
        /// Length of the track.
        track_length_m: f64,
    }
    because track_length_because
    source "kinematics, agreed by a sum of segments", Confirmed

    /// Turns of an arm that carries a model round, and how far its way is from straight.
    ///
    /// The heading turns by v t/R. Chord 2R sin(ψ/2), and the way bulges from it by 2R sin²(ψ/4). For a bulge of at most
    /// σ over the chord c, R is about c²/(8σ). Keep everyone out of the arm's circle.
    turntable_arm(TurntableArm {
        /// Length of the arm, axis to model.
        arm_radius_m: f64 = Above(0.0); usual 1.2,
        /// Speed of the model.
        tangential_speed_mps: f64 = Above(0.0); usual 0.4,
        /// Stage seconds that are used.
        used_stage_seconds: f64 = Above(0.0); usual 1.633,
    }) -> ArmFound {
        /// Turns of the arm.
        arm_rpm: f64,
        /// How far the model turns.
        heading_change_deg: f64,
        /// Straight distance from start to end.
        chord_m: f64,
        /// Bulge of the way from that.
        sagitta_m: f64,
    }
    because "{tangential_speed_mps} × {used_stage_seconds} ÷ {arm_radius_m} × 180 ÷ π = {heading_change_deg}° of turn, at {arm_rpm} turns a minute. Over {chord_m} m the way bulges by {sagitta_m} m."
    source "geometry of the circle, agreed by a sampled way", Confirmed

    /// How far a hung model leans back while it speeds up.
    swing_lean(SwingLean {
        /// Acceleration.
        acceleration_mps2: f64 = AtLeast(0.0); usual 0.5,
    }) -> Lean {
        /// Angle from the vertical.
        lean_deg: f64,
    }
    because swing_lean_because
    source "balance of weight and acceleration", Confirmed
}

/// Time and way of a ramp; its mean speed is half, whatever its shape, since each is symmetric.
pub(super) fn ramp_up(speed_mps: f64, limit_mps2: f64, ramp: Ramp) -> (f64, f64) {
    let time_s = ramp.time_factor() * speed_mps / limit_mps2;
    (time_s, speed_mps * time_s / 2.0)
}

fn run_up(i: &RunUp, _: &mut Warnings) -> RunUpFound {
    let (ramp_time_s, ramp_distance_m) = ramp_up(i.speed_mps, i.acceleration_limit_mps2, i.ramp);
    RunUpFound {
        ramp_time_s,
        ramp_distance_m,
    }
}

fn run_up_because(i: &RunUp, a: &RunUpFound) -> String {
    format!(
        "{}{} ÷ {} = {} s until it is at speed, over {} m",
        i.ramp.time_factor_words(),
        given(i.speed_mps),
        given(i.acceleration_limit_mps2),
        found(a.ramp_time_s),
        found(a.ramp_distance_m)
    )
}

fn track_length(i: &TrackLength, _: &mut Warnings) -> Track {
    let (_, run_up_m) = ramp_up(i.speed_mps, i.acceleration_limit_mps2, i.ramp);
    Track {
        track_length_m: 2.0 * run_up_m + i.speed_mps * i.used_stage_seconds + i.overrun_m,
    }
}

fn track_length_because(i: &TrackLength, a: &Track) -> String {
    format!(
        "{}{speed}^2 ÷ {} + {speed} × {} + {} = {} m for run-up and run-down, the part that is used, and overrun",
        i.ramp.time_factor_words(),
        given(i.acceleration_limit_mps2),
        given(i.used_stage_seconds),
        given(i.overrun_m),
        found(a.track_length_m),
        speed = given(i.speed_mps),
    )
}

fn turntable_arm(i: &TurntableArm, _: &mut Warnings) -> ArmFound {
    let turn_rad = i.tangential_speed_mps * i.used_stage_seconds / i.arm_radius_m;
    ArmFound {
        arm_rpm: S_PER_MIN * i.tangential_speed_mps / (TAU * i.arm_radius_m),
        heading_change_deg: turn_rad.to_degrees(),
        chord_m: 2.0 * i.arm_radius_m * (turn_rad / 2.0).sin().abs(),
        sagitta_m: sagitta_m(i.arm_radius_m, turn_rad),
    }
}

/// Bulge of an arc from its chord: 2R sin²(ψ/4), the form of R(1 − cos(ψ/2)) that keeps its digits.
pub(crate) fn sagitta_m(radius_m: f64, turn_rad: f64) -> f64 {
    2.0 * radius_m * (turn_rad / 4.0).sin().powi(2)
}

fn swing_lean(i: &SwingLean, _: &mut Warnings) -> Lean {
    Lean {
        lean_deg: i.acceleration_mps2.atan2(GRAVITY_MPS2).to_degrees(),
    }
}

fn swing_lean_because(i: &SwingLean, a: &Lean) -> String {
    format!(
        "9.80665 × tan({}°) = {} m/s², so a hung model leans back by {}°",
        carried(a.lean_deg),
        found(i.acceleration_mps2),
        found(a.lean_deg)
    )
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::Calculate;
    use proptest::prelude::*;

    proptest! {
        #[test]
        fn a_move_without_its_middle_is_two_run_ups(speed in 0.01..3.0, limit in 0.05..5.0, smooth: bool) {
            let ramp = if smooth { Ramp::SineSquared } else { Ramp::Constant };
            let up = RunUp { speed_mps: speed, acceleration_limit_mps2: limit, ramp }.work().expect("in range");
            let track = TrackLength {
                speed_mps: speed, acceleration_limit_mps2: limit, used_stage_seconds: 0.0, ramp, overrun_m: 0.0,
            }.work().expect("in range");
            prop_assert!((track.track_length_m / up.ramp_distance_m - 2.0).abs() < 1e-12);
            prop_assert!((up.ramp_distance_m / (speed * up.ramp_time_s) - 0.5).abs() < 1e-12);
        }

        #[test]
        fn the_bulge_is_near_the_square_of_the_chord_over_the_arm(radius in 0.5..5.0, turn in 0.01..0.2) {
            let arm = TurntableArm { arm_radius_m: radius, tangential_speed_mps: turn * radius, used_stage_seconds: 1.0 }
                .work().expect("in range");
            prop_assert!((arm.chord_m.powi(2) / (8.0 * radius) / arm.sagitta_m - 1.0).abs() < 0.01);
        }
    }
}
