//! The ten water types, and the tables that tell what each does to light.

use super::optics::{PURE_FROM_NM, pure_absorption};
use crate::colour::observer::{Spectrum, between, spectrum};
use crate::fault::{Fault, FaultKind, Warnings};
use crate::input::choice;
use std::sync::LazyLock;

/// Last wavelength that the tables of downward light print, nm.
pub(crate) const PRINTED_TO_NM: f64 = 700.0;

choice! {
    /// Water by its optical type, clear to turbid.
    WaterType {
        /// Clearest ocean.
        I = "I",
        /// Clear ocean.
        Ia = "IA",
        /// Ocean.
        Ib = "IB",
        /// Ocean near land.
        Ii = "II",
        /// Least clear ocean.
        Iii = "III",
        /// Clearest coast.
        C1 = "1C",
        /// Clear coast.
        C3 = "3C",
        /// Coast.
        C5 = "5C",
        /// Turbid coast.
        C7 = "7C",
        /// Most turbid coast.
        C9 = "9C",
    }
}

choice! {
    /// Where the weakening of downward light is taken from.
    KdSource {
        /// Jerlov, Marine Optics, 1976, Table XXVII: all ten types.
        Jerlov1976 = "jerlov1976",
        /// Austin and Petzold 1986, Table VI: the clearer types, I to 1C.
        Austin1986 = "austin1986",
    }
}

choice! {
    /// Where absorption and scattering are taken from.
    IopSource {
        /// Williamson and Hollins 2022: measured, types IB to 5C.
        Williamson2022 = "williamson2022",
        /// Solonenko and Mobley 2015: inverted, all ten types, some lines in doubt.
        Solonenko2015 = "solonenko2015",
    }
}

impl WaterType {
    /// The source to take absorption and scattering from when none is named: measured where there is one.
    pub const fn preferred_source(self) -> IopSource {
        match self {
            Self::I | Self::Ia | Self::C7 | Self::C9 => IopSource::Solonenko2015,
            _ => IopSource::Williamson2022,
        }
    }

    pub(crate) fn place(self) -> usize {
        Self::ALL.iter().position(|of| *of == self).unwrap_or(0)
    }
}

type Column = Vec<(f64, f64)>;

/// Weakening of downward light by type, as printed.
fn printed(source: KdSource) -> &'static [Column] {
    static TABLES: LazyLock<[Vec<Column>; 2]> = LazyLock::new(|| {
        let read = |text: &'static str| {
            let types = WaterType::ALL.iter();
            types
                .map(|of| {
                    crate::table::column(text, "wavelength_nm", &format!("Kd_{}", of.as_str()))
                })
                .collect()
        };
        [
            read(include_str!("../data/jerlov_kd_1976.csv")),
            read(include_str!("../data/jerlov_kd_austin1986.csv")),
        ]
    });
    let [jerlov, austin] = &*TABLES;
    match source {
        KdSource::Jerlov1976 => jerlov,
        KdSource::Austin1986 => austin,
    }
}

/// Weakening of downward light at a wavelength, 1/m: between the printed lines, above 700 nm with that of pure water.
///
/// # Errors
/// A type the source has not, or a wavelength before its first.
pub fn kd_per_m(water: WaterType, source: KdSource, wavelength_nm: f64) -> Result<f64, Fault> {
    let column = &printed(source)[water.place()];
    if column.is_empty() {
        let problem = "This source has only the types I to 1C: take jerlov1976 for the others.";
        return Err(Fault::new("kd_source", FaultKind::NotOneOf, problem));
    }
    let beyond = (wavelength_nm > PRINTED_TO_NM)
        .then(|| pure_absorption(wavelength_nm) - pure_absorption(PRINTED_TO_NM));
    between(column, wavelength_nm.min(PRINTED_TO_NM))
        .map(|printed| printed + beyond.unwrap_or(0.0))
        .ok_or_else(|| {
            let first = column.first().map_or(0.0, |(nm, _)| *nm);
            let problem = format!("Wavelength must be {first} nm or more for this water.");
            Fault::new("wavelength_nm", FaultKind::OutOfRange, problem)
        })
}

/// The same on the grid.
///
/// # Errors
/// A type the source has not.
pub fn kd_spectrum(water: WaterType, source: KdSource) -> Result<&'static Spectrum, Fault> {
    type OfTypes = Vec<Result<Spectrum, Fault>>;
    static GRIDS: LazyLock<[OfTypes; 2]> = LazyLock::new(|| {
        [KdSource::Jerlov1976, KdSource::Austin1986].map(|source| {
            WaterType::ALL
                .iter()
                .map(|water| {
                    kd_per_m(*water, source, PURE_FROM_NM)?;
                    let per_m = |nm| kd_per_m(*water, source, nm).unwrap_or(f64::INFINITY);
                    Ok(spectrum(per_m))
                })
                .collect()
        })
    });
    let [jerlov, austin] = &*GRIDS;
    let of_types = match source {
        KdSource::Jerlov1976 => jerlov,
        KdSource::Austin1986 => austin,
    };
    of_types[water.place()].as_ref().map_err(Clone::clone)
}

/// One line of a table of absorption and scattering; absorption may be missing.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Line {
    pub(crate) wavelength_nm: f64,
    pub(crate) absorption_per_m: Option<f64>,
    pub(crate) scattering_per_m: f64,
    /// Whether the table itself doubts it.
    pub(crate) flagged: bool,
}

/// The lines of a type; none when the source has not got it.
pub(crate) fn lines(water: WaterType, source: IopSource) -> &'static [Line] {
    static TABLES: LazyLock<[Vec<Vec<Line>>; 2]> = LazyLock::new(|| {
        [
            read_lines(include_str!("../data/jerlov_iop_williamson2022.csv")),
            read_lines(include_str!("../data/jerlov_iop_solonenko2015.csv")),
        ]
    });
    let [williamson, solonenko] = &*TABLES;
    match source {
        IopSource::Williamson2022 => &williamson[water.place()],
        IopSource::Solonenko2015 => &solonenko[water.place()],
    }
}

fn read_lines(text: &'static str) -> Vec<Vec<Line>> {
    let mut out = vec![Vec::new(); WaterType::ALL.len()];
    for row in crate::table::rows(text) {
        let number = |name: &str| row.get(name)?.parse::<f64>().ok();
        let doubted = |name: &str| row.get(name).is_some_and(|flag| flag != "ok");
        let water = WaterType::ALL.iter().find(|of| {
            row.get("water_type")
                .is_some_and(|name| name == of.as_str())
        });
        if let (Some(water), Some(wavelength_nm), Some(scattering_per_m)) =
            (water, number("wavelength_nm"), number("b_per_m"))
        {
            out[water.place()].push(Line {
                wavelength_nm,
                absorption_per_m: number("a_per_m"),
                scattering_per_m,
                flagged: doubted("a_flag") || doubted("b_flag"),
            });
        }
    }
    out
}

/// Tells (`deep_water`) when a depth is more than the types are made for.
pub(crate) fn note_depth(depth_m: f64, warnings: &mut Warnings) {
    warnings.add_if(depth_m > super::DEEP_M, "deep_water");
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_type_has_its_lines() {
        for water in WaterType::ALL {
            assert!(
                kd_spectrum(*water, KdSource::Jerlov1976).is_ok(),
                "{}",
                water.as_str()
            );
            assert!(
                lines(*water, water.preferred_source()).len() > 10,
                "{}",
                water.as_str()
            );
        }
    }

    #[test]
    fn coastal_types_are_not_in_the_table_of_clear_ones() {
        assert!(kd_spectrum(WaterType::C1, KdSource::Austin1986).is_ok());
        let fault = kd_spectrum(WaterType::C3, KdSource::Austin1986).expect_err("refused");
        assert_eq!(
            (fault.field.as_str(), fault.kind),
            ("kd_source", FaultKind::NotOneOf)
        );
        let fault = kd_per_m(WaterType::C9, KdSource::Jerlov1976, 320.0).expect_err("refused");
        assert_eq!(fault.field, "wavelength_nm");
    }

    #[test]
    fn above_red_the_water_itself_takes_the_light() {
        let at = |nm| kd_per_m(WaterType::Ii, KdSource::Jerlov1976, nm).expect("in range");
        assert!(at(750.0) > at(700.0) + 1.0);
        assert!((at(700.0 + 1e-9) - at(700.0)).abs() < 1e-6);
    }
}
