//! Absorption and scattering of a water, line by line and on the grid.

use super::kinds::{IopSource, Line, PRINTED_TO_NM, WaterType, lines};
use crate::colour::observer::{SAMPLES, Spectrum, between, spectrum};
use crate::fault::{Fault, FaultKind, Warnings};
use std::sync::LazyLock;

/// First wavelength of the table of pure water, nm.
pub(crate) const PURE_FROM_NM: f64 = 380.0;

/// Absorption of pure water, 1/m (Williamson and Hollins 2022, after Buiteveld and others 1994).
pub(crate) fn pure_absorption(wavelength_nm: f64) -> f64 {
    static PURE: LazyLock<Vec<(f64, f64)>> = LazyLock::new(|| {
        let text = include_str!("../data/water_pure_5nm.csv");
        crate::table::column(text, "wavelength_nm", "aw_wh2022")
    });
    let ends = PURE.first().zip(PURE.last());
    let (first, last) = ends.map_or((0.0, 0.0), |(first, last)| (first.0, last.0));
    between(&PURE, wavelength_nm.clamp(first, last)).unwrap_or(0.0)
}

/// What a metre of water does to a beam.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Beam {
    /// Absorption, 1/m.
    pub absorption_per_m: f64,
    /// Scattering, 1/m.
    pub scattering_per_m: f64,
}

impl Beam {
    /// Both together: what the beam loses, 1/m.
    pub fn attenuation_per_m(self) -> f64 {
        self.absorption_per_m + self.scattering_per_m
    }
}

/// What a metre of a water does to a beam of a wavelength; lines that the table doubts are told (`flagged_water`).
///
/// # Errors
/// A type or a wavelength that the source has not got.
pub fn beam(
    water: WaterType,
    source: IopSource,
    wavelength_nm: f64,
    warnings: &mut Warnings,
) -> Result<Beam, Fault> {
    let table = lines(water, source);
    if table.is_empty() {
        let problem = "Williamson2022 has the types IB to 5C: take solonenko2015 for the others.";
        return Err(Fault::new("iop_source", FaultKind::NotOneOf, problem));
    }
    let last = table
        .last()
        .map_or(PRINTED_TO_NM, |line| line.wavelength_nm);
    let inside_nm = wavelength_nm.min(last);
    let above = table.partition_point(|line| line.wavelength_nm < inside_nm);
    let Some(high) = table.get(above) else {
        return Err(outside(table));
    };
    let low = if high.wavelength_nm <= inside_nm {
        high
    } else {
        above
            .checked_sub(1)
            .map(|below| &table[below])
            .ok_or_else(|| outside(table))?
    };
    warnings.add_if(low.flagged || high.flagged, "flagged_water");
    let (Some(low_a), Some(high_a)) = (low.absorption_per_m, high.absorption_per_m) else {
        let problem = format!(
            "This source lost its absorption of {} near {} nm: take another source.",
            water.as_str(),
            high.wavelength_nm
        );
        return Err(Fault::new("iop_source", FaultKind::OutOfRange, problem));
    };
    let width_nm = high.wavelength_nm - low.wavelength_nm;
    let share = if width_nm > 0.0 {
        (inside_nm - low.wavelength_nm) / width_nm
    } else {
        0.0
    };
    let mix = |low: f64, high: f64| low + (high - low) * share;
    // past the table the water itself takes more, and what floats in it scatters as before
    Ok(Beam {
        absorption_per_m: mix(low_a, high_a) + pure_absorption(wavelength_nm)
            - pure_absorption(inside_nm),
        scattering_per_m: mix(low.scattering_per_m, high.scattering_per_m),
    })
}

fn outside(table: &[Line]) -> Fault {
    let first = table.first().map_or(0.0, |line| line.wavelength_nm);
    let problem = format!("Wavelength must be {first} nm or more for this source.");
    Fault::new("wavelength_nm", FaultKind::OutOfRange, problem)
}

/// Absorption and scattering of a water on the grid.
///
/// # Errors
/// A type that the source has not got whole.
pub fn beams(
    water: WaterType,
    source: IopSource,
    warnings: &mut Warnings,
) -> Result<&'static [Beam; SAMPLES], Fault> {
    type OfTypes = Vec<(Result<[Beam; SAMPLES], Fault>, Warnings)>;
    static GRIDS: LazyLock<[OfTypes; 2]> = LazyLock::new(|| {
        [IopSource::Williamson2022, IopSource::Solonenko2015].map(|source| {
            let of_type = |water: &WaterType| {
                let mut doubts = Warnings::default();
                (on_grid(*water, source, &mut doubts), doubts)
            };
            WaterType::ALL.iter().map(of_type).collect()
        })
    });
    let [williamson, solonenko] = &*GRIDS;
    let of_types = match source {
        IopSource::Williamson2022 => williamson,
        IopSource::Solonenko2015 => solonenko,
    };
    let (beams, doubts) = &of_types[water.place()];
    for doubt in doubts.clone().into_kinds() {
        warnings.add(doubt);
    }
    beams.as_ref().map_err(Clone::clone)
}

fn on_grid(
    water: WaterType,
    source: IopSource,
    warnings: &mut Warnings,
) -> Result<[Beam; SAMPLES], Fault> {
    let mut fault = None;
    let mut out = [Beam {
        absorption_per_m: 0.0,
        scattering_per_m: 0.0,
    }; SAMPLES];
    let grid: Spectrum = spectrum(|nm| nm);
    for (found, nm) in out.iter_mut().zip(grid) {
        match beam(water, source, nm, warnings) {
            Ok(beam) => *found = beam,
            Err(problem) => fault = Some(problem),
        }
    }
    fault.map_or(Ok(out), Err)
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn doubted_lines_are_told_and_missing_ones_refused() {
        let mut warnings = Warnings::default();
        assert!(beam(WaterType::I, IopSource::Solonenko2015, 532.0, &mut warnings).is_ok());
        assert_eq!(warnings.into_kinds(), ["flagged_water"]);
        let mut none = Warnings::default();
        assert!(beam(WaterType::Ii, IopSource::Williamson2022, 532.0, &mut none).is_ok());
        assert!(none.into_kinds().is_empty());
        for (water, source, field) in [
            (WaterType::C5, IopSource::Solonenko2015, "iop_source"),
            (WaterType::I, IopSource::Williamson2022, "iop_source"),
        ] {
            let fault = beams(water, source, &mut Warnings::default()).expect_err("refused");
            assert_eq!(fault.field, field);
        }
        let fault = beam(
            WaterType::Ii,
            IopSource::Williamson2022,
            300.0,
            &mut Warnings::default(),
        );
        assert_eq!(fault.expect_err("refused").field, "wavelength_nm");
    }

    #[test]
    fn every_type_has_its_preferred_beams() {
        for water in WaterType::ALL {
            let all =
                beams(*water, water.preferred_source(), &mut Warnings::default()).expect("a type");
            assert!(
                all.iter()
                    .all(|beam| beam.absorption_per_m > 0.0 && beam.scattering_per_m > 0.0)
            );
        }
    }

    proptest! {
        #[test]
        fn nothing_between_lines_is_outside_them(nm in 380.0..780.0_f64) {
            for water in WaterType::ALL {
                let found = beam(*water, water.preferred_source(), nm, &mut Warnings::default()).expect("a type");
                prop_assert!(found.attenuation_per_m() > 0.0 && found.attenuation_per_m() < 10.0);
            }
        }
    }
}
