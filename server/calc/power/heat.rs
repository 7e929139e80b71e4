//! Where every watt ends: as heat in the room.

use crate::calculation::calculation;
use crate::fault::Warnings;

/// British thermal units an hour in a watt.
const BTU_PER_H_PER_W: f64 = 3.412_14;
/// Density of air at 20 °C, kg/m³.
const AIR_KGPM3: f64 = 1.204;
/// Heat that a kilogram of air takes for each kelvin, J/(kg K).
const AIR_JPKGK: f64 = 1006.0;
/// Seconds in a minute.
const S_PER_MIN: f64 = 60.0;

calculation! { "power";
    /// Heat of lamps in the unit that air conditioning is sold by.
    heat_btu(HeatBtu {
        /// Power of everything that burns.
        power_w: f64 = AtLeast(0.0); usual 10_000.0,
    }) -> BtuFound {
        /// Heat in British thermal units an hour.
        btu_per_h: f64,
    }
    because "3.41214 × {power_w} = {btu_per_h} BTU/h"
    source "definition of the British thermal unit", Confirmed

    /// How much a shut room warms, were its walls to take nothing: an upper bound.
    ///
    /// Warm lamps mean rising air, which carries haze with it.
    adiabatic_rise(AdiabaticRise {
        /// Power of everything that burns.
        power_w: f64 = AtLeast(0.0); usual 10_000.0,
        /// Volume of the room.
        volume_m3: f64 = Above(0.0); usual 1000.0,
        /// Time with the doors shut.
        minutes: f64 = AtLeast(0.0); usual 30.0,
    }) -> ShutRoom {
        /// Rise of the air.
        temperature_rise_k: f64,
    }
    because "{power_w} × {minutes} × 60 ÷ (1.204 × 1006 × {volume_m3}) = {temperature_rise_k} K at most"
    source "heat taken by air at 20 °C: 1.204 kg/m³, 1006 J/(kg K)", Confirmed

    /// How much warmer the air leaves than it came.
    ventilated_rise(VentilatedRise {
        /// Power of everything that burns.
        power_w: f64 = AtLeast(0.0); usual 10_000.0,
        /// Air drawn through the room.
        airflow_m3ps: f64 = Above(0.0); usual 1.0,
    }) -> VentilatedRoom {
        /// Rise of the air on its way.
        temperature_rise_k: f64,
    }
    because "{power_w} ÷ (1.204 × 1006 × {airflow_m3ps}) = {temperature_rise_k} K"
    source "heat taken by air at 20 °C: 1.204 kg/m³, 1006 J/(kg K)", Confirmed
}

fn heat_btu(i: &HeatBtu, _: &mut Warnings) -> BtuFound {
    BtuFound {
        btu_per_h: BTU_PER_H_PER_W * i.power_w,
    }
}

fn adiabatic_rise(i: &AdiabaticRise, _: &mut Warnings) -> ShutRoom {
    ShutRoom {
        temperature_rise_k: i.power_w * i.minutes * S_PER_MIN
            / (AIR_KGPM3 * AIR_JPKGK * i.volume_m3),
    }
}

fn ventilated_rise(i: &VentilatedRise, _: &mut Warnings) -> VentilatedRoom {
    VentilatedRoom {
        temperature_rise_k: i.power_w / (AIR_KGPM3 * AIR_JPKGK * i.airflow_m3ps),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::Calculate;
    use proptest::prelude::*;

    proptest! {
        #[test]
        fn one_change_of_air_is_the_shut_room(power in 1.0..1e5_f64, volume in 10.0..1e4_f64, minutes in 1.0..90.0_f64) {
            let shut = AdiabaticRise { power_w: power, volume_m3: volume, minutes }.work().expect("in range");
            let airflow_m3ps = volume / (minutes * 60.0);
            let drawn = VentilatedRise { power_w: power, airflow_m3ps }.work().expect("in range");
            prop_assert!((shut.temperature_rise_k / drawn.temperature_rise_k - 1.0).abs() < 1e-9);
        }
    }
}
