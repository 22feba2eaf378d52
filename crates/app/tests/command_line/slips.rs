//! Slips on the command line: the same twice, times that were not or came
//! twice, odd numbers, and text that would move the cursor.

use super::desk::Desk;
use std::process::Command;

fn with_bin() -> Desk {
    let desk = Desk::new();
    let sizes = ["--length", "55", "--width", "36", "--depth", "28"];
    let held = ["--filled", "30 L coir_pith", "--when", "30 days ago"];
    desk.json(&[&["add-bin", "box"], &sizes[..], &held, &["--json"]].concat());
    desk
}

#[test]
fn the_same_twice_within_a_minute_names_confirmed_and_the_entry() {
    let desk = with_bin();
    let sizes = ["--length", "40", "--width", "30", "--depth", "25"];
    let twice: [&[&str]; 7] = [
        &["log", "1", "fed", "200 g apple"],
        &["log", "1", "turned"],
        &[&["add-bin", "tub"], &sizes[..]].concat(),
        &["shed", "add", "limestone_calcitic", "--have", "2 kg"],
        &[
            "jar-test",
            "1",
            "--instrument",
            "good_pen",
            "--jar",
            "0=5.0",
            "--jar",
            "2=5.6",
        ],
        &[
            "tray-test",
            "--suspect",
            "9",
            "--trusted",
            "11",
            "--bin",
            "1",
        ],
        &["correct", "1", "3", "fed", "250 g apple"],
    ];
    for typed in twice {
        assert!(desk.run(typed).status.success(), "{typed:?}");
        let entries = desk.json(&["check", "--json"])["entries"].clone();
        let (lines, code) = desk.refused(typed);
        assert_eq!(code, 2, "{typed:?}");
        assert!(
            lines[0].contains("within the last minute, as entry ")
                && lines[0].ends_with("Nothing was saved; if it happened twice, give --confirmed."),
            "{lines:?}"
        );
        assert_eq!(desk.json(&["check", "--json"])["entries"], entries);
        let kept = [typed, &["--confirmed"]].concat();
        assert!(desk.run(&kept).status.success(), "{kept:?}");
    }
    let later = ["--now", "2026-11-24T18:07", "log", "1", "turned"];
    assert!(desk.run(&later).status.success());
}

#[test]
fn a_time_that_was_not_or_came_twice_is_an_error_with_both_that_may_be_meant() {
    let desk = with_bin();
    for (typed, ways) in [
        (
            "2026-03-29T02:30",
            "write `2026-03-29T01:30` or `2026-03-29T03:30`",
        ),
        (
            "2026-10-25T02:30",
            "write `2026-10-25T02:30+02:00` (the first) or `2026-10-25T02:30+01:00` (the second)",
        ),
    ] {
        let (lines, code) = desk.refused(&["log", "1", "turned", "--when", typed]);
        assert_eq!(code, 2);
        assert!(lines[0].contains(ways), "{lines:?}");
        let (lines, code) = desk.refused(&["--now", typed, "bins"]);
        assert_eq!(code, 2);
        assert!(
            lines[0].starts_with("--now ") && lines[0].contains(ways),
            "{lines:?}"
        );
    }
    let written = desk.json(&[
        "log",
        "1",
        "turned",
        "--when",
        "2026-10-25T02:30+01:00",
        "--confirmed",
        "--json",
    ]);
    assert!(written["entry"].is_number());
}

#[test]
fn odd_numbers_and_empty_lists_are_errors() {
    let desk = with_bin();
    for odd in ["1,500", "1e3", "0x10", "١٢", "nan", "inf"] {
        for typed in [
            ["log", "1", "worms", "--grams", odd],
            ["log", "1", "reading", "--instrument=cheap_pen", odd],
            [
                "shed",
                "add",
                "limestone_calcitic",
                "--own",
                &format!("ph={odd}"),
            ],
            ["judge", "20 L coir_pith", "--depth", odd, "--json"],
        ] {
            let (lines, code) = desk.refused(&typed);
            assert_eq!((lines.len(), code), (1, 2), "{typed:?} {lines:?}");
        }
    }
    for typed in [
        &["log", "1", "look"][..],
        &["log", "1", "look", "--text", " "],
        &["log", "1", "fed"],
        &["log", "1", "fed", ""],
        &["log", "1", "note", " "],
        &["log", "1", "fed", "200 g apple ph=5 ph=6"],
        &[
            "shed",
            "add",
            "limestone_calcitic",
            "--own",
            "ph=5",
            "--own",
            "ph=6",
        ],
        &["away", "1", "2026-12-01T05:00..2026-12-20"],
    ] {
        let (_, code) = desk.refused(typed);
        assert_eq!(code, 2, "{typed:?}");
    }
}

#[test]
fn no_terminal_is_given_what_moves_its_cursor() {
    let desk = with_bin();
    let hostile = "\u{1b}[2J\u{7}\u{202e}x\r\u{9b}1m";
    let file = desk.file("\u{1b}[2J.toml", "name = 1");
    let lines = desk.file("log.jsonl", &format!("{{\"{hostile}\": 1}}"));
    for typed in [
        &["log", "1", "fed", hostile][..],
        &["log", "1", "turned", "--when", hostile],
        &["log", "1", "reading", "5", "--instrument", hostile],
        &[
            "add-bin", hostile, "--length", "1", "--width", "1", "--depth", hostile,
        ],
        &["material", hostile],
        &["materials", hostile],
        &["settings", hostile, hostile],
        &["mix", &file],
        &["chemistry", &file],
        &["import", &lines],
        &["restore", hostile],
        &["--data", hostile, "settings"],
        &[hostile],
    ] {
        let output = desk.run(typed);
        for bytes in [&output.stdout, &output.stderr] {
            let text = String::from_utf8(bytes.clone()).unwrap();
            assert!(!text.contains(app::shown::is_hidden), "{typed:?} {text:?}");
        }
        let errors = String::from_utf8(output.stderr).unwrap();
        assert!(errors.lines().all(|l| l.chars().count() <= 600), "{errors}");
    }
}

#[cfg(unix)]
#[test]
fn an_argument_that_is_no_text_is_an_error() {
    use std::os::unix::ffi::OsStrExt;
    let desk = with_bin();
    let output = Command::new(env!("CARGO_BIN_EXE_bedwright"))
        .current_dir(desk.folder.path())
        .args(["--data", "log.db", "log", "1", "note"])
        .arg(std::ffi::OsStr::from_bytes(b"a\xff"))
        .output()
        .unwrap();
    assert_eq!(output.status.code(), Some(2));
    assert!(String::from_utf8(output.stderr).unwrap().contains("UTF-8"));
}

#[test]
fn a_correction_of_what_was_struck_out_is_asked_about() {
    let desk = with_bin();
    let id = desk.json(&["log", "1", "water", "1 L", "--json"])["entry"].to_string();
    let by = desk.json(&["strike", "1", &id, "--json"])["entry"].to_string();
    let anew = ["correct", "1", &id, "water", "2 L"];
    let (lines, code) = desk.refused(&anew);
    assert_eq!(code, 2);
    let said = format!("Entry {id} was struck out by entry {by}");
    assert!(
        lines[0].contains(&said) && lines[0].ends_with("if it stands, give --confirmed."),
        "{lines:?}"
    );
    let meant = [&anew[..], &["--confirmed"]].concat();
    assert!(desk.run(&meant).status.success());
    // It stands again, and is corrected as any other.
    assert!(
        desk.run(&["correct", "1", &id, "water", "3 L"])
            .status
            .success()
    );
}

#[test]
fn a_correction_to_before_the_bin_was_filled_is_asked_about_by_command() {
    let desk = with_bin();
    let id = desk.json(&["log", "1", "water", "1 L", "--json"])["entry"].to_string();
    let moved = ["correct", "1", &id, "water", "1 L", "--when"];
    for when in ["31 days ago", "2026-10-25T12:00"] {
        let (lines, code) = desk.refused(&[&moved[..], &[when]].concat());
        assert_eq!(code, 2, "{when}");
        assert!(lines[0].contains("before the bin was filled"), "{lines:?}");
    }
    assert!(
        desk.run(&[&moved[..], &["2 days ago"]].concat())
            .status
            .success()
    );
}

#[test]
fn a_filling_moved_past_other_entries_is_asked_about_by_command() {
    let desk = with_bin();
    let id = desk.json(&["log", "1", "water", "1 L", "--when", "5 days ago", "--json"]);
    let moved = |when| {
        [
            "correct",
            "1",
            "2",
            "filled",
            "30 L coir_pith",
            "--when",
            when,
        ]
    };
    let (lines, code) = desk.refused(&moved("2 days ago"));
    assert_eq!(code, 2);
    let said = format!("after entry {} (2026-11-19 18:05)", id["entry"]);
    assert!(
        lines[0].contains(&said) && lines[0].ends_with("if it stands, give --confirmed."),
        "{lines:?}"
    );
    desk.done(&moved("6 days ago"));
    desk.done(&[&moved("2 days ago")[..], &["--confirmed"]].concat());
}

#[test]
fn a_zone_nobody_knows_is_refused_by_name() {
    let desk = with_bin();
    let run = |zone: Option<&str>| {
        let mut command = Command::new(env!("CARGO_BIN_EXE_bedwright"));
        command.args(["--data", "log.db", "bins"]).env_remove("TZ");
        if let Some(zone) = zone {
            command.env("TZ", zone);
        }
        command.current_dir(desk.folder.path()).output().unwrap()
    };
    for unknown in [
        "Europe/Berln",
        "Berlin",
        ":Nowhere/Else",
        "/no/such/zone",
        "UTC+99",
    ] {
        let output = run(Some(unknown));
        assert_eq!(output.status.code(), Some(2), "{unknown}");
        let said = String::from_utf8(output.stderr).unwrap();
        assert!(
            said.contains(&format!("time zone `{unknown}` in TZ is not known"))
                && said.contains("TZ=UTC"),
            "{said}"
        );
        assert!(said.chars().count() <= 300 && output.stdout.is_empty());
    }
    let known = [
        "UTC",
        "",
        "Europe/Berlin",
        "CET-1CEST,M3.5.0,M10.5.0/3",
        ":America/New_York",
    ];
    for zone in known.map(Some).into_iter().chain([None]) {
        let output = run(zone);
        assert!(output.status.success(), "{zone:?}");
    }
}

#[test]
fn buffers_no_electrode_can_show_and_what_is_no_dose_are_refused_in_words() {
    let desk = with_bin();
    for (typed, wanted) in [
        (
            &["calibrate", "4=7", "7=7.0000001"][..],
            &[
                "`4=7` and `7=7.0000001`",
                "slope",
                "allowed range 50 to 120 %",
            ][..],
        ),
        (&["calibrate", "4=7", "7=4"], &["slope", "50 to 120 %"]),
        (&["calibrate", "4=1", "7=13"], &["slope", "50 to 120 %"]),
        (
            &["log", "1", "dose", "2 tbsp apple"],
            &[
                "`apple` is not given as a dose",
                "lime",
                "wood ash",
                "vinegar",
            ],
        ),
        (
            &["settings", "room_celsius", "68"],
            &["`68` °C is outside the allowed range 2 to 40 °C"],
        ),
        (
            &["log", "1", "bedding", "2000000 L coir_pith"],
            &["outside the allowed range 0 to"],
        ),
        (
            &["log", "1", "bedding", "60000 L coir_pith"],
            &["outside the allowed range 0 to"],
        ),
        (
            &["log", "1", "water", "2000000 L"],
            &["outside the allowed range 0 to"],
        ),
        (&["log", "1", "water", "1200 L"], &["0 to 1000 L"]),
    ] {
        let (lines, code) = desk.refused(typed);
        assert_eq!(code, 2, "{typed:?}");
        assert!(lines[0].chars().count() <= 300, "{lines:?}");
        for piece in wanted {
            assert!(lines[0].contains(piece), "{piece}: {lines:?}");
        }
        assert!(!lines[0].contains("product"), "{lines:?}");
    }
    assert!(desk.run(&["calibrate", "4=4.4", "7=6.9"]).status.success());
    assert!(desk.run(&["settings", "units", "us"]).status.success());
    let (lines, _) = desk.refused(&["settings", "room_celsius", "68"]);
    assert!(
        lines[0].contains("36 to 104 °F") && lines[0].contains("68 °F is 20.0 °C"),
        "{lines:?}"
    );
}
