//! What the two looks do to the eye, measured on every page that is led to.

use crate::harness::{Stage, Window};
use serde_json::json;

/// Light that a page in blackout may give, of what a white one gives.
const DARK: f64 = 0.02;

/// The pages outside a plan, and those the index of the first plan leads to.
async fn pages(window: &Window) -> Vec<String> {
    let plan = window.first_plan().await;
    window.visit(&format!("{plan}/setups")).await;
    let links = window
        .run("return [...document.querySelectorAll('nav.index ol a')].map((a) => a.getAttribute('href'))")
        .await;
    let links = links.as_array().expect("a list").iter();
    let mut pages: Vec<_> = links
        .map(|link| link.as_str().expect("an address").to_owned())
        .collect();
    assert!(pages.len() >= 2, "the index leads on: {pages:?}");
    pages.extend(["/history", "/remarks", "/haze", "/power"].map(|page| format!("{plan}{page}")));
    pages.extend(["/", "/me", "/crew", "/nowhere"].map(ToOwned::to_owned));
    pages
}

#[tokio::test]
async fn blackout_is_dark_on_every_page() {
    let stage = Stage::new();
    let window = stage.lead(1440, 900).await;
    let pages = pages(&window).await;
    let light = window.picture().await;
    assert_eq!(light.size(), (1440, 900));
    assert!(
        light.mean_luminance() > 0.3,
        "lights up is light: {}",
        light.mean_luminance()
    );
    window.blackout().await;
    for (width, height) in [(1440, 900), (390, 844)] {
        window.resize(width, height).await;
        for page in &pages {
            window.visit(page).await;
            let picture = window.picture().await;
            assert_eq!(picture.size(), (width, height));
            let mean = picture.mean_luminance();
            assert!(
                mean <= DARK,
                "{page} at {width} px gives {:.2} %",
                mean * 100.0
            );
            assert!(mean > 0.0, "{page} at {width} px shows something");
        }
    }
    window.close().await;
}

/// Light that the bench may give in blackout: it stands open beside the camera.
const BENCH_DARK: f64 = 0.015;

#[tokio::test]
async fn the_bench_is_darker_still_wherever_it_is_scrolled() {
    let stage = Stage::new();
    let window = stage.lead(1440, 900).await;
    let plan = window.first_plan().await;
    window.visit("/").await;
    window.blackout().await;
    for (width, height) in [(1440, 900), (390, 844)] {
        window.resize(width, height).await;
        for code in ["S1", "S3", "S6"] {
            window.visit(&format!("{plan}/setups/{code}")).await;
            let mut worst: f64 = 0.0;
            for screen in 0..12 {
                window
                    .run(&format!("scrollTo(0, innerHeight * {screen})"))
                    .await;
                worst = worst.max(window.picture().await.mean_luminance());
            }
            assert!(worst > 0.0, "{code} at {width} px shows something");
            assert!(
                worst <= BENCH_DARK,
                "{code} at {width} px gives {:.2} %",
                worst * 100.0
            );
        }
    }
    window.close().await;
}

#[tokio::test]
async fn blackout_paints_black_before_its_styles_are_there() {
    let stage = Stage::new();
    let window = stage.lead(1440, 900).await;
    window.blackout().await;
    window.tell("Network.enable", json!({})).await;
    window
        .tell("Network.setBlockedURLs", json!({"urls": ["*/css/*"]}))
        .await;
    let plan = window.first_plan().await;
    let bench = format!("{plan}/setups/S3");
    for page in ["/", "/me", "/nowhere", &bench] {
        window.visit(page).await;
        let tokens = "return getComputedStyle(document.documentElement).getPropertyValue('--ink')";
        assert_eq!(
            window.run(tokens).await,
            "",
            "the style sheets are held back: {page}"
        );
        let picture = window.picture().await;
        let mean = picture.mean_luminance();
        assert!(mean <= DARK, "{page} gives {:.2} % at first", mean * 100.0);
    }
    window.close().await;
}

/// Width of what is printed on A4 within its frame, in pixels.
const PAPER_PX: u32 = 718;

/// What is wider than the phone is read by nobody there; what scrolls on screen is cut off on paper.
#[tokio::test]
async fn every_page_fits_a_phone_and_paper() {
    let stage = Stage::new();
    let window = stage.lead(390, 844).await;
    let pages = pages(&window).await;
    for page in &pages {
        window.visit(page).await;
        let wide = window
            .run("return document.documentElement.scrollWidth")
            .await;
        assert!(
            wide.as_u64().is_some_and(|px| px <= 390),
            "{page} is {wide} px wide"
        );
    }
    window.resize(PAPER_PX, 1000).await;
    window
        .tell("Emulation.setEmulatedMedia", json!({"media": "print"}))
        .await;
    let mut seen = 0;
    for page in &pages {
        window.visit(page).await;
        let cut = window
            .run("return [...document.querySelectorAll('.scroll-x')].map((e) => e.scrollWidth - e.clientWidth)")
            .await;
        for more in cut.as_array().expect("a list") {
            assert!(
                more.as_i64().is_some_and(|px| px <= 1),
                "{page} loses {more} px on paper"
            );
            seen += 1;
        }
    }
    assert!(seen > 0, "some sheet scrolls on screen");
    window.close().await;
}

#[tokio::test]
async fn no_page_is_refused_its_own_parts_by_the_policy() {
    let stage = Stage::new();
    let window = stage.lead(1440, 900).await;
    window.tell("Page.enable", json!({})).await;
    let watch = "window.refused = []; addEventListener('securitypolicyviolation', (e) => refused.push(e.violatedDirective + ' ' + e.blockedURI));";
    window
        .tell(
            "Page.addScriptToEvaluateOnNewDocument",
            json!({"source": watch}),
        )
        .await;
    for page in pages(&window).await {
        window.visit(&page).await;
        window.wait("[data-scripts]").await;
        assert_eq!(
            window.run("return window.refused").await,
            json!([]),
            "{page}"
        );
    }
    window.close().await;
}
