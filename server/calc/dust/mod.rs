//! Dust and making materials (family `dust`): the limit that applies to what a making task puts in the air.
//!
//! Read the safety data sheet of the product in your hand; local law and a competent person decide. These notes are
//! reminders, not instructions.

use crate::air_limits::limits::{LimitRow, in_words, look_up};
use crate::calculation::calculation;
use crate::fault::{Fault, Warnings};

/// Litres that a mole of gas takes at 25 °C and 101.3 kPa, as exposure limits are converted.
const MOLAR_VOLUME_LPMOL: f64 = 24.45;
/// Respirable quartz allowed over a working day in the United States, mg/m³ (29 CFR 1910.1053 and 1926.1153).
const SILICA_LIMIT_MGPM3: f64 = 0.05;

calculation! { "dust";
    /// A published limit of a dust or vapour, with who set it and how well it is known.
    ///
    /// Values as facts, not legal advice: check the current edition and local law. Without an authority the strictest
    /// row is given.
    limit(DustLimit {
        /// What is in the air.
        agent: String = Any; usual "respirable_crystalline_silica".to_owned(),
        /// Over what time: `8h_TWA`, `10h_TWA`, `ceiling` and the like.
        basis: String = Any; usual "8h_TWA".to_owned(),
        /// Who set it; the strictest when none is named.
        authority: Option<String> = Any,
    }) -> DustLimitFound {
        /// The limit; none where the authority sets no number.
        value: Option<f64>,
        /// Its unit.
        unit: String,
        /// Who set it.
        authority: String,
        /// Where it holds.
        jurisdiction: String,
        /// How well it is known.
        mark: &'static str,
        /// What else to know.
        note: String,
    }
    because limit_because
    source "exposure limits as published, each row with its authority and mark", Confirmed

    /// A vapour's parts in a million as milligrams in a cubic metre.
    ppm_to_mg_m3(PpmToMgM3 {
        /// Parts in a million of the air.
        ppm: f64 = AtLeast(0.0); usual 50.0,
        /// Mass of a mole of the vapour.
        molar_mass_gpmol: f64 = Above(0.0); usual 104.15,
        /// Litres of a mole; 24.45 is air at 25 °C and 101.3 kPa.
        molar_volume_lpmol: f64 = Above(0.0); default MOLAR_VOLUME_LPMOL,
    }) -> VapourMass {
        /// Mass in a cubic metre.
        concentration_mgpm3: f64,
    }
    because "{ppm} × {molar_mass_gpmol} ÷ {molar_volume_lpmol} = {concentration_mgpm3} mg/m³"
    source "NIOSH Pocket Guide to Chemical Hazards, conversion at 25 °C", Confirmed

    /// Quartz in a dust, against the limit chosen.
    ///
    /// Told (`above_limit`) when it is more than the limit: choose a product with less quartz, work wet, extract.
    silica_in_dust(SilicaInDust {
        /// Dust fine enough to be breathed deep.
        respirable_dust_mgpm3: f64 = AtLeast(0.0); usual 0.2,
        /// Share of quartz in it, from the product's sheet.
        quartz_fraction: f64 = Between(0.0, 1.0); usual 0.15,
        /// Limit chosen.
        limit_mgpm3: f64 = Above(0.0); default SILICA_LIMIT_MGPM3,
    }) -> SilicaFound {
        /// Quartz breathed.
        silica_mgpm3: f64,
        /// Times the limit.
        ratio: f64,
    }
    because "{respirable_dust_mgpm3} × {quartz_fraction} ÷ {limit_mgpm3} = {ratio} of the limit, from {silica_mgpm3} mg/m³ of quartz"
    source "29 CFR 1910.1053 and 1926.1153 for the limit; the rest is a product", Confirmed
}

/// Every published limit of dusts, vapours and fogs.
pub fn rows() -> &'static [LimitRow] {
    crate::air_limits::limits::rows()
}

fn limit(i: &DustLimit, _: &mut Warnings) -> Result<DustLimitFound, Fault> {
    let row = look_up(&i.agent, &i.basis, i.authority.as_deref())?;
    Ok(DustLimitFound {
        value: row.value,
        unit: row.unit.clone(),
        authority: row.authority.clone(),
        jurisdiction: row.jurisdiction.clone(),
        mark: row.mark,
        note: row.note.clone(),
    })
}

fn limit_because(i: &DustLimit, a: &DustLimitFound) -> String {
    in_words(&i.basis, a.value, &a.unit, &a.authority, a.mark)
}

fn ppm_to_mg_m3(i: &PpmToMgM3, _: &mut Warnings) -> VapourMass {
    VapourMass {
        concentration_mgpm3: i.ppm * i.molar_mass_gpmol / i.molar_volume_lpmol,
    }
}

fn silica_in_dust(i: &SilicaInDust, warnings: &mut Warnings) -> SilicaFound {
    let silica_mgpm3 = i.respirable_dust_mgpm3 * i.quartz_fraction;
    let ratio = silica_mgpm3 / i.limit_mgpm3;
    warnings.add_if(ratio > 1.0 + 1e-12, "above_limit");
    SilicaFound {
        silica_mgpm3,
        ratio,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::Calculate;
    use crate::fault::FaultKind;
    use proptest::prelude::*;

    fn dust(respirable_dust_mgpm3: f64, quartz_fraction: f64) -> SilicaInDust {
        SilicaInDust {
            respirable_dust_mgpm3,
            quartz_fraction,
            limit_mgpm3: SILICA_LIMIT_MGPM3,
        }
    }

    #[test]
    fn quartz_over_its_limit_is_told_and_at_it_is_not() {
        assert_eq!(
            dust(0.5, 0.2).work().expect("in range").warnings,
            ["above_limit"]
        );
        assert!(
            dust(0.25, 0.2)
                .work()
                .expect("in range")
                .warnings
                .is_empty()
        );
    }

    #[test]
    fn more_quartz_than_dust_is_refused() {
        let faults = dust(0.5, 1.2).work().expect_err("refused");
        assert_eq!(
            (faults[0].field.as_str(), faults[0].kind),
            ("quartz_fraction", FaultKind::OutOfRange)
        );
    }

    #[test]
    fn without_an_authority_the_strictest_limit_is_given() {
        let silica = DustLimit {
            agent: "respirable_crystalline_silica".to_owned(),
            basis: "8h_TWA".to_owned(),
            authority: None,
        };
        let silica = silica.work().expect("a row");
        assert_eq!(silica.value, Some(0.025));
        assert_eq!(silica.mark, "confirmed");
    }

    proptest! {
        #[test]
        fn mass_rises_with_the_parts(ppm in 0.0..900.0_f64, more in 0.1..100.0_f64) {
            let mass = |ppm| PpmToMgM3 { ppm, molar_mass_gpmol: 58.08, molar_volume_lpmol: MOLAR_VOLUME_LPMOL }
                .work().expect("in range").concentration_mgpm3;
            prop_assert!(mass(ppm + more) > mass(ppm));
        }
    }
}
