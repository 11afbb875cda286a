//! Raw diagnostic answers: rows of time, CAN identifier and bytes become readings.
//!
//! A frame goes through three steps, each in its own place: is it an answer at all (by its identifier), which message is it
//! part of ([`transport`]), what does the message say ([`service01`]). A frame that fails any step gives no reading and is
//! counted, with its place, in a defect; requests, flow control, other services and other bus traffic are no fault and are
//! passed over in silence.
//!
//! Identifiers of legislated diagnostics:
//!
//! ```text
//!            request                      answer
//! 11 bit     7DF (all), 7E0 to 7E7        7E8 to 7EF
//! 29 bit     18DB33F1 (all), 18DAxxF1     18DAF1xx        xx = the control unit
//! ```
//!
//! Two control units may answer one request, each with its own sensor. They are never mixed: a channel's readings all come
//! from one unit, the one with the most answers; among units that are nearly as complete (nine tenths of its answers) the lowest
//! identifier, which ISO 15765-4 recommends for the engine. The other units' readings are counted in a defect. Where one
//! unit gives the coolant temperature under 05 and under 67, the fuller of the two is used, 05 if they are equal.
//!
//! Readings keep the order of the rows; a multi-frame message has the time of its first frame, when the unit composed it.
//! Codes such as −40 or 215 °C are passed on as they are: whether one is damage depends on its neighbours.
//!
//! # References
//!
//! - ISO 15765-4:2011, 10.5 (identifiers; clause number from memory).
//! - ISO 15765-2 (transport) and SAE J1979 / ISO 15031-5 (service 01): see the modules.

pub mod faults;
pub mod service01;
pub mod transport;

use crate::channel::Channel;
use crate::run::{Defect, DefectKind};
use faults::{Fault, Faults, Place};
use service01::Answer;
use std::collections::BTreeMap;
use transport::{Assembler, Bytes, Frame};

/// A unit with at least this share of the fullest unit's answers counts as complete: one or two lost rows must not decide
/// whose sensor is used. Own choice.
const NEARLY_COMPLETE: f64 = 0.9;

/// What the rows of a log of raw answers say.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Frames {
    /// Readings per channel, in row order: time in seconds as the row has it, value in [`Channel::unit`].
    pub traces: BTreeMap<Channel, Vec<(f64, f64)>>,
    /// Frames that gave no reading, refusals, and answers of further control units.
    pub defects: Vec<Defect>,
}

/// Which columns of a table hold raw frames.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct FrameColumns {
    /// Time; a log without one can still be read with a stated period.
    pub time: Option<usize>,
    /// CAN identifier.
    pub id: usize,
    /// Bytes of the frame.
    pub bytes: usize,
}

/// Finds the columns of raw frames by their headings, in any order, whatever the case, punctuation or unit in brackets;
/// `None` if the table holds something else.
pub fn frame_columns(headings: &[String]) -> Option<FrameColumns> {
    let folded: Vec<String> = headings.iter().map(|heading| fold(heading)).collect();
    let find = |names: &[&str]| folded.iter().position(|heading| names.contains(&heading.as_str()));
    Some(FrameColumns {
        time: find(&["time", "times", "timestamp", "datetime", "elapsed", "elapsedtime", "clock", "seconds", "t"]),
        id: find(&["id", "canid", "canidhex", "idhex", "identifier", "canidentifier", "arbitrationid", "messageid"])?,
        bytes: find(&["bytes", "byteshex", "databytes", "canbytes", "data", "datahex", "candata", "frame", "framehex", "canframe", "hex"])?,
    })
}

/// Whether the headings are those of raw frames: an identifier and bytes, usually with a time.
pub fn looks_like_frames(headings: &[String]) -> bool {
    frame_columns(headings).is_some()
}

/// A heading without case, punctuation and what stands in brackets.
fn fold(heading: &str) -> String {
    let bare = heading.split(['(', '[']).next().unwrap_or_default();
    bare.chars().filter(|c| c.is_alphanumeric()).flat_map(char::to_lowercase).collect()
}

/// One source of a channel's readings.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
struct Source {
    channel: Channel,
    unit: u32,
    parameter: u8,
}

/// Readings of one source with the place of the first.
struct Readings {
    first: Place,
    points: Vec<(f64, f64)>,
}

/// Assembles and decodes rows of (time in seconds, identifier, bytes, line of the file).
///
/// The identifier has 3 or 8 hexadecimal digits, the bytes two each, with or without spaces. Nothing that is malformed
/// becomes a reading.
pub fn decode<'a>(rows: impl Iterator<Item = (f64, &'a str, &'a str, u64)>) -> Frames {
    let mut faults = Faults::default();
    let mut assembler = Assembler::default();
    let mut sources: BTreeMap<Source, Readings> = BTreeMap::new();
    let mut first_stranger = None;
    let mut answers = 0_usize;
    for (time, id, bytes, line) in rows {
        let place = Place { time, line };
        let Some(id) = identifier(id) else {
            faults.note(Fault::Identifier, place);
            continue;
        };
        if !is_answer(id) {
            if !is_request(id) {
                first_stranger.get_or_insert(place);
            }
            continue;
        }
        answers += 1;
        if !time.is_finite() {
            faults.note(Fault::Time, place);
            continue;
        }
        let frame = match Bytes::from_hex(bytes) {
            Ok(bytes) => Frame { id, bytes, place },
            Err(fault) => {
                faults.note(fault, place);
                continue;
            }
        };
        let Some(message) = assembler.accept(&frame, &mut faults) else { continue };
        match service01::decode(&message.bytes) {
            Answer::Readings(readings) => {
                for reading in readings {
                    let source = Source { channel: reading.channel, unit: id, parameter: reading.parameter };
                    let kept = sources.entry(source).or_insert_with(|| Readings { first: message.place, points: Vec::new() });
                    kept.points.push((message.place.time, reading.value));
                }
            }
            Answer::Refused(code) => faults.refusal(code, message.place),
            Answer::OtherService => {}
            Answer::Bad(fault) => faults.note(fault, message.place),
        }
    }
    assembler.finish(&mut faults);
    if let (0, Some(place)) = (answers, first_stranger) {
        faults.note(Fault::NoAnswer, place);
    }
    let mut defects = faults.into_defects();
    let traces = one_unit_a_channel(sources, &mut defects);
    Frames { traces, defects }
}

/// Keeps one source a channel and counts what further units answered.
fn one_unit_a_channel(mut sources: BTreeMap<Source, Readings>, defects: &mut Vec<Defect>) -> BTreeMap<Channel, Vec<(f64, f64)>> {
    let mut traces = BTreeMap::new();
    for channel in Channel::all() {
        let of_channel: Vec<(Source, usize)> =
            sources.iter().filter(|(source, _)| source.channel == channel).map(|(source, kept)| (*source, kept.points.len())).collect();
        let most = of_channel.iter().map(|(_, count)| *count).max().unwrap_or(0);
        let complete = |count: usize| count as f64 >= NEARLY_COMPLETE * most as f64;
        // Sources are in the order of unit, then parameter: the first complete one has the lowest identifier.
        let Some(unit) = of_channel.iter().find(|(_, count)| complete(*count)).map(|(source, _)| source.unit) else { continue };
        let fullest = of_channel.iter().filter(|(source, _)| source.unit == unit).max_by_key(|(source, count)| (*count, !source.parameter));
        if let Some(kept) = fullest.and_then(|(source, _)| sources.remove(source)) {
            traces.insert(channel, kept.points);
        }
        for (source, count) in of_channel.into_iter().filter(|(source, _)| source.unit != unit) {
            let first = sources.get(&source).map(|kept| kept.first);
            defects.push(Defect {
                kind: DefectKind::SecondUnit,
                channel: Some(channel),
                at_s: first.map(|place| place.time),
                line: first.map(|place| place.line),
                count,
                effect: format!("control unit {:X} answered too; only {unit:X} is used, so that two sensors are not mixed", source.unit),
            });
        }
    }
    traces
}

/// Reads an identifier of 3 or 8 hexadecimal digits; `0x` before it and spaces in it are allowed.
fn identifier(text: &str) -> Option<u32> {
    const LARGEST_29_BIT: u32 = 0x1FFF_FFFF;
    let digits: String = text.chars().filter(|c| !c.is_whitespace()).collect();
    let digits = digits.strip_prefix("0x").or_else(|| digits.strip_prefix("0X")).unwrap_or(&digits);
    let plain = matches!(digits.len(), 3 | 8) && digits.bytes().all(|byte| byte.is_ascii_hexdigit());
    plain.then(|| u32::from_str_radix(digits, 16).ok()).flatten().filter(|&id| id <= LARGEST_29_BIT)
}

fn is_answer(id: u32) -> bool {
    matches!(id, 0x7E8..=0x7EF | 0x18DA_F100..=0x18DA_F1FF)
}

fn is_request(id: u32) -> bool {
    matches!(id, 0x7DF..=0x7E7 | 0x18DB_33F1) || id & 0xFFFF_00FF == 0x18DA_00F1
}
