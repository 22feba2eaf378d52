//! Entries that say what cannot be, numbers that are not plain, and an entry
//! that is acknowledged before its bin is worked out.

use super::desk::Desk;
use std::fs::{self, OpenOptions};
use std::io::{BufRead, BufReader, Read};
use std::process::{Command, Stdio};
use std::sync::mpsc;
use std::thread;
use std::time::Duration;

fn with_bin() -> Desk {
    let desk = Desk::new();
    let sizes = ["--length", "55", "--width", "36", "--depth", "28"];
    let held = ["--filled", "30 L coir_pith", "--when", "30 days ago"];
    desk.json(&[&["add-bin", "box"], &sizes[..], &held, &["--json"]].concat());
    desk
}

fn entries(desk: &Desk) -> serde_json::Value {
    desk.json(&["check", "--json"])["entries"].clone()
}

#[test]
fn what_cannot_be_is_refused_even_when_confirmed() {
    let desk = with_bin();
    let before = entries(&desk);
    let looked = [&["look"][..], &["worms-spread"; 100]].concat();
    let warm = ["reading", "20", "--of", "bedding-celsius"];
    let warm = [&warm[..], &["--instrument", "cheap_pen"]].concat();
    let cases: [(&[&str], &str); 8] = [
        (&looked, "`worms-spread` is given more than once"),
        (&["worms", "--count", "1.5"], "`1.5` is not a whole number"),
        (&["worm-count", "2.5"], "`2.5` is not a whole number"),
        (&["worms", "--grams", "0", "--count", "0"], "are none"),
        (&["worms", "--grams", "0"], "are none"),
        (
            &["worms", "--grams", "1000", "--count", "1"],
            "mass of one worm `1000` g is outside the allowed range",
        ),
        (
            &warm,
            "`cheap_pen` reads pH and cannot read the temperature",
        ),
        (
            &["note", "a\u{7}b"],
            "note holds the control character U+0007 as character 2",
        ),
    ];
    for (typed, why) in cases {
        let typed = [&["log", "1"], typed, &["--confirmed"]].concat();
        let (lines, code) = desk.refused(&typed);
        assert_eq!(code, 2, "{typed:?}");
        assert!(lines[0].contains(why), "{typed:?} {lines:?}");
    }
    assert_eq!(entries(&desk), before);
    let (lines, code) = desk.refused(&["log", "1", "look", "worms-spread", "worms-left"]);
    assert_eq!(code, 2);
    assert!(lines[0].contains("contradict each other"), "{lines:?}");
}

#[test]
fn a_control_character_in_a_note_is_refused_by_an_import() {
    let desk = with_bin();
    assert!(
        desk.run(&["log", "1", "note", "MARK\nand more"])
            .status
            .success()
    );
    assert!(desk.run(&["export", "log.jsonl"]).status.success());
    let lines = std::fs::read_to_string(desk.folder.path().join("log.jsonl")).unwrap();
    let other = Desk::new();
    // As a log of before checksums, or one made by hand.
    let unsealed = |line: &str| {
        let mut entry: serde_json::Value = serde_json::from_str(line).unwrap();
        entry.as_object_mut().unwrap().remove("checksum");
        entry.to_string().replace("MARK", "a\\u0000b")
    };
    let odd: Vec<String> = lines.lines().map(unsealed).collect();
    other.file("odd.jsonl", &odd.join("\n"));
    let (told, code) = other.refused(&["import", "odd.jsonl"]);
    assert_eq!(code, 2);
    assert!(told[0].contains("the control character U+0000"), "{told:?}");
    other.file("sound.jsonl", &lines);
    assert!(other.run(&["import", "sound.jsonl"]).status.success());
}

#[test]
fn jars_that_say_what_no_bedding_does_are_refused_or_asked_about() {
    let desk = with_bin();
    let before = entries(&desk);
    let jars = |list: &[&'static str]| {
        let each = list.iter().flat_map(|jar| ["--jar", *jar]);
        let head = ["jar-test", "1", "--instrument", "good_pen"];
        desk.refused(&head.into_iter().chain(each).collect::<Vec<_>>())
    };
    for (list, why) in [
        (
            &["0=7", "1=6", "2=5"][..],
            "Jar 2 shows pH 6 with 1 g of ground calcitic limestone",
        ),
        (&["0=5", "0.001=9"], "Jar 2 shows pH 9 with 0.001 g"),
        (&["0=6", "0=6.1", "0=6.2"], "every jar has `0` g"),
    ] {
        let (lines, code) = jars(list);
        assert_eq!(code, 2, "{list:?}");
        assert!(lines[0].contains(why), "{list:?} {lines:?}");
    }
    let (lines, _) = jars(&["0=7", "1=6", "2=5"]);
    assert!(lines[0].contains("it would be 6."), "{lines:?}");
    assert_eq!(entries(&desk), before);
}

#[test]
fn numbers_are_plain_digits_and_those_below_zero_are_values() {
    let desk = with_bin();
    for odd in ["1e9 L", "1E-3 L", "0x10 L", "1_000 L"] {
        let (lines, code) = desk.refused(&["log", "1", "water", odd]);
        assert_eq!(code, 2, "{odd}");
        assert!(lines[0].contains("plain digits"), "{odd} {lines:?}");
    }
    let cases: [(&[&str], [&str; 3]); 3] = [
        (
            &["settings", "room_celsius", "-1"],
            ["room_celsius", "`-1`", "2 to 40"],
        ),
        (
            &["outlook", "1", "--days", "-1"],
            ["days", "`-1`", "1 to 365"],
        ),
        (&["strike", "1", "-1"], ["entry", "'-1'", "1"]),
    ];
    for (typed, said) in cases {
        let (lines, code) = desk.refused(typed);
        assert_eq!(code, 2, "{typed:?}");
        let line = lines[0].to_lowercase();
        for word in said {
            assert!(line.contains(word), "{typed:?} {line}");
        }
        assert!(!line.contains("unexpected"), "{line}");
    }
}

#[test]
fn a_bin_of_one_gallon_is_not_of_one_gallons() {
    let desk = Desk::new();
    let tiny = "add-bin Tiny --length 20 --width 19 --depth 10";
    assert!(
        desk.run(&tiny.split(' ').collect::<Vec<_>>())
            .status
            .success()
    );
    let (lines, _) = desk.refused(&["log", "1", "bedding", "90 L coir_pith"]);
    assert!(lines[0].contains("holds 3.8 L (1 gallon), "), "{lines:?}");
}

#[test]
fn a_mass_is_shown_as_long_as_it_is_worth() {
    let desk = with_bin();
    let typed = ["log", "1", "reading", "9.071847400000001", "--of", "bin-kg"];
    let said = desk.json(&[&typed[..], &["--json"]].concat())["said"].clone();
    assert_eq!(said, "bin kg 9.07 by scale");
}

/// What was worked out of the bin is put out of reach: a pipe that nobody writes to
/// holds up whoever reads it.
#[cfg(unix)]
#[test]
fn an_entry_is_acknowledged_before_its_bin_is_worked_out() {
    let desk = with_bin();
    desk.json(&["now", "1", "--settled", "--json"]);
    let folder = desk.folder.path().join("log.db.settled");
    let held: Vec<_> = fs::read_dir(folder)
        .unwrap()
        .map(|e| e.unwrap().path())
        .collect();
    assert!(!held.is_empty());
    for file in &held {
        fs::remove_file(file).unwrap();
        assert!(Command::new("mkfifo").arg(file).status().unwrap().success());
    }
    let mut running = Command::new(env!("CARGO_BIN_EXE_bedwright"))
        .current_dir(desk.folder.path())
        .args(["--data", "log.db", "--now", "2026-11-24T18:05"])
        .args(["log", "1", "note", "new lid"])
        .stdout(Stdio::piped())
        .spawn()
        .unwrap();
    let mut answer = BufReader::new(running.stdout.take().unwrap());
    let (said, hears) = mpsc::channel();
    let reader = thread::spawn(move || {
        let mut first = String::new();
        answer.read_line(&mut first).unwrap();
        said.send(first).unwrap();
        let mut rest = String::new();
        answer.read_to_string(&mut rest).unwrap();
        rest
    });
    let first = hears.recv_timeout(Duration::from_secs(60));
    assert!(
        running.try_wait().unwrap().is_none(),
        "it did not read what is kept"
    );
    // Opened and closed again they hold nothing, and let it go on.
    for file in held {
        let open = move || OpenOptions::new().write(true).open(&file);
        thread::spawn(move || (0..20).all(|_| open().is_ok()));
    }
    assert_eq!(first.unwrap(), "Entry 3 of bin 1: note: new lid.\n");
    let rest = reader.join().unwrap();
    assert!(running.wait().unwrap().success());
    assert!(
        rest.contains(": "),
        "how the bin stands is not told: {rest}"
    );
}
