//! A visitor of the page without a socket: keeps the cookie, sends forms with their token, and holds every page to what all pages promise.

use axum::Router;
use axum::body::{Body, to_bytes};
use axum::http::{HeaderMap, Request, StatusCode};
use std::path::{Path, PathBuf};
use std::sync::{Arc, Mutex};
use tower::ServiceExt;
use wellbled::archive::Archive;
use wellbled::web::{App, Limits, Settings, router};

/// The name that the program answers to.
pub const HOST: &str = "127.0.0.1:8421";

/// An answer.
#[derive(Debug)]
pub struct Answer {
    pub status: u16,
    pub headers: HeaderMap,
    pub text: String,
}

impl Answer {
    /// Where it leads to, without the place on the page.
    pub fn leads_to(&self) -> String {
        assert_eq!(self.status, 303, "{}", self.text);
        let location = self.headers["location"].to_str().expect("an address is text");
        location.split('#').next().expect("a text has a beginning").to_owned()
    }

    /// A header's text.
    pub fn header(&self, name: &str) -> &str {
        self.headers.get(name).map_or("", |value| value.to_str().expect("a header is text"))
    }
}

/// A program with a store of its own.
pub struct Served {
    pub app: Arc<App>,
    pub router: Router,
    pub archive: Archive,
    /// Keys that were told.
    pub keys: Arc<Mutex<Vec<String>>>,
    _folder: tempfile::TempDir,
}

impl Served {
    /// On loopback.
    pub fn new() -> Self {
        Self::with(Limits::default(), HOST, false)
    }

    /// With limits, an address, and the key where one is needed.
    pub fn with(limits: Limits, listening: &str, needs_key: bool) -> Self {
        let folder = tempfile::tempdir().expect("a folder can be made");
        let archive = Archive::at(folder.path().join("store"));
        let keys = Arc::new(Mutex::new(Vec::new()));
        let told = keys.clone();
        let tell = needs_key
            .then(|| Box::new(move |key: &str| told.lock().expect("nobody failed").push(key.to_owned())) as wellbled::web::session::Tell);
        let listening = listening.parse().expect("it is an address");
        let settings = Settings { archive: Some(archive.clone()), limits, listening, names: vec!["workshop.local".to_owned()], tell };
        let app = App::new(settings).expect("the system gives random numbers");
        Self { router: router(app.clone()), app, archive, keys, _folder: folder }
    }

    /// A browser that was never here.
    pub fn visitor(&self) -> Visitor {
        Visitor { router: self.router.clone(), cookie: String::new(), host: HOST.to_owned() }
    }
}

/// A part of a form: field, file name, content.
pub type Part<'a> = (&'a str, Option<&'a str>, &'a [u8]);

/// A text field.
pub fn field<'a>(name: &'a str, text: &'a str) -> Part<'a> {
    (name, None, text.as_bytes())
}

/// A browser.
#[derive(Clone)]
pub struct Visitor {
    router: Router,
    pub cookie: String,
    pub host: String,
}

impl Visitor {
    /// Sends a request as it is.
    pub async fn send(&mut self, request: Request<Body>) -> Answer {
        let response = self.router.clone().oneshot(request).await.expect("a router does not fail");
        let (head, body) = response.into_parts();
        if let Some(cookie) = head.headers.get("set-cookie") {
            let cookie = cookie.to_str().expect("a cookie is text");
            assert!(cookie.contains("HttpOnly; SameSite=Strict"), "{cookie}");
            self.cookie = cookie.split(';').next().expect("a text has a beginning").to_owned();
        }
        let bytes = to_bytes(body, usize::MAX).await.expect("a body of ours does not fail");
        Answer { status: head.status.as_u16(), headers: head.headers, text: String::from_utf8(bytes.to_vec()).expect("pages are text") }
    }

    /// A request with host and cookie.
    pub fn request(&self, method: &str, path: &str) -> axum::http::request::Builder {
        Request::builder().method(method).uri(path).header("host", &self.host).header("cookie", &self.cookie)
    }

    /// Opens a page.
    pub async fn get(&mut self, path: &str) -> Answer {
        let request = self.request("GET", path).body(Body::empty()).expect("it is a request");
        self.send(request).await
    }

    /// Opens a page that must be there.
    pub async fn page(&mut self, path: &str) -> String {
        let answer = self.get(path).await;
        assert_eq!(answer.status, StatusCode::OK.as_u16(), "{path}: {}", answer.text);
        answer.text
    }

    /// The token that the forms of a page carry.
    pub async fn token(&mut self) -> String {
        let page = self.get("/help").await;
        assert!(page.status == 200 || page.status == 401);
        let page = self.get("/").await.text;
        let (_, rest) = page.split_once("name=\"form\" value=\"").expect("the page has a form");
        rest.split('"').next().expect("a text has a beginning").to_owned()
    }

    /// Sends a form from its page.
    pub async fn post(&mut self, path: &str, parts: &[Part<'_>]) -> Answer {
        let token = self.token().await;
        let mut all = vec![field("form", &token)];
        all.extend(parts);
        let request = self
            .request("POST", path)
            .header("origin", format!("http://{}", self.host))
            .header("content-type", "multipart/form-data; boundary=between")
            .body(Body::from(body(&all, "between")))
            .expect("it is a request");
        self.send(request).await
    }
}

/// A form's body as browsers write it.
pub fn body(parts: &[Part], boundary: &str) -> Vec<u8> {
    let mut body = Vec::new();
    for (name, file, content) in parts {
        let file = file.map(|file| format!("; filename=\"{}\"\r\nContent-Type: text/csv", file.replace('"', "%22"))).unwrap_or_default();
        body.extend(format!("--{boundary}\r\nContent-Disposition: form-data; name=\"{name}\"{file}\r\n\r\n").as_bytes());
        body.extend(*content);
        body.extend(b"\r\n");
    }
    body.extend(format!("--{boundary}--\r\n").as_bytes());
    body
}

/// A file of a sample log.
pub fn sample(name: &str) -> Vec<u8> {
    let path: PathBuf = Path::new(env!("CARGO_MANIFEST_DIR")).join("sample-logs").join(name);
    std::fs::read(&path).unwrap_or_else(|error| panic!("{}: {error}", path.display()))
}

/// Values of an attribute in a page.
pub fn values<'a>(page: &'a str, attribute: &str) -> Vec<&'a str> {
    let sought = format!(" {attribute}=\"");
    page.split(sought.as_str()).skip(1).map(|rest| rest.split('"').next().expect("a text has a beginning")).collect()
}

/// Holds a page to what every page promises: one main heading, a language, landmarks, ids that are there once, labels that belong to a
/// field, references that lead somewhere, nothing inline that the policy forbids.
pub fn hold(page: &str) {
    let once = |what: &str| assert_eq!(page.matches(what).count(), 1, "{what} in {page}");
    ["<html lang=\"en\">", "<h1", "<main id=\"main\"", "<title>", "class=\"skip\" href=\"#main\""].iter().for_each(|what| once(what));
    let ids = values(page, "id");
    for (place, id) in ids.iter().enumerate() {
        assert!(!ids[..place].contains(id), "the id {id} is there twice");
    }
    for attribute in ["for", "aria-labelledby", "aria-describedby"] {
        for id in values(page, attribute).into_iter().flat_map(|ids| ids.split(' ')) {
            assert!(ids.contains(&id), "{attribute} names {id}, which is nowhere");
        }
    }
    for link in values(page, "href").into_iter().filter_map(|link| link.strip_prefix('#')) {
        assert!(ids.contains(&link), "a link leads to #{link}, which is nowhere");
    }
    let labels = values(page, "for");
    for tag in page.split('<').filter(|tag| tag.starts_with("input ") || tag.starts_with("select ")) {
        let tag = tag.split('>').next().expect("a text has a beginning");
        let hidden = tag.contains("type=\"hidden\"");
        assert!(hidden || values(&format!(" {tag}"), "id").iter().any(|id| labels.contains(id)), "no label: <{tag}>");
    }
    for inline in ["<style", "style=\"", "javascript:", "<script>", "onclick=", "onload=", "onerror=", "http://", "https://"] {
        let text = page.replace("xmlns=\"http://www.w3.org/2000/svg\"", "");
        assert!(!text.contains(inline), "{inline} in a page");
    }
}
