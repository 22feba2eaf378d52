//! A log beside others, and the same asked for at the same moment: a second
//! name, another log in the way or in the place, two demos, a file sent twice.

use super::home::{Home, program};
use std::fs;
use std::os::unix::ffi::OsStrExt;
use std::process::{Command, Stdio};

#[test]
fn a_log_with_two_names_loses_nothing_by_either() {
    let home = Home::with_log();
    let server = home.serve();
    assert_eq!(server.note("before").status, 303);
    fs::hard_link(home.path("log.db"), home.path("hard.db")).unwrap();
    let got = server.note("by the page");
    assert_ne!(got.status, 303);
    assert!(got.words().contains("has a second name"), "{}", got.words());
    for log in ["hard.db", "log.db"] {
        let said = home.run_on(log, &["log", "1", "note", "by a command"]);
        let told = said.refused();
        assert!(
            told.contains("hard.db") && told.contains("log.db"),
            "{told}"
        );
        // To read it is safe, and leaves nothing beside it.
        assert_eq!(home.entries(log).len(), 5);
    }
    assert!(!home.path("hard.db-wal").exists() && !home.path("hard.db-shm").exists());
    drop(server);
    // The ways out that are named.
    fs::copy(home.path("hard.db"), home.path("new.db")).unwrap();
    let said = home.run_on("new.db", &["log", "1", "note", "by a command"]);
    assert_eq!(said.code, 0, "{}", said.err);
    fs::remove_file(home.path("hard.db")).unwrap();
    home.note("again");
}

#[test]
fn another_log_is_not_written_over_by_a_backup_or_export() {
    let home = Home::with_log();
    let other = home.run_on("other.db", &["demo"]);
    assert_eq!(other.code, 0, "{}", other.err);
    let before = home.entries("other.db").len();
    for verb in ["backup", "export"] {
        let said = home.run(&[verb, "other.db", "--replace"]);
        assert!(said.refused().contains("is another log"), "{}", said.err);
    }
    assert_eq!(home.entries("other.db").len(), before);
    // Its own earlier backup is what this is for.
    assert_eq!(home.run(&["backup", "own.db"]).code, 0);
    home.note("since");
    assert_eq!(home.run(&["backup", "own.db", "--replace"]).code, 0);
    assert!(home.holds("own.db", "since"));
    for name in ["x.db-wal", "x.db-shm", "x.db-journal"] {
        let said = home.run_on(name, &["demo"]);
        assert!(said.refused().contains("give another name"), "{}", said.err);
        assert!(!home.path(name).exists());
    }
}

#[test]
fn a_log_begun_where_another_stood_says_so_once() {
    let home = Home::with_log();
    let backups = || {
        let list = fs::read_dir(home.path("log.db.backups")).unwrap();
        list.filter(|f| {
            let name = f.as_ref().unwrap().file_name();
            name.to_str().unwrap().starts_with("automatic-")
        })
        .count()
    };
    assert_eq!(backups(), 1);
    fs::remove_file(home.path("log.db")).unwrap();
    let made = home.run_at(
        "log.db",
        "2026-11-24T20:00",
        &[
            "add-bin", "New", "--length", "40", "--width", "30", "--depth", "25",
        ],
    );
    assert_eq!(made.code, 0, "{}", made.err);
    assert!(
        made.err.contains("another stood at its place before")
            && made.err.contains("log.db.backups/automatic-2026-11-24")
            && made.err.contains("bedwright restore"),
        "{}",
        made.err
    );
    // The first backup of the new one, on the day of the other's last.
    assert_eq!(backups(), 2);
    let json = home.run(&["check", "--json"]).json();
    let newest = json["newest_backup"].as_str().unwrap();
    assert_eq!(home.entries(newest).len(), 1);
    let said = home.run(&["bins"]);
    assert!(!said.err.contains("stood"), "{}", said.err);
}

#[test]
fn of_demos_asked_for_at_once_one_is_opened() {
    let home = Home::new();
    let run = || {
        let mut command = Command::new(program());
        command
            .current_dir(home.folder.path())
            .args(["--data", "log.db", "--now", "2026-11-24T18:05", "demo"])
            .stdout(Stdio::null())
            .stderr(Stdio::null());
        command.spawn().unwrap()
    };
    let all: Vec<_> = (0..4).map(|_| run()).collect();
    let codes: Vec<i32> = all
        .into_iter()
        .map(|mut one| one.wait().unwrap().code().unwrap())
        .collect();
    assert_eq!(codes.iter().filter(|c| **c == 0).count(), 1, "{codes:?}");
    let once = home.entries("log.db").len();
    let alone = Home::new();
    assert_eq!(alone.run(&["demo"]).code, 0);
    assert_eq!(once, alone.entries("log.db").len());

    let home = Home::new();
    let server = home.serve();
    let page = server.get("/");
    assert!(String::from_utf8_lossy(&page.body).contains("name=\"once\""));
    std::thread::scope(|scope| {
        let posts: Vec<_> = (0..3)
            .map(|_| scope.spawn(|| server.post("/demo", "once=the+same").status))
            .collect();
        for post in posts {
            assert_eq!(post.join().unwrap(), 303);
        }
    });
    assert_eq!(server.post("/demo", "once=another").status, 409);
    assert_eq!(server.post("/demo/away", "once=away").status, 303);
    assert_eq!(server.post("/demo/away", "once=away").status, 303);
    assert_eq!(server.post("/demo/away", "once=away+too").status, 409);
    drop(server);
    assert!(home.entries("log.db").len() < 2 * once);
}

#[test]
fn a_backup_sent_twice_is_put_in_place_once() {
    let home = Home::with_log();
    assert_eq!(home.run(&["backup", "saved.db"]).code, 0);
    let saved = fs::read(home.path("saved.db")).unwrap();
    let server = home.serve();
    for said in ["restored", "file-before"] {
        let got = server.upload_as("/settings/restore", "saved.db", "a key", &saved);
        assert_eq!(got.status, 303, "{}", got.words());
        assert_eq!(got.to, format!("/settings?said={said}"));
        let note = format!("written since it was {said}");
        assert_eq!(server.note(&note).status, 303);
    }
    assert!(home.holds("log.db", "written since it was restored"));
    assert!(!home.path("log.db.replaced-2").exists());
    // What is wrong with a file is told by the name it was chosen by.
    let mut torn = saved;
    torn.truncate(torn.len() - 5000);
    let got = server.upload_as("/settings/restore", "my torn.db", "", &torn);
    let words = got.words();
    assert!(words.contains("“my torn.db”"), "{words}");
    assert!(!words.contains(".bedwright-restore"), "{words}");
}

#[test]
fn a_copy_left_by_a_server_that_was_killed_goes_at_the_next_start() {
    let home = Home::with_log();
    // No program has so large a number.
    let left = home.path(".bedwright-restore-4194999999-0");
    let others = home.path(".bedwright-restore-mine");
    fs::write(&left, "half a file").unwrap();
    fs::write(&others, "of somebody else").unwrap();
    drop(home.serve());
    assert!(!left.exists() || !cfg!(target_os = "linux"));
    assert!(others.exists());
}

#[test]
fn a_file_in_the_place_of_the_backups_is_named_by_check_and_at_the_next_entry() {
    let home = Home::with_log();
    let said = home.run(&["backup", "x.db.backups"]);
    assert!(said.refused().contains("give another name"), "{}", said.err);
    fs::remove_dir_all(home.path("log.db.backups")).unwrap();
    fs::write(home.path("log.db.backups"), "in the way").unwrap();
    for asked in [&["check"][..], &["log", "1", "note", "all the same"]] {
        let said = home.run(asked);
        assert_eq!(said.code, 0, "{}", said.err);
        assert!(
            said.err.contains("no automatic backup can")
                || said.err.contains("no automatic backup could"),
            "{}",
            said.err
        );
        assert!(
            said.err
                .contains("`log.db.backups` is a file, not a folder"),
            "{}",
            said.err
        );
    }
}

#[test]
fn an_argument_that_is_no_text_is_named() {
    let home = Home::with_log();
    let output = Command::new(program())
        .current_dir(home.folder.path())
        .args(["--data", "log.db", "log", "1", "note"])
        .arg(std::ffi::OsStr::from_bytes(b"caf\xe9"))
        .output()
        .unwrap();
    let told = String::from_utf8(output.stderr).unwrap();
    assert_eq!(output.status.code(), Some(2), "{told}");
    assert!(told.contains("argument 6, `caf\u{fffd}`"), "{told}");
}

#[test]
fn an_empty_log_goes_out_and_comes_in_as_a_table_and_as_lines() {
    let home = Home::new();
    fs::write(
        home.path("header.csv"),
        "id,bin,at_unix_seconds,zone,written_unix_seconds,kind,body",
    )
    .unwrap();
    assert_eq!(home.run(&["import", "header.csv"]).code, 0);
    for out in [
        &["export", "out.csv", "--csv"][..],
        &["export", "out.jsonl"],
    ] {
        assert_eq!(home.run(out).code, 0);
        let said = home.run_on("again.db", &["import", out[1]]);
        assert_eq!(said.code, 0, "{}", said.err);
    }
    assert_eq!(home.entries("again.db").len(), 0);
}
