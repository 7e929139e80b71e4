//! A stage for a test: the demo served by the program itself, and browsers that open it.

pub mod child;
mod line;
mod paper;
mod picture;
mod window;

pub use line::Line;
pub use paper::{Paper, Printed};
pub use picture::Picture;
pub use window::Window;

use child::Child;
use std::{path::Path, process::Command};
use tempfile::TempDir;

/// The demo, served, and a driver for browsers. Everything ends when it is dropped.
pub struct Stage {
    link: String,
    driver: String,
    // In the order they are let go: browsers first, then what they look at, then where it wrote.
    _browsers: Child,
    _program: Child,
    _folder: TempDir,
}

impl Stage {
    /// Starts both.
    pub fn new() -> Self {
        let folder = tempfile::tempdir().expect("a temporary folder");
        let (program, link) = demo(folder.path());
        let (browsers, driver) = chromedriver(folder.path());
        Self {
            link,
            driver,
            _browsers: browsers,
            _program: program,
            _folder: folder,
        }
    }

    /// A book in a folder instead of the demo.
    pub fn of(data: &Path) -> Self {
        let folder = tempfile::tempdir().expect("a temporary folder");
        let (program, link) = serve(data);
        let (browsers, driver) = chromedriver(folder.path());
        Self {
            link,
            driver,
            _browsers: browsers,
            _program: program,
            _folder: folder,
        }
    }

    /// Host and port, with `http://` before them.
    pub fn site(&self) -> &str {
        let end = self.link.find("/join/").expect("a link to join");
        &self.link[..end]
    }

    /// A new browser of exactly this size, not signed in.
    pub async fn window(&self, width_px: u32, height_px: u32) -> Window {
        Window::open(&self.driver, self.site(), (width_px, height_px)).await
    }

    /// A browser that comes by another line, as one of its sites, in which the lead's link was opened.
    pub async fn lead_by(&self, site: &str, width_px: u32, height_px: u32) -> Window {
        let window = Window::open(&self.driver, site, (width_px, height_px)).await;
        window
            .visit(self.link.strip_prefix(self.site()).expect("our own"))
            .await;
        window
    }

    /// A new browser in which the lead's link was opened.
    pub async fn lead(&self, width_px: u32, height_px: u32) -> Window {
        let window = self.window(width_px, height_px).await;
        window.go(&self.link).await;
        window
    }
}

fn demo(folder: &Path) -> (Child, String) {
    let mut command = Command::new(env!("CARGO_BIN_EXE_stillair"));
    command
        .args(["demo", "--listen", "127.0.0.1:0"])
        .env("TMPDIR", folder);
    let mut program = Child::start(command, "cargo builds it");
    let link = program.line_with("/join/");
    (program, link)
}

/// The program on a book in a folder, and the lead's link.
fn serve(data: &Path) -> (Child, String) {
    let mut command = Command::new(env!("CARGO_BIN_EXE_stillair"));
    command
        .args(["serve", "--link", "--listen", "127.0.0.1:0", "--data"])
        .arg(data);
    let mut program = Child::start(command, "cargo builds it");
    let link = program.line_with("/join/");
    (program, link)
}

/// The program on a book in a folder, for a browser that is there already.
pub fn another(data: &Path) -> (Child, String) {
    let (program, link) = serve(data);
    let end = link.find("/join/").expect("a link to join");
    (program, link[..end].to_owned())
}

/// Runs a command of the program to its end.
pub fn run(arguments: &[&str]) {
    let done = Command::new(env!("CARGO_BIN_EXE_stillair"))
        .args(arguments)
        .status();
    assert!(done.expect("it starts").success(), "{arguments:?}");
}

fn chromedriver(folder: &Path) -> (Child, String) {
    let mut command = Command::new("chromedriver");
    // An earlier line says port 0.
    command.arg("--port=0").env("TMPDIR", folder);
    let mut browsers = Child::start(command, "tests/run installs it (Debian: chromium-driver)");
    let line = browsers.line_with("successfully on port");
    let port = line.trim_end_matches('.').rsplit(' ').next();
    let driver = format!("http://127.0.0.1:{}", port.expect("a port"));
    (browsers, driver)
}
