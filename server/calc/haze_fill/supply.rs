//! Holding a level, and the fluid it takes.

use super::{MG_PER_G, MGPH_PER_GPMIN, MIN_PER_H, note_loss};
use crate::calculation::calculation;
use crate::fault::{Fault, Warnings};

calculation! { "haze-fill";
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
    because "{concentration_mgpm3} × {total_loss_per_h} × {volume_m3} ÷ 60\u{202f}000 = {airborne_rate_gpmin} g a minute"
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
    use crate::haze_fill::Steady;
    use crate::{Calculate, FaultKind};
    use proptest::prelude::*;

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

    proptest! {
        #[test]
        fn what_holds_a_level_ends_at_it(concentration in 1.0..400.0, loss in 0.1..9.0, volume in 5.0..2000.0) {
            let hold = HoldRate { concentration_mgpm3: concentration, total_loss_per_h: loss, volume_m3: volume };
            let rate = hold.work().expect("in range").airborne_rate_gpmin;
            let there = Steady { airborne_rate_gpmin: rate, volume_m3: volume, total_loss_per_h: loss };
            prop_assert!((there.work().expect("in range").concentration_steady_mgpm3 - concentration).abs() < 1e-9 * concentration);
        }
    }
}
