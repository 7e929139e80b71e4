//! How long cells last.

use crate::calculation::calculation;
use crate::fault::{Fault, FaultKind, Warnings};
use crate::figure::{found, given};

calculation! { "practicals";
    /// How long cells run a load, straight or through a converter.
    ///
    /// The battery gives the load's current × load voltage ÷ (battery voltage × efficiency). Plan with 0.7 to 0.8 of the capacity; cold halves it (common practice).
    /// Lithium cells: protection circuit, right charger, fuse near the cell, never charged in the model or unattended,
    /// none crushed or swollen, fire-safe storage, transport rules.
    battery_runtime(BatteryRuntime {
        /// Capacity on the label.
        capacity_mah: f64 = Above(0.0); usual 2600.0,
        /// Current of the load.
        current_ma: f64 = Above(0.0); usual 240.0,
        /// Share of the capacity that is used.
        usable_fraction: f64 = AboveUpTo(0.0, 1.0); default 0.75,
        /// Share of power that the converter passes on.
        converter_efficiency: f64 = AboveUpTo(0.0, 1.0); default 1.0; usual 0.88,
        /// Voltage of the load, when a converter stands between.
        load_v: Option<f64> = Above(0.0); usual 12.0,
        /// Voltage of the battery, when a converter stands between.
        battery_v: Option<f64> = Above(0.0); usual 3.7,
    }) -> Runtime {
        /// Current out of the battery.
        battery_current_ma: f64,
        /// How long it lasts.
        runtime_h: f64,
    }
    because battery_runtime_because
    source "balance of energy; usable share: common practice", Confirmed

    /// How long a lead-acid battery lasts at a current that is not its rated one.
    ///
    /// t = H(C/(I H))^x with x 1.1 to 1.3 for lead-acid; lithium cells are close to 1. Lead-acid gives off explosive gas
    /// while it charges: air, no sparks.
    peukert(Peukert {
        /// Capacity on the label.
        capacity_ah: f64 = Above(0.0); usual 7.0,
        /// Hours for which that capacity holds.
        rated_hours: f64 = Above(0.0); default 20.0,
        /// Current of the load.
        current_a: f64 = Above(0.0); usual 2.0,
        /// How much faster a high current drains it.
        exponent: f64 = AtLeast(1.0); default 1.2,
    }) -> LeadRuntime {
        /// How long it lasts.
        runtime_h: f64,
    }
    because "{rated_hours} × ({capacity_ah} ÷ ({current_a} × {rated_hours}))^{exponent} = {runtime_h} h"
    source "Peukert's relation", Confirmed
}

/// Voltages of load and battery; the same when no converter stands between.
fn voltages(i: &BatteryRuntime) -> Result<(f64, f64), Fault> {
    match (i.load_v, i.battery_v) {
        (Some(load_v), Some(battery_v)) => Ok((load_v, battery_v)),
        (None, None) => Ok((1.0, 1.0)),
        (load_v, _) => {
            let absent = if load_v.is_none() {
                "load_v"
            } else {
                "battery_v"
            };
            let problem = "The voltages of load and battery belong together: give both.";
            Err(Fault::new(absent, FaultKind::Missing, problem))
        }
    }
}

fn battery_runtime(i: &BatteryRuntime, _: &mut Warnings) -> Result<Runtime, Fault> {
    let (load_v, battery_v) = voltages(i)?;
    let battery_current_ma = i.current_ma * load_v / (battery_v * i.converter_efficiency);
    Ok(Runtime {
        battery_current_ma,
        runtime_h: i.capacity_mah * i.usable_fraction / battery_current_ma,
    })
}

fn battery_runtime_because(i: &BatteryRuntime, a: &Runtime) -> String {
    let (load_v, battery_v) = voltages(i).unwrap_or((1.0, 1.0));
    format!(
        "{} × {} × {} × {} ÷ ({} × {}) = {} h, with {} mA out of the battery",
        given(i.capacity_mah),
        given(i.usable_fraction),
        given(battery_v),
        given(i.converter_efficiency),
        given(i.current_ma),
        given(load_v),
        found(a.runtime_h),
        found(a.battery_current_ma)
    )
}

fn peukert(i: &Peukert, _: &mut Warnings) -> LeadRuntime {
    let relative = i.capacity_ah / (i.current_a * i.rated_hours);
    LeadRuntime {
        runtime_h: i.rated_hours * relative.powf(i.exponent),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::Calculate;

    fn straight(
        load_v: Option<f64>,
        battery_v: Option<f64>,
    ) -> Result<crate::Worked<Runtime>, Vec<Fault>> {
        BatteryRuntime {
            capacity_mah: 2000.0,
            current_ma: 100.0,
            usable_fraction: 0.8,
            converter_efficiency: 1.0,
            load_v,
            battery_v,
        }
        .work()
    }

    #[test]
    fn a_load_without_converter_takes_its_own_current() {
        let runtime = straight(None, None).expect("in range");
        assert!((runtime.runtime_h - 16.0).abs() < 1e-12);
        let faults = straight(Some(12.0), None).expect_err("refused");
        assert_eq!(
            (faults[0].field.as_str(), faults[0].kind),
            ("battery_v", FaultKind::Missing)
        );
    }

    #[test]
    fn the_rated_current_lasts_the_rated_hours() {
        let rated = Peukert {
            capacity_ah: 7.0,
            rated_hours: 20.0,
            current_a: 0.35,
            exponent: 1.3,
        };
        assert!((rated.work().expect("in range").runtime_h - 20.0).abs() < 1e-9);
    }
}
