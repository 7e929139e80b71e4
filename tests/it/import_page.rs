//! The page where a shot list is brought in: as a browser without scripts uses it.

use crate::harness::{Answer, Book};
use axum::http::{Request, StatusCode, header};

const PLAIN: &[u8] = include_bytes!("../samples/drowned-parish.csv");
const DECIMAL_COMMA: &[u8] = include_bytes!("../samples/drowned-parish-decimal-comma.csv");
const FAULTY: &[u8] = include_bytes!("../samples/faulty.csv");
const NOT_UTF8: &[u8] = include_bytes!("../samples/faulty-not-utf8.csv");

async fn choose(book: &Book, plan: &str, bytes: &[u8]) -> Answer {
    let mut body = b"--seam\r\nContent-Disposition: form-data; name=\"file\"; filename=\"list <1>.csv\"\r\nContent-Type: text/csv\r\n\r\n".to_vec();
    body.extend(bytes);
    body.extend(b"\r\n--seam--\r\n");
    let request = Request::post(format!("/plans/{plan}/import"))
        .header(header::CONTENT_TYPE, "multipart/form-data; boundary=seam");
    book.send(request, body).await
}

fn to(answer: &Answer) -> String {
    assert_eq!(answer.status, StatusCode::SEE_OTHER, "{}", answer.text);
    let to = answer.headers[header::LOCATION].to_str();
    to.expect("an address").to_owned()
}

/// The number the look was made at, from its hidden field.
fn number(page: &str) -> String {
    let (_, rest) = page
        .split_once("name=\"number\" value=\"")
        .expect("a number");
    rest.split('"').next().expect("its end").to_owned()
}

async fn shots(book: &Book, plan: &str) -> usize {
    let plan = book.get(&format!("/api/plans/{plan}")).await.json();
    plan["shots"].as_array().expect("shots").len()
}

#[tokio::test]
async fn a_chosen_file_is_looked_at_and_then_stored_without_choosing_it_again() {
    let book = Book::new().await;
    let plan = book.plan().await;
    let look = to(&choose(&book, &plan, PLAIN).await);
    let page = book.get(&look).await;
    assert_eq!(page.status, StatusCode::OK);
    for said in [
        "A look at list &#60;1&#62;.csv",
        "Nothing is stored yet.",
        "<b>14</b> new",
        "<b>8</b> setups to make",
        "Read as UTF-8 separated by commas.",
        "Spire out of the murk",
        "6:12",
        "1:48",
    ] {
        assert!(page.text.contains(said), "{said}: {}", page.text);
    }
    assert_eq!(shots(&book, &plan).await, 0);
    let form = [("number", &*number(&page.text)), ("do", "store")];
    let cut = to(&book.post_form(&look, &form).await);
    assert!(
        cut.starts_with(&format!("/plans/{plan}/cut?imported=")),
        "{cut}"
    );
    let page = book.get(&cut).await.text;
    let notice = "The list is written down: 14 shots made and 8 setups made. Rub out last takes all of it back.";
    assert!(page.contains(notice), "{page}");
    assert_eq!(shots(&book, &plan).await, 14);

    let gone = book.get(&look).await;
    assert_eq!(gone.status, StatusCode::NOT_FOUND);
    assert!(gone.text.contains("no longer held"), "{}", gone.text);
    let undone = book
        .post_form(&format!("/plans/{plan}/undo"), &[("back", &*cut)])
        .await;
    assert_eq!(undone.status, StatusCode::SEE_OTHER, "{}", undone.text);
    assert_eq!(shots(&book, &plan).await, 0);
}

#[tokio::test]
async fn a_column_that_was_not_known_can_be_said_and_is_looked_at_again_before_it_is_stored() {
    let book = Book::new().await;
    let plan = book.plan().await;
    let look = to(&choose(&book, &plan, DECIMAL_COMMA).await);
    let page = book.get(&look).await.text;
    assert!(
        page.contains("not known here") && page.contains("name=\"as-9\""),
        "{page}"
    );
    // Storing with a choice that was not looked at yet looks first.
    let form = [
        ("number", &*number(&page)),
        ("as-9", "light_note"),
        ("do", "store"),
    ];
    assert_eq!(to(&book.post_form(&look, &form).await), look);
    assert_eq!(shots(&book, &plan).await, 0);
    let page = book.get(&look).await.text;
    assert!(page.contains("said by hand"), "{page}");
}

#[tokio::test]
async fn changed_values_are_shown_old_and_new_and_what_is_not_named_is_left_alone() {
    let book = Book::new().await;
    let plan = book.plan().await;
    let look = to(&choose(&book, &plan, PLAIN).await);
    let first = number(&book.get(&look).await.text);
    book.post_form(&look, &[("number", &*first), ("do", "store")])
        .await;
    let look = to(&choose(
        &book,
        &plan,
        b"code,frames,name\nP4,210,\nP1,162,Spire out of the murk\n",
    )
    .await);
    let page = book.get(&look).await.text;
    for said in [
        "<span class=\"was\">8:00</span> 8:10",
        "<span class=\"was\">Nave, drift-in</span> blank",
        "<b>1</b> changed",
        "<b>1</b> the same",
        "Not in the file and left alone: <span class=\"fig\">P2, P3",
    ] {
        assert!(page.contains(said), "{said}: {page}");
    }
}

#[tokio::test]
async fn faults_stand_in_one_list_and_a_list_with_faults_is_not_stored() {
    let book = Book::new().await;
    let plan = book.plan().await;
    let look = to(&choose(&book, &plan, FAULTY).await);
    let page = book.get(&look).await.text;
    for said in [
        "<b>6</b> faults",
        "Line 7, frames: “ninety” is not a whole number.",
        "Line 5, code: “P2” is used twice, first on line 3.",
        "<td class=\"figure fault\">ninety<span class=\"problem\">not a whole number</span>",
    ] {
        assert!(page.contains(said), "{said}: {page}");
    }
    assert!(!page.contains("value=\"store\""), "no button stores it");
    let form = [("number", &*number(&page)), ("do", "store")];
    let answer = book.post_form(&look, &form).await;
    assert_eq!(answer.status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(
        answer.text.contains("Nothing was stored"),
        "{}",
        answer.text
    );
    assert_eq!(shots(&book, &plan).await, 0);
}

#[tokio::test]
async fn letters_of_an_old_encoding_are_read_as_such_when_a_person_says_so() {
    let book = Book::new().await;
    let plan = book.plan().await;
    let answer = choose(&book, &plan, NOT_UTF8).await;
    assert_eq!(answer.status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(answer.text.contains("could not be read"), "{}", answer.text);
    let (_, rest) = answer
        .text
        .split_once(&format!("action=\"/plans/{plan}/import/"))
        .expect("the offer's form");
    let token = rest.split('"').next().expect("its end");
    let look = format!("/plans/{plan}/import/{token}");
    assert_eq!(
        to(&book.post_form(&look, &[("encoding", "windows-1252")]).await),
        look
    );
    let page = book.get(&look).await.text;
    assert!(page.contains("Read as WINDOWS-1252"), "{page}");
}

#[tokio::test]
async fn a_plan_that_moved_on_is_looked_at_again_and_nothing_is_stored() {
    let book = Book::new().await;
    let plan = book.plan().await;
    let look = to(&choose(&book, &plan, b"code,frames\nP1,100\n").await);
    let first = number(&book.get(&look).await.text);
    let made = crate::harness::op(
        "insert",
        serde_json::json!({"entity_type": "shot", "entity": "other", "value": {"code": "P1", "length_frames": 90}}),
    );
    let answer = book
        .post_json(&format!("/api/plans/{plan}/changes"), &made)
        .await;
    assert_eq!(answer.status, StatusCode::OK, "{}", answer.text);
    let answer = book
        .post_form(&look, &[("number", &*first), ("do", "store")])
        .await;
    assert_eq!(answer.status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(
        answer.text.contains("the plan has moved on"),
        "{}",
        answer.text
    );
    assert!(answer.text.contains("<b>1</b> changed"), "{}", answer.text);
    assert_eq!(shots(&book, &plan).await, 1);
}

#[tokio::test]
async fn a_value_another_hand_wrote_after_the_look_is_kept_with_the_files_beside_it() {
    let book = Book::new().await;
    let plan = book.plan().await;
    let made = crate::harness::op(
        "insert",
        serde_json::json!({"entity_type": "shot", "entity": "p1", "value": {"code": "P1", "length_frames": 90}}),
    );
    let changes = format!("/api/plans/{plan}/changes");
    let base = book.post_json(&changes, &made).await.json()["results"][0]["seq"].clone();
    let look = to(&choose(&book, &plan, b"code,frames\nP1,100\n").await);
    let first = number(&book.get(&look).await.text);
    let other = crate::harness::op(
        "set",
        serde_json::json!({"entity": "p1", "field": "length_frames", "base": base, "value": 95}),
    );
    book.post_json(&changes, &other).await;
    let cut = to(&book
        .post_form(&look, &[("number", &*first), ("do", "store")])
        .await);
    let page = book.get(&cut).await.text;
    assert!(
        page.contains("1 value kept beside another hand’s"),
        "{page}"
    );
    let plan = book.get(&format!("/api/plans/{plan}")).await.json();
    assert_eq!(plan["shots"][0]["length_frames"], 95);
    assert_eq!(plan["besides"][0]["value"], 100);
}

#[tokio::test]
async fn a_list_put_away_is_gone_and_stores_nothing() {
    let book = Book::new().await;
    let plan = book.plan().await;
    let look = to(&choose(&book, &plan, PLAIN).await);
    let door = to(&book.post_form(&look, &[("do", "put-away")]).await);
    assert_eq!(door, format!("/plans/{plan}/import"));
    assert_eq!(book.get(&look).await.status, StatusCode::NOT_FOUND);
    assert_eq!(shots(&book, &plan).await, 0);
}

#[tokio::test]
async fn the_page_leads_out_too_and_an_empty_plan_leads_to_it() {
    let book = Book::new().await;
    let plan = book.plan().await;
    let door = book.get(&format!("/plans/{plan}/import")).await.text;
    for kind in [
        "shots.csv",
        "shots.csv?for=spreadsheets",
        "setups.csv",
        "plan.json",
    ] {
        let href = format!("href=\"/api/plans/{plan}/export/{kind}\"");
        assert!(door.contains(&href), "{href}: {door}");
    }
    let href = format!("href=\"/plans/{plan}/import\"");
    for path in ["/".to_owned(), format!("/plans/{plan}/cut")] {
        let page = book.get(&path).await.text;
        assert!(page.contains(&href), "{path}: {page}");
    }
}
