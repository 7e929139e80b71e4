//! What carries and covers: lines and their attachment points, a turntable's arm, a dolly's track, tiles that are seen, and
//! how far a backing has to reach.

use super::Class;
use super::geometry::{clip_line, clip_polygon};
use super::lens_view::Eye;
use super::plan::Stage;
use super::scene::{Kind, Place, Thing, Turn};
use super::shade::shade;
use super::shape::{Point, Rect, Shape, at, strokes};

/// Straight strokes that make an arc.
const ARC: u32 = 40;
/// More tiles than this are drawn by their field's edge alone.
const MOST_TILES: f64 = 6000.0;

/// Shadows of flags on the table, under everything that stands there.
pub(crate) fn shadows(stage: &Stage) -> Vec<Shape> {
    let window = table_or_window(stage);
    let mut shapes = Vec::new();
    for flag in stage.scene.things.iter().filter(|t| t.kind == Kind::Flag) {
        let Some(shade) = shade(stage.scene, flag) else {
            continue;
        };
        for (class, points) in [
            (Class::Penumbra, shade.penumbra),
            (Class::Umbra, shade.umbra),
        ] {
            let points: Vec<Point> = points.iter().map(|p| stage.fit.plan(p.x, p.y)).collect();
            let shown = clip_polygon(&points, &window);
            if !shown.is_empty() {
                shapes.push(Shape::Polygon(class, shown));
            }
        }
    }
    shapes
}

fn table_or_window(stage: &Stage) -> Rect {
    let window = stage.fit.plan;
    stage.scene.table.map_or(window, |table| {
        let near = stage.fit.plan(table.near_edge_mm, -table.width_mm / 2.0);
        let far = stage
            .fit
            .plan(table.near_edge_mm + table.length_mm, table.width_mm / 2.0);
        let edge = Rect::of(near, far);
        Rect::of(
            at(edge.x.max(window.x), edge.y.max(window.y)),
            at(
                edge.right().min(window.right()),
                edge.bottom().min(window.bottom()),
            ),
        )
    })
}

/// In plan: attachment points, the arm with its arc, the track.
pub(crate) fn from_above(stage: &Stage) -> Vec<Shape> {
    let fit = stage.fit;
    let mut shapes: Vec<Shape> = stage
        .scene
        .lines
        .iter()
        .map(|line| {
            Shape::Circle(
                Class::Attachment,
                fit.plan(line.foot.x_mm, line.foot.y_mm),
                1.7,
            )
        })
        .collect();
    if let Some(turn) = stage.scene.turn.filter(|turn| turn.radius_mm > 0.0) {
        shapes.extend(arm(stage, &turn));
    }
    if let Some(end) = stage.scene.track_end {
        shapes.extend(track(stage, end));
    }
    shapes
}

/// The arm where the used arc begins, the arc, and the axis as a cross.
fn arm(stage: &Stage, turn: &Turn) -> Vec<Shape> {
    let spot = |deg: f64| {
        let (sin, cos) = deg.to_radians().sin_cos();
        stage.fit.plan(
            turn.centre.x_mm + turn.radius_mm * cos,
            turn.centre.y_mm + turn.radius_mm * sin,
        )
    };
    let points: Vec<Point> = (0..=ARC)
        .map(|step| spot(turn.from_deg + turn.sweep_deg * f64::from(step) / f64::from(ARC)))
        .collect();
    let window = stage.fit.plan;
    let arc = points
        .windows(2)
        .filter_map(|pair| clip_line(pair[0], pair[1], &window));
    let centre = stage.fit.plan(turn.centre.x_mm, turn.centre.y_mm);
    let arms = [clip_line(centre, spot(turn.from_deg), &window)];
    let cross = [
        (at(centre.x - 5.0, centre.y), at(centre.x + 5.0, centre.y)),
        (at(centre.x, centre.y - 5.0), at(centre.x, centre.y + 5.0)),
    ];
    let cross = cross
        .into_iter()
        .filter_map(|(a, b)| clip_line(a, b, &window));
    vec![
        strokes(Class::Path, arc),
        strokes(Class::Arm, arms.into_iter().flatten().chain(cross)),
    ]
}

/// Two rails from the mark to where the pass ends, with a tick there.
fn track(stage: &Stage, end: Place) -> Option<Shape> {
    const APART: f64 = 5.0;
    let (from, to) = (stage.fit.plan(0.0, 0.0), stage.fit.plan(end.x_mm, end.y_mm));
    let long = (to.x - from.x).hypot(to.y - from.y);
    if long < 1.0 {
        return None;
    }
    let (dx, dy) = (
        -(to.y - from.y) / long * APART,
        (to.x - from.x) / long * APART,
    );
    let rails = [1.0, -1.0].map(|side| {
        (
            at(from.x + side * dx, from.y + side * dy),
            at(to.x + side * dx, to.y + side * dy),
        )
    });
    let tick = (
        at(to.x + 1.8 * dx, to.y + 1.8 * dy),
        at(to.x - 1.8 * dx, to.y - 1.8 * dy),
    );
    let edge = stage.fit.plan.grown(20.0);
    let shown = rails
        .into_iter()
        .chain([tick])
        .filter_map(|(a, b)| clip_line(a, b, &edge));
    Some(strokes(Class::Track, shown))
}

/// In elevation: the lines.
pub(crate) fn from_the_side(stage: &Stage) -> Option<Shape> {
    if stage.scene.lines.is_empty() {
        return None;
    }
    let fit = stage.fit;
    let lines = stage.scene.lines.iter().filter_map(|line| {
        clip_line(
            fit.upright(line.top.x_mm, line.top.z_mm),
            fit.upright(line.foot.x_mm, line.foot.z_mm),
            &fit.elevation,
        )
    });
    Some(strokes(Class::Wire, lines))
}

/// The tiles of a field that the frame sees, drawn by their joints.
pub(crate) fn tiles(stage: &Stage, field: &Thing) -> Option<Shape> {
    let (along_mm, across_mm) = field.tile_mm?;
    let eye = Eye::of(stage.scene)?;
    let (columns, rows) = (
        (field.size.length_mm / along_mm).ceil(),
        (field.size.width_mm / across_mm).ceil(),
    );
    if columns * rows > MOST_TILES || columns < 1.0 || rows < 1.0 {
        return None;
    }
    let (sin, cos) = field.heading_deg.to_radians().sin_cos();
    let spot = |u: f64, v: f64| {
        let along = (u * along_mm).min(field.size.length_mm) - field.size.length_mm / 2.0;
        let across = (v * across_mm).min(field.size.width_mm) - field.size.width_mm / 2.0;
        Place {
            x_mm: field.place.x_mm + along * cos - across * sin,
            y_mm: field.place.y_mm + along * sin + across * cos,
            z_mm: field.place.z_mm + field.size.height_mm,
        }
    };
    let (wide, high) = eye.photosites();
    let inside = |place: Place| {
        eye.photosite(place)
            .is_some_and(|(x, y)| (0.0..=wide).contains(&x) && (0.0..=high).contains(&y))
    };
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "at most as many as are drawn"
    )]
    let (columns, rows) = (columns as u32, rows as u32);
    // Each corner is looked at once, though four tiles share it.
    let across = rows as usize + 1;
    let corners: Vec<bool> = (0..=columns)
        .flat_map(|u| (0..=rows).map(move |v| (f64::from(u), f64::from(v))))
        .map(|(u, v)| inside(spot(u, v)))
        .collect();
    let seen: Vec<bool> = (0..columns)
        .flat_map(|u| (0..rows).map(move |v| (u, v)))
        .map(|(u, v)| {
            let at = u as usize * across + v as usize;
            let one = [at, at + 1, at + across, at + across + 1]
                .into_iter()
                .any(|corner| corners.get(corner).copied().unwrap_or(false));
            one || inside(spot(f64::from(u) + 0.5, f64::from(v) + 0.5))
        })
        .collect();
    let sees = |u: u32, v: u32| {
        let at = u as usize * rows as usize + v as usize;
        seen.get(at).copied().unwrap_or(false)
    };
    let mut joints = Vec::new();
    let mut joint = |from: (f64, f64), to: (f64, f64)| {
        let point = |(u, v): (f64, f64)| {
            let place = spot(u, v);
            stage.fit.plan(place.x_mm, place.y_mm)
        };
        joints.extend(clip_line(point(from), point(to), &stage.fit.plan));
    };
    // Each column of seen tiles from its first to its last, then the joints across it.
    for u in 0..columns {
        let mut run = (0..rows).filter(|v| sees(u, *v)).map(f64::from);
        let Some(first) = run.next() else {
            continue;
        };
        let (last, u) = (run.next_back().unwrap_or(first), f64::from(u));
        joint((u, first), (u, last + 1.0));
        joint((u + 1.0, first), (u + 1.0, last + 1.0));
    }
    for v in 0..rows {
        let mut run = (0..columns).filter(|u| sees(*u, v)).map(f64::from);
        let Some(first) = run.next() else {
            continue;
        };
        let (last, v) = (run.next_back().unwrap_or(first), f64::from(v));
        joint((first, v), (last + 1.0, v));
        joint((first, v + 1.0), (last + 1.0, v + 1.0));
    }
    (!joints.is_empty()).then(|| strokes(Class::Tiles, joints))
}

/// How wide a backing has to be where it stands: a bracket behind it.
pub(crate) fn needed_width(stage: &Stage, backing: &Thing) -> Option<Shape> {
    stage.scene.camera.frame?;
    let distance_mm = backing.place.x_mm / stage.view.tilt().1;
    let half_mm = stage.view.half_width_mm(distance_mm);
    let (top, bottom) = (
        stage.fit.plan(backing.place.x_mm, -half_mm),
        stage.fit.plan(backing.place.x_mm, half_mm),
    );
    let x = top.x + 7.0;
    let marks = [
        (at(x, top.y), at(x, bottom.y)),
        (at(x - 3.5, top.y), at(x + 3.5, top.y)),
        (at(x - 3.5, bottom.y), at(x + 3.5, bottom.y)),
    ];
    let shown = marks
        .into_iter()
        .filter_map(|(a, b)| clip_line(a, b, &stage.fit.plan));
    (half_mm > 0.0).then(|| strokes(Class::Needed, shown))
}

/// How high it has to reach, and how low: ticks at the frame's edges.
pub(crate) fn needed_height(stage: &Stage, backing: &Thing) -> Option<Shape> {
    stage.scene.camera.frame?;
    let distance_mm = backing.place.x_mm / stage.view.tilt().1;
    let ends = [1.0, -1.0].map(|side| {
        let (x_mm, z_mm) = stage.view.upright_mm(distance_mm, side);
        stage.fit.upright(x_mm, z_mm)
    });
    let x = stage.fit.upright(backing.place.x_mm, 0.0).x + 7.0;
    let marks = [
        (at(x, ends[0].y), at(x, ends[1].y)),
        (at(x - 3.5, ends[0].y), at(x + 3.5, ends[0].y)),
        (at(x - 3.5, ends[1].y), at(x + 3.5, ends[1].y)),
    ];
    let shown = marks
        .into_iter()
        .filter_map(|(a, b)| clip_line(a, b, &stage.fit.elevation));
    (distance_mm > stage.view.pupil_mm()).then(|| strokes(Class::Needed, shown))
}
