//! The program as it is shipped, killed at random moments and started again: nothing acknowledged is lost, nothing is stored
//! twice. And the sentences it ends with when it cannot start.

use crate::journal_histories::quick_folder;
use serde_json::{Value, json};
use std::{
    collections::BTreeMap,
    io::{Read as _, Write as _},
    net::{SocketAddr, TcpListener, TcpStream},
    path::Path,
    process::{Child, Command, Output, Stdio},
    sync::{Arc, Mutex},
    time::Duration,
};
use stillair::{
    access::{links, session},
    journal::{change::Op, load, value::Id, writer::Ask},
    store::Store,
};

/// The program, listening; killed when dropped.
struct Running {
    child: Child,
    address: SocketAddr,
}

impl Running {
    /// Starts it on a port of its own and waits until it answers.
    fn start(folder: &Path) -> Self {
        // Another test may take the port between here and there: then the program says so and ends, and we try again.
        for _ in 0..5 {
            let address = free_address();
            let mut child = serve(folder, address).spawn().expect("it starts");
            while child.try_wait().expect("it can be asked").is_none() {
                if request(address, "GET", "/health", "", "").is_some_and(|(s, _)| s == 200) {
                    return Self { child, address };
                }
                std::thread::sleep(Duration::from_millis(5));
            }
        }
        panic!("the program does not start");
    }

    /// SIGKILL: no handler runs, nothing is flushed.
    fn kill(mut self) {
        self.child.kill().expect("it is killed");
        self.child.wait().expect("it is gone");
    }
}

impl Drop for Running {
    fn drop(&mut self) {
        let _ = self.child.kill();
        let _ = self.child.wait();
    }
}

fn free_address() -> SocketAddr {
    let free = TcpListener::bind("127.0.0.1:0").expect("a free port");
    free.local_addr().expect("its address")
}

fn serve(folder: &Path, address: SocketAddr) -> Command {
    let mut command = Command::new(env!("CARGO_BIN_EXE_stillair"));
    command
        .args(["serve", "--data"])
        .arg(folder)
        .args(["--listen", &address.to_string()])
        .stdout(Stdio::null())
        .stderr(Stdio::piped());
    command
}

/// One request on a connection of its own; none when it broke off before the whole answer was there.
fn request(
    address: SocketAddr,
    method: &str,
    path: &str,
    cookie: &str,
    body: &str,
) -> Option<(u16, String)> {
    let mut stream = TcpStream::connect(address).ok()?;
    stream
        .set_read_timeout(Some(Duration::from_secs(20)))
        .ok()?;
    let text = format!(
        "{method} {path} HTTP/1.1\r\nhost: {address}\r\nconnection: close\r\ncookie: stillair={cookie}\r\ncontent-type: application/json\r\ncontent-length: {}\r\n\r\n{body}",
        body.len()
    );
    stream.write_all(text.as_bytes()).ok()?;
    let mut answer = String::new();
    stream.read_to_string(&mut answer).ok()?;
    let (head, body) = answer.split_once("\r\n\r\n")?;
    let status = head.split(' ').nth(1)?.parse().ok()?;
    let length = head.to_ascii_lowercase();
    let length = length.split("content-length: ").nth(1)?;
    let length: usize = length.lines().next()?.trim().parse().ok()?;
    (body.len() == length).then(|| (status, body.to_owned()))
}

/// A book with one plan of eight shots, and somebody signed in. Returns the cookie.
async fn prepared(folder: &Path) -> String {
    let store = Store::open(folder).await.expect("it opens");
    let link = links::lead_link(&store).await.expect("a link");
    let person = links::use_once(&store, &link).await.expect("it works");
    let cookie = session::open(&store, &person, "").await.expect("a session");
    let plan = Id::parse("plan-1").expect("an id");
    let title = json!({"title": "The Drowned Parish", "base_fps": "25"});
    let mut ops = vec![Op::insert("plan", plan.clone(), title)];
    for n in 0..HANDS {
        let id = Id::parse(&format!("shot-{n}")).expect("an id");
        ops.push(Op::insert("shot", id, json!({"code": n.to_string()})));
    }
    let ask = Ask {
        plan,
        ops,
        atomic: true,
        batch: None,
        actor: "maker".into(),
        client: "maker".into(),
    };
    store.write(ask).await.expect("it is stored");
    store.close().await;
    cookie
}

const HANDS: usize = 4;
const ROUNDS: usize = 50;

/// What the hands know: the acknowledged number of each op, and the ops that were sent without an answer.
#[derive(Default)]
struct Ledger {
    acknowledged: BTreeMap<String, i64>,
    /// Newest number of each hand's shot.
    newest: BTreeMap<String, i64>,
    unanswered: Vec<Value>,
}

impl Ledger {
    fn newest_of(&self, shot: &str) -> i64 {
        self.newest.get(shot).copied().unwrap_or(0)
    }
}

/// Writes until the program is gone.
fn write_until_killed(
    address: SocketAddr,
    cookie: &str,
    hand: usize,
    round: usize,
    ledger: &Mutex<Ledger>,
) {
    let shot = format!("shot-{hand}");
    for n in 0.. {
        let base = ledger.lock().expect("no hand has failed").newest_of(&shot);
        let op = json!({
            "op_id": format!("{round}-{hand}-{n}"), "kind": "set", "entity": shot, "field": "name",
            "base": base, "value": format!("{round}.{n}"),
        });
        let answer = request(
            address,
            "POST",
            "/api/plans/plan-1/changes",
            cookie,
            &json!([op]).to_string(),
        );
        let mut ledger = ledger.lock().expect("no hand has failed");
        match answer {
            Some((200, body)) => note(&mut ledger, &op, &body),
            Some((status, body)) => panic!("{status}: {body}"),
            None => {
                ledger.unanswered.push(op);
                return;
            }
        }
    }
}

fn note(ledger: &mut Ledger, op: &Value, body: &str) {
    let body: Value = serde_json::from_str(body).expect("JSON");
    let seq = body["results"][0]["seq"].as_i64().expect("a number");
    assert_eq!(
        body["results"][0]["outcome"], "applied",
        "a hand is never in its own way"
    );
    let text = |member: &str| op[member].as_str().expect("text").to_owned();
    ledger.newest.insert(text("entity"), seq);
    let id = text("op_id");
    ledger.acknowledged.insert(id, seq);
}

#[test]
fn killed_at_any_moment_it_loses_nothing_it_acknowledged() {
    let runtime = tokio::runtime::Runtime::new().expect("a runtime");
    let folder = quick_folder();
    let cookie = runtime.block_on(prepared(folder.path()));
    let ledger = Arc::new(Mutex::new(Ledger::default()));
    for round in 0..ROUNDS {
        let program = Running::start(folder.path());
        let address = program.address;
        // What went unanswered is sent again with the same id, as a browser would.
        let again = std::mem::take(&mut ledger.lock().expect("whole").unanswered);
        for op in again {
            let body = json!([op]).to_string();
            let (status, body) =
                request(address, "POST", "/api/plans/plan-1/changes", &cookie, &body)
                    .expect("it answers");
            assert_eq!(status, 200, "{body}");
            note(&mut ledger.lock().expect("whole"), &op, &body);
        }
        let hands: Vec<_> = (0..HANDS)
            .map(|hand| {
                let (ledger, cookie) = (ledger.clone(), cookie.clone());
                std::thread::spawn(move || {
                    write_until_killed(address, &cookie, hand, round, &ledger);
                })
            })
            .collect();
        std::thread::sleep(Duration::from_millis(60 + 37 * (round as u64 * 7 % 10)));
        program.kill();
        for hand in hands {
            hand.join().expect("a hand saw a refusal");
        }
        runtime.block_on(verify(folder.path(), &ledger.lock().expect("whole")));
    }
    let ledger = ledger.lock().expect("whole");
    assert!(
        ledger.acknowledged.len() > 10 * ROUNDS,
        "hardly anything was written"
    );
}

/// Every acknowledged op has its row, with its number; every other at most one; and the tables say what the journal says.
async fn verify(folder: &Path, ledger: &Ledger) {
    let store = Store::open(folder).await.expect("it opens after a kill");
    store.check().await.expect("tables and journal agree");
    let mut db = store.readers().acquire().await.expect("a reader");
    let changes = load::changes_after(&mut db, 0, i64::MAX)
        .await
        .expect("the journal");
    let mut rows = BTreeMap::new();
    for change in &changes {
        let before = rows.insert(change.op_id.to_string(), change.seq);
        assert_eq!(before, None, "{} is stored twice", change.op_id);
    }
    for (id, seq) in &ledger.acknowledged {
        assert_eq!(rows.get(id), Some(seq), "{id} was acknowledged");
    }
    let known = |id: &String| {
        ledger.acknowledged.contains_key(id)
            || ledger.unanswered.iter().any(|op| op["op_id"] == **id)
    };
    let strangers = changes.iter().filter(|c| &*c.actor != "maker");
    assert!(
        strangers.clone().all(|c| known(&c.op_id.to_string())),
        "a row nobody sent"
    );
    drop(db);
    store.close().await;
}

/// One sentence, on standard error, and exit code 1.
fn one_sentence(output: &Output, says: &str) {
    let words = String::from_utf8_lossy(&output.stderr);
    assert_eq!(output.status.code(), Some(1), "{words}");
    assert_eq!(words.trim_end().lines().count(), 1, "{words}");
    assert!(
        words.trim_end().ends_with('.') && words.contains(says),
        "{words}"
    );
}

#[tokio::test]
async fn a_book_of_a_newer_program_is_left_alone() {
    let folder = quick_folder();
    prepared(folder.path()).await;
    let file = folder.path().join("stillair.db");
    let options = sqlx::sqlite::SqliteConnectOptions::new().filename(&file);
    let mut db = sqlx::ConnectOptions::connect(&options)
        .await
        .expect("it opens");
    sqlx::query("insert into _sqlx_migrations (version, description, success, checksum, execution_time) values (9000, 'later', 1, x'00', 0)")
        .execute(&mut db)
        .await
        .expect("a later migration");
    sqlx::Connection::close(db).await.expect("closed");
    let output = serve(folder.path(), free_address())
        .output()
        .expect("it ends");
    one_sentence(&output, "newer stillair");
}

#[tokio::test]
async fn a_folder_in_use_is_said_to_be() {
    let folder = quick_folder();
    let store = Store::open(folder.path()).await.expect("it opens");
    let output = serve(folder.path(), free_address())
        .output()
        .expect("it ends");
    one_sentence(&output, "in use by another stillair");
    store.close().await;
}

#[test]
fn a_file_where_the_folder_should_be_is_said_to_be() {
    let folder = quick_folder();
    let file = folder.path().join("book");
    std::fs::write(&file, "no folder").expect("a file");
    let output = serve(&file, free_address()).output().expect("it ends");
    one_sentence(&output, "a file stands where the folder should be");
    let output = serve(&file.join("deeper"), free_address())
        .output()
        .expect("it ends");
    one_sentence(&output, "a file stands where the folder should be");
}

#[test]
fn a_file_that_is_no_book_is_said_to_be() {
    let folder = quick_folder();
    std::fs::write(
        folder.path().join("stillair.db"),
        "not a database at all, but long enough to be one".repeat(99),
    )
    .expect("a file");
    let output = serve(folder.path(), free_address())
        .output()
        .expect("it ends");
    one_sentence(&output, "does not open");
    assert!(folder.path().join("stillair.db").is_file());
}

#[test]
fn a_folder_that_may_not_be_written_is_said_to_be() {
    let folder = quick_folder();
    let shut = folder.path().join("shut");
    std::fs::create_dir(&shut).expect("a folder");
    let mut rights = std::fs::metadata(&shut).expect("its rights").permissions();
    rights.set_readonly(true);
    std::fs::set_permissions(&shut, rights).expect("shut");
    if std::fs::write(shut.join("probe"), "").is_ok() {
        // Whoever may write anyway (root) has no such error; the file in the folder's place stands for it.
        std::fs::remove_file(shut.join("probe")).expect("removed");
        return;
    }
    let output = serve(&shut, free_address()).output().expect("it ends");
    one_sentence(&output, "you may not write there");
}

#[test]
fn a_port_in_use_is_said_to_be() {
    let folder = quick_folder();
    let taken = TcpListener::bind("127.0.0.1:0").expect("a port");
    let address = taken.local_addr().expect("its address");
    let output = serve(folder.path(), address).output().expect("it ends");
    one_sentence(&output, &format!("Port {} is in use", address.port()));
    assert!(
        !folder.path().join("stillair.db").exists(),
        "nothing was made"
    );
}
