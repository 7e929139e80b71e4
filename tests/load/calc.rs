//! What a calculation over HTTP costs the server against `/health`, in the program's own CPU time and in one run.
//! `cargo bench --bench calc`. Linux only: the time is read from /proc.

#[expect(
    dead_code,
    reason = "shared with the bench of edits, which uses all of it"
)]
mod program;

use program::{Book, Program};
use std::{
    io::{Read as _, Write as _},
    net::TcpStream,
};

/// Requests of one block.
const REQUESTS: usize = 1000;
/// Blocks are alternated, so that a busy moment of the machine falls on all alike.
const BLOCKS: usize = 20;
/// Twenty calculations out of as many families, on their usual values.
const TWENTY: [(&str, &str); 20] = [
    ("scale-time", "gravity-true-rate"),
    ("scale-time", "shot-conversion"),
    ("lens", "angle-of-view"),
    ("focus", "hyperfocal"),
    ("story-stop", "story-stop"),
    ("flicker", "beat"),
    ("suspension", "settle-time"),
    ("suspension", "line-margin"),
    ("drive", "gear-ratio"),
    ("shadow", "umbra-length"),
    ("coverage", "piece-height"),
    ("projection", "projector-image"),
    ("practicals", "balance"),
    ("giveaway", "drop"),
    ("exposure", "nd"),
    ("haze-optics", "path"),
    ("haze-fill", "decay"),
    ("air-limits", "allowed-time"),
    ("gel", "mired"),
    ("power", "heat-btu"),
];
const DEPTH_OF_FIELD: &str = r#"{"focal_length_mm":35,"f_number":16,"permitted_blur_mm":0.011,"focus_distance_from_entrance_pupil_mm":1000}"#;

fn main() {
    let book = Book::new(1);
    let program = Program::start(&book, &[]);
    let host = program.address;
    let health = format!("GET /health HTTP/1.1\r\nhost: {host}\r\n\r\n");
    let post = |address: &str, body: &str| {
        format!(
            "POST /api/calc/{address} HTTP/1.1\r\nhost: {host}\r\ncontent-type: application/json\r\ncontent-length: {}\r\n\r\n{body}",
            body.len()
        )
    };
    let twenty: Vec<String> = TWENTY
        .iter()
        .map(|(family, name)| post(&format!("{family}/{name}"), &usual_inputs(family, name)))
        .collect();
    let depth = [post("focus/depth-of-field", DEPTH_OF_FIELD)];
    let mut stream = TcpStream::connect(host).expect("it listens");
    stream.set_nodelay(true).expect("an option of the socket");
    let kinds: [&[String]; 3] = [&[health], &depth, &twenty];
    for requests in kinds {
        block(&mut stream, requests); // warm
    }
    let mut spent = [0_u64; 3];
    for _ in 0..BLOCKS {
        for (spent, requests) in spent.iter_mut().zip(kinds) {
            let before = program.cpu_ticks();
            for _ in 0..2 {
                block(&mut stream, requests);
            }
            *spent += program.cpu_ticks() - before;
        }
    }
    #[expect(clippy::cast_precision_loss, reason = "a few thousand ticks")]
    let over_health = |ticks: u64| ticks as f64 / spent[0] as f64;
    let mut out = std::io::stdout();
    writeln!(
        out,
        "{} requests each: /health {} ticks of CPU, focus/depth-of-field {:.2} times that, twenty others {:.2} times",
        2 * REQUESTS * BLOCKS,
        spent[0],
        over_health(spent[1]),
        over_health(spent[2])
    )
    .expect("the figure is printed");
}

/// What a calculation needs, as its own description starts it.
fn usual_inputs(family: &str, name: &str) -> String {
    let calculation = stillair_calc::find(family, name).expect("it is in the catalogue");
    let inputs = calculation.inputs.iter();
    let given: serde_json::Map<String, serde_json::Value> = inputs
        .filter_map(|input| Some((input.name.to_owned(), input.usual?())))
        .collect();
    serde_json::Value::Object(given).to_string()
}

/// Sends requests in turn on one connection, each in one write, and reads every answer whole.
fn block(stream: &mut TcpStream, requests: &[String]) {
    let mut buffer = vec![0; 16 << 10];
    for request in requests.iter().cycle().take(REQUESTS) {
        stream.write_all(request.as_bytes()).expect("it is sent");
        let mut got = 0;
        loop {
            got += stream.read(&mut buffer[got..]).expect("an answer");
            let text = std::str::from_utf8(&buffer[..got]).expect("text");
            let Some((head, body)) = text.split_once("\r\n\r\n") else {
                continue;
            };
            assert!(head.starts_with("HTTP/1.1 200"), "{text}");
            let length = head
                .lines()
                .find_map(|line| line.strip_prefix("content-length: "))
                .expect("a length");
            if body.len() >= length.parse().expect("a number") {
                break;
            }
        }
    }
}
