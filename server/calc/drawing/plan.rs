//! The plan: the stage seen from above, camera looking right.

use super::Class;
use super::figure;
use super::fit::{Fit, Form};
use super::geometry::{clip_line, clip_polygon, hull};
use super::glyph;
use super::room::Room;
use super::scene::{Kind, ModelPath, Scene, Thing};
use super::shape::{Anchor, Point, Rect, Shape, Step, at, strokes};
use super::view::View;

/// Everything needed to draw one view of a scene.
#[derive(Clone, Copy)]
pub(crate) struct Stage<'a> {
    /// The scene, bounded.
    pub(crate) scene: &'a Scene,
    /// The camera's view.
    pub(crate) view: &'a View,
    /// Scale and windows.
    pub(crate) fit: &'a Fit,
    /// Form of the drawing.
    pub(crate) form: Form,
}

impl Stage<'_> {
    /// Sharp zone from the mark: near limit and far limit or the drawing's edge.
    pub(crate) fn sharp_mm(&self) -> Option<(f64, f64)> {
        let limits = self.scene.limits?;
        self.scene.camera.frame?;
        let near_mm = limits.near_mm.max(self.view.pupil_mm());
        let edge_mm = 2.0 * self.fit.span_mm().1.abs().max(near_mm);
        let far_mm = limits.far_mm.unwrap_or(edge_mm).min(edge_mm);
        (far_mm > near_mm).then_some((near_mm, far_mm))
    }

    /// What may be seen of the frame in plan: up to the tent's walls, where there is a tent round the axis.
    fn inside_tent(&self) -> Rect {
        let window = self.fit.plan;
        let Some(tent) = self
            .scene
            .tent
            .filter(|tent| tent.end_mm > 0.0 && tent.width_mm > 0.0)
        else {
            return window;
        };
        let wall = self.fit.plan(tent.end_mm, tent.width_mm / 2.0);
        let (middle, right) = (
            window.y + window.height / 2.0,
            wall.x.clamp(window.x, window.right()),
        );
        let half = (wall.y - middle).min(window.height / 2.0);
        Rect {
            x: window.x,
            y: middle - half,
            width: right - window.x,
            height: 2.0 * half,
        }
    }

    /// Half of the frame at this distance in plan, as two ends of one line; nothing before the pupil or without a frame.
    pub(crate) fn across(&self, distance_mm: f64) -> Option<(Point, Point)> {
        let half_mm = self.view.half_width_mm(distance_mm);
        let x_mm = self.view.floor_x_mm(distance_mm);
        let ends = (self.fit.plan(x_mm, -half_mm), self.fit.plan(x_mm, half_mm));
        (half_mm > 0.0 && self.fit.shows(x_mm))
            .then(|| clip_line(ends.0, ends.1, &self.inside_tent()))
            .flatten()
    }
}

/// Nothing is too small for a finger in a glove.
const LEAST_HOLD: f64 = 9.0;

/// A thing's shapes as one that a person may take hold of, anywhere in its area.
pub(crate) fn held(thing: &Thing, mut shapes: Vec<Shape>, area: Rect) -> Shape {
    if thing.id.is_empty() {
        return Shape::Group(Class::Item, None, shapes);
    }
    let least = Rect::about(
        at(area.x + area.width / 2.0, area.y + area.height / 2.0),
        LEAST_HOLD,
    );
    let hit = Rect::of(
        at(area.x.min(least.x), area.y.min(least.y)),
        at(
            area.right().max(least.right()),
            area.bottom().max(least.bottom()),
        ),
    );
    shapes.push(Shape::Rect(Class::Hit, hit));
    Shape::Thing(thing.id.clone(), thing.name.clone(), shapes)
}

impl Stage<'_> {
    /// What a thing covers in plan.
    fn plan_area(&self, thing: &Thing) -> Rect {
        around_all(
            thing
                .footprint()
                .map(|corner| self.fit.plan(corner.x_mm, corner.y_mm)),
        )
    }
}

/// The upright rectangle round some points.
pub(crate) fn around_all(points: [Point; 4]) -> Rect {
    let [first, rest @ ..] = points;
    let (mut low, mut high) = (first, first);
    for point in rest {
        low = at(low.x.min(point.x), low.y.min(point.y));
        high = at(high.x.max(point.x), high.y.max(point.y));
    }
    Rect::of(low, high)
}

/// Draws the plan and notes in the room what it covers.
pub(crate) fn draw(stage: &Stage, room: &mut Room) -> Vec<Shape> {
    let mut shapes = vec![glyph::squares(
        stage.fit,
        &stage.fit.plan,
        stage.fit.plan(0.0, 0.0),
    )];
    shapes.extend(sharp_zone(stage));
    shapes.extend(tent(stage, room));
    shapes.extend(table(stage));
    shapes.extend(super::rig::shadows(stage));
    for thing in &stage.scene.things {
        shapes.extend(throw(stage, thing));
    }
    for thing in stage
        .scene
        .things
        .iter()
        .filter(|thing| !glyph::is_head(thing))
    {
        let mut body = outline(stage, thing, room);
        match thing.kind {
            Kind::Tiles => body.extend(super::rig::tiles(stage, thing)),
            Kind::Backing => shapes.extend(super::rig::needed_width(stage, thing)),
            _ => {}
        }
        shapes.push(held(thing, body, stage.plan_area(thing)));
    }
    shapes.extend(frame(stage, room));
    if let Some(path) = &stage.scene.path {
        shapes.extend(model_path(stage, path, room));
    }
    shapes.extend(super::rig::from_above(stage));
    let mark = stage.fit.plan(0.0, 0.0);
    shapes.extend(glyph::camera(mark, stage.view.pupil_mm(), 0.0, stage.fit));
    room.taken.push(glyph::camera_area(mark, stage.fit));
    for thing in stage
        .scene
        .things
        .iter()
        .filter(|thing| glyph::is_head(thing))
    {
        shapes.push(held(
            thing,
            symbol(stage, thing, room),
            stage.plan_area(thing),
        ));
    }
    if stage.form.full() {
        shapes.extend(words(stage, room));
    }
    shapes
}

fn sharp_zone(stage: &Stage) -> Option<Shape> {
    let (near_mm, far_mm) = stage.sharp_mm()?;
    let corner = |distance_mm: f64, side: f64| {
        stage.fit.plan(
            stage.view.floor_x_mm(distance_mm),
            side * stage.view.half_width_mm(distance_mm),
        )
    };
    let zone = [
        corner(near_mm, -1.0),
        corner(far_mm, -1.0),
        corner(far_mm, 1.0),
        corner(near_mm, 1.0),
    ];
    let shown = clip_polygon(&zone, &stage.inside_tent());
    (!shown.is_empty()).then_some(Shape::Polygon(Class::Sharp, shown))
}

fn tent(stage: &Stage, room: &mut Room) -> Vec<Shape> {
    let Some(tent) = stage.scene.tent else {
        return Vec::new();
    };
    let near = stage.fit.plan(tent.start_mm, -tent.width_mm / 2.0);
    let far = stage.fit.plan(tent.end_mm, tent.width_mm / 2.0);
    let walls = [near, at(far.x, near.y), far, at(near.x, far.y)];
    let shown =
        (0..4).filter_map(|side| clip_line(walls[side], walls[(side + 1) % 4], &stage.fit.plan));
    let mut shapes = vec![strokes(Class::Tent, shown)];
    let edge = stage.fit.plan;
    let wall = Rect::of(
        at(near.x.max(edge.x), near.y.max(edge.y)),
        at(far.x.min(edge.right()), far.y.min(edge.bottom())),
    );
    if stage.form.full() {
        let sides = [tent.end_mm - tent.start_mm, tent.width_mm, tent.height_mm];
        let words = sides
            .map(|mm| figure::length(mm, stage.scene.unit))
            .join(" × ");
        let places = [
            (at(wall.x + 5.0, wall.y + 14.0), Anchor::Start),
            (at(wall.x + 5.0, wall.bottom() - 5.0), Anchor::Start),
            (at(wall.right() - 5.0, wall.y + 14.0), Anchor::End),
        ];
        shapes.extend(room.write(Class::Label, &format!("smoke tent {words}"), &places));
    }
    shapes
}

fn table(stage: &Stage) -> Option<Shape> {
    let table = stage.scene.table?;
    let near = stage.fit.plan(table.near_edge_mm, -table.width_mm / 2.0);
    let far = stage
        .fit
        .plan(table.near_edge_mm + table.length_mm, table.width_mm / 2.0);
    Some(Shape::Rect(Class::Table, Rect::of(near, far)))
}

/// Axis, edges, limits, focus and the water's end.
fn frame(stage: &Stage, room: &mut Room) -> Vec<Shape> {
    let (fit, view, scene) = (stage.fit, stage.view, stage.scene);
    let axis_y = fit.plan(0.0, 0.0).y;
    let mut shapes = vec![Shape::Line(
        Class::Axis,
        at(fit.plan.x - 6.0, axis_y),
        at(fit.plan.right() + 4.0, axis_y),
    )];
    if scene.camera.frame.is_some() {
        let far_mm = 2.0 * fit.span_mm().1.abs().max(view.pupil_mm().abs()) / view.tilt().1;
        let pupil = fit.plan(view.floor_x_mm(view.pupil_mm()), 0.0);
        let edges: Vec<_> = [-1.0, 1.0]
            .into_iter()
            .filter_map(|side| {
                let end = fit.plan(view.floor_x_mm(far_mm), side * view.half_width_mm(far_mm));
                clip_line(pupil, end, &stage.inside_tent())
            })
            .collect();
        room.strokes.extend(&edges);
        shapes.push(strokes(Class::FrameEdge, edges));
    }
    let far_mm = scene.limits.and_then(|limits| limits.far_mm);
    for distance_mm in [scene.limits.map(|limits| limits.near_mm), far_mm]
        .into_iter()
        .flatten()
    {
        if let Some((top, bottom)) = stage.across(distance_mm) {
            room.strokes.push((top, bottom));
            shapes.push(Shape::Line(Class::Limit, top, bottom));
        }
    }
    if let Some((top, bottom)) = scene.focus_mm.and_then(|focus_mm| stage.across(focus_mm)) {
        room.strokes.push((top, bottom));
        shapes.push(Shape::Line(Class::Focus, top, bottom));
    }
    shapes.extend(water_end(stage, room));
    shapes
}

fn water_end(stage: &Stage, room: &mut Room) -> Option<Shape> {
    let x_mm = stage.view.floor_x_mm(stage.scene.water_end_mm?);
    let (fit, half_mm) = (
        stage.fit,
        stage
            .scene
            .tent
            .map_or(f64::MAX, |tent| tent.width_mm / 2.0),
    );
    if !fit.shows(x_mm) {
        return None;
    }
    let half = (half_mm * fit.scale).min(fit.plan.height / 2.0) - 2.0;
    let middle = fit.plan(x_mm, 0.0);
    room.strokes
        .push((at(middle.x, middle.y - half), at(middle.x, middle.y + half)));
    Some(glyph::wavy(middle.x, middle.y - half, middle.y + half))
}

fn model_path(stage: &Stage, path: &ModelPath, room: &mut Room) -> Vec<Shape> {
    let place = |along_mm: f64| {
        let spot = path.along(along_mm);
        stage.fit.plan(spot.x_mm, spot.y_mm)
    };
    let (start, end) = (place(0.0), place(path.length_mm()));
    let (sin, cos) = path.heading_deg.to_radians().sin_cos();
    let mut shapes = Vec::new();
    if let Some(rail) = path.rail {
        let ends = (
            place(-rail.run_up_mm),
            place(path.length_mm() + rail.run_out_mm),
        );
        shapes.push(Shape::Line(Class::RailLine, ends.0, ends.1));
        shapes.push(glyph::start_mark(ends.0));
        room.taken.push(Rect::about(ends.0, 6.0));
    }
    let ticks = path.ticks_mm().into_iter().map(|mm| {
        let p = place(mm);
        (
            at(p.x - 3.0 * sin, p.y + 3.0 * cos),
            at(p.x + 3.0 * sin, p.y - 3.0 * cos),
        )
    });
    shapes.push(strokes(
        Class::Path,
        [(start, end)].into_iter().chain(ticks),
    ));
    shapes.push(glyph::arrowhead(
        Class::PathArrow,
        end,
        path.heading_deg.to_radians(),
    ));
    room.strokes.push((start, end));
    shapes
}

/// The area a lamp or projector throws over, as seen from above.
fn throw(stage: &Stage, thing: &Thing) -> Option<Shape> {
    let patch = thing.patch()?;
    let from = stage.fit.plan(thing.place.x_mm, thing.place.y_mm);
    let mut corners: Vec<Point> = patch
        .iter()
        .map(|corner| stage.fit.plan(corner.x_mm, corner.y_mm))
        .collect();
    corners.push(from);
    let shown = clip_polygon(&hull(&corners), &stage.fit.plan);
    let class = if thing.kind == Kind::Projector {
        Class::Throw
    } else {
        Class::Beam
    };
    (!shown.is_empty()).then_some(Shape::Polygon(class, shown))
}

/// The thing's footprint, or one line where the footprint is thinner than a line.
fn outline(stage: &Stage, thing: &Thing, room: &mut Room) -> Vec<Shape> {
    /// Footprints thinner than this are drawn as one line.
    const LINE: f64 = 3.0;
    let corners = thing
        .footprint()
        .map(|corner| stage.fit.plan(corner.x_mm, corner.y_mm));
    let (long, wide) = (
        thing.size.length_mm * stage.fit.scale,
        thing.size.width_mm * stage.fit.scale,
    );
    let (area, line) = glyph::classes(thing.kind);
    let middle = |a: Point, b: Point| at(f64::midpoint(a.x, b.x), f64::midpoint(a.y, b.y));
    if long.min(wide) >= LINE {
        let mut class = area;
        if matches!(thing.kind, Kind::Flag | Kind::Backing | Kind::Net) {
            class = Class::Piece;
        }
        return vec![Shape::Polygon(class, corners.to_vec())];
    }
    let (from, to) = if long < wide {
        (
            middle(corners[0], corners[1]),
            middle(corners[2], corners[3]),
        )
    } else {
        (
            middle(corners[0], corners[3]),
            middle(corners[1], corners[2]),
        )
    };
    // A thing of no size at all still shows, as a short stroke across its heading.
    let (from, to) = if long.max(wide) < LINE {
        let (sin, cos) = thing.heading_deg.to_radians().sin_cos();
        (
            at(from.x + 3.0 * sin, from.y - 3.0 * cos),
            at(from.x - 3.0 * sin, from.y + 3.0 * cos),
        )
    } else {
        (from, to)
    };
    room.strokes.push((from, to));
    vec![Shape::Path(line, vec![Step::Move(from), Step::Line(to)])]
}

fn symbol(stage: &Stage, thing: &Thing, room: &mut Room) -> Vec<Shape> {
    let place = stage.fit.plan(thing.place.x_mm, thing.place.y_mm);
    room.taken.push(Rect::about(place, 9.0));
    let mut head = glyph::head(thing.kind, place, thing.heading_deg.to_radians());
    if thing.pitch_deg.abs() > 60.0 {
        // Seen from above, a head that looks down shows its back and no front.
        head.truncate(1);
    }
    head
}

/// Names beside things, `mark` under the camera and `start` at the start mark.
fn words(stage: &Stage, room: &mut Room) -> Vec<Shape> {
    let fit = stage.fit;
    let mark = fit.plan(0.0, 0.0);
    let camera = glyph::camera_area(mark, fit);
    let mut shapes = Vec::new();
    let under = [
        (at(mark.x, camera.bottom() + 11.0), Anchor::Middle),
        (at(mark.x, camera.y - 4.0), Anchor::Middle),
    ];
    shapes.extend(room.write(Class::Label, "mark", &under));
    if let Some(path) = &stage.scene.path
        && let Some(rail) = path.rail
    {
        let spot = path.along(-rail.run_up_mm);
        shapes.extend(room.write(
            Class::Label,
            "start",
            &around(fit.plan(spot.x_mm, spot.y_mm), 9.0),
        ));
    }
    for thing in stage
        .scene
        .things
        .iter()
        .filter(|thing| glyph::is_named(thing) && thing.kind != Kind::Projector)
    {
        let clear = if glyph::is_head(thing) { 13.0 } else { 7.0 };
        let spots = thing
            .footprint()
            .map(|corner| fit.plan(corner.x_mm, corner.y_mm));
        let place = fit.plan(thing.place.x_mm, thing.place.y_mm);
        let mut places = around(place, clear);
        places.extend(spots.into_iter().flat_map(|spot| around(spot, 7.0)));
        shapes.extend(room.write(Class::Label, &thing.name, &places));
    }
    shapes
}

/// Places for words about a point: right, left, above, below.
pub(crate) fn around(place: Point, clear: f64) -> Vec<(Point, Anchor)> {
    vec![
        (at(place.x + clear, place.y + 4.0), Anchor::Start),
        (at(place.x - clear, place.y + 4.0), Anchor::End),
        (at(place.x, place.y - clear), Anchor::Middle),
        (at(place.x, place.y + clear + 9.0), Anchor::Middle),
    ]
}
