//! How long a search through a full stock of gels takes: a hundred measured gels, stacks of up to three.
//!
//! `cargo bench -p stillair-calc`. The goal is a tenth of a second on one core.

use std::hint::black_box;
use std::time::{Duration, Instant};
use stillair_calc::colour::lamp::planck;
use stillair_calc::colour::observer::{Chromaticity, SAMPLES, spectrum};
use stillair_calc::colour::search::{Stocked, Wanted, best_stacks};

const GELS: u32 = 100;
const ROUNDS: u32 = 20;

/// A gel of two bumps, each unlike the others.
fn gel(number: u32) -> Stocked {
    let number = f64::from(number);
    let bump = |at_nm: f64, middle: f64, width: f64| (-((at_nm - middle) / width).powi(2)).exp();
    let (first, second) = (400.0 + 37.0 * number % 340.0, 420.0 + 91.0 * number % 310.0);
    Stocked {
        name: format!("gel {number}"),
        through: spectrum(|at_nm| {
            0.08 + 0.5 * bump(at_nm, first, 45.0) + 0.4 * bump(at_nm, second, 70.0)
        }),
        sheets: None,
    }
}

#[expect(clippy::print_stdout, reason = "a bench tells its times")]
fn main() {
    let stock: Vec<Stocked> = (0..GELS).map(gel).collect();
    let wanted = Wanted {
        lamp: planck(5600.0),
        target: Chromaticity { x: 0.26, y: 0.31 },
        max_gels: 3,
        repeats_allowed: true,
        min_luminous_transmittance: 0.0,
    };
    let mut times: Vec<Duration> = (0..ROUNDS)
        .map(|_| {
            let start = Instant::now();
            black_box(best_stacks(black_box(&stock), black_box(&wanted)));
            start.elapsed()
        })
        .collect();
    times.sort_unstable();
    let best = &best_stacks(&stock, &wanted)[0];
    println!(
        "176 850 stacks of {GELS} gels at {SAMPLES} wavelengths: median {:?}, best {:?}, worst {:?}; nearest {:?} at {:.6}",
        times[times.len() / 2],
        times[0],
        times[times.len() - 1],
        best.places,
        best.delta_uprime_vprime
    );
}
