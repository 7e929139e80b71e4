//! Two hundred readers and twenty writers on one plan for a minute: how long after an edit is acknowledged the last reader
//! has it, and what memory the program takes. `cargo bench --bench crowd`. The client shares the machine's cores.

mod client;
#[expect(
    dead_code,
    reason = "shared with the bench of calculations, which reads CPU time"
)]
mod program;

use client::Client;
use program::{Book, Program};
use std::{
    collections::BTreeMap,
    sync::{
        Arc, Mutex,
        atomic::{AtomicBool, AtomicUsize, Ordering},
    },
    time::{Duration, Instant},
};
use tokio::{
    io::{AsyncReadExt as _, AsyncWriteExt as _},
    net::TcpStream,
};

const READERS: usize = 200;
const WRITERS: usize = 20;
const ROUND: Duration = Duration::from_mins(1);
/// Five edits a second each.
const PACE: Duration = Duration::from_millis(200);
/// Readers are in place before the first edit.
const SETTLE: Duration = Duration::from_secs(2);

/// What became of a number: when it was acknowledged, how many readers have it, and when the last of them got it.
#[derive(Default)]
struct Told {
    acknowledged: Option<Instant>,
    readers: usize,
    last: Option<Instant>,
}

type Ledger = Arc<Mutex<BTreeMap<i64, Told>>>;

fn main() {
    let book = Book::new(WRITERS);
    let program = Program::start(&book, &[]);
    let ledger = Ledger::default();
    let (over, broken) = (
        Arc::new(AtomicBool::new(false)),
        Arc::new(AtomicUsize::new(0)),
    );
    let readers = std::thread::spawn({
        let (address, plan) = (program.address, book.plan.clone());
        let cookie = book.cookies[0].clone();
        let (ledger, over, broken) = (ledger.clone(), over.clone(), broken.clone());
        move || {
            let runtime = tokio::runtime::Builder::new_current_thread()
                .enable_all()
                .build()
                .expect("a runtime");
            runtime.block_on(async {
                let all: Vec<_> = (0..READERS)
                    .map(|_| {
                        let (ledger, over, broken) = (ledger.clone(), over.clone(), broken.clone());
                        let head = format!("GET /api/plans/{plan}/stream HTTP/1.1\r\nhost: {address}\r\ncookie: stillair={cookie}\r\n\r\n");
                        tokio::spawn(async move {
                            if read(address, &head, &ledger, &over).await.is_none() && !over.load(Ordering::SeqCst) {
                                broken.fetch_add(1, Ordering::SeqCst);
                            }
                        })
                    })
                    .collect();
                while !over.load(Ordering::SeqCst) {
                    tokio::time::sleep(Duration::from_millis(50)).await;
                }
                tokio::time::sleep(Duration::from_millis(500)).await;
                for one in all {
                    one.abort();
                }
            });
        }
    });
    std::thread::sleep(SETTLE);
    let (start, at_start) = (Instant::now(), program.resident_mb());
    let mut at_middle = 0.0;
    std::thread::scope(|scope| {
        for n in 0..WRITERS {
            let (program, book, ledger) = (&program, &book, ledger.clone());
            scope.spawn(move || write(program, book, n, &ledger));
        }
        std::thread::sleep(ROUND / 2);
        at_middle = program.resident_mb();
    });
    let took = start.elapsed();
    std::thread::sleep(Duration::from_millis(500));
    let at_end = program.resident_mb();
    over.store(true, Ordering::SeqCst);
    readers.join().expect("the readers end");
    assert_eq!(broken.load(Ordering::SeqCst), 0, "streams that broke off");
    report(&ledger.lock().expect("whole"), took);
    say(&format!(
        "resident {at_start:.1} MB with {READERS} readers, {at_middle:.1} MB after half, {at_end:.1} MB at the end"
    ));
}

fn write(program: &Program, book: &Book, n: usize, ledger: &Ledger) {
    let mut client = Client::new(program, book, n);
    let start = Instant::now();
    let mut next = start + PACE * u32::try_from(n).expect("few") / 20;
    while start.elapsed() < ROUND {
        std::thread::sleep(next.saturating_duration_since(Instant::now()));
        next += PACE;
        let seq = client.edit();
        let now = Instant::now();
        let mut ledger = ledger.lock().expect("whole");
        ledger.entry(seq).or_default().acknowledged = Some(now);
    }
}

/// Reads a stream and notes each number; none when it ends or says something else than changes.
async fn read(
    address: std::net::SocketAddr,
    head: &str,
    ledger: &Ledger,
    over: &AtomicBool,
) -> Option<()> {
    let mut stream = TcpStream::connect(address).await.ok()?;
    stream.set_nodelay(true).ok()?;
    stream.write_all(head.as_bytes()).await.ok()?;
    let mut buffer = vec![0; 16 << 10];
    let mut text = String::new();
    while !over.load(Ordering::SeqCst) {
        let n = stream.read(&mut buffer).await.ok()?;
        if n == 0 {
            return None;
        }
        let now = Instant::now();
        text.push_str(&String::from_utf8_lossy(&buffer[..n]));
        let whole = text.rfind('\n').map_or(0, |at| at + 1);
        {
            let mut ledger = ledger.lock().expect("whole");
            for line in text[..whole]
                .lines()
                .filter(|l| l.starts_with("data: {\"actor\""))
            {
                let seq = line.split("\"seq\":").nth(1)?;
                let digits: String = seq.chars().take_while(char::is_ascii_digit).collect();
                let told = ledger.entry(digits.parse().ok()?).or_default();
                told.readers += 1;
                told.last = Some(now);
            }
        }
        text.drain(..whole);
    }
    Some(())
}

fn report(ledger: &BTreeMap<i64, Told>, took: Duration) {
    let edits: Vec<&Told> = ledger
        .values()
        .filter(|t| t.acknowledged.is_some())
        .collect();
    let missed = edits.iter().filter(|t| t.readers != READERS).count();
    assert_eq!(missed, 0, "edits that not every reader has exactly once");
    let mut waits: Vec<Duration> = edits
        .iter()
        .filter_map(|t| Some(t.last?.saturating_duration_since(t.acknowledged?)))
        .collect();
    waits.sort();
    let at = |share: f64| {
        #[expect(
            clippy::cast_precision_loss,
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "a place in a list of thousands"
        )]
        let place = ((waits.len() - 1) as f64 * share).round() as usize;
        waits[place].as_secs_f64() * 1e3
    };
    say(&format!(
        "{} edits in {:.0} s to {READERS} readers each, none missed; last reader after {:.1} ms in the middle, {:.1} ms at 99 %, {:.1} ms at most",
        edits.len(),
        took.as_secs_f64(),
        at(0.5),
        at(0.99),
        at(1.0)
    ));
}

#[expect(clippy::print_stdout, reason = "a program that prints figures")]
fn say(line: &str) {
    println!("{line}");
}
