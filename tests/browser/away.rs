//! A page whose book is out of reach, over plain http by a name that is not loopback.

use crate::harness::{self, Line, Stage, Window};
use serde_json::Value;

fn blank(field: &str) -> String {
    format!("[data-field$='.{field}']")
}

/// Types into a blank and leaves it, whether or not anybody takes it.
async fn type_in(window: &Window, field: &str, text: &str) {
    window.fill(&blank(field), &format!("{text}\u{e004}")).await;
}

/// What the plan says of a setup, asked by a window that is not cut off.
async fn setup(window: &Window, plan: &str, code: &str) -> Value {
    let ask = format!(
        "return fetch('/api{plan}').then((a) => a.json()).then((p) => p.setups.find((s) => s.code === '{code}'))"
    );
    window.run(&ask).await
}

async fn open(stage: &Stage, line: &Line) -> (Window, Window, String) {
    let (far, near) = (
        stage.lead_by(&line.site(), 1440, 1000).await,
        stage.lead(1440, 1000).await,
    );
    let plan = near.first_plan().await;
    far.visit(&format!("{plan}/setups/S1")).await;
    far.wait("[data-following]").await;
    let secure = far.run("return isSecureContext").await;
    assert_eq!(secure, false, "a plain page of another machine");
    (far, near, plan)
}

#[tokio::test]
async fn what_is_written_without_the_book_is_sent_when_it_is_back() {
    let stage = Stage::new();
    let line = Line::to(stage.site()).await;
    let (far, near, plan) = open(&stage, &line).await;
    let before = setup(&near, &plan, "S1").await;
    line.cut();
    type_in(&far, "key_through_haze_mm", "600").await;
    type_in(&far, "key_through_haze_mm", "700").await;
    type_in(&far, "exposure_index", "640").await;
    let banner = far.text("#away").await;
    assert!(
        banner.contains("out of reach") && banner.contains("3 changes held on this device"),
        "{banner}"
    );
    let saved = far.text("[data-saved]").await;
    assert!(
        saved.starts_with("Not written down. 3 changes held"),
        "{saved}"
    );
    assert_eq!(
        setup(&near, &plan, "S1").await,
        before,
        "nothing came through"
    );
    // What cannot be held is not done, and says so beside what was pressed.
    let sheet = far.path().await;
    far.run("document.querySelector('a[data-swap]').click()")
        .await;
    far.wait("a[data-swap] + .note.fault").await;
    assert!(
        far.text("a[data-swap] + .note.fault")
            .await
            .contains("out of reach")
    );
    assert_eq!(far.path().await, sheet, "the sheet and what is typed stay");
    // Meanwhile another hand writes one of them.
    near.visit(&format!("{plan}/setups/S1")).await;
    near.write(&blank("exposure_index"), "500").await;
    line.mend();
    far.wait_until("!document.querySelector('#away') && !document.querySelector('[data-waiting]')")
        .await;
    // Its own two edits follow each other; the blank that both wrote has both values.
    let after = setup(&near, &plan, "S1").await;
    assert_eq!(after["key_through_haze_mm"], 700.0);
    assert_eq!(after["exposure_index"], 500.0);
    let note = far.text(".two-hands").await;
    assert!(note.contains("500") && note.contains("640"), "{note}");
    assert_eq!(
        far.run("return document.querySelectorAll('.two-hands').length")
            .await,
        1
    );
    far.close().await;
    near.close().await;
}

#[tokio::test]
async fn a_page_that_was_closed_leaves_what_it_wrote_to_the_next() {
    let stage = Stage::new();
    let line = Line::to(stage.site()).await;
    let (far, near, plan) = open(&stage, &line).await;
    line.cut();
    type_in(&far, "key_through_haze_mm", "600").await;
    type_in(&far, "shoot_fps", "not a number").await;
    far.wait("#away").await;
    line.mend();
    // Gone before its next try; another sheet sends it, and says what was refused.
    far.visit(&format!("{plan}/cut")).await;
    let needs = far.text("#needs-you").await;
    assert!(
        needs.contains("not a number") && needs.contains("Needs you"),
        "{needs}"
    );
    assert_eq!(
        setup(&near, &plan, "S1").await["key_through_haze_mm"],
        600.0
    );
    far.wait("#needs-you button:last-of-type")
        .await
        .click()
        .await
        .expect("it is let go");
    far.wait_until("!document.querySelector('#needs-you')")
        .await;
    far.visit(&format!("{plan}/stores")).await;
    far.wait("[data-following]").await;
    assert_eq!(
        far.run("return document.querySelector('#needs-you') === null")
            .await,
        true
    );
    far.close().await;
    near.close().await;
}

#[tokio::test]
async fn a_sheet_opened_before_can_be_read_while_the_book_is_away() {
    let stage = Stage::new();
    let line = Line::to(stage.site()).await;
    let window = stage.lead_by(&line.trusted_site(), 1440, 1000).await;
    let plan = window.first_plan().await;
    let bench = format!("{plan}/setups/S1");
    window.visit(&bench).await;
    window
        .run("return navigator.serviceWorker.ready.then(() => true)")
        .await;
    // From now on what is opened is kept.
    window.visit(&bench).await;
    window
        .wait_until("navigator.serviceWorker.controller")
        .await;
    window.visit(&bench).await;
    let key = window.text("#f-key .value").await;
    line.cut();
    window.visit(&bench).await;
    let banner = window.text("#away").await;
    assert!(
        banner.contains("out of reach") && banner.contains("as it stood at"),
        "{banner}"
    );
    assert_eq!(window.text("#f-key .value").await, key);
    let lettered = window
        .run("return document.fonts.ready.then(() => getComputedStyle(document.body).margin)")
        .await;
    assert_eq!(lettered, "0px", "it has its styles");
    type_in(&window, "exposure_index", "640").await;
    assert!(window.text("[data-saved]").await.contains("1 change held"));
    line.mend();
    window
        .wait_until("!document.querySelector('#away') && !document.querySelector('[data-waiting]')")
        .await;
    assert_eq!(setup(&window, &plan, "S1").await["exposure_index"], 640.0);
    // Whoever signs out leaves nothing to be read.
    window.press(".title-block .switch.out button").await;
    let left = window.run("return caches.keys().then((all) => Promise.all(all.map((name) => caches.open(name).then((c) => c.keys()).then((k) => k.filter((r) => r.url.includes('/plans/')).length)))).then((n) => n.reduce((a, b) => a + b, 0))").await;
    assert_eq!(left, 0);
    window.close().await;
}

#[tokio::test]
async fn a_book_put_back_from_a_copy_is_offered_what_it_lost() {
    let home = tempfile::tempdir().expect("a temporary folder");
    let path = |name: &str| home.path().join(name).to_string_lossy().into_owned();
    let (first, second, copy) = (path("a"), path("b"), path("copy"));
    let stage = Stage::of(home.path().join("a").as_path());
    let line = Line::to(stage.site()).await;
    let window = stage.lead_by(&line.site(), 1440, 1000).await;
    window.visit("/").await;
    window.fill("#title", "Under the reservoir").await;
    window.press("form[action='/plans'] button").await;
    let plan = window.path().await.trim_end_matches("/cut").to_owned();
    let made = format!(
        "return fetch('/api{plan}/changes', {{ method: 'POST', headers: {{ 'content-type': 'application/json' }}, body: JSON.stringify({{ op_id: 'made', kind: 'insert', entity_type: 'setup', entity: 'setup-1', value: {{ code: 'S1' }} }}) }}).then((a) => a.status)"
    );
    assert_eq!(window.run(&made).await, 200);
    window.visit(&format!("{plan}/setups/S1")).await;
    window.wait("[data-following]").await;
    window.write(&blank("exposure_index"), "500").await;
    harness::run(&["backup", "--data", &first, &copy]);
    window.write(&blank("exposure_index"), "640").await;
    window.write(&blank("shoot_fps"), "96").await;
    line.cut();
    harness::run(&["restore", "--data", &second, &copy]);
    let (_program, site) = harness::another(home.path().join("b").as_path());
    line.lead_to(&site);
    line.mend();
    // The page finds another book under its address, loads it and offers again what it had been told was written.
    let there = format!(
        "(window.asked ??= {{}}, fetch('/api{plan}').then((a) => a.json()).then((p) => {{ window.asked = p; }}), window.asked.setups?.[0].shoot_fps === 96)"
    );
    window.wait_until(&there).await;
    let setup = setup(&window, &plan, "S1").await;
    assert_eq!(setup["exposure_index"], 640.0);
    window
        .wait_until(&format!(
            "document.querySelector(\"{}\").value === '640'",
            blank("exposure_index")
        ))
        .await;
    let seq = window.run(&format!("return fetch('/api{plan}').then((a) => a.json()).then((p) => [p.seq, p.besides.length])")).await;
    assert_eq!(seq[1], 0, "a hand is not in its own way");
    window.close().await;
}
