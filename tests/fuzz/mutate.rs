//! Changes to an input: of bytes, of numbers, of words, of lines and columns, of encoding.

use super::Chance;
use std::io::Write;
use std::ops::Range;

/// Numbers at the edge of something: a byte's codes, a float's ends, moments, digits without end.
const NUMBERS: &[&str] = &[
    "0",
    "-0",
    "1",
    "-1",
    "-40",
    "215",
    "255",
    "254",
    "65535",
    "1e308",
    "-1e308",
    "1e-308",
    "4.9e-324",
    "9007199254740993",
    "0.1",
    "-0.5",
    "99999999999999999999",
    "1772437270",
    "1772437270123",
    "1772437270123456",
    "46083.5",
    "1,5",
    "1.234,5",
    "1,234.5",
    "12:00:00",
    "23:59:59.999",
    "00:00:00",
    "-",
    "",
    "nan",
    "inf",
    "1e999",
    "0x5A",
    "87 °C",
    "188 °F",
    "361 K",
    "2147483648",
    "4294967296",
    "−7",
    "2000095607",
    "3600000",
    "86400",
    "0.000001",
];

/// Bytes that mean something somewhere.
const BYTES: &[u8] = b"\",;\t|\n\r\0 :-/.+eE#=[]()'%\xc2\xb0\xff\xfe\x1f\x8bTZ";

/// Changes an input once; `other` is another input to take from.
pub fn one(input: &mut Vec<u8>, other: &[u8], words: &[&str], chance: &mut Chance) {
    let at = chance.below(input.len() + 1);
    match chance.below(22) {
        0 => flip(input, chance),
        1 => insert(input, at, &[*chance.of(BYTES)]),
        2 => insert(input, at, &[chance.bits() as u8]),
        3 => drop(input.drain(some(input.len(), 12, chance))),
        4 => {
            let twice = input[some(input.len(), 40, chance)].to_vec();
            insert(input, at, &twice);
        }
        5 => input.truncate(at),
        6 => {
            let taken = other[some(other.len(), 60, chance)].to_vec();
            insert(input, at, &taken);
        }
        7 | 8 if !words.is_empty() => insert(input, at, chance.of(words).as_bytes()),
        9 | 10 => number(input, chance),
        11 if !words.is_empty() => cell(input, chance.of(words).as_bytes(), chance),
        12 => cell(input, chance.of(NUMBERS).as_bytes(), chance),
        13 => swap_lines(input, chance),
        14 => repeat_line(input, chance),
        15 => drop_line(input, chance),
        16 => column(input, chance),
        17 => {
            let (from, to) = (*chance.of(b",;\t|"), *chance.of(b",;\t|"));
            input.iter_mut().filter(|byte| **byte == from).for_each(|byte| *byte = to);
        }
        18 => line_ends(input, chance),
        19 => encoding(input, chance),
        20 => {
            let cut = chance.below(other.len() + 1);
            input.truncate(at);
            input.extend_from_slice(&other[cut..]);
        }
        _ => flip(input, chance),
    }
}

/// Some bytes of so many, at most `most`.
fn some(length: usize, most: usize, chance: &mut Chance) -> Range<usize> {
    let from = chance.below(length + 1);
    let to = (from + 1 + chance.below(most)).min(length);
    from..to.max(from)
}

fn insert(input: &mut Vec<u8>, at: usize, bytes: &[u8]) {
    drop(input.splice(at..at, bytes.iter().copied()));
}

fn flip(input: &mut [u8], chance: &mut Chance) {
    if !input.is_empty() {
        let at = chance.below(input.len());
        input[at] ^= 1 << chance.below(8);
    }
}

/// Runs of bytes for which `part` holds.
fn runs(input: &[u8], part: impl Fn(u8) -> bool) -> Vec<Range<usize>> {
    let mut runs: Vec<Range<usize>> = Vec::new();
    for (at, _) in input.iter().enumerate().filter(|(_, byte)| part(**byte)) {
        match runs.last_mut() {
            Some(run) if run.end == at => run.end = at + 1,
            _ => runs.push(at..at + 1),
        }
    }
    runs
}

/// Puts another number in place of one.
fn number(input: &mut Vec<u8>, chance: &mut Chance) {
    let numbers = runs(input, |byte| byte.is_ascii_digit());
    if numbers.is_empty() {
        return;
    }
    let place = chance.of(&numbers).clone();
    let new = match chance.below(4) {
        0 => chance.below(100_000).to_string(),
        1 => chance.below(256).to_string(),
        _ => (*chance.of(NUMBERS)).to_owned(),
    };
    drop(input.splice(place, new.bytes()));
}

/// Puts another text in place of a cell.
fn cell(input: &mut Vec<u8>, text: &[u8], chance: &mut Chance) {
    let cells = runs(input, |byte| !matches!(byte, b',' | b';' | b'\t' | b'|' | b'\n' | b'\r'));
    if !cells.is_empty() {
        let place = chance.of(&cells).clone();
        drop(input.splice(place, text.iter().copied()));
    }
}

fn lines(input: &[u8]) -> Vec<Vec<u8>> {
    input.split_inclusive(|&byte| byte == b'\n').map(<[u8]>::to_vec).collect()
}

fn swap_lines(input: &mut Vec<u8>, chance: &mut Chance) {
    let mut lines = lines(input);
    if lines.len() > 1 {
        let (a, b) = (chance.below(lines.len()), chance.below(lines.len()));
        lines.swap(a, b);
        *input = lines.concat();
    }
}

fn repeat_line(input: &mut Vec<u8>, chance: &mut Chance) {
    let mut lines = lines(input);
    if !lines.is_empty() {
        let (line, at) = (chance.of(&lines).clone(), chance.below(lines.len() + 1));
        let times = if chance.below(8) == 0 { chance.below(400) } else { 1 + chance.below(3) };
        drop(lines.splice(at..at, std::iter::repeat_n(line, times)));
        *input = lines.concat();
    }
}

fn drop_line(input: &mut Vec<u8>, chance: &mut Chance) {
    let mut lines = lines(input);
    if !lines.is_empty() {
        lines.remove(chance.below(lines.len()));
        *input = lines.concat();
    }
}

/// Takes a column out, doubles it, or moves it, in every line that has it.
fn column(input: &mut Vec<u8>, chance: &mut Chance) {
    let delimiter = *chance.of(b",,,;\t");
    let (which, to, what) = (chance.below(6), chance.below(6), chance.below(3));
    let mut text = Vec::with_capacity(input.len());
    for line in lines(input) {
        let (body, end) = line.split_at(line.len() - usize::from(line.ends_with(b"\n")));
        let mut cells: Vec<&[u8]> = body.split(|&byte| byte == delimiter).collect();
        if which < cells.len() {
            match what {
                0 => drop(cells.remove(which)),
                1 => cells.insert(which, cells[which]),
                _ => {
                    let to = to.min(cells.len() - 1);
                    cells.swap(which, to);
                }
            }
        }
        text.extend(cells.join(&delimiter));
        text.extend(end);
    }
    *input = text;
}

fn line_ends(input: &mut Vec<u8>, chance: &mut Chance) {
    let end: &[u8] = [b"\r\n".as_slice(), b"\r", b"\n\n", b"\n"][chance.below(4)];
    *input = lines(input).iter().flat_map(|line| [line.strip_suffix(b"\n").unwrap_or(line), end].concat()).collect();
}

fn encoding(input: &mut Vec<u8>, chance: &mut Chance) {
    let text = String::from_utf8_lossy(input).into_owned();
    match chance.below(6) {
        0 => insert(input, 0, b"\xef\xbb\xbf"),
        1 => *input = [0xff, 0xfe].into_iter().chain(text.encode_utf16().flat_map(u16::to_le_bytes)).collect(),
        2 => *input = text.encode_utf16().flat_map(u16::to_be_bytes).collect(),
        3 => *input = text.chars().map(|c| u8::try_from(u32::from(c)).unwrap_or(b'?')).collect(),
        4 => {
            let mut packer = flate2::write::GzEncoder::new(Vec::new(), flate2::Compression::fast());
            packer.write_all(input).and_then(|()| packer.try_finish()).expect("memory can be written");
            *input = packer.finish().expect("memory can be written");
        }
        _ => input.extend_from_slice(&vec![0; chance.below(600)]),
    }
}
