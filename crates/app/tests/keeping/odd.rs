//! Reading makes no log; and a log that is no log is told of in one clear line.

use super::home::Home;
use std::fs;

#[test]
fn reading_makes_no_log_and_no_folder() {
    let home = Home::new();
    let log = "not/yet/log.db";
    for command in [
        &["bins"][..],
        &["bin", "1"],
        &["today"],
        &["now", "1"],
        &["ration", "1"],
        &["outlook", "1"],
        &["away", "1", "3..17"],
        &["weather", "1", "--day", "20 30"],
        &["plan", "1"],
        &["jar-test", "1"],
        &["shed"],
        &["settings"],
        &["judge", "20 L coir_pith"],
        &["materials"],
        &["material", "coir_pith"],
        &["check"],
        &["backup", "saved.db"],
        &["export", "saved.jsonl"],
        &["export", "-"],
    ] {
        for json in [false, true] {
            let mut command = command.to_vec();
            if json {
                command.push("--json");
            }
            let said = home.run_on(log, &command);
            assert!(
                said.code <= 2 && !said.err.contains("panicked"),
                "{}",
                said.err
            );
            assert_eq!(home.names(), Vec::<String>::new(), "{command:?}");
        }
    }
    assert!(home.run_on(log, &["bins"]).out.contains("no bin yet"));
    for command in [
        &["check"][..],
        &["backup", "saved.db"],
        &["export", "saved.jsonl"],
    ] {
        let told = home.run_on(log, command);
        assert!(told.refused().contains("not/yet/log.db"), "{}", told.err);
        assert_eq!(told.code, 2);
    }
    // Writing does make it.
    assert_eq!(home.run_on(log, &["settings", "units", "us"]).code, 0);
    assert!(home.path(log).exists());
}

#[test]
fn what_is_no_log_is_told_of_in_one_line_and_left_as_it_is() {
    let home = Home::new();
    fs::create_dir(home.path("folder")).unwrap();
    fs::write(
        home.path("text.db"),
        "Dear diary, the worms are well.\n".repeat(300),
    )
    .unwrap();
    home.hostile(
        "other.db",
        "CREATE TABLE recipe (name TEXT); INSERT INTO recipe VALUES ('soup');",
    );
    let mut odd = vec!["folder", "text.db", "other.db"];
    #[cfg(unix)]
    {
        std::os::unix::fs::symlink("nowhere", home.path("dangling")).unwrap();
        let made = std::process::Command::new("mkfifo")
            .arg(home.path("fifo"))
            .status();
        assert!(made.unwrap().success());
        odd.push("fifo");
    }
    let names = home.names();
    for log in odd {
        let before = fs::metadata(home.path(log))
            .unwrap()
            .is_file()
            .then(|| fs::read(home.path(log)).unwrap());
        for command in [
            &["bins"][..],
            &["log", "1", "note", "x"],
            &["check"],
            &["settings", "units", "us"],
            &["export", "-"],
            &["demo"],
        ] {
            let told = home.run_on(log, command);
            assert_eq!(
                told.refused().lines().count(),
                1,
                "{log} {command:?} {}",
                told.err
            );
            assert!(told.err.contains(log), "{log} {command:?} {}", told.err);
        }
        if let Some(before) = before {
            assert_eq!(fs::read(home.path(log)).unwrap(), before, "{log}");
        }
    }
    assert_eq!(home.names(), names);
}

/// A file without a byte may be a log cut off: it is told of, and not written
/// in as if it had always been empty.
#[test]
fn an_empty_file_is_told_of_and_left_as_it_is() {
    let home = Home::new();
    fs::write(home.path("log.db"), "").unwrap();
    for command in [
        &["bins"][..],
        &["settings", "units", "us"],
        &["demo"],
        &["serve"],
    ] {
        let told = home.run(command);
        assert!(told.refused().contains("empty file"), "{}", told.err);
        assert_eq!(fs::metadata(home.path("log.db")).unwrap().len(), 0);
    }
    fs::remove_file(home.path("log.db")).unwrap();
    assert_eq!(home.run(&["settings", "units", "us"]).code, 0);
    assert_eq!(home.entries("log.db").len(), 1);
}

#[cfg(unix)]
#[test]
fn a_link_to_the_log_is_the_log() {
    let home = Home::with_log();
    fs::create_dir(home.path("disk")).unwrap();
    fs::rename(home.path("log.db"), home.path("disk/log.db")).unwrap();
    std::os::unix::fs::symlink("disk/log.db", home.path("log.db")).unwrap();
    home.note("through the link");
    assert!(home.holds("disk/log.db", "through the link"));
    assert!(
        fs::symlink_metadata(home.path("log.db"))
            .unwrap()
            .is_symlink()
    );
}

#[test]
fn an_import_is_held_to_what_every_other_door_asks() {
    let home = Home::with_log();
    let line = |bin: &str, at: i64, zone: &str, body: &str| {
        format!(
            r#"{{"id":5,"bin":{bin},"at_unix_seconds":{at},"zone":"{zone}","written_unix_seconds":{at},"body":{body},"engine_version":"0.1.0"}}"#
        )
    };
    let then = 1_795_000_000;
    let set = |name: &str, value: &str| {
        let body = format!(r#"{{"kind":"setting","name":"{name}","value":"{value}"}}"#);
        line("null", then, "UTC", &body)
    };
    let note = r#"{"kind":"note","text":"seen"}"#;
    let feeding =
        r#"{"kind":"feeding","parts":[{"material":"limestone_calcitic","amount":"100 g"}]}"#;
    let worms = r#"{"kind":"worms_in","grams":100.0,"count":null,"species":"lumbricus"}"#;
    for (bad, named) in [
        (set("room_celsius", "9999"), "room_celsius"),
        (set("room_celsius", "NaN"), "room_celsius"),
        (set("units", "furlong"), "furlong"),
        (set("backups", "perhaps"), "perhaps"),
        (set("colour", "red"), "colour"),
        (set("demo", "perhaps"), "perhaps"),
        (line("1", then, "UTC", feeding), "limestone_calcitic"),
        (line("1", then, "Mars/Olympus", note), "Mars/Olympus"),
        (line("1", then, "UTC", worms), "lumbricus"),
        (line("1", 7_226_582_400, "UTC", note), "at_unix_seconds"),
    ] {
        fs::write(home.path("in.jsonl"), format!("\n{bad}\n")).unwrap();
        let told = home.run(&["import", "in.jsonl"]);
        let text = told.refused().to_owned();
        assert_eq!(told.code, 2, "{text}");
        assert!(text.contains(named) && text.contains("line 2"), "{text}");
        assert_eq!(home.entries("log.db").len(), 4, "{named}");
    }
    let sound = [
        set("units", "us"),
        set("backups", "off"),
        set("room_celsius", "21.5"),
        line("1", then, "Europe/Paris", note),
    ];
    for (n, good) in sound.iter().enumerate() {
        let log = format!("copy{n}.db");
        assert_eq!(home.run(&["backup", &log]).code, 0);
        fs::write(home.path("in.jsonl"), good).unwrap();
        let said = home.run_on(&log, &["import", "in.jsonl"]);
        assert_eq!(said.code, 0, "{}", said.err);
    }
}

#[test]
fn a_data_file_without_a_name_is_refused() {
    let home = Home::new();
    let told = home.run_on("", &["bins"]);
    assert!(told.refused().contains("--data"), "{}", told.err);
    assert_eq!(told.code, 2);
    assert_eq!(home.names(), Vec::<String>::new());
}

/// A pipe where SQLite would look for a journal is waited for without end.
#[cfg(unix)]
#[test]
fn a_pipe_beside_a_file_in_use_is_told_of_and_not_waited_for() {
    let home = Home::with_log();
    assert_eq!(home.run(&["backup", "saved.db"]).code, 0);
    let pipe = |name: &str| {
        let made = std::process::Command::new("mkfifo")
            .arg(home.path(name))
            .status();
        assert!(made.unwrap().success());
    };
    pipe("saved.db-journal");
    let told = home.run(&["backup", "saved.db", "--replace"]);
    assert!(told.refused().contains("is a pipe"), "{}", told.err);
    let server = home.serve();
    assert_eq!(server.note("before").status, 303);
    pipe("log.db-journal");
    let got = server.note("meanwhile");
    assert!(
        got.status != 303 && got.words().contains("is a pipe"),
        "{} {}",
        got.status,
        got.words()
    );
    let page = server.get("/bins/1");
    assert!(page.words().contains("is a pipe"), "{}", page.words());
    fs::remove_file(home.path("log.db-journal")).unwrap();
    assert_eq!(server.note("after").status, 303);
    assert!(!home.holds("log.db", "meanwhile"));
    assert!(home.holds("log.db", "after"));
}
