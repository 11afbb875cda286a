//! One page: opening, asking, waiting, picturing.

use super::base64;
use super::pipe::{DEADLINE, Pipe};
use super::view::Media;
use serde_json::{Value, json};
use std::cell::RefCell;
use std::path::Path;
use std::time::{Duration, Instant};

/// How often something is asked again while waiting for it.
const AGAIN: Duration = Duration::from_millis(20);

/// A page in a browser.
pub struct Page<'browser> {
    pub(super) pipe: &'browser Pipe,
    pub(super) session: String,
    pub(super) media: RefCell<Media>,
    frame: String,
}

impl<'browser> Page<'browser> {
    pub(super) fn new(pipe: &'browser Pipe, session: String) -> Self {
        for domain in ["Page", "Runtime", "Log", "Network", "DOM", "Accessibility"] {
            pipe.call(Some(&session), &format!("{domain}.enable"), &json!({}));
        }
        let tree = pipe.call(Some(&session), "Page.getFrameTree", &json!({}));
        let frame = super::text(&tree["frameTree"]["frame"], "id");
        Self { pipe, session, media: RefCell::default(), frame }
    }

    /// A command of the protocol, for this page.
    pub fn call(&self, method: &str, parameters: &Value) -> Value {
        self.pipe.call(Some(&self.session), method, parameters)
    }

    /// Opens an address and waits until it is loaded.
    pub fn open(&self, address: &str) {
        self.follows(|| {
            let answer = self.call("Page.navigate", &json!({"url": address}));
            assert!(answer.get("errorText").is_none(), "{address}: {}", answer["errorText"]);
        });
    }

    /// Shows this text as a page, without an address of its own.
    pub fn show(&self, html: &str) {
        self.call("Page.setDocumentContent", &json!({"frameId": self.frame, "html": html}));
        self.wait_until("document.readyState === 'complete'", "the page stands");
    }

    /// Does something that leads to another page, and waits until that is loaded.
    pub fn follows(&self, act: impl FnOnce()) {
        let mark = self.pipe.events().len();
        act();
        let mine = |event: &Value, method: &str| event["sessionId"] == *self.session && event["method"] == method;
        let there = self.pipe.wait(mark, "another page is there", |event| {
            mine(event, "Page.frameNavigated") && event["params"]["frame"]["id"] == *self.frame
        });
        self.pipe.wait(there, "the page is loaded", |event| mine(event, "Page.loadEventFired"));
    }

    /// What an expression of the page's language gives; a promise is waited for.
    pub fn evaluate(&self, expression: &str) -> Value {
        let asked = json!({"expression": expression, "returnByValue": true, "awaitPromise": true});
        let mut answer = self.call("Runtime.evaluate", &asked);
        let thrown = &answer["exceptionDetails"];
        assert!(thrown.is_null(), "{expression:.200}: {} {}", thrown["text"], thrown["exception"]["description"]);
        answer["result"]["value"].take()
    }

    /// Whether an expression holds.
    pub fn holds(&self, expression: &str) -> bool {
        self.evaluate(&format!("!!({expression})")) == Value::Bool(true)
    }

    /// What an expression gives, as text.
    pub fn text_of(&self, expression: &str) -> String {
        let value = self.evaluate(expression);
        value.as_str().map_or_else(|| panic!("{expression} is no text: {value}"), str::to_owned)
    }

    /// The text of the first element that the selector names, as it is shown.
    pub fn words(&self, selector: &str) -> String {
        self.wait_for(selector);
        self.text_of(&format!("document.querySelector({}).innerText", json!(selector)))
    }

    /// Where the page is.
    pub fn address(&self) -> String {
        self.text_of("location.href")
    }

    /// Whether the selector names something.
    pub fn has(&self, selector: &str) -> bool {
        self.holds(&format!("document.querySelector({})", json!(selector)))
    }

    /// Waits until the selector names something.
    pub fn wait_for(&self, selector: &str) {
        self.wait_until(&format!("document.querySelector({})", json!(selector)), &format!("there is {selector}"));
    }

    /// Waits until an expression holds.
    pub fn wait_until(&self, expression: &str, what: &str) {
        let deadline = Instant::now() + DEADLINE;
        while !self.holds(expression) {
            let seen = || self.text_of("location.href + '\\n' + document.body.innerText.slice(0, 1500)");
            assert!(Instant::now() < deadline, "not within {DEADLINE:?}: {what}; the page is {}", seen());
            std::thread::sleep(AGAIN);
        }
    }

    /// The whole page as a PNG.
    pub fn picture(&self, file: &Path) {
        let answer = self.call("Page.captureScreenshot", &json!({"format": "png", "captureBeyondViewport": true, "clip": self.extent()}));
        std::fs::write(file, base64::read(&super::text(&answer, "data"))).expect("the picture can be written");
    }

    fn extent(&self) -> Value {
        let size = &self.call("Page.getLayoutMetrics", &json!({}))["cssContentSize"];
        json!({"x": 0, "y": 0, "width": size["width"], "height": size["height"], "scale": 1})
    }

    /// A part of what is on screen, as the bytes of a PNG.
    pub fn detail(&self, [x, y, width, height]: [f64; 4]) -> Vec<u8> {
        let clip = json!({"x": x, "y": y, "width": width, "height": height, "scale": 1});
        base64::read(&super::text(&self.call("Page.captureScreenshot", &json!({"format": "png", "clip": clip})), "data"))
    }

    /// The page printed on A4, as its style sheet asks.
    pub fn pdf(&self) -> Vec<u8> {
        // 210 mm × 297 mm in inches.
        let sheet = json!({"printBackground": true, "preferCSSPageSize": true, "paperWidth": 8.268, "paperHeight": 11.693});
        base64::read(&super::text(&self.call("Page.printToPDF", &sheet), "data"))
    }

    /// What assistive technology is told: role and name of every node that it is not told to pass over, in order.
    pub fn told(&self) -> Vec<(String, String)> {
        let tree = self.call("Accessibility.getFullAXTree", &json!({}));
        let nodes = tree["nodes"].as_array().cloned().unwrap_or_default();
        let said = |node: &Value, member: &str| node[member]["value"].as_str().unwrap_or_default().to_owned();
        nodes.iter().filter(|node| node["ignored"] != true).map(|node| (said(node, "role"), said(node, "name"))).collect()
    }
}

/// Pages of a PDF, counted in its page tree.
pub fn sheets(pdf: &[u8]) -> usize {
    let text = String::from_utf8_lossy(pdf);
    text.matches("/Type /Page").count() - text.matches("/Type /Pages").count()
}
