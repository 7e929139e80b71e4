//! Joining, signing in and out, and what a person says about themselves.

use crate::harness::{Answer, Book};
use axum::{
    body::Body,
    http::{Request, StatusCode, header, request::Builder},
};
use stillair::access::{Role, links, session};

/// A browser: keeps its cookie from one answer to the next.
struct Browser<'b> {
    book: &'b Book,
    cookie: String,
}

impl<'b> Browser<'b> {
    fn new(book: &'b Book) -> Self {
        Self {
            book,
            cookie: String::new(),
        }
    }

    async fn send(&mut self, request: Builder, body: impl Into<Body>) -> Answer {
        let answer = self.book.send_as(&self.cookie, request, body).await;
        if let Some(line) = answer.headers.get(header::SET_COOKIE) {
            let line = line.to_str().expect("plain");
            let pair = line.split(';').next().expect("a pair").to_owned();
            self.cookie = if pair.ends_with('=') {
                String::new()
            } else {
                pair
            };
        }
        answer
    }

    async fn get(&mut self, path: &str) -> Answer {
        self.send(Request::get(path), Body::empty()).await
    }

    async fn post(&mut self, path: &str, fields: &[(&str, &str)]) -> Answer {
        let body: Vec<_> = fields
            .iter()
            .map(|(name, value)| {
                let value = stillair::web::problem::encode(value).replace('/', "%2F");
                format!("{name}={value}")
            })
            .collect();
        let request =
            Request::post(path).header(header::CONTENT_TYPE, "application/x-www-form-urlencoded");
        self.send(request, body.join("&")).await
    }

    async fn sign_in(&mut self, name: &str, passphrase: &str) -> Answer {
        self.post("/sign-in", &[("name", name), ("passphrase", passphrase)])
            .await
    }

    async fn is_in(&mut self) -> bool {
        self.get("/").await.status == StatusCode::OK
    }
}

const PASSPHRASE: &str = "wet slate, dry dock";

/// A book whose lead chose a name and a passphrase.
async fn with_lead() -> Book {
    let book = Book::new().await;
    let mut lead = joined(&book).await;
    let answer = lead
        .post(
            "/me",
            &[
                ("name", "Marsh Lead"),
                ("craft", "camera"),
                ("passphrase", PASSPHRASE),
                ("again", PASSPHRASE),
            ],
        )
        .await;
    assert_eq!(answer.status, StatusCode::SEE_OTHER, "{}", answer.text);
    book
}

/// A browser that came by the lead's link.
async fn joined(book: &Book) -> Browser<'_> {
    let mut browser = Browser::new(book);
    let answer = browser.get(&format!("/join/{}", link(book).await)).await;
    assert_eq!(answer.status, StatusCode::SEE_OTHER, "{}", answer.text);
    browser
}

async fn link(book: &Book) -> String {
    links::lead_link(&book.app.store).await.expect("a link")
}

async fn set_uses(book: &Book, token: &str, uses: i64) {
    let hash = session::token_hash(token);
    sql(
        book,
        "update join_link set uses_left = ?2 where token_hash = ?1",
        &hash,
        uses,
    )
    .await;
}

async fn sql(book: &Book, statement: &'static str, text: &str, number: i64) {
    let text = text.to_owned();
    book.app
        .store
        .aside(Box::new(move |db| {
            Box::pin(async move {
                sqlx::query(statement)
                    .bind(text)
                    .bind(number)
                    .execute(db)
                    .await
                    .map(drop)
            })
        }))
        .await
        .expect("the statement runs");
}

#[tokio::test]
async fn opening_a_link_signs_in_and_offers_a_passphrase() {
    let book = Book::new().await;
    let mut browser = joined(&book).await;
    let list = browser.get("/").await;
    assert_eq!(list.status, StatusCode::OK);
    assert!(list.text.contains("href=\"/me\""), "{}", list.text);
    let me = browser.get("/me").await;
    assert!(me.text.contains("not chosen yet"), "{}", me.text);
}

#[tokio::test]
async fn a_link_that_is_fetched_but_not_opened_is_not_used() {
    let book = Book::new().await;
    let token = link(&book).await;
    set_uses(&book, &token, 1).await;
    let path = format!("/join/{token}");
    for (name, value) in [
        ("sec-purpose", "prefetch;prerender"),
        ("purpose", "prefetch"),
        ("x-moz", "prefetch"),
        ("sec-fetch-mode", "no-cors"),
        ("sec-fetch-dest", "image"),
    ] {
        let answer = book
            .send_as("", Request::get(&path).header(name, value), Body::empty())
            .await;
        assert_eq!(answer.status, StatusCode::OK, "{name}");
        assert!(!answer.headers.contains_key(header::SET_COOKIE), "{name}");
        assert!(answer.text.contains("Join the book"), "{name}");
    }
    let answer = book.send_as("", Request::head(&path), Body::empty()).await;
    assert!(
        !answer.headers.contains_key(header::SET_COOKIE),
        "asked for its head"
    );
    let mut browser = Browser::new(&book);
    let answer = browser.post(&path, &[]).await;
    assert_eq!(answer.status, StatusCode::SEE_OTHER, "the button works");
    assert!(browser.is_in().await);
    let spent = book.send_as("", Request::get(&path), Body::empty()).await;
    assert_eq!(spent.status, StatusCode::NOT_FOUND);
    assert!(
        spent.text.contains("Ask the lead for a new one"),
        "{}",
        spent.text
    );
}

#[tokio::test]
async fn the_last_use_of_a_link_is_used_once() {
    let book = Book::new().await;
    let token = link(&book).await;
    set_uses(&book, &token, 1).await;
    let path = format!("/join/{token}");
    let open = || book.send_as("", Request::get(&path), Body::empty());
    let (a, b, c) = tokio::join!(open(), open(), open());
    let let_in = [a, b, c]
        .iter()
        .filter(|answer| answer.headers.contains_key(header::SET_COOKIE))
        .count();
    assert_eq!(let_in, 1);
}

#[tokio::test]
async fn a_link_that_expired_or_was_withdrawn_lets_nobody_in() {
    let book = Book::new().await;
    for statement in [
        "update join_link set expires_at_ms = ?2 where token_hash = ?1",
        "update join_link set withdrawn_at_ms = ?2 where token_hash = ?1",
    ] {
        let token = link(&book).await;
        sql(&book, statement, &session::token_hash(&token), 1).await;
        let mut browser = Browser::new(&book);
        let answer = browser.get(&format!("/join/{token}")).await;
        assert_eq!(answer.status, StatusCode::NOT_FOUND);
        let answer = browser.post(&format!("/join/{token}"), &[]).await;
        assert_eq!(answer.status, StatusCode::NOT_FOUND);
        assert!(browser.cookie.is_empty());
    }
}

#[tokio::test]
async fn a_link_does_not_put_one_person_in_anothers_place_unasked() {
    let book = with_lead().await;
    let mut guest = Browser::new(&book);
    guest.cookie = book.cookie_of(Role::Guest).await;
    let before = guest.cookie.clone();
    let path = format!("/join/{}", link(&book).await);
    let answer = guest.get(&path).await;
    assert_eq!(answer.status, StatusCode::OK);
    assert!(
        answer.text.contains("signed in as <b>guest</b>"),
        "{}",
        answer.text
    );
    assert_eq!(guest.cookie, before);
    guest.post(&path, &[]).await;
    assert!(guest.get("/me").await.text.contains("Marsh Lead"));
    let old = book
        .send_as(&before, Request::get("/me"), Body::empty())
        .await;
    assert_eq!(
        old.status,
        StatusCode::SEE_OTHER,
        "the guest's session has ended"
    );
}

#[tokio::test]
async fn people_sign_in_by_name_and_passphrase() {
    let book = with_lead().await;
    let mut browser = Browser::new(&book);
    let door = browser.get("/me").await;
    assert_eq!(door.headers[header::LOCATION], "/sign-in?to=/me");
    let answer = browser
        .post(
            "/sign-in",
            &[
                ("name", " marsh  LEAD"),
                ("passphrase", PASSPHRASE),
                ("to", "/me"),
            ],
        )
        .await;
    assert_eq!(answer.headers[header::LOCATION], "/me", "{}", answer.text);
    assert!(
        browser
            .get("/me")
            .await
            .text
            .contains("Passphrase <small>chosen")
    );
}

#[tokio::test]
async fn a_wrong_passphrase_and_an_unknown_name_get_the_same_answer() {
    let book = with_lead().await;
    let mut browser = Browser::new(&book);
    let wrong = browser.sign_in("Marsh Lead", "dry slate, wet dock").await;
    let unknown = browser.sign_in("Nobody Here", "dry slate, wet dock").await;
    for answer in [&wrong, &unknown] {
        assert_eq!(answer.status, StatusCode::UNPROCESSABLE_ENTITY);
        assert!(!answer.headers.contains_key(header::SET_COOKIE));
        assert!(
            !answer.text.contains("dry slate"),
            "a passphrase is never sent back"
        );
    }
    assert!(
        wrong.text.contains("value=\"Marsh Lead\""),
        "the name stays"
    );
    let same = |answer: &Answer, name| answer.text.replace(name, "");
    assert_eq!(same(&wrong, "Marsh Lead"), same(&unknown, "Nobody Here"));
}

#[tokio::test]
async fn somebody_without_a_passphrase_cannot_sign_in() {
    let book = Book::new().await;
    let mut browser = Browser::new(&book);
    for passphrase in ["", " ", "nobody signs in with this"] {
        let answer = browser.sign_in("lead", passphrase).await;
        assert_eq!(
            answer.status,
            StatusCode::UNPROCESSABLE_ENTITY,
            "{passphrase:?}"
        );
        assert!(browser.cookie.is_empty());
    }
}

#[tokio::test]
async fn guessing_is_slowed_down_and_then_forgiven() {
    let book = with_lead().await;
    let mut browser = Browser::new(&book);
    let mut waits = 0;
    for _ in 0..8 {
        let answer = browser.sign_in("marsh lead", "a wrong one").await;
        if answer.status == StatusCode::TOO_MANY_REQUESTS {
            waits += 1;
            let seconds: u64 = answer.headers[header::RETRY_AFTER]
                .to_str()
                .expect("plain")
                .parse()
                .expect("seconds");
            assert!((1..=60).contains(&seconds), "{seconds}");
            assert!(
                answer.text.contains("Too many wrong passphrases. Wait"),
                "{}",
                answer.text
            );
            assert!(
                answer.text.contains("value=\"marsh lead\""),
                "the name stays"
            );
        }
    }
    assert!(waits >= 3, "the door waits: {waits}");
    let right = browser.sign_in("Marsh Lead", PASSPHRASE).await;
    assert_eq!(
        right.status,
        StatusCode::TOO_MANY_REQUESTS,
        "for whoever it is"
    );
    let other = browser.sign_in("somebody else", "a wrong one").await;
    assert_eq!(
        other.status,
        StatusCode::UNPROCESSABLE_ENTITY,
        "others are not kept waiting"
    );
    sql(
        &book,
        "update passphrase_miss set last_at_ms = last_at_ms - ?2 where subject > ?1",
        "",
        61_000,
    )
    .await;
    let right = browser.sign_in("Marsh Lead", PASSPHRASE).await;
    assert_eq!(right.status, StatusCode::SEE_OTHER, "{}", right.text);
    let wrong = Browser::new(&book)
        .sign_in("Marsh Lead", "a wrong one")
        .await;
    assert_eq!(
        wrong.status,
        StatusCode::UNPROCESSABLE_ENTITY,
        "and counts anew"
    );
}

#[tokio::test]
async fn many_guesses_at_once_do_not_slip_through() {
    let book = with_lead().await;
    let guess = || async {
        Browser::new(&book)
            .sign_in("marsh lead", "a wrong one")
            .await
            .status
    };
    let all = tokio::join!(
        guess(),
        guess(),
        guess(),
        guess(),
        guess(),
        guess(),
        guess(),
        guess(),
        guess(),
        guess()
    );
    let all = [
        all.0, all.1, all.2, all.3, all.4, all.5, all.6, all.7, all.8, all.9,
    ];
    let tried = all
        .iter()
        .filter(|s| **s == StatusCode::UNPROCESSABLE_ENTITY)
        .count();
    assert!(tried <= 6, "tried {tried} of ten");
}

#[tokio::test]
async fn the_door_leads_only_to_our_own_pages() {
    let book = with_lead().await;
    for to in [
        "https://elsewhere.test/",
        "//elsewhere.test",
        "/\\elsewhere.test",
        "javascript:go()",
        "",
    ] {
        let mut browser = Browser::new(&book);
        let fields = [
            ("name", "Marsh Lead"),
            ("passphrase", PASSPHRASE),
            ("to", to),
        ];
        let answer = browser.post("/sign-in", &fields).await;
        assert_eq!(answer.headers[header::LOCATION], "/", "{to}");
        let to = stillair::web::problem::encode(to);
        let again = browser.get(&format!("/sign-in?to={to}")).await;
        assert_eq!(again.headers[header::LOCATION], "/", "{to}");
    }
}

#[tokio::test]
async fn signing_in_makes_a_new_session_and_ends_the_one_before() {
    let book = with_lead().await;
    let mut browser = Browser::new(&book);
    browser.cookie = "stillair=0123456789abcdef0123456789abcdef".into();
    browser.sign_in("Marsh Lead", PASSPHRASE).await;
    assert_ne!(browser.cookie, "stillair=0123456789abcdef0123456789abcdef");
    let first = browser.cookie.clone();
    assert!(browser.is_in().await);
    browser.sign_in("Marsh Lead", PASSPHRASE).await;
    assert_ne!(browser.cookie, first);
    assert!(browser.is_in().await);
    browser.cookie = first;
    assert!(!browser.is_in().await);
}

#[tokio::test]
async fn signing_out_ends_the_session_everywhere_it_is_kept() {
    let book = Book::new().await;
    let mut browser = joined(&book).await;
    assert!(browser.is_in().await, "and is in memory now");
    let kept = browser.cookie.clone();
    let answer = browser.post("/sign-out", &[]).await;
    assert_eq!(answer.headers[header::LOCATION], "/sign-in?signed_out=true");
    assert!(browser.cookie.is_empty(), "the cookie is taken away");
    browser.cookie = kept;
    assert!(!browser.is_in().await, "and would not work any more");
    let page = browser.get("/sign-in?signed_out=true").await;
    assert!(page.text.contains("You are signed out"), "{}", page.text);
}

#[tokio::test]
async fn a_new_passphrase_signs_out_everywhere_else() {
    let book = with_lead().await;
    let (mut here, mut there) = (Browser::new(&book), Browser::new(&book));
    here.sign_in("Marsh Lead", PASSPHRASE).await;
    there.sign_in("Marsh Lead", PASSPHRASE).await;
    assert!(here.is_in().await && there.is_in().await);
    let new = "four gulls on a post";
    let fields = |current| {
        [
            ("name", "Marsh Lead"),
            ("craft", "camera"),
            ("current", current),
            ("passphrase", new),
            ("again", new),
        ]
    };
    let refused = here.post("/me", &fields("not this one")).await;
    assert_eq!(refused.status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(
        refused.text.contains("not your passphrase as it stands"),
        "{}",
        refused.text
    );
    let answer = here.post("/me", &fields(PASSPHRASE)).await;
    assert_eq!(answer.status, StatusCode::SEE_OTHER, "{}", answer.text);
    assert!(here.is_in().await, "this browser stays");
    assert!(!there.is_in().await, "the other does not");
    let old = there.sign_in("Marsh Lead", PASSPHRASE).await;
    assert_eq!(old.status, StatusCode::UNPROCESSABLE_ENTITY);
    assert_eq!(
        there.sign_in("Marsh Lead", new).await.status,
        StatusCode::SEE_OTHER
    );
}

#[tokio::test]
async fn a_forgotten_passphrase_is_replaced_by_way_of_a_link() {
    let book = with_lead().await;
    let mut browser = joined(&book).await;
    let new = "four gulls on a post";
    let fields = [
        ("name", "Marsh Lead"),
        ("craft", ""),
        ("passphrase", new),
        ("again", new),
    ];
    assert_eq!(
        browser.post("/me", &fields).await.status,
        StatusCode::SEE_OTHER
    );
    let again = browser.post("/me", &fields).await;
    assert_eq!(again.status, StatusCode::UNPROCESSABLE_ENTITY, "once");
    assert!(again.text.contains("not your passphrase"), "{}", again.text);
}

#[tokio::test]
async fn the_other_browsers_of_a_person_can_be_signed_out() {
    let book = with_lead().await;
    let (mut here, mut there) = (Browser::new(&book), Browser::new(&book));
    here.sign_in("Marsh Lead", PASSPHRASE).await;
    there.sign_in("Marsh Lead", PASSPHRASE).await;
    let mut guest = Browser::new(&book);
    guest.cookie = book.cookie_of(Role::Guest).await;
    assert!(there.is_in().await && guest.is_in().await);
    assert!(
        here.get("/me")
            .await
            .text
            .contains("Sign out everywhere else")
    );
    here.post("/me/elsewhere", &[]).await;
    assert!(here.is_in().await && guest.is_in().await);
    assert!(!there.is_in().await);
    assert!(
        !here
            .get("/me")
            .await
            .text
            .contains("Sign out everywhere else")
    );
}

#[tokio::test]
async fn everything_wrong_on_the_own_page_is_said_at_once_and_nothing_is_written() {
    let book = Book::new().await;
    let mut browser = joined(&book).await;
    let long = "c".repeat(41);
    let fields = [
        ("name", " "),
        ("craft", long.as_str()),
        ("passphrase", "short"),
        ("again", "shirt"),
    ];
    let answer = browser.post("/me", &fields).await;
    assert_eq!(answer.status, StatusCode::UNPROCESSABLE_ENTITY);
    for said in [
        "A name is needed",
        "A craft has at most 40 characters",
        "at least 10 characters; this one has 5",
        "The two are not the same",
        &long,
    ] {
        assert!(answer.text.contains(said), "{said}: {}", answer.text);
    }
    assert!(
        !answer.text.contains("shirt"),
        "a passphrase is never sent back"
    );
    let me = browser.get("/me").await;
    assert!(me.text.contains("value=\"lead\"") && me.text.contains("not chosen yet"));
}

#[tokio::test]
async fn two_people_never_share_a_name() {
    let book = with_lead().await;
    let mut guest = Browser::new(&book);
    guest.cookie = book.cookie_of(Role::Guest).await;
    let answer = guest
        .post("/me", &[("name", "MARSH lead"), ("craft", "art")])
        .await;
    assert_eq!(answer.status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(answer.text.contains("choose another"), "{}", answer.text);
    assert!(
        answer.text.contains("value=\"MARSH lead\""),
        "what was typed stays"
    );
    let crew = [
        book.cookie_of(Role::Crew).await,
        book.cookie_of(Role::Crew).await,
    ];
    for (cookie, name) in crew.iter().zip(["crew", "crew 2"]) {
        let me = book
            .send_as(cookie, Request::get("/me"), Body::empty())
            .await;
        assert!(
            me.text.contains(&format!("value=\"{name}\"")),
            "{}",
            me.text
        );
    }
}

#[tokio::test]
async fn a_new_craft_shows_at_once() {
    let book = Book::new().await;
    let mut browser = joined(&book).await;
    assert!(browser.get("/").await.text.contains("lead (you)"));
    browser
        .post("/me", &[("name", "Marsh"), ("craft", "rig/model")])
        .await;
    let list = browser.get("/").await;
    assert!(list.text.contains("rig/model (you)"), "{}", list.text);
}

#[tokio::test]
async fn sixty_days_unused_end_a_session() {
    const DAY_MS: i64 = 24 * 3600 * 1000;
    let book = Book::new().await;
    for (days, stays) in [(59, true), (61, false)] {
        let mut browser = joined(&book).await;
        let hash = session::token_hash(&browser.cookie["stillair=".len()..]);
        sql(
            &book,
            "update session set seen_at_ms = seen_at_ms - ?2 where token_hash = ?1",
            &hash,
            days * DAY_MS,
        )
        .await;
        assert_eq!(browser.is_in().await, stays, "{days}");
    }
}

#[tokio::test]
async fn the_cookie_cannot_be_read_by_scripts_or_sent_by_other_sites() {
    let book = Book::new().await;
    let cookie_of = async |app: stillair::app::App| {
        let token = links::lead_link(&app.store).await.expect("a link");
        let request = Request::get(format!("/join/{token}"))
            .header("x-forwarded-proto", "https")
            .body(Body::empty())
            .expect("a request");
        let answer = tower::ServiceExt::oneshot(app.router(), request)
            .await
            .expect("an answer");
        answer.headers()[header::SET_COOKIE]
            .to_str()
            .expect("plain")
            .to_owned()
    };
    let open = cookie_of(book.app.clone()).await;
    for part in ["; HttpOnly", "; SameSite=Lax", "; Path=/"] {
        assert!(open.contains(part), "{open}");
    }
    assert!(!open.contains("Secure"), "anybody can say https: {open}");
    let mut behind = book.app.clone();
    behind.behind_proxy = true;
    assert!(cookie_of(behind).await.ends_with("; Secure"));
}

#[tokio::test]
async fn the_store_holds_no_token_and_no_passphrase() {
    let book = with_lead().await;
    let mut browser = Browser::new(&book);
    browser.sign_in("Marsh Lead", PASSPHRASE).await;
    let token = browser.cookie["stillair=".len()..].to_owned();
    let kept: Vec<String> = sqlx::query_scalar(
        "select token_hash from session union all select passphrase_hash from person where passphrase_hash is not null",
    )
    .fetch_all(book.app.store.readers())
    .await
    .expect("a list");
    assert!(kept.len() >= 2 && !kept.contains(&token));
    assert!(kept.contains(&session::token_hash(&token)));
    assert_eq!(
        kept.iter().filter(|k| k.starts_with("$argon2id$")).count(),
        1
    );
}

#[tokio::test]
async fn the_last_lead_stays_lead() {
    let book = Book::new().await;
    let ask = async |statement: &'static str| {
        let work = book.app.store.aside(Box::new(move |db| {
            Box::pin(async move { sqlx::query(statement).execute(db).await.map(drop) })
        }));
        work.await
    };
    for statement in [
        "update person set role = 'guest' where role = 'lead'",
        "update person set left_at_ms = 1 where role = 'lead'",
    ] {
        let refused = ask(statement).await.expect_err(statement).to_string();
        assert!(refused.contains("the last lead stays lead"), "{refused}");
    }
    book.cookie_of(Role::Lead).await;
    ask("update person set role = 'crew' where name_key = 'lead'")
        .await
        .expect("there is another lead");
}
