//! Every address on every kind of caller, and what every answer carries.

use crate::harness::{Answer, Book};
use axum::{
    body::{Body, Bytes},
    http::{Method, Request, StatusCode, header},
};
use http_body_util::channel::Channel;
use std::{collections::BTreeSet, time::Duration};
use stillair::{
    access::{
        Role,
        gate::{Who, who},
    },
    app::App,
};
use tower::ServiceExt as _;

/// One method of one address, with its places filled in.
pub struct Way {
    pub method: Method,
    pub path: &'static str,
    pub address: String,
}

/// Every method of every address, as the router itself names them.
pub async fn ways(book: &Book, plan: &str) -> Vec<Way> {
    let lead = book.cookie_of(Role::Lead).await;
    let mut ways = Vec::new();
    for path in App::routes().paths() {
        let address = filled(path, plan);
        let probe = Request::builder().method(Method::TRACE).uri(&address);
        let answer = book.begin(&lead, probe, Body::empty()).await;
        assert_eq!(answer.status(), StatusCode::METHOD_NOT_ALLOWED, "{path}");
        let allowed = answer.headers()[header::ALLOW].to_str().expect("methods");
        ways.extend(allowed.split(',').map(|method| Way {
            method: method.parse().expect("a method"),
            path,
            address: address.clone(),
        }));
    }
    assert!(ways.len() > 10, "the list of addresses is read");
    ways
}

/// `{plan}` becomes a plan that is there, any other place a word that is not.
fn filled(path: &str, plan: &str) -> String {
    let fill = |part: &str| match part {
        "{plan}" => plan.to_owned(),
        _ if part.starts_with('{') => "none".to_owned(),
        _ => part.to_owned(),
    };
    path.split('/').map(fill).collect::<Vec<_>>().join("/")
}

async fn status(book: &Book, cookie: &str, way: &Way) -> (StatusCode, String) {
    let request = Request::builder().method(&way.method).uri(&way.address);
    let answer = book.begin(cookie, request, Body::empty()).await;
    let to = answer.headers().get(header::LOCATION);
    let to = to.map(|to| to.to_str().expect("an address").to_owned());
    (answer.status(), to.unwrap_or_default())
}

#[tokio::test]
async fn every_address_is_for_whom_it_says() {
    let book = Book::new().await;
    let plan = book.plan().await;
    for way in ways(&book, &plan).await {
        let who = who(&way.method, way.path);
        let name = format!("{} {}", way.method, way.path);
        let (out, to) = status(&book, "", &way).await;
        let is_turned_away = out == StatusCode::UNAUTHORIZED || to.starts_with("/sign-in?to=");
        assert_eq!(
            is_turned_away,
            who != Who::Anyone,
            "{name} signed out: {out}"
        );
        for role in [Role::Guest, Role::Supervisor, Role::Crew, Role::Lead] {
            // A session each, because one of the addresses ends it.
            let (got, to) = status(&book, &book.cookie_of(role).await, &way).await;
            let may = match who {
                Who::Leads => role.leads(),
                Who::Writers => role.writes(),
                Who::LetPass => role.lets_pass(),
                Who::Anyone | Who::SignedIn => true,
            };
            let name = format!("{name} as {}: {got}", role.word());
            assert_eq!(got != StatusCode::FORBIDDEN, may, "{name}");
            assert!(!to.starts_with("/sign-in?to="), "{name}");
            assert!(
                !got.is_server_error() && got != StatusCode::UNAUTHORIZED,
                "{name}"
            );
        }
    }
}

#[tokio::test]
async fn only_the_doors_the_looks_and_the_sums_are_open_to_all() {
    let book = Book::new().await;
    let plan = book.plan().await;
    let open: BTreeSet<_> = ways(&book, &plan)
        .await
        .into_iter()
        .filter(|way| who(&way.method, way.path) == Who::Anyone)
        .map(|way| way.path)
        .filter(|path| *path != "/api/calc" && !path.starts_with("/api/calc/"))
        .collect();
    let known = [
        "/api/openapi.json",
        "/health",
        "/join/{token}",
        "/keeper.js",
        "/look",
        "/notices",
        "/problems/{name}",
        "/sign-in",
        "/sign-out",
        "/static/{hash}/{*path}",
        "/sums",
        "/sums/scales",
        "/sums/{family}/{calculation}",
        "/sums/{sum}",
    ];
    let unknown: Vec<_> = open.iter().filter(|path| !known.contains(path)).collect();
    assert!(unknown.is_empty(), "open to everybody: {unknown:?}");
}

#[tokio::test]
async fn a_write_from_another_site_is_refused_everywhere() {
    let book = Book::new().await;
    let plan = book.plan().await;
    for way in ways(&book, &plan).await {
        if matches!(way.method, Method::GET | Method::HEAD) {
            continue;
        }
        let cookie = book.cookie_of(Role::Lead).await;
        for (name, value) in [
            ("origin", "https://elsewhere.test"),
            ("origin", "http://stillair.test.elsewhere.test"),
            ("origin", "http://stillair.test:81"),
            ("origin", "null"),
            ("sec-fetch-site", "cross-site"),
            ("sec-fetch-site", "same-site"),
        ] {
            let request = Request::builder()
                .method(&way.method)
                .uri(&way.address)
                .header(name, value);
            let answer = book.send_as(&cookie, request, Body::empty()).await;
            let says = format!("{} {} {name}: {value}", way.method, way.path);
            assert_eq!(answer.status, StatusCode::FORBIDDEN, "{says}");
            assert!(
                answer.text.contains("another site"),
                "{says}: {}",
                answer.text
            );
        }
    }
    assert_eq!(book.app.store.plans().await.expect("plans").len(), 1);
}

#[tokio::test]
async fn a_write_from_our_own_page_is_taken() {
    let book = Book::new().await;
    for origin in ["http://stillair.test", "https://stillair.test"] {
        let request = Request::post("/plans")
            .header(header::ORIGIN, origin)
            .header("sec-fetch-site", "same-origin")
            .header(header::CONTENT_TYPE, "application/x-www-form-urlencoded");
        let answer = book.send(request, "title=Ours&base_fps=24").await;
        assert_eq!(answer.status, StatusCode::SEE_OTHER, "{}", answer.text);
    }
}

fn assert_guarded(answer: &Answer, what: &str) {
    let policy = answer.headers.get(header::CONTENT_SECURITY_POLICY);
    let policy = policy.unwrap_or_else(|| panic!("{what} has no policy"));
    let policy = policy.to_str().expect("plain");
    let directives: Vec<_> = policy.split("; ").collect();
    for needed in [
        "default-src 'none'",
        "script-src 'self'",
        "form-action 'self'",
        "frame-ancestors 'none'",
        "base-uri 'none'",
    ] {
        assert!(
            directives.contains(&needed),
            "{what} without {needed}: {policy}"
        );
    }
    assert!(!policy.contains("unsafe"), "{what}: {policy}");
    for (name, value) in [
        ("x-content-type-options", "nosniff"),
        ("referrer-policy", "same-origin"),
        ("x-frame-options", "DENY"),
        ("cross-origin-opener-policy", "same-origin"),
    ] {
        assert_eq!(answer.headers[name], value, "{what}");
    }
    assert!(answer.headers.contains_key("permissions-policy"), "{what}");
    assert!(answer.headers.contains_key(header::CACHE_CONTROL), "{what}");
}

#[tokio::test]
async fn every_answer_carries_the_policy() {
    let book = Book::new().await;
    let plan = book.plan().await;
    let styles = format!("{}/css/all.css", stillair::web::assets::prefix());
    for path in [
        "/",
        "/sign-in",
        "/me",
        "/health",
        "/nowhere",
        "/join/none",
        "/plans/none/cut",
        "/api/nowhere",
        &styles,
        "/static/none/css/all.css",
    ] {
        assert_guarded(&book.get(path).await, path);
    }
    assert_guarded(
        &book.post_form("/plans", &[("title", "")]).await,
        "a refused form",
    );
    assert_guarded(&book.post_form("/nowhere", &[]).await, "a missing address");
    let signed_out = Request::get(format!("/plans/{plan}"));
    let signed_out = book.send_as("", signed_out, Body::empty()).await;
    assert_eq!(signed_out.status, StatusCode::SEE_OTHER);
    assert_guarded(&signed_out, "the way to the door");
}

#[tokio::test]
async fn only_styles_and_scripts_under_their_own_hash_are_kept() {
    let book = Book::new().await;
    for path in ["/", "/sign-in", "/me", "/nowhere", "/health"] {
        assert_eq!(
            book.get(path).await.headers[header::CACHE_CONTROL],
            "no-store",
            "{path}"
        );
    }
}

/// Where a page has style or script of its own: `<style>` and `style=`, a `<script>` with words in it, `on…=`, and
/// addresses that are scripts.
fn inline_parts(html: &str) -> Vec<String> {
    let first_paint = format!("<style>{}</style>", stillair::web::look::FIRST_PAINT);
    let html = html.replacen(&first_paint, "", 1);
    let mut found = Vec::new();
    let mut rest = html.as_str();
    while let Some((_, after)) = rest.split_once('<') {
        let (tag, words) = tag(after);
        let name = tag.split_whitespace().next().unwrap_or("").to_lowercase();
        let is_code = name == "style" || (name == "script" && !words.trim_start().starts_with('<'));
        if is_code
            || attributes(tag)
                .iter()
                .any(|(name, value)| is_script(name, value))
        {
            found.push(format!("<{tag}>"));
        }
        rest = words;
    }
    found
}

/// A tag up to its end, which a quoted value does not hold, and what follows.
fn tag(after: &str) -> (&str, &str) {
    let mut quote = None;
    let end = after.find(|c: char| {
        if let Some(open) = quote {
            quote = Some(open).filter(|_| c != open);
            return false;
        }
        quote = matches!(c, '"' | '\'').then_some(c);
        c == '>'
    });
    end.map_or((after, ""), |end| (&after[..end], &after[end + 1..]))
}

/// Names and values of a tag's attributes, in small letters.
fn attributes(tag: &str) -> Vec<(String, String)> {
    let mut found = Vec::new();
    let mut rest = tag;
    while let Some((before, after)) = rest.split_once('=') {
        let name = before.split_whitespace().next_back().unwrap_or("");
        let quote = after.chars().next().filter(|c| matches!(c, '"' | '\''));
        let (value, next) = match quote {
            Some(quote) => after[1..].split_once(quote).unwrap_or((after, "")),
            None => after.split_once(char::is_whitespace).unwrap_or((after, "")),
        };
        found.push((name.to_lowercase(), value.to_lowercase()));
        rest = next;
    }
    found
}

fn is_script(name: &str, value: &str) -> bool {
    name == "style" || name.starts_with("on") || value.trim_start().starts_with("javascript:")
}

#[test]
fn inline_parts_are_found() {
    for bad in [
        "<p style=\"color:red\">",
        "<style>p{}</style>",
        "<script>go()</script>",
        "<a href=\"javascript:go()\">",
        "<b onclick=\"go()\">",
        "<b title=\">\" onclick=go()>",
    ] {
        assert_eq!(inline_parts(bad).len(), 1, "{bad}");
    }
    assert!(inline_parts("<b title=\"onclick=go()\" id=\"a\">").is_empty());
    assert!(inline_parts("<script src=\"a.js\"></script><p data-once=\"1\">style=</p>").is_empty());
}

#[tokio::test]
async fn no_page_has_inline_script_or_style() {
    let book = Book::new().await;
    let plan = book.plan().await;
    let mut pages = 0;
    for way in ways(&book, &plan).await {
        if way.method != Method::GET || way.path.contains("/stream") {
            continue;
        }
        for look in ["lights", "blackout"] {
            let cookie = format!("{}; look={look}", book.cookie_of(Role::Lead).await);
            let answer = book
                .send_as(&cookie, Request::get(&way.address), Body::empty())
                .await;
            let kind = answer
                .headers
                .get(header::CONTENT_TYPE)
                .map(axum::http::HeaderValue::as_bytes);
            if kind.is_some_and(|kind| kind.starts_with(b"text/html")) {
                pages += 1;
                assert!(
                    inline_parts(&answer.text).is_empty(),
                    "{}: {:?}",
                    way.path,
                    inline_parts(&answer.text)
                );
            }
        }
    }
    assert!(pages >= 6, "pages were read: {pages}");
}

#[tokio::test]
async fn what_is_typed_is_never_markup() {
    let book = Book::new().await;
    let bad = "<script>go()</script>\"><b onclick=go()>";
    let answers = [
        book.post_form("/plans", &[("title", bad), ("base_fps", "25")])
            .await,
        book.get("/").await,
        book.post_form(
            "/me",
            &[
                ("name", bad),
                ("craft", bad),
                ("passphrase", "x"),
                ("again", ""),
            ],
        )
        .await,
        book.send_as(
            "",
            Request::get("/sign-in?to=/%22%3E%3Cscript%3Ego()%3C/script%3E"),
            Body::empty(),
        )
        .await,
        book.get("/%22%3E%3Cscript%3Ego()%3C/script%3E").await,
    ];
    for answer in answers {
        assert!(inline_parts(&answer.text).is_empty(), "{}", answer.text);
    }
}

#[tokio::test]
async fn too_large_a_body_is_said_in_words() {
    let book = Book::new().await;
    let large = vec![b'a'; (1 << 20) + 1];
    let form = |accept| {
        Request::post("/plans")
            .header(header::CONTENT_TYPE, "application/x-www-form-urlencoded")
            .header(header::ACCEPT, accept)
    };
    let page = book.send(form("text/html"), large.clone()).await;
    assert_eq!(page.status, StatusCode::PAYLOAD_TOO_LARGE);
    assert!(
        page.text.contains("nothing was stored") && page.text.contains("The book list"),
        "{}",
        page.text
    );
    let problem = book.send(form("application/json"), large).await;
    assert_eq!(
        problem.headers[header::CONTENT_TYPE],
        "application/problem+json"
    );
    assert_eq!(problem.json()["status"], 413);
    assert_eq!(problem.json()["type"], "/problems/too-large");
}

#[tokio::test]
async fn a_form_that_does_not_fit_is_said_in_words() {
    let book = Book::new().await;
    let answer = book.post_form("/plans", &[("no_such_blank", "1")]).await;
    assert_eq!(answer.status, StatusCode::BAD_REQUEST, "{}", answer.text);
    assert!(
        answer.text.contains("nothing was stored"),
        "{}",
        answer.text
    );
    let answer = book.send(Request::post("/plans"), "title=Ours").await;
    assert_eq!(answer.status, StatusCode::UNSUPPORTED_MEDIA_TYPE);
    assert!(answer.text.contains("<h1>"), "{}", answer.text);
}

#[tokio::test]
async fn a_body_that_does_not_come_is_given_up() {
    let book = Book::new().await;
    let mut app = book.app.clone();
    app.body_deadline = Duration::from_millis(50);
    let (mut sender, body) = Channel::<Bytes>::new(1);
    sender
        .send_data(Bytes::from_static(b"title=Half"))
        .await
        .expect("the body is open");
    let request = Request::post("/plans")
        .header(header::HOST, "stillair.test")
        .header(header::COOKIE, book.cookie_of(Role::Lead).await)
        .header(header::CONTENT_TYPE, "application/x-www-form-urlencoded")
        .body(Body::new(body))
        .expect("a request");
    let answer = app.router().oneshot(request).await.expect("an answer");
    assert_eq!(answer.status(), StatusCode::REQUEST_TIMEOUT);
    assert_eq!(book.app.store.plans().await.expect("plans").len(), 0);
    drop(sender);
}

#[tokio::test]
async fn a_path_leads_to_nothing_outside_the_folder() {
    let book = Book::new().await;
    let prefix = stillair::web::assets::prefix();
    for path in [
        "../Cargo.toml",
        "..%2fCargo.toml",
        "%2e%2e/Cargo.toml",
        "css/../../Cargo.toml",
        "css/%2e%2e/%2e%2e/Cargo.toml",
        "..%5cCargo.toml",
        "%2fetc%2fpasswd",
        "/etc/passwd",
        "lettering/build.py",
        "css/all.css%00.js",
    ] {
        let answer = book.get(&format!("{prefix}/{path}")).await;
        assert_eq!(answer.status, StatusCode::NOT_FOUND, "{path}");
        assert!(
            !answer.text.contains("[package]") && !answer.text.contains("root:"),
            "{path}"
        );
    }
    // Pictures are asked for by name in the book, never by a path.
    let plan = book.plan().await;
    for name in [
        "..%2f..%2fbook.db",
        "%2e%2e",
        "..%2fCargo.toml",
        "%2fetc%2fpasswd",
    ] {
        let answer = book.get(&format!("/plans/{plan}/pictures/{name}")).await;
        assert_eq!(answer.status, StatusCode::NOT_FOUND, "{name}");
    }
    let styles = book.get(&format!("{prefix}/css/all.css")).await;
    assert_eq!(styles.status, StatusCode::OK);
}

#[tokio::test]
async fn a_missing_method_names_the_ones_there_are() {
    let book = Book::new().await;
    let answer = book.send(Request::delete("/plans"), Body::empty()).await;
    assert_eq!(answer.status, StatusCode::METHOD_NOT_ALLOWED);
    assert_eq!(answer.headers[header::ALLOW], "POST");
}
