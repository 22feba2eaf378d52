//! Restoring through a page: the server goes on with a log on disk, whatever
//! came of it.

use super::home::Home;
use std::fs;

#[test]
fn a_restore_that_fails_leaves_no_log_in_memory() {
    let home = Home::with_log();
    let server = home.serve();
    let backup = server.get("/settings/backup").body;
    fs::remove_file(home.path("log.db")).unwrap();
    fs::create_dir(home.path("log.db")).unwrap();
    let got = server.upload("/settings/restore", &backup);
    assert!(got.status >= 400, "{}", got.to);
    // Were the server in memory now, a bin could be made and would be lost.
    let made = server.post(
        "/bins/new",
        "kind=bin&name=Ghost&size=own&length=50&width=30&depth=28&walls=wood&lid=cover&drains=yes&material1=coir_pith&amount1=20+L&grams=250&when=2026-11-14T10:00",
    );
    assert!(made.status >= 500, "{} {}", made.status, made.to);
}

#[test]
fn a_backup_this_version_cannot_read_whole_is_refused_and_all_stays() {
    let home = Home::with_log();
    assert_eq!(home.run(&["backup", "strange.db"]).code, 0);
    home.hostile(
        "strange.db",
        "CREATE TRIGGER quiet BEFORE INSERT ON entry BEGIN SELECT RAISE(IGNORE); END;",
    );
    let strange = fs::read(home.path("strange.db")).unwrap();
    let before = home.entries("log.db");
    let names = home.names();
    let server = home.serve();
    for file in [strange.as_slice(), b"no log at all", b""] {
        let got = server.upload("/settings/restore", file);
        assert_eq!(got.status, 422, "{}", got.to);
        assert!(
            got.words().contains("Nothing was replaced"),
            "{}",
            got.words()
        );
    }
    assert_eq!(server.note("after the refusal").status, 303);
    drop(server);
    let after = home.entries("log.db");
    assert_eq!(after[..4], before[..]);
    assert!(home.holds("log.db", "after the refusal"));
    let told = home.run(&["restore", "strange.db"]);
    assert!(told.refused().contains("strange.db"), "{}", told.err);
    assert!(home.holds("log.db", "after the refusal"));
    assert_eq!(home.names(), names, "no litter, nothing set aside");
}

#[test]
fn a_restored_log_is_on_disk_at_once_and_the_old_one_beside_it() {
    let home = Home::with_log();
    let server = home.serve();
    let backup = server.get("/settings/backup").body;
    assert_eq!(server.note("after the backup").status, 303);
    // The page of the bin is kept until the log changes.
    assert!(server.get("/bins/1").words().contains("after the backup"));
    let done = server.upload("/settings/restore", &backup);
    assert_eq!(done.status, 303, "{}", done.words());
    assert!(!server.get("/bins/1").words().contains("after the backup"));
    assert_eq!(server.note("after the restore").status, 303);
    assert!(server.get("/bins/1").words().contains("after the restore"));
    // Seen by another program while the server still runs.
    assert!(home.holds("log.db", "after the restore"));
    let kept = home
        .names()
        .into_iter()
        .find(|n| n.contains("replaced"))
        .unwrap();
    drop(server);
    assert!(home.holds(&kept, "after the backup"));
    assert!(!home.holds("log.db", "after the backup"));
}

#[test]
fn a_restored_backup_of_as_many_entries_shows_its_own() {
    let home = Home::with_log();
    let server = home.serve();
    let backup = server.get("/settings/backup").body;
    assert_eq!(server.note("the one that goes").status, 303);
    drop(server);
    fs::write(home.path("other.db"), backup).unwrap();
    assert_eq!(
        home.run_on("other.db", &["log", "1", "note", "the one that comes"])
            .code,
        0
    );
    let other = home.run_on("other.db", &["backup", "whole.db"]);
    assert_eq!(other.code, 0, "{}", other.err);
    let server = home.serve();
    assert!(server.get("/bins/1").words().contains("the one that goes"));
    let whole = fs::read(home.path("whole.db")).unwrap();
    assert_eq!(server.upload("/settings/restore", &whole).status, 303);
    let words = server.get("/bins/1").words();
    assert!(words.contains("the one that comes") && !words.contains("the one that goes"));
}

#[test]
fn a_refused_file_is_told_at_the_top_and_at_its_form() {
    let server_home = Home::with_log();
    let server = server_home.serve();
    for (form, fault) in [
        ("restore", "Nothing was replaced"),
        ("import", "Nothing was taken in"),
    ] {
        let got = server.upload(&format!("/settings/{form}"), b"no log at all");
        assert_eq!(got.status, 422, "{}", got.words());
        let html = String::from_utf8(got.body).unwrap();
        let place = |what: &str| html.find(what).unwrap_or(usize::MAX);
        assert!(place("role=\"alert\"") < place("<h2"), "{html}");
        assert!(html.matches(fault).count() == 2, "{html}");
        let at_form = place(&format!("id=\"{form}-fault\""));
        assert!(
            at_form < place(&format!("<input id=\"{form}-file\"")),
            "{html}"
        );
    }
}
