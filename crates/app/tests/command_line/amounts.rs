//! Amounts and times at every door: what cannot be used is refused in the
//! keeper's words, what is far from likely is asked about.

use super::desk::Desk;

/// Longest message [characters].
const LONGEST: usize = 300;

fn shelf() -> Desk {
    let desk = Desk::new();
    assert!(desk.run(&["demo"]).status.success());
    desk
}

fn entries(desk: &Desk) -> usize {
    let log = desk.run(&["export", "-"]);
    String::from_utf8(log.stdout).unwrap().lines().count()
}

/// One line of a refusal, in words; nothing is written.
fn refused(desk: &Desk, words: &[&str], wanted: &[&str]) {
    let before = entries(desk);
    let (lines, code) = desk.refused(words);
    assert_eq!(code, 2, "{words:?} {lines:?}");
    for line in &lines {
        assert!(line.chars().count() <= LONGEST, "{line}");
        assert!(!line.chars().any(char::is_control), "{line:?}");
    }
    for piece in wanted {
        assert!(
            lines.iter().any(|l| l.contains(piece)),
            "{piece}: {lines:?}"
        );
    }
    assert_eq!(entries(desk), before, "{words:?}");
}

#[test]
fn amounts_that_cannot_be_used_are_refused_by_command_and_correction() {
    let desk = shelf();
    let id = desk.json(&["log", "1", "water", "1 L", "--json"])["entry"].to_string();
    for (words, wanted) in [
        (&["water", "2 handfuls"][..], "not a measure for `water`"),
        (
            &["water", "900000 L"],
            "outside the allowed range 0 to 1000 L",
        ),
        (&["drain", "3 sheets"], "not a measure for `water`"),
        (&["harvest", "900000 L"], "outside the allowed range 0 to"),
        (&["harvest", "3 sheets"], "not a measure for `vermicompost`"),
        (
            &["dose", "3 sheets limestone_calcitic"],
            "not a measure for",
        ),
        (
            &["fed", "5000 lb apple"],
            "`5000 lb` is outside the allowed range 0 to 2200 lb",
        ),
    ] {
        let log: Vec<&str> = ["log", "1"].iter().chain(words).copied().collect();
        refused(&desk, &log, &[wanted]);
        let sure: Vec<&str> = log.iter().copied().chain(["--confirmed"]).collect();
        refused(&desk, &sure, &[wanted]);
        let correct: Vec<&str> = ["correct", "1", &id].iter().chain(words).copied().collect();
        refused(&desk, &correct, &[wanted]);
    }
    let bin = desk.json(&["bin", "1", "--json"]);
    assert!(bin["no_estimate_because"].is_null());
}

#[test]
fn far_more_than_the_bin_can_hold_is_asked_about_for_every_kind() {
    let desk = shelf();
    let anew = ["log", "2", "filled", "20 L coir_pith"];
    assert!(desk.run(&anew).status.success());
    for words in [
        &["drain", "100 L"][..],
        &["harvest", "100 L"],
        &["dose", "20 kg limestone_calcitic"],
        &["dose", "60 L vinegar"],
        &["water", "120 L"],
        &["bedding", "100 L coir_pith"],
        &["fed", "60 kg apple"],
        &["worms", "--grams", "40000"],
        &["worm-count", "400000"],
        &["worm-count", "5", "--litres", "100"],
        &["reading", "300", "--of", "bin-kg", "--instrument", "own"],
        &[
            "reading",
            "2",
            "--of",
            "moisture-percent",
            "--instrument",
            "own",
        ],
        &["reading", "55", "--of", "ec-ms-cm", "--instrument", "own"],
        &["filled", "20 L coir_pith"],
    ] {
        let log: Vec<&str> = ["log", "2"].iter().chain(words).copied().collect();
        let (lines, code) = desk.refused(&log);
        assert_eq!(code, 2, "{words:?}");
        assert!(
            lines[0].contains("give --confirmed"),
            "{words:?}: {lines:?}"
        );
    }
}

/// Even a keeper who is sure did not put it into a bin of 46 L.
#[test]
fn what_cannot_have_been_in_this_bin_is_refused_even_when_confirmed() {
    let desk = shelf();
    for words in [
        &["drain", "500 L"][..],
        &["harvest", "500 L"],
        &["dose", "300 L vinegar"],
        &["water", "500 L"],
        &["bedding", "900 L coir_pith"],
        &["fed", "300 kg apple"],
        &["worm-count", "5", "--litres", "900"],
        &["reading", "900", "--of", "bin-kg", "--instrument", "own"],
    ] {
        let log: Vec<&str> = ["log", "2"].iter().chain(words).copied().collect();
        refused(&desk, &log, &["allowed range", "this bin holds 46 L"]);
        let sure: Vec<&str> = log.iter().copied().chain(["--confirmed"]).collect();
        refused(&desk, &sure, &["allowed range"]);
    }
}

#[test]
fn questions_are_asked_in_the_keepers_units() {
    let desk = shelf();
    assert!(desk.run(&["settings", "units", "us"]).status.success());
    let (lines, _) = desk.refused(&["log", "2", "drain", "30 gallons"]);
    assert!(lines[0].contains("30 gallons of liquid"), "{lines:?}");
    assert!(!lines[0].contains(" L"), "{lines:?}");
}

#[test]
fn a_bin_of_odd_sizes_or_from_another_year_is_asked_about() {
    let desk = Desk::new();
    let add = |more: &[&str]| {
        let words: Vec<&str> = ["add-bin", "Box"].iter().chain(more).copied().collect();
        desk.refused(&words).0.join("\n")
    };
    let flat = add(&["--length", "900", "--width", "40", "--depth", "10"]);
    assert!(flat.contains("900 cm and another 10 cm"), "{flat}");
    let large = add(&["--length", "600", "--width", "400", "--depth", "300"]);
    assert!(
        large.contains("allowed range") || large.contains("holds"),
        "{large}"
    );
    let tote = ["--length", "60", "--width", "40", "--depth", "30"];
    let old = add(&[&tote[..], &["--when", "2006-11-20"]].concat());
    assert!(old.contains("2006-11-20"), "{old}");
    assert!(
        desk.run(&[&["add-bin", "Box"][..], &tote].concat())
            .status
            .success()
    );
}

#[test]
fn a_wrong_year_is_asked_about_with_the_date_as_understood() {
    let desk = shelf();
    let id = desk.json(&["log", "1", "water", "1 L", "--json"])["entry"].to_string();
    for words in [
        &["log", "1", "water", "1 L", "--when", "2006-11-20"][..],
        &["log", "1", "look", "smell-earthy", "--when", "2025-11-20"],
        &["correct", "1", &id, "water", "1 L", "--when", "2006-11-20"],
    ] {
        let (lines, code) = desk.refused(words);
        assert_eq!(code, 2, "{words:?}");
        assert!(
            lines[0].contains("2006-11-20") || lines[0].contains("2025-11-20"),
            "{lines:?}"
        );
        assert!(lines[0].contains("--confirmed"), "{lines:?}");
        let sure: Vec<&str> = words.iter().copied().chain(["--confirmed"]).collect();
        assert!(desk.run(&sure).status.success(), "{words:?}");
    }
}

#[test]
fn a_refusal_is_short_and_on_one_line_whatever_was_given() {
    let desk = shelf();
    let pieces = ["9", "x", "\u{1b}[2J", "\u{202e}", "\n", "`", "🪱"];
    for long in pieces.map(|p| p.repeat(20_000)) {
        let long = long.as_str();
        for words in [
            &["log", "1", "water", long][..],
            &["log", "1", "fed", long],
            &["log", "1", "look", long],
            &["log", "1", "reading", "7", "--instrument", long],
            &["log", "1", "water", "1 L", "--when", long],
            &["log", "1", "move", long],
            &[
                "add-bin", long, "--length", "60", "--width", "40", "--depth", "30",
            ],
            &["ration", "1", long],
            &["judge", long],
            &["material", long],
            &["shed", "add", long],
            &["shed", "add", "coir_pith", "--own", long],
            &["settings", long, "1"],
            &["settings", "room_celsius", long],
            &["away", "1", long],
            &["weather", "1", "--day", long],
            &["spots", long, "--instrument", "lab"],
            &["mix", long],
        ] {
            let output = desk.run(words);
            let told = String::from_utf8(output.stderr).unwrap();
            assert!(!output.status.success(), "{} {}", words[0], words.len());
            for line in told.lines() {
                assert!(line.chars().count() <= LONGEST, "{}: {line}", words[0]);
                assert!(!line.chars().any(char::is_control), "{line:?}");
            }
            assert!(told.lines().count() <= 30, "{}: {told}", words[0]);
        }
    }
}

#[test]
fn an_import_is_held_to_what_can_be_used() {
    let desk = shelf();
    let before = entries(&desk);
    let line = |body: &str| {
        format!(
            "{{\"id\":900000,\"bin\":1,\"at_unix_seconds\":1764000000,\"zone\":\"UTC\",\"written_unix_seconds\":1764000000,\"body\":{body}}}\n"
        )
    };
    for body in [
        r#"{"kind":"water","amount":"2 handfuls"}"#,
        r#"{"kind":"harvest","amount":"900000 L"}"#,
        r#"{"kind":"drain","amount":"3 sheets"}"#,
        r#"{"kind":"dose","material":"limestone_calcitic","amount":"3 sheets"}"#,
        r#"{"kind":"feeding","parts":[{"material":"no_such","amount":"1 L"}]}"#,
    ] {
        let file = desk.file("in.jsonl", &line(body));
        let (lines, code) = desk.refused(&["import", &file]);
        assert_eq!(code, 2, "{body}");
        assert!(
            lines[0].contains("line 1: entry cannot be used"),
            "{lines:?}"
        );
        assert!(lines[0].chars().count() <= LONGEST, "{lines:?}");
    }
    assert_eq!(entries(&desk), before);
    let file = desk.file("in.jsonl", &line(r#"{"kind":"water","amount":"2 cups"}"#));
    assert!(desk.run(&["import", &file]).status.success());
}

#[test]
fn a_scenario_and_a_file_are_bounded() {
    let desk = Desk::new();
    let head = "days = 730\n[[parts]]\nmaterial = \"coir_pith\"\namount = \"20 L\"\n";
    let feed = "[[actions]]\ndo = \"feed\"\nmaterial = \"apple\"\namount = \"2 g\"\nday = 0\nevery_days = 1\n";
    let file = desk.file("many.toml", &format!("{head}{}", feed.repeat(200)));
    let (lines, code) = desk.refused(&["simulate", &file]);
    assert_eq!(code, 2);
    assert!(
        lines[0].contains("146200 times in all; at most 20000"),
        "{lines:?}"
    );
    let large = desk.file("large.toml", &format!("{head}# {}", "x".repeat(1_000_000)));
    for command in ["simulate", "mix", "dose", "chemistry"] {
        let (lines, code) = desk.refused(&[command, &large]);
        assert_eq!(code, 2, "{command}");
        assert!(lines[0].contains("at most 1000000 bytes"), "{lines:?}");
    }
    let (lines, _) = desk.refused(&["mix", "/dev/zero"]);
    assert!(lines[0].contains("does not end within"), "{lines:?}");
    let wrong: String = (0..50_000).map(|n| format!("k{n} = 1\n")).collect();
    let wrong = desk.file("wrong.toml", &format!("days = 3\n{wrong}"));
    let (lines, _) = desk.refused(&["simulate", &wrong]);
    assert_eq!(lines.len(), 21, "{lines:?}");
    assert_eq!(lines[20], "and 49981 more faults");
}

/// An import saw one line at a time: own values and sizes that undid an entry
/// before them came in by it.
#[test]
fn an_import_that_would_undo_an_entry_is_refused_whole() {
    let desk = Desk::new();
    let line = |id: u32, bin: &str, body: &str| {
        format!(
            "{{\"id\":{id},\"bin\":{bin},\"at_unix_seconds\":1788264000,\"zone\":\"UTC\",\"written_unix_seconds\":1788264000,\"body\":{body}}}\n"
        )
    };
    let sizes = |length: u32, width: u32, depth: u32| {
        format!(
            r#"{{"kind":"bin","name":"Porch","length_cm":{length},"width_cm":{width},"depth_cm":{depth},"walls":"plastic","lid":"vented","drains":true}}"#
        )
    };
    let own = |grams: u32| {
        let own = format!(r#"{{"grams_per_cup":{grams}}}"#);
        format!(r#"{{"kind":"shed","material":"coir_pith","have":true,"own":{own}}}"#)
    };
    let correction = |body: &str| {
        format!(r#"{{"kind":"correction","corrects":1,"replacement":{body},"reason":"measured"}}"#)
    };
    let begun = line(1, "1", &sizes(60, 40, 30))
        + &line(
            2,
            "1",
            r#"{"kind":"filled","parts":[{"material":"coir_pith","amount":"15 kg"}]}"#,
        );
    let odd = [
        (line(3, "null", &own(5)), "4.5 kg"),
        (line(3, "1", &correction(&sizes(20, 20, 10))), "kg"),
    ];
    let refused = |file: &str, words: &[&str]| {
        let (lines, code) = desk.refused(&["import", file]);
        assert_eq!(code, 2, "{lines:?}");
        for word in words {
            assert!(lines[0].contains(word), "{word}: {lines:?}");
        }
        assert!(lines[0].chars().count() <= LONGEST, "{lines:?}");
    };
    // In one file: the entry itself is named.
    for (line, high) in &odd {
        let file = desk.file("in.jsonl", &format!("{begun}{line}"));
        let own_line = "line 2: entry cannot be used with what the file says later:";
        let value = [
            "coir_pith",
            "`15 kg` is outside the allowed range 0 to ",
            high,
        ];
        refused(&file, &[&[own_line][..], &value].concat());
    }
    // What is put right by the end of the file is of use.
    let right = line(4, "null", &own(90));
    let file = desk.file("in.jsonl", &format!("{begun}{}{right}", odd[0].0));
    assert!(desk.run(&["import", &file]).status.success());
    // To what is there already: the line that undoes it.
    for (line, high) in &odd {
        let line = line.replace("\"id\":3", "\"id\":5");
        let file = desk.file("in.jsonl", &line);
        let undone = "line 1: entry 2 of the log could no longer be used with this:";
        refused(
            &file,
            &[undone, "`15 kg` is outside the allowed range 0 to ", high],
        );
    }
    assert_eq!(entries(&desk), 4);
}

/// An own value is read by every entry of the material, those of the past too.
#[test]
fn an_own_value_that_would_undo_an_entry_is_refused() {
    let desk = Desk::new();
    let bin = "add-bin Porch --length 60 --width 40 --depth 30 --when 2026-09-01 --filled";
    let mut bin: Vec<&str> = bin.split(' ').collect();
    bin.push("15 kg coir_pith");
    assert!(desk.run(&bin).status.success());
    refused(
        &desk,
        &["shed", "add", "coir_pith", "--own", "grams_per_cup=5"],
        &[
            "entry 2 of bin 1 could no longer be used with this",
            "`15 kg` is outside the allowed range 0 to 4.5 kg",
            "correct that entry first",
        ],
    );
    let said = desk.json(&["bin", "1", "--json"]);
    assert!(
        !said["ph"].is_null() || !said["estimate"].is_null(),
        "{said}"
    );
    // What changes nothing of the kind is taken as ever.
    let own = &["shed", "add", "coir_pith", "--own", "grams_per_cup=90"];
    assert!(desk.run(own).status.success());
}

/// A plan then said "0 g (0 to 140000) (none)".
#[test]
fn an_own_value_far_from_the_material_is_asked_about_and_no_lime_refused() {
    let desk = Desk::new();
    let own = |key, value| ["shed", "add", key, "--own", value];
    let lime = own("limestone_calcitic", "neutralising_percent=0");
    for words in [&lime[..], &[&lime[..], &["--confirmed"]].concat()] {
        refused(
            &desk,
            words,
            &[
                "`neutralising_percent` of `limestone_calcitic`",
                "`0` %",
                "85 to 100 %",
            ],
        );
    }
    for (key, value, range) in [
        (
            "limestone_calcitic",
            "neutralising_percent=9.5",
            "between 78 % and 108 %",
        ),
        ("coir_pith", "moisture_percent=0", "between 56 % and 97 %"),
        (
            "coir_pith",
            "ph=12",
            "your own pH of it 12; usual is between 4.9 and 7.6. Is",
        ),
        (
            "coir_pith",
            "grams_per_cup=600",
            "a cup of it 600 g; usual is between 27 g and 136 g",
        ),
        ("apple", "grams_per_cup=600", "between 87 g and 163 g"),
        ("apple", "grams_per_cup=1", "between 87 g and 163 g"),
        (
            "coir_pith",
            "ash_percent=99",
            "between 1 % of dry mass and 9 % of dry mass",
        ),
    ] {
        refused(&desk, &own(key, value), &["your own", range]);
        let sure = [&own(key, value)[..], &["--confirmed"]].concat();
        assert!(desk.run(&sure).status.success(), "{key}");
    }
    // What a label or a scale says is taken unasked.
    let desk = Desk::new();
    for (key, value) in [
        ("limestone_calcitic", "neutralising_percent=80"),
        ("cardboard_corrugated", "neutralising_percent=0"),
        ("coir_pith", "moisture_percent=65"),
        ("coir_pith", "ph=5.4"),
        ("coir_pith", "grams_per_cup=110"),
    ] {
        assert!(desk.run(&own(key, value)).status.success(), "{key} {value}");
    }
}

/// Five kilograms of caustic lime went in unasked as bedding.
#[test]
fn lime_among_bedding_is_asked_about_as_a_dose_is() {
    let desk = shelf();
    for lime in [
        "5 kg hydrated_lime",
        "5 kg limestone_calcitic",
        "20 L vinegar",
    ] {
        for words in [
            &["log", "1", "dose", lime][..],
            &["log", "1", "bedding", lime],
            &["log", "1", "filled", "20 L coir_pith", lime],
        ] {
            refused(&desk, words, &["is hardly ever given more than"]);
        }
    }
    let mixed = &[
        "log",
        "1",
        "bedding",
        "10 L coir_pith",
        "50 g limestone_calcitic",
    ];
    let taken = desk.run(mixed);
    assert!(
        taken.status.success(),
        "{}",
        String::from_utf8_lossy(&taken.stderr)
    );
}

#[test]
fn a_name_that_nobody_can_see_is_refused() {
    let desk = Desk::new();
    let sizes = ["--length", "60", "--width", "40", "--depth", "30"];
    for name in ["\u{200b}", "\u{2060} \u{feff}"] {
        let mut words = vec!["add-bin", name];
        words.extend(sizes);
        refused(
            &desk,
            &words,
            &["bin name has no character that can be seen"],
        );
    }
}

#[test]
fn worms_beyond_number_and_one_buffer_twice_are_named() {
    let desk = Desk::new();
    let many = ["tray-test", "--suspect", "4294967295", "--trusted", "1"];
    refused(&desk, &many, &["`4294967295` worms", "0 to 500000 worms"]);
    let one = ["calibrate", "4=4", "4=4.1"];
    refused(&desk, &one, &["`4=4` and `4=4.1` are of one buffer"]);
}
