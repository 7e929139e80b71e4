//! Runs every check of `checks/planning.json` and reproduces the matrices of `checks/instances`.
//!
//! The file names a source for each row. A row whose calculation is not run here fails the test.

use serde_json::{Value, json};
use stillair_calc::continuity::lamps::{
    NeighbourLight, PracticalLevel, neighbour_light, practical_level, worst,
};
use stillair_calc::continuity::live_action::{CameraPlace, match_scale};
use stillair_calc::continuity::movement::{Passage, Step, apparent_speed, screen_direction};
use stillair_calc::continuity::piece::{CutDistance, Orientation, PieceReuse, piece_reuse};
use stillair_calc::continuity::severity_word;
use stillair_calc::continuity::story::{Copies, damage_in_story_order, damage_precedence};
use stillair_calc::order_key::between;
use stillair_calc::stage_day::changeover::{
    Changeover, ChangeoverTable, Combine, Dressing, Haze, Lane, Part, StageState, detours,
};
use stillair_calc::stage_day::clock::{Turnaround, WrapBound, wrap_limit};
use stillair_calc::stage_day::day::{
    Meal, MealPlace, Morning, OwnBlock, Planned, changeovers, simulate_day,
};
use stillair_calc::stage_day::preference::{PeopleBlock, cut_order_inversions, idle_minutes};
use stillair_calc::stage_day::rules::{Appointment, DayRules, Ready};
use stillair_calc::stage_day::why::{parts_table, repaired_cut_order};
use stillair_calc::timecode::media::{
    BitrateMode, RawRecording, StreamAtRate, media_bytes, media_bytes_at_rate, media_bytes_raw,
    media_rate_gigabyte_per_s,
};
use stillair_calc::timecode::retime::{
    RecordLength, ScreenLength, record_from_screen, screen_from_record,
};
use stillair_calc::timecode::slate::{natural_sort, next_setup_letters};
use stillair_calc::timecode::{
    Counting, FrameRate, TimecodeFault, elapsed_seconds, frames_to_timecode, timecode_to_frames,
};

const CHECKS: &str = include_str!("../checks/planning.json");
const INSTANCES: [&str; 2] = [
    include_str!("../checks/instances/setups-n008-s81.json"),
    include_str!("../checks/instances/setups-n012-s121.json"),
];

#[test]
fn every_check_gives_its_value() {
    let checks: Vec<Value> = serde_json::from_str(CHECKS).expect("the check file is JSON");
    let mut ids: Vec<&str> = checks.iter().map(|check| text(&check["id"])).collect();
    let mut wrong = Vec::new();
    for check in &checks {
        let id = text(&check["id"]);
        assert!(!text(&check["source"]).is_empty(), "{id} names no source");
        let Some(actual) = calculate(text(&check["calc"]), &check["inputs"], &check["expected"])
        else {
            wrong.push(format!("{id}: {} is not run", check["calc"]));
            continue;
        };
        let tolerance = check["rel_tol"].as_f64().unwrap_or(0.0);
        if !agrees(&actual, &check["expected"], tolerance) {
            wrong.push(format!("{id}: {actual} for {}", check["expected"]));
        }
    }
    assert!(
        wrong.is_empty(),
        "{} of {}:\n{}",
        wrong.len(),
        checks.len(),
        wrong.join("\n")
    );
    ids.sort_unstable();
    ids.dedup();
    assert_eq!(ids.len(), checks.len(), "an id stands twice");
}

/// Whether every expected field is there with its value. A number agrees within the relative tolerance.
fn agrees(actual: &Value, expected: &Value, tolerance: f64) -> bool {
    match (actual, expected) {
        (Value::Object(actual), Value::Object(expected)) => expected
            .iter()
            .all(|(key, value)| actual.get(key).is_some_and(|a| agrees(a, value, tolerance))),
        (Value::Array(actual), Value::Array(expected)) => {
            actual.len() == expected.len()
                && actual
                    .iter()
                    .zip(expected)
                    .all(|(a, e)| agrees(a, e, tolerance))
        }
        (Value::Number(actual), Value::Number(expected)) => {
            let (actual, expected) = (
                actual.as_f64().expect("finite"),
                expected.as_f64().expect("finite"),
            );
            (actual - expected).abs() <= tolerance * expected.abs()
        }
        _ => actual == expected,
    }
}

/// Runs one calculation by its name; `None` when the name is unknown. `expected` only decides which fields of a map that
/// must be empty are compared.
fn calculate(name: &str, inputs: &Value, expected: &Value) -> Option<Value> {
    let answer = match name {
        "changeover_minutes" => check_changeover(inputs, expected),
        "changeover_minutes_lanes" => check_lanes(inputs),
        "simulate_day" => check_day(inputs),
        "wrap_limit" => check_wrap_limit(inputs),
        "cut_order_inversions" => {
            let order: Vec<i64> = list(&inputs["cut_order_in_shooting_order"], |v| {
                v.as_i64().expect("whole")
            });
            let counted = cut_order_inversions(&order);
            json!({"inversions": counted.inversions, "of": counted.of})
        }
        "idle_minutes" => check_idle(inputs),
        "frames_to_timecode" => {
            let counting = if inputs["drop"] == true {
                Counting::Drop
            } else {
                Counting::NonDrop
            };
            let frame = inputs["frame"].as_i64().expect("whole");
            let label = frames_to_timecode(frame, rate(inputs), counting).expect("a label");
            json!({"timecode": label.to_string()})
        }
        "timecode_to_frames" => {
            match timecode_to_frames(text(&inputs["timecode"]), rate(inputs), None) {
                Ok(frame) => json!({"frame": frame}),
                Err(TimecodeFault::NoSuchLabel) => json!({"error": "no such label"}),
                Err(other) => json!({"error": other.to_string()}),
            }
        }
        "elapsed_seconds" => {
            json!({"seconds": elapsed_seconds(inputs["frames"].as_i64().expect("whole"), rate(inputs))})
        }
        "record_from_screen" | "screen_from_record" => check_retime(inputs),
        "media_bytes" | "media_bytes_raw" | "media_rate" => check_media(inputs),
        "next_setup_letters" => {
            json!({"next": next_setup_letters(text(&inputs["after"])).expect("letters")})
        }
        "natural_sort" => {
            let mut names: Vec<&str> = list(&inputs["values"], text);
            natural_sort(&mut names);
            json!({"sorted": names})
        }
        "piece_reuse" => check_piece(inputs),
        "neighbour_light" => check_neighbour_light(inputs),
        "screen_direction" => {
            let steps: Vec<Step> = list(&inputs["sequence"], |v| {
                Passage::parse(text(v)).expect("a passage").into()
            });
            let at: Vec<usize> = screen_direction(&steps)
                .iter()
                .map(|finding| finding.at)
                .collect();
            json!({"findings_at": at})
        }
        "practical_level" => {
            let severity = practical_level(PracticalLevel {
                levels_percent: pair(&inputs["levels"]),
                event_between: inputs["event_between"] == true,
            });
            json!({"severity": severity_word(severity)})
        }
        "damage_in_story_order" | "damage_precedence" => check_damage(inputs),
        "match_scale" => {
            let live = CameraPlace {
                height_m: number(&inputs["live"]["height_m"]),
                distance_m: number(&inputs["live"]["distance_m"]),
            };
            let model = match_scale(number(&inputs["scale"]), live);
            json!({"height_m": model.height_m, "distance_m": model.distance_m})
        }
        "apparent_speed" => {
            let compared = apparent_speed(pair(&inputs["lengths_per_second"]));
            let severity = severity_word(compared.severity);
            json!({"relative_difference": compared.relative_difference, "severity": severity})
        }
        "key_between" => {
            let key =
                between(inputs["after"].as_str(), inputs["before"].as_str()).expect("in order");
            json!({"key": key})
        }
        _ => return None,
    };
    Some(answer)
}

fn text(value: &Value) -> &str {
    value.as_str().expect("a text")
}

fn number(value: &Value) -> f64 {
    value.as_f64().expect("a number")
}

fn whole(value: &Value) -> u32 {
    value
        .as_u64()
        .and_then(|n| u32::try_from(n).ok())
        .expect("a whole number")
}

fn list<'a, T>(value: &'a Value, read: impl Fn(&'a Value) -> T) -> Vec<T> {
    value.as_array().expect("a list").iter().map(read).collect()
}

fn pair(value: &Value) -> [f64; 2] {
    [number(&value[0]), number(&value[1])]
}

fn rate(inputs: &Value) -> FrameRate {
    FrameRate::parse(text(&inputs["rate"])).expect("a rate")
}

fn state(value: &Value) -> StageState {
    let id = |key: &str| value[key].as_str().map(String::from);
    StageState {
        dressing: value["dressing"].as_str().map(Dressing::parse),
        rig: id("rig").filter(|rig| rig != "none"),
        light: id("light"),
        gels: id("gels"),
        camera: id("camera"),
        lens: id("lens"),
        haze: Haze::parse(text(&value["haze"])).expect("a class of haze"),
    }
}

fn check_changeover(inputs: &Value, expected: &Value) -> Value {
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

fn check_lanes(inputs: &Value) -> Value {
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

fn check_day(inputs: &Value) -> Value {
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

fn ready(value: &Value) -> Option<Ready> {
    value.is_object().then(|| Ready {
        day: whole(&value["day"]),
        minute: whole(&value["minute"]),
    })
}

fn appointment(value: &Value) -> Option<Appointment> {
    value.is_object().then(|| Appointment {
        day: whole(&value["day"]),
        earliest_min: whole(&value["earliest"]),
        latest_min: whole(&value["latest"]),
    })
}

fn check_wrap_limit(inputs: &Value) -> Value {
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

fn check_idle(inputs: &Value) -> Value {
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

fn check_retime(inputs: &Value) -> Value {
    let (record_fps, base_fps) = (number(&inputs["record_fps"]), number(&inputs["base_fps"]));
    if inputs["screen_seconds"].is_null() {
        let screen = screen_from_record(RecordLength {
            record_fps,
            base_fps,
            record_seconds: number(&inputs["record_seconds"]),
        })
        .expect("a shot");
        return json!({"record_frames": screen.record_frames, "screen_seconds": screen.screen_seconds});
    }
    let recording = record_from_screen(ScreenLength {
        record_fps,
        base_fps,
        screen_seconds: number(&inputs["screen_seconds"]),
        head_handle_frames: whole(&inputs["head_handle_frames"]),
        tail_handle_frames: whole(&inputs["tail_handle_frames"]),
        editorial_scalar: number(&inputs["editorial_scalar"]),
    })
    .expect("a shot");
    json!({"screen_frames": recording.screen_frames, "record_frames": recording.record_frames, "k": recording.k,
        "record_seconds": recording.record_seconds})
}

fn check_media(inputs: &Value) -> Value {
    if let Some(bytes_per_frame) = inputs["bytes_per_frame"].as_f64() {
        return json!({"gigabyte_per_s": media_rate_gigabyte_per_s(bytes_per_frame, number(&inputs["fps"]))});
    }
    if !inputs["width"].is_null() {
        let raw = media_bytes_raw(RawRecording {
            width: whole(&inputs["width"]),
            height: whole(&inputs["height"]),
            bits_per_photosite: whole(&inputs["bits_per_photosite"]),
            photosites_per_pixel: whole(&inputs["photosites_per_pixel"]),
            frames: whole(&inputs["frames"]).into(),
        })
        .expect("a size");
        return json!({"bytes_per_frame": raw.bytes_per_frame, "bytes": raw.bytes});
    }
    let seconds = number(&inputs["seconds"]);
    let Some(megabit_per_s_at_base) = inputs["megabit_per_s_at_base"].as_f64() else {
        return json!({"bytes": media_bytes(number(&inputs["megabit_per_s"]), seconds)});
    };
    let mode = match text(&inputs["mode"]) {
        "constant bits per frame" => BitrateMode::ConstantBitsPerFrame,
        "constant bits per second" => BitrateMode::ConstantBitsPerSecond,
        other => panic!("unknown mode {other}"),
    };
    let stream = StreamAtRate {
        megabit_per_s_at_base,
        base_fps: number(&inputs["base_fps"]),
        record_fps: number(&inputs["record_fps"]),
        seconds,
        mode,
    };
    json!({"bytes": media_bytes_at_rate(stream)})
}

fn check_piece(inputs: &Value) -> Value {
    let small = |key: &str| u8::try_from(whole(&inputs[key])).expect("a small number");
    let score = piece_reuse(PieceReuse {
        distinctiveness: small("distinctiveness"),
        visibility: small("visibility"),
        orientation: match text(&inputs["orientation"]) {
            "same" => Orientation::Same,
            "turned" => Orientation::Turned,
            "mirrored" => Orientation::Mirrored,
            other => panic!("unknown orientation {other}"),
        },
        distance: match inputs["shots_apart"].as_u64() {
            Some(1) => CutDistance::Adjacent,
            Some(_) => CutDistance::Near,
            None => CutDistance::Far,
        },
        same_place: inputs["same_place"] == true,
    });
    json!({"score": score.score, "severity": severity_word(score.severity)})
}

fn check_neighbour_light(inputs: &Value) -> Value {
    let haze = |at: usize| Haze::parse(text(&inputs["haze"][at])).expect("a class of haze");
    let parts = neighbour_light(&NeighbourLight {
        same_place: inputs["same_place"] == true,
        planned_change: false,
        haze: [haze(0), haze(1)],
        mired_difference: number(&inputs["mired_difference"]),
        key_azimuth_deg: None,
        gels_differ: false,
    });
    json!({"severity": severity_word(worst(&parts))})
}

fn check_damage(inputs: &Value) -> Value {
    if let Some(story) = inputs["story"].as_array() {
        assert_eq!(
            inputs["repair_events"],
            json!([]),
            "write the reading of repairs when a check has one"
        );
        let states: Vec<u32> = story.iter().map(|shot| whole(&shot[1])).collect();
        let named = |(a, b): (usize, usize)| json!([story[a][0], story[b][0]]);
        let found: Vec<Value> = damage_in_story_order(&states, &[])
            .into_iter()
            .map(named)
            .collect();
        return json!({"findings": found});
    }
    let states = inputs["states"].as_object().expect("states");
    let (names, levels): (Vec<&String>, Vec<u32>) = states
        .iter()
        .map(|(name, state)| (name, whole(state)))
        .unzip();
    let copies = if inputs["one_copy"] == true {
        Copies::One
    } else {
        Copies::More
    };
    let arcs: Vec<Value> = damage_precedence(&levels, copies)
        .into_iter()
        .map(|(a, b)| json!([names[a], names[b]]))
        .collect();
    json!({"arcs": arcs})
}

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
