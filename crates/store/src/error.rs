//! The one error of this crate. Every message is whole: it says what was wrong
//! and, where there is something to do, what to do.

use crate::place::{NAME_LONG, OWN_NAME_LONG};
pub use crate::shown::plain;
pub(crate) use crate::shown::shown;
use crate::shown::{moment, other_name};
use crate::{GoneFile, Unreadable};
use engine::bounds::BoundError;
use engine::log::{BinId, EntryId};
use rusqlite::{ErrorCode, ffi};
use std::io;
use std::path::{Path, PathBuf};
use thiserror::Error;

/// Longest name of a field in a message [characters].
const WHAT_LONG: usize = 80;
/// Longest account of what is wrong with it [characters].
const PROBLEM_LONG: usize = 180;
/// Longest account of damage, which stands beside a path [characters].
const DAMAGE_LONG: usize = 90;

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
        "{what} `{}` is outside the allowed range {} to {}",
        moment(*.value), moment(*.low), moment(*.high)
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
    /// An entry in the file that cannot be read, alone of all. It is kept.
    #[error("{0}")]
    Unreadable(Unreadable),
    /// A form's one-time key that was used before. Nothing was written.
    #[error("this was written already, as entry {}; nothing was added", .entry.0)]
    Already {
        /// The entry it wrote the first time.
        entry: EntryId,
    },
    /// The same was written a moment ago. Nothing was written.
    #[error("the same was written a moment ago, as entry {}; nothing was added", .entry.0)]
    Again {
        /// The entry that says it.
        entry: EntryId,
    },
    /// The log holds entries, and only an empty one takes this.
    #[error("the log is not empty, so nothing was added")]
    NotEmpty,
    /// A line of an imported file that cannot be taken. Nothing was imported.
    #[error("line {line}: {problem}")]
    Line {
        /// Line of the file, from 1.
        line: u64,
        /// What is wrong with it.
        problem: Box<StoreError>,
    },
    /// There is no log there, and none was made.
    #[error("there is no log at `{}` yet", shown(.0))]
    NotThere(PathBuf),
    /// A file without a byte in it.
    #[error(
        "`{}` is an empty file: no log was begun in it, or one was cut off; restore a backup, or take the file away to begin a new log",
        shown(.0)
    )]
    Empty(PathBuf),
    /// A folder, device or the like where a file should be.
    #[error("`{}` is {what}, not a plain file", shown(path))]
    NotAFile {
        /// Where.
        path: PathBuf,
        /// What it is.
        what: &'static str,
    },
    /// A file where a folder should be.
    #[error("`{}` is a file, not a folder, so nothing can be in it", shown(.0))]
    NotAFolder(PathBuf),
    /// The log file that was opened no longer stands at its path. Nothing more
    /// is read or taken in.
    #[error("{0}, so nothing more is taken in")]
    Gone(GoneFile),
    /// Written, but not seen again when it was looked for.
    #[error(
        "whether this was written could not be made sure of ({problem}); look at the log before you send it again"
    )]
    Unsure {
        /// What went wrong in looking.
        problem: String,
    },
    /// A row that was not taken up as given. Nothing was written.
    #[error("the log did not take the entry as given; nothing was written. Check the log")]
    Unwritten,
    /// A file that is not a log of this tool.
    #[error("`{}` is not a Bedwright log", shown(.0))]
    NotOurs(PathBuf),
    /// A log whose tables or triggers are not those this tool makes.
    #[error(
        "`{}` is not as this tool makes it: {what}; entries could be lost in it, so it is not used. `bedwright rescue` saves what can be read",
        shown(path)
    )]
    Changed {
        /// The file.
        path: PathBuf,
        /// What differs.
        what: String,
    },
    /// A log written by a newer version, with a newer schema.
    #[error(
        "`{}` was written by a newer version (schema {found}; this version reads up to {known}); use that version or newer",
        shown(path)
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
    #[error(
        "`{}` is damaged: {problem}; `bedwright rescue` saves what can be read, or restore a backup",
        shown(path)
    )]
    Damaged {
        /// The file.
        path: PathBuf,
        /// What was found.
        problem: String,
    },
    /// A file that does not hold every entry, so that it may not take the
    /// place of another.
    #[error(
        "`{}` is not whole: {problem}; `bedwright rescue` saves what can be read",
        shown(path)
    )]
    NotWhole {
        /// The file.
        path: PathBuf,
        /// What was found.
        problem: String,
    },
    /// A file that would be overwritten.
    #[error("`{}` is already there; choose another name or ask for it to be replaced", shown(.0))]
    Exists(PathBuf),
    /// The file to replace is in use.
    #[error("`{}` is open in another program; close that first", shown(.0))]
    InUse(PathBuf),
    /// A log file with more than one name on its disk.
    #[error(
        "`{}` has a second name{} (a hard link): what is written by one is lost by the other, so nothing was written. Take one name away, or copy the file and use the copy",
        shown(path), other_name(other.as_deref())
    )]
    SeveralNames {
        /// The file.
        path: PathBuf,
        /// The other name, where it is in the same folder.
        other: Option<PathBuf>,
    },
    /// A log file that is mounted by itself, so that it has another name where
    /// it comes from.
    #[error(
        "`{}` is a single file mounted here from elsewhere, as into a container: its journal would not be beside it there, and entries could be lost, so nothing was written. Mount the folder it is in instead",
        shown(.0)
    )]
    Lent(PathBuf),
    /// A journal beside a file it does not belong to; the end of its name.
    #[error(
        "beside `{}` lies a journal (`{}`) not of this file: read together, entries of the file would be gone, so neither was touched. If you put the file here, move the journal away; else keep copies of both",
        shown(.0), .1
    )]
    StrayJournal(PathBuf, &'static str),
    /// A journal at the name of a file that is not there; the end of its name.
    #[error(
        "no file is at `{}`, but a journal (`{}`) of one that stood there waits, which may hold entries: nothing was put here. Move it to another folder and keep it, or put that file back",
        shown(.0), .1
    )]
    WaitingJournal(PathBuf, &'static str),
    /// A log that is no earlier copy of the one to be saved in its place.
    #[error(
        "`{}` is another log ({why}), so it is not written over; choose another name",
        shown(path)
    )]
    OtherLog {
        /// The file.
        path: PathBuf,
        /// How that is known.
        why: &'static str,
    },
    /// The file, or the folder it is in, is closed to this user.
    #[error("`{}` {why}; nothing was changed", shown(path))]
    NotReadable {
        /// Where.
        path: PathBuf,
        /// What may not be done.
        why: &'static str,
    },
    /// The file or its folder may not be written to.
    #[error("`{}` or its folder may not be written to; nothing was changed", shown(.0))]
    NotWritable(PathBuf),
    /// The disk is full.
    #[error(
        "there is no room left on the disk, so this was NOT written, and the log is as it was; make room, then do it again"
    )]
    NoRoom,
    /// Another program held the log too long, or put another in its place.
    #[error("another program is just using the log or putting another in its place; try again")]
    Busy,
    /// The file system said no.
    #[error("{what}: {problem}")]
    Io {
        /// What was tried.
        what: String,
        /// What the system said.
        problem: io::Error,
    },
    /// The disk said no, or a file was moved under SQLite's hands.
    #[error(
        "the log could not be read or written ({0}): it or its journal may have been moved meanwhile, or the disk may be failing. Try again; if it says so again, end the program and run `check`"
    )]
    Fault(rusqlite::Error),
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
                | Self::Already { .. }
                | Self::Again { .. }
                | Self::NotEmpty
                | Self::NotOurs(_)
                | Self::NotThere(_)
                | Self::NotAFile { .. }
                | Self::NotAFolder(_)
                | Self::Exists(_)
                | Self::SeveralNames { .. }
                | Self::Lent(_)
                | Self::OtherLog { .. }
        )
    }

    /// Whether it is the file of the log that is damaged, so that what can be
    /// read of it may be worth saving.
    #[must_use]
    pub fn is_damage(&self) -> bool {
        match self {
            Self::Damaged { .. } | Self::Changed { .. } | Self::NotWhole { .. } => true,
            Self::Unreadable(flaw) => !flaw.intact,
            Self::Sqlite(e) => matches!(
                e.sqlite_error_code(),
                Some(ErrorCode::DatabaseCorrupt | ErrorCode::NotADatabase)
            ),
            _ => false,
        }
    }

    pub(crate) fn invalid(what: impl Into<String>, problem: impl Into<String>) -> Self {
        Self::Invalid {
            what: plain(&what.into(), WHAT_LONG),
            problem: plain(&problem.into(), PROBLEM_LONG),
        }
    }

    /// A folder on the way to `path` that may not be entered.
    pub(crate) fn not_entered(path: &Path) -> Self {
        Self::NotReadable {
            path: path.to_owned(),
            why: "is in a folder that may not be entered by this user, so what is there is not known",
        }
    }

    /// Why a file that is there could not even be opened to read.
    pub(crate) fn not_opened(path: &Path, error: rusqlite::Error) -> Self {
        match error.sqlite_error_code() {
            Some(ErrorCode::CannotOpen | ErrorCode::PermissionDenied) => Self::NotReadable {
                path: path.to_owned(),
                why: "may not be read by this user",
            },
            _ => error.into(),
        }
    }

    /// A file whose name, with its folders, SQLite does not take.
    pub(crate) fn too_long(path: &Path) -> Self {
        let itself = path.file_name().map_or(0, |name| name.len());
        let (how, long, most) = match itself > OWN_NAME_LONG {
            true => ("", itself, OWN_NAME_LONG),
            false => (" with its folders", path.as_os_str().len(), NAME_LONG),
        };
        let problem = format!(
            "`{}` is too long{how}: {long} bytes, and at most {most} can be used",
            shown(path),
        );
        Self::invalid("the name of the file", problem)
    }

    pub(crate) fn at_line(self, line: u64) -> Self {
        Self::Line {
            line,
            problem: Box::new(self),
        }
    }

    pub(crate) fn damaged(path: &Path, problem: impl Into<String>) -> Self {
        Self::Damaged {
            path: path.to_owned(),
            problem: plain(&problem.into(), DAMAGE_LONG),
        }
    }

    pub(crate) fn not_whole(path: &Path, problem: impl Into<String>) -> Self {
        Self::NotWhole {
            path: path.to_owned(),
            problem: plain(&problem.into(), DAMAGE_LONG),
        }
    }

    /// The same of a file by the name the keeper gave it.
    pub(crate) fn at(self, given: &Path) -> Self {
        match self {
            Self::SeveralNames { other, .. } => Self::SeveralNames {
                path: given.to_owned(),
                other,
            },
            Self::Lent(_) => Self::Lent(given.to_owned()),
            error => error,
        }
    }

    /// Say which file, where SQLite's own words do not.
    pub(crate) fn about(self, path: &Path) -> Self {
        let Self::Sqlite(error) = self else {
            return self;
        };
        match error.sqlite_error_code() {
            Some(ErrorCode::NotADatabase) => Self::NotOurs(path.to_owned()),
            Some(ErrorCode::DatabaseCorrupt) => Self::damaged(path, "a part of it cannot be read"),
            Some(ErrorCode::ReadOnly | ErrorCode::CannotOpen | ErrorCode::PermissionDenied) => {
                Self::NotWritable(path.to_owned())
            }
            _ => Self::Sqlite(error),
        }
    }
}

impl From<rusqlite::Error> for StoreError {
    fn from(error: rusqlite::Error) -> Self {
        if let rusqlite::Error::InvalidPath(path) = &error {
            return Self::too_long(path);
        }
        match error.sqlite_error_code() {
            Some(
                ErrorCode::DatabaseBusy
                | ErrorCode::DatabaseLocked
                | ErrorCode::FileLockingProtocolFailed,
            ) => Self::Busy,
            _ if was_replaced(&error) => Self::Busy,
            Some(ErrorCode::DiskFull) => Self::NoRoom,
            _ if extended(&error) == Some(ffi::SQLITE_IOERR_SHMSIZE) => Self::NoRoom,
            Some(ErrorCode::SystemIoFailure) => Self::Fault(error),
            _ => Self::Sqlite(error),
        }
    }
}

fn extended(error: &rusqlite::Error) -> Option<i32> {
    error.sqlite_error().map(|e| e.extended_code)
}

/// Whether another file stands where the one that is open stood, by the words of
/// SQLite: it writes no more then.
fn was_replaced(error: &rusqlite::Error) -> bool {
    extended(error) == Some(ffi::SQLITE_READONLY_DBMOVED)
}

/// The file system's refusal of `what`, naming the file.
pub(crate) fn io_at(what: &str, path: &Path) -> impl FnOnce(io::Error) -> StoreError {
    let writes = matches!(what, "write" | "make" | "make the folder");
    let what = format!("could not {what} `{}`", shown(path));
    let at = path.to_owned();
    move |problem| match problem.kind() {
        io::ErrorKind::PermissionDenied | io::ErrorKind::ReadOnlyFilesystem if writes => {
            StoreError::NotWritable(at)
        }
        _ if writes && is_no_room(&problem) => StoreError::NoRoom,
        _ => StoreError::Io { what, problem },
    }
}

/// Whether a copy failed for want of room where it was to be.
pub(crate) fn is_no_room(error: &io::Error) -> bool {
    matches!(
        error.kind(),
        io::ErrorKind::StorageFull | io::ErrorKind::QuotaExceeded | io::ErrorKind::FileTooLarge
    )
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The errors that carry a path or text from outside, with the longest.
    fn longest() -> Vec<StoreError> {
        let path = PathBuf::from(format!("/{}", "a folder/".repeat(400)));
        let text = "\u{1b}[2J\u{202e}".repeat(500);
        let flaw = |intact| {
            StoreError::Unreadable(Unreadable {
                id: EntryId(i64::MAX),
                bin: None,
                at_unix_seconds: None,
                kind: plain(&text, 24),
                engine_version: plain(&text, 16),
                intact,
                problem: plain(&text, 90),
            })
        };
        vec![
            StoreError::invalid(text.clone(), text.clone()).at_line(u64::MAX),
            StoreError::damaged(&path, text.clone()),
            StoreError::not_whole(&path, text.clone()),
            flaw(true),
            flaw(false),
            StoreError::NotThere(path.clone()),
            StoreError::Empty(path.clone()),
            StoreError::NotAFile {
                path: path.clone(),
                what: "a link to nothing",
            },
            StoreError::Gone(GoneFile {
                path: path.clone(),
                fate: crate::Fate::Away,
            }),
            StoreError::Unsure {
                problem: plain(&text, 120),
            },
            StoreError::NotOurs(path.clone()),
            StoreError::Changed {
                path: path.clone(),
                what: format!("the trigger `{}` was changed", plain(&text, 30)),
            },
            StoreError::TooNew {
                path: path.clone(),
                found: i64::MAX,
                known: i64::MAX,
            },
            StoreError::Exists(path.clone()),
            StoreError::InUse(path.clone()),
            StoreError::SeveralNames {
                path: path.clone(),
                other: Some(path.clone()),
            },
            StoreError::OtherLog {
                path: path.clone(),
                why: crate::over::UNKNOWN,
            },
            StoreError::Lent(path.clone()),
            StoreError::StrayJournal(path.clone(), "-journal"),
            StoreError::WaitingJournal(path.clone(), "-journal"),
            StoreError::NotAFolder(path.clone()),
            StoreError::NotWritable(path.clone()),
            StoreError::not_entered(&path),
            io_at("flush the folder", &path)(io::Error::from_raw_os_error(28)),
        ]
    }

    #[test]
    fn a_log_that_another_program_replaces_is_busy_and_may_be_written_to() {
        for code in [ffi::SQLITE_READONLY_DBMOVED, ffi::SQLITE_PROTOCOL] {
            let said = ffi::Error::new(code);
            let error = StoreError::from(rusqlite::Error::SqliteFailure(said, None));
            let told = error.about(Path::new("log.db")).to_string();
            assert!(told.ends_with("try again"), "{told}");
            assert!(!told.contains("may not"), "{told}");
        }
    }

    #[test]
    fn a_full_disk_is_called_that_whatever_was_to_be_written() {
        for what in ["write", "make"] {
            let full = io::Error::from(io::ErrorKind::StorageFull);
            let told = io_at(what, Path::new("log.db.part"))(full);
            assert!(matches!(told, StoreError::NoRoom), "{told}");
        }
    }

    #[test]
    fn every_message_is_short_and_plain() {
        for error in longest() {
            let said = error.to_string();
            assert!(
                said.chars().count() <= 300,
                "{} {said}",
                said.chars().count()
            );
            let raw = |c: char| c.is_control() || ('\u{202a}'..='\u{202e}').contains(&c);
            assert!(!said.contains(raw), "{said:?}");
        }
    }
}
