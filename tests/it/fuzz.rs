//! Bodies that are almost a calculation's inputs, and bodies that are nothing at all: an answer or a refusal, never a fault.

use crate::harness::Book;
use axum::{
    body::Body,
    http::{Request, StatusCode, header},
};
use proptest::{
    prelude::*,
    strategy::ValueTree as _,
    test_runner::{Config, RngAlgorithm, TestRng, TestRunner},
};
use serde_json::{Map, Value};
use stillair_calc::catalogue;

/// Bodies of a run: `STILLAIR_BODIES=1000000 cargo test --release --test it fuzz` tries a million.
fn bodies() -> usize {
    std::env::var("STILLAIR_BODIES")
        .ok()
        .and_then(|bodies| bodies.parse().ok())
        .unwrap_or(4_000)
}

/// One change to the bytes of a body.
#[derive(Clone, Debug)]
enum Change {
    Flip(usize, u8),
    Insert(usize, u8),
    Remove(usize, usize),
    Repeat(usize, usize),
    Word(usize, &'static str),
    CutOff(usize),
}

/// What upsets readers of JSON and of numbers.
const WORDS: [&str; 16] = [
    "null",
    "NaN",
    "Infinity",
    "1e999",
    "-0",
    "1e-999",
    "{}",
    "[]",
    "\"\"",
    "\\u0000",
    "\\ud800",
    ",",
    ":",
    "[[[[[[[[",
    "9999999999999999999999",
    "\"Infinity\"",
];

fn change() -> impl Strategy<Value = Change> {
    let at = 0..4_096_usize;
    prop_oneof![
        (at.clone(), any::<u8>()).prop_map(|(at, byte)| Change::Flip(at, byte)),
        (at.clone(), any::<u8>()).prop_map(|(at, byte)| Change::Insert(at, byte)),
        (at.clone(), 1..12_usize).prop_map(|(at, count)| Change::Remove(at, count)),
        (at.clone(), 1..40_usize).prop_map(|(at, count)| Change::Repeat(at, count)),
        (at.clone(), 0..WORDS.len()).prop_map(|(at, word)| Change::Word(at, WORDS[word])),
        at.prop_map(Change::CutOff),
    ]
}

fn changed(mut body: Vec<u8>, changes: &[Change]) -> Vec<u8> {
    for change in changes {
        let place = |at: usize| at % (body.len() + 1);
        match *change {
            Change::Flip(at, byte) => {
                let at = place(at);
                if let Some(there) = body.get_mut(at) {
                    *there ^= byte;
                }
            }
            Change::Insert(at, byte) => {
                let at = place(at);
                body.insert(at, byte);
            }
            Change::Remove(at, count) => {
                let at = place(at);
                body.drain(at..(at + count).min(body.len()));
            }
            Change::Repeat(at, count) => {
                let at = place(at);
                let part = body[at..(at + count).min(body.len())].to_vec();
                body.splice(at..at, part);
            }
            Change::Word(at, word) => {
                let at = place(at);
                body.splice(at..at, word.bytes());
            }
            Change::CutOff(at) => {
                let at = place(at);
                body.truncate(at);
            }
        }
    }
    body
}

#[tokio::test]
async fn almost_json_is_worked_out_or_refused() {
    let book = Book::new().await;
    let rng = TestRng::from_seed(RngAlgorithm::ChaCha, &[7; 32]);
    let mut runner = TestRunner::new_with_rng(Config::default(), rng);
    let changes = proptest::collection::vec(change(), 0..4);
    let wholes: Vec<(String, Vec<u8>)> = catalogue()
        .iter()
        .filter(|calculation| {
            !["mass-extinction", "tile-grid", "search"].contains(&calculation.name)
        })
        .map(|calculation| {
            let inputs = calculation.inputs.iter();
            let usual: Map<String, Value> = inputs
                .filter_map(|input| Some((input.name.to_owned(), input.usual.or(input.default)?())))
                .collect();
            let address = format!("/api/calc/{}/{}", calculation.family, calculation.name);
            (address, Value::Object(usual).to_string().into_bytes())
        })
        .collect();
    let (mut worked, mut refused) = (0_usize, 0_usize);
    for round in 0..bodies() {
        let (address, whole) = &wholes[round % wholes.len()];
        let changes = changes.new_tree(&mut runner).expect("changes").current();
        let body = changed(whole.clone(), &changes);
        let request = Request::post(address).header(header::CONTENT_TYPE, "application/json");
        let answer = book.send_as("", request, Body::from(body.clone())).await;
        let told: Value = serde_json::from_str(&answer.text).unwrap_or_else(|error| {
            panic!(
                "{address} answers {} ({error}) for {}",
                answer.text,
                String::from_utf8_lossy(&body)
            )
        });
        match answer.status {
            StatusCode::OK => {
                assert!(
                    told["result"].is_object() && told["because"].is_string(),
                    "{told}"
                );
                worked += 1;
            }
            StatusCode::BAD_REQUEST | StatusCode::UNPROCESSABLE_ENTITY => {
                assert!(
                    told["detail"]
                        .as_str()
                        .is_some_and(|detail| detail.len() > 8),
                    "{told}"
                );
                refused += 1;
            }
            other => panic!(
                "{address} answers {other} for {}: {told}",
                String::from_utf8_lossy(&body)
            ),
        }
    }
    assert!(
        worked * 10 > refused && refused > worked / 10,
        "{worked} worked out, {refused} refused"
    );
}
