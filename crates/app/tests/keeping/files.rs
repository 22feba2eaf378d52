//! Export and backup: nothing good is overwritten by something bad, and the log
//! is never written over.

use super::home::Home;
use std::fs;

#[cfg(unix)]
use std::os::unix::fs::{PermissionsExt, symlink};

#[test]
fn the_log_cannot_be_exported_over_itself() {
    let home = Home::with_log();
    fs::hard_link(home.path("log.db"), home.path("hard.jsonl")).unwrap();
    let mut targets = vec!["log.db", "./log.db", "hard.jsonl"];
    #[cfg(unix)]
    {
        symlink("log.db", home.path("soft.jsonl")).unwrap();
        targets.push("soft.jsonl");
    }
    for target in targets {
        for form in [
            &["export", target, "--replace"][..],
            &["export", target, "--csv", "--replace"],
        ] {
            let told = home.run(form);
            assert!(told.refused().contains("the log itself"), "{}", told.err);
            assert_eq!(home.entries("log.db").len(), 4, "{target}");
        }
        let told = home.run(&["backup", target, "--replace"]);
        assert!(told.refused().contains("the log itself"), "{}", told.err);
        assert_eq!(home.entries("log.db").len(), 4, "{target}");
    }
}

#[test]
fn the_journal_of_an_open_log_is_not_written_over() {
    let home = Home::with_log();
    let server = home.serve();
    assert_eq!(server.note("kept in the journal").status, 303);
    for journal in ["log.db-wal", "log.db-shm"] {
        if home.path(journal).exists() {
            home.run(&["export", journal, "--replace"]).refused();
            home.run(&["backup", journal, "--replace"]).refused();
        }
    }
    assert_eq!(server.note("and after").status, 303);
    drop(server);
    assert!(home.holds("log.db", "kept in the journal") && home.holds("log.db", "and after"));
}

#[test]
fn a_damaged_log_takes_the_place_of_no_good_export_or_backup() {
    let home = Home::with_long_log();
    for good in [
        &["export", "good.jsonl"][..],
        &["export", "good.csv", "--csv"],
        &["backup", "good.db"],
    ] {
        assert_eq!(home.run(good).code, 0);
    }
    let read = |name: &str| fs::read(home.path(name)).unwrap();
    let before = ["good.jsonl", "good.csv", "good.db"].map(read);
    home.tear("log.db");
    let names = home.names();
    for bad in [
        &["export", "good.jsonl", "--replace"][..],
        &["export", "good.csv", "--csv", "--replace"],
        &["backup", "good.db", "--replace"],
        &["backup", "new.db"],
    ] {
        let told = home.run(bad);
        assert!(told.refused().contains("bedwright rescue"), "{}", told.err);
    }
    assert_eq!(["good.jsonl", "good.csv", "good.db"].map(read), before);
    assert_eq!(home.names(), names, "no litter");
}

#[test]
fn an_entry_that_does_not_agree_with_its_checksum_stops_a_backup() {
    let home = Home::with_log();
    assert_eq!(home.run(&["backup", "good.db"]).code, 0);
    let before = fs::read(home.path("good.db")).unwrap();
    home.flip("log.db", "the second note", "the Second note");
    let told = home.run(&["backup", "good.db", "--replace"]);
    assert!(told.refused().contains("entry 4"), "{}", told.err);
    assert!(told.err.contains("bedwright rescue"), "{}", told.err);
    assert_eq!(fs::read(home.path("good.db")).unwrap(), before);
}

#[cfg(unix)]
#[test]
fn only_a_regular_file_is_written() {
    let home = Home::with_log();
    fs::create_dir(home.path("folder")).unwrap();
    symlink("folder", home.path("to-folder")).unwrap();
    symlink("fifo", home.path("to-fifo")).unwrap();
    symlink("nothing", home.path("dangling")).unwrap();
    let fifo = std::process::Command::new("mkfifo")
        .arg(home.path("fifo"))
        .status();
    assert!(fifo.unwrap().success());
    // A pipe stands for every device: a test must not put the machine's own at
    // risk.
    for target in ["folder", "to-folder", "fifo", "to-fifo", "dangling"] {
        for verb in ["export", "backup"] {
            let told = home.run(&[verb, target, "--replace"]);
            assert!(told.refused().contains(target), "{}", told.err);
        }
    }
    assert!(home.path("folder").is_dir());
    assert_eq!(home.entries("log.db").len(), 4);
}

#[test]
fn a_backup_and_an_export_are_whole_and_say_so() {
    let home = Home::with_log();
    let saved = home.run(&["backup", "saved.db", "--json"]).json();
    assert_eq!(saved["schema"], "bedwright-backup-1");
    assert_eq!(saved["entries"], 4);
    let out = home.run(&["export", "saved.jsonl", "--json"]).json();
    assert_eq!(out["entries"], 4);
    // Each line says where it was first written, and carries its checksum.
    let line = &home.entries("log.db")[3];
    assert_eq!((&line["id"], &line["sequence"]), (&4.into(), &4.into()));
    assert!(
        line["device"].is_string() && line["checksum"].is_number(),
        "{line}"
    );
    let moved = home.run_on("other.db", &["import", "saved.jsonl"]);
    assert_eq!(moved.code, 0, "{}", moved.err);
    assert_eq!(home.entries("other.db"), home.entries("log.db"));
    assert_eq!(home.entries("saved.db"), home.entries("log.db"));
    let told = home.run(&["backup", "saved.db"]);
    assert!(told.refused().contains("--replace"), "{}", told.err);
}

#[cfg(unix)]
#[test]
fn what_is_written_is_for_the_keeper_alone() {
    let home = Home::with_log();
    for write in [&["backup", "saved.db"][..], &["export", "saved.jsonl"]] {
        assert_eq!(home.run(write).code, 0);
    }
    for name in ["log.db", "saved.db", "saved.jsonl"] {
        let mode = fs::metadata(home.path(name)).unwrap().permissions().mode();
        assert_eq!(mode & 0o777, 0o600, "{name}");
    }
}

/// SQLite takes a name that begins `file:` for an address, and would write
/// another file than the one named.
#[cfg(unix)]
#[test]
fn a_name_is_a_name_whatever_it_looks_like() {
    let home = Home::with_log();
    assert_eq!(home.run(&["backup", "saved.db"]).code, 0);
    fs::write(home.path("vic.db"), "somebody's own").unwrap();
    for (n, odd) in [
        "file:vic.db?x=",
        "file:vic.db?mode=memory",
        ":memory:",
        "file:vic.db",
    ]
    .into_iter()
    .enumerate()
    {
        let out = |what: &str| format!("{odd}{what}");
        let (backup, export, rescued) = (out("b"), out("e"), out("r"));
        for command in [
            &["backup", &backup][..],
            &["export", &export],
            &["rescue", "saved.db", &rescued],
        ] {
            let said = home.run(command);
            assert_eq!(said.code, 0, "{command:?}: {}", said.err);
            assert!(
                home.path(command[command.len() - 1]).is_file(),
                "{command:?}"
            );
        }
        assert_eq!(home.entries(&backup), home.entries("log.db"));
        for made in [
            home.run_on(odd, &["restore", &backup]),
            home.run_on(odd, &["restore", &rescued]),
            home.run_on(&format!("new{n}-{odd}"), &["settings", "units", "us"]),
            home.run_on(&out("new"), &["settings", "units", "us"]),
        ] {
            assert_eq!(made.code, 0, "{odd}: {}", made.err);
        }
        assert!(home.path(odd).is_file() && home.path(&out("new")).is_file());
        assert_eq!(fs::read(home.path("vic.db")).unwrap(), b"somebody's own");
    }
}

/// A filling that an import moves past what was done since is told of, by
/// command and page: entries between count for nothing then.
#[test]
fn an_import_that_moves_a_filling_past_other_entries_says_so() {
    let home = Home::with_log();
    let watered = ["log", "1", "water", "1 L", "--when", "2026-11-10T10:00"];
    assert_eq!(home.run(&watered).code, 0);
    let before = fs::read(home.path("log.db")).unwrap();
    let corrected = ["correct", "1", "2", "filled", "20 L coir_pith"];
    let to = |when| [&corrected[..], &["--when", when]].concat();
    assert_eq!(home.run(&to("2026-11-02T10:00")).code, 0);
    assert_eq!(home.run(&["export", "near.jsonl"]).code, 0);
    let far = [&to("2026-11-20T10:00")[..], &["--confirmed"]].concat();
    assert_eq!(home.run(&far).code, 0);
    assert_eq!(home.run(&["export", "far.jsonl"]).code, 0);
    let said = "entry 7 moves the filling of bin 1 to 2026-11-20 10:00, after entry 5 (2026-11-10 10:00), which would then stand before";
    fs::write(home.path("one.db"), &before).unwrap();
    let near = home.run_on("one.db", &["import", "near.jsonl"]);
    assert_eq!((near.code, &*near.err), (0, ""), "{}", near.err);
    let told = home.run_on("one.db", &["import", "far.jsonl"]);
    assert_eq!(told.code, 0, "{}", told.err);
    assert!(told.err.contains(said), "{}", told.err);
    fs::write(home.path("two.db"), &before).unwrap();
    let server = home.serve_on("two.db");
    for (file, is_told) in [("near.jsonl", false), ("far.jsonl", true)] {
        let got = server.upload("/settings/import", &fs::read(home.path(file)).unwrap());
        assert_eq!(got.status, 303, "{}", got.words());
        let words = server.get(&got.to.replace("&amp;", "&")).words();
        assert!(words.contains("The log was taken in."), "{words}");
        assert_eq!(words.contains(&said[1..]), is_told, "{words}");
    }
}
