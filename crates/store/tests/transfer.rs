//! Export and import: exact both ways, and all or none.

#![allow(clippy::unwrap_used, reason = "a test that cannot go on should stop")]

use engine::log::{
    BinDescription, BinId, Body, EntryId, Jar, JarTest, Lid, Measured, Place, Reading, ShedItem,
    TrayTest, Walls, Word,
};
use proptest::collection::{btree_map, vec};
use proptest::prelude::*;
use store::{Imported, New, Store};

const NOW: i64 = 1_760_000_000;

/// Any text with something in it: quotes, commas, line breaks, all scripts.
fn text() -> impl Strategy<Value = String> {
    prop_oneof![any::<String>(), "[\",;\r\n\t=\\\\ a-c]{1,20}"].prop_map(|s| format!("{s}."))
}

/// Any single line.
fn line() -> impl Strategy<Value = String> {
    "[^\\p{C}]{1,30}".prop_map(|s| format!("{s}."))
}

fn description() -> impl Strategy<Value = BinDescription> {
    (
        line(),
        5.0..1000.0,
        5.0..1000.0,
        5.0..200.0,
        proptest::option::of(0.0..5.0),
        any::<bool>(),
    )
        .prop_map(
            |(name, length_cm, width_cm, depth_cm, bedding_depth_cm, drains)| BinDescription {
                name,
                length_cm,
                width_cm,
                depth_cm,
                bedding_depth_cm,
                walls: Walls::Fabric,
                lid: Lid::Cover,
                drains,
                place: String::new(),
                retired: !drains,
            },
        )
}

fn reading() -> impl Strategy<Value = Body> {
    (vec(0.0..14.0, 1..6), line(), text(), any::<bool>()).prop_map(
        |(spots, instrument, text, confirmed)| {
            Body::Reading(Reading {
                what: Measured::Ph,
                spots,
                instrument,
                place: Place::Food,
                text,
                confirmed,
            })
        },
    )
}

fn jar_test() -> impl Strategy<Value = Body> {
    (1.0..500.0, line(), vec((0.0..50.0, 0.0..14.0), 1..4)).prop_map(
        |(wet_bedding_grams, material, jars)| {
            Body::JarTest(JarTest {
                wet_bedding_grams,
                material,
                hours: wet_bedding_grams / 3.0,
                instrument: "pen".into(),
                jars: jars
                    .into_iter()
                    .map(|(grams, ph)| Jar { grams, ph })
                    .collect(),
            })
        },
    )
}

/// What can be said about a bin, but for amounts.
fn about_a_bin() -> impl Strategy<Value = Body> {
    prop_oneof![
        description().prop_map(Body::Bin),
        reading(),
        jar_test(),
        text().prop_map(|text| Body::Note { text: text.into() }),
        text().prop_map(|text| Body::Observation {
            words: vec![Word::Mites, Word::Mould],
            text: text.into()
        }),
        Just(Body::Turned),
        line().prop_map(|place| Body::Move { place }),
        (0.0..50_000.0).prop_map(|g| Body::WormsIn {
            grams: Some(g),
            count: None,
            species: String::new(),
        }),
        (
            0.0..5000.0,
            proptest::option::of(0.1..9.0),
            proptest::option::of(0.0..5000.0)
        )
            .prop_map(|(found, litres_searched, grams)| Body::WormCount {
                found,
                litres_searched,
                grams,
                ball: grams.is_some_and(|g| g > 2500.0),
            }),
        (0u32..20, 0u32..20, 0u32..20).prop_map(|(a, b, c)| Body::TrayTest(TrayTest {
            worms: a + b + c,
            in_suspect: a,
            in_trusted: b,
            dead_or_missing: c,
            hours: 24.5,
        })),
    ]
}

fn about_none() -> impl Strategy<Value = Body> {
    prop_oneof![
        (line(), line()).prop_map(|(name, value)| Body::Setting { name, value }),
        (line(), btree_map("[a-z]{1,9}_percent", 0.0..90.0, 0..4)).prop_map(|(material, own)| {
            Body::Shed(ShedItem {
                material,
                called: String::new(),
                available: None,
                have: true,
                own,
            })
        }),
    ]
}

/// A log of two bins with corrections.
fn a_log() -> impl Strategy<Value = Store> {
    let entry = prop_oneof![
        (1i64..=2, about_a_bin()).prop_map(|(b, body)| (Some(BinId(b)), body)),
        about_none().prop_map(|body| (None, body)),
    ];
    let step = (
        entry,
        631_152_000i64..7_258_118_400,
        proptest::option::of(text()),
    );
    (description(), description(), vec(step, 0..12)).prop_map(|(one, two, steps)| {
        let mut store = Store::open_in_memory().unwrap();
        store.create_bin(one, NOW, "UTC", NOW).unwrap();
        store
            .create_bin(two, NOW, "America/Argentina/Buenos_Aires", NOW)
            .unwrap();
        for ((bin, body), at, mended) in steps {
            let entry = |body| New::at(at, "Etc/GMT+5", body).about(bin).written(NOW);
            let lasting = matches!(body, Body::Bin(_) | Body::Shed(_) | Body::Setting { .. });
            let id = store.append(entry(body)).unwrap();
            if let Some(text) = mended.filter(|_| !lasting) {
                let replacement = Some(Box::new(Body::Note { text: text.into() }));
                let reason = "better so".into();
                store
                    .append(entry(Body::Correction {
                        corrects: id,
                        replacement,
                        at_unix_seconds: Some(at),
                        reason,
                    }))
                    .unwrap();
            }
        }
        store
    })
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

proptest! {
    #![proptest_config(ProptestConfig { cases: 64, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn what_goes_out_comes_back_exactly(log in a_log()) {
        let all = log.all_entries().unwrap();
        let (lines, table) = (jsonl(&log), csv(&log));
        let count = all.len();

        let mut by_lines = Store::open_in_memory().unwrap();
        let done = by_lines.import_jsonl(lines.as_bytes(), &mut |_| Ok(())).unwrap();
        prop_assert_eq!(done, Imported { added: count, already_there: 0 });
        let mut by_table = Store::open_in_memory().unwrap();
        by_table.import_csv(table.as_bytes(), &mut |_| Ok(())).unwrap();
        for copy in [&mut by_lines, &mut by_table] {
            prop_assert_eq!(&copy.all_entries().unwrap(), &all);
            prop_assert_eq!(&jsonl(copy), &lines);
            prop_assert_eq!(&csv(copy), &table);
            prop_assert_eq!(copy.bins().unwrap(), log.bins().unwrap());
            prop_assert_eq!(copy.settings().unwrap(), log.settings().unwrap());
            prop_assert_eq!(copy.shed().unwrap(), log.shed().unwrap());
            copy.check().unwrap();
            // Once more changes nothing.
            let again = copy.import_jsonl(lines.as_bytes(), &mut |_| Ok(())).unwrap();
            prop_assert_eq!(again, Imported { added: 0, already_there: count });
            prop_assert_eq!(copy.import_csv(table.as_bytes(), &mut |_| Ok(())).unwrap(), again);
        }
    }

    #[test]
    fn a_part_imported_first_is_completed_by_the_whole(log in a_log(), share in 0.0f64..1.0) {
        let lines = jsonl(&log);
        let all = log.all_entries().unwrap();
        let some = ((all.len() as f64) * share) as usize;
        let part: String = lines.split_inclusive('\n').take(some).collect();
        let mut copy = Store::open_in_memory().unwrap();
        copy.import_jsonl(part.as_bytes(), &mut |_| Ok(())).unwrap();
        let done = copy.import_jsonl(lines.as_bytes(), &mut |_| Ok(())).unwrap();
        prop_assert_eq!(done, Imported { added: all.len() - some, already_there: some });
        prop_assert_eq!(copy.all_entries().unwrap(), all);
    }
}

const BIN: &str = r#"{"id":3,"bin":4,"at_unix_seconds":1760000000,"zone":"UTC","written_unix_seconds":1760000000,"body":{"kind":"bin","name":"North","length_cm":60,"width_cm":40,"depth_cm":30}}"#;

fn entry(id: i64, bin: &str, body: &str) -> String {
    format!(
        r#"{{"id":{id},"bin":{bin},"at_unix_seconds":1760000000,"zone":"UTC","written_unix_seconds":1760000000,"body":{body}}}"#
    )
}

#[test]
fn numbers_are_kept_and_counting_goes_on_from_them() {
    let mut store = Store::open_in_memory().unwrap();
    let text = format!("{BIN}\r\n\n{}\n", entry(9, "4", r#"{"kind":"turned"}"#));
    assert_eq!(
        store
            .import_jsonl(text.as_bytes(), &mut |_| Ok(()))
            .unwrap()
            .added,
        2
    );
    assert_eq!(store.last_id().unwrap(), Some(EntryId(9)));
    assert_eq!(store.bins().unwrap()[0].id, BinId(4));
    let description = store.bins().unwrap()[0].description.clone();
    let made = store.create_bin(description, NOW, "UTC", NOW).unwrap();
    assert_eq!(made, (BinId(5), EntryId(10)));
}

#[test]
fn a_bad_line_is_named_and_nothing_is_taken() {
    let turned = r#"{"kind":"turned"}"#;
    for (second, text) in [
        (
            "{".to_owned(),
            "line 2: line could not be read: it breaks off before its end",
        ),
        (
            entry(3, "4", turned),
            "line 2: id `3` does not rise from the line before (`3`)",
        ),
        (
            entry(-1, "4", turned),
            "line 2: id `-1` is outside 1 to 1000000000001",
        ),
        (entry(5, "9", turned), "line 2: there is no bin 9"),
        (
            entry(5, "4", r#"{"kind":"moonlight"}"#),
            "line 2: body could not be read: this version does not know `moonlight`",
        ),
        (
            entry(5, "4", r#"{"kind":"note","text":"a","mood":"b"}"#),
            "line 2: field `mood` of the body is not known to this version",
        ),
        (
            entry(
                5,
                "4",
                r#"{"kind":"reading","what":"ph","spots":[6.5,15],"instrument":"pen"}"#,
            ),
            "line 2: reading at spot 2: pH `15` pH is outside the allowed range 0 to 14 pH",
        ),
        (
            entry(
                5,
                "4",
                r#"{"kind":"correction","corrects":8,"replacement":null}"#,
            ),
            "line 2: there is no entry 8",
        ),
        (
            entry(5, "4", turned).replace("UTC", ""),
            "line 2: time zone `` is not a zone name",
        ),
        (
            entry(5, "4", turned).replace("\"zone\"", "\"zoo\""),
            "line 2: line could not be read: there is no field `zoo`",
        ),
        (
            "\"".repeat(1_100_000),
            "line 2: line is longer than 1048576 bytes",
        ),
    ] {
        let mut store = Store::open_in_memory().unwrap();
        let error = store
            .import_jsonl(format!("{BIN}\n{second}\n").as_bytes(), &mut |_| Ok(()))
            .unwrap_err();
        assert!(error.to_string().starts_with(text), "{error}");
        assert!(error.is_input());
        assert!(store.is_empty().unwrap());
    }
}

#[test]
fn a_line_that_contradicts_the_log_is_refused() {
    let mut store = Store::open_in_memory().unwrap();
    store
        .import_jsonl(
            format!("{BIN}\n{}\n", entry(5, "4", r#"{"kind":"turned"}"#)).as_bytes(),
            &mut |_| Ok(()),
        )
        .unwrap();
    let before = store.all_entries().unwrap();
    let other = entry(5, "4", r#"{"kind":"note","text":"a"}"#);
    let between = entry(4, "4", r#"{"kind":"turned"}"#);
    let after = entry(6, "4", r#"{"kind":"turned"}"#);
    for (text, why) in [
        (
            format!("{BIN}\n{other}\n{after}"),
            "line 2: id `5` is taken by another entry of the log",
        ),
        (
            format!("{between}\n{after}"),
            "line 1: id `4` lies before the last entry of the log but is not in it",
        ),
    ] {
        assert_eq!(
            store
                .import_jsonl(text.as_bytes(), &mut |_| Ok(()))
                .unwrap_err()
                .to_string(),
            why
        );
        assert_eq!(store.all_entries().unwrap(), before);
    }
}

#[test]
fn csv_faults_are_named_by_line_too() {
    let head = "id,bin,at_unix_seconds,zone,written_unix_seconds,kind,body";
    let row = |id: &str, kind: &str| {
        format!(
            "{id},,1760000000,UTC,1760000000,{kind},\"{{\"\"kind\"\":\"\"note\"\",\"\"text\"\":\"\"a\"\"}}\""
        )
    };
    let good = row("1", "note");
    for (text, why) in [
        (
            "id;bin".to_owned(),
            "line 1: first line must name the columns id,bin,",
        ),
        (
            format!("{head}\n{good}\n{}", row("2", "turned")),
            "line 3: kind `turned` is not the kind in the body, \"note\"",
        ),
        (
            format!("{head}\n{good}\n{}", row("two", "note")),
            "line 3: line could not be read: `id`: a whole number should stand there",
        ),
        (
            format!("{head}\n{good}\n2,3"),
            "line 3: line could not be read: it has 2 cells",
        ),
    ] {
        let mut store = Store::open_in_memory().unwrap();
        let error = store
            .import_csv(text.as_bytes(), &mut |_| Ok(()))
            .unwrap_err()
            .to_string();
        assert!(error.starts_with(why), "{error}");
        assert!(store.is_empty().unwrap());
    }
    let mut store = Store::open_in_memory().unwrap();
    let with_mark = format!("\u{feff}{head}\n{good}\n");
    assert_eq!(
        store
            .import_csv(with_mark.as_bytes(), &mut |_| Ok(()))
            .unwrap()
            .added,
        1
    );
}
