//! Haze over a day: reads days as JSON lines, writes for each its pieces, its top-ups, what stands at some minutes and what
//! is breathed. For `tests/peers`, which integrates the same two boxes by other means.

use serde_json::{Value, json};
use std::io::{BufRead as _, Write as _};
use stillair_calc::haze_day::{Air, Held, breathed, course};

fn main() -> Result<(), Box<dyn std::error::Error>> {
    let mut out = std::io::stdout().lock();
    for line in std::io::stdin().lock().lines() {
        let given: Value = serde_json::from_str(&line?)?;
        writeln!(out, "{}", day(&given).unwrap_or(Value::Null))?;
    }
    Ok(())
}

fn day(given: &Value) -> Option<Value> {
    let n = |of: &Value, name: &str| of.get(name)?.as_f64();
    let air = &given["air"];
    let air = Air {
        room_m3: n(air, "room_m3")?,
        leak_per_h: n(air, "leak_per_h")?,
        settling_per_h: n(air, "settling_per_h")?,
        purge_per_h: n(air, "purge_per_h")?,
        room_shooting_per_h: n(air, "room_shooting_per_h")?,
        room_between_per_h: n(air, "room_between_per_h")?,
        airborne_gpmin: n(air, "airborne_gpmin")?,
        band: n(air, "band")?,
        clear_mgpm3: n(air, "clear_mgpm3")?,
    };
    let held = given["held"].as_array()?.iter().map(|one| {
        Some(Held {
            start_min: n(one, "start_min")?,
            end_min: n(one, "end_min")?,
            wanted_mgpm3: n(one, "wanted_mgpm3")?,
            tent_m3: n(one, "tent_m3"),
        })
    });
    let held: Vec<Held> = held.collect::<Option<_>>()?;
    let day = course(&air, &held, n(given, "from_min")?, n(given, "to_min")?);
    let sum = breathed(&day);
    let minutes = given["minutes"]
        .as_array()?
        .iter()
        .filter_map(Value::as_f64);
    let at = minutes.map(|minute| {
        let state = day.at(minute);
        json!([state.tent_mgpm3, state.room_mgpm3, state.dose_mg_h_pm3])
    });
    let pieces = day.pieces.iter().map(
        |p| json!({"act": format!("{:?}", p.act), "start_min": p.start_min, "end_min": p.end_min}),
    );
    Some(json!({
        "at": at.collect::<Vec<_>>(),
        "pieces": pieces.collect::<Vec<_>>(),
        "top_ups_min": day.top_ups.iter().map(|t| t.at_min).collect::<Vec<_>>(),
        "airborne_g": day.airborne_g,
        "average_8h_mgpm3": sum.average_8h_mgpm3,
        "worst_quarter_mgpm3": sum.worst_quarter_mgpm3,
    }))
}
