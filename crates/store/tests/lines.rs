//! What a line of an export carries, and what an import refuses by it.

#![allow(clippy::unwrap_used, reason = "a test that cannot go on should stop")]

use engine::log::{BinId, Body, EntryId};
use store::{New, Store, StoreError};

const NOW: i64 = 1_760_000_000;

const BIN: &str = r#"{"id":3,"bin":4,"at_unix_seconds":1760000000,"zone":"UTC","written_unix_seconds":1760000000,"body":{"kind":"bin","name":"North","length_cm":60,"width_cm":40,"depth_cm":30}}"#;

fn entry(id: i64, bin: &str, body: &str) -> String {
    format!(
        r#"{{"id":{id},"bin":{bin},"at_unix_seconds":1760000000,"zone":"UTC","written_unix_seconds":1760000000,"body":{body}}}"#
    )
}

fn jsonl(store: &Store) -> String {
    let mut out = Vec::new();
    store.export_jsonl(&mut out).unwrap();
    String::from_utf8(out).unwrap()
}

fn csv(store: &Store) -> String {
    let mut out = Vec::new();
    store.export_csv(&mut out).unwrap();
    String::from_utf8(out).unwrap()
}

#[test]
fn csv_lines_are_bounded_and_texts_are_utf_8() {
    let head = "id,bin,at_unix_seconds,zone,written_unix_seconds,kind,body\n";
    let long = "x".repeat(1_100_000);
    for (text, why) in [
        (
            [head.as_bytes(), b"1,,1760000000,\"", long.as_bytes()].concat(),
            "line 2: line could not be read",
        ),
        (
            [
                head.as_bytes(),
                b"1,,1760000000,",
                long.as_bytes(),
                b",1,note,{}\n",
            ]
            .concat(),
            "line 2: line",
        ),
        (
            [head.as_bytes(), b"1,,1760000000,\xff,1760000000,note,{}\n"].concat(),
            "line 2: line could not be read: it is not UTF-8 text",
        ),
    ] {
        let mut store = Store::open_in_memory().unwrap();
        let error = store
            .import_csv(&text[..], &mut |_| Ok(()))
            .unwrap_err()
            .to_string();
        assert!(error.starts_with(why), "{error}");
        assert!(error.chars().count() < 300, "{error}");
        assert!(store.is_empty().unwrap());
    }
    let mut bytes = format!("{BIN}\n").into_bytes();
    bytes.extend(b"{\"id\":4,\"bin\":\xff}\n");
    let error = Store::open_in_memory()
        .unwrap()
        .import_jsonl(&bytes[..], &mut |_| Ok(()))
        .unwrap_err()
        .to_string();
    assert_eq!(error, "line 2: line is not UTF-8 text (byte 15)");
}

#[test]
fn what_a_file_says_never_reaches_an_error_raw_or_at_length() {
    let esc = "\\u001b[2J".repeat(3000);
    let name = "\u{202e}gnol".repeat(3000);
    for second in [
        entry(
            5,
            "4",
            &format!(r#"{{"kind":"note","text":"a","{esc}":"b"}}"#),
        ),
        entry(5, "4", &format!(r#"{{"kind":"{esc}"}}"#)),
        entry(5, "4", &format!(r#"{{"kind":"{name}"}}"#)),
        entry(5, "4", r#"{"kind":"turned"}"#).replace("\"zone\"", &format!("\"{name}\"")),
        entry(5, "4", r#"{"kind":"turned"}"#).replace("UTC", &esc),
        entry(5, "4", r#"{"kind":"turned"}"#).replace("UTC", &name),
        format!("{{\"id\":\"{esc}\"}}"),
    ] {
        let error = Store::open_in_memory()
            .unwrap()
            .import_jsonl(format!("{BIN}\n{second}\n").as_bytes(), &mut |_| Ok(()))
            .unwrap_err()
            .to_string();
        assert!(error.starts_with("line 2: "), "{error}");
        assert!(error.chars().count() < 300, "{error}");
        assert!(
            !error.contains(|c: char| c.is_control() || c == '\u{202e}'),
            "{error:?}"
        );
    }
}

/// A log of a bin and two notes, one from a form and one of the demo.
fn marked() -> Store {
    let mut store = Store::open_in_memory().unwrap();
    store
        .import_jsonl(format!("{BIN}\n").as_bytes(), &mut |_| Ok(()))
        .unwrap();
    let note = |text: &str| New::at(NOW, "UTC", Body::Note { text: text.into() });
    store.append(note("form").once("key 1".to_owned())).unwrap();
    store.append(note("demo").demo(true)).unwrap();
    store
}

#[test]
fn place_key_and_mark_come_through_and_a_changed_line_is_refused() {
    let log = marked();
    for (text, csv) in [(jsonl(&log), false), (csv(&log), true)] {
        let take = |store: &mut Store, text: &str| match csv {
            true => store.import_csv(text.as_bytes(), &mut |_| Ok(())),
            false => store.import_jsonl(text.as_bytes(), &mut |_| Ok(())),
        };
        let mut copy = Store::open_in_memory().unwrap();
        take(&mut copy, &text).unwrap();
        assert_eq!(copy.demo_entries().unwrap(), log.demo_entries().unwrap());
        assert_eq!(copy.mark().unwrap(), log.mark().unwrap());
        let again = New::at(NOW, "UTC", Body::Turned)
            .about(BinId(4))
            .once("key 1".to_owned());
        assert!(matches!(
            copy.append(again),
            Err(StoreError::Already { entry: EntryId(4) })
        ));
        // Its own entries go on under its own device.
        copy.append(New::at(NOW, "UTC", Body::Turned).about(BinId(4)))
            .unwrap();
        assert!(copy.examine().unwrap().is_sound());
        // A letter changed, a number changed.
        for (from, to) in [("form", "farm"), ("1760000000", "1760000001")] {
            let mut other = Store::open_in_memory().unwrap();
            let error = take(&mut other, &text.replacen(from, to, 1))
                .unwrap_err()
                .to_string();
            assert!(error.contains("does not fit the line"), "{error}");
            assert!(error.chars().count() < 300, "{error}");
            assert!(other.is_empty().unwrap());
        }
        // A line left out was never here: the log is sound, and what is known of
        // the other device is what came.
        let gap: String = text
            .split_inclusive('\n')
            .filter(|l| !l.contains("form"))
            .collect();
        let mut other = Store::open_in_memory().unwrap();
        take(&mut other, &gap).unwrap();
        assert!(other.examine().unwrap().is_sound());
    }
}

#[test]
fn a_place_that_is_taken_is_not_taken_twice() {
    let log = marked();
    let text = jsonl(&log);
    let last = text.lines().last().unwrap();
    let start = last.find(",\"checksum\"").unwrap();
    let moved = format!("{}}}", &last[..start]).replace("\"id\":5", "\"id\":6");
    let mut copy = Store::open_in_memory().unwrap();
    let error = copy
        .import_jsonl(format!("{text}{moved}\n").as_bytes(), &mut |_| Ok(()))
        .unwrap_err()
        .to_string();
    assert_eq!(
        error,
        "line 4: sequence `3` of that device is in the log already, as entry 5"
    );
    let half = moved.replace(",\"sequence\":3", "");
    let error = copy
        .import_jsonl(format!("{BIN}\n{half}\n").as_bytes(), &mut |_| Ok(()))
        .unwrap_err()
        .to_string();
    assert_eq!(error, "line 2: line must name device and sequence together");
}
