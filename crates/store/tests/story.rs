//! A keeper's log from the first bin to a restored backup, and what it refuses.

#![allow(clippy::unwrap_used, reason = "a test that cannot go on should stop")]

mod raw;

use engine::log::{
    BinDescription, BinId, Body, EntryId, Lid, Measured, Place, Reading, ShedItem, Walls, effective,
};
use rusqlite::Connection;
use std::collections::BTreeMap;
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

fn ph(value: f64) -> Body {
    Body::Reading(Reading {
        what: Measured::Ph,
        spots: vec![value],
        instrument: "pen_cheap".into(),
        place: Place::Spread,
        text: String::new(),
        confirmed: false,
    })
}

fn note(text: &str) -> Body {
    Body::Note { text: text.into() }
}

fn setting(name: &str, value: &str) -> Body {
    Body::Setting {
        name: name.into(),
        value: value.into(),
    }
}

fn shed(material: &str, own_ph: f64) -> Body {
    Body::Shed(ShedItem {
        material: material.into(),
        called: String::new(),
        available: None,
        have: true,
        own: BTreeMap::from([("ph".to_owned(), own_ph)]),
    })
}

fn correction(corrects: i64, replacement: Option<Body>) -> Body {
    Body::Correction {
        corrects: EntryId(corrects),
        replacement: replacement.map(Box::new),
        at_unix_seconds: None,
        reason: "slip of the pen".into(),
    }
}

fn with_one_bin() -> Store {
    let mut store = Store::open_in_memory().unwrap();
    store
        .create_bin(bin("North"), NOW, "Europe/Paris", NOW)
        .unwrap();
    store
}

/// The call is refused with exactly this text and the log is as it was.
fn refused(store: &mut Store, entry: New, text: &str) {
    let before = store.all_entries().unwrap();
    let error = store.append(entry.clone()).unwrap_err();
    assert_eq!(error.to_string(), text);
    assert!(error.is_input());
    let good = new(None, NOW, setting("a", "b"));
    assert!(store.append_all(vec![good, entry]).is_err());
    assert_eq!(store.all_entries().unwrap(), before);
}

#[test]
fn from_the_first_bin_to_a_restored_backup() {
    let dir = tempfile::tempdir().unwrap();
    let path = dir.path().join("new folder/log.db");
    let mut store = Store::open(&path).unwrap();
    assert!(store.is_empty().unwrap());
    assert!(store.bins().unwrap().is_empty());

    let (north, first) = store
        .create_bin(bin("North"), NOW, "Europe/Paris", NOW)
        .unwrap();
    let (south, ids) = store
        .create_bin_with(
            bin("South"),
            NOW + 5,
            "Europe/Paris",
            NOW + 5,
            vec![note("filled"), Body::Turned],
        )
        .unwrap();
    assert_eq!((north, first), (BinId(1), EntryId(1)));
    assert_eq!(
        (south, ids),
        (BinId(2), vec![EntryId(2), EntryId(3), EntryId(4)])
    );

    let group = vec![
        new(Some(1), NOW + 10, ph(65.0 / 10.0)),
        new(None, NOW + 20, setting("display", "metric")),
        new(None, NOW + 30, shed("limestone_calcitic", 8.2)),
    ];
    assert_eq!(
        store.append_all(group).unwrap(),
        [EntryId(5), EntryId(6), EntryId(7)]
    );
    store
        .append(new(Some(1), NOW + 40, correction(5, Some(ph(6.6)))))
        .unwrap();
    store
        .append(new(None, NOW + 50, setting("display", "us")))
        .unwrap();
    store
        .append(new(None, NOW + 60, shed("limestone_calcitic", 8.4)))
        .unwrap();
    let mut put_away = bin("South, old");
    put_away.retired = true;
    let last = store
        .append(new(Some(2), NOW + 70, Body::Bin(put_away)))
        .unwrap();

    assert_eq!(store.last_id().unwrap(), Some(last));
    assert_eq!(
        store.settings().unwrap(),
        BTreeMap::from([("display".into(), "us".into())])
    );
    let items = store.shed().unwrap();
    assert_eq!((items.len(), items[0].own["ph"]), (1, 8.4));
    let bins = store.bins().unwrap();
    assert_eq!(bins.len(), 2);
    assert_eq!(
        (bins[0].made_at, bins[0].last_entry, bins[0].retired),
        (NOW, EntryId(8), false)
    );
    assert_eq!(
        (bins[1].made_at, bins[1].last_entry, bins[1].retired),
        (NOW + 5, last, true)
    );
    assert_eq!(bins[1].description.name, "South, old");
    let now = effective(&store.entries(Some(north)).unwrap());
    assert_eq!(now[1].body, ph(6.6));
    assert_eq!(store.entries(None).unwrap().len(), 4);
    assert_eq!(store.entry(EntryId(5)).unwrap().body, ph(6.5));
    store.check().unwrap();

    let all = store.all_entries().unwrap();
    let saved = dir.path().join("saved.db");
    store.backup_to(&saved, false).unwrap();
    store
        .append(new(Some(1), NOW + 80, note("after the backup")))
        .unwrap();
    let longer = store.all_entries().unwrap();
    drop(store);
    let kept = Store::restore(&saved, &path).unwrap().unwrap();
    assert_eq!(kept, dir.path().join("new folder/log.db.replaced"));
    assert_eq!(Store::open(&path).unwrap().all_entries().unwrap(), all);
    assert_eq!(Store::open(&kept).unwrap().all_entries().unwrap(), longer);
}

#[test]
fn entries_that_do_not_fit_are_refused_and_nothing_changes() {
    let mut store = with_one_bin();
    let s = &mut store;
    refused(
        s,
        new(Some(1), NOW, ph(56.0)),
        "reading at spot 1: pH `56` pH is outside the allowed range 0 to 14 pH (the pH scale of a water slurry)",
    );
    refused(
        s,
        new(Some(1), NOW, ph(f64::NAN)),
        "reading at spot 1: pH is not a finite number; give a value from 0 to 14 pH",
    );
    refused(s, new(Some(7), NOW, note("x")), "there is no bin 7");
    refused(
        s,
        new(Some(7), NOW, Body::Bin(bin("x"))),
        "there is no bin 7",
    );
    refused(
        s,
        new(Some(1), NOW, Body::Bin(bin(" "))),
        "bin name is empty",
    );
    refused(
        s,
        new(None, NOW, ph(7.0)),
        "entry of this kind must name its bin",
    );
    refused(
        s,
        new(Some(1), NOW, setting("a", "b")),
        "entry of the shed or settings cannot be about a bin",
    );
    refused(
        s,
        new(Some(1), NOW, note("\n")),
        "note is empty; write a text",
    );
    refused(
        s,
        new(Some(1), 0, note("x")),
        "time of the entry `1970-01-01 00:00 UTC` is outside the allowed range 1990-01-01 00:00 UTC to 2199-12-31 23:59 UTC",
    );
    let mut no_zone = new(Some(1), NOW, note("x"));
    no_zone.zone = String::new();
    refused(
        s,
        no_zone,
        "time zone `` is not a zone name such as `Europe/Paris` or `UTC`",
    );
    let long = "x".repeat(10_001);
    refused(
        s,
        new(Some(1), NOW, note(&long)),
        "note is 10001 characters long; at most 10000 are taken",
    );
    assert_eq!(
        s.append(new(Some(1), NOW, note("x"))).unwrap(),
        EntryId(2),
        "refused entries use up no numbers"
    );
}

#[test]
fn a_bin_that_is_refused_leaves_no_bin() {
    let mut store = Store::open_in_memory().unwrap();
    let bad = store.create_bin_with(bin("North"), NOW, "UTC", NOW, vec![Body::Turned, ph(15.0)]);
    assert!(matches!(bad, Err(StoreError::Bound { .. })));
    assert!(store.is_empty().unwrap());
    let mut deep = bin("North");
    deep.bedding_depth_cm = Some(31.0);
    let text = store
        .create_bin(deep, NOW, "UTC", NOW)
        .unwrap_err()
        .to_string();
    assert_eq!(
        text,
        "depth of bedding: bedding depth `31` cm is outside the allowed range 0 to 30 cm (bedding is no deeper than its bin)"
    );
}

#[test]
fn corrections_must_fit_the_entry_they_name() {
    let mut store = with_one_bin();
    store.create_bin(bin("South"), NOW, "UTC", NOW).unwrap();
    let s = &mut store;
    s.append(new(Some(1), NOW, note("a"))).unwrap();
    s.append(new(None, NOW, setting("a", "b"))).unwrap();
    refused(
        s,
        new(Some(1), NOW, correction(99, None)),
        "there is no entry 99",
    );
    refused(
        s,
        new(Some(2), NOW, correction(3, None)),
        "entry 3 cannot be corrected this way: it is about another bin",
    );
    let own_kind = "cannot be corrected this way: a bin, shed item or setting can only be replaced by one of its own kind";
    refused(
        s,
        new(Some(1), NOW, correction(3, Some(Body::Bin(bin("x"))))),
        &format!("entry 3 {own_kind}"),
    );
    refused(
        s,
        new(None, NOW, correction(4, Some(note("x")))),
        &format!("entry 4 {own_kind}"),
    );
    refused(
        s,
        new(Some(1), NOW, correction(1, None)),
        "entry 1 cannot be corrected this way: the bin would be left without a description; mark it retired instead",
    );
    refused(
        s,
        new(Some(1), NOW, correction(3, Some(correction(3, None)))),
        "correction cannot have a correction as replacement; correct the entry itself",
    );
    refused(
        s,
        new(Some(1), NOW, correction(3, Some(note(" ")))),
        "note is empty; write a text",
    );
    // A later description may be struck, for the first still stands; then not that one too.
    let renamed = s
        .append(new(Some(1), NOW + 1, Body::Bin(bin("Typo"))))
        .unwrap();
    assert_eq!(s.bins().unwrap()[0].description.name, "Typo");
    s.append(new(Some(1), NOW + 2, correction(renamed.0, None)))
        .unwrap();
    assert_eq!(s.bins().unwrap()[0].description.name, "North");
    assert!(
        s.append(new(Some(1), NOW + 3, correction(1, None)))
            .is_err()
    );
    // A setting corrected, then the correction corrected.
    let id = s
        .append(new(None, NOW, correction(4, Some(setting("a", "c")))))
        .unwrap();
    assert_eq!(s.settings().unwrap()["a"], "c");
    s.append(new(None, NOW, correction(id.0, None))).unwrap();
    assert!(s.settings().unwrap().is_empty());
    s.check().unwrap();
}

#[test]
fn the_file_itself_refuses_change() {
    let dir = tempfile::tempdir().unwrap();
    let path = dir.path().join("log.db");
    let mut store = Store::open(&path).unwrap();
    store.create_bin(bin("North"), NOW, "UTC", NOW).unwrap();
    let before = store.all_entries().unwrap();
    let other = Connection::open(&path).unwrap();
    let row = "(1, 'd', 9, NULL, 0, 0, NULL, 1, 'UTC', 1, 'turned', '0', '{\"kind\":\"turned\"}')";
    for (sql, word) in [
        ("UPDATE entry SET zone = 'UTC'".to_owned(), "never changed"),
        ("DELETE FROM entry".to_owned(), "never deleted"),
        (
            format!("INSERT OR REPLACE INTO entry VALUES {row}"),
            "never replaced",
        ),
        (
            format!("INSERT INTO entry VALUES {row} ON CONFLICT (id) DO UPDATE SET zone = 'X'"),
            "never replaced",
        ),
        // By its place on its device, too.
        (
            "INSERT OR REPLACE INTO entry SELECT 9, device, sequence, once, demo, checksum, bin,
                at_unix_seconds, zone, written_unix_seconds, kind, engine_version, body FROM entry"
                .to_owned(),
            "never replaced",
        ),
    ] {
        let text = other.execute_batch(&sql).unwrap_err().to_string();
        assert!(text.contains(word), "{sql}: {text}");
    }
    assert_eq!(store.all_entries().unwrap(), before);
    let pragma = |name: &str| other.pragma_query_value(None, name, |r| r.get::<_, String>(0));
    assert_eq!(pragma("journal_mode").unwrap(), "wal");
    // A row of somebody else's carries no seal of ours: it is named, not shown.
    other
        .execute_batch(&format!(
            "INSERT INTO entry VALUES {}",
            row.replace("(1,", "(9,")
        ))
        .unwrap();
    assert_eq!(store.all_entries().unwrap(), before);
    let named = store.unreadable();
    assert_eq!(
        (named.len(), named[0].id, named[0].intact),
        (1, EntryId(9), false)
    );
    assert!(matches!(store.check(), Err(StoreError::Unreadable(_))));
}

#[test]
fn an_entry_of_a_newer_version_is_kept_and_named_and_all_else_is_shown() {
    let dir = tempfile::tempdir().unwrap();
    let path = dir.path().join("log.db");
    let mut store = Store::open(&path).unwrap();
    store.create_bin(bin("North"), NOW, "UTC", NOW).unwrap();
    let body = r#"{"kind": "moonlight", "lux": 0.25}"#;
    raw::put(
        &Connection::open(&path).unwrap(),
        2,
        Some(1),
        NOW,
        "moonlight",
        body,
    );
    store.append(new(Some(1), NOW, note("after"))).unwrap();
    for store in [store, Store::open(&path).unwrap()] {
        for found in [store.all_entries(), store.entries(Some(BinId(1)))] {
            let ids: Vec<i64> = found.unwrap().iter().map(|e| e.id.0).collect();
            assert_eq!(ids, [1, 3]);
        }
        let named = store.unreadable();
        assert_eq!(
            (named.len(), named[0].id, named[0].bin),
            (1, EntryId(2), Some(BinId(1)))
        );
        assert!(named[0].intact);
        for text in [
            named[0].to_string(),
            store.entry(EntryId(2)).unwrap_err().to_string(),
        ] {
            assert!(
                text.starts_with(
                    "entry 2 (kind `moonlight`, written by version 9.9.9) cannot be read"
                ),
                "{text}"
            );
        }
        assert_eq!(store.bins().unwrap().len(), 1);
        assert!(store.health().is_whole() && !store.health().is_sound());
        // It is no obstacle to saving, and comes through untouched.
        let mut lines = Vec::new();
        assert_eq!(store.export_jsonl(&mut lines).unwrap(), 3);
        assert!(String::from_utf8(lines.clone()).unwrap().contains(body));
        assert_eq!(
            store.backup_to(&dir.path().join("saved.db"), true).unwrap(),
            3
        );
        let text = Store::open_in_memory()
            .unwrap()
            .import_jsonl(&lines[..], &mut |_| Ok(()))
            .unwrap_err()
            .to_string();
        assert!(
            text.starts_with(
                "line 2: body could not be read: this version does not know `moonlight`"
            ),
            "{text}"
        );
    }
    // A backup this version cannot read whole is not put in place of a log.
    let text = Store::restore(&dir.path().join("saved.db"), &dir.path().join("other.db"))
        .unwrap_err()
        .to_string();
    assert!(text.starts_with("entry 2 (kind `moonlight`"), "{text}");
    assert!(!dir.path().join("other.db").exists());
}

#[test]
fn a_damaged_log_is_found_by_the_check() {
    let dir = tempfile::tempdir().unwrap();
    let path = dir.path().join("log.db");
    let mut store = Store::open(&path).unwrap();
    store.create_bin(bin("North"), NOW, "UTC", NOW).unwrap();
    let body = r#"{"kind":"correction","corrects":40,"replacement":null}"#;
    raw::put(
        &Connection::open(&path).unwrap(),
        2,
        Some(1),
        NOW,
        "correction",
        body,
    );
    let text = store.check().unwrap_err().to_string();
    assert!(
        text.contains("entry 2 corrects no earlier entry of its bin"),
        "{text}"
    );
}
