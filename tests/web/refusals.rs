//! Requests that no page of ours makes, by kind, with the status that each gets; none reaches a log, the disk or the archive.

use crate::journeys::checked;
use crate::visitor::{Answer, HOST, Served, Visitor, body, field, sample};
use axum::body::Body;
use axum::http::request::Builder;
use std::collections::BTreeMap;
use wellbled::web::Limits;

/// A form with its right token, as its page would send it.
async fn form(visitor: &mut Visitor, path: &str) -> (Builder, Vec<u8>) {
    let token = visitor.token().await;
    let request = visitor.request("POST", path).header("content-type", "multipart/form-data; boundary=x");
    (request, body(&[field("form", &token), field("cold_before", "42 mm")], "x"))
}

/// Sends a form whose headers are changed.
async fn sent(visitor: &mut Visitor, path: &str, change: impl Fn(Builder) -> Builder) -> Answer {
    let (request, body) = form(visitor, path).await;
    visitor.send(change(request).body(Body::from(body)).expect("it is a request")).await
}

/// Sends a body as a form of this origin.
async fn with_body(visitor: &mut Visitor, path: &str, kind: &str, body: Vec<u8>) -> Answer {
    let request = visitor.request("POST", path).header("origin", format!("http://{HOST}")).header("content-type", kind);
    visitor.send(request.body(Body::from(body)).expect("it is a request")).await
}

/// What was refused, by kind.
#[derive(Default)]
struct Tally(BTreeMap<&'static str, Vec<u16>>);

impl Tally {
    fn hold(&mut self, kind: &'static str, answer: &Answer, status: u16) {
        assert_eq!(answer.status, status, "{kind}: {}", answer.text);
        assert!(answer.text.contains("id=\"errors\"") || answer.status == 401, "{kind} says no way out: {}", answer.text);
        self.0.entry(kind).or_default().push(status);
    }
}

#[tokio::test]
async fn every_kind_of_bad_request_is_refused_with_its_status() {
    let served = Served::new();
    let mut visitor = served.visitor();
    let mut tally = Tally::default();
    let here = format!("http://{HOST}");

    for host in ["example:8421", "127.0.0.1", "127.0.0.1:80", "rebound.example:8421", "192.168.0.9:8421", "", "127.0.0.1:8421.example"] {
        visitor.host = host.to_owned();
        tally.hold("wrong Host, GET", &visitor.get("/").await, 421);
    }
    visitor.host = HOST.to_owned();
    let request = axum::http::Request::builder().uri("/").body(Body::empty()).unwrap();
    tally.hold("no Host", &visitor.send(request).await, 400);
    let twice = visitor.request("GET", "/").header("host", "example:8421").body(Body::empty()).unwrap();
    tally.hold("two Hosts", &visitor.send(twice).await, 400);
    let elsewhere = visitor.request("GET", "http://example:8421/").body(Body::empty()).unwrap();
    tally.hold("another host in the address", &visitor.send(elsewhere).await, 421);

    for origin in [
        "http://example:8421",
        "null",
        "https://127.0.0.1:8421",
        "http://127.0.0.1",
        "http://127.0.0.1:8421.example",
        "http://localhost:8421",
        "",
    ] {
        tally.hold("wrong Origin", &sent(&mut visitor, "/check", |request| request.header("origin", origin)).await, 403);
    }
    tally.hold("neither Origin nor Sec-Fetch-Site", &sent(&mut visitor, "/check", |request| request).await, 403);
    for site in ["cross-site", "same-site", "none"] {
        tally.hold(
            "Sec-Fetch-Site from elsewhere",
            &sent(&mut visitor, "/check", |request| request.header("sec-fetch-site", site)).await,
            403,
        );
        let both = |request: Builder| request.header("origin", &here).header("sec-fetch-site", site);
        tally.hold("Sec-Fetch-Site against Origin", &sent(&mut visitor, "/check", both).await, 403);
    }
    let own = sent(&mut visitor, "/check", |request| request.header("sec-fetch-site", "same-origin")).await;
    assert_eq!(own.status, 303, "a browser that sends only Sec-Fetch-Site is taken");

    let token = visitor.token().await;
    let mut other = served.visitor();
    let foreign = other.token().await;
    for wrong in ["", "0", &foreign, &token[1..], &token.to_uppercase().replace(char::is_numeric, "A")] {
        let answer = with_body(&mut visitor, "/check", "multipart/form-data; boundary=x", body(&[field("form", wrong)], "x")).await;
        tally.hold("wrong token", &answer, 403);
    }
    let none = with_body(&mut visitor, "/check", "multipart/form-data; boundary=x", body(&[field("cold_before", "42 mm")], "x")).await;
    tally.hold("no token", &none, 403);
    let mut stranger = served.visitor();
    let answer = with_body(&mut stranger, "/check", "multipart/form-data; boundary=x", body(&[field("form", &token)], "x")).await;
    tally.hold("no cookie", &answer, 403);
    stranger.cookie = visitor.cookie.replace(".", "0.");
    let answer = with_body(&mut stranger, "/check", "multipart/form-data; boundary=x", body(&[field("form", &token)], "x")).await;
    tally.hold("a cookie that was changed", &answer, 403);

    for method in ["PUT", "DELETE", "PATCH", "OPTIONS", "TRACE", "CONNECT", "BREW"] {
        let request = visitor.request(method, "/").body(Body::empty()).unwrap();
        tally.hold("wrong method", &visitor.send(request).await, 405);
    }
    for path in ["/", "/runs", "/plan", "/help", "/assets/page.css", "/compare"] {
        tally.hold("a form to a page that takes none", &sent(&mut visitor, path, |request| request.header("origin", &here)).await, 405);
    }
    for path in ["/check", "/runs/0123456789ab/levels", "/check/0123/keep"] {
        tally.hold("a form's address opened as a page", &visitor.get(path).await, 405);
    }
    for kind in
        ["", "text/plain", "application/x-www-form-urlencoded", "application/json", "multipart/mixed; boundary=x", "multipart/form-data"]
    {
        tally.hold("not a form", &with_body(&mut visitor, "/check", kind, body(&[field("form", &token)], "x")).await, 415);
    }

    let whole = body(&[field("form", &token), field("cold_before", "42 mm")], "x");
    let form_data = "multipart/form-data; boundary=x";
    let cut = whole[..whole.len() - 8].to_vec();
    let named = |name: &str| body(&[field("form", &token), field(name, "1")], "x");
    let with_text = |bytes: &[u8]| body(&[field("form", &token), ("cold_before", None, bytes)], "x");
    for (kind, body) in [
        ("malformed form", Vec::new()),
        ("malformed form", b"hello".to_vec()),
        ("malformed form", b"--x\r\n\r\n--x--".to_vec()),
        ("malformed form", cut),
        ("name of no field", named("../../etc/passwd")),
        ("name of no field", named("a\0b")),
        ("name of no field", named(&"n".repeat(300))),
        ("text that is none", with_text(b"\0")),
        ("text that is none", with_text(b"\xff\xfe42 mm")),
        ("text that is none", with_text("4".repeat(5000).as_bytes())),
    ] {
        tally.hold(kind, &with_body(&mut visitor, "/check", form_data, body).await, 400);
    }
    let mut many = vec![field("form", token.as_str())];
    many.extend(std::iter::repeat_n(field("cold_before", "42 mm"), 200));
    tally.hold("too many parts", &with_body(&mut visitor, "/check", form_data, body(&many, "x")).await, 413);

    let run = format!("/runs/{}", "0".repeat(12));
    for path in [
        run.as_str(),
        "/runs/..%2F..%2Fetc%2Fpasswd",
        "/runs/..",
        "/runs/%2e%2e%2f%2e%2e",
        "/runs/0123456789AB",
        "/runs/0123456789ab%00",
        "/runs/0123456789ab.csv",
        "/runs/last",
        "/runs/%ff",
        "/runs/0123456789ab/judgings/1",
        "/runs/..%2F/report",
        "/compare?earlier=..%2F..&later=0123456789ab",
        "/assets/..%2F..%2FCargo.toml",
        "/assets/page.rs",
    ] {
        tally.hold("a name that is none", &visitor.get(path).await, 404);
    }
    for path in ["/check/..%2Fx", "/check/0123", "/check/%00", "/check/0123/columns", "/check/0123/report"] {
        tally.hold("a number that is not held", &visitor.get(path).await, 410);
    }
    for path in ["/plan?go=1&capacity=%00", "/runs?vehicle=%00"] {
        tally.hold("a field that is no text", &visitor.get(path).await, 400);
    }
    assert!(served.archive.listing().unwrap().entries.is_empty());
    assert!(!served.archive.folder().exists(), "nothing was written");

    println!("refused, by kind:");
    for (kind, statuses) in &tally.0 {
        println!("| {kind} | {} | {} |", statuses.len(), statuses[0]);
    }
}

#[tokio::test]
async fn what_is_too_large_is_refused_before_it_is_read_and_as_it_comes() {
    let served = Served::with(Limits { body_bytes: 100_000, ..Limits::default() }, HOST, false);
    let mut visitor = served.visitor();
    let answer = visitor.post("/check", &[("log", Some("d.csv"), &[b'1'; 200_000])]).await;
    assert_eq!(answer.status, 413, "{}", answer.text);
    assert_eq!(served.app.budget.used(), 0, "and nothing of it is held");
    let served = Served::with(Limits::default(), HOST, true);
    let mut visitor = served.visitor();
    let answer = visitor.post("/enter", &[field("key", "1"), field("more", &"1".repeat(200_000))]).await;
    assert_eq!(answer.status, 413, "whoever was not let in sends little: {}", answer.text);
    assert_eq!(served.app.budget.used(), 0, "and nothing of it is held");
}

#[tokio::test]
async fn when_memory_is_taken_the_oldest_upload_gives_way_and_then_visitors_wait() {
    let log = sample("bakery-van/log.csv");
    let limits = Limits { memory_bytes: 3 * log.len(), ..Limits::default() };
    let served = Served::with(limits, HOST, false);
    let mut visitor = served.visitor();
    let mut addresses = Vec::new();
    for place in 0..5 {
        let name = format!("{place}.csv");
        addresses.push(visitor.post("/check", &[("log", Some(&name), &log)]).await.leads_to());
        assert!(served.app.budget.used() <= 3 * log.len());
    }
    assert_eq!(visitor.get(&addresses[0]).await.status, 410);
    assert_eq!(visitor.get(&addresses[4]).await.status, 200);
    let busy = visitor.post("/check", &[("log", Some("large.csv"), &log.repeat(4))]).await;
    assert_eq!((busy.status, busy.header("retry-after")), (503, "10"), "{}", busy.text);
}

#[tokio::test]
async fn so_many_uploads_are_held_and_no_more_and_not_for_ever() {
    let limits = Limits { held: 3, ..Limits::default() };
    let served = Served::with(limits, HOST, false);
    let mut visitor = served.visitor();
    let mut addresses = Vec::new();
    for _ in 0..5 {
        addresses.push(visitor.post("/check", &[field("cold_before", "42 mm")]).await.leads_to());
    }
    assert_eq!(served.app.shelf.len(), 3);
    let held = Served::with(Limits { held_for: std::time::Duration::ZERO, ..Limits::default() }, HOST, false);
    let mut visitor = held.visitor();
    let address = visitor.post("/check", &[field("cold_before", "42 mm")]).await.leads_to();
    assert_eq!(visitor.get(&address).await.status, 410);
}

#[tokio::test]
async fn when_too_many_wait_the_next_is_asked_to_come_again() {
    let served = Served::with(Limits { waiting: 0, ..Limits::default() }, HOST, false);
    let mut visitor = served.visitor();
    let busy = visitor.get("/").await;
    assert_eq!((busy.status, busy.header("retry-after")), (503, "10"), "{}", busy.text);
}

#[tokio::test]
async fn logs_that_are_none_are_answered_with_the_way_out() {
    let mut visitor = Served::new().visitor();
    for (name, bytes, words) in [
        ("empty.csv", &b""[..], "the file is empty"),
        ("report.pdf", b"%PDF-1.7 and so on", "this is a PDF"),
        ("photo.jpg", b"\xff\xd8\xff\xe0 and so on", "this is a picture"),
        ("book.xlsx", b"PK\x03\x04 and so on", "a spreadsheet or ZIP archive"),
        ("zeros.csv", &[0; 4096], "file of zeros"),
        ("page.html", b"<!DOCTYPE html><script>alert(1)</script>", "this is a web page"),
        ("bomb.gz", b"\x1f\x8b\x08\0\0\0\0\0\0\0", "damaged from its start"),
        ("short.csv", b"time (s),coolant temperature (C)\n0,20\n1,21\n", "at least 60 s are needed"),
        ("\0/../../etc/passwd", b"hello", "no table found"),
    ] {
        let address = visitor.post("/check", &[("log", Some(name), bytes)]).await.leads_to();
        let page = visitor.get(&address).await;
        assert_eq!(page.status, 422, "{name}");
        crate::visitor::hold(&page.text);
        let text = page.text.replace('\u{a0}', " ");
        assert!(text.contains(words), "{name}: {text}");
        assert!(!page.text.contains("--column") && !page.text.contains("etc/"), "{name}: {}", page.text);
    }
}

#[tokio::test]
async fn a_store_that_cannot_be_written_or_is_damaged_says_so() {
    let served = Served::new();
    let mut visitor = served.visitor();
    let address = checked(&mut visitor, "bakery-van").await;
    std::fs::write(served.archive.folder(), "a file where the folder should be").unwrap();
    let refused = visitor.post(&format!("{address}/keep"), &[]).await;
    assert_eq!(refused.status, 500);
    assert!(refused.text.contains("cannot write it") && !refused.text.contains("os error"), "{}", refused.text);
    std::fs::remove_file(served.archive.folder()).unwrap();
    let kept = visitor.post(&format!("{address}/keep"), &[]).await.leads_to();
    let id = kept.trim_start_matches("/runs/").split('?').next().unwrap().to_owned();
    std::fs::write(served.archive.folder().join("runs").join(&id).join("log.csv"), "changed").unwrap();
    let damaged = visitor.get(&format!("/runs/{id}")).await;
    assert_eq!(damaged.status, 500);
    assert!(damaged.text.contains("damaged"), "{}", damaged.text);
    assert!(visitor.page("/runs").await.contains("Could not be opened"));
}
