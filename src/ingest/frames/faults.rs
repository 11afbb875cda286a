//! What can be wrong with a frame, counted and placed.

use crate::run::{Defect, DefectKind};
use std::collections::BTreeMap;

/// Where in the log something stands.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Place {
    /// Time of the row, in seconds as the row has it.
    pub time: f64,
    /// Line of the file; the first is 1.
    pub line: u64,
}

/// Why a frame, or the message it belongs to, gives no reading.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Fault {
    /// The identifier is not 3 or 8 hexadecimal digits.
    Identifier,
    /// No row of the log has an identifier that belongs to an answer.
    NoAnswer,
    /// The row has no usable time.
    Time,
    /// The bytes are not pairs of hexadecimal digits.
    Hex,
    /// More than the 8 bytes of a classical CAN frame.
    TooLong,
    /// A frame type that ISO 15765-2 does not define.
    FrameType,
    /// A single frame that announces no byte, or more than 7.
    SingleLength,
    /// A first frame that announces a message which a single frame would have carried, or one without a length.
    FirstLength,
    /// A frame that ends before the bytes that it announces.
    Short,
    /// A consecutive frame without a first frame before it.
    NoFirstFrame,
    /// A consecutive frame with the wrong sequence number.
    Sequence,
    /// A consecutive frame long after the one before it.
    Late,
    /// A message whose last frames are missing.
    Unfinished,
    /// A parameter with fewer bytes than it needs.
    ShortParameter,
    /// A parameter whose length is not known, so that the rest of the message cannot be split.
    UnknownParameter,
}

impl Fault {
    /// What was found and what was done, in words.
    pub fn effect(self) -> &'static str {
        match self {
            Self::Identifier => {
                "the identifier is not 3 or 8 hexadecimal digits (a spreadsheet makes a number of 7E8); the frame is left out"
            }
            Self::NoAnswer => "no identifier belongs to a diagnostic answer (7E8 to 7EF, 18DAF1xx); nothing could be read",
            Self::Time => "the row has no usable time; the frame is left out",
            Self::Hex => "the bytes are not pairs of hexadecimal digits; the frame is left out",
            Self::TooLong => "the frame has more than 8 bytes; it is left out",
            Self::FrameType => "the first byte is no frame type of ISO 15765-2; the frame is left out",
            Self::SingleLength => "a single frame announces no byte or more than 7; it is left out",
            Self::FirstLength => "a first frame announces a length that no divided message has; it is left out",
            Self::Short => "the frame ends before the bytes that it announces; it is left out",
            Self::NoFirstFrame => "a consecutive frame has no first frame before it; it is left out",
            Self::Sequence => "a consecutive frame is missing or out of order; the message is left out",
            Self::Late => "a consecutive frame comes too long after the one before; the message is left out",
            Self::Unfinished => "the last frames of a message are missing; the message is left out",
            Self::ShortParameter => "a parameter has fewer bytes than it needs; the message is left out",
            Self::UnknownParameter => "a parameter has a length that is not known; the message is left out",
        }
    }
}

/// How often something was seen, and where first.
struct Tally {
    count: usize,
    first: Place,
}

impl Tally {
    fn defect(self, kind: DefectKind, effect: String) -> Defect {
        let at_s = self.first.time.is_finite().then_some(self.first.time);
        Defect { kind, channel: None, at_s, line: Some(self.first.line), count: self.count, effect }
    }
}

/// Faults and refusals seen so far.
#[derive(Default)]
pub struct Faults {
    faults: BTreeMap<Fault, Tally>,
    refusals: BTreeMap<u8, Tally>,
}

impl Faults {
    /// Counts a fault.
    pub fn note(&mut self, fault: Fault, place: Place) {
        self.faults.entry(fault).or_insert(Tally { count: 0, first: place }).count += 1;
    }

    /// Counts a refusal: a negative response with its code.
    pub fn refusal(&mut self, code: u8, place: Place) {
        self.refusals.entry(code).or_insert(Tally { count: 0, first: place }).count += 1;
    }

    /// Whether nothing was counted.
    pub fn is_empty(&self) -> bool {
        self.faults.is_empty() && self.refusals.is_empty()
    }

    /// How often this fault was seen.
    pub fn count(&self, fault: Fault) -> usize {
        self.faults.get(&fault).map_or(0, |tally| tally.count)
    }

    /// Everything counted, as the report takes it.
    pub fn into_defects(self) -> Vec<Defect> {
        let faults = self.faults.into_iter().map(|(fault, tally)| tally.defect(DefectKind::BadFrame, fault.effect().to_owned()));
        let refusals = self.refusals.into_iter().map(|(code, tally)| {
            tally.defect(
                DefectKind::Sentinel,
                format!("the control unit refused the request (negative response, code {code:02X}); no value"),
            )
        });
        faults.chain(refusals).collect()
    }
}
