//! What visitors are told apart by: numbers from the system's source of chance, and marks that only this program can make.
//!
//! Nothing is stored a visitor: a session is a number with its mark, so that no number of visitors fills anything.
//!
//! # References
//!
//! - RFC 2104 (HMAC, with SHA-256).

use crate::archive::hex;
use sha2::{Digest, Sha256};

/// The program's secret, new at every start.
pub struct Secret([u8; 32]);

impl Secret {
    /// From the system's source of chance.
    ///
    /// # Errors
    ///
    /// What the system says, if it has none.
    pub fn new() -> Result<Self, getrandom::Error> {
        let mut bytes = [0; 32];
        getrandom::fill(&mut bytes)?;
        Ok(Self(bytes))
    }

    /// The mark of a text: HMAC-SHA-256 in hexadecimal.
    pub fn mark(&self, text: &str) -> String {
        let pad = |with: u8| {
            let mut block = [with; 64];
            block.iter_mut().zip(self.0).for_each(|(byte, key)| *byte ^= key);
            block
        };
        let inner = Sha256::new().chain_update(pad(0x36)).chain_update(text.as_bytes()).finalize();
        hex(&Sha256::new().chain_update(pad(0x5c)).chain_update(inner).finalize())
    }
}

/// 128 bits of chance in hexadecimal.
///
/// # Errors
///
/// What the system says, if it has none.
pub fn number() -> Result<String, getrandom::Error> {
    let mut bytes = [0; 16];
    getrandom::fill(&mut bytes)?;
    Ok(hex(&bytes))
}

/// A key to be typed on a phone: 12 signs, none of which looks like another, 58 bits.
///
/// # Errors
///
/// What the system says, if it has no source of chance.
pub fn key() -> Result<String, getrandom::Error> {
    const SIGNS: &[u8; 29] = b"23456789abcdefghjkmnpqrstvwxy";
    let mut key = String::new();
    while key.len() < 14 {
        let mut byte = [0];
        getrandom::fill(&mut byte)?;
        // Bytes beyond the last whole multiple would make some signs likelier.
        let sign = byte.first().filter(|byte| **byte < 232).and_then(|byte| SIGNS.get(usize::from(*byte) % SIGNS.len()));
        if let Some(sign) = sign {
            if matches!(key.len(), 4 | 9) {
                key.push('-');
            }
            key.push(char::from(*sign));
        }
    }
    Ok(key)
}

/// Whether two texts are the same, in a time that does not tell where they differ.
pub fn same(one: &str, other: &str) -> bool {
    let (one, other) = (Sha256::digest(one.as_bytes()), Sha256::digest(other.as_bytes()));
    one.iter().zip(other.iter()).fold(0, |apart, (a, b)| apart | (a ^ b)) == 0
}

#[cfg(test)]
mod tests {
    use super::*;

    /// RFC 4231, test case 2, has a key of 4 bytes; HMAC fills a shorter key with zeros, and so does this one.
    #[test]
    fn the_mark_is_hmac_sha_256() {
        let mut key = [0; 32];
        key[..4].copy_from_slice(b"Jefe");
        let mark = Secret(key).mark("what do ya want for nothing?");
        assert_eq!(mark, "5bdcc146bf60754e6a042426089575c75a003f089d2739839dec58b964ec3843");
    }

    #[test]
    fn keys_can_be_typed_and_differ() {
        let (one, other) = (key().unwrap(), key().unwrap());
        assert!(one != other && one.len() == 14 && one.bytes().filter(|byte| *byte == b'-').count() == 2, "{one}");
        assert!(same(&one, &one) && !same(&one, &other) && !same("", &one));
    }
}
