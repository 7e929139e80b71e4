//! The sheet of stage power.

use super::{
    loads::{self, Load},
    sums,
};
use crate::{
    error::PageError,
    plan::Plan,
    web::{
        page::{Desk, cell, page},
        parts::{Caution, Figure},
        problem::encode,
        routes::Routes,
        sheet::{Sheet, Tab},
    },
};
use axum::{response::Response, routing::get};
use stillair_calc::{
    Calculate as _,
    figure::{given, significant},
    haze_fill::Plume,
    power::AdiabaticRise,
};

/// Address of stage power.
pub fn routes() -> Routes {
    Routes::new().route("/plans/{plan}/power", get(show))
}

/// A circuit as the table has it.
struct Line {
    name: String,
    phase: String,
    setup: String,
    href: String,
    lamps: String,
    /// Supply or breaker is the usual one.
    is_usual: bool,
    amps: String,
    limit: String,
    breaker: String,
    /// Ends of the measured line, of a hundred: what is drawn, what it may carry.
    drawn: String,
    may: String,
    drop: String,
    drops_far: bool,
    is_over: bool,
}

/// A setup as the table has it.
struct SetupLine {
    called: String,
    href: String,
    power: String,
    phases: String,
    neutral: String,
    loose: String,
    unknown: String,
}

#[derive(askama::Template)]
#[template(path = "power/sheet.html")]
struct PowerPage {
    sheet: Sheet,
    circuits: Vec<Line>,
    setups: Vec<SetupLine>,
    sums: Vec<Figure>,
    heat: Vec<Figure>,
    caution: Caution,
    stores: String,
}

async fn show(desk: Desk) -> Result<Response, PageError> {
    let plan = &*desk.plan;
    let all = loads::loads(plan);
    let over = all.iter().filter(|l| l.current_a > l.limit_a).count();
    let mut sheet = desk.sheet(
        Tab::Stores,
        "Stage power",
        "What the lamps of each setup draw, at full, on which circuit. The heaviest setup of each stands here.",
    );
    sheet.cells = vec![
        cell("Circuits", all.len().to_string()),
        cell("Over", over.to_string()),
    ];
    let page_of = PowerPage {
        circuits: all.iter().map(|l| line(&desk, l)).collect(),
        setups: setups(&desk),
        sums: sums::of_plan(plan, &all),
        heat: heat(plan),
        caution: caution(),
        stores: desk.href("/stores#circuit"),
        sheet,
    };
    page(&page_of, false)
}

fn line(desk: &Desk, load: &Load<'_>) -> Line {
    let breaker = load.breaker_a;
    let most = load.current_a.max(breaker).max(1.0);
    let place = |amps: f64| format!("{:.1}", amps / most * 100.0);
    Line {
        name: load.circuit.name.to_string(),
        phase: load.circuit.phase.to_string(),
        setup: load.setup.map(|s| s.code.to_string()).unwrap_or_default(),
        href: load
            .setup
            .map(|s| desk.href(&format!("/setups/{}", encode(&s.code))))
            .unwrap_or_default(),
        lamps: load
            .lamps
            .iter()
            .map(|l| l.called.clone())
            .collect::<Vec<_>>()
            .join(", "),
        is_usual: load.rests_on_usual,
        amps: significant(load.current_a, 3),
        limit: given(load.limit_a),
        breaker: given(breaker),
        drawn: place(load.current_a),
        may: place(load.limit_a),
        drop: load
            .drop_percent
            .map_or_else(|| "—".into(), |p| format!("{} %", significant(p, 2))),
        drops_far: load.drop_percent.is_some_and(|p| p > MAY_BE_LOST),
        is_over: load.current_a > load.limit_a,
    }
}

fn setups(desk: &Desk) -> Vec<SetupLine> {
    let plan = &*desk.plan;
    let lines = plan.setups_in_order().into_iter().filter_map(|setup| {
        let (known, unknown) = loads::burning(plan, setup);
        if known.is_empty() && unknown.is_empty() {
            return None;
        }
        let phases = loads::phases(plan, setup);
        let loose = known.iter().filter(|l| l.circuit.is_none());
        Some(SetupLine {
            called: format!("{} {}", setup.code, setup.name),
            href: desk.href(&format!("/setups/{}", encode(&setup.code))),
            power: given(known.iter().map(|l| l.power_w).sum()),
            phases: phases
                .as_ref()
                .map_or_else(|| "—".into(), |p| p.amps.map(amps).join(" / ")),
            neutral: phases.map_or_else(|| "—".into(), |p| amps(p.neutral_a)),
            loose: loose
                .map(|l| l.called.clone())
                .collect::<Vec<_>>()
                .join(", "),
            unknown: unknown.join(", "),
        })
    });
    lines.collect()
}

/// Amperes as the table has them.
fn amps(value: f64) -> String {
    if value == 0.0 {
        return "0".into();
    }
    significant(value, 3)
}

/// Hundredths that may be lost on the way to a lamp on the public supply: IEC 60364-5-52 Table G.52.1.
const MAY_BE_LOST: f64 = 3.0;

/// Minutes with the doors shut over which the room's warming is said.
const SHUT_MIN: f64 = 10.0;
/// Height over a lamp at which its plume is said.
const PLUME_M: f64 = 2.0;
/// Share of a tungsten head's power that its air takes. Common practice, no source.
const CONVECTIVE: f64 = 0.3;

/// What the lamps of the warmest setup do to the room and its haze.
fn heat(plan: &Plan) -> Vec<Figure> {
    let warmest = plan
        .setups_in_order()
        .into_iter()
        .map(|s| (s, loads::burning(plan, s).0))
        .map(|(s, lamps)| (s, lamps.iter().map(|l| l.power_w).sum::<f64>(), lamps))
        .filter(|(_, watts, _)| *watts > 0.0)
        .max_by(|a, b| a.1.total_cmp(&b.1));
    let Some((setup, power_w, lamps)) = warmest else {
        return Vec::new();
    };
    let volume = plan.studio.stages.iter().find_map(|s| s.volume_m3);
    let mut list = Vec::new();
    if let Some(volume_m3) = volume {
        let shut = AdiabaticRise {
            power_w,
            volume_m3,
            minutes: SHUT_MIN,
        };
        if let Ok(found) = shut.work() {
            let shown = significant(found.temperature_rise_k, 2);
            list.push(Figure {
                id: "f-room-warms".into(),
                name: format!("Room warms in {} min, {}", given(SHUT_MIN), setup.code),
                expression: format!(
                    "{} × {} × 60 ÷ (1.204 × 1006 × {}) = {shown}",
                    given(power_w),
                    given(SHUT_MIN),
                    given(volume_m3)
                ),
                value: shown,
                unit: "K".into(),
                because: "At most: doors shut, walls that take nothing. Warm air rises and carries haze with it.".into(),
                source: "heat taken by air at 20 °C".into(),
                ..Figure::default()
            });
        }
    }
    let hottest = lamps.iter().max_by(|a, b| a.power_w.total_cmp(&b.power_w));
    if let Some(lamp) = hottest {
        let convective_power_kw = lamp.power_w * CONVECTIVE / 1000.0;
        let plume = Plume {
            convective_power_kw,
            height_m: PLUME_M,
        };
        if let Ok(found) = plume.work() {
            let shown = significant(found.centreline_speed_mps, 2);
            list.push(Figure {
                id: "f-plume".into(),
                name: format!("Air over {}", lamp.called),
                expression: format!(
                    "3.4 × (9.81 ÷ (1.006 × 1.204 × 293) × {} ÷ {})^(1 ÷ 3) = {shown}",
                    given(convective_power_kw),
                    given(PLUME_M)
                ),
                value: shown,
                unit: "m/s".into(),
                because: format!("{} m above it, if {} % of what it draws warms the air (common practice, no source). One bare head stirs the whole stage: burn it for takes only.", given(PLUME_M), given(CONVECTIVE * 100.0)),
                source: "Heskestad plume relation; from memory".into(),
                ..Figure::default()
            });
        }
    }
    list
}

fn caution() -> Caution {
    Caution {
        head: "Electricity".into(),
        body: "Plate values, not measured; harmonics and inrush are not in these sums. Connecting, extending and testing a supply is the work of a licensed electrician under the local code. Residual-current protection wherever it is wet or hazed, no cable coiled under load, water and fluid away from every connector, the machine unplugged before it is opened.".into(),
        limit: "four fifths of the breaker for three hours or more".into(),
        authority: "NFPA 70, 210.20(A); the local code decides".into(),
        mark: "from memory".into(),
        ..Caution::default()
    }
}
