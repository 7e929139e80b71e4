//! What becomes of droplets: they fall, meet and evaporate, all slowly.

use super::{GRAVITY_MPS2, MIN_PER_H};
use crate::calculation::calculation;
use crate::fault::Warnings;
use crate::figure::{carried, found, given};
use std::f64::consts::PI;

/// Gas constant, J/(mol K) (exact since 2019).
const GAS_CONSTANT: f64 = 8.314_462_618;
/// Viscosity of air at 20 °C, Pa·s (handbook value).
const AIR_VISCOSITY_PAS: f64 = 1.81e-5;
/// Mean free path in air at 20 °C, µm (Hinds, Aerosol Technology, 2nd edition, from memory).
const MEAN_FREE_PATH_UM: f64 = 0.066;
/// Droplets above this fall faster than Stokes' law says, µm.
const STOKES_UM: f64 = 50.0;
/// Coagulation of droplets of 1 µm, m³/s (Hinds, from memory).
const COAGULATION_M3PS: f64 = 3.4e-16;
/// Air at room temperature, K.
const ROOM_K: f64 = 293.15;

calculation! { "haze-fill";
    /// Vapour that the air can hold: haze below this level can vanish by itself.
    vapour_capacity(VapourCapacity {
        /// Name of the liquid; not part of the sum, kept with its figures.
        liquid: Option<String> = Any; usual "propylene_glycol".to_owned(),
        /// Vapour pressure of the liquid at that temperature.
        vapour_pressure_pa: f64 = AtLeast(0.0); usual 11.0,
        /// Molar mass of the liquid.
        molar_mass_gpmol: f64 = Above(0.0); usual 76.09,
        /// Temperature of the air.
        temperature_k: f64 = Above(0.0); default ROOM_K,
    }) -> Capacity {
        /// Vapour in saturated air.
        concentration_saturated_mgpm3: f64,
    }
    because "{vapour_pressure_pa} × {molar_mass_gpmol} ÷ (8.314463 × {temperature_k}) × 1000 = {concentration_saturated_mgpm3} mg/m³"
    source "ideal gas; vapour pressures are round handbook figures", FromMemory

    /// How fast a droplet falls in still air.
    ///
    /// Stokes' law with slip. Warns (`beyond_stokes`) over 50 µm, where it falls slower than this.
    settling(Settling {
        /// Diameter of the droplet.
        diameter_um: f64 = Above(0.0); usual 2.0,
        /// Density of the liquid.
        density_kgpm3: f64 = Above(0.0); usual 1036.0,
    }) -> SettlingFound {
        /// Speed of fall.
        settling_speed_mps: f64,
        /// Factor by which it falls faster because air is made of molecules.
        slip_correction: f64,
    }
    because settling_because
    source "Allen and Raabe 1985, as in Hinds, Aerosol Technology, 2nd edition, equation 3.20", FromMemory

    /// Slip of a small droplet, by the older form.
    slip_davies(SlipDavies {
        /// Diameter of the droplet.
        diameter_um: f64 = Above(0.0); usual 1.0,
        /// Mean free path of the air.
        mean_free_path_um: f64 = Above(0.0); default MEAN_FREE_PATH_UM,
    }) -> SlipDaviesFound {
        /// Factor by which it falls faster.
        slip_correction: f64,
    }
    because "1 + 2 × {mean_free_path_um} ÷ {diameter_um} × (1.257 + 0.4 × e^−(1.1 × {diameter_um} ÷ (2 × {mean_free_path_um}))) = {slip_correction}"
    source "Davies 1945", Confirmed

    /// Share of droplets that a stirred room loses to its floor each hour.
    stirred_deposition(StirredDeposition {
        /// Diameter of the droplets.
        diameter_um: f64 = Above(0.0); usual 1.0,
        /// Density of the liquid.
        density_kgpm3: f64 = Above(0.0); usual 1036.0,
        /// Height of the room.
        room_height_m: f64 = Above(0.0); usual 5.0,
    }) -> DepositionLoss {
        /// Share lost each hour.
        loss_per_h: f64,
    }
    because stirred_deposition_because
    source "stirred settling: Hinds, Aerosol Technology, chapter 3", FromMemory

    /// How many droplets there are, and how soon half of them have met another.
    ///
    /// Dense haze coarsens and hides less for its mass; negligible under 100 mg/m³.
    coagulation(Coagulation {
        /// Mass in the air.
        concentration_mgpm3: f64 = Above(0.0); usual 1000.0,
        /// Diameter of the droplets.
        diameter_um: f64 = Above(0.0); usual 1.0,
        /// Density of the liquid.
        density_kgpm3: f64 = Above(0.0); usual 1036.0,
        /// How readily two of them meet and join.
        coagulation_m3ps: f64 = Above(0.0); default COAGULATION_M3PS,
    }) -> CoagulationFound {
        /// Droplets in a cubic metre.
        number_per_m3: f64,
        /// Time until half are left.
        halving_time_min: f64,
    }
    because coagulation_because
    source "Smoluchowski for one size: Hinds, Aerosol Technology, chapter 12", FromMemory
}

fn vapour_capacity(i: &VapourCapacity, _: &mut Warnings) -> Capacity {
    Capacity {
        concentration_saturated_mgpm3: i.vapour_pressure_pa * i.molar_mass_gpmol
            / (GAS_CONSTANT * i.temperature_k)
            * super::MG_PER_G,
    }
}

/// Slip by Allen and Raabe.
fn slip(diameter_um: f64) -> f64 {
    let ratio = diameter_um / MEAN_FREE_PATH_UM;
    1.0 + (2.34 + 1.05 * (-0.39 * ratio).exp()) / ratio
}

fn settling_speed_mps(diameter_um: f64, density_kgpm3: f64, warnings: &mut Warnings) -> f64 {
    warnings.add_if(diameter_um > STOKES_UM, "beyond_stokes");
    let diameter_m = diameter_um * 1e-6;
    density_kgpm3 * diameter_m.powi(2) * GRAVITY_MPS2 * slip(diameter_um)
        / (18.0 * AIR_VISCOSITY_PAS)
}

fn settling(i: &Settling, warnings: &mut Warnings) -> SettlingFound {
    SettlingFound {
        settling_speed_mps: settling_speed_mps(i.diameter_um, i.density_kgpm3, warnings),
        slip_correction: slip(i.diameter_um),
    }
}

fn settling_because(i: &Settling, a: &SettlingFound) -> String {
    format!(
        "{} × {}^2 × 9.81 × {} ÷ (18 × 18.1) = {} µm/s, with the slip, and the viscosity of air in µPa·s",
        given(i.density_kgpm3),
        given(i.diameter_um),
        carried(a.slip_correction),
        // kg/m³ × µm² ÷ µPa·s is µm/s
        found(a.settling_speed_mps * 1e6)
    )
}

fn slip_davies(i: &SlipDavies, _: &mut Warnings) -> SlipDaviesFound {
    let ratio = 2.0 * i.mean_free_path_um / i.diameter_um;
    SlipDaviesFound {
        slip_correction: 1.0 + ratio * (1.257 + 0.4 * (-1.1 / ratio).exp()),
    }
}

fn stirred_deposition(i: &StirredDeposition, warnings: &mut Warnings) -> DepositionLoss {
    DepositionLoss {
        loss_per_h: settling_speed_mps(i.diameter_um, i.density_kgpm3, warnings) / i.room_height_m
            * 3600.0,
    }
}

fn stirred_deposition_because(i: &StirredDeposition, a: &DepositionLoss) -> String {
    let speed_mmps = a.loss_per_h * i.room_height_m / 3.6;
    format!(
        "{} × 3.6 ÷ {} = {} of the droplets an hour, from the speed of their fall in mm/s",
        carried(speed_mmps),
        given(i.room_height_m),
        found(a.loss_per_h)
    )
}

fn coagulation(i: &Coagulation, _: &mut Warnings) -> CoagulationFound {
    let droplet_kg = i.density_kgpm3 * PI * (i.diameter_um * 1e-6).powi(3) / 6.0;
    let number_per_m3 = i.concentration_mgpm3 * 1e-6 / droplet_kg;
    CoagulationFound {
        number_per_m3,
        halving_time_min: 1.0 / (i.coagulation_m3ps * number_per_m3) / MIN_PER_H,
    }
}

fn coagulation_because(i: &Coagulation, a: &CoagulationFound) -> String {
    // both in powers of ten that cancel to 10 000
    format!(
        "10\u{202f}000 ÷ ({} × {} × 60) = {} min, with a rate in 10⁻¹⁶ m³/s and droplets in millions in a cubic centimetre",
        carried(i.coagulation_m3ps * 1e16),
        carried(a.number_per_m3 / 1e12),
        found(a.halving_time_min)
    )
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::Calculate;
    use proptest::prelude::*;

    fn fall(diameter_um: f64) -> crate::Worked<SettlingFound> {
        Settling {
            diameter_um,
            density_kgpm3: 1000.0,
        }
        .work()
        .expect("in range")
    }

    #[test]
    fn a_droplet_of_one_micrometre_falls_a_decimetre_an_hour() {
        // Hinds, Aerosol Technology, settling table: 3.48 × 10⁻⁵ m/s
        assert!((fall(1.0).settling_speed_mps / 3.48e-5 - 1.0).abs() < 0.005);
    }

    #[test]
    fn rain_is_beyond_stokes() {
        assert!(fall(50.0).warnings.is_empty());
        assert_eq!(fall(51.0).warnings, ["beyond_stokes"]);
    }

    #[test]
    fn large_droplets_do_not_slip() {
        assert!((fall(40.0).slip_correction - 1.0).abs() < 0.005);
    }

    proptest! {
        #[test]
        fn larger_droplets_fall_faster(diameter in 0.1..40.0, more in 1.01..2.0_f64) {
            prop_assert!(fall(diameter * more).settling_speed_mps > fall(diameter).settling_speed_mps);
        }

        #[test]
        fn both_slips_agree_within_two_percent(diameter in 0.2..20.0) {
            let davies = SlipDavies { diameter_um: diameter, mean_free_path_um: MEAN_FREE_PATH_UM };
            prop_assert!((davies.work().expect("in range").slip_correction / slip(diameter) - 1.0).abs() < 0.02);
        }
    }
}
