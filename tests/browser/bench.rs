//! The bench of a setup, written in.

use crate::harness::Stage;

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
