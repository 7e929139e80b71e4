//! Eight-hour averages of what somebody breathes in a day.

use super::{WORKING_DAY_H, needs_one};
use crate::calculation::calculation;
use crate::fault::{Fault, FaultKind, Warnings};
use crate::figure::{carried, found, given};
use crate::input::part;

/// Hours in a day.
const DAY_H: f64 = 24.0;

part! {
    /// A time spent at one level.
    Segment {
        /// Level breathed.
        concentration_mgpm3: f64 = AtLeast(0.0),
        /// Time at it.
        hours: f64 = AtLeast(0.0),
    }
}

part! {
    /// A time with the machine running.
    FillPiece {
        /// Level that the machine would end at.
        concentration_steady_mgpm3: f64 = AtLeast(0.0),
        /// Share lost each hour.
        loss_per_h: f64 = AtLeast(0.0),
        /// Time in it.
        hours: f64 = AtLeast(0.0),
        /// Level at the start.
        concentration_start_mgpm3: f64 = AtLeast(0.0); default 0.0,
    }
}

part! {
    /// A time with the machine off.
    DecayPiece {
        /// Share lost each hour.
        loss_per_h: f64 = AtLeast(0.0),
        /// Time in it.
        hours: f64 = AtLeast(0.0),
    }
}

calculation! { "air-limits";
    /// Eight-hour average of a day spent at several levels.
    ///
    /// Divided by 8 h for shorter and longer days alike; a longer one is told (`long_day`).
    twa_steps(TwaSteps {
        /// The pieces of the day.
        segments: Vec<Segment> = Any; usual vec![
            Segment { concentration_mgpm3: 40.0, hours: 1.0 },
            Segment { concentration_mgpm3: 8.0, hours: 3.0 },
        ],
    }) -> DayAverage {
        /// Eight-hour average.
        twa_8h_mgpm3: f64,
    }
    because twa_steps_because
    source "29 CFR 1910.1000(d)(1)", Confirmed

    /// Eight-hour average of somebody who is inside during a fill and while it clears.
    twa_model(TwaModel {
        /// Time with the machine running.
        fill: FillPiece = Any; usual FillPiece {
            concentration_steady_mgpm3: 133.3, loss_per_h: 1.5, hours: 0.5, concentration_start_mgpm3: 0.0,
        },
        /// Time with the machine off, if any.
        decay: Option<DecayPiece> = Any; usual DecayPiece { loss_per_h: 1.5, hours: 2.0 },
    }) -> ModelAverage {
        /// Level times time.
        dose_mg_h_pm3: f64,
        /// Eight-hour average.
        twa_8h_mgpm3: f64,
    }
    because twa_model_because
    source "29 CFR 1910.1000(d)(1) over the mass balance of a well-mixed box", Confirmed
}

fn twa_steps(i: &TwaSteps, warnings: &mut Warnings) -> Result<DayAverage, Fault> {
    needs_one("segments", i.segments.len())?;
    note_day(
        "segments",
        i.segments.iter().map(|piece| piece.hours).sum(),
        warnings,
    )?;
    let dose: f64 = i
        .segments
        .iter()
        .map(|piece| piece.concentration_mgpm3 * piece.hours)
        .sum();
    Ok(DayAverage {
        twa_8h_mgpm3: dose / WORKING_DAY_H,
    })
}

fn twa_steps_because(i: &TwaSteps, a: &DayAverage) -> String {
    let pieces = i.segments.iter();
    let terms: Vec<_> = pieces
        .map(|piece| {
            format!(
                "{} × {}",
                given(piece.concentration_mgpm3),
                given(piece.hours)
            )
        })
        .collect();
    format!(
        "({}) ÷ 8 = {} mg/m³ over eight hours",
        terms.join(" + "),
        found(a.twa_8h_mgpm3)
    )
}

fn twa_model(i: &TwaModel, warnings: &mut Warnings) -> Result<ModelAverage, Fault> {
    let clearing_h = i.decay.as_ref().map_or(0.0, |decay| decay.hours);
    note_day("decay", i.fill.hours + clearing_h, warnings)?;
    let (filling, clearing) = doses(i);
    Ok(ModelAverage {
        dose_mg_h_pm3: filling + clearing,
        twa_8h_mgpm3: (filling + clearing) / WORKING_DAY_H,
    })
}

fn twa_model_because(i: &TwaModel, a: &ModelAverage) -> String {
    let (filling, clearing) = doses(i);
    format!(
        "({} + {}) ÷ 8 = {} mg/m³ over eight hours, from level times hours while filling and while clearing",
        carried(filling),
        carried(clearing),
        found(a.twa_8h_mgpm3)
    )
}

/// Refuses more hours than a day has, and tells of a day longer than the limits are made for.
fn note_day(field: &str, hours: f64, warnings: &mut Warnings) -> Result<(), Fault> {
    if hours > DAY_H {
        let problem = format!("These hours add up to {}, and a day has 24.", found(hours));
        return Err(Fault::new(field, FaultKind::OutOfRange, problem));
    }
    warnings.add_if(hours > WORKING_DAY_H, "long_day");
    Ok(())
}

/// (1 − e^(−L t))/L: the time that a decaying level counts for, the whole time without loss.
fn counted_h(loss_per_h: f64, hours: f64) -> f64 {
    if loss_per_h * hours < 1e-12 {
        hours
    } else {
        -(-loss_per_h * hours).exp_m1() / loss_per_h
    }
}

/// Level times time while filling and while it clears.
fn doses(i: &TwaModel) -> (f64, f64) {
    let fill = &i.fill;
    let rise = fill.concentration_start_mgpm3 - fill.concentration_steady_mgpm3;
    let filling = fill.concentration_steady_mgpm3 * fill.hours
        + rise * counted_h(fill.loss_per_h, fill.hours);
    let end = fill.concentration_steady_mgpm3 + rise * (-fill.loss_per_h * fill.hours).exp();
    let clearing = i
        .decay
        .as_ref()
        .map_or(0.0, |decay| end * counted_h(decay.loss_per_h, decay.hours));
    (filling, clearing)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::Calculate;
    use proptest::prelude::*;

    fn day(pieces: &[(f64, f64)]) -> TwaSteps {
        let piece = |&(concentration_mgpm3, hours): &(f64, f64)| Segment {
            concentration_mgpm3,
            hours,
        };
        TwaSteps {
            segments: pieces.iter().map(piece).collect(),
        }
    }

    fn inside(loss_per_h: f64, hours: f64) -> TwaModel {
        TwaModel {
            fill: FillPiece {
                concentration_steady_mgpm3: 100.0,
                loss_per_h,
                hours,
                concentration_start_mgpm3: 0.0,
            },
            decay: None,
        }
    }

    #[test]
    fn a_day_is_averaged_over_eight_hours() {
        let average = day(&[(40.0, 1.0), (8.0, 3.0), (0.0, 4.0)])
            .work()
            .expect("in range");
        assert!((average.twa_8h_mgpm3 - 8.0).abs() < 1e-12);
        assert_eq!(
            average.because,
            "(40 × 1 + 8 × 3 + 0 × 4) ÷ 8 = 8 mg/m³ over eight hours"
        );
        assert_eq!(
            day(&[(1.0, 9.0)]).work().expect("in range").warnings,
            ["long_day"]
        );
    }

    #[test]
    fn days_that_cannot_be_are_refused() {
        for (bad, kind) in [
            (day(&[]), FaultKind::Missing),
            (day(&[(1.0, 25.0)]), FaultKind::OutOfRange),
            (day(&[(1.0, 1.0), (1.0, -1.0)]), FaultKind::Negative),
            (day(&[(f64::NAN, 1.0)]), FaultKind::NotFinite),
        ] {
            let faults = bad.work().expect_err("refused");
            assert_eq!(
                (faults[0].field.as_str(), faults[0].kind),
                ("segments", kind)
            );
        }
    }

    #[test]
    fn a_room_without_loss_stays_as_it_is() {
        assert!(
            inside(0.0, 2.0)
                .work()
                .expect("in range")
                .dose_mg_h_pm3
                .abs()
                < 1e-9
        );
        assert!((inside(50.0, 2.0).work().expect("in range").dose_mg_h_pm3 - 198.0).abs() < 0.01);
    }

    proptest! {
        #[test]
        fn a_short_fill_equals_many_small_steps(loss in 0.1..5.0, hours in 0.1..3.0) {
            let worked = inside(loss, hours).work().expect("in range");
            let step = hours / 2000.0;
            let level = |at: f64| 100.0 * (1.0 - (-loss * at).exp());
            let summed: f64 = (0..2000).map(|n| level((f64::from(n) + 0.5) * step) * step).sum();
            prop_assert!((worked.dose_mg_h_pm3 - summed).abs() < 1e-5 * summed);
        }
    }
}
