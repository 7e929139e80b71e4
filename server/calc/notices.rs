//! The tables of published values that are built in, each with its own header: what it is, where it comes from, its terms.

/// A table that is built in.
#[derive(Clone, Copy, Debug)]
pub struct Table {
    /// Its file.
    pub file: &'static str,
    /// What it holds, in a few words.
    pub title: &'static str,
    text: &'static str,
}

const fn table(file: &'static str, title: &'static str, text: &'static str) -> Table {
    Table { file, title, text }
}

impl Table {
    /// Paragraphs of its header: source, terms, cautions.
    pub fn header(&self) -> impl Iterator<Item = &'static str> {
        self.text
            .lines()
            .take_while(|line| line.starts_with('#'))
            .map(|line| line.trim_start_matches('#').trim())
            .filter(|line| !line.is_empty())
    }

    /// Whether it carries public sector information under the Open Government Licence.
    pub fn is_crown(&self) -> bool {
        self.header()
            .any(|line| line.contains("Open Government Licence"))
    }
}

/// Every table.
pub const TABLES: &[Table] = &[
    table(
        "cie1931_2deg_cmf_5nm.csv",
        "Colour-matching functions of the 2° observer",
        include_str!("data/cie1931_2deg_cmf_5nm.csv"),
    ),
    table(
        "cie_daylight_components_5nm.csv",
        "Components of daylight",
        include_str!("data/cie_daylight_components_5nm.csv"),
    ),
    table(
        "conductor_resistance_nec.csv",
        "Resistance of copper conductors",
        include_str!("data/conductor_resistance_nec.csv"),
    ),
    table(
        "exposure_limits.csv",
        "Exposure limits of haze, dust and vapours",
        include_str!("data/exposure_limits.csv"),
    ),
    table(
        "haze_mass_extinction_mie.csv",
        "Extinction of a gram of droplets",
        include_str!("data/haze_mass_extinction_mie.csv"),
    ),
    table(
        "haze_phase_function_mie.csv",
        "Scattering of droplets by angle",
        include_str!("data/haze_phase_function_mie.csv"),
    ),
    table(
        "illuminant_chromaticities.csv",
        "Colours of standard lights",
        include_str!("data/illuminant_chromaticities.csv"),
    ),
    table(
        "jerlov_iop_solonenko2015.csv",
        "Absorption and scattering of the water types, by inversion",
        include_str!("data/jerlov_iop_solonenko2015.csv"),
    ),
    table(
        "jerlov_iop_williamson2022.csv",
        "Absorption and scattering of the water types, measured",
        include_str!("data/jerlov_iop_williamson2022.csv"),
    ),
    table(
        "jerlov_kd_1976.csv",
        "Weakening of light by water type",
        include_str!("data/jerlov_kd_1976.csv"),
    ),
    table(
        "jerlov_kd_austin1986.csv",
        "Weakening of light in the clearer water types",
        include_str!("data/jerlov_kd_austin1986.csv"),
    ),
    table(
        "material_densities.csv",
        "Densities of materials",
        include_str!("data/material_densities.csv"),
    ),
    table(
        "petzold1972_stations.csv",
        "Optics of eight sea waters",
        include_str!("data/petzold1972_stations.csv"),
    ),
    table(
        "sample_lamp_spd_5nm.csv",
        "Spectra of sample lamps",
        include_str!("data/sample_lamp_spd_5nm.csv"),
    ),
    table(
        "surface_shimmer_cv_vs_depth.csv",
        "Shimmer of sunlight by depth",
        include_str!("data/surface_shimmer_cv_vs_depth.csv"),
    ),
    table(
        "water_pure_5nm.csv",
        "Absorption and scattering of pure water",
        include_str!("data/water_pure_5nm.csv"),
    ),
];

#[cfg(test)]
mod tests {
    use super::*;
    use std::{collections::BTreeSet, fs, path::Path};

    #[test]
    fn every_table_of_the_folder_is_told_with_its_source() {
        let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("data");
        let there: BTreeSet<String> = fs::read_dir(folder)
            .expect("the folder is there")
            .map(|entry| {
                entry
                    .expect("an entry")
                    .file_name()
                    .to_string_lossy()
                    .into_owned()
            })
            .collect();
        let told: BTreeSet<String> = TABLES.iter().map(|table| table.file.to_owned()).collect();
        assert_eq!(told, there);
        for table in TABLES {
            let header: Vec<_> = table.header().collect();
            assert!(
                header.join(" ").len() > 60,
                "{} says where it comes from",
                table.file
            );
        }
        assert_eq!(TABLES.iter().filter(|table| table.is_crown()).count(), 3);
    }
}
