//! What bringing a shot list in costs: the 400 shots and 120 setups of the sample, looked at and then stored, over HTTP's
//! router in this process with the store on disk. `cargo bench --bench import`.

use axum::{body::Body, http::Request};
use http_body_util::BodyExt as _;
use serde_json::{Value, json};
use std::{
    error::Error,
    io::Write as _,
    time::{Duration, Instant},
};
use stillair::{
    access::{links, session},
    app::App,
    store::Store,
};
use tower::ServiceExt as _;

const SHOTS: &[u8] = include_bytes!("../samples/valley-400-shots.csv");
const ROUNDS: usize = 15;

type Done<T> = Result<T, Box<dyn Error>>;

#[tokio::main]
async fn main() -> Done<()> {
    let (mut looks, mut stores, mut again) = (Vec::new(), Vec::new(), Vec::new());
    for _ in 0..ROUNDS {
        let folder = tempfile::tempdir()?;
        let store = Store::open(folder.path()).await?;
        let token = links::lead_link(&store).await?;
        let person = links::use_once(&store, &token).await?;
        let cookie = format!("stillair={}", session::open(&store, &person, "").await?);
        let router = App::new(store.clone()).router();
        let made = json!({"title": "Valley", "base_fps": "25"}).to_string();
        let (_, plan) = send(&router, &cookie, "/api/plans", "application/json", made).await?;
        let import = format!("/api/plans/{}/import", plan["id"].as_str().ok_or("no id")?);
        let look = format!("{import}?look=true");
        let (time, answer) = send(&router, &cookie, &look, "text/csv", SHOTS).await?;
        expect(
            answer["rows"].as_array().map(Vec::len) == Some(400),
            &answer,
        )?;
        looks.push(time);
        let (time, answer) = send(&router, &cookie, &import, "text/csv", SHOTS).await?;
        expect(
            answer["stored"]["new"] == 400 && answer["stored"]["setups"] == 120,
            &answer,
        )?;
        stores.push(time);
        let (time, answer) = send(&router, &cookie, &import, "text/csv", SHOTS).await?;
        expect(answer["stored"]["same"] == 400, &answer)?;
        again.push(time);
        store.close().await;
    }
    let both: Vec<_> = looks.iter().zip(&stores).map(|(a, b)| *a + *b).collect();
    let mut out = std::io::stdout().lock();
    writeln!(
        out,
        "400 shots, 120 setups, {ROUNDS} fresh books; milliseconds"
    )?;
    writeln!(
        out,
        "{:24} {:>8} {:>8} {:>8}",
        "", "least", "middle", "most"
    )?;
    for (name, times) in [
        ("look", looks),
        ("store", stores),
        ("look and store", both),
        ("the same list again", again),
    ] {
        let [least, middle, most] = spread(times);
        writeln!(out, "{name:24} {least:8.1} {middle:8.1} {most:8.1}")?;
    }
    Ok(())
}

fn expect(holds: bool, answer: &Value) -> Done<()> {
    if holds {
        return Ok(());
    }
    Err(format!("not what was sent: {answer}").into())
}

/// Least, middle and most, in milliseconds.
fn spread(mut times: Vec<Duration>) -> [f64; 3] {
    times.sort();
    [times.first(), times.get(times.len() / 2), times.last()]
        .map(|time| time.map_or(f64::NAN, |time| time.as_secs_f64() * 1000.0))
}

/// Posts a body; how long it took until the whole answer was there, and the answer.
async fn send(
    router: &axum::Router,
    cookie: &str,
    path: &str,
    kind: &str,
    body: impl Into<Body>,
) -> Done<(Duration, Value)> {
    let request = Request::post(path)
        .header("cookie", cookie)
        .header("host", "stillair.test")
        .header("origin", "http://stillair.test")
        .header("content-type", kind)
        .body(body.into())?;
    let start = Instant::now();
    let response = router.clone().oneshot(request).await?;
    let status = response.status();
    let bytes = response.into_body().collect().await?.to_bytes();
    let took = start.elapsed();
    if !status.is_success() {
        return Err(format!("{path}: {status}: {}", String::from_utf8_lossy(&bytes)).into());
    }
    Ok((took, serde_json::from_slice(&bytes)?))
}
