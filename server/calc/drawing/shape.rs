//! The plain shapes a drawing is made of, in drawing units, y downward.

use super::Class;
use super::geometry;

/// A place on the drawing.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Point {
    /// Units from the left edge.
    pub x: f64,
    /// Units from the top edge.
    pub y: f64,
}

/// A place on the drawing, briefly.
pub const fn at(x: f64, y: f64) -> Point {
    Point { x, y }
}

/// An upright rectangle.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Rect {
    /// Left edge.
    pub x: f64,
    /// Top edge.
    pub y: f64,
    /// Width, never negative.
    pub width: f64,
    /// Height, never negative.
    pub height: f64,
}

impl Rect {
    /// The rectangle with these two opposite corners.
    pub fn of(a: Point, b: Point) -> Rect {
        Rect {
            x: a.x.min(b.x),
            y: a.y.min(b.y),
            width: (a.x - b.x).abs(),
            height: (a.y - b.y).abs(),
        }
    }

    /// The square about a centre that reaches `half` each way.
    pub const fn about(centre: Point, half: f64) -> Rect {
        Rect {
            x: centre.x - half,
            y: centre.y - half,
            width: 2.0 * half,
            height: 2.0 * half,
        }
    }

    /// Right edge.
    pub fn right(&self) -> f64 {
        self.x + self.width
    }

    /// Bottom edge.
    pub fn bottom(&self) -> f64 {
        self.y + self.height
    }

    /// The same rectangle with `by` more on every side.
    #[must_use]
    pub fn grown(&self, by: f64) -> Rect {
        Rect {
            x: self.x - by,
            y: self.y - by,
            width: self.width + 2.0 * by,
            height: self.height + 2.0 * by,
        }
    }

    /// Whether two rectangles share any area.
    pub fn overlaps(&self, other: &Rect) -> bool {
        self.x < other.right()
            && other.x < self.right()
            && self.y < other.bottom()
            && other.y < self.bottom()
    }

    /// Whether the other rectangle lies wholly inside.
    pub fn holds(&self, other: &Rect) -> bool {
        self.x <= other.x
            && self.y <= other.y
            && other.right() <= self.right()
            && other.bottom() <= self.bottom()
    }
}

/// One step of a path's pen.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Step {
    /// Lift and set down.
    Move(Point),
    /// Straight on.
    Line(Point),
    /// Through one handle.
    Curve(Point, Point),
    /// Through two handles.
    Bend(Point, Point, Point),
    /// Circular arc of this radius; `true` turns clockwise on the page.
    Arc(f64, bool, Point),
    /// Back to where the pen was set down.
    Close,
}

/// Which end of the text stands at its point.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Anchor {
    /// Text runs right from the point.
    Start,
    /// Text is centred on the point.
    Middle,
    /// Text ends at the point.
    End,
}

/// Lettering. The class carries face and size.
#[derive(Clone, Debug, PartialEq)]
pub struct Text {
    /// Face, size and ink.
    pub class: Class,
    /// Where the baseline starts, is centred or ends.
    pub at: Point,
    /// Which of the three.
    pub anchor: Anchor,
    /// The words, not escaped.
    pub words: String,
    /// Whether lines behind are cut away round the letters.
    pub halo: bool,
    /// Turned upward: reads from below to above, as on a vertical dimension.
    pub upward: bool,
}

/// How an area is hatched: by kind of work on the stage day, by thickness of the water on the cut.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Hatch {
    /// Clear the air: single diagonal.
    Clear,
    /// Set and dress: crossed.
    Set,
    /// Light: upright.
    Light,
    /// Fill with haze: dots.
    Fill,
    /// Let it go still: level.
    Still,
    /// Water's stipple, 1 (thickest, closest dots) to 8 (clearest).
    Murk(u8),
}

/// A number ring with its leader to a dot on the thing.
#[derive(Clone, Debug, PartialEq)]
pub struct Ring {
    /// The number.
    pub number: u32,
    /// Centre of the ring.
    pub centre: Point,
    /// The dot on the thing.
    pub dot: Point,
}

impl Ring {
    /// Radius of every ring, in drawing units.
    pub const RADIUS: f64 = 9.0;
}

/// Where a dimension's value stands.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Value {
    /// Above the middle of its line.
    Middle,
    /// Before the line's start, when the line is too short for it.
    Before,
    /// After the line's end.
    After,
    /// Under a level line with no room on any side.
    Below,
    /// Beside the lower half of an upright line, clear of what crosses its middle.
    Quarter,
}

/// Where the arrows of a dimension stand.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Arrows {
    /// Inside, pointing outward.
    Inside,
    /// Outside, pointing inward: the line is short.
    Outside,
    /// Left out: not even that has room.
    None,
}

/// A dimension: line, arrows, extension lines, value above the line.
#[derive(Clone, Debug, PartialEq)]
pub struct Dimension {
    /// Start of the line.
    pub from: Point,
    /// End of the line: on the same level, or straight above or below.
    pub to: Point,
    /// The value as written.
    pub value: String,
    /// Where the value stands.
    pub place: Value,
    /// Where its arrows stand.
    pub arrows: Arrows,
    /// The end runs off the drawing: no arrow, an open end.
    pub open: bool,
    /// Length of the extension lines, from the line toward what is measured: negative is up (or left).
    pub reach: f64,
    /// Shows what someone wrote, not what came out.
    pub entry: bool,
}

/// One shape.
#[derive(Clone, Debug, PartialEq)]
pub enum Shape {
    /// A straight line.
    Line(Class, Point, Point),
    /// Joined straight lines.
    Polyline(Class, Vec<Point>),
    /// A closed figure.
    Polygon(Class, Vec<Point>),
    /// Centre and radius.
    Circle(Class, Point, f64),
    /// An upright rectangle.
    Rect(Class, Rect),
    /// A rectangle filled with a hatch.
    Hatched(Class, Rect, Hatch),
    /// Lines and curves of one pen.
    Path(Class, Vec<Step>),
    /// Lettering.
    Text(Text),
    /// A number ring.
    Ring(Ring),
    /// A dimension.
    Dimension(Dimension),
    /// A picture, filling its rectangle and cut to it.
    Picture(Class, Rect, String),
    /// Shapes that lead somewhere: address and what it is called.
    Link(String, String, Vec<Shape>),
    /// Shapes softened by a blur of this many sixteenths of a drawing unit (standard deviation).
    Soft(u16, Vec<Shape>),
    /// A view to scale, and where on the drawing the stage's own zero stands.
    View(View, Vec<Shape>),
    /// One thing a person may take hold of: its id, what it is called, and its shapes.
    Thing(String, String, Vec<Shape>),
    /// Shapes that belong together; the second class, if any, adds to the first.
    Group(Class, Option<Class>, Vec<Shape>),
}

/// What a page needs to turn a place on the drawing into one on the stage.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct View {
    /// `plan` or `elevation`.
    pub name: &'static str,
    /// Stage millimetres to a drawing unit.
    pub mm_per_unit: f64,
    /// Where the mark (in elevation: the table top below it) stands.
    pub origin: Point,
}

impl Shape {
    /// The primitive shapes of a ring or a dimension as one group; any other shape unchanged.
    #[must_use]
    pub fn drawn(&self) -> Shape {
        match self {
            Shape::Ring(ring) => super::ring::drawn(ring),
            Shape::Dimension(dimension) => super::dimension::drawn(dimension),
            other => other.clone(),
        }
    }

    /// Every number the shape is drawn with.
    pub fn numbers(&self) -> Vec<f64> {
        geometry::numbers(&self.drawn())
    }
}

/// A finished drawing.
#[derive(Clone, Debug, PartialEq)]
pub struct Drawing {
    /// Width in drawing units.
    pub width: f64,
    /// Height in drawing units.
    pub height: f64,
    /// Shapes, the first at the back.
    pub shapes: Vec<Shape>,
    /// One or two sentences with the key figures, for people who hear the page.
    pub label: String,
    /// The same facts as name and value, for the table beside the drawing.
    pub facts: Vec<(String, String)>,
}

/// A path of separate straight strokes.
pub(crate) fn strokes(class: Class, lines: impl IntoIterator<Item = (Point, Point)>) -> Shape {
    let steps = lines
        .into_iter()
        .flat_map(|(from, to)| [Step::Move(from), Step::Line(to)]);
    Shape::Path(class, steps.collect())
}

/// Lettering without halo.
pub(crate) fn text(class: Class, place: Point, anchor: Anchor, words: impl Into<String>) -> Shape {
    Shape::Text(Text {
        class,
        at: place,
        anchor,
        words: words.into(),
        halo: false,
        upward: false,
    })
}

/// Lettering that lines may cross.
pub(crate) fn text_over(
    class: Class,
    place: Point,
    anchor: Anchor,
    words: impl Into<String>,
) -> Shape {
    Shape::Text(Text {
        class,
        at: place,
        anchor,
        words: words.into(),
        halo: true,
        upward: false,
    })
}

impl Drawing {
    /// Every shape, those inside views, things and links as well, each before what it holds.
    pub fn flat(&self) -> Vec<&Shape> {
        fn into<'s>(shapes: &'s [Shape], all: &mut Vec<&'s Shape>) {
            for shape in shapes {
                all.push(shape);
                match shape {
                    Shape::View(_, inner)
                    | Shape::Soft(_, inner)
                    | Shape::Thing(_, _, inner)
                    | Shape::Link(_, _, inner)
                    | Shape::Group(_, _, inner) => into(inner, all),
                    _ => {}
                }
            }
        }
        let mut all = Vec::new();
        into(&self.shapes, &mut all);
        all
    }
}
