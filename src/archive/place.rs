//! Where runs are kept if nobody says otherwise: the platform's folder for a program's data.
//!
//! # References
//!
//! - XDG Base Directory Specification, version 0.8: `$XDG_DATA_HOME`, else `$HOME/.local/share`; a relative path counts as none.
//! - The folders of the other systems: their own guidelines, from memory.

use std::ffi::OsString;
use std::path::PathBuf;

/// Name of the folder inside the platform's.
const NAME: &str = "wellbled";

/// The folder, if the environment tells one.
pub fn default() -> Option<PathBuf> {
    named(|name| std::env::var_os(name)).map(|folder| folder.join(NAME))
}

/// The platform's folder by what `variable` says of the environment.
fn named(variable: impl Fn(&str) -> Option<OsString>) -> Option<PathBuf> {
    let folder = |name: &str| variable(name).map(PathBuf::from).filter(|path| path.is_absolute());
    if cfg!(windows) {
        folder("APPDATA")
    } else if cfg!(target_os = "macos") {
        folder("HOME").map(|home| home.join("Library").join("Application Support"))
    } else {
        folder("XDG_DATA_HOME").or_else(|| folder("HOME").map(|home| home.join(".local").join("share")))
    }
}

#[cfg(all(test, unix, not(target_os = "macos")))]
mod tests {
    use super::*;

    fn place(data: Option<&str>, home: Option<&str>) -> Option<PathBuf> {
        named(|name| if name == "HOME" { home } else { data }.map(OsString::from))
    }

    #[test]
    fn the_platform_s_variables_count_and_relative_paths_do_not() {
        assert_eq!(place(Some("/data"), Some("/home/a")), Some("/data".into()));
        assert_eq!(place(Some("data"), Some("/home/a")), Some("/home/a/.local/share".into()));
        assert_eq!(place(Some(""), Some("/home/a")), Some("/home/a/.local/share".into()));
        assert_eq!(place(None, None), None);
    }
}
