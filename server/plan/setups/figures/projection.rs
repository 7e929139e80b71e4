//! Projection: size, light and grain of what is thrown on the set, and the waves it pretends.

use super::{
    Told, common, figure,
    further::{BlankOf, Further, of, of_setup},
    light, step, time,
};
use crate::{
    journal::record::Entry,
    plan::{
        setups::{
            facts::{Facts, Gap},
            standing::Standing,
        },
        stores::kit::Projector,
    },
    web::parts::Figure,
};
use stillair_calc::{
    Calculate as _, Worked,
    figure::{found, given, significant},
    flicker::ProjectedElement,
    projection::{
        CausticCell, ObliqueProjection, PatternAtScale, PixelInStory, ProjectorImage,
        projector::{Picture, Pixel},
    },
};

/// The ledger.
pub const LEDGER: Further = Further {
    id: "projection",
    title: "Projection",
    closed: "nothing is projected",
    needed: |facts| facts.things.iter().any(|t| t.is("projector")),
    openers: &["wave_length_m"],
    blanks,
    figures: ledger,
};

fn blanks<'a>(facts: &Facts<'a>) -> Vec<BlankOf<'a>> {
    let stored = facts.things_of("projector").find_map(|t| t.projector);
    [
        of_setup(facts, &["wave_length_m", "wave_slope", "wave_depth_m"]),
        of(
            stored,
            &[
                "throw_ratio",
                "aspect",
                "flux_lm",
                "pixels_across",
                "refresh_hz",
            ],
        ),
    ]
    .concat()
}

/// The projector that stands here, with what it is in stores.
fn projector<'f, 'a>(
    facts: &'f Facts<'a>,
) -> Result<(&'f Standing<'a>, &'a Entry<Projector>), Gap> {
    let standing = facts
        .things_of("projector")
        .next()
        .ok_or_else(|| Gap::Impossible("Put a projector on the table first.".into()))?;
    let stored = standing.projector.ok_or_else(|| Gap::Missing {
        blank: format!("row-{}", standing.entry.id),
        label: "Projector in stores",
    })?;
    Ok((standing, stored))
}

fn throw_m(facts: &Facts<'_>) -> Result<f64, Gap> {
    let (standing, _) = projector(facts)?;
    Ok(facts.number_of(standing.entry, "throw_mm")? / 1000.0)
}

/// How far the table leans from square-on to the throw.
fn slant_deg(standing: &Standing<'_>) -> f64 {
    (standing.entry.tilt_deg.unwrap_or(0.0) + 90.0).clamp(0.0, 90.0)
}

fn image(facts: &Facts<'_>) -> Result<Worked<Picture>, Gap> {
    let (_, stored) = projector(facts)?;
    Ok(ProjectorImage {
        throw_ratio: facts.number_of(stored, "throw_ratio")?,
        throw_distance_m: throw_m(facts)?,
        aspect: facts.number_of(stored, "aspect")?,
        luminous_flux_lm: facts.number_of(stored, "flux_lm")?,
        filter_transmittance: 1.0,
    }
    .work()?)
}

/// A pixel of the projector on the set, as the camera and as the story see it.
///
/// # Errors
/// What is not written.
pub fn pixel(facts: &Facts<'_>) -> Result<Worked<Pixel>, Gap> {
    let (standing, stored) = projector(facts)?;
    let from = standing.place();
    // Where it lands: along the throw from the projector.
    let (sin_p, cos_p) = standing
        .entry
        .tilt_deg
        .unwrap_or(0.0)
        .to_radians()
        .sin_cos();
    let (sin_h, cos_h) = standing
        .entry
        .heading_deg
        .unwrap_or(0.0)
        .to_radians()
        .sin_cos();
    let throw_mm = throw_m(facts)? * 1000.0;
    let lands = stillair_calc::drawing::scene::Place {
        x_mm: from.x_mm + throw_mm * cos_p * cos_h,
        y_mm: from.y_mm + throw_mm * cos_p * sin_h,
        z_mm: from.z_mm + throw_mm * sin_p,
    };
    let depth_mm = common::depth_mm(facts, lands)?;
    Ok(PixelInStory {
        image_width_m: image(facts)?.image_width_m,
        pixels_across: facts.number_of(stored, "pixels_across")?,
        scale_denominator: facts.get("scale_denominator")?,
        incidence_deg: slant_deg(standing).min(89.0),
        magnification: common::magnification_at(facts, depth_mm)?,
        photosite_mm: common::photosite_mm(facts)?,
    }
    .work()?)
}

/// The number of the projector.
pub fn ring(facts: &Facts<'_>) -> String {
    facts
        .things_of("projector")
        .next()
        .map(|t| t.ring.to_string())
        .unwrap_or_default()
}

fn ledger(facts: &Facts<'_>) -> Vec<Figure> {
    let ring = ring(facts);
    let mut all = vec![
        figure(
            facts,
            "throw-width",
            &ring,
            "Picture on the set",
            "mm wide",
            |f| {
                let worked = image(f)?;
                let words = format!(
                    "{} mm the other way, square-on.",
                    found((worked.image_height_m * 1000.0).round())
                );
                Ok(Told::by(
                    found((worked.image_width_m * 1000.0).round()),
                    &worked,
                    words,
                ))
            },
        ),
        figure(
            facts,
            "throw-lux",
            &ring,
            "Projected light",
            "lx",
            projected_light,
        ),
        figure(facts, "pixel", &ring, "A pixel on the set", "mm", |f| {
            let worked = pixel(f)?;
            let n = worked.photosites_per_pixel;
            let grain = if n < 1.0 {
                "finer than the camera sees"
            } else if n <= 3.0 {
                "near the camera’s own grid: moiré threatens; defocus the projector by about a pixel"
            } else {
                "squares show; defocus the projector by about a pixel"
            };
            let words = format!(
                "{} mm in the story, {} photosites: {grain}.",
                significant(worked.pixel_story_mm_oblique, 2),
                significant(n, 2)
            );
            Ok(Told::by(significant(worked.pixel_mm, 2), &worked, words))
        }),
        figure(facts, "playback", &ring, "Play it", "× as fast", |f| {
            let (_, stored) = projector(f)?;
            let worked = ProjectedElement {
                shoot_fps: f.get("shoot_fps")?,
                base_fps: f.base_fps(),
                projector_hz: f.number_of(stored, "refresh_hz")?,
                clip_screen_seconds: f.get("length_frames")? / f.base_fps(),
            }
            .work()?;
            let words = format!(
                "Made at story speed. {} camera frames to a picture of it; {} new pictures a second reach the screen.",
                significant(worked.camera_frames_per_projector_frame, 3),
                significant(worked.fresh_images_per_screen_second, 3)
            );
            Ok(Told::by(
                significant(worked.playback_speed, 3),
                &worked,
                words,
            ))
        }),
    ];
    all.extend(waves(facts, &ring));
    all
}

/// Light of the projector against the key.
fn projected_light(facts: &Facts<'_>) -> Result<Told, Gap> {
    let (standing, stored) = projector(facts)?;
    let slant = slant_deg(standing);
    let (lux, mut told) = if slant < 0.5 {
        let worked = image(facts)?;
        let lux = worked.illuminance_lx;
        let sum = format!(
            "{} ÷ ({} × {}) = {}",
            given(facts.number_of(stored, "flux_lm")?),
            step(worked.image_width_m),
            step(worked.image_height_m),
            found(lux)
        );
        (lux, Told::new(found(lux), sum, "", worked.source))
    } else {
        let worked = ObliqueProjection {
            throw_ratio: facts.number_of(stored, "throw_ratio")?,
            throw_distance_m: throw_m(facts)?,
            aspect: facts.number_of(stored, "aspect")?,
            luminous_flux_lm: facts.number_of(stored, "flux_lm")?,
            surface_tilt_deg: slant,
        }
        .work()?;
        let lux = worked.centre_illuminance_lx;
        (lux, Told::by(found(lux), &worked, ""))
    };
    told.words = match light::key_lx(facts) {
        Ok(key) => format!(
            "{} stops against the key of {} lx, before the haze takes its share.",
            significant((lux / key).log2(), 2),
            found(key)
        ),
        Err(_) => "Mean of an even picture, before the haze takes its share.".into(),
    };
    Ok(told)
}

fn waves(facts: &Facts<'_>, ring: &str) -> Vec<Figure> {
    vec![
        figure(facts, "wave-stage", ring, "Wave on the stage", "mm", |f| {
            let worked = PatternAtScale {
                story_wavelength_m: f.get("wave_length_m")?,
                story_depth_m: f.get("wave_depth_m")?,
                scale_denominator: f.get("scale_denominator")?,
                rate_factor_k: time::rate_factor_k(f)?,
            }
            .work()?;
            let (wave, scale) = (f.get("wave_length_m")?, f.get("scale_denominator")?);
            let shown = significant(worked.model_wavelength_m * 1000.0, 3);
            let words = format!(
                "Comes round every {} s on the stage and runs at {} mm/s; on the screen every {} s.",
                significant(worked.stage_period_s, 3),
                significant(worked.stage_speed_mps * 1000.0, 3),
                significant(worked.screen_period_s, 3)
            );
            Ok(Told::new(
                shown.clone(),
                format!("{} × 1000 ÷ {} = {shown}", given(wave), given(scale)),
                words,
                worked.source,
            ))
        }),
        figure(
            facts,
            "caustic",
            ring,
            "Cells of light on the floor",
            "m, full size",
            |f| {
                let worked = CausticCell {
                    story_depth_m: f.get("wave_depth_m")?,
                    wave_slope: f.get("wave_slope")?,
                    refractive_index: 1.333,
                }
                .work()?;
                let cell = worked.wavelength_focusing_on_floor_m;
                let words = format!(
                    "Waves of that length focus on the floor: draw cells {} mm across on the set.",
                    significant(cell * 1000.0 / f.get("scale_denominator")?, 2)
                );
                Ok(Told::by(significant(cell, 2), &worked, words))
            },
        ),
    ]
}
