//! Writing files whole or not at all.

use super::failure::Failure;
use std::io::Write;
use std::path::Path;

/// Writes a file by way of a temporary neighbour, so that a full disk or an interruption leaves the old file or none.
///
/// # Errors
///
/// [`Failure`] if it cannot be written.
pub fn write(path: &Path, bytes: &[u8]) -> Result<(), Failure> {
    let folder = path.parent().filter(|folder| !folder.as_os_str().is_empty()).unwrap_or(Path::new("."));
    let write = || -> std::io::Result<()> {
        let mut file = tempfile::NamedTempFile::new_in(folder)?;
        file.write_all(bytes)?;
        file.as_file().sync_all()?;
        readable_by_all(file.as_file())?;
        file.persist(path).map_err(|error| error.error)?;
        Ok(())
    };
    write().map_err(|cause| Failure::file("write", path, &cause))
}

/// Temporary files are private; a report is not.
#[cfg(unix)]
fn readable_by_all(file: &std::fs::File) -> std::io::Result<()> {
    use std::os::unix::fs::PermissionsExt;
    file.set_permissions(std::fs::Permissions::from_mode(0o644))
}

#[cfg(not(unix))]
fn readable_by_all(_: &std::fs::File) -> std::io::Result<()> {
    Ok(())
}
