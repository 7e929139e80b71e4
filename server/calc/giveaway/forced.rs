//! Forced perspective: a piece at another scale than the set, which only one place of the camera puts right.

use super::MM_PER_M;
use crate::calculation::{OrInfinity, calculation};
use crate::fault::{Fault, Warnings};
use crate::figure::{found, given};
use crate::focus::magnification;
use crate::scale_time::note_scale;

calculation! { "giveaway";
    /// How far away a piece at another scale seems, what the haze misses, and how far the camera may move.
    ///
    /// Derivation: a piece at 1 : S₂, d before the camera, stands for something S₂ d away, which in a set at 1 : S is
    /// D = d S₂/S. The haze lies over d and not over D, so e^(σ(D − d)) times too much contrast is left; a net, or
    /// paler paint, makes up for it. A step y to the side moves the piece by y f'/d on the sensor where it should move by
    /// y f'/D: the step that keeps the difference within n photosites p is y = n p/(f' |1/d − 1/D|), with the image
    /// distance f' = f(1 + m/P). A step z towards it makes it grow by d/(d − z) where it should by D/(D − z): the two part
    /// by the share e at z = e D d/((1 + e)D − d) for a piece that seems farther, at e D d/(d − (1 − e)D) for one that
    /// seems nearer. A step back of the same length shows less. All distances from the entrance pupil.
    forced_perspective(ForcedPerspective {
        /// Distance of the piece.
        piece_distance_m: f64 = Above(0.0); usual 2.0,
        /// How many times smaller the piece is.
        piece_scale_denominator: f64 = Above(0.0); usual 48.0,
        /// How many times smaller the set is.
        scale_denominator: f64 = Above(0.0); usual 24.0,
        /// Extinction of the haze on the set.
        extinction_per_m: f64 = AtLeast(0.0); default 0.0; usual 0.2,
        /// Focal length of the lens.
        focal_length_mm: f64 = Above(0.0); usual 35.0,
        /// Distance of the plane of focus from the entrance pupil.
        focus_distance_from_entrance_pupil_mm: f64 = Above(0.0); usual 1500.0,
        /// Exit pupil over entrance pupil.
        pupil_magnification: f64 = Above(0.0); default 1.0,
        /// Pitch of the photosites.
        photosite_mm: f64 = Above(0.0); usual 0.0055,
        /// Photosites by which the piece may slip against the set.
        slip_photosites: f64 = Above(0.0); default 1.0,
        /// Share by which the piece may grow wrongly.
        growth_error_fraction: f64 = Within(0.0, 1.0); default 0.01,
    }) -> Forced {
        /// Distance at which the piece seems to stand in the set.
        apparent_distance_m: f64,
        /// That distance in the story.
        story_distance_m: f64,
        /// Optical depth of haze that the piece misses; negative when it has too much.
        missing_optical_depth: f64,
        /// Contrast that is left, over the contrast that should be.
        contrast_excess_ratio: f64,
        /// How far the camera may move to a side.
        sideways_move_m: OrInfinity,
        /// How far the camera may move towards the piece.
        forward_move_m: OrInfinity,
    }
    because forced_perspective_because
    source "derived here from central projection and the attenuation law, agreed by projected points and a search", Confirmed
}

fn forced_perspective(i: &ForcedPerspective, warnings: &mut Warnings) -> Result<Forced, Fault> {
    note_scale(i.scale_denominator, warnings);
    note_scale(i.piece_scale_denominator, warnings);
    let m = magnification(
        i.focal_length_mm,
        i.pupil_magnification,
        i.focus_distance_from_entrance_pupil_mm,
        "focus_distance_from_entrance_pupil_mm",
    )?;
    let image_distance_mm = i.focal_length_mm * (1.0 + m / i.pupil_magnification);
    let real_m = i.piece_distance_m;
    let apparent_m = real_m * i.piece_scale_denominator / i.scale_denominator;
    let missing_m = apparent_m - real_m;
    let product_m2 = real_m * apparent_m;
    let error = i.growth_error_fraction;
    let parting_m = if missing_m > 0.0 {
        missing_m + error * apparent_m
    } else {
        error * apparent_m - missing_m
    };
    let missing_optical_depth = i.extinction_per_m * missing_m;
    let (sideways_m, forward_m) = if missing_m == 0.0 {
        (f64::INFINITY, f64::INFINITY)
    } else {
        let slip_mm = i.slip_photosites * i.photosite_mm;
        (
            slip_mm / image_distance_mm * product_m2 / missing_m.abs(),
            error * product_m2 / parting_m,
        )
    };
    Ok(Forced {
        apparent_distance_m: apparent_m,
        story_distance_m: real_m * i.piece_scale_denominator,
        missing_optical_depth,
        contrast_excess_ratio: missing_optical_depth.exp(),
        sideways_move_m: OrInfinity(sideways_m),
        forward_move_m: OrInfinity(forward_m),
    })
}

fn forced_perspective_because(i: &ForcedPerspective, a: &Forced) -> String {
    let mm = |length_m: f64| found(length_m * MM_PER_M);
    format!(
        "{} × {} ÷ {} = {} m is where the piece seems to stand, {} m in the story. It keeps {} times the contrast that haze should leave it. The camera may move {} mm to a side and {} mm forward.",
        given(i.piece_distance_m),
        given(i.piece_scale_denominator),
        given(i.scale_denominator),
        found(a.apparent_distance_m),
        found(a.story_distance_m),
        found(a.contrast_excess_ratio),
        mm(a.sideways_move_m.0),
        mm(a.forward_move_m.0)
    )
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::Calculate;
    use proptest::prelude::*;

    fn piece(piece_scale_denominator: f64) -> Forced {
        ForcedPerspective {
            piece_distance_m: 2.0,
            piece_scale_denominator,
            scale_denominator: 24.0,
            extinction_per_m: 0.2,
            focal_length_mm: 35.0,
            focus_distance_from_entrance_pupil_mm: 1500.0,
            pupil_magnification: 1.0,
            photosite_mm: 0.0055,
            slip_photosites: 1.0,
            growth_error_fraction: 0.01,
        }
        .work()
        .expect("in range")
        .answer
    }

    #[test]
    fn a_piece_at_the_scale_of_the_set_lets_the_camera_move() {
        let same = piece(24.0);
        assert!(same.sideways_move_m.0.is_infinite() && same.forward_move_m.0.is_infinite());
        assert!((same.contrast_excess_ratio - 1.0).abs() < 1e-12);
    }

    proptest! {
        #[test]
        fn at_its_end_the_forward_move_errs_by_what_is_allowed(scale in 5.0..100.0_f64) {
            prop_assume!((scale - 24.0).abs() > 0.01);
            let found = piece(scale);
            let z = found.forward_move_m.0;
            let grown = |distance: f64| distance / (distance - z);
            prop_assert!(z > 0.0 && z < 2.0_f64.min(found.apparent_distance_m));
            let error = grown(2.0) / grown(found.apparent_distance_m) - 1.0;
            prop_assert!((error.abs() - 0.01).abs() < 1e-9);
        }
    }
}
