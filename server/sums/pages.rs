//! The pages of the bench sums. Anyone may open them, signed in or not: nothing is kept and nothing of a plan is shown.

use super::{
    ask::{Given, Typed},
    cautions, daily,
    forms::Form,
    index::{self, Group, Line},
    plain,
    quantity::Units,
    scales::{self, Row},
    sum::Sum,
};
use crate::{
    access::Hand,
    app::App,
    error::PageError,
    web::{
        look::Look,
        page::{TABS, page},
        parts::{Blank, Caution, Figure},
        problem::encode,
        routes::Routes,
        sheet::{Person, SUMS, Sheet, Tab},
        svg::svg,
        units::day_and_clock,
    },
};
use axum::{
    extract::{FromRequestParts, Path, Query},
    http::request::Parts,
    response::Response,
    routing::get,
};
use stillair_calc::{Calculation, drawing::Drawing, find};

/// Addresses of the bench sums.
pub fn routes() -> Routes {
    Routes::new()
        .route(SUMS, get(list))
        .route(scales::HREF, get(choose_the_scale))
        .route("/sums/{sum}", get(daily_sum))
        .route("/sums/{family}/{calculation}", get(plain_sum))
}

/// Longest address value that is taken: a measured spectrum as a group fits.
const LONGEST: usize = 20_000;

/// What every page of the sums starts from.
struct Bench {
    person: Option<Person>,
    look: Look,
    path: String,
    units: Units,
    /// Everything the address holds but the units.
    typed: Typed,
}

impl FromRequestParts<App> for Bench {
    type Rejection = PageError;

    async fn from_request_parts(parts: &mut Parts, app: &App) -> Result<Self, PageError> {
        let hand = Hand::from_request_parts(parts, app).await.ok();
        let query = Query::<Vec<(String, String)>>::from_request_parts(parts, app).await;
        let mut typed: Typed = query
            .map(|Query(pairs)| pairs.into_iter().collect())
            .unwrap_or_default();
        if typed.values().any(|value| value.len() > LONGEST) {
            return Err(PageError::TooLarge(
                "What the address holds is too long for a sum.".into(),
            ));
        }
        let units = typed
            .remove("units")
            .map(|word| Units::from_word(&word))
            .unwrap_or_default();
        Ok(Self {
            person: hand.map(|hand| Person {
                id: hand.id.to_string(),
                name: hand.name.to_string(),
                role: hand.shown().to_owned(),
            }),
            look: Look::from_headers(&parts.headers),
            path: parts
                .uri
                .path_and_query()
                .map_or("/", |p| p.as_str())
                .to_owned(),
            units,
            typed,
        })
    }
}

impl Bench {
    fn sheet(&self, name: &str, subtitle: &str, over: Option<String>) -> Sheet {
        Sheet {
            name: name.into(),
            subtitle: subtitle.into(),
            tabs: TABS,
            current: Some(Tab::Sums),
            person: self.person.clone(),
            look: self.look,
            units: self.units.named().into(),
            units_switch: over.map(|href| {
                let words = match self.units {
                    Units::Metric => "to feet and inches",
                    Units::Feet => "to metric",
                };
                (href, words)
            }),
            printed: day_and_clock(crate::journal::writer::now_ms()),
            path: self.path.clone(),
            ..Sheet::default()
        }
    }
}

/// The same values under the other units.
fn crossed_over(path: &str, values: Vec<(String, String)>, units: Units) -> String {
    let mut href = format!("{path}?units={}", units.word());
    for (name, value) in values {
        href.push('&');
        href.push_str(&encode(&name));
        href.push('=');
        href.push_str(&encode(&value));
    }
    href
}

#[derive(askama::Template)]
#[template(path = "sums/index.html")]
struct IndexPage {
    sheet: Sheet,
    typed: String,
    found: Option<Vec<Line>>,
    groups: Vec<Group>,
    scales: Line,
    calculations: usize,
}

async fn list(bench: Bench) -> Result<Response, PageError> {
    let typed = bench.typed.get("find").cloned().unwrap_or_default();
    let found = (!typed.trim().is_empty()).then(|| index::find(&typed));
    let subtitle = "No plan needed. Every sum has its own address: what you type is in it, so send it to someone.";
    page(
        &IndexPage {
            sheet: bench.sheet("Bench sums", subtitle, None),
            found,
            typed,
            groups: index::groups(),
            scales: Line {
                href: scales::HREF.into(),
                title: scales::TITLE.into(),
                about: scales::ABOUT.into(),
                daily: true,
            },
            calculations: stillair_calc::catalogue().len(),
        },
        false,
    )
}

#[derive(askama::Template)]
#[template(path = "sums/sum.html")]
struct SumPage {
    sheet: Sheet,
    action: String,
    units: &'static str,
    fresh: bool,
    blanks: Vec<Blank>,
    figures: Vec<Figure>,
    cautions: Vec<Caution>,
    /// Why there is no figure at all, when it is no one blank's fault.
    refused: Vec<String>,
    doubts: Vec<&'static str>,
    drawing: String,
    legend: &'static str,
    /// Paragraphs on how it is worked out.
    about: Vec<String>,
    is_crossed: bool,
    /// Whether anything typed was refused.
    is_refused: bool,
}

async fn daily_sum(bench: Bench, Path(slug): Path<String>) -> Result<Response, PageError> {
    let sum = daily::find(&slug).ok_or_else(|| {
        PageError::NotFound("There is no such sum; the list has them all.".into())
    })?;
    let shown = sum_page(&bench, sum);
    page(&shown, shown.is_refused)
}

fn sum_page(bench: &Bench, sum: &Sum) -> SumPage {
    let fresh = bench.typed.is_empty();
    let given = Given::read(sum.asks(), bench.typed.clone(), bench.units);
    let results = (sum.work)(&given);
    let action = format!("{SUMS}/{}", sum.slug);
    let other = bench.units.other();
    let over = crossed_over(&action, given.address(other), other);
    SumPage {
        sheet: bench.sheet(sum.title, sum.about, Some(over)),
        units: bench.units.word(),
        fresh,
        blanks: given.blanks(),
        figures: each_source_once(results.figures),
        cautions: results.cautions,
        refused: Vec::new(),
        doubts: Vec::new(),
        drawing: results
            .drawing
            .map(|draws| in_both_widths(&*draws))
            .unwrap_or_default(),
        legend: results.legend,
        about: Vec::new(),
        is_crossed: bench.units == Units::Feet,
        is_refused: given.is_refused(),
        action,
    }
}

/// The text without the doubts' names in the machine interface, which stand in brackets as code.
fn without_kinds(text: &str) -> String {
    let mut left = String::with_capacity(text.len());
    let mut rest = text;
    while let Some(at) = rest.find(" (`") {
        let Some(end) = rest[at..].find("`)") else {
            break;
        };
        left.push_str(&rest[..at]);
        rest = &rest[at + end + 2..];
    }
    left.push_str(rest);
    left.replace('`', "")
}

/// Widths of a drawing on a laptop's and a phone's page, in drawing units.
const WIDE: f64 = 560.0;
const NARROW: f64 = 350.0;

/// The picture for a laptop and the one for a phone; the style sheet shows one of them.
fn in_both_widths(draws: &dyn Fn(f64) -> Drawing) -> String {
    [(WIDE, "wide"), (NARROW, "narrow")]
        .map(|(width, name)| shown_at(&draws(width), name))
        .concat()
}

fn shown_at(drawing: &Drawing, name: &str) -> String {
    format!("<div class=\"{name}-only\">{}</div>", svg(drawing, name))
}

/// A source said for one figure need not be said again for the next.
fn each_source_once(mut figures: Vec<Figure>) -> Vec<Figure> {
    let mut said = String::new();
    for figure in &mut figures {
        if figure.source == said {
            figure.source.clear();
        } else if !figure.source.is_empty() {
            said.clone_from(&figure.source);
        }
    }
    figures
}

async fn plain_sum(
    bench: Bench,
    Path((family, name)): Path<(String, String)>,
) -> Result<Response, PageError> {
    let calculation = find(&family, &name).ok_or_else(|| {
        PageError::NotFound("There is no such calculation; the list has them all.".into())
    })?;
    // a search takes a while, and other requests wait for nobody's gels
    let shown = tokio::task::spawn_blocking(move || plain_page(&bench, calculation))
        .await
        .map_err(|error| PageError::Internal(error.to_string()))?;
    page(&shown, shown.is_refused)
}

fn plain_page(bench: &Bench, calculation: &Calculation) -> SumPage {
    let fresh = bench.typed.is_empty();
    let mut form = Form::read(calculation, bench.typed.clone(), bench.units);
    let (mut figures, mut refused, mut doubts) = (Vec::new(), Vec::new(), Vec::new());
    let mut is_refused = false;
    if form.is_read() {
        match (calculation.run)(&form.given) {
            Ok(reply) => {
                doubts = reply
                    .warnings
                    .iter()
                    .map(|kind| stillair_calc::doubt::words(kind))
                    .collect();
                figures = plain::figures(calculation, &reply, bench.units);
            }
            Err(faults) => {
                is_refused = true;
                refused = form.refuse(faults);
            }
        }
    }
    let action = index::href(calculation);
    let other = bench.units.other();
    let over = crossed_over(&action, form.address(other), other);
    let about = calculation
        .about
        .split("\n\n")
        .skip(1)
        .map(|paragraph| without_kinds(&paragraph.split_whitespace().collect::<Vec<_>>().join(" ")))
        .filter(|paragraph| !paragraph.is_empty())
        .collect();
    SumPage {
        sheet: bench.sheet(&index::title(calculation), calculation.summary, Some(over)),
        units: bench.units.word(),
        fresh,
        blanks: form.blanks(),
        figures,
        cautions: cautions::of_family(calculation.family)
            .into_iter()
            .collect(),
        refused,
        doubts,
        drawing: String::new(),
        legend: "",
        about,
        is_crossed: bench.units == Units::Feet,
        is_refused: is_refused || !form.is_read(),
        action,
    }
}

#[derive(askama::Template)]
#[template(path = "sums/scales.html")]
struct ScalesPage {
    sheet: Sheet,
    action: &'static str,
    units: &'static str,
    candidates: Vec<String>,
    /// Blanks for the candidates, then for the thing and the shot.
    scale_blanks: Vec<Blank>,
    blanks: Vec<Blank>,
    rows: Vec<Row>,
    drawing: String,
    caution: Option<Caution>,
}

async fn choose_the_scale(bench: Bench) -> Result<Response, PageError> {
    let given = Given::read(scales::asks(), bench.typed.clone(), bench.units);
    let other = bench.units.other();
    let over = crossed_over(scales::HREF, given.address(other), other);
    let mut scale_blanks = given.blanks();
    let blanks = scale_blanks.split_off(scales::CANDIDATE_BLANKS);
    let names = scales::candidates(&given)
        .into_iter()
        .map(stillair_calc::figure::given);
    page(
        &ScalesPage {
            sheet: bench.sheet(scales::TITLE, scales::ABOUT, Some(over)),
            action: scales::HREF,
            units: bench.units.word(),
            candidates: names.collect(),
            scale_blanks,
            blanks,
            rows: scales::rows(&given),
            drawing: [WIDE * 1.6, NARROW]
                .into_iter()
                .zip(["wide", "narrow"])
                .filter_map(|(width, name)| Some(shown_at(&scales::drawing(&given, width)?, name)))
                .collect(),
            caution: cautions::of_family("haze-optics"),
        },
        given.is_refused(),
    )
}
