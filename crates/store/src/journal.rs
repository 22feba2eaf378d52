//! Whether the write-ahead journal beside a file belongs to it.

use crate::StoreError;
use crate::open::{BUSY_SECONDS, READ_ONLY, connect, is_empty, open_unwritten};
use crate::place::{folder_of, with_end};
use crate::seal::{COLUMNS, Record};
use rusqlite::config::DbConfig;
use rusqlite::{Connection, OptionalExtension};
use std::path::{Path, PathBuf};
use std::time::Duration;

/// The write-ahead journal beside a file goes on from what the file holds. One
/// left by a program that was killed, with another file put at its name since,
/// would be laid over that file, and entries in it be gone. `given` is the name
/// the keeper gave.
///
/// # Errors
/// [`StoreError::StrayJournal`]; then neither was touched.
pub(crate) fn journal_is_of(real: &Path, given: &Path) -> Result<(), StoreError> {
    if is_empty(&with_end(real, "-wal")) {
        return Ok(());
    }
    match hides_entries(real) {
        Ok(true) => Err(StoreError::StrayJournal(given.to_owned())),
        // A file that cannot be read alone is one whose journal was being
        // folded into it; what else is wrong is found when it is opened.
        Ok(false) | Err(_) => Ok(()),
    }
}

/// Whether entries that are whole in the file itself are not there when it is
/// read with its journal. Entries are never taken away, but for one case: a
/// restore in place, which keeps what was there beside it first.
fn hides_entries(real: &Path) -> rusqlite::Result<bool> {
    let alone = open_unwritten(real)?;
    let mut query = alone.prepare(&format!("SELECT {COLUMNS} FROM entry NOT INDEXED"))?;
    let mut rows = query.query([])?;
    let mut held = Vec::new();
    while let Some(row) = rows.next()? {
        let record = Record::read(row)?;
        if record.holds() {
            held.push((record.id, record.checksum));
        }
    }
    // Read after the file alone: what others write meanwhile is in both.
    let whole = connect(real, READ_ONLY)?;
    whole.set_db_config(DbConfig::SQLITE_DBCONFIG_NO_CKPT_ON_CLOSE, true)?;
    whole.busy_timeout(Duration::from_secs(BUSY_SECONDS))?;
    let kept = |file: &Path| open_unwritten(file).and_then(|db| holds_all(&db, &held));
    let hidden = !holds_all(&whole, &held)?;
    Ok(hidden && !replaced(real).any(|file| kept(&file).unwrap_or(false)))
}

/// Whether all these entries, by number and checksum, are in a log.
fn holds_all(db: &Connection, entries: &[(i64, i64)]) -> rusqlite::Result<bool> {
    let read = db.unchecked_transaction()?;
    let mut query = read.prepare("SELECT checksum FROM entry WHERE id = ?1")?;
    for (id, checksum) in entries {
        let there = query.query_row([id], |r| r.get::<_, i64>(0)).optional()?;
        if there != Some(*checksum) {
            return Ok(false);
        }
    }
    Ok(true)
}

/// What was kept beside a log when another was put in its place.
fn replaced(real: &Path) -> impl Iterator<Item = PathBuf> {
    let start = with_end(real, ".replaced");
    let list = std::fs::read_dir(folder_of(real)).into_iter().flatten();
    list.filter_map(Result::ok)
        .map(|f| f.path())
        .filter(move |f| {
            let (name, start) = (f.as_os_str().as_encoded_bytes(), start.as_os_str());
            name.starts_with(start.as_encoded_bytes()) && f.is_file()
        })
}
