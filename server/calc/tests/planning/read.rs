//! Reads the values of check files and instances.

use serde_json::Value;
use stillair_calc::stage_day::changeover::{Dressing, Haze, StageState};
use stillair_calc::stage_day::rules::{Appointment, Ready};
use stillair_calc::timecode::FrameRate;

pub fn text(value: &Value) -> &str {
    value.as_str().expect("a text")
}

pub fn number(value: &Value) -> f64 {
    value.as_f64().expect("a number")
}

pub fn whole(value: &Value) -> u32 {
    value
        .as_u64()
        .and_then(|n| u32::try_from(n).ok())
        .expect("a whole number")
}

pub fn list<'a, T>(value: &'a Value, read: impl Fn(&'a Value) -> T) -> Vec<T> {
    value.as_array().expect("a list").iter().map(read).collect()
}

pub fn pair(value: &Value) -> [f64; 2] {
    [number(&value[0]), number(&value[1])]
}

pub fn rate(inputs: &Value) -> FrameRate {
    FrameRate::parse(text(&inputs["rate"])).expect("a rate")
}

pub fn state(value: &Value) -> StageState {
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

pub fn ready(value: &Value) -> Option<Ready> {
    value.is_object().then(|| Ready {
        day: whole(&value["day"]),
        minute: whole(&value["minute"]),
    })
}

pub fn appointment(value: &Value) -> Option<Appointment> {
    value.is_object().then(|| Appointment {
        day: whole(&value["day"]),
        earliest_min: whole(&value["earliest"]),
        latest_min: whole(&value["latest"]),
    })
}
