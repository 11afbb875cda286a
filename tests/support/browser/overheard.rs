//! What a page did besides showing itself: requests, complaints.

use super::page::Page;
use serde_json::Value;

impl Page<'_> {
    fn heard<T>(&self, take: impl Fn(&str, &Value) -> Option<T>) -> Vec<T> {
        let events = self.pipe.events();
        let mine = events.iter().filter(|event| event["sessionId"] == *self.session);
        mine.filter_map(|event| take(event["method"].as_str()?, &event["params"])).collect()
    }

    /// Every address that was asked for, in order.
    pub fn requests(&self) -> Vec<String> {
        self.heard(|method, said| (method == "Network.requestWillBeSent").then(|| said["request"]["url"].as_str().unwrap_or("").to_owned()))
    }

    /// Addresses asked for outside this origin; data within the page is no request.
    pub fn strays(&self, origin: &str) -> Vec<String> {
        let inside = |url: &String| {
            url.strip_prefix(origin).is_some_and(|rest| rest.is_empty() || rest.starts_with('/'))
                || ["data:", "about:", "blob:"].iter().any(|kind| url.starts_with(kind))
        };
        self.requests().into_iter().filter(|url| !inside(url)).collect()
    }

    /// Errors and warnings: of scripts, of the content policy, of requests that came to nothing. An answer that refuses the page itself
    /// (4xx) is what some tests are about; the browser's line on it is left out.
    pub fn complaints(&self) -> Vec<String> {
        let documents = self.documents();
        let line = |text: &Value, at: &Value| Some(format!("{} ({})", text.as_str().unwrap_or(""), at.as_str().unwrap_or("")));
        self.heard(|method, said| match method {
            "Runtime.exceptionThrown" => line(&said["exceptionDetails"]["exception"]["description"], &said["exceptionDetails"]["url"]),
            "Runtime.consoleAPICalled" if ["error", "warning", "assert"].iter().any(|kind| said["type"] == *kind) => {
                line(&said["args"][0]["value"], &said["stackTrace"]["callFrames"][0]["url"])
            }
            "Log.entryAdded" if said["entry"]["level"] == "error" || said["entry"]["level"] == "warning" => {
                let entry = &said["entry"];
                let refused = entry["source"] == "network" && entry["text"].as_str().is_some_and(|text| text.contains("status of 4"));
                let address = entry["url"].as_str().unwrap_or("");
                let document = documents.iter().any(|url| address.split('#').next() == Some(url));
                if refused && document { None } else { line(&entry["text"], &entry["url"]) }
            }
            _ => None,
        })
    }

    /// Addresses that were asked for as pages.
    fn documents(&self) -> Vec<String> {
        self.heard(|method, said| {
            (method == "Network.requestWillBeSent" && said["type"] == "Document")
                .then(|| said["request"]["url"].as_str().unwrap_or("").to_owned())
        })
    }
}
