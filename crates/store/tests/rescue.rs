//! Damage: every flipped byte is refused, named, or does no harm; and what can
//! be read is saved.

#![allow(clippy::unwrap_used, reason = "a test that cannot go on should stop")]

mod raw;

use engine::log::{BinDescription, BinId, Body, Entry, Lid, Walls};
use rusqlite::Connection;
use std::fs;
use std::path::{Path, PathBuf};
use store::{New, Store, StoreError};

const NOW: i64 = 1_760_000_000;

fn note(text: &str) -> New {
    New::at(NOW, "Europe/Paris", Body::Note { text: text.into() })
}

fn bin(name: &str) -> BinDescription {
    BinDescription {
        name: name.into(),
        length_cm: 60.0,
        width_cm: 40.0,
        depth_cm: 30.0,
        bedding_depth_cm: None,
        walls: Walls::Wood,
        lid: Lid::Vented,
        drains: true,
        place: "cellar".into(),
        retired: false,
    }
}

/// A log with entries of one page and of several, closed: one file.
fn a_log(dir: &Path, long: usize) -> (PathBuf, Vec<Entry>) {
    let path = dir.join("log.db");
    let mut store = Store::open(&path).unwrap();
    store.create_bin(bin("North"), NOW, "UTC", NOW).unwrap();
    for n in 0..12 {
        let text = "é ".repeat(1 + n * long);
        store
            .append(note(&text).about(BinId(1)).once(format!("key {n}")))
            .unwrap();
    }
    let all = store.all_entries().unwrap();
    drop(store);
    (path, all)
}

/// Nothing is shown that was not written, and what is not shown is told.
fn tells_the_truth(path: &Path, all: &[Entry], flipped: &str) {
    let Ok(store) = Store::open(path) else {
        return;
    };
    let health = store.health();
    let shown = match store.all_entries() {
        Ok(shown) => shown,
        Err(_) => {
            assert!(
                !health.damage.is_empty(),
                "{flipped}: unreadable, and said to be sound"
            );
            return;
        }
    };
    for entry in &shown {
        assert!(all.contains(entry), "{flipped}: shows {entry:?}");
    }
    if shown != all {
        assert!(!health.is_sound(), "{flipped}: entries left out in silence");
        assert!(store.check().is_err(), "{flipped}");
    }
    if health.is_sound() {
        // By every way they are asked for.
        let of_bin = store.entries(Some(BinId(1))).unwrap();
        assert_eq!(of_bin.len(), all.len(), "{flipped}: by bin");
        assert_eq!(store.bins().unwrap().len(), 1, "{flipped}: by kind");
        store.check().unwrap();
    }
}

#[test]
fn every_flipped_byte_is_refused_named_or_does_no_harm() {
    let dir = tempfile::tempdir().unwrap();
    let (path, all) = a_log(dir.path(), 1);
    let good = fs::read(&path).unwrap();
    let bad = dir.path().join("bad.db");
    // Every byte that says anything; of the zeros between, some.
    let places = (0..good.len()).filter(|at| good[*at] != 0 || at % 61 == 0);
    let mut tried = 0;
    for at in places {
        let mask = [0x01, 0x80, 0x10][at % 3];
        let mut bytes = good.clone();
        bytes[at] ^= mask;
        try_bytes(&bad, &bytes, &all, &format!("byte {at} ^ {mask:#x}"));
        tried += 1;
    }
    assert!(tried > 2_000, "only {tried}");
}

/// Write the bytes as a log, look at it, and clear up.
fn try_bytes(bad: &Path, bytes: &[u8], all: &[Entry], harm: &str) {
    fs::write(bad, bytes).unwrap();
    tells_the_truth(bad, all, harm);
    for end in ["-wal", "-shm"] {
        let _ = fs::remove_file(format!("{}{end}", bad.display()));
    }
}

#[test]
fn sectors_lost_ends_cut_off_and_pages_of_yesterday_are_told() {
    let dir = tempfile::tempdir().unwrap();
    let (path, all) = a_log(dir.path(), 200);
    let good = fs::read(&path).unwrap();
    let bad = dir.path().join("bad.db");
    for at in (0..good.len()).step_by(512) {
        for fill in [0x00, 0xff] {
            let mut bytes = good.clone();
            bytes[at..at + 512].fill(fill);
            try_bytes(
                &bad,
                &bytes,
                &all,
                &format!("sector at {at} filled with {fill}"),
            );
        }
        try_bytes(
            &bad,
            &good[..at + 1],
            &all,
            &format!("cut off after byte {at}"),
        );
    }
    for at in (0..good.len()).step_by(211) {
        let mut bytes = good.clone();
        bytes[at] ^= 0x04;
        try_bytes(&bad, &bytes, &all, &format!("byte {at}"));
    }
    // A disk that kept an old page where a new one was written.
    let mut store = Store::open(&path).unwrap();
    for n in 0..6 {
        let text = format!("later {n} {}", "x ".repeat(n * 400));
        store.append(note(&text).about(BinId(1))).unwrap();
    }
    let all = store.all_entries().unwrap();
    drop(store);
    let now = fs::read(&path).unwrap();
    for page in 0..good.len() / 4096 {
        let mut bytes = now.clone();
        let place = page * 4096..(page + 1) * 4096;
        bytes[place.clone()].copy_from_slice(&good[place]);
        try_bytes(&bad, &bytes, &all, &format!("page {page} of yesterday"));
    }
}

#[test]
fn a_rescue_saves_all_but_what_was_hit() {
    let dir = tempfile::tempdir().unwrap();
    let (path, all) = a_log(dir.path(), 200);
    let good = fs::read(&path).unwrap();
    let (bad, saved) = (dir.path().join("bad.db"), dir.path().join("saved.db"));
    // The head, then whole pages, then bytes here and there.
    let mut harms: Vec<(usize, usize)> = vec![(0, 100), (0, 16), (16, 2)];
    harms.extend((0..good.len() / 4096).map(|page| (page * 4096, 8)));
    harms.extend((0..good.len()).step_by(1009).map(|at| (at, 1)));
    let mut whole = 0;
    for (at, long) in harms {
        let mut bytes = good.clone();
        bytes[at..at + long].fill(0xa5);
        fs::write(&bad, &bytes).unwrap();
        let done = Store::rescue(&bad, &saved, NOW).unwrap();
        assert_eq!(
            fs::read(&bad).unwrap(),
            bytes,
            "the damaged file is only read"
        );
        let store = Store::open(&saved).unwrap();
        store.check().unwrap();
        let mut got = store.all_entries().unwrap();
        let Some(Body::Note { text }) = got.pop().map(|e| e.body) else {
            panic!("no note at the end");
        };
        assert!(text.starts_with("Saved from a damaged log"), "{text}");
        assert_eq!(got.len(), done.saved);
        assert!(got.iter().all(|e| all.contains(e)), "byte {at}");
        // One byte hits one entry at most, or a page of them by their place.
        assert!(
            got.len() + 1 >= all.len() || long > 1,
            "byte {at}: {}",
            got.len()
        );
        let lost: i64 = done.missing.iter().map(|m| m.count()).sum();
        let told = lost as usize + done.unreadable.len();
        if got.len() < all.len() && at >= 4096 {
            assert_eq!(told, all.len() - got.len(), "byte {at}: {:?}", done.lines());
        }
        whole += usize::from(got.len() == all.len());
        fs::remove_file(&saved).unwrap();
    }
    assert!(whole > 10);
}

#[test]
fn a_log_of_schema_1_is_rescued_too() {
    let dir = tempfile::tempdir().unwrap();
    let path = dir.path().join("old.db");
    Connection::open(&path)
        .unwrap()
        .execute_batch(include_str!("old/schema-1.sql"))
        .unwrap();
    let mut bytes = fs::read(&path).unwrap();
    bytes[..100].fill(0);
    fs::write(&path, bytes).unwrap();
    assert!(Store::open(&path).is_err());
    let saved = dir.path().join("saved.db");
    let done = Store::rescue(&path, &saved, NOW).unwrap();
    assert_eq!((done.saved, done.lines().len()), (14, 0));
    let store = Store::open(&saved).unwrap();
    store.check().unwrap();
    assert_eq!(store.bins().unwrap().len(), 2);
    // It is not saved over anything, and nothing is saved from nothing.
    assert!(matches!(
        Store::rescue(&path, &saved, NOW),
        Err(StoreError::Exists(_))
    ));
    let letter = dir.path().join("letter");
    fs::write(&letter, "Dear worms, ".repeat(4000)).unwrap();
    let text = Store::rescue(&letter, &dir.path().join("none.db"), NOW)
        .unwrap_err()
        .to_string();
    assert!(text.ends_with("holds no entry that can be read"), "{text}");
    assert!(!dir.path().join("none.db").exists());
}

#[test]
fn a_rescue_takes_what_is_in_the_journal_and_says_what_is_lost() {
    let dir = tempfile::tempdir().unwrap();
    let (path, _) = a_log(dir.path(), 1);
    raw::meddle(
        &path,
        "DELETE FROM entry WHERE id IN (4, 5, 13);
         UPDATE entry SET zone = 'Europe/Rome' WHERE id = 7",
    );
    let mut store = Store::open(&path).unwrap();
    store.append(note("in the journal")).unwrap();
    let health = store.health();
    assert_eq!(
        health.lines(),
        [
            "entry 7 no longer says what was written (its checksum does not fit); it is left out of everything shown",
            "2 entries between entries 3 and 6 are missing",
            "1 entry after entry 12 is missing",
        ]
    );
    for live in [true, false] {
        let saved = dir.path().join(format!("saved-{live}.db"));
        let done = match live {
            true => store.rescue_to(&saved, NOW).unwrap(),
            false => Store::rescue(&path, &saved, NOW).unwrap(),
        };
        assert_eq!(done.saved, 10);
        assert_eq!(done.unreadable.len(), 1);
        let missing: Vec<String> = done.missing.iter().map(ToString::to_string).collect();
        assert_eq!(
            missing,
            [
                "2 entries between entries 3 and 6 are missing",
                "1 entry between entries 12 and 14 is missing"
            ]
        );
        let new = Store::open(&saved).unwrap();
        new.check().unwrap();
        assert!(
            new.health().is_sound(),
            "what is lost is known and told once"
        );
        let all = new.all_entries().unwrap();
        assert_eq!(all.last().unwrap().id.0, 15);
        assert!(matches!(&all[9].body, Body::Note { text } if &**text == "in the journal"));
        let again = saved.with_extension("again");
        new.backup_to(&again, false).unwrap();
        // What is known to be lost is no obstacle to putting it back.
        Store::restore(&again, &dir.path().join("to.db")).unwrap();
    }
}

#[test]
fn a_log_with_an_entry_changed_or_missing_goes_on_taking_entries() {
    let dir = tempfile::tempdir().unwrap();
    let (path, all) = a_log(dir.path(), 1);
    raw::meddle(
        &path,
        "UPDATE entry SET body = replace(body, 'é', 'e') WHERE id = 13; DELETE FROM entry WHERE id = 5",
    );
    let mut store = Store::open(&path).unwrap();
    assert_eq!(store.entries(Some(BinId(1))).unwrap().len(), all.len() - 2);
    assert!(matches!(
        store.entry(engine::log::EntryId(13)),
        Err(StoreError::Unreadable(_))
    ));
    let id = store.append(note("still here").about(BinId(1))).unwrap();
    assert_eq!(id.0, 14);
    let text = store.check().unwrap_err().to_string();
    assert!(text.starts_with("entry 13 no longer says"), "{text}");
}

#[test]
fn a_torn_file_takes_no_entries_and_names_the_way_out() {
    let dir = tempfile::tempdir().unwrap();
    let (path, all) = a_log(dir.path(), 200);
    let mut bytes = fs::read(&path).unwrap();
    // An index is told from the table by the first byte of its page.
    let page = (1..bytes.len() / 4096)
        .rfind(|p| bytes[p * 4096] == 0x0a)
        .unwrap();
    bytes[page * 4096 + 8..page * 4096 + 20].fill(0xff);
    fs::write(&path, bytes).unwrap();
    let mut store = Store::open(&path).unwrap();
    assert!(!store.health().damage.is_empty());
    assert_eq!(
        store.all_entries().unwrap(),
        all,
        "the entries themselves are there"
    );
    let text = store.append(note("no")).unwrap_err().to_string();
    assert!(
        text.contains("is damaged") && text.contains("bedwright rescue"),
        "{text}"
    );
    assert!(text.chars().count() < 300, "{text}");
    assert!(
        store
            .backup_to(&dir.path().join("saved.db"), false)
            .is_err()
    );
    assert_eq!(
        store
            .rescue_to(&dir.path().join("new.db"), NOW)
            .unwrap()
            .saved,
        all.len()
    );
}

/// A log with a hole of 200 GB behind it was copied with the hole.
#[cfg(unix)]
#[test]
fn a_hole_behind_a_log_is_not_copied() {
    use std::os::unix::fs::MetadataExt;
    let dir = tempfile::tempdir().unwrap();
    let (path, all) = a_log(dir.path(), 40);
    let whole = fs::read(&path).unwrap();
    let file = fs::OpenOptions::new().write(true).open(&path).unwrap();
    if file.set_len(200_000_000_000).is_err() {
        // This disk has no holes.
        return;
    }
    drop(file);
    let to = dir.path().join("to.db");
    drop(Store::open(&to).unwrap());
    Store::restore(&path, &to).unwrap();
    assert_eq!(fs::metadata(&to).unwrap().len(), whole.len() as u64);
    assert_eq!(Store::open(&to).unwrap().all_entries().unwrap(), all);
    // Put in its place again, it is kept in its length by itself.
    let kept = Store::restore(&to, &path).unwrap().unwrap();
    assert!(fs::metadata(&kept).unwrap().blocks() * 512 < 10_000_000);
    assert_eq!(Store::open(&kept).unwrap().all_entries().unwrap(), all);
    // Where it does not say how long it is, it is refused, and a rescue says
    // what it passed over.
    let mut bytes = whole;
    bytes[24] ^= 1;
    fs::write(&path, &bytes).unwrap();
    let file = fs::OpenOptions::new().write(true).open(&path).unwrap();
    file.set_len(200_000_000_000).unwrap();
    let refused = Store::restore(&path, &to).unwrap_err().to_string();
    assert!(
        refused.contains("it goes on for longer than any log"),
        "{refused}"
    );
    assert!(refused.chars().count() <= 300, "{refused}");
    let rescued = Store::rescue(&path, &dir.path().join("rescued.db"), NOW).unwrap();
    assert_eq!(rescued.saved, all.len());
    let said = rescued.lines().join("\n");
    assert!(said.contains("the last 199731 MB of the file"), "{said}");
    assert!(fs::metadata(&path).unwrap().blocks() * 512 < 10_000_000);
}

/// A head that says the hole is the log's own had it copied.
#[cfg(unix)]
#[test]
fn a_hole_that_a_log_says_is_its_own_is_not_copied() {
    use std::os::unix::fs::MetadataExt;
    let dir = tempfile::tempdir().unwrap();
    let (path, all) = a_log(dir.path(), 40);
    let mut bytes = fs::read(&path).unwrap();
    bytes[28..32].fill(0xff);
    fs::write(&path, &bytes).unwrap();
    let file = fs::OpenOptions::new().write(true).open(&path).unwrap();
    if file.set_len(100_000_000_000).is_err() {
        // This disk has no holes.
        return;
    }
    drop(file);
    let begun = std::time::Instant::now();
    let to = dir.path().join("to.db");
    drop(Store::open(&to).unwrap());
    let before = fs::read(&to).unwrap();
    for journal in [false, true] {
        if journal {
            fs::write(dir.path().join("log.db-wal"), b"").unwrap();
        }
        let refused = Store::restore(&path, &to).unwrap_err().to_string();
        assert!(
            refused.contains("it says it is far longer than what is on the disk of it"),
            "{refused}"
        );
        assert!(refused.chars().count() <= 300, "{refused}");
        assert_eq!(fs::read(&to).unwrap(), before);
    }
    fs::remove_file(dir.path().join("log.db-wal")).unwrap();
    // Nor of the log that is open.
    if let Ok(mut open) = Store::open(&path) {
        let saved = dir.path().join("saved.db");
        Store::open(&saved).unwrap();
        for refused in [
            open.restore_into(&saved).map(drop),
            open.rescue_to(&dir.path().join("none.db"), NOW).map(drop),
            open.backup_to(&dir.path().join("none.db"), false).map(drop),
        ] {
            let refused = refused.unwrap_err().to_string();
            assert!(
                refused.contains("far longer than what is on the"),
                "{refused}"
            );
        }
        assert!(!dir.path().join("none.db").exists());
    }
    let rescued = Store::rescue(&path, &dir.path().join("rescued.db"), NOW).unwrap();
    assert_eq!(rescued.saved, all.len());
    let said = rescued.lines().join("\n");
    assert!(said.contains("the last 99731 MB of the file"), "{said}");
    // Where it is what is replaced, it is kept under a second name.
    let kept = Store::restore(&to, &path).unwrap().unwrap();
    assert!(fs::metadata(&kept).unwrap().blocks() * 512 < 10_000_000);
    assert!(begun.elapsed().as_secs() < 60, "{:?}", begun.elapsed());
}

/// Fifty thousand parts under a seal that fits: each page took seconds.
#[test]
fn an_entry_with_a_list_without_end_is_left_out_and_named() {
    let dir = tempfile::tempdir().unwrap();
    let (path, all) = a_log(dir.path(), 1);
    let part = r#"{"material":"apple","amount":"2 g"}"#;
    let parts = vec![part; 50_000].join(",");
    let feed = format!(r#"{{"kind":"feeding","parts":[{parts}]}}"#);
    let db = Connection::open(&path).unwrap();
    raw::put(&db, 100, Some(1), NOW, "feeding", &feed);
    let mended =
        format!(r#"{{"kind":"correction","corrects":1,"replacement":{feed},"reason":""}}"#);
    raw::put(&db, 101, Some(1), NOW, "correction", &mended);
    drop(db);
    let store = Store::open(&path).unwrap();
    assert_eq!(store.all_entries().unwrap(), all);
    let said = store.health().lines().join("\n");
    assert_eq!(store.health().unreadable.len(), 2, "{said}");
    assert!(
        said.contains("it has 50000 parts, and at most 100 are taken in"),
        "{said}"
    );
    // It is kept as it is.
    let saved = dir.path().join("saved.db");
    assert_eq!(store.backup_to(&saved, false).unwrap(), all.len() + 2);
}
