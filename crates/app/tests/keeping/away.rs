//! The log taken away, put elsewhere or written over while the server runs: an
//! entry is acknowledged only when it is in the file at the path.

use super::home::{Got, Home, Server};
use std::fs;

/// Nothing may be accepted any more, and every page must say so.
fn is_closed(server: &Server) {
    let not_taken = |got: Got| {
        assert!(got.status >= 500, "{} {}", got.status, got.to);
        let words = got.words();
        assert!(words.contains("log.db"), "{words}");
        assert!(words.contains("Nothing was written"), "{words}");
    };
    not_taken(server.note("lost if taken"));
    not_taken(server.post("/settings", "units=us&room_celsius=18"));
    not_taken(server.post("/shed/dolomite", "quick=yes"));
    for page in [
        "/",
        "/today",
        "/bins/1",
        "/shed",
        "/settings",
        "/judge",
        "/settings/backup",
    ] {
        not_taken(server.get(page));
    }
}

#[test]
fn a_removed_log_takes_nothing_more() {
    let home = Home::with_log();
    let server = home.serve();
    assert_eq!(server.note("while it was there").status, 303);
    fs::remove_file(home.path("log.db")).unwrap();
    is_closed(&server);
}

#[test]
fn a_log_whose_folder_was_renamed_takes_nothing_more() {
    let home = Home::with_log();
    fs::create_dir(home.path("old")).unwrap();
    assert_eq!(home.run(&["backup", "old/log.db"]).code, 0);
    let server = home.serve_on("old/log.db");
    assert_eq!(server.note("while it was there").status, 303);
    fs::rename(home.path("old"), home.path("new")).unwrap();
    is_closed(&server);
    drop(server);
    assert!(home.holds("new/log.db", "while it was there"));
    assert!(!home.holds("new/log.db", "lost if taken"));
}

#[test]
fn a_log_replaced_by_another_takes_nothing_more() {
    let home = Home::with_log();
    assert_eq!(home.run(&["backup", "other.db"]).code, 0);
    let server = home.serve();
    assert_eq!(server.note("while it was there").status, 303);
    fs::rename(home.path("other.db"), home.path("log.db")).unwrap();
    is_closed(&server);
}

#[test]
fn what_is_acknowledged_after_the_file_was_written_over_is_in_it() {
    let home = Home::with_log();
    assert_eq!(home.run(&["backup", "other.db"]).code, 0);
    let server = home.serve();
    assert_eq!(server.note("before the copy").status, 303);
    fs::copy(home.path("other.db"), home.path("log.db")).unwrap();
    let acknowledged = server.note("after the copy").status == 303;
    drop(server);
    assert!(!acknowledged || home.holds("log.db", "after the copy"));
}
