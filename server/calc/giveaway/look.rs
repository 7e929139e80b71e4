//! What looks wrong without moving: depth, detail and drops.

use super::{grade_amount, grade_ratio};
use crate::calculation::calculation;
use crate::fault::Warnings;
use crate::scale_time::note_scale;

/// Largest raindrop that falls without breaking, mm; from memory.
const LARGEST_RAINDROP_MM: f64 = 6.0;
/// Photosites that the camera needs to tell two things apart.
const PHOTOSITES_TO_RESOLVE: f64 = 2.0;

calculation! { "giveaway";
    /// How much shallower the depth of field is than that of the shot it pretends to be.
    ///
    /// Up to one stop is good, up to three are watched (common practice). The best supported of these measures: viewers
    /// judge size by blur, strongly.
    depth(Depth {
        /// How many times smaller the model is.
        scale_denominator: f64 = Above(0.0); usual 24.0,
        /// Focal length on the model.
        model_focal_length_mm: f64 = Above(0.0); usual 35.0,
        /// Stop on the model.
        model_f_number: f64 = Above(0.0); usual 16.0,
        /// Focal length of the shot it pretends to be.
        story_focal_length_mm: f64 = Above(0.0); usual 35.0,
        /// Stop of the shot it pretends to be.
        story_f_number: f64 = Above(0.0); usual 4.0,
    }) -> DepthSeen {
        /// Stops too shallow; negative is too deep.
        depth_giveaway_stops: f64,
        /// How that is seen; common practice, no source.
        grade: &'static str,
    }
    because "2 × log₂({scale_denominator} × {model_focal_length_mm} × {story_f_number} ÷ ({model_f_number} × {story_focal_length_mm})) = {depth_giveaway_stops} stops too shallow: {grade}"
    source "similarity of blur cones; Using blur to affect perceived distance and size, ACM Transactions on Graphics 29(2), 2010", Confirmed

    /// Distance that the blur suggests, for a viewer who takes the lens for the story's.
    blur_distance(BlurDistance {
        /// Pupil that the story sees: S × focal length ÷ stop.
        story_pupil_seen_mm: f64 = Above(0.0); usual 52.5,
        /// Pupil of the shot it pretends to be.
        story_pupil_mm: f64 = Above(0.0); usual 8.75,
    }) -> DistanceSeen {
        /// Distance suggested over distance intended.
        distance_reads_as_fraction: f64,
        /// Stops too shallow; negative is too deep.
        depth_giveaway_stops: f64,
    }
    because "{story_pupil_mm} ÷ {story_pupil_seen_mm} = {distance_reads_as_fraction} of the distance, {depth_giveaway_stops} stops too shallow"
    source "geometry of blur; Using blur to affect perceived distance and size, ACM Transactions on Graphics 29(2), 2010", Confirmed

    /// Finest modelled detail in the story, against what the camera resolves.
    ///
    /// The camera resolves two photosites. Detail as fine is good, up to three times coarser is watched; beyond that the
    /// surface looks like a toy (common practice).
    detail(Detail {
        /// Finest detail on the model.
        finest_detail_mm: f64 = Above(0.0); usual 0.3,
        /// How many times smaller the model is.
        scale_denominator: f64 = Above(0.0); usual 24.0,
        /// Image size over object size.
        magnification: f64 = Above(0.0); usual 0.03,
        /// Pitch of the photosites.
        photosite_mm: f64 = Above(0.0); usual 0.0055,
    }) -> DetailSeen {
        /// Finest detail in the story.
        detail_story_mm: f64,
        /// Finest detail on the sensor.
        detail_photosites: f64,
        /// Finest that the camera resolves, in the story.
        camera_limit_story_mm: f64,
        /// How that is seen; common practice, no source.
        grade: &'static str,
    }
    because "{finest_detail_mm} × {magnification} ÷ {photosite_mm} = {detail_photosites} photosites, which is {detail_story_mm} mm in the story where the camera resolves {camera_limit_story_mm} mm: {grade}"
    source "ratio of lengths", Confirmed

    /// Size of a drop in the story, against the largest raindrop.
    ///
    /// No larger is good, up to five times is watched (common practice). Drops do not scale.
    drop(Drop {
        /// Diameter of the drop on the model.
        drop_diameter_mm: f64 = Above(0.0); usual 3.0,
        /// How many times smaller the model is.
        scale_denominator: f64 = Above(0.0); usual 24.0,
    }) -> DropSeen {
        /// Diameter in the story.
        drop_story_mm: f64,
        /// That over the largest raindrop, 6 mm.
        ratio_to_largest_raindrop: f64,
        /// How that is seen; common practice, no source.
        grade: &'static str,
    }
    because "{drop_diameter_mm} × {scale_denominator} ÷ 6 = {ratio_to_largest_raindrop} times the largest raindrop, {drop_story_mm} mm in the story: {grade}"
    source "largest stable raindrop: meteorology text, from memory", FromMemory
}

fn depth(i: &Depth, warnings: &mut Warnings) -> DepthSeen {
    note_scale(i.scale_denominator, warnings);
    let seen_mm = i.scale_denominator * i.model_focal_length_mm / i.model_f_number;
    let depth_giveaway_stops = 2.0 * (seen_mm * i.story_f_number / i.story_focal_length_mm).log2();
    DepthSeen {
        depth_giveaway_stops,
        grade: grade_amount(depth_giveaway_stops, 1.0, 3.0),
    }
}

fn blur_distance(i: &BlurDistance, _: &mut Warnings) -> DistanceSeen {
    let distance_reads_as_fraction = i.story_pupil_mm / i.story_pupil_seen_mm;
    DistanceSeen {
        distance_reads_as_fraction,
        depth_giveaway_stops: -2.0 * distance_reads_as_fraction.log2(),
    }
}

fn detail(i: &Detail, warnings: &mut Warnings) -> DetailSeen {
    note_scale(i.scale_denominator, warnings);
    let detail_photosites = i.finest_detail_mm * i.magnification / i.photosite_mm;
    let coarser = detail_photosites / PHOTOSITES_TO_RESOLVE;
    DetailSeen {
        detail_story_mm: i.finest_detail_mm * i.scale_denominator,
        detail_photosites,
        camera_limit_story_mm: PHOTOSITES_TO_RESOLVE * i.photosite_mm * i.scale_denominator
            / i.magnification,
        grade: grade_ratio(coarser, (0.0, 1.0), (0.0, 3.0)),
    }
}

fn drop(i: &Drop, warnings: &mut Warnings) -> DropSeen {
    note_scale(i.scale_denominator, warnings);
    let drop_story_mm = i.drop_diameter_mm * i.scale_denominator;
    let ratio_to_largest_raindrop = drop_story_mm / LARGEST_RAINDROP_MM;
    DropSeen {
        drop_story_mm,
        ratio_to_largest_raindrop,
        grade: grade_amount(ratio_to_largest_raindrop, 1.0, 5.0),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::Calculate;
    use crate::story_stop::StoryStop;
    use proptest::prelude::*;

    #[test]
    fn detail_and_drops_have_their_edges() {
        let detail = |finest_detail_mm| {
            Detail {
                finest_detail_mm,
                scale_denominator: 24.0,
                magnification: 0.05,
                photosite_mm: 0.005,
            }
            .work()
            .expect("in range")
            .grade
        };
        assert_eq!(
            [detail(0.2), detail(0.6), detail(0.61)],
            ["good", "watch", "visible"]
        );
        let drop = |drop_diameter_mm| {
            Drop {
                drop_diameter_mm,
                scale_denominator: 10.0,
            }
            .work()
            .expect("in range")
            .grade
        };
        assert_eq!(
            [drop(0.6), drop(3.0), drop(3.1)],
            ["good", "watch", "visible"]
        );
    }

    proptest! {
        #[test]
        fn both_ways_to_the_stops_agree(scale in 1.0..100.0, f_number in 2.0..64.0, story in 1.4..22.0) {
            let depth = Depth {
                scale_denominator: scale, model_focal_length_mm: 35.0, model_f_number: f_number,
                story_focal_length_mm: 28.0, story_f_number: story,
            }.work().expect("in range");
            let stop = StoryStop {
                model_focal_length_mm: 35.0, model_f_number: f_number, scale_denominator: scale,
                story_focal_length_mm: 28.0, story_f_number: story,
            }.work().expect("in range");
            let distance = BlurDistance { story_pupil_seen_mm: stop.story_pupil_seen_mm, story_pupil_mm: 28.0 / story }
                .work().expect("in range");
            prop_assert!((depth.depth_giveaway_stops - stop.depth_giveaway_stops).abs() < 1e-9);
            prop_assert!((distance.depth_giveaway_stops - stop.depth_giveaway_stops).abs() < 1e-9);
            prop_assert!((distance.distance_reads_as_fraction - stop.suggested_distance_ratio).abs() < 1e-9);
        }
    }
}
