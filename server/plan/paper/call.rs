//! The call sheet of a stage day.

use super::pages::Size;
use crate::{
    error::PageError,
    journal::{field::plain, value::Id},
    plan::{
        Plan,
        days::{
            pages::date,
            walk::{Placed, Walked, walk},
        },
        haze::{day::haze_day, figures::on_paper},
        setups::{cautions, facts::Facts, figures::figures, pages::shots_of},
    },
    web::{
        page::Desk,
        parts::Caution,
        sheet::{Sheet, Tab},
        svg::svg,
        units,
    },
};
use stillair_calc::drawing::day::{Strip, stage_day};

/// A setup in the order of the day.
pub struct Row {
    number: usize,
    name: String,
    shots: String,
    at: String,
    own_min: u32,
    takes: String,
    scale: String,
    lens: String,
    fps: String,
    haze: String,
    bring: String,
}

/// Who is called when.
pub struct Called {
    role: String,
    at: String,
    needed_for: String,
}

/// A line that a pen can finish when nobody wrote it.
pub struct ToWrite {
    name: &'static str,
    text: String,
}

/// The sheet.
#[derive(askama::Template)]
#[template(path = "paper/call.html")]
pub struct CallSheet {
    sheet: Sheet,
    class: &'static str,
    other: (&'static str, String),
    title: String,
    place: String,
    call: String,
    facts: Vec<(&'static str, String)>,
    strip: String,
    broken: Vec<String>,
    rows: Vec<Row>,
    /// Top-ups, and what is breathed; empty for a day without haze.
    haze: String,
    called: Vec<Called>,
    cautions: Vec<Caution>,
    wrong: Vec<ToWrite>,
    note: String,
    undecided: usize,
    unwritten: usize,
}

/// Makes the call sheet of a day.
///
/// # Errors
/// No such day.
pub fn sheet(desk: &Desk, id: &Id, size: Size) -> Result<CallSheet, PageError> {
    let plan = &*desk.plan;
    let walked = walk(plan, id).ok_or_else(|| PageError::no_such("stage day"))?;
    let day = walked.day;
    let stage = day.stage.as_ref().and_then(|id| plan.studio.stages.get(id));
    let of_stage = |f: fn(&crate::plan::stores::stage::Stage) -> &str| {
        stage.map(|s| f(s).to_owned()).unwrap_or_default()
    };
    let wrong = vec![
        ToWrite {
            name: "Emergency",
            text: of_stage(|s| &s.emergency),
        },
        ToWrite {
            name: "Nearest emergency department",
            text: of_stage(|s| &s.hospital),
        },
        ToWrite {
            name: "First aider on stage",
            text: day.first_aid.to_string(),
        },
        ToWrite {
            name: "Competent person, rigs and loads",
            text: day.competent_person.to_string(),
        },
        ToWrite {
            name: "Meet at",
            text: of_stage(|s| &s.meeting_point),
        },
    ];
    let mut place: Vec<String> = Some(day.name.to_string())
        .filter(|n| !n.is_empty())
        .into_iter()
        .collect();
    place.push(date(day));
    place.extend(stage.map(|s| s.name.to_string()));
    place.extend(Some(of_stage(|s| &s.address)).filter(|a| !a.is_empty()));
    let undecided = plan
        .besides
        .iter()
        .filter(|b| walked.setups.iter().any(|p| p.setup.id == b.entity))
        .count();
    Ok(CallSheet {
        sheet: desk.sheet(
            Tab::Paper,
            format!("Call sheet, day {}", walked.number),
            String::new(),
        ),
        class: size.class(),
        other: size.other(&desk.path),
        title: format!("Stage day {}", walked.number),
        place: format!("{}.", place.join(", ")),
        call: walked.clock(0),
        facts: facts(&walked),
        strip: svg(&stage_day(&walked.drawn(|_| None), Strip::Print), "call"),
        broken: walked.broken(None),
        rows: walked
            .setups
            .iter()
            .enumerate()
            .map(|(i, p)| row(plan, &walked, i, p))
            .collect(),
        haze: haze_day(plan, id)
            .map(|day| on_paper(plan, &day))
            .unwrap_or_default(),
        called: plan
            .calls_of_day(id)
            .into_iter()
            .map(|call| called(call))
            .collect(),
        cautions: day_cautions(plan, &walked),
        unwritten: wrong.iter().filter(|w| w.text.is_empty()).count(),
        wrong,
        note: day.note.to_string(),
        undecided,
    })
}

fn facts(walked: &Walked<'_>) -> Vec<(&'static str, String)> {
    let mut facts = Vec::new();
    if let Some((from, to)) = walked.meal() {
        facts.push(("Meal", format!("{from} to {to}")));
    }
    if let Some(ends) = walked.ends() {
        facts.push(("Plan ends", ends));
    }
    facts.push(("Out", walked.clock(walked.rules.day_minutes)));
    facts
}

fn row(plan: &Plan, walked: &Walked<'_>, index: usize, placed: &Placed<'_>) -> Row {
    let setup = placed.setup;
    let pass = plan.passes_of_setup(&setup.id).into_iter().next();
    let facts = Facts::of(plan, setup, pass);
    let or_dash = |value: Option<f64>, unit: &str| {
        value.map_or_else(|| "—".into(), |v| format!("{}{unit}", plain(v)))
    };
    Row {
        number: index + 1,
        name: format!("{} {}", setup.code, setup.name),
        shots: shots_of(plan, setup),
        at: walked
            .walk
            .rows
            .get(index)
            .map(|r| walked.clock(r.start_min))
            .unwrap_or_default(),
        own_min: placed.own_min,
        takes: setup.takes.unwrap_or(5).to_string(),
        scale: or_dash(facts.find("scale_denominator"), "")
            .replace('—', "")
            .trim()
            .to_owned(),
        lens: or_dash(facts.find("focal_length_mm"), " mm"),
        fps: or_dash(facts.find("shoot_fps"), ""),
        haze: figures(plan, setup, pass)
            .get("haze")
            .map(|f| f.value.clone())
            .filter(|v| !v.is_empty())
            .unwrap_or_else(|| "—".into()),
        bring: setup.bring.to_string(),
    }
}

fn called(call: &crate::plan::days::day::CrewCall) -> Called {
    #[expect(clippy::cast_precision_loss, reason = "minutes of a day")]
    let at = call
        .call_clock_min
        .map_or_else(|| "—".into(), |m| units::minutes_clock(m as f64));
    Called {
        role: call.role.to_string(),
        at,
        needed_for: call.needed_for.to_string(),
    }
}

/// Cautions that stand in full on a call sheet; the others are named on it and stand in full on the setup sheets.
const IN_FULL: [&str; 3] = ["Haze", "Heat", "Hung models and moving rigs"];

/// Said again, at more length, by the caution of what is driven.
const STOP_BUTTON: &str = "Guards and a stop button on anything that runs.";

/// Cautions from the content of the day: each kind once, the haze at its thickest; then what the building agreed.
fn day_cautions(plan: &Plan, walked: &Walked<'_>) -> Vec<Caution> {
    let mut cautions: Vec<Caution> = Vec::new();
    let mut thickest = -1.0;
    for placed in &walked.setups {
        for pass in plan
            .passes_of_setup(&placed.setup.id)
            .into_iter()
            .map(Some)
            .chain([None])
        {
            let facts = Facts::of(plan, placed.setup, pass);
            let level =
                crate::plan::setups::figures::water::concentration_mgpm3(&facts).unwrap_or(0.0);
            for caution in cautions::of_setup(&facts) {
                let here = cautions.iter().position(|c| c.head == caution.head);
                match here {
                    Some(i) if caution.head == "Haze" && level > thickest => cautions[i] = caution,
                    Some(_) => {}
                    None => cautions.push(caution),
                }
            }
            thickest = f64::max(thickest, level);
        }
    }
    let (mut cautions, named): (Vec<_>, Vec<_>) = cautions
        .into_iter()
        .partition(|c| IN_FULL.contains(&&*c.head));
    if !named.is_empty() {
        let heads: Vec<_> = named.iter().map(|c| c.head.to_lowercase()).collect();
        let body = format!("{}.", heads.join("; "));
        // The sheet is one page: the line stands with the last of the full ones where there is one.
        if let Some(last) = cautions.last_mut() {
            let full = last.body.trim_end_matches(STOP_BUTTON).trim_end();
            last.body = format!("{full} On the setup sheets: {body}");
        } else {
            cautions.push(Caution {
                head: "On the setup sheets".into(),
                body,
                ..Caution::default()
            });
        }
    }
    if !walked.day.detection.is_empty() {
        let body = walked.day.detection.to_string();
        cautions.push(Caution {
            head: "Smoke detection".into(),
            body,
            ..Caution::default()
        });
    }
    cautions
}
