//! Whether a journal beside a file belongs to it.

use crate::backup::copy_pages;
use crate::error::io_at;
use crate::health::examine;
use crate::open::{BUSY_SECONDS, READ_ONLY, READ_WRITE, connect, is_empty, open_unwritten};
use crate::overlaid::{Overlaid, copy_bytes, rolled_back, with_journal};
use crate::place::{discard, plain_beside, reserve, with_end};
use crate::restoring::{was_put_over, was_put_over_bytes};
use crate::seal::{COLUMNS, Record};
use crate::spans::Spans;
use crate::{Missing, StoreError};
use rusqlite::config::DbConfig;
use rusqlite::{Connection, ErrorCode, OptionalExtension, Row, params};
use std::fs;
use std::io::{ErrorKind, Read};
use std::path::Path;
use std::time::Duration;

/// The end of the name of the journal that goes on from a file.
const WAL: &str = "-wal";

/// The end of the name of the journal that takes back.
const ROLLBACK: &str = "-journal";

/// How often a journal that takes back entries is looked at.
const LOOKS: usize = 3;

/// Between two of these looks.
const BETWEEN_LOOKS: Duration = Duration::from_millis(200);

/// A journal beside a file goes on from what the file holds, or takes back what
/// was half written to it. One left by a program that was killed, with another
/// file put at its name since, would be laid over that file, and entries in it be
/// gone. `given` is the name the keeper gave.
///
/// # Errors
/// [`StoreError::StrayJournal`]; then neither was touched.
/// [`StoreError::NotAFile`] where something else than a file stands at a journal's
/// name: a pipe there would be waited for without end.
pub(crate) fn journal_is_of(real: &Path, given: &Path) -> Result<(), StoreError> {
    plain_beside(real)?;
    let stray = |end| Err(StoreError::StrayJournal(given.to_owned(), end));
    if takes_back_entries(real)? {
        return stray(ROLLBACK);
    }
    match !is_empty(&with_end(real, WAL)) && goes_on_from_another(real)? {
        true => stray(WAL),
        false => Ok(()),
    }
}

/// No journal lies at a name where a new file is to stand: it would be read with
/// that.
///
/// # Errors
/// [`StoreError::WaitingJournal`].
pub(crate) fn no_journal_waits(path: &Path) -> Result<(), StoreError> {
    match [WAL, ROLLBACK]
        .iter()
        .find(|end| !is_empty(&with_end(path, end)))
    {
        Some(end) => Err(StoreError::WaitingJournal(path.to_owned(), end)),
        None => Ok(()),
    }
}

fn goes_on_from_another(real: &Path) -> Result<bool, StoreError> {
    let by_bytes = || {
        let over = with_journal(real, &with_end(real, WAL))?;
        Ok(!over.gone.is_empty() && !is_restore_cut_off(real, &over))
    };
    if !can_be_read(real) {
        return by_bytes();
    }
    let hidden = || {
        let alone = open_unwritten(real)?;
        hides_entries(&alone, &as_it_is_read(real)?)
    };
    match hidden() {
        Ok(hidden) => Ok(hidden),
        // Found when it is opened, too.
        Err(error) if is_passing(&error) => Ok(false),
        Err(_) => by_bytes(),
    }
}

/// A file with its journal, neither of which is changed.
fn as_it_is_read(real: &Path) -> rusqlite::Result<Connection> {
    let whole = connect(real, READ_ONLY)?;
    whole.set_db_config(DbConfig::SQLITE_DBCONFIG_NO_CKPT_ON_CLOSE, true)?;
    whole.busy_timeout(Duration::from_secs(BUSY_SECONDS))?;
    Ok(whole)
}

/// Whether what is put in place of a log was just being folded over it, so that
/// the file holds something of both.
fn is_restore_cut_off(real: &Path, over: &Overlaid) -> bool {
    as_it_is_read(real)
        .and_then(|whole| was_put_over_bytes(&whole, &over.bytes, &over.gone))
        .unwrap_or(false)
}

/// Whether a rollback journal takes away what the file beside it holds. Entries
/// are added by write-ahead journal alone: what takes back anything else, such as
/// the step to that journal, leaves them as they are. Tried on a copy, for SQLite
/// asks nobody before it rolls back.
///
/// # Errors
/// When no copy can be made.
fn takes_back_entries(real: &Path) -> Result<bool, StoreError> {
    let journal = with_end(real, ROLLBACK);
    let tried = || -> Result<bool, StoreError> {
        let copied = reserve(real, "reading")?;
        let hidden = copy_with_journal(real, &journal, &copied).map(|()| {
            let alone = open_unwritten(real);
            alone.and_then(|a| hides_entries(&a, &connect(&copied, READ_WRITE)?))
        });
        discard(&copied);
        Ok(hidden?.unwrap_or_else(|error| !is_passing(&error)))
    };
    if may_take_back(&journal) && !can_be_read(real) {
        return rolled_back(real, &journal).map(|over| !over.gone.is_empty());
    }
    // Who is writing it just now is soon done.
    for _ in 0..LOOKS {
        if !may_take_back(&journal) || !tried()? {
            return Ok(false);
        }
        std::thread::sleep(BETWEEN_LOOKS);
    }
    Ok(true)
}

/// Whether SQLite takes a file for a journal that takes back: it begins as one.
/// (The SQLite file format, section 3; <https://www.sqlite.org/fileformat2.html>.)
fn may_take_back(journal: &Path) -> bool {
    const BEGINS: [u8; 8] = [0xd9, 0xd5, 0x05, 0xf9, 0x20, 0xa1, 0x63, 0xd7];
    let mut head = [0; BEGINS.len()];
    let read = fs::File::open(journal).and_then(|mut file| file.read_exact(&mut head));
    read.is_ok() && head == BEGINS
}

/// Copy what a file holds by itself, and a journal beside the copy; of one with a
/// hole, at which SQLite stops, what may come before it.
fn copy_with_journal(real: &Path, journal: &Path, to: &Path) -> Result<(), StoreError> {
    if let Ok(alone) = open_unwritten(real) {
        // What cannot be read is no file to lose entries of.
        match copy_pages(&alone, to).map_err(|error| error.about(real)) {
            Err(StoreError::Damaged { .. } | StoreError::NotOurs(_)) | Ok(()) => {}
            Err(error) => return Err(error),
        }
    }
    match copy_bytes(journal, &with_end(to, ROLLBACK)) {
        Err(e) if e.kind() == ErrorKind::NotFound => Ok(()),
        copied => copied.map_err(io_at("write", real)),
    }
}

/// Whether entries that are whole in the file itself are not there when it is
/// read with its journal. Entries are never taken away, but for one case: a
/// restore in place, which says in what it puts there what that replaces. What
/// was kept beside it is not asked: put back by hand, it is no part of that.
fn hides_entries(alone: &Connection, whole: &Connection) -> rusqlite::Result<bool> {
    // Read before the two together: what others write meanwhile is in both.
    let held = match held(alone) {
        Ok(held) => held,
        Err(error) if is_torn(&error) => return Err(error),
        Err(_) => return hides_unsealed(alone, whole),
    };
    let hidden = match without(whole, held) {
        Err(error) if is_passing(&error) => return Err(error),
        // What can be read of a log is neither torn by its own journal nor made
        // another kind of file.
        Err(_) => return Ok(true),
        Ok(hidden) => hidden,
    };
    if hidden.is_empty() && !tears(whole, alone) {
        return Ok(false);
    }
    let places = hidden.into_iter().map(|h| h.place);
    Ok(!was_put_over(whole, alone, places)?)
}

/// The entries that are whole in a file; of a damaged one those from either end
/// up to where it cannot be read.
fn held(alone: &Connection) -> rusqlite::Result<Vec<Held>> {
    from_both_ends(alone, COLUMNS, |row| {
        let record = Record::read(row)?;
        Ok(record.holds().then_some(Held {
            id: record.id,
            checksum: record.checksum,
            place: (record.device, record.sequence),
        }))
    })
}

/// What `read` makes of the rows of entries, of a damaged file as [`held`].
fn from_both_ends<T>(
    alone: &Connection,
    columns: &str,
    read: impl Fn(&Row<'_>) -> rusqlite::Result<Option<T>>,
) -> rusqlite::Result<Vec<T>> {
    let mut found = Vec::new();
    let mut add = |order: &str| -> rusqlite::Result<()> {
        let mut query = alone.prepare(&format!(
            "SELECT {columns} FROM entry NOT INDEXED ORDER BY id {order}"
        ))?;
        let mut rows = query.query([])?;
        while let Some(row) = rows.next()? {
            found.extend(read(row)?);
        }
        Ok(())
    };
    if let Err(error) = add("ASC") {
        if !is_torn(&error) {
            return Err(error);
        }
        let _ = add("DESC");
        if found.is_empty() {
            return Err(error);
        }
    }
    Ok(found)
}

/// As [`hides_entries`], of a file made before entries were sealed.
fn hides_unsealed(alone: &Connection, whole: &Connection) -> rusqlite::Result<bool> {
    let held = from_both_ends(alone, "id, body", |row| {
        Ok(Some((row.get::<_, i64>(0)?, row.get::<_, String>(1)?)))
    })?;
    let there = "SELECT EXISTS (SELECT 1 FROM entry WHERE id = ?1 AND body = ?2)";
    let all_there = || -> rusqlite::Result<bool> {
        let mut there = whole.prepare(there)?;
        for (id, body) in &held {
            if !there.query_row(params![id, body], |r| r.get(0))? {
                return Ok(false);
            }
        }
        Ok(true)
    };
    match all_there() {
        Err(error) if is_passing(&error) => Err(error),
        Err(_) => Ok(!held.is_empty()),
        Ok(all_there) => Ok(!all_there || is_sound(alone) && !is_sound(whole)),
    }
}

/// Whether a file is damaged by its journal, or has gaps only with it: so are
/// pages of two logs, one of which was longer, together. What goes on from a file
/// does neither.
fn tears(whole: &Connection, alone: &Connection) -> bool {
    let Ok(together) = examine(whole) else {
        return false;
    };
    if together.is_whole() {
        return false;
    }
    let Ok(before) = examine(alone) else {
        return false;
    };
    let gaps = before.missing.iter();
    let gaps = Spans::of(gaps.map(|m| (m.device.as_str(), m.first, m.last)));
    let new_gap = |m: &Missing| !gaps.cover(&m.device, m.first, m.last);
    before.damage.is_empty() && !together.damage.is_empty()
        || together.missing.iter().any(new_gap)
        || together.unreadable.len() > before.unreadable.len()
}

fn is_torn(error: &rusqlite::Error) -> bool {
    matches!(
        error.sqlite_error_code(),
        Some(ErrorCode::DatabaseCorrupt | ErrorCode::NotADatabase)
    )
}

/// Whether all entries of a file can be read without its journal, and are whole.
fn can_be_read(real: &Path) -> bool {
    let sealed = |alone: &Connection| {
        let sql = format!("SELECT {COLUMNS} FROM entry NOT INDEXED");
        let mut query = alone.prepare(&sql).ok()?;
        let mut rows = query.query([]).ok()?;
        while let Some(row) = rows.next().transpose() {
            if !row
                .and_then(Record::read)
                .is_ok_and(|record| record.holds())
            {
                return Some(false);
            }
        }
        Some(true)
    };
    let unsealed = |alone: &Connection| {
        let sql = "SELECT sum(length(body)) FROM entry NOT INDEXED";
        alone.query_row(sql, [], |_| Ok(())).is_ok()
    };
    let Ok(alone) = open_unwritten(real) else {
        return false;
    };
    sealed(&alone).unwrap_or_else(|| unsealed(&alone))
}

/// Whether it may be gone the next time.
fn is_passing(error: &rusqlite::Error) -> bool {
    matches!(
        error.sqlite_error_code(),
        Some(
            ErrorCode::DatabaseBusy
                | ErrorCode::DatabaseLocked
                | ErrorCode::FileLockingProtocolFailed
                | ErrorCode::SystemIoFailure
                | ErrorCode::DiskFull
                | ErrorCode::CannotOpen
                | ErrorCode::OutOfMemory
                | ErrorCode::PermissionDenied
                | ErrorCode::ReadOnly
                | ErrorCode::OperationInterrupted
        )
    )
}

/// Whether SQLite finds nothing wrong with a file.
fn is_sound(db: &Connection) -> bool {
    let said = db.query_row("PRAGMA integrity_check(1)", [], |r| r.get::<_, String>(0));
    said.is_ok_and(|said| said == "ok")
}

/// An entry that is whole in a file.
struct Held {
    id: i64,
    checksum: i64,
    /// Device and sequence.
    place: (String, i64),
}

/// Of these entries those that a log does not have, by number and checksum.
fn without(db: &Connection, entries: Vec<Held>) -> rusqlite::Result<Vec<Held>> {
    let read = db.unchecked_transaction()?;
    let mut query = read.prepare("SELECT checksum FROM entry WHERE id = ?1")?;
    let mut not_there = Vec::new();
    for held in entries {
        let there = query.query_row([held.id], |r| r.get::<_, i64>(0));
        if there.optional()? != Some(held.checksum) {
            not_there.push(held);
        }
    }
    Ok(not_there)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{New, Store};
    use engine::log::Body;
    use std::fs;

    fn a_log(path: &Path, entries: usize) -> Store {
        let mut store = Store::open(path).unwrap();
        for n in 0..entries {
            let text = format!("{n} of {entries} {}", "long ".repeat(150)).into();
            let note = New::at(1_760_000_000, "UTC", Body::Note { text });
            store.append(note).unwrap();
        }
        store
    }

    /// Restore `from` into a log of these entries, cut off while all that was
    /// put there is in the journal. Gives the file, its journal, what was kept
    /// of the log before, and the file when the journal is folded into it.
    fn cut_off(folder: &Path, from: &Path, entries: usize) -> [Vec<u8>; 4] {
        let path = folder.join(format!("of {entries}.db"));
        let mut log = a_log(&path, entries);
        let source = connect(from, crate::open::READ_WRITE).unwrap();
        assert!(log.announce_restore(&source).unwrap());
        let reader = connect(&path, READ_ONLY).unwrap();
        reader
            .execute_batch("BEGIN; SELECT count(*) FROM entry")
            .unwrap();
        let kept = log.replace_with(&source, &path, true).unwrap();
        log.look_anew().unwrap();
        log.fold_journal();
        let [file, journal, kept] =
            [path.clone(), with_end(&path, "-wal"), kept].map(|file| fs::read(file).unwrap());
        drop(reader);
        log.fold_journal();
        [file, journal, kept, fs::read(path).unwrap()]
    }

    /// A restore cut off before it began, then what was to be put there put in by
    /// hand and gone on with, then the log before put back.
    #[test]
    fn signs_end_with_the_next_entry() {
        let dir = tempfile::tempdir().unwrap();
        let of = |name: &str| dir.path().join(name);
        let source = a_log(&of("source.db"), 20);
        source.backup_to(&of("part.db"), false).unwrap();
        let log = a_log(&of("a.db"), 40);
        let part = connect(&of("part.db"), crate::open::READ_WRITE).unwrap();
        assert!(log.announce_restore(&part).unwrap());
        drop((log, part));
        let before = fs::read(of("a.db")).unwrap();
        let goes_on = |path: &Path| {
            let text = "since".into();
            let mut log = Store::open(path).unwrap();
            log.append(New::at(1_760_000_000, "UTC", Body::Note { text }))
                .unwrap();
            log
        };
        fs::rename(of("part.db"), of("there.db")).unwrap();
        drop(goes_on(&of("there.db")));
        // Killed with an entry in the journal.
        let reader = connect(&of("there.db"), READ_ONLY).unwrap();
        reader
            .execute_batch("BEGIN; SELECT count(*) FROM entry")
            .unwrap();
        let log = goes_on(&of("there.db"));
        let journal = fs::read(of("there.db-wal")).unwrap();
        assert!(!journal.is_empty());
        drop((reader, log));
        fs::write(of("back.db"), &before).unwrap();
        fs::write(of("back.db-wal"), &journal).unwrap();
        let opened = Store::open(&of("back.db"));
        assert!(
            matches!(opened, Err(StoreError::StrayJournal(..))),
            "{opened:?}"
        );
        // The log before, by itself, goes on without a sign.
        drop(goes_on(&of("a.db")));
        let alone = open_unwritten(&of("a.db")).unwrap();
        let signs = "SELECT count(*) FROM sqlite_sequence WHERE name LIKE 'restore%'";
        let count: i64 = alone.query_row(signs, [], |r| r.get(0)).unwrap();
        assert_eq!(count, 0);
    }

    /// A copy of this file and the journal beside it, in the midst of a
    /// transaction that takes nothing away.
    fn half_written(path: &Path) -> [Vec<u8>; 2] {
        let db = connect(path, READ_WRITE).unwrap();
        let begun = "PRAGMA journal_mode = delete; PRAGMA cache_size = 1; BEGIN; \
            CREATE TABLE more (text); INSERT INTO more VALUES (hex(zeroblob(50000)));";
        db.execute_batch(begun).unwrap();
        let read = [path.to_owned(), with_end(path, ROLLBACK)].map(|f| fs::read(f).unwrap());
        assert!(read[1].starts_with(&[0xd9, 0xd5, 0x05, 0xf9]));
        read
    }

    #[test]
    fn a_journal_that_takes_back_another_file_is_not_used() {
        let dir = tempfile::tempdir().unwrap();
        let of = |name: &str| dir.path().join(name);
        for (name, entries) in [("few.db", 3), ("many.db", 60)] {
            let log = a_log(&of("made.db"), entries);
            log.backup_to(&of(name), false).unwrap();
            drop(log);
            fs::remove_file(of("made.db")).unwrap();
        }
        let many = fs::read(of("many.db")).unwrap();
        let [few, of_few] = half_written(&of("few.db"));
        let [half, of_many] = half_written(&of("many.db"));
        let there = of("there.db");
        let opened = |file: &[u8], journal: &[u8]| {
            fs::write(&there, file).unwrap();
            fs::write(with_end(&there, ROLLBACK), journal).unwrap();
            let opened = Store::open(&there).map(|log| log.all_entries().unwrap().len());
            discard(&with_end(&there, ".reading"));
            (opened, fs::read(&there).unwrap() == file)
        };
        assert_eq!(opened(&few, &of_few).0.unwrap(), 3);
        assert_eq!(opened(&half, &of_many).0.unwrap(), 60);
        assert_eq!(opened(&many, &of_many).0.unwrap(), 60);
        let (refused, unchanged) = opened(&many, &of_few);
        let said = refused.unwrap_err().to_string();
        assert!(unchanged && said.contains("(`-journal`)"), "{said}");
        // Nor by what writes over it.
        let log = a_log(&of("log.db"), 1);
        assert!(log.backup_to(&there, true).is_err());
        assert!(fs::read(&there).unwrap() == many);
    }

    #[test]
    fn a_restore_cut_off_is_told_from_a_journal_of_another_log() {
        let dir = tempfile::tempdir().unwrap();
        let saved = dir.path().join("saved.db");
        let source = a_log(&dir.path().join("source.db"), 20);
        source.backup_to(&saved, false).unwrap();
        let [file, journal, kept, folded] = cut_off(dir.path(), &saved, 40);
        let [_, another, ..] = cut_off(dir.path(), &saved, 30);
        let (there, wal) = (dir.path().join("there.db"), dir.path().join("there.db-wal"));
        let opened = |file: &[u8], journal: &[u8]| {
            fs::write(&there, file).unwrap();
            fs::write(&wal, journal).unwrap();
            let opened = Store::open(&there).map(|log| log.all_entries().unwrap().len());
            let unchanged = fs::read(&there).unwrap() == file;
            let _ = fs::remove_file(with_end(&there, "-shm"));
            (opened, unchanged)
        };
        // What was kept is not there, and not asked for.
        assert_eq!(opened(&file, &journal).0.unwrap(), 20);
        // Nor while it is folded in, page by page from the first.
        let mut readable = 0;
        for done in (0..folded.len()).step_by(4096) {
            let part = [&folded[..done], &file[done..]].concat();
            assert_eq!(opened(&part, &journal).0.unwrap(), 20, "{done}");
            // Nor when the power goes in the midst of the next page.
            if let Some(page) = folded.get(done..done + 4096) {
                let torn = [&folded[..done], &page[..2048], &file[done + 2048..]].concat();
                assert_eq!(opened(&torn, &journal).0.unwrap(), 20, "{done}, torn");
            }
            fs::write(&there, &part).unwrap();
            readable += i32::from(open_unwritten(&there).is_ok_and(|db| {
                let count = db.query_row("SELECT count(*) FROM entry NOT INDEXED", [], |_| Ok(()));
                count.is_ok()
            }));
        }
        assert!(readable > 0);
        // Of another restore; with the log before put back, which stands beside it
        // too; with it gone on.
        fs::write(with_end(&there, ".replaced"), &kept).unwrap();
        fs::write(&there, &file).unwrap();
        fs::write(&wal, b"").unwrap();
        let note = New::at(
            1_760_000_000,
            "UTC",
            Body::Note {
                text: "since".into(),
            },
        );
        Store::open(&there).unwrap().append(note).unwrap();
        let since = fs::read(&there).unwrap();
        for (file, journal) in [(&file, &another), (&kept, &journal), (&since, &journal)] {
            let (opened, unchanged) = opened(file, journal);
            assert!(
                matches!(opened, Err(StoreError::StrayJournal(..))),
                "{opened:?}"
            );
            assert!(unchanged);
        }
    }
}
