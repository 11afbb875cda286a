//! The child and the two ends of its pipe.

use serde_json::{Value, json};
use std::cell::{Cell, Ref, RefCell};
use std::io::{BufRead, BufReader, Write};
use std::path::PathBuf;
use std::process::{Child, ChildStdin, Command, Stdio};
use std::sync::mpsc::{Receiver, RecvTimeoutError, channel};
use std::time::{Duration, Instant};
use tempfile::TempDir;

/// A command is answered within this. The slowest, a PDF, takes under two seconds on an idle machine.
pub const DEADLINE: Duration = Duration::from_secs(30);

/// How long the browser may take to leave on its own.
const LEAVE: Duration = Duration::from_secs(2);

/// What it is started with. It is shown pages of this project only, so it runs without the sandbox, which a container cannot give it.
/// The blink feature lets a page ask for the name that assistive technology is told of an element.
/// Without a window there is no mouse; the settings say that there is one: it can hover (2) and points finely (4).
const ARGUMENTS: [&str; 13] = [
    "--headless",
    "--no-sandbox",
    "--disable-gpu",
    "--disable-dev-shm-usage",
    "--disable-background-networking",
    "--disable-component-update",
    "--no-first-run",
    "--hide-scrollbars",
    "--mute-audio",
    "--lang=en-GB",
    "--enable-blink-features=ComputedAccessibilityInfo",
    "--blink-settings=primaryHoverType=2,availableHoverTypes=2,primaryPointerType=4,availablePointerTypes=4",
    "--remote-debugging-pipe",
];

/// A browser at the other end of a pipe.
pub struct Pipe {
    child: Child,
    commands: Option<RefCell<ChildStdin>>,
    answers: Receiver<Value>,
    last: Cell<u64>,
    events: RefCell<Vec<Value>>,
    profile: TempDir,
}

impl Pipe {
    /// Starts the browser.
    pub fn open(name: &str) -> Self {
        let profile = tempfile::Builder::new().prefix("wellbled-browser-").tempdir().expect("a temporary folder can be made");
        let mut child = Command::new("sh")
            .args(["-c", "exec \"$0\" \"$@\" 3<&0 4>&1 </dev/null >/dev/null", name])
            .args(ARGUMENTS)
            .arg(format!("--user-data-dir={}", profile.path().display()))
            .stdin(Stdio::piped())
            .stdout(Stdio::piped())
            .stderr(Stdio::null())
            .spawn()
            .expect("there is a shell");
        let commands = child.stdin.take().expect("asked for");
        let mut output = BufReader::new(child.stdout.take().expect("asked for"));
        let (send, answers) = channel();
        std::thread::spawn(move || {
            let mut text = Vec::new();
            while output.read_until(0, &mut text).is_ok_and(|length| length > 0) {
                text.pop();
                let Ok(value) = serde_json::from_slice(&text) else { break };
                if send.send(value).is_err() {
                    break;
                }
                text.clear();
            }
        });
        let commands = Some(RefCell::new(commands));
        Self { child, commands, answers, last: Cell::new(0), events: RefCell::default(), profile }
    }

    /// The folder of the profile; removed with the value.
    pub fn profile(&self) -> PathBuf {
        self.profile.path().to_owned()
    }

    /// The answer to a command; the test fails where it is refused or late.
    pub fn call(&self, session: Option<&str>, method: &str, parameters: &Value) -> Value {
        self.ask(session, method, parameters).unwrap_or_else(|refusal| panic!("{method} {parameters}: {refusal}"))
    }

    /// The answer to a command, or why it was refused.
    pub fn ask(&self, session: Option<&str>, method: &str, parameters: &Value) -> Result<Value, String> {
        let id = self.send(session, method, parameters)?;
        self.answer(id)
    }

    /// Commands that belong together, without waiting between them; the test fails where one is refused or late.
    pub fn call_all(&self, session: &str, commands: &[(&str, Value)]) {
        let sent: Vec<_> = commands.iter().map(|(method, parameters)| self.send(Some(session), method, parameters)).collect();
        for (id, (method, _)) in sent.into_iter().zip(commands) {
            id.and_then(|id| self.answer(id)).unwrap_or_else(|refusal| panic!("{method}: {refusal}"));
        }
    }

    fn send(&self, session: Option<&str>, method: &str, parameters: &Value) -> Result<u64, String> {
        let id = self.last.get() + 1;
        self.last.set(id);
        let mut command = json!({"id": id, "method": method, "params": parameters});
        if let Some(session) = session {
            command["sessionId"] = json!(session);
        }
        let mut bytes = command.to_string().into_bytes();
        bytes.push(0);
        let commands = self.commands.as_ref().expect("it is open until dropped");
        commands.borrow_mut().write_all(&bytes).map_err(|_| "the browser has gone".to_owned())?;
        Ok(id)
    }

    fn answer(&self, id: u64) -> Result<Value, String> {
        let deadline = Instant::now() + DEADLINE;
        loop {
            let mut answer = self.next(deadline)?;
            if answer["id"] == id {
                let refused = answer.get("error").map(|error| error["message"].to_string());
                return refused.map_or_else(|| Ok(answer["result"].take()), Err);
            }
            self.events.borrow_mut().push(answer);
        }
    }

    /// Events of the whole life so far, oldest first.
    pub fn events(&self) -> Ref<'_, Vec<Value>> {
        self.events.borrow_mut().extend(self.answers.try_iter());
        self.events.borrow()
    }

    /// Waits until an event satisfies the question, looking from the `from`th on; its place.
    pub fn wait(&self, from: usize, what: &str, is_it: impl Fn(&Value) -> bool) -> usize {
        let deadline = Instant::now() + DEADLINE;
        let mut place = from;
        loop {
            while let Some(event) = self.events.borrow().get(place) {
                if is_it(event) {
                    return place;
                }
                place += 1;
            }
            let event = self.next(deadline).unwrap_or_else(|why| panic!("waiting until {what}: {why}"));
            self.events.borrow_mut().push(event);
        }
    }

    fn next(&self, deadline: Instant) -> Result<Value, String> {
        self.answers.recv_timeout(deadline.saturating_duration_since(Instant::now())).map_err(|why| match why {
            RecvTimeoutError::Timeout => format!("nothing within {DEADLINE:?}"),
            RecvTimeoutError::Disconnected => "the browser has gone".to_owned(),
        })
    }
}

impl Drop for Pipe {
    /// Closing the pipe is how the browser is asked to leave; then it is ended.
    fn drop(&mut self) {
        drop(self.commands.take());
        let deadline = Instant::now() + LEAVE;
        while matches!(self.child.try_wait(), Ok(None)) && Instant::now() < deadline {
            std::thread::sleep(Duration::from_millis(10));
        }
        drop(self.child.kill());
        drop(self.child.wait());
    }
}
