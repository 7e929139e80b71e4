//! A line that breaks before a request, after it and in the middle of a stream (`planning.md` C7.11 no. 5): once it is
//! whole, everybody has the same, and nothing is there twice.

use crate::{
    journal_histories::Dice,
    live_reader::{Reader, Served},
};
use axum::body::Bytes;
use serde_json::{Value, json};
use std::{
    collections::{BTreeMap, BTreeSet},
    net::SocketAddr,
    sync::{
        Arc, Mutex,
        atomic::{AtomicBool, Ordering},
    },
    time::Duration,
};
use stillair::{access::Role, journal::value::Id};
use tokio::{
    io::{AsyncReadExt as _, AsyncWriteExt as _},
    net::{TcpListener, TcpStream},
    time::timeout,
};

const HANDS: usize = 3;
const OPS: usize = 40;
const SHOTS: usize = 3;
const PATIENCE: Duration = Duration::from_secs(30);

/// What the line does to one connection.
#[derive(Clone, Copy, Debug)]
enum Fate {
    Whole,
    /// Nothing of the request arrives.
    Before,
    /// The request arrives, its answer does not.
    After,
    /// So many bytes of the answer arrive.
    Within(usize),
}

/// A line that breaks by the dice until it is mended.
async fn broken_line(to: SocketAddr, seed: u64) -> (SocketAddr, Arc<AtomicBool>) {
    let listener = TcpListener::bind("127.0.0.1:0").await.expect("a port");
    let address = listener.local_addr().expect("its address");
    let is_mended = Arc::new(AtomicBool::new(false));
    let mended = is_mended.clone();
    tokio::spawn(async move {
        let mut dice = Dice::new(seed);
        while let Ok((near, _)) = listener.accept().await {
            let fate = if mended.load(Ordering::SeqCst) {
                Fate::Whole
            } else {
                match dice.below(5) {
                    0 => Fate::Before,
                    1 => Fate::After,
                    2 => Fate::Within(dice.below(2000)),
                    _ => Fate::Whole,
                }
            };
            tokio::spawn(pass(near, to, fate));
        }
    });
    (address, is_mended)
}

async fn pass(mut near: TcpStream, to: SocketAddr, fate: Fate) -> Option<()> {
    if matches!(fate, Fate::Before) {
        return None;
    }
    let mut far = TcpStream::connect(to).await.ok()?;
    let mut bytes = vec![0; 8192];
    let mut request = Vec::new();
    loop {
        let n = near.read(&mut bytes).await.ok()?;
        request.extend_from_slice(&bytes[..n]);
        if n == 0 || is_whole(&request) {
            break;
        }
    }
    far.write_all(&request).await.ok()?;
    let mut left = match fate {
        Fate::After => 0,
        Fate::Within(left) => left,
        _ => usize::MAX,
    };
    loop {
        let n = far.read(&mut bytes).await.ok()?;
        if n == 0 {
            return Some(());
        }
        let some = n.min(left);
        near.write_all(&bytes[..some]).await.ok()?;
        left -= some;
        if left == 0 {
            return None; // both ends are dropped
        }
    }
}

fn is_whole(request: &[u8]) -> bool {
    let text = String::from_utf8_lossy(request);
    let Some((head, body)) = text.split_once("\r\n\r\n") else {
        return false;
    };
    let length = head
        .lines()
        .find_map(|l| l.strip_prefix("content-length: "))
        .and_then(|n| n.trim().parse::<usize>().ok());
    body.len() >= length.unwrap_or(0)
}

/// One request on a connection of its own; none when it broke off.
async fn send(at: SocketAddr, cookie: &str, path: &str, body: &str) -> Option<(u16, Value)> {
    let mut stream = TcpStream::connect(at).await.ok()?;
    let request = format!(
        "POST {path} HTTP/1.1\r\nhost: {at}\r\nconnection: close\r\ncookie: {cookie}\r\ncontent-type: application/json\r\ncontent-length: {}\r\n\r\n{body}",
        body.len()
    );
    stream.write_all(request.as_bytes()).await.ok()?;
    let mut answer = Vec::new();
    timeout(PATIENCE, stream.read_to_end(&mut answer))
        .await
        .expect("it ends")
        .ok()?;
    let text = String::from_utf8(answer).ok()?;
    let (head, body) = text.split_once("\r\n\r\n")?;
    let status = head.split(' ').nth(1)?.parse().ok()?;
    Some((status, serde_json::from_str(body).ok()?))
}

/// A body read off a socket, for [`Reader`].
struct Socket(TcpStream);

impl http_body::Body for Socket {
    type Data = Bytes;
    type Error = std::io::Error;

    fn poll_frame(
        mut self: std::pin::Pin<&mut Self>,
        context: &mut std::task::Context<'_>,
    ) -> std::task::Poll<Option<Result<http_body::Frame<Bytes>, std::io::Error>>> {
        use tokio::io::AsyncRead as _;
        let mut bytes = [0; 4096];
        let mut buffer = tokio::io::ReadBuf::new(&mut bytes);
        let read = std::pin::Pin::new(&mut self.0).poll_read(context, &mut buffer);
        read.map(|done| match done {
            Err(error) => Some(Err(error)),
            Ok(()) if buffer.filled().is_empty() => None,
            Ok(()) => Some(Ok(http_body::Frame::data(Bytes::copy_from_slice(
                buffer.filled(),
            )))),
        })
    }
}

/// What a follower has made of what it heard.
#[derive(Debug, Default, PartialEq)]
struct Heard {
    seqs: Vec<i64>,
    fields: BTreeMap<(String, String), Value>,
}

/// Follows until a number, coming back wherever the line left it.
async fn follow(
    at: SocketAddr,
    cookie: String,
    plan: String,
    from: String,
    until: Arc<Mutex<Option<i64>>>,
) -> Heard {
    let mut heard = Heard::default();
    let mut last = from;
    loop {
        let done = *until.lock().expect("whole");
        if done.is_some_and(|n| heard.seqs.last().is_some_and(|seq| *seq >= n)) {
            return heard;
        }
        let Ok(mut stream) = TcpStream::connect(at).await else {
            continue;
        };
        let request = format!(
            "GET /api/plans/{plan}/stream HTTP/1.0\r\nhost: {at}\r\ncookie: {cookie}\r\nlast-event-id: {last}\r\n\r\n"
        );
        if stream.write_all(request.as_bytes()).await.is_err() {
            continue;
        }
        let mut reader = Reader::new(Socket(stream));
        // The head of the answer is a block like any other.
        if reader.block_within_crlf().await.is_none() {
            continue;
        }
        while let Ok(Some(event)) = timeout(Duration::from_millis(300), reader.next()).await {
            assert_eq!(
                event.name, "change",
                "the epoch is the same, so nothing is reloaded"
            );
            let text = |name: &str| event.data[name].as_str().expect("text").to_owned();
            heard
                .seqs
                .push(event.data["seq"].as_i64().expect("a number"));
            if event.data["outcome"] == "applied" {
                let key = (text("entity"), text("field"));
                heard.fields.insert(key, event.data["value"].clone());
            }
            last = event.id;
        }
    }
}

/// Writes its ops one after the other, each again and again under its own id until it has an answer.
async fn write(
    at: SocketAddr,
    cookie: String,
    plan: String,
    hand: usize,
    seed: u64,
    start: i64,
    shots: Vec<String>,
) -> BTreeMap<String, (i64, String)> {
    let mut dice = Dice::new(seed ^ (hand as u64 + 1));
    let mut base = start;
    let mut taken = BTreeMap::new();
    let path = format!("/api/plans/{plan}/changes");
    for n in 0..OPS {
        let op_id = format!("{hand}-{n}");
        let op = json!({
            "op_id": op_id, "kind": "set", "entity": dice.pick(&shots), "field": dice.pick(&["name", "action"]),
            "base": if dice.one_in(3) { start } else { base }, "value": format!("{hand} wrote {n}"),
        });
        let (status, answer) = loop {
            if let Some(answer) = send(at, &cookie, &path, &op.to_string()).await {
                break answer;
            }
        };
        assert_eq!(status, 200, "{answer}");
        let result = &answer["results"][0];
        base = result["seq"].as_i64().expect("it is taken");
        let outcome = result["outcome"].as_str().expect("an outcome").to_owned();
        taken.insert(op_id, (base, outcome));
    }
    taken
}

async fn history(seed: u64) {
    let served = Served::new(Duration::from_secs(30)).await;
    let book = &served.book;
    let plan = book.plan().await;
    let cookie = book.cookie_of(Role::Crew).await;
    let shots: Vec<String> = (0..SHOTS).map(|_| Id::new().to_string()).collect();
    let made: Vec<_> = shots
        .iter()
        .enumerate()
        .map(|(n, id)| {
            crate::harness::op(
                "insert",
                json!({"entity_type": "shot", "entity": id, "value": {"code": n.to_string()}}),
            )
        })
        .collect();
    book.post_json(&format!("/api/plans/{plan}/changes"), &json!(made))
        .await;
    let whole = book.get(&format!("/api/plans/{plan}")).await.json();
    let start = whole["seq"].as_i64().expect("a number");
    let from = format!("{}:{start}", whole["epoch"].as_str().expect("an epoch"));
    let (line, mended) = broken_line(served.address, seed).await;
    let until = Arc::new(Mutex::new(None));
    let followers: Vec<_> = (0..2)
        .map(|_| {
            tokio::spawn(follow(
                line,
                cookie.clone(),
                plan.clone(),
                from.clone(),
                until.clone(),
            ))
        })
        .collect();
    let hands: Vec<_> = (0..HANDS)
        .map(|hand| {
            tokio::spawn(write(
                line,
                cookie.clone(),
                plan.clone(),
                hand,
                seed,
                start,
                shots.clone(),
            ))
        })
        .collect();
    let mut taken = BTreeMap::new();
    for hand in hands {
        taken.extend(hand.await.expect("no hand fails"));
    }
    mended.store(true, Ordering::SeqCst);
    let numbers: BTreeSet<i64> = taken.values().map(|(seq, _)| *seq).collect();
    assert_eq!(
        numbers.len(),
        HANDS * OPS,
        "seed {seed}: every op has a number of its own"
    );
    *until.lock().expect("whole") = numbers.last().copied();
    let state = book.get(&format!("/api/plans/{plan}")).await.json();
    for follower in followers {
        let heard = timeout(PATIENCE, follower)
            .await
            .expect("it catches up")
            .expect("no follower fails");
        let told: Vec<i64> = numbers.iter().copied().collect();
        assert_eq!(heard.seqs, told, "seed {seed}: each change once, in order");
        for ((entity, field), value) in &heard.fields {
            let shot = state["shots"]
                .as_array()
                .expect("shots")
                .iter()
                .find(|s| s["id"] == json!(entity));
            assert_eq!(shot.expect("it is there")[field], *value, "seed {seed}");
        }
    }
    // I7: every value is the head, was replaced by a later one, or is beside it.
    let beside = state["besides"].as_array().expect("a list").len();
    let kept = taken
        .values()
        .filter(|(_, outcome)| outcome == "kept beside")
        .count();
    assert_eq!(beside, kept, "seed {seed}: what lost is kept beside");
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn a_line_that_breaks_anywhere_loses_and_doubles_nothing() {
    for seed in [3, 17, 20_261_125] {
        history(seed).await;
    }
}
