//! What is left of the light, what adds up, and what gels make of it as heat.

use crate::calculation::calculation;
use crate::fault::{Fault, FaultKind, Warnings};
use crate::figure::{found, given};

/// Heat that still air takes from each side of a gel, W/(m² K); rough, 8 to 15.
const STILL_AIR_WPM2K: f64 = 10.0;
/// A room with lamps in it, °C.
const ROOM_C: f64 = 20.0;
/// Where polyester film begins to soften, °C (handbook glass transition, from memory).
const POLYESTER_SOFTENS_C: f64 = 70.0;

calculation! { "lamp-light";
    /// Illuminance of several heads on one plane: lux add up, stops do not.
    sum(LightSum {
        /// Illuminance of each head, the first one to compare with.
        illuminance_lx: Vec<f64> = AtLeast(0.0); usual vec![800.0, 400.0, 150.0],
    }) -> SumFound {
        /// Illuminance of all together.
        total_illuminance_lx: f64,
        /// Stops over the first alone.
        stops_over_first: f64,
    }
    because sum_because
    source "illuminances add up", Confirmed

    /// What is left of a head's light behind gel, diffusion, haze and a dirty lens.
    ///
    /// Diffusion lets through 70 to 90 % when light and 35 to 60 % when heavy (common practice).
    with_losses(WithLosses {
        /// Illuminance with nothing in the way.
        illuminance_lx: f64 = Above(0.0); usual 2000.0,
        /// Share that comes through the gels.
        gel_transmittance: f64 = AboveUpTo(0.0, 1.0); default 1.0; usual 0.39,
        /// Share that comes through the diffusion.
        diffusion_transmittance: f64 = AboveUpTo(0.0, 1.0); default 1.0; usual 0.6,
        /// Extinction of the haze.
        haze_extinction_per_m: f64 = AtLeast(0.0); default 0.0; usual 0.06,
        /// Way through the haze.
        haze_path_m: f64 = AtLeast(0.0); default 0.0; usual 4.0,
        /// Share that comes through the head's own lens.
        lens_transmittance: f64 = AboveUpTo(0.0, 1.0); default 1.0,
    }) -> LossesFound {
        /// Illuminance that is left.
        illuminance_lx: f64,
        /// Stops lost.
        stops_lost: f64,
    }
    because with_losses_because
    source "losses multiply; Beer–Lambert law for the haze", Confirmed

    /// How much hotter than the room a gel gets.
    ///
    /// Rough. A dark blue takes 0.5 to 0.8 of the light, a pale gel 0.1 to 0.2. Told (`film_softens`) from 70 °C, where
    /// polyester gives way. Put the palest or a heat shield nearest the lamp, off its lens, and the deepest blue farthest.
    gel_heat(GelHeat {
        /// Power that falls on the gel.
        irradiance_wpm2: f64 = AtLeast(0.0); usual 800.0,
        /// Share that it takes.
        absorptance: f64 = Between(0.0, 1.0); usual 0.5,
        /// Heat that the air takes from each side.
        heat_transfer_wpm2k: f64 = Above(0.0); default STILL_AIR_WPM2K,
        /// Temperature of the room.
        room_c: f64 = Between(-50.0, 80.0); default ROOM_C,
    }) -> GelHeatFound {
        /// Over the room.
        temperature_rise_k: f64,
        /// Temperature of the gel.
        gel_c: f64,
    }
    because "{absorptance} × {irradiance_wpm2} ÷ (2 × {heat_transfer_wpm2k}) = {temperature_rise_k} K over the room: {gel_c} °C"
    source "balance of heat taken and given off; the heat transfer is rough", FromMemory

    /// Exposure of a flash or a short shutter.
    exposure_time_area(ExposureTimeArea {
        /// Illuminance.
        illuminance_lx: f64 = AtLeast(0.0); usual 2000.0,
        /// Time it lasts.
        exposure_s: f64 = AtLeast(0.0); usual 0.001,
    }) -> ExposureFound {
        /// Light times time.
        exposure_lx_s: f64,
    }
    because "{illuminance_lx} × {exposure_s} = {exposure_lx_s} lx·s"
    source "definition of exposure, H = E t", Confirmed
}

fn sum(i: &LightSum, _: &mut Warnings) -> Result<SumFound, Fault> {
    let Some(&first) = i.illuminance_lx.first() else {
        let problem = "At least one head is needed.";
        return Err(Fault::new("illuminance_lx", FaultKind::Missing, problem));
    };
    if first <= 0.0 {
        let problem = "The first head must give light: the others are compared with it.";
        return Err(Fault::new(
            "illuminance_lx",
            FaultKind::NotPositive,
            problem,
        ));
    }
    let total_illuminance_lx: f64 = i.illuminance_lx.iter().sum();
    Ok(SumFound {
        total_illuminance_lx,
        stops_over_first: (total_illuminance_lx / first).log2(),
    })
}

fn sum_because(i: &LightSum, a: &SumFound) -> String {
    let terms: Vec<String> = i.illuminance_lx.iter().map(|lx| given(*lx)).collect();
    format!(
        "{} = {} lx, {} stops over the first",
        terms.join(" + "),
        found(a.total_illuminance_lx),
        found(a.stops_over_first)
    )
}

fn with_losses(i: &WithLosses, _: &mut Warnings) -> LossesFound {
    let optical_depth = i.haze_extinction_per_m * i.haze_path_m;
    let sheets = i.gel_transmittance * i.diffusion_transmittance * i.lens_transmittance;
    LossesFound {
        illuminance_lx: i.illuminance_lx * sheets * (-optical_depth).exp(),
        // in the exponent, so that thick haze still has its stops
        stops_lost: (1.0 / sheets).log2() + optical_depth * std::f64::consts::LOG2_E,
    }
}

fn with_losses_because(i: &WithLosses, a: &LossesFound) -> String {
    format!(
        "{} × {} × {} × {} × e^−({} × {}) = {} lx, {} stops down",
        given(i.illuminance_lx),
        given(i.gel_transmittance),
        given(i.diffusion_transmittance),
        given(i.lens_transmittance),
        given(i.haze_extinction_per_m),
        given(i.haze_path_m),
        found(a.illuminance_lx),
        found(a.stops_lost)
    )
}

fn gel_heat(i: &GelHeat, warnings: &mut Warnings) -> GelHeatFound {
    let temperature_rise_k = i.absorptance * i.irradiance_wpm2 / (2.0 * i.heat_transfer_wpm2k);
    let gel_c = i.room_c + temperature_rise_k;
    warnings.add_if(gel_c >= POLYESTER_SOFTENS_C, "film_softens");
    GelHeatFound {
        temperature_rise_k,
        gel_c,
    }
}

fn exposure_time_area(i: &ExposureTimeArea, _: &mut Warnings) -> ExposureFound {
    ExposureFound {
        exposure_lx_s: i.illuminance_lx * i.exposure_s,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::Calculate;
    use proptest::prelude::*;

    #[test]
    fn there_is_no_sum_without_a_first() {
        let kind = |lx: &[f64]| {
            let asked = LightSum {
                illuminance_lx: lx.to_vec(),
            };
            asked.work().expect_err("refused")[0].kind
        };
        assert_eq!(kind(&[]), FaultKind::Missing);
        assert_eq!(kind(&[0.0, 5.0]), FaultKind::NotPositive);
        assert_eq!(kind(&[5.0, -1.0]), FaultKind::Negative);
    }

    #[test]
    fn a_gel_that_softens_is_told() {
        let gel = |irradiance_wpm2| GelHeat {
            irradiance_wpm2,
            absorptance: 0.5,
            heat_transfer_wpm2k: STILL_AIR_WPM2K,
            room_c: ROOM_C,
        };
        assert!(gel(1999.0).work().expect("in range").warnings.is_empty());
        assert_eq!(
            gel(2000.0).work().expect("in range").warnings,
            ["film_softens"]
        );
    }

    proptest! {
        #[test]
        fn stops_and_light_say_the_same(gel in 0.01..1.0_f64, diffusion in 0.3..1.0_f64, haze in 0.0..0.5_f64, path in 0.0..8.0_f64) {
            let left = WithLosses {
                illuminance_lx: 2000.0, gel_transmittance: gel, diffusion_transmittance: diffusion,
                haze_extinction_per_m: haze, haze_path_m: path, lens_transmittance: 0.9,
            }.work().expect("in range");
            prop_assert!(((2000.0 / left.illuminance_lx).log2() - left.stops_lost).abs() < 1e-9);
        }
    }
}
