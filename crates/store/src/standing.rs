//! Whether the log that is open is the one that stands at its path. Writing to
//! a file that was removed, or that another took the place of, works as ever
//! and is lost; so before anything is acknowledged, the file at the path is
//! asked.

use crate::error::shown;
use crate::open::{BUSY_SECONDS, READ_ONLY, connect};
use crate::place::{Identity, identity, plain_beside, with_end};
use crate::seal::{COLUMNS, Record};
use crate::{Store, StoreError};
use crc32fast::Hasher;
use rusqlite::{Connection, ErrorCode};
use std::fmt;
use std::path::{Path, PathBuf};
use std::time::Duration;

/// What became of a log file in use.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Fate {
    /// Nothing stands at its path any more.
    Away,
    /// Another file stands there.
    Replaced,
    /// Another program put a backup in its place where it stands, or cut it or the
    /// journal beside it short.
    Changed,
}

/// A log file that is no longer the one that was opened.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct GoneFile {
    /// Where it stood.
    pub path: PathBuf,
    /// What became of it.
    pub fate: Fate,
}

impl fmt::Display for GoneFile {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let path = shown(&self.path);
        match self.fate {
            Fate::Away => write!(
                f,
                "the log file is no longer at `{path}`: it, or its folder, was removed or renamed while in use"
            ),
            Fate::Replaced => write!(
                f,
                "another file now stands at `{path}`, in place of the log that was in use"
            ),
            Fate::Changed => write!(
                f,
                "the log file at `{path}` was changed by another program while in use: a backup was put in its place there, or it was cut short or written over"
            ),
        }
    }
}

/// How long to wait for readers before the journal is left as it is.
const FOLD_WAIT: Duration = Duration::from_millis(50);

/// The files of an open log, as they stood when it was opened.
#[derive(Debug)]
pub(crate) struct Standing {
    /// As given, made absolute.
    path: PathBuf,
    /// The real file, links followed.
    real: PathBuf,
    /// The log, the write-ahead journal, and what guards it.
    files: Vec<(PathBuf, Option<Identity>)>,
}

impl Standing {
    /// Look at the files of the log now open at `path`.
    pub(crate) fn of(path: &Path) -> Self {
        let path = std::path::absolute(path).unwrap_or_else(|_| path.to_owned());
        // SQLite keeps its journals beside the real file.
        let real = std::fs::canonicalize(&path).unwrap_or_else(|_| path.clone());
        let beside = ["-wal", "-shm"].map(|end| with_end(&real, end));
        let files = std::iter::once(path.clone()).chain(beside);
        let files = files.map(|f| (f.clone(), identity(&f))).collect();
        Self { path, real, files }
    }

    /// Whether they all still stand there.
    fn holds(&self) -> bool {
        self.files
            .iter()
            .all(|(path, was)| was.is_some() && identity(path) == *was)
    }

    /// What became of the log when they do not, or do not hold what they should.
    fn fate(&self) -> Fate {
        let was = self.files.first().and_then(|(_, was)| *was);
        match identity(&self.path) {
            None => Fate::Away,
            now if now == was => Fate::Changed,
            Some(_) => Fate::Replaced,
        }
    }
}

/// The entries up to one number, summed up.
#[derive(Debug, Clone, Default)]
pub(crate) struct Tally {
    last: i64,
    count: u64,
    sum: Hasher,
}

impl Tally {
    /// Take in the entries after the last one summed, up to `end`.
    pub(crate) fn extend(&mut self, db: &Connection, end: i64) -> rusqlite::Result<()> {
        let mut query = db.prepare_cached(
            "SELECT id, checksum FROM entry WHERE id > ?1 AND id <= ?2 ORDER BY id",
        )?;
        let mut rows = query.query([self.last, end])?;
        while let Some(row) = rows.next()? {
            self.last = row.get(0)?;
            self.count += 1;
            self.sum.update(&self.last.to_le_bytes());
            self.sum.update(&row.get::<_, i64>(1)?.to_le_bytes());
        }
        Ok(())
    }

    fn same(&self, other: &Self) -> bool {
        let sum = |t: &Self| t.sum.clone().finalize();
        (self.last, self.count, sum(self)) == (other.last, other.count, sum(other))
    }
}

impl Store {
    /// The connection, to read from.
    ///
    /// # Errors
    /// [`StoreError::Gone`].
    pub(crate) fn reading(&self) -> Result<&Connection, StoreError> {
        self.stands()?;
        Ok(&self.db)
    }

    /// The files opened still stand at their paths. Once they were seen not to,
    /// nothing is read or taken in any more: what the keeper has now is
    /// another log.
    ///
    /// # Errors
    /// [`StoreError::Gone`].
    pub(crate) fn stands(&self) -> Result<(), StoreError> {
        let Some(standing) = &self.standing else {
            return Ok(());
        };
        if self.gone.get().is_none() && standing.holds() {
            // What came to stand beside it since may be waited for without end.
            return plain_beside(&standing.real);
        }
        Err(self.lost())
    }

    /// Fold the write-ahead journal into the file and empty it, so that the one
    /// file is the whole log, and another put in its place is not changed by
    /// what is left in the journal. Best effort: while another program reads,
    /// the journal keeps what it holds.
    pub(crate) fn fold_journal(&self) {
        let fold = || {
            self.db.busy_timeout(FOLD_WAIT)?;
            self.db
                .query_row("PRAGMA wal_checkpoint(TRUNCATE)", [], |_| Ok(()))
        };
        let _ = fold();
        let _ = self.db.busy_timeout(Duration::from_secs(BUSY_SECONDS));
    }

    pub(crate) fn lost(&self) -> StoreError {
        let now = self.standing.as_ref().map_or(Fate::Away, Standing::fate);
        // Told as it was first seen.
        let fate = self.gone.get().unwrap_or(now);
        self.gone.set(Some(fate));
        StoreError::Gone(GoneFile {
            path: self.shown(),
            fate,
        })
    }

    /// Whether `copy` holds to the letter the entries known from this log.
    pub(crate) fn is_all_in(&self, copy: &Connection) -> rusqlite::Result<bool> {
        let mut there = Tally::default();
        there.extend(copy, self.tally.last)?;
        Ok(there.same(&self.tally))
    }

    /// The file at the path, opened anew, holds the entries summed in `tally`
    /// and says of those after `since` what it should.
    ///
    /// # Errors
    /// [`StoreError::Gone`] when it does not; what SQLite said when it could
    /// not be asked.
    pub(crate) fn is_in_the_file(&self, tally: &Tally, since: i64) -> Result<(), StoreError> {
        let Some(standing) = &self.standing else {
            return Ok(());
        };
        self.stands()?;
        match asked(&standing.path, tally, since) {
            Ok(true) => Ok(()),
            Ok(false) => Err(self.lost()),
            Err(error) => match error.sqlite_error_code() {
                // It stands there still, and no more files can be opened.
                Some(ErrorCode::CannotOpen) if standing.holds() => Err(error.into()),
                // What stands there is no file, no log, or a torn one.
                None
                | Some(
                    ErrorCode::CannotOpen
                    | ErrorCode::NotADatabase
                    | ErrorCode::DatabaseCorrupt
                    | ErrorCode::Unknown,
                ) => Err(self.lost()),
                _ => Err(error.into()),
            },
        }
    }
}

/// Ask the file at `path`. A connection of its own sees only what is in it.
fn asked(path: &Path, tally: &Tally, since: i64) -> rusqlite::Result<bool> {
    let db = connect(path, READ_ONLY)?;
    db.busy_timeout(Duration::from_secs(BUSY_SECONDS))?;
    let read = db.unchecked_transaction()?;
    let mut there = Tally::default();
    there.extend(&read, tally.last)?;
    let mut query = read.prepare(&format!(
        "SELECT {COLUMNS} FROM entry WHERE id > ?1 AND id <= ?2"
    ))?;
    let mut rows = query.query([since, tally.last])?;
    let mut holds = there.same(tally);
    while let Some(row) = rows.next()? {
        holds &= Record::read(row)?.holds();
    }
    Ok(holds)
}
