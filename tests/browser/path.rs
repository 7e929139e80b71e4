//! The whole path a lead walks: a shot list out of a spreadsheet in, a call sheet to hang on the wall out.

use crate::harness::{Paper, Stage, Window};

const LIST: &str = concat!(
    env!("CARGO_MANIFEST_DIR"),
    "/tests/samples/drowned-parish-decimal-comma.csv"
);

/// A blank of the bench by its field.
fn blank(field: &str) -> String {
    format!("[data-field$='.{field}']")
}

/// What a result of the bench shows.
async fn shown(window: &Window, id: &str) -> String {
    window.text(&format!("#f-{id} .value")).await
}

/// Chooses the first real entry of a list and waits until it is written down.
async fn choose_first(window: &Window, css: &str) {
    window.wait(css).await;
    let choose = format!(
        "const list = document.querySelector(\"{css}\"); list.focus(); list.selectedIndex = 1; list.dispatchEvent(new Event('change', {{bubbles: true}})); list.blur();"
    );
    window.run(&choose).await;
    window
        .wait_until("!document.querySelector('[data-waiting]')")
        .await;
}

async fn import(window: &Window, plan: &str) {
    window.visit(&format!("{plan}/import")).await;
    let file = window.wait("#file").await;
    // A chosen file is looked at without pressing anything.
    window.run("window.before = true").await;
    file.send_keys(LIST).await.expect("a file is chosen");
    window.wait("button[value=store]").await;
    let look = window.text("#main").await;
    assert!(
        look.contains("Remarks") && look.contains("P10"),
        "the look names what is not taken and shows the rows: {look}"
    );
    window.press("button[value=store]").await;
    let cut = window.text("#main").await;
    assert!(cut.contains("14 shots"), "{cut}");
}

async fn fill_bench(window: &Window) {
    choose_first(window, &blank("camera_mode")).await;
    let numbers = [
        ("focal_length_mm", "24"),
        ("pupil_magnification", "1,4"),
        ("principal_plane_separation_mm", "28"),
        ("focus_from_mark_mm", "1260"),
        ("shoot_fps", "112"),
        ("exposure_index", "1600"),
        ("key_stops", "−1.5"),
        ("f_number", "11"),
    ];
    for (field, text) in numbers {
        window.write(&blank(field), text).await;
    }
}

#[tokio::test]
async fn a_shot_list_becomes_a_call_sheet() {
    let stage = Stage::new();
    let window = stage.lead(1440, 1000).await;
    window.visit("/").await;
    window.fill("#title", "Under the reservoir").await;
    window.press("form[action='/plans'] button").await;
    let plan = window.path().await.trim_end_matches("/cut").to_owned();
    import(&window, &plan).await;

    // The numbers of a setup, and what another stop does to them, with no page loaded anew.
    window.visit(&format!("{plan}/setups/S3")).await;
    fill_bench(&window).await;
    assert_eq!(shown(&window, "near").await, "844");
    let key = shown(&window, "key").await;
    window.run("window.stays = true").await;
    window.write(&blank("f_number"), "16").await;
    assert_eq!(shown(&window, "near").await, "737");
    assert_ne!(shown(&window, "key").await, key, "more light is asked for");
    assert_eq!(window.run("return window.stays === true").await, true);

    // Two setups on a day, the second moved before the first.
    window.visit(&format!("{plan}/days")).await;
    window.fill("#new-day-name", "Church").await;
    window.press("form[action$='/days'] button").await;
    let day = window.path().await;
    for setup in ["S3 Nave", "S4"] {
        let pick = format!(
            "const list = document.querySelector('#put-on'); list.value = [...list.options].find(o => o.text.startsWith('{}')).value",
            setup.split(' ').next().expect("a code")
        );
        window.wait("#put-on").await;
        window.run(&pick).await;
        window.press("form[action$='/setups'] button").await;
    }
    window
        .press("#order tbody tr:nth-child(2) button[value=up]")
        .await;
    let order = window.text("#order tbody").await;
    let (fourth, third) = (order.find("S4"), order.find("S3"));
    assert!(fourth < third && fourth.is_some(), "{order}");
    assert!(window.text(".notice").await.contains("S4 moved"));

    // The call sheet on one page, with the figures of the bench.
    let id = day.rsplit('/').next().expect("a day").to_owned();
    window.visit(&format!("{plan}/paper/days/{id}")).await;
    for (paper, query) in [(Paper::A4, ""), (Paper::Letter, "?size=letter")] {
        window
            .visit(&format!("{plan}/paper/days/{id}{query}"))
            .await;
        let printed = window.print(paper).await;
        assert_eq!(printed.pages, 1, "{}", printed.text);
        assert!(printed.is_on(paper));
        for words in [
            "Stage day 1",
            "08:00",
            "S3",
            "P4, P8",
            "24 mm",
            "112",
            "1:20",
            "not written yet",
            "Under the reservoir",
        ] {
            assert!(printed.text.contains(words), "{words}: {}", printed.text);
        }
    }
    window.close().await;
}

#[tokio::test]
async fn the_demo_prints_one_page_each() {
    let stage = Stage::new();
    let window = stage.lead(1440, 1000).await;
    let plan = window.first_plan().await;
    for sheet in ["days/1", "days/2", "setups/S1", "setups/S3", "setups/S5"] {
        for (paper, query) in [(Paper::A4, ""), (Paper::Letter, "?size=letter")] {
            window.visit(&format!("{plan}/paper/{sheet}{query}")).await;
            let printed = window.print(paper).await;
            assert_eq!(printed.pages, 1, "{sheet} on {paper:?}: {}", printed.text);
        }
    }
    window.close().await;
}
