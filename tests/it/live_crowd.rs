//! Many hands at once over HTTP, and readers that do not keep up (`planning.md` C7.11 nos. 2 and 10).

use crate::{
    harness::op,
    live_reader::{Reader, Served},
};
use http_body_util::BodyExt as _;
use serde_json::{Value, json};
use std::{
    collections::{BTreeMap, BTreeSet},
    sync::Arc,
    time::Duration,
};
use stillair::{access::Role, journal::value::Id};
use tokio::io::{AsyncReadExt as _, AsyncWriteExt as _};

const WRITERS: usize = 8;
const OPS: usize = 500;
const READERS: usize = 4;

async fn json_of(answer: axum::http::Response<hyper::body::Incoming>) -> Value {
    assert_eq!(answer.status(), 200);
    let bytes = answer
        .into_body()
        .collect()
        .await
        .expect("a body")
        .to_bytes();
    serde_json::from_slice(&bytes).expect("JSON")
}

fn shot(id: &str, code: &str) -> Value {
    op(
        "insert",
        json!({"entity_type": "shot", "entity": id, "value": {"code": code, "length_frames": 48}}),
    )
}

async fn write(served: &Served, cookie: &str, plan: &str, op: &Value) -> Value {
    let path = format!("/api/plans/{plan}/changes");
    json_of(served.send(cookie, "POST", &path, op.to_string()).await).await["results"][0].clone()
}

/// A plan with as many shots as there are writers, and where its stream begins.
async fn plan_with_shots(served: &Served, cookie: &str) -> (String, Vec<String>, String, i64) {
    let plan = served.book.plan().await;
    let shots: Vec<String> = (0..WRITERS).map(|_| Id::new().to_string()).collect();
    for (n, id) in shots.iter().enumerate() {
        write(served, cookie, &plan, &shot(id, &format!("{n}"))).await;
    }
    let whole = served
        .send(cookie, "GET", &format!("/api/plans/{plan}"), String::new())
        .await;
    let whole = json_of(whole).await;
    let epoch = whole["epoch"].as_str().expect("an epoch").to_owned();
    (plan, shots, epoch, whole["seq"].as_i64().expect("a number"))
}

/// What a reader has made of the changes it was told.
#[derive(Debug, Default, PartialEq)]
struct Heard {
    seqs: Vec<i64>,
    fields: BTreeMap<(String, String), Value>,
}

async fn listen(
    served: Arc<Served>,
    cookie: String,
    plan: String,
    after: String,
    count: usize,
) -> Heard {
    let path = format!("/api/plans/{plan}/stream?after={after}");
    let answer = served.send(&cookie, "GET", &path, String::new()).await;
    let mut reader = Reader::new(answer.into_body());
    let mut heard = Heard::default();
    while heard.seqs.len() < count {
        let event = reader.next().await.expect("it goes on");
        assert_eq!(event.name, "change");
        heard
            .seqs
            .push(event.data["seq"].as_i64().expect("a number"));
        if event.data["outcome"] == "applied" {
            let text = |name: &str| event.data[name].as_str().expect("text").to_owned();
            heard
                .fields
                .insert((text("entity"), text("field")), event.data["value"].clone());
        }
    }
    heard
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn eight_hands_write_and_four_readers_hear_the_same() {
    let served = Arc::new(Served::new(Duration::from_secs(30)).await);
    let crew = served.book.cookie_of(Role::Crew).await;
    let (plan, shots, epoch, start) = plan_with_shots(&served, &crew).await;
    let readers: Vec<_> = (0..READERS)
        .map(|_| {
            let (served, crew, plan) = (served.clone(), crew.clone(), plan.clone());
            tokio::spawn(listen(
                served,
                crew,
                plan,
                format!("{epoch}:{start}"),
                WRITERS * OPS,
            ))
        })
        .collect();
    let writers: Vec<_> = (0..WRITERS)
        .map(|own| {
            let (served, crew, plan, shots) =
                (served.clone(), crew.clone(), plan.clone(), shots.clone());
            tokio::spawn(async move {
                let mut base = start;
                let mut taken = Vec::new();
                for n in 0..OPS {
                    // Mostly its own shot, sometimes one that all of them want.
                    let shot = &shots[if n % 5 == 0 { 0 } else { own }];
                    let field = ["name", "action"][n % 2];
                    let set = op(
                        "set",
                        json!({"entity": shot, "field": field, "base": base, "value": format!("{own} wrote {n}")}),
                    );
                    let result = write(&served, &crew, &plan, &set).await;
                    let seq = result["seq"].as_i64().expect("it is taken");
                    // The reply was lost, so it is sent again: the same answer, and no second row.
                    if n % 10 == 0 {
                        assert_eq!(write(&served, &crew, &plan, &set).await, result);
                    }
                    base = seq;
                    taken.push(seq);
                }
                taken
            })
        })
        .collect();
    let mut acknowledged = BTreeSet::new();
    for writer in writers {
        for seq in writer.await.expect("no writer fails") {
            assert!(acknowledged.insert(seq), "every number is given once");
        }
    }
    let mut all = Vec::new();
    for reader in readers {
        all.push(reader.await.expect("no reader fails"));
    }
    let numbers: Vec<i64> = acknowledged.into_iter().collect();
    let whole = served
        .send(&crew, "GET", &format!("/api/plans/{plan}"), String::new())
        .await;
    let whole = json_of(whole).await;
    for heard in &all {
        assert_eq!(heard.seqs, numbers, "every change once, in its order");
        assert_eq!(*heard, all[0]);
        for ((entity, field), value) in &heard.fields {
            let shots = whole["shots"].as_array().expect("shots");
            let shot = shots
                .iter()
                .find(|s| s["id"] == json!(entity))
                .expect("it is there");
            assert_eq!(shot[field], *value, "what was heard is what stands");
        }
    }
}

/// Longer than what the program keeps in memory for readers.
const BURST: i64 = 6000;

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn a_reader_that_stops_reading_is_cut_off_and_catches_up() {
    let served = Served::new(Duration::from_millis(400)).await;
    let crew = served.book.cookie_of(Role::Crew).await;
    let (plan, shots, epoch, start) = plan_with_shots(&served, &crew).await;
    let path = format!("/api/plans/{plan}/stream");
    // A reader with a small window, that reads the head and then nothing.
    let socket = tokio::net::TcpSocket::new_v4().expect("a socket");
    socket.set_recv_buffer_size(4096).expect("a small window");
    let mut slow = socket.connect(served.address).await.expect("it connects");
    let request = format!(
        "GET {path}?after={epoch}:{start} HTTP/1.1\r\nhost: {}\r\ncookie: {crew}\r\n\r\n",
        served.address
    );
    slow.write_all(request.as_bytes())
        .await
        .expect("it is sent");
    let mut head = [0; 64];
    slow.read_exact(&mut head).await.expect("an answer");
    assert!(head.starts_with(b"HTTP/1.1 200"));
    let before = resident_kb();
    let text = "the water rises past the pews ".repeat(60);
    for part in 0..BURST / 500 {
        let ops: Vec<_> = (0..500)
            .map(|n| {
                let field = ["name", "action"][n % 2];
                op("set", json!({"entity": shots[n % WRITERS], "field": field, "base": start + i64::from(part > 0) * part * 500, "value": format!("{part} {n} {}", if n % 2 == 1 { &text } else { "" })}))
            })
            .collect();
        let path = format!("/api/plans/{plan}/changes");
        let answer = served
            .send(&crew, "POST", &path, json!(ops).to_string())
            .await;
        json_of(answer).await;
        tokio::time::sleep(Duration::from_millis(50)).await;
    }
    // It is cut off: after what its own machine had taken in for it, the line is at its end.
    let mut taken = 0;
    let mut piece = [0; 4096];
    let ended = tokio::time::timeout(Duration::from_secs(20), async {
        while let Ok(n @ 1..) = slow.read(&mut piece).await {
            taken += n;
        }
    });
    ended.await.expect("the line ends");
    let all = BURST * 900;
    assert!(
        i64::try_from(taken).expect("a length") < all,
        "{taken} bytes are not all of it"
    );
    let grown = resident_kb().saturating_sub(before);
    assert!(grown < 40_000, "memory grew by {grown} kB");
    // It comes back where it stood, and misses nothing.
    let answer = served
        .send(
            &crew,
            "GET",
            &format!("{path}?after={epoch}:{start}"),
            String::new(),
        )
        .await;
    let seqs = Reader::new(answer.into_body()).seqs_to(start + BURST).await;
    assert_eq!(seqs, (start + 1..=start + BURST).collect::<Vec<_>>());
}

/// Memory of this whole test program, in kilobytes.
fn resident_kb() -> u64 {
    let status = std::fs::read_to_string("/proc/self/status").expect("Linux tells");
    let line = status
        .lines()
        .find(|l| l.starts_with("VmRSS:"))
        .expect("a line");
    line.split_whitespace()
        .nth(1)
        .and_then(|kb| kb.parse().ok())
        .expect("a number")
}
