//! Scattering by one sphere (Mie's theory), as in Bohren and Huffman 1983.

use std::ops::{Add, Div, Mul, Sub};

/// A complex number, only what the series needs.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
struct Complex {
    re: f64,
    im: f64,
}

impl Complex {
    const fn real(re: f64) -> Self {
        Self { re, im: 0.0 }
    }
    const fn conjugate(self) -> Self {
        Self {
            re: self.re,
            im: -self.im,
        }
    }
    fn times(self, factor: f64) -> Self {
        Self {
            re: self.re * factor,
            im: self.im * factor,
        }
    }
    fn square(self) -> f64 {
        self.re * self.re + self.im * self.im
    }
}

impl Add for Complex {
    type Output = Self;
    fn add(self, other: Self) -> Self {
        Self {
            re: self.re + other.re,
            im: self.im + other.im,
        }
    }
}

impl Sub for Complex {
    type Output = Self;
    fn sub(self, other: Self) -> Self {
        Self {
            re: self.re - other.re,
            im: self.im - other.im,
        }
    }
}

impl Mul for Complex {
    type Output = Self;
    fn mul(self, other: Self) -> Self {
        Self {
            re: self.re * other.re - self.im * other.im,
            im: self.re * other.im + self.im * other.re,
        }
    }
}

impl Div for Complex {
    type Output = Self;
    fn div(self, other: Self) -> Self {
        (self * other.conjugate()).times(1.0 / other.square())
    }
}

/// How a sphere takes light out of a beam.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Sphere {
    /// Light taken out, over the sphere's own shadow.
    pub extinction_efficiency: f64,
    /// Light sent elsewhere, over the sphere's own shadow.
    pub scattering_efficiency: f64,
    /// Mean cosine of the angle it is sent to.
    pub asymmetry: f64,
}

/// Scattering of a sphere of index n + ik whose circumference is `size_parameter` wavelengths.
pub(crate) fn sphere(refractive_index: f64, absorption_index: f64, size_parameter: f64) -> Sphere {
    let (an, bn) = coefficients(refractive_index, absorption_index, size_parameter);
    let mut extinction = 0.0;
    let mut scattering = 0.0;
    let mut forward = 0.0;
    for (place, (a, b)) in an.iter().zip(&bn).enumerate() {
        let n = order(place);
        extinction += (2.0 * n + 1.0) * (a.re + b.re);
        scattering += (2.0 * n + 1.0) * (a.square() + b.square());
        forward += (2.0 * n + 1.0) / (n * (n + 1.0)) * (*a * b.conjugate()).re;
        if let (Some(next_a), Some(next_b)) = (an.get(place + 1), bn.get(place + 1)) {
            let neighbours = *a * next_a.conjugate() + *b * next_b.conjugate();
            forward += n * (n + 2.0) / (n + 1.0) * neighbours.re;
        }
    }
    let shadow = 2.0 / size_parameter.powi(2);
    Sphere {
        extinction_efficiency: shadow * extinction,
        scattering_efficiency: shadow * scattering,
        asymmetry: 2.0 * forward / scattering,
    }
}

/// The order of the term at a place of the lists.
fn order(place: usize) -> f64 {
    f64::from(u32::try_from(place + 1).unwrap_or(u32::MAX))
}

#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "sizes are bounded by the ranges of the calculations"
)]
fn count(terms: f64) -> usize {
    terms.ceil() as usize
}

/// The series' coefficients a and b, first to last.
fn coefficients(
    refractive_index: f64,
    absorption_index: f64,
    x: f64,
) -> (Vec<Complex>, Vec<Complex>) {
    let m = Complex {
        re: refractive_index,
        im: absorption_index,
    };
    let mx = m.times(x);
    let terms = count(x + 4.05 * x.cbrt() + 8.0);
    let size = mx.square().sqrt();
    // starting only 15 above |m x|, as often printed, costs three digits at x = 1000
    let start = count(order(terms - 1).max(size + 8.0 * size.cbrt())) + 16;
    let inside = log_derivatives(mx, start, terms);
    let outside_start = count(order(terms - 1).max(x + 8.0 * x.cbrt())) + 16;
    let outside = log_derivatives(Complex::real(x), outside_start, terms);

    let one = Complex::real(1.0);
    let mut psi_before = x.sin();
    let (mut chi_before_last, mut chi_before) = (-x.sin(), x.cos());
    let (mut an, mut bn) = (Vec::with_capacity(terms), Vec::with_capacity(terms));
    for place in 0..terms {
        let n = order(place);
        // upward recurrence of psi loses small spheres; its ratio from the log derivative does not
        let psi = psi_before / (outside[place].re + n / x);
        let chi = (2.0 * n - 1.0) * chi_before / x - chi_before_last;
        let xi = Complex { re: psi, im: -chi };
        let xi_before = Complex {
            re: psi_before,
            im: -chi_before,
        };
        let ratio = |factor: Complex| {
            let factor = factor + Complex::real(n / x);
            (factor.times(psi) - Complex::real(psi_before)) / (factor * xi - xi_before)
        };
        an.push(ratio(inside[place] * (one / m)));
        bn.push(ratio(inside[place] * m));
        psi_before = psi;
        (chi_before_last, chi_before) = (chi_before, chi);
    }
    (an, bn)
}

/// ψ′ₙ/ψₙ of an argument for n = 1 to `terms`, downward from `start`, where it is steady.
fn log_derivatives(argument: Complex, start: usize, terms: usize) -> Vec<Complex> {
    let mut out = vec![Complex::default(); terms];
    let mut above = Complex::default();
    for n in (1..=start).rev() {
        if n <= terms {
            out[n - 1] = above;
        }
        let step = Complex::real(order(n - 1)) / argument;
        above = step - Complex::real(1.0) / (above + step);
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn large_spheres_take_out_twice_their_shadow() {
        let ball = sphere(1.5, 0.0, 1000.0);
        assert!((ball.extinction_efficiency - 2.013_945).abs() < 2e-6);
        assert!((ball.asymmetry - 0.827_882).abs() < 2e-6);
    }

    #[test]
    fn small_spheres_follow_rayleigh() {
        for x in [1e-5, 1e-3, 1e-2] {
            let m2 = 1.5_f64.powi(2);
            let rayleigh = 8.0 / 3.0 * f64::powi(x, 4) * ((m2 - 1.0) / (m2 + 2.0)).powi(2);
            let ball = sphere(1.5, 0.0, x);
            assert!(
                (ball.scattering_efficiency / rayleigh - 1.0).abs() < 2.0 * x * x + 1e-9,
                "{x}"
            );
            assert!(ball.asymmetry.abs() < 1e-3);
        }
    }

    #[test]
    fn what_does_not_absorb_scatters_all() {
        for x in [0.1, 1.0, 10.0, 100.0] {
            let clear = sphere(1.432, 0.0, x);
            let lost = clear.extinction_efficiency - clear.scattering_efficiency;
            assert!(
                lost.abs() < 1e-9 * clear.extinction_efficiency.max(1e-3),
                "{x}"
            );
            assert!(
                sphere(1.432, 0.1, x).extinction_efficiency
                    > sphere(1.432, 0.1, x).scattering_efficiency
            );
        }
    }
}
