//! A line wound on a drum: turns, steps and torque.

use super::S_PER_MIN;
use crate::calculation::calculation;
use crate::fault::Warnings;
use crate::figure::{carried, found, given};
use crate::scale_time::GRAVITY_MPS2;
use std::f64::consts::PI;

/// Micrometres in a metre.
const UM_PER_M: f64 = 1e6;

calculation! { "drive";
    /// Turns of drum and motor, and pulses of a stepper, for a speed of the line.
    ///
    /// The line runs in its own middle, so the drum counts with one line diameter more; each full layer under it adds
    /// two. Keep hands clear of drums; limit switches at both ends and an emergency stop within reach.
    drum_drive(DrumDrive {
        /// Speed of the line.
        line_speed_mps: f64 = Above(0.0); usual 0.4,
        /// Diameter of the bare drum.
        drum_diameter_m: f64 = Above(0.0); usual 0.04,
        /// Thickness of the line.
        line_diameter_m: f64 = AtLeast(0.0); default 0.0; usual 0.0004,
        /// Full layers of line under the one that runs.
        layers_under: f64 = AtLeast(0.0); default 0.0,
        /// Full steps in a turn of the motor.
        full_steps_per_rev: f64 = Above(0.0); default 200.0,
        /// Pulses to each full step.
        microsteps: f64 = Above(0.0); default 1.0; usual 16.0,
        /// Turns of the motor for one of the drum.
        gear_ratio: f64 = Above(0.0); default 1.0; usual 3.0,
    }) -> DrumTurns {
        /// Turns of the drum.
        drum_rpm: f64,
        /// Turns of the motor.
        motor_rpm: f64,
        /// Pulses to the motor.
        pulse_rate_hz: f64,
        /// Travel of the line at each pulse.
        travel_per_pulse_um: f64,
    }
    because drum_drive_because
    source "circumference of the wound line, agreed by a count of pulses", Confirmed

    /// Gear that turns a drum at its speed from a motor at its own.
    gear_ratio(GearRatio {
        /// Turns of the motor.
        motor_rpm: f64 = Above(0.0); usual 1200.0,
        /// Turns of the drum.
        drum_rpm: f64 = Above(0.0); usual 96.0,
    }) -> Gear {
        /// Turns of the motor for one of the drum.
        gear_ratio: f64,
    }
    because "{motor_rpm} ÷ {drum_rpm} = {gear_ratio} turns of the motor for one of the drum"
    source "definition", Confirmed

    /// Pull on the line and torque of the motor that move a load along its track.
    ///
    /// F = M(a + g sin β + μ g cos β). Allow at least twice the running torque of a stepper (common practice). Downhill
    /// the pull may be negative: the drive then holds back. A taut line stores energy: guard it, keep hands clear, and
    /// leave overhead loads to qualified riggers.
    drum_torque(DrumTorque {
        /// Everything that moves.
        moving_mass_kg: f64 = Above(0.0); usual 3.0,
        /// Acceleration along the track.
        acceleration_mps2: f64 = AtLeast(0.0); usual 0.5,
        /// How steep the track rises.
        incline_deg: f64 = Between(-90.0, 90.0); default 0.0,
        /// Friction over the force on the track.
        friction_coefficient: f64 = AtLeast(0.0); default 0.0; usual 0.1,
        /// Diameter of the bare drum.
        drum_diameter_m: f64 = Above(0.0); usual 0.04,
        /// Thickness of the line.
        line_diameter_m: f64 = AtLeast(0.0); default 0.0; usual 0.0004,
        /// Turns of the motor for one of the drum.
        gear_ratio: f64 = Above(0.0); default 1.0; usual 3.0,
        /// Share of the torque that gear and drum pass on.
        drive_efficiency: f64 = AboveUpTo(0.0, 1.0); default 1.0; usual 0.8,
    }) -> Torque {
        /// Pull on the line.
        line_force_n: f64,
        /// Torque of the motor.
        motor_torque_nm: f64,
    }
    because "{moving_mass_kg} × ({acceleration_mps2} + 9.80665 × (sin({incline_deg}°) + {friction_coefficient} × cos({incline_deg}°))) = {line_force_n} N on the line, which takes {motor_torque_nm} N·m from the motor"
    source "balance of forces", Confirmed
}

/// Length of line in a turn of the drum.
fn turn_m(i: &DrumDrive) -> f64 {
    PI * (i.drum_diameter_m + i.line_diameter_m * (1.0 + 2.0 * i.layers_under))
}

fn drum_drive(i: &DrumDrive, _: &mut Warnings) -> DrumTurns {
    let pulses_per_turn = i.full_steps_per_rev * i.microsteps;
    let drum_rpm = S_PER_MIN * i.line_speed_mps / turn_m(i);
    let motor_rpm = i.gear_ratio * drum_rpm;
    DrumTurns {
        drum_rpm,
        motor_rpm,
        pulse_rate_hz: motor_rpm / S_PER_MIN * pulses_per_turn,
        travel_per_pulse_um: turn_m(i) * UM_PER_M / (pulses_per_turn * i.gear_ratio),
    }
}

fn drum_drive_because(i: &DrumDrive, a: &DrumTurns) -> String {
    format!(
        "60 × {} ÷ (π × {}) = {} turns of the drum a minute, wound to the second number in metres. The motor makes {}, at {} pulses a second of {} µm each.",
        given(i.line_speed_mps),
        carried(turn_m(i) / PI),
        found(a.drum_rpm),
        found(a.motor_rpm),
        found(a.pulse_rate_hz),
        found(a.travel_per_pulse_um)
    )
}

fn gear_ratio(i: &GearRatio, _: &mut Warnings) -> Gear {
    Gear {
        gear_ratio: i.motor_rpm / i.drum_rpm,
    }
}

fn drum_torque(i: &DrumTorque, _: &mut Warnings) -> Torque {
    let (rise, along) = i.incline_deg.to_radians().sin_cos();
    let resistance_mps2 = GRAVITY_MPS2 * (rise + i.friction_coefficient * along);
    let line_force_n = i.moving_mass_kg * (i.acceleration_mps2 + resistance_mps2);
    let radius_m = f64::midpoint(i.drum_diameter_m, i.line_diameter_m);
    Torque {
        line_force_n,
        motor_torque_nm: line_force_n * radius_m / (i.gear_ratio * i.drive_efficiency),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::Calculate;
    use proptest::prelude::*;

    proptest! {
        #[test]
        fn pulses_a_second_times_their_travel_are_the_speed(
            speed in 0.01..3.0, drum in 0.01..0.2, line in 0.0001..0.002, layers in 0_u8..6, gear in 0.5..20.0,
        ) {
            let turns = DrumDrive {
                line_speed_mps: speed, drum_diameter_m: drum, line_diameter_m: line, layers_under: f64::from(layers),
                full_steps_per_rev: 200.0, microsteps: 16.0, gear_ratio: gear,
            }.work().expect("in range");
            prop_assert!((turns.pulse_rate_hz * turns.travel_per_pulse_um / 1e6 / speed - 1.0).abs() < 1e-12);
            let found = GearRatio { motor_rpm: turns.motor_rpm, drum_rpm: turns.drum_rpm }.work().expect("in range");
            prop_assert!((found.gear_ratio / gear - 1.0).abs() < 1e-12);
        }
    }

    #[test]
    fn a_layer_winds_more_line() {
        let drum = |layers_under| DrumDrive {
            line_speed_mps: 1.0,
            drum_diameter_m: 0.04,
            line_diameter_m: 0.001,
            layers_under,
            full_steps_per_rev: 200.0,
            microsteps: 1.0,
            gear_ratio: 1.0,
        };
        // 41 mm, then 43 mm
        let slower = drum(1.0).work().expect("in range").drum_rpm
            / drum(0.0).work().expect("in range").drum_rpm;
        assert!((slower - 41.0 / 43.0).abs() < 1e-12);
    }
}
