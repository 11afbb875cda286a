//! What a file of a fleet's folder is: a log, level notes, a vehicle file, or something to be passed over.
//!
//! The ending decides first. Among tables the heading tells our own (level notes, lists, what this program writes) from logs; a text file
//! of any other ending is a log only if it has columns of readings, so that a letter beside the logs is no bad log.

use crate::ingest::{self, Options, text};
use crate::report::csv;

/// What a file is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Kind {
    /// A log, to be checked.
    Log,
    /// Level notes.
    Notes,
    /// A vehicle file.
    Vehicle,
    /// No log and nothing that goes with one.
    Other,
}

/// How much of a file's beginning [`Kind::of`] wants to see.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Look {
    /// Nothing: the name says it all.
    None,
    /// Its heading.
    Heading,
    /// Its first rows.
    Rows,
}

impl Look {
    /// At a file of this name.
    pub fn at(name: &str) -> Self {
        match ending(name).as_str() {
            "csv" | "tsv" | "tab" => Look::Heading,
            "txt" | "log" | "dat" | "asc" => Look::Rows,
            _ => Look::None,
        }
    }

    /// How many bytes that is.
    pub fn bytes(self) -> u64 {
        match self {
            Look::None => 0,
            Look::Heading => 4_096,
            Look::Rows => 65_536,
        }
    }
}

impl Kind {
    /// Of a file with this name (its last part counts) and beginning.
    pub fn of(name: &str, beginning: &[u8]) -> Self {
        match (ending(name).as_str(), Look::at(name)) {
            ("toml", _) => Kind::Vehicle,
            ("gz", _) => {
                if Look::at(name.get(..name.len() - 3).unwrap_or_default()) == Look::None {
                    Kind::Other
                } else {
                    Kind::Log
                }
            }
            (_, Look::None) => Kind::Other,
            (_, Look::Heading) => of_table(name, beginning),
            (_, Look::Rows) => match of_table(name, beginning) {
                Kind::Log if ingest::understand(beginning, name, &Options::default()).is_err() => Kind::Other,
                kind => kind,
            },
        }
    }
}

/// A table that is not ours is a log.
fn of_table(name: &str, beginning: &[u8]) -> Kind {
    let last = name.rsplit('/').next().unwrap_or(name).to_lowercase();
    if last == NOTES || last.ends_with(&format!(".{NOTES}")) {
        return Kind::Notes;
    }
    let Ok(text) = text::decode(beginning) else { return Kind::Log };
    if text.text.starts_with("# wellbled") {
        return Kind::Other;
    }
    let heading = text.text.lines().find(|line| !line.trim().is_empty() && !line.starts_with('#')).unwrap_or_default();
    let cells: Vec<String> = heading.split([',', ';', '\t']).map(|cell| cell.trim().trim_matches('"').to_lowercase()).collect();
    let has = |name: &str| cells.iter().any(|cell| cell == name);
    let report = csv::HEADING.iter().all(|name| has(name));
    let fleet = has("log") && (has("verdict") || has("vehicle") || has("levels"));
    if has("occasion") && has("reading") {
        Kind::Notes
    } else if report || fleet {
        Kind::Other
    } else {
        Kind::Log
    }
}

/// What a folder's only level notes are called.
pub const NOTES: &str = "levels.csv";

/// What a folder's vehicle file is called.
pub const VEHICLE: &str = "vehicle.toml";

/// What follows the last point of a name, in small letters; empty for none.
fn ending(name: &str) -> String {
    let last = name.rsplit('/').next().unwrap_or(name);
    last.rsplit_once('.').map_or(String::new(), |(_, ending)| ending.to_lowercase())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_and_headings_tell_what_a_file_is() {
        let log = b"Time (s),Engine coolant temperature (C)\n0,9\n";
        for (name, beginning, kind) in [
            ("north/drive.csv", log.as_slice(), Kind::Log),
            ("drive.csv.gz", b"\x1f\x8b", Kind::Log),
            ("photos.tar.gz", b"\x1f\x8b", Kind::Other),
            ("Vehicle.TOML", b"", Kind::Vehicle),
            ("Levels.CSV", b"", Kind::Notes),
            ("drive.levels.csv", b"", Kind::Notes),
            ("notes.csv", b"\xef\xbb\xbfoccasion;Reading;unit\ncold before;42;mm\n", Kind::Notes),
            ("fleet.csv", b"log,verdict,finding\n", Kind::Other),
            ("list.csv", b"log,vehicle,levels\n", Kind::Other),
            ("numbers.csv", csv::HEADING.join(",").as_bytes(), Kind::Other),
            ("picture.png", b"\x89PNG", Kind::Other),
            ("truth.json", b"{}", Kind::Other),
            ("letter.txt", b"Dear yard,\nthe van is warm after ten minutes.\nRegards\n", Kind::Other),
            ("README", b"", Kind::Other),
            ("broken.csv", b"\x00\x01\x02\x03", Kind::Log),
        ] {
            assert_eq!(Kind::of(name, beginning), kind, "{name}");
        }
        let rows: String = (0..40).map(|row| format!("{row},{}\n", 20 + row)).collect();
        let text = format!("Time (s),Engine coolant temperature (°C)\n{rows}");
        assert_eq!(Kind::of("drive.txt", text.as_bytes()), Kind::Log);
    }
}
