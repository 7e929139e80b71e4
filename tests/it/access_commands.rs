//! The real program, started and stopped as a person would.

use std::{
    fs,
    io::{BufRead as _, BufReader, Read as _, Write as _},
    net::{TcpListener, TcpStream},
    path::{Path, PathBuf},
    process::{Child, Command, Output, Stdio},
    time::{Duration, Instant},
};
use stillair::{access::Role, access::people, store::Store};
use tempfile::TempDir;

/// Longer than any start or stop takes on a busy machine.
const PATIENCE: Duration = Duration::from_secs(30);

fn program() -> Command {
    let mut command = Command::new(env!("CARGO_BIN_EXE_stillair"));
    command.stdin(Stdio::null());
    for name in ["STILLAIR_DATA", "STILLAIR_LISTEN", "STILLAIR_BEHIND_PROXY"] {
        command.env_remove(name);
    }
    command
}

/// Runs a command that ends by itself.
fn run(arguments: &[&str]) -> Output {
    program()
        .args(arguments)
        .output()
        .expect("the program starts")
}

/// It failed with one plain sentence that says this.
fn assert_refused(output: &Output, says: &str) {
    let words = String::from_utf8_lossy(&output.stderr);
    assert_eq!(output.status.code(), Some(1), "{words}");
    assert_eq!(words.trim().lines().count(), 1, "one sentence: {words}");
    assert!(
        words.contains(says) && words.trim().ends_with('.'),
        "{says}: {words}"
    );
    assert!(output.stdout.is_empty(), "nothing else is said");
}

fn assert_done(output: &Output) {
    assert!(
        output.status.success(),
        "{}",
        String::from_utf8_lossy(&output.stderr)
    );
}

/// A program that serves, ended when it is dropped.
struct Serving {
    child: Child,
    /// Host and port.
    at: String,
}

impl Serving {
    /// Starts and reads the link it prints.
    fn with_link(command: &mut Command) -> (Self, String) {
        let mut child = command.stdout(Stdio::piped()).spawn().expect("it starts");
        let mut line = String::new();
        BufReader::new(child.stdout.take().expect("a pipe"))
            .read_line(&mut line)
            .expect("a line");
        let link = line.trim().to_owned();
        let rest = link.strip_prefix("http://").expect("a link");
        let (at, path) = rest.split_once('/').expect("a path");
        let token = path.strip_prefix("join/").expect("a link to join");
        assert!(
            token.len() == 32 && token.bytes().all(|b| b.is_ascii_hexdigit()),
            "{link}"
        );
        let (at, path) = (at.to_owned(), format!("/{path}"));
        (Self { child, at }, path)
    }

    fn wait_until_it_listens(&self) {
        let began = Instant::now();
        while TcpStream::connect(&self.at).is_err() {
            assert!(began.elapsed() < PATIENCE, "it does not start");
            std::thread::sleep(Duration::from_millis(20));
        }
    }

    /// Sends one request and reads the whole answer.
    fn ask(&self, request: &str) -> String {
        ask(&self.at, request)
    }

    fn get(&self, path: &str) -> String {
        self.ask(&format!(
            "GET {path} HTTP/1.1\r\nhost: {}\r\nconnection: close\r\n\r\n",
            self.at
        ))
    }

    /// Asks it to end, as a service manager does, and returns what it ended with.
    fn stop(mut self) -> Option<i32> {
        let pid = self.child.id().to_string();
        let asked = Command::new("kill")
            .args(["-TERM", &pid])
            .status()
            .expect("kill is there");
        assert!(asked.success());
        let began = Instant::now();
        loop {
            if let Some(status) = self.child.try_wait().expect("its state") {
                return status.code();
            }
            assert!(began.elapsed() < PATIENCE, "it does not stop");
            std::thread::sleep(Duration::from_millis(20));
        }
    }
}

impl Drop for Serving {
    fn drop(&mut self) {
        let _ = self.child.kill();
        let _ = self.child.wait();
    }
}

fn ask(at: &str, request: &str) -> String {
    let mut stream = TcpStream::connect(at).expect("it listens");
    stream.set_read_timeout(Some(PATIENCE)).expect("a timeout");
    stream
        .write_all(request.as_bytes())
        .expect("it takes the request");
    let mut answer = String::new();
    stream.read_to_string(&mut answer).expect("it answers");
    answer
}

fn folder() -> TempDir {
    tempfile::tempdir().expect("a temporary folder")
}

fn text(path: &Path) -> &str {
    path.to_str().expect("a plain path")
}

/// A port nobody has, most likely.
fn free_port() -> String {
    let listener = TcpListener::bind("127.0.0.1:0").expect("a port");
    listener.local_addr().expect("an address").to_string()
}

/// A closed book in a folder, with one person in it.
async fn book_in(folder: &Path) {
    let store = Store::open(folder).await.expect("a new book");
    people::add(&store, Role::Lead).await.expect("a person");
}

#[test]
fn the_demo_prints_a_link_that_signs_in_and_leaves_nothing_behind() {
    let temp = folder();
    let (demo, link) = Serving::with_link(
        program()
            .args(["demo", "--listen", "127.0.0.1:0"])
            .env("TMPDIR", temp.path()),
    );
    let answer = demo.get(&link);
    assert!(answer.starts_with("HTTP/1.1 303"), "{answer}");
    assert!(
        answer.to_lowercase().contains("set-cookie: stillair="),
        "{answer}"
    );
    assert!(demo.get("/health").contains(r#"{"status":"ok"}"#));
    let made: Vec<PathBuf> = fs::read_dir(temp.path())
        .expect("a list")
        .map(|entry| entry.expect("an entry").path())
        .collect();
    assert_eq!(made.len(), 1, "{made:?}");
    #[cfg(unix)]
    {
        use std::os::unix::fs::PermissionsExt as _;
        let mode = fs::metadata(&made[0])
            .expect("its state")
            .permissions()
            .mode();
        assert_eq!(mode & 0o777, 0o700, "for its owner alone");
    }
    assert_eq!(demo.stop(), Some(0));
    assert!(!made[0].exists(), "the throw-away folder is gone");
}

#[test]
fn serve_prints_the_link_on_an_empty_folder_only() {
    let home = folder();
    let data = home.path().join("new/book");
    let serve = |more: &[&str]| {
        let mut command = program();
        command
            .args(["serve", "--data", text(&data), "--listen", "127.0.0.1:0"])
            .args(more);
        command
    };
    let (first, link) = Serving::with_link(&mut serve(&[]));
    assert!(first.get(&link).starts_with("HTTP/1.1 303"));
    assert_eq!(first.stop(), Some(0));
    // The second says nothing, so its address has to be known beforehand.
    let at = free_port();
    let mut quiet = program();
    quiet
        .args(["serve", "--data", text(&data), "--listen", &at])
        .stdout(Stdio::piped());
    let mut quiet = Serving {
        child: quiet.spawn().expect("it starts"),
        at,
    };
    quiet.wait_until_it_listens();
    assert!(
        quiet.get(&link).starts_with("HTTP/1.1 303"),
        "the old link still works"
    );
    let mut out = quiet.child.stdout.take().expect("a pipe");
    assert_eq!(quiet.stop(), Some(0));
    let mut said = String::new();
    out.read_to_string(&mut said).expect("what it said");
    assert_eq!(said, "");
    let (asked, another) = Serving::with_link(&mut serve(&["--link"]));
    assert_ne!(another, link);
    assert!(asked.get(&another).starts_with("HTTP/1.1 303"));
}

#[test]
fn what_a_proxy_says_counts_only_when_a_setting_says_so() {
    let temp = folder();
    for (setting, is_secure) in [("true", true), ("false", false)] {
        let data = temp.path().join(format!("book {setting}"));
        let mut command = program();
        command
            .args(["serve", "--data", text(&data), "--listen", "127.0.0.1:0"])
            .env("STILLAIR_BEHIND_PROXY", setting);
        let (serving, link) = Serving::with_link(&mut command);
        let answer = serving.ask(&format!(
            "GET {link} HTTP/1.1\r\nhost: {}\r\nx-forwarded-proto: https\r\nconnection: close\r\n\r\n",
            serving.at
        ));
        assert!(answer.starts_with("HTTP/1.1 303"), "{answer}");
        assert_eq!(
            answer.contains("; Secure"),
            is_secure,
            "{setting:?}: {answer}"
        );
        assert_eq!(serving.stop(), Some(0));
    }
}

#[test]
fn a_reader_that_went_away_does_not_end_the_program() {
    let (temp, at) = (folder(), free_port());
    let mut command = program();
    command
        .args(["demo", "--listen", &at])
        .env("TMPDIR", temp.path())
        .stdout(Stdio::piped());
    let mut demo = Serving {
        child: command.spawn().expect("it starts"),
        at,
    };
    // Nobody reads the link, as after `stillair demo | head -0`.
    drop(demo.child.stdout.take());
    demo.wait_until_it_listens();
    assert!(demo.get("/health").starts_with("HTTP/1.1 200"));
    assert_eq!(demo.stop(), Some(0));
}

#[test]
fn a_port_in_use_is_one_sentence() {
    let taken = TcpListener::bind("127.0.0.1:0").expect("a port");
    let at = taken.local_addr().expect("an address").to_string();
    let home = folder();
    for arguments in [
        vec!["demo", "--listen", &at],
        vec!["serve", "--data", text(home.path()), "--listen", &at],
    ] {
        assert_refused(&run(&arguments), "is in use");
    }
    assert_eq!(
        fs::read_dir(home.path()).expect("a list").count(),
        0,
        "no book was made"
    );
}

#[tokio::test]
async fn a_book_in_use_is_one_sentence() {
    let home = folder();
    let store = Store::open(home.path()).await.expect("a new book");
    let path = text(home.path());
    assert_refused(
        &run(&["serve", "--data", path, "--listen", "127.0.0.1:0"]),
        "in use by another stillair",
    );
    assert_refused(
        &run(&["check", "--data", path]),
        "in use by another stillair",
    );
    drop(store);
}

#[tokio::test]
async fn a_book_of_a_newer_version_is_one_sentence() {
    let home = folder();
    book_in(home.path()).await;
    let url = format!("sqlite://{}", home.path().join("stillair.db").display());
    let mut db = <sqlx::SqliteConnection as sqlx::Connection>::connect(&url)
        .await
        .expect("it opens");
    sqlx::query("insert into _sqlx_migrations (version, description, success, checksum, execution_time) values (9999, 'later', true, x'00', 0)")
        .execute(&mut db)
        .await
        .expect("a later migration");
    sqlx::Connection::close(db).await.expect("it closes");
    assert_refused(
        &run(&[
            "serve",
            "--data",
            text(home.path()),
            "--listen",
            "127.0.0.1:0",
        ]),
        "newer stillair",
    );
    assert_refused(
        &run(&["check", "--data", text(home.path())]),
        "newer stillair",
    );
}

#[test]
fn a_file_where_the_folder_should_be_is_one_sentence() {
    let home = folder();
    let file = home.path().join("book");
    fs::write(&file, "no folder").expect("a file");
    assert_refused(
        &run(&["serve", "--data", text(&file), "--listen", "127.0.0.1:0"]),
        "cannot be used",
    );
    assert_eq!(fs::read(&file).expect("still there"), b"no folder");
}

/// Root writes everywhere, so the program runs as nobody here when the tests are root's.
#[cfg(unix)]
#[test]
fn a_read_only_folder_is_one_sentence() {
    use std::os::unix::{fs::PermissionsExt as _, process::CommandExt as _};
    const NOBODY: u32 = 65534;
    let home = folder();
    let readable = fs::Permissions::from_mode(0o755);
    fs::set_permissions(home.path(), readable.clone()).expect("readable");
    let copy = home.path().join("stillair");
    fs::copy(env!("CARGO_BIN_EXE_stillair"), &copy).expect("a copy");
    fs::set_permissions(&copy, readable).expect("it may be run");
    let data = home.path().join("book");
    fs::create_dir(&data).expect("a folder");
    fs::set_permissions(&data, fs::Permissions::from_mode(0o555)).expect("read-only");
    let mut command = Command::new(&copy);
    command
        .args(["serve", "--data", text(&data), "--listen", "127.0.0.1:0"])
        .stdin(Stdio::null());
    let is_root = fs::write(data.join("try"), "").is_ok();
    if is_root {
        fs::remove_file(data.join("try")).expect("gone again");
        command.uid(NOBODY);
    }
    assert_refused(
        &command.output().expect("it starts"),
        "you may not write there",
    );
}

#[tokio::test]
async fn a_backup_is_restored_whole_and_into_an_empty_folder_only() {
    let home = folder();
    let (data, file, again) = (
        home.path().join("a"),
        home.path().join("a.backup"),
        home.path().join("b"),
    );
    let store = Store::open(&data).await.expect("a new book");
    people::add(&store, Role::Lead).await.expect("a person");
    // While the book is in use.
    assert_done(&run(&["backup", "--data", text(&data), text(&file)]));
    assert_refused(
        &run(&["backup", "--data", text(&data), text(&file)]),
        "exists already",
    );
    let epoch = store.epoch().clone();
    drop(store);
    assert_done(&run(&["restore", "--data", text(&again), text(&file)]));
    assert_refused(
        &run(&["restore", "--data", text(&again), text(&file)]),
        "holds a plan book already",
    );
    let checked = run(&["check", "--data", text(&again)]);
    assert_done(&checked);
    assert!(String::from_utf8_lossy(&checked.stdout).contains("tables and journal agree"));
    let restored = Store::open(&again).await.expect("it opens");
    assert!(
        !people::are_none(&restored).await.expect("people"),
        "people came with it"
    );
    assert_ne!(
        *restored.epoch(),
        epoch,
        "numbers may repeat, so it is a new epoch"
    );
}

#[test]
fn what_is_no_backup_is_refused_and_leaves_nothing() {
    let home = folder();
    let (data, file) = (home.path().join("book"), home.path().join("letter.txt"));
    fs::write(&file, "Dear all, this is no plan book.").expect("a file");
    assert_refused(
        &run(&["restore", "--data", text(&data), text(&file)]),
        "no plan book",
    );
    assert_refused(
        &run(&[
            "restore",
            "--data",
            text(&data),
            text(&home.path().join("none")),
        ]),
        "cannot be used",
    );
    assert!(!data.join("stillair.db").exists());
    assert_refused(
        &run(&[
            "backup",
            "--data",
            text(&data),
            text(&home.path().join("new")),
        ]),
        "holds no plan book",
    );
}

#[tokio::test]
async fn check_finds_a_table_that_says_something_else() {
    let home = folder();
    let store = Store::open(home.path()).await.expect("a new book");
    let book = stillair::app::App::new(store);
    let hand = stillair::access::Hand {
        id: people::add(&book.store, Role::Lead)
            .await
            .expect("a person"),
        name: "lead".into(),
        role: Role::Lead,
        craft: "".into(),
        plan: None,
        has_passphrase: false,
        client: "test".into(),
    };
    stillair::plan::book::add(&book, &hand, "The Drowned Parish", "25")
        .await
        .expect("a plan");
    drop(book);
    let url = format!("sqlite://{}", home.path().join("stillair.db").display());
    let mut db = <sqlx::SqliteConnection as sqlx::Connection>::connect(&url)
        .await
        .expect("it opens");
    sqlx::query("update plan set title = 'Another'")
        .execute(&mut db)
        .await
        .expect("changed behind its back");
    sqlx::Connection::close(db).await.expect("it closes");
    assert_refused(
        &run(&["check", "--data", text(home.path())]),
        "something else than the journal",
    );
}

#[test]
fn a_wrong_setting_names_what_is_wrong() {
    let output = run(&["serve", "--data", "x", "--listen", "somewhere"]);
    let words = String::from_utf8_lossy(&output.stderr);
    assert!(
        !output.status.success() && words.contains("--listen") && words.contains("somewhere"),
        "{words}"
    );
}

#[tokio::test]
async fn a_shot_list_goes_in_and_comes_out_by_command() {
    let at = folder();
    book_in(at.path()).await;
    let list = concat!(
        env!("CARGO_MANIFEST_DIR"),
        "/tests/samples/drowned-parish.csv"
    );
    let faulty = concat!(env!("CARGO_MANIFEST_DIR"), "/tests/samples/faulty.csv");
    let data = text(at.path());
    let nobody = run(&["import", "--data", data, "No such plan", list]);
    assert_refused(&nobody, "There is no plan called “No such plan”");
    let store = Store::open(at.path()).await.expect("it opens");
    let plan = stillair::journal::value::Id::new();
    let op = stillair::journal::change::Op::insert(
        "plan",
        plan.clone(),
        serde_json::json!({"title": "Parish", "base_fps": "25"}),
    );
    let ask = stillair::journal::writer::Ask {
        plan,
        ops: vec![op],
        atomic: true,
        batch: None,
        actor: "test".into(),
        client: "test".into(),
    };
    assert!(store.write(ask).await.expect("stored")[0].result.is_ok());
    store.close().await;
    drop(store);
    let refused = run(&["import", "--data", data, "Parish", faulty]);
    let words = String::from_utf8_lossy(&refused.stderr).into_owned();
    assert_eq!(refused.status.code(), Some(1), "{words}");
    assert!(
        words.starts_with("Nothing was stored.") && words.lines().count() > 3,
        "{words}"
    );
    let taken = run(&["import", "--data", data, "Parish", list]);
    assert_done(&taken);
    assert!(String::from_utf8_lossy(&taken.stdout).contains("14 shots read"));
    let out = run(&["export", "--data", data, "Parish", "shots.csv"]);
    assert_done(&out);
    let csv = String::from_utf8_lossy(&out.stdout).into_owned();
    assert!(
        csv.lines().count() >= 15 && csv.contains("Spire out of the murk"),
        "{csv}"
    );
    let unknown = run(&["export", "--data", data, "Parish", "shots.doc"]);
    assert_refused(&unknown, "There is no list “shots.doc”");
}
