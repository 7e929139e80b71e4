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

const REQUESTS: usize = 5000;
/// Blocks are alternated, so that a busy moment of the machine falls on both.
const BLOCKS: usize = 8;
const BODY: &str = r#"{"focal_length_mm":35,"f_number":16,"permitted_blur_mm":0.011,"focus_distance_from_entrance_pupil_mm":1000}"#;

fn main() {
    let book = Book::new(1);
    let program = Program::start(&book, &[]);
    let host = program.address;
    let health = format!("GET /health HTTP/1.1\r\nhost: {host}\r\n\r\n");
    let calc = format!(
        "POST /api/calc/focus/depth-of-field HTTP/1.1\r\nhost: {host}\r\ncontent-type: application/json\r\ncontent-length: {}\r\n\r\n{BODY}",
        BODY.len()
    );
    let mut stream = TcpStream::connect(host).expect("it listens");
    stream.set_nodelay(true).expect("an option of the socket");
    for request in [&health, &calc] {
        block(&mut stream, request); // warm
    }
    let mut spent = [0_u64; 2];
    for _ in 0..BLOCKS {
        for (spent, request) in spent.iter_mut().zip([&health, &calc]) {
            let before = program.cpu_ticks();
            block(&mut stream, request);
            *spent += program.cpu_ticks() - before;
        }
    }
    #[expect(clippy::cast_precision_loss, reason = "a few thousand ticks")]
    let ratio = spent[1] as f64 / spent[0] as f64;
    let mut out = std::io::stdout();
    writeln!(
        out,
        "{} requests each: /health {} ticks of CPU, focus/depth-of-field {} ticks: {ratio:.2} times",
        REQUESTS * BLOCKS,
        spent[0],
        spent[1]
    )
    .expect("the figure is printed");
}

/// Sends a request many times on one connection, each in one write, and reads every answer whole.
fn block(stream: &mut TcpStream, request: &str) {
    let mut buffer = vec![0; 16 << 10];
    for _ in 0..REQUESTS {
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
