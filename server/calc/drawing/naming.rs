//! Which rings a setup's drawing wants, and where on each thing or part its dot may stand.

use super::elevation;
use super::plan::Stage;
use super::ring::Request;
use super::scene::{Kind, ModelPath, Part, Thing};
use super::shape::{Point, Rect, at};

/// Rings wanted in plan and in elevation, as many as the form takes.
pub(crate) fn requests(stage: &Stage) -> (Vec<Request>, Vec<Request>) {
    let scene = stage.scene;
    let things = scene.things.iter().filter_map(|thing| {
        Some((
            thing.ring?,
            thing_dots(stage, thing),
            thing.kind == Kind::Projector,
        ))
    });
    let parts = scene.references.iter().map(|reference| {
        let (dots, upright) = part_dots(stage, reference.part);
        (reference.ring, dots, upright)
    });
    let mut wanted: Vec<_> = parts
        .chain(things)
        .filter(|(_, dots, _)| !dots.is_empty())
        .collect();
    let rank = |number: u32| {
        scene
            .first_rings
            .iter()
            .position(|first| *first == number)
            .unwrap_or(usize::MAX)
    };
    wanted.sort_by_key(|(number, ..)| (rank(*number), *number));
    wanted.dedup_by_key(|(number, ..)| *number);
    wanted.truncate(stage.form.rings());
    let (mut above, mut beside) = (Vec::new(), Vec::new());
    for (number, dots, upright) in wanted {
        let into = if upright { &mut beside } else { &mut above };
        into.push(Request { number, dots });
    }
    (above, beside)
}

/// Where a thing's dot may stand: its middle, then toward its corners.
fn thing_dots(stage: &Stage, thing: &Thing) -> Vec<Point> {
    if thing.kind == Kind::Projector {
        let middle = thing.middle();
        let dot = stage.fit.upright(middle.x_mm, middle.z_mm);
        return if stage.fit.elevation.grown(1.0).holds(&spot(dot)) {
            vec![dot]
        } else {
            Vec::new()
        };
    }
    let middle = stage.fit.plan(thing.place.x_mm, thing.place.y_mm);
    let corners = thing.footprint().map(|corner| {
        let corner = stage.fit.plan(corner.x_mm, corner.y_mm);
        at(
            middle.x + 0.7 * (corner.x - middle.x),
            middle.y + 0.7 * (corner.y - middle.y),
        )
    });
    std::iter::once(middle)
        .chain(corners)
        .filter(|dot| stage.fit.plan.grown(1.0).holds(&spot(*dot)))
        .collect()
}

fn spot(point: Point) -> Rect {
    Rect::about(point, 0.0)
}

/// Where the dot of a part may stand, and whether in elevation.
fn part_dots(stage: &Stage, part: Part) -> (Vec<Point>, bool) {
    let (fit, scene) = (stage.fit, stage.scene);
    let shares = |line: Option<(Point, Point)>, shares: [f64; 4]| {
        line.map_or_else(Vec::new, |(from, to)| {
            shares
                .map(|share| {
                    at(
                        from.x + share * (to.x - from.x),
                        from.y + share * (to.y - from.y),
                    )
                })
                .to_vec()
        })
    };
    let on_plane = |distance_mm: Option<f64>| {
        shares(
            distance_mm.and_then(|mm| stage.across(mm)),
            [0.08, 0.92, 0.2, 0.8],
        )
    };
    let dots = match part {
        Part::Camera => vec![
            fit.plan(stage.view.floor_x_mm(stage.view.pupil_mm()), 0.0),
            fit.plan(0.0, 0.0),
        ],
        Part::NearLimit => on_plane(scene.limits.map(|limits| limits.near_mm)),
        Part::FarLimit => on_plane(scene.limits.and_then(|limits| limits.far_mm)),
        Part::Focus => on_plane(scene.focus_mm),
        Part::WaterEnd => {
            let x_mm = scene
                .water_end_mm
                .map(|end_mm| stage.view.floor_x_mm(end_mm))
                .filter(|x_mm| fit.shows(*x_mm));
            let line = x_mm.map(|x_mm| {
                (
                    at(fit.x(x_mm), fit.plan.y),
                    at(fit.x(x_mm), fit.plan.bottom()),
                )
            });
            shares(line, [0.8, 0.2, 0.7, 0.3])
        }
        Part::Path => {
            let along = |share: f64, path: &ModelPath| {
                let place = path.along(share * path.length_mm());
                fit.plan(place.x_mm, place.y_mm)
            };
            scene
                .path
                .as_ref()
                .map_or_else(Vec::new, |path| vec![along(0.8, path), along(0.2, path)])
        }
        Part::Wires => {
            let wire = scene
                .path
                .as_ref()
                .filter(|path| path.rail.is_some())
                .map(|path| elevation::wires(stage, path)[0]);
            return (shares(wire, [0.5, 0.7, 0.3, 0.6]), true);
        }
    };
    let window = fit.plan.grown(1.0);
    (
        dots.into_iter()
            .filter(|dot| window.holds(&spot(*dot)))
            .collect(),
        false,
    )
}
