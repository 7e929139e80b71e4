//! Voltage lost along a cable, by the two bodies of rules that crews meet.

use super::needs_one_or_three;
use crate::calculation::calculation;
use crate::fault::{Fault, FaultKind, Warnings};
use crate::figure::{carried, found, given};
use crate::input::choice;
use std::sync::LazyLock;

/// Feet for which the table gives the resistance.
const FT_PER_KFT: f64 = 1000.0;
/// Temperature coefficient of copper at 20 °C, 1/K.
const COPPER_PER_K: f64 = 0.003_93;
/// Temperature at which copper is tabled, °C.
const TABLED_C: f64 = 20.0;
/// Reactance of a cable for each metre, Ω/m (IEC 60364-5-52 Annex G).
const REACTANCE_OHM_PER_M: f64 = 0.08e-3;
/// Drop at which lamps are seen to dim and both bodies of rules ask for thicker cable, %.
const DROP_LIMIT_PERCENT: f64 = 3.0;

choice! {
    /// Metal of a cable.
    Conductor {
        /// Copper: 0.0225 Ω·mm²/m when warm.
        Copper = "copper",
        /// Aluminium: 0.036 Ω·mm²/m when warm.
        Aluminium = "aluminium",
    }
}

impl Conductor {
    /// Resistivity of the warm conductor, Ω·mm²/m (IEC 60364-5-52 Annex G).
    const fn resistivity_ohm_mm2_per_m(self) -> f64 {
        match self {
            Self::Copper => 0.0225,
            Self::Aluminium => 0.036,
        }
    }
}

choice! {
    /// What a cable feeds, and from where.
    DropCase {
        /// Lamps on the public supply.
        PublicSupplyLighting = "public_supply_lighting",
        /// Anything else on the public supply.
        PublicSupplyOther = "public_supply_other",
        /// Lamps on a supply of one's own.
        PrivateSupplyLighting = "private_supply_lighting",
        /// Anything else on a supply of one's own.
        PrivateSupplyOther = "private_supply_other",
    }
}

impl DropCase {
    const fn percent(self) -> f64 {
        match self {
            Self::PublicSupplyLighting => 3.0,
            Self::PublicSupplyOther => 5.0,
            Self::PrivateSupplyLighting => 6.0,
            Self::PrivateSupplyOther => 8.0,
        }
    }
}

calculation! { "power";
    /// Voltage lost along a cable, by American wire gauge.
    ///
    /// Stranded uncoated copper at 75 °C. Told (`drop_high`) above 3 %, the aim for a branch; 5 % is the aim in all.
    drop_nec(DropNec {
        /// Gauge of the conductor: `10`, `1/0`.
        awg: String = Any; usual "10".to_owned(),
        /// Length one way.
        one_way_ft: f64 = AtLeast(0.0); usual 100.0,
        /// Current drawn.
        current_a: f64 = AtLeast(0.0); usual 16.0,
        /// One phase or three.
        phases: u32 = Any; default 1_u32,
        /// Voltage of the supply: between lines for three phases.
        voltage_v: f64 = Above(0.0); usual 120.0,
    }) -> NecDrop {
        /// Voltage lost.
        drop_v: f64,
        /// The same in hundredths of the supply.
        drop_percent: f64,
    }
    because drop_nec_because
    source "NFPA 70 (National Electrical Code) Chapter 9 Table 8", Confirmed

    /// Voltage lost along a cable, by cross-section.
    ///
    /// Between line and neutral, in hundredths of that voltage. Told (`drop_high`) above 3 %, the limit for lighting on
    /// the public supply.
    drop_iec(DropIec {
        /// Cross-section of the conductor.
        area_mm2: f64 = Above(0.0); usual 2.5,
        /// Length of the cable.
        length_m: f64 = AtLeast(0.0); usual 25.0,
        /// Current drawn.
        current_a: f64 = AtLeast(0.0); usual 16.0,
        /// Power factor of the load.
        power_factor: f64 = AboveUpTo(0.0, 1.0); default 1.0,
        /// One phase or three.
        phases: u32 = Any; default 1_u32,
        /// Voltage from line to neutral.
        line_to_neutral_v: f64 = Above(0.0); default 230.0,
        /// Metal of the cable.
        conductor: Conductor = Any; default Conductor::Copper,
    }) -> IecDrop {
        /// Voltage lost between line and neutral.
        drop_v: f64,
        /// The same in hundredths of that voltage.
        drop_percent: f64,
    }
    because drop_iec_because
    source "IEC 60364-5-52 Annex G", Confirmed

    /// Voltage that may be lost between the origin of a supply and the lamp.
    drop_limit(DropLimit {
        /// What is fed, and from where.
        case: DropCase = Any; usual DropCase::PublicSupplyLighting,
    }) -> DropLimitFound {
        /// Hundredths of the supply that may be lost.
        percent: f64,
    }
    because drop_limit_because
    source "IEC 60364-5-52 Table G.52.1", Confirmed

    /// Resistance of copper that is warmer or colder than its table.
    copper_temp(CopperTemp {
        /// Resistance at 20 °C.
        resistance_20c_ohm: f64 = AtLeast(0.0); usual 1.0,
        /// Temperature of the conductor.
        temperature_c: f64 = Between(-200.0, 500.0); usual 70.0,
    }) -> CopperFound {
        /// Resistance at that temperature.
        resistance_ohm: f64,
    }
    because "{resistance_20c_ohm} × (1 + 0.00393 × ({temperature_c} − 20)) = {resistance_ohm} Ω"
    source "temperature coefficient of copper at 20 °C, 0.00393 (IEC 60028)", FromMemory
}

/// Gauge and resistance of stranded copper at 75 °C, Ω for 1000 ft.
fn gauges() -> &'static [(String, f64)] {
    static GAUGES: LazyLock<Vec<(String, f64)>> = LazyLock::new(|| {
        crate::table::rows(include_str!("../data/conductor_resistance_nec.csv"))
            .iter()
            .filter_map(|row| {
                let ohm_per_kft = row.get("stranded_ohm_per_kft")?.parse().ok()?;
                Some((row.get("awg")?.clone(), ohm_per_kft))
            })
            .collect()
    });
    &GAUGES
}

fn resistance_ohm_per_kft(awg: &str) -> Result<f64, Fault> {
    let row = gauges().iter().find(|(gauge, _)| gauge == awg.trim());
    row.map(|(_, ohm_per_kft)| *ohm_per_kft).ok_or_else(|| {
        let known: Vec<_> = gauges().iter().map(|(gauge, _)| gauge.as_str()).collect();
        let problem = format!("Gauge must be one of {}.", known.join(", "));
        Fault::new("awg", FaultKind::NotOneOf, problem)
    })
}

/// How many lengths of conductor the drop counts: there and back, or √3 between lines.
fn lengths(phases: u32) -> f64 {
    if phases == 3 { 3_f64.sqrt() } else { 2.0 }
}

fn drop_nec(i: &DropNec, warnings: &mut Warnings) -> Result<NecDrop, Vec<Fault>> {
    let faults: Vec<Fault> = needs_one_or_three(i.phases).err().into_iter().collect();
    let ohm_per_kft = match resistance_ohm_per_kft(&i.awg) {
        Ok(ohm_per_kft) if faults.is_empty() => ohm_per_kft,
        Ok(_) => return Err(faults),
        Err(fault) => return Err(std::iter::once(fault).chain(faults).collect()),
    };
    let drop_v = lengths(i.phases) * i.one_way_ft * ohm_per_kft * i.current_a / FT_PER_KFT;
    let drop_percent = 100.0 * drop_v / i.voltage_v;
    warnings.add_if(drop_percent > DROP_LIMIT_PERCENT, "drop_high");
    Ok(NecDrop {
        drop_v,
        drop_percent,
    })
}

fn drop_nec_because(i: &DropNec, a: &NecDrop) -> String {
    let lengths = if i.phases == 3 { "√3" } else { "2" };
    let ohm_per_kft = resistance_ohm_per_kft(&i.awg).unwrap_or(0.0);
    format!(
        "{lengths} × {} × {} × {} ÷ 1000 = {} V, {} % of the supply",
        given(i.one_way_ft),
        given(ohm_per_kft),
        given(i.current_a),
        found(a.drop_v),
        found(a.drop_percent)
    )
}

/// Resistance and reactance of one length for the load's share of each, Ω.
fn impedance_ohm(i: &DropIec) -> (f64, f64) {
    let sine = (1.0 - i.power_factor * i.power_factor).sqrt();
    let resistivity = i.conductor.resistivity_ohm_mm2_per_m();
    (
        resistivity * i.length_m / i.area_mm2 * i.power_factor,
        REACTANCE_OHM_PER_M * i.length_m * sine,
    )
}

fn drop_iec(i: &DropIec, warnings: &mut Warnings) -> Result<IecDrop, Fault> {
    needs_one_or_three(i.phases)?;
    let (resistance_ohm, reactance_ohm) = impedance_ohm(i);
    let lengths = if i.phases == 3 { 1.0 } else { 2.0 };
    let drop_v = lengths * (resistance_ohm + reactance_ohm) * i.current_a;
    let drop_percent = 100.0 * drop_v / i.line_to_neutral_v;
    warnings.add_if(drop_percent > DROP_LIMIT_PERCENT, "drop_high");
    Ok(IecDrop {
        drop_v,
        drop_percent,
    })
}

fn drop_iec_because(i: &DropIec, a: &IecDrop) -> String {
    let lengths = if i.phases == 3 { 1 } else { 2 };
    let (_, reactance_ohm) = impedance_ohm(i);
    format!(
        "{lengths} × ({} × {} ÷ {} × {} + {}) × {} = {} V, {} % of the voltage to neutral",
        given(i.conductor.resistivity_ohm_mm2_per_m()),
        given(i.length_m),
        given(i.area_mm2),
        given(i.power_factor),
        carried(reactance_ohm),
        given(i.current_a),
        found(a.drop_v),
        found(a.drop_percent)
    )
}

fn drop_limit(i: &DropLimit, _: &mut Warnings) -> DropLimitFound {
    DropLimitFound {
        percent: i.case.percent(),
    }
}

fn drop_limit_because(_: &DropLimit, a: &DropLimitFound) -> String {
    let percent = given(a.percent);
    format!("1 × {percent} = {percent} % of the supply from its origin to the lamp")
}

fn copper_temp(i: &CopperTemp, _: &mut Warnings) -> CopperFound {
    CopperFound {
        resistance_ohm: i.resistance_20c_ohm * (1.0 + COPPER_PER_K * (i.temperature_c - TABLED_C)),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::Calculate;
    use proptest::prelude::*;

    fn american(awg: &str, phases: u32) -> DropNec {
        DropNec {
            awg: awg.to_owned(),
            one_way_ft: 100.0,
            current_a: 16.0,
            phases,
            voltage_v: 120.0,
        }
    }

    #[test]
    fn every_gauge_of_the_table_answers_and_thicker_loses_less() {
        assert_eq!(gauges().len(), 15);
        let drops: Vec<f64> = gauges()
            .iter()
            .map(|(awg, _)| american(awg, 1).work().expect("a gauge").drop_v)
            .collect();
        assert!(drops.is_sorted_by(|thin, thick| thin > thick));
    }

    #[test]
    fn a_gauge_or_a_number_of_phases_that_is_none_is_named() {
        let faults = american("11", 2).work().expect_err("refused");
        let fields: Vec<_> = faults.iter().map(|fault| fault.field.as_str()).collect();
        assert_eq!(fields, ["awg", "phases"]);
    }

    #[test]
    fn a_drop_over_three_hundredths_is_told() {
        assert_eq!(
            american("10", 1).work().expect("in range").warnings,
            ["drop_high"]
        );
        assert!(
            american("6", 1)
                .work()
                .expect("in range")
                .warnings
                .is_empty()
        );
    }

    proptest! {
        #[test]
        fn twice_the_copper_is_half_the_drop(area in 0.5..60.0_f64, length in 1.0..200.0_f64) {
            let drop = |area_mm2| DropIec {
                area_mm2, length_m: length, current_a: 10.0, power_factor: 1.0, phases: 1, line_to_neutral_v: 230.0,
                conductor: Conductor::Copper,
            }.work().expect("in range").drop_v;
            prop_assert!((drop(area) / drop(2.0 * area) - 2.0).abs() < 1e-9);
        }
    }
}
