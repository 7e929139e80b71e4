//! Resistors for light-emitting diodes.

use crate::calculation::calculation;
use crate::fault::{Fault, FaultKind, Warnings};
use crate::figure::{carried, found, given};

/// Values of a decade of the E24 series, IEC 60063 from memory.
const E24: [f64; 24] = [
    10.0, 11.0, 12.0, 13.0, 15.0, 16.0, 18.0, 20.0, 22.0, 24.0, 27.0, 30.0, 33.0, 36.0, 39.0, 43.0,
    47.0, 51.0, 56.0, 62.0, 68.0, 75.0, 82.0, 91.0,
];
/// Share of the supply below which the resistor steadies the light too little; common practice, no source.
const LEAST_HEADROOM: f64 = 0.15;
/// A resistor is rated for at least this many times its power.
const RATING_FACTOR: f64 = 2.0;
/// Milliamperes in an ampere.
const MA_PER_A: f64 = 1e3;

calculation! { "practicals";
    /// Resistor for a string of LEDs: the exact one, the next to be had, and what it does.
    ///
    /// R = (V − n F)/I, with n LEDs of F volts each. One resistor for each string. With less than 15 % of the supply left over it the light drifts
    /// with cells and heat (`headroom_low`, common practice). A supply that is no higher than the string is refused.
    /// A closed hull keeps heat: measure it. Above extra-low voltage or in the wet: a licensed electrician, local code.
    led_resistor(LedResistor {
        /// Voltage of the supply.
        supply_v: f64 = Above(0.0); usual 12.0,
        /// Voltage over one lit LED.
        forward_v: f64 = Above(0.0); usual 3.1,
        /// LEDs one after another.
        leds_in_series: u32 = AtLeast(1.0); default 1_u32; usual 3_u32,
        /// Current wanted.
        current_ma: f64 = Above(0.0); usual 20.0,
    }) -> Resistor {
        /// Resistance for exactly that current.
        resistance_ohm: f64,
        /// Next value of the E24 series that is no smaller.
        next_e24_ohm: f64,
        /// Current with that.
        current_with_e24_ma: f64,
        /// Power that turns to heat in it.
        resistor_power_w: f64,
        /// Smallest power it should be rated for.
        resistor_rating_w: f64,
    }
    because led_resistor_because
    source "encyclopedia article on LED circuits; Ohm's law; E24 series IEC 60063 from memory", Confirmed

    /// Current through LEDs with a resistor at hand.
    led_current(LedCurrent {
        /// Voltage of the supply.
        supply_v: f64 = Above(0.0); usual 9.0,
        /// Voltage over one lit LED.
        forward_v: f64 = Above(0.0); usual 3.0,
        /// Resistance.
        resistance_ohm: f64 = Above(0.0); usual 4700.0,
        /// LEDs one after another.
        leds_in_series: u32 = AtLeast(1.0); default 1_u32,
    }) -> LedCurrentFound {
        /// Current.
        current_ma: f64,
    }
    because led_current_because
    source "LED experiment handbook; Ohm's law", Confirmed
}

/// Voltage that the LEDs leave to the resistor.
fn left_v(supply_v: f64, forward_v: f64, leds: u32) -> Result<f64, Fault> {
    let needed_v = f64::from(leds) * forward_v;
    if supply_v <= needed_v {
        let leds = if leds == 1 {
            "One LED needs".to_owned()
        } else {
            format!("{leds} LEDs need")
        };
        let problem = format!(
            "{leds} {} V; supply is {} V.",
            found(needed_v),
            given(supply_v)
        );
        return Err(Fault::new("supply_v", FaultKind::SupplyTooLow, problem));
    }
    Ok(supply_v - needed_v)
}

/// Smallest value of the series that is no smaller, rounding aside.
fn next_in_series(resistance_ohm: f64) -> f64 {
    let wanted = resistance_ohm * (1.0 - 1e-9);
    let decade = wanted.log10().floor() - 1.0;
    // the next decade as well, for what lies above 91
    [decade, decade + 1.0]
        .into_iter()
        .flat_map(|decade| E24.map(|value| value * 10_f64.powf(decade)))
        .find(|value| *value >= wanted)
        .unwrap_or(resistance_ohm)
}

fn led_resistor(i: &LedResistor, warnings: &mut Warnings) -> Result<Resistor, Fault> {
    let left_v = left_v(i.supply_v, i.forward_v, i.leds_in_series)?;
    warnings.add_if(left_v < LEAST_HEADROOM * i.supply_v, "headroom_low");
    let resistance_ohm = left_v * MA_PER_A / i.current_ma;
    let next_e24_ohm = next_in_series(resistance_ohm);
    let current_a = left_v / next_e24_ohm;
    let resistor_power_w = current_a * left_v;
    Ok(Resistor {
        resistance_ohm,
        next_e24_ohm,
        current_with_e24_ma: current_a * MA_PER_A,
        resistor_power_w,
        resistor_rating_w: RATING_FACTOR * resistor_power_w,
    })
}

fn led_resistor_because(i: &LedResistor, a: &Resistor) -> String {
    format!(
        "1000 × ({} − {} × {}) ÷ {} = {} Ω. Take {} Ω, which passes {} mA and should stand {} W.",
        carried(i.supply_v),
        i.leds_in_series,
        carried(i.forward_v),
        given(i.current_ma),
        found(a.resistance_ohm),
        found(a.next_e24_ohm),
        found(a.current_with_e24_ma),
        found(a.resistor_rating_w)
    )
}

fn led_current(i: &LedCurrent, _: &mut Warnings) -> Result<LedCurrentFound, Fault> {
    let left_v = left_v(i.supply_v, i.forward_v, i.leds_in_series)?;
    Ok(LedCurrentFound {
        current_ma: left_v * MA_PER_A / i.resistance_ohm,
    })
}

fn led_current_because(i: &LedCurrent, a: &LedCurrentFound) -> String {
    format!(
        "1000 × ({} − {} × {}) ÷ {} = {} mA",
        carried(i.supply_v),
        i.leds_in_series,
        carried(i.forward_v),
        given(i.resistance_ohm),
        found(a.current_ma)
    )
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::Calculate;
    use proptest::prelude::*;

    fn string(supply_v: f64, leds_in_series: u32) -> Result<crate::Worked<Resistor>, Vec<Fault>> {
        LedResistor {
            supply_v,
            forward_v: 3.0,
            leds_in_series,
            current_ma: 20.0,
        }
        .work()
    }

    #[test]
    fn the_supply_must_be_higher_than_the_string_and_better_much() {
        assert_eq!(
            string(9.0, 3).expect_err("refused")[0].kind,
            FaultKind::SupplyTooLow
        );
        assert_eq!(
            string(10.0, 3).expect("in range").warnings,
            ["headroom_low"]
        );
        assert!(string(12.0, 3).expect("in range").warnings.is_empty());
        assert_eq!(
            string(12.0, 0).expect_err("refused")[0].kind,
            FaultKind::NotPositive
        );
    }

    #[test]
    fn values_of_the_series_stay_and_others_go_up() {
        for (wanted, next) in [
            (150.0, 150.0),
            (150.1, 160.0),
            (91.5, 100.0),
            (0.95, 1.0),
            (2040.0, 2200.0),
        ] {
            assert!(
                (next_in_series(wanted) / next - 1.0).abs() < 1e-12,
                "{wanted}"
            );
        }
    }

    proptest! {
        #[test]
        fn the_resistor_at_hand_never_passes_more(supply in 3.5..60.0) {
            let resistor = string(supply, 1).expect("in range");
            prop_assert!(resistor.current_with_e24_ma <= 20.0 * (1.0 + 1e-8));
            prop_assert!(resistor.next_e24_ohm < resistor.resistance_ohm * 1.16);
            let passed = LedCurrent { supply_v: supply, forward_v: 3.0, resistance_ohm: resistor.next_e24_ohm, leds_in_series: 1 };
            prop_assert!((passed.work().expect("in range").current_ma / resistor.current_with_e24_ma - 1.0).abs() < 1e-9);
        }
    }
}
