//! A book in a folder of its own, signed in as lead, with requests sent to the router in process.

use axum::{
    Router,
    body::Body,
    http::{Request, StatusCode, header},
};
use http_body_util::BodyExt as _;
use serde_json::{Value, json};
use std::sync::atomic::{AtomicU64, Ordering};
use stillair::{
    access::{Role, links, people, session},
    app::App,
    store::Store,
};
use tempfile::TempDir;
use tower::ServiceExt as _;

/// An open book.
pub struct Book {
    /// The program inside.
    pub app: App,
    router: Router,
    cookie: String,
    _folder: TempDir,
}

/// An answer, read whole.
#[derive(Debug)]
pub struct Answer {
    /// Its status.
    pub status: StatusCode,
    /// Its headers.
    pub headers: axum::http::HeaderMap,
    /// Its body as text.
    pub text: String,
}

impl Answer {
    /// The body as JSON.
    pub fn json(&self) -> Value {
        serde_json::from_str(&self.text).unwrap_or_else(|e| panic!("no JSON ({e}): {}", self.text))
    }
}

impl Book {
    /// A new book with its lead signed in.
    pub async fn new() -> Self {
        let folder = tempfile::tempdir().expect("a temporary folder");
        let store = Store::open(folder.path()).await.expect("a new store opens");
        let token = links::lead_link(&store).await.expect("a lead is made");
        let person = links::use_once(&store, &token)
            .await
            .expect("the link works");
        let cookie = session::open(&store, &person, "")
            .await
            .expect("a session opens");
        let app = App::new(store);
        Self {
            router: app.clone().router(),
            app,
            cookie: format!("stillair={cookie}"),
            _folder: folder,
        }
    }

    /// A store that somebody else opened, with a cookie line.
    pub fn of(store: Store, cookie: &str) -> Self {
        let app = App::new(store);
        Self {
            router: app.clone().router(),
            app,
            cookie: cookie.to_owned(),
            _folder: tempfile::tempdir().expect("a temporary folder"),
        }
    }

    /// Posts the body of a form as it is.
    pub async fn post_raw(&self, path: &str, body: &str) -> Answer {
        self.send(
            Request::post(path).header(header::CONTENT_TYPE, "application/x-www-form-urlencoded"),
            body.to_owned(),
        )
        .await
    }

    /// Sends any request, with the lead's cookie.
    pub async fn send(
        &self,
        request: axum::http::request::Builder,
        body: impl Into<Body>,
    ) -> Answer {
        self.send_as(&self.cookie, request, body).await
    }

    /// Sends any request with another cookie line; an empty one is a browser that never was here.
    pub async fn send_as(
        &self,
        cookie: &str,
        request: axum::http::request::Builder,
        body: impl Into<Body>,
    ) -> Answer {
        let response = self.begin(cookie, request, body).await;
        let (status, headers) = (response.status(), response.headers().clone());
        let bytes = response
            .into_body()
            .collect()
            .await
            .expect("a whole body")
            .to_bytes();
        Answer {
            status,
            headers,
            text: String::from_utf8_lossy(&bytes).into_owned(),
        }
    }

    /// Sends a request and does not read the answer's body, which may have no end.
    pub async fn begin(
        &self,
        cookie: &str,
        request: axum::http::request::Builder,
        body: impl Into<Body>,
    ) -> axum::response::Response {
        let mut request = request
            .header(header::HOST, "stillair.test")
            .body(body.into())
            .expect("a request");
        if !cookie.is_empty() {
            let cookie = cookie.parse().expect("a cookie line");
            request.headers_mut().insert(header::COOKIE, cookie);
        }
        self.router
            .clone()
            .oneshot(request)
            .await
            .expect("the router always answers")
    }

    /// The cookie line of a new session of somebody in a role.
    pub async fn cookie_of(&self, role: Role) -> String {
        let person = people::add(&self.app.store, role)
            .await
            .expect("a person is made");
        let token = session::open(&self.app.store, &person, "")
            .await
            .expect("a session opens");
        format!("stillair={token}")
    }

    /// Reads a page or a JSON address.
    pub async fn get(&self, path: &str) -> Answer {
        self.send(Request::get(path), Body::empty()).await
    }

    /// Posts JSON.
    pub async fn post_json(&self, path: &str, body: &Value) -> Answer {
        self.send(
            Request::post(path).header(header::CONTENT_TYPE, "application/json"),
            body.to_string(),
        )
        .await
    }

    /// Posts a form.
    pub async fn post_form(&self, path: &str, fields: &[(&str, &str)]) -> Answer {
        let encode = |text: &str| stillair::web::problem::encode(text).replace('/', "%2F");
        let body: Vec<_> = fields
            .iter()
            .map(|(n, v)| format!("{}={}", encode(n), encode(v)))
            .collect();
        self.send(
            Request::post(path).header(header::CONTENT_TYPE, "application/x-www-form-urlencoded"),
            body.join("&"),
        )
        .await
    }

    /// Makes a production and returns its id.
    pub async fn plan(&self) -> String {
        let answer = self
            .post_form(
                "/plans",
                &[("title", "The Drowned Parish"), ("base_fps", "25")],
            )
            .await;
        assert_eq!(answer.status, StatusCode::SEE_OTHER, "{}", answer.text);
        let to = answer.headers[header::LOCATION]
            .to_str()
            .expect("an address");
        to.trim_start_matches("/plans/")
            .trim_end_matches("/cut")
            .to_owned()
    }
}

/// An op with a fresh id.
pub fn op(kind: &str, members: Value) -> Value {
    static NEXT: AtomicU64 = AtomicU64::new(1);
    let mut op =
        json!({"op_id": format!("op-{}", NEXT.fetch_add(1, Ordering::Relaxed)), "kind": kind});
    for (name, value) in members.as_object().expect("members") {
        op[name] = value.clone();
    }
    op
}
