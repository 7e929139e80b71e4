//! Mired arithmetic: colour temperatures on the scale on which a gel is one number.

use super::{MIRED_KELVIN, VERY_BLUE_K};
use crate::calculation::calculation;
use crate::fault::{Fault, FaultKind, Warnings};
use crate::figure::{found, given};
use crate::input::choice;

/// The lamps that the nominal gels turn into each other (common practice, no source; others say 5600 or 6500 K).
const NOMINAL_DAYLIGHT_K: f64 = 5500.0;
const NOMINAL_TUNGSTEN_K: f64 = 3200.0;

choice! {
    /// A conversion gel by its nominal name.
    Gel {
        /// Colour temperature orange: daylight towards tungsten.
        Cto = "CTO",
        /// Colour temperature blue: tungsten towards daylight.
        Ctb = "CTB",
    }
}

choice! {
    /// How much of the full conversion a sheet does, counted in mired.
    Strength {
        /// The whole.
        Full = "full",
        /// A half.
        Half = "half",
        /// A quarter.
        Quarter = "quarter",
        /// An eighth.
        Eighth = "eighth",
    }
}

impl Strength {
    /// The share of the full shift.
    pub const fn share(self) -> f64 {
        match self {
            Self::Full => 1.0,
            Self::Half => 0.5,
            Self::Quarter => 0.25,
            Self::Eighth => 0.125,
        }
    }
}

calculation! { "gel";
    /// Colour temperature in mired, the scale on which gels add up.
    mired(MiredOf {
        /// Colour temperature.
        cct_k: f64 = Above(0.0); usual 5600.0,
    }) -> MiredFound {
        /// The same on the mired scale.
        mired: f64,
    }
    because "10^6 ÷ {cct_k} = {mired} mired"
    source "definition of the reciprocal megakelvin", Confirmed

    /// Shift of a gel that turns one lamp into another: warming is positive, cooling negative.
    shift_from_pair(ShiftFromPair {
        /// Colour temperature of the lamp.
        from_cct_k: f64 = Above(0.0); usual 3200.0,
        /// Colour temperature wanted.
        to_cct_k: f64 = Above(0.0); usual 5600.0,
    }) -> ShiftFound {
        /// Shift of the gel.
        shift_mired: f64,
    }
    because "10^6 ÷ {to_cct_k} − 10^6 ÷ {from_cct_k} = {shift_mired} mired"
    source "definition of the mired shift", Confirmed

    /// What a lamp reads behind one gel.
    ///
    /// Refused when nothing is left of the mired: no such temperature. Above 10 000 K it is told (`very_blue`): there the
    /// arithmetic runs away and only x, y of the spectral sum mean anything.
    apply_shift(ApplyShift {
        /// Colour temperature of the lamp.
        lamp_cct_k: f64 = Above(0.0); usual 5600.0,
        /// Shift of the gel: warming positive, cooling negative.
        shift_mired: f64 = Any; usual 131.0,
    }) -> ShiftedLamp {
        /// What the lamp reads behind it.
        result_cct_k: f64,
    }
    because "10^6 ÷ (10^6 ÷ {lamp_cct_k} + {shift_mired}) = {result_cct_k} K"
    source "mired addition, exact in Wien's approximation", Confirmed

    /// What a lamp reads behind several gels.
    ///
    /// Refused and told as for one gel.
    stack(ShiftStack {
        /// Colour temperature of the lamp.
        lamp_cct_k: f64 = Above(0.0); usual 5600.0,
        /// Shift of each gel; none is the bare lamp.
        shifts_mired: Vec<f64> = Any; usual vec![131.0, -32.7],
    }) -> StackedLamp {
        /// Shift of all together.
        total_shift_mired: f64,
        /// What the lamp reads behind them.
        result_cct_k: f64,
    }
    because stack_because
    source "mired addition, exact in Wien's approximation", Confirmed

    /// Shift of a conversion gel by its nominal name, until the crew's own figure for the roll stands beside it.
    ///
    /// Full turns 5500 K into 3200 K or back; half, quarter and eighth are shares of that shift in mired.
    nominal_gel(NominalGel {
        /// Which way it turns the light.
        gel: Gel = Any; usual Gel::Cto,
        /// How much of the full conversion.
        strength: Strength = Any; default Strength::Full; usual Strength::Half,
        /// Lamp that a full sheet starts from; 5500 K for CTO and 3200 K for CTB when not given.
        from_cct_k: Option<f64> = Above(0.0); usual 5500.0,
        /// Lamp that a full sheet makes of it; 3200 K for CTO and 5500 K for CTB when not given.
        to_cct_k: Option<f64> = Above(0.0); usual 3200.0,
    }) -> NominalShift {
        /// Shift of this sheet.
        shift_mired: f64,
        /// What a 5500 K lamp reads behind it; none when there is no such temperature.
        result_from_5500_cct_k: Option<f64>,
        /// What a 3200 K lamp reads behind it; none when there is no such temperature.
        result_from_3200_cct_k: Option<f64>,
    }
    because nominal_gel_because
    source "nominal conversion between 5500 K and 3200 K, fractions in mired", CommonPractice
}

/// Colour temperature behind a shift, if there is one.
fn shifted_k(lamp_cct_k: f64, shift_mired: f64) -> Option<f64> {
    let mired = MIRED_KELVIN / lamp_cct_k + shift_mired;
    (mired > 0.0).then(|| MIRED_KELVIN / mired)
}

/// The same, refused where there is none and told where arithmetic no longer holds.
fn reading_k(
    field: &str,
    lamp_cct_k: f64,
    shift_mired: f64,
    warnings: &mut Warnings,
) -> Result<f64, Fault> {
    let result_cct_k = shifted_k(lamp_cct_k, shift_mired).ok_or_else(|| {
        let problem =
            "No such temperature: this stack is bluer than any lamp. Use the sum over the spectrum.";
        Fault::new(field, FaultKind::OutOfRange, problem)
    })?;
    warnings.add_if(result_cct_k.max(lamp_cct_k) > VERY_BLUE_K, "very_blue");
    Ok(result_cct_k)
}

fn mired(i: &MiredOf, _: &mut Warnings) -> MiredFound {
    MiredFound {
        mired: MIRED_KELVIN / i.cct_k,
    }
}

fn shift_from_pair(i: &ShiftFromPair, _: &mut Warnings) -> ShiftFound {
    ShiftFound {
        shift_mired: MIRED_KELVIN / i.to_cct_k - MIRED_KELVIN / i.from_cct_k,
    }
}

fn apply_shift(i: &ApplyShift, warnings: &mut Warnings) -> Result<ShiftedLamp, Fault> {
    let result_cct_k = reading_k("shift_mired", i.lamp_cct_k, i.shift_mired, warnings)?;
    Ok(ShiftedLamp { result_cct_k })
}

fn stack(i: &ShiftStack, warnings: &mut Warnings) -> Result<StackedLamp, Fault> {
    let total_shift_mired = i.shifts_mired.iter().sum();
    let result_cct_k = reading_k("shifts_mired", i.lamp_cct_k, total_shift_mired, warnings)?;
    Ok(StackedLamp {
        total_shift_mired,
        result_cct_k,
    })
}

fn stack_because(i: &ShiftStack, a: &StackedLamp) -> String {
    let shifts = i.shifts_mired.iter().map(|shift| given(*shift));
    let terms: Vec<String> = std::iter::once(format!("10^6 ÷ {}", given(i.lamp_cct_k)))
        .chain(shifts)
        .collect();
    format!(
        "10^6 ÷ ({}) = {} K",
        terms.join(" + "),
        found(a.result_cct_k)
    )
}

/// The lamps that a full sheet turns into each other.
fn conversion(i: &NominalGel) -> (f64, f64) {
    let (from, to) = match i.gel {
        Gel::Cto => (NOMINAL_DAYLIGHT_K, NOMINAL_TUNGSTEN_K),
        Gel::Ctb => (NOMINAL_TUNGSTEN_K, NOMINAL_DAYLIGHT_K),
    };
    (i.from_cct_k.unwrap_or(from), i.to_cct_k.unwrap_or(to))
}

fn nominal_gel(i: &NominalGel, _: &mut Warnings) -> Result<NominalShift, Vec<Fault>> {
    let (from_k, to_k) = conversion(i);
    match i.gel {
        Gel::Cto if from_k <= to_k => return Err(Fault::reversed("to_cct_k", "from_cct_k")),
        Gel::Ctb if to_k <= from_k => return Err(Fault::reversed("from_cct_k", "to_cct_k")),
        Gel::Cto | Gel::Ctb => {}
    }
    let shift_mired = i.strength.share() * (MIRED_KELVIN / to_k - MIRED_KELVIN / from_k);
    Ok(NominalShift {
        shift_mired,
        result_from_5500_cct_k: shifted_k(NOMINAL_DAYLIGHT_K, shift_mired),
        result_from_3200_cct_k: shifted_k(NOMINAL_TUNGSTEN_K, shift_mired),
    })
}

fn nominal_gel_because(i: &NominalGel, a: &NominalShift) -> String {
    let (from_k, to_k) = conversion(i);
    format!(
        "{} × (10^6 ÷ {} − 10^6 ÷ {}) = {} mired, nominal: a roll's own figure may differ by tens of mired",
        given(i.strength.share()),
        given(to_k),
        given(from_k),
        found(a.shift_mired)
    )
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::Calculate;
    use proptest::prelude::*;

    fn behind(lamp_cct_k: f64, shift_mired: f64) -> ApplyShift {
        ApplyShift {
            lamp_cct_k,
            shift_mired,
        }
    }

    #[test]
    fn a_stack_bluer_than_any_lamp_is_refused() {
        let faults = behind(5600.0, -200.0).work().expect_err("refused");
        assert_eq!(faults[0].field, "shift_mired");
        assert_eq!(faults[0].kind, FaultKind::OutOfRange);
        let stack = ShiftStack {
            lamp_cct_k: 5600.0,
            shifts_mired: vec![-150.0, -50.0],
        };
        assert_eq!(stack.work().expect_err("refused")[0].field, "shifts_mired");
    }

    #[test]
    fn very_blue_is_told() {
        let blue = behind(5600.0, -131.0).work().expect("in range");
        assert_eq!(blue.warnings, ["very_blue"]);
        assert!(
            behind(5600.0, 131.0)
                .work()
                .expect("in range")
                .warnings
                .is_empty()
        );
    }

    #[test]
    fn a_conversion_the_wrong_way_round_names_both_lamps() {
        let wrong = NominalGel {
            gel: Gel::Ctb,
            strength: Strength::Full,
            from_cct_k: Some(5600.0),
            to_cct_k: None,
        };
        let faults = wrong.work().expect_err("refused");
        let fields: Vec<_> = faults.iter().map(|fault| fault.field.as_str()).collect();
        assert_eq!(fields, ["from_cct_k", "to_cct_k"]);
    }

    proptest! {
        #[test]
        fn a_gel_and_its_opposite_are_none(lamp in 1500.0..9000.0_f64, shift in 0.0..90.0_f64) {
            let warmed = behind(lamp, shift).work().expect("in range").result_cct_k;
            let back = behind(warmed, -shift).work().expect("in range").result_cct_k;
            prop_assert!(warmed <= lamp);
            prop_assert!((back / lamp - 1.0).abs() < 1e-9);
        }

        #[test]
        fn the_pair_gives_the_shift_that_makes_it(from in 1500.0..20_000.0_f64, to in 1500.0..20_000.0_f64) {
            let pair = ShiftFromPair { from_cct_k: from, to_cct_k: to };
            let shift = pair.work().expect("in range").shift_mired;
            let made = behind(from, shift).work().expect("in range").result_cct_k;
            prop_assert!((made / to - 1.0).abs() < 1e-9);
        }
    }
}
