//! The phases of daylight, by colour temperature.

use super::observer::{Chromaticity, Spectrum, between, spectrum};
use crate::calculation::calculation;
use crate::fault::Warnings;
use crate::figure::{carried, found, given};
use crate::input::choice;
use std::sync::LazyLock;

/// Colour temperatures between which daylight is defined, K.
pub const COOLEST_K: f64 = 4000.0;
/// The blue end of it.
pub const BLUEST_K: f64 = 25_000.0;
/// Where one polynomial takes over from the other, K.
const MIDDLE_K: f64 = 7000.0;
/// The radiation constant as it is now over what it was when daylight was named.
const CONSTANT_SINCE: f64 = 1.4388 / 1.4380;

choice! {
    /// A daylight that was given a name of its own.
    StandardDaylight {
        /// Horizon light.
        D50 = "D50",
        /// Mid-morning light.
        D55 = "D55",
        /// Noon light; white of screens.
        D65 = "D65",
        /// North sky light.
        D75 = "D75",
    }
}

impl StandardDaylight {
    /// The colour temperature it is named for.
    pub const fn nominal_k(self) -> f64 {
        match self {
            Self::D50 => 5000.0,
            Self::D55 => 5500.0,
            Self::D65 => 6500.0,
            Self::D75 => 7500.0,
        }
    }

    /// Its colour temperature with today's radiation constant.
    pub fn cct_k(self) -> f64 {
        named_k(self.nominal_k())
    }
}

/// A nominal colour temperature with today's radiation constant.
pub fn named_k(nominal_k: f64) -> f64 {
    nominal_k * CONSTANT_SINCE
}

calculation! { "colour";
    /// Colour of daylight, by its colour temperature.
    daylight_locus(DaylightLocus {
        /// Colour temperature of the daylight.
        temperature_k: f64 = Between(COOLEST_K, BLUEST_K); usual 5600.0,
    }) -> DaylightXy {
        /// x.
        x: f64,
        /// y.
        y: f64,
    }
    because daylight_locus_because
    source "CIE 015, daylight illuminants", Confirmed

    /// How much of the two components daylight mixes into the mean.
    daylight_multipliers(DaylightMultipliers {
        /// Colour temperature of the daylight.
        temperature_k: f64 = Between(COOLEST_K, BLUEST_K); usual 6504.0,
    }) -> Multipliers {
        /// Share of the first component: blue against yellow.
        m1: f64,
        /// Share of the second: pink against green.
        m2: f64,
    }
    because daylight_multipliers_because
    source "CIE 015, daylight illuminants", Confirmed

    /// Power of a named daylight at a wavelength, 100 at 560 nm.
    daylight_spd(DaylightSpd {
        /// Name of the daylight.
        illuminant: StandardDaylight = Any; default StandardDaylight::D65,
        /// Wavelength.
        wavelength_nm: f64 = Between(300.0, 830.0); usual 450.0,
    }) -> DaylightPower {
        /// Power there, 100 at 560 nm.
        relative_power: f64,
    }
    because daylight_spd_because
    source "ISO/CIE 11664-2; CIE 015", Confirmed
}

/// Factors of x by falling powers of the temperature, from 1/T³ to 1.
fn factors(temperature_k: f64) -> [f64; 4] {
    if temperature_k <= MIDDLE_K {
        [-4.6070e9, 2.9678e6, 99.11, 0.244_063]
    } else {
        [-2.0064e9, 1.9018e6, 247.48, 0.237_040]
    }
}

/// Colour of daylight of a colour temperature from 4000 to 25 000 K.
pub fn daylight_xy(temperature_k: f64) -> Chromaticity {
    let [cubic, square, linear, constant] = factors(temperature_k);
    let x = ((cubic / temperature_k + square) / temperature_k + linear) / temperature_k + constant;
    Chromaticity {
        x,
        y: -3.0 * x * x + 2.870 * x - 0.275,
    }
}

fn multipliers(temperature_k: f64) -> (f64, f64) {
    let Chromaticity { x, y } = daylight_xy(temperature_k);
    let (below, above_1, above_2) = multiplier_parts(x, y);
    (above_1 / below, above_2 / below)
}

/// M, and what stands above it in M1 and M2.
fn multiplier_parts(x: f64, y: f64) -> (f64, f64, f64) {
    (
        0.0241 + 0.2562 * x - 0.7341 * y,
        -1.3515 - 1.7703 * x + 5.9114 * y,
        0.0300 - 31.4424 * x + 30.0717 * y,
    )
}

/// To three decimals, as the named daylights are mixed.
fn to_three_decimals(value: f64) -> f64 {
    (value * 1000.0).round() / 1000.0
}

/// The mean daylight and its two components, by wavelength.
fn components() -> &'static [Vec<(f64, f64)>; 3] {
    static COMPONENTS: LazyLock<[Vec<(f64, f64)>; 3]> = LazyLock::new(|| {
        let table = include_str!("../data/cie_daylight_components_5nm.csv");
        ["S0", "S1", "S2"].map(|name| crate::table::column(table, "wavelength_nm", name))
    });
    &COMPONENTS
}

fn components_at(wavelength_nm: f64) -> [f64; 3] {
    components()
        .each_ref()
        .map(|component| between(component, wavelength_nm).unwrap_or(0.0))
}

fn power_at(wavelength_nm: f64, (m1, m2): (f64, f64)) -> f64 {
    let [mean, first, second] = components_at(wavelength_nm);
    mean + m1 * first + m2 * second
}

/// The components on the grid of the calculations.
fn mixed((m1, m2): (f64, f64)) -> Spectrum {
    static GRID: LazyLock<[Spectrum; 3]> = LazyLock::new(|| {
        components()
            .each_ref()
            .map(|component| spectrum(|at_nm| between(component, at_nm).unwrap_or(0.0)))
    });
    let [mean, first, second] = &*GRID;
    std::array::from_fn(|at| mean[at] + m1 * first[at] + m2 * second[at])
}

/// Power of daylight of a colour temperature from 4000 to 25 000 K, 100 at 560 nm.
pub fn daylight(temperature_k: f64) -> Spectrum {
    mixed(multipliers(temperature_k))
}

/// The same mixed as the named daylights are, with their shares to three decimals.
pub fn named_daylight(temperature_k: f64) -> Spectrum {
    mixed(named_mix(temperature_k))
}

fn named_mix(temperature_k: f64) -> (f64, f64) {
    let (m1, m2) = multipliers(temperature_k);
    (to_three_decimals(m1), to_three_decimals(m2))
}

fn daylight_locus(i: &DaylightLocus, _: &mut Warnings) -> DaylightXy {
    let Chromaticity { x, y } = daylight_xy(i.temperature_k);
    DaylightXy { x, y }
}

fn daylight_locus_because(i: &DaylightLocus, a: &DaylightXy) -> String {
    let [cubic, square, linear, constant] = factors(i.temperature_k).map(given);
    let t = given(i.temperature_k);
    format!(
        "{cubic} ÷ {t}^3 + {square} ÷ {t}^2 + {linear} ÷ {t} + {constant} = {} for x; y is {}",
        found(a.x),
        found(a.y)
    )
}

fn daylight_multipliers(i: &DaylightMultipliers, _: &mut Warnings) -> Multipliers {
    let (m1, m2) = multipliers(i.temperature_k);
    Multipliers { m1, m2 }
}

fn daylight_multipliers_because(i: &DaylightMultipliers, a: &Multipliers) -> String {
    let Chromaticity { x, y } = daylight_xy(i.temperature_k);
    let (below, above, _) = multiplier_parts(x, y);
    format!(
        "{} ÷ {} = {} of the first component, {} of the second, from x {} and y {}",
        carried(above),
        carried(below),
        found(a.m1),
        found(a.m2),
        found(x),
        found(y)
    )
}

fn daylight_spd(i: &DaylightSpd, _: &mut Warnings) -> DaylightPower {
    DaylightPower {
        relative_power: power_at(i.wavelength_nm, named_mix(i.illuminant.cct_k())),
    }
}

fn daylight_spd_because(i: &DaylightSpd, a: &DaylightPower) -> String {
    let (m1, m2) = named_mix(i.illuminant.cct_k());
    let [mean, first, second] = components_at(i.wavelength_nm).map(carried);
    format!(
        "{mean} + {} × {first} + {} × {second} = {}, with 100 at 560 nm",
        given(m1),
        given(m2),
        found(a.relative_power)
    )
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_two_polynomials_meet() {
        let (below, above) = (daylight_xy(MIDDLE_K), daylight_xy(MIDDLE_K + 1e-6));
        assert!((below.x - above.x).abs() < 2e-5 && (below.y - above.y).abs() < 2e-5);
    }

    #[test]
    fn daylight_turns_blue_all_the_way() {
        let xs: Vec<f64> = (40..=250)
            .map(|k| daylight_xy(f64::from(k) * 100.0).x)
            .collect();
        assert!(xs.is_sorted_by(|warm, blue| warm > blue));
    }

    #[test]
    fn no_daylight_has_negative_power() {
        for kelvin in [4000.0, 5600.0, 7000.0, 12_000.0, 25_000.0] {
            assert!(
                daylight(kelvin).iter().all(|power| *power > 0.0),
                "{kelvin}"
            );
        }
    }
}
