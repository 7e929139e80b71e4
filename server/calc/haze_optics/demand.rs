//! Haze against the limits of the air: what a look demands, and what a limit leaves.

use super::{CONTRAST_THRESHOLD, MG_PER_G, THICK, visibility_depth};
use crate::calculation::calculation;
use crate::fault::Warnings;
use crate::figure::{found, given};
use crate::input::choice;

/// Peak limit of glycol fog, mg/m³ (ANSI E1.5; theatrical-effects health study for performers, 2000).
const PEAK_LIMIT_MGPM3: f64 = 40.0;

choice! {
    /// How fine the machine's droplets are, for propylene glycol with sizes spread by 1.8.
    Droplets {
        /// 0.7 µm: 5.562 m²/g.
        Fine = "fine",
        /// 2 µm: 2.355 m²/g.
        Coarse = "coarse",
    }
}

impl Droplets {
    /// Extinction of a gram (`data/haze_mass_extinction_mie.csv`).
    const fn mass_extinction_m2pg(self) -> f64 {
        match self {
            Self::Fine => 5.562,
            Self::Coarse => 2.355,
        }
    }
}

calculation! { "haze-optics";
    /// What an exposure limit leaves on camera: extinction, contrast at the far end, and the story's visibility.
    limit_to_optics(LimitToOptics {
        /// Mass in the air, such as the limit chosen.
        concentration_mgpm3: f64 = Above(0.0); usual 10.0,
        /// Extinction of a gram of the droplets.
        mass_extinction_m2pg: f64 = Above(0.0); usual 5.56,
        /// Way through the haze on the stage.
        stage_path_m: f64 = AtLeast(0.0); usual 6.0,
        /// How many times smaller the model is.
        scale_denominator: f64 = AtLeast(1.0); usual 24.0,
        /// Contrast at which a dark object is lost.
        contrast_threshold: f64 = Within(0.0, 1.0); default CONTRAST_THRESHOLD,
    }) -> LimitOnCamera {
        /// Extinction of the haze.
        extinction_per_m: f64,
        /// Extinction times way.
        optical_depth: f64,
        /// Share of contrast left at the far end.
        contrast_fraction: f64,
        /// How far one would see in the story.
        story_visibility_m: f64,
    }
    because "e^−({concentration_mgpm3} × {mass_extinction_m2pg} ÷ 1000 × {stage_path_m}) = {contrast_fraction} of the contrast at the far end. In the story one would see {story_visibility_m} m."
    source "Beer–Lambert law; Koschmieder 1924", Confirmed

    /// What a scaled visibility demands of the air, against the peak limit.
    ///
    /// Warns (`above_limit`) when it is more than the limit: then nobody stands in that air without a protection
    /// programme run by a competent person. Match the contrast at the far end instead, or shut the tent.
    haze_demand(HazeDemand {
        /// How far one sees in the story.
        story_visibility_m: f64 = Above(0.0); usual 20.0,
        /// How many times smaller the model is.
        scale_denominator: f64 = AtLeast(1.0); usual 24.0,
        /// Contrast at which a dark object is lost.
        contrast_threshold: f64 = Within(0.0, 1.0); default CONTRAST_THRESHOLD,
        /// Extinction of a gram of the droplets; from their fineness when it is not given.
        mass_extinction_m2pg: Option<f64> = Above(0.0); usual 5.562,
        /// How fine the droplets are.
        droplets: Droplets = Any; default Droplets::Fine,
        /// Peak limit chosen.
        peak_limit_mgpm3: f64 = Above(0.0); default PEAK_LIMIT_MGPM3,
    }) -> Demand {
        /// Extinction of the haze on the stage.
        extinction_per_m: f64,
        /// Mass in a cubic metre of air.
        concentration_mgpm3: f64,
        /// Times the peak limit.
        times_peak_limit: f64,
    }
    because haze_demand_because
    source "Koschmieder 1924; Mie's theory for the droplets; the limit as chosen", Confirmed
}

fn limit_to_optics(i: &LimitToOptics, warnings: &mut Warnings) -> LimitOnCamera {
    let extinction_per_m = i.concentration_mgpm3 * i.mass_extinction_m2pg / MG_PER_G;
    let optical_depth = extinction_per_m * i.stage_path_m;
    warnings.add_if(optical_depth > THICK, "optically_thick");
    LimitOnCamera {
        extinction_per_m,
        optical_depth,
        contrast_fraction: (-optical_depth).exp(),
        story_visibility_m: visibility_depth(i.contrast_threshold) * i.scale_denominator
            / extinction_per_m,
    }
}

fn haze_demand(i: &HazeDemand, warnings: &mut Warnings) -> Demand {
    let extinction_per_m =
        visibility_depth(i.contrast_threshold) * i.scale_denominator / i.story_visibility_m;
    let concentration_mgpm3 = extinction_per_m / demanded_mass_extinction_m2pg(i) * MG_PER_G;
    let times_peak_limit = concentration_mgpm3 / i.peak_limit_mgpm3;
    warnings.add_if(times_peak_limit > 1.0, "above_limit");
    Demand {
        extinction_per_m,
        concentration_mgpm3,
        times_peak_limit,
    }
}

fn haze_demand_because(i: &HazeDemand, a: &Demand) -> String {
    format!(
        "−ln({}) × {} ÷ {} ÷ {} × 1000 = {} mg/m³, which is {} times the peak limit of {} mg/m³",
        given(i.contrast_threshold),
        given(i.scale_denominator),
        given(i.story_visibility_m),
        given(demanded_mass_extinction_m2pg(i)),
        found(a.concentration_mgpm3),
        found(a.times_peak_limit),
        given(i.peak_limit_mgpm3)
    )
}

/// Extinction of a gram as given, or of the droplets named.
fn demanded_mass_extinction_m2pg(i: &HazeDemand) -> f64 {
    i.mass_extinction_m2pg
        .unwrap_or(i.droplets.mass_extinction_m2pg())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::Calculate;

    #[test]
    fn scaled_visibility_breaks_the_peak_limit() {
        let demand = HazeDemand {
            story_visibility_m: 20.0,
            scale_denominator: 24.0,
            contrast_threshold: 0.02,
            mass_extinction_m2pg: None,
            droplets: Droplets::Fine,
            peak_limit_mgpm3: 40.0,
        };
        let demand = demand.work().expect("in range");
        assert_eq!(demand.warnings, ["above_limit"]);
        assert!((demand.times_peak_limit - 21.1).abs() < 0.1);
    }
}
