//! Lamps as spectra: glowing bodies, daylights, illuminants and tables of the crew's own.

use super::daylight::{BLUEST_K, COOLEST_K, StandardDaylight, daylight, named_daylight};
use super::observer::{FIRST_NM, LAST_NM, SAMPLES, STEP_NM, Spectrum, between, spectrum};
use crate::fault::{Fault, FaultKind, Warnings};
use crate::input::{Kind, Range, Typed, part};
use serde_json::Value;
use std::sync::LazyLock;

/// Second radiation constant, nm K (CIE 015 and the temperature scale of 1990).
pub(super) const C2_NM_K: f64 = 1.4388e7;
/// The one that illuminant A was defined with, nm K.
const C2_OF_A_NM_K: f64 = 1.435e7;
/// Temperature in the definition of illuminant A, K.
const A_K: f64 = 2848.0;
/// Where spectra are scaled to 100, nm.
pub(super) const SCALED_AT_NM: f64 = 560.0;
/// Fewest wavelengths that describe a lamp or a gel.
pub(crate) const FEWEST_WAVELENGTHS: usize = 5;
/// Wavelengths that a table should cover, nm.
pub(crate) const COVERED_NM: (f64, f64) = (400.0, 700.0);
/// Lamps in the table of sample spectra.
pub const SAMPLE_LAMPS: &[&str] = &[
    "LED-B1", "LED-B2", "LED-B3", "LED-B4", "LED-B5", "LED-BH1", "LED-RGB1", "LED-V1", "LED-V2",
    "FL2", "FL7", "FL11", "HP1",
];
const KNOWN: &str = "planck_3200 (with the lamp's own kelvin), daylight_5600, A, E, D50, D55, D65, D75, \
                     monochromatic_520, one of the sample lamps such as LED-B1 or FL2, or a table of wavelengths_nm and powers";

part! {
    /// A lamp as it was measured.
    PowerTable {
        /// Wavelengths, rising.
        wavelengths_nm: Vec<f64> = Above(0.0),
        /// Relative power at each.
        powers: Vec<f64> = AtLeast(0.0),
    }
}

/// A lamp.
#[derive(Clone, Debug, PartialEq)]
pub enum Lamp {
    /// A glowing body of a temperature, K.
    Planck(f64),
    /// Daylight of a colour temperature from 4000 to 25 000 K.
    Daylight(f64),
    /// A daylight with a name.
    Named(StandardDaylight),
    /// A daylight mixed as the named ones are, of a colour temperature, K.
    MixedAsNamed(f64),
    /// Tungsten at 2856 K as it was defined.
    A,
    /// Equal power at all wavelengths.
    EqualPower,
    /// Light of one wavelength, nm.
    Monochromatic(f64),
    /// One of [`SAMPLE_LAMPS`].
    Sample(&'static str),
    /// As it was measured.
    Table(PowerTable),
}

/// A lamp's power on the grid, scaled to 100 at 560 nm where that can be.
pub fn planck(temperature_k: f64) -> Spectrum {
    glow(C2_NM_K, temperature_k)
}

fn glow(c2_nm_k: f64, temperature_k: f64) -> Spectrum {
    let exponent = |at_nm: f64| c2_nm_k / (at_nm * temperature_k);
    let there = exponent(SCALED_AT_NM);
    let scale = 100.0 * (-there).exp_m1();
    spectrum(|at_nm| {
        let here = exponent(at_nm);
        scale * (SCALED_AT_NM / at_nm).powi(5) * (there - here).exp() / (-here).exp_m1()
    })
}

/// Puts all the power of one wavelength on the two of the grid beside it.
fn line(wavelength_nm: f64) -> Spectrum {
    spectrum(|at_nm| (1.0 - (at_nm - wavelength_nm).abs() / STEP_NM).max(0.0) * 100.0)
}

/// Power of a sample lamp.
fn sample(name: &str) -> Spectrum {
    static SPECTRA: LazyLock<Vec<Spectrum>> = LazyLock::new(|| {
        let table = include_str!("../data/sample_lamp_spd_5nm.csv");
        let read = |name: &&str| {
            let column = crate::table::column(table, "wavelength_nm", name);
            spectrum(|at_nm| between(&column, at_nm).unwrap_or(0.0))
        };
        SAMPLE_LAMPS.iter().map(read).collect()
    });
    let place = SAMPLE_LAMPS.iter().position(|known| *known == name);
    place.map_or([0.0; SAMPLES], |place| SPECTRA[place])
}

impl Lamp {
    /// A lamp by its name: `planck_3200`, `daylight_5600`, `D65`, `A`, `LED-B1`. Words around the name are passed over.
    pub fn named(words: &str) -> Option<Self> {
        words
            .split_whitespace()
            .map(|word| word.trim_matches(|letter: char| ",;:()".contains(letter)))
            .find_map(Self::by_word)
    }

    fn by_word(word: &str) -> Option<Self> {
        let number_after = |start: &str| word.strip_prefix(start)?.parse::<f64>().ok();
        if let Some(daylight) = StandardDaylight::ALL.iter().find(|of| of.as_str() == word) {
            return Some(Self::Named(*daylight));
        }
        if let Some(sample) = SAMPLE_LAMPS.iter().find(|name| **name == word) {
            return Some(Self::Sample(sample));
        }
        match word {
            "A" => Some(Self::A),
            "E" => Some(Self::EqualPower),
            _ => number_after("planck_")
                .map(Self::Planck)
                .or_else(|| number_after("daylight_").map(Self::Daylight))
                .or_else(|| number_after("monochromatic_").map(Self::Monochromatic)),
        }
    }

    /// Which rule it breaks, and the end of the sentence that says so.
    fn fault(&self) -> Option<(FaultKind, String)> {
        let outside = |words: &str| Some((FaultKind::OutOfRange, words.to_owned()));
        match self {
            Self::Planck(kelvin) | Self::Daylight(kelvin) | Self::MixedAsNamed(kelvin)
                if !kelvin.is_finite() =>
            {
                Some((FaultKind::NotFinite, "must have a number of kelvin".into()))
            }
            Self::Planck(kelvin) if *kelvin <= 0.0 => {
                Some((FaultKind::NotPositive, "must be hotter than 0 K".into()))
            }
            Self::Daylight(kelvin) | Self::MixedAsNamed(kelvin)
                if !(COOLEST_K..=BLUEST_K).contains(kelvin) =>
            {
                outside("is daylight, which is defined from 4000 K to 25 000 K")
            }
            Self::Monochromatic(nm) if !(FIRST_NM..=LAST_NM).contains(nm) => {
                outside("must have its wavelength between 380 and 780 nm")
            }
            Self::Table(table) => table.fault(),
            _ => self.spectrum_unchecked(&mut Warnings::default()).is_dark(),
        }
    }

    /// Its power on the grid; a table that leaves out part of the light is told (`spectrum_short`).
    ///
    /// # Errors
    /// A daylight outside its range, or a table that describes no light, under the name of the input.
    pub fn spectrum(&self, field: &str, warnings: &mut Warnings) -> Result<Spectrum, Fault> {
        if let Some((kind, problem)) = self.fault() {
            let problem = format!("{} {problem}.", crate::input::label(field));
            return Err(Fault::new(field, kind, problem));
        }
        Ok(self.spectrum_unchecked(warnings))
    }

    fn spectrum_unchecked(&self, warnings: &mut Warnings) -> Spectrum {
        match self {
            Self::Planck(kelvin) => planck(*kelvin),
            Self::Daylight(kelvin) => daylight(*kelvin),
            Self::Named(of) => named_daylight(of.cct_k()),
            Self::MixedAsNamed(kelvin) => named_daylight(*kelvin),
            Self::A => glow(C2_OF_A_NM_K, A_K),
            Self::EqualPower => spectrum(|_| 100.0),
            Self::Monochromatic(nm) => line(*nm),
            Self::Sample(name) => sample(name),
            Self::Table(table) => {
                let column = table.column();
                warnings.add_if(is_short(&column), "spectrum_short");
                spectrum(|at_nm| between(&column, at_nm).unwrap_or(0.0))
            }
        }
    }

    /// Its name, or what it is.
    pub fn words(&self) -> String {
        match self {
            Self::Planck(kelvin) => format!("planck_{kelvin}"),
            Self::Daylight(kelvin) | Self::MixedAsNamed(kelvin) => format!("daylight_{kelvin}"),
            Self::Named(of) => of.as_str().to_owned(),
            Self::A => "A".to_owned(),
            Self::EqualPower => "E".to_owned(),
            Self::Monochromatic(nm) => format!("monochromatic_{nm}"),
            Self::Sample(name) => (*name).to_owned(),
            Self::Table(_) => "measured lamp".to_owned(),
        }
    }
}

trait Dark {
    fn is_dark(&self) -> Option<(FaultKind, String)>;
}

impl Dark for Spectrum {
    /// Says so when there is no light in it that can be summed.
    fn is_dark(&self) -> Option<(FaultKind, String)> {
        let total: f64 = self.iter().sum();
        (!(total > 0.0 && total.is_finite())).then(|| {
            (
                FaultKind::OutOfRange,
                "gives no light that can be seen".into(),
            )
        })
    }
}

/// Whether a table leaves out light between 400 and 700 nm.
pub(crate) fn is_short(column: &[(f64, f64)]) -> bool {
    let ends = column.first().zip(column.last());
    ends.is_none_or(|(first, last)| first.0 > COVERED_NM.0 || last.0 < COVERED_NM.1)
}

/// What is wrong with the wavelengths of a table, if anything.
pub(crate) fn wavelengths_fault(
    wavelengths_nm: &[f64],
    values: usize,
) -> Option<(FaultKind, String)> {
    let problem = if wavelengths_nm.len() != values {
        format!(
            "has {} wavelengths and {values} values: one is needed for each",
            wavelengths_nm.len()
        )
    } else if wavelengths_nm.len() < FEWEST_WAVELENGTHS {
        "needs five wavelengths or more".to_owned()
    } else if !wavelengths_nm.is_sorted_by(|shorter, longer| shorter < longer) {
        "must have its wavelengths rising, each once".to_owned()
    } else {
        return None;
    };
    Some((FaultKind::OutOfRange, problem))
}

impl PowerTable {
    fn column(&self) -> Vec<(f64, f64)> {
        let both = self.wavelengths_nm.iter().zip(&self.powers);
        both.map(|(nm, power)| (*nm, *power)).collect()
    }

    fn fault(&self) -> Option<(FaultKind, String)> {
        self.breach(&Range::Any)
            .or_else(|| wavelengths_fault(&self.wavelengths_nm, self.powers.len()))
            .or_else(|| {
                let column = self.column();
                let seen = spectrum(|at_nm| between(&column, at_nm).unwrap_or(0.0));
                seen.is_dark()
            })
    }
}

impl Typed for Lamp {
    const KIND: Kind = Kind::OneOf(&[Kind::Text, PowerTable::KIND]);

    fn read(given: Option<&Value>) -> Result<Self, (FaultKind, String)> {
        if let Some(Value::Object(_)) = given {
            return PowerTable::read(given).map(Self::Table);
        }
        let words = String::read(given)?;
        Self::named(&words).ok_or_else(|| (FaultKind::NotOneOf, format!("must be one of {KNOWN}")))
    }

    fn breach(&self, _: &Range) -> Option<(FaultKind, String)> {
        self.fault()
    }

    fn write(&self) -> Value {
        match self {
            Self::Table(table) => table.write(),
            named => Value::from(named.words()),
        }
    }

    fn shown(&self) -> String {
        self.words()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn power(lamp: &Lamp) -> Result<Spectrum, FaultKind> {
        lamp.spectrum("lamp", &mut Warnings::default())
            .map_err(|fault| fault.kind)
    }

    #[test]
    fn names_are_found_among_words_and_written_back() {
        for (words, name) in [
            ("CIE illuminant A by its formula", "A"),
            ("CIE D65 over 380-780 nm", "D65"),
            ("a table, column LED-RGB1", "LED-RGB1"),
            ("planck_3200", "planck_3200"),
            ("daylight_5600.5", "daylight_5600.5"),
        ] {
            let lamp = Lamp::named(words).expect(words);
            assert_eq!(lamp.words(), name);
            assert_eq!(Lamp::named(&lamp.words()), Some(lamp));
        }
        assert_eq!(Lamp::named("a lamp from the truck"), None);
    }

    #[test]
    fn every_sample_lamp_has_a_spectrum() {
        for name in SAMPLE_LAMPS {
            assert!(power(&Lamp::Sample(name)).is_ok(), "{name}");
        }
    }

    #[test]
    fn lamps_have_their_published_colours() {
        let published = crate::table::rows(include_str!("../data/illuminant_chromaticities.csv"));
        let mut met = 0;
        for row in &published {
            let Some(lamp) = Lamp::named(&row["illuminant"]) else {
                continue;
            };
            let light = crate::colour::observer::tristimulus(&power(&lamp).expect("a lamp"));
            let colour = light.chromaticity().expect("light");
            let near = |of: &str, found: f64| {
                let published: f64 = row[of].parse().expect("a number");
                (published - found).abs() < 3e-4
            };
            assert!(
                near("x", colour.x) && near("y", colour.y),
                "{} {colour:?}",
                row["illuminant"]
            );
            met += 1;
        }
        // the sample lamps, A, E and the four daylights
        assert_eq!(met, SAMPLE_LAMPS.len() + 6);
    }

    #[test]
    fn lamps_that_cannot_be_are_refused() {
        assert_eq!(power(&Lamp::Planck(0.0)), Err(FaultKind::NotPositive));
        assert_eq!(power(&Lamp::Planck(f64::NAN)), Err(FaultKind::NotFinite));
        assert_eq!(power(&Lamp::Planck(2.0)), Err(FaultKind::OutOfRange));
        assert_eq!(power(&Lamp::Daylight(3200.0)), Err(FaultKind::OutOfRange));
        assert_eq!(
            power(&Lamp::Monochromatic(900.0)),
            Err(FaultKind::OutOfRange)
        );
    }

    #[test]
    fn tables_are_checked_and_short_ones_told() {
        let table = |wavelengths_nm: &[f64], powers: &[f64]| {
            Lamp::Table(PowerTable {
                wavelengths_nm: wavelengths_nm.to_vec(),
                powers: powers.to_vec(),
            })
        };
        let five = [450.0, 500.0, 550.0, 600.0, 650.0];
        assert_eq!(power(&table(&five, &[1.0; 4])), Err(FaultKind::OutOfRange));
        assert_eq!(
            power(&table(&five[1..], &[1.0; 4])),
            Err(FaultKind::OutOfRange)
        );
        assert_eq!(power(&table(&five, &[0.0; 5])), Err(FaultKind::OutOfRange));
        assert_eq!(
            power(&table(&five, &[1.0, 1.0, -1.0, 1.0, 1.0])),
            Err(FaultKind::Negative)
        );
        let twice = [450.0, 500.0, 500.0, 600.0, 650.0];
        assert_eq!(power(&table(&twice, &[1.0; 5])), Err(FaultKind::OutOfRange));
        let mut warnings = Warnings::default();
        let spectrum = table(&five, &[2.0; 5])
            .spectrum("lamp", &mut warnings)
            .expect("a lamp");
        assert_eq!(warnings.into_kinds(), ["spectrum_short"]);
        assert!((spectrum[0], spectrum[34], spectrum[80]) == (0.0, 2.0, 0.0));
    }
}
