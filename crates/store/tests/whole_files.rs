//! Files the store writes: whole or not at all, never over the log, for the
//! keeper's eyes only.

#![allow(clippy::unwrap_used, reason = "a test that cannot go on should stop")]
#![cfg(unix)]

mod raw;

use engine::log::Body;
use std::fs;
use std::os::unix::fs::{PermissionsExt, symlink};
use std::path::{Path, PathBuf};
use store::{Form, New, Store, StoreError, write_whole};

const NOW: i64 = 1_760_000_000;

fn note(text: &str) -> New {
    New::at(NOW, "UTC", Body::Note { text: text.into() })
}

fn a_log(dir: &Path) -> (Store, PathBuf) {
    let path = dir.join("log.db");
    let mut store = Store::open(&path).unwrap();
    let news = (0..50).map(|n| note(&format!("note {n}")));
    store.append_all(news.collect()).unwrap();
    (store, path)
}

fn names(dir: &Path) -> Vec<String> {
    let mut names: Vec<String> = fs::read_dir(dir)
        .unwrap()
        .map(|f| f.unwrap().file_name().into_string().unwrap())
        .collect();
    names.sort();
    names
}

fn beside(path: &Path, end: &str) -> PathBuf {
    let mut name = path.as_os_str().to_owned();
    name.push(end);
    name.into()
}

/// Every way to write a file at `to`, each refused; gives the words.
fn refused_every_way(store: &Store, to: &Path) -> Vec<String> {
    vec![
        store
            .export_to(to, Form::JsonLines, true)
            .unwrap_err()
            .to_string(),
        store
            .export_to(to, Form::Csv, true)
            .unwrap_err()
            .to_string(),
        store.backup_to(to, true).unwrap_err().to_string(),
    ]
}

#[test]
fn nothing_is_written_over_the_log_by_whatever_name() {
    let dir = tempfile::tempdir().unwrap();
    let (store, path) = a_log(dir.path());
    let before = store.all_entries().unwrap();
    let (link, hard) = (dir.path().join("link"), dir.path().join("hard"));
    symlink(&path, &link).unwrap();
    fs::hard_link(&path, &hard).unwrap();
    let roundabout = dir
        .path()
        .join("../")
        .join(dir.path().file_name().unwrap())
        .join("log.db");
    let own = ["", "-wal", "-shm", "-journal"].map(|end| beside(&path, end));
    for to in own.iter().chain([&link, &hard, &roundabout]) {
        for text in refused_every_way(&store, to) {
            assert!(text.contains("cannot be the log itself"), "{to:?}: {text}");
        }
        // Without `replace` no less.
        assert!(store.export_to(to, Form::Csv, false).is_err());
    }
    assert_eq!(store.all_entries().unwrap(), before);
    drop(store);
    fs::remove_file(&hard).unwrap();
    assert_eq!(Store::open(&path).unwrap().all_entries().unwrap(), before);
}

#[test]
fn what_is_not_a_plain_file_is_refused() {
    let dir = tempfile::tempdir().unwrap();
    let (store, _) = a_log(dir.path());
    let (to_device, to_nothing) = (dir.path().join("null"), dir.path().join("nothing"));
    symlink("/dev/null", &to_device).unwrap();
    symlink(dir.path().join("nowhere"), &to_nothing).unwrap();
    let fifo = dir.path().join("fifo");
    let made = std::process::Command::new("mkfifo")
        .arg(&fifo)
        .status()
        .unwrap();
    assert!(made.success());
    let before = names(dir.path());
    for (to, word) in [
        (Path::new("/dev/null"), "is a device"),
        (&to_device, "is a device"),
        (&to_nothing, "is a link to nothing"),
        (&fifo, "is a pipe"),
        (dir.path(), "is a folder"),
    ] {
        for text in refused_every_way(&store, to) {
            assert!(text.contains(word), "{to:?}: {text}");
        }
        assert!(Store::open(to).unwrap_err().to_string().contains(word));
        assert!(
            Store::open_existing(to)
                .unwrap_err()
                .to_string()
                .contains(word)
        );
    }
    assert_eq!(names(dir.path()), before);
    // A link to a plain file stays a link, and the file gets the content.
    let (real, link) = (dir.path().join("real"), dir.path().join("link"));
    fs::write(&real, "old").unwrap();
    symlink(&real, &link).unwrap();
    assert!(matches!(
        store.export_to(&link, Form::JsonLines, false),
        Err(StoreError::Exists(_))
    ));
    store.export_to(&link, Form::JsonLines, true).unwrap();
    assert!(
        fs::symlink_metadata(&link)
            .unwrap()
            .file_type()
            .is_symlink()
    );
    assert_eq!(fs::read_to_string(&real).unwrap().lines().count(), 50);
}

#[test]
fn a_damaged_log_never_takes_the_place_of_a_good_copy() {
    let dir = tempfile::tempdir().unwrap();
    let (store, path) = a_log(dir.path());
    let (lines, saved) = (dir.path().join("lines"), dir.path().join("saved.db"));
    store.export_to(&lines, Form::JsonLines, false).unwrap();
    store.backup_to(&saved, false).unwrap();
    let good = (fs::read(&lines).unwrap(), fs::read(&saved).unwrap());
    drop(store);
    for (harm, word) in [
        (
            "UPDATE entry SET body = replace(body, 'note 7\"', 'note 8\"')",
            "entry 8 no longer says",
        ),
        (
            "DELETE FROM entry WHERE id BETWEEN 20 AND 22",
            "3 entries between entries 19 and 23",
        ),
        (
            "DELETE FROM entry WHERE id > 40",
            "10 entries after entry 40 are missing",
        ),
        ("DELETE FROM entry", "50 entries are missing"),
    ] {
        let copy = dir.path().join("harmed.db");
        fs::copy(&path, &copy).unwrap();
        raw::meddle(&copy, harm);
        let store = Store::open(&copy).unwrap();
        for to in [&lines, &saved] {
            let done = match to == &lines {
                true => store.export_to(to, Form::JsonLines, true),
                false => store.backup_to(to, true),
            };
            let text = done.unwrap_err().to_string();
            assert!(
                text.contains(word) && text.contains("bedwright rescue"),
                "{text}"
            );
            assert!(text.chars().count() < 300, "{text}");
        }
        assert!(store.check().is_err());
        let left: Vec<String> = names(dir.path());
        assert!(!left.iter().any(|n| n.contains(".part")), "{left:?}");
        drop(store);
        assert!(
            Store::restore(&copy, &path)
                .unwrap_err()
                .to_string()
                .contains("entr")
        );
        fs::remove_file(copy).unwrap();
    }
    assert_eq!((fs::read(&lines).unwrap(), fs::read(&saved).unwrap()), good);
    assert_eq!(Store::open(&path).unwrap().all_entries().unwrap().len(), 50);
}

#[test]
fn a_write_that_fails_leaves_what_was_there() {
    let dir = tempfile::tempdir().unwrap();
    let to = dir.path().join("answer");
    fs::write(&to, "what was there").unwrap();
    let failed = write_whole(&to, true, None, |out| {
        out.write_all(b"half of it").unwrap();
        Err::<(), _>(StoreError::Busy)
    });
    assert!(failed.is_err());
    assert_eq!(fs::read_to_string(&to).unwrap(), "what was there");
    let nowhere = dir.path().join("no/such/folder");
    assert!(write_whole(&nowhere, true, None, |_| Ok::<_, StoreError>(())).is_err());
    let dull: Result<(), StoreError> = write_whole(&to, false, None, |_| Ok(()));
    assert!(matches!(dull, Err(StoreError::Exists(_))));
    assert_eq!(names(dir.path()), ["answer"]);
    // One that comes to stand there meanwhile is not written over.
    let later = dir.path().join("later");
    let raced = write_whole(&later, false, None, |out| {
        fs::write(&later, "somebody's").unwrap();
        out.write_all(b"mine").unwrap();
        Ok::<_, StoreError>(())
    });
    assert!(matches!(raced, Err(StoreError::Exists(_))));
    assert_eq!(fs::read_to_string(&later).unwrap(), "somebody's");
    assert_eq!(names(dir.path()), ["answer", "later"]);
}

#[test]
fn files_are_the_keepers_only() {
    let dir = tempfile::tempdir().unwrap();
    let mode = |p: &Path| fs::metadata(p).unwrap().permissions().mode() & 0o777;
    let folder = dir.path().join("a/b");
    let (mut store, path) = {
        fs::create_dir_all(dir.path().join("a")).unwrap();
        let path = folder.join("log.db");
        (Store::open(&path).unwrap(), path)
    };
    store.append(note("mine")).unwrap();
    assert_eq!(mode(&folder), 0o700);
    let lines = dir.path().join("lines");
    let saved = dir.path().join("saved.db");
    store.export_to(&lines, Form::JsonLines, false).unwrap();
    store.backup_to(&saved, false).unwrap();
    let kept = store.restore_into(&saved).unwrap();
    let again = store::roll_backups(&store, NOW).unwrap();
    let store::Rolled::Made(again) = again else {
        panic!("{again:?}")
    };
    let rescued = dir.path().join("rescued.db");
    store.rescue_to(&rescued, NOW).unwrap();
    assert_eq!(mode(&store::backups_folder(&path)), 0o700);
    for file in [
        &path,
        &beside(&path, "-wal"),
        &beside(&path, "-shm"),
        &lines,
        &saved,
        &kept,
        &again.path,
        &rescued,
    ] {
        assert_eq!(mode(file), 0o600, "{file:?}");
    }
    drop(store);
    // A wider one from before is closed to others when it is opened.
    fs::set_permissions(&path, fs::Permissions::from_mode(0o664)).unwrap();
    drop(Store::open_existing(&path).unwrap());
    assert_eq!(mode(&path), 0o600);
}

#[test]
fn looking_for_a_log_makes_none() {
    let dir = tempfile::tempdir().unwrap();
    let path = dir.path().join("a/log.db");
    assert!(matches!(
        Store::open_existing(&path),
        Err(StoreError::NotThere(_))
    ));
    assert!(names(dir.path()).is_empty());
    let empty = dir.path().join("empty.db");
    fs::write(&empty, "").unwrap();
    // A log is never empty: it may have been one, so no new one is begun there.
    for opened in [Store::open_existing(&empty), Store::open(&empty)] {
        let text = opened.unwrap_err().to_string();
        assert!(text.contains("is an empty file"), "{text}");
    }
    assert_eq!(names(dir.path()), ["empty.db"]);
}

#[test]
fn no_name_makes_a_log_that_is_only_in_memory() {
    let dir = tempfile::tempdir().unwrap();
    // A name SQLite would take for no file at all, when it stands alone.
    let here = std::process::Command::new(std::env::current_exe().unwrap())
        .args(["--exact", "a_log_named_memory", "--nocapture"])
        .env("NAMED", ":memory:")
        .current_dir(dir.path())
        .status()
        .unwrap();
    assert!(here.success());
    let store = Store::open(&dir.path().join(":memory:")).unwrap();
    assert_eq!(store.all_entries().unwrap().len(), 1);
}

/// Not a test of its own: the part of the test above that runs in another
/// folder.
#[test]
fn a_log_named_memory() {
    if let Ok(name) = std::env::var("NAMED") {
        let mut store = Store::open(Path::new(&name)).unwrap();
        store.append(note("kept")).unwrap();
    }
}

/// A file of many gigabytes that is no log was copied whole before it was
/// looked at.
#[test]
fn what_is_no_log_is_not_copied_to_be_restored() {
    let dir = tempfile::tempdir().unwrap();
    let (store, path) = a_log(dir.path());
    drop(store);
    let long = dir.path().join("long.bin");
    let file = fs::File::create(&long).unwrap();
    file.set_len(1 << 40).unwrap();
    let before = fs::read(&path).unwrap();
    let begun = std::time::Instant::now();
    let refused = Store::restore(&long, &path).unwrap_err();
    assert!(matches!(refused, StoreError::NotOurs(_)), "{refused}");
    assert!(begun.elapsed().as_secs() < 10);
    assert_eq!(fs::read(&path).unwrap(), before);
}
