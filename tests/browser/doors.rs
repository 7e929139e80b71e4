//! Joining, signing out, signing in again.

use crate::harness::{Paper, Stage};

#[tokio::test]
async fn the_link_opens_the_book_list() {
    let stage = Stage::new();
    let window = stage.lead(1440, 900).await;
    assert_eq!(window.path().await, "/");
    assert_eq!(window.text("h1").await, "Book list");
    assert!(window.text(".books").await.contains("The Drowned Parish"));
    window.close().await;
}

#[tokio::test]
async fn a_lead_chooses_a_passphrase_leaves_and_comes_back() {
    const PASSPHRASE: &str = "wet slate, dry dock";
    let stage = Stage::new();
    let window = stage.lead(1440, 900).await;
    window.press(".door-note a").await;
    window.fill("#name", "Marsh Lead").await;
    window.fill("#craft", "camera").await;
    window.fill("#passphrase", PASSPHRASE).await;
    window.fill("#again", PASSPHRASE).await;
    window.press("main form button.main").await;
    assert_eq!(window.text("main [role=status]").await, "Written down.");
    assert!(
        window
            .text(".title-block .hands")
            .await
            .contains("camera (you)")
    );
    window.press(".title-block .out button").await;
    assert!(
        window
            .text("main [role=status]")
            .await
            .contains("signed out")
    );
    // What needs a hand leads to the door, and from there to what was wanted.
    window.visit("/me").await;
    assert_eq!(window.path().await, "/sign-in?to=/me");
    window.fill("#name", "marsh lead").await;
    window.fill("#passphrase", "dry slate, wet dock").await;
    window.press("main form button").await;
    assert!(
        window
            .text("main [role=alert]")
            .await
            .contains("do not belong together")
    );
    assert_eq!(window.value("#name").await, "marsh lead", "the name stays");
    window.fill("#passphrase", PASSPHRASE).await;
    window.press("main form button").await;
    assert_eq!(window.path().await, "/me");
    assert_eq!(window.value("#name").await, "Marsh Lead");
    window.close().await;
}

#[tokio::test]
async fn another_browser_is_not_signed_in_by_the_first() {
    let stage = Stage::new();
    let (first, second) = (stage.lead(1440, 900).await, stage.window(390, 844).await);
    second.visit("/").await;
    assert_eq!(second.path().await, "/sign-in?to=/");
    first.close().await;
    second.close().await;
}

#[tokio::test]
async fn the_book_list_prints_on_one_sheet() {
    let stage = Stage::new();
    let window = stage.lead(1440, 900).await;
    for paper in [Paper::A4, Paper::Letter] {
        let printed = window.print(paper).await;
        assert_eq!(printed.pages, 1, "{paper:?}");
        assert!(printed.is_on(paper), "{paper:?}: {:?}", printed.size_pt);
        assert!(
            printed.text.contains("The Drowned Parish"),
            "{}",
            printed.text
        );
    }
    window.close().await;
}
