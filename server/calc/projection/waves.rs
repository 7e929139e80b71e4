//! Waves on water, full size and at scale, for the timing of a projected pattern.

use crate::calculation::calculation;
use crate::fault::{Fault, FaultKind, Warnings};
use crate::figure::{carried, found, given};
use crate::scale_time::{GRAVITY_MPS2, note_scale};
use std::f64::consts::TAU;

/// A hyperbolic tangent of more than this is 1 to every digit.
const DEEP: f64 = 50.0;
/// Rounds of Newton's method, each kept within bounds; it settles in fewer than ten.
const MOST_ROUNDS: u32 = 200;

calculation! { "projection";
    /// Length and speed of a water wave of a period, at a depth.
    ///
    /// ω² = g q tanh(q d) solved for the wave number q. In deep water, d more than half the length, L is 1.56 T². Small
    /// waves; ripples under a few centimetres obey surface tension instead.
    water_wave(WaterWave {
        /// From crest to crest at one place.
        period_s: f64 = Above(0.0); usual 2.0,
        /// Depth of the water.
        depth_m: f64 = Above(0.0); usual 6.0,
        /// Gravity.
        gravity_mps2: f64 = Above(0.0); default GRAVITY_MPS2,
    }) -> Wave {
        /// From crest to crest.
        wavelength_m: f64,
        /// Speed of a crest.
        phase_speed_mps: f64,
        /// Speed of a group of waves.
        group_speed_mps: f64,
    }
    because water_wave_because
    source "Coastal Engineering Manual EM 1110-2-1100 part II chapter 1; fluid mechanics text, solved exercise", Confirmed

    /// Speed of a water wave of a length, at a depth.
    wave_speed_from_length(WaveSpeedFromLength {
        /// From crest to crest.
        wavelength_m: f64 = Above(0.0); usual 10.0,
        /// Depth of the water.
        depth_m: f64 = Above(0.0); usual 6.0,
        /// Gravity.
        gravity_mps2: f64 = Above(0.0); default GRAVITY_MPS2,
    }) -> WaveSpeed {
        /// Speed of a crest.
        phase_speed_mps: f64,
    }
    because wave_speed_from_length_because
    source "Coastal Engineering Manual EM 1110-2-1100 part II chapter 1", Confirmed

    /// Period and speeds of a water wave of a length, at a depth.
    wave_from_length(WaveFromLength {
        /// From crest to crest.
        wavelength_m: f64 = Above(0.0); usual 4.0,
        /// Depth of the water.
        depth_m: f64 = Above(0.0); usual 6.0,
        /// Gravity.
        gravity_mps2: f64 = Above(0.0); default GRAVITY_MPS2,
    }) -> WaveTiming {
        /// From crest to crest at one place.
        period_s: f64,
        /// Speed of a crest.
        phase_speed_mps: f64,
        /// Speed of a group of waves.
        group_speed_mps: f64,
    }
    because wave_from_length_because
    source "Coastal Engineering Manual EM 1110-2-1100 part II chapter 1, agreed in many digits and by a numerical derivative", Confirmed

    /// Length, period and speed at which a story's wave is projected on the model.
    ///
    /// Made at the story's period and played k times faster. At k = √S it runs as real waves of that size would.
    pattern_at_scale(PatternAtScale {
        /// From crest to crest in the story.
        story_wavelength_m: f64 = Above(0.0); usual 4.0,
        /// Depth of the water in the story.
        story_depth_m: f64 = Above(0.0); usual 6.0,
        /// How many times smaller the model is.
        scale_denominator: f64 = Above(0.0); usual 24.0,
        /// Shooting rate over base rate.
        rate_factor_k: f64 = Above(0.0); usual 4.899,
    }) -> Pattern {
        /// From crest to crest on the model.
        model_wavelength_m: f64,
        /// Period on the stage.
        stage_period_s: f64,
        /// Speed on the stage.
        stage_speed_mps: f64,
        /// Period on screen.
        screen_period_s: f64,
    }
    because pattern_at_scale_because
    source "dispersion of water waves, scaled", Confirmed
}

/// Speed of a crest and of a group, for a wave number and depth.
fn speeds_mps(wave_number: f64, depth_m: f64, gravity_mps2: f64) -> (f64, f64) {
    let turn = (wave_number * depth_m).min(DEEP);
    let phase = (gravity_mps2 / wave_number * turn.tanh()).sqrt();
    // a group in shallow water runs with its crests, in deep water at half their speed
    let gathered = 2.0 * turn / (2.0 * turn).sinh();
    (phase, phase / 2.0 * (1.0 + gathered))
}

/// The wave number q with q tanh(q d) = ω²/g, by Newton's method kept between its bounds.
fn wave_number(period_s: f64, depth_m: f64, gravity_mps2: f64) -> f64 {
    let angular = TAU / period_s;
    let deep = angular * angular / gravity_mps2;
    let shallow = angular / (gravity_mps2 * depth_m).sqrt();
    let (mut low, mut high) = (deep.max(shallow), deep + shallow);
    let mut q = low;
    for _ in 0..MOST_ROUNDS {
        let tanh = (q * depth_m).min(DEEP).tanh();
        let over = q * tanh - deep;
        if over > 0.0 {
            high = q;
        } else {
            low = q;
        }
        let slope = tanh + q * depth_m * (1.0 - tanh * tanh);
        let newton = q - over / slope;
        let next = if newton > low && newton < high {
            newton
        } else {
            f64::midpoint(low, high)
        };
        let moved = (next - q).abs();
        q = next;
        if moved <= 1e-15 * q {
            break;
        }
    }
    q
}

/// One less and one more of e^(−2qd), the two parts of tanh(qd), as they stand in a *because*.
fn tanh_words(wavelength_m: f64, depth_m: f64) -> String {
    let falling = format!(
        "e^(−4 × π × {} ÷ {})",
        given(depth_m),
        carried(wavelength_m)
    );
    format!("(1 − {falling}) ÷ (1 + {falling})")
}

fn water_wave(i: &WaterWave, _: &mut Warnings) -> Wave {
    let q = wave_number(i.period_s, i.depth_m, i.gravity_mps2);
    let (_, group_speed_mps) = speeds_mps(q, i.depth_m, i.gravity_mps2);
    let wavelength_m = TAU / q;
    Wave {
        wavelength_m,
        phase_speed_mps: wavelength_m / i.period_s,
        group_speed_mps,
    }
}

fn water_wave_because(i: &WaterWave, a: &Wave) -> String {
    format!(
        "{} × {}^2 ÷ (2 × π) × {} = {} m from crest to crest, running at {} m/s. Groups run at {} m/s.",
        given(i.gravity_mps2),
        given(i.period_s),
        tanh_words(a.wavelength_m, i.depth_m),
        found(a.wavelength_m),
        found(a.phase_speed_mps),
        found(a.group_speed_mps)
    )
}

/// Speed of the crests of a wave, as it stands in a *because*.
fn speed_words(gravity_mps2: f64, wavelength_m: f64, depth_m: f64) -> String {
    format!(
        "√({} × {} ÷ (2 × π) × {})",
        given(gravity_mps2),
        given(wavelength_m),
        tanh_words(wavelength_m, depth_m)
    )
}

fn wave_speed_from_length(i: &WaveSpeedFromLength, _: &mut Warnings) -> WaveSpeed {
    WaveSpeed {
        phase_speed_mps: speeds_mps(TAU / i.wavelength_m, i.depth_m, i.gravity_mps2).0,
    }
}

fn wave_speed_from_length_because(i: &WaveSpeedFromLength, a: &WaveSpeed) -> String {
    let speed = speed_words(i.gravity_mps2, i.wavelength_m, i.depth_m);
    format!("{speed} = {} m/s", found(a.phase_speed_mps))
}

fn wave_from_length(i: &WaveFromLength, _: &mut Warnings) -> WaveTiming {
    let (phase, group) = speeds_mps(TAU / i.wavelength_m, i.depth_m, i.gravity_mps2);
    WaveTiming {
        period_s: i.wavelength_m / phase,
        phase_speed_mps: phase,
        group_speed_mps: group,
    }
}

fn wave_from_length_because(i: &WaveFromLength, a: &WaveTiming) -> String {
    let speed = speed_words(i.gravity_mps2, i.wavelength_m, i.depth_m);
    format!(
        "{speed} = {} m/s, so a crest comes every {} s. Groups run at {} m/s.",
        found(a.phase_speed_mps),
        found(a.period_s),
        found(a.group_speed_mps)
    )
}

fn pattern_at_scale(i: &PatternAtScale, warnings: &mut Warnings) -> Result<Pattern, Fault> {
    note_scale(i.scale_denominator, warnings);
    let (speed_mps, _) = speeds_mps(TAU / i.story_wavelength_m, i.story_depth_m, GRAVITY_MPS2);
    if speed_mps <= 0.0 {
        let problem = "The wave cannot exist: it is too short for its speed to be a number.";
        return Err(Fault::new(
            "story_wavelength_m",
            FaultKind::NoRealGeometry,
            problem,
        ));
    }
    let screen_period_s = i.story_wavelength_m / speed_mps;
    Ok(Pattern {
        model_wavelength_m: i.story_wavelength_m / i.scale_denominator,
        stage_period_s: screen_period_s / i.rate_factor_k,
        stage_speed_mps: speed_mps * i.rate_factor_k / i.scale_denominator,
        screen_period_s,
    })
}

fn pattern_at_scale_because(i: &PatternAtScale, a: &Pattern) -> String {
    let speed = speed_words(GRAVITY_MPS2, i.story_wavelength_m, i.story_depth_m);
    format!(
        "{speed} × {} ÷ {} = {} m/s on the stage, {} m from crest to crest. A crest comes every {} s there, and every {} s on screen.",
        given(i.rate_factor_k),
        given(i.scale_denominator),
        found(a.stage_speed_mps),
        found(a.model_wavelength_m),
        found(a.stage_period_s),
        found(a.screen_period_s)
    )
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::Calculate;
    use proptest::prelude::*;

    fn wave(period_s: f64, depth_m: f64) -> Wave {
        WaterWave {
            period_s,
            depth_m,
            gravity_mps2: GRAVITY_MPS2,
        }
        .work()
        .expect("in range")
        .answer
    }

    #[test]
    fn deep_and_shallow_water_have_their_short_formulas() {
        let deep = wave(6.0, 5000.0);
        assert!((deep.wavelength_m - GRAVITY_MPS2 * 36.0 / TAU).abs() < 1e-9);
        assert!((deep.group_speed_mps / deep.phase_speed_mps - 0.5).abs() < 1e-9);
        let shallow = wave(600.0, 1.0);
        assert!((shallow.phase_speed_mps / GRAVITY_MPS2.sqrt() - 1.0).abs() < 1e-4);
        assert!((shallow.group_speed_mps / shallow.phase_speed_mps - 1.0).abs() < 1e-3);
    }

    proptest! {
        #[test]
        fn length_and_period_find_each_other(period in 0.01..100.0, depth in 0.001..1000.0) {
            let there = wave(period, depth);
            let back = WaveFromLength { wavelength_m: there.wavelength_m, depth_m: depth, gravity_mps2: GRAVITY_MPS2 }
                .work().expect("in range");
            prop_assert!((back.period_s / period - 1.0).abs() < 1e-9);
            prop_assert!((back.group_speed_mps / there.group_speed_mps - 1.0).abs() < 1e-9);
        }

        #[test]
        fn a_gravity_true_pattern_runs_as_real_waves_of_its_size(length in 0.5..20.0, depth in 0.5..20.0, scale in 2.0..100.0_f64) {
            let pattern = PatternAtScale {
                story_wavelength_m: length, story_depth_m: depth, scale_denominator: scale, rate_factor_k: scale.sqrt(),
            }.work().expect("in range");
            let real = WaveSpeedFromLength { wavelength_m: length / scale, depth_m: depth / scale, gravity_mps2: GRAVITY_MPS2 }
                .work().expect("in range");
            prop_assert!((pattern.stage_speed_mps / real.phase_speed_mps - 1.0).abs() < 1e-9);
        }
    }
}
