//! A folder with a seal: length and SHA-256 of each of its files, and of the seal itself.
//!
//! ```text
//! 9f86d081…  48213 log.csv
//! 60303ae2…  511 record.json
//! 3a6eb079…  seal
//! ```
//!
//! The last line is the SHA-256 of the lines above it. A file cut short, a flipped byte, a file or a line gone: each is noticed.
//! Files that the seal does not name (what a file manager leaves behind) are passed over.

use super::error::ArchiveError;
use super::hex;
use sha2::{Digest, Sha256};
use std::fmt::Write as _;
use std::fs::{self, File};
use std::io::{self, Read, Write};
use std::path::{Path, PathBuf};

/// The seal's file name.
const SEAL: &str = "seal.txt";

/// Most bytes of a seal: a dozen lines.
const LONGEST_SEAL: u64 = 65_536;

/// Writes files and their seal into a folder, made if it is not there, and brings all of it to the disk.
pub fn write(folder: &Path, files: &[(&str, Vec<u8>)]) -> io::Result<()> {
    fs::create_dir_all(folder)?;
    let mut seal = String::new();
    for (name, bytes) in files {
        write_file(&folder.join(name), bytes)?;
        let _ = writeln!(seal, "{}  {} {name}", hex(&Sha256::digest(bytes)), bytes.len());
    }
    let of_seal = hex(&Sha256::digest(seal.as_bytes()));
    let _ = writeln!(seal, "{of_seal}  seal");
    write_file(&folder.join(SEAL), seal.as_bytes())?;
    sync_folder(folder)
}

fn write_file(path: &Path, bytes: &[u8]) -> io::Result<()> {
    let mut file = File::options().write(true).create_new(true).open(path)?;
    file.write_all(bytes)?;
    file.sync_all()
}

/// Brings the names in a folder to the disk, where the system can do that for folders.
#[cfg(unix)]
pub fn sync_folder(folder: &Path) -> io::Result<()> {
    File::open(folder)?.sync_all()
}

/// Brings the names in a folder to the disk: this system does so by itself and opens no folder as a file.
#[cfg(not(unix))]
pub fn sync_folder(_: &Path) -> io::Result<()> {
    Ok(())
}

/// A sealed folder whose seal agrees with itself.
#[derive(Debug)]
pub struct Sealed {
    folder: PathBuf,
    files: Vec<Line>,
}

/// One file as the seal has it.
#[derive(Debug)]
struct Line {
    sha256: String,
    length: u64,
    name: String,
}

impl Sealed {
    /// Reads a folder's seal.
    ///
    /// # Errors
    ///
    /// [`ArchiveError::Damaged`] if there is none or it does not agree with itself.
    pub fn open(folder: &Path) -> Result<Self, ArchiveError> {
        let path = folder.join(SEAL);
        let mut text = String::new();
        let read = File::open(&path).and_then(|file| file.take(LONGEST_SEAL).read_to_string(&mut text));
        match read {
            Err(error) if error.kind() == io::ErrorKind::InvalidData => return Err(ArchiveError::damaged(&path, "the seal is no text")),
            read => read.map_err(|cause| ArchiveError::unread(&path, cause))?,
        };
        let files = lines(&text).ok_or_else(|| ArchiveError::damaged(&path, "the seal does not agree with itself"))?;
        Ok(Self { folder: folder.to_owned(), files })
    }

    /// A file's bytes, if the seal names it, compared with the seal.
    ///
    /// # Errors
    ///
    /// [`ArchiveError::Damaged`] if the file is not as it was sealed.
    pub fn read(&self, name: &str) -> Result<Option<Vec<u8>>, ArchiveError> {
        let Some(line) = self.files.iter().find(|line| line.name == name) else { return Ok(None) };
        let path = self.folder.join(name);
        self.right_length(line)?;
        let bytes = fs::read(&path).map_err(|cause| ArchiveError::unread(&path, cause))?;
        if hex(&Sha256::digest(&bytes)) == line.sha256 {
            Ok(Some(bytes))
        } else {
            Err(ArchiveError::damaged(&path, "its bytes have changed"))
        }
    }

    /// A file that must be there.
    ///
    /// # Errors
    ///
    /// [`ArchiveError::Damaged`] if the seal does not name it or it is not as it was sealed.
    pub fn require(&self, name: &str) -> Result<Vec<u8>, ArchiveError> {
        self.read(name)?.ok_or_else(|| ArchiveError::damaged(&self.folder.join(name), "the seal does not name it"))
    }

    /// Whether every file is there in its length: what can be told without reading them.
    ///
    /// # Errors
    ///
    /// [`ArchiveError::Damaged`] for the first that is not.
    pub fn lengths(&self) -> Result<(), ArchiveError> {
        self.files.iter().try_for_each(|line| self.right_length(line))
    }

    fn right_length(&self, line: &Line) -> Result<(), ArchiveError> {
        let path = self.folder.join(&line.name);
        let about = fs::metadata(&path).map_err(|cause| ArchiveError::unread(&path, cause))?;
        if about.is_file() && about.len() == line.length {
            return Ok(());
        }
        Err(ArchiveError::damaged(&path, format!("{} bytes, {} were kept", about.len(), line.length)))
    }
}

/// The lines of a seal that agrees with itself.
fn lines(text: &str) -> Option<Vec<Line>> {
    let above = text.strip_suffix("  seal\n")?;
    let (body, of_seal) = above.split_at_checked(above.rfind('\n')? + 1)?;
    if hex(&Sha256::digest(body.as_bytes())) != of_seal {
        return None;
    }
    body.lines().map(line).collect()
}

fn line(text: &str) -> Option<Line> {
    let (sha256, rest) = text.split_once("  ")?;
    let (length, name) = rest.split_once(' ')?;
    let plain =
        !name.is_empty() && name.bytes().all(|byte| byte.is_ascii_alphanumeric() || matches!(byte, b'.' | b'-')) && !name.starts_with('.');
    plain.then_some(Line { sha256: sha256.to_owned(), length: length.parse().ok()?, name: name.to_owned() })
}
