//! Paper: the call sheet and the setup sheet of the demo.

use crate::harness::Book;
use axum::http::StatusCode;

struct Demo {
    book: Book,
    plan: String,
}

impl Demo {
    async fn new() -> Self {
        let book = Book::new().await;
        stillair::demo::fill(&book.app.store)
            .await
            .expect("the demo fills");
        let plan = book.app.store.plans().await.expect("a store")[0]
            .id
            .to_string();
        Self { book, plan }
    }

    async fn get(&self, rest: &str) -> crate::harness::Answer {
        self.book
            .get(&format!("/plans/{}/paper{rest}", self.plan))
            .await
    }
}

#[tokio::test]
async fn the_call_sheet_has_the_day_on_it() {
    let demo = Demo::new().await;
    let sheet = demo.get("/days/2").await;
    assert_eq!(sheet.status, StatusCode::OK, "{}", sheet.text);
    for words in [
        "Stage day 2",
        "Thursday 12 March",
        "08:00",
        "S3 Nave, long",
        "P4, P8",
        "24 mm",
        "112",
        "1.42",
        "light/haze",
        "07:30",
        "Out",
    ] {
        assert!(sheet.text.contains(words), "{words} is on the sheet");
    }
}

#[tokio::test]
async fn what_nobody_wrote_is_a_rule_for_a_pen_and_counted() {
    let demo = Demo::new().await;
    let sheet = demo.get("/days/2").await.text;
    let blanks = sheet
        .matches("class=\"not-written\">not written yet")
        .count();
    assert!(
        blanks > 0 && sheet.contains(&format!("{blanks} lines are not written yet")),
        "{blanks} blanks are counted above the print button"
    );
}

#[tokio::test]
async fn cautions_come_from_the_day_and_name_limit_and_authority() {
    let demo = Demo::new().await;
    let hazy = demo.get("/days/2").await.text;
    for words in [
        "times the peak limit",
        "ANSI E1.5",
        "Hung models",
        "Smoke detection",
        "Local codes",
    ] {
        assert!(hazy.contains(words), "{words} is on the sheet");
    }
    let clear = demo.get("/days/1").await.text;
    assert!(
        !clear.contains("times the peak limit"),
        "day 1 is shot in clear air"
    );
    for sheet in [hazy, clear] {
        let paper = sheet.split("<article").nth(1).expect("the paper");
        let paper = paper.split("</article>").next().expect("its end");
        let sheet = paper.replace("data sheet", "");
        assert!(
            !sheet.to_lowercase().contains(" safe ") && !sheet.to_lowercase().contains(" safe."),
            "the sheet promises nobody safety"
        );
    }
}

#[tokio::test]
async fn both_sizes_are_at_their_addresses() {
    let demo = Demo::new().await;
    let a4 = demo.get("/setups/S3").await.text;
    assert!(a4.contains("<article class=\"paper\">") && a4.contains("?size=letter"));
    let letter = demo.get("/setups/S3?size=letter").await.text;
    assert!(letter.contains("<article class=\"paper letter\">"));
    for words in [
        "1260",
        "844 to 2\u{202f}612",
        "f/11",
        "Checked by a competent person",
        "Undecided",
    ] {
        assert!(a4.contains(words), "{words} is on the setup sheet");
    }
}

#[tokio::test]
async fn paper_of_nothing_is_not_found() {
    let demo = Demo::new().await;
    assert_eq!(demo.get("/days/9").await.status, StatusCode::NOT_FOUND);
    assert_eq!(demo.get("/setups/S99").await.status, StatusCode::NOT_FOUND);
    assert_eq!(demo.get("").await.status, StatusCode::OK);
}
