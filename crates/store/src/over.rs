//! Which file a backup or an export may be written over, when that was asked
//! for: anything but a log that holds what the new file does not.

use crate::journal::journal_is_of;
use crate::migrate::APPLICATION_ID;
use crate::open::{BUSY_SECONDS, READ_WRITE, connect};
use crate::place::plain_file;
use crate::whole_file::belongs_to;
use crate::{Store, StoreError};
use rusqlite::{Connection, params};
use std::io::Read;
use std::path::Path;
use std::time::Duration;

/// Said of a log that cannot be compared.
pub(crate) const UNKNOWN: &str = "what it holds could not be compared with this one";

impl Store {
    /// What stands at `path` may be written over: it is no log, or (when a log
    /// is what takes its place) an earlier copy of this one, every entry of
    /// which is here, and nobody has it open. Such a log is held until what is
    /// given is dropped.
    ///
    /// # Errors
    /// [`StoreError::OtherLog`], [`StoreError::InUse`].
    pub(crate) fn may_write_over(
        &self,
        path: &Path,
        with_a_log: bool,
    ) -> Result<Option<Connection>, StoreError> {
        let Some(real) = plain_file(path)? else {
            return Ok(None);
        };
        // That it is this very log is told where its place is looked for.
        if self.path().is_some_and(|log| belongs_to(path, log)) || !is_a_log(&real) {
            return Ok(None);
        }
        let refuse = |why| -> Result<(), StoreError> {
            let path = path.to_owned();
            Err(StoreError::OtherLog { path, why })
        };
        if !with_a_log {
            return refuse("and an export is none").map(|()| None);
        }
        journal_is_of(&real, path)?;
        // To read: but SQLite tidies up only after who may write.
        let other = || -> Result<Connection, StoreError> {
            let other = connect(&real, READ_WRITE)?;
            other.busy_timeout(Duration::from_secs(BUSY_SECONDS))?;
            Ok(other)
        };
        let earlier = |other: &Connection| Ok(all_in(other, self.reading()?)?);
        let told = |earlier: Result<bool, StoreError>| match earlier {
            Ok(true) => Ok(()),
            Ok(false) => refuse("with entries that this one lacks"),
            Err(_) => refuse(UNKNOWN),
        };
        told(other().and_then(|other| earlier(&other)))?;
        // Whoever wrote to it meanwhile is seen now, and nobody does from here on.
        let held = crate::backup::hold(&real)?;
        match &held {
            Some(other) => told(earlier(other))?,
            None => refuse(UNKNOWN)?,
        }
        Ok(held)
    }
}

/// Whether each entry of `other` is in `own` with the same checksum.
fn all_in(other: &Connection, own: &Connection) -> rusqlite::Result<bool> {
    let mut here = own.prepare(
        "SELECT EXISTS (SELECT 1 FROM entry
            WHERE id = ?1 AND device = ?2 AND sequence = ?3 AND checksum = ?4)",
    )?;
    let mut all = other.prepare("SELECT id, device, sequence, checksum FROM entry")?;
    let mut rows = all.query([])?;
    while let Some(row) = rows.next()? {
        let (id, device, sequence, checksum): (i64, String, i64, i64) =
            (row.get(0)?, row.get(1)?, row.get(2)?, row.get(3)?);
        if !here.query_row(params![id, device, sequence, checksum], |r| r.get(0))? {
            return Ok(false);
        }
    }
    Ok(true)
}

/// Whether a file says that it is a log of ours, sound or not.
fn is_a_log(real: &Path) -> bool {
    let mut head = [0u8; 72];
    let read = std::fs::File::open(real).and_then(|mut f| f.read_exact(&mut head));
    let ours = APPLICATION_ID.to_be_bytes();
    read.is_ok() && head.starts_with(b"SQLite format 3\0") && head[68..] == ours[4..]
}
