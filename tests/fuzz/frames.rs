//! Frames: identifiers and bytes to messages (ISO 15765-2) to readings (SAE J1979), as rows of text and as plain bytes.

use super::bounds;
use super::engine::{Seen, Target};
use wellbled::ingest::frames::{self, faults, service01, transport};
use wellbled::ingest::{self, Options};

pub const TARGET: Target = Target {
    name: "frames",
    most: 3072,
    words: &[
        "7E8",
        "7E9",
        "7DF",
        "18DAF110",
        "18DB33F1",
        "0x7E8",
        "03 41 05 7B",
        "04 41 0C 1A F8",
        "10 14 41 05 7B 0C 1A F8",
        "21 0D 00 0F 32",
        "30 00 00",
        "037F0112",
        "037F0178",
        "05 41 67 03 7B 7C",
        "2F",
        "1FFF",
        "0000000000000000",
        "FFFFFFFFFFFFFFFF",
        "07 41 05 7B 0F 32 46 28",
        "7E8,10 08 41",
    ],
    run,
};

fn run(input: &[u8]) -> Seen {
    let text = String::from_utf8_lossy(input);
    let rows: Vec<(f64, &str, &str, u64)> = text
        .lines()
        .enumerate()
        .filter_map(|(index, line)| {
            let mut cells = line.splitn(3, ',');
            let time = cells.next()?.trim().parse().unwrap_or(f64::NAN);
            Some((time, cells.next()?, cells.next()?, index as u64 + 1))
        })
        .collect();
    let decoded = frames::decode(rows.iter().copied());
    let readings: usize = decoded.traces.values().map(Vec::len).sum();
    // A frame carries seven bytes of a message, a parameter two at least.
    assert!(readings <= 4 * rows.len(), "{readings} readings from {} frames", rows.len());
    for (channel, points) in &decoded.traces {
        // What the bytes can carry; codes among them are told by their neighbours, later.
        assert!(points.iter().all(|(time, value)| time.is_finite() && (-40.0..=65_535.0).contains(value)), "{}", channel.name());
    }
    assert!(decoded.defects.len() <= 200 && decoded.defects.iter().all(|defect| defect.count > 0));
    let mut seen: Seen = decoded.traces.keys().map(|channel| channel.name().to_owned()).collect();
    seen.extend(decoded.defects.iter().map(|defect| bounds::kind(&defect.effect)));
    seen.extend(bytes(input));
    seen.extend(whole(&text));
    seen.sort();
    seen.dedup();
    seen
}

/// The input as messages and as frames of up to eight bytes, whatever they are.
fn bytes(input: &[u8]) -> Seen {
    let mut seen = vec![match service01::decode(input) {
        service01::Answer::Readings(readings) => format!("message with {} readings", readings.len().min(5)),
        service01::Answer::Refused(_) => "refused".to_owned(),
        service01::Answer::OtherService => "another service".to_owned(),
        service01::Answer::Bad(fault) => format!("{fault:?}"),
    }];
    let (mut assembler, mut faults) = (transport::Assembler::default(), faults::Faults::default());
    for (index, chunk) in input.chunks(9).enumerate() {
        let hex: String = chunk.iter().skip(1).map(|byte| format!("{byte:02x}")).collect();
        let Ok(bytes) = transport::Bytes::from_hex(&hex) else { continue };
        let place = faults::Place { time: index as f64 * 0.01, line: index as u64 };
        let id = 0x7E8 + u32::from(chunk[0] & 3);
        if let Some(message) = assembler.accept(&transport::Frame { id, bytes, place }, &mut faults) {
            assert!(message.bytes.len() <= 4095 && message.bytes.len() <= input.len(), "{} bytes", message.bytes.len());
            seen.push(format!("assembled {}", message.bytes.len().min(20)));
        }
    }
    assembler.finish(&mut faults);
    seen
}

/// The rows as a log.
fn whole(text: &str) -> Seen {
    let log = format!("time,id,bytes\n{text}");
    match ingest::read(log.as_bytes(), "log.csv", &Options::default()) {
        Ok(got) => {
            bounds::read(&got, log.len());
            vec![format!("{:?}", got.run.defects.iter().map(|defect| defect.kind).collect::<Vec<_>>())]
        }
        Err(error) => {
            bounds::says(&error.to_string(), &error.hint());
            vec![bounds::kind(&error.to_string())]
        }
    }
}
