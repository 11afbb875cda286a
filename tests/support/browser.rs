//! A browser for tests: Chromium without a window, told what to do over its own debugging protocol.
//!
//! Job: open pages as a person's browser shows them, act on them with finger, mouse and keyboard, and ask what is there.
//!
//! Method: Chromium reads commands from its file descriptor 3 and answers on 4 (`--remote-debugging-pipe`), one JSON text after the
//! other, each ended by a zero byte. A shell hands the child's standard input and output over as these two, so no socket and no further
//! crate is needed. Every wait has a deadline; a command that is refused or not answered in time fails the test with its name.
//!
//! Limits: one browser a test (it starts in about half a second). Without Chromium [`Browser::start`] prints a line and gives none.
//! Nothing of it outlives the test: the child is ended when the value is dropped, and it ends by itself when its pipe closes.
//!
//! # References
//!
//! - Chrome DevTools Protocol, version 1.3: the domains Accessibility, DOM, Emulation, Input, Log, Network, Page, Runtime and Target.
#![allow(dead_code, reason = "not every test of pages does everything that can be done with a page")]

#[path = "browser/base64.rs"]
mod base64;
#[path = "browser/input.rs"]
mod input;
#[path = "browser/overheard.rs"]
mod overheard;
#[path = "browser/page.rs"]
mod page;
#[path = "browser/pipe.rs"]
mod pipe;
#[path = "browser/view.rs"]
mod view;

pub use page::{Page, sheets};
pub use view::View;

use pipe::Pipe;
use serde_json::{Value, json};
use std::process::{Command, Stdio};
use std::sync::OnceLock;

/// Names under which Chromium is installed.
const NAMES: [&str; 3] = ["chromium", "chromium-browser", "google-chrome"];

/// The browser's name, if there is one. The first to ask prints that there is none.
pub fn found() -> Option<&'static str> {
    static FOUND: OnceLock<Option<&str>> = OnceLock::new();
    let runs = |name: &&str| {
        Command::new(name).arg("--version").stdout(Stdio::null()).stderr(Stdio::null()).status().is_ok_and(|status| status.success())
    };
    *FOUND.get_or_init(|| {
        let found = NAMES.into_iter().find(runs);
        if found.is_none() {
            println!("skipped: no Chromium on the path ({}), so no page was looked at", NAMES.join(", "));
        }
        found
    })
}

/// A running browser with a profile of its own.
pub struct Browser {
    pipe: Pipe,
}

impl Browser {
    /// Starts one; none where there is no Chromium.
    pub fn start() -> Option<Self> {
        found().map(|name| Self { pipe: Pipe::open(name) })
    }

    /// The folder of its profile.
    pub fn profile(&self) -> std::path::PathBuf {
        self.pipe.profile()
    }

    /// An empty page that shares nothing (no cookie, no cache) with the other pages.
    pub fn page(&self) -> Page<'_> {
        let context = self.pipe.call(None, "Target.createBrowserContext", &json!({}));
        let target = self.pipe.call(
            None,
            "Target.createTarget",
            &json!({"url": "about:blank", "browserContextId": text(&context, "browserContextId")}),
        );
        let attached = self.pipe.call(None, "Target.attachToTarget", &json!({"targetId": text(&target, "targetId"), "flatten": true}));
        Page::new(&self.pipe, text(&attached, "sessionId"))
    }
}

/// A member that must be a text.
fn text(value: &Value, member: &str) -> String {
    value[member].as_str().unwrap_or_else(|| panic!("no {member} in {value}")).to_owned()
}
