//! Backups made without being asked, and the reminder when there is none.

use super::home::{Home, Said};
use std::fs;
use std::path::PathBuf;
use std::time::{Duration, Instant};

/// Backups in the folder beside the log.
fn backups(home: &Home) -> Vec<PathBuf> {
    let Ok(folder) = fs::read_dir(home.path("log.db.backups")) else {
        return Vec::new();
    };
    let mut list: Vec<PathBuf> = folder
        .map(|f| f.unwrap().path())
        .filter(|p| p.extension().is_some_and(|e| e == "db"))
        .collect();
    list.sort();
    list
}

fn at(home: &Home, day: &str, arguments: &[&str]) -> Said {
    let said = home.run_at("log.db", day, arguments);
    assert_eq!(said.code, 0, "{}", said.err);
    said
}

#[test]
fn a_day_of_entries_makes_one_checked_backup() {
    let home = Home::with_log();
    let made = backups(&home);
    assert_eq!(made.len(), 1, "{made:?}");
    assert_eq!(home.run_on(made[0].to_str().unwrap(), &["check"]).code, 0);
    at(&home, "2026-11-25T09:00", &["log", "1", "note", "next day"]);
    assert_eq!(backups(&home).len(), 2);
    at(&home, "2026-11-25T19:00", &["log", "1", "note", "same day"]);
    assert_eq!(backups(&home).len(), 2);
    // Reading makes none.
    at(&home, "2026-11-28T19:00", &["bins"]);
    assert_eq!(backups(&home).len(), 2);
}

#[test]
fn entries_by_a_page_are_backed_up_too_and_settings_list_them() {
    let home = Home::with_log();
    let _ = fs::remove_dir_all(home.path("log.db.backups"));
    let server = home.serve();
    assert_eq!(server.note("by a page").status, 303);
    let until = Instant::now() + Duration::from_secs(20);
    while backups(&home).is_empty() && Instant::now() < until {
        std::thread::sleep(Duration::from_millis(50));
    }
    assert_eq!(backups(&home).len(), 1);
    let words = server.get("/settings").words();
    assert!(words.contains("log.db.backups"), "{words}");
    assert!(words.contains("24 Nov"), "{words}");
    assert!(words.contains("another device"), "{words}");
}

#[test]
fn automatic_backups_can_be_turned_off() {
    let home = Home::new();
    assert_eq!(home.run(&["settings", "backups", "off"]).code, 0);
    assert_eq!(home.run(&["demo"]).code, 2, "the log is no longer empty");
    let made = [
        "add-bin", "Porch", "--length", "40", "--width", "30", "--depth", "25",
    ];
    assert_eq!(home.run(&made).code, 0);
    assert!(backups(&home).is_empty());
    let told = home.run(&["settings", "backups", "sometimes"]);
    assert!(told.refused().contains("on, off"), "{}", told.err);
    let json = home.run(&["settings", "--json"]).json();
    assert_eq!(json["settings"]["backups"], "off");
    assert!(
        json["backups_in"]
            .as_str()
            .unwrap()
            .contains("log.db.backups")
    );
    // Nobody saved one for a month: said, and no longer once one is saved.
    let late = at(&home, "2026-12-30T09:00", &["bins"]);
    assert!(late.err.contains("bedwright backup"), "{}", late.err);
    at(&home, "2026-12-30T09:00", &["backup", "saved.db"]);
    let then = at(&home, "2026-12-30T10:00", &["bins"]);
    assert_eq!(then.err, "");
}

#[test]
fn a_backup_that_cannot_be_made_loses_no_entry_and_is_told_of() {
    let home = Home::with_log();
    let _ = fs::remove_dir_all(home.path("log.db.backups"));
    fs::write(home.path("log.db.backups"), "in the way").unwrap();
    let said = at(
        &home,
        "2026-11-26T09:00",
        &["log", "1", "note", "all the same"],
    );
    assert!(said.err.contains("backup"), "{}", said.err);
    assert!(home.holds("log.db", "all the same"));
    // A week on, with entries written since, every list of bins says so.
    let late = at(&home, "2026-12-05T09:00", &["bins"]);
    assert!(late.err.contains("backup"), "{}", late.err);
    assert_eq!(
        fs::read(home.path("log.db.backups")).unwrap(),
        b"in the way"
    );
}
