//! What hangs on which circuit in a setup, and what it draws.

use crate::{
    journal::{
        record::{Entry, is_written, number_or_usual},
        value::Id,
    },
    plan::{
        Plan,
        setups::{setup::Setup, standing::standing},
        stores::kit::Circuit,
    },
};
use stillair_calc::{
    Calculate as _,
    power::{ContinuousLimit, CurrentSingle, DropIec, UnbalancedNeutral},
};

/// A lamp that burns in a setup.
#[derive(Clone)]
pub struct Burning {
    /// What the crew calls it.
    pub called: String,
    /// What it draws.
    pub power_w: f64,
    /// Its power factor.
    pub power_factor: f64,
    /// The circuit it hangs on.
    pub circuit: Option<Id>,
}

/// The lamps of a setup whose draw is known, and the names of those whose is not.
pub fn burning(plan: &Plan, setup: &Entry<Setup>) -> (Vec<Burning>, Vec<String>) {
    let (mut known, mut unknown) = (Vec::new(), Vec::new());
    for thing in standing(plan, setup).iter().filter(|t| t.is("lamp")) {
        let called = thing.called().to_owned();
        match thing.lamp.and_then(|lamp| Some((lamp, lamp.power_w?))) {
            Some((lamp, power_w)) => known.push(Burning {
                called,
                power_w,
                power_factor: number_or_usual(Some(lamp), "power_factor"),
                circuit: thing.entry.circuit.clone(),
            }),
            None => unknown.push(called),
        }
    }
    (known, unknown)
}

/// A circuit with the setup that asks most of it.
pub struct Load<'a> {
    /// The circuit.
    pub circuit: &'a Entry<Circuit>,
    /// The setup; none when nothing hangs on it.
    pub setup: Option<&'a Entry<Setup>>,
    /// Its lamps there.
    pub lamps: Vec<Burning>,
    /// Voltage of its supply.
    pub voltage_v: f64,
    /// Its breaker.
    pub breaker_a: f64,
    /// Whether either is the usual one, which nobody here wrote.
    pub rests_on_usual: bool,
    /// Current drawn.
    pub current_a: f64,
    /// Current it may carry for hours: four fifths of its breaker.
    pub limit_a: f64,
    /// Voltage lost along its cable, in hundredths; none while the cable is not written.
    pub drop_percent: Option<f64>,
}

fn current_a(lamps: &[&Burning], voltage_v: f64) -> f64 {
    // Lamps of different power factors add as if all pulled alike: a little too much, never too little.
    lamps
        .iter()
        .filter_map(|lamp| {
            let one = CurrentSingle {
                power_w: lamp.power_w,
                voltage_v,
                power_factor: lamp.power_factor,
                breaker_a: None,
            };
            one.work().ok().map(|found| found.current_a)
        })
        .sum()
}

/// Every circuit with its heaviest setup.
pub fn loads(plan: &Plan) -> Vec<Load<'_>> {
    let setups = plan.setups_in_order();
    let all: Vec<_> = setups.iter().map(|s| (*s, burning(plan, s).0)).collect();
    plan.studio
        .circuits
        .iter()
        .map(|circuit| load(circuit, &all))
        .collect()
}

fn load<'a>(circuit: &'a Entry<Circuit>, all: &[(&'a Entry<Setup>, Vec<Burning>)]) -> Load<'a> {
    let of = |name| number_or_usual(Some(circuit), name);
    let (voltage_v, breaker_a) = (of("voltage_v"), of("breaker_a"));
    let written = |name| is_written(Some(circuit), name);
    let on_it = all.iter().map(|(setup, lamps)| {
        let own: Vec<&Burning> = lamps
            .iter()
            .filter(|l| l.circuit.as_ref() == Some(&circuit.id))
            .collect();
        (*setup, current_a(&own, voltage_v), own)
    });
    let heaviest = on_it
        .filter(|(_, current, _)| *current > 0.0)
        .max_by(|a, b| a.1.total_cmp(&b.1));
    let limit = ContinuousLimit { breaker_a };
    let (setup, current_a, lamps) =
        heaviest.map_or((None, 0.0, Vec::new()), |(s, c, l)| (Some(s), c, l));
    let drop = circuit.cable_length_m.zip(circuit.cable_area_mm2);
    Load {
        circuit,
        setup,
        lamps: lamps.into_iter().cloned().collect(),
        voltage_v,
        breaker_a,
        rests_on_usual: !written("voltage_v") || !written("breaker_a"),
        current_a,
        limit_a: limit.work().map_or(0.0, |found| found.continuous_a),
        drop_percent: drop.and_then(|(length_m, area_mm2)| {
            let drop = DropIec {
                area_mm2,
                length_m,
                current_a,
                power_factor: 1.0,
                phases: 1,
                line_to_neutral_v: voltage_v,
                conductor: stillair_calc::power::Conductor::Copper,
            };
            drop.work().ok().map(|found| found.drop_percent)
        }),
    }
}

/// A setup's phases.
pub struct Phases {
    /// Current in each.
    pub amps: [f64; 3],
    /// What the neutral carries, without harmonics.
    pub neutral_a: f64,
}

/// What a setup draws of each phase; none when its circuits name no phase.
pub fn phases(plan: &Plan, setup: &Entry<Setup>) -> Option<Phases> {
    let lamps = burning(plan, setup).0;
    let mut amps = [0.0; 3];
    for lamp in &lamps {
        let Some(circuit) = lamp
            .circuit
            .as_ref()
            .and_then(|id| plan.studio.circuits.get(id))
        else {
            continue;
        };
        let phase = ["L1", "L2", "L3"]
            .iter()
            .position(|p| *p == &*circuit.phase);
        if let Some(phase) = phase {
            amps[phase] += current_a(&[lamp], number_or_usual(Some(circuit), "voltage_v"));
        }
    }
    if amps.iter().sum::<f64>() <= 0.0 {
        return None;
    }
    let neutral = UnbalancedNeutral {
        phase_a_a: amps[0],
        phase_b_a: amps[1],
        phase_c_a: amps[2],
    };
    Some(Phases {
        amps,
        neutral_a: neutral.work().map_or(0.0, |found| found.neutral_a),
    })
}
