//! Checks of changeovers and stage days.

use serde_json::{Value, json};
use stillair_calc::stage_day::changeover::{
    Changeover, ChangeoverTable, Combine, Lane, Part, StageState,
};
use stillair_calc::stage_day::clock::{Turnaround, WrapBound, wrap_limit};
use stillair_calc::stage_day::day::{Meal, MealPlace, Morning, Planned, changeovers, simulate_day};
use stillair_calc::stage_day::preference::{PeopleBlock, idle_minutes};
use stillair_calc::stage_day::rules::DayRules;

use crate::read::{appointment, list, ready, state, text, whole};

pub fn check_changeover(inputs: &Value, expected: &Value) -> Value {
    let (from, to) = (state(&inputs["from"]), state(&inputs["to"]));
    let table = ChangeoverTable::default();
    let change = if inputs["overnight"] == true {
        table.overnight(&from, &to)
    } else {
        table.between(&from, &to)
    };
    let parts: serde_json::Map<String, Value> = change
        .parts()
        .map(|(part, minutes)| (part.name().into(), minutes.into()))
        .collect();
    let named = expected["parts"].as_object().expect("parts").len();
    assert_eq!(parts.len(), named, "parts beside those expected: {parts:?}");
    json!({"minutes": change.minutes(), "parts": parts})
}

pub fn check_lanes(inputs: &Value) -> Value {
    let parts: Vec<(Part, u32)> = inputs["parts"]
        .as_object()
        .expect("parts")
        .iter()
        .map(|(name, minutes)| (Part::parse(name).expect("a part"), whole(minutes)))
        .collect();
    for (lane, named) in inputs["lanes"].as_object().expect("lanes") {
        for part in list(named, text) {
            assert_eq!(Part::parse(part).expect("a part").lane().name(), lane);
        }
    }
    let change = Changeover::from_parts(&parts, Combine::Lanes);
    let lanes: serde_json::Map<String, Value> = Lane::ALL
        .into_iter()
        .map(|lane| (lane.name().into(), change.lane(lane).into()))
        .collect();
    json!({"lanes": lanes, "minutes": change.minutes()})
}

pub fn check_day(inputs: &Value) -> Value {
    let setups = inputs["order"].as_array().expect("an order");
    let states: Vec<StageState> = setups.iter().map(state).collect();
    let states: Vec<&StageState> = states.iter().collect();
    let planned: Vec<Planned> =
        changeovers(&ChangeoverTable::default(), Morning::EmptyStage, &states)
            .into_iter()
            .zip(setups)
            .map(|(change, setup)| Planned {
                change,
                own_min: whole(&setup["own"]),
                ready: ready(&setup["ready"]),
                appointment: appointment(&setup["appointment"]),
            })
            .collect();
    let rules = DayRules {
        day_minutes: whole(&inputs["day_minutes"]),
        ..DayRules::default()
    };
    match simulate_day(&rules, whole(&inputs["day"]), &planned) {
        Err(refused) => json!({"feasible": false, "setup": setups[refused.row]["name"]}),
        Ok(walk) => {
            let rows: Vec<Value> = walk
                .rows
                .iter()
                .enumerate()
                .map(|(id, row)| {
                    json!({"id": id, "change": row.change_min, "wait": row.wait_min, "start": row.start_min,
                        "end": row.end_min, "meal": row.meal.map(meal)})
                })
                .collect();
            json!({"feasible": true, "finish": walk.finish_min, "rows": rows})
        }
    }
}

fn meal(meal: Meal) -> Value {
    let place = match meal.place {
        MealPlace::BeforeChange => "before change",
        MealPlace::AfterChange => "after change",
    };
    json!({"where": place, "at": meal.at_min})
}

pub fn check_wrap_limit(inputs: &Value) -> Value {
    let limit = wrap_limit(Turnaround {
        latest_wrap_min: whole(&inputs["latest_wrap_today"]),
        call_tomorrow_min: whole(&inputs["call_tomorrow"]),
        turnaround_min: whole(&inputs["turnaround"]),
    });
    let own = i64::from(whole(&inputs["latest_wrap_today"]));
    assert_eq!(
        limit.bound_by == WrapBound::LatestWrap,
        limit.wrap_limit_min == own
    );
    json!({"wrap_limit": limit.wrap_limit_min})
}

pub fn check_idle(inputs: &Value) -> Value {
    assert!(
        inputs["meal"].is_null(),
        "write the reading of a meal when a check has one"
    );
    let blocks = inputs["blocks"].as_array().expect("blocks");
    let people: Vec<Vec<&str>> = blocks
        .iter()
        .map(|block| list(&block["people"], text))
        .collect();
    let blocks: Vec<PeopleBlock<'_>> = blocks
        .iter()
        .zip(&people)
        .map(|(block, people)| PeopleBlock {
            start_min: whole(&block["start"]),
            end_min: whole(&block["end"]),
            people,
        })
        .collect();
    let idle = idle_minutes(&blocks, None);
    let mut answer: serde_json::Map<String, Value> = idle
        .by_person
        .iter()
        .map(|(person, minutes)| ((*person).into(), (*minutes).into()))
        .collect();
    answer.insert("total".into(), idle.total_min.into());
    answer.into()
}
