//! Webs of light on the floor: how deep a crest focuses, and how large the cells are.

use crate::calculation::calculation;
use crate::fault::Warnings;
use std::f64::consts::TAU;

/// Refractive index of water.
const WATER_INDEX: f64 = 1.333;

calculation! { "projection";
    /// How deep below its crest a wave gathers light that falls straight down.
    ///
    /// n/((n − 1) a q²) with q = 2π/L: the crest is a single refracting surface of radius 1/(a q²). Rays near its middle.
    caustic_depth(CausticDepth {
        /// Height of the crest over the mean.
        wave_amplitude_m: f64 = Above(0.0); usual 0.05,
        /// From crest to crest.
        wavelength_m: f64 = Above(0.0); usual 2.0,
        /// Refractive index of the water.
        refractive_index: f64 = Above(1.0); default WATER_INDEX,
    }) -> CausticFocus {
        /// Depth of the focus below the crest.
        focal_depth_below_crest_m: f64,
    }
    because "{refractive_index} ÷ (({refractive_index} − 1) × {wave_amplitude_m} × (2 × π ÷ {wavelength_m})^2) = {focal_depth_below_crest_m} m below the crest"
    source "refraction at one curved surface, agreed by rays through a sine surface", Confirmed

    /// The wave whose crests focus on the floor: about the size of the cells to draw.
    ///
    /// 2π s d (n − 1)/n, about 1.57 × slope × depth. Shorter waves focus above the floor and blur, longer ones below.
    caustic_cell(CausticCell {
        /// Depth of the floor in the story.
        story_depth_m: f64 = Above(0.0); usual 5.0,
        /// Steepest slope of the waves, amplitude × 2π ÷ length.
        wave_slope: f64 = Above(0.0); usual 0.1,
        /// Refractive index of the water.
        refractive_index: f64 = Above(1.0); default WATER_INDEX,
    }) -> Cell {
        /// From crest to crest of the wave that focuses there.
        wavelength_focusing_on_floor_m: f64,
    }
    because "2 × π × {wave_slope} × {story_depth_m} × ({refractive_index} − 1) ÷ {refractive_index} = {wavelength_focusing_on_floor_m} m from crest to crest"
    source "refraction at one curved surface, turned round", Confirmed
}

fn caustic_depth(i: &CausticDepth, _: &mut Warnings) -> CausticFocus {
    let curvature_per_m = i.wave_amplitude_m * (TAU / i.wavelength_m).powi(2);
    CausticFocus {
        focal_depth_below_crest_m: i.refractive_index
            / ((i.refractive_index - 1.0) * curvature_per_m),
    }
}

fn caustic_cell(i: &CausticCell, _: &mut Warnings) -> Cell {
    Cell {
        wavelength_focusing_on_floor_m: TAU
            * i.wave_slope
            * i.story_depth_m
            * (i.refractive_index - 1.0)
            / i.refractive_index,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::Calculate;
    use proptest::prelude::*;

    proptest! {
        #[test]
        fn the_cell_focuses_on_its_floor(depth in 0.1..50.0, slope in 0.005..0.4, index in 1.01..2.0) {
            let cell = CausticCell { story_depth_m: depth, wave_slope: slope, refractive_index: index }.work().expect("in range");
            let wavelength_m = cell.wavelength_focusing_on_floor_m;
            let focus = CausticDepth {
                wave_amplitude_m: slope * wavelength_m / TAU, wavelength_m, refractive_index: index,
            }.work().expect("in range");
            prop_assert!((focus.focal_depth_below_crest_m / depth - 1.0).abs() < 1e-9);
        }
    }
}
