//! Plan above elevation: one axis, one scale, limits projected through both, dimensions under them, number rings on what
//! they name.

use super::account;
use super::dimension;
use super::elevation;
use super::figure;
use super::fit::Fit;
pub use super::fit::Form;
use super::naming;
use super::plan::{self, Stage};
use super::ring;
use super::room::Room;
use super::scene::Scene;
use super::shape::{self, Anchor, Dimension, Drawing, Rect, Shape, Value, at, strokes, text};
use super::view::View;
use super::{Class, glyph};

/// Words over the plan.
const PLAN: &str = "Plan, seen from above";
/// Words over the elevation. The camera looks right and the plan has the camera's right hand at the bottom, so the view below
/// it is the one from that hand.
const ELEVATION: &str = "Elevation, seen from the right of camera";
/// Room for one row of dimensions.
const ROW: f64 = 19.0;

/// Draws a setup.
pub fn plan_and_elevation(scene: &Scene, form: Form) -> Drawing {
    let scene = scene.bounded();
    let view = View::of(&scene.camera);
    let fit = Fit::of(&scene, &view, form);
    let stage = Stage {
        scene: &scene,
        view: &view,
        fit: &fit,
        form,
    };
    let edge = |window: Rect| Rect {
        x: 1.0,
        width: form.width() - 2.0,
        ..window
    };
    let mut above = Room::new(edge(fit.plan));
    let mut beside = Room::new(edge(fit.elevation));
    let (plan, elevation) = (
        plan::draw(&stage, &mut above),
        elevation::draw(&stage, &mut beside),
    );

    let mut shapes = vec![
        text(
            Class::Caption,
            at(4.0, fit.plan.y - 11.0),
            Anchor::Start,
            PLAN,
        ),
        text(
            Class::Caption,
            at(4.0, fit.elevation.y - 9.0),
            Anchor::Start,
            ELEVATION,
        ),
    ];
    let seen = |name, origin| shape::View {
        name,
        mm_per_unit: 1.0 / fit.scale,
        origin,
    };
    shapes.push(Shape::View(seen("plan", fit.plan(0.0, 0.0)), plan));
    shapes.push(Shape::View(
        seen("elevation", fit.upright(0.0, 0.0)),
        elevation,
    ));
    shapes.push(drops(&stage));
    let upright = upright_dimensions(&stage);
    for dimension in &upright {
        let covered = figure::covered(&dimension::value_text(dimension));
        above.taken.push(covered);
        beside.taken.push(covered);
    }
    shapes.extend(upright.into_iter().map(Shape::Dimension));
    let (rows, bottom) = dimension_rows(&stage);
    shapes.extend(rows.into_iter().map(Shape::Dimension));
    let bar_y = if form.full() {
        fit.elevation.y - 9.0
    } else {
        bottom + 14.0
    };
    shapes.extend(scale_bar(&fit, form, bar_y));
    let (plan_rings, elevation_rings) = naming::requests(&stage);
    shapes.extend(
        ring::place(&plan_rings, &above)
            .into_iter()
            .map(Shape::Ring),
    );
    shapes.extend(
        ring::place(&elevation_rings, &beside)
            .into_iter()
            .map(Shape::Ring),
    );
    let height = if form.full() {
        bottom + 6.0
    } else {
        bar_y + 6.0
    };
    Drawing {
        width: form.width(),
        height,
        shapes,
        label: account::label(&scene),
        facts: account::facts(&scene, &view),
    }
}

/// Dotted lines that carry the limits and the focus from plan to elevation.
fn drops(stage: &Stage) -> Shape {
    let limits = stage.scene.limits;
    let planes = [
        limits.map(|limits| limits.near_mm),
        limits.and_then(|limits| limits.far_mm),
        stage.scene.focus_mm,
    ];
    strokes(
        Class::Drop,
        planes.into_iter().flatten().filter_map(|distance_mm| {
            let (_, bottom) = stage.across(distance_mm)?;
            let (x_mm, z_mm) = stage.view.upright_mm(distance_mm, 0.0);
            let on_axis = stage.fit.upright(x_mm, z_mm);
            let top = stage.upright(distance_mm).map_or(on_axis, |(top, _)| top);
            // With tilt the plane leans: the line then goes to the axis, the one point plan and elevation share.
            let end = if stage.scene.camera.tilt_deg == 0.0 {
                top
            } else {
                on_axis
            };
            Some((bottom, at(bottom.x, end.y)))
        }),
    )
}

fn upright_dimensions(stage: &Stage) -> Vec<Dimension> {
    if !stage.form.full() {
        return Vec::new();
    }
    let (fit, scene) = (stage.fit, stage.scene);
    let length = |mm: f64| figure::length(mm, scene.unit);
    let mut dimensions = Vec::new();
    let height_mm = scene.camera.height_mm;
    if height_mm.abs() * fit.scale > 6.0 {
        let (lens, top) = (fit.upright(0.0, height_mm), fit.upright(0.0, 0.0));
        let x = glyph::camera_area(lens, fit).x - 4.0;
        dimensions.push(dimension::upright(
            x.max(14.0),
            (lens.y, top.y),
            &length(height_mm),
        ));
    }
    if let Some(focus_mm) = scene.focus_mm {
        let (half_mm, x_mm) = (
            stage.view.half_width_mm(focus_mm),
            stage.view.floor_x_mm(focus_mm),
        );
        let ends = (fit.plan(x_mm, -half_mm), fit.plan(x_mm, half_mm));
        let inside = fit.plan.y <= ends.0.y && ends.1.y <= fit.plan.bottom();
        if half_mm * fit.scale > 16.0 && inside && fit.shows(x_mm) {
            let mut across =
                dimension::upright(ends.0.x - 9.0, (ends.0.y, ends.1.y), &length(2.0 * half_mm));
            across.place = Value::Quarter;
            dimensions.push(across);
        }
    }
    dimensions
}

/// Dimensions under the elevation, and where they end.
fn dimension_rows(stage: &Stage) -> (Vec<Dimension>, f64) {
    let (fit, scene, view) = (stage.fit, stage.scene, stage.view);
    let foot = fit.elevation.bottom().max(fit.upright(0.0, 0.0).y + 6.0);
    let mark = fit.x(0.0);
    let length = |mm: f64| figure::length(mm, scene.unit);
    let (mut rows, mut y) = (Vec::new(), foot);
    let shown = |distance_mm: f64| {
        let x_mm = view.floor_x_mm(distance_mm);
        fit.shows(x_mm).then(|| fit.x(x_mm))
    };
    if let Some((limits, near)) = scene
        .limits
        .and_then(|limits| Some((limits, shown(limits.near_mm)?)))
    {
        y += ROW;
        rows.push(dimension::level(
            (mark, near),
            y,
            &length(limits.near_mm),
            -15.0,
            Value::Before,
        ));
        let far = limits.far_mm.and_then(shown);
        let words = limits.far_mm.map_or_else(
            || "sharp to infinity".to_owned(),
            |far| format!("sharp to {}", length(far)),
        );
        let mut sharp = dimension::level(
            (near, far.unwrap_or(fit.plan.right())),
            y,
            &words,
            -15.0,
            Value::After,
        );
        sharp.open = far.is_none();
        if sharp.place == Value::After
            && sharp.to.x + figure::width(&words, Class::DimensionText) > stage.form.width() - 16.0
        {
            // No room on either side of a short line: its value goes on a row of its own.
            sharp.place = Value::Below;
            y += ROW - 4.0;
        }
        rows.push(sharp);
    }
    if let Some((focus_mm, x)) = scene
        .focus_mm
        .and_then(|focus_mm| Some((focus_mm, shown(focus_mm)?)))
    {
        y += ROW;
        let mut focus = dimension::level(
            (mark, x),
            y,
            &format!("focus {}", length(focus_mm)),
            -12.0,
            Value::After,
        );
        focus.entry = true;
        rows.push(focus);
    }
    if let Some(end_mm) = scene.water_end_mm.filter(|_| stage.form.full()) {
        y += ROW;
        let x = shown(end_mm);
        let words = format!("from mark to water’s end {}", length(end_mm));
        let mut water = dimension::level(
            (mark, x.unwrap_or(fit.plan.right())),
            y,
            &words,
            foot - y,
            Value::After,
        );
        water.open = x.is_none();
        rows.push(water);
    }
    (rows, y)
}

/// The bar of 500 mm with its first 100 mm marked.
fn scale_bar(fit: &Fit, form: Form, y: f64) -> Vec<Shape> {
    let words = format!("{} mm", figure::grouped(fit.bar_mm(), 0));
    let end = form.width() - 6.0 - figure::width(&words, Class::Figure) - 5.0;
    let long = fit.bar_mm() * fit.scale;
    let start = end - long;
    vec![
        strokes(
            Class::ScaleBar,
            [
                (at(start, y), at(end, y)),
                (at(start, y), at(start, y - 5.0)),
                (at(start + long / 5.0, y), at(start + long / 5.0, y - 3.0)),
                (at(end, y), at(end, y - 5.0)),
            ],
        ),
        text(Class::Figure, at(end + 5.0, y), Anchor::Start, words),
    ]
}

#[cfg(test)]
#[path = "setup_tests.rs"]
mod tests;
