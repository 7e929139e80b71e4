//! A setup's drawing in words: one or two sentences to hear, and the same facts by name.

use std::fmt::Write;

use super::figure;
use super::scene::Scene;
use super::view::View;

/// One or two sentences for people who hear the page.
pub(crate) fn label(scene: &Scene) -> String {
    let length = |mm: f64| figure::length(mm, scene.unit);
    let mut words = format!(
        "Plan and elevation to scale, in {} from the sensor mark. Camera {} above the table",
        figure::unit_word(scene.unit),
        length(scene.camera.height_mm)
    );
    if let Some(limits) = scene.limits {
        let far = limits.far_mm.map_or_else(|| "infinity".to_owned(), length);
        let _ = write!(words, "; sharp from {} to {far}", length(limits.near_mm));
    }
    if let Some(focus_mm) = scene.focus_mm {
        let _ = write!(words, "; focus at {}", length(focus_mm));
    }
    if let Some(end_mm) = scene.water_end_mm {
        let _ = write!(words, "; the water ends at {}", length(end_mm));
    }
    words + "."
}

/// The same facts, by name.
pub(crate) fn facts(scene: &Scene, view: &View) -> Vec<(String, String)> {
    let length = |mm: f64| {
        format!(
            "{} {}",
            figure::length(mm, scene.unit),
            figure::unit_sign(scene.unit)
        )
    };
    let degrees = |deg: f64| format!("{}°", figure::grouped(deg, 1));
    let mut facts = vec![
        (
            "Camera above the table".to_owned(),
            length(scene.camera.height_mm),
        ),
        (
            "Entrance pupil ahead of the mark".to_owned(),
            length(scene.camera.pupil_mm),
        ),
    ];
    let mut say = |name: &str, value: String| facts.push((name.to_owned(), value));
    if scene.camera.tilt_deg != 0.0 {
        let way = if scene.camera.tilt_deg > 0.0 {
            "up"
        } else {
            "down"
        };
        say(
            "Tilt",
            format!("{} {way}", degrees(scene.camera.tilt_deg.abs())),
        );
    }
    if scene.camera.roll_deg != 0.0 {
        say("Roll", degrees(scene.camera.roll_deg));
    }
    if let Some(limits) = scene.limits {
        say("Near limit, from mark", length(limits.near_mm));
        say(
            "Far limit, from mark",
            limits.far_mm.map_or_else(|| "infinity".to_owned(), length),
        );
    }
    if let Some(focus_mm) = scene.focus_mm {
        say("Focus, from mark", length(focus_mm));
        if scene.camera.frame.is_some() {
            say(
                "Frame width at focus",
                length(2.0 * view.half_width_mm(focus_mm)),
            );
            say(
                "Frame height at focus",
                length(2.0 * view.half_height_mm(focus_mm)),
            );
        }
    }
    if let Some(end_mm) = scene.water_end_mm {
        say("Water’s end, from mark", length(end_mm));
    }
    if let Some(path) = scene.path {
        say("Path", length(path.length_mm()));
    }
    if let Some(tent) = scene.tent {
        say(
            "Smoke tent, along, across, high",
            format!(
                "{} × {} × {}",
                length(tent.end_mm - tent.start_mm),
                length(tent.width_mm),
                length(tent.height_mm)
            ),
        );
    }
    if let Some(table) = scene.table {
        say(
            "Table, along and across",
            format!("{} × {}", length(table.length_mm), length(table.width_mm)),
        );
    }
    for thing in &scene.things {
        let place = format!(
            "{} from mark, {} to the right, {} up",
            length(thing.place.x_mm),
            length(thing.place.y_mm),
            length(thing.place.z_mm)
        );
        say(&thing.name, place);
    }
    facts
}
