//! Size, brightness and grain of a projected picture.

use crate::calculation::calculation;
use crate::fault::{Fault, FaultKind, Warnings};
use crate::figure::{carried, found, given};
use crate::scale_time::note_scale;

/// Photosites to a pixel between which the two rasters beat; common practice.
const MOIRE: std::ops::RangeInclusive<f64> = 1.5..=3.0;
/// Millimetres in a metre.
const MM_PER_M: f64 = 1e3;

calculation! { "projection";
    /// Size and light of a picture that is thrown square on.
    ///
    /// The flux spreads over the whole raster, also where the picture is black. The middle of real projectors is 10 to
    /// 20 % brighter than this mean (common practice). No eye in the beam near the lens, nobody in the throw; local
    /// rules for lasers.
    projector_image(ProjectorImage {
        /// Distance over width of the picture.
        throw_ratio: f64 = Above(0.0); usual 1.5,
        /// Distance of the lens from the surface.
        throw_distance_m: f64 = Above(0.0); usual 3.0,
        /// Width of the picture over its height.
        aspect: f64 = Above(0.0); usual 1.778,
        /// Light of the projector.
        luminous_flux_lm: f64 = Above(0.0); usual 5000.0,
        /// Share of light that filters before the lens let through.
        filter_transmittance: f64 = AboveUpTo(0.0, 1.0); default 1.0,
    }) -> Picture {
        /// Width of the picture.
        image_width_m: f64,
        /// Height of the picture.
        image_height_m: f64,
        /// Illuminance of a white picture, in the mean.
        illuminance_lx: f64,
    }
    because "{luminous_flux_lm} × {filter_transmittance} × {aspect} × {throw_ratio}^2 ÷ {throw_distance_m}^2 = {illuminance_lx} lx, over {image_width_m} m by {image_height_m} m"
    source "definitions of throw ratio and illuminance", Confirmed

    /// Light and shape of a picture on a surface that is tilted about the horizontal.
    ///
    /// With B = tan ϑ ÷ (2 × throw ratio × aspect) the edges have E cos ϑ (1 ± B)³ and the widths W/(1 ± B), the near edge
    /// with plus. From B = 1 on the far edge never lands, which is refused. No eye in the beam near the lens, nobody in
    /// the throw; local rules for lasers.
    oblique_projection(ObliqueProjection {
        /// Distance over width of the picture.
        throw_ratio: f64 = Above(0.0); usual 1.5,
        /// Distance of the lens from the surface, along the middle.
        throw_distance_m: f64 = Above(0.0); usual 3.0,
        /// Width of the picture over its height.
        aspect: f64 = Above(0.0); usual 1.778,
        /// Light of the projector.
        luminous_flux_lm: f64 = Above(0.0); usual 5000.0,
        /// Tilt of the surface from square on.
        surface_tilt_deg: f64 = Between(0.0, 90.0); usual 30.0,
    }) -> ObliquePicture {
        /// Illuminance in the middle.
        centre_illuminance_lx: f64,
        /// Illuminance at the nearer edge.
        near_edge_illuminance_lx: f64,
        /// Illuminance at the farther edge.
        far_edge_illuminance_lx: f64,
        /// Width at the nearer edge.
        near_edge_width_m: f64,
        /// Width at the farther edge.
        far_edge_width_m: f64,
        /// Length of the picture along the surface.
        length_along_surface_m: f64,
        /// Width of the farther edge over the nearer.
        keystone_ratio: f64,
    }
    because oblique_projection_because
    source "central projection of an even raster, agreed by a map of rays", Confirmed

    /// Size of a projected pixel on the model and in the story, and whether the camera sees it.
    ///
    /// Less than one photosite each melts away; 1.5 to 3 beat with the sensor's own raster (`moire_zone`); more show as
    /// squares: put the projector out of focus by about a pixel.
    pixel_in_story(PixelInStory {
        /// Width of the picture.
        image_width_m: f64 = Above(0.0); usual 2.0,
        /// Pixels across it.
        pixels_across: f64 = Above(0.0); usual 1920.0,
        /// How many times smaller the model is.
        scale_denominator: f64 = Above(0.0); usual 24.0,
        /// Angle of the light from straight on.
        incidence_deg: f64 = FromBelow(0.0, 90.0); default 0.0; usual 30.0,
        /// Image size over object size.
        magnification: f64 = Above(0.0); usual 0.03,
        /// Pitch of the photosites.
        photosite_mm: f64 = Above(0.0); usual 0.0055,
    }) -> Pixel {
        /// Size on the model, square on.
        pixel_mm: f64,
        /// Size in the story, square on.
        pixel_story_mm: f64,
        /// Size in the story along the slope.
        pixel_story_mm_oblique: f64,
        /// Photosites to each pixel.
        photosites_per_pixel: f64,
    }
    because "1000 × {image_width_m} ÷ {pixels_across} × {magnification} ÷ {photosite_mm} = {photosites_per_pixel} photosites to each pixel, which is {pixel_story_mm} mm in the story, {pixel_story_mm_oblique} mm along the slope"
    source "ratio of lengths; edges of the zones: common practice", Confirmed
}

fn projector_image(i: &ProjectorImage, _: &mut Warnings) -> Picture {
    let image_width_m = i.throw_distance_m / i.throw_ratio;
    let image_height_m = image_width_m / i.aspect;
    Picture {
        image_width_m,
        image_height_m,
        illuminance_lx: i.luminous_flux_lm * i.filter_transmittance
            / image_width_m
            / image_height_m,
    }
}

/// Slope of the surface over half the picture's height.
fn slant(i: &ObliqueProjection) -> f64 {
    i.surface_tilt_deg.to_radians().tan() / (2.0 * i.throw_ratio * i.aspect)
}

fn oblique_projection(i: &ObliqueProjection, _: &mut Warnings) -> Result<ObliquePicture, Fault> {
    let slant = slant(i);
    if slant >= 1.0 {
        let problem = "The picture cannot land: at this tilt its far edge never meets the surface.";
        return Err(Fault::new(
            "surface_tilt_deg",
            FaultKind::NoRealGeometry,
            problem,
        ));
    }
    let width_m = i.throw_distance_m / i.throw_ratio;
    let height_m = width_m / i.aspect;
    let across = i.surface_tilt_deg.to_radians().cos();
    let centre_lx = i.luminous_flux_lm / width_m / height_m * across;
    Ok(ObliquePicture {
        centre_illuminance_lx: centre_lx,
        near_edge_illuminance_lx: centre_lx * (1.0 + slant).powi(3),
        far_edge_illuminance_lx: centre_lx * (1.0 - slant).powi(3),
        near_edge_width_m: width_m / (1.0 + slant),
        far_edge_width_m: width_m / (1.0 - slant),
        length_along_surface_m: height_m / (across * (1.0 - slant) * (1.0 + slant)),
        keystone_ratio: (1.0 + slant) / (1.0 - slant),
    })
}

fn oblique_projection_because(i: &ObliqueProjection, a: &ObliquePicture) -> String {
    format!(
        "{} × {} × {}^2 ÷ {}^2 × cos({}°) × (1 + {})^3 = {} lx at the nearer edge, where the last number is the slope. In the middle it is {} lx and at the farther edge {} lx.",
        given(i.luminous_flux_lm),
        given(i.aspect),
        given(i.throw_ratio),
        given(i.throw_distance_m),
        carried(i.surface_tilt_deg),
        carried(slant(i)),
        found(a.near_edge_illuminance_lx),
        found(a.centre_illuminance_lx),
        found(a.far_edge_illuminance_lx)
    )
}

fn pixel_in_story(i: &PixelInStory, warnings: &mut Warnings) -> Pixel {
    note_scale(i.scale_denominator, warnings);
    let pixel_mm = i.image_width_m * MM_PER_M / i.pixels_across;
    let pixel_story_mm = pixel_mm * i.scale_denominator;
    let photosites_per_pixel = pixel_mm * i.magnification / i.photosite_mm;
    warnings.add_if(MOIRE.contains(&photosites_per_pixel), "moire_zone");
    Pixel {
        pixel_mm,
        pixel_story_mm,
        pixel_story_mm_oblique: pixel_story_mm / i.incidence_deg.to_radians().cos(),
        photosites_per_pixel,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::Calculate;
    use proptest::prelude::*;

    fn tilted(surface_tilt_deg: f64) -> Result<crate::Worked<ObliquePicture>, Vec<Fault>> {
        ObliqueProjection {
            throw_ratio: 1.5,
            throw_distance_m: 3.0,
            aspect: 1.6,
            luminous_flux_lm: 5000.0,
            surface_tilt_deg,
        }
        .work()
    }

    #[test]
    fn an_edge_that_never_lands_is_refused() {
        for tilt in [80.0, 90.0] {
            assert_eq!(
                tilted(tilt).expect_err("refused")[0].kind,
                FaultKind::NoRealGeometry
            );
        }
        assert_eq!(
            tilted(-1.0).expect_err("refused")[0].kind,
            FaultKind::OutOfRange
        );
    }

    #[test]
    fn the_rasters_beat_between_one_and_a_half_and_three() {
        let doubts = |pixels_across| {
            PixelInStory {
                image_width_m: 1.0,
                pixels_across,
                scale_denominator: 24.0,
                incidence_deg: 0.0,
                magnification: 0.01,
                photosite_mm: 0.005,
            }
            .work()
            .expect("in range")
            .warnings
        };
        assert!(doubts(1400.0).is_empty());
        assert_eq!(doubts(1000.0), ["moire_zone"]);
        assert!(doubts(600.0).is_empty());
    }

    proptest! {
        #[test]
        fn a_tilted_picture_holds_all_the_light(tilt in 0.0..65.0_f64) {
            // light over the surface, summed along it: rows at equal steps of the raster
            let picture = tilted(tilt).expect("in range");
            let slant = tilt.to_radians().tan() / (2.0 * 1.5 * 1.6);
            let rows = 2000;
            let flux: f64 = (0..rows).map(|row| {
                let across = (f64::from(row) + 0.5) / f64::from(rows) * 2.0 - 1.0;
                let stretch = 1.0 - across * slant;
                let lx = picture.centre_illuminance_lx * stretch.powi(3);
                // width, and length of a row along the surface: derivative of its position
                let width_m = 2.0 / stretch;
                let length_m = 1.25 / f64::from(rows) / tilt.to_radians().cos() / stretch.powi(2);
                lx * width_m * length_m
            }).sum();
            prop_assert!((flux / 5000.0 - 1.0).abs() < 1e-6);
        }
    }
}
