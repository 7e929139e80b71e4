//! What sheets cost in light, and how green gels add up.

use super::shift::Strength;
use crate::calculation::calculation;
use crate::fault::Warnings;
use crate::figure::{carried, found, given};
use std::f64::consts::LOG10_2;

/// Density that the trade counts as a stop.
const DENSITY_PER_STOP: f64 = 0.3;
/// Off the white of glowing bodies by more than this, adding Duv is a guess.
const DUV_HOLDS: f64 = 0.02;

/// Peak density of a plus or minus green sheet, in or outside the green band, by its nominal name (common practice, no
/// source).
pub const fn nominal_green_density(strength: Strength) -> f64 {
    match strength {
        Strength::Full => 0.30,
        Strength::Half => 0.15,
        Strength::Quarter => 0.075,
        Strength::Eighth => 0.035,
    }
}

calculation! { "gel";
    /// What a neutral density lets through, and its stops.
    nd(NdFilter {
        /// Density of the filter.
        density: f64 = AtLeast(0.0); usual 0.6,
    }) -> NdFound {
        /// Share of the light that comes through.
        transmittance: f64,
        /// Stops lost.
        stops: f64,
    }
    because nd_because
    source "optical density, ISO 5-1", Confirmed

    /// Stops of a neutral density as crews count them: 0.3 is a stop.
    nd_rule_of_thumb(NdRuleOfThumb {
        /// Density of the filter.
        density: f64 = AtLeast(0.0); usual 0.9,
    }) -> NdByThumb {
        /// Stops lost; exactly it is a third of a percent less.
        stops_rule_of_thumb: f64,
    }
    because "{density} ÷ 0.3 = {stops_rule_of_thumb} stops"
    source "trade rule: ND 0.3 is a stop (exactly 0.9966)", CommonPractice

    /// Stops and density of a sheet whose transmittance is known.
    transmittance_to_stops(TransmittanceToStops {
        /// Share of the light that comes through.
        transmittance: f64 = AboveUpTo(0.0, 1.0); usual 0.5,
    }) -> TransmittanceStops {
        /// Stops lost.
        stops: f64,
        /// Density of the sheet.
        density: f64,
    }
    because transmittance_to_stops_because
    source "optical density, ISO 5-1; a stop is a factor of two", Confirmed

    /// What several sheets let through together.
    stack_transmittance(StackTransmittance {
        /// Share of the light that comes through each sheet; none is the bare lamp.
        transmittances: Vec<f64> = AboveUpTo(0.0, 1.0); usual vec![0.6, 0.8],
    }) -> StackLoss {
        /// Share that comes through all of them.
        transmittance: f64,
        /// Stops lost.
        stops: f64,
    }
    because stack_transmittance_because
    source "transmittances multiply; reflections between the sheets are left out, under 2 %", Confirmed

    /// How green or pink a lamp reads behind green gels.
    ///
    /// An additive estimate: plus green positive, minus green negative. Told (`duv_large`) beyond 0.02, where only the sum
    /// over the spectrum holds.
    duv_stack(DuvStack {
        /// Duv of the lamp: above the white of glowing bodies is positive, greenish.
        lamp_duv: f64 = Between(-0.5, 0.5); usual 0.0005,
        /// Shift of each gel.
        gel_duv_shifts: Vec<f64> = Between(-0.5, 0.5); usual vec![-0.008, 0.003],
    }) -> DuvFound {
        /// Duv behind the gels.
        duv: f64,
    }
    because duv_stack_because
    source "additive approximation", CommonPractice
}

/// −log₂ of a share, without the minus that nought would keep.
fn stops_of(transmittance: f64) -> f64 {
    (1.0 / transmittance).log2()
}

fn nd(i: &NdFilter, _: &mut Warnings) -> NdFound {
    NdFound {
        transmittance: 10_f64.powf(-i.density),
        stops: i.density / LOG10_2,
    }
}

fn nd_because(i: &NdFilter, a: &NdFound) -> String {
    format!(
        "{} × ln(10) ÷ ln(2) = {} stops; {} of the light comes through",
        given(i.density),
        found(a.stops),
        found(a.transmittance)
    )
}

fn nd_rule_of_thumb(i: &NdRuleOfThumb, _: &mut Warnings) -> NdByThumb {
    NdByThumb {
        stops_rule_of_thumb: i.density / DENSITY_PER_STOP,
    }
}

fn transmittance_to_stops(i: &TransmittanceToStops, _: &mut Warnings) -> TransmittanceStops {
    TransmittanceStops {
        stops: stops_of(i.transmittance),
        density: (1.0 / i.transmittance).log10(),
    }
}

fn transmittance_to_stops_because(i: &TransmittanceToStops, a: &TransmittanceStops) -> String {
    format!(
        "log₂(1 ÷ {}) = {} stops, density {}",
        given(i.transmittance),
        found(a.stops),
        found(a.density)
    )
}

fn stack_transmittance(i: &StackTransmittance, _: &mut Warnings) -> StackLoss {
    let transmittance = i.transmittances.iter().product();
    StackLoss {
        transmittance,
        stops: i.transmittances.iter().map(|share| stops_of(*share)).sum(),
    }
}

fn stack_transmittance_because(i: &StackTransmittance, a: &StackLoss) -> String {
    let shares: Vec<String> = std::iter::once("1".to_owned())
        .chain(i.transmittances.iter().map(|share| given(*share)))
        .collect();
    format!(
        "{} = {} of the light, {} stops lost",
        shares.join(" × "),
        found(a.transmittance),
        found(a.stops)
    )
}

fn duv_stack(i: &DuvStack, warnings: &mut Warnings) -> DuvFound {
    let duv: f64 = i.lamp_duv + i.gel_duv_shifts.iter().sum::<f64>();
    warnings.add_if(duv.abs() > DUV_HOLDS, "duv_large");
    DuvFound { duv }
}

fn duv_stack_because(i: &DuvStack, a: &DuvFound) -> String {
    let terms: Vec<String> = std::iter::once(i.lamp_duv)
        .chain(i.gel_duv_shifts.iter().copied())
        .map(carried)
        .collect();
    let word = if a.duv < 0.0 { "pinkish" } else { "greenish" };
    format!(
        "{} = {}; below nought is pinkish, above greenish: this leans {word}",
        terms.join(" + "),
        found(a.duv)
    )
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::Calculate;
    use proptest::prelude::*;

    #[test]
    fn the_rule_of_thumb_is_near_the_stop() {
        let thumb = NdRuleOfThumb { density: 0.9 }.work().expect("in range");
        let exact = NdFilter { density: 0.9 }.work().expect("in range");
        assert!((thumb.stops_rule_of_thumb / exact.stops - 1.003_43).abs() < 1e-5);
    }

    #[test]
    fn a_bare_lamp_loses_nothing() {
        let bare = StackTransmittance {
            transmittances: Vec::new(),
        };
        let bare = bare.work().expect("in range");
        assert!((bare.transmittance - 1.0).abs() < 1e-15 && bare.stops.abs() < 1e-15);
    }

    #[test]
    fn a_large_duv_is_told() {
        let stack = DuvStack {
            lamp_duv: 0.015,
            gel_duv_shifts: vec![0.006],
        };
        assert_eq!(stack.work().expect("in range").warnings, ["duv_large"]);
    }

    proptest! {
        #[test]
        fn density_and_transmittance_are_inverses(density in 0.0..4.0_f64) {
            let filter = NdFilter { density }.work().expect("in range");
            let back = TransmittanceToStops { transmittance: filter.transmittance }.work().expect("in range");
            prop_assert!((back.density - density).abs() < 1e-9);
            prop_assert!((back.stops - filter.stops).abs() < 1e-9);
        }
    }
}
