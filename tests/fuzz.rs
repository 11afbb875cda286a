//! Input nobody expected: every reader of the program against bytes bred from a kept corpus.
//!
//! A target is a file under `tests/fuzz`, its corpus a folder of small made inputs beside it. Of every input each target asserts that
//! nothing panics, that what comes out is bounded by what went in, that an error says where, what was there and the way out, and what
//! the reader promises of its result.
//!
//! The ordinary test tries some thousand inputs a target, the same ones each time. A long run goes on for so many minutes a target:
//!
//! ```text
//! WELLBLED_FUZZ_MINUTES=10 cargo test --test fuzz -- --ignored --nocapture
//! ```
//!
//! An input that breaks a promise is written under the build's temporary folder; kept in the corpus, it stays fixed.

#[path = "fuzz/bounds.rs"]
mod bounds;
#[path = "fuzz/check.rs"]
mod check;
#[path = "fuzz/clock.rs"]
mod clock;
#[path = "fuzz/columns.rs"]
mod columns;
#[path = "fuzz/delimited.rs"]
mod delimited;
#[path = "fuzz/engine.rs"]
mod engine;
#[path = "fuzz/frames.rs"]
mod frames;
#[path = "fuzz/notes.rs"]
mod notes;
#[path = "fuzz/store.rs"]
mod store;
#[path = "fuzz/upload.rs"]
mod upload;
#[path = "fuzz/vehicle.rs"]
mod vehicle;

use engine::{Tally, Target, fuzz};
use std::time::{Duration, Instant};

/// Every target, with the inputs that the ordinary test tries.
const TARGETS: [(Target, usize); 9] = [
    (delimited::TARGET, 6000),
    (clock::TARGET, 6000),
    (columns::TARGET, 4000),
    (frames::TARGET, 6000),
    (notes::TARGET, 3000),
    (vehicle::TARGET, 2500),
    (store::TARGET, 250),
    (upload::TARGET, 600),
    (check::TARGET, 250),
];

/// Tries so many inputs on the target of this name.
fn short(name: &str) {
    let (target, inputs) = TARGETS.iter().find(|(target, _)| target.name == name).expect("the target is listed");
    let tally = fuzz(target, 1, |tried| tried < *inputs, Vec::new);
    assert!(tally.findings.is_empty(), "{name}: {:#?}", tally.findings);
    // A target that sees one thing in everything is not looking.
    assert!(tally.outcomes > 20, "{name}: {tally:?}");
}

macro_rules! short {
    ($($name:ident)*) => {$(
        mod $name {
            #[test]
            fn holds_its_promises() {
                super::super::short(stringify!($name));
            }
        }
    )*};
}

mod each {
    short! { delimited clock columns frames notes vehicle store upload check }
}

#[test]
#[ignore = "as long as WELLBLED_FUZZ_MINUTES says, for each target"]
fn for_so_many_minutes() {
    let said = |name: &str| std::env::var(name).ok();
    let minutes: f64 = said("WELLBLED_FUZZ_MINUTES").and_then(|text| text.parse().ok()).unwrap_or(1.0);
    let seed: u64 = said("WELLBLED_FUZZ_SEED").and_then(|text| text.parse().ok()).unwrap_or(2);
    let only = said("WELLBLED_FUZZ_TARGET");
    let mut findings = 0;
    for (target, _) in TARGETS.iter().filter(|(target, _)| only.as_ref().is_none_or(|only| target.name == only)) {
        let end = Instant::now() + Duration::from_secs_f64(60.0 * minutes);
        let tally: Tally = fuzz(target, seed, |_| Instant::now() < end, Vec::new);
        println!("{}: {} inputs, {} outcomes, {} findings", target.name, tally.inputs, tally.outcomes, tally.findings.len());
        tally.findings.iter().for_each(|(place, path)| println!("  {place}\n    {}", path.display()));
        findings += tally.findings.len();
    }
    assert_eq!(findings, 0);
}
