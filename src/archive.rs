//! Every run kept: one folder that can be copied, in which a run is wholly kept or not there.
//!
//! ```text
//! STORE/store.json                      format of the store
//! STORE/index.csv                       what lists and finds runs; a copy of what the runs say, rebuilt where it does not agree
//! STORE/waiting/…                       what is being written or removed; never read
//! STORE/runs/ID/log.csv record.json seal.txt
//!              /judged-1/judged.json vehicle.toml levels.csv samples.parquet findings.json report.txt seal.txt
//!              /judged-2/…              a later judging, after notes were added
//! ```
//!
//! **Whole or not there.** A run, and each later judging, is written in `waiting`, brought to the disk file by file, then renamed to
//! its place in one step. The step fails where something stands already, so that two writers need no lock: a run's name is the
//! beginning of its log's SHA-256, a judging's name its number. A kept file is never written to again.
//!
//! **Damage.** Each folder carries a seal: length and SHA-256 of every file in it. A run that does not agree with its seal is named
//! and left alone; the others open.
//!
//! **Versions.** Each record states its format. Older ones are brought up to date as they are read ([`mod@format`]), never rewritten; a
//! newer one is named and left alone.
//!
//! Limits: the disk must keep its promise that synchronised files and renames last. A file system without permission to rename
//! within a folder keeps nothing.

pub mod earlier;
pub mod error;
pub mod fingerprint;
pub mod format;
mod index;
pub mod judged;
pub mod kept;
pub mod listing;
pub mod place;
pub mod record;
pub mod samples;
mod sealed;
pub mod twin;
mod waiting;

pub use error::ArchiveError;
pub use judged::{Judged, Judging};
pub use kept::{Evidence, Kept, KeptRun};
pub use listing::{Entry, Listing, NotOpened};
pub use record::{How, Record};

use crate::channel::Channel;
use crate::run::Trace;
use sealed::Sealed;
use sha2::{Digest, Sha256};
use std::fs;
use std::io;
use std::path::{Path, PathBuf};

/// Hexadecimal digits of a run's name: 48 bits, so that among 10,000 logs two share a name once in some five million stores.
pub const ID_DIGITS: usize = 12;

/// A folder of kept runs.
#[derive(Clone, Debug)]
pub struct Archive {
    folder: PathBuf,
}

impl Archive {
    /// The archive in this folder; nothing is touched before something is asked of it.
    pub fn at(folder: impl Into<PathBuf>) -> Self {
        Self { folder: folder.into() }
    }

    /// Its folder.
    pub fn folder(&self) -> &Path {
        &self.folder
    }

    fn runs(&self) -> PathBuf {
        self.folder.join("runs")
    }

    fn run_folder(&self, id: &str) -> PathBuf {
        self.runs().join(id)
    }

    /// Keeps a run with its first judging, unless its log is kept already.
    ///
    /// # Errors
    ///
    /// [`ArchiveError`] if it cannot be written, or if what is kept under its name cannot be read. Nothing is kept then.
    pub fn keep(&self, evidence: &Evidence, judged: &Judged) -> Result<Kept, ArchiveError> {
        format::check_store(&self.folder)?;
        let record = Record::of(evidence);
        let id = record.id();
        let target = self.run_folder(&id);
        if target.exists() {
            return self.already(&id, &record);
        }
        let unwritten = |cause| ArchiveError::unwritten(&self.folder, cause);
        self.make().map_err(unwritten)?;
        waiting::tidy(&self.folder);
        let aside = waiting::Aside::new(&self.folder).map_err(unwritten)?;
        let first = judged.files(1)?;
        sealed::write(&aside.path().join(judged::folder_name(1)), &first).map_err(unwritten)?;
        sealed::write(aside.path(), &[(record.log_name(), evidence.log.to_vec()), (record::FILE, record.to_bytes()?)])
            .map_err(unwritten)?;
        if aside.place(&target).map_err(unwritten)? { Ok(Kept::Now(id)) } else { self.already(&id, &record) }
    }

    /// Makes the store's folders where they are not there, and brings their names to the disk.
    fn make(&self) -> io::Result<()> {
        if !self.runs().is_dir() {
            fs::create_dir_all(self.runs())?;
            sealed::sync_folder(&self.folder)?;
            self.folder.parent().filter(|parent| !parent.as_os_str().is_empty()).map_or(Ok(()), sealed::sync_folder)?;
        }
        format::mark_store(&self.folder)
    }

    /// Whether what is kept under a name is whole and of the same bytes.
    fn already(&self, id: &str, record: &Record) -> Result<Kept, ArchiveError> {
        let kept = self.open(id)?.record;
        if kept.sha256 == record.sha256 { Ok(Kept::Already(id.to_owned())) } else { Err(ArchiveError::NameTaken { id: id.to_owned() }) }
    }

    /// The name under which a log is kept, or would be.
    pub fn id_of(log: &[u8]) -> String {
        hex(&Sha256::digest(log)).chars().take(ID_DIGITS).collect()
    }

    /// Whether this log is kept.
    pub fn has(&self, log: &[u8]) -> bool {
        self.run_folder(&Self::id_of(log)).exists()
    }

    /// Lists the runs, latest drive first, and names those that cannot be opened. An archive that is not there is empty.
    ///
    /// # Errors
    ///
    /// [`ArchiveError`] if the folder of runs cannot be listed or was written by a newer program.
    pub fn listing(&self) -> Result<Listing, ArchiveError> {
        format::check_store(&self.folder)?;
        index::listing(&self.folder, &self.runs())
    }

    /// Finds one run by its name, by the beginning of it, or by `last`: the one kept last.
    ///
    /// # Errors
    ///
    /// [`ArchiveError`] if none or several are meant, or if the one that is meant cannot be opened.
    pub fn find(&self, asked: &str) -> Result<Entry, ArchiveError> {
        self.listing()?.find(asked, &self.folder)
    }

    /// Opens a run whose full name is known, every byte compared with its seal.
    ///
    /// # Errors
    ///
    /// [`ArchiveError`] if it is not there, damaged, or of a newer format.
    pub fn open(&self, id: &str) -> Result<KeptRun, ArchiveError> {
        let folder = self.run_folder(id);
        if !is_id(id) || !folder.is_dir() {
            return Err(ArchiveError::NoSuchRun { asked: id.to_owned(), folder: self.folder.clone() });
        }
        let record = record::read(&folder)?;
        let log = Sealed::open(&folder)?.require(record.log_name())?;
        if hex(&Sha256::digest(&log)) != record.sha256 || record.id() != id {
            return Err(ArchiveError::damaged(&folder, "the log is not the one that the record names"));
        }
        let judgings = judged::all(&folder)?;
        Ok(KeptRun { id: id.to_owned(), folder, record, log, judgings })
    }

    /// How many bytes a kept log has, and whether it is packed: what opening the run will ask for. Nothing is read; none for a run that is
    /// not there.
    pub fn log_size(&self, id: &str) -> Option<(u64, bool)> {
        let folder = is_id(id).then(|| self.run_folder(id))?;
        let length = |name: &str| fs::metadata(folder.join(name)).map(|about| about.len()).ok();
        length(record::PLAIN).map(|bytes| (bytes, false)).or_else(|| Some((length(record::PACKED)?, true)))
    }

    /// Adds a judging to an opened run, after those that it has; its number is returned.
    ///
    /// # Errors
    ///
    /// [`ArchiveError::Overtaken`] if another was added since the run was opened: open it again, judge again. Else if it cannot be
    /// written; nothing is added then.
    pub fn add(&self, kept: &KeptRun, judged: &Judged) -> Result<u32, ArchiveError> {
        let number = u32::try_from(kept.judgings.len()).unwrap_or(u32::MAX).saturating_add(1);
        let unwritten = |cause| ArchiveError::unwritten(&self.folder, cause);
        waiting::tidy(&self.folder);
        let aside = waiting::Aside::new(&self.folder).map_err(unwritten)?;
        sealed::write(aside.path(), &judged.files(number)?).map_err(unwritten)?;
        let placed = aside.place(&kept.folder.join(judged::folder_name(number))).map_err(unwritten)?;
        if placed { Ok(number) } else { Err(ArchiveError::Overtaken { id: kept.id.clone() }) }
    }

    /// Removes a run with all that belongs to it, damaged or not. It is gone at once, or not at all.
    ///
    /// # Errors
    ///
    /// [`ArchiveError`] if it is not there or cannot be removed.
    pub fn remove(&self, id: &str) -> Result<(), ArchiveError> {
        let folder = self.run_folder(id);
        if !is_id(id) || !folder.is_dir() {
            return Err(ArchiveError::NoSuchRun { asked: id.to_owned(), folder: self.folder.clone() });
        }
        waiting::discard(&self.folder, &folder).map_err(|cause| ArchiveError::unwritten(&folder, cause))
    }

    /// Reads every byte of every run and names those that do not agree with their seals.
    ///
    /// # Errors
    ///
    /// [`ArchiveError`] if the runs cannot be listed.
    pub fn verify(&self) -> Result<(usize, Vec<NotOpened>), ArchiveError> {
        let listing = self.listing()?;
        let (mut whole, mut not_opened) = (0, listing.not_opened);
        for entry in &listing.entries {
            match self.open(&entry.id) {
                Ok(_) => whole += 1,
                Err(ArchiveError::NoSuchRun { .. }) => {}
                Err(error) => not_opened.push(NotOpened::new(&entry.id, &error)),
            }
        }
        Ok((whole, not_opened))
    }

    /// The report of the latest judging of a run, as the JSON contract has it: that file alone is read and compared with its seal.
    ///
    /// # Errors
    ///
    /// [`ArchiveError`] if the run or that file is damaged.
    pub fn findings(&self, id: &str) -> Result<String, ArchiveError> {
        let folder = judged::latest_folder(&self.run_folder(id))?;
        let bytes = Sealed::open(&folder)?.require(judged::FINDINGS)?;
        String::from_utf8(bytes).map_err(|_| ArchiveError::damaged(&folder.join(judged::FINDINGS), "it is no text"))
    }

    /// The coolant's readings of a run, from its log.
    ///
    /// The table of readings that is kept beside the log is for other programs. It is never read here: a seal is no proof of who sealed
    /// it, and a Parquet file made for the purpose makes its reader ask for more memory than there is, which ends the program.
    ///
    /// # Errors
    ///
    /// [`ArchiveError`] if the run is damaged or can no longer be read.
    pub fn coolant(&self, id: &str) -> Result<Trace, ArchiveError> {
        Ok(self.open(id)?.run()?.traces.remove(&Channel::CoolantTemperature).unwrap_or_default())
    }
}

/// Whether a text can be a run's full name.
pub fn is_id(text: &str) -> bool {
    text.len() == ID_DIGITS && text.bytes().all(|byte| matches!(byte, b'0'..=b'9' | b'a'..=b'f'))
}

/// SHA-256 of bytes, as hexadecimal digits.
pub(crate) fn sha256(bytes: &[u8]) -> String {
    hex(&Sha256::digest(bytes))
}

/// Bytes as hexadecimal digits.
pub(crate) fn hex(bytes: &[u8]) -> String {
    bytes.iter().map(|byte| format!("{byte:02x}")).collect()
}
