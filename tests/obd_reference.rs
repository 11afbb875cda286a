//! Raw diagnostic answers against values from outside: `tests/reference/README-diagnostics.md` names their sources.

use proptest::prelude::*;
use std::collections::BTreeMap;
use wellbled::channel::Channel;
use wellbled::ingest::frames::faults::{Fault, Faults, Place};
use wellbled::ingest::frames::service01::{self, Answer};
use wellbled::ingest::frames::transport::{Assembler, Bytes, Frame};
use wellbled::ingest::frames::{self, FrameColumns, Frames};
use wellbled::run::{Defect, DefectKind};

/// The rows of a reference table, each as heading → cell.
fn table(text: &'static str) -> Vec<BTreeMap<String, String>> {
    csv::Reader::from_reader(text.as_bytes()).deserialize().collect::<Result<_, _>>().unwrap()
}

fn bytes(hex: &str) -> Vec<u8> {
    hex.split_whitespace().map(|pair| u8::from_str_radix(pair, 16).unwrap()).collect()
}

/// Decodes rows of (identifier, bytes), a tenth of a second apart, from line 2 on.
fn decode(rows: &[(&str, &str)]) -> Frames {
    frames::decode(rows.iter().zip(0_u32..).map(|(&(id, bytes), n)| (f64::from(n) * 0.1, id, bytes, u64::from(n) + 2)))
}

/// A message of at most seven bytes as a single frame with padding.
fn single(message: &str) -> String {
    let length = bytes(message).len();
    let padding = " 55".repeat(7 - length);
    format!("{length:02X} {message}{padding}")
}

fn values(frames: &Frames, channel: Channel) -> Vec<f64> {
    frames.traces.get(&channel).into_iter().flatten().map(|&(_, value)| value).collect()
}

fn counted(frames: &Frames) -> usize {
    frames.defects.iter().filter(|defect| defect.kind == DefectKind::BadFrame).map(|defect| defect.count).sum()
}

/// The channel that carries a parameter; 11, the throttle, has none.
fn channel(parameter: u8) -> Option<Channel> {
    Channel::all().find(|channel| channel.j1979() == Some(parameter))
}

/// SAE J1979 scalings. The table prints six decimals, hence 5e-7.
#[test]
fn every_parameter_is_scaled_as_sae_j1979_says() {
    let rows = table(include_str!("reference/obd_service01_vectors.csv"));
    assert_eq!(rows.len(), 223);
    let mut compared = 0;
    for row in rows {
        let frames = decode(&[("7E8", &single(&row["response_hex"]))]);
        assert_eq!(frames.defects, [], "{}", row["response_hex"]);
        let Some(channel) = channel(u8::from_str_radix(&row["pid_hex"], 16).unwrap()) else {
            assert!(frames.traces.is_empty(), "the program has no use for {}", row["parameter"]);
            continue;
        };
        let expected: f64 = row["value"].parse().unwrap();
        let got = values(&frames, channel);
        assert!(got.len() == 1 && (got[0] - expected).abs() <= 5e-7, "{}: got {got:?}, expected {expected}", row["response_hex"]);
        compared += 1;
    }
    assert_eq!(compared, 206, "17 of the 223 rows are throttle positions");
}

#[test]
fn parameter_67_gives_each_sensor_that_it_says_it_has() {
    for row in table(include_str!("reference/obd_pid67_vectors.csv")) {
        let frames = decode(&[("7E8", &single(&row["response_hex"]))]);
        for (channel, column) in [(Channel::CoolantTemperature, "ect1_degC"), (Channel::CoolantTemperature2, "ect2_degC")] {
            let expected: Vec<f64> = row[column].parse().into_iter().collect();
            assert_eq!(values(&frames, channel), expected, "{} {column}", row["response_hex"]);
        }
        assert_eq!(frames.defects, []);
    }
}

#[test]
fn lists_of_supported_parameters_are_no_reading_and_no_fault() {
    for row in table(include_str!("reference/obd_supported_pids_vectors.csv")) {
        let message = format!("41 {} {}", row["pid_hex"], row["data_hex"]);
        assert_eq!(decode(&[("7E8", &single(&message))]), Frames::default(), "{message}");
    }
}

/// ISO 15765-2: single, first, consecutive frames and flow control, three kinds of padding, both lengths of identifier,
/// sequence numbers that wrap.
#[test]
fn frames_are_put_together_as_iso_15765_2_says() {
    let rows = table(include_str!("reference/isotp_frames.csv"));
    let mut messages: BTreeMap<&str, (Vec<u8>, Vec<Vec<u8>>)> = BTreeMap::new();
    let mut assembler = Assembler::default();
    let mut faults = Faults::default();
    for (row, n) in rows.iter().zip(0_u32..) {
        let (expected, got) = messages.entry(&row["case"]).or_default();
        expected.extend(bytes(&row["payload_hex_on_first_row"]));
        let frame = Frame {
            id: u32::from_str_radix(&row["can_id_hex"], 16).unwrap(),
            bytes: Bytes::from_hex(&row["frame_hex"]).unwrap(),
            place: Place { time: f64::from(n) * 0.01, line: u64::from(n) },
        };
        got.extend(assembler.accept(&frame, &mut faults).map(|message| message.bytes));
    }
    assembler.finish(&mut faults);
    assert!(faults.is_empty());
    assert_eq!(messages.len(), 16);
    for (case, (expected, got)) in messages {
        assert_eq!(got, [expected], "{case}");
    }
}

/// The frames of one case of the table, as rows of a log.
fn case(name: &str) -> Vec<(String, String)> {
    let rows = table(include_str!("reference/isotp_frames.csv"));
    rows.into_iter().filter(|row| row["case"] == name).map(|row| (row["can_id_hex"].clone(), row["frame_hex"].clone())).collect()
}

fn borrowed(rows: &[(String, String)]) -> Vec<(&str, &str)> {
    rows.iter().map(|(id, bytes)| (id.as_str(), bytes.as_str())).collect()
}

#[test]
fn an_answer_with_six_parameters_gives_six_readings_at_the_time_of_its_first_frame() {
    for name in ["response six PIDs", "29-bit response six PIDs"] {
        let frames = decode(&borrowed(&case(name)));
        assert_eq!(frames.defects, []);
        for row in table(include_str!("reference/isotp_six_pid_decoded.csv")) {
            let Some(channel) = channel(u8::from_str_radix(&row["pid_hex"], 16).unwrap()) else { continue };
            assert_eq!(frames.traces[&channel], [(0.0, row["value"].parse().unwrap())], "{name}: {}", row["parameter"]);
        }
        assert_eq!(frames.traces.len(), 5, "the sixth is the throttle, which has no channel");
    }
}

#[test]
fn bytes_may_stand_with_or_without_spaces_and_identifiers_in_either_case() {
    for (id, bytes) in [
        ("7E8", "03 41 05 7B 00 00 00 00"),
        ("7e8", "0341057b00000000"),
        (" 0x7E8 ", "0341 057B"),
        ("000007E8", "03 41 05 7B"),
        ("18DAF110", "03 41 05 7B AA AA AA AA"),
        ("18 DA F1 10", "03 41 05 7B"),
    ] {
        let frames = decode(&[(id, bytes)]);
        assert_eq!(values(&frames, Channel::CoolantTemperature), [83.0], "{id} {bytes}");
        assert_eq!(frames.defects, []);
    }
}

#[test]
fn messages_of_several_units_may_be_interleaved() {
    let frames = decode(&[
        ("7DF", "02 01 05 00 00 00 00 00"),
        ("7E8", "10 08 41 05 7B 0C 1A F8"),
        ("7E9", "10 08 41 46 32 33 65 42"),
        ("7E0", "30 00 00 00 00 00 00 00"),
        ("7E9", "21 30 39 55 55 55 55 55"),
        ("7E8", "21 0D 32 AA AA AA AA AA"),
    ]);
    assert_eq!(frames.defects, []);
    assert_eq!(frames.traces[&Channel::CoolantTemperature], [(0.1, 83.0)]);
    assert_eq!(values(&frames, Channel::VehicleSpeed), [50.0]);
    assert_eq!(values(&frames, Channel::AmbientTemperature), [10.0]);
    assert_eq!(values(&frames, Channel::BarometricPressure), [101.0]);
    assert_eq!(values(&frames, Channel::ModuleVoltage), [12.345]);
}

/// Requests, flow control, other services and other traffic are what an ordinary capture holds.
#[test]
fn what_is_no_answer_of_service_01_is_passed_over_in_silence() {
    let rows = [
        ("7DF", "02 01 05 00 00 00 00 00"),
        ("7E0", "07 01 05 0C 0D 0F 11 1F"),
        ("18DB33F1", "02 01 05 00 00 00 00 00"),
        ("18DA10F1", "30 00 00 00 00 00 00 00"),
        ("7E8", "30 00 00 00 00 00 00 00"),
        ("7E8", "03 7F 01 78 00 00 00 00"),
        ("7E8", "05 42 05 00 7B 00 00 00"),
        ("1A0", "41 05 7B FF FF FF FF FF"),
        ("7E8", "03 41 05 7B 00 00 00 00"),
    ];
    let frames = decode(&rows);
    assert_eq!(frames.defects, []);
    assert_eq!(frames.traces, BTreeMap::from([(Channel::CoolantTemperature, vec![(0.8, 83.0)])]));
    let vin = decode(&borrowed(&case("response service 09 PID 02 invented identifier")));
    assert_eq!(vin, Frames::default());
}

#[test]
fn a_log_without_any_answer_says_so() {
    let frames = decode(&[("1A0", "41 05 7B FF FF FF FF FF"), ("7DF", "02 01 05 00 00 00 00 00")]);
    assert_eq!(frames.traces, BTreeMap::new());
    assert!(frames.defects[0].effect.contains("7E8"), "{:?}", frames.defects);
}

/// `layer` payload: the text is a whole message; can_frame: one frame.
#[test]
fn malformed_cases_never_become_a_temperature() {
    for row in table(include_str!("reference/obd_malformed_cases.csv")) {
        let text = &row["text_hex"];
        let is_frame = row["layer"] == "can_frame";
        let complete = text.split_whitespace().all(|pair| pair.len() == 2);
        let framed = if is_frame || !complete { text.clone() } else { single(text) };
        let sound = ("7E8", "03 41 05 7B 00 00 00 00");
        let frames = decode(&[sound, ("7E8", &framed), sound]);
        assert_eq!(values(&frames, Channel::CoolantTemperature), [83.0, 83.0], "{}", row["case"]);
        assert_eq!(frames.traces.len(), 1, "{}", row["case"]);
        let kinds: Vec<(DefectKind, usize, Option<u64>)> = frames.defects.iter().map(|d| (d.kind, d.count, d.line)).collect();
        match row["case"].as_str() {
            "negative response" => assert_eq!(kinds, [(DefectKind::Sentinel, 1, Some(3))]),
            "wrong service echo" => assert_eq!(kinds, []),
            case => assert_eq!(kinds, [(DefectKind::BadFrame, 1, Some(3))], "{case}"),
        }
        if !is_frame && complete {
            let readings = service01::decode(&bytes(text));
            assert!(!matches!(readings, Answer::Readings(_)), "{}: {readings:?}", row["case"]);
        }
    }
}

#[test]
fn every_fault_is_named_counted_and_placed() {
    for (fault, rows) in [
        (Fault::Identifier, &[("7E8", "03 41 05 7B"), ("7.00E+08", "03 41 05 7B")][..]),
        (Fault::Hex, &[("7E8", "03 41 05 7"), ("7E8", "03 41 05 7B")]),
        (Fault::Hex, &[("7E8", "03 41 05 7G"), ("7E8", "03 41 05 7B")]),
        (Fault::TooLong, &[("7E8", "03 41 05 7B 00 00 00 00 00"), ("7E8", "03 41 05 7B")]),
        (Fault::FrameType, &[("7E8", "41 05 7B"), ("7E8", "03 41 05 7B")]),
        (Fault::SingleLength, &[("7E8", "08 41 05 7B 0C 1A F8 00"), ("7E8", "03 41 05 7B")]),
        (Fault::FirstLength, &[("7E8", "10 00 00 00 00 08 41 05"), ("7E8", "03 41 05 7B")]),
        (Fault::Short, &[("7E8", "03 41 05"), ("7E8", "03 41 05 7B")]),
        (Fault::Short, &[("7E8", ""), ("7E8", "03 41 05 7B")]),
        (Fault::Short, &[("7E8", "10 08 41 05 7B 0C 1A"), ("7E8", "03 41 05 7B")]),
        (Fault::NoFirstFrame, &[("7E8", "21 0D 32 00 00 00 00 00"), ("7E8", "03 41 05 7B")]),
        (Fault::Sequence, &[("7E8", "10 08 41 05 7B 0C 1A F8"), ("7E8", "22 0D 32"), ("7E8", "03 41 05 7B")]),
        (Fault::Unfinished, &[("7E8", "10 08 41 05 7B 0C 1A F8"), ("7E8", "03 41 05 7B")]),
        (Fault::Unfinished, &[("7E8", "03 41 05 7B"), ("7E8", "10 08 41 05 7B 0C 1A F8")]),
        (Fault::ShortParameter, &[("7E8", "04 41 05 7B 0C"), ("7E8", "03 41 05 7B")]),
        (Fault::ShortParameter, &[("7E8", "01 41"), ("7E8", "03 41 05 7B")]),
        (Fault::UnknownParameter, &[("7E8", "05 41 05 7B FE 00"), ("7E8", "03 41 05 7B")]),
    ] {
        let frames = decode(rows);
        assert_eq!(values(&frames, Channel::CoolantTemperature), [83.0], "{fault:?}: the sound frame is read, nothing else");
        assert_eq!(frames.traces.len(), 1, "{fault:?}");
        let [Defect { kind: DefectKind::BadFrame, count: 1, effect, line: Some(_), .. }] = frames.defects.as_slice() else {
            panic!("{fault:?}: {:?}", frames.defects)
        };
        assert_eq!(effect, fault.effect());
    }
}

/// N_Cr of ISO 15765-2 is one second; stamps in whole seconds may make that look like almost two.
#[test]
fn a_divided_message_may_take_a_second_between_frames_but_not_ten() {
    for (wait, expected) in [(1.0, 1), (1.9, 1), (10.0, 0)] {
        let rows = [(0.0, "7E8", "10 08 41 05 7B 0C 1A F8", 2), (wait, "7E8", "21 0D 32", 3)];
        let frames = frames::decode(rows.into_iter());
        assert_eq!(values(&frames, Channel::CoolantTemperature).len(), expected, "{wait} s");
        assert_eq!(counted(&frames), 1 - expected);
    }
}

#[test]
fn a_row_without_a_time_gives_no_reading() {
    let frames = frames::decode([(f64::NAN, "7E8", "03 41 05 7B", 2)].into_iter());
    assert_eq!((frames.traces.len(), counted(&frames), frames.defects[0].at_s), (0, 1, None));
}

#[test]
fn the_codes_of_a_dead_sensor_are_passed_on_for_their_neighbours_to_judge() {
    let frames = decode(&[("7E8", "03 41 05 00"), ("7E8", "03 41 05 FF")]);
    assert_eq!(values(&frames, Channel::CoolantTemperature), [-40.0, 215.0]);
}

/// Two units answer each request; the second once more often. Own rule: the lowest identifier of the nearly complete ones.
#[test]
fn two_units_are_never_mixed() {
    let mut rows = vec![("7E9", "03 41 05 50")];
    for _ in 0..20 {
        rows.extend([("7DF", "02 01 05"), ("7E8", "03 41 05 7B"), ("7E9", "03 41 05 50")]);
    }
    let frames = decode(&rows);
    assert_eq!(values(&frames, Channel::CoolantTemperature), vec![83.0; 20]);
    let [defect] = frames.defects.as_slice() else { panic!("{:?}", frames.defects) };
    assert_eq!((defect.channel, defect.count, defect.line), (Some(Channel::CoolantTemperature), 21, Some(2)));
    assert!(defect.effect.contains("7E9") && defect.effect.contains("7E8"), "{}", defect.effect);
}

#[test]
fn the_unit_with_far_more_answers_is_used_whatever_its_identifier() {
    let mut rows = vec![("7E8", "03 41 05 50"), ("7E8", "04 41 0C 1A F8")];
    rows.extend([("7E9", "03 41 05 7B"); 5]);
    let frames = decode(&rows);
    assert_eq!(values(&frames, Channel::CoolantTemperature), vec![83.0; 5]);
    assert_eq!(values(&frames, Channel::EngineSpeed), [1726.0], "a channel that only one unit gives comes from that unit");
    assert_eq!(frames.defects.len(), 1);
}

/// 05 and sensor 1 of 67 are the same measurand of the same unit: one is kept, and that is no defect.
#[test]
fn coolant_under_two_parameters_of_one_unit_is_kept_once() {
    let frames = decode(&[("7E8", "03 41 05 7B"), ("7E8", "05 41 67 03 7C 50"), ("7E8", "03 41 05 7B")]);
    assert_eq!(values(&frames, Channel::CoolantTemperature), [83.0, 83.0]);
    assert_eq!(values(&frames, Channel::CoolantTemperature2), [40.0]);
    assert_eq!(frames.defects, []);
}

#[test]
fn refusals_are_counted_by_their_code() {
    let frames = decode(&[("7E8", "03 7F 01 12"), ("7E8", "03 7F 01 22"), ("7E8", "03 7F 01 12")]);
    let counts: Vec<(DefectKind, usize)> = frames.defects.iter().map(|defect| (defect.kind, defect.count)).collect();
    assert_eq!(counts, [(DefectKind::Sentinel, 2), (DefectKind::Sentinel, 1)]);
    assert!(frames.defects[0].effect.contains("12"));
}

#[test]
fn headings_of_raw_frames_are_known_in_any_order() {
    let found = |text: &str| frames::frame_columns(&text.split(';').map(str::to_owned).collect::<Vec<_>>());
    assert_eq!(found("time;id;bytes"), Some(FrameColumns { time: Some(0), id: 1, bytes: 2 }));
    assert_eq!(found("Bytes;Time (s);CAN ID"), Some(FrameColumns { time: Some(1), id: 2, bytes: 0 }));
    assert_eq!(found("timestamp [ms];can_id_hex;dlc;Data Bytes"), Some(FrameColumns { time: Some(0), id: 1, bytes: 3 }));
    assert_eq!(found("time;coolant temperature;engine speed"), None);
    assert_eq!(found("time;signal;value;unit"), None);
    assert!(!frames::looks_like_frames(&[]));
}

/// A divided answer from which anything is missing gives nothing: every frame left out, every frame cut at every byte.
#[test]
fn a_damaged_divided_answer_gives_nothing() {
    let whole = case("response six PIDs");
    for (index, (id, frame)) in whole.iter().enumerate().filter(|(_, (id, _))| id == "7E8") {
        let mut rows = whole.clone();
        rows.remove(index);
        let frames = decode(&borrowed(&rows));
        assert!(frames.traces.is_empty() && counted(&frames) > 0, "frame {index} left out");
        // The last frame carries two bytes after its number; what follows is padding and may be cut.
        let needed = if index == whole.len() - 1 { 3 } else { 8 };
        for kept in 0..needed {
            let cut: Vec<&str> = frame.split_whitespace().take(kept).collect();
            let mut rows = whole.clone();
            rows[index] = (id.clone(), cut.join(" "));
            let frames = decode(&borrowed(&rows));
            assert!(frames.traces.is_empty() && counted(&frames) > 0, "frame {index} cut to {kept} bytes");
        }
    }
}

proptest! {
    #[test]
    fn no_text_makes_it_panic(rows in prop::collection::vec((any::<f64>(), ".{0,10}", ".{0,30}"), 0..20)) {
        let _ = frames::decode(rows.iter().map(|(time, id, bytes)| (*time, id.as_str(), bytes.as_str(), 1)));
    }

    #[test]
    fn no_frames_make_a_reading_that_the_bytes_cannot_carry(
        rows in prop::collection::vec((0_u32..3, prop::collection::vec(any::<u8>(), 0..9), 0_u8..4), 0..60),
    ) {
        let text: Vec<(String, String)> = rows
            .into_iter()
            .map(|(unit, mut bytes, kind)| {
                if let [control, service, ..] = bytes.as_mut_slice() {
                    *control = kind << 4 | (*control & 0x0F);
                    if kind == 0 {
                        *service = 0x41;
                    }
                }
                (format!("{:X}", 0x7E8 + unit), bytes.iter().map(|byte| format!("{byte:02X}")).collect())
            })
            .collect();
        let frames = decode(&borrowed(&text));
        for (channel, trace) in &frames.traces {
            prop_assert!(!channel.is_temperature() || trace.iter().all(|(_, value)| (-40.0..=215.0).contains(value)));
            prop_assert!(trace.windows(2).all(|pair| pair[0].0 <= pair[1].0));
        }
    }
}
