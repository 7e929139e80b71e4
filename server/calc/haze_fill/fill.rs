//! The well-mixed box: rising, holding, falling, and the fluid it takes.

use super::{MG_PER_G, MGPH_PER_GPMIN, MIN_PER_H, NO_LOSS_PER_H, note_loss};
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
    because "60\u{2009}000 × {airborne_rate_gpmin} ÷ ({volume_m3} × {total_loss_per_h}) = {concentration_steady_mgpm3} mg/m³"
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

    /// How often to top up between two levels, and how much each time.
    top_up(TopUp {
        /// Level after topping up.
        concentration_high_mgpm3: f64 = Above(0.0); usual 90.0,
        /// Level at which to top up.
        concentration_low_mgpm3: f64 = Above(0.0); usual 75.0,
        /// Share lost each hour.
        total_loss_per_h: f64 = Above(0.0); usual 1.5,
        /// Volume of the room.
        volume_m3: f64 = Above(0.0); usual 600.0,
    }) -> TopUpFound {
        /// Time from one to the next.
        interval_min: f64,
        /// Liquid into the air each time.
        airborne_mass_per_topup_g: f64,
    }
    because "60 × ln({concentration_high_mgpm3} ÷ {concentration_low_mgpm3}) ÷ {total_loss_per_h} = {interval_min} min from one to the next, {airborne_mass_per_topup_g} g each"
    source "mass balance of a well-mixed box", Confirmed

    /// Output that holds a level.
    hold_rate(HoldRate {
        /// Level to hold.
        concentration_mgpm3: f64 = AtLeast(0.0); usual 80.0,
        /// Share lost each hour.
        total_loss_per_h: f64 = AtLeast(0.0); usual 1.5,
        /// Volume of the room.
        volume_m3: f64 = Above(0.0); usual 600.0,
    }) -> HoldRateFound {
        /// Liquid into the air, each minute.
        airborne_rate_gpmin: f64,
    }
    because "{concentration_mgpm3} × {total_loss_per_h} × {volume_m3} ÷ 60\u{2009}000 = {airborne_rate_gpmin} g a minute"
    source "mass balance of a well-mixed box", Confirmed

    /// Fluid that the machine takes to put a mass into the air.
    ///
    /// The yield is what stays airborne: measure it; 0.1 to 0.3 is common practice.
    fluid_use(FluidUse {
        /// Liquid wanted in the air.
        airborne_mass_g: f64 = AtLeast(0.0); usual 500.0,
        /// Share of the fluid that stays in the air.
        airborne_yield: f64 = AboveUpTo(0.0, 1.0); usual 0.25,
        /// Density of the fluid.
        fluid_density_kgpl: f64 = Above(0.0); usual 1.04,
    }) -> Fluid {
        /// Fluid used.
        fluid_mass_g: f64,
        /// Fluid used, by volume.
        fluid_volume_l: f64,
    }
    because "{airborne_mass_g} ÷ {airborne_yield} ÷ 1000 ÷ {fluid_density_kgpl} = {fluid_volume_l} litres, which is {fluid_mass_g} g"
    source "mass balance with a yield that the crew measures", CommonPractice

    /// Fluid for a day: the fills and what holding takes.
    day_fluid(DayFluid {
        /// Level to hold.
        concentration_mgpm3: f64 = AtLeast(0.0); usual 80.0,
        /// Volume of the room.
        volume_m3: f64 = Above(0.0); usual 600.0,
        /// Share lost each hour.
        total_loss_per_h: f64 = AtLeast(0.0); usual 1.5,
        /// Hours held.
        hold_hours: f64 = AtLeast(0.0); usual 5.0,
        /// Fills from clear air.
        fills: f64 = AtLeast(0.0); usual 2.0,
        /// Share of the fluid that stays in the air.
        airborne_yield: f64 = AboveUpTo(0.0, 1.0); usual 0.25,
    }) -> DayFluidFound {
        /// Liquid into the air.
        airborne_mass_g: f64,
        /// Fluid used.
        fluid_mass_g: f64,
    }
    because "({fills} + {total_loss_per_h} × {hold_hours}) × {concentration_mgpm3} × {volume_m3} ÷ 1000 ÷ {airborne_yield} = {fluid_mass_g} g of fluid, of which {airborne_mass_g} g stay in the air"
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

fn top_up(i: &TopUp, warnings: &mut Warnings) -> Result<TopUpFound, Vec<Fault>> {
    note_loss(i.total_loss_per_h, warnings);
    let (low, high) = (i.concentration_low_mgpm3, i.concentration_high_mgpm3);
    if low >= high {
        return Err(Fault::reversed(
            "concentration_low_mgpm3",
            "concentration_high_mgpm3",
        ));
    }
    Ok(TopUpFound {
        interval_min: MIN_PER_H * (high / low).ln() / i.total_loss_per_h,
        airborne_mass_per_topup_g: i.volume_m3 * (high - low) / MG_PER_G,
    })
}

fn hold_rate(i: &HoldRate, warnings: &mut Warnings) -> HoldRateFound {
    note_loss(i.total_loss_per_h, warnings);
    HoldRateFound {
        airborne_rate_gpmin: i.concentration_mgpm3 * i.total_loss_per_h * i.volume_m3
            / MGPH_PER_GPMIN,
    }
}

fn fluid_use(i: &FluidUse, _: &mut Warnings) -> Fluid {
    let fluid_mass_g = i.airborne_mass_g / i.airborne_yield;
    Fluid {
        fluid_mass_g,
        // a kilogram a litre is a gram a millilitre
        fluid_volume_l: fluid_mass_g / 1000.0 / i.fluid_density_kgpl,
    }
}

fn day_fluid(i: &DayFluid, warnings: &mut Warnings) -> DayFluidFound {
    note_loss(i.total_loss_per_h, warnings);
    let rooms = i.fills + i.total_loss_per_h * i.hold_hours;
    let airborne_mass_g = rooms * i.concentration_mgpm3 * i.volume_m3 / MG_PER_G;
    DayFluidFound {
        airborne_mass_g,
        fluid_mass_g: airborne_mass_g / i.airborne_yield,
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
    fn levels_the_wrong_way_round_are_refused() {
        let top_up = TopUp {
            concentration_high_mgpm3: 75.0,
            concentration_low_mgpm3: 75.0,
            total_loss_per_h: 1.5,
            volume_m3: 600.0,
        };
        assert_eq!(
            top_up.work().expect_err("refused")[0].kind,
            FaultKind::RangeReversed
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

        #[test]
        fn what_holds_a_level_ends_at_it(concentration in 1.0..400.0, loss in 0.1..9.0, volume in 5.0..2000.0) {
            let hold = HoldRate { concentration_mgpm3: concentration, total_loss_per_h: loss, volume_m3: volume };
            let rate = hold.work().expect("in range").airborne_rate_gpmin;
            let there = Steady { airborne_rate_gpmin: rate, volume_m3: volume, total_loss_per_h: loss };
            prop_assert!((there.work().expect("in range").concentration_steady_mgpm3 - concentration).abs() < 1e-9 * concentration);
        }
    }
}
