//! Amps that lamps draw, and how many of them a circuit carries.

use super::CONTINUOUS_SHARE;
use crate::calculation::calculation;
use crate::fault::{Fault, FaultKind, Warnings};
use crate::figure::{found, given};

/// Line to line over line to neutral.
const SQRT_3: f64 = 1.732_050_807_568_877_2;
/// Watts in a kilowatt.
const W_PER_KW: f64 = 1000.0;
/// A phase this much above the mean is worth moving a head for; common practice, no source.
const UNBALANCED: f64 = 1.3;
/// More fixtures than this on one circuit is a slip of the keys.
const MOST_FIXTURES: f64 = 100_000.0;
/// Keeps a whole number whole when division leaves it a hair short.
const ROUNDING: f64 = 1e-9;

calculation! { "power";
    /// Amps of lamps on one phase.
    ///
    /// Power factor: tungsten 1.0, corrected electronic supplies 0.9 to 0.98, uncorrected 0.5 to 0.6 (common practice;
    /// read the plate). Told (`above_80_percent`) when it is over four fifths of the breaker.
    current_single(CurrentSingle {
        /// Power of everything on the circuit.
        power_w: f64 = AtLeast(0.0); usual 2000.0,
        /// Voltage of the supply.
        voltage_v: f64 = Above(0.0); usual 230.0,
        /// Power factor of the lamps.
        power_factor: f64 = AboveUpTo(0.0, 1.0); default 1.0; usual 0.95,
        /// Rating of the breaker, when it is known.
        breaker_a: Option<f64> = Above(0.0),
    }) -> SinglePhase {
        /// Current drawn.
        current_a: f64,
    }
    because "{power_w} ÷ ({voltage_v} × {power_factor}) = {current_a} A"
    source "definition of the power factor, P = V I × power factor", Confirmed

    /// Amps in each line of lamps spread evenly over three phases.
    ///
    /// Told (`above_80_percent`) when it is over four fifths of the breaker.
    current_three(CurrentThree {
        /// Power of everything on the three phases.
        power_w: f64 = AtLeast(0.0); usual 18_000.0,
        /// Voltage from line to line.
        line_voltage_v: f64 = Above(0.0); usual 400.0,
        /// Power factor of the lamps.
        power_factor: f64 = AboveUpTo(0.0, 1.0); default 1.0; usual 0.9,
        /// Rating of the breaker, when it is known.
        breaker_a: Option<f64> = Above(0.0),
    }) -> ThreePhase {
        /// Current in each line.
        current_per_line_a: f64,
    }
    because "{power_w} ÷ (√3 × {line_voltage_v} × {power_factor}) = {current_per_line_a} A in each line"
    source "balanced three-phase power, P = √3 V I × power factor", Confirmed

    /// Amps that a breaker may carry for three hours or more.
    continuous_limit(ContinuousLimit {
        /// Rating of the breaker.
        breaker_a: f64 = Above(0.0); usual 20.0,
    }) -> ContinuousFound {
        /// Current for hours.
        continuous_a: f64,
    }
    because "0.8 × {breaker_a} = {continuous_a} A"
    source "NFPA 70 (National Electrical Code) 210.20(A), 215.3", FromMemory

    /// Whole fixtures that a circuit carries.
    ///
    /// Stage lighting counts as continuous unless said otherwise; a load above four fifths of the breaker is told
    /// (`above_80_percent`), and so is a circuit too small for one (`none_fits`).
    fixtures_on_circuit(FixturesOnCircuit {
        /// Rating of the breaker.
        breaker_a: f64 = Above(0.0); usual 20.0,
        /// Voltage of the supply.
        voltage_v: f64 = Above(0.0); usual 120.0,
        /// Power of one fixture.
        fixture_power_w: f64 = Above(0.0); usual 575.0,
        /// Power factor of the fixture.
        power_factor: f64 = AboveUpTo(0.0, 1.0); default 1.0,
        /// Whether it burns for three hours or more.
        continuous: bool = Any; default true,
    }) -> FixturesFound {
        /// Whole fixtures.
        fixtures: u32,
    }
    because fixtures_on_circuit_because
    source "NFPA 70 (National Electrical Code) 210.20(A), 215.3", FromMemory

    /// Amps in the neutral of three phases that carry different loads.
    ///
    /// Same power factor on all. Electronic and dimmed loads add third harmonics, which sum in the neutral, up to more
    /// than a phase carries. Told (`phases_unbalanced`) when a phase is above 1.3 times the mean.
    unbalanced_neutral(UnbalancedNeutral {
        /// Current in the first phase.
        phase_a_a: f64 = AtLeast(0.0); usual 20.0,
        /// Current in the second phase.
        phase_b_a: f64 = AtLeast(0.0); usual 14.0,
        /// Current in the third phase.
        phase_c_a: f64 = AtLeast(0.0); usual 10.0,
    }) -> NeutralFound {
        /// Current in the neutral, without harmonics.
        neutral_a: f64,
    }
    because unbalanced_neutral_because
    source "sum of three phasors 120° apart", Confirmed

    /// Apparent power, by which generators and transformers are rated.
    apparent_power(ApparentPower {
        /// Power of the lamps.
        power_w: f64 = AtLeast(0.0); usual 9000.0,
        /// Power factor of the lamps.
        power_factor: f64 = AboveUpTo(0.0, 1.0); default 1.0; usual 0.9,
    }) -> ApparentFound {
        /// Apparent power.
        apparent_power_kva: f64,
    }
    because "{power_w} ÷ {power_factor} ÷ 1000 = {apparent_power_kva} kVA"
    source "definition of the power factor", Confirmed
}

fn note_load(current_a: f64, breaker_a: Option<f64>, warnings: &mut Warnings) {
    let carried_a = breaker_a.unwrap_or(f64::INFINITY) * CONTINUOUS_SHARE;
    warnings.add_if(current_a > carried_a * (1.0 + ROUNDING), "above_80_percent");
}

fn current_single(i: &CurrentSingle, warnings: &mut Warnings) -> SinglePhase {
    let current_a = i.power_w / (i.voltage_v * i.power_factor);
    note_load(current_a, i.breaker_a, warnings);
    SinglePhase { current_a }
}

fn current_three(i: &CurrentThree, warnings: &mut Warnings) -> ThreePhase {
    let current_per_line_a = i.power_w / (SQRT_3 * i.line_voltage_v * i.power_factor);
    note_load(current_per_line_a, i.breaker_a, warnings);
    ThreePhase { current_per_line_a }
}

fn continuous_limit(i: &ContinuousLimit, _: &mut Warnings) -> ContinuousFound {
    ContinuousFound {
        continuous_a: CONTINUOUS_SHARE * i.breaker_a,
    }
}

/// Current of one fixture.
fn fixture_a(i: &FixturesOnCircuit) -> f64 {
    i.fixture_power_w / (i.voltage_v * i.power_factor)
}

fn fixtures_on_circuit(
    i: &FixturesOnCircuit,
    warnings: &mut Warnings,
) -> Result<FixturesFound, Fault> {
    let share = if i.continuous { CONTINUOUS_SHARE } else { 1.0 };
    let whole = (share * i.breaker_a / fixture_a(i) + ROUNDING).floor();
    if whole > MOST_FIXTURES {
        let problem = "More than 100 000 of them would fit: check the power of one fixture.";
        return Err(Fault::new(
            "fixture_power_w",
            FaultKind::OutOfRange,
            problem,
        ));
    }
    warnings.add_if(whole < 1.0, "none_fits");
    note_load(whole * fixture_a(i), Some(i.breaker_a), warnings);
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "whole, not negative, and at most a hundred thousand"
    )]
    Ok(FixturesFound {
        fixtures: whole as u32,
    })
}

fn fixtures_on_circuit_because(i: &FixturesOnCircuit, a: &FixturesFound) -> String {
    let load_a = f64::from(a.fixtures) * fixture_a(i);
    let hours = if i.continuous { " for hours" } else { "" };
    let carried_a = i.breaker_a * if i.continuous { CONTINUOUS_SHARE } else { 1.0 };
    format!(
        "{} × {} ÷ ({} × {}) = {} A, of the {} A that the breaker carries{hours}",
        a.fixtures,
        given(i.fixture_power_w),
        given(i.voltage_v),
        given(i.power_factor),
        found(load_a),
        found(carried_a)
    )
}

fn unbalanced_neutral(i: &UnbalancedNeutral, warnings: &mut Warnings) -> NeutralFound {
    let phases = [i.phase_a_a, i.phase_b_a, i.phase_c_a];
    let mean_a = phases.iter().sum::<f64>() / 3.0;
    let most_a = phases.iter().copied().fold(0.0, f64::max);
    warnings.add_if(most_a > UNBALANCED * mean_a, "phases_unbalanced");
    // the squares of the differences keep small differences of large currents
    let [ab, bc, ca] = differences(i).map(|difference| difference * difference);
    NeutralFound {
        neutral_a: f64::midpoint(ab, bc + ca).sqrt(),
    }
}

fn differences(i: &UnbalancedNeutral) -> [f64; 3] {
    [
        i.phase_a_a - i.phase_b_a,
        i.phase_b_a - i.phase_c_a,
        i.phase_c_a - i.phase_a_a,
    ]
}

fn unbalanced_neutral_because(i: &UnbalancedNeutral, a: &NeutralFound) -> String {
    let (x, y, z) = (given(i.phase_a_a), given(i.phase_b_a), given(i.phase_c_a));
    format!(
        "√((({x} − {y})² + ({y} − {z})² + ({z} − {x})²) ÷ 2) = {} A without harmonics, which add to it",
        found(a.neutral_a)
    )
}

fn apparent_power(i: &ApparentPower, _: &mut Warnings) -> ApparentFound {
    ApparentFound {
        apparent_power_kva: i.power_w / i.power_factor / W_PER_KW,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::Calculate;
    use proptest::prelude::*;

    fn circuit(fixture_power_w: f64, continuous: bool) -> FixturesOnCircuit {
        FixturesOnCircuit {
            breaker_a: 20.0,
            voltage_v: 120.0,
            fixture_power_w,
            power_factor: 1.0,
            continuous,
        }
    }

    #[test]
    fn a_full_breaker_is_told_and_so_is_one_too_small() {
        let short = circuit(600.0, false).work().expect("in range");
        assert_eq!(
            (short.fixtures, short.warnings.as_slice()),
            (4, &["above_80_percent"][..])
        );
        let hours = circuit(640.0, true).work().expect("in range");
        assert_eq!((hours.fixtures, hours.warnings.len()), (3, 0));
        let huge = circuit(5000.0, true).work().expect("in range");
        assert_eq!(
            (huge.fixtures, huge.warnings.as_slice()),
            (0, &["none_fits"][..])
        );
        assert!(circuit(1e-6, true).work().is_err());
    }

    #[test]
    fn a_breaker_given_is_held_to_four_fifths() {
        let drawn = CurrentSingle {
            power_w: 4000.0,
            voltage_v: 230.0,
            power_factor: 1.0,
            breaker_a: Some(20.0),
        };
        assert_eq!(
            drawn.work().expect("in range").warnings,
            ["above_80_percent"]
        );
    }

    #[test]
    fn equal_phases_leave_the_neutral_empty() {
        let even = UnbalancedNeutral {
            phase_a_a: 16.0,
            phase_b_a: 16.0,
            phase_c_a: 16.0,
        };
        let even = even.work().expect("in range");
        assert!(even.neutral_a.abs() < 1e-12 && even.warnings.is_empty());
    }

    proptest! {
        #[test]
        fn the_neutral_is_the_sum_of_phasors(a in 0.0..60.0_f64, b in 0.0..60.0_f64, c in 0.0..60.0_f64) {
            let phases = UnbalancedNeutral { phase_a_a: a, phase_b_a: b, phase_c_a: c };
            let across = (b - c) * SQRT_3 / 2.0;
            let along = a - f64::midpoint(b, c);
            prop_assert!((phases.work().expect("in range").neutral_a - across.hypot(along)).abs() < 1e-9);
        }
    }
}
