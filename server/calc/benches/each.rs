//! What each calculation costs from JSON to because, on its usual values; the dearest first.
//! `cargo bench -p stillair-calc --bench each`.

use serde_json::{Map, Value};
use std::{
    hint::black_box,
    io::Write as _,
    time::{Duration, Instant},
};
use stillair_calc::{Calculation, catalogue};

const LONGEST: Duration = Duration::from_millis(50);
const SHOWN: usize = 25;

fn main() {
    let mut costs: Vec<(f64, &Calculation)> = catalogue().iter().map(|c| (cost_us(c), c)).collect();
    costs.sort_by(|a, b| b.0.total_cmp(&a.0));
    let mut out = std::io::stdout();
    let over = costs.iter().filter(|(us, _)| *us > 20.0).count();
    let _ = writeln!(
        out,
        "{} calculations, {over} over 20 µs; the dearest:",
        costs.len()
    );
    for (us, calculation) in costs.iter().take(SHOWN) {
        let _ = writeln!(
            out,
            "{us:10.2} µs  {}/{}",
            calculation.family, calculation.name
        );
    }
    let middle = costs[costs.len() / 2].0;
    let _ = writeln!(out, "{middle:10.2} µs  the middle one");
    let dof = costs.iter().find(|(_, c)| c.name == "depth-of-field");
    if let Some((us, _)) = dof {
        let _ = writeln!(out, "{us:10.2} µs  focus/depth-of-field");
    }
}

/// Microseconds of one run.
fn cost_us(calculation: &Calculation) -> f64 {
    let inputs = calculation.inputs.iter();
    let given: Map<String, Value> = inputs
        .filter_map(|i| Some((i.name.to_owned(), i.usual?())))
        .collect();
    assert!(
        (calculation.run)(&given).is_ok(),
        "{} does not work on its usual values",
        calculation.name
    );
    let begun = Instant::now();
    let mut runs = 0_u32;
    while begun.elapsed() < LONGEST {
        for _ in 0..10 {
            let _ = black_box((calculation.run)(black_box(&given)));
            runs += 1;
        }
    }
    begun.elapsed().as_secs_f64() * 1e6 / f64::from(runs)
}
