//! The program serving its pages to a test: started as a person starts it, with a store of its own, ended when the test is.

use std::io::{BufRead, BufReader};
use std::process::{Child, Stdio};
use std::sync::mpsc::channel;
use std::time::{Duration, Instant};
use tempfile::TempDir;

use super::program::command;

/// The program says where it is within this.
const DEADLINE: Duration = Duration::from_secs(30);

/// A running program.
pub struct Served {
    child: Child,
    origin: String,
    _store: TempDir,
}

impl Served {
    /// Starts it at a free port of this machine.
    pub fn start() -> Self {
        let store = tempfile::Builder::new().prefix("wellbled-served-").tempdir().expect("a temporary folder can be made");
        let path = store.path().to_string_lossy().into_owned();
        let mut child =
            command(&["serve", "--port", "0", "--store", &path]).stderr(Stdio::null()).spawn().expect("it was built beside this test");
        let output = BufReader::new(child.stdout.take().expect("asked for"));
        let (send, said) = channel();
        std::thread::spawn(move || output.lines().map_while(Result::ok).try_for_each(|line| send.send(line)));
        let deadline = Instant::now() + DEADLINE;
        let mut heard = Vec::new();
        let origin = loop {
            let Ok(line) = said.recv_timeout(deadline.saturating_duration_since(Instant::now())) else {
                drop(child.kill());
                panic!("it did not say where it is: {heard:?}");
            };
            let address = line.split_whitespace().find(|word| word.starts_with("http://"));
            if let Some(address) = address {
                break address.trim_end_matches('/').to_owned();
            }
            heard.push(line);
        };
        Self { child, origin, _store: store }
    }

    /// Scheme, host and port.
    pub fn origin(&self) -> &str {
        &self.origin
    }

    /// An address of it.
    pub fn at(&self, path: &str) -> String {
        format!("{}{path}", self.origin)
    }
}

impl Drop for Served {
    fn drop(&mut self) {
        drop(self.child.kill());
        drop(self.child.wait());
    }
}
