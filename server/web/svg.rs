//! Writes a drawing as SVG text.
//!
//! Presentation is by class only, so one drawing serves every look. Ids (title, hatches) carry a prefix, so that two drawings
//! can live on one page.

use std::collections::BTreeSet;
use std::fmt::Write;

use stillair_calc::drawing::{Anchor, Class, Drawing, Hatch, Point, Rect, Shape, Step, Text};

/// The drawing as one `svg` element. `id_prefix` must be its own on the page; only letters, digits and `-` of it are kept.
pub fn svg(drawing: &Drawing, id_prefix: &str) -> String {
    let prefix = kept_prefix(id_prefix);
    // A picture hides what is inside it from whoever hears the page; one that leads somewhere is a group instead.
    let leads = drawing
        .flat()
        .iter()
        .any(|shape| matches!(shape, Shape::Link(..)));
    let role = if leads { "group" } else { "img" };
    let mut out = format!(
        "<svg class=\"drawing\" viewBox=\"0 0 {} {}\" role=\"{role}\" aria-labelledby=\"{prefix}-title\"><title id=\"{prefix}-title\">{}</title>",
        number(drawing.width),
        number(drawing.height),
        escaped(&drawing.label)
    );
    let mut hatches = BTreeSet::new();
    for shape in &drawing.shapes {
        used_hatches(shape, &mut hatches);
    }
    let soft: BTreeSet<u16> = drawing
        .flat()
        .into_iter()
        .filter_map(|shape| match shape {
            Shape::Soft(sixteenths, _) => Some(*sixteenths),
            _ => None,
        })
        .collect();
    if !hatches.is_empty() || !soft.is_empty() {
        out += "<defs>";
        for hatch in &hatches {
            pattern(&mut out, *hatch, &prefix);
        }
        for sixteenths in soft {
            // The region is wide enough for the blur of a shape that is itself thin.
            let _ = write!(
                out,
                "<filter id=\"{prefix}-soft{sixteenths}\" x=\"-30%\" y=\"-30%\" width=\"160%\" height=\"160%\"><feGaussianBlur stdDeviation=\"{}\"/></filter>",
                f64::from(sixteenths) / 16.0
            );
        }
        out += "</defs>";
    }
    for shape in &drawing.shapes {
        write_shape(&mut out, shape, &prefix);
    }
    out + "</svg>"
}

/// The key to a hatch, for a legend: a small rectangle filled with it.
pub fn hatch_key(hatch: Hatch, id_prefix: &str) -> String {
    let prefix = kept_prefix(id_prefix);
    let area = Rect {
        x: 0.5,
        y: 0.5,
        width: 25.0,
        height: 13.0,
    };
    // The words of the key stand beside it.
    let mut hatches = String::new();
    pattern(&mut hatches, hatch, &prefix);
    let mut out = format!(
        "<svg class=\"d-key\" viewBox=\"0 0 26 14\" aria-hidden=\"true\"><defs>{hatches}</defs>"
    );
    let key = Shape::Hatched(Class::Part, area, hatch);
    write_shape(&mut out, &key, &prefix);
    out + "</svg>"
}

/// What of a prefix may stand in an id.
fn kept_prefix(id_prefix: &str) -> String {
    id_prefix
        .chars()
        .filter(|c| c.is_ascii_alphanumeric() || *c == '-')
        .collect()
}

/// A number with at most one decimal, which is a twentieth of a unit at most from the truth, and no needless characters.
fn number(value: f64) -> String {
    let tenths = (value * 10.0).round();
    if tenths.abs() < 1e15 {
        // A drawing has ten thousand numbers: whole ones are written three times as fast.
        #[expect(clippy::cast_possible_truncation, reason = "it is whole and small")]
        let tenths = tenths as i64;
        let (whole, tenth) = (tenths / 10, tenths % 10);
        return match (tenth, tenths < 0 && whole == 0) {
            (0, _) => whole.to_string(),
            (_, true) => format!("-0.{}", tenth.abs()),
            (_, false) => {
                let mut out = whole.to_string();
                out.push('.');
                out.push(char::from(b'0' + tenth.unsigned_abs().to_le_bytes()[0]));
                out
            }
        };
    }
    format!("{value}")
}

/// Text as it may stand in an element or a quoted attribute.
fn escaped(words: &str) -> String {
    let mut out = String::with_capacity(words.len());
    for letter in words.chars() {
        match letter {
            '&' => out += "&amp;",
            '<' => out += "&lt;",
            '>' => out += "&gt;",
            '"' => out += "&quot;",
            '\'' => out += "&#39;",
            // Control characters are no part of XML.
            c if c.is_control() => out.push(' '),
            c => out.push(c),
        }
    }
    out
}

/// Whether an address stays on this server: `/…`, `?…` or `#…`, never another host or scheme.
fn is_local(address: &str) -> bool {
    address.starts_with(['?', '#'])
        || (address.starts_with('/') && !address.starts_with("//") && !address.starts_with("/\\"))
}

fn used_hatches(shape: &Shape, into: &mut BTreeSet<Hatch>) {
    match shape {
        Shape::Hatched(_, _, hatch) => {
            into.insert(*hatch);
        }
        Shape::Group(_, _, inner)
        | Shape::View(_, inner)
        | Shape::Soft(_, inner)
        | Shape::Thing(_, _, inner)
        | Shape::Link(_, _, inner) => {
            for shape in inner {
                used_hatches(shape, into);
            }
        }
        _ => {}
    }
}

fn hatch_id(hatch: Hatch, prefix: &str) -> String {
    match hatch {
        Hatch::Clear => format!("{prefix}-clear"),
        Hatch::Set => format!("{prefix}-set"),
        Hatch::Light => format!("{prefix}-light"),
        Hatch::Fill => format!("{prefix}-fill"),
        Hatch::Still => format!("{prefix}-still"),
        Hatch::Murk(step) => format!("{prefix}-murk{step}"),
    }
}

fn pattern(out: &mut String, hatch: Hatch, prefix: &str) {
    let (side, turn, inner) = match hatch {
        Hatch::Clear => (6.0, 45, line("M3 0V6")),
        Hatch::Set => (6.0, 45, line("M3 0V6M0 3H6")),
        Hatch::Light => (5.0, 0, line("M2.5 0V5")),
        Hatch::Fill => (5.0, 0, dot(Class::HatchDot, 2.0, 1.0)),
        Hatch::Still => (5.0, 0, line("M0 2.5H5")),
        Hatch::Murk(step) => (
            1.0 + 0.78 * f64::from(step),
            22,
            dot(Class::MurkDot, 1.1, 0.7),
        ),
    };
    let (id, side) = (hatch_id(hatch, prefix), number(side));
    let _ = write!(
        out,
        "<pattern id=\"{id}\" width=\"{side}\" height=\"{side}\" patternUnits=\"userSpaceOnUse\""
    );
    if turn != 0 {
        let _ = write!(out, " patternTransform=\"rotate({turn})\"");
    }
    let _ = write!(out, ">{inner}</pattern>");
}

fn line(steps: &str) -> String {
    format!(
        "<path class=\"{}\" d=\"{steps}\"/>",
        Class::HatchLine.name()
    )
}

fn dot(class: Class, middle: f64, radius: f64) -> String {
    let (middle, radius) = (number(middle), number(radius));
    format!(
        "<circle class=\"{}\" cx=\"{middle}\" cy=\"{middle}\" r=\"{radius}\"/>",
        class.name()
    )
}

fn write_shape(out: &mut String, shape: &Shape, prefix: &str) {
    // Writing to a String cannot fail, so its result says nothing.
    let _ = match shape {
        Shape::Line(class, from, to) => write!(
            out,
            "<path class=\"{}\" d=\"{}\"/>",
            class.name(),
            steps(&[Step::Move(*from), Step::Line(*to)])
        ),
        Shape::Polyline(class, points) => write!(
            out,
            "<path class=\"{}\" d=\"{}\"/>",
            class.name(),
            joined(points, false)
        ),
        Shape::Polygon(class, points) => write!(
            out,
            "<path class=\"{}\" d=\"{}\"/>",
            class.name(),
            joined(points, true)
        ),
        Shape::Path(class, path) => write!(
            out,
            "<path class=\"{}\" d=\"{}\"/>",
            class.name(),
            steps(path)
        ),
        Shape::Circle(class, centre, radius) => write!(
            out,
            "<circle class=\"{}\" cx=\"{}\" cy=\"{}\" r=\"{}\"/>",
            class.name(),
            number(centre.x),
            number(centre.y),
            number(*radius)
        ),
        Shape::Rect(class, area) => {
            write!(out, "<rect class=\"{}\"{}/>", class.name(), place(area))
        }
        Shape::Hatched(class, area, hatch) => {
            write!(
                out,
                "<rect class=\"{}\"{} fill=\"url(#{})\"/>",
                class.name(),
                place(area),
                hatch_id(*hatch, prefix)
            )
        }
        Shape::Picture(class, area, address) if is_local(address) => write!(
            out,
            "<image class=\"{}\"{} preserveAspectRatio=\"xMidYMid slice\" href=\"{}\"/>",
            class.name(),
            place(area),
            escaped(address)
        ),
        Shape::Picture(..) => Ok(()),
        Shape::Text(text) => {
            write_text(out, text);
            Ok(())
        }
        Shape::Ring(_) | Shape::Dimension(_) => {
            write_shape(out, &shape.drawn(), prefix);
            Ok(())
        }
        Shape::Link(_, _, inner)
        | Shape::Soft(_, inner)
        | Shape::View(_, inner)
        | Shape::Thing(_, _, inner)
        | Shape::Group(_, _, inner) => {
            let (open, close) = around(shape, prefix);
            *out += &open;
            for shape in inner {
                write_shape(out, shape, prefix);
            }
            *out += close;
            Ok(())
        }
    };
}

/// What stands before and after the shapes that another one holds. A link that leads off this server leads nowhere.
fn around(shape: &Shape, prefix: &str) -> (String, &'static str) {
    match shape {
        Shape::Link(address, name, _) if is_local(address) => (
            format!(
                "<a href=\"{}\" tabindex=\"-1\" data-step aria-label=\"{}\">",
                escaped(address),
                escaped(name)
            ),
            "</a>",
        ),
        Shape::Soft(sixteenths, _) => (
            format!("<g filter=\"url(#{prefix}-soft{sixteenths})\">"),
            "</g>",
        ),
        Shape::View(view, _) => (
            format!(
                "<g data-view=\"{}\" data-mm=\"{:.4}\" data-x=\"{}\" data-y=\"{}\">",
                view.name,
                view.mm_per_unit,
                number(view.origin.x),
                number(view.origin.y)
            ),
            "</g>",
        ),
        Shape::Thing(id, name, _) => (
            format!(
                "<g data-thing=\"{}\" data-name=\"{}\">",
                escaped(id),
                escaped(name)
            ),
            "</g>",
        ),
        Shape::Group(class, also, _) => {
            let also = also.map_or_else(String::new, |class| format!(" {}", class.name()));
            (format!("<g class=\"{}{also}\">", class.name()), "</g>")
        }
        _ => (String::new(), ""),
    }
}

fn write_text(out: &mut String, text: &Text) {
    let halo = if text.halo {
        format!(" {}", Class::Halo.name())
    } else {
        String::new()
    };
    let (x, y) = (number(text.at.x), number(text.at.y));
    let _ = write!(out, "<text class=\"{}{halo}\"", text.class.name());
    let _ = if text.upward {
        write!(out, " transform=\"translate({x} {y}) rotate(-90)\"")
    } else {
        write!(out, " x=\"{x}\" y=\"{y}\"")
    };
    *out += match text.anchor {
        Anchor::Start => "",
        Anchor::Middle => " text-anchor=\"middle\"",
        Anchor::End => " text-anchor=\"end\"",
    };
    let _ = write!(out, ">{}</text>", escaped(&text.words));
}

fn place(area: &Rect) -> String {
    format!(
        " x=\"{}\" y=\"{}\" width=\"{}\" height=\"{}\"",
        number(area.x),
        number(area.y),
        number(area.width),
        number(area.height)
    )
}

fn joined(points: &[Point], closed: bool) -> String {
    let mut path: Vec<Step> = points
        .iter()
        .enumerate()
        .map(|(index, point)| {
            if index == 0 {
                Step::Move(*point)
            } else {
                Step::Line(*point)
            }
        })
        .collect();
    if closed {
        path.push(Step::Close);
    }
    steps(&path)
}

/// The `d` of a path, level and upright strokes in their short form.
fn steps(path: &[Step]) -> String {
    let mut out = String::new();
    let mut pen = (String::new(), String::new());
    for step in path {
        let point = match step {
            Step::Move(p)
            | Step::Line(p)
            | Step::Curve(_, p)
            | Step::Bend(_, _, p)
            | Step::Arc(_, _, p) => p,
            Step::Close => {
                out.push('Z');
                continue;
            }
        };
        let to = (number(point.x), number(point.y));
        let _ = match step {
            Step::Move(_) => write!(out, "M{} {}", to.0, to.1),
            Step::Line(_) if to.1 == pen.1 => write!(out, "H{}", to.0),
            Step::Line(_) if to.0 == pen.0 => write!(out, "V{}", to.1),
            Step::Line(_) => write!(out, "L{} {}", to.0, to.1),
            Step::Curve(handle, _) => write!(
                out,
                "Q{} {} {} {}",
                number(handle.x),
                number(handle.y),
                to.0,
                to.1
            ),
            Step::Bend(first, second, _) => write!(
                out,
                "C{} {} {} {} {} {}",
                number(first.x),
                number(first.y),
                number(second.x),
                number(second.y),
                to.0,
                to.1
            ),
            Step::Arc(radius, clockwise, _) => {
                write!(
                    out,
                    "A{0} {0} 0 0 {1} {2} {3}",
                    number(*radius),
                    u8::from(*clockwise),
                    to.0,
                    to.1
                )
            }
            Step::Close => Ok(()),
        };
        pen = to;
    }
    out
}

#[cfg(test)]
mod tests {
    use stillair_calc::drawing::shape::at;

    use super::*;

    fn drawing(shapes: Vec<Shape>) -> Drawing {
        Drawing {
            width: 100.0,
            height: 50.25,
            shapes,
            label: "Plan & \"elevation\" <x>".to_owned(),
            facts: Vec::new(),
        }
    }

    fn words(text: &str) -> Shape {
        Shape::Text(Text {
            class: Class::Label,
            at: at(1.0, 2.0),
            anchor: Anchor::End,
            words: text.to_owned(),
            halo: true,
            upward: false,
        })
    }

    #[test]
    fn words_are_escaped_everywhere() {
        let link = Shape::Link(
            "/shots/\"x".to_owned(),
            "a<b".to_owned(),
            vec![words("</text><script>'&")],
        );
        let out = svg(&drawing(vec![link]), "p");
        assert!(out.contains("Plan &amp; &quot;elevation&quot; &lt;x&gt;"));
        assert!(out.contains("&lt;/text&gt;&lt;script&gt;&#39;&amp;"));
        assert!(
            out.contains("href=\"/shots/&quot;x\" tabindex=\"-1\" data-step aria-label=\"a&lt;b\"")
        );
        assert!(!out.contains("<script"));
    }

    #[test]
    fn nothing_leads_off_the_server() {
        for address in [
            "javascript:alert(1)",
            "https://elsewhere/",
            "//elsewhere/",
            "/\\elsewhere",
            "data:image/png,",
        ] {
            let shapes = vec![
                Shape::Picture(
                    Class::BoardPicture,
                    Rect {
                        x: 0.0,
                        y: 0.0,
                        width: 1.0,
                        height: 1.0,
                    },
                    address.to_owned(),
                ),
                Shape::Link(address.to_owned(), "x".to_owned(), vec![words("kept")]),
            ];
            let out = svg(&drawing(shapes), "p");
            assert!(!out.contains("href") && out.contains("kept"), "{address}");
        }
    }

    #[test]
    fn ids_carry_the_prefix_and_stand_once() {
        let area = Rect {
            x: 0.0,
            y: 0.0,
            width: 10.0,
            height: 10.0,
        };
        let shapes = [Hatch::Clear, Hatch::Set, Hatch::Clear, Hatch::Murk(3)]
            .map(|hatch| Shape::Hatched(Class::Part, area, hatch))
            .to_vec();
        let both = svg(&drawing(shapes.clone()), "a") + &svg(&drawing(shapes), "b\" onload=\"x");
        let mut ids: Vec<_> = both
            .split(" id=\"")
            .skip(1)
            .filter_map(|rest| rest.split('"').next())
            .collect();
        let count = ids.len();
        assert_eq!(count, 8);
        ids.sort_unstable();
        ids.dedup();
        assert_eq!(ids.len(), count);
        assert!(both.contains("fill=\"url(#a-murk3)\"") && !both.contains("onload=\""));
    }

    #[test]
    fn numbers_are_short() {
        assert_eq!(number(12.3456), "12.3");
        assert_eq!(number(-0.01), "0");
        assert_eq!(number(7.0), "7");
        assert_eq!(number(-0.44), "-0.4");
        assert_eq!(number(-12.06), "-12.1");
        assert_eq!(number(0.96), "1");
        assert_eq!(number(1e16), "10000000000000000");
        let path = [
            Step::Move(at(0.0, 0.0)),
            Step::Line(at(5.0, 0.0)),
            Step::Line(at(5.0, 2.04)),
            Step::Close,
        ];
        assert_eq!(steps(&path), "M0 0H5V2Z");
    }

    #[test]
    fn presentation_is_by_class_only() {
        let out = svg(
            &drawing(vec![
                words("x"),
                Shape::Circle(Class::RingDot, at(1.0, 1.0), 2.0),
            ]),
            "p",
        );
        assert!(!out.contains("style=") && !out.contains("stroke=") && !out.contains("font-"));
        assert!(out.starts_with("<svg class=\"drawing\" viewBox=\"0 0 100 50.3\" role=\"img\""));
    }
}
