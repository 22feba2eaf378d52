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
    let words = server.get("/").words();
    assert!(words.contains("Save what was in it"), "{words}");
    assert!(words.contains("log.db.backups/automatic-"), "{words}");
    // The file is gone; what the program holds of it is not.
    for name in ["held.db", "again.db"] {
        let held = server.get("/settings/rescued");
        assert_eq!(held.status, 200, "{}", held.words());
        fs::write(home.path(name), held.body).unwrap();
        assert!(home.holds(name, "while it was there"));
        assert_eq!(
            home.entries(name).len(),
            5,
            "as it was, no more and no less"
        );
    }
    drop(server);
    let names = home.names();
    assert!(
        !names.iter().any(|n| n.starts_with(".bedwright")),
        "{names:?}"
    );
}

/// What is typed in a form that is refused comes back with the refusal.
#[test]
fn what_was_typed_is_shown_when_it_is_not_taken() {
    let home = Home::with_log();
    let server = home.serve();
    let nowhere = server.post(
        "/bins/99/log",
        "kind=note&text=for+no+bin&when=2026-11-24T18:00",
    );
    assert_eq!(nowhere.status, 404);
    assert!(
        nowhere.words().contains("for no bin"),
        "{}",
        nowhere.words()
    );
    fs::remove_file(home.path("log.db")).unwrap();
    let got = server.post(
        "/bins/1/log",
        "kind=note&once=0123456789abcdef0123456789abcdef&text=two%0D%0Alines+%3Cb%3E&when=2026-11-24T18:00",
    );
    assert_eq!(got.status, 503);
    let html = String::from_utf8(got.body.clone()).unwrap();
    assert!(html.contains("lines &#60;b&#62;"), "{html}");
    // The same form under the same key, to send again.
    assert!(html.contains("action=\"/bins/1/log\""), "{html}");
    assert!(
        html.contains("value=\"0123456789abcdef0123456789abcdef\""),
        "{html}"
    );
    // A page that was only asked for has nothing of the kind.
    assert!(!server.get("/").words().contains("What you typed"));
}

#[test]
fn a_log_cut_short_in_place_is_not_said_to_be_away() {
    let home = Home::with_log();
    let server = home.serve();
    assert_eq!(server.note("while it was there").status, 303);
    let file = fs::File::options().write(true).open(home.path("log.db"));
    file.unwrap().set_len(0).unwrap();
    let got = server.note("lost if taken");
    assert!(got.status >= 500, "{}", got.to);
    let words = got.words();
    assert!(
        !words.contains("safe") && !words.contains("back and start"),
        "{words}"
    );
    assert!(words.contains("log.db.backups/automatic-"), "{words}");
    assert!(words.contains("lost if taken"), "{words}");
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
    let held = server.get("/settings/rescued");
    assert_eq!(held.status, 200, "{}", held.words());
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
    let words = server.get("/").words();
    assert!(
        words.contains("Another file is in the place of the log"),
        "{words}"
    );
    let held = server.get("/settings/rescued");
    assert_eq!(held.status, 200, "{}", held.words());
    fs::write(home.path("held.db"), held.body).unwrap();
    assert!(home.holds("held.db", "while it was there"));
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
