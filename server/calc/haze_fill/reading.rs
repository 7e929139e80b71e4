//! Haze measured: with a meter, in stops, and its loss from two readings.

use super::MIN_PER_H;
use crate::calculation::{OrInfinity, calculation};
use crate::fault::{Fault, FaultKind, Warnings};
use crate::figure::{found, given};
use std::f64::consts::LN_2;

/// Shortest way worth reading over, m; common practice, no source.
const SHORTEST_PATH_M: f64 = 5.0;
/// Light lost that is worth reading, stops; common practice, no source.
const GOOD_DROP_STOPS: std::ops::RangeInclusive<f64> = 0.3..=2.0;

calculation! { "haze-fill";
    /// Extinction from a meter read in clear air and in haze, same places.
    ///
    /// An open dome also collects light scattered forward and reads the haze too thin: use a spot reading of a small
    /// lamp. Warns (`reading_weak`) under 5 m or outside 0.3 to 2 stops.
    extinction_from_meter(ExtinctionFromMeter {
        /// Reading in clear air.
        clear_reading_lx: f64 = Above(0.0); usual 800.0,
        /// Reading in haze.
        haze_reading_lx: f64 = Above(0.0); usual 560.0,
        /// Way through the haze.
        path_m: f64 = Above(0.0); usual 5.0,
    }) -> MeterExtinction {
        /// Extinction of the haze.
        extinction_per_m: f64,
    }
    because "ln({clear_reading_lx} ÷ {haze_reading_lx}) ÷ {path_m} = {extinction_per_m} a metre"
    source "Beer–Lambert law", Confirmed

    /// Extinction from a drop in stops, and what a tenth of a stop makes of it.
    extinction_from_stops(ExtinctionFromStops {
        /// Stops lost from clear air to haze.
        stop_drop: f64 = AtLeast(0.0); usual 0.7,
        /// Way through the haze.
        path_m: f64 = Above(0.0); usual 5.0,
    }) -> StopsExtinction {
        /// Extinction of the haze.
        extinction_per_m: f64,
        /// What reading a tenth of a stop wrong makes of it.
        extinction_uncertainty_for_tenth_stop_per_m: f64,
    }
    because "ln(2) × {stop_drop} ÷ {path_m} = {extinction_per_m} a metre, give or take {extinction_uncertainty_for_tenth_stop_per_m}"
    source "Beer–Lambert law", Confirmed

    /// Share of haze lost each hour, from two readings with the machine off.
    loss_rate_from_two_readings(LossRateFromTwoReadings {
        /// Extinction first read.
        extinction_first_per_m: f64 = Above(0.0); usual 0.12,
        /// Extinction read later.
        extinction_second_per_m: f64 = Above(0.0); usual 0.08,
        /// Minutes between both.
        minutes_between: f64 = Above(0.0); usual 20.0,
    }) -> LossRate {
        /// Share lost each hour.
        total_loss_per_h: f64,
        /// Time until half is left; without end when nothing is lost.
        half_life_min: OrInfinity,
    }
    because loss_rate_because
    source "mass balance of a well-mixed box", Confirmed
}

/// Doubts a reading over a short way, or of a drop too small or too large to read well.
fn note_reading(stops: f64, path_m: f64, warnings: &mut Warnings) {
    let well_read = path_m >= SHORTEST_PATH_M && GOOD_DROP_STOPS.contains(&stops);
    warnings.add_if(!well_read, "reading_weak");
}

fn extinction_from_meter(
    i: &ExtinctionFromMeter,
    warnings: &mut Warnings,
) -> Result<MeterExtinction, Vec<Fault>> {
    if i.haze_reading_lx > i.clear_reading_lx {
        let problem = "The reading in haze must not be higher than the one in clear air.";
        return Err(["haze_reading_lx", "clear_reading_lx"]
            .map(|field| Fault::new(field, FaultKind::RangeReversed, problem))
            .to_vec());
    }
    let optical_depth = (i.clear_reading_lx / i.haze_reading_lx).ln();
    note_reading(optical_depth / LN_2, i.path_m, warnings);
    Ok(MeterExtinction {
        extinction_per_m: optical_depth / i.path_m,
    })
}

fn extinction_from_stops(i: &ExtinctionFromStops, warnings: &mut Warnings) -> StopsExtinction {
    note_reading(i.stop_drop, i.path_m, warnings);
    StopsExtinction {
        extinction_per_m: LN_2 * i.stop_drop / i.path_m,
        extinction_uncertainty_for_tenth_stop_per_m: LN_2 * 0.1 / i.path_m,
    }
}

fn loss_rate_from_two_readings(
    i: &LossRateFromTwoReadings,
    warnings: &mut Warnings,
) -> Result<LossRate, Vec<Fault>> {
    if i.extinction_second_per_m > i.extinction_first_per_m {
        let problem = "The haze got thicker between the readings: read again with the machine off.";
        return Err(["extinction_second_per_m", "extinction_first_per_m"]
            .map(|field| Fault::new(field, FaultKind::RangeReversed, problem))
            .to_vec());
    }
    let total_loss_per_h =
        (i.extinction_first_per_m / i.extinction_second_per_m).ln() / i.minutes_between * MIN_PER_H;
    super::note_loss(total_loss_per_h, warnings);
    Ok(LossRate {
        total_loss_per_h,
        half_life_min: OrInfinity(MIN_PER_H * LN_2 / total_loss_per_h),
    })
}

fn loss_rate_because(i: &LossRateFromTwoReadings, a: &LossRate) -> String {
    let (first, second) = (
        given(i.extinction_first_per_m),
        given(i.extinction_second_per_m),
    );
    format!(
        "60 × ln({first} ÷ {second}) ÷ {} = {} an hour. Half is gone after {} min.",
        given(i.minutes_between),
        found(a.total_loss_per_h),
        found(a.half_life_min.0)
    )
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::Calculate;
    use proptest::prelude::*;

    #[test]
    fn more_light_through_haze_is_refused() {
        let misread = ExtinctionFromMeter {
            clear_reading_lx: 500.0,
            haze_reading_lx: 560.0,
            path_m: 5.0,
        };
        assert_eq!(
            misread.work().expect_err("refused")[0].field,
            "haze_reading_lx"
        );
    }

    #[test]
    fn haze_that_stays_has_no_half_life() {
        let readings = |extinction_second_per_m| LossRateFromTwoReadings {
            extinction_first_per_m: 0.1,
            extinction_second_per_m,
            minutes_between: 20.0,
        };
        assert!(
            readings(0.1)
                .work()
                .expect("in range")
                .half_life_min
                .0
                .is_infinite()
        );
        assert_eq!(readings(0.2).work().expect_err("refused").len(), 2);
    }

    #[test]
    fn a_short_way_is_doubted() {
        let read = |path_m, stop_drop| {
            ExtinctionFromStops { stop_drop, path_m }
                .work()
                .expect("in range")
                .warnings
        };
        assert!(read(5.0, 0.7).is_empty());
        assert_eq!(read(4.0, 0.7), ["reading_weak"]);
        assert_eq!(read(5.0, 0.1), ["reading_weak"]);
    }

    proptest! {
        #[test]
        fn meter_and_stops_agree(stops in 0.0..4.0_f64, path_m in 1.0..20.0) {
            let meter = ExtinctionFromMeter { clear_reading_lx: 800.0, haze_reading_lx: 800.0 / stops.exp2(), path_m };
            let by_stops = ExtinctionFromStops { stop_drop: stops, path_m };
            let apart = meter.work().expect("in range").extinction_per_m - by_stops.work().expect("in range").extinction_per_m;
            prop_assert!(apart.abs() < 1e-9);
        }
    }
}
