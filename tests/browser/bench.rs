//! The bench of a setup, written in.

use crate::harness::{Stage, Window};
use serde_json::json;
use std::io::Write as _;

const STOP: &str = "[data-field$='.f_number']";

#[tokio::test]
async fn a_stop_written_on_the_bench_moves_the_figures_and_stays() {
    let stage = Stage::new();
    let window = stage.lead(1440, 900).await;
    let plan = window.first_plan().await;
    window.visit(&format!("{plan}/setups/S3")).await;
    let before = window.text("#main").await;
    let change = window.text("#change").await;
    window.write(STOP, "16").await;
    assert_eq!(window.value(STOP).await, "16");
    assert_ne!(window.text("#change").await, change, "it has a number");
    let after = window.text("#main").await;
    assert_ne!(before, after, "the figures moved without a new page");
    window.client.refresh().await.expect("the page comes again");
    assert_eq!(window.value(STOP).await, "16");
    assert_eq!(window.text("#main").await, after, "and stay as they are");
    window.close().await;
}

/// Where the middle of an element is on the screen.
async fn middle(window: &Window, css: &str) -> (f64, f64) {
    let script = format!(
        "const e = document.querySelector(`{css}`); e.scrollIntoView({{block: 'center'}}); const b = e.getBoundingClientRect(); return [b.x + b.width / 2, b.y + b.height / 2];"
    );
    let at = window.run(&script).await;
    (
        at[0].as_f64().expect("a place"),
        at[1].as_f64().expect("a place"),
    )
}

async fn mouse(window: &Window, kind: &str, (x, y): (f64, f64)) {
    let button =
        json!({"type": kind, "x": x, "y": y, "button": "left", "buttons": 1, "clickCount": 1});
    window.tell("Input.dispatchMouseEvent", button).await;
}

/// Presses a key as a keyboard does.
async fn key(window: &Window, name: &str) {
    let text = match name {
        "Enter" => "\r",
        name if name.chars().count() == 1 => name,
        _ => "",
    };
    let code = match name {
        "Tab" => 9,
        "Enter" => 13,
        "Escape" => 27,
        _ => 0,
    };
    let down = if text.is_empty() {
        "rawKeyDown"
    } else {
        "keyDown"
    };
    let press = json!({"type": down, "key": name, "code": name, "text": text, "windowsVirtualKeyCode": code});
    window.tell("Input.dispatchKeyEvent", press).await;
    window
        .tell(
            "Input.dispatchKeyEvent",
            json!({"type": "keyUp", "key": name, "code": name, "windowsVirtualKeyCode": code}),
        )
        .await;
}

/// Goes on with Tab until an element has the focus; it must be among the stops of the keyboard.
async fn tab_to(window: &Window, css: &str) {
    for _ in 0..400 {
        if window
            .run(&format!("return document.activeElement.matches(`{css}`)"))
            .await
            == true
        {
            return;
        }
        key(window, "Tab").await;
    }
    panic!("the keyboard never comes to {css}");
}

const LAMP: &str = "#drawing-wide [data-view=plan] [data-thing][data-name='Lamp A'] .d-hit";

/// What the blank of a thing's place holds.
async fn taped(window: &Window, called: &str, field: &str) -> String {
    let script = format!(
        "const row = [...document.querySelectorAll('#things tbody tr')].find((r) => r.querySelector('th').textContent.startsWith('{called}')); return row.querySelector('[data-field$=\".{field}\"]').value;"
    );
    window
        .run(&script)
        .await
        .as_str()
        .expect("a value")
        .to_owned()
}

#[tokio::test]
async fn a_drag_shows_new_figures_at_once_and_is_written_when_it_is_put_down() {
    let stage = Stage::new();
    let window = stage.lead(1440, 1000).await;
    let plan = window.first_plan().await;
    window.visit(&format!("{plan}/setups/S3")).await;
    window.wait("[data-scripts]").await;
    let change = window.text("#change").await;
    let (x0, y0) = (
        taped(&window, "Lamp A", "x_mm").await,
        taped(&window, "Lamp A", "y_mm").await,
    );
    window
        .run("window.shown = []; document.addEventListener('stillair:shown', (e) => shown.push(e.detail))")
        .await;
    let (x, y) = middle(&window, LAMP).await;
    mouse(&window, "mousePressed", (x, y)).await;
    for step in 1..=40 {
        mouse(
            &window,
            "mouseMoved",
            (x - 1.5 * f64::from(step), y + 0.5 * f64::from(step)),
        )
        .await;
        tokio::time::sleep(std::time::Duration::from_millis(40)).await;
    }
    let held = window.text("[data-held]").await;
    assert!(held.starts_with("Lamp A:"), "what is held is said: {held}");
    assert_eq!(
        window.text("#change").await,
        change,
        "nothing is written while it is held"
    );
    mouse(&window, "mouseReleased", (x - 60.0, y + 20.0)).await;
    window
        .wait_until(&format!(
            "document.getElementById('change').textContent !== '{change}'"
        ))
        .await;
    let (x1, y1) = (
        taped(&window, "Lamp A", "x_mm").await,
        taped(&window, "Lamp A", "y_mm").await,
    );
    assert!(
        x1 != x0 && y1 != y0,
        "it stands elsewhere: {x0} {y0}, {x1} {y1}"
    );
    assert!(
        x1.ends_with('0') && y1.ends_with('0'),
        "on the 10 mm grid: {x1}, {y1}"
    );
    let shown = window
        .run("return window.shown.sort((a, b) => a - b)")
        .await;
    let shown: Vec<f64> = shown
        .as_array()
        .expect("a list")
        .iter()
        .filter_map(serde_json::Value::as_f64)
        .collect();
    assert!(
        shown.len() >= 10,
        "figures followed the drag {} times",
        shown.len()
    );
    // Straight out, so that the run that measures shows it.
    let _ = writeln!(
        std::io::stdout(),
        "drag: new figures after {:.0} ms in the middle of {}, unoptimised",
        shown[shown.len() / 2],
        shown.len()
    );
    window.close().await;
}

#[tokio::test]
async fn escape_puts_back_what_is_dragged() {
    let stage = Stage::new();
    let window = stage.lead(1440, 1000).await;
    let plan = window.first_plan().await;
    window.visit(&format!("{plan}/setups/S3")).await;
    window.wait("[data-scripts]").await;
    let (change, x0) = (
        window.text("#change").await,
        taped(&window, "Lamp A", "x_mm").await,
    );
    let (x, y) = middle(&window, LAMP).await;
    mouse(&window, "mousePressed", (x, y)).await;
    for step in 1..=5 {
        mouse(&window, "mouseMoved", (x - 8.0 * f64::from(step), y)).await;
    }
    window
        .wait_until("!document.querySelector('[data-held]').hidden")
        .await;
    key(&window, "Escape").await;
    window
        .wait_until("document.querySelector('[data-held]').hidden")
        .await;
    mouse(&window, "mouseReleased", (x - 40.0, y)).await;
    window
        .wait_until("document.querySelector('#pencil').hidden")
        .await;
    assert_eq!(taped(&window, "Lamp A", "x_mm").await, x0);
    assert_eq!(window.text("#change").await, change, "nothing was written");
    window.close().await;
}

#[tokio::test]
async fn the_keyboard_alone_places_moves_and_turns_a_thing() {
    let stage = Stage::new();
    let window = stage.lead(1440, 1000).await;
    let plan = window.first_plan().await;
    window.visit(&format!("{plan}/setups/S8")).await;
    window.wait("[data-scripts]").await;
    tab_to(&window, "#place-what").await;
    // A list takes its first letter; "Flag" is the only one of the kind.
    key(&window, "F").await;
    window.run("const s = document.activeElement; if (!s.selectedOptions[0].text.startsWith('Fl')) s.value = 'flag '").await;
    tab_to(&window, "form.inline button").await;
    window.run("window.before = true").await;
    key(&window, "Enter").await;
    window
        .wait_until("!window.before && document.readyState === 'complete'")
        .await;
    window.wait("#thing").await;
    let (x0, z0, h0) = (
        taped(&window, "flag", "x_mm").await,
        taped(&window, "flag", "z_mm").await,
        taped(&window, "flag", "heading_deg").await,
    );
    let change = window.text("#change").await;
    tab_to(&window, "#drawing-wide").await;
    for name in [
        "ArrowRight",
        "Enter",
        "ArrowRight",
        "ArrowRight",
        "ArrowUp",
        "PageUp",
        "]",
    ] {
        key(&window, name).await;
    }
    key(&window, "Enter").await;
    window
        .wait_until(&format!(
            "document.getElementById('change').textContent !== '{change}'"
        ))
        .await;
    let now = (
        taped(&window, "flag", "x_mm").await,
        taped(&window, "flag", "z_mm").await,
        taped(&window, "flag", "heading_deg").await,
    );
    assert!(now.0 != x0 && now.1 != z0 && now.2 != h0, "{now:?}");
    window.close().await;
}

#[tokio::test]
async fn the_pencil_shows_what_moves_and_a_lever_fills_it() {
    let stage = Stage::new();
    let window = stage.lead(1440, 1000).await;
    let plan = window.first_plan().await;
    window.visit(&format!("{plan}/setups/S3")).await;
    window.wait("[data-scripts]").await;
    let change = window.text("#change").await;
    window
        .run("document.querySelector('#tell-near-blur .levers button').click()")
        .await;
    window.wait("#pencil .moved").await;
    let strip = window.text("#pencil").await;
    assert!(
        strip.contains("gone") && strip.contains("Near limit"),
        "{strip}"
    );
    assert_eq!(window.text("#change").await, change, "nothing is written");
    window
        .run("document.querySelector('#pencil [name=ink]').click()")
        .await;
    window
        .wait_until(&format!(
            "document.getElementById('change').textContent !== '{change}'"
        ))
        .await;
    window
        .wait_until("document.querySelector('#pencil').hidden")
        .await;
    assert_eq!(
        window
            .run("return document.querySelector('#tell-near-blur')")
            .await,
        serde_json::Value::Null
    );
    window.close().await;
}
