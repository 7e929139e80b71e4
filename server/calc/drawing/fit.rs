//! One scale for plan and elevation, and where each stands on the drawing.

use super::figure::nice_step;
use super::scene::{Place, Scene};
use super::shape::{Point, Rect, at};
use super::view::View;

/// The form a drawing takes.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Form {
    /// For a desk: 640 units, everything shown.
    Wide,
    /// For a phone: 360 units shown at their own size, fewer rings and dimensions.
    Narrow,
    /// For the wall: 480 units shown about 105 mm wide, everything shown, letters large enough in print.
    Paper,
}

impl Form {
    /// Width in drawing units.
    pub const fn width(self) -> f64 {
        match self {
            Form::Wide => 640.0,
            Form::Narrow => 360.0,
            Form::Paper => 480.0,
        }
    }

    /// Most number rings.
    pub(crate) const fn rings(self) -> usize {
        match self {
            Form::Wide => 26,
            Form::Narrow => 6,
            Form::Paper => 16,
        }
    }

    /// Whether names and every dimension are written.
    pub(crate) const fn full(self) -> bool {
        !matches!(self, Form::Narrow)
    }

    /// Space left of the drawings, for the height dimension.
    const fn left(self) -> f64 {
        if self.full() { 40.0 } else { 22.0 }
    }
}

/// Space right of the drawings.
const RIGHT: f64 = 8.0;
/// Space above the plan, for its caption.
const TOP: f64 = 26.0;
/// Between plan and elevation: caption and scale bar.
const GAP: f64 = 48.0;
/// Tallest plan and elevation, as a share of the width.
const TALLEST: (f64, f64) = (0.72, 0.46);
/// A far limit or water's end is brought into the drawing when it lies within this many times what stands there.
const WORTH_SHOWING: f64 = 1.3;
/// Most of a tent that is shown, as a share of the depth of what stands there.
const TENT_SHARE: f64 = 2.0;
/// Least distance shown, in millimetres.
const LEAST_SPAN_MM: f64 = 900.0;

/// What has to be seen, in stage millimetres.
#[derive(Clone, Copy, Debug)]
#[expect(clippy::struct_field_names, reason = "each names its unit")]
struct Extent {
    start_mm: f64,
    end_mm: f64,
    half_width_mm: f64,
    bottom_mm: f64,
    top_mm: f64,
}

impl Extent {
    fn take_in(&mut self, place: Place) {
        self.start_mm = self.start_mm.min(place.x_mm);
        self.end_mm = self.end_mm.max(place.x_mm);
        self.half_width_mm = self.half_width_mm.max(place.y_mm.abs());
        self.bottom_mm = self.bottom_mm.min(place.z_mm);
        self.top_mm = self.top_mm.max(place.z_mm);
    }
}

/// Everything the scene holds that has a size, without the frame and without what may run off the drawing.
fn solids(scene: &Scene, view: &View) -> Extent {
    let height_mm = scene.camera.height_mm;
    let mut extent = Extent {
        start_mm: -100.0,
        end_mm: scene.camera.pupil_mm.max(0.0),
        half_width_mm: 120.0,
        bottom_mm: (height_mm - 90.0).min(0.0),
        top_mm: height_mm + 150.0,
    };
    let mut point = |x_mm: f64, y_mm: f64, z_mm: f64| extent.take_in(Place { x_mm, y_mm, z_mm });
    if let Some(table) = scene.table {
        point(table.near_edge_mm, table.width_mm / 2.0, 0.0);
        point(table.near_edge_mm + table.length_mm, 0.0, 0.0);
    }
    for distance_mm in [scene.focus_mm, scene.limits.map(|limits| limits.near_mm)]
        .into_iter()
        .flatten()
    {
        let (x_mm, z_mm) = view.upright_mm(distance_mm, 0.0);
        point(x_mm, 0.0, z_mm);
    }
    if let Some(path) = scene.path {
        for place in [path.along(0.0), path.along(path.length_mm())] {
            point(place.x_mm, place.y_mm, place.z_mm);
        }
        if let Some(rail) = path.rail {
            for place in [
                path.along(-rail.run_up_mm),
                path.along(path.length_mm() + rail.run_out_mm),
            ] {
                point(place.x_mm, place.y_mm, rail.height_mm);
            }
        }
    }
    for thing in &scene.things {
        for corner in thing.footprint() {
            point(corner.x_mm, corner.y_mm, corner.z_mm);
            point(corner.x_mm, corner.y_mm, corner.z_mm + thing.size.height_mm);
        }
    }
    extent
}

fn extent(scene: &Scene, view: &View) -> Extent {
    let mut seen = solids(scene, view);
    if let Some(tent) = scene.tent {
        // A tent much larger than what stands in it runs off the drawing rather than shrink the rest to nothing.
        let most_mm = TENT_SHARE * seen.end_mm.max(LEAST_SPAN_MM);
        seen.start_mm = seen.start_mm.min(tent.start_mm.max(-most_mm / 2.0));
        seen.end_mm = seen.end_mm.max(tent.end_mm.min(most_mm));
        seen.half_width_mm = seen
            .half_width_mm
            .max((tent.width_mm / 2.0).min(most_mm / 2.0));
    }
    if seen.end_mm - seen.start_mm < LEAST_SPAN_MM {
        seen.end_mm = seen.start_mm + LEAST_SPAN_MM;
    }
    let standing_mm = seen.end_mm;
    let beyond = [
        scene.limits.and_then(|limits| limits.far_mm),
        scene.water_end_mm,
    ];
    for distance_mm in beyond.into_iter().flatten() {
        let x_mm = view.floor_x_mm(distance_mm);
        if x_mm <= standing_mm * WORTH_SHOWING {
            seen.end_mm = seen.end_mm.max(x_mm * 1.02);
        }
    }
    let span_mm = seen.end_mm - seen.start_mm;
    seen.half_width_mm = seen
        .half_width_mm
        .max(view.half_width_mm(seen.end_mm).min(0.3 * span_mm))
        * 1.05;
    let frame_top_mm = view.upright_mm(seen.end_mm, 1.0).1;
    seen.top_mm = seen.top_mm.max(frame_top_mm.min(0.34 * span_mm)) * 1.03;
    if let Some(tent) = scene.tent {
        seen.top_mm = seen.top_mm.max(tent.height_mm.min(0.34 * span_mm));
    }
    seen
}

/// The one scale and the two windows.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Fit {
    /// Drawing units to a millimetre.
    pub(crate) scale: f64,
    /// Where the plan stands.
    pub(crate) plan: Rect,
    /// Where the elevation stands.
    pub(crate) elevation: Rect,
    start_mm: f64,
    top_mm: f64,
}

impl Fit {
    /// Fits a scene, already bounded, into a form.
    pub(crate) fn of(scene: &Scene, view: &View, form: Form) -> Fit {
        let seen = extent(scene, view);
        let width = form.width() - form.left() - RIGHT;
        let (plan_mm, upright_mm) = (2.0 * seen.half_width_mm, seen.top_mm - seen.bottom_mm);
        let scale = (width / (seen.end_mm - seen.start_mm))
            .min(TALLEST.0 * form.width() / plan_mm)
            .min(TALLEST.1 * form.width() / upright_mm);
        let plan = Rect {
            x: form.left(),
            y: TOP,
            width,
            height: plan_mm * scale,
        };
        let elevation = Rect {
            x: form.left(),
            y: plan.bottom() + GAP,
            width,
            height: upright_mm * scale,
        };
        Fit {
            scale,
            plan,
            elevation,
            start_mm: seen.start_mm,
            top_mm: seen.top_mm,
        }
    }

    /// Units from the left edge.
    pub(crate) fn x(&self, x_mm: f64) -> f64 {
        self.plan.x + (x_mm - self.start_mm) * self.scale
    }

    /// A place in plan.
    pub(crate) fn plan(&self, x_mm: f64, y_mm: f64) -> Point {
        at(
            self.x(x_mm),
            self.plan.y + self.plan.height / 2.0 + y_mm * self.scale,
        )
    }

    /// A place in elevation.
    pub(crate) fn upright(&self, x_mm: f64, z_mm: f64) -> Point {
        at(
            self.x(x_mm),
            self.elevation.y + (self.top_mm - z_mm) * self.scale,
        )
    }

    /// Whether a place over the floor lies within the drawing.
    pub(crate) fn shows(&self, x_mm: f64) -> bool {
        (self.plan.x..=self.plan.right() + 0.5).contains(&self.x(x_mm))
    }

    /// Stage millimetres at the left and right edge.
    pub(crate) fn span_mm(&self) -> (f64, f64) {
        (self.start_mm, self.start_mm + self.plan.width / self.scale)
    }

    /// Side of a light square: 100 mm, or more when squares would run into each other.
    pub(crate) fn square_mm(&self) -> f64 {
        nice_step(100.0, 4.0 / self.scale)
    }

    /// Length of the scale bar: 500 mm, or more when it could not be seen.
    pub(crate) fn bar_mm(&self) -> f64 {
        nice_step(500.0, 24.0 / self.scale)
    }
}

#[cfg(test)]
mod tests {
    use super::super::scene::{Camera, Table};
    use super::*;

    fn fit(scene: &Scene, form: Form) -> Fit {
        let scene = scene.bounded();
        Fit::of(&scene, &View::of(&scene.camera), form)
    }

    #[test]
    fn camera_and_table_alone_fill_the_width() {
        let scene = Scene {
            camera: Camera {
                height_mm: 260.0,
                ..Camera::default()
            },
            table: Some(Table {
                near_edge_mm: 600.0,
                length_mm: 2300.0,
                width_mm: 1000.0,
            }),
            ..Scene::default()
        };
        // From 100 mm behind the mark to 2 900 mm ahead is 3 000 mm over 592 units.
        let fit = fit(&scene, Form::Wide);
        assert!((fit.scale - 592.0 / 3000.0).abs() < 1e-12);
        assert!((fit.x(0.0) - (40.0 + 100.0 * fit.scale)).abs() < 1e-9);
        // Both views share x, and the table top is z = 0 in the elevation.
        assert!((fit.plan(700.0, 0.0).x - fit.upright(700.0, 0.0).x).abs() < 1e-12);
    }

    #[test]
    fn nothing_known_still_has_a_scale() {
        let fit = fit(&Scene::default(), Form::Narrow);
        assert!(fit.scale > 0.0 && fit.plan.height > 40.0 && fit.elevation.height > 20.0);
    }

    #[test]
    fn squares_and_bar_grow_only_when_they_must() {
        assert!((nice_step(100.0, 20.0) - 100.0).abs() < 1e-9);
        assert!((nice_step(100.0, 101.0) - 200.0).abs() < 1e-9);
        assert!((nice_step(100.0, 201.0) - 500.0).abs() < 1e-9);
        assert!((nice_step(500.0, 9000.0) - 10_000.0).abs() < 1e-9);
    }
}
