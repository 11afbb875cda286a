//! What every target holds its results against.

use serde_json::Value;
use wellbled::ingest::Ingested;
use wellbled::run::Run;

/// Most characters of a message or hint: a screen, not a file.
const LONGEST_WORDS: usize = 1200;

/// An error says what was there in so many words, and the way out.
#[track_caller]
pub fn says(message: &str, hint: &str) {
    assert!(!message.trim().is_empty() && !hint.trim().is_empty(), "nothing is said: {message:?}, {hint:?}");
    for words in [message, hint] {
        let shown: String = words.chars().take(300).collect();
        assert!(words.chars().count() <= LONGEST_WORDS, "a message without end: {shown}");
    }
}

/// What an error says first, as one of few kinds.
pub fn kind(message: &str) -> String {
    let words = message.split(['`', '(']).next().unwrap_or_default();
    words.chars().map(|c| if c.is_ascii_digit() { '0' } else { c }).take(60).collect()
}

/// A log that was read keeps what `Run` promises, and holds no more than the text did.
#[track_caller]
pub fn read(got: &Ingested, text_bytes: usize) {
    run(&got.run);
    let most = text_bytes + 1;
    assert!(got.understanding.rows <= most && got.run.samples <= most);
    let readings: usize = got.run.traces.values().map(|trace| trace.len()).sum();
    assert!(readings <= 4 * most, "{readings} readings from {text_bytes} bytes");
    assert!(got.understanding.columns.len() <= most);
    assert!(got.run.defects.len() <= 200, "{} defects are told one by one", got.run.defects.len());
    for defect in &got.run.defects {
        assert!(defect.count > 0 && defect.effect.chars().count() <= LONGEST_WORDS, "{defect:?}");
        assert!(defect.at_s.is_none_or(f64::is_finite), "{defect:?}");
    }
    assert!(got.understanding.columns.iter().all(|column| column.range.is_none_or(|[low, high]| low <= high && (high - low).is_finite())));
}

/// What `Run` promises.
#[track_caller]
pub fn run(run: &Run) {
    assert!(run.duration.is_finite() && run.duration >= 0.0, "it lasts {} s", run.duration);
    for (channel, trace) in &run.traces {
        assert_eq!(trace.time.len(), trace.value.len(), "{}", channel.name());
        assert!(trace.time.windows(2).all(|pair| pair[0] < pair[1]), "{} is not in order", channel.name());
        assert!(trace.time.iter().all(|time| time.is_finite()), "{} at no time", channel.name());
        let (low, high) = channel.range();
        let stray = trace.value.iter().find(|value| !(low..=high).contains(*value));
        assert!(stray.is_none(), "{} of {stray:?}", channel.name());
        assert!(trace.step.is_finite() && trace.step >= 0.0, "{} in steps of {}", channel.name(), trace.step);
        // The clock starts at the first row; a row that was written late may come before it, by a minute at most.
        let slack = 1.0 + 1e-9 * run.duration;
        let (first, last) = (trace.time[0], trace.time[trace.len() - 1]);
        assert!(first >= -60.0 - slack && last - first <= run.duration + slack, "{} from {first} to {last} s", channel.name());
    }
    assert!(run.gaps.iter().all(|[from, to]| from < to && to.is_finite()), "{:?}", run.gaps);
}

/// Quantities of a report: numbers everywhere, the value within its interval, no negative uncertainty.
#[track_caller]
pub fn quantities(value: &Value, place: &str) {
    match value {
        Value::Object(members) if members.contains_key("interval_95") => {
            let number = |value: &Value| value.as_f64().filter(|number| number.is_finite());
            let numbers = (
                members.get("value").and_then(number),
                members.get("standard_uncertainty").and_then(number),
                value.pointer("/interval_95/0").and_then(number),
                value.pointer("/interval_95/1").and_then(number),
            );
            let (Some(middle), Some(uncertainty), Some(low), Some(high)) = numbers else { panic!("{place}: {value}") };
            let slack = 1e-6 * (1.0 + middle.abs());
            assert!(uncertainty >= 0.0 && low <= middle + slack && middle <= high + slack, "{place}: {value}");
        }
        Value::Object(members) => members.iter().for_each(|(name, value)| quantities(value, &format!("{place}/{name}"))),
        Value::Array(members) => members.iter().for_each(|value| quantities(value, place)),
        _ => {}
    }
}
