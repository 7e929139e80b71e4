//! A flag that is moved: how large, how high, how fast, and what its edge says of the story.

use crate::calculation::calculation;
use crate::fault::{Fault, Warnings};
use crate::figure::{carried, found, given};
use crate::scale_time::note_scale;

/// Angle under which the sun is seen, 0.533°, in radians.
const SUN_RAD: f64 = 0.0093;
/// Edge over the sun's within which it passes for daylight; common practice, no source.
const EDGE_GOOD: std::ops::RangeInclusive<f64> = 0.5..=2.0;
/// Edge over the sun's within which it may pass; common practice, no source.
const EDGE_WATCH: std::ops::RangeInclusive<f64> = 0.2..=5.0;

calculation! { "shadow";
    /// Height and width of the flag that throws a wanted shadow with a wanted edge.
    ///
    /// h = ε H/(s + ε), w = X(H − h)/H. An edge wider than the shadow leaves no full shadow (`umbra_gone`). Hot lamps:
    /// clearance as the maker states, nothing that burns, a safety bond on every flag and lamp.
    flag_for_shadow(FlagForShadow {
        /// Width of the shadow where half the lamp is seen.
        shadow_width_m: f64 = Above(0.0); usual 0.6,
        /// Diameter of the lamp.
        lamp_diameter_m: f64 = Above(0.0); usual 0.2,
        /// Height of the lamp over the set.
        lamp_height_m: f64 = Above(0.0); usual 4.0,
        /// Width of the soft edge, each side.
        edge_width_m: f64 = Above(0.0); usual 0.05,
    }) -> Flag {
        /// Height of the flag over the set.
        flag_height_m: f64,
        /// Width of the flag.
        flag_width_m: f64,
    }
    because "{edge_width_m} × {lamp_height_m} ÷ ({lamp_diameter_m} + {edge_width_m}) = {flag_height_m} m over the set, for a flag {flag_width_m} m wide"
    source "similar triangles", Confirmed

    /// Speed of a flag whose shadow passes at story speed, and how long it takes through the frame.
    ///
    /// The shadow runs at v k/S and the flag at (H − h)/H of that. It takes from the first edge in to the last edge out.
    flag_pass(FlagPass {
        /// Speed in the story.
        story_speed_mps: f64 = Above(0.0); usual 8.0,
        /// How many times smaller the model is.
        scale_denominator: f64 = Above(0.0); usual 24.0,
        /// Shooting rate over base rate.
        rate_factor_k: f64 = Above(0.0); usual 4.899,
        /// Height of the lamp over the set.
        lamp_height_m: f64 = Above(0.0); usual 4.0,
        /// Height of the flag over the set, below the lamp.
        flag_height_m: f64 = Above(0.0); usual 0.8,
        /// Width of the shadow.
        shadow_width_m: f64 = Above(0.0); usual 0.6,
        /// Width of the frame.
        frame_width_m: f64 = Above(0.0); usual 1.2,
    }) -> Pass {
        /// Speed of the shadow.
        shadow_speed_mps: f64,
        /// Speed of the flag.
        flag_speed_mps: f64,
        /// How long it takes on the stage.
        crossing_stage_s: f64,
        /// How long it takes on screen.
        crossing_screen_s: f64,
    }
    because flag_pass_because
    source "similar triangles", Confirmed

    /// How wide a shadow's edge is in the story, against that of the sun.
    ///
    /// The sun is 0.0093 wide for each metre to it, 0.533°. Edges of half to twice that pass for daylight, a fifth to
    /// five times may (common practice). To imitate the sun choose lamp diameter ÷ distance to the flag of 0.0093.
    edge_story(EdgeStory {
        /// Width of the soft edge on the set.
        edge_width_m: f64 = Above(0.0); usual 0.05,
        /// How many times smaller the model is.
        scale_denominator: f64 = Above(0.0); usual 24.0,
        /// Height in the story of what throws the shadow.
        story_flag_to_ground_m: f64 = Above(0.0); usual 30.0,
    }) -> EdgeSeen {
        /// Width of the edge in the story.
        story_edge_m: f64,
        /// Width that the sun would give it.
        sun_edge_m: f64,
        /// One over the other.
        edge_ratio: f64,
        /// How that is seen; common practice, no source.
        grade: &'static str,
    }
    because "{edge_width_m} × {scale_denominator} = {story_edge_m} m in the story, where the sun would give {sun_edge_m} m: {grade}"
    source "similar triangles; the sun's diameter over its distance", Confirmed
}

fn flag_for_shadow(i: &FlagForShadow, warnings: &mut Warnings) -> Flag {
    warnings.add_if(i.shadow_width_m <= i.edge_width_m, "umbra_gone");
    let both_m = i.lamp_diameter_m + i.edge_width_m;
    Flag {
        flag_height_m: i.edge_width_m * i.lamp_height_m / both_m,
        // (H − h)/H is s/(s + ε)
        flag_width_m: i.shadow_width_m * i.lamp_diameter_m / both_m,
    }
}

fn flag_pass(i: &FlagPass, warnings: &mut Warnings) -> Result<Pass, Vec<Fault>> {
    note_scale(i.scale_denominator, warnings);
    if i.flag_height_m >= i.lamp_height_m {
        return Err(Fault::reversed("flag_height_m", "lamp_height_m"));
    }
    let shadow_speed_mps = i.story_speed_mps * i.rate_factor_k / i.scale_denominator;
    let crossing_stage_s = (i.shadow_width_m + i.frame_width_m) / shadow_speed_mps;
    Ok(Pass {
        shadow_speed_mps,
        flag_speed_mps: shadow_speed_mps * (i.lamp_height_m - i.flag_height_m) / i.lamp_height_m,
        crossing_stage_s,
        crossing_screen_s: crossing_stage_s * i.rate_factor_k,
    })
}

fn flag_pass_because(i: &FlagPass, a: &Pass) -> String {
    format!(
        "{} × {} ÷ {} × ({} − {}) ÷ {} = {} m/s for the flag, while its shadow runs at {} m/s. It takes {} s through the frame, {} s on screen.",
        given(i.story_speed_mps),
        given(i.rate_factor_k),
        given(i.scale_denominator),
        carried(i.lamp_height_m),
        carried(i.flag_height_m),
        given(i.lamp_height_m),
        found(a.flag_speed_mps),
        found(a.shadow_speed_mps),
        found(a.crossing_stage_s),
        found(a.crossing_screen_s)
    )
}

fn edge_story(i: &EdgeStory, warnings: &mut Warnings) -> EdgeSeen {
    note_scale(i.scale_denominator, warnings);
    let story_edge_m = i.edge_width_m * i.scale_denominator;
    let sun_edge_m = SUN_RAD * i.story_flag_to_ground_m;
    let edge_ratio = story_edge_m / sun_edge_m;
    let grade = if EDGE_GOOD.contains(&edge_ratio) {
        "good"
    } else if EDGE_WATCH.contains(&edge_ratio) {
        "watch"
    } else {
        "visible"
    };
    EdgeSeen {
        story_edge_m,
        sun_edge_m,
        edge_ratio,
        grade,
    }
}

#[cfg(test)]
mod tests {
    use super::super::ShadowWidths;
    use super::*;
    use crate::Calculate;
    use proptest::prelude::*;

    #[test]
    fn a_soft_edge_swallows_a_narrow_shadow() {
        let flag = FlagForShadow {
            shadow_width_m: 0.05,
            lamp_diameter_m: 0.2,
            lamp_height_m: 4.0,
            edge_width_m: 0.05,
        };
        assert_eq!(flag.work().expect("in range").warnings, ["umbra_gone"]);
    }

    #[test]
    fn edges_are_graded_against_the_sun() {
        let grade = |edge_width_m| {
            EdgeStory {
                edge_width_m,
                scale_denominator: 10.0,
                story_flag_to_ground_m: 100.0,
            }
            .work()
            .expect("in range")
            .grade
        };
        for (edge, wanted) in [
            (0.01, "visible"),
            (0.02, "watch"),
            (0.093, "good"),
            (0.3, "watch"),
            (0.5, "visible"),
        ] {
            assert_eq!(grade(edge), wanted, "{edge}");
        }
    }

    proptest! {
        #[test]
        fn the_flag_throws_the_shadow_that_was_asked_for(
            shadow in 0.1..2.0, lamp in 0.02..0.5, height in 1.0..6.0, edge in 0.01..0.09,
        ) {
            let flag = FlagForShadow {
                shadow_width_m: shadow, lamp_diameter_m: lamp, lamp_height_m: height, edge_width_m: edge,
            }.work().expect("in range");
            let thrown = ShadowWidths {
                lamp_diameter_m: Some(lamp), lamp_height_m: Some(height), flag_height_m: Some(flag.flag_height_m),
                flag_width_m: Some(flag.flag_width_m), lamp_diameter: None, flag_width: None, lamp_to_flag: None, flag_to_set: None,
            }.work().expect("in range");
            prop_assert!((thrown.half_level_width_m.expect("metres") / shadow - 1.0).abs() < 1e-9);
            prop_assert!((thrown.edge_width_m.expect("metres") / edge - 1.0).abs() < 1e-9);
        }
    }
}
