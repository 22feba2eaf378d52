//! The file under an open log is taken away, replaced or written over: nothing
//! is acknowledged that is not in the file at the log's path, and nothing more
//! is taken in.

#![allow(clippy::unwrap_used, reason = "a test that cannot go on should stop")]
#![cfg(unix)]

use engine::log::{Body, Entry};
use rusqlite::Connection;
use std::fs;
use std::path::{Path, PathBuf};
use store::{New, Store, StoreError};

const NOW: i64 = 1_760_000_000;

fn note(text: &str) -> New {
    New::at(NOW, "UTC", Body::Note { text: text.into() })
}

/// A log of some entries at `folder/log.db`, as an earlier run left it.
fn a_log(folder: &Path, entries: u32) -> PathBuf {
    fs::create_dir_all(folder).unwrap();
    let path = folder.join("log.db");
    let mut store = Store::open(&path).unwrap();
    let news = (0..entries).map(|n| note(&format!("{} {n}", folder.display())));
    store.append_all(news.collect()).unwrap();
    path
}

fn entries(path: &Path) -> Vec<Entry> {
    Store::open(path).unwrap().all_entries().unwrap()
}

/// Open a log, write to it, do `what` to its file, and write on.
fn refuses_after(what: impl Fn(&Path, &Path)) -> (tempfile::TempDir, PathBuf) {
    let dir = tempfile::tempdir().unwrap();
    let path = a_log(&dir.path().join("here"), 40);
    let mut store = Store::open(&path).unwrap();
    store.append(note("before")).unwrap();
    what(&path, dir.path());
    for _ in 0..2 {
        let refused = store.append(note("after")).unwrap_err();
        assert!(matches!(refused, StoreError::Gone(_)), "{refused}");
        let text = refused.to_string();
        assert!(
            text.contains("nothing more is taken in") && text.len() < 300,
            "{text}"
        );
    }
    assert!(matches!(store.all_entries(), Err(StoreError::Gone(_))));
    assert!(matches!(store.bins(), Err(StoreError::Gone(_))));
    assert!(matches!(store.mark(), Err(StoreError::Gone(_))));
    assert!(matches!(
        store.backup_to(&dir.path().join("saved.db"), false),
        Err(StoreError::Gone(_))
    ));
    (dir, path)
}

/// What came to stand at the path is whole, and nothing else is in it: not what
/// was left in the journal of the log before, either.
fn holds_the_other(path: &Path, dir: &Path, others: u32) {
    let all = entries(path);
    assert_eq!(all.len(), others as usize);
    let folder = dir.join("other");
    for (n, entry) in all.iter().enumerate() {
        let text = format!("{} {n}", folder.display()).into();
        assert_eq!(entry.body, Body::Note { text });
    }
    Store::open(path).unwrap().check().unwrap();
}

#[test]
fn a_log_that_was_removed_takes_nothing_in() {
    let (_dir, path) = refuses_after(|path, _| fs::remove_file(path).unwrap());
    assert!(!path.exists());
}

#[test]
fn a_log_whose_folder_was_renamed_takes_nothing_in() {
    let (dir, _) = refuses_after(|path, dir| {
        fs::rename(path.parent().unwrap(), dir.join("there")).unwrap();
    });
    let all = entries(&dir.path().join("there/log.db"));
    assert_eq!(all.len(), 41);
}

#[test]
fn a_log_that_another_took_the_place_of_takes_nothing_in_and_leaves_that_alone() {
    let (dir, path) = refuses_after(|path, dir| {
        let other = a_log(&dir.join("other"), 3);
        fs::rename(other, path).unwrap();
    });
    holds_the_other(&path, dir.path(), 3);
}

#[test]
fn a_log_written_over_in_place_takes_nothing_in() {
    for others in [1, 3, 40, 400] {
        let (dir, path) = refuses_after(|path, dir| {
            let other = a_log(&dir.join("other"), others);
            let bytes = fs::read(other).unwrap();
            // As `cp` does: the same file, other content.
            fs::write(path, bytes).unwrap();
        });
        holds_the_other(&path, dir.path(), others);
    }
}

#[test]
fn a_log_written_over_with_something_else_takes_nothing_in() {
    for bytes in [Vec::new(), vec![b'x'; 60_000], b"Dear worms".to_vec()] {
        refuses_after(|path, _| fs::write(path, &bytes).unwrap());
    }
}

#[test]
fn a_log_whose_journal_was_removed_takes_nothing_in() {
    for end in ["-wal", "-shm"] {
        let (_dir, path) = refuses_after(|path, _| {
            let mut beside = path.as_os_str().to_owned();
            beside.push(end);
            fs::remove_file(PathBuf::from(beside)).unwrap();
        });
        // What was acknowledged before is in the file itself.
        let all = entries(&path);
        assert!(matches!(&all[40].body, Body::Note { text } if &**text == "before"));
    }
}

#[test]
fn what_is_acknowledged_is_in_the_file_itself() {
    let dir = tempfile::tempdir().unwrap();
    let path = a_log(dir.path(), 5);
    let mut store = Store::open(&path).unwrap();
    for n in 1..30 {
        store.append(note(&"long ".repeat(n * 20))).unwrap();
        // A plain copy of the one file, journal left behind.
        let copy = dir.path().join(format!("copy-{n}.db"));
        fs::write(&copy, fs::read(&path).unwrap()).unwrap();
        assert_eq!(entries(&copy), store.all_entries().unwrap());
    }
}

#[test]
fn two_that_write_in_turn_do_not_take_each_other_for_strangers() {
    let dir = tempfile::tempdir().unwrap();
    let path = a_log(dir.path(), 2);
    let mut one = Store::open(&path).unwrap();
    let mut two = Store::open(&path).unwrap();
    for n in 0..20 {
        one.append(note(&format!("one {n}"))).unwrap();
        two.append_all(vec![note("two"), note("and two")]).unwrap();
    }
    assert_eq!(one.all_entries().unwrap().len(), 62);
    assert!(one.examine().unwrap().is_sound());
}

#[test]
fn an_entry_swallowed_by_a_trigger_is_not_acknowledged() {
    let dir = tempfile::tempdir().unwrap();
    let path = a_log(dir.path(), 2);
    let mut store = Store::open(&path).unwrap();
    let other = Connection::open(&path).unwrap();
    let swallow = "CREATE TRIGGER quiet BEFORE INSERT ON entry BEGIN SELECT RAISE(IGNORE); END";
    other.execute_batch(swallow).unwrap();
    let refused = store.append(note("swallowed")).unwrap_err();
    assert!(matches!(refused, StoreError::Unwritten), "{refused}");
    drop(store);
    // Nor is such a file opened, restored or put in place of an open log.
    let text = Store::open(&path).unwrap_err().to_string();
    assert!(
        text.contains("the trigger `quiet` was added") && text.len() < 300,
        "{text}"
    );
    let to = dir.path().join("to.db");
    assert!(matches!(
        Store::restore(&path, &to),
        Err(StoreError::Changed { .. })
    ));
    let mut good = Store::open(&to).unwrap();
    good.append(note("mine")).unwrap();
    assert!(matches!(
        good.restore_into(&path),
        Err(StoreError::Changed { .. })
    ));
    assert_eq!(good.all_entries().unwrap().len(), 1);
    // Changed in other ways.
    for change in [
        "DROP TRIGGER quiet; DROP TRIGGER entry_is_never_changed",
        "DROP TRIGGER quiet; CREATE VIEW v AS SELECT 1",
        "DROP TRIGGER quiet; DROP INDEX entry_by_bin; CREATE INDEX entry_by_bin ON entry (bin)",
        "DROP TRIGGER quiet; ALTER TABLE entry ADD COLUMN mood TEXT",
    ] {
        let changed = dir.path().join("changed.db");
        drop(other.execute_batch("PRAGMA wal_checkpoint(TRUNCATE)"));
        fs::write(&changed, fs::read(&path).unwrap()).unwrap();
        Connection::open(&changed)
            .unwrap()
            .execute_batch(change)
            .unwrap();
        let refused = Store::open(&changed).unwrap_err();
        assert!(
            matches!(refused, StoreError::Changed { .. }),
            "{change}: {refused}"
        );
        let saved = dir.path().join("saved.db");
        let done = Store::rescue(&changed, &saved, NOW).unwrap();
        assert_eq!((done.saved, done.lines().len()), (2, 0), "{change}");
        fs::remove_file(saved).unwrap();
    }
}
