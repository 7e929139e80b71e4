//! A reader of the stream, and a book that is served on a port of this machine.

use crate::harness::Book;
use axum::body::{Body, Bytes};
use http_body_util::BodyExt as _;
use hyper_util::{
    client::legacy::{Client, connect::HttpConnector},
    rt::TokioExecutor,
};
use serde_json::Value;
use std::{net::SocketAddr, time::Duration};
use tokio::{net::TcpListener, sync::oneshot, task::JoinHandle};

/// Nothing on loopback takes so long unless it never comes.
const PATIENCE: Duration = Duration::from_secs(20);

/// One event as it was written.
#[derive(Debug, Default, PartialEq)]
pub struct Event {
    /// Empty when it has none.
    pub id: String,
    /// What it is.
    pub name: String,
    /// Its data; null when it has none.
    pub data: Value,
    /// The line "retry", if there was one.
    pub retry: String,
}

/// Whatever reads the body of a stream, piece by piece.
pub struct Reader<B> {
    body: B,
    text: String,
}

impl<B> Reader<B>
where
    B: http_body::Body<Data = Bytes> + Unpin,
    B::Error: std::fmt::Debug,
{
    pub fn new(body: B) -> Self {
        Self {
            body,
            text: String::new(),
        }
    }

    /// The next block, comments included; none when the stream has ended or broke off.
    pub async fn block(&mut self) -> Option<String> {
        loop {
            if let Some(end) = self.text.find("\n\n") {
                let block = self.text[..end].to_owned();
                self.text.drain(..end + 2);
                return Some(block);
            }
            let frame = tokio::time::timeout(PATIENCE, self.body.frame()).await;
            let frame = frame.expect("something comes in time")?.ok()?;
            if let Ok(bytes) = frame.into_data() {
                self.text.push_str(&String::from_utf8_lossy(&bytes));
            }
        }
    }

    /// Passes over the head of an answer that is read raw.
    pub async fn block_within_crlf(&mut self) -> Option<()> {
        loop {
            if let Some(end) = self.text.find("\r\n\r\n") {
                self.text.drain(..end + 4);
                return Some(());
            }
            let frame = tokio::time::timeout(PATIENCE, self.body.frame()).await;
            let frame = frame.expect("something comes in time")?.ok()?;
            if let Ok(bytes) = frame.into_data() {
                self.text.push_str(&String::from_utf8_lossy(&bytes));
            }
        }
    }

    /// The next event.
    pub async fn any(&mut self) -> Option<Event> {
        loop {
            let event = read(&self.block().await?);
            if event != Event::default() {
                return Some(event);
            }
        }
    }

    /// The next event that is no word of who is at the table.
    pub async fn next(&mut self) -> Option<Event> {
        loop {
            let event = self.any().await?;
            if event.name != "presence" && event.retry.is_empty() {
                return Some(event);
            }
        }
    }

    /// Numbers of the changes up to one number.
    pub async fn seqs_to(&mut self, last: i64) -> Vec<i64> {
        let mut seqs = Vec::new();
        while seqs.last() != Some(&last) {
            let event = self.next().await.expect("it goes on");
            assert_eq!(event.name, "change", "{event:?}");
            let seq = event.data["seq"].as_i64().expect("a number");
            assert!(event.id.ends_with(&format!(":{seq}")), "{event:?}");
            seqs.push(seq);
        }
        seqs
    }
}

fn read(block: &str) -> Event {
    let mut event = Event::default();
    for line in block.lines() {
        match line.split_once(": ") {
            Some(("id", id)) => id.clone_into(&mut event.id),
            Some(("event", name)) => name.clone_into(&mut event.name),
            Some(("retry", ms)) => ms.clone_into(&mut event.retry),
            Some(("data", data)) => event.data = serde_json::from_str(data).expect("JSON"),
            _ => assert!(line.starts_with(':'), "no such line: {line}"),
        }
    }
    event
}

/// Opens the stream of a plan in process.
pub async fn follow(book: &Book, cookie: &str, plan: &str, after: &str) -> Reader<Body> {
    follow_with(book, cookie, plan, after, "").await
}

/// The same with a `Last-Event-ID` header, if it is not empty.
pub async fn follow_with(
    book: &Book,
    cookie: &str,
    plan: &str,
    after: &str,
    header: &str,
) -> Reader<Body> {
    let query = if after.is_empty() {
        String::new()
    } else {
        format!("?after={after}")
    };
    let mut request = axum::http::Request::get(format!("/api/plans/{plan}/stream{query}"));
    if !header.is_empty() {
        request = request.header("last-event-id", header);
    }
    let answer = book.begin(cookie, request, Body::empty()).await;
    assert_eq!(answer.status(), 200);
    assert_eq!(answer.headers()["content-type"], "text/event-stream");
    assert_eq!(answer.headers()["cache-control"], "no-store");
    Reader::new(answer.into_body())
}

/// A book on a port of its own, until it is dropped.
pub struct Served {
    pub book: Book,
    pub address: SocketAddr,
    pub client: Client<HttpConnector, Body>,
    stop: Option<oneshot::Sender<()>>,
    serving: JoinHandle<()>,
}

impl Served {
    pub async fn new(stalled: Duration) -> Self {
        let book = Book::new().await;
        let listener = TcpListener::bind("127.0.0.1:0").await.expect("a port");
        let address = listener.local_addr().expect("its address");
        let (stop, stopped) = oneshot::channel();
        let (router, live) = (book.app.clone().router(), book.app.live.clone());
        let serving = tokio::spawn(async move {
            let stopped = async move {
                let _ = stopped.await;
                live.close();
            };
            stillair::serve::until(stopped, listener, router, stalled).await;
        });
        Self {
            book,
            address,
            client: Client::builder(TokioExecutor::new()).build_http(),
            stop: Some(stop),
            serving,
        }
    }

    /// Sends a request as somebody.
    pub async fn send(
        &self,
        cookie: &str,
        method: &str,
        path: &str,
        body: String,
    ) -> axum::http::Response<hyper::body::Incoming> {
        let request = axum::http::Request::builder()
            .method(method)
            .uri(format!("http://{}{path}", self.address))
            .header("cookie", cookie)
            .header("content-type", "application/json")
            .body(Body::from(body))
            .expect("a request");
        self.client.request(request).await.expect("it answers")
    }

    /// The program is told to stop; how long it took to end.
    pub async fn stop(mut self) -> Duration {
        let start = std::time::Instant::now();
        if let Some(stop) = self.stop.take() {
            let _ = stop.send(());
        }
        (&mut self.serving).await.expect("it ends");
        start.elapsed()
    }
}

impl Drop for Served {
    fn drop(&mut self) {
        self.serving.abort();
    }
}
