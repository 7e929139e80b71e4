//! Extinction, contrast and mass of haze along a way.

use super::{CONTRAST_THRESHOLD, MG_PER_G, THICK, visibility_depth};
use crate::calculation::calculation;
use crate::fault::{Fault, FaultKind, Warnings};
use std::f64::consts::LN_2;

calculation! { "haze-optics";
    /// Extinction that gives the stage the story's visibility, scaled.
    ///
    /// σ = K S/V with K = −ln of the contrast at which things are lost.
    stage_extinction(StageExtinction {
        /// How far one sees in the story.
        story_visibility_m: f64 = Above(0.0); usual 20.0,
        /// How many times smaller the model is.
        scale_denominator: f64 = AtLeast(1.0); usual 24.0,
        /// Contrast at which a dark object is lost.
        contrast_threshold: f64 = Within(0.0, 1.0); default CONTRAST_THRESHOLD,
    }) -> Extinction {
        /// Extinction of the haze on the stage.
        extinction_per_m: f64,
    }
    because "−ln({contrast_threshold}) × {scale_denominator} ÷ {story_visibility_m} = {extinction_per_m} a metre"
    source "Koschmieder 1924 (2 %); WMO-No. 8 (5 %)", Confirmed

    /// Optical depth at which things are lost: 3.912 for 2 % contrast, 2.996 for 5 %.
    visibility_constant(VisibilityConstant {
        /// Contrast at which a dark object is lost.
        contrast_threshold: f64 = Within(0.0, 1.0); default CONTRAST_THRESHOLD,
    }) -> VisibilityConstantFound {
        /// Optical depth of the visibility.
        visibility_constant: f64,
    }
    because "−ln({contrast_threshold}) = {visibility_constant}"
    source "Koschmieder 1924 (2 %); WMO-No. 8 (5 %)", Confirmed

    /// Light and contrast left after a way through haze.
    ///
    /// The lamp's way to the subject and the subject's to the camera each count. Warns (`optically_thick`) over an
    /// optical depth of 3.
    path(Path {
        /// Extinction of the haze.
        extinction_per_m: f64 = AtLeast(0.0); usual 0.25,
        /// Way through it.
        distance_m: f64 = AtLeast(0.0); usual 4.0,
    }) -> Seen {
        /// Extinction times way.
        optical_depth: f64,
        /// Share of light that arrives straight.
        transmittance: f64,
        /// Share of contrast that is left.
        contrast_fraction: f64,
        /// Light lost.
        stops_lost: f64,
    }
    because "e^−({extinction_per_m} × {distance_m}) = {transmittance} of the light and of the contrast, {stops_lost} stops less"
    source "Beer–Lambert law", Confirmed

    /// Extinction that leaves a wanted share of contrast at a distance: the better question to ask.
    extinction_for_contrast(ExtinctionForContrast {
        /// Distance, such as the far end of the table.
        distance_m: f64 = Above(0.0); usual 3.5,
        /// Share of contrast that should be left.
        wanted_contrast_fraction: f64 = AboveUpTo(0.0, 1.0); usual 0.3,
    }) -> ExtinctionWanted {
        /// Extinction of the haze.
        extinction_per_m: f64,
    }
    because "−ln({wanted_contrast_fraction}) ÷ {distance_m} = {extinction_per_m} a metre"
    source "Beer–Lambert law", Confirmed

    /// Mass of droplets in the air for an extinction.
    mass_concentration(MassConcentration {
        /// Extinction of the haze.
        extinction_per_m: f64 = AtLeast(0.0); usual 0.25,
        /// Extinction of a gram of the droplets.
        mass_extinction_m2pg: f64 = Above(0.0); usual 5.56,
    }) -> Concentration {
        /// Mass in a cubic metre of air.
        concentration_mgpm3: f64,
    }
    because "{extinction_per_m} ÷ {mass_extinction_m2pg} × 1000 = {concentration_mgpm3} mg/m³"
    source "definition of the mass extinction", Confirmed

    /// Distance on the stage at which a dark object is lost in scaled haze.
    visible_stage_depth(VisibleStageDepth {
        /// How far one sees in the story.
        story_visibility_m: f64 = Above(0.0); usual 20.0,
        /// How many times smaller the model is.
        scale_denominator: f64 = AtLeast(1.0); usual 24.0,
    }) -> VisibleStageDepthFound {
        /// Depth that is seen on the stage.
        depth_m: f64,
    }
    because "{story_visibility_m} ÷ {scale_denominator} = {depth_m} m"
    source "similarity of lengths", Confirmed

    /// Light that each of a row of nets must pass to stand for haze.
    scrim_equivalent(ScrimEquivalent {
        /// Extinction of the haze that the nets replace.
        extinction_per_m: f64 = AtLeast(0.0); usual 1.0,
        /// Distance from net to net.
        spacing_m: f64 = Above(0.0); usual 0.4,
    }) -> Net {
        /// Share of light that each net passes.
        transmittance_per_net: f64,
    }
    because "e^−({extinction_per_m} × {spacing_m}) = {transmittance_per_net}"
    source "Beer–Lambert law", Confirmed

    /// Extinction from a white and a black card side by side, read clear and in haze.
    ///
    /// The veil cancels in the difference. Refuses cards with no difference left.
    extinction_from_cards(ExtinctionFromCards {
        /// White card in clear air.
        white_clear: f64 = AtLeast(0.0); usual 100.0,
        /// Black card in clear air.
        black_clear: f64 = AtLeast(0.0); usual 4.0,
        /// White card in haze.
        white_haze: f64 = AtLeast(0.0); usual 80.0,
        /// Black card in haze.
        black_haze: f64 = AtLeast(0.0); usual 30.0,
        /// Cards to camera.
        distance_m: f64 = Above(0.0); usual 3.0,
    }) -> ExtinctionRead {
        /// Extinction of the haze.
        extinction_per_m: f64,
    }
    because "ln(({white_clear} − {black_clear}) ÷ ({white_haze} − {black_haze})) ÷ {distance_m} = {extinction_per_m} a metre"
    source "Koschmieder 1924 and Duntley: difference of two luminances through a veil", Confirmed
}

fn stage_extinction(i: &StageExtinction, _: &mut Warnings) -> Extinction {
    Extinction {
        extinction_per_m: visibility_depth(i.contrast_threshold) * i.scale_denominator
            / i.story_visibility_m,
    }
}

fn visibility_constant(i: &VisibilityConstant, _: &mut Warnings) -> VisibilityConstantFound {
    VisibilityConstantFound {
        visibility_constant: visibility_depth(i.contrast_threshold),
    }
}

fn path(i: &Path, warnings: &mut Warnings) -> Seen {
    let optical_depth = i.extinction_per_m * i.distance_m;
    warnings.add_if(optical_depth > THICK, "optically_thick");
    let left = (-optical_depth).exp();
    Seen {
        optical_depth,
        transmittance: left,
        contrast_fraction: left,
        stops_lost: optical_depth / LN_2,
    }
}

fn extinction_for_contrast(i: &ExtinctionForContrast, _: &mut Warnings) -> ExtinctionWanted {
    ExtinctionWanted {
        // adding zero keeps full contrast from asking for "minus zero"
        extinction_per_m: 0.0 - i.wanted_contrast_fraction.ln() / i.distance_m,
    }
}

fn mass_concentration(i: &MassConcentration, _: &mut Warnings) -> Concentration {
    Concentration {
        concentration_mgpm3: i.extinction_per_m / i.mass_extinction_m2pg * MG_PER_G,
    }
}

fn visible_stage_depth(i: &VisibleStageDepth, _: &mut Warnings) -> VisibleStageDepthFound {
    VisibleStageDepthFound {
        depth_m: i.story_visibility_m / i.scale_denominator,
    }
}

fn scrim_equivalent(i: &ScrimEquivalent, _: &mut Warnings) -> Net {
    Net {
        transmittance_per_net: (-i.extinction_per_m * i.spacing_m).exp(),
    }
}

fn extinction_from_cards(
    i: &ExtinctionFromCards,
    _: &mut Warnings,
) -> Result<ExtinctionRead, Vec<Fault>> {
    let clear = i.white_clear - i.black_clear;
    let haze = i.white_haze - i.black_haze;
    let mut faults = Vec::new();
    for (difference, white, black) in [
        (clear, "white_clear", "black_clear"),
        (haze, "white_haze", "black_haze"),
    ] {
        if difference <= 0.0 {
            let problem = "No difference is left between the cards: the haze is too dense, or the cards were misread.";
            faults.extend(
                [white, black].map(|field| Fault::new(field, FaultKind::RangeReversed, problem)),
            );
        }
    }
    if faults.is_empty() && haze > clear {
        let problem = "The cards differ more in haze than in clear air: read them again.";
        faults.extend(
            ["white_haze", "black_haze"]
                .map(|field| Fault::new(field, FaultKind::OutOfRange, problem)),
        );
    }
    if !faults.is_empty() {
        return Err(faults);
    }
    Ok(ExtinctionRead {
        extinction_per_m: (clear / haze).ln() / i.distance_m,
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::Calculate;
    use proptest::prelude::*;

    fn cards(white_haze: f64, black_haze: f64) -> ExtinctionFromCards {
        ExtinctionFromCards {
            white_clear: 100.0,
            black_clear: 4.0,
            white_haze,
            black_haze,
            distance_m: 3.0,
        }
    }

    #[test]
    fn a_thick_way_is_told() {
        let through = |distance_m| Path {
            extinction_per_m: 1.0,
            distance_m,
        };
        assert!(through(3.0).work().expect("in range").warnings.is_empty());
        assert_eq!(
            through(3.1).work().expect("in range").warnings,
            ["optically_thick"]
        );
    }

    #[test]
    fn cards_without_difference_are_refused() {
        assert_eq!(
            cards(30.0, 30.0).work().expect_err("refused")[0].field,
            "white_haze"
        );
        assert_eq!(
            cards(99.0, 1.0).work().expect_err("refused")[0].kind,
            FaultKind::OutOfRange
        );
    }

    #[test]
    fn a_threshold_of_nothing_or_all_is_refused() {
        for contrast_threshold in [0.0, 1.0, -0.1] {
            assert!(VisibilityConstant { contrast_threshold }.work().is_err());
        }
    }

    proptest! {
        #[test]
        fn a_veil_over_both_cards_changes_nothing(veil in 0.0..50.0, left in 0.05..0.99_f64) {
            let read = cards(veil + 100.0 * left, veil + 4.0 * left).work().expect("in range");
            prop_assert!((read.extinction_per_m * 3.0 + left.ln()).abs() < 1e-9);
        }

        #[test]
        fn the_extinction_asked_for_leaves_the_contrast(distance_m in 0.1..20.0, wanted in 0.01..1.0) {
            let extinction_per_m = ExtinctionForContrast { distance_m, wanted_contrast_fraction: wanted }
                .work().expect("in range").extinction_per_m;
            let seen = Path { extinction_per_m, distance_m }.work().expect("in range");
            prop_assert!((seen.contrast_fraction - wanted).abs() < 1e-9);
        }
    }
}
