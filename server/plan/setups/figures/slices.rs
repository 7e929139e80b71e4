//! Focus slices and tilt, when one exposure cannot hold the depth.

use super::{
    Told, common, figure,
    further::{BlankOf, Further, of_setup},
    lens,
};
use crate::{
    plan::setups::facts::{Facts, Gap},
    web::parts::Figure,
};
use stillair_calc::{
    Calculate as _, Worked,
    figure::{fixed, found, significant},
    focus::{BestStop, FocusSlices, TiltForTable, stop::BestStopFound, stop::Slices},
};

/// The ledger.
pub const LEDGER: Further = Further {
    id: "slices",
    title: "Focus slices and tilt",
    closed: "one exposure holds the depth",
    needed,
    openers: &[],
    blanks: |facts| -> Vec<BlankOf<'_>> { of_setup(facts, &["slice_overlap"]) },
    figures: ledger,
};

/// One exposure at this stop cannot hold the pieces that must be sharp, or slices are what the pass is for.
fn needed(facts: &Facts<'_>) -> bool {
    slices(facts).is_ok_and(|s| s.slices > 1) || facts.pass.is_some_and(|p| &*p.element == "slice")
}

/// Nearest and farthest piece from the pupil.
fn ends(facts: &Facts<'_>) -> Result<(lens::Optics, f64, f64), Gap> {
    let o = lens::optics(facts)?;
    let near = facts.get("nearest_piece_mm")? - o.pupil_from_mark_mm;
    let far = facts.get("farthest_piece_mm")? - o.pupil_from_mark_mm;
    Ok((o, near, far))
}

fn best(facts: &Facts<'_>) -> Result<Worked<BestStopFound>, Gap> {
    let (o, near, far) = ends(facts)?;
    Ok(BestStop {
        focal_length_mm: o.focal_length_mm,
        near_from_entrance_pupil_mm: near,
        far_from_entrance_pupil_mm: far,
        pupil_magnification: o.pupil_magnification,
        wavelength_nm: 550.0,
    }
    .work()?)
}

fn slices(facts: &Facts<'_>) -> Result<Worked<Slices>, Gap> {
    let (o, near, far) = ends(facts)?;
    Ok(FocusSlices {
        focal_length_mm: o.focal_length_mm,
        f_number: o.f_number,
        permitted_defocus_blur_mm: o.blur_line_mm,
        near_from_entrance_pupil_mm: near,
        far_from_entrance_pupil_mm: far,
        pupil_magnification: o.pupil_magnification,
        overlap_fraction: facts.get("slice_overlap")?,
    }
    .work()?)
}

fn ledger(facts: &Facts<'_>) -> Vec<Figure> {
    vec![
        figure(
            facts,
            "blur-floor",
            "5",
            "Best one exposure blurs",
            "µm",
            |f| {
                let worked = best(f)?;
                let line = lens::blur_line_mm(f)? * 1000.0;
                let words = format!(
                    "At f/{}; the line is {} µm. No stop does better over this depth.",
                    significant(worked.best_f_number, 2),
                    significant(line, 3)
                );
                Ok(Told::by(
                    significant(worked.total_blur_um, 3),
                    &worked,
                    words,
                ))
            },
        ),
        figure(facts, "slices", "", "Slices at this stop", "", |f| {
            let (o, worked) = (lens::optics(f)?, slices(f)?);
            let places: Vec<_> = worked
                .focus_distances_mm
                .iter()
                .map(|mm| {
                    if mm.0.is_finite() {
                        found((mm.0 + o.pupil_from_mark_mm).round())
                    } else {
                        "infinity".into()
                    }
                })
                .collect();
            let words = format!(
                "Focus, from the mark: {} mm. Camera, model and haze must hold still: haze that moves between them shows as bands, so stack the set clean and add the haze as its own pass.",
                places.join(", ")
            );
            Ok(Told::new(
                worked.slices.to_string(),
                "",
                words,
                worked.source,
            ))
        }),
        figure(
            facts,
            "table-tilt",
            "",
            "Lens tilt that lays focus on the table",
            "°",
            |f| {
                let (o, height) = (lens::optics(f)?, f.get("camera_height_mm")?);
                let worked = TiltForTable {
                    focal_length_mm: o.focal_length_mm,
                    lens_height_above_table_mm: height,
                }
                .work()?;
                // Half the wedge at the farthest piece: z J N c ÷ (f A).
                let (_, _, far) = ends(f)?;
                let wedge = far * height * o.f_number * o.blur_line_mm
                    / (o.focal_length_mm * worked.lens_to_sensor_mm);
                let words = format!(
                    "Sensor upright. At the farthest piece {} mm above the table stays sharp; what stands taller goes soft.",
                    found(wedge.round())
                );
                Ok(Told::by(fixed(worked.tilt_deg, 1), &worked, words))
            },
        ),
        figure(
            facts,
            "depth-held",
            "",
            "Depth held by one exposure",
            "mm",
            |f| {
                let o = lens::optics(f)?;
                let Some(far) = o.far_mm else {
                    return Ok(Told::new("to infinity", "", "From the near limit on.", ""));
                };
                let shown = found((far - o.near_mm).round());
                let sum = format!(
                    "{} − {} = {shown}",
                    super::step(far),
                    super::step(o.near_mm)
                );
                let photosites = common::photosite_mm(f).map(|p| o.blur_line_mm / p);
                let words = photosites.map_or_else(
                    |_| String::new(),
                    |n| format!("To a blur of {} photosites.", significant(n, 2)),
                );
                Ok(Told::new(shown, sum, words, ""))
            },
        ),
    ]
}
