//! Lists out of a plan, and back in.

use crate::harness::Book;
use crate::import::{PLAIN, store};
use axum::http::{StatusCode, header};

async fn demo() -> (Book, String) {
    let book = Book::new().await;
    stillair::demo::fill(&book.app.store)
        .await
        .expect("the demo fills");
    let plans = book.get("/api/plans").await.json();
    let id = plans["plans"][0]["id"].as_str().expect("a plan").to_owned();
    (book, id)
}

#[tokio::test]
async fn the_shots_of_the_demo_read_back_into_it_are_all_the_same() {
    let (book, plan) = demo().await;
    for query in ["", "?for=spreadsheets"] {
        let answer = book
            .get(&format!("/api/plans/{plan}/export/shots.csv{query}"))
            .await;
        assert_eq!(answer.status, StatusCode::OK);
        assert_eq!(
            answer.headers[header::CONTENT_TYPE],
            "text/csv; charset=utf-8; header=present"
        );
        assert_eq!(
            answer.headers[header::CONTENT_DISPOSITION],
            "attachment; filename=\"the-drowned-parish-shots.csv\""
        );
        assert!(answer.text.starts_with("code,name,"), "{}", answer.text);
        let again = store(&book, &plan, answer.text.as_bytes()).await;
        assert_eq!(
            (
                again["stored"]["same"].as_i64(),
                again["stored"]["changed"].as_i64()
            ),
            (Some(14), Some(0))
        );
    }
}

#[tokio::test]
async fn a_list_read_into_an_empty_plan_and_written_again_is_the_same_list() {
    let (book, plan) = demo().await;
    let path = |plan: &str| format!("/api/plans/{plan}/export/shots.csv");
    let first = book.get(&path(&plan)).await.text;
    let other = book.plan().await;
    store(&book, &other, first.as_bytes()).await;
    assert_eq!(book.get(&path(&other)).await.text, first);
}

#[tokio::test]
async fn the_setups_come_with_their_shots_and_what_they_refer_to_by_name() {
    let (book, plan) = demo().await;
    let text = book
        .get(&format!("/api/plans/{plan}/export/setups.csv"))
        .await
        .text;
    let nave = text
        .lines()
        .find(|line| line.starts_with("S3,"))
        .expect("the nave");
    assert!(
        nave.contains("\"Camera A, 2.39, to 120 fps\"") && nave.contains(",24 mm,"),
        "{nave}"
    );
    assert!(nave.ends_with(",P4; P8"), "{nave}");
    assert_eq!(text.lines().count(), 9);
}

#[tokio::test]
async fn the_whole_plan_is_what_the_plan_address_gives() {
    let (book, plan) = demo().await;
    let answer = book
        .get(&format!("/api/plans/{plan}/export/plan.json"))
        .await;
    assert_eq!(
        answer.json(),
        book.get(&format!("/api/plans/{plan}")).await.json()
    );
}

#[tokio::test]
async fn a_cell_that_a_spreadsheet_would_run_is_marked_only_when_asked() {
    let book = Book::new().await;
    let plan = book.plan().await;
    store(&book, &plan, b"code,name\nP1,=2+3\n").await;
    let plain = book
        .get(&format!("/api/plans/{plan}/export/shots.csv"))
        .await
        .text;
    assert!(plain.contains("P1,=2+3,"), "{plain}");
    let marked = book
        .get(&format!(
            "/api/plans/{plan}/export/shots.csv?for=spreadsheets"
        ))
        .await
        .text;
    assert!(marked.contains("P1,'=2+3,"), "{marked}");
}

#[tokio::test]
async fn an_unknown_list_is_said_to_be_none() {
    let book = Book::new().await;
    let plan = book.plan().await;
    store(&book, &plan, PLAIN).await;
    let answer = book
        .get(&format!("/api/plans/{plan}/export/shots.doc"))
        .await;
    assert_eq!(answer.status, StatusCode::NOT_FOUND);
    assert!(
        answer.text.contains("shots.csv, setups.csv and plan.json"),
        "{}",
        answer.text
    );
}
