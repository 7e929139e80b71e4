//! How much of a pulse is left in the exposures, and how fast it comes and goes.

use super::grade;
use crate::calculation::{OrInfinity, calculation};
use crate::fault::Warnings;
use crate::figure::{carried, found, given};
use crate::scale_time::exact_rate;
use std::f64::consts::{LN_2, PI};

calculation! { "flicker";
    /// What an exposure leaves of light that pulses as a sine, and the worst swing from frame to frame.
    ///
    /// An exposure averages: M × |sin(π f t)| ÷ (π f t). Nothing is left of whole pulses.
    residual_modulation(ResidualModulation {
        /// Frequency of the light: twice the mains for a lamp on the mains.
        lamp_modulation_hz: f64 = Above(0.0); usual 100.0,
        /// Depth of the pulse: difference of highest and lowest over their sum.
        lamp_modulation_depth: f64 = Between(0.0, 1.0); usual 0.4,
        /// Exposure time.
        exposure_s: f64 = Above(0.0); usual 0.004,
    }) -> Residual {
        /// Depth of the pulse that is left in the frames.
        residual_depth: f64,
        /// Brightest frame against darkest.
        worst_swing_stops: OrInfinity,
        /// How that is seen; common practice, no source.
        grade: &'static str,
    }
    because residual_modulation_because
    source "transform of a rectangular window, agreed by a sum over every phase", Confirmed

    /// Worst swing from frame to frame under a lamp that is switched on and off to dim it.
    ///
    /// The exposure holds n whole cycles and a rest that the lamp may fill or miss. Without end when a frame can miss
    /// the light altogether.
    pwm_worst_swing(PwmWorstSwing {
        /// Frequency of the switching.
        pwm_hz: f64 = Above(0.0); usual 1000.0,
        /// Share of the time that the lamp is on.
        duty: f64 = AboveUpTo(0.0, 1.0); usual 0.3,
        /// Exposure time.
        exposure_s: f64 = Above(0.0); usual 0.004,
    }) -> SwitchedSwing {
        /// Brightest frame against darkest.
        worst_swing_stops: OrInfinity,
        /// How that is seen; common practice, no source.
        grade: &'static str,
    }
    because pwm_worst_swing_because
    source "on-time counted, agreed by a sum over every phase", Confirmed

    /// How fast pulsing light comes and goes in the frames: on the stage and on screen.
    ///
    /// The lamp's frequency less the nearest multiple of the rate. Beats of 1 to 15 Hz on screen show most, less than
    /// 0.1 Hz reads as drift (common practice). Light that is no pure sine beats at twice and three times its frequency
    /// as well.
    beat(Beat {
        /// Frequency of the light: twice the mains for a lamp on the mains.
        lamp_modulation_hz: f64 = Above(0.0); usual 100.0,
        /// Frames a second in camera.
        fps: f64 = Above(0.0); usual 117.576,
        /// Frames a second on screen.
        base_fps: f64 = Above(0.0); usual 24.0,
    }) -> BeatFound {
        /// On the stage.
        beat_stage_hz: f64,
        /// On screen.
        beat_screen_hz: f64,
        /// On screen, of light at twice the frequency.
        double_beat_screen_hz: f64,
        /// On screen, of light at three times the frequency.
        triple_beat_screen_hz: f64,
    }
    because beat_because
    source "sampling of a periodic signal, agreed by the spectrum of simulated frames", Confirmed
}

/// How far a number of pulses is from whole: sin(π of it) without the loss of digits at many pulses.
fn broken_pulse(pulses: f64) -> f64 {
    (pulses - pulses.round()).abs()
}

fn residual_modulation(i: &ResidualModulation, _: &mut Warnings) -> Residual {
    let pulses = i.lamp_modulation_hz * i.exposure_s;
    let left = (PI * broken_pulse(pulses)).sin() / (PI * pulses);
    let residual_depth = i.lamp_modulation_depth * if pulses > 0.0 { left } else { 1.0 };
    // log₂((1 + r)/(1 − r)), exact for small r
    let swing = (2.0 * residual_depth / (1.0 - residual_depth)).ln_1p() / LN_2;
    Residual {
        residual_depth,
        worst_swing_stops: OrInfinity(swing),
        grade: grade(swing),
    }
}

fn residual_modulation_because(i: &ResidualModulation, a: &Residual) -> String {
    let pulses = i.lamp_modulation_hz * i.exposure_s;
    format!(
        "{} × sin(180° × {}) ÷ (π × {}) = {} of the depth is left, since the exposure holds {} pulses. The worst swing is {} stops: {}.",
        given(i.lamp_modulation_depth),
        carried(broken_pulse(pulses)),
        carried(pulses),
        found(a.residual_depth),
        found(pulses),
        found(a.worst_swing_stops.0),
        a.grade
    )
}

/// Most and least time, in cycles, that light on for a share of every cycle lights an exposure.
pub(super) fn lit_cycles(duty: f64, cycles: f64) -> (f64, f64) {
    let whole = cycles.floor();
    let rest = cycles - whole;
    let sure = whole * duty;
    (
        sure + rest.min(duty),
        sure + (rest + duty - 1.0).clamp(0.0, duty),
    )
}

fn pwm_worst_swing(i: &PwmWorstSwing, _: &mut Warnings) -> SwitchedSwing {
    let (most, least) = lit_cycles(i.duty, i.pwm_hz * i.exposure_s);
    let swing = (most / least).log2();
    SwitchedSwing {
        worst_swing_stops: OrInfinity(swing),
        grade: grade(swing),
    }
}

fn pwm_worst_swing_because(i: &PwmWorstSwing, a: &SwitchedSwing) -> String {
    let cycles = i.pwm_hz * i.exposure_s;
    let (most, least) = lit_cycles(i.duty, cycles);
    if least > 0.0 {
        return format!(
            "log₂({} ÷ {}) = {} stops between the frames that hold most and least light, counted in cycles of the lamp: {}.",
            carried(most),
            carried(least),
            found(a.worst_swing_stops.0),
            a.grade
        );
    }
    format!(
        "{} × {} = {} cycles to each frame. Some frames miss the light altogether.",
        given(i.pwm_hz),
        given(i.exposure_s),
        found(cycles)
    )
}

/// Distance of a frequency from the nearest multiple of a rate.
fn beat_hz(frequency_hz: f64, fps: f64) -> f64 {
    (frequency_hz - fps * (frequency_hz / fps).round()).abs()
}

fn beat(i: &Beat, _: &mut Warnings) -> BeatFound {
    let fps = exact_rate(i.fps);
    let rate_factor = fps / exact_rate(i.base_fps);
    let stage_hz = |times: f64| beat_hz(times * i.lamp_modulation_hz, fps);
    BeatFound {
        beat_stage_hz: stage_hz(1.0),
        beat_screen_hz: stage_hz(1.0) / rate_factor,
        double_beat_screen_hz: stage_hz(2.0) / rate_factor,
        triple_beat_screen_hz: stage_hz(3.0) / rate_factor,
    }
}

fn beat_because(i: &Beat, a: &BeatFound) -> String {
    let fps = exact_rate(i.fps);
    let multiple = (i.lamp_modulation_hz / fps).round();
    let lamp = carried(i.lamp_modulation_hz);
    let frames = format!("{} × {}", given(multiple), carried(fps));
    let difference = if i.lamp_modulation_hz >= multiple * fps {
        format!("{lamp} − {frames}")
    } else {
        format!("{frames} − {lamp}")
    };
    format!(
        "{difference} = {} Hz on the stage. On screen that is {} Hz.",
        found(a.beat_stage_hz),
        found(a.beat_screen_hz)
    )
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::Calculate;
    use proptest::prelude::*;

    fn switched(duty: f64, exposure_s: f64) -> SwitchedSwing {
        PwmWorstSwing {
            pwm_hz: 1000.0,
            duty,
            exposure_s,
        }
        .work()
        .expect("in range")
        .answer
    }

    #[test]
    fn a_frame_that_can_miss_the_light_swings_without_end() {
        assert!(switched(0.3, 0.0005).worst_swing_stops.0.is_infinite());
        assert!(switched(1.0, 0.0005).worst_swing_stops.0.abs() < 1e-12);
        assert!(switched(0.3, 0.004).worst_swing_stops.0.abs() < 1e-9);
    }

    #[test]
    fn a_flash_that_goes_out_swings_without_end_only_at_once() {
        let flash = |exposure_s| {
            ResidualModulation {
                lamp_modulation_hz: 100.0,
                lamp_modulation_depth: 1.0,
                exposure_s,
            }
            .work()
            .expect("in range")
        };
        assert!(flash(1e-300).worst_swing_stops.0.is_infinite());
        assert_eq!(flash(0.02).grade, "invisible");
        assert_eq!(flash(0.004).grade, "obvious");
    }

    proptest! {
        #[test]
        fn the_beat_is_at_most_half_the_rate(lamp in 1.0..1000.0, fps in 10.0..200.0) {
            let beat = Beat { lamp_modulation_hz: lamp, fps, base_fps: 24.0 }.work().expect("in range");
            prop_assert!(beat.beat_stage_hz <= exact_rate(fps) / 2.0 + 1e-9);
        }

        #[test]
        fn no_start_of_the_exposure_holds_more_or_less(
            duty in 0.01..0.99, cycles in 0.01..5.0, start in 0.0..1.0_f64,
        ) {
            // time on, from the start of a cycle to a time in it
            let on_until = |time: f64| time.floor() * duty + time.fract().min(duty);
            let lit = on_until(start + cycles) - on_until(start);
            let (most, least) = lit_cycles(duty, cycles);
            prop_assert!(least - 1e-9 <= lit && lit <= most + 1e-9);
        }
    }
}
