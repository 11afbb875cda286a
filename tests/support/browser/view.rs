//! What the page is seen on, and what its reader prefers.

use super::page::Page;
use serde_json::json;
use std::time::{Duration, Instant};

/// A screen.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum View {
    /// A telephone: 360 × 800, touched.
    Phone,
    /// A laptop: 1280 × 900, with a mouse.
    Desk,
    /// The narrowest that text must fit without being moved sideways (WCAG 2.2, 1.4.10: 320 CSS pixels).
    Narrow,
}

/// What is emulated; kept together because the protocol takes it together.
#[derive(Debug, Default)]
pub struct Media {
    dark: bool,
    still: bool,
    paper: bool,
}

impl Page<'_> {
    /// Shows the page on this screen.
    pub fn seen_on(&self, view: View) {
        let (width, height, hand_held) = match view {
            View::Phone => (360, 800, true),
            View::Desk => (1280, 900, false),
            View::Narrow => (320, 640, true),
        };
        let screen = json!({"width": width, "height": height, "deviceScaleFactor": 1, "mobile": hand_held});
        self.call("Emulation.setDeviceMetricsOverride", &screen);
        self.call("Emulation.setTouchEmulationEnabled", &json!({"enabled": hand_held}));
        // The page hears of its new size a moment later; one without a viewport keeps a width of its own.
        let patience = Instant::now() + Duration::from_millis(500);
        while !self.holds(&format!("document.documentElement.clientWidth === {width}")) && Instant::now() < patience {
            std::thread::sleep(Duration::from_millis(5));
        }
    }

    /// Whether the reader prefers dark pages.
    pub fn dark(&self, dark: bool) {
        self.media.borrow_mut().dark = dark;
        self.prefer();
    }

    /// Whether the reader asks for as little movement as can be.
    pub fn still(&self, still: bool) {
        self.media.borrow_mut().still = still;
        self.prefer();
    }

    /// Whether the page is shown as on paper.
    pub fn paper(&self, paper: bool) {
        self.media.borrow_mut().paper = paper;
        self.prefer();
    }

    fn prefer(&self) {
        let media = self.media.borrow();
        let features = json!([
            {"name": "prefers-color-scheme", "value": if media.dark { "dark" } else { "light" }},
            {"name": "prefers-reduced-motion", "value": if media.still { "reduce" } else { "no-preference" }},
        ]);
        self.call("Emulation.setEmulatedMedia", &json!({"media": if media.paper { "print" } else { "" }, "features": features}));
    }

    /// Whether the page may run scripts; what the test itself asks of the page runs in any case.
    pub fn scripts(&self, run: bool) {
        self.call("Emulation.setScriptExecutionDisabled", &json!({"value": !run}));
    }
}
