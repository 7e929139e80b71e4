//! Lumens from watts, by the eye's own curve.

use crate::calculation::calculation;
use crate::colour::Lamp;
use crate::colour::observer::{Spectrum, curves};
use crate::fault::{Fault, Warnings};
use crate::figure::{carried, found, given};
use std::sync::LazyLock;

/// Lumens of a watt of green light at 540 × 10¹² Hz, by definition of the candela.
const LM_PER_W: f64 = 683.0;

calculation! { "lamp-light";
    /// Lumens of light of one wavelength.
    flux_from_watts(FluxFromWatts {
        /// Power of the light.
        radiant_power_w: f64 = AtLeast(0.0); usual 1.0,
        /// Wavelength.
        wavelength_nm: f64 = Between(360.0, 830.0); usual 555.0,
    }) -> FluxFound {
        /// Light as the eye has it.
        flux_lm: f64,
    }
    because flux_from_watts_because
    source "definition of the candela, 683 lm/W; ISO/CIE 11664-1 for the eye's curve", Confirmed

    /// Lumens in a watt of a lamp's visible light.
    ///
    /// Of the visible part alone, 380 to 780 nm: what a lamp gives off as heat is not counted.
    luminous_efficacy(LuminousEfficacy {
        /// The lamp: a name, or a table of wavelengths and powers.
        spd: Lamp = Any; usual Lamp::Sample("LED-B3"),
    }) -> EfficacyFound {
        /// Lumens in a watt of visible light.
        lumens_per_visible_watt: f64,
    }
    because luminous_efficacy_because
    source "definition of the candela, 683 lm/W; ISO/CIE 11664-1 for the eye's curve", Confirmed
}

/// How bright a watt of a wavelength looks, 1 at most.
///
/// Between the wavelengths of the table by the cubic through the four around it, as CIE 167 advises: straight lines would
/// be up to 5 % too bright where the curve sets out, the cubic stays within 1 %.
fn eye(wavelength_nm: f64) -> f64 {
    static CURVE: LazyLock<Vec<(f64, f64)>> = LazyLock::new(|| {
        let text = include_str!("../data/cie1931_2deg_cmf_5nm.csv");
        crate::table::column(text, "wavelength_nm", "y_bar")
    });
    let around = CURVE.partition_point(|(nm, _)| *nm < wavelength_nm);
    let first = around.saturating_sub(2).min(CURVE.len() - 4);
    let four = &CURVE[first..first + 4];
    let share = |of: usize| {
        let others = (0..4)
            .filter(|other| *other != of)
            .map(|other| four[other].0);
        others.fold(1.0, |share, nm| {
            share * (wavelength_nm - nm) / (four[of].0 - nm)
        })
    };
    (0..4).map(|of| four[of].1 * share(of)).sum()
}

fn flux_from_watts(i: &FluxFromWatts, _: &mut Warnings) -> FluxFound {
    FluxFound {
        flux_lm: LM_PER_W * i.radiant_power_w * eye(i.wavelength_nm),
    }
}

fn flux_from_watts_because(i: &FluxFromWatts, a: &FluxFound) -> String {
    format!(
        "683 × {} × {} = {} lm, with the eye's own share at {} nm",
        given(i.radiant_power_w),
        carried(eye(i.wavelength_nm)),
        found(a.flux_lm),
        given(i.wavelength_nm)
    )
}

/// Power as the eye has it, and all of it.
fn seen_and_all(spectrum: &Spectrum) -> (f64, f64) {
    let both = spectrum.iter().zip(&curves()[1]);
    (
        both.map(|(power, weight)| power * weight).sum(),
        spectrum.iter().sum(),
    )
}

fn luminous_efficacy(
    i: &LuminousEfficacy,
    warnings: &mut Warnings,
) -> Result<EfficacyFound, Fault> {
    let (seen, all) = seen_and_all(&i.spd.spectrum("spd", warnings)?);
    Ok(EfficacyFound {
        lumens_per_visible_watt: LM_PER_W * seen / all,
    })
}

fn luminous_efficacy_because(i: &LuminousEfficacy, a: &EfficacyFound) -> String {
    let spectrum = i.spd.spectrum("spd", &mut Warnings::default());
    spectrum.map_or_else(
        |fault| fault.problem,
        |spectrum| {
            let (seen, all) = seen_and_all(&spectrum);
            format!(
                "683 × {} ÷ {} = {} lm in a visible watt of {}",
                carried(seen),
                carried(all),
                found(a.lumens_per_visible_watt),
                i.spd.words()
            )
        },
    )
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::Calculate;
    use proptest::prelude::*;

    #[test]
    fn a_line_has_the_lumens_of_its_wavelength() {
        for nm in [450.0, 555.0, 640.0] {
            let line = LuminousEfficacy {
                spd: Lamp::Monochromatic(nm),
            }
            .work()
            .expect("in range");
            let watt = FluxFromWatts {
                radiant_power_w: 1.0,
                wavelength_nm: nm,
            }
            .work()
            .expect("in range");
            assert!(
                (line.lumens_per_visible_watt / watt.flux_lm - 1.0).abs() < 1e-9,
                "{nm}"
            );
        }
    }

    #[test]
    fn the_curve_is_smooth_between_its_table_and_exact_on_it() {
        // of the table at every nanometre
        for (nm, share) in [
            (361.0, 4.393_581e-6),
            (401.0, 0.000_433_714_7),
            (473.0, 0.103_367_4),
            (532.0, 0.884_962_4),
            (633.0, 0.235_334_4),
        ] {
            assert!((eye(nm) / share - 1.0).abs() < 1e-2, "{nm}: {}", eye(nm));
        }
        for (nm, share) in [(360.0, 3.917e-6), (560.0, 0.995), (830.0, 4.5181e-7)] {
            assert!((eye(nm) / share - 1.0).abs() < 1e-12, "{nm}: {}", eye(nm));
        }
    }

    proptest! {
        #[test]
        fn no_lamp_is_brighter_than_green(kelvin in 1500.0..20_000.0_f64) {
            let lamp = LuminousEfficacy { spd: Lamp::Planck(kelvin) }.work().expect("in range");
            prop_assert!(lamp.lumens_per_visible_watt > 0.0 && lamp.lumens_per_visible_watt < LM_PER_W);
        }
    }
}
