//! On real sockets: a hundred uploads at once, visitors who trickle or do not read, the end of the program, and memory over many uploads.
//!
//! `WELLBLED_SOAK=1000 cargo test --test web soak -- --nocapture` uploads so many times and prints what memory and time were needed.

use crate::long_log::{self, Form, long_log};
use crate::visitor::{Served, body, field, sample};
use std::io::{Read, Write};
use std::net::{Shutdown, SocketAddr, TcpStream};
use std::time::{Duration, Instant};
use tokio::net::TcpListener;
use tokio::sync::oneshot;
use wellbled::web::{Limits, listen};

/// A program that listens, in a runtime of its own.
struct Listening {
    address: SocketAddr,
    served: Served,
    end: Option<oneshot::Sender<()>>,
    ended: Option<std::thread::JoinHandle<()>>,
}

impl Listening {
    fn new(limits: Limits) -> Self {
        let runtime = tokio::runtime::Runtime::new().unwrap();
        let listener = runtime.block_on(TcpListener::bind("127.0.0.1:0")).unwrap();
        let address = listener.local_addr().unwrap();
        let served = Served::with(limits.clone(), &address.to_string(), false);
        let router = served.router.clone();
        let (end, told) = oneshot::channel();
        let ended = std::thread::spawn(move || {
            runtime.block_on(listen::serve(vec![listener], router, limits, async { drop(told.await) }));
            runtime.shutdown_background();
        });
        Self { address, served, end: Some(end), ended: Some(ended) }
    }

    fn connect(&self) -> TcpStream {
        let stream = TcpStream::connect(self.address).unwrap();
        stream.set_read_timeout(Some(Duration::from_secs(120))).unwrap();
        stream
    }

    /// One request on a connection of its own; the whole answer.
    fn ask(&self, request: &[u8]) -> String {
        let mut stream = self.connect();
        // The program may answer, and close, before all was sent.
        let _ = stream.write_all(request);
        let mut answer = Vec::new();
        let _ = stream.read_to_end(&mut answer);
        String::from_utf8_lossy(&answer).into_owned()
    }

    /// The cookie and the token of a new browser.
    fn browser(&self) -> (String, String) {
        let page = self.ask(format!("GET / HTTP/1.1\r\nHost: {}\r\nConnection: close\r\n\r\n", self.address).as_bytes());
        let cookie = page.split("set-cookie: ").nth(1).expect("a cookie is given").split(';').next().unwrap().to_owned();
        let token = page.split("name=\"form\" value=\"").nth(1).expect("there is a form").split('"').next().unwrap().to_owned();
        (cookie, token)
    }

    fn head(&self, cookie: &str, length: usize) -> String {
        let address = self.address;
        format!(
            "POST /check HTTP/1.1\r\nHost: {address}\r\nOrigin: http://{address}\r\nCookie: {cookie}\r\nConnection: close\r\n\
             Content-Type: multipart/form-data; boundary=x\r\nContent-Length: {length}\r\n\r\n"
        )
    }

    /// An upload as a whole request.
    fn upload(&self, (cookie, token): &(String, String), log: &[u8]) -> Vec<u8> {
        let body = body(&[field("form", token), ("log", Some("drive.csv"), log)], "x");
        [self.head(cookie, body.len()).into_bytes(), body].concat()
    }

    /// Ends it; how long that took.
    fn finish(&mut self) -> Duration {
        let started = Instant::now();
        let _ = self.end.take().map(|end| end.send(()));
        self.ended.take().expect("it is ended once").join().expect("it ends well");
        started.elapsed()
    }
}

fn status(answer: &str) -> &str {
    answer.get(9..12).unwrap_or("")
}

/// Resident memory of this process and its peak, in MB.
fn memory() -> [f64; 2] {
    let about = std::fs::read_to_string("/proc/self/status").unwrap_or_default();
    ["VmRSS:", "VmHWM:"].map(|name| {
        let line = about.lines().find_map(|line| line.strip_prefix(name)).unwrap_or("0 kB");
        line.trim().trim_end_matches("kB").trim().parse::<f64>().unwrap_or(0.0) / 1024.0
    })
}

#[test]
fn a_hundred_uploads_at_once_are_all_answered() {
    let mut program = Listening::new(Limits::default());
    let browser = program.browser();
    let request = program.upload(&browser, &sample("bakery-van/log.csv"));
    let started = Instant::now();
    let answers: Vec<String> = std::thread::scope(|scope| {
        let all: Vec<_> = (0..100).map(|_| scope.spawn(|| program.ask(&request))).collect();
        all.into_iter().map(|one| one.join().unwrap()).collect()
    });
    println!("100 uploads at once: {:.1} s, memory {:.0?} MB (now, peak)", started.elapsed().as_secs_f64(), memory());
    assert!(answers.iter().all(|answer| status(answer) == "303"), "{:?}", answers.iter().find(|answer| status(answer) != "303"));
    assert_eq!(program.served.app.shelf.len(), Limits::default().held, "only so many are held");
    assert!(program.finish() < Duration::from_secs(2));
}

#[test]
fn visitors_who_trickle_lose_their_place_and_the_others_are_served_meanwhile() {
    let limits = Limits {
        heading: Duration::from_millis(500),
        piece: Duration::from_millis(500),
        body: Duration::from_millis(900),
        least_rate: 1_000_000,
        connections: 40,
        ..Limits::default()
    };
    let mut program = Listening::new(limits);
    let browser = program.browser();
    let upload = program.upload(&browser, &sample("bakery-van/log.csv"));
    let started = Instant::now();
    // Every place is taken: by silence, by a heading and by a body without end.
    let silent: Vec<TcpStream> = (0..14).map(|_| program.connect()).collect();
    let trickle = |stream: &mut TcpStream, bytes: &[u8]| {
        for byte in bytes.iter().cycle() {
            if stream.write_all(&[*byte]).is_err() {
                break;
            }
            std::thread::sleep(Duration::from_millis(50));
        }
        started.elapsed()
    };
    let ends: Vec<Duration> = std::thread::scope(|scope| {
        let headings = (0..13).map(|_| scope.spawn(|| trickle(&mut program.connect(), b"GET / HTTP/1.1\r\nX: 1\r\n")));
        let bodies = (0..13).map(|_| {
            scope.spawn(|| {
                let mut stream = program.connect();
                stream.write_all(program.head(&browser.0, 10_000_000).as_bytes()).unwrap();
                trickle(&mut stream, b"--x\r\n")
            })
        });
        let slow: Vec<_> = headings.collect::<Vec<_>>().into_iter().chain(bodies.collect::<Vec<_>>()).collect();
        std::thread::sleep(Duration::from_millis(100));
        let answer = program.ask(&upload);
        assert_eq!(status(&answer), "303", "{answer}");
        slow.into_iter().map(|one| one.join().unwrap()).collect()
    });
    assert!(ends.iter().all(|end| *end < Duration::from_secs(10)), "{ends:?}");
    drop(silent);
    println!("40 slow visitors are gone after {:.1} s", ends.iter().max().unwrap().as_secs_f64());
    assert!(program.finish() < Duration::from_secs(2));
}

#[test]
fn a_body_that_trickles_is_told_so_and_a_broken_one_leaves_nothing() {
    let limits = Limits { piece: Duration::from_millis(300), ..Limits::default() };
    let mut program = Listening::new(limits);
    let browser = program.browser();
    let mut stream = program.connect();
    stream.write_all(program.head(&browser.0, 1000).as_bytes()).unwrap();
    stream.write_all(b"--x").unwrap();
    let mut answer = String::new();
    stream.read_to_string(&mut answer).unwrap();
    assert_eq!(status(&answer), "408", "{answer}");
    let mut stream = program.connect();
    stream.write_all(program.head(&browser.0, 1_000_000).as_bytes()).unwrap();
    stream.write_all(&[b'1'; 100_000]).unwrap();
    stream.shutdown(Shutdown::Write).unwrap();
    let _ = stream.read_to_end(&mut Vec::new());
    assert_eq!(program.served.app.budget.used(), 0);
    program.finish();
}

#[test]
fn headings_too_large_and_no_http_are_refused() {
    let mut program = Listening::new(Limits::default());
    let address = program.address;
    let large = format!("GET / HTTP/1.1\r\nHost: {address}\r\nX: {}\r\n\r\n", "y".repeat(200_000));
    let many = format!("GET / HTTP/1.1\r\nHost: {address}\r\n{}\r\n", "X: y\r\n".repeat(200));
    let long = format!("GET /{} HTTP/1.1\r\nHost: {address}\r\n\r\n", "y".repeat(100_000));
    for (name, request) in [("large", large), ("many", many), ("long", long)] {
        let answer = program.ask(request.as_bytes());
        assert!(["431", "414"].contains(&status(&answer)), "{name}: {answer}");
    }
    for request in ["hello\r\n\r\n", "\x16\x03\x01\x02\0\x01\0\r\n\r\n", "GET / HTTP/9.9\r\n\r\n"] {
        assert!(["400", ""].contains(&status(&program.ask(request.as_bytes()))), "{request:?}");
    }
    program.finish();
}

#[test]
fn an_answer_that_nobody_reads_does_not_hold_its_place_for_ever() {
    let limits = Limits { unread: Duration::from_millis(500), connections: 2, heading: Duration::from_millis(500), ..Limits::default() };
    let mut program = Listening::new(limits);
    // Enough requests on one connection that the answers fill every buffer between here and there.
    let one = format!("GET /assets/page.css HTTP/1.1\r\nHost: {}\r\n\r\n", program.address);
    let mut deaf: Vec<TcpStream> = (0..2).map(|_| program.connect()).collect();
    for stream in &mut deaf {
        stream.set_write_timeout(Some(Duration::from_millis(200))).unwrap();
        let _ = stream.write_all(one.repeat(3000).as_bytes());
    }
    let started = Instant::now();
    let (cookie, _) = program.browser();
    assert!(!cookie.is_empty() && started.elapsed() < Duration::from_secs(10), "{:?}", started.elapsed());
    program.finish();
}

#[test]
fn the_program_ends_although_connections_are_open() {
    let limits = Limits { farewell: Duration::from_millis(700), ..Limits::default() };
    let mut program = Listening::new(limits);
    let browser = program.browser();
    let idle = program.connect();
    let mut busy = program.connect();
    busy.write_all(program.head(&browser.0, 1000).as_bytes()).unwrap();
    let address = program.address;
    assert!(program.finish() < Duration::from_secs(3));
    assert!(TcpStream::connect(address).is_err(), "nobody listens any more");
    drop((idle, busy));
}

/// The program as it is started: it says where it is, answers there, and ends in good order when it is told to.
#[cfg(unix)]
#[test]
fn the_program_says_where_it_is_and_ends_when_told_to() {
    use std::io::{BufRead, BufReader};
    use std::process::{Command, Stdio};
    let store = tempfile::tempdir().unwrap();
    for (more, key) in [(&[][..], false), (&["--listen", "0.0.0.0"][..], true)] {
        let mut child = Command::new(env!("CARGO_BIN_EXE_wellbled"))
            .args(["serve", "--port", "0", "--store"])
            .arg(store.path())
            .args(more)
            .stdout(Stdio::piped())
            .spawn()
            .expect("the program was built beside this test");
        let mut lines = BufReader::new(child.stdout.take().unwrap()).lines().map(Result::unwrap);
        let first = lines.next().unwrap();
        let port = first.rsplit(':').next().unwrap().chars().take_while(char::is_ascii_digit).collect::<String>();
        let said: Vec<String> = lines.by_ref().take(if key { 3 } else { 2 }).collect();
        assert_eq!(said.iter().any(|line| line.starts_with("Key for the next device:  ")), key, "{said:?}");
        let mut stream = TcpStream::connect(format!("127.0.0.1:{port}")).unwrap();
        stream.write_all(format!("GET / HTTP/1.1\r\nHost: 127.0.0.1:{port}\r\nConnection: close\r\n\r\n").as_bytes()).unwrap();
        let mut answer = String::new();
        stream.read_to_string(&mut answer).unwrap();
        assert_eq!(status(&answer), if key { "401" } else { "200" });
        let told = Command::new("kill").args(["-TERM", &child.id().to_string()]).status().unwrap();
        assert!(told.success());
        assert_eq!(lines.last().as_deref(), Some("Ended."));
        assert_eq!(child.wait().unwrap().code(), Some(0));
    }
}

/// From the drop to the verdict: sent over a socket, checked, and the page of the answer fetched.
#[test]
fn an_hour_s_log_is_answered_while_one_waits() {
    let mut program = Listening::new(Limits::default());
    let browser = program.browser();
    for form in [Form::Comma, Form::Gzip] {
        let log = long_log(form);
        let request = program.upload(&browser, &log);
        let started = Instant::now();
        let answer = program.ask(&request);
        assert_eq!(status(&answer), "303", "{answer}");
        let checked = started.elapsed();
        let location = answer.split("location: ").nth(1).expect("it leads on").split(['#', '\r']).next().unwrap().to_owned();
        let address = program.address;
        let page = program
            .ask(format!("GET {location} HTTP/1.1\r\nHost: {address}\r\nCookie: {}\r\nConnection: close\r\n\r\n", browser.0).as_bytes());
        let whole = started.elapsed();
        assert_eq!(status(&page), "200");
        println!(
            "one hour as {form:?}, {} rows, {:.1} MB: checked after {:.2} s, shown after {:.2} s ({} kB)",
            long_log::ROWS,
            log.len() as f64 / 1e6,
            checked.as_secs_f64(),
            whole.as_secs_f64(),
            page.len() / 1000
        );
        assert!(whole < Duration::from_secs(20), "{whole:?}");
    }
    program.finish();
}

/// Memory over many uploads: after the first ones it grows no more, because only so many are held.
#[test]
fn memory_stays_bounded_over_many_uploads() {
    let asked: Option<usize> = std::env::var("WELLBLED_SOAK").ok().and_then(|text| text.parse().ok());
    let uploads = asked.unwrap_or(40);
    let limits = Limits { held: 16, ..Limits::default() };
    let mut program = Listening::new(limits);
    let browser = program.browser();
    let log = sample("bakery-van/log.csv");
    let request = program.upload(&browser, &log);
    let started = Instant::now();
    let mut after = Vec::new();
    for place in 1..=uploads {
        let answer = program.ask(&request);
        assert_eq!(status(&answer), "303", "{answer}");
        if asked.is_some() && (place % (uploads / 10).max(1) == 0 || place == 20) {
            after.push((place, memory()));
        }
    }
    assert!(program.served.app.shelf.len() <= 16);
    assert!(program.served.app.budget.used() <= 16 * 2 * log.len(), "{}", program.served.app.budget.used());
    for (place, [now, peak]) in &after {
        println!("after {place} uploads: {now:.0} MB, peak {peak:.0} MB");
    }
    println!("{uploads} uploads: {:.1} s", started.elapsed().as_secs_f64());
    if let (Some((_, [first, _])), Some((_, [last, _]))) = (after.first(), after.last()) {
        assert!(last - first < 60.0, "memory grew from {first:.0} to {last:.0} MB");
    }
    program.finish();
}
