//! Lamps and lamps behind gels, as x and y.

use super::lamp::{Lamp, planck};
use super::observer::{Chromaticity, Spectrum, Xyz, product, tristimulus};
use super::sheet::{Filter, Sheet};
use super::temperature::temperature;
use crate::calculation::calculation;
use crate::fault::{Fault, FaultKind, Warnings};
use crate::figure::{carried, found};

calculation! { "colour";
    /// Colour of a glowing body.
    planck_xy(PlanckXy {
        /// Its temperature.
        temperature_k: f64 = Above(0.0); usual 3200.0,
    }) -> PlanckColour {
        /// x.
        x: f64,
        /// y.
        y: f64,
    }
    because planck_xy_because
    source "Planck's law with c₂ = 1.4388 × 10⁻² m K, CIE 015; CIE 1931 observer, ISO/CIE 11664-1", Confirmed

    /// Colour of a lamp by its spectrum.
    ///
    /// A table that leaves out light between 400 and 700 nm is told (`spectrum_short`).
    spectrum_xy(SpectrumXy {
        /// The lamp: a name, or a table of wavelengths and powers.
        spd: Lamp = Any; usual Lamp::Sample("LED-B3"),
        /// What a daylight is named for: 6500 for D65.
        nominal_cct_k: Option<f64> = Above(0.0),
        /// Colour temperature of the daylight; from what it is named for when it is not given.
        daylight_cct_k: Option<f64> = Above(0.0),
    }) -> SpectrumColour {
        /// x.
        x: f64,
        /// y.
        y: f64,
    }
    because spectrum_xy_because
    source "CIE 015; ISO/CIE 11664-1 and -2", Confirmed

    /// A colour on the even diagram, on which differences are judged.
    uv_prime(UvPrime {
        /// x of the light.
        x: f64 = Between(0.0, 1.0); usual 0.35,
        /// y of the light.
        y: f64 = AboveUpTo(0.0, 1.0); usual 0.36,
    }) -> UvPrimeFound {
        /// u′.
        u_prime: f64,
        /// v′.
        v_prime: f64,
    }
    because "4 × {x} ÷ (−2 × {x} + 12 × {y} + 3) = {u_prime} for u′; v′ is {v_prime}"
    source "CIE 1976 uniform chromaticity scale, ISO/CIE 11664-5", Confirmed

    /// What a lamp behind gels looks like, and what they cost.
    ///
    /// The order of the sheets does not matter; reflections between them, under 2 %, are left out. A match in x, y is not
    /// a match for the camera when spectra have spikes: shoot a card test. Told when it has no colour temperature
    /// (`cct_not_meaningful`), when a gel is a model and not measured (`generic_model`), and when a table leaves out part
    /// of the light (`spectrum_short`) or lets through more than comes (`transmittance_clamped`).
    gel_stack(GelStack {
        /// The lamp: a name, or a table of wavelengths and powers.
        lamp: Lamp = Any; usual Lamp::Planck(5600.0),
        /// The sheets; none is the bare lamp.
        gels: Vec<Sheet> = Any; usual vec![
            Sheet::from(Filter::ideal_shift(65.0)),
            Sheet::from(Filter::MinusGreen { density: 0.15 }),
        ],
    }) -> GelStackFound {
        /// x.
        x: f64,
        /// y.
        y: f64,
        /// Colour temperature; none when it means nothing.
        cct_k: Option<f64>,
        /// Distance from the line of glowing bodies: above is positive, greenish.
        duv: Option<f64>,
        /// Whether to show the colour temperature, and with which word.
        status: &'static str,
        /// Share of the light that comes through.
        luminous_transmittance: f64,
        /// Stops lost.
        stops: f64,
    }
    because gel_stack_because
    source "CIE 015; generic gel models are stand-ins, not measurements", Confirmed
}

/// The colour of a light, unless there is none to see.
pub(crate) fn seen(field: &str, light: Xyz) -> Result<Chromaticity, Fault> {
    light.chromaticity().ok_or_else(|| {
        let label = crate::input::label(field);
        let problem = format!("{label}: no light is left that can be seen.");
        Fault::new(field, FaultKind::OutOfRange, problem)
    })
}

/// x as the sum that gives it.
pub(crate) fn x_because(light: Xyz, colour: Chromaticity) -> String {
    let [x, y, z] = light.column().map(carried);
    format!(
        "{x} ÷ ({x} + {y} + {z}) = {} for x; y is {}",
        found(colour.x),
        found(colour.y)
    )
}

fn planck_xy(i: &PlanckXy, _: &mut Warnings) -> Result<PlanckColour, Fault> {
    let light = tristimulus(&planck(i.temperature_k));
    let Chromaticity { x, y } = seen("temperature_k", light)?;
    Ok(PlanckColour { x, y })
}

fn planck_xy_because(i: &PlanckXy, a: &PlanckColour) -> String {
    let light = tristimulus(&planck(i.temperature_k));
    x_because(light, Chromaticity { x: a.x, y: a.y })
}

/// The lamp, with the colour temperature of a daylight as it was given.
fn lamp_asked(i: &SpectrumXy) -> Result<Lamp, Fault> {
    let nominal = i.nominal_cct_k.map(super::daylight::named_k);
    let Some(cct_k) = i.daylight_cct_k.or(nominal) else {
        return Ok(i.spd.clone());
    };
    match i.spd {
        Lamp::Named(_) | Lamp::MixedAsNamed(_) => Ok(Lamp::MixedAsNamed(cct_k)),
        Lamp::Daylight(_) => Ok(Lamp::Daylight(cct_k)),
        _ => {
            let field = if i.daylight_cct_k.is_some() {
                "daylight_cct_k"
            } else {
                "nominal_cct_k"
            };
            let problem = "Only a daylight takes a colour temperature here: this lamp has its own.";
            Err(Fault::new(field, FaultKind::OutOfRange, problem))
        }
    }
}

/// The light of the lamp asked for.
fn light_asked(i: &SpectrumXy, warnings: &mut Warnings) -> Result<Xyz, Fault> {
    let field = if i.daylight_cct_k.is_some() {
        "daylight_cct_k"
    } else if i.nominal_cct_k.is_some() {
        "nominal_cct_k"
    } else {
        "spd"
    };
    Ok(tristimulus(&lamp_asked(i)?.spectrum(field, warnings)?))
}

fn spectrum_xy(i: &SpectrumXy, warnings: &mut Warnings) -> Result<SpectrumColour, Fault> {
    let Chromaticity { x, y } = seen("spd", light_asked(i, warnings)?)?;
    Ok(SpectrumColour { x, y })
}

fn spectrum_xy_because(i: &SpectrumXy, a: &SpectrumColour) -> String {
    let light = light_asked(i, &mut Warnings::default());
    light.map_or_else(
        |fault| fault.problem,
        |light| x_because(light, Chromaticity { x: a.x, y: a.y }),
    )
}

fn uv_prime(i: &UvPrime, _: &mut Warnings) -> UvPrimeFound {
    let (u_prime, v_prime) = Chromaticity { x: i.x, y: i.y }.uv_prime();
    UvPrimeFound { u_prime, v_prime }
}

/// What comes through all sheets at each wavelength.
pub fn through(gels: &[Sheet], warnings: &mut Warnings) -> Spectrum {
    gels.iter()
        .fold([1.0; super::observer::SAMPLES], |light, gel| {
            product(&light, &gel.filter.transmittance(warnings))
        })
}

/// The light of a lamp, bare and behind gels.
pub(crate) fn bare_and_gelled(
    lamp: &Lamp,
    gels: &[Sheet],
    warnings: &mut Warnings,
) -> Result<(Xyz, Xyz), Fault> {
    let bare = lamp.spectrum("lamp", warnings)?;
    let gelled = product(&bare, &through(gels, warnings));
    Ok((tristimulus(&bare), tristimulus(&gelled)))
}

fn gel_stack(i: &GelStack, warnings: &mut Warnings) -> Result<GelStackFound, Fault> {
    let (bare, gelled) = bare_and_gelled(&i.lamp, &i.gels, warnings)?;
    seen("lamp", bare)?;
    let colour = seen("gels", gelled)?;
    let standing = temperature(colour);
    standing.note(warnings);
    Ok(GelStackFound {
        x: colour.x,
        y: colour.y,
        cct_k: standing.cct_k(),
        duv: standing.duv(),
        status: standing.status(),
        luminous_transmittance: gelled.y / bare.y,
        stops: (bare.y / gelled.y).log2(),
    })
}

fn gel_stack_because(i: &GelStack, a: &GelStackFound) -> String {
    let Ok(bare) = i.lamp.spectrum("lamp", &mut Warnings::default()) else {
        return String::new();
    };
    let bare = tristimulus(&bare).y;
    let words: Vec<String> = i.gels.iter().map(Sheet::words).collect();
    let behind = if words.is_empty() {
        "the bare lamp".to_owned()
    } else {
        format!("{} behind {}", i.lamp.words(), words.join(" + "))
    };
    format!(
        "{} ÷ {} = {} of the light, {} stops down, x {} and y {} for {behind}",
        carried(bare * a.luminous_transmittance),
        carried(bare),
        found(a.luminous_transmittance),
        found(a.stops),
        found(a.x),
        found(a.y)
    )
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::Calculate;
    use proptest::prelude::*;

    fn stack(kelvin: f64, gels: &[Filter]) -> GelStackFound {
        let asked = GelStack {
            lamp: Lamp::Planck(kelvin),
            gels: gels.iter().cloned().map(Sheet::from).collect(),
        };
        asked.work().expect("in range").answer
    }

    #[test]
    fn only_daylight_takes_a_colour_temperature() {
        let asked = SpectrumXy {
            spd: Lamp::A,
            nominal_cct_k: Some(3000.0),
            daylight_cct_k: None,
        };
        assert_eq!(asked.work().expect_err("refused")[0].field, "nominal_cct_k");
        let too_red = SpectrumXy {
            spd: Lamp::Named(super::super::StandardDaylight::D65),
            nominal_cct_k: None,
            daylight_cct_k: Some(3000.0),
        };
        assert_eq!(
            too_red.work().expect_err("refused")[0].field,
            "daylight_cct_k"
        );
    }

    #[test]
    fn a_stack_that_lets_nothing_through_is_refused() {
        let asked = GelStack {
            lamp: Lamp::Planck(3200.0),
            gels: vec![Sheet::from(Filter::PlusGreen { density: 300.0 }); 4],
        };
        // the green wavelength itself always comes through the model
        assert!(asked.work().is_ok());
        let dark = super::super::TransmittanceTable {
            wavelengths_nm: vec![400.0, 500.0, 600.0, 700.0, 750.0],
            transmittances: vec![0.0; 5],
        };
        let asked = GelStack {
            lamp: Lamp::Planck(3200.0),
            gels: vec![Sheet::from(Filter::Table(dark))],
        };
        assert_eq!(asked.work().expect_err("refused")[0].field, "gels");
    }

    #[test]
    fn deep_green_has_no_colour_temperature() {
        let asked = GelStack {
            lamp: Lamp::Planck(5600.0),
            gels: vec![Sheet::from(Filter::PlusGreen { density: 2.0 })],
        };
        let worked = asked.work().expect("in range");
        assert_eq!(worked.warnings, ["generic_model", "cct_not_meaningful"]);
        assert_eq!((worked.cct_k, worked.status), (None, "not_meaningful"));
    }

    proptest! {
        #![proptest_config(ProptestConfig::with_cases(64))]

        #[test]
        fn order_does_not_matter_and_sheets_only_take(
            kelvin in 2000.0..9000.0_f64, shift in -100.0..100.0_f64, density in 0.0..0.6_f64,
        ) {
            let (a, b) = (Filter::ideal_shift(shift), Filter::MinusGreen { density });
            let (one, other) = (stack(kelvin, &[a.clone(), b.clone()]), stack(kelvin, &[b, a.clone()]));
            prop_assert!((one.x - other.x).abs() < 1e-12 && (one.y - other.y).abs() < 1e-12);
            prop_assert!(one.luminous_transmittance <= stack(kelvin, &[a]).luminous_transmittance + 1e-12);
        }

        #[test]
        fn an_ideal_gel_shifts_by_its_mired(kelvin in 2200.0..5000.0_f64, shift in -60.0..130.0_f64) {
            let found = stack(kelvin, &[Filter::ideal_shift(shift)]).cct_k.expect("near the line");
            let mired = 1e6 / found - 1e6 / kelvin;
            prop_assert!((mired - shift).abs() < 0.06 * shift.abs() + 0.5, "{} for {}", mired, shift);
        }
    }
}
