//! How fast a log is read, by its form: bytes of the file a second, for an hour at two rows a second.
//!
//! `cargo bench --bench import` measures; `cargo test --benches` runs each once, so that none of them rots.

#[path = "../tests/support/long_log.rs"]
mod long_log;

use divan::counter::BytesCount;
use divan::{Bencher, black_box};
use long_log::{Form, long_log};
use wellbled::channel::Channel;
use wellbled::ingest::{self, Options};

fn main() {
    divan::main();
}

#[divan::bench(args = Form::ALL)]
fn whole_import(bencher: Bencher, form: Form) {
    let bytes = long_log(form);
    let run = ingest::read(&bytes, "hour.csv", &Options::default()).expect("every form is read").run;
    assert!(run.duration > 3500.0 && run.trace(Channel::CoolantTemperature).is_some_and(|coolant| coolant.len() > 7000));
    bencher.counter(BytesCount::of_slice(&bytes)).bench(|| ingest::read(black_box(&bytes), "hour.csv", &Options::default()));
}

/// The part of it that turns bytes into text.
#[divan::bench(args = [Form::Comma, Form::Utf16, Form::Gzip])]
fn decoding_alone(bencher: Bencher, form: Form) {
    let bytes = long_log(form);
    bencher.counter(BytesCount::of_slice(&bytes)).bench(|| ingest::text::decode(black_box(&bytes)).map(|text| text.text.len()));
}
