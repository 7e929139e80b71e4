//! Who may write: links that let people in, what each role may do, and the last lead.

use crate::{
    harness::{Answer, Book},
    security::ways,
};
use axum::{
    body::Body,
    http::{Method, Request, StatusCode, header},
};
use std::collections::BTreeSet;
use stillair::access::{Role, gate::Who, gate::who};

const FORM: &str = "application/x-www-form-urlencoded";

/// The address in a page that shows a new link.
fn link_in(answer: &Answer) -> String {
    assert_eq!(answer.status, StatusCode::OK, "{}", answer.text);
    let from = answer.text.find("/join/").expect("a link");
    let end = answer.text[from..].find('"').expect("its end");
    answer.text[from..from + end].to_owned()
}

/// The cookie line of a browser that opens a link.
async fn open(book: &Book, link: &str) -> Result<String, StatusCode> {
    let answer = book.send_as("", Request::get(link), Body::empty()).await;
    match answer.headers.get(header::SET_COOKIE) {
        Some(cookie) => {
            let line = cookie.to_str().expect("a line");
            Ok(line.split(';').next().expect("a pair").to_owned())
        }
        None => Err(answer.status),
    }
}

async fn get_as(book: &Book, cookie: &str, path: &str) -> Answer {
    book.send_as(cookie, Request::get(path), Body::empty())
        .await
}

/// Id of the person with this name, off the page.
async fn person(book: &Book, name: &str) -> String {
    let page = book.get("/crew").await.text;
    let at = page
        .find(&format!("aria-label=\"What {name} may do\""))
        .expect("somebody");
    let before = &page[..at];
    let from = before.rfind("/crew/people/").expect("an address") + "/crew/people/".len();
    before[from..].split('"').next().expect("an id").to_owned()
}

#[tokio::test]
async fn a_link_lets_in_as_often_as_it_says_and_in_the_role_it_says() {
    let book = Book::new().await;
    let plan = book.plan().await;
    for (role, may) in [("crew", true), ("supervisor", false)] {
        let made = book
            .post_form(
                "/crew/links",
                &[("role", role), ("uses", "2"), ("days", "1")],
            )
            .await;
        let link = link_in(&made);
        for _ in 0..2 {
            let cookie = open(&book, &link).await.expect("it lets in");
            let request = Request::post(format!("/plans/{plan}/undo")).header("content-type", FORM);
            let answer = book.send_as(&cookie, request, "back=/").await;
            assert_eq!(answer.status != StatusCode::FORBIDDEN, may, "{role}");
        }
        assert_eq!(
            open(&book, &link).await,
            Err(StatusCode::NOT_FOUND),
            "used up"
        );
    }
    let list = book.get("/crew").await.text;
    assert!(!list.contains("a new crew"), "used-up links are not listed");
}

#[tokio::test]
async fn a_link_that_is_withdrawn_lets_nobody_in() {
    let book = Book::new().await;
    let link = link_in(
        &book
            .post_form("/crew/links", &[("role", "crew"), ("uses", "9")])
            .await,
    );
    let inside = open(&book, &link).await.expect("it lets in");
    let list = book.get("/crew").await.text;
    assert!(list.contains("1 of 9"), "{list}");
    let from = list.find("/crew/links/").expect("a link");
    let withdraw = list[from..].split('"').next().expect("an address");
    let withdraw = if withdraw.ends_with("/withdraw") {
        withdraw.to_owned()
    } else {
        let from = list.rfind("/crew/links/").expect("a link");
        list[from..]
            .split('"')
            .next()
            .expect("an address")
            .to_owned()
    };
    let done = book.post_form(&withdraw, &[]).await;
    assert_eq!(done.status, StatusCode::SEE_OTHER);
    assert_eq!(open(&book, &link).await, Err(StatusCode::NOT_FOUND));
    assert_eq!(
        get_as(&book, &inside, "/").await.status,
        StatusCode::OK,
        "whoever is in stays"
    );
}

#[tokio::test]
async fn what_a_link_cannot_be_is_said() {
    let book = Book::new().await;
    for (fields, says) in [
        (vec![("role", "guest")], "choose which"),
        (vec![("role", "guest"), ("plan", "another")], "choose which"),
        (vec![("role", "crew"), ("uses", "51")], "1 to 50 browsers"),
        (vec![("role", "crew"), ("days", "0")], "1 to 60 days"),
        (vec![("role", "captain")], "Choose what the newcomer may do"),
    ] {
        let answer = book.post_form("/crew/links", &fields).await;
        assert_eq!(
            answer.status,
            StatusCode::UNPROCESSABLE_ENTITY,
            "{fields:?}"
        );
        assert!(answer.text.contains(says), "{fields:?}");
        assert!(!answer.text.contains("/join/"));
    }
}

#[tokio::test]
async fn a_guest_reads_the_one_plan_of_its_link() {
    let book = Book::new().await;
    let (own, other) = (book.plan().await, book.plan().await);
    let made = book
        .post_form("/crew/links", &[("role", "guest"), ("plan", &own)])
        .await;
    let guest = open(&book, &link_in(&made)).await.expect("it lets in");
    for path in ["/", "/api/plans"] {
        let list = get_as(&book, &guest, path).await.text;
        assert!(list.contains(&own) && !list.contains(&other), "{path}");
    }
    let cut = get_as(&book, &guest, &format!("/plans/{own}/cut")).await;
    assert_eq!(cut.status, StatusCode::OK);
    // Every address of the other plan, whatever it is asked.
    let mut tried = 0;
    for way in ways(&book, &other).await {
        if !way.path.contains("{plan}") {
            continue;
        }
        let request = Request::builder().method(&way.method).uri(&way.address);
        let answer = book.begin(&guest, request, Body::empty()).await;
        assert_eq!(
            answer.status(),
            StatusCode::NOT_FOUND,
            "{} {}",
            way.method,
            way.path
        );
        tried += 1;
    }
    assert!(tried > 30, "{tried} addresses");
    // What has no plan in its address shows no plan, or only those that are the guest's.
    let elsewhere: BTreeSet<_> = ways(&book, &own)
        .await
        .into_iter()
        .filter(|w| w.method == Method::GET && !w.path.contains("{plan}"))
        .filter(|w| who(&w.method, w.path) == Who::SignedIn)
        .map(|w| w.path)
        .collect();
    assert_eq!(elsewhere, BTreeSet::from(["/", "/api/plans", "/me"]));
}

#[tokio::test]
async fn the_last_lead_cannot_give_it_up_and_another_can() {
    let book = Book::new().await;
    let lead = person(&book, "lead").await;
    let path = format!("/crew/people/{lead}");
    for fields in [&[("role", "crew")][..], &[("do", "leave")]] {
        let answer = book.post_form(&path, fields).await;
        assert_eq!(answer.status, StatusCode::UNPROCESSABLE_ENTITY);
        assert!(
            answer.text.contains("The last lead stays lead"),
            "{}",
            answer.text
        );
    }
    book.cookie_of(Role::Lead).await;
    let answer = book.post_form(&path, &[("role", "crew")]).await;
    assert_eq!(answer.status, StatusCode::SEE_OTHER);
    assert_eq!(
        book.get("/crew").await.status,
        StatusCode::FORBIDDEN,
        "it holds at once"
    );
}

#[tokio::test]
async fn whoever_is_taken_off_the_list_is_out_and_can_come_back() {
    let book = Book::new().await;
    let crew = book.cookie_of(Role::Crew).await;
    let path = format!("/crew/people/{}", person(&book, "crew").await);
    let out = book.post_form(&path, &[("do", "out")]).await;
    assert_eq!(out.status, StatusCode::SEE_OTHER);
    assert_ne!(
        get_as(&book, &crew, "/").await.status,
        StatusCode::OK,
        "signed out"
    );
    let id = path.rsplit('/').next().expect("an id");
    let link = link_in(&book.post_form("/crew/links", &[("person", id)]).await);
    let again = open(&book, &link).await.expect("the same person");
    assert!(
        get_as(&book, &again, "/me")
            .await
            .text
            .contains("value=\"crew\"")
    );
    book.post_form(&path, &[("do", "leave")]).await;
    assert_ne!(get_as(&book, &again, "/").await.status, StatusCode::OK);
    assert!(book.get("/crew").await.text.contains("off the list"));
    let left = book.post_form("/crew/links", &[("person", id)]).await;
    assert_eq!(
        left.status,
        StatusCode::NOT_FOUND,
        "no link for somebody who left"
    );
    book.post_form(&path, &[("do", "back")]).await;
    let link = link_in(&book.post_form("/crew/links", &[("person", id)]).await);
    assert!(open(&book, &link).await.is_ok());
}
