//! Delimited text: encoding and compression, delimiter, heading, lines, cells.

use super::bounds;
use super::engine::{Seen, Target};
use wellbled::ingest::rows::Rows;
use wellbled::ingest::{cell, columns, dialect, table, text};

pub const TARGET: Target = Target {
    name: "delimited",
    most: 4096,
    words: &[
        "time (s)",
        "coolant temperature (°C)",
        "ECT",
        "\"\"",
        "\"a\nb\"",
        "sep=;",
        "\r\n",
        "Zeit;",
        "n/a",
        "None",
        "--",
        "1.234,5",
        "12:30:01",
        "2026-03-02T07:41:10",
        "°C",
        "PK\x03\x04",
        "%PDF",
        "{",
        "<html",
        "GIF8",
        "\u{feff}",
        "\u{a0}",
        "−7,5",
        "1e5",
        ",,,,,,,,",
        ";;;;;;;;",
    ],
    run,
};

fn run(input: &[u8]) -> Seen {
    let decoded = match text::decode(input) {
        Ok(decoded) => decoded,
        Err(problem) => {
            bounds::says(&problem.to_string(), &problem.hint());
            return vec![bounds::kind(&problem.to_string())];
        }
    };
    let mut seen = vec![decoded.encoding.to_owned(), format!("packed {} cut {}", decoded.compressed, decoded.cut_off)];
    // A byte of Windows-1252 or two of UTF-16 become three bytes of UTF-8 at most.
    assert!(decoded.compressed || decoded.text.len() <= 3 * input.len());
    assert!(
        decoded.compressed
            || !decoded.text.starts_with('\u{feff}')
            || decoded.encoding.contains("UTF-16")
            || input.starts_with(b"\xef\xbb\xbf")
    );
    for delimiter in [b',', b';', b'\t', b'|'] {
        walked(&decoded.text, delimiter);
    }
    match dialect::find(&decoded.text) {
        Err(problem) => {
            bounds::says(&problem.to_string(), &problem.hint());
            seen.push(bounds::kind(&problem.to_string()));
        }
        Ok(dialect) => {
            assert!(1 <= dialect.heading_line && dialect.heading_line < dialect.first_row);
            assert!(!dialect.names.is_empty() && dialect.names.len() <= decoded.text.len() + 1);
            let (sample, shorts_kept) = table::sample(&decoded.text, &dialect);
            assert!(sample.len() <= 300);
            assert_eq!(columns::headings(&dialect).len(), dialect.names.len());
            seen.push(format!("{} {:?} {}", char::from(dialect.delimiter), dialect.decimals, shorts_kept));
            seen.push(format!("names {} width {} preamble {}", dialect.names.len().min(9), dialect.width.min(9), dialect.preamble.min(4)));
            for text in sample.iter().flatten() {
                let cell = cell::read(text, dialect.decimals);
                assert!(!matches!(cell, cell::Cell::Number(value) | cell::Cell::Quantity(value, _) if !value.is_finite()), "{text}");
            }
        }
    }
    seen
}

/// Every line of the text is walked once, in order; its cells lie within it.
fn walked(text: &str, delimiter: u8) {
    let mut rows = Rows::new(text, wellbled::ingest::rows::line_end(text), delimiter);
    let mut cells = Vec::new();
    let (mut line, mut bytes) = (0, 0);
    while let Some(row) = rows.read(&mut cells) {
        assert!(row.line > line, "line {} after {line}", row.line);
        line = row.line;
        bytes += row.text.len();
        assert!(cells.len() <= row.text.len() + 1 && cells.iter().map(|cell| cell.len()).sum::<usize>() <= row.text.len());
    }
    assert!(bytes <= text.len() && line <= text.len() as u64 + 1);
}
