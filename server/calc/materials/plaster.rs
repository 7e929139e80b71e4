//! Plaster: how much powder and water fill a mould, and what has to dry out again.

use super::MOST_SPARE;
use super::formula::{Setting, WATER_GPMOL};
use crate::calculation::calculation;
use crate::fault::{Fault, FaultKind, Warnings};
use crate::figure::{carried, found, given};

/// Water that sets with a gram of plaster, g: CaSO₄·½H₂O + 1½ H₂O → CaSO₄·2H₂O.
const BOUND_WATER: f64 = 1.5 * WATER_GPMOL / (40.078 + 32.06 + 4.0 * 15.999 + 0.5 * WATER_GPMOL);
/// Water at 20 °C, kg/m³.
const WATER_KGPM3: f64 = 998.2;
/// Soft casting plaster (beta hemihydrate) without its air, kg/m³ (handbook, from memory).
const PLASTER_KGPM3: f64 = 2630.0;
/// Litres in a cubic metre.
const L_PER_M3: f64 = 1000.0;
/// Below this the water cannot even set the plaster.
const LEAST_CONSISTENCY: f64 = 19.0;
/// Consistencies that crews mix; common practice, no source.
const USUAL_CONSISTENCY: std::ops::RangeInclusive<f64> = 25.0..=90.0;

calculation! { "materials";
    /// Water that a plaster binds as it sets.
    combined_water(CombinedWater {
        /// What turns into what: `CaSO4.0.5H2O -> CaSO4.2H2O` is plaster.
        formula: String = Any; default "CaSO4.0.5H2O -> CaSO4.2H2O".to_owned(),
    }) -> CombinedWaterFound {
        /// Grams of water bound by 100 g.
        water_g_per_100g_plaster: f64,
    }
    because combined_water_because
    source "stoichiometry with the abridged standard atomic weights of IUPAC", Confirmed

    /// Plaster and water that fill a volume.
    ///
    /// Consistency is parts of water to 100 of plaster by mass: pottery plaster 60 to 75, casting 55 to 70, hard gypsum
    /// cement 34 to 45, dental stone 24 to 32 (common practice). Outside 25 to 90 it is told (`consistency_unusual`); below
    /// 19 the water cannot set the plaster. Air and expansion are left out: weigh a test.
    plaster_mix(PlasterMix {
        /// Volume to fill.
        volume_l: f64 = Above(0.0); usual 10.0,
        /// Parts of water to 100 of plaster, by mass.
        consistency_water_per_100: f64 = AtLeast(LEAST_CONSISTENCY); default 70.0,
        /// Density of the plaster itself: 2630 soft, 2750 hard.
        density_plaster_kgpm3: f64 = Above(0.0); default PLASTER_KGPM3,
        /// Share to mix on top.
        spare_fraction: f64 = Between(0.0, MOST_SPARE); default 0.0; usual 0.1,
    }) -> PlasterMixFound {
        /// Plaster to weigh out.
        plaster_kg: f64,
        /// Water to weigh out.
        water_kg: f64,
        /// Density as poured.
        wet_density_kgpm3: f64,
        /// Density when all free water has dried out.
        dry_density_kgpm3: f64,
    }
    because plaster_mix_because
    source "volumes add up; stoichiometry of setting", Confirmed

    /// Water that has to dry out of a cast.
    drying(Drying {
        /// Plaster in the cast.
        plaster_kg: f64 = Above(0.0); usual 6.5,
        /// Parts of water to 100 of plaster, by mass.
        consistency: f64 = AtLeast(LEAST_CONSISTENCY); default 70.0,
    }) -> DryingFound {
        /// Water that is not bound.
        free_water_kg: f64,
    }
    because drying_because
    source "water mixed in less water bound", Confirmed
}

fn combined_water(i: &CombinedWater, _: &mut Warnings) -> Result<CombinedWaterFound, Fault> {
    let setting = Setting::read(&i.formula).map_err(|problem| {
        let problem = format!("Formula {problem}.");
        Fault::new("formula", FaultKind::OutOfRange, problem)
    })?;
    Ok(CombinedWaterFound {
        water_g_per_100g_plaster: 100.0 * setting.taken_up() * WATER_GPMOL
            / setting.mole_before_g(),
    })
}

fn combined_water_because(i: &CombinedWater, a: &CombinedWaterFound) -> String {
    let (taken_up, mole_before_g) = Setting::read(&i.formula).map_or((0.0, 1.0), |setting| {
        (setting.taken_up(), setting.mole_before_g())
    });
    format!(
        "100 × {} × {} ÷ {} = {} g of water, from the masses of a mole",
        carried(taken_up),
        carried(WATER_GPMOL),
        carried(mole_before_g),
        found(a.water_g_per_100g_plaster)
    )
}

/// Slurry that a kilogram of plaster makes, m³.
fn slurry_m3_per_kg(i: &PlasterMix) -> f64 {
    1.0 / i.density_plaster_kgpm3 + i.consistency_water_per_100 / 100.0 / WATER_KGPM3
}

fn plaster_mix(i: &PlasterMix, warnings: &mut Warnings) -> PlasterMixFound {
    let slurry_m3_per_kg = slurry_m3_per_kg(i);
    let water_share = i.consistency_water_per_100 / 100.0;
    let plaster_kg = i.volume_l / L_PER_M3 * (1.0 + i.spare_fraction) / slurry_m3_per_kg;
    warnings.add_if(
        !USUAL_CONSISTENCY.contains(&i.consistency_water_per_100),
        "consistency_unusual",
    );
    PlasterMixFound {
        plaster_kg,
        water_kg: plaster_kg * water_share,
        wet_density_kgpm3: (1.0 + water_share) / slurry_m3_per_kg,
        dry_density_kgpm3: (1.0 + BOUND_WATER) / slurry_m3_per_kg,
    }
}

fn plaster_mix_because(i: &PlasterMix, a: &PlasterMixFound) -> String {
    format!(
        "{} ÷ 1000 × (1 + {}) ÷ (1 ÷ {} + {} ÷ 100 ÷ 998.2) = {} kg of plaster to {} kg of water",
        given(i.volume_l),
        given(i.spare_fraction),
        given(i.density_plaster_kgpm3),
        given(i.consistency_water_per_100),
        found(a.plaster_kg),
        found(a.water_kg)
    )
}

fn drying(i: &Drying, warnings: &mut Warnings) -> DryingFound {
    warnings.add_if(
        !USUAL_CONSISTENCY.contains(&i.consistency),
        "consistency_unusual",
    );
    DryingFound {
        free_water_kg: i.plaster_kg * (i.consistency / 100.0 - BOUND_WATER),
    }
}

fn drying_because(i: &Drying, a: &DryingFound) -> String {
    format!(
        "{} × ({} ÷ 100 − {}) = {} kg of water to dry out",
        given(i.plaster_kg),
        given(i.consistency),
        carried(BOUND_WATER),
        found(a.free_water_kg)
    )
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::Calculate;
    use proptest::prelude::*;

    fn mix(consistency_water_per_100: f64) -> PlasterMix {
        PlasterMix {
            volume_l: 10.0,
            consistency_water_per_100,
            density_plaster_kgpm3: PLASTER_KGPM3,
            spare_fraction: 0.0,
        }
    }

    #[test]
    fn unusual_mixes_are_told() {
        assert_eq!(
            mix(22.0).work().expect("in range").warnings,
            ["consistency_unusual"]
        );
        assert!(mix(70.0).work().expect("in range").warnings.is_empty());
        assert_eq!(
            mix(15.0).work().expect_err("refused")[0].kind,
            FaultKind::OutOfRange
        );
        assert_eq!(
            mix(-1.0).work().expect_err("refused")[0].kind,
            FaultKind::NotPositive
        );
    }

    #[test]
    fn the_bound_water_is_that_of_the_formula() {
        let bound = CombinedWater {
            formula: "CaSO4.0.5H2O -> CaSO4.2H2O".to_owned(),
        };
        let bound = bound.work().expect("plaster").water_g_per_100g_plaster;
        assert!((bound - 100.0 * BOUND_WATER).abs() < 1e-9);
    }

    proptest! {
        #[test]
        fn what_is_poured_is_what_was_weighed(consistency in 20.0..100.0_f64) {
            let mixed = mix(consistency).work().expect("in range");
            prop_assert!((mixed.wet_density_kgpm3 * 0.01 - mixed.plaster_kg - mixed.water_kg).abs() < 1e-9);
            let dries = Drying { plaster_kg: mixed.plaster_kg, consistency }.work().expect("in range");
            let dry_kg = mixed.dry_density_kgpm3 * 0.01;
            prop_assert!((mixed.plaster_kg + mixed.water_kg - dries.free_water_kg - dry_kg).abs() < 1e-9);
        }
    }
}
