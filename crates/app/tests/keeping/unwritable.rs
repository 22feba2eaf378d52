//! A log that cannot be written to is read, by commands and pages, and takes
//! nothing.

use super::home::{Home, Said, program};
use std::fs;
use std::os::unix::fs::PermissionsExt;
use std::os::unix::process::CommandExt;
use std::path::Path;
use std::process::{Command, Stdio};

/// The program in a folder that it may read and not write to: where this test
/// may write everywhere, as another user.
fn unable(home: &Home) -> Command {
    unable_on(home, "log.db")
}

fn unable_on(home: &Home, log: &str) -> Command {
    let folder = home.folder.path();
    let mode = |path: &Path, mode| {
        fs::set_permissions(path, fs::Permissions::from_mode(mode)).unwrap();
    };
    let copied = home.path("bedwright");
    if !copied.exists() {
        fs::copy(program(), &copied).unwrap();
    }
    mode(&copied, 0o755);
    mode(&home.path(log), 0o444);
    if home.path("log.db.backups").exists() {
        mode(&home.path("log.db.backups"), 0o555);
    }
    mode(folder, 0o555);
    let mut command = Command::new(&copied);
    if fs::write(home.path("try"), "").is_ok() {
        fs::remove_file(home.path("try")).unwrap();
        command.uid(65_534).gid(65_534);
    }
    command
        .current_dir(folder)
        .env("TZ", "Europe/Paris")
        .args(["--data", log, "--now", "2026-11-24T18:05"])
        .stdin(Stdio::null());
    command
}

/// It may be written to again by this test.
fn able(home: &Home) {
    let mode = fs::Permissions::from_mode(0o755);
    fs::set_permissions(home.folder.path(), mode).unwrap();
}

fn run_unable(home: &Home, arguments: &[&str]) -> Said {
    let output = unable(home).args(arguments).output().unwrap();
    able(home);
    Said {
        out: String::from_utf8(output.stdout).unwrap(),
        err: String::from_utf8(output.stderr).unwrap(),
        code: output.status.code().unwrap(),
    }
}

#[test]
fn a_log_that_cannot_be_written_to_is_read_and_takes_nothing() {
    let home = Home::with_log();
    let before = home.entries("log.db");
    let names = |home: &Home| {
        let all = home.names().into_iter();
        all.filter(|n| n != "bedwright").collect::<Vec<_>>()
    };
    let there = names(&home);
    for reading in [
        &["bins"][..],
        &["bin", "1"],
        &["now", "1"],
        &["outlook", "1"],
        &["shed"],
        &["check"],
    ] {
        let said = run_unable(&home, reading);
        assert_eq!(said.code, 0, "{reading:?}: {}", said.err);
    }
    let exported = run_unable(&home, &["export", "-"]);
    assert_eq!(
        exported.out.lines().count(),
        before.len(),
        "{}",
        exported.err
    );
    let elsewhere = tempfile::tempdir().unwrap();
    fs::set_permissions(elsewhere.path(), fs::Permissions::from_mode(0o777)).unwrap();
    let to = elsewhere.path().join("saved.db");
    let kept = run_unable(&home, &["backup", to.to_str().unwrap()]);
    assert_eq!(kept.code, 0, "{}", kept.err);
    for writing in [
        &["log", "1", "note", "lost"][..],
        &["settings", "units", "us"],
        &["export", "here.jsonl"],
        &["restore", to.to_str().unwrap()],
    ] {
        let said = run_unable(&home, writing);
        let told = said.refused();
        assert!(
            told.contains("may not be written to"),
            "{writing:?}: {told}"
        );
        assert!(!told.contains(".part"), "{told}");
    }
    let said = run_unable(&home, &["log", "1", "note", "lost"]);
    assert!(said.refused().contains("`log.db`"), "{}", said.err);
    assert_eq!(names(&home), there);
    assert_eq!(home.entries("log.db"), before);
    assert_eq!(home.entries(to.to_str().unwrap()).len(), before.len());
}

/// The server did not start: pages of it can be read.
#[test]
fn a_log_that_cannot_be_written_to_is_served_and_says_so() {
    let home = Home::with_log();
    let before = home.entries("log.db");
    for linked in [false, true] {
        let server = match linked {
            false => home.serve_by(unable(&home)),
            true => {
                fs::set_permissions(home.path("log.db"), fs::Permissions::from_mode(0o600))
                    .unwrap();
                fs::hard_link(home.path("log.db"), home.path("second.db")).unwrap();
                home.serve()
            }
        };
        for page in ["/", "/bins/1", "/settings"] {
            let got = server.get(page);
            assert_eq!(got.status, 200, "{page}");
            let words = got.words();
            assert!(
                words.contains("Nothing can be written down, and what is shown"),
                "{words}"
            );
        }
        assert!(server.get("/bins/1").words().contains("the first note"));
        let got = server.note("lost");
        assert!([422, 503].contains(&got.status), "{}", got.status);
        able(&home);
        assert_eq!(home.entries("log.db"), before);
    }
}

/// A copy of it can still be saved, and what stands in the way of another in
/// its place is the log and not the file that was chosen.
#[test]
fn a_log_that_is_only_served_is_saved_by_the_page() {
    let home = Home::with_log();
    assert_eq!(home.run(&["backup", "good.db"]).code, 0);
    let good = fs::read(home.path("good.db")).unwrap();
    let before = home.entries("log.db");
    let server = home.serve_by(unable(&home));
    for saving in ["/settings/backup", "/settings/rescued"] {
        let got = server.get(saving);
        assert_eq!(got.status, 200, "{saving}: {}", got.words());
        assert!(got.body.starts_with(b"SQLite format 3\0"), "{saving}");
        let elsewhere = Home::new();
        fs::write(elsewhere.path("log.db"), got.body).unwrap();
        assert!(elsewhere.holds("log.db", "the second note"));
    }
    let got = server.upload_as("/settings/restore", "good.db", "", &good);
    let words = got.words();
    assert!([422, 503].contains(&got.status), "{} {words}", got.status);
    assert!(words.contains("log.db” or its folder may not"), "{words}");
    assert!(!words.contains("good.db”"), "{words}");
    drop(server);
    able(&home);
    assert_eq!(home.entries("log.db"), before);
}

/// What may not be looked at is not said to be gone.
#[test]
fn a_log_that_may_not_be_read_is_not_said_to_be_missing() {
    let home = Home::with_log();
    let mode = |name: &str, mode| {
        fs::set_permissions(home.path(name), fs::Permissions::from_mode(mode)).unwrap();
    };
    let told = |log: &str, closed: &str, command: &[&str]| {
        let mut program = unable_on(&home, log);
        mode(closed, 0);
        let output = program.args(command).output().unwrap();
        able(&home);
        mode(closed, 0o755);
        assert_eq!(output.status.code(), Some(1), "{command:?}");
        assert_eq!(String::from_utf8(output.stdout).unwrap(), "");
        String::from_utf8(output.stderr).unwrap()
    };
    let commands = [&["bins"][..], &["check"], &["log", "1", "note", "lost"]];
    for command in commands {
        let said = told("log.db", "log.db", command);
        assert!(
            said.contains("log.db` may not be read by this user"),
            "{said}"
        );
    }
    fs::create_dir(home.path("closed")).unwrap();
    fs::rename(home.path("log.db"), home.path("closed/log.db")).unwrap();
    std::os::unix::fs::symlink("closed/log.db", home.path("link.db")).unwrap();
    for log in ["closed/log.db", "link.db"] {
        for command in commands {
            let said = told(log, "closed", command);
            assert!(said.contains("may not be entered by this user"), "{said}");
        }
    }
}
