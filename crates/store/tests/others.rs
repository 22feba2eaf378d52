//! A log beside others: under a second name, in the place of another, and with
//! entries of other devices.

#![allow(clippy::unwrap_used, reason = "a test that cannot go on should stop")]

mod raw;

use engine::log::Body;
use std::fs;
use std::path::Path;
use store::{Form, New, Store, StoreError, backups_folder, roll_backups};

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

fn names(folder: &Path) -> Vec<String> {
    let list = fs::read_dir(folder).unwrap();
    let mut names: Vec<String> = list
        .map(|f| f.unwrap().file_name().into_string().unwrap())
        .collect();
    names.sort();
    names
}

#[cfg(unix)]
#[test]
fn a_log_with_two_names_is_read_and_takes_nothing() {
    let dir = tempfile::tempdir().unwrap();
    let (path, hard) = (dir.path().join("log.db"), dir.path().join("hard.db"));
    let mut store = a_log(&path, 3);
    fs::hard_link(&path, &hard).unwrap();
    let text = store.append(note("no")).unwrap_err().to_string();
    assert!(
        text.contains("log.db` has a second name, `hard.db`"),
        "{text}"
    );
    for name in [&path, &hard] {
        assert!(matches!(
            Store::open(name),
            Err(StoreError::SeveralNames { .. })
        ));
    }
    let mut read = Store::open_to_read(&hard).unwrap();
    assert_eq!(read.all_entries().unwrap().len(), 3);
    assert!(matches!(
        read.append(note("no")),
        Err(StoreError::SeveralNames { .. })
    ));
    assert!(!names(dir.path()).iter().any(|n| n.starts_with("hard.db-")));
    fs::remove_file(&hard).unwrap();
    store.append(note("yes")).unwrap();
    // One of ours, left by a command that was cut off, is no second log.
    fs::hard_link(&path, dir.path().join("log.db.part-2")).unwrap();
    store.append(note("yes again")).unwrap();
    assert!(!dir.path().join("log.db.part-2").exists());
    assert_eq!(store.all_entries().unwrap().len(), 5);
}

#[test]
fn another_log_is_not_written_over() {
    let dir = tempfile::tempdir().unwrap();
    let path = |name: &str| dir.path().join(name);
    let mut log = a_log(&path("log.db"), 3);
    let other = a_log(&path("other.db"), 1);
    let refused = |log: &Store, to: &str, word: &str| {
        let to = path(to);
        let before = fs::read(&to).unwrap();
        for done in [
            log.backup_to(&to, true),
            log.export_to(&to, Form::JsonLines, true),
        ] {
            let text = done.unwrap_err().to_string();
            assert!(text.contains(word), "{text}");
        }
        assert_eq!(fs::read(&to).unwrap(), before);
    };
    refused(&log, "other.db", "is another log");
    drop(other);
    refused(&log, "other.db", "is another log");
    // A copy of this log that went on by itself.
    log.backup_to(&path("went on.db"), false).unwrap();
    let mut on = Store::open(&path("went on.db")).unwrap();
    on.append(note("only here")).unwrap();
    drop(on);
    log.append(note("only there")).unwrap();
    refused(&log, "went on.db", "is another log");
    // An earlier copy is what `replace` is for, unless it is in use.
    log.backup_to(&path("copy.db"), false).unwrap();
    log.append(note("since")).unwrap();
    assert!(log.export_to(&path("copy.db"), Form::Csv, true).is_err());
    let open = Store::open(&path("copy.db")).unwrap();
    assert!(matches!(
        log.backup_to(&path("copy.db"), true),
        Err(StoreError::InUse(_))
    ));
    drop(open);
    assert_eq!(log.backup_to(&path("copy.db"), true).unwrap(), 5);
}

#[test]
fn names_of_parts_of_a_log_are_no_places_for_files() {
    let dir = tempfile::tempdir().unwrap();
    let path = |name: &str| dir.path().join(name);
    let log = a_log(&path("log.db"), 1);
    log.backup_to(&path("saved.db"), false).unwrap();
    for name in ["x.db-wal", "x.db-shm", "x.db-journal", "x.db.backups"] {
        for text in [
            Store::open(&path(name)).unwrap_err().to_string(),
            log.backup_to(&path(name), false).unwrap_err().to_string(),
            log.export_to(&path(name), Form::Csv, false)
                .unwrap_err()
                .to_string(),
            Store::rescue(&path("saved.db"), &path(name), NOW)
                .unwrap_err()
                .to_string(),
            Store::restore(&path("saved.db"), &path(name))
                .unwrap_err()
                .to_string(),
        ] {
            assert!(text.contains("give another name"), "{text}");
        }
        assert!(!path(name).exists());
    }
}

#[test]
fn a_log_begun_where_another_stood_leaves_its_backups_alone() {
    let dir = tempfile::tempdir().unwrap();
    let path = dir.path().join("log.db");
    let mut first = a_log(&path, 1);
    for day in 0..60 {
        first.append(note("first")).unwrap();
        roll_backups(&first, NOW + day * DAY).unwrap();
    }
    let kept = first.backups().unwrap().own;
    assert!(first.backups().unwrap().of_others.is_empty());
    drop(first);
    fs::remove_file(&path).unwrap();
    let mut second = Store::open(&path).unwrap();
    assert_eq!(second.backups().unwrap().of_others, kept);
    for day in 0..60 {
        second.append(note("second")).unwrap();
        // The first is made on the very day the other's last was.
        roll_backups(&second, NOW + (59 + day) * DAY + 60).unwrap();
        assert!(!second.backups().unwrap().own.is_empty());
    }
    assert_eq!(second.backups().unwrap().of_others, kept);
    let own = second.backups().unwrap().own;
    assert!((7..=14).contains(&own.len()), "{}", own.len());
    drop(second);
    // What is put back is of this log again.
    Store::restore(&kept[0].path, &path).unwrap();
    let back = Store::open(&path).unwrap();
    assert_eq!(back.backups().unwrap().own[0].entries, Some(61));
}

#[cfg(unix)]
#[test]
fn a_log_opened_by_a_link_has_one_folder_of_backups() {
    let dir = tempfile::tempdir().unwrap();
    let path = dir.path().join("log.db");
    fs::create_dir(dir.path().join("elsewhere")).unwrap();
    let link = dir.path().join("elsewhere/link.db");
    drop(a_log(&path, 1));
    std::os::unix::fs::symlink(&path, &link).unwrap();
    roll_backups(&Store::open(&link).unwrap(), NOW).unwrap();
    assert_eq!(names(&backups_folder(&path)).len(), 1);
    assert_eq!(names(&dir.path().join("elsewhere")), ["link.db"]);
}

fn line(id: i64, place: &str) -> String {
    format!(
        r#"{{"id":{id},"bin":null,"at_unix_seconds":{NOW},"zone":"UTC","written_unix_seconds":{NOW},"body":{{"kind":"note","text":"{id}"}}{place}}}"#
    ) + "\n"
}

fn of(device: &str, sequence: i64) -> String {
    format!(r#","device":"{device}","sequence":{sequence}"#)
}

fn take(store: &mut Store, lines: &str) -> Result<usize, StoreError> {
    let done = store.import_jsonl(lines.as_bytes(), &mut |_| Ok(()))?;
    Ok(done.added)
}

#[test]
fn entries_of_another_device_are_the_union_of_what_is_known() {
    let dir = tempfile::tempdir().unwrap();
    let path = dir.path().join("log.db");
    let mut log = a_log(&path, 1);
    let far = 1_000_000_000_000;
    let lines =
        line(2, &of("their", 500)) + &line(3, &of("far", far)) + &line(4, &of("their", 503));
    take(&mut log, &lines).unwrap();
    assert!(log.examine().unwrap().is_sound());
    log.append(note("own")).unwrap();
    assert!(log.examine().unwrap().is_sound());
    // A backup that is said to be saved can be put back.
    log.backup_to(&dir.path().join("saved.db"), false).unwrap();
    Store::restore(&dir.path().join("saved.db"), &dir.path().join("to.db")).unwrap();
    // What was missing here before is missing still.
    drop(log);
    raw::meddle(&path, "DELETE FROM entry WHERE id = 1");
    let mut log = Store::open(&path).unwrap();
    assert_eq!(log.health().missing.len(), 1);
    take(&mut log, &line(9, &of("their", 600))).unwrap();
    assert_eq!(log.examine().unwrap().missing.len(), 1);
    // And such a log is no backup: the words are those of a restore.
    let saved = log.backup_to(&dir.path().join("not whole.db"), false);
    assert!(matches!(saved, Err(StoreError::NotWhole { .. })));
}

#[test]
fn places_this_log_never_gave_are_refused() {
    let mut log = Store::open_in_memory().unwrap();
    log.append(note("one")).unwrap();
    let mut out = Vec::new();
    log.export_jsonl(&mut out).unwrap();
    let own: serde_json::Value = serde_json::from_slice(&out).unwrap();
    let device = own["device"].as_str().unwrap();
    let text = take(&mut log, &line(5, &of(device, 7)))
        .unwrap_err()
        .to_string();
    assert!(
        text.contains("beyond what this log has written itself"),
        "{text}"
    );
    assert_eq!(log.all_entries().unwrap().len(), 1);
    assert_eq!(take(&mut log, &line(5, &of(device, 2))).unwrap(), 1);
    assert!(log.examine().unwrap().is_sound());
}

#[test]
fn a_log_that_goes_on_from_the_largest_numbers_can_be_taken_in_again() {
    let far = 1_000_000_000_000i64;
    let bin = format!(
        r#"{{"id":{far},"bin":{far},"at_unix_seconds":{NOW},"zone":"UTC","written_unix_seconds":{NOW},"body":{{"kind":"bin","name":"North","length_cm":60,"width_cm":40,"depth_cm":30}}}}"#
    ) + "\n";
    let mut log = Store::open_in_memory().unwrap();
    assert!(take(&mut log, &line(far + 1, "")).is_err());
    take(&mut log, &bin).unwrap();
    let described = log.bins().unwrap()[0].description.clone();
    log.create_bin(described, NOW, "UTC", NOW).unwrap();
    log.append(note("after")).unwrap();
    let mut out = Vec::new();
    log.export_jsonl(&mut out).unwrap();
    let mut again = Store::open_in_memory().unwrap();
    assert_eq!(
        take(&mut again, std::str::from_utf8(&out).unwrap()).unwrap(),
        3
    );
    again.append(note("and on")).unwrap();
}

/// Each gap was held against each that is known, at the import and at every
/// opening since: so many took minutes.
#[test]
fn many_gaps_of_another_device_are_told_in_a_moment() {
    let dir = tempfile::tempdir().unwrap();
    let path = dir.path().join("log.db");
    drop(Store::open(&path).unwrap());
    let raw = rusqlite::Connection::open(&path).unwrap();
    raw.execute_batch(
        "WITH RECURSIVE n(at) AS (SELECT 1000000 UNION ALL SELECT at + 2 FROM n LIMIT 1000000)
         INSERT INTO lost SELECT 'there', at, at FROM n",
    )
    .unwrap();
    drop(raw);
    let lines: String = (1..=10_000)
        .map(|id| line(id, &of("there", 2 * id - 1)))
        .collect();
    let begun = std::time::Instant::now();
    let mut log = Store::open(&path).unwrap();
    assert_eq!(take(&mut log, &lines).unwrap(), 10_000);
    drop(log);
    assert!(Store::open(&path).unwrap().health().is_whole());
    let took = begun.elapsed();
    assert!(took.as_secs() < 15, "{took:?}");
}

/// The log at `path` with one more entry in its journal and not yet in the file,
/// as a program that is killed leaves both.
fn with_a_journal(store: &mut Store, path: &Path, last: New) -> (Vec<u8>, Vec<u8>) {
    let raw = rusqlite::Connection::open(path).unwrap();
    raw.execute_batch("BEGIN; SELECT count(*) FROM entry")
        .unwrap();
    store.append(last).unwrap();
    let journal = path.with_file_name("log.db-wal");
    let both = (fs::read(path).unwrap(), fs::read(journal).unwrap());
    assert!(!both.1.is_empty());
    both
}

/// Read with the journal of a far longer log an older copy of it looks whole, but
/// for a gap.
#[test]
fn nor_is_a_journal_of_a_far_longer_log() {
    let dir = tempfile::tempdir().unwrap();
    let path = dir.path().join("log.db");
    let mut log = a_log(&path, 20);
    let older = dir.path().join("older.db");
    log.backup_to(&older, false).unwrap();
    for n in 0..500 {
        log.append(note(&format!("{n} {}", "long ".repeat(100))))
            .unwrap();
    }
    let (_, journal) = with_a_journal(&mut log, &path, note("in the journal"));
    drop(log);
    fs::write(dir.path().join("older.db-wal"), journal).unwrap();
    let file = fs::read(&older).unwrap();
    let refused = Store::open(&older).unwrap_err();
    assert!(matches!(refused, StoreError::StrayJournal(..)), "{refused}");
    assert!(fs::read(&older).unwrap() == file);
}

/// Nor over a log that is damaged, all of whose entries can still be saved.
#[test]
fn nor_is_one_laid_over_a_damaged_log() {
    let dir = tempfile::tempdir().unwrap();
    let long = dir.path().join("long.db");
    drop(a_log(&long, 200));
    let db = rusqlite::Connection::open(&long).unwrap();
    let root = "SELECT rootpage FROM sqlite_schema WHERE name = 'sqlite_autoindex_entry_1'";
    let root: i64 = db.query_row(root, [], |r| r.get(0)).unwrap();
    let size = "PRAGMA page_size";
    let page: i64 = db.query_row(size, [], |r| r.get(0)).unwrap();
    drop(db);
    let mut damaged = fs::read(&long).unwrap();
    let at = usize::try_from((root - 1) * page).unwrap();
    damaged[at + 7] ^= 1;
    fs::write(&long, &damaged).unwrap();
    let path = dir.path().join("log.db");
    let (_, journal) = with_a_journal(&mut a_log(&path, 20), &path, note("in the journal"));
    fs::write(dir.path().join("long.db-wal"), journal).unwrap();
    let refused = Store::open(&long).unwrap_err();
    assert!(matches!(refused, StoreError::StrayJournal(..)), "{refused}");
    let rescued = Store::rescue(&long, &dir.path().join("saved.db"), NOW).unwrap();
    assert_eq!(rescued.saved, 200);
    assert!(fs::read(&long).unwrap() == damaged);
}

#[test]
fn a_journal_of_another_time_is_not_laid_over_a_file() {
    let dir = tempfile::tempdir().unwrap();
    let path = dir.path().join("log.db");
    let mut log = a_log(&path, 3);
    let (older, journal) = with_a_journal(&mut log, &path, note("in the journal"));
    log.append(note("since")).unwrap();
    drop(log);
    let newer = fs::read(&path).unwrap();
    let another = dir.path().join("another.db");
    drop(a_log(&another, 2));
    let another = fs::read(&another).unwrap();
    let there = dir.path().join("there.db");
    let beside = dir.path().join("there.db-wal");
    for (file, entries) in [(&newer, 5), (&another, 2)] {
        fs::write(&there, file).unwrap();
        fs::write(&beside, &journal).unwrap();
        let saved = dir.path().join("saved.db");
        for refused in [
            Store::open(&there).err(),
            Store::open_to_read(&there).err(),
            Store::restore(&there, &saved).err(),
        ] {
            let refused = refused.unwrap();
            assert!(matches!(refused, StoreError::StrayJournal(..)), "{refused}");
        }
        assert!(!saved.exists());
        assert_eq!(&fs::read(&there).unwrap(), file);
        assert_eq!(fs::read(&beside).unwrap(), journal);
        // A rescue saves what is in the file; a note says so.
        let rescued = dir.path().join("rescued.db");
        Store::rescue(&there, &rescued, NOW).unwrap();
        let found = Store::open(&rescued).unwrap().all_entries().unwrap();
        assert_eq!(found.len(), entries + 1);
        fs::remove_file(rescued).unwrap();
        // Put in another's place, both are kept as they were.
        let good = dir.path().join("good.db");
        a_log(&dir.path().join("a good.db"), 1)
            .backup_to(&good, false)
            .unwrap();
        let kept = Store::restore(&good, &there).unwrap().unwrap();
        assert_eq!(&fs::read(&kept).unwrap(), file);
        let moved = kept.with_file_name(format!("{}-wal", kept.file_name().unwrap().display()));
        assert_eq!(fs::read(moved).unwrap(), journal);
        for name in ["a good.db", "good.db"] {
            fs::remove_file(dir.path().join(name)).unwrap();
        }
        fs::write(&there, file).unwrap();
        fs::write(&beside, &journal).unwrap();
        // Moved away, as is said, it does no harm.
        fs::remove_file(&beside).unwrap();
        let found = Store::open(&there).unwrap().all_entries().unwrap();
        assert_eq!(found.len(), entries);
    }
    // Its own goes on from it.
    fs::write(&there, older).unwrap();
    fs::write(&beside, journal).unwrap();
    let found = Store::open(&there).unwrap().all_entries().unwrap();
    assert_eq!(found.len(), 4);
}

/// What is about to be replaced must say so in the file itself, or a restore cut
/// off could not be told from the journal of another log.
#[test]
fn while_another_program_reads_a_restore_waits_and_is_then_refused() {
    let dir = tempfile::tempdir().unwrap();
    let path = dir.path().join("log.db");
    let saved = dir.path().join("saved.db");
    let mut log = a_log(&path, 2);
    log.backup_to(&saved, false).unwrap();
    log.append(note("since")).unwrap();
    let raw = rusqlite::Connection::open(&path).unwrap();
    raw.execute_batch("BEGIN; SELECT count(*) FROM entry")
        .unwrap();
    let refused = log.restore_into(&saved);
    assert!(matches!(refused, Err(StoreError::Busy)), "{refused:?}");
    assert_eq!(log.all_entries().unwrap().len(), 3);
    assert!(!dir.path().join("log.db.replaced").exists());
    drop(raw);
    log.restore_into(&saved).unwrap();
    assert_eq!(log.all_entries().unwrap().len(), 2);
    log.append(note("after")).unwrap();
    drop(log);
    assert_eq!(Store::open(&path).unwrap().all_entries().unwrap().len(), 3);
}

/// Each link was followed to its end anew: two thousand took a minute.
#[test]
fn a_long_chain_of_corrections_is_imported_in_a_moment() {
    let correction = |id: i64| {
        format!(
            r#"{{"id":{id},"bin":null,"at_unix_seconds":{NOW},"zone":"UTC","written_unix_seconds":{NOW},"body":{{"kind":"correction","corrects":{},"replacement":{{"kind":"note","text":"{id}"}}}}}}"#,
            id - 1
        ) + "\n"
    };
    let lines: String = std::iter::once(line(1, ""))
        .chain((2..=8_000).map(correction))
        .collect();
    let mut log = Store::open_in_memory().unwrap();
    let begun = std::time::Instant::now();
    assert_eq!(take(&mut log, &lines).unwrap(), 8_000);
    let took = begun.elapsed();
    assert!(took.as_secs() < 20, "{took:?}");
}

/// All descriptions of the bin were read anew for each that was struck: eight
/// thousand took minutes.
#[test]
fn many_struck_descriptions_are_imported_in_a_moment() {
    let about = |id: i64, body: &str| {
        format!(
            r#"{{"id":{id},"bin":1,"at_unix_seconds":{NOW},"zone":"UTC","written_unix_seconds":{NOW},"body":{body}}}"#
        ) + "\n"
    };
    let described = r#"{"kind":"bin","name":"Box","length_cm":60.0,"width_cm":40.0,"depth_cm":30.0,"walls":"plastic","lid":"vented","drains":true}"#;
    let struck = |of: i64| format!(r#"{{"kind":"correction","corrects":{of},"replacement":null}}"#);
    let mut lines = about(1, described);
    for pair in 1..=8_000 {
        lines += &about(pair * 2, described);
        lines += &about(pair * 2 + 1, &struck(pair * 2));
    }
    let mut log = Store::open_in_memory().unwrap();
    let begun = std::time::Instant::now();
    assert_eq!(take(&mut log, &lines).unwrap(), 16_001);
    let took = begun.elapsed();
    assert!(took.as_secs() < 10, "{took:?}");
    // The last one cannot go, nor one brought back for it.
    let refused = take(&mut log, &about(16_002, &struck(1))).unwrap_err();
    assert!(
        refused.to_string().contains("without a description"),
        "{refused}"
    );
    let back = format!(r#"{{"kind":"correction","corrects":3,"replacement":{described}}}"#);
    let both = about(16_002, &back) + &about(16_003, &struck(1));
    assert_eq!(take(&mut log, &both).unwrap(), 2);
    let refused = take(&mut log, &about(16_004, &struck(16_002))).unwrap_err();
    assert!(
        refused.to_string().contains("without a description"),
        "{refused}"
    );
}
