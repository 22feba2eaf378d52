//! Backup to one file, and back. Files appear under their final name only when
//! whole and on disk; nothing that was there is lost.

use crate::error::io_at;
use crate::migrate::{STEPS, schema_of};
use crate::open::BUSY_SECONDS;
use crate::{Store, StoreError};
use rusqlite::backup::Backup;
use rusqlite::{Connection, OpenFlags};
use std::ffi::OsString;
use std::fs::{self, File};
use std::path::{Path, PathBuf};
use std::time::Duration;

/// Pages to copy between pauses, so a writer is not kept waiting.
const PAGES: i32 = 4096;

/// How long to wait for a command that is just finishing.
const SETTLE_WAIT: Duration = Duration::from_millis(500);

/// Open what is there; make nothing.
const READ_WRITE: OpenFlags =
    OpenFlags::SQLITE_OPEN_READ_WRITE.union(OpenFlags::SQLITE_OPEN_NO_MUTEX);

impl Store {
    /// Copy the whole log to one file at `path`, flushed to disk. Work may go
    /// on meanwhile; the copy is of one instant. A file already there is
    /// refused unless `replace`.
    ///
    /// # Errors
    /// When the file is there and not to be replaced, is the log itself, or
    /// cannot be written.
    pub fn backup_to(&self, path: &Path, replace: bool) -> Result<(), StoreError> {
        if self.path.as_deref().is_some_and(|own| same_file(own, path)) {
            return Err(StoreError::invalid(
                "the backup",
                "cannot be the log itself",
            ));
        }
        if !replace && path.exists() {
            return Err(StoreError::Exists(path.to_owned()));
        }
        let part = free_name(path, "part");
        let done = copy_to(&self.db, &part).and_then(|()| move_into_place(&part, path));
        if done.is_err() {
            // Best effort: what failed is already being reported.
            let _ = fs::remove_file(&part);
        }
        done
    }

    /// Put the log saved in `from` in place of the one at `to`. The saved file
    /// is checked first. What was at `to` is kept beside it under a numbered
    /// name, which is given back.
    ///
    /// # Errors
    /// When `from` is missing, not a log, too new or damaged; when `to` is open
    /// in another program; when a file cannot be written. `to` is then as it
    /// was.
    pub fn restore(from: &Path, to: &Path) -> Result<Option<PathBuf>, StoreError> {
        if same_file(from, to) {
            return Err(StoreError::invalid(
                "the file to restore",
                "is the log itself",
            ));
        }
        if let Some(folder) = to.parent() {
            fs::create_dir_all(folder).map_err(io_at("make the folder", folder))?;
        }
        let part = free_name(to, "part");
        let done = take_copy(from, &part).and_then(|()| {
            let kept = keep_replaced(to)?;
            move_into_place(&part, to)?;
            Ok(kept)
        });
        if done.is_err() {
            // Best effort: what failed is already being reported.
            let _ = fs::remove_file(&part);
        }
        done
    }

    /// Check the whole file: SQLite's own integrity check, and that every entry
    /// can be read and every correction names an earlier entry of the same bin.
    ///
    /// # Errors
    /// [`StoreError::Damaged`] or [`StoreError::Unreadable`] naming what was found.
    pub fn check(&self) -> Result<(), StoreError> {
        let shown = self.shown();
        check_sqlite(&self.db, &shown).map_err(|error| error.about(&shown))?;
        self.check_entries()
    }
}

/// Copy `from` to the new file `part` and check the copy.
fn take_copy(from: &Path, part: &Path) -> Result<(), StoreError> {
    if !from.is_file() {
        let what = format!("`{}`", from.display());
        return Err(StoreError::invalid(what, "is not there"));
    }
    let taken = if with_end(from, "-wal").exists() {
        copy_open(from, part)
    } else {
        // Whole in itself: copied without opening, which leaves no trace beside
        // it and works from a disk that cannot be written.
        copy_bytes(from, part)
    };
    let checked = taken.and_then(|()| {
        let db = Connection::open_with_flags(part, READ_WRITE)?;
        if schema_of(&db, from, STEPS)? == 0 {
            return Err(StoreError::NotOurs(from.to_owned()));
        }
        check_sqlite(&db, from)?;
        crate::open::set_journal(&db, "delete")
    });
    checked.map_err(|error| error.about(from))?;
    flush(part)
}

/// Copy a log with a write-ahead journal, perhaps in use.
fn copy_open(from: &Path, part: &Path) -> Result<(), StoreError> {
    let flags = OpenFlags::SQLITE_OPEN_READ_ONLY | OpenFlags::SQLITE_OPEN_NO_MUTEX;
    let db = Connection::open_with_flags(from, flags)?;
    db.busy_timeout(Duration::from_secs(BUSY_SECONDS))?;
    copy_to(&db, part)
}

fn copy_bytes(from: &Path, to: &Path) -> Result<(), StoreError> {
    let mut source = File::open(from).map_err(io_at("open", from))?;
    let mut target = File::create_new(to).map_err(io_at("make", to))?;
    std::io::copy(&mut source, &mut target).map_err(io_at("write", to))?;
    target.sync_all().map_err(io_at("flush", to))
}

fn flush(path: &Path) -> Result<(), StoreError> {
    let file = File::open(path).map_err(io_at("open", path))?;
    file.sync_all().map_err(io_at("flush", path))
}

fn check_sqlite(db: &Connection, path: &Path) -> Result<(), StoreError> {
    let mut query = db.prepare("PRAGMA integrity_check(5)")?;
    let lines = query.query_map([], |r| r.get::<_, String>(0))?;
    let lines = lines.collect::<Result<Vec<_>, _>>()?;
    if lines == ["ok"] {
        return Ok(());
    }
    Err(StoreError::Damaged {
        path: path.to_owned(),
        problem: lines.join("; "),
    })
}

/// Copy an open log to the new file `path`: one file, no journal, on disk.
pub(crate) fn copy_to(from: &Connection, path: &Path) -> Result<(), StoreError> {
    File::create_new(path).map_err(io_at("make", path))?;
    let mut copy = Connection::open(path)?;
    Backup::new(from, &mut copy)?.run_to_completion(PAGES, Duration::from_millis(1), None)?;
    crate::open::set_journal(&copy, "delete")?;
    copy.close().map_err(|(_, error)| StoreError::from(error))?;
    flush(path)
}

/// Keep what stands at `path` under a free numbered name. With a sound file
/// this leaves `path` in place, whole and without a journal, until the new file
/// takes the name.
fn keep_replaced(path: &Path) -> Result<Option<PathBuf>, StoreError> {
    if !path.exists() {
        set_journals_aside(path, &free_name(path, "replaced"))?;
        return Ok(None);
    }
    settle(path)?;
    let kept = free_name(path, "replaced");
    if fs::hard_link(path, &kept).is_err() {
        copy_bytes(path, &kept)?;
    }
    set_journals_aside(path, &kept)?;
    Ok(Some(kept))
}

/// Fold the write-ahead journal into the file. SQLite does this only for the
/// sole user of a file, so it also tells whether another program has it open.
/// A file SQLite cannot read is left as it is: it may be why we restore.
fn settle(path: &Path) -> Result<(), StoreError> {
    let fold = || {
        let db = Connection::open_with_flags(path, READ_WRITE)?;
        db.busy_timeout(SETTLE_WAIT)?;
        db.pragma_update_and_check(None, "journal_mode", "delete", |r| r.get::<_, String>(0))
    };
    match fold().map_err(StoreError::from) {
        Ok(mode) if mode.eq_ignore_ascii_case("wal") => Err(StoreError::InUse(path.to_owned())),
        Err(StoreError::Busy) => Err(StoreError::InUse(path.to_owned())),
        _ => Ok(()),
    }
}

/// A journal left beside `path` belongs to the old file and goes with it.
fn set_journals_aside(path: &Path, kept: &Path) -> Result<(), StoreError> {
    for end in ["-wal", "-shm", "-journal"] {
        let old = with_end(path, end);
        if old.exists() {
            fs::rename(&old, with_end(kept, end)).map_err(io_at("move", &old))?;
        }
    }
    Ok(())
}

fn move_into_place(part: &Path, path: &Path) -> Result<(), StoreError> {
    fs::rename(part, path).map_err(io_at("write", path))?;
    sync_folder(path)
}

/// Flush the folder, so that the new name survives a power cut.
#[cfg(unix)]
fn sync_folder(path: &Path) -> Result<(), StoreError> {
    let folder = match path.parent() {
        Some(folder) if !folder.as_os_str().is_empty() => folder,
        _ => Path::new("."),
    };
    let flushed = File::open(folder).and_then(|f| f.sync_all());
    flushed.map_err(io_at("flush the folder", folder))
}

/// Folders cannot be flushed here.
#[cfg(not(unix))]
fn sync_folder(_path: &Path) -> Result<(), StoreError> {
    Ok(())
}

fn same_file(a: &Path, b: &Path) -> bool {
    match (fs::canonicalize(a), fs::canonicalize(b)) {
        (Ok(a), Ok(b)) => a == b,
        _ => false,
    }
}

fn with_end(path: &Path, end: &str) -> PathBuf {
    let mut name = OsString::from(path);
    name.push(end);
    name.into()
}

/// `PATH.WORD`, or the first of `PATH.WORD-2`, `PATH.WORD-3`, ... not taken.
pub(crate) fn free_name(path: &Path, word: &str) -> PathBuf {
    let first = with_end(path, &format!(".{word}"));
    let later = (2u64..).map(|n| with_end(path, &format!(".{word}-{n}")));
    std::iter::once(first.clone())
        .chain(later)
        .find(|p| !p.exists())
        .unwrap_or(first)
}
