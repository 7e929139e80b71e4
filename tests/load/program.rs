//! The program in a process of its own, and a book for it to serve.

use serde_json::json;
use std::{
    net::{SocketAddr, TcpListener, TcpStream},
    process::{Child, Command, Stdio},
    time::{Duration, Instant},
};
use stillair::{
    access::{links, session},
    journal::{change::Op, value::Id, writer::Ask},
    store::Store,
};
use tempfile::TempDir;

/// A folder with a plan of 400 shots and 120 setups, and people who are signed in.
pub struct Book {
    folder: TempDir,
    /// Id of the plan.
    pub plan: String,
    /// One cookie a client.
    pub cookies: Vec<String>,
}

impl Book {
    /// Makes it, through the store itself.
    pub fn new(people: usize) -> Self {
        let folder = tempfile::tempdir().expect("a temporary folder");
        let runtime = tokio::runtime::Runtime::new().expect("a runtime");
        let (plan, cookies) = runtime.block_on(async {
            let store = Store::open(folder.path()).await.expect("it opens");
            let plan = fill(&store).await;
            let mut cookies = Vec::new();
            for _ in 0..people {
                let link = links::lead_link(&store).await.expect("a link");
                let person = links::use_once(&store, &link).await.expect("it works");
                let cookie = session::open(&store, &person, "").await;
                cookies.push(cookie.expect("a session"));
            }
            store.close().await;
            (plan, cookies)
        });
        Self {
            folder,
            plan,
            cookies,
        }
    }
}

async fn fill(store: &Store) -> String {
    let plan = Id::new();
    let title = json!({"title": "The Drowned Parish", "base_fps": "25"});
    let mut ops = vec![Op::insert("plan", plan.clone(), title)];
    for n in 0..400 {
        let id = Id::parse(&format!("shot-{n}")).expect("an id");
        let fields = json!({
            "code": format!("{n:03}"), "name": "the flooded nave", "length_frames": 48, "scale_denominator": 20,
            "story_speed_mps": 1.5, "action": "The water rises past the pews and the bell begins to swing.",
            "travel": "l_to_r", "place": "nave", "reach_m": 12.0,
        });
        ops.push(Op::insert("shot", id, fields));
    }
    for n in 0..120 {
        let id = Id::parse(&format!("setup-{n}")).expect("an id");
        let fields = json!({
            "code": format!("S{n}"), "name": "table, wet", "focal_length_mm": 28, "f_number": 11, "shoot_fps": 111.8,
            "shutter_deg": 180, "haze_class": "light", "people": ["camera", "haze", "rig"],
        });
        ops.push(Op::insert("setup", id, fields));
    }
    let ask = Ask {
        plan: plan.clone(),
        ops,
        atomic: true,
        batch: None,
        actor: "load".into(),
        client: "load".into(),
    };
    let replies = store.write(ask).await.expect("it is stored");
    assert!(replies.iter().all(|r| r.result.is_ok()), "{replies:?}");
    plan.to_string()
}

/// The running program; killed when dropped.
pub struct Program {
    child: Child,
    /// Where it listens.
    pub address: SocketAddr,
    /// How long it took until it answered.
    pub ready: Duration,
}

impl Program {
    /// Starts it on a book, with environment variables.
    pub fn start(book: &Book, settings: &[(&str, &str)]) -> Self {
        let free = TcpListener::bind("127.0.0.1:0").expect("a free port");
        let address = free.local_addr().expect("its address");
        drop(free);
        let begun = Instant::now();
        let child = Command::new(env!("CARGO_BIN_EXE_stillair"))
            .args(["serve", "--data"])
            .arg(book.folder.path())
            .args(["--listen", &address.to_string()])
            .envs(settings.iter().copied())
            .stdout(Stdio::null())
            .spawn()
            .expect("the program starts");
        let mut program = Self {
            child,
            address,
            ready: Duration::ZERO,
        };
        // It listens once the store is open; a connection taken earlier waits for its answer.
        while !program.answers() {
            assert!(
                begun.elapsed() < Duration::from_secs(10),
                "it never answers"
            );
            std::thread::sleep(Duration::from_millis(1));
        }
        program.ready = begun.elapsed();
        program
    }

    fn answers(&self) -> bool {
        use std::io::{Read as _, Write as _};
        let Ok(mut stream) = TcpStream::connect(self.address) else {
            return false;
        };
        let request = format!(
            "GET /health HTTP/1.1\r\nhost: {}\r\nconnection: close\r\n\r\n",
            self.address
        );
        let mut answer = String::new();
        stream.write_all(request.as_bytes()).is_ok()
            && stream.read_to_string(&mut answer).is_ok()
            && answer.starts_with("HTTP/1.1 200")
    }

    /// CPU time it has spent so far, in ticks: fields 14 and 15 of its stat file.
    pub fn cpu_ticks(&self) -> u64 {
        let stat = std::fs::read_to_string(format!("/proc/{}/stat", self.child.id()));
        let stat = stat.expect("Linux tells");
        // The name of the program stands in brackets and may hold spaces.
        let fields = stat.rsplit(')').next().expect("fields after the name");
        let fields: Vec<&str> = fields.split_whitespace().collect();
        let ticks = |field: usize| fields[field - 3].parse::<u64>().expect("a number");
        ticks(14) + ticks(15)
    }

    /// Memory it holds, in megabytes.
    pub fn resident_mb(&self) -> f64 {
        let status = std::fs::read_to_string(format!("/proc/{}/status", self.child.id()));
        let status = status.expect("the system tells");
        let line = status.lines().find(|l| l.starts_with("VmRSS:"));
        let kb = line.and_then(|l| l.split_whitespace().nth(1));
        kb.and_then(|kb| kb.parse::<f64>().ok()).expect("a number") / 1024.0
    }
}

impl Drop for Program {
    fn drop(&mut self) {
        let _ = self.child.kill();
        let _ = self.child.wait();
    }
}

/// A library whose flushes are late.
pub struct SlowFlush(TempDir);

impl SlowFlush {
    /// Its file.
    pub fn path(&self) -> std::path::PathBuf {
        self.0.path().join("slow_flush.so")
    }
}

/// Builds it with the system's C compiler.
pub fn slow_flush() -> SlowFlush {
    let slow = SlowFlush(tempfile::tempdir().expect("a temporary folder"));
    let source = concat!(env!("CARGO_MANIFEST_DIR"), "/tests/load/slow_flush.c");
    let done = Command::new("cc")
        .args(["-O2", "-shared", "-fPIC", source, "-o"])
        .arg(slow.path())
        .arg("-ldl")
        .status();
    assert!(done.is_ok_and(|s| s.success()), "cc builds the slow flush");
    slow
}
