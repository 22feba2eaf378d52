//! Journals of other programs and of other times at the name of a log's own.

#![allow(clippy::unwrap_used, reason = "a test that cannot go on should stop")]

use engine::log::Body;
use rusqlite::Connection;
use std::fs;
use std::path::Path;
use std::time::{Duration, Instant};
use store::{New, Store, StoreError};

const NOW: i64 = 1_790_000_000;
const SCHEMA_1: &str = include_str!("old/schema-1.sql");

fn note(text: &str) -> New {
    New::at(NOW, "UTC", Body::Note { text: text.into() })
}

/// What `begun` leaves at the end `end` of the name of a database that it writes,
/// as of a program that is killed there.
fn left_by(folder: &Path, begun: &str, end: &str) -> Vec<u8> {
    let path = folder.join("other.db");
    let db = Connection::open(&path).unwrap();
    db.execute_batch(begun).unwrap();
    let journal = fs::read(folder.join(format!("other.db{end}"))).unwrap();
    drop(db);
    fs::remove_file(&path).unwrap();
    journal
}

const ROWS: &str = "WITH RECURSIVE n (i) AS (SELECT 1 UNION ALL SELECT i + 1 FROM n WHERE i < 90) ";

/// Laid over it, it would be no log any more, or one of a former schema.
#[test]
fn a_journal_of_another_kind_of_file_is_not_laid_over_a_log() {
    let dir = tempfile::tempdir().unwrap();
    let folder = dir.path();
    let new_file = format!(
        "PRAGMA cache_size = 1; BEGIN; CREATE TABLE t (x);
         INSERT INTO t {ROWS} SELECT hex(zeroblob(900)) FROM n;"
    );
    let program = format!(
        "PRAGMA journal_mode = wal; CREATE TABLE t (x);
         INSERT INTO t {ROWS} SELECT hex(zeroblob(300)) FROM n;"
    );
    let old_log = format!(
        "PRAGMA journal_mode = wal; {SCHEMA_1}; PRAGMA wal_checkpoint;
         INSERT INTO entry {ROWS} SELECT NULL, NULL, {NOW}, 'UTC', {NOW}, 'note',
         json_object('kind', 'note', 'text', hex(zeroblob(300))), '0.1.0' FROM n;"
    );
    // The step of an old log to a write-ahead journal, and of it to schema 2.
    let old_step = format!(
        "{SCHEMA_1}; PRAGMA cache_size = 1; BEGIN; UPDATE sqlite_sequence SET seq = seq + 1;
         CREATE TABLE t (x); INSERT INTO t {ROWS} SELECT hex(zeroblob(900)) FROM n;"
    );
    for entries in [3, 60] {
        for (begun, end) in [
            (&new_file, "-journal"),
            (&old_step, "-journal"),
            (&program, "-wal"),
            (&old_log, "-wal"),
        ] {
            let beside = left_by(folder, begun, end);
            let path = folder.join("log.db");
            let mut log = Store::open(&path).unwrap();
            let notes = (0..entries).map(|n| note(&format!("{n} {}", "long ".repeat(40))));
            log.append_all(notes.collect()).unwrap();
            log.backup_to(&folder.join("saved.db"), false).unwrap();
            drop(log);
            fs::rename(folder.join("saved.db"), &path).unwrap();
            let file = fs::read(&path).unwrap();
            let journal = folder.join(format!("log.db{end}"));
            fs::write(&journal, &beside).unwrap();
            let said = format!("{entries} entries, {end} of {begun:.30}");
            for refused in [
                Store::open(&path).err(),
                Store::open_to_read(&path).err(),
                Store::restore(&path, &folder.join("new.db")).err(),
            ] {
                assert!(
                    matches!(refused, Some(StoreError::StrayJournal(..))),
                    "{said}: {refused:?}"
                );
            }
            assert!(fs::read(&path).unwrap() == file, "{said}");
            assert!(fs::read(&journal).unwrap() == beside, "{said}");
            let saved = folder.join("rescued.db");
            assert_eq!(Store::rescue(&path, &saved, NOW).unwrap().saved, entries);
            for name in [&saved, &path, &journal] {
                fs::remove_file(name).unwrap();
            }
            let _ = fs::remove_file(folder.join("log.db-shm"));
        }
    }
}

/// A hole at the name of a journal takes no room and no time.
#[test]
fn a_hole_at_the_name_of_a_journal_is_not_copied() {
    let dir = tempfile::tempdir().unwrap();
    let path = dir.path().join("log.db");
    let beside = dir.path().join("log.db-journal");
    let log = Store::open(&path).unwrap();
    drop(log);
    const LONG: u64 = 1 << 40;
    let head = [
        0xd9, 0xd5, 0x05, 0xf9, 0x20, 0xa1, 0x63, 0xd7, 0xff, 0xff, 0xff, 0xff,
    ];
    for head in [&[][..], &head[..]] {
        fs::write(&beside, head).unwrap();
        let hole = fs::OpenOptions::new().write(true).open(&beside).unwrap();
        if hole.set_len(LONG).is_err() {
            return;
        }
        drop(hole);
        let _ = Store::open(&path);
        let left = fs::read_dir(dir.path()).unwrap();
        let most = left.map(|f| {
            let about = f.unwrap().metadata().unwrap();
            if about.len() == LONG { 0 } else { about.len() }
        });
        assert!(most.max().unwrap() < 1 << 30);
        let _ = fs::remove_file(&beside);
    }
    assert!(
        Store::open(&path)
            .unwrap()
            .all_entries()
            .unwrap()
            .is_empty()
    );
}

/// Nor is one read to its end, beside a log that SQLite cannot read.
#[test]
fn a_hole_beside_a_log_whose_beginning_is_damaged_is_not_read() {
    let dir = tempfile::tempdir().unwrap();
    let path = dir.path().join("log.db");
    let mut log = Store::open(&path).unwrap();
    log.append(note("there")).unwrap();
    drop(log);
    let mut damaged = fs::read(&path).unwrap();
    damaged[..100].fill(0);
    fs::write(&path, &damaged).unwrap();
    let head = [0x37, 0x7f, 0x06, 0x82, 0, 0x2d, 0xe2, 0x18, 0, 0, 0x10, 0];
    for head in [&[][..], &head[..]] {
        let beside = dir.path().join("log.db-wal");
        fs::write(&beside, head).unwrap();
        let hole = fs::OpenOptions::new().write(true).open(&beside).unwrap();
        if hole.set_len(1 << 40).is_err() {
            return;
        }
        drop(hole);
        assert!(Store::open(&path).is_err());
        assert!(fs::read(&path).unwrap() == damaged);
    }
}

/// A reader in the way of the step to a write-ahead journal is waited for once.
#[test]
fn a_reader_of_a_file_put_in_place_is_named_in_time() {
    let dir = tempfile::tempdir().unwrap();
    let (path, saved) = (dir.path().join("log.db"), dir.path().join("saved.db"));
    let mut log = Store::open(&path).unwrap();
    log.append(note("there")).unwrap();
    log.backup_to(&saved, false).unwrap();
    let reader = Connection::open(&saved).unwrap();
    reader
        .execute_batch("BEGIN; SELECT count(*) FROM entry")
        .unwrap();
    let begun = Instant::now();
    let refused = Store::open(&saved).unwrap_err();
    assert!(matches!(refused, StoreError::Busy), "{refused}");
    assert!(begun.elapsed() < Duration::from_secs(60));
    drop(reader);
    assert_eq!(Store::open(&saved).unwrap().all_entries().unwrap().len(), 1);
}

/// A journal left at the name is read with whatever is put there.
#[test]
fn nothing_new_is_put_where_a_journal_waits() {
    let dir = tempfile::tempdir().unwrap();
    let of = |name: &str| dir.path().join(name);
    let mut log = Store::open(&of("log.db")).unwrap();
    log.append(note("there")).unwrap();
    for end in ["-wal", "-journal"] {
        let waits = of(&format!("new.db{end}"));
        fs::write(&waits, b"not empty").unwrap();
        let new = of("new.db");
        for refused in [
            log.backup_to(&new, false).err(),
            log.backup_to(&new, true).err(),
            log.rescue_to(&new, NOW).err(),
            Store::rescue(&of("log.db"), &new, NOW).err(),
            Store::open(&new).err(),
        ] {
            assert!(
                matches!(refused, Some(StoreError::WaitingJournal(..))),
                "{refused:?}"
            );
        }
        assert!(!new.exists() && fs::read(&waits).unwrap() == b"not empty");
        fs::remove_file(waits).unwrap();
        assert_eq!(log.backup_to(&new, false).unwrap(), 1);
        fs::remove_file(new).unwrap();
    }
}

/// Not even SQLite can read such a log, but its entries can still be saved.
#[test]
fn nor_over_a_log_whose_beginning_is_damaged() {
    const LOG: &str = "log.db";
    let dir = tempfile::tempdir().unwrap();
    let of = |name: &str| dir.path().join(name);
    let filled = |name: &str, entries: usize| {
        let mut log = Store::open(&of(name)).unwrap();
        let notes = (0..entries).map(|n| note(&format!("{name} {n} {}", "long ".repeat(60))));
        log.append_all(notes.collect()).unwrap();
        log
    };
    drop(filled("whole.db", 120));
    let whole = fs::read(of("whole.db")).unwrap();
    let db = Connection::open(of("whole.db")).unwrap();
    let sql = "SELECT rootpage FROM sqlite_schema WHERE name = 'entry'";
    let root: i64 = db.query_row(sql, [], |r| r.get(0)).unwrap();
    drop(db);
    let root = usize::try_from(root - 1).unwrap() * 4096;
    // The journal of another log, long and short.
    let journal = |since: usize| {
        let mut log = filled("another.db", 5);
        let reader = Connection::open(of("another.db")).unwrap();
        reader
            .execute_batch("BEGIN; SELECT count(*) FROM entry")
            .unwrap();
        for n in 0..since {
            log.append(note(&format!("since {n} {}", "long ".repeat(60))))
                .unwrap();
        }
        let read = fs::read(of("another.db-wal")).unwrap();
        drop((reader, log));
        fs::remove_file(of("another.db")).unwrap();
        read
    };
    let damages: [(&str, usize, &[u8]); 6] = [
        ("first words", 0, &[0; 16]),
        ("write version", 18, &[5, 5]),
        ("first page", 100, &[0xff; 12]),
        ("schema", 3000, &[0xff; 600]),
        ("root of entries", root, &[0xff; 12]),
        ("root of entries emptied", root, &[0; 4096]),
    ];
    for since in [40, 2] {
        let beside = journal(since);
        for (name, at, bytes) in damages {
            let mut damaged = whole.clone();
            damaged[at..at + bytes.len()].copy_from_slice(bytes);
            fs::write(of(LOG), &damaged).unwrap();
            fs::write(of("log.db-wal"), &beside).unwrap();
            let opened = Store::open(&of(LOG));
            assert!(opened.is_err(), "{name}, {since}");
            assert!(fs::read(of(LOG)).unwrap() == damaged, "{name}, {since}");
            let saved = of("saved.db");
            let rescued = Store::rescue(&of(LOG), &saved, NOW).unwrap();
            assert!(rescued.saved >= 110, "{name}, {since}: {}", rescued.saved);
            fs::remove_file(saved).unwrap();
            let _ = fs::remove_file(of("log.db-shm"));
        }
    }
}

/// The log's own journal is used though a sector of the file is lost, and what is
/// only in the journal is saved; its journal of before is not.
#[test]
fn the_journal_of_a_damaged_log_is_told_from_one_of_before() {
    let dir = tempfile::tempdir().unwrap();
    let of = |name: &str| dir.path().join(name);
    let long = |n: usize| note(&format!("{n} {}", "long ".repeat(60)));
    let mut log = Store::open(&of("made.db")).unwrap();
    log.append_all((0..200).map(long).collect()).unwrap();
    let written = |log: &mut Store, since: std::ops::Range<usize>| {
        let reader = Connection::open(of("made.db")).unwrap();
        reader
            .execute_batch("BEGIN; SELECT count(*) FROM entry")
            .unwrap();
        log.append_all(since.map(long).collect()).unwrap();
        let both = ["made.db", "made.db-wal"].map(|name| fs::read(of(name)).unwrap());
        drop(reader);
        both
    };
    let [file, own] = written(&mut log, 200..230);
    log.append_all((230..300).map(long).collect()).unwrap();
    drop(log);
    let later = fs::read(of("made.db")).unwrap();
    let (path, saved) = (of("log.db"), of("saved.db"));
    let beside = of("log.db-wal");
    let (mut told, mut of_journal) = (0, 0);
    for sector in (8..file.len() / 512).step_by(7) {
        let mut damaged = file.clone();
        damaged[sector * 512..][..512].fill(0);
        fs::write(&path, &damaged).unwrap();
        fs::write(&beside, &own).unwrap();
        let rescued = Store::rescue(&path, &saved, NOW).unwrap();
        assert!(rescued.saved >= 220, "{sector}: {}", rescued.saved);
        fs::remove_file(&saved).unwrap();
        of_journal += 1;
    }
    for sector in (8..later.len() / 512).step_by(7) {
        let mut damaged = later.clone();
        damaged[sector * 512..][..512].fill(0);
        fs::write(&path, &damaged).unwrap();
        let _ = fs::remove_file(&beside);
        let without = Store::rescue(&path, &saved, NOW).unwrap().saved;
        fs::remove_file(&saved).unwrap();
        fs::write(&beside, &own).unwrap();
        told += i32::from(matches!(
            Store::open(&path),
            Err(StoreError::StrayJournal(..))
        ));
        let with = Store::rescue(&path, &saved, NOW).unwrap().saved;
        assert!(with >= without, "{sector}: {with} of {without}");
        fs::remove_file(&saved).unwrap();
        let _ = fs::remove_file(of("log.db-shm"));
    }
    assert!(told > 0 && of_journal > 0);
}
