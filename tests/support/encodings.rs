//! The encodings in which a log may be written.

/// Every encoding, as the program names it.
pub const ENCODINGS: [&str; 7] = [
    "UTF-8",
    "UTF-8 with byte order mark",
    "UTF-16 LE",
    "UTF-16 BE",
    "UTF-16 LE without byte order mark",
    "UTF-16 BE without byte order mark",
    "Windows-1252",
];

/// A text in one of them; for the last one its letters must be in Latin-1.
pub fn encoded(text: &str, encoding: &str) -> Vec<u8> {
    match encoding {
        "UTF-8 with byte order mark" => [b"\xef\xbb\xbf", text.as_bytes()].concat(),
        "UTF-16 LE" => [0xff, 0xfe].into_iter().chain(text.encode_utf16().flat_map(u16::to_le_bytes)).collect(),
        "UTF-16 BE" => [0xfe, 0xff].into_iter().chain(text.encode_utf16().flat_map(u16::to_be_bytes)).collect(),
        "UTF-16 LE without byte order mark" => text.encode_utf16().flat_map(u16::to_le_bytes).collect(),
        "UTF-16 BE without byte order mark" => text.encode_utf16().flat_map(u16::to_be_bytes).collect(),
        "Windows-1252" => text.chars().map(|c| u8::try_from(u32::from(c)).expect("it is in Latin-1")).collect(),
        _ => text.as_bytes().to_vec(),
    }
}
