//! Why a verb could not run: what happened, and the way out.

use std::fmt;
use std::io::ErrorKind;
use std::path::Path;

/// A failure as the person reads it.
#[derive(Debug)]
pub struct Failure {
    /// Where and what.
    pub error: String,
    /// The way out, one sentence a line.
    pub hint: String,
}

impl Failure {
    /// A failure with its way out.
    pub fn new(error: impl fmt::Display, hint: impl Into<String>) -> Self {
        Self { error: error.to_string(), hint: hint.into() }
    }

    /// A file that could not be read.
    pub fn unread(path: &Path, cause: &std::io::Error) -> Self {
        let (what, hint) = match cause.kind() {
            ErrorKind::NotFound => ("there is no such file".to_owned(), "check the name; `ls` shows what is there"),
            ErrorKind::IsADirectory => ("this is a folder".to_owned(), "name a file in that folder"),
            _ => (format!("cannot read it: {}", words(cause)), "check the disk, and who may read the file"),
        };
        Self::new(format_args!("{}: {what}", path.display()), hint)
    }

    /// A file or folder that could not be written.
    pub fn unwritten(path: &Path, cause: &std::io::Error) -> Self {
        let (what, hint) = match cause.kind() {
            ErrorKind::NotFound | ErrorKind::NotADirectory => {
                ("its folder is not there".to_owned(), "make the folder first, or name another")
            }
            ErrorKind::IsADirectory => ("this is a folder".to_owned(), "name a file in that folder"),
            _ => (format!("cannot write it: {}", words(cause)), "check the disk's space, and who may write in that folder"),
        };
        Self::new(format_args!("{}: {what}", path.display()), hint)
    }
}

/// What went wrong, without numbers of the system or names of temporary files, where the kind says it all.
fn words(cause: &std::io::Error) -> String {
    match cause.kind() {
        kind @ (ErrorKind::PermissionDenied | ErrorKind::StorageFull | ErrorKind::ReadOnlyFilesystem | ErrorKind::Interrupted) => {
            kind.to_string()
        }
        _ => cause.to_string(),
    }
}

impl fmt::Display for Failure {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        writeln!(f, "error: {}", self.error)?;
        let mut hints = self.hint.lines().filter(|line| !line.is_empty()).peekable();
        if hints.peek().is_some() {
            writeln!(f)?;
        }
        hints.try_for_each(|hint| writeln!(f, "hint: {hint}"))
    }
}
