//! Starting the program as a person does, and reading what it says.

use std::io::Write;
use std::path::PathBuf;
use std::process::{Command, Stdio};

/// What the program left behind.
#[derive(Debug)]
pub struct Answer {
    /// Exit code; none if it was killed.
    pub code: Option<i32>,
    /// Standard output.
    pub out: String,
    /// Standard error.
    pub err: String,
}

impl Answer {
    /// The answer, if the program could not run and said so as it must: exit code 2, nothing on standard output, the error, an
    /// empty line, then at least one way out.
    #[allow(dead_code, reason = "not every test that starts the program makes it fail")]
    pub fn failed(self) -> Self {
        assert_eq!(self.code, Some(2), "exit code of {self:#?}");
        assert_eq!(self.out, "", "an error belongs on standard error");
        assert!(self.err.starts_with("error: "), "{}", self.err);
        assert!(self.err.contains("\n\nhint: "), "no way out: {}", self.err);
        assert!(!self.err.contains("panicked") && !self.err.contains("os error") && !self.err.contains(".tmp"), "{}", self.err);
        self
    }
}

/// The program with its arguments; no terminal, and nothing from the tester's own environment that colours or sizes text.
pub fn command<S: AsRef<std::ffi::OsStr>>(arguments: &[S]) -> Command {
    let mut command = Command::new(env!("CARGO_BIN_EXE_wellbled"));
    // What is kept on this machine is no part of a test.
    command.env("WELLBLED_STORE", "/nowhere/at-all");
    command.args(arguments).env_remove("NO_COLOR").env_remove("CLICOLOR_FORCE").env("TERM", "xterm-256color");
    command.stdin(Stdio::null()).stdout(Stdio::piped()).stderr(Stdio::piped());
    command
}

/// Runs the program to its end.
#[allow(dead_code, reason = "not every test that starts the program lets it run to its end")]
pub fn wellbled<S: AsRef<std::ffi::OsStr>>(arguments: &[S]) -> Answer {
    answer(command(arguments).output().expect("the program was built beside this test"))
}

/// Runs the program with these bytes on its standard input.
#[allow(dead_code, reason = "not every test that starts the program feeds it")]
pub fn wellbled_fed<S: AsRef<std::ffi::OsStr>>(arguments: &[S], input: &[u8]) -> Answer {
    let mut child = command(arguments).stdin(Stdio::piped()).spawn().expect("the program was built beside this test");
    let mut stdin = child.stdin.take().expect("its standard input was asked for");
    std::thread::scope(|scope| {
        // The program may refuse the input before it has read all of it.
        scope.spawn(move || stdin.write_all(input).ok());
        answer(child.wait_with_output().expect("the program ends"))
    })
}

fn answer(output: std::process::Output) -> Answer {
    let text = |bytes| String::from_utf8(bytes).expect("the program writes UTF-8");
    Answer { code: output.status.code(), out: text(output.stdout), err: text(output.stderr) }
}

#[allow(dead_code, reason = "not every test that starts the program gives it a sample")]
/// A file of a sample log, such as `sample("bakery-van/log.csv")`.
pub fn sample(name: &str) -> PathBuf {
    PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("sample-logs").join(name)
}
