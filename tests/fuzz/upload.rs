//! Uploads: the body of a form as the served page gets it, from its boundaries to the answer.
//!
//! The boundary is `x`; what a browser would send beside the body (length, key, session) is the business of other tests.

use super::bounds;
use super::engine::{Seen, Target};
use axum::body::Bytes;
use wellbled::ingest::Options;
use wellbled::web::held::Log;
use wellbled::web::multipart::{self, MOST_PARTS};
use wellbled::web::outcome::{Input, Outcome};
use wellbled::web::typed::Typed;

pub const TARGET: Target = Target {
    name: "upload",
    most: 8000,
    words: &[
        "--x\r\n",
        "--x--\r\n",
        "\r\n--x\r\n",
        "\r\n\r\n",
        "Content-Disposition: form-data; name=\"log\"; filename=\"log.csv\"\r\n\r\n",
        "Content-Disposition: form-data; name=\"notes\"; filename=\"a.csv\"\r\n\r\n",
        "Content-Disposition: form-data; name=\"vehicle_file\"; filename=\"v.toml\"\r\n\r\n",
        "Content-Disposition: form-data; name=\"cold_before\"\r\n\r\n42 mm",
        "Content-Disposition: form-data; name=\"v_capacity\"\r\n\r\n7.2 L",
        "name=\"\"",
        "filename=\"../../etc/passwd\"",
        "<script>alert(1)</script>",
        "%22><script>",
        "%0D%0A",
        "time (s),coolant temperature (°C)\n0,20\n",
        "units",
        "us",
        "\u{0}",
    ],
    run,
};

fn run(input: &[u8]) -> Seen {
    // The header that names the boundary comes from outside too.
    let header = String::from_utf8_lossy(input.get(..input.len().min(120)).unwrap_or_default());
    if let Ok(boundary) = multipart::boundary(&header) {
        assert!((1..=70).contains(&boundary.len()) && boundary.is_ascii());
    }
    let body = Bytes::copy_from_slice(input);
    let parts = match multipart::parts(&body, "x") {
        Ok(parts) => parts,
        Err(refusal) => {
            bounds::says(&refusal.what, &refusal.hint);
            return vec![format!("{} {}", refusal.status.as_u16(), bounds::kind(&refusal.what))];
        }
    };
    assert!(parts.len() <= MOST_PARTS && parts.iter().map(|part| part.bytes.len()).sum::<usize>() <= input.len());
    let mut seen: Seen =
        parts.iter().map(|part| format!("{} {}", part.name.chars().take(12).collect::<String>(), part.file.is_some())).collect();
    let mut typed = match Typed::of(parts) {
        Ok(typed) => typed,
        Err(refusal) => {
            bounds::says(&refusal.what, &refusal.hint);
            seen.push(bounds::kind(&refusal.what));
            return seen;
        }
    };
    let log = typed.take_file("log").map(|sent| Log { name: sent.name, bytes: sent.bytes });
    let name = log.as_ref().map(|log| log.name.clone()).unwrap_or_default();
    assert!(!name.contains(['/', '\\', '\0']), "a path in a file's name: {name:?}");
    let input = Input { log, typed, reading: Options::default(), archive: None };
    match input.outcome().expect("it can be drawn") {
        Outcome::Checked(answer) => {
            for page in [&answer.head, &answer.rest] {
                assert!(!page.contains("<script>") && !page.contains("NaN"), "what was sent stands in the page as it is");
            }
            seen.push(format!("{:?}", answer.verdict));
        }
        Outcome::Unread(unread) => {
            bounds::says(&unread.what, &unread.hint);
            seen.push(bounds::kind(unread.what.split_once(": ").map_or("", |(_, what)| what)));
        }
        Outcome::Wrong(wrong) => {
            wrong.iter().for_each(|wrong| bounds::says(&wrong.what, &wrong.hint));
            seen.extend(wrong.into_iter().map(|wrong| wrong.field));
        }
    }
    seen
}
