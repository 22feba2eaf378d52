//! Every released schema still opens. For each there is a log in `old/`, as
//! SQL; a new schema adds a file there and a line to [`OLD`].

#![allow(clippy::unwrap_used, reason = "a test that cannot go on should stop")]

use engine::log::{Body, EntryId, effective};
use rusqlite::Connection;
use std::path::Path;
use store::Store;

/// Schema number, log, entries in it.
const OLD: &[(i64, &str, usize)] = &[
    (1, include_str!("old/schema-1.sql"), 14),
    (2, include_str!("old/schema-2.sql"), 15),
];

/// Everything SQLite knows about the shape of a file.
fn shape(path: &Path) -> Vec<(String, String)> {
    let db = Connection::open(path).unwrap();
    let mut query = db
        .prepare("SELECT name, coalesce(sql, '') FROM sqlite_schema ORDER BY name")
        .unwrap();
    let rows = query.query_map([], |r| Ok((r.get(0)?, r.get(1)?))).unwrap();
    rows.map(Result::unwrap).collect()
}

#[test]
fn every_old_log_opens_whole_and_ends_in_the_shape_of_a_new_one() {
    let dir = tempfile::tempdir().unwrap();
    let fresh = dir.path().join("fresh.db");
    drop(Store::open(&fresh).unwrap());
    for (schema, sql, count) in OLD {
        let path = dir.path().join(format!("schema-{schema}.db"));
        Connection::open(&path).unwrap().execute_batch(sql).unwrap();
        let store = Store::open(&path).unwrap();
        store.check().unwrap();
        assert_eq!(store.all_entries().unwrap().len(), *count);
        drop(store);
        assert_eq!(shape(&path), shape(&fresh), "schema {schema}");
        // The same log saved in that version can be restored.
        let saved = dir.path().join(format!("saved-{schema}.db"));
        Connection::open(&saved)
            .unwrap()
            .execute_batch(sql)
            .unwrap();
        Store::restore(&saved, &path).unwrap();
        assert_eq!(
            Store::open(&path).unwrap().all_entries().unwrap().len(),
            *count
        );
    }
}

/// A long note of schema 1.
const EARLY: &str = "INSERT INTO entry SELECT NULL, NULL, 1760000200, 'UTC', 1760000200, 'note', \
    json_object('kind', 'note', 'text', replace(hex(zeroblob(300)), '00', 'early ')), '0.1.0'";

/// The journal of a log of 41 long notes that nothing has folded in yet.
fn journal_of_another(path: &Path, wal: &Path) -> Vec<u8> {
    let mut store = Store::open(path).unwrap();
    let reader = Connection::open(path).unwrap();
    let begun = "BEGIN; SELECT count(*) FROM entry";
    reader.execute_batch(begun).unwrap();
    for _ in 0..40 {
        let text = "long ".repeat(150).into();
        let note = store::New::at(1_760_000_000, "UTC", Body::Note { text });
        store.append(note).unwrap();
    }
    let journal = std::fs::read(wal).unwrap();
    drop((reader, store));
    std::fs::remove_file(path).unwrap();
    journal
}

/// The first leaf of the tree of entries of this log, made unreadable.
fn with_a_damaged_leaf(path: &Path) {
    let db = Connection::open(path).unwrap();
    let page: u32 = db
        .pragma_query_value(None, "page_size", |r| r.get(0))
        .unwrap();
    let page = usize::try_from(page).unwrap();
    drop(db);
    let mut file = std::fs::read(path).unwrap();
    let leaves: Vec<_> = (1..file.len() / page)
        .map(|n| n * page)
        .filter(|&at| file[at] == 0x0d && file[at..at + page].windows(5).any(|w| w == b"early"))
        .collect();
    assert!(leaves.len() > 5);
    file[leaves[0]] = 0xff;
    std::fs::write(path, file).unwrap();
}

/// Entries of the first logs have no seal to know them by.
#[test]
fn a_journal_of_another_log_is_not_laid_over_an_old_one() {
    let dir = tempfile::tempdir().unwrap();
    let path = dir.path().join("log.db");
    let wal = dir.path().join("log.db-wal");
    let refuses = |schema: i64, journal: &[u8]| {
        let file = std::fs::read(&path).unwrap();
        std::fs::write(&wal, journal).unwrap();
        let opened = Store::open(&path);
        assert!(
            matches!(opened, Err(store::StoreError::StrayJournal(..))),
            "schema {schema}: {opened:?}"
        );
        assert!(std::fs::read(&path).unwrap() == file);
        std::fs::remove_file(&wal).unwrap();
        let _ = std::fs::remove_file(dir.path().join("log.db-shm"));
    };
    for (schema, sql, count) in OLD {
        let journal = journal_of_another(&path, &wal);
        Connection::open(&path).unwrap().execute_batch(sql).unwrap();
        refuses(*schema, &journal);
        let store = Store::open(&path).unwrap();
        assert_eq!(store.all_entries().unwrap().len(), *count);
        drop(store);
        std::fs::remove_file(&path).unwrap();
    }
    // Nor over one that is damaged besides.
    let journal = journal_of_another(&path, &wal);
    let db = Connection::open(&path).unwrap();
    db.execute_batch(OLD[0].1).unwrap();
    for _ in 0..60 {
        db.execute_batch(EARLY).unwrap();
    }
    drop(db);
    with_a_damaged_leaf(&path);
    refuses(1, &journal);
}

#[test]
fn there_is_an_old_log_for_every_schema() {
    let dir = tempfile::tempdir().unwrap();
    let path = dir.path().join("log.db");
    drop(Store::open(&path).unwrap());
    let db = Connection::open(&path).unwrap();
    let now: i64 = db
        .pragma_query_value(None, "user_version", |r| r.get(0))
        .unwrap();
    let kept: Vec<i64> = OLD.iter().map(|(schema, ..)| *schema).collect();
    assert_eq!(kept, (1..=now).collect::<Vec<_>>());
}

#[test]
fn the_log_of_schema_1_says_what_it_said() {
    let dir = tempfile::tempdir().unwrap();
    let path = dir.path().join("log.db");
    Connection::open(&path)
        .unwrap()
        .execute_batch(OLD[0].1)
        .unwrap();
    let store = Store::open(&path).unwrap();
    let bins = store.bins().unwrap();
    assert_eq!(
        (
            bins[0].description.name.as_str(),
            bins[0].description.width_cm
        ),
        ("North", 40.5)
    );
    assert!(bins[1].retired);
    assert_eq!(store.settings().unwrap()["display"], "metric");
    assert_eq!(store.shed().unwrap()[0].own["neutralising_percent"], 92.5);
    let now = effective(&store.all_entries().unwrap());
    let reading = now.iter().find(|e| e.id == EntryId(2)).unwrap();
    let Body::Reading(reading) = &reading.body else {
        panic!("not a reading: {reading:?}");
    };
    assert_eq!(reading.spots, [6.1, 6.35, 6.9]);
}

#[test]
fn an_old_log_with_a_damaged_entry_is_brought_up_and_says_which() {
    let dir = tempfile::tempdir().unwrap();
    let path = dir.path().join("log.db");
    let db = Connection::open(&path).unwrap();
    db.execute_batch(OLD[0].1).unwrap();
    drop(db);
    // Letters lost inside the bodies of entries 11 and 12, as a bad disk loses them.
    let mut bytes = std::fs::read(&path).unwrap();
    for harm in [&br#"{"kind":"turned"}"#[..], br#"{"kind":"note""#] {
        let at = bytes.windows(harm.len()).position(|w| w == harm).unwrap();
        bytes[at] = b'[';
    }
    std::fs::write(&path, bytes).unwrap();
    let store = Store::open(&path).unwrap();
    assert_eq!(store.all_entries().unwrap().len(), 12);
    let named: Vec<_> = store
        .unreadable()
        .iter()
        .map(|u| (u.id.0, u.intact))
        .collect();
    assert_eq!(named, [(11, false), (12, false)]);
    assert!(dir.path().join("log.db.before-schema-2").exists());
}

#[test]
fn an_old_invented_shelf_is_not_told_from_a_keepers_own() {
    let dir = tempfile::tempdir().unwrap();
    let path = dir.path().join("log.db");
    Connection::open(&path)
        .unwrap()
        .execute_batch(OLD[0].1)
        .unwrap();
    assert!(
        Store::open(&path)
            .unwrap()
            .demo_entries()
            .unwrap()
            .is_empty()
    );
}
