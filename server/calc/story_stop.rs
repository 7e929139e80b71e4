//! Story-equivalent stop (family `story-stop`): how far the depth of field of a miniature gives its size away.

use crate::calculation::calculation;
use crate::fault::Warnings;
use crate::scale_time::note_scale;

calculation! { "story-stop";
    /// Which full-size stop would look like this shot, and how far that is from the shot it pretends to be.
    ///
    /// The model's pupil S f/N stands in the story. Same angle of view and scaled position assumed. Positive giveaway
    /// is too shallow: close it by placing the range, tilt, stacking, a smaller sensor or haze.
    story_stop(StoryStop {
        /// Focal length on the model.
        model_focal_length_mm: f64 = Above(0.0); usual 35.0,
        /// Stop on the model.
        model_f_number: f64 = Above(0.0); usual 16.0,
        /// How many times smaller the model is.
        scale_denominator: f64 = Above(0.0); usual 24.0,
        /// Focal length of the shot it pretends to be.
        story_focal_length_mm: f64 = Above(0.0); usual 35.0,
        /// Stop of the shot it pretends to be.
        story_f_number: f64 = Above(0.0); usual 4.0,
    }) -> Giveaway {
        /// Pupil that the story sees.
        story_pupil_seen_mm: f64,
        /// Stop of the pretended lens that would look like this.
        story_f_number_seen: f64,
        /// Stop that the model would need.
        model_f_number_needed: f64,
        /// Stops between the two; positive is too shallow.
        depth_giveaway_stops: f64,
        /// Distance that the blur suggests, over the distance intended.
        suggested_distance_ratio: f64,
    }
    because "2 × log₂({scale_denominator} × {model_focal_length_mm} × {story_f_number} ÷ ({model_f_number} × {story_focal_length_mm})) = {depth_giveaway_stops} stops. It looks like f/{story_f_number_seen}, and would need f/{model_f_number_needed} on the model."
    source "similarity of blur cones; Using blur to affect perceived distance and size, ACM Transactions on Graphics 29(2), 2010", Confirmed
}

fn story_stop(i: &StoryStop, warnings: &mut Warnings) -> Giveaway {
    note_scale(i.scale_denominator, warnings);
    let story_pupil_seen_mm = i.scale_denominator * i.model_focal_length_mm / i.model_f_number;
    let pretended_pupil_mm = i.story_focal_length_mm / i.story_f_number;
    let pupil_ratio = story_pupil_seen_mm / pretended_pupil_mm;
    Giveaway {
        story_pupil_seen_mm,
        story_f_number_seen: i.story_focal_length_mm / story_pupil_seen_mm,
        model_f_number_needed: i.model_f_number * pupil_ratio,
        depth_giveaway_stops: 2.0 * pupil_ratio.log2(),
        suggested_distance_ratio: 1.0 / pupil_ratio,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::Calculate;
    use proptest::prelude::*;

    fn shot(model_f_number: f64, scale_denominator: f64) -> StoryStop {
        StoryStop {
            model_focal_length_mm: 35.0,
            model_f_number,
            scale_denominator,
            story_focal_length_mm: 35.0,
            story_f_number: 4.0,
        }
    }

    #[test]
    fn one_to_24_pretending_f4_needs_f96() {
        let giveaway = shot(16.0, 24.0).work().expect("in range");
        assert!((giveaway.model_f_number_needed - 96.0).abs() < 1e-9);
        assert!((giveaway.depth_giveaway_stops - 5.169_925).abs() < 1e-6);
    }

    #[test]
    fn every_input_must_be_more_than_zero() {
        assert_eq!(shot(0.0, -1.0).work().expect_err("refused").len(), 2);
    }

    proptest! {
        #[test]
        fn the_stop_needed_gives_nothing_away(n in 1.4..64.0, scale in 1.0..100.0) {
            let needed = shot(n, scale).work().expect("in range").model_f_number_needed;
            let there = shot(needed, scale).work().expect("in range");
            prop_assert!(there.depth_giveaway_stops.abs() < 1e-9);
            prop_assert!((there.suggested_distance_ratio - 1.0).abs() < 1e-9);
        }
    }
}
