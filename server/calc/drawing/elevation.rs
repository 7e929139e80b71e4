//! The elevation: the stage seen from the side, on the plan's axis and scale.

use super::Class;
use super::figure;
use super::geometry::{clip_line, clip_polygon, hull};
use super::glyph;
use super::plan::{Stage, around, around_all, held};
use super::room::Room;
use super::scene::{Kind, ModelPath, Thing};
use super::shape::{Anchor, Point, Rect, Shape, Step, at, strokes};

/// Height in drawing units of the table cut through.
const SLAB: f64 = 6.0;

impl Stage<'_> {
    /// What may be seen of the frame in elevation: down to the table top while the camera is above it, and up to the tent's
    /// walls where there is a tent round the axis.
    fn above_table(&self) -> Rect {
        let window = self.fit.elevation;
        let (mut top, mut foot, mut right) = (window.y, window.bottom(), window.right());
        let origin = self.fit.upright(0.0, 0.0);
        if self.scene.camera.height_mm > 0.0 && self.scene.table.is_some() {
            foot = origin.y;
        }
        if let Some(tent) = self
            .scene
            .tent
            .filter(|tent| tent.end_mm > 0.0 && tent.height_mm > 0.0)
        {
            let wall = self.fit.upright(tent.end_mm, tent.height_mm);
            top = wall.y.clamp(top, foot);
            right = wall.x.clamp(window.x, right);
        }
        Rect::of(at(window.x, top), at(right, foot))
    }

    /// The frame at this distance in elevation, as two ends of one line.
    pub(crate) fn upright(&self, distance_mm: f64) -> Option<(Point, Point)> {
        let end = |side: f64| {
            let (x_mm, z_mm) = self.view.upright_mm(distance_mm, side);
            self.fit.upright(x_mm, z_mm)
        };
        (self.view.half_height_mm(distance_mm) > 0.0)
            .then(|| clip_line(end(1.0), end(-1.0), &self.above_table()))
            .flatten()
    }
}

/// Draws the elevation and notes in the room what it covers.
pub(crate) fn draw(stage: &Stage, room: &mut Room) -> Vec<Shape> {
    let fit = stage.fit;
    let mut shapes = vec![glyph::squares(fit, &fit.elevation, fit.upright(0.0, 0.0))];
    shapes.extend(sharp_zone(stage));
    shapes.extend(tent(stage));
    shapes.extend(table(stage));
    for thing in &stage.scene.things {
        shapes.extend(throw(stage, thing));
    }
    for thing in &stage.scene.things {
        let xs = thing.footprint().map(|corner| corner.x_mm);
        let corner =
            |x_mm: f64, up: f64| fit.upright(x_mm, thing.place.z_mm + up * thing.size.height_mm);
        let (low, high) = (
            xs.iter().copied().fold(f64::MAX, f64::min),
            xs.iter().copied().fold(f64::MIN, f64::max),
        );
        let area = around_all([
            corner(low, 0.0),
            corner(high, 0.0),
            corner(low, 1.0),
            corner(high, 1.0),
        ]);
        shapes.push(held(thing, side(stage, thing, room), area));
    }
    for thing in stage
        .scene
        .things
        .iter()
        .filter(|t| t.kind == Kind::Backing)
    {
        shapes.extend(super::rig::needed_height(stage, thing));
    }
    shapes.extend(super::rig::from_the_side(stage));
    shapes.extend(frame(stage, room));
    if let Some(path) = &stage.scene.path {
        shapes.extend(model_path(stage, path, room));
    }
    let mark = fit.upright(0.0, stage.scene.camera.height_mm);
    let tilt_rad = stage.scene.camera.tilt_deg.to_radians();
    shapes.extend(glyph::camera(mark, stage.view.pupil_mm(), -tilt_rad, fit));
    room.taken.push(glyph::camera_area(mark, fit));
    if stage.form.full() {
        for thing in stage
            .scene
            .things
            .iter()
            .filter(|thing| thing.kind == Kind::Projector)
        {
            let middle = thing.middle();
            let place = fit.upright(middle.x_mm, middle.z_mm);
            shapes.extend(room.write(
                Class::Label,
                &projector_words(stage, thing),
                &around(place, 12.0),
            ));
        }
    }
    shapes
}

fn projector_words(stage: &Stage, thing: &Thing) -> String {
    let length = |mm: f64| figure::length(mm, stage.scene.unit);
    thing.throw.map_or_else(
        || thing.name.clone(),
        |throw| {
            format!(
                "{}, throw {}, patch {} × {}",
                thing.name,
                length(throw.distance_mm),
                length(throw.width_mm),
                length(throw.height_mm)
            )
        },
    )
}

fn sharp_zone(stage: &Stage) -> Option<Shape> {
    let (near_mm, far_mm) = stage.sharp_mm()?;
    let corner = |distance_mm: f64, side: f64| {
        let (x_mm, z_mm) = stage.view.upright_mm(distance_mm, side);
        stage.fit.upright(x_mm, z_mm)
    };
    let zone = [
        corner(near_mm, 1.0),
        corner(far_mm, 1.0),
        corner(far_mm, -1.0),
        corner(near_mm, -1.0),
    ];
    let shown = clip_polygon(&zone, &stage.above_table());
    (!shown.is_empty()).then_some(Shape::Polygon(Class::Sharp, shown))
}

fn tent(stage: &Stage) -> Option<Shape> {
    let tent = stage.scene.tent?;
    let (start, end) = (tent.start_mm, tent.end_mm);
    let floor_mm = 0.0;
    let walls = [
        ((start, floor_mm), (start, tent.height_mm)),
        ((start, tent.height_mm), (end, tent.height_mm)),
        ((end, tent.height_mm), (end, floor_mm)),
    ];
    let shown = walls.into_iter().filter_map(|(from, to)| {
        clip_line(
            stage.fit.upright(from.0, from.1),
            stage.fit.upright(to.0, to.1),
            &stage.fit.elevation,
        )
    });
    Some(strokes(Class::Tent, shown))
}

fn table(stage: &Stage) -> Option<Shape> {
    let table = stage.scene.table?;
    let near = stage.fit.upright(table.near_edge_mm, 0.0);
    let far = stage.fit.upright(table.near_edge_mm + table.length_mm, 0.0);
    Some(Shape::Rect(
        Class::TableCut,
        Rect {
            x: near.x,
            y: near.y,
            width: far.x - near.x,
            height: SLAB,
        },
    ))
}

fn frame(stage: &Stage, room: &mut Room) -> Vec<Shape> {
    let (fit, view, scene) = (stage.fit, stage.view, stage.scene);
    let on_axis = |distance_mm: f64| {
        let (x_mm, z_mm) = view.upright_mm(distance_mm, 0.0);
        fit.upright(x_mm, z_mm)
    };
    let span_mm = fit.span_mm().1.abs().max(view.pupil_mm().abs());
    let window = fit.elevation.grown(4.0);
    let mut shapes = Vec::new();
    if let Some((from, to)) = clip_line(
        on_axis(-span_mm),
        on_axis(2.0 * span_mm / view.tilt().1),
        &window,
    ) {
        shapes.push(Shape::Line(Class::Axis, from, to));
    }
    if scene.camera.frame.is_some() {
        let pupil = on_axis(view.pupil_mm());
        let edges: Vec<_> = [1.0, -1.0]
            .into_iter()
            .filter_map(|side| {
                let (x_mm, z_mm) = view.upright_mm(2.0 * span_mm / view.tilt().1, side);
                clip_line(pupil, fit.upright(x_mm, z_mm), &stage.above_table())
            })
            .collect();
        room.strokes.extend(&edges);
        shapes.push(strokes(Class::FrameEdge, edges));
    }
    let planes = [
        (scene.limits.map(|limits| limits.near_mm), Class::Limit),
        (scene.limits.and_then(|limits| limits.far_mm), Class::Limit),
        (scene.focus_mm, Class::Focus),
    ];
    for (distance_mm, class) in planes {
        if let Some((top, bottom)) = distance_mm.and_then(|distance_mm| stage.upright(distance_mm))
        {
            room.strokes.push((top, bottom));
            shapes.push(Shape::Line(class, top, bottom));
        }
    }
    shapes.extend(water_end(stage, room));
    shapes
}

fn water_end(stage: &Stage, room: &mut Room) -> Option<Shape> {
    let x_mm = stage.view.floor_x_mm(stage.scene.water_end_mm?);
    if !stage.fit.shows(x_mm) {
        return None;
    }
    let top_mm = stage.scene.tent.map_or(f64::MAX, |tent| tent.height_mm);
    let top = stage.fit.upright(x_mm, top_mm).y.max(stage.fit.elevation.y) + 2.0;
    let foot = stage.fit.upright(x_mm, 0.0);
    room.strokes.push((at(foot.x, top), foot));
    Some(glyph::wavy(foot.x, top, foot.y))
}

fn model_path(stage: &Stage, path: &ModelPath, room: &mut Room) -> Vec<Shape> {
    let place = |along_mm: f64, z_mm: f64| stage.fit.upright(path.along(along_mm).x_mm, z_mm);
    let (length_mm, z_mm) = (path.length_mm(), path.start.z_mm);
    let (start, end) = (place(0.0, z_mm), place(length_mm, z_mm));
    let mut shapes = Vec::new();
    if let Some(rail) = path.rail {
        let ends = (
            place(-rail.run_up_mm, rail.height_mm),
            place(length_mm + rail.run_out_mm, rail.height_mm),
        );
        // Lines that are known are drawn where they hang; else a pair stands for them.
        if stage.scene.lines.is_empty() {
            let hook = wires(stage, path);
            shapes.push(strokes(Class::Wire, hook));
            room.strokes.extend(hook);
        }
        room.strokes.push(ends);
        shapes.push(Shape::Line(Class::Rail, ends.0, ends.1));
        shapes.push(glyph::start_mark(ends.0));
        room.taken.push(Rect::about(ends.0, 6.0));
        if stage.form.full() {
            let above = [
                (at(ends.0.x - 4.0, ends.0.y - 9.0), Anchor::Start),
                (at(ends.0.x - 9.0, ends.0.y + 4.0), Anchor::End),
            ];
            shapes.extend(room.write(Class::Label, "start mark", &above));
        }
    }
    let ticks = path.ticks_mm().into_iter().map(|mm| {
        let p = place(mm, z_mm);
        (at(p.x, p.y - 3.0), at(p.x, p.y + 3.0))
    });
    shapes.push(strokes(
        Class::Path,
        [(start, end)].into_iter().chain(ticks),
    ));
    let away = path.heading_deg.to_radians().cos();
    if away.abs() > 0.05 {
        let angle_rad = if away > 0.0 {
            0.0
        } else {
            std::f64::consts::PI
        };
        shapes.push(glyph::arrowhead(Class::PathArrow, end, angle_rad));
    } else {
        shapes.push(Shape::Circle(Class::PathArrow, start, 2.6));
    }
    room.strokes.push((start, end));
    shapes
}

/// Both wires, drawn a little way along the path where the model hangs in plan.
pub(crate) fn wires(stage: &Stage, path: &ModelPath) -> [(Point, Point); 2] {
    let rail_mm = path.rail.map_or(path.start.z_mm, |rail| rail.height_mm);
    let spot = path.along(path.length_mm() * 0.45);
    let (foot, hook) = (
        stage.fit.upright(spot.x_mm, path.start.z_mm),
        stage.fit.upright(spot.x_mm, rail_mm),
    );
    [-1.0, 1.0].map(|side| {
        (
            at(foot.x + side * 4.0, foot.y),
            at(hook.x + side * 1.6, hook.y),
        )
    })
}

fn throw(stage: &Stage, thing: &Thing) -> Option<Shape> {
    // A lamp's beam crosses the drawing from the side and would only hide it; its plan shows it.
    if thing.kind != Kind::Projector {
        return None;
    }
    let middle = thing.middle();
    let mut corners: Vec<Point> = thing
        .patch()?
        .iter()
        .map(|corner| stage.fit.upright(corner.x_mm, corner.z_mm))
        .collect();
    corners.push(stage.fit.upright(middle.x_mm, middle.z_mm));
    let shown = clip_polygon(&hull(&corners), &stage.fit.elevation);
    (!shown.is_empty()).then_some(Shape::Polygon(Class::Throw, shown))
}

/// A thing seen from the side.
fn side(stage: &Stage, thing: &Thing, room: &mut Room) -> Vec<Shape> {
    let xs = thing.footprint().map(|corner| corner.x_mm);
    let (start_mm, end_mm) = xs.iter().fold((f64::MAX, f64::MIN), |(low, high), x| {
        (low.min(*x), high.max(*x))
    });
    let z_mm = thing.place.z_mm;
    if glyph::is_head(thing) {
        let middle = thing.middle();
        let place = stage.fit.upright(middle.x_mm, middle.z_mm);
        room.taken.push(Rect::about(place, 9.0));
        let away = thing.heading_deg.to_radians().cos();
        let pitch_rad = thing.pitch_deg.to_radians();
        let angle_rad = (-pitch_rad.sin()).atan2(pitch_rad.cos() * away);
        return glyph::head(thing.kind, place, angle_rad);
    }
    let area = Rect::of(
        stage.fit.upright(start_mm, z_mm),
        stage.fit.upright(end_mm, z_mm + thing.size.height_mm),
    );
    let (wide, line) = glyph::classes(thing.kind);
    if area.width < 3.0 {
        let (top, foot) = (
            at(area.x + area.width / 2.0, area.y),
            at(area.x + area.width / 2.0, area.bottom()),
        );
        let top = if area.height < 3.0 {
            at(top.x, foot.y - 3.0)
        } else {
            top
        };
        room.strokes.push((top, foot));
        return vec![Shape::Path(line, vec![Step::Move(top), Step::Line(foot)])];
    }
    let class = if thing.kind == Kind::Model {
        wide
    } else {
        Class::PieceSide
    };
    vec![Shape::Rect(class, area)]
}
