//! Foreign files, backups, and getting a log back.

#![allow(clippy::unwrap_used, reason = "a test that cannot go on should stop")]

use engine::log::{BinDescription, BinId, Body, Lid, Walls};
use rusqlite::Connection;
use std::path::Path;
use store::{New, Store, StoreError};

const NOW: i64 = 1_760_000_000;

fn new(bin: Option<i64>, at: i64, body: Body) -> New {
    New::at(at, "Europe/Paris", body)
        .about(bin.map(BinId))
        .written(at + 60)
}

fn bin(name: &str) -> BinDescription {
    BinDescription {
        name: name.into(),
        length_cm: 60.0,
        width_cm: 40.0,
        depth_cm: 30.0,
        bedding_depth_cm: Some(20.0),
        walls: Walls::Wood,
        lid: Lid::Vented,
        drains: true,
        place: "cellar".into(),
        retired: false,
    }
}

fn note(text: &str) -> Body {
    Body::Note { text: text.into() }
}

#[test]
fn files_that_are_not_ours_are_refused_untouched() {
    let dir = tempfile::tempdir().unwrap();
    let text = dir.path().join("letter.txt");
    std::fs::write(&text, "Dear worms, ".repeat(200)).unwrap();
    let foreign = dir.path().join("foreign.db");
    Connection::open(&foreign)
        .unwrap()
        .execute_batch("CREATE TABLE t (a); INSERT INTO t VALUES (1)")
        .unwrap();
    let newer = dir.path().join("newer.db");
    drop(Store::open(&newer).unwrap());
    Connection::open(&newer)
        .unwrap()
        .execute_batch("PRAGMA user_version = 99")
        .unwrap();
    for (path, word) in [
        (&text, "is not a Bedwright log"),
        (&foreign, "is not a Bedwright log"),
        (
            &newer,
            "written by a newer version (schema 99; this version reads up to 2)",
        ),
    ] {
        let before = std::fs::read(path).unwrap();
        let error = Store::open(path).unwrap_err().to_string();
        assert!(error.contains(word), "{error}");
        let to = dir.path().join("to.db");
        assert!(
            Store::restore(path, &to)
                .unwrap_err()
                .to_string()
                .contains(word)
        );
        assert!(!to.exists());
        assert_eq!(std::fs::read(path).unwrap(), before);
    }
    assert_eq!(files(dir.path()).len(), 3);
}

fn files(dir: &Path) -> Vec<String> {
    let mut names: Vec<String> = std::fs::read_dir(dir)
        .unwrap()
        .map(|f| f.unwrap().file_name().into_string().unwrap())
        .collect();
    names.sort();
    names
}

#[test]
fn a_backup_is_one_file_and_overwrites_only_when_asked() {
    let dir = tempfile::tempdir().unwrap();
    let store = Store::open(&dir.path().join("log.db")).unwrap();
    let saved = dir.path().join("saved.db");
    store.backup_to(&saved, false).unwrap();
    assert!(matches!(
        store.backup_to(&saved, false),
        Err(StoreError::Exists(_))
    ));
    store.backup_to(&saved, true).unwrap();
    let own = dir.path().join("log.db");
    assert_eq!(
        store.backup_to(&own, true).unwrap_err().to_string(),
        "the file to write cannot be the log itself or a part of it; give another name"
    );
    drop(store);
    assert_eq!(files(dir.path()), ["log.db", "saved.db"]);
}

#[test]
fn restoring_checks_the_file_and_refuses_a_log_in_use() {
    let dir = tempfile::tempdir().unwrap();
    let path = dir.path().join("log.db");
    let saved = dir.path().join("saved.db");
    let mut store = Store::open(&path).unwrap();
    store.create_bin(bin("North"), NOW, "UTC", NOW).unwrap();
    for n in 0..200 {
        store
            .append(new(Some(1), NOW + n, note(&"long ".repeat(100))))
            .unwrap();
    }
    let all = store.all_entries().unwrap();
    store.backup_to(&saved, false).unwrap();

    assert!(matches!(
        Store::restore(&saved, &path),
        Err(StoreError::InUse(_))
    ));
    store
        .append(new(Some(1), NOW, note("still in use")))
        .unwrap();
    drop(store);

    let mut bytes = std::fs::read(&saved).unwrap();
    let bad = dir.path().join("bad.db");
    let middle = bytes.len() / 2;
    bytes[middle..middle + 8192].fill(0x5a);
    std::fs::write(&bad, &bytes).unwrap();
    let before = std::fs::read(&path).unwrap();
    assert!(matches!(
        Store::restore(&bad, &path),
        Err(StoreError::Damaged { .. })
    ));
    assert!(
        Store::restore(&dir.path().join("none.db"), &path)
            .unwrap_err()
            .to_string()
            .ends_with("is not there")
    );
    assert!(Store::restore(&path, &path).is_err());
    assert_eq!(std::fs::read(&path).unwrap(), before);

    // A log too damaged to open is put aside whole, and so is the next.
    std::fs::write(&path, &bytes[..5000]).unwrap();
    let first = Store::restore(&saved, &path).unwrap().unwrap();
    assert_eq!(std::fs::read(&first).unwrap(), bytes[..5000]);
    let second = Store::restore(&saved, &path).unwrap().unwrap();
    assert_eq!(second, dir.path().join("log.db.replaced-2"));
    assert_eq!(Store::open(&path).unwrap().all_entries().unwrap(), all);
    assert_eq!(
        Store::restore(&saved, &dir.path().join("fresh.db")).unwrap(),
        None
    );
    assert!(!files(dir.path()).iter().any(|f| f.contains("part")));
}
