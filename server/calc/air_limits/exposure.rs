//! Levels against limits, and how long the air takes to clear.

use super::{WORKING_DAY_H, needs_one};
use crate::calculation::{OrInfinity, calculation};
use crate::fault::{Fault, FaultKind, Warnings};
use crate::figure::{found, given};

/// Molar mass of carbon dioxide, g/mol.
const CO2_GPMOL: f64 = 44.01;
/// Volume of a mole of gas at 20 °C, m³.
const MOLAR_VOLUME_M3: f64 = 0.02406;
/// The temperature of that volume, K.
const MOLAR_VOLUME_K: f64 = 293.15;
/// Zero on the Celsius scale, K.
const CELSIUS_ZERO_K: f64 = 273.15;
/// Working limit of carbon dioxide, ppm over 8 h (29 CFR 1910.1000 and others).
const CO2_LIMIT_PPM: f64 = 5000.0;

calculation! { "air-limits";
    /// How long somebody may breathe a level unprotected, if nothing else is breathed that day.
    ///
    /// Over the peak limit, when one is given, not at all (`above_limit`).
    allowed_time(AllowedTime {
        /// Level breathed.
        concentration_mgpm3: f64 = AtLeast(0.0); usual 80.0,
        /// Eight-hour limit chosen.
        twa_limit_mgpm3: f64 = Above(0.0); usual 10.0,
        /// Peak limit chosen, if any.
        peak_limit_mgpm3: Option<f64> = Above(0.0),
    }) -> TimeAllowed {
        /// Hours without protection.
        hours_without_protection: OrInfinity,
        /// The same in minutes.
        minutes_without_protection: OrInfinity,
        /// Level over the peak limit, when one is given.
        times_peak_limit: Option<f64>,
    }
    because allowed_time_because
    source "29 CFR 1910.1000(d)(1)", Confirmed

    /// Time until the air has cleared to a level.
    ///
    /// Real rooms mix badly: the factor runs from 1 (perfect) to 10, and 3 is usual.
    clear_time(ClearTime {
        /// Level at the start.
        concentration_start_mgpm3: f64 = Above(0.0); usual 700.0,
        /// Level wanted.
        target_mgpm3: f64 = Above(0.0); usual 10.0,
        /// Air changes each hour.
        air_changes_per_h: f64 = Above(0.0); usual 6.0,
        /// How badly the air mixes.
        mixing_factor: f64 = Between(1.0, 10.0); default 3.0,
    }) -> ClearTimeFound {
        /// Time until then; none when the air is there already.
        time_min: f64,
    }
    because clear_time_because
    source "exponential purge with a mixing factor: industrial ventilation practice", CommonPractice

    /// Several things in the air that act alike, each as a share of its limit.
    ///
    /// Warns (`above_limit`) when the shares come to more than 1.
    mixture(Mixture {
        /// Level of each.
        concentration_mgpm3: Vec<f64> = AtLeast(0.0); usual vec![6.0, 2.0],
        /// Limit of each.
        limits_mgpm3: Vec<f64> = Above(0.0); usual vec![10.0, 5.0],
    }) -> MixtureFound {
        /// Sum of the shares.
        ratio: f64,
    }
    because mixture_because
    source "29 CFR 1910.1000(d)(2)", Confirmed

    /// The highest level against the peak limit.
    peak(Peak {
        /// Levels while somebody is inside.
        concentration_mgpm3: Vec<f64> = AtLeast(0.0); usual vec![12.0, 38.0, 44.0],
        /// Peak limit chosen.
        peak_limit_mgpm3: f64 = Above(0.0); usual 40.0,
    }) -> PeakFound {
        /// Whether any is over the limit.
        exceeded: bool,
        /// Highest level over the limit.
        worst_ratio: f64,
    }
    because peak_because
    source "comparison with the limit chosen", Confirmed

    /// Carbon dioxide that dry ice adds to a room, as if all at once.
    ///
    /// Air changes are not taken off: it pools low, so the low places are worse. Keep people and animals out of them,
    /// monitor CO₂ and oxygen, nobody alone. Warns (`above_limit`) over 5000 ppm.
    dry_ice(DryIce {
        /// Dry ice that turns to gas.
        dry_ice_kg: f64 = AtLeast(0.0); usual 5.0,
        /// Volume of the room.
        volume_m3: f64 = Above(0.0); usual 300.0,
        /// Air changes each hour; kept with the plan, not taken off.
        air_changes_per_h: f64 = AtLeast(0.0); default 0.0,
        /// Temperature of the air.
        temperature_c: f64 = Above(-273.15); default 20.0,
    }) -> DryIceFound {
        /// Carbon dioxide added.
        co2_added_ppm: f64,
    }
    because "{dry_ice_kg} × 1000 ÷ 44.01 × 0.02406 × ({temperature_c} + 273.15) ÷ 293.15 ÷ {volume_m3} × 1\u{202f}000\u{202f}000 = {co2_added_ppm} ppm, evenly mixed; low places hold more"
    source "ideal gas, 24.06 L/mol at 20 °C", Confirmed
}

fn allowed_time(i: &AllowedTime, warnings: &mut Warnings) -> TimeAllowed {
    let times_peak_limit = i.peak_limit_mgpm3.map(|peak| i.concentration_mgpm3 / peak);
    let over_peak = times_peak_limit.is_some_and(|times| times > 1.0);
    warnings.add_if(over_peak, "above_limit");
    let hours = if over_peak {
        0.0
    } else {
        WORKING_DAY_H * i.twa_limit_mgpm3 / i.concentration_mgpm3
    };
    TimeAllowed {
        hours_without_protection: OrInfinity(hours),
        minutes_without_protection: OrInfinity(hours * 60.0),
        times_peak_limit,
    }
}

fn allowed_time_because(i: &AllowedTime, a: &TimeAllowed) -> String {
    let level = given(i.concentration_mgpm3);
    match (i.peak_limit_mgpm3, a.times_peak_limit) {
        (Some(peak), Some(times)) if times > 1.0 => {
            format!(
                "{level} ÷ {} = {} times the peak limit. No time without protection.",
                given(peak),
                found(times)
            )
        }
        _ if a.hours_without_protection.0.is_infinite() => {
            format!(
                "0 ÷ {} = 0 of the limit. Clear air sets no time.",
                given(i.twa_limit_mgpm3)
            )
        }
        _ => format!(
            "8 × {} ÷ {level} = {} h, which is {} min, if nothing else is breathed that day",
            given(i.twa_limit_mgpm3),
            found(a.hours_without_protection.0),
            found(a.minutes_without_protection.0)
        ),
    }
}

fn clear_time(i: &ClearTime, _: &mut Warnings) -> ClearTimeFound {
    let fall = (i.concentration_start_mgpm3 / i.target_mgpm3).max(1.0).ln();
    ClearTimeFound {
        time_min: 60.0 * i.mixing_factor * fall / i.air_changes_per_h,
    }
}

fn clear_time_because(i: &ClearTime, a: &ClearTimeFound) -> String {
    let there = i.concentration_start_mgpm3 <= i.target_mgpm3;
    let start = if there {
        i.target_mgpm3
    } else {
        i.concentration_start_mgpm3
    };
    format!(
        "60 × {} ÷ {} × ln({} ÷ {}) = {} min{}",
        given(i.mixing_factor),
        given(i.air_changes_per_h),
        given(start),
        given(i.target_mgpm3),
        found(a.time_min),
        if there {
            ". The air is there already."
        } else {
            ", or when a reading says so"
        }
    )
}

fn mixture(i: &Mixture, warnings: &mut Warnings) -> Result<MixtureFound, Fault> {
    let count = i.concentration_mgpm3.len();
    needs_one("concentration_mgpm3", count)?;
    if i.limits_mgpm3.len() != count {
        let problem = format!(
            "{count} levels are given, so {count} limits are needed, not {}.",
            i.limits_mgpm3.len()
        );
        return Err(Fault::new("limits_mgpm3", FaultKind::OutOfRange, problem));
    }
    let ratio = i
        .concentration_mgpm3
        .iter()
        .zip(&i.limits_mgpm3)
        .map(|(level, limit)| level / limit)
        .sum();
    // a sum of shares that is 1 but for rounding is not over it
    warnings.add_if(ratio > 1.0 + 1e-12, "above_limit");
    Ok(MixtureFound { ratio })
}

fn mixture_because(i: &Mixture, a: &MixtureFound) -> String {
    let both = i.concentration_mgpm3.iter().zip(&i.limits_mgpm3);
    let terms: Vec<_> = both
        .map(|(level, limit)| format!("{} ÷ {}", given(*level), given(*limit)))
        .collect();
    format!(
        "{} = {} of what is allowed together",
        terms.join(" + "),
        found(a.ratio)
    )
}

fn highest(levels: &[f64]) -> f64 {
    levels.iter().copied().fold(0.0, f64::max)
}

fn peak(i: &Peak, warnings: &mut Warnings) -> Result<PeakFound, Fault> {
    needs_one("concentration_mgpm3", i.concentration_mgpm3.len())?;
    let worst = highest(&i.concentration_mgpm3);
    let exceeded = worst > i.peak_limit_mgpm3;
    warnings.add_if(exceeded, "above_limit");
    Ok(PeakFound {
        exceeded,
        worst_ratio: worst / i.peak_limit_mgpm3,
    })
}

fn peak_because(i: &Peak, a: &PeakFound) -> String {
    format!(
        "{} ÷ {} = {} of the peak limit at the highest",
        given(highest(&i.concentration_mgpm3)),
        given(i.peak_limit_mgpm3),
        found(a.worst_ratio)
    )
}

fn dry_ice(i: &DryIce, warnings: &mut Warnings) -> DryIceFound {
    let molar_volume_m3 = MOLAR_VOLUME_M3 * (i.temperature_c + CELSIUS_ZERO_K) / MOLAR_VOLUME_K;
    let gas_m3 = i.dry_ice_kg * 1000.0 / CO2_GPMOL * molar_volume_m3;
    let co2_added_ppm = gas_m3 / i.volume_m3 * 1e6;
    warnings.add_if(co2_added_ppm > CO2_LIMIT_PPM, "above_limit");
    DryIceFound { co2_added_ppm }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{Calculate, because};
    use proptest::prelude::*;

    #[test]
    fn over_the_peak_there_is_no_time() {
        let time = |concentration_mgpm3, peak_limit_mgpm3| AllowedTime {
            concentration_mgpm3,
            twa_limit_mgpm3: 10.0,
            peak_limit_mgpm3,
        };
        let over = time(80.0, Some(40.0)).work().expect("in range");
        assert!(over.hours_without_protection.0 == 0.0 && over.warnings == ["above_limit"]);
        assert!(
            (time(80.0, None)
                .work()
                .expect("in range")
                .hours_without_protection
                .0
                - 1.0)
                .abs()
                < 1e-12
        );
        let clear = time(0.0, Some(40.0)).work().expect("in range");
        assert!(clear.hours_without_protection.0.is_infinite());
        for worked in [over, clear] {
            assert!(
                because::evaluate(&worked.because)
                    .expect("an expression")
                    .units_apart()
                    <= 1.0
            );
        }
    }

    #[test]
    fn clear_air_needs_no_purge() {
        let purge = ClearTime {
            concentration_start_mgpm3: 5.0,
            target_mgpm3: 10.0,
            air_changes_per_h: 6.0,
            mixing_factor: 3.0,
        };
        let purge = purge.work().expect("in range");
        assert!(purge.time_min.abs() < 1e-12);
        assert!(
            because::evaluate(&purge.because)
                .expect("an expression")
                .units_apart()
                <= 1.0
        );
    }

    #[test]
    fn every_level_needs_its_limit() {
        let mixture = |limits: &[f64]| Mixture {
            concentration_mgpm3: vec![6.0, 2.0],
            limits_mgpm3: limits.to_vec(),
        };
        assert_eq!(
            mixture(&[10.0]).work().expect_err("refused")[0].field,
            "limits_mgpm3"
        );
        assert_eq!(
            mixture(&[10.0, 0.0]).work().expect_err("refused")[0].kind,
            FaultKind::NotPositive
        );
        assert!(
            mixture(&[10.0, 5.0])
                .work()
                .expect("in range")
                .warnings
                .is_empty()
        );
        assert_eq!(
            mixture(&[10.0, 4.0]).work().expect("in range").warnings,
            ["above_limit"]
        );
    }

    #[test]
    fn at_the_peak_is_not_over_it() {
        let peak = |levels: &[f64]| Peak {
            concentration_mgpm3: levels.to_vec(),
            peak_limit_mgpm3: 40.0,
        };
        assert!(!peak(&[12.0, 40.0]).work().expect("in range").exceeded);
        assert!(peak(&[12.0, 40.1]).work().expect("in range").exceeded);
        assert_eq!(
            peak(&[]).work().expect_err("refused")[0].kind,
            FaultKind::Missing
        );
    }

    proptest! {
        #[test]
        fn better_air_clears_sooner(ach in 0.5..30.0, more in 1.01..3.0_f64) {
            let purge = |air_changes_per_h| ClearTime {
                concentration_start_mgpm3: 700.0, target_mgpm3: 10.0, air_changes_per_h, mixing_factor: 3.0,
            }.work().expect("in range").time_min;
            prop_assert!(purge(ach * more) < purge(ach));
        }
    }
}
