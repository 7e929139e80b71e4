//! Checks on the styles: whether the colours of `static/css/tokens.css` can be read, whether blackout stays dark and warm,
//! and whether every line a drawing may carry is drawn.

use std::collections::{BTreeSet, HashMap};

use stillair_calc::drawing::Class;

type Colours = HashMap<String, [f64; 3]>;

const TOKENS: &str = include_str!("../../static/css/tokens.css");

/// The tokens of paper, and of blackout laid over them.
fn colours(blackout: bool) -> Colours {
    let paper = block(":root {");
    let mut found = paper;
    if blackout {
        found.extend(block("[data-look=\"blackout\"] {"));
    }
    found
}

fn block(opening: &str) -> Colours {
    let start = TOKENS
        .find(opening)
        .expect("the block stands in tokens.css")
        + opening.len();
    let body = &TOKENS[start..];
    let body = &body[..body.find('}').expect("the block is closed")];
    body.lines()
        .filter_map(|line| line.trim().strip_prefix("--")?.split_once(": #"))
        .map(|(name, hex)| (name.to_owned(), srgb(hex.trim_end_matches(';'))))
        .collect()
}

fn srgb(hex: &str) -> [f64; 3] {
    let long: String = match hex.len() {
        3 => hex.chars().flat_map(|digit| [digit, digit]).collect(),
        _ => hex.to_owned(),
    };
    [0, 2, 4].map(|at| f64::from(u8::from_str_radix(&long[at..at + 2], 16).expect(hex)) / 255.0)
}

/// Relative luminance, WCAG 2.2 "relative luminance".
fn luminance(colour: [f64; 3]) -> f64 {
    let [r, g, b] = colour.map(|part| {
        if part <= 0.04045 {
            part / 12.92
        } else {
            ((part + 0.055) / 1.055).powf(2.4)
        }
    });
    0.2126 * r + 0.7152 * g + 0.0722 * b
}

/// Contrast ratio, WCAG 2.2 "contrast ratio".
fn contrast(one: [f64; 3], other: [f64; 3]) -> f64 {
    let (a, b) = (luminance(one), luminance(other));
    (a.max(b) + 0.05) / (a.min(b) + 0.05)
}

#[test]
fn text_reaches_aa_on_every_ground_of_both_looks() {
    for blackout in [false, true] {
        let colours = colours(blackout);
        for ground in ["sheet", "field", "desk"] {
            for text in ["ink", "graphite", "entry", "lead"] {
                let ratio = contrast(colours[text], colours[ground]);
                assert!(
                    ratio >= 4.5,
                    "{text} on {ground}: {ratio:.2}, blackout {blackout}"
                );
            }
            let ratio = contrast(colours["rule"], colours[ground]);
            assert!(
                ratio >= 3.0,
                "rule on {ground}: {ratio:.2}, blackout {blackout}"
            );
        }
    }
}

/// The ratios the design was drawn with, WCAG 2.2 formula.
#[test]
fn contrast_agrees_with_the_table_of_the_design() {
    let (paper, dark) = (colours(false), colours(true));
    for (colours, text, ground, expected) in [
        (&paper, "ink", "sheet", 14.4),
        (&paper, "graphite", "field", 7.1),
        (&paper, "entry", "desk", 6.3),
        (&dark, "ink", "sheet", 6.5),
        (&dark, "entry", "sheet", 9.0),
    ] {
        let ratio = contrast(colours[text], colours[ground]);
        assert!(
            (ratio - expected).abs() < 0.06,
            "{text} on {ground}: {ratio:.3}"
        );
    }
}

#[test]
fn blackout_is_warm_and_never_bright() {
    for (name, colour) in colours(true) {
        let [r, g, b] = colour;
        assert!(r >= g && g >= b, "{name} is not warm");
        assert!(
            luminance(colour) <= 0.41,
            "{name}: {:.3}",
            luminance(colour)
        );
    }
}

#[test]
fn blackout_draws_every_colour_of_paper_anew() {
    let (paper, dark) = (block(":root {"), block("[data-look=\"blackout\"] {"));
    for name in paper.keys() {
        assert!(dark.contains_key(name), "--{name} has no blackout colour");
    }
}

/// Styles that hold the lines of the pure drawings.
const DRAWN: [&str; 4] = [
    include_str!("../../static/css/board.css"),
    include_str!("../../static/css/drawing.css"),
    include_str!("../../static/css/cut.css"),
    include_str!("../../static/css/day.css"),
];

#[test]
fn every_class_of_a_drawing_is_drawn_and_no_other() {
    let styled: BTreeSet<&str> = DRAWN
        .iter()
        .flat_map(|text| text.split(".d-").skip(1))
        .map(|rest| {
            let end = rest
                .find(|c: char| !c.is_ascii_lowercase() && !c.is_ascii_digit() && c != '-')
                .unwrap_or(rest.len());
            &rest[..end]
        })
        // The key to a hatch stands in a legend, outside any drawing.
        .filter(|name| *name != "key")
        .collect();
    // Groups only hold what is drawn.
    let groups = ["dim", "item", "ring"];
    let declared: BTreeSet<&str> = Class::ALL
        .iter()
        .filter_map(|class| class.name().strip_prefix("d-"))
        .filter(|name| !groups.contains(name))
        .collect();
    let undrawn: Vec<_> = declared.difference(&styled).collect();
    assert!(undrawn.is_empty(), "no style for {undrawn:?}");
    let unknown: Vec<_> = styled.difference(&declared).collect();
    assert!(unknown.is_empty(), "no drawing carries {unknown:?}");
}
