//! Why a verb could not run: what happened, and the way out.

use std::fmt;
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

    /// A file that could not be read or written.
    pub fn file(doing: &str, path: &Path, cause: &std::io::Error) -> Self {
        let hint = match cause.kind() {
            std::io::ErrorKind::NotFound => "check the name; `ls` shows what is there",
            std::io::ErrorKind::PermissionDenied => "check who may use the file and its folder",
            std::io::ErrorKind::IsADirectory => "name a file in that folder",
            _ => "check the disk and the file",
        };
        Self::new(format_args!("{}: cannot {doing}: {cause}", path.display()), hint)
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
