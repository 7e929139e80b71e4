//! Water, air and fire: what of them scales, and what keeps its own size.

use super::{GRAVITY_MPS2, note_scale};
use crate::calculation::calculation;
use crate::fault::Warnings;
use std::f64::consts::TAU;

/// Kinematic viscosity of water at 20 °C, m²/s (handbook value).
const WATER_KINEMATIC_VISCOSITY_M2PS: f64 = 1.004e-6;
/// Density of water at 20 °C, kg/m³ (handbook value).
const WATER_DENSITY_KGPM3: f64 = 998.2;
/// Surface tension of clean water at 20 °C, N/m (handbook value).
const WATER_SURFACE_TENSION_NPM: f64 = 0.0728;

/// Below this a flow begins to look smooth; common practice after pipe and jet figures, no source.
const REYNOLDS_TURBULENT: f64 = 4000.0;
/// Below this surface tension shows in the shape of splashes; from memory.
const WEBER_FREE: f64 = 100.0;
/// Flame puffing: frequency × √(base diameter), Hz·√m; from memory.
const PUFFING_HZ_SQRT_M: f64 = 1.5;
/// The speed error that passes unseen.
const SPEED_ERROR_GOOD: f64 = 0.01;

calculation! { "scale-time";
    /// How turbulent and how free of surface tension a flow is, full size and as a gravity-true model.
    ///
    /// Reynolds number v L/ν falls by S^1.5, Weber number ρ v² L/σ by S². Warns below 4000 (the flow reads smooth,
    /// common practice) and below 100 (surface tension shapes it, from memory).
    model_numbers(ModelNumbers {
        /// How many times smaller the model is.
        scale_denominator: f64 = Above(0.0); usual 24.0,
        /// Size of what flows, in the story.
        story_length_m: f64 = Above(0.0); usual 2.0,
        /// Its speed, in the story.
        story_speed_mps: f64 = AtLeast(0.0); usual 3.0,
        /// Kinematic viscosity of the liquid.
        water_kinematic_viscosity_m2ps: f64 = Above(0.0); default WATER_KINEMATIC_VISCOSITY_M2PS,
        /// Density of the liquid.
        water_density_kgpm3: f64 = Above(0.0); default WATER_DENSITY_KGPM3,
        /// Surface tension of the liquid.
        water_surface_tension_npm: f64 = Above(0.0); default WATER_SURFACE_TENSION_NPM,
    }) -> ModelNumbersFound {
        /// Reynolds number in the story.
        story_reynolds: f64,
        /// Reynolds number of the model.
        model_reynolds: f64,
        /// Weber number in the story.
        story_weber: f64,
        /// Weber number of the model.
        model_weber: f64,
    }
    because "{story_speed_mps} × {story_length_m} ÷ {water_kinematic_viscosity_m2ps} ÷ {scale_denominator}^1.5 = {model_reynolds}, the model's Reynolds number. Its Weber number is {model_weber}."
    source "definitions of the Reynolds and Weber numbers; Froude similarity", Confirmed

    /// The slowest ripple that water can carry, and its length: nothing on a model's water moves slower.
    ///
    /// Least of the dispersion curve ω² = g q + (σ/ρ) q³.
    slowest_ripple(SlowestRipple {
        /// Surface tension of the liquid.
        water_surface_tension_npm: f64 = Above(0.0); default WATER_SURFACE_TENSION_NPM,
        /// Density of the liquid.
        water_density_kgpm3: f64 = Above(0.0); default WATER_DENSITY_KGPM3,
    }) -> SlowestRippleFound {
        /// Speed of the slowest crest.
        min_phase_speed_mps: f64,
        /// Its wavelength.
        wavelength_m: f64,
    }
    because "(4 × 9.80665 × {water_surface_tension_npm} ÷ {water_density_kgpm3})^0.25 = {min_phase_speed_mps} m/s, at waves {wavelength_m} m long"
    source "dispersion of capillary-gravity waves, general reference works", Confirmed

    /// How much too fast a ripple of this length runs on the model, because of surface tension.
    ripple_speed_error(RippleSpeedError {
        /// Wavelength on the stage.
        wavelength_m: f64 = Above(0.0); usual 0.12,
        /// Surface tension of the liquid.
        water_surface_tension_npm: f64 = Above(0.0); default WATER_SURFACE_TENSION_NPM,
        /// Density of the liquid.
        water_density_kgpm3: f64 = Above(0.0); default WATER_DENSITY_KGPM3,
    }) -> RippleSpeedErrorFound {
        /// Speed error, as a fraction.
        speed_error_fraction: f64,
        /// Wavelength from which the error is one percent or less.
        wavelength_for_1pct_m: f64,
    }
    because "√(1 + (2 × π ÷ {wavelength_m})^2 × {water_surface_tension_npm} ÷ ({water_density_kgpm3} × 9.80665)) − 1 = {speed_error_fraction}"
    source "dispersion of capillary-gravity waves, general reference works", Confirmed

    /// How often a small fire pulses on the stage.
    ///
    /// The pulse is k times slower on screen; at k = √S it equals that of the full-size fire.
    flame_puffing(FlamePuffing {
        /// Width of the fire's base.
        base_diameter_m: f64 = Above(0.0); usual 0.25,
    }) -> FlamePuffingFound {
        /// Pulses a second on the stage.
        puff_frequency_hz: f64,
    }
    because "1.5 ÷ √{base_diameter_m} = {puff_frequency_hz} pulses a second"
    source "fire-science correlation f = 1.5/√D", FromMemory

    /// Sinking or tumbling speed of a model that falls at its terminal speed: v/√S.
    ///
    /// Holds for the same density ratio and drag coefficient.
    settling_scaling(SettlingScaling {
        /// How many times smaller the model is.
        scale_denominator: f64 = Above(0.0); usual 24.0,
        /// Terminal speed in the story.
        story_terminal_speed_mps: f64 = AtLeast(0.0); usual 1.2,
    }) -> ModelTerminalSpeed {
        /// Terminal speed of the model.
        model_terminal_speed_mps: f64,
    }
    because "{story_terminal_speed_mps} ÷ √{scale_denominator} = {model_terminal_speed_mps} m/s"
    source "balance of weight and quadratic drag", Confirmed
}

fn model_numbers(i: &ModelNumbers, warnings: &mut Warnings) -> ModelNumbersFound {
    note_scale(i.scale_denominator, warnings);
    let story_reynolds = i.story_speed_mps * i.story_length_m / i.water_kinematic_viscosity_m2ps;
    let story_weber = i.water_density_kgpm3 * i.story_speed_mps.powi(2) * i.story_length_m
        / i.water_surface_tension_npm;
    let model_reynolds = story_reynolds / i.scale_denominator.powf(1.5);
    let model_weber = story_weber / i.scale_denominator.powi(2);
    warnings.add_if(model_reynolds < REYNOLDS_TURBULENT, "reynolds_low");
    warnings.add_if(model_weber < WEBER_FREE, "weber_low");
    ModelNumbersFound {
        story_reynolds,
        model_reynolds,
        story_weber,
        model_weber,
    }
}

fn slowest_ripple(i: &SlowestRipple, _: &mut Warnings) -> SlowestRippleFound {
    let tension = i.water_surface_tension_npm / i.water_density_kgpm3;
    SlowestRippleFound {
        min_phase_speed_mps: (4.0 * GRAVITY_MPS2 * tension).powf(0.25),
        wavelength_m: TAU * (tension / GRAVITY_MPS2).sqrt(),
    }
}

fn ripple_speed_error(i: &RippleSpeedError, _: &mut Warnings) -> RippleSpeedErrorFound {
    let capillary_length_m =
        (i.water_surface_tension_npm / (i.water_density_kgpm3 * GRAVITY_MPS2)).sqrt();
    let stiffness = (TAU * capillary_length_m / i.wavelength_m).powi(2);
    RippleSpeedErrorFound {
        // √(1 + x) − 1 without losing the digits of a small x
        speed_error_fraction: stiffness / ((1.0 + stiffness).sqrt() + 1.0),
        wavelength_for_1pct_m: TAU * capillary_length_m
            / ((1.0 + SPEED_ERROR_GOOD).powi(2) - 1.0).sqrt(),
    }
}

fn flame_puffing(i: &FlamePuffing, _: &mut Warnings) -> FlamePuffingFound {
    FlamePuffingFound {
        puff_frequency_hz: PUFFING_HZ_SQRT_M / i.base_diameter_m.sqrt(),
    }
}

fn settling_scaling(i: &SettlingScaling, warnings: &mut Warnings) -> ModelTerminalSpeed {
    note_scale(i.scale_denominator, warnings);
    ModelTerminalSpeed {
        model_terminal_speed_mps: i.story_terminal_speed_mps / i.scale_denominator.sqrt(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::Calculate;
    use proptest::prelude::*;

    fn water() -> SlowestRipple {
        SlowestRipple {
            water_surface_tension_npm: WATER_SURFACE_TENSION_NPM,
            water_density_kgpm3: WATER_DENSITY_KGPM3,
        }
    }

    fn error_at(wavelength_m: f64) -> f64 {
        RippleSpeedError {
            wavelength_m,
            water_surface_tension_npm: WATER_SURFACE_TENSION_NPM,
            water_density_kgpm3: WATER_DENSITY_KGPM3,
        }
        .work()
        .expect("in range")
        .speed_error_fraction
    }

    #[test]
    fn the_slowest_ripple_runs_at_23_cm_a_second() {
        // general reference works: 23.1 cm/s at 1.73 cm
        let ripple = water().work().expect("in range");
        assert!((ripple.min_phase_speed_mps - 0.231).abs() < 0.001);
        assert!((ripple.wavelength_m - 0.0173).abs() < 0.0003);
    }

    #[test]
    fn smooth_smoke_and_stiff_drops_are_told() {
        let small = ModelNumbers {
            scale_denominator: 100.0,
            story_length_m: 0.1,
            story_speed_mps: 1.0,
            water_kinematic_viscosity_m2ps: WATER_KINEMATIC_VISCOSITY_M2PS,
            water_density_kgpm3: WATER_DENSITY_KGPM3,
            water_surface_tension_npm: WATER_SURFACE_TENSION_NPM,
        };
        assert_eq!(
            small.work().expect("in range").warnings,
            ["reynolds_low", "weber_low"]
        );
    }

    proptest! {
        #[test]
        fn longer_ripples_err_less(length in 0.001..1.0_f64, more in 1.01..3.0_f64) {
            prop_assert!(error_at(length * more) < error_at(length));
        }

        #[test]
        fn no_flat_fire(diameter in -1.0..=0.0_f64) {
            let fire = FlamePuffing { base_diameter_m: diameter };
            prop_assert!(fire.work().is_err());
        }
    }
}
