//! How a swing dies away: for air and friction that pull with the speed, and for drag with its square.

use crate::calculation::calculation;
use crate::fault::{Fault, Warnings};
use crate::figure::{carried, found, given};
use std::f64::consts::TAU;

calculation! { "suspension";
    /// How much of a swing each cycle takes, from two amplitudes and the cycles between them.
    ///
    /// Δ = ln(A₀/Aₙ)/n; damping ratio Δ/√(4π² + Δ²). A swing that grew is driven by something and is refused. When ln A
    /// against the count is curved and 1/A is straight, the drag is quadratic: use that calculation.
    log_decrement(LogDecrement {
        /// Amplitude at the start, in any unit.
        amplitude_start: f64 = Above(0.0); usual 40.0,
        /// Amplitude at the end, in the same unit.
        amplitude_end: f64 = Above(0.0); usual 20.0,
        /// Cycles between them.
        cycles: f64 = Above(0.0); usual 10.0,
    }) -> Decrement {
        /// Natural logarithm of one amplitude over the next.
        log_decrement: f64,
        /// Damping over critical damping.
        damping_ratio: f64,
    }
    because log_decrement_because
    source "damped oscillator, agreed by an integrated motion", Confirmed

    /// How long a swing takes to die away to an amplitude.
    ///
    /// Settled is less than one photosite: photosite ÷ magnification. Slow ones want a damper: a thread to a fixed point
    /// out of frame, a vane in a pot of water.
    settle_time(SettleTime {
        /// There and back.
        period_s: f64 = Above(0.0); usual 2.84,
        /// Natural logarithm of one amplitude over the next.
        log_decrement: f64 = Above(0.0); usual 0.0754,
        /// Amplitude at the start.
        amplitude_start_mm: f64 = Above(0.0); usual 40.0,
        /// Amplitude that counts as still.
        amplitude_target_mm: f64 = Above(0.0); usual 0.5,
    }) -> Settling {
        /// Time to wait.
        settle_time_s: f64,
        /// Cycles that pass.
        cycles: f64,
    }
    because settle_time_because
    source "exponential decay", Confirmed

    /// How long a swing takes to die away under drag that grows with the square of the speed.
    ///
    /// 1/A grows by the same β each cycle, 8/3 of the drag coefficient for each mass. Large models and vanes in water
    /// behave so. Counted from the starting amplitude.
    quadratic_decay(QuadraticDecay {
        /// Amplitude at the start.
        amplitude_start_m: f64 = Above(0.0); usual 0.05,
        /// Amplitude at the end.
        amplitude_end_m: f64 = Above(0.0); usual 0.024,
        /// Cycles between them.
        cycles: f64 = Above(0.0); usual 20.0,
        /// There and back.
        period_s: f64 = Above(0.0); usual 2.84,
        /// Amplitude that counts as still.
        amplitude_target_m: f64 = Above(0.0); usual 0.002,
    }) -> QuadraticSettling {
        /// Growth of 1/A in each cycle.
        decay_per_cycle_per_m: f64,
        /// Time to wait.
        settle_time_s: f64,
    }
    because quadratic_decay_because
    source "oscillator with drag by the square of the speed, agreed by an integrated motion", Confirmed
}

/// The later amplitude must be the smaller.
fn shrinking(later: (&str, f64), earlier: (&str, f64)) -> Result<(), Vec<Fault>> {
    if later.1 < earlier.1 {
        Ok(())
    } else {
        Err(Fault::reversed(later.0, earlier.0))
    }
}

fn log_decrement(i: &LogDecrement, _: &mut Warnings) -> Result<Decrement, Vec<Fault>> {
    shrinking(
        ("amplitude_end", i.amplitude_end),
        ("amplitude_start", i.amplitude_start),
    )?;
    let log_decrement = (i.amplitude_start / i.amplitude_end).ln() / i.cycles;
    Ok(Decrement {
        log_decrement,
        damping_ratio: log_decrement / TAU.hypot(log_decrement),
    })
}

fn log_decrement_because(i: &LogDecrement, a: &Decrement) -> String {
    format!(
        "ln({} ÷ {}) ÷ {} = {} each cycle, a damping ratio of {}",
        carried(i.amplitude_start),
        carried(i.amplitude_end),
        given(i.cycles),
        found(a.log_decrement),
        found(a.damping_ratio)
    )
}

fn settle_time(i: &SettleTime, _: &mut Warnings) -> Result<Settling, Vec<Fault>> {
    shrinking(
        ("amplitude_target_mm", i.amplitude_target_mm),
        ("amplitude_start_mm", i.amplitude_start_mm),
    )?;
    let cycles = (i.amplitude_start_mm / i.amplitude_target_mm).ln() / i.log_decrement;
    Ok(Settling {
        settle_time_s: cycles * i.period_s,
        cycles,
    })
}

fn settle_time_because(i: &SettleTime, a: &Settling) -> String {
    format!(
        "{} × ln({} ÷ {}) ÷ {} = {} s to wait, {} cycles",
        given(i.period_s),
        carried(i.amplitude_start_mm),
        carried(i.amplitude_target_mm),
        given(i.log_decrement),
        found(a.settle_time_s),
        found(a.cycles)
    )
}

fn quadratic_decay(i: &QuadraticDecay, _: &mut Warnings) -> Result<QuadraticSettling, Vec<Fault>> {
    let start = ("amplitude_start_m", i.amplitude_start_m);
    shrinking(("amplitude_end_m", i.amplitude_end_m), start)?;
    shrinking(("amplitude_target_m", i.amplitude_target_m), start)?;
    let growth = |amplitude_m: f64| 1.0 / amplitude_m - 1.0 / i.amplitude_start_m;
    let decay_per_cycle_per_m = growth(i.amplitude_end_m) / i.cycles;
    Ok(QuadraticSettling {
        decay_per_cycle_per_m,
        settle_time_s: i.period_s * growth(i.amplitude_target_m) / decay_per_cycle_per_m,
    })
}

fn quadratic_decay_because(i: &QuadraticDecay, a: &QuadraticSettling) -> String {
    format!(
        "{} × (1 ÷ {} − 1 ÷ {}) ÷ {} = {} s to wait, since 1 over the amplitude grows by the last number each cycle",
        given(i.period_s),
        carried(i.amplitude_target_m),
        carried(i.amplitude_start_m),
        carried(a.decay_per_cycle_per_m),
        found(a.settle_time_s)
    )
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{Calculate, FaultKind};
    use proptest::prelude::*;

    fn wait(log_decrement: f64, amplitude_target_mm: f64) -> Result<Settling, Vec<Fault>> {
        SettleTime {
            period_s: 2.0,
            log_decrement,
            amplitude_start_mm: 40.0,
            amplitude_target_mm,
        }
        .work()
        .map(|worked| worked.answer)
    }

    #[test]
    fn a_swing_that_does_not_shrink_is_refused() {
        let still = LogDecrement {
            amplitude_start: 10.0,
            amplitude_end: 10.0,
            cycles: 5.0,
        };
        assert_eq!(
            still.work().expect_err("refused")[0].kind,
            FaultKind::RangeReversed
        );
        assert!(wait(0.1, 41.0).is_err());
        let drag = |end, target| {
            QuadraticDecay {
                amplitude_start_m: 0.05,
                amplitude_end_m: end,
                cycles: 20.0,
                period_s: 2.84,
                amplitude_target_m: target,
            }
            .work()
        };
        assert_eq!(
            drag(0.06, 0.01).expect_err("refused")[0].field,
            "amplitude_end_m"
        );
        assert_eq!(
            drag(0.04, 0.06).expect_err("refused")[0].field,
            "amplitude_target_m"
        );
    }

    proptest! {
        #[test]
        fn what_was_counted_is_what_is_waited_for(end in 1.0..39.0, cycles in 1.0..100.0) {
            let counted = LogDecrement { amplitude_start: 40.0, amplitude_end: end, cycles }.work().expect("in range");
            let waited = wait(counted.log_decrement, end).expect("in range");
            prop_assert!((waited.cycles / cycles - 1.0).abs() < 1e-9);
        }
    }
}
