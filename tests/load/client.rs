//! A client that keeps its connection and sends each request in one piece.

use crate::program::{Book, Program};
use std::{
    io::{Read as _, Write as _},
    net::TcpStream,
    time::{SystemTime, UNIX_EPOCH},
};

/// One signed-in client with a shot of its own.
pub struct Client {
    stream: TcpStream,
    head: String,
    shot: String,
    base: i64,
    sent: u64,
    buffer: Vec<u8>,
    run: u128,
}

impl Client {
    /// Connects; the `n`th client edits the `n`th shot.
    pub fn new(program: &Program, book: &Book, n: usize) -> Self {
        let stream = TcpStream::connect(program.address).expect("it listens");
        stream.set_nodelay(true).expect("an option of the socket");
        let cookie = &book.cookies[n % book.cookies.len()];
        let head = format!(
            "/api/plans/{} HTTP/1.1\r\nhost: {}\r\ncookie: stillair={cookie}\r\n",
            book.plan, program.address
        );
        let since = SystemTime::now().duration_since(UNIX_EPOCH);
        Self {
            stream,
            head,
            shot: format!("shot-{n}"),
            base: 0,
            sent: 0,
            buffer: vec![0; 64 << 10],
            run: since.expect("a clock").as_nanos(),
        }
        .at_newest()
    }

    fn at_newest(mut self) -> Self {
        let plan = self.read_plan();
        let seq = plan.split("\"seq\":").last().expect("a number");
        let digits: String = seq.chars().take_while(char::is_ascii_digit).collect();
        self.base = digits.parse().expect("a number");
        self
    }

    /// Reads the whole plan.
    pub fn read_plan(&mut self) -> String {
        let request = format!("GET {}\r\n", self.head);
        self.send(&request)
    }

    /// Writes one field and waits for the acknowledgement; the change's number.
    pub fn edit(&mut self) -> i64 {
        self.sent += 1;
        let body = format!(
            "[{{\"op_id\":\"{}-{}-{}\",\"kind\":\"set\",\"entity\":\"{}\",\"field\":\"length_frames\",\"base\":{},\"value\":{}}}]",
            self.run,
            self.shot,
            self.sent,
            self.shot,
            self.base,
            1 + self.sent % 500
        );
        let (plan, rest) = self.head.split_once(' ').expect("a request line");
        let request = format!(
            "POST {plan}/changes {rest}content-type: application/json\r\ncontent-length: {}\r\n\r\n{body}",
            body.len()
        );
        let answer = self.send(&request);
        assert!(answer.contains("\"applied\""), "{answer}");
        let seq = answer.split("\"seq\":").nth(1).expect("a number");
        let digits: String = seq.chars().take_while(char::is_ascii_digit).collect();
        self.base = digits.parse().expect("a number");
        self.base
    }

    /// Sends a request and reads its answer whole.
    fn send(&mut self, request: &str) -> String {
        self.stream
            .write_all(request.as_bytes())
            .expect("it is sent");
        let mut got = Vec::new();
        loop {
            let n = self.stream.read(&mut self.buffer).expect("an answer");
            assert!(n > 0, "the program hung up");
            got.extend_from_slice(&self.buffer[..n]);
            let Some(end) = got.windows(4).position(|w| w == b"\r\n\r\n") else {
                continue;
            };
            let head = String::from_utf8_lossy(&got[..end]).to_ascii_lowercase();
            assert!(head.starts_with("http/1.1 200"), "{head}");
            let length = head.split("content-length:").nth(1).expect("a length");
            let length: usize = length
                .lines()
                .next()
                .and_then(|l| l.trim().parse().ok())
                .expect("a length");
            if got.len() >= end + 4 + length {
                return String::from_utf8_lossy(&got[end + 4..]).into_owned();
            }
        }
    }
}
