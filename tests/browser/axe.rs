//! What axe-core says of every page: a general checker of what people who do not see or point need.

use crate::harness::{Stage, Window};
use serde_json::Value;

const AXE: &str = concat!(env!("CARGO_MANIFEST_DIR"), "/tests/.axe/package/axe.min.js");

/// Faults that stop somebody, with where they are.
async fn serious(window: &Window) -> Vec<String> {
    let axe = std::fs::read_to_string(AXE).expect("axe-core; tests/run fetches it by npm");
    window.run(&axe).await;
    let found = window
        .client
        .execute_async(
            "const done = arguments[arguments.length - 1]; axe.run(document, {resultTypes: ['violations']}).then((r) => done(r.violations), (e) => done(String(e)));",
            Vec::new(),
        )
        .await
        .expect("axe runs");
    let list = found
        .as_array()
        .unwrap_or_else(|| panic!("axe failed: {found}"));
    let grave = |v: &&Value| matches!(v["impact"].as_str(), Some("serious" | "critical"));
    list.iter()
        .filter(grave)
        .map(|v| {
            let nodes = v["nodes"].as_array().map_or(0, Vec::len);
            format!(
                "{} ({nodes}): {} — {}",
                v["id"], v["help"], v["nodes"][0]["html"]
            )
        })
        .collect()
}

#[tokio::test]
async fn axe_finds_no_serious_fault_on_any_page() {
    let stage = Stage::new();
    let window = stage.lead(1440, 900).await;
    let plan = window.first_plan().await;
    let mut pages: Vec<String> = [
        "/",
        "/me",
        "/crew",
        "/sums",
        "/sums/scales",
        "/notices",
        "/nowhere",
    ]
    .map(str::to_owned)
    .into();
    for page in [
        "cut", "setups", "days", "stores", "paper", "import", "history", "remarks", "haze", "power",
    ] {
        pages.push(format!("{plan}/{page}"));
    }
    for code in ["S1", "S3", "S6", "S8"] {
        pages.push(format!("{plan}/setups/{code}"));
    }
    pages.push(format!("{plan}/paper/setups/S3"));
    window.visit(&format!("{plan}/days")).await;
    let day = window
        .run(
            "return document.querySelector('main a[href*=\"/days/\"]')?.getAttribute('href') ?? ''",
        )
        .await;
    pages.push(day.as_str().expect("an address").to_owned());
    let mut faults = Vec::new();
    for look in ["paper", "blackout"] {
        if look == "blackout" {
            window.visit("/").await;
            window.blackout().await;
        }
        for page in &pages {
            window.visit(page).await;
            faults.extend(
                serious(&window)
                    .await
                    .into_iter()
                    .map(|fault| format!("{look} {page}: {fault}")),
            );
        }
    }
    assert!(faults.is_empty(), "{}", faults.join("\n"));
    window.close().await;
}
