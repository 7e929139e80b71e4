//! The standard observer on the grid of the calculations, and what it makes of a spectrum.

use std::sync::LazyLock;

/// Wavelengths of the grid.
pub const SAMPLES: usize = 81;
/// First wavelength of the grid, nm.
pub const FIRST_NM: f64 = 380.0;
/// Last wavelength of the grid, nm.
pub const LAST_NM: f64 = 780.0;
/// From one wavelength to the next, nm.
pub const STEP_NM: f64 = 5.0;

/// A number for each wavelength of the grid: relative power, or a share that comes through.
pub type Spectrum = [f64; SAMPLES];

/// A spectrum from its value at each wavelength.
pub fn spectrum(mut value: impl FnMut(f64) -> f64) -> Spectrum {
    let mut at_nm = FIRST_NM;
    [(); SAMPLES].map(|()| {
        let found = value(at_nm);
        at_nm += STEP_NM;
        found
    })
}

/// The product of two spectra, wavelength by wavelength.
pub fn product(a: &Spectrum, b: &Spectrum) -> Spectrum {
    let mut out = *a;
    for (value, factor) in out.iter_mut().zip(b) {
        *value *= factor;
    }
    out
}

/// Tristimulus values: what the observer's three curves make of a light.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Xyz {
    /// X.
    pub x: f64,
    /// Y, which is brightness.
    pub y: f64,
    /// Z.
    pub z: f64,
}

/// A colour without its brightness, on the diagram of 1931.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Chromaticity {
    /// x.
    pub x: f64,
    /// y.
    pub y: f64,
}

impl Xyz {
    /// X + Y + Z.
    pub fn sum(self) -> f64 {
        self.x + self.y + self.z
    }

    /// Its place on the diagram; none for darkness.
    pub fn chromaticity(self) -> Option<Chromaticity> {
        let sum = self.sum();
        (sum > 0.0 && sum.is_finite()).then(|| Chromaticity {
            x: self.x / sum,
            y: self.y / sum,
        })
    }

    /// The same light so much brighter.
    #[must_use]
    pub fn scaled(self, factor: f64) -> Self {
        Self {
            x: self.x * factor,
            y: self.y * factor,
            z: self.z * factor,
        }
    }

    /// As a column.
    pub const fn column(self) -> [f64; 3] {
        [self.x, self.y, self.z]
    }
}

impl Chromaticity {
    /// Light of this colour and a brightness.
    pub fn at_luminance(self, y: f64) -> Xyz {
        Xyz {
            x: self.x / self.y * y,
            y,
            z: (1.0 - self.x - self.y) / self.y * y,
        }
    }

    /// u′, v′ of the even diagram of 1976.
    pub fn uv_prime(self) -> (f64, f64) {
        let below = -2.0 * self.x + 12.0 * self.y + 3.0;
        (4.0 * self.x / below, 9.0 * self.y / below)
    }

    /// u, v of the diagram of 1960, on which colour temperatures are found.
    pub fn uv(self) -> (f64, f64) {
        let (u, v) = self.uv_prime();
        (u, 2.0 * v / 3.0)
    }

    /// The colour at a place on the diagram of 1960.
    pub fn from_uv(u: f64, v: f64) -> Self {
        let below = 2.0 * u - 8.0 * v + 4.0;
        Self {
            x: 3.0 * u / below,
            y: 2.0 * v / below,
        }
    }
}

/// The observer's three curves on the grid: x̄, ȳ and z̄.
pub fn curves() -> &'static [Spectrum; 3] {
    static CURVES: LazyLock<[Spectrum; 3]> = LazyLock::new(|| {
        let table = include_str!("../data/cie1931_2deg_cmf_5nm.csv");
        ["x_bar", "y_bar", "z_bar"].map(|name| {
            let column = crate::table::column(table, "wavelength_nm", name);
            spectrum(|at_nm| between(&column, at_nm).unwrap_or(0.0))
        })
    });
    &CURVES
}

/// What the observer makes of a spectrum: 5 nm times the sum over the grid.
pub fn tristimulus(power: &Spectrum) -> Xyz {
    let [x, y, z] = curves().each_ref().map(|curve| {
        let both = power.iter().zip(curve);
        STEP_NM * both.map(|(power, weight)| power * weight).sum::<f64>()
    });
    Xyz { x, y, z }
}

/// The value of a table between two of its lines; none outside it.
pub fn between(table: &[(f64, f64)], at: f64) -> Option<f64> {
    let above = table.partition_point(|(place, _)| *place < at);
    let &(high, value_high) = table.get(above)?;
    if high <= at {
        return Some(value_high);
    }
    let &(low, value_low) = table.get(above.checked_sub(1)?)?;
    Some(value_low + (value_high - value_low) * (at - low) / (high - low))
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn the_observer_sees_equal_power_as_nearly_white() {
        let white = tristimulus(&spectrum(|_| 1.0))
            .chromaticity()
            .expect("light");
        assert!((white.x - 1.0 / 3.0).abs() < 1e-4 && (white.y - 1.0 / 3.0).abs() < 1e-4);
        assert!((curves()[1].iter().copied().fold(0.0, f64::max) - 1.0).abs() < 1e-3);
        assert_eq!(tristimulus(&spectrum(|_| 0.0)).chromaticity(), None);
    }

    #[test]
    fn tables_are_read_between_their_lines_and_not_outside() {
        let table = [(400.0, 1.0), (410.0, 3.0), (430.0, 3.0)];
        assert_eq!(between(&table, 399.0), None);
        assert_eq!(between(&table, 400.0), Some(1.0));
        assert!((between(&table, 405.0).expect("inside") - 2.0).abs() < 1e-12);
        assert_eq!(between(&table, 430.0), Some(3.0));
        assert_eq!(between(&table, 430.1), None);
        assert_eq!(between(&[], 400.0), None);
    }

    proptest! {
        #[test]
        fn diagrams_are_inverse(x in 0.05..0.7_f64, y in 0.02..0.8_f64) {
            let (u, v) = Chromaticity { x, y }.uv();
            let back = Chromaticity::from_uv(u, v);
            prop_assert!((back.x - x).abs() < 1e-12 && (back.y - y).abs() < 1e-12);
        }

        #[test]
        fn brightness_keeps_the_colour(x in 0.05..0.7_f64, y in 0.02..0.8_f64, bright in 0.01..1e4_f64) {
            let back = Chromaticity { x, y }.at_luminance(bright).chromaticity().expect("light");
            prop_assert!((back.x - x).abs() < 1e-12 && (back.y - y).abs() < 1e-12);
        }
    }
}
