//! Where the data file is.

use std::path::PathBuf;

/// The usual place by the platform's custom for user data, such as
/// `~/.local/share/bedwright/bedwright.db`; in the folder the program was
/// started from when the platform names none.
#[must_use]
pub fn usual() -> PathBuf {
    directories::ProjectDirs::from("", "", "bedwright").map_or_else(
        || PathBuf::from("bedwright.db"),
        |dirs| dirs.data_dir().join("bedwright.db"),
    )
}
