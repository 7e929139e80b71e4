//! Sharp from the mark, and the best stop for a range.

use crate::sums::{
    aims::Aim,
    ask::{Ask, Gap, Given, ask},
    quantity::Units,
    sum::{Came, Draws, Results, Sum},
};
use std::sync::OnceLock;
use stillair_calc::{
    Calculate, Worked,
    drawing::{
        scene::Unit,
        sum::sharp::{Stretch, sharp_stretch},
    },
    focus::{BestStop, DepthOfField, MagnificationFromMark},
    lens::EntrancePupilOffset,
};

pub static SHARP: Sum = Sum {
    slug: "sharp-from-the-mark",
    title: "Sharp from the mark",
    about: "Near and far limit of sharpness, both taped from the sensor mark.",
    aim: Aim::Sharp,
    words: "depth of field near far limit focus blur circle of confusion hyperfocal diffraction lens stop",
    make_asks: || lens_asks(true),
    kept_asks: OnceLock::new(),
    work: sharp,
};

pub static BEST_STOP: Sum = Sum {
    slug: "best-stop",
    title: "Best stop for a range",
    about: "The one stop and focus that hold everything between two distances as sharp as it can be.",
    aim: Aim::Sharp,
    words: "aperture diffraction depth of field hold both near far optimum f-number",
    make_asks: || {
        let mut asks = lens_asks(false);
        asks.insert(
            1,
            ask::<BestStop>("near_from_entrance_pupil_mm")
                .called("near_mm")
                .label("Nearest, from mark")
                .usually(700.0),
        );
        asks.insert(
            2,
            ask::<BestStop>("far_from_entrance_pupil_mm")
                .called("far_mm")
                .label("Farthest, from mark")
                .usually(1500.0),
        );
        asks
    },
    kept_asks: OnceLock::new(),
    work: best_stop,
};

fn lens_asks(with_focus: bool) -> Vec<Ask> {
    let mut asks = vec![ask::<DepthOfField>("focal_length_mm").label("Lens")];
    if with_focus {
        asks.extend([
            ask::<DepthOfField>("f_number")
                .label("Stop, f/")
                .usually(8.0),
            ask::<MagnificationFromMark>("focus_distance_from_sensor_mm")
                .label("Focus, from mark")
                .usually(900.0),
        ]);
    }
    asks.extend([
        ask::<DepthOfField>("permitted_blur_mm")
            .label("Blur that passes")
            .usually(0.011)
            .hint("Two photosites is usual."),
        ask::<DepthOfField>("pupil_magnification").label("Pupil ratio"),
        ask::<DepthOfField>("principal_plane_separation_mm").label("Principal gap"),
    ]);
    asks
}

type From<T> = Worked<<T as Calculate>::Answer>;

fn from_mark(g: &Given, mark_mm: f64) -> Result<From<MagnificationFromMark>, Gap> {
    Ok(MagnificationFromMark {
        focal_length_mm: g.get("focal_length_mm")?,
        focus_distance_from_sensor_mm: mark_mm,
        principal_plane_separation_mm: g.get("principal_plane_separation_mm")?,
        pupil_magnification: g.get("pupil_magnification")?,
    }
    .work()?)
}

fn depth(g: &Given) -> Result<(DepthOfField, From<DepthOfField>), Gap> {
    let taped = from_mark(g, g.get("focus_distance_from_sensor_mm")?)?;
    let depth = DepthOfField {
        focal_length_mm: g.get("focal_length_mm")?,
        f_number: g.get("f_number")?,
        permitted_blur_mm: g.get("permitted_blur_mm")?,
        focus_distance_from_entrance_pupil_mm: taped.focus_distance_from_entrance_pupil_mm,
        pupil_magnification: g.get("pupil_magnification")?,
        principal_plane_separation_mm: g.get("principal_plane_separation_mm")?,
        wavelength_nm: GREEN_NM,
    };
    let worked = depth.work()?;
    Ok((depth, worked))
}

/// Green light, where the eye sees best.
const GREEN_NM: f64 = 550.0;

fn stretch(g: &Given) -> Result<Stretch, Gap> {
    let (_, depth) = depth(g)?;
    let pupil_mm = depth.entrance_pupil_to_sensor_mm;
    let far = depth.far_from_entrance_pupil_mm.0;
    Ok(Stretch {
        pupil_mm,
        near_mm: depth.near_from_entrance_pupil_mm + pupil_mm,
        focus_mm: g.get("focus_distance_from_sensor_mm")?,
        far_mm: far.is_finite().then_some(far + pupil_mm),
        unit: unit(g.units),
    })
}

/// Units of the drawings.
pub fn unit(units: Units) -> Unit {
    match units {
        Units::Metric => Unit::Millimetre,
        Units::Feet => Unit::Inch,
    }
}

fn sharp(given: &Given) -> Results {
    let figures = vec![
        given.figure("near", "Near limit, from mark", "mm", |g| {
            let (depth, worked) = depth(g)?;
            Ok(Came::number(stretch(g)?.near_mm).because(&depth, &worked))
        }),
        given.figure("far", "Far limit, from mark", "mm", |g| {
            let far = stretch(g)?.far_mm;
            Ok(Came::number(far.unwrap_or(f64::INFINITY))
                .words("The limits above, with the pupil’s way ahead of the mark added."))
        }),
        given.figure("deep", "Sharp for", "mm", |g| {
            let s = stretch(g)?;
            Ok(match s.far_mm {
                Some(far) => Came::number(far - s.near_mm),
                None => Came::words_only("no end"),
            })
        }),
        given.figure("pupil", "Pupil, ahead of mark", "mm", |g| {
            let taped = from_mark(g, g.get("focus_distance_from_sensor_mm")?)?;
            let pupil = EntrancePupilOffset {
                focal_length_mm: g.get("focal_length_mm")?,
                magnification: taped.magnification,
                pupil_magnification: g.get("pupil_magnification")?,
                principal_plane_separation_mm: g.get("principal_plane_separation_mm")?,
            };
            let worked = pupil.work()?;
            Ok(Came::number(worked.entrance_pupil_ahead_of_sensor_mm)
                .because(&pupil, &worked)
                .words("Frame edges and sharpness open from here; tape from the mark."))
        }),
        given.figure("effective", "Works as, f/", "", |g| {
            Ok(Came::number(depth(g)?.1.effective_f_number)
                .words("Close focus makes the stop smaller than its mark."))
        }),
        given.figure("airy", "Diffraction alone blurs", "µm", |g| {
            let (_, depth) = depth(g)?;
            let blur_um = g.get("permitted_blur_mm")? * 1000.0;
            let airy_um = depth.airy_diameter_mm * 1000.0;
            let came = Came::number(airy_um);
            Ok(if airy_um > blur_um {
                came.over("Wider than the blur that passes: stopping down further only softens.")
            } else {
                came.words("Narrower than the blur that passes.")
            })
        }),
    ];
    Results {
        figures,
        drawing: stretch(given)
            .ok()
            .map(|s| -> Draws { Box::new(move |width| sharp_stretch(&s, width)) }),
        legend: "To scale. The dot is the entrance pupil, heavy lines the limits of sharpness, dashes the focus.",
        ..Results::default()
    }
}

fn best(g: &Given) -> Result<(BestStop, From<BestStop>, f64), Gap> {
    // where the pupil is depends on the focus, which depends on the pupil: two rounds settle it to a hundredth
    let (near, far) = (g.get("near_mm")?, g.get("far_mm")?);
    let mut focus_mm = 2.0 * near * far / (near + far);
    let mut pupil_mm = 0.0;
    let mut found = None;
    for _ in 0..6 {
        let taped = from_mark(g, focus_mm)?;
        pupil_mm = focus_mm - taped.focus_distance_from_entrance_pupil_mm;
        let stop = BestStop {
            focal_length_mm: g.get("focal_length_mm")?,
            near_from_entrance_pupil_mm: near - pupil_mm,
            far_from_entrance_pupil_mm: far - pupil_mm,
            pupil_magnification: g.get("pupil_magnification")?,
            wavelength_nm: GREEN_NM,
        };
        let worked = stop.work()?;
        focus_mm = worked.focus_from_entrance_pupil_mm + pupil_mm;
        found = Some((stop, worked));
    }
    found
        .map(|(stop, worked)| (stop, worked, pupil_mm))
        .ok_or_else(|| Gap::Impossible(String::new()))
}

fn best_stop(given: &Given) -> Results {
    let figures = vec![
        given.figure("stop", "Set the stop to, f/", "", |g| {
            let (stop, worked, _) = best(g)?;
            Ok(Came::number(worked.best_f_number).because(&stop, &worked))
        }),
        given.figure("focus", "Focus, from mark", "mm", |g| {
            let (_, worked, pupil_mm) = best(g)?;
            Ok(Came::number(worked.focus_from_entrance_pupil_mm + pupil_mm).words("Nearer than the middle: sharpness reaches farther behind than before."))
        }),
        given.figure("blur", "Blur at both ends", "µm", |g| {
            let (_, worked, _) = best(g)?;
            let blur_um = g.get("permitted_blur_mm")? * 1000.0;
            let came = Came::number(worked.total_blur_um);
            Ok(if worked.total_blur_um > blur_um {
                came.over("Wider than the blur that passes: no stop holds this range. Move back, shorten the range or shoot focus slices.")
            } else {
                came.words("Within the blur that passes.")
            })
        }),
        given.figure("share", "Of the blur that passes", "%", |g| {
            let (_, worked, _) = best(g)?;
            Ok(Came::number(worked.total_blur_um / (g.get("permitted_blur_mm")? * 10.0)))
        }),
    ];
    Results {
        figures,
        drawing: best_drawing(given).ok(),
        legend: "Total blur at the ends of the range against the stop: defocus falls, diffraction grows, and the lowest point is the best stop.",
        ..Results::default()
    }
}

fn best_drawing(g: &Given) -> Result<Draws, Gap> {
    use stillair_calc::drawing::sum::chart::{Axis, Chart, Curve, Level, Mark, sampled};
    let (_, best, _) = best(g)?;
    let (n0, blur) = (best.best_f_number, best.total_blur_um);
    let to = (n0 * 2.5).max(1.0);
    let blur_passes = g.get("permitted_blur_mm")? * 1000.0;
    let top = (blur * 2.4).max(blur_passes * 1.2);
    // both parts are equal at the best stop, each √½ of the whole; one falls as 1/N, the other grows as N
    let part = blur / std::f64::consts::SQRT_2;
    let total = |n: f64| ((part * n0 / n).powi(2) + (part * n / n0).powi(2)).sqrt();
    let from = n0 / 5.0;
    let chart = Chart {
        about: "Blur at both ends of the range against the stop".into(),
        x: Axis {
            name: "Stop, f/".into(),
            unit: String::new(),
            from: 0.0,
            to,
        },
        y: Axis::up_to("Blur", "µm", top),
        curves: vec![
            Curve {
                name: "defocus".into(),
                points: sampled(from, to, 60, |n| part * n0 / n),
                beside: true,
            },
            Curve {
                name: "diffraction".into(),
                points: sampled(0.0, to, 2, |n| part * n / n0),
                beside: true,
            },
            Curve {
                name: String::new(),
                points: sampled(from, to, 60, total),
                beside: false,
            },
        ],
        levels: vec![Level {
            y: blur_passes,
            name: "blur that passes".into(),
        }],
        marks: vec![Mark {
            x: n0,
            y: blur,
            name: format!("f/{}", stillair_calc::figure::significant(n0, 2)),
        }],
    };
    Ok(Box::new(move |width| chart.drawn(width)))
}
