//! Look against lungs: one index line across seven rulers, so that nobody can move the look without moving the rest.

use super::super::Class;
use super::super::figure;
use super::super::setup::Form;
use super::super::shape::{Anchor, Drawing, Hatch, Rect, Shape, at, strokes, text, text_over};
use crate::figure::{given, significant};

/// What the rulers show. All of it follows from the extinction.
#[derive(Clone, Debug, PartialEq)]
pub struct Lungs {
    /// Haze of the setup.
    pub extinction_per_m: f64,
    /// Way through it to the far end.
    pub far_m: f64,
    /// How many times smaller the model is.
    pub scale_denominator: f64,
    /// Contrast that still shows, as a natural logarithm without its sign: 3.912 for 2 %.
    pub threshold: f64,
    /// What a gram of fine haze hides.
    pub fine_m2pg: f64,
    /// What a gram of coarse fog hides.
    pub coarse_m2pg: f64,
    /// Diameters of the two, for their names.
    pub diameters_um: (f64, f64),
    /// Peak limit chosen.
    pub peak_mgpm3: f64,
    /// Eight-hour limit chosen.
    pub average_mgpm3: f64,
    /// Other setups of the day and what they want.
    pub others: Vec<(String, f64)>,
}

/// Ends of the index.
const FROM: f64 = 0.02;
const TO: f64 = 10.0;
/// Minutes of the eight hours.
const WORKING_DAY_MIN: f64 = 480.0;

struct Row<'a> {
    name: &'a str,
    note: String,
    /// Where each figure stands, as an extinction, and what it says.
    ticks: Vec<(f64, String)>,
    /// Limits on this ruler.
    limits: Vec<(f64, &'static str)>,
    value: String,
    is_over: bool,
}

/// Levels that may have a tick, mg/m³.
const LEVELS: [f64; 12] = [
    1.0, 2.0, 5.0, 10.0, 20.0, 40.0, 100.0, 200.0, 500.0, 1000.0, 2000.0, 5000.0,
];

/// Ticks of a ruler: what stands at each, and where on the index.
fn ticks(values: &[f64], of: &dyn Fn(f64) -> f64, unit: &str) -> Vec<(f64, String)> {
    let all = values
        .iter()
        .map(|v| (of(*v), format!("{}{unit}", given(*v))));
    all.filter(|(s, _)| (FROM..=TO).contains(s)).collect()
}

impl Lungs {
    fn fine(&self, sigma: f64) -> f64 {
        sigma / self.fine_m2pg * 1000.0
    }

    /// Extinction at which fine haze stands at a level.
    fn of_fine(&self, mg: f64) -> f64 {
        mg * self.fine_m2pg / 1000.0
    }

    fn rows(&self) -> Vec<Row<'_>> {
        let sigma = self.extinction_per_m;
        let contrast = (-sigma * self.far_m).exp() * 100.0;
        let reach = self.threshold * self.scale_denominator / sigma;
        let optical = vec![
            Row {
                name: "Haze",
                note: "per m".into(),
                ticks: ticks(
                    &[0.02, 0.05, 0.1, 0.2, 0.5, 1.0, 2.0, 5.0, 10.0],
                    &|v| v,
                    "",
                ),
                limits: Vec::new(),
                value: format!("{} per m", significant(sigma, 3)),
                is_over: false,
            },
            Row {
                name: "Contrast left",
                note: format!("at the far end, {} m", significant(self.far_m, 2)),
                ticks: ticks(
                    &[95.0, 90.0, 80.0, 70.0, 50.0, 30.0, 10.0, 2.0],
                    &|v| -(v / 100.0).ln() / self.far_m,
                    " %",
                ),
                limits: Vec::new(),
                value: format!("{} %", significant(contrast, 2)),
                is_over: false,
            },
            Row {
                name: "Reach",
                note: "full size".into(),
                ticks: ticks(
                    &[
                        5000.0, 2000.0, 1000.0, 500.0, 200.0, 100.0, 50.0, 20.0, 10.0, 5.0,
                    ],
                    &|v| self.threshold * self.scale_denominator / v,
                    " m",
                ),
                limits: Vec::new(),
                value: format!("{} m", significant(reach, 2)),
                is_over: false,
            },
        ];
        optical.into_iter().chain(self.air_rows()).collect()
    }

    fn air_rows(&self) -> Vec<Row<'_>> {
        let sigma = self.extinction_per_m;
        let (fine, coarse) = (self.fine(sigma), sigma / self.coarse_m2pg * 1000.0);
        let share = fine / self.peak_mgpm3;
        let stay = WORKING_DAY_MIN * self.average_mgpm3 / fine;
        vec![
            Row {
                name: "Fine haze",
                note: format!("mg/m³, {} µm", given(self.diameters_um.0)),
                ticks: ticks(&LEVELS, &|v| self.of_fine(v), ""),
                limits: vec![
                    (self.of_fine(self.average_mgpm3), "average"),
                    (self.of_fine(self.peak_mgpm3), "peak"),
                ],
                value: format!("{} mg/m³", significant(fine, 3)),
                is_over: fine > self.average_mgpm3,
            },
            Row {
                name: "Coarse fog",
                note: format!("mg/m³, {} µm", given(self.diameters_um.1)),
                ticks: ticks(&LEVELS, &|v| v * self.coarse_m2pg / 1000.0, ""),
                limits: vec![
                    (self.average_mgpm3 * self.coarse_m2pg / 1000.0, ""),
                    (self.peak_mgpm3 * self.coarse_m2pg / 1000.0, ""),
                ],
                value: format!("{} mg/m³", significant(coarse, 3)),
                is_over: coarse > self.average_mgpm3,
            },
            Row {
                name: "Share of the peak",
                note: format!("fine haze, of {}", given(self.peak_mgpm3)),
                ticks: ticks(
                    &[0.05, 0.1, 0.2, 0.5, 1.0, 2.0, 5.0, 10.0, 20.0, 50.0],
                    &|v| self.of_fine(v * self.peak_mgpm3),
                    " ×",
                ),
                limits: vec![(self.of_fine(self.peak_mgpm3), "")],
                value: format!("{} × peak", significant(share, 2)),
                is_over: share > 1.0,
            },
            Row {
                name: "A person may stay",
                note: "minutes in eight hours".into(),
                ticks: ticks(
                    &[480.0, 240.0, 120.0, 60.0],
                    &|v| self.of_fine(WORKING_DAY_MIN * self.average_mgpm3 / v),
                    "",
                )
                .into_iter()
                .filter(|(s, _)| *s <= self.of_fine(self.peak_mgpm3) * 1.001)
                .collect(),
                limits: Vec::new(),
                value: if share > 1.0 {
                    "none".into()
                } else {
                    format!("{} min", significant(stay.min(WORKING_DAY_MIN), 2))
                },
                is_over: share > 1.0,
            },
        ]
    }
}

/// Draws the rulers.
pub fn lungs(of: &Lungs, form: Form) -> Drawing {
    let is_narrow = form == Form::Narrow;
    let (width, left, right, pitch, top) = if is_narrow {
        (360.0, 8.0, 352.0, 52.0, 60.0)
    } else {
        (1080.0, 150.0, 880.0, 36.0, 54.0)
    };
    let x =
        |sigma: f64| left + (sigma.clamp(FROM, TO) / FROM).ln() / (TO / FROM).ln() * (right - left);
    let rows = of.rows();
    let bottom = top + pitch * 6.0;
    let mut shapes = Vec::new();
    // Above the peak nobody is in the air.
    let peak_x = x(of.of_fine(of.peak_mgpm3));
    let last_y = bottom;
    if peak_x < right {
        let area = Rect {
            x: peak_x,
            y: last_y - 9.0,
            width: right - peak_x,
            height: 9.0,
        };
        shapes.push(Shape::Hatched(Class::Part, area, Hatch::Clear));
        shapes.push(Shape::Line(
            Class::Focus,
            at(peak_x, top - 34.0),
            at(peak_x, bottom + 10.0),
        ));
        shapes.push(text_over(
            Class::Label,
            at(peak_x, top - 38.0),
            Anchor::Middle,
            "the most the peak lets",
        ));
    }
    for (n, row) in rows.iter().enumerate() {
        #[expect(clippy::cast_precision_loss, reason = "seven rows")]
        let y = top + pitch * n as f64;
        shapes.extend(drawn(row, y, (left, right), &x, is_narrow));
    }
    for (code, sigma) in &of.others {
        let at_x = x(*sigma);
        shapes.push(Shape::Line(
            Class::Ruler,
            at(at_x, top - 12.0),
            at(at_x, top),
        ));
        shapes.push(text_over(
            Class::Label,
            at(at_x, top - 15.0),
            Anchor::Middle,
            code.clone(),
        ));
    }
    let index = x(of.extinction_per_m);
    shapes.push(Shape::Line(
        Class::Limit,
        at(index, top - 6.0),
        at(index, bottom + 12.0),
    ));
    shapes.push(Shape::Polygon(
        Class::Mark,
        vec![
            at(index - 7.0, bottom + 26.0),
            at(index - 7.0, bottom + 18.0),
            at(index, bottom + 11.0),
            at(index + 7.0, bottom + 18.0),
            at(index + 7.0, bottom + 26.0),
        ],
    ));
    Drawing {
        width,
        height: bottom + 32.0,
        shapes,
        label: format!(
            "Look against lungs: {}.",
            rows.iter()
                .map(|r| format!("{} {}", r.name, r.value))
                .collect::<Vec<_>>()
                .join(", ")
        ),
        facts: rows
            .iter()
            .map(|r| (r.name.to_owned(), r.value.clone()))
            .collect(),
    }
}

fn drawn(
    row: &Row<'_>,
    y: f64,
    (left, right): (f64, f64),
    x: &impl Fn(f64) -> f64,
    is_narrow: bool,
) -> Vec<Shape> {
    let value = if row.is_over {
        Class::ClashNote
    } else {
        Class::Figure
    };
    let mut shapes = if is_narrow {
        vec![
            text(Class::RowName, at(left, y - 14.0), Anchor::Start, row.name),
            text(value, at(right, y - 14.0), Anchor::End, row.value.clone()),
        ]
    } else {
        vec![
            text(Class::RowName, at(0.0, y - 2.0), Anchor::Start, row.name),
            text(
                Class::RowNote,
                at(0.0, y + 11.0),
                Anchor::Start,
                row.note.clone(),
            ),
            text(value, at(1076.0, y + 4.0), Anchor::End, row.value.clone()),
        ]
    };
    let mut ticks = vec![(at(left, y), at(right, y))];
    let mut last = f64::NEG_INFINITY;
    let mut figures: Vec<(f64, &String)> =
        row.ticks.iter().map(|(s, words)| (x(*s), words)).collect();
    figures.sort_by(|a, b| a.0.total_cmp(&b.0));
    for (at_x, words) in figures {
        ticks.push((at(at_x, y - 3.0), at(at_x, y + 3.0)));
        let room = figure::width(words, Class::Tick) / 2.0;
        if at_x - room > last + 5.0 && at_x - room >= left - 8.0 && at_x + room <= right + 8.0 {
            shapes.push(text(
                Class::Tick,
                at(at_x, y + 14.0),
                Anchor::Middle,
                words.clone(),
            ));
            last = at_x + room;
        }
    }
    shapes.push(strokes(Class::Ruler, ticks));
    for (sigma, words) in &row.limits {
        let at_x = x(*sigma);
        shapes.push(Shape::Line(
            Class::Level,
            at(at_x, y - 9.0),
            at(at_x, y + 5.0),
        ));
        if !words.is_empty() && !is_narrow {
            shapes.push(text_over(
                Class::ClashNote,
                at(at_x - 3.0, y - 5.0),
                Anchor::End,
                *words,
            ));
        }
    }
    shapes
}
