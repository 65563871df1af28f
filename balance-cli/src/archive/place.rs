//! Where the archive is kept by default.

use std::path::PathBuf;

use super::ArchiveFault;

/// The environment variable that names the archive's file.
pub const PLACE_VARIABLE: &str = "BALANCE_ARCHIVE";
const FILE: &str = "archive.sqlite";

/// The archive's file: the named one, otherwise that of the environment variable, otherwise the platform's
/// place for a program's data (`%APPDATA%\balance`, `~/Library/Application Support/balance`,
/// `$XDG_DATA_HOME/balance` or `~/.local/share/balance`).
///
/// # Errors
///
/// [`ArchiveFault::NoPlace`] if the user has no home folder.
pub fn default_place(
    named: Option<PathBuf>,
    variable: impl Fn(&str) -> Option<std::ffi::OsString>,
) -> Result<PathBuf, ArchiveFault> {
    let set = |name: &str| variable(name).filter(|value| !value.is_empty()).map(PathBuf::from);
    let data = || {
        if cfg!(windows) {
            set("APPDATA")
        } else if cfg!(target_os = "macos") {
            set("HOME").map(|home| home.join("Library").join("Application Support"))
        } else {
            // XDG Base Directory Specification 0.8: a relative path there is ignored.
            set("XDG_DATA_HOME")
                .filter(|path| path.is_absolute())
                .or_else(|| set("HOME").map(|home| home.join(".local").join("share")))
        }
    };
    named
        .or_else(|| set(PLACE_VARIABLE))
        .or_else(|| data().map(|data| data.join("balance").join(FILE)))
        .ok_or(ArchiveFault::NoPlace { variable: PLACE_VARIABLE })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn place(named: Option<&str>, variables: &[(&str, &str)]) -> Option<PathBuf> {
        let variable =
            |name: &str| variables.iter().find(|(own, _)| *own == name).map(|(_, value)| (*value).into());
        default_place(named.map(PathBuf::from), variable).ok()
    }

    #[test]
    fn the_named_file_comes_first_then_the_variable_then_the_platform() {
        let all = [("BALANCE_ARCHIVE", "/b.sqlite"), ("HOME", "/home/h"), ("APPDATA", "C:\\d")];
        assert_eq!(place(Some("/a.sqlite"), &all), Some("/a.sqlite".into()));
        assert_eq!(place(None, &all), Some("/b.sqlite".into()));
        assert!(place(None, &all[1..]).is_some_and(|path| path.ends_with("balance/archive.sqlite")));
        assert_eq!(place(None, &[("BALANCE_ARCHIVE", "")]), None);
    }

    // XDG Base Directory Specification 0.8: $HOME/.local/share when XDG_DATA_HOME is unset, empty or relative.
    #[cfg(target_os = "linux")]
    #[test]
    fn linux_follows_the_base_directory_specification() {
        let home = ("HOME", "/home/h");
        assert_eq!(
            place(None, &[home, ("XDG_DATA_HOME", "/data")]),
            Some("/data/balance/archive.sqlite".into())
        );
        let default: Option<PathBuf> = Some("/home/h/.local/share/balance/archive.sqlite".into());
        assert_eq!(place(None, &[home, ("XDG_DATA_HOME", "data")]), default);
        assert_eq!(place(None, &[home, ("XDG_DATA_HOME", "")]), default);
    }
}
