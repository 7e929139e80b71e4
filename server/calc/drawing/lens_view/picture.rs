//! Solids on the frame: cut before the pupil, projected, sorted from far to near, toned and softened.

use super::super::Class;
use super::super::geometry::{clip_line, clip_polygon};
use super::super::scene::{Kind, Lens, ModelPath, Place, Scene, Table, Thing};
use super::super::shape::{Point, Rect, Shape, at, strokes};
use super::eye::{Eye, Vector, dot, minus, on};
use super::solid::{self, Face};

/// Nearer to the pupil than this nothing is drawn.
const NEAREST_MM: f64 = 5.0;
/// Depth of a strip of the table, which has one tone.
const STRIP_MM: f64 = 150.0;
/// Lines on the table stand this far apart.
const SQUARE_MM: f64 = 100.0;
/// More strips or lines than this run into one.
const MOST: u32 = 80;
/// Softest blur that is drawn, in sixteenths of a unit.
const SOFTEST: f64 = 160.0;

/// Tones from what the haze has taken to the object's own.
const TONES: [Class; 9] = [
    Class::Tone0,
    Class::Tone1,
    Class::Tone2,
    Class::Tone3,
    Class::Tone4,
    Class::Tone5,
    Class::Tone6,
    Class::Tone7,
    Class::Tone8,
];

/// One scene in one frame.
pub(super) struct Picture<'a> {
    scene: &'a Scene,
    eye: &'a Eye,
    lens: Option<Lens>,
    frame: Rect,
}

/// Something drawn at a depth: what is deeper comes first.
struct Layer {
    depth_mm: f64,
    shapes: Vec<Shape>,
}

impl<'a> Picture<'a> {
    pub(super) fn new(scene: &'a Scene, eye: &'a Eye, frame: Rect) -> Picture<'a> {
        Picture {
            scene,
            eye,
            lens: scene.lens,
            frame,
        }
    }

    /// A place on the drawing; nothing behind the pupil.
    pub(super) fn point(&self, place: Place) -> Option<Point> {
        let (x, y) = self.eye.photosite(place)?;
        Some(self.on_frame((x, y)))
    }

    pub(super) fn holds(&self, point: Point) -> bool {
        self.frame.holds(&Rect::about(point, 0.0))
    }

    /// Height of the pupil over the table.
    pub(super) fn pupil_mm(&self) -> f64 {
        self.eye.pupil().z_mm
    }

    fn on_frame(&self, (x, y): (f64, f64)) -> Point {
        let (across, down) = self.eye.photosites();
        at(
            self.frame.x + x / across * self.frame.width,
            self.frame.y + y / down * self.frame.height,
        )
    }

    /// Everything that is seen, the farthest first.
    pub(super) fn solids(&self) -> Vec<Shape> {
        let mut layers: Vec<Layer> = Vec::new();
        let mut shapes = self.table();
        for thing in &self.scene.things {
            layers.extend(self.solid(thing));
        }
        layers.extend(self.lines());
        layers.sort_by(|a, b| b.depth_mm.total_cmp(&a.depth_mm));
        shapes.extend(layers.into_iter().flat_map(|layer| layer.shapes));
        shapes.extend(self.scene.path.iter().flat_map(|path| self.path(path)));
        shapes
    }

    /// Where level lines vanish.
    pub(super) fn horizon(&self) -> Option<Shape> {
        let [from, to] = self.eye.horizon()?;
        Some(Shape::Line(
            Class::Horizon,
            self.on_frame(from),
            self.on_frame(to),
        ))
    }

    /// What the haze leaves of a tone over this way.
    fn tone(&self, distance_mm: f64, shade: f64) -> Class {
        let left = (-self.scene.extinction_per_m * distance_mm / 1000.0).exp() * shade;
        #[expect(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "between 0 and 8"
        )]
        let step = (left.clamp(0.0, 1.0) * 8.0).round() as usize;
        TONES[step]
    }

    /// Blur at a depth, as the standard deviation of a soft edge in sixteenths of a drawing unit: a disc of the same width
    /// spreads half its radius.
    fn softness(&self, depth_mm: f64) -> u16 {
        let Some(lens) = self
            .lens
            .filter(|lens| lens.magnification > 0.0 && depth_mm > 0.0)
        else {
            return 0;
        };
        let units = lens.blur_mm(depth_mm) / lens.sensor_width_mm * self.frame.width;
        let sixteenths = (units / 4.0 * 16.0).round().min(SOFTEST);
        // Softness in few steps, so that one drawing needs few filters.
        let step = if sixteenths < 16.0 { 2.0 } else { 8.0 };
        let stepped = (sixteenths / step).round() * step;
        #[expect(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "between 0 and 160"
        )]
        if stepped.is_finite() {
            stepped as u16
        } else {
            0
        }
    }

    /// A polygon of the stage on the frame: cut before the pupil, then at the frame's edge, a little beyond which blur draws
    /// from.
    fn polygon(&self, corners: &[Vector]) -> Vec<Point> {
        let depth = |v: &Vector| dot(minus(*v, self.eye.stands()), self.eye.looks()) - NEAREST_MM;
        let mut kept: Vec<Vector> = Vec::new();
        for (index, &end) in corners.iter().enumerate() {
            let start = corners[(index + corners.len() - 1) % corners.len()];
            let (a, b) = (depth(&start), depth(&end));
            if (a < 0.0) != (b < 0.0) {
                kept.push(on(start, a / (a - b), minus(end, start)));
            }
            if b >= 0.0 {
                kept.push(end);
            }
        }
        let points: Vec<Point> = kept
            .into_iter()
            .filter_map(|[x_mm, y_mm, z_mm]| self.point(Place { x_mm, y_mm, z_mm }))
            .collect();
        clip_polygon(&points, &self.frame)
    }

    /// A stroke of the stage on the frame.
    fn stroke(&self, from: Vector, to: Vector) -> Option<(Point, Point)> {
        let depth = |v: &Vector| dot(minus(*v, self.eye.stands()), self.eye.looks()) - NEAREST_MM;
        let (a, b) = (depth(&from), depth(&to));
        if a < 0.0 && b < 0.0 {
            return None;
        }
        let cut = || on(from, a / (a - b), minus(to, from));
        let (from, to) = (
            if a < 0.0 { cut() } else { from },
            if b < 0.0 { cut() } else { to },
        );
        let point = |[x_mm, y_mm, z_mm]: Vector| self.point(Place { x_mm, y_mm, z_mm });
        clip_line(point(from)?, point(to)?, &self.frame)
    }

    /// The table's top in strips, each with its own tone, and its lines.
    fn table(&self) -> Vec<Shape> {
        let Some(table) = self
            .scene
            .table
            .filter(|t| t.length_mm > 0.0 && t.width_mm > 0.0)
        else {
            return Vec::new();
        };
        let half = table.width_mm / 2.0;
        let strip_mm = STRIP_MM.max(table.length_mm / f64::from(MOST));
        let mut shapes = Vec::new();
        for step in (0..MOST).rev() {
            let near = f64::from(step) * strip_mm;
            if near >= table.length_mm {
                continue;
            }
            let (x0, x1) = (
                table.near_edge_mm + near,
                table.near_edge_mm + (near + strip_mm).min(table.length_mm),
            );
            let points = self.polygon(&[
                [x0, -half, 0.0],
                [x1, -half, 0.0],
                [x1, half, 0.0],
                [x0, half, 0.0],
            ]);
            let middle = Place {
                x_mm: f64::midpoint(x0, x1),
                y_mm: 0.0,
                z_mm: 0.0,
            };
            if !points.is_empty() {
                let tone = self.tone(self.eye.distance_mm(middle), 0.4);
                shapes.push(Shape::Polygon(tone, points));
            }
        }
        shapes.push(self.squares(&table));
        shapes
    }

    fn squares(&self, table: &Table) -> Shape {
        let half = table.width_mm / 2.0;
        let (near, far) = (table.near_edge_mm, table.near_edge_mm + table.length_mm);
        let square_mm = SQUARE_MM.max(table.length_mm.max(table.width_mm) / f64::from(MOST));
        let marks = |from: f64, to: f64| {
            (0..=MOST)
                .map(move |step| from + f64::from(step) * square_mm)
                .take_while(move |mm| *mm <= to + 0.5)
        };
        let across = marks(near, far).map(|x| ([x, -half, 0.0], [x, half, 0.0]));
        let along = marks(-half, half).map(|y| ([near, y, 0.0], [far, y, 0.0]));
        strokes(
            Class::FloorLine,
            across
                .chain(along)
                .filter_map(|(from, to)| self.stroke(from, to)),
        )
    }

    /// A thing's faces as one layer.
    fn solid(&self, thing: &Thing) -> Option<Layer> {
        let faces = solid::faces(thing, self.eye.stands());
        let outline = thing.kind == Kind::Net;
        let mut drawn: Vec<(f64, Vec<Shape>)> = faces
            .iter()
            .filter_map(|face| {
                let points = self.polygon(&face.corners);
                if points.is_empty() {
                    return None;
                }
                let depth_mm = self.depth_of(face);
                let edge = Shape::Polygon(Class::Edge, points.clone());
                if outline {
                    return Some((depth_mm, vec![Shape::Polygon(Class::Net, points)]));
                }
                let shade = if thing.kind == Kind::Backing {
                    0.3
                } else {
                    face.shade
                };
                let tone = self.tone(self.distance_of(face), shade);
                Some((depth_mm, vec![Shape::Polygon(tone, points), edge]))
            })
            .collect();
        if drawn.is_empty() {
            return None;
        }
        drawn.sort_by(|a, b| b.0.total_cmp(&a.0));
        let middle_mm = self.eye.depth_mm(thing.middle());
        let softness = self.softness(middle_mm.max(NEAREST_MM));
        let shapes: Vec<Shape> = drawn.into_iter().flat_map(|(_, shapes)| shapes).collect();
        let shapes = if softness > 0 {
            vec![Shape::Soft(softness, shapes)]
        } else {
            shapes
        };
        Some(Layer {
            // What lies flat or stands as a wall behind everything is judged by its far side.
            depth_mm: if matches!(thing.kind, Kind::Tiles) {
                f64::MAX
            } else {
                middle_mm
            },
            shapes: vec![held(thing, shapes)],
        })
    }

    fn depth_of(&self, face: &Face) -> f64 {
        let depth = |v: &Vector| dot(minus(*v, self.eye.stands()), self.eye.looks());
        #[expect(clippy::cast_precision_loss, reason = "a face has four corners")]
        let count = face.corners.len() as f64;
        face.corners.iter().map(depth).sum::<f64>() / count
    }

    fn distance_of(&self, face: &Face) -> f64 {
        let away = |v: &Vector| {
            let [x, y, z] = minus(*v, self.eye.stands());
            x.hypot(y).hypot(z)
        };
        #[expect(clippy::cast_precision_loss, reason = "a face has four corners")]
        let count = face.corners.len() as f64;
        face.corners.iter().map(away).sum::<f64>() / count
    }

    /// Lines that hold what hangs.
    fn lines(&self) -> Vec<Layer> {
        let place = |p: Place| [p.x_mm, p.y_mm, p.z_mm];
        let drawn = self.scene.lines.iter().filter_map(|line| {
            let stroke = self.stroke(place(line.top), place(line.foot))?;
            Some(Layer {
                depth_mm: self.eye.depth_mm(line.foot),
                shapes: vec![strokes(Class::Wire, [stroke])],
            })
        });
        drawn.collect()
    }

    /// The model's path with its ticks, drawn over everything: it is a note on the picture, not in it.
    fn path(&self, path: &ModelPath) -> Vec<Shape> {
        let spot = |mm: f64| {
            let p = path.along(mm);
            [p.x_mm, p.y_mm, p.z_mm]
        };
        let line = self.stroke(spot(0.0), spot(path.length_mm()));
        let ticks = path.ticks_mm().into_iter().filter_map(|mm| {
            let [x_mm, y_mm, z_mm] = spot(mm);
            let p = self.point(Place { x_mm, y_mm, z_mm })?;
            self.holds(p)
                .then_some((at(p.x, p.y - 3.0), at(p.x, p.y + 3.0)))
        });
        vec![strokes(Class::Path, line.into_iter().chain(ticks))]
    }
}

/// A thing's shapes under its id, so that a page ties them to its blanks.
fn held(thing: &Thing, shapes: Vec<Shape>) -> Shape {
    if thing.id.is_empty() {
        Shape::Group(Class::Item, None, shapes)
    } else {
        Shape::Thing(thing.id.clone(), thing.name.clone(), shapes)
    }
}
