//! The one error of this crate. Every message is whole: it says what was wrong
//! and, where there is something to do, what to do.

use engine::bounds::BoundError;
use engine::log::{BinId, EntryId};
use rusqlite::ErrorCode;
use std::io;
use std::path::{Path, PathBuf};
use thiserror::Error;

/// What went wrong. The data is as it was before the call.
#[derive(Debug, Error)]
#[non_exhaustive]
pub enum StoreError {
    /// A number outside its range.
    #[error("{what}: {problem}")]
    Bound {
        /// Which number.
        what: String,
        /// Field, value, unit and allowed range.
        problem: BoundError,
    },
    /// A time outside the years the log takes.
    #[error(
        "{what} `{value}` s since 1970 is outside the allowed range {low} to {high} s (years 1990 to 2199)"
    )]
    Time {
        /// Which time.
        what: &'static str,
        /// Value given [s since 1970-01-01 00:00 UTC].
        value: i64,
        /// Lowest allowed [s since 1970-01-01 00:00 UTC].
        low: i64,
        /// Highest allowed [s since 1970-01-01 00:00 UTC].
        high: i64,
    },
    /// A field that cannot be taken as given.
    #[error("{what} {problem}")]
    Invalid {
        /// Which field.
        what: String,
        /// What is wrong with it and what would be right.
        problem: String,
    },
    /// No such bin.
    #[error("there is no bin {}", .0.0)]
    UnknownBin(BinId),
    /// No such entry.
    #[error("there is no entry {}", .0.0)]
    UnknownEntry(EntryId),
    /// A correction that does not fit the entry it names.
    #[error("entry {} cannot be corrected this way: {problem}", .corrects.0)]
    Correction {
        /// The entry named.
        corrects: EntryId,
        /// Why not.
        problem: &'static str,
    },
    /// An entry in the file that this version cannot read. It is kept.
    #[error(
        "entry {} (kind `{kind}`, written by version {engine_version}) cannot be read by this version: {problem}; it is kept in the file, and a newer version may read it",
        .id.0
    )]
    Unreadable {
        /// The entry.
        id: EntryId,
        /// Its kind.
        kind: String,
        /// The version that wrote it.
        engine_version: String,
        /// What could not be read.
        problem: String,
    },
    /// A line of an imported file that cannot be taken. Nothing was imported.
    #[error("line {line}: {problem}")]
    Line {
        /// Line of the file, from 1.
        line: u64,
        /// What is wrong with it.
        problem: Box<StoreError>,
    },
    /// A file that is not a log of this tool.
    #[error("`{}` is not a Bedwright log", .0.display())]
    NotOurs(PathBuf),
    /// A log written by a newer version, with a newer schema.
    #[error(
        "`{}` was written by a newer version (schema {found}; this version reads up to {known}); use that version or newer",
        path.display()
    )]
    TooNew {
        /// The file.
        path: PathBuf,
        /// Its schema number.
        found: i64,
        /// The newest schema this version reads.
        known: i64,
    },
    /// The file is damaged.
    #[error("`{}` is damaged: {problem}; restore a backup", path.display())]
    Damaged {
        /// The file.
        path: PathBuf,
        /// What was found.
        problem: String,
    },
    /// A file that would be overwritten.
    #[error("`{}` is already there; choose another name or ask for it to be replaced", .0.display())]
    Exists(PathBuf),
    /// The file to replace is in use.
    #[error("`{}` is open in another program; close that first", .0.display())]
    InUse(PathBuf),
    /// Another program held the log too long.
    #[error(
        "another program kept the log busy for more than {} s; try again",
        crate::open::BUSY_SECONDS
    )]
    Busy,
    /// The file system said no.
    #[error("{what}: {problem}")]
    Io {
        /// What was tried.
        what: String,
        /// What the system said.
        problem: io::Error,
    },
    /// SQLite said no.
    #[error("the log could not be read or written: {0}")]
    Sqlite(rusqlite::Error),
}

impl StoreError {
    /// Whether the keeper's input is at fault, as against the file or machine.
    #[must_use]
    pub fn is_input(&self) -> bool {
        matches!(
            self,
            Self::Bound { .. }
                | Self::Time { .. }
                | Self::Invalid { .. }
                | Self::UnknownBin(_)
                | Self::UnknownEntry(_)
                | Self::Correction { .. }
                | Self::Line { .. }
                | Self::NotOurs(_)
                | Self::Exists(_)
        )
    }

    pub(crate) fn invalid(what: impl Into<String>, problem: impl Into<String>) -> Self {
        Self::Invalid {
            what: what.into(),
            problem: problem.into(),
        }
    }

    pub(crate) fn at_line(self, line: u64) -> Self {
        Self::Line {
            line,
            problem: Box::new(self),
        }
    }

    /// Say which file, where SQLite's own words do not.
    pub(crate) fn about(self, path: &Path) -> Self {
        let Self::Sqlite(error) = self else {
            return self;
        };
        match error.sqlite_error_code() {
            Some(ErrorCode::NotADatabase) => Self::NotOurs(path.to_owned()),
            Some(ErrorCode::DatabaseCorrupt) => Self::Damaged {
                path: path.to_owned(),
                problem: error.to_string(),
            },
            _ => Self::Sqlite(error),
        }
    }
}

impl From<rusqlite::Error> for StoreError {
    fn from(error: rusqlite::Error) -> Self {
        match error.sqlite_error_code() {
            Some(ErrorCode::DatabaseBusy | ErrorCode::DatabaseLocked) => Self::Busy,
            _ => Self::Sqlite(error),
        }
    }
}

/// The file system's refusal of `what`, naming the file.
pub(crate) fn io_at(what: &str, path: &Path) -> impl FnOnce(io::Error) -> StoreError {
    let what = format!("could not {what} `{}`", path.display());
    move |problem| StoreError::Io { what, problem }
}
