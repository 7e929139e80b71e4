//! Rates and shutter angles at which lamps on the mains do not pulse.

use super::{FULL_TURN_DEG, FULL_TURN_SLACK_DEG, whole_multiples};
use crate::calculation::calculation;
use crate::fault::{Fault, Warnings};
use crate::figure::{carried, found, given};
use crate::scale_time::exact_rate;

/// A lamp on alternating current flashes with both half waves.
const PULSES_PER_CYCLE: f64 = 2.0;

calculation! { "flicker";
    /// Frame rate at which a lamp on the mains gives every frame the same light, at any shutter angle.
    ///
    /// The rate is 2 × mains ÷ n. A rolling shutter still shows fixed bands (`rolling_band`) unless the shutter too is
    /// open for whole pulses; mains drifts by about 0.2 % (from memory), more on a small generator, and the picture
    /// then breathes slowly.
    flicker_safe_rates(FlickerSafeRates {
        /// Frequency of the mains.
        mains_hz: f64 = Above(0.0); usual 50.0,
        /// Pulses of light to each frame.
        pulses_per_frame: u32 = AtLeast(1.0); usual 4_u32,
        /// Shutter angle, when it is known.
        shutter_deg: Option<f64> = AboveUpTo(0.0, 360.0),
    }) -> SafeRate {
        /// Frames a second.
        fps: f64,
    }
    because "2 × {mains_hz} ÷ {pulses_per_frame} = {fps} frames a second"
    source "published flicker notes: light pulses at twice the mains", Confirmed

    /// Shutter angles at which a lamp on the mains does not pulse, at this rate.
    ///
    /// Whole multiples of 360 × rate ÷ (2 × mains). A frame shorter than one pulse has none (`no_safe_shutter`): then
    /// only direct current or a supply of 20 kHz and more helps.
    flicker_safe_angles(FlickerSafeAngles {
        /// Frequency of the mains.
        mains_hz: f64 = Above(0.0); usual 50.0,
        /// Frames a second in camera.
        fps: f64 = Above(0.0); usual 24.0,
    }) -> SafeAngles {
        /// Angles that hold whole pulses.
        angles_deg: Vec<f64>,
    }
    because flicker_safe_angles_because
    source "published flicker notes: light pulses at twice the mains", Confirmed

    /// Largest scale at which a gravity-true shot still has a shutter angle that mains light does not pulse in.
    ///
    /// From √S × base rate = 2 × mains.
    scale_limit_for_mains(ScaleLimitForMains {
        /// Frequency of the mains.
        mains_hz: f64 = Above(0.0); usual 50.0,
        /// Frames a second on screen.
        base_fps: f64 = Above(0.0); usual 24.0,
    }) -> ScaleLimit {
        /// Largest number of times that the model may be smaller.
        largest_scale_denominator_with_safe_shutter: f64,
    }
    because scale_limit_for_mains_because
    source "gravity-true rate and pulses of the lamp put equal", Confirmed
}

/// Shutter angle that one pulse of the lamp takes.
fn pulse_deg(mains_hz: f64, fps: f64) -> f64 {
    FULL_TURN_DEG * fps / (PULSES_PER_CYCLE * mains_hz)
}

fn flicker_safe_rates(i: &FlickerSafeRates, warnings: &mut Warnings) -> SafeRate {
    let fps = PULSES_PER_CYCLE * i.mains_hz / f64::from(i.pulses_per_frame);
    let pulses = i.shutter_deg.map(|open| open / pulse_deg(i.mains_hz, fps));
    let whole = pulses.is_some_and(|pulses| (pulses - pulses.round()).abs() < 1e-6);
    warnings.add_if(!whole, "rolling_band");
    SafeRate { fps }
}

fn flicker_safe_angles(
    i: &FlickerSafeAngles,
    warnings: &mut Warnings,
) -> Result<SafeAngles, Fault> {
    let one_deg = pulse_deg(i.mains_hz, exact_rate(i.fps));
    warnings.add_if(
        one_deg > FULL_TURN_DEG + FULL_TURN_SLACK_DEG,
        "no_safe_shutter",
    );
    let angles_deg = whole_multiples(one_deg, "fps")?;
    Ok(SafeAngles { angles_deg })
}

fn flicker_safe_angles_because(i: &FlickerSafeAngles, a: &SafeAngles) -> String {
    let fps = exact_rate(i.fps);
    let ending = match a.angles_deg.len() {
        0 => "That is more than the whole turn, so no shutter angle holds one.".to_owned(),
        1 => "It is the only one: two pulses are more than the whole turn.".to_owned(),
        many => format!("So {many} whole multiples of it fit into the turn."),
    };
    format!(
        "360 × {} ÷ (2 × {}) = {}° of the shutter for each pulse of the lamp. {ending}",
        carried(fps),
        given(i.mains_hz),
        found(pulse_deg(i.mains_hz, fps))
    )
}

fn scale_limit_for_mains(i: &ScaleLimitForMains, _: &mut Warnings) -> ScaleLimit {
    ScaleLimit {
        largest_scale_denominator_with_safe_shutter: (PULSES_PER_CYCLE * i.mains_hz
            / exact_rate(i.base_fps))
        .powi(2),
    }
}

fn scale_limit_for_mains_because(i: &ScaleLimitForMains, a: &ScaleLimit) -> String {
    format!(
        "(2 × {} ÷ {})^2 = {} times smaller at most",
        given(i.mains_hz),
        carried(exact_rate(i.base_fps)),
        found(a.largest_scale_denominator_with_safe_shutter)
    )
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::Calculate;
    use crate::FaultKind;
    use proptest::prelude::*;

    fn angles(mains_hz: f64, fps: f64) -> Result<crate::Worked<SafeAngles>, Vec<Fault>> {
        FlickerSafeAngles { mains_hz, fps }.work()
    }

    #[test]
    fn bands_of_a_rolling_shutter_are_told_unless_it_holds_whole_pulses() {
        let rate = |shutter_deg| FlickerSafeRates {
            mains_hz: 50.0,
            pulses_per_frame: 4,
            shutter_deg,
        };
        let doubts = |shutter_deg| rate(shutter_deg).work().expect("in range").warnings;
        assert!(doubts(Some(180.0)).is_empty());
        assert_eq!(doubts(Some(172.8)), ["rolling_band"]);
        assert_eq!(doubts(None), ["rolling_band"]);
    }

    #[test]
    fn the_whole_turn_is_an_angle() {
        let whole = angles(60.0, 120.0).expect("in range");
        assert_eq!(whole.angles_deg.len(), 1);
        assert!(whole.warnings.is_empty());
        let over = angles(60.0, 120.01).expect("in range");
        assert_eq!(over.warnings, ["no_safe_shutter"]);
    }

    #[test]
    fn too_many_angles_are_no_choice() {
        let refused = angles(1e9, 1.0).expect_err("refused");
        assert_eq!(
            (refused[0].field.as_str(), refused[0].kind),
            ("fps", FaultKind::OutOfRange)
        );
    }

    proptest! {
        #[test]
        fn every_angle_leaves_nothing_of_the_pulse(mains in 40.0..70.0, fps in 10.0..130.0) {
            for angle in &angles(mains, fps).expect("in range").angles_deg {
                let left = super::super::ResidualModulation {
                    lamp_modulation_hz: 2.0 * mains,
                    lamp_modulation_depth: 1.0,
                    // 23.98 typed is 24000/1001 meant, for angle and exposure alike
                    exposure_s: angle / (360.0 * exact_rate(fps)),
                };
                prop_assert!(left.work().expect("in range").residual_depth < 1e-9);
            }
        }

        #[test]
        fn the_limit_is_where_the_angles_end(mains in 40.0..70.0, base in 20.0..61.0_f64) {
            let limit = ScaleLimitForMains { mains_hz: mains, base_fps: base };
            let scale = limit.work().expect("in range").largest_scale_denominator_with_safe_shutter;
            let fps = exact_rate(base) * scale.sqrt();
            prop_assert!(angles(mains, fps * 1.0001).expect("in range").angles_deg.is_empty());
            prop_assert!(!angles(mains, fps * 0.9999).expect("in range").angles_deg.is_empty());
        }
    }
}
