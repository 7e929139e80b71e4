//! Bench sums as somebody uses them who never signed in.

use crate::harness::{Paper, Stage};

#[tokio::test]
async fn a_sum_moves_as_it_is_typed_and_its_address_holds_it() {
    let stage = Stage::new();
    let window = stage.window(1440, 900).await;
    window.go(&format!("{}/sums", stage.site())).await;
    // Every letter searches; the blank keeps the focus.
    window.write("#find", "swing settle").await;
    window
        .wait_until(
            "document.querySelector('#found li.daily a')?.textContent === 'Swing and settle'",
        )
        .await;
    window.press("#found li.daily a").await;
    assert_eq!(window.path().await, "/sums/settle");
    window.run("window.before = true").await;
    window.write("#b-length_m", "2 m").await;
    // 2π √(2 ÷ 9.80665)
    window
        .wait_until("document.querySelector('#f-swing .value').textContent === '2.84'")
        .await;
    window
        .wait_until("location.search.includes('length_m=2+m')")
        .await;
    let kept = window.run("return window.before === true").await;
    assert_eq!(kept, true, "no page was loaded anew");
    // The link to the other units takes what was typed along.
    window.press("#units a").await;
    let feet: f64 = window.value("#b-length_m").await.parse().expect("a number");
    assert!((feet - 78.7402).abs() < 1e-3, "{feet} inches");
    assert_eq!(window.text("#f-swing .value").await, "2.84");
    // What is wrong is said in place and does not take the typed text away.
    window.write("#b-length_m", "long").await;
    window.wait("#b-length_m-fault").await;
    assert_eq!(window.value("#b-length_m").await, "long");
    window.close().await;
}

#[tokio::test]
async fn sums_fit_a_phone_and_a_page() {
    let stage = Stage::new();
    let window = stage.window(390, 844).await;
    for path in [
        "/sums",
        "/sums/haze",
        "/sums/scales",
        "/sums/colour/gel-stack",
        "/sums/air-limits/twa-steps",
    ] {
        window.go(&format!("{}{path}", stage.site())).await;
        let wide = window
            .run("return document.documentElement.scrollWidth")
            .await;
        assert!(
            wide.as_u64().is_some_and(|px| px <= 390),
            "{path} is {wide} px wide"
        );
    }
    window.resize(1440, 900).await;
    for paper in [Paper::A4, Paper::Letter] {
        for path in ["/sums/haze", "/sums/settle", "/sums/tiles-seen"] {
            window.go(&format!("{}{path}", stage.site())).await;
            let printed = window.print(paper).await;
            assert_eq!(printed.pages, 1, "{path} on {paper:?}");
        }
    }
    window.close().await;
}
