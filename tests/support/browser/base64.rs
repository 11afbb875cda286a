//! Base64 (RFC 4648, section 4), read: the protocol sends pictures and PDFs so.

/// The bytes.
pub fn read(text: &str) -> Vec<u8> {
    let digit = |byte: u8| match byte {
        b'A'..=b'Z' => u32::from(byte - b'A'),
        b'a'..=b'z' => u32::from(byte - b'a') + 26,
        b'0'..=b'9' => u32::from(byte - b'0') + 52,
        b'+' => 62,
        b'/' => 63,
        other => panic!("{:?} is no digit of base64", char::from(other)),
    };
    let digits: Vec<u32> = text.trim_end_matches('=').bytes().map(digit).collect();
    let mut bytes = Vec::with_capacity(digits.len() * 3 / 4);
    for group in digits.chunks(4) {
        let whole = group.iter().fold(0, |sum, digit| sum << 6 | digit) << (6 * (4 - group.len()));
        bytes.extend(whole.to_be_bytes().into_iter().skip(1).take(group.len() * 6 / 8));
    }
    bytes
}

#[test]
fn the_vectors_of_the_standard_read_back() {
    // RFC 4648, section 10.
    for (bytes, written) in
        [("", ""), ("f", "Zg=="), ("fo", "Zm8="), ("foo", "Zm9v"), ("foob", "Zm9vYg=="), ("fooba", "Zm9vYmE="), ("foobar", "Zm9vYmFy")]
    {
        assert_eq!(read(written), bytes.as_bytes());
    }
}
