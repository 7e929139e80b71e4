//! What a gram of droplets hides, by size and liquid.

use super::mie::{Sphere, sphere};
use crate::calculation::calculation;
use crate::fault::{Fault, FaultKind, Warnings};
use crate::figure::{carried, found, given};
use crate::input::choice;
use std::f64::consts::PI;

/// Spread of the sizes that haze and fog machines make, when nothing better is known.
const GEOMETRIC_SD: f64 = 1.8;
/// Green light, nm.
const WAVELENGTH_NM: f64 = 550.0;
/// Sizes over which a mixture is summed, from four spreads below the median to four above.
const SIZES: u32 = 801;
/// Spreads on each side of the median.
const SPREADS: f64 = 4.0;

choice! {
    /// What the droplets are made of.
    Liquid {
        /// Propylene glycol, of most fog fluids.
        PropyleneGlycol = "propylene_glycol",
        /// Triethylene glycol, of slow-clearing fluids.
        TriethyleneGlycol = "triethylene_glycol",
        /// Glycerin, of haze fluids.
        Glycerin = "glycerin",
        /// White mineral oil, of oil crackers.
        WhiteMineralOil = "white_mineral_oil",
        /// Water, of ultrasonic foggers and chilled fog.
        Water = "water",
    }
}

impl Liquid {
    /// Refractive index in green light (handbook values near 20 to 25 °C, from memory).
    pub const fn refractive_index(self) -> f64 {
        match self {
            Self::PropyleneGlycol => 1.432,
            Self::TriethyleneGlycol => 1.456,
            Self::Glycerin => 1.473,
            Self::WhiteMineralOil => 1.467,
            Self::Water => 1.334,
        }
    }

    /// Density, kg/m³ (handbook values near 20 to 25 °C, from memory).
    pub const fn density_kgpm3(self) -> f64 {
        match self {
            Self::PropyleneGlycol => 1036.0,
            Self::TriethyleneGlycol => 1124.0,
            Self::Glycerin => 1261.0,
            Self::WhiteMineralOil => 850.0,
            Self::Water => 998.0,
        }
    }
}

calculation! { "haze-optics";
    /// How a sphere scatters, by its index and its size in wavelengths.
    mie(Mie {
        /// Refractive index against air.
        refractive_index: f64 = AboveUpTo(0.0, 20.0); usual 1.432,
        /// Absorption index; zero for clear liquids.
        absorption_index: f64 = Between(0.0, 20.0); default 0.0,
        /// Circumference over wavelength.
        size_parameter: f64 = Between(1e-6, 2e4); usual 4.0,
    }) -> MieFound {
        /// Light taken out, over the sphere's own shadow.
        extinction_efficiency: f64,
        /// Mean cosine of the angle it goes to: 1 is straight on.
        asymmetry: f64,
        /// Light sent elsewhere, over the sphere's own shadow.
        scattering_efficiency: f64,
    }
    because mie_because
    source "Bohren and Huffman, Absorption and Scattering of Light by Small Particles, 1983", Confirmed

    /// Extinction of a gram of droplets that are all one size.
    ///
    /// 3 Q/(2 ρ d), with Q from Mie's theory.
    mass_extinction_one_size(MassExtinctionOneSize {
        /// Refractive index of the liquid.
        refractive_index: f64 = AboveUpTo(0.0, 20.0); usual 1.432,
        /// Density of the liquid.
        density_kgpm3: f64 = Above(0.0); usual 1036.0,
        /// Diameter of the droplets.
        diameter_um: f64 = AboveUpTo(0.0, 1000.0); usual 0.7,
        /// Wavelength of the light.
        wavelength_nm: f64 = Between(200.0, 2000.0); default WAVELENGTH_NM,
    }) -> OneSize {
        /// Circumference over wavelength.
        size_parameter: f64,
        /// Light taken out, over the droplet's own shadow.
        extinction_efficiency: f64,
        /// Mean cosine of the angle it goes to.
        asymmetry: f64,
        /// Extinction of a gram in the air.
        mass_extinction_m2pg: f64,
    }
    because mass_extinction_one_size_because
    source "Bohren and Huffman, Absorption and Scattering of Light by Small Particles, 1983", Confirmed

    /// Extinction of a gram of droplets of a liquid, of many sizes as a machine makes them.
    ///
    /// Log-normal by mass, summed over 801 sizes. Half to 0.7 µm hides most: two and a half times more than 2 µm.
    mass_extinction(MassExtinction {
        /// What the droplets are made of.
        liquid: Liquid = Any; usual Liquid::PropyleneGlycol,
        /// Diameter below which half the mass lies.
        mass_median_diameter_um: f64 = AboveUpTo(0.0, 100.0); usual 0.7,
        /// Spread of the sizes: 1 is all one size.
        geometric_sd: f64 = Between(1.0, 3.0); default GEOMETRIC_SD,
        /// Wavelength of the light.
        wavelength_nm: f64 = Between(300.0, 1100.0); default WAVELENGTH_NM,
    }) -> Mixture {
        /// Extinction of a gram in the air.
        mass_extinction_m2pg: f64,
        /// Mean cosine of the angle the light goes to.
        asymmetry: f64,
    }
    because mass_extinction_because
    source "Bohren and Huffman 1983, over a log-normal mass distribution; agreed with a general Mie code", Confirmed
}

/// The sphere, unless it is of air in air.
fn scattering(n: f64, k: f64, size_parameter: f64) -> Result<Sphere, Fault> {
    if (n - 1.0).abs() < 1e-12 && k == 0.0 {
        let problem = "A refractive index of 1 is the air itself: nothing scatters.";
        return Err(Fault::new(
            "refractive_index",
            FaultKind::OutOfRange,
            problem,
        ));
    }
    Ok(sphere(n, k, size_parameter))
}

fn mie(i: &Mie, _: &mut Warnings) -> Result<MieFound, Fault> {
    let found = scattering(i.refractive_index, i.absorption_index, i.size_parameter)?;
    Ok(MieFound {
        extinction_efficiency: found.extinction_efficiency,
        asymmetry: found.asymmetry,
        scattering_efficiency: found.scattering_efficiency,
    })
}

fn mie_because(i: &Mie, a: &MieFound) -> String {
    let absorbed = a.extinction_efficiency - a.scattering_efficiency;
    format!(
        "{} + {} = {} of its shadow, what it scatters and what it absorbs, summed over the series for {} wavelengths around",
        carried(a.scattering_efficiency),
        carried(if absorbed.abs() < 1e-12 {
            0.0
        } else {
            absorbed
        }),
        found(a.extinction_efficiency),
        given(i.size_parameter)
    )
}

/// Extinction of a gram, m²/g, from the efficiency at a diameter.
fn of_a_gram(extinction_efficiency: f64, density_kgpm3: f64, diameter_um: f64) -> f64 {
    // kg/m³ × µm is g/m² × 10⁻³
    1.5 * extinction_efficiency / (density_kgpm3 / 1000.0 * diameter_um)
}

fn mass_extinction_one_size(i: &MassExtinctionOneSize, _: &mut Warnings) -> Result<OneSize, Fault> {
    let size_parameter = PI * i.diameter_um * 1000.0 / i.wavelength_nm;
    let droplet = scattering(i.refractive_index, 0.0, size_parameter)?;
    Ok(OneSize {
        size_parameter,
        extinction_efficiency: droplet.extinction_efficiency,
        asymmetry: droplet.asymmetry,
        mass_extinction_m2pg: of_a_gram(
            droplet.extinction_efficiency,
            i.density_kgpm3,
            i.diameter_um,
        ),
    })
}

fn mass_extinction_one_size_because(i: &MassExtinctionOneSize, a: &OneSize) -> String {
    format!(
        "3 × {} ÷ (2 × {} ÷ 1000 × {}) = {} m²/g, with the efficiency of one droplet from Mie's theory",
        carried(a.extinction_efficiency),
        given(i.density_kgpm3),
        given(i.diameter_um),
        found(a.mass_extinction_m2pg)
    )
}

fn mass_extinction(i: &MassExtinction, _: &mut Warnings) -> Mixture {
    let (mut weights, mut extinction, mut forward) = (0.0, 0.0, 0.0);
    for place in 0..SIZES {
        let z = SPREADS * (2.0 * f64::from(place) / f64::from(SIZES - 1) - 1.0);
        let weight = (-z * z / 2.0).exp();
        let diameter_um = i.mass_median_diameter_um * i.geometric_sd.powf(z);
        let droplet = sphere(
            i.liquid.refractive_index(),
            0.0,
            PI * diameter_um * 1000.0 / i.wavelength_nm,
        );
        let of_a_gram = of_a_gram(
            droplet.extinction_efficiency,
            i.liquid.density_kgpm3(),
            diameter_um,
        );
        weights += weight;
        extinction += weight * of_a_gram;
        forward += weight * of_a_gram * droplet.asymmetry;
    }
    Mixture {
        mass_extinction_m2pg: extinction / weights,
        asymmetry: forward / extinction,
    }
}

fn mass_extinction_because(i: &MassExtinction, a: &Mixture) -> String {
    let density_gpcm3 = i.liquid.density_kgpm3() / 1000.0;
    let efficiency = a.mass_extinction_m2pg * density_gpcm3 * i.mass_median_diameter_um / 1.5;
    format!(
        "3 × {} ÷ (2 × {} × {}) = {} m²/g, with the mean efficiency over {SIZES} droplet sizes from Mie's theory",
        carried(efficiency),
        given(density_gpcm3),
        given(i.mass_median_diameter_um),
        found(a.mass_extinction_m2pg)
    )
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::Calculate;

    #[test]
    fn the_published_table_is_met() {
        // data/haze_mass_extinction_mie.csv, made with a general Mie code
        let rows = crate::table::rows(include_str!("../data/haze_mass_extinction_mie.csv"));
        let mut seen = 0;
        for row in &rows {
            let number = |name: &str| {
                row.get(name)
                    .and_then(|cell| cell.parse::<f64>().ok())
                    .expect("a number")
            };
            // every third row keeps the test short
            seen += 1;
            if seen % 3 != 0 {
                continue;
            }
            let liquid = Liquid::ALL
                .iter()
                .find(|liquid| liquid.as_str() == row["liquid"])
                .expect("a liquid");
            let mixture = MassExtinction {
                liquid: *liquid,
                mass_median_diameter_um: number("diameter_um"),
                geometric_sd: 1.8,
                wavelength_nm: WAVELENGTH_NM,
            };
            let mixture = mixture.work().expect("in range");
            assert!(
                (mixture.mass_extinction_m2pg / number("MEE_sg1.8_m2_g") - 1.0).abs() < 2e-3,
                "{row:?}"
            );
            assert!(
                (mixture.asymmetry - number("g_sg1.8")).abs() < 1e-3,
                "{row:?}"
            );
        }
        assert!(seen > 60);
    }

    #[test]
    fn without_spread_a_mixture_is_one_size() {
        let mixture = MassExtinction {
            liquid: Liquid::Glycerin,
            mass_median_diameter_um: 2.0,
            geometric_sd: 1.0,
            wavelength_nm: 550.0,
        };
        let one = MassExtinctionOneSize {
            refractive_index: 1.473,
            density_kgpm3: 1261.0,
            diameter_um: 2.0,
            wavelength_nm: 550.0,
        };
        let (mixture, one) = (
            mixture.work().expect("in range"),
            one.work().expect("in range"),
        );
        assert!((mixture.mass_extinction_m2pg - one.mass_extinction_m2pg).abs() < 1e-9);
        assert!((mixture.asymmetry - one.asymmetry).abs() < 1e-9);
    }

    #[test]
    fn air_in_air_is_refused() {
        let air = Mie {
            refractive_index: 1.0,
            absorption_index: 0.0,
            size_parameter: 1.0,
        };
        assert_eq!(
            air.work().expect_err("refused")[0].field,
            "refractive_index"
        );
    }
}
