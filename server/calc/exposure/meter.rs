//! Meters, shutters and filters.

use super::{C_CONSTANT, CARD_REFLECTANCE, CDPM2_PER_FL, K_CONSTANT, LX_PER_FC};
use crate::calculation::calculation;
use crate::fault::{Fault, FaultKind, Warnings};
use crate::figure::{found, given};
use crate::scale_time::exact_rate;
use std::f64::consts::{LN_2, LOG10_2, PI};

calculation! { "exposure";
    /// Light level of an exposure value at ISO 100.
    ev_light_level(EvLightLevel {
        /// Exposure value at ISO 100.
        ev100: f64 = Any; usual 12.0,
        /// Calibration of the reflected meter.
        k_constant: f64 = Above(0.0); default K_CONSTANT,
        /// Calibration of the incident meter.
        c_constant: f64 = Above(0.0); default C_CONSTANT,
    }) -> LightLevel {
        /// Luminance of the subject.
        luminance_cdpm2: f64,
        /// Illuminance on the subject.
        illuminance_lx: f64,
        /// Luminance in footlamberts.
        luminance_fl: f64,
        /// Illuminance in footcandles.
        illuminance_fc: f64,
    }
    because "2^{ev100} × {c_constant} ÷ 100 = {illuminance_lx} lx, which is {illuminance_fc} fc"
    source "ISO 2720:1974 and published exposure-value tables", Confirmed

    /// Luminance that a reflected meter expects at these settings.
    reflected_equation(ReflectedEquation {
        /// Stop.
        f_number: f64 = Above(0.0); usual 16.0,
        /// Exposure time.
        exposure_s: f64 = Above(0.0); usual 0.008,
        /// Exposure index.
        iso: f64 = Above(0.0); usual 125.0,
        /// Calibration of the reflected meter.
        k_constant: f64 = Above(0.0); default K_CONSTANT,
    }) -> ReflectedLuminance {
        /// Luminance of the subject.
        luminance_cdpm2: f64,
    }
    because "{k_constant} × {f_number}^2 ÷ ({exposure_s} × {iso}) = {luminance_cdpm2} cd/m²"
    source "ISO 2720:1974, reflected-light equation", Confirmed

    /// Illuminance that the stop, rate, shutter and exposure index need on the subject.
    ///
    /// E = C T²/(t ISO) with t = shutter angle/(360 rate). The trade form fc = 25 T²/(ISO t) is C = 269.1.
    required_illuminance(RequiredIlluminance {
        /// T-number; the f-number where it is not known.
        t_number: f64 = Above(0.0); usual 16.0,
        /// Frames a second in camera.
        fps: f64 = Above(0.0); usual 120.0,
        /// Shutter angle.
        shutter_deg: f64 = AboveUpTo(0.0, 360.0); usual 180.0,
        /// Exposure index.
        iso: f64 = Above(0.0); usual 800.0,
        /// Calibration of the incident meter.
        c_constant: f64 = Above(0.0); default C_CONSTANT,
    }) -> LightNeeded {
        /// Illuminance needed.
        illuminance_lx: f64,
        /// Illuminance needed, in footcandles.
        illuminance_fc: f64,
        /// Exposure time of a frame.
        exposure_s: f64,
        /// Exposure value of stop and time.
        ev_iso: f64,
    }
    because "{c_constant} × {t_number}^2 × 360 × {fps} ÷ ({shutter_deg} × {iso}) = {illuminance_lx} lx, which is {illuminance_fc} fc"
    source "ISO 2720:1974, incident-light equation", Confirmed

    /// Illuminance that puts a grey card on the meter's point.
    ///
    /// E = π K N²/(ρ t ISO): for 18 % π K/ρ is 218 and plays the part of C.
    card_illuminance(CardIlluminance {
        /// T-number; the f-number where it is not known.
        t_number: f64 = Above(0.0); usual 16.0,
        /// Exposure time.
        exposure_s: f64 = Above(0.0); usual 0.00417,
        /// Exposure index.
        iso: f64 = Above(0.0); usual 800.0,
        /// Calibration of the reflected meter.
        k_constant: f64 = Above(0.0); default K_CONSTANT,
        /// Reflectance of the card.
        card_reflectance: f64 = AboveUpTo(0.0, 1.0); default CARD_REFLECTANCE,
    }) -> CardIlluminanceFound {
        /// Illuminance needed.
        illuminance_lx: f64,
    }
    because "π × {k_constant} × {t_number}^2 ÷ ({card_reflectance} × {exposure_s} × {iso}) = {illuminance_lx} lx"
    source "ISO 2720:1974, reflected-light equation for a matt card", Confirmed

    /// Reflectance at which a reflected and an incident meter agree: 15.7 %, not 18 %.
    card_equivalence(CardEquivalence {
        /// Calibration of the reflected meter.
        k_constant: f64 = Above(0.0); default K_CONSTANT,
        /// Calibration of the incident meter.
        c_constant: f64 = Above(0.0); default C_CONSTANT,
    }) -> ImpliedReflectance {
        /// Reflectance that both meters mean.
        implied_reflectance: f64,
    }
    because "π × {k_constant} ÷ {c_constant} = {implied_reflectance}"
    source "ISO 2720:1974, both equations for a matt card", Confirmed

    /// Light lost to rate, shutter, filters, close focus and haze, in stops.
    ///
    /// Haze counts for each way through it: lamp to subject and subject to camera are two. With a T-number the glass is
    /// already counted.
    stop_changes(StopChanges {
        /// Frames a second in camera.
        fps: f64 = Above(0.0); usual 120.0,
        /// Frames a second on screen.
        base_fps: f64 = Above(0.0); usual 24.0,
        /// Shutter angle.
        shutter_deg: f64 = AboveUpTo(0.0, 360.0); default 180.0,
        /// Shutter angle to compare with.
        base_shutter_deg: f64 = AboveUpTo(0.0, 360.0); default 180.0,
        /// Density of the neutral filter.
        nd_density: f64 = AtLeast(0.0); default 0.0,
        /// Share of light that the other filters pass, multiplied.
        filter_transmittance: f64 = AboveUpTo(0.0, 1.0); default 1.0,
        /// Image size over object size.
        magnification: f64 = AtLeast(0.0); default 0.0,
        /// Exit pupil over entrance pupil.
        pupil_magnification: f64 = Above(0.0); default 1.0,
        /// Optical depth of the haze on this way, base e.
        haze_optical_depth: f64 = AtLeast(0.0); default 0.0,
    }) -> StopsLost {
        /// Lost to the rate.
        frame_rate_stops: f64,
        /// Lost to the shutter.
        shutter_stops: f64,
        /// Lost to the neutral filter.
        nd_stops: f64,
        /// Lost to other filters.
        filter_stops: f64,
        /// Lost to close focus.
        close_focus_stops: f64,
        /// Lost to haze.
        haze_stops: f64,
        /// Lost in all.
        total_stops: f64,
    }
    because "log₂({fps} ÷ {base_fps}) + log₂({base_shutter_deg} ÷ {shutter_deg}) + {nd_density} ÷ 0.30103 − log₂({filter_transmittance}) + 2 × log₂(1 + {magnification} ÷ {pupil_magnification}) + {haze_optical_depth} ÷ ln(2) = {total_stops} stops"
    source "definition of the stop; Beer–Lambert law for haze", Confirmed

    /// What a neutral filter passes and costs: a density of 0.3 is one stop, nearly.
    nd(Nd {
        /// Density of the filter.
        nd_density: f64 = AtLeast(0.0); usual 0.6,
    }) -> NdFound {
        /// Share of light that passes.
        transmittance: f64,
        /// Light lost.
        stops: f64,
    }
    because "{nd_density} ÷ 0.30103 = {stops} stops"
    source "definition of optical density", Confirmed

    /// Exposure time of a shutter angle, or the angle of an exposure time, at a rate.
    ///
    /// Give one of both. A time longer than the frame is refused.
    shutter(Shutter {
        /// Frames a second in camera.
        fps: f64 = Above(0.0); usual 120.0,
        /// Shutter angle.
        shutter_deg: Option<f64> = AboveUpTo(0.0, 360.0); usual 180.0,
        /// Exposure time.
        exposure_s: Option<f64> = Above(0.0),
    }) -> ShutterFound {
        /// Exposure time of a frame.
        exposure_s: f64,
        /// Shutter angle.
        shutter_deg: f64,
    }
    because shutter_because
    source "definition of the shutter angle", Confirmed
}

fn ev_light_level(i: &EvLightLevel, _: &mut Warnings) -> LightLevel {
    // exposure values are told at ISO 100
    let level = i.ev100.exp2() / 100.0;
    let (luminance_cdpm2, illuminance_lx) = (level * i.k_constant, level * i.c_constant);
    LightLevel {
        luminance_cdpm2,
        illuminance_lx,
        luminance_fl: luminance_cdpm2 / CDPM2_PER_FL,
        illuminance_fc: illuminance_lx / LX_PER_FC,
    }
}

fn reflected_equation(i: &ReflectedEquation, _: &mut Warnings) -> ReflectedLuminance {
    ReflectedLuminance {
        luminance_cdpm2: i.k_constant * i.f_number.powi(2) / (i.exposure_s * i.iso),
    }
}

fn required_illuminance(i: &RequiredIlluminance, _: &mut Warnings) -> LightNeeded {
    let exposure_s = i.shutter_deg / (360.0 * exact_rate(i.fps));
    let illuminance_lx = i.c_constant * i.t_number.powi(2) / (exposure_s * i.iso);
    LightNeeded {
        illuminance_lx,
        illuminance_fc: illuminance_lx / LX_PER_FC,
        exposure_s,
        ev_iso: (i.t_number.powi(2) / exposure_s).log2(),
    }
}

fn card_illuminance(i: &CardIlluminance, _: &mut Warnings) -> CardIlluminanceFound {
    CardIlluminanceFound {
        illuminance_lx: PI * i.k_constant * i.t_number.powi(2)
            / (i.card_reflectance * i.exposure_s * i.iso),
    }
}

fn card_equivalence(i: &CardEquivalence, _: &mut Warnings) -> ImpliedReflectance {
    ImpliedReflectance {
        implied_reflectance: PI * i.k_constant / i.c_constant,
    }
}

fn stop_changes(i: &StopChanges, _: &mut Warnings) -> StopsLost {
    let frame_rate_stops = (exact_rate(i.fps) / exact_rate(i.base_fps)).log2();
    let shutter_stops = (i.base_shutter_deg / i.shutter_deg).log2();
    let nd_stops = i.nd_density / LOG10_2;
    // adding zero keeps a clear filter from losing "minus zero"
    let filter_stops = 0.0 - i.filter_transmittance.log2();
    let close_focus_stops = 2.0 * (1.0 + i.magnification / i.pupil_magnification).log2();
    let haze_stops = i.haze_optical_depth / LN_2;
    StopsLost {
        frame_rate_stops,
        shutter_stops,
        nd_stops,
        filter_stops,
        close_focus_stops,
        haze_stops,
        total_stops: frame_rate_stops
            + shutter_stops
            + nd_stops
            + filter_stops
            + close_focus_stops
            + haze_stops,
    }
}

fn nd(i: &Nd, _: &mut Warnings) -> NdFound {
    NdFound {
        transmittance: 10_f64.powf(-i.nd_density),
        stops: i.nd_density / LOG10_2,
    }
}

fn shutter(i: &Shutter, _: &mut Warnings) -> Result<ShutterFound, Vec<Fault>> {
    let fps = exact_rate(i.fps);
    // a time typed to a few digits may come out a hair over the full turn
    let full_turn = 360.0 * (1.0 + 1e-9);
    let from_time = i
        .exposure_s
        .map(|exposure_s| (360.0 * fps * exposure_s, exposure_s));
    let from_angle = i
        .shutter_deg
        .map(|shutter_deg| (shutter_deg, shutter_deg / (360.0 * fps)));
    if from_time.is_some_and(|(shutter_deg, _)| shutter_deg > full_turn) {
        let problem = format!(
            "The exposure is longer than one frame, which is {} s.",
            found(1.0 / fps)
        );
        return Err(Fault::new("exposure_s", FaultKind::OutOfRange, problem).into());
    }
    let (shutter_deg, exposure_s) = match (from_angle, from_time) {
        (Some(angle), Some(time)) if (angle.0 - time.0).abs() > 1e-3 * angle.0 => {
            let problem = "Shutter angle and exposure time disagree: give one of both.";
            return Err(["shutter_deg", "exposure_s"]
                .map(|field| Fault::new(field, FaultKind::OutOfRange, problem))
                .to_vec());
        }
        (Some(one), _) | (None, Some(one)) => one,
        (None, None) => {
            let problem = "Shutter angle or exposure time is needed.";
            return Err(["shutter_deg", "exposure_s"]
                .map(|field| Fault::new(field, FaultKind::Missing, problem))
                .to_vec());
        }
    };
    Ok(ShutterFound {
        exposure_s,
        shutter_deg,
    })
}

fn shutter_because(i: &Shutter, a: &ShutterFound) -> String {
    let fps = given(exact_rate(i.fps));
    match i.shutter_deg {
        Some(shutter_deg) => format!(
            "{} ÷ (360 × {fps}) = {} s",
            given(shutter_deg),
            found(a.exposure_s)
        ),
        None => format!(
            "360 × {fps} × {} = {}° of the shutter",
            given(a.exposure_s),
            found(a.shutter_deg)
        ),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::Calculate;
    use proptest::prelude::*;

    fn at(
        fps: f64,
        shutter_deg: Option<f64>,
        exposure_s: Option<f64>,
    ) -> Result<ShutterFound, Vec<Fault>> {
        Shutter {
            fps,
            shutter_deg,
            exposure_s,
        }
        .work()
        .map(|worked| worked.answer)
    }

    #[test]
    fn half_a_turn_at_24_is_a_48th() {
        let shutter = at(24.0, Some(180.0), None).expect("in range");
        assert!((shutter.exposure_s - 1.0 / 48.0).abs() < 1e-12);
        assert!(
            (at(24.0, None, Some(1.0 / 24.0))
                .expect("a full turn")
                .shutter_deg
                - 360.0)
                .abs()
                < 1e-9
        );
    }

    #[test]
    fn shutters_that_cannot_be_are_refused() {
        let kinds = |refused: Result<ShutterFound, Vec<Fault>>| {
            let faults = refused.expect_err("refused");
            faults
                .iter()
                .map(|fault| (fault.field.clone(), fault.kind))
                .collect::<Vec<_>>()
        };
        assert_eq!(
            kinds(at(120.0, None, Some(0.02))),
            [("exposure_s".to_owned(), FaultKind::OutOfRange)]
        );
        assert_eq!(
            kinds(at(120.0, None, None))[0],
            ("shutter_deg".to_owned(), FaultKind::Missing)
        );
        assert_eq!(kinds(at(24.0, Some(180.0), Some(0.01))).len(), 2);
        assert_eq!(
            kinds(at(24.0, Some(400.0), None)),
            [("shutter_deg".to_owned(), FaultKind::OutOfRange)]
        );
    }

    #[test]
    fn nothing_in_the_way_loses_nothing() {
        let clear = StopChanges {
            fps: 24.0,
            base_fps: 24.0,
            shutter_deg: 180.0,
            base_shutter_deg: 180.0,
            nd_density: 0.0,
            filter_transmittance: 1.0,
            magnification: 0.0,
            pupil_magnification: 1.0,
            haze_optical_depth: 0.0,
        };
        assert!(clear.work().expect("in range").total_stops.abs() < 1e-12);
    }

    proptest! {
        #[test]
        fn one_stop_more_needs_twice_the_light(t in 1.4..32.0, fps in 24.0..300.0, shutter_deg in 11.0..360.0) {
            let light = |t_number| RequiredIlluminance { t_number, fps, shutter_deg, iso: 800.0, c_constant: 250.0 }
                .work().expect("in range").illuminance_lx;
            prop_assert!((light(t * 2_f64.sqrt()) / light(t) - 2.0).abs() < 1e-9);
        }

        #[test]
        fn a_filter_passes_what_its_stops_say(density in 0.0..4.0) {
            let filter = Nd { nd_density: density }.work().expect("in range");
            prop_assert!((filter.transmittance.log2() + filter.stops).abs() < 1e-9);
        }
    }
}
