//! Reproduces the matrices and plans of the copied instances from their attributes and params.

use serde_json::{Value, json};
use stillair_calc::stage_day::changeover::{
    Changeover, ChangeoverTable, Combine, Haze, StageState, detours,
};
use stillair_calc::stage_day::day::{Morning, OwnBlock, Planned, changeovers, simulate_day};
use stillair_calc::stage_day::rules::DayRules;
use stillair_calc::stage_day::why::{parts_table, repaired_cut_order};

use crate::read::{appointment, list, ready, state, text, whole};

const INSTANCES: [&str; 2] = [
    include_str!("../../checks/instances/setups-n008-s81.json"),
    include_str!("../../checks/instances/setups-n012-s121.json"),
];

struct Instance {
    json: Value,
    table: ChangeoverTable,
    states: Vec<StageState>,
}

fn instances() -> Vec<Instance> {
    INSTANCES
        .into_iter()
        .map(|source| {
            let json: Value = serde_json::from_str(source).expect("the instance is JSON");
            let setups = json["setups"].as_array().expect("setups");
            Instance {
                table: table(&json["params"]),
                states: setups.iter().map(state).collect(),
                json,
            }
        })
        .collect()
}

fn table(params: &Value) -> ChangeoverTable {
    let haze =
        |from: Haze| Haze::ALL.map(|to| whole(&params["haze_minutes"][from.word()][to.word()]));
    assert_eq!(params["combine"], "sum");
    ChangeoverTable {
        dressing_strike: whole(&params["dressing_strike"]),
        dressing_build: whole(&params["dressing_build"]),
        dressing_variant: whole(&params["dressing_variant"]),
        unrig: whole(&params["unrig"]),
        rig: whole(&params["rig"]),
        relight: whole(&params["relight"]),
        relight_includes_gels: params["relight_includes_gels"] == true,
        gel: whole(&params["gel"]),
        camera: whole(&params["camera"]),
        lens: whole(&params["lens"]),
        haze: Haze::ALL.map(haze),
        overnight_haze: Haze::parse(text(&params["overnight_haze"])).expect("a class of haze"),
        combine: Combine::Sum,
    }
}

#[test]
fn instance_matrices_come_out_of_attributes_and_params() {
    for instance in instances() {
        let matrix = instance.table.matrix(&instance.states);
        assert_eq!(
            json!(matrix),
            instance.json["changeover"],
            "{}",
            instance.json["name"]
        );
        assert_eq!(
            json!(instance.table.initial_row(&instance.states)),
            instance.json["initial"]
        );
        assert_eq!(detours(&matrix), []);
    }
}

#[test]
fn own_minutes_of_instances_come_out_of_their_five_figures() {
    for instance in instances() {
        for setup in instance.json["setups"].as_array().expect("setups") {
            let own = OwnBlock {
                prepare_min: whole(&setup["prepare"]),
                trim_min: whole(&setup["trim"]),
                settle_min: whole(&setup["settle"]),
                takes: whole(&setup["takes"]),
                take_cycle_min: whole(&setup["take_cycle"]),
            };
            assert_eq!(own.minutes(), whole(&setup["own"]));
        }
    }
}

/// The stored plans of days were proven best and worked out by another program; walking them gives their minutes.
#[test]
fn stored_plans_of_days_take_the_minutes_stated() {
    for Instance {
        json,
        table,
        states,
    } in instances()
    {
        let rules = DayRules {
            day_minutes: whole(&json["day_minutes"]),
            ..DayRules::default()
        };
        let stored = &json["results"]["D"];
        let mut night: Option<&StageState> = None;
        let mut minutes = 0;
        for day in stored["days"].as_array().expect("days") {
            let ids: Vec<usize> = list(&day[1], |id| usize::try_from(whole(id)).expect("an index"));
            let order: Vec<&StageState> = ids.iter().map(|id| &states[*id]).collect();
            let morning = night.map_or(Morning::EmptyStage, Morning::AfterNight);
            let planned: Vec<Planned> = changeovers(&table, morning, &order)
                .into_iter()
                .zip(&ids)
                .map(|(change, id)| {
                    let setup = &json["setups"][*id];
                    Planned {
                        change,
                        own_min: whole(&setup["own"]),
                        ready: ready(&setup["ready"]),
                        appointment: appointment(&setup["appointment"]),
                    }
                })
                .collect();
            minutes += simulate_day(&rules, whole(&day[0]), &planned)
                .expect("a plan that can be shot")
                .finish_min;
            night = order.last().copied();
        }
        assert_eq!(minutes, whole(&stored["minutes"]), "{}", json["name"]);
    }
}

/// The worked example of the explanation (C1.9): parts of cut order against the optimum, and the sum of each.
#[test]
fn parts_of_cut_order_against_the_optimum() {
    let Instance {
        json,
        table,
        states,
    } = instances().swap_remove(0);
    let changes = |order: &[usize]| {
        let order: Vec<&StageState> = order.iter().map(|id| &states[*id]).collect();
        changeovers(&table, Morning::EmptyStage, &order)
    };
    let best: Vec<usize> = list(&json["results"]["S"]["order"], |id| {
        usize::try_from(whole(id)).expect("an index")
    });
    let (cut, best) = (changes(&[0, 1, 2, 3, 4, 5, 6, 7]), changes(&best));
    let rows =
        parts_table(&cut, &best).map(|row| (row.part.name(), row.here.minutes, row.other.minutes));
    let stated = [
        ("dressing", 157, 89),
        ("rig", 80, 50),
        ("light", 125, 125),
        ("gels", 24, 8),
        ("camera", 84, 60),
        ("lens", 35, 25),
        ("haze_up", 30, 15),
        ("haze_down", 35, 35),
    ];
    assert_eq!(rows, stated);
    let sum = |changes: &[Changeover]| changes.iter().map(Changeover::minutes).sum::<u32>();
    assert_eq!((sum(&cut), sum(&best)), (570, 407));
}

#[test]
fn repaired_cut_order_keeps_the_precedence_of_the_instance() {
    for Instance { json, states, .. } in instances() {
        let index = |value: &Value| usize::try_from(whole(value)).expect("an index");
        let arcs: Vec<(usize, usize)> = list(&json["precedence"], |arc| {
            (index(&arc["before"]), index(&arc["after"]))
        });
        let cut: Vec<u32> = list(&json["setups"], |setup| whole(&setup["cut_order"]));
        let order = repaired_cut_order(&cut, &arcs).expect("no ring");
        let place = |id: usize| {
            order
                .iter()
                .position(|row| *row == id)
                .expect("every setup has a place")
        };
        assert_eq!(order.len(), states.len());
        assert!(
            arcs.iter()
                .all(|(before, after)| place(*before) < place(*after))
        );
    }
}
