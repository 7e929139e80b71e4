//! A program beside the test, asked to end when the test does.

use std::{
    io::{BufRead as _, BufReader},
    process::{self, ChildStdout, Command, Stdio},
    time::{Duration, Instant},
};

/// A program that runs until this is dropped.
pub struct Child {
    child: process::Child,
    out: BufReader<ChildStdout>,
}

impl Child {
    /// Starts it; `hint` says where it comes from when it is missing.
    pub fn start(mut command: Command, hint: &str) -> Self {
        let name = command.get_program().to_string_lossy().into_owned();
        let mut child = command
            .stdin(Stdio::null())
            .stdout(Stdio::piped())
            .stderr(Stdio::null())
            .spawn()
            .unwrap_or_else(|error| panic!("{name} does not start ({error}); {hint}"));
        let out = BufReader::new(child.stdout.take().expect("its output is a pipe"));
        Self { child, out }
    }

    /// Waits for a line that holds these words.
    pub fn line_with(&mut self, words: &str) -> String {
        let mut line = String::new();
        while !line.contains(words) {
            line.clear();
            let length = self.out.read_line(&mut line).expect("its output is text");
            assert!(length > 0, "it ended without saying {words:?}");
        }
        line.trim().to_owned()
    }
}

impl Drop for Child {
    /// Asked first, so that it can take its own children and files away.
    fn drop(&mut self) {
        const PATIENCE: Duration = Duration::from_secs(5);
        let pid = self.child.id().to_string();
        let asked = Command::new("kill").args(["-TERM", &pid]).status();
        let began = Instant::now();
        while asked.is_ok() && began.elapsed() < PATIENCE {
            if matches!(self.child.try_wait(), Ok(Some(_))) {
                return;
            }
            std::thread::sleep(Duration::from_millis(10));
        }
        let _ = self.child.kill();
        let _ = self.child.wait();
    }
}
