//! The table cut by vehicle and year, as dataframe engines find it: `vehicle=…/year=…/part-00003-of-00016.parquet`.
//!
//! The names of the folders are columns too. Everything in them but letters, digits, `-`, `_` and `.` is percent-encoded (RFC 3986), so
//! that any name of a vehicle is a name of a folder everywhere. A vehicle is known by its name without capitals and outer blanks; as it was
//! stated it stands in the column `vehicle_name`. What is unknown is the engines' own word for that ([`UNKNOWN`]).
//!
//! Limits: a name of more than [`LONGEST`] bytes is cut, and ends in eight digits of its SHA-256 so that two of them stay apart.
//!
//! # References
//!
//! - RFC 3986 (percent-encoding).

use super::part::Part;
use super::row::Row;
use crate::vehicle::known_by;
use chrono::Datelike;
use sha2::{Digest, Sha256};
use std::collections::BTreeMap;
use std::fmt::Write;

/// The value of a folder's column that is not known, as engines write it.
pub const UNKNOWN: &str = "__HIVE_DEFAULT_PARTITION__";

/// Longest encoded name, in bytes: with the column's name it stays under the 255 that file systems allow.
pub const LONGEST: usize = 200;

/// One file of the partitioned table.
#[derive(Clone, Debug, PartialEq)]
pub struct File<'a> {
    /// Its path inside the table's folder.
    pub path: String,
    /// Its rows, in the table's order.
    pub rows: Vec<&'a Row>,
}

/// Cuts rows into files, by their paths.
pub fn files<'a>(rows: &'a [Row], part: Part) -> Vec<File<'a>> {
    let mut folders: BTreeMap<String, Vec<&'a Row>> = BTreeMap::new();
    for row in rows {
        folders.entry(folder(row)).or_default().push(row);
    }
    folders.into_iter().map(|(folder, rows)| File { path: format!("{folder}/{}", part.file_name()), rows }).collect()
}

/// The folder of a row.
fn folder(row: &Row) -> String {
    let vehicle = row.found().and_then(|found| found.vehicle.as_deref()).map(known_by).filter(|name| !name.is_empty());
    let vehicle = vehicle.map_or(UNKNOWN.to_owned(), |name| encoded(&name));
    let year = row.found().and_then(|found| found.started).map_or(UNKNOWN.to_owned(), |started| format!("{:04}", started.year()));
    format!("vehicle={vehicle}/year={year}")
}

/// A text as part of a path, percent-encoded.
pub fn encoded(text: &str) -> String {
    let mut whole = String::new();
    let mut cut = 0;
    for letter in text.chars() {
        let mut bytes = [0; 4];
        for byte in letter.encode_utf8(&mut bytes).bytes() {
            let _ = match byte {
                b'a'..=b'z' | b'A'..=b'Z' | b'0'..=b'9' | b'-' | b'_' | b'.' => write!(whole, "{}", char::from(byte)),
                other => write!(whole, "%{other:02X}"),
            };
        }
        if whole.len() <= LONGEST - 9 {
            cut = whole.len();
        }
    }
    if whole.len() <= LONGEST {
        return whole;
    }
    let digest = Sha256::digest(text.as_bytes());
    whole.truncate(cut);
    whole.push('-');
    for byte in digest.iter().take(4) {
        let _ = write!(whole, "{byte:02x}");
    }
    whole
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn any_name_is_a_name_of_a_folder() {
        assert_eq!(encoded("the bakery's van"), "the%20bakery%27s%20van");
        assert_eq!(encoded("a/b\\c:d=e%"), "a%2Fb%5Cc%3Ad%3De%25");
        assert_eq!(encoded("тягач"), "%D1%82%D1%8F%D0%B3%D0%B0%D1%87");
        let (one, other) = ("ю".repeat(400), format!("{}я", "ю".repeat(399)));
        assert!(encoded(&one).len() <= LONGEST && encoded(&one) != encoded(&other));
    }
}
