//! Bytes to text: compression, encoding, and files of another kind told by their first bytes.
//!
//! UTF-16 without a mark is told by where its NUL bytes stand (readings are ASCII, so every second byte is zero); what is not
//! valid UTF-8 is Windows-1252, of which Latin-1's letters are a part. Output of the decompressor is bounded, and its first
//! block is looked at before the rest is unpacked: a small file can unpack to gigabytes.
//!
//! # References
//!
//! - RFC 1952 (gzip); the Unicode Standard, byte order mark.

use super::error::Problem;
use encoding_rs::{UTF_16BE, UTF_16LE, WINDOWS_1252};
use std::borrow::Cow;
use std::io::Read;

/// Most that is read, in bytes, after unpacking: weeks of driving at any usual rate.
pub const LIMIT: usize = 512_000_000;

/// The first bytes of a packed file (RFC 1952, 2.3.1).
const GZIP: [u8; 2] = [0x1f, 0x8b];

/// How much is looked at to tell text from other things, in bytes.
const PROBE: usize = 65_536;

/// The log as text.
#[derive(Debug)]
pub struct Text<'a> {
    /// The text, without a byte order mark.
    pub text: Cow<'a, str>,
    /// Name of the encoding.
    pub encoding: &'static str,
    /// Whether it came compressed.
    pub compressed: bool,
    /// The compressed file ended early, or the file ends in a block of zeros.
    pub cut_off: bool,
}

/// Unpacks and decodes a log.
///
/// # Errors
///
/// [`Problem`] if it is empty, too large, damaged, or no text.
pub fn decode(bytes: &[u8]) -> Result<Text<'_>, Problem> {
    if bytes.len() > LIMIT {
        refuse_other_kinds(bytes)?;
        return Err(Problem::TooLarge { what: "the file", limit_mb: LIMIT / 1_000_000 });
    }
    if !bytes.starts_with(&GZIP) {
        return decode_plain(Cow::Borrowed(bytes), false, false);
    }
    let (unpacked, cut_off) = unpack(bytes)?;
    decode_plain(Cow::Owned(unpacked), true, cut_off)
}

fn unpack(bytes: &[u8]) -> Result<(Vec<u8>, bool), Problem> {
    let mut decoder = flate2::read::MultiGzDecoder::new(bytes);
    let mut unpacked = Vec::new();
    let first = decoder.by_ref().take(PROBE as u64).read_to_end(&mut unpacked);
    if unpacked.starts_with(&GZIP) {
        return Err(Problem::NotText { what: "a file compressed twice", way_out: "unpack it once and pass the result" });
    }
    // UTF-16 is full of zeros; it is looked at once it is decoded.
    if utf16(&unpacked).is_none() {
        refuse_other_kinds(&unpacked)?;
    }
    let rest = first.and_then(|_| decoder.take((LIMIT + 1 - PROBE) as u64).read_to_end(&mut unpacked));
    match rest {
        Ok(_) if unpacked.len() > LIMIT => Err(Problem::TooLarge { what: "the unpacked file", limit_mb: LIMIT / 1_000_000 }),
        Ok(_) => Ok((unpacked, false)),
        Err(_) if unpacked.is_empty() => Err(Problem::DamagedArchive),
        Err(_) => Ok((unpacked, true)),
    }
}

fn decode_plain(bytes: Cow<'_, [u8]>, compressed: bool, cut_off: bool) -> Result<Text<'_>, Problem> {
    if bytes.iter().take(PROBE).all(u8::is_ascii_whitespace) && bytes.iter().all(u8::is_ascii_whitespace) {
        return Err(Problem::Empty);
    }
    if let Some((encoding, skip, name)) = utf16(&bytes) {
        let (text, _) = encoding.decode_without_bom_handling(bytes.get(skip..).unwrap_or_default());
        refuse_other_kinds(text.as_bytes())?;
        let text = text.trim_end_matches(['\0', '\u{fffd}']).to_owned();
        if text.trim().is_empty() {
            return Err(Problem::Empty);
        }
        return Ok(Text { text: Cow::Owned(text), encoding: name, compressed, cut_off });
    }
    refuse_other_kinds(&bytes)?;
    let skip = if bytes.starts_with(&[0xef, 0xbb, 0xbf]) { 3 } else { 0 };
    let padding = bytes.iter().rev().take_while(|&&byte| byte == 0).count();
    let end = bytes.len() - padding;
    let body = match bytes {
        Cow::Borrowed(bytes) => Cow::Borrowed(bytes.get(skip..end).unwrap_or_default()),
        Cow::Owned(mut bytes) => {
            bytes.truncate(end);
            bytes.drain(..skip.min(end));
            Cow::Owned(bytes)
        }
    };
    let cut_off = cut_off || padding > 0;
    let (text, encoding) = match body {
        Cow::Borrowed(bytes) => match std::str::from_utf8(bytes) {
            Ok(text) => (Cow::Borrowed(text), "UTF-8"),
            Err(error) => one_byte_text(bytes, error),
        },
        Cow::Owned(bytes) => match String::from_utf8(bytes) {
            Ok(text) => (Cow::Owned(text), "UTF-8"),
            Err(error) => {
                let place = error.utf8_error();
                let (text, encoding) = one_byte_text(error.as_bytes(), place);
                (Cow::Owned(text.into_owned()), encoding)
            }
        },
    };
    let encoding = if skip == 3 { "UTF-8 with byte order mark" } else { encoding };
    Ok(Text { text, encoding, compressed, cut_off })
}

/// Text that is not UTF-8: cut off within its last letter, or one byte a letter.
fn one_byte_text(bytes: &[u8], error: std::str::Utf8Error) -> (Cow<'_, str>, &'static str) {
    if error.error_len().is_none() {
        let whole = bytes.get(..error.valid_up_to()).unwrap_or_default();
        if let Ok(text) = std::str::from_utf8(whole) {
            return (Cow::Borrowed(text), "UTF-8");
        }
    }
    (WINDOWS_1252.decode_without_bom_handling(bytes).0, "Windows-1252")
}

/// UTF-16 by its mark or by its NUL bytes: its decoder, the length of the mark, its name.
fn utf16(bytes: &[u8]) -> Option<(&'static encoding_rs::Encoding, usize, &'static str)> {
    if bytes.starts_with(&[0xff, 0xfe]) {
        Some((UTF_16LE, 2, "UTF-16 LE"))
    } else if bytes.starts_with(&[0xfe, 0xff]) {
        Some((UTF_16BE, 2, "UTF-16 BE"))
    } else {
        utf16_without_mark(bytes)
    }
}

/// UTF-16 by its NUL bytes: nearly every second byte zero, and hardly any of the others.
fn utf16_without_mark(bytes: &[u8]) -> Option<(&'static encoding_rs::Encoding, usize, &'static str)> {
    let probe = bytes.get(..bytes.len().min(4096)).unwrap_or_default();
    let (mut even, mut odd) = (0_usize, 0_usize);
    for pair in probe.chunks_exact(2) {
        even += usize::from(pair.first() == Some(&0));
        odd += usize::from(pair.get(1) == Some(&0));
    }
    let pairs = probe.len() / 2;
    if pairs < 4 {
        None
    } else if odd * 10 > pairs * 7 && even * 10 < pairs {
        Some((UTF_16LE, 0, "UTF-16 LE without byte order mark"))
    } else if even * 10 > pairs * 7 && odd * 10 < pairs {
        Some((UTF_16BE, 0, "UTF-16 BE without byte order mark"))
    } else {
        None
    }
}

/// First bytes of files that people pass by mistake, what they are, and the way out.
const OTHER_KINDS: &[(&[u8], &str, &str)] = &[
    (b"PK\x03\x04", "a spreadsheet or ZIP archive", "in the spreadsheet, save the sheet as CSV; from an archive, take the log out first"),
    (b"\xd0\xcf\x11\xe0", "an old spreadsheet", "open it and save the sheet as CSV"),
    (b"%PDF", "a PDF", "a printed report holds no readings: export the log as CSV"),
    (b"\x89PNG", "a picture", "a screenshot holds no readings: export the log as CSV"),
    (b"\xff\xd8\xff", "a picture", "a photograph holds no readings: export the log as CSV"),
    (b"GIF8", "a picture", "a picture holds no readings: export the log as CSV"),
    (b"SQLite format 3\0", "a database", "export the log from the recorder's program as CSV"),
    (b"MDF     ", "a binary measurement file", "export it as CSV"),
    (b"PAR1", "a Parquet file", "export it as CSV"),
    (b"BZh", "a bzip2 archive", "unpack it first (gzip is read as it is)"),
    (b"7z\xbc\xaf\x27\x1c", "a 7-Zip archive", "unpack it first (gzip is read as it is)"),
    (b"\xfd7zXZ", "an xz archive", "unpack it first (gzip is read as it is)"),
    (b"\x28\xb5\x2f\xfd", "a zstd archive", "unpack it first (gzip is read as it is)"),
    (b"<!DOCTYPE", "a web page", "the download may have wanted a login: fetch the CSV itself"),
    (b"<html", "a web page", "the download may have wanted a login: fetch the CSV itself"),
    (b"<?xml", "an XML file", "export the log as CSV"),
    (b"{", "a JSON file", "export the log as CSV"),
];

fn refuse_other_kinds(bytes: &[u8]) -> Result<(), Problem> {
    if let Some((_, what, way_out)) = OTHER_KINDS.iter().find(|(magic, ..)| bytes.starts_with(magic)) {
        return Err(Problem::NotText { what, way_out });
    }
    let probe = bytes.get(..bytes.len().min(PROBE)).unwrap_or_default();
    let odd = probe.iter().filter(|&&byte| byte < 0x20 && !matches!(byte, b'\t' | b'\n' | b'\r' | 0x0c)).count();
    // A file padded with zeros after a power cut is text up to there, and is told by its beginning.
    let head = probe.get(..probe.len().min(512)).unwrap_or_default();
    let odd_head = head.iter().filter(|&&byte| byte < 0x20 && !matches!(byte, b'\t' | b'\n' | b'\r' | 0x0c)).count();
    if head.is_empty() || (odd * 20 <= probe.len() || odd_head == 0) {
        return Ok(());
    }
    if head.iter().all(|&byte| byte == 0) {
        return Err(Problem::NotText {
            what: "a file of zeros",
            way_out: "the recorder's card may be damaged: copy the log again, or record again",
        });
    }
    Err(Problem::NotText { what: "a binary file", way_out: "export the log as CSV" })
}
