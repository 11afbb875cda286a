//! Parts: which of n machines checks a log.
//!
//! ```text
//! part(name) = (first 8 bytes of SHA-256(name), high byte first) mod n
//! ```
//!
//! The name is the log's path inside the folder (or as the list has it), so that it is the same wherever the folder is mounted. Each
//! log is in exactly one part of n, whatever the others do; parts need not know of each other.
//!
//! Limits: parts are alike in number only for many logs. Whoever renames a log between two runs may move it to another part.

use sha2::{Digest, Sha256};
use std::fmt;
use std::str::FromStr;

/// Most parts that are believed.
const MOST: u32 = 100_000;

/// One part of a fleet: the k-th of n.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Part {
    /// Which one, from 1.
    pub number: u32,
    /// Of how many.
    pub of: u32,
}

impl Part {
    /// All of it.
    pub const WHOLE: Part = Part { number: 1, of: 1 };

    /// Whether the log with this name belongs to it.
    pub fn holds(&self, name: &str) -> bool {
        let digest = Sha256::digest(name.as_bytes());
        let first = digest.iter().take(8).fold(0u64, |sum, byte| sum << 8 | u64::from(*byte));
        first % u64::from(self.of.max(1)) == u64::from(self.number.saturating_sub(1))
    }

    /// Name of its file of a partitioned table: no two parts share one.
    pub fn file_name(&self) -> String {
        format!("part-{:05}-of-{:05}.parquet", self.number, self.of)
    }

    /// The part that a file of this name holds.
    pub fn of_file(name: &str) -> Option<Part> {
        let (number, of) = name.strip_prefix("part-")?.strip_suffix(".parquet")?.split_once("-of-")?;
        Some(Part { number: number.parse().ok()?, of: of.parse().ok()? })
    }
}

impl FromStr for Part {
    type Err = String;

    fn from_str(text: &str) -> Result<Self, String> {
        let wrong = || format!("`{text}` is no part; write which of how many: 3/16 (the third of sixteen, at most {MOST})");
        let (number, of) = text.split_once('/').ok_or_else(wrong)?;
        let part = Part { number: number.trim().parse().map_err(|_| wrong())?, of: of.trim().parse().map_err(|_| wrong())? };
        if (1..=MOST).contains(&part.of) && (1..=part.of).contains(&part.number) { Ok(part) } else { Err(wrong()) }
    }
}

impl fmt::Display for Part {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}/{}", self.number, self.of)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn parts_are_disjoint_and_together_complete() {
        for of in [1, 2, 3, 16, 97] {
            for log in 0..500 {
                let name = format!("north/{log}.csv");
                let holders = (1..=of).filter(|&number| Part { number, of }.holds(&name)).count();
                assert_eq!(holders, 1, "{name} of {of}");
            }
        }
    }

    #[test]
    fn a_part_is_which_of_how_many() {
        assert_eq!("3/16".parse(), Ok(Part { number: 3, of: 16 }));
        for wrong in ["0/3", "4/3", "3", "", "a/b", "1/0", "-1/2", "1/100001"] {
            assert!(wrong.parse::<Part>().is_err(), "{wrong}");
        }
        let part = Part { number: 3, of: 16 };
        assert_eq!(Part::of_file(&part.file_name()), Some(part));
    }
}
