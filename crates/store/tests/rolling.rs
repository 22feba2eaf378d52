//! Automatic backups, and a log put back into an open one.

#![allow(clippy::unwrap_used, reason = "a test that cannot go on should stop")]

mod raw;

use engine::log::Body;
use rusqlite::Connection;
use std::fs;
use std::path::{Path, PathBuf};
use store::{New, Rolled, Store, backups, backups_folder, roll_backups};

const NOW: i64 = 1_760_000_000;
const DAY: i64 = 86_400;

fn note(text: &str) -> New {
    New::at(NOW, "UTC", Body::Note { text: text.into() })
}

fn a_log(path: &Path, entries: usize) -> Store {
    let mut store = Store::open(path).unwrap();
    let news = (0..entries).map(|n| note(&format!("{} {n}", path.display())));
    store.append_all(news.collect()).unwrap();
    store
}

#[test]
fn one_backup_a_day_when_something_was_written_each_checked() {
    let dir = tempfile::tempdir().unwrap();
    let path = dir.path().join("log.db");
    let mut store = Store::open(&path).unwrap();
    assert_eq!(roll_backups(&store, NOW).unwrap(), Rolled::NothingNew);
    assert!(!backups_folder(&path).exists());
    store.append(note("one")).unwrap();
    assert!(matches!(
        roll_backups(&store, NOW).unwrap(),
        Rolled::Made(_)
    ));
    assert_eq!(roll_backups(&store, NOW + 60).unwrap(), Rolled::NothingNew);
    store.append(note("two")).unwrap();
    assert_eq!(roll_backups(&store, NOW + 60).unwrap(), Rolled::NotYet);
    assert!(matches!(
        roll_backups(&store, NOW + DAY).unwrap(),
        Rolled::Made(_)
    ));
    let all = backups(&path).unwrap();
    let entries: Vec<_> = all.iter().map(|b| b.entries).collect();
    assert_eq!(entries, [Some(2), Some(1)]);
    assert_eq!(all[0].at_unix_seconds, NOW + DAY);
    assert!(all[0].bytes > 0);
    assert_eq!(
        Store::open(&all[1].path)
            .unwrap()
            .all_entries()
            .unwrap()
            .len(),
        1
    );
    // A clock that was years ahead once does not stop them for years.
    store.append(note("three")).unwrap();
    roll_backups(&store, NOW + 4000 * DAY).unwrap();
    store.append(note("four")).unwrap();
    assert!(matches!(
        roll_backups(&store, NOW + 2 * DAY).unwrap(),
        Rolled::Made(_)
    ));
    // The newest is the one that holds most, whatever its day says.
    let newest = &backups(&path).unwrap()[0];
    assert_eq!(newest.at_unix_seconds, NOW + 2 * DAY);
    assert_eq!(newest.entries, Some(4));
}

#[test]
fn old_ones_go_and_what_is_not_ours_stays() {
    let dir = tempfile::tempdir().unwrap();
    let path = dir.path().join("log.db");
    let mut store = a_log(&path, 1);
    let folder = backups_folder(&path);
    fs::create_dir(&folder).unwrap();
    let mine = [
        "automatic-2020-01-01-000000.db",
        "my own.db",
        "automatic-notes.txt",
    ];
    for name in mine {
        fs::write(folder.join(name), "mine").unwrap();
    }
    for day in 0..60 {
        store.append(note(&format!("day {day}"))).unwrap();
        roll_backups(&store, NOW + day * DAY).unwrap();
    }
    let kept = backups(&path).unwrap();
    // Seven days, and the weeks and months before.
    assert!((9..=13).contains(&kept.len()), "{}", kept.len());
    for name in mine {
        assert_eq!(fs::read_to_string(folder.join(name)).unwrap(), "mine");
    }
    // Nothing good is thinned by a log that has lost something.
    let whole = backups(&path).unwrap();
    drop(store);
    raw::meddle(&path, "DELETE FROM entry WHERE id < 30");
    let mut store = Store::open(&path).unwrap();
    for day in 60..80 {
        store.append(note("on")).unwrap();
        roll_backups(&store, NOW + day * DAY).unwrap();
    }
    assert_eq!(backups(&path).unwrap(), whole);
    drop(store);
    // Nor is an entry that no longer says what was written saved as if it did:
    // such a log is copied as it is, apart.
    raw::meddle(&path, "UPDATE entry SET zone = 'X' WHERE id = 40");
    let mut store = Store::open(&path).unwrap();
    store.append(note("on")).unwrap();
    let whole = backups(&path).unwrap();
    for day in 90..130 {
        store.append(note("on")).unwrap();
        let rolled = roll_backups(&store, NOW + day * DAY).unwrap();
        let Rolled::Made(made) = rolled else {
            panic!("{rolled:?}")
        };
        let name = made.path.file_name().unwrap().to_str().unwrap();
        assert!(name.starts_with("damaged-"), "{name}");
        let copy = Store::open(&made.path).unwrap();
        assert_eq!(copy.health().unreadable, store.health().unreadable);
        assert_eq!(copy.all_entries().unwrap(), store.all_entries().unwrap());
    }
    assert_eq!(backups(&path).unwrap(), whole);
    let names = files(&folder);
    let apart = names.iter().filter(|n| n.starts_with("damaged-"));
    assert!((7..=14).contains(&apart.count()), "{names:?}");
}

fn files(dir: &Path) -> Vec<String> {
    let mut names: Vec<String> = fs::read_dir(dir)
        .unwrap()
        .map(|f| f.unwrap().file_name().into_string().unwrap())
        .collect();
    names.sort();
    names
}

/// A backup of so many entries in pages of a size of its own.
fn saved(dir: &Path, entries: usize, page: u32) -> PathBuf {
    let (log, path) = (
        dir.join(format!("from-{page}.db")),
        dir.join(format!("saved-{page}.db")),
    );
    let store = a_log(&log, entries);
    store.backup_to(&path, false).unwrap();
    let db = Connection::open(&path).unwrap();
    db.execute_batch(&format!("PRAGMA page_size = {page}; VACUUM"))
        .unwrap();
    drop(store);
    fs::remove_file(log).unwrap();
    path
}

#[test]
fn a_backup_goes_into_the_open_log_which_stays_open() {
    let dir = tempfile::tempdir().unwrap();
    let path = dir.path().join("log.db");
    let mut store = a_log(&path, 300);
    // Another program has it open too, and goes on from what is there then.
    let other = Store::open(&path).unwrap();
    for (turn, (page, entries)) in [(4096, 500), (1024, 3), (16_384, 90)]
        .into_iter()
        .enumerate()
    {
        let from = saved(dir.path(), entries, page);
        let before = store.all_entries().unwrap();
        let mark = store.mark().unwrap();
        let kept = store.restore_into(&from).unwrap();
        assert_ne!(store.mark().unwrap(), mark);
        let word = match turn {
            0 => "replaced".to_owned(),
            n => format!("replaced-{}", n + 1),
        };
        assert_eq!(kept, dir.path().join(format!("log.db.{word}")));
        assert_eq!(Store::open(&kept).unwrap().all_entries().unwrap(), before);
        assert_eq!(store.all_entries().unwrap().len(), entries);
        assert_eq!(other.all_entries().unwrap().len(), entries);
        store.append(note("on it goes")).unwrap();
        assert!(store.examine().unwrap().is_sound());
        // It is in the file, under a device that is not the backup's.
        let lines = dir.path().join("lines");
        store
            .export_to(&lines, store::Form::JsonLines, true)
            .unwrap();
        let text = fs::read_to_string(&lines).unwrap();
        let last = text.lines().last().unwrap();
        assert!(
            last.contains("\"sequence\":1") && last.contains("on it goes"),
            "{last}"
        );
    }
    drop((store, other));
    assert_eq!(Store::open(&path).unwrap().all_entries().unwrap().len(), 91);
    assert!(!files(dir.path()).iter().any(|f| f.contains(".part")));
}

#[test]
fn a_restore_that_is_refused_leaves_the_log_open_and_as_it_was() {
    let dir = tempfile::tempdir().unwrap();
    let path = dir.path().join("log.db");
    let mut store = a_log(&path, 20);
    let all = store.all_entries().unwrap();
    let good = saved(dir.path(), 30, 4096);
    let bad = |name: &str, sql: &str| {
        let path = dir.path().join(name);
        fs::copy(&good, &path).unwrap();
        raw::meddle(&path, sql);
        path
    };
    let torn = dir.path().join("torn.db");
    let bytes = fs::read(&good).unwrap();
    fs::write(&torn, &bytes[..bytes.len() - 5000]).unwrap();
    let letter = dir.path().join("letter");
    fs::write(&letter, "Dear worms").unwrap();
    let hard = dir.path().join("hard.db");
    fs::hard_link(&path, &hard).unwrap();
    let froms = [
        bad("changed.db", "UPDATE entry SET zone = 'UTD' WHERE id = 9"),
        bad("missing.db", "DELETE FROM entry WHERE id = 9"),
        bad(
            "trigger.db",
            "CREATE TRIGGER t BEFORE INSERT ON entry BEGIN SELECT RAISE(IGNORE); END",
        ),
        bad("newer.db", "PRAGMA user_version = 99"),
        torn,
        letter,
        hard,
        dir.path().join("not there"),
        dir.path().to_owned(),
    ];
    let before = files(dir.path());
    for from in froms {
        let text = store.restore_into(&from).unwrap_err().to_string();
        assert!(text.chars().count() < 300, "{text}");
        assert_eq!(store.all_entries().unwrap(), all, "{from:?}");
        assert!(
            Store::restore(&from, &dir.path().join("to.db")).is_err() || from.ends_with("hard.db")
        );
    }
    // With a second name nothing is taken.
    assert!(matches!(
        store.append(note("refused")),
        Err(store::StoreError::SeveralNames { .. })
    ));
    fs::remove_file(dir.path().join("hard.db")).unwrap();
    store.append(note("still taken")).unwrap();
    drop(store);
    fs::write(dir.path().join("hard.db"), "").unwrap();
    let after: Vec<String> = files(dir.path())
        .into_iter()
        .filter(|f| f != "to.db")
        .collect();
    assert_eq!(
        after,
        before
            .into_iter()
            .filter(|f| !f.ends_with("-wal") && !f.ends_with("-shm"))
            .collect::<Vec<_>>()
    );
    assert_eq!(Store::open(&path).unwrap().all_entries().unwrap().len(), 21);
    let mut memory = Store::open_in_memory().unwrap();
    assert!(memory.restore_into(&good).is_err());
}

#[test]
fn a_log_too_damaged_to_write_in_is_put_right_by_a_restore() {
    let dir = tempfile::tempdir().unwrap();
    let path = dir.path().join("log.db");
    drop(a_log(&path, 300));
    let mut bytes = fs::read(&path).unwrap();
    let page = (1..bytes.len() / 4096)
        .rfind(|p| bytes[p * 4096] == 0x0a)
        .unwrap();
    bytes[page * 4096 + 8..page * 4096 + 40].fill(0xff);
    fs::write(&path, &bytes).unwrap();
    let mut store = Store::open(&path).unwrap();
    assert!(store.append(note("no")).is_err());
    let kept = store.restore_into(&saved(dir.path(), 30, 4096)).unwrap();
    store.append(note("yes")).unwrap();
    assert_eq!(store.all_entries().unwrap().len(), 31);
    assert_eq!(
        Store::rescue(&kept, &dir.path().join("r.db"), NOW)
            .unwrap()
            .saved,
        300
    );
}

/// A file of nothing or of junk with the name of a backup is none.
#[test]
fn what_cannot_be_read_stands_for_no_backup() {
    let dir = tempfile::tempdir().unwrap();
    let path = dir.path().join("log.db");
    let store = a_log(&path, 3);
    let folder = backups_folder(&path);
    fs::create_dir(&folder).unwrap();
    let junk = [
        ("automatic-2025-10-09-000000.db", ""),
        ("automatic-2025-10-09-000001.db", "junk"),
    ];
    for (name, content) in junk {
        fs::write(folder.join(name), content).unwrap();
    }
    assert!(matches!(
        roll_backups(&store, NOW).unwrap(),
        Rolled::Made(_)
    ));
    for (name, content) in junk {
        assert_eq!(fs::read_to_string(folder.join(name)).unwrap(), content);
    }
    assert_eq!(roll_backups(&store, NOW + 60).unwrap(), Rolled::NothingNew);
}
