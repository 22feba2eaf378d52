//! Backup to one file, and back. Files appear under their final name only when
//! whole and on disk; nothing that was there is lost.

use crate::error::io_at;
use crate::extent::{ANY, copy_first, is_hollow, own_length};
use crate::health::examine;
use crate::journal::journal_is_of;
use crate::migrate::{STEPS, bring_up, check_shape, schema_of, take_new_device};
use crate::open::{
    BUSY_SECONDS, READ_ONLY, READ_WRITE, connect, open_unwritten, set_journal, set_pragmas,
};
use crate::place::{
    BESIDE, can_be_named, discard, flush, folder_of, free_name, make_folder, names_no_part,
    plain_file, reserve, sync_folder, with_end,
};
use crate::restoring::{announce, has_sign, say_over, take_back};
use crate::whole_file::{belongs_to, keep_beside, place_whole};
use crate::{Store, StoreError};
use rusqlite::Connection;
use rusqlite::backup::{Backup, StepResult};
use std::fs::{self, File};
use std::io::ErrorKind;
use std::path::{Path, PathBuf};
use std::time::Duration;

/// Pages to copy between pauses, so a writer is not kept waiting.
pub(crate) const PAGES: i32 = 4096;

/// How long to wait for a command that is just finishing.
const SETTLE_WAIT: Duration = Duration::from_millis(500);

/// How often a restore tries to say in the file that it is about to be replaced,
/// each time waiting for readers a little.
const ANNOUNCE_TRIES: u32 = 40;

impl Store {
    /// Copy the whole log to one file at `path`. Work may go on meanwhile; the
    /// copy is of one instant. It is opened and every entry in it verified
    /// before it takes its name. A file already there is refused unless
    /// `replace`. Gives the number of entries saved.
    ///
    /// # Errors
    /// When an entry of the log no longer says what was written, or is missing
    /// and not known to be lost, so that it could not be restored; when `path` is the log itself or not a plain
    /// file, is there and not to be replaced, or cannot be written. What was
    /// there is then as it was.
    pub fn backup_to(&self, path: &Path, replace: bool) -> Result<usize, StoreError> {
        self.may_be_saved()?;
        let _held = match replace {
            true => self.may_write_over(path, true)?,
            false => None,
        };
        self.copy_whole(path, replace, false)
    }

    /// The open log as one file at `path`, read back whole; with `same`, it must
    /// hold the entries known from before.
    pub(crate) fn copy_whole(
        &self,
        path: &Path,
        replace: bool,
        same: bool,
    ) -> Result<usize, StoreError> {
        place_whole(path, replace, self.path(), |part| {
            copy_to(&self.db, part)?;
            let copy = connect(part, READ_WRITE)?;
            let found = schema_of(&copy, part, STEPS)?;
            check_shape(&copy, part, found, STEPS)?;
            let health = examine(&copy)?;
            let as_known = !same || self.is_all_in(&copy)?;
            close(copy)?;
            match health.first_damage() {
                Some(problem) => Err(StoreError::not_whole(path, problem)),
                None if !as_known => {
                    Err(StoreError::not_whole(path, "entries known are not in it"))
                }
                None => Ok(health.entries),
            }
        })
    }

    /// Put the log saved in `from` in place of the one at `to`. The saved file
    /// is checked first: every entry in it must be there and readable. What was
    /// at `to` is kept beside it under a numbered name, which is given back.
    ///
    /// # Errors
    /// When `from` is missing, not a log, too new, damaged or not readable
    /// whole; when `to` is open in another program; when a file cannot be
    /// written. `to` is then as it was.
    pub fn restore(from: &Path, to: &Path) -> Result<Option<PathBuf>, StoreError> {
        names_no_part(to)?;
        can_be_named(to)?;
        let to = plain_file(to)?.unwrap_or_else(|| to.to_owned());
        refuse_itself(from, &to)?;
        make_folder(folder_of(&to))?;
        let part = reserve(&to, "part")?;
        let done = take_copy(from, &part).and_then(|()| {
            // Held until the other has its name: nobody writes in between.
            let (kept, _held) = keep_replaced(&to)?;
            fs::rename(&part, &to).map_err(io_at("write", &to))?;
            sync_folder(&to)?;
            Ok(kept)
        });
        if done.is_err() {
            discard(&part);
        }
        done
    }

    /// Put the log saved in `from` in place of this one, which stays open
    /// throughout. The saved file is checked as by [`Store::restore`]; what
    /// this log held is kept beside it under a numbered name, which is given
    /// back.
    ///
    /// # Errors
    /// As [`Store::restore`], and for a log in memory. This log is then as it
    /// was, and still open.
    pub fn restore_into(&mut self, from: &Path) -> Result<PathBuf, StoreError> {
        let Some(path) = self.path.clone() else {
            return Err(StoreError::invalid(
                "this log",
                "is only in memory; there is no file to replace",
            ));
        };
        self.may_be_written()?;
        self.stands()?;
        let real = plain_file(&path)?.ok_or_else(|| self.lost())?;
        refuse_itself(from, &real)?;
        let part = reserve(&real, "part")?;
        let done = take_copy(from, &part).and_then(|()| self.take_over(&part, &real));
        discard(&part);
        done
    }

    /// Take over the content of the checked file `part`, in one transaction
    /// that keeps others from writing while what was here is saved.
    fn take_over(&mut self, part: &Path, real: &Path) -> Result<PathBuf, StoreError> {
        let source = unhurried(part)?;
        let page: i64 = self
            .db
            .pragma_query_value(None, "page_size", |r| r.get(0))?;
        in_pages_of(&source, page)?;
        let announced = self.announce_restore(&source)?;
        self.db.flush_prepared_statement_cache();
        let kept = self.replace_with(&source, real, announced);
        if announced && kept.is_err() {
            // Nothing was replaced. Best effort: no journal names that sign.
            let _ = take_back(&self.db);
        }
        let kept = kept?;
        self.look_anew()?;
        // The file holds it all before anybody may throw away what was kept.
        self.fold_journal();
        Ok(kept)
    }

    /// Let the file say that it is about to be replaced, and `source` that it
    /// was: a kill before the journal is folded is then told from a journal of
    /// another log. Not of a damaged file, which may be why it is replaced.
    pub(crate) fn announce_restore(&self, source: &Connection) -> Result<bool, StoreError> {
        if !self.health.borrow().damage.is_empty() {
            return Ok(false);
        }
        let said = announce(&self.db).and_then(|sign| {
            // While somebody reads, it may not reach the file.
            let reached = (0..ANNOUNCE_TRIES).any(|_| {
                self.fold_journal();
                self.path.as_deref().is_none_or(|log| has_sign(log, &sign))
            });
            match reached {
                true => say_over(source, &sign, &self.db).map(|()| true),
                false => take_back(&self.db).map(|()| false),
            }
        });
        match said.map_err(StoreError::from) {
            Ok(true) => Ok(true),
            Ok(false) => Err(StoreError::Busy),
            Err(error) if error.is_damage() => Ok(false),
            Err(error) => Err(error),
        }
    }

    /// Keep what is here, and put what is in `source` in its place.
    pub(crate) fn replace_with(
        &mut self,
        source: &Connection,
        real: &Path,
        announced: bool,
    ) -> Result<PathBuf, StoreError> {
        let copying = Backup::new(source, &mut self.db)?;
        // No page yet: this takes the right to write and holds it.
        all_steps(&copying, 0)?;
        let kept = keep_beside(real, "replaced", |part| {
            // It may be damaged: that may be why it is replaced.
            copy_pages(&connect(real, READ_ONLY)?, part)?;
            match announced {
                // Put back by hand, it is another file than the one replaced.
                true => Ok(take_back(&unhurried(part)?)?),
                false => Ok(()),
            }
        })?;
        if let Err(error) = all_steps(&copying, -1) {
            // Nothing was replaced, so there is nothing to keep.
            discard(&kept);
            return Err(error);
        }
        Ok(kept)
    }

    /// Check the whole file: SQLite's own integrity check, that every entry is
    /// there, says what was written and can be read, and that every correction
    /// names an earlier entry of the same bin.
    ///
    /// # Errors
    /// [`StoreError::Damaged`], [`StoreError::NotWhole`] or
    /// [`StoreError::Unreadable`] naming the first thing found;
    /// [`Store::examine`] tells all.
    pub fn check(&self) -> Result<(), StoreError> {
        self.check_sound()?;
        self.check_entries()
    }

    /// A backup of this log could be put in its place: each entry is there as
    /// it was written.
    fn may_be_saved(&self) -> Result<(), StoreError> {
        let health = self.examine()?;
        match health.first_damage() {
            Some(problem) => Err(StoreError::not_whole(&self.shown(), problem)),
            None => refuse_gaps(&health, &self.shown()),
        }
    }

    pub(crate) fn check_sound(&self) -> Result<(), StoreError> {
        refuse_unsound(&self.examine()?, &self.shown())
    }
}

/// Everything in a file is there and can be read by this version.
fn refuse_unsound(health: &crate::Health, path: &Path) -> Result<(), StoreError> {
    if let Some(problem) = health.damage.first() {
        return Err(StoreError::damaged(path, problem.as_str()));
    }
    if let Some(flaw) = health.unreadable.first() {
        return Err(StoreError::Unreadable(flaw.clone()));
    }
    refuse_gaps(health, path)
}

/// No entry is missing but those known to be lost.
fn refuse_gaps(health: &crate::Health, path: &Path) -> Result<(), StoreError> {
    match health.missing.first() {
        Some(gap) => Err(StoreError::not_whole(path, gap.to_string())),
        None => Ok(()),
    }
}

fn refuse_itself(from: &Path, to: &Path) -> Result<(), StoreError> {
    if plain_file(from)?.is_none() {
        let what = format!("`{}`", crate::error::shown(from));
        return Err(StoreError::invalid(what, "is not there"));
    }
    match belongs_to(from, to) {
        true => Err(StoreError::invalid(
            "the file to restore",
            "is the log itself",
        )),
        false => Ok(()),
    }
}

/// Run the steps of a copy; with no pages, only its first, which takes the
/// locks.
fn all_steps(copying: &Backup<'_, '_>, pages: i32) -> Result<(), StoreError> {
    match copying.step(pages)? {
        StepResult::Done => Ok(()),
        StepResult::More if pages == 0 => Ok(()),
        _ => Err(StoreError::Busy),
    }
}

/// Copy `from` to the new file `part`, check the copy, bring it up to date and
/// give it a device of its own.
fn take_copy(from: &Path, part: &Path) -> Result<(), StoreError> {
    // Looked at first: what is no log may be of any length.
    let looked = open_unwritten(from).map_err(StoreError::from);
    let looked = looked.and_then(|db| schema_of(&db, from, STEPS).map(drop));
    match looked.map_err(|error| error.about(from)) {
        Err(error @ (StoreError::NotOurs(_) | StoreError::TooNew { .. })) => return Err(error),
        _ => journal_is_of(from, from)?,
    }
    refuse_hollow(from)?;
    let taken = if with_end(from, "-wal").exists() {
        copy_open(from, part)
    } else {
        // Whole in itself: copied without opening, which leaves no trace beside
        // it and works from a disk that cannot be written.
        copy_bytes(from, part)
    };
    let checked = taken.and_then(|()| {
        let mut db = connect(part, READ_WRITE)?;
        let found = schema_of(&db, from, STEPS)?;
        if found == 0 {
            return Err(StoreError::NotOurs(from.to_owned()));
        }
        check_shape(&db, from, found, STEPS)?;
        set_journal(&db, "delete")?;
        set_pragmas(&db)?;
        bring_up(&mut db, None, STEPS)?;
        refuse_unsound(&examine(&db)?, from)?;
        take_new_device(&db)?;
        close(db)
    });
    checked.map_err(|error| error.about(from))?;
    flush(part)
}

/// Connect to a file of ours that is flushed, or read and thrown away, once all
/// is written in it.
fn unhurried(part: &Path) -> rusqlite::Result<Connection> {
    let db = connect(part, READ_WRITE)?;
    db.pragma_update(None, "synchronous", "OFF")?;
    Ok(db)
}

/// Write the pages of a file anew in the size another file has them.
fn in_pages_of(db: &Connection, page: i64) -> Result<(), StoreError> {
    let own: i64 = db.pragma_query_value(None, "page_size", |r| r.get(0))?;
    if own != page {
        db.pragma_update(None, "page_size", page)?;
        db.execute_batch("VACUUM")?;
    }
    Ok(())
}

fn close(db: Connection) -> Result<(), StoreError> {
    db.close().map_err(|(_, error)| StoreError::from(error))
}

/// Copy a log with a write-ahead journal, perhaps in use.
fn copy_open(from: &Path, part: &Path) -> Result<(), StoreError> {
    let db = connect(from, READ_ONLY)?;
    db.busy_timeout(Duration::from_secs(BUSY_SECONDS))?;
    copy_to(&db, part)
}

/// What says it is far longer than what of it is on the disk is not copied.
fn refuse_hollow(path: &Path) -> Result<(), StoreError> {
    let own = own_length(path).map_err(io_at("read", path))?.unwrap_or(0);
    refuse_longer(path, own)
}

/// As [`refuse_hollow`], of a file that says it is `own` long [bytes].
fn refuse_longer(path: &Path, own: u64) -> Result<(), StoreError> {
    let hollow = match is_hollow(path, own) {
        // An open log whose file is gone is whole in what is open.
        Err(e) if e.kind() == ErrorKind::NotFound => false,
        looked => looked.map_err(io_at("look at", path))?,
    };
    match hollow {
        true => Err(StoreError::damaged(
            path,
            "it says it is far longer than what is on the disk of it",
        )),
        false => Ok(()),
    }
}

/// Copy a file, as far as it is a log by its own beginning.
fn copy_bytes(from: &Path, to: &Path) -> Result<(), StoreError> {
    let own = own_length(from).map_err(io_at("read", from))?;
    let mut source = File::open(from).map_err(io_at("open", from))?;
    let target = File::options().write(true).open(to);
    let mut target = target.map_err(io_at("open", to))?;
    let left = copy_first(&mut source, &mut target, own.unwrap_or(ANY));
    if left.map_err(io_at("write", to))? > 0 && own.is_none() {
        return Err(StoreError::damaged(
            from,
            "it goes on for longer than any log",
        ));
    }
    target.sync_all().map_err(io_at("flush", to))
}

/// Copy an open log to the empty file `path`: one file, no journal, on disk.
pub(crate) fn copy_to(from: &Connection, path: &Path) -> Result<(), StoreError> {
    copy_pages(from, path)?;
    let copy = connect(path, READ_WRITE)?;
    set_journal(&copy, "delete")?;
    close(copy)?;
    flush(path)
}

/// Copy the pages of an open log to the empty file `path`, whatever they say.
pub(crate) fn copy_pages(from: &Connection, path: &Path) -> Result<(), StoreError> {
    if let Some(log) = from.path().filter(|log| !log.is_empty()).map(Path::new) {
        // Looked at from outside: its locks would go with a second handle.
        let size = |what| from.pragma_query_value(None, what, |r| r.get::<_, i64>(0));
        let long = size("page_count")?.saturating_mul(size("page_size")?);
        refuse_longer(log, long.unsigned_abs())?;
    }
    let mut copy = connect(path, READ_WRITE)?;
    Backup::new(from, &mut copy)?.run_to_completion(PAGES, Duration::from_millis(1), None)?;
    close(copy)?;
    flush(path)
}

/// Keep what stands at `path` under a free numbered name. With a sound file
/// this leaves `path` in place, whole and without a journal, until the new file
/// takes the name; nobody else writes to it while what holds it is kept.
fn keep_replaced(path: &Path) -> Result<(Option<PathBuf>, Option<Connection>), StoreError> {
    let there = path.exists();
    if !there && BESIDE.iter().all(|end| !with_end(path, end).exists()) {
        return Ok((None, None));
    }
    if !there {
        set_journals_aside(path, &free_name(path, "replaced"))?;
        return Ok((None, None));
    }
    // Read before it is held: with a second handle of it closed, it would be
    // held no more.
    let hollow = refuse_hollow(path);
    // A journal of another time is kept beside it and not folded into it.
    let held = match journal_is_of(path, path) {
        Ok(()) => hold(path)?,
        Err(StoreError::StrayJournal(..) | StoreError::NotAFile { .. }) => None,
        Err(error) => return Err(error),
    };
    let copy = |part: &Path| {
        hollow?;
        match &held {
            Some(db) => copy_pages(db, part),
            None => copy_bytes(path, part),
        }
    };
    let kept = keep_beside(path, "replaced", copy).or_else(|error| {
        // Too damaged to copy, or no room: a second name will do.
        let name = free_name(path, "replaced");
        let linked = fs::hard_link(path, &name);
        linked.map(|()| name).map_err(|_| error)
    })?;
    set_journals_aside(path, &kept)?;
    Ok((Some(kept), held))
}

/// Fold the write-ahead journal into the file and hold it for oneself, as long
/// as what is given is kept. SQLite does this only for the sole user of a file,
/// so it also tells whether another program has it open. A file SQLite cannot
/// read is left as it is, and not held: it may be why we restore.
pub(crate) fn hold(path: &Path) -> Result<Option<Connection>, StoreError> {
    let alone = || {
        let db = connect(path, READ_WRITE)?;
        db.busy_timeout(SETTLE_WAIT)?;
        let mode =
            db.pragma_update_and_check(None, "journal_mode", "delete", |r| r.get::<_, String>(0))?;
        if mode.eq_ignore_ascii_case("wal") {
            return Ok(None);
        }
        db.pragma_update_and_check(None, "locking_mode", "exclusive", |_| Ok(()))?;
        // The lock of the first transaction is not given back after it.
        db.execute_batch("BEGIN EXCLUSIVE; COMMIT")?;
        Ok(Some(db))
    };
    match alone().map_err(|error: rusqlite::Error| StoreError::from(error)) {
        Ok(Some(db)) => Ok(Some(db)),
        Ok(None) | Err(StoreError::Busy) => Err(StoreError::InUse(path.to_owned())),
        Err(_) => Ok(None),
    }
}

/// A journal left beside `path` belongs to the old file and goes with it.
fn set_journals_aside(path: &Path, kept: &Path) -> Result<(), StoreError> {
    for end in BESIDE {
        let old = with_end(path, end);
        if old.exists() {
            fs::rename(&old, with_end(kept, end)).map_err(io_at("move", &old))?;
        }
    }
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::New;
    use engine::log::Body;

    fn log_at(path: &Path) -> Store {
        let mut store = Store::open(path).unwrap();
        let note = Body::Note { text: "one".into() };
        store.append(New::at(1_772_000_000, "UTC", note)).unwrap();
        store
    }

    /// An entry written between the copy that is kept and the other's taking the
    /// name would be in neither.
    #[test]
    fn nobody_writes_to_a_log_that_is_about_to_be_replaced() {
        let dir = tempfile::tempdir().unwrap();
        let (old, earlier) = (dir.path().join("a.db"), dir.path().join("b.db"));
        let store = log_at(&old);
        store.backup_to(&earlier, false).unwrap();
        let writes = |path: &Path| {
            let other = connect(path, READ_WRITE).unwrap();
            other.busy_timeout(Duration::ZERO).unwrap();
            other.execute_batch("BEGIN IMMEDIATE; COMMIT").is_ok()
        };
        let held = store.may_write_over(&earlier, true).unwrap();
        assert!(held.is_some() && !writes(&earlier));
        drop(held);
        assert!(writes(&earlier));

        drop(store);
        let (kept, held) = keep_replaced(&old).unwrap();
        assert!(kept.is_some_and(|kept| kept.exists()) && old.exists());
        assert!(held.is_some() && !writes(&old));
        drop(held);
        assert!(writes(&old));
    }
}
