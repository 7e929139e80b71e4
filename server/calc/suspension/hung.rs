//! What stretching lines do to a hung model: it trims to one end, and it bounces.

use super::strength::stretch_mm;
use super::{no_geometry, weight_n};
use crate::calculation::calculation;
use crate::fault::{Fault, Warnings};
use crate::figure::{carried, found, given};
use crate::scale_time::GRAVITY_MPS2;
use std::f64::consts::TAU;

/// Millimetres in a metre.
const MM_PER_M: f64 = 1e3;
/// Seconds in a minute.
const S_PER_MIN: f64 = 60.0;

calculation! { "suspension";
    /// How far a model on two vertical lines trims because they stretch unequally.
    ///
    /// Derivation: the weight sits at the distances a and b from the lines, so they pull T₁ = W b/(a + b) and
    /// T₂ = W a/(a + b). Each stretches by δ = T L/(E A). A stiff hull with ends δ₁ and δ₂ lower is turned by
    /// asin((δ₁ − δ₂)/(a + b)); taking line 1 up by δ₁ − δ₂ brings it level. The centre of mass is taken on the line
    /// between the two points: one that lies below it trims a little less. Stretch of a metre and more in a span of that
    /// size is refused. Planning only; nothing hangs over people, and overhead rigging is a qualified rigger's work
    /// under local rules.
    trim(Trim {
        /// What hangs.
        mass_kg: f64 = Above(0.0); usual 4.0,
        /// Distance of the first line from the centre of mass.
        distance1_m: f64 = Above(0.0); usual 0.15,
        /// Distance of the second line from the centre of mass, to the other side.
        distance2_m: f64 = Above(0.0); usual 0.35,
        /// Length of the first line.
        line1_length_m: f64 = Above(0.0); usual 2.4,
        /// Length of the second line.
        line2_length_m: f64 = Above(0.0); usual 2.4,
        /// Thickness of the first line.
        line1_diameter_mm: f64 = Above(0.0); usual 0.8,
        /// Thickness of the second line.
        line2_diameter_mm: f64 = Above(0.0); usual 0.8,
        /// Stiffness of their material.
        modulus_gpa: f64 = Above(0.0); usual 2.5,
    }) -> Trimmed {
        /// Stretch of the first line.
        stretch1_mm: f64,
        /// Stretch of the second line.
        stretch2_mm: f64,
        /// How much the first end hangs lower; take its line up by as much.
        take_up_mm: f64,
        /// Angle of the model, the first end down when positive.
        trim_deg: f64,
    }
    because trim_because
    source "derived here from the balance of moments and Hooke's law, agreed by a search for the least energy", Confirmed

    /// How fast a hung model bounces on its lines, and the drum revolutions that would set it off.
    ///
    /// Derivation: lines that stretch by δ under the weight have the stiffness W/δ, so the bounce has ω² = g/δ. A drum
    /// that is out of round moves the line by e sin Ωt; without damping the model answers with e/|1 − r²|, r = Ω/ω. That
    /// is more than q times e for r between √(1 − 1/q) and √(1 + 1/q). A drum with n bumps in a turn drives at n times
    /// its revolutions. Lines whose stiffness changes with load: δ is the slope at the load, not the whole stretch. Keep
    /// hands clear of drums, with limit switches and an emergency stop within reach.
    heave(Heave {
        /// Stretch of the lines under the weight at rest.
        static_stretch_mm: f64 = Above(0.0); usual 20.0,
        /// Bumps in each turn of the drum: 1 out of centre, 2 out of round.
        bumps_per_turn: f64 = Above(0.0); default 1.0,
        /// How many times larger than the bump the bounce may be.
        amplification_limit: f64 = Above(1.0); default 2.0,
    }) -> Bounce {
        /// Bounces a second.
        heave_hz: f64,
        /// Drum revolutions that drive it most.
        resonant_rpm: f64,
        /// Lowest of the drum revolutions to stay away from.
        avoid_from_rpm: f64,
        /// Highest of the drum revolutions to stay away from.
        avoid_to_rpm: f64,
    }
    because heave_because
    source "derived here: mass on a spring with a moving end, agreed by an integrated motion", Confirmed
}

fn trim(i: &Trim, _: &mut Warnings) -> Result<Trimmed, Fault> {
    let span_m = i.distance1_m + i.distance2_m;
    let share_n = weight_n(i.mass_kg) / span_m;
    let stretched = |lever_m: f64, length_m: f64, diameter_mm: f64| {
        stretch_mm(share_n * lever_m, length_m, diameter_mm, i.modulus_gpa)
    };
    let stretch1_mm = stretched(i.distance2_m, i.line1_length_m, i.line1_diameter_mm);
    let stretch2_mm = stretched(i.distance1_m, i.line2_length_m, i.line2_diameter_mm);
    let take_up_mm = stretch1_mm - stretch2_mm;
    let slope = take_up_mm / (MM_PER_M * span_m);
    if slope.abs() >= 1.0 {
        let problem = "The model cannot hang: its lines stretch by more than it is long. Take stiffer or thicker line.";
        return Err(no_geometry("modulus_gpa", problem));
    }
    Ok(Trimmed {
        stretch1_mm,
        stretch2_mm,
        take_up_mm,
        trim_deg: slope.asin().to_degrees(),
    })
}

fn trim_because(i: &Trim, a: &Trimmed) -> String {
    format!(
        "1000 × ({} + {}) × sin({}°) = {} mm by which the first end hangs lower, at a trim of {}°. The first line stretches by {} mm and the second by {} mm.",
        given(i.distance1_m),
        given(i.distance2_m),
        carried(a.trim_deg),
        found(a.take_up_mm),
        found(a.trim_deg),
        found(a.stretch1_mm),
        found(a.stretch2_mm)
    )
}

fn heave(i: &Heave, _: &mut Warnings) -> Bounce {
    let heave_hz = (GRAVITY_MPS2 * MM_PER_M / i.static_stretch_mm).sqrt() / TAU;
    let resonant_rpm = S_PER_MIN * heave_hz / i.bumps_per_turn;
    let reach = 1.0 / i.amplification_limit;
    Bounce {
        heave_hz,
        resonant_rpm,
        avoid_from_rpm: resonant_rpm * (1.0 - reach).sqrt(),
        avoid_to_rpm: resonant_rpm * (1.0 + reach).sqrt(),
    }
}

fn heave_because(i: &Heave, a: &Bounce) -> String {
    format!(
        "60 × √(9806.65 ÷ {}) ÷ (2 × π × {}) = {} turns a minute drive the bounce of {} Hz most. Stay away from {} to {}.",
        given(i.static_stretch_mm),
        given(i.bumps_per_turn),
        found(a.resonant_rpm),
        found(a.heave_hz),
        found(a.avoid_from_rpm),
        found(a.avoid_to_rpm)
    )
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{Calculate, FaultKind};
    use proptest::prelude::*;

    fn hull(distance1_m: f64, distance2_m: f64, modulus_gpa: f64) -> Trim {
        Trim {
            mass_kg: 4.0,
            distance1_m,
            distance2_m,
            line1_length_m: 2.4,
            line2_length_m: 2.4,
            line1_diameter_mm: 0.8,
            line2_diameter_mm: 0.8,
            modulus_gpa,
        }
    }

    #[test]
    fn a_line_that_stretches_past_the_hull_is_refused() {
        let faults = hull(0.01, 0.49, 0.01).work().expect_err("refused");
        assert_eq!(faults[0].kind, FaultKind::NoRealGeometry);
    }

    proptest! {
        #[test]
        fn the_nearer_line_hangs_lower_and_sides_swap(near in 0.05..0.2, far in 0.25..0.5) {
            let there = hull(near, far, 2.5).work().expect("in range");
            let swapped = hull(far, near, 2.5).work().expect("in range");
            prop_assert!(there.trim_deg > 0.0);
            prop_assert!((there.trim_deg + swapped.trim_deg).abs() < 1e-9);
        }

        #[test]
        fn at_the_ends_of_the_band_the_bounce_is_at_its_limit(stretch in 0.1..100.0, limit in 1.1..10.0) {
            let bounce = Heave { static_stretch_mm: stretch, bumps_per_turn: 1.0, amplification_limit: limit }.work().expect("in range");
            for rpm in [bounce.avoid_from_rpm, bounce.avoid_to_rpm] {
                let answer = 1.0 / (1.0 - (rpm / bounce.resonant_rpm).powi(2)).abs();
                prop_assert!((answer / limit - 1.0).abs() < 1e-9);
            }
        }
    }
}
