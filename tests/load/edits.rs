//! How many acknowledged edits a second the program takes over HTTP, one field a request; how fast it is ready and how much
//! memory it holds. `cargo bench --bench edits`. Figures depend on the machine: compare them with each other.
//!
//! The program runs as it is shipped, in a process of its own. A second round loads `slow_flush.c` in front of it, so that
//! every flush is late: no edit may then be acknowledged sooner than one flush takes.

mod client;
#[expect(
    dead_code,
    reason = "shared with the bench of calculations, which reads CPU time"
)]
mod program;

use client::Client;
use program::{Book, Program};
use std::{
    sync::Barrier,
    time::{Duration, Instant},
};

const CLIENTS: usize = 8;
const ROUND: Duration = Duration::from_secs(4);
const FLUSH_DELAY: Duration = Duration::from_millis(5);

fn main() {
    let book = Book::new(CLIENTS);
    let mut lines = Vec::new();
    {
        let program = Program::start(&book, &[]);
        say(&format!(
            "ready after {:.0} ms",
            program.ready.as_secs_f64() * 1e3
        ));
        Client::new(&program, &book, 0).read_plan();
        say(&format!(
            "resident {:.1} MB with the plan open",
            program.resident_mb()
        ));
        for clients in [1, CLIENTS, 2 * CLIENTS] {
            lines.push((
                format!("{clients:2} clients"),
                round(&program, &book, clients),
            ));
        }
        say(&format!(
            "resident {:.1} MB after the edits",
            program.resident_mb()
        ));
    }
    {
        let program = Program::start(&book, &[("STILLAIR_ONE_COMMIT", "true")]);
        let rate = round(&program, &book, CLIENTS);
        lines.push((format!("{CLIENTS:2} clients, one commit an edit"), rate));
    }
    let slow = program::slow_flush();
    let late = |more: &[(&str, &str)]| {
        let delay = FLUSH_DELAY.as_micros().to_string();
        let path = slow.path().to_string_lossy().into_owned();
        let mut settings = vec![("LD_PRELOAD", path.as_str()), ("FLUSH_DELAY_US", &delay)];
        settings.extend(more);
        let program = Program::start(&book, &settings);
        let rate = round(&program, &book, 2 * CLIENTS);
        assert!(
            rate.soonest >= FLUSH_DELAY,
            "an edit was acknowledged after {:?}, before its flush was done",
            rate.soonest
        );
        rate
    };
    let shared = late(&[]);
    let single = late(&[("STILLAIR_ONE_COMMIT", "true")]);
    let ratio = shared.per_second / single.per_second;
    lines.push((
        format!("{:2} clients, flushes 5 ms late", 2 * CLIENTS),
        shared,
    ));
    lines.push((
        format!("{:2} clients, late, one commit an edit", 2 * CLIENTS),
        single,
    ));
    for (name, rate) in lines {
        say(&format!(
            "{name:40} {:8.0} edits/s   soonest {:6.2} ms, median {:6.2} ms",
            rate.per_second,
            rate.soonest.as_secs_f64() * 1e3,
            rate.median.as_secs_f64() * 1e3
        ));
    }
    say(&format!(
        "shared commits on a slow disk: {ratio:.1} times one commit an edit"
    ));
}

#[expect(clippy::print_stdout, reason = "a program that prints figures")]
fn say(line: &str) {
    println!("{line}");
}

struct Rate {
    per_second: f64,
    soonest: Duration,
    median: Duration,
}

/// All clients edit, each its own shot, one edit after the other, each only after the last was acknowledged.
fn round(program: &Program, book: &Book, clients: usize) -> Rate {
    let start = Barrier::new(clients);
    let waits: Vec<Vec<Duration>> = std::thread::scope(|scope| {
        let work: Vec<_> = (0..clients)
            .map(|n| {
                let start = &start;
                scope.spawn(move || {
                    let mut client = Client::new(program, book, n);
                    let mut waits = Vec::new();
                    start.wait();
                    let begun = Instant::now();
                    while begun.elapsed() < ROUND {
                        let sent = Instant::now();
                        client.edit();
                        waits.push(sent.elapsed());
                    }
                    waits
                })
            })
            .collect();
        work.into_iter()
            .map(|w| w.join().expect("a client fails loudly"))
            .collect()
    });
    let mut all: Vec<Duration> = waits.into_iter().flatten().collect();
    all.sort();
    #[expect(clippy::cast_precision_loss, reason = "thousands of edits")]
    let edits = all.len() as f64;
    Rate {
        per_second: edits / ROUND.as_secs_f64(),
        soonest: all[0],
        median: all[all.len() / 2],
    }
}
