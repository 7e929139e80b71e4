//! One sheet with every part in every state. `SPECIMEN_DIR=folder cargo test specimen` also leaves it there to be looked at.

use std::collections::HashSet;

use askama::Template;

use super::look::{FIRST_PAINT, Look};
use super::parts::{
    Bars, Blank, Caution, Choice, Figure, Hand, Kind, Missing, Severity, Tell, TwoHands,
};
use super::sheet::{Cell, Change, Person, Sheet, Tab, TabLink};

#[derive(Template)]
#[template(path = "specimen.html")]
struct Specimen {
    sheet: Sheet,
    blanks: Vec<Blank>,
    results: Vec<Figure>,
    tells: Vec<Tell>,
    gates: Vec<Bars>,
    cautions: Vec<Caution>,
    two_hands: TwoHands,
}

#[derive(Template)]
#[template(path = "error.html")]
struct Trouble {
    sheet: Sheet,
    heading: String,
    sentence: String,
    onward: Vec<(String, String)>,
}

const TABS: &[TabLink] = &[
    tab(Tab::Cut, "/cut"),
    tab(Tab::Setups, "/setups"),
    tab(Tab::Water, "/water"),
    tab(Tab::Haze, "/haze"),
    tab(Tab::Day, "/day"),
    tab(Tab::Takes, "/takes"),
    tab(Tab::Stores, "/stores"),
    tab(Tab::Ready, "/ready"),
    tab(Tab::Paper, "/paper"),
    tab(Tab::Sums, ""),
];

const fn tab(tab: Tab, path: &'static str) -> TabLink {
    TabLink { tab, path }
}

fn sheet(look: Look) -> Sheet {
    Sheet {
        production: "The Drowned Parish".to_owned(),
        name: "S3 Nave, long".to_owned(),
        subtitle: "Serves P4 “Nave, drift-in” and P8 “Back by the south aisle”. Table 1, smoke tent, 1:20.".to_owned(),
        cells: vec![
            Cell {
                label: "Serves".to_owned(),
                value: "P4, P8".to_owned(),
            },
            Cell {
                label: "Scale of drawing".to_owned(),
                value: "see bar".to_owned(),
            },
        ],
        plan_href: Some("/plans/parish".to_owned()),
        tabs: TABS,
        current: Some(Tab::Setups),
        change: Some(Change {
            seq: 812,
            who: "camera".to_owned(),
            at: "14:32".to_owned(),
        }),
        person: Some(Person {
            id: "lead".to_owned(),
            name: "lead".to_owned(),
            role: "lead".to_owned(),
        }),
        look,
        follows: None,
        units: "mm · lx · fps".to_owned(),
        units_switch: None,
        printed: "11 March 16:40".to_owned(),
        notice: String::new(),
        writes: true,
        moment: None,
        remarks: None,
        undecided: None,
        in_pencil: 0,
        path: "/plans/parish/setups/S3?pass=P4&part=\"main\"".to_owned(),
    }
}

fn blanks() -> Vec<Blank> {
    let blank = |name: &str, label: &str, value: &str, unit: &str| Blank {
        id: format!("s3-{name}"),
        name: name.to_owned(),
        label: label.to_owned(),
        value: value.to_owned(),
        unit: unit.to_owned(),
        entity: "s3".to_owned(),
        base: 812,
        ..Blank::default()
    };
    vec![
        blank("focal_length_mm", "Lens", "24", "mm"),
        Blank {
            fault: "Focus must be beyond 24 mm.".to_owned(),
            ..blank("focus_mm", "Focus, from mark", "12", "mm")
        },
        Blank {
            unusual: "f/64 on a 24 mm lens: check.".to_owned(),
            disputed: true,
            ..blank("stop", "Stop, f/", "64", "")
        },
        Blank {
            usual: "180".to_owned(),
            ..blank("shutter_deg", "Shutter", "", "°")
        },
        Blank {
            hint: "Largest blur you accept, in delivered pixels.".to_owned(),
            ..blank("line_px", "Blur line, pixels", "2", "px")
        },
        Blank {
            hand: "light/haze".to_owned(),
            ..blank("reach_m", "Water reaches, full size", "55", "m")
        },
        Blank {
            read_only: true,
            ..blank("pupil", "Pupil ratio", "1.4", "")
        },
        Blank {
            kind: Kind::Choice(vec![
                Choice {
                    value: "clear".to_owned(),
                    label: "Clear".to_owned(),
                },
                Choice {
                    value: "dense".to_owned(),
                    label: "Dense".to_owned(),
                },
            ]),
            ..blank("haze", "Haze", "dense", "")
        },
        Blank {
            kind: Kind::Tick,
            ..blank("rigged", "Rig hangs already", "yes", "")
        },
        Blank {
            kind: Kind::Date,
            ..blank("wanted_on", "Wanted on", "2026-03-12", "")
        },
        Blank {
            kind: Kind::Text,
            ..blank("name", "Name", "Nave, <long> & \"low\"", "")
        },
        Blank {
            kind: Kind::Long,
            ..blank(
                "note",
                "Note",
                "Bay A is recut for the door.\nSpare corbel in case 1.",
                "",
            )
        },
    ]
}

fn results() -> Vec<Figure> {
    vec![
        Figure {
            id: "s3-near".to_owned(),
            ring: "3".to_owned(),
            name: "Near limit, from mark".to_owned(),
            value: "844".to_owned(),
            unit: "mm".to_owned(),
            expression: "1 200.66 ÷ (1 + 0.52973) + 59.34 = 844".to_owned(),
            because: "Focus 1 201 from the pupil, and the pupil is 59 ahead of the mark."
                .to_owned(),
            source: "Entrance-pupil form".to_owned(),
            ..Figure::default()
        },
        Figure {
            ring: "4".to_owned(),
            name: "Far limit, from mark".to_owned(),
            value: "2 612".to_owned(),
            unit: "mm".to_owned(),
            expression: "1 200.66 ÷ (1 − 0.52973) + 59.34 = 2 612".to_owned(),
            stale: true,
            disputed: true,
            ..Figure::default()
        },
        Figure {
            name: "Settle after a run".to_owned(),
            missing: Some(Missing {
                href: "#s3-shutter_deg".to_owned(),
                label: "Shutter".to_owned(),
            }),
            ..Figure::default()
        },
        Figure {
            ring: "13".to_owned(),
            name: "In the tent air".to_owned(),
            value: "256".to_owned(),
            unit: "mg/m³".to_owned(),
            expression: "1.4225 ÷ 5.56 × 1 000 = 256".to_owned(),
            because: "Fine glycol, 0.7 µm.".to_owned(),
            source: "From memory".to_owned(),
            rests_on_usual: true,
            over: "6.4 times the peak limit, 40: tent shut, nobody inside.".to_owned(),
            ..Figure::default()
        },
    ]
}

fn tells() -> Vec<Tell> {
    let tell = |severity, head: &str, quantity: &str, ring: &str| Tell {
        severity,
        head: head.to_owned(),
        quantity: quantity.to_owned(),
        ring: ring.to_owned(),
        ..Tell::default()
    };
    vec![
        Tell {
            body: "Blur 32 µm at 759 mm against a line of 23.4 µm. Focus at 1 071 mm brings it in, and pulls the far limit to 1 882 mm.".to_owned(),
            href: "#s3-focus_mm".to_owned(),
            ..tell(Severity::Shows, "The near arch is soft.", "1.4 ×", "7")
        },
        Tell {
            body: "3 mm emitter × 20 = 60 mm at full size; a real one is about 40 mm (common practice, no source). Mask it to 2 mm.".to_owned(),
            ..tell(Severity::MayShow, "The lantern source reads too big.", "60 mm", "10")
        },
        tell(Severity::Slight, "Fall and drift are a hair quick or slow.", "+0.2 %", "1"),
        Tell {
            let_pass: "Let pass by lead, 3 March: “the water hides the far half.”".to_owned(),
            ..tell(Severity::Shows, "Depth reads shallow.", "f/0.55", "5")
        },
    ]
}

fn gates() -> Vec<Bars> {
    let whole = Bars {
        worked: true,
        in_hand: true,
        tried: true,
        checked: true,
        signed: true,
    };
    vec![
        whole,
        Bars {
            in_hand: false,
            signed: false,
            ..whole
        },
        Bars::default(),
    ]
}

fn cautions() -> Vec<Caution> {
    vec![
        Caution {
            head: "Haze".to_owned(),
            body: "Hang a particle meter at camera height and stop at half the limit. Local rules and the fluid's own safety sheet come first.".to_owned(),
            limit: "10 mg/m³ over eight hours, 40 at any moment".to_owned(),
            authority: "ANSI E1.5".to_owned(),
            date: "chosen by lead, 2 March".to_owned(),
            mark: String::new(),
        },
        Caution {
            head: "Hung models".to_owned(),
            body: "No one under the rail while it runs; a second line on everything over 0.5 kg.".to_owned(),
            mark: "Common practice, no source".to_owned(),
            ..Caution::default()
        },
    ]
}

fn two_hands() -> TwoHands {
    TwoHands {
        id: "two-hands-stop".to_owned(),
        about: "the stop".to_owned(),
        action: "/specimen".to_owned(),
        written: Hand {
            choice: "keep".to_owned(),
            value: "f/11".to_owned(),
            who: "You".to_owned(),
            at: "14:33".to_owned(),
            consequence: "sharp 844 to 2 612 mm, softens to 10.7 µm.".to_owned(),
        },
        beside: Hand {
            choice: "take".to_owned(),
            value: "f/16".to_owned(),
            who: "Camera".to_owned(),
            at: "14:31".to_owned(),
            consequence: "sharp 737 to 5 291 mm, so the near arch comes in.".to_owned(),
        },
        fields: vec![("beside".to_owned(), "812".to_owned())],
    }
}

fn specimen(look: Look) -> String {
    let page = Specimen {
        sheet: sheet(look),
        blanks: blanks(),
        results: results(),
        tells: tells(),
        gates: gates(),
        cautions: cautions(),
        two_hands: two_hands(),
    };
    page.render().expect("the specimen renders")
}

/// Values of an attribute, in the order they stand.
fn values<'a>(html: &'a str, attribute: &str) -> Vec<&'a str> {
    let mark = format!(" {attribute}=\"");
    html.match_indices(&mark)
        .map(|(at, _)| {
            let value = &html[at + mark.len()..];
            &value[..value.find('"').expect("the attribute is closed")]
        })
        .collect()
}

#[test]
fn every_id_is_alone_and_every_reference_finds_one() {
    let html = specimen(Look::Lights);
    let ids = values(&html, "id");
    let known: HashSet<_> = ids.iter().copied().collect();
    assert_eq!(ids.len(), known.len(), "an id stands twice");
    for attribute in ["for", "aria-describedby", "aria-labelledby"] {
        for id in values(&html, attribute).iter().flat_map(|v| v.split(' ')) {
            assert!(known.contains(id), "{attribute} {id}");
        }
    }
    assert!(values(&html, "for").len() >= blanks().len());
}

#[test]
fn the_page_carries_no_script_or_style_of_its_own_but_the_black_first_paint() {
    for look in [Look::Lights, Look::Blackout] {
        let html = specimen(look);
        assert!(values(&html, "style").is_empty());
        for handler in ["onclick", "onchange", "onsubmit", "onload"] {
            assert!(values(&html, handler).is_empty(), "{handler}");
        }
        assert_eq!(html.matches("<script").count(), 1);
        let first_paint = format!("<style>{FIRST_PAINT}</style>");
        let styles = html.matches("<style").count();
        assert_eq!(styles, usize::from(look.is_blackout()));
        assert_eq!(html.contains(&first_paint), look.is_blackout());
    }
}

#[test]
fn what_people_typed_is_escaped() {
    let html = specimen(Look::Lights);
    assert!(!html.contains("Nave, <long>"));
    assert!(html.contains("Nave, &#60;long&#62; &#38; &#34;low&#34;"));
    assert!(html.contains("P4&#38;part=&#34;main&#34;"));
}

#[test]
fn a_figure_that_is_not_known_links_the_blank_it_waits_for() {
    let html = specimen(Look::Lights);
    assert!(html.contains("<a href=\"#s3-shutter_deg\">Shutter</a> is not written yet."));
    assert!(html.contains("aria-label=\"not enough known\""));
}

#[test]
fn specimen_and_trouble_render() {
    let trouble = Trouble {
        sheet: Sheet {
            name: "Not here".to_owned(),
            tabs: TABS,
            ..Sheet::default()
        },
        heading: "There is no setup S9".to_owned(),
        sentence: "The Drowned Parish has setups S1 to S8. S9 may have been struck out.".to_owned(),
        onward: vec![
            ("/plans/parish/setups".to_owned(), "All setups".to_owned()),
            ("/".to_owned(), "Book list".to_owned()),
        ],
    };
    let pages = [
        ("lights.html", specimen(Look::Lights)),
        ("blackout.html", specimen(Look::Blackout)),
        ("trouble.html", trouble.render().expect("the page renders")),
    ];
    for (name, html) in pages {
        assert!(html.trim_end().ends_with("</html>"), "{name}");
        if let Some(folder) = std::env::var_os("SPECIMEN_DIR") {
            std::fs::write(std::path::Path::new(&folder).join(name), html)
                .expect("the folder can be written");
        }
    }
}
