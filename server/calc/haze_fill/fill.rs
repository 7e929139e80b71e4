//! The well-mixed box: rising and falling.

use super::{MGPH_PER_GPMIN, MIN_PER_H, NO_LOSS_PER_H, note_loss};
use crate::calculation::calculation;
use crate::fault::{Fault, FaultKind, Warnings};
use crate::figure::{carried, found, given};
use std::f64::consts::LN_2;

calculation! { "haze-fill";
    /// Level that a machine left running ends at: output over room and loss.
    steady(Steady {
        /// Liquid that stays in the air, each minute.
        airborne_rate_gpmin: f64 = AtLeast(0.0); usual 2.0,
        /// Volume of the room.
        volume_m3: f64 = Above(0.0); usual 600.0,
        /// Share lost each hour, by leak, settling and evaporation.
        total_loss_per_h: f64 = Above(0.0); usual 1.5,
    }) -> SteadyLevel {
        /// Level it ends at.
        concentration_steady_mgpm3: f64,
    }
    because "60\u{202f}000 × {airborne_rate_gpmin} ÷ ({volume_m3} × {total_loss_per_h}) = {concentration_steady_mgpm3} mg/m³"
    source "mass balance of a well-mixed box", Confirmed

    /// Level after a time with the machine running.
    ///
    /// C∞ + (C₀ − C∞) e^(−L t); without loss it rises in a straight line.
    concentration(FillLevel {
        /// Liquid that stays in the air, each minute.
        airborne_rate_gpmin: f64 = AtLeast(0.0); usual 2.0,
        /// Volume of the room.
        volume_m3: f64 = Above(0.0); usual 600.0,
        /// Share lost each hour.
        total_loss_per_h: f64 = AtLeast(0.0); usual 1.5,
        /// Level at the start.
        concentration_start_mgpm3: f64 = AtLeast(0.0); default 0.0,
        /// Time with the machine running.
        time_min: f64 = AtLeast(0.0); usual 30.0,
    }) -> Level {
        /// Level then.
        concentration_mgpm3: f64,
    }
    because concentration_because
    source "mass balance of a well-mixed box, agreed by an equation solver", Confirmed

    /// Time with the machine running until a level is reached.
    ///
    /// Refused when the level is never reached: more output or less leak.
    time_to_target(TimeToTarget {
        /// Liquid that stays in the air, each minute.
        airborne_rate_gpmin: f64 = AtLeast(0.0); usual 2.0,
        /// Volume of the room.
        volume_m3: f64 = Above(0.0); usual 600.0,
        /// Share lost each hour.
        total_loss_per_h: f64 = AtLeast(0.0); usual 1.5,
        /// Level at the start.
        concentration_start_mgpm3: f64 = AtLeast(0.0); default 0.0,
        /// Level wanted.
        target_mgpm3: f64 = AtLeast(0.0); usual 80.0,
    }) -> Wait {
        /// Time until then.
        time_min: f64,
    }
    because time_to_target_because
    source "mass balance of a well-mixed box", Confirmed

    /// Level after a time with the machine off.
    decay(Decay {
        /// Level at the start.
        concentration_start_mgpm3: f64 = AtLeast(0.0); usual 80.0,
        /// Share lost each hour.
        total_loss_per_h: f64 = AtLeast(0.0); usual 1.5,
        /// Time with the machine off.
        time_min: f64 = AtLeast(0.0); usual 20.0,
    }) -> LevelLeft {
        /// Level then.
        concentration_mgpm3: f64,
    }
    because "{concentration_start_mgpm3} × e^−({total_loss_per_h} × {time_min} ÷ 60) = {concentration_mgpm3} mg/m³"
    source "mass balance of a well-mixed box", Confirmed

    /// Time in which half the haze is gone.
    half_life(HalfLife {
        /// Share lost each hour.
        total_loss_per_h: f64 = Above(0.0); usual 1.5,
    }) -> HalfLifeFound {
        /// Time until half is left.
        half_life_min: f64,
    }
    because "60 × ln(2) ÷ {total_loss_per_h} = {half_life_min} min"
    source "mass balance of a well-mixed box", Confirmed
}

fn steady(i: &Steady, warnings: &mut Warnings) -> SteadyLevel {
    note_loss(i.total_loss_per_h, warnings);
    SteadyLevel {
        concentration_steady_mgpm3: steady_mgpm3(
            i.airborne_rate_gpmin,
            i.volume_m3,
            i.total_loss_per_h,
        ),
    }
}

fn steady_mgpm3(airborne_rate_gpmin: f64, volume_m3: f64, total_loss_per_h: f64) -> f64 {
    MGPH_PER_GPMIN * airborne_rate_gpmin / (volume_m3 * total_loss_per_h)
}

fn concentration(i: &FillLevel, warnings: &mut Warnings) -> Level {
    note_loss(i.total_loss_per_h, warnings);
    let (loss, hours, start) = (
        i.total_loss_per_h,
        i.time_min / MIN_PER_H,
        i.concentration_start_mgpm3,
    );
    Level {
        concentration_mgpm3: if loss < NO_LOSS_PER_H {
            start + MGPH_PER_GPMIN * i.airborne_rate_gpmin * hours / i.volume_m3
        } else {
            let end = steady_mgpm3(i.airborne_rate_gpmin, i.volume_m3, loss);
            end + (start - end) * (-loss * hours).exp()
        },
    }
}

fn concentration_because(i: &FillLevel, a: &Level) -> String {
    let (start, minutes) = (given(i.concentration_start_mgpm3), given(i.time_min));
    let level = found(a.concentration_mgpm3);
    if i.total_loss_per_h < NO_LOSS_PER_H {
        let (rate, volume) = (given(i.airborne_rate_gpmin), given(i.volume_m3));
        return format!(
            "{start} + 1000 × {rate} × {minutes} ÷ {volume} = {level} mg/m³. Nothing is lost."
        );
    }
    let end = carried(steady_mgpm3(
        i.airborne_rate_gpmin,
        i.volume_m3,
        i.total_loss_per_h,
    ));
    let loss = given(i.total_loss_per_h);
    format!("{end} + ({start} − {end}) × e^−({loss} × {minutes} ÷ 60) = {level} mg/m³")
}

fn never_reached() -> Fault {
    let problem = "This level is never reached: more output, or less leak.";
    Fault::new("target_mgpm3", FaultKind::OutOfRange, problem)
}

fn time_to_target(i: &TimeToTarget, warnings: &mut Warnings) -> Result<Wait, Fault> {
    note_loss(i.total_loss_per_h, warnings);
    let (start, target, loss) = (
        i.concentration_start_mgpm3,
        i.target_mgpm3,
        i.total_loss_per_h,
    );
    if (target - start).abs() < f64::EPSILON * start {
        return Ok(Wait { time_min: 0.0 });
    }
    let time_h = if loss < NO_LOSS_PER_H {
        (target - start) * i.volume_m3 / (MGPH_PER_GPMIN * i.airborne_rate_gpmin)
    } else {
        let end = steady_mgpm3(i.airborne_rate_gpmin, i.volume_m3, loss);
        -((end - target) / (end - start)).ln() / loss
    };
    if time_h.is_finite() && time_h >= 0.0 {
        Ok(Wait {
            time_min: time_h * MIN_PER_H,
        })
    } else {
        Err(never_reached())
    }
}

fn time_to_target_because(i: &TimeToTarget, a: &Wait) -> String {
    let (start, target) = (given(i.concentration_start_mgpm3), given(i.target_mgpm3));
    let minutes = found(a.time_min);
    if a.time_min == 0.0 {
        return format!("{target} − {start} = 0 mg/m³ to go. No wait.");
    }
    if i.total_loss_per_h < NO_LOSS_PER_H {
        let (volume, rate) = (given(i.volume_m3), given(i.airborne_rate_gpmin));
        return format!(
            "({target} − {start}) × {volume} ÷ (1000 × {rate}) = {minutes} min. Nothing is lost."
        );
    }
    let end = carried(steady_mgpm3(
        i.airborne_rate_gpmin,
        i.volume_m3,
        i.total_loss_per_h,
    ));
    let loss = given(i.total_loss_per_h);
    format!("60 × ln(({end} − {start}) ÷ ({end} − {target})) ÷ {loss} = {minutes} min")
}

fn decay(i: &Decay, warnings: &mut Warnings) -> LevelLeft {
    note_loss(i.total_loss_per_h, warnings);
    LevelLeft {
        concentration_mgpm3: i.concentration_start_mgpm3
            * (-i.total_loss_per_h * i.time_min / MIN_PER_H).exp(),
    }
}

fn half_life(i: &HalfLife, warnings: &mut Warnings) -> HalfLifeFound {
    note_loss(i.total_loss_per_h, warnings);
    HalfLifeFound {
        half_life_min: MIN_PER_H * LN_2 / i.total_loss_per_h,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::Calculate;
    use proptest::prelude::*;

    fn level(total_loss_per_h: f64, concentration_start_mgpm3: f64, time_min: f64) -> f64 {
        let fill = FillLevel {
            airborne_rate_gpmin: 2.0,
            volume_m3: 600.0,
            total_loss_per_h,
            concentration_start_mgpm3,
            time_min,
        };
        fill.work().expect("in range").concentration_mgpm3
    }

    fn wait(
        total_loss_per_h: f64,
        concentration_start_mgpm3: f64,
        target_mgpm3: f64,
    ) -> TimeToTarget {
        TimeToTarget {
            airborne_rate_gpmin: 2.0,
            volume_m3: 600.0,
            total_loss_per_h,
            concentration_start_mgpm3,
            target_mgpm3,
        }
    }

    #[test]
    fn a_tight_room_fills_in_a_straight_line() {
        assert!((level(0.0, 10.0, 30.0) - 110.0).abs() < 1e-9);
        assert!((level(1e-8, 10.0, 30.0) - 110.0).abs() < 1e-4);
        let straight = wait(0.0, 10.0, 110.0).work().expect("in range");
        assert!((straight.time_min - 30.0).abs() < 1e-9);
        assert!(
            crate::because::evaluate(&straight.because)
                .expect("an expression")
                .units_apart()
                <= 1.0
        );
    }

    #[test]
    fn a_level_out_of_reach_is_refused() {
        // the machine ends at 133 mg/m³
        for (start, target) in [(0.0, 200.0), (100.0, 50.0), (300.0, 100.0), (300.0, 400.0)] {
            let faults = wait(1.5, start, target).work().expect_err("refused");
            assert_eq!(
                (faults[0].field.as_str(), faults[0].kind),
                ("target_mgpm3", FaultKind::OutOfRange)
            );
        }
        assert!(
            (wait(1.5, 80.0, 80.0)
                .work()
                .expect("there already")
                .time_min)
                .abs()
                < 1e-9
        );
    }

    #[test]
    fn a_barn_door_is_doubted() {
        assert_eq!(
            HalfLife {
                total_loss_per_h: 11.0
            }
            .work()
            .expect("in range")
            .warnings,
            ["loss_high"]
        );
    }

    proptest! {
        #[test]
        fn the_wait_leads_to_the_level(loss in 0.1..9.0, start in 0.0..300.0, minutes in 1.0..60.0) {
            let target = level(loss, start, minutes);
            prop_assume!((target - start).abs() > 1e-3 && (target - steady_mgpm3(2.0, 600.0, loss)).abs() > 1e-3);
            let waited = wait(loss, start, target).work().expect("in range");
            prop_assert!((waited.time_min - minutes).abs() < 1e-3 * minutes);
        }

    }
}
