//! Frames become messages: ISO 15765-2 with normal addressing on classical CAN (8 bytes).
//!
//! ```text
//! 0L dd dd dd dd dd dd dd      single frame: L = 1 to 7 bytes
//! 1L LL dd dd dd dd dd dd      first frame: LLL = 8 to 4095 bytes, six of them here
//! 2S dd dd dd dd dd dd dd      consecutive frame: S counts 1 … 15, 0, 1 …
//! 3F …                         flow control, sent by the receiver: carries nothing
//! ```
//!
//! Bytes after the announced length are padding, whatever they hold. Messages of different identifiers may be interleaved;
//! on one identifier a new single or first frame ends the message before it, which then counts as unfinished. A frame with
//! the wrong sequence number ends its message too: what follows cannot be trusted to be where it seems.
//!
//! Limits: no extended addressing, no CAN FD, no lengths above 4095 (no answer of SAE J1979 needs one).
//!
//! # References
//!
//! - ISO 15765-2:2016, 9.6 protocol data units, 9.7 timing (N_Cr at most 1000 ms); clause numbers from memory.

use super::faults::{Fault, Faults, Place};
use std::collections::BTreeMap;

/// Longest wait between two frames of one message, in seconds. The standard allows 1 s; stamps in whole seconds can make
/// an allowed second look like almost two.
const LONGEST_WAIT: f64 = 2.0;

/// Up to 8 bytes of a frame.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Bytes {
    data: [u8; 8],
    length: usize,
}

impl Bytes {
    /// Reads two-digit hexadecimal bytes, with or without white space between them.
    ///
    /// # Errors
    ///
    /// [`Fault::Hex`] if a digit is odd or is none, [`Fault::TooLong`] beyond 8 bytes, [`Fault::Short`] if there is nothing.
    pub fn from_hex(text: &str) -> Result<Self, Fault> {
        let mut bytes = Self { data: [0; 8], length: 0 };
        for group in text.split_whitespace() {
            for pair in group.as_bytes().chunks(2) {
                let &[high, low] = pair else { return Err(Fault::Hex) };
                let byte = digit(high)? << 4 | digit(low)?;
                *bytes.data.get_mut(bytes.length).ok_or(Fault::TooLong)? = byte;
                bytes.length += 1;
            }
        }
        if bytes.length == 0 { Err(Fault::Short) } else { Ok(bytes) }
    }

    /// The bytes.
    pub fn as_slice(&self) -> &[u8] {
        self.data.get(..self.length).unwrap_or_default()
    }
}

fn digit(byte: u8) -> Result<u8, Fault> {
    char::from(byte).to_digit(16).and_then(|digit| u8::try_from(digit).ok()).ok_or(Fault::Hex)
}

/// One frame of the log.
#[derive(Clone, Copy, Debug)]
pub struct Frame {
    /// CAN identifier.
    pub id: u32,
    /// Its bytes.
    pub bytes: Bytes,
    /// Where it stands in the log.
    pub place: Place,
}

/// One whole message.
#[derive(Clone, Debug, PartialEq)]
pub struct Message {
    /// Its bytes without transport bytes and padding.
    pub bytes: Vec<u8>,
    /// Where its first frame stands.
    pub place: Place,
}

/// A message of which more frames are to come.
struct Pending {
    message: Message,
    length: usize,
    next: u8,
    last_time: f64,
}

/// Puts the frames of each identifier together.
#[derive(Default)]
pub struct Assembler {
    pending: BTreeMap<u32, Pending>,
}

impl Assembler {
    /// Takes the next frame of the log; returns the message that it completes, if it completes one.
    pub fn accept(&mut self, frame: &Frame, faults: &mut Faults) -> Option<Message> {
        let bytes = frame.bytes.as_slice();
        let outcome = match bytes.first()? >> 4 {
            0 => {
                self.abandon(frame.id, faults);
                single(bytes).map(|data| Some(Message { bytes: data.to_vec(), place: frame.place }))
            }
            1 => {
                self.abandon(frame.id, faults);
                self.first(frame, bytes).map(|()| None)
            }
            2 => self.consecutive(frame, bytes),
            3 => Ok(None),
            _ => Err(Fault::FrameType),
        };
        outcome.unwrap_or_else(|fault| {
            faults.note(fault, frame.place);
            None
        })
    }

    /// Ends the log: whatever is not complete stays unfinished.
    pub fn finish(self, faults: &mut Faults) {
        for pending in self.pending.into_values() {
            faults.note(Fault::Unfinished, pending.message.place);
        }
    }

    fn abandon(&mut self, id: u32, faults: &mut Faults) {
        if let Some(pending) = self.pending.remove(&id) {
            faults.note(Fault::Unfinished, pending.message.place);
        }
    }

    fn first(&mut self, frame: &Frame, bytes: &[u8]) -> Result<(), Fault> {
        const SHORTEST: usize = 8;
        let [high, low, data @ ..] = bytes else { return Err(Fault::Short) };
        let length = usize::from(high & 0x0F) << 8 | usize::from(*low);
        if length < SHORTEST {
            return Err(Fault::FirstLength);
        }
        if data.len() < 6 {
            return Err(Fault::Short);
        }
        let message = Message { bytes: data.to_vec(), place: frame.place };
        self.pending.insert(frame.id, Pending { message, length, next: 1, last_time: frame.place.time });
        Ok(())
    }

    fn consecutive(&mut self, frame: &Frame, bytes: &[u8]) -> Result<Option<Message>, Fault> {
        let [kind, data @ ..] = bytes else { return Err(Fault::Short) };
        // Taken out here and put back only when everything fits: any fault below ends the message.
        let mut pending = self.pending.remove(&frame.id).ok_or(Fault::NoFirstFrame)?;
        if kind & 0x0F != pending.next {
            return Err(Fault::Sequence);
        }
        if (frame.place.time - pending.last_time).abs() > LONGEST_WAIT {
            return Err(Fault::Late);
        }
        let wanted = (pending.length - pending.message.bytes.len()).min(7);
        pending.message.bytes.extend_from_slice(data.get(..wanted).ok_or(Fault::Short)?);
        if pending.message.bytes.len() == pending.length {
            return Ok(Some(pending.message));
        }
        pending.next = (pending.next + 1) & 0x0F;
        pending.last_time = frame.place.time;
        self.pending.insert(frame.id, pending);
        Ok(None)
    }
}

/// The data of a single frame.
fn single(bytes: &[u8]) -> Result<&[u8], Fault> {
    let [length, data @ ..] = bytes else { return Err(Fault::Short) };
    match length {
        1..=7 => data.get(..usize::from(*length)).ok_or(Fault::Short),
        _ => Err(Fault::SingleLength),
    }
}
