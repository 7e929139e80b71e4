//! The book list and a new production.

use crate::harness::Book;
use axum::http::StatusCode;

#[tokio::test]
async fn a_new_production_stands_in_the_list() {
    let book = Book::new().await;
    let id = book.plan().await;
    let list = book.get("/").await;
    assert_eq!(list.status, StatusCode::OK);
    assert!(
        list.text.contains("The Drowned Parish") && list.text.contains(&id),
        "{}",
        list.text
    );
}

#[tokio::test]
async fn a_refused_title_keeps_what_was_typed() {
    let book = Book::new().await;
    let answer = book
        .post_form("/plans", &[("title", ""), ("base_fps", "23.976")])
        .await;
    assert_eq!(answer.status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(
        answer.text.contains("Title is needed.") && answer.text.contains("23.976"),
        "{}",
        answer.text
    );
}

#[tokio::test]
async fn tables_and_journal_agree_after_a_write() {
    let book = Book::new().await;
    book.plan().await;
    assert_eq!(
        book.app.store.check().await.expect("they agree"),
        "1 changes, 1 plans: tables and journal agree."
    );
}
