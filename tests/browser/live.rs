//! Two browsers on one plan: what one writes, the other shows; what is being typed stays.

use crate::harness::{Stage, Window};
use std::io::Write as _;

/// Edits of the first test.
const EDITS: u32 = 15;

/// A blank of the bench by its field.
fn blank(field: &str) -> String {
    format!("[data-field$='.{field}']")
}

async fn two(stage: &Stage) -> (Window, Window, String) {
    let (one, other) = (stage.lead(1440, 1000).await, stage.lead(1440, 1000).await);
    let bench = format!("{}/setups/S1", one.first_plan().await);
    one.visit(&bench).await;
    other.visit(&bench).await;
    // Each sees the other at the table: both follow.
    for window in [&one, &other] {
        window.wait("#hands .hand").await;
    }
    (one, other, bench)
}

#[tokio::test]
async fn one_edits_and_the_other_shows_it() {
    let stage = Stage::new();
    let (one, other, _) = two(&stage).await;
    let now = "performance.timeOrigin + performance.now()";
    one.run(&format!("document.addEventListener('keydown', (e) => {{ if (e.key === 'Enter') window.entered = {now}; }}, true)")).await;
    other.run(&format!("window.seen = []; let said = document.querySelector('#f-key .value').textContent; new MutationObserver(() => {{ const now = document.querySelector('#f-key .value').textContent; if (now !== said) {{ said = now; window.seen.push([now, {now}]); }} }}).observe(document.body, {{ subtree: true, childList: true, characterData: true }})")).await;
    let mut waits = Vec::new();
    for n in 0..EDITS {
        let text = if n % 2 == 0 { "8" } else { "16" };
        one.fill(&blank("f_number"), text).await;
        one.wait(&blank("f_number"))
            .await
            .send_keys("\u{e007}")
            .await
            .expect("Enter");
        other.wait_until(&format!("window.seen.length > {n}")).await;
        let entered = one.run("return window.entered").await;
        let seen = other.run(&format!("return window.seen[{n}][1]")).await;
        waits.push(seen.as_f64().expect("ms") - entered.as_f64().expect("ms"));
        one.wait_until("!document.querySelector('[data-waiting]')")
            .await;
    }
    let value = one.text("#f-key .value").await;
    assert_eq!(other.text("#f-key .value").await, value);
    waits.sort_by(f64::total_cmp);
    // Straight out, so that the run that measures shows it.
    let _ = writeln!(
        std::io::stdout(),
        "live: new figure on the other page after {:.0} ms in the middle of {EDITS}, unoptimised",
        waits[waits.len() / 2]
    );
    one.close().await;
    other.close().await;
}

#[tokio::test]
async fn what_is_being_typed_keeps_its_text_and_caret() {
    let stage = Stage::new();
    let (one, other, _) = two(&stage).await;
    let (stop, index) = (blank("f_number"), blank("exposure_index"));
    let before = other.value(&index).await;
    other.fill(&index, "3200").await;
    other.run("document.activeElement.setSelectionRange(1, 3); window.stays = document.activeElement; scrollTo(0, 120)").await;
    let key = other.text("#f-key .value").await;
    // Another blank, and then the very blank.
    one.write(&stop, "5.6").await;
    other
        .wait_until(&format!(
            "document.querySelector('#f-key .value').textContent !== '{key}'"
        ))
        .await;
    one.write(&index, "800").await;
    other.wait("[data-beside]").await;
    let stands = other.run("const at = document.activeElement; return [at === window.stays, at.value, at.selectionStart, at.selectionEnd, scrollY]").await;
    assert_eq!(stands, serde_json::json!([true, "3200", 1, 3, 120]));
    assert!(other.text("[data-beside]").await.contains("800"));
    assert_ne!(before, "800");
    // Left, it is kept beside; the note has both values, and a third can be written.
    other.run("document.activeElement.blur()").await;
    let note = other.text(".two-hands").await;
    for words in ["800", "3200", "Keep", "Take"] {
        assert!(note.contains(words), "{words}: {note}");
    }
    one.wait(".two-hands").await;
    one.fill(".two-hands [name=third]", "1000").await;
    one.wait(".two-hands button[value=third]")
        .await
        .click()
        .await
        .expect("a third");
    for window in [&one, &other] {
        window
            .wait_until("!document.querySelector('.two-hands')")
            .await;
        assert_eq!(window.value(&index).await, "1000");
    }
    one.close().await;
    other.close().await;
}

#[tokio::test]
async fn another_haze_redraws_the_day() {
    let stage = Stage::new();
    let window = stage.lead(1440, 1000).await;
    let plan = window.first_plan().await;
    window.visit(&format!("{plan}/haze")).await;
    let day = window.path().await;
    window.visit(&format!("{day}?setup=S3")).await;
    window.wait("#lungs").await;
    window
        .run("window.asked = 0; document.addEventListener('change', () => { window.asked = performance.now(); }, true); window.waits = []; new MutationObserver(() => { if (window.asked) { window.waits.push(performance.now() - window.asked); window.asked = 0; } }).observe(document.querySelector('#haze-curves'), { subtree: true, childList: true, attributes: true })")
        .await;
    let before = window.text("#haze-curves svg").await;
    for reach in ["40", "60", "30", "80", "50", "20"] {
        window.write(&blank("reach_m"), reach).await;
    }
    assert_ne!(window.text("#haze-curves svg").await, before);
    let waits = window
        .run("return window.waits.sort((a, b) => a - b)")
        .await;
    let waits: Vec<f64> = waits
        .as_array()
        .expect("a list")
        .iter()
        .filter_map(serde_json::Value::as_f64)
        .collect();
    assert!(
        waits.len() >= 4,
        "the curves followed {} times",
        waits.len()
    );
    let _ = writeln!(
        std::io::stdout(),
        "haze: the day drawn anew after {:.0} ms in the middle of {}, unoptimised",
        waits[waits.len() / 2],
        waits.len()
    );
    window.close().await;
}

#[tokio::test]
async fn a_hand_is_seen_in_its_blank() {
    let stage = Stage::new();
    let (one, other, bench) = two(&stage).await;
    let at = "[data-in-blank]";
    one.run(&format!(
        "document.querySelector(\"{}\").focus()",
        blank("reach_m")
    ))
    .await;
    assert_eq!(other.text(at).await, "lead is in this blank");
    let held = other.run(&format!("return document.querySelector(\"{}\").closest('.blank').contains(document.querySelector('{at}'))", blank("reach_m"))).await;
    assert_eq!(held, true);
    // It does not see itself, and is forgotten when it turns to another sheet.
    assert_eq!(
        one.run(&format!("return document.querySelectorAll('{at}').length"))
            .await,
        0
    );
    one.visit(&bench.replace("/setups/S1", "/cut")).await;
    other
        .wait_until(&format!("!document.querySelector('{at}')"))
        .await;
    one.close().await;
    other
        .wait_until("!document.querySelector('#hands .hand')")
        .await;
    other.close().await;
}
