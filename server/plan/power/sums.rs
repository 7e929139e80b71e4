//! How the currents come about: each circuit's draw and what its cable loses, each setup's neutral.

use super::loads::{self, Load, Phases};
use crate::{
    plan::{Plan, setups::figures::step},
    web::parts::Figure,
};
use stillair_calc::figure::{given, significant};

/// The sums behind the two tables, in their order. A neutral that only one phase feeds carries what that phase does, and
/// has no sum.
pub fn of_plan(plan: &Plan, all: &[Load<'_>]) -> Vec<Figure> {
    let mut list: Vec<Figure> = all
        .iter()
        .filter(|load| !load.lamps.is_empty())
        .flat_map(|load| [Some(draw(load)), lost(load)])
        .flatten()
        .collect();
    for setup in plan.setups_in_order() {
        let phases = loads::phases(plan, setup);
        list.extend(phases.and_then(|p| neutral(&setup.code, &p)));
    }
    list
}

fn draw(load: &Load<'_>) -> Figure {
    let each = load.lamps.iter().map(|lamp| {
        format!(
            "{} ÷ ({} × {})",
            given(lamp.power_w),
            given(load.voltage_v),
            given(lamp.power_factor)
        )
    });
    let shown = significant(load.current_a, 3);
    let setup = load.setup.map_or("", |s| &*s.code);
    Figure {
        name: format!("{} draws in {setup}", load.circuit.name),
        expression: format!("{} = {shown}", each.collect::<Vec<_>>().join(" + ")),
        value: shown,
        unit: "A".into(),
        because: "Watts over volts and power factor; where power factors differ a little too much, never too little."
            .into(),
        source: "definition of the power factor".into(),
        rests_on_usual: load.rests_on_usual,
        ..Figure::default()
    }
}

fn lost(load: &Load<'_>) -> Option<Figure> {
    let percent = load.drop_percent?;
    let shown = significant(percent, 2);
    Some(Figure {
        name: format!("{} loses on the way", load.circuit.name),
        expression: format!(
            "2 × 0.0225 × {} ÷ {} × {} ÷ {} × 100 = {shown}",
            given(load.circuit.cable_length_m?),
            given(load.circuit.cable_area_mm2?),
            step(load.current_a),
            given(load.voltage_v)
        ),
        value: shown,
        unit: "%".into(),
        because: "Copper at working heat, there and back.".into(),
        source: "IEC 60364-5-52 Annex G".into(),
        rests_on_usual: load.rests_on_usual,
        ..Figure::default()
    })
}

fn neutral(code: &str, phases: &Phases) -> Option<Figure> {
    if phases.amps.iter().filter(|amps| **amps > 0.0).count() < 2 {
        return None;
    }
    let [a, b, c] = phases.amps.map(step);
    let shown = significant(phases.neutral_a, 3);
    Some(Figure {
        name: format!("Neutral in {code}"),
        expression: format!(
            "√({a}^2 + {b}^2 + {c}^2 − {a} × {b} − {b} × {c} − {c} × {a}) = {shown}"
        ),
        value: shown,
        unit: "A".into(),
        because: "Three currents a third of a turn apart. Without harmonics: lamps with electronics put more on it."
            .into(),
        source: "sum of three phasors".into(),
        ..Figure::default()
    })
}
