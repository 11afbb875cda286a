//! Why something could not be kept, found or opened.

use crate::excerpt::shorten;
use std::io::{self, ErrorKind};
use std::path::{Path, PathBuf};

/// What went wrong in the archive.
#[derive(Debug, thiserror::Error)]
pub enum ArchiveError {
    /// A folder or file could not be written; nothing was kept or changed.
    #[error("{}: cannot write it: {}", .path.display(), words(.cause))]
    Unwritten {
        /// Where.
        path: PathBuf,
        /// What the system says.
        cause: io::Error,
    },
    /// A folder or file could not be read.
    #[error("{}: cannot read it: {}", .path.display(), words(.cause))]
    Unread {
        /// Where.
        path: PathBuf,
        /// What the system says.
        cause: io::Error,
    },
    /// A kept file is not as it was written.
    #[error("{}: damaged: {why}", .path.display())]
    Damaged {
        /// Which file or folder.
        path: PathBuf,
        /// What does not agree.
        why: String,
    },
    /// It was kept by a newer program.
    #[error("{}: kept in format {found} by a newer program; this one reads up to {known}", .path.display())]
    Newer {
        /// Which file or folder.
        path: PathBuf,
        /// Its format.
        found: u32,
        /// The newest format that this program knows.
        known: u32,
    },
    /// No kept run has this name.
    #[error("no kept run is named `{asked}` in {}", .folder.display())]
    NoSuchRun {
        /// What was asked for.
        asked: String,
        /// The archive.
        folder: PathBuf,
    },
    /// There is no last one.
    #[error("no run is kept in {}", .folder.display())]
    NoneKept {
        /// The archive.
        folder: PathBuf,
    },
    /// Several runs' names begin so.
    #[error("`{asked}` is the beginning of several names: {}", .names.join(", "))]
    SeveralRuns {
        /// What was asked for.
        asked: String,
        /// The names.
        names: Vec<String>,
    },
    /// The run is there, damaged or of a newer format: where and why.
    #[error("{0}")]
    NotWhole(String),
    /// Another log has the same name.
    #[error("another log is kept as {id}: the two share the first digits of their SHA-256")]
    NameTaken {
        /// The name.
        id: String,
    },
    /// Another judging was added meanwhile.
    #[error("{id}: something was added to it at the same moment")]
    Overtaken {
        /// The run.
        id: String,
    },
    /// This program does not read the log, or the vehicle file, as it was kept.
    #[error("{id} is kept, but cannot be read again: {why}")]
    NotRead {
        /// The run.
        id: String,
        /// Why.
        why: String,
        /// The way out.
        hint: String,
    },
    /// What is to be kept could not be put into its form.
    #[error("this run cannot be put into the form in which runs are kept: {0}")]
    Form(String),
}

impl ArchiveError {
    pub(crate) fn unwritten(path: &Path, cause: io::Error) -> Self {
        Self::Unwritten { path: path.to_owned(), cause }
    }

    pub(crate) fn damaged(path: &Path, why: impl Into<String>) -> Self {
        // What a damaged file holds may be anything, and of any length.
        Self::Damaged { path: path.to_owned(), why: shorten(&why.into(), 300) }
    }

    /// A kept file that could not be read: what is not there although it must be counts as damage.
    pub(crate) fn unread(path: &Path, cause: io::Error) -> Self {
        match cause.kind() {
            ErrorKind::NotFound | ErrorKind::NotADirectory | ErrorKind::IsADirectory => Self::damaged(path, "the file is not there"),
            _ => Self::Unread { path: path.to_owned(), cause },
        }
    }

    /// The way out, one sentence a line.
    pub fn hint(&self) -> String {
        match self {
            Self::Unwritten { .. } => {
                "no part of a run is left behind; check the disk's space, and who may write in that folder\nto keep runs elsewhere: --store FOLDER".into()
            }
            Self::Unread { .. } => "check the disk, and who may read that folder".into(),
            Self::Damaged { .. } => {
                "put the run's folder back from a copy, or remove it: history remove ID\nits other files are left as they are".into()
            }
            Self::Newer { .. } => "open it with the program that kept it, or a newer one".into(),
            Self::NoSuchRun { .. } => "to see what is kept: history\nto look elsewhere: --store FOLDER".into(),
            Self::NoneKept { .. } => "keep one: check LOG --keep\nto look elsewhere: --store FOLDER".into(),
            Self::SeveralRuns { .. } => "write more of the name".into(),
            Self::NotWhole(_) => {
                "put the run's folder back from a copy, or remove it: history remove ID\nwhat a newer program kept, open with that one"
                    .into()
            }
            Self::NameTaken { .. } => "keep one of the two in another folder: --store FOLDER".into(),
            Self::Overtaken { .. } => "try again".into(),
            Self::NotRead { hint, .. } => hint.clone(),
            Self::Form(_) => "check it without --keep".into(),
        }
    }
}

/// What the system says, without its numbers where the kind says it all.
fn words(cause: &io::Error) -> String {
    match cause.kind() {
        ErrorKind::NotFound | ErrorKind::NotADirectory => "its folder is not there".to_owned(),
        kind @ (ErrorKind::PermissionDenied
        | ErrorKind::StorageFull
        | ErrorKind::ReadOnlyFilesystem
        | ErrorKind::FileTooLarge
        | ErrorKind::QuotaExceeded) => kind.to_string(),
        _ => cause.to_string(),
    }
}
