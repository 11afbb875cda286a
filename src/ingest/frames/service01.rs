//! Messages become readings: SAE J1979 service 01, "show current data".
//!
//! ```text
//! 41 pp dd … pp dd …       answer: parameter number, its bytes, the next parameter …
//! 7F 01 cc                 refusal, with its code
//! ```
//!
//! The parameters stand one after another without a separator, so that each one's length must be known to find the next,
//! also of those that are not wanted. A message must split without a remainder; if it does not, none of it is believed.
//!
//! Limits: parameters 06 to 09 are taken with one byte, which is right for engines of one or two cylinder banks; with more
//! they have two, the message does not split, and is counted instead of read. Lengths above 67 are listed as far as the
//! published tables agree on them.
//!
//! # References
//!
//! - SAE J1979 / ISO 15031-5, service 01: scalings and lengths. The standard itself was not seen: the lengths are those on
//!   which public parameter tables agree; the layout of 67 (byte A says which sensors exist, B and C are their readings) as well.

use super::faults::Fault;
use crate::channel::Channel;

/// Code of a refusal that says "an answer will follow"; it is no refusal of a reading.
const RESPONSE_PENDING: u8 = 0x78;

/// One reading of an answer.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Reading {
    /// What was read.
    pub channel: Channel,
    /// Under which parameter number.
    pub parameter: u8,
    /// The value, in [`Channel::unit`].
    pub value: f64,
}

/// What a message is.
#[derive(Clone, Debug, PartialEq)]
pub enum Answer {
    /// An answer of service 01 with these readings; empty if it holds none that the program uses.
    Readings(Vec<Reading>),
    /// The control unit refused the request of service 01, with this code.
    Refused(u8),
    /// A message of another service, or a promise to answer later.
    OtherService,
    /// An answer of service 01 that does not split into parameters.
    Bad(Fault),
}

/// Decodes one message.
pub fn decode(message: &[u8]) -> Answer {
    match message {
        [0x7F, 0x01, RESPONSE_PENDING, ..] => Answer::OtherService,
        [0x7F, 0x01, code, ..] => Answer::Refused(*code),
        [0x41, parameters @ ..] => split(parameters).map_or_else(Answer::Bad, Answer::Readings),
        _ => Answer::OtherService,
    }
}

/// Splits the parameters of an answer, all or none.
fn split(mut rest: &[u8]) -> Result<Vec<Reading>, Fault> {
    if rest.is_empty() {
        return Err(Fault::ShortParameter);
    }
    let mut readings = Vec::new();
    while let [parameter, after @ ..] = rest {
        let length = data_length(*parameter).ok_or(Fault::UnknownParameter)?;
        let (data, next) = after.split_at_checked(length).ok_or(Fault::ShortParameter)?;
        read(*parameter, data, &mut readings);
        rest = next;
    }
    Ok(readings)
}

/// Bytes of data after a parameter's number.
fn data_length(parameter: u8) -> Option<usize> {
    Some(match parameter {
        0x00 | 0x20 | 0x40 | 0x60 | 0x80 | 0xA0 => 4,
        0x01 | 0x24..=0x2B | 0x34..=0x3B | 0x41 | 0x4F | 0x50 => 4,
        0x02 | 0x03 | 0x0C | 0x10 | 0x14..=0x1B | 0x1F => 2,
        0x04..=0x0B | 0x0D..=0x0F | 0x11..=0x13 | 0x1C..=0x1E => 1,
        0x21..=0x23 | 0x31 | 0x32 | 0x3C..=0x3F => 2,
        0x2C..=0x30 | 0x33 => 1,
        0x42..=0x44 | 0x4D | 0x4E | 0x53..=0x59 | 0x5D | 0x5E => 2,
        0x45..=0x4C | 0x51 | 0x52 | 0x5A..=0x5C | 0x5F => 1,
        0x61 | 0x62 => 1,
        0x63 | 0x65 => 2,
        0x64 | 0x66 => 5,
        0x67 | 0x6F => 3,
        0x68 | 0x69 | 0x75 | 0x76 | 0x7A | 0x7B => 7,
        0x6A..=0x6C | 0x72..=0x74 | 0x77 => 5,
        0x78 | 0x79 | 0x7C => 9,
        0x7D | 0x7E => 1,
        0x7F => 13,
        _ => return None,
    })
}

/// Scales one parameter's bytes; parameters without a channel add nothing.
fn read(parameter: u8, data: &[u8], readings: &mut Vec<Reading>) {
    let mut push = |channel, value| readings.push(Reading { channel, parameter, value });
    match (parameter, data) {
        (0x04, &[a]) => push(Channel::EngineLoad, f64::from(a) * 100.0 / 255.0),
        (0x05, &[a]) => push(Channel::CoolantTemperature, celsius(a)),
        (0x0B, &[a]) => push(Channel::ManifoldPressure, f64::from(a)),
        (0x0C, &[a, b]) => push(Channel::EngineSpeed, word(a, b) / 4.0),
        (0x0D, &[a]) => push(Channel::VehicleSpeed, f64::from(a)),
        (0x0F, &[a]) => push(Channel::IntakeAirTemperature, celsius(a)),
        (0x10, &[a, b]) => push(Channel::AirFlow, word(a, b) / 100.0),
        (0x1F, &[a, b]) => push(Channel::RunTime, word(a, b)),
        (0x33, &[a]) => push(Channel::BarometricPressure, f64::from(a)),
        (0x42, &[a, b]) => push(Channel::ModuleVoltage, word(a, b) / 1000.0),
        (0x46, &[a]) => push(Channel::AmbientTemperature, celsius(a)),
        (0x5C, &[a]) => push(Channel::OilTemperature, celsius(a)),
        (0x5E, &[a, b]) => push(Channel::FuelRate, word(a, b) / 20.0),
        (0x67, &[support, first, second]) => {
            if support & 1 != 0 {
                push(Channel::CoolantTemperature, celsius(first));
            }
            if support & 2 != 0 {
                push(Channel::CoolantTemperature2, celsius(second));
            }
        }
        _ => {}
    }
}

/// A temperature byte: 1 °C a step from −40 °C.
fn celsius(byte: u8) -> f64 {
    f64::from(byte) - 40.0
}

/// Two bytes, the first the more significant.
fn word(high: u8, low: u8) -> f64 {
    f64::from(u16::from_be_bytes([high, low]))
}
