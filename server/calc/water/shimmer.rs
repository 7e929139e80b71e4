//! How sunlight flickers under waves.

use crate::calculation::calculation;
use crate::fault::Warnings;
use crate::figure::{carried, found, given};
use std::sync::LazyLock;

/// Deepest that the curve is carried, m.
const DEEPEST_M: f64 = 15.0;
/// Depth at which the fit takes over from the readings, m.
const FIT_FROM_M: f64 = 1.7;
/// Fits A z^−n to the readings from 1.7 to 9.6 m: wavelength, A, n.
const FITS: [(f64, f64, f64); 3] = [
    (443.0, 0.611, 1.137),
    (532.0, 0.735, 1.168),
    (670.0, 0.882, 1.040),
];

calculation! { "water";
    /// How much sunlight flickers at a depth under waves.
    ///
    /// One place, one hour: a shape to imitate, not a law. On the stage: ripple at full depth for 1 m, some 40 % at 3 m, 12 %
    /// at 8 m, none below 15 to 20 m, and blurrier as it goes down (common practice). Above the first reading and below
    /// 15 m there is none, which is told (`no_data`).
    shimmer(Shimmer {
        /// Depth in the story.
        depth_m: f64 = AtLeast(0.0); usual 5.0,
        /// Wavelength.
        wavelength_nm: f64 = Between(443.0, 670.0); default 532.0,
    }) -> ShimmerFound {
        /// Spread of the light over its mean; none where nobody measured.
        flicker_cv: Option<f64>,
    }
    because shimmer_because
    source "power-law fit to Darecki, Stramski and Sokolski, J. Geophys. Res. 116, 2011, Figure 13a", Confirmed
}

/// The shallowest readings: depth, and flicker at each of the fitted wavelengths.
fn shallowest() -> (f64, [f64; 3]) {
    static FIRST: LazyLock<(f64, [f64; 3])> = LazyLock::new(|| {
        let text = include_str!("../data/surface_shimmer_cv_vs_depth.csv");
        let rows = crate::table::rows(text);
        let first = rows.first().and_then(|row| row.get("depth_m")).cloned();
        let read = |nm: f64| {
            let row = rows.iter().find(|row| {
                row.get("depth_m") == first.as_ref()
                    && row.get("wavelength_nm").and_then(|of| of.parse().ok()) == Some(nm)
            });
            let cv = row.and_then(|row| row.get("cv")?.parse().ok());
            cv.unwrap_or(f64::NAN)
        };
        let depth_m = first.as_ref().and_then(|depth| depth.parse().ok());
        (depth_m.unwrap_or(f64::NAN), FITS.map(|(nm, _, _)| read(nm)))
    });
    *FIRST
}

/// Flicker at a depth where there is any, at one of the fitted wavelengths.
fn fitted(place: usize, depth_m: f64) -> f64 {
    let (_, scale, power) = FITS[place];
    let fit = |depth_m: f64| scale * depth_m.powf(-power);
    if depth_m >= FIT_FROM_M {
        return fit(depth_m);
    }
    let (first_m, readings) = shallowest();
    let share = (depth_m - first_m) / (FIT_FROM_M - first_m);
    readings[place] + (fit(FIT_FROM_M) - readings[place]) * share
}

/// The two fitted wavelengths around one, with flicker at each.
fn around(i: &Shimmer) -> [(f64, f64); 2] {
    let upper = if i.wavelength_nm <= FITS[1].0 { 1 } else { 2 };
    [upper - 1, upper].map(|place| (FITS[place].0, fitted(place, i.depth_m)))
}

fn shimmer(i: &Shimmer, warnings: &mut Warnings) -> ShimmerFound {
    let known = (shallowest().0..=DEEPEST_M).contains(&i.depth_m);
    let [(low_nm, low), (high_nm, high)] = around(i);
    let share = (i.wavelength_nm - low_nm) / (high_nm - low_nm);
    let flicker_cv = known.then_some(low + (high - low) * share);
    warnings.add_if(!known, "no_data");
    ShimmerFound { flicker_cv }
}

fn shimmer_because(i: &Shimmer, a: &ShimmerFound) -> String {
    let Some(flicker_cv) = a.flicker_cv else {
        let (first_m, _) = shallowest();
        return if i.depth_m < first_m {
            format!(
                "{} ÷ {} = {} of the shallowest depth read: no data",
                given(i.depth_m),
                given(first_m),
                found(i.depth_m / first_m)
            )
        } else {
            format!(
                "{} ÷ 15 = {} times the deepest that the curve is carried: no data",
                given(i.depth_m),
                found(i.depth_m / DEEPEST_M)
            )
        };
    };
    let [(low_nm, low), (high_nm, high)] = around(i);
    let (low, high) = (carried(low), carried(high));
    format!(
        "{low} + ({high} − {low}) × ({} − {}) ÷ ({} − {}) = {} of the mean, between the curves of two wavelengths",
        given(i.wavelength_nm),
        given(low_nm),
        given(high_nm),
        given(low_nm),
        found(flicker_cv)
    )
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::Calculate;
    use proptest::prelude::*;

    fn at(depth_m: f64, wavelength_nm: f64) -> Option<f64> {
        let asked = Shimmer {
            depth_m,
            wavelength_nm,
        };
        asked.work().expect("in range").flicker_cv
    }

    #[test]
    fn readings_are_met_within_the_fit() {
        for (depth_m, nm, cv) in [
            (2.84, 532.0, 0.2238),
            (6.73, 443.0, 0.0658),
            (9.58, 670.0, 0.0815),
        ] {
            assert!(
                (at(depth_m, nm).expect("known") / cv - 1.0).abs() < 0.07,
                "{depth_m} m at {nm}"
            );
        }
        assert!((at(0.86, 532.0).expect("known") - 0.5414).abs() < 1e-9);
    }

    #[test]
    fn where_nobody_measured_there_is_none() {
        for depth_m in [0.0, 0.5, 15.1, 400.0] {
            let asked = Shimmer {
                depth_m,
                wavelength_nm: 532.0,
            };
            let found = asked.work().expect("in range");
            assert_eq!(
                (found.flicker_cv, found.warnings.as_slice()),
                (None, &["no_data"][..])
            );
            assert!(
                crate::because::evaluate(&found.because)
                    .expect("an expression")
                    .units_apart()
                    <= 0.6
            );
        }
    }

    proptest! {
        #[test]
        fn deeper_flickers_less(depth in 0.87..14.0_f64, more in 0.01..1.0_f64, nm in 443.0..670.0_f64) {
            prop_assert!(at(depth + more, nm) < at(depth, nm));
        }
    }
}
