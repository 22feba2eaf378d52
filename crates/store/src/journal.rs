//! Whether the write-ahead journal beside a file belongs to it.

use crate::StoreError;
use crate::open::{BUSY_SECONDS, READ_ONLY, connect, is_empty, open_unwritten};
use crate::place::with_end;
use crate::seal::{COLUMNS, Record};
use rusqlite::config::DbConfig;
use rusqlite::{Connection, OptionalExtension};
use std::path::Path;
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
/// restore in place, after which the log is of a new device that has written
/// nothing yet.
fn hides_entries(real: &Path) -> rusqlite::Result<bool> {
    let device = |db: &Connection| {
        db.query_row("SELECT device FROM this_log", [], |r| r.get::<_, String>(0))
    };
    let alone = open_unwritten(real)?;
    let was = device(&alone)?;
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
    let read = whole.unchecked_transaction()?;
    let now = device(&read)?;
    let own = "SELECT EXISTS (SELECT 1 FROM entry WHERE device = ?1)";
    if now != was && !read.query_row(own, [&now], |r| r.get::<_, bool>(0))? {
        return Ok(false);
    }
    let mut query = read.prepare("SELECT checksum FROM entry WHERE id = ?1")?;
    for (id, checksum) in held {
        let there = query.query_row([id], |r| r.get::<_, i64>(0)).optional()?;
        if there != Some(checksum) {
            return Ok(true);
        }
    }
    Ok(false)
}
